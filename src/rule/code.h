/* Rules compiled to register code and run over lanes in blocks. For src/judge
 * and tests. The plain evaluator (plain.h) defines what every result must be.
 *
 * All rules about one subject become one piece of code; equal parts are
 * computed once (value numbering). A block is 64 lanes of (place, lane) pairs;
 * numbers are columns of doubles (NaN unknown), truths two bit sets. */
#ifndef CORDWAIN_RULE_CODE_H
#define CORDWAIN_RULE_CODE_H

#include "rule/rule.h"

typedef struct Code Code;

/* What a rule did at each (place, lane) that was run: bit index which of the places * lanes
 * run + which of them. `when` of a rule without one is true everywhere. */
typedef struct CodeResult {
    uint64_t *when_true, *when_false;
    uint64_t *require_true, *require_false;
    uint64_t *fail_possible;    /* somewhere in the box: when true and require false */
    uint64_t *fail_unknown;     /* somewhere in the box: that is unknown */
    uint64_t *met;              /* some set outside `some` had a member (all ones for rules without sets) */
    double *relative;           /* what `require` has to spare, as Spare.relative of plain.h has
                                   it, a whole number of blocks; NULL: compiled without */
} CodeResult;

/* `rules` all about `about`. Owned by the arena. */
Code *code_compile(Arena *arena, Subject about, Rule *const *rules, size_t count);
/* Runs over all records of the subject in all lanes; one result a rule, words of
 * 64 lanes in the arena. */
CodeResult *code_run(Arena *arena, const Code *code, const Columns *columns);
/* Records of the subject and lanes of the columns, each once and in rising order. */
typedef struct CodePairs {
    const uint32_t *records; /* NULL: all */
    const uint32_t *lanes;
    uint32_t record_count, lane_count;
} CodePairs;
/* The same for every one of these records in every one of these lanes. */
CodeResult *code_run_pairs(Arena *arena, const Code *code, const Columns *columns,
                           const CodePairs *pairs);
/* As code_compile(), for results that tell what is to spare too. */
Code *code_compile_spares(Arena *arena, Subject about, Rule *const *rules, size_t count);
/* How many instructions, and how many there would be if every formula had its
 * own (those that tell where sets were met not counted). */
void code_size(const Code *code, size_t *instructions, size_t *unshared);
/* The code as text, for people. */
void code_write(Text *text, const Code *code);

#endif

/* Parts of one box of tolerances, 64 at a time by the rules' compiled code: what it runs
 * over as lanes are parts of the box at one place in one lane. For src/judge only. */
#ifndef CORDWAIN_JUDGE_PARTS_H
#define CORDWAIN_JUDGE_PARTS_H

#include "judge/judge.h"

enum { PARTS = 64 };

typedef struct Parts Parts;

/* `sources`: the tolerances that have parts, as plain_sources() gives them; all others, and
 * with `declared_only` the assumed ones, count as exact. NULL where one of them is a limit's
 * own: that is the same in all lanes. The columns must not change while it is used. */
Parts *parts_new(const Rule *rule, const Columns *columns, uint32_t record, uint32_t lane,
                 const void *const *sources, size_t count, bool declared_only);
void parts_free(Parts *parts);
/* Part `which` (below PARTS) of each source. */
void parts_set(Parts *parts, uint32_t which, const BoxSide *sides);

/* Where `when and not require` holds: bit sets of the first `count` parts. */
typedef struct PartsFailing {
    uint64_t somewhere; /* as far as intervals can tell */
    uint64_t in_middle;
} PartsFailing;
PartsFailing parts_run(const Parts *parts, uint32_t count);

#endif

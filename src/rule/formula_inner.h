/* What the files that read formulas share. For src/rule only.
 *
 * Every function that makes or reads a Formula returns NULL after one message;
 * a reader tells of the first thing wrong in a formula and of no other. */
#ifndef CORDWAIN_RULE_FORMULA_INNER_H
#define CORDWAIN_RULE_FORMULA_INNER_H

#include "rule/rule.h"

enum {
    FORMULA_NESTING_MOST = 64, /* brackets, `not`, `-`, if and over within each other */
    FORMULA_NODES_MOST = 2000, /* of one rule, every use of a let counted in full */
    PATH_NAMES_MOST = 8,
    ARGUMENTS_MOST = 16
};

typedef struct FormulaReader {
    RuleSet *set;
    Rule *rule;
    Messages *messages;
    const YamlNode *node; /* the scalar the text stands in */
    const char *text;
    size_t length, at; /* at: the cursor, a byte */
    bool failed;
    int depth;
    int scope[BINDINGS_MOST]; /* bindings in force, outermost first; [0] is 0 */
    int scope_count;
} FormulaReader;

/* A name with dots, as written. */
typedef struct NamePath {
    size_t start, end;
    size_t name_start[PATH_NAMES_MOST], name_end[PATH_NAMES_MOST];
    int count;
} NamePath;

/* In the order in which first_meaning() looks. */
typedef enum MeaningKind {
    MEANS_LET,
    MEANS_LIMIT,
    MEANS_CONSTANT,
    MEANS_FIELD,
    MEANS_RECORD,
    MEANS_SET
} MeaningKind;

/* What a path means where it stands. */
typedef struct Meaning {
    MeaningKind kind;
    const Let *let;
    const Limit *limit;
    const struct RuleConstant *constant;
    RecordPath record; /* FIELD, RECORD; SET: whose */
    FieldId field;
    const Relation *relation; /* SET */
} Meaning;

/* formula_scan.c: the text under the cursor. */
void reader_start(FormulaReader *reader, RuleSet *set, Rule *rule, const YamlNode *node,
                  Messages *messages);
/* A message at byte `at` of the text; always false. */
bool reader_wrong(FormulaReader *reader, size_t at, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
bool letter(char c);
bool digit(char c);
bool name_is_well_formed(const char *text, size_t length);
bool name_is_reserved(const char *text, size_t length);
void scan_blanks(FormulaReader *reader);
bool scan_at_end(FormulaReader *reader);
/* Length of the name under the cursor, blanks skipped; 0 if none. */
size_t scan_name(FormulaReader *reader);
bool scan_at_keyword(FormulaReader *reader, const char *keyword);
bool scan_keyword(FormulaReader *reader, const char *keyword);
bool scan_sign(FormulaReader *reader, const char *sign);
/* Length of the word (as in lists of words) under the cursor; 0 if none. */
size_t scan_word(FormulaReader *reader);
bool scan_path(FormulaReader *reader, NamePath *path);
/* What stands under the cursor, for messages: "`)`", "the end". In the arena. */
const char *scan_found(FormulaReader *reader);

/* formula_name.c: what names mean. */
bool name_meaning(FormulaReader *reader, const NamePath *path, Meaning *meaning);
/* The record of `subject` that a limit reads at this place. */
bool name_nearest_record(const FormulaReader *reader, Subject subject, RecordPath *record);
Formula *formula_of_meaning(FormulaReader *reader, const NamePath *path, const Meaning *meaning);

/* formula_type.c: nodes, and what may be joined with what. */
const char *type_text(Arena *arena, Type type); /* "a length", "a truth" */
bool type_equal(Type a, Type b);
Formula *formula_new(FormulaReader *reader, FormulaKind kind, size_t start, size_t end);
Formula *formula_sum(FormulaReader *reader, FormulaKind kind, Formula *left, Formula *right);
Formula *formula_product(FormulaReader *reader, FormulaKind kind, Formula *left, Formula *right);
Formula *formula_negate(FormulaReader *reader, size_t start, Formula *operand);
Formula *formula_power(FormulaReader *reader, Formula *base, int power);
Formula *formula_compare(FormulaReader *reader, FormulaKind kind, Formula *left, Formula *right);
Formula *formula_logic(FormulaReader *reader, FormulaKind kind, Formula *left, Formula *right);
Formula *formula_not(FormulaReader *reader, size_t start, Formula *operand);
Formula *formula_if(FormulaReader *reader, size_t start, Formula *condition, Formula *yes,
                    Formula *no);
Formula *formula_in_field(FormulaReader *reader, Formula *operand, const NamePath *path,
                          const Meaning *meaning);
Formula *formula_call(FormulaReader *reader, size_t start, Function function,
                      Formula *const *arguments, int count);
Formula *formula_table(FormulaReader *reader, size_t start, const RuleTable *table,
                       Formula *argument);
bool formula_is_truth(FormulaReader *reader, const Formula *formula, const char *what);
bool formula_is_number(FormulaReader *reader, const Formula *formula, const char *what);

const char *function_name(Function function);
bool function_find(const char *name, size_t length, Function *function);
enum { FUNCTION_COUNT = FUNCTION_ATAN2 + 1 };

/* formula_read.c. As formula_read(), for a let: not yet part of the rule. */
Formula *formula_read_part(RuleSet *set, Rule *rule, const YamlNode *node, Messages *messages);

/* formula_walk.c: questions about whole trees. */
size_t formula_size(const Formula *formula);
int formula_over_height(const Formula *formula);
/* Calls `visit` for every node, operands after their node, lets followed. */
void formula_walk(Formula *formula, void (*visit)(void *data, Formula *formula), void *data);
/* Makes the formula part of the rule: its limits, its tables, which of its sets
 * stand under a `some`. */
void formula_enter(RuleSet *set, Rule *rule, Formula *formula);

#endif

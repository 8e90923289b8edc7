/* What the files of the rule compiler share. For src/rule/code*.c only.
 *
 * code.c turns formulas into values, each computed once, and code_spare.c what they have to
 * spare; code_order.c puts the
 * values into instructions and registers; code_run.c runs them; code_write.c
 * shows them. */
#ifndef CORDWAIN_RULE_CODE_PARTS_H
#define CORDWAIN_RULE_CODE_PARTS_H

#include "rule/code.h"
#include "rule/kernel.h"

typedef enum Kind { KIND_NOTHING, KIND_RECORD, KIND_NUMBER, KIND_TRUTH, KIND_SPARE, KIND_COUNT } Kind;

/* From EVERY on, values gathered over the members of a loop. */
typedef enum Operation {
    OPERATION_PLACE,     /* the record the rules are about */
    OPERATION_FOLLOW,    /* one relation */
    OPERATION_MEMBER,    /* of a loop's set */
    OPERATION_LITERAL, OPERATION_QUANTITY, OPERATION_NUMBER, OPERATION_RANGE_LEAST,
    OPERATION_RANGE_MOST, OPERATION_LIMIT, OPERATION_OWN,
    OPERATION_NEGATE, OPERATION_ADD, OPERATION_SUBTRACT, OPERATION_MULTIPLY, OPERATION_DIVIDE,
    OPERATION_POWER, OPERATION_CALL, OPERATION_TABLE, OPERATION_CHOOSE_NUMBER,
    OPERATION_CHOOSE_WORD,
    OPERATION_ALWAYS, OPERATION_TRUTH, OPERATION_AT_LEAST, OPERATION_IN_WORDS,
    OPERATION_IN_COUNTS, OPERATION_IN_SET, OPERATION_NOT, OPERATION_AND, OPERATION_OR,
    OPERATION_CHOOSE_TRUTH,
    OPERATION_SPARE_TEST, OPERATION_SPARE_ORDERED, OPERATION_SPARE_EQUAL, OPERATION_SPARE_NOT,
    OPERATION_SPARE_AND, OPERATION_SPARE_OR, OPERATION_SPARE_CHOOSE,
    OPERATION_EVERY, OPERATION_SOME, OPERATION_SUM, OPERATION_MOST, OPERATION_LEAST,
    OPERATION_COUNT_OVER, OPERATION_SPARE_EVERY, OPERATION_SPARE_SOME, OPERATION_MEETS,
    OPERATION_RULE,      /* hands a rule's truths to its result */
    OPERATION_RULE_SPARE, /* the same of what it has to spare */
    OPERATION_LOOP, OPERATION_NEXT, OPERATION_AGAIN, /* control: no values */
    OPERATIONS
} Operation;

/* A limit's values as a column, a row a word; one row where it has one value. */
typedef struct LimitRows {
    const Limit *limit;
    Column values;
    bool exact;
    struct LimitRows *next;
} LimitRows;

typedef union Detail {
    double number;
    const LimitRows *rows;
    const Relation *relation;
    const RuleTable *table;
    uint64_t words;
    uint64_t index;      /* a field, function, power, loop or rule */
} Detail;

#define VALUE_NONE UINT32_MAX
enum { OPERANDS = 3 };

/* Values are numbered so that operands come before what is made of them. */
typedef struct CodeValue {
    Operation operation;
    uint32_t operand[OPERANDS]; /* VALUE_NONE where unused */
    Detail detail;
    uint32_t loop;              /* the innermost loop it changes in */
    uint32_t phase;             /* how many layers of inner loops come before it there */
    bool used;
} CodeValue;

/* Loop 0 is run once, loop 1 for each block, the others over the members of a
 * set within their parent. Overs of one set that do not wait for each other
 * share a loop. */
enum { LOOP_ONCE, LOOP_BLOCKS, LOOP_FIRST_SET };
typedef struct Loop {
    uint32_t parent, level, phase;
    uint32_t owner, member;     /* values: whose set, its member */
    const Relation *relation;
    bool used;
    size_t start, past;         /* instructions */
} Loop;

/* Values by what they are: open addressing, half full at most. */
typedef struct Numbering {
    uint32_t *slots; /* value + 1; 0 is free */
    size_t size;     /* a power of two */
} Numbering;

typedef struct Compiler {
    Arena *arena;
    Code *code;
    Numbering numbering;
    uint32_t level[BINDINGS_MOST];  /* of the loop that binds it */
    uint32_t member[BINDINGS_MOST]; /* the value bound */
} Compiler;

typedef enum Step { STEP_ONLY, STEP_START, STEP_ADD, STEP_FINISH } Step;

typedef struct Instruction {
    Operation operation;
    Kind kind;                  /* of what it makes */
    Step step;
    uint32_t to, from[OPERANDS]; /* registers, each of its own kind */
    Detail detail;
} Instruction;

struct Code {
    Subject about;
    const Rule **rules;
    size_t rule_count;
    bool spares;         /* what rules have to spare is worked out too */
    CodeValue *values;
    size_t value_count, value_capacity;
    Loop *loops;
    size_t loop_count, loop_capacity;
    Instruction *instructions;
    size_t count, capacity;
    size_t unshared;
    LimitRows *limits;
    uint32_t registers[KIND_COUNT];
};

Kind operation_kind(Operation operation);
static inline bool operation_gathers(Operation operation) {
    return operation >= OPERATION_EVERY && operation <= OPERATION_MEETS;
}
/* One value, by its number; of a whole formula; gathered over the members of a loop, and the
 * loop of an over, which binds its name. */
uint32_t code_value(Compiler *compiler, Operation operation, Detail detail, uint32_t a, uint32_t b,
                    uint32_t c);
uint32_t code_value_of(Compiler *compiler, const Formula *formula);
uint32_t code_gather(Compiler *compiler, Operation operation, uint32_t loop, uint32_t body,
                     uint32_t filter);
uint32_t code_bind(Compiler *compiler, const Formula *over);
uint32_t code_record(Compiler *compiler, const RecordPath *path);
uint32_t code_spare_of(Compiler *compiler, const Formula *formula);
void code_order(Arena *arena, Code *code);

#endif

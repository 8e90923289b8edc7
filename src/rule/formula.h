/* Formulas: the typed tree that the parser makes, the compiler turns into code
 * and the plain evaluator walks. For src/rule and src/judge.
 *
 *   expr  = "if" expr "then" expr "else" expr | or
 *   or    = and { "or" and }
 *   and   = not { "and" not }
 *   not   = "not" not | test
 *   test  = sum [ ("<"|"<="|">"|">="|"="|"!=") sum
 *         | "is" ["not"] word | ["not"] "in" (words|path) ]
 *   sum   = term { ("+"|"-") term }
 *   term  = sign { ("*"|"/") sign }
 *   sign  = "-" sign | power
 *   power = atom [ "^" digit ]
 *   atom  = number [unit] | path | call | over | "(" expr ")"
 *   over  = ("every"|"some"|"sum"|"most"|"least") path [filter] "(" expr ")"
 *         | "count" path [filter]
 *   filter= "where" "(" expr ")"
 *   call  = (function|table) "(" expr {"," expr} ")"
 *   words = "{" word {"," word} "}"
 *   path  = name {"." name}
 *   name  = letter {letter|digit|"_"}
 *   word  = letter {letter|digit|"-"}   (after `is` and in {}; ISO stitch numbers too)
 *
 * Number, blanks and the longest unit with no letter, digit or "(" after it are
 * one literal; but `in` before a path or { is the test. Over binds the path's last name; nesting at most 3. */
#ifndef CORDWAIN_RULE_FORMULA_H
#define CORDWAIN_RULE_FORMULA_H

#include "field/columns.h"

typedef enum TypeKind { TYPE_NUMBER, TYPE_TRUTH, TYPE_WORD } TypeKind;

typedef struct Type {
    TypeKind kind;
    Dimension dimension;    /* numbers */
    bool point;             /* numbers: a temperature on the scale */
    const WordList *words;  /* words */
} Type;

/* A record: a bound one, followed along single relations. Binding 0 is what the
 * rule is about; every `over` of a rule has a number of its own, so that a let
 * used inside an over cannot meet the wrong one. */
enum { RECORD_PATH_MOST = 6, BINDINGS_MOST = 16, OVER_NESTING_MOST = 3 };
typedef struct RecordPath {
    int binding;
    Subject subject;        /* what it arrives at */
    int length;
    const Relation *steps[RECORD_PATH_MOST];
} RecordPath;

typedef struct Limit Limit;
typedef struct RuleTable RuleTable;

typedef enum FormulaKind {
    FORMULA_NUMBER,   /* a literal or constant */
    FORMULA_FIELD,    /* number, truth or word of a record */
    FORMULA_LIMIT,
    FORMULA_LET,      /* a named part: value of operand[0] */
    FORMULA_NEGATE, FORMULA_ADD, FORMULA_SUBTRACT, FORMULA_MULTIPLY, FORMULA_DIVIDE,
    FORMULA_POWER,    /* operand[0] ^ power */
    FORMULA_CALL,     /* function */
    FORMULA_TABLE,    /* table(operand[0]) */
    FORMULA_LESS, FORMULA_LESS_EQUAL, FORMULA_GREATER, FORMULA_GREATER_EQUAL,
    FORMULA_EQUAL, FORMULA_NOT_EQUAL,
    FORMULA_IN_WORDS, /* `is`, `is not`, `in {…}`: operand[0] is a word; mask of indices; negated */
    FORMULA_IN_FIELD, /* operand[0] in a range or set field of `record`; negated */
    FORMULA_NOT, FORMULA_AND, FORMULA_OR,  /* and, or: two operands */
    FORMULA_IF,       /* operand 0, 1, 2: truth, then, else */
    FORMULA_OVER
} FormulaKind;

typedef enum Function {
    FUNCTION_MIN, FUNCTION_MAX, FUNCTION_ABS, FUNCTION_SQRT, FUNCTION_FLOOR, FUNCTION_CEIL,
    FUNCTION_ROUND, FUNCTION_SIN, FUNCTION_COS, FUNCTION_TAN, FUNCTION_ATAN2
} Function; /* min and max take two or more arguments and become pairs */

typedef enum Over { OVER_EVERY, OVER_SOME, OVER_SUM, OVER_MOST, OVER_LEAST, OVER_COUNT } Over;

typedef struct Formula Formula;
struct Formula {
    FormulaKind kind;
    Type type;
    size_t start, end;        /* bytes in the text it was read from */
    Formula *operand[3];      /* unused: NULL */
    double number;            /* FORMULA_NUMBER, base units */
    const Unit *unit;         /* FORMULA_NUMBER: as written, or NULL */
    const char *name;         /* FORMULA_LET; FORMULA_NUMBER that is a constant; else NULL */
    RecordPath record;        /* FIELD, IN_FIELD; LIMIT: of its `by`; OVER: whose set */
    FieldId field;            /* FIELD, IN_FIELD */
    const Limit *limit;
    RecordPath own_record;    /* LIMIT whose record may carry its own value; subject SUBJECT_COUNT if not */
    const RuleTable *table;
    Function function;
    int power;
    uint64_t words;           /* IN_WORDS: bit i for word i */
    bool negated;             /* IN_WORDS, IN_FIELD */
    Over over;
    const Relation *relation; /* OVER: the many relation at the end of `record` */
    int binding;              /* OVER: the number it binds */
    Formula *filter;          /* OVER: or NULL; body is operand[0], NULL for count */
    bool under_some;          /* OVER: is a `some` or stands only under one, at any depth, lets followed */
};

#endif

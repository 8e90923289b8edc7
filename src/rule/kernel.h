/* Arithmetic and logic over a block of 64 lanes. For src/rule/code*.c only.
 * Every lane comes out as interval.h and kleene.h have it. */
#ifndef CORDWAIN_RULE_KERNEL_H
#define CORDWAIN_RULE_KERNEL_H

#include "rule/rule.h"

enum { KERNEL_LANES = 64 };

/* Records, -1 for none or unknown. In order: the lanes of whole records one
 * after the other, as cells lie in a column with one cell a lane. */
typedef struct Records {
    int32_t index[KERNEL_LANES];
    bool in_order;
    bool one; /* the same in all lanes */
} Records;

/* `most` and `least` on their way: bit sets of lanes. */
typedef struct Gathering {
    uint64_t nominal_unknown, sure, possible, doubtful, unknown;
} Gathering;

/* Not wide: every lane is exact or unknown (NaN), and lo and hi are not set. */
typedef struct Numbers {
    _Alignas(64) double nominal[KERNEL_LANES];
    double lo[KERNEL_LANES], hi[KERNEL_LANES];
    bool wide;
    Gathering gathering;
} Numbers;

/* Bit sets of lanes; unknown at nominal values: neither true nor false. */
typedef struct Truths {
    uint64_t is_true, is_false, can_true, can_false, can_unknown;
} Truths;

/* What truths have to spare at nominal values; NaN where neither true nor false. */
typedef struct Spares {
    _Alignas(64) double relative[KERNEL_LANES];
    uint64_t is_true, is_false;
} Spares;

/* Where the lanes of a block lie in columns: the cell of the first where there
 * is one for each of the `lane_count` lanes run, and the column lane of each. */
typedef struct Cells {
    size_t first;
    uint32_t lane_count;
    uint32_t lane[KERNEL_LANES];
} Cells;

/* Reading */
/* Once all lanes are set, but for `in_order`: whether they are one. */
void kernel_records_set(Records *to);
void kernel_follow(Records *to, const Records *from, const OneColumn *one, const Cells *cells);
void kernel_literal(Numbers *to, double number);
/* The first row of a column in every lane. */
void kernel_quantity(Numbers *to, const Column *values);
/* `exact`: no cell of the column has a tolerance. */
void kernel_read(Numbers *to, const Column *column, const Records *records, const Cells *cells,
                 bool exact);
/* `values`: a row a word. */
void kernel_limit(Numbers *to, const Column *values, const Numbers *words, bool exact);
/* The least or most of a range. */
void kernel_read_end(Numbers *to, const Column *column, const Records *records,
                     const Cells *cells, bool most);
/* The record's own value where it gives one (or is not known itself), else `other`. */
void kernel_own(Numbers *to, const Column *column, const Records *records, const Cells *cells,
                bool exact, const Numbers *other);

/* Arithmetic; `to` is none of the operands. */
void kernel_negate(Numbers *to, const Numbers *a);
void kernel_add(Numbers *to, const Numbers *a, const Numbers *b);
void kernel_subtract(Numbers *to, const Numbers *a, const Numbers *b);
void kernel_multiply(Numbers *to, const Numbers *a, const Numbers *b);
void kernel_divide(Numbers *to, const Numbers *a, const Numbers *b);
void kernel_power(Numbers *to, const Numbers *a, int power);
/* `b` NULL: of one argument. */
void kernel_call(Numbers *to, Function function, const Numbers *a, const Numbers *b);
void kernel_table(Numbers *to, const RuleTable *table, const Numbers *a);
/* `word`: nothing lies between two words, so either is a doubtful one. */
void kernel_choose(Numbers *to, const Truths *condition, const Numbers *yes, const Numbers *no,
                   bool word);

/* Tests */
void kernel_truth(Truths *to, const Numbers *a); /* of 0 and 1 */
void kernel_at_least(Truths *to, const Numbers *a, const Numbers *b);
void kernel_in_words(Truths *to, const Numbers *word, uint64_t words);
/* `sets`: sums of 2^member; `counts`: `a` is a count and no word. */
void kernel_in_sets(Truths *to, const Numbers *a, const Numbers *sets, bool counts);

/* Gathering over members. `active`: lanes that have a member; `filter` NULL: every
 * member counts; `body` NULL: it counts 1. */
void kernel_sum_add(Numbers *sum, const Truths *filter, const Numbers *body, uint64_t active);
/* Makes the given lanes of exact numbers unknown. */
void kernel_unknown_in(Numbers *to, uint64_t lanes);
void kernel_most_start(Numbers *most);
void kernel_most_add(Numbers *most, const Truths *filter, const Numbers *body, uint64_t active,
                     bool least);
void kernel_most_finish(Numbers *most, bool least);

/* What is to spare; `to` may be none of the operands. */
void kernel_spare_test(Spares *to, const Truths *truth);
/* Of `truth`, which says whether a >= b or, with `equal`, a = b. */
void kernel_spare_compare(Spares *to, const Truths *truth, const Numbers *a, const Numbers *b,
                          bool equal);
void kernel_spare_not(Spares *to, const Spares *a);
/* `least`: both must hold; else one is enough. */
void kernel_spare_join(Spares *to, const Spares *a, const Spares *b, bool least);
void kernel_spare_choose(Spares *to, const Truths *condition, const Spares *yes, const Spares *no);
/* A member joins those before it in the lanes that have one. `filter` NULL: it counts. */
void kernel_spare_add(Spares *to, const Truths *filter, const Spares *body, uint64_t active,
                      bool every);

/* Logic */
static inline Truths truths_exact(uint64_t is_true, uint64_t is_false) {
    return (Truths){is_true, is_false, is_true, is_false, ~(is_true | is_false)};
}

static inline Truths truths_not(Truths a) {
    return (Truths){a.is_false, a.is_true, a.can_false, a.can_true, a.can_unknown};
}

static inline Truths truths_and(Truths a, Truths b) {
    return (Truths){
        .is_true = a.is_true & b.is_true,
        .is_false = a.is_false | b.is_false,
        .can_true = a.can_true & b.can_true,
        .can_false = a.can_false | b.can_false,
        .can_unknown = (a.can_unknown & (b.can_unknown | b.can_true)) |
                       (b.can_unknown & a.can_true),
    };
}

static inline Truths truths_or(Truths a, Truths b) {
    return truths_not(truths_and(truths_not(a), truths_not(b)));
}

static inline Truths truths_choose(Truths condition, Truths yes, Truths no) {
    return (Truths){
        .is_true = (condition.is_true & yes.is_true) | (condition.is_false & no.is_true),
        .is_false = (condition.is_true & yes.is_false) | (condition.is_false & no.is_false),
        .can_true = (condition.can_true & yes.can_true) | (condition.can_false & no.can_true),
        .can_false = (condition.can_true & yes.can_false) | (condition.can_false & no.can_false),
        .can_unknown = condition.can_unknown | (condition.can_true & yes.can_unknown) |
                       (condition.can_false & no.can_unknown),
    };
}

/* `a` in the lanes of `mask`, `b` in the others. */
static inline Truths truths_blend(uint64_t mask, Truths a, Truths b) {
    return (Truths){
        .is_true = (a.is_true & mask) | (b.is_true & ~mask),
        .is_false = (a.is_false & mask) | (b.is_false & ~mask),
        .can_true = (a.can_true & mask) | (b.can_true & ~mask),
        .can_false = (a.can_false & mask) | (b.can_false & ~mask),
        .can_unknown = (a.can_unknown & mask) | (b.can_unknown & ~mask),
    };
}

#endif

/* The plain evaluator: walks a formula for one place in one lane. The referee
 * of the fast one, and the one that explains. For src/rule, src/judge, tests.
 *
 * Numbers carry nominal, lo and hi (outward rounded); NaN is unknown. Truths
 * carry the nominal Kleene value and the set of values they can take anywhere
 * in the box of tolerances: can_true, can_false, can_unknown (at least one is
 * set; the nominal one always is). Comparison: a >= b holds if
 * a >= b - 1e-9·max(|a|,|b|); a < b is its negation; equal: both >= hold.
 *
 * What the fast evaluator must match:
 * - Every operand is evaluated, also where the result is settled without it. An
 *   `if` with an unknown condition is unknown, numbers and truths alike.
 * - A number that is not finite is unknown. x ^ n is x * x * … from the left; x ^ 0 is 1,
 *   unknown where x is.
 * - A number that may be unknown somewhere in the box has lo -INFINITY and hi
 *   INFINITY: a comparison with it can be all three. One that is unknown
 *   everywhere has NaN in both: a comparison with it can only be unknown.
 * - Operations on exact numbers (lo = hi) give an exact number; all others are
 *   rounded outward.
 * - A member whose filter is false is no member; one whose filter is unknown
 *   makes sum, count, most and least unknown, and counts in `every` as
 *   (not filter or body), in `some` as (filter and body).
 * - An unknown set makes every, some and all others unknown. Empty, or all
 *   filtered out: every true, some false, sum and count 0, most and least unknown.
 * - `met`: a set not under `some` had a member whose filter is not false, or is
 *   unknown. */
#ifndef CORDWAIN_RULE_PLAIN_H
#define CORDWAIN_RULE_PLAIN_H

#include "rule/rule.h"

typedef enum Kleene { KLEENE_FALSE, KLEENE_UNKNOWN, KLEENE_TRUE } Kleene;

/* How much a requirement has to spare at nominal values: of the deciding
 * comparison. Tests without numbers have none: relative is ±INFINITY and
 * comparison NULL. Unknown: relative is NaN. */
typedef struct Spare {
    double amount;              /* base units of the comparison's sides; negative: fails */
    double relative;            /* (side required greater - side required lesser) / max(|both|) */
    const Formula *comparison;  /* the deciding one, or NULL */
    int32_t bindings[BINDINGS_MOST]; /* the records bound where it decided; -1 unbound */
} Spare;

typedef struct PlainNumber {
    double nominal, lo, hi;
} PlainNumber;

typedef struct PlainTruth {
    Kleene nominal;
    bool can_true, can_false, can_unknown;
    Spare spare;
} PlainTruth;

/* A part of the box of tolerances: for each source its share of [lo, hi]. A
 * source not listed keeps all of it. */
typedef struct BoxSide {
    const void *source;  /* Origin.source, or the Origin's column cell where that is NULL */
    double from, to;     /* 0 <= from <= to <= 1; a nominal value outside moves to the nearer end */
} BoxSide;

typedef struct ToleranceBox {
    BoxSide *sides;
    size_t count;
    bool declared_only;  /* assumed tolerances count as exact */
} ToleranceBox;

/* Numbers that lets had, so that a let which is used often is worked out once:
 * it depends on the place, the lane and the box alone. */
enum { PLAIN_LETS = 6 };
typedef struct PlainLet {
    const Formula *body;
    PlainNumber value;
} PlainLet;

/* What one evaluation needs. `bindings[0]` is the place. `visit`, if set, is
 * called for every field and limit read (then lets are not kept). ToleranceBox and
 * at_point must not change between plain_start() and the last question. */
typedef struct Plain {
    const Rule *rule;
    const Columns *columns;
    uint32_t lane;
    int32_t bindings[BINDINGS_MOST];
    const ToleranceBox *box;      /* NULL: the whole box */
    bool at_point;       /* nominal values are those of the box's middle (sampling) */
    bool met;            /* out: some set outside `some` had a member */
    void (*visit)(void *data, const struct Plain *plain, const Formula *formula, int32_t record);
    void *visit_data;
    PlainLet lets[PLAIN_LETS];
    int let_next;
} Plain;

void plain_start(Plain *plain, const Rule *rule, const Columns *columns, uint32_t lane,
                 int32_t record);
PlainNumber plain_number(Plain *plain, const Formula *formula); /* numbers, and words as indices */
PlainTruth plain_truth(Plain *plain, const Formula *formula);
/* Record a path arrives at, -1 if unknown or none. Where its binding is unset
 * (in `say` and `gives`, outside the formula) another of the same name that is
 * set stands for it. After most and least their binding stays set to the member
 * that decided, so that a spare can name it. */
int32_t plain_record(const Plain *plain, const RecordPath *path);

/* What a part of its tolerance leaves of a number: `from` and `to` as a BoxSide's. */
PlainNumber plain_part(PlainNumber whole, double from, double to, bool at_point);

/* Tolerances (sources with lo < hi) that the rule reads at this place. */
size_t plain_sources(Plain *plain, Arena *arena, const void ***sources);

#endif

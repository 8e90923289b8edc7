/* What the files of src/pair share: the list that grows, and sums of which something
 * may be missing. For src/pair only. */
#ifndef CORDWAIN_PAIR_INSIDE_H
#define CORDWAIN_PAIR_INSIDE_H

#include <math.h>

#include "pair/pair.h"

/* A pair is two shoes of one size, one the mirror of the other. */
enum { SHOES = 2 };

typedef struct Pair {
    Arena *arena;
    const Judgement *judgement;
    const Style *style;
    const Columns *columns;
    uint32_t lane, colourway;
    PairNumber *items;
    size_t count, capacity;
} Pair;

/* A sum of which the missing summands are counted, the first by name. */
typedef struct Sum {
    double known;
    size_t missing;
    const char *first;
} Sum;

/* What a number is called. */
typedef struct PairName {
    const char *group, *key, *name;
    const Unit *unit;    /* NULL: a count */
    const char *assumes; /* or NULL */
} PairName;

/* Adds `amount`; NaN counts as missing: `what` of the record ("pitch", then its place). */
void sum_add(Pair *pair, Sum *sum, double amount, const char *what, const Record *record);
/* Nothing of a set is known: `what` is missing. */
void sum_missing(Pair *pair, Sum *sum, const char *what);
/* All of another sum, so many times. */
void sum_add_all(Sum *sum, const Sum *other, double times);
/* Lists a sum, in base units. */
void pair_list(Pair *pair, PairName name, const Sum *sum);

/* Nominal value in the lane that is counted; NaN: unknown. */
double pair_cell(const Pair *pair, FieldId id, const Record *record);
/* Is the word of the record this one? False where it is unknown. */
bool pair_is(const Pair *pair, FieldId id, const Record *record, const char *word);
/* The material that the part has in the colourway; NULL: unknown. */
const Record *pair_material(const Pair *pair, const Record *part);
/* A limit of the rules or the factory, in base units; NaN: not given. `word` as limits
 * that go by one take it; NaN: they go by none. */
double pair_limit(const Pair *pair, const char *name, double word);

/* ---- pair_sewing.c ---- */

/* What is sewn along one row, in one shoe. mm; NaN: unknown. */
typedef struct RowSewn {
    double length, stitches;
    double thread; /* length of thread, both of a lockstitch together */
} RowSewn;
RowSewn pair_row(const Pair *pair, const Seam *seam, const Record *row);
void pair_sewing(Pair *pair);
void pair_thread(Pair *pair);

/* ---- pair_material.c ---- */
void pair_pieces(Pair *pair);
void pair_materials(Pair *pair);

/* ---- pair_minutes.c ---- */
void pair_minutes(Pair *pair);

#endif

/* Numbers of one pair of shoes: parts, seams, stitches, thread, areas, weight, making
 * minutes, each with what it assumes. Knows measure, judge and what lies below.
 *
 * A sum in which something is missing is unknown as a whole; `least` then says what
 * is known of it, and `missing` what is not. */
#ifndef CORDWAIN_PAIR_PAIR_H
#define CORDWAIN_PAIR_PAIR_H

#include "judge/judge.h"

typedef struct PairNumber {
    const char *group;   /* "pieces", "sewing", "thread", "material", "minutes" */
    const char *key;     /* for JSON and for comparing: "thread.tex-40", "area.hull-suede" */
    const char *name;    /* for people: "thread tex 40" */
    double value;        /* in `unit`; NaN: unknown */
    double least;        /* of what is known; equal to value where nothing is missing */
    const Unit *unit;    /* NULL: a count */
    const char *missing; /* what is not known: "pitch of row collar.1 and 3 more"; NULL */
    const char *assumes; /* "no waste", "both feet alike", …; NULL: nothing */
} PairNumber;

typedef struct PairNumbers {
    const PairNumber *items; /* grouped, in a fixed order; the same keys for the same style */
    size_t count;
} PairNumbers;

/* In the base size of a colourway. Owned by the arena. */
PairNumbers pair_numbers(Arena *arena, const Judgement *judgement, uint32_t colourway);
/* "1,240", "4.6 m", "at least 3.2 m (pitch of row collar.1 missing)". */
void pair_number_say(Text *text, const PairNumber *number);

#endif

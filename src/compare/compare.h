/* Two judgements held against each other, finding by finding: what a change made
 * better and worse. Knows judge and everything below; nothing of files or screens.
 *
 * A finding is the same if its rule and its place are. The counts of kinds add up
 * to all findings of both judgements that differ. */
#ifndef CORDWAIN_COMPARE_COMPARE_H
#define CORDWAIN_COMPARE_COMPARE_H

#include "judge/judge.h"

typedef enum DifferenceKind {
    DIFFERENCE_FLAGGED,   /* was none of the kind, is a flag */
    DIFFERENCE_UNKNOWN,   /* newly unknown */
    DIFFERENCE_WORSE,     /* a worse verdict, one more lane, or less to spare (relative, over 1e-6) */
    DIFFERENCE_BETTER,    /* the other way */
    DIFFERENCE_CLEARED,   /* was open (flag, unknown or tight), is not */
    DIFFERENCE_KIND_COUNT
} DifferenceKind;

typedef struct Difference {
    DifferenceKind kind;
    const Finding *before, *after; /* NULL: the place, or the rule, is not in that judgement */
} Difference;

typedef struct Comparison {
    Arena arena;
    const Judgement *before, *after; /* must outlive it */
    Difference *items;               /* worst first, then in order of the judgement after */
    size_t count;
    size_t counts[DIFFERENCE_KIND_COUNT];
} Comparison;

Comparison *compare_judgements(const Judgement *before, const Judgement *after);
void comparison_free(Comparison *comparison);
const char *difference_word(DifferenceKind kind); /* "newly flagged", "worse", … */
/* "newly flagged: bend vamp.throat.1: Hollow curve too sharp for its clips (was pass)" */
void difference_say(Text *text, const Comparison *comparison, const Difference *difference);

#endif

/* Which findings can differ at all between two judgements: those whose rule reads a
 * value or a relation that changed. For src/compare alone.
 *
 * A finding that is not touched is the same in both, spare and all; one that is
 * touched may be the same. */
#ifndef CORDWAIN_COMPARE_TOUCHED_H
#define CORDWAIN_COMPARE_TOUCHED_H

#include "judge/judge.h"

typedef struct Touched {
    const Columns *before, *after;
    bool all;        /* other rules, places or lanes: nothing is known to be the same */
    bool *fields;    /* by field: some value differs */
    bool *relations; /* by relation_index(): some record leads elsewhere */
} Touched;

/* What changed; lives in the arena, no longer than the judgements. */
Touched touched_find(Arena *arena, const Judgement *before, const Judgement *after);
bool finding_touched(const Touched *touched, const Finding *finding);

#endif

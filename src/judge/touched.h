/* Which findings can differ at all between two judgements: those whose rule reads a
 * value or a relation that changed. For judging again and for src/compare.
 *
 * A finding that is not touched is the same in both, spare and all; one that is
 * touched may be the same. */
#ifndef CORDWAIN_JUDGE_TOUCHED_H
#define CORDWAIN_JUDGE_TOUCHED_H

#include "judge/judge.h"

typedef struct Touched {
    const Columns *before, *after;
    bool all;        /* other rules, places or lanes: nothing is known to be the same */
    bool *fields;    /* by field: some value differs */
    bool *drawn;     /* by field: some record gives it and did not, or its tolerance is drawn
                        together with that of other values than it was */
    bool *relations; /* by relation_index(): some record leads elsewhere */
} Touched;

/* What changed; lives in the arena, no longer than the judgements. */
Touched touched_find(Arena *arena, const Judgement *before, const Judgement *after);
bool finding_touched(const Touched *touched, const Finding *finding);

/* What a rule reads that differs somewhere. Nothing and not everywhere: the rule says
 * the same at every place. */
typedef struct TouchedRead {
    const RecordPath *path;
    FieldId field;
} TouchedRead;
typedef struct TouchedReads {
    bool everywhere; /* it may read something else at any place */
    TouchedRead *items;
    size_t count;
} TouchedReads;
TouchedReads touched_reads(Arena *arena, const Touched *touched, const Rule *rule);
bool place_touched(const Touched *touched, const TouchedReads *reads, uint32_t record);

#endif

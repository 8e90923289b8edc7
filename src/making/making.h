/* The making order of an upper, seam by seam: what is done to the parts before and
 * after each, whether it lies flat, and why not. Knows judge and what lies below.
 *
 * An order is given by the style, or proposed: one in which as many seams as can be
 * lie flat. A proposal keeps to the given order wherever nothing is gained. It knows
 * that edges which make one side of a seam must hang together before it, that what
 * lies across a seam is sewn on after it, and that an upper is joined to its lining
 * after those seams of the two parts that the given order has before; of what else a factory goes by (who sits
 * where, what the cement needs to dry) it knows nothing. */
#ifndef CORDWAIN_MAKING_MAKING_H
#define CORDWAIN_MAKING_MAKING_H

#include "judge/judge.h"
#include "measure/assembly.h"

typedef struct MakingStep {
    const Seam *seam;
    Sewing sewing;
    const char *round;    /* why it is sewn in the round; NULL where it lies flat, or nobody knows */
    const char **before;  /* "skive vamp.throat 9 mm wide to 0.7 mm", "punch eyelets", … */
    size_t before_count;
    const char **after;   /* "trim vamp.throat to 3 mm", "turn", … */
    size_t after_count;
} MakingStep;

typedef struct MakingOrder {
    MakingStep *steps;
    size_t count;
    size_t flat, round, unknown; /* of the steps */
    const Seam **left_out;       /* seams that the style's order does not name */
    size_t left_out_count;
    bool unsought;               /* proposed: the style is too large to try it, see MAKING_TRIES */
} MakingOrder;

/* An order is sought where seams squared times parts and edges, and what compares the edges
 * of seams with each other, come to no more than this: about a second, and a hundred times
 * what an upper of forty seams needs. */
#define MAKING_TRIES 1e8

/* In the order the style gives; without one, in order of the file. Owned by the arena. */
MakingOrder making_given(Arena *arena, const Judgement *judgement);
/* All seams; unsought, the given order. Owned by the arena. */
MakingOrder making_proposed(Arena *arena, const Judgement *judgement);

#endif

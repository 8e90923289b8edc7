/* What the files that round lines share. For src/shape/rounded*.c alone.
 *
 * Places are those of the extended path: the line with a short straight piece at each
 * end, so that piece i of the line is piece i + 1. */
#ifndef CORDWAIN_SHAPE_ROUNDED_INSIDE_H
#define CORDWAIN_SHAPE_ROUNDED_INSIDE_H

#include "shape/rounded.h"

/* The line while it is worked on; everything belongs to the arena of the result. */
typedef struct Work {
    Arena *arena;
    Cubic *pieces;
    size_t *arc_of;
    size_t count;
    RoundedArc *arcs;
    size_t arc_count, arc_capacity;
} Work;

typedef struct Sample {
    Point point;
    PathAt at; /* on the extended path */
} Sample;

/* The line with its straight extensions, and places along it. */
typedef struct Trace {
    Path path; /* piece i of the line is piece i + 1 here */
    Sample *samples;
    size_t count;
} Trace;

typedef struct Foot {
    PathAt at;
    Point on;
    double distance; /* negative: on the other side than the disc */
} Foot;

/* A disc that touches the line before and behind the tight place. */
typedef struct Rolled {
    Point centre;
    Foot before, behind;
} Rolled;

/* What is rounded at once: tight places between two flanks. */
typedef struct Tight {
    PathAt first, last;   /* sharpest places, on the extended path */
    PathAt before, behind; /* about where the disc touches */
    double radius;         /* of the disc */
    int side;              /* 1: it lies on the left */
} Tight;

/* The stretch of the line that a run of a patch's far side spans. */
typedef struct Run {
    PathAt from, to;
} Run;

static inline bool comes_before(PathAt a, PathAt b)
{
    return a.piece < b.piece || (a.piece == b.piece && a.t < b.t);
}

/* rounded_trace.c */
Trace rounded_trace(Arena *arena, const Path *line);
/* The last sample at or before the place. */
size_t rounded_sample(const Trace *trace, PathAt at);
/* The nearest place among samples from..to, from < to, on the line itself; its distance
 * counts negative on the other side than `side`. */
Foot rounded_foot(const Trace *trace, Point place, size_t from, size_t to, int side);

/* rounded_roll.c: puts the disc where it touches both flanks; false if it cannot lie
 * there. `at_end`: only because it would touch beyond the line's ends, which is left
 * alone otherwise. */
bool rounded_roll(const Trace *trace, const Tight *tight, Rolled *rolled, bool *at_end);
/* The same for one sharp place, trying where between it and the ends of its bend. */
bool rounded_roll_alone(const Trace *trace, const Tight *alone, Rolled *rolled, bool *at_end);

/* rounded_run.c: where GEOS finds that the disc does not reach, about the sharp place;
 * false where that is nowhere, or too thin to be seen. */
bool rounded_run(const Trace *trace, double radius, int side, PathAt sharp, Run *run);

/* rounded_arc.c: the disc's arc in place of the line between where it touches. */
void rounded_replace(Work *work, const Tight *tight, const Rolled *rolled);

#endif

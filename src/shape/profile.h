/* The curvature of a line along its length, in spans over which it is monotone.
 * For bends.c only.
 *
 * Curved pieces are split where their curvature is zero, extreme or infinite:
 * roots of polynomials. Of straight pieces that follow each other (a polyline)
 * every joint that is no corner spreads its turn over half of each neighbour (of
 * a longer neighbour no more than the shorter one is long, and 1.5 mm always):
 * on a circle sampled at any distances that is the circle's own curvature.
 *
 * Wobbles: see bends.h. There the curvature is that of fitted circles. */
#ifndef CORDWAIN_SHAPE_PROFILE_H
#define CORDWAIN_SHAPE_PROFILE_H

#include "shape/bends.h"

typedef struct Span {
    double from, to;    /* mm along the path */
    PathAt at, end;     /* the same places on it, both on one piece */
    double first, last; /* |curvature| at the ends, 1/mm; monotone between */
    int side;           /* 1 turns left, -1 right, 0 straight */
    double window;      /* mm over which an even curvature was measured; 0: the curve's own */
    double jump;        /* rad to the left, of the direction at the start */
    bool corner;        /* that jump is one */
} Span;

typedef struct Profile {
    const Path *path;
    PathRuler ruler;
    Span *spans; /* without gaps from end to end */
    size_t count, capacity;
} Profile;

/* A stretch bent to one side with one sharp place. */
typedef struct Stretch {
    double from, to; /* mm along the path */
    double top;      /* its sharpest place; the middle of an even one */
    double window;   /* of the span there */
    int side;
    bool joined; /* only an easier curve parts it from the one before */
} Stretch;

/* Owned by the arena; the path must live as long. */
Profile profile_of(Arena *arena, const Path *path);
/* The profile with its wobbles taken out. */
Profile profile_steadied(Arena *arena, const Profile *raw);
size_t profile_stretches(Arena *arena, const Profile *profile, Stretch **stretches);
/* Turn to the left between two places, rad; with the jumps strictly between them
 * or without. Corners never count. */
double profile_turn(const Profile *profile, double from, double to, bool jumps);
/* The part of `span` between two places of it. */
Span span_part(const Profile *profile, const Span *span, double from, double to);

#endif

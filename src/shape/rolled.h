/* What a disc that rolls along both sides of a line does not reach: the closing of
 * the line with that disc, by the offsets of the GEOS library. Pure geometry, mm.
 * For rounded.c and for tests against it. */
#ifndef CORDWAIN_SHAPE_ROLLED_H
#define CORDWAIN_SHAPE_ROLLED_H

#include "shape/path.h"

/* Half the width that the line itself is given, mm: a band of no width has no sides. */
#define ROLLED_BAND 1e-3

/* The band about the line, and with it, in every bend too tight for the disc, what lies
 * between the line and an arc of the disc. Offsets lie up to 1e-4 of the radius inside
 * the true ones, rounded joints being many-sided. */
typedef struct Unreached {
    Point *ring; /* not closed */
    size_t count;
} Unreached;

/* At least two points, not all one place. Patches, mostly one, in no order; where GEOS
 * fails, none. Owned by the arena. */
size_t rolled_unreached(Arena *arena, const Point *points, size_t count, double radius,
                        Unreached **patches);

#endif

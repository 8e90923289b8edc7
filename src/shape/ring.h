/* A closed polyline in a tree of boxes, so that questions about it need not look
 * at every pair of its segments. For the outline alone. */
#ifndef CORDWAIN_SHAPE_RING_H
#define CORDWAIN_SHAPE_RING_H

#include "shape/box.h"

/* Segment i runs from point i to the next one round. */
typedef struct Ring {
    const Point *points;
    size_t count;
    Point *along;    /* unit directions of the segments */
    double *lengths; /* mm */
    Box *boxes;      /* from 1 */
} Ring;

/* At least 3 points, none twice in succession; lives as long as arena and points. */
Ring ring_new(Arena *arena, const Point *points, size_t count);
size_t ring_next(const Ring *ring, size_t point);
size_t ring_before(const Ring *ring, size_t point);

/* Two segments that cross, touch away from a shared end, or fold back upon each
 * other; the first pair met. */
bool ring_crosses(const Ring *ring, size_t *one, size_t *other, Point *at);

/* A disc inside the ring that touches it at `on`. */
typedef struct Disc {
    Point on, inward; /* unit vector towards the middle */
    double radius;
    Point touch;      /* what keeps it from being larger, and its segment */
    size_t by;
} Disc;

/* The largest disc of at most disc->radius that touches at `on` and has nothing
 * of the ring in it (touch is `on` then if nothing came in its way); segments
 * `skip` and `also` are not looked at; `by` is looked at first. */
void ring_fill(const Ring *ring, Disc *disc, size_t skip, size_t also);

#endif

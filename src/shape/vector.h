/* Sums with points taken as vectors, mm. For the .c files of this room. */
#ifndef CORDWAIN_SHAPE_VECTOR_H
#define CORDWAIN_SHAPE_VECTOR_H

#include <math.h>

#include "shape/path.h"

static inline Point minus(Point a, Point b)
{
    return (Point){a.x - b.x, a.y - b.y};
}

static inline double dot(Point a, Point b)
{
    return a.x * b.x + a.y * b.y;
}

/* Positive if b points left of a. */
static inline double cross(Point a, Point b)
{
    return a.x * b.y - a.y * b.x;
}

/* Not hypot(), which takes long: coordinates stay far from where squares overflow. */
static inline double size(Point a)
{
    return sqrt(dot(a, a));
}

/* `from`, moved by `times` the vector. */
static inline Point moved(Point from, Point vector, double times)
{
    return (Point){from.x + vector.x * times, from.y + vector.y * times};
}

static inline Point left_of(Point along)
{
    return (Point){-along.y, along.x};
}

#endif

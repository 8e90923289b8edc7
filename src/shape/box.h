/* Boxes, and trees of them over the segments of a polyline, so that questions
 * about it need not look at every segment. Pure geometry, mm.
 *
 * Box k of a tree covers a run of segments; boxes 2k and 2k+1 its halves. */
#ifndef CORDWAIN_SHAPE_BOX_H
#define CORDWAIN_SHAPE_BOX_H

#include <math.h>

#include "shape/path.h"

typedef struct Box {
    Point least, most;
} Box;

enum { BOX_LEAF = 4 }; /* segments in a smallest box, at most */

/* A run of segments from..to-1 and its box in the tree. Halving it goes on for the
 * logarithm of the number of segments. */
typedef struct BoxRun {
    size_t box, from, to;
} BoxRun;

/* Segment i runs from point i to the next one, if `closed` from the last to the
 * first too; at least one. Owned by the arena. */
Box *box_tree(Arena *arena, const Point *points, size_t count, bool closed);
size_t box_count(size_t segments); /* of such a tree, the unused first one too */

static inline BoxRun boxrun_whole(size_t segments)
{
    return (BoxRun){1, 0, segments};
}

static inline bool boxrun_is_leaf(BoxRun run)
{
    return run.to - run.from <= BOX_LEAF;
}

static inline BoxRun boxrun_half(BoxRun run, int which)
{
    size_t middle = run.from + (run.to - run.from) / 2;
    return which ? (BoxRun){2 * run.box + 1, middle, run.to}
                 : (BoxRun){2 * run.box, run.from, middle};
}

/* fmax() and fmin() are calls, and boxes are what the time goes to. */
static inline double box_larger(double a, double b)
{
    return a > b ? a : b;
}

static inline double box_lesser(double a, double b)
{
    return a < b ? a : b;
}

static inline Box box_around(Point a, Point b)
{
    return (Box){{box_lesser(a.x, b.x), box_lesser(a.y, b.y)},
                 {box_larger(a.x, b.x), box_larger(a.y, b.y)}};
}

/* Squares of the least distances between two boxes, and of a place from a box. */
static inline double box_gap2(const Box *a, const Box *b)
{
    double x = box_larger(box_larger(a->least.x - b->most.x, b->least.x - a->most.x), 0);
    double y = box_larger(box_larger(a->least.y - b->most.y, b->least.y - a->most.y), 0);
    return x * x + y * y;
}

static inline double box_distance2(const Box *box, Point place)
{
    double x = box_larger(box_larger(box->least.x - place.x, place.x - box->most.x), 0);
    double y = box_larger(box_larger(box->least.y - place.y, place.y - box->most.y), 0);
    return x * x + y * y;
}

/* The farthest that a coordinate in the box is from zero. */
static inline double box_reach(const Box *box)
{
    return fmax(fmax(fabs(box->least.x), fabs(box->most.x)),
                fmax(fabs(box->least.y), fabs(box->most.y)));
}

#endif

/* Outlines: edges end to end round one part. Pure geometry; GEOS does areas of
 * overlaps and offsets later, what is here needs none.
 *
 * The edges of a part close one outline in whatever order and direction they
 * were drawn: ends within 0.1 mm are joined, more is an error with the gap; an
 * outline that crosses itself is an error with the place. Afterwards every edge
 * runs with its part on the left. */
#ifndef CORDWAIN_SHAPE_OUTLINE_H
#define CORDWAIN_SHAPE_OUTLINE_H

#include "shape/path.h"

#define OUTLINE_JOIN_MM 0.1
#define OUTLINE_FLATNESS_MM 0.01

/* More points of the flattened outline than this are an error. A part outlined
 * to 0.01 mm has some hundreds, a finely traced one some thousands. */
enum { OUTLINE_POINTS_MOST = 20000 };

typedef struct OutlineEdge {
    Path path;         /* turned so that the part lies on its left */
    size_t given;      /* index in the paths given */
} OutlineEdge;

/* Invariant: each edge starts exactly where the one before ends, all round. */
typedef struct Outline {
    OutlineEdge *edges;  /* in order round the part, the first given first */
    size_t count;
    Point *ring;         /* flattened to OUTLINE_FLATNESS_MM, counterclockwise, not closed,
                            no point twice in succession */
    size_t *ring_edge;   /* index in `edges` of the line from each point to the next */
    size_t ring_count;
    double area;         /* mm2, of the flattened ring; > 0 */
    Point least, most;   /* bounding box of the ring */
} Outline;

/* What is wrong: words added to `text` that follow the names of the edges
 * concerned and a colon ("vamp.throat and vamp.vent: a gap of 0.34 mm; …"); the
 * edges (`one`, `other`: indices given; the same when one alone is concerned);
 * and the place, in the coordinates of the paths. The caller owns the text. */
typedef struct OutlineProblem {
    Text *text;
    size_t one, other;
    Point at;
} OutlineProblem;

/* Copies the paths into the arena. A single edge may close on itself. Where ends
 * had a gap they meet in its middle, and the shift is spread along the edges, so
 * that it makes no corner. */
bool outline_join(Arena *arena, const Path *paths, size_t count, Outline *outline,
                  OutlineProblem *problem);
/* Within rounding of the line itself the answer is either. */
bool outline_contains(const Outline *outline, Point point);
/* The narrowest place, mm, and where (the middle; `at` may be NULL): the diameter
 * of the smallest disc that fits inside and touches the outline at two places
 * that face each other (the directions to them at least 150 degrees apart). So
 * corners and tips blunter than 30 degrees do not count, and the end of a taper
 * sharper than that does. Where nothing faces anything (a circle, a triangle) it
 * is the diameter of the largest disc found that fits. Good to 0.03 mm and 0.1 %
 * for outlines up to 2.5 m round, which are looked at every 0.5 mm; longer ones
 * at 5,000 places. */
double outline_narrowest(const Outline *outline, Point *at);

#endif

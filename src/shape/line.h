/* Polylines in a tree of boxes: how far a place is from a line, where one line
 * crosses another or comes within a distance of it. Pure geometry, mm.
 *
 * Everything is exact on the polyline (to rounding): crossings and distances are
 * those of its segments, found through the boxes instead of against every pair. */
#ifndef CORDWAIN_SHAPE_LINE_H
#define CORDWAIN_SHAPE_LINE_H

#include <stdint.h>

#include "shape/outline.h"
#include "shape/ring.h"

/* Invariant: at least 2 points, none within 1e-9 mm of the one before (unless all
 * points given were one place). Lives as long as the arena and the points. A
 * closed line ends where it starts. Segment i runs from point i to the next. */
typedef struct Line {
    const Point *points;
    size_t count;
    double *at;   /* mm along the line, one a point; at[0] is 0 */
    Box *boxes;   /* from 1; a tree over the segments */
    uint64_t number; /* 0, or what whoever keeps lines calls it: equal numbers, equal lines */
} Line;

/* What nearest asks for and finds. */
typedef struct Nearest {
    double distance; /* mm, >= 0 */
    double at;       /* mm along the line */
    Point on;        /* the place on the line */
    bool left;       /* the place asked about lies on the line's left (at a corner: of the
                        two segments that meet there, by the side of the bisector);
                        on the line itself it does not */
} Nearest;

/* Points that repeat (to 1e-9 mm) are dropped; at least one point. Coordinates that
 * are not finite give answers that mean nothing. */
Line line_new(Arena *arena, const Point *points, size_t count);
/* A copy that lives in `memory`, of which it takes line_bytes(), a multiple of 8. */
size_t line_bytes(const Line *line);
Line line_put(void *memory, const Line *line);
Line line_of_path(Arena *arena, const Path *path); /* flattened to OUTLINE_FLATNESS_MM */
double line_length(const Line *line);
/* `at` is clamped to the line. */
Point line_point(const Line *line, double at);
/* Unit vector of travel there; at a point of the line that of the segment after it. */
Point line_direction(const Line *line, double at);
/* Unit vector of a segment. */
Point line_way(const Line *line, size_t segment);
bool line_is_closed(const Line *line);
Box line_box(const Line *line);
/* False where nothing of the line lies within `within` (INFINITY is taken). */
bool line_nearest(const Line *line, Point place, double within, Nearest *nearest);
/* Places along `walk` where its distance from `line` is `level` >= 0 (0: where
 * they cross or touch), mm, in order, none twice within 1e-9 mm: every place
 * where the distance passes the level is among them (where it dips across for less
 * than 1e-9 mm of the walk perhaps not), and where it comes down to the level and
 * turns back. A stretch that keeps exactly at the level gives its two ends. Owned
 * by the arena; returns how many. */
size_t line_levels(Arena *arena, const Line *walk, const Line *line, double level, double **at);
/* May some of one line lie within `within` mm of the other? By their boxes alone: false
 * only where nothing does. */
bool line_may_near(const Line *one, const Line *other, double within);
/* Least distance between two lines, 0 where they cross; `at` (may be NULL) is the
 * place on the first. */
double line_gap(const Line *one, const Line *other, double *at);
/* That, if it is less than `within`; else `within`. */
double line_gap_within(const Line *one, const Line *other, double within);

#endif

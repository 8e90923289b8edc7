/* Areas of the plane, through the GEOS library, and lines beside lines, which need
 * only their distances. Pure geometry, mm. Only area.c and rolled.c know GEOS.
 *
 * GEOS keeps no state of ours: every call opens and closes its own context. */
#ifndef CORDWAIN_SHAPE_AREA_H
#define CORDWAIN_SHAPE_AREA_H

#include "shape/line.h"

/* The line `distance` mm beside a polyline, on its left (negative: on its right),
 * with round outer corners (to 1e-3 mm, outwards; at most 5e-4 mm nearer where cut pieces
 * are joined); loops that a tight bend would make are cut away, so that it can come in
 * several pieces or vanish. Runs the same way.
 * Beside a closed line a piece may be closed too. Pieces in order along the line
 * given; returns how many: 0 too if the distance is not finite. Owned by the arena. */
size_t area_beside(Arena *arena, const Line *line, double distance, Line **pieces);

/* Area, mm2, in which two outlines overlap (rings as in Outline). A ring that
 * crosses itself counts by halves as GEOS makes it valid; fewer than 3 points have
 * no area. NaN where GEOS fails or a coordinate is not finite. */
double area_overlap(const Point *one, size_t one_count, const Point *other, size_t other_count);
/* Area, mm2, that is left of an outline where everything nearer to a line than `within[i]`
 * (0 and more) is cut off, round its ends too. NaN as above, or where a distance is. */
double area_left(const Point *ring, size_t count, const Line *lines, const double *within,
                 size_t line_count);

#endif

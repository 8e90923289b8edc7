/* Lines as SVG path data draws them, in mm, as cubic Bezier pieces. Pure
 * geometry: knows base only. Coordinates are mathematical, y upwards: reading
 * flips the y of SVG, so that "left" is what a person sees as left on the page.
 * Source: Scalable Vector Graphics (SVG) 1.1 (Second Edition), W3C
 * Recommendation 2011, chapter 8 and appendix F.6 (arcs). */
#ifndef CORDWAIN_SHAPE_PATH_H
#define CORDWAIN_SHAPE_PATH_H

#include <stdbool.h>
#include <stddef.h>

#include "base/memory.h"
#include "base/text.h"

enum { PATH_PIECES_MOST = 2000 };

typedef struct Point {
    double x, y;
} Point;

/* x' = a x + c y + e, y' = b x + d y + f */
typedef struct Matrix {
    double a, b, c, d, e, f;
} Matrix;
#define MATRIX_NONE ((Matrix){1, 0, 0, 1, 0, 0})
Matrix matrix_times(Matrix outer, Matrix inner); /* inner first */
Point matrix_point(Matrix matrix, Point point);
/* Mirrors about the line through `on` at `angle` rad; exact about x and y. */
Matrix matrix_mirror(Point on, double angle);

/* One piece; a straight one has its inner points at the thirds. */
typedef struct Cubic {
    Point p[4];
} Cubic;

/* Invariant: count >= 1; each piece starts exactly where the one before ends;
 * all coordinates are finite; no piece has all four points equal. */
typedef struct Path {
    Cubic *pieces;
    size_t count;
} Path;

/* Reads path data of one open subpath: M L H V C S Q T A, relative and
 * absolute, implicit repeats, numbers as the standard writes them (exponents
 * too; the locale has no say). Refused, with the byte offset of the offending
 * token and a reason added to `problem`: Z, a second M, a missing M, zero arc
 * radius, bad flags, numbers of more than 40 characters, coordinates beyond
 * 1,000,000, nothing drawn, more than 2,000 pieces. An arc becomes pieces of at
 * most 22.5 degrees (off the true arc by at most 7e-8 of its radius, in
 * curvature by 1e-4). A piece that stays within 1e-7 of its start is none, and
 * the pen has not moved. Owned by the arena. */
bool path_read(Arena *arena, const char *text, size_t length, Path *path, size_t *offset,
               Text *problem);
Path path_copy(Arena *arena, const Path *path);
void path_transform(Path *path, Matrix matrix);
void path_reverse(Path *path);
Point path_start(const Path *path);
Point path_end(const Path *path);

/* A place on a path: piece and parameter 0..1 in it. */
typedef struct PathAt {
    size_t piece;
    double t;
} PathAt;

Point path_point(const Path *path, PathAt at);
/* Signed curvature, 1/mm: positive turns left. NaN where the piece stands still. */
double path_curvature(const Path *path, PathAt at);
/* Direction of travel, unit vector; where the speed is zero the limit from
 * behind that place, at the end of a piece from before it. */
Point path_direction(const Path *path, PathAt at);
/* Arc length in mm between two places, error at most 1e-9 relative (adaptive
 * Gauss-Legendre). */
double path_length_between(const Path *path, PathAt from, PathAt to);
double path_length(const Path *path);
/* The place `distance` mm along the path (clamped to its ends). */
PathAt path_along(const Path *path, double distance);

/* The same for many places of one path: the lengths of its pieces once. Lives as
 * long as the arena and the path, which must not change meanwhile. */
typedef struct PathRuler {
    const Path *path;
    double *starts; /* mm from the path's start; count + 1 of them */
} PathRuler;
PathRuler path_ruler(Arena *arena, const Path *path);
PathAt ruler_at(const PathRuler *ruler, double distance);
double ruler_distance(const PathRuler *ruler, PathAt at);
double ruler_length(const PathRuler *ruler);

/* A path as a polyline of at most `error` mm distance from it; for areas,
 * crossings, pictures. Returns the number of points; first and last are the
 * path's ends. A piece gets at most 1,000 points, which keeps 0.01 mm for pieces
 * up to some 10 m. */
size_t path_flatten(Arena *arena, const Path *path, double error, Point **points);

#endif

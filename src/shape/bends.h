/* The bends and corners of a line. Pure geometry.
 *
 * A bend is a stretch whose curvature keeps one sign and whose radius stays
 * under 2000 mm; straights, inflections, corners and the path's ends end it;
 * under 4 degrees of turn it is none (also where it is part of a longer one).
 * Sharp places with a 1.25 times easier curve between them are separate bends,
 * parted in the easiest place. A jump of the tangent over 3 degrees, or a cusp,
 * is a corner; a smaller one is a drawing error and ignored (but its turn
 * belongs to the stretch). Where a closed line begins it is not looked at.
 *
 * The radius is the sharpest, at a joint the sharper side's. Three kinds of line:
 *
 * Curves. Curvature comes from the pieces themselves. The radius is w / turn of
 * the direction over w = 0.1 mm of line about the sharpest place, within the
 * stretch, or beside it where that is sharper (a joint). Even curvature is exact;
 * the tip of an ellipse of 2 by 3 mm comes out 0.04 % too easy, the sharp end of a
 * spiral that gains 0.05 /mm per mm 0.5 % at R = 2 mm.
 *
 * Polylines (straight pieces that follow each other). Joints under 3 degrees, and
 * under 30 degrees where one of the two chords is shorter than 1.5 mm, are samples
 * of a curve: the turn is spread over half of each chord, w is the two halves. A
 * circle comes out at R (1 + (p/R)^2 / 24), p the chord. So a true corner under 30
 * degrees beside a chord under 1.5 mm is taken for a sharp bend, not for a corner;
 * and one of 3 to 30 degrees between longer chords is a corner even where a coarse
 * polyline meant a curve.
 *
 * Wobbles. Three sharp or easy places (1.25 times) within 8 mm of line that yet
 * lie within 0.1 mm (0.13 with what the fit itself is off) of one circle or
 * straight are hands or scanners, not a designer's: there the curvature is that of
 * the circle fitted by least squares to the points every 0.25 mm of w = 8 mm of
 * line about each place; where 8 mm do not fit a circle, of 4 mm, then of 2 mm.
 * Noise of 0.05 mm on chords of 0.5 mm leaves R = 8 mm within 10 % and a straight
 * easier than 40 mm. The price: in such noise a bend as short as R = 2 mm over 60
 * degrees comes out easier than it is (2.2 to 2.6 mm in trials), and drawn ripples
 * that small are taken for wobbles. Where fewer than three such places lie within
 * 8 mm (a lone bend, a joggle, two bends with a straight between) none is. */
#ifndef CORDWAIN_SHAPE_BENDS_H
#define CORDWAIN_SHAPE_BENDS_H

#include "shape/path.h"

#define BEND_RADIUS_MOST_MM 2000.0
#define BEND_TURN_LEAST (4 * 3.14159265358979323846 / 180)
#define BEND_WINDOW_MM 0.1 /* of curves */
#define BEND_STEADY_MM 8.0 /* of wobbles, the widest */
#define BEND_WOBBLE_MM 0.1

typedef struct Bend {
    PathAt from, to;   /* the stretch */
    PathAt sharpest;
    double radius;     /* mm, over the window, at the sharpest place */
    double window;     /* mm, the window it was measured over */
    double turn;       /* rad, of the whole stretch, > 0; in wobbles that of the circles */
    double arc;        /* mm, length of the stretch */
    double at;         /* mm from the path's start to the sharpest place */
    bool left;         /* turns left: with the part on the left, rounded (outward) */
    bool corner;       /* a jump of the tangent; radius 0, arc 0, turn its jump */
} Bend;

/* Bends and corners in order along the path. Owned by the arena. */
size_t bends_find(Arena *arena, const Path *path, Bend **bends);
/* The same stretch after the path was stretched by `matrix` (a size): its radius, the
 * window and the place of that, and its arc; turn and place along the path as they were.
 * Corners stay as they are; radius INFINITY where nothing under 2000 mm is left. */
Bend bends_stretched(const Path *path, const Bend *bend, Matrix matrix);
/* Greatest distance, mm, between the bend and chords of length `pitch` > 0 laid
 * along the line from the bend's sharpest place to both sides until they have
 * passed the bend (or the path ends, in a shorter chord). 0 for a corner. A pitch
 * under a thousandth of the bend counts as that. */
double bends_facet(const Path *path, const Bend *bend, double pitch);

#endif

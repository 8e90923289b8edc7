/* A line drawn anew so that every bend has at least a needed radius. Pure geometry, mm.
 *
 * A disc of the needed radius is rolled along the line: where it fits, the line stays
 * as drawn, to rounding; where it does not, its arc takes the line's place, meeting it
 * in one direction. Seen with the part on the left, this opens the part with the disc
 * at rounded bends and closes it at hollow ones. What of the line lies elsewhere does
 * not hinder the disc (a strip may be narrower than it), so long as the arc does not
 * cross it. Both ends stay, and so do the directions there.
 *
 * Where the patch lies that the disc does not reach is found by GEOS (rolled.h), to
 * about a thousandth of the radius; the disc is then placed on the line itself, to
 * 1e-8 mm, so that nothing need be fitted. The disc is 0.1 % larger than asked for, so
 * that the bends measured again (bends.h) are not less.
 *
 * Corners stay unless asked for; where the disc rolls over a corner of the other side,
 * that corner stays too. */
#ifndef CORDWAIN_SHAPE_ROUNDED_H
#define CORDWAIN_SHAPE_ROUNDED_H

#include "base/text.h"
#include "shape/bends.h"

#define ROUNDED_OVER 1.001

typedef struct RoundedWish {
    double hollow, rounded; /* least radius, mm, of bends to the right and to the left;
                               0: they stay as they are */
    const double *each;     /* instead: one a bend of the drawn line, as bends_find() has them;
                               NULL: by side */
    size_t each_count;
    double within;          /* farthest that the lines may lie apart, mm; INFINITY */
    bool corners;           /* corners are rounded too */
} RoundedWish;

/* A circle that the new line follows for a while. */
typedef struct RoundedArc {
    Point centre;
    double radius;
    bool left; /* the way it turns */
} RoundedArc;

typedef struct Rounded {
    Path path;
    const size_t *arc_of;   /* one a piece: 0: as drawn, else 1 + its index in `arcs` */
    const RoundedArc *arcs; /* in the order they were made */
    size_t arc_count;       /* 0: nothing had to change */
    double deviation;       /* the farthest that a place of one of the lines lies from the other */
    Point drawn_at, new_at; /* there, on each */
    double longer;          /* mm that the line gained */
    double larger;          /* mm2 that what lies on its left gained */
    double hollow, rounded; /* sharpest radius left on each side, corners apart; INFINITY: none */
    size_t corners;         /* that stay */
} Rounded;

/* Owned by the arena. False with the reason added to `why` where it cannot be done:
 * "the bend of 4.5 mm, 61 mm along, cannot have 9 mm: …" */
bool rounded_line(Arena *arena, const Path *path, const RoundedWish *wish, Rounded *rounded,
                  Text *why);
/* The largest of `share` times the wished radii, to 1 %, that can be had; 0 if none. */
double rounded_share(const Path *path, const RoundedWish *wish);
/* The same change as seen from the line's other end and side. */
Rounded rounded_reversed(Arena *arena, const Rounded *rounded);
/* The new line as SVG path data, y downwards as on the page, to 0.00001 mm (about
 * short pieces finer): arcs as arcs, straight pieces as lines. */
void rounded_data(Text *text, const Rounded *rounded);
/* The same of any path. */
void rounded_path_data(Text *text, const Path *path);

/* How far apart two lines with the same ends lie at most, and where, on each. */
double rounded_apart(const Path *one, const Path *other, Point *on_one, Point *on_other);

#endif

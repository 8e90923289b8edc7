/* What the files that make pictures share. For src/figure/picture*.c alone. */
#ifndef CORDWAIN_FIGURE_PICTURE_INSIDE_H
#define CORDWAIN_FIGURE_PICTURE_INSIDE_H

#include <math.h>

#include "figure/picture.h"

/* The lane of the picture's size and colourway. */
uint32_t picture_lane(const PictureBase *base);
/* Nominal there, base units; NaN: unknown, or record NULL. */
double picture_value(const PictureBase *base, FieldId id, const Record *record);
/* Is the value known to be this word? */
bool picture_is(const PictureBase *base, FieldId id, const Record *record, const char *word);
/* "vamp, size 42, Bark, turned". */
const char *picture_title(Arena *arena, const PictureBase *base, const char *what);
/* "12.53 mm", to 0.01 mm; "unknown". */
void picture_add_mm(Text *text, double mm);
const Seam *picture_seam(const PictureBase *base, const Record *of);
/* The side of the seam that the part is on; side_count: none. `edge` (may be NULL)
 * becomes the first edge of it there, or NULL where the seam runs over its middle. */
size_t picture_side(const Seam *seam, const Record *part, const Record **edge);
/* Draws the part of the line that lies in the frame. */
void picture_clipped(Figure *figure, Pen pen, const Line *line, const Box *frame);
/* The holes as circles in this pen; false where nobody knows where they lie. */
bool picture_holes(Figure *figure, const PictureBase *base, const Record *hole, Pen pen);
/* A place along an edge of the base size as it lies in this one, mm along. */
double picture_along(const PictureBase *base, const LaidEdge *edge, double at);
/* Where a bend lies on its laid edge in this size, mm along: its two ends and its
 * sharpest place. False where it is not drawn. */
typedef struct BendPlace {
    const LaidEdge *edge;
    double from, to, at;
} BendPlace;
bool picture_bend_place(Arena *arena, const PictureBase *base, const Record *bend,
                        BendPlace *place);
/* Radius, curve, turn and place of a bend in words, a note line. */
void picture_note_bend(Figure *figure, const PictureBase *base, const Record *bend);

/* The profile of a row in this size and colourway; false with `why`. */
bool picture_profile(Arena *arena, const PictureBase *base, const Record *row, RowProfile *profile,
                     Text *why);
/* The stretch with the most under the foot, and where that is, mm; count: nothing
 * is known. */
size_t picture_highest(const RowProfile *profile, double *at);
/* The stretch at a place; the nearest where the row is off its part there. */
size_t picture_stretch(const RowProfile *profile, double at);

#endif

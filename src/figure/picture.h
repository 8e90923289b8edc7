/* The pictures that people see: a part with its edges and rows, a sheet, the stack
 * along a row, the layers across a seam. For the commands, the screen and the
 * report. Knows measure and what lies below it.
 *
 * Every picture is of one size and one colourway. Where there is nothing to draw,
 * a function returns false with a sentence in `why` (without a full stop) and leaves
 * the figure alone. Figures are freed with figure_free(); their shapes belong to the
 * arena. */
#ifndef CORDWAIN_FIGURE_PICTURE_H
#define CORDWAIN_FIGURE_PICTURE_H

#include "figure/figure.h"
#include "measure/measure.h"

typedef struct PictureBase {
    const Style *style;
    const Factory *factory;   /* NULL: none named */
    Measured *measured;
    uint32_t size, colourway; /* as Lane counts them */
} PictureBase;

/* The outline of a part, its edges named; what lies over and under it faint, rows of
 * stitches, holes. `focus` is what is marked: an edge, a bend or a hole of it; NULL:
 * its tightest bend. */
bool picture_part(Arena *arena, const PictureBase *base, const Record *part, const Record *focus,
                  Figure *figure, Text *why);
/* What is next to a bend of a drawn line, enlarged, with the circle of its radius. */
bool picture_bend(Arena *arena, const PictureBase *base, const Record *bend, Figure *figure,
                  Text *why);
/* All parts of a sheet as they lie on it. */
bool picture_sheet(Arena *arena, const PictureBase *base, const Sheet *sheet, Figure *figure,
                   Text *why);
/* mm under the foot against mm along the row, and what a machine takes. */
bool picture_row(Arena *arena, const PictureBase *base, const Record *row, Figure *figure,
                 Text *why);
/* The layers across the seam, `at` mm along the row; NaN: where it is highest. Also
 * from typed and assumed plies. */
bool picture_section(Arena *arena, const PictureBase *base, const Record *row, double at,
                     Figure *figure, Text *why);
/* The same at a typed spot. */
bool picture_spot(Arena *arena, const PictureBase *base, const Record *spot, Figure *figure,
                  Text *why);

/* All pictures of a place: a part, edge, bend, hole, seam, row or spot. A row and a
 * seam (its first row) without a drawn line have their section alone. Returns how
 * many; 0 with `why`. */
enum { PICTURES_OF_PLACE = 2 };
size_t picture_place(Arena *arena, const PictureBase *base, const Record *place,
                     Figure figures[PICTURES_OF_PLACE], Text *why);

#endif

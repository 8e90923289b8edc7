/* Display lists in mm: what a picture of an outline, a cross-section or a stack
 * along a row is made of, before it is known whether it becomes SVG or character
 * cells. Pure: knows base and shape (Point, Box) only.
 *
 * Coordinates are mm, y upwards (for graphs: any unit, see `stretch`). Texts are
 * labels, written beside their place and never over each other or over a mark: one
 * that finds no room is left out, and the picture says how many were.
 *
 * A point that is not finite, or farther than FIGURE_FARTHEST from zero, has no
 * place. A line is broken there; an area, mark or label with such a point is not
 * drawn; the picture says how many points had no place.
 *
 * Everything has a pen, which says what a thing is, not how it looks: the backends
 * choose colour, width and signs, and never colour alone. */
#ifndef CORDWAIN_FIGURE_FIGURE_H
#define CORDWAIN_FIGURE_FIGURE_H

#include "base/memory.h"
#include "base/text.h"
#include "shape/ring.h"

typedef enum Pen {
    PEN_LINE,       /* outlines, curves of a graph */
    PEN_FAINT,      /* what lies around; axes */
    PEN_STITCH,     /* rows of stitches: dashed */
    PEN_LIMIT,      /* a machine's limit: long dashes */
    PEN_TROUBLE,    /* the place in question: drawn last, heaviest */
    PEN_FILL,       /* a ply in a cross-section: filled faintly, with its outline */
    PEN_FILL_OTHER, /* its neighbour, so that plies can be told apart */
    PEN_COUNT
} Pen;

typedef enum ShapeKind { SHAPE_LINE, SHAPE_AREA, SHAPE_MARK, SHAPE_LABEL } ShapeKind;

/* Where a label stands as seen from its place, if there is room; else on another
 * side. SIDE_FAR_BELOW leaves one line free for other labels (names of axes). */
typedef enum Side {
    SIDE_RIGHT,
    SIDE_LEFT,
    SIDE_ABOVE,
    SIDE_BELOW,
    SIDE_FAR_BELOW,
    SIDE_MIDDLE
} Side;

#define FIGURE_FARTHEST 1e9
/* As `stretch`: x and y each fill what room there is. */
#define FIGURE_FREE 0

typedef struct Shape {
    ShapeKind kind;
    Pen pen;
    Point *points; /* line and area (closed by itself): several; mark and label: one;
                      a callout (a label): its place, and where its line leads to */
    size_t count;
    const char *text; /* label; a mark's sign is the backend's */
    Side side;
} Shape;

typedef struct Figure {
    Arena *arena;      /* owns the shapes */
    const char *title; /* one line above the picture; may be NULL */
    Shape *shapes;
    size_t count, capacity;
    double stretch; /* how many times y is drawn larger than x; 1: to scale; FIGURE_FREE */
    bool scale;     /* a bar below the picture shows 10 mm or another round length; not where it
                       is stretched freely, nor in one of less than 4 lines */
    size_t refused; /* points without a place */
    Text notes;     /* lines below the picture, each ended by a newline; freed by figure_free */
} Figure;

Figure figure_new(Arena *arena, const char *title);
void figure_free(Figure *figure);
/* Copies the points. */
void figure_line(Figure *figure, Pen pen, const Point *points, size_t count);
void figure_area(Figure *figure, Pen pen, const Point *points, size_t count);
void figure_mark(Figure *figure, Pen pen, Point at);
/* Text from files is shown with text_add_visible's rules: control and format
 * characters as \u{..}. */
void figure_label(Figure *figure, Pen pen, Point at, Side side, const char *text);
/* A label beside `beside`, to its right or left, and a faint line from it to `at`.
 * Callouts of one side are spread so that none covers another, in order of `at`. */
void figure_callout(Figure *figure, Pen pen, Point at, Point beside, Side side, const char *text);
/* Smallest box round all points; false where there is nothing. */
bool figure_box(const Figure *figure, Box *box);

/* Character cells. `width` and `height` are what may be used, in cells; the
 * picture keeps its proportions (a cell is twice as high as wide; braille has 2 by
 * 4 dots a cell) unless stretched. */
typedef struct CellStyle {
    bool ascii; /* no braille: - | / \ + . : # * o and letters */
    int width, height;
} CellStyle;
typedef struct Cell {
    char text[8]; /* one character with what combines with it (as far as there is room),
                     UTF-8, NUL-ended; empty: the right half of a wide one */
    Pen pen;      /* of the weightiest thing in it */
} Cell;
/* Row by row, width * height of them (a size below 1 counts as 1); used_height says
 * how many rows the picture took. What was left out is said in its last row, where
 * the picture has 2 rows and 10 columns or more. Owned by the arena. */
Cell *figure_cells(Arena *arena, const Figure *figure, CellStyle style, int *used_height);
/* The same as lines of text without trailing blanks, title above, notes below,
 * wrapped at the width; `height` is the picture's alone. */
void figure_text(Text *out, const Figure *figure, CellStyle style);

/* One <svg> element, `width_mm` wide (20 to 1,000; else the nearest of these), its
 * height as needed; self-contained, no script, style or outside reference; escaped.
 * Lines have the page's text colour. Valid both inside an HTML page and, with
 * `alone`, as a file of its own (on white). The same figure gives the same bytes. */
void figure_svg(Text *out, const Figure *figure, double width_mm, bool alone);

#endif

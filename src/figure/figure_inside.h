/* What the two backends share: where the picture's mm fall on a grid of dots, the
 * dots that its lines cover, and where its labels stand. For the room of figures
 * alone.
 *
 * A dot is square: of braille for cells, half a mm of paper for SVG. x runs to the
 * right, y down, dot (0, 0) has its middle at 0, 0. */
#ifndef CORDWAIN_FIGURE_FIGURE_INSIDE_H
#define CORDWAIN_FIGURE_FIGURE_INSIDE_H

#include "figure/figure.h"

typedef struct View {
    double across, up; /* dots a mm */
    Point zero;        /* the dots of 0, 0 */
} View;

typedef struct Rect {
    int x, y, width, height;
} Rect;

/* Each dot: what covers it, and the pen of the heaviest of that. */
enum { DOT_FILL = 1, DOT_LINE = 2, DOT_TAKEN = 4, DOT_PEN_SHIFT = 4 };
typedef struct Dots {
    int width, height;
    unsigned char *dots;
} Dots;

/* What a backend draws on. */
typedef struct Surface {
    int width, height;    /* dots */
    double tallest;       /* of a picture that is stretched freely: height over width */
    int step_x, step_y;   /* labels and marks stand on this grid */
    int gap_x, gap_y;     /* between a place and its label */
    int far_x, far_y;     /* and that much more where a mark is in the way */
    int line_height;      /* of labels */
    int clear_x, clear_y; /* dots about a label that lines had better keep out of */
    int mark;             /* how far a mark reaches beyond its place's step */
    bool centred;         /* else at the left */
    bool keyed;           /* callouts are numbers, their words stand elsewhere */
    double em;            /* dots; for label_width */
    int (*label_width)(const struct Surface *surface, Pen pen, const char *text);
} Surface;

/* Where a shape's label or mark stands. */
typedef struct Tag {
    bool shown;
    Rect rect;
    int anchor; /* the label's side at its place: -1 its left, 0 its middle, 1 its right */
} Tag;

/* The bar that shows the scale, dots, and its words; no words: none. */
typedef struct Scale {
    Point left, right;
    double tick; /* its ends reach so far up and down */
    char words[32];
    Rect rect; /* of the words */
} Scale;

typedef struct Layout {
    View view;
    Dots dots;      /* everything drawn, labels and marks as taken */
    Tag *tags;      /* by shape */
    size_t dropped; /* labels that found no room */
    long cost;      /* of the others' places */
    Scale scale;
} Layout;

Layout figure_layout(Arena *arena, const Figure *figure, const Surface *surface);
/* Adds it below what is drawn; counted as a dropped label where it does not fit. */
void layout_add_scale(const Figure *figure, const Surface *surface, Layout *layout);
/* The line and its two ticks. */
void scale_lines(const Scale *scale, Point lines[3][2]);
/* The next of 1, 2, 5, 10 ... that is at least `least` > 0. */
double next_round(double least);
/* Rows of dots down to the last that holds anything. */
int dots_bottom(const Dots *dots);
/* The straight line between a callout's label and the place it speaks of, dots. */
void layout_leader(const Layout *layout, const Shape *shape, const Tag *tag, Point ends[2]);
/* What was left out, in words added to an empty text; none where nothing was. */
void figure_left_out(Text *text, const Layout *layout, const Figure *figure);

/* `share`: how much smaller than without labels the picture may become for them. */
View figure_fit(Arena *arena, const Figure *figure, const Surface *surface, double share);
Point view_point(const View *view, Point point);
/* A shape's points in dots, without those nearer than `nearest` to the one before
 * (the last always stays). */
Point *view_points(Arena *arena, const View *view, const Shape *shape, double nearest,
                   size_t *count);
/* In what order pens are drawn: 0 first. */
int pen_weight(Pen pen);

/* Dots on and off along a line; off 0: unbroken. */
typedef struct Dash {
    int on, off;
} Dash;
Dash pen_dash(Pen pen);
void dots_line(Dots *dots, Pen pen, const Point *points, size_t count, bool closed);
/* With its outline. */
void dots_area(Arena *arena, Dots *dots, Pen pen, const Point *points, size_t count);
Rect dots_clip(const Dots *dots, Rect rect);
/* Sets and clears bits in a rectangle, as far as it lies on the dots. */
void dots_change(Dots *dots, Rect rect, unsigned set, unsigned clear);
/* Where the line at height y crosses the area's outline, ascending; even-odd
 * inside between first and second, third and fourth ...; `xs` has room for count. */
size_t area_crossings(const Point *points, size_t count, double y, double *xs);

bool is_callout(const Shape *shape);
/* From 1, the highest first. */
size_t callout_number(const Figure *figure, size_t shape);
int callout_width(const Figure *figure, const Surface *surface, size_t shape);

/* Puts labels into `layout` (marks first, then callouts, then the others, the
 * heaviest pens before the rest). */
void figure_place(Arena *arena, const Figure *figure, const Surface *surface, Layout *layout);
/* A label's rectangle on a side of a place, before it is known whether it is free. */
Rect label_rect(const Surface *surface, Point place, Side side, int width, bool far);

#endif

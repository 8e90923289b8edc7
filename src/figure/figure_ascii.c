/* Lines by their slope and areas by their cover, in letters that every terminal
 * has. For figure_cells alone. */
#include "figure/figure_ascii.h"

#include <math.h>

/* A line shorter than this in a cell only cuts its corner: the cells before and
 * after it touch, so that nothing is lost without it. */
#define CORNER_CUT 1.3 /* dots */

/* An area of so many rows can spare some for its outline. */
enum { THICK_ROWS = 4 };

/* Directions are summed at twice their angle, so that there and back is the same. */
typedef struct Slope {
    double length, cosine, sine;
    Pen pen;
    int cover; /* dots of the area that covers most of the cell */
    Pen area;
} Slope;

typedef struct Slopes {
    int columns, rows;
    Slope *cells;
} Slopes;

static Slope *slope_at(const Slopes *slopes, double x, double y)
{
    int column = (int)floor((x + 0.5) / 2), row = (int)floor((y + 0.5) / 4);
    if (column < 0 || row < 0 || column >= slopes->columns || row >= slopes->rows)
        return NULL;
    return &slopes->cells[(size_t)row * (size_t)slopes->columns + (size_t)column];
}

/* Longer than braille's: a cell is the least that can be left out. */
static Dash letter_dash(Pen pen)
{
    switch (pen) {
    case PEN_STITCH:
        return (Dash){4, 4};
    case PEN_LIMIT:
        return (Dash){8, 4};
    default:
        return (Dash){1, 0};
    }
}

static void add_length(const Slopes *slopes, Pen pen, Point at, double length, double angle)
{
    Slope *slope = slope_at(slopes, at.x, at.y);
    if (!slope)
        return;
    if (slope->length == 0 || pen_weight(pen) >= pen_weight(slope->pen))
        slope->pen = pen;
    slope->length += length;
    slope->cosine += length * cos(2 * angle);
    slope->sine += length * sin(2 * angle);
}

static void add_segment(const Slopes *slopes, Pen pen, Point from, Point to, double *walked)
{
    double dx = to.x - from.x, dy = to.y - from.y, length = hypot(dx, dy);
    int pieces = (int)ceil(length * 4);
    Dash dash = letter_dash(pen);
    for (int i = 0; i < pieces; i++) {
        double share = (i + 0.5) / pieces, at = *walked + share * length;
        if (fmod(at, dash.on + dash.off) < dash.on)
            add_length(slopes, pen, (Point){from.x + share * dx, from.y + share * dy},
                       length / pieces, atan2(-dy, dx));
    }
    *walked += length;
}

static void add_line(const Slopes *slopes, Pen pen, const Point *points, size_t count, bool closed)
{
    double walked = 0;
    for (size_t i = 1; i < count; i++)
        add_segment(slopes, pen, points[i - 1], points[i], &walked);
    if (closed)
        add_segment(slopes, pen, points[count - 1], points[0], &walked);
    if (walked < 2) /* too short for its cell to know it */
        add_length(slopes, pen, points[0], CORNER_CUT, 0);
}

/* Dots of the area in each cell of one row; the area that covers most stays. */
static void cover_row(Slopes *slopes, Pen pen, int row, const int *covered)
{
    for (int column = 0; column < slopes->columns; column++) {
        Slope *slope = &slopes->cells[(size_t)row * (size_t)slopes->columns + (size_t)column];
        if (covered[column] > slope->cover) {
            slope->cover = covered[column];
            slope->area = pen;
        }
    }
}

static void count_row(const Slopes *slopes, int row, const Point *points, size_t count, double *xs,
                      int *covered)
{
    for (int column = 0; column < slopes->columns; column++)
        covered[column] = 0;
    for (int y = 4 * row; y < 4 * row + 4; y++) {
        size_t found = area_crossings(points, count, y, xs);
        for (size_t i = 0; i + 1 < found; i += 2)
            for (int x = (int)ceil(xs[i]); x <= (int)floor(xs[i + 1]); x++)
                if (x >= 0 && x / 2 < slopes->columns)
                    covered[x / 2]++;
    }
}

/* Filled where it covers half a cell or more; with its outline if it is thick, not
 * of the pens that fill, or nowhere covers as much. */
static void add_area(Arena *arena, Slopes *slopes, Pen pen, const Point *points, size_t count)
{
    bool fills = pen == PEN_FILL || pen == PEN_FILL_OTHER || pen == PEN_TROUBLE;
    int filled = 0, most = 0; /* cells, and the most of them in a row */
    double *xs = ARENA_NEW(arena, double, count);
    int *covered = ARENA_NEW(arena, int, (size_t)slopes->columns);
    for (int row = 0; fills && row < slopes->rows; row++) {
        count_row(slopes, row, points, count, xs, covered);
        int in_row = 0;
        for (int column = 0; column < slopes->columns; column++)
            in_row += covered[column] >= 4;
        filled += in_row;
        most = in_row > most ? in_row : most;
        cover_row(slopes, pen, row, covered);
    }
    if (filled >= THICK_ROWS * most)
        add_line(slopes, pen, points, count, true);
}

static char sign_of(const Slope *slope)
{
    if (slope->length < CORNER_CUT) {
        if (slope->cover < 4)
            return ' ';
        return slope->area == PEN_FILL ? ':' : slope->area == PEN_FILL_OTHER ? '#' : '*';
    }
    if (slope->pen == PEN_TROUBLE)
        return '*';
    if (slope->pen == PEN_FAINT)
        return '.';
    if (hypot(slope->cosine, slope->sine) < 0.4 * slope->length)
        return '+';
    double degrees = atan2(slope->sine, slope->cosine) * (90 / 3.14159265358979323846);
    if (fabs(degrees) < 27)
        return '-';
    if (fabs(degrees) > 75)
        return '|';
    return degrees > 0 ? '/' : '\\';
}

static void add_shape(Arena *arena, Slopes *slopes, const Layout *layout, const Shape *shape,
                      const Tag *tag)
{
    Point ends[2];
    size_t count;
    if (shape->kind == SHAPE_LABEL && shape->count == 2 && tag->shown) {
        layout_leader(layout, shape, tag, ends);
        add_line(slopes, PEN_FAINT, ends, 2, false);
    }
    if (shape->kind != SHAPE_LINE && shape->kind != SHAPE_AREA)
        return;
    Point *points = view_points(arena, &layout->view, shape, 0.5, &count);
    if (shape->kind == SHAPE_LINE)
        add_line(slopes, shape->pen, points, count, false);
    else
        add_area(arena, slopes, shape->pen, points, count);
}

char *ascii_signs(Arena *arena, const Figure *figure, const Layout *layout)
{
    Slopes slopes = {.columns = layout->dots.width / 2, .rows = layout->dots.height / 4};
    size_t cells = (size_t)slopes.columns * (size_t)slopes.rows;
    slopes.cells = ARENA_NEW(arena, Slope, cells);
    for (size_t i = 0; i < figure->count; i++)
        add_shape(arena, &slopes, layout, &figure->shapes[i], &layout->tags[i]);
    Point lines[3][2];
    scale_lines(&layout->scale, lines);
    for (int i = 0; i < 3 && layout->scale.words[0]; i++)
        add_line(&slopes, PEN_LINE, lines[i], 2, false);
    char *signs = ARENA_NEW(arena, char, cells);
    for (size_t i = 0; i < cells; i++)
        signs[i] = sign_of(&slopes.cells[i]);
    return signs;
}

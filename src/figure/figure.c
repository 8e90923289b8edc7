/* The list of what a picture is made of, and its door: points without a place are
 * counted and not taken. For whoever draws. */
#include "figure/figure.h"

#include <math.h>
#include <string.h>

Figure figure_new(Arena *arena, const char *title)
{
    return (Figure){.arena = arena, .title = title, .stretch = 1};
}

void figure_free(Figure *figure)
{
    text_free(&figure->notes);
    *figure = (Figure){0};
}

static bool has_place(Point point)
{
    return fabs(point.x) <= FIGURE_FARTHEST && fabs(point.y) <= FIGURE_FARTHEST;
}

/* How many of the points have a place; the others are counted as refused. */
static size_t placed(Figure *figure, const Point *points, size_t count)
{
    size_t good = 0;
    for (size_t i = 0; i < count; i++)
        good += has_place(points[i]);
    figure->refused += count - good;
    return good;
}

static Shape *add(Figure *figure, ShapeKind kind, Pen pen, const Point *points, size_t count)
{
    Shape *shape = ARENA_PUSH(figure->arena, figure->shapes, figure->count, figure->capacity);
    *shape = (Shape){.kind = kind, .pen = pen, .count = count};
    shape->points = ARENA_NEW(figure->arena, Point, count);
    memcpy(shape->points, points, count * sizeof *points);
    return shape;
}

void figure_line(Figure *figure, Pen pen, const Point *points, size_t count)
{
    placed(figure, points, count);
    for (size_t first = 0; first < count;) {
        size_t end = first;
        while (end < count && has_place(points[end]))
            end++;
        if (end > first)
            add(figure, SHAPE_LINE, pen, points + first, end - first);
        first = end + 1;
    }
}

void figure_area(Figure *figure, Pen pen, const Point *points, size_t count)
{
    if (placed(figure, points, count) == count && count > 0)
        add(figure, SHAPE_AREA, pen, points, count);
}

void figure_mark(Figure *figure, Pen pen, Point at)
{
    if (placed(figure, &at, 1) == 1)
        add(figure, SHAPE_MARK, pen, &at, 1);
}

static void add_label(Figure *figure, Pen pen, const Point *points, size_t count, Side side,
                      const char *text)
{
    if (placed(figure, points, count) < count)
        return;
    Text shown = {0};
    text_add_visible(&shown, text, strlen(text));
    Shape *shape = add(figure, SHAPE_LABEL, pen, points, count);
    shape->side = side;
    shape->text = arena_copy(figure->arena, text_string(&shown), shown.length);
    text_free(&shown);
}

void figure_label(Figure *figure, Pen pen, Point at, Side side, const char *text)
{
    add_label(figure, pen, &at, 1, side, text);
}

void figure_callout(Figure *figure, Pen pen, Point at, Point beside, Side side, const char *text)
{
    add_label(figure, pen, (Point[]){beside, at}, 2, side == SIDE_LEFT ? SIDE_LEFT : SIDE_RIGHT,
              text);
}

bool figure_box(const Figure *figure, Box *box)
{
    bool any = false;
    for (size_t i = 0; i < figure->count; i++) {
        for (size_t k = 0; k < figure->shapes[i].count; k++) {
            Point point = figure->shapes[i].points[k];
            if (!any)
                *box = (Box){point, point};
            any = true;
            box->least = (Point){fmin(box->least.x, point.x), fmin(box->least.y, point.y)};
            box->most = (Point){fmax(box->most.x, point.x), fmax(box->most.y, point.y)};
        }
    }
    return any;
}

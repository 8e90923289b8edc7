/* Axes, limits and curves of graphs. For whoever draws. */
#include "figure/plot.h"

#include <math.h>

#include "figure/figure_inside.h"

enum { TICKS_MOST = 6, NUMBER_DIGITS = 6 };

static void label_number(Figure *figure, Point at, Side side, double value)
{
    Text text = {0};
    text_add_number(&text, value, NUMBER_DIGITS);
    figure_label(figure, PEN_FAINT, at, side, text_string(&text));
    text_free(&text);
}

static double tick_step(double least, double most)
{
    return next_round((most - least) / (TICKS_MOST - 1));
}

/* Multiples of the step, so that no sum of steps drifts. */
static double tick(double step, double number)
{
    return round(number * step / step) * step;
}

static void ticks_across(Figure *figure, Box axes)
{
    double step = tick_step(axes.least.x, axes.most.x);
    double length = (axes.most.y - axes.least.y) * 0.02;
    for (double k = ceil(axes.least.x / step - 1e-9); k * step <= axes.most.x + step * 1e-9; k++) {
        Point at = {tick(step, k), axes.least.y};
        figure_line(figure, PEN_FAINT, (Point[]){at, {at.x, at.y + length}}, 2);
        label_number(figure, at, SIDE_BELOW, at.x);
    }
}

static void ticks_up(Figure *figure, Box axes)
{
    double step = tick_step(axes.least.y, axes.most.y);
    double length = (axes.most.x - axes.least.x) * 0.01;
    for (double k = ceil(axes.least.y / step - 1e-9); k * step <= axes.most.y + step * 1e-9; k++) {
        Point at = {axes.least.x, tick(step, k)};
        figure_line(figure, PEN_FAINT, (Point[]){at, {at.x + length, at.y}}, 2);
        label_number(figure, at, SIDE_LEFT, at.y);
    }
}

static void widen(double *least, double *most)
{
    if (*most > *least)
        return;
    double half = *least == 0 ? 1 : fabs(*least) / 2;
    *least -= half;
    *most += half;
}

Box plot_axes(Figure *figure, Box range, const char *across, const char *up)
{
    Box axes = range;
    widen(&axes.least.x, &axes.most.x);
    widen(&axes.least.y, &axes.most.y);
    if (axes.least.y > 0 && axes.least.y < axes.most.y - axes.least.y)
        axes.least.y = 0;
    double step = tick_step(axes.least.y, axes.most.y);
    axes.least.y = tick(step, floor(axes.least.y / step + 1e-9));
    axes.most.y = tick(step, ceil(axes.most.y / step - 1e-9));
    figure->stretch = FIGURE_FREE;
    Point corner = axes.least, top = {axes.least.x, axes.most.y};
    figure_line(figure, PEN_FAINT, (Point[]){top, corner, {axes.most.x, corner.y}}, 3);
    ticks_across(figure, axes);
    ticks_up(figure, axes);
    figure_label(figure, PEN_FAINT, top, SIDE_ABOVE, up);
    figure_label(figure, PEN_FAINT, (Point){(axes.least.x + axes.most.x) / 2, corner.y},
                 SIDE_FAR_BELOW, across);
    return axes;
}

void plot_limit(Figure *figure, Box axes, double limit, const char *name)
{
    Point right = {axes.most.x, limit};
    figure_line(figure, PEN_LIMIT, (Point[]){{axes.least.x, limit}, right}, 2);
    figure_label(figure, PEN_LIMIT, right, SIDE_ABOVE, name);
}

/* Where the segment passes the limit. */
static Point passing(Point a, Point b, double limit)
{
    return (Point){a.x + (b.x - a.x) * (limit - a.y) / (b.y - a.y), limit};
}

void plot_curve(Figure *figure, const Point *points, size_t count, double limit)
{
    figure_line(figure, PEN_LINE, points, count);
    Point *above = ARENA_NEW(figure->arena, Point, count + 2);
    size_t length = 0;
    for (size_t i = 0; i < count; i++) {
        bool over = points[i].y > limit, was = i > 0 && points[i - 1].y > limit;
        bool comes = over && i > 0 && points[i - 1].y <= limit;
        if (comes)
            above[length++] = passing(points[i - 1], points[i], limit);
        if (over)
            above[length++] = points[i];
        if (was && points[i].y <= limit)
            above[length++] = passing(points[i - 1], points[i], limit);
        if (length > 0 && (!over || i + 1 == count)) {
            figure_line(figure, PEN_TROUBLE, above, length);
            length = 0;
        }
    }
}

/* Lines and areas on a grid of dots. For the layout and the cells. */
#include <math.h>
#include <stdlib.h>

#include "base/sort.h"
#include "figure/figure_inside.h"

static void dot_set(Dots *dots, int x, int y, unsigned kind, Pen pen)
{
    if (x < 0 || y < 0 || x >= dots->width || y >= dots->height)
        return;
    unsigned char *dot = &dots->dots[(size_t)y * (size_t)dots->width + (size_t)x];
    unsigned before = *dot >> DOT_PEN_SHIFT;
    bool lighter = (*dot & (DOT_LINE | DOT_FILL)) && pen_weight((Pen)before) > pen_weight(pen);
    unsigned heaviest = lighter ? before : (unsigned)pen;
    *dot = (unsigned char)((*dot & 0xFu) | kind | heaviest << DOT_PEN_SHIFT);
}

Dash pen_dash(Pen pen)
{
    switch (pen) {
    case PEN_FAINT:
        return (Dash){1, 1};
    case PEN_STITCH:
        return (Dash){3, 3};
    case PEN_LIMIT:
        return (Dash){7, 3};
    default:
        return (Dash){1, 0};
    }
}

/* Bresenham's line from dot to dot without its first, the trouble pen two dots
 * thick. `step` counts dots along the whole line for its dashes. */
static void segment(Dots *dots, Pen pen, Point from, Point to, long *step)
{
    int x = (int)lround(from.x), y = (int)lround(from.y);
    int end_x = (int)lround(to.x), end_y = (int)lround(to.y);
    int wide = abs(end_x - x), high = -abs(end_y - y);
    int right = x < end_x ? 1 : -1, down = y < end_y ? 1 : -1;
    int error = wide + high;
    Dash dash = pen_dash(pen);
    while (x != end_x || y != end_y) {
        int twice = 2 * error;
        if (twice >= high) {
            error += high;
            x += right;
        }
        if (twice <= wide) {
            error += wide;
            y += down;
        }
        ++*step;
        if (*step % (dash.on + dash.off) < dash.on)
            dot_set(dots, x, y, DOT_LINE, pen);
        if (pen == PEN_TROUBLE)
            dot_set(dots, x + (wide < -high), y + (wide >= -high), DOT_LINE, pen);
    }
}

void dots_line(Dots *dots, Pen pen, const Point *points, size_t count, bool closed)
{
    long step = 0;
    dot_set(dots, (int)lround(points[0].x), (int)lround(points[0].y), DOT_LINE, pen);
    for (size_t i = 1; i < count; i++)
        segment(dots, pen, points[i - 1], points[i], &step);
    if (closed)
        segment(dots, pen, points[count - 1], points[0], &step);
}

size_t area_crossings(const Point *points, size_t count, double y, double *xs)
{
    size_t found = 0;
    for (size_t i = 0; i < count; i++) {
        Point a = points[i], b = points[(i + 1) % count];
        if ((a.y <= y) != (b.y <= y))
            xs[found++] = a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y);
    }
    sort_numbers(xs, found);
    return found;
}

/* The hatch of an area: sparse points, slanted lines, or close points. */
static bool hatched(Pen pen, int x, int y)
{
    switch (pen) {
    case PEN_FILL:
        return y % 4 == 1 && x % 4 == (y % 8 == 1 ? 0 : 2);
    case PEN_FILL_OTHER:
        return (x + y) % 4 == 0;
    case PEN_TROUBLE:
        return (x + y) % 2 == 0;
    default:
        return false;
    }
}

void dots_area(Arena *arena, Dots *dots, Pen pen, const Point *points, size_t count)
{
    double *xs = ARENA_NEW(arena, double, count);
    for (int y = 0; y < dots->height; y++) {
        size_t found = area_crossings(points, count, y, xs);
        for (size_t i = 0; i + 1 < found; i += 2)
            for (int x = (int)ceil(xs[i]); x <= (int)floor(xs[i + 1]); x++)
                if (hatched(pen, x, y))
                    dot_set(dots, x, y, DOT_FILL, pen);
    }
    dots_line(dots, pen, points, count, true);
}

Rect dots_clip(const Dots *dots, Rect rect)
{
    int left = rect.x < 0 ? 0 : rect.x, top = rect.y < 0 ? 0 : rect.y;
    int right = rect.x + rect.width, bottom = rect.y + rect.height;
    right = right > dots->width ? dots->width : right;
    bottom = bottom > dots->height ? dots->height : bottom;
    return (Rect){left, top, right > left ? right - left : 0, bottom > top ? bottom - top : 0};
}

void dots_change(Dots *dots, Rect rect, unsigned set, unsigned clear)
{
    Rect in = dots_clip(dots, rect);
    for (int y = in.y; y < in.y + in.height; y++)
        for (int x = in.x; x < in.x + in.width; x++) {
            unsigned char *dot = &dots->dots[(size_t)y * (size_t)dots->width + (size_t)x];
            *dot = (unsigned char)((*dot & ~clear) | set);
        }
}

int dots_bottom(const Dots *dots)
{
    size_t last = (size_t)dots->width * (size_t)dots->height;
    while (last > 0 && (dots->dots[last - 1] & (DOT_FILL | DOT_LINE | DOT_TAKEN)) == 0)
        last--;
    return (int)((last + (size_t)dots->width - 1) / (size_t)dots->width);
}

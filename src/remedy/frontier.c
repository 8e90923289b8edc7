/* What one value must be as another goes: as numbers, words and a small picture. For
 * whoever shows findings. */
#include <math.h>
#include <stdlib.h>

#include "figure/plot.h"
#include "remedy/frontier.h"
#include "remedy/inside.h"

/* ---- The points ---- */

/* "7.8 mm", without tolerance. */
static const char *number_text(Arena *arena, const Axis *axis, double value)
{
    Text text = {0};
    text_add_number(&text, axis->unit ? unit_from_base(axis->unit, value) : value, 6);
    if (axis->unit)
        text_addf(&text, " %s", axis->unit->name);
    const char *written = arena_copy(arena, text_string(&text), text.length);
    text_free(&text);
    return written;
}

/* Away from what fails, to what can be made. */
static double rounded(const Axis *axis, double value, bool least)
{
    static const double slack = 1e-3;
    if (axis->stock)
        return value;
    long index = least ? lround(ceil(value / axis->step - slack))
                       : lround(floor(value / axis->step + slack));
    return axis_value(axis, index);
}

static bool point_of(Remedies *remedies, const Finding *finding, const Axis *y, const Setting *x,
                     FrontierPoint *point, bool *least)
{
    Search search;
    double value;
    search_start(&search, remedies, finding, y, x);
    bool good = search_edge(&search, &value, least);
    search_end(&search);
    if (!good)
        return false;
    Arena *arena = &remedies->arena;
    *point = (FrontierPoint){x->value, value, number_text(arena, x->axis, x->value),
                             number_text(arena, y, rounded(y, value, *least))};
    return true;
}

static int by_x(const void *one, const void *other)
{
    const FrontierPoint *a = one, *b = other;
    return (a->x > b->x) - (a->x < b->x);
}

static bool is_flat(const FrontierPoint *points, size_t count)
{
    double least = INFINITY, most = -INFINITY;
    for (size_t i = 0; i < count; i++) {
        least = fmin(least, points[i].y);
        most = fmax(most, points[i].y);
    }
    return !(most - least > 1e-3 * fabs(most));
}

static const RemedyFrontier *frontier_of(Remedies *remedies, const Finding *finding, const Axis *y,
                                         const Axis *x)
{
    double values[BESIDE_MOST + 1];
    size_t count = beside_values(remedies, finding, x, values);
    RemedyFrontier *frontier = ARENA_NEW(&remedies->arena, RemedyFrontier, 1);
    FrontierPoint *points = ARENA_NEW(&remedies->arena, FrontierPoint, BESIDE_MOST + 1);
    bool least;
    values[count++] = x->now;
    Setting present = setting_of(remedies, x, x->now);
    FrontierPoint ignored;
    if (!point_of(remedies, finding, y, &present, &ignored, &frontier->least))
        return NULL;
    for (size_t i = 0; i < count; i++) {
        Setting setting = setting_of(remedies, x, values[i]);
        if (point_of(remedies, finding, y, &setting, &points[frontier->count], &least) &&
            least == frontier->least)
            frontier->count++;
    }
    if (frontier->count < 2 || is_flat(points, frontier->count))
        return NULL;
    qsort(points, frontier->count, sizeof *points, by_x);
    frontier->points = points;
    frontier->x_name = x->name;
    frontier->y_name = y->name;
    frontier->x_field = field_at(x->field)->name;
    frontier->y_field = field_at(y->field)->name;
    frontier->x_giver = x->giver;
    frontier->y_giver = y->giver;
    frontier->x_unit = x->unit;
    frontier->y_unit = y->unit;
    frontier->x_now = x->now;
    frontier->y_now = y->now;
    return frontier;
}

const RemedyFrontier *remedies_frontier(Remedies *remedies, const Finding *finding)
{
    Known *known = &remedies->known[finding - remedies->ground.judgement->findings];
    if (known->bounded)
        return known->frontier;
    known->bounded = true;
    Axis *axes;
    const Axis *numbers[2];
    bool asked = finding->verdict == VERDICT_FLAG || finding->verdict == VERDICT_TIGHT;
    size_t count = asked ? axes_of(remedies, finding, &axes) : 0;
    if (count > 0 && axes_numbers(axes, count, false, numbers) == 2)
        known->frontier = frontier_of(remedies, finding, numbers[0], numbers[1]);
    return known->frontier;
}

/* ---- In words ---- */

/* As far apart as two steps of the field, from the present value to both sides. */
enum { SAID_STRIDE = 2, SAID_BESIDE = 2 };

static void say_point(Text *text, const RemedyFrontier *frontier, size_t index, bool *first)
{
    const FrontierPoint *point = &frontier->points[index];
    if (*first)
        text_addf(text, "with %s %s the %s must be at %s %s", point->x_text, frontier->x_field,
                  frontier->y_field, frontier->least ? "least" : "most", point->y_text);
    else
        text_addf(text, "; with %s, %s", point->x_text, point->y_text);
    *first = false;
}

void remedy_frontier_say(Text *text, const RemedyFrontier *frontier)
{
    size_t now = 0;
    bool first = true;
    for (size_t i = 1; i < frontier->count; i++)
        if (fabs(frontier->points[i].x - frontier->x_now) <
            fabs(frontier->points[now].x - frontier->x_now))
            now = i;
    for (long i = SAID_BESIDE; i >= -SAID_BESIDE; i--) {
        long index = (long)now + i * SAID_STRIDE;
        if (index >= 0 && index < (long)frontier->count)
            say_point(text, frontier, (size_t)index, &first);
    }
}

/* ---- As a picture ---- */

static double shown(const Unit *unit, double value)
{
    return unit ? unit_from_base(unit, value) : value;
}

static Box box_of(const RemedyFrontier *frontier, const Point *points)
{
    Point now = {shown(frontier->x_unit, frontier->x_now),
                 shown(frontier->y_unit, frontier->y_now)};
    Box box = {now, now};
    for (size_t i = 0; i < frontier->count; i++) {
        box.least = (Point){fmin(box.least.x, points[i].x), fmin(box.least.y, points[i].y)};
        box.most = (Point){fmax(box.most.x, points[i].x), fmax(box.most.y, points[i].y)};
    }
    return box;
}

void remedy_frontier_figure(Figure *figure, const RemedyFrontier *frontier)
{
    Point *points = ARENA_NEW(figure->arena, Point, frontier->count);
    for (size_t i = 0; i < frontier->count; i++)
        points[i] = (Point){shown(frontier->x_unit, frontier->points[i].x),
                            shown(frontier->y_unit, frontier->points[i].y)};
    const char *x_unit = frontier->x_unit ? frontier->x_unit->name : "";
    const char *y_unit = frontier->y_unit ? frontier->y_unit->name : "";
    plot_axes(figure, box_of(frontier, points),
              arena_printf(figure->arena, "%s %s", x_unit, frontier->x_field),
              arena_printf(figure->arena, "%s %s", y_unit, frontier->y_field));
    plot_curve(figure, points, frontier->count, (double)NAN);
    Point now = {shown(frontier->x_unit, frontier->x_now),
                 shown(frontier->y_unit, frontier->y_now)};
    figure_mark(figure, PEN_TROUBLE, now);
    figure_label(figure, PEN_TROUBLE, now, SIDE_RIGHT, "now");
}

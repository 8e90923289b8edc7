/* Takes the wobbles of a traced line out of its curvature.
 * For bends.c. */
#include "shape/profile.h"

#include <math.h>

enum { WIDEST = 32, NARROWEST = 8, EVENTS_LEAST = 3 }; /* windows in steps of the grid */

static const double step_mm = BEND_STEADY_MM / WIDEST;
static const double fit_off = 1.3 * BEND_WOBBLE_MM; /* the fit itself is off by some of it */
static const double fit_turn = 2.6;                 /* rad; beyond, a chord is no base for it */

/* The stretch of line that is looked at, between corners: points at equal steps;
 * `events` are the sharp and easy places in it, mm along the path. */
typedef struct Grid {
    double from, step;
    size_t cells; /* points: one more */
    Point *points;
    const double *events;
    size_t event_count;
} Grid;

/* What replaces the curvature about one point of a grid. */
typedef struct Steady {
    double curvature, window; /* window 0: nothing does */
} Steady;

typedef struct EventList {
    double *items;
    size_t count, capacity;
} EventList;

/* ---- fitting ---- */

/* Solves three equations by Cramer's rule; false if they do not tell. */
static bool solve(double m[3][4], double x[3])
{
    double minor[3] = {m[1][1] * m[2][2] - m[1][2] * m[2][1], m[1][2] * m[2][0] - m[1][0] * m[2][2],
                       m[1][0] * m[2][1] - m[1][1] * m[2][0]};
    double whole = m[0][0] * minor[0] + m[0][1] * minor[1] + m[0][2] * minor[2];

    if (!(fabs(whole) > 1e-12 * fabs(m[0][0] * m[1][1] * m[2][2])))
        return false;
    for (int k = 0; k < 3; k++) {
        int a = (k + 1) % 3, b = (k + 2) % 3;
        x[k] = m[0][3] * minor[k] + m[1][3] * (m[0][b] * m[2][a] - m[0][a] * m[2][b]) +
               m[2][3] * (m[0][a] * m[1][b] - m[0][b] * m[1][a]);
        x[k] /= whole;
    }
    return true;
}

static Point in_frame(Point point, Point origin, Point along)
{
    double x = point.x - origin.x, y = point.y - origin.y;
    return (Point){x * along.x + y * along.y, y * along.x - x * along.y};
}

/* The circle y = a + b x + c (x^2 + y^2) in the frame of the chord: every circle
 * and every straight is one, and the equations are linear. False if a point is
 * too far off. */
static bool fit_circle(const Point *points, size_t cells, double *curvature)
{
    double dx = points[cells].x - points[0].x, dy = points[cells].y - points[0].y;
    double length = hypot(dx, dy), m[3][4] = {{0}}, fit[3];

    if (!(length > 0))
        return false;
    Point along = {dx / length, dy / length}, origin = points[cells / 2];
    for (size_t i = 0; i <= cells; i++) {
        Point p = in_frame(points[i], origin, along);
        double row[4] = {1, p.x, p.x * p.x + p.y * p.y, p.y};
        for (int k = 0; k < 3; k++)
            for (int j = 0; j < 4; j++)
                m[k][j] += row[k] * row[j];
    }
    if (!solve(m, fit))
        return false;
    double tilt = 1 + fit[1] * fit[1] - 4 * fit[0] * fit[2];
    if (!(tilt > 0))
        return false;
    for (size_t i = 0; i <= cells; i++) {
        Point p = in_frame(points[i], origin, along);
        double off = fit[0] + fit[1] * p.x + fit[2] * (p.x * p.x + p.y * p.y) - p.y;
        if (!(fabs(off) <= fit_off * sqrt(tilt)))
            return false;
    }
    *curvature = 2 * fit[2] / sqrt(tilt);
    return true;
}

static size_t first_event(const double *events, size_t count, double from)
{
    size_t low = 0, high = count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (events[middle] < from)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static Steady steady_at(const Grid *grid, size_t point)
{
    for (size_t cells = WIDEST; cells >= NARROWEST; cells /= 2) {
        if (cells > grid->cells)
            continue;
        size_t first = point < cells / 2 ? 0 : point - cells / 2;
        if (first > grid->cells - cells)
            first = grid->cells - cells;
        double from = grid->from + grid->step * (double)first;
        double window = grid->step * (double)cells, curvature;
        size_t event = first_event(grid->events, grid->event_count, from);
        if (event + EVENTS_LEAST > grid->event_count ||
            grid->events[event + EVENTS_LEAST - 1] > from + window)
            continue;
        if (fit_circle(grid->points + first, cells, &curvature) &&
            fabs(curvature) * window <= fit_turn)
            return (Steady){curvature, window};
    }
    return (Steady){0, 0};
}

/* ---- replacing ---- */

static void keep(Arena *arena, Profile *profile, Span span)
{
    if (span.to > span.from)
        *ARENA_PUSH(arena, profile->spans, profile->count, profile->capacity) = span;
}

/* Adds what `raw` has between two places. `next`: the first span not yet done. */
static void keep_raw(Arena *arena, Profile *profile, const Profile *raw, size_t *next, double from,
                     double to)
{
    while (*next < raw->count && raw->spans[*next].to <= from)
        ++*next;
    for (size_t i = *next; i < raw->count && raw->spans[i].from < to; i++)
        keep(arena, profile, span_part(raw, &raw->spans[i], from, to));
}

/* An even stretch may run over joints; its places on the path are cut there, so
 * that each span lies on one piece. A corner at its start stays. */
static void keep_steady(Arena *arena, Profile *profile, const Profile *raw, size_t *next,
                        Steady steady, double from, double to)
{
    while (*next < raw->count && raw->spans[*next].to <= from)
        ++*next;
    for (size_t i = *next; i < raw->count && raw->spans[i].from < to; i++) {
        Span span = span_part(raw, &raw->spans[i], from, to);
        span.first = span.last = fabs(steady.curvature);
        span.side = (steady.curvature > 0) - (steady.curvature < 0);
        span.window = steady.window;
        span.jump = span.corner ? span.jump : 0;
        keep(arena, profile, span);
    }
}

/* ---- the places to look at ---- */

/* The sharp places, and the valleys between those of one bend. */
static EventList events_of(Arena *arena, const Profile *raw)
{
    EventList list = {0};
    Stretch *stretches;
    size_t count = profile_stretches(arena, raw, &stretches);

    for (size_t i = 0; i < count; i++) {
        if (stretches[i].joined)
            *ARENA_PUSH(arena, list.items, list.count, list.capacity) = stretches[i].from;
        *ARENA_PUSH(arena, list.items, list.count, list.capacity) = stretches[i].top;
    }
    return list;
}

/* Whether three events begin here within the widest window; the stretch that
 * looks at them. */
static bool reach_of(const EventList *events, size_t i, double *from, double *to)
{
    if (i + EVENTS_LEAST > events->count)
        return false;
    double first = events->items[i], last = events->items[i + EVENTS_LEAST - 1];
    *from = last - BEND_STEADY_MM;
    *to = first + BEND_STEADY_MM;
    return last - first <= BEND_STEADY_MM;
}

static Grid grid_over(Arena *arena, const Profile *raw, const EventList *events, double from,
                      double to)
{
    size_t first = first_event(events->items, events->count, from);
    size_t cells = (size_t)ceil((to - from) / step_mm - 1e-9);
    Grid grid = {.from = from,
                 .cells = cells ? cells : 1,
                 .events = events->items + first,
                 .event_count = first_event(events->items, events->count, to) - first};

    grid.step = (to - from) / (double)grid.cells;
    grid.points = ARENA_NEW(arena, Point, grid.cells + 1);
    for (size_t i = 0; i <= grid.cells; i++)
        grid.points[i] = path_point(raw->path, ruler_at(&raw->ruler, from + grid.step * (double)i));
    return grid;
}

static void steady_grid(Arena *arena, Profile *profile, const Profile *raw, const Grid *grid,
                        size_t *next)
{
    double at = grid->from;
    for (size_t i = 0; i <= grid->cells; i++) {
        double end = grid->from + grid->step * (i == grid->cells ? (double)i : (double)i + 0.5);
        Steady steady = steady_at(grid, i);
        if (steady.window > 0)
            keep_steady(arena, profile, raw, next, steady, at, end);
        else
            keep_raw(arena, profile, raw, next, at, end);
        at = end;
    }
}

/* Between two corners. */
static void steady_run(Arena *arena, Profile *profile, const Profile *raw, const EventList *events,
                       size_t *next, double from, double to)
{
    double done = from, first, last;
    size_t i = first_event(events->items, events->count, from);

    while (i < events->count && events->items[i] < to) {
        if (!reach_of(events, i++, &first, &last) || first >= to)
            continue;
        for (double a, b; reach_of(events, i, &a, &b) && a <= last; i++)
            last = b;
        first = fmax(fmax(first, done), from);
        last = fmin(last, to);
        if (!(last - first > step_mm))
            continue;
        keep_raw(arena, profile, raw, next, done, first);
        Grid grid = grid_over(arena, raw, events, first, last);
        steady_grid(arena, profile, raw, &grid, next);
        done = last;
    }
    keep_raw(arena, profile, raw, next, done, to);
}

Profile profile_steadied(Arena *arena, const Profile *raw)
{
    EventList events = events_of(arena, raw);
    bool any = false;
    double from, to;

    for (size_t i = 0; i < events.count && !any; i++)
        any = reach_of(&events, i, &from, &to);
    if (!any)
        return *raw;
    Profile steady = {.path = raw->path, .ruler = raw->ruler};
    size_t next = 0;
    from = 0;
    for (size_t i = 0; i <= raw->count; i++) {
        if (i < raw->count && (i == 0 || !raw->spans[i].corner))
            continue;
        to = i < raw->count ? raw->spans[i].from : raw->spans[i - 1].to;
        steady_run(arena, &steady, raw, &events, &next, from, to);
        from = to;
    }
    return steady;
}

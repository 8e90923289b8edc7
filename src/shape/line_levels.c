/* Where one polyline comes within a distance of another.
 * For whoever asks about lines.
 *
 * Near a segment is a capsule. It is convex, so that a segment of the walk is in
 * it for one span; the ends of the union of all spans are the places asked for. */
#include <float.h>
#include <math.h>
#include <stdlib.h>

#include "base/sort.h"
#include "shape/line.h"
#include "shape/vector.h"

/* Places nearer than this to each other are one. */
#define SAME_MM 1e-9

/* From..to, mm along the walk, or 0..1 of a segment. */
typedef struct Span {
    double from, to;
} Span;

/* Apart from each other and in order once merged. */
typedef struct Spans {
    Span *items;
    size_t count, capacity;
} Spans;

typedef struct Levels {
    const Line *walk, *line;
    double level;
    double slack; /* what rounding makes of a distance */
    Arena scratch;
    size_t segment; /* of the walk, at hand */
    bool covered;   /* all of it is within the level */
    Spans here[2];  /* of that segment */
    Spans done[2];  /* of all up to it, merged */
} Levels;

/* Spans within the level, and spans that keep at the level of one segment. */
enum { INSIDE, KEEPING };

enum { HALVINGS = 4 }; /* of a segment, to see that it is within the level */

static const Span nothing = {INFINITY, -INFINITY};

static bool is_some(Span span)
{
    return span.from <= span.to;
}

static Span both(Span a, Span b)
{
    return (Span){fmin(a.from, b.from), fmax(a.to, b.to)};
}

static void add_span(Levels *levels, Spans *spans, Span span)
{
    *ARENA_PUSH(&levels->scratch, spans->items, spans->count, spans->capacity) = span;
}

/* For spans that come in the order of their starts. */
static void merge_span(Levels *levels, Spans *spans, Span span)
{
    Span *last = spans->count > 0 ? &spans->items[spans->count - 1] : NULL;
    if (last && span.from <= last->to + SAME_MM)
        last->to = fmax(last->to, span.to);
    else
        add_span(levels, spans, span);
}

static int by_start(const void *a, const void *b)
{
    const Span *one = a, *other = b;
    return (one->from > other->from) - (one->from < other->from);
}

/* ---- A segment of the walk and a capsule ---- */

/* Both segments as seen from the line's: it starts at the origin and runs along x. */
typedef struct Pair {
    Point a, b; /* ends of the walk's segment */
    Point way;  /* its unit vector */
    double length, line_length;
} Pair;

/* False where both ends lie beyond the same side of the capsule's box: most do. */
static bool pair_of(const Levels *levels, size_t k, Pair *pair)
{
    const Line *walk = levels->walk, *line = levels->line;
    double reach = levels->level + 2 * levels->slack;
    Point c = line->points[k], step = minus(line->points[k + 1], c);
    pair->line_length = size(step);
    double most = pair->line_length + reach;
    Point x = pair->line_length > 0
                  ? (Point){step.x / pair->line_length, step.y / pair->line_length}
                  : (Point){1, 0};
    Point a = minus(walk->points[levels->segment], c);
    Point b = minus(walk->points[levels->segment + 1], c);
    pair->a = (Point){dot(x, a), cross(x, a)};
    pair->b = (Point){dot(x, b), cross(x, b)};
    if ((pair->a.y > reach && pair->b.y > reach) || (pair->a.y < -reach && pair->b.y < -reach) ||
        (pair->a.x > most && pair->b.x > most) || (pair->a.x < -reach && pair->b.x < -reach))
        return false;
    Point go = minus(pair->b, pair->a);
    pair->length = size(go);
    pair->way =
        pair->length > 0 ? (Point){go.x / pair->length, go.y / pair->length} : (Point){1, 0};
    return true;
}

/* The part of `span` where what runs evenly from `a` at 0 to `b` at 1 is least..most. */
static Span clipped(Span span, double a, double b, double least, double most)
{
    if (fmax(a, b) < least || fmin(a, b) > most)
        return nothing;
    if (a < least || a > most)
        span.from = fmax(span.from, ((a < least ? least : most) - a) / (b - a));
    if (b < least || b > most)
        span.to = fmin(span.to, ((b < least ? least : most) - a) / (b - a));
    return is_some(span) ? span : nothing;
}

/* Within rounding of the level is at it. */
static double snapped(const Levels *levels, double y)
{
    return fabs(fabs(y) - levels->level) <= levels->slack ? copysign(levels->level, y) : y;
}

/* Between the two long sides of the capsule; `beside`: where the line's segment is abreast. */
static Span flat_part(const Levels *levels, const Pair *pair, Span beside)
{
    return clipped(beside, snapped(levels, pair->a.y), snapped(levels, pair->b.y), -levels->level,
                   levels->level);
}

static bool keeps_level(const Levels *levels, const Pair *pair, Span beside)
{
    double rise = pair->b.y - pair->a.y;
    double from = pair->a.y + beside.from * rise, to = pair->a.y + beside.to * rise;
    return (beside.to - beside.from) * pair->length > SAME_MM &&
           fabs(fabs(from) - levels->level) <= levels->slack &&
           fabs(fabs(to) - levels->level) <= levels->slack && fabs(to - from) <= 2 * levels->slack;
}

/* In the circle round one end of the line's segment, at (x, 0). */
static Span round_part(const Levels *levels, const Pair *pair, double x)
{
    Point to_middle = minus((Point){x, 0}, pair->a);
    double ahead = dot(pair->way, to_middle), aside = fabs(cross(pair->way, to_middle));
    double deep = levels->level - aside;
    if (deep < -levels->slack)
        return nothing;
    double half = deep > levels->slack ? sqrt(deep * (levels->level + aside)) : 0;
    double from = ahead - half, to = ahead + half;
    if (to < -levels->slack || from > pair->length + levels->slack)
        return nothing;
    return (Span){from > 0 ? fmin(from / pair->length, 1) : 0,
                  to < pair->length ? fmax(to / pair->length, 0) : 1};
}

/* From shares of the segment to mm along the walk; its ends exactly. */
static Span along_walk(const Levels *levels, Span span)
{
    const double *at = &levels->walk->at[levels->segment];
    double length = at[1] - at[0];
    return (Span){span.from >= 1 ? at[1] : at[0] + span.from * length,
                  span.to >= 1 ? at[1] : at[0] + span.to * length};
}

static void meet_segment(Levels *levels, size_t k)
{
    Pair pair;
    if (!pair_of(levels, k, &pair))
        return;
    Span beside = clipped((Span){0, 1}, pair.a.x, pair.b.x, 0, pair.line_length);
    if (is_some(beside) && keeps_level(levels, &pair, beside)) {
        add_span(levels, &levels->here[KEEPING], along_walk(levels, beside));
        return;
    }
    Span met = both(round_part(levels, &pair, 0), round_part(levels, &pair, pair.line_length));
    if (is_some(beside))
        met = both(met, flat_part(levels, &pair, beside));
    if (!is_some(met))
        return;
    add_span(levels, &levels->here[INSIDE], along_walk(levels, met));
    levels->covered = met.from <= 0 && met.to >= 1;
}

/* ---- Through the trees ---- */

static bool is_near(const Levels *levels, const Box *walk, const Box *line)
{
    double reach = levels->level + 2 * levels->slack;
    return box_gap2(walk, line) <= reach * reach;
}

static bool in_reach(const Levels *levels, const Box *walk, BoxRun run)
{
    return is_near(levels, walk, &levels->line->boxes[run.box]);
}

static void meet_leaf(Levels *levels, const Box *walk, BoxRun run)
{
    for (size_t k = run.from; k < run.to && !levels->covered; k++) {
        Box box = box_around(levels->line->points[k], levels->line->points[k + 1]);
        if (is_near(levels, walk, &box))
            meet_segment(levels, k);
    }
}

/* The nearer half first: it is likelier to cover the segment. */
static void meet_run(Levels *levels, const Box *box, BoxRun run)
{
    if (levels->covered || !in_reach(levels, box, run))
        return;
    if (boxrun_is_leaf(run)) {
        meet_leaf(levels, box, run);
        return;
    }
    BoxRun a = boxrun_half(run, 0), b = boxrun_half(run, 1);
    bool first =
        box_gap2(box, &levels->line->boxes[a.box]) <= box_gap2(box, &levels->line->boxes[b.box]);
    meet_run(levels, box, first ? a : b);
    meet_run(levels, box, first ? b : a);
}

static BoxRun whole(const Line *line)
{
    return boxrun_whole(line->count - 1);
}

/* Distances change by no more than one goes: from the middle of a box one sees
 * whether all of it lies within the level (then true), or nothing (then `clear`). */
static bool is_covered(const Levels *levels, const Box *box, bool *clear)
{
    Point middle = {box->least.x + (box->most.x - box->least.x) / 2,
                    box->least.y + (box->most.y - box->least.y) / 2};
    double half = size(minus(box->most, middle)) + 2 * levels->slack;
    Nearest nearest;
    *clear = !line_nearest(levels->line, middle, levels->level + half, &nearest);
    return !*clear && nearest.distance + half < levels->level;
}

static void cover(Levels *levels, size_t from, size_t to)
{
    Span all = {levels->walk->at[from], levels->walk->at[to]};
    merge_span(levels, &levels->done[INSIDE], all);
}

static void meet_line(Levels *levels, size_t i, const Box *box)
{
    levels->segment = i;
    levels->covered = false;
    meet_run(levels, box, whole(levels->line));
    for (int kind = 0; kind < 2; kind++) {
        Spans *here = &levels->here[kind];
        if (here->count > 1)
            qsort(here->items, here->count, sizeof *here->items, by_start);
        for (size_t k = 0; k < here->count; k++)
            merge_span(levels, &levels->done[kind], here->items[k]);
        here->count = 0;
    }
}

/* The same for a segment, by its parts: many capsules may cover it together, and
 * each that does not alone would be looked at. */
static bool is_deep(const Levels *levels, Point a, Point b, int halvings)
{
    Point middle = {a.x + (b.x - a.x) / 2, a.y + (b.y - a.y) / 2};
    double half = size(minus(b, middle)) + 2 * levels->slack;
    Nearest nearest;
    if (!line_nearest(levels->line, middle, levels->level, &nearest))
        return false;
    if (nearest.distance + half < levels->level)
        return true;
    return halvings > 0 && is_deep(levels, a, middle, halvings - 1) &&
           is_deep(levels, middle, b, halvings - 1);
}

/* What is short against the level and deep within it, one capsule covers alone. */
static bool is_long(const Levels *levels, size_t i)
{
    return levels->walk->at[i + 1] - levels->walk->at[i] > levels->level / 2;
}

static void walk_segment(Levels *levels, size_t i)
{
    Point a = levels->walk->points[i], b = levels->walk->points[i + 1];
    Box box = box_around(a, b);
    if (is_long(levels, i) && is_deep(levels, a, b, HALVINGS))
        cover(levels, i, i + 1);
    else
        meet_line(levels, i, &box);
}

static void walk_run(Levels *levels, BoxRun run)
{
    const Box *box = &levels->walk->boxes[run.box];
    bool clear;
    if (!in_reach(levels, box, whole(levels->line)))
        return;
    if (is_covered(levels, box, &clear)) {
        cover(levels, run.from, run.to);
    } else if (!clear && boxrun_is_leaf(run)) {
        for (size_t i = run.from; i < run.to; i++)
            walk_segment(levels, i);
    } else if (!clear) {
        walk_run(levels, boxrun_half(run, 0));
        walk_run(levels, boxrun_half(run, 1));
    }
}

/* ---- Places ---- */

static bool is_at_level(const Levels *levels, double at)
{
    Nearest nearest;
    line_nearest(levels->line, line_point(levels->walk, at), INFINITY, &nearest);
    return fabs(nearest.distance - levels->level) <= 2 * levels->slack;
}

/* A walk may begin or end within the level. */
static bool is_passing(const Levels *levels, double at)
{
    return (at > 0 && at < line_length(levels->walk)) || is_at_level(levels, at);
}

static bool is_within(const Spans *spans, double at)
{
    size_t from = 0, to = spans->count;
    while (from < to) {
        size_t middle = from + (to - from) / 2;
        if (spans->items[middle].to <= at + SAME_MM)
            from = middle + 1;
        else
            to = middle;
    }
    return from < spans->count && spans->items[from].from < at - SAME_MM;
}

/* What keeps at the level of one segment keeps at that of others too where they meet. */
static bool is_place(const Levels *levels, int kind, Span span, double at)
{
    if (kind == KEEPING)
        return is_at_level(levels, at);
    bool touches = span.to - span.from <= SAME_MM;
    return is_passing(levels, at) && !(touches && is_within(&levels->done[KEEPING], at));
}

static size_t places_of(const Levels *levels, double *at)
{
    size_t count = 0, have = 0;
    for (int kind = 0; kind < 2; kind++) {
        const Spans *done = &levels->done[kind];
        for (size_t i = 0; i < 2 * done->count; i++) {
            Span span = done->items[i / 2];
            double place = i % 2 ? span.to : span.from;
            if (is_place(levels, kind, span, place))
                at[count++] = place;
        }
    }
    if (count > 1)
        sort_numbers(at, count);
    for (size_t i = 0; i < count; i++)
        if (have == 0 || at[i] - at[have - 1] > SAME_MM)
            at[have++] = at[i];
    return have;
}

size_t line_levels(Arena *arena, const Line *walk, const Line *line, double level, double **at)
{
    *at = NULL;
    if (!(level >= 0) || !isfinite(level))
        return 0;
    Levels levels = {.walk = walk, .line = line, .level = level};
    levels.slack = 32 * DBL_EPSILON *
                   fmax(level, fmax(box_reach(&walk->boxes[1]), box_reach(&line->boxes[1])));
    walk_run(&levels, whole(walk));
    *at = ARENA_NEW(arena, double, 2 * (levels.done[INSIDE].count + levels.done[KEEPING].count));
    size_t count = places_of(&levels, *at);
    arena_free(&levels.scratch);
    return count;
}

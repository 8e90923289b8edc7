/* Rolls a disc along a line and puts its arcs where it does not fit.
 * For whoever proposes lines. */
#include "shape/rounded_inside.h"

#include <math.h>

#include "shape/line.h"
#include "shape/vector.h"

enum { ARCS_MOST = 200 };

static Path path_of(const Work *work)
{
    return (Path){work->pieces, work->count};
}

/* ---- Bend after bend ---- */

/* What is wished, and where the drawn line bends. */
typedef struct Need {
    const RoundedWish *wish;
    const Point *places; /* one a bend; NULL: not asked */
} Need;

/* A bend of the line as far as it is worked on. */
typedef struct Place {
    Bend bend;
    double needed; /* 0: it may stay */
    bool tight;
} Place;

/* That of the nearest bend drawn. */
static double needed_about(const Need *need, Point place)
{
    double least = INFINITY, radius = 0;
    for (size_t i = 0; i < need->wish->each_count; i++) {
        double away = size(minus(place, need->places[i]));
        if (away < least)
            least = away, radius = need->wish->each[i];
    }
    return radius;
}

static size_t find_places(Arena *arena, const Path *path, const Need *need, Place **places)
{
    Bend *bends;
    size_t count = bends_find(arena, path, &bends);
    *places = ARENA_NEW(arena, Place, count);
    for (size_t i = 0; i < count; i++) {
        double radius = bends[i].left ? need->wish->rounded : need->wish->hollow;
        if (need->wish->each)
            radius = needed_about(need, path_point(path, bends[i].sharpest));
        if (bends[i].corner && !need->wish->corners)
            radius = 0;
        (*places)[i] = (Place){bends[i], radius, bends[i].radius < radius * (1 - 1e-9)};
    }
    return count;
}

/* The one that is the farthest from what it needs. */
static const Place *tightest(const Place *places, size_t count)
{
    const Place *found = NULL;
    double least = INFINITY;
    for (size_t i = 0; i < count; i++) {
        double share = places[i].bend.radius / places[i].needed;
        if (places[i].tight && share < least)
            found = &places[i], least = share;
    }
    return found;
}

static PathAt extended(PathAt at)
{
    return (PathAt){at.piece + 1, at.t};
}

static void say_where(Text *text, const Place *place)
{
    text_add(text, place->bend.corner ? "the corner " : "the bend of ");
    if (!place->bend.corner) {
        text_add_number(text, place->bend.radius, 3);
        text_add(text, " mm ");
    }
    text_add_number(text, place->bend.at, 3);
    text_add(text, " mm along cannot have ");
    text_add_number(text, place->needed, 4);
    text_add(text, " mm: ");
}

/* The two sides of a slot face each other: how wide it is. */
static bool faces(const Rolled *rolled, double radius, double *gap)
{
    Point across = minus(rolled->behind.on, rolled->before.on);
    Point one = minus(rolled->centre, rolled->before.on);
    Point other = minus(rolled->behind.on, rolled->centre);
    *gap = size(across);
    return *gap < 2 * radius && dot(one, other) > 0.98 * size(one) * size(other);
}

static void say_reason(Text *why, const Rolled *rolled, double radius, bool at_end)
{
    double gap;
    if (at_end) {
        text_add(why, "its arc would begin or end beyond the line's end, which stays");
    } else if (faces(rolled, radius, &gap)) {
        text_add(why, "its two sides stand ");
        text_add_number(why, gap, 3);
        text_add(why, " mm apart, and it needs twice its radius");
    } else {
        text_add(why, "no arc of that radius touches the line on both sides of it and crosses "
                      "it nowhere");
    }
}

/* Sharp places of the same side that share the run are rounded at once. */
static Tight shared(const Tight *alone, const Run *run, const Place *places, size_t count)
{
    Tight tight = *alone;
    tight.before = run->from;
    tight.behind = run->to;
    for (size_t i = 0; i < count; i++) {
        PathAt sharp = extended(places[i].bend.sharpest);
        if (!places[i].tight || places[i].bend.left != (alone->side > 0) ||
            !comes_before(run->from, sharp) || !comes_before(sharp, run->to))
            continue;
        if (comes_before(sharp, tight.first))
            tight.first = sharp;
        if (comes_before(tight.last, sharp))
            tight.last = sharp;
    }
    return tight;
}

static bool round_bend(Work *work, const Place *places, size_t count, const Place *place, Text *why)
{
    Arena scratch = {0};
    Path line = path_of(work);
    Trace trace = rounded_trace(&scratch, &line);
    const Bend *bend = &place->bend;
    Tight alone = {extended(bend->sharpest), extended(bend->sharpest),     extended(bend->from),
                   extended(bend->to),       place->needed * ROUNDED_OVER, bend->left ? 1 : -1};
    Tight tight = alone;
    Rolled rolled = {0};
    Run run;
    bool at_end = false, found = false;
    if (rounded_run(&trace, alone.radius, alone.side, alone.first, &run)) {
        tight = shared(&alone, &run, places, count);
        found = rounded_roll(&trace, &tight, &rolled, &at_end);
    }
    if (!found)
        found = rounded_roll_alone(&trace, &alone, &rolled, &at_end);
    if (found) {
        rounded_replace(work, &tight, &rolled);
    } else {
        say_where(why, place);
        say_reason(why, &rolled, alone.radius, at_end);
    }
    arena_free(&scratch);
    return found;
}

static bool round_all(Work *work, const Need *need, Text *why)
{
    for (int i = 0; i < ARCS_MOST; i++) {
        Arena scratch = {0};
        Place *places;
        Path path = path_of(work);
        size_t count = find_places(&scratch, &path, need, &places);
        const Place *place = tightest(places, count);
        bool good = place && round_bend(work, places, count, place, why);
        arena_free(&scratch);
        if (!place || !good)
            return !place;
    }
    text_add(why, "rounding one bend makes another too tight, again and again");
    return false;
}

/* Where the drawn line bends. */
static const Point *drawn_places(Arena *arena, const Path *path, const RoundedWish *wish)
{
    Bend *bends;
    size_t count = wish->each ? bends_find(arena, path, &bends) : 0;
    Point *places = ARENA_NEW(arena, Point, wish->each_count);
    for (size_t i = 0; i < count && i < wish->each_count; i++)
        places[i] = path_point(path, bends[i].sharpest);
    return places;
}

/* ---- What came of it ---- */

/* Twice the area between a cubic and the origin. Of each pair of its points. */
static double twice_area(const Path *path, Point origin)
{
    static const double share[4][4] = {
        {0, 0.6, 0.3, 0.1}, {0, 0, 0.3, 0.3}, {0, 0, 0, 0.6}, {0, 0, 0, 0}};
    double twice = 0;
    for (size_t i = 0; i < path->count; i++)
        for (int j = 0; j < 4; j++)
            for (int k = j + 1; k < 4; k++)
                twice += share[j][k] * cross(minus(path->pieces[i].p[j], origin),
                                             minus(path->pieces[i].p[k], origin));
    return twice;
}

static double farthest(Arena *arena, const Path *from, const Path *to, Point *on_from, Point *on_to)
{
    static const double fine = 1e-4; /* mm */
    Point *walk, *points;
    size_t count = path_flatten(arena, from, fine, &walk);
    Line line = line_new(arena, points, path_flatten(arena, to, fine, &points));
    double most = -1;
    for (size_t i = 0; i < count; i++) {
        Nearest nearest;
        line_nearest(&line, walk[i], INFINITY, &nearest);
        if (nearest.distance > most) {
            most = nearest.distance;
            *on_from = walk[i];
            *on_to = nearest.on;
        }
    }
    return most;
}

double rounded_apart(const Path *one, const Path *other, Point *on_one, Point *on_other)
{
    Arena scratch = {0};
    Point a, b;
    double most = farthest(&scratch, one, other, on_one, on_other);
    double back = farthest(&scratch, other, one, &b, &a);
    if (back > most) {
        *on_one = a;
        *on_other = b;
    }
    arena_free(&scratch);
    return fmax(most, back);
}

static void measure(const Path *path, Rounded *rounded)
{
    Arena scratch = {0};
    Bend *bends;
    size_t count = bends_find(&scratch, &rounded->path, &bends);
    rounded->hollow = rounded->rounded = INFINITY;
    for (size_t i = 0; i < count; i++) {
        double *least = bends[i].left ? &rounded->rounded : &rounded->hollow;
        if (bends[i].corner)
            rounded->corners++;
        else
            *least = fmin(*least, bends[i].radius);
    }
    arena_free(&scratch);
    rounded->drawn_at = rounded->new_at = path_start(path);
    if (rounded->arc_count == 0)
        return;
    rounded->deviation = rounded_apart(path, &rounded->path, &rounded->drawn_at, &rounded->new_at);
    rounded->longer = path_length(&rounded->path) - path_length(path);
    rounded->larger =
        (twice_area(&rounded->path, path_start(path)) - twice_area(path, path_start(path))) / 2;
}

bool rounded_line(Arena *arena, const Path *path, const RoundedWish *wish, Rounded *rounded,
                  Text *why)
{
    Path copy = path_copy(arena, path);
    Work work = {.arena = arena, .pieces = copy.pieces, .count = copy.count};
    work.arc_of = ARENA_NEW(arena, size_t, copy.count);
    Arena scratch = {0};
    Need need = {wish, drawn_places(&scratch, path, wish)};
    bool good = round_all(&work, &need, why);
    arena_free(&scratch);
    *rounded = (Rounded){0};
    if (!good)
        return false;
    *rounded = (Rounded){.path = path_of(&work),
                         .arc_of = work.arc_of,
                         .arcs = work.arcs,
                         .arc_count = work.arc_count};
    if (work.count > PATH_PIECES_MOST) {
        text_addf(why, "the line would have more than %d pieces", (int)PATH_PIECES_MOST);
        return false;
    }
    measure(path, rounded);
    if (rounded->deviation <= wish->within)
        return true;
    text_add(why, "it would lie ");
    text_add_number(why, rounded->deviation, 3);
    text_add(why, " mm off the drawn line; ");
    text_add_number(why, wish->within, 3);
    text_add(why, " mm are allowed");
    return false;
}

Rounded rounded_reversed(Arena *arena, const Rounded *rounded)
{
    Rounded other = *rounded;
    size_t count = rounded->path.count;
    size_t *arc_of = ARENA_NEW(arena, size_t, count);
    RoundedArc *arcs = ARENA_NEW(arena, RoundedArc, rounded->arc_count);
    other.path = path_copy(arena, &rounded->path);
    path_reverse(&other.path);
    for (size_t i = 0; i < count; i++)
        arc_of[i] = rounded->arc_of[count - 1 - i];
    for (size_t i = 0; i < rounded->arc_count; i++) {
        arcs[i] = rounded->arcs[i];
        arcs[i].left = !arcs[i].left;
    }
    other.arc_of = arc_of;
    other.arcs = arcs;
    other.larger = -rounded->larger;
    other.hollow = rounded->rounded;
    other.rounded = rounded->hollow;
    return other;
}

double rounded_share(const Path *path, const RoundedWish *wish)
{
    double low = 0, high = 1;
    while (high - low > 0.01) {
        Arena scratch = {0};
        Text ignored = {0};
        double middle = (low + high) / 2;
        double *each = ARENA_NEW(&scratch, double, wish->each_count);
        RoundedWish less = *wish;
        Rounded rounded;
        less.hollow *= middle;
        less.rounded *= middle;
        less.each = wish->each ? each : NULL;
        for (size_t i = 0; i < wish->each_count; i++)
            each[i] = wish->each[i] * middle;
        if (rounded_line(&scratch, path, &less, &rounded, &ignored))
            low = middle;
        else
            high = middle;
        text_free(&ignored);
        arena_free(&scratch);
    }
    return low;
}

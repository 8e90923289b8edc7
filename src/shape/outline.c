/* Joins the edges of a part to one outline with the part on their left.
 * For the readers of styles and whoever measures parts. */
#include "shape/outline.h"

#include <math.h>
#include <stdlib.h>

#include "shape/ring.h"

static const double least_area = 0.01; /* mm2; less encloses nothing */
static const double rounding = 1e-9;   /* mm */

/* ---- which ends belong together ---- */

/* End 2i is the start of path i, 2i + 1 its end. */
typedef struct End {
    Point at;
    size_t index, partner;
} End;

static const size_t alone = (size_t)-1;

static double distance(Point a, Point b)
{
    return hypot(a.x - b.x, a.y - b.y);
}

static int by_x(const void *a, const void *b)
{
    double one = ((const End *)a)->at.x, other = ((const End *)b)->at.x;
    return (one > other) - (one < other);
}

static bool fault(OutlineProblem *problem, size_t one, size_t other, Point at, const char *words)
{
    problem->one = one;
    problem->other = other;
    problem->at = at;
    text_add(problem->text, words);
    return false;
}

static bool fault_gap(OutlineProblem *problem, const End *one, const End *other)
{
    double gap = distance(one->at, other->at);
    /* Never shown as the 0.1 mm that would have been joined. */
    text_add(problem->text, "a gap of ");
    text_add_number(problem->text, gap, gap < 1.01 * OUTLINE_JOIN_MM ? 9 : 3);
    Point middle = {(one->at.x + other->at.x) / 2, (one->at.y + other->at.y) / 2};
    return fault(problem, one->index / 2, other->index / 2, middle,
                 " mm; ends within 0.1 mm are joined");
}

/* The first end without partner and the nearest other one. */
static bool fault_open(OutlineProblem *problem, const End *ends, size_t count)
{
    size_t first = 0, nearest = alone;
    while (ends[first].partner != alone)
        first++;
    for (size_t i = first + 1; i < count; i++)
        if (ends[i].partner == alone &&
            (nearest == alone ||
             distance(ends[first].at, ends[i].at) < distance(ends[first].at, ends[nearest].at)))
            nearest = i;
    return fault_gap(problem, &ends[first], &ends[nearest]);
}

/* Fills `partners`, by end. */
static bool pair_ends(Arena *arena, const Path *paths, size_t count, size_t *partners,
                      OutlineProblem *problem)
{
    End *ends = ARENA_NEW(arena, End, 2 * count);
    for (size_t i = 0; i < count; i++) {
        ends[2 * i] = (End){path_start(&paths[i]), 2 * i, alone};
        ends[2 * i + 1] = (End){path_end(&paths[i]), 2 * i + 1, alone};
    }
    qsort(ends, 2 * count, sizeof *ends, by_x);
    const double most = OUTLINE_JOIN_MM + rounding;
    size_t paired = 0;
    for (size_t i = 0; i < 2 * count; i++) {
        for (size_t j = i + 1; j < 2 * count && ends[j].at.x - ends[i].at.x <= most; j++) {
            if (distance(ends[i].at, ends[j].at) > most)
                continue;
            if (ends[i].partner != alone || ends[j].partner != alone)
                return fault(problem, ends[i].index / 2, ends[j].index / 2, ends[i].at,
                             "more than two ends lie within 0.1 mm of each other, so there is "
                             "more than one way to join them");
            ends[i].partner = ends[j].index;
            ends[j].partner = ends[i].index;
            paired += 2;
        }
    }
    if (paired < 2 * count)
        return fault_open(problem, ends, 2 * count);
    for (size_t i = 0; i < 2 * count; i++)
        partners[ends[i].index] = ends[i].partner;
    return true;
}

/* Goes round from the first path's start; turns paths met at their ends. */
static bool walk(Arena *arena, const Path *paths, size_t count, const size_t *partners,
                 Outline *outline, OutlineProblem *problem)
{
    bool *met = ARENA_NEW(arena, bool, count);
    size_t entry = 0;
    do {
        OutlineEdge *edge = &outline->edges[outline->count++];
        edge->given = entry / 2;
        edge->path = path_copy(arena, &paths[entry / 2]);
        if (entry % 2)
            path_reverse(&edge->path);
        met[entry / 2] = true;
        entry = partners[entry ^ 1];
    } while (entry != 0);
    for (size_t i = 0; i < count; i++)
        if (!met[i])
            return fault(problem, 0, i, path_start(&paths[i]),
                         "not on one line; the edges of a part close a single outline");
    return true;
}

/* ---- ends that meet exactly ---- */

static Point shifted(Point point, Point shift)
{
    return (Point){point.x + shift.x, point.y + shift.y};
}

static Point between(Point a, Point b, double share)
{
    return (Point){a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)};
}

static bool same(Point a, Point b)
{
    return a.x == b.x && a.y == b.y;
}

static bool is_nothing(const Cubic *cubic)
{
    return same(cubic->p[0], cubic->p[1]) && same(cubic->p[0], cubic->p[2]) &&
           same(cubic->p[0], cubic->p[3]);
}

static void drop_nothings(Path *path)
{
    size_t kept = 0;
    for (size_t i = 0; i < path->count; i++)
        if (!is_nothing(&path->pieces[i]))
            path->pieces[kept++] = path->pieces[i];
    path->count = kept;
}

/* Moves the ends; between them the shift changes evenly along the path and, in a
 * piece, evenly with its parameter: straight pieces stay straight, and where
 * pieces meet no corner arises. */
static void move_ends(Arena *arena, Path *path, Point start, Point end)
{
    Point from = path_start(path), to = path_end(path);
    if (same(from, start) && same(to, end))
        return;
    Point first = {start.x - from.x, start.y - from.y}, last = {end.x - to.x, end.y - to.y};
    PathRuler ruler = path_ruler(arena, path);
    double length = ruler_length(&ruler);
    for (size_t i = 0; i < path->count; i++) {
        Point a = between(first, last, ruler.starts[i] / length);
        Point b = between(first, last, ruler.starts[i + 1] / length);
        Point *p = path->pieces[i].p;
        p[0] = i ? path->pieces[i - 1].p[3] : start;
        p[1] = shifted(p[1], between(a, b, 1. / 3));
        p[2] = shifted(p[2], between(a, b, 2. / 3));
        p[3] = i + 1 < path->count ? shifted(p[3], b) : end;
    }
    drop_nothings(path);
}

static bool close_gaps(Arena *arena, Outline *outline, OutlineProblem *problem)
{
    Point *meets = ARENA_NEW(arena, Point, outline->count); /* where edge i starts */
    for (size_t i = 0; i < outline->count; i++) {
        size_t before = i ? i - 1 : outline->count - 1;
        Point a = path_end(&outline->edges[before].path), b = path_start(&outline->edges[i].path);
        meets[i] = same(a, b) ? a : between(a, b, 0.5);
    }
    for (size_t i = 0; i < outline->count; i++) {
        OutlineEdge *edge = &outline->edges[i];
        move_ends(arena, &edge->path, meets[i], meets[i + 1 < outline->count ? i + 1 : 0]);
        if (edge->path.count == 0)
            return fault(problem, edge->given, edge->given, meets[i],
                         "nothing is left of it when its ends are joined");
    }
    return true;
}

/* ---- the ring ---- */

/* Without the edge's last point, which starts the next edge. */
static size_t add_edge(Outline *outline, size_t edge, const Point *points, size_t count,
                       size_t room)
{
    for (size_t i = 0; i + 1 < count; i++) {
        size_t have = outline->ring_count;
        if (have > 0 && same(outline->ring[have - 1], points[i]))
            continue;
        if (have == room)
            return room + 1;
        outline->ring[have] = points[i];
        outline->ring_edge[have] = edge;
        outline->ring_count++;
    }
    return outline->ring_count;
}

static bool flatten(Arena *arena, Outline *outline, OutlineProblem *problem)
{
    outline->ring_count = 0;
    for (size_t i = 0; i < outline->count; i++) {
        Arena scratch = {0};
        const OutlineEdge *edge = &outline->edges[i];
        Point *points;
        size_t count = path_flatten(&scratch, &edge->path, OUTLINE_FLATNESS_MM, &points);
        bool fits = count <= OUTLINE_POINTS_MOST;
        if (fits && !outline->ring) {
            outline->ring = ARENA_NEW(arena, Point, OUTLINE_POINTS_MOST);
            outline->ring_edge = ARENA_NEW(arena, size_t, OUTLINE_POINTS_MOST);
        }
        fits =
            fits && add_edge(outline, i, points, count, OUTLINE_POINTS_MOST) <= OUTLINE_POINTS_MOST;
        arena_free(&scratch);
        if (!fits)
            return fault(problem, edge->given, edge->given, path_start(&edge->path),
                         "drawn to 0.01 mm the outline has more than 20,000 points; draw it with "
                         "fewer and longer pieces, and check its unit");
    }
    while (outline->ring_count > 1 &&
           same(outline->ring[0], outline->ring[outline->ring_count - 1]))
        outline->ring_count--;
    return true;
}

/* From the first point, so that a ring far from the origin loses no digits. */
static double signed_area(const Point *ring, size_t count)
{
    double twice = 0;
    for (size_t i = 1; i + 1 < count; i++)
        twice += (ring[i].x - ring[0].x) * (ring[i + 1].y - ring[0].y) -
                 (ring[i].y - ring[0].y) * (ring[i + 1].x - ring[0].x);
    return twice / 2;
}

static bool fault_crossing(Arena *arena, const Outline *outline, OutlineProblem *problem)
{
    Ring ring = ring_new(arena, outline->ring, outline->ring_count);
    size_t one, other;
    Point at;
    if (!ring_crosses(&ring, &one, &other, &at))
        return false;
    fault(problem, outline->edges[outline->ring_edge[one]].given,
          outline->edges[outline->ring_edge[other]].given, at,
          "the outline crosses or touches itself");
    return true;
}

/* The other way round, the first edge still first. */
static void turn_round(Outline *outline)
{
    for (size_t i = 1, j = outline->count - 1; i < j; i++, j--) {
        OutlineEdge edge = outline->edges[i];
        outline->edges[i] = outline->edges[j];
        outline->edges[j] = edge;
    }
    for (size_t i = 0; i < outline->count; i++)
        path_reverse(&outline->edges[i].path);
}

static void set_bounds(Outline *outline)
{
    outline->least = outline->most = outline->ring[0];
    for (size_t i = 1; i < outline->ring_count; i++) {
        Point point = outline->ring[i];
        outline->least = (Point){fmin(outline->least.x, point.x), fmin(outline->least.y, point.y)};
        outline->most = (Point){fmax(outline->most.x, point.x), fmax(outline->most.y, point.y)};
    }
}

static bool make_ring(Arena *arena, Arena *scratch, Outline *outline, OutlineProblem *problem)
{
    if (!flatten(scratch, outline, problem))
        return false;
    size_t first = outline->edges[0].given, last = outline->edges[outline->count - 1].given;
    Point start = path_start(&outline->edges[0].path);
    if (outline->ring_count < 3)
        return fault(problem, first, last, start, "the outline encloses nothing");
    if (fault_crossing(scratch, outline, problem))
        return false;
    double area = signed_area(outline->ring, outline->ring_count);
    if (fabs(area) < least_area)
        return fault(problem, first, last, start, "the outline encloses nothing");
    if (area < 0) {
        turn_round(outline);
        if (!flatten(scratch, outline, problem))
            return false;
    }
    size_t count = outline->ring_count;
    Point *ring = ARENA_NEW(arena, Point, count);
    size_t *ring_edge = ARENA_NEW(arena, size_t, count);
    for (size_t i = 0; i < count; i++) {
        ring[i] = outline->ring[i];
        ring_edge[i] = outline->ring_edge[i];
    }
    outline->ring = ring;
    outline->ring_edge = ring_edge;
    outline->area = signed_area(ring, count);
    set_bounds(outline);
    return true;
}

bool outline_join(Arena *arena, const Path *paths, size_t count, Outline *outline,
                  OutlineProblem *problem)
{
    *outline = (Outline){0};
    if (count == 0)
        return fault(problem, 0, 0, (Point){0, 0}, "a part without edges has no outline");
    Arena scratch = {0};
    size_t *partners = ARENA_NEW(&scratch, size_t, 2 * count);
    outline->edges = ARENA_NEW(arena, OutlineEdge, count);
    bool joined = pair_ends(&scratch, paths, count, partners, problem) &&
                  walk(arena, paths, count, partners, outline, problem) &&
                  close_gaps(arena, outline, problem) &&
                  make_ring(arena, &scratch, outline, problem);
    arena_free(&scratch);
    return joined;
}

/* Even and odd crossings of a ray to the right; a point level with a corner
 * belongs to the line above it, so that each is counted once. */
bool outline_contains(const Outline *outline, Point point)
{
    bool inside = false;
    if (!(point.x >= outline->least.x && point.x <= outline->most.x &&
          point.y >= outline->least.y && point.y <= outline->most.y))
        return false;
    for (size_t i = 0, j = outline->ring_count - 1; i < outline->ring_count; j = i++) {
        Point a = outline->ring[j], b = outline->ring[i];
        if ((a.y > point.y) == (b.y > point.y))
            continue;
        double side = (b.x - a.x) * (point.y - a.y) - (b.y - a.y) * (point.x - a.x);
        if ((side > 0) == (b.y > a.y))
            inside = !inside;
    }
    return inside;
}

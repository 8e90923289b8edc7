/* A closed polyline in a tree of boxes: crossings and discs that fit.
 * For the outline alone. */
#include "shape/ring.h"

#include <math.h>

#include "shape/vector.h"

static BoxRun whole(const Ring *ring)
{
    return boxrun_whole(ring->count);
}

/* Twice the area of the triangle; positive if c lies left of a to b. */
static double turn(Point a, Point b, Point c)
{
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

size_t ring_next(const Ring *ring, size_t point)
{
    return point + 1 == ring->count ? 0 : point + 1;
}

size_t ring_before(const Ring *ring, size_t point)
{
    return point == 0 ? ring->count - 1 : point - 1;
}

Ring ring_new(Arena *arena, const Point *points, size_t count)
{
    Ring ring = {points, count, ARENA_NEW(arena, Point, count), ARENA_NEW(arena, double, count),
                 box_tree(arena, points, count, true)};
    for (size_t i = 0; i < count; i++) {
        Point step = minus(points[ring_next(&ring, i)], points[i]);
        ring.lengths[i] = sqrt(dot(step, step));
        ring.along[i] = (Point){step.x / ring.lengths[i], step.y / ring.lengths[i]};
    }
    return ring;
}

/* ---- crossings ---- */

static bool boxes_meet(const Box *a, const Box *b)
{
    return a->least.x <= b->most.x && b->least.x <= a->most.x && a->least.y <= b->most.y &&
           b->least.y <= a->most.y;
}

static bool lies_on(Point a, Point b, Point c)
{
    return turn(a, b, c) == 0 && fmin(a.x, b.x) <= c.x && c.x <= fmax(a.x, b.x) &&
           fmin(a.y, b.y) <= c.y && c.y <= fmax(a.y, b.y);
}

static bool opposite(double a, double b)
{
    return (a > 0 && b < 0) || (a < 0 && b > 0);
}

static bool segments_meet(Point a, Point b, Point c, Point d, Point *at)
{
    double left = turn(c, d, a), right = turn(c, d, b);
    if (opposite(left, right) && opposite(turn(a, b, c), turn(a, b, d))) {
        double t = left / (left - right);
        *at = (Point){a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
        return true;
    }
    bool on_one = lies_on(a, b, c);
    if (on_one || lies_on(a, b, d)) {
        *at = on_one ? c : d;
        return true;
    }
    on_one = lies_on(c, d, a);
    *at = on_one ? a : b;
    return on_one || lies_on(c, d, b);
}

typedef struct Crossing {
    const Ring *ring;
    size_t one, other;
    Point at;
} Crossing;

static bool pair_meets(Crossing *crossing, size_t i, size_t j)
{
    const Ring *ring = crossing->ring;
    Point a = ring->points[i], b = ring->points[ring_next(ring, i)];
    Point c = ring->points[j], d = ring->points[ring_next(ring, j)];
    bool met;
    if (ring_next(ring, i) == j || ring_next(ring, j) == i) {
        Point first = ring->along[i], second = ring->along[j];
        met = first.x * second.y == first.y * second.x && dot(first, second) < 0;
        crossing->at = ring_next(ring, i) == j ? c : a;
    } else {
        met = segments_meet(a, b, c, d, &crossing->at);
    }
    crossing->one = i;
    crossing->other = j;
    return met;
}

static bool leaves_cross(Crossing *crossing, BoxRun a, BoxRun b)
{
    for (size_t i = a.from; i < a.to; i++)
        for (size_t j = a.box == b.box ? i + 1 : b.from; j < b.to; j++)
            if (pair_meets(crossing, i, j))
                return true;
    return false;
}

/* Depth: twice the tree's. */
static bool runs_cross(Crossing *crossing, BoxRun a, BoxRun b)
{
    const Box *boxes = crossing->ring->boxes;
    if (!boxes_meet(&boxes[a.box], &boxes[b.box]))
        return false;
    if (boxrun_is_leaf(a) && boxrun_is_leaf(b))
        return leaves_cross(crossing, a, b);
    if (boxrun_is_leaf(a) || (!boxrun_is_leaf(b) && b.to - b.from > a.to - a.from))
        return runs_cross(crossing, a, boxrun_half(b, 0)) ||
               runs_cross(crossing, a, boxrun_half(b, 1));
    return runs_cross(crossing, boxrun_half(a, 0), b) || runs_cross(crossing, boxrun_half(a, 1), b);
}

static bool run_crosses(Crossing *crossing, BoxRun run)
{
    if (boxrun_is_leaf(run))
        return leaves_cross(crossing, run, run);
    return run_crosses(crossing, boxrun_half(run, 0)) ||
           run_crosses(crossing, boxrun_half(run, 1)) ||
           runs_cross(crossing, boxrun_half(run, 0), boxrun_half(run, 1));
}

bool ring_crosses(const Ring *ring, size_t *one, size_t *other, Point *at)
{
    Crossing crossing = {.ring = ring};
    if (!run_crosses(&crossing, whole(ring)))
        return false;
    *one = crossing.one;
    *other = crossing.other;
    *at = crossing.at;
    return true;
}

/* ---- discs ---- */

/* A disc that touches at `on` and at q (seen from there) has |q|^2 = 2 r n.q. */
static void meet_point(Disc *disc, Point q, size_t by)
{
    double ahead = dot(disc->inward, q), square = dot(q, q);
    if (ahead > 0 && square < 2 * disc->radius * ahead) {
        disc->radius = square / (2 * ahead);
        disc->touch = (Point){disc->on.x + q.x, disc->on.y + q.y};
        disc->by = by;
    }
}

/* The discs touching at `on` lie in each other, so the one that touches the
 * segment's line does so first; where its touching point misses the segment, an
 * end decides. */
static void meet_segment(const Ring *ring, Disc *disc, size_t i)
{
    Point a = minus(ring->points[i], disc->on),
          b = minus(ring->points[ring_next(ring, i)], disc->on);
    Point along = ring->along[i], across = {-along.y, along.x};
    double off = dot(across, a);
    if (off < 0) {
        off = -off;
        across = (Point){-across.x, -across.y};
    }
    double lean = 1 + dot(disc->inward, across);
    if (off >= disc->radius * lean)
        return;
    double radius = off / lean;
    Point touch = {radius * (disc->inward.x + across.x), radius * (disc->inward.y + across.y)};
    double at = dot(minus(touch, a), along);
    if (at >= 0 && at <= ring->lengths[i]) {
        disc->radius = radius;
        disc->touch = (Point){disc->on.x + touch.x, disc->on.y + touch.y};
        disc->by = i;
        return;
    }
    meet_point(disc, a, i);
    meet_point(disc, b, i);
}

static bool disc_reaches(const Disc *disc, const Box *box)
{
    Point c = {disc->on.x + disc->radius * disc->inward.x,
               disc->on.y + disc->radius * disc->inward.y};
    return box_distance2(box, c) < disc->radius * disc->radius;
}

/* Radius of the disc that reaches the box's middle: the box to look into first. */
static double promise(const Disc *disc, const Box *box)
{
    Point q = {(box->least.x + box->most.x) / 2 - disc->on.x,
               (box->least.y + box->most.y) / 2 - disc->on.y};
    double ahead = dot(disc->inward, q);
    return ahead > 0 ? dot(q, q) / ahead : INFINITY;
}

static void fill_disc(const Ring *ring, Disc *disc, BoxRun run, size_t skip, size_t also)
{
    if (!disc_reaches(disc, &ring->boxes[run.box]))
        return;
    if (boxrun_is_leaf(run)) {
        for (size_t i = run.from; i < run.to; i++)
            if (i != skip && i != also)
                meet_segment(ring, disc, i);
        return;
    }
    BoxRun a = boxrun_half(run, 0), b = boxrun_half(run, 1);
    bool first = promise(disc, &ring->boxes[a.box]) <= promise(disc, &ring->boxes[b.box]);
    fill_disc(ring, disc, first ? a : b, skip, also);
    fill_disc(ring, disc, first ? b : a, skip, also);
}

void ring_fill(const Ring *ring, Disc *disc, size_t skip, size_t also)
{
    disc->touch = disc->on;
    if (disc->by != skip && disc->by != also)
        meet_segment(ring, disc, disc->by);
    fill_disc(ring, disc, whole(ring), skip, also);
}

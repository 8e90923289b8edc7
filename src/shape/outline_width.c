/* The narrowest place of an outline, by discs that touch it from inside.
 * For whoever holds an outline. */
#include <math.h>

#include "shape/outline.h"
#include "shape/ring.h"
#include "shape/vector.h"

/* A disc is laid to the outline at places `step` apart and, at hollow corners of
 * the ring, in directions 4 degrees apart; each grows until it touches something
 * else. These discs are those of the medial axis (Blum, "A transformation for
 * extracting new descriptors of shape", 1967). Places that look narrower than
 * their neighbours are then searched more finely. */
enum { PLACES_MOST = 5000 }; /* along the ring, and as many in fans */

static const double step_least = 0.5;    /* mm */
static const double step_finest = 0.002; /* mm */
static const double fan_least = 4 * 3.14159265358979323846 / 180;
static const double facing_cosine = -0.86602540378443865; /* of 150 degrees */

/* A place on segment `segment`, `along` mm from its start, or (along < 0) at its
 * start point in direction `inward`. */
typedef struct Place {
    size_t segment;
    double along;
    Disc disc;
    bool facing;
} Place;

typedef struct Search {
    Arena arena;
    Ring ring;
    double step, fan; /* mm between places, rad between directions */
    double most;      /* radius beyond which a disc is of no interest */
    size_t touched;   /* by the disc before: the next one likely touches it too */
    Place *places;
    size_t count, capacity;
} Search;

static Point middle_of(const Disc *disc)
{
    return (Point){disc->on.x + disc->radius * disc->inward.x,
                   disc->on.y + disc->radius * disc->inward.y};
}

/* Whether the directions from the middle to both touching places are opposite. */
static bool is_facing(const Disc *disc)
{
    Point middle = middle_of(disc);
    double x = disc->touch.x - middle.x, y = disc->touch.y - middle.y;
    return -(disc->inward.x * x + disc->inward.y * y) <= facing_cosine * disc->radius;
}

/* Lets the place's disc grow; `also` is the other segment it stands on. Once two
 * sides were found to face each other, discs grow little further than that. */
static void grow(Search *search, Place *place, size_t also)
{
    place->disc.radius = search->most;
    place->disc.by = search->touched;
    ring_fill(&search->ring, &place->disc, place->segment, also);
    search->touched = place->disc.by;
    place->facing = is_facing(&place->disc);
    if (place->facing)
        search->most = fmin(search->most, place->disc.radius + 2 * search->step);
}

static Place place_on(Search *search, size_t segment, double along)
{
    Point from = search->ring.points[segment], way = search->ring.along[segment];
    Place place = {
        .segment = segment,
        .along = along,
        .disc = {.on = {from.x + along * way.x, from.y + along * way.y}, .inward = left_of(way)}};
    grow(search, &place, segment);
    return place;
}

/* How far the ring turns to the right at a point, rad; 0 if to the left. */
static double hollow_turn(const Ring *ring, size_t point)
{
    Point in = ring->along[ring_before(ring, point)], out = ring->along[point];
    double turn = atan2(in.x * out.y - in.y * out.x, in.x * out.x + in.y * out.y);
    return fmax(-turn, 0);
}

/* At a hollow corner the disc may lean either way between the two normals. */
static void add_fan(Search *search, size_t segment)
{
    const Ring *ring = &search->ring;
    size_t before = ring_before(ring, segment);
    Point in = ring->along[before];
    double hollow = hollow_turn(ring, segment), first = atan2(in.x, -in.y);
    int count = (int)ceil(hollow / search->fan);
    for (int i = 0; i < count; i++) {
        double angle = first - hollow * (i + 0.5) / count;
        Place place = {.segment = segment,
                       .along = -1,
                       .disc = {.on = ring->points[segment], .inward = {cos(angle), sin(angle)}}};
        grow(search, &place, before);
        *ARENA_PUSH(&search->arena, search->places, search->count, search->capacity) = place;
    }
}

static void lay_discs(Search *search)
{
    const Ring *ring = &search->ring;
    for (size_t i = 0; i < ring->count; i++) {
        add_fan(search, i);
        int count = (int)ceil(ring->lengths[i] / search->step);
        for (int k = 0; k < count; k++) {
            Place place = place_on(search, i, ring->lengths[i] * (k + 0.5) / count);
            *ARENA_PUSH(&search->arena, search->places, search->count, search->capacity) = place;
        }
    }
}

static bool is_narrower(const Place *a, const Place *b)
{
    return a->facing && (!b->facing || a->disc.radius < b->disc.radius);
}

static Place refined(Search *search, Place best)
{
    if (best.along < 0)
        return best;
    double length = search->ring.lengths[best.segment];
    for (double step = search->step / 2; step > step_finest; step /= 2) {
        double from = best.along;
        for (int side = -1; side <= 1; side += 2) {
            double along = from + side * step;
            if (!(along > 0 && along < length))
                continue;
            Place place = place_on(search, best.segment, along);
            if (is_narrower(&place, &best))
                best = place;
        }
    }
    return best;
}

/* A place is worth a finer search if a neighbour is clearly wider or faces nothing. */
static bool is_notable(const Search *search, size_t i)
{
    const Place *place = &search->places[i];
    const Place *before = &search->places[i ? i - 1 : search->count - 1];
    const Place *after = &search->places[i + 1 < search->count ? i + 1 : 0];
    double less = place->disc.radius + 1e-3;
    return !before->facing || !after->facing || before->disc.radius > less ||
           after->disc.radius > less;
}

static Place find_narrowest(Search *search)
{
    Place best = search->places[0];
    for (size_t i = 0; i < search->count; i++) {
        Place place = search->places[i];
        if (!place.facing)
            continue;
        /* A finer search moves by less than a step, and what it looks at narrows
         * by less than it moves. */
        bool near = !best.facing || place.disc.radius - search->step < best.disc.radius;
        if (near && is_notable(search, i))
            place = refined(search, place);
        if (is_narrower(&place, &best))
            best = place;
    }
    return best;
}

static double distance_to(const Ring *ring, Point point)
{
    double least = INFINITY;
    for (size_t i = 0; i < ring->count; i++) {
        Point way = ring->along[i];
        double x = point.x - ring->points[i].x, y = point.y - ring->points[i].y;
        double along = fmin(fmax(x * way.x + y * way.y, 0), ring->lengths[i]);
        x -= along * way.x;
        y -= along * way.y;
        least = fmin(least, x * x + y * y);
    }
    return sqrt(least);
}

/* The place one step away in one of eight directions that is furthest from the ring. */
static Point best_step(const Ring *ring, Point from, double step, double *radius)
{
    Point best = from;
    for (int k = 0; k < 8; k++) {
        double angle = k * 3.14159265358979323846 / 4;
        Point to = {from.x + step * cos(angle), from.y + step * sin(angle)};
        double there = distance_to(ring, to);
        if (there > *radius) {
            *radius = there;
            best = to;
        }
    }
    return best;
}

/* The largest disc laid, moved to where it can grow. Steps are kept short of the
 * radius, so that it stays inside. */
static double find_widest(const Search *search, Point *middle)
{
    enum { STEPS_MOST = 200 };
    const Disc *best = &search->places[0].disc;
    for (size_t i = 1; i < search->count; i++)
        if (search->places[i].disc.radius > best->radius)
            best = &search->places[i].disc;
    *middle = middle_of(best);
    double radius = distance_to(&search->ring, *middle), step = radius / 2;
    for (int i = 0; i < STEPS_MOST && step > step_finest; i++) {
        double before = radius;
        *middle = best_step(&search->ring, *middle, step, &radius);
        if (!(radius > before))
            step /= 2;
    }
    return radius;
}

/* Fine steps, but no more of them than can be looked at. */
static void set_steps(Search *search)
{
    const Ring *ring = &search->ring;
    double round = 0, hollow = 0;
    for (size_t i = 0; i < ring->count; i++) {
        round += ring->lengths[i];
        hollow += hollow_turn(ring, i);
    }
    search->step = fmax(step_least, round / PLACES_MOST);
    search->fan = fmax(fan_least, hollow / PLACES_MOST);
    search->most = round; /* no disc inside is that large */
}

double outline_narrowest(const Outline *outline, Point *at)
{
    Search search = {0};
    search.ring = ring_new(&search.arena, outline->ring, outline->ring_count);
    set_steps(&search);
    lay_discs(&search);
    Place best = find_narrowest(&search);
    Point middle = middle_of(&best.disc);
    double radius = best.facing ? best.disc.radius : find_widest(&search, &middle);
    if (at)
        *at = middle;
    arena_free(&search.arena);
    return 2 * radius;
}

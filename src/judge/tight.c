/* Whether a rule that holds as written can fail within the tolerances, and how
 * often. For src/judge only.
 *
 * Interval arithmetic over the whole box says "can fail" too often: a value met
 * twice counts as two. So the box is halved, its widest side first, breadth
 * first, until every part is proven to hold, the middle of a part fails (a
 * witness), or 64 parts were looked at. What stays undecided is tight. Before
 * it is halved some of its corners are looked at: most that can fail do there. */
#include <math.h>

#include "judge/inside.h"
#include "judge/parts.h"

typedef struct Search {
    Arena arena;
    const Rule *rule;
    const Columns *columns;
    uint32_t record, lane;
    const void **sources;
    size_t source_count;
    bool declared_only;
    bool applies; /* `when` holds in the whole box, so in every part of it */
} Search;

typedef enum Found { FOUND_HOLDS, FOUND_FAILS, FOUND_OPEN } Found;

static void search_start(Search *search, const Rule *rule, const Columns *columns, uint32_t record,
                         uint32_t lane, bool declared_only)
{
    const ToleranceBox whole = {.declared_only = declared_only};
    *search = (Search){.rule = rule, .columns = columns, .record = record, .lane = lane};
    search->declared_only = declared_only;
    Plain plain;
    plain_start(&plain, rule, columns, lane, (int32_t)record);
    plain.box = &whole;
    search->source_count = plain_sources(&plain, &search->arena, &search->sources);
    PlainTruth when = look_when(&plain);
    search->applies = when.can_true && !when.can_false && !when.can_unknown;
}

/* NULL: its parts are worked out one by one. */
static Parts *search_parts(const Search *search)
{
    return parts_new(search->rule, search->columns, search->record, search->lane, search->sources,
                     search->source_count, search->declared_only);
}

static ToleranceBox box_new(Search *search)
{
    ToleranceBox box = {.count = search->source_count, .declared_only = search->declared_only};
    box.sides = ARENA_NEW(&search->arena, BoxSide, box.count);
    for (size_t i = 0; i < box.count; i++)
        box.sides[i] = (BoxSide){search->sources[i], 0, 1};
    return box;
}

/* Where `when and not require` holds in the box. */
typedef struct Failing {
    bool somewhere; /* as far as intervals can tell */
    bool in_middle;
} Failing;

static Failing box_fails(const Search *search, const ToleranceBox *box)
{
    Plain plain;
    plain_start(&plain, search->rule, search->columns, search->lane, (int32_t)search->record);
    plain.box = box;
    plain.at_point = true;
    bool in_middle = true;
    if (!search->applies) {
        PlainTruth when = look_when(&plain);
        if (!when.can_true)
            return (Failing){0};
        in_middle = when.nominal == KLEENE_TRUE;
    }
    PlainTruth require = plain_truth(&plain, search->rule->require);
    return (Failing){require.can_false, in_middle && require.nominal == KLEENE_FALSE};
}

static size_t widest_side(const ToleranceBox *box)
{
    size_t widest = 0;
    for (size_t i = 1; i < box->count; i++)
        if (box->sides[i].to - box->sides[i].from > box->sides[widest].to - box->sides[widest].from)
            widest = i;
    return widest;
}

static void box_halve(Search *search, const ToleranceBox *box, ToleranceBox *lower,
                      ToleranceBox *upper)
{
    size_t side = widest_side(box);
    double middle = (box->sides[side].from + box->sides[side].to) / 2;
    *lower = *upper = *box;
    lower->sides = ARENA_NEW(&search->arena, BoxSide, box->count);
    upper->sides = ARENA_NEW(&search->arena, BoxSide, box->count);
    for (size_t i = 0; i < box->count; i++)
        lower->sides[i] = upper->sides[i] = box->sides[i];
    lower->sides[side].to = middle;
    upper->sides[side].from = middle;
}

/* Those of one layer, which do not wait for each other. Without `parts`, one by one. */
static void boxes_fail(const Search *search, Parts *parts, const ToleranceBox *boxes, size_t count,
                       Failing *failing)
{
    for (size_t i = 0; i < count && parts; i++)
        parts_set(parts, (uint32_t)i, boxes[i].sides);
    PartsFailing all = parts ? parts_run(parts, (uint32_t)count) : (PartsFailing){0};
    for (size_t i = 0; i < count; i++)
        failing[i] = parts ? (Failing){all.somewhere >> i & 1, all.in_middle >> i & 1}
                           : box_fails(search, &boxes[i]);
}

static Found layers_search(Search *search, Parts *parts, ToleranceBox *boxes, size_t first,
                           size_t end)
{
    while (first < end) {
        Failing failing[TIGHT_BOXES];
        size_t layer = end;
        boxes_fail(search, parts, &boxes[first], layer - first, &failing[first]);
        for (; first < layer; first++) {
            if (!failing[first].somewhere)
                continue;
            if (failing[first].in_middle)
                return FOUND_FAILS;
            if (search->source_count == 0 || end + 2 > TIGHT_BOXES)
                return FOUND_OPEN;
            box_halve(search, &boxes[first], &boxes[end], &boxes[end + 1]);
            end += 2;
        }
    }
    return FOUND_HOLDS;
}

/* All tolerances at their least, or all at their greatest. */
static bool end_fails(Search *search)
{
    ToleranceBox box = box_new(search);
    bool fails = false;
    for (int end = 0; end < 2 && !fails; end++) {
        for (size_t i = 0; i < box.count; i++)
            box.sides[i].from = box.sides[i].to = end;
        fails = box_fails(search, &box).in_middle;
    }
    return fails;
}

static bool corner_fails(Search *search, Parts *parts)
{
    ToleranceBox box = box_new(search);
    for (uint32_t corner = 0; corner < PARTS; corner++) {
        for (size_t i = 0; i < box.count; i++)
            box.sides[i].from = box.sides[i].to = round(tight_uniform(corner, i));
        parts_set(parts, corner, box.sides);
    }
    return parts_run(parts, PARTS).in_middle != 0;
}

/* Compiled code is worth its start where a formula reads much. */
static bool is_large(const Search *search)
{
    enum { SOURCES_LARGE = 8 };
    return search->source_count >= SOURCES_LARGE;
}

/* Most are settled by the whole box. */
static bool box_can_fail(Search *search)
{
    ToleranceBox boxes[TIGHT_BOXES];
    boxes[0] = box_new(search);
    Failing whole = box_fails(search, &boxes[0]);
    if (!whole.somewhere || whole.in_middle || search->source_count == 0)
        return whole.somewhere;
    if (end_fails(search))
        return true;
    Parts *parts = is_large(search) ? search_parts(search) : NULL;
    box_halve(search, &boxes[0], &boxes[1], &boxes[2]);
    bool fails = (parts && corner_fails(search, parts)) ||
                 layers_search(search, parts, boxes, 1, 3) != FOUND_HOLDS;
    parts_free(parts);
    return fails;
}

bool tight_can_fail(const Rule *rule, const Columns *columns, uint32_t record, uint32_t lane,
                    bool declared_only)
{
    Search search;
    search_start(&search, rule, columns, record, lane, declared_only);
    bool can_fail = box_can_fail(&search);
    arena_free(&search.arena);
    return can_fail;
}

/* A counter-based generator (the finalizer of SplitMix64: Steele, Lea, Flood,
 * "Fast splittable pseudorandom number generators", 2014): sample i of source j
 * is the same in every run, whatever else is sampled. In [0, 1). */
double tight_uniform(uint64_t sample, uint64_t source)
{
    uint64_t z = (sample << 20 | source) * 0x9e3779b97f4a7c15u + 0x5851f42d4c957f2du;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    z ^= z >> 31;
    return ldexp((double)(z >> 11), -53);
}

/* Whether the share is known to be on one side of `against`, give or take the worst of luck. */
static bool is_settled(int fails, int samples, double against)
{
    static const double deviations = 4;
    double error = sqrt(against * (1 - against) / samples);
    return samples >= TIGHT_SAMPLES_LEAST &&
           fabs((double)fails / samples - against) > deviations * error;
}

/* How many of the next samples fail, at most PARTS. */
static int next_fails(const Search *search, Parts *parts, ToleranceBox *box, int sample, int count)
{
    int fails = 0;
    for (int k = 0; k < count; k++) {
        for (size_t i = 0; i < box->count; i++)
            box->sides[i].from = box->sides[i].to = tight_uniform((uint64_t)(sample + k), i);
        if (parts)
            parts_set(parts, (uint32_t)k, box->sides);
        else
            fails += box_fails(search, box).in_middle;
    }
    return parts ? __builtin_popcountll(parts_run(parts, (uint32_t)count).in_middle) : fails;
}

Sampled tight_risk(const Rule *rule, const Columns *columns, uint32_t record, uint32_t lane,
                   double against)
{
    Search search;
    search_start(&search, rule, columns, record, lane, false);
    ToleranceBox box = box_new(&search);
    Parts *parts = search_parts(&search);
    int fails = 0, samples = 0;
    while (samples < TIGHT_SAMPLES && !is_settled(fails, samples, against)) {
        int left = TIGHT_SAMPLES - samples, count = left < PARTS ? left : PARTS;
        fails += next_fails(&search, parts, &box, samples, count);
        samples += count;
    }
    parts_free(parts);
    arena_free(&search.arena);
    double share = (double)fails / samples;
    return (Sampled){share, sqrt(share * (1 - share) / samples), samples};
}

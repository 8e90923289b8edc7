/* Whether a rule that holds as written can fail within the tolerances, and how
 * often. For src/judge only.
 *
 * Interval arithmetic over the whole box says "can fail" too often: a value met
 * twice counts as two. So the box is halved, its widest side first, breadth
 * first, until every part is proven to hold, the middle of a part fails (a
 * witness), or 64 parts were looked at. What stays undecided is tight. */
#include <math.h>

#include "judge/inside.h"

typedef struct Search {
    Arena arena;
    const Rule *rule;
    const Columns *columns;
    uint32_t record, lane;
    const void **sources;
    size_t source_count;
    bool applies; /* `when` holds in the whole box, so in every part of it */
} Search;

typedef enum Found { FOUND_HOLDS, FOUND_FAILS, FOUND_OPEN } Found;

static void search_start(Search *search, const Rule *rule, const Columns *columns, uint32_t record,
                         uint32_t lane)
{
    *search = (Search){.rule = rule, .columns = columns, .record = record, .lane = lane};
    Plain plain;
    plain_start(&plain, rule, columns, lane, (int32_t)record);
    search->source_count = plain_sources(&plain, &search->arena, &search->sources);
    PlainTruth when = look_when(&plain);
    search->applies = when.can_true && !when.can_false && !when.can_unknown;
}

static ToleranceBox box_new(Search *search, bool declared_only)
{
    ToleranceBox box = {.count = search->source_count, .declared_only = declared_only};
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

static void box_halve(Search *search, const ToleranceBox *box, ToleranceBox *lower, ToleranceBox *upper)
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

static Found box_search(Search *search, bool declared_only)
{
    ToleranceBox boxes[TIGHT_BOXES];
    size_t first = 0, end = 0;
    boxes[end++] = box_new(search, declared_only);
    for (; first < end; first++) {
        Failing failing = box_fails(search, &boxes[first]);
        if (!failing.somewhere)
            continue;
        if (failing.in_middle)
            return FOUND_FAILS;
        if (search->source_count == 0 || end + 2 > TIGHT_BOXES)
            return FOUND_OPEN;
        box_halve(search, &boxes[first], &boxes[end], &boxes[end + 1]);
        end += 2;
    }
    return FOUND_HOLDS;
}

bool tight_can_fail(const Rule *rule, const Columns *columns, uint32_t record, uint32_t lane,
                    bool declared_only)
{
    Search search;
    search_start(&search, rule, columns, record, lane);
    bool can_fail = box_search(&search, declared_only) != FOUND_HOLDS;
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

double tight_risk(const Rule *rule, const Columns *columns, uint32_t record, uint32_t lane,
                  int *samples)
{
    Search search;
    search_start(&search, rule, columns, record, lane);
    ToleranceBox box = box_new(&search, false);
    int fails = 0;
    for (*samples = 0; *samples < TIGHT_SAMPLES && fails < TIGHT_FAILS_ENOUGH; (*samples)++) {
        for (size_t i = 0; i < box.count; i++)
            box.sides[i].from = box.sides[i].to = tight_uniform((uint64_t)*samples, i);
        fails += box_fails(&search, &box).in_middle;
    }
    arena_free(&search.arena);
    return (double)fails / *samples;
}

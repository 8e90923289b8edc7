/* How far one value must be changed. For src/remedy.
 *
 * The rule is evaluated at the finding's place alone, on columns in which the cells that
 * hold the value are changed. Where the value is also worked into others (an allowance
 * into a stack) every trial is measured: `measured`. */
#include <math.h>

#include "remedy/inside.h"

static const double risk_most = 0.05;

/* ---- Values that are worked into others ---- */

bool outcome_is_direct(Remedies *remedies, const Outcome *outcome, const Finding *finding,
                       const Axis *axis)
{
    const AgainRead *reads;
    size_t count = remedies_reads(remedies, finding, &reads);
    if (!outcome->possible || outcome->other_records)
        return false;
    for (size_t i = 0; i < count; i++)
        if (outcome_touched(remedies, outcome, reads[i].field, reads[i].record) &&
            !overlay_holds(axis, reads[i].field, reads[i].record))
            return false;
    return true;
}

/* Some steps away, on the side with room. */
static double probe_value(const Axis *axis)
{
    enum { PROBE_STEPS = 10 };
    long up = axis_end(axis, true) - axis_start(axis, true);
    long down = axis_start(axis, false) - axis_end(axis, false);
    long room = up >= down ? up : down, steps = room < PROBE_STEPS ? room : PROBE_STEPS;
    return axis_value(axis, up >= down ? axis_start(axis, true) + steps
                                       : axis_start(axis, false) - steps);
}

/* Whether the rule reads nothing of the fields that such values reach but what takes them over. */
static bool reach_is_direct(Remedies *remedies, const FieldReach *reach, const Finding *finding,
                            const Axis *axis)
{
    const AgainRead *reads;
    size_t count = remedies_reads(remedies, finding, &reads);
    bool direct = !reach->records;
    for (size_t i = 0; i < count && direct; i++)
        direct = !reach->fields[reads[i].field] ||
                 reads[i].field == axis->field ||
                 overlay_holds(axis, reads[i].field, reads[i].record);
    return direct;
}

bool axis_is_direct(Remedies *remedies, const Finding *finding, const Axis *axis)
{
    if (axis->redraw)
        return true;
    const FieldReach *reach = outcome_reach(remedies, axis);
    if (reach && reach_is_direct(remedies, reach, finding, axis))
        return true;
    Setting probe = setting_of(remedies, axis, probe_value(axis));
    return outcome_is_direct(remedies, outcome_of(remedies, &probe, 1), finding, axis);
}

/* ---- Starting and ending ---- */

void search_start(Search *search, Remedies *remedies, const Finding *finding, const Axis *axis,
                  const Setting *beside)
{
    const Columns *base = remedies->ground.judgement->columns;
    *search = (Search){.remedies = remedies, .finding = finding, .axis = axis, .beside = beside};
    search->known = remedies_lanes(remedies, finding);
    search->tight = ARENA_NEW(&search->arena, uint32_t, search->known->lane_count);
    bool cells = beside && axis_is_direct(remedies, finding, beside->axis);
    bool direct = !beside || axis_is_direct(remedies, finding, axis);
    /* last of all: it lives until another world is asked for */
    const Judgement *world =
        beside && !cells ? world_of(remedies, beside, 1) : remedies->ground.judgement;
    search->measured = !direct || !world || !columns_alike(base, world->columns);
    overlay_start(&search->overlay, base, search->measured ? base : world->columns);
    if (cells)
        overlay_set(&search->overlay, beside->axis, beside->value);
}

void search_end(Search *search)
{
    overlay_end(&search->overlay);
    arena_free(&search->arena);
}

/* ---- One value ---- */

/* What the finding is with it, in the worst lane. */
typedef struct Tried {
    Verdict verdict;
    bool leaves;   /* the rule applied in a lane and no longer does */
    double margin; /* the least; NaN: one is unknown */
} Tried;

/* How closely it is looked at: not whether it can fail within its tolerances; as far as
 * intervals tell; until that is known. */
typedef enum Depth { DEPTH_WRITTEN, DEPTH_ROUGH, DEPTH_FULL } Depth;

static double lesser(double a, double b)
{
    return isnan(a) || isnan(b) ? (double)NAN : fmin(a, b);
}

static AgainLane look_at_lane(const Search *search, uint32_t lane, Depth depth)
{
    const Columns *columns = &search->overlay.columns;
    return depth == DEPTH_WRITTEN ? again_as_written(columns, search->finding, lane)
           : depth == DEPTH_ROUGH ? again_roughly(columns, search->finding, lane)
                                  : again_lane(columns, search->finding, lane);
}

/* Lanes that are tight are kept: roughly looked at, they may be. */
static Tried try_cells(Search *search, double value, Depth depth)
{
    const Known *known = search->known;
    Tried tried = {VERDICT_OUT, false, INFINITY};
    overlay_set(&search->overlay, search->axis, value);
    search->tight_count = 0;
    for (size_t i = 0; i < known->lane_count; i++) {
        uint32_t lane = known->lanes[i];
        bool fails = tried.verdict == VERDICT_FLAG || tried.leaves;
        AgainLane found = look_at_lane(search, lane, fails ? DEPTH_WRITTEN : depth);
        if (found.applies || known->applied[i])
            tried.margin = lesser(tried.margin, found.margin);
        tried.leaves = tried.leaves || (known->applied[i] && !found.applies);
        if (found.verdict > tried.verdict)
            tried.verdict = found.verdict;
        if (found.verdict == VERDICT_TIGHT)
            search->tight[search->tight_count++] = lane;
    }
    return tried;
}

static const Outcome *measured_outcome(const Search *search, double value)
{
    Setting settings[2] = {setting_of(search->remedies, search->axis, value)};
    if (search->beside)
        settings[1] = *search->beside;
    return outcome_of(search->remedies, settings, search->beside ? 2 : 1);
}

static Tried try_measured(Search *search, double value)
{
    const Outcome *outcome = measured_outcome(search, value);
    const ChangedFinding *changed = outcome_finding(outcome, search->finding);
    if (!outcome->possible || !changed)
        return (Tried){outcome->possible ? search->finding->verdict : VERDICT_FLAG, false, NAN};
    return (Tried){changed->after, changed->leaves, changed->margin};
}

static Tried try_value(Search *search, double value, Depth depth)
{
    return search->measured ? try_measured(search, value) : try_cells(search, value, depth);
}

static bool fails(const Search *search, const Tried *tried)
{
    return tried->verdict == VERDICT_FLAG || tried->verdict == VERDICT_UNKNOWN ||
           (tried->leaves && !search->leave);
}

/* In the cells alone, of lanes that intervals leave open: the risk where that is what is
 * asked for, else until one is found that can fail. */
static int rank_of_open(const Search *search)
{
    const Columns *columns = &search->overlay.columns;
    if (search->wanted == RANK_TIGHT)
        return again_is_riskier(columns, search->finding, search->tight, search->tight_count,
                                risk_most)
                   ? RANK_RISKY
                   : RANK_TIGHT;
    for (size_t i = 0; i < search->tight_count; i++)
        if (again_can_fail(columns, search->finding, search->tight[i]))
            return RANK_RISKY;
    return RANK_PASS;
}

/* Of the value tried last. */
static int rank_of(Search *search, const Tried *tried, double value)
{
    if (fails(search, tried))
        return RANK_FAILS;
    if (tried->verdict != VERDICT_TIGHT)
        return RANK_PASS;
    if (!search->measured)
        return rank_of_open(search);
    if (search->wanted == RANK_PASS)
        return RANK_RISKY;
    double risk =
        outcome_risk(search->remedies, measured_outcome(search, value), search->finding);
    return risk > risk_most ? RANK_RISKY : RANK_TIGHT;
}

Verdict search_verdict(Search *search, double value, bool *leaves, double *margin)
{
    Tried tried = try_value(search, value, DEPTH_FULL);
    *leaves = tried.leaves;
    *margin = tried.margin;
    return tried.verdict;
}

/* ---- The nearest of the scale ---- */

static SeekPoint seek_at(void *data, long index)
{
    Search *search = data;
    for (size_t i = 0; i < search->memo_count; i++)
        if (search->memos[i].index == index && search->memos[i].wanted == search->wanted)
            return search->memos[i].point;
    double value = axis_value(search->axis, index);
    Tried tried = try_value(search, value, DEPTH_ROUGH);
    SeekPoint point = {rank_of(search, &tried, value), tried.margin};
    *ARENA_PUSH(&search->arena, search->memos, search->memo_count, search->memo_capacity) =
        (Memo){index, search->wanted, point};
    return point;
}

/* Not farther from the present value than `reach`. */
static bool nearest_of(Search *search, bool up, double reach, double *value)
{
    const Axis *axis = search->axis;
    long found, from = axis_start(axis, up), to = axis_end(axis, up), way = up ? 1 : -1;
    if (isfinite(reach) && !axis->stock) {
        long most = from + way * (lround(floor(reach / axis->step)) + 1);
        to = up ? (most < to ? most : to) : (most > to ? most : to);
    }
    if ((to - from) * way <= 0 || !seek_index(seek_at, search, from, to, search->wanted, &found))
        return false;
    *value = axis_value(axis, found);
    return fabs(*value - axis->now) <= reach;
}

/* Whether it gets better upwards. */
static bool goes_up(Search *search)
{
    const Axis *axis = search->axis;
    long up = axis_start(axis, true), down = axis_start(axis, false);
    if (up >= axis_end(axis, true) || down <= axis_end(axis, false))
        return up < axis_end(axis, true);
    return !(seek_at(search, up + 1).margin < seek_at(search, down - 1).margin);
}

static bool same_margin(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

bool search_may_find(Search *search, int rank)
{
    const Axis *axis = search->axis;
    search->wanted = rank;
    SeekPoint low = seek_at(search, axis_end(axis, false));
    if (axis->kind == AXIS_TOLERANCE || low.rank >= rank)
        return low.rank >= rank;
    SeekPoint high = seek_at(search, axis_end(axis, true));
    double now = try_cells(search, axis->now, DEPTH_WRITTEN).margin;
    return high.rank >= rank || !same_margin(low.margin, now) || !same_margin(high.margin, now);
}

/* Where it gets better first; the other way only as far as what was found there. */
bool search_nearest(Search *search, int rank, double *value)
{
    double other;
    search->wanted = rank;
    bool up = goes_up(search);
    bool found = nearest_of(search, up, INFINITY, value);
    double reach = found ? fabs(*value - search->axis->now) : INFINITY;
    if (nearest_of(search, !up, reach, &other) &&
        (!found || fabs(other - search->axis->now) < reach)) {
        *value = other;
        found = true;
    }
    return found;
}

/* ---- As written ---- */

static double margin_at(void *data, double value)
{
    return try_value(data, value, DEPTH_WRITTEN).margin;
}

/* Whether it holds, turned round where what fails is sought. */
typedef struct Turned {
    Search *search;
    bool holds;
} Turned;

static SeekPoint turned_at(void *data, long index)
{
    const Turned *turned = data;
    Tried tried = try_value(turned->search, axis_value(turned->search->axis, index), DEPTH_WRITTEN);
    bool holds = !fails(turned->search, &tried);
    return (SeekPoint){holds == turned->holds, turned->holds ? tried.margin : -tried.margin};
}

bool search_edge(Search *search, double *value, bool *least)
{
    const Axis *axis = search->axis;
    Tried now = try_value(search, axis->now, DEPTH_WRITTEN);
    bool held = !fails(search, &now);
    Turned turned = {search, !held};
    long best = 0, start = 0;
    double nearest = INFINITY;
    for (int up = 0; up < 2; up++) {
        long found, from = axis_start(axis, up), to = axis_end(axis, up);
        if (from == to || !seek_index(turned_at, &turned, from, to, 1, &found))
            continue;
        if (fabs(axis_value(axis, found) - axis->now) >= nearest)
            continue;
        nearest = fabs(axis_value(axis, found) - axis->now);
        best = found;
        start = found + (up ? -1 : 1);
    }
    if (!isfinite(nearest))
        return false;
    double a = axis_value(axis, start), b = axis_value(axis, best);
    *least = (b > a) != held;
    if (search->measured || !seek_root(margin_at, search, a, b, axis->step / 1000, value))
        *value = held ? a : b;
    return true;
}

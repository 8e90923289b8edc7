/* What of a finding is worked out when it is first asked for: its spare, risk and basis
 * in the lane shown, which worst.c finds. For everyone who shows findings. */
#include <math.h>
#include <stdlib.h>

#include "judge/inside.h"

Later *later_new(const Judgement *judgement)
{
    Later *later = memory_new(1, sizeof *later);
    later->findings = ARENA_NEW(&later->arena, FindingLater *, judgement->count);
    later->cause_mask = 15;
    while (later->cause_mask < 2 * judgement->count)
        later->cause_mask = 2 * later->cause_mask + 1;
    later->causes = ARENA_NEW(&later->arena, const Cause *, later->cause_mask + 1);
    return later;
}

void later_free(Later *later)
{
    if (!later)
        return;
    arena_free(&later->arena);
    free(later);
}

FindingLater *later_of(const Judgement *judgement, const Finding *finding)
{
    Later *later = judgement->later;
    FindingLater **of = &later->findings[finding - judgement->findings];
    if (!*of)
        *of = ARENA_NEW(&later->arena, FindingLater, 1);
    return *of;
}

/* --- the spare of the lane shown ----------------------------------------------- */

static Spare spare_none(void)
{
    Spare spare = {.amount = NAN, .relative = NAN};
    for (int i = 0; i < BINDINGS_MOST; i++)
        spare.bindings[i] = -1;
    return spare;
}

bool later_has_spare(Verdict verdict)
{
    return verdict == VERDICT_PASS || verdict == VERDICT_TIGHT || verdict == VERDICT_FLAG;
}

Spare later_lane_spare(const Columns *columns, const Finding *finding, uint32_t way)
{
    Plain plain;
    plain_start(&plain, finding->rule, columns, way, (int32_t)finding->record);
    if (finding->ways[way] == VERDICT_TIGHT && look_when(&plain).nominal != KLEENE_TRUE)
        return spare_none(); /* tight though `when` is false; pass and flag have it true */
    return plain_truth(&plain, finding->rule->require).spare;
}

uint32_t finding_worst_lane(const Judgement *judgement, const Finding *finding)
{
    return finding->worst_way % judgement->lane_count;
}

const Spare *finding_spare(const Judgement *judgement, const Finding *finding)
{
    FindingLater *later = later_of(judgement, finding);
    if (!later->spare_known)
        later->spare = isnan(finding->relative)
                           ? spare_none()
                           : later_lane_spare(judgement->columns, finding, finding->worst_way);
    later->spare_known = true;
    return &later->spare;
}

/* --- risk ------------------------------------------------------------------------ */

/* A lane that is tight. */
typedef struct TightLane {
    uint32_t lane;
    double spare; /* relative; an unknown one comes last */
} TightLane;

static int by_spare(const void *one, const void *other)
{
    const TightLane *a = one, *b = other;
    int order = (a->spare > b->spare) - (a->spare < b->spare);
    return order ? order : (a->lane > b->lane) - (a->lane < b->lane);
}

/* Of the lane with the least to spare among those that can fail within what the
 * files declare. */
static Risk risk_of_lanes(const Columns *columns, const Finding *finding, TightLane *tight,
                          size_t count, double against)
{
    if (count > 0)
        qsort(tight, count, sizeof *tight, by_spare);
    for (size_t i = 0; i < count; i++) {
        uint32_t lane = tight[i].lane;
        if (!tight_can_fail(finding->rule, columns, finding->record, lane, true))
            continue;
        Sampled sampled = tight_risk(finding->rule, columns, finding->record, lane, against);
        return (Risk){false, sampled.share, sampled.error, sampled.samples};
    }
    return (Risk){.assumed = true, .share = NAN, .error = NAN};
}

/* Of `require`, where the rule applies as written; NaN elsewhere. */
static double spare_there(const Columns *columns, const Finding *finding, uint32_t lane)
{
    Plain plain;
    plain_start(&plain, finding->rule, columns, lane, (int32_t)finding->record);
    if (look_when(&plain).nominal != KLEENE_TRUE)
        return NAN;
    return plain_truth(&plain, finding->rule->require).spare.relative;
}

Risk later_risk(const Columns *columns, const Finding *finding, const uint32_t *lanes,
                size_t count, double against)
{
    Arena scratch = {0};
    TightLane *tight = ARENA_NEW(&scratch, TightLane, count);
    for (size_t i = 0; i < count; i++) {
        double spare = spare_there(columns, finding, lanes[i]);
        tight[i] = (TightLane){lanes[i], isnan(spare) ? INFINITY : spare};
    }
    Risk risk = risk_of_lanes(columns, finding, tight, count, against);
    arena_free(&scratch);
    return risk;
}

/* Of lanes that read the same at the place one. */
static size_t tight_lanes(Arena *arena, const Columns *columns, const Finding *finding,
                          uint32_t **lanes)
{
    MetLanes met = {0};
    size_t count = 0;
    *lanes = ARENA_NEW(arena, uint32_t, columns->lane_count);
    for (uint32_t way = 0; way < columns->lane_count; way++)
        if (finding->alike[way] == way && finding->ways[way] == VERDICT_TIGHT &&
            alike_at_place(&met, columns, finding, way) == way)
            (*lanes)[count++] = way;
    arena_free(&met.arena);
    return count;
}

Risk later_risk_of(const Columns *columns, const Finding *finding)
{
    Arena scratch = {0};
    uint32_t *lanes;
    size_t count = tight_lanes(&scratch, columns, finding, &lanes);
    Risk risk = later_risk(columns, finding, lanes, count, (double)NAN);
    arena_free(&scratch);
    return risk;
}

Risk finding_risk(const Judgement *judgement, const Finding *finding)
{
    if (finding->verdict != VERDICT_TIGHT)
        return (Risk){.share = NAN, .error = NAN};
    FindingLater *later = later_of(judgement, finding);
    if (!later->risk_known)
        later->risk = later_risk_of(judgement->columns, finding);
    later->risk_known = true;
    return later->risk;
}

/* --- basis ------------------------------------------------------------------------ */

/* Whether all rows of the limit, and no machine's own figure, rest on one basis. */
static bool limit_is_even(const Limit *limit)
{
    const WordList *words = limit->by < FIELD_ID_COUNT ? field_at(limit->by)->words : NULL;
    size_t rows = limit->by == FIELD_ID_COUNT ? 0 : words ? words->count : 2;
    for (size_t i = 0; i < rows; i++)
        if (limit->values[i].given && limit->values[i].basis != limit->otherwise.basis)
            return false;
    return limit->otherwise.given && limit->own == FIELD_ID_COUNT;
}

static bool limits_are_even(const Rule *rule)
{
    bool even = true;
    for (size_t i = 0; i < rule->limit_count && even; i++)
        even = limit_is_even(rule->limits[i]);
    return even;
}

static void take_basis(Basis basis, Basis *weakest, bool *found)
{
    if (!*found || basis > *weakest)
        *weakest = basis;
    *found = true;
}

/* The weakest basis of what was read in the lane shown. Only where a limit's rows
 * differ must one look which was met. */
bool finding_basis(const Judgement *judgement, const Finding *finding, Basis *basis)
{
    const Rule *rule = finding->rule;
    bool found = false;
    if (finding->verdict == VERDICT_OUT || finding->verdict == VERDICT_OFF)
        return false;
    for (size_t i = 0; i < rule->table_count; i++)
        take_basis(rule->tables[i]->basis, basis, &found);
    if (limits_are_even(rule)) {
        for (size_t i = 0; i < rule->limit_count; i++)
            take_basis(rule->limits[i]->otherwise.basis, basis, &found);
        return found;
    }
    Look look;
    look_as_decided(&look, judgement, finding);
    Basis met;
    if (readings_basis(&look.plain, &met))
        take_basis(met, basis, &found);
    return found;
}

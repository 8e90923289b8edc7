/* What of a finding is worked out when it is first asked for: the lane shown,
 * its spare, risk and basis. For everyone who shows findings. */
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

/* --- the lane shown and its spare ---------------------------------------------- */

static Spare spare_none(void)
{
    Spare spare = {.amount = NAN, .relative = NAN};
    for (int i = 0; i < BINDINGS_MOST; i++)
        spare.bindings[i] = -1;
    return spare;
}

static bool has_spare(Verdict verdict)
{
    return verdict == VERDICT_PASS || verdict == VERDICT_TIGHT || verdict == VERDICT_FLAG;
}

/* The spare of `require` in a lane where the rule applies; NaN elsewhere. */
static Spare lane_spare(const Columns *columns, const Finding *finding, uint32_t way)
{
    Plain plain;
    plain_start(&plain, finding->rule, columns, way, (int32_t)finding->record);
    if (finding->ways[way] == VERDICT_TIGHT && look_when(&plain).nominal != KLEENE_TRUE)
        return spare_none(); /* tight though `when` is false; pass and flag have it true */
    return plain_truth(&plain, finding->rule->require).spare;
}

/* The first lane of the base size; 0 where none is of it. */
static uint32_t base_lane(const Columns *columns)
{
    uint32_t lane = 0;
    while (lane < columns->lane_count && !columns->lanes[lane].base)
        lane++;
    return lane < columns->lane_count ? lane : 0;
}

/* Of the lanes with the finding's verdict the one with the least to spare, and
 * the base size where others have no less. */
static void find_worst_lane(const Judgement *judgement, const Finding *finding, FindingLater *later)
{
    const Columns *columns = judgement->columns;
    uint32_t ways = columns->lane_count, count = judgement->lane_count;
    uint32_t base = base_lane(columns), worst = ways;
    for (uint32_t step = 0; step < ways; step++) {
        uint32_t way = (base + step) % ways;
        if (finding->lanes[way % count] != finding->verdict)
            continue;
        if (worst == ways)
            worst = way;
        bool counts = way == base || finding->alike[way] == way;
        if (!counts || finding->ways[way] != finding->verdict || !has_spare(finding->verdict))
            continue;
        Spare spare = lane_spare(columns, finding, way);
        if (isnan(later->spare.relative) || spare.relative < later->spare.relative) {
            later->spare = spare;
            worst = way;
        }
    }
    later->worst_lane = worst % count;
}

static const FindingLater *with_spare(const Judgement *judgement, const Finding *finding)
{
    FindingLater *later = later_of(judgement, finding);
    if (later->spare_known)
        return later;
    later->spare_known = true;
    later->spare = spare_none();
    if (finding->verdict != VERDICT_OFF)
        find_worst_lane(judgement, finding, later);
    return later;
}

uint32_t finding_worst_lane(const Judgement *judgement, const Finding *finding)
{
    return with_spare(judgement, finding)->worst_lane;
}

const Spare *finding_spare(const Judgement *judgement, const Finding *finding)
{
    return &with_spare(judgement, finding)->spare;
}

/* --- risk ------------------------------------------------------------------------ */

/* Of the lane with the least to spare among those that can fail within what the
 * files declare. */
Risk later_risk(const Columns *columns, const Finding *finding)
{
    Risk risk = {.assumed = true, .share = NAN};
    MetLanes met = {0};
    uint32_t worst = 0;
    double least = INFINITY;
    for (uint32_t way = 0; way < columns->lane_count; way++) {
        bool counts = finding->alike[way] == way && finding->ways[way] == VERDICT_TIGHT;
        if (!counts || alike_at_place(&met, columns, finding, way) != way)
            continue;
        double spare = lane_spare(columns, finding, way).relative;
        if (!(risk.assumed || spare < least) ||
            !tight_can_fail(finding->rule, columns, finding->record, way, true))
            continue;
        risk.assumed = false;
        worst = way;
        least = isnan(spare) ? INFINITY : spare;
    }
    if (!risk.assumed)
        risk.share = tight_risk(finding->rule, columns, finding->record, worst, &risk.samples);
    arena_free(&met.arena);
    return risk;
}

Risk finding_risk(const Judgement *judgement, const Finding *finding)
{
    if (finding->verdict != VERDICT_TIGHT)
        return (Risk){.share = NAN};
    FindingLater *later = later_of(judgement, finding);
    if (!later->risk_known)
        later->risk = later_risk(judgement->columns, finding);
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

/* Places judged again on changed columns, by the plain evaluator. For src/remedy. */
#include "judge/again.h"

#include <math.h>
#include <string.h>

#include "judge/inside.h"

/* --- one lane ------------------------------------------------------------------- */

/* What the whole box holds, as the code tells it. */
static LaneFacts facts_of(const Plain *plain, const PlainTruth *when, const PlainTruth *require)
{
    return (LaneFacts){
        .met = plain->met || !plain->rule->has_sets,
        .when = when->nominal,
        .require = require->nominal,
        .fail_possible = when->can_true && require->can_false,
        .fail_unknown = (when->can_unknown && (require->can_unknown || require->can_false)) ||
                        (when->can_true && require->can_unknown),
    };
}

/* What can fail is still to be searched where it is said to be possible. */
static LaneFacts lane_facts(const Columns *columns, const Finding *finding, uint32_t lane,
                            AgainLane *found)
{
    Plain plain;
    plain_start(&plain, finding->rule, columns, lane, (int32_t)finding->record);
    PlainTruth when = look_when(&plain);
    PlainTruth require = plain_truth(&plain, finding->rule->require);
    found->applies = when.nominal == KLEENE_TRUE;
    found->margin = found->applies ? require.spare.relative : when.spare.relative;
    return facts_of(&plain, &when, &require);
}

AgainLane again_roughly(const Columns *columns, const Finding *finding, uint32_t lane)
{
    AgainLane found;
    LaneFacts facts = lane_facts(columns, finding, lane, &found);
    found.verdict = verdict_of(facts);
    return found;
}

bool again_can_fail(const Columns *columns, const Finding *finding, uint32_t lane)
{
    return tight_can_fail(finding->rule, columns, finding->record, lane, false);
}

AgainLane again_lane(const Columns *columns, const Finding *finding, uint32_t lane)
{
    AgainLane found;
    LaneFacts facts = lane_facts(columns, finding, lane, &found);
    found.verdict = verdict_of(facts);
    if (found.verdict == VERDICT_TIGHT) {
        facts.fail_possible = again_can_fail(columns, finding, lane);
        found.verdict = verdict_of(facts);
    }
    return found;
}

AgainLane again_as_written(const Columns *columns, const Finding *finding, uint32_t lane)
{
    AgainLane found;
    LaneFacts facts = lane_facts(columns, finding, lane, &found);
    facts.fail_possible = facts.fail_unknown = false;
    found.verdict = verdict_of(facts);
    return found;
}

size_t again_lanes(Arena *arena, const Judgement *judgement, const Finding *finding,
                   uint32_t **lanes, uint32_t **alike)
{
    const Columns *columns = judgement->columns;
    MetLanes met = {0};
    size_t count = 0;
    uint32_t *of = *alike = ARENA_NEW(arena, uint32_t, columns->lane_count);
    *lanes = ARENA_NEW(arena, uint32_t, columns->lane_count);
    for (uint32_t lane = 0; lane < columns->lane_count; lane++) {
        uint32_t like = finding->alike[lane];
        of[lane] = like < lane ? of[like] : alike_at_place(&met, columns, finding, lane);
        if (of[lane] == lane)
            (*lanes)[count++] = lane;
    }
    arena_free(&met.arena);
    return count;
}

/* --- all lanes ------------------------------------------------------------------ */

/* A box is searched once for all lanes in which the rule reads the same. */
static Verdict again_way(const Columns *columns, const Finding *again, uint32_t way, MetLanes *met)
{
    AgainLane found;
    LaneFacts facts = lane_facts(columns, again, way, &found);
    Verdict verdict = verdict_of(facts);
    if (verdict != VERDICT_TIGHT)
        return verdict;
    uint32_t like = alike_at_place(met, columns, again, way);
    if (like != way)
        return again->ways[like];
    facts.fail_possible = tight_can_fail(again->rule, columns, again->record, way, false);
    return verdict_of(facts);
}

Finding again_finding(Arena *arena, const Judgement *judgement, const Finding *finding,
                      const Columns *columns, const uint32_t *alike)
{
    Finding again = *finding;
    uint32_t ways = columns->lane_count, count = judgement->lane_count;
    uint32_t *each = ARENA_NEW(arena, uint32_t, ways);
    MetLanes met = {0};
    again.ways = ARENA_NEW(arena, Verdict, ways);
    again.lanes = ways == count ? again.ways : ARENA_NEW(arena, Verdict, count);
    again.verdict = VERDICT_OUT;
    again.alike = each;
    for (uint32_t way = 0; way < ways; way++) {
        each[way] = alike ? alike[way] : way;
        again.ways[way] = each[way] < way ? again.ways[each[way]]
                                          : again_way(columns, &again, way, &met);
    }
    for (uint32_t lane = 0; lane < count; lane++) {
        if (ways != count)
            again.lanes[lane] = verdict_merge(again.ways[lane], again.ways[lane + count]);
        if (again.lanes[lane] > again.verdict)
            again.verdict = again.lanes[lane];
    }
    arena_free(&met.arena);
    return again;
}

Risk again_risk(const Columns *columns, const Finding *again)
{
    return again->verdict == VERDICT_TIGHT ? later_risk_of(columns, again)
                                           : (Risk){.share = NAN, .error = NAN};
}

bool again_is_riskier(const Columns *columns, const Finding *finding, const uint32_t *lanes,
                      size_t count, double share)
{
    return later_risk(columns, finding, lanes, count, share).share > share;
}

/* --- what is read --------------------------------------------------------------- */

typedef struct Gathering {
    Arena *arena;
    AgainRead *items;
    size_t count, capacity;
} Gathering;

static void gather(Gathering *gathering, FieldId field, int32_t record)
{
    if (record < 0 || field == FIELD_ID_COUNT)
        return;
    for (size_t i = 0; i < gathering->count; i++)
        if (gathering->items[i].field == field && gathering->items[i].record == (uint32_t)record)
            return;
    *ARENA_PUSH(gathering->arena, gathering->items, gathering->count, gathering->capacity) =
        (AgainRead){field, (uint32_t)record};
}

static void visit(void *data, const Plain *plain, const Formula *formula, int32_t record)
{
    if (formula->kind != FORMULA_LIMIT) {
        gather(data, formula->field, record);
        return;
    }
    gather(data, formula->limit->by, record);
    if (formula->own_record.subject != SUBJECT_COUNT)
        gather(data, formula->limit->own, plain_record(plain, &formula->own_record));
}

/* Relations differ between colourways only. */
static bool is_first_of_colourway(const Columns *columns, uint32_t lane)
{
    for (uint32_t i = 0; i < lane; i++)
        if (columns->lanes[i].colourway_index == columns->lanes[lane].colourway_index)
            return false;
    return true;
}

static void gather_lane(Gathering *gathering, const Columns *columns, const Rule *rule,
                        uint32_t record, uint32_t lane)
{
    Plain plain;
    plain_start(&plain, rule, columns, lane, (int32_t)record);
    plain.visit = visit;
    plain.visit_data = gathering;
    look_when(&plain);
    plain_truth(&plain, rule->require);
}

size_t again_reads(Arena *arena, const Columns *columns, const Finding *finding, AgainRead **reads)
{
    Gathering gathering = {.arena = arena};
    for (uint32_t lane = 0; lane < columns->lane_count; lane++)
        if (finding->alike[lane] == lane && is_first_of_colourway(columns, lane))
            gather_lane(&gathering, columns, finding->rule, finding->record, lane);
    *reads = gathering.items;
    return gathering.count;
}

size_t again_reads_in(Arena *arena, const Columns *columns, const Rule *rule, uint32_t record,
                      uint32_t lane, AgainRead **reads)
{
    Gathering gathering = {.arena = arena};
    gather_lane(&gathering, columns, rule, record, lane);
    *reads = gathering.items;
    return gathering.count;
}

/* --- what the rule gives -------------------------------------------------------- */

static const char *last_step(const RecordPath *path)
{
    return path->length > 0 ? path->steps[path->length - 1]->name : "";
}

/* The part whose material a path asks for. */
static int32_t part_before(const Plain *plain, const RecordPath *path)
{
    if (strcmp(last_step(path), "material") != 0)
        return -1;
    RecordPath before = *path;
    before.length--;
    before.subject = path->steps[before.length]->from;
    int32_t record = plain_record(plain, &before);
    return before.subject == SUBJECT_PART
               ? record
               : judge_follow(plain->columns, before.subject, record, "part");
}

/* Records that the path leads to in other lanes. */
static size_t others_of(Arena *arena, const Plain *plain, const RecordPath *path,
                        const int32_t **others)
{
    int32_t *items = ARENA_NEW(arena, int32_t, plain->columns->lane_count);
    int32_t own = plain_record(plain, path);
    Plain there = *plain;
    size_t count = 0;
    for (there.lane = 0; there.lane < plain->columns->lane_count; there.lane++) {
        int32_t record = plain_record(&there, path);
        bool known = record < 0 || record == own;
        for (size_t i = 0; i < count; i++)
            known = known || items[i] == record;
        if (!known)
            items[count++] = record;
    }
    *others = items;
    return count;
}

size_t again_gives(Arena *arena, const Judgement *judgement, const Finding *finding,
                   AgainGive **gives)
{
    const Rule *rule = finding->rule;
    Look look;
    look_as_decided(&look, judgement, finding);
    *gives = ARENA_NEW(arena, AgainGive, rule->give_count);
    for (size_t i = 0; i < rule->give_count; i++) {
        const Give *give = &rule->gives[i];
        (*gives)[i] = (AgainGive){.field = give->field,
                                  .record = plain_record(&look.plain, &give->record),
                                  .part = part_before(&look.plain, &give->record),
                                  .text = give->text,
                                  .may = finding_may_give(judgement, finding, give)};
        (*gives)[i].other_count = others_of(arena, &look.plain, &give->record, &(*gives)[i].others);
    }
    return rule->give_count;
}

/* Every rule at every place in every lane: runs the code, sets the verdicts,
 * sorts and counts the findings. For everyone above src/judge. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "judge/inside.h"

/* --- house values ------------------------------------------------------------- */

static double house_value(const RuleSet *rules, const char *name)
{
    const Limit *limit = rules_limit(rules, name);
    if (!limit || !limit->otherwise.given || limit->otherwise.quantity.unknown)
        return NAN;
    return limit->otherwise.quantity.nominal;
}

static double girth_step(const RuleSet *rules, const Style *style)
{
    static const char *const names[] = {
        [SIZE_PARIS_POINT] = "girth_step_paris",
        [SIZE_ENGLISH] = "girth_step_english",
        [SIZE_MONDOPOINT] = "girth_step_mondopoint",
    };
    return style->sizes.given ? house_value(rules, names[style->sizes.system]) : NAN;
}

HouseValues judge_house(const RuleSet *rules, const Style *style)
{
    return (HouseValues){
        .leather_thickness = house_value(rules, "tolerance_leather"),
        .sheet_thickness = house_value(rules, "tolerance_sheet"),
        .skive = house_value(rules, "tolerance_skive"),
        .line = house_value(rules, "tolerance_line"),
        .row = house_value(rules, "tolerance_row"),
        .gap_together = house_value(rules, "tolerance_gap_together"),
        .gap_apart = house_value(rules, "tolerance_gap_apart"),
        .girth_step = girth_step(rules, style),
    };
}

/* --- lanes and relations ------------------------------------------------------ */

/* Lanes as people count them: without the second way of ungraded edges. */
static uint32_t lanes_shown(const Columns *columns)
{
    uint32_t held = 0;
    while (held < columns->lane_count && !columns->lanes[held].scaled)
        held++;
    return held > 0 && columns->lane_count == 2 * held ? held : columns->lane_count;
}

int32_t judge_follow(const Columns *columns, Subject from, int32_t record, const char *name)
{
    const Relation *relation = relation_find(from, name, strlen(name));
    if (!relation || record < 0)
        return -1;
    size_t index = relation_index(relation);
    if (!relation->many)
        return column_one(&columns->ones[index], record, 0);
    const ManyColumn *many = &columns->manys[index];
    bool none = many->unknown[record] || many->start[record] == many->start[record + 1];
    return none ? -1 : many->items[many->start[record]];
}

/* --- one place --------------------------------------------------------------------- */

static bool bit_at(const uint64_t *bits, size_t index)
{
    return bits[index / 64] >> (index % 64) & 1;
}

static Kleene kleene_at(const uint64_t *yes, const uint64_t *no, size_t index)
{
    return bit_at(yes, index) ? KLEENE_TRUE : bit_at(no, index) ? KLEENE_FALSE : KLEENE_UNKNOWN;
}

static LaneFacts facts_at(const CodeResult *result, size_t index)
{
    return (LaneFacts){
        .met = bit_at(result->met, index),
        .when = kleene_at(result->when_true, result->when_false, index),
        .require = kleene_at(result->require_true, result->require_false, index),
        .fail_possible = bit_at(result->fail_possible, index),
        .fail_unknown = bit_at(result->fail_unknown, index),
    };
}

/* `by_way`: the verdicts before; `searched`: in which lanes it was asked what can fail. */
static Verdict judge_way(const Columns *columns, const Answer *answer, const Finding *finding,
                         uint32_t way, const Verdict *by_way, MetLanes *searched)
{
    size_t index = (size_t)finding->record * answer->lanes + answer->which[way];
    LaneFacts facts = facts_at(answer->result, index);
    Verdict verdict = verdict_of(facts);
    if (verdict != VERDICT_TIGHT)
        return verdict;
    uint32_t like = alike_at_place(searched, columns, finding, way);
    if (like != way)
        return by_way[like];
    facts.fail_possible = tight_can_fail(finding->rule, columns, finding->record, way, false);
    return verdict_of(facts);
}

void judge_place(Judgement *judgement, const Answer *answer, Finding *finding)
{
    const Columns *columns = judgement->columns;
    Arena *arena = &judgement->arena;
    uint32_t ways = columns->lane_count, count = judgement->lane_count;
    const uint32_t *alike = finding->alike;
    Verdict *by_way = ARENA_NEW(arena, Verdict, ways), worst = VERDICT_OUT;
    Verdict *by_lane = ways == count ? by_way : ARENA_NEW(arena, Verdict, count);
    MetLanes searched = {0};
    for (uint32_t way = 0; way < ways; way++)
        by_way[way] = alike[way] < way
                          ? by_way[alike[way]]
                          : judge_way(columns, answer, finding, way, by_way, &searched);
    arena_free(&searched.arena);
    for (uint32_t lane = 0; lane < count; lane++) {
        if (ways != count)
            by_lane[lane] = verdict_merge(by_way[lane], by_way[lane + count]);
        worst = by_lane[lane] > worst ? by_lane[lane] : worst;
    }
    finding->ways = by_way;
    finding->lanes = by_lane;
    finding->verdict = worst;
}

static void judge_off(Judgement *judgement, Finding *finding)
{
    uint32_t ways = judgement->columns->lane_count;
    finding->verdict = VERDICT_OFF;
    finding->ways = ARENA_NEW(&judgement->arena, Verdict, ways);
    finding->lanes = finding->ways;
    for (uint32_t lane = 0; lane < ways; lane++)
        finding->ways[lane] = VERDICT_OFF;
}

/* --- all places ---------------------------------------------------------------------- */

/* For each record of a subject what its findings have in common. */
static const Finding *places_of(Judgement *judgement, Subject about)
{
    const Columns *columns = judgement->columns;
    Finding *places = ARENA_NEW(&judgement->arena, Finding, columns->count[about]);
    for (uint32_t record = 0; record < columns->count[about]; record++)
        places[record] = (Finding){
            .record = record,
            .place = look_name(&judgement->arena, columns, about, (int32_t)record),
            .at = columns->places[about][record],
            .part = part_listed(columns, about, record),
        };
    return places;
}

static Finding *finding_new(Judgement *judgement, const Rule *rule, const Finding *place)
{
    Finding *finding = &judgement->findings[judgement->count++];
    *finding = *place;
    finding->rule = rule;
    return finding;
}

/* The rules about one subject that are judged. */
typedef struct RulesOn {
    Rule **rules;
    const uint32_t **alike; /* of each: from alike_lanes() */
    size_t count;
    uint32_t *lanes; /* the first lane of every set that is alike to some rule */
    uint32_t *which; /* for each of those: its index among them */
    uint32_t lane_count;
} RulesOn;

static void find_lanes(Arena *arena, Alike *alike, const Columns *columns, RulesOn *on)
{
    on->alike = ARENA_NEW(arena, const uint32_t *, on->count);
    on->lanes = ARENA_NEW(arena, uint32_t, columns->lane_count);
    on->which = ARENA_NEW(arena, uint32_t, columns->lane_count);
    for (size_t i = 0; i < on->count; i++)
        on->alike[i] = alike_lanes(alike, on->rules[i]);
    for (uint32_t lane = 0; lane < columns->lane_count; lane++) {
        bool first = false;
        for (size_t i = 0; i < on->count && !first; i++)
            first = on->alike[i][lane] == lane;
        on->which[lane] = on->lane_count;
        if (first)
            on->lanes[on->lane_count++] = lane;
    }
}

static void judge_rules(Judgement *judgement, Arena *arena, const RulesOn *on, Subject about,
                        const Finding *places)
{
    const Columns *columns = judgement->columns;
    const Code *code = code_compile(arena, about, on->rules, on->count);
    const CodeResult *results = code_run_lanes(arena, code, columns, on->lanes, on->lane_count);
    for (size_t i = 0; i < on->count; i++)
        for (uint32_t record = 0; record < columns->count[about]; record++) {
            Finding *finding = finding_new(judgement, on->rules[i], &places[record]);
            finding->alike = on->alike[i];
            judge_place(judgement, &(Answer){&results[i], on->which, on->lane_count}, finding);
        }
}

static void judge_subject(Judgement *judgement, Alike *alike, Subject subject)
{
    const RuleSet *set = judgement->rules;
    uint32_t count = judgement->columns->count[subject];
    const Finding *places = NULL;
    Arena arena = {0};
    RulesOn on = {.rules = ARENA_NEW(&arena, Rule *, set->rule_count)};
    for (size_t i = 0; i < set->rule_count; i++) {
        Rule *rule = set->rules[i];
        if (rule->about != subject)
            continue;
        if (!places)
            places = places_of(judgement, subject);
        if (count == 0)
            judgement->no_place[judgement->no_place_count++] = rule;
        else if (!rule->off_reason)
            on.rules[on.count++] = rule;
        for (uint32_t record = 0; rule->off_reason && record < count; record++)
            judge_off(judgement, finding_new(judgement, rule, &places[record]));
    }
    if (on.count > 0) {
        find_lanes(&arena, alike, judgement->columns, &on);
        judge_rules(judgement, &arena, &on, subject, places);
    }
    arena_free(&arena);
}

static int compare_where(Where a, Where b)
{
    if (!a.file || !b.file)
        return (a.file == NULL) - (b.file == NULL);
    int files = a.file == b.file ? 0 : strcmp(a.file, b.file);
    return files ? files : a.line != b.line ? a.line - b.line : a.column - b.column;
}

/* Flag first, off last. */
static int verdict_rank(Verdict verdict)
{
    return verdict == VERDICT_OFF ? VERDICT_COUNT : (int)VERDICT_FLAG - (int)verdict;
}

static int compare_findings(const void *one, const void *two)
{
    const Finding *a = one, *b = two;
    int order = verdict_rank(a->verdict) - verdict_rank(b->verdict);
    if (order == 0)
        order = (int)a->rule->class - (int)b->rule->class;
    if (order == 0)
        order = compare_where(a->at, b->at);
    if (order == 0)
        order = (int)a->rule->about - (int)b->rule->about;
    if (order == 0)
        order = (a->record > b->record) - (a->record < b->record);
    return order ? order : strcmp(a->rule->id, b->rule->id);
}

static size_t place_count(const Judgement *judgement)
{
    size_t count = 0;
    for (size_t i = 0; i < judgement->rules->rule_count; i++)
        count += judgement->columns->count[judgement->rules->rules[i]->about];
    return count;
}

Judgement *judge(const Style *style, const RuleSet *rules, const Factory *factory)
{
    Judgement *judgement = memory_new(1, sizeof *judgement);
    HouseValues house = judge_house(rules, style);
    judgement->style = style;
    judgement->rules = rules;
    judgement->factory = factory;
    judgement->columns = measure_style(style, factory, &house);
    judgement->lane_count = lanes_shown(judgement->columns);
    judgement->findings = ARENA_NEW(&judgement->arena, Finding, place_count(judgement));
    judgement->no_place = ARENA_NEW(&judgement->arena, const Rule *, rules->rule_count);
    Alike *alike = alike_new(&judgement->arena, judgement->columns);
    for (Subject subject = 0; subject < SUBJECT_COUNT; subject++)
        judge_subject(judgement, alike, subject);
    for (size_t i = 0; i < judgement->count; i++)
        judgement->tally[judgement->findings[i].verdict]++;
    qsort(judgement->findings, judgement->count, sizeof *judgement->findings, compare_findings);
    judgement->later = later_new(judgement);
    return judgement;
}

void judgement_free(Judgement *judgement)
{
    if (!judgement)
        return;
    later_free(judgement->later);
    columns_free(judgement->columns);
    arena_free(&judgement->arena);
    free(judgement);
}

int judgement_exit(const Judgement *judgement)
{
    const size_t *tally = judgement->tally;
    if (tally[VERDICT_FLAG] + tally[VERDICT_UNKNOWN] + tally[VERDICT_TIGHT] + tally[VERDICT_PASS] ==
        0)
        return 2;
    for (size_t i = 0; i < judgement->count; i++) {
        const Finding *finding = &judgement->findings[i];
        bool open = finding->verdict == VERDICT_FLAG || finding->verdict == VERDICT_UNKNOWN ||
                    (finding->verdict == VERDICT_TIGHT && finding->rule->class == CLASS_CRITICAL);
        if (open)
            return 1;
    }
    return 0;
}

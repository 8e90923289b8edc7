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

static HouseValues house_values(const RuleSet *rules, const Style *style)
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

uint32_t judge_lane_count(const Columns *columns)
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

/* What is known of one place while its lanes are judged. `first`: the first lane
 * that is alike to the rule (alike.c); only those are looked at. */
typedef struct Place {
    const Columns *columns;
    const CodeResult *result;
    const uint32_t *first;
    Tightness *tightness; /* one a lane, where explored */
} Place;

static Verdict judge_way(const Place *place, const Finding *finding, uint32_t lane)
{
    const Columns *columns = place->columns;
    LaneFacts facts = facts_at(place->result, (size_t)finding->record * columns->lane_count + lane);
    Verdict verdict = verdict_of(facts);
    if (verdict != VERDICT_TIGHT)
        return verdict;
    place->tightness[lane] = tight_find(finding->rule, columns, finding->record, lane);
    facts.fail_possible = place->tightness[lane].possible;
    return verdict_of(facts);
}

/* The risk of a tight finding: its worst lane's. */
static void judge_risk(const Place *place, Finding *finding)
{
    finding->assumed = true;
    for (uint32_t lane = 0; lane < place->columns->lane_count; lane++) {
        if (!place->tightness[lane].possible || place->tightness[lane].assumed)
            continue;
        double risk = tight_risk(finding->rule, place->columns, finding->record, lane);
        finding->risk = finding->assumed || risk > finding->risk ? risk : finding->risk;
        finding->risk_samples = TIGHT_SAMPLES;
        finding->assumed = false;
    }
}

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
static Spare lane_spare(const Place *place, const Finding *finding, uint32_t way)
{
    Plain plain;
    plain_start(&plain, finding->rule, place->columns, way, (int32_t)finding->record);
    if (finding->ways[way] == VERDICT_TIGHT && look_when(&plain).nominal != KLEENE_TRUE)
        return spare_none(); /* tight though `when` is false; pass and flag have it true */
    return plain_truth(&plain, finding->rule->require).spare;
}

/* The lane shown: of those with the finding's verdict the one with the least to
 * spare, and the base size where others have no less. */
static void judge_worst_lane(const Place *place, Finding *finding, uint32_t base)
{
    uint32_t ways = place->columns->lane_count, count = judge_lane_count(place->columns);
    uint32_t worst = ways;
    for (uint32_t step = 0; step < ways; step++) {
        uint32_t way = (base + step) % ways;
        if (finding->lanes[way % count] != finding->verdict)
            continue;
        if (worst == ways)
            worst = way;
        bool counts = way == base || place->first[way] == way;
        if (!counts || finding->ways[way] != finding->verdict || !has_spare(finding->verdict))
            continue;
        Spare spare = lane_spare(place, finding, way);
        if (isnan(finding->spare.relative) || spare.relative < finding->spare.relative) {
            finding->spare = spare;
            worst = way;
        }
    }
    finding->worst_lane = worst % count;
}

/* The first lane of the base size; 0 where none is of it. */
static uint32_t base_lane(const Columns *columns)
{
    uint32_t lane = 0;
    while (lane < columns->lane_count && !columns->lanes[lane].base)
        lane++;
    return lane < columns->lane_count ? lane : 0;
}

void judge_place(Arena *arena, const Columns *columns, const CodeResult *result,
                 const uint32_t *first, uint32_t base, Finding *finding)
{
    uint32_t ways = columns->lane_count, count = judge_lane_count(columns);
    Arena scratch = {0};
    Place place = {columns, result, first, ARENA_NEW(&scratch, Tightness, ways)};
    finding->ways = ARENA_NEW(arena, Verdict, ways);
    finding->lanes = ways == count ? finding->ways : ARENA_NEW(arena, Verdict, count);
    finding->spare = spare_none();
    finding->risk = NAN;
    for (uint32_t way = 0; way < ways; way++)
        finding->ways[way] =
            first[way] < way ? finding->ways[first[way]] : judge_way(&place, finding, way);
    for (uint32_t lane = 0; lane < count; lane++) {
        if (ways != count)
            finding->lanes[lane] = verdict_merge(finding->ways[lane], finding->ways[lane + count]);
        if (finding->lanes[lane] > finding->verdict)
            finding->verdict = finding->lanes[lane];
    }
    if (finding->verdict == VERDICT_TIGHT)
        judge_risk(&place, finding);
    judge_worst_lane(&place, finding, base);
    arena_free(&scratch);
}

static void judge_off(Arena *arena, const Columns *columns, Finding *finding)
{
    finding->verdict = VERDICT_OFF;
    finding->ways = ARENA_NEW(arena, Verdict, columns->lane_count);
    finding->lanes = finding->ways;
    for (uint32_t lane = 0; lane < columns->lane_count; lane++)
        finding->ways[lane] = VERDICT_OFF;
    finding->spare = spare_none();
    finding->risk = NAN;
}

/* --- all places ---------------------------------------------------------------------- */

static Finding *finding_new(Judgement *judgement, const Rule *rule, uint32_t record)
{
    const Columns *columns = judgement->columns;
    Finding *finding = &judgement->findings[judgement->count++];
    finding->rule = rule;
    finding->record = record;
    const char *name = look_name(&judgement->arena, columns, rule->about, (int32_t)record);
    finding->place = name;
    finding->at = columns->places[rule->about][record];
    return finding;
}

static void judge_rule(Judgement *judgement, Alike *alike, const Rule *rule,
                       const CodeResult *result)
{
    const Columns *columns = judgement->columns;
    const uint32_t *first = alike_lanes(alike, rule);
    uint32_t base = base_lane(columns);
    for (uint32_t record = 0; record < columns->count[rule->about]; record++)
        judge_place(&judgement->arena, columns, result, first, base,
                    finding_new(judgement, rule, record));
}

static void judge_subject(Judgement *judgement, Alike *alike, Subject subject)
{
    const RuleSet *set = judgement->rules;
    uint32_t places = judgement->columns->count[subject];
    Arena arena = {0};
    Rule **on = ARENA_NEW(&arena, Rule *, set->rule_count);
    size_t count = 0;
    for (size_t i = 0; i < set->rule_count; i++) {
        Rule *rule = set->rules[i];
        if (rule->about != subject)
            continue;
        if (places == 0)
            judgement->no_place[judgement->no_place_count++] = rule;
        else if (!rule->off_reason)
            on[count++] = rule;
        for (uint32_t record = 0; rule->off_reason && record < places; record++)
            judge_off(&judgement->arena, judgement->columns, finding_new(judgement, rule, record));
    }
    if (count > 0) {
        const Code *code = code_compile(&arena, subject, on, count);
        const CodeResult *results = code_run(&arena, code, judgement->columns);
        for (size_t i = 0; i < count; i++)
            judge_rule(judgement, alike, on[i], &results[i]);
    }
    arena_free(&arena);
}

static void take_basis(Finding *finding, Basis basis)
{
    if (!finding->has_basis || basis > finding->basis)
        finding->basis = basis;
    finding->has_basis = true;
}

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

/* The weakest basis of what was read in the lane shown. Only where a limit's rows
 * differ must one look which was met. */
static void judge_basis(Judgement *judgement, Finding *finding)
{
    if (finding->verdict == VERDICT_OUT || finding->verdict == VERDICT_OFF)
        return;
    const Rule *rule = finding->rule;
    for (size_t i = 0; i < rule->table_count; i++)
        take_basis(finding, rule->tables[i]->basis);
    if (limits_are_even(rule)) {
        for (size_t i = 0; i < rule->limit_count; i++)
            take_basis(finding, rule->limits[i]->otherwise.basis);
        return;
    }
    Look look;
    look_as_decided(&look, judgement, finding);
    Basis basis;
    if (readings_basis(&look.plain, &basis))
        take_basis(finding, basis);
}

static int compare_where(Where a, Where b)
{
    if (!a.file || !b.file)
        return (a.file == NULL) - (b.file == NULL);
    int files = strcmp(a.file, b.file);
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
    HouseValues house = house_values(rules, style);
    judgement->style = style;
    judgement->rules = rules;
    judgement->factory = factory;
    judgement->columns = measure_style(style, factory, &house);
    judgement->lane_count = judge_lane_count(judgement->columns);
    judgement->findings = ARENA_NEW(&judgement->arena, Finding, place_count(judgement));
    judgement->no_place = ARENA_NEW(&judgement->arena, const Rule *, rules->rule_count);
    Arena scratch = {0};
    Alike *alike = alike_new(&scratch, judgement->columns);
    for (Subject subject = 0; subject < SUBJECT_COUNT; subject++)
        judge_subject(judgement, alike, subject);
    arena_free(&scratch);
    for (size_t i = 0; i < judgement->count; i++) {
        judge_basis(judgement, &judgement->findings[i]);
        judgement->tally[judgement->findings[i].verdict]++;
    }
    qsort(judgement->findings, judgement->count, sizeof *judgement->findings, compare_findings);
    cause_find(judgement);
    return judgement;
}

void judgement_free(Judgement *judgement)
{
    if (!judgement)
        return;
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

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

/* --- what differs between lanes ------------------------------------------------- */

static bool path_varies(const Columns *columns, const RecordPath *path)
{
    for (int i = 0; i < path->length; i++)
        if (columns->ones[relation_index(path->steps[i])].stride > 1)
            return true;
    return false;
}

static bool field_varies(const Columns *columns, FieldId field)
{
    return field < FIELD_ID_COUNT && columns->fields[field].stride > 1;
}

static bool formula_varies(const Columns *columns, const Formula *formula)
{
    if (!formula || formula->kind == FORMULA_LET) /* the rule's lets are asked once each */
        return false;
    bool varies = false;
    if (formula->kind == FORMULA_FIELD || formula->kind == FORMULA_IN_FIELD)
        varies = field_varies(columns, formula->field) || path_varies(columns, &formula->record);
    if (formula->kind == FORMULA_OVER)
        varies = path_varies(columns, &formula->record);
    if (formula->kind == FORMULA_LIMIT) {
        varies =
            field_varies(columns, formula->limit->by) || path_varies(columns, &formula->record);
        if (formula->own_record.subject != SUBJECT_COUNT)
            varies = varies || field_varies(columns, formula->limit->own) ||
                     path_varies(columns, &formula->own_record);
    }
    for (size_t i = 0; i < 3 && !varies; i++)
        varies = formula_varies(columns, formula->operand[i]);
    return varies || formula_varies(columns, formula->filter);
}

static bool rule_varies(const Columns *columns, const Rule *rule)
{
    bool varies = formula_varies(columns, rule->when) || formula_varies(columns, rule->require);
    for (size_t i = 0; i < rule->let_count && !varies; i++)
        varies = formula_varies(columns, rule->lets[i].formula->operand[0]);
    return varies;
}

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

/* Lanes that read the same values fare the same, so tolerances are explored
 * once for each set of values. */
typedef struct Explored {
    Read *reads;
    size_t count;
    uint32_t lane;
    Tightness tightness;
} Explored;

typedef struct Exploration {
    Arena arena;
    Explored *items;
    size_t count, capacity;
} Exploration;

static bool same_number(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

static bool same_reads(const Explored *explored, const Read *reads, size_t count)
{
    bool same = explored->count == count;
    for (size_t i = 0; i < count && same; i++) {
        const Read *a = &explored->reads[i], *b = &reads[i];
        same = a->formula == b->formula && a->record == b->record && a->value == b->value &&
               a->own == b->own && same_number(a->nominal, b->nominal) &&
               same_number(a->lo, b->lo) && same_number(a->hi, b->hi);
    }
    return same;
}

static Explored *explore(Exploration *exploration, const Finding *finding, const Columns *columns,
                         uint32_t lane)
{
    Plain plain;
    plain_start(&plain, finding->rule, columns, lane, (int32_t)finding->record);
    Read *reads;
    size_t count = readings_collect(&exploration->arena, &plain, &reads);
    for (size_t i = 0; i < exploration->count; i++)
        if (same_reads(&exploration->items[i], reads, count))
            return &exploration->items[i];
    Explored *explored = ARENA_PUSH(&exploration->arena, exploration->items, exploration->count,
                                    exploration->capacity);
    *explored =
        (Explored){reads, count, lane, tight_find(finding->rule, columns, finding->record, lane)};
    return explored;
}

static Verdict judge_way(Exploration *exploration, const Columns *columns, const CodeResult *result,
                         const Finding *finding, uint32_t lane)
{
    LaneFacts facts = facts_at(result, (size_t)finding->record * columns->lane_count + lane);
    Verdict verdict = verdict_of(facts);
    if (verdict == VERDICT_TIGHT &&
        !explore(exploration, finding, columns, lane)->tightness.possible) {
        facts.fail_possible = false;
        verdict = verdict_of(facts);
    }
    return verdict;
}

/* The risk of a tight finding: its worst lane's. */
static void judge_risk(const Exploration *exploration, const Columns *columns, Finding *finding)
{
    finding->assumed = true;
    for (size_t i = 0; i < exploration->count; i++) {
        const Explored *explored = &exploration->items[i];
        if (!explored->tightness.possible || explored->tightness.assumed)
            continue;
        double risk = tight_risk(finding->rule, columns, finding->record, explored->lane);
        finding->risk = finding->assumed || risk > finding->risk ? risk : finding->risk;
        finding->risk_samples = TIGHT_SAMPLES;
        finding->assumed = false;
    }
}

static Spare spare_none(void)
{
    return (Spare){.amount = NAN, .relative = NAN};
}

/* The lane shown: of those with the finding's verdict the one with the least to
 * spare. */
static void judge_worst_lane(const Columns *columns, Finding *finding, bool varies)
{
    uint32_t count = judge_lane_count(columns);
    bool met = false;
    for (uint32_t way = 0; way < columns->lane_count; way++) {
        uint32_t lane = way % count;
        if (finding->lanes[lane] != finding->verdict)
            continue;
        if (!met)
            finding->worst_lane = lane;
        bool judged = finding->ways[way] == finding->verdict && finding->verdict != VERDICT_OUT &&
                      finding->verdict != VERDICT_UNKNOWN;
        if (!judged || (met && !varies)) {
            met = true;
            continue;
        }
        Plain plain;
        plain_start(&plain, finding->rule, columns, way, (int32_t)finding->record);
        bool applies = look_when(&plain).nominal == KLEENE_TRUE;
        Spare spare = plain_truth(&plain, finding->rule->require).spare;
        if (applies &&
            (isnan(finding->spare.relative) || spare.relative < finding->spare.relative)) {
            finding->spare = spare;
            finding->worst_lane = lane;
        }
        met = true;
    }
}

void judge_place(Arena *arena, const Columns *columns, const CodeResult *result, Finding *finding)
{
    uint32_t ways = columns->lane_count, count = judge_lane_count(columns);
    bool varies = rule_varies(columns, finding->rule);
    Exploration exploration = {0};
    finding->ways = ARENA_NEW(arena, Verdict, ways);
    finding->lanes = ways == count ? finding->ways : ARENA_NEW(arena, Verdict, count);
    finding->spare = spare_none();
    finding->risk = NAN;
    for (uint32_t way = 0; way < ways; way++)
        finding->ways[way] = judge_way(&exploration, columns, result, finding, way);
    for (uint32_t lane = 0; lane < count; lane++) {
        if (ways != count)
            finding->lanes[lane] = verdict_merge(finding->ways[lane], finding->ways[lane + count]);
        if (finding->lanes[lane] > finding->verdict)
            finding->verdict = finding->lanes[lane];
    }
    if (finding->verdict == VERDICT_TIGHT)
        judge_risk(&exploration, columns, finding);
    arena_free(&exploration.arena);
    judge_worst_lane(columns, finding, varies);
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

static void judge_subject(Judgement *judgement, Subject subject)
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
            for (uint32_t record = 0; record < places; record++)
                judge_place(&judgement->arena, judgement->columns, &results[i],
                            finding_new(judgement, on[i], record));
    }
    arena_free(&arena);
}

/* The weakest basis of what was read in the lane shown. */
static void judge_basis(Judgement *judgement, Finding *finding)
{
    if (finding->verdict == VERDICT_OUT || finding->verdict == VERDICT_OFF)
        return;
    Arena arena = {0};
    Look look;
    look_at(&look, &arena, judgement, finding, finding->worst_lane);
    Read *reads;
    size_t count = readings_collect(&arena, &look.plain, &reads);
    for (size_t i = 0; i < count; i++) {
        if (!reads[i].value)
            continue;
        if (!finding->has_basis || reads[i].value->basis > finding->basis)
            finding->basis = reads[i].value->basis;
        finding->has_basis = true;
    }
    for (size_t i = 0; i < finding->rule->table_count; i++) {
        if (!finding->has_basis || finding->rule->tables[i]->basis > finding->basis)
            finding->basis = finding->rule->tables[i]->basis;
        finding->has_basis = true;
    }
    arena_free(&arena);
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
    for (Subject subject = 0; subject < SUBJECT_COUNT; subject++)
        judge_subject(judgement, subject);
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

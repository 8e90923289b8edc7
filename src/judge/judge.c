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
    size_t row = answer->row ? answer->row[finding->record] : finding->record;
    size_t index = row * answer->lanes + answer->which[way];
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
    worst_find(judgement, answer, finding);
}

/* --- all places ---------------------------------------------------------------------- */

typedef struct Judging {
    Judgement *judgement;
    const Judgement *last; /* of the same rules at the same places; NULL: none */
    Touched touched;       /* what differs from it */
    Alike *alike;
    Arena scratch;
    size_t *first; /* by rule: the number of its first finding */
} Judging;

/* For each record of a subject what its findings have in common. */
static const Finding *places_of(Judging *judging, Subject about)
{
    Judgement *judgement = judging->judgement;
    const Columns *columns = judgement->columns;
    Finding *places = ARENA_NEW(&judging->scratch, Finding, columns->count[about]);
    for (uint32_t record = 0; record < columns->count[about]; record++)
        places[record] = (Finding){
            .record = record,
            .place = look_name(&judgement->arena, columns, about, (int32_t)record),
            .at = columns->places[about][record],
            .part = part_listed(columns, about, record),
        };
    return places;
}

/* Its findings with nothing judged yet. */
static void add_findings(Judging *judging, size_t rule, const Finding *places)
{
    Judgement *judgement = judging->judgement;
    const Rule *of = judgement->rules->rules[rule];
    judging->first[rule] = judgement->count;
    for (uint32_t record = 0; record < judgement->columns->count[of->about]; record++) {
        Finding *finding = &judgement->findings[judgement->count];
        *finding = places[record];
        finding->rule = of;
        finding->number = (uint32_t)judgement->count++;
    }
}

/* The verdicts of the last judgement, for a finding that reads the same. */
static void take_over(Judgement *judgement, const Judgement *last, Finding *finding)
{
    const Finding *before = last->numbered[finding->number];
    uint32_t ways = judgement->columns->lane_count, count = judgement->lane_count;
    finding->ways = ARENA_NEW(&judgement->arena, Verdict, ways);
    finding->lanes =
        ways == count ? finding->ways : ARENA_NEW(&judgement->arena, Verdict, count);
    memcpy(finding->ways, before->ways, ways * sizeof *finding->ways);
    memcpy(finding->lanes, before->lanes, count * sizeof *finding->lanes);
    finding->verdict = before->verdict;
    finding->worst_way = before->worst_way;
    finding->relative = before->relative;
    finding->taken = true;
}

static void take_over_rule(Judging *judging, size_t rule)
{
    Judgement *judgement = judging->judgement;
    Finding *findings = &judgement->findings[judging->first[rule]];
    uint32_t lanes = judgement->columns->lane_count, count = judgement->columns->count[findings->rule->about];
    uint32_t *alike = ARENA_NEW(&judgement->arena, uint32_t, lanes);
    memcpy(alike, judging->last->numbered[findings->number]->alike, lanes * sizeof *alike);
    for (uint32_t record = 0; record < count; record++) {
        findings[record].alike = alike;
        take_over(judgement, judging->last, &findings[record]);
    }
}

/* A rule that is judged. */
typedef struct RuleOn {
    uint32_t index;        /* in the rule set */
    const uint32_t *alike; /* from alike_lanes() */
    const bool *again;     /* by record: reads something that differs; NULL: all are judged */
} RuleOn;

static const bool *places_again(Judging *judging, Subject about, const TouchedReads *reads)
{
    uint32_t count = judging->judgement->columns->count[about];
    bool *again = ARENA_NEW(&judging->scratch, bool, count);
    for (uint32_t record = 0; record < count; record++)
        again[record] = place_touched(&judging->touched, reads, record);
    return again;
}

/* What code is run for. */
typedef struct Pairs {
    CodePairs run;
    uint32_t *row;   /* by record: which of those run it is; NULL: all are */
    uint32_t *which; /* by lane: the same, of the first of each set that is alike to some rule */
} Pairs;

static void find_records(Arena *arena, Pairs *pairs, const RuleOn *rules, size_t count,
                         uint32_t records)
{
    pairs->run.record_count = records;
    if (!rules[0].again)
        return;
    uint32_t *run = ARENA_NEW(arena, uint32_t, records), found = 0;
    pairs->row = ARENA_NEW(arena, uint32_t, records);
    for (uint32_t record = 0; record < records; record++) {
        bool again = false;
        for (size_t i = 0; i < count && !again; i++)
            again = rules[i].again[record];
        pairs->row[record] = found;
        if (again)
            run[found++] = record;
    }
    pairs->run.records = run;
    pairs->run.record_count = found;
}

static void find_lanes(Arena *arena, Pairs *pairs, const RuleOn *rules, size_t count,
                       uint32_t lanes)
{
    uint32_t *run = ARENA_NEW(arena, uint32_t, lanes), found = 0;
    pairs->which = ARENA_NEW(arena, uint32_t, lanes);
    for (uint32_t lane = 0; lane < lanes; lane++) {
        bool first = false;
        for (size_t i = 0; i < count && !first; i++)
            first = rules[i].alike[lane] == lane;
        pairs->which[lane] = found;
        if (first)
            run[found++] = lane;
    }
    pairs->run.lanes = run;
    pairs->run.lane_count = found;
}

static Pairs pairs_of(Judging *judging, Subject about, const RuleOn *rules, size_t count)
{
    const Columns *columns = judging->judgement->columns;
    Pairs pairs = {0};
    find_records(&judging->scratch, &pairs, rules, count, columns->count[about]);
    find_lanes(&judging->scratch, &pairs, rules, count, columns->lane_count);
    return pairs;
}

static void judge_rule(Judging *judging, const RuleOn *rule, const Answer *answer)
{
    Judgement *judgement = judging->judgement;
    Finding *findings = &judgement->findings[judging->first[rule->index]];
    uint32_t count = judgement->columns->count[findings->rule->about];
    for (uint32_t record = 0; record < count; record++) {
        findings[record].alike = rule->alike;
        if (rule->again && !rule->again[record])
            take_over(judgement, judging->last, &findings[record]);
        else
            judge_place(judgement, answer, &findings[record]);
    }
}

static void run_rules(Judging *judging, ShelfCode code, const Pairs *pairs, const RuleOn *rules,
                      size_t count)
{
    const CodeResult *results =
        code_run_pairs(&judging->scratch, code.code, judging->judgement->columns, &pairs->run);
    for (size_t i = 0; i < count; i++) {
        const CodeResult *result = &results[code.place[rules[i].index]];
        judge_rule(judging, &rules[i],
                   &(Answer){result, pairs->which, pairs->run.lane_count, pairs->row});
    }
}

/* Instructions run, about. */
static size_t price_of(ShelfCode code, const Pairs *pairs)
{
    size_t instructions, unshared, all = (size_t)pairs->run.record_count * pairs->run.lane_count;
    code_size(code.code, &instructions, &unshared);
    return instructions * ((all + 63) / 64);
}

/* Together they share what they have in common; alone each is run for its own places. */
static void judge_rules(Judging *judging, Subject about, const RuleOn *rules, size_t count)
{
    const Judgement *judgement = judging->judgement;
    JudgeShelf *shelf = judgement->shelf;
    Pairs all = pairs_of(judging, about, rules, count);
    ShelfCode together = shelf_together(shelf, &judging->scratch, judgement->rules, about);
    size_t most = price_of(together, &all), price = judging->last ? 0 : most;
    Pairs *each = ARENA_NEW(&judging->scratch, Pairs, count);
    for (size_t i = 0; i < count && price < most; i++) {
        each[i] = pairs_of(judging, about, &rules[i], 1);
        price += price_of(shelf_alone(shelf, judgement->rules, rules[i].index), &each[i]);
    }
    if (price >= most)
        run_rules(judging, together, &all, rules, count);
    for (size_t i = 0; i < count && price < most; i++)
        run_rules(judging, shelf_alone(shelf, judgement->rules, rules[i].index), &each[i],
                  &rules[i], 1);
}

static void judge_off(Judging *judging, size_t rule)
{
    Judgement *judgement = judging->judgement;
    uint32_t ways = judgement->columns->lane_count;
    for (size_t i = judging->first[rule]; i < judgement->count; i++) {
        Finding *finding = &judgement->findings[i];
        finding->verdict = VERDICT_OFF;
        finding->relative = NAN;
        finding->ways = ARENA_NEW(&judgement->arena, Verdict, ways);
        finding->lanes = finding->ways;
        for (uint32_t lane = 0; lane < ways; lane++)
            finding->ways[lane] = VERDICT_OFF;
    }
}

/* A rule at all places: taken over, off, or put among those that are judged. */
static void begin_rule(Judging *judging, uint32_t index, RuleOn *on, size_t *count)
{
    const Rule *rule = judging->judgement->rules->rules[index];
    if (rule->off_reason) {
        judge_off(judging, index);
        return;
    }
    RuleOn begun = {.index = index};
    if (judging->last) {
        TouchedReads reads = touched_reads(&judging->scratch, &judging->touched, rule);
        if (!reads.everywhere && reads.count == 0) {
            take_over_rule(judging, index);
            return;
        }
        begun.again = places_again(judging, rule->about, &reads);
    }
    begun.alike = alike_lanes(judging->alike, rule);
    on[(*count)++] = begun;
}

static void judge_subject(Judging *judging, Subject subject)
{
    Judgement *judgement = judging->judgement;
    const RuleSet *set = judgement->rules;
    const Finding *places = NULL;
    RuleOn *on = ARENA_NEW(&judging->scratch, RuleOn, set->rule_count);
    size_t count = 0;
    for (uint32_t i = 0; i < set->rule_count; i++) {
        if (set->rules[i]->about != subject)
            continue;
        if (judgement->columns->count[subject] == 0) {
            judgement->no_place[judgement->no_place_count++] = set->rules[i];
            continue;
        }
        if (!places)
            places = places_of(judging, subject);
        add_findings(judging, i, places);
        begin_rule(judging, i, on, &count);
    }
    if (count > 0)
        judge_rules(judging, subject, on, count);
}

static size_t place_count(const Judgement *judgement)
{
    size_t count = 0;
    for (size_t i = 0; i < judgement->rules->rule_count; i++)
        count += judgement->columns->count[judgement->rules->rules[i]->about];
    return count;
}

/* ---- All of it ---- */

static Judgement *measure(JudgeShelf *shelf, const Style *style, const RuleSet *rules,
                          const Factory *factory)
{
    Judgement *judgement = memory_new(1, sizeof *judgement);
    judgement->style = style;
    judgement->rules = rules;
    judgement->factory = factory;
    judgement->shelf = shelf;
    judgement->house = judge_house(rules, style);
    judgement->measured =
        measured_from_shelf(shelf_measures(shelf), style, factory, &judgement->house);
    judgement->columns = measured_columns(judgement->measured);
    judgement->lane_count = lanes_shown(judgement->columns);
    judgement->findings = ARENA_NEW(&judgement->arena, Finding, place_count(judgement));
    judgement->no_place = ARENA_NEW(&judgement->arena, const Rule *, rules->rule_count);
    return judgement;
}

/* Only what was judged of the same places in the same lanes can be taken over. */
static void find_last(Judging *judging)
{
    const Judgement *judgement = judging->judgement;
    const Judgement *newest = shelf_newest(judgement->shelf, judgement->rules);
    if (!newest)
        return;
    judging->touched = touched_find(&judging->scratch, newest, judgement);
    judging->last = judging->touched.all ? NULL : newest;
}

Judgement *judge_from_shelf(JudgeShelf *shelf, const Style *style, const RuleSet *rules,
                            const Factory *factory)
{
    Judgement *judgement = measure(shelf, style, rules, factory);
    Judging judging = {.judgement = judgement};
    find_last(&judging);
    judging.first = ARENA_NEW(&judging.scratch, size_t, rules->rule_count);
    judging.alike = alike_new(&judgement->arena, judgement->columns);
    for (Subject subject = 0; subject < SUBJECT_COUNT; subject++)
        judge_subject(&judging, subject);
    judgement->last = judging.last;
    findings_order(judgement, judging.last);
    arena_free(&judging.scratch);
    judgement->later = later_new(judgement);
    shelf_enter(shelf, judgement);
    return judgement;
}

Judgement *judge(const Style *style, const RuleSet *rules, const Factory *factory)
{
    return judge_from_shelf(NULL, style, rules, factory);
}

void judgement_free(Judgement *judgement)
{
    if (!judgement)
        return;
    shelf_leave(judgement);
    later_free(judgement->later);
    measured_free(judgement->measured);
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

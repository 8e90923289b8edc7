/* Findings as JSON, form "findings/1", and its pieces. For src/report and src/cli. */
#include "report/findings_json.h"

#include <math.h>
#include <string.h>

#include "report/json_parts.h"

static json_t *spare_object(const Spare *spare)
{
    if (spare->comparison == NULL || !isfinite(spare->amount))
        return json_null();
    Type side = spare->comparison->operand[0]->type;
    const Unit *unit = unit_default(side.dimension, false);
    json_t *object = json_object();
    json_put(object, "value",
             json_number(unit != NULL ? unit_from_base(unit, spare->amount) : spare->amount));
    json_put(object, "unit", json_string(unit != NULL ? unit->name : ""));
    return object;
}

/* What is to spare in one lane, of the way that gave it its verdict; an edge that does not say how
 * it is graded is judged in two. */
static Spare lane_spare(const Judgement *judgement, const Finding *finding, uint32_t lane)
{
    Spare least = {.amount = NAN, .relative = NAN};
    const Rule *rule = finding->rule;
    if (finding->verdict == VERDICT_OFF)
        return least;
    for (uint32_t way = lane; way < judgement->columns->lane_count; way += judgement->lane_count) {
        Verdict verdict = finding->ways[way];
        if (verdict != finding->lanes[lane] || verdict == VERDICT_OUT || verdict == VERDICT_UNKNOWN)
            continue;
        Plain plain;
        plain_start(&plain, rule, judgement->columns, way, (int32_t)finding->record);
        if (rule->when != NULL && plain_truth(&plain, rule->when).nominal != KLEENE_TRUE)
            continue;
        Spare spare = plain_truth(&plain, rule->require).spare;
        if (isnan(least.relative) || spare.relative < least.relative)
            least = spare;
    }
    return least;
}

static json_t *lanes_array(const Judgement *judgement, const Finding *finding)
{
    json_t *lanes = json_array();
    for (uint32_t l = 0; l < judgement->lane_count; l++) {
        const Lane *lane = &judgement->columns->lanes[l];
        Spare spare = lane_spare(judgement, finding, l);
        json_t *object = json_object();
        json_put(object, "size", json_string(lane->size));
        json_put(object, "colourway", json_string(lane->colourway));
        json_put(object, "verdict", json_string(verdict_name(finding->lanes[l])));
        json_put(object, "spare", spare_object(&spare));
        json_add(lanes, object);
    }
    return lanes;
}

static json_t *values_object(const Judgement *judgement, const Finding *finding)
{
    Arena arena = {0};
    Reading *readings;
    size_t count = finding_readings(&arena, judgement, finding,
                                    finding_worst_lane(judgement, finding), &readings);
    json_t *values = json_object();
    for (size_t i = 0; i < count; i++) {
        const Reading *r = &readings[i];
        json_t *object = json_object();
        if (r->word != NULL) {
            json_put(object, "nominal", json_string(r->word));
        } else {
            bool unit = r->unit != NULL;
            json_put(object, "nominal",
                     json_number(unit ? unit_from_base(r->unit, r->nominal) : r->nominal));
            json_put(object, "lo", json_number(unit ? unit_from_base(r->unit, r->lo) : r->lo));
            json_put(object, "hi", json_number(unit ? unit_from_base(r->unit, r->hi) : r->hi));
            json_put(object, "unit", json_string(unit ? r->unit->name : ""));
        }
        json_put(object, "from", json_string(r->from));
        json_put(values, r->name, object);
    }
    arena_free(&arena);
    return values;
}

static json_t *names_array(const TextList *names)
{
    json_t *array = json_array();
    for (size_t i = 0; i < names->count; i++)
        json_add(array, json_string(names->items[i]));
    return array;
}

static json_t *decision_object(const Decided *decided)
{
    static const char *const states[] = {
        [STATE_HOLDS] = "holds", [STATE_LAPSED] = "lapsed", [STATE_NOT_NEEDED] = "not needed"};
    if (decided == NULL)
        return json_null();
    const LogRecord *record = decided->record;
    json_t *object = json_object();
    json_put(object, "decision", json_string(decision_name(record->decision)));
    json_put(object, "state", json_string(states[decided->state]));
    json_put(object, "lapsed", json_text_or_null(decided->lapsed));
    json_put(object, "who", names_array(&record->who));
    json_put(object, "when", json_string(record->when));
    json_put(object, "why", json_string(record->why));
    json_put(object, "until", json_text_or_null(record->until[0] != '\0' ? record->until : NULL));
    json_put(object, "ask", json_text_or_null(record->ask[0] != '\0' ? record->ask : NULL));
    return object;
}

/* Permits that nobody needs any more: of what rule, at what place. */
static json_t *unneeded_array(const Decisions *decisions)
{
    json_t *array = json_array();
    for (size_t i = 0; i < decisions->unneeded_count; i++) {
        const Decided *decided = &decisions->unneeded[i];
        json_t *object = json_object();
        json_put(object, "rule", json_string(decided->record->rule));
        json_put(object, "place", json_string(decided->record->place));
        json_put(object, "decision", decision_object(decided));
        json_add(array, object);
    }
    return array;
}

/* --- remedies --------------------------------------------------------------------- */

static json_t *effects_array(const SideEffect *effects, size_t count)
{
    json_t *array = json_array();
    for (size_t i = 0; i < count; i++) {
        json_t *object = json_object();
        json_put(object, "rule", json_string(effects[i].rule->id));
        json_put(object, "place", json_string(effects[i].place));
        json_put(object, "before", json_string(verdict_name(effects[i].before)));
        json_put(object, "after", json_string(verdict_name(effects[i].after)));
        json_add(array, object);
    }
    return array;
}

static void put_change(json_t *object, const RemedyChange *change)
{
    const Unit *unit = change->unit;
    double from = unit != NULL ? unit_from_base(unit, change->from_value) : change->from_value;
    double to = unit != NULL ? unit_from_base(unit, change->to_value) : change->to_value;
    json_put(object, "change", json_string(change->name));
    json_put(object, "path", json_text_or_null(change->path));
    json_put(object, "from", json_string(change->from));
    json_put(object, "to", json_string(change->to));
    json_put(object, "from_value", json_number(from));
    json_put(object, "to_value", json_number(to));
    json_put(object, "unit", json_text_or_null(unit != NULL ? unit->name : NULL));
    json_put(object, "giver", json_string(giver_name(change->giver)));
    json_put(object, "asks_line", json_boolean(change->asks_line));
    json_put(object, "redraw", json_boolean(change->redraw));
}

static json_t *remedy_object(const Remedy *remedy)
{
    json_t *object = json_object(), *second = json_null();
    json_put(object, "aim", json_string(remedy->aim == REMEDY_PASS ? "pass" : "tight"));
    json_put(object, "risk", json_number(remedy->risk));
    put_change(object, &remedy->changes[0]);
    if (remedy->change_count > 1) {
        second = json_object();
        put_change(second, &remedy->changes[1]);
    }
    json_put(object, "and", second);
    json_put(object, "clears", effects_array(remedy->clears, remedy->clear_count));
    json_put(object, "raises", effects_array(remedy->raises, remedy->raise_count));
    return object;
}

static void put_remedies(json_t *object, const RemedyList *list)
{
    json_t *remedies = json_array(), *none = json_array();
    for (size_t i = 0; i < list->count; i++)
        json_add(remedies, remedy_object(&list->items[i]));
    for (size_t i = 0; i < list->none_count; i++) {
        json_t *no = json_object();
        json_put(no, "name", json_string(list->none[i].name));
        json_put(no, "giver", json_string(giver_name(list->none[i].giver)));
        json_put(no, "reason", json_string(list->none[i].reason));
        json_add(none, no);
    }
    json_put(object, "remedies", remedies);
    json_put(object, "no_remedies", none);
}

/* --- a finding -------------------------------------------------------------------- */

static json_t *where_object(Where at)
{
    if (at.file == NULL)
        return json_null();
    json_t *object = json_object();
    json_put(object, "file", json_visible(at.file));
    json_put(object, "line", at.line > 0 ? json_integer(at.line) : json_null());
    json_put(object, "column", at.line > 0 ? json_integer(at.column) : json_null());
    return object;
}

static void put_place(json_t *object, const Finding *finding)
{
    const Rule *rule = finding->rule;
    json_put(object, "rule", json_string(rule->id));
    json_put(object, "title", json_string(rule->title));
    json_put(object, "about", json_string(subject_name(rule->about)));
    json_put(object, "place", json_string(finding->place));
    json_put(object, "part", json_string(finding->part));
    json_put(object, "at", where_object(finding->at));
    json_put(object, "verdict", json_string(verdict_name(finding->verdict)));
    json_put(object, "class", json_string(class_name(rule->class)));
}

static void put_measure(json_t *object, const Judgement *judgement, const Finding *finding)
{
    Basis basis;
    bool has_basis = finding_basis(judgement, finding, &basis);
    Risk risk = finding_risk(judgement, finding);
    const Spare *spare = finding_spare(judgement, finding);
    json_put(object, "spare", spare_object(spare));
    json_put(object, "relative_spare", json_number(spare->relative));
    json_put(object, "basis", json_text_or_null(has_basis ? basis_name(basis) : NULL));
    json_put(object, "risk", json_number(risk.share));
    json_put(object, "risk_samples",
             isfinite(risk.share) ? json_integer(risk.samples) : json_null());
    json_put(object, "risk_error", json_number(isfinite(risk.share) ? risk.error : (double)NAN));
    json_put(object, "assumed", json_boolean(risk.assumed));
    json_put(object, "lanes", lanes_array(judgement, finding));
}

json_t *json_finding(const Told *told, const Finding *finding)
{
    const Judgement *judgement = told->decisions->judgement;
    const Cause *cause = finding_cause(judgement, finding);
    json_t *object = json_object();
    Text sentence = {0};
    finding_sentence(&sentence, judgement, finding, finding_worst_lane(judgement, finding));
    put_place(object, finding);
    put_measure(object, judgement, finding);
    json_put(object, "sentence", json_string(text_string(&sentence)));
    json_put(object, "because", json_string(finding->rule->because));
    json_put(object, "source", json_string(finding->rule->source));
    json_put(object, "cause", json_string(cause->name));
    json_put(object, "cause_giver", json_string(giver_name(cause->giver)));
    json_put(object, "values", values_object(judgement, finding));
    put_remedies(object, told_remedies(told, finding));
    json_put(object, "decision", decision_object(decision_of(told->decisions, finding)));
    text_free(&sentence);
    return object;
}

/* --- all of them ------------------------------------------------------------------ */

json_t *json_tally(const Judgement *judgement)
{
    static const Verdict order[] = {VERDICT_PASS,    VERDICT_TIGHT, VERDICT_FLAG,
                                    VERDICT_UNKNOWN, VERDICT_OUT,   VERDICT_OFF};
    json_t *tally = json_object();
    for (size_t i = 0; i < sizeof order / sizeof *order; i++)
        json_put(tally, verdict_name(order[i]), json_count(judgement->tally[order[i]]));
    json_put(tally, "total", json_count(judgement->count));
    return tally;
}

/* The run's sizes, each once; lanes are size major. */
static json_t *sizes_array(const Judgement *judgement)
{
    json_t *sizes = json_array();
    for (uint32_t l = 0; l < judgement->lane_count; l++) {
        const char *size = judgement->columns->lanes[l].size;
        if (l == 0 || strcmp(size, judgement->columns->lanes[l - 1].size) != 0)
            json_add(sizes, json_string(size));
    }
    return sizes;
}

/* The day that decisions are held against; null where there are none. */
static json_t *date_string(const Decisions *decisions)
{
    if (!decisions->logged)
        return json_null();
    Text text = {0};
    date_write(&text, decisions->today);
    json_t *string = json_string(text_string(&text));
    text_free(&text);
    return string;
}

/* NULL: not said. */
static const char *stage_of(const Style *style)
{
    const Value *stage = record_value(style->lists[SUBJECT_STYLE].items[0], STYLE_STAGE);
    return stage->presence == VALUE_KNOWN ? field_at(STYLE_STAGE)->words->words[(size_t)stage->code]
                                          : NULL;
}

json_t *json_head(const Told *told, const Telling *telling, const char *form)
{
    const Decisions *decisions = told->decisions;
    const Judgement *judgement = decisions->judgement;
    const Style *style = judgement->style;
    json_t *object = json_object(), *colourways = json_array();
    for (size_t i = 0; i < style->colourway_count; i++)
        json_add(colourways, json_string(style->colourways[i].name));
    json_put(object, "cordwain", json_string(form));
    json_put(object, "style", json_string(style->name));
    json_put(object, "code", json_string(style->code));
    json_put(object, "stage", json_text_or_null(stage_of(style)));
    json_put(object, "factory",
             json_text_or_null(judgement->factory ? judgement->factory->name : NULL));
    json_put(object, "alternative", json_text_or_null(style->alternative));
    json_put(object, "date", date_string(decisions));
    json_put(object, "release", json_string(told_release(decisions)));
    json_put(object, "sizes", sizes_array(judgement));
    json_put(object, "colourways", colourways);
    json_put(object, "open", json_count(decisions->open));
    json_put(object, "permitted", json_count(decisions->permitted));
    json_put(object, "lapsed", json_count(decisions->lapsed));
    json_put(object, "giver",
             json_text_or_null(telling->by_giver ? giver_name(telling->giver) : NULL));
    json_put(object, "hidden", json_count(told_hidden(told, telling)));
    return object;
}

static json_t *told_object(const Told *told, const Telling *telling)
{
    const Judgement *judgement = told->decisions->judgement;
    json_t *object = json_head(told, telling, "findings/1"), *findings = json_array();
    for (size_t i = 0; i < judgement->count; i++)
        if (told_is(told, &judgement->findings[i], telling))
            json_add(findings, json_finding(told, &judgement->findings[i]));
    json_put(object, "tally", json_tally(judgement));
    json_put(object, "findings", findings);
    if (told->decisions->logged)
        json_put(object, "permits_not_needed", unneeded_array(told->decisions));
    return object;
}

void findings_json(Text *text, const Told *items, size_t count, const Telling *telling)
{
    json_t *root = count == 1 ? told_object(&items[0], telling) : json_array();
    for (size_t i = 0; count != 1 && i < count; i++)
        json_add(root, told_object(&items[i], telling));
    json_write(text, root, JSON_INDENT(1));
}

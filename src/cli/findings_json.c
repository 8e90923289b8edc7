/* Findings as JSON, form "findings/1". */
#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cli/cli.h"

/* JSON knows no NaN and no infinity. */
static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *text_or_null(const char *text)
{
    return text != NULL ? json_string(text) : json_null();
}

/* jansson answers NULL and -1 only when memory is short or text is not UTF-8;
 * all text here was checked on reading. */
static void put(json_t *object, const char *key, json_t *value)
{
    if (value == NULL || json_object_set_new(object, key, value) != 0)
        out_of_memory();
}

static void append(json_t *array, json_t *value)
{
    if (value == NULL || json_array_append_new(array, value) != 0)
        out_of_memory();
}

static json_t *spare_object(const Spare *spare)
{
    if (spare->comparison == NULL || !isfinite(spare->amount))
        return json_null();
    Type side = spare->comparison->operand[0]->type;
    const Unit *unit = unit_default(side.dimension, false);
    json_t *object = json_object();
    put(object, "value",
        number(unit != NULL ? unit_from_base(unit, spare->amount) : spare->amount));
    put(object, "unit", json_string(unit != NULL ? unit->name : ""));
    return object;
}

static json_t *lanes_array(const Judgement *judgement, const Finding *finding)
{
    json_t *lanes = json_array();
    for (uint32_t l = 0; l < judgement->lane_count; l++) {
        const Lane *lane = &judgement->columns->lanes[l];
        json_t *object = json_object();
        put(object, "size", json_string(lane->size));
        put(object, "colourway", json_string(lane->colourway));
        put(object, "verdict", json_string(verdict_name(finding->lanes[l])));
        append(lanes, object);
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
            put(object, "nominal", json_string(r->word));
        } else {
            bool unit = r->unit != NULL;
            put(object, "nominal", number(unit ? unit_from_base(r->unit, r->nominal) : r->nominal));
            put(object, "lo", number(unit ? unit_from_base(r->unit, r->lo) : r->lo));
            put(object, "hi", number(unit ? unit_from_base(r->unit, r->hi) : r->hi));
            put(object, "unit", json_string(unit ? r->unit->name : ""));
        }
        put(object, "from", json_string(r->from));
        put(values, r->name, object);
    }
    arena_free(&arena);
    return values;
}

static json_t *names_array(const TextList *names)
{
    json_t *array = json_array();
    for (size_t i = 0; i < names->count; i++)
        append(array, json_string(names->items[i]));
    return array;
}

static json_t *decision_object(const Decided *decided)
{
    static const char *const states[] = {[STATE_HOLDS] = "holds",
                                         [STATE_LAPSED] = "lapsed",
                                         [STATE_NOT_NEEDED] = "not needed"};
    if (decided == NULL)
        return json_null();
    const LogRecord *record = decided->record;
    json_t *object = json_object();
    put(object, "decision", json_string(decision_name(record->decision)));
    put(object, "state", json_string(states[decided->state]));
    put(object, "lapsed", text_or_null(decided->lapsed));
    put(object, "who", names_array(&record->who));
    put(object, "when", json_string(record->when));
    put(object, "why", json_string(record->why));
    put(object, "until", text_or_null(record->until[0] != '\0' ? record->until : NULL));
    put(object, "ask", text_or_null(record->ask[0] != '\0' ? record->ask : NULL));
    return object;
}

/* Permits that nobody needs any more: of what rule, at what place. */
static json_t *unneeded_array(const Decisions *decisions)
{
    json_t *array = json_array();
    for (size_t i = 0; i < decisions->unneeded_count; i++) {
        const Decided *decided = &decisions->unneeded[i];
        json_t *object = json_object();
        put(object, "rule", json_string(decided->record->rule));
        put(object, "place", json_string(decided->record->place));
        put(object, "decision", decision_object(decided));
        append(array, object);
    }
    return array;
}

static json_t *finding_object(const Decisions *decisions, const Finding *finding)
{
    const Judgement *judgement = decisions->judgement;
    json_t *object = json_object();
    const Rule *rule = finding->rule;
    Basis basis;
    bool has_basis = finding_basis(judgement, finding, &basis);
    Risk risk = finding_risk(judgement, finding);
    put(object, "rule", json_string(rule->id));
    put(object, "title", json_string(rule->title));
    put(object, "about", json_string(subject_name(rule->about)));
    put(object, "place", json_string(finding->place));
    put(object, "verdict", json_string(verdict_name(finding->verdict)));
    put(object, "class", json_string(class_name(rule->class)));
    put(object, "spare", spare_object(finding_spare(judgement, finding)));
    put(object, "basis", text_or_null(has_basis ? basis_name(basis) : NULL));
    put(object, "risk", number(risk.share));
    put(object, "assumed", json_boolean(risk.assumed));
    put(object, "lanes", lanes_array(judgement, finding));
    Text sentence = {0};
    finding_sentence(&sentence, judgement, finding, finding_worst_lane(judgement, finding));
    put(object, "sentence", json_string(text_string(&sentence)));
    text_free(&sentence);
    put(object, "because", json_string(rule->because));
    put(object, "source", json_string(rule->source));
    put(object, "cause", json_string(finding_cause(judgement, finding)->name));
    put(object, "values", values_object(judgement, finding));
    put(object, "remedies", json_array());
    put(object, "decision", decision_object(decision_of(decisions, finding)));
    return object;
}

static json_t *tally_object(const Judgement *judgement)
{
    static const Verdict order[] = {VERDICT_PASS,    VERDICT_TIGHT, VERDICT_FLAG,
                                    VERDICT_UNKNOWN, VERDICT_OUT,   VERDICT_OFF};
    json_t *tally = json_object();
    for (size_t i = 0; i < sizeof order / sizeof *order; i++)
        put(tally, verdict_name(order[i]), json_integer((json_int_t)judgement->tally[order[i]]));
    put(tally, "total", json_integer((json_int_t)judgement->count));
    return tally;
}

/* The run's sizes, each once; lanes are size major. */
static json_t *sizes_array(const Judgement *judgement)
{
    json_t *sizes = json_array();
    for (uint32_t l = 0; l < judgement->lane_count; l++) {
        const char *size = judgement->columns->lanes[l].size;
        if (l == 0 || strcmp(size, judgement->columns->lanes[l - 1].size) != 0)
            append(sizes, json_string(size));
    }
    return sizes;
}

static json_t *judgement_object(const Decisions *decisions, bool all)
{
    const Judgement *judgement = decisions->judgement;
    const Style *style = judgement->style;
    json_t *object = json_object(), *colourways = json_array(), *findings = json_array();
    for (size_t i = 0; i < style->colourway_count; i++)
        append(colourways, json_string(style->colourways[i].name));
    for (size_t i = 0; i < judgement->count; i++) {
        Verdict verdict = judgement->findings[i].verdict;
        if (all || verdict == VERDICT_FLAG || verdict == VERDICT_UNKNOWN || verdict == VERDICT_TIGHT)
            append(findings, finding_object(decisions, &judgement->findings[i]));
    }
    put(object, "cordwain", json_string("findings/1"));
    put(object, "style", json_string(style->name));
    put(object, "code", json_string(style->code));
    put(object, "factory", text_or_null(judgement->factory ? judgement->factory->name : NULL));
    put(object, "alternative", text_or_null(style->alternative));
    put(object, "sizes", sizes_array(judgement));
    put(object, "colourways", colourways);
    put(object, "tally", tally_object(judgement));
    put(object, "findings", findings);
    if (decisions->logged)
        put(object, "permits_not_needed", unneeded_array(decisions));
    return object;
}

/* jansson escapes all control characters but DEL, which stands in strings alone. */
static void add_without_delete(Text *text, const char *dump)
{
    for (const char *at = dump; *at != '\0';) {
        size_t length = strcspn(at, "\177");
        text_add_bytes(text, at, length);
        at += length;
        if (*at != '\0') {
            text_add(text, "\\u007f");
            at++;
        }
    }
}

void findings_json(Text *text, const Decisions *const *decisions, size_t count, bool all)
{
    json_t *root = count == 1 ? judgement_object(decisions[0], all) : json_array();
    for (size_t i = 0; count > 1 && i < count; i++)
        append(root, judgement_object(decisions[i], all));
    char *dump = json_dumps(root, JSON_INDENT(1) | JSON_ENSURE_ASCII | JSON_REAL_PRECISION(17));
    if (dump == NULL)
        out_of_memory();
    add_without_delete(text, dump);
    text_add(text, "\n");
    free(dump);
    json_decref(root);
}

/* How a finding stands, as a record keeps it. For src/log and whoever makes decisions. */
#include "log/record.h"

#include <math.h>
#include <string.h>

#include "log/sum.h"

/* So that a line stays within what the reader accepts, with room for the rest. */
enum { VALUES_MOST = 48 << 10 };

static void push(Arena *arena, TextList *list, const char *text)
{
    *ARENA_PUSH(arena, list->items, list->count, list->capacity) = text;
}

static const char *take_text(Arena *arena, Text *text)
{
    const char *copy = arena_copy(arena, text_string(text), text->length);
    text_free(text);
    return copy;
}

const char *logged_formula(Arena *arena, const Rule *rule)
{
    Text text = {0};
    text_addf(&text, "%s %s\n", class_name(rule->class), subject_name(rule->about));
    for (size_t i = 0; i < rule->let_count; i++) {
        text_addf(&text, "let %s: ", rule->lets[i].name);
        formula_write(&text, rule, rule->lets[i].formula->operand[0]);
        text_add(&text, "\n");
    }
    text_add(&text, "when ");
    if (rule->when != NULL)
        formula_write(&text, rule, rule->when);
    text_add(&text, "\nrequire ");
    formula_write(&text, rule, rule->require);
    Sum sum = sum_of("", 0, text.bytes, text.length);
    text_free(&text);
    return arena_copy(arena, sum.hex, SUM_DIGITS);
}

bool logged_lane_open(const Finding *finding, uint32_t lane)
{
    Verdict verdict = finding->lanes[lane];
    return verdict == VERDICT_FLAG || verdict == VERDICT_UNKNOWN ||
           (verdict == VERDICT_TIGHT && finding->rule->class == CLASS_CRITICAL);
}

const char *logged_lane_name(Arena *arena, const Judgement *judgement, uint32_t lane)
{
    const Lane *of = &judgement->columns->lanes[lane];
    bool both = of->size[0] != '\0' && of->colourway[0] != '\0';
    return arena_printf(arena, "%s%s%s", of->size, both ? " " : "", of->colourway);
}

static TextList open_lanes(Arena *arena, const Judgement *judgement, const Finding *finding)
{
    TextList lanes = {0};
    for (uint32_t lane = 0; lane < judgement->lane_count; lane++)
        if (logged_lane_open(finding, lane))
            push(arena, &lanes,
                 arena_printf(arena, "%s %s", verdict_name(finding->lanes[lane]),
                              logged_lane_name(arena, judgement, lane)));
    return lanes;
}

const char *logged_spare(Arena *arena, const Judgement *judgement, const Finding *finding)
{
    const Spare *spare = finding_spare(judgement, finding);
    Text text = {0};
    if (spare->comparison != NULL && isfinite(spare->amount))
        unit_write(&text, spare->amount, spare->comparison->operand[0]->type.dimension, false, NULL,
                   true);
    return take_text(arena, &text);
}

/* --- bends ----------------------------------------------------------------------------- */

TextList logged_bends(Arena *arena, const Judgement *judgement, const Finding *finding)
{
    const Columns *columns = judgement->columns;
    TextList bends = {0};
    if (finding->rule->about != SUBJECT_BEND)
        return bends;
    const Relation *up = relation_find(SUBJECT_BEND, "edge", strlen("edge"));
    const Relation *down = relation_find(SUBJECT_EDGE, "bend", strlen("bend"));
    int32_t edge = column_one(&columns->ones[relation_index(up)], (int32_t)finding->record, 0);
    const ManyColumn *many = &columns->manys[relation_index(down)];
    if (edge < 0 || many->unknown[edge]) {
        push(arena, &bends, "unknown");
        return bends;
    }
    const Column *curve = &columns->fields[BEND_CURVE];
    for (uint32_t i = many->start[edge]; i < many->start[edge + 1]; i++) {
        double word = curve->nominal[column_cell(curve, (uint32_t)many->items[i], 0)];
        push(arena, &bends,
             isnan(word) ? "unknown" : field_at(BEND_CURVE)->words->words[(int)word]);
    }
    return bends;
}

/* --- values read ----------------------------------------------------------------------- */

static bool is_unknown(const Reading *reading)
{
    if (reading->word != NULL)
        return strcmp(reading->word, "unknown") == 0;
    return isnan(reading->nominal) && isnan(reading->lo);
}

static bool lists(const TextList *list, const char *text)
{
    for (size_t i = 0; i < list->count; i++)
        if (strcmp(list->items[i], text) == 0)
            return true;
    return false;
}

TextList logged_unknown(Arena *arena, const Judgement *judgement, const Finding *finding)
{
    TextList unknown = {0};
    for (uint32_t lane = 0; lane < judgement->lane_count; lane++) {
        bool looked = finding->alike != NULL && finding->alike[lane] < lane;
        if (looked || finding->lanes[lane] < VERDICT_TIGHT || finding->lanes[lane] == VERDICT_OFF)
            continue;
        Reading *readings;
        size_t count = finding_readings(arena, judgement, finding, lane, &readings);
        for (size_t i = 0; i < count; i++)
            if (is_unknown(&readings[i]) && !lists(&unknown, readings[i].name))
                push(arena, &unknown, readings[i].name);
    }
    return unknown;
}

static const char *value_text(Arena *arena, const Reading *reading)
{
    Text text = {0};
    text_addf(&text, "%s: ", reading->name);
    double ends[] = {reading->lo, reading->hi};
    bool range = isnan(reading->nominal) && !isnan(reading->lo);
    if (reading->word != NULL)
        text_add(&text, reading->word);
    else if (!range)
        unit_write(&text, reading->nominal, reading->dimension, reading->point, reading->unit,
                   true);
    if (reading->word == NULL && !is_unknown(reading) && (range || ends[0] < ends[1])) {
        text_add(&text, range ? "" : " in ");
        for (int i = 0; i < 2; i++) {
            text_add(&text, i > 0 ? ".." : "");
            text_add_number(&text, reading->unit ? unit_from_base(reading->unit, ends[i]) : ends[i],
                            15);
        }
        if (reading->unit != NULL)
            text_addf(&text, " %s", reading->unit->name);
    }
    return take_text(arena, &text);
}

/* What is unknown comes first: a record must not lose it where there is no room for all. */
static TextList values_read(Arena *arena, const Judgement *judgement, const Finding *finding)
{
    TextList values = {0}, unknown = logged_unknown(arena, judgement, finding);
    Reading *readings;
    size_t count = finding_readings(arena, judgement, finding,
                                    finding_worst_lane(judgement, finding), &readings);
    size_t bytes = 0, left_out = 0;
    for (size_t i = 0; i < unknown.count + count; i++) {
        const Reading *reading = i < unknown.count ? NULL : &readings[i - unknown.count];
        if (reading != NULL && is_unknown(reading))
            continue;
        const char *text = reading != NULL ? value_text(arena, reading)
                                           : arena_printf(arena, "%s: unknown", unknown.items[i]);
        bytes += strlen(text);
        if (bytes > VALUES_MOST)
            left_out++;
        else
            push(arena, &values, text);
    }
    if (left_out > 0)
        push(arena, &values, arena_printf(arena, "and %zu more", left_out));
    return values;
}

static const char *text_or_none(const char *text)
{
    return text != NULL ? text : "";
}

void logged_take(Arena *arena, LogRecord *record, const Judgement *judgement,
                 const Finding *finding)
{
    const Factory *factory = judgement->factory;
    record->style = judgement->style->code;
    record->alternative = text_or_none(judgement->style->alternative);
    record->factory = factory != NULL ? factory->name : "";
    record->rule = finding->rule->id;
    record->place = finding->place;
    record->verdict = finding->verdict;
    record->class = finding->rule->class;
    record->spare = logged_spare(arena, judgement, finding);
    record->relative = finding_spare(judgement, finding)->relative;
    record->lanes = open_lanes(arena, judgement, finding);
    record->formula = logged_formula(arena, finding->rule);
    record->values = values_read(arena, judgement, finding);
    record->bends = logged_bends(arena, judgement, finding);
    record->at = (Where){0};
}

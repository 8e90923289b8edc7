/* Findings by part: what is wrong, the numbers, the picture, what would help, what was decided.
 * For the report on a style. */
#include "report/content_inside.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- Order ---- */

static const char *part_of(const Run *run)
{
    return run->findings[0]->part;
}

/* Parts in the order of their first run; the runs of one part follow each other. */
static void number_runs(Content *content)
{
    const Runs *runs = content->runs;
    size_t number = 0;
    content->numbers = ARENA_NEW(content->arena, size_t, runs->count);
    content->told_runs = ARENA_NEW(content->arena, const Run *, runs->count);
    for (size_t i = 0; i < runs->count; i++) {
        if (content->numbers[i] != 0)
            continue;
        for (size_t k = i; k < runs->count; k++)
            if (content->numbers[k] == 0 &&
                strcmp(part_of(&runs->items[k]), part_of(&runs->items[i])) == 0) {
                content->told_runs[number] = &runs->items[k];
                content->numbers[k] = ++number;
            }
    }
}

/* ---- All at a glance ---- */

/* "Clips gape at their roots when turned; root opens: 0.7 mm too much" */
static const char *title_and_spare(const Content *content, const Finding *finding)
{
    Text spare = {0};
    if (finding->verdict == VERDICT_FLAG || finding->verdict == VERDICT_TIGHT)
        finding_say_spare(&spare, content->judgement, finding);
    bool told = spare.length > 0;
    return arena_printf(content->arena, "%s%s%s", finding->rule->title, told ? "; " : "",
                        content_take(content, &spare));
}

static const char *decided_shortly(const Content *content, const Run *run)
{
    const Finding *finding = run->findings[0];
    const Decided *decided = decision_of(content->decisions, finding);
    if (decided == NULL)
        return content_open(content, finding) ? "open" : "none needed";
    return arena_printf(content->arena, "%s%s%s", decision_name(decided->record->decision),
                        decided->state == STATE_LAPSED ? ", lapsed" : "",
                        content_open(content, finding) ? "; open" : "");
}

static void add_glance(const Content *content)
{
    static const ReportColumn columns[] = {{"no.", false},   {"verdict", false},
                                           {"class", false}, {"place", false},
                                           {"what", false},  {"decision", false}};
    const Runs *runs = content->runs;
    report_open(content->report, "glance", "At a glance", (long)runs->findings);
    if (runs->count == 0) {
        report_paragraph(content->report, NULL, "Nothing is to be settled.");
        report_close(content->report);
        return;
    }
    report_paragraphf(content->report, NULL,
                      "%s to settle, from %s. Those that have one cause and read alike stand in "
                      "one line. Signs: ! flag, ? unknown, ~ tight (holds as written, but can fail "
                      "within the tolerances), + pass, - out (does not apply), x off.",
                      content_count(content, runs->findings, "finding", "findings"),
                      content_count(content, runs->causes, "cause", "causes"));
    report_table(content->report, "Findings to be settled", columns, 6);
    for (size_t i = 0; i < runs->count; i++) {
        const Run *run = content->told_runs[i];
        const Finding *finding = run->findings[0];
        Text places = {0};
        for (size_t k = 0; k < run->count; k++)
            text_addf(&places, "%s%s", k > 0 ? ", " : "", run->findings[k]->place);
        const char *const cells[] = {arena_printf(content->arena, "%zu", i + 1),
                                     arena_printf(content->arena, "%c %s",
                                                  verdict_sign(finding->verdict),
                                                  verdict_name(finding->verdict)),
                                     class_name(finding->rule->class),
                                     content_take(content, &places),
                                     title_and_spare(content, finding),
                                     decided_shortly(content, run)};
        report_row(content->report, cells, content_anchor(content, i + 1));
    }
    report_close(content->report);
}

/* ---- The picture of a place ---- */

/* The record of the style that a finding's place is, or stands on; NULL: there is no picture of
 * such things. */
static const Record *place_record(const Content *content, const Finding *finding)
{
    const Columns *columns = content->judgement->columns;
    Subject subject = finding->rule->about;
    int32_t index = (int32_t)finding->record;
    if (subject == SUBJECT_STEP || subject == SUBJECT_PLY) {
        const Relation *row = relation_find(subject, "row", strlen("row"));
        index = row != NULL && !row->many
                    ? column_one(&columns->ones[relation_index(row)], index, 0)
                    : -1;
        subject = SUBJECT_ROW;
    }
    const RecordList *list = &content->judgement->style->lists[subject];
    if (index < 0 || (size_t)index >= list->count || list->items[index]->placeholder)
        return NULL;
    return list->items[index];
}

static void set_lane(Content *content, const Finding *finding)
{
    uint32_t lane = finding_worst_lane(content->judgement, finding);
    content->base.size = content->judgement->columns->lanes[lane].size_index;
    content->base.colourway = content->judgement->columns->lanes[lane].colourway_index;
}

/* Once for each place: later findings there name the picture. */
static void add_picture(Content *content, const Finding *finding)
{
    const Record *place = place_record(content, finding);
    if (place == NULL)
        return;
    for (size_t i = 0; i < content->shown_count; i++)
        if (content->shown[i].record == place) {
            if (content->shown[i].number > 0)
                report_paragraphf(content->report, "Picture", "see picture %zu",
                                  content->shown[i].number);
            return;
        }
    Figure figures[PICTURES_OF_PLACE];
    Text why = {0};
    set_lane(content, finding);
    size_t first = 0, count = picture_place(content->arena, &content->base, place, figures, &why);
    for (size_t i = 0; i < count; i++) {
        size_t number = report_figure(content->report, figures[i]);
        first = i == 0 ? number : first;
    }
    if (count == 0)
        report_paragraphf(content->report, "Picture", "none: %s", text_string(&why));
    text_free(&why);
    *ARENA_PUSH(content->arena, content->shown, content->shown_count, content->shown_capacity) =
        (Shown){place, first};
}

/* ---- The numbers ---- */

static const char *reading_text(const Content *content, const Reading *reading)
{
    Text text = {0};
    bool spread = reading->lo < reading->hi;
    if (reading->word != NULL) {
        text_add(&text, reading->word);
    } else if (isnan(reading->nominal) && isnan(reading->lo)) {
        text_add(&text, "unknown");
    } else {
        if (!isnan(reading->nominal))
            unit_write(&text, reading->nominal, reading->dimension, reading->point, reading->unit,
                       false);
        if (spread) {
            const Unit *unit = reading->unit;
            int digits = reading->worked_out ? 3 : 4;
            text_add(&text, text.length > 0 ? " (" : "");
            text_add_number(&text, unit ? unit_from_base(unit, reading->lo) : reading->lo, digits);
            text_add(&text, "..");
            text_add_number(&text, unit ? unit_from_base(unit, reading->hi) : reading->hi, digits);
            text_add(&text, isnan(reading->nominal) ? (unit ? " " : "") : ")");
            if (isnan(reading->nominal) && unit != NULL)
                text_add(&text, unit->name);
        }
    }
    return content_take(content, &text);
}

/* A limit's name and value stand in the columns before; the word it goes by is kept. */
static const char *from_text(const Content *content, const Reading *reading)
{
    const char *start = arena_printf(content->arena, "limit %s", reading->name);
    if (strncmp(reading->from, start, strlen(start)) != 0)
        return reading->from;
    const char *word = reading->from + strlen(start);
    const char *rest = strstr(word, "set by ");
    if (rest == NULL || (word[0] != ':' && strncmp(word, " for ", strlen(" for ")) != 0))
        return reading->from;
    int length = (int)strcspn(word, ":");
    return arena_printf(content->arena, "limit%.*s%s%s", length, word, length > 0 ? ", " : " ",
                        rest);
}

/* Whether it was told of the same place; else it is from now on. */
static bool told_before(Content *content, const char *number)
{
    for (size_t i = 0; i < content->told_count; i++)
        if (strcmp(content->told[i], number) == 0)
            return true;
    *ARENA_PUSH(content->arena, content->told, content->told_count, content->told_capacity) =
        number;
    return false;
}

static void start_place(Content *content, const char *caption, const char *place, size_t number)
{
    const char *here = arena_printf(content->arena, "%s %s", place, caption);
    if (content->told_place != NULL && strcmp(content->told_place, here) == 0)
        return;
    content->told_place = here;
    content->told_at = number;
    content->told_count = 0;
}

static const char *numbers_caption(const Content *content, uint32_t lane)
{
    const Lane *of = &content->judgement->columns->lanes[lane];
    bool size = of->size[0] != '\0', colourway = of->colourway[0] != '\0';
    return arena_printf(content->arena, "Numbers%s%s%s%s", size ? " in size " : "", of->size,
                        colourway ? " of " : "", of->colourway);
}

/* What stands at an earlier finding of the same place is not told again. */
static void add_numbers(Content *content, const Finding *finding, size_t number)
{
    static const ReportColumn columns[] = {{"number", false}, {"is", false}, {"from", false}};
    uint32_t lane = finding_worst_lane(content->judgement, finding);
    const char *caption = numbers_caption(content, lane);
    Reading *readings;
    size_t count = finding_readings(content->arena, content->judgement, finding, lane, &readings);
    size_t shown = 0;
    start_place(content, caption, finding->place, number);
    for (size_t i = 0; i < count; i++) {
        const char *const cells[] = {readings[i].name, reading_text(content, &readings[i]),
                                     from_text(content, &readings[i])};
        if (told_before(content,
                        arena_printf(content->arena, "%s: %s; %s", cells[0], cells[1], cells[2])))
            continue;
        if (shown++ == 0)
            report_table(content->report, caption, columns, 3);
        report_row(content->report, cells, NULL);
    }
    if (shown < count)
        report_paragraphf(content->report, "Numbers", "%s at no. %zu",
                          shown > 0 ? "the others stand" : "as they stand", content->told_at);
}

/* "radius: 1.9 mm too little, in every size of Bark; limits: common practice" */
static void add_measure(const Content *content, const Finding *finding)
{
    const Judgement *judgement = content->judgement;
    Text text = {0};
    finding_say_spare(&text, judgement, finding);
    text_add(&text, text.length > 0 ? ", " : "");
    finding_lanes(&text, judgement, finding);
    Basis basis;
    if (finding_basis(judgement, finding, &basis))
        text_addf(&text, "; limits: %s", basis_name(basis));
    report_paragraph(content->report, "By how much", content_take(content, &text));
}

/* Where not all sizes and colourways share the verdict. */
static void add_strip(const Content *content, const Finding *finding)
{
    const Judgement *judgement = content->judgement;
    uint32_t count = judgement->lane_count, sizes = 0, colourways = 0;
    bool same = true;
    for (uint32_t l = 0; l < count; l++) {
        const Lane *lane = &judgement->columns->lanes[l];
        same = same && finding->lanes[l] == finding->lanes[0];
        sizes = lane->size_index >= sizes ? lane->size_index + 1 : sizes;
        colourways = lane->colourway_index >= colourways ? lane->colourway_index + 1 : colourways;
    }
    if (same || sizes * colourways != count)
        return;
    const char **size_names = ARENA_NEW(content->arena, const char *, sizes);
    const char **colourway_names = ARENA_NEW(content->arena, const char *, colourways);
    Verdict *verdicts = ARENA_NEW(content->arena, Verdict, count);
    for (uint32_t l = 0; l < count; l++) {
        const Lane *lane = &judgement->columns->lanes[l];
        size_names[lane->size_index] = lane->size;
        colourway_names[lane->colourway_index] = lane->colourway;
        verdicts[lane->colourway_index * sizes + lane->size_index] = finding->lanes[l];
    }
    report_strip(content->report, size_names, sizes, colourway_names, colourways, verdicts);
}

static void add_risk(const Content *content, const Finding *finding)
{
    if (finding->verdict != VERDICT_TIGHT)
        return;
    Risk risk = finding_risk(content->judgement, finding);
    Text words = {0};
    if (isnan(risk.share)) {
        report_paragraph(content->report, "Risk",
                         risk.assumed ? "not told: it is tight only through tolerances that the "
                                        "house assumes, not the style"
                                      : "not told");
        return;
    }
    if (risk.share <= 0) {
        text_addf(&words, "below 3 in %d: none of that many samples within the tolerances fails",
                  risk.samples);
    } else {
        text_add(&words, "about ");
        text_add_number(&words, 100 * risk.share, 2);
        text_add(&words, " % of samples within the tolerances fail");
    }
    report_share(content->report, risk.share, content_take(content, &words));
}

/* ---- What would help, what was decided ---- */

static void add_effects(Text *text, const char *word, const SideEffect *effects, size_t count)
{
    for (size_t i = 0; i < count; i++)
        text_addf(text, "%s%s: %s (%s, was %s)", i == 0 ? word : "; ", effects[i].place,
                  effects[i].rule->title, verdict_name(effects[i].after),
                  verdict_name(effects[i].before));
}

static void add_remedies(const Content *content, const Finding *finding)
{
    const RemedyList *remedies = told_remedies(content->source, finding);
    if (remedies->count + remedies->none_count == 0)
        return;
    report_paragraph(content->report, "Would help",
                     remedies->count > 0 ? "one of these" : "no change that was tried");
    for (size_t i = 0; i < remedies->count; i++) {
        const Remedy *remedy = &remedies->items[i];
        Text text = {0};
        remedy_say(&text, remedy);
        bool both = remedy->clear_count > 0 && remedy->raise_count > 0;
        add_effects(&text, both ? "; cleared: " : ": ", remedy->clears, remedy->clear_count);
        add_effects(&text, both ? "; raised: " : ": ", remedy->raises, remedy->raise_count);
        report_item(content->report, content_take(content, &text));
    }
    for (size_t i = 0; i < remedies->none_count; i++)
        report_itemf(content->report, "not by %s alone (%s): %s", remedies->none[i].name,
                     giver_name(remedies->none[i].giver), remedies->none[i].reason);
}

static void add_decision(const Content *content, const Run *run)
{
    const char *decision = run->decision;
    if (decision[0] == '\0')
        decision = content_open(content, run->findings[0]) ? "none: it is open"
                                                           : "none; none is needed for a release";
    report_paragraph(content->report, "Decision", decision);
}

/* ---- The whole ---- */

static void add_finding(Content *content, const Run *run, size_t number)
{
    const Finding *finding = run->findings[0];
    const Rule *rule = finding->rule;
    Report *report = content->report;
    Text places = {0};
    run_places(&places, run);
    report_open_finding(report, content_anchor(content, number), rule->title, finding->verdict,
                        class_name(rule->class), number);
    report_paragraph(report, content_take(content, &places), run->sentence);
    add_measure(content, finding);
    add_strip(content, finding);
    add_risk(content, finding);
    add_remedies(content, finding);
    add_decision(content, run);
    add_picture(content, finding);
    content_line(content, finding);
    add_numbers(content, finding, number);
    report_paragraphf(report, "Why", "%s (%s; rule %s, %s)", rule->because, rule->source, rule->id,
                      content_where(content, rule->at));
    report_paragraphf(report, "Mend at", "%s, %s; it is for %s", run->cause->name,
                      content_where(content, run->cause->at), told_whose(run->cause->giver));
    report_close(report);
}

static bool is_part(const Content *content, const char *name)
{
    return record_find(&content->judgement->style->lists[SUBJECT_PART], name) != NULL;
}

static void add_part(Content *content, size_t from, size_t to, size_t order)
{
    const char *part = part_of(content->told_runs[from]);
    size_t findings = 0;
    for (size_t i = from; i < to; i++)
        findings += content->told_runs[i]->count;
    report_open(content->report, arena_printf(content->arena, "part-%zu", order),
                is_part(content, part) ? arena_printf(content->arena, "Part %s", part)
                                       : arena_printf(content->arena, "The %s", part),
                (long)findings);
    for (size_t i = from; i < to; i++)
        add_finding(content, content->told_runs[i], i + 1);
    report_close(content->report);
}

void content_findings(Content *content)
{
    number_runs(content);
    add_glance(content);
    size_t count = content->runs->count, parts = 0;
    if (count == 0)
        return;
    report_open(content->report, "findings", "Findings by part", (long)content->runs->findings);
    for (size_t from = 0, to; from < count; from = to) {
        for (to = from + 1; to < count && strcmp(part_of(content->told_runs[to]),
                                                 part_of(content->told_runs[from])) == 0;)
            to++;
        add_part(content, from, to, ++parts);
    }
    report_close(content->report);
}

/* What changed since another revision, another log or a day. For the report on a style. */
#include "report/content_inside.h"

#include <string.h>

#include "compare/compare.h"

/* ---- Findings ---- */

/* "1 newly flagged, 2 better", then each, the worst first. */
static void add_differences(const Content *content, const Comparison *comparison)
{
    Text counts = {0};
    for (DifferenceKind kind = 0; kind < DIFFERENCE_KIND_COUNT; kind++)
        if (comparison->counts[kind] > 0)
            text_addf(&counts, "%s%zu %s", counts.length > 0 ? ", " : "", comparison->counts[kind],
                      difference_word(kind));
    report_paragraph(content->report, "Findings that differ", content_take(content, &counts));
    for (size_t i = 0; i < comparison->count; i++) {
        Text said = {0};
        difference_say(&said, comparison, &comparison->items[i]);
        report_item(content->report, content_take(content, &said));
    }
}

static void add_tallies(const Content *content, const Judgement *before)
{
    static const ReportColumn columns[] = {{"findings", false}, {"then", true}, {"now", true}};
    static const Verdict order[] = {VERDICT_FLAG, VERDICT_UNKNOWN, VERDICT_TIGHT,
                                    VERDICT_PASS, VERDICT_OUT,     VERDICT_OFF};
    report_table(content->report, "Findings then and now", columns, 3);
    for (size_t i = 0; i < sizeof order / sizeof *order; i++) {
        const char *const cells[] = {
            verdict_name(order[i]), arena_printf(content->arena, "%zu", before->tally[order[i]]),
            arena_printf(content->arena, "%zu", content->judgement->tally[order[i]])};
        report_row(content->report, cells, NULL);
    }
}

static void add_compared(const Content *content)
{
    const Judgement *before = content->since->judgement;
    Comparison *comparison = compare_judgements(before, content->judgement);
    report_paragraphf(content->report, NULL,
                      "%s and %s were judged by the same rules%s, so each difference here is of "
                      "the style.",
                      content->since->name, content->judgement->style->file->path,
                      before->factory != NULL ? " at the same factory" : "");
    if (strcmp(before->style->code, content->judgement->style->code) != 0)
        report_paragraphf(content->report, NULL, "They are two styles: %s then, %s now.",
                          before->style->code, content->judgement->style->code);
    add_tallies(content, before);
    if (comparison->count == 0)
        report_paragraph(content->report, NULL, "No finding differs.");
    else
        add_differences(content, comparison);
    content_edits(content, before);
    comparison_free(comparison);
}

/* ---- Rules ---- */

/* A decision keeps a sum over the rule it was taken by: another sum tells of another rule. */
static void add_changed_rules(const Content *content)
{
    const Decisions *decisions = content->decisions;
    size_t shown = 0;
    for (size_t i = 0; i < decisions->count; i++) {
        const Decided *decided = &decisions->items[i];
        const Rule *rule = decided->finding->rule;
        bool told = false;
        for (size_t k = 0; k < i; k++)
            told = told || decisions->items[k].finding->rule == rule;
        if (told || strcmp(decided->record->formula, logged_formula(content->arena, rule)) == 0)
            continue;
        if (shown++ == 0)
            report_paragraph(content->report, NULL,
                             "Rules that have changed since something was decided by them:");
        report_itemf(content->report, "%s (%s), decided on %.*s", rule->title, rule->id,
                     (int)strcspn(decided->record->when, "T"), decided->record->when);
    }
}

/* ---- Decisions ---- */

static bool same_record(const LogRecord *a, const LogRecord *b)
{
    Text one = {0}, other = {0};
    logged_write(&one, a);
    logged_write(&other, b);
    bool same = strcmp(text_string(&one), text_string(&other)) == 0;
    text_free(&one);
    text_free(&other);
    return same;
}

static bool is_new(const ReportSince *since, const LogRecord *record, size_t index)
{
    if (since->day != NULL) {
        Text day = {0};
        date_write(&day, *since->day);
        bool later = strncmp(record->when, text_string(&day), day.length) >= 0;
        text_free(&day);
        return later;
    }
    /* a log only grows: what it had then stands at the same place */
    return since->log == NULL || index >= since->log->count ||
           !same_record(&since->log->records[index], record);
}

static void add_record(const Content *content, const LogRecord *record)
{
    Decided decided = {.record = record, .state = STATE_HOLDS};
    Text said = {0};
    decision_say(&said, &decided);
    report_itemf(content->report, "%.*s, %s [%s]%s%s%s%s: %s", (int)strcspn(record->when, "T"),
                 record->when, record->place, record->rule,
                 record->alternative[0] != '\0' ? ", alternative " : "", record->alternative,
                 record->factory[0] != '\0' ? ", at " : "", record->factory, text_string(&said));
    text_free(&said);
}

static void add_new_decisions(const Content *content)
{
    size_t shown = 0, records = content->log != NULL ? content->log->count : 0;
    for (size_t i = 0; i < records; i++) {
        const LogRecord *record = &content->log->records[i];
        bool ours = strcmp(record->style, content->judgement->style->code) == 0;
        if (!ours || !is_new(content->since, record, i))
            continue;
        if (shown++ == 0)
            report_paragraph(content->report, NULL, "Decided since, in the order of the log:");
        add_record(content, record);
    }
    if (shown == 0)
        report_paragraph(content->report, NULL, "No decision was added since.");
}

void content_since(Content *content)
{
    if (content->since == NULL)
        return;
    report_open(content->report, "since",
                arena_printf(content->arena, "What changed since %s", content->since->name),
                REPORT_UNCOUNTED);
    if (content->since->judgement != NULL)
        add_compared(content);
    add_changed_rules(content);
    add_new_decisions(content);
    report_close(content->report);
}

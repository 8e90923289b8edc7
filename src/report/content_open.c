/* What is not known and who answers; what was decided, what has lapsed. For the report on a
 * style. */
#include "report/content_inside.h"

#include <string.h>

/* ---- Unknowns ---- */

/* Unknown findings of one cause, which is what is not known. */
typedef struct Unknown {
    const Cause *cause;
    size_t findings, first; /* first: number of the first run */
    Text asked;
} Unknown;

/* Whom it was asked, each question once. */
static void add_asked(const Content *content, Unknown *unknown, const Decided *decided)
{
    const LogRecord *record = decided->record;
    const char *asked =
        arena_printf(content->arena, "%s on %.*s%s", record->ask, (int)strcspn(record->when, "T"),
                     record->when, decided->state == STATE_LAPSED ? " (lapsed)" : "");
    if (unknown->asked.length == 0 || strstr(unknown->asked.bytes, asked) == NULL)
        text_addf(&unknown->asked, "%s%s", unknown->asked.length > 0 ? "; " : "", asked);
}

static void add_unknown_run(const Content *content, Unknown *unknown, const Run *run)
{
    const Decided *decided = decision_of(content->decisions, run->findings[0]);
    unknown->findings += run->count;
    if (decided != NULL && decided->record->decision == DECISION_ASK)
        add_asked(content, unknown, decided);
}

static Unknown *unknown_of(const Content *content, Unknown **unknowns, size_t *count,
                           size_t *capacity, const Cause *cause, size_t number)
{
    for (size_t i = 0; i < *count; i++)
        if ((*unknowns)[i].cause == cause)
            return &(*unknowns)[i];
    Unknown *unknown = ARENA_PUSH(content->arena, *unknowns, *count, *capacity);
    *unknown = (Unknown){.cause = cause, .first = number};
    return unknown;
}

static void add_unknown_row(const Content *content, Unknown *unknown)
{
    const char *const cells[] = {
        unknown->cause->name,
        told_whose(unknown->cause->giver),
        unknown->asked.length > 0 ? content_take(content, &unknown->asked) : "nobody yet",
        arena_printf(content->arena, "%zu, from no. %zu", unknown->findings, unknown->first),
        content_where(content, unknown->cause->at),
    };
    report_row(content->report, cells, content_anchor(content, unknown->first));
}

void content_unknowns(Content *content)
{
    static const ReportColumn columns[] = {{"not known", false},
                                           {"who answers", false},
                                           {"asked", false},
                                           {"findings", false},
                                           {"where", false}};
    Unknown *unknowns = NULL;
    size_t count = 0, capacity = 0;
    for (size_t i = 0; i < content->runs->count; i++) {
        const Run *run = content->told_runs[i];
        if (run->findings[0]->verdict == VERDICT_UNKNOWN)
            add_unknown_run(
                content, unknown_of(content, &unknowns, &count, &capacity, run->cause, i + 1), run);
    }
    report_open(content->report, "unknowns", "Unknowns, and who answers", (long)count);
    if (count == 0)
        report_paragraph(content->report, NULL,
                         "Every value that decides a finding is known. Unknown is never a pass.");
    else
        report_table(content->report, "What is not known", columns, 5);
    for (size_t i = 0; i < count; i++)
        add_unknown_row(content, &unknowns[i]);
    report_close(content->report);
}

/* ---- Decisions ---- */

static const char *names_of(const Content *content, const TextList *who)
{
    Text text = {0};
    for (size_t i = 0; i < who->count; i++)
        text_addf(&text, "%s%s", i > 0 ? " and " : "", who->items[i]);
    return content_take(content, &text);
}

static const char *place_of(const Content *content, const LogRecord *record)
{
    return arena_printf(content->arena, "%s [%s]", record->place, record->rule);
}

static bool is_permit(const Decided *decided)
{
    return decided->record->decision == DECISION_PERMIT;
}

static void add_permits(const Content *content)
{
    static const ReportColumn columns[] = {{"place [rule]", false}, {"class", false},
                                           {"by", false},           {"on", false},
                                           {"until", false},        {"why", false}};
    const Decisions *decisions = content->decisions;
    size_t shown = 0;
    for (size_t i = 0; i < decisions->count; i++) {
        const Decided *decided = &decisions->items[i];
        if (!is_permit(decided) || decided->state != STATE_HOLDS)
            continue;
        if (shown++ == 0)
            report_table(content->report, "Deviation permits that hold", columns, 6);
        const LogRecord *record = decided->record;
        const char *const cells[] = {
            place_of(content, record),
            class_name(record->class),
            names_of(content, &record->who),
            arena_printf(content->arena, "%.*s", (int)strcspn(record->when, "T"), record->when),
            record->until,
            record->why,
        };
        report_row(content->report, cells, NULL);
    }
    if (shown == 0)
        report_paragraph(content->report, NULL, "No deviation permit holds.");
}

static void add_lapsed(const Content *content)
{
    static const ReportColumn columns[] = {
        {"place [rule]", false}, {"lapsed because", false}, {"what was decided", false}};
    const Decisions *decisions = content->decisions;
    size_t shown = 0;
    for (size_t i = 0; i < decisions->count; i++) {
        const Decided *decided = &decisions->items[i];
        if (decided->state != STATE_LAPSED)
            continue;
        if (shown++ == 0)
            report_table(content->report, "Decisions that have lapsed", columns, 3);
        Decided held = *decided;
        Text said = {0};
        held.state = STATE_HOLDS; /* why it lapsed stands in a column of its own */
        decision_say(&said, &held);
        const char *const cells[] = {place_of(content, decided->record), decided->lapsed,
                                     content_take(content, &said)};
        report_row(content->report, cells, NULL);
    }
}

static void add_said(const Content *content, const Decided *decided, const char *lead)
{
    Text said = {0};
    decision_say(&said, decided);
    report_itemf(content->report, "%s%s: %s", lead, place_of(content, decided->record),
                 text_string(&said));
    text_free(&said);
}

static void add_others(const Content *content)
{
    const Decisions *decisions = content->decisions;
    size_t shown = 0;
    for (size_t i = 0; i < decisions->count; i++) {
        const Decided *decided = &decisions->items[i];
        if (is_permit(decided) || decided->state != STATE_HOLDS)
            continue;
        if (shown++ == 0)
            report_paragraph(content->report, NULL, "Other decisions, which release nothing:");
        add_said(content, decided, "");
    }
    if (decisions->unneeded_count > 0)
        report_paragraph(content->report, NULL, "Permits that are no longer needed:");
    for (size_t i = 0; i < decisions->unneeded_count; i++) {
        const Decided *decided = &decisions->unneeded[i];
        add_said(content, decided,
                 decided->finding == NULL ? "not there any more, "
                                          : arena_printf(content->arena, "now %s, ",
                                                         verdict_name(decided->finding->verdict)));
    }
}

void content_decisions(Content *content)
{
    const Decisions *decisions = content->decisions;
    size_t count = decisions->count + decisions->unneeded_count;
    report_open(content->report, "permits", "Permits and other decisions", (long)count);
    if (!decisions->logged)
        report_paragraph(content->report, NULL, "There is no decision log beside this style.");
    else
        add_permits(content);
    add_lapsed(content);
    add_others(content);
    report_close(content->report);
}

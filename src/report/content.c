/* The report on one style: its order, its head and its foot. For src/cli. */
#include "report/content_inside.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- What the parts share ---- */

const char *content_take(const Content *content, Text *text)
{
    const char *copy = arena_copy(content->arena, text_string(text), text->length);
    text_free(text);
    return copy;
}

const char *content_anchor(const Content *content, size_t number)
{
    return arena_printf(content->arena, "finding-%zu", number);
}

const char *content_where(const Content *content, Where at)
{
    return where_text(content->arena, at);
}

const char *content_count(const Content *content, size_t count, const char *one, const char *many)
{
    return arena_printf(content->arena, "%zu %s", count, count == 1 ? one : many);
}

static bool is_permitted(const Content *content, const Finding *finding)
{
    const Decided *decided = decision_of(content->decisions, finding);
    return decided != NULL && decided->state == STATE_HOLDS &&
           decided->record->decision == DECISION_PERMIT;
}

static bool needs_permit(const Finding *finding)
{
    return finding->verdict == VERDICT_FLAG || finding->verdict == VERDICT_UNKNOWN ||
           (finding->verdict == VERDICT_TIGHT && finding->rule->class == CLASS_CRITICAL);
}

bool content_open(const Content *content, const Finding *finding)
{
    return needs_permit(finding) && !is_permitted(content, finding);
}

/* ---- Whether it is released, and why ---- */

/* "2 critical flags, 11 major flags, 1 major unknown" */
static void add_open(Text *text, const Content *content)
{
    static const Verdict verdicts[] = {VERDICT_FLAG, VERDICT_UNKNOWN, VERDICT_TIGHT};
    static const char *const names[][2] = {
        {"flag", "flags"}, {"unknown", "unknowns"}, {"tight finding", "tight findings"}};
    static const RuleClass classes[] = {CLASS_CRITICAL, CLASS_MAJOR, CLASS_MINOR};
    size_t said = 0;
    for (size_t v = 0; v < 3; v++)
        for (size_t c = 0; c < 3; c++) {
            size_t count = 0;
            for (size_t i = 0; i < content->judgement->count; i++) {
                const Finding *finding = &content->judgement->findings[i];
                count += finding->verdict == verdicts[v] && finding->rule->class == classes[c] &&
                         content_open(content, finding);
            }
            if (count > 0)
                text_addf(text, "%s%zu %s %s", said++ > 0 ? ", " : "", count,
                          class_name(classes[c]), names[v][count != 1]);
        }
}

static void add_status(const Content *content)
{
    const Decisions *decisions = content->decisions;
    Text why = {0};
    ReportTone tone = REPORT_BAD;
    const char *word = "Held";
    switch (log_release(decisions)) {
    case 0:
        tone = decisions->permitted > 0 ? REPORT_CAREFUL : REPORT_GOOD;
        word = decisions->permitted > 0 ? "Released with deviation permits" : "Released";
        text_add(&why, "No flag, no unknown and no critical tight finding is open. ");
        break;
    case 1:
        add_open(&why, content);
        text_addf(&why, " %s open, and nothing permits %s. ", decisions->open == 1 ? "is" : "are",
                  decisions->open == 1 ? "it" : "them");
        break;
    default:
        word = "Nothing was judged";
        text_add(&why, "No rule met a place in this style. ");
    }
    if (decisions->permitted > 0)
        text_addf(&why, "%s under a deviation permit. ",
                  content_count(content, decisions->permitted, "finding stands", "findings stand"));
    if (decisions->lapsed > 0)
        text_addf(&why, "%s lapsed. ",
                  content_count(content, decisions->lapsed, "decision has", "decisions have"));
    text_add(&why, "This is about making a sample: a pass is not a release for wear.");
    report_status(content->report, tone, word, content_take(content, &why));
}

/* ---- What was judged ---- */

void report_style_title(Text *text, const Judgement *judgement)
{
    const Style *style = judgement->style;
    text_addf(text, "%s (%s)", style->name, style->code);
    if (style->alternative != NULL)
        text_addf(text, ", %s", style->alternative);
}

/* The word of a field of the style; "unknown". */
static const char *style_word(const Content *content, FieldId id)
{
    const Columns *columns = content->judgement->columns;
    double word = columns->count[SUBJECT_STYLE] > 0 ? columns->fields[id].nominal[0] : NAN;
    return isnan(word) ? "unknown" : field_at(id)->words->words[(int)word];
}

static void add_sizes(const Content *content)
{
    const Judgement *judgement = content->judgement;
    Text sizes = {0}, colourways = {0};
    for (uint32_t l = 0; l < judgement->lane_count; l++) {
        const Lane *lane = &judgement->columns->lanes[l];
        if (lane->colourway_index == 0)
            text_addf(&sizes, "%s%s%s", sizes.length > 0 ? ", " : "", lane->size,
                      lane->base && lane->size[0] != '\0' ? " (base)" : "");
        if (lane->size_index == 0)
            text_addf(&colourways, "%s%s", colourways.length > 0 ? ", " : "", lane->colourway);
    }
    report_pair(content->report, "Sizes",
                sizes.length > 0 ? content_take(content, &sizes) : "none given: judged as drawn");
    report_pair(content->report, "Colourways",
                colourways.length > 0 ? content_take(content, &colourways) : "one, not named");
    text_free(&sizes);
    text_free(&colourways);
}

/* "Ada (3 decisions, the last on 2026-02-28)" of everybody in the log, in the order of the log. */
static void add_reviewers(const Content *content)
{
    typedef struct Reviewer {
        const char *name, *last;
        size_t decisions;
    } Reviewer;
    Reviewer *reviewers = NULL;
    size_t count = 0, capacity = 0, records = content->log != NULL ? content->log->count : 0;
    for (size_t i = 0; i < records; i++) {
        const LogRecord *record = &content->log->records[i];
        bool ours = strcmp(record->style, content->judgement->style->code) == 0;
        for (size_t w = 0; ours && w < record->who.count; w++) {
            size_t at = 0;
            while (at < count && strcmp(reviewers[at].name, record->who.items[w]) != 0)
                at++;
            if (at == count)
                *ARENA_PUSH(content->arena, reviewers, count, capacity) =
                    (Reviewer){record->who.items[w], record->when, 0};
            reviewers[at].decisions++;
            if (strcmp(record->when, reviewers[at].last) > 0)
                reviewers[at].last = record->when;
        }
    }
    Text text = {0};
    for (size_t i = 0; i < count; i++)
        text_addf(&text, "%s%s (%s, the last on %.*s)", i > 0 ? "; " : "", reviewers[i].name,
                  content_count(content, reviewers[i].decisions, "decision", "decisions"),
                  (int)strcspn(reviewers[i].last, "T"), reviewers[i].last);
    report_pair(content->report, "Reviewed by",
                count > 0 ? content_take(content, &text) : "nobody: no decision is logged");
    text_free(&text);
}

static void add_files(const Content *content, const Inputs *inputs)
{
    static const char *const names[INPUT_ROLE_COUNT] = {[INPUT_STYLE] = "Style file",
                                                        [INPUT_DRAWING] = "Drawing",
                                                        [INPUT_FACTORY] = "Factory file",
                                                        [INPUT_LOG] = "Log"};
    size_t rules = 0;
    for (size_t i = 0; i < inputs->count; i++) {
        const Input *input = &inputs->items[i];
        if (input->role == INPUT_RULES)
            rules++;
        else
            report_pairf(content->report, names[input->role], "%s, SHA-256: %s",
                         strcmp(input->path, "-") == 0 ? "standard input" : input->path,
                         input->sum != NULL ? input->sum : "unknown, it cannot be read any more");
    }
    const char *sum = inputs_rules_sum(content->arena, inputs);
    if (sum != NULL)
        report_pairf(content->report, "Rules", "%zu rules of %s, SHA-256 over their list below: %s",
                     content->judgement->rules->rule_count,
                     content_count(content, rules, "file", "files"), sum);
}

/* "13 flag, 0 unknown, 9 tight, 609 pass, 2501 out, 86 off: 3218 in all" */
static void add_tally(const Content *content)
{
    static const Verdict order[] = {VERDICT_FLAG, VERDICT_UNKNOWN, VERDICT_TIGHT,
                                    VERDICT_PASS, VERDICT_OUT,     VERDICT_OFF};
    Text text = {0};
    for (size_t i = 0; i < sizeof order / sizeof *order; i++)
        text_addf(&text, "%s%zu %s", i > 0 ? ", " : "", content->judgement->tally[order[i]],
                  verdict_name(order[i]));
    text_addf(&text, ": %zu in all, one for each rule at each of its places",
              content->judgement->count);
    report_pair(content->report, "Findings", content_take(content, &text));
}

static void add_head(const Content *content, const Inputs *inputs)
{
    const Style *style = content->judgement->style;
    const Factory *factory = content->judgement->factory;
    Text day = {0};
    date_write(&day, content->decisions->today);
    report_pair(content->report, "Style", style->name);
    report_pair(content->report, "Code", style->code);
    report_pair(content->report, "Built",
                style->alternative != NULL
                    ? arena_printf(content->arena, "alternative %s", style->alternative)
                    : "as written");
    report_pair(content->report, "Stage", style_word(content, STYLE_STAGE));
    report_pair(content->report, "Wear, wearer",
                arena_printf(content->arena, "%s, %s", style_word(content, STYLE_WEAR),
                             style_word(content, STYLE_WEARER)));
    add_sizes(content);
    report_pair(content->report, "At",
                factory != NULL ? factory->name : "no factory named: machines are unknown");
    report_pair(content->report, "Date", content_take(content, &day));
    add_reviewers(content);
    add_tally(content);
    add_files(content, inputs);
}

/* ---- The foot ---- */

/* As sha256sum writes them, so that its -c can check them. */
static void add_list_of_files(const Content *content, const Inputs *inputs)
{
    report_open(content->report, "files", "Files that were read", (long)inputs->count);
    for (size_t i = 0; i < inputs->count; i++) {
        const Input *input = &inputs->items[i];
        report_itemf(content->report, "%s  %s (%s)",
                     input->sum != NULL ? input->sum : "cannot be read any more:",
                     strcmp(input->path, "-") == 0 ? "standard input" : input->path,
                     input_role_name(input->role));
    }
    report_paragraph(content->report, NULL,
                     "SHA-256 of each file. The sum over the rules above is that of one line for "
                     "each rule file, in this order: its sum, two blanks, its name. Made by "
                     "cordwain " CORDWAIN_VERSION ".");
    report_close(content->report);
}

static void add_signatures(const Content *content)
{
    report_open(content->report, "signatures", "Signatures", REPORT_UNCOUNTED);
    report_paragraph(content->report, NULL,
                     "Whoever signs has read the findings, the unknowns and the permits above, and "
                     "knows that the lines below release a sample, not a shoe.");
    report_signature(content->report, "Designer");
    report_signature(content->report, "Developer");
    report_signature(content->report, "For the factory");
    report_signature(content->report, "Reviewer");
    report_close(content->report);
}

/* ---- The whole ---- */

void report_style(Report *report, const ReportStyle *style)
{
    const Decisions *decisions = style->told->decisions;
    const Judgement *judgement = decisions->judgement;
    Content content = {
        .report = report,
        .arena = report_arena(report),
        .source = style->told,
        .judgement = judgement,
        .decisions = decisions,
        .log = style->log,
        .since = style->since,
        .ground = style->ground,
        .runs = runs_new(decisions),
        .base = {.measured = judgement->measured,
                 .style = judgement->style,
                 .factory = judgement->factory},
    };
    Inputs inputs = inputs_of(content.arena, judgement, style->log);
    add_status(&content);
    add_head(&content, &inputs);
    content_since(&content);
    content_findings(&content);
    content_unknowns(&content);
    content_decisions(&content);
    content_limits(&content);
    content_rules(&content);
    content_pair(&content);
    content_basis(&content);
    content_cautions(&content);
    add_list_of_files(&content, &inputs);
    add_signatures(&content);
    runs_free(content.runs);
}

/* cordwain report: the paper on which a style is released or held. */
#include <errno.h>
#include <locale.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/file.h"
#include "cli/cli.h"
#include "report/content.h"
#include "report/content_season.h"
#include "report/findings_csv.h"
#include "report/findings_json.h"
#include "report/sarif.h"

static const char help[] =
    "  cordwain report styles/skerry.yaml --factory harbour --as html -o skerry.html\n"
    "  cordwain report styles/skerry.yaml --alternative turned --factory harbour\n"
    "  cordwain report styles/skerry.yaml --factory harbour --since last-week/skerry.yaml\n"
    "  cordwain report styles/skerry.yaml --factory harbour --since 2026-03-01 --as markdown\n"
    "  cordwain report styles/*.yaml --factory harbour,loft --as html -o season.html\n"
    "\n"
    "Writes what reviewers sign: whether the style is released for sampling and why, what was\n"
    "judged (with SHA-256), findings by part with numbers, picture, remedies and decision, "
    "unknowns\n"
    "with who answers, permits, limits and rules that were changed, numbers of a pair, cautions.\n"
    "Several styles or factories begin with a table of all. Ends with 0, 1 or 2 as check does.\n"
    "\n"
    "  --as html|markdown|text   for people: html is one file, with pictures, for screen and "
    "print\n"
    "  --as json|csv|sarif       findings alone, for other programs\n"
    "  -o FILE                   written whole or not at all, never over a file that was read;\n"
    "                            - or none: standard output; its ending says the form where\n"
    "                            --as does not\n"
    "  --since STYLE|LOG|DATE    what changed since another revision, an older log or a day\n"
    "  --all                     json, csv, sarif: also pass, out and off\n"
    "  --factory, --alternative, --stage, --today, --rules as everywhere\n"
    "\n"
    "The same files with --today or SOURCE_DATE_EPOCH give the same bytes.\n";

/* ---- Since when ---- */

/* What --since names: another revision of the style, an older log, or a day. */
typedef struct Other {
    bool named;
    Date day;
    bool is_day;
    Case style;             /* read, with its log; empty if it is none */
    Judgement **judgements; /* one a factory */
    Log *log;               /* of its own, where a log is named */
} Other;

static bool other_read(const Options *options, const Cases *cases, Other *other, Messages *messages)
{
    const char *since = options->since;
    other->named = since != NULL;
    if (since == NULL || (other->is_day = date_read(since, &other->day)))
        return true;
    if (strspn(since, "0123456789-") == strlen(since)) {
        message_error(messages, (Where){since, 0, 0},
                      "the calendar has no such day; write one such as 2026-03-01");
        return false;
    }
    if (cases->style_count > 1) {
        message_error(messages, (Where){since, 0, 0},
                      "--since takes a file only where one style is reported; a day such as "
                      "2026-03-01 does for several");
        return false;
    }
    if (log_is_name(since)) {
        other->log = log_read(since, messages);
        if (other->log != NULL && !other->log->exists)
            message_error(messages, (Where){since, 0, 0}, "there is no such decision log");
        return other->log != NULL && other->log->exists;
    }
    if (!case_read(options, since, &other->style, messages) ||
        !case_log(since, &other->style, messages))
        return false;
    other->judgements = ARENA_NEW(&other->style.arena, Judgement *, cases->factory_count);
    for (size_t f = 0; f < cases->factory_count; f++)
        other->judgements[f] =
            judge(other->style.style, cases->shops[f].rules, cases->shops[f].factory);
    return true;
}

static void other_free(Other *other, const Cases *cases)
{
    for (size_t f = 0; other->judgements != NULL && f < cases->factory_count; f++)
        judgement_free(other->judgements[f]);
    log_free(other->log);
    case_free(&other->style);
}

static ReportSince since_of(const Options *options, const Other *other, size_t factory)
{
    return (ReportSince){
        .name = options->since,
        .judgement = other->judgements != NULL ? other->judgements[factory] : NULL,
        .log = other->log != NULL ? other->log : other->style.log,
        .day = other->is_day ? &other->day : NULL,
    };
}

/* ---- For people ---- */

static void add_style(Report *report, const Options *options, const Cases *cases, size_t cell,
                      const Other *other)
{
    size_t style = cell / cases->factory_count, factory = cell % cases->factory_count;
    ReportSince since = since_of(options, other, factory);
    const Case *read = &cases->styles[style];
    RemedyGround ground = {.file = read->style->file,
                           .alternative = read->style->alternative,
                           .patches = read->patches,
                           .patch_count = read->patch_count,
                           .judgement = cases->told[cell].decisions->judgement};
    ReportStyle content = {&cases->told[cell], read->log, other->named ? &since : NULL, &ground};
    report_style(report, &content);
}

/* Styles named that could not be read: a report that leaves them out says so. */
static size_t count_missing(const Options *options, const Cases *cases)
{
    size_t named = 0, logs = 0;
    for (size_t i = 0; i < options->word_count; i++) {
        named++;
        logs += log_is_name(options->words[i]);
    }
    named -= logs < named ? logs : 0; /* beside styles, logs are read with them */
    return named > cases->style_count ? named - cases->style_count : 0;
}

static void add_styles(Report *report, const Options *options, const Cases *cases,
                       const Other *other)
{
    size_t missing = count_missing(options, cases);
    Arena *arena = report_arena(report);
    Season *season = season_new(cases->told, cases->style_count, cases->factory_count);
    report_season(report, season);
    if (missing > 0)
        report_paragraphf(report, "Not in this report",
                          "%zu of the styles that were named could not be read", missing);
    for (size_t i = 0; i < cases->style_count * cases->factory_count; i++) {
        const Judgement *judgement = cases->told[i].decisions->judgement;
        Text title = {0};
        report_style_title(&title, judgement);
        if (judgement->factory != NULL)
            text_addf(&title, " at %s", judgement->factory->name);
        report_prefix(report, "");
        report_open(report, arena_printf(arena, "s%zu", i + 1), title.bytes, REPORT_UNCOUNTED);
        report_prefix(report, arena_printf(arena, "s%zu-", i + 1));
        add_style(report, options, cases, i, other);
        report_close(report);
        text_free(&title);
    }
    season_free(season);
}

static Report *make_report(const Options *options, const Cases *cases, const Other *other)
{
    bool single =
        cases->style_count * cases->factory_count == 1 && count_missing(options, cases) == 0;
    Text title = {0};
    if (single)
        report_style_title(&title, cases->told[0].decisions->judgement);
    else
        text_addf(&title, "%zu %s at %zu %s", cases->style_count,
                  cases->style_count == 1 ? "style" : "styles", cases->factory_count,
                  cases->factory_count == 1 ? "factory" : "factories");
    Report *report = report_new(title.bytes);
    text_free(&title);
    if (single)
        add_style(report, options, cases, 0, other);
    else
        add_styles(report, options, cases, other);
    return report;
}

static void write_report(Text *out, const Options *options, const Cases *cases, const Other *other)
{
    Report *report = make_report(options, cases, other);
    if (options->form == OUTPUT_HTML)
        report_html(out, report);
    else if (options->form == OUTPUT_MARKDOWN)
        report_markdown(out, report);
    else
        report_text(out, report);
    report_free(report);
}

static void write_form(Text *out, const Options *options, const Cases *cases, const Other *other)
{
    size_t cells = cases->style_count * cases->factory_count;
    Telling telling = options_telling(options);
    if (options->form == OUTPUT_JSON)
        findings_json(out, cases->told, cells, &telling);
    else if (options->form == OUTPUT_CSV)
        findings_csv(out, cases->told, cells, &telling);
    else if (options->form == OUTPUT_SARIF)
        sarif_write(out, cases->told, cells, &telling);
    else
        write_report(out, options, cases, other);
}

/* ---- Where to ---- */

static bool is_read(const Inputs *inputs, const char *path, Messages *messages)
{
    const Input *input = inputs_same_file(inputs, path);
    if (input != NULL)
        message_error_two(messages, (Where){path, 0, 0}, (Where){input->path, 0, 0},
                          "this is the %s that the report is about; name another file",
                          input_role_name(input->role));
    return input != NULL;
}

/* Before anything is written: what was read stays as it is. */
static bool may_write(const Options *options, const Cases *cases, const Other *other,
                      Messages *messages)
{
    const char *path = options->output;
    if (log_is_name(path)) {
        message_error(messages, (Where){path, 0, 0},
                      "this is the name of a decision log; name another file");
        return false;
    }
    Arena arena = {0};
    bool good = true;
    for (size_t i = 0; good && i < options->word_count; i++) { /* refused ones too */
        Input word = {.role = INPUT_STYLE, .path = options->words[i]};
        good = !is_read(&(Inputs){&word, 1}, path, messages);
    }
    for (size_t i = 0; good && i < cases->style_count * cases->factory_count; i++) {
        Inputs inputs = inputs_of(&arena, cases->told[i].decisions->judgement,
                                  cases->styles[i / cases->factory_count].log);
        good = !is_read(&inputs, path, messages);
    }
    if (good && other->judgements != NULL) {
        Inputs inputs = inputs_of(&arena, other->judgements[0], other->style.log);
        good = !is_read(&inputs, path, messages);
    }
    if (good && other->log != NULL) {
        Input log = {.role = INPUT_LOG, .path = other->log->path};
        good = !is_read(&(Inputs){&log, 1}, path, messages);
    }
    arena_free(&arena);
    return good;
}

static int write_out(const Options *options, const Text *out, int status, Messages *messages)
{
    struct stat info;
    if (options->output == NULL || strcmp(options->output, "-") == 0)
        return print_all(out, status);
    bool there = lstat(options->output, &info) == 0;
    bool written = there ? file_replace(options->output, out->bytes, out->length, messages)
                         : file_create(options->output, out->bytes, out->length, messages);
    return written ? status : EXIT_INPUT;
}

/* ---- The command ---- */

static int report(const Options *options, const Cases *cases, const Other *other,
                  Messages *messages)
{
    bool to_file = options->output != NULL && strcmp(options->output, "-") != 0;
    if (cases->style_count == 0 || (to_file && !may_write(options, cases, other, messages)))
        return EXIT_INPUT;
    Text out = {0};
    write_form(&out, options, cases, other);
    int status = write_out(options, &out, cases->status, messages);
    text_free(&out);
    return status;
}

static int run(const Options *options)
{
    if (options->word_count == 0) {
        fputs("cordwain: report needs a style file; cordwain report --help shows examples\n",
              stderr);
        return EXIT_INPUT;
    }
    setlocale(LC_CTYPE, "C.UTF-8"); /* letters are as wide wherever the report is made */
    Messages messages = {0};
    Cases cases;
    Other other = {0};
    int status = EXIT_INPUT;
    if (cases_read(options, &cases, &messages)) {
        if (other_read(options, &cases, &other, &messages))
            status = report(options, &cases, &other, &messages);
        other_free(&other, &cases);
        cases_free(&cases);
    }
    return finish(&messages, status);
}

const Command command_report = {
    "report",
    "STYLE...",
    "the report that reviewers sign",
    "--as=html|markdown|text|json|csv|sarif -o --since --all --factory=several",
    help,
    run};

/* cordwain check: judge styles and list what must be settled. */
#include "cli/cli.h"
#include "report/findings_csv.h"
#include "report/findings_json.h"
#include "report/findings_lines.h"
#include "report/season.h"

static const char help[] =
    "  cordwain check styles/skerry.yaml --factory harbour\n"
    "  cordwain check styles/skerry.yaml --factory harbour --giver making\n"
    "  cordwain check styles/*.yaml --factory harbour,loft\n"
    "  cordwain check styles/*.yaml --factory harbour --as csv >season.csv\n"
    "  cordwain check styles/skerry.yaml --alternative turned --all\n"
    "\n"
    "Judges styles and lists flags, unknowns and tight findings, grouped by where they must be\n"
    "mended; with --all also what passes, is out or is off. Decisions are taken from the log\n"
    "beside the style, STYLE.log.yaml. Of several styles or factories the text is a table, style\n"
    "by factory; with --all the findings follow. Ends with 0, 1 or 2, and of several with the\n"
    "worst.\n"
    "\n"
    "  --as text|json|csv|jsonl\n"
    "                        form of the output: json is cordwain findings/1, csv one finding a\n"
    "                        line, jsonl a head, one finding a line and a tally\n"
    "  --all                 also pass, out and off\n"
    "  --giver WHO           only what line, pattern, material, making or machine can solve\n"
    "                        alone, and the unknowns that are theirs to find out; or nobody\n"
    "  --factory NAME|FILE   may be given several times, or with commas between names\n"
    "  --alternative, --stage, --today, --rules, --plain as everywhere\n";

static void add_text(const Options *options, const Cases *cases, Text *out)
{
    size_t count = cases->style_count * cases->factory_count;
    if (count > 1) {
        Season *season = season_new(cases->told, cases->style_count, cases->factory_count);
        season_text(out, season);
        season_free(season);
        text_add(out, options->all ? "\n" : "\n--all shows the findings of each.\n");
    }
    for (size_t i = 0; i < count && (count == 1 || options->all); i++)
        findings_text(out, &cases->told[i], options);
}

static void add_findings(const Options *options, const Cases *cases, Text *out)
{
    size_t count = cases->style_count * cases->factory_count;
    Telling telling = options_telling(options);
    if (count == 0)
        return;
    if (options->form == OUTPUT_JSON)
        findings_json(out, cases->told, count, &telling);
    else if (options->form == OUTPUT_CSV)
        findings_csv(out, cases->told, count, &telling);
    else if (options->form == OUTPUT_JSONL)
        findings_lines(out, cases->told, count, &telling);
    else
        add_text(options, cases, out);
}

/* A table of comma-separated values has no place to say what it leaves out. */
static void notice_hidden(const Options *options, const Cases *cases, Messages *messages)
{
    Telling telling = options_telling(options);
    size_t hidden = 0;
    for (size_t i = 0; i < cases->style_count * cases->factory_count; i++)
        hidden += told_hidden(&cases->told[i], &telling);
    if (options->form == OUTPUT_CSV && hidden > 0)
        message_notice(messages, (Where){NULL, 0, 0},
                       "%zu finding%s that others must help with %s left out", hidden,
                       hidden == 1 ? "" : "s", hidden == 1 ? "is" : "are");
}

static int run(const Options *options)
{
    if (options->word_count == 0) {
        fputs("cordwain: check needs a style file; cordwain check --help shows examples\n", stderr);
        return EXIT_INPUT;
    }
    Messages messages = {0};
    Cases cases;
    int status = EXIT_INPUT;
    if (cases_read(options, &cases, &messages)) {
        Text out = {0};
        add_findings(options, &cases, &out);
        notice_hidden(options, &cases, &messages);
        status = print_all(&out, cases.status);
        text_free(&out);
        cases_free(&cases);
    }
    return finish(&messages, status);
}

const Command command_check = {"check",
                               "STYLE...",
                               "judge styles and list what must be settled",
                               "--as=text|json|csv|jsonl --all --giver --factory=several",
                               help,
                               run};

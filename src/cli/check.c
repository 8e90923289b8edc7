/* cordwain check: judge styles and list what must be settled. */
#include <stdlib.h>

#include "cli/cli.h"

static const char help[] =
    "  cordwain check styles/skerry.yaml --factory harbour\n"
    "  cordwain check styles/*.yaml --as json\n"
    "  cordwain check styles/skerry.yaml --alternative turned --all\n"
    "\n"
    "Judges styles and lists flags, unknowns and tight findings, grouped by where they must be\n"
    "mended; with --all also what passes, is out or is off. Decisions are taken from the log\n"
    "beside the style, STYLE.log.yaml. Ends with 0, 1 or 2.\n"
    "\n"
    "  --as text|json        form of the output (json: cordwain findings/1)\n"
    "  --all                 also pass, out and off\n"
    "  --factory, --alternative, --stage, --today, --rules, --plain as everywhere\n";

static int worse(int a, int b)
{
    return a > b ? a : b;
}

static size_t count_styles(const Options *options)
{
    size_t count = 0;
    for (size_t i = 0; i < options->word_count; i++)
        count += !log_is_name(options->words[i]);
    return count;
}

/* A pattern such as *.yaml names the logs beside the styles too. */
static bool pass_over(const char *word, size_t styles, Messages *messages)
{
    if (styles == 0 || !log_is_name(word))
        return false;
    message_notice(messages, (Where){word, 0, 0}, "a decision log is read with its style");
    return true;
}

/* Each style is a case of its own over the same rules. */
static int check_styles(const Options *options, Case *shared, Text *out, Messages *messages)
{
    size_t count = options->word_count;
    Case *cases = memory_new(count, sizeof *cases);
    const Decisions **decisions = memory_new(count, sizeof(Decisions *));
    size_t judged = 0, styles = count_styles(options);
    int status = 0;
    for (size_t i = 0; i < count; i++) {
        cases[i] = (Case){.factory = shared->factory, .rules = shared->rules};
        if (pass_over(options->words[i], styles, messages))
            continue;
        if (!case_style(options, options->words[i], &cases[i], messages) ||
            !case_decisions(options, options->words[i], &cases[i], messages)) {
            status = EXIT_INPUT;
            continue;
        }
        decisions[judged++] = cases[i].decisions;
        status = worse(status, log_release(cases[i].decisions));
        if (options->form == OUTPUT_TEXT)
            findings_text(out, cases[i].decisions, options);
    }
    if (options->form == OUTPUT_JSON && judged > 0)
        findings_json(out, decisions, judged, options->all);
    for (size_t i = 0; i < count; i++) {
        cases[i].rules = NULL;
        cases[i].factory = NULL;
        case_free(&cases[i]);
    }
    free(cases);
    free(decisions);
    return status;
}

static int run(const Options *options)
{
    if (options->word_count == 0) {
        fputs("cordwain: check needs a style file; cordwain check --help shows examples\n", stderr);
        return EXIT_INPUT;
    }
    Messages messages = {0};
    Case shared = {0};
    Text out = {0};
    int status = EXIT_INPUT;
    if (case_rules(options, &shared, &messages)) {
        status = check_styles(options, &shared, &out, &messages);
        status = print_all(&out, status);
    }
    text_free(&out);
    case_free(&shared);
    return finish(&messages, status);
}

const Command command_check = {"check", "STYLE...", "judge styles and list what must be settled",
                               "--as=text|json --all", help, run};

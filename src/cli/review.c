/* cordwain STYLE: the screen; without a terminal the same as check. */
#include <unistd.h>

#include "cli/cli.h"
#include "screen/screen.h"

static const char help[] = "  cordwain styles/skerry.yaml --factory harbour --alternative turned\n"
                           "\n"
                           "Opens the findings of one style on the screen. Without a terminal it\n"
                           "prints what cordwain check prints.\n";

static bool has_terminal(const Options *options)
{
    return !options->plain && isatty(STDIN_FILENO) && isatty(STDOUT_FILENO);
}

/* What a terminal that cannot show the screen gets. */
static int print_findings(const Options *options, const Decisions *decisions, int status)
{
    Text out = {0};
    findings_text(&out, decisions, options);
    status = print_all(&out, status);
    text_free(&out);
    return status;
}

static int run(const Options *options)
{
    if (options->word_count != 1) {
        fputs("cordwain: one style at a time goes on the screen; cordwain check takes several\n",
              stderr);
        return EXIT_INPUT;
    }
    if (!has_terminal(options))
        return command_check.run(options);
    Messages messages = {0};
    Case loaded = {0};
    int status = EXIT_INPUT;
    if (case_rules(options, &loaded, &messages) &&
        case_style(options, options->words[0], &loaded, &messages) &&
        case_decisions(options, options->words[0], &loaded, &messages)) {
        status = log_release(loaded.decisions);
        if (!screen_run(loaded.judgement))
            status = print_findings(options, loaded.decisions, status);
    }
    case_free(&loaded);
    return finish(&messages, status);
}

const Command command_review = {"", "STYLE", "go through a style on the screen", NULL, help, run};

/* cordwain STYLE: the screen; without a terminal the same as check. */
#include <string.h>
#include <unistd.h>

#include "cli/cli.h"
#include "screen/screen.h"

static const char help[] = "  cordwain styles/skerry.yaml --factory harbour --alternative turned\n"
                           "\n"
                           "Opens one style on the screen: its findings stop by stop in making order,\n"
                           "with pictures, the numbers behind them and what may be changed. Changes\n"
                           "are judged at once; the file is written only when you save. Press ? there\n"
                           "for the keys. Without a terminal it prints what cordwain check prints.\n";

static bool has_terminal(const Options *options)
{
    return !options->plain && isatty(STDIN_FILENO) && isatty(STDOUT_FILENO);
}

static bool is_demo(const char *path)
{
    const char *slash = strrchr(path, '/');
    return strcmp(slash != NULL ? slash + 1 : path, "skerry.yaml") == 0;
}

/* False with messages. */
static bool set_up(Arena *arena, const Options *options, ViewSetup *setup, Messages *messages)
{
    const char *folder = rules_folder(arena, options);
    const char *base = arena_printf(arena, "%s/base", folder);
    ReviewFiles files = {.style = options->words[0],
                         .alternative = options->alternative,
                         .stage = options->stage};
    if (!rules_in_folder(arena, access(base, F_OK) == 0 ? base : folder, &files.rules,
                         &files.rule_count, messages))
        return false;
    if (options->factory != NULL)
        files.factory = factory_file(arena, options->factory, folder, messages);
    *setup = (ViewSetup){.files = files,
                         .factories = arena_printf(arena, "%s/factories", folder),
                         .today = options->today,
                         .tour = is_demo(options->words[0])};
    return options->factory == NULL || files.factory != NULL;
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
    Arena arena = {0};
    Messages messages = {0};
    ViewSetup setup;
    int status = EXIT_INPUT;
    ScreenEnd end = SCREEN_NO_STYLE;
    if (set_up(&arena, options, &setup, &messages))
        end = screen_run(&setup, &messages, &status);
    if (end == SCREEN_NO_STYLE)
        status = EXIT_INPUT;
    else if (end == SCREEN_NO_TERMINAL)
        status = command_check.run(options);
    arena_free(&arena);
    return finish(&messages, status);
}

const Command command_review = {"", "STYLE", "go through a style on the screen", NULL, help, run};

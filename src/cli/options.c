/* The command line taken apart by one table. For the commands. */
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "cli/cli.h"

typedef enum OptionId {
    OPTION_FACTORY, OPTION_ALTERNATIVE, OPTION_STAGE, OPTION_TODAY, OPTION_RULES, OPTION_PLAIN,
    OPTION_HELP, OPTION_AS, OPTION_ALL, OPTION_OUTPUT, OPTION_SIZE, OPTION_COLOURWAY
} OptionId;

static const struct {
    const char *name;
    bool common;       /* else only where a command takes it */
    bool has_value;
} table[] = {
    [OPTION_FACTORY] = {"--factory", true, true},
    [OPTION_ALTERNATIVE] = {"--alternative", true, true},
    [OPTION_STAGE] = {"--stage", true, true},
    [OPTION_TODAY] = {"--today", true, true},
    [OPTION_RULES] = {"--rules", true, true},
    [OPTION_PLAIN] = {"--plain", true, false},
    [OPTION_HELP] = {"--help", true, false},
    [OPTION_AS] = {"--as", false, true},
    [OPTION_ALL] = {"--all", false, false},
    [OPTION_OUTPUT] = {"-o", false, true},
    [OPTION_SIZE] = {"--size", false, true},
    [OPTION_COLOURWAY] = {"--colourway", false, true},
};
enum { OPTION_COUNT = sizeof table / sizeof *table };

/* What stands behind the option's name in what the command takes: NULL where it does
 * not take it; "=text|svg --size" for the words that may follow it. */
static const char *taken_as(const Command *command, size_t option)
{
    const char *name = table[option].name;
    const char *found = command->takes == NULL ? NULL : strstr(command->takes, name);
    size_t length = strlen(name);
    return found != NULL && strchr(" =", found[length]) != NULL ? found + length : NULL;
}

static bool taken(const Command *command, size_t option)
{
    return table[option].common || taken_as(command, option) != NULL;
}

static void complain(const char *what, const char *word, const char *near)
{
    Text text = {0};
    text_addf(&text, "cordwain: %s ", what);
    text_add_visible(&text, word, strlen(word));
    if (near != NULL)
        text_addf(&text, "; did you mean %s?", near);
    fprintf(stderr, "%s\n", text.bytes);
    text_free(&text);
}

static int find_option(const Command *command, const char *word, size_t length)
{
    const char *names[OPTION_COUNT];
    size_t count = 0;
    for (size_t i = 0; i < OPTION_COUNT; i++) {
        if (!taken(command, i))
            continue;
        if (strlen(table[i].name) == length && strncmp(table[i].name, word, length) == 0)
            return (int)i;
        names[count++] = table[i].name;
    }
    complain("unknown option", word, nearest_word(word, names, count));
    return -1;
}

/* One of the forms that the command takes: "=text|json". */
static bool set_form(const Command *command, Options *options, const char *value)
{
    static const char *const forms[] = {
        [OUTPUT_TEXT] = "text", [OUTPUT_JSON] = "json", [OUTPUT_SVG] = "svg"};
    const char *known = taken_as(command, OPTION_AS) + 1;
    size_t length = strcspn(known, " ");
    Text what = {0};
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++) {
        const char *found = strstr(known, forms[i]);
        if (found == NULL || found >= known + length)
            continue;
        if (strcmp(value, forms[i]) == 0) {
            options->form = (OutputForm)i;
            text_free(&what);
            return true;
        }
        text_addf(&what, "%s%s", what.length > 0 ? " or " : "--as takes ", forms[i]);
    }
    text_add(&what, ", not");
    complain(what.bytes, value, NULL);
    text_free(&what);
    return false;
}

static bool set_today(Options *options, const char *value)
{
    bool day = date_read(value, &options->today);
    if (!day)
        complain("--today takes a day such as 2026-03-31, not", value, NULL);
    return day;
}

/* Where --today did not say it. The clock is read here and nowhere else. */
static bool find_today(Options *options)
{
    const char *epoch = getenv("SOURCE_DATE_EPOCH");
    if (options->today.year != 0)
        return true;
    bool fixed = epoch != NULL && *epoch != '\0';
    if (fixed ? date_of_epoch(epoch, &options->today)
              : date_of(time(NULL), false, &options->today))
        return true;
    complain("SOURCE_DATE_EPOCH takes seconds since 1970, not", fixed ? epoch : "this clock's", NULL);
    return false;
}

static bool set_option(const Command *command, Options *options, int option, const char *value)
{
    switch ((OptionId)option) {
    case OPTION_FACTORY:
        options->factory = value;
        break;
    case OPTION_ALTERNATIVE:
        options->alternative = value;
        break;
    case OPTION_STAGE:
        options->stage = value;
        break;
    case OPTION_TODAY:
        return set_today(options, value);
    case OPTION_RULES:
        options->rules = value;
        break;
    case OPTION_OUTPUT:
        options->output = value;
        break;
    case OPTION_SIZE:
        options->size = value;
        break;
    case OPTION_COLOURWAY:
        options->colourway = value;
        break;
    case OPTION_AS:
        return set_form(command, options, value);
    case OPTION_PLAIN:
        options->plain = true;
        break;
    case OPTION_HELP:
        options->help = true;
        break;
    case OPTION_ALL:
        options->all = true;
        break;
    }
    return true;
}

/* "--name value" and "--name=value". Returns how many words it took, 0 if wrong. */
static int take_option(const Command *command, int argc, char *const *argv, Options *options)
{
    const char *equals = argv[0][1] == '-' ? strchr(argv[0], '=') : NULL;
    size_t length = equals != NULL ? (size_t)(equals - argv[0]) : strlen(argv[0]);
    int option = find_option(command, argv[0], length);
    if (option < 0)
        return 0;
    if (!table[option].has_value) {
        if (equals != NULL) {
            complain("no value goes with", table[option].name, NULL);
            return 0;
        }
        return set_option(command, options, option, NULL) ? 1 : 0;
    }
    if (equals == NULL && argc < 2) {
        complain("a value is missing after", argv[0], NULL);
        return 0;
    }
    const char *value = equals != NULL ? equals + 1 : argv[1];
    return set_option(command, options, option, value) ? (equals != NULL ? 1 : 2) : 0;
}

static bool wants_colour(const Options *options)
{
    const char *no_color = getenv("NO_COLOR"), *term = getenv("TERM");
    return !options->plain && isatty(STDOUT_FILENO) && (no_color == NULL || *no_color == '\0') &&
           term != NULL && strcmp(term, "dumb") != 0;
}

/* The terminal's width within reason; a fixed one for files and pipes. */
static int output_columns(void)
{
    enum { FIXED = 96, LEAST = 60, MOST = 110 };
    struct winsize size;
    if (!isatty(STDOUT_FILENO) || ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0 || size.ws_col == 0)
        return FIXED;
    return size.ws_col < LEAST ? LEAST : size.ws_col > MOST ? MOST : size.ws_col;
}

bool options_read(Arena *arena, const Command *command, int argc, char *const *argv,
                  Options *options)
{
    const char **words = ARENA_NEW(arena, const char *, (size_t)argc + 1);
    bool only_words = false;
    *options = (Options){.words = words};
    for (int i = 0; i < argc;) {
        if (!only_words && strcmp(argv[i], "--") == 0) {
            only_words = true;
            i++;
        } else if (!only_words && argv[i][0] == '-' && argv[i][1] != '\0') {
            int used = take_option(command, argc - i, argv + i, options);
            if (used == 0)
                return false;
            i += used;
        } else {
            words[options->word_count++] = argv[i++];
        }
    }
    options->colour = wants_colour(options);
    options->columns = output_columns();
    return options->help || find_today(options);
}

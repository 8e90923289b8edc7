/* The command line taken apart by one table. For the commands. */
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "cli/cli.h"

typedef enum OptionId {
    OPTION_FACTORY, OPTION_ALTERNATIVE, OPTION_STAGE, OPTION_TODAY, OPTION_RULES, OPTION_PLAIN,
    OPTION_HELP, OPTION_AS, OPTION_ALL, OPTION_OUTPUT, OPTION_SIZE, OPTION_COLOURWAY,
    OPTION_GIVER, OPTION_SINCE, OPTION_PROPOSE, OPTION_WITHIN, OPTION_MATERIAL, OPTION_INTO
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
    [OPTION_GIVER] = {"--giver", false, true},
    [OPTION_SINCE] = {"--since", false, true},
    [OPTION_PROPOSE] = {"--propose", false, true},
    [OPTION_WITHIN] = {"--within", false, true},
    [OPTION_MATERIAL] = {"--material", false, true},
    [OPTION_INTO] = {"--into", false, true},
};
enum { OPTION_COUNT = sizeof table / sizeof *table };

/* What stands behind the option's name in what the command takes: NULL where it does
 * not take it; "=text|svg --size" for the words that may follow it. */
static const char *taken_as(const Command *command, size_t option)
{
    const char *name = table[option].name;
    size_t length = strlen(name);
    for (const char *at = command->takes; at != NULL && *at != '\0'; at += strspn(at, " ")) {
        if (strncmp(at, name, length) == 0 && strchr(" =", at[length]) != NULL)
            return at + length;
        at += strcspn(at, " ");
    }
    return NULL;
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

/* "--as takes text, json or csv, not pdf"; of the words "text|json|csv". */
static void complain_of_form(const char *known, size_t length, const char *value)
{
    Text what = {0};
    text_add(&what, "--as takes ");
    for (size_t from = 0; from < length;) {
        size_t word = strcspn(known + from, "| "), end = from + word;
        const char *join = from == 0 ? "" : end == length ? " or " : ", ";
        text_addf(&what, "%s%.*s", join, (int)word, known + from);
        from = end + 1;
    }
    text_add(&what, ", not");
    complain(what.bytes, value, NULL);
    text_free(&what);
}

/* One of the forms that the command takes: "=text|json"; false if it is none. */
static bool find_form(const char *known, size_t length, const char *value, OutputForm *form)
{
    static const char *const forms[] = {
        [OUTPUT_TEXT] = "text", [OUTPUT_JSON] = "json",         [OUTPUT_SVG] = "svg",
        [OUTPUT_HTML] = "html", [OUTPUT_MARKDOWN] = "markdown", [OUTPUT_CSV] = "csv",
        [OUTPUT_JSONL] = "jsonl", [OUTPUT_SARIF] = "sarif",
        [OUTPUT_SCHEMA] = "schema"};
    for (size_t from = 0; from < length;) {
        size_t word = strcspn(known + from, "| ");
        for (size_t i = 0; i < sizeof forms / sizeof *forms; i++) {
            bool meant = strcmp(value, forms[i]) == 0;
            if (meant && strlen(value) == word && strncmp(known + from, value, word) == 0) {
                *form = (OutputForm)i;
                return true;
            }
        }
        from += word + 1;
    }
    return false;
}

static bool set_form(const Command *command, Options *options, const char *value)
{
    const char *known = taken_as(command, OPTION_AS) + 1;
    size_t length = strcspn(known, " ");
    options->form_named = find_form(known, length, value, &options->form);
    if (!options->form_named)
        complain_of_form(known, length, value);
    return options->form_named;
}

/* "-o skerry.html" asks for html where --as says nothing. */
static void form_by_ending(const Command *command, Options *options)
{
    const char *known = taken_as(command, OPTION_AS);
    const char *dot = options->output != NULL ? strrchr(options->output, '.') : NULL;
    if (options->form_named || known == NULL || dot == NULL)
        return;
    const char *ending = strcmp(dot, ".md") == 0 ? "markdown" : dot + 1;
    find_form(known + 1, strcspn(known + 1, " "), ending, &options->form);
}

static bool set_giver(Options *options, const char *value)
{
    const char *names[GIVER_COUNT];
    Text what = {0};
    text_add(&what, "--giver takes ");
    options->by_giver = false;
    for (size_t i = 0; i < GIVER_COUNT; i++) {
        Giver giver = (Giver)((i + 1) % GIVER_COUNT); /* nobody comes last */
        names[i] = giver_name(giver);
        if (strcmp(value, names[i]) == 0) {
            options->giver = giver;
            options->by_giver = true;
        }
        text_addf(&what, "%s%s", i == 0 ? "" : i + 1 == GIVER_COUNT ? " or " : ", ", names[i]);
    }
    text_add(&what, ", not");
    if (!options->by_giver)
        complain(what.bytes, value, nearest_word(value, names, GIVER_COUNT));
    text_free(&what);
    return options->by_giver;
}

/* Adds one name; false if it is empty or there already. */
static bool add_name(Arena *arena, const char *option, NameList *list, const char *name)
{
    const char *wrong = name[0] == '\0' ? "has an empty name" : NULL;
    for (size_t i = 0; i < list->count; i++)
        if (strcmp(list->items[i], name) == 0)
            wrong = "already names";
    if (wrong == NULL) {
        *ARENA_PUSH(arena, list->items, list->count, list->capacity) = name;
        return true;
    }
    Text what = {0};
    text_addf(&what, "%s %s", option, wrong);
    complain(what.bytes, name, NULL);
    text_free(&what);
    return false;
}

/* One name; where the command takes several, also those after commas. */
static bool add_names(Arena *arena, const Command *command, int option, NameList *list,
                      const char *value)
{
    const char *name = table[option].name, *as = taken_as(command, (size_t)option);
    static const char several[] = "=several";
    if (as == NULL || strncmp(as, several, strlen(several)) != 0) {
        if (list->count == 0)
            return add_name(arena, name, list, value);
        Text what = {0};
        text_addf(&what, "%s takes one name here, not also", name);
        complain(what.bytes, value, NULL);
        text_free(&what);
        return false;
    }
    for (;;) {
        size_t length = strcspn(value, ",");
        if (!add_name(arena, name, list, arena_copy(arena, value, length)))
            return false;
        if (value[length] == '\0')
            return true;
        value += length + 1;
    }
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

static bool set_option(Arena *arena, const Command *command, Options *options, int option,
                       const char *value)
{
    switch ((OptionId)option) {
    case OPTION_FACTORY:
        return add_names(arena, command, option, &options->factories, value);
    case OPTION_ALTERNATIVE:
        return add_names(arena, command, option, &options->alternatives, value);
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
    case OPTION_SINCE:
        options->since = value;
        break;
    case OPTION_PROPOSE:
        options->propose = value;
        break;
    case OPTION_WITHIN:
        options->within = value;
        break;
    case OPTION_MATERIAL:
        return add_names(arena, command, option, &options->materials, value);
    case OPTION_INTO:
        options->into = value;
        break;
    case OPTION_GIVER:
        return set_giver(options, value);
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
static int take_option(Arena *arena, const Command *command, int argc, char *const *argv,
                       Options *options)
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
        return set_option(arena, command, options, option, NULL) ? 1 : 0;
    }
    if (equals == NULL && argc < 2) {
        complain("a value is missing after", argv[0], NULL);
        return 0;
    }
    const char *value = equals != NULL ? equals + 1 : argv[1];
    bool good = set_option(arena, command, options, option, value);
    return !good ? 0 : equals != NULL ? 1 : 2;
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
            int used = take_option(arena, command, argc - i, argv + i, options);
            if (used == 0)
                return false;
            i += used;
        } else {
            words[options->word_count++] = argv[i++];
        }
    }
    options->factory = options->factories.count > 0 ? options->factories.items[0] : NULL;
    options->alternative = options->alternatives.count > 0 ? options->alternatives.items[0] : NULL;
    form_by_ending(command, options);
    options->colour = wants_colour(options);
    options->columns = output_columns();
    return options->help || find_today(options);
}

Telling options_telling(const Options *options)
{
    return (Telling){.all = options->all, .by_giver = options->by_giver, .giver = options->giver};
}

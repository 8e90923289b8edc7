/* Entry: which command, or the review screen for a bare style. */
#include <locale.h>
#include <string.h>

#include "cli/cli.h"

static const Command *const all[] = {&command_check, &command_explain, &command_rules,
                                     &command_fields, &command_new,     &command_draw,
                                     &command_order,  &command_compare, &command_report,
                                     &command_review, &command_materials, NULL};

static const char help_head[] =
    "Tells whether a shoe upper can be built as drawn, before anyone cuts a sample.\n"
    "\n"
    "  cordwain styles/skerry.yaml                        go through a style on the screen\n"
    "  cordwain check styles/skerry.yaml --factory harbour\n"
    "                                                     what must be settled, grouped by cause\n"
    "  cordwain check styles/skerry.yaml --factory harbour --alternative turned --as json\n"
    "  cordwain explain turn-clip-pitch styles/skerry.yaml 'bend vamp.throat.1' --alternative turned\n"
    "  cordwain draw styles/skerry.yaml 'bend vamp.throat.1'\n"
    "                                                     a part, a seam or a sheet as a picture\n"
    "  cordwain report styles/skerry.yaml --factory harbour --as html -o skerry.html\n"
    "                                                     the report that reviewers sign\n"
    "  cordwain rules                                     read all rules, run their examples\n"
    "  cordwain new -o my-style.yaml                      a commented style to start from\n"
    "\n";

static const char help_tail[] =
    "\nEverywhere:\n"
    "  --factory NAME|FILE   judge against this shop's machines and limits\n"
    "  --alternative NAME    another way to build the style, named in its file\n"
    "  --stage WORD          pull-over, fit-sample, confirmation-sample, production\n"
    "  --today DATE          the day that permits are held against, such as 2026-03-31\n"
    "  --rules DIR           folder with base/*.yaml and factories/*.yaml\n"
    "  --plain               no colour, no screen\n"
    "  --help, --version\n"
    "\n"
    "Ends with 0 when nothing is open, 1 when a flag, an unknown or a tight critical finding\n"
    "is without a deviation permit, 2 when input or use is wrong.\n"
    "Machine makers' manuals, guards and local safety law come first; no limit in a rule file\n"
    "overrides them. A pass is not a release for wear.\n";

static void add_help(Text *text)
{
    text_add(text, help_head);
    for (const Command *const *c = all; *c != NULL; c++) {
        Text line = {0};
        text_addf(&line, "cordwain %s%s%s", (*c)->name, (*c)->name[0] ? " " : "", (*c)->arguments);
        text_addf(text, "  %-52s %s\n", line.bytes, (*c)->does);
        text_free(&line);
    }
    text_add(text, help_tail);
}

static int print_text(const char *string)
{
    Text text = {0};
    text_add(&text, string);
    int status = print_all(&text, 0);
    text_free(&text);
    return status;
}

static int print_help(void)
{
    Text text = {0};
    add_help(&text);
    int status = print_all(&text, 0);
    text_free(&text);
    return status;
}

static int no_words(void)
{
    fputs("cordwain: a style file or a command is missing; cordwain --help shows examples\n", stderr);
    return EXIT_INPUT;
}

static const Command *find_command(const char *word)
{
    for (const Command *const *c = all; *c != NULL; c++) {
        if ((*c)->name[0] != '\0' && strcmp((*c)->name, word) == 0)
            return *c;
    }
    return NULL;
}

/* A word that is neither a command nor looks like a file is a slip. */
static int no_such_command(const char *word)
{
    const char *names[sizeof all / sizeof *all];
    size_t count = 0;
    for (const Command *const *c = all; *c != NULL; c++) {
        if ((*c)->name[0] != '\0')
            names[count++] = (*c)->name;
    }
    const char *near = nearest_word(word, names, count);
    Text text = {0};
    text_add(&text, "cordwain: ");
    text_add_visible(&text, word, strlen(word));
    text_add(&text, " is no command and no style file");
    if (near != NULL)
        text_addf(&text, "; did you mean %s?", near);
    fprintf(stderr, "%s\nSee cordwain --help.\n", text.bytes);
    text_free(&text);
    return EXIT_INPUT;
}

static bool looks_like_file(const char *word)
{
    return strcmp(word, "-") == 0 || strchr(word, '/') != NULL || strchr(word, '.') != NULL;
}

static int run(const Command *command, int argc, char *const *argv)
{
    Arena arena = {0};
    Options options;
    int status = EXIT_INPUT;
    if (options_read(&arena, command, argc, argv, &options)) {
        if (options.help) {
            status = print_text(command->help);
        } else {
            status = command->run(&options);
        }
    }
    arena_free(&arena);
    return status;
}

int main(int argc, char **argv)
{
    setlocale(LC_CTYPE, ""); /* for the width of characters; numbers stay in the C form */
    if (argc < 2)
        return no_words();
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0 ||
        strcmp(argv[1], "help") == 0)
        return print_help();
    if (strcmp(argv[1], "--version") == 0)
        return print_text("cordwain " CORDWAIN_VERSION "\n");
    const Command *command = find_command(argv[1]);
    if (command != NULL)
        return run(command, argc - 2, argv + 2);
    if (argv[1][0] != '-' && !looks_like_file(argv[1]))
        return no_such_command(argv[1]);
    return run(&command_review, argc - 1, argv + 1);
}

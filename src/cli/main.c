/* Entry: which command, or the review screen for a bare style. */
#include <locale.h>
#include <string.h>

#include "cli/cli.h"

static const Command *const all[] = {&command_check, &command_explain, &command_rules,
                                     &command_fields, &command_new, &command_review, NULL};

const Command *const *commands(void)
{
    return all;
}

static const char help_head[] =
    "Tells whether a shoe upper can be built as drawn, before anyone cuts a sample.\n"
    "\n"
    "  cordwain styles/skerry.yaml                        go through a style on the screen\n"
    "  cordwain check styles/skerry.yaml --factory harbour\n"
    "                                                     what must be settled, grouped by cause\n"
    "  cordwain check styles/skerry.yaml --factory harbour --alternative turned --as json\n"
    "  cordwain explain turn-clip-pitch styles/skerry.yaml 'bend vamp.throat.1' --alternative turned\n"
    "  cordwain rules                                     read all rules, run their examples\n"
    "  cordwain new -o my-style.yaml                      a commented style to start from\n"
    "\n";

static const char help_tail[] =
    "\nEverywhere:\n"
    "  --factory NAME|FILE   judge against this shop's machines and limits\n"
    "  --alternative NAME    another way to build the style, named in its file\n"
    "  --stage WORD          pull-over, fit-sample, confirmation-sample, production\n"
    "  --rules DIR           folder with base/*.yaml and factories/*.yaml\n"
    "  --plain               no colour, ASCII only, no cursor movement\n"
    "  --help, --version\n"
    "\n"
    "Ends with 0 when nothing is open, 1 when a flag, an unknown or a tight critical finding\n"
    "is, 2 when input or use is wrong.\n"
    "Machine makers' manuals, guards and local safety law come first; no limit in a rule file\n"
    "overrides them. A pass is not a release for wear.\n";

static void print_help(FILE *out)
{
    fputs(help_head, out);
    for (const Command *const *c = all; *c != NULL; c++) {
        Text line = {0};
        text_addf(&line, "cordwain %s%s%s", (*c)->name, (*c)->name[0] ? " " : "", (*c)->arguments);
        fprintf(out, "  %-52s %s\n", line.bytes, (*c)->does);
        text_free(&line);
    }
    fputs(help_tail, out);
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
            fputs(command->help, stdout);
            status = 0;
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
    if (argc < 2) {
        print_help(stderr);
        return EXIT_INPUT;
    }
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0) {
        print_help(stdout);
        return 0;
    }
    if (strcmp(argv[1], "--version") == 0) {
        puts("cordwain " CORDWAIN_VERSION);
        return 0;
    }
    const Command *command = find_command(argv[1]);
    if (command != NULL)
        return run(command, argc - 2, argv + 2);
    if (argv[1][0] != '-' && !looks_like_file(argv[1]))
        return no_such_command(argv[1]);
    return run(&command_review, argc - 1, argv + 1);
}

/* What the commands share: options, finding files, reading and judging a style.
 * For src/cli only; the one room that ends the program. */
#ifndef CORDWAIN_CLI_CLI_H
#define CORDWAIN_CLI_CLI_H

#include <stdbool.h>
#include <stdio.h>

#include "judge/judge.h"
#include "log/valid.h"

enum { EXIT_OPEN = 1, EXIT_INPUT = 2 };

typedef enum OutputForm { OUTPUT_TEXT, OUTPUT_JSON, OUTPUT_SVG } OutputForm;

/* The command line, taken apart. Texts belong to argv. */
typedef struct Options {
    const char *const *words; /* what is no option, in order */
    size_t word_count;
    const char *factory, *alternative, *stage, *rules, *output, *size, *colourway;
    OutputForm form;
    Date today;               /* --today, else SOURCE_DATE_EPOCH, else the local day */
    bool all, plain, help;
    bool colour;              /* stdout is a terminal that wants it */
    int columns;              /* width to wrap text at */
} Options;

typedef struct Command {
    const char *name, *arguments, *does;
    const char *takes;        /* options beyond the common ones, blank-separated; "--as=text|json"
                                 names the words that may follow */
    const char *help;         /* its own page: examples first */
    int (*run)(const Options *options);
} Command;

extern const Command command_check, command_explain, command_rules, command_fields, command_new,
    command_draw, command_review;

/* Reads argv after the command's name. False after a message on stderr. */
bool options_read(Arena *arena, const Command *command, int argc, char *const *argv,
                  Options *options);

/* The rules folder: --rules, $CORDWAIN_RULES, rules/ beside the running build,
 * the installed one. NULL after a message. */
const char *rules_folder(Arena *arena, const Options *options);
/* The file of --factory: a name in the rules folder's factories, or a file. */
const char *factory_file(Arena *arena, const Options *options, const char *folder,
                         Messages *messages);

/* A style judged, with all it rests on. */
typedef struct Case {
    Arena arena;       /* values given on the command line */
    Factory *factory;
    RuleSet *rules;
    Style *style;
    Judgement *judgement;
    Log *log;          /* NULL: not asked for, or the style is standard input */
    Decisions *decisions;
} Case;

/* Reads rules and factory (into `loaded`); false with messages. */
bool case_rules(const Options *options, Case *loaded, Messages *messages);
/* Reads a style, as --alternative and --stage have it. */
bool case_read(const Options *options, const char *path, Case *loaded, Messages *messages);
/* Reads and judges a style with the rules and factory already in `loaded`. */
bool case_style(const Options *options, const char *path, Case *loaded, Messages *messages);
/* Reads the decision log beside a style that is judged. */
bool case_decisions(const Options *options, const char *path, Case *loaded, Messages *messages);
void case_free(Case *loaded);

/* Writes messages to stderr, frees them and returns `status`. */
int finish(Messages *messages, int status);
/* Writes and checks all of stdout; EXIT_INPUT with a message if it failed. */
int print_all(const Text *text, int status);

/* The findings as people read them, and as JSON (form findings/1). */
void findings_text(Text *text, const Decisions *decisions, const Options *options);
void findings_json(Text *text, const Decisions *const *decisions, size_t count, bool all);

#endif

/* What the commands share: options, finding files, reading and judging a style.
 * For src/cli only; the one room that ends the program. */
#ifndef CORDWAIN_CLI_CLI_H
#define CORDWAIN_CLI_CLI_H

#include <stdbool.h>
#include <stdio.h>

#include "catalogue/catalogue.h"
#include "judge/judge.h"
#include "log/valid.h"
#include "report/told.h"

enum { EXIT_OPEN = 1, EXIT_INPUT = 2 };

typedef enum OutputForm {
    OUTPUT_TEXT,
    OUTPUT_JSON,
    OUTPUT_SVG,
    OUTPUT_HTML,
    OUTPUT_MARKDOWN,
    OUTPUT_CSV,
    OUTPUT_JSONL,
    OUTPUT_SARIF,
    OUTPUT_SCHEMA
} OutputForm;

/* Names given one after the other, or several with commas between them; no name twice. */
typedef struct NameList {
    const char **items;
    size_t count, capacity;
} NameList;

/* The command line, taken apart. Texts belong to argv, names to the arena. */
typedef struct Options {
    const char *const *words; /* what is no option, in order */
    size_t word_count;
    NameList factories, alternatives; /* more than one only where a command takes several */
    NameList materials; /* of the catalogue: ID or ID=NAME */
    const char *factory, *alternative; /* the first of each; NULL: none named */
    const char *stage, *rules, *output, *size, *colourway, *since, *propose, *within, *into;
    OutputForm form;
    bool form_named;          /* by --as; else the ending of -o may say it */
    bool by_giver;            /* --giver: only what this one can solve alone */
    Giver giver;
    Date today;               /* --today, else SOURCE_DATE_EPOCH, else the local day */
    bool all, plain, help;
    bool colour;              /* stdout is a terminal that wants it */
    int columns;              /* width to wrap text at */
} Options;

typedef struct Command {
    const char *name, *arguments, *does;
    const char *takes;        /* options beyond the common ones, blank-separated; "--as=text|json"
                                 names the words that may follow; "--factory=several" and
                                 "--alternative=several" allow more than one name */
    const char *help;         /* its own page: examples first */
    int (*run)(const Options *options);
} Command;

extern const Command command_check, command_explain, command_rules, command_fields, command_new,
    command_draw, command_order, command_compare, command_report, command_review,
    command_materials;

/* Reads argv after the command's name. False after a message on stderr. */
bool options_read(Arena *arena, const Command *command, int argc, char *const *argv,
                  Options *options);

/* The rules folder: --rules, $CORDWAIN_RULES, rules/ beside the running build,
 * the installed one. NULL after a message. */
const char *rules_folder(Arena *arena, const Options *options);
/* The file of a factory: a name in the rules folder's factories, or a file. */
const char *factory_file(Arena *arena, const char *name, const char *folder, Messages *messages);

/* The catalogue of materials in the rules folder. NULL with messages. */
Catalogue *catalogue_of(const Options *options, Messages *messages);
/* Kinds asked for as ID or ID=NAME, to be found in the catalogue; false with messages. */
bool catalogue_choices(const Catalogue *catalogue, Arena *arena, const char *const *wanted,
                       size_t count, const CatalogueChoice **choices, Messages *messages);

/* A style judged, with all it rests on. */
typedef struct Case {
    Arena arena;       /* values given on the command line */
    Factory *factory;
    RuleSet *rules;
    Style *style;
    const Patch *patches; /* --stage */
    size_t patch_count;
    JudgeShelf *shelf; /* of the judgement: what is tried for remedies comes sooner */
    Judgement *judgement;
    Log *log;          /* NULL: not asked for, or the style is standard input */
    Decisions *decisions;
    Remedies *remedies; /* NULL: not asked for */
} Case;

/* Reads rules and the factory of that name (into `loaded`), or of --factory; false with messages.
 * A factory of NULL: the rules as they are. */
bool case_shop(const Options *options, const char *factory, Case *loaded, Messages *messages);
bool case_rules(const Options *options, Case *loaded, Messages *messages);
/* Reads a style, as --alternative and --stage have it. */
bool case_read(const Options *options, const char *path, Case *loaded, Messages *messages);
/* Reads and judges a style with the rules and factory already in `loaded`. */
bool case_style(const Options *options, const char *path, Case *loaded, Messages *messages);
/* Reads the decision log beside a style that is read. */
bool case_log(const char *path, Case *loaded, Messages *messages);
/* What would help the findings of a style as read, as this judgement has it. */
Remedies *case_remedies(const Case *style, const Judgement *judgement);
void case_free(Case *loaded);

/* Every style of the command line at every factory of it, judged, with decisions and remedies.
 * What several cases rest on is read once. */
typedef struct Cases {
    Case *shops;          /* one a factory, or one without: factory and rules */
    size_t factory_count; /* at least 1 */
    Case *styles;         /* one a style that could be read: style, log */
    size_t style_count;
    Case *cells;          /* of style s at factory f: [s * factory_count + f]; judgement, decisions,
                             remedies */
    Told *told;           /* the same order */
    int status;           /* EXIT_INPUT: some style was refused; else the worst of log_release() */
} Cases;

/* The words of the command line are styles; logs among them are passed over with a notice. False
 * with messages where rules or factories are refused; else to be freed, whatever the status. */
bool cases_read(const Options *options, Cases *cases, Messages *messages);
void cases_free(Cases *cases);

/* Writes messages to stderr, frees them and returns `status`. */
int finish(Messages *messages, int status);
/* Writes and checks all of stdout; EXIT_INPUT with a message if it failed. */
int print_all(const Text *text, int status);

/* Which findings the options ask for. */
Telling options_telling(const Options *options);
/* The findings of one style at one factory as people read them. */
void findings_text(Text *text, const Told *told, const Options *options);

#endif

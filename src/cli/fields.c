/* cordwain fields: everything a rule or style can use. From the one table. */
#include <string.h>

#include "cli/cli.h"

enum { LINE_COLUMNS = 96, MEANS_COLUMN = 42 };

static const char help[] = "  cordwain fields\n"
                           "  cordwain fields bend\n"
                           "\n"
                           "Lists every field with its unit or words, whose it is to change, what\n"
                           "it means, and what it means when a file does not say.\n";

static const char *const absences[] = {
    [ABSENT_UNKNOWN] = "",           [ABSENT_NONE] = "; absent: none",
    [ABSENT_REFUSED] = "; must be written", [ABSENT_INHERITS] = "; absent: as its edge",
    [ABSENT_LIMIT] = "; absent: the limit of that name", [ABSENT_DERIVED] = "; worked out, never written"};

static void add_kind(Text *text, const Field *field)
{
    switch (field->type) {
    case FIELD_NUMBER:
        text_add(text, field->unit[0] ? field->unit : "number");
        break;
    case FIELD_RANGE:
        text_addf(text, "%s..%s", field->unit, field->unit);
        break;
    case FIELD_TRUTH:
        text_add(text, "true or false");
        break;
    case FIELD_TEXT:
        text_add(text, "text");
        break;
    case FIELD_NAME:
        text_addf(text, "a %s", subject_name(field->refers));
        break;
    case FIELD_COUNTS:
        text_add(text, "[numbers]");
        break;
    case FIELD_WORD:
        text_add(text, "word");
        break;
    case FIELD_WORDS:
        text_add(text, "[words]");
        break;
    }
}

static void add_field(Text *out, const Field *field)
{
    Text kind = {0}, means = {0};
    add_kind(&kind, field);
    text_addf(&means, "%s%s", field->means, absences[field->absence]);
    if (field->giver != GIVER_NOBODY)
        text_addf(&means, "; %s", giver_name(field->giver));
    if (field->words != NULL) {
        text_add(&means, "; one of");
        for (size_t i = 0; i < field->words->count; i++)
            text_addf(&means, "%s %s", i > 0 ? "," : "", field->words->words[i]);
    }
    text_addf(out, "  %-24s %-14s ", field->name, text_string(&kind));
    text_add_wrapped(out, means.bytes, LINE_COLUMNS - MEANS_COLUMN, 0);
    text_add(out, "\n");
    text_free(&kind);
    text_free(&means);
}

static void add_relations(Text *out, Subject subject)
{
    size_t count;
    const Relation *relations = relation_table(&count);
    for (size_t i = 0; i < count; i++) {
        if (relations[i].from == subject)
            text_addf(out, "  %-24s %-14s %s\n", relations[i].name, relations[i].many ? "many" : "one",
                      relations[i].many ? "a set, for every, some, sum, most, least, count"
                                        : "its fields follow after a dot");
    }
}

static void add_subject(Text *out, Subject subject)
{
    text_addf(out, "%s\n", subject_name(subject));
    for (FieldId id = field_first(subject); id < field_end(subject); id++)
        add_field(out, field_at(id));
    add_relations(out, subject);
}

static int no_such_subject(const char *word)
{
    const char *names[SUBJECT_COUNT];
    for (int s = 0; s < SUBJECT_COUNT; s++)
        names[s] = subject_name((Subject)s);
    const char *near = nearest_word(word, names, SUBJECT_COUNT);
    Text text = {0};
    text_add(&text, "cordwain: nothing is called ");
    text_add_visible(&text, word, strlen(word));
    if (near != NULL)
        text_addf(&text, "; did you mean %s?", near);
    else
        text_add(&text, "; cordwain fields lists everything");
    fprintf(stderr, "%s\n", text.bytes);
    text_free(&text);
    return EXIT_INPUT;
}

static int run(const Options *options)
{
    Text out = {0};
    int status = 0;
    if (options->word_count == 0) {
        for (int s = 0; s < SUBJECT_COUNT; s++)
            add_subject(&out, (Subject)s);
    }
    for (size_t i = 0; i < options->word_count && status == 0; i++) {
        Subject subject;
        if (subject_find(options->words[i], strlen(options->words[i]), &subject))
            add_subject(&out, subject);
        else
            status = no_such_subject(options->words[i]);
    }
    status = print_all(&out, status);
    text_free(&out);
    return status;
}

const Command command_fields = {"fields", "[SUBJECT...]", "what a rule or style can use", NULL, help,
                                run};

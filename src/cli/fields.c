/* cordwain fields: everything a rule or style can use, to read or as JSON Schemas. From
 * the one table. */
#include <string.h>

#include "cli/cli.h"
#include "schema/schema.h"

enum { MEANS_COLUMN = 42 };

static const char help[] = "  cordwain fields\n"
                           "  cordwain fields bend\n"
                           "  cordwain fields allowance\n"
                           "  cordwain fields --as schema style > style.schema.json\n"
                           "\n"
                           "Lists every field with its unit or words, whose it is to change, what\n"
                           "it means, and what it means when a file does not say.\n"
                           "--as schema writes the JSON Schema of a kind of file, for editors and\n"
                           "other programs: style, rules, factory, log, materials, findings (check\n"
                           "--as json) or lines (check --as jsonl).\n";

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

static void add_field(Text *out, const Field *field, int columns)
{
    Text kind = {0}, means = {0};
    add_kind(&kind, field);
    text_addf(&means, "%s%s", field->means, schema_absence(field->absence));
    if (field->giver != GIVER_NOBODY)
        text_addf(&means, "; %s", giver_name(field->giver));
    if (field->words != NULL) {
        text_add(&means, "; one of");
        for (size_t i = 0; i < field->words->count; i++)
            text_addf(&means, "%s %s", i > 0 ? "," : "", field->words->words[i]);
    }
    text_addf(out, "  %-24s %-14s ", field->name, text_string(&kind));
    text_add_wrapped(out, means.bytes, columns, MEANS_COLUMN);
    text_add(out, "\n");
    text_free(&kind);
    text_free(&means);
}

/* Keys of a style's file that hold more than one value, and are no fields. */
static const struct {
    Subject subject;
    const char *key, *form, *means;
} structures[] = {
    {SUBJECT_STYLE, "sizes", "{system: paris-point, base: 42, from: 36, to: 46, step: 0.5}",
     "the size run; system is paris-point, english or mondopoint"},
    {SUBJECT_STYLE, "colourways", "{Chalk: {hull-suede: chalk-nubuck}}",
     "named swaps of materials; Bark: {} is as written"},
    {SUBJECT_STYLE, "alternatives", "{turned: {from: overlay, seams.cap.join: turned}}",
     "named sets of changed values: path: value, or removed"},
    {SUBJECT_STYLE, "order", "[{lining: [back]}, collar]", "seams in the order they are made"},
    {SUBJECT_STYLE, "keeps", "[bottom, parts.vamp]", "paths that are never proposed for change"},
    {SUBJECT_STYLE, "lengths", "mm", "unit of bare lengths in this file: mm, cm or in"},
    {SUBJECT_STYLE, "materials, parts, holes, seams", "{ID: {…}}", "by their ids"},
    {SUBJECT_PART, "edges", "{throat: {finish: raw, …}}", "its named edges"},
    {SUBJECT_PART, "mirror, but", "{mirror: quarter-lat, but: {edges.vent.finish: raw}}",
     "the same part on the other side, and what differs"},
    {SUBJECT_PART, "backs", "[quarter-lat, quarter-med]", "what it lies behind"},
    {SUBJECT_PART, "inset", "{topline: 3 mm}", "how far inside an edge's line it stops"},
    {SUBJECT_EDGE, "bends", "[{curve: inward, radius: 8 mm, …}]",
     "its bends in order; [] where it has none, absent: unknown"},
    {SUBJECT_SEAM, "edges", "[over.edge, under.edge]",
     "top ply first; a chain of edges in [], or a bare part"},
    {SUBJECT_SEAM, "rows", "[{does: seam, …}]", "its rows of stitches"},
    {SUBJECT_SEAM, "spots", "[{at: 40 mm, plies: [vamp, {part: lining, times: 2}]}]",
     "which plies lie where along the rows; without them the steps are unknown"},
    {SUBJECT_SEAM, "ease", "{lining.topline: -2 mm}", "how much shorter an edge is cut"},
    {SUBJECT_SEAM, "marks", "[30 mm, 62 mm]",
     "match marks along the first side, and as far along the others"},
    {SUBJECT_SEAM, "mirror, but", "{mirror: cap, but: {edges: […]}}", "as of parts"},
};
enum { STRUCTURE_COUNT = sizeof structures / sizeof *structures };

static void add_structures(Text *out, Subject subject, int columns)
{
    for (size_t i = 0; i < STRUCTURE_COUNT; i++) {
        if (structures[i].subject != subject)
            continue;
        text_addf(out, "  %-24s %s\n%*s", structures[i].key, structures[i].form, MEANS_COLUMN, "");
        text_add_wrapped(out, structures[i].means, columns, MEANS_COLUMN);
        text_add(out, "\n");
    }
}

/* The subject whose mapping holds the key; for people who ask for a key. */
static bool subject_of_key(const char *word, Subject *subject)
{
    for (size_t i = 0; i < STRUCTURE_COUNT; i++) {
        if (strstr(structures[i].key, word) != NULL) {
            *subject = structures[i].subject;
            return true;
        }
    }
    return false;
}

/* "binding" and "binding.part" name the field binding.part. */
static bool is_named(const Field *field, const char *word)
{
    size_t length = strlen(word);
    return strncmp(field->name, word, length) == 0 &&
           (field->name[length] == '\0' || field->name[length] == '.');
}

/* The fields of that name, below what they are of; false if there are none. */
static bool add_named(Text *out, const char *word, int columns)
{
    bool found = false;
    for (int s = 0; s < SUBJECT_COUNT; s++) {
        bool headed = false;
        for (FieldId id = field_first((Subject)s); id < field_end((Subject)s); id++) {
            if (!is_named(field_at(id), word))
                continue;
            if (!headed)
                text_addf(out, "%s\n", subject_name((Subject)s));
            headed = found = true;
            add_field(out, field_at(id), columns);
        }
    }
    return found;
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

static void add_subject(Text *out, Subject subject, int columns)
{
    text_addf(out, "%s\n", subject_name(subject));
    add_structures(out, subject, columns);
    for (FieldId id = field_first(subject); id < field_end(subject); id++)
        add_field(out, field_at(id), columns);
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

static int no_such_kind(const Options *options)
{
    size_t count;
    const char *const *kinds = schema_kinds(&count);
    Text text = {0};
    text_add(&text, "cordwain: --as schema takes one kind of file");
    if (options->word_count == 1)
        add_known_names(&text, options->words[0], kinds, count);
    else
        add_known_names(&text, "", kinds, count);
    fprintf(stderr, "%s\n", text.bytes);
    text_free(&text);
    return EXIT_INPUT;
}

static int write_schema(const Options *options)
{
    Text out = {0};
    if (options->word_count != 1 || !schema_write(&out, options->words[0]))
        return no_such_kind(options);
    int status = print_all(&out, 0);
    text_free(&out);
    return status;
}

static int run(const Options *options)
{
    Text out = {0};
    int status = 0;
    if (options->form == OUTPUT_SCHEMA)
        return write_schema(options);
    if (options->word_count == 0) {
        for (int s = 0; s < SUBJECT_COUNT; s++)
            add_subject(&out, (Subject)s, options->columns);
    }
    for (size_t i = 0; i < options->word_count && status == 0; i++) {
        Subject subject;
        const char *word = options->words[i];
        if (subject_find(word, strlen(word), &subject) || subject_of_key(word, &subject))
            add_subject(&out, subject, options->columns);
        else if (!add_named(&out, word, options->columns))
            status = no_such_subject(word);
    }
    status = print_all(&out, status);
    text_free(&out);
    return status;
}

const Command command_fields = {
    "fields", "[SUBJECT|FIELD...]", "what a rule or style can use", "--as=text|schema", help, run};

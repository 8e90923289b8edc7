/* cordwain materials: the catalogue of common kinds, to read or to write into a style. */
#include <string.h>

#include "cli/cli.h"

static const char help[] =
    "  cordwain materials\n"
    "  cordwain materials calf-upper\n"
    "  cordwain materials --into my-style.yaml calf-upper pigskin-lining=tongue-lining\n"
    "\n"
    "Lists common kinds of material, shows what one is like and where its figures come from,\n"
    "or writes some into a style, each after the last of its materials and under the name\n"
    "behind = where there is one. Their ranges are yours from then on: put what you measure in\n"
    "their place. Nothing is ever judged from the catalogue itself.\n"
    "Everything else in the file stays as it is. A name that is taken is refused.\n"
    "The catalogue is catalogue/materials.yaml in the rules folder.\n";

Catalogue *catalogue_of(const Options *options, Messages *messages)
{
    Arena arena = {0};
    const char *folder = rules_folder(&arena, options);
    Catalogue *catalogue =
        catalogue_read(arena_printf(&arena, "%s/catalogue/materials.yaml", folder), messages);
    arena_free(&arena);
    return catalogue;
}

bool catalogue_choices(const Catalogue *catalogue, Arena *arena, const char *const *wanted,
                       size_t count, const CatalogueChoice **choices, Messages *messages)
{
    size_t before = messages->errors;
    CatalogueChoice *chosen = ARENA_NEW(arena, CatalogueChoice, count);
    for (size_t i = 0; i < count; i++)
        catalogue_choose(catalogue, arena, wanted[i], &chosen[i], messages);
    *choices = chosen;
    return messages->errors == before;
}

/* ---- To read ---- */

static void add_line(Text *out, const CatalogueKind *kind, int columns)
{
    enum { MEANS_COLUMN = 48 };
    Text word = {0}, thickness = {0}, means = {0};
    catalogue_value(&word, kind, MATERIAL_KIND);
    catalogue_value(&thickness, kind, MATERIAL_THICKNESS);
    text_addf(out, "%-20s  %-9s  %-13s  ", kind->record->id, text_string(&word),
              text_string(&thickness));
    text_add_visible(&means, kind->means, strlen(kind->means));
    text_add_wrapped(out, text_string(&means), columns, MEANS_COLUMN);
    text_add(out, "\n");
    text_free(&word);
    text_free(&thickness);
    text_free(&means);
}

static void add_source(Text *out, const char *source, int columns, int indent)
{
    Text told = {0};
    text_add(&told, "source: ");
    text_add_visible(&told, source, strlen(source));
    text_addf(out, "%*s", indent, "");
    text_add_wrapped(out, text_string(&told), columns, indent);
    text_add(out, "\n");
    text_free(&told);
}

static void add_kind(Text *out, const CatalogueKind *kind, int columns)
{
    enum { SOURCE_COLUMN = 19 };
    const char *above = NULL;
    text_addf(out, "%s: ", kind->record->id);
    text_add_visible(out, kind->means, strlen(kind->means));
    text_add(out, "\n");
    add_source(out, kind->source, columns, 2);
    for (FieldId id = kind->record->first; id < field_end(SUBJECT_MATERIAL); id++) {
        if (!catalogue_tells(id))
            continue;
        const char *source = kind->sources[id - kind->record->first];
        text_addf(out, "  %-15s  ", field_at(id)->name);
        catalogue_value(out, kind, id);
        text_add(out, "\n");
        if (source != NULL && source != above)
            add_source(out, source, columns, SOURCE_COLUMN);
        above = source;
    }
}

static int show(const Options *options, const Catalogue *catalogue, Messages *messages)
{
    Text out = {0};
    size_t errors = messages->errors;
    for (size_t i = 0; options->word_count == 0 && i < catalogue->count; i++)
        add_line(&out, &catalogue->kinds[i], options->columns);
    for (size_t i = 0; i < options->word_count; i++) {
        const CatalogueKind *kind = catalogue_find(catalogue, options->words[i], messages);
        text_add(&out, kind != NULL && out.length > 0 ? "\n" : "");
        if (kind != NULL)
            add_kind(&out, kind, options->columns);
    }
    int status = print_all(&out, messages->errors > errors ? EXIT_INPUT : 0);
    text_free(&out);
    return status;
}

/* ---- To write ---- */

static int say_written(const char *path, const CatalogueChoice *choices, size_t count)
{
    Text out = {0};
    for (size_t i = 0; i < count; i++) {
        text_add_visible(&out, path, strlen(path));
        text_addf(&out, ": %s is written; its ranges are yours to measure\n", choices[i].name);
    }
    int status = print_all(&out, 0);
    text_free(&out);
    return status;
}

static int write_into(const Options *options, const Catalogue *catalogue, Messages *messages)
{
    Arena arena = {0};
    const CatalogueChoice *choices;
    size_t count = options->word_count;
    int status = EXIT_INPUT;
    const YamlFile *style = yaml_read(&arena, options->into, false, messages);
    if (style != NULL && count == 0)
        message_error(messages, (Where){.file = options->into},
                      "which materials are to be written into it? cordwain materials lists them");
    else if (style != NULL &&
             catalogue_choices(catalogue, &arena, options->words, count, &choices, messages)) {
        FileSaved state = catalogue_insert(style, choices, count, messages);
        if (state == FILE_SAVED || state == FILE_UNSURE)
            status = say_written(options->into, choices, count);
    }
    arena_free(&arena);
    return status;
}

static int run(const Options *options)
{
    Messages messages = {0};
    int status = EXIT_INPUT;
    Catalogue *catalogue = catalogue_of(options, &messages);
    if (catalogue != NULL)
        status = options->into != NULL ? write_into(options, catalogue, &messages)
                                       : show(options, catalogue, &messages);
    catalogue_free(catalogue);
    return finish(&messages, status);
}

const Command command_materials = {"materials",
                                   "[--into STYLE] [ID[=NAME]...]",
                                   "common kinds of material, to read or to write into a style",
                                   "--into",
                                   help,
                                   run};

/* Reads the catalogue and finds kinds in it. For the commands and the screen. */
#include "catalogue/catalogue.h"

#include <stdlib.h>
#include <string.h>

static const char *const own_keys[] = {"means", "source", "sources"};
enum { OWN_KEY_COUNT = sizeof own_keys / sizeof *own_keys };

/* ---- Reading ---- */

static const char *text_due(const ReadContext *context, const YamlNode *mapping, const char *label,
                            const char *key, const char *accepts)
{
    const YamlNode *node = yaml_get(mapping, key);
    if (node == NULL)
        message_error(context->messages, yaml_where(mapping), "%s has no %s: %s", label, key,
                      accepts);
    else if (scalar_check(context, node, key, accepts))
        return node->text;
    return NULL;
}

/* What a style would take without a tolerance is a claim here that nobody can make of a kind. */
static void check_range(const ReadContext *context, const Record *record, FieldId id)
{
    const Value *value = record_value(record, id);
    if (field_at(id)->type == FIELD_NUMBER && value->presence == VALUE_KNOWN &&
        value->quantity.tolerance != TOLERANCE_GIVEN)
        message_error(context->messages, yaml_where(value->node),
                      "%s is %s for a whole kind of material; write the range, such as "
                      "1.2..1.6 mm, or unknown",
                      field_at(id)->name, quoted(value->node->text).text);
}

/* "stretch" stands for stretch.along and stretch.across. */
static bool is_meant(const Field *field, const YamlNode *key)
{
    return strncmp(field->name, key->text, key->length) == 0 &&
           strchr(".", field->name[key->length]) != NULL;
}

static void report_field(const ReadContext *context, const YamlNode *key)
{
    const char *names[FIELD_ID_COUNT];
    size_t count = 0;
    for (FieldId id = field_first(SUBJECT_MATERIAL); id < field_end(SUBJECT_MATERIAL); id++)
        names[count++] = field_at(id)->name;
    key_unknown(context, key, names, count);
}

static void read_source(const ReadContext *context, CatalogueKind *kind, const YamlNode *key,
                        const YamlNode *node)
{
    bool meant = false, known = false;
    if (!scalar_check(context, node, key->text, "the source of the value"))
        return;
    for (FieldId id = kind->record->first; id < field_end(SUBJECT_MATERIAL); id++) {
        if (!is_meant(field_at(id), key))
            continue;
        meant = true;
        known |= record_value(kind->record, id)->presence == VALUE_KNOWN;
        kind->sources[id - kind->record->first] = node->text;
    }
    if (!meant)
        report_field(context, key);
    else if (!known)
        message_error(context->messages, yaml_where(key),
                      "there is no value of %s that could come from there", key->text);
}

static void read_kind(const ReadContext *context, Catalogue *catalogue, const YamlNode *key,
                      const YamlNode *node)
{
    const char *label = arena_printf(context->arena, "material %s", quoted(key->text).text);
    if (!id_check(context, key) || !mapping_check(context, node, label))
        return;
    CatalogueKind *kind = &catalogue->kinds[catalogue->count++];
    kind->record = record_new(context->arena, &catalogue->materials, SUBJECT_MATERIAL, key->text,
                              key->text, node, key, NULL);
    record_read(context, kind->record, node, own_keys, OWN_KEY_COUNT);
    kind->means = text_due(context, node, label, "means", "what people call it, in a few words");
    kind->source = text_due(context, node, label, "source",
                            "a publication, or \"common practice, no published source\"");
    FieldId first = field_first(SUBJECT_MATERIAL), end = field_end(SUBJECT_MATERIAL);
    for (FieldId id = first; id < end; id++)
        check_range(context, kind->record, id);
    kind->sources = ARENA_NEW(context->arena, const char *, (size_t)(end - first));
    const YamlNode *sources = yaml_get(node, "sources");
    if (sources == NULL || !mapping_check(context, sources, "sources"))
        return;
    for (size_t i = 0; i < sources->count; i++)
        read_source(context, kind, sources->keys[i], sources->items[i]);
}

/* Bare lengths would mean nothing in the style that they are written into: `lengths` is no key. */
static void check_keys(const ReadContext *context, const YamlNode *root)
{
    static const char *const known[] = {"cordwain", "title", "materials"};
    for (size_t i = 0; i < root->count; i++) {
        bool is_known = false;
        for (size_t k = 0; k < sizeof known / sizeof *known; k++)
            is_known |= strcmp(root->keys[i]->text, known[k]) == 0;
        if (!is_known)
            key_unknown(context, root->keys[i], known, sizeof known / sizeof *known);
    }
}

static bool read_catalogue(Catalogue *catalogue, Messages *messages)
{
    size_t before = messages->errors;
    const YamlFile *file = catalogue->file;
    ReadContext context = {.arena = &catalogue->arena, .messages = messages};
    if (file == NULL || !file_head(&context, file, "materials"))
        return false;
    context.bare_length = NULL;
    check_keys(&context, file->root);
    catalogue->title = text_due(&context, file->root, "a catalogue", "title", "what it holds");
    const YamlNode *materials = yaml_get(file->root, "materials");
    if (materials == NULL)
        message_error(messages, yaml_where(file->root), "a catalogue has materials, by their ids");
    else if (mapping_check(&context, materials, "materials")) {
        catalogue->kinds = ARENA_NEW(&catalogue->arena, CatalogueKind, materials->count);
        for (size_t i = 0; i < materials->count && !messages_full(messages, file->path); i++)
            read_kind(&context, catalogue, materials->keys[i], materials->items[i]);
    }
    return messages->errors == before;
}

static Catalogue *whole_or_nothing(Catalogue *catalogue, Messages *messages)
{
    if (read_catalogue(catalogue, messages))
        return catalogue;
    catalogue_free(catalogue);
    return NULL;
}

Catalogue *catalogue_read(const char *path, Messages *messages)
{
    Catalogue *catalogue = memory_new(1, sizeof *catalogue);
    catalogue->file = yaml_read(&catalogue->arena, path, false, messages);
    return whole_or_nothing(catalogue, messages);
}

Catalogue *catalogue_read_bytes(const char *path, const char *bytes, size_t length,
                                Messages *messages)
{
    Catalogue *catalogue = memory_new(1, sizeof *catalogue);
    catalogue->file = yaml_read_bytes(&catalogue->arena, path, bytes, length, false, messages);
    return whole_or_nothing(catalogue, messages);
}

void catalogue_free(Catalogue *catalogue)
{
    if (catalogue == NULL)
        return;
    arena_free(&catalogue->arena);
    free(catalogue);
}

/* ---- Asking ---- */

const CatalogueKind *catalogue_find(const Catalogue *catalogue, const char *id, Messages *messages)
{
    for (size_t i = 0; i < catalogue->count; i++)
        if (strcmp(catalogue->kinds[i].record->id, id) == 0)
            return &catalogue->kinds[i];
    Arena arena = {0};
    const char **known = ARENA_NEW(&arena, const char *, catalogue->count);
    const char **like = ARENA_NEW(&arena, const char *, catalogue->count);
    size_t alike = 0;
    for (size_t i = 0; i < catalogue->count; i++) {
        known[i] = catalogue->kinds[i].record->id;
        if (id[0] != '\0' && strstr(known[i], id) != NULL)
            like[alike++] = known[i];
    }
    Text hint = {0};
    if (alike > 0)
        add_known_names(&hint, "", like, alike);
    else
        add_known_names(&hint, id, known, catalogue->count);
    message_error(messages, (Where){.file = catalogue->file->path},
                  "there is no material %s here%s", quoted(id).text, text_string(&hint));
    text_free(&hint);
    arena_free(&arena);
    return NULL;
}

bool catalogue_tells(FieldId id)
{
    const Field *field = field_at(id);
    return field->absence != ABSENT_DERIVED && field->type != FIELD_TEXT &&
           field->type != FIELD_NAME;
}

void catalogue_value(Text *text, const CatalogueKind *kind, FieldId id)
{
    const Value *value = record_value(kind->record, id);
    if (value->presence == VALUE_KNOWN && value->node != NULL)
        text_add_visible(text, value->node->text, value->node->length);
    else
        text_add(text, "unknown");
}

/* The same that a key of a file must be. */
static bool is_name(Arena *arena, const char *name, Messages *messages)
{
    static const size_t one_line = 0;
    const YamlFile file = {.path = "the new name",
                           .bytes = name,
                           .length = strlen(name),
                           .lines = &one_line,
                           .line_count = 1};
    const YamlNode node = {.kind = YAML_SCALAR,
                           .plain = true,
                           .file = &file,
                           .end = file.length,
                           .text = name,
                           .length = file.length};
    ReadContext context = {.arena = arena, .messages = messages};
    return id_check(&context, &node);
}

bool catalogue_choose(const Catalogue *catalogue, Arena *arena, const char *wanted,
                      CatalogueChoice *choice, Messages *messages)
{
    size_t length = strcspn(wanted, "=");
    choice->kind = catalogue_find(catalogue, arena_copy(arena, wanted, length), messages);
    if (choice->kind == NULL)
        return false;
    choice->name = choice->kind->record->id;
    if (wanted[length] == '\0')
        return true;
    choice->name = wanted + length + 1;
    return is_name(arena, choice->name, messages);
}

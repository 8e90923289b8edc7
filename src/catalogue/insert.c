/* Writes kinds of the catalogue into a style's own file. For the commands and the screen. */
#include <string.h>

#include "catalogue/catalogue.h"
#include "yaml/yaml_splice.h"

enum { COMMENT_COLUMNS = 96, STEP = 2 };

/* What means something only without quotes. */
static const char *const bare_words[] = {"unknown", "removed", "true", "false", NULL};

/* Lines below the style's last material, or a whole section of them. */
typedef struct Lines {
    Text text;
    const char *start; /* the style's line break, and how far its lines of this section stand in */
    int in;            /* blanks further in than that */
} Lines;

static void add_start(Lines *lines)
{
    text_addf(&lines->text, "%s%*s", lines->start, lines->in, "");
}

/* Whatever stands in the catalogue: it ends no line, and is taken for nothing else. */
static void add_comment(Lines *lines, const char *comment)
{
    Text safe = {0}, wrapped = {0};
    text_add_visible(&safe, comment, strlen(comment));
    int taken = (int)strlen(lines->start) + lines->in;
    text_add_wrapped(&wrapped, text_string(&safe), COMMENT_COLUMNS - taken, 0);
    for (const char *line = text_string(&wrapped); line != NULL;) {
        const char *end = strchr(line, '\n');
        add_start(lines);
        text_add(&lines->text, "# ");
        text_add_bytes(&lines->text, line, end != NULL ? (size_t)(end - line) : strlen(line));
        line = end != NULL ? end + 1 : NULL;
    }
    text_free(&safe);
    text_free(&wrapped);
}

static void add_source(Lines *lines, const char *source)
{
    Text comment = {0};
    text_addf(&comment, "Source: %s", source);
    add_comment(lines, text_string(&comment));
    text_free(&comment);
}

static void add_value(Lines *lines, const CatalogueKind *kind, FieldId id, const char *key)
{
    const Value *value = record_value(kind->record, id);
    add_start(lines);
    text_addf(&lines->text, "%s: ", key);
    if (value->presence == VALUE_KNOWN && value->node != NULL)
        yaml_write(&lines->text, value->node, NULL, bare_words);
    else
        text_add(&lines->text, "unknown");
}

/* Fields such as stretch.along stand in a mapping of their own, below its key. */
static void add_field(Lines *lines, const CatalogueKind *kind, FieldId id)
{
    size_t place = (size_t)(id - kind->record->first);
    const char *name = field_at(id)->name, *dot = strchr(name, '.');
    const char *before = place > 0 ? field_at(id - 1)->name : "";
    size_t group = dot != NULL ? (size_t)(dot - name) + 1 : 0;
    bool opens = dot != NULL && strncmp(before, name, group) != 0;
    bool told = kind->sources[place] != NULL &&
                !(dot != NULL && !opens && kind->sources[place] == kind->sources[place - 1]);
    if (told)
        add_source(lines, kind->sources[place]);
    if (opens) {
        add_start(lines);
        text_addf(&lines->text, "%.*s:", (int)group - 1, name);
    }
    lines->in += dot != NULL ? STEP : 0;
    add_value(lines, kind, id, name + group);
    lines->in -= dot != NULL ? STEP : 0;
}

/* Every value that a material has: what nobody can state for the kind is unknown, and asks. */
static void add_material(Lines *lines, const CatalogueChoice *choice)
{
    const CatalogueKind *kind = choice->kind;
    Text head = {0};
    text_addf(&head, "%s (%s), from the catalogue: yours to measure", kind->record->id,
              kind->means);
    add_comment(lines, text_string(&head));
    add_source(lines, kind->source);
    text_free(&head);
    add_start(lines);
    text_addf(&lines->text, "%s:", choice->name);
    lines->in += STEP;
    for (FieldId id = kind->record->first; id < field_end(SUBJECT_MATERIAL); id++)
        if (catalogue_tells(id))
            add_field(lines, kind, id);
    lines->in -= STEP;
}

/* ---- Where they go ---- */

static void refuse_name(const YamlFile *style, const YamlNode *taken, const CatalogueChoice *choice,
                        Messages *messages)
{
    Where at = taken != NULL ? yaml_where(taken) : (Where){.file = style->path};
    message_error(messages, at, "the name %s is taken; give the new material another: %s=NAME",
                  choice->name, choice->kind->record->id);
}

static bool names_are_free(const YamlFile *style, const YamlNode *materials,
                           const CatalogueChoice *choices, size_t count, Messages *messages)
{
    size_t before = messages->errors;
    for (size_t i = 0; i < count; i++) {
        const YamlNode *taken = yaml_key(materials, choices[i].name);
        bool twice = false;
        for (size_t k = 0; k < i; k++)
            twice |= strcmp(choices[k].name, choices[i].name) == 0;
        if (taken != NULL || twice)
            refuse_name(style, taken, &choices[i], messages);
    }
    return messages->errors == before;
}

/* Where a pair of this key would be added to the mapping, and how its line would start. */
static bool find_place(Arena *arena, const YamlNode *mapping, const char *key, YamlSplice *splice,
                       const char **start)
{
    const YamlNode value = {.kind = YAML_SCALAR, .plain = true, .text = "unknown", .length = 7};
    if (mapping->file->bytes[mapping->start] == '{' ||
        !yaml_splice_pair(arena, mapping, 0, key, &value, bare_words, splice))
        return false;
    *start = arena_copy(arena, splice->text, splice->length - strlen(key) - strlen(": unknown"));
    return true;
}

static bool make_splice(Arena *arena, const YamlFile *style, const CatalogueChoice *choices,
                        size_t count, YamlSplice *splice, Messages *messages)
{
    const YamlNode *materials = yaml_get(style->root, "materials");
    const YamlNode *mapping = materials != NULL ? materials : style->root;
    Lines lines = {0};
    if (!find_place(arena, mapping, materials != NULL ? "x" : "materials", splice, &lines.start)) {
        message_error(messages, yaml_where(mapping),
                      "nothing can be added here: only to materials that stand on lines of their "
                      "own, not between { and }");
        return false;
    }
    if (materials == NULL) {
        text_addf(&lines.text, "%smaterials:", lines.start);
        lines.in = STEP;
    }
    for (size_t i = 0; i < count; i++)
        add_material(&lines, &choices[i]);
    splice->text = arena_copy(arena, text_string(&lines.text), lines.text.length);
    splice->length = lines.text.length;
    text_free(&lines.text);
    return true;
}

/* ---- Reading again ---- */

/* As deep as trees as read. */
static bool same_tree(const YamlNode *a, const YamlNode *b)
{
    bool same = a->kind == b->kind && a->plain == b->plain && a->length == b->length &&
                a->count == b->count &&
                (a->length == 0 || memcmp(a->text, b->text, a->length) == 0);
    for (size_t i = 0; same && i < a->count; i++)
        same = (a->keys == NULL || strcmp(a->keys[i]->text, b->keys[i]->text) == 0) &&
               same_tree(a->items[i], b->items[i]);
    return same;
}

/* All pairs of `before` stand in `after` first, the same but for those of `but`; then `more`. */
static bool grew_by(const YamlNode *before, const YamlNode *after, const char *but, size_t more)
{
    bool good = before->count + more == after->count;
    for (size_t i = 0; good && i < before->count; i++)
        good = strcmp(before->keys[i]->text, after->keys[i]->text) == 0 &&
               (strcmp(before->keys[i]->text, but) == 0 ||
                same_tree(before->items[i], after->items[i]));
    return good;
}

static bool reads_well(Arena *arena, const YamlNode *material, const CatalogueChoice *choice,
                       Messages *messages)
{
    RecordList list = {0};
    ReadContext context = {.arena = arena, .messages = messages};
    if (material == NULL || material->kind != YAML_MAPPING)
        return false;
    size_t before = messages->errors;
    Record *record = record_new(arena, &list, SUBJECT_MATERIAL, choice->name, choice->name,
                                material, NULL, NULL);
    record_read(&context, record, material, NULL, 0);
    return messages->errors == before;
}

static bool holds(Arena *arena, const YamlFile *style, const Text *text,
                  const CatalogueChoice *choices, size_t count, Messages *messages)
{
    const YamlFile *again =
        yaml_read_bytes(arena, style->path, text_string(text), text->length, false, messages);
    if (again == NULL || again->root->kind != YAML_MAPPING)
        return false;
    static const YamlNode none = {.kind = YAML_MAPPING};
    const YamlNode *old = yaml_get(style->root, "materials");
    const YamlNode *new = yaml_get(again->root, "materials");
    bool good = new != NULL &&grew_by(style->root, again->root, "materials", old == NULL) &&
                grew_by(old != NULL ? old : &none, new, "", count);
    for (size_t i = 0; good && i < count; i++)
        good = reads_well(arena, yaml_get(new, choices[i].name), &choices[i], messages);
    return good;
}

static bool is_style(Arena *arena, const YamlFile *style, Messages *messages)
{
    ReadContext context = {.arena = arena, .messages = messages};
    const YamlNode *materials = yaml_get(style->root, "materials");
    return file_head(&context, style, "style") &&
           (materials == NULL || mapping_check(&context, materials, "materials"));
}

static bool make_text(Arena *arena, const YamlFile *style, const CatalogueChoice *choices,
                      size_t count, Text *text, Messages *messages)
{
    YamlSplice splice;
    if (!is_style(arena, style, messages) ||
        !names_are_free(style, yaml_get(style->root, "materials"), choices, count, messages) ||
        !make_splice(arena, style, choices, count, &splice, messages))
        return false;
    yaml_splice(style, &splice, 1, text);
    if (holds(arena, style, text, choices, count, messages))
        return true;
    message_error(messages, (Where){.file = style->path},
                  "is not changed: with the new materials written into it, it would read "
                  "differently; add them yourself");
    return false;
}

bool catalogue_text(const YamlFile *style, const CatalogueChoice *choices, size_t count, Text *text,
                    Messages *messages)
{
    Arena arena = {0};
    Text made = {0};
    bool good = make_text(&arena, style, choices, count, &made, messages);
    if (good)
        text_add_bytes(text, text_string(&made), made.length);
    text_free(&made);
    arena_free(&arena);
    return good;
}

FileSaved catalogue_insert(const YamlFile *style, const CatalogueChoice *choices, size_t count,
                           Messages *messages)
{
    Text text = {0};
    FileSaved state = FILE_UNSAVED;
    if (strcmp(style->path, "-") == 0)
        message_error(messages, (Where){.file = style->path},
                      "was read from standard input and has no file to save to");
    else if (catalogue_text(style, choices, count, &text, messages))
        state = file_save(style->path, style->bytes, style->length, text_string(&text), text.length,
                          messages);
    text_free(&text);
    return state;
}

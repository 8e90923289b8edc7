/* Where values of records stand in a style's file, and which value a path leads to.
 * For src/remedy and src/review. */
#include "style/place.h"

#include <string.h>

bool place_within(const char *path, const char *outer)
{
    size_t length = strlen(outer);
    return strncmp(path, outer, length) == 0 && (path[length] == '\0' || path[length] == '.');
}

/* ---- From a path to a value ---- */

/* What stands between the names in the path of a record of each subject. */
static const struct PathForm {
    Subject subject;
    const char *section, *inner, *items;
} forms[] = {
    /* deeper ones first: a path is of the deepest record that it leads into */
    {SUBJECT_BEND, "parts", "edges", "bends"},   {SUBJECT_EDGE, "parts", "edges", NULL},
    {SUBJECT_PART, "parts", NULL, NULL},         {SUBJECT_ROW, "seams", "rows", NULL},
    {SUBJECT_SPOT, "seams", "spots", NULL},      {SUBJECT_SEAM, "seams", NULL, NULL},
    {SUBJECT_MATERIAL, "materials", NULL, NULL}, {SUBJECT_HOLE, "holes", NULL, NULL},
};
enum { FORM_COUNT = sizeof forms / sizeof forms[0] };

/* Moves past `word` and its point. */
static bool take_word(const char **path, const char *word)
{
    size_t length = strlen(word);
    if (strncmp(*path, word, length) != 0 || (*path)[length] != '.')
        return false;
    *path += length + 1;
    return true;
}

/* Moves past one name and its point; adds the name. */
static bool take_name(const char **path, Text *names)
{
    size_t length = strcspn(*path, ".");
    if (length == 0 || (*path)[length] != '.')
        return false;
    text_addf(names, "%s%.*s", names->length ? "." : "", (int)length, *path);
    *path += length + 1;
    return true;
}

static bool take_form(const struct PathForm *form, const char **path, Text *names)
{
    if (!take_word(path, form->section) || !take_name(path, names))
        return false;
    take_word(path, "but");
    return (!form->inner || (take_word(path, form->inner) && take_name(path, names))) &&
           (!form->items || (take_word(path, form->items) && take_name(path, names)));
}

/* The field that the rest of a path is, or, by size, leads into. */
static FieldId field_called(Subject subject, const char *rest)
{
    FieldId found = FIELD_ID_COUNT;
    for (FieldId id = field_first(subject); id < field_end(subject); id++)
        if (place_within(rest, field_at(id)->name))
            found = id;
    return found;
}

static ValuePlace in_record(const Record *record, const char *rest)
{
    FieldId id = record ? field_called(record->subject, rest) : FIELD_ID_COUNT;
    return id == FIELD_ID_COUNT ? (ValuePlace){NULL, id} : (ValuePlace){record, id};
}

ValuePlace place_of_path(const Style *style, const char *path)
{
    for (size_t i = 0; i < FORM_COUNT; i++) {
        const char *rest = path;
        Text names = {0};
        const Record *record = NULL;
        if (take_form(&forms[i], &rest, &names))
            record = record_find(&style->lists[forms[i].subject], text_string(&names));
        text_free(&names);
        if (record && !record->placeholder)
            return in_record(record, rest);
    }
    static const Subject single[] = {SUBJECT_LAST, SUBJECT_BOTTOM};
    for (size_t i = 0; i < 2; i++) {
        const char *rest = path;
        if (take_word(&rest, subject_name(single[i])))
            return in_record(style->lists[single[i]].items[0], rest);
    }
    return in_record(style->lists[SUBJECT_STYLE].items[0], path);
}

/* ---- From a value to a path ---- */

/* Of a record in a part or seam: "edges.throat.bends.1" in part "vamp". */
static const char *path_inside(Arena *arena, const struct PathForm *form, const Record *record)
{
    if (!form->inner)
        return NULL;
    const Record *owner = record->owner;
    if (!form->items)
        return arena_printf(arena, "%s.%s", form->inner, record->id);
    return arena_printf(arena, "%s.%s.%s.%s", form->inner, owner->id, form->items, record->id);
}

/* A mirrored line runs the other way: its bends count from the other end. */
static const Record *turned_over(const Style *style, const Record *bend)
{
    const Record *edge = bend->owner;
    if (!style->lines || !style->lines[edge->index].part)
        return bend;
    const RecordList *bends = &style->lists[SUBJECT_BEND];
    size_t first = bend->index, last = bend->index;
    while (first > 0 && bends->items[first - 1]->owner == edge)
        first--;
    while (last + 1 < bends->count && bends->items[last + 1]->owner == edge)
        last++;
    return bends->items[first + last - bend->index];
}

/* Whether what a mirrored part or seam says of its own covers the value. */
static bool is_own(const YamlNode *but, const char *inside)
{
    for (size_t i = 0; but && but->kind == YAML_MAPPING && i < but->count; i++)
        if (place_within(inside, but->keys[i]->text))
            return true;
    return false;
}

const Record *place_top(const Record *record)
{
    while (record->owner)
        record = record->owner;
    return record;
}

static const char *joined(Arena *arena, const char *record_inside, const char *field)
{
    return record_inside ? arena_printf(arena, "%s.%s", record_inside, field) : field;
}

/* The like of a record in the part or seam that its own one mirrors. */
static const Record *mirrored_record(Arena *arena, const Style *style, const Record *record,
                                     const char *mirror)
{
    if (record->subject == SUBJECT_BEND)
        record = turned_over(style, record);
    const char *below = strchr(record->path, '.');
    return record_find(&style->lists[record->subject],
                       arena_printf(arena, "%s%s", mirror, below ? below : ""));
}

static const char *path_by_form(Arena *arena, const Style *style, const YamlNode *tree,
                                const struct PathForm *form, const Record *record,
                                const char *field, const Record **changes)
{
    const Record *top = place_top(record);
    const char *inside = joined(arena, path_inside(arena, form, record), field);
    const YamlNode *written = yaml_get(yaml_get(tree, form->section), top->id);
    const YamlNode *mirror = yaml_get(written, "mirror"), *but = yaml_get(written, "but");
    if (mirror && is_own(but, inside))
        return arena_printf(arena, "%s.%s.but.%s", form->section, top->id, inside);
    if (!mirror || mirror->kind != YAML_SCALAR)
        return arena_printf(arena, "%s.%s.%s", form->section, top->id, inside);
    const Record *origin = mirrored_record(arena, style, record, mirror->text);
    if (!origin)
        return NULL;
    *changes = origin;
    inside = joined(arena, path_inside(arena, form, origin), field);
    return arena_printf(arena, "%s.%s.%s", form->section, mirror->text, inside);
}

const char *place_path(Arena *arena, const Style *style, const YamlNode *tree, const Record *record,
                       FieldId field, const Record **changes)
{
    const char *name = field_at(field)->name;
    *changes = record;
    if (record->placeholder)
        return NULL;
    for (size_t i = 0; i < FORM_COUNT; i++)
        if (forms[i].subject == record->subject)
            return path_by_form(arena, style, tree, &forms[i], record, name, changes);
    if (record->subject == SUBJECT_STYLE)
        return name;
    return arena_printf(arena, "%s.%s", subject_name(record->subject), name);
}

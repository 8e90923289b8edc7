/* Reads a style: the file, an alternative's patches, mirrors, then records.
 * For measure, judge and the command line. */
#include "style/style.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "style/drawn.h"
#include "style/patch.h"
#include "style/style_inside.h"

enum { ALTERNATIVES_MOST = 64 };

/* ---- What the reader's files share ---- */

void style_error(const StyleReader *reader, const YamlNode *at, const char *format, ...)
{
    Text text = {0};
    va_list arguments;
    va_start(arguments, format);
    text_addv(&text, format, arguments);
    va_end(arguments);
    message_error(reader->context.messages, yaml_where(at), "%s", text_string(&text));
    text_free(&text);
}

bool style_full(const StyleReader *reader, const YamlNode *at)
{
    return messages_full(reader->context.messages, yaml_where(at).file);
}

void style_error_two(const StyleReader *reader, const YamlNode *at, const YamlNode *other,
                     const char *format, ...)
{
    Text text = {0};
    va_list arguments;
    va_start(arguments, format);
    text_addv(&text, format, arguments);
    va_end(arguments);
    message_error_two(reader->context.messages, yaml_where(at), yaml_where(other), "%s",
                      text_string(&text));
    text_free(&text);
}

const YamlNode *style_section(const StyleReader *reader, const char *name)
{
    const YamlNode *section = yaml_get(reader->root, name);
    return section && mapping_check(&reader->context, section, name) ? section : NULL;
}

bool style_mapping(const StyleReader *reader, const YamlNode *node, const char *what,
                   const char *name)
{
    if (node->kind == YAML_MAPPING)
        return true;
    return mapping_check(&reader->context, node,
                         arena_printf(reader->context.arena, "%s %s", what, name));
}

bool style_fill(const StyleReader *reader, Record *record, const char *const *extra,
                size_t extra_count)
{
    if (yaml_is_word(record->node, "unknown")) {
        record_unknown(record, record->node);
        record->placeholder = true;
        return false;
    }
    if (!style_mapping(reader, record->node, subject_name(record->subject), record->path))
        return false;
    record_read(&reader->context, record, record->node, extra, extra_count);
    return true;
}

/* The edge whose path is `text` but for blanks where points are due, or whose
 * own name it is; NULL if there is none. */
static const Record *edge_meant(const StyleReader *reader, const char *text)
{
    const RecordList *edges = &reader->style->lists[SUBJECT_EDGE];
    char *path = arena_copy(reader->context.arena, text, strlen(text));
    for (char *c = path; *c; c++)
        *c = *c == ' ' ? '.' : *c;
    const Record *found = record_find(edges, path);
    for (size_t i = 0; !found && i < edges->count; i++)
        if (strcmp(edges->items[i]->id, text) == 0)
            found = edges->items[i];
    return found;
}

static void not_an_edge(const StyleReader *reader, const YamlNode *node)
{
    const Record *meant = edge_meant(reader, node->text);
    style_error(reader, node, "%s is no edge; edges are written part.edge%s%s%s%s",
                quoted(node->text).text,
                strchr(node->text, ' ') ? ", and names hold no blanks" : "",
                meant ? "; did you mean " : ", such as vamp.throat", meant ? meant->path : "",
                meant ? "?" : "");
}

/* The names that could have stood there: of an edge whose part there is, that
 * part's edges. */
static void not_there(const StyleReader *reader, Subject subject, const YamlNode *node)
{
    const RecordList *list = &reader->style->lists[subject];
    const char **paths = ARENA_NEW(reader->context.arena, const char *, list->count);
    const char *point = strchr(node->text, '.');
    size_t part = point ? (size_t)(point - node->text) + 1 : 0, of_part = 0;
    for (size_t i = 0; i < list->count; i++)
        paths[i] = list->items[i]->path;
    bool near = nearest_word(node->text, paths, list->count) != NULL;
    for (size_t i = 0; part && !near && i < list->count; i++)
        if (strncmp(list->items[i]->path, node->text, part) == 0)
            paths[of_part++] = list->items[i]->path;
    Text hint = {0};
    add_known_names(&hint, node->text, paths, of_part ? of_part : list->count);
    style_error(reader, node, "there is no %s %s%s", subject_name(subject), quoted(node->text).text,
                text_string(&hint));
    text_free(&hint);
}

Record *style_named(const StyleReader *reader, Subject subject, const YamlNode *node)
{
    const RecordList *list = &reader->style->lists[subject];
    const char *what = subject_name(subject);
    if (!scalar_holds(node)) {
        const char *accepts = arena_printf(reader->context.arena, "the name of a %s", what);
        scalar_check(&reader->context, node, what, accepts);
        return NULL;
    }
    Record *found = record_find(list, node->text);
    if (found)
        return found;
    if (style_full(reader, node)) {
        style_error(reader, node, "there is no such %s", what);
        return NULL;
    }
    if (subject == SUBJECT_EDGE && !strchr(node->text, '.'))
        not_an_edge(reader, node);
    else
        not_there(reader, subject, node);
    return NULL;
}

/* ---- The records that every style has one of ---- */

static const char *const root_keys[] = {
    "cordwain",   "lengths", "last",  "sizes", "bottom", "drawing", "sheets",      "materials",
    "colourways", "parts",   "holes", "seams", "order",  "keeps",   "alternatives"};

static void read_head(StyleReader *reader)
{
    Style *style = reader->style;
    Arena *arena = reader->context.arena;
    const YamlNode *code = yaml_get(reader->root, "code");
    const char *path = code && code->kind == YAML_SCALAR && code->length ? code->text : "style";
    Record *record = record_new(arena, &style->lists[SUBJECT_STYLE], SUBJECT_STYLE, path, path,
                                reader->root, NULL, NULL);
    record_read(&reader->context, record, reader->root, root_keys,
                sizeof root_keys / sizeof root_keys[0]);
    style->name = record_value(record, STYLE_NAME)->text;
    style->code = record_value(record, STYLE_CODE)->text;
}

/* A record that is there whether or not the file says anything of it. */
static void read_single(StyleReader *reader, Subject subject)
{
    Style *style = reader->style;
    const char *name = subject_name(subject);
    const YamlNode *node = yaml_get(reader->root, name);
    const char *path = style->lists[SUBJECT_STYLE].items[0]->path;
    Record *record = record_new(reader->context.arena, &style->lists[subject], subject, path, path,
                                node, yaml_key(reader->root, name), NULL);
    if (node)
        style_fill(reader, record, NULL, 0);
}

static void read_alternatives(StyleReader *reader)
{
    Style *style = reader->style;
    const YamlNode *all = style_section(reader, "alternatives");
    if (!all)
        return;
    style->alternatives = ARENA_NEW(reader->context.arena, Alternative, all->count);
    for (size_t i = 0; i < all->count; i++) {
        if (!id_check(&reader->context, all->keys[i]))
            continue;
        if (strcmp(all->keys[i]->text, "as-written") == 0)
            style_error(reader, all->keys[i],
                        "as-written is the file without changes; choose another name");
        style->alternatives[style->alternative_count++] =
            (Alternative){all->keys[i]->text, all->items[i]};
    }
}

static void read_records(StyleReader *reader)
{
    read_head(reader);
    read_single(reader, SUBJECT_LAST);
    read_single(reader, SUBJECT_BOTTOM);
    style_read_sizes(reader);
    style_read_materials(reader);
    style_read_colourways(reader);
    style_read_parts(reader);
    style_read_sheets(reader);
    style_read_drawn(reader);
    style_read_holes(reader);
    style_read_seams(reader);
    style_read_plan(reader);
    read_alternatives(reader);
}

/* ---- From tree to style ---- */

static YamlNode *patched_tree(Style *style, const char *alternative, const Patch *patches,
                              size_t count, Messages *messages)
{
    Arena *arena = &style->arena;
    Patch *chosen;
    size_t chosen_count;
    if (!patch_alternative(arena, style->file->root, alternative, &chosen, &chosen_count, messages))
        return NULL;
    YamlNode *tree = patch_tree(arena, style->file->root, chosen, chosen_count, messages);
    return tree ? patch_tree(arena, tree, patches, count, messages) : NULL;
}

static bool build(Style *style, StyleShelf *shelf, const char *alternative, const Patch *patches,
                  size_t count, Messages *messages)
{
    size_t before = messages->errors;
    StyleReader reader = {
        .context = {&style->arena, messages, NULL, shelf->recall}, .style = style, .shelf = shelf};
    if (!file_head(&reader.context, style->file, "style"))
        return false;
    YamlNode *tree = patched_tree(style, alternative, patches, count, messages);
    if (!tree)
        return false;
    reader.written = tree;
    style->tree = reader.root = patch_mirrors(&style->arena, tree, messages);
    style->alternative = NULL;
    if (alternative && strcmp(alternative, "as-written") != 0)
        style->alternative = arena_copy(&style->arena, alternative, strlen(alternative));
    read_records(&reader);
    return messages->errors == before;
}

static bool same_place(Where a, Where b)
{
    bool same_file = a.file == b.file || (a.file && b.file && strcmp(a.file, b.file) == 0);
    return same_file && a.line == b.line && a.column == b.column;
}

static bool is_known(const Messages *messages, const Message *message)
{
    for (size_t i = 0; i < messages->count; i++)
        if (same_place(messages->items[i].at, message->at) &&
            strcmp(messages->items[i].text, message->text) == 0)
            return true;
    return false;
}

/* Hands on the messages that are not there yet; errors past the most that are
 * kept are only counted. */
static void add_messages(Messages *messages, const Messages *more)
{
    size_t kept = 0;
    for (size_t i = 0; i < more->count; i++) {
        const Message *message = &more->items[i];
        kept += message->level == MESSAGE_ERROR;
        if (is_known(messages, message))
            continue;
        if (message->level == MESSAGE_NOTICE)
            message_notice(messages, message->at, "%s", message->text);
        else
            message_error_two(messages, message->at, message->other, "%s", message->text);
    }
    messages->errors += more->errors - kept;
}

/* A value that a mirrored part shares, or that several alternatives keep, is
 * read more than once and complained of once. */
static bool build_once_told(Style *style, StyleShelf *shelf, const char *alternative,
                            const Patch *patches, size_t count, Messages *messages)
{
    Messages found = {0};
    bool good = build(style, shelf, alternative, patches, count, &found);
    add_messages(messages, &found);
    messages_free(&found);
    return good;
}

static bool check_build(const YamlFile *file, StyleShelf *shelf, const char *name,
                        Messages *messages)
{
    Style other = {.file = (YamlFile *)file};
    bool good = build_once_told(&other, shelf, name, NULL, 0, messages);
    arena_free(&other.arena);
    return good;
}

/* A mistake in an alternative is a mistake of the file, whether or not that
 * alternative is the one asked for; so is one in the style as written. */
static bool check_others(const YamlFile *file, StyleShelf *shelf, const char *chosen,
                         Messages *messages)
{
    const YamlNode *all = yaml_get(file->root, "alternatives");
    bool good = true;
    if (chosen && strcmp(chosen, "as-written") != 0)
        good = check_build(file, shelf, NULL, messages);
    for (size_t i = 0; all && all->kind == YAML_MAPPING && i < all->count; i++)
        if (!chosen || strcmp(chosen, all->keys[i]->text) != 0)
            good = check_build(file, shelf, all->keys[i]->text, messages) && good;
    return good;
}

/* Each alternative is read as a style of its own. */
static bool few_alternatives(const YamlFile *file, Messages *messages)
{
    const YamlNode *all = yaml_get(file->root, "alternatives");
    if (!all || all->kind != YAML_MAPPING || all->count <= ALTERNATIVES_MOST)
        return true;
    message_error(messages, yaml_where(all->keys[ALTERNATIVES_MOST]),
                  "%zu alternatives are given; at most %d are taken", all->count,
                  (int)ALTERNATIVES_MOST);
    return false;
}

/* Edits lie over one alternative, and need not fit the others. */
static bool read_style(Style *style, StyleShelf *shelf, const char *alternative,
                       const Patch *patches, size_t patch_count, Messages *messages)
{
    if (!few_alternatives(style->file, messages))
        return false;
    style_shelf_begin(shelf, &style->arena);
    size_t said = messages->count;
    bool good = build_once_told(style, shelf, alternative, patches, patch_count, messages);
    if (patch_count == 0 && shelf->sound != style->file) {
        good = check_others(style->file, shelf, alternative, messages) && good;
        if (good && messages->count == said)
            shelf->sound = style->file;
    }
    style_shelf_end(shelf);
    return good;
}

Style *style_read(const char *path, const char *alternative, const Patch *patches,
                  size_t patch_count, Messages *messages)
{
    Style *style = memory_new(1, sizeof *style);
    style->file = yaml_read(&style->arena, path, false, messages);
    if (style->file &&
        read_style(style, style_shelf(&style->arena), alternative, patches, patch_count, messages))
        return style;
    style_free(style);
    return NULL;
}

static Style *read_tree(StyleShelf *shelf, YamlFile *file, const char *alternative,
                        const Patch *patches, size_t patch_count, Messages *messages)
{
    Style *style = memory_new(1, sizeof *style);
    style->file = file;
    if (read_style(style, shelf ? shelf : style_shelf(&style->arena), alternative, patches,
                   patch_count, messages))
        return style;
    style_free(style);
    return NULL;
}

Style *style_from_tree(YamlFile *file, const char *alternative, const Patch *patches,
                       size_t patch_count, Messages *messages)
{
    return read_tree(NULL, file, alternative, patches, patch_count, messages);
}

Style *style_from_shelf(StyleShelf *shelf, YamlFile *file, const char *alternative,
                        const Patch *patches, size_t patch_count, Messages *messages)
{
    return read_tree(shelf, file, alternative, patches, patch_count, messages);
}

void style_free(Style *style)
{
    if (!style)
        return;
    arena_free(&style->arena);
    free(style);
}

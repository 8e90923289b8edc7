/* Materials, parts, edges, bends and holes of a style. For the style's reader. */
#include <string.h>

#include "style/style_inside.h"

void style_read_materials(StyleReader *reader)
{
    const YamlNode *section = style_section(reader, "materials");
    for (size_t i = 0; section && i < section->count; i++) {
        const YamlNode *key = section->keys[i];
        if (!id_check(&reader->context, key))
            continue;
        Record *record =
            record_new(reader->context.arena, &reader->style->lists[SUBJECT_MATERIAL],
                       SUBJECT_MATERIAL, key->text, key->text, section->items[i], key, NULL);
        style_fill(reader, record, NULL, 0);
    }
}

/* ---- Edges and bends ---- */

static Record *add_bend(StyleReader *reader, Record *edge, const char *id, const YamlNode *node)
{
    const char *path = arena_printf(reader->context.arena, "%s.%s", edge->path, id);
    return record_new(reader->context.arena, &reader->style->lists[SUBJECT_BEND], SUBJECT_BEND, id,
                      path, node, NULL, edge);
}

/* Stands for bends that nobody has given: there may be any. */
static void add_unknown_bend(StyleReader *reader, Record *edge, const YamlNode *node)
{
    Record *bend = add_bend(reader, edge, "unknown", node ? node : edge->node);
    record_unknown(bend, node);
    bend->placeholder = true;
}

/* A fold line is no edge: the part goes on there. */
static bool is_fold_line(const Record *edge)
{
    const Value *finish = record_value(edge, EDGE_FINISH);
    return finish->presence == VALUE_KNOWN &&
           finish->code ==
               word_index(field_at(EDGE_FINISH)->words, "fold-line", strlen("fold-line"));
}

/* A place that is typed along an edge lies on it. Both are of the base size. */
static void check_along(StyleReader *reader, const Record *record, FieldId id, const Record *edge)
{
    const Value *at = record_value(record, id);
    const Value *length = edge ? record_value(edge, EDGE_LENGTH) : NULL;
    if (!length || length->presence != VALUE_KNOWN || at->presence != VALUE_KNOWN ||
        !(at->quantity.lo > length->quantity.hi))
        return;
    Text place = {0}, end = {0};
    QuantityForm form = field_form(field_at(id));
    quantity_write(&place, &at->quantity, &form);
    quantity_write(&end, &length->quantity, &form);
    message_error_two(reader->context.messages, yaml_where(at->node), yaml_where(length->node),
                      "%s is %s, past the end of the edge, which is %s long", field_at(id)->name,
                      text_string(&place), text_string(&end));
    text_free(&place);
    text_free(&end);
}

static void read_bends(StyleReader *reader, Record *edge)
{
    const YamlNode *bends = yaml_get(edge->node, "bends");
    if (!bends && is_fold_line(edge))
        return;
    if (!bends || yaml_is_word(bends, "unknown")) {
        add_unknown_bend(reader, edge, bends);
        return;
    }
    if (bends->kind != YAML_SEQUENCE) {
        style_error(
            reader, bends,
            "bends is a list such as [{curve: inward, radius: 8 mm, turn: 90 deg}]; write [] "
            "where there are none, or unknown");
        return;
    }
    for (size_t i = 0; i < bends->count; i++) {
        const char *id = arena_printf(reader->context.arena, "%zu", i + 1);
        Record *bend = add_bend(reader, edge, id, bends->items[i]);
        if (style_fill(reader, bend, NULL, 0))
            check_along(reader, bend, BEND_AT, edge);
    }
}

static void read_edge(StyleReader *reader, Record *part, const YamlNode *key, const YamlNode *node)
{
    static const char *const extra[] = {"bends"};
    if (!id_check(&reader->context, key))
        return;
    const char *path = arena_printf(reader->context.arena, "%s.%s", part->path, key->text);
    Record *edge = record_new(reader->context.arena, &reader->style->lists[SUBJECT_EDGE],
                              SUBJECT_EDGE, key->text, path, node, key, part);
    if (style_fill(reader, edge, extra, 1))
        read_bends(reader, edge);
    else if (edge->placeholder)
        add_unknown_bend(reader, edge, node);
}

/* ---- Parts ---- */

/* `along` is an edge that a tape follows, or the way the material lies (x, y,
 * an angle), which only the stretch of drawn parts will ask for. */
static void read_along(StyleReader *reader, Record *part)
{
    const YamlNode *along = yaml_get(part->node, "along");
    if (along && !style_is_axis(along))
        value_read(&reader->context, field_at(PART_ALONG), along, record_value(part, PART_ALONG));
}

static void read_part(StyleReader *reader, const YamlNode *key, const YamlNode *node)
{
    static const char *const extra[] = {"edges", "backs", "inset", "along"};
    if (!id_check(&reader->context, key))
        return;
    Record *part = record_new(reader->context.arena, &reader->style->lists[SUBJECT_PART],
                              SUBJECT_PART, key->text, key->text, node, key, NULL);
    if (!style_fill(reader, part, extra, sizeof extra / sizeof extra[0]))
        return;
    read_along(reader, part);
    const YamlNode *edges = yaml_get(node, "edges");
    if (!edges || !mapping_check(&reader->context, edges, "edges"))
        return;
    for (size_t i = 0; i < edges->count; i++)
        read_edge(reader, part, edges->keys[i], edges->items[i]);
}

static void resolve(StyleReader *reader, Record *record, FieldId id)
{
    Value *value = record_value(record, id);
    if (value->presence == VALUE_KNOWN)
        value->record = style_named(reader, field_at(id)->refers, value->node);
}

/* ---- What a part backs ---- */

static void add_backed(StyleReader *reader, Backing *backing, const YamlNode *node)
{
    Record *backed = style_named(reader, SUBJECT_PART, node);
    if (backed == backing->part)
        style_error(reader, node, "%s cannot back itself", backed->path);
    else if (backed)
        backing->backed[backing->backed_count++] = backed;
}

static void read_backs(StyleReader *reader, Backing *backing, const YamlNode *backs)
{
    size_t room = backs->kind == YAML_SEQUENCE ? backs->count : 1;
    backing->backed = ARENA_NEW(reader->context.arena, Record *, room);
    backing->backed_unknown = yaml_is_word(backs, "unknown");
    if (backing->backed_unknown)
        return;
    if (backs->kind == YAML_SEQUENCE)
        for (size_t i = 0; i < backs->count; i++)
            add_backed(reader, backing, backs->items[i]);
    else
        add_backed(reader, backing, backs);
}

static bool backs_edge(const StyleReader *reader, const Backing *backing, const char *edge)
{
    for (size_t i = 0; i < backing->backed_count; i++) {
        Text path = {0};
        text_addf(&path, "%s.%s", backing->backed[i]->path, edge);
        bool found = record_find(&reader->style->lists[SUBJECT_EDGE], text_string(&path)) != NULL;
        text_free(&path);
        if (found)
            return true;
    }
    return backing->backed_unknown;
}

static void report_backed_edge(StyleReader *reader, const Backing *backing, const YamlNode *key)
{
    const RecordList *edges = &reader->style->lists[SUBJECT_EDGE];
    const char **names = ARENA_NEW(reader->context.arena, const char *, edges->count);
    size_t count = 0;
    for (size_t i = 0; i < edges->count; i++)
        for (size_t k = 0; k < backing->backed_count; k++)
            if (edges->items[i]->owner == backing->backed[k])
                names[count++] = edges->items[i]->id;
    Text hint = {0};
    add_known_names(&hint, key->text, names, count);
    style_error(reader, key, "no part that %s backs has an edge %s%s", backing->part->path,
                key->text, text_string(&hint));
    text_free(&hint);
}

static void read_inset(StyleReader *reader, Backing *backing, const YamlNode *key,
                       const YamlNode *node)
{
    QuantityForm form = {.dimension = DIMENSION_LENGTH, .shown = unit_find("mm", 2)};
    Inset *inset = &backing->insets[backing->inset_count];
    if (key && !backs_edge(reader, backing, key->text)) {
        report_backed_edge(reader, backing, key);
        return;
    }
    inset->edge = key ? key->text : NULL;
    if (value_read_quantity(&reader->context, "inset", "a length such as 3 mm", &form, node,
                            &inset->amount))
        backing->inset_count++;
}

static void read_backing(StyleReader *reader, Record *part)
{
    const YamlNode *backs = yaml_get(part->node, "backs"), *inset = yaml_get(part->node, "inset");
    if (inset && !backs)
        style_error(reader, inset,
                    "inset says where a part stops on what it backs; backs is missing");
    if (!backs)
        return;
    Backing *backing = &reader->style->backings[reader->style->backing_count++];
    backing->part = part;
    read_backs(reader, backing, backs);
    if (!inset)
        return;
    backing->insets =
        ARENA_NEW(reader->context.arena, Inset, inset->kind == YAML_MAPPING ? inset->count : 1);
    if (inset->kind != YAML_MAPPING)
        read_inset(reader, backing, NULL, inset);
    for (size_t i = 0; inset->kind == YAML_MAPPING && i < inset->count; i++)
        read_inset(reader, backing, inset->keys[i], inset->items[i]);
}

void style_read_parts(StyleReader *reader)
{
    Style *style = reader->style;
    const YamlNode *section = style_section(reader, "parts");
    for (size_t i = 0; section && i < section->count; i++)
        read_part(reader, section->keys[i], section->items[i]);
    const RecordList *parts = &style->lists[SUBJECT_PART], *edges = &style->lists[SUBJECT_EDGE];
    style->backings = ARENA_NEW(reader->context.arena, Backing, parts->count);
    for (size_t i = 0; i < parts->count; i++) {
        resolve(reader, parts->items[i], PART_MATERIAL);
        resolve(reader, parts->items[i], PART_ALONG);
        read_backing(reader, parts->items[i]);
    }
    for (size_t i = 0; i < edges->count; i++)
        resolve(reader, edges->items[i], EDGE_BINDING_PART);
}

/* ---- Holes ---- */

void style_read_holes(StyleReader *reader)
{
    const YamlNode *section = style_section(reader, "holes");
    for (size_t i = 0; section && i < section->count; i++) {
        const YamlNode *key = section->keys[i], *node = section->items[i];
        const char *label = arena_printf(reader->context.arena, "hole %s", key->text);
        if (!id_check(&reader->context, key) || !mapping_check(&reader->context, node, label))
            continue;
        Record *hole = record_new(reader->context.arena, &reader->style->lists[SUBJECT_HOLE],
                                  SUBJECT_HOLE, key->text, key->text, node, key, NULL);
        record_read(&reader->context, hole, node, NULL, 0);
        resolve(reader, hole, HOLE_PART);
        resolve(reader, hole, HOLE_ALONG);
        check_along(reader, hole, HOLE_FIRST, record_value(hole, HOLE_ALONG)->record);
    }
}

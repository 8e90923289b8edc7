/* Materials, parts, edges, bends and holes of a style. For the style's reader. */
#include <string.h>

#include "style/style_inside.h"

enum { BACKED_MOST = 100 };

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

bool style_is_fold_line(const Record *edge)
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
    Where line = length->drawn ? *length->drawn : yaml_where(length->node);
    message_error_two(reader->context.messages, yaml_where(at->node), line,
                      "%s is %s, past the end of the edge, which is %s long", field_at(id)->name,
                      text_string(&place), text_string(&end));
    text_free(&place);
    text_free(&end);
}

/* A bend lies on its edge, so its line cannot be longer; a tenth is left to how
 * radius and turn were taken. */
static void check_arc(StyleReader *reader, const Record *bend, const Record *edge)
{
    const Value *radius = record_value(bend, BEND_RADIUS), *turn = record_value(bend, BEND_TURN);
    const Value *length = record_value(edge, EDGE_LENGTH);
    if (radius->presence != VALUE_KNOWN || turn->presence != VALUE_KNOWN ||
        length->presence != VALUE_KNOWN ||
        !(radius->quantity.lo * turn->quantity.lo > length->quantity.hi * 1.1))
        return;
    Text arc = {0};
    text_add_number(&arc, radius->quantity.nominal * turn->quantity.nominal, 4);
    style_error_two(reader, radius->node, length->node,
                    "with this radius and turn the bend is %s mm long, longer than its edge %s",
                    text_string(&arc), edge->path);
    text_free(&arc);
}

static void read_bends(StyleReader *reader, Record *edge)
{
    const YamlNode *bends = yaml_get(edge->node, "bends");
    if (!bends && style_is_fold_line(edge))
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
        if (!style_fill(reader, bend, NULL, 0))
            continue;
        check_along(reader, bend, BEND_AT, edge);
        check_arc(reader, bend, edge);
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

/* A tape is sewn along another part. */
static void check_tape(StyleReader *reader, const Record *part)
{
    const Value *along = record_value(part, PART_ALONG);
    if (along->record && along->record->owner == part)
        style_error_two(reader, along->node, part->key, "%s cannot lie along an edge of itself",
                        part->path);
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
    if (room > BACKED_MOST) {
        style_error(reader, backs, "%s backs %zu parts; at most %d are taken", backing->part->path,
                    room, (int)BACKED_MOST);
        backing->backed_unknown = true; /* so that its insets are not complained of too */
        return;
    }
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
                quoted(key->text).text, text_string(&hint));
    text_free(&hint);
}

static void read_inset(StyleReader *reader, Backing *backing, const YamlNode *key,
                       const YamlNode *node)
{
    QuantityForm form = {.dimension = DIMENSION_LENGTH, .shown = unit_find("mm", 2)};
    Inset *inset = &backing->insets[backing->inset_count];
    if (key && style_full(reader, key))
        return;
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

/* The walk from a part to what it backs, and on to what that backs. */
typedef struct BackingWalk {
    StyleReader *reader;
    const Backing **of; /* by part: what it backs; NULL: nothing */
    size_t *next;       /* by part: which of these comes next */
    bool *open, *done;  /* by part: on the way from the start; left behind */
    const Record **way;
    size_t depth;
} BackingWalk;

static void backing_enter(BackingWalk *walk, const Record *part)
{
    walk->open[part->index] = true;
    walk->way[walk->depth++] = part;
}

/* One step on from the part walked to last, or back from it. */
static void backing_step(BackingWalk *walk)
{
    const Record *part = walk->way[walk->depth - 1];
    const Backing *backing = walk->of[part->index];
    if (!backing || walk->next[part->index] == backing->backed_count) {
        walk->open[part->index] = false;
        walk->done[part->index] = true;
        walk->depth--;
        return;
    }
    const Record *backed = backing->backed[walk->next[part->index]++];
    if (walk->open[backed->index])
        style_error_two(walk->reader, yaml_get(part->node, "backs"),
                        yaml_get(backed->node, "backs"), "%s backs %s, which backs it in turn",
                        part->path, backed->path);
    else if (!walk->done[backed->index])
        backing_enter(walk, backed);
}

/* Parts that back each other in a round lie nowhere. */
static void check_backing_rounds(StyleReader *reader)
{
    const Style *style = reader->style;
    const RecordList *parts = &style->lists[SUBJECT_PART];
    Arena *arena = reader->context.arena;
    BackingWalk walk = {.reader = reader,
                        .of = ARENA_NEW(arena, const Backing *, parts->count),
                        .next = ARENA_NEW(arena, size_t, parts->count),
                        .open = ARENA_NEW(arena, bool, parts->count),
                        .done = ARENA_NEW(arena, bool, parts->count),
                        .way = ARENA_NEW(arena, const Record *, parts->count)};
    for (size_t i = 0; i < style->backing_count; i++)
        walk.of[style->backings[i].part->index] = &style->backings[i];
    for (size_t i = 0; i < parts->count; i++) {
        if (!walk.done[i])
            backing_enter(&walk, parts->items[i]);
        while (walk.depth > 0)
            backing_step(&walk);
    }
}

void style_read_parts(StyleReader *reader)
{
    Style *style = reader->style;
    const YamlNode *section = style_section(reader, "parts");
    if (section ? section->count == 0 : !yaml_get(reader->root, "parts"))
        style_error(reader, section ? section : reader->root, "a style has at least one part");
    for (size_t i = 0; section && i < section->count; i++)
        read_part(reader, section->keys[i], section->items[i]);
    const RecordList *parts = &style->lists[SUBJECT_PART], *edges = &style->lists[SUBJECT_EDGE];
    style->backings = ARENA_NEW(reader->context.arena, Backing, parts->count);
    for (size_t i = 0; i < parts->count; i++) {
        resolve(reader, parts->items[i], PART_MATERIAL);
        resolve(reader, parts->items[i], PART_ALONG);
        check_tape(reader, parts->items[i]);
        read_backing(reader, parts->items[i]);
    }
    check_backing_rounds(reader);
    for (size_t i = 0; i < edges->count; i++)
        resolve(reader, edges->items[i], EDGE_BINDING_PART);
}

/* ---- Holes ---- */

static void check_hole_edge(StyleReader *reader, const Record *hole)
{
    const Value *part = record_value(hole, HOLE_PART), *along = record_value(hole, HOLE_ALONG);
    if (part->record && along->record && along->record->owner != part->record)
        style_error_two(reader, along->node, part->node, "%s is no edge of %s, which is punched",
                        along->record->path, part->record->path);
}

void style_read_holes(StyleReader *reader)
{
    const YamlNode *section = style_section(reader, "holes");
    for (size_t i = 0; section && i < section->count; i++) {
        const YamlNode *key = section->keys[i], *node = section->items[i];
        if (!id_check(&reader->context, key) || !style_mapping(reader, node, "hole", key->text))
            continue;
        Record *hole = record_new(reader->context.arena, &reader->style->lists[SUBJECT_HOLE],
                                  SUBJECT_HOLE, key->text, key->text, node, key, NULL);
        record_read(&reader->context, hole, node, NULL, 0);
        resolve(reader, hole, HOLE_PART);
        resolve(reader, hole, HOLE_ALONG);
        check_hole_edge(reader, hole);
        check_along(reader, hole, HOLE_FIRST, record_value(hole, HOLE_ALONG)->record);
    }
}

/* Where the line of each edge is: beside it, in a drawing, or mirrored from another
 * part. For the style's reader. */
#include <string.h>

#include "style/drawn.h"

/* ---- What drawings hold ---- */

static void unknown_edge(const DrawnReader *d, const DrawnEdge *drawn, const Record *part)
{
    Messages *messages = d->reader->context.messages;
    if (messages_full(messages, drawn->at.file)) {
        message_error(messages, drawn->at, "there is no such edge");
        return;
    }
    size_t from = d->first_edge[part->index], to = d->first_edge[part->index + 1];
    const char **names = ARENA_NEW(d->reader->context.arena, const char *, to - from);
    for (size_t i = from; i < to; i++)
        names[i - from] = drawn_list(d, SUBJECT_EDGE)->items[i]->id;
    Text hint = {0};
    add_known_names(&hint, drawn->edge, names, to - from);
    message_error_two(messages, drawn->at, yaml_where(part->key), "%s has no edge %s%s", part->path,
                      quoted(drawn->edge).text, text_string(&hint));
    text_free(&hint);
}

static void take_drawn(DrawnReader *d, const Drawing *drawing, const DrawnEdge *drawn)
{
    const Record *part = record_find(drawn_list(d, SUBJECT_PART), drawn->part);
    if (!part || part->placeholder || d->drawn_in[part->index] != drawing)
        return;
    Text path = {0};
    text_addf(&path, "%s.%s", drawn->part, drawn->edge);
    const Record *edge = record_find(drawn_list(d, SUBJECT_EDGE), text_string(&path));
    text_free(&path);
    if (edge)
        d->drawn_as[edge->index] = drawn;
    else
        unknown_edge(d, drawn, part);
    d->misnamed[part->index] = d->misnamed[part->index] || !edge;
}

/* A part is taken whole from the last drawing that draws it. */
static void take_drawings(DrawnReader *d)
{
    for (size_t i = 0; i < d->drawing_count; i++)
        for (size_t k = 0; k < d->drawings[i]->count; k++) {
            const Record *part =
                record_find(drawn_list(d, SUBJECT_PART), d->drawings[i]->edges[k].part);
            if (part)
                d->drawn_in[part->index] = d->drawings[i];
        }
    for (size_t i = 0; i < d->drawing_count; i++)
        for (size_t k = 0; k < d->drawings[i]->count; k++)
            take_drawn(d, d->drawings[i], &d->drawings[i]->edges[k]);
}

/* ---- Where each edge's line is ---- */

static void find_mirrors(DrawnReader *d)
{
    const RecordList *parts = drawn_list(d, SUBJECT_PART);
    const YamlNode *written = yaml_get(d->reader->written, "parts");
    for (size_t i = 0; i < parts->count; i++) {
        const YamlNode *mirror = yaml_get(yaml_get(written, parts->items[i]->id), "mirror");
        if (mirror && mirror->kind == YAML_SCALAR)
            d->mirrors[i] = record_find(parts, mirror->text);
    }
}

static void index_edges(DrawnReader *d)
{
    const RecordList *parts = drawn_list(d, SUBJECT_PART), *edges = drawn_list(d, SUBJECT_EDGE);
    size_t edge = 0;
    for (size_t i = 0; i < parts->count; i++) {
        d->first_edge[i] = edge;
        while (edge < edges->count && edges->items[edge]->owner == parts->items[i])
            edge++;
    }
    d->first_edge[parts->count] = edge;
}

/* The edge of the same name of the part that this one's part mirrors. */
static const Record *origin_of(const DrawnReader *d, const Record *edge)
{
    const Record *mirrors = d->mirrors[edge->owner->index];
    if (!mirrors)
        return NULL;
    Text path = {0};
    text_addf(&path, "%s.%s", mirrors->path, edge->id);
    const Record *origin = record_find(drawn_list(d, SUBJECT_EDGE), text_string(&path));
    text_free(&path);
    return origin;
}

static EdgeLine own_line(const DrawnReader *d, const Record *edge, const YamlNode *inherited)
{
    EdgeLine line = {.source.edge = edge};
    const Value *path = record_value(edge, EDGE_PATH);
    const DrawnEdge *drawn = d->drawn_as[edge->index];
    if (path->node && path->node != inherited) {
        line.kind = path->presence == VALUE_KNOWN ? LINE_DRAWN : LINE_UNKNOWN;
        line.source.node = path->node;
        line.source.at = yaml_where(path->node);
    } else if (edge->placeholder) {
        line.kind = LINE_UNKNOWN;
        line.source.at = yaml_where(edge->key);
    } else if (drawn) {
        line.kind = LINE_DRAWN;
        line.source.drawn = drawn;
        line.source.at = drawn->at;
    }
    return line;
}

static void find_line(DrawnReader *d, const Record *edge)
{
    const Record *origin = origin_of(d, edge);
    const YamlNode *inherited = origin ? record_value(origin, EDGE_PATH)->node : NULL;
    EdgeLine line = own_line(d, edge, inherited);
    if (origin && line.kind == LINE_TYPED && !d->drawn_in[edge->owner->index]) {
        line = own_line(d, origin, NULL);
        line.origin = origin;
        line.source.edge = edge;
        line.source.mirrored = true;
    }
    const YamlNode *bends = yaml_get(edge->node, "bends");
    const YamlNode *length = yaml_get(edge->node, "length");
    line.bends_for_origin = origin && bends && bends == yaml_get(origin->node, "bends");
    line.length_for_origin = origin && length && length == yaml_get(origin->node, "length");
    line.source.fold = style_is_fold_line(edge);
    d->lines[edge->index] = line;
}

/* A part with a line that is unknown has an outline, but nobody knows it yet. */
static void mark_unknown(DrawnReader *d, const Record *part)
{
    size_t from = d->first_edge[part->index], to = d->first_edge[part->index + 1];
    bool drawn = false, unknown = false, path = false;
    for (size_t i = from; i < to; i++) {
        const EdgeLine *line = &d->lines[i];
        drawn = drawn || line->kind == LINE_DRAWN;
        unknown = unknown || line->kind == LINE_UNKNOWN;
        path = path || (line->kind == LINE_UNKNOWN && line->source.node);
    }
    bool no_drawing = yaml_is_word(yaml_get(d->reader->root, "drawing"), "unknown");
    for (size_t i = from; i < to; i++)
        d->reader->style->lines[i].unknown =
            path || (drawn && unknown) || (no_drawing && d->lines[i].kind == LINE_TYPED);
}

bool drawn_only_mirrors(const DrawnReader *d, const Record *part)
{
    const Record *mirrors = d->mirrors[part->index];
    if (!mirrors || d->first_edge[mirrors->index + 1] - d->first_edge[mirrors->index] !=
                        d->first_edge[part->index + 1] - d->first_edge[part->index])
        return false;
    for (size_t i = d->first_edge[part->index]; i < d->first_edge[part->index + 1]; i++)
        if (d->lines[i].kind != LINE_TYPED && !d->lines[i].origin)
            return false;
    return true;
}

/* ---- All of it ---- */

void drawn_find_lines(DrawnReader *d)
{
    const RecordList *parts = drawn_list(d, SUBJECT_PART), *edges = drawn_list(d, SUBJECT_EDGE);
    Arena *arena = d->reader->context.arena;
    d->drawn_in = ARENA_NEW(arena, const Drawing *, parts->count);
    d->misnamed = ARENA_NEW(arena, bool, parts->count);
    d->drawn_as = ARENA_NEW(arena, const DrawnEdge *, edges->count);
    d->mirrors = ARENA_NEW(arena, const Record *, parts->count);
    d->first_edge = ARENA_NEW(arena, size_t, parts->count + 1);
    d->lines = ARENA_NEW(arena, EdgeLine, edges->count);
    d->drawing_count = style_drawings(d->reader, &d->drawings);
    index_edges(d);
    find_mirrors(d);
    take_drawings(d);
    for (size_t i = 0; i < edges->count; i++)
        find_line(d, edges->items[i]);
    for (size_t i = 0; i < parts->count; i++)
        mark_unknown(d, parts->items[i]);
}

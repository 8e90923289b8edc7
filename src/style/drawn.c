/* Drawn lines of a style: parts that are drawn whole get their outline. For the
 * style's reader. */
#include "style/drawn.h"

static void say_drawn_in_part(const DrawnReader *d, const Record *part, const EdgeLine *drawn)
{
    enum { NAMED_MOST = 8 };
    const Record *first = NULL;
    size_t count = 0;
    Text names = {0};
    for (size_t i = d->first_edge[part->index]; i < d->first_edge[part->index + 1]; i++) {
        const Record *edge = d->lines[i].source.edge;
        if (d->lines[i].kind != LINE_TYPED)
            continue;
        first = first ? first : edge;
        if (count++ < NAMED_MOST)
            text_addf(&names, "%s%s", count > 1 ? ", " : "", edge->id);
    }
    if (count > NAMED_MOST)
        text_addf(&names, " and %zu more", count - NAMED_MOST);
    message_error_two(d->reader->context.messages, drawn->source.at, yaml_where(first->key),
                      "%s is drawn in part, without %s; the edges of a part close one outline: "
                      "draw all of them, or give those path: unknown",
                      part->path, text_string(&names));
    text_free(&names);
}

/* Has the part an outline? It is drawn whole or not at all. */
static bool drawn_whole(const DrawnReader *d, const Record *part)
{
    size_t count[LINE_KINDS] = {0}, from = d->first_edge[part->index],
           to = d->first_edge[part->index + 1];
    const EdgeLine *first[LINE_KINDS] = {0};
    for (size_t i = from; i < to; i++) {
        LineKind kind = d->lines[i].kind;
        if (count[kind]++ == 0)
            first[kind] = &d->lines[i];
    }
    if (count[LINE_DRAWN] == 0 || count[LINE_DRAWN] == to - from)
        return count[LINE_DRAWN] > 0;
    for (size_t i = from; i < to; i++)
        if (d->lines[i].kind == LINE_DRAWN)
            style_check_line(d->reader, &d->lines[i].source);
    if (count[LINE_UNKNOWN] > 0)
        message_notice(d->reader->context.messages, first[LINE_UNKNOWN]->source.at,
                       "%s has no outline while the line of %s is unknown: none of its lines is "
                       "measured",
                       part->path, first[LINE_UNKNOWN]->source.edge->path);
    else if (!d->misnamed[part->index])
        say_drawn_in_part(d, part, first[LINE_DRAWN]);
    return false;
}

static void add_drawn(DrawnReader *d, Record *part, const MeasuredPart *measured)
{
    Style *style = d->reader->style;
    const Sheet *sheet = style_sheet(style, part);
    DrawnPart *drawn = &style->drawn[style->drawn_count++];
    const EdgeLine *lines = &d->lines[d->first_edge[part->index]];
    *drawn = (DrawnPart){.part = part, .outline = measured->outline, .sheet = sheet};
    drawn->edges = ARENA_NEW(d->reader->context.arena, Record *, measured->count);
    for (size_t i = 0; i < measured->count; i++) {
        const EdgeLine *line = &lines[measured->outline.edges[i].given];
        Record *edge = drawn_list(d, SUBJECT_EDGE)->items[line->source.edge->index];
        drawn->edges[i] = edge;
        drawn->mirrored = drawn->mirrored || line->source.mirrored;
        DrawnLine *of_edge = &style->lines[edge->index];
        of_edge->part = drawn;
        of_edge->place = i;
        of_edge->at = line->source.at;
        of_edge->mirrored = line->source.mirrored;
    }
    if (!drawn->mirrored || !sheet || sheet->along_known)
        return;
    drawn->sheet = NULL;
    message_notice(d->reader->context.messages, yaml_where(sheet->node),
                   "along of sheet %s is not known: where parts mirrored onto it lie is unknown",
                   sheet->name);
}

/* What mirrored lines of the part are mirrored about. */
static double axis_of(const DrawnReader *d, const Record *part, const LineSource *sources,
                      size_t count)
{
    const Sheet *sheet = style_sheet(d->reader->style, part);
    bool mirrored = false;
    for (size_t i = 0; i < count; i++)
        mirrored = mirrored || sources[i].mirrored;
    return mirrored && sheet && sheet->along_known ? sheet->along : 0;
}

static void measure_part(DrawnReader *d, Record *part)
{
    size_t from = d->first_edge[part->index], count = d->first_edge[part->index + 1] - from;
    const Record *mirrors = d->mirrors[part->index];
    if (count == 0 ||
        (drawn_only_mirrors(d, part) && !d->lines[d->first_edge[mirrors->index]].measured) ||
        !drawn_whole(d, part))
        return;
    LineSource *sources = ARENA_NEW(d->reader->context.arena, LineSource, count);
    for (size_t i = 0; i < count; i++)
        sources[i] = d->lines[from + i].source;
    const MeasuredPart *measured =
        style_measure(d->reader, sources, count, axis_of(d, part, sources, count));
    if (!measured->good)
        return;
    for (size_t i = 0; i < count; i++)
        d->lines[from + i].measured = measured;
    add_drawn(d, part, measured);
}

/* What mirrors another part comes after it. */
static void measure_parts(DrawnReader *d)
{
    const RecordList *parts = drawn_list(d, SUBJECT_PART);
    for (int mirrored = 0; mirrored < 2; mirrored++)
        for (size_t i = 0; i < parts->count; i++)
            if ((d->mirrors[i] != NULL) == (mirrored == 1))
                measure_part(d, parts->items[i]);
}

void style_read_drawn(StyleReader *reader)
{
    Style *style = reader->style;
    Arena *arena = reader->context.arena;
    size_t parts = style->lists[SUBJECT_PART].count, edges = style->lists[SUBJECT_EDGE].count;
    style->drawn = ARENA_NEW(arena, DrawnPart, parts);
    style->lines = ARENA_NEW(arena, DrawnLine, edges);
    style->typed_narrowest = ARENA_NEW(arena, const Value *, parts);
    DrawnReader d = {.reader = reader};
    drawn_find_lines(&d);
    measure_parts(&d);
    drawn_replace_values(&d);
}

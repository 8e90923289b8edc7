/* Seams of a style: what they join, their rows and typed spots. For the style's
 * reader. */
#include <math.h>
#include <string.h>

#include "style/style_inside.h"

enum { SIDES_MOST = 32 };

/* ---- Sides ---- */

/* Marks the record as met in this seam; false after a message if it was before. */
static bool met_first(StyleReader *reader, StyleMark *marks, const Record *record,
                      const YamlNode *node)
{
    StyleMark *mark = &marks[record->index];
    bool first = mark->stamp != reader->stamp;
    if (!first)
        style_error_two(reader, node, mark->node, "%s stands twice in this seam", record->path);
    *mark = (StyleMark){reader->stamp, node};
    return first;
}

static bool add_edge(StyleReader *reader, SeamSide *side, const YamlNode *node)
{
    Record *edge = style_named(reader, SUBJECT_EDGE, node);
    if (!edge || !met_first(reader, reader->edges, edge, node))
        return false;
    side->edges[side->count++] = edge;
    return true;
}

/* A part is named by one word; one that is no part but an edge of some part, or
 * that holds blanks, was meant as an edge. */
static bool names_part(const StyleReader *reader, const YamlNode *node)
{
    if (node->kind != YAML_SCALAR || node->length == 0 || strchr(node->text, '.'))
        return false;
    const RecordList *edges = &reader->style->lists[SUBJECT_EDGE];
    bool part = record_find(&reader->style->lists[SUBJECT_PART], node->text) != NULL;
    if (!part && style_full(reader, node))
        return true;
    for (size_t i = 0; !part && i < edges->count; i++)
        if (strcmp(edges->items[i]->id, node->text) == 0)
            return false;
    return part || !strchr(node->text, ' ');
}

/* One side: an edge, a chain of edges, or a part that an overlay ends on. */
static void read_side(StyleReader *reader, SeamSide *side, const YamlNode *node)
{
    side->node = node;
    if (node->kind == YAML_SEQUENCE) {
        side->edges = ARENA_NEW(reader->context.arena, Record *, node->count);
        for (size_t i = 0; i < node->count; i++)
            add_edge(reader, side, node->items[i]);
        if (node->count == 0)
            style_error(reader, node, "this side of the seam has no edge");
        return;
    }
    if (yaml_is_word(node, "unknown")) {
        style_error(reader, node,
                    "what a seam joins cannot be unknown; name edges, or leave the seam out");
        return;
    }
    if (names_part(reader, node)) {
        side->bare = style_named(reader, SUBJECT_PART, node);
        if (side->bare)
            met_first(reader, reader->parts, side->bare, node);
        return;
    }
    side->edges = ARENA_NEW(reader->context.arena, Record *, 1);
    add_edge(reader, side, node);
}

static int join_of(const Record *seam)
{
    const Value *join = record_value(seam, SEAM_JOIN);
    return join->presence == VALUE_KNOWN ? (int)join->code : -1;
}

static bool join_is(const Record *seam, const char *word)
{
    return join_of(seam) == word_index(field_at(SEAM_JOIN)->words, word, strlen(word));
}

static void read_sides(StyleReader *reader, Seam *seam)
{
    const YamlNode *node = yaml_get(seam->record->node, "edges");
    if (!node || node->kind != YAML_SEQUENCE) {
        style_error(reader, node ? node : seam->record->node,
                    "seam %s needs edges: a list such as [vamp.throat, lining.top]",
                    seam->record->path);
        return;
    }
    if (node->count > SIDES_MOST) {
        style_error(reader, node, "seam %s joins %zu; at most %d sides are taken",
                    seam->record->path, node->count, (int)SIDES_MOST);
        return;
    }
    reader->stamp++;
    seam->sides = ARENA_NEW(reader->context.arena, SeamSide, node->count);
    seam->side_count = node->count;
    for (size_t i = 0; i < node->count; i++)
        read_side(reader, &seam->sides[i], node->items[i]);
    /* Binding runs along one edge; while the join is unknown it may be that. */
    size_t least = join_of(seam->record) < 0 || join_is(seam->record, "bound") ? 1 : 2;
    if (node->count < least)
        style_error(reader, node,
                    "seam %s joins %zu, at least %zu are due; an edge sewn down in the middle of a "
                    "part names that part as its second",
                    seam->record->path, node->count, least);
}

/* ---- Rows ---- */

static Record *add_row(StyleReader *reader, Seam *seam, const char *id, const YamlNode *node)
{
    Arena *arena = reader->context.arena;
    const char *path = arena_printf(arena, "%s.%s", seam->record->path, id);
    Record *row = record_new(arena, &reader->style->lists[SUBJECT_ROW], SUBJECT_ROW, id, path, node,
                             NULL, seam->record);
    *ARENA_PUSH(arena, seam->rows.items, seam->rows.count, seam->rows.capacity) = row;
    return row;
}

/* Stands for rows that nobody has given: a stitched seam has at least one. */
static void add_unknown_row(StyleReader *reader, Seam *seam, const YamlNode *node)
{
    Record *row = add_row(reader, seam, "unknown", node ? node : seam->record->node);
    record_unknown(row, node);
    row->placeholder = true;
}

/* Sewn; a join that is not known may be without rows. */
static bool needs_rows(const Record *seam)
{
    return join_of(seam) >= 0 && !join_is(seam, "welded") && !join_is(seam, "cemented");
}

static void read_rows(StyleReader *reader, Seam *seam)
{
    const YamlNode *rows = yaml_get(seam->record->node, "rows");
    if (!rows && !needs_rows(seam->record) && join_of(seam->record) >= 0)
        return;
    if (!rows || yaml_is_word(rows, "unknown")) {
        add_unknown_row(reader, seam, rows);
        return;
    }
    if (rows->kind != YAML_SEQUENCE) {
        style_error(
            reader, rows,
            "rows is a list such as [{does: seam, from_edge: 4 mm, stitch: 301, pitch: 2.5 mm}]");
        return;
    }
    if (rows->count == 0 && needs_rows(seam->record))
        style_error(reader, rows, "rows is empty; name the rows, or write unknown");
    for (size_t i = 0; i < rows->count; i++) {
        const char *id = arena_printf(reader->context.arena, "%zu", i + 1);
        style_fill(reader, add_row(reader, seam, id, rows->items[i]), NULL, 0);
    }
}

/* ---- Typed spots ---- */

static void read_ply(StyleReader *reader, TypedPly *ply, const YamlNode *node)
{
    static const char *const known[] = {"part", "times"};
    const YamlNode *part = node;
    ply->node = node;
    if (node->kind == YAML_MAPPING) {
        part = yaml_get(node, "part");
        for (size_t i = 0; i < node->count; i++)
            if (strcmp(node->keys[i]->text, "times") == 0)
                value_read(&reader->context, field_at(PLY_TIMES), node->items[i], &ply->times);
            else if (strcmp(node->keys[i]->text, "part") != 0)
                key_unknown(&reader->context, node->keys[i], known, 2);
        if (!part)
            style_error(reader, node, "this ply names no part; write {part: tongue, times: 2}");
    }
    if (part && !yaml_is_word(part, "unknown"))
        ply->part = style_named(reader, SUBJECT_PART, part);
}

static void read_plies(StyleReader *reader, TypedSpot *spot)
{
    const YamlNode *plies = yaml_get(spot->spot->node, "plies");
    spot->plies_unknown = !plies || yaml_is_word(plies, "unknown");
    if (spot->plies_unknown)
        return;
    if (plies->kind != YAML_SEQUENCE) {
        style_error(reader, plies,
                    "plies is a list of parts such as [quarter, {part: tongue, times: 2}]");
        return;
    }
    if (plies->count == 0)
        style_error(reader, plies, "plies is empty; name the plies, or write unknown");
    spot->plies = ARENA_NEW(reader->context.arena, TypedPly, plies->count);
    spot->ply_count = plies->count;
    for (size_t i = 0; i < plies->count; i++)
        read_ply(reader, &spot->plies[i], plies->items[i]);
}

static void read_spot(StyleReader *reader, Seam *seam, const char *id, const YamlNode *node)
{
    static const char *const extra[] = {"plies"};
    Arena *arena = reader->context.arena;
    const char *path = arena_printf(arena, "%s.%s", seam->record->path, id);
    TypedSpot *spot = &seam->spots[seam->spot_count++];
    spot->spot = record_new(arena, &reader->style->lists[SUBJECT_SPOT], SUBJECT_SPOT, id, path,
                            node, NULL, seam->record);
    if (style_fill(reader, spot->spot, extra, 1))
        read_plies(reader, spot);
    else
        spot->plies_unknown = true;
}

static void read_spots(StyleReader *reader, Seam *seam)
{
    const YamlNode *spots = yaml_get(seam->record->node, "spots");
    if (!spots)
        return;
    seam->spots_given = true;
    bool unknown = yaml_is_word(spots, "unknown");
    if (!unknown && spots->kind != YAML_SEQUENCE) {
        style_error(reader, spots,
                    "spots is a list such as [{at: 40 mm, plies: [quarter, lining]}]");
        return;
    }
    seam->spots = ARENA_NEW(reader->context.arena, TypedSpot, unknown ? 1 : spots->count);
    if (unknown)
        read_spot(reader, seam, "spot-unknown", spots);
    for (size_t i = 0; !unknown && i < spots->count; i++)
        read_spot(reader, seam, arena_printf(reader->context.arena, "spot-%zu", i + 1),
                  spots->items[i]);
}

/* The part of the side, of a chain the first. */
static const Record *side_part(const SeamSide *side)
{
    return side->bare ? side->bare : side->count ? side->edges[0]->owner : NULL;
}

static bool side_marked(const StyleReader *reader, const SeamSide *side)
{
    bool marked = side->bare && reader->parts[side->bare->index].stamp == reader->stamp;
    for (size_t i = 0; !marked && i < side->count; i++)
        marked = reader->parts[side->edges[i]->owner->index].stamp == reader->stamp;
    return marked;
}

/* Where the foot stands on a seam there is something of each of its sides. A
 * ply that is not known may be any part. */
static void check_plies(StyleReader *reader, const Seam *seam, const TypedSpot *spot)
{
    reader->stamp++;
    for (size_t i = 0; i < spot->ply_count; i++) {
        if (!spot->plies[i].part)
            return;
        reader->parts[spot->plies[i].part->index].stamp = reader->stamp;
    }
    for (size_t i = 0; spot->ply_count && i < seam->side_count; i++) {
        const SeamSide *side = &seam->sides[i];
        if (side_part(side) && !side_marked(reader, side))
            style_error_two(reader, yaml_get(spot->spot->node, "plies"), side->node,
                            "%s has no ply of %s, which seam %s joins", spot->spot->path,
                            side_part(side)->path, seam->record->path);
    }
}

/* The longest a side can be; infinite where that is not known. */
static double side_most(const SeamSide *side)
{
    double most = 0;
    for (size_t i = 0; i < side->count; i++) {
        const Value *length = record_value(side->edges[i], EDGE_LENGTH);
        most += length->presence == VALUE_KNOWN ? length->quantity.hi : (double)INFINITY;
    }
    return side->count ? most : (double)INFINITY;
}

static void spot_past_end(const StyleReader *reader, const Value *at, const SeamSide *side,
                          double most)
{
    Text place = {0}, end = {0};
    text_add_number(&place, at->quantity.nominal, 6);
    text_add_number(&end, most, 6);
    style_error_two(reader, at->node, side->node,
                    "at is %s mm, past the end of the seam's first side, which is %s mm long",
                    text_string(&place), text_string(&end));
    text_free(&place);
    text_free(&end);
}

static void check_spots(StyleReader *reader, const Seam *seam)
{
    double most = seam->side_count ? side_most(&seam->sides[0]) : (double)INFINITY;
    for (size_t i = 0; i < seam->spot_count; i++) {
        const TypedSpot *spot = &seam->spots[i];
        const Value *at = record_value(spot->spot, SPOT_AT);
        check_plies(reader, seam, spot);
        if (at->presence == VALUE_KNOWN && at->quantity.lo > most)
            spot_past_end(reader, at, &seam->sides[0], most);
    }
}

/* ---- Ease and match marks ---- */

static const QuantityForm *length_form(QuantityForm *form)
{
    *form = (QuantityForm){.dimension = DIMENSION_LENGTH, .shown = unit_find("mm", 2)};
    return form;
}

static bool joins(const Seam *seam, const Record *edge)
{
    for (size_t i = 0; i < seam->side_count; i++)
        for (size_t k = 0; k < seam->sides[i].count; k++)
            if (seam->sides[i].edges[k] == edge)
                return true;
    return false;
}

static void read_ease(StyleReader *reader, Seam *seam)
{
    const YamlNode *ease = yaml_get(seam->record->node, "ease");
    QuantityForm form;
    seam->ease_unknown = ease && yaml_is_word(ease, "unknown");
    if (!ease || seam->ease_unknown || !mapping_check(&reader->context, ease, "ease"))
        return;
    seam->eases = ARENA_NEW(reader->context.arena, Ease, ease->count);
    for (size_t i = 0; i < ease->count; i++) {
        const Record *edge = style_named(reader, SUBJECT_EDGE, ease->keys[i]);
        if (edge && !joins(seam, edge))
            style_error(reader, ease->keys[i], "seam %s does not join %s", seam->record->path,
                        edge->path);
        Ease *kept = &seam->eases[seam->ease_count++];
        kept->edge = edge;
        value_read_quantity(&reader->context, "ease", "a length such as -2 mm", length_form(&form),
                            ease->items[i], &kept->amount);
    }
}

/* The first that has edges; NULL: none. */
static const SeamSide *first_with_edges(const Seam *seam)
{
    for (size_t i = 0; i < seam->side_count; i++)
        if (seam->sides[i].count > 0)
            return &seam->sides[i];
    return NULL;
}

static void mark_past_end(const StyleReader *reader, const Value *mark, const SeamSide *side,
                          double most)
{
    Text place = {0}, end = {0};
    text_add_number(&place, mark->quantity.nominal, 6);
    text_add_number(&end, most, 6);
    style_error_two(reader, mark->node, side->node,
                    "a match mark at %s mm, past the end of the seam's first side, which is %s mm "
                    "long",
                    text_string(&place), text_string(&end));
    text_free(&place);
    text_free(&end);
}

static void read_mark(StyleReader *reader, Seam *seam, const YamlNode *node)
{
    const SeamSide *side = first_with_edges(seam);
    double last = seam->mark_count ? seam->marks[seam->mark_count - 1] : 0;
    double most = side ? side_most(side) : (double)INFINITY;
    QuantityForm form;
    Value mark;
    if (!value_read_quantity(&reader->context, "marks", "a length such as 30 mm",
                             length_form(&form), node, &mark))
        return;
    seam->marks_unknown |= mark.presence != VALUE_KNOWN;
    if (mark.presence != VALUE_KNOWN)
        return;
    if (!(mark.quantity.nominal > last))
        style_error(reader, node,
                    "match marks stand in order, each further along than 0 mm and the one before");
    else if (mark.quantity.lo > most)
        mark_past_end(reader, &mark, side, most);
    seam->marks[seam->mark_count++] = mark.quantity.nominal;
}

static void read_marks(StyleReader *reader, Seam *seam)
{
    const YamlNode *marks = yaml_get(seam->record->node, "marks");
    seam->marks_unknown = marks && yaml_is_word(marks, "unknown");
    if (!marks || seam->marks_unknown)
        return;
    if (marks->kind != YAML_SEQUENCE) {
        style_error(reader, marks,
                    "marks is a list of lengths along the first side such as [30 mm, 62 mm]");
        return;
    }
    seam->marks = ARENA_NEW(reader->context.arena, double, marks->count);
    for (size_t i = 0; i < marks->count; i++)
        read_mark(reader, seam, marks->items[i]);
}

/* ---- Seams ---- */

/* Machines belong to the factory: here only the form of the name is checked. */
static void check_machine(StyleReader *reader, const Seam *seam)
{
    const Value *machine = record_value(seam->record, SEAM_MACHINE);
    if (machine->presence == VALUE_KNOWN)
        id_check(&reader->context, machine->node);
}

static void read_seam(StyleReader *reader, const YamlNode *key, const YamlNode *node)
{
    static const char *const extra[] = {"edges", "rows", "spots", "ease", "marks"};
    Style *style = reader->style;
    if (!id_check(&reader->context, key) || !style_mapping(reader, node, "seam", key->text))
        return;
    Seam *seam = &style->seams[style->seam_count++];
    seam->record = record_new(reader->context.arena, &style->lists[SUBJECT_SEAM], SUBJECT_SEAM,
                              key->text, key->text, node, key, NULL);
    record_read(&reader->context, seam->record, node, extra, sizeof extra / sizeof extra[0]);
    read_sides(reader, seam);
    read_rows(reader, seam);
    read_spots(reader, seam);
    check_spots(reader, seam);
    read_ease(reader, seam);
    read_marks(reader, seam);
    check_machine(reader, seam);
}

void style_read_seams(StyleReader *reader)
{
    const YamlNode *section = style_section(reader, "seams");
    const Style *style = reader->style;
    reader->edges = ARENA_NEW(reader->context.arena, StyleMark, style->lists[SUBJECT_EDGE].count);
    reader->parts = ARENA_NEW(reader->context.arena, StyleMark, style->lists[SUBJECT_PART].count);
    reader->style->seams = ARENA_NEW(reader->context.arena, Seam, section ? section->count : 0);
    for (size_t i = 0; section && i < section->count; i++)
        read_seam(reader, section->keys[i], section->items[i]);
}

/* What is measured on drawn lines put in place of what is typed, which is kept
 * beside. For the style's reader. */
#include <math.h>
#include <string.h>

#include "style/drawn.h"

/* ---- Values ---- */

static const Where *new_where(const DrawnReader *d, Where at)
{
    Where *where = ARENA_NEW(d->reader->context.arena, Where, 1);
    *where = at;
    return where;
}

static void set_number(Value *value, double number, const Where *drawn, const char *note)
{
    *value = (Value){.presence = VALUE_KNOWN,
                     .quantity = {number, number, number, TOLERANCE_UNSAID, false},
                     .drawn = drawn,
                     .note = note};
}

/* What one pattern piece gives, turned over or not, is measured once. */
static void identify(DrawnReader *d, EdgeLine *line, const DrawnLine *drawn)
{
    size_t count = line->measured->bend_counts[drawn->place];
    const EdgeLine *origin = line->origin ? &d->lines[line->origin->index] : NULL;
    bool same =
        origin && origin->radius_at &&
        origin->measured->bend_counts[d->reader->style->lines[line->origin->index].place] == count;
    line->length_at = same ? origin->length_at : new_where(d, drawn->at);
    line->radius_at = ARENA_NEW(d->reader->context.arena, const Where *, count);
    for (size_t i = 0; i < count; i++)
        line->radius_at[i] = same ? origin->radius_at[count - 1 - i] : new_where(d, drawn->at);
}

static bool is_straight(const Cubic *piece)
{
    const Point *p = piece->p;
    double dx = p[3].x - p[0].x, dy = p[3].y - p[0].y;
    return fabs(dx * (p[1].y - p[0].y) - dy * (p[1].x - p[0].x)) <= 1e-9 * (dx * dx + dy * dy) &&
           fabs(dx * (p[2].y - p[0].y) - dy * (p[2].x - p[0].x)) <= 1e-9 * (dx * dx + dy * dy);
}

/* A wider window than a curve's or than two chords' is one that smooths. */
static const char *window_note(const DrawnReader *d, const Path *path, const Bend *bend)
{
    if (bend->corner)
        return "a corner of the line";
    const Cubic *piece = &path->pieces[bend->sharpest.piece];
    double chord = hypot(piece->p[3].x - piece->p[0].x, piece->p[3].y - piece->p[0].y);
    bool traced =
        bend->window > BEND_WINDOW_MM * 1.001 && (!is_straight(piece) || chord < bend->window / 2);
    Text text = {0};
    text_add(&text, "over ");
    text_add_number(&text, bend->window, 2);
    text_add(&text, traced ? " mm: a traced line" : " mm of line");
    const char *note = arena_copy(d->reader->context.arena, text_string(&text), text.length);
    text_free(&text);
    return note;
}

/* To a hundredth of a degree: what a thousandth of a mm on a few mm of line tells. */
static double turn_rounded(double turn)
{
    const double degree = 3.14159265358979323846 / 180;
    return rint(turn / degree * 100) / 100 * degree;
}

static void set_bend(DrawnReader *d, Record *record, const EdgeLine *line, size_t place,
                     size_t number)
{
    const Bend *bend = &line->measured->bends[place][number];
    const WordList *words = field_at(BEND_CURVE)->words;
    const char *curve = bend->left ? "outward" : "inward";
    Where at = *line->length_at;
    *record_value(record, BEND_CURVE) = (Value){.presence = VALUE_KNOWN,
                                                .code = word_index(words, curve, strlen(curve)),
                                                .text = curve,
                                                .drawn = new_where(d, at)};
    set_number(record_value(record, BEND_RADIUS), drawing_rounded(bend->radius), line->radius_at[number],
               window_note(d, &line->measured->outline.edges[place].path, bend));
    set_number(record_value(record, BEND_TURN), turn_rounded(bend->turn), new_where(d, at), NULL);
    set_number(record_value(record, BEND_AT), drawing_rounded(bend->at), new_where(d, at), NULL);
}

/* ---- Bends: measured ones in place of typed ones ---- */

static const FieldId kept_fields[] = {BEND_LEFT, BEND_RELIEF, BEND_GRADE};
enum { KEPT_FIELDS = sizeof kept_fields / sizeof kept_fields[0] };

/* A typed bend that the line has not must not take with it what it says. */
static void check_surplus(const DrawnReader *d, const Record *typed, const DrawnLine *drawn,
                          size_t measured)
{
    for (size_t i = 0; i < KEPT_FIELDS; i++)
        if (record_value(typed, kept_fields[i])->presence != VALUE_ABSENT) {
            message_error_two(d->reader->context.messages, yaml_where(typed->node), drawn->at,
                              "this bend gives %s, but the drawn line of %s has %zu bend%s",
                              field_at(kept_fields[i])->name, typed->owner->path, measured,
                              measured == 1 ? "" : "s");
            return;
        }
}

/* The measured bend that the typed one at `index` is. */
static size_t number_of(const EdgeLine *line, size_t index, size_t measured)
{
    return line->bends_for_origin && index < measured ? measured - 1 - index : index;
}

static void keep_typed(DrawnReader *d, const EdgeLine *line, Record **typed, size_t typed_count,
                       Record **bends, size_t count)
{
    const Record *edge = line->source.edge;
    DrawnLine *drawn = &d->reader->style->lines[edge->index];
    const YamlNode *list = yaml_get(edge->node, "bends");
    bool compared = !(line->bends_for_origin && line->origin);
    drawn->bends_typed = compared && list && list->kind == YAML_SEQUENCE;
    for (size_t i = 0; i < typed_count; i++) {
        size_t number = number_of(line, i, count);
        if (number >= count)
            check_surplus(d, typed[i], drawn, count);
        for (size_t k = 0; number < count && k < KEPT_FIELDS; k++)
            *record_value(bends[number], kept_fields[k]) = *record_value(typed[i], kept_fields[k]);
    }
    for (size_t i = 0; compared && i < typed_count; i++)
        record_add(d->reader->context.arena, &drawn->typed_bends,
                   typed[line->bends_for_origin ? typed_count - 1 - i : i]);
}

static void add_measured(DrawnReader *d, EdgeLine *line, Record **typed, size_t typed_count,
                         RecordList *list)
{
    Arena *arena = d->reader->context.arena;
    Style *style = d->reader->style;
    Record *edge = drawn_list(d, SUBJECT_EDGE)->items[line->source.edge->index];
    size_t place = style->lines[edge->index].place;
    size_t count = line->measured->bend_counts[place];
    Record **bends = ARENA_NEW(arena, Record *, count);
    for (size_t i = 0; i < count; i++) {
        const char *id = arena_printf(arena, "%zu", i + 1);
        bends[i] =
            record_new(arena, list, SUBJECT_BEND, id, arena_printf(arena, "%s.%s", edge->path, id),
                       edge->node, edge->key, edge);
        set_bend(d, bends[i], line, place, i);
        style->bends[bends[i]->index] = &line->measured->bends[place][i];
    }
    keep_typed(d, line, typed, typed_count, bends, count);
}

static size_t bends_most(const DrawnReader *d)
{
    const Style *style = d->reader->style;
    size_t count = style->lists[SUBJECT_BEND].count;
    for (size_t i = 0; i < drawn_list(d, SUBJECT_EDGE)->count; i++)
        if (d->lines[i].measured)
            count += d->lines[i].measured->bend_counts[style->lines[i].place];
    return count;
}

/* The list of bends anew, in order of the edges. */
static void replace_bends(DrawnReader *d)
{
    Arena *arena = d->reader->context.arena;
    Style *style = d->reader->style;
    const RecordList *edges = drawn_list(d, SUBJECT_EDGE);
    RecordList old = style->lists[SUBJECT_BEND], list = {0};
    style->bends = ARENA_NEW(arena, const Bend *, bends_most(d));
    for (size_t i = 0, next = 0; i < edges->count; i++) {
        size_t first = next, typed = 0;
        while (next < old.count && old.items[next]->owner == edges->items[i])
            typed += strcmp(old.items[next++]->id, "unknown") != 0; /* no list at all */
        if (d->lines[i].measured)
            add_measured(d, &d->lines[i], &old.items[first], typed, &list);
        else
            for (size_t k = first; k < next; k++)
                record_add(arena, &list, old.items[k]);
    }
    style->lists[SUBJECT_BEND] = list;
}

/* ---- Lengths and widths ---- */

static const Value *value_copy(const DrawnReader *d, const Value *value)
{
    Value *copy = ARENA_NEW(d->reader->context.arena, Value, 1);
    *copy = *value;
    return copy;
}

static void replace_length(DrawnReader *d, EdgeLine *line)
{
    const Record *edge = line->source.edge;
    DrawnLine *drawn = &d->reader->style->lines[edge->index];
    Value *length = record_value(edge, EDGE_LENGTH);
    if (length->presence == VALUE_KNOWN && !(line->length_for_origin && line->origin))
        drawn->typed_length = value_copy(d, length);
    identify(d, line, drawn);
    set_number(length, drawing_rounded(line->measured->lengths[drawn->place]), line->length_at, NULL);
}

static const char *place_note(const DrawnReader *d, Point at, bool mirrored)
{
    Text text = {0};
    text_add(&text, "at x ");
    text_add_number(&text, at.x, 4);
    text_add(&text, ", y ");
    text_add_number(&text, -at.y, 4);
    text_addf(&text, " mm of the page%s", mirrored ? ", mirrored" : "");
    const char *note = arena_copy(d->reader->context.arena, text_string(&text), text.length);
    text_free(&text);
    return note;
}

static void replace_width(DrawnReader *d, const DrawnPart *drawn)
{
    Style *style = d->reader->style;
    const Record *part = drawn->part;
    const Record *mirrors = drawn_only_mirrors(d, part) ? d->mirrors[part->index] : NULL;
    const MeasuredPart *measured = d->lines[drawn->edges[0]->index].measured;
    Value *narrowest = record_value(part, PART_NARROWEST);
    if (isnan(measured->narrowest))
        return;
    if (narrowest->presence == VALUE_KNOWN && !mirrors)
        style->typed_narrowest[part->index] = value_copy(d, narrowest);
    const Where *at = mirrors ? record_value(mirrors, PART_NARROWEST)->drawn : NULL;
    set_number(narrowest, drawing_rounded(measured->narrowest),
               at ? at : new_where(d, style->lines[drawn->edges[0]->index].at),
               place_note(d, measured->narrowest_at, drawn->mirrored));
}

void drawn_replace_values(DrawnReader *d)
{
    const Style *style = d->reader->style;
    const RecordList *edges = drawn_list(d, SUBJECT_EDGE);
    for (int mirrored = 0; mirrored < 2; mirrored++)
        for (size_t i = 0; i < edges->count; i++)
            if (d->lines[i].measured && (d->lines[i].origin != NULL) == (mirrored == 1))
                replace_length(d, &d->lines[i]);
    for (size_t i = 0; i < style->drawn_count; i++)
        replace_width(d, &style->drawn[i]);
    replace_bends(d);
}

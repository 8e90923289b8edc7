/* Rows followed the plain way, for holding src/measure against it: at a place of a
 * row every part of the sheet is tried by counting crossings of its ring, every edge
 * by trying each of its segments. No trees of boxes, no marks, nothing remembered. */
#ifndef CORDWAIN_TESTS_ROWS_BY_HAND_H
#define CORDWAIN_TESTS_ROWS_BY_HAND_H

#include <math.h>
#include <string.h>

#include "measure/measure.h"

enum { BYHAND_LAYERS_MOST = 64, BYHAND_LEGS_MOST = 64, BYHAND_SIDES_MOST = 4 };

typedef struct HandLayer {
    const Record *part;
    double times, thickness, folded; /* mm of one */
    bool fold_alone;
} HandLayer;

typedef struct HandLayers {
    HandLayer items[BYHAND_LAYERS_MOST];
    size_t count;
    double stack; /* mm under the foot */
    bool open;    /* a line is just about as near as counts for the row's own */
} HandLayers;

typedef struct HandLeg {
    const Line *line;
    const LaidEdge *edge;
    const LaidPart *part;
    const Record *partners[BYHAND_SIDES_MOST]; /* by side: the edge in place there */
    bool in_place[BYHAND_SIDES_MOST];
} HandLeg;

typedef struct HandSide {
    HandLeg legs[BYHAND_LEGS_MOST];
    size_t count;
    double length;
    bool against, needed;
} HandSide;

typedef struct HandRow {
    const Style *style;
    const Columns *columns;
    const Lay *lay, *base;
    const Seam *seam;
    const Record *row;
    uint32_t colourway;
    bool *joined, *made;
    HandSide sides[BYHAND_SIDES_MOST];
    size_t lead;
} HandRow;

/* ---- Numbers and words of the columns ---- */

static inline double byhand_number(const HandRow *p, FieldId id, const Record *record)
{
    const Column *column = &p->columns->fields[id];
    return column->nominal[column_cell(column, record->index, p->colourway)];
}

static inline bool byhand_is(const HandRow *p, FieldId id, const Record *record, const char *word)
{
    double code = byhand_number(p, id, record);
    return !isnan(code) && strcmp(field_at(id)->words->words[(size_t)code], word) == 0;
}

static inline bool byhand_join(const HandRow *p, const Seam *seam, const char *join)
{
    return byhand_is(p, SEAM_JOIN, seam->record, join);
}

/* ---- Geometry, by trying everything ---- */

static inline double byhand_segment(Point a, Point b, Point place)
{
    double x = b.x - a.x, y = b.y - a.y, square = x * x + y * y;
    double t = square > 0 ? ((place.x - a.x) * x + (place.y - a.y) * y) / square : 0;
    t = fmin(fmax(t, 0), 1);
    return hypot(a.x + t * x - place.x, a.y + t * y - place.y);
}

static inline double byhand_distance(const Line *line, Point place)
{
    double least = INFINITY;
    for (size_t i = 0; i + 1 < line->count; i++)
        least = fmin(least, byhand_segment(line->points[i], line->points[i + 1], place));
    return least;
}

/* How far outside the line the place lies, straight out and not round its ends;
 * INFINITY where it does not. */
static inline double byhand_outside(const Line *line, Point place)
{
    double least = INFINITY, out = INFINITY;
    for (size_t i = 0; i + 1 < line->count; i++) {
        Point a = line->points[i], b = line->points[i + 1];
        double here = byhand_segment(a, b, place);
        if (here >= least)
            continue;
        double x = b.x - a.x, y = b.y - a.y;
        double along = (place.x - a.x) * x + (place.y - a.y) * y;
        bool before = i == 0 && along <= 0, after = i + 2 == line->count && along >= x * x + y * y;
        bool left = x * (place.y - a.y) - y * (place.x - a.x) > 0;
        least = here;
        out = before || after || left ? INFINITY : here;
    }
    return out;
}

/* Even-odd. */
static inline bool byhand_inside(const LaidPart *part, Point place)
{
    bool inside = false;
    for (size_t i = 0; i < part->ring_count; i++) {
        Point a = part->ring[i], b = part->ring[i + 1 < part->ring_count ? i + 1 : 0];
        if ((a.y > place.y) != (b.y > place.y) &&
            place.x < a.x + (place.y - a.y) / (b.y - a.y) * (b.x - a.x))
            inside = !inside;
    }
    return inside;
}

static inline Point byhand_point(const Line *line, double at)
{
    for (size_t i = 0; i + 1 < line->count; i++) {
        Point a = line->points[i], b = line->points[i + 1];
        double length = hypot(b.x - a.x, b.y - a.y);
        if (at <= length || i + 2 == line->count) {
            double t = fmin(fmax(at / length, 0), 1);
            return (Point){a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
        }
        at -= length;
    }
    return line->points[0];
}

/* ---- What is made before the row ---- */

static inline void byhand_merge(size_t *label, size_t parts, size_t one, size_t other)
{
    size_t from = label[one], to = label[other];
    for (size_t i = 0; i < parts; i++)
        if (label[i] == from)
            label[i] = to;
}

static inline void byhand_merge_seam(const HandRow *p, const Seam *seam, size_t *label)
{
    size_t parts = p->style->lists[SUBJECT_PART].count;
    const Record *first = NULL;
    for (size_t side = 0; side < seam->side_count; side++)
        for (size_t i = 0; i < seam->sides[side].count || (i == 0 && seam->sides[side].bare); i++) {
            const SeamSide *s = &seam->sides[side];
            const Record *part = s->bare ? s->bare : s->edges[i]->owner;
            if (first)
                byhand_merge(label, parts, part->index, first->index);
            first = part;
        }
}

static inline void byhand_make(Arena *arena, HandRow *p)
{
    const Style *style = p->style;
    size_t parts = style->lists[SUBJECT_PART].count;
    size_t *label = ARENA_NEW(arena, size_t, parts);
    p->joined = ARENA_NEW(arena, bool, parts);
    p->made = ARENA_NEW(arena, bool, style->seam_count);
    for (size_t i = 0; i < parts; i++)
        label[i] = i;
    for (size_t i = 0; i < style->backing_count; i++)
        if (style->backings[i].backed_count == 1)
            byhand_merge(label, parts, style->backings[i].part->index,
                         style->backings[i].backed[0]->index);
    for (size_t i = 0; i < style->order_count; i++) {
        const Seam *seam = &style->seams[style->order[i]];
        byhand_merge_seam(p, seam, label);
        if (seam == p->seam)
            break;
        p->made[style->order[i]] = true;
    }
    const SeamSide *side = &p->seam->sides[0];
    const Record *own = side->bare ? side->bare : side->edges[0]->owner;
    for (size_t i = 0; i < parts; i++)
        p->joined[i] = label[i] == label[own->index];
}

/* ---- Edges ---- */

/* Is the edge in a seam of that kind, made by then (or ever)? */
static inline bool byhand_sewn(const HandRow *p, const Record *edge, const char *join, bool ever)
{
    for (size_t s = 0; s < p->style->seam_count; s++)
        for (size_t side = 0; side < p->style->seams[s].side_count; side++)
            for (size_t i = 0; i < p->style->seams[s].sides[side].count; i++)
                if (p->style->seams[s].sides[side].edges[i] == edge && (ever || p->made[s]) &&
                    byhand_join(p, &p->style->seams[s], join))
                    return true;
    return false;
}

static inline bool byhand_folded(const HandRow *p, const Record *edge)
{
    return byhand_sewn(p, edge, "closed", false) || byhand_is(p, EDGE_FINISH, edge, "folded") ||
           (byhand_is(p, EDGE_FINISH, edge, "turned") && byhand_sewn(p, edge, "turned", false));
}

/* How far the part goes on beyond the line of its edge. */
static inline double byhand_margin(const HandRow *p, const Record *edge)
{
    bool later = byhand_sewn(p, edge, "closed", true) ||
                 byhand_is(p, EDGE_FINISH, edge, "turned") ||
                 byhand_is(p, EDGE_FINISH, edge, "lasted");
    return later && !byhand_folded(p, edge) ? byhand_number(p, EDGE_ALLOWANCE, edge) : 0;
}

static inline double byhand_skive_width(const HandRow *p, const Record *edge)
{
    return byhand_number(p, EDGE_SKIVED, edge) > 0 ? byhand_number(p, EDGE_SKIVE_WIDTH, edge) : 0;
}

static inline const Record *byhand_material(const HandRow *p, const Record *part)
{
    const Record *material = record_value(part, PART_MATERIAL)->record;
    const Colourway *colourway = &p->style->colourways[p->colourway];
    for (size_t i = 0; i < colourway->swap_count; i++)
        if (colourway->swaps[i].from == material)
            return colourway->swaps[i].to;
    return material;
}

/* Of the part's own layer, `distance` mm from its cut edge. */
static inline double byhand_thickness(const HandRow *p, const Record *edge, double distance)
{
    double full = byhand_number(p, MATERIAL_THICKNESS, byhand_material(p, edge->owner));
    double width = byhand_skive_width(p, edge), left = byhand_number(p, EDGE_SKIVE_LEFT, edge);
    if (width == 0 || distance >= width)
        return full;
    if (byhand_is(p, EDGE_SKIVE_FORM, edge, "step"))
        return left;
    return left + (full - left) * fmax(distance, 0) / width;
}

/* ---- Layers at a place ---- */

static inline void byhand_add(const HandRow *p, HandLayers *layers, HandLayer layer)
{
    const Column *gives = &p->columns->fields[MATERIAL_COMPRESSES];
    const Record *material = byhand_material(p, layer.part);
    double keep = 1 - gives->nominal[column_cell(gives, material->index, p->colourway)];
    layers->stack += layer.times * (layer.thickness + layer.folded) * keep;
    layers->items[layers->count++] = layer;
}

static inline bool byhand_has(const HandLayers *layers, const Record *part)
{
    for (size_t i = 0; i < layers->count; i++)
        if (layers->items[i].part == part && !layers->items[i].fold_alone)
            return true;
    return false;
}

static inline double byhand_whole(const HandRow *p, const Record *part)
{
    return byhand_number(p, MATERIAL_THICKNESS, byhand_material(p, part));
}

/* The layer `x` mm inside an edge that is folded there. */
static inline HandLayer byhand_at_fold(const HandRow *p, const Record *edge, double x)
{
    double left = byhand_number(p, EDGE_LEFT, edge);
    return (HandLayer){edge->owner, 1, byhand_thickness(p, edge, left + x),
                       x <= left ? byhand_thickness(p, edge, left - x) : 0, false};
}

/* At the edge that the row is sewn along. */
static inline HandLayer byhand_walked(const HandRow *p, const Record *edge, bool underlay)
{
    double x = byhand_number(p, ROW_FROM_EDGE, p->row);
    double allowance = byhand_number(p, EDGE_ALLOWANCE, edge);
    bool closed = byhand_join(p, p->seam, "closed"), turned = byhand_join(p, p->seam, "turned");
    bool joins = closed || (turned && byhand_is(p, ROW_DOES, p->row, "seam"));
    if (!joins && (turned || byhand_is(p, EDGE_FINISH, edge, "folded") ||
                   byhand_is(p, EDGE_FINISH, edge, "turned")))
        return byhand_at_fold(p, edge, x);
    if (!joins && byhand_is(p, EDGE_FINISH, edge, "lasted"))
        x += allowance;
    else if (!joins && underlay)
        x = allowance - x;
    return (HandLayer){edge->owner, 1, byhand_thickness(p, edge, x), 0, false};
}

/* At whatever edge near by thins or folds it; beyond none it is whole. */
static inline HandLayer byhand_own(const HandRow *p, const LaidPart *part, Point place,
                                   const Record **at)
{
    double least = INFINITY, out = 1;
    HandLayer layer = {part->part, 1, byhand_whole(p, part->part), 0, false};
    for (size_t i = 0; i < part->edge_count; i++) {
        const Record *edge = part->edges[i].edge;
        double width = byhand_skive_width(p, edge), margin = byhand_margin(p, edge);
        double here = byhand_distance(&part->edges[i].line, place);
        bool folded = byhand_folded(p, edge);
        double left = byhand_number(p, EDGE_LEFT, edge);
        double reach = folded       ? fmax(left, width - left)
                       : width == 0 ? 0
                       : margin > 0 ? fmax(margin, width - margin)
                                    : width;
        if (byhand_is(p, EDGE_FINISH, edge, "fold-line") || reach == 0 || here > reach ||
            here >= least)
            continue;
        least = here;
        out = byhand_inside(part, place) ? 1 : -1;
        *at = edge;
        layer =
            folded ? byhand_at_fold(p, edge, here)
                   : (HandLayer){part->part, 1,
                                 byhand_thickness(p, edge, margin > 0 ? margin + out * here : here),
                                 0, false};
    }
    return layer;
}

static inline void byhand_add_backers(const HandRow *p, HandLayers *layers, const LaidPart *part,
                                      Point place)
{
    for (size_t i = 0; i < p->style->backing_count; i++) {
        const Backing *backing = &p->style->backings[i];
        bool backs = false;
        for (size_t k = 0; k < backing->backed_count; k++)
            backs |= backing->backed[k] == part->part;
        for (size_t k = 0; backs && k < part->edge_count; k++) {
            double inset = -1;
            for (size_t n = 0; n < backing->inset_count; n++)
                if (backing->insets[n].edge
                        ? strcmp(backing->insets[n].edge, part->edges[k].edge->id) == 0
                        : inset < 0)
                    inset = backing->insets[n].amount.quantity.nominal;
            if (inset >= 0 && byhand_distance(&part->edges[k].line, place) <= inset + 1e-6)
                backs = false;
        }
        if (backs && !byhand_has(layers, backing->part))
            byhand_add(p, layers,
                       (HandLayer){backing->part, 1, byhand_whole(p, backing->part), 0, false});
    }
}

static inline void byhand_add_along(const HandRow *p, HandLayers *layers, const LaidEdge *edge,
                                    Point place, bool walked)
{
    double here = byhand_distance(&edge->line, place);
    const RecordList *parts = &p->style->lists[SUBJECT_PART];
    for (size_t i = 0; i < parts->count; i++) {
        const Record *tape = parts->items[i];
        if (record_value(tape, PART_ALONG)->record == edge->edge && !byhand_has(layers, tape) &&
            here <= byhand_number(p, PART_WIDTH, tape))
            byhand_add(p, layers, (HandLayer){tape, 1, byhand_whole(p, tape), 0, false});
    }
    const Record *binding = record_value(edge->edge, EDGE_BINDING_PART)->record;
    bool bound = byhand_is(p, EDGE_FINISH, edge->edge, "bound") ||
                 byhand_is(p, EDGE_FINISH, edge->edge, "piped");
    bool there = walked || (byhand_sewn(p, edge->edge, "bound", false) &&
                            here <= byhand_number(p, EDGE_BINDING_SHOWS, edge->edge));
    if (binding && bound && there && !byhand_has(layers, binding))
        byhand_add(p, layers, (HandLayer){binding, 2, byhand_whole(p, binding), 0, false});
}

static inline void byhand_add_part(const HandRow *p, HandLayers *layers, const LaidPart *part,
                                   const Record *walked, bool underlay, Point place)
{
    const Record *at = walked;
    HandLayer own = walked ? byhand_walked(p, walked, underlay) : byhand_own(p, part, place, &at);
    byhand_add(p, layers, own);
    for (size_t i = 0; i < part->edge_count; i++) {
        const Record *edge = part->edges[i].edge;
        double here = byhand_distance(&part->edges[i].line, place);
        if (edge == at || !byhand_folded(p, edge) || here > byhand_number(p, EDGE_LEFT, edge))
            continue;
        HandLayer fold = byhand_at_fold(p, edge, here);
        fold.thickness = 0;
        fold.fold_alone = true;
        byhand_add(p, layers, fold);
    }
    bool beyond =
        !walked && !byhand_inside(part, place) && byhand_distance(&part->outline, place) > 0.1;
    for (size_t i = 0; i < part->edge_count; i++) {
        if (!beyond)
            byhand_add_along(p, layers, &part->edges[i], place, part->edges[i].edge == walked);
    }
    byhand_add_backers(p, layers, part, place);
}

/* Within 0.1 mm a line counts as the row's own, if it stays so for half a mm. */
static inline bool byhand_reaches(const HandRow *p, const LaidPart *part, const HandLeg *leg,
                                  double at, double length)
{
    Point place = byhand_point(leg->line, at);
    if (byhand_inside(part, place))
        return true;
    for (size_t i = 0; i < part->edge_count; i++) {
        double margin = byhand_margin(p, part->edges[i].edge);
        if (margin > 0 && byhand_outside(&part->edges[i].line, place) <= margin)
            return true;
    }
    const double ends[2] = {fmax(at - 0.5, 0), fmin(at + 0.5, length)};
    bool along = false;
    for (int i = 0; i < 2; i++) {
        Point end = byhand_point(leg->line, ends[i]);
        bool near = byhand_distance(&part->outline, end) <= 0.1;
        if (fabs(ends[i] - at) < 0.25)
            continue;
        if (!near && !byhand_inside(part, end))
            return false;
        along |= near;
    }
    return along && byhand_distance(&part->outline, place) <= 0.1;
}

static inline void byhand_meet(const HandRow *p, HandLayers *layers, const HandLeg *leg, double at,
                               size_t own_side)
{
    Point place = byhand_point(leg->line, at);
    for (size_t i = 0; i < p->lay->count; i++) {
        const LaidPart *part = &p->lay->parts[i];
        const Record *walked = leg->edge->edge->owner == part->part ? leg->edge->edge : NULL;
        size_t side = own_side;
        for (size_t s = 0; s < p->seam->side_count && !walked; s++)
            if (leg->partners[s] && leg->partners[s]->owner == part->part) {
                walked = leg->partners[s];
                side = s;
            }
        if (part->sheet != leg->part->sheet || !p->joined[part->part->index])
            continue;
        double away = byhand_distance(&part->outline, place);
        layers->open |= away > 0.01 && away < 0.15 && !byhand_inside(part, place);
        if (byhand_has(layers, part->part) ||
            (!walked && !byhand_reaches(p, part, leg, at, line_length(leg->line))))
            continue;
        bool laps = byhand_join(p, p->seam, "lapped") || byhand_join(p, p->seam, "welded") ||
                    byhand_join(p, p->seam, "cemented");
        bool underlay = laps && side > 0 && side + 1 == p->seam->side_count;
        byhand_add_part(p, layers, part, walked, underlay, place);
    }
}

/* ---- The lines of the row ---- */

static inline bool byhand_most(const Line *line, const LaidPart *part, const Line *other)
{
    int count = 0;
    for (int i = 0; i < 7; i++) {
        Point place = byhand_point(line, line_length(line) * (i + 0.5) / 7);
        count += part ? byhand_inside(part, place) || byhand_distance(&part->outline, place) <= 0.1
                      : byhand_distance(other, place) <= 1;
    }
    return count >= 5;
}

static inline void byhand_partner(const HandRow *p, HandLeg *leg, size_t side)
{
    const SeamSide *other = &p->seam->sides[side];
    bool lap = side > 0 && side + 1 == p->seam->side_count && byhand_join(p, p->seam, "lapped");
    for (size_t i = 0; i < other->count && !leg->in_place[side]; i++) {
        const LaidPart *part = p->lay->of_part[other->edges[i]->owner->index];
        if (part->sheet != leg->part->sheet)
            continue;
        leg->in_place[side] = lap ? byhand_most(&leg->edge->line, part, NULL)
                                  : byhand_most(&leg->edge->line, NULL,
                                                &p->lay->of_edge[other->edges[i]->index]->line);
        if (leg->in_place[side] && !lap)
            leg->partners[side] = other->edges[i];
    }
}

static inline bool byhand_inner(const HandRow *p, const SeamSide *side)
{
    const Record *part = side->bare ? side->bare : side->edges[0]->owner;
    return byhand_is(p, PART_ROLE, part, "lining") || byhand_is(p, PART_ROLE, part, "sock");
}

static inline void byhand_take_side(HandRow *p, size_t side, const RowLine **lines)
{
    HandSide *to = &p->sides[side];
    to->count = p->seam->sides[side].count;
    for (size_t i = 0; i < to->count; i++) {
        const Record *edge = p->seam->sides[side].edges[i];
        to->legs[i] = (HandLeg){.line = &(*lines)++->line,
                                .edge = p->lay->of_edge[edge->index],
                                .part = p->lay->of_part[edge->owner->index]};
        to->length += line_length(to->legs[i].line);
    }
}

/* False where the row lies on no drawing in this size. */
static inline bool byhand_find(Arena *arena, HandRow *p, const Measured *measured, uint32_t size)
{
    const RowLine *lines;
    size_t count = measured_rows(measured, size, &lines), first = 0;
    while (first < count && lines[first].row != p->row)
        first++;
    if (first == count)
        return false;
    p->lay = measured_lay(measured, size);
    p->base = measured_lay(measured, measured_base_size(measured));
    byhand_make(arena, p);
    lines += first;
    while (p->seam->sides[p->lead].count == 0)
        p->lead++;
    byhand_take_side(p, p->lead, &lines);
    HandSide *lead = &p->sides[p->lead];
    for (size_t side = 0; side < p->seam->side_count; side++) {
        if (side == p->lead)
            continue;
        for (size_t i = 0; i < lead->count; i++) {
            byhand_partner(p, &lead->legs[i], side);
            p->sides[side].needed |= !p->seam->sides[side].bare && !lead->legs[i].in_place[side];
        }
        if (p->sides[side].needed)
            byhand_take_side(p, side, &lines);
        bool flip = byhand_number(p, SEAM_FLIP, p->seam->record) == 1;
        bool alike =
            byhand_inner(p, &p->seam->sides[p->lead]) == byhand_inner(p, &p->seam->sides[side]);
        p->sides[side].against = alike != flip;
    }
    return true;
}

/* ---- Match marks ---- */

/* Of the place on the line that is nearest. */
static inline double byhand_nearest_at(const Line *line, Point place)
{
    double least = INFINITY, found = 0, from = 0;
    for (size_t i = 0; i + 1 < line->count; i++) {
        Point a = line->points[i], b = line->points[i + 1];
        double length = hypot(b.x - a.x, b.y - a.y), here = byhand_segment(a, b, place);
        double along = ((place.x - a.x) * (b.x - a.x) + (place.y - a.y) * (b.y - a.y)) / length;
        if (here < least)
            found = from + fmin(fmax(along, 0), length);
        least = fmin(least, here);
        from += length;
    }
    return found;
}

/* A first side that mirrors another begins where that does, at its end. */
static inline bool byhand_back(const HandRow *p)
{
    for (size_t i = 0; i < p->sides[p->lead].count; i++)
        if (!p->style->lines[p->sides[p->lead].legs[i].edge->edge->index].mirrored)
            return false;
    return true;
}

static inline double byhand_base(const HandRow *p, const HandSide *side, size_t leg)
{
    return line_length(&p->base->of_edge[side->legs[leg].edge->edge->index]->line);
}

/* mm along the side as the lead runs: that far along its edges in the base size, from
 * where the seam begins; edge by edge where both sides have as many. */
static inline double byhand_mark(const HandRow *p, const HandSide *side, double mark)
{
    bool back = byhand_back(p);
    const HandSide *steps = side->count == p->sides[p->lead].count ? &p->sides[p->lead] : side;
    size_t at = back ? side->count - 1 : 0;
    double before = 0;
    for (; mark > byhand_base(p, steps, at); at = back ? at - 1 : at + 1)
        mark -= byhand_base(p, steps, at);
    const HandLeg *leg = &side->legs[at];
    double share = mark / byhand_base(p, side, at);
    if (back != side->against)
        share = 1 - share;
    Point notch = byhand_point(&leg->edge->line, share * line_length(&leg->edge->line));
    double on = byhand_nearest_at(leg->line, notch);
    for (size_t k = 0; k < at; k++)
        before += line_length(side->legs[k].line);
    return before + (side->against ? line_length(leg->line) - on : on);
}

/* How far along the side, as the lead runs, what is sewn `at` mm along the lead lies: by
 * fraction of length between the two matched places next to it. */
static inline double byhand_there(const HandRow *p, const HandSide *side, double at)
{
    const HandSide *lead = &p->sides[p->lead];
    double from = 0, own_from = 0, to = lead->length, own_to = side->length;
    double end = 0, own_end = 0;
    size_t edges = side->count == lead->count ? lead->count : 0;
    for (size_t i = 0; i < edges + p->seam->mark_count; i++) {
        double here = i < edges ? (end += line_length(lead->legs[i].line))
                                : byhand_mark(p, lead, p->seam->marks[i - edges]);
        double own = i < edges ? (own_end += line_length(side->legs[i].line))
                               : byhand_mark(p, side, p->seam->marks[i - edges]);
        if (here <= at && here >= from) {
            from = here;
            own_from = own;
        } else if (here > at && here <= to) {
            to = here;
            own_to = own;
        }
    }
    return own_from + (at - from) / (to - from) * (own_to - own_from);
}

/* ---- Layers along the row ---- */

/* The leg `at` mm along a side, and how far along it. */
static inline const HandLeg *byhand_leg(const HandSide *side, double *at)
{
    size_t i = 0;
    while (i + 1 < side->count && *at > line_length(side->legs[i].line))
        *at -= line_length(side->legs[i++].line);
    return &side->legs[i];
}

/* The layers `at` mm along the row. */
static inline HandLayers byhand_layers(const HandRow *p, double at)
{
    HandLayers layers = {0};
    const HandSide *lead = &p->sides[p->lead];
    double on = at;
    const HandLeg *leg = byhand_leg(lead, &on);
    byhand_meet(p, &layers, leg, on, p->lead);
    for (size_t s = 0; s < p->seam->side_count; s++) {
        const HandSide *side = &p->sides[s];
        if (s == p->lead || !side->needed || leg->in_place[s])
            continue;
        double there = byhand_there(p, side, at);
        const HandLeg *its = byhand_leg(side, &there);
        if (side->against)
            there = line_length(its->line) - there;
        byhand_meet(p, &layers, its, there, s);
    }
    return layers;
}

#endif

/* The layers across a seam at one place along it. For whoever draws.
 *
 * x is mm across the seam: 0 where the over part ends (closed and turned seams: the
 * cut edges), growing into it. How far a layer reaches is drawn as far as the seam
 * tells: allowances, insets, widths, and the drawing; else it goes through. */
#include <string.h>

#include "figure/picture_inside.h"
#include "figure/plot.h"
#include "shape/vector.h"

/* A layer as it is known: met along the drawing, typed, or assumed. */
typedef struct Ply {
    const Record *part; /* NULL: not known */
    double times, thickness, folded;
} Ply;

/* Where the section crosses the row on its sheet. */
typedef struct Crossing {
    const Sheet *sheet; /* NULL: the row is not drawn */
    Point at, into;     /* the row; unit vector of growing x */
    double x;           /* of the row */
} Crossing;

typedef struct Section {
    const PictureBase *base;
    const Seam *seam;
    Crossing crossing;
    double reach, left; /* mm to the right and to the left of 0 */
    bool to_both;       /* something lies left of 0 */
    SectionPly *plies;  /* foot side first */
    size_t count, capacity;
} Section;

typedef struct Extent {
    double from, to;
} Extent;

/* ---- How far layers reach ---- */

static bool joined_as(const Section *s, const char *join)
{
    return picture_is(s->base, SEAM_JOIN, s->seam->record, join);
}

/* The over part lies on the other, which goes on to the left. */
static bool is_lap(const Section *s)
{
    return joined_as(s, "lapped") || joined_as(s, "welded") || joined_as(s, "cemented");
}

static double known_or(double value, double otherwise)
{
    return isnan(value) ? otherwise : value;
}

/* Of a part that the seam joins. */
static Extent side_extent(const Section *s, size_t side, const Record *edge)
{
    double allowance = edge ? known_or(picture_value(s->base, EDGE_ALLOWANCE, edge), 0) : 0;
    if (!edge)
        return (Extent){-s->left, s->reach};
    if (joined_as(s, "butted"))
        return side == 0 ? (Extent){0, s->reach} : (Extent){-s->left, 0};
    if (is_lap(s) && side > 0)
        return (Extent){-s->left, allowance > 0 ? allowance : s->reach};
    if (joined_as(s, "trimmed") && side > 0)
        return (Extent){-allowance, s->reach};
    return (Extent){0, s->reach};
}

static const Value *inset_of(const Backing *backing, const Record *edge)
{
    const Value *general = NULL;
    for (size_t i = 0; i < backing->inset_count; i++) {
        if (!backing->insets[i].edge)
            general = &backing->insets[i].amount;
        else if (edge && strcmp(backing->insets[i].edge, edge->id) == 0)
            return &backing->insets[i].amount;
    }
    return general;
}

/* Narrows what lies `inside` mm inside the end of a side's part. */
static Extent inside_of(const Section *s, Extent extent, size_t side, double inside)
{
    bool ends_right = is_lap(s) && side > 0;
    if (extent.from > -s->left && !ends_right)
        extent.from += inside;
    else if (extent.to < s->reach)
        extent.to -= inside;
    return extent;
}

static bool covers(const Section *s, const LaidPart *part, double x)
{
    return laid_covers(part, moved(s->crossing.at, s->crossing.into, x - s->crossing.x), 0);
}

/* As far as the part is drawn to both sides of the row. */
static Extent drawn_extent(const Section *s, const Record *part)
{
    static const double STEP_MM = 0.25;
    const Lay *lay = measured_lay(s->base->measured, s->base->size);
    const LaidPart *laid = part && lay && s->crossing.sheet ? lay->of_part[part->index] : NULL;
    Extent extent = {s->crossing.x, s->crossing.x};
    if (!laid || laid->sheet != s->crossing.sheet || !covers(s, laid, s->crossing.x))
        return (Extent){s->to_both ? -s->left : 0, s->reach};
    while (extent.from > -s->left && covers(s, laid, extent.from - STEP_MM))
        extent.from -= STEP_MM;
    while (extent.to < s->reach && covers(s, laid, extent.to + STEP_MM))
        extent.to += STEP_MM;
    return (Extent){fmax(extent.from, -s->left), fmin(extent.to, s->reach)};
}

/* Of what backs a part of the seam, or lies along an edge of it; else as drawn. */
static Extent other_extent(const Section *s, const Record *part)
{
    const Style *style = s->base->style;
    const Record *edge;
    for (size_t i = 0; part && i < style->backing_count; i++) {
        const Backing *backing = &style->backings[i];
        if (backing->part != part)
            continue;
        for (size_t k = 0; k < backing->backed_count; k++) {
            size_t side = picture_side(s->seam, backing->backed[k], &edge);
            if (side == s->seam->side_count)
                continue;
            const Value *inset = inset_of(backing, edge);
            bool known = edge && inset && inset->presence == VALUE_KNOWN;
            return inside_of(s, side_extent(s, side, edge), side,
                             known ? inset->quantity.nominal : 0);
        }
    }
    const Record *along = part ? record_value(part, PART_ALONG)->record : NULL;
    size_t side = along ? picture_side(s->seam, along->owner, &edge) : s->seam->side_count;
    double width = along ? picture_value(s->base, PART_WIDTH, part) : (double)NAN;
    if (side < s->seam->side_count && edge && !isnan(width)) {
        Extent of = side_extent(s, side, edge);
        return is_lap(s) && side > 0 ? (Extent){fmax(of.from, of.to - width), of.to}
                                     : (Extent){of.from, fmin(of.to, of.from + width)};
    }
    return drawn_extent(s, part);
}

/* ---- Layers ---- */

static SectionPly *add_ply(Section *s, const char *name, double thickness, Extent extent)
{
    SectionPly *ply = &s->plies[s->count++];
    *ply = (SectionPly){
        .name = name, .thickness = thickness, .from = extent.from, .to = extent.to};
    return ply;
}

static const char *allowance_name(Arena *arena, const Record *part)
{
    return arena_printf(arena, "%s, turned back", part->path);
}

/* A part whose allowance is folded at this seam: next to the foot it folds up, else
 * down. What is folded elsewhere and crosses here lies on it as one more layer. */
static void add_part(Section *s, Arena *arena, const Ply *ply, bool lowest)
{
    const Record *edge;
    size_t side = picture_side(s->seam, ply->part, &edge);
    Extent extent = side < s->seam->side_count ? side_extent(s, side, edge)
                                               : other_extent(s, ply->part);
    bool folds_here = edge && extent.from == 0 && ply->folded > 0 && ply->thickness > 0 &&
                      (picture_is(s->base, EDGE_FINISH, edge, "folded") ||
                       picture_is(s->base, EDGE_FINISH, edge, "turned"));
    const char *name = ply->part ? ply->part->path : "not known";
    if (!folds_here) {
        if (ply->thickness != 0 || ply->folded == 0)
            add_ply(s, name, ply->thickness, extent);
        if (ply->folded > 0)
            add_ply(s, allowance_name(arena, ply->part), ply->folded, extent);
        return;
    }
    double left = known_or(picture_value(s->base, EDGE_LEFT, edge), s->reach / 2);
    Extent folded = {0, fmin(left, s->reach)};
    SectionPly *under, *upper;
    if (lowest) {
        under = add_ply(s, name, ply->thickness, extent);
        upper = add_ply(s, allowance_name(arena, ply->part), ply->folded, folded);
    } else {
        under = add_ply(s, allowance_name(arena, ply->part), ply->folded, folded);
        upper = add_ply(s, name, ply->thickness, extent);
    }
    under->turns_into = upper;
    under->turns = SIDE_LEFT;
}

/* How far the binding lies on each side; NaN where this layer closes over no edge of
 * the seam. */
static double binding_shows(const Section *s, const Ply *ply)
{
    for (size_t side = 0; ply->part && ply->times == 2 && side < s->seam->side_count; side++)
        for (size_t i = 0; i < s->seam->sides[side].count; i++) {
            const Record *edge = s->seam->sides[side].edges[i];
            if (record_value(edge, EDGE_BINDING_PART)->record == ply->part)
                return known_or(picture_value(s->base, EDGE_BINDING_SHOWS, edge), s->reach / 2);
        }
    return (double)NAN;
}

enum { TIMES_MOST = 8, PLIES_OF_ONE = 2 * TIMES_MOST };

/* A layer that lies there several times, whole. */
static void add_times(Section *s, Arena *arena, const Ply *ply, bool lowest)
{
    int times = ply->times >= 1 && ply->times <= TIMES_MOST ? (int)ply->times : 1;
    for (int i = 0; i < times; i++)
        add_part(s, arena, ply, lowest);
}

/* Bindings close over all the rest. */
static void add_plies(Section *s, Arena *arena, const Ply *plies, size_t count)
{
    size_t first = s->count;
    for (size_t i = 0; i < count; i++)
        if (!isnan(binding_shows(s, &plies[i])))
            add_ply(s, plies[i].part->path, plies[i].thickness,
                    (Extent){0, binding_shows(s, &plies[i])});
    size_t bindings = s->count - first;
    bool lowest = true;
    for (size_t i = 0; i < count; i++) {
        const Record *edge;
        if (!isnan(binding_shows(s, &plies[i])))
            continue;
        add_times(s, arena, &plies[i], lowest);
        lowest &= picture_side(s->seam, plies[i].part, &edge) == s->seam->side_count;
    }
    for (size_t i = 0; i < bindings; i++) {
        SectionPly *under = &s->plies[first + bindings - 1 - i];
        SectionPly *upper = add_ply(s, under->name, under->thickness, (Extent){under->from, under->to});
        under->turns_into = upper;
        under->turns = SIDE_LEFT;
        under->name = NULL;
    }
}

/* ---- The picture ---- */

static void add_rows(Figure *figure, const Section *s, Box box)
{
    double over = fmax((box.most.y - box.least.y) * 0.12, 0.4);
    for (size_t i = 0; i < s->seam->rows.count; i++) {
        const Record *row = s->seam->rows.items[i];
        double x = picture_value(s->base, ROW_FROM_EDGE, row);
        if (row->placeholder || isnan(x))
            continue;
        Point top = {x, box.most.y + over};
        figure_line(figure, PEN_STITCH, (Point[]){{x, box.least.y - over}, top}, 2);
        figure_label(figure, PEN_STITCH, top, SIDE_ABOVE,
                     arena_printf(figure->arena, "row %s", row->id));
    }
    figure_label(figure, PEN_FAINT, (Point){box.least.x, box.least.y - over}, SIDE_BELOW, "foot side");
}

/* Wide enough for what ends near the seam. */
static double reach_of(const PictureBase *base, const Seam *seam)
{
    double most = 4;
    for (size_t i = 0; i < seam->rows.count; i++)
        most = fmax(most, picture_value(base, ROW_FROM_EDGE, seam->rows.items[i]));
    for (size_t side = 0; side < seam->side_count; side++)
        for (size_t i = 0; i < seam->sides[side].count; i++) {
            const Record *edge = seam->sides[side].edges[i];
            most = fmax(most, picture_value(base, EDGE_ALLOWANCE, edge));
            most = fmax(most, picture_value(base, EDGE_BINDING_SHOWS, edge));
        }
    return fmin(most, 20) + 2.5;
}

static bool anything_left(const Section *s)
{
    return !(joined_as(s, "closed") || joined_as(s, "turned") || joined_as(s, "bound") ||
             joined_as(s, "trimmed"));
}

/* Lines of a row come side by side, first those of the first side with edges, which
 * the profile goes along. Its part lies on their left: the over part, unless the seam
 * runs over the middle of that. */
static Crossing crossing_of(const PictureBase *base, const Record *row, double at)
{
    const Seam *seam = picture_seam(base, row);
    const RowLine *lines;
    size_t count = measured_rows(base->measured, base->size, &lines);
    double start = 0;
    for (size_t i = 0; i < count; i++) {
        const Line *line = &lines[i].line;
        if (lines[i].row != row)
            continue;
        if (at > start + line_length(line)) {
            start += line_length(line);
            continue;
        }
        Point left = left_of(line_direction(line, at - start));
        double way = seam->side_count > 0 && seam->sides[0].bare ? -1 : 1;
        return (Crossing){lines[i].sheet, line_point(line, at - start),
                          {left.x * way, left.y * way},
                          picture_value(base, ROW_FROM_EDGE, row)};
    }
    return (Crossing){0};
}

static void draw(Figure *figure, const PictureBase *base, const Seam *seam, Crossing crossing,
                 const Ply *plies, size_t count)
{
    Section s = {.base = base, .seam = seam, .reach = reach_of(base, seam), .left = 5};
    s.crossing = crossing;
    s.to_both = anything_left(&s);
    s.plies = ARENA_NEW(figure->arena, SectionPly, count * PLIES_OF_ONE);
    add_plies(&s, figure->arena, plies, count);
    Box box = plot_section(figure, s.plies, s.count);
    add_rows(figure, &s, box);
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        sum += (plies[i].thickness + plies[i].folded) * plies[i].times;
    text_add(&figure->notes, "Together ");
    picture_add_mm(&figure->notes, sum);
    text_add(&figure->notes, ", not pressed. Thickness to scale; across: schematic, as far as "
                             "allowances, insets and widths tell.\n");
    if (picture_is(base, SEAM_JOIN, seam->record, "turned"))
        text_add(&figure->notes, "It is sewn face to face; the layers are in the order in which "
                                 "they are worn.\n");
    if (picture_is(base, SEAM_JOIN, seam->record, "closed"))
        text_add(&figure->notes, "It is sewn face to face.\n");
}

/* ---- Where the layers come from ---- */

static bool from_profile(Arena *arena, const PictureBase *base, const Record *row, double at,
                         Figure *figure, Text *why)
{
    RowProfile profile;
    double place = at;
    if (!picture_profile(arena, base, row, &profile, why))
        return false;
    size_t i = isnan(at) ? picture_highest(&profile, &place) : picture_stretch(&profile, at);
    if (i == profile.count || profile.stretches[i].count == 0) {
        text_addf(why, "it is not known which layers lie under row %s", row->path);
        return false;
    }
    const MetStretch *stretch = &profile.stretches[i];
    Ply *plies = ARENA_NEW(arena, Ply, stretch->count);
    for (size_t k = 0; k < stretch->count; k++) {
        const MetLayer *layer = &stretch->layers[k];
        plies[k] = (Ply){layer->part, layer->times, layer->thickness, layer->folded};
    }
    Text title = {0};
    text_addf(&title, "across row %s, ", row->path);
    picture_add_mm(&title, round(place * 10) / 10);
    text_add(&title, isnan(at) ? " along it, where it is highest" : " along it");
    *figure = figure_new(arena, picture_title(arena, base, text_string(&title)));
    text_free(&title);
    draw(figure, base, picture_seam(base, row), crossing_of(base, row, place), plies,
         stretch->count);
    return true;
}

static double layer_number(const PictureBase *base, const Record *part)
{
    double layer = picture_value(base, PART_LAYER, part);
    return isnan(layer) ? INFINITY : layer;
}

/* Written with the top ply first: from behind, next to the foot first. */
static size_t columns_plies(Arena *arena, const PictureBase *base, const Record *of, Ply **plies)
{
    const Columns *columns = measured_columns(base->measured);
    const ManyColumn *many =
        &columns->manys[relation_index(relation_find(of->subject, "ply", strlen("ply")))];
    const OneColumn *parts =
        &columns->ones[relation_index(relation_find(SUBJECT_PLY, "part", strlen("part")))];
    uint32_t first = many->start[of->index], end = many->start[of->index + 1], lane = picture_lane(base);
    size_t count = 0;
    if (many->unknown[of->index])
        return 0;
    *plies = ARENA_NEW(arena, Ply, end - first);
    for (uint32_t i = end; i-- > first;) {
        Record at = {.subject = SUBJECT_PLY, .index = (uint32_t)many->items[i]};
        int32_t part = column_one(parts, many->items[i], lane);
        if (picture_value(base, PLY_UNDER, &at) == 0)
            continue;
        Ply ply = {part < 0 ? NULL : base->style->lists[SUBJECT_PART].items[part],
                   picture_value(base, PLY_TIMES, &at), picture_value(base, PLY_THICKNESS, &at),
                   picture_value(base, PLY_FOLDED, &at)};
        size_t k = count++;
        for (; k > 0 && layer_number(base, (*plies)[k - 1].part) > layer_number(base, ply.part); k--)
            (*plies)[k] = (*plies)[k - 1];
        (*plies)[k] = ply;
    }
    return count;
}

static bool from_columns(Arena *arena, const PictureBase *base, const Record *of,
                         Figure *figure, Text *why)
{
    Ply *plies = NULL;
    size_t count = columns_plies(arena, base, of, &plies);
    if (count == 0) {
        text_addf(why, "it is not known which layers lie at %s %s", subject_name(of->subject),
                  of->path);
        return false;
    }
    const char *title = arena_printf(arena, "across %s %s", subject_name(of->subject), of->path);
    *figure = figure_new(arena, picture_title(arena, base, title));
    const Seam *seam = picture_seam(base, of);
    draw(figure, base, seam, (Crossing){0}, plies, count);
    if (of->subject == SUBJECT_ROW)
        text_addf(&figure->notes, "The layers are %s, not met along a drawn line.\n",
                  seam->spots_given ? "those of the heaviest typed spot"
                                    : "assumed from the seam's edges");
    return true;
}

static bool is_walked(Arena *arena, const PictureBase *base, const Record *row)
{
    RowProfile profile;
    Text why = {0};
    bool walked = picture_profile(arena, base, row, &profile, &why);
    text_free(&why);
    return walked;
}

bool picture_section(Arena *arena, const PictureBase *base, const Record *row, double at,
                     Figure *figure, Text *why)
{
    return is_walked(arena, base, row) ? from_profile(arena, base, row, at, figure, why)
                                       : from_columns(arena, base, row, figure, why);
}

bool picture_spot(Arena *arena, const PictureBase *base, const Record *spot, Figure *figure,
                  Text *why)
{
    return from_columns(arena, base, spot, figure, why);
}

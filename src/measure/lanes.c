/* Sizes and colourways as lanes, and how values follow the sizes. For the files
 * of src/measure only. */
#include "measure/measuring.h"
#include "measure/sizing.h"

enum { MONDOPOINT_MM_A_SIZE = 5 };

/* Does the bend, or else its edge, say whether its radius is kept? */
static bool grade_said(const Record *bend)
{
    const Value *own = record_value(bend, BEND_GRADE);
    if (own->presence != VALUE_ABSENT || !bend->owner)
        return own->presence == VALUE_KNOWN;
    return record_value(bend->owner, EDGE_GRADE)->presence == VALUE_KNOWN;
}

/* Radii that may be kept or scaled make every lane stand twice. */
static bool graded_both_ways(const Style *style)
{
    const RecordList *bends = &style->lists[SUBJECT_BEND];
    for (size_t i = 0; i < bends->count; i++) {
        const Record *bend = bends->items[i];
        if (record_value(bend, BEND_RADIUS)->presence == VALUE_KNOWN && !grade_said(bend))
            return true;
    }
    return false;
}

uint32_t lanes_count(const Style *style, Arena *scratch)
{
    const double *numbers;
    const char *const *names;
    size_t sizes = style_sizes(style, scratch, &numbers, &names);
    size_t count = sizes * style->colourway_count;
    return (uint32_t)(sizes > 1 && graded_both_ways(style) ? 2 * count : count);
}

Quantity value_in_size(const Value *value, double size)
{
    Quantity unknown = {NAN, NAN, NAN, TOLERANCE_UNSAID, true};
    if (value->presence != VALUE_KNOWN)
        return unknown;
    if (!value->by_size)
        return value->quantity;
    for (size_t i = 0; i < value->by_size_count; i++)
        if (value->by_size[i].from <= size && size <= value->by_size[i].to)
            return value->by_size[i].quantity;
    return unknown;
}

/* Ratio of a measure of the last, `step` more a size, to that of the base size.
 * The last's own tolerance is left out: it is one last, graded. */
static double last_ratio(const Style *style, FieldId id, const LaneOf *lane, double growth)
{
    const RecordList *lasts = &style->lists[SUBJECT_LAST];
    if (lane->base)
        return 1;
    if (lasts->count == 0)
        return NAN;
    const Value *value = record_value(lasts->items[0], id);
    double base = value_in_size(value, style->sizes.base).nominal;
    double here = value->by_size ? value_in_size(value, lane->size).nominal : base + growth;
    return here > 0 && base > 0 ? here / base : NAN;
}

/* Sizes away from the base: mondopoint numbers are millimetres, a size is five. */
static double sizes_away(const Sizes *sizes, double size)
{
    double numbers = size - sizes->base;
    return sizes->system == SIZE_MONDOPOINT ? numbers / MONDOPOINT_MM_A_SIZE : numbers;
}

static LaneOf lane_of(const Measuring *m, double size, size_t colourway)
{
    const Sizes *sizes = &m->style->sizes;
    LaneOf lane = {.size = size, .colourway = colourway};
    lane.base = !sizes->given || fabs(size - sizes->base) < 1e-9;
    lane.sizes = lane.base ? 0 : sizes_away(sizes, size);
    double longer = lane.base ? 0 : (size - sizes->base) * sizing_step(sizes->system);
    lane.along = last_ratio(m->style, LAST_LENGTH, &lane, longer);
    lane.across = last_ratio(m->style, LAST_GIRTH, &lane, lane.sizes * m->house->girth_step);
    return lane;
}

void lanes_fill(Measuring *m)
{
    const double *numbers;
    const char *const *names;
    Arena *arena = &m->columns->arena;
    size_t sizes = style_sizes(m->style, arena, &numbers, &names);
    size_t colourways = m->style->colourway_count, once = sizes * colourways;
    m->lanes = ARENA_NEW(&m->scratch, LaneOf, m->columns->lane_count);
    for (size_t i = 0; i < m->columns->lane_count; i++) {
        size_t size = i % once / colourways, colourway = i % colourways;
        const char *name = names[size], *colour = m->style->colourways[colourway].name;
        m->lanes[i] = lane_of(m, numbers[size], colourway);
        m->columns->lanes[i] =
            (Lane){arena_printf(arena, "%s", name), arena_printf(arena, "%s", colour), i >= once,
                   m->lanes[i].base, (uint32_t)size, (uint32_t)colourway};
    }
}

static Span span_scale(Span span, double factor)
{
    return (Span){span.nominal * factor, span.lo * factor, span.hi * factor};
}

/* A bend's radius is kept, scaled, or (where that is not said) as the lane has it. */
bool lane_scales_radius(const Measuring *m, uint32_t bend, uint32_t lane)
{
    Tri scale = cell_is(m, BEND_GRADE, (int32_t)bend, "scale");
    return scale == TRI_YES || (scale == TRI_UNKNOWN && m->columns->lanes[lane].scaled);
}

Span lane_graded(const Measuring *m, FieldId id, uint32_t record, uint32_t lane, Span span,
                 bool *graded)
{
    const LaneOf *to = &m->lanes[lane];
    Grading grading = field_at(id)->grading;
    if (to->base || grading == GRADING_NONE)
        return span;
    if (grading == GRADING_RADIUS && !lane_scales_radius(m, record, lane))
        return span;
    *graded = true;
    if (id == LAST_LENGTH)
        return span_shift(span,
                          (to->size - m->style->sizes.base) * sizing_step(m->style->sizes.system));
    if (grading == GRADING_GIRTH)
        return span_shift(span, to->sizes * m->house->girth_step);
    if (grading == GRADING_RADIUS)
        return span_scale(span, sizing_radius_factor(to->along, to->across));
    return span_scale(span, to->along);
}

uint32_t lanes_distinct(const Measuring *m, FieldId id)
{
    uint32_t stride = m->columns->fields[id].stride;
    uint32_t colourways = (uint32_t)m->style->colourway_count;
    return stride < colourways ? stride : colourways;
}

void lanes_repeat(Measuring *m, FieldId id, uint32_t record)
{
    Column *column = &m->columns->fields[id];
    size_t distinct = lanes_distinct(m, id), first = (size_t)record * column->stride;
    for (size_t cell = first + distinct; cell < first + column->stride; cell++) {
        column->nominal[cell] = column->nominal[cell - distinct];
        column->lo[cell] = column->lo[cell - distinct];
        column->hi[cell] = column->hi[cell - distinct];
    }
}

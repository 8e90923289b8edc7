/* From records to cells: what is written, with its origin and house tolerance;
 * then what edges and bends take from elsewhere. For the files of src/measure
 * only. */
#include "measure/measuring.h"

const RecordList *values_list(const Measuring *m, Subject subject)
{
    static const RecordList none = {0};
    if (subject == SUBJECT_MACHINE)
        return m->factory ? &m->factory->machines : &none;
    if (subject == SUBJECT_STEP || subject == SUBJECT_PLY || subject == SUBJECT_FACTORY)
        return &none;
    return &m->style->lists[subject];
}

/* Half-width that a number of this field takes where none is written; NaN none. */
static double house_half(const Measuring *m, FieldId id, const Record *record, double nominal)
{
    const HouseValues *house = m->house;
    switch (field_at(id)->tolerance) {
    case HOUSE_THICKNESS: {
        int32_t material = (int32_t)record->index;
        double sheet = house->sheet_thickness * nominal;
        Tri leather = tri_or(cell_is(m, MATERIAL_KIND, material, "leather"),
                             tri_or(cell_is(m, MATERIAL_KIND, material, "suede"),
                                    cell_is(m, MATERIAL_KIND, material, "nubuck")));
        if (leather == TRI_UNKNOWN)
            return fmax(house->leather_thickness, sheet);
        return leather == TRI_YES ? house->leather_thickness : sheet;
    }
    case HOUSE_SKIVE:
        return house->skive;
    case HOUSE_LINE:
        return house->line;
    case HOUSE_ROW:
        return house->row;
    default:
        return NAN;
    }
}

static Span number_in_lane(const Measuring *m, FieldId id, const Record *record, uint32_t lane,
                           Origin *origin)
{
    const Value *value = record_value(record, id);
    Quantity quantity = value_in_size(value, m->lanes[lane].size);
    if (quantity.unknown)
        return span_exact(NAN);
    Span span = {quantity.nominal, quantity.lo, quantity.hi};
    if (!value->by_size)
        span = lane_graded(m, id, record->index, lane, span, &origin->graded);
    else
        origin->graded = true;
    double half = house_half(m, id, record, span.nominal);
    if (quantity.tolerance == TOLERANCE_UNSAID && half > 0 && !isnan(span.nominal)) {
        origin->assumed = true;
        span.lo = fmax(fmin(span.nominal, 0), span.nominal - half);
        span.hi = span.nominal + half;
    }
    return span;
}

static void fill_known(Measuring *m, FieldId id, const Record *record, Origin *origin)
{
    const Value *value = record_value(record, id);
    Column *column = &m->columns->fields[id];
    FieldType type = field_at(id)->type;
    Span span = {0};
    for (uint32_t lane = 0; lane < column->stride; lane++) {
        if (lane > 0 && m->lanes[lane].colourway > 0) { /* as in the first colourway */
            cell_put(m, id, record->index, lane, span);
            continue;
        }
        span = span_exact(value->code);
        if (type == FIELD_RANGE)
            span = (Span){NAN, value->quantity.lo, value->quantity.hi};
        else if (type == FIELD_NUMBER)
            span = number_in_lane(m, id, record, lane, origin);
        if (type == FIELD_NUMBER && isnan(span.nominal) && origin->graded)
            origin->note = "unknown in sizes for which the last's measures are not known";
        cell_put(m, id, record->index, lane, span);
    }
}

static void fill_value(Measuring *m, FieldId id, const Record *record)
{
    const Value *value = record_value(record, id);
    const Field *field = field_at(id);
    Column *column = &m->columns->fields[id];
    Origin origin = {.kind = ORIGIN_MISSING};
    double code = NAN;
    if (value->drawn) {
        origin = (Origin){ORIGIN_MEASURED, .at = *value->drawn, .source = value->drawn,
                          .note = value->note};
    } else if (value->node && value->presence != VALUE_ABSENT) {
        origin.kind = value->presence == VALUE_KNOWN ? ORIGIN_WRITTEN : ORIGIN_UNKNOWN;
        origin.at = yaml_where(value->node);
        origin.source = value->node;
    } else if (record->placeholder && record->node) {
        origin = (Origin){ORIGIN_UNKNOWN, .at = yaml_where(record->node), .source = record->node};
    } else if (value->presence == VALUE_ABSENT && field->absence == ABSENT_NONE) {
        origin.kind = ORIGIN_NONE;
        code = 0;
    }
    if (value->presence == VALUE_KNOWN && !record->placeholder) {
        fill_known(m, id, record, &origin);
    } else {
        for (uint32_t lane = 0; lane < column->stride; lane++)
            cell_put(m, id, record->index, lane, span_exact(code));
    }
    column->origins[record->index] = origin_new(m, origin);
}

/* Words and truths first: numbers ask the kind of a material, the grade of a bend. */
static void fill_subject(Measuring *m, Subject subject, bool numbers)
{
    const RecordList *list = values_list(m, subject);
    for (FieldId id = field_first(subject); id < field_end(subject); id++) {
        const Field *field = field_at(id);
        bool number = field->type == FIELD_NUMBER;
        if (number != numbers || field->absence == ABSENT_DERIVED || field->type == FIELD_TEXT ||
            field->type == FIELD_NAME)
            continue;
        for (size_t i = 0; i < list->count; i++)
            fill_value(m, id, list->items[i]);
    }
}

int32_t part_material(const Measuring *m, const Record *part, uint32_t lane)
{
    if (!part)
        return -1;
    const Record *material = record_value(part, PART_MATERIAL)->record;
    const Colourway *colourway = &m->style->colourways[m->lanes[lane].colourway];
    for (size_t i = 0; material && i < colourway->swap_count; i++)
        if (colourway->swaps[i].from == material) {
            material = colourway->swaps[i].to;
            break;
        }
    return material ? (int32_t)material->index : -1;
}

/* Is a skive given? What is written as 0 wide is none. */
static Tri edge_skived(const Measuring *m, const Record *edge)
{
    const Value *width = record_value(edge, EDGE_SKIVE_WIDTH);
    const Value *left = record_value(edge, EDGE_SKIVE_LEFT);
    const Value *form = record_value(edge, EDGE_SKIVE_FORM);
    if (edge->placeholder)
        return TRI_UNKNOWN;
    if (width->presence == VALUE_KNOWN)
        return cell_get(m, EDGE_SKIVE_WIDTH, (int32_t)edge->index, 0).nominal > 0 ? TRI_YES
                                                                                  : TRI_NO;
    if (left->presence == VALUE_KNOWN || form->presence == VALUE_KNOWN)
        return TRI_YES;
    bool asked = width->presence == VALUE_UNKNOWN || left->presence == VALUE_UNKNOWN ||
                 form->presence == VALUE_UNKNOWN;
    return asked ? TRI_UNKNOWN : TRI_NO;
}

/* An edge that is not skived has all of its material's thickness left. */
static void take_thickness(Measuring *m, const Record *edge)
{
    Column *column = &m->columns->fields[EDGE_SKIVE_LEFT];
    for (uint32_t lane = 0; lane < column->stride; lane++)
        cell_put(m, EDGE_SKIVE_LEFT, edge->index, lane,
                 cell_get(m, MATERIAL_THICKNESS, part_material(m, edge->owner, lane), lane));
    int32_t material = part_material(m, edge->owner, 0);
    Origin origin = {.kind = ORIGIN_MISSING, .note = "the part's material is not known"};
    if (material >= 0) {
        origin = *cell_origin(m, MATERIAL_THICKNESS, material);
        if (origin.kind == ORIGIN_WRITTEN)
            origin.kind = ORIGIN_NONE;
        origin.note = "the material's thickness: the edge is not skived";
    }
    column->origins[edge->index] = origin_new(m, origin);
}

/* A skive that is given but for one of its numbers leaves that one unknown. */
static void leave_missing(Measuring *m, FieldId id, const Record *edge)
{
    Column *column = &m->columns->fields[id];
    if (record_value(edge, id)->presence != VALUE_ABSENT)
        return;
    for (uint32_t lane = 0; lane < column->stride; lane++)
        cell_put(m, id, edge->index, lane, span_exact(NAN));
    column->origins[edge->index] = origin_new(m, (Origin){.kind = ORIGIN_MISSING});
}

static void take_skive(Measuring *m, const Record *edge)
{
    Tri skived = edge_skived(m, edge);
    cell_put_tri(m, EDGE_SKIVED, edge->index, skived, NULL);
    if (skived == TRI_NO) {
        take_thickness(m, edge);
    } else {
        leave_missing(m, EDGE_SKIVE_WIDTH, edge);
        leave_missing(m, EDGE_SKIVE_LEFT, edge);
    }
    cell_copy(m, EDGE_THICKNESS, edge->index, EDGE_SKIVE_LEFT, edge->index);
}

static void take_left(Measuring *m, const Record *edge)
{
    if (record_value(edge, EDGE_LEFT)->presence != VALUE_ABSENT || edge->placeholder)
        return;
    cell_copy(m, EDGE_LEFT, edge->index, EDGE_ALLOWANCE, edge->index);
    Origin origin = *cell_origin(m, EDGE_ALLOWANCE, (int32_t)edge->index);
    origin.note = "the allowance where nothing is trimmed";
    m->columns->fields[EDGE_LEFT].origins[edge->index] = origin_new(m, origin);
}

static void take_from_edges(Measuring *m)
{
    const RecordList *edges = values_list(m, SUBJECT_EDGE);
    for (size_t i = 0; i < edges->count; i++) {
        take_left(m, edges->items[i]);
        take_skive(m, edges->items[i]);
    }
}

static void inherit(Measuring *m, const Record *bend, FieldId own, FieldId edges)
{
    if (record_value(bend, own)->presence == VALUE_ABSENT && !bend->placeholder && bend->owner)
        cell_copy(m, own, bend->index, edges, bend->owner->index);
}

static void inherit_words(Measuring *m)
{
    const RecordList *bends = values_list(m, SUBJECT_BEND);
    for (size_t i = 0; i < bends->count; i++) {
        inherit(m, bends->items[i], BEND_RELIEF, EDGE_RELIEF);
        inherit(m, bends->items[i], BEND_GRADE, EDGE_GRADE);
    }
}

static void finish_bends(Measuring *m)
{
    const RecordList *bends = values_list(m, SUBJECT_BEND);
    Column *arc = &m->columns->fields[BEND_ARC];
    for (size_t i = 0; i < bends->count; i++) {
        const Record *bend = bends->items[i];
        int32_t r = (int32_t)bend->index;
        inherit(m, bend, BEND_LEFT, EDGE_LEFT);
        for (uint32_t lane = 0; lane < arc->stride; lane++)
            cell_put(
                m, BEND_ARC, bend->index, lane,
                span_multiply(cell_get(m, BEND_RADIUS, r, lane), cell_get(m, BEND_TURN, r, lane)));
        arc->origins[r] = origin_derived(m, "radius times turn", cell_assumed(m, BEND_RADIUS, r));
    }
}

void values_fill(Measuring *m)
{
    for (int subject = 0; subject < SUBJECT_COUNT; subject++) {
        fill_subject(m, (Subject)subject, false);
        if (subject == SUBJECT_BEND)
            inherit_words(m);
        fill_subject(m, (Subject)subject, true);
        if (subject == SUBJECT_EDGE)
            take_from_edges(m);
    }
    finish_bends(m);
}

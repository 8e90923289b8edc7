/* Parts laid out in every size; lengths and bends as drawn there. For the files of
 * src/measure only. */
#include "measure/measuring.h"
#include "shape/drawing.h"

uint32_t lane_size(const Measuring *m, uint32_t lane)
{
    return m->columns->lanes[lane].size_index;
}

void drawn_put(Measuring *m, FieldId id, uint32_t record, const Span *sizes, const char *note,
               bool assumed)
{
    Column *column = &m->columns->fields[id];
    for (uint32_t lane = 0; lane < column->stride; lane++)
        cell_put(m, id, record, lane, sizes[lane_size(m, lane)]);
    column->origins[record] = origin_derived(m, note, assumed);
}

Span drawn_span(const Measuring *m, double value)
{
    double off = m->house->line > 0 ? m->house->line : 0;
    return (Span){value, value - off, value + off};
}

bool drawn_any(const Measuring *m)
{
    bool any = m->style->drawn_count > 0;
    for (size_t i = 0; i < values_list(m, SUBJECT_EDGE)->count; i++)
        any |= m->style->lines[i].unknown;
    return any;
}

Tri drawn_part(const Measuring *m, const Record *part)
{
    Tri drawn = m->part_drawn[part->index];
    bool lost = record_value(part, PART_SHEET)->presence == VALUE_UNKNOWN;
    return drawn == TRI_YES && lost ? TRI_UNKNOWN : drawn;
}

/* Has the part a line, whatever its sheet? */
static void find_drawn_parts(Measuring *m)
{
    const RecordList *edges = values_list(m, SUBJECT_EDGE);
    m->part_drawn = ARENA_NEW(&m->scratch, Tri, values_list(m, SUBJECT_PART)->count);
    for (size_t i = 0; i < edges->count; i++) {
        const DrawnLine *line = &m->style->lines[i];
        Tri *drawn = &m->part_drawn[edges->items[i]->owner->index];
        if (line->part || line->unknown)
            *drawn = tri_or(*drawn, line->part ? TRI_YES : TRI_UNKNOWN);
    }
}

/* ---- Laying out ---- */

/* An underlay is drawn at its cut line, its allowance beyond the seam. */
static double strip_of(const Measuring *m, const Record *edge)
{
    const JointList *joints = &m->joints[edge->index];
    double allowance = cell_get(m, EDGE_ALLOWANCE, (int32_t)edge->index, 0).nominal;
    Tri under = TRI_NO;
    for (size_t i = 0; i < joints->count; i++)
        under = tri_or(under, seam_underlay(m, joints->items[i].seam, joints->items[i].side));
    return under == TRI_NO || allowance == 0 ? 0 : under == TRI_YES ? allowance : NAN;
}

static double *strips_of(Measuring *m)
{
    const RecordList *edges = values_list(m, SUBJECT_EDGE);
    double *strips = ARENA_NEW(&m->scratch, double, edges->count);
    for (size_t i = 0; i < edges->count; i++)
        strips[i] = strip_of(m, edges->items[i]);
    return strips;
}

static uint64_t *paths_of(Measuring *m)
{
    size_t edges = values_list(m, SUBJECT_EDGE)->count;
    uint64_t *paths = ARENA_NEW(&m->scratch, uint64_t, edges);
    for (size_t i = 0; i < edges; i++) {
        const DrawnLine *line = &m->style->lines[i];
        if (line->part)
            paths[i] =
                once_path(once_in(m, &m->scratch), &line->part->outline.edges[line->place].path);
    }
    return paths;
}

void drawn_lay(Measuring *m)
{
    uint32_t lanes = m->columns->lane_count;
    m->size_count = lane_size(m, lanes - 1) + 1;
    m->lays = ARENA_NEW(&m->scratch, Lay *, m->size_count);
    m->row_lines = ARENA_NEW(&m->scratch, RowLineList, m->size_count);
    find_drawn_parts(m);
    double *strips = drawn_any(m) ? strips_of(m) : NULL;
    m->paths = paths_of(m);
    for (uint32_t lane = 0; lane < lanes; lane++) {
        uint32_t size = lane_size(m, lane);
        if (m->lanes[lane].base)
            m->base_size = size;
        if (m->lanes[lane].base && !m->lanes[m->base_lane].base)
            m->base_lane = lane;
        if (strips && !m->lays[size])
            m->lays[size] = lay_out_once(once_in(m, &m->scratch), m->style,
                                         (Stretch2){m->lanes[lane].along, m->lanes[lane].across},
                                         strips, m->paths);
    }
}

/* ---- Edges ---- */

/* The length in this size as a multiple of that in the base size. */
static double growth_of(const Measuring *m, const Record *edge, uint32_t lane)
{
    const Lay *base = m->lays[m->base_size], *here = m->lays[lane_size(m, lane)];
    if (!here || !here->of_edge[edge->index])
        return NAN;
    return here->of_edge[edge->index]->length / base->of_edge[edge->index]->length;
}

/* A drawn measure keeps its tolerance in every size; it is drawn anew each time. */
static void grow(Measuring *m, FieldId id, uint32_t record, const Record *edge, uint32_t lane)
{
    Span base = cell_get(m, id, (int32_t)record, m->base_lane);
    if (m->columns->fields[id].stride > 1 && !m->lanes[lane].base && m->lanes[lane].colourway > 0)
        cell_put(m, id, record, lane, cell_get(m, id, (int32_t)record, lane - 1));
    else if (m->columns->fields[id].stride > 1 && !m->lanes[lane].base)
        cell_put(m, id, record, lane,
                 span_shift(base, drawing_rounded(base.nominal * (growth_of(m, edge, lane) - 1))));
}

static double quantity_off(const Value *value, double drawn)
{
    if (value->presence == VALUE_ABSENT)
        return 0;
    return value->presence == VALUE_KNOWN ? fabs(value->quantity.nominal - drawn) : NAN;
}

/* How far what is typed beside the drawn line is from it, at the most. */
static double stated_off(const Measuring *m, const Record *edge, const DrawnLine *line)
{
    const RecordList *bends = values_list(m, SUBJECT_BEND);
    double off = 0;
    size_t drawn = 0;
    if (line->typed_length)
        off = quantity_off(line->typed_length,
                           cell_get(m, EDGE_LENGTH, (int32_t)edge->index, m->base_lane).nominal);
    for (size_t i = 0; line->bends_typed && i < bends->count; i++) {
        if (bends->items[i]->owner != edge)
            continue;
        if (drawn == line->typed_bends.count)
            return NAN;
        const Value *radius = record_value(line->typed_bends.items[drawn++], BEND_RADIUS);
        double one =
            quantity_off(radius, cell_get(m, BEND_RADIUS, (int32_t)i, m->base_lane).nominal);
        off = isnan(one) || isnan(off) ? NAN : fmax(off, one);
    }
    return line->bends_typed && drawn != line->typed_bends.count ? NAN : off;
}

static void fill_edge(Measuring *m, const Record *edge)
{
    const DrawnLine *line = &m->style->lines[edge->index];
    bool drawn = line->part != NULL;
    bool stated = drawn && (line->typed_length || line->bends_typed);
    cell_put_tri(m, EDGE_DRAWN, edge->index,
                 drawn           ? TRI_YES
                 : line->unknown ? TRI_UNKNOWN
                                 : TRI_NO,
                 "from the drawing");
    cell_put_tri(m, EDGE_STATED, edge->index,
                 stated          ? TRI_YES
                 : line->unknown ? TRI_UNKNOWN
                                 : TRI_NO,
                 "from the style");
    cell_put(m, EDGE_STATED_OFF, edge->index, 0,
             span_exact(stated ? stated_off(m, edge, line) : NAN));
    m->columns->fields[EDGE_STATED_OFF].origins[edge->index] =
        origin_derived(m, stated ? "typed against drawn" : "not both typed and drawn", false);
    for (uint32_t lane = 0; drawn && lane < m->columns->lane_count; lane++)
        grow(m, EDGE_LENGTH, edge->index, edge, lane);
}

/* ---- Bends ---- */

static const Path *path_of(const DrawnLine *line)
{
    return &line->part->outline.edges[line->place].path;
}

/* By all that a bend says. */
static uint64_t bend_number(const Measuring *m, uint64_t path, const Bend *bend)
{
    const KeyWord key[] = {{KEY_BEND},
                           {path},
                           {bend->from.piece},
                           {.number = bend->from.t},
                           {bend->to.piece},
                           {.number = bend->to.t},
                           {bend->sharpest.piece},
                           {.number = bend->sharpest.t},
                           {.number = bend->radius},
                           {.number = bend->window},
                           {.number = bend->turn},
                           {.number = bend->arc},
                           {.number = bend->at},
                           {(uint64_t)bend->left * 2 + bend->corner}};
    return held_number_of(m->held, key, sizeof key / sizeof key[0]);
}

const Bend *drawn_bend(const Measuring *m, const DrawnLine *line, const Record *bend, Matrix matrix)
{
    const KeyWord key[] = {{KEY_RADIUS},         {m->bends[bend->index]}, {.number = matrix.a},
                           {.number = matrix.b}, {.number = matrix.c},    {.number = matrix.d}};
    const size_t words = sizeof key / sizeof key[0];
    const Bend *found = held_find(m->held, key, words);
    if (found)
        return found;
    Bend *kept = held_keep(m->held, key, words, sizeof *kept);
    *kept = bends_stretched(path_of(line), m->style->bends[bend->index], matrix);
    return kept;
}

bool drawn_stretch(const Measuring *m, const DrawnLine *line, uint32_t lane, Matrix *matrix)
{
    const Sheet *sheet = line->part->sheet;
    double along = sheet && sheet->along_known ? sheet->along : NAN;
    const Lay *lay = m->lays[lane_size(m, lane)];
    *matrix = stretch_matrix((Stretch2){m->lanes[lane].along, m->lanes[lane].across}, along);
    return lay && lay->of_part[line->part->part->index];
}

static double radius_in(const Measuring *m, const DrawnLine *line, const Record *bend,
                        uint32_t lane)
{
    Matrix matrix;
    if (!drawn_stretch(m, line, lane, &matrix))
        return NAN;
    return drawing_rounded(fmin(drawn_bend(m, line, bend, matrix)->radius, BEND_RADIUS_MOST_MM));
}

/* A drawn bend is measured again on the stretched line, once a size. */
static void fill_bend(Measuring *m, const Record *record, const Bend *bend)
{
    const DrawnLine *line = &m->style->lines[record->owner->index];
    Column *arc = &m->columns->fields[BEND_ARC];
    uint32_t index = record->index;
    Span base = cell_get(m, BEND_RADIUS, (int32_t)index, m->base_lane);
    m->bends[index] = bend_number(m, m->paths[record->owner->index], bend);
    double *radii = ARENA_NEW(&m->scratch, double, m->size_count);
    for (uint32_t lane = 0; lane < m->columns->lane_count; lane++) {
        uint32_t size = lane_size(m, lane);
        bool scales = !m->lanes[lane].base && lane_scales_radius(m, index, lane);
        if (scales && !bend->corner && radii[size] == 0)
            radii[size] = radius_in(m, line, record, lane);
        if (scales && !bend->corner && m->columns->fields[BEND_RADIUS].stride > 1)
            cell_put(m, BEND_RADIUS, index, lane, span_shift(base, radii[size] - base.nominal));
        if (scales || m->lanes[lane].base || arc->stride > 1)
            cell_put(m, BEND_ARC, index, lane,
                     span_exact(drawing_rounded(bend->arc *
                                                (scales ? growth_of(m, record->owner, lane) : 1))));
        grow(m, BEND_AT, index, record->owner, lane);
    }
    arc->origins[index] = origin_derived(m, "measured along the drawn line", false);
}

void drawn_fill(Measuring *m)
{
    const RecordList *edges = values_list(m, SUBJECT_EDGE), *bends = values_list(m, SUBJECT_BEND);
    m->bends = ARENA_NEW(&m->scratch, uint64_t, bends->count);
    for (size_t i = 0; i < edges->count; i++)
        fill_edge(m, edges->items[i]);
    for (size_t i = 0; m->style->drawn_count && i < bends->count; i++)
        if (m->style->bends[i])
            fill_bend(m, bends->items[i], m->style->bends[i]);
}

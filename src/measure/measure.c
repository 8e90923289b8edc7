/* From a style and a factory to columns: the order in which everything is worked
 * out. For src/judge and tests. */
#include <stdlib.h>
#include <string.h>

#include "measure/measuring.h"

static uint32_t subject_count(const Measuring *m, Subject subject)
{
    if (subject == SUBJECT_FACTORY)
        return m->factory ? 1 : 0;
    return (uint32_t)values_list(m, subject)->count;
}

/* Worked out from the thickness of materials, which colourways swap. */
static bool follows_material(FieldId id)
{
    switch (id) {
    case EDGE_SKIVE_LEFT:
    case EDGE_THICKNESS:
    case EDGE_STACK:
    case SEAM_RIDGE:
    case ROW_STACK:
    case SPOT_STACK:
    case STEP_RISE:
    case PLY_THICKNESS:
    case PLY_FOLDED:
    case PLY_PRESSED:
        return true;
    default:
        return false;
    }
}

/* Measured again in every size where lines are drawn. */
static bool follows_lines(FieldId id)
{
    switch (id) {
    case BOTTOM_LASTED:
    case PART_ROW_CLEAR:
    case PART_TOPLINE_CLEAR:
    case BEND_PAIR_OFF:
    case BEND_CHORD_SHARE:
    case HOLE_ROW_CLEAR:
    case HOLE_CUT_CLEAR:
    case SEAM_MISFIT:
    case SEAM_OVERLAP:
    case ROW_STACK:
    case STEP_RISE:
    case STEP_APART:
        return true;
    default:
        return false;
    }
}

static bool goes_by_size(const Measuring *m, FieldId id)
{
    const RecordList *list = values_list(m, field_at(id)->subject);
    for (size_t i = 0; i < list->count; i++)
        if (record_value(list->items[i], id)->by_size)
            return true;
    return false;
}

static bool field_varies(const Measuring *m, FieldId id)
{
    if (field_at(id)->type != FIELD_NUMBER)
        return false;
    if (follows_lines(id) && m->style->drawn_count > 0)
        return true;
    if (follows_material(id))
        return m->style->colourway_count > 1;
    return id == BEND_ARC || id == BEND_PAIR_OFF || field_at(id)->grading != GRADING_NONE ||
           goes_by_size(m, id);
}

static Columns *columns_for(Measuring *m)
{
    uint32_t count[SUBJECT_COUNT];
    bool varies[FIELD_ID_COUNT];
    size_t relations;
    const Relation *table = relation_table(&relations);
    bool *one_varies = ARENA_NEW(&m->scratch, bool, relations);
    for (int i = 0; i < SUBJECT_COUNT; i++)
        count[i] = subject_count(m, (Subject)i);
    for (int i = 0; i < FIELD_ID_COUNT; i++)
        varies[i] = field_varies(m, (FieldId)i);
    for (size_t i = 0; i < relations; i++)
        one_varies[i] = table[i].to == SUBJECT_MATERIAL && m->style->colourway_count > 1;
    return columns_new(lanes_count(m->style, &m->scratch), count, varies, one_varies);
}

static double *unknown_cells(Arena *arena, size_t count)
{
    double *cells = arena_alloc_unset(arena, count, sizeof *cells);
    for (size_t i = 0; i < count; i++)
        cells[i] = NAN;
    return cells;
}

/* Steps and plies are known only once thicknesses are: their columns, empty so
 * far, take `count` records here. */
static void columns_extend(Columns *columns, Subject subject, uint32_t count)
{
    Arena *arena = &columns->arena;
    size_t relations;
    const Relation *table = relation_table(&relations);
    columns->count[subject] = count;
    columns->names[subject] = ARENA_NEW(arena, const char *, count);
    columns->places[subject] = ARENA_NEW(arena, Where, count);
    for (FieldId id = field_first(subject); id < field_end(subject); id++) {
        Column *column = &columns->fields[id];
        size_t cells = (size_t)count * column->stride;
        column->nominal = unknown_cells(arena, cells);
        column->lo = unknown_cells(arena, cells);
        column->hi = unknown_cells(arena, cells);
        column->origins = ARENA_NEW(arena, const Origin *, count);
    }
    for (size_t i = 0; i < relations; i++)
        if (table[i].from == subject) {
            size_t cells = (size_t)count * columns->ones[i].stride;
            columns->ones[i].index = ARENA_NEW(arena, int32_t, cells);
        }
}

static void fill_names(Measuring *m, Subject subject)
{
    const RecordList *list = values_list(m, subject);
    for (size_t i = 0; i < list->count; i++) {
        const Record *record = list->items[i];
        const YamlNode *node = record->key ? record->key : record->node;
        const char *name = record->path ? record->path : "";
        m->columns->names[subject][i] = arena_copy(&m->columns->arena, name, strlen(name));
        if (node)
            m->columns->places[subject][i] = yaml_where(node);
    }
}

static void fill_all_names(Measuring *m)
{
    for (int subject = 0; subject < SUBJECT_COUNT; subject++)
        fill_names(m, (Subject)subject);
    if (m->factory)
        m->columns->names[SUBJECT_FACTORY][0] =
            arena_printf(&m->columns->arena, "%s", m->factory->name ? m->factory->name : "");
}

static void measure_all(Measuring *m)
{
    m->columns = columns_for(m);
    lanes_fill(m);
    fill_all_names(m);
    joins_index(m);
    values_fill(m);
    joins_fill(m);
    drawn_lay(m);
    drawn_fill(m);
    facets_fill(m);
    plies_draft(m);
    making_measure(m);
    columns_extend(m->columns, SUBJECT_STEP, stack_number_steps(m));
    columns_extend(m->columns, SUBJECT_PLY, plies_number(m));
    plies_fill(m);
    stacks_fill(m);
    rows_fill(m);
    fits_fill(m);
    clear_fill(m);
    feather_fill(m);
    rounds_fill(m);
    stays_fill(m);
    relations_fill(m);
}

static Measured *measure_with(MeasureShelf *shelf, MeasureShelf *own, const Style *style,
                              const Factory *factory, const HouseValues *house)
{
    Measured *m = memory_new(1, sizeof *m);
    *m = (Measured){.style = style, .factory = factory, .house = house, .own = own};
    m->held = held_new(shelf ? shelf : own);
    measure_all(m);
    held_settle(m->held);
    return m;
}

Measured *measured_new(const Style *style, const Factory *factory, const HouseValues *house)
{
    return measure_with(NULL, measure_shelf_new(), style, factory, house);
}

Measured *measured_from_shelf(MeasureShelf *shelf, const Style *style, const Factory *factory,
                              const HouseValues *house)
{
    return shelf ? measure_with(shelf, NULL, style, factory, house)
                 : measured_new(style, factory, house);
}

Columns *measure_style(const Style *style, const Factory *factory, const HouseValues *house)
{
    Measured *m = measured_new(style, factory, house);
    Columns *columns = m->columns;
    m->columns = NULL;
    measured_free(m);
    return columns;
}

void measured_free(Measured *measured)
{
    if (!measured)
        return;
    columns_free(measured->columns);
    arena_free(&measured->scratch);
    held_free(measured->held);
    measure_shelf_free(measured->own);
    free(measured);
}

const Columns *measured_columns(const Measured *measured)
{
    return measured->columns;
}

const Lay *measured_lay(const Measured *measured, uint32_t size)
{
    return measured->lays[size];
}

size_t measured_rows(const Measured *measured, uint32_t size, const RowLine **rows)
{
    *rows = measured->row_lines[size].items;
    return measured->row_lines[size].count;
}

uint32_t measured_base_size(const Measured *measured)
{
    return measured->base_size;
}

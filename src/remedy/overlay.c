/* Columns with some cells changed, the others shared. For src/remedy. */
#include <math.h>
#include <string.h>

#include "remedy/inside.h"

void overlay_start(Overlay *overlay, const Columns *like, const Columns *base)
{
    *overlay = (Overlay){.like = like, .columns = *base};
    memcpy(overlay->base, base->fields, sizeof overlay->base);
}

void overlay_end(Overlay *overlay)
{
    arena_free(&overlay->arena);
}

static double *copied(Arena *arena, const double *cells, size_t count)
{
    double *copy = ARENA_NEW(arena, double, count);
    memcpy(copy, cells, count * sizeof *copy);
    return copy;
}

/* A column of its own for what is about to be changed. */
static Column *own_column(Overlay *overlay, FieldId field)
{
    Column *column = &overlay->columns.fields[field];
    if (overlay->copied[field])
        return column;
    uint32_t records = overlay->columns.count[field_at(field)->subject];
    size_t cells = (size_t)records * column->stride;
    column->nominal = copied(&overlay->arena, column->nominal, cells);
    column->lo = copied(&overlay->arena, column->lo, cells);
    column->hi = copied(&overlay->arena, column->hi, cells);
    const Origin **origins = ARENA_NEW(&overlay->arena, const Origin *, records);
    memcpy(origins, column->origins, records * sizeof *origins);
    column->origins = origins;
    overlay->copied[field] = true;
    return column;
}

/* Sizes that grade it keep their ratio; a tolerance stays as wide as it is. */
static void set_number(Column *column, const Column *old, size_t cell, bool assumed,
                       const Axis *axis, double value)
{
    double nominal = old->nominal[cell];
    double now = axis->quantity.nominal;
    double next = nominal == now ? value : nominal * value / now;
    double above = old->hi[cell] - nominal, below = assumed ? above : nominal - old->lo[cell];
    column->nominal[cell] = next;
    column->hi[cell] = next + above;
    column->lo[cell] = assumed ? fmax(fmin(next, 0), next - below) : next - below;
}

static void set_tolerance(Column *column, const Column *old, size_t cell, const Axis *axis,
                          double value)
{
    double nominal = old->nominal[cell], share = value / axis->now;
    column->hi[cell] = nominal + (old->hi[cell] - nominal) * share;
    column->lo[cell] = nominal - (nominal - old->lo[cell]) * share;
}

/* An arc of the same turn is as much longer as its radius is. */
static void set_arc(Overlay *overlay, const Axis *axis, uint32_t record, double value)
{
    const Column *old = &overlay->base[BEND_ARC];
    Column *column = own_column(overlay, BEND_ARC);
    for (uint32_t lane = 0; lane < column->stride; lane++) {
        size_t cell = column_cell(column, record, lane);
        double share = value / axis->quantity.nominal;
        column->nominal[cell] = old->nominal[cell] * share;
        column->lo[cell] = old->lo[cell] * share;
        column->hi[cell] = old->hi[cell] * share;
    }
}

static bool same_number(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

/* In colourways the same cell can hold another value. */
static bool holds(const Overlay *overlay, const Axis *axis, const AxisCell *where, uint32_t lane)
{
    const Column *column = &overlay->like->fields[where->field];
    const Column *own = &overlay->like->fields[axis->field];
    return same_number(column->nominal[column_cell(column, where->record, lane)],
                       own->nominal[column_cell(own, axis->index, lane)]);
}

static void set_cell(Overlay *overlay, const Axis *axis, const AxisCell *where, double value)
{
    const Column *old = &overlay->base[where->field];
    Column *column = own_column(overlay, where->field);
    bool assumed = old->origins[where->record]->assumed;
    for (uint32_t lane = 0; lane < column->stride; lane++) {
        size_t cell = column_cell(column, where->record, lane);
        if (!holds(overlay, axis, where, lane))
            continue;
        if (axis->kind == AXIS_TOLERANCE)
            set_tolerance(column, old, cell, axis, value);
        else
            set_number(column, old, cell, assumed, axis, value);
    }
    if (axis->kind == AXIS_TOLERANCE && assumed) {
        Origin *stated = ARENA_NEW(&overlay->arena, Origin, 1);
        *stated = *old->origins[where->record];
        stated->assumed = false;
        column->origins[where->record] = stated;
    }
}

void overlay_set(Overlay *overlay, const Axis *axis, double value)
{
    for (size_t i = 0; i < axis->cell_count; i++) {
        const AxisCell *cell = &axis->cells[i];
        set_cell(overlay, axis, cell, value);
        if (axis->kind == AXIS_NUMBER && cell->field == BEND_RADIUS)
            set_arc(overlay, axis, cell->record, value);
    }
}

bool overlay_holds(const Axis *axis, FieldId field, uint32_t record)
{
    bool turns = field == BEND_ARC && axis->kind == AXIS_NUMBER;
    for (size_t i = 0; i < axis->cell_count; i++)
        if (axis->cells[i].record == record &&
            (axis->cells[i].field == field || (turns && axis->cells[i].field == BEND_RADIUS)))
            return true;
    return false;
}

size_t overlay_cells(Arena *arena, const Columns *columns, FieldId field, uint32_t record,
                     const AxisCell **cells)
{
    const void *source = columns->fields[field].origins[record]->source;
    AxisCell *items = NULL;
    size_t count = 0, capacity = 0;
    *ARENA_PUSH(arena, items, count, capacity) = (AxisCell){field, record};
    for (int id = 0; source && id < FIELD_ID_COUNT; id++) {
        const Column *column = &columns->fields[id];
        uint32_t records = columns->count[field_at((FieldId)id)->subject];
        FieldType type = field_at((FieldId)id)->type;
        for (uint32_t r = 0; r < records && type == FIELD_NUMBER; r++)
            if (column->origins[r]->source == source && !((FieldId)id == field && r == record))
                *ARENA_PUSH(arena, items, count, capacity) = (AxisCell){(FieldId)id, r};
    }
    *cells = items;
    return count;
}

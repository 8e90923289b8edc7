/* Columns for records and lanes, every value missing to begin with. For
 * src/measure, which fills them, and for the examples of rules. */
#include "field/columns.h"

#include <math.h>
#include <stdlib.h>

static const Origin missing = {.kind = ORIGIN_MISSING};

static double *unknown_numbers(Arena *arena, size_t count)
{
    double *numbers = arena_alloc_unset(arena, count, sizeof *numbers);
    for (size_t i = 0; i < count; i++)
        numbers[i] = NAN;
    return numbers;
}

static void column_new(Arena *arena, Column *column, uint32_t records, uint32_t stride)
{
    size_t cells = (size_t)records * stride;
    column->stride = stride;
    column->nominal = unknown_numbers(arena, cells);
    column->lo = unknown_numbers(arena, cells);
    column->hi = unknown_numbers(arena, cells);
    column->origins = ARENA_NEW(arena, const Origin *, records);
    for (uint32_t i = 0; i < records; i++)
        column->origins[i] = &missing;
}

static void one_new(Arena *arena, OneColumn *one, uint32_t records, uint32_t stride)
{
    size_t cells = (size_t)records * stride;
    one->stride = stride;
    one->index = ARENA_NEW(arena, int32_t, cells);
    for (size_t i = 0; i < cells; i++)
        one->index[i] = -1;
}

static void many_new(Arena *arena, ManyColumn *many, uint32_t records)
{
    many->start = ARENA_NEW(arena, uint32_t, (size_t)records + 1);
    many->items = ARENA_NEW(arena, int32_t, 0);
    many->unknown = ARENA_NEW(arena, bool, records);
}

static void fields_new(Columns *columns, const bool *varies)
{
    for (int id = 0; id < FIELD_ID_COUNT; id++) {
        const Field *field = field_at((FieldId)id);
        if (field->type == FIELD_TEXT || field->type == FIELD_NAME)
            continue;
        column_new(&columns->arena, &columns->fields[id], columns->count[field->subject],
                   varies && varies[id] ? columns->lane_count : 1);
    }
}

static void relations_new(Columns *columns, const bool *one_varies)
{
    size_t count;
    const Relation *table = relation_table(&count);
    columns->ones = ARENA_NEW(&columns->arena, OneColumn, count);
    columns->manys = ARENA_NEW(&columns->arena, ManyColumn, count);
    for (size_t i = 0; i < count; i++) {
        uint32_t records = columns->count[table[i].from];
        if (table[i].many)
            many_new(&columns->arena, &columns->manys[i], records);
        else
            one_new(&columns->arena, &columns->ones[i], records,
                    one_varies && one_varies[i] ? columns->lane_count : 1);
    }
}

static void names_new(Columns *columns)
{
    for (int subject = 0; subject < SUBJECT_COUNT; subject++) {
        uint32_t records = columns->count[subject];
        columns->names[subject] = ARENA_NEW(&columns->arena, const char *, records);
        for (uint32_t i = 0; i < records; i++)
            columns->names[subject][i] = "";
        columns->places[subject] = ARENA_NEW(&columns->arena, Where, records);
    }
}

Columns *columns_new(uint32_t lane_count, const uint32_t count[SUBJECT_COUNT],
                     const bool varies[FIELD_ID_COUNT], const bool *one_varies)
{
    Columns *columns = memory_new(1, sizeof *columns);
    columns->lane_count = lane_count;
    columns->lanes = ARENA_NEW(&columns->arena, Lane, lane_count);
    for (uint32_t i = 0; i < lane_count; i++)
        columns->lanes[i] = (Lane){.size = "", .colourway = ""};
    for (int subject = 0; subject < SUBJECT_COUNT; subject++)
        columns->count[subject] = count[subject];
    fields_new(columns, varies);
    relations_new(columns, one_varies);
    names_new(columns);
    return columns;
}

void columns_free(Columns *columns)
{
    if (!columns)
        return;
    arena_free(&columns->arena);
    free(columns);
}

uint32_t columns_base_lane(const Columns *columns, uint32_t colourway)
{
    for (uint32_t lane = 0; lane < columns->lane_count; lane++)
        if (columns->lanes[lane].base && columns->lanes[lane].colourway_index == colourway)
            return lane;
    return 0;
}

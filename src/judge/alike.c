/* Which lanes are alike to a rule: where everything it can read is the same, it
 * is judged once. Sizes seldom matter to a stack, colourways seldom to a line.
 * For src/judge only. */
#include <math.h>

#include "judge/inside.h"

/* A partition of the lanes: each lane's first lane that is alike. */
typedef struct Partition {
    uint32_t *first;
    uint32_t lanes;
} Partition;

struct Alike {
    Arena *arena;
    const Columns *columns;
    uint32_t *fields[FIELD_ID_COUNT]; /* firsts by column, worked out when first asked */
    uint32_t **ones;
};

Alike *alike_new(Arena *arena, const Columns *columns)
{
    Alike *alike = ARENA_NEW(arena, Alike, 1);
    size_t relations;
    relation_table(&relations);
    alike->arena = arena;
    alike->columns = columns;
    alike->ones = ARENA_NEW(arena, uint32_t *, relations);
    return alike;
}

static bool same_number(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

/* Whether two lanes hold the same in a field, or lead to the same by a relation. */
typedef bool SameLanes(const Columns *columns, size_t which, uint32_t a, uint32_t b);

static bool same_cells(const Columns *columns, size_t which, uint32_t a, uint32_t b)
{
    FieldId id = (FieldId)which;
    const Column *column = &columns->fields[id];
    uint32_t records = columns->count[field_at(id)->subject];
    for (uint32_t r = 0; r < records; r++) {
        size_t i = column_cell(column, r, a), j = column_cell(column, r, b);
        if (!same_number(column->nominal[i], column->nominal[j]) ||
            !same_number(column->lo[i], column->lo[j]) ||
            !same_number(column->hi[i], column->hi[j]))
            return false;
    }
    return true;
}

static bool same_records(const Columns *columns, size_t which, uint32_t a, uint32_t b)
{
    size_t count;
    Subject from = relation_table(&count)[which].from;
    for (uint32_t r = 0; r < columns->count[from]; r++)
        if (column_one(&columns->ones[which], (int32_t)r, a) !=
            column_one(&columns->ones[which], (int32_t)r, b))
            return false;
    return true;
}

/* Each lane's first lane that is the same; worked out once and kept in `known`. */
static const uint32_t *firsts(Alike *alike, uint32_t **known, size_t which, SameLanes *same)
{
    const Columns *columns = alike->columns;
    if (*known)
        return *known;
    uint32_t *first = ARENA_NEW(alike->arena, uint32_t, columns->lane_count);
    for (uint32_t l = 0; l < columns->lane_count; l++)
        while (first[l] < l &&
               (first[first[l]] != first[l] || !same(columns, which, first[l], l)))
            first[l]++;
    return *known = first;
}

/* Parts lanes that `other` parts. */
static void refine(Partition *partition, const uint32_t *other)
{
    uint32_t *first = partition->first;
    for (uint32_t l = partition->lanes; l-- > 0;) {
        uint32_t m = first[l];
        while (m < l && (first[m] != first[l] || other[m] != other[l]))
            m++;
        first[l] = m;
    }
}

static void refine_path(Alike *alike, Partition *partition, const RecordPath *path)
{
    for (int i = 0; i < path->length; i++) {
        size_t index = relation_index(path->steps[i]);
        if (alike->columns->ones[index].stride > 1)
            refine(partition, firsts(alike, &alike->ones[index], index, same_records));
    }
}

static void refine_field(Alike *alike, Partition *partition, const RecordPath *path, FieldId id)
{
    refine_path(alike, partition, path);
    if (id < FIELD_ID_COUNT && alike->columns->fields[id].stride > 1)
        refine(partition, firsts(alike, &alike->fields[id], id, same_cells));
}

static void refine_formula(Alike *alike, Partition *partition, const Formula *formula)
{
    if (!formula || formula->kind == FORMULA_LET) /* the rule's lets are asked once each */
        return;
    if (formula->kind == FORMULA_FIELD || formula->kind == FORMULA_IN_FIELD)
        refine_field(alike, partition, &formula->record, formula->field);
    if (formula->kind == FORMULA_OVER)
        refine_path(alike, partition, &formula->record);
    if (formula->kind == FORMULA_LIMIT) {
        refine_field(alike, partition, &formula->record, formula->limit->by);
        if (formula->own_record.subject != SUBJECT_COUNT)
            refine_field(alike, partition, &formula->own_record, formula->limit->own);
    }
    for (int i = 0; i < 3; i++)
        refine_formula(alike, partition, formula->operand[i]);
    refine_formula(alike, partition, formula->filter);
}

const uint32_t *alike_lanes(Alike *alike, const Rule *rule)
{
    Partition partition = {.lanes = alike->columns->lane_count};
    partition.first = ARENA_NEW(alike->arena, uint32_t, partition.lanes);
    refine_formula(alike, &partition, rule->when);
    refine_formula(alike, &partition, rule->require);
    for (size_t i = 0; i < rule->let_count; i++)
        refine_formula(alike, &partition, rule->lets[i].formula->operand[0]);
    return partition.first;
}

/* --- at one place ---------------------------------------------------------------- */

typedef struct MetLane {
    uint32_t lane;
    Read *reads;
    size_t count;
} MetLane;

static bool reads_alike(const MetLane *a, const MetLane *b)
{
    bool alike = a->count == b->count;
    for (size_t i = 0; alike && i < a->count; i++)
        alike = readings_equal(&a->reads[i], &b->reads[i]);
    return alike;
}

uint32_t alike_at_place(MetLanes *met, const Columns *columns, const Finding *finding,
                        uint32_t lane)
{
    Plain plain;
    MetLane here = {.lane = lane};
    plain_start(&plain, finding->rule, columns, lane, (int32_t)finding->record);
    here.count = readings_collect(&met->arena, &plain, &here.reads);
    for (size_t i = 0; i < met->count; i++)
        if (reads_alike(&met->items[i], &here))
            return met->items[i].lane;
    *ARENA_PUSH(&met->arena, met->items, met->count, met->capacity) = here;
    return lane;
}

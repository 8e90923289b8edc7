/* Parts of a box of tolerances as lanes of compiled code. For src/judge only. */
#include "judge/parts.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "judge/again.h"
#include "rule/code.h"

/* A cell that differs between the parts. */
typedef struct PartCell {
    FieldId field;
    uint32_t record;
    size_t source; /* which of those given */
    PlainNumber whole;
} PartCell;

struct Parts {
    Arena arena;
    uint32_t record;
    const Code *code;
    const Columns *from; /* of `lane` the values are */
    uint32_t lane;
    const void *const *sources;
    size_t source_count;
    bool declared_only;
    Columns columns;     /* shares with those what is the same in all lanes */
    bool own[FIELD_ID_COUNT];
    double *numbers;     /* of its own columns; only what the rule reads is set */
    PartCell *cells;
    size_t cell_count;
    uint32_t lanes[PARTS];
};

/* ---- What is read ---- */

/* Which of the sources the cell moves with; their number: none. */
static size_t source_of(const Parts *parts, FieldId field, uint32_t record)
{
    const Column *column = &parts->from->fields[field];
    size_t cell = column_cell(column, record, parts->lane), i = 0;
    const void *source = column->origins[record]->source;
    if (field_at(field)->type != FIELD_NUMBER || !(column->lo[cell] < column->hi[cell]) ||
        (parts->declared_only && column->origins[record]->assumed))
        return parts->source_count;
    if (!source)
        source = &column->nominal[cell];
    while (i < parts->source_count && parts->sources[i] != source)
        i++;
    return i;
}

/* A cell a part where some read cell moves, else one. */
static void plan_columns(Parts *parts, const AgainRead *reads, size_t count)
{
    size_t need = 0, taken = 0;
    for (size_t i = 0; i < count; i++) {
        Column *column = &parts->columns.fields[reads[i].field];
        bool moves = source_of(parts, reads[i].field, reads[i].record) < parts->source_count;
        if (!parts->own[reads[i].field])
            column->stride = 1;
        parts->own[reads[i].field] = true;
        column->stride = moves ? PARTS : column->stride;
    }
    for (int id = 0; id < FIELD_ID_COUNT; id++)
        if (parts->own[id])
            need += 3u * parts->columns.count[field_at((FieldId)id)->subject] *
                    parts->columns.fields[id].stride;
    parts->numbers = memory_grow(NULL, need + 1, sizeof *parts->numbers);
    for (int id = 0; id < FIELD_ID_COUNT; id++) {
        Column *column = &parts->columns.fields[id];
        size_t cells = (size_t)parts->columns.count[field_at((FieldId)id)->subject] *
                       column->stride;
        if (!parts->own[id])
            continue;
        column->nominal = parts->numbers + taken;
        column->lo = column->nominal + cells;
        column->hi = column->lo + cells;
        taken += 3 * cells;
    }
}

static void fill_cell(Parts *parts, const AgainRead *read)
{
    const Column *from = &parts->from->fields[read->field];
    Column *to = &parts->columns.fields[read->field];
    size_t cell = column_cell(from, read->record, parts->lane);
    PlainNumber whole = {from->nominal[cell], from->lo[cell], from->hi[cell]};
    PlainNumber kept = whole;
    size_t source = source_of(parts, read->field, read->record);
    if (source < parts->source_count)
        parts->cells[parts->cell_count++] =
            (PartCell){read->field, read->record, source, whole};
    else if (field_at(read->field)->type == FIELD_NUMBER)
        kept.lo = kept.hi = kept.nominal;
    for (uint32_t i = 0; i < to->stride; i++) {
        size_t at = column_cell(to, read->record, i);
        to->nominal[at] = kept.nominal;
        to->lo[at] = kept.lo;
        to->hi[at] = kept.hi;
    }
}

/* Where relations differ between lanes they are those of the one lane. */
static void take_ones(Parts *parts)
{
    size_t count;
    const Relation *table = relation_table(&count);
    OneColumn *ones = ARENA_NEW(&parts->arena, OneColumn, count);
    for (size_t i = 0; i < count; i++) {
        uint32_t records = parts->from->count[table[i].from];
        ones[i] = parts->from->ones[i];
        if (table[i].many || ones[i].stride <= 1)
            continue;
        int32_t *index = ARENA_NEW(&parts->arena, int32_t, records);
        for (uint32_t r = 0; r < records; r++)
            index[r] = column_one(&parts->from->ones[i], (int32_t)r, parts->lane);
        ones[i] = (OneColumn){1, index};
    }
    parts->columns.ones = ones;
}

/* ---- For tight.c ---- */

static bool all_have_cells(const Parts *parts)
{
    bool all = true;
    for (size_t i = 0; all && i < parts->source_count; i++) {
        bool has = false;
        for (size_t k = 0; k < parts->cell_count && !has; k++)
            has = parts->cells[k].source == i;
        all = has;
    }
    return all;
}

Parts *parts_new(const Rule *rule, const Columns *columns, uint32_t record, uint32_t lane,
                 const void *const *sources, size_t count, bool declared_only)
{
    Parts *parts = memory_new(1, sizeof *parts);
    AgainRead *reads;
    parts->record = record;
    parts->from = columns;
    parts->lane = lane;
    parts->sources = sources;
    parts->source_count = count;
    parts->declared_only = declared_only;
    parts->columns = *columns;
    parts->columns.lane_count = PARTS;
    for (uint32_t i = 0; i < PARTS; i++)
        parts->lanes[i] = i;
    size_t read = again_reads_in(&parts->arena, columns, rule, record, lane, &reads);
    parts->cells = ARENA_NEW(&parts->arena, PartCell, read);
    plan_columns(parts, reads, read);
    for (size_t i = 0; i < read; i++)
        fill_cell(parts, &reads[i]);
    if (!all_have_cells(parts)) {
        parts_free(parts);
        return NULL;
    }
    take_ones(parts);
    Rule *only = (Rule *)rule;
    parts->code = code_compile(&parts->arena, rule->about, &only, 1);
    return parts;
}

void parts_free(Parts *parts)
{
    if (!parts)
        return;
    free(parts->numbers);
    arena_free(&parts->arena);
    free(parts);
}

void parts_set(Parts *parts, uint32_t which, const BoxSide *sides)
{
    for (size_t i = 0; i < parts->cell_count; i++) {
        const PartCell *cell = &parts->cells[i];
        const BoxSide *side = &sides[cell->source];
        Column *column = &parts->columns.fields[cell->field];
        size_t at = column_cell(column, cell->record, which);
        PlainNumber left = plain_part(cell->whole, side->from, side->to, true);
        column->nominal[at] = left.nominal;
        column->lo[at] = left.lo;
        column->hi[at] = left.hi;
    }
}

PartsFailing parts_run(const Parts *parts, uint32_t count)
{
    Arena scratch = {0};
    const CodePairs pairs = {&parts->record, parts->lanes, 1, count};
    const CodeResult *result = code_run_pairs(&scratch, parts->code, &parts->columns, &pairs);
    PartsFailing failing = {*result->fail_possible, *result->when_true & *result->require_false};
    arena_free(&scratch);
    return failing;
}

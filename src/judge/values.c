/* The values of a style's file that a finding rests on. For everyone who changes
 * them. */
#include <string.h>

#include "judge/inside.h"

enum { WORKED_OUT_DEPTH = 6 };

typedef struct Finds {
    Arena *arena;
    const Columns *columns;
    uint32_t lane;
    FindingValue *items;
    size_t count, capacity;
} Finds;

/* A machine's values belong to the factory; a step is between two spots. */
static bool in_style(FieldId id)
{
    const Field *field = field_at(id);
    return id == PLY_TIMES || (field->absence != ABSENT_DERIVED && field->subject <= SUBJECT_SPOT);
}

static void add_value(Finds *finds, FieldId id, int32_t record, bool given)
{
    if (record < 0 || !in_style(id))
        return;
    for (size_t i = 0; i < finds->count; i++)
        if (finds->items[i].field == id && finds->items[i].record == (uint32_t)record)
            return;
    *ARENA_PUSH(finds->arena, finds->items, finds->count, finds->capacity) =
        (FindingValue){id, (uint32_t)record, given};
}

static void add_read(Finds *finds, FieldId id, int32_t record, int depth);

/* Of the records that a relation leads to. */
static void add_related(Finds *finds, const Relation *relation, FieldId from, int32_t record,
                        int depth)
{
    size_t index = relation_index(relation);
    if (!relation->many) {
        int32_t one = column_one(&finds->columns->ones[index], record, finds->lane);
        add_read(finds, from, one, depth);
        return;
    }
    const ManyColumn *many = &finds->columns->manys[index];
    for (uint32_t i = many->start[record]; i < many->start[record + 1]; i++)
        add_read(finds, from, many->items[i], depth);
}

/* What is worked out stands for what it is worked out from. */
static void add_read(Finds *finds, FieldId id, int32_t record, int depth)
{
    if (record < 0 || depth > WORKED_OUT_DEPTH)
        return;
    add_value(finds, id, record, false);
    size_t count;
    const WorkedOut *worked_out = look_worked_out(&count);
    for (size_t i = 0; i < count; i++) {
        const char *name = worked_out[i].relation;
        if (worked_out[i].of != id)
            continue;
        if (name)
            add_related(finds, relation_find(field_at(id)->subject, name, strlen(name)),
                        worked_out[i].from, record, depth + 1);
        else
            add_read(finds, worked_out[i].from, record, depth + 1);
    }
}

size_t finding_values(Arena *arena, const Judgement *judgement, const Finding *finding,
                      FindingValue **values)
{
    Look look, decided;
    uint32_t lane = finding_worst_lane(judgement, finding);
    look_at(&look, arena, judgement, finding, lane);
    look_as_decided(&decided, judgement, finding);
    const Plain *plain = finding->verdict == VERDICT_UNKNOWN ? &look.plain : &decided.plain;
    Finds finds = {.arena = arena, .columns = judgement->columns, .lane = plain->lane};
    for (size_t i = 0; i < finding->rule->give_count; i++) {
        const Give *give = &finding->rule->gives[i];
        add_value(&finds, give->field, plain_record(plain, &give->record), true);
    }
    Read *reads;
    size_t count = readings_collect(arena, &look.plain, &reads);
    for (size_t i = 0; i < count; i++) {
        const Formula *formula = reads[i].formula;
        if (formula->kind != FORMULA_LIMIT)
            add_read(&finds, formula->field, reads[i].record, 0);
        else if (formula->limit->by != FIELD_ID_COUNT)
            add_read(&finds, formula->limit->by, plain_record(&look.plain, &formula->record), 0);
    }
    *values = finds.items;
    return finds.count;
}

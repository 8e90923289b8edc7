/* What differs between the columns of two judgements, and which rules read it. For
 * src/compare. */
#include "compare/touched.h"

#include <string.h>

/* ---- Columns ---- */

static bool same_numbers(const Column *a, const Column *b, size_t cell, size_t count)
{
    size_t bytes = count * sizeof(double);
    return memcmp(a->nominal + cell, b->nominal + cell, bytes) == 0 &&
           memcmp(a->lo + cell, b->lo + cell, bytes) == 0 &&
           memcmp(a->hi + cell, b->hi + cell, bytes) == 0;
}

static bool same_column(const Columns *a, const Columns *b, FieldId id)
{
    const Column *x = &a->fields[id], *y = &b->fields[id];
    size_t count = a->count[field_at(id)->subject];
    if (count == 0 || !x->nominal || !y->nominal)
        return x->nominal == y->nominal || count == 0;
    return x->stride == y->stride && same_numbers(x, y, 0, count * x->stride);
}

static bool same_many(const ManyColumn *a, const ManyColumn *b, size_t count)
{
    return memcmp(a->start, b->start, (count + 1) * sizeof *a->start) == 0 &&
           memcmp(a->unknown, b->unknown, count * sizeof *a->unknown) == 0 &&
           (a->start[count] == 0 ||
            memcmp(a->items, b->items, a->start[count] * sizeof *a->items) == 0);
}

static bool same_relation(const Columns *a, const Columns *b, const Relation *relation)
{
    size_t index = relation_index(relation), count = a->count[relation->from];
    if (count == 0)
        return true;
    if (relation->many)
        return same_many(&a->manys[index], &b->manys[index], count);
    const OneColumn *x = &a->ones[index], *y = &b->ones[index];
    return x->stride == y->stride &&
           memcmp(x->index, y->index, count * x->stride * sizeof *x->index) == 0;
}

static bool same_name(const char *a, const char *b)
{
    return a == b || (a && b && strcmp(a, b) == 0);
}

/* The same records in the same lanes: an index means the same in both. */
static bool same_places(const Columns *a, const Columns *b)
{
    if (a->lane_count != b->lane_count || memcmp(a->count, b->count, sizeof a->count) != 0)
        return false;
    for (Subject subject = 0; subject < SUBJECT_COUNT; subject++)
        for (uint32_t i = 0; i < a->count[subject]; i++)
            if (!same_name(a->names[subject][i], b->names[subject][i]))
                return false;
    for (uint32_t i = 0; i < a->lane_count; i++)
        if (!same_name(a->lanes[i].size, b->lanes[i].size) ||
            !same_name(a->lanes[i].colourway, b->lanes[i].colourway) ||
            a->lanes[i].scaled != b->lanes[i].scaled)
            return false;
    return true;
}

Touched touched_find(Arena *arena, const Judgement *before, const Judgement *after)
{
    size_t relation_count;
    const Relation *relations = relation_table(&relation_count);
    Touched touched = {.before = before->columns, .after = after->columns};
    touched.all = before->rules != after->rules || !same_places(before->columns, after->columns);
    if (touched.all)
        return touched;
    touched.fields = ARENA_NEW(arena, bool, FIELD_ID_COUNT);
    touched.relations = ARENA_NEW(arena, bool, relation_count);
    for (FieldId id = 0; id < FIELD_ID_COUNT; id++)
        touched.fields[id] = !same_column(before->columns, after->columns, id);
    for (size_t i = 0; i < relation_count; i++)
        touched.relations[relation_index(&relations[i])] =
            !same_relation(before->columns, after->columns, &relations[i]);
    return touched;
}

/* ---- What a rule reads ---- */

/* Of the place itself and what it leads to the very value is looked at; of the members
 * of a set that any value of the field differs is enough. */
static bool field_touched(const Touched *t, const RecordPath *path, FieldId id, uint32_t place)
{
    int32_t record = (int32_t)place;
    if (!t->fields[id])
        return false;
    for (int i = 0; i < path->length && record >= 0 && path->binding == 0; i++) {
        const OneColumn *one = &t->after->ones[relation_index(path->steps[i])];
        if (one->stride > 1)
            return true;
        record = one->index[record];
    }
    const Column *a = &t->before->fields[id], *b = &t->after->fields[id];
    if (path->binding != 0 || a->stride != b->stride)
        return true;
    return record >= 0 && !same_numbers(a, b, (size_t)record * a->stride, a->stride);
}

static bool steps_touched(const Touched *t, const RecordPath *path)
{
    for (int i = 0; i < path->length; i++)
        if (t->relations[relation_index(path->steps[i])])
            return true;
    return false;
}

static bool path_touched(const Touched *t, const RecordPath *path, FieldId id, uint32_t place)
{
    return steps_touched(t, path) || field_touched(t, path, id, place);
}

static bool limit_touched(const Touched *t, const Formula *formula, uint32_t place)
{
    const Limit *limit = formula->limit;
    if (limit->by != FIELD_ID_COUNT && path_touched(t, &formula->record, limit->by, place))
        return true;
    return formula->own_record.subject != SUBJECT_COUNT &&
           path_touched(t, &formula->own_record, limit->own, place);
}

/* Lets are looked at on their own. */
static bool formula_touched(const Touched *t, const Formula *formula, uint32_t place)
{
    if (!formula || formula->kind == FORMULA_LET)
        return false;
    bool touched = false;
    if (formula->kind == FORMULA_FIELD || formula->kind == FORMULA_IN_FIELD)
        touched = path_touched(t, &formula->record, formula->field, place);
    else if (formula->kind == FORMULA_LIMIT)
        touched = limit_touched(t, formula, place);
    else if (formula->kind == FORMULA_OVER)
        touched = steps_touched(t, &formula->record) ||
                  t->relations[relation_index(formula->relation)] ||
                  formula_touched(t, formula->filter, place);
    for (int i = 0; i < 3 && !touched; i++)
        touched = formula_touched(t, formula->operand[i], place);
    return touched;
}

bool finding_touched(const Touched *touched, const Finding *finding)
{
    const Rule *rule = finding->rule;
    if (touched->all || formula_touched(touched, rule->when, finding->record) ||
        formula_touched(touched, rule->require, finding->record))
        return true;
    for (size_t i = 0; i < rule->let_count; i++)
        if (formula_touched(touched, rule->lets[i].formula->operand[0], finding->record))
            return true;
    return false;
}

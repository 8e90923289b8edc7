/* What differs between the columns of two judgements, and which rules read it. For
 * judging again and for src/compare. */
#include "judge/touched.h"

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

/* ---- Tolerances drawn together ---- */

/* What a source was called before, and what it is called now, by either name. */
typedef struct Renamed {
    const void **from, **to; /* open addressing, at most half full */
    size_t mask;
} Renamed;

static Renamed renamed_new(Arena *arena, size_t most)
{
    Renamed renamed = {.mask = 15};
    while (renamed.mask < 2 * most)
        renamed.mask = 2 * renamed.mask + 1;
    renamed.from = ARENA_NEW(arena, const void *, renamed.mask + 1);
    renamed.to = ARENA_NEW(arena, const void *, renamed.mask + 1);
    return renamed;
}

/* True if it has this other name, or had none yet. */
static bool rename_source(Renamed *renamed, const void *from, const void *to)
{
    size_t slot = ((uintptr_t)from * 0x9e3779b97f4a7c15u >> 20) & renamed->mask;
    while (renamed->from[slot] && renamed->from[slot] != from)
        slot = (slot + 1) & renamed->mask;
    if (!renamed->from[slot]) {
        renamed->from[slot] = from;
        renamed->to[slot] = to;
    }
    return renamed->to[slot] == to;
}

/* Two values that have no source are each their own, before and after. */
static bool same_origin(Renamed *is, Renamed *was, const Origin *a, const Origin *b)
{
    if ((a->kind == ORIGIN_MISSING) != (b->kind == ORIGIN_MISSING) || !a->source != !b->source)
        return false;
    return !a->source ||
           (rename_source(is, a->source, b->source) && rename_source(was, b->source, a->source));
}

/* Which values move together decides what can fail: the same values must be the same. */
static void find_drawn(Arena *arena, Touched *t)
{
    size_t most = 0;
    for (FieldId id = 0; id < FIELD_ID_COUNT; id++)
        most += t->after->count[field_at(id)->subject];
    Renamed is = renamed_new(arena, most), was = renamed_new(arena, most);
    for (FieldId id = 0; id < FIELD_ID_COUNT; id++) {
        const Origin *const *a = t->before->fields[id].origins, *const *b = t->after->fields[id].origins;
        uint32_t count = t->after->count[field_at(id)->subject];
        for (uint32_t r = 0; a && b && r < count; r++)
            if (!same_origin(&is, &was, a[r], b[r]))
                t->drawn[id] = true;
    }
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
    touched.drawn = ARENA_NEW(arena, bool, FIELD_ID_COUNT);
    touched.relations = ARENA_NEW(arena, bool, relation_count);
    for (FieldId id = 0; id < FIELD_ID_COUNT; id++)
        touched.fields[id] = !same_column(before->columns, after->columns, id);
    for (size_t i = 0; i < relation_count; i++)
        touched.relations[relation_index(&relations[i])] =
            !same_relation(before->columns, after->columns, &relations[i]);
    find_drawn(arena, &touched);
    return touched;
}

/* ---- What a rule reads ---- */

typedef struct Gathering {
    const Touched *touched;
    Arena *arena;
    TouchedReads reads;
    size_t capacity;
} Gathering;

/* Of the members of a set that any value of the field differs is enough. */
static void gather_field(Gathering *g, const RecordPath *path, FieldId id)
{
    const Touched *t = g->touched;
    bool whole = t->drawn[id] || path->binding != 0 ||
                 t->before->fields[id].stride != t->after->fields[id].stride;
    if (!t->drawn[id] && !t->fields[id])
        return;
    g->reads.everywhere = g->reads.everywhere || whole;
    *ARENA_PUSH(g->arena, g->reads.items, g->reads.count, g->capacity) = (TouchedRead){path, id};
}

static void gather_steps(Gathering *g, const RecordPath *path)
{
    for (int i = 0; i < path->length; i++)
        if (g->touched->relations[relation_index(path->steps[i])])
            g->reads.everywhere = true;
}

static void gather_path(Gathering *g, const RecordPath *path, FieldId id)
{
    if (id == FIELD_ID_COUNT)
        return;
    gather_steps(g, path);
    gather_field(g, path, id);
}

/* Lets are looked at on their own. */
static void gather(Gathering *g, const Formula *formula)
{
    if (!formula || formula->kind == FORMULA_LET)
        return;
    if (formula->kind == FORMULA_FIELD || formula->kind == FORMULA_IN_FIELD)
        gather_path(g, &formula->record, formula->field);
    if (formula->kind == FORMULA_LIMIT)
        gather_path(g, &formula->record, formula->limit->by);
    if (formula->kind == FORMULA_LIMIT && formula->own_record.subject != SUBJECT_COUNT)
        gather_path(g, &formula->own_record, formula->limit->own);
    if (formula->kind == FORMULA_OVER) {
        gather_steps(g, &formula->record);
        if (g->touched->relations[relation_index(formula->relation)])
            g->reads.everywhere = true;
        gather(g, formula->filter);
    }
    for (int i = 0; i < 3; i++)
        gather(g, formula->operand[i]);
}

TouchedReads touched_reads(Arena *arena, const Touched *touched, const Rule *rule)
{
    Gathering g = {.touched = touched, .arena = arena, .reads = {.everywhere = touched->all}};
    if (touched->all)
        return g.reads;
    gather(&g, rule->when);
    gather(&g, rule->require);
    for (size_t i = 0; i < rule->let_count; i++)
        gather(&g, rule->lets[i].formula->operand[0]);
    return g.reads;
}

/* Of the place itself and what it leads to the very value is looked at. */
static bool read_touched(const Touched *t, const TouchedRead *read, uint32_t place)
{
    int32_t record = (int32_t)place;
    for (int i = 0; i < read->path->length && record >= 0; i++) {
        const OneColumn *one = &t->after->ones[relation_index(read->path->steps[i])];
        if (one->stride > 1)
            return true;
        record = one->index[record];
    }
    const Column *a = &t->before->fields[read->field], *b = &t->after->fields[read->field];
    return record >= 0 && !same_numbers(a, b, (size_t)record * a->stride, a->stride);
}

bool place_touched(const Touched *touched, const TouchedReads *reads, uint32_t record)
{
    bool differs = reads->everywhere;
    for (size_t i = 0; i < reads->count && !differs; i++)
        differs = read_touched(touched, &reads->items[i], record);
    return differs;
}

bool finding_touched(const Touched *touched, const Finding *finding)
{
    Arena scratch = {0};
    TouchedReads reads = touched_reads(&scratch, touched, finding->rule);
    bool differs = place_touched(touched, &reads, finding->record);
    arena_free(&scratch);
    return differs;
}

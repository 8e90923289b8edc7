/* Which places a change touches: by the values that differ, and by the seams that join
 * them. For the screen and its tests. */
#include "compare/joined.h"

#include <string.h>

enum { WHY_MOST = 3 };

/* What is known of one place while it is found out. */
typedef struct Mark {
    bool touched, changed;
    const char *why[WHY_MOST]; /* names of fields that differ */
    size_t fields;
    const char *joined; /* to what; NULL: no more than its own values */
} Mark;

typedef struct Finder {
    Arena *arena;
    const Columns *before, *after;
    const Style *style;             /* after */
    Mark *marks[SUBJECT_COUNT];     /* of parts, edges, seams and rows */
    FieldId *differ[SUBJECT_COUNT]; /* fields that differ in some record, which alone are looked
                                       at of records that keep their index */
    size_t differ_count[SUBJECT_COUNT];
} Finder;

static bool is_place(Subject subject)
{
    return subject == SUBJECT_PART || subject == SUBJECT_EDGE || subject == SUBJECT_SEAM ||
           subject == SUBJECT_ROW;
}

/* ---- Values that differ ---- */

/* A derived value that differs makes a place touched, one that is written or drawn makes
 * it the change itself. */
static void mark_field(Mark *mark, const Field *field)
{
    bool there = false;
    mark->touched = true;
    mark->changed = mark->changed || field->absence != ABSENT_DERIVED;
    for (size_t i = 0; i < mark->fields && i < WHY_MOST; i++)
        there = there || strcmp(mark->why[i], field->name) == 0;
    if (there)
        return;
    if (mark->fields < WHY_MOST)
        mark->why[mark->fields] = field->name;
    mark->fields++;
}

/* A bend is told with its edge; a spot and a climb are with their row. */
static Mark *mark_of(const Finder *f, Subject subject, uint32_t record)
{
    static const char *const up[] = {"row", "edge"};
    if (is_place(subject))
        return &f->marks[subject][record];
    for (size_t i = 0; i < sizeof up / sizeof *up; i++) {
        const Relation *relation = relation_find(subject, up[i], strlen(up[i]));
        if (!relation || relation->many)
            continue;
        int32_t index = column_one(&f->after->ones[relation_index(relation)], (int32_t)record, 0);
        if (index >= 0)
            return &f->marks[relation->to][index];
    }
    return NULL;
}

static bool same_cells(const Column *a, uint32_t from, const Column *b, uint32_t to)
{
    if (!a->nominal || !b->nominal || a->stride != b->stride)
        return a->nominal == b->nominal;
    size_t x = (size_t)from * a->stride, y = (size_t)to * b->stride;
    size_t bytes = a->stride * sizeof(double);
    return memcmp(a->nominal + x, b->nominal + y, bytes) == 0 &&
           memcmp(a->lo + x, b->lo + y, bytes) == 0 && memcmp(a->hi + x, b->hi + y, bytes) == 0;
}

static bool same_column(const Finder *f, FieldId id)
{
    const Column *a = &f->before->fields[id], *b = &f->after->fields[id];
    Subject subject = field_at(id)->subject;
    size_t cells = (size_t)f->before->count[subject] * a->stride;
    if (f->before->count[subject] != f->after->count[subject] || a->stride != b->stride)
        return false;
    if (!a->nominal || !b->nominal)
        return a->nominal == b->nominal;
    return memcmp(a->nominal, b->nominal, cells * sizeof(double)) == 0 &&
           memcmp(a->lo, b->lo, cells * sizeof(double)) == 0 &&
           memcmp(a->hi, b->hi, cells * sizeof(double)) == 0;
}

static void find_differing(Finder *f, Subject subject)
{
    FieldId end = field_end(subject);
    f->differ[subject] = ARENA_NEW(f->arena, FieldId, FIELD_ID_COUNT);
    for (FieldId id = field_first(subject); id < end; id++)
        if (!same_column(f, id))
            f->differ[subject][f->differ_count[subject]++] = id;
}

/* Marks what differs of two records of a subject. */
static void mark_fields(const Finder *f, Mark *mark, Subject subject, uint32_t before,
                        uint32_t after)
{
    bool moved = before != after;
    FieldId first = field_first(subject);
    size_t count = moved ? (size_t)(field_end(subject) - first) : f->differ_count[subject];
    for (size_t i = 0; i < count; i++) {
        FieldId id = moved ? (FieldId)(first + i) : f->differ[subject][i];
        if (!same_cells(&f->before->fields[id], before, &f->after->fields[id], after))
            mark_field(mark, field_at(id));
    }
}

/* The record of the same name, looked for from where the last one was found. */
static bool same_record(const Finder *f, Subject subject, const char *name, uint32_t *at)
{
    uint32_t count = f->before->count[subject];
    for (uint32_t i = 0; i < count; i++) {
        uint32_t record = (*at + i) % count;
        const char *met = f->before->names[subject][record];
        if (met && strcmp(met, name) == 0) {
            *at = record;
            return true;
        }
    }
    return false;
}

/* What a part is cut from: another material, or the same with other values. */
static void compare_materials(const Finder *f, Mark *mark, uint32_t before, uint32_t after)
{
    static const char material[] = "material";
    size_t index = relation_index(relation_find(SUBJECT_PART, material, sizeof material - 1));
    for (uint32_t lane = 0; lane < f->after->lane_count; lane++) {
        int32_t is = column_one(&f->after->ones[index], (int32_t)after, lane);
        uint32_t was_lane = lane < f->before->lane_count ? lane : 0;
        int32_t was = column_one(&f->before->ones[index], (int32_t)before, was_lane);
        bool both = is >= 0 && was >= 0;
        if (both ? strcmp(f->after->names[SUBJECT_MATERIAL][is],
                          f->before->names[SUBJECT_MATERIAL][was]) != 0
                 : is != was) {
            mark_field(mark, field_at(PART_MATERIAL));
            return;
        }
        if (both)
            mark_fields(f, mark, SUBJECT_MATERIAL, (uint32_t)was, (uint32_t)is);
    }
}

static void compare_record(const Finder *f, Subject subject, uint32_t before, uint32_t after)
{
    bool same = before == after && f->differ_count[subject] == 0 && subject != SUBJECT_PART;
    Mark *mark = same ? NULL : mark_of(f, subject, after);
    if (!mark)
        return;
    if (subject == SUBJECT_PART)
        compare_materials(f, mark, before, after);
    mark_fields(f, mark, subject, before, after);
}

static void compare_records(const Finder *f, Subject subject)
{
    uint32_t at = 0;
    for (uint32_t i = 0; i < f->after->count[subject]; i++) {
        const char *name = f->after->names[subject][i];
        if (!name || !same_record(f, subject, name, &at))
            continue;
        compare_record(f, subject, at, i);
        at = (at + 1) % f->before->count[subject];
    }
}

/* ---- What is joined ---- */

static Mark *mark_at(const Finder *f, const Record *record)
{
    const Columns *columns = f->after;
    Subject subject = record->subject;
    if (record->index >= columns->count[subject] || !columns->names[subject][record->index] ||
        strcmp(columns->names[subject][record->index], record->path) != 0)
        return NULL;
    return &f->marks[subject][record->index];
}

static void join(const Finder *f, const Record *record, const Record *to)
{
    Mark *mark = mark_at(f, record);
    if (!mark || record == to)
        return;
    mark->touched = true;
    if (!mark->joined && !mark->changed)
        mark->joined =
            arena_printf(f->arena, "joined to %s %s", subject_name(to->subject), to->path);
}

static bool changed(const Finder *f, const Record *record)
{
    const Mark *mark = mark_at(f, record);
    return mark && mark->changed;
}

/* The seam, or one of its rows, its edges or their parts, that changed; NULL: none. */
static const Record *changed_of(const Finder *f, const Seam *seam)
{
    if (changed(f, seam->record))
        return seam->record;
    for (size_t i = 0; i < seam->rows.count; i++)
        if (changed(f, seam->rows.items[i]))
            return seam->rows.items[i];
    for (int part = 0; part < 2; part++)
        for (size_t i = 0; i < seam->side_count; i++)
            for (size_t k = 0; k < seam->sides[i].count; k++) {
                const Record *edge = seam->sides[i].edges[k];
                const Record *record = part ? edge->owner : edge;
                if (changed(f, record))
                    return record;
            }
    return NULL;
}

/* All that a seam joins is held against what changed of it. */
static void join_seam(const Finder *f, const Seam *seam)
{
    const Record *cause = changed_of(f, seam);
    if (!cause)
        return;
    join(f, seam->record, cause);
    for (size_t i = 0; i < seam->side_count; i++)
        for (size_t k = 0; k < seam->sides[i].count; k++)
            join(f, seam->sides[i].edges[k], cause);
    for (size_t i = 0; i < seam->rows.count; i++)
        join(f, seam->rows.items[i], cause);
}

/* ---- All of them ---- */

static const char *why_text(const Finder *f, const Mark *mark)
{
    Text text = {0};
    size_t named = mark->fields < WHY_MOST ? mark->fields : WHY_MOST;
    for (size_t i = 0; i < named; i++)
        text_addf(&text, "%s%s", i ? ", " : "", mark->why[i]);
    if (mark->fields > named)
        text_addf(&text, " and %zu more", mark->fields - named);
    if (mark->joined)
        text_addf(&text, "%s%s", text.length ? "; " : "", mark->joined);
    const char *kept = arena_copy(f->arena, text_string(&text), text.length);
    text_free(&text);
    return kept;
}

static void gather(const Finder *f, TouchedPlaces *places, TouchedPlace *items, bool itself)
{
    static const Subject order[] = {SUBJECT_SEAM, SUBJECT_EDGE, SUBJECT_ROW, SUBJECT_PART};
    for (size_t s = 0; s < sizeof order / sizeof *order; s++)
        for (uint32_t i = 0; i < f->after->count[order[s]]; i++) {
            const Mark *mark = &f->marks[order[s]][i];
            const char *name = f->after->names[order[s]][i];
            if (mark->touched && mark->changed == itself && name)
                items[places->count++] =
                    (TouchedPlace){order[s], name, why_text(f, mark), mark->changed};
        }
}

TouchedPlaces touched_places(Arena *arena, const Judgement *before, const Judgement *after)
{
    Finder f = {
        .arena = arena, .before = before->columns, .after = after->columns, .style = after->style};
    size_t most = 0;
    for (Subject subject = 0; subject < SUBJECT_COUNT; subject++)
        if (is_place(subject)) {
            f.marks[subject] = ARENA_NEW(arena, Mark, f.after->count[subject]);
            most += f.after->count[subject];
        }
    find_differing(&f, SUBJECT_MATERIAL);
    for (Subject subject = SUBJECT_PART; subject <= SUBJECT_STEP; subject++)
        if (subject != SUBJECT_MATERIAL)
            find_differing(&f, subject);
    for (Subject subject = SUBJECT_PART; subject <= SUBJECT_STEP; subject++)
        compare_records(&f, subject);
    for (size_t i = 0; i < f.style->seam_count; i++)
        join_seam(&f, &f.style->seams[i]);
    TouchedPlace *items = ARENA_NEW(arena, TouchedPlace, most);
    TouchedPlaces places = {.items = items};
    gather(&f, &places, items, true);
    places.changed = places.count;
    gather(&f, &places, items, false);
    return places;
}

void touched_say(Text *text, const TouchedPlaces *places, size_t most)
{
    size_t count = places->count - places->changed;
    for (size_t i = 0; i < count && i < most; i++) {
        const TouchedPlace *place = &places->items[places->changed + i];
        text_addf(text, "%s%s %s", i ? ", " : "touches ", subject_name(place->subject),
                  place->name);
    }
    if (count > most)
        text_addf(text, " and %zu more", count - most);
}

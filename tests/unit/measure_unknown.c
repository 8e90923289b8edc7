/* Taking away any one written value must leave every cell as it was, unknown, or
 * with wider bounds; and every set as it was, or unknown. */
#include "unit/measure_reading.h"

typedef struct Taken {
    const Reading *before;
    Reading after;
    const char *path;
} Taken;

/* Names of layers are told apart by what they belong to; -1 if it is gone. */
static int32_t same_record(const Taken *t, Subject subject, uint32_t record)
{
    const Columns *before = t->before->columns, *after = t->after.columns;
    for (uint32_t i = 0; i < after->count[subject]; i++)
        if (strcmp(after->names[subject][i], before->names[subject][record]) == 0)
            return (int32_t)i;
    return -1;
}

static void check_cells(const Taken *t, FieldId id)
{
    const Column *before = &t->before->columns->fields[id], *after = &t->after.columns->fields[id];
    Subject subject = field_at(id)->subject;
    for (uint32_t i = 0; i < t->before->columns->count[subject]; i++) {
        int32_t now = same_record(t, subject, i);
        for (uint32_t lane = 0; now >= 0 && lane < t->before->columns->lane_count; lane++) {
            /* without an ungraded radius lanes no longer stand twice */
            uint32_t lane_now = lane % t->after.columns->lane_count;
            size_t a = column_cell(before, i, lane),
                   b = column_cell(after, (uint32_t)now, lane_now);
            bool same = before->nominal[a] == after->nominal[b] && after->lo[b] <= before->lo[a] &&
                        after->hi[b] >= before->hi[a];
            if (!same && !isnan(after->nominal[b]))
                fail_msg("%s unknown: %s %s.%s was %g, is %g", t->path, subject_name(subject),
                         t->before->columns->names[subject][i], field_at(id)->name,
                         before->nominal[a], after->nominal[b]);
        }
    }
}

static bool same_set(const Taken *t, const Relation *relation, uint32_t before, uint32_t after)
{
    const ManyColumn *a = &t->before->columns->manys[relation_index(relation)];
    const ManyColumn *b = &t->after.columns->manys[relation_index(relation)];
    uint32_t count = a->start[before + 1] - a->start[before];
    if (a->unknown[before] || b->start[after + 1] - b->start[after] != count)
        return false;
    for (uint32_t i = 0; i < count; i++)
        if (same_record(t, relation->to, (uint32_t)a->items[a->start[before] + i]) !=
            b->items[b->start[after] + i])
            return false;
    return true;
}

static void check_sets(const Taken *t, const Relation *relation)
{
    const ManyColumn *many = &t->after.columns->manys[relation_index(relation)];
    for (uint32_t i = 0; relation->many && i < t->before->columns->count[relation->from]; i++) {
        int32_t now = same_record(t, relation->from, i);
        if (now >= 0 && !many->unknown[now] && !same_set(t, relation, i, (uint32_t)now))
            fail_msg("%s unknown: %s %s has another set of %s", t->path,
                     subject_name(relation->from), t->before->columns->names[relation->from][i],
                     relation->name);
    }
}

/* Steps are left aside: fewer cover each other where something is not known, so
 * that there are more of them, under other numbers. */
static void check_all(const Taken *t)
{
    size_t relations;
    const Relation *table = relation_table(&relations);
    for (int id = 0; id < FIELD_ID_COUNT; id++)
        if (field_at((FieldId)id)->subject == SUBJECT_STEP)
            continue;
        else if (field_at((FieldId)id)->type == FIELD_NUMBER ||
                 field_at((FieldId)id)->type == FIELD_WORD ||
                 field_at((FieldId)id)->type == FIELD_TRUTH)
            check_cells(t, (FieldId)id);
    for (size_t i = 0; i < relations; i++)
        if (table[i].to != SUBJECT_STEP)
            check_sets(t, &table[i]);
}

/* The path of a record from the root of its file. */
static const char *file_path(Arena *arena, const Record *record)
{
    switch (record->subject) {
    case SUBJECT_LAST:
    case SUBJECT_BOTTOM:
        return subject_name(record->subject);
    case SUBJECT_MATERIAL:
    case SUBJECT_PART:
    case SUBJECT_HOLE:
    case SUBJECT_SEAM:
        return arena_printf(arena, "%ss.%s", subject_name(record->subject), record->id);
    case SUBJECT_EDGE:
    case SUBJECT_BEND:
    case SUBJECT_ROW:
        return arena_printf(arena, "%s.%ss.%s", file_path(arena, record->owner),
                            subject_name(record->subject), record->id);
    default:
        return NULL;
    }
}

static size_t take_one(const char *style, const char *factory, const Reading *before,
                       const YamlNode *unknown, const Record *record, FieldId id)
{
    Arena arena = {0};
    const char *at = file_path(&arena, record);
    size_t taken = 0;
    /* a grade that is not said is judged both ways: other lanes, another test */
    if (at && record_value(record, id)->presence == VALUE_KNOWN && !record->placeholder &&
        id != BEND_GRADE && id != EDGE_GRADE) {
        Patch patch = {arena_printf(&arena, "%s.%s", at, field_at(id)->name), unknown, unknown};
        Taken t = {.before = before, .path = patch.path};
        t.after.style = style_read(style, NULL, &patch, 1, &t.after.messages);
        if (t.after.style) { /* what must be known is refused */
            if (factory)
                t.after.factory = factory_read(factory, &t.after.messages);
            t.after.columns = measure_style(t.after.style, t.after.factory, &house_values);
            check_all(&t);
            columns_free(t.after.columns);
            style_free(t.after.style);
            factory_free(t.after.factory);
            taken = 1;
        }
        messages_free(&t.after.messages);
    }
    arena_free(&arena);
    return taken;
}

static void take_each(const char *style, size_t least)
{
    static const char text[] = "value: unknown\n";
    static const char *const shop = "tests/fixtures/measure-shop.yaml";
    Arena arena = {0};
    Messages messages = {0};
    Reading before = reading_of(style, NULL, shop);
    YamlFile *file = yaml_read_bytes(&arena, "unknown", text, strlen(text), false, &messages);
    const YamlNode *unknown = yaml_get(file->root, "value");
    size_t taken = 0;
    for (int subject = 0; subject < SUBJECT_COUNT; subject++)
        for (size_t i = 0; i < before.style->lists[subject].count; i++)
            for (FieldId id = field_first((Subject)subject); id < field_end((Subject)subject); id++)
                taken += take_one(style, shop, &before, unknown,
                                  before.style->lists[subject].items[i], id);
    assert_true(taken >= least);
    reading_free(&before);
    messages_free(&messages);
    arena_free(&arena);
}

static void test_stacks(void **state)
{
    (void)state;
    take_each("tests/fixtures/measure-stacks.yaml", 80);
}

static void test_lanes(void **state)
{
    (void)state;
    take_each("tests/fixtures/measure-lanes.yaml", 30);
}

static void test_joins(void **state)
{
    (void)state;
    take_each("tests/fixtures/measure-joins.yaml", 80);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_stacks),
        cmocka_unit_test(test_lanes),
        cmocka_unit_test(test_joins),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

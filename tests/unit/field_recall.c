/* Values remembered by the node they were read from: the same values, only for
 * the same subject, only what was read without a message. */
#include "field/recall.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

typedef struct Bench {
    Arena arena, other;
    Messages messages;
    RecordList list;
    YamlFile *file;
} Bench;

static Bench bench_of(const char *text)
{
    Bench bench = {0};
    bench.file = yaml_read_bytes(&bench.arena, "-", text, strlen(text), false, &bench.messages);
    assert_non_null(bench.file);
    return bench;
}

static void bench_free(Bench *bench)
{
    arena_free(&bench->arena);
    arena_free(&bench->other);
    messages_free(&bench->messages);
}

static Record *read(Bench *bench, Recall *recall, Arena *arena, Subject subject, const char *path,
                    const YamlNode *node)
{
    ReadContext context = {.arena = arena, .messages = &bench->messages, .recall = recall};
    Record *record = record_new(arena, &bench->list, subject, path, path, node, NULL, NULL);
    record_read(&context, record, node, NULL, 0);
    return record;
}

static void same_values(void **state)
{
    (void)state;
    Bench bench = bench_of("{radius: 8 mm, turn: 90 deg, curve: inward}");
    Recall *recall = recall_new(&bench.arena);
    const YamlNode *node = bench.file->root;
    Record *first = read(&bench, recall, &bench.arena, SUBJECT_BEND, "a", node);
    Record *again = read(&bench, recall, &bench.other, SUBJECT_BEND, "b", node);
    for (FieldId id = field_first(SUBJECT_BEND); id < field_end(SUBJECT_BEND); id++)
        assert_memory_equal(record_value(first, id), record_value(again, id), sizeof(Value));
    assert_int_equal(record_value(again, BEND_RADIUS)->presence, VALUE_KNOWN);
    assert_true(record_value(again, BEND_RADIUS)->quantity.nominal == 8);
    record_value(first, BEND_RADIUS)->quantity.nominal = 9; /* what is kept is its own */
    Record *third = read(&bench, recall, &bench.other, SUBJECT_BEND, "c", node);
    assert_true(record_value(third, BEND_RADIUS)->quantity.nominal == 8);
    bench_free(&bench);
}

static void other_subject_is_read(void **state)
{
    (void)state;
    Bench bench = bench_of("{radius: 8 mm}");
    Recall *recall = recall_new(&bench.arena);
    read(&bench, recall, &bench.arena, SUBJECT_BEND, "a", bench.file->root);
    assert_int_equal(bench.messages.errors, 0);
    read(&bench, recall, &bench.arena, SUBJECT_HOLE, "b", bench.file->root);
    assert_true(bench.messages.errors > 0); /* a hole has no radius */
    bench_free(&bench);
}

static void mistakes_are_told_each_time(void **state)
{
    (void)state;
    Bench bench = bench_of("{radius: 8 kg, turn: 90 deg}");
    Recall *recall = recall_new(&bench.arena);
    read(&bench, recall, &bench.arena, SUBJECT_BEND, "a", bench.file->root);
    assert_int_equal(bench.messages.errors, 1);
    read(&bench, recall, &bench.arena, SUBJECT_BEND, "b", bench.file->root);
    assert_int_equal(bench.messages.errors, 2);
    bench_free(&bench);
}

/* What lives in another arena may be gone, and another node stand in its place. */
static void other_arenas_are_not_kept(void **state)
{
    (void)state;
    Bench bench = bench_of("{radius: 8 mm}");
    Recall *recall = recall_new(&bench.arena);
    Record *record = read(&bench, recall, &bench.other, SUBJECT_BEND, "a", bench.file->root);
    assert_false(recall_values(recall, record, bench.file->root));
    read(&bench, recall, &bench.arena, SUBJECT_BEND, "b", bench.file->root);
    assert_true(recall_values(recall, record, bench.file->root));
    bench_free(&bench);
}

static void many_nodes(void **state)
{
    (void)state;
    enum { MANY = 1000 };
    Text text = {0};
    for (int i = 1; i <= MANY; i++)
        text_addf(&text, "- {radius: %d mm}\n", i);
    Bench bench = bench_of(text_string(&text));
    Recall *recall = recall_new(&bench.arena);
    for (size_t i = 0; i < MANY; i++)
        read(&bench, recall, &bench.arena, SUBJECT_BEND, arena_printf(&bench.arena, "%zu", i),
             bench.file->root->items[i]);
    Record *record = bench.list.items[0];
    for (size_t i = 0; i < MANY; i++) {
        assert_true(recall_values(recall, record, bench.file->root->items[i]));
        assert_true(record_value(record, BEND_RADIUS)->quantity.nominal == (double)(i + 1));
    }
    assert_false(recall_values(recall, record, bench.file->root));
    text_free(&text);
    bench_free(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(same_values),
        cmocka_unit_test(other_subject_is_read),
        cmocka_unit_test(mistakes_are_told_each_time),
        cmocka_unit_test(other_arenas_are_not_kept),
        cmocka_unit_test(many_nodes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

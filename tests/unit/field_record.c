/* Records and values read by the table of fields: what is taken, what is
 * refused and in which words. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>
#include <math.h>

#include "field/record.h"

typedef struct Reading {
    Arena arena;
    Messages messages;
    RecordList list;
    Record *record;
} Reading;

/* Reads `yaml` as the fields of one record. */
static Reading read_as(Subject subject, const char *yaml, const char *bare_length)
{
    static const char *const extra[] = {"bends", "edges"};
    Reading reading = {0};
    YamlFile *file =
        yaml_read_bytes(&reading.arena, "t.yaml", yaml, strlen(yaml), false, &reading.messages);
    assert_non_null(file);
    ReadContext context = {.arena = &reading.arena, .messages = &reading.messages};
    if (bare_length)
        context.bare_length = unit_find(bare_length, strlen(bare_length));
    reading.record =
        record_new(&reading.arena, &reading.list, subject, "it", "it", file->root, NULL, NULL);
    record_read(&context, reading.record, file->root, extra, 2);
    return reading;
}

static void done(Reading *reading)
{
    messages_free(&reading->messages);
    arena_free(&reading->arena);
}

static void assert_refused(Subject subject, const char *yaml, int line, int column,
                           const char *words)
{
    Reading reading = read_as(subject, yaml, NULL);
    if (reading.messages.errors != 1)
        messages_write(&reading.messages, stderr);
    assert_int_equal(reading.messages.errors, 1);
    const Message *message = &reading.messages.items[0];
    if (!strstr(message->text, words))
        fail_msg("\"%s\" lacks \"%s\"", message->text, words);
    assert_int_equal(message->at.line, line);
    assert_int_equal(message->at.column, column);
    done(&reading);
}

static void test_numbers_and_words(void **state)
{
    (void)state;
    Reading r = read_as(SUBJECT_EDGE,
                        "finish: turned\nlength: 92 ± 0.5 mm\nleft: unknown\n"
                        "skive: {width: 8 mm, left: exactly 0.7 mm, form: step}\nbends: whatever\n",
                        NULL);
    assert_int_equal(r.messages.errors, 0);
    assert_int_equal(record_value(r.record, EDGE_FINISH)->code, 2);
    const Value *length = record_value(r.record, EDGE_LENGTH);
    assert_int_equal(length->presence, VALUE_KNOWN);
    assert_float_equal(length->quantity.nominal, 92, 1e-12);
    assert_float_equal(length->quantity.hi, 92.5, 1e-12);
    assert_int_equal(yaml_where(length->node).line, 2);
    assert_int_equal(record_value(r.record, EDGE_LEFT)->presence, VALUE_UNKNOWN);
    assert_int_equal(record_value(r.record, EDGE_SIGHT)->presence, VALUE_ABSENT);
    assert_float_equal(record_value(r.record, EDGE_SKIVE_WIDTH)->quantity.nominal, 8, 0);
    assert_int_equal(record_value(r.record, EDGE_SKIVE_LEFT)->quantity.tolerance, TOLERANCE_EXACT);
    done(&r);
}

static void test_unknown_group(void **state)
{
    (void)state;
    Reading r = read_as(SUBJECT_EDGE, "skive: unknown\n", NULL);
    assert_int_equal(r.messages.errors, 0);
    assert_int_equal(record_value(r.record, EDGE_SKIVE_WIDTH)->presence, VALUE_UNKNOWN);
    assert_int_equal(record_value(r.record, EDGE_SKIVE_FORM)->presence, VALUE_UNKNOWN);
    assert_int_equal(record_value(r.record, EDGE_BINDING_SHOWS)->presence, VALUE_ABSENT);
    done(&r);
}

static void test_sets_ranges_truths(void **state)
{
    (void)state;
    Reading r =
        read_as(SUBJECT_MACHINE,
                "kind: post-bed\nstitches: [301, 304]\nrows: [1, 2]\npitch: 5..10 /in\n", NULL);
    assert_int_equal(r.messages.errors, 0);
    const WordList *stitch = word_list("stitch");
    double both = exp2(word_index(stitch, "301", 3)) + exp2(word_index(stitch, "304", 3));
    assert_float_equal(record_value(r.record, MACHINE_STITCHES)->code, both, 0);
    assert_float_equal(record_value(r.record, MACHINE_ROWS)->code, 6, 0);
    const Quantity *pitch = &record_value(r.record, MACHINE_PITCH)->quantity;
    assert_float_equal(pitch->lo, 2.54, 1e-12);
    assert_float_equal(pitch->hi, 5.08, 1e-12);
    assert_true(isnan(pitch->nominal));
    done(&r);
    r = read_as(SUBJECT_MATERIAL, "folds: true\nfrays: false\n", NULL);
    assert_float_equal(record_value(r.record, MATERIAL_FOLDS)->code, 1, 0);
    assert_float_equal(record_value(r.record, MATERIAL_FRAYS)->code, 0, 0);
    assert_int_equal(record_value(r.record, MATERIAL_FRAYS)->presence, VALUE_KNOWN);
    done(&r);
}

static void test_by_size(void **state)
{
    (void)state;
    Reading r = read_as(SUBJECT_HOLE,
                        "part: p\nalong: p.e\nnumber: {36..40: 5, 41: 6, 42: unknown}\n", NULL);
    assert_int_equal(r.messages.errors, 0);
    const Value *number = record_value(r.record, HOLE_NUMBER);
    assert_int_equal(number->by_size_count, 3);
    assert_float_equal(number->by_size[0].to, 40, 0);
    assert_float_equal(number->by_size[1].from, 41, 0);
    assert_float_equal(number->by_size[1].quantity.nominal, 6, 0);
    assert_true(number->by_size[2].quantity.unknown);
    done(&r);
    assert_refused(SUBJECT_HOLE, "part: p\nalong: p.e\nnumber: {36..40: 5, 40..42: 6}\n", 3, 21,
                   "twice");
    assert_refused(SUBJECT_HOLE, "part: p\nalong: p.e\nnumber: {40..36: 5}\n", 3, 10, "no size");
    assert_refused(SUBJECT_EDGE, "length: {36: 5 mm}\n", 1, 9, "a mapping");
}

static void test_bare_lengths(void **state)
{
    (void)state;
    Reading r = read_as(SUBJECT_EDGE, "length: 9\n", "cm");
    assert_int_equal(r.messages.errors, 0);
    assert_float_equal(record_value(r.record, EDGE_LENGTH)->quantity.nominal, 90, 1e-12);
    done(&r);
    assert_refused(SUBJECT_EDGE, "length: 9\n", 1, 9, "unit");
    r = read_as(SUBJECT_ROW, "needle: 90\n", "mm");
    assert_int_equal(r.messages.errors, 1);
    done(&r);
}

static void test_refusals(void **state)
{
    (void)state;
    assert_refused(SUBJECT_BEND, "radus: 4 mm\n", 1, 1, "did you mean radius?");
    assert_refused(SUBJECT_EDGE, "bedns: []\n", 1, 1, "did you mean bends?");
    assert_refused(SUBJECT_EDGE, "skive: {widht: 3 mm}\n", 1, 9, "did you mean width?");
    assert_refused(SUBJECT_EDGE, "skive.width: 3 mm\n", 1, 1, "unknown key skive.width");
    assert_refused(SUBJECT_EDGE, "skive: 3 mm\n", 1, 8, "{width: …, left: …, form: …}");
    assert_refused(SUBJECT_MATERIAL, "stretch: 10 %\n", 1, 10, "{along: …, across: …}");
    assert_refused(SUBJECT_EDGE, "finish: turnt\n", 1, 9, "did you mean turned?");
    assert_refused(SUBJECT_EDGE, "finish: [raw]\n", 1, 9, "a list");
    assert_refused(SUBJECT_MATERIAL, "folds: yes\n", 1, 8, "true or false");
    assert_refused(SUBJECT_MATERIAL, "folds: \"true\"\n", 1, 8, "without quotes");
    assert_refused(SUBJECT_MATERIAL, "folds: no\n", 1, 8, "true or false");
    assert_refused(SUBJECT_BEND, "radius:\n", 1, 8, "no value");
    assert_refused(SUBJECT_BEND, "radius: ~\n", 1, 9, "no value");
    assert_refused(SUBJECT_BEND, "turn: 50 %\n", 1, 7, "angle");
    assert_refused(SUBJECT_BEND, "turn: 400 deg\n", 1, 7, "at most 360 deg");
    assert_refused(SUBJECT_PART, "layer: 200 %\n", 1, 8, "whole number");
    assert_refused(SUBJECT_PART, "layer: 0\n", 1, 8, "at least 1");
    assert_refused(SUBJECT_MATERIAL, "thickness: 0.1 ± 0.08 mm\n", 1, 12, "with its tolerance");
    assert_refused(SUBJECT_BEND, "arc: 4 mm\n", 1, 1, "worked out");
    assert_refused(SUBJECT_MACHINE, "feed: drop\n", 1, 1, "kind is missing");
    assert_refused(SUBJECT_MACHINE, "kind: press\nrows: 2\n", 2, 7, "[1, 2]");
    assert_refused(SUBJECT_MACHINE, "kind: press\nrows: [2, 2]\n", 2, 11, "twice");
    assert_refused(SUBJECT_MACHINE, "kind: press\nrows: [51]\n", 2, 8, "from 0 to 50");
    assert_refused(SUBJECT_MACHINE, "kind: press\nstitches: [301, 302]\n", 2, 17, "did you mean");
    assert_refused(SUBJECT_PART, "material: hull suede\n", 1, 11, "the name of a material");
    assert_refused(SUBJECT_PART, "along: apron top\n", 1, 8, "names hold no blanks");
    assert_refused(SUBJECT_HOLE, "part: unknown\nalong: a.b\n", 1, 7, "cannot be unknown");
}

/* Words of the trade for what the lists call otherwise. */
static void test_other_words(void **state)
{
    (void)state;
    assert_refused(SUBJECT_BEND, "curve: concave\n", 1, 8, "curve is concave; write inward (");
    assert_refused(SUBJECT_BEND, "curve: Hollow\n", 1, 8, "write inward (hollow)");
    assert_refused(SUBJECT_BEND, "curve: convex\n", 1, 8, "write outward (rounded)");
    assert_refused(SUBJECT_SEAM, "join: stitch-and-turn\n", 1, 7, "write turned");
    assert_refused(SUBJECT_SEAM, "join: bagged\n", 1, 7, "write turned");
    assert_refused(SUBJECT_SEAM, "join: overlay\n", 1, 7, "write lapped");
    assert_refused(SUBJECT_EDGE, "finish: raw edge\n", 1, 9, "write raw");
    assert_refused(SUBJECT_EDGE, "finish: hem\n", 1, 9, "write folded");
    assert_refused(SUBJECT_PART, "role: insole\n", 1, 7, "write sock");
    assert_refused(SUBJECT_ROW, "stitch: lockstitch\n", 1, 9, "write 301");
    assert_refused(SUBJECT_ROW, "stitch: Zig-Zag\n", 1, 9, "write 304");
    assert_refused(SUBJECT_MACHINE, "kind: zigzag\nstitches: [chain stitch]\n", 2, 12, "write 401");
    assert_refused(SUBJECT_BEND, "curve: conca\n", 1, 8, "one of inward, outward");
    assert_refused(SUBJECT_EDGE, "finish: concave\n", 1, 9, "one of raw");
}

static void test_question_mark(void **state)
{
    (void)state;
    assert_refused(SUBJECT_BEND, "radius: \"?\"\n", 1, 9, "write unknown");
    assert_refused(SUBJECT_BEND, "radius: '?'\ncurve: inward\n", 1, 9, "write unknown");
}

static bool good_id(const char *id)
{
    Arena arena = {0};
    Messages messages = {0};
    ReadContext context = {.arena = &arena, .messages = &messages};
    YamlNode node = {.kind = YAML_SCALAR, .plain = true, .text = id, .length = strlen(id)};
    bool good = id_check(&context, &node);
    assert_int_equal(messages.errors, good ? 0 : 1);
    messages_free(&messages);
    arena_free(&arena);
    return good;
}

static void test_ids(void **state)
{
    (void)state;
    assert_true(good_id("quarter-lat"));
    assert_true(good_id("2"));
    assert_false(good_id(""));
    assert_false(good_id("a.b"));
    assert_false(good_id("a_b"));
    assert_false(good_id("v\xC3\xA4mp"));
    assert_false(good_id("unknown"));
    assert_true(good_id("aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa"));
    assert_false(good_id("aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa"));
}

static void test_finding_by_path(void **state)
{
    (void)state;
    Arena arena = {0};
    RecordList list = {0};
    assert_null(record_find(&list, "p0"));
    for (int i = 0; i < 500; i++) {
        const char *path = arena_printf(&arena, "p%d", i);
        record_new(&arena, &list, SUBJECT_PART, path, path, NULL, NULL, NULL);
    }
    for (int i = 0; i < 500; i++)
        assert_int_equal(record_find(&list, arena_printf(&arena, "p%d", i))->index, i);
    assert_null(record_find(&list, "p500"));
    record_unknown(list.items[7], NULL);
    assert_int_equal(record_value(list.items[7], PART_WIDTH)->presence, VALUE_UNKNOWN);
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_numbers_and_words),
        cmocka_unit_test(test_unknown_group),
        cmocka_unit_test(test_sets_ranges_truths),
        cmocka_unit_test(test_by_size),
        cmocka_unit_test(test_bare_lengths),
        cmocka_unit_test(test_refusals),
        cmocka_unit_test(test_other_words),
        cmocka_unit_test(test_question_mark),
        cmocka_unit_test(test_ids),
        cmocka_unit_test(test_finding_by_path),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

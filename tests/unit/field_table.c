/* The table of fields, word lists, relations and empty columns. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>
#include <math.h>

#include "field/columns.h"

static void test_table_is_in_order(void **state)
{
    (void)state;
    for (int id = 1; id < FIELD_ID_COUNT; id++)
        assert_true(field_at((FieldId)(id - 1))->subject <= field_at((FieldId)id)->subject);
    for (int subject = 0; subject < SUBJECT_COUNT; subject++) {
        FieldId first = field_first((Subject)subject), end = field_end((Subject)subject);
        assert_true(first < end);
        for (FieldId id = first; id < end; id++)
            assert_int_equal(field_at(id)->subject, subject);
        assert_true(subject == 0 ? first == 0 : first == field_end((Subject)(subject - 1)));
    }
    assert_int_equal(field_end((Subject)(SUBJECT_COUNT - 1)), FIELD_ID_COUNT);
}

static void test_every_row_is_whole(void **state)
{
    (void)state;
    for (int id = 0; id < FIELD_ID_COUNT; id++) {
        const Field *field = field_at((FieldId)id);
        assert_true(field->name[0] && field->means[0]);
        assert_int_equal(field_find(field->subject, field->name, strlen(field->name)), id);
        assert_true((field->words != NULL) ==
                    (field->type == FIELD_WORD || field->type == FIELD_WORDS));
        assert_true((field->refers != SUBJECT_COUNT) == (field->type == FIELD_NAME));
        if (field->unit[0])
            assert_non_null(field_unit(field));
        if (field->words)
            assert_ptr_equal(word_list(field->words->name), field->words);
        Text accepts = {0};
        field_accepts(&accepts, field);
        assert_true(accepts.length > 0);
        text_free(&accepts);
    }
    assert_int_equal(field_find(SUBJECT_BEND, "radiu", 5), FIELD_ID_COUNT);
    assert_int_equal(field_find(SUBJECT_EDGE, "skive.width", 11), EDGE_SKIVE_WIDTH);
}

static void test_forms(void **state)
{
    (void)state;
    QuantityForm pitch = field_form(field_at(ROW_PITCH));
    assert_true(pitch.reciprocal && !pitch.range && !pitch.bare);
    assert_true(field_form(field_at(MACHINE_PITCH)).range);
    assert_true(field_form(field_at(ROW_NEEDLE)).needle);
    assert_true(field_form(field_at(MATERIAL_HEAT_LIMIT)).point);
    QuantityForm layer = field_form(field_at(PART_LAYER));
    assert_true(layer.bare && layer.whole && !layer.shown);
    assert_false(field_form(field_at(MATERIAL_STRETCH_ALONG)).bare);
}

static void test_words(void **state)
{
    (void)state;
    const WordList *finish = word_list("finish");
    assert_non_null(finish);
    assert_int_equal(word_index(finish, "raw", 3), 0);
    assert_int_equal(word_index(finish, "fold-line", 9), 7);
    assert_int_equal(word_index(finish, "rawest", 6), -1);
    assert_int_equal(word_index(finish, "ra", 2), -1);
    assert_null(word_list("finis"));
    assert_true(word_index(word_list("stitch"), "301", 3) >= 0);
    Subject subject;
    assert_true(subject_find("seam", 4, &subject));
    assert_int_equal(subject, SUBJECT_SEAM);
    assert_false(subject_find("sea", 3, &subject));
    assert_string_equal(giver_name(GIVER_PATTERN), "pattern");
}

static void test_relations(void **state)
{
    (void)state;
    size_t count;
    const Relation *table = relation_table(&count);
    for (size_t i = 0; i < count; i++) {
        const Relation *found = relation_find(table[i].from, table[i].name, strlen(table[i].name));
        assert_ptr_equal(found, &table[i]);
        assert_int_equal(relation_index(found), i);
        assert_string_equal(table[i].name, subject_name(table[i].to));
        /* A relation and a value of one name would be two meanings of one word. */
        FieldId field = field_find(table[i].from, table[i].name, strlen(table[i].name));
        assert_true(field == FIELD_ID_COUNT || field_at(field)->type == FIELD_NAME);
    }
    assert_true(relation_find(SUBJECT_SEAM, "machine", 7)->many);
    assert_false(relation_find(SUBJECT_BEND, "edge", 4)->many);
    assert_null(relation_find(SUBJECT_BEND, "seam", 4));
}

static void test_columns_start_unknown(void **state)
{
    (void)state;
    uint32_t count[SUBJECT_COUNT] = {[SUBJECT_BEND] = 3, [SUBJECT_EDGE] = 2};
    bool varies[FIELD_ID_COUNT] = {[BEND_RADIUS] = true};
    Columns *columns = columns_new(4, count, varies, NULL);
    const Column *radius = &columns->fields[BEND_RADIUS], *turn = &columns->fields[BEND_TURN];
    assert_int_equal(radius->stride, 4);
    assert_int_equal(turn->stride, 1);
    assert_int_equal(column_cell(radius, 2, 3), 11);
    assert_int_equal(column_cell(turn, 2, 3), 2);
    for (uint32_t record = 0; record < 3; record++)
        for (uint32_t lane = 0; lane < 4; lane++) {
            assert_true(isnan(radius->nominal[column_cell(radius, record, lane)]));
            assert_true(isnan(turn->lo[column_cell(turn, record, lane)]));
            assert_int_equal(radius->origins[record]->kind, ORIGIN_MISSING);
        }
    size_t edge = relation_index(relation_find(SUBJECT_BEND, "edge", 4));
    size_t bends = relation_index(relation_find(SUBJECT_EDGE, "bend", 4));
    assert_int_equal(column_one(&columns->ones[edge], 1, 2), -1);
    assert_int_equal(column_one(&columns->ones[edge], -1, 2), -1);
    assert_int_equal(columns->manys[bends].start[2], 0);
    assert_false(columns->manys[bends].unknown[1]);
    assert_null(columns->fields[STYLE_NAME].nominal);
    columns_free(columns);
    columns_free(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_table_is_in_order),
        cmocka_unit_test(test_every_row_is_whole),
        cmocka_unit_test(test_forms),
        cmocka_unit_test(test_words),
        cmocka_unit_test(test_relations),
        cmocka_unit_test(test_columns_start_unknown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

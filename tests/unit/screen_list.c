/* The rows of the findings list: parts as headings, what to settle under them. */
#include "judge_reading.h"

#include "screen/list.h"

static void assert_rows(const List *list, const Judgement *judgement, bool all)
{
    size_t findings = 0;
    assert_non_null(list->rows[0].heading);
    for (size_t i = 0; i < list->count; i++) {
        const ListRow *row = &list->rows[i];
        assert_true((row->heading == NULL) != (row->finding == NULL));
        if (row->heading != NULL) {
            assert_true(i + 1 < list->count && list->rows[i + 1].finding != NULL);
            continue;
        }
        findings++;
        size_t head = i;
        while (list->rows[head].heading == NULL)
            head--;
        assert_string_equal(row->finding->part, list->rows[head].heading);
        if (!all)
            assert_true(row->finding->verdict == VERDICT_FLAG ||
                        row->finding->verdict == VERDICT_UNKNOWN ||
                        row->finding->verdict == VERDICT_TIGHT);
    }
    const size_t *tally = judgement->tally;
    assert_int_equal(findings, list->findings);
    assert_int_equal(findings, all ? judgement->count
                                   : tally[VERDICT_FLAG] + tally[VERDICT_UNKNOWN] +
                                         tally[VERDICT_TIGHT]);
}

static void test_rows(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    List list = {0};
    list_build(&list, judged.judgement, false);
    assert_rows(&list, judged.judgement, false);
    list_build(&list, judged.judgement, true);
    assert_rows(&list, judged.judgement, true);
    list_free(&list);
    judged_free(&judged);
}

static void test_steps(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    List list = {0};
    list_build(&list, judged.judgement, true);
    size_t first = list_row(&list, NULL), row = first, seen = 1;
    assert_int_equal(list_step(&list, first, -1), first);
    assert_int_equal(list_ordinal(&list, first), 0);
    for (size_t next = list_step(&list, row, 1); next != row; next = list_step(&list, row, 1)) {
        assert_non_null(list.rows[next].finding);
        assert_int_equal(list_step(&list, next, -1), row);
        assert_int_equal(list_ordinal(&list, next), seen++);
        assert_int_equal(list_row(&list, list.rows[next].finding), next);
        row = next;
    }
    assert_int_equal(seen, list.findings);
    list_free(&list);
    judged_free(&judged);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_rows), cmocka_unit_test(test_steps)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

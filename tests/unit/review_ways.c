/* What would clear a finding, tried; several values in one step; the alternatives side by side
 * as each is when it is taken. */
#include <stdio.h>

#include "review_kit.h"

#define LEFT "parts.vamp.edges.throat.left"
#define CAP_LEFT "parts.vamp.edges.cap-line.left"

static bool set_two(Review *review, const char *first, const char *second, Text *problem)
{
    const ReviewValue values[] = {{LEFT, first}, {CAP_LEFT, second}};
    return review_set_values(review, values, 2, problem);
}

static const char *now_at(const Review *review, const char *path)
{
    const Changed *changed;
    size_t count = review_changed(review, &changed);
    for (size_t i = 0; i < count; i++)
        if (strcmp(changed[i].path, path) == 0)
            return changed[i].after;
    return "as in the file";
}

static void test_two_values_are_one_step(void **state)
{
    (void)state;
    Text problem = {0};
    Review *review = kit_open(SKERRY, "turned", HARBOUR);
    assert_true(set_two(review, "2.5 mm", "2 mm", &problem));
    assert_string_equal(now_at(review, LEFT), "2.5 mm");
    assert_string_equal(now_at(review, CAP_LEFT), "2 mm");
    assert_true(review_undo(review));
    const Changed *changed;
    assert_int_equal(review_changed(review, &changed), 0);
    assert_false(review_undo(review));
    assert_true(review_redo(review));
    assert_int_equal(review_changed(review, &changed), 2);
    assert_true(set_two(review, "2.5 mm", "2.0 mm", &problem)); /* as they are: no step */
    assert_true(review_undo(review));
    assert_false(review_undo(review));
    assert_int_equal(problem.length, 0);
    text_free(&problem);
    review_close(review);
}

static void test_all_or_nothing(void **state)
{
    (void)state;
    Text problem = {0};
    Review *review = kit_open(SKERRY, "turned", HARBOUR);
    assert_false(set_two(review, "2.5 mm", "two", &problem));
    assert_true(problem.length > 0);
    const Changed *changed;
    assert_int_equal(review_changed(review, &changed), 0);
    assert_null(review_comparison(review));
    text_clear(&problem);
    assert_true(set_two(review, "2.5 mm", "3 mm", &problem)); /* the second is as written */
    assert_int_equal(review_changed(review, &changed), 1);
    text_free(&problem);
    review_close(review);
}

/* ---- Remedies ---- */

static bool by_path(const Remedy *remedy)
{
    for (size_t i = 0; i < remedy->change_count; i++)
        if (remedy->changes[i].redraw || remedy->changes[i].path == NULL)
            return false;
    return true;
}

/* Tried as the screen does it, the finding is what was promised; then it is taken back. */
static void try_remedy(Review *review, const char *rule, const char *place, const Remedy *remedy)
{
    ReviewValue values[2] = {{0}};
    Text problem = {0};
    for (size_t i = 0; i < remedy->change_count; i++)
        values[i] = (ReviewValue){remedy->changes[i].path, remedy->changes[i].to};
    if (!review_set_values(review, values, remedy->change_count, &problem))
        fail_msg("%s %s: %s", rule, place, text_string(&problem));
    Verdict after = kit_finding(review, rule, place)->verdict;
    if (after == VERDICT_FLAG || (remedy->aim == REMEDY_PASS && after == VERDICT_TIGHT))
        fail_msg("%s %s: %s to %s is %s", rule, place, values[0].path, values[0].value,
                 verdict_name(after));
    assert_true(review_undo(review));
    text_free(&problem);
}

static size_t try_remedies_of(Review *review, size_t index)
{
    Arena arena = {0};
    const Finding *finding = &review_judgement(review)->findings[index];
    RemedyGround ground = review_ground(review, &arena);
    Remedies *remedies = remedies_new(&ground);
    const RemedyList *list = remedies_of(remedies, finding);
    const char *rule = arena_copy(&arena, finding->rule->id, strlen(finding->rule->id));
    const char *place = arena_copy(&arena, finding->place, strlen(finding->place));
    size_t tried = 0;
    for (size_t i = 0; i < list->count && tried < 2; i++)
        if (by_path(&list->items[i])) {
            try_remedy(review, rule, place, &list->items[i]);
            tried++;
        }
    remedies_free(remedies);
    arena_free(&arena);
    return tried;
}

static void test_remedies_do_as_they_promise(void **state)
{
    (void)state;
    enum { LOOKED_AT = 12 };
    Review *review = kit_open(SKERRY, "turned", HARBOUR);
    size_t tried = 0;
    kit_set(review, CAP_LEFT, "3.5 mm"); /* remedies stand on what is not saved */
    for (size_t i = 0; i < LOOKED_AT; i++)
        tried += try_remedies_of(review, i);
    assert_true(tried >= 4);
    review_close(review);
}

/* ---- Ways ---- */

static const Ways *all_ways(ReviewWays *ways)
{
    size_t pieces = 1;
    assert_null(review_ways_all(ways));
    for (size_t left = review_ways_left(ways); review_ways_more(ways); pieces++) {
        assert_true(review_ways_left(ways) < left);
        left = review_ways_left(ways);
    }
    assert_false(review_ways_more(ways));
    assert_int_equal(review_ways_left(ways), 0);
    assert_int_equal(pieces, review_ways_all(ways)->way_count);
    return review_ways_all(ways);
}

static void test_ways_are_as_when_taken(void **state)
{
    (void)state;
    Text problem = {0};
    Review *review = kit_open(SKERRY, "turned", HARBOUR);
    kit_set(review, LEFT, "2 mm");
    const Comparison *comparison = review_comparison(review);
    ReviewWays *made = review_ways_new(review);
    const Ways *ways = all_ways(made);
    assert_int_equal(ways->way_count, review_judgement(review)->style->alternative_count + 1);
    assert_string_equal(ways->names[0], "as written");
    assert_string_equal(review_ways_unread(made), "");
    assert_ptr_equal(review_comparison(review), comparison);
    assert_string_equal(now_at(review, LEFT), "2 mm");
    for (size_t i = 0; i < ways->way_count; i++) {
        assert_true(review_take_alternative(review, review_way_alternative(made, i), &problem));
        for (int v = 0; v < VERDICT_COUNT; v++)
            assert_int_equal(way_cell(ways, i, 0)->judgement->tally[v],
                             review_judgement(review)->tally[v]);
    }
    review_ways_free(made);
    text_free(&problem);
    review_close(review);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_two_values_are_one_step),
                                       cmocka_unit_test(test_all_or_nothing),
                                       cmocka_unit_test(test_remedies_do_as_they_promise),
                                       cmocka_unit_test(test_ways_are_as_when_taken)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Two people at the big demo, built by turning, at Harbour: what they see, what they
 * change, and what that makes of the findings. */
#include "review_kit.h"

#define THROAT "parts.vamp.edges.throat."

static void assert_verdict(const Review *review, const char *rule, const char *place,
                           Verdict verdict)
{
    assert_int_equal(kit_finding(review, rule, place)->verdict, verdict);
}

static void test_throat_trimmed_closer(void **state)
{
    (void)state;
    Arena arena = {0};
    Review *review = kit_open(SKERRY, "turned", HARBOUR);
    uint64_t start = kit_digest(review);
    assert_null(review_comparison(review));
    assert_false(review_undo(review));
    const Finding *finding = kit_finding(review, "turn-clip-pitch", "bend vamp.throat.1");
    assert_int_equal(finding->verdict, VERDICT_FLAG);

    Choice *choices;
    size_t count = review_choices(review, finding, &arena, &choices);
    assert_true(count >= 4);
    assert_string_equal(choices[0].path, THROAT "bends.1.radius");
    assert_true(choices[0].drawn);
    assert_string_equal(choices[0].text, "4.5 mm");
    assert_string_equal(choices[1].path, THROAT "left");
    assert_string_equal(choices[1].name, "left of edge vamp.throat");
    assert_string_equal(choices[1].text, "3 mm");
    assert_false(choices[1].drawn || choices[1].kept || choices[1].options);

    kit_set(review, THROAT "left", "2 mm");
    assert_string_equal(kit_difference(review, "turn-clip-pitch", "bend vamp.throat.1"), "better");
    assert_string_equal(kit_difference(review, "turn-left", "edge vamp.throat"), "worse");
    const Changed *changed;
    assert_int_equal(review_changed(review, &changed), 1);
    assert_string_equal(changed[0].path, THROAT "left");
    assert_string_equal(changed[0].before, "3 mm");
    assert_string_equal(changed[0].after, "2 mm");

    finding = kit_finding(review, "turn-clip-pitch", "bend vamp.throat.1");
    Text problem = {0};
    const Choice *left = kit_choice(review, finding, &arena, THROAT "left");
    assert_true(review_step(review, left, 1, &problem));
    assert_int_equal(review_changed(review, &changed), 1);
    assert_string_equal(changed[0].after, "2.5 mm");

    assert_true(review_undo(review));
    review_changed(review, &changed);
    assert_string_equal(changed[0].after, "2 mm");
    assert_true(review_undo(review));
    assert_int_equal(kit_changed(review), 0);
    assert_int_equal(kit_digest(review), start);
    assert_string_equal(kit_difference(review, "turn-clip-pitch", "bend vamp.throat.1"), "worse");
    assert_false(review_undo(review));
    assert_true(review_redo(review));
    assert_true(review_redo(review));
    assert_false(review_redo(review));
    review_changed(review, &changed);
    assert_string_equal(changed[0].after, "2.5 mm");

    text_free(&problem);
    review_close(review);
    arena_free(&arena);
}

static void test_switching_and_dropping(void **state)
{
    (void)state;
    Text problem = {0};
    Review *review = kit_open(SKERRY, "turned", HARBOUR);
    uint64_t start = kit_digest(review);
    kit_set(review, THROAT "left", "2 mm");
    kit_set(review, "materials.hull-suede.thickness", "1.2 ± 0.1 mm");

    /* the raw throat of the overlay has nothing that is left of an allowance */
    assert_true(review_take_alternative(review, "as-written", &problem));
    assert_int_equal(kit_changed(review), 1);
    assert_int_equal(review_aside(review), 1);
    assert_null(review_files(review)->alternative);
    assert_true(review_take_alternative(review, "turned", &problem));
    assert_int_equal(kit_changed(review), 2);
    assert_int_equal(review_aside(review), 0);
    assert_false(review_take_alternative(review, "turnd", &problem));
    assert_non_null(strstr(text_string(&problem), "did you mean turned?"));
    assert_string_equal(review_files(review)->alternative, "turned");

    assert_true(review_take_factory(review, LOFT, &problem));
    assert_string_equal(review_files(review)->factory, LOFT);
    assert_true(review_comparison(review)->count > 0);
    text_clear(&problem);
    assert_false(review_take_factory(review, "rules/factories/none.yaml", &problem));
    assert_true(problem.length > 0);
    assert_string_equal(review_files(review)->factory, LOFT);
    assert_true(review_take_factory(review, NULL, &problem));
    assert_null(review_judgement(review)->factory);
    assert_true(review_undo(review));
    assert_true(review_undo(review));
    assert_string_equal(review_files(review)->factory, HARBOUR);

    assert_true(review_drop(review));
    assert_int_equal(kit_changed(review), 0);
    assert_int_equal(kit_digest(review), start);
    assert_false(review_drop(review));
    assert_true(review_undo(review));
    assert_int_equal(kit_changed(review), 2);
    text_free(&problem);
    review_close(review);
}

static void test_drawn_lines_are_not_typed_over(void **state)
{
    (void)state;
    Review *review = kit_open(SKERRY, "turned", HARBOUR);
    uint64_t start = kit_digest(review);
    kit_refused(review, THROAT "bends.1.radius", "9 mm", "redraw the line for 9 mm");
    kit_refused(review, THROAT "length", "80 mm", "measured on the drawn line");
    assert_int_equal(kit_digest(review), start);
    assert_false(review_undo(review));
    review_close(review);
}

/* A part or a seam that mirrors another has that one's values changed. */
static void test_mirrors(void **state)
{
    (void)state;
    Arena arena = {0};
    Review *review = kit_open(SKERRY, "turned", HARBOUR);
    const Finding *finding = kit_finding(review, "turn-left", "edge quarter-med.saddle-line");
    const Choice *choice =
        kit_choice(review, finding, &arena, "parts.quarter-lat.edges.saddle-line.left");
    assert_non_null(choice);
    assert_string_equal(choice->name,
                        "left of edge quarter-lat.saddle-line (quarter-med mirrors it)");
    kit_set(review, choice->path, "1 mm");
    assert_verdict(review, "turn-left", "edge quarter-med.saddle-line", VERDICT_FLAG);
    assert_verdict(review, "turn-left", "edge quarter-lat.saddle-line", VERDICT_FLAG);
    finding = kit_finding(review, "thread-needle", "row saddle-med.1");
    choice = kit_choice(review, finding, &arena, "seams.saddle-lat.rows.1.needle");
    assert_non_null(choice);
    assert_string_equal(choice->name, "needle of row saddle-lat.1 (saddle-med mirrors it)");
    kit_refused(review, "parts.quarter-med.edges.saddle-line.left", "1 mm",
                "it mirrors quarter-lat");
    review_close(review);
    arena_free(&arena);
}

static void test_by_size_and_kept_and_names(void **state)
{
    (void)state;
    Arena arena = {0};
    Review *review = kit_open(SKERRY, "turned", HARBOUR);
    const Finding *finding = kit_finding(review, "hole-line", "hole eyelets-med");
    const Choice *many = kit_choice(review, finding, &arena, "holes.eyelets-med.number.41..46");
    assert_non_null(many);
    assert_string_equal(many->text, "5");
    assert_string_equal(many->name, "number of hole eyelets-med, sizes 41..46");
    Text problem = {0};
    assert_true(review_step(review, many, 2, &problem));
    const Changed *changed;
    assert_int_equal(review_changed(review, &changed), 1);
    assert_string_equal(changed[0].after, "7");
    assert_verdict(review, "hole-line", "hole eyelets-med", VERDICT_FLAG);

    finding = kit_finding(review, "turn-clip-pitch", "bend vamp.throat.1");
    const Choice *material = kit_choice(review, finding, &arena, "parts.vamp.material");
    assert_non_null(material);
    assert_int_equal(material->option_count, 12);
    assert_string_equal(material->text, "hull-suede");
    Choice *choices;
    bool kept = false;
    for (size_t i = 0; i < review_judgement(review)->count && !kept; i++) {
        size_t count =
            review_choices(review, &review_judgement(review)->findings[i], &arena, &choices);
        for (size_t k = 0; k < count; k++) {
            bool bottom = strncmp(choices[k].path, "bottom.", 7) == 0;
            assert_true(!bottom || choices[k].kept);
            kept = kept || bottom;
        }
    }
    assert_true(kept);
    text_free(&problem);
    review_close(review);
    arena_free(&arena);
}

static void test_stops_hold_all(void **state)
{
    (void)state;
    Review *review = kit_open(SKERRY, "turned", HARBOUR);
    const Judgement *j = review_judgement(review);
    const Stop *stops;
    size_t count = review_stops(review, &stops), all = 0, open = 0;
    size_t due = j->tally[VERDICT_FLAG] + j->tally[VERDICT_UNKNOWN] + j->tally[VERDICT_TIGHT];
    bool *met = memory_new(j->count, sizeof *met);
    for (size_t i = 0; i < count; i++) {
        assert_true(stops[i].count > 0);
        for (size_t k = 0; k < stops[i].count; k++) {
            const Finding *finding = stops[i].findings[k];
            assert_false(met[finding - j->findings]);
            met[finding - j->findings] = true;
            bool is_open = finding->verdict == VERDICT_FLAG ||
                           finding->verdict == VERDICT_UNKNOWN || finding->verdict == VERDICT_TIGHT;
            assert_true(is_open == (k < stops[i].open));
        }
        all += stops[i].count;
        open += stops[i].open;
    }
    assert_int_equal(all, j->count);
    assert_int_equal(open, due);
    assert_string_equal(stops[0].name, "lining: lining-back-lat");
    assert_string_equal(stops[count - 1].name, "style");
    free(met);
    review_close(review);
}

static void test_strips(void **state)
{
    (void)state;
    Arena arena = {0};
    Review *review = kit_open(SKERRY, "turned", HARBOUR);
    kit_set(review, THROAT "left", "2 mm");
    const Finding *finding = kit_finding(review, "turn-clip-pitch", "bend vamp.throat.1");
    const char **names;
    Verdict *verdicts;
    assert_int_equal(review_by_size(review, finding, &arena, &names, &verdicts), 11);
    assert_string_equal(names[0], "36");
    assert_string_equal(names[10], "46");
    assert_int_equal(verdicts[10], VERDICT_FLAG);
    assert_int_equal(review_by_colourway(review, finding, &arena, &names, &verdicts), 2);
    assert_string_equal(names[0], "Bark");
    assert_int_equal(verdicts[0], VERDICT_FLAG);
    assert_string_equal(names[1], "Chalk");
    assert_true(verdicts[1] < VERDICT_FLAG);
    review_close(review);
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_throat_trimmed_closer),
        cmocka_unit_test(test_switching_and_dropping),
        cmocka_unit_test(test_drawn_lines_are_not_typed_over),
        cmocka_unit_test(test_mirrors),
        cmocka_unit_test(test_by_size_and_kept_and_names),
        cmocka_unit_test(test_stops_hold_all),
        cmocka_unit_test(test_strips),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

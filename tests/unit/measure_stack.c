/* Stacks, skives, folds and climbs against sums done by hand. */
#include "unit/measure_reading.h"

static const char *const style = "tests/fixtures/measure-stacks.yaml";

/* Two plies of 1.4 mm lapped, the under one tapered over 5 mm to 0.5 mm, lap 7 mm:
 * 1.9 at its raw edge, 2.35 at 2.5 mm, 2.8 from 5 mm on. */
static void test_taper_under_a_lap(void **state)
{
    (void)state;
    Reading r = reading_of(style, NULL, NULL);
    assert_span(&r, ROW_STACK, "lap.1", 0, 1.9, 1.9, 1.9);
    assert_span(&r, ROW_STACK, "lap.2", 0, 2.35, 2.35, 2.35);
    assert_span(&r, ROW_STACK, "lap.3", 0, 2.8, 2.8, 2.8);
    assert_near(cell(&r, PLY_THICKNESS, "lap.2 ply 2 (under)"), 0.95);
    reading_free(&r);
}

/* 1.4 mm folded: 2.8 whole; 1.0 with a step skive to 0.5 across the fold; with a
 * taper over 12 mm, folded 8 mm: 2.2 up to 4 mm in, 2.05 at 6, 1.9 at the raw edge. */
static void test_folds(void **state)
{
    (void)state;
    Reading r = reading_of(style, NULL, NULL);
    assert_near(cell(&r, PLY_PRESSED, "whole-fold.1 ply 1 (over)"), 2.8);
    assert_near(cell(&r, ROW_STACK, "whole-fold.1"), 3.4);
    assert_near(cell(&r, PLY_PRESSED, "step-fold.1 ply 1 (over)"), 1.0);
    assert_near(cell(&r, PLY_FOLDED, "step-fold.1 ply 1 (over)"), 0.5);
    assert_near(cell(&r, PLY_FOLDED, "step-fold.2 ply 1 (over)"), 0);
    assert_near(cell(&r, PLY_THICKNESS, "step-fold.2 ply 1 (over)"), 1.4);
    static const double tapered[] = {2.2, 2.2, 2.05, 1.9};
    static const char *const plies[] = {"taper-fold.1 ply 1 (over)", "taper-fold.2 ply 1 (over)",
                                        "taper-fold.3 ply 1 (over)", "taper-fold.4 ply 1 (over)"};
    for (size_t i = 0; i < 4; i++)
        assert_near(cell(&r, PLY_PRESSED, plies[i]), tapered[i]);
    reading_free(&r);
}

/* At the line both the layer and what is folded behind it are thinned. */
static void test_edge_plies(void **state)
{
    (void)state;
    char text[256];
    Reading r = reading_of(style, NULL, NULL);
    assert_near(cell(&r, PLY_THICKNESS, "over.stepped ply 1 (over)"), 0.5);
    assert_near(cell(&r, PLY_FOLDED, "over.stepped ply 1 (over)"), 0.5);
    assert_near(cell(&r, PLY_THICKNESS, "over.tapered ply 1 (over)"), 1.1);
    assert_string_equal(
        members(&r, SUBJECT_EDGE, "ply", "over.rolled", text, sizeof text),
        "over.rolled ply 1 (over) over.rolled ply 2 (lining) over.rolled ply 3 (stay)");
    assert_near(cell(&r, PLY_STOPS_SHORT, "over.rolled ply 2 (lining)"), 0);
    assert_near(cell(&r, PLY_STOPS_SHORT, "over.rolled ply 3 (stay)"), 1);
    /* the foam behind the lining stops 2 mm short of the line */
    assert_string_equal(members(&r, SUBJECT_EDGE, "ply", "lining.top", text, sizeof text),
                        "lining.top ply 1 (lining) lining.top ply 2 (over)");
    reading_free(&r);
}

/* The seam row of a turned seam meets single plies, topstitch doubled ones until
 * the allowance ends; tape 3 mm wide and foam inset 2 mm come and go. */
static void test_turned_seam(void **state)
{
    (void)state;
    Reading r = reading_of(style, NULL, NULL);
    /* 1.4 + 0.3 tape + 1.0 x (1 - 10 %) */
    assert_span(&r, ROW_STACK, "collar.1", 0, 1.7 + 0.9 * 0.8, 1.7 + 0.9, 1.7 + 1.1);
    /* 2.8 + 0.3 + 2.0 x 0.9 + foam 4 x 0.5 */
    assert_span(&r, ROW_STACK, "collar.2", 0, 3.1 + 1.8 * 0.8 + 1.75, 3.1 + 1.8 + 2,
                3.1 + 2.2 + 2.25);
    /* beyond the 3 mm that are left and the tape */
    assert_near(cell(&r, ROW_STACK, "collar.3"), 1.4 + 0.9 + 2);
    assert_near(cell(&r, ROW_GAP, "collar.2"), 2.5);
    assert_near(cell(&r, ROW_GAP, "collar.3"), 1.0);
    assert_true(isnan(cell(&r, ROW_GAP, "collar.1")));
    reading_free(&r);
}

static void test_typed_spots(void **state)
{
    (void)state;
    char text[256];
    Reading r = reading_of(style, NULL, NULL);
    assert_near(cell(&r, SPOT_STACK, "typed.spot-1"), 1.4 + 0.9);
    assert_near(cell(&r, SPOT_STACK, "typed.spot-2"), 1.4 + 0.9 + 1.8);
    assert_near(cell(&r, SPOT_STACK, "typed.spot-3"), 1.4 + 1.8);
    assert_span(&r, ROW_STACK, "typed.1", 0, 1.4 + 0.72 + 1.62, 1.4 + 0.9 + 1.8, 1.4 + 1.1 + 1.98);
    assert_true(origin(&r, ROW_STACK, "typed.1")->assumed); /* the twill's 10 % */
    assert_string_equal(members(&r, SUBJECT_ROW, "ply", "typed.1", text, sizeof text),
                        "typed.1 ply 1 (over) typed.1 ply 2 (lining) typed.1 ply 3 (body)");
    assert_near(cell(&r, PLY_TIMES, "typed.1 ply 3 (body)"), 3);
    /* 10 to 30 mm rises less over more than 10 to 16: left out */
    assert_string_equal(members(&r, SUBJECT_ROW, "step", "typed.1", text, sizeof text),
                        "typed.1 step 1");
    /* what both spots meet cancels, tolerance and all: three twills are left */
    assert_span(&r, STEP_RISE, "typed.1 step 1", 0, 1.62, 1.8, 1.98);
    assert_near(cell(&r, STEP_APART, "typed.1 step 1"), 6);
    reading_free(&r);
}

/* One hide is drawn once: two plies of it name one source. */
static void test_shared_sources(void **state)
{
    (void)state;
    Reading r = reading_of(style, NULL, NULL);
    const void *hide = origin(&r, MATERIAL_THICKNESS, "calf")->source;
    assert_non_null(hide);
    assert_ptr_equal(origin(&r, PLY_THICKNESS, "lap.3 ply 1 (over)")->source, hide);
    assert_ptr_equal(origin(&r, PLY_THICKNESS, "lap.3 ply 2 (under)")->source, hide);
    assert_ptr_equal(origin(&r, EDGE_SKIVE_LEFT, "over.plain")->source, hide);
    assert_int_equal(origin(&r, EDGE_SKIVE_LEFT, "over.plain")->kind, ORIGIN_NONE);
    assert_ptr_equal(origin(&r, PLY_THICKNESS, "step-fold.1 ply 1 (over)")->source,
                     origin(&r, EDGE_SKIVE_LEFT, "over.stepped")->source);
    assert_ptr_not_equal(origin(&r, PLY_THICKNESS, "step-fold.1 ply 1 (over)")->source, hide);
    reading_free(&r);
}

static void test_unknown_spots(void **state)
{
    (void)state;
    Reading r = reading_of(style, NULL, NULL);
    assert_true(isnan(cell(&r, SPOT_STACK, "loose.spot-1"))); /* gives: unknown */
    assert_true(isnan(cell(&r, ROW_STACK, "loose.1")));
    assert_near(cell(&r, PLY_THICKNESS, "loose.spot-1 ply 1 (strange)"), 1);
    assert_near(cell(&r, STEP_RISE, "loose.1 step 1"), 1.4);
    assert_true(isnan(cell(&r, STEP_APART, "loose.1 step 1")));
    reading_free(&r);
}

static void test_unknown_form(void **state)
{
    (void)state;
    Reading r = reading_of(style, "no-form", NULL);
    assert_true(isnan(cell(&r, PLY_THICKNESS, "step-fold.1 ply 1 (over)")));
    assert_true(isnan(cell(&r, ROW_STACK, "step-fold.1")));
    /* out of the skive's reach: whole, whatever its form */
    assert_near(cell(&r, ROW_STACK, "step-fold.2"), 2.8);
    assert_true(isnan(cell(&r, EDGE_SKIVED, "over.tapered")));
    assert_true(isnan(cell(&r, EDGE_THICKNESS, "over.tapered")));
    assert_true(isnan(cell(&r, ROW_STACK, "taper-fold.4")));
    reading_free(&r);
}

static void test_unknown_join(void **state)
{
    (void)state;
    char text[256];
    Reading r = reading_of(style, "no-join", NULL);
    for (int row = 1; row <= 3; row++) {
        snprintf(text, sizeof text, "collar.%d", row);
        assert_true(isnan(cell(&r, ROW_STACK, text)));
        assert_true(isnan(cell(&r, ROW_INSET, text)));
    }
    assert_string_equal(members(&r, SUBJECT_EDGE, "ply", "over.rolled", text, sizeof text),
                        "unknown");
    assert_true(isnan(cell(&r, SEAM_RIDGE, "collar")));
    assert_true(isnan(cell(&r, ROW_GAP, "collar.2")));
    assert_true(isnan(cell(&r, EDGE_OVER, "over.rolled")));
    assert_true(isnan(cell(&r, EDGE_UNDER, "lining.top")));
    assert_near(cell(&r, EDGE_UNDER, "over.rolled"), 0);
    reading_free(&r);
}

static void test_unknown_backing(void **state)
{
    (void)state;
    char text[256];
    Reading r = reading_of(style, "no-backs", NULL);
    assert_string_equal(members(&r, SUBJECT_ROW, "ply", "lap.1", text, sizeof text), "unknown");
    assert_true(isnan(cell(&r, ROW_STACK, "lap.1")));
    assert_near(cell(&r, ROW_STACK, "typed.1"), 1.4 + 0.9 + 1.8);
    reading_free(&r);
    r = reading_of(style, "no-inset", NULL);
    assert_true(isnan(cell(&r, ROW_STACK, "collar.2")));
    assert_near(cell(&r, ROW_STACK, "lap.1"), 1.9);
    assert_string_equal(members(&r, SUBJECT_EDGE, "ply", "lining.top", text, sizeof text),
                        "unknown");
    reading_free(&r);
}

static void test_unknown_plies_and_thickness(void **state)
{
    (void)state;
    char text[256];
    Reading r = reading_of(style, "no-plies", NULL);
    assert_true(isnan(cell(&r, ROW_STACK, "typed.1")));
    assert_true(isnan(cell(&r, SPOT_STACK, "typed.spot-2")));
    assert_string_equal(members(&r, SUBJECT_SPOT, "ply", "typed.spot-2", text, sizeof text),
                        "unknown");
    assert_string_equal(members(&r, SUBJECT_ROW, "ply", "typed.1", text, sizeof text), "unknown");
    assert_string_equal(members(&r, SUBJECT_ROW, "step", "typed.1", text, sizeof text), "unknown");
    reading_free(&r);
    r = reading_of(style, "no-thickness", NULL);
    assert_true(isnan(cell(&r, ROW_STACK, "lap.3")));
    assert_near(cell(&r, STEP_RISE, "typed.1 step 1"), 1.8); /* the unknown hide cancels */
    reading_free(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_taper_under_a_lap),
        cmocka_unit_test(test_folds),
        cmocka_unit_test(test_edge_plies),
        cmocka_unit_test(test_turned_seam),
        cmocka_unit_test(test_typed_spots),
        cmocka_unit_test(test_shared_sources),
        cmocka_unit_test(test_unknown_spots),
        cmocka_unit_test(test_unknown_form),
        cmocka_unit_test(test_unknown_join),
        cmocka_unit_test(test_unknown_backing),
        cmocka_unit_test(test_unknown_plies_and_thickness),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

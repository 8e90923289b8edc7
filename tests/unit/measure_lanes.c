/* Sizes and colourways as lanes, grading, house tolerances, what is inherited. */
#include "unit/measure_reading.h"

static const char *const style = "tests/fixtures/measure-lanes.yaml";

/* Lanes: 7 sizes x 2 colourways, then the same with ungraded radii scaled. */
enum {
    ONCE = 14,
    FIRST_36 = 0,
    FIRST_36_CHALK = 1,
    BASE = 12,
    SCALED_36 = ONCE,
    SCALED_BASE = ONCE + 12
};

static void test_lanes_in_order(void **state)
{
    (void)state;
    Reading r = reading_of(style, NULL, NULL);
    assert_int_equal(r.columns->lane_count, 2 * ONCE);
    assert_string_equal(r.columns->lanes[0].size, "36");
    assert_string_equal(r.columns->lanes[0].colourway, "Bark");
    assert_string_equal(r.columns->lanes[1].size, "36");
    assert_string_equal(r.columns->lanes[1].colourway, "Chalk");
    assert_string_equal(r.columns->lanes[2].size, "37");
    for (uint32_t lane = 0; lane < ONCE; lane++) {
        assert_false(r.columns->lanes[lane].scaled);
        assert_true(r.columns->lanes[lane + ONCE].scaled);
        assert_string_equal(r.columns->lanes[lane].size, r.columns->lanes[lane + ONCE].size);
    }
    reading_free(&r);
    r = reading_of(style, "all-said", NULL);
    assert_int_equal(r.columns->lane_count, ONCE);
    reading_free(&r);
}

/* Paris point 42 to 36: length 280 to 240, girth 250 less 6 x 5; a radius of 4.5
 * becomes 4.5 x min(0.88² / 0.857142..., 0.857142...² / 0.88) = 3.7570. */
static void test_radii(void **state)
{
    (void)state;
    Reading r = reading_of(style, NULL, NULL);
    double tightest = 4.5 * (240.0 / 280) * (240.0 / 280) / (220.0 / 250);
    assert_true(fabs(tightest - 3.7570) < 5e-5);
    assert_near(cell_side(&r, BEND_RADIUS, "vamp.throat.1", FIRST_36, NOMINAL), 4.5);
    assert_near(cell_side(&r, BEND_RADIUS, "vamp.throat.1", SCALED_36, NOMINAL), tightest);
    assert_near(cell_side(&r, BEND_RADIUS, "vamp.throat.1", SCALED_BASE, NOMINAL), 4.5);
    assert_near(cell_side(&r, BEND_RADIUS, "vamp.throat.2", SCALED_36, NOMINAL), 4.5);
    assert_near(cell_side(&r, BEND_RADIUS, "vamp.throat.3", FIRST_36, NOMINAL), tightest);
    assert_near(cell_side(&r, BEND_RADIUS, "vamp.throat.3", FIRST_36, LO), tightest - 0.3);
    assert_true(origin(&r, BEND_RADIUS, "vamp.throat.1")->graded);
    assert_false(origin(&r, BEND_RADIUS, "vamp.throat.2")->graded);
    assert_near(cell_side(&r, BEND_ARC, "vamp.throat.1", SCALED_36, NOMINAL), tightest * acos(-1));
    reading_free(&r);
}

static void test_lengths(void **state)
{
    (void)state;
    Reading r = reading_of(style, NULL, NULL);
    assert_near(cell_side(&r, LAST_LENGTH, "last", FIRST_36, NOMINAL), 240);
    assert_near(cell_side(&r, LAST_LENGTH, "last", BASE, NOMINAL), 280);
    assert_near(cell_side(&r, LAST_GIRTH, "last", FIRST_36, NOMINAL), 220);
    assert_near(cell_side(&r, LAST_TOE_RADIUS, "last", FIRST_36, NOMINAL), 30);
    assert_near(cell_side(&r, BOTTOM_FEATHER, "bottom", FIRST_36, NOMINAL), 600.0 * 240 / 280);
    assert_near(cell_side(&r, EDGE_LENGTH, "vamp.throat", FIRST_36, NOMINAL), 92.0 * 240 / 280);
    assert_near(cell_side(&r, BEND_AT, "vamp.throat.1", FIRST_36, NOMINAL), 30.0 * 240 / 280);
    assert_near(cell_side(&r, HOLE_NUMBER, "eyelets", FIRST_36, NOMINAL), 5);
    assert_near(cell_side(&r, HOLE_NUMBER, "eyelets", 8, NOMINAL), 6);
    assert_true(isnan(cell_side(&r, HOLE_NUMBER, "eyelets", BASE, NOMINAL)));
    reading_free(&r);
    r = reading_of(style, "no-last", NULL);
    assert_true(isnan(cell_side(&r, EDGE_LENGTH, "vamp.throat", FIRST_36, NOMINAL)));
    assert_near(cell_side(&r, EDGE_LENGTH, "vamp.throat", BASE, NOMINAL), 92);
    assert_true(isnan(cell_side(&r, BEND_RADIUS, "vamp.throat.3", FIRST_36, NOMINAL)));
    assert_near(cell_side(&r, BEND_RADIUS, "vamp.throat.2", FIRST_36, NOMINAL), 4.5);
    assert_true(isnan(cell_side(&r, BEND_RADIUS, "vamp.throat.1", SCALED_36, HI)));
    reading_free(&r);
}

static void test_house_tolerances(void **state)
{
    (void)state;
    Reading r = reading_of(style, NULL, NULL);
    assert_span(&r, MATERIAL_THICKNESS, "suede", 0, 1.2, 1.4, 1.6);
    assert_true(origin(&r, MATERIAL_THICKNESS, "suede")->assumed);
    assert_span(&r, MATERIAL_THICKNESS, "nubuck", 0, 1.6, 1.7, 1.8);
    assert_false(origin(&r, MATERIAL_THICKNESS, "nubuck")->assumed);
    assert_span(&r, MATERIAL_THICKNESS, "mesh", 0, 1.8, 2, 2.2);
    assert_span(&r, MATERIAL_THICKNESS, "riddle", 0, 0.3, 0.5, 0.7); /* the wider of two */
    assert_span(&r, EDGE_LEFT, "vamp.held", 0, 0, 0.2, 0.5);         /* never below 0 */
    assert_span(&r, EDGE_SKIVE_LEFT, "vamp.held", 0, 0.5, 0.6, 0.7);
    assert_span(&r, ROW_FROM_EDGE, "throat.1", 0, 1.7, 2, 2.3);
    assert_span(&r, EDGE_LENGTH, "vamp.throat", BASE, 92, 92, 92);
    assert_int_equal(origin(&r, MATERIAL_THICKNESS, "suede")->at.line, 9);
    reading_free(&r);
}

static void test_inherited(void **state)
{
    (void)state;
    Reading r = reading_of(style, NULL, NULL);
    /* left: the bend's own, else the edge's, else the allowance, with its origin */
    assert_span(&r, BEND_LEFT, "vamp.throat.1", 0, 3.7, 4, 4.3);
    assert_near(cell(&r, BEND_LEFT, "vamp.throat.3"), 2);
    assert_near(cell(&r, BEND_LEFT, "vamp.held.1"), 0.2);
    const void *allowance = origin(&r, EDGE_ALLOWANCE, "vamp.throat")->source;
    assert_non_null(allowance);
    assert_ptr_equal(origin(&r, EDGE_LEFT, "vamp.throat")->source, allowance);
    assert_ptr_equal(origin(&r, BEND_LEFT, "vamp.throat.1")->source, allowance);
    assert_string_equal(origin(&r, EDGE_LEFT, "vamp.throat")->note,
                        "the allowance where nothing is trimmed");
    assert_string_equal(word(&r, BEND_RELIEF, "vamp.throat.1"), "unknown");
    assert_string_equal(word(&r, BEND_RELIEF, "vamp.throat.3"), "notched");
    assert_string_equal(word(&r, BEND_GRADE, "vamp.held.1"), "hold");
    assert_string_equal(word(&r, BEND_GRADE, "vamp.held.2"), "unknown");
    assert_int_equal(origin(&r, BEND_GRADE, "vamp.held.2")->kind, ORIGIN_UNKNOWN);
    reading_free(&r);
}

static void test_skives(void **state)
{
    (void)state;
    Reading r = reading_of(style, NULL, NULL);
    assert_near(cell(&r, EDGE_SKIVED, "vamp.throat"), 0);
    assert_near(cell(&r, EDGE_SKIVE_WIDTH, "vamp.throat"), 0);
    assert_int_equal(origin(&r, EDGE_SKIVE_WIDTH, "vamp.throat")->kind, ORIGIN_NONE);
    assert_near(cell(&r, EDGE_SKIVE_LEFT, "vamp.throat"), 1.4);
    assert_near(cell(&r, EDGE_SKIVED, "vamp.held"), 1);
    assert_near(cell(&r, EDGE_THICKNESS, "vamp.held"), 0.6);
    assert_true(isnan(cell(&r, EDGE_SKIVED, "vamp.blank")));
    assert_true(isnan(cell(&r, EDGE_SKIVE_WIDTH, "vamp.blank")));
    assert_true(isnan(cell(&r, EDGE_THICKNESS, "vamp.blank")));
    assert_true(isnan(cell(&r, EDGE_THICKNESS, "stray.rim")));
    assert_int_equal(origin(&r, EDGE_FINISH, "vamp.blank")->kind, ORIGIN_UNKNOWN);
    reading_free(&r);
}

static int32_t one_in_lane(const Reading *r, Subject from, const char *name, uint32_t lane)
{
    const OneColumn *one =
        &r->columns->ones[relation_index(relation_find(from, "material", strlen("material")))];
    return column_one(one, place(r, from, name), lane);
}

/* The swap changes the material and all that follows from its thickness. */
static void test_colourways(void **state)
{
    (void)state;
    Reading r = reading_of(style, NULL, NULL);
    int32_t suede = place(&r, SUBJECT_MATERIAL, "suede");
    int32_t nubuck = place(&r, SUBJECT_MATERIAL, "nubuck");
    assert_int_equal(one_in_lane(&r, SUBJECT_PART, "vamp", FIRST_36), suede);
    assert_int_equal(one_in_lane(&r, SUBJECT_PART, "vamp", FIRST_36_CHALK), nubuck);
    assert_int_equal(one_in_lane(&r, SUBJECT_EDGE, "vamp.throat", FIRST_36_CHALK), nubuck);
    assert_int_equal(one_in_lane(&r, SUBJECT_PLY, "vamp.throat ply 1 (vamp)", FIRST_36_CHALK),
                     nubuck);
    assert_int_equal(one_in_lane(&r, SUBJECT_PART, "stray", FIRST_36), -1);
    assert_span(&r, EDGE_THICKNESS, "vamp.throat", FIRST_36, 1.2, 1.4, 1.6);
    assert_span(&r, EDGE_THICKNESS, "vamp.throat", FIRST_36_CHALK, 1.6, 1.7, 1.8);
    assert_span(&r, PLY_PRESSED, "vamp.throat ply 1 (vamp)", FIRST_36_CHALK, 3.2, 3.4, 3.6);
    /* and so in every size */
    assert_span(&r, PLY_PRESSED, "vamp.throat ply 1 (vamp)", BASE, 2.4, 2.8, 3.2);
    assert_span(&r, PLY_PRESSED, "vamp.throat ply 1 (vamp)", SCALED_BASE + 1, 3.2, 3.4, 3.6);
    assert_span(&r, EDGE_THICKNESS, "vamp.throat", BASE + 1, 1.6, 1.7, 1.8);
    reading_free(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_lanes_in_order), cmocka_unit_test(test_radii),
        cmocka_unit_test(test_lengths),        cmocka_unit_test(test_house_tolerances),
        cmocka_unit_test(test_inherited),      cmocka_unit_test(test_skives),
        cmocka_unit_test(test_colourways),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

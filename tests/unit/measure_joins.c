/* What follows from joins: over and under, zones, ridges, raw edges, rows, and
 * which record belongs to which. */
#include "unit/measure_reading.h"

static const char *const style = "tests/fixtures/measure-joins.yaml";
static const char *const shop = "tests/fixtures/measure-shop.yaml";

static void test_over_and_under(void **state)
{
    (void)state;
    Reading r = reading_of(style, NULL, NULL);
    assert_near(cell(&r, EDGE_OVER, "quarter.front"), 1);
    assert_near(cell(&r, EDGE_UNDER, "quarter.front"), 0);
    assert_near(cell(&r, EDGE_OVER, "vamp.lap"), 0);
    assert_near(cell(&r, EDGE_UNDER, "vamp.lap"), 1);
    assert_near(cell(&r, EDGE_OVER, "quarter.back"), 0);
    assert_near(cell(&r, EDGE_UNDER, "lining-front.top"), 1);
    assert_near(cell(&r, EDGE_OVER, "badge.rim"), 1);
    assert_near(cell(&r, EDGE_UNDER, "vamp.free"), 0);
    reading_free(&r);
    r = reading_of(style, "no-front", NULL);
    assert_true(isnan(cell(&r, EDGE_OVER, "quarter.front")));
    assert_true(isnan(cell(&r, EDGE_UNDER, "vamp.lap")));
    reading_free(&r);
}

static void test_zones(void **state)
{
    (void)state;
    Reading r = reading_of(style, NULL, NULL);
    assert_string_equal(word(&r, EDGE_ZONE, "vamp.lap"), "ball");
    assert_string_equal(word(&r, EDGE_ZONE, "vamp.back"), "toe"); /* of heel and toe */
    assert_string_equal(word(&r, EDGE_ZONE, "vamp.free"), "none");
    reading_free(&r);
    r = reading_of(style, "no-zone", NULL);
    assert_string_equal(word(&r, EDGE_ZONE, "vamp.back"), "unknown");
    assert_string_equal(word(&r, EDGE_ZONE, "vamp.lap"), "ball");
    reading_free(&r);
}

static void test_ridges(void **state)
{
    (void)state;
    Reading r = reading_of(style, NULL, NULL);
    assert_near(cell(&r, SEAM_RIDGE, "front"), 0.6); /* the skived underlay */
    assert_near(cell(&r, SEAM_RIDGE, "back"), 1.4);
    assert_near(cell(&r, SEAM_RIDGE, "topline"), 0.8); /* the trimmed lining */
    assert_near(cell(&r, SEAM_RIDGE, "lining"), 0.8);
    assert_near(cell(&r, SEAM_RIDGE, "rim"), 0.5); /* the binding */
    assert_near(cell(&r, SEAM_RIDGE, "collar"), 0);
    assert_near(cell(&r, SEAM_RIDGE, "badge"), 0); /* the quarter goes on */
    assert_near(cell(&r, SEAM_RIDGE, "second"), 0);
    reading_free(&r);
    r = reading_of(style, "no-front", NULL);
    assert_true(isnan(cell(&r, SEAM_RIDGE, "front")));
    reading_free(&r);
    r = reading_of(style, "no-role", NULL);
    assert_true(isnan(cell(&r, SEAM_RIDGE, "lining")));
    assert_near(cell(&r, SEAM_RIDGE, "front"), 0.6);
    reading_free(&r);
}

static void test_inside_and_bare(void **state)
{
    (void)state;
    Reading r = reading_of(style, NULL, NULL);
    assert_near(cell(&r, SEAM_INSIDE, "front"), 1);
    assert_near(cell(&r, SEAM_INSIDE, "badge"), 0);
    assert_near(cell(&r, EDGE_BARE, "vamp.lap"), 1);         /* under, towards the foot */
    assert_near(cell(&r, EDGE_BARE, "quarter.front"), 0);    /* layer 2 */
    assert_near(cell(&r, EDGE_BARE, "vamp.back"), 0);        /* closed */
    assert_near(cell(&r, EDGE_BARE, "vamp.free"), 1);        /* in no seam */
    assert_near(cell(&r, EDGE_BARE, "vamp.margin"), 0);      /* lasted */
    assert_near(cell(&r, EDGE_BARE, "lining-front.lap"), 1); /* a lining's over edge */
    assert_near(cell(&r, EDGE_BARE, "lining-back.lap"), 0);
    assert_near(cell(&r, EDGE_BARE, "lining-front.top"), 1);
    reading_free(&r);
    r = reading_of(style, "no-layer", NULL);
    assert_true(isnan(cell(&r, EDGE_BARE, "vamp.free")));
    assert_near(cell(&r, EDGE_BARE, "vamp.back"), 0);
    assert_true(isnan(cell(&r, SEAM_INSIDE, "front")));
    assert_near(cell(&r, SEAM_INSIDE, "lining"), 1);
    reading_free(&r);
    r = reading_of(style, "no-front", NULL);
    assert_true(isnan(cell(&r, EDGE_BARE, "vamp.lap")));
    reading_free(&r);
}

static void test_rows(void **state)
{
    (void)state;
    Reading r = reading_of(style, NULL, NULL);
    assert_near(cell(&r, ROW_COUNT, "front.3"), 3);
    assert_true(isnan(cell(&r, ROW_GAP, "front.1")));
    assert_span(&r, ROW_GAP, "front.2", 0, 1.9, 2, 2.1); /* sewn together */
    assert_true(origin(&r, ROW_GAP, "front.2")->assumed);
    assert_span(&r, ROW_GAP, "front.3", 0, 3.2, 3.5, 3.8);
    assert_near(cell(&r, ROW_INSET, "front.1"), 2);   /* over edge, cut */
    assert_near(cell(&r, ROW_INSET, "front.3"), 0.5); /* the underlay: 8 less 7.5 */
    assert_near(cell(&r, ROW_INSET, "back.1"), 2);
    assert_near(cell(&r, ROW_INSET, "topline.1"), 2); /* the lining's cut edge */
    assert_near(cell(&r, ROW_INSET, "collar.1"), 4);
    assert_near(cell(&r, ROW_INSET, "collar.2"), 1000);
    assert_string_equal(origin(&r, ROW_INSET, "collar.2")->note, "no cut edge");
    assert_true(isnan(cell(&r, ROW_COUNT, "rim.unknown")));
    assert_true(isnan(cell(&r, ROW_INSET, "rim.unknown")));
    /* one binding of 0.5 mm closes over both edges */
    assert_near(cell(&r, ROW_STACK, "hem.1"), 1.4 + 0.8 + 2 * 0.5);
    assert_near(cell(&r, PART_ROWS, "vamp"), 3);
    assert_true(isnan(cell(&r, PART_ROWS, "quarter"))); /* its rim's rows are not known */
    assert_near(cell(&r, PART_ROWS, "badge"), 0);
    assert_near(cell(&r, PART_ROWS, "braid"), 0);
    reading_free(&r);
}

static void test_sets(void **state)
{
    (void)state;
    char text[512];
    Reading r = reading_of(style, NULL, NULL);
    assert_string_equal(members(&r, SUBJECT_SEAM, "edge", "front", text, sizeof text),
                        "quarter.front vamp.lap");
    assert_string_equal(members(&r, SUBJECT_EDGE, "seam", "vamp.back", text, sizeof text),
                        "back second");
    assert_string_equal(members(&r, SUBJECT_PART, "seam", "quarter", text, sizeof text),
                        "front back topline rim collar badge second hem");
    assert_string_equal(members(&r, SUBJECT_SEAM, "row", "front", text, sizeof text),
                        "front.1 front.2 front.3");
    assert_string_equal(members(&r, SUBJECT_SEAM, "row", "rim", text, sizeof text), "unknown");
    assert_string_equal(members(&r, SUBJECT_ROW, "edge", "front.2", text, sizeof text),
                        "quarter.front vamp.lap");
    assert_string_equal(members(&r, SUBJECT_PART, "hole", "quarter", text, sizeof text), "eyelets");
    assert_string_equal(members(&r, SUBJECT_PART, "edge", "badge", text, sizeof text), "badge.rim");
    assert_string_equal(members(&r, SUBJECT_EDGE, "bend", "vamp.lap", text, sizeof text), "");
    assert_string_equal(members(&r, SUBJECT_SEAM, "ply", "badge", text, sizeof text),
                        "badge ply 1 (badge) badge ply 2 (quarter)");
    assert_string_equal(members(&r, SUBJECT_ROW, "step", "front.1", text, sizeof text), "unknown");
    assert_string_equal(members(&r, SUBJECT_STYLE, "material", "", text, sizeof text),
                        "calf goat web");
    reading_free(&r);
}

static void test_machines(void **state)
{
    (void)state;
    char text[256];
    Reading r = reading_of(style, NULL, NULL);
    assert_string_equal(members(&r, SUBJECT_SEAM, "machine", "front", text, sizeof text),
                        "unknown");
    reading_free(&r);
    r = reading_of(style, NULL, shop);
    assert_string_equal(members(&r, SUBJECT_SEAM, "machine", "front", text, sizeof text), "post-1");
    assert_string_equal(members(&r, SUBJECT_ROW, "machine", "front.1", text, sizeof text),
                        "post-1");
    assert_string_equal(members(&r, SUBJECT_SEAM, "machine", "back", text, sizeof text), "unknown");
    assert_string_equal(members(&r, SUBJECT_SEAM, "machine", "lining", text, sizeof text),
                        "post-1 flat-1");
    const Column *pitch = &r.columns->fields[MACHINE_PITCH];
    assert_true(isnan(pitch->nominal[0]));
    assert_near(pitch->lo[0], 1.5);
    assert_near(pitch->hi[0], 5);
    assert_true(isnan(pitch->lo[1]));
    assert_near(cell(&r, MACHINE_ROWS, "post-1"), 2 + 4); /* 2^1 + 2^2 */
    assert_string_equal(r.columns->names[SUBJECT_FACTORY][0], "Quay bench (invented)");
    reading_free(&r);
    r = reading_of(style, "no-machine", shop);
    assert_string_equal(members(&r, SUBJECT_SEAM, "machine", "front", text, sizeof text),
                        "unknown");
    reading_free(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_over_and_under), cmocka_unit_test(test_zones),
        cmocka_unit_test(test_ridges),         cmocka_unit_test(test_inside_and_bare),
        cmocka_unit_test(test_rows),           cmocka_unit_test(test_sets),
        cmocka_unit_test(test_machines),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

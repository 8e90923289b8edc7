/* Shipped rules on skives, seams, needles and lasting against published values
 * of the trade: what a source calls right passes, what it rejects does not. */
#include "reference/rules_place.h"

#include <gsl/gsl_math.h>

static const char seams[] = "course notes on seams, 2018";
static const char manufacture[] = "The Manufacture of Boots and Shoes, London 1902";

/* What a source calls right is one check; what is put beyond it to see the rule fail, none. */
static void expect(const Place *place, const char *rule, bool good, const char *source)
{
    Kleene found = holds(place, rule);
    if (found != (good ? KLEENE_TRUE : KLEENE_FALSE))
        fail_msg("%s: %s, but %s in %s", rule,
                 found == KLEENE_TRUE    ? "holds"
                 : found == KLEENE_FALSE ? "does not hold"
                                         : "unknown",
                 good ? "accepted" : "rejected", source);
    checks_printed += good;
}

/* A skive for a fold is twice as wide as what is folded in. */
static void skive_is_twice_the_fold(void **state)
{
    static const double folds[] = {3.5, 4, 5, 8};
    (void)state;
    Place place = place_new();
    put_word(&place, EDGE_FINISH, "folded");
    put(&place, EDGE_SKIVED, 1);
    for (size_t i = 0; i < ROWS(folds); i++) {
        put(&place, EDGE_LEFT, folds[i]);
        check_worked("skive", value_of(&place, "skive-width", "wanted"), 2 * folds[i], 1e-12,
                     manufacture);
        put(&place, EDGE_SKIVE_WIDTH, 2 * folds[i] - 0.1);
        expect(&place, "skive-width", false, manufacture);
    }
    place_free(&place);
}

/* A turned-in edge is skived flat, a lap to a taper; 0.5 mm is left. */
static void fold_is_skived_flat(void **state)
{
    (void)state;
    Place place = place_new();
    put_word(&place, EDGE_SKIVE_FORM, "step");
    expect(&place, "skive-form", true, manufacture);
    put_word(&place, EDGE_SKIVE_FORM, "taper");
    expect(&place, "skive-form", false, manufacture);
    put(&place, MATERIAL_THICKNESS, 1);
    put(&place, EDGE_SKIVE_LEFT, 0.5);
    expect(&place, "skive-left", true, "trade article on skiving leather goods");
    place_free(&place);
}

/* Allowances that are folded in, by the substance of what is folded; mm. */
static const struct {
    const char *kind;
    double thickness, fold;
    const char *source;
} folds_printed[] = {
    {"leather", 0.8, 3.5, "footwear edge-finishing article: 3.5 to 4 mm in light calf or kid"},
    {"leather", 1.0, 4.0, "footwear edge-finishing article: 3.5 to 4 mm in light calf or kid"},
    {"leather", 1.4, 4.0, "course notes on folding: 4 to 5 mm"},
    {"leather", 1.6, 5.0, "course notes on folding: 4 to 5 mm"},
    {"leather", 1.2, 5.0, "shoemaking glossary: 5 mm at toplines, the usual value"},
    {"leather", 2.2, 6.0, "footwear edge-finishing article: 6 to 6.5 mm in heavy grain leather"},
    {"leather", 2.2, 6.5, "footwear edge-finishing article: 6 to 6.5 mm in heavy grain leather"},
    {"woven", 1.0, 6.0, "footwear edge-finishing article: 6 to 6.5 mm in fabric"},
    {"coated", 1.2, 6.5, "footwear edge-finishing article: 6 to 6.5 mm in fabric"},
    {"leather", 2.0, 8.0, "article on folding leather goods: 8 mm"},
};

static void folds_of_the_published_widths(void **state)
{
    (void)state;
    Place place = place_new();
    put_word(&place, EDGE_FINISH, "folded");
    for (size_t i = 0; i < ROWS(folds_printed); i++) {
        put_word(&place, MATERIAL_KIND, folds_printed[i].kind);
        put(&place, MATERIAL_THICKNESS, folds_printed[i].thickness);
        put(&place, EDGE_LEFT, folds_printed[i].fold);
        expect(&place, "fold-allowance", true, folds_printed[i].source);
        put(&place, EDGE_LEFT, 3.4);
        expect(&place, "fold-allowance", false, folds_printed[i].source);
    }
    place_free(&place);
}

/* Course notes on testing leather: no crack when it is folded by 180 degrees. */
static void what_cracks_is_not_folded(void **state)
{
    static const char source[] = "course notes on leather testing: no crack, folded by 180 degrees";
    (void)state;
    Place place = place_new();
    put_word(&place, EDGE_FINISH, "folded");
    put_word(&place, MATERIAL_KIND, "leather");
    put(&place, PLY_STOPS_SHORT, 0);
    put(&place, MATERIAL_FOLDS, 1);
    expect(&place, "fold-test", true, source);
    put(&place, MATERIAL_FOLDS, 0);
    expect(&place, "fold-test", false, source);
    place_free(&place);
}

/* A rounded folded edge is pleated, a hollow one snipped; two pleats at an outside corner. */
static const struct {
    const char *rule, *curve, *right, *wrong, *source;
    double radius;
} reliefs[] = {
    {"turn-relief", "outward", "pleated", "clipped", "footwear edge-finishing article", 10},
    {"turn-relief", "inward", "clipped", "pleated", "footwear edge-finishing article", 10},
    {"turn-relief", "outward", "notched", "clipped",
     "textbook of clothing construction, 2012: notch rounded seams", 10},
    {"turn-corner", "outward", "pleated", "clipped", "upper making, derby shoe, 2014: two pleats",
     0},
};

static void reliefs_of_curves(void **state)
{
    (void)state;
    Place place = place_new();
    put_word(&place, EDGE_FINISH, "folded");
    for (size_t i = 0; i < ROWS(reliefs); i++) {
        put_word(&place, BEND_CURVE, reliefs[i].curve);
        put(&place, BEND_RADIUS, reliefs[i].radius);
        put_word(&place, BEND_RELIEF, reliefs[i].right);
        expect(&place, reliefs[i].rule, true, reliefs[i].source);
        put_word(&place, BEND_RELIEF, reliefs[i].wrong);
        expect(&place, reliefs[i].rule, false, reliefs[i].source);
    }
    place_free(&place);
}

static void closed_seam_is_sewn_1_5_from_the_edge(void **state)
{
    static const char *const kinds[] = {"leather"};
    (void)state;
    Place place = place_new();
    put_word(&place, SEAM_JOIN, "closed");
    for (size_t i = 0; i < ROWS(kinds); i++) {
        put_word(&place, MATERIAL_KIND, kinds[i]);
        put(&place, ROW_FROM_EDGE, 1.5);
        expect(&place, "lap-closed", true, seams);
        put(&place, ROW_FROM_EDGE, 1.4);
        expect(&place, "lap-closed", false, seams);
    }
    place_free(&place);
}

/* The published underlay of 7 mm carries two rows of the usual places. */
static void lap_of_7_carries_its_rows(void **state)
{
    (void)state;
    Place place = place_new();
    put_word(&place, SEAM_JOIN, "lapped");
    put(&place, EDGE_UNDER, 1);
    put(&place, EDGE_ALLOWANCE, 7);
    put(&place, ROW_FROM_EDGE, 4); /* the second of two rows of the usual places */
    expect(&place, "lap-allowance", true, seams);
    put(&place, ROW_FROM_EDGE, 7);
    expect(&place, "lap-allowance", false, "plain geometry: the row runs on the underlay's edge");
    place_free(&place);
}

/* A round thread of that thickness weighs what its number says: tex is ug/mm,
 * 1 g/cm3 is 1000 ug/mm3; polyester of 1.38, six tenths of the section fibre. */
static void thread_weighs_what_it_says(void **state)
{
    static const double sizes[] = {20, 40, 70, 135};
    (void)state;
    Place place = place_new();
    for (size_t i = 0; i < ROWS(sizes); i++) {
        put(&place, ROW_THREAD, sizes[i]);
        double across = value_of(&place, "thread-eye", "thread_across");
        check_worked("tex", M_PI / 4 * across * across * 1380 * 0.6, sizes[i], 1e-4,
                     "plain geometry");
    }
    place_free(&place);
}

/* Fine dress uppers are sewn at 1.1 mm with a needle of 90. */
static void fine_uppers_do_not_tear(void **state)
{
    (void)state;
    Place place = place_new();
    put(&place, ROW_PITCH, 1.1);
    put(&place, ROW_NEEDLE, 0.9);
    check_worked("bridge in mm", value_of(&place, "row-perforation-torn", "bridge"), 0.2, 1e-12,
                 "a shoemaker's published log of fine dress uppers");
    expect(&place, "row-perforation-torn", true,
           "a shoemaker's published log of fine dress uppers");
    place_free(&place);
}

/* Where the upper is sewn to a sock the margin is 4 to 6 mm. */
static void strobel_margin(void **state)
{
    static const char page[] = "trade page on strobel making: 4 to 6 mm";
    (void)state;
    Place place = place_new();
    put_word(&place, BOTTOM_LASTING, "strobel");
    put(&place, EDGE_ALLOWANCE, 4);
    expect(&place, "last-margin", true, page);
    put(&place, EDGE_ALLOWANCE, 3.9);
    expect(&place, "last-margin", false, page);
    put(&place, EDGE_ALLOWANCE, 6);
    expect(&place, "last-margin-wide", true, page);
    put(&place, EDGE_ALLOWANCE, 6.1);
    expect(&place, "last-margin-wide", false, page);
    place_free(&place);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(skive_is_twice_the_fold),
        cmocka_unit_test(fold_is_skived_flat),
        cmocka_unit_test(folds_of_the_published_widths),
        cmocka_unit_test(what_cracks_is_not_folded),
        cmocka_unit_test(reliefs_of_curves),
        cmocka_unit_test(closed_seam_is_sewn_1_5_from_the_edge),
        cmocka_unit_test(lap_of_7_carries_its_rows),
        cmocka_unit_test(thread_weighs_what_it_says),
        cmocka_unit_test(fine_uppers_do_not_tear),
        cmocka_unit_test(strobel_margin),
    };
    return checks_told(cmocka_run_group_tests(tests, NULL, NULL));
}

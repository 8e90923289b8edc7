/* Shipped rules on skives, seams, needles and lasting against published values
 * of the trade: what a source calls right passes, what it rejects does not. */
#include "reference/rules_place.h"

#include <gsl/gsl_math.h>

static const char seams[] = "course notes on seams, 2018";
static const char manufacture[] = "The Manufacture of Boots and Shoes, London 1902";
static const char needles[] = "V. Desgrange, thread and needle table, 2002";

static void expect(const Place *place, const char *rule, bool good, const char *source)
{
    Kleene found = holds(place, rule);
    if (found != (good ? KLEENE_TRUE : KLEENE_FALSE))
        fail_msg("%s: %s, but %s in %s", rule,
                 found == KLEENE_TRUE    ? "holds"
                 : found == KLEENE_FALSE ? "does not hold"
                                         : "unknown",
                 good ? "accepted" : "rejected", source);
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
        check("skive", value_of(&place, "skive-width", "wanted"), 2 * folds[i], 1e-12, manufacture);
        put(&place, EDGE_SKIVE_WIDTH, 2 * folds[i]);
        expect(&place, "skive-width", true, manufacture);
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

static void closed_seam_is_sewn_1_5_from_the_edge(void **state)
{
    static const char *const kinds[] = {"leather", "suede", "nubuck"};
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
    static const double rows[] = {1.5, 2, 3.5, 4};
    (void)state;
    Place place = place_new();
    put_word(&place, SEAM_JOIN, "lapped");
    put(&place, EDGE_UNDER, 1);
    put(&place, EDGE_ALLOWANCE, 7);
    for (size_t i = 0; i < ROWS(rows); i++) {
        put(&place, ROW_FROM_EDGE, rows[i]);
        expect(&place, "lap-allowance", true, seams);
    }
    put(&place, ROW_FROM_EDGE, 7);
    expect(&place, "lap-allowance", false, "plain geometry: the row runs on the underlay's edge");
    place_free(&place);
}

/* Size 69 is tex 70, size 138 is tex 135; needles in Nm. */
static const struct {
    double tex, needle;
    bool accepted;
} bands[] = {
    {70, 90, true},   {70, 100, true},  {70, 110, true},  {70, 70, false},  {70, 140, false},
    {135, 130, true}, {135, 140, true}, {135, 150, true}, {135, 160, true}, {135, 110, false},
};

static void needle_goes_with_the_thread(void **state)
{
    (void)state;
    Place place = place_new();
    for (size_t i = 0; i < ROWS(bands); i++) {
        put(&place, ROW_THREAD, bands[i].tex);
        put(&place, ROW_NEEDLE, bands[i].needle / 100);
        expect(&place, "thread-needle", bands[i].accepted, needles);
    }
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
        check("tex", M_PI / 4 * across * across * 1380 * 0.6, sizes[i], 1e-4, "plain geometry");
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
    check("bridge in mm", value_of(&place, "row-perforation-torn", "bridge"), 0.2, 1e-12,
          "a shoemaker's published log of fine dress uppers");
    expect(&place, "row-perforation-torn", true,
           "a shoemaker's published log of fine dress uppers");
    place_free(&place);
}

/* Where the upper is sewn to a sock the margin is 4 to 6 mm. */
static void strobel_margin(void **state)
{
    static const char page[] = "trade page on strobel making: 4 to 6 mm";
    static const double margins[] = {3.9, 4, 5, 6, 6.1};
    (void)state;
    Place place = place_new();
    put_word(&place, BOTTOM_LASTING, "strobel");
    for (size_t i = 0; i < ROWS(margins); i++) {
        put(&place, EDGE_ALLOWANCE, margins[i]);
        expect(&place, "last-margin", margins[i] >= 4, page);
        expect(&place, "last-margin-wide", margins[i] <= 6, page);
    }
    place_free(&place);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(skive_is_twice_the_fold),
        cmocka_unit_test(fold_is_skived_flat),
        cmocka_unit_test(closed_seam_is_sewn_1_5_from_the_edge),
        cmocka_unit_test(lap_of_7_carries_its_rows),
        cmocka_unit_test(needle_goes_with_the_thread),
        cmocka_unit_test(thread_weighs_what_it_says),
        cmocka_unit_test(fine_uppers_do_not_tear),
        cmocka_unit_test(strobel_margin),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

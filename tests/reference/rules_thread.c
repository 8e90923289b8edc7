/* Shipped tables and limits on needles and threads, and the stitch and seam types that
 * styles may name, against published tables and standards. */
#include "reference/rules_place.h"

#include "measure/thread.h"

static const char desgrange[] = "V. Desgrange, thread and needle table, 2002";
static const char spun[] = "thread maker's bulletin on spun polyester";
static const char sewing_page[] = "sewing page on leather, 2021, thread and needle table";

static const RuleTable *needles(const Place *place)
{
    for (size_t i = 0; i < place->rules->table_count; i++)
        if (strcmp(place->rules->tables[i]->name, "needle_for_thread") == 0)
            return place->rules->tables[i];
    fail_msg("there is no table needle_for_thread");
    return NULL;
}

static bool accepted(Place *place, double tex, double needle)
{
    put(place, ROW_THREAD, tex);
    put(place, ROW_NEEDLE, needle / 100);
    return holds(place, "thread-needle") == KLEENE_TRUE;
}

/* ---- Bands ---- */

/* Needles printed for a thread: the finest and the thickest. Size 69 is sold as tex 70,
 * size 138 as tex 135, size 92 as tex 90. */
static const struct {
    double tex, finest, thickest;
    const char *source;
} bands[] = {
    {20, 60, 70, spun},
    {24, 65, 75, spun},
    {30, 70, 80, spun},
    {36, 75, 90, spun},
    {40, 75, 90, spun},
    {45, 75, 90, spun},
    {60, 90, 110, spun},
    {90, 100, 120, spun},
    {200, 160, 180, spun},
    {70, 90, 110, desgrange},
    {90, 100, 110, desgrange},
    {135, 130, 150, desgrange},
    {90, 120, 125, sewing_page},
    {135, 140, 160, sewing_page},
    {30, 85, 90, "shoemaking course on threads: tex 25 to 30, needles 85 to 90"},
};

static void needles_of_the_printed_bands(void **state)
{
    (void)state;
    Place place = place_new();
    for (size_t i = 0; i < ROWS(bands); i++) {
        const double ends[] = {bands[i].finest, bands[i].thickest};
        for (size_t k = 0; k < ROWS(ends); k++) {
            if (!accepted(&place, bands[i].tex, ends[k]))
                fail_msg("tex %g with a needle of %g is rejected, but stands in %s", bands[i].tex,
                         ends[k], bands[i].source);
            checks_printed++;
        }
    }
    place_free(&place);
}

/* All tables that print a needle for a thread agree that these are wrong for it. */
static void needles_outside_every_band(void **state)
{
    static const double wrong[][2] = {{20, 90}, {30, 110}, {70, 70},   {70, 140},
                                      {90, 80}, {90, 150}, {135, 110}, {200, 120}};
    (void)state;
    Place place = place_new();
    for (size_t i = 0; i < ROWS(wrong); i++)
        if (accepted(&place, wrong[i][0], wrong[i][1]))
            fail_msg("tex %g with a needle of %g is accepted", wrong[i][0], wrong[i][1]);
    place_free(&place);
}

/* Rows of the shipped table that are the middle of one printed band. */
static const struct {
    double tex, middle;
    const char *source;
} middles[] = {
    {20, 65, spun},  {24, 70, spun},   {30, 75, spun},       {60, 100, spun},
    {90, 110, spun}, {200, 170, spun}, {70, 100, desgrange},
};

static void rows_are_middles_of_bands(void **state)
{
    (void)state;
    Place place = place_new();
    const RuleTable *table = needles(&place);
    for (size_t i = 0; i < ROWS(middles); i++)
        check("needle in mm", table_value(table, middles[i].tex), middles[i].middle / 100, 1e-9,
              middles[i].source);
    place_free(&place);
}

/* Of size 138 one table prints 130 to 150, another 140 to 160: what both have. */
static void needle_of_size_138_is_in_both_bands(void **state)
{
    (void)state;
    Place place = place_new();
    check("needle in mm", table_value(needles(&place), 135), 1.45, 0.05, desgrange);
    check("needle in mm", table_value(needles(&place), 135), 1.50, 0.10, sewing_page);
    place_free(&place);
}

/* Fine uppers: thread 60/3 with a needle of 90. */
static void needle_of_fine_uppers(void **state)
{
    (void)state;
    Place place = place_new();
    assert_true(accepted(&place, 3 * thread_tex_of_metric(60), 90));
    checks_printed++;
    place_free(&place);
}

/* The eye about 40 % wider than the thread. */
static void eye_over_the_thread(void **state)
{
    static const char page[] = "trade page on needle sizes: the eye about 40 % wider";
    static const double sizes[] = {20, 40, 70, 135};
    (void)state;
    Place place = place_new();
    for (size_t i = 0; i < ROWS(sizes); i++) {
        put(&place, ROW_THREAD, sizes[i]);
        double across = value_of(&place, "thread-eye", "thread_across");
        check_worked("eye", value_of(&place, "thread-eye", "eye_wanted"), 1.4 * across, 1e-9, page);
        check_worked("thread", across, thread_diameter(sizes[i], 1.38, 0.6), 1e-6, "the same of C");
    }
    place_free(&place);
}

/* ---- Stitch types ---- */

static const char classes[] = "GB 4515-84, equivalent to ISO 4915-1981: classes 100 to 600";
static const char guide[] = "thread maker's guide to standard stitch types";
static const char lockstitches[] = "Malek et al., Autex Research Journal 20(4), 2020: lockstitches "
                                   "301, 304, 308 and 315";

static const struct {
    const char *number, *source;
} stitches[] = {
    {"101", guide},
    {"103", guide},
    {"209", guide},
    {"301", guide},
    {"304", guide},
    {"308", lockstitches},
    {"315", lockstitches},
    {"401", "course notes on the stitch classes 300 and 400"},
    {"503", "consumption table after Carr and Latham, Technology of Clothing Manufacture"},
    {"504", "consumption table after Carr and Latham, Technology of Clothing Manufacture"},
};

static void stitch_types_by_their_numbers(void **state)
{
    const WordList *list = field_at(ROW_STITCH)->words;
    (void)state;
    for (size_t i = 0; i < ROWS(stitches); i++) {
        if (word_index(list, stitches[i].number, 3) < 0)
            fail_msg("stitch %s is refused, but stands in %s", stitches[i].number,
                     stitches[i].source);
        checks_printed++;
    }
}

/* No type of the program is outside the six classes, and all were looked up. */
static void stitch_types_are_of_the_six_classes(void **state)
{
    const WordList *list = field_at(ROW_STITCH)->words;
    (void)state;
    assert_int_equal(list->count, ROWS(stitches));
    for (size_t i = 0; i < list->count; i++)
        if (strlen(list->words[i]) != 3 || list->words[i][0] < '1' || list->words[i][0] > '6')
            fail_msg("stitch %s is of none of the classes of %s", list->words[i], classes);
    assert_true(word_index(list, "700", 3) < 0);
    checks_printed++;
}

/* ---- Names of the trade ---- */

static const struct {
    const char *list, *said, *written, *source;
} names[] = {
    {"stitch", "lockstitch", "301", guide},
    {"stitch", "zigzag", "304", guide},
    {"stitch", "chainstitch", "401", "course notes on the stitch classes 300 and 400"},
    {"join", "bagged", "turned",
     "S. Comont, Shoemaking: Closing (bagged: face to face, then turned)"},
};

static void names_lead_to_the_words(void **state)
{
    (void)state;
    for (size_t i = 0; i < ROWS(names); i++) {
        const char *written =
            word_advice(word_list(names[i].list), names[i].said, strlen(names[i].said));
        if (!written || strcmp(written, names[i].written) != 0)
            fail_msg("%s leads to %s, not to %s as in %s", names[i].said,
                     written ? written : "nothing", names[i].written, names[i].source);
        checks_printed++;
    }
}

/* Seams of uppers by name: of the standard and of lectures on closing. */
static void seams_of_uppers(void **state)
{
    static const char *const seams[][2] = {
        {"lapped", "BS 5131-5.13:1980, strength of stitched seams: lapped seam"},
        {"closed", "S. Comont, Shoemaking: Closing (plain closed)"},
    };
    (void)state;
    for (size_t i = 0; i < ROWS(seams); i++) {
        if (word_index(word_list("join"), seams[i][0], strlen(seams[i][0])) < 0)
            fail_msg("the join %s is refused, but stands in %s", seams[i][0], seams[i][1]);
        checks_printed++;
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(needles_of_the_printed_bands),
        cmocka_unit_test(needles_outside_every_band),
        cmocka_unit_test(rows_are_middles_of_bands),
        cmocka_unit_test(needle_of_size_138_is_in_both_bands),
        cmocka_unit_test(needle_of_fine_uppers),
        cmocka_unit_test(eye_over_the_thread),
        cmocka_unit_test(stitch_types_by_their_numbers),
        cmocka_unit_test(stitch_types_are_of_the_six_classes),
        cmocka_unit_test(names_lead_to_the_words),
        cmocka_unit_test(seams_of_uppers),
    };
    return checks_told(cmocka_run_group_tests(tests, NULL, NULL));
}

/* Sizes and thread: arithmetic, ends of the scales, unknown values. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>

#include "measure/sizing.h"
#include "measure/thread.h"

static bool near(double a, double b, double tolerance)
{
    return fabs(a - b) <= tolerance;
}

static void a_step_is_the_difference_of_two_sizes(void **state)
{
    (void)state;
    for (int system = SIZE_PARIS_POINT; system <= SIZE_MONDOPOINT; system++)
        for (int child = 0; child <= 1; child++)
            for (double size = 1; size < 50; size += 0.5)
                assert_true(near(sizing_length((SizeSystem)system, size + 1, child) -
                                     sizing_length((SizeSystem)system, size, child),
                                 sizing_step((SizeSystem)system), 1e-9));
}

static void lengths_are_exact_where_they_can_be(void **state)
{
    (void)state;
    assert_true(sizing_length(SIZE_PARIS_POINT, 42, false) == 280);
    assert_true(sizing_length(SIZE_PARIS_POINT, 36, false) == 240);
    assert_true(sizing_length(SIZE_ENGLISH, 5, false) == 254);
    assert_true(near(sizing_length(SIZE_ENGLISH, 8.5, false), 283.6333, 5e-5));
    assert_true(near(sizing_length(SIZE_ENGLISH, 8, false) * 3 / 20, 41.91, 1e-9));
}

static void unknown_sizes_stay_unknown(void **state)
{
    (void)state;
    for (int system = SIZE_PARIS_POINT; system <= SIZE_MONDOPOINT; system++)
        assert_true(isnan(sizing_length((SizeSystem)system, NAN, false)));
    assert_true(isnan(sizing_radius_factor(NAN, 1)));
    assert_true(isnan(sizing_radius_factor(1, NAN)));
    assert_true(isnan(sizing_radius_factor(0, 1)));
    assert_true(isnan(sizing_radius_factor(1, -1)));
}

static void a_graded_radius_is_the_tightest(void **state)
{
    (void)state;
    assert_true(sizing_radius_factor(1, 1) == 1);
    assert_true(near(4.5 * sizing_radius_factor(36.0 / 42, 220.0 / 250), 3.7570, 5e-5));
    /* equal stretch both ways keeps the circle */
    assert_true(near(sizing_radius_factor(1.1, 1.1), 1.1, 1e-12));
    for (double x = 0.8; x < 1.3; x += 0.05)
        for (double y = 0.8; y < 1.3; y += 0.05)
            assert_true(sizing_radius_factor(x, y) <= fmin(x, y) + 1e-12);
}

static void thread_in_a_closed_seam(void **state)
{
    (void)state;
    assert_true(near(thread_per_stitch(301, 3.175, 3) / 3.175, 3.890, 5e-4));
    assert_true(near(thread_per_stitch(301, 2.54, 2) / 2.54, 3.575, 5e-4));
    assert_true(near(thread_per_stitch(401, 25.4 / 15, 0.015 * 25.4) * 15 / 25.4, 4.45, 1e-9));
    assert_true(isnan(thread_per_stitch(301, NAN, 3)));
    assert_true(isnan(thread_per_stitch(301, 2.5, NAN)));
}

static void strength_in_newtons_a_millimetre(void **state)
{
    (void)state;
    assert_true(near(thread_seam_strength(301, 4 * 4.4482, 2.54), 10.51, 5e-3));
    assert_true(near(thread_seam_strength(401, 4 * 4.4482, 2.54), 11.91, 5e-3));
    assert_true(near(thread_seam_strength(301, 48.9, 2.5), 29.34, 5e-3));
    assert_true(isnan(thread_seam_strength(301, NAN, 2.5)));
}

static void thread_sizes(void **state)
{
    (void)state;
    assert_true(near(thread_tex_of_denier(3 * 420), 140, 1e-12));
    assert_true(near(thread_ticket_metric(thread_tex_of_metric(40)), 120, 1e-9));
    assert_true(near(thread_ticket_cotton(590.54 / 20), 60, 1e-9));
    /* four times the mass is twice the thickness; looser packing is thicker */
    assert_true(near(thread_diameter(160, 1.38, 0.6), 2 * thread_diameter(40, 1.38, 0.6), 1e-12));
    assert_true(near(thread_diameter(40, 1.38, 0.6), 0.2480, 5e-5));
    assert_true(thread_diameter(40, 1.38, 0.5) > thread_diameter(40, 1.38, 0.6));
    assert_true(isnan(thread_diameter(NAN, 1.38, 0.6)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_step_is_the_difference_of_two_sizes),
        cmocka_unit_test(lengths_are_exact_where_they_can_be),
        cmocka_unit_test(unknown_sizes_stay_unknown),
        cmocka_unit_test(a_graded_radius_is_the_tightest),
        cmocka_unit_test(thread_in_a_closed_seam),
        cmocka_unit_test(strength_in_newtons_a_millimetre),
        cmocka_unit_test(thread_sizes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Pieces sewn into discs, rings, tubes and closed bags, against Euler's formula:
 * disc 1, cylinder 0, pair of trousers -1, sphere 2, Moebius band 0 with one rim
 * (textbooks of topology), and lengths of openings added up by hand. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "shape/surface.h"

/* Rectangles of 10 by 4: stretches 10, 4, 10, 4 each. */
static Surface *rectangles(Arena *arena, size_t count)
{
    double *lengths = ARENA_NEW(arena, double, 4 * count);
    size_t *counts = ARENA_NEW(arena, size_t, count);
    for (size_t i = 0; i < 4 * count; i++)
        lengths[i] = i % 2 ? 4 : 10;
    for (size_t i = 0; i < count; i++)
        counts[i] = 4;
    return surface_new(arena, lengths, counts, count);
}

static void assert_body(const Surface *surface, size_t pieces, int shape, size_t openings,
                        double opening)
{
    Body body = surface_body(surface, 0);
    assert_int_equal(body.pieces, pieces);
    assert_int_equal(body.shape, shape);
    assert_int_equal(body.openings, openings);
    if (isnan(opening))
        assert_true(isnan(body.opening));
    else
        assert_true(fabs(body.opening - opening) < 1e-12);
}

static void one_piece_is_a_disc(void **state)
{
    (void)state;
    Arena arena = {0};
    assert_body(rectangles(&arena, 1), 1, 1, 1, 28);
    arena_free(&arena);
}

static void two_side_by_side_are_a_disc(void **state)
{
    (void)state;
    Arena arena = {0};
    Surface *surface = rectangles(&arena, 2);
    assert_int_not_equal(surface_leader(surface, 0), surface_leader(surface, 1));
    assert_true(surface_join(surface, 1, 7, true));
    assert_int_equal(surface_leader(surface, 0), surface_leader(surface, 1));
    assert_body(surface, 2, 1, 1, 48);
    arena_free(&arena);
}

static void a_band_sewn_to_itself_is_a_ring(void **state)
{
    (void)state;
    Arena arena = {0};
    Surface *surface = rectangles(&arena, 1);
    assert_true(surface_join(surface, 1, 3, true));
    assert_body(surface, 1, 0, 2, 10);
    arena_free(&arena);
}

static void with_a_twist_it_has_one_rim(void **state)
{
    (void)state;
    Arena arena = {0};
    Surface *surface = rectangles(&arena, 1);
    assert_true(surface_join(surface, 1, 3, false));
    assert_body(surface, 1, 0, 1, 20);
    arena_free(&arena);
}

/* Vamp between two quarters that meet at the back. */
static void quarters_become_a_ring_with_the_back_seam(void **state)
{
    (void)state;
    Arena arena = {0};
    Surface *surface = rectangles(&arena, 3);
    assert_true(surface_join(surface, 1, 7, true));
    assert_true(surface_join(surface, 5, 11, true));
    assert_body(surface, 3, 1, 1, 68);
    assert_true(surface_join(surface, 9, 3, true));
    assert_body(surface, 3, 0, 2, 30);
    arena_free(&arena);
}

/* A tongue and its lining turned along three sides; the fourth closes it. */
static void a_bag_has_an_opening_until_it_is_closed(void **state)
{
    (void)state;
    Arena arena = {0};
    Surface *surface = rectangles(&arena, 2);
    for (size_t i = 0; i < 3; i++)
        assert_true(surface_join(surface, i, 4 + i, false));
    assert_body(surface, 2, 1, 1, 8);
    assert_true(surface_join(surface, 3, 7, false));
    assert_body(surface, 2, 2, 0, 0);
    arena_free(&arena);
}

/* Two bands crosswise joined at both ends of each to a square: a torus with a hole. */
static void two_handles_lower_eulers_number(void **state)
{
    (void)state;
    Arena arena = {0};
    Surface *surface = rectangles(&arena, 3);
    assert_true(surface_join(surface, 0, 5, true));
    assert_true(surface_join(surface, 2, 7, true));
    assert_true(surface_join(surface, 1, 9, true));
    assert_true(surface_join(surface, 3, 11, true));
    assert_body(surface, 3, -1, 1, 40);
    arena_free(&arena);
}

static void a_stretch_is_joined_once(void **state)
{
    (void)state;
    Arena arena = {0};
    Surface *surface = rectangles(&arena, 3);
    assert_true(surface_join(surface, 1, 7, true));
    assert_false(surface_join(surface, 1, 11, true));
    assert_false(surface_join(surface, 8, 8, true));
    assert_body(surface, 2, 1, 1, 48);
    arena_free(&arena);
}

static void an_unknown_length_makes_its_opening_unknown(void **state)
{
    (void)state;
    Arena arena = {0};
    Surface *surface = rectangles(&arena, 2);
    surface->stretches[4].length = NAN;
    assert_true(surface_join(surface, 1, 7, true));
    assert_body(surface, 2, 1, 1, NAN);
    arena_free(&arena);
}

static void a_copy_is_joined_on_its_own(void **state)
{
    (void)state;
    Arena arena = {0};
    Surface *surface = rectangles(&arena, 2), *copy = surface_copy(&arena, surface);
    assert_true(surface_join(copy, 1, 7, true));
    assert_body(copy, 2, 1, 1, 48);
    assert_body(surface, 1, 1, 1, 28);
    assert_int_not_equal(surface_leader(surface, 0), surface_leader(surface, 1));
    assert_true(surface_join(surface, 1, 7, true));
    assert_body(surface, 2, 1, 1, 48);
    arena_free(&arena);
}

/* A band of eight, sewn from both ends, in the middle and last of all to itself. */
static void it_is_the_same_in_whatever_order_it_is_sewn(void **state)
{
    (void)state;
    static const size_t orders[][7] = {
        {0, 1, 2, 3, 4, 5, 6}, {6, 0, 5, 1, 4, 2, 3}, {3, 1, 5, 0, 2, 6, 4}};
    for (size_t o = 0; o < 3; o++) {
        Arena arena = {0};
        Surface *surface = rectangles(&arena, 8);
        for (size_t i = 0; i < 7; i++)
            assert_true(surface_join(surface, 4 * orders[o][i] + 1, 4 * orders[o][i] + 7, true));
        for (size_t i = 0; i < 8; i++)
            assert_int_equal(surface_leader(surface, i), surface_leader(surface, 0));
        assert_body(surface, 8, 1, 1, 168);
        assert_true(surface_join(surface, 29, 3, true));
        assert_body(surface, 8, 0, 2, 80);
        arena_free(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_piece_is_a_disc),
        cmocka_unit_test(two_side_by_side_are_a_disc),
        cmocka_unit_test(a_band_sewn_to_itself_is_a_ring),
        cmocka_unit_test(with_a_twist_it_has_one_rim),
        cmocka_unit_test(quarters_become_a_ring_with_the_back_seam),
        cmocka_unit_test(a_bag_has_an_opening_until_it_is_closed),
        cmocka_unit_test(two_handles_lower_eulers_number),
        cmocka_unit_test(a_stretch_is_joined_once),
        cmocka_unit_test(an_unknown_length_makes_its_opening_unknown),
        cmocka_unit_test(a_copy_is_joined_on_its_own),
        cmocka_unit_test(it_is_the_same_in_whatever_order_it_is_sewn),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

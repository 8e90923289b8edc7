/* A corner of a polygon rounded, against the fillet of a mathematics handbook: of two
 * straight lines that meet at the inner angle a, the circle of radius r that touches
 * both touches them r / tan(a/2) from the corner, its arc is r (pi - a) long, and it
 * takes away r^2 (1/tan(a/2) - (pi - a)/2) of the corner; the corner lies
 * r (1/sin(a/2) - 1) off the arc. Source: derived from the two right triangles between
 * corner, centre and touching places; so in I. N. Bronshtein et al., Handbook of
 * Mathematics, plane geometry (tangents to a circle). */
#include "../unit/shape_kit.h"

#include "shape/rounded.h"

static const double pi = 3.14159265358979323846;

/* 50 mm towards the corner at 0, 0, and 50 mm on. */
static Path corner_path(Arena *arena, double inner, bool left)
{
    double turn = (pi - inner) * (left ? 1 : -1);
    Point points[3] = {{-50, 0}, {0, 0}, {50 * cos(turn), 50 * sin(turn)}};
    return polyline(arena, points, 3);
}

static void check_corner(double inner, double wished, bool left)
{
    Arena arena = {0};
    Path path = corner_path(&arena, inner, left);
    RoundedWish wish = {.hollow = left ? 0 : wished,
                        .rounded = left ? wished : 0,
                        .within = INFINITY,
                        .corners = true};
    Rounded rounded;
    Text why = {0};
    if (!rounded_line(&arena, &path, &wish, &rounded, &why))
        fail_msg("%.3g rad, %.3g mm: %s", inner, wished, text_string(&why));
    double r = wished * ROUNDED_OVER, cutback = r / tan(inner / 2), arc = r * (pi - inner);
    assert_int_equal(rounded.arc_count, 1);
    near("radius", rounded.arcs[0].radius, r, 1e-9);
    near("cutback", hypot(rounded.path.pieces[0].p[3].x, rounded.path.pieces[0].p[3].y), cutback,
         1e-6);
    near("centre from corner", hypot(rounded.arcs[0].centre.x, rounded.arcs[0].centre.y),
         r / sin(inner / 2), 1e-6);
    near("longer", rounded.longer, arc - 2 * cutback, 1e-6 * r);
    double taken = r * r * (1 / tan(inner / 2) - (pi - inner) / 2);
    near("larger", rounded.larger, left ? -taken : taken, 1e-6 * r * r);
    near("deviation", rounded.deviation, r * (1 / sin(inner / 2) - 1), 2e-4);
    near("least radius", left ? rounded.rounded : rounded.hollow, r, 1e-3 * r);
    assert_true((left ? rounded.rounded : rounded.hollow) >= wished);
    assert_int_equal(rounded.corners, 0);
    text_free(&why);
    arena_free(&arena);
}

static void a_corner_becomes_its_fillet(void **state)
{
    (void)state;
    static const double degrees[] = {30, 60, 90, 100, 135, 170};
    static const double radii[] = {0.5, 3, 9};
    for (size_t i = 0; i < ROWS_OF(degrees); i++)
        for (size_t k = 0; k < ROWS_OF(radii); k++) {
            check_corner(RADIANS(degrees[i]), radii[k], true);
            check_corner(RADIANS(degrees[i]), radii[k], false);
        }
}

/* The touching places must lie on the line: 50 mm of it bound the radius. */
static void beyond_the_ends_there_is_no_fillet(void **state)
{
    (void)state;
    Arena arena = {0};
    double inner = RADIANS(90), most = 50 * tan(inner / 2) / ROUNDED_OVER;
    Path path = corner_path(&arena, inner, false);
    RoundedWish wish = {.hollow = most * 1.001, .within = INFINITY, .corners = true};
    Rounded rounded;
    Text why = {0};
    assert_false(rounded_line(&arena, &path, &wish, &rounded, &why));
    assert_non_null(strstr(text_string(&why), "beyond the line's end"));
    near("share", rounded_share(&path, &wish), 1 / 1.001, 0.011);
    text_clear(&why);
    wish.hollow = most * 0.999;
    assert_true(rounded_line(&arena, &path, &wish, &rounded, &why));
    text_free(&why);
    arena_free(&arena);
}

/* An arc between straights is a fillet already: rounding it gives the larger one. */
static void a_fillet_becomes_a_larger_one(void **state)
{
    (void)state;
    Arena arena = {0};
    Path path = path_from(&arena, "M 0 0 L 40 0 A 4 4 0 0 1 44 4 L 44 44");
    RoundedWish wish = {.hollow = 9, .within = INFINITY};
    Rounded rounded;
    Text why = {0};
    assert_true(rounded_line(&arena, &path, &wish, &rounded, &why));
    double r = 9 * ROUNDED_OVER;
    near("cutback", rounded.path.pieces[0].p[3].x, 44 - r, 1e-6);
    near("deviation", rounded.deviation, (r - 4) * (sqrt(2) - 1), 2e-4);
    near("larger", rounded.larger, (r * r - 16) * (1 - pi / 4), 1e-4);
    text_free(&why);
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_corner_becomes_its_fillet),
        cmocka_unit_test(beyond_the_ends_there_is_no_fillet),
        cmocka_unit_test(a_fillet_becomes_a_larger_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

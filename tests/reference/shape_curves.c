/* Lengths and radii of curves against the GNU Scientific Library and against
 * closed forms of mathematics handbooks. */
#include "reference/check.h"

#include <gsl/gsl_integration.h>
#include <gsl/gsl_sf_ellint.h>
#include <string.h>

#include "shape/bends.h"

static const double pi = 3.14159265358979323846;
static const char quadrature[] = "gsl_integration_qags";
static const char vertices[] =
    "mathematics handbook, ellipse: radii b^2/a and a^2/b at the vertices";

static Path path_from(Arena *arena, const char *data)
{
    Path path;
    size_t offset;
    Text problem = {0};
    if (!path_read(arena, data, strlen(data), &path, &offset, &problem))
        fail_msg("%s: %s", data, text_string(&problem));
    text_free(&problem);
    return path;
}

/* ---- lengths ---- */

static double speed(double t, void *data)
{
    const Point *p = data;
    double u = 1 - t, a = 3 * u * u, b = 6 * u * t, c = 3 * t * t;
    return hypot(a * (p[1].x - p[0].x) + b * (p[2].x - p[1].x) + c * (p[3].x - p[2].x),
                 a * (p[1].y - p[0].y) + b * (p[2].y - p[1].y) + c * (p[3].y - p[2].y));
}

static void lengths_of_pieces(void **state)
{
    (void)state;
    gsl_integration_workspace *work = gsl_integration_workspace_alloc(1000);
    uint32_t seed = 12345;
    for (int i = 0; i < 300; i++) {
        Cubic piece;
        for (int k = 0; k < 8; k++) {
            seed = seed * 1664525u + 1013904223u;
            double value = (double)(seed >> 12) / 10000;
            if (k % 2)
                piece.p[k / 2].y = value;
            else
                piece.p[k / 2].x = value;
        }
        Path path = {&piece, 1};
        double from = 0.001 * i, to = 1 - 0.002 * i, expected, error;
        if (to < from)
            continue;
        gsl_function function = {speed, piece.p};
        assert_int_equal(
            gsl_integration_qags(&function, from, to, 0, 1e-11, 1000, work, &expected, &error), 0);
        near_enough("length", path_length_between(&path, (PathAt){0, from}, (PathAt){0, to}),
                    expected, 1e-9 * expected, quadrature);
    }
    gsl_integration_workspace_free(work);
}

/* With its cusp in the middle, where the speed is |1 - 2t| times a smooth one. */
static void length_through_a_cusp(void **state)
{
    (void)state;
    gsl_integration_workspace *work = gsl_integration_workspace_alloc(1000);
    Cubic piece = {{{0, 0}, {30, 30}, {0, 30}, {30, 0}}};
    Path path = {&piece, 1};
    double half, error;
    gsl_function function = {speed, piece.p};
    assert_int_equal(gsl_integration_qags(&function, 0, 0.5, 0, 1e-11, 1000, work, &half, &error),
                     0);
    check_worked("length", path_length(&path), 2 * half, 2e-9 * half, quadrature);
    gsl_integration_workspace_free(work);
}

static void lengths_of_arcs(void **state)
{
    (void)state;
    Arena arena = {0};
    for (double radius = 1; radius < 300; radius *= 1.9)
        for (double degrees = 5; degrees < 355; degrees += 23) {
            char data[200];
            double a = degrees * pi / 180;
            snprintf(data, sizeof data, "M %.12f 0 A %.12f %.12f 0 %d 1 %.12f %.12f", radius,
                     radius, radius, degrees > 180, radius * cos(a), radius * sin(a));
            Path path = path_from(&arena, data);
            near_enough("arc", path_length(&path), radius * a, 1e-7 * radius * a,
                        "L = R times angle");
        }
    arena_free(&arena);
}

static void girth_of_an_ellipse(void **state)
{
    (void)state;
    Arena arena = {0};
    Path path = path_from(&arena, "M 50 0 A 50 20 0 0 1 -50 0 A 50 20 0 0 1 50 0");
    double modulus = sqrt(1 - 0.16);
    check_worked("girth", path_length(&path),
                 4 * 50 * gsl_sf_ellint_Ecomp(modulus, GSL_PREC_DOUBLE), 1e-4,
                 "gsl_sf_ellint_Ecomp, 4 a E(k)");
    arena_free(&arena);
}

/* ---- radii ---- */

/* From one end of an axis to the other, over the end of the other axis. */
static void radii_at_the_vertices(void **state)
{
    (void)state;
    static const double axes[][2] = {{2, 3}, {3, 2}, {10, 4}, {10, 25}, {40, 90}, {7, 5}};
    Arena arena = {0};
    for (size_t i = 0; i < ROWS(axes); i++) {
        char data[200];
        double x = axes[i][0], y = axes[i][1], big = fmax(x, y), small = fmin(x, y);
        bool wide = x > y; /* the sharp vertex is in the middle of the half drawn */
        snprintf(data, sizeof data, "M 0 %g A %g %g 0 0 0 0 -%g", y, x, y, y);
        if (!wide)
            snprintf(data, sizeof data, "M -%g 0 A %g %g 0 0 0 %g 0", x, x, y, x);
        Path path = path_from(&arena, data);
        Bend *bends;
        assert_int_equal(bends_find(&arena, &path, &bends), 1);
        double sharp = small * small / big, wide_radius = big * big / small;
        check_worked("sharp", bends[0].radius, sharp, 0.005 * sharp, vertices);
        check_worked("easy", 1 / fabs(path_curvature(&path, (PathAt){0, 0})), wide_radius,
                     0.001 * wide_radius, vertices);
        near_enough("turn", bends[0].turn, pi, 1e-6, "half an ellipse");
        near_enough("at", bends[0].at, path_length(&path) / 2, 1e-3, "its middle");
    }
    arena_free(&arena);
}

/* Radius, chord, height: most of a circle is drawn and chords are laid along it. */
static const struct {
    double radius, chord, height, tolerance;
    bool printed;
} arcs[] = {
    {6, 10, 2.68338, 1e-5, true},  {10, 12, 2, 1e-5, true},       {15, 20, 3.82, 5e-3, true},
    {5, 2, 0.101021, 1e-5, false}, {3, 2, 0.171573, 1e-5, false}, {10, 2, 0.050126, 1e-5, false},
    {3, 3, 0.401924, 1e-5, false}, {8, 3, 0.141883, 1e-5, false}, {20, 3, 0.056329, 1e-5, false},
};

static void arcs_over_their_chords(void **state)
{
    (void)state;
    Arena arena = {0};
    for (size_t i = 0; i < ROWS(arcs); i++) {
        char data[200];
        double r = arcs[i].radius;
        snprintf(data, sizeof data, "M 0 0 a %g %g 0 1 1 %g %g", r, r, -r, r);
        Path path = path_from(&arena, data);
        Bend *bends;
        assert_int_equal(bends_find(&arena, &path, &bends), 1);
        (arcs[i].printed ? check : check_worked)(
            "height over the chord", bends_facet(&path, &bends[0], arcs[i].chord), arcs[i].height,
            arcs[i].tolerance,
            arcs[i].printed ? "printed examples of arc heights: R 6 over a chord of 10; R 10 over "
                              "12; R 15 over 20"
                            : "mathematics handbook, circular segment: s = R - sqrt(R^2 - c^2/4)");
    }
    arena_free(&arena);
}

/* x = 2 cos t, y = 3 sin t: curvature 2/9 at (2, 0), 3/4 at (0, 3). */
static void printed_example_of_an_ellipse(void **state)
{
    (void)state;
    static const char source[] = "printed exercise of a calculus textbook on curvature";
    Arena arena = {0};
    Path path = path_from(&arena, "M 2 0 A 2 3 0 0 0 0 -3");
    check("at (2, 0)", path_curvature(&path, (PathAt){0, 0}), 2.0 / 9, 1e-4, source);
    check("at (0, 3)", path_curvature(&path, (PathAt){path.count - 1, 1}), 3.0 / 4, 3e-4, source);
    Bend *bends;
    assert_int_equal(bends_find(&arena, &path, &bends), 1);
    check_worked("radius", bends[0].radius, 4.0 / 3, 0.005 * 4 / 3, source);
    arena_free(&arena);
}

/* A circle becomes an ellipse; its vertices are on the three quarters drawn. */
static void radii_of_a_stretched_circle(void **state)
{
    (void)state;
    static const double scales[][2] = {{1, 1}, {36.0 / 42, 220.0 / 250}, {1.1, 0.95}, {0.8, 1.2}};
    Arena arena = {0};
    for (double radius = 1.5; radius < 100; radius *= 3)
        for (size_t i = 0; i < ROWS(scales); i++) {
            char data[200];
            double x = scales[i][0], y = scales[i][1];
            snprintf(data, sizeof data, "M 10 10 a %g %g 0 1 0 %g %g", radius, radius, radius,
                     radius);
            Path path = path_from(&arena, data);
            Bend *bends;
            assert_int_equal(bends_find(&arena, &path, &bends), 1);
            double expected = fmin(y * y / x, x * x / y) * radius;
            near_enough("radius",
                        bends_stretched(&path, &bends[0], (Matrix){x, 0, 0, y, 3, 4}).radius,
                        expected, 0.002 * expected, vertices);
        }
    Path path = path_from(&arena, "M 0 0 a 4.5 4.5 0 1 0 4.5 4.5");
    Bend *bends;
    assert_int_equal(bends_find(&arena, &path, &bends), 1);
    check_worked(
        "42 to 36",
        bends_stretched(&path, &bends[0], (Matrix){36.0 / 42, 0, 0, 220.0 / 250, 0, 0}).radius,
        3.7570, 0.005, "derived from b^2/a and a^2/b; the girth of 250 mm is invented");
    near_enough("a corner", bends_stretched(&path, &(Bend){.corner = true}, MATRIX_NONE).radius, 0,
                0, "itself");
    arena_free(&arena);
}

/* Stretching within a line whose neighbours bend otherwise. */
static void stretching_by_nothing_changes_nothing(void **state)
{
    (void)state;
    Arena arena = {0};
    Path path = path_from(&arena, "M 0 0 h 30 a 9 9 0 0 1 9 9 v 20 a 14 14 0 0 0 14 14 "
                                  "c 30 0 30 20 60 20 q 40 0 40 40");
    Bend *bends;
    size_t count = bends_find(&arena, &path, &bends);
    assert_int_equal(count, 5);
    for (size_t i = 0; i < count; i++) {
        near_enough("radius", bends_stretched(&path, &bends[i], MATRIX_NONE).radius,
                    bends[i].radius, 1e-9 * bends[i].radius, "the bend itself");
        near_enough("doubled", bends_stretched(&path, &bends[i], (Matrix){2, 0, 0, 2, 0, 0}).radius,
                    2 * bends[i].radius, 0.005 * bends[i].radius, "likeness");
    }
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lengths_of_pieces),
        cmocka_unit_test(length_through_a_cusp),
        cmocka_unit_test(lengths_of_arcs),
        cmocka_unit_test(girth_of_an_ellipse),
        cmocka_unit_test(radii_at_the_vertices),
        cmocka_unit_test(arcs_over_their_chords),
        cmocka_unit_test(printed_example_of_an_ellipse),
        cmocka_unit_test(radii_of_a_stretched_circle),
        cmocka_unit_test(stretching_by_nothing_changes_nothing),
    };
    return checks_told(cmocka_run_group_tests(tests, NULL, NULL));
}

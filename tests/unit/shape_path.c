/* Path data read into pieces; points, directions, lengths and places of paths. */
#include "unit/shape_kit.h"

static void end_at(const Path *path, double x, double y)
{
    near("end x", path_end(path).x, x, 1e-9);
    near("end y", path_end(path).y, y, 1e-9);
}

/* ---- the standard's own examples (SVG 1.1, chapter 8), y turned upwards ---- */

static void triangle(void **state)
{
    (void)state;
    Arena arena = {0};
    Path path = path_from(&arena, "M 100 100 L 300 100 L 200 300");
    assert_int_equal(path.count, 2);
    near("start", path_start(&path).y, -100, 0);
    end_at(&path, 200, -300);
    near("length", path_length(&path), 200 + hypot(100, 200), 1e-9);
    arena_free(&arena);
}

static void cubics(void **state)
{
    (void)state;
    Arena arena = {0};
    Path path = path_from(&arena, "M100,200 C100,100 250,100 250,200\n S400,300 400,200");
    assert_int_equal(path.count, 2);
    end_at(&path, 400, -200);
    near("mirrored x", path.pieces[1].p[1].x, 250, 0);
    near("mirrored y", path.pieces[1].p[1].y, -300, 0);
    near("middle", path_point(&path, (PathAt){0, 0.5}).y, -125, 1e-12);
    arena_free(&arena);
}

static void quadratics(void **state)
{
    (void)state;
    Arena arena = {0};
    Path path = path_from(&arena, "M200,300 Q400,50 600,300 T1000,300");
    assert_int_equal(path.count, 2);
    end_at(&path, 1000, -300);
    near("top", path_point(&path, (PathAt){0, 0.5}).y, -175, 1e-12);
    near("foot", path_point(&path, (PathAt){1, 0.5}).y, -425, 1e-12);
    near("foot x", path_point(&path, (PathAt){1, 0.5}).x, 800, 1e-12);
    arena_free(&arena);
}

static void arcs(void **state)
{
    (void)state;
    Arena arena = {0};
    /* three quarters of a circle of 150, and one quarter */
    Path path = path_from(&arena, "M300,200 h-150 a150,150 0 1,0 150,-150");
    near("length", path_length(&path), 150 + RADIANS(270) * 150, 1e-4);
    end_at(&path, 300, -50);
    Path quarter = path_from(&arena, "M275,175 v-150 a150,150 0 0,0 -150,150");
    near("length", path_length(&quarter), 150 + RADIANS(90) * 150, 1e-4);
    Path wave = path_from(&arena, "M600,350 l 50,-25\n"
                                  "a25,25 -30 0,1 50,-25 l 50,-25\n"
                                  "a25,50 -30 0,1 50,-25 l 50,-25\n"
                                  "a25,75 -30 0,1 50,-25 l 50,-25\n"
                                  "a25,100 -30 0,1 50,-25 l 50,-25");
    end_at(&wave, 1050, -125);
    arena_free(&arena);
}

/* The four arcs between two points by their flags: clockwise on the page or not,
 * the long or the short way. */
static void flags_of_arcs(void **state)
{
    (void)state;
    Arena arena = {0};
    for (int large = 0; large < 2; large++)
        for (int sweep = 0; sweep < 2; sweep++) {
            char data[80];
            snprintf(data, sizeof data, "M0 0A10 10 0 %d%d10 10", large, sweep);
            Path path = path_from(&arena, data);
            near("length", path_length(&path), RADIANS(large ? 270 : 90) * 10, 1e-5);
            near("curvature", path_curvature(&path, (PathAt){0, 0.5}), sweep ? -0.1 : 0.1, 1e-4);
            end_at(&path, 10, -10);
        }
    Path small = path_from(&arena, "M 0 0 A 1 1 0 0 0 20 0"); /* radii grow to reach */
    near("half a circle", path_length(&small), RADIANS(180) * 10, 1e-5);
    arena_free(&arena);
}

/* ---- grammar ---- */

static void ways_to_write_the_same(void **state)
{
    (void)state;
    Arena arena = {0};
    const char *same[] = {"M 10 20 L 40 20 L 40 60",
                          "M10 20 40 20 40 60",
                          "m10,20l30,0,0,40",
                          "M10 20H40V60",
                          "m10 20h30v40",
                          "M1e1+2E1L40.0 2000e-2l0 4.e1",
                          " \t\r\n M 10,20\n,40,20 40 60 ",
                          "M10 20h+30v.4e2",
                          "m 10 20 30 0 0 40",
                          "M0.00010e5 20L40 20 40 60",
                          "M10 20 10 20 40 20 L40 20 40 60"};
    for (size_t i = 0; i < ROWS_OF(same); i++) {
        Path path = path_from(&arena, same[i]);
        if (path.count != 2)
            fail_msg("%s: %zu pieces", same[i], path.count);
        near(same[i], path_start(&path).x, 10, 0);
        near(same[i], path_start(&path).y, -20, 0);
        near(same[i], path.pieces[1].p[0].x, 40, 0);
        near(same[i], path.pieces[1].p[0].y, -20, 0);
        end_at(&path, 40, -60);
    }
    Path tight = path_from(&arena, "M.5.5-.5-.5"); /* numbers part themselves */
    end_at(&tight, -0.5, 0.5);
    Path smooth = path_from(&arena, "M0 0L5 0S10 5 10 0"); /* nothing to mirror */
    near("handle", smooth.pieces[1].p[1].x, 5, 0);
    arena_free(&arena);
}

static void decimals_are_read_exactly(void **state)
{
    (void)state;
    Arena arena = {0};
    Path path = path_from(&arena, "M0 0L123.456 0.1L 3.0000000000000000000001 1e-300");
    near("x", path.pieces[0].p[3].x, 123.456, 0);
    near("y", path.pieces[0].p[3].y, -0.1, 0);
    near("digits", path_end(&path).x, 3, 0);
    arena_free(&arena);
}

static void refusals(void **state)
{
    (void)state;
    const struct {
        const char *data;
        size_t offset;
        const char *says;
    } cases[] = {
        {"", 0, "begin with M"},
        {"   ", 3, "begin with M"},
        {"L 1 2", 0, "begin with M"},
        {"M", 1, "end where a number is due"},
        {"M 1", 3, "end where a number is due"},
        {"M 1 2", 0, "nothing is drawn"},
        {"M 1 2 L 1 2", 0, "nothing is drawn"},
        {"M 1 2 L", 7, "a number is due"},
        {"M 1 2 L 3 4,", 12, "a number is due"},
        {"M 1 2 L 3,,4", 10, "a number is due"},
        {"M 1 2,L 3 4", 6, "a number is due"},
        {"M 1 2 L 3 4 z", 12, "Z closes"},
        {"M 1 2 L 3 4 M 5 6", 12, "second M"},
        {"M 1 2 L 3 4 X", 12, "a command is due"},
        {"M 1 2 L 3 four", 10, "a number is due"},
        {"M 1 2 L nan 4", 8, "a number is due"},
        {"M 1 2 L 3 -inf", 10, "a number is due"},
        {"M 1 2 L 1e400 4", 8, "beyond 1,000,000"},
        {"M 1 2 L 1000001 4", 8, "beyond 1,000,000"},
        {"M 9e5 2 l 9e5 4", 14, "leaves the range"},
        {"M 1 2 L 0.00000000000000000000000000000000000000000001 4", 8, "40 characters"},
        {"M 1 2 A 0 5 0 0 0 9 9", 8, "radius zero"},
        {"M 1 2 A 5 0 0 0 0 9 9", 8, "radius zero"},
        {"M 1 2 A 5 5 0 2 0 9 9", 14, "flag"},
        {"M 1 2 A 5 5 0 0 -1 9 9", 16, "flag"},
        {"M 1 2 C 1 2 3 4 5", 17, "a number is due"},
        {"M 1 2 L 3 4 \xC3\xA9", 12, "a command is due"},
    };
    for (size_t i = 0; i < ROWS_OF(cases); i++) {
        Arena arena = {0};
        Text problem = {0};
        Path path;
        size_t offset = 99;
        if (path_read(&arena, cases[i].data, strlen(cases[i].data), &path, &offset, &problem))
            fail_msg("taken: %s", cases[i].data);
        if (offset != cases[i].offset || !strstr(text_string(&problem), cases[i].says))
            fail_msg("%s: at %zu, not %zu: %s", cases[i].data, offset, cases[i].offset,
                     text_string(&problem));
        text_free(&problem);
        arena_free(&arena);
    }
}

static void two_thousand_pieces_and_no_more(void **state)
{
    (void)state;
    for (int more = 0; more < 2; more++) {
        Arena arena = {0};
        Text data = {0}, problem = {0};
        Path path;
        size_t offset;
        text_add(&data, "M0 0h1");
        for (int i = 1; i < PATH_PIECES_MOST + more; i++)
            text_add(&data, "h1");
        bool read = path_read(&arena, data.bytes, data.length, &path, &offset, &problem);
        assert_int_equal(read, !more);
        if (more)
            assert_non_null(strstr(text_string(&problem), "2,000 pieces"));
        else
            near("length", path_length(&path), PATH_PIECES_MOST, 1e-6);
        text_free(&data);
        text_free(&problem);
        arena_free(&arena);
    }
}

/* ---- measuring ---- */

static void places_along_a_path(void **state)
{
    (void)state;
    Arena arena = {0};
    Path path = path_from(&arena, "M 0 0 h 10 a 20 20 0 0 1 20 20 c 0 30 40 -10 10 50");
    PathRuler ruler = path_ruler(&arena, &path);
    double length = path_length(&path);
    near("ruler", ruler_length(&ruler), length, 1e-9 * length);
    for (double s = 0; s <= length; s += length / 57) {
        PathAt at = path_along(&path, s), same = ruler_at(&ruler, s);
        near("there and back", path_length_between(&path, (PathAt){0, 0}, at), s, 1e-9 * length);
        near("ruler", ruler_distance(&ruler, same), s, 1e-9 * length);
        near("backwards", path_length_between(&path, at, (PathAt){0, 0}), -s, 1e-9 * length);
    }
    near("before", path_along(&path, -5).t, 0, 0);
    assert_int_equal(path_along(&path, 1e9).piece, path.count - 1);
    near("behind", path_along(&path, 1e9).t, 1, 0);
    arena_free(&arena);
}

static void directions_and_curvature(void **state)
{
    (void)state;
    Arena arena = {0};
    Path path = path_from(&arena, "M 0 0 C 0 0 10 -10 20 -10"); /* handle on its end */
    near("x", path_direction(&path, (PathAt){0, 0}).x, sqrt(0.5), 1e-12);
    near("y", path_direction(&path, (PathAt){0, 0}).y, sqrt(0.5), 1e-12);
    assert_true(path_curvature(&path, (PathAt){0, 0}) != path_curvature(&path, (PathAt){0, 0}));
    assert_true(path_curvature(&path, (PathAt){0, 0.5}) < 0); /* turns right, upwards first */
    Path cusp = path_from(&arena, "M 0 0 C 30 -30 0 -30 30 0");
    near("cusp", path_direction(&cusp, (PathAt){0, 0.5}).y, -1, 1e-9);
    path_reverse(&cusp);
    near("start", path_start(&cusp).x, 30, 0);
    arena_free(&arena);
}

static void matrices(void **state)
{
    (void)state;
    Matrix turn = {0, 1, -1, 0, 0, 0}, shift = {1, 0, 0, 1, 5, 7};
    Point p = matrix_point(matrix_times(shift, turn), (Point){2, 3});
    near("x", p.x, 2, 0);
    near("y", p.y, 9, 0);
    p = matrix_point(matrix_times(turn, shift), (Point){2, 3});
    near("x", p.x, -10, 0);
    near("y", p.y, 7, 0);
}

static void flattened_within_the_error(void **state)
{
    (void)state;
    Arena arena = {0};
    Path path = path_from(&arena, "M 100 0 A 100 100 0 0 0 -100 0");
    const double errors[] = {1, 0.1, 0.01, 0.001};
    for (size_t k = 0; k < 4; k++) {
        Point *points;
        size_t count = path_flatten(&arena, &path, errors[k], &points);
        near("first", points[0].x, 100, 0);
        near("last", points[count - 1].x, -100, 0);
        for (size_t i = 0; i + 1 < count; i++) {
            double x = (points[i].x + points[i + 1].x) / 2, y = (points[i].y + points[i + 1].y) / 2;
            near("sagitta", hypot(x, y), 100, errors[k]);
        }
    }
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(triangle),
        cmocka_unit_test(cubics),
        cmocka_unit_test(quadratics),
        cmocka_unit_test(arcs),
        cmocka_unit_test(flags_of_arcs),
        cmocka_unit_test(ways_to_write_the_same),
        cmocka_unit_test(decimals_are_read_exactly),
        cmocka_unit_test(refusals),
        cmocka_unit_test(two_thousand_pieces_and_no_more),
        cmocka_unit_test(places_along_a_path),
        cmocka_unit_test(directions_and_curvature),
        cmocka_unit_test(matrices),
        cmocka_unit_test(flattened_within_the_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

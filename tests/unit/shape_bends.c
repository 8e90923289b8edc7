/* Bends and corners of lines whose radii are known beforehand. */
#include "unit/shape_kit.h"

#include <time.h>

static Bend only_bend(Arena *arena, const Path *path)
{
    Bend *bends;
    size_t count = bends_find(arena, path, &bends);
    if (count != 1)
        fail_msg("%zu bends, not 1 (first R %g, second R %g)", count, count ? bends[0].radius : 0,
                 count > 1 ? bends[1].radius : 0);
    return bends[0];
}

static double sharpest(const Bend *bends, size_t count)
{
    double least = INFINITY;
    for (size_t i = 0; i < count; i++)
        least = fmin(least, bends[i].radius);
    return least;
}

/* ---- curves ---- */

static void arcs_of_path_data_have_their_radius(void **state)
{
    (void)state;
    Arena arena = {0};
    for (double radius = 1; radius <= 200; radius *= 1.3) {
        char data[200];
        snprintf(data, sizeof data, "M 5 7 l 20 0 a %.9f %.9f 0 0 0 %.9f -%.9f v -20", radius,
                 radius, radius, radius);
        Path path = path_from(&arena, data);
        Bend bend = only_bend(&arena, &path);
        near("radius", bend.radius, radius, 0.0005 * radius);
        near("turn", bend.turn, RADIANS(90), 1e-6);
        near("arc", bend.arc, RADIANS(90) * radius, 1e-6 * radius);
        near("at", bend.at, 20 + RADIANS(45) * radius, 1e-4 * radius);
        near("window", bend.window, BEND_WINDOW_MM, 1e-9);
        assert_true(bend.left); /* upwards on the page, coming from the left */
        assert_false(bend.corner);
    }
    arena_free(&arena);
}

/* A quarter circle as one piece is off by 2 % in curvature at its ends: that is
 * the drawing's, so eighths are asked for 0.5 %. */
static void coarse_cubic_circles_have_their_radius(void **state)
{
    (void)state;
    Arena arena = {0};
    for (double radius = 1; radius <= 200; radius += 7) {
        Path path = {ARENA_NEW(&arena, Cubic, 5), 5};
        double reach = 4.0 / 3 * tan(RADIANS(45) / 4);
        for (size_t i = 0; i < 5; i++) {
            double a = RADIANS(45) * (double)i, b = a + RADIANS(45);
            path.pieces[i] = (Cubic){{{cos(a), sin(a)},
                                      {cos(a) - reach * sin(a), sin(a) + reach * cos(a)},
                                      {cos(b) + reach * sin(b), sin(b) - reach * cos(b)},
                                      {cos(b), sin(b)}}};
        }
        path_transform(&path, (Matrix){radius, 0, 0, radius, 3, -8});
        Bend bend = only_bend(&arena, &path);
        near("radius", bend.radius, radius, 0.005 * radius);
        near("turn", bend.turn, RADIANS(225), 1e-6);
    }
    arena_free(&arena);
}

static void a_short_bend_keeps_its_radius(void **state)
{
    (void)state;
    Arena arena = {0};
    for (double degrees = 5; degrees < 200; degrees += 5) {
        Pen pen = {.arena = &arena};
        pen_straight(&pen, 30);
        pen_arc(&pen, 2, degrees);
        pen_straight(&pen, 30);
        Path path = pen_path(&pen);
        Bend bend = only_bend(&arena, &path);
        near("radius", bend.radius, 2, 0.002);
        near("turn", bend.turn, RADIANS(degrees), 1e-6);
        near("arc", bend.arc, RADIANS(degrees) * 2, 1e-5);
    }
    arena_free(&arena);
}

static void two_joined_arcs_take_the_sharper_side(void **state)
{
    (void)state;
    Arena arena = {0};
    Pen pen = {.arena = &arena};
    pen_arc(&pen, 20, -60);
    pen_arc(&pen, 17, -40); /* under 1.25 times */
    Path path = pen_path(&pen);
    Bend bend = only_bend(&arena, &path);
    near("radius", bend.radius, 17, 0.01);
    near("turn", bend.turn, RADIANS(100), 1e-6);
    assert_false(bend.left);
    arena_free(&arena);
}

/* A spiral whose curvature grows evenly to 1/2: the window leaves it 0.5 %. */
static void the_sharp_end_of_a_spiral(void **state)
{
    (void)state;
    Arena arena = {0};
    enum { PIECES = 40 };
    Cubic pieces[PIECES];
    double gain = 0.05, step = 10.0 / PIECES, x = 0, y = 0;
    for (int i = 0; i < PIECES; i++) {
        double a = step * i, b = a + step;
        Point from = {x, y};
        for (int k = 0; k < 100; k++) { /* midpoints are good to 1e-8 here */
            double s = a + step * (k + 0.5) / 100;
            x += step / 100 * cos(gain * s * s / 2);
            y += step / 100 * sin(gain * s * s / 2);
        }
        double h = gain * a * a / 2, k = gain * b * b / 2;
        pieces[i] = (Cubic){{from,
                             {from.x + step / 3 * cos(h), from.y + step / 3 * sin(h)},
                             {x - step / 3 * cos(k), y - step / 3 * sin(k)},
                             {x, y}}};
    }
    Path path = {pieces, PIECES};
    Bend bend = only_bend(&arena, &path);
    near("radius", bend.radius, 2, 0.02);
    near("turn", bend.turn, 2.5, 1e-3);
    near("at", bend.at, 10, 0.1);
    arena_free(&arena);
}

/* ---- what parts bends ---- */

static void inflections_straights_and_corners_part_bends(void **state)
{
    (void)state;
    Arena arena = {0};
    Pen pen = {.arena = &arena};
    Bend *b;
    pen_arc(&pen, 10, 90);
    pen_arc(&pen, 15, -60);
    pen_straight(&pen, 10);
    pen_arc(&pen, 12, -50);
    pen_turn(&pen, 30);
    pen_arc(&pen, 14, -40);
    pen_straight(&pen, 5);
    Path path = pen_path(&pen);
    assert_int_equal(bends_find(&arena, &path, &b), 5);
    double radius[] = {10, 15, 12, 0, 14}, turn[] = {90, 60, 50, 30, 40};
    for (size_t i = 0; i < 5; i++) {
        near("radius", b[i].radius, radius[i], 0.001 * radius[i]);
        near("turn", DEGREES(b[i].turn), turn[i], 1e-5);
        assert_int_equal(b[i].left, i == 0 || i == 3);
        assert_int_equal(b[i].corner, i == 3);
        assert_true(i == 0 || b[i].at > b[i - 1].at);
    }
    near("the corner's arc", b[3].arc, 0, 0);
    arena_free(&arena);
}

static void a_jump_under_three_degrees_is_no_corner(void **state)
{
    (void)state;
    Arena arena = {0};
    for (double jump = 1; jump < 5; jump += 0.9) {
        Pen pen = {.arena = &arena};
        Bend *b;
        pen_arc(&pen, 20, 40);
        pen_turn(&pen, jump);
        pen_arc(&pen, 20, 40);
        Path path = pen_path(&pen);
        size_t count = bends_find(&arena, &path, &b);
        assert_int_equal(count, jump < 3 ? 1 : 3);
        near("radius", b[0].radius, 20, 0.02);
        near("turn", DEGREES(b[0].turn), jump < 3 ? 80 + jump : 40, 1e-5);
        if (jump > 3)
            near("corner", DEGREES(b[1].turn), jump, 1e-5);
    }
    arena_free(&arena);
}

static void little_turn_and_wide_radius_are_no_bends(void **state)
{
    (void)state;
    Arena arena = {0};
    Pen flat = {.arena = &arena}, wide = {.arena = &arena}, just = {.arena = &arena};
    Bend *b;
    pen_straight(&flat, 50);
    pen_arc(&flat, 100, 3.9);
    Path path = pen_path(&flat);
    assert_int_equal(bends_find(&arena, &path, &b), 0);
    pen_arc(&wide, 2010, 20);
    path = pen_path(&wide);
    assert_int_equal(bends_find(&arena, &path, &b), 0);
    pen_arc(&just, 1990, 20);
    path = pen_path(&just);
    near("radius", only_bend(&arena, &path).radius, 1990, 2);
    arena_free(&arena);
}

static void an_easier_curve_parts_sharp_places(void **state)
{
    (void)state;
    Arena arena = {0};
    for (double easy = 11; easy < 16; easy += 1) {
        Pen pen = {.arena = &arena};
        Bend *b;
        pen_arc(&pen, 10, 60);
        pen_arc(&pen, easy, 60);
        pen_arc(&pen, 9, 60);
        Path path = pen_path(&pen);
        size_t count = bends_find(&arena, &path, &b);
        assert_int_equal(count, easy > 12.5 ? 2 : 1);
        if (count == 1) {
            near("radius", b[0].radius, 9, 0.01);
            continue;
        }
        near("first", b[0].radius, 10, 0.01);
        near("second", b[1].radius, 9, 0.01);
        near("turn", DEGREES(b[0].turn), 90, 0.01); /* the valley's middle parts them */
        near("turn", DEGREES(b[1].turn), 90, 0.01);
    }
    arena_free(&arena);
}

static void cusps_and_handles_on_the_ends(void **state)
{
    (void)state;
    Arena arena = {0};
    Bend *b;
    Path cusp = path_from(&arena, "M 0 0 C 30 -30 0 -30 30 0");
    size_t count = bends_find(&arena, &cusp, &b), corners = 0;
    for (size_t i = 0; i < count; i++) {
        assert_true(b[i].radius >= 0);
        corners += b[i].corner;
    }
    assert_int_equal(corners, 1);
    Path back = path_from(&arena, "M 0 0 C 40 0 -20 0 20 0"); /* a straight that turns back */
    assert_int_equal(bends_find(&arena, &back, &b), 2);
    assert_true(b[0].corner && b[1].corner);
    near("turn", DEGREES(b[0].turn), 180, 1e-6);
    Path handles = path_from(&arena, "M 0 0 C 0 0 20 10 30 30");
    count = bends_find(&arena, &handles, &b);
    assert_true(count > 0);
    for (size_t i = 0; i < count; i++)
        assert_true(isfinite(b[i].radius) && b[i].radius > 0.1);
    arena_free(&arena);
}

/* ---- polylines and traced lines ---- */

static void polylines_are_curves(void **state)
{
    (void)state;
    Arena arena = {0};
    const double radii[] = {2, 8, 30, 150}, chords[] = {0.25, 0.5, 1.2, 5};
    for (size_t r = 0; r < 4; r++)
        for (size_t c = 0; c < 4; c++) {
            double radius = radii[r], step = chords[c] / radius;
            if (DEGREES(step) > (chords[c] < 1.5 ? 29 : 2.9))
                continue;
            size_t count = (size_t)floor(RADIANS(120) / step);
            Point *points = ARENA_NEW(&arena, Point, count + 3);
            uint32_t seed = 3;
            double at = 0, turned = step * (double)count;
            points[0] = (Point){0, -30};
            for (size_t i = 0; i <= count; i++) { /* sampled unevenly */
                points[i + 1] = (Point){radius * (cos(at) - 1), radius * sin(at)};
                at = step * (double)(i + 1) + (i + 1 < count ? 0.2 * step * noise(&seed) : 0);
            }
            points[count + 2] = (Point){points[count + 1].x - 30 * sin(turned),
                                        points[count + 1].y + 30 * cos(turned)};
            Path path = polyline(&arena, points, count + 3);
            Bend bend = only_bend(&arena, &path);
            near("radius", bend.radius, radius, 0.02 * radius);
            near("turn", bend.turn, turned, 0.002); /* its ends run out into straights */
        }
    arena_free(&arena);
}

static void short_chords_do_not_hide_a_corner(void **state)
{
    (void)state;
    Arena arena = {0};
    Point points[81];
    for (int i = 0; i <= 80; i++)
        points[i] = i < 40 ? (Point){0.5 * i, 0} : (Point){20, 0.5 * (i - 40)};
    Path path = polyline(&arena, points, 81);
    Bend bend = only_bend(&arena, &path);
    assert_true(bend.corner);
    near("turn", DEGREES(bend.turn), 90, 1e-9);
    near("at", bend.at, 20, 1e-9);
    Path chevron = path_from(&arena, "M 0 0 L 30 0 L 60 -8"); /* 15 degrees, long chords */
    assert_true(only_bend(&arena, &chevron).corner);
    arena_free(&arena);
}

static Path traced_circle(Arena *arena, double radius, double chord, double wobble, uint32_t seed)
{
    size_t count = (size_t)(RADIANS(200) * radius / chord);
    Point *points = ARENA_NEW(arena, Point, count + 1);
    for (size_t i = 0; i <= count; i++) {
        double a = chord * (double)i / radius, r = radius + wobble * noise(&seed);
        points[i] = (Point){r * cos(a), r * sin(a)};
    }
    return polyline(arena, points, count + 1);
}

static void a_traced_circle_keeps_its_radius(void **state)
{
    (void)state;
    Arena arena = {0};
    for (uint32_t seed = 0; seed < 40; seed++) {
        Path path = traced_circle(&arena, 8, 0.5, 0.05, seed * 77);
        Bend bend = only_bend(&arena, &path);
        near("radius", bend.radius, 8, 0.8);
        near("window", bend.window, BEND_STEADY_MM, 0.3);
        near("turn", DEGREES(bend.turn), 200, 8);
    }
    arena_free(&arena);
}

static void a_traced_straight_has_no_sharp_bend(void **state)
{
    (void)state;
    Arena arena = {0};
    for (uint32_t seed = 0; seed < 40; seed++) {
        Point points[301];
        Bend *bends;
        uint32_t noisy = seed * 99;
        for (int i = 0; i <= 300; i++)
            points[i] = (Point){0.5 * i, 0.05 * noise(&noisy)};
        Path path = polyline(&arena, points, 301);
        size_t count = bends_find(&arena, &path, &bends);
        double least = sharpest(bends, count);
        if (least < 40)
            fail_msg("seed %u: a bend of R %g", seed, least);
    }
    arena_free(&arena);
}

/* Ripples of the greatest height that counts as wobble, sampled finely. */
static void ripples_of_a_straight_are_no_bends(void **state)
{
    (void)state;
    Arena arena = {0};
    for (double wave = 1; wave <= 4; wave += 0.25)
        for (double height = 0.02; height < 0.11; height += 0.02) {
            Point points[801];
            Bend *bends;
            for (int i = 0; i <= 800; i++)
                points[i] = (Point){0.1 * i, height * sin(2 * 3.14159265358979 * 0.1 * i / wave)};
            Path path = polyline(&arena, points, 801);
            size_t count = bends_find(&arena, &path, &bends);
            if (sharpest(bends, count) < 40)
                fail_msg("wave %g height %g: R %g", wave, height, sharpest(bends, count));
        }
    arena_free(&arena);
}

static void a_traced_bend_between_straights(void **state)
{
    (void)state;
    Arena arena = {0};
    for (uint32_t seed = 0; seed < 20; seed++) {
        uint32_t noisy = seed * 31;
        double radius = 6, heading = 0;
        Point points[121], at = {0, 0};
        for (int i = 0; i <= 120; i++) {
            double off = 0.03 * noise(&noisy), s = 0.5 * i;
            points[i] = (Point){at.x - off * sin(heading), at.y + off * cos(heading)};
            heading += s > 25 && heading < RADIANS(90) ? 0.5 / radius : 0;
            at = (Point){at.x + 0.5 * cos(heading), at.y + 0.5 * sin(heading)};
        }
        Path path = polyline(&arena, points, 121);
        Bend *bends;
        size_t count = bends_find(&arena, &path, &bends);
        near("sharpest", sharpest(bends, count), radius, 0.25 * radius);
    }
    arena_free(&arena);
}

static void one_small_dent_is_no_bend(void **state)
{
    (void)state;
    Arena arena = {0};
    Bend *bends;
    Path path = path_from(&arena, "M 0 0 L 40 0 C 40.7 0 40.7 -.15 41.2 -.15 "
                                  "C 41.7 -.15 41.7 0 42.4 0 L 80 0");
    size_t count = bends_find(&arena, &path, &bends);
    assert_true(sharpest(bends, count) > 40);
    arena_free(&arena);
}

/* ---- the same line drawn otherwise ---- */

static Path mixed_line(Arena *arena)
{
    Pen pen = {.arena = arena};
    pen_straight(&pen, 12);
    pen_arc(&pen, 9, 70);
    pen_arc(&pen, 30, 20);
    pen_arc(&pen, 6, 50);
    pen_turn(&pen, -25);
    pen_straight(&pen, 7);
    pen_arc(&pen, 11, -100);
    *ARENA_PUSH(arena, pen.pieces, pen.count, pen.capacity) =
        (Cubic){{pen.at,
                 {pen.at.x - 20, pen.at.y},
                 {pen.at.x - 20, pen.at.y - 40},
                 {pen.at.x - 70, pen.at.y - 15}}};
    return pen_path(&pen);
}

static void assert_same(const Bend *a, const Bend *b, double length)
{
    near("radius", b->radius, a->radius, 1e-6 * a->radius);
    near("turn", b->turn, a->turn, 1e-8);
    near("arc", b->arc, a->arc, 1e-6);
    near("at", length < 0 ? b->at : length - b->at, a->at, 1e-5);
    assert_int_equal(b->corner, a->corner);
    assert_int_equal(b->left, length < 0 ? a->left : !a->left);
}

static void subdividing_reversing_and_moving_change_nothing(void **state)
{
    (void)state;
    Arena arena = {0};
    Path lines[2] = {mixed_line(&arena), traced_circle(&arena, 8, 0.5, 0.05, 5)};
    for (size_t k = 0; k < 2; k++) {
        Bend *plain, *cut, *turned, *back;
        size_t count = bends_find(&arena, &lines[k], &plain);
        assert_true(count >= (k == 0 ? 5 : 1));
        Path sub = subdivided(&arena, &lines[k], 0.37);
        assert_int_equal(bends_find(&arena, &sub, &cut), count);
        Path moved = path_copy(&arena, &lines[k]);
        path_transform(&moved, (Matrix){cos(0.7), sin(0.7), -sin(0.7), cos(0.7), 113, -57});
        assert_int_equal(bends_find(&arena, &moved, &turned), count);
        Path reversed = path_copy(&arena, &lines[k]);
        path_reverse(&reversed);
        assert_int_equal(bends_find(&arena, &reversed, &back), count);
        for (size_t i = 0; i < count; i++) {
            assert_same(&plain[i], &cut[i], -1);
            assert_same(&plain[i], &turned[i], -1);
            assert_same(&plain[i], &back[count - 1 - i], path_length(&lines[k]));
        }
    }
    arena_free(&arena);
}

/* ---- chords and speed ---- */

static void facets_of_circles_and_of_a_short_bend(void **state)
{
    (void)state;
    Arena arena = {0};
    for (double radius = 3; radius < 60; radius *= 1.7)
        for (double pitch = 0.5; pitch < 6; pitch += 1.1) {
            Pen pen = {.arena = &arena};
            pen_arc(&pen, radius, 300);
            Path path = pen_path(&pen);
            Bend bend = only_bend(&arena, &path);
            near("facet", bends_facet(&path, &bend, pitch),
                 pitch < 2 * radius ? radius - sqrt(radius * radius - pitch * pitch / 4) : 0,
                 1e-4 + 1e-6 * radius);
        }
    Pen pen = {.arena = &arena};
    pen_straight(&pen, 20);
    pen_arc(&pen, 2, 60);
    pen_straight(&pen, 20);
    Path path = pen_path(&pen);
    Bend bend = only_bend(&arena, &path);
    near("one cut in the middle", bends_facet(&path, &bend, 3), 0.19, 0.005);
    assert_true(bends_facet(&path, &bend, 1e-30) < 1e-3);
    near("a corner has none", bends_facet(&path, &(Bend){.corner = true}, 3), 0, 0);
    arena_free(&arena);
}

static void thirty_pieces_take_less_than_a_millisecond(void **state)
{
    (void)state;
    Arena arena = {0};
    Path path = {ARENA_NEW(&arena, Cubic, 30), 30};
    Bend *bends;
    for (size_t i = 0; i < 30; i++) {
        double x = 10 * (double)i, y = i % 2 ? 4 : -4;
        path.pieces[i] = (Cubic){{{x, 0}, {x + 3, y}, {x + 7, y}, {x + 10, 0}}};
    }
    double least = INFINITY;
    for (int i = 0; i < 20; i++) {
        struct timespec a, b;
        clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &a);
        assert_int_equal(bends_find(&arena, &path, &bends), 30);
        clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &b);
        least = fmin(least,
                     (double)(b.tv_sec - a.tv_sec) * 1e3 + (double)(b.tv_nsec - a.tv_nsec) / 1e6);
    }
    print_message("30 pieces: %.3f ms\n", least);
    assert_true(least < 20); /* room for sanitizers and valgrind */
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(arcs_of_path_data_have_their_radius),
        cmocka_unit_test(coarse_cubic_circles_have_their_radius),
        cmocka_unit_test(a_short_bend_keeps_its_radius),
        cmocka_unit_test(two_joined_arcs_take_the_sharper_side),
        cmocka_unit_test(the_sharp_end_of_a_spiral),
        cmocka_unit_test(inflections_straights_and_corners_part_bends),
        cmocka_unit_test(a_jump_under_three_degrees_is_no_corner),
        cmocka_unit_test(little_turn_and_wide_radius_are_no_bends),
        cmocka_unit_test(an_easier_curve_parts_sharp_places),
        cmocka_unit_test(cusps_and_handles_on_the_ends),
        cmocka_unit_test(polylines_are_curves),
        cmocka_unit_test(short_chords_do_not_hide_a_corner),
        cmocka_unit_test(a_traced_circle_keeps_its_radius),
        cmocka_unit_test(a_traced_straight_has_no_sharp_bend),
        cmocka_unit_test(ripples_of_a_straight_are_no_bends),
        cmocka_unit_test(a_traced_bend_between_straights),
        cmocka_unit_test(one_small_dent_is_no_bend),
        cmocka_unit_test(subdividing_reversing_and_moving_change_nothing),
        cmocka_unit_test(facets_of_circles_and_of_a_short_bend),
        cmocka_unit_test(thirty_pieces_take_less_than_a_millisecond),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

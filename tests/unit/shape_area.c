/* Lines beside lines, and areas that overlap and unite, against closed forms. */
#include "unit/shape_kit.h"


#include "shape/area.h"

#define PI 3.14159265358979323846

static Arena arena;

static int empty_arena(void **state)
{
    (void)state;
    arena_free(&arena);
    return 0;
}

static Line kept(const Point *points, size_t count)
{
    Point *copy = ARENA_NEW(&arena, Point, count);
    memcpy(copy, points, count * sizeof *points);
    return line_new(&arena, copy, count);
}
#define KEPT(...) kept((Point[]){__VA_ARGS__}, sizeof((Point[]){__VA_ARGS__}) / sizeof(Point))

static Line drawn(const char *data)
{
    Path path = path_from(&arena, data);
    return line_of_path(&arena, &path);
}

static Line arc(double radius, double from, double to, int steps)
{
    Point *points = ARENA_NEW(&arena, Point, (size_t)steps + 1);
    for (int i = 0; i <= steps; i++) {
        double angle = RADIANS(from + (to - from) * i / steps);
        points[i] = (Point){radius * cos(angle), radius * sin(angle)};
    }
    if (fabs(to - from) >= 360)
        points[steps] = points[0];
    return line_new(&arena, points, (size_t)steps + 1);
}

/* Every place of the pieces keeps the distance and the side, and they run as the
 * line does, in its order. */
static size_t beside(const Line *line, double distance, Line **pieces)
{
    size_t count = area_beside(&arena, line, distance, pieces);
    double before = -1;
    for (size_t i = 0; i < count; i++) {
        const Line *piece = &(*pieces)[i];
        Nearest nearest;
        for (int k = 0; k <= 1000; k++) {
            Point place = line_point(piece, line_length(piece) * k / 1000);
            assert_true(line_nearest(line, place, INFINITY, &nearest));
            near("distance", nearest.distance, fabs(distance) + 0.0015, 0.00151);
            if (k > 10 && k < 990 && nearest.left != (distance > 0))
                fail_msg("a place beside the wrong side");
        }
        double middle = line_length(piece) / 3;
        line_nearest(line, line_point(piece, line_length(piece) / 100), INFINITY, &nearest);
        assert_true(nearest.at >= before);
        before = nearest.at;
        line_nearest(line, line_point(piece, middle), INFINITY, &nearest);
        Point place = line_point(piece, middle), way = line_direction(piece, middle);
        Point to = {nearest.on.x - place.x, nearest.on.y - place.y};
        assert_true((way.x * to.y - way.y * to.x) * distance < 0);
        near("square to the way", (way.x * to.x + way.y * to.y) / fabs(distance), 0, 0.06);
    }
    return count;
}

static Line one_beside(const Line *line, double distance)
{
    Line *pieces;
    assert_int_equal(beside(line, distance, &pieces), 1);
    return pieces[0];
}

static double area_within(const Line *ring)
{
    double sum = 0;
    for (size_t i = 0; i + 1 < ring->count; i++)
        sum +=
            ring->points[i].x * ring->points[i + 1].y - ring->points[i + 1].x * ring->points[i].y;
    return sum / 2;
}

/* ---- Lines beside lines ---- */

static void beside_a_straight(void **state)
{
    (void)state;
    Line line = KEPT({1, 2}, {4, 6}), left = one_beside(&line, 5), right = one_beside(&line, -2.5);
    assert_int_equal(left.count, 2);
    near("x", left.points[0].x, -3, 1e-12);
    near("y", left.points[0].y, 5, 1e-12);
    near("x", right.points[1].x, 6, 1e-12);
    near("y", right.points[1].y, 4.5, 1e-12);
    Line same = one_beside(&line, 0.0001);
    near("length", line_length(&same), 5, 1e-12);
    Line *pieces;
    assert_int_equal(area_beside(&arena, &line, 0, &pieces), 1);
    near("itself", pieces[0].points[1].y, 6, 0);
    assert_int_equal(area_beside(&arena, &line, NAN, &pieces), 0);
    assert_int_equal(area_beside(&arena, &line, INFINITY, &pieces), 0);
    assert_int_equal(area_beside(&arena, &line, -INFINITY, &pieces), 0);
}

static void beside_corners(void **state)
{
    (void)state;
    Line line = KEPT({0, 0}, {10, 0}, {10, 10});
    Line inner = one_beside(&line, 2), outer = one_beside(&line, -2);
    near("inner", line_length(&inner), 16, 1e-9);
    near("outer", line_length(&outer), 20 + PI, 0.004);
    Line vee = KEPT({0, 0}, {10, 0}, {0, 0.5}); /* bends sharply */
    near("round the tip", line_length(&(Line[]){one_beside(&vee, -3)}[0]),
         10 + line_length(&vee) - 10 + 3 * (PI - atan(0.05)), 0.01);
    Line *pieces;
    assert_int_equal(beside(&vee, 3, &pieces), 0);
}

static void beside_rings(void **state)
{
    (void)state;
    Line ring = KEPT({0, 0}, {30, 0}, {30, 20}, {0, 20}, {0, 0});
    Line inner = one_beside(&ring, 3), outer = one_beside(&ring, -3);
    assert_true(line_is_closed(&inner) && line_is_closed(&outer));
    near("inner area", area_within(&inner), 24 * 14, 1e-7);
    near("outer area", area_within(&outer), 600 + 300 + 9 * PI, 0.1);
    Line *pieces;
    assert_int_equal(beside(&ring, 10.01, &pieces), 0);
    Line from_side = KEPT({5, 0}, {30, 0}, {30, 20}, {0, 20}, {0, 0}, {5, 0});
    Line again = one_beside(&from_side, 3);
    assert_true(line_is_closed(&again));
    near("inner area", area_within(&again), 24 * 14, 1e-7);
}

static void beside_arcs(void **state)
{
    (void)state;
    Line line = arc(10, 0, 120, 240), ring = arc(10, 0, 360, 720);
    near("inner", line_length(&(Line[]){one_beside(&line, 4)}[0]),
         6 * RADIANS(120) + 8 * tan(RADIANS(0.25)), 0.001);
    near("outer", line_length(&(Line[]){one_beside(&line, -4)}[0]),
         14 * RADIANS(120) - 8 * tan(RADIANS(0.25)), 0.001);
    Line inner = one_beside(&ring, 7), outer = one_beside(&ring, -7);
    assert_true(line_is_closed(&inner) && line_is_closed(&outer));
    near("inner", area_within(&inner), 9 * PI, 0.01);
    near("outer", area_within(&outer), 289 * PI, 0.1);
    Line *pieces;
    assert_int_equal(beside(&ring, 10.5, &pieces), 0);
    Line path = drawn("M 10 0 A 10 10 0 0 0 -10 0"), within = one_beside(&path, 4);
    for (size_t i = 0; i < within.count; i++)
        near("radius", hypot(within.points[i].x, within.points[i].y), 6, 0.011);
}

/* Straights with a bend of 3 mm radius between, 5 mm beside: the corner of two
 * straights, without a loop. */
static void tighter_than_the_bend(void **state)
{
    (void)state;
    Pen pen = {.arena = &arena};
    pen_straight(&pen, 40);
    pen_arc(&pen, 3, 90);
    pen_straight(&pen, 40);
    Path path = pen_path(&pen);
    Line line = line_of_path(&arena, &path), inner = one_beside(&line, 5);
    near("two straights", line_length(&inner), 2 * (43 - 5), 1e-6);
    near("corner", hypot(line_point(&inner, 38).x - 38, line_point(&inner, 38).y - 5), 0, 1e-6);
    Line outer = one_beside(&line, -5);
    near("outside", line_length(&outer), 80 + 8 * PI / 2, 0.02);
}

/* A room behind a neck too narrow for it. */
static void in_several_pieces(void **state)
{
    (void)state;
    Line line = KEPT({-40, 0}, {0, 0}, {0, 3}, {-20, 3}, {-20, 30}, {23, 30}, {23, 3}, {3, 3},
                     {3, 0}, {40, 0});
    Line *pieces;
    assert_int_equal(beside(&line, -2, &pieces), 2);
    near("outside the neck", pieces[0].points[0].x, -40, 1e-9);
    near("past the neck", pieces[0].points[pieces[0].count - 1].x, 40, 1e-9);
    assert_true(line_is_closed(&pieces[1]));
    near("the room", -area_within(&pieces[1]), 39 * 23 + 0.6234,
         0.01); /* the neck gives a little */
    Line ring = KEPT({0, 0}, {20, 0}, {20, 9}, {40, 9}, {40, 0}, {60, 0}, {60, 30}, {40, 30},
                     {40, 11}, {20, 11}, {20, 30}, {0, 30}, {0, 0}); /* a dumb-bell */
    assert_int_equal(beside(&ring, 2, &pieces), 2);
    for (int i = 0; i < 2; i++) {
        assert_true(line_is_closed(&pieces[i]));
        near("an end", area_within(&pieces[i]), 16 * 26, 0.5);
    }
}

static void crossing_lines_do_no_harm(void **state)
{
    (void)state;
    Line eight = drawn("M 0 0 C 40 40 40 -40 0 0 C -40 40 -40 -40 0 0");
    Line back = KEPT({-20, 0}, {20, 0}, {-20, 0}), star[2];
    Line *pieces;
    Point *points = ARENA_NEW(&arena, Point, 6);
    for (int i = 0; i < 6; i++)
        points[i] = (Point){20 * cos(RADIANS(144 * (i % 5))), 20 * sin(RADIANS(144 * (i % 5)))};
    star[0] = line_new(&arena, points, 6);
    static const double distances[] = {0.01, 1, 3, 5, 40};
    for (size_t i = 0; i < 2 * ROWS_OF(distances); i++) {
        double distance = i % 2 ? -distances[i / 2] : distances[i / 2];
        const Line *lines[] = {&eight, &star[0]};
        for (int k = 0; k < 2; k++)
            beside(lines[k], distance, &pieces);
    }
    Line round = area_beside(&arena, &back, 3, &pieces) == 1 ? pieces[0] : back;
    near("round a line drawn there and back", area_within(&round), -(40 * 6 + 9 * PI), 0.05);
    Line nowhere = KEPT({1, 1}, {1, 1});
    assert_int_equal(area_beside(&arena, &nowhere, 3, &pieces), 0);
}

/* A line that wanders, as outlines drawn by hand do. */
static void beside_what_wanders(void **state)
{
    (void)state;
    uint32_t random = 7;
    for (int round = 0; round < 120; round++) {
        Pen pen = {.arena = &arena};
        for (int i = 0; i < (round % 2 ? 12 : 2); i++) {
            pen_straight(&pen, 4 * (1.05 + noise(&random)));
            pen_arc(&pen, 1 + 4 * (1 + noise(&random)), 90 * noise(&random));
        }
        Path path = pen_path(&pen);
        Line line = line_of_path(&arena, &path), *pieces;
        for (int k = 0; k < 6; k++)
            beside(&line, (k % 2 ? -1 : 1) * (0.5 + 2 * (k / 2)), &pieces);
    }
}

/* ---- Areas ---- */

static const Point square[] = {{0, 0}, {10, 0}, {10, 10}, {0, 10}};
static const Point shifted[] = {{5, 5}, {15, 5}, {15, 15}, {5, 15}};

static void overlaps(void **state)
{
    (void)state;
    near("squares", area_overlap(square, 4, shifted, 4), 25, 1e-9);
    near("itself", area_overlap(square, 4, square, 4), 100, 1e-9);
    Point clockwise[4] = {square[3], square[2], square[1], square[0]};
    near("turned round", area_overlap(clockwise, 4, shifted, 4), 25, 1e-9);
    Point away[] = {{20, 0}, {30, 0}, {30, 10}}, next[] = {{10, 0}, {20, 0}, {20, 10}};
    near("apart", area_overlap(square, 4, away, 3), 0, 0);
    near("edge to edge", area_overlap(square, 4, next, 3), 0, 0);
    near("nothing", area_overlap(square, 4, away, 2), 0, 0);
    near("nothing", area_overlap(NULL, 0, square, 4), 0, 0);
    Line one = arc(10, 0, 360, 3600);
    Point *other = ARENA_NEW(&arena, Point, 3600);
    for (int i = 0; i < 3600; i++)
        other[i] = (Point){one.points[i].x + 10, one.points[i].y};
    near("lens", area_overlap(one.points, 3600, other, 3600), 200 * (PI / 3 - sqrt(3) / 4), 0.001);
}

/* Strips beside straight sides are rectangles, with quarter discs round their ends. */
static void what_is_left(void **state)
{
    (void)state;
    Arena lines_arena = {0};
    Point top[] = {{10, 10}, {0, 10}}, right[] = {{10, 0}, {10, 10}};
    Line sides[] = {line_new(&lines_arena, top, 2), line_new(&lines_arena, right, 2)};
    near("all", area_left(square, 4, sides, (double[]){0, 0}, 2), 100, 1e-9);
    near("one strip", area_left(square, 4, sides, (double[]){3, 0}, 2), 70, 1e-9);
    near("two strips", area_left(square, 4, sides, (double[]){3, 2}, 2), 7 * 8, 1e-9);
    near("nothing", area_left(square, 4, sides, (double[]){20, 0}, 2), 0, 1e-9);
    Point half[] = {{10, 10}, {5, 10}};
    Line end = line_new(&lines_arena, half, 2);
    near("round its end", area_left(square, 4, &end, (double[]){2}, 1), 100 - 10 - PI, 0.002);
    assert_true(isnan(area_left(square, 4, sides, (double[]){3, (double)NAN}, 2)));
    arena_free(&lines_arena);
}

static void rings_that_are_none(void **state)
{
    (void)state;
    Point bow[] = {{0, 0}, {10, 10}, {10, 0}, {0, 10}};
    near("a bow's two halves", area_overlap(square, 4, bow, 4), 50, 1e-9);
    Point line[] = {{0, 0}, {10, 0}, {5, 0}, {0, 0}};
    near("no area", area_overlap(square, 4, line, 4), 0, 1e-12);
    Point broken[] = {{0, 0}, {NAN, 1}, {3, 3}}, endless[] = {{0, 0}, {INFINITY, 1}, {3, 3}};
    assert_true(isnan(area_overlap(square, 4, broken, 3)));
    assert_true(isnan(area_overlap(endless, 3, square, 4)));
    Point huge[] = {{0, 0}, {1e300, 0}, {1e300, 1e300}};
    double area = area_overlap(huge, 3, square, 4);
    assert_true(isnan(area) || area >= 0);
}

/* An outline's own area, and what a strip inside it takes. */
static void areas_of_outlines(void **state)
{
    (void)state;
    Path path = path_from(&arena, "M 0 0 L 50 0 C 70 0 70 -30 50 -30 L 0 -30 C -20 -30 -20 0 0 0");
    Outline outline;
    Text text = {0};
    OutlineProblem problem = {.text = &text};
    assert_true(outline_join(&arena, &path, 1, &outline, &problem));
    text_free(&text);
    near("area", area_left(outline.ring, outline.ring_count, NULL, NULL, 0), outline.area, 1e-9);
    Line ring = line_of_path(&arena, &outline.edges[0].path), inner = one_beside(&ring, 2);
    near("strip", area_overlap(outline.ring, outline.ring_count, inner.points, inner.count - 1),
         outline.area - 2 * line_length(&ring) + 4 * PI, 0.02);
}

/* ---- Hostile ---- */

/* Must end, and may find nothing. */
static void ends(const Line *line, double distance)
{
    Line *pieces;
    size_t count = area_beside(&arena, line, distance, &pieces);
    for (size_t i = 0; i < count; i++)
        assert_true(pieces[i].count >= 2);
}

static void hostile_lines(void **state)
{
    (void)state;
    enum { MANY = 20000 };
    static const double highs[] = {1e-12, 0.01, 0.5, 100};
    for (size_t h = 0; h < ROWS_OF(highs); h++) {
        Point *points = ARENA_NEW(&arena, Point, MANY);
        for (int i = 0; i < MANY; i++)
            points[i] = (Point){300.0 * i / MANY, i % 2 * highs[h]};
        Line line = line_new(&arena, points, MANY);
        ends(&line, 0.001);
        ends(&line, 2);
        Line shorter = line_new(&arena, points, MANY / 10);
        ends(&shorter, -50);
        ends(&shorter, 1e3);
    }
    static const double sizes[] = {1e6, 1e15, 1e150, 1e300, NAN, INFINITY};
    for (size_t i = 0; i < ROWS_OF(sizes); i++) {
        Line far = KEPT({0, 0}, {sizes[i], sizes[i]}, {-sizes[i], sizes[i]}, {0, 0});
        ends(&far, 2);
        ends(&far, -1e9);
    }
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, empty_arena, empty_arena)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(beside_a_straight),
        TEST(beside_corners),
        TEST(beside_rings),
        TEST(beside_arcs),
        TEST(tighter_than_the_bend),
        TEST(in_several_pieces),
        TEST(crossing_lines_do_no_harm),
        TEST(beside_what_wanders),
        TEST(overlaps),
        TEST(what_is_left),
        TEST(rings_that_are_none),
        TEST(areas_of_outlines),
        TEST(hostile_lines),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

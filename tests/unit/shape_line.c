/* Polylines: places along them, nearest places and sides, levels, gaps. */
#include "unit/shape_kit.h"


#include "shape/line.h"

#define PI 3.14159265358979323846

static Arena arena;

static int empty_arena(void **state)
{
    (void)state;
    arena_free(&arena);
    return 0;
}

static Line drawn(const char *data)
{
    Path path = path_from(&arena, data);
    return line_of_path(&arena, &path);
}

static Line kept(const Point *points, size_t count)
{
    Point *copy = ARENA_NEW(&arena, Point, count);
    memcpy(copy, points, count * sizeof *points);
    return line_new(&arena, copy, count);
}
#define KEPT(...) kept((Point[]){__VA_ARGS__}, sizeof((Point[]){__VA_ARGS__}) / sizeof(Point))

static void levels_are(const Line *walk, const Line *line, double level, const double *expected,
                       size_t count)
{
    double *at;
    size_t found = line_levels(&arena, walk, line, level, &at);
    for (size_t i = 0; i < found && i < count; i++)
        near("place", at[i], expected[i], 1e-9);
    if (found != count)
        fail_msg("%zu places, not %zu", found, count);
}
#define LEVELS_ARE(walk, line, level, ...)                                                         \
    levels_are(&(walk), &(line), level, (double[]){__VA_ARGS__},                                   \
               sizeof((double[]){__VA_ARGS__}) / sizeof(double))

static void no_level(const Line *walk, const Line *line, double level)
{
    double *at;
    assert_int_equal(line_levels(&arena, walk, line, level, &at), 0);
}

/* ---- Along a line ---- */

static void places_along(void **state)
{
    (void)state;
    Line line = KEPT({0, 0}, {3, 4}, {3, 10});
    near("length", line_length(&line), 11, 1e-12);
    Point middle = line_point(&line, 2.5), corner = line_point(&line, 5);
    near("x", middle.x, 1.5, 1e-12);
    near("y", middle.y, 2, 1e-12);
    near("corner", hypot(corner.x - 3, corner.y - 4), 0, 0);
    near("before", line_point(&line, -1).y, 0, 0);
    near("past", line_point(&line, 12).y, 10, 0);
    near("way", line_direction(&line, 1).x, 0.6, 1e-12);
    near("way at the corner", line_direction(&line, 5).y, 1, 1e-12);
    near("way at the end", line_direction(&line, 11).y, 1, 1e-12);
    near("way before", line_direction(&line, -5).x, 0.6, 1e-12);
    near("box", line_box(&line).most.y, 10, 0);
    assert_false(line_is_closed(&line));
}

static void repeated_points_are_dropped(void **state)
{
    (void)state;
    Line line = KEPT({0, 0}, {0, 0}, {5, 0}, {5, 1e-12}, {5, 5}, {0, 0}, {0, 0});
    assert_int_equal(line.count, 4);
    assert_true(line_is_closed(&line));
    Line again = KEPT({0, 0}, {5, 0}, {5, 5});
    assert_int_equal(again.count, 3);
    Line near_nothing = KEPT({0, 0}, {1, 0}, {1 + 1e-12, 0});
    assert_int_equal(near_nothing.count, 2);
    near("the last point stays", near_nothing.points[1].x, 1 + 1e-12, 0);
}

static void one_place_is_a_line_too(void **state)
{
    (void)state;
    Line line = KEPT({2, 3}, {2, 3}), other = KEPT({2, 0}, {2, 9});
    Nearest nearest;
    assert_int_equal(line.count, 2);
    near("length", line_length(&line), 0, 0);
    assert_true(line_nearest(&line, (Point){5, 7}, INFINITY, &nearest));
    near("distance", nearest.distance, 5, 1e-12);
    near("way", line_direction(&line, 0).x, 1, 0);
    near("gap", line_gap(&line, &other, NULL), 0, 0);
    LEVELS_ARE(other, line, 1, 2, 4);
}

static void a_curve_is_flattened(void **state)
{
    (void)state;
    Line line = drawn("M 10 0 A 10 10 0 0 0 -10 0");
    near("half a circle", line_length(&line), 10 * PI, 0.05);
    Nearest nearest;
    assert_true(line_nearest(&line, (Point){0, 0}, INFINITY, &nearest));
    near("radius", nearest.distance, 10, 0.0101);
}

/* ---- Nearest ---- */

static void nearest_place(void **state)
{
    (void)state;
    Line line = KEPT({0, 0}, {10, 0}, {10, 10});
    Nearest nearest;
    assert_true(line_nearest(&line, (Point){4, 3}, INFINITY, &nearest));
    near("distance", nearest.distance, 3, 1e-12);
    near("at", nearest.at, 4, 1e-12);
    assert_true(nearest.left);
    assert_true(line_nearest(&line, (Point){12, 7}, 2, &nearest)); /* exactly as far */
    near("at", nearest.at, 17, 1e-12);
    assert_false(nearest.left);
    assert_false(line_nearest(&line, (Point){12, 7}, 1.999999, &nearest));
    assert_false(line_nearest(&line, (Point){12, 7}, -1, &nearest));
    assert_false(line_nearest(&line, (Point){12, 7}, NAN, &nearest));
    assert_true(line_nearest(&line, (Point){10, 4}, 0, &nearest));
    near("on the line", nearest.distance, 0, 0);
    assert_false(nearest.left);
}

static bool left_of(const Line *line, double x, double y)
{
    Nearest nearest;
    assert_true(line_nearest(line, (Point){x, y}, INFINITY, &nearest));
    return nearest.left;
}

static void sides_at_corners(void **state)
{
    (void)state;
    Line sharp = KEPT({-10, 0}, {0, 0}, {-10, 1}); /* turns left by 174 degrees */
    assert_false(left_of(&sharp, 1, 0.05));
    assert_false(left_of(&sharp, 0.001, -1));
    assert_false(left_of(&sharp, 0.2, 1.5));
    assert_true(left_of(&sharp, -5, 0.1));
    Line right = KEPT({-10, 0}, {0, 0}, {-10, -1});
    assert_true(left_of(&right, 1, 0.05));
    assert_true(left_of(&right, 0.001, 1));
    Line blunt = KEPT({-10, 0}, {0, 0}, {10, 1});
    assert_false(left_of(&blunt, 0.01, -3));
    Line straight = KEPT({-10, 0}, {0, 0}, {10, 0});
    assert_true(left_of(&straight, 0, 3));
    assert_false(left_of(&straight, 0, -3));
    Line tiny = KEPT({-10, 0}, {0, 0}, {-1e-11, 1e-13}, {10, 0}); /* a fold of rounding */
    assert_true(left_of(&tiny, 0, 3));
    assert_false(left_of(&tiny, 0, -3));
}

static void sides_at_the_ends(void **state)
{
    (void)state;
    Line open = KEPT({0, 0}, {10, 0});
    assert_true(left_of(&open, -3, 1));
    assert_false(left_of(&open, 13, -1));
    Line ring = KEPT({0, 0}, {10, 0}, {10, 10}, {0, 10}, {0, 0});
    assert_false(left_of(&ring, -1, -0.5)); /* the corner where it starts and ends */
    assert_false(left_of(&ring, -0.5, -1));
    assert_true(left_of(&ring, 0.5, 0.4));
}

/* ---- Levels ---- */

static void a_walk_past_a_straight(void **state)
{
    (void)state;
    Line line = KEPT({0, 0}, {10, 0});
    Line across = KEPT({5, -7}, {5, 7}), past = KEPT({-5, 3}, {15, 3});
    LEVELS_ARE(across, line, 0, 7);
    LEVELS_ARE(across, line, 2, 5, 9);
    LEVELS_ARE(past, line, 5, 1, 19);
    LEVELS_ARE(past, line, 3, 5, 15); /* keeps at the level from 5 to 15 */
    no_level(&past, &line, 2.9);
    no_level(&across, &line, -1);
    no_level(&across, &line, NAN);
    no_level(&across, &line, INFINITY);
    Line within = KEPT({4, 1}, {6, 1}), out = KEPT({4, 1}, {4, 9});
    no_level(&within, &line, 3);
    LEVELS_ARE(out, line, 3, 2);
}

static void touches_count(void **state)
{
    (void)state;
    Line line = KEPT({0, 0}, {10, 0}, {10, 10});
    Line to_it = KEPT({5, 5}, {5, 0}), from_it = KEPT({5, 0}, {5, -5});
    Line at_end = KEPT({-3, 3}, {3, -3}), at_corner = KEPT({8, -2}, {12, 2});
    Line tip = KEPT({4, -3}, {5, 0}, {6, -3}), round_end = KEPT({-2, -5}, {-2, 5});
    LEVELS_ARE(to_it, line, 0, 5);
    LEVELS_ARE(from_it, line, 0, 0);
    LEVELS_ARE(at_end, line, 0, sqrt(18));
    LEVELS_ARE(at_corner, line, 0, sqrt(8));
    LEVELS_ARE(tip, line, 0, sqrt(10));
    LEVELS_ARE(round_end, line, 2, 5);
    LEVELS_ARE(to_it, line, 5, 0); /* 5 mm from both legs where it starts */
}

static void lines_that_coincide(void **state)
{
    (void)state;
    Line line = KEPT({0, 0}, {4, 0}, {10, 0}, {10, 10});
    Line walk = KEPT({-5, 0}, {2, 0}, {7, 0}, {7, -5});
    LEVELS_ARE(walk, line, 0, 5, 12);
    LEVELS_ARE(line, line, 0, 0, 20);
    Line ring = KEPT({0, 0}, {10, 0}, {10, 10}, {0, 10}, {0, 0});
    LEVELS_ARE(ring, ring, 0, 0, 40);
    Line half = KEPT({0.5, 2}, {9.5, 2}); /* beside, at the level; ends before it */
    LEVELS_ARE(half, line, 2, 0, 7.5);    /* then the other leg is nearer */
}

static void rounded_numbers_keep_a_level(void **state)
{
    (void)state;
    for (int degrees = 0; degrees < 360; degrees += 7) {
        double c = cos(RADIANS(degrees)), s = sin(RADIANS(degrees));
        Point at = {213.7, -87.3};
        Line line =
            KEPT({at.x, at.y}, {at.x + 30 * c, at.y + 30 * s}, {at.x + 70 * c, at.y + 70 * s});
        Point beside = {at.x - 2.1 * s, at.y + 2.1 * c};
        Line walk =
            KEPT({beside.x - 5 * c, beside.y - 5 * s}, {beside.x + 50 * c, beside.y + 50 * s},
                 {beside.x + 90 * c, beside.y + 90 * s});
        double *at_level;
        size_t count = line_levels(&arena, &walk, &line, 2.1, &at_level);
        assert_int_equal(count, 2);
        near("start", at_level[0], 5, 1e-9);
        near("end", at_level[1], 75, 1e-9);
    }
}

static void levels_round_a_circle(void **state)
{
    (void)state;
    enum { SIDES = 720 };
    Point *ring = ARENA_NEW(&arena, Point, SIDES + 1);
    for (int i = 0; i <= SIDES; i++)
        ring[i] =
            (Point){10 * cos(2 * PI * (i % SIDES) / SIDES), 10 * sin(2 * PI * (i % SIDES) / SIDES)};
    Line circle = line_new(&arena, ring, SIDES + 1), walk = KEPT({-30, 0}, {30, 0});
    LEVELS_ARE(walk, circle, 0, 20, 40);
    double inner = 3 / cos(PI / SIDES); /* from the middle of the two sides at a corner */
    LEVELS_ARE(walk, circle, 3, 17, 20 + inner, 40 - inner, 43);
    no_level(&circle, &circle, 21);
}

/* ---- Gaps ---- */

static void gaps(void **state)
{
    (void)state;
    Line line = KEPT({0, 0}, {10, 0}, {10, 10});
    Line above = KEPT({3, 4}, {2, 9}), across = KEPT({5, -1}, {5, 1}),
         far = KEPT({14, 13}, {20, 13});
    double at;
    near("gap", line_gap(&line, &above, &at), 4, 1e-12);
    near("at", at, 3, 1e-12);
    near("crossing", line_gap(&line, &across, &at), 0, 0);
    near("at", at, 5, 1e-12);
    near("from the end", line_gap(&line, &far, &at), 5, 1e-12);
    near("at", at, 20, 1e-12);
    near("without a place", line_gap(&far, &line, NULL), 5, 1e-12);
    near("itself", line_gap(&line, &line, NULL), 0, 0);
}

/* ---- Hostile ---- */

enum { MANY = 20000 };

static Line zigzag(double wide, double high, double angle, Point from)
{
    Point *points = ARENA_NEW(&arena, Point, MANY);
    for (int i = 0; i < MANY; i++) {
        double x = wide * i / MANY, y = i % 2 ? high : 0;
        points[i] = (Point){from.x + x * cos(angle) - y * sin(angle),
                            from.y + x * sin(angle) + y * cos(angle)};
    }
    return line_new(&arena, points, MANY);
}

static void ask_all(const Line *one, const Line *other)
{
    double *at;
    Nearest nearest;
    assert_true(line_gap(one, other, NULL) >= 0);
    for (int i = 0; i < 100; i++)
        line_nearest(one, line_point(other, line_length(other) * i / 99), INFINITY, &nearest);
    line_levels(&arena, one, other, 0, &at);
    line_levels(&arena, one, other, 2, &at);
}

static void long_zigzags_end(void **state)
{
    (void)state;
    Line low = zigzag(300, 0.5, 0, (Point){0, 0}), turned = zigzag(300, 0.5, 0.4, (Point){1, -3});
    Line tall = zigzag(300, 100, 0, (Point){0, -50}),
         leaning = zigzag(300, 100, 0.4, (Point){0, 10});
    Line row = KEPT({-10, 0.1}, {150, 0.3}, {310, 0.2});
    ask_all(&low, &turned);
    ask_all(&low, &row);
    ask_all(&row, &tall);
    ask_all(&leaning, &row);
    ask_all(&tall, &low);
}

static void coincident_and_huge(void **state)
{
    (void)state;
    Point *points = ARENA_NEW(&arena, Point, MANY);
    for (int i = 0; i < MANY; i++)
        points[i] = (Point){i % 4 < 2 ? 0 : 10, 0};
    Line over = line_new(&arena, points, MANY), row = KEPT({-1, 1}, {5, 0}, {11, 0.5});
    ask_all(&over, &row);
    ask_all(&row, &over);
    Point *close = ARENA_NEW(&arena, Point, MANY);
    for (int i = 0; i < MANY; i++)
        close[i] = (Point){1e-12 * i, i % 2 * 1e-12};
    Line tiny = line_new(&arena, close, MANY);
    ask_all(&tiny, &row);
    ask_all(&row, &tiny);
    static const double sizes[] = {1e6, 1e15, 1e150, 1e300, NAN, INFINITY};
    for (size_t i = 0; i < ROWS_OF(sizes); i++) {
        double huge = sizes[i];
        Line far = KEPT({0, 0}, {huge, huge}, {-huge, huge}, {0, 0});
        ask_all(&far, &row);
        ask_all(&row, &far);
        ask_all(&far, &far);
    }
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, empty_arena, empty_arena)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(places_along),
        TEST(repeated_points_are_dropped),
        TEST(one_place_is_a_line_too),
        TEST(a_curve_is_flattened),
        TEST(nearest_place),
        TEST(sides_at_corners),
        TEST(sides_at_the_ends),
        TEST(a_walk_past_a_straight),
        TEST(touches_count),
        TEST(lines_that_coincide),
        TEST(rounded_numbers_keep_a_level),
        TEST(levels_round_a_circle),
        TEST(gaps),
        TEST(long_zigzags_end),
        TEST(coincident_and_huge),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

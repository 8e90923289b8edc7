/* Random lines against looking at every segment: nearest places, levels, gaps and
 * lines beside lines; and that moving or turning everything changes nothing. */
#include "unit/shape_kit.h"

#include "shape/area.h"

enum { ROUNDS = 400, MOST = 120 };

/* ---- Lines of several characters ---- */

static double rough(uint32_t *random, double step)
{
    return step > 0 ? round(noise(random) * 10) * step : 10 * noise(random);
}

/* Wanders; some on a lattice, so that segments touch, overlap and fold back; some
 * smooth; some with points next to nothing apart. */
static size_t wander(uint32_t *random, Point *points)
{
    size_t count = 2 + (size_t)((noise(random) + 1) / 2 * (MOST - 3));
    double step = noise(random) > 0.4 ? 2 : 0, heading = 3 * noise(random);
    bool smooth = noise(random) > 0, tiny = noise(random) > 0.6;
    points[0] = (Point){rough(random, step), rough(random, step)};
    for (size_t i = 1; i < count; i++) {
        heading += 0.3 * noise(random);
        Point next = smooth
                         ? (Point){points[i - 1].x + cos(heading), points[i - 1].y + sin(heading)}
                         : (Point){rough(random, step), rough(random, step)};
        if (tiny && i % 5 == 0)
            next = (Point){points[i - 1].x + 1e-12 * noise(random), points[i - 1].y};
        points[i] = next;
    }
    if (noise(random) > 0.5)
        points[count - 1] = points[0];
    return count;
}

static double rise(const Point *a, const Point *b, Point place, Point *on)
{
    double x = b->x - a->x, y = b->y - a->y, square = x * x + y * y;
    double t = square > 0 ? ((place.x - a->x) * x + (place.y - a->y) * y) / square : 0;
    t = t < 0 ? 0 : t > 1 ? 1 : t;
    *on = (Point){a->x + t * x, a->y + t * y};
    return hypot(place.x - on->x, place.y - on->y);
}

/* Looks at every segment. */
static double distance_to(const Point *points, size_t count, Point place)
{
    double least = INFINITY;
    Point on;
    for (size_t i = 0; i + 1 < count; i++)
        least = fmin(least, rise(&points[i], &points[i + 1], place, &on));
    return least;
}

/* ---- Nearest ---- */

static void nearest_is_the_nearest(void **state)
{
    (void)state;
    uint32_t random = 1;
    for (int round = 0; round < ROUNDS; round++) {
        Arena arena = {0};
        Point points[MOST];
        size_t count = wander(&random, points);
        Line line = line_new(&arena, points, count);
        for (int k = 0; k < 50; k++) {
            Point place = {14 * noise(&random), 14 * noise(&random)};
            if (k % 10 == 0)
                place = points[(size_t)k % count];
            double least = distance_to(points, count, place), within = k % 3 ? INFINITY : 4;
            Nearest nearest;
            bool found = line_nearest(&line, place, within, &nearest);
            assert_int_equal(found, least <= within);
            if (!found)
                continue;
            Point on = line_point(&line, nearest.at);
            near("distance", nearest.distance, least, 1e-9);
            near("place", hypot(on.x - nearest.on.x, on.y - nearest.on.y), 0, 1e-9);
            near("its distance", hypot(on.x - place.x, on.y - place.y), least, 1e-9);
        }
        arena_free(&arena);
    }
}

/* Left of a ring that runs counterclockwise is inside it. */
static void left_of_a_ring_is_inside(void **state)
{
    (void)state;
    enum { POINTS = 60 };
    uint32_t random = 2;
    for (int round = 0; round < ROUNDS; round++) {
        Arena arena = {0};
        Point ring[POINTS + 1];
        for (int i = 0; i < POINTS; i++) {
            double angle = RADIANS(360.0 * i / POINTS), radius = 10 + 6 * noise(&random);
            ring[i] = (Point){radius * cos(angle), radius * sin(angle)};
        }
        ring[POINTS] = ring[0];
        Line line = line_new(&arena, ring, POINTS + 1);
        Outline outline = {
            .ring = ring, .ring_count = POINTS, .least = {-20, -20}, .most = {20, 20}};
        for (int k = 0; k < 100; k++) {
            Point place = {18 * noise(&random), 18 * noise(&random)};
            Nearest nearest;
            assert_true(line_nearest(&line, place, INFINITY, &nearest));
            if (nearest.distance > 1e-9)
                assert_int_equal(nearest.left, outline_contains(&outline, place));
        }
        arena_free(&arena);
    }
}

/* ---- Levels ---- */

static bool is_reported(const double *at, size_t count, double from, double to)
{
    for (size_t i = 0; i < count; i++)
        if (at[i] >= from - 1e-9 && at[i] <= to + 1e-9)
            return true;
    return false;
}

/* Between two samples on either side of the level a place is reported, and what is
 * reported is at the level. */
static void check_levels(const Line *walk, const Line *line, double level, const double *at,
                         size_t count)
{
    enum { SAMPLES = 3000 };
    double length = line_length(walk), before = NAN, before_at = 0;
    for (size_t i = 0; i < count; i++) {
        Point place = line_point(walk, at[i]);
        near("at the level", distance_to(line->points, line->count, place), level, 1e-9);
        assert_true(at[i] >= 0 && at[i] <= length);
        assert_true(i == 0 || at[i] - at[i - 1] > 1e-9);
    }
    for (int i = 0; i <= SAMPLES; i++) {
        double here = length * i / SAMPLES;
        double over = distance_to(line->points, line->count, line_point(walk, here)) - level;
        if (fabs(over) < 1e-9)
            continue;
        if (over * before < 0 && !is_reported(at, count, before_at, here))
            fail_msg("passing the level %g between %.12g and %.12g is missed", level, before_at,
                     here);
        before = over;
        before_at = here;
    }
}

static void levels_are_found(void **state)
{
    (void)state;
    uint32_t random = 3;
    size_t all = 0;
    for (int round = 0; round < ROUNDS / 2; round++) {
        Arena arena = {0};
        Point one[MOST], other[MOST];
        Line walk = line_new(&arena, one, wander(&random, one));
        Line line = line_new(&arena, other, wander(&random, other));
        static const double levels[] = {0, 0.5, 1, 2, 5};
        for (size_t k = 0; k < ROWS_OF(levels); k++) {
            double *at;
            size_t count = line_levels(&arena, &walk, &line, levels[k], &at);
            if (levels[k] > 0)
                check_levels(&walk, &line, levels[k], at, count);
            all += count;
        }
        arena_free(&arena);
    }
    assert_true(all > 5000);
}

static int side_of(Point a, Point b, Point c)
{
    double turn = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
    return (turn > 0) - (turn < 0);
}

/* Level 0: every pair of segments that cross, and nothing where none do. */
static void crossings_are_found(void **state)
{
    (void)state;
    uint32_t random = 4;
    for (int round = 0; round < ROUNDS; round++) {
        Arena arena = {0};
        Point one[MOST], other[MOST];
        Line walk = line_new(&arena, one, wander(&random, one));
        Line line = line_new(&arena, other, wander(&random, other));
        double *at;
        size_t count = line_levels(&arena, &walk, &line, 0, &at);
        for (size_t i = 0; i < count; i++)
            near("crossing", distance_to(line.points, line.count, line_point(&walk, at[i])), 0,
                 1e-9);
        for (size_t i = 0; i + 1 < walk.count; i++)
            for (size_t k = 0; k + 1 < line.count; k++) {
                Point a = walk.points[i], b = walk.points[i + 1];
                Point c = line.points[k], d = line.points[k + 1];
                if (side_of(a, b, c) * side_of(a, b, d) < 0 &&
                    side_of(c, d, a) * side_of(c, d, b) < 0)
                    assert_true(is_reported(at, count, walk.at[i], walk.at[i + 1]));
            }
        assert_int_equal(count > 0, line_gap(&walk, &line, NULL) < 1e-12);
        arena_free(&arena);
    }
}

/* ---- Gaps ---- */

static void gaps_are_the_least(void **state)
{
    (void)state;
    uint32_t random = 5;
    for (int round = 0; round < ROUNDS; round++) {
        Arena arena = {0};
        Point one[MOST], other[MOST];
        size_t count = wander(&random, one), other_count = wander(&random, other);
        double away = 15 * (noise(&random) + 1);
        for (size_t i = 0; i < other_count; i++)
            other[i].x += away;
        Line a = line_new(&arena, one, count), b = line_new(&arena, other, other_count);
        double *at, where, least = INFINITY, gap = line_gap(&a, &b, &where);
        for (size_t i = 0; i < count; i++)
            least = fmin(least, distance_to(other, other_count, one[i]));
        for (size_t i = 0; i < other_count; i++)
            least = fmin(least, distance_to(one, count, other[i]));
        if (line_levels(&arena, &a, &b, 0, &at) > 0)
            least = 0;
        near("gap", gap, least, 1e-9);
        near("gap the other way", line_gap(&b, &a, NULL), least, 1e-9);
        near("its place", distance_to(other, other_count, line_point(&a, where)), least, 1e-9);
        arena_free(&arena);
    }
}

/* ---- Moved, turned, reversed ---- */

static Line changed(Arena *arena, const Point *points, size_t count, Matrix matrix, bool reversed)
{
    Point *to = ARENA_NEW(arena, Point, count);
    for (size_t i = 0; i < count; i++)
        to[i] = matrix_point(matrix, points[reversed ? count - 1 - i : i]);
    return line_new(arena, to, count);
}

static void moving_changes_nothing(void **state)
{
    (void)state;
    uint32_t random = 6;
    for (int round = 0; round < ROUNDS / 4; round++) {
        Arena arena = {0};
        Point one[MOST], other[MOST];
        size_t count = wander(&random, one), other_count = wander(&random, other);
        double angle = 3 * noise(&random);
        Matrix matrix = {cos(angle), sin(angle), -sin(angle), cos(angle), 50, -20};
        Line walk = line_new(&arena, one, count), line = line_new(&arena, other, other_count);
        Line walk_to = changed(&arena, one, count, matrix, true);
        Line line_to = changed(&arena, other, other_count, matrix, false);
        near("gap", line_gap(&walk_to, &line_to, NULL), line_gap(&walk, &line, NULL), 1e-9);
        double *at, *at_to, length = line_length(&walk);
        size_t found = line_levels(&arena, &walk, &line, 1.2345, &at);
        assert_int_equal(line_levels(&arena, &walk_to, &line_to, 1.2345, &at_to), found);
        for (size_t i = 0; i < found; i++)
            near("place", length - at_to[found - 1 - i], at[i], 1e-7);
        arena_free(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nearest_is_the_nearest), cmocka_unit_test(left_of_a_ring_is_inside),
        cmocka_unit_test(levels_are_found),       cmocka_unit_test(crossings_are_found),
        cmocka_unit_test(gaps_are_the_least),     cmocka_unit_test(moving_changes_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

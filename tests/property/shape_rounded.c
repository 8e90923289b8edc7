/* Random lines rounded: every bend measured again is at least what was needed, what
 * is said of the new line is what looking at it closely finds, its ends and what was
 * easy enough stay, and it agrees with the offsets of GEOS. */
#include "../unit/shape_kit.h"

#include <stdlib.h>

#include "shape/line.h"
#include "shape/outline.h"
#include "shape/rolled.h"
#include "shape/rounded.h"

enum { LINES = 150, LINES_OF_PIECES = 40 };

static double between(uint32_t *random, double low, double high)
{
    return low + (high - low) * (noise(random) + 1) / 2;
}

/* Straights and arcs of 1.5 to 40 mm to both sides. */
static Path random_arcs(Arena *arena, uint32_t *random)
{
    Pen pen = {.arena = arena};
    int bends = 1 + (int)between(random, 0, 4.99);
    pen_straight(&pen, between(random, 10, 30));
    for (int i = 0; i < bends; i++) {
        double radius = exp(between(random, log(1.5), log(40)));
        double turn = between(random, 15, 100) * (noise(random) > 0 ? 1 : -1);
        if (radius * fabs(turn) > 2500)
            turn = copysign(2500 / radius, turn);
        pen_arc(&pen, radius, turn);
        pen_straight(&pen, between(random, 0.5, 30));
    }
    pen_straight(&pen, between(random, 10, 30));
    return pen_path(&pen);
}

/* Cubics through random places, smooth at the joints. */
static Path random_cubics(Arena *arena, uint32_t *random)
{
    enum { PIECES = 6 };
    Path path = {ARENA_NEW(arena, Cubic, PIECES), PIECES};
    Point at = {0, 0}, way = {6, between(random, -6, 6)};
    for (int i = 0; i < PIECES; i++) {
        Point next = {at.x + between(random, 12, 30), between(random, -14, 14)};
        Point turned = {between(random, 2, 9), between(random, -7, 7)};
        path.pieces[i] = (Cubic){
            {at, {at.x + way.x, at.y + way.y}, {next.x - turned.x, next.y - turned.y}, next}};
        at = next;
        way = turned;
    }
    return path;
}

static Path random_line(Arena *arena, uint32_t *random, int number)
{
    return number % 2 ? random_arcs(arena, random) : random_cubics(arena, random);
}

/* Lines that cross themselves are no edges. */
static bool crosses_itself(Arena *arena, const Path *path)
{
    Line line = line_of_path(arena, path);
    for (size_t i = 0; i + 1 < line.count; i++)
        for (size_t k = i + 2; k + 1 < line.count; k++) {
            Point a = line.points[i], b = line.points[i + 1], c = line.points[k],
                  d = line.points[k + 1];
            double one = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
            double two = (b.x - a.x) * (d.y - a.y) - (b.y - a.y) * (d.x - a.x);
            double three = (d.x - c.x) * (a.y - c.y) - (d.y - c.y) * (a.x - c.x);
            double four = (d.x - c.x) * (b.y - c.y) - (d.y - c.y) * (b.x - c.x);
            if (one * two < 0 && three * four < 0)
                return true;
        }
    return false;
}

/* ---- What must hold of every new line ---- */

static void check_bends(const Path *path, const RoundedWish *wish)
{
    Arena arena = {0};
    Bend *bends;
    size_t count = bends_find(&arena, path, &bends);
    for (size_t i = 0; i < count; i++) {
        double needed = bends[i].left ? wish->rounded : wish->hollow;
        if (!bends[i].corner && bends[i].radius < needed)
            fail_msg("a bend of %.9g mm, not %.9g", bends[i].radius, needed);
    }
    arena_free(&arena);
}

static void check_joints(const Path *path)
{
    for (size_t i = 0; i + 1 < path->count; i++) {
        Point a = path->pieces[i].p[3], b = path->pieces[i + 1].p[0];
        assert_true(a.x == b.x && a.y == b.y);
        Point in = path_direction(path, (PathAt){i, 1});
        Point out = path_direction(path, (PathAt){i + 1, 0});
        near("joint", atan2(in.x * out.y - in.y * out.x, in.x * out.x + in.y * out.y), 0, 1e-3);
    }
}

static double distance_from(const Path *path, Point place, double step)
{
    double least = INFINITY;
    for (size_t i = 0; i < path->count; i++)
        for (double t = 0; t <= 1; t += step) {
            Point p = path_point(path, (PathAt){i, t});
            least = fmin(least, hypot(p.x - place.x, p.y - place.y));
        }
    return least;
}

/* Every place of each against every place of the other. */
static double apart_by_force(const Path *one, const Path *other)
{
    double most = 0;
    for (size_t i = 0; i < one->count; i++)
        for (double t = 0; t <= 1; t += 0.02)
            most = fmax(most, distance_from(other, path_point(one, (PathAt){i, t}), 0.002));
    return most;
}

/* Area left of the line and its chord, of a fine polyline. */
static double area_by_force(const Path *path)
{
    double twice = 0;
    Point start = path_start(path), last = start;
    for (size_t i = 0; i < path->count; i++)
        for (int k = 1; k <= 2000; k++) {
            Point p = path_point(path, (PathAt){i, k / 2000.0});
            twice += (last.x - start.x) * (p.y - start.y) - (last.y - start.y) * (p.x - start.x);
            last = p;
        }
    return twice / 2;
}

static double off_piece(const Path *path, size_t piece, Point place)
{
    enum { STEPS = 50 };
    double best = 0, least = INFINITY, width = 1.0 / STEPS;
    for (int i = 0; i <= STEPS; i++) {
        Point p = path_point(path, (PathAt){piece, i * width});
        double off = hypot(p.x - place.x, p.y - place.y);
        if (off < least)
            least = off, best = i * width;
    }
    for (double low = fmax(best - width, 0), high = fmin(best + width, 1); high - low > 1e-12;) {
        double a = low + (high - low) / 3, b = high - (high - low) / 3;
        Point p = path_point(path, (PathAt){piece, a}), q = path_point(path, (PathAt){piece, b});
        double one = hypot(p.x - place.x, p.y - place.y);
        double other = hypot(q.x - place.x, q.y - place.y);
        least = fmin(least, fmin(one, other));
        if (one < other)
            high = b;
        else
            low = a;
    }
    return least;
}

/* Pieces that are as drawn lie on the drawn line. */
static void check_rest(const Path *path, const Rounded *rounded)
{
    for (size_t i = 0; i < rounded->path.count; i++)
        for (double t = 0; !rounded->arc_of[i] && t <= 1; t += 0.25) {
            Point place = path_point(&rounded->path, (PathAt){i, t});
            double least = INFINITY;
            for (size_t k = 0; k < path->count; k++)
                least = fmin(least, off_piece(path, k, place));
            near("as drawn", least, 0, 1e-6);
        }
}

static void check_line(const Path *path, const RoundedWish *wish, const Rounded *rounded,
                       bool force)
{
    Point start = path_start(path), end = path_end(path);
    assert_true(path_start(&rounded->path).x == start.x && path_start(&rounded->path).y == start.y);
    assert_true(path_end(&rounded->path).x == end.x && path_end(&rounded->path).y == end.y);
    check_bends(&rounded->path, wish);
    check_joints(&rounded->path);
    near("longer", rounded->longer, path_length(&rounded->path) - path_length(path), 1e-9);
    near("larger", rounded->larger, area_by_force(&rounded->path) - area_by_force(path), 1e-3);
    near("place",
         hypot(rounded->drawn_at.x - rounded->new_at.x, rounded->drawn_at.y - rounded->new_at.y),
         rounded->deviation, 1e-9);
    if (!force)
        return;
    check_rest(path, rounded);
    double most = fmax(apart_by_force(path, &rounded->path), apart_by_force(&rounded->path, path));
    near("deviation", rounded->deviation, most, 0.01);
}

static void bends_are_as_needed_and_the_rest_is_as_drawn(void **state)
{
    (void)state;
    uint32_t random = 20;
    size_t done = 0, changed = 0;
    for (int i = 0; i < LINES; i++) {
        Arena arena = {0};
        Text why = {0};
        Rounded rounded;
        Path path = random_line(&arena, &random, i);
        RoundedWish wish = {.hollow = between(&random, 2, 9),
                            .rounded = between(&random, 2, 9),
                            .within = INFINITY};
        if (!crosses_itself(&arena, &path)) {
            if (rounded_line(&arena, &path, &wish, &rounded, &why)) {
                done++;
                changed += rounded.arc_count > 0;
                check_line(&path, &wish, &rounded, i < LINES_OF_PIECES);
            } else {
                assert_true(why.length > 0);
            }
        }
        text_free(&why);
        arena_free(&arena);
    }
    print_message("%zu of %d lines rounded, %zu of them changed\n", done, LINES, changed);
    assert_true(done > LINES / 3 && changed > LINES / 4);
}

/* ---- Against GEOS ---- */

/* With one radius on both sides, the line with what the disc does not reach beside it:
 * the new line runs along the edge of that. */
static void arcs_lie_where_geos_finds_them(void **state)
{
    (void)state;
    uint32_t random = 5;
    size_t compared = 0;
    for (int i = 0; i < LINES; i++) {
        Arena arena = {0};
        Text why = {0};
        Rounded rounded;
        Pen pen = {.arena = &arena};
        double side = noise(&random) > 0 ? 1 : -1;
        pen_straight(&pen, 30);
        pen_arc(&pen, between(&random, 1.5, 4), side * between(&random, 20, 110));
        pen_straight(&pen, 30);
        Path path = pen_path(&pen);
        RoundedWish wish = {.hollow = 6, .rounded = 6, .within = INFINITY};
        assert_true(rounded_line(&arena, &path, &wish, &rounded, &why));
        Point *points;
        size_t count = path_flatten(&arena, &path, 1e-4, &points);
        Unreached *patches;
        double radius = 6 * ROUNDED_OVER;
        size_t found = rolled_unreached(&arena, points, count, radius, &patches);
        assert_int_equal(found, 1);
        Line drawn = line_new(&arena, points, count), new = line_of_path(&arena, &rounded.path);
        for (size_t k = 0; k < patches[0].count; k++) {
            Nearest line, other;
            line_nearest(&drawn, patches[0].ring[k], INFINITY, &line);
            line_nearest(&new, patches[0].ring[k], INFINITY, &other);
            near("patch", fmin(line.distance, other.distance), 0, 0.02);
        }
        compared++;
        text_free(&why);
        arena_free(&arena);
    }
    assert_int_equal(compared, LINES);
}

/* ---- Written and read again ---- */

static void data_read_again_are_the_same_line(void **state)
{
    (void)state;
    uint32_t random = 77;
    for (int i = 0; i < LINES; i++) {
        Arena arena = {0};
        Text why = {0}, data = {0};
        Rounded rounded;
        Point on, other;
        Path path = random_line(&arena, &random, i);
        RoundedWish wish = {.hollow = 5, .rounded = 5, .within = INFINITY};
        if (rounded_line(&arena, &path, &wish, &rounded, &why)) {
            rounded_data(&data, &rounded);
            Path again = path_from(&arena, data.bytes);
            near("written", rounded_apart(&rounded.path, &again, &on, &other), 0, 1e-3);
            check_bends(&again, &wish);
            Rounded back = rounded_reversed(&arena, &rounded);
            text_clear(&data);
            rounded_data(&data, &back);
            again = path_from(&arena, data.bytes);
            near("reversed", rounded_apart(&rounded.path, &again, &on, &other), 0, 1e-3);
        }
        text_free(&data);
        text_free(&why);
        arena_free(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bends_are_as_needed_and_the_rest_is_as_drawn),
        cmocka_unit_test(arcs_lie_where_geos_finds_them),
        cmocka_unit_test(data_read_again_are_the_same_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

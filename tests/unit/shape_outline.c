/* Outlines: joining in any order and direction, what is refused and how it is
 * said, what lies inside, the narrowest place. */
#include "shape_kit.h"

#include <time.h>

#include "shape/outline.h"

#define PI 3.14159265358979323846

enum { EDGES_MOST = 64 };

/* A part from path data of its edges. */
typedef struct Part {
    Arena arena;
    Path paths[EDGES_MOST];
    size_t count;
    Outline outline;
    OutlineProblem problem;
    Text text;
} Part;

static void part_add(Part *part, const char *data)
{
    assert_true(part->count < EDGES_MOST);
    part->paths[part->count++] = path_from(&part->arena, data);
}

static bool part_join(Part *part)
{
    text_clear(&part->text);
    part->problem = (OutlineProblem){.text = &part->text, .one = 99, .other = 99};
    return outline_join(&part->arena, part->paths, part->count, &part->outline, &part->problem);
}

static void part_free(Part *part)
{
    text_free(&part->text);
    arena_free(&part->arena);
    *part = (Part){0};
}

static bool same(Point a, Point b)
{
    return a.x == b.x && a.y == b.y;
}

/* Ends meet to the bit, straight pieces stay straight, the part lies left. */
static void check_outline(const Part *part)
{
    const Outline *outline = &part->outline;
    assert_int_equal(outline->count, part->count);
    assert_int_equal(outline->edges[0].given, 0);
    assert_true(outline->area > 0);
    for (size_t i = 0; i < outline->count; i++) {
        const Path *path = &outline->edges[i].path;
        const Path *next = &outline->edges[(i + 1) % outline->count].path;
        assert_true(same(path_end(path), path_start(next)));
        for (size_t k = 0; k + 1 < path->count; k++)
            assert_true(same(path->pieces[k].p[3], path->pieces[k + 1].p[0]));
        PathAt middle = path_along(path, path_length(path) * 0.37);
        Point at = path_point(path, middle), way = path_direction(path, middle);
        assert_true(outline_contains(outline, (Point){at.x - 0.05 * way.y, at.y + 0.05 * way.x}));
        assert_false(outline_contains(outline, (Point){at.x + 0.05 * way.y, at.y - 0.05 * way.x}));
    }
    for (size_t i = 0; i < outline->ring_count; i++) {
        assert_false(same(outline->ring[i], outline->ring[(i + 1) % outline->ring_count]));
        assert_true(outline->ring_edge[i] < outline->count);
        Point p = outline->ring[i];
        assert_true(p.x >= outline->least.x && p.x <= outline->most.x);
        assert_true(p.y >= outline->least.y && p.y <= outline->most.y);
    }
}

static void check_refused(Part *part, size_t one, size_t other, const char *says, double x,
                          double y)
{
    if (part_join(part))
        fail_msg("joined, but expected: %s", says);
    if (!strstr(text_string(&part->text), says))
        fail_msg("'%s' does not say '%s'", text_string(&part->text), says);
    size_t low = part->problem.one < part->problem.other ? part->problem.one : part->problem.other;
    size_t high = part->problem.one + part->problem.other - low;
    assert_int_equal(low, one);
    assert_int_equal(high, other);
    near("x", part->problem.at.x, x, 0.06);
    near("y", part->problem.at.y, y, 0.06);
    part_free(part);
}

/* ---- joining ---- */

static const char *const box_edges[4][2] = {
    {"M0 0H40", "M40 0H0"},
    {"M40 0 C44 -8 44 -12 40 -20", "M40 -20 C44 -12 44 -8 40 0"},
    {"M40 -20H0", "M0 -20H40"},
    {"M0 -20V0", "M0 0V-20"},
};

static void edges_join_in_any_order_and_direction(void **state)
{
    (void)state;
    int joined = 0;
    for (int order = 0; order < 256; order++) {
        int index[4] = {order & 3, order >> 2 & 3, order >> 4 & 3, order >> 6 & 3};
        if ((1 << index[0] | 1 << index[1] | 1 << index[2] | 1 << index[3]) != 15)
            continue;
        for (int turned = 0; turned < 16; turned++) {
            Part part = {0};
            for (int i = 0; i < 4; i++)
                part_add(&part, box_edges[index[i]][turned >> i & 1]);
            assert_true(part_join(&part));
            check_outline(&part);
            /* The bulge: 12 t (1 - t) deep where dy = 24 (1 - t (1 - t)) dt. */
            near("area", part.outline.area, 800 + 288 * (1. / 6 - 1. / 30), 0.2);
            part_free(&part);
            joined++;
        }
    }
    assert_int_equal(joined, 24 * 16);
}

static void a_single_edge_may_close_on_itself(void **state)
{
    (void)state;
    static const char *const circles[] = {
        "M10 0 A10 10 0 0 0 -10 0 A10 10 0 0 0 10 0",
        "M10 0 A10 10 0 0 1 -10 0 A10 10 0 0 1 10 0.06",
    };
    for (size_t i = 0; i < 2; i++) {
        Part part = {0};
        part_add(&part, circles[i]);
        assert_true(part_join(&part));
        check_outline(&part);
        near("area", part.outline.area, 100 * PI, 1);
        part_free(&part);
    }
}

static void gaps_are_closed_without_corners(void **state)
{
    (void)state;
    Part part = {0};
    part_add(&part, "M0 0 L10 0 L40 0");
    part_add(&part, "M40.05 -0.05 L40 -10 L40 -20");
    part_add(&part, "M40 -20 L0 -20");
    part_add(&part, "M0 -20 V-0.08");
    assert_true(part_join(&part));
    check_outline(&part);
    for (size_t i = 0; i < part.count; i++) {
        const Path *path = &part.outline.edges[i].path;
        for (size_t k = 0; k < path->count; k++) {
            const Point *p = path->pieces[k].p;
            near("third", p[1].x, p[0].x + (p[3].x - p[0].x) / 3, 1e-12);
            near("third", p[2].y, p[0].y + (p[3].y - p[0].y) * 2 / 3, 1e-12);
            Point way = path_direction(path, (PathAt){k, 0.5});
            Point first = path_direction(path, (PathAt){0, 0.5});
            near("corner", DEGREES(acos(fmin(way.x * first.x + way.y * first.y, 1))), 0, 0.3);
        }
    }
    /* The meeting places are the middles of the gaps. */
    near("x", path_end(&part.outline.edges[3].path).x, 0, 1e-12);
    part_free(&part);
}

static void exact_ends_are_left_alone(void **state)
{
    (void)state;
    Part part = {0};
    part_add(&part, "M0.1 0.7 C3 -4 9 4 12.3 0.7");
    part_add(&part, "M12.3 0.7 L6 -20.1 L0.1 0.7");
    assert_true(part_join(&part));
    check_outline(&part);
    assert_memory_equal(part.outline.edges[0].path.pieces, part.paths[0].pieces, sizeof(Cubic));
    part_free(&part);
}

static void a_tenth_of_a_millimetre_is_joined_and_more_is_not(void **state)
{
    (void)state;
    Part part = {0};
    part_add(&part, "M0 0H10");
    part_add(&part, "M10.1 0L5 -8L0 0");
    assert_true(part_join(&part));
    part_free(&part);
    part_add(&part, "M0 0H10");
    part_add(&part, "M10.34 0L5 -8L0 0");
    check_refused(&part, 0, 1, "a gap of 0.34 mm; ends within 0.1 mm are joined", 10.17, 0);
    part_add(&part, "M0 0H10");
    part_add(&part, "M10.1001 0L5 -8L0 0");
    check_refused(&part, 0, 1, "a gap of 0.1001 mm", 10.05, 0);
    part_add(&part, "M0 0H10L5 -8L0 -0.5");
    check_refused(&part, 0, 0, "a gap of 0.5 mm", 0, 0.25);
    part_add(&part, "M0 0H40");
    part_add(&part, "M0 -20V0");
    part_add(&part, "M40 -20H0");
    part_add(&part, "M40 -0.2V-20");
    check_refused(&part, 0, 3, "a gap of 0.2 mm", 40, 0.1);
}

static void ends_that_could_join_in_two_ways_are_refused(void **state)
{
    (void)state;
    Part part = {0};
    part_add(&part, "M0 0H40");
    part_add(&part, "M40 0V-20H0V0");
    part_add(&part, "M40 -0.05L60 -7");
    check_refused(&part, 0, 2, "more than one way", 40, 0.05);
    part_add(&part, "M0 0H40V-20");
    part_add(&part, "M40 -20.09V-20.04");
    part_add(&part, "M40 -20.12H0V0");
    assert_false(part_join(&part));
    assert_non_null(strstr(text_string(&part.text), "more than two ends"));
    part_free(&part);
}

static void two_closed_lines_are_no_outline(void **state)
{
    (void)state;
    Part part = {0};
    part_add(&part, "M0 0H10");
    part_add(&part, "M10 0L5 -8L0 0");
    part_add(&part, "M3 -2H7");
    part_add(&part, "M7 -2L5 -4L3 -2");
    check_refused(&part, 0, 2, "a single outline", 3, 2);
    assert_false(part_join(&part));
    assert_non_null(strstr(text_string(&part.text), "without edges"));
    part_free(&part);
}

/* ---- crossing ---- */

static void outlines_that_meet_themselves_are_refused(void **state)
{
    (void)state;
    static const struct {
        const char *data;
        double x, y;
    } cases[] = {
        {"M0 0L10 -10L10 0L0 -10L0 0", 5, 5},             /* eight */
        {"M0 0H30V-10L15 0L0 -10V0", 15, 0},              /* a corner on a side */
        {"M0 0H30V-10H20L15 -0L10 -10H0V0", 15, 0},       /* the same, inner corner */
        {"M0 0H30V-20H0V0", NAN, NAN},                    /* sound */
        {"M0 0H15V5V0H30V-20H0V0", 15, -2},               /* a spike */
        {"M0 0H20V-10H10V0H30V-20H0V0", 15, 0},           /* runs along itself */
        {"M0 0 C60 -30 -30 -30 30 0 V20H0V0", 15, 11.25}, /* a loop */
        {"M0 0 C28 -30 2 -30 30 0 V20H0V0", NAN, NAN},    /* nearly one */
    };
    for (size_t i = 0; i < ROWS_OF(cases); i++) {
        Part part = {0};
        part_add(&part, cases[i].data);
        bool joined = part_join(&part);
        if (joined != (cases[i].x != cases[i].x))
            fail_msg("%s: %s", cases[i].data, joined ? "joined" : text_string(&part.text));
        if (!joined) {
            assert_non_null(strstr(text_string(&part.text), "crosses or touches itself"));
            if (i != 5) {
                near(cases[i].data, part.problem.at.x, cases[i].x, 0.1);
                near(cases[i].data, part.problem.at.y, cases[i].y, 3);
            }
        }
        part_free(&part);
    }
}

static void the_edges_that_cross_are_named(void **state)
{
    (void)state;
    Part part = {0};
    part_add(&part, "M0 0H40");
    part_add(&part, "M40 0V-20");
    part_add(&part, "M0 -20L30 5L30 -20L40 -20"); /* crosses and comes back in the corner */
    part_add(&part, "M0 -20V0");
    assert_false(part_join(&part));
    assert_non_null(strstr(text_string(&part.text), "crosses"));
    assert_true(part.problem.one + part.problem.other == 2);
    near("y", part.problem.at.y, 0, 1e-9);
    assert_true(fabs(part.problem.at.x - 24) < 1e-9 || fabs(part.problem.at.x - 30) < 1e-9);
    part_free(&part);
}

static void what_encloses_nothing_is_refused(void **state)
{
    (void)state;
    static const char *const cases[][2] = {
        {"M0 0H40", "M40 0H0"},
        {"M0 0L0.03 0L0.03 -0.03L0 0", NULL},
        {"M0 0 C10 0 20 0 30 0", "M30 0 C20 0 10 0 0 0"},
        {"M0 0H0.0625", NULL},
    };
    for (size_t i = 0; i < ROWS_OF(cases); i++) {
        Part part = {0};
        for (int k = 0; k < 2 && cases[i][k]; k++)
            part_add(&part, cases[i][k]);
        assert_false(part_join(&part));
        assert_true(part.text.length > 0);
        part_free(&part);
    }
}

/* ---- inside ---- */

static void inside_and_outside(void **state)
{
    (void)state;
    Part part = {0};
    part_add(&part, "M0 0L20 -20L40 0L40 -40L0 -40L0 0"); /* a notch from above */
    assert_true(part_join(&part));
    check_outline(&part);
    static const struct {
        double x, y;
        bool inside;
    } cases[] = {{20, 30, true},   {20, 10, false},      {1, 20, true},   {39, 20, true},
                 {-1, 20, false},  {41, 20, false},      {20, 19, false}, {20, 21, true},
                 {NAN, 20, false}, {20, INFINITY, false}};
    for (size_t i = 0; i < ROWS_OF(cases); i++)
        if (outline_contains(&part.outline, (Point){cases[i].x, cases[i].y}) != cases[i].inside)
            fail_msg("%g, %g", cases[i].x, cases[i].y);
    part_free(&part);
}

/* ---- the narrowest place ---- */

static void check_narrowest(const char *data, double expected, double tolerance, double x, double y)
{
    static const double angles[] = {0, 17, 90, 203};
    for (size_t i = 0; i < ROWS_OF(angles); i++) {
        Part part = {0};
        double c = cos(RADIANS(angles[i])), s = sin(RADIANS(angles[i]));
        part_add(&part, data);
        path_transform(&part.paths[0], (Matrix){c, s, -s, c, 300, -100});
        if (!part_join(&part))
            fail_msg("%s: %s", data, text_string(&part.text));
        Point at;
        near(data, outline_narrowest(&part.outline, &at), expected, tolerance);
        near(data, outline_narrowest(&part.outline, NULL), expected, tolerance);
        assert_true(outline_contains(&part.outline, at));
        if (x == x) {
            at = (Point){at.x - 300, at.y + 100};
            near("x", c * at.x + s * at.y, x, 0.3);
            near("y", -s * at.x + c * at.y, y, 0.3);
        }
        part_free(&part);
    }
}

static void narrowest_of_plain_shapes(void **state)
{
    (void)state;
    check_narrowest("M0 0H100V-8H0V0", 8, 0.01, NAN, NAN);
    check_narrowest("M0 0H21V-20H0V0", 20, 0.01, NAN, NAN);
    check_narrowest("M0 0H20V-20H0V0", 20, 0.01, 10, 10);
    check_narrowest("M0 0H2000V-1H0V0", 1, 0.01, NAN, NAN);
    check_narrowest("M12 0A12 12 0 0 1 -12 0A12 12 0 0 1 12 0", 24, 0.05, 0, 0);
    /* Equal sides of 30: the inscribed circle's diameter is a side over root 3. */
    check_narrowest("M0 0H30L15 -25.980762L0 0", 30 / sqrt(3), 0.05, 15, 8.66);
    /* Rounded ends do not count, nor do rounded corners. */
    check_narrowest("M6 0H60A6 6 0 0 0 60 -12H6A6 6 0 0 0 6 0", 12, 0.03, NAN, NAN);
    check_narrowest(
        "M2 0H58A2 2 0 0 0 60 -2V-28A2 2 0 0 0 58 -30H2A2 2 0 0 0 0 -28V-2A2 2 0 0 0 2 0", 30, 0.03,
        NAN, NAN);
}

static void narrowest_of_waists(void **state)
{
    (void)state;
    /* A strip of 20 with a hollow of radius 10, 6 deep, in one side. */
    check_narrowest("M0 0H100V-20H59.165151A10 10 0 0 1 40.834849 -20H0V0", 20 - (10 - 4), 0.03, 50,
                    7);
    /* Hollows in both sides, one above the other. */
    check_narrowest("M0 0H40A10 10 0 0 1 60 0H100V-30H60A10 10 0 0 1 40 -30H0V0", 10, 0.03, 50, 15);
    /* An hourglass of straight lines, its waist between two corners. */
    check_narrowest("M0 0L30 -12L60 0V-30L30 -18L0 -30V0", 6, 0.02, 30, 15);
    /* One side straight, one hollow corner. */
    check_narrowest("M0 0H60V-30L33 -5L0 -30V0", 5, 0.3, NAN, NAN);
    /* A neck between two lobes. */
    check_narrowest("M0 0H30V-13H50V0H80V-30H50V-17H30V-30H0V0", 4, 0.01, NAN, 15);
    /* Across corners that do not face squarely: their distance. */
    check_narrowest("M0 0H30V-14H80V-30H26V-18H0V0", sqrt(32), 0.5, 28, 16);
}

static void narrowest_of_curved_strips(void **state)
{
    (void)state;
    /* A half ring between radii 30 and 37, with square ends. */
    check_narrowest("M30 0A30 30 0 0 0 -30 0H-37A37 37 0 0 1 37 0H30", 7, 0.03, NAN, NAN);
    /* A wave of constant height, narrowest where it is steepest: the least
     * distance from its one side to the other. */
    Arena arena = {0};
    Path low = path_from(&arena, "M0 0C20 0 20 -20 40 -20");
    Path high = path_from(&arena, "M0 -10C20 -10 20 -30 40 -30");
    double least = 10;
    for (int i = 0; i <= 400; i++)
        for (int k = 0; k <= 400; k++) {
            Point a = path_point(&low, (PathAt){0, i / 400.});
            Point b = path_point(&high, (PathAt){0, k / 400.});
            least = fmin(least, hypot(a.x - b.x, a.y - b.y));
        }
    arena_free(&arena);
    check_narrowest("M0 0C20 0 20 -20 40 -20V-30C20 -30 20 -10 0 -10V0", least, 0.03, 20, 15);
}

static void tapers_count_and_corners_do_not(void **state)
{
    (void)state;
    /* From 12 to 4 over 60, blunt: the last disc touches both sides and the end.
     * Its middle lies r from the end, where the half width is 2 + r / 15. */
    double cosine = 60 / hypot(60, 4), radius = 2 * cosine / (1 - cosine / 15);
    check_narrowest("M0 6L60 2V-2L0 -6V6", 2 * radius, 0.02, 60 - radius, 0);
    /* A flag with corners of 45 degrees: its height counts, not its corners. */
    check_narrowest("M0 0H60L50 -10H-10L0 0", 10, 0.02, NAN, NAN);
    /* A point of 40 degrees on a body of 20. */
    check_narrowest("M0 10H40L67.474774 0L40 -10H0V10", 20, 0.03, NAN, NAN);
}

static double seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

/* A round comb: `teeth` needles of 40 by hardly anything, every two of which have
 * boxes that overlap. */
static Path comb(Arena *arena, size_t teeth)
{
    Point *points = ARENA_NEW(arena, Point, 2 * teeth + 1);
    for (size_t i = 0; i < 2 * teeth; i++) {
        double angle = PI * (double)i / (double)teeth, radius = i % 2 ? 60 : 20;
        points[i] = (Point){radius * cos(angle), radius * sin(angle)};
    }
    points[2 * teeth] = points[0];
    return polyline(arena, points, 2 * teeth + 1);
}

/* A round part with `waves` lobes. */
static Path wave(Arena *arena, size_t count, double waves)
{
    Point *points = ARENA_NEW(arena, Point, count + 1);
    for (size_t i = 0; i < count; i++) {
        double angle = 2 * PI * (double)i / (double)count, radius = 100 + 30 * sin(waves * angle);
        points[i] = (Point){radius * cos(angle), radius * sin(angle)};
    }
    points[count] = points[0];
    return polyline(arena, points, count + 1);
}

static void many_points_take_no_time(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        size_t count = i ? 1000 : 10000;
        Part part = {0};
        part.count = 1;
        part.paths[0] = i ? comb(&part.arena, count / 2) : wave(&part.arena, count, 5);
        double before = seconds();
        assert_true(part_join(&part));
        assert_int_equal(part.outline.ring_count, count);
        assert_true(outline_narrowest(&part.outline, NULL) < 70);
        if (seconds() - before > 10) /* 0.2 s at most; room for valgrind and slow machines */
            fail_msg("%.2f s for %zu points", seconds() - before, count);
        part_free(&part);
    }
}

static void too_many_points_are_refused(void **state)
{
    (void)state;
    Part part = {0};
    part.count = 1;
    part.paths[0] = comb(&part.arena, OUTLINE_POINTS_MOST / 2 + 1);
    assert_false(part_join(&part));
    assert_non_null(strstr(text_string(&part.text), "more than 20,000 points"));
    assert_int_equal(part.problem.one, 0);
    part_free(&part);
    /* Two edges that are too many together only. */
    part.count = 2;
    Path whole = comb(&part.arena, OUTLINE_POINTS_MOST / 2 + 1);
    part.paths[0] = (Path){whole.pieces, whole.count / 2};
    part.paths[1] = (Path){whole.pieces + whole.count / 2, whole.count - whole.count / 2};
    assert_false(part_join(&part));
    assert_non_null(strstr(text_string(&part.text), "more than 20,000 points"));
    assert_int_equal(part.problem.one, 1);
    part_free(&part);
}

/* A traced line: noise of 0.03 mm on a strip changes its width by no more. */
static void noise_hides_no_width(void **state)
{
    (void)state;
    uint32_t random = 7;
    Part part = {0};
    Point points[241];
    for (size_t i = 0; i < 240; i++) {
        double along = (double)(i % 120), wobble = 0.03 * noise(&random);
        points[i] = i < 120 ? (Point){along, wobble} : (Point){119 - along, 9 + wobble};
    }
    points[240] = points[0];
    part.count = 1;
    part.paths[0] = polyline(&part.arena, points, 241);
    assert_true(part_join(&part));
    near("width", outline_narrowest(&part.outline, NULL), 8.97, 0.04);
    part_free(&part);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(edges_join_in_any_order_and_direction),
        cmocka_unit_test(a_single_edge_may_close_on_itself),
        cmocka_unit_test(gaps_are_closed_without_corners),
        cmocka_unit_test(exact_ends_are_left_alone),
        cmocka_unit_test(a_tenth_of_a_millimetre_is_joined_and_more_is_not),
        cmocka_unit_test(ends_that_could_join_in_two_ways_are_refused),
        cmocka_unit_test(two_closed_lines_are_no_outline),
        cmocka_unit_test(outlines_that_meet_themselves_are_refused),
        cmocka_unit_test(the_edges_that_cross_are_named),
        cmocka_unit_test(what_encloses_nothing_is_refused),
        cmocka_unit_test(inside_and_outside),
        cmocka_unit_test(narrowest_of_plain_shapes),
        cmocka_unit_test(narrowest_of_waists),
        cmocka_unit_test(narrowest_of_curved_strips),
        cmocka_unit_test(tapers_count_and_corners_do_not),
        cmocka_unit_test(many_points_take_no_time),
        cmocka_unit_test(too_many_points_are_refused),
        cmocka_unit_test(noise_hides_no_width),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

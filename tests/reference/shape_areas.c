/* Outlines against the geometry library GEOS and closed forms: areas, validity,
 * what lies inside, and the narrowest place by shrinking a part until it parts. */
#include "reference/check.h"
#include "unit/shape_kit.h"

#include <geos_c.h>

#include "shape/outline.h"

#define PI 3.14159265358979323846

static GEOSContextHandle_t geos_begin(void)
{
    GEOSContextHandle_t geos = GEOS_init_r();
    assert_non_null(geos);
    return geos;
}

static GEOSGeometry *polygon(GEOSContextHandle_t geos, const Point *ring, size_t count)
{
    GEOSCoordSequence *points = GEOSCoordSeq_create_r(geos, (unsigned)count + 1, 2);
    for (size_t i = 0; i <= count; i++)
        assert_true(
            GEOSCoordSeq_setXY_r(geos, points, (unsigned)i, ring[i % count].x, ring[i % count].y));
    return GEOSGeom_createPolygon_r(geos, GEOSGeom_createLinearRing_r(geos, points), NULL, 0);
}

static double area_of(GEOSContextHandle_t geos, const GEOSGeometry *shape)
{
    double area = NAN;
    assert_true(GEOSArea_r(geos, shape, &area));
    return area;
}

static bool join(Arena *arena, const Path *paths, size_t count, Outline *outline)
{
    Text text = {0};
    OutlineProblem problem = {.text = &text};
    bool joined = outline_join(arena, paths, count, outline, &problem);
    text_free(&text);
    return joined;
}

static void outline_of(Arena *arena, const char *data, Outline *outline)
{
    Path path = path_from(arena, data);
    assert_true(join(arena, &path, 1, outline));
}

/* A smooth blob, its outline drawn as four edges of cubics through random radii. */
static bool blob(Arena *arena, uint32_t *random, Outline *outline)
{
    enum { EDGES = 4, EACH = 5, ALL = EDGES * EACH };
    Path paths[EDGES];
    Point at[ALL], way[ALL];
    for (int i = 0; i < ALL; i++) {
        double angle = 2 * PI * i / ALL, radius = 40 + 12 * noise(random);
        at[i] = (Point){radius * cos(angle), radius * sin(angle)};
        way[i] = (Point){-radius * sin(angle) * 0.1, radius * cos(angle) * 0.1};
    }
    for (int e = 0; e < EDGES; e++) {
        paths[e] = (Path){ARENA_NEW(arena, Cubic, EACH), EACH};
        for (int k = 0; k < EACH; k++) {
            int i = e * EACH + k, j = (i + 1) % ALL;
            paths[e].pieces[k] = (Cubic){{at[i],
                                          {at[i].x + way[i].x, at[i].y + way[i].y},
                                          {at[j].x - way[j].x, at[j].y - way[j].y},
                                          at[j]}};
        }
        if (noise(random) > 0)
            path_reverse(&paths[e]);
    }
    Path swapped = paths[1];
    paths[1] = paths[3];
    paths[3] = swapped;
    return join(arena, paths, EDGES, outline);
}

/* Area under a cubic by Green's theorem, exact for polynomials. */
static double green(const Cubic *c)
{
    const Point *p = c->p;
    double sum = 0;
    static const double weight[4][4] = {
        {0, 6, 3, 1}, {-6, 0, 3, 3}, {-3, -3, 0, 6}, {-1, -3, -6, 0}};
    for (int i = 0; i < 4; i++)
        for (int k = 0; k < 4; k++)
            sum += weight[i][k] * p[i].x * p[k].y;
    return sum / 20;
}

static void areas_of_blobs(void **state)
{
    (void)state;
    GEOSContextHandle_t geos = geos_begin();
    uint32_t random = 1;
    int joined = 0;
    for (int i = 0; i < 300; i++) {
        Arena arena = {0};
        Outline outline;
        assert_true(blob(&arena, &random, &outline));
        GEOSGeometry *shape = polygon(geos, outline.ring, outline.ring_count);
        assert_true(GEOSisValid_r(geos, shape));
        near_enough("area", outline.area, area_of(geos, shape), 1e-9 * outline.area, "GEOS");
        double exact = 0, round = 0;
        for (size_t e = 0; e < outline.count; e++) {
            round += path_length(&outline.edges[e].path);
            for (size_t k = 0; k < outline.edges[e].path.count; k++)
                exact += green(&outline.edges[e].path.pieces[k]);
        }
        near_enough("area of the curve", outline.area, exact, OUTLINE_FLATNESS_MM * round,
                    "Green's theorem");
        for (int k = 0; k < 60; k++) {
            Point point = {55 * noise(&random), 55 * noise(&random)};
            GEOSGeometry *dot = GEOSGeom_createPointFromXY_r(geos, point.x, point.y);
            assert_int_equal(outline_contains(&outline, point), GEOSContains_r(geos, shape, dot));
            GEOSGeom_destroy_r(geos, dot);
        }
        GEOSGeom_destroy_r(geos, shape);
        arena_free(&arena);
        joined++;
    }
    assert_int_equal(joined, 300);
    GEOS_finish_r(geos);
}

/* Random polygons, few of them simple: joined just where GEOS finds them valid. */
static void crossings_of_random_polygons(void **state)
{
    (void)state;
    GEOSContextHandle_t geos = geos_begin();
    uint32_t random = 3;
    int valid = 0;
    for (int i = 0; i < 3000; i++) {
        Arena arena = {0};
        Point points[25];
        size_t count = 4 + (size_t)(i % 21);
        for (size_t k = 0; k < count; k++) {
            double angle = 2 * PI * (double)k / (double)count + 1.5 * noise(&random) / (1 + i % 7);
            double radius = 30 + 25 * noise(&random);
            points[k] = (Point){radius * cos(angle), radius * sin(angle)};
            if (i % 7 == 0) /* on a grid, so that they touch and run along each other */
                points[k] = (Point){floor(4 * noise(&random)), floor(4 * noise(&random))};
        }
        for (size_t k = 0; k < count && i % 7 == 0; k++)
            if (points[k].x == points[(k + 1) % count].x &&
                points[k].y == points[(k + 1) % count].y)
                points[k].x += 0.5;
        points[count] = points[0];
        Path path = polyline(&arena, points, count + 1);
        Outline outline;
        bool joined = join(&arena, &path, 1, &outline);
        GEOSGeometry *shape = polygon(geos, points, count);
        bool expected = GEOSisValid_r(geos, shape) && area_of(geos, shape) >= 0.01;
        if (joined != expected)
            fail_msg("polygon %d: %s, but GEOS: %s", i, joined ? "joined" : "refused",
                     expected ? "valid" : "not valid");
        if (joined)
            near_enough("area", outline.area, area_of(geos, shape), 1e-9 * outline.area, "GEOS");
        valid += joined;
        GEOSGeom_destroy_r(geos, shape);
        arena_free(&arena);
    }
    if (valid < 300 || valid > 2700)
        fail_msg("%d of 3000 valid: no test", valid);
    GEOS_finish_r(geos);
}

static void areas_of_closed_forms(void **state)
{
    (void)state;
    static const struct {
        const char *data;
        double area, round; /* mm2, mm */
        const char *source;
    } cases[] = {
        {"M25 0A25 25 0 0 1 -25 0A25 25 0 0 1 25 0", PI * 625, PI * 50, "pi r^2"},
        {"M30 0A30 10 0 0 1 -30 0A30 10 0 0 1 30 0", PI * 300, 140, "pi a b"},
        {"M30 0A30 30 0 0 0 -30 0H-37A37 37 0 0 1 37 0H30", PI / 2 * (37 * 37 - 900), 230,
         "half a ring"},
        {"M0 0Q20 -40 40 0L0 0", 2. / 3 * 40 * 20, 90, "segment of a parabola, Archimedes"},
        {"M0 0L30 -40L60 0L0 0", 1200, 0, "triangle"},
    };
    for (size_t i = 0; i < ROWS(cases); i++) {
        Arena arena = {0};
        Outline outline;
        outline_of(&arena, cases[i].data, &outline);
        near_enough(cases[i].data, outline.area, cases[i].area,
                    OUTLINE_FLATNESS_MM * cases[i].round + 1e-9, cases[i].source);
        arena_free(&arena);
    }
}

/* Offset outwards by d a convex part gains round * d + pi d^2 (Steiner). */
static void offsets_of_convex_parts(void **state)
{
    (void)state;
    static const char *const cases[] = {"M25 0A25 25 0 0 1 -25 0A25 25 0 0 1 25 0",
                                        "M30 0A30 10 0 0 1 -30 0A30 10 0 0 1 30 0",
                                        "M0 0H60V-20H0V0", "M0 0Q20 -40 40 0L0 0"};
    GEOSContextHandle_t geos = geos_begin();
    for (size_t i = 0; i < ROWS(cases); i++) {
        Arena arena = {0};
        Outline outline;
        outline_of(&arena, cases[i], &outline);
        double round = path_length(&outline.edges[0].path), d = 4;
        GEOSGeometry *shape = polygon(geos, outline.ring, outline.ring_count);
        GEOSGeometry *wide = GEOSBuffer_r(geos, shape, d, 64);
        near_enough(cases[i], outline.area + round * d + PI * d * d, area_of(geos, wide), 0.3,
                    "GEOS");
        GEOSGeom_destroy_r(geos, wide);
        GEOSGeom_destroy_r(geos, shape);
        arena_free(&arena);
    }
    GEOS_finish_r(geos);
}

/* In how many pieces a part is left when `depth` is taken from all sides; slivers
 * do not count. */
static int pieces_left(GEOSContextHandle_t geos, const Outline *outline, double depth)
{
    GEOSGeometry *shape = polygon(geos, outline->ring, outline->ring_count);
    GEOSGeometry *left = GEOSBuffer_r(geos, shape, -depth, 64);
    int pieces = 0;
    for (int i = 0; i < GEOSGetNumGeometries_r(geos, left); i++)
        pieces += area_of(geos, GEOSGetGeometryN_r(geos, left, i)) > 1e-6;
    GEOSGeom_destroy_r(geos, left);
    GEOSGeom_destroy_r(geos, shape);
    return pieces;
}

static void narrowest_is_where_a_shrunk_part_parts(void **state)
{
    (void)state;
    static const struct {
        const char *data;
        int after; /* pieces when a little more than half the width is taken */
    } cases[] = {
        {"M0 0L30 -12L60 0V-30L30 -18L0 -30V0", 2},
        {"M0 0H40A10 10 0 0 1 60 0H100V-30H60A10 10 0 0 1 40 -30H0V0", 2},
        {"M0 0C20 0 20 -20 40 0C60 20 80 -16 100 0V-30C70 -20 60 -24 50 -12C40 -30 20 -30 0 -30V0",
         2},
        {"M0 0H100V-8H0V0", 0},
        {"M30 0A30 30 0 0 0 -30 0H-37A37 37 0 0 1 37 0H30", 0},
        {"M25 0A25 25 0 0 1 -25 0A25 25 0 0 1 25 0", 0},
        {"M0 0L30 -40L60 0L0 0", 0},
    };
    GEOSContextHandle_t geos = geos_begin();
    for (size_t i = 0; i < ROWS(cases); i++) {
        Arena arena = {0};
        Outline outline;
        outline_of(&arena, cases[i].data, &outline);
        double half = outline_narrowest(&outline, NULL) / 2;
        if (pieces_left(geos, &outline, half - 0.025) != 1 ||
            pieces_left(geos, &outline, half + 0.025) != cases[i].after)
            fail_msg("%s: narrowest %.4f, but %d pieces before and %d after", cases[i].data,
                     2 * half, pieces_left(geos, &outline, half - 0.025),
                     pieces_left(geos, &outline, half + 0.025));
        arena_free(&arena);
    }
    GEOS_finish_r(geos);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(areas_of_blobs),
        cmocka_unit_test(crossings_of_random_polygons),
        cmocka_unit_test(areas_of_closed_forms),
        cmocka_unit_test(offsets_of_convex_parts),
        cmocka_unit_test(narrowest_is_where_a_shrunk_part_parts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

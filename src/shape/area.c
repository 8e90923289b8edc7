/* Areas that overlap and unite, by GEOS; the only place that knows it.
 * For src/measure. */
#include "shape/area.h"

#include <geos_c.h>
#include <limits.h>
#include <math.h>
#include <stdlib.h>

/* NULL where GEOS fails, or is given NULL. */
static GEOSGeometry *valid(GEOSContextHandle_t geos, GEOSGeometry *shape)
{
    if (!shape || GEOSisValid_r(geos, shape) == 1)
        return shape;
    GEOSGeometry *made = GEOSMakeValid_r(geos, shape);
    GEOSGeom_destroy_r(geos, shape);
    return made;
}

static bool is_finite(const Point *ring, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (!isfinite(ring[i].x) || !isfinite(ring[i].y))
            return false;
    return count < UINT_MAX;
}

static GEOSCoordSequence *points_of(GEOSContextHandle_t geos, const Point *ring, size_t count)
{
    GEOSCoordSequence *points = GEOSCoordSeq_create_r(geos, (unsigned)count + 1, 2);
    for (size_t i = 0; points && i <= count; i++) {
        Point point = ring[i < count ? i : 0];
        if (!GEOSCoordSeq_setXY_r(geos, points, (unsigned)i, point.x, point.y)) {
            GEOSCoordSeq_destroy_r(geos, points);
            points = NULL;
        }
    }
    return points;
}

/* Fewer than three points enclose nothing. */
static GEOSGeometry *polygon(GEOSContextHandle_t geos, const Point *ring, size_t count)
{
    if (count < 3)
        return GEOSGeom_createEmptyPolygon_r(geos);
    GEOSCoordSequence *points = is_finite(ring, count) ? points_of(geos, ring, count) : NULL;
    GEOSGeometry *round = points ? GEOSGeom_createLinearRing_r(geos, points) : NULL;
    GEOSGeometry *shape = round ? GEOSGeom_createPolygon_r(geos, round, NULL, 0) : NULL;
    return valid(geos, shape);
}

/* Destroys the shape. */
static double area_of(GEOSContextHandle_t geos, GEOSGeometry *shape)
{
    double area;
    if (!shape)
        return NAN;
    if (!GEOSArea_r(geos, shape, &area))
        area = NAN;
    GEOSGeom_destroy_r(geos, shape);
    return area;
}

static void destroy(GEOSContextHandle_t geos, GEOSGeometry *shape)
{
    if (shape)
        GEOSGeom_destroy_r(geos, shape);
}

double area_overlap(const Point *one, size_t one_count, const Point *other, size_t other_count)
{
    GEOSContextHandle_t geos = GEOS_init_r();
    if (!geos)
        return NAN;
    GEOSGeometry *a = polygon(geos, one, one_count), *b = polygon(geos, other, other_count);
    double area = area_of(geos, a && b ? GEOSIntersection_r(geos, a, b) : NULL);
    destroy(geos, a);
    destroy(geos, b);
    GEOS_finish_r(geos);
    return area;
}

/* NULL if one of the rings makes no polygon. */
static GEOSGeometry *collection(GEOSContextHandle_t geos, const Point *const *rings,
                                const size_t *counts, size_t count)
{
    GEOSGeometry **shapes = memory_new(count, sizeof(GEOSGeometry *)), *all = NULL;
    size_t have = 0;
    while (have < count && (shapes[have] = polygon(geos, rings[have], counts[have])))
        have++;
    if (have == count)
        all = GEOSGeom_createCollection_r(geos, GEOS_GEOMETRYCOLLECTION, shapes, (unsigned)count);
    for (size_t i = 0; !all && i < have; i++)
        GEOSGeom_destroy_r(geos, shapes[i]);
    free(shapes);
    return all;
}

double area_union(const Point *const *rings, const size_t *counts, size_t count)
{
    GEOSContextHandle_t geos = count < UINT_MAX ? GEOS_init_r() : NULL;
    if (!geos)
        return NAN;
    GEOSGeometry *all = collection(geos, rings, counts, count);
    double area = area_of(geos, all ? GEOSUnaryUnion_r(geos, all) : NULL);
    destroy(geos, all);
    GEOS_finish_r(geos);
    return area;
}

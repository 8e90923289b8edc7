/* Areas that overlap and that are left, by GEOS, as rolled.c rolls discs.
 * For src/figure and src/pair. */
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

/* NULL if GEOS fails; all that lies within `distance` of the line. */
static GEOSGeometry *beside(GEOSContextHandle_t geos, const Line *line, double distance)
{
    enum { QUARTER_STEPS = 32 };
    GEOSCoordSequence *points = is_finite(line->points, line->count) && line->count > 1
                                    ? GEOSCoordSeq_create_r(geos, (unsigned)line->count, 2)
                                    : NULL;
    for (size_t i = 0; points && i < line->count; i++)
        GEOSCoordSeq_setXY_r(geos, points, (unsigned)i, line->points[i].x, line->points[i].y);
    GEOSGeometry *path = points ? GEOSGeom_createLineString_r(geos, points) : NULL;
    GEOSGeometry *strip = path ? GEOSBuffer_r(geos, path, distance, QUARTER_STEPS) : NULL;
    destroy(geos, path);
    return strip;
}

double area_left(const Point *ring, size_t count, const Line *lines, const double *within,
                 size_t line_count)
{
    GEOSContextHandle_t geos = GEOS_init_r();
    if (!geos)
        return NAN;
    GEOSGeometry *left = polygon(geos, ring, count);
    for (size_t i = 0; left && i < line_count; i++) {
        if (within[i] == 0)
            continue;
        GEOSGeometry *strip = isfinite(within[i]) ? beside(geos, &lines[i], within[i]) : NULL;
        GEOSGeometry *less = strip ? GEOSDifference_r(geos, left, strip) : NULL;
        destroy(geos, strip);
        destroy(geos, left);
        left = less;
    }
    double area = area_of(geos, left);
    GEOS_finish_r(geos);
    return area;
}

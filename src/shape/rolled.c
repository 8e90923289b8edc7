/* The closing of a line with a disc, by GEOS: widened by the radius, narrowed by it
 * almost as
 * far again. For rounded.c. */
#include "shape/rolled.h"

#include <geos_c.h>
#include <limits.h>
#include <math.h>

/* Segments a quarter circle: chords lie 1 - cos(pi / 4n) of the radius inside it. */
enum { QUARTER = 64 };

static GEOSGeometry *line_of(GEOSContextHandle_t geos, const Point *points, size_t count)
{
    GEOSCoordSequence *sequence = GEOSCoordSeq_create_r(geos, (unsigned)count, 2);
    for (size_t i = 0; sequence && i < count; i++)
        if (!GEOSCoordSeq_setXY_r(geos, sequence, (unsigned)i, points[i].x, points[i].y)) {
            GEOSCoordSeq_destroy_r(geos, sequence);
            sequence = NULL;
        }
    return sequence ? GEOSGeom_createLineString_r(geos, sequence) : NULL;
}

/* Destroys the shape; NULL where GEOS fails or is given NULL. */
static GEOSGeometry *widened(GEOSContextHandle_t geos, GEOSGeometry *shape, double by)
{
    GEOSGeometry *wide = shape ? GEOSBuffer_r(geos, shape, by, QUARTER) : NULL;
    if (shape)
        GEOSGeom_destroy_r(geos, shape);
    return wide;
}

static bool take_ring(GEOSContextHandle_t geos, Arena *arena, const GEOSGeometry *shape,
                      Unreached *patch)
{
    const GEOSGeometry *ring = GEOSGetExteriorRing_r(geos, shape);
    const GEOSCoordSequence *sequence = ring ? GEOSGeom_getCoordSeq_r(geos, ring) : NULL;
    unsigned count;
    if (!sequence || !GEOSCoordSeq_getSize_r(geos, sequence, &count) || count < 4)
        return false;
    *patch = (Unreached){ARENA_NEW(arena, Point, count - 1), count - 1};
    for (unsigned i = 0; i + 1 < count; i++)
        if (!GEOSCoordSeq_getXY_r(geos, sequence, i, &patch->ring[i].x, &patch->ring[i].y))
            return false;
    return true;
}

size_t rolled_unreached(Arena *arena, const Point *points, size_t count, double radius,
                        Unreached **patches)
{
    size_t found = 0;
    *patches = NULL;
    GEOSContextHandle_t geos = count < UINT_MAX && isfinite(radius) ? GEOS_init_r() : NULL;
    if (!geos)
        return 0;
    GEOSGeometry *closed =
        widened(geos, widened(geos, line_of(geos, points, count), radius), ROLLED_BAND - radius);
    int parts = closed ? GEOSGetNumGeometries_r(geos, closed) : 0;
    *patches = ARENA_NEW(arena, Unreached, parts > 0 ? (size_t)parts : 0);
    for (int i = 0; i < parts; i++) {
        const GEOSGeometry *part = GEOSGetGeometryN_r(geos, closed, i);
        if (part && GEOSGeomTypeId_r(geos, part) == GEOS_POLYGON &&
            take_ring(geos, arena, part, &(*patches)[found]))
            found++;
    }
    if (closed)
        GEOSGeom_destroy_r(geos, closed);
    GEOS_finish_r(geos);
    return found;
}

/* Lines for the tests of src/shape: read from path data, or drawn by formula. */
#ifndef CORDWAIN_TESTS_UNIT_SHAPE_KIT_H
#define CORDWAIN_TESTS_UNIT_SHAPE_KIT_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "shape/bends.h"

#define DEGREES(radians) ((radians) * (180 / 3.14159265358979323846))
#define RADIANS(degrees) ((degrees) * (3.14159265358979323846 / 180))
#define ROWS_OF(table) (sizeof(table) / sizeof *(table))

static inline void near(const char *what, double got, double expected, double tolerance)
{
    if (!(fabs(got - expected) <= tolerance))
        fail_msg("%s: %.12g, not %.12g ± %g", what, got, expected, tolerance);
}

static inline Path path_from(Arena *arena, const char *data)
{
    Path path;
    size_t offset;
    Text problem = {0};
    if (!path_read(arena, data, strlen(data), &path, &offset, &problem))
        fail_msg("%s: refused at %zu: %s", data, offset, text_string(&problem));
    text_free(&problem);
    return path;
}

static inline Cubic straight_piece(Point a, Point b)
{
    return (Cubic){{a,
                    {a.x + (b.x - a.x) / 3, a.y + (b.y - a.y) / 3},
                    {a.x + (b.x - a.x) * 2 / 3, a.y + (b.y - a.y) * 2 / 3},
                    b}};
}

static inline Path polyline(Arena *arena, const Point *points, size_t count)
{
    Path path = {ARENA_NEW(arena, Cubic, count - 1), count - 1};
    for (size_t i = 0; i + 1 < count; i++)
        path.pieces[i] = straight_piece(points[i], points[i + 1]);
    return path;
}

/* A pen that draws arcs and straights end to end, turning by degrees to the left. */
typedef struct Pen {
    Arena *arena;
    Cubic *pieces;
    size_t count, capacity;
    Point at;
    double heading; /* rad */
} Pen;

static inline void pen_straight(Pen *pen, double length)
{
    Point end = {pen->at.x + length * cos(pen->heading), pen->at.y + length * sin(pen->heading)};
    *ARENA_PUSH(pen->arena, pen->pieces, pen->count, pen->capacity) = straight_piece(pen->at, end);
    pen->at = end;
}

static inline void pen_turn(Pen *pen, double degrees)
{
    pen->heading += RADIANS(degrees);
}

/* By pieces of at most 22.5 degrees. */
static inline void pen_arc(Pen *pen, double radius, double degrees)
{
    int count = (int)ceil(fabs(degrees) / 22.5);
    double step = RADIANS(degrees) / count, reach = 4.0 / 3 * radius * tan(fabs(step) / 4);
    double side = degrees > 0 ? 1 : -1;
    for (int i = 0; i < count; i++) {
        double h = pen->heading, k = h + step;
        Point a = pen->at;
        Point centre = {a.x - side * radius * sin(h), a.y + side * radius * cos(h)};
        Point b = {centre.x + side * radius * sin(k), centre.y - side * radius * cos(k)};
        *ARENA_PUSH(pen->arena, pen->pieces, pen->count, pen->capacity) =
            (Cubic){{a,
                     {a.x + reach * cos(h), a.y + reach * sin(h)},
                     {b.x - reach * cos(k), b.y - reach * sin(k)},
                     b}};
        pen->at = b;
        pen->heading = k;
    }
}

static inline Path pen_path(const Pen *pen)
{
    return (Path){pen->pieces, pen->count};
}

/* The same line, each piece cut at `t`. */
static inline Path subdivided(Arena *arena, const Path *path, double t)
{
    Path cut = {ARENA_NEW(arena, Cubic, 2 * path->count), 2 * path->count};
    for (size_t i = 0; i < path->count; i++) {
        Point p[4], *a = cut.pieces[2 * i].p, *b = cut.pieces[2 * i + 1].p;
        memcpy(p, path->pieces[i].p, sizeof p);
        for (int k = 0; k < 4; k++) {
            a[k] = p[0];
            b[3 - k] = p[3 - k];
            for (int j = 0; j + 1 < 4 - k; j++)
                p[j] =
                    (Point){p[j].x + (p[j + 1].x - p[j].x) * t, p[j].y + (p[j + 1].y - p[j].y) * t};
        }
        b[0] = a[3];
    }
    return cut;
}

/* Even noise of -1..1 that is the same everywhere. */
static inline double noise(uint32_t *state)
{
    *state = *state * 1664525u + 1013904223u;
    return (double)(*state >> 8) / (1 << 23) - 1;
}

#endif

/* Pieces joined edge to edge, as a surface. For src/measure and the making order. */
#include <math.h>
#include <string.h>

#include "shape/surface.h"

Surface *surface_new(Arena *arena, const double *lengths, const size_t *counts, size_t pieces)
{
    Surface *surface = ARENA_NEW(arena, Surface, 1);
    surface->arena = arena;
    surface->piece_count = pieces;
    surface->first = ARENA_NEW(arena, size_t, pieces + 1);
    for (size_t i = 0; i < pieces; i++)
        surface->first[i + 1] = surface->first[i] + counts[i];
    surface->stretch_count = surface->first[pieces];
    surface->stretches = ARENA_NEW(arena, RimStretch, surface->stretch_count);
    for (size_t i = 0; i < pieces; i++)
        for (size_t k = surface->first[i]; k < surface->first[i + 1]; k++)
            surface->stretches[k] = (RimStretch){i, lengths[k], SURFACE_FREE, false};
    return surface;
}

bool surface_join(Surface *surface, size_t stretch, size_t other, bool against)
{
    RimStretch *one = &surface->stretches[stretch], *two = &surface->stretches[other];
    if (stretch == other || one->joined != SURFACE_FREE || two->joined != SURFACE_FREE)
        return false;
    *one = (RimStretch){one->piece, one->length, other, against};
    *two = (RimStretch){two->piece, two->length, stretch, against};
    return true;
}

/* ---- Going round ---- */

/* One end of a stretch: its beginning or its end. */
typedef struct RimEnd {
    size_t stretch;
    bool end;
} RimEnd;

/* The end next to it at the same corner of its piece. */
static RimEnd beside(const Surface *surface, RimEnd at)
{
    size_t piece = surface->stretches[at.stretch].piece;
    size_t first = surface->first[piece], past = surface->first[piece + 1];
    if (at.end)
        return (RimEnd){at.stretch + 1 < past ? at.stretch + 1 : first, false};
    return (RimEnd){at.stretch > first ? at.stretch - 1 : past - 1, true};
}

/* The end that lies on it where its stretch is joined. */
static RimEnd opposite(const Surface *surface, RimEnd at)
{
    const RimStretch *stretch = &surface->stretches[at.stretch];
    return (RimEnd){stretch->joined, stretch->against ? !at.end : at.end};
}

/* From the end of a free stretch round its corner to the end of the next free one. */
static RimEnd next_free(const Surface *surface, RimEnd at)
{
    at = beside(surface, at);
    while (surface->stretches[at.stretch].joined != SURFACE_FREE)
        at = beside(surface, opposite(surface, at));
    return at;
}

/* ---- What hangs together ---- */

static size_t leader(size_t *of, size_t i)
{
    while (of[i] != i)
        i = of[i] = of[of[i]];
    return i;
}

static size_t *leaders(Arena *arena, size_t count)
{
    size_t *of = ARENA_NEW(arena, size_t, count);
    for (size_t i = 0; i < count; i++)
        of[i] = i;
    return of;
}

static size_t *bodies(const Surface *surface, Arena *arena)
{
    size_t *of = leaders(arena, surface->piece_count);
    for (size_t i = 0; i < surface->stretch_count; i++)
        if (surface->stretches[i].joined != SURFACE_FREE)
            of[leader(of, surface->stretches[i].piece)] =
                leader(of, surface->stretches[surface->stretches[i].joined].piece);
    return of;
}

bool surface_together(const Surface *surface, size_t piece, size_t other)
{
    Arena arena = {0};
    size_t *of = bodies(surface, &arena);
    bool together = leader(of, piece) == leader(of, other);
    arena_free(&arena);
    return together;
}

/* ---- Corners, and Euler's number ---- */

/* The corner at which a stretch ends, by that stretch's index; it begins at the one
 * where the stretch before it ends. */
static size_t corner(const Surface *surface, RimEnd at)
{
    return at.end ? at.stretch : beside(surface, at).stretch;
}

static size_t *corners(const Surface *surface, Arena *arena)
{
    size_t *of = leaders(arena, surface->stretch_count);
    for (size_t i = 0; i < surface->stretch_count; i++)
        for (int end = 0; end < 2 && surface->stretches[i].joined != SURFACE_FREE; end++) {
            RimEnd at = {i, end == 1};
            of[leader(of, corner(surface, at))] =
                leader(of, corner(surface, opposite(surface, at)));
        }
    return of;
}

/* Joined stretches stand twice in the count of stretches. */
static int euler_of(const Surface *surface, const bool *in, size_t pieces, Arena *arena)
{
    size_t *corner_of = corners(surface, arena), corner_count = 0, halves = 0;
    for (size_t i = 0; i < surface->stretch_count; i++)
        if (in[surface->stretches[i].piece]) {
            corner_count += leader(corner_of, i) == i;
            halves += surface->stretches[i].joined == SURFACE_FREE ? 2 : 1;
        }
    return (int)corner_count - (int)(halves / 2) + (int)pieces;
}

/* ---- Openings ---- */

static void follow_opening(const Surface *surface, size_t start, bool *seen, Body *body)
{
    double length = 0;
    RimEnd at = {start, true};
    do {
        seen[at.stretch] = true;
        length += surface->stretches[at.stretch].length;
        at = next_free(surface, at);
        at.end = !at.end;
    } while (at.stretch != start);
    body->openings++;
    body->opening = isnan(length) || isnan(body->opening) ? NAN : fmax(body->opening, length);
}

Body surface_body(const Surface *surface, size_t piece)
{
    Arena arena = {0};
    Body body = {0};
    size_t *of = bodies(surface, &arena);
    bool *in = ARENA_NEW(&arena, bool, surface->piece_count);
    bool *seen = ARENA_NEW(&arena, bool, surface->stretch_count);
    for (size_t i = 0; i < surface->piece_count; i++)
        body.pieces += in[i] = leader(of, i) == leader(of, piece);
    for (size_t i = 0; i < surface->stretch_count; i++)
        if (in[surface->stretches[i].piece] && surface->stretches[i].joined == SURFACE_FREE &&
            !seen[i])
            follow_opening(surface, i, seen, &body);
    body.shape = euler_of(surface, in, body.pieces, &arena);
    arena_free(&arena);
    return body;
}

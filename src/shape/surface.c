/* Pieces joined edge to edge, as a surface. For src/measure and the making order. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "shape/surface.h"

Surface *surface_new(Arena *arena, const double *lengths, const size_t *counts, size_t pieces)
{
    Surface *surface = ARENA_NEW(arena, Surface, 1);
    surface->arena = arena;
    surface->piece_count = pieces;
    surface->first = ARENA_NEW(arena, size_t, pieces + 1);
    surface->links = ARENA_NEW(arena, PieceLink, pieces);
    for (size_t i = 0; i < pieces; i++) {
        surface->first[i + 1] = surface->first[i] + counts[i];
        surface->links[i] = (PieceLink){.leader = i, .count = 1, .next = i};
    }
    surface->stretch_count = surface->first[pieces];
    surface->stretches = ARENA_NEW(arena, RimStretch, surface->stretch_count);
    surface->corners = ARENA_NEW(arena, size_t, surface->stretch_count);
    surface->seen = ARENA_NEW(arena, bool, surface->stretch_count);
    for (size_t i = 0; i < pieces; i++)
        for (size_t k = surface->first[i]; k < surface->first[i + 1]; k++)
            surface->stretches[k] = (RimStretch){i, lengths[k], SURFACE_FREE, false};
    return surface;
}

Surface *surface_copy(Arena *arena, const Surface *surface)
{
    Surface *copy = ARENA_NEW(arena, Surface, 1);
    *copy = *surface;
    copy->arena = arena;
    copy->stretches = ARENA_NEW(arena, RimStretch, surface->stretch_count + 1);
    copy->links = ARENA_NEW(arena, PieceLink, surface->piece_count + 1);
    memcpy(copy->stretches, surface->stretches, surface->stretch_count * sizeof *copy->stretches);
    memcpy(copy->links, surface->links, surface->piece_count * sizeof *copy->links);
    return copy;
}

/* ---- What hangs together ---- */

size_t surface_leader(const Surface *surface, size_t piece)
{
    while (surface->links[piece].leader != piece)
        piece = surface->links[piece].leader;
    return piece;
}

/* The smaller body goes under the larger, so that leaders stay near. */
static void hang_together(Surface *surface, size_t piece, size_t other)
{
    size_t one = surface_leader(surface, piece), two = surface_leader(surface, other);
    PieceLink *links = surface->links;
    if (one == two)
        return;
    size_t under = links[one].count < links[two].count ? one : two;
    size_t over = under == one ? two : one, next = links[one].next;
    links[under].leader = over;
    links[over].count += links[under].count;
    links[one].next = links[two].next;
    links[two].next = next;
}

bool surface_join(Surface *surface, size_t stretch, size_t other, bool against)
{
    RimStretch *one = &surface->stretches[stretch], *two = &surface->stretches[other];
    if (stretch == other || one->joined != SURFACE_FREE || two->joined != SURFACE_FREE)
        return false;
    *one = (RimStretch){one->piece, one->length, other, against};
    *two = (RimStretch){two->piece, two->length, stretch, against};
    hang_together(surface, one->piece, two->piece);
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

/* ---- Corners, and Euler's number ---- */

/* The corner at which a stretch ends, by that stretch's index; it begins at the one
 * where the stretch before it ends. */
static size_t corner(const Surface *surface, RimEnd at)
{
    return at.end ? at.stretch : beside(surface, at).stretch;
}

static size_t corner_leader(size_t *of, size_t i)
{
    while (of[i] != i)
        i = of[i] = of[of[i]];
    return i;
}

static void join_corners(const Surface *surface, size_t stretch)
{
    size_t *of = surface->corners;
    for (int end = 0; end < 2; end++) {
        RimEnd at = {stretch, end == 1};
        of[corner_leader(of, corner(surface, at))] =
            corner_leader(of, corner(surface, opposite(surface, at)));
    }
}

/* Joined stretches stand twice in the count of stretches. */
static void count_euler(const Surface *surface, const size_t *pieces, Body *body)
{
    size_t *of = surface->corners, corners = 0, halves = 0;
    for (size_t p = 0; p < body->pieces; p++)
        for (size_t i = surface->first[pieces[p]]; i < surface->first[pieces[p] + 1]; i++)
            if (surface->stretches[i].joined != SURFACE_FREE)
                join_corners(surface, i);
    for (size_t p = 0; p < body->pieces; p++)
        for (size_t i = surface->first[pieces[p]]; i < surface->first[pieces[p] + 1]; i++) {
            corners += corner_leader(of, i) == i;
            halves += surface->stretches[i].joined == SURFACE_FREE ? 2 : 1;
        }
    body->shape = (int)corners - (int)(halves / 2) + (int)body->pieces;
}

/* ---- Openings ---- */

static void follow_opening(const Surface *surface, size_t start, Body *body)
{
    double length = 0;
    RimEnd at = {start, true};
    do {
        surface->seen[at.stretch] = true;
        length += surface->stretches[at.stretch].length;
        at = next_free(surface, at);
        at.end = !at.end;
    } while (at.stretch != start);
    body->openings++;
    body->opening = isnan(length) || isnan(body->opening) ? NAN : fmax(body->opening, length);
}

static int by_index(const void *one, const void *other)
{
    const size_t *a = one, *b = other;
    return (*a > *b) - (*a < *b);
}

/* In order, so that lengths add up alike however the body came about. */
static size_t *pieces_of(const Surface *surface, size_t piece, Arena *arena, size_t *count)
{
    *count = surface->links[surface_leader(surface, piece)].count;
    size_t *pieces = ARENA_NEW(arena, size_t, *count);
    for (size_t i = 0; i < *count; i++, piece = surface->links[piece].next)
        pieces[i] = piece;
    qsort(pieces, *count, sizeof *pieces, by_index);
    return pieces;
}

Body surface_body(const Surface *surface, size_t piece)
{
    Arena arena = {0};
    Body body = {0};
    size_t *pieces = pieces_of(surface, piece, &arena, &body.pieces);
    for (size_t p = 0; p < body.pieces; p++)
        for (size_t i = surface->first[pieces[p]]; i < surface->first[pieces[p] + 1]; i++) {
            surface->corners[i] = i;
            surface->seen[i] = false;
        }
    for (size_t p = 0; p < body.pieces; p++)
        for (size_t i = surface->first[pieces[p]]; i < surface->first[pieces[p] + 1]; i++)
            if (surface->stretches[i].joined == SURFACE_FREE && !surface->seen[i])
                follow_opening(surface, i, &body);
    count_euler(surface, pieces, &body);
    arena_free(&arena);
    return body;
}

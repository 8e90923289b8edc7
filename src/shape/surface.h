/* Flat pieces sewn together edge to edge: is what comes of it still flat, and how
 * long are its openings? Topology of surfaces with a boundary, and lengths; pure
 * geometry, mm.
 *
 * A piece is a disc whose rim is cut into stretches. A stretch is free, or joined to
 * one other whole stretch. Pieces hanging together make a body; it can be laid flat
 * as long as it is a disc (corners - stretches + pieces = 1, a joined pair of
 * stretches counted once). Where it is not, it is a ring or more, with openings:
 * the closed runs of free stretches. What is joined to the middle of a piece, or to
 * a stretch that is joined already, hangs on and changes no body. */
#ifndef CORDWAIN_SHAPE_SURFACE_H
#define CORDWAIN_SHAPE_SURFACE_H

#include <stdbool.h>

#include "base/memory.h"

typedef struct RimStretch {
    size_t piece;
    double length;  /* NaN: unknown */
    size_t joined;  /* index of the other stretch; SURFACE_FREE */
    bool against;   /* joined so that the two run against each other */
} RimStretch;

#define SURFACE_FREE ((size_t)-1)

/* How a piece hangs together with others. */
typedef struct PieceLink {
    size_t leader; /* a piece nearer to the one that stands for the body; itself: it is the one */
    size_t count;  /* pieces of the body, where it stands for it */
    size_t next;   /* piece of the same body, all of them in turn */
} PieceLink;

typedef struct Surface {
    Arena *arena;
    RimStretch *stretches; /* of each piece in order round it, one piece after the other */
    size_t *first;         /* by piece: its first stretch; one more at the end */
    PieceLink *links;      /* by piece */
    size_t piece_count, stretch_count;
    size_t *corners;       /* by stretch: room for surface_body */
    bool *seen;
} Surface;

/* `lengths`: of all rims, `counts[i]` stretches for piece i (at least one each). All
 * free. Owned by the arena. */
Surface *surface_new(Arena *arena, const double *lengths, const size_t *counts, size_t pieces);
/* One that can be joined on its own; shares what joining does not change. */
Surface *surface_copy(Arena *arena, const Surface *surface);
/* False where one of them is joined already: nothing is done. */
bool surface_join(Surface *surface, size_t stretch, size_t other, bool against);

/* What hangs together with one piece. */
typedef struct Body {
    size_t pieces, openings;
    int shape;      /* Euler's number: 1 a disc, 0 a ring, less: more than one hole; 2: closed all
                       round, no opening */
    double opening; /* length of the longest opening; 0: none, NaN: unknown */
} Body;
Body surface_body(const Surface *surface, size_t piece);
/* The piece that stands for its body: the same for all that hang together. */
size_t surface_leader(const Surface *surface, size_t piece);

#endif

/* Which parts, edges, seams and rows a change touches: those whose values it changes, and
 * those that are joined to them, whatever becomes of their findings. For the screen and
 * its tests. Knows judge and everything below. */
#ifndef CORDWAIN_COMPARE_JOINED_H
#define CORDWAIN_COMPARE_JOINED_H

#include "judge/judge.h"

typedef struct TouchedPlace {
    Subject subject;  /* part, edge, seam or row */
    const char *name; /* "vamp.throat" */
    const char *why;  /* "left", "stack, climb and 2 more", "joined to vamp.throat" */
    bool changed;     /* what is written or drawn of it differs: the change itself */
} TouchedPlace;

typedef struct TouchedPlaces {
    const TouchedPlace *items; /* what changed first; then seams, edges, rows, parts */
    size_t count, changed;     /* changed: how many of them are the change itself */
} TouchedPlaces;

/* Lives in the arena, no longer than the judgements. */
TouchedPlaces touched_places(Arena *arena, const Judgement *before, const Judgement *after);
/* "touches seam throat, edge vamp-lining.throat, row throat.1 and 4 more" without what
 * changed itself; at most `most` are named. Nothing where nothing is. */
void touched_say(Text *text, const TouchedPlaces *places, size_t most);

#endif

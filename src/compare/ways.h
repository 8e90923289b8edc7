/* Several ways to build a shoe side by side: alternatives, revisions of a file, factories.
 * Which factory can build which way, what differs, and the numbers per pair. Knows
 * judge and pair and everything below; nothing of files or screens. */
#ifndef CORDWAIN_COMPARE_WAYS_H
#define CORDWAIN_COMPARE_WAYS_H

#include "compare/compare.h"
#include "pair/pair.h"

/* What a way comes to at one factory. */
typedef struct WayCell {
    const Judgement *judgement;
    Verdict worst;            /* of all findings; pass where none is open */
    const char *word;         /* "cannot be built", "not known", "tight", "can be built" */
} WayCell;

/* Ways down, factories across; `judgements` of way w at factory f: [w * factories + f]. */
typedef struct Ways {
    Arena arena;
    const char **names;       /* of ways, as given */
    const char **factories;   /* "no factory" where none is named */
    size_t way_count, factory_count;
    WayCell *cells;
} Ways;

/* Names and judgements must outlive the ways. */
Ways *ways_new(const char *const *names, const Judgement *const *judgements, size_t way_count,
               size_t factory_count);
void ways_free(Ways *ways);
const WayCell *way_cell(const Ways *ways, size_t way, size_t factory);

/* A number per pair in every way, at the first factory; NULL where a way has none of that
 * key. Owned by the arena. */
typedef struct WayNumber {
    const PairNumber **of;    /* one a way */
    const PairNumber *any;    /* of the first way that has it: group, key, name, unit */
} WayNumber;
size_t way_numbers(const Ways *ways, Arena *arena, WayNumber **numbers);

#endif

/* What was worked out before, found again by all that it follows from. For the files
 * of src/measure only.
 *
 * A key holds the very bits of what a thing follows from (numbers, points, what lines
 * are called), never where something lies in memory or what it is named in a style:
 * what is found by it is right whatever happened since, so that nothing is ever
 * declared stale. Values hold no pointers but into themselves. */
#ifndef CORDWAIN_MEASURE_SHELF_H
#define CORDWAIN_MEASURE_SHELF_H

#include <stdint.h>

#include "measure/measure.h"

/* What one measuring found or kept: it stays at least as long as this does, or as long as
 * another measuring holds it. */
typedef struct Held Held;

/* A measuring begins, and is done: then the shelf lets go of all but the two latest, and
 * where it has grown too large of what nobody holds. */
Held *held_new(MeasureShelf *shelf);
void held_settle(Held *held);
void held_free(Held *held);

/* The first word of a key: what it is the key of. */
typedef enum KeyOf {
    KEY_POINTS,
    KEY_PATH,
    KEY_SHAPE,
    KEY_HALF,
    KEY_BEND,
    KEY_RADIUS,
    KEY_CHORD,
    KEY_BESIDE,
    KEY_LEG,
    KEY_LAP,
    KEY_LEVELS,
    KEY_GAP,
    KEY_ENDS,
    KEY_ROWS,
    KEY_TOPS,
    KEY_CLEAR,
    KEY_ALONG,
    KEY_NEAR,
    KEY_ON,
    KEY_MET,
    KEY_PART,
    KEY_THICK,
    KEY_THICK_EDGE,
    KEY_SEAM,
    KEY_LEG_NEAR,
    KEY_WALK,
    KEY_MARKS,
    KEY_PIECE,
    KEY_WORLD,
    KEY_STAGE,
    KEY_ROW_ASKED,
    KEY_ROW_MET,
    KEY_ROW,
    KEY_EDGE
} KeyOf;

/* One word of a key; a number counts by its bits. */
typedef union KeyWord {
    uint64_t whole;
    double number;
} KeyWord;

/* A key that grows in its arena. */
typedef struct Key {
    Arena *arena;
    KeyWord *words;
    size_t count, capacity;
} Key;

Key key_new(Arena *arena, KeyOf of);
void key_widen(Key *key);

static inline void key_whole(Key *key, uint64_t whole)
{
    if (key->count == key->capacity)
        key_widen(key);
    key->words[key->count++].whole = whole;
}

static inline void key_number(Key *key, double number)
{
    if (key->count == key->capacity)
        key_widen(key);
    key->words[key->count++].number = number;
}

/* The value kept under a key; NULL: none. */
const void *held_find(Held *held, const KeyWord *key, size_t words);
/* Zeroed room for the value of a key that was not found, to be filled at once. */
void *held_keep(Held *held, const KeyWord *key, size_t words, size_t size);
/* A number that the shelf never gives again; not 0. */
uint64_t held_number(Held *held);
/* The same number whenever the key is the same and still held, else a new one. */
uint64_t held_number_of(Held *held, const KeyWord *key, size_t words);

#endif

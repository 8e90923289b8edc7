/* A table from keys to what was worked out from them, and who holds it.
 * For the files of src/measure only. */
#include "measure/shelf.h"

#include <stdlib.h>
#include <string.h>

typedef struct Entry {
    struct Entry *next; /* in its bucket */
    uint64_t hash;
    const Held *last; /* that took hold of it last: each lists it once in a row */
    size_t holds, words;
    max_align_t bytes[]; /* the key, then the value */
} Entry;

/* What follows from much is found without asking for what that follows from, which may be
 * asked for again by the next edit: nothing is dropped before there is TIMES_MOST as much as
 * one measuring ever asked for. */
enum { LATEST = 2, TIMES_MOST = 4, BUCKETS_FIRST = 1024 };

struct MeasureShelf {
    Entry **buckets;
    size_t bucket_count, entry_count;
    size_t most; /* entries that one measuring asked for */
    uint64_t numbers;
    Held *latest[LATEST]; /* the newest first */
};

struct Held {
    MeasureShelf *shelf;
    size_t users; /* its measuring, and the shelf while it is one of the latest */
    Entry **items;
    size_t count, capacity;
};

/* ---- Keys ---- */

void key_widen(Key *key)
{
    key->words = arena_room(key->arena, key->words, key->count, &key->capacity, sizeof *key->words);
}

Key key_new(Arena *arena, KeyOf of)
{
    Key key = {.arena = arena, .capacity = 64};
    key.words = arena_alloc_unset(arena, key.capacity, sizeof *key.words);
    key_whole(&key, of);
    return key;
}

/* ---- Entries ---- */

static size_t value_offset(size_t words)
{
    size_t align = _Alignof(max_align_t);
    return (words * sizeof(KeyWord) + align - 1) / align * align;
}

static void *value_of(Entry *entry)
{
    return (char *)entry->bytes + value_offset(entry->words);
}

/* Multiplying by an odd number near 2^64 over the golden ratio spreads low bits upwards,
 * shifting brings them down again. */
static uint64_t hash_of(const KeyWord *key, size_t words)
{
    uint64_t hash = words;
    for (size_t i = 0; i < words; i++) {
        hash = (hash ^ key[i].whole) * 0x9E3779B97F4A7C15u;
        hash ^= hash >> 29;
    }
    return hash;
}

static Entry **bucket_of(const MeasureShelf *shelf, uint64_t hash)
{
    return &shelf->buckets[hash & (shelf->bucket_count - 1)];
}

static void put_in(MeasureShelf *shelf, Entry *entry)
{
    Entry **bucket = bucket_of(shelf, entry->hash);
    entry->next = *bucket;
    *bucket = entry;
}

static void widen(MeasureShelf *shelf)
{
    Entry **old = shelf->buckets;
    size_t count = shelf->bucket_count;
    shelf->bucket_count = count ? 2 * count : BUCKETS_FIRST;
    shelf->buckets = memory_new(shelf->bucket_count, sizeof *shelf->buckets);
    for (size_t i = 0; i < count; i++)
        while (old[i]) {
            Entry *entry = old[i];
            old[i] = entry->next;
            put_in(shelf, entry);
        }
    free(old);
}

/* All that nobody holds. */
static void drop_unheld(MeasureShelf *shelf)
{
    for (size_t i = 0; i < shelf->bucket_count; i++)
        for (Entry **at = &shelf->buckets[i]; *at;) {
            Entry *entry = *at;
            if (entry->holds > 0) {
                at = &entry->next;
                continue;
            }
            *at = entry->next;
            shelf->entry_count--;
            free(entry);
        }
}

static void take_hold(Held *held, Entry *entry)
{
    if (entry->last == held)
        return;
    if (held->count == held->capacity) {
        held->capacity = held->capacity ? 2 * held->capacity : BUCKETS_FIRST;
        held->items = memory_grow(held->items, held->capacity, sizeof(Entry *));
    }
    held->items[held->count++] = entry;
    entry->last = held;
    entry->holds++;
}

const void *held_find(Held *held, const KeyWord *key, size_t words)
{
    uint64_t hash = hash_of(key, words);
    Entry *entry = *bucket_of(held->shelf, hash);
    while (entry && !(entry->hash == hash && entry->words == words &&
                      memcmp(entry->bytes, key, words * sizeof *key) == 0))
        entry = entry->next;
    if (!entry)
        return NULL;
    take_hold(held, entry);
    return value_of(entry);
}

void *held_keep(Held *held, const KeyWord *key, size_t words, size_t size)
{
    MeasureShelf *shelf = held->shelf;
    if (shelf->entry_count >= shelf->bucket_count)
        widen(shelf);
    Entry *entry = memory_new(1, sizeof *entry + value_offset(words) + size);
    entry->hash = hash_of(key, words);
    entry->words = words;
    memcpy(entry->bytes, key, words * sizeof *key);
    put_in(shelf, entry);
    shelf->entry_count++;
    take_hold(held, entry);
    return value_of(entry);
}

uint64_t held_number(Held *held)
{
    return ++held->shelf->numbers;
}

uint64_t held_number_of(Held *held, const KeyWord *key, size_t words)
{
    const uint64_t *found = held_find(held, key, words);
    if (found)
        return *found;
    uint64_t *number = held_keep(held, key, words, sizeof *number);
    *number = held_number(held);
    return *number;
}

/* ---- Who holds them ---- */

Held *held_new(MeasureShelf *shelf)
{
    Held *held = memory_new(1, sizeof *held);
    held->shelf = shelf;
    held->users = 1;
    return held;
}

void held_free(Held *held)
{
    if (!held || --held->users > 0)
        return;
    for (size_t i = 0; i < held->count; i++) {
        Entry *entry = held->items[i];
        if (entry->last == held)
            entry->last = NULL;
        entry->holds--;
    }
    free(held->items);
    free(held);
}

void held_settle(Held *held)
{
    MeasureShelf *shelf = held->shelf;
    Held *oldest = shelf->latest[LATEST - 1];
    memmove(&shelf->latest[1], &shelf->latest[0], (LATEST - 1) * sizeof(Held *));
    shelf->latest[0] = held;
    held->users++;
    held_free(oldest);
    shelf->most = held->count > shelf->most ? held->count : shelf->most;
    if (shelf->entry_count > TIMES_MOST * shelf->most)
        drop_unheld(shelf);
}

/* ---- The shelf ---- */

MeasureShelf *measure_shelf_new(void)
{
    MeasureShelf *shelf = memory_new(1, sizeof *shelf);
    widen(shelf);
    return shelf;
}

void measure_shelf_free(MeasureShelf *shelf)
{
    if (!shelf)
        return;
    for (int i = 0; i < LATEST; i++)
        held_free(shelf->latest[i]);
    drop_unheld(shelf);
    free(shelf->buckets);
    free(shelf);
}

/* What is asked of lines, worked out once for equal lines.
 * For the files of src/measure only. */
#include "measure/once.h"

#include <string.h>

#include "shape/area.h"

#define WORDS(key) (sizeof(key) / sizeof(KeyWord))

static Lines *room_for(Once once, const KeyWord *key, size_t words, size_t bytes)
{
    return once.held ? held_keep(once.held, key, words, bytes) : arena_alloc(once.arena, bytes, 1);
}

const Lines *once_keep(Once once, const KeyWord *key, size_t words, const Line *lines,
                       const double *lengths, size_t count)
{
    size_t bytes = sizeof(Lines) + count * (sizeof(Line) + sizeof(double));
    for (size_t i = 0; i < count; i++)
        bytes += line_bytes(&lines[i]);
    Lines *kept = room_for(once, key, words, bytes);
    Line *items = (Line *)(kept + 1);
    double *own = (double *)(items + count);
    char *memory = (char *)(own + count);
    for (size_t i = 0; i < count; memory += line_bytes(&lines[i++])) {
        items[i] = line_put(memory, &lines[i]);
        own[i] = lengths ? lengths[i] : 0;
        if (once.held && !items[i].number)
            items[i].number = held_number(once.held);
    }
    *kept = (Lines){once.held ? held_number(once.held) : 0, count, items, own};
    return kept;
}

/* Numbers of what is a row of points, by all their coordinates. */
static uint64_t number_of(Once once, KeyOf of, const Point *points, size_t count)
{
    if (!once.held)
        return 0;
    Arena arena = {0};
    size_t words = 1 + 2 * count;
    KeyWord *key = ARENA_NEW(&arena, KeyWord, words);
    key[0].whole = of;
    memcpy(key + 1, points, count * sizeof *points);
    uint64_t number = held_number_of(once.held, key, words);
    arena_free(&arena);
    return number;
}

uint64_t once_points(Once once, const Line *line)
{
    return number_of(once, KEY_POINTS, line->points, line->count);
}

uint64_t once_path(Once once, const Path *path)
{
    return number_of(once, KEY_PATH, path->pieces[0].p, 4 * path->count);
}

const Lines *once_beside(Once once, const Line *line, double distance)
{
    const KeyWord key[] = {{KEY_BESIDE}, {line->number}, {.number = distance}};
    bool known = once.held && line->number;
    const Lines *found = known ? held_find(once.held, key, WORDS(key)) : NULL;
    if (found)
        return found;
    Arena arena = {0};
    Line *pieces;
    size_t count = area_beside(&arena, line, distance, &pieces);
    for (size_t i = 0; i < count; i++)
        pieces[i].number = once_points(once, &pieces[i]);
    found =
        once_keep(known ? once : (Once){NULL, once.arena}, key, WORDS(key), pieces, NULL, count);
    arena_free(&arena);
    return found;
}

typedef struct Places {
    size_t count;
    double at[];
} Places;

size_t once_levels(Once once, const Line *walk, const Line *line, double level, const double **at)
{
    const KeyWord key[] = {{KEY_LEVELS}, {walk->number}, {line->number}, {.number = level}};
    bool known = once.held && walk->number && line->number;
    const Places *found = known ? held_find(once.held, key, WORDS(key)) : NULL;
    if (!found) {
        double *own;
        size_t count = line_levels(once.arena, walk, line, level, &own);
        *at = own;
        if (!known)
            return count;
        Places *kept = held_keep(once.held, key, WORDS(key), sizeof *kept + count * sizeof *own);
        kept->count = count;
        memcpy(kept->at, own, count * sizeof *own);
        found = kept;
    }
    *at = found->at;
    return found->count;
}

double once_gap(Once once, const Line *one, const Line *other, double within)
{
    const KeyWord key[] = {{KEY_GAP}, {one->number}, {other->number}, {.number = within}};
    Box a = line_box(one), b = line_box(other);
    if (box_gap2(&a, &b) >= within * within)
        return within;
    bool known = once.held && one->number && other->number;
    const double *found = known ? held_find(once.held, key, WORDS(key)) : NULL;
    if (found)
        return *found;
    double gap = line_gap_within(one, other, within);
    if (known)
        *(double *)held_keep(once.held, key, WORDS(key), sizeof gap) = gap;
    return gap;
}

bool once_may_near(Once once, const Line *one, const Line *other, double within)
{
    const KeyWord key[] = {{KEY_NEAR}, {one->number}, {other->number}, {.number = within}};
    Box a = line_box(one), b = line_box(other);
    if (box_gap2(&a, &b) > within * within)
        return false;
    bool known = once.held && one->number && other->number;
    const uint64_t *found = known ? held_find(once.held, key, WORDS(key)) : NULL;
    if (found)
        return *found;
    bool near = line_may_near(one, other, within);
    if (known)
        *(uint64_t *)held_keep(once.held, key, WORDS(key), sizeof(uint64_t)) = near;
    return near;
}

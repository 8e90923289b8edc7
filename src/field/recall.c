/* Remembers what records were read as, by node. For src/field/record.c and the
 * style. */
#include "field/recall.h"

#include <stdint.h>

typedef struct Given {
    size_t place; /* in the record's values */
    Value value;
} Given;

typedef struct Reading {
    const YamlNode *node; /* NULL: an empty slot */
    Subject subject;
    Given *given; /* the values that are not absent */
    size_t count;
} Reading;

struct Recall {
    Arena *arena;
    Reading *slots; /* by node: open addressing, at most half full; a power of two */
    size_t count, slot_count;
};

Recall *recall_new(Arena *arena)
{
    Recall *recall = ARENA_NEW(arena, Recall, 1);
    recall->arena = arena;
    return recall;
}

/* The slot of the node, or the empty one where it belongs. */
static Reading *slot_of(Reading *slots, size_t slot_count, const YamlNode *node)
{
    size_t at = (size_t)((uintptr_t)node / sizeof *node) & (slot_count - 1);
    while (slots[at].node && slots[at].node != node)
        at = (at + 1) & (slot_count - 1);
    return &slots[at];
}

static void make_room(Recall *recall)
{
    if (recall->count * 2 < recall->slot_count)
        return;
    size_t room = recall->slot_count ? recall->slot_count * 2 : 256;
    Reading *slots = ARENA_NEW(recall->arena, Reading, room);
    for (size_t i = 0; i < recall->slot_count; i++)
        if (recall->slots[i].node)
            *slot_of(slots, room, recall->slots[i].node) = recall->slots[i];
    recall->slots = slots;
    recall->slot_count = room;
}

bool recall_values(const Recall *recall, Record *record, const YamlNode *node)
{
    if (recall->slot_count == 0)
        return false;
    const Reading *reading = slot_of(recall->slots, recall->slot_count, node);
    if (!reading->node || reading->subject != record->subject)
        return false;
    for (size_t i = 0; i < reading->count; i++)
        record->values[reading->given[i].place] = reading->given[i].value;
    return true;
}

void recall_keep(Recall *recall, const Arena *arena, const Record *record, const YamlNode *node)
{
    if (arena != recall->arena)
        return;
    make_room(recall);
    Reading *reading = slot_of(recall->slots, recall->slot_count, node);
    if (reading->node)
        return;
    size_t count = (size_t)(field_end(record->subject) - record->first);
    *reading = (Reading){.node = node, .subject = record->subject};
    reading->given = ARENA_NEW(recall->arena, Given, count);
    for (size_t i = 0; i < count; i++)
        if (record->values[i].presence != VALUE_ABSENT)
            reading->given[reading->count++] = (Given){i, record->values[i]};
    recall->count++;
}

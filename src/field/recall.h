/* The values of records by the node they were read from: a node that stands in
 * several alternatives of a style, or is shared by a mirrored part, is read once.
 * For src/field/record.c; the style makes one. */
#ifndef CORDWAIN_FIELD_RECALL_H
#define CORDWAIN_FIELD_RECALL_H

#include "field/record.h"

/* An empty one, which lives in the arena. Only readers of this arena add to it:
 * the nodes and values that it knows are there as long as it is. */
Recall *recall_new(Arena *arena);
/* Gives the record the values that the node was read as before. False if it was not. */
bool recall_values(const Recall *recall, Record *record, const YamlNode *node);
/* Keeps the values, as somebody who uses `arena` has read them from the node. */
void recall_keep(Recall *recall, const Arena *arena, const Record *record, const YamlNode *node);

#endif

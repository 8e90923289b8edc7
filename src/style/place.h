/* Where values of records stand in a style's file, and which value a path leads to.
 * For src/remedy and src/review. */
#ifndef CORDWAIN_STYLE_PLACE_H
#define CORDWAIN_STYLE_PLACE_H

#include "style/style.h"

/* A value of the style: of a record, or NULL for what is no field. */
typedef struct ValuePlace {
    const Record *record;
    FieldId field;
} ValuePlace;

/* The value that a path leads to as written ("parts.vamp.edges.throat.left", below `but`
 * too); record NULL if it is none of a field. */
ValuePlace place_of_path(const Style *style, const char *path);
/* The path to change for a value, and the record whose value that is: of a part or seam
 * that mirrors another that one's, unless its own `but` gives it. `tree` is the style's with
 * its mirrors as they are written. NULL where no path leads there. */
const char *place_path(Arena *arena, const Style *style, const YamlNode *tree,
                       const Record *record, FieldId field, const Record **changes);
/* The part, seam, material … that the record belongs to; itself if it is one. */
const Record *place_top(const Record *record);
/* One path is the other, or leads to something in it. */
bool place_within(const char *path, const char *outer);

#endif

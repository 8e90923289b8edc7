/* What the files of the style's reader share. For src/style alone. */
#ifndef CORDWAIN_STYLE_STYLE_INSIDE_H
#define CORDWAIN_STYLE_STYLE_INSIDE_H

#include "style/style.h"

typedef struct StyleReader {
    ReadContext context; /* its arena is the style's */
    Style *style;
    const YamlNode *root; /* patched, mirrors written out */
} StyleReader;

/* An error at the node. */
void style_error(const StyleReader *reader, const YamlNode *at, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* The mapping below a key of the root; NULL if it is absent or, after a
 * message, no mapping. */
const YamlNode *style_section(const StyleReader *reader, const char *name);
/* Reads the mapping of a record, or sees that it is unknown as a whole (then
 * the record is a placeholder). False if it is unknown or wrong. */
bool style_fill(const StyleReader *reader, Record *record, const char *const *extra,
                size_t extra_count);
/* The record of `subject` that the scalar names; NULL after a message. */
Record *style_named(const StyleReader *reader, Subject subject, const YamlNode *node);

void style_read_materials(StyleReader *reader);
/* Parts with their edges and bends; then what they name. */
void style_read_parts(StyleReader *reader);
void style_read_holes(StyleReader *reader);
void style_read_seams(StyleReader *reader);
void style_read_sizes(StyleReader *reader);
void style_read_colourways(StyleReader *reader);
/* Sheets, drawing, order, keeps. */
void style_read_plan(StyleReader *reader);
/* "x", "y" or an angle such as "17 deg". */
bool style_is_axis(const YamlNode *node);

#endif

/* What the files of the style's reader share. For src/style alone. */
#ifndef CORDWAIN_STYLE_STYLE_INSIDE_H
#define CORDWAIN_STYLE_STYLE_INSIDE_H

#include "style/style.h"

/* What was met last in a walk that has a stamp of its own. */
typedef struct StyleMark {
    size_t stamp;
    const YamlNode *node;
} StyleMark;

typedef struct StyleReader {
    ReadContext context; /* its arena is the style's */
    Style *style;
    const YamlNode *root; /* patched, mirrors written out */
    StyleMark *edges, *parts; /* by index, while seams are read */
    size_t stamp;
} StyleReader;

/* An error at the node. */
void style_error(const StyleReader *reader, const YamlNode *at, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* The same with a second place that is concerned. */
void style_error_two(const StyleReader *reader, const YamlNode *at, const YamlNode *other,
                     const char *format, ...) __attribute__((format(printf, 4, 5)));
/* No further error of this file is kept: what would explain it is not worked out. */
bool style_full(const StyleReader *reader, const YamlNode *at);
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
/* Sizes of the run; 1 where none are given or they make no run. */
size_t style_size_count(const Sizes *sizes);
/* "x", "y" or an angle such as "17 deg". */
bool style_is_axis(const YamlNode *node);

#endif

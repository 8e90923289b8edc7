/* What the files of the style's reader share. For src/style alone. */
#ifndef CORDWAIN_STYLE_STYLE_INSIDE_H
#define CORDWAIN_STYLE_STYLE_INSIDE_H

#include "style/style.h"

/* What was met last in a walk that has a stamp of its own. */
typedef struct StyleMark {
    size_t stamp;
    const YamlNode *node;
} StyleMark;

/* What is drawn, read and measured once for a style and its alternatives, all of
 * it owned by the arena. */
StyleShelf *style_shelf(Arena *arena);
/* Before a reading, whose values live in the arena. */
void style_shelf_begin(StyleShelf *shelf, Arena *arena);
/* After it: what could not be read or measured is tried, and told, again next time. */
void style_shelf_end(StyleShelf *shelf);

typedef struct StyleReader {
    ReadContext context; /* its arena is the style's */
    Style *style;
    StyleShelf *shelf;
    const YamlNode *written; /* patched, mirrors as they are written */
    const YamlNode *root;    /* patched, mirrors written out */
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
/* mapping_check() of what is called by these two words, such as seam and collar. */
bool style_mapping(const StyleReader *reader, const YamlNode *node, const char *what,
                   const char *name);
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
/* Order, keeps. */
void style_read_plan(StyleReader *reader);
/* Sheets; after parts. */
void style_read_sheets(StyleReader *reader);
/* The sheet that the part lies on; NULL if none. */
const Sheet *style_sheet(const Style *style, const Record *part);
/* Drawn lines: outlines of parts, and what they measure in place of typed lengths,
 * bends and widths; after parts and sheets, before what asks how long an edge is. */
void style_read_drawn(StyleReader *reader);
/* A fold line is no edge: the part goes on there. */
bool style_is_fold_line(const Record *edge);
/* Sizes of the run; 1 where none are given or they make no run. */
size_t style_size_count(const Sizes *sizes);
/* "x", "y" or an angle such as "17 deg". */
bool style_is_axis(const YamlNode *node);

#endif

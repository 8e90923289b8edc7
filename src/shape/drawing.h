/* Drawings: an SVG file read through expat into named paths in mm, y upwards.
 * Knows base and path.
 *
 * Width and height give the unit (mm, cm, in, pt, px at 96 to the inch), with
 * viewBox one scale; no unit, a percentage or two different scales is an error.
 * Without viewBox a unit of the drawing is a px, which a notice says.
 * <g id="PART"> holds <path id="EDGE"> or id="PART.EDGE"; groups may carry
 * transforms and stand in wrapper groups: the innermost group with an id names
 * the part, and PART.EDGE wins over it. Ids: letters, digits, '-'; they may not
 * recur within a part. Whether a part or edge of that name exists is for the
 * reader of the style to say; a path with an id that names no part gets a notice.
 * Groups and paths without id, text, circles, shapes, whatever is defined but not
 * drawn (defs, symbols, clips, masks, patterns, markers) and other vocabularies
 * are ignored; a line or polyline with an id in a part gets a notice.
 * Refused with advice: a document type, entities, `use`, nested svg, style
 * sheets, transforms in style attributes, scripts, references to other files,
 * encodings other than UTF-8. */
#ifndef CORDWAIN_SHAPE_DRAWING_H
#define CORDWAIN_SHAPE_DRAWING_H

#include <math.h>

#include "base/message.h"
#include "shape/path.h"

enum { DRAWING_FILE_MOST = 8 << 20, DRAWING_PATHS_MOST = 5000, DRAWING_DEPTH_MOST = 64 };

/* No coordinate may lie further from the drawing's origin: a unit is wrong. */
#define DRAWING_REACH_MM 10000.0

/* Numbers of a drawing are written to some thousandths of a mm; what is measured on
 * its lines is not known any better. */
static inline double drawing_rounded(double mm)
{
    return rint(mm * 1000) / 1000;
}

typedef struct DrawnEdge {
    const char *part, *edge; /* ids */
    Path path;
    Where at;                /* of the path element */
    bool used;               /* set by the reader of the style */
} DrawnEdge;

typedef struct Drawing {
    const char *file;
    DrawnEdge *edges;        /* in the order of the file */
    size_t count, capacity;
} Drawing;

/* NULL with messages; notices alone do not refuse. Owned by the arena. */
Drawing *drawing_read(Arena *arena, const char *path, Messages *messages);
Drawing *drawing_read_bytes(Arena *arena, const char *path, const char *bytes, size_t length,
                            Messages *messages);
DrawnEdge *drawing_find(Drawing *drawing, const char *part, const char *edge);

#endif

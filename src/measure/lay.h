/* The parts of a style as they lie on their sheets in one size: outlines, lines
 * beside them, and which layers cover a place. Knows base, shape, field and style.
 *
 * Frames are those of the sheets: mm, y up. What backs another part, or lies as a
 * tape along an edge, lies where that part does, tape inward from the line.
 *
 * A size stretches seam lines along and across (from the origin of the sheet's
 * frame, along its axis); what is left beyond them keeps its base-size width: the
 * cut line of an underlay is its lap line stretched, with the same strip redrawn. */
#ifndef CORDWAIN_MEASURE_LAY_H
#define CORDWAIN_MEASURE_LAY_H

#include "shape/line.h"
#include "style/style.h"

/* Ratios of this size's last to the base size's; 1 and 1 in the base size. */
typedef struct Stretch2 {
    double along, across;
} Stretch2;

typedef struct LaidEdge {
    const Record *edge;
    Line line;           /* part on its left */
    double length;       /* mm, of the stretched line before it was brought to its corners: what
                            is sewn to it grows alike */
} LaidEdge;

/* A part drawn to a fold line lies there twice: its other half on the sheet of the
 * other side, mirrored as mirrored parts are, where there is one; else on its own
 * sheet, beyond the fold line. */
typedef struct LaidPart {
    const Record *part;
    bool other_half;
    const DrawnPart *drawn;
    const Sheet *sheet;  /* NULL: it lies on none, and nothing lies on it */
    Point *ring;         /* closed polyline without its last point, counterclockwise */
    size_t ring_count;
    Line outline;        /* the same, closed */
    LaidEdge *edges;
    size_t edge_count;
    Box box;
    uint64_t shape;      /* 0, or what its edges' lines together are called, as Line.number */
} LaidPart;

typedef struct Lay {
    LaidPart *parts;           /* in the order of style->drawn, other halves after their parts */
    size_t count;
    bool whole;                /* false: of some part nobody knows how it grows, or of some other
                                  half where it lies; that is missing */
    const LaidPart **of_part;  /* by part index; NULL: not drawn */
    const LaidEdge **of_edge;  /* by edge index; NULL: not drawn */
} Lay;

/* The matrix that stretches along and across an axis at `along` rad through the
 * origin. Along NaN: both ways alike, by `stretch.along`. */
Matrix stretch_matrix(Stretch2 stretch, double along);
/* `strips`: by edge index, mm: how far the drawn line lies beyond the seam line
 * (an underlay's allowance; 0 elsewhere; NaN: not known). NULL where a ratio is
 * not known. Owned by the arena. */
Lay *lay_out(Arena *arena, const Style *style, Stretch2 stretch, const double *strips);
/* A length that is written along an edge, as mm along its line: beyond an end where it is
 * below 0 or above the line's length. On a mirrored edge it counts from where it does on
 * the edge that is mirrored. */
double laid_along_edge(const Style *style, const LaidEdge *edge, double written);
/* Is the place on the part, or within `tolerance` mm of its line? */
bool laid_covers(const LaidPart *part, Point place, double tolerance);
/* Does most of the line lie on the part; within `within` mm of the other line? */
bool laid_on(const Line *line, const LaidPart *part);
bool laid_along(const Line *line, const Line *other, double within);
/* Outlines nearer to each other than this count as one. */
#define LAID_SAME_MM 0.1

#endif

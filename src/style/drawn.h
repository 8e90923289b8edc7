/* What the files that read drawn lines share. For src/style alone. */
#ifndef CORDWAIN_STYLE_DRAWN_H
#define CORDWAIN_STYLE_DRAWN_H

#include "field/recall.h"
#include "shape/drawing.h"
#include "style/style_inside.h"

/* A drawing as read; NULL where it could not be. */
typedef struct KeptDrawing {
    const char *resolved; /* its path once links are followed */
    Drawing *drawing;
} KeptDrawing;

/* Where an edge's line is drawn: in a drawing or beside the edge. */
typedef struct LineSource {
    const Record *edge;
    const DrawnEdge *drawn; /* NULL: `node` holds path data */
    const YamlNode *node;
    Where at;
    bool mirrored;          /* about the axis of the part's sheet */
    bool fold;              /* a fold line: the part goes on there in mirror image */
} LineSource;

/* What the lines of one part measure. */
typedef struct MeasuredPart {
    LineSource *sources;    /* as they were when it was measured, without edge and place */
    size_t count;
    double axis;            /* rad, what mirrored lines were mirrored about */
    bool good;              /* else the lines close no outline, which was said */
    Outline outline;
    double *lengths;        /* mm, by index in outline.edges, as are the bends */
    Bend **bends;
    size_t *bend_counts;
    double narrowest;       /* mm, of the part unfolded; NaN where it folds about several lines */
    Point narrowest_at;
    struct MeasuredPart *next;
} MeasuredPart;

enum { SHELF_SLOTS = 512 };

/* What is read and measured once for a style and all its alternatives. Owned by
 * the arena of the style that is read, or by its own. */
struct StyleShelf {
    Arena *arena, own;
    Recall *recall;         /* of values, for one reading */
    KeptDrawing *drawings;
    size_t drawing_count, drawing_capacity;
    uintmax_t bytes;        /* of all of them */
    size_t paths, pieces;   /* read; measured */
    const YamlFile *sound;  /* as written and in every alternative, without a word to say */
    MeasuredPart *parts[SHELF_SLOTS]; /* by a hash of the first line */
};

/* drawings.c: the drawings of this style in order. Returns how many. */
size_t style_drawings(const StyleReader *reader, Drawing ***drawings);

/* measured.c: says what is wrong with the path data of a line that is not measured. */
void style_check_line(const StyleReader *reader, const LineSource *source);
/* What the lines of one part measure, at least one. */
const MeasuredPart *style_measure(const StyleReader *reader, const LineSource *sources,
                                  size_t count, double axis);

typedef enum LineKind {
    LINE_TYPED,   /* not drawn */
    LINE_UNKNOWN, /* its path is written as unknown */
    LINE_DRAWN,
    LINE_KINDS
} LineKind;

/* Where the line of an edge is, and what it measures. */
typedef struct EdgeLine {
    LineKind kind;
    LineSource source;
    const Record *origin; /* the edge whose line it mirrors; NULL: its own line */
    bool length_for_origin, bends_for_origin; /* typed beside the edge that it mirrors */
    const MeasuredPart *measured;
    const Where *length_at, **radius_at; /* what identifies its measurements */
} EdgeLine;

/* The style being read, by index of its parts and edges. */
typedef struct DrawnReader {
    StyleReader *reader;
    Drawing **drawings;
    size_t drawing_count;
    const Drawing **drawn_in;   /* by part: the drawing it is taken from; NULL: none */
    bool *misnamed;             /* by part: it draws an edge that there is not */
    const DrawnEdge **drawn_as; /* by edge */
    const Record **mirrors;     /* by part: what it mirrors; NULL: nothing */
    size_t *first_edge;         /* by part; its edges stand together; one more than parts */
    EdgeLine *lines;            /* by edge */
} DrawnReader;

static inline const RecordList *drawn_list(const DrawnReader *d, Subject subject)
{
    return &d->reader->style->lists[subject];
}

/* lines.c: finds where each edge's line is; `lines` and what leads to them. */
void drawn_find_lines(DrawnReader *d);
/* Is the part nothing but what it mirrors, turned over? */
bool drawn_only_mirrors(const DrawnReader *d, const Record *part);

/* drawn_values.c: lengths, widths and bends of drawn parts as measured. */
void drawn_replace_values(DrawnReader *d);

#endif

/* Walking along a row as drawn: the lines of a seam's sides, and the stretches of
 * the row over which the same layers lie. For making.c, which says which rows.
 *
 * A row is walked beside the edges of one side of its seam, its lead. Another side
 * that lies in place on the same sheet is met where it lies; one that lies
 * elsewhere is walked along by fraction of length from match mark to match mark. */
#ifndef CORDWAIN_MEASURE_WALK_H
#define CORDWAIN_MEASURE_WALK_H

#include "measure/measuring.h"

/* A stretch of a side's line beside one of its edges. */
typedef struct Leg {
    Line line;
    const LaidPart *part;
    const LaidEdge *edge;
    double start, length;      /* mm along the whole side */
    const LaidEdge **partners; /* of the lead: by side, the edge that lies in place; NULL: none */
    Near *near;                /* of the parts that are joined: all that can be met from it */
    size_t near_count;
    uint64_t number;           /* the same while all that can be met from it lies alike */
} Leg;

/* Where a side and the lead are matched, mm along both, the side as the lead runs. */
typedef struct Knot {
    double own, lead;
} Knot;

/* Edges of a chain follow each other as the seam lists them; where both sides have
 * as many, each goes with its own, else the sides go together. From match mark to
 * match mark they do so by fraction of their lengths. */
typedef struct Track {
    Leg *legs;
    size_t count;
    double length; /* mm */
    Knot *knots;   /* of sides that are needed and do not lead: in order, begin and end too */
    size_t knot_count;
    bool against;  /* each edge runs against those of the lead */
    bool needed;   /* some stretch of the lead does not have this side in place */
} Track;

/* A stretch of the row over which the same layers lie. */
typedef struct Stretch {
    double from, to; /* mm along the row */
    PlySet begin, end;
    bool tapers; /* something is thinned towards one end */
} Stretch;

typedef struct Walker {
    Walk walk;
    Track *sides; /* one a side */
    size_t lead;
    uint64_t seam;   /* a number: the same while the seam and the row are alike */
    uint64_t number; /* the same where the same layers lie along the same lines */
    double *marks; /* mm along the row where something may begin or end */
    size_t mark_count, mark_capacity;
    Stretch *stretches;
    size_t count, capacity;
} Walker;

/* The lead is the first side that has edges; false where some side can neither be
 * met in place nor walked along. */
bool walk_find(Walker *w);
/* A single side along one drawn edge, `inside` mm inside its line. */
bool walk_find_edge(Walker *w, const Record *edge, double inside);
/* Once the sides are found: what the row can meet, and the number of the walk. */
void walk_look(Walker *w);
/* Where the sides lie, and what the row and its seam say: for a key. */
void walk_key(const Walker *w, Key *key);
/* Fills the stretches, in order along the row. */
void walk_go(Walker *w);

/* A layer as it is kept: records by index. Where it lies is worked out by then. */
typedef struct KeptDraft {
    uint64_t part, edge; /* KEPT_NONE: none */
    double layers;
    double inside[3];    /* in the middle of a stretch, at its beginning and end */
    Cut cut;
    bool binding, placed, fold_alone;
} KeptDraft;
#define KEPT_NONE UINT64_MAX

KeptDraft kept_draft(const Draft *draft);
Draft kept_taken(const Walker *w, const KeptDraft *kept, int place);

#endif

/* What the files of src/measure share and nobody else sees: the work of one
 * measure_style() while it runs. Spans are base units, NaN is unknown. */
#ifndef CORDWAIN_MEASURE_MEASURING_H
#define CORDWAIN_MEASURE_MEASURING_H

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "measure/measure.h"

/* A number with what it can be: lo <= nominal <= hi, or all three NaN. */
typedef struct Span {
    double nominal, lo, hi;
} Span;

/* Kleene's three values in the order that makes `and` the least, `or` the most. */
typedef enum Tri { TRI_NO, TRI_UNKNOWN, TRI_YES } Tri;

/* One lane: its size, and how the last has grown from the base size. */
typedef struct LaneOf {
    double size;
    size_t colourway;
    bool base;
    double sizes;         /* sizes away from the base */
    double along, across; /* ratios of last length and girth; 1 in the base size */
} LaneOf;

/* One edge's place in a seam. */
typedef struct Joint {
    const Seam *seam;
    size_t side;
} Joint;

typedef struct JointList {
    Joint *items;
    size_t count, capacity;
} JointList;

typedef struct TapeList {
    const Record **items;
    size_t count, capacity;
} TapeList;

typedef struct BackerList {
    const Backing **items;
    size_t count, capacity;
} BackerList;

/* Where the cut edge of a ply lies, seen from the finished line; x is the
 * distance of the place inside that line:
 *
 *   CUT_AT_LINE   raw; closed, or the seam row of a turned seam    x
 *   CUT_OUTSIDE   lasted: the margin goes on                       allowance + x
 *   CUT_BEYOND    underlay, under the over part                    allowance - x
 *   CUT_FOLDED    folded back: layer below left + x, folded layer  left - x       */
typedef enum Cut { CUT_AT_LINE, CUT_OUTSIDE, CUT_BEYOND, CUT_FOLDED, CUT_NONE, CUT_UNKNOWN } Cut;

/* A layer before it is a record. */
typedef struct Draft {
    const Record *part; /* NULL: not known */
    const Record *edge; /* whose cut edge, skive and fold lie here; NULL: none */
    const Record *row;  /* NULL: at the line itself */
    Cut cut;
    const Value *times; /* typed; NULL: `layers` */
    double layers;
    bool typed; /* written as a spot's ply: `times` says how often it lies there */
    bool stops_short;
    bool binding;         /* closes over an edge, on both sides */
    const YamlNode *node; /* where it is written; NULL: assumed */
} Draft;

typedef struct PlySet {
    Draft *items;
    size_t count, capacity;
    bool unknown;
    const char *note;
    uint32_t first; /* index of its first record */
} PlySet;

/* A layer's numbers in one lane. Two layers with the same key are the same hide
 * thinned in the same way: their tolerance is drawn once. */
typedef struct Layer {
    Span thickness, folded, keep, times, pressed;
    const void *key, *folded_key;
    bool assumed;
} Layer;

/* The difference between two typed spots of a seam, as one row meets it. */
typedef struct StepDraft {
    Span apart;
    Span *rise; /* one a lane of STEP_RISE */
    bool assumed;
    const YamlNode *node;
} StepDraft;

typedef struct StepSet {
    StepDraft *items;
    size_t count, capacity;
    bool unknown;
    uint32_t first;
} StepSet;

typedef struct Measuring {
    const Style *style;
    const Factory *factory;
    const HouseValues *house;
    Columns *columns;
    Arena scratch;
    LaneOf *lanes;
    JointList *joints;   /* one an edge */
    TapeList *tapes;     /* one an edge */
    BackerList *backers; /* one a part */
    bool seams_open;     /* some seam does not say its edges */
    bool backing_open;   /* some part does not say what it backs or follows */
    PlySet *edge_plies, *row_plies, *spot_plies, *seam_plies;
    PlySet **row_spots; /* one set a typed spot, as the row meets it; else NULL */
    StepSet *row_steps;
} Measuring;

static inline Span span_exact(double value)
{
    return (Span){value, value, value};
}

static inline Tri tri_and(Tri a, Tri b)
{
    return a < b ? a : b;
}

static inline Tri tri_or(Tri a, Tri b)
{
    return a > b ? a : b;
}

static inline Tri tri_not(Tri a)
{
    return (Tri)(TRI_YES - a);
}

/* span.c: arithmetic (outer bounds), cells, origins. */
Span span_add(Span a, Span b);
Span span_subtract(Span a, Span b);
Span span_multiply(Span a, Span b);
Span span_absolute(Span a);
Span span_most(Span a, Span b);  /* unknown if either is */
Span span_least(Span a, Span b); /* unknown if either is */
Span cell_get(const Measuring *m, FieldId id, int32_t record, uint32_t lane);
void cell_put(Measuring *m, FieldId id, uint32_t record, uint32_t lane, Span span);
/* Truth of "the word of this record is `word`". */
Tri cell_is(const Measuring *m, FieldId id, int32_t record, const char *word);
void cell_put_tri(Measuring *m, FieldId id, uint32_t record, Tri tri, const char *note);
const Origin *cell_origin(const Measuring *m, FieldId id, int32_t record);
bool cell_assumed(const Measuring *m, FieldId id, int32_t record);
/* The column, cell by cell, of another field, with its origin and source. */
void cell_copy(Measuring *m, FieldId to, uint32_t to_record, FieldId from, uint32_t from_record);
const Origin *origin_new(Measuring *m, Origin origin);
const Origin *origin_derived(Measuring *m, const char *note, bool assumed);

/* lanes.c */
uint32_t lanes_count(const Style *style, Arena *scratch);
void lanes_fill(Measuring *m);
/* A value as it is in a size: by_size rows looked up; unknown where absent. */
Quantity value_in_size(const Value *value, double size);
/* What a field's value becomes in a lane by its grading; `graded` is set where
 * it changes with the size. */
Span lane_graded(const Measuring *m, FieldId id, uint32_t record, uint32_t lane, Span span,
                 bool *graded);

/* Sizes change neither thicknesses nor allowances nor where rows run, so that what
 * follows from them differs between colourways only: the lanes to work out, and
 * their copies in the other sizes. */
uint32_t lanes_distinct(const Measuring *m, FieldId id);
void lanes_repeat(Measuring *m, FieldId id, uint32_t record);

/* values.c: what is written, with house tolerances; then what edges and bends
 * take from elsewhere. */
const RecordList *values_list(const Measuring *m, Subject subject);
void values_fill(Measuring *m);
/* Material of a part in a lane; -1 unknown. */
int32_t part_material(const Measuring *m, const Record *part, uint32_t lane);

/* joins.c: what follows from how edges are joined. */
void joins_index(Measuring *m);
void joins_fill(Measuring *m);
Tri seam_is(const Measuring *m, const Seam *seam, const char *join);
/* Is this side the underlay, its cut edge beyond the line of the over part? */
Tri seam_underlay(const Measuring *m, const Seam *seam, size_t side);
/* The seam a row or spot belongs to. */
const Seam *seam_of(const Measuring *m, const Record *record);

/* plies.c: which layers lie where; layer.c: how thick they are there. */
void plies_draft(Measuring *m);
uint32_t plies_number(Measuring *m); /* gives every layer its record; how many */
void plies_fill(Measuring *m);
Cut cut_of(const Measuring *m, const Seam *seam, size_t side, const Record *row,
           const Record *edge);
/* Distance of a layer at `row` (NULL: the line) from its cut edge; below zero
 * where the cut edge does not reach. */
Span cut_distance(const Measuring *m, Cut cut, const Record *edge, const Record *row,
                  uint32_t lane);
Layer layer_at(const Measuring *m, const Draft *draft, uint32_t lane);

/* stack.c: totals and climbs. */
Span stack_of(const Measuring *m, const PlySet *set, uint32_t lane, bool *assumed);
StepSet stack_steps(Measuring *m, const Seam *seam, const PlySet *spots);
uint32_t stack_number_steps(Measuring *m); /* gives every step its record; how many */
void stacks_fill(Measuring *m);

/* rows.c */
void rows_fill(Measuring *m);

/* relations.c */
void relations_fill(Measuring *m);

#endif

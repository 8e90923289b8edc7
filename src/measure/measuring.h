/* What the files of src/measure share and nobody else sees: the work of one
 * measure_style() while it runs. Spans are base units, NaN is unknown. */
#ifndef CORDWAIN_MEASURE_MEASURING_H
#define CORDWAIN_MEASURE_MEASURING_H

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "measure/lay.h"
#include "measure/measure.h"
#include "measure/tri.h"
#include "measure/once.h"

/* A number with what it can be: lo <= nominal <= hi, or all three NaN. */
typedef struct Span {
    double nominal, lo, hi;
} Span;

/* One lane: its size, and how the last has grown from the base size. */
typedef struct LaneOf {
    double size;
    size_t colourway;
    bool base;
    double sizes;         /* sizes away from the base */
    double along, across; /* ratios of last length and girth; 1 in the base size */
} LaneOf;

typedef struct Measuring Measuring;
typedef struct Making Making;

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
    bool placed;          /* met at a drawn place, `inside` mm inside the line of `edge` */
    const LaidEdge *laid; /* that line; NULL: not placed */
    bool fold_alone;      /* only the allowance that is turned back here counts */
    double inside;
    double gap;           /* mm from the row; 0 under it */
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

/* The difference between two spots of a seam, as one row meets it. */
typedef struct StepDraft {
    Span apart;
    Span *rise; /* one a lane of STEP_RISE, or (drawn) one a colourway */
    bool assumed;
    const YamlNode *node;
} StepDraft;

typedef struct StepSet {
    StepDraft *items;
    size_t count, capacity;
    bool unknown;
    uint32_t first;
} StepSet;

/* What a row meets along its drawn line in one size. */
typedef struct RowWalk {
    Span *stack;    /* highest, one a colourway; NULL: not known in this size */
    StepSet steps;  /* `rise` one a colourway */
    double highest; /* mm along the row, of the stack in the first colourway */
    bool assumed;   /* a house tolerance reaches the stack */
} RowWalk;

typedef struct RowLineList {
    RowLine *items;
    size_t count, capacity;
} RowLineList;

struct Measuring {
    const Style *style;
    const Factory *factory;
    const HouseValues *house;
    Columns *columns;
    Arena scratch;
    MeasureShelf *own;   /* of a measuring that was given none */
    Held *held;
    uint64_t *paths;     /* one an edge: the number of its path */
    uint64_t *bends;     /* one a bend: the number of the bend and its path; 0: typed */
    LaneOf *lanes;
    JointList *joints;   /* one an edge */
    TapeList *tapes;     /* one an edge */
    BackerList *backers; /* one a part */
    Tri *part_drawn;     /* one a part: it has a line, whatever its sheet */
    bool seams_open;     /* some seam does not say its edges */
    bool backing_open;   /* some part does not say what it backs or follows */
    PlySet *edge_plies, *row_plies, *spot_plies, *seam_plies;
    PlySet **row_spots; /* one set a typed spot, as the row meets it; else NULL */
    StepSet *row_steps;
    Lay **lays;         /* one a size; NULL: not known how it has grown. No drawing: all NULL */
    uint32_t size_count, base_size;
    uint32_t base_lane; /* the first of the base size */
    RowLineList *row_lines; /* one a size */
    RowWalk **row_walks; /* one a row: NULL, or one walk a size */
    uint64_t *part_reads, *part_thickness; /* one a part: reads_part() and the other */
    Making *done; /* making.c: when all is made; NULL: not asked for yet */
};

static inline Once once_in(const Measuring *m, Arena *arena)
{
    return (Once){m->held, arena};
}

static inline Span span_exact(double value)
{
    return (Span){value, value, value};
}

static inline Span span_add(Span a, Span b)
{
    return (Span){a.nominal + b.nominal, a.lo + b.lo, a.hi + b.hi};
}

static inline Span span_subtract(Span a, Span b)
{
    return (Span){a.nominal - b.nominal, a.lo - b.hi, a.hi - b.lo};
}

static inline Span span_shift(Span span, double by)
{
    return (Span){span.nominal + by, span.lo + by, span.hi + by};
}

/* These are asked some 100,000 times a measuring: not worth a call each. */
static inline Span cell_get(const Measuring *m, FieldId id, int32_t record, uint32_t lane)
{
    if (record < 0)
        return span_exact((double)NAN);
    const Column *column = &m->columns->fields[id];
    size_t cell = column_cell(column, (uint32_t)record, lane);
    return (Span){column->nominal[cell], column->lo[cell], column->hi[cell]};
}

static inline void cell_put(Measuring *m, FieldId id, uint32_t record, uint32_t lane, Span span)
{
    Column *column = &m->columns->fields[id];
    size_t cell = column_cell(column, record, lane);
    column->nominal[cell] = span.nominal;
    column->lo[cell] = span.lo;
    column->hi[cell] = span.hi;
}

/* In the first lane. */
static inline double cell_nominal(const Measuring *m, FieldId id, const Record *record)
{
    const Column *column = &m->columns->fields[id];
    return column->nominal[column_cell(column, record->index, 0)];
}

/* span.c: arithmetic (outer bounds), cells, origins. */
Span span_multiply(Span a, Span b);
Span span_absolute(Span a);
Span span_most(Span a, Span b);  /* unknown if either is */
Span span_least(Span a, Span b); /* unknown if either is */
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
/* Do two sides of a seam run against each other as drawn? `flip` turns it. */
Tri sides_run_against(const Measuring *m, const Seam *seam, size_t one, size_t other);
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
/* A seam's own layer at a row, its cut as the row meets it. */
Draft own_ply(const Measuring *m, const Seam *seam, size_t side, const Record *row,
              const Record *edge);
/* The inset of a backing at an edge; NULL where it goes up to it. */
const Value *inset_at(const Backing *backing, const Record *edge);
/* One binding closes over all the edges of a seam: is it there already? */
bool has_binding(const PlySet *set, const Draft *draft);
void set_add(Measuring *m, PlySet *set, Draft draft);
Layer layer_at(const Measuring *m, const Draft *draft, uint32_t lane);

/* How an edge is met from inside its part at one stage of the making. */
typedef struct EdgeMet {
    /* At every stage alike. */
    Tri binds;              /* its finish takes a binding */
    Tri steps;              /* its skive has a step */
    const Record *binding;
    double shows;           /* mm: how far inside the binding is met; NaN unknown */
    const Value **insets;   /* one a backer of its part; NULL: that goes up to it */
    uint64_t thickness;     /* a number: the same while all is that thicknesses follow from */
    /* At this stage. */
    Cut cut;
    Tri bound;     /* a binding is sewn to it by then */
    double reach;  /* mm: how far inside its cut, skive and fold can be met; NaN unknown */
    double fold;   /* mm: how far inside its allowance lies folded back; 0: none, NaN unknown */
    double margin; /* mm: how far a lasting margin goes on outside; 0: none, NaN unknown */
    double *levels; /* distances at which something begins or ends */
    size_t level_count, level_capacity;
    double level_most;
    double most;     /* mm: no further off does it make a difference to a row */
    uint64_t layers; /* a number: the same while all above is that a row meets */
} EdgeMet;

/* A part that a row may meet, and those of its edges. */
typedef struct Near {
    const LaidPart *part;
    const LaidEdge **edges;
    size_t edge_count;
} Near;

/* What a row is when it walks over the parts of one size: which seam of which is
 * being made, and what is joined and made by then. */
typedef struct Walk {
    Measuring *m;
    const Lay *lay;
    const Seam *seam;
    const Record *row;
    Arena *arena;         /* for what lives no longer than this walk */
    const bool *joined;   /* by part: joined to the seam's parts by then */
    const EdgeMet *met;   /* by edge */
} Walk;

/* reads.c: numbers that are the same as long as all is that a walk reads of an edge, as
 * it is met, or of a part: for where layers lie, and for how thick they are. */
uint64_t reads_edge(Measuring *m, const EdgeMet *met, const Record *edge);
uint64_t reads_edge_thickness(Measuring *m, const Record *edge);
uint64_t reads_part(Measuring *m, const Record *part);
uint64_t reads_part_thickness(Measuring *m, const Record *part);

#define MEET_ALONG_MM 0.5

/* meet.c: which layers a row meets at a place on a sheet. An edge that it runs
 * along is met as the row says, with no distance measured; others by theirs. */
typedef struct Meeting {
    const Sheet *sheet;
    Point place;          /* in the middle of a stretch */
    Point from, to;       /* its ends, or MEET_ALONG_MM to both sides: what runs along a line
                             meets what lies beside it */
    const Record **walked; /* the seam's own edges that the row runs along there */
    size_t walked_count;
    const Near *near;      /* of the parts that are joined: all that can be met there */
    size_t near_count;
} Meeting;
void meet_layers(const Walk *walk, PlySet *set, const Meeting *meeting);
/* For all edges, one each, as they are once the seams in `made` are; and those of one
 * seam again when that has been made. */
EdgeMet *meet_edges(Measuring *m, const bool *made);
void meet_seam(Measuring *m, const bool *made, const Seam *seam, EdgeMet *met);
/* The same layers at another place, where those that taper are thinner or thicker.
 * False if none does. */
bool meet_again(const Walk *walk, const PlySet *set, Point place, PlySet *there);

/* making.c: what rows meet along their drawn lines. Takes the place of what is
 * assumed or typed wherever a row can be walked. */
void making_measure(Measuring *m);
/* The thickest the layers along the line of a drawn edge come to once all is sewn,
 * not compressed, one a colourway, in the base size; NULL where nobody knows what
 * lies there. */
const Span *making_edge(Measuring *m, const Record *edge, bool *assumed);

/* lay.c: as lay_out(); `paths` by edge index, the numbers of their paths. */
Lay *lay_out_once(Once once, const Style *style, Stretch2 stretch, const double *strips,
                  const uint64_t *paths);
/* As laid_on() and laid_along(). */
bool laid_on_once(Held *held, const Line *line, const LaidPart *part);
bool laid_along_once(Held *held, const Line *line, const Line *other, double within);

/* Is anything drawn, or would be if it were known? */
bool drawn_any(const Measuring *m);
/* Is the part drawn? Unknown where it has a line but not known which, or its sheet
 * is unknown. */
Tri drawn_part(const Measuring *m, const Record *part);
/* drawn.c: parts laid out in every size; lengths and bends as drawn. */
void drawn_lay(Measuring *m);
void drawn_fill(Measuring *m);
/* Puts one value a size (`sizes` of them) into the lanes. */
void drawn_put(Measuring *m, FieldId id, uint32_t record, const Span *sizes, const char *note,
               bool assumed);
/* A drawn distance is as good as a line is kept. */
Span drawn_span(const Measuring *m, double value);
/* The size of a lane. */
uint32_t lane_size(const Measuring *m, uint32_t lane);
/* Does the radius follow the size in this lane? */
bool lane_scales_radius(const Measuring *m, uint32_t bend, uint32_t lane);
/* How a drawn line is stretched in a lane; false where that is not known. */
bool drawn_stretch(const Measuring *m, const DrawnLine *line, uint32_t lane, Matrix *matrix);
/* A drawn bend as it is then. */
const Bend *drawn_bend(const Measuring *m, const DrawnLine *line, const Record *bend,
                       Matrix matrix);

/* facets.c: how wide chords may be on bends that do not bend evenly. */
void facets_fill(Measuring *m);

/* fits.c: whether what is sewn together fits as drawn. */
void fits_fill(Measuring *m);

/* clear.c: how far holes and stiff ends keep from rows and lines. */
void clear_fill(Measuring *m);

/* rounds.c: which seams lie flat while they are sewn, and what opening is left. */
void rounds_fill(Measuring *m);

/* stays.c: what keeps edges from stretching. */
void stays_fill(Measuring *m);

/* feather.c: what the upper brings to the bottom. */
void feather_fill(Measuring *m);

/* stack.c: totals and climbs. */
Span stack_of(const Measuring *m, const PlySet *set, uint32_t lane, bool *assumed);
/* |stack a - stack b|: what both meet equally often cancels, tolerance and all. */
Span rise_between(const Measuring *m, const PlySet *a, const PlySet *b, uint32_t lane,
                  bool *assumed);
StepSet stack_steps(Measuring *m, const Seam *seam, const PlySet *spots);
uint32_t stack_number_steps(Measuring *m); /* gives every step its record; how many */
void stacks_fill(Measuring *m);

/* rows.c */
void rows_fill(Measuring *m);

/* relations.c */
void relations_fill(Measuring *m);

#endif

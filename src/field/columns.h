/* Records and their values as columns: what measure fills and rules read.
 * Knows base, quantity and the table of fields.
 *
 * A lane is one size in one colourway (and, where an edge does not say how it
 * is graded, one of the two ways). A column holds one value a record, or one a
 * record and lane where it differs between lanes:
 *
 *     cell of record r in lane l = r * stride + (stride > 1 ? l : 0)
 *
 * All values are doubles in base units; NaN is unknown. A word is its index in
 * the field's list; a truth 0 or 1; a set (FIELD_WORDS, FIELD_COUNTS) the sum
 * of 2^index of its members; a range keeps its least in lo and its most in hi
 * and NaN in nominal. lo <= nominal <= hi for numbers with tolerance. */
#ifndef CORDWAIN_FIELD_COLUMNS_H
#define CORDWAIN_FIELD_COLUMNS_H

#include <stdint.h>

#include "base/memory.h"
#include "base/message.h"
#include "field/field.h"

typedef enum OriginKind {
    ORIGIN_MISSING,  /* nobody wrote it: unknown */
    ORIGIN_WRITTEN,  /* at `at` */
    ORIGIN_UNKNOWN,  /* written as unknown, at `at` */
    ORIGIN_NONE,     /* absent, and absence means none (or false, or once) */
    ORIGIN_MEASURED, /* on a line drawn at `at`; `note` says how, such as "over 0.1 mm of line" */
    ORIGIN_DERIVED,  /* worked out; `note` says how */
    ORIGIN_GIVEN     /* from an example of a rule file */
} OriginKind;

/* Where a value came from. `graded`: changes with the size by the size system.
 * `source` identifies what was drawn once: two cells with the same source (the
 * thickness of one hide, met in several plies) move together when tolerances
 * are explored; NULL: the cell is its own. */
typedef struct Origin {
    OriginKind kind;
    bool graded;
    bool assumed;        /* its tolerance is the house's, not the file's */
    Where at;
    const void *source;
    const char *note;    /* NULL or e.g. "plies assumed from the seam's edges" */
} Origin;

typedef struct Column {
    uint32_t stride;         /* 1, or the number of lanes */
    double *nominal, *lo, *hi;
    const Origin **origins;  /* one a record; never NULL */
} Column;

/* A relation to at most one record: index or -1 (unknown, or none). */
typedef struct OneColumn {
    uint32_t stride;
    int32_t *index;
} OneColumn;

/* A relation to many: the records of r are items[start[r]] .. items[start[r+1]-1],
 * or the set is unknown. The same in all lanes. */
typedef struct ManyColumn {
    uint32_t *start;  /* count + 1 */
    int32_t *items;
    bool *unknown;    /* one a record */
} ManyColumn;

typedef struct Lane {
    const char *size;       /* "42", "42.5"; "" in examples */
    const char *colourway;  /* "" where a style has none */
    bool scaled;            /* ungraded edges are taken as scaled in this lane */
    bool base;              /* of the base size */
    uint32_t size_index, colourway_index; /* from 0, in order: sizes and colourways each once */
} Lane;

typedef struct Columns {
    Arena arena;
    Lane *lanes;
    uint32_t lane_count;
    uint32_t count[SUBJECT_COUNT];
    const char **names[SUBJECT_COUNT]; /* "vamp.throat.1"; what a place is called after its subject */
    Where *places[SUBJECT_COUNT];      /* where the record is written */
    Column fields[FIELD_ID_COUNT];     /* FIELD_NAME and FIELD_TEXT rows are empty */
    OneColumn *ones;                   /* by relation_index(); empty for many */
    ManyColumn *manys;                 /* by relation_index(); empty for one */
} Columns;

/* Columns for the given counts and lanes, every value missing, every relation
 * -1 or empty and known. Fields named in `varies` get one cell a lane. */
Columns *columns_new(uint32_t lane_count, const uint32_t count[SUBJECT_COUNT],
                     const bool varies[FIELD_ID_COUNT], const bool *one_varies);
void columns_free(Columns *columns);

static inline size_t column_cell(const Column *column, uint32_t record, uint32_t lane) {
    return (size_t)record * column->stride + (column->stride > 1 ? lane : 0);
}

/* As written or worked out, tolerances aside; NaN: unknown. */
static inline double columns_nominal(const Columns *columns, FieldId id, uint32_t record,
                                     uint32_t lane) {
    const Column *column = &columns->fields[id];
    return column->nominal[column_cell(column, record, lane)];
}

/* The first lane of the base size in a colourway; 0 where there is none. */
uint32_t columns_base_lane(const Columns *columns, uint32_t colourway);

static inline int32_t column_one(const OneColumn *one, int32_t record, uint32_t lane) {
    return record < 0 ? -1
                      : one->index[(size_t)record * one->stride + (one->stride > 1 ? lane : 0)];
}

#endif

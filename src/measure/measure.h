/* From records to columns: sizes and colourways as lanes, house tolerances,
 * stacks, climbs, ridges and what else a rule may ask, each with its origin.
 * Knows base, quantity, yaml, field, style and shop.
 *
 * Where lines are drawn they are measured, size by size: lengths and bends of edges,
 * the layers along a row, whether what is sewn together fits. Where nothing is
 * drawn, what is typed stands, or what the seam's edges let assume. */
#ifndef CORDWAIN_MEASURE_MEASURE_H
#define CORDWAIN_MEASURE_MEASURE_H

#include "field/columns.h"
#include "measure/lay.h"
#include "shop/factory.h"
#include "style/style.h"

/* What rules' limits tell measure: half-widths of the house tolerances, and the
 * girth step. A NaN leaves the value without tolerance (or the girth unknown). */
typedef struct HouseValues {
    double leather_thickness; /* mm: leather, suede, nubuck */
    double sheet_thickness;   /* ratio: other sheet */
    double skive, line, row;  /* mm */
    double gap_together, gap_apart;
    double girth_step;        /* mm a size */
} HouseValues;

/* NULL factory: the set of machines is unknown, not empty. */
Columns *measure_style(const Style *style, const Factory *factory, const HouseValues *house);

/* ---- For pictures: the drawing as it was measured ---- */

/* Where a row runs on a sheet. */
typedef struct RowLine {
    const Seam *seam;
    const Record *row;
    const Sheet *sheet;
    Line line;
} RowLine;

/* A layer under the row, mm. */
typedef struct MetLayer {
    const Record *part;  /* NULL: not known */
    double times;
    double thickness;    /* of one, not compressed; 0 where only a fold of it lies there */
    double folded;       /* of the allowance turned back over the place */
    double pressed;      /* all of it under the foot */
} MetLayer;

/* A stretch of the row over which the same layers lie; mm along the row. Between
 * its ends the stack runs straight, to 0.005 mm. NaN: not known. */
typedef struct MetStretch {
    double from, to, stack_from, stack_to;
    const MetLayer *layers; /* at its beginning, next to the foot first */
    size_t count;
} MetStretch;

typedef struct RowProfile {
    MetStretch *stretches;
    size_t count;
    double length;       /* mm, of the row */
} RowProfile;

typedef struct Measuring Measured;
/* The same as measure_style(), and what it was measured on. Style, factory and
 * house must outlive it. */
Measured *measured_new(const Style *style, const Factory *factory, const HouseValues *house);
void measured_free(Measured *measured);

/* What was measured for one style, kept for the next measuring of nearly the same, as
 * edits follow one another. It points into no style: those measured before may be gone.
 * It grows to four times what one measuring needs; then what the two latest did not ask for
 * is dropped. */
typedef struct MeasureShelf MeasureShelf;
MeasureShelf *measure_shelf_new(void);
void measure_shelf_free(MeasureShelf *shelf);
/* As measured_new(), with what stands on the shelf (NULL: none): bit for bit the same.
 * Any number of Measured may live from one shelf; they die before it does. */
Measured *measured_from_shelf(MeasureShelf *shelf, const Style *style, const Factory *factory,
                              const HouseValues *house);

const Columns *measured_columns(const Measured *measured);
/* Sizes as Lane.size_index counts them. NULL where it is not known how it has grown,
 * or nothing is drawn. */
const Lay *measured_lay(const Measured *measured, uint32_t size);
size_t measured_rows(const Measured *measured, uint32_t size, const RowLine **rows);
uint32_t measured_base_size(const Measured *measured);
/* False where the row cannot be followed on the drawing. Owned by the arena. */
bool measured_profile(Measured *measured, Arena *arena, const Record *row, uint32_t size,
                      uint32_t colourway, RowProfile *profile);

#endif

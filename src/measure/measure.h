/* From records to columns: sizes and colourways as lanes, house tolerances,
 * stacks, climbs, ridges and what else a rule may ask, each with its origin.
 * Knows base, quantity, yaml, field, style and shop.
 *
 * Outlines measured from drawn paths will fill the same columns: bends and
 * lengths of edges, plies along a row. What is typed stays as it is. */
#ifndef CORDWAIN_MEASURE_MEASURE_H
#define CORDWAIN_MEASURE_MEASURE_H

#include "field/columns.h"
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

#endif

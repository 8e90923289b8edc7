/* The upper while it is being sewn: what hangs together, whether it still lies flat,
 * how long its openings are. For src/measure, and for whoever proposes an order.
 *
 * Parts that are drawn are discs with a rim; edges that a seam joins are joined
 * along it, whole or by length where the sides have edges of other number. What is
 * sewn to the middle of a part, and third sides, hang on. A part that is not drawn
 * has no rim: joined to another body it makes one with it, but nobody knows what
 * comes of a second join within one body. Lengths of the base size. */
#ifndef CORDWAIN_MEASURE_ASSEMBLY_H
#define CORDWAIN_MEASURE_ASSEMBLY_H

#include "field/columns.h"
#include "measure/tri.h"
#include "style/style.h"

typedef struct Assembly Assembly;

/* Nothing sewn yet. Reads words and lengths from the columns, which need hold no more
 * than what is written. Owned by the arena; style and columns must outlive it. */
Assembly *assembly_new(Arena *arena, const Style *style, const Columns *columns);

/* What it is to sew a seam now. */
typedef struct Sewing {
    Tri flat;     /* what is sewn lies flat on the bed: all bodies are discs before it, and stay
                       one or are sewn face to face */
    Tri ring;     /* it closes a ring, or one more */
    Tri shut;     /* it leaves a body without any opening */
    double opening; /* mm: longest opening of what is sewn, afterwards; of the tightest body where
                       some are no discs; NaN: unknown */
} Sewing;

/* Sews it. */
Sewing assembly_sew(Assembly *assembly, const Seam *seam);
/* Are both joined edge to edge by now, if only through others? */
bool assembly_joined(const Assembly *assembly, const Record *part, const Record *other);
/* What it would be, without sewing it. */
Sewing assembly_try(const Assembly *assembly, const Seam *seam);

#endif

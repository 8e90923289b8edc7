/* Quantities as a style or rule file writes them: value, unit, tolerance.
 *
 *   quantity  = "unknown" | ["exactly"] value unit | value tolerance unit
 *             | value ".." value unit | unit value [tolerance]  (tex 70, Nm 90)
 *   tolerance = ("±" | "+/-") number | "+" number "-" number
 *   value     = ["-"] number
 *   number    = decimal | integer "/" integer | integer integer "/" integer
 *
 * Every number may carry a unit of its own (95 °C ± 5 K); one without takes the
 * last one's. A decimal has at most 9 digits before and 6 after the point, no
 * exponent, no leading zeros, no underscore, no comma; a fraction at most 4
 * digits above and below; the message for each says what to write instead.
 * Reading does not depend on the locale and rounds once. Knows base only. */
#ifndef CORDWAIN_QUANTITY_QUANTITY_H
#define CORDWAIN_QUANTITY_QUANTITY_H

#include "base/text.h"
#include "quantity/unit.h"

typedef enum Tolerance {
    TOLERANCE_UNSAID, /* the house tolerance of its kind applies */
    TOLERANCE_GIVEN,  /* ±, + -, .. */
    TOLERANCE_EXACT   /* "exactly" */
} Tolerance;

/* In base units; lo <= nominal <= hi; all three equal without a tolerance.
 * a..b has its middle as nominal (of stitches per length: the middle of the two
 * lengths). In a range (see QuantityForm) lo and hi are the least and the most
 * setting, nominal has no meaning (NaN) and tolerance is exact. Unknown: all
 * three NaN. */
typedef struct Quantity {
    double nominal, lo, hi;
    Tolerance tolerance;
    bool unknown;
} Quantity;

/* What a field accepts. */
typedef struct QuantityForm {
    Dimension dimension;
    bool point;       /* temperature: a point on the scale (°C); its tolerance may be in K */
    bool range;       /* ".." is every setting between; no other tolerance; one value is lo = hi */
    bool reciprocal;  /* a length that may be written per length (pitch: 10 /in, 4 /cm) */
    bool needle;      /* Nm is welcome */
    bool bare;        /* a plain number without unit is due (counts, factors); "22 %" too */
    bool whole;       /* whole numbers only, without unit and without tolerance */
    const Unit *bare_length; /* `lengths: mm` of the file's head, else NULL */
    const Unit *shown;       /* unit for the accepted form in messages */
} QuantityForm;

/* Reads the whole of `text`. False with what is wrong and what is accepted
 * added to `problem` (one sentence part, no position). */
bool quantity_read(const char *text, size_t length, const QuantityForm *form,
                   Quantity *quantity, Text *problem);

/* In form->shown: "4 ± 0.2 mm", "4 +0.3 -0.1 mm", a range "1.3..1.5 mm",
 * "unknown"; exactly and unsaid tolerances show the nominal alone. At most 6
 * significant digits. */
void quantity_write(Text *text, const Quantity *quantity, const QuantityForm *form);

/* A decimal or fraction without sign at the start of `text` under the rules
 * above; returns the bytes used, 0 with a reason in `problem`. A comma after it
 * is left alone. For the rule language (which takes decimals only: `fractions`
 * false). */
size_t decimal_read(const char *text, size_t length, bool fractions, double *value, Text *problem);

#endif

/* Dimensions and units. Knows base only.
 *
 * Base units: length mm, mass microgram, time s, temperature °C (points) and K
 * (differences), force N; angles are plain numbers in rad, ratios plain
 * numbers (22 % is 0.22). With the microgram, tex, g/m2 and kg/m3 need no
 * powers of ten: 1 tex = 1 g/km = 1 ug/mm, 1 g/m2 = 1 ug/mm2,
 * 1 g/cm3 = 1000 ug/mm3. Force is a base dimension of its own, so that N and
 * N/mm stay readable; nothing here derives force from mass.
 *
 * A needle size is a length, the blade's diameter: 90 Nm is 0.90 mm. */
#ifndef CORDWAIN_QUANTITY_UNIT_H
#define CORDWAIN_QUANTITY_UNIT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

/* Exponents of the base dimensions. All zero: a plain number. */
typedef struct Dimension {
    int8_t length, mass, time, temperature, force;
} Dimension;

#define DIMENSION_NONE ((Dimension){0, 0, 0, 0, 0})
#define DIMENSION_LENGTH ((Dimension){1, 0, 0, 0, 0})
#define DIMENSION_TEMPERATURE ((Dimension){0, 0, 0, 1, 0})
#define DIMENSION_TEX ((Dimension){-1, 1, 0, 0, 0})

/* value in base units = factor_numerator / factor_denominator * number.
 * Exact pairs, so that 3/16 in and 3.5 oz convert without rounding twice:
 * in 254/10, oz (leather substance) 254/640, % 1/100. */
typedef struct Unit {
    const char *name;     /* as written: "mm", "%", "°C", "/in", "g/cm3" */
    Dimension dimension;
    double numerator, denominator;
    bool point;           /* °C: a point on a scale, not a difference */
    bool needle;          /* Nm: only where a needle size is due */
    const char *means;
} Unit;

bool dimension_equal(Dimension a, Dimension b);
Dimension dimension_times(Dimension a, Dimension b);
Dimension dimension_over(Dimension a, Dimension b);
Dimension dimension_power(Dimension a, int exponent);
/* False if an exponent is odd. */
bool dimension_root(Dimension a, Dimension *root);
/* What people call it: "length", "ratio", "temperature", "force per length";
 * "mixed dimension" where there is no name. Never NULL. */
const char *dimension_name(Dimension dimension, bool point);
/* Adds the base units it is made of: "mm2", "ug N/mm3"; nothing for a plain
 * number. */
void dimension_write(Text *text, Dimension dimension);

/* All units, in the order of the manual. */
const Unit *unit_table(size_t *count);
/* By name (also degC for °C and ° for deg; in2-like forms are not units); NULL
 * if unknown. */
const Unit *unit_find(const char *name, size_t length);
/* The longest unit at `text` that is not followed by a letter, digit, "_" or
 * "("; NULL if none. `used` receives its bytes. For the rule language. */
const Unit *unit_longest(const char *text, size_t length, size_t *used);
/* The unit a dimension is shown in when no field says otherwise; NULL for
 * dimensions without a named unit. */
const Unit *unit_default(Dimension dimension, bool point);
double unit_to_base(const Unit *unit, double number);
double unit_from_base(const Unit *unit, double value);

/* Adds value (base units) with its unit: "4.5 mm", "22 %", "unknown". The
 * unit NULL takes the default of the dimension, base units where it has none
 * ("12 mm2"). At most 4 significant digits, 15 if `full`. */
void unit_write(Text *text, double value, Dimension dimension, bool point,
                const Unit *unit, bool full);

#endif

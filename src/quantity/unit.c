/* The table of units and the arithmetic of dimensions.
 * For quantity, field, rule and everything that shows a value. */
#include "quantity/unit.h"

#include <limits.h>
#include <math.h>
#include <string.h>

#define PI 3.14159265358979323846

/* Factors are the definitions: the international inch (25.4 mm, 1959), tex as
 * g/km (ISO 1144), bar as 10^5 Pa. Leather ounce: 1/64 in of substance. */
static const Unit units[] = {
    {"mm",    {1, 0, 0, 0, 0},  1,    1,   false, false, "millimetre"                             },
    {"cm",    {1, 0, 0, 0, 0},  10,   1,   false, false, "centimetre"                             },
    {"m",     {1, 0, 0, 0, 0},  1000, 1,   false, false, "metre"                                  },
    {"dm2",   {2, 0, 0, 0, 0},  10000, 1,  false, false, "square decimetre"                       },
    {"in",    {1, 0, 0, 0, 0},  254,  10,  false, false, "inch"                                   },
    {"oz",    {1, 0, 0, 0, 0},  254,  640, false, false, "leather ounce, 1/64 in of substance"    },
    {"%",     {0, 0, 0, 0, 0},  1,    100, false, false, "per cent"                               },
    {"°C",   {0, 0, 0, 1, 0},  1,    1,   true,  false, "degree Celsius, a point on the scale"   },
    {"K",     {0, 0, 0, 1, 0},  1,    1,   false, false, "kelvin, a difference of temperatures"   },
    {"deg",   {0, 0, 0, 0, 0},  PI,   180, false, false, "degree of angle"                        },
    {"rad",   {0, 0, 0, 0, 0},  1,    1,   false, false, "radian"                                 },
    {"/in",   {-1, 0, 0, 0, 0}, 10,   254, false, false, "a number to the inch"                   },
    {"/cm",   {-1, 0, 0, 0, 0}, 1,    10,  false, false, "a number to the centimetre"             },
    {"/mm",   {-1, 0, 0, 0, 0}, 1,    1,   false, false, "a number to the millimetre"             },
    {"g",     {0, 1, 0, 0, 0},  1000000, 1, false, false, "gram"                                  },
    {"tex",   {-1, 1, 0, 0, 0}, 1,    1,   false, false, "gram to the kilometre of thread"        },
    {"Nm",    {1, 0, 0, 0, 0},  1,    100, false, true,  "needle size, blade diameter in 1/100 mm"},
    {"N",     {0, 0, 0, 0, 1},  1,    1,   false, false, "newton"                                 },
    {"N/mm",  {-1, 0, 0, 0, 1}, 1,    1,   false, false, "newton to the millimetre of width"      },
    {"N/cm",  {-1, 0, 0, 0, 1}, 1,    10,  false, false, "newton to the centimetre of width"      },
    {"min",   {0, 0, 1, 0, 0},  60,   1,   false, false, "minute"                                 },
    {"s",     {0, 0, 1, 0, 0},  1,    1,   false, false, "second"                                 },
    {"/min",  {0, 0, -1, 0, 0}, 1,    60,  false, false, "a number to the minute"                 },
    {"mm/s",  {1, 0, -1, 0, 0}, 1,    1,   false, false, "millimetre to the second"               },
    {"bar",   {-2, 0, 0, 0, 1}, 1,    10,  false, false, "bar, 0.1 N/mm2"                         },
    {"g/cm3", {-3, 1, 0, 0, 0}, 1000, 1,   false, false, "gram to the cubic centimetre"           },
    {"kg/m3", {-3, 1, 0, 0, 0}, 1,    1,   false, false, "kilogram to the cubic metre"            },
    {"g/m2",  {-2, 1, 0, 0, 0}, 1,    1,   false, false, "gram to the square metre"               },
};
enum { UNIT_COUNT = sizeof units / sizeof *units };

/* Other ways to write a unit: what keyboards without a degree sign have, and
 * the sign that angles are drawn with. */
static const struct {
    const char *wrote, *unit;
} aliases[] = {
    {"degC", "°C"},
    {"°",   "deg" },
};
enum { ALIAS_COUNT = sizeof aliases / sizeof *aliases };

static const char celsius[] = "°C";

/* Dimensions with a name of their own, and the unit they are shown in. */
static const struct {
    Dimension dimension;
    const char *name, *unit;
} kinds[] = {
    {{0, 0, 0, 0, 0},  "ratio",                  NULL   },
    {{1, 0, 0, 0, 0},  "length",                 "mm"   },
    {{2, 0, 0, 0, 0},  "area",                   NULL   },
    {{3, 0, 0, 0, 0},  "volume",                 NULL   },
    {{-1, 0, 0, 0, 0}, "number per length",      "/cm"  },
    {{0, 1, 0, 0, 0},  "mass",                   NULL   },
    {{-1, 1, 0, 0, 0}, "thread size",            "tex"  },
    {{-2, 1, 0, 0, 0}, "mass per area",          "g/m2" },
    {{-3, 1, 0, 0, 0}, "density",                "g/cm3"},
    {{0, 0, 1, 0, 0},  "time",                   "s"    },
    {{0, 0, 0, 1, 0},  "temperature difference", "K"    },
    {{0, 0, 0, 0, 1},  "force",                  "N"    },
    {{-1, 0, 0, 0, 1}, "force per length",       "N/mm" },
    {{-2, 0, 0, 0, 1}, "pressure",               "bar"  },
};
enum { KIND_COUNT = sizeof kinds / sizeof *kinds };

bool dimension_equal(Dimension a, Dimension b)
{
    return a.length == b.length && a.mass == b.mass && a.time == b.time &&
           a.temperature == b.temperature && a.force == b.force;
}

/* An exponent that leaves the type stays at its end: two wrong dimensions then
 * still differ from every right one, which is all a type check needs. */
static int8_t exponent(int value)
{
    return (int8_t)(value > INT8_MAX ? INT8_MAX : value < INT8_MIN ? INT8_MIN : value);
}

/* a + factor * b, exponent by exponent. */
static Dimension dimension_combine(Dimension a, Dimension b, int factor)
{
    return (Dimension){exponent(a.length + factor * b.length), exponent(a.mass + factor * b.mass),
                       exponent(a.time + factor * b.time),
                       exponent(a.temperature + factor * b.temperature),
                       exponent(a.force + factor * b.force)};
}

Dimension dimension_times(Dimension a, Dimension b)
{
    return dimension_combine(a, b, 1);
}

Dimension dimension_over(Dimension a, Dimension b)
{
    return dimension_combine(a, b, -1);
}

Dimension dimension_power(Dimension a, int power)
{
    return dimension_combine(DIMENSION_NONE, a, power);
}

bool dimension_root(Dimension a, Dimension *root)
{
    if (a.length % 2 || a.mass % 2 || a.time % 2 || a.temperature % 2 || a.force % 2)
        return false;
    *root = (Dimension){(int8_t)(a.length / 2), (int8_t)(a.mass / 2), (int8_t)(a.time / 2),
                        (int8_t)(a.temperature / 2), (int8_t)(a.force / 2)};
    return true;
}

const char *dimension_name(Dimension dimension, bool point)
{
    if (point && dimension_equal(dimension, DIMENSION_TEMPERATURE))
        return "temperature";
    for (size_t i = 0; i < KIND_COUNT; i++)
        if (dimension_equal(dimension, kinds[i].dimension))
            return kinds[i].name;
    return "mixed dimension";
}

void dimension_write(Text *text, Dimension dimension)
{
    const struct {
        const char *name;
        int exponent;
    } parts[] = {
        {"ug", dimension.mass       },
        {"N",  dimension.force      },
        {"mm", dimension.length     },
        {"K",  dimension.temperature},
        {"s",  dimension.time       }
    };
    const char *between = "";

    for (int sign = 1; sign >= -1; sign -= 2) {
        for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
            int power = sign * parts[i].exponent;
            if (power <= 0)
                continue;
            text_add(text, sign < 0 ? "/" : between);
            text_add(text, parts[i].name);
            if (power > 1)
                text_addf(text, "%d", power);
            between = " ";
        }
    }
}

const Unit *unit_table(size_t *count)
{
    *count = UNIT_COUNT;
    return units;
}

static bool same(const char *known, const char *name, size_t length)
{
    return strlen(known) == length && memcmp(known, name, length) == 0;
}

static const Unit *unit_named(const char *name, size_t length)
{
    for (size_t i = 0; i < UNIT_COUNT; i++)
        if (same(units[i].name, name, length))
            return &units[i];
    return NULL;
}

const Unit *unit_find(const char *name, size_t length)
{
    for (size_t i = 0; i < ALIAS_COUNT; i++)
        if (same(aliases[i].wrote, name, length))
            return unit_named(aliases[i].unit, strlen(aliases[i].unit));
    return unit_named(name, length);
}

/* Bytes that would make a unit part of a longer word or the name of a call. */
static bool continues_word(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
           c == '(' || (unsigned char)c >= 0x80;
}

const Unit *unit_longest(const char *text, size_t length, size_t *used)
{
    enum { LONGEST = 8 };
    for (size_t n = length < LONGEST ? length : LONGEST; n > 0; n--) {
        const Unit *unit = unit_find(text, n);
        if (unit && (n == length || !continues_word(text[n]))) {
            *used = n;
            return unit;
        }
    }
    return NULL;
}

const Unit *unit_default(Dimension dimension, bool point)
{
    if (point && dimension_equal(dimension, DIMENSION_TEMPERATURE))
        return unit_named(celsius, sizeof celsius - 1);
    for (size_t i = 0; i < KIND_COUNT; i++)
        if (kinds[i].unit && dimension_equal(dimension, kinds[i].dimension))
            return unit_named(kinds[i].unit, strlen(kinds[i].unit));
    return NULL;
}

double unit_to_base(const Unit *unit, double number)
{
    return number * unit->numerator / unit->denominator;
}

double unit_from_base(const Unit *unit, double value)
{
    return value * unit->denominator / unit->numerator;
}

void unit_write(Text *text, double value, Dimension dimension, bool point, const Unit *unit,
                bool full)
{
    if (isnan(value)) {
        text_add(text, "unknown");
        return;
    }
    if (!unit)
        unit = unit_default(dimension, point);
    text_add_number(text, unit ? unit_from_base(unit, value) : value, full ? 15 : 4);
    if (unit) {
        text_add(text, " ");
        text_add(text, unit->name);
    } else if (!dimension_equal(dimension, DIMENSION_NONE)) {
        text_add(text, " ");
        dimension_write(text, dimension);
    }
}

/* Regular expressions of quantities. Which units and which tolerances a field takes is
 * asked of the reader itself. For src/schema alone. */
#include <stdarg.h>
#include <string.h>

#include "schema/schema_inside.h"

#define BLANKS "[ \\t]*"
/* A decimal, a fraction, or whole ones and a fraction. */
#define NUMBER                                                                                     \
    "(?:" SCHEMA_DECIMAL "|(?:(?:0|[1-9][0-9]{0,8})[ "                                             \
                         "\\t]+)?(?:0|[1-9][0-9]{0,3})/[1-9][0-9]{0,3})"
/* Minus zero is zero, and no number under it. */
#define MINUS_ZERO "(?:-(?=0(?:\\.0+)?(?:\\.\\.|[^0-9.]|$)))?"

/* Excludes a tolerance. */
#define EXACTLY "(?:exactly +" BLANKS "(?!.*(?:±|\\+|\\.\\.)))?"

static bool taken(const QuantityForm *form, const char *text)
{
    Quantity quantity;
    Text problem = {0};
    bool good = quantity_read(text, strlen(text), form, &quantity, &problem);
    text_free(&problem);
    return good;
}

__attribute__((format(printf, 2, 3))) static bool takes(const QuantityForm *form,
                                                        const char *format, ...)
{
    Text text = {0};
    va_list arguments;
    va_start(arguments, format);
    text_addv(&text, format, arguments);
    va_end(arguments);
    bool good = taken(form, text_string(&text));
    text_free(&text);
    return good;
}

bool schema_quantity_bare(const QuantityForm *form)
{
    return taken(form, "1");
}

/* ---- Units ---- */

/* Ways to write units that the table of units does not list. */
static const char *const other_spellings[] = {"degC", "°"};
enum { SPELLING_COUNT = sizeof other_spellings / sizeof *other_spellings };

static const char *unit_name_at(size_t i)
{
    size_t count;
    const Unit *units = unit_table(&count);
    return i < count                    ? units[i].name
           : i < count + SPELLING_COUNT ? other_spellings[i - count]
                                        : NULL;
}

/* A unit that the form takes; NULL where it takes plain numbers only. */
static const char *some_unit(const QuantityForm *form)
{
    for (size_t i = 0; unit_name_at(i); i++)
        if (takes(form, "1 %s", unit_name_at(i)))
            return unit_name_at(i);
    return NULL;
}

/* Whether a tolerance in this unit goes with a value in some unit that the form takes. */
static bool takes_tolerance(const QuantityForm *form, const char *name)
{
    for (size_t i = 0; unit_name_at(i); i++)
        if (takes(form, "1 %s ± 0 %s", unit_name_at(i), name))
            return true;
    return false;
}

/* "(?:mm|cm|in)": the units of a value, or of its tolerance; nothing where there are none. */
static void add_units(Text *pattern, const QuantityForm *form, bool of_tolerance)
{
    const char *between = "(?:";
    for (size_t i = 0; unit_name_at(i); i++) {
        const char *name = unit_name_at(i);
        if (of_tolerance ? !takes_tolerance(form, name) : !takes(form, "1 %s", name))
            continue;
        text_addf(pattern, "%s%s", between, name);
        between = "|";
    }
    if (*between == '|')
        text_add(pattern, ")");
}

/* ---- Quantities ---- */

typedef struct Parts {
    Text unit, tolerance_unit; /* "" where there is none */
    const char *sign;
    const char *due; /* "?" where the unit may be left out */
    bool tolerance, range, exactly;
} Parts;

static void add_unit(Text *pattern, const Text *unit, const char *due)
{
    if (unit->length > 0)
        text_addf(pattern, "%s%s", text_string(unit), due);
}

/* ± N, + N - N: after the value. */
static void add_tolerance(Text *pattern, const Parts *parts)
{
    text_add(pattern, "(?:±|\\+/-|\\+-|\\+)" BLANKS NUMBER BLANKS "(?:");
    add_unit(pattern, &parts->tolerance_unit, parts->due);
    text_add(pattern, "|");
    add_unit(pattern, &parts->tolerance_unit, "?");
    text_add(pattern, BLANKS "-" BLANKS NUMBER BLANKS);
    add_unit(pattern, &parts->tolerance_unit, parts->due);
    text_add(pattern, ")");
}

static void add_other_end(Text *pattern, const Parts *parts)
{
    text_addf(pattern, "\\.\\." BLANKS "%s" NUMBER BLANKS, parts->sign);
    add_unit(pattern, &parts->unit, parts->due);
}

/* A number and what may follow it. Each may have its unit; the last one must. */
static void add_value(Text *pattern, const Parts *parts)
{
    text_addf(pattern, "%s" NUMBER BLANKS "(?:", parts->sign);
    add_unit(pattern, &parts->unit, parts->due);
    if (parts->tolerance || parts->range) {
        text_add(pattern, "|");
        add_unit(pattern, &parts->unit, "?");
        text_add(pattern, BLANKS "(?:");
        if (parts->tolerance)
            add_tolerance(pattern, parts);
        text_add(pattern, parts->tolerance && parts->range ? "|" : "");
        if (parts->range)
            add_other_end(pattern, parts);
        text_add(pattern, ")");
    }
    text_add(pattern, ")");
}

/* "tex 70", "Nm 90": the one unit stands in front. */
static void add_unit_before(Text *pattern, const QuantityForm *form, const Parts *parts)
{
    static const char *const before[] = {"tex", "Nm"};
    for (size_t i = 0; i < sizeof before / sizeof *before; i++) {
        if (!takes(form, "%s 1", before[i]))
            continue;
        Parts without = *parts;
        without.unit = without.tolerance_unit = (Text){0};
        text_addf(pattern, "|%s%s" BLANKS, parts->exactly ? EXACTLY : "", before[i]);
        add_value(pattern, &without);
    }
}

void schema_quantity_pattern(Text *pattern, const QuantityForm *form, bool below_zero)
{
    const char *unit = some_unit(form), *name = unit ? unit : "";
    Parts parts = {.sign = below_zero ? "-?" : MINUS_ZERO,
                   .due = schema_quantity_bare(form) ? "?" : "",
                   .tolerance = takes(form, "1 ± 0 %s", name),
                   .range = takes(form, "1..1 %s", name),
                   .exactly = takes(form, "exactly 1 %s", name)};
    add_units(&parts.unit, form, false);
    if (parts.tolerance)
        add_units(&parts.tolerance_unit, form, true);
    text_add(pattern, "^" BLANKS "(?:unknown|");
    text_add(pattern, parts.exactly ? EXACTLY : "");
    add_value(pattern, &parts);
    add_unit_before(pattern, form, &parts);
    text_add(pattern, ")" BLANKS "$");
    text_free(&parts.unit);
    text_free(&parts.tolerance_unit);
}

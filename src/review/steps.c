/* Numbers as written, one step further: unit, tolerance and decimals stay. For src/review. */
#include <math.h>
#include <string.h>

#include "review/review_inside.h"

enum { DENOMINATOR_MOST = 64, DECIMALS_MOST = 6, DIGITS_SHOWN = 12 };

/* A middling stitch: by it a step of stitch length is one of stitches per length. */
static const double pitch_usual = 2.5;

/* A number in a text: [start, end), its sign with it. */
typedef struct NumberText {
    size_t start, end;
    double value;
    int decimals;
    int denominator; /* 0: a decimal */
} NumberText;

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* The next number at or after `from`; false if there is none. */
static bool find_number(const char *text, size_t from, NumberText *number)
{
    size_t start = from + strcspn(text + from, "0123456789");
    if (!text[start])
        return false;
    Text ignored = {0};
    double value;
    size_t used = decimal_read(text + start, strlen(text + start), true, &value, &ignored);
    text_free(&ignored);
    if (used == 0)
        return false;
    bool negative = start > from && text[start - 1] == '-';
    *number =
        (NumberText){negative ? start - 1 : start, start + used, negative ? -value : value, 0, 0};
    const char *slash = memchr(text + start, '/', used), *point = memchr(text + start, '.', used);
    for (const char *c = slash ? slash + 1 : ""; is_digit(*c); c++)
        number->denominator = number->denominator * 10 + (*c - '0');
    if (!slash && point)
        number->decimals = (int)(text + start + used - point) - 1;
    return true;
}

/* The unit right after a number, else the one that ends the text or, as in "tex 70",
 * begins it; NULL: none is written. */
static const Unit *unit_of(const char *text, const NumberText *number)
{
    size_t at = number->end + strspn(text + number->end, " "), used;
    const Unit *unit = unit_longest(text + at, strlen(text + at), &used);
    for (NumberText next = *number; !unit && find_number(text, next.end, &next);) {
        at = next.end + strspn(text + next.end, " ");
        unit = unit_longest(text + at, strlen(text + at), &used);
    }
    at = strspn(text, " ");
    return unit ? unit : unit_find(text + at, strcspn(text + at, " "));
}

/* 1, 2 or 5 with noughts, the nearest. */
static double round_step(double step)
{
    static const double bounds[] = {1.4142135623730951, 3.1622776601683795, 7.0710678118654755};
    static const double rounds[] = {1, 2, 5, 10};
    double power = pow(10, floor(log10(step) + 1e-9)), mantissa = step / power;
    size_t i = 0;
    while (i < 3 && mantissa >= bounds[i])
        i++;
    return rounds[i] * power;
}

/* In the unit that is written; the table's own step where that is the table's unit. */
static double step_in(const Field *field, const Unit *unit)
{
    if (!unit)
        return field->step;
    if (unit->dimension.length == -1 && unit->dimension.mass == 0)
        return round_step(field->step / (pitch_usual * pitch_usual) * unit->denominator /
                          unit->numerator);
    return round_step(field->step * unit->denominator / unit->numerator);
}

static int decimals_of(double step)
{
    int decimals = 0;
    for (double s = step; decimals < DECIMALS_MOST && fabs(s - round(s)) > 1e-6; s *= 10)
        decimals++;
    return decimals;
}

/* At least so many decimals, as people write 4.0 beside 4.5. */
static void add_decimal(Text *text, double value, int decimals)
{
    double power = pow(10, decimals_of(value));
    value = round(value * power) / power;
    text_add_number(text, value, DIGITS_SHOWN);
    int written = decimals_of(value);
    if (written == 0 && decimals > 0)
        text_add(text, ".");
    for (int i = written; i < decimals; i++)
        text_add(text, "0");
}

/* By the denominator written, or a finer half of it where that is coarse. */
static bool step_fraction(Text *text, const NumberText *number, const Field *field,
                          const Unit *unit, int steps)
{
    int denominator = number->denominator;
    double wanted = 4 * (unit ? field->step * unit->denominator / unit->numerator : field->step);
    while (2 * denominator <= DENOMINATOR_MOST && 1.0 / denominator > wanted)
        denominator *= 2;
    double numerator = round(number->value * denominator) + steps;
    if (fabs(numerator) > 9999)
        return false;
    double whole = floor(numerator / denominator);
    bool mixed = number->value >= 1 && whole >= 1;
    if (mixed) {
        text_addf(text, "%.0f ", whole);
        numerator -= whole * denominator;
    }
    text_addf(text, "%.0f/%d", numerator, denominator);
    return true;
}

/* Both ends of "1.3..1.5 mm" move; of "4 ± 0.2 mm" only the first number does. */
static size_t numbers_that_move(const char *text, NumberText numbers[2])
{
    if (!find_number(text, 0, &numbers[0]))
        return 0;
    const char *after = text + numbers[0].end;
    const char *dots = strstr(after, "..");
    return dots && find_number(text, (size_t)(dots - text) + 2, &numbers[1]) ? 2 : 1;
}

/* How many decimals a text has anyway. */
static int decimals_in(const char *text)
{
    NumberText number;
    return text && find_number(text, 0, &number) ? number.decimals : 0;
}

bool step_number(Text *stepped, const Field *field, const char *text, const char *like,
                 const Unit *bare_length, int steps, Text *problem)
{
    NumberText numbers[2];
    size_t count = numbers_that_move(text, numbers), from = 0;
    if (count == 0 || !(field->step > 0)) {
        text_addf(problem, "%s cannot be stepped; type a value", field->name);
        return false;
    }
    const Unit *unit = unit_of(text, &numbers[0]);
    bool length =
        field_unit(field) && dimension_equal(field_unit(field)->dimension, DIMENSION_LENGTH);
    if (!unit && length)
        unit = bare_length;
    double step = step_in(field, unit);
    for (size_t i = 0; i < count; i++) {
        text_add_bytes(stepped, text + from, numbers[i].start - from);
        from = numbers[i].end;
        if (numbers[i].denominator == 0) {
            add_decimal(stepped, numbers[i].value + steps * step, decimals_in(like));
        } else if (!step_fraction(stepped, &numbers[i], field, unit, steps)) {
            text_addf(problem, "%s cannot go so far", field->name);
            return false;
        }
    }
    text_add(stepped, text + from);
    return true;
}

/* Arithmetic of numbers with tolerance, rounded outward. For the plain
 * evaluator only. */
#include "rule/interval.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

PlainNumber number_unknown(void)
{
    return (PlainNumber){NAN, NAN, NAN};
}

PlainNumber number_exact(double value)
{
    return isfinite(value) ? (PlainNumber){value, value, value} : number_unknown();
}

PlainNumber number_doubtful(double nominal)
{
    return (PlainNumber){isfinite(nominal) ? nominal : NAN, -INFINITY, INFINITY};
}

bool number_is_unknown(PlainNumber number)
{
    return isnan(number.lo);
}

bool number_is_doubtful(PlainNumber number)
{
    return isinf(number.lo);
}

static bool exact(PlainNumber a)
{
    return a.lo == a.hi;
}

/* The next double away from the interval; a result of 0 is exact. */
static PlainNumber outward(double nominal, double lo, double hi)
{
    lo = lo == 0 ? 0 : nextafter(lo, -INFINITY);
    hi = hi == 0 ? 0 : nextafter(hi, INFINITY);
    bool finite = isfinite(nominal) && isfinite(lo) && isfinite(hi);
    return finite ? (PlainNumber){nominal, lo, hi} : number_doubtful(nominal);
}

/* Whether the operands alone settle the result: unknown, doubtful or exact. */
static bool settled(PlainNumber a, PlainNumber b, double nominal, PlainNumber *result)
{
    if (number_is_unknown(a) || number_is_unknown(b)) {
        *result = number_unknown();
    } else if (number_is_doubtful(a) || number_is_doubtful(b)) {
        *result = number_doubtful(nominal);
    } else if (exact(a) && exact(b)) {
        *result = number_exact(nominal);
    } else {
        return false;
    }
    return true;
}

static PlainNumber hull_of_four(double nominal, const double ends[4])
{
    double lo = ends[0], hi = ends[0];
    for (int i = 1; i < 4; i++) {
        lo = ends[i] < lo ? ends[i] : lo;
        hi = ends[i] > hi ? ends[i] : hi;
    }
    return outward(nominal, lo, hi);
}

PlainNumber number_negate(PlainNumber a)
{
    return (PlainNumber){0 - a.nominal, 0 - a.hi, 0 - a.lo};
}

PlainNumber number_add(PlainNumber a, PlainNumber b)
{
    PlainNumber result;
    double nominal = a.nominal + b.nominal;
    return settled(a, b, nominal, &result) ? result : outward(nominal, a.lo + b.lo, a.hi + b.hi);
}

PlainNumber number_subtract(PlainNumber a, PlainNumber b)
{
    return number_add(a, number_negate(b));
}

PlainNumber number_multiply(PlainNumber a, PlainNumber b)
{
    PlainNumber result;
    double nominal = a.nominal * b.nominal;
    if (settled(a, b, nominal, &result)) {
        return result;
    }
    const double ends[4] = {a.lo * b.lo, a.lo * b.hi, a.hi * b.lo, a.hi * b.hi};
    return hull_of_four(nominal, ends);
}

PlainNumber number_divide(PlainNumber a, PlainNumber b)
{
    PlainNumber result;
    double nominal = a.nominal / b.nominal;
    if (settled(a, b, nominal, &result)) {
        return result;
    }
    if (b.lo == 0 && b.hi == 0) {
        return number_unknown();
    }
    if (b.lo <= 0 && b.hi >= 0) {
        return number_doubtful(nominal);
    }
    const double ends[4] = {a.lo / b.lo, a.lo / b.hi, a.hi / b.lo, a.hi / b.hi};
    return hull_of_four(nominal, ends);
}

static PlainNumber number_abs(PlainNumber a)
{
    PlainNumber result;
    double nominal = fabs(a.nominal);
    if (settled(a, a, nominal, &result)) {
        return result;
    }
    bool spans = a.lo <= 0 && a.hi >= 0;
    return (PlainNumber){nominal, spans ? 0 : fmin(fabs(a.lo), fabs(a.hi)),
                         fmax(fabs(a.lo), fabs(a.hi))};
}

/* An even power knows that both factors are one number: never below zero. */
PlainNumber number_power(PlainNumber a, int power)
{
    PlainNumber base = power % 2 == 0 && !exact(a) ? number_abs(a) : a;
    PlainNumber result = number_exact(1);
    if (power == 0) {
        double one = isnan(a.nominal) ? NAN : 1;
        return number_is_unknown(a) ? a : number_is_doubtful(a) ? number_doubtful(one) : result;
    }
    result = base;
    double nominal = a.nominal;
    for (int i = 1; i < power; i++) {
        result = number_multiply(result, base);
        nominal *= a.nominal;
    }
    result.nominal = number_is_unknown(result) || !isfinite(nominal) ? NAN : nominal;
    return result;
}

static PlainNumber number_root(PlainNumber a)
{
    PlainNumber result;
    double nominal = sqrt(a.nominal);
    if (settled(a, a, nominal, &result)) {
        return result;
    }
    if (a.hi < 0) {
        return number_unknown();
    }
    return a.lo < 0 ? number_doubtful(nominal) : outward(nominal, sqrt(a.lo), sqrt(a.hi));
}

/* A function that never falls and is exact: floor, ceil, round. */
static PlainNumber number_step(double step(double), PlainNumber a)
{
    PlainNumber result;
    double nominal = step(a.nominal);
    return settled(a, a, nominal, &result) ? result
                                           : (PlainNumber){nominal, step(a.lo), step(a.hi)};
}

/* Whether some first + k·period lies in [lo, hi], or so near that rounding may
 * hide it; of great arguments nothing is certain. */
static bool meets(double lo, double hi, double first, double period)
{
    const double near = 1e-9, great = 1e5;
    return fmax(fabs(lo), fabs(hi)) > great ||
           floor((hi - first) / period + near) >= ceil((lo - first) / period - near);
}

/* Two units in the last place: more than the C library errs. */
static PlainNumber wider(double nominal, double lo, double hi)
{
    PlainNumber once = outward(nominal, lo, hi);
    return number_is_doubtful(once) ? once : outward(nominal, once.lo, once.hi);
}

static PlainNumber number_cosine(PlainNumber a, double nominal, double shift)
{
    double ends[2] = {cos(a.lo - shift), cos(a.hi - shift)};
    bool top = meets(a.lo, a.hi, shift, 2 * pi), bottom = meets(a.lo, a.hi, shift + pi, 2 * pi);
    PlainNumber result =
        wider(nominal, bottom ? -1 : fmin(ends[0], ends[1]), top ? 1 : fmax(ends[0], ends[1]));
    /* A shifted argument is rounded: allow for it. */
    double slack = shift == 0 ? 0 : 4e-16 * (fabs(a.lo) + fabs(a.hi) + pi);
    result.lo -= slack;
    result.hi += slack;
    return result;
}

static PlainNumber number_circular(Function function, PlainNumber a)
{
    PlainNumber result;
    double nominal = function == FUNCTION_SIN   ? sin(a.nominal)
                     : function == FUNCTION_COS ? cos(a.nominal)
                                                : tan(a.nominal);
    if (settled(a, a, nominal, &result)) {
        return result;
    }
    if (function != FUNCTION_TAN) {
        return number_cosine(a, nominal, function == FUNCTION_SIN ? pi / 2 : 0);
    }
    return meets(a.lo, a.hi, pi / 2, pi) ? number_doubtful(nominal)
                                         : wider(nominal, tan(a.lo), tan(a.hi));
}

/* Off the half line where it jumps the angle of a box is greatest and least at
 * its corners. */
static PlainNumber number_atan2(PlainNumber y, PlainNumber x)
{
    PlainNumber result;
    double nominal = atan2(y.nominal, x.nominal);
    if (settled(y, x, nominal, &result)) {
        return result;
    }
    if (x.lo <= 0 && y.lo <= 0 && y.hi >= 0) {
        return wider(nominal, -pi, pi);
    }
    const double ends[4] = {atan2(y.lo, x.lo), atan2(y.lo, x.hi), atan2(y.hi, x.lo),
                            atan2(y.hi, x.hi)};
    PlainNumber hull = hull_of_four(nominal, ends);
    return outward(nominal, hull.lo, hull.hi);
}

static PlainNumber number_most(PlainNumber a, PlainNumber b)
{
    PlainNumber result;
    double nominal = isnan(a.nominal) || isnan(b.nominal) ? NAN
                     : a.nominal >= b.nominal             ? a.nominal
                                                          : b.nominal;
    return settled(a, b, nominal, &result)
               ? result
               : (PlainNumber){nominal, fmax(a.lo, b.lo), fmax(a.hi, b.hi)};
}

PlainNumber number_function(Function function, PlainNumber a, PlainNumber b)
{
    switch (function) {
    case FUNCTION_MIN:
        return number_negate(number_most(number_negate(a), number_negate(b)));
    case FUNCTION_MAX:
        return number_most(a, b);
    case FUNCTION_ABS:
        return number_abs(a);
    case FUNCTION_SQRT:
        return number_root(a);
    case FUNCTION_FLOOR:
        return number_step(floor, a);
    case FUNCTION_CEIL:
        return number_step(ceil, a);
    case FUNCTION_ROUND:
        return number_step(round, a);
    case FUNCTION_SIN:
    case FUNCTION_COS:
    case FUNCTION_TAN:
        return number_circular(function, a);
    case FUNCTION_ATAN2:
        return number_atan2(a, b);
    }
    return number_unknown();
}

/* Between two rows a table is straight or flat, so its ends and the rows within
 * tell all; beyond its rows it is unknown. */
PlainNumber number_table(const RuleTable *table, PlainNumber a)
{
    PlainNumber result;
    double nominal = table_value(table, a.nominal);
    if (settled(a, a, nominal, &result)) {
        return result;
    }
    double lo = table_value(table, a.lo), hi = table_value(table, a.hi);
    if (isnan(lo) || isnan(hi)) {
        bool beyond = a.hi < table->inputs[0] || a.lo > table->inputs[table->count - 1];
        return beyond && isnan(lo) && isnan(hi) ? number_unknown() : number_doubtful(nominal);
    }
    double ends[2] = {fmin(lo, hi), fmax(lo, hi)};
    for (size_t i = 0; i < table->count; i++) {
        if (table->inputs[i] >= a.lo && table->inputs[i] <= a.hi) {
            ends[0] = fmin(ends[0], table->outputs[i]);
            ends[1] = fmax(ends[1], table->outputs[i]);
        }
    }
    return table->between == BETWEEN_LINEAR ? wider(nominal, ends[0], ends[1])
                                            : (PlainNumber){nominal, ends[0], ends[1]};
}

PlainNumber number_select(const PlainTruth *condition, PlainNumber a, PlainNumber b)
{
    double nominal = condition->nominal == KLEENE_TRUE    ? a.nominal
                     : condition->nominal == KLEENE_FALSE ? b.nominal
                                                          : NAN;
    if (!condition->can_true && !condition->can_false) {
        return number_unknown();
    }
    if (condition->can_unknown) {
        return number_doubtful(nominal);
    }
    if (!condition->can_false) {
        return a;
    }
    if (!condition->can_true) {
        return b;
    }
    if (number_is_unknown(a) && number_is_unknown(b)) {
        return number_unknown();
    }
    if (number_is_unknown(a) || number_is_unknown(b)) {
        return number_doubtful(nominal);
    }
    return (PlainNumber){nominal, fmin(a.lo, b.lo), fmax(a.hi, b.hi)};
}

bool number_holds(double a, double b)
{
    return a >= b - 1e-9 * fmax(fabs(a), fabs(b));
}

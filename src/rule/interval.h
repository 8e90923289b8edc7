/* Numbers with a nominal value and the least and greatest they can be: the
 * arithmetic of the plain evaluator. For src/rule only. What plain.h says about
 * exact, unknown and possibly unknown numbers holds here. */
#ifndef CORDWAIN_RULE_INTERVAL_H
#define CORDWAIN_RULE_INTERVAL_H

#include "rule/plain.h"

PlainNumber number_exact(double value); /* NaN or infinite: unknown */
PlainNumber number_unknown(void);
/* Somewhere in the box it is unknown; `nominal` may be NaN. */
PlainNumber number_doubtful(double nominal);
bool number_is_unknown(PlainNumber number); /* everywhere */
bool number_is_doubtful(PlainNumber number);

PlainNumber number_negate(PlainNumber a);
PlainNumber number_add(PlainNumber a, PlainNumber b);
PlainNumber number_subtract(PlainNumber a, PlainNumber b);
PlainNumber number_multiply(PlainNumber a, PlainNumber b);
PlainNumber number_divide(PlainNumber a, PlainNumber b);
PlainNumber number_power(PlainNumber a, int power);
PlainNumber number_function(Function function, PlainNumber a, PlainNumber b);
PlainNumber number_table(const RuleTable *table, PlainNumber a);
/* `a` where `condition` is true, `b` where it is false. */
PlainNumber number_select(const PlainTruth *condition, PlainNumber a, PlainNumber b);

/* a >= b within the rounding that is forgiven. */
bool number_holds(double a, double b);

#endif

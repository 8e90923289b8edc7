/* One check of the program against a value from outside. For tests/reference.
 *
 * Each test there calls the program's own functions or reads the shipped rule
 * files; the other side of the comparison stands in a publication, named beside
 * the value, or comes from the GNU Scientific Library. The tolerance is what the
 * printed digits allow. Two kinds are counted apart: values that are printed, and
 * values worked out here from a published formula or by an independent method. What
 * is compared in bulk, and what a test must first make sure of, is not counted. */
#ifndef CORDWAIN_TESTS_REFERENCE_CHECK_H
#define CORDWAIN_TESTS_REFERENCE_CHECK_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <stdio.h>

#define ROWS(table) (sizeof(table) / sizeof *(table))

static size_t checks_printed, checks_worked;

/* Not counted. */
static inline void near_enough(const char *what, double got, double expected, double tolerance,
                               const char *source)
{
    if (!(fabs(got - expected) <= tolerance))
        fail_msg("%s: %.9g, but %.9g ± %g in %s", what, got, expected, tolerance, source);
}

/* The value stands in the source. */
static inline void check(const char *what, double got, double printed, double tolerance,
                         const char *source)
{
    near_enough(what, got, printed, tolerance, source);
    checks_printed++;
}

/* The value was worked out: the source gives the formula or the method. */
static inline void check_worked(const char *what, double got, double worked, double tolerance,
                                const char *source)
{
    near_enough(what, got, worked, tolerance, source);
    checks_worked++;
}

/* For the end of main(): how many checks were made, and what cmocka returned. */
static inline int checks_told(int failed)
{
    printf("%zu checks: %zu against printed values, %zu against values worked out\n",
           checks_printed + checks_worked, checks_printed, checks_worked);
    return failed;
}

#endif

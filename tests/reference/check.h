/* One check of the program against a value from outside. For tests/reference.
 *
 * Each test there calls the program's own functions; the other side of the
 * comparison stands in a publication, named beside the value, or comes from the
 * GNU Scientific Library. The tolerance is what the printed digits allow. */
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

static inline void check(const char *what, double got, double expected, double tolerance,
                         const char *source)
{
    if (!(fabs(got - expected) <= tolerance))
        fail_msg("%s: %.9g, but %.9g ± %g in %s", what, got, expected, tolerance, source);
}

#endif

/* Sorting of plain numbers. For everyone. */
#include "base/sort.h"

#include <stdlib.h>

static int ascending(const void *one, const void *other)
{
    double a = *(const double *)one, b = *(const double *)other;
    return (a > b) - (a < b);
}

void sort_numbers(double *numbers, size_t count)
{
    if (count > 1)
        qsort(numbers, count, sizeof *numbers, ascending);
}

/* Sorting of plain numbers. Knows nothing. */
#ifndef CORDWAIN_BASE_SORT_H
#define CORDWAIN_BASE_SORT_H

#include <stddef.h>

/* Ascending; none of them NaN. */
void sort_numbers(double *numbers, size_t count);

#endif

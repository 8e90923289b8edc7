/* What the benchmark programs share. */
#ifndef CORDWAIN_TESTS_BENCH_BENCH_H
#define CORDWAIN_TESTS_BENCH_BENCH_H

#include <time.h>

#include "base/sort.h"

/* Milliseconds of a clock that never goes back. */
static inline double bench_now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec * 1e3 + (double)time.tv_nsec * 1e-6;
}

/* Sorts them. */
static inline double bench_median(double *values, size_t count)
{
    sort_numbers(values, count);
    return values[count / 2];
}

#endif

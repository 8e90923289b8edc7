/* One-dimensional search. For src/remedy and tests; knows nothing. */
#ifndef CORDWAIN_REMEDY_SEEK_H
#define CORDWAIN_REMEDY_SEEK_H

#include <stdbool.h>

/* A continuous function; NaN where it has no value. */
typedef double SeekFunction(void *data, double x);

/* A root between a and b, at which the function has opposite signs, to within
 * `tolerance`: bisection where nothing better is safe, else secants and inverse
 * quadratics (R. P. Brent, Algorithms for Minimization without Derivatives, 1973,
 * chapter 4). False where the signs are not opposite or it meets a NaN. */
bool seek_root(SeekFunction *function, void *data, double a, double b, double tolerance,
               double *root);

/* What a value is like that stands at a whole number on a scale: how far up it gets (0,
 * 1, …), and a number that is greater the nearer it is to getting further (NaN: none). */
typedef struct SeekPoint {
    int rank;
    double margin;
} SeekPoint;
typedef SeekPoint SeekAt(void *data, long index);

/* The index nearest to `from`, towards `to` and not beyond, with at least `rank`;
 * `from` itself has less. Looks at steps that grow by half; where one has it, the first
 * that has is found by halving. Where the margin has a peak between three of them its
 * top is looked at, so that an interval narrower than the steps is found if the margin
 * rises towards it. False if none was found. */
bool seek_index(SeekAt *at, void *data, long from, long to, int rank, long *found);

#endif

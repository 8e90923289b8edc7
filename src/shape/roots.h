/* Roots of the small polynomials that cubic pieces lead to. Knows nothing. */
#ifndef CORDWAIN_SHAPE_ROOTS_H
#define CORDWAIN_SHAPE_ROOTS_H

enum { ROOTS_DEGREE_MOST = 5 };

/* The places inside 0..1, in order, where the polynomial of `degree` 1..5 changes
 * sign, to 1e-15; coefficients from the constant up. Room for `degree` roots.
 * Returns their number. Where it only touches zero is no root. */
int roots_of(const double *poly, int degree, double *roots);

#endif

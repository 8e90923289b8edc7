/* Finds where polynomials change sign between 0 and 1.
 * For path.c and profile.c. */
#include "shape/roots.h"

#include <math.h>
#include <stdbool.h>

enum { SEARCH_MOST = 80 };

static double value_at(const double *poly, int degree, double t)
{
    double value = poly[degree];
    while (degree-- > 0)
        value = value * t + poly[degree];
    return value;
}

static double slope_at(const double *poly, int degree, double t)
{
    double value = degree * poly[degree];
    while (--degree > 0)
        value = value * t + degree * poly[degree];
    return value;
}

/* The root between two places of opposite sign: Newton, else halving. */
static double root_between(const double *poly, int degree, double low, double high)
{
    bool rising = value_at(poly, degree, low) < 0;
    double t = (low + high) / 2;

    for (int i = 0; i < SEARCH_MOST && high - low > 1e-15; i++) {
        double value = value_at(poly, degree, t);
        if (value == 0)
            return t;
        if ((value < 0) == rising)
            low = t;
        else
            high = t;
        double next = t - value / slope_at(poly, degree, t);
        if (!(next > low && next < high))
            next = (low + high) / 2;
        if (fabs(next - t) < 1e-15)
            return next;
        t = next;
    }
    return t;
}

/* Between two neighbours among the roots of the derivative there is at most one. */
int roots_of(const double *poly, int degree, double *roots)
{
    double level[ROOTS_DEGREE_MOST + 1][ROOTS_DEGREE_MOST + 1], stops[ROOTS_DEGREE_MOST + 2];
    int count = 0;

    for (int i = 0; i <= degree; i++)
        level[degree][i] = poly[i];
    for (int d = degree - 1; d >= 0; d--)
        for (int i = 0; i <= d; i++)
            level[d][i] = level[d + 1][i + 1] * (i + 1);
    for (int d = 1; d <= degree; d++) {
        int stop_count = count + 2, found = 0;
        stops[0] = 0;
        for (int i = 0; i < count; i++)
            stops[i + 1] = roots[i];
        stops[count + 1] = 1;
        for (int i = 0; i + 1 < stop_count; i++) {
            double a = value_at(level[d], d, stops[i]), b = value_at(level[d], d, stops[i + 1]);
            if ((a < 0 && b > 0) || (a > 0 && b < 0))
                roots[found++] = root_between(level[d], d, stops[i], stops[i + 1]);
        }
        count = found;
    }
    return count;
}

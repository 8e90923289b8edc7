/* Size systems: from a size to a last's length, and what grading does to a
 * bend. For src/measure, src/judge and whoever shows sizes. */
#include "measure/sizing.h"

#include <math.h>

/* Thirds of an inch: child 0 is 4 in long, adult 1 is the size after child 13. */
static const double english_child_zero = 12;
static const double english_adult_zero = 25;

double sizing_step(SizeSystem system)
{
    switch (system) {
    case SIZE_PARIS_POINT:
        return 20.0 / 3;
    case SIZE_ENGLISH:
        return 25.4 / 3;
    case SIZE_MONDOPOINT:
        return 1;
    }
    return (double)NAN;
}

double sizing_length(SizeSystem system, double size, bool child)
{
    switch (system) {
    case SIZE_PARIS_POINT:
        return size * 20 / 3;
    case SIZE_ENGLISH:
        return (size + (child ? english_child_zero : english_adult_zero)) * 25.4 / 3;
    case SIZE_MONDOPOINT:
        return size;
    }
    return (double)NAN;
}

/* The ellipse has half axes x and y, and radii y²/x and x²/y at their ends;
 * the lesser of the two is its least. */
double sizing_radius_factor(double along, double across)
{
    if (!(along > 0 && across > 0))
        return (double)NAN;
    return fmin(across * across / along, along * along / across);
}

/* Size systems. Lengths mm. Sources: EN/ISO sizing practice as described in the
 * handbooks named in tests/reference/sizes.c: Paris point 2/3 cm from zero;
 * English size 1/3 in, child 0 = 4 in, adult 1 follows child 13; Mondopoint mm. */
#ifndef CORDWAIN_MEASURE_SIZING_H
#define CORDWAIN_MEASURE_SIZING_H

#include "style/style.h"

/* Length of one whole size: 20/3, 25.4/3, 1 (mondopoint sizes are mm). */
double sizing_step(SizeSystem system);
/* Last length of a size from the system's own zero: Paris 20/3·P; English adult
 * (25 + s)·25.4/3, child (12 + s)·25.4/3; Mondopoint s. */
double sizing_length(SizeSystem system, double size, bool child);
/* The least radius of the ellipse a circle of radius 1 becomes when stretched
 * by x along and y across: min(y²/x, x²/y). NaN unless both are above 0. */
double sizing_radius_factor(double along, double across);

#endif

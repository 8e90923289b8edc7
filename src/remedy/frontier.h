/* The frontier between two values as a picture. For whoever draws. */
#ifndef CORDWAIN_REMEDY_FRONTIER_H
#define CORDWAIN_REMEDY_FRONTIER_H

#include "figure/figure.h"
#include "remedy/remedy.h"

/* A graph: what y must be over x, and a mark where both are now. */
void remedy_frontier_figure(Figure *figure, const RemedyFrontier *frontier);

#endif

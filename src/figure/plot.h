/* What pictures share: axes and limits of graphs, plies as a cross-section.
 * Everything is added to a Figure; for whoever draws.
 *
 * A graph is stretched freely (FIGURE_FREE); an outline and a section are to scale,
 * and show it by a bar (Figure.scale, which plot_section sets). */
#ifndef CORDWAIN_FIGURE_PLOT_H
#define CORDWAIN_FIGURE_PLOT_H

#include "figure/figure.h"

/* Axes at the left and below with at most 7 ticks each, on numbers of 1, 2 or 5;
 * `across` and `up` say what they measure ("mm along the row", "mm of stack").
 * Sets the figure's stretch to FIGURE_FREE. `range` is what the values span (a span
 * without width is widened). Returns what the axes span: up to the tick that covers
 * the highest value, down to one below the lowest, or 0 if that is nearer than
 * the span. Draw the axes first. */
Box plot_axes(Figure *figure, Box range, const char *across, const char *up);
/* A line across the graph, with its name above its right end. */
void plot_limit(Figure *figure, Box axes, double limit, const char *name);
/* A curve; what of it lies above `limit` (NaN: none) in PEN_TROUBLE. */
void plot_curve(Figure *figure, const Point *points, size_t count, double limit);

/* One layer of a section, mm. A fold is two plies, the under one (the allowance,
 * or what is turned back) first; `turns_into` points to the other in the same array,
 * and they meet where both end, at their right (`turns` SIDE_RIGHT) or left. */
typedef struct SectionPly {
    const char *name;                    /* NULL: no label */
    double thickness;                    /* > 0; anything else: unknown */
    double from, to;                     /* across; from < to */
    const struct SectionPly *turns_into; /* NULL: none */
    Side turns;
} SectionPly;

/* Plies from the foot side (below) outward, each lying on those before it, to
 * scale; upper ones come down where a lower one ends. Names and thicknesses stand at
 * the side where the ply ends nearer to the section's end. An unknown thickness is
 * drawn as the mean of the known ones and said to be unknown; a ply whose from and to
 * make no width is counted in the notes and not drawn. Returns the box of the plies. */
Box plot_section(Figure *figure, const SectionPly *plies, size_t count);

#endif

/* Pictures in plain letters: which way the lines run through each cell, and which
 * area covers it. For figure_cells alone. */
#ifndef CORDWAIN_FIGURE_FIGURE_ASCII_H
#define CORDWAIN_FIGURE_FIGURE_ASCII_H

#include "figure/figure_inside.h"

/* A sign for each cell of 2 by 4 dots, row by row; ' ' where nothing is. */
char *ascii_signs(Arena *arena, const Figure *figure, const Layout *layout);

#endif

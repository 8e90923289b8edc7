/* What is asked of lines, worked out once for equal lines. For the files of src/measure
 * only.
 *
 * Lines without a number, and a measuring without a shelf, are answered all the same,
 * each time anew. What is found lives as long as `held`, else as the arena. */
#ifndef CORDWAIN_MEASURE_ONCE_H
#define CORDWAIN_MEASURE_ONCE_H

#include "measure/shelf.h"
#include "shape/line.h"

/* Lines kept together. */
typedef struct Lines {
    uint64_t number; /* of the whole */
    size_t count;
    const Line *items;
    const double *lengths; /* one a line, of whoever keeps them */
} Lines;

typedef struct Once {
    Held *held; /* NULL: nothing is kept */
    Arena *arena;
} Once;

/* Copies the lines to where they are kept (lengths NULL: all 0). A line without a number
 * gets one. */
const Lines *once_keep(Once once, const KeyWord *key, size_t words, const Line *lines,
                       const double *lengths, size_t count);
/* The number of a line by its points; 0 where nothing is kept. */
uint64_t once_points(Once once, const Line *line);
/* The number of a path by its pieces. */
uint64_t once_path(Once once, const Path *path);
/* area_beside(); the pieces have numbers. */
const Lines *once_beside(Once once, const Line *line, double distance);
/* line_levels(), line_gap_within() */
size_t once_levels(Once once, const Line *walk, const Line *line, double level, const double **at);
double once_gap(Once once, const Line *one, const Line *other, double within);
/* line_may_near() */
bool once_may_near(Once once, const Line *one, const Line *other, double within);

#endif

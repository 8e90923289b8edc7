/* Values of SVG attributes: transforms, lengths, viewBox. For drawing.c alone.
 *
 * Each adds what is wrong to `problem` and returns false. Numbers are read in the
 * "C" form whatever the locale.
 * Source: Scalable Vector Graphics (SVG) 1.1 (Second Edition), W3C Recommendation
 * 2011, chapter 7. */
#ifndef CORDWAIN_SHAPE_DRAWING_VALUES_H
#define CORDWAIN_SHAPE_DRAWING_VALUES_H

#include <locale.h>

#include "shape/path.h"

/* What reading numbers needs: newlocale(LC_ALL_MASK, "C", 0). */
typedef locale_t Plain;

/* A list of translate, scale, rotate, skewX, skewY and matrix, in the units and
 * the y direction of the drawing. Neither finite nor invertible ones are taken. */
bool drawing_transform(Plain plain, const char *value, Matrix *matrix, Text *problem);
/* True unless some direction is flattened or a number is not finite. */
bool matrix_is_sound(Matrix matrix);
/* "210mm" in mm, > 0. */
bool drawing_length(Plain plain, const char *value, double *mm, Text *problem);
/* Left, top, width, height. */
bool drawing_view_box(Plain plain, const char *value, double box[4], Text *problem);

#endif

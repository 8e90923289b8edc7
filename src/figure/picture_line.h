/* A proposed line over the drawn one. For the commands, the screen and the report.
 * Knows shape and the base of pictures; nothing of how the line was found. */
#ifndef CORDWAIN_FIGURE_PICTURE_LINE_H
#define CORDWAIN_FIGURE_PICTURE_LINE_H

#include "figure/picture.h"
#include "shape/rounded.h"

/* Enlarged where the lines lie farthest apart, in the base size, whatever the base's
 * size: the drawn line dashed, the proposed one solid, the greatest distance marked.
 * `edge` is drawn itself, not mirrored. False with `why`. */
bool picture_line(Arena *arena, const PictureBase *base, const Record *edge,
                  const Rounded *rounded, Figure *figure, Text *why);

#endif

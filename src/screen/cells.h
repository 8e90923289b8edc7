/* The screen as a grid of character cells, before it is put out: what each cell
 * shows and what it is. Tests read it as text; the terminal puts it out. No curses. */
#ifndef CORDWAIN_SCREEN_CELLS_H
#define CORDWAIN_SCREEN_CELLS_H

#include <stdbool.h>

#include "base/text.h"

/* What a stretch of text is; how it looks is the terminal's business. */
typedef enum Look {
    LOOK_PLAIN,
    LOOK_TITLE,
    LOOK_HEADING,
    LOOK_CHOSEN,
    LOOK_FLAG,
    LOOK_UNKNOWN,
    LOOK_TIGHT,
    LOOK_QUIET,
    LOOK_TROUBLE, /* the place in question in a picture; what was wrong with an entry */
    LOOK_COUNT
} Look;

/* One character with what combines with it, UTF-8; empty: the right half of a wide one. */
typedef struct ScreenCell {
    char text[15];
    unsigned char look;
} ScreenCell;

typedef struct Cells {
    int rows, columns;
    bool ascii;    /* everything is spelt with ASCII */
    bool braille;  /* pictures may use it */
    ScreenCell *cells;
    int cursor_y, cursor_x; /* the focus: screen readers follow it */
} Cells;

/* Blank cells of a new size (at least 1 by 1). */
void cells_start(Cells *cells, int rows, int columns);
void cells_free(Cells *cells);
/* Writes text in at most `width` cells; one that is longer is cut with an ellipsis.
 * Control characters end it. Returns the cells used. Outside the grid nothing happens. */
int cells_put(Cells *cells, int y, int x, int width, Look look, const char *text);
/* The same, and blanks up to the width. */
void cells_fill(Cells *cells, int y, int x, int width, Look look, const char *text);
/* The same against the right end of the width; returns where it begins. */
int cells_put_right(Cells *cells, int y, int x, int width, Look look, const char *text);
void cells_look(Cells *cells, int y, int x, int width, Look look);
void cells_line(Cells *cells, int y, int x, int width);
void cells_column(Cells *cells, int y, int x, int height);
/* How many cells a text takes here. */
int cells_width(const Cells *cells, const char *text);
/* Row by row without trailing blanks. */
void cells_text(Text *text, const Cells *cells);

#endif

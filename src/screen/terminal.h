/* Taking the terminal and giving it back on every way out. For the screen. */
#ifndef CORDWAIN_SCREEN_TERMINAL_H
#define CORDWAIN_SCREEN_TERMINAL_H

#include <stdbool.h>

/* What a stretch of text is; how it looks is decided here, from the terminal's
 * own colours plus bold and reverse, so that it reads on light and dark ground. */
typedef enum Look { LOOK_PLAIN, LOOK_TITLE, LOOK_HEADING, LOOK_CHOSEN, LOOK_FLAG, LOOK_UNKNOWN,
                    LOOK_TIGHT, LOOK_QUIET } Look;

bool terminal_take(void);
void terminal_give_back(void);
/* True once a signal asked the program to leave, or the terminal went away. */
bool terminal_must_leave(void);
/* Writes text of at most `width` cells at row y, column x, padded with blanks;
 * cut on cells, never in a character. Where the locale is not UTF-8, what ASCII
 * lacks is spelt (± as +/-) or shown as "?". */
void terminal_write(int y, int x, int width, Look look, const char *text);
/* The terminal's kind of line between panes. */
void terminal_line(int y, int x, int width);
void terminal_column(int y, int x, int height);

#endif

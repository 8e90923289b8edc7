/* Taking the terminal and giving it back on every way out; cells out, keys in. For the
 * screen. The only room with curses and with state outside its functions, which a signal
 * handler needs. */
#ifndef CORDWAIN_SCREEN_TERMINAL_H
#define CORDWAIN_SCREEN_TERMINAL_H

#include <stdbool.h>

#include "screen/cells.h"

/* False if this terminal cannot place its cursor, or is none. */
bool terminal_take(void);
void terminal_give_back(void);
/* True once a signal asked the program to leave, or the terminal went away. */
bool terminal_must_leave(void);
/* Blank cells as large as the terminal, with what its locale and kind can show. */
void terminal_start(Cells *cells);
/* Puts out what changed since the last time. */
void terminal_show(const Cells *cells);
/* The next time everything is put out. */
void terminal_repaint(void);
/* The next key as view.h has them; K_NONE when none came in so many milliseconds. */
int terminal_key(int patience);
/* Lays the program aside until it is brought back. */
void terminal_suspend(void);
/* Runs the editor of $VISUAL or $EDITOR at a line; its words go as they are, by no shell.
 * False with the reason if it could not be run. */
bool terminal_edit(const char *file, int line, Text *problem);

#endif

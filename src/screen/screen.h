/* The screen: findings by part, and why. The only room with curses, and the
 * only one with state outside its functions (what a signal handler needs). */
#ifndef CORDWAIN_SCREEN_SCREEN_H
#define CORDWAIN_SCREEN_SCREEN_H

#include "judge/judge.h"

/* Shows the judgement until the user leaves. False if the terminal cannot be
 * used or is smaller than 60x16: the caller then prints instead. */
bool screen_run(const Judgement *judgement);

#endif

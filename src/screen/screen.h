/* The review screen: a view, and the terminal it is seen on. */
#ifndef CORDWAIN_SCREEN_SCREEN_H
#define CORDWAIN_SCREEN_SCREEN_H

#include "screen/view.h"

typedef enum ScreenEnd {
    SCREEN_LEFT,        /* the user left; `status` is that of the style as it stood */
    SCREEN_NO_TERMINAL, /* it cannot be used, or is smaller than 60x16: print instead */
    SCREEN_NO_STYLE     /* messages say why */
} ScreenEnd;

/* Shows the style until the user leaves. */
ScreenEnd screen_run(const ViewSetup *setup, Messages *messages, int *status);

#endif

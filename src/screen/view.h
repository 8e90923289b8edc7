/* The review as people see it: pages, keys, questions at the bottom line. Everything
 * but the terminal itself: keys go in, cells come out. For screen.c and tests. */
#ifndef CORDWAIN_SCREEN_VIEW_H
#define CORDWAIN_SCREEN_VIEW_H

#include "log/date.h"
#include "review/review.h"
#include "screen/cells.h"

/* Keys: characters as code points, and these. */
enum {
    K_NONE = 0,
    K_TAB = 9,
    K_ENTER = 13,
    K_ESCAPE = 27,
    K_BACKSPACE = 127,
    K_UP = 0x110000,
    K_DOWN,
    K_LEFT,
    K_RIGHT,
    K_HOME,
    K_END,
    K_PAGE_UP,
    K_PAGE_DOWN,
    K_DELETE,
    K_F1,
    K_RESIZE
};
#define K_CTRL(letter) ((letter) & 0x1f)

enum { LEAST_ROWS = 16, LEAST_COLUMNS = 60 };

typedef struct ViewSetup {
    ReviewFiles files;
    const char *factories; /* folder of factory files; NULL: none to choose from */
    Date today;
    time_t moment;         /* when decisions are taken; 0: as the clock says */
    bool tour;             /* begins with the tour */
} ViewSetup;

typedef struct View View;

/* NULL with messages; else messages are notices. What `setup` points to must outlive it. */
View *view_open(const ViewSetup *setup, Messages *messages);
void view_close(View *view);
void view_key(View *view, int key);
/* Draws into cells that were started with the size to fill. */
void view_draw(View *view, Cells *cells);
/* What was drawn is still being worked out, such as what would clear a finding. Then
 * view_work() does a piece of it, which can take half a second, and it is drawn again. */
bool view_works(const View *view);
void view_work(View *view);
/* The terminal is gone, or a signal asked to leave: what is not saved is written beside the
 * style's file, and messages say where. */
void view_abandon(View *view, Messages *messages);
/* The user left. */
bool view_left(const View *view);
/* The exit status of the style as it stands: log_release(). */
int view_status(const View *view);

/* What only the one who has the terminal can do. */
typedef enum WishKind { WISH_NONE, WISH_EDIT, WISH_SUSPEND, WISH_REPAINT } WishKind;
typedef struct Wish {
    WishKind kind;
    const char *file; /* WISH_EDIT; lives until the next key */
    int line;
} Wish;
/* Asked once, it is none again. */
Wish view_wish(View *view);
/* The editor was left; `problem` NULL: it ran well. */
void view_edited(View *view, const char *problem);

#endif

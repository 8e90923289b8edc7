/* The review screen: draws the view, hands it keys, and does what needs the terminal.
 * For the command that opens it. */
#include "screen/screen.h"

#include "screen/terminal.h"

static void edit(View *view, const Wish *wish)
{
    Text problem = {0};
    bool ran = terminal_edit(wish->file, wish->line, &problem);
    view_edited(view, ran ? NULL : text_string(&problem));
    text_free(&problem);
}

static void fulfil(View *view)
{
    Wish wish = view_wish(view);
    switch (wish.kind) {
    case WISH_NONE:
        break;
    case WISH_REPAINT:
        terminal_repaint();
        break;
    case WISH_SUSPEND:
        terminal_suspend();
        terminal_repaint();
        break;
    case WISH_EDIT:
        edit(view, &wish);
        break;
    }
}

/* Milliseconds: so that a signal which asks to leave is seen soon; and so that nothing is worked
 * out between two keys of somebody who types. */
enum { PATIENCE = 500, PAUSE = 120 };

/* K_NONE: what is being worked out has got further, or it is time to leave. */
static int next_key(View *view)
{
    int key;
    do
        key = terminal_key(view_works(view) ? PAUSE : PATIENCE);
    while (key == K_NONE && !view_works(view) && !terminal_must_leave());
    if (key == K_NONE)
        view_work(view);
    return key;
}

static void run(View *view, Cells *cells)
{
    while (!view_left(view) && !terminal_must_leave()) {
        terminal_start(cells);
        view_draw(view, cells);
        terminal_show(cells);
        view_key(view, next_key(view));
        fulfil(view);
    }
}

ScreenEnd screen_run(const ViewSetup *setup, Messages *messages, int *status)
{
    View *view = view_open(setup, messages);
    if (view == NULL)
        return SCREEN_NO_STYLE;
    Cells cells = {0};
    bool taken = terminal_take();
    if (taken)
        terminal_start(&cells);
    bool enough = taken && cells.rows >= LEAST_ROWS && cells.columns >= LEAST_COLUMNS;
    if (enough)
        run(view, &cells);
    terminal_give_back();
    view_abandon(view, messages);
    *status = view_status(view);
    cells_free(&cells);
    view_close(view);
    return enough ? SCREEN_LEFT : SCREEN_NO_TERMINAL;
}

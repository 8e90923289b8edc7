/* Moving: findings, stops, pages, from one pane to the other and back. For the table
 * of keys. */
#include "screen/view_inside.h"

#include <string.h>

/* ---- One step ---- */

static void go_choice(View *view, size_t choice)
{
    view->choice = choice;
    text_clear(&view->choice_path);
    text_add(&view->choice_path, view->choices[choice].path);
}

/* The rows that keys move among: of the stop, or all. */
static void bounds(const View *view, size_t *first, size_t *end)
{
    *first = 0;
    *end = view->row_count;
    if (view->page == PAGE_LIST)
        return;
    while (*first < *end && view->rows[*first].stop != view->stop)
        ++*first;
    while (*end > *first && view->rows[*end - 1].stop != view->stop)
        --*end;
}

static void move_rows(View *view, bool down, size_t times)
{
    size_t first, end;
    bounds(view, &first, &end);
    if (first == end)
        return;
    size_t row = view->row == NO_ROW ? first : view->row;
    if (view->row == NO_ROW) {
        view_go_row(view, row);
        return;
    }
    size_t room = down ? end - 1 - row : row - first;
    if (room == 0 && view->page == PAGE_WALK)
        view_say(view, down ? "the last finding of this stop; Right goes to the next stop"
                            : "the first finding of this stop; Left goes to the stop before");
    if (times > room)
        times = room;
    if (times > 0)
        view_go_row(view, down ? row + times : row - times);
}

static void move_by(View *view, bool down, size_t times)
{
    if (view->page == PAGE_TEXT) {
        text_page_scroll(view, down ? (long)times : -(long)times);
    } else if (view->page == PAGE_REMEDIES) {
        remedies_move(view, down, times);
    } else if (view->page == PAGE_LINE) {
        line_scroll(view, down, times);
    } else if (view->page == PAGE_WAYS) {
        ways_move(view, down, times);
    } else if (view->page == PAGE_ORDER) {
        order_move(view, down, times);
    } else if (view->changing) {
        size_t room = down ? view->choice_count - 1 - view->choice : view->choice;
        times = times < room ? times : room;
        go_choice(view, down ? view->choice + times : view->choice - times);
    } else {
        move_rows(view, down, times);
    }
}

void move_up(View *view)
{
    move_by(view, false, 1);
}

void move_down(View *view)
{
    move_by(view, true, 1);
}

static size_t page_of(const View *view)
{
    return view->page_rows > 1 ? view->page_rows - 1 : 1;
}

void move_page_up(View *view)
{
    move_by(view, false, page_of(view));
}

void move_page_down(View *view)
{
    move_by(view, true, page_of(view));
}

void move_first(View *view)
{
    move_by(view, false, 1u << 30);
}

void move_last(View *view)
{
    move_by(view, true, 1u << 30);
}

/* ---- Lists of which one line is chosen ---- */

void scroll_move(Scroll *scroll, size_t count, bool down, size_t times)
{
    size_t room = count == 0 ? 0 : down ? count - 1 - scroll->chosen : scroll->chosen;
    times = times < room ? times : room;
    scroll->chosen = down ? scroll->chosen + times : scroll->chosen - times;
}

/* From the chosen line and the height alone: what was seen comes back with the size. */
void scroll_show(Scroll *scroll, size_t count, size_t height)
{
    if (scroll->chosen >= count)
        scroll->chosen = count > 0 ? count - 1 : 0;
    scroll->top = scroll->chosen > height / 2 ? scroll->chosen - height / 2 : 0;
    if (scroll->top + height > count)
        scroll->top = count > height ? count - height : 0;
}

void scroll_draw(Cells *cells, int y, int x, int width, const Scroll *scroll, size_t count,
                 size_t height)
{
    Text text = {0};
    if (count > height)
        text_addf(&text, "%zu to %zu of %zu", scroll->top + 1, scroll->top + height, count);
    cells_put_right(cells, y, x, width, LOOK_QUIET, text_string(&text));
    text_free(&text);
}

/* ---- Stops ---- */

void move_stop_before(View *view)
{
    if (view->stop == 0)
        view_say(view, "this is the first stop");
    else
        view_go_stop(view, view->stop - 1);
}

void move_stop_after(View *view)
{
    size_t count;
    view_stop(view, &count);
    if (view->stop + 1 >= count)
        view_say(view, "this is the last stop");
    else
        view_go_stop(view, view->stop + 1);
}

/* ---- What is to be settled ---- */

static bool unsettled(const View *view, size_t row)
{
    const Finding *finding = view->rows[row].finding;
    return view_must_settle(finding) && !view_is_settled(view, finding);
}

/* The row to go on from: that chosen, else where the stop's would be. */
static size_t row_here(const View *view, bool down)
{
    size_t row = 0;
    if (view->row != NO_ROW)
        return view->row;
    while (row < view->row_count && view->rows[row].stop < view->stop)
        row++;
    return down ? row + view->row_count - 1 : row;
}

static void go_unsettled(View *view, bool down)
{
    size_t count = view->row_count, here = row_here(view, down);
    for (size_t i = 1; i <= count; i++) {
        size_t row = (here + (down ? i : count - i)) % count;
        if (!unsettled(view, row))
            continue;
        bool wrapped = down ? row <= here % count : row >= here;
        view_go_row(view, row);
        if (i == count)
            view_say(view, "this is the only finding left to settle");
        else if (wrapped && view->row != NO_ROW)
            view_say(view, down ? "from the first stop again" : "from the last stop again");
        return;
    }
    view_say(view, filter_on(view) ? "nothing to settle among the findings that are shown"
                                   : "everything is settled");
}

void move_next_unsettled(View *view)
{
    go_unsettled(view, true);
}

void move_unsettled_before(View *view)
{
    go_unsettled(view, false);
}

/* ---- Pages and panes ---- */

void move_other_pane(View *view)
{
    if (view->choice_count == 0)
        view_say(view, "nothing can be changed here");
    else
        view->changing = !view->changing;
    if (view->changing)
        go_choice(view, view->choice);
}

/* Enter: into what is chosen. */
void move_open(View *view)
{
    if (view->page == PAGE_LIST)
        view->page = PAGE_WALK;
    else
        move_other_pane(view);
}

void move_to_list(View *view)
{
    view->changing = false;
    view->page = PAGE_LIST;
}

void move_everything(View *view)
{
    view->filter.everything = !view->filter.everything;
    view_rebuild(view);
    view_say(view, view->filter.everything ? "every finding, also what passes, is out or off"
                                           : "only flag, unknown and tight");
}

/* Ways and order lead to each other: both go back to what was before them. */
Page page_before(const View *view)
{
    return view->page == PAGE_WAYS    ? view->ways.before
           : view->page == PAGE_ORDER ? view->order.before
                                      : view->page;
}

/* One step back; from the first page, out. */
void move_back(View *view)
{
    if (view->page == PAGE_TEXT)
        view->page = view->page_text.before;
    else if (view->page == PAGE_LINE)
        view->page = PAGE_REMEDIES;
    else if (view->page == PAGE_REMEDIES)
        view->page = view->clearing.before;
    else if (view->page == PAGE_WAYS)
        view->page = view->ways.before;
    else if (view->page == PAGE_ORDER)
        view->page = view->order.before;
    else if (view->page != PAGE_WALK)
        view->page = PAGE_WALK;
    else if (view->changing)
        view->changing = false;
    else
        move_leave(view);
}

void move_leave(View *view)
{
    if (change_any(view))
        save_then_leave(view);
    else
        view->left = true;
}

void move_repaint(View *view)
{
    view->wish = WISH_REPAINT;
}

void move_suspend(View *view)
{
    view->wish = WISH_SUSPEND;
}

/* The page of the making order: seam by seam flat or in the round and why, as the style gives it
 * or as it is proposed. For the screen. */
#include <string.h>

#include "screen/view_inside.h"

static const MakingOrder *order_shown(const View *view)
{
    return view->order.proposed ? &view->order.proposal : &view->order.given;
}

static bool is_stop_of(const Stop *stop, const char *seam)
{
    size_t name = strlen(stop->name), length = strlen(seam);
    return name >= length && strcmp(stop->name + name - length, seam) == 0 &&
           (name == length || strncmp(stop->name + name - length - 2, ": ", 2) == 0);
}

/* NO_ROW: none. */
static size_t stop_of(const View *view, const MakingStep *step)
{
    const Stop *stops;
    size_t count = review_stops(view->review, &stops);
    for (size_t i = 0; i < count; i++)
        if (is_stop_of(&stops[i], step->seam->record->path))
            return i;
    return NO_ROW;
}

/* To where we are, if that is a seam. */
static void choose_here(View *view)
{
    const MakingOrder *order = order_shown(view);
    view->order.rows = (Scroll){0};
    for (size_t i = 0; i < order->count; i++)
        if (stop_of(view, &order->steps[i]) == view->stop)
            view->order.rows.chosen = i;
}

bool order_can(const View *view)
{
    return view->page != PAGE_ORDER;
}

void order_open(View *view)
{
    OrderPage *page = &view->order;
    Page before = page_before(view);
    arena_free(&page->arena);
    *page = (OrderPage){.before = before};
    const Judgement *judgement = review_judgement(view->review);
    page->given = making_given(&page->arena, judgement);
    page->proposal = making_proposed(&page->arena, judgement);
    view->page = PAGE_ORDER;
    choose_here(view);
}

void order_other(View *view)
{
    OrderPage *page = &view->order;
    page->proposed = !page->proposed;
    choose_here(view);
    if (!page->proposed)
        return;
    if (page->proposal.unsought)
        view_say(view, "too many seams to try others: no other order was sought");
    else
        view_say(view, page->proposal.flat > page->given.flat
                           ? "a proposal: nothing is changed; write it under order: in the file"
                           : "no order was found in which more seams lie flat");
}

void order_move(View *view, bool down, size_t times)
{
    scroll_move(&view->order.rows, order_shown(view)->count, down, times);
}

void order_take(View *view)
{
    const MakingOrder *order = order_shown(view);
    size_t stop = order->count > 0 ? stop_of(view, &order->steps[view->order.rows.chosen]) : NO_ROW;
    if (stop == NO_ROW) {
        view_say(view, "this seam has no stop");
        return;
    }
    view->page = PAGE_WALK;
    view_go_stop(view, stop);
}

/* ---- Drawing ---- */

static const char *sewn_word(const MakingStep *step)
{
    return step->sewing.flat == TRI_YES ? "flat" : step->sewing.flat == TRI_NO ? "round" : "?";
}

/* ">* 12  round  collar: it closes a ring itself" */
static void draw_step(const View *view, Cells *cells, int y, int width, size_t row)
{
    const MakingStep *step = &order_shown(view)->steps[row];
    bool chosen = row == view->order.rows.chosen, here = stop_of(view, step) == view->stop;
    Look look = chosen ? LOOK_CHOSEN : here ? LOOK_HEADING : LOOK_PLAIN;
    Text line = {0};
    text_addf(&line, "%c%c%3zu  %-5s  ", chosen ? '>' : ' ', here ? '*' : ' ', row + 1,
              sewn_word(step));
    add_visible(&line, step->seam->record->path);
    if (step->round != NULL) {
        text_add(&line, ": ");
        add_visible(&line, step->round);
    }
    cells_fill(cells, y, 0, width, look, text_string(&line));
    if (chosen) {
        cells->cursor_y = y;
        cells->cursor_x = 0;
    }
    text_free(&line);
}

static void add_list(Text *text, const char *label, const char *const *items, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        text_add(text, i > 0 ? "; " : label);
        add_visible(text, items[i]);
    }
    text_add(text, count > 0 ? "\n" : "");
}

/* What is done before and after the chosen seam, and why it is sewn in the round. */
static void draw_chosen(const View *view, Cells *cells, int y, int x, int height, int width)
{
    const MakingStep *step = &order_shown(view)->steps[view->order.rows.chosen];
    Text text = {0}, wrapped = {0};
    add_visible(&text, step->seam->record->path);
    text_add(&text, step->sewing.flat == TRI_YES  ? ": lies flat on the bed\n"
                    : step->sewing.flat == TRI_NO ? ": is sewn in the round\n"
                                                    : ": flat or round is not known\n");
    if (step->round != NULL) {
        add_visible(&text, step->round);
        text_add(&text, "\n");
    }
    add_list(&text, "before: ", step->before, step->before_count);
    add_list(&text, "after: ", step->after, step->after_count);
    text_wrap_lines(&wrapped, text_string(&text), width);
    int lines = text_lines(&wrapped);
    text_draw_lines(cells, y, x, height, width, LOOK_PLAIN, text_string(&wrapped));
    if (lines > height)
        cells_fill(cells, y + height - 1, x, width, LOOK_QUIET,
                   "… more lines; cordwain order shows all");
    text_free(&text);
    text_free(&wrapped);
}

static void draw_head(const View *view, Cells *cells)
{
    const MakingOrder *order = order_shown(view);
    const Style *style = review_judgement(view->review)->style;
    Text line = {0};
    text_addf(&line, "Making order %s: %zu flat, %zu round",
              view->order.proposed      ? "proposed"
              : style->order_count == 0 ? "of the file, none is given"
                                        : "as given",
              order->flat, order->round);
    if (order->unknown > 0)
        text_addf(&line, ", %zu unknown", order->unknown);
    if (order->left_out_count > 0)
        text_addf(&line, "; %zu not in it", order->left_out_count);
    text_add(&line, "; * is here");
    cells_put(cells, 2, 1, cells->columns - 26, LOOK_HEADING, text_string(&line));
    text_free(&line);
}

void order_draw(View *view, Cells *cells)
{
    enum { WIDE = 130 };
    const MakingOrder *order = order_shown(view);
    int end = cells->rows - 2, below = cells->columns >= WIDE ? 0 : smaller(8, (end - 3) / 3);
    int width = below == 0 ? cells->columns * 55 / 100 : cells->columns;
    size_t rows = (size_t)(end - 3 - (below > 0 ? below + 1 : 0));
    draw_head(view, cells);
    scroll_show(&view->order.rows, order->count, rows);
    for (size_t i = 0; i < rows && view->order.rows.top + i < order->count; i++)
        draw_step(view, cells, 3 + (int)i, width, view->order.rows.top + i);
    scroll_draw(cells, 2, cells->columns - 24, 23, &view->order.rows, order->count, rows);
    view->page_rows = rows;
    if (order->count == 0) {
        cells_put(cells, 4, 3, cells->columns - 4, LOOK_PLAIN, "The style has no seams.");
    } else if (below > 0) {
        cells_line(cells, end - below - 1, 0, cells->columns);
        draw_chosen(view, cells, end - below, 1, below, cells->columns - 2);
    } else {
        cells_column(cells, 3, width, end - 3);
        draw_chosen(view, cells, 3, width + 2, end - 3, cells->columns - width - 3);
    }
    message_draw(view, cells);
}

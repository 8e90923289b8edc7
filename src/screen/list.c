/* One list of the findings of all stops. For the screen. */
#include <string.h>

#include "screen/view_inside.h"

/* Lines of the list: a heading before the first finding of each stop. */
static size_t line_of(const View *view, size_t row)
{
    size_t line = 0;
    for (size_t i = 0; i <= row && i < view->row_count; i++) {
        line += i == 0 || view->rows[i].stop != view->rows[i - 1].stop;
        line += i < row;
    }
    return line;
}

static void draw_rows(View *view, Cells *cells, int y, size_t height)
{
    size_t count, lines = line_of(view, view->row_count);
    const Stop *at = view_stop(view, &count);
    const Stop *stops = at - view->stop;
    size_t chosen = view->row != NO_ROW ? line_of(view, view->row) : 0;
    size_t top = chosen > height / 2 ? chosen - height / 2 : 0;
    top = lines <= height ? 0 : top + height > lines ? lines - height : top;
    size_t line = 0;
    for (size_t row = 0; row < view->row_count && line < top + height; row++) {
        if (row == 0 || view->rows[row].stop != view->rows[row - 1].stop) {
            if (line >= top)
                cells_put(cells, y + (int)(line - top), 1, cells->columns - 2, LOOK_HEADING,
                          stops[view->rows[row].stop].name);
            line++;
        }
        if (line >= top && line < top + height) {
            finding_draw_row(view, cells, y + (int)(line - top), 0, cells->columns, row);
            if (row == view->row)
                cells->cursor_y = y + (int)(line - top);
        }
        line++;
    }
    cells->cursor_x = 0;
}

void list_draw(View *view, Cells *cells)
{
    Text line = {0};
    text_addf(&line, "%s", view->filter.everything ? "Every finding" : "Open findings");
    if (view->row != NO_ROW)
        text_addf(&line, ": %zu of %zu", view->row + 1, view->row_count);
    if (filter_on(view)) {
        text_add(&line, "   ");
        filter_say(&line, view);
    }
    cells_put(cells, 2, 1, cells->columns - 2, LOOK_HEADING, text_string(&line));
    text_free(&line);
    size_t height = (size_t)(cells->rows - 5);
    if (view->row_count > 0)
        draw_rows(view, cells, 3, height);
    else
        cells_put(cells, 4, 3, cells->columns - 4, LOOK_PLAIN,
                  filter_on(view) ? "The filter hides everything; f takes another."
                                  : "Nothing is open. a shows what passes.");
    view->page_rows = height;
    message_draw(view, cells);
}

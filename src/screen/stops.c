/* Where we are in the shoe: the stop in making order and its neighbours. For the page
 * of a stop. */
#include <string.h>

#include "screen/view_inside.h"

/* "Stop 8 of 34  upper: cap" and at the right what comes before and after. */
void stops_draw_line(const View *view, Cells *cells, int y)
{
    size_t count;
    const Stop *stop = view_stop(view, &count);
    if (stop == NULL)
        return;
    Text line = {0}, right = {0};
    text_addf(&line, "Stop %zu of %zu  ", view->stop + 1, count);
    text_add_visible(&line, stop->name, strlen(stop->name));
    if (view->stop > 0) {
        text_add(&right, "< ");
        text_add_visible(&right, stop[-1].name, strlen(stop[-1].name));
    }
    if (view->stop + 1 < count) {
        text_add(&right, right.length > 0 ? "   " : "");
        text_add_visible(&right, stop[1].name, strlen(stop[1].name));
        text_add(&right, " >");
    }
    int used = cells_put(cells, y, 1, cells->columns - 2, LOOK_HEADING, text_string(&line));
    int room = cells->columns - used - 4;
    if (room > 12)
        cells_put_right(cells, y, used + 3, room, LOOK_QUIET, text_string(&right));
    text_free(&line);
    text_free(&right);
}

/* How many of a stop's findings are still to be settled. */
static size_t to_settle(const View *view, const Stop *stop)
{
    size_t count = 0;
    for (size_t i = 0; i < stop->count; i++)
        count += view_must_settle(stop->findings[i]) && !view_is_settled(view, stop->findings[i]);
    return count;
}

static void draw_stop(const View *view, Cells *cells, int y, int x, int width, const Stop *stop,
                      bool here)
{
    size_t left = to_settle(view, stop);
    Text line = {0}, right = {0};
    text_add(&line, here ? "> " : "  ");
    text_add_visible(&line, stop->name, strlen(stop->name));
    if (left > 0)
        text_addf(&right, "%zu to settle", left);
    else if (stop->open > 0)
        text_addf(&right, "%zu open", stop->open);
    Look look = here ? LOOK_HEADING : left > 0 ? LOOK_PLAIN : LOOK_QUIET;
    int room = width - cells_width(cells, text_string(&right)) - 1;
    cells_put(cells, y, x, room, look, text_string(&line));
    cells_put_right(cells, y, x, width, look, text_string(&right));
    text_free(&line);
    text_free(&right);
}

void stops_draw(const View *view, Cells *cells, int y, int x, int height, int width)
{
    size_t count, rows = height > 0 ? (size_t)height : 0;
    const Stop *stop = view_stop(view, &count);
    if (stop == NULL || rows == 0)
        return;
    const Stop *stops = stop - view->stop;
    size_t first = view->stop > rows / 2 ? view->stop - rows / 2 : 0;
    if (count <= rows)
        first = 0;
    else if (first + rows > count)
        first = count - rows;
    for (size_t i = 0; i < rows && first + i < count; i++)
        draw_stop(view, cells, y + (int)i, x, width, &stops[first + i], first + i == view->stop);
}

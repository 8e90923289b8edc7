/* The page of a stop: where we are, what is wrong there, and what would clear it. Panes
 * take the room that what they hold needs. For the screen. */
#include <string.h>

#include "screen/view_inside.h"

enum { WIDE = 150, SIDE = 44 };

/* ---- What is said ---- */

static int message_lines(const View *view, const Cells *cells, Text *wrapped)
{
    text_wrap_lines(wrapped, text_string(&view->message), cells->columns - 2);
    int most = cells->rows >= 30 ? cells->rows / 6 : 4;
    return larger(1, smaller(text_lines(wrapped), most));
}

static void draw_message(const View *view, Cells *cells, int y, int lines, const char *line)
{
    for (int i = 0; i < lines; i++) {
        Text text = {0};
        size_t length = strcspn(line, "\n");
        text_add_bytes(&text, line, length);
        if (i + 1 == lines && line[length] != '\0' && line[length + 1] != '\0')
            text_add(&text, " …");
        cells_put(cells, y + i, 1, cells->columns - 2, view->trouble ? LOOK_TROUBLE : LOOK_PLAIN,
                  text_string(&text));
        line += length + (line[length] == '\n');
        text_free(&text);
    }
}

/* A line across, with what the filter hides in it. */
static void draw_divider(const View *view, Cells *cells, int y, int x, int width)
{
    cells_line(cells, y, x, width);
    if (!filter_on(view))
        return;
    Text text = {0};
    text_add(&text, " ");
    filter_say(&text, view);
    text_add(&text, " ");
    cells_put(cells, y, x + 2, width - 22, LOOK_HEADING, text_string(&text));
    text_free(&text);
}

/* ---- Panes ---- */

static int findings_here(const View *view)
{
    int count = 0;
    for (size_t row = 0; row < view->row_count; row++)
        count += view->rows[row].stop == view->stop;
    return count;
}

/* What is known of the finding, what may be changed, and with room the numbers. True: the
 * numbers stand there. */
static bool draw_finding(View *view, Cells *cells, int y, int x, int height, int width)
{
    int used = detail_draw(view, cells, y, x, height - choices_least(view), width);
    int gap = height - used > (int)view->choice_count + 1 ? 1 : 0;
    used += gap;
    used += choices_draw(view, cells, y + used, x, height - used, width);
    bool numbers = height - used >= 5;
    if (numbers)
        numbers_draw(view, cells, y + used + 1, x, height - used - 1, width, width);
    return numbers;
}

/* Findings above; below them the chosen one and its picture side by side. */
static void draw_panes(View *view, Cells *cells, int y, int x, int end, int width)
{
    int room = end - y, here = findings_here(view);
    int most = room / 3 > 2 ? room / 3 : 2;
    int findings = here < 1 ? 1 : smaller(here, most);
    draw_divider(view, cells, y + findings, x, width);
    findings_draw(view, cells, y, x, findings, width);
    y += findings + 1;
    int left = width * 57 / 100, height = end - y;
    cells_column(cells, y, x + left + 1, height);
    bool numbers = draw_finding(view, cells, y, x + 1, height, left - 1);
    pane_draw(view, cells, y, x + left + 3, height, width - left - 4, !numbers);
}

/* With room, all stops stand at the left. */
static void draw_wide(View *view, Cells *cells, int end)
{
    cells_line(cells, 2, 0, cells->columns);
    stops_draw(view, cells, 3, 1, end - 3, SIDE - 2);
    cells_column(cells, 3, SIDE, end - 3);
    draw_panes(view, cells, 3, SIDE + 1, end, cells->columns - SIDE - 1);
}

void walk_draw(View *view, Cells *cells)
{
    Text message = {0};
    int lines = message_lines(view, cells, &message), end = cells->rows - 1 - lines;
    if (cells->columns >= WIDE) {
        draw_wide(view, cells, end);
    } else {
        stops_draw_line(view, cells, 2);
        draw_panes(view, cells, 3, 0, end, cells->columns);
    }
    draw_message(view, cells, end, lines, text_string(&message));
    text_free(&message);
}

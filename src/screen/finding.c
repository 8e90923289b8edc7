/* Findings as lines: sign and word, what is wrong, where, by how much. For the pages
 * that list them. */
#include <string.h>

#include "screen/view_inside.h"

static Look look_of(Verdict verdict)
{
    switch (verdict) {
    case VERDICT_FLAG:
        return LOOK_FLAG;
    case VERDICT_UNKNOWN:
        return LOOK_UNKNOWN;
    case VERDICT_TIGHT:
        return LOOK_TIGHT;
    default:
        return LOOK_PLAIN;
    }
}

/* "1.8 mm too much"; "permit" once that was decided. */
static void add_spare(Text *text, const View *view, const Finding *finding)
{
    if (view_is_settled(view, finding)) {
        text_addf(text, "settled: %s",
                  decision_name(decision_of(view->decisions, finding)->record->decision));
        return;
    }
    Text spare = {0};
    finding_say_spare(&spare, review_judgement(view->review), finding);
    const char *colon = strstr(text_string(&spare), ": ");
    text_add(text, colon != NULL ? colon + 2 : text_string(&spare));
    text_free(&spare);
}

/* The place without its subject: "vamp.throat.1". */
static const char *short_place(const Finding *finding)
{
    const char *blank = strchr(finding->place, ' ');
    return blank != NULL ? blank + 1 : finding->place;
}

void finding_draw_row(const View *view, Cells *cells, int y, int x, int width, size_t row)
{
    const Finding *finding = view->rows[row].finding;
    bool chosen = row == view->row;
    Look plain = chosen && !view->changing ? LOOK_CHOSEN : LOOK_PLAIN;
    Text text = {0};
    cells_fill(cells, y, x, width, plain, "");
    text_addf(&text, "%c %c %s", chosen ? '>' : ' ', verdict_sign(finding->verdict),
              verdict_name(finding->verdict));
    cells_put(cells, y, x, 12, plain == LOOK_CHOSEN ? plain : look_of(finding->verdict),
              text_string(&text));
    text_clear(&text);
    add_spare(&text, view, finding);
    int spare = cells_width(cells, text_string(&text));
    spare = spare > width / 3 ? width / 3 : spare;
    cells_put_right(cells, y, x + width - spare - 1, spare, plain, text_string(&text));
    int room = width - 12 - spare - 3;
    text_clear(&text);
    text_add_visible(&text, short_place(finding), strlen(short_place(finding)));
    int place = cells_width(cells, text_string(&text)),
        title = cells_width(cells, finding->rule->title);
    int place_room = place < room * 2 / 5 ? place : room * 2 / 5;
    int title_room = title < room - place_room - 2 ? title : room - place_room - 2;
    place_room = room - title_room - 2 < place ? room - title_room - 2 : place;
    cells_put(cells, y, x + 12, title_room, plain, finding->rule->title);
    cells_put(cells, y, x + 12 + room - place_room, place_room,
              plain == LOOK_CHOSEN ? plain : LOOK_QUIET, text_string(&text));
    text_free(&text);
}

static void draw_nothing(const View *view, Cells *cells, int y, int x, int width)
{
    size_t count;
    const Stop *stop = view_stop(view, &count);
    Text line = {0};
    if (stop == NULL)
        text_add(&line, "No place of this style was judged.");
    else if (stop->open > 0)
        text_addf(&line, "%zu open here, hidden by the filter.", stop->open);
    else
        text_addf(&line, "+ Nothing is open at this stop: %zu judged. Right goes on.", stop->count);
    cells_put(cells, y, x + 2, width - 2, LOOK_PLAIN, text_string(&line));
    text_free(&line);
}

/* The first row to be shown, so that the chosen one is in sight. */
static size_t first_shown(size_t chosen, size_t first, size_t end, size_t height)
{
    if (chosen == NO_ROW || end - first <= height || chosen < first + height / 2)
        return first;
    size_t top = chosen - height / 2;
    return top + height > end ? end - height : top;
}

/* On the line below them, which of all they are. */
static void draw_range(Cells *cells, int y, int x, int width, size_t top, size_t shown, size_t all)
{
    Text text = {0};
    text_addf(&text, " %zu to %zu of %zu ", top + 1, top + shown, all);
    cells_put_right(cells, y, x, width - 1, LOOK_HEADING, text_string(&text));
    text_free(&text);
}

void findings_draw(View *view, Cells *cells, int y, int x, int height, int width)
{
    size_t first = 0, end = view->row_count;
    while (first < end && view->rows[first].stop != view->stop)
        first++;
    while (end > first && view->rows[end - 1].stop != view->stop)
        end--;
    if (first == end) {
        draw_nothing(view, cells, y, x, width);
        cells->cursor_y = y;
        cells->cursor_x = x;
        return;
    }
    size_t top = first_shown(view->row, first, end, (size_t)height);
    for (size_t i = 0; i < (size_t)height && top + i < end; i++) {
        finding_draw_row(view, cells, y + (int)i, x, width, top + i);
        if (top + i == view->row && !view->changing) {
            cells->cursor_y = y + (int)i;
            cells->cursor_x = x;
        }
    }
    if (end - first > (size_t)height)
        draw_range(cells, y + height, x, width, top - first, (size_t)height, end - first);
    view->page_rows = (size_t)height;
}

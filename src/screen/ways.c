/* The alternatives of the style side by side: which can be built, and the numbers of a pair.
 * For the screen. */
#include <string.h>

#include "screen/view_inside.h"

enum { NAME_CELLS = 33, NUMBER_CELLS = 15, TALLY_CELLS = 62 };

void ways_close(View *view)
{
    review_ways_free(view->ways.ways);
    arena_free(&view->ways.arena);
    view->ways.ways = NULL;
}

bool ways_can(const View *view)
{
    return view->page != PAGE_WAYS;
}

void ways_open(View *view)
{
    Page before = page_before(view);
    ways_close(view);
    view->ways = (WaysPage){.ways = review_ways_new(view->review), .before = before};
    view->page = PAGE_WAYS;
}

static const Ways *ways_of(const View *view)
{
    return review_ways_all(view->ways.ways);
}

static const char *present_alternative(const View *view)
{
    return review_judgement(view->review)->style->alternative;
}

static bool is_present(const View *view, size_t way)
{
    const char *name = review_way_alternative(view->ways.ways, way);
    const char *now = present_alternative(view);
    return name == now || (name != NULL && now != NULL && strcmp(name, now) == 0);
}

/* "against turned: 3 newly flagged, 2 cleared" */
static const char *say_against(View *view, size_t way)
{
    const char *now = present_alternative(view);
    Text line = {0};
    if (is_present(view, way)) {
        text_add(&line, "* is on show; Enter takes another");
    } else {
        Comparison *comparison = compare_judgements(review_judgement(view->review),
                                                    way_cell(ways_of(view), way, 0)->judgement);
        text_add(&line, "against ");
        add_visible(&line, now != NULL ? now : "as written");
        text_add(&line, ": ");
        compared_count(&line, comparison);
        comparison_free(comparison);
    }
    const char *said = arena_copy(&view->ways.arena, text_string(&line), line.length);
    text_free(&line);
    return said;
}

/* One way more; after the last one the numbers, and how they differ. */
static void work(View *view)
{
    WaysPage *page = &view->ways;
    if (review_ways_more(page->ways) || ways_of(view) == NULL)
        return;
    size_t count = ways_of(view)->way_count;
    page->numbers = way_numbers(ways_of(view), &page->arena, &page->table);
    page->against = ARENA_NEW(&page->arena, const char *, count);
    for (size_t i = 0; i < count; i++) {
        page->against[i] = say_against(view, i);
        if (is_present(view, i))
            page->rows.chosen = i;
    }
}

void ways_move(View *view, bool down, size_t times)
{
    if (ways_of(view) != NULL)
        scroll_move(&view->ways.rows, ways_of(view)->way_count, down, times);
}

/* The next that are not in sight; after the last the first again. */
void ways_numbers(View *view)
{
    WaysPage *page = &view->ways;
    page->numbers_top = page->numbers_at + page->numbers_in;
    if (page->numbers_top >= page->numbers)
        page->numbers_top = 0;
}

void ways_take(View *view)
{
    if (ways_of(view) == NULL) {
        view_say(view, "it is still being worked out");
        return;
    }
    Text problem = {0};
    Arena arena = {0};
    const char *name = review_way_alternative(view->ways.ways, view->ways.rows.chosen);
    bool there = is_present(view, view->ways.rows.chosen);
    const char *what = name != NULL ? arena_printf(&arena, "alternative %s", name) : "as written";
    view->page = PAGE_WALK;
    ways_close(view);
    if (there) {
        view_say(view, "%s: it was on show", what);
    } else if (review_take_alternative(view->review, name, &problem)) {
        view_rebuild(view);
        compared_say(view, what);
    } else {
        view_trouble(view, "%s", text_string(&problem));
    }
    text_free(&problem);
    arena_free(&arena);
}

/* ---- Which can be built ---- */

/* "cannot be built   13 flag   0 unknown   9 tight  630 pass"; with little room by their signs. */
static void add_cell(Text *text, const WayCell *cell, bool signs)
{
    static const Verdict order[] = {VERDICT_FLAG, VERDICT_UNKNOWN, VERDICT_TIGHT, VERDICT_PASS};
    text_addf(text, "%-15s", cell->word);
    for (size_t i = 0; i < sizeof order / sizeof *order; i++) {
        size_t count = cell->judgement->tally[order[i]];
        if (signs)
            text_addf(text, " %zu%c", count, verdict_sign(order[i]));
        else
            text_addf(text, " %4zu %s", count, verdict_name(order[i]));
    }
}

static void draw_way(View *view, Cells *cells, int y, size_t way, int names)
{
    const Ways *ways = ways_of(view);
    bool chosen = way == view->ways.rows.chosen;
    Look look = chosen ? LOOK_CHOSEN : LOOK_PLAIN;
    Text line = {0};
    text_addf(&line, "%c%c ", chosen ? '>' : ' ', is_present(view, way) ? '*' : ' ');
    add_visible(&line, ways->names[way]);
    cells_fill(cells, y, 0, cells->columns, look, "");
    cells_put(cells, y, 0, names, look, text_string(&line));
    text_clear(&line);
    add_cell(&line, way_cell(ways, way, 0), cells->columns - names < TALLY_CELLS);
    cells_put(cells, y, names + 1, cells->columns - names - 2, look, text_string(&line));
    if (chosen) {
        cells->cursor_y = y;
        cells->cursor_x = 0;
    }
    text_free(&line);
}

/* ---- Numbers of a pair ---- */

static void put_number(Cells *cells, int y, int x, int width, const PairNumber *number)
{
    Text text = {0};
    if (number == NULL) {
        text_add(&text, "none");
    } else if (number->missing != NULL && !(number->least > 0)) {
        text_add(&text, "unknown");
    } else {
        PairNumber told = *number;
        told.value = number->least;
        told.missing = NULL;
        text_add(&text, number->missing != NULL ? ">= " : "");
        pair_number_say(&text, &told);
    }
    cells_put(cells, y, x, width, LOOK_PLAIN, text_string(&text));
    text_free(&text);
}

/* As many ways as there is room for, the chosen one among them. */
static void draw_numbers(View *view, Cells *cells, int y, int end)
{
    const Ways *ways = ways_of(view);
    WaysPage *page = &view->ways;
    size_t count = page->numbers, fit = (size_t)((cells->columns - NAME_CELLS) / NUMBER_CELLS);
    size_t first = page->rows.chosen >= fit ? page->rows.chosen - fit + 1 : 0;
    size_t rows = end - y - 1 > 0 ? (size_t)(end - y - 1) : 0;
    page->numbers_in = rows;
    page->numbers_at = page->numbers_top;
    if (page->numbers_at + rows > count)
        page->numbers_at = count > rows ? count - rows : 0;
    cells_put(cells, y, 1, NAME_CELLS - 2, LOOK_HEADING, "A pair has");
    for (size_t i = 0; i < fit && first + i < ways->way_count; i++) {
        Text name = {0};
        add_visible(&name, ways->names[first + i]);
        bool chosen = first + i == page->rows.chosen;
        cells_put(cells, y, NAME_CELLS + (int)i * NUMBER_CELLS, NUMBER_CELLS - 1,
                  chosen ? LOOK_HEADING : LOOK_QUIET, text_string(&name));
        text_free(&name);
    }
    if (first + fit < ways->way_count)
        cells_put(cells, y, NAME_CELLS + (int)fit * NUMBER_CELLS - 1, 2, LOOK_QUIET, "…");
    for (size_t row = 0; row < rows && page->numbers_at + row < count; row++) {
        const WayNumber *number = &page->table[page->numbers_at + row];
        int at = y + 1 + (int)row;
        cells_put(cells, at, 1, NAME_CELLS - 2, LOOK_PLAIN, number->any->name);
        for (size_t i = 0; i < fit && first + i < ways->way_count; i++)
            put_number(cells, at, NAME_CELLS + (int)i * NUMBER_CELLS, NUMBER_CELLS - 1,
                       number->of[first + i]);
    }
}

/* Which numbers are in sight, and which ways have none. */
static void draw_rest(View *view, Cells *cells, int y)
{
    const WaysPage *page = &view->ways;
    Text line = {0};
    const char *unread = review_ways_unread(page->ways);
    if (unread[0] != '\0') {
        text_add(&line, "cannot be read: ");
        text_add_visible(&line, unread, strcspn(unread, "\n"));
    } else {
        text_add(&line, "of the base size in the first colourway");
    }
    int used = cells_put(cells, y, 1, cells->columns - 28, LOOK_QUIET, text_string(&line));
    text_clear(&line);
    if (page->numbers > page->numbers_in)
        text_addf(&line, "numbers %zu to %zu of %zu", page->numbers_at + 1,
                  page->numbers_at + page->numbers_in, page->numbers);
    cells_put_right(cells, y, used + 2, cells->columns - used - 3, LOOK_QUIET, text_string(&line));
    text_free(&line);
}

/* ---- The page ---- */

static void draw_all(View *view, Cells *cells, int end)
{
    const Ways *ways = ways_of(view);
    int names = 0, count = (int)ways->way_count;
    for (int i = 0; i < count; i++)
        names = larger(names, cells_width(cells, ways->names[i]));
    names = smaller(names + 3, cells->columns / 2 - 4);
    int rows = smaller(count, (end - 3) / 3);
    scroll_show(&view->ways.rows, ways->way_count, (size_t)rows);
    for (int i = 0; i < rows; i++)
        draw_way(view, cells, 3 + i, view->ways.rows.top + (size_t)i, names);
    cells_put(cells, 3 + rows, 1, cells->columns - 2, LOOK_QUIET,
              view->ways.against[view->ways.rows.chosen]);
    cells_line(cells, 4 + rows, 0, cells->columns);
    scroll_draw(cells, 4 + rows, 0, cells->columns - 1, &view->ways.rows, ways->way_count,
                (size_t)rows);
    draw_numbers(view, cells, 5 + rows, end - 1);
    draw_rest(view, cells, end - 1);
}

void ways_draw(View *view, Cells *cells)
{
    const Factory *factory = review_judgement(view->review)->factory;
    int end = cells->rows - 2;
    Text line = {0};
    text_add(&line, "Alternatives side by side, ");
    text_add(&line, factory != NULL ? "at " : "no factory named");
    add_visible(&line, factory != NULL ? factory->name : "");
    cells_put(cells, 2, 1, cells->columns - 2, LOOK_HEADING, text_string(&line));
    cells->cursor_y = 3;
    cells->cursor_x = 0;
    if (ways_of(view) == NULL) {
        text_clear(&line);
        text_addf(&line, "working out … %zu to go", review_ways_left(view->ways.ways));
        cells_put(cells, 4, 3, cells->columns - 4, LOOK_PLAIN, text_string(&line));
        view->works = work;
    } else if (ways_of(view)->way_count > 0) {
        draw_all(view, cells, end);
    }
    view->page_rows = 4;
    text_free(&line);
    message_draw(view, cells);
}

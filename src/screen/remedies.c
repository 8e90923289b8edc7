/* The page of what would clear a finding: every change that does, those that do not and why,
 * what else each makes better and worse, and two values against each other. For the screen. */
#include <math.h>
#include <string.h>

#include "remedy/frontier.h"
#include "screen/view_inside.h"

enum { WIDE = 110, PLOT_MOST = 18, PLOT_LEAST = 13 };

/* ---- Opening and moving ---- */

bool remedies_can(const View *view)
{
    const Finding *finding = view_finding(view);
    return finding != NULL &&
           (finding->verdict == VERDICT_FLAG || finding->verdict == VERDICT_TIGHT);
}

void remedies_open(View *view)
{
    Clearing *clearing = &view->clearing;
    clearing->before = view->page;
    clearing->rows = (Scroll){0};
    clearing->fresh = true;
    clearing->plot = false;
    view->page = PAGE_REMEDIES;
    view->changing = false;
}

/* Changes first, then what does not help; 0 while it is being worked out. */
static size_t row_count(View *view)
{
    const RemedyList *list = clearing_of(view, view_finding(view));
    return list != NULL ? list->count + list->none_count : 0;
}

void remedies_move(View *view, bool down, size_t times)
{
    scroll_move(&view->clearing.rows, row_count(view), down, times);
}

bool remedies_can_plot(const View *view)
{
    const Clearing *clearing = &view->clearing;
    return clearing->frontier != NULL && clearing->bounded == view_finding(view);
}

void remedies_plot(View *view)
{
    view->clearing.plot = !view->clearing.plot;
}

/* ---- Trying one ---- */

static void say_change(Text *text, const RemedyChange *change)
{
    add_visible(text, change->name);
    text_add(text, ": ");
    add_visible(text, change->from[0] != '\0' ? change->from : "not written");
    text_add(text, " → ");
    add_visible(text, change->to);
}

static const RemedyChange *drawn_change(const Remedy *remedy)
{
    for (size_t i = 0; i < remedy->change_count; i++)
        if (remedy->changes[i].redraw || remedy->changes[i].path == NULL)
            return &remedy->changes[i];
    return NULL;
}

/* In one step, as any change. */
static void take(View *view, const Remedy *remedy)
{
    Text what = {0}, problem = {0};
    ReviewValue values[2] = {{0}};
    for (size_t i = 0; i < remedy->change_count; i++) {
        values[i] = (ReviewValue){remedy->changes[i].path, remedy->changes[i].to};
        text_add(&what, i > 0 ? " and " : "");
        say_change(&what, &remedy->changes[i]);
    }
    if (review_set_values(view->review, values, remedy->change_count, &problem)) {
        view->page = PAGE_WALK;
        view_rebuild(view);
        compared_say(view, text_string(&what));
    } else {
        view_trouble(view, "%s", text_string(&problem));
    }
    text_free(&what);
    text_free(&problem);
}

void remedies_try(View *view)
{
    const RemedyList *list = clearing_of(view, view_finding(view));
    size_t row = view->clearing.rows.chosen;
    if (list == NULL)
        view_say(view, "it is still being worked out");
    else if (row >= list->count)
        view_say(view,
                 list->none_count > 0 ? "this alone does not clear it" : "there is nothing to try");
    else if (drawn_change(&list->items[row]) != NULL)
        line_open(view, drawn_change(&list->items[row]));
    else
        take(view, &list->items[row]);
}

/* ---- The list ---- */

static void add_givers(Text *text, const Remedy *remedy)
{
    text_add(text, giver_name(remedy->changes[0].giver));
    if (remedy->change_count > 1 && remedy->changes[1].giver != remedy->changes[0].giver)
        text_addf(text, ", %s", giver_name(remedy->changes[1].giver));
}

static void add_effects(Text *text, const Remedy *remedy)
{
    if (remedy->clear_count > 0)
        text_addf(text, "clears %zu", remedy->clear_count);
    if (remedy->raise_count > 0)
        text_addf(text, "%sraises %zu", text->length > 0 ? ", " : "", remedy->raise_count);
}

/* "pass   left of the edge 3 mm → 1.4 mm", "pass   radius to 6 mm, left of the edge to 2 mm" */
static void add_row(Text *text, const RemedyList *list, size_t row, const Finding *finding)
{
    if (row >= list->count) {
        const NoRemedy *none = &list->none[row - list->count];
        text_add(text, "no     ");
        short_name(text, none->name, finding);
        text_add(text, ": ");
        add_visible(text, none->reason);
        return;
    }
    const Remedy *remedy = &list->items[row];
    text_addf(text, "%-5s", remedy->aim == REMEDY_PASS ? "pass" : "tight");
    bool alone = remedy->change_count == 1;
    for (size_t i = 0; i < remedy->change_count; i++) {
        const RemedyChange *change = &remedy->changes[i];
        text_add(text, i > 0 ? ", " : "  ");
        short_name(text, change->name, finding);
        text_add(text, " ");
        if (alone)
            add_visible(text, change->from[0] != '\0' ? change->from : "not written");
        text_add(text, alone ? " → " : "to ");
        add_visible(text, change->to);
        text_add(text, alone && change->redraw ? ", redrawn" : "");
    }
}

/* What stands at the right: who gives, what else it clears and raises. */
static void add_right(Text *text, const RemedyList *list, size_t row)
{
    Text effects = {0};
    if (row < list->count) {
        add_givers(text, &list->items[row]);
        add_effects(&effects, &list->items[row]);
        if (effects.length > 0)
            text_addf(text, "; %s", text_string(&effects));
    } else {
        text_add(text, giver_name(list->none[row - list->count].giver));
    }
    text_free(&effects);
}

static void draw_row(View *view, Cells *cells, int y, int x, int width, const RemedyList *list,
                     size_t row)
{
    bool chosen = row == view->clearing.rows.chosen;
    Look look = chosen ? LOOK_CHOSEN : LOOK_PLAIN;
    Text line = {0}, right = {0};
    text_add(&line, chosen ? "> " : "  ");
    add_row(&line, list, row, view_finding(view));
    add_right(&right, list, row);
    int who = smaller(cells_width(cells, text_string(&right)), width / 2);
    cells_fill(cells, y, x, width, look, "");
    cells_put(cells, y, x, width - who - 2, look, text_string(&line));
    cells_put(cells, y, x + width - who, who, chosen ? look : LOOK_QUIET, text_string(&right));
    if (chosen) {
        cells->cursor_y = y;
        cells->cursor_x = x;
    }
    text_free(&line);
    text_free(&right);
}

/* ---- The chosen one ---- */

static void say_effect(Text *text, const char *what, const SideEffect *effects, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        text_addf(text, "%s: ", what);
        add_visible(text, effects[i].rule->title);
        text_add(text, ", ");
        add_visible(text, effects[i].place);
        text_addf(text, " (%s → %s)\n", verdict_name(effects[i].before),
                  verdict_name(effects[i].after));
    }
}

static void say_aim(Text *text, const Remedy *remedy)
{
    if (remedy->aim == REMEDY_PASS)
        text_add(text, "It passes then, in every size and colourway.\n");
    else if (isnan(remedy->risk))
        text_add(text, "It holds as written then; within assumed tolerances it can fail.\n");
    else if (remedy->risk > 0) {
        text_add(text, "It is tight then: in the worst size it fails in ");
        text_add_number(text, 100 * remedy->risk, 2);
        text_add(text, " %.\n");
    } else {
        text_add(text, "It is tight then, and fails hardly ever.\n");
    }
}

static void say_remedy(Text *text, const Remedy *remedy)
{
    for (size_t i = 0; i < remedy->change_count; i++) {
        const RemedyChange *change = &remedy->changes[i];
        say_change(text, change);
        text_addf(text, "\n  %s\n", giver_say(change->giver, change->asks_line));
    }
    say_aim(text, remedy);
    say_effect(text, "Clears", remedy->clears, remedy->clear_count);
    say_effect(text, "Raises", remedy->raises, remedy->raise_count);
    if (remedy->clear_count + remedy->raise_count == 0)
        text_add(text, "Nothing else changes its verdict.\n");
    if (drawn_change(remedy) == NULL)
        text_add(text, "Enter tries it; u takes it back.\n");
    else if (remedy->change_count > 1)
        text_add(text, "Measured on a line: Enter proposes that line. The other value is set\n"
                       "as any.\n");
    else
        text_add(text, "Measured on a line: Enter proposes that line.\n");
}

static void say_none(Text *text, const NoRemedy *none)
{
    add_visible(text, none->name);
    text_add(text, " does not clear it: ");
    add_visible(text, none->reason);
    text_add(text, ".\n");
}

/* ---- Two values against each other ---- */

/* Returns the rows used. */
static int draw_plot(View *view, Cells *cells, int y, int x, int height, int width)
{
    Arena arena = {0};
    Text said = {0}, wrapped = {0};
    const RemedyFrontier *frontier = view->clearing.frontier;
    remedy_frontier_say(&said, frontier);
    text_add_wrapped(&wrapped, text_string(&said), width, 2);
    int lines = smaller(text_lines(&wrapped), height / 3);
    Figure figure = figure_new(&arena, "Two values against each other, as written");
    remedy_frontier_figure(&figure, frontier);
    int used = picture_draw(view, cells, y, x, height - lines, width, width, &figure);
    used += text_draw_lines(cells, y + used, x, lines, width, LOOK_PLAIN, text_string(&wrapped));
    figure_free(&figure);
    text_free(&said);
    text_free(&wrapped);
    arena_free(&arena);
    return used;
}

/* ---- The page ---- */

static void draw_head(View *view, Cells *cells)
{
    const Finding *finding = view_finding(view);
    Text line = {0};
    text_addf(&line, "What would clear it: %s, ", finding->rule->title);
    add_visible(&line, finding->place);
    cells_put(cells, 2, 1, cells->columns - 2, LOOK_HEADING, text_string(&line));
    text_free(&line);
}

/* Returns the row below what is said of the chosen one. */
static int draw_chosen(View *view, Cells *cells, int y, int x, int height, int width,
                       const RemedyList *list)
{
    Text text = {0}, wrapped = {0};
    size_t row = view->clearing.rows.chosen;
    if (row < list->count)
        say_remedy(&text, &list->items[row]);
    else
        say_none(&text, &list->none[row - list->count]);
    text_wrap_lines(&wrapped, text_string(&text), width);
    int lines = text_lines(&wrapped), shown = smaller(lines, height);
    text_draw_lines(cells, y, x, shown, width, LOOK_PLAIN, text_string(&wrapped));
    if (shown < lines && shown > 0)
        cells_fill(cells, y + shown - 1, x, width, LOOK_QUIET,
                   "… more lines; a larger window shows all");
    text_free(&text);
    text_free(&wrapped);
    return y + shown;
}

static void draw_list(View *view, Cells *cells, int end, const RemedyList *list)
{
    size_t count = list->count + list->none_count;
    if (view->clearing.fresh && list->count > 0)
        view->clearing.rows.chosen = (size_t)(clearing_best(list) - list->items);
    view->clearing.fresh = false;
    bool known, wide = cells->columns >= WIDE;
    const RemedyFrontier *frontier = clearing_frontier(view, view_finding(view), &known);
    int width = wide && frontier != NULL ? cells->columns * 58 / 100 : cells->columns;
    int rows = smaller((int)count, (end - 3) * 2 / 5);
    scroll_show(&view->clearing.rows, count, (size_t)rows);
    for (int i = 0; i < rows; i++)
        draw_row(view, cells, 3 + i, 0, width, list, view->clearing.rows.top + (size_t)i);
    cells_line(cells, 3 + rows, 0, width);
    scroll_draw(cells, 3 + rows, 0, width - 1, &view->clearing.rows, count, (size_t)rows);
    int y = draw_chosen(view, cells, 4 + rows, 1, end - rows - 4, width - 2, list);
    if (frontier == NULL)
        return;
    if (wide) {
        cells_column(cells, 3, width, end - 3);
        draw_plot(view, cells, 3, width + 2, smaller(end - 3, PLOT_MOST + 6),
                  cells->columns - width - 3);
    } else if (end - y - 1 >= PLOT_LEAST) {
        draw_plot(view, cells, y + 1, 1, smaller(end - y - 1, PLOT_MOST), cells->columns - 2);
    } else if (end > y) {
        cells_put(cells, end - 1, 1, cells->columns - 2, LOOK_QUIET,
                  "p: the two values against each other");
    }
}

void remedies_draw(View *view, Cells *cells)
{
    const RemedyList *list = clearing_of(view, view_finding(view));
    int end = cells->rows - 2;
    draw_head(view, cells);
    cells->cursor_y = 3;
    cells->cursor_x = 0;
    if (list == NULL)
        cells_put(cells, 4, 3, cells->columns - 4, LOOK_PLAIN, "working out …");
    else if (list->count + list->none_count == 0)
        cells_put(cells, 4, 3, cells->columns - 4, LOOK_PLAIN,
                  "Its rule names no value that may give.");
    else if (view->clearing.plot && remedies_can_plot(view))
        draw_plot(view, cells, 3, 1, end - 3, cells->columns - 2);
    else
        draw_list(view, cells, end, list);
    view->page_rows = (size_t)(end - 3) * 2 / 5;
    message_draw(view, cells);
}

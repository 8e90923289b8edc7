/* The page of a proposed line: over the drawn one, what it is worth, how it is handed on. For
 * the screen. */
#include <math.h>
#include <string.h>

#include "figure/picture_line.h"
#include "screen/view_inside.h"

static void propose(View *view, double radius)
{
    Clearing *clearing = &view->clearing;
    proposed_free(clearing->line);
    clearing->line = NULL;
    text_clear(&clearing->why);
    clearing->radius = radius;
}

void line_open(View *view, const RemedyChange *change)
{
    view->clearing.redraw = change;
    view->clearing.line_top = 0;
    view->page = PAGE_LINE;
    propose(view, change->to_value);
}

static const double step = 0.5; /* mm */

void line_rounder(View *view)
{
    propose(view, view->clearing.radius + step);
}

void line_sharper(View *view)
{
    if (view->clearing.radius > step)
        propose(view, view->clearing.radius - step);
}

void line_scroll(View *view, bool down, size_t times)
{
    Clearing *clearing = &view->clearing;
    size_t at = clearing->line_at;
    clearing->line_at = down ? at + times : times < at ? at - times : 0;
    clearing->line_top = clearing->line_at; /* drawing keeps it within the text */
}

static void work_line(View *view)
{
    Clearing *clearing = &view->clearing;
    double radius = clearing->radius;
    LineWish wish = {
        .place = clearing->redraw->record, .hollow = radius, .rounded = radius, .within = INFINITY};
    clearing->line = proposed_line(&clearing->ground, &wish, &clearing->why);
    if (clearing->line == NULL && clearing->why.length == 0)
        text_add(&clearing->why, "nothing there has to change");
}

/* ---- What is said ---- */

static void add_radius(Text *text, const View *view)
{
    text_add_number(text, view->clearing.radius, 6);
    text_add(text, " mm");
}

/* How whoever draws gets it. */
static void say_export(Text *text, const View *view)
{
    const RemedyChange *change = view->clearing.redraw;
    const ReviewFiles *files = review_files(view->review);
    text_add(text, "\nFor whoever draws, as an SVG drawing:\n  cordwain draw ");
    add_visible(text, files->style);
    text_addf(text, " '%s ", subject_name(change->record->subject));
    add_visible(text, change->record->path);
    text_add(text, "'");
    if (files->alternative != NULL) {
        text_add(text, " --alternative ");
        add_visible(text, files->alternative);
    }
    text_add(text, " --propose '");
    add_radius(text, view);
    text_add(text, "' --as svg -o FILE\n");
    if (change_any(view))
        text_add(text, "It reads the file: what is not saved is not in it.\n");
}

static void say_line(Text *text, const View *view)
{
    const Clearing *clearing = &view->clearing;
    Text said = {0};
    if (clearing->line == NULL) {
        text_add(text, "No line is proposed: ");
        add_visible(text, text_string(&clearing->why));
        text_add(text, ".\n+ and - propose one with another radius; q goes back to what else would "
                       "clear it.\n");
        return;
    }
    proposed_say(&said, clearing->line);
    text_add(text, text_string(&said));
    say_export(text, view);
    text_free(&said);
}

/* ---- Drawing ---- */

static void draw_text(View *view, Cells *cells, int y, int x, int height, int width)
{
    Text text = {0}, wrapped = {0};
    say_line(&text, view);
    text_wrap_lines(&wrapped, text_string(&text), width);
    size_t lines = (size_t)text_lines(&wrapped), rows = (size_t)height;
    size_t last = lines > rows ? lines - rows : 0, top = view->clearing.line_top;
    top = top < last ? top : last;
    view->clearing.line_at = top;
    const char *line = text_string(&wrapped);
    for (size_t i = 0; i < top; i++)
        line = strchr(line, '\n') + 1;
    text_draw_lines(cells, y, x, height, width, LOOK_PLAIN, line);
    Scroll shown = {top, top};
    scroll_draw(cells, 2, 1, cells->columns - 2, &shown, lines, rows);
    text_free(&text);
    text_free(&wrapped);
}

static void draw_line(View *view, Cells *cells, int y, int x, int height, int width)
{
    Arena arena = {0};
    Text why = {0};
    Figure figure;
    const LineChange *change = &view->clearing.line->changes[0];
    const Judgement *judgement = view->clearing.judgement;
    PictureBase base = {judgement->style, judgement->factory, judgement->measured, 0, 0};
    if (picture_line(&arena, &base, change->edge, &change->rounded, &figure, &why)) {
        picture_draw(view, cells, y, x, height, width, width, &figure);
        figure_free(&figure);
    } else {
        cells_put(cells, y, x, width, LOOK_QUIET, text_string(&why));
    }
    text_free(&why);
    arena_free(&arena);
}

void line_draw(View *view, Cells *cells)
{
    const Clearing *clearing = &view->clearing;
    const RemedyChange *change = clearing->redraw;
    int height = cells->rows - 5, left = cells->columns * 54 / 100;
    Text head = {0};
    text_add(&head, "Proposed line with ");
    add_radius(&head, view);
    text_addf(&head, " at %s ", subject_name(change->record->subject));
    add_visible(&head, change->record->path);
    cells_put(cells, 2, 1, cells->columns - 24, LOOK_HEADING, text_string(&head));
    text_free(&head);
    cells->cursor_y = 3;
    cells->cursor_x = 1;
    if (clearing->line == NULL && clearing->why.length == 0) {
        cells_put(cells, 4, 3, cells->columns - 4, LOOK_PLAIN, "working out …");
        view->works = work_line;
    } else if (clearing->line == NULL) {
        draw_text(view, cells, 3, 1, height, cells->columns - 2);
    } else {
        draw_text(view, cells, 3, 1, height, left - 2);
        cells_column(cells, 3, left, height);
        draw_line(view, cells, 3, left + 2, height, cells->columns - left - 3);
    }
    view->page_rows = (size_t)height;
    message_draw(view, cells);
}

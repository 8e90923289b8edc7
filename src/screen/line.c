/* The page of a proposed line: over the drawn one, what it is worth, how it is handed on. For
 * the screen. */
#include <math.h>
#include <string.h>

#include "figure/picture_line.h"
#include "screen/view_inside.h"

void line_open(View *view, const RemedyChange *change)
{
    Clearing *clearing = &view->clearing;
    proposed_free(clearing->line);
    clearing->line = NULL;
    text_clear(&clearing->why);
    clearing->redraw = change;
    clearing->line_top = 0;
    view->page = PAGE_LINE;
}

void line_scroll(View *view, bool down, size_t times)
{
    size_t *top = &view->clearing.line_top;
    *top = down ? *top + times : times < *top ? *top - times : 0; /* drawing keeps it in the text */
}

static void work_line(View *view)
{
    Clearing *clearing = &view->clearing;
    double radius = clearing->redraw->to_value;
    LineWish wish = {.place = clearing->redraw->record,
                     .hollow = radius,
                     .rounded = radius,
                     .within = INFINITY};
    clearing->line = proposed_line(&clearing->ground, &wish, &clearing->why);
    if (clearing->line == NULL && clearing->why.length == 0)
        text_add(&clearing->why, "nothing there has to change");
}

/* ---- What is said ---- */

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
    text_addf(text, " --propose '%s' --as svg -o FILE\n", change->to);
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
        text_add(text, ".\nOther changes that clear it are in the list: q goes back to it.\n");
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
    size_t last = lines > rows ? lines - rows : 0, *top = &view->clearing.line_top;
    *top = *top < last ? *top : last;
    const char *line = text_string(&wrapped);
    for (size_t i = 0; i < *top; i++)
        line = strchr(line, '\n') + 1;
    text_draw_lines(cells, y, x, height, width, LOOK_PLAIN, line);
    Scroll shown = {*top, *top};
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
    text_add(&head, "A proposed line: ");
    add_visible(&head, change->name);
    text_add(&head, " ");
    add_visible(&head, change->from);
    text_add(&head, " → ");
    add_visible(&head, change->to);
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

/* Pictures of the place of the chosen finding, and the numbers. For the page of a stop. */
#include <string.h>

#include "figure/picture.h"
#include "screen/view_inside.h"

/* ---- The place ---- */

/* The record of the style that can be drawn: of a layer or a climb what it lies on. */
static const Record *place_record(const Judgement *judgement, const Finding *finding)
{
    static const char *const up[] = {"row", "spot", "edge", "part"};
    Subject about = finding->rule->about;
    const RecordList *list = &judgement->style->lists[about];
    if (about != SUBJECT_PLY && about != SUBJECT_STEP)
        return finding->record < list->count ? list->items[finding->record] : NULL;
    for (size_t i = 0; i < sizeof up / sizeof *up; i++) {
        const Relation *relation = relation_find(about, up[i], strlen(up[i]));
        if (relation == NULL || relation->many)
            continue;
        const OneColumn *one = &judgement->columns->ones[relation_index(relation)];
        int32_t record = column_one(one, (int32_t)finding->record, 0);
        list = &judgement->style->lists[relation->to];
        if (record >= 0 && (size_t)record < list->count)
            return list->items[record];
    }
    return NULL;
}

static size_t take_pictures(View *view, Arena *arena, Figure figures[PICTURES_OF_PLACE], Text *why)
{
    const Finding *finding = view_finding(view);
    const Judgement *judgement = review_judgement(view->review);
    const Record *record = place_record(judgement, finding);
    if (record == NULL || record->placeholder) {
        text_add(why, "this place cannot be drawn");
        return 0;
    }
    const Lane *lane = &judgement->columns->lanes[view_lane(view, finding)];
    PictureBase base = {judgement->style, judgement->factory, judgement->measured, lane->size_index,
                        lane->colourway_index};
    return picture_place(arena, &base, record, figures, why);
}

/* ---- Drawing ---- */

static Look look_of(Pen pen)
{
    return pen == PEN_TROUBLE ? LOOK_TROUBLE
           : pen == PEN_LIMIT ? LOOK_HEADING
           : pen == PEN_FAINT ? LOOK_QUIET
                              : LOOK_PLAIN;
}

int picture_draw(View *view, Cells *cells, int y, int x, int height, int width, int title_width,
                 const Figure *figure)
{
    Arena arena = {0};
    int used, notes = text_lines(&figure->notes);
    int most = height < 20 ? height / 6 : height / 4;
    notes = notes < most ? notes : most;
    int room = height - 1 - notes;
    CellStyle style = {!cells->braille || view->no_braille, width, room};
    cells_put(cells, y, x, title_width, LOOK_HEADING, figure->title != NULL ? figure->title : "");
    if (room < 2)
        return height;
    const Cell *drawn = figure_cells(&arena, figure, style, &used);
    for (int row = 0; row < used && row < room; row++)
        for (int column = 0; column < width; column++) {
            const Cell *cell = &drawn[row * width + column];
            if (cell->text[0] != '\0' && strcmp(cell->text, " ") != 0)
                cells_put(cells, y + 1 + row, x + column, 2, look_of(cell->pen), cell->text);
        }
    used = used < room ? used : room;
    text_draw_lines(cells, y + 1 + used, x, notes, width, LOOK_QUIET,
                    text_string(&figure->notes));
    arena_free(&arena);
    return 1 + used + notes;
}

/* Which of several: "1 of 3: p". Returns the width that is left for the title. */
static int draw_which(Cells *cells, int y, int x, int width, size_t which, size_t count)
{
    if (count < 2)
        return width;
    Text text = {0};
    text_addf(&text, "%zu of %zu: p", which + 1, count);
    int begin = cells_put_right(cells, y, x, width, LOOK_QUIET, text_string(&text));
    text_free(&text);
    return begin - x - 2;
}

/* One of the pictures, or the numbers. */
static void draw_one(View *view, Cells *cells, int y, int x, int height, int width,
                     const Figure *figures, size_t count, bool numbers)
{
    size_t all = count + (numbers ? 1 : 0), which = all > 0 ? view->pane % all : 0;
    int title = draw_which(cells, y, x, width, which, all);
    if (which < count)
        picture_draw(view, cells, y, x, height, width, title, &figures[which]);
    else if (numbers)
        numbers_draw(view, cells, y, x, height, width, title);
}

/* With room: pictures one below the other, then the numbers. */
static void draw_all(View *view, Cells *cells, int y, int x, int height, int width,
                     const Figure *figures, size_t count, bool numbers)
{
    size_t pictures = count > 1 && height < 36 ? 1 : count;
    int below = !numbers ? 0 : height / 3 > 14 ? 14 : height / 3, end = y + height;
    for (size_t i = 0; i < pictures; i++) {
        size_t which = pictures < count ? view->pane % count : i;
        int room = (end - below - y) / (int)(pictures - i) - 1;
        int title = draw_which(cells, y, x, width, which, pictures < count ? count : 1);
        int used = picture_draw(view, cells, y, x, room, width, title, &figures[which]);
        y += used + 1;
    }
    if (numbers)
        numbers_draw(view, cells, y, x, end - y, width, width);
}

/* Why there is no picture. */
static void draw_why(Cells *cells, int y, int x, int height, int width, const Text *why)
{
    Text text = {0}, wrapped = {0};
    text_addf(&text, "No picture: %s", text_string(why));
    text_add_wrapped(&wrapped, text_string(&text), width, 0);
    text_draw_lines(cells, y, x, height, width, LOOK_QUIET, text_string(&wrapped));
    text_free(&text);
    text_free(&wrapped);
}

void pane_draw(View *view, Cells *cells, int y, int x, int height, int width, bool numbers)
{
    if (view_finding(view) == NULL)
        return;
    Arena arena = {0};
    Text why = {0};
    Figure figures[PICTURES_OF_PLACE];
    size_t count = take_pictures(view, &arena, figures, &why);
    if (count == 0 && !numbers)
        draw_why(cells, y, x, height, width, &why);
    else if (height >= 24 && view->page == PAGE_WALK)
        draw_all(view, cells, y, x, height, width, figures, count, numbers);
    else
        draw_one(view, cells, y, x, height, width, figures, count, numbers);
    for (size_t i = 0; i < count; i++)
        figure_free(&figures[i]);
    text_free(&why);
    arena_free(&arena);
}

void pane_draw_page(View *view, Cells *cells)
{
    pane_draw(view, cells, 2, 1, cells->rows - 3, cells->columns - 2, true);
    cells->cursor_y = 2;
    cells->cursor_x = 1;
}

void pane_next(View *view)
{
    Arena arena = {0};
    Text why = {0};
    Figure figures[PICTURES_OF_PLACE];
    size_t count = take_pictures(view, &arena, figures, &why);
    view->pane = (view->pane + 1) % (count + 1);
    if (count == 0)
        view_say(view, "no picture: %s", text_string(&why));
    for (size_t i = 0; i < count; i++)
        figure_free(&figures[i]);
    text_free(&why);
    arena_free(&arena);
}

void pane_whole(View *view)
{
    view->page = PAGE_PICTURE;
}

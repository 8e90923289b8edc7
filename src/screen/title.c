/* The two lines at the top: what is looked at, and how it stands. For the pages. */
#include <string.h>

#include "screen/view_inside.h"

/* "all sizes and colourways", "size 38 of Chalk". */
static void add_lanes(Text *line, const View *view)
{
    const Judgement *judgement = review_judgement(view->review);
    const char *size = NULL, *colourway = NULL;
    for (uint32_t i = 0; i < judgement->lane_count; i++) {
        const Lane *lane = &judgement->columns->lanes[i];
        size = (int)lane->size_index == view->size ? lane->size : size;
        colourway = (int)lane->colourway_index == view->colourway ? lane->colourway : colourway;
    }
    if (size == NULL && colourway == NULL) {
        text_add(line, "all sizes and colourways");
        return;
    }
    text_add(line, size != NULL ? "size " : "all sizes");
    add_visible(line, size != NULL ? size : "");
    if (colourway != NULL) {
        text_add(line, " of ");
        add_visible(line, colourway);
    }
}

static void add_unsaved(Text *line, const View *view)
{
    const Changed *changes;
    size_t count = review_changed(view->review, &changes);
    if (count > 0)
        text_addf(line, " | %zu unsaved", count);
    if (review_aside(view->review) > 0)
        text_addf(line, " (%zu laid aside)", review_aside(view->review));
}

static void draw_what(const View *view, Cells *cells)
{
    const Judgement *judgement = review_judgement(view->review);
    const char *alternative = judgement->style->alternative;
    Text line = {0}, right = {0};
    text_add(&line, " ");
    add_visible(&line, judgement->style->name);
    text_add(&line, " | ");
    add_visible(&line, alternative != NULL ? alternative : "as written");
    text_add(&line, " | ");
    add_visible(&line, judgement->factory != NULL ? judgement->factory->name : "no factory named");
    add_lanes(&right, view);
    add_unsaved(&right, view);
    text_add(&right, " ");
    int width = cells->columns, room = width - cells_width(cells, text_string(&right));
    cells_fill(cells, 0, 0, width, LOOK_TITLE, "");
    cells_put(cells, 0, 0, room - 2, LOOK_TITLE, text_string(&line));
    cells_put_right(cells, 0, 0, width, LOOK_TITLE, text_string(&right));
    text_free(&line);
    text_free(&right);
}

/* Blanks before each of the six, so that all have room. */
static int tally_gap(int room, const size_t *tally)
{
    Text all = {0};
    for (int i = 0; i < VERDICT_COUNT; i++)
        text_addf(&all, "%c %zu %s", verdict_sign((Verdict)i), tally[i], verdict_name((Verdict)i));
    int gap = (room - (int)all.length - 1) / VERDICT_COUNT;
    text_free(&all);
    return gap < 1 ? 1 : gap > 4 ? 4 : gap;
}

static void draw_tally(const View *view, Cells *cells)
{
    static const Verdict order[] = {VERDICT_FLAG, VERDICT_UNKNOWN, VERDICT_TIGHT,
                                    VERDICT_PASS, VERDICT_OUT,     VERDICT_OFF};
    const size_t *tally = review_judgement(view->review)->tally;
    Text line = {0};
    text_addf(&line, "Settled %zu of %zu", view->settled, view->to_settle);
    int x = 1 + cells_put(cells, 1, 1, cells->columns - 2, LOOK_HEADING, text_string(&line));
    int gap = tally_gap(cells->columns - x, tally);
    for (size_t i = 0; i < sizeof order / sizeof *order; i++) {
        static const Look looks[] = {LOOK_FLAG, LOOK_UNKNOWN, LOOK_TIGHT, LOOK_PLAIN, LOOK_PLAIN,
                                     LOOK_PLAIN};
        text_clear(&line);
        text_addf(&line, "%c %zu %s", verdict_sign(order[i]), tally[order[i]],
                  verdict_name(order[i]));
        x += gap;
        x += cells_put(cells, 1, x, cells->columns - x, tally[order[i]] > 0 ? looks[i] : LOOK_PLAIN,
                       text_string(&line));
    }
    text_free(&line);
}

void title_draw(const View *view, Cells *cells)
{
    draw_what(view, cells);
    draw_tally(view, cells);
}

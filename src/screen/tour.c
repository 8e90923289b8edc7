/* A short tour for people who see the screen for the first time. For the screen. */
#include <string.h>

#include "screen/view_inside.h"

enum { CARD_LINES = 5 };

static const char *const cards[][CARD_LINES] = {
    {"You go through the shoe together, stop by stop, in the order in which it is made.",
     "At the top: what is looked at, and how much is settled.",
     "Space goes to the next finding that is still to be settled.",
     "Left and Right go from stop to stop, Up and Down from finding to finding."},
    {"The list shows what is wrong at this stop, worst first, and by how much.",
     "Below it, in words: why, in which sizes and colourways; beside it a picture.",
     "p shows the next picture and the numbers; w explains everything about it."},
    {"i shows what would clear a finding and who gives; from there Enter tries it.",
     "Enter goes to what may be changed. There + and - step a value, Enter types one.",
     "Everything is judged again at once; what got better and worse is said below.",
     "u takes it back. The style's file is written only when you save with s."},
    {"d records a decision: change it, ask someone, make an attempt, accept by permit, hold.",
     "It is kept in a file beside the style, with both your names.",
     "C compares the alternatives, M shows the making order.",
     "? shows every key and finds one by what it does. t shows this tour again."},
};
enum { CARDS = sizeof cards / sizeof *cards };

bool tour_runs(const View *view)
{
    return view->tour > 0;
}

void tour_open(View *view)
{
    view->page = PAGE_WALK;
    view->tour = 1;
}

void tour_key(View *view, int key)
{
    view->tour = key == K_ESCAPE || view->tour >= CARDS ? 0 : view->tour + 1;
}

void tour_draw(const View *view, Cells *cells)
{
    const char *const *card = cards[view->tour - 1];
    int lines = 0, inner = 0;
    while (lines < CARD_LINES && card[lines] != NULL) {
        int width = cells_width(cells, card[lines]);
        inner = width > inner ? width : inner;
        lines++;
    }
    inner = inner > cells->columns - 6 ? cells->columns - 6 : inner;
    Text text = {0};
    for (int i = 0; i < lines; i++) {
        text_add_wrapped(&text, card[i], inner, 0);
        if (text.length > 0 && text.bytes[text.length - 1] != '\n')
            text_add(&text, "\n");
    }
    int height = 2;
    for (size_t i = 0; i < text.length; i++)
        height += text.bytes[i] == '\n';
    int width = inner + 4, y = (cells->rows - height) / 2, x = (cells->columns - width) / 2;
    for (int i = 0; i < height; i++)
        cells_fill(cells, y + i, x, width, LOOK_PLAIN, "");
    cells_line(cells, y, x, width);
    cells_line(cells, y + height - 1, x, width);
    const char *line = text_string(&text);
    for (int i = 1; i + 1 < height; i++) {
        cells_put(cells, y + i, x + 2, inner, LOOK_PLAIN, line);
        line += strcspn(line, "\n") + 1;
    }
    text_clear(&text);
    text_addf(&text, " %d of %d: any key goes on, Esc skips ", view->tour, CARDS);
    cells_put(cells, y + height - 1, x + 2, width - 4, LOOK_HEADING, text_string(&text));
    cells->cursor_y = y + 1;
    cells->cursor_x = x + 2;
    text_free(&text);
}

/* The keys valid here, found by typing, and done from here. For the screen. */
#include <string.h>

#include "screen/view_inside.h"

void help_open(View *view)
{
    view->help.where = view_where(view);
    view->help.before = view->page;
    view->help.chosen = 0;
    text_clear(&view->help.filter);
    view->page = PAGE_HELP;
}

/* ---- What is found ---- */

/* Every word that was typed is in it. */
static bool holds_all(const char *text, const char *words)
{
    while (*words != '\0') {
        words += strspn(words, " ");
        size_t length = strcspn(words, " ");
        if (length > 0 && !text_holds(text, words, length))
            return false;
        words += length;
    }
    return true;
}

static bool shown(const View *view, const KeyRow *row)
{
    Text line = {0};
    text_addf(&line, "%s %s %s", row->shown, row->word != NULL ? row->word : "", row->help);
    bool found = (row->where & view->help.where) != 0 &&
                 (row->valid == NULL || row->valid(view)) && row->does != help_open &&
                 holds_all(text_string(&line), text_string(&view->help.filter));
    text_free(&line);
    return found;
}

/* The n-th of what is found; NULL past the last. */
static const KeyRow *row_at(const View *view, size_t n)
{
    for (size_t i = 0; i < key_count; i++)
        if (shown(view, &key_table[i]) && n-- == 0)
            return &key_table[i];
    return NULL;
}

/* ---- Keys ---- */

static void leave(View *view)
{
    view->page = view->help.before;
    text_clear(&view->message);
}

static void take_back(Text *text)
{
    while (text->length > 0 && ((unsigned char)text->bytes[text->length - 1] & 0xc0) == 0x80)
        text->length--;
    if (text->length > 0)
        text->bytes[--text->length] = '\0';
}

static void do_chosen(View *view)
{
    const KeyRow *row = row_at(view, view->help.chosen);
    if (row == NULL)
        return;
    leave(view);
    row->does(view);
}

void help_key(View *view, int key)
{
    Help *help = &view->help;
    switch (key) {
    case K_UP:
        help->chosen -= help->chosen > 0;
        break;
    case K_DOWN:
        help->chosen += row_at(view, help->chosen + 1) != NULL;
        break;
    case K_ENTER:
    case '\n':
        do_chosen(view);
        break;
    case K_ESCAPE:
    case K_F1:
        leave(view);
        break;
    case K_BACKSPACE:
    case 8:
        if (help->filter.length == 0)
            leave(view);
        take_back(&help->filter);
        help->chosen = 0;
        break;
    default:
        if (key >= ' ' && key < 0x7f && help->filter.length < 60) {
            text_addf(&help->filter, "%c", key);
            help->chosen = 0;
        }
    }
}

/* ---- Drawing ---- */

static void draw_row(Cells *cells, int y, const KeyRow *row, bool chosen)
{
    Look look = chosen ? LOOK_CHOSEN : LOOK_PLAIN;
    cells_fill(cells, y, 0, cells->columns, look, chosen ? ">" : "");
    cells_put(cells, y, 2, 11, chosen ? look : LOOK_HEADING, row->shown);
    cells_put(cells, y, 14, cells->columns - 15, look, row->help);
    if (chosen) {
        cells->cursor_y = y;
        cells->cursor_x = 0;
    }
}

static void draw_signs(Cells *cells, int y)
{
    static const char *const lines[] = {
        "! flag: cannot be built as drawn, or fails     ? unknown: a value is missing",
        "~ tight: passes, but can fail in tolerance     + pass: holds everywhere",
        "- out: the rule does not apply here            x off: switched off"};
    for (int i = 0; i < 3; i++)
        cells_put(cells, y + i, 2, cells->columns - 4, LOOK_QUIET, lines[i]);
}

void help_draw(View *view, Cells *cells)
{
    const Help *help = &view->help;
    size_t height = (size_t)(cells->rows - 8), count = 0;
    Text line = {0};
    while (row_at(view, count) != NULL)
        count++;
    text_addf(&line, "Keys that are valid here%s%s", help->filter.length > 0 ? ", with: " : "",
              text_string(&help->filter));
    cells_put(cells, 2, 1, cells->columns - 2, LOOK_HEADING, text_string(&line));
    text_clear(&line);
    size_t top = help->chosen >= height ? help->chosen - height + 1 : 0;
    if (count > height)
        text_addf(&line, "%zu to %zu of %zu", top + 1, top + height, count);
    cells_put_right(cells, 2, 1, cells->columns - 2, LOOK_QUIET, text_string(&line));
    for (size_t i = 0; i < height && top + i < count; i++)
        draw_row(cells, 3 + (int)i, row_at(view, top + i), top + i == help->chosen);
    if (count == 0)
        cells_put(cells, 3, 2, cells->columns - 3, LOOK_PLAIN,
                  "no key does that; Backspace takes a letter back");
    draw_signs(cells, cells->rows - 4);
    text_free(&line);
}

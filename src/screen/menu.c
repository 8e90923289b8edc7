/* A list to choose one thing from, in a box over the page. For the pages. */
#include <string.h>

#include "screen/view_inside.h"

void menu_open(View *view, const char *title, void (*done)(View *view, size_t item))
{
    Menu *menu = &view->menu;
    arena_free(&menu->arena);
    *menu = (Menu){.active = true, .done = done};
    menu->title = arena_copy(&menu->arena, title, strlen(title));
}

static const char *visible(Arena *arena, const char *text)
{
    Text line = {0};
    text_add_visible(&line, text, strlen(text));
    const char *kept = arena_copy(arena, text_string(&line), line.length);
    text_free(&line);
    return kept;
}

void menu_add(View *view, const char *name, const char *note, bool present)
{
    Menu *menu = &view->menu;
    if (present)
        menu->chosen = menu->count;
    *ARENA_PUSH(&menu->arena, menu->items, menu->count, menu->capacity) =
        (MenuItem){visible(&menu->arena, name), note != NULL ? visible(&menu->arena, note) : NULL,
                   present};
}

static void go(Menu *menu, long by)
{
    long to = (long)menu->chosen + by, last = (long)menu->count - 1;
    menu->chosen = (size_t)(to < 0 ? 0 : to > last ? last : to);
}

/* The next item that begins with the letter. */
static void go_letter(Menu *menu, int key)
{
    for (size_t i = 1; i <= menu->count; i++) {
        size_t item = (menu->chosen + i) % menu->count;
        int first = (unsigned char)menu->items[item].name[0];
        if (first == key || (first | 0x20) == (key | 0x20)) {
            menu->chosen = item;
            return;
        }
    }
}

void menu_key(View *view, int key)
{
    Menu *menu = &view->menu;
    switch (key) {
    case K_UP:
        go(menu, -1);
        break;
    case K_DOWN:
    case K_TAB:
        go(menu, 1);
        break;
    case K_PAGE_UP:
        go(menu, -10);
        break;
    case K_PAGE_DOWN:
        go(menu, 10);
        break;
    case K_HOME:
        menu->chosen = 0;
        break;
    case K_END:
        menu->chosen = menu->count - 1;
        break;
    case K_ENTER:
    case '\n': /* not Space, which goes on elsewhere and may be on its way */
        menu->active = false;
        menu->done(view, menu->chosen);
        break;
    case K_ESCAPE:
    case K_CTRL('C'):
    case K_BACKSPACE:
        menu->active = false;
        view->saving_to_edit = view->leaves = false;
        view_say(view, "nothing was changed");
        break;
    default:
        if (key > ' ' && key < 0x100)
            go_letter(menu, key);
    }
}

/* ---- Drawing ---- */

static void box(Cells *cells, int y, int x, int height, int width, const char *title)
{
    for (int i = 0; i < height; i++)
        cells_fill(cells, y + i, x, width, LOOK_PLAIN, "");
    cells_line(cells, y, x, width);
    cells_line(cells, y + height - 1, x, width);
    for (int i = 1; i < height - 1; i++) {
        cells_put(cells, y + i, x, 1, LOOK_QUIET, "│");
        cells_put(cells, y + i, x + width - 1, 1, LOOK_QUIET, "│");
    }
    cells_put(cells, y, x, 1, LOOK_QUIET, cells->ascii ? "+" : "┌");
    cells_put(cells, y, x + width - 1, 1, LOOK_QUIET, cells->ascii ? "+" : "┐");
    cells_put(cells, y + height - 1, x, 1, LOOK_QUIET, cells->ascii ? "+" : "└");
    cells_put(cells, y + height - 1, x + width - 1, 1, LOOK_QUIET, cells->ascii ? "+" : "┘");
    cells_put(cells, y, x + 2, width - 4, LOOK_HEADING, title);
}

static void keep_in_sight(Menu *menu, size_t lines)
{
    if (menu->chosen < menu->top)
        menu->top = menu->chosen;
    if (menu->chosen >= menu->top + lines)
        menu->top = menu->chosen - lines + 1;
    if (menu->top + lines > menu->count) /* it was smaller before */
        menu->top = menu->count - lines;
}

static void draw_item(const Menu *menu, Cells *cells, int y, int x, int width, int names,
                      size_t item)
{
    const MenuItem *at = &menu->items[item];
    bool chosen = item == menu->chosen;
    Look look = chosen ? LOOK_CHOSEN : LOOK_PLAIN;
    Text line = {0};
    text_addf(&line, "%c%c %s", chosen ? '>' : ' ', at->present ? '*' : ' ', at->name);
    cells_fill(cells, y, x, width, look, text_string(&line));
    text_free(&line);
    if (at->note != NULL && width - 6 - names > 0)
        cells_put(cells, y, x + 5 + names, width - 6 - names, chosen ? look : LOOK_QUIET, at->note);
    if (chosen) {
        cells->cursor_y = y;
        cells->cursor_x = x;
    }
}

void menu_draw(View *view, Cells *cells)
{
    Menu *menu = &view->menu;
    int names = 0, notes = 0;
    for (size_t i = 0; i < menu->count; i++) {
        names = larger(names, cells_width(cells, menu->items[i].name));
        if (menu->items[i].note != NULL)
            notes = larger(notes, cells_width(cells, menu->items[i].note) + 2);
    }
    int width = larger(names + notes + 8, cells_width(cells, menu->title) + 6);
    width = smaller(width, cells->columns - 4);
    int lines = smaller((int)menu->count, cells->rows - 6);
    int y = (cells->rows - lines - 2) / 2, x = (cells->columns - width) / 2;
    box(cells, y, x, lines + 2, width, menu->title);
    keep_in_sight(menu, (size_t)lines);
    for (int i = 0; i < lines; i++)
        draw_item(menu, cells, y + 1 + i, x + 1, width - 2, names, menu->top + (size_t)i);
    if ((size_t)lines < menu->count) {
        Text more = {0};
        text_addf(&more, " %zu of %zu ", menu->chosen + 1, menu->count);
        cells_put_right(cells, y + lines + 1, x, width - 2, LOOK_QUIET, text_string(&more));
        text_free(&more);
    }
    cells_fill(cells, cells->rows - 1, 0, cells->columns - 1, LOOK_TITLE,
               " Up Down choose  a letter goes to its word  Enter takes it  Esc takes none");
}

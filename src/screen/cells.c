/* A grid of cells and writing into it, cut on characters, never within one. For the
 * screen and its tests. */
#define _GNU_SOURCE /* wcwidth */
#include "screen/cells.h"

#include <stdlib.h>
#include <string.h>
#include <wchar.h>

#include "base/memory.h"
#include "base/utf8.h"

void cells_start(Cells *cells, int rows, int columns)
{
    free(cells->cells);
    cells->rows = rows < 1 ? 1 : rows;
    cells->columns = columns < 1 ? 1 : columns;
    size_t count = (size_t)cells->rows * (size_t)cells->columns;
    cells->cells = memory_new(count, sizeof *cells->cells);
    for (size_t i = 0; i < count; i++)
        strcpy(cells->cells[i].text, " ");
    cells->cursor_y = cells->cursor_x = 0;
}

void cells_free(Cells *cells)
{
    free(cells->cells);
    cells->cells = NULL;
}

/* ---- Characters ---- */

static const char *spelt(uint32_t codepoint)
{
    switch (codepoint) {
    case 0xb1:
        return "+/-";
    case 0xb0:
        return "deg";
    case 0x2026:
        return "...";
    case 0xd7:
        return "x";
    case 0xb7:
    case 0x2502:
        return "|";
    case 0x2500:
    case 0x2013:
        return "-";
    case 0x2192:
        return "->";
    default:
        return "?";
    }
}

/* One character as it can be shown, and how many cells it takes: 0 combines with the
 * one before, -1 ends the text. */
typedef struct Glyph {
    const char *bytes;
    size_t length, used; /* shown; of the text */
    int cells;
} Glyph;

static Glyph glyph_at(const Cells *cells, const char *text)
{
    uint32_t codepoint;
    size_t used = *text ? utf8_decode(text, strlen(text), &codepoint) : 0;
    if (used == 0 || codepoint < 0x20)
        return (Glyph){text, 0, 0, -1};
    if (codepoint < 0x80)
        return (Glyph){text, 1, 1, 1};
    if (cells->ascii) {
        const char *word = spelt(codepoint);
        return (Glyph){word, strlen(word), used, (int)strlen(word)};
    }
    int width = wcwidth((wchar_t)codepoint);
    return (Glyph){text, used, used, width < 0 ? 1 : width};
}

int cells_width(const Cells *cells, const char *text)
{
    int width = 0;
    for (Glyph glyph; (glyph = glyph_at(cells, text)).cells >= 0; text += glyph.used)
        width += glyph.cells;
    return width;
}

static ScreenCell *cell_at(Cells *cells, int y, int x)
{
    if (y < 0 || y >= cells->rows || x < 0 || x >= cells->columns)
        return NULL;
    return &cells->cells[(size_t)y * (size_t)cells->columns + (size_t)x];
}

static void set_cell(Cells *cells, int y, int x, Look look, const char *bytes, size_t length)
{
    ScreenCell *cell = cell_at(cells, y, x);
    if (cell == NULL)
        return;
    memcpy(cell->text, bytes, length);
    cell->text[length] = '\0';
    cell->look = (unsigned char)look;
}

/* As far as there is room in the cell. */
static void combine(Cells *cells, int y, int x, Glyph glyph)
{
    ScreenCell *cell = cell_at(cells, y, x);
    if (cell != NULL && cell->text[0] == '\0')
        cell = cell_at(cells, y, x - 1); /* the left half of a wide one */
    if (cell != NULL && strlen(cell->text) + glyph.length < sizeof cell->text)
        strncat(cell->text, glyph.bytes, glyph.length);
}

/* A wide character that something else is written over loses its other half. */
static void part_wide(Cells *cells, int y, int x)
{
    ScreenCell *cell = cell_at(cells, y, x), *left = cell_at(cells, y, x - 1);
    ScreenCell *right = cell_at(cells, y, x + 1);
    if (cell != NULL && cell->text[0] == '\0' && left != NULL)
        strcpy(left->text, " ");
    if (cell != NULL && cell->text[0] != '\0' && right != NULL && right->text[0] == '\0')
        strcpy(right->text, " ");
}

static void set_glyph(Cells *cells, int y, int x, Look look, Glyph glyph)
{
    if (glyph.cells > 1 && glyph.length == (size_t)glyph.cells) { /* spelt */
        for (size_t i = 0; i < glyph.length; i++) {
            part_wide(cells, y, x + (int)i);
            set_cell(cells, y, x + (int)i, look, glyph.bytes + i, 1);
        }
        return;
    }
    for (int i = 0; i < glyph.cells; i++)
        part_wide(cells, y, x + i);
    set_cell(cells, y, x, look, glyph.bytes, glyph.length);
    if (glyph.cells == 2)
        set_cell(cells, y, x + 1, look, "", 0);
}

/* ---- Writing ---- */

int cells_put(Cells *cells, int y, int x, int width, Look look, const char *text)
{
    if (x + width > cells->columns)
        width = cells->columns - x;
    if (width <= 0 || y < 0 || y >= cells->rows)
        return 0;
    bool cut = cells_width(cells, text) > width;
    const char *dots = "…";
    int mark = cells->ascii ? (width > 3 ? 3 : 1) : 1, room = cut ? width - mark : width, used = 0;
    for (Glyph glyph; (glyph = glyph_at(cells, text)).cells >= 0; text += glyph.used) {
        if (used + glyph.cells > room)
            break;
        if (glyph.cells > 0)
            set_glyph(cells, y, x + used, look, glyph);
        else if (used > 0) /* a mark before any letter has nothing to stand on */
            combine(cells, y, x + used - 1, glyph);
        used += glyph.cells;
    }
    if (cut && cells->ascii) {
        for (int i = 0; i < mark; i++)
            set_cell(cells, y, x + used++, look, mark > 1 ? "." : ">", 1);
    } else if (cut) {
        set_glyph(cells, y, x + used++, look, (Glyph){dots, strlen(dots), 0, 1});
    }
    return used;
}

void cells_fill(Cells *cells, int y, int x, int width, Look look, const char *text)
{
    int used = cells_put(cells, y, x, width, look, text);
    for (; used < width && x + used < cells->columns; used++) {
        part_wide(cells, y, x + used);
        set_cell(cells, y, x + used, look, " ", 1);
    }
}

int cells_put_right(Cells *cells, int y, int x, int width, Look look, const char *text)
{
    int needs = cells_width(cells, text);
    int from = needs < width ? x + width - needs : x;
    cells_put(cells, y, from, x + width - from, look, text);
    return from;
}

void cells_look(Cells *cells, int y, int x, int width, Look look)
{
    for (int i = 0; i < width; i++) {
        ScreenCell *cell = cell_at(cells, y, x + i);
        if (cell != NULL)
            cell->look = (unsigned char)look;
    }
}

void cells_line(Cells *cells, int y, int x, int width)
{
    for (int i = 0; i < width; i++)
        cells_put(cells, y, x + i, 1, LOOK_QUIET, "─");
}

void cells_column(Cells *cells, int y, int x, int height)
{
    for (int i = 0; i < height; i++)
        cells_put(cells, y + i, x, 1, LOOK_QUIET, "│");
}

void cells_text(Text *text, const Cells *cells)
{
    for (int y = 0; y < cells->rows; y++) {
        size_t line = text->length;
        for (int x = 0; x < cells->columns; x++)
            text_add(text, cells->cells[(size_t)y * (size_t)cells->columns + (size_t)x].text);
        while (text->length > line && text->bytes[text->length - 1] == ' ')
            text->length--;
        text_add(text, "\n");
    }
}

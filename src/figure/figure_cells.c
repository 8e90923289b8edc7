/* Pictures in character cells: braille, or plain letters, and the same as lines of
 * text. For the screen and the commands. */
#include <stdio.h>
#include <string.h>

#include "base/utf8.h"
#include "figure/figure_ascii.h"

enum { CELL_WIDE = 2, CELL_HIGH = 4, SAYS_LEAST = 10 };

typedef struct Grid {
    Cell *cells;
    int width, height;
} Grid;

static int cells_wide(const Surface *surface, Pen pen, const char *text)
{
    (void)surface;
    (void)pen;
    return CELL_WIDE * utf8_cells(text);
}

static Surface cell_surface(int width, int height)
{
    return (Surface){
        .width = width * CELL_WIDE,
        .height = height * CELL_HIGH,
        .tallest = 0.7,
        .step_x = CELL_WIDE,
        .step_y = CELL_HIGH,
        .gap_x = CELL_WIDE,
        .far_x = CELL_WIDE,
        .far_y = CELL_HIGH,
        .line_height = CELL_HIGH,
        .clear_x = CELL_WIDE,
        .label_width = cells_wide,
    };
}

static Cell *cell_at(const Grid *grid, int column, int row)
{
    return &grid->cells[(size_t)row * (size_t)grid->width + (size_t)column];
}

static void set_character(Cell *cell, const char *bytes, size_t length, Pen pen)
{
    memset(cell->text, 0, sizeof cell->text);
    memcpy(cell->text, bytes, length < sizeof cell->text ? length : sizeof cell->text - 1);
    cell->pen = pen;
}

static size_t character_length(const char *text)
{
    uint32_t codepoint;
    size_t length = utf8_decode(text, strlen(text), &codepoint);
    return length ? length : 1;
}

/* A text that fits; what combines goes to the character before it. */
static void write_text(const Grid *grid, int column, int row, Pen pen, const char *text)
{
    Cell *last = NULL;
    while (*text) {
        size_t length = character_length(text);
        char character[8] = "";
        memcpy(character, text, length);
        int width = utf8_cells(character);
        if (width > 0 && column + width <= grid->width) {
            last = cell_at(grid, column, row);
            set_character(last, character, length, pen);
            if (width == 2)
                set_character(last + 1, "", 0, pen);
            column += width;
        } else if (width == 0 && last && strlen(last->text) + length < sizeof last->text) {
            strcat(last->text, character);
        }
        text += length;
    }
}

/* Keeps the dots beside labels free of hatch, and a ring about what is marked as
 * trouble free of all. */
static void clear_room(const Figure *figure, Layout *layout)
{
    for (size_t i = 0; i < figure->count; i++) {
        Rect rect = layout->tags[i].rect;
        if (!layout->tags[i].shown)
            continue;
        const Shape *shape = &figure->shapes[i];
        bool mark = shape->kind == SHAPE_MARK && shape->pen == PEN_TROUBLE;
        Rect wide = {rect.x - 1, rect.y - mark, rect.width + 2, rect.height + 2 * mark};
        dots_change(&layout->dots, wide, 0, mark ? DOT_FILL | DOT_LINE : DOT_FILL);
    }
}

/* The bits of U+2800's dots, by row and column. */
static const unsigned char BRAILLE[CELL_HIGH][CELL_WIDE] = {
    {0x01, 0x08}, {0x02, 0x10}, {0x04, 0x20}, {0x40, 0x80}};

static Cell cell_of(const Dots *dots, int column, int row, const char *signs)
{
    Cell cell = {" ", PEN_FILL};
    unsigned pattern = 0;
    for (int y = 0; y < CELL_HIGH; y++)
        for (int x = 0; x < CELL_WIDE; x++) {
            size_t at = (size_t)(row * CELL_HIGH + y) * (size_t)dots->width +
                        (size_t)(column * CELL_WIDE + x);
            if ((dots->dots[at] & (DOT_FILL | DOT_LINE)) == 0)
                continue;
            pattern |= BRAILLE[y][x];
            Pen pen = (Pen)(dots->dots[at] >> DOT_PEN_SHIFT);
            cell.pen = pen_weight(pen) > pen_weight(cell.pen) ? pen : cell.pen;
        }
    if (signs) {
        cell.text[0] = signs[(size_t)row * (size_t)(dots->width / CELL_WIDE) + (size_t)column];
    } else if (pattern) {
        char braille[3] = {(char)0xE2, (char)(0xA0 | pattern >> 6),
                           (char)(0x80 | (pattern & 0x3F))};
        set_character(&cell, braille, sizeof braille, cell.pen);
    }
    return cell;
}

static void write_number(const Grid *grid, int column, int row, Pen pen, size_t number)
{
    char text[24];
    snprintf(text, sizeof text, "%zu", number);
    write_text(grid, column, row, pen, text);
}

static void write_tag(const Grid *grid, const Figure *figure, size_t number, const Tag *tag,
                      CellStyle style, bool keyed)
{
    const Shape *shape = &figure->shapes[number];
    int column = tag->rect.x / CELL_WIDE, row = tag->rect.y / CELL_HIGH;
    bool trouble = shape->pen == PEN_TROUBLE;
    if (is_callout(shape) && keyed)
        write_number(grid, column, row, shape->pen, callout_number(figure, number));
    else if (shape->kind == SHAPE_LABEL)
        write_text(grid, column, row, shape->pen, shape->text);
    else if (style.ascii)
        set_character(cell_at(grid, column, row), trouble ? "*" : "o", 1, shape->pen);
    else
        set_character(cell_at(grid, column, row), trouble ? "●" : "○", 3, shape->pen);
}

static void draw(Arena *arena, const Figure *figure, Layout *layout, CellStyle style, bool keyed,
                 const Grid *grid)
{
    const char *signs = style.ascii ? ascii_signs(arena, figure, layout) : NULL;
    clear_room(figure, layout);
    for (int row = 0; row < layout->dots.height / CELL_HIGH; row++)
        for (int column = 0; column < grid->width; column++)
            *cell_at(grid, column, row) = cell_of(&layout->dots, column, row, signs);
    for (size_t i = 0; i < figure->count; i++)
        if (layout->tags[i].shown)
            write_tag(grid, figure, i, &layout->tags[i], style, keyed);
    const Scale *scale = &layout->scale;
    write_text(grid, scale->rect.x / CELL_WIDE, scale->rect.y / CELL_HIGH, PEN_LINE, scale->words);
}

static void say_left_out(const Grid *grid, const Figure *figure, const Layout *layout, int row)
{
    Text said = {0};
    figure_left_out(&said, layout, figure);
    if (utf8_cells(text_string(&said)) > grid->width) {
        text_clear(&said);
        text_addf(&said, "%zu left out", layout->dropped + figure->refused);
    }
    if (utf8_cells(text_string(&said)) <= grid->width)
        write_text(grid, 0, row, PEN_FAINT, text_string(&said));
    text_free(&said);
}

enum { KEY_COLUMN = 3, PICTURE_LEAST = 3 };

/* Rows that a key to all callouts takes; 0 where there is none, or one does not fit. */
static size_t key_rows(const Figure *figure, const Grid *grid)
{
    size_t count = 0;
    for (size_t i = 0; i < figure->count; i++) {
        if (!is_callout(&figure->shapes[i]))
            continue;
        count++;
        if (utf8_cells(figure->shapes[i].text) + KEY_COLUMN > grid->width)
            return 0;
    }
    return count + PICTURE_LEAST <= (size_t)grid->height ? count : 0;
}

/* What stands below the picture itself. */
typedef struct Below {
    bool says;  /* a row on what was left out */
    size_t key; /* rows of the key to numbered callouts; 0: they stand at their places */
} Below;

static Layout lay(Arena *arena, const Figure *figure, const Grid *grid, Below below)
{
    Surface surface = cell_surface(grid->width, grid->height - (int)below.key - below.says);
    surface.keyed = below.key > 0;
    return figure_layout(arena, figure, &surface);
}

/* Callouts in full, or as numbers with a key where that leaves out fewer, or lets
 * the picture be much larger. */
static Layout lay_out(Arena *arena, const Figure *figure, const Grid *grid, Below *below)
{
    Layout layout = lay(arena, figure, grid, *below);
    Below with_key = {below->says, key_rows(figure, grid)};
    if (with_key.key > 0) {
        Layout keyed = lay(arena, figure, grid, with_key);
        if (keyed.dropped < layout.dropped ||
            (keyed.dropped == layout.dropped && keyed.view.across > 2 * layout.view.across)) {
            *below = with_key;
            layout = keyed;
        }
    }
    bool short_of = layout.dropped || figure->refused || figure->count == 0;
    if (!below->says && short_of && grid->height > 1 && grid->width >= SAYS_LEAST) {
        below->says = true;
        below->key = 0;
        return lay_out(arena, figure, grid, below);
    }
    return layout;
}

/* The words of the numbered callouts, a row each. */
static void write_key(const Grid *grid, const Figure *figure, int row)
{
    for (size_t i = 0; i < figure->count; i++) {
        const Shape *shape = &figure->shapes[i];
        if (!is_callout(shape))
            continue;
        size_t number = callout_number(figure, i);
        write_number(grid, 0, row + (int)number - 1, shape->pen, number);
        write_text(grid, KEY_COLUMN, row + (int)number - 1, shape->pen, shape->text);
    }
}

static bool row_is_empty(const Grid *grid, int row)
{
    for (int column = 0; column < grid->width; column++)
        if (strcmp(cell_at(grid, column, row)->text, " ") != 0)
            return false;
    return true;
}

/* Moves the picture up over empty rows; returns how many of its `rows` are left. */
static int trim(const Grid *grid, int rows)
{
    int empty = 0;
    while (empty < rows && row_is_empty(grid, empty))
        empty++;
    size_t width = (size_t)grid->width;
    memmove(grid->cells, grid->cells + (size_t)empty * width,
            (size_t)(rows - empty) * width * sizeof *grid->cells);
    for (size_t i = (size_t)(rows - empty) * width; i < (size_t)rows * width; i++)
        grid->cells[i] = (Cell){" ", PEN_FILL};
    while (rows > empty && row_is_empty(grid, rows - empty - 1))
        rows--;
    return rows - empty;
}

Cell *figure_cells(Arena *arena, const Figure *figure, CellStyle style, int *used_height)
{
    Grid grid = {.width = style.width > 1 ? style.width : 1,
                 .height = style.height > 1 ? style.height : 1};
    size_t count = (size_t)grid.width * (size_t)grid.height;
    grid.cells = ARENA_NEW(arena, Cell, count);
    for (size_t i = 0; i < count; i++)
        grid.cells[i] = (Cell){" ", PEN_FILL};
    Below below = {0};
    Layout layout = lay_out(arena, figure, &grid, &below);
    draw(arena, figure, &layout, style, below.key > 0, &grid);
    int rows = trim(&grid, (dots_bottom(&layout.dots) + CELL_HIGH - 1) / CELL_HIGH);
    if (below.key > 0)
        write_key(&grid, figure, rows);
    rows += (int)below.key;
    if (below.says)
        say_left_out(&grid, figure, &layout, rows);
    *used_height = rows + below.says;
    return grid.cells;
}

static void add_row(Text *out, const Cell *cells, int width)
{
    int last = width;
    while (last > 0 && strcmp(cells[last - 1].text, " ") == 0)
        last--;
    for (int i = 0; i < last; i++)
        text_add(out, cells[i].text);
    text_add(out, "\n");
}

/* Lines from the figure, safe and wrapped. */
static void add_lines(Text *out, const char *lines, int width)
{
    while (*lines) {
        size_t length = strcspn(lines, "\n");
        Text line = {0};
        text_add_visible(&line, lines, length);
        text_add_wrapped(out, text_string(&line), width, 0);
        text_add(out, "\n");
        text_free(&line);
        lines += length + (lines[length] == '\n');
    }
}

void figure_text(Text *out, const Figure *figure, CellStyle style)
{
    Arena arena = {0};
    int width = style.width > 1 ? style.width : 1, rows;
    Cell *cells = figure_cells(&arena, figure, style, &rows);
    if (figure->title)
        add_lines(out, figure->title, width);
    for (int row = 0; row < rows; row++)
        add_row(out, cells + (size_t)row * (size_t)width, width);
    add_lines(out, text_string(&figure->notes), width);
    arena_free(&arena);
}

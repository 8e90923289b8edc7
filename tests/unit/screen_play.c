/* Scripts of keys played to the view, and the screens they end in held against those
 * that are kept: tests/screen/scripts/NAME.keys, tests/screen/kept/NAME-SIZE.txt.
 *
 *   keys NAMES     keys by name, blanks between them
 *   type TEXT      letters
 *   show           the screen becomes part of what is kept, once all of it is worked out
 *   now            the same before anything more is worked out
 *   file NAME      so does a file
 *   append NAME TEXT   somebody else adds a line to a file
 *   swap OLD => NEW    somebody else writes NEW for OLD in the style
 *   redraw OLD => NEW  the same in the drawing
 *   edited             what was asked for is edited: the editor has been left
 *   again              the view is closed and opened again
 *
 * A monochrome screen is followed by what sets its cells off: r reversed, b bold, as a terminal
 * without colours shows them.
 *
 * With CORDWAIN_REFRESH in the environment what is kept is written anew: read the diff. */
#include "screen_kit.h"

#include <dirent.h>

typedef struct Size {
    const char *name;
    int rows, columns;
    bool ascii, mono;
} Size;

static const Size sizes[] = {
    {"80x24", 24, 80, false, false},       {"120x40", 40, 120, false, false},
    {"200x60", 60, 200, false, false},     {"80x24-ascii", 24, 80, true, false},
    {"120x40-ascii", 40, 120, true, false}, {"200x60-ascii", 60, 200, true, false},
    {"80x24-mono", 24, 80, false, true},   {"120x40-mono", 40, 120, false, true}};

/* ---- Without colours ---- */

static char mono_letter(unsigned char look)
{
    return look == LOOK_TITLE || look == LOOK_CHOSEN ? 'r'
           : look == LOOK_PLAIN || look == LOOK_QUIET ? ' '
                                                      : 'b';
}

static void add_mono(Text *out, const Cells *cells)
{
    text_add(out, "---- set off\n");
    for (int y = 0; y < cells->rows; y++) {
        size_t whole = out->length;
        for (int x = 0; x < cells->columns; x++) {
            char letter = mono_letter(cells->cells[y * cells->columns + x].look);
            text_addf(out, "%c", letter);
            whole = letter != ' ' ? out->length : whole;
        }
        out->length = whole;
        text_add(out, "\n");
    }
}

/* What a colour says a word says too. */
static void hold_words(const Cells *cells, int y)
{
    for (int x = 0, end; x < cells->columns; x = end) {
        const ScreenCell *row = &cells->cells[y * cells->columns];
        const char *word = row[x].look == LOOK_FLAG      ? "flag"
                           : row[x].look == LOOK_UNKNOWN ? "unknown"
                           : row[x].look == LOOK_TIGHT   ? "tight"
                                                         : "";
        Text run = {0};
        for (end = x; end < cells->columns && row[end].look == row[x].look; end++)
            text_add(&run, row[end].text);
        if (strstr(text_string(&run), word) == NULL)
            fail_msg("a colour without its word: \"%s\"", text_string(&run));
        text_free(&run);
    }
}

/* ---- A script ---- */

static void show(Desk *desk, const Size *size, int pieces, Text *out)
{
    desk_work(desk, size->rows, size->columns, pieces);
    cells_text(out, &desk->cells);
    for (int y = 0; y < size->rows; y++)
        hold_words(&desk->cells, y);
    if (size->mono)
        add_mono(out, &desk->cells);
    text_addf(out, "==== cursor %d,%d%s\n", desk->cells.cursor_y, desk->cells.cursor_x,
              view_left(desk->view) ? ", left" : "");
}

static void swap(Desk *desk, const char *file, const char *what)
{
    const char *arrow = strstr(what, " => ");
    assert_non_null(arrow);
    desk_swap(desk, file, arena_copy(&desk->arena, what, (size_t)(arrow - what)),
              arrow + 4);
}

static void edited(Desk *desk)
{
    if (view_wish(desk->view).kind != WISH_EDIT)
        fail_msg("no editor was asked for:\n%s", desk_screen(desk, 24, 80));
    view_edited(desk->view, NULL);
}

static void play_line(Desk *desk, const Size *size, const char *line, Text *out)
{
    if (strncmp(line, "keys ", 5) == 0) {
        desk_keys(desk, line + 5);
    } else if (strncmp(line, "type ", 5) == 0) {
        desk_type(desk, line + 5);
    } else if (strcmp(line, "show") == 0) {
        show(desk, size, ALL_PIECES, out);
    } else if (strcmp(line, "now") == 0) {
        show(desk, size, 0, out);
    } else if (strncmp(line, "swap ", 5) == 0) {
        swap(desk, "tender.yaml", line + 5);
    } else if (strncmp(line, "redraw ", 7) == 0) {
        swap(desk, "tender.svg", line + 7);
    } else if (strcmp(line, "edited") == 0) {
        edited(desk);
    } else if (strcmp(line, "again") == 0) {
        view_close(desk->view);
        desk_view(desk, false);
    } else if (strncmp(line, "file ", 5) == 0) {
        text_addf(out, "==== %s\n%s", line + 5, desk_read(desk, line + 5));
    } else if (strncmp(line, "append ", 7) == 0) {
        size_t length = strcspn(line + 7, " ");
        desk_write(arena_printf(&desk->arena, "%.*s", (int)length, line + 7),
                   arena_printf(&desk->arena, "%s\n", line + 7 + length + 1), "a");
    } else if (line[0] != '#' && line[0] != '\0') {
        fail_msg("the script says: %s", line);
    }
}

static void play(const char *script, const Size *size, Text *out)
{
    Desk desk;
    desk_open(&desk);
    desk.cells.ascii = size->ascii;
    desk.cells.braille = !size->ascii;
    while (*script != '\0') {
        size_t length = strcspn(script, "\n");
        play_line(&desk, size, arena_copy(&desk.arena, script, length), out);
        script += length + (script[length] == '\n');
    }
    desk_close(&desk);
}

static bool hold(Arena *arena, const char *name, const char *script, const Size *size)
{
    Messages messages = {0};
    const char *path = arena_printf(arena, "tests/screen/kept/%s-%s.txt", name, size->name);
    Text out = {0};
    char *kept = NULL;
    size_t length;
    play(script, size, &out);
    if (getenv("CORDWAIN_REFRESH") != NULL)
        desk_write(path, text_string(&out), "w");
    bool same = file_read(arena, path, 1 << 22, &messages, &kept, &length) &&
                strcmp(kept, text_string(&out)) == 0;
    if (!same) {
        char now[SCRATCH_LENGTH];
        scratch_write(now, text_string(&out), out.length);
        fprintf(stderr, "%s: other than kept; now in %s\n", path, now);
    }
    text_free(&out);
    messages_free(&messages);
    return same;
}

static size_t count_shows(const char *script)
{
    size_t count = 0;
    for (const char *at = script; (at = strstr(at, "show")) != NULL; at += 4)
        count += (at == script || at[-1] == '\n') && (at[4] == '\n' || at[4] == '\0');
    return count;
}

static void screens_are_as_kept(void **state)
{
    (void)state;
    Arena arena = {0};
    Messages messages = {0};
    DIR *folder = opendir("tests/screen/scripts");
    assert_non_null(folder);
    size_t other = 0, shown[3] = {0}; /* UTF-8, ASCII, monochrome */
    for (struct dirent *entry; (entry = readdir(folder)) != NULL;) {
        const char *end = strstr(entry->d_name, ".keys");
        if (end == NULL)
            continue;
        char *script, *name = arena_copy(&arena, entry->d_name, (size_t)(end - entry->d_name));
        size_t length;
        assert_true(file_read(&arena,
                              arena_printf(&arena, "tests/screen/scripts/%s", entry->d_name),
                              1 << 16, &messages, &script, &length));
        for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
            other += !hold(&arena, name, script, &sizes[i]);
            shown[sizes[i].mono ? 2 : sizes[i].ascii ? 1 : 0] += count_shows(script);
        }
    }
    closedir(folder);
    for (int i = 0; i < 3; i++)
        assert_true(shown[i] >= 60);
    assert_int_equal(other, 0);
    messages_free(&messages);
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(screens_are_as_kept)};
    if (setlocale(LC_ALL, "C.UTF-8") == NULL)
        return 1;
    return cmocka_run_group_tests(tests, NULL, NULL);
}

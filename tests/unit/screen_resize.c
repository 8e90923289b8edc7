/* Resizing while keys come: nothing is lost, nothing is drawn beside its place. */
#include "screen_kit.h"

#if __has_include(<valgrind/valgrind.h>)
#include <valgrind/valgrind.h>
#else
#define RUNNING_ON_VALGRIND 0
#endif

static int resizes(void)
{
    return RUNNING_ON_VALGRIND ? 50 : 1000;
}

static unsigned drawn(unsigned *seed)
{
    *seed = *seed * 1103515245u + 12345u;
    return *seed >> 16;
}

/* Keys that go about, and change nothing of the style. */
static int going(unsigned *seed)
{
    static const int keys[] = {' ', 'b',     K_UP, K_DOWN, K_LEFT,    K_RIGHT,     K_TAB, 'a',
                               'p', 'P',     'w',  'L',    'c',       'F',         'n',   '/',
                               't', '?',     'z',  'y',    K_HOME,    K_END,       'q',   K_ESCAPE,
                               'f', K_ENTER, 'o',  'g',    K_PAGE_UP, K_PAGE_DOWN, 0x301, 0x9774,
                               'i', 'C',     'M',  'i'};
    return keys[drawn(seed) % (sizeof keys / sizeof *keys)];
}

/* These can be chosen from a list as well. */
static bool asks(const char *screen)
{
    static const char *const lists[] = {"not saved", "Alternative", "Factory", "Take another",
                                        "What would clear it", "tries what is chosen",
                                        "takes the chosen alternative"};
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++)
        if (strstr(screen, lists[i]) != NULL)
            return true;
    return strstr(screen, "Enter new value") != NULL;
}

/* Each cell holds one character, a wide one is followed by its empty half, and no row is
 * longer than the screen. */
static void hold_cells(const Cells *cells)
{
    for (int y = 0; y < cells->rows; y++)
        for (int x = 0; x < cells->columns; x++) {
            const ScreenCell *cell = &cells->cells[y * cells->columns + x];
            const ScreenCell *next = x + 1 < cells->columns ? cell + 1 : NULL;
            int width = utf8_cells(cell->text);
            if (width == 2 && (next == NULL || next->text[0] != '\0'))
                fail_msg("a wide character has no room at %d,%d", y, x);
            if (width != 2 && next != NULL && next->text[0] == '\0')
                fail_msg("half a character at %d,%d", y, x + 1);
            if (cell->text[0] != '\0' && width == 0)
                fail_msg("a mark with nothing to stand on at %d,%d", y, x);
        }
    assert_in_range(cells->cursor_y, 0, cells->rows - 1);
    assert_in_range(cells->cursor_x, 0, cells->columns - 1);
}

/* Another size and back again: what is seen is what was seen. Returns that. */
static const char *resize(Desk *desk, unsigned *seed, int i)
{
    const char *before = desk_screen(desk, 24, 80);
    bool ascii = i % 3 == 0;
    desk->cells.ascii = ascii;
    desk->cells.braille = !ascii;
    view_key(desk->view, K_RESIZE);
    desk_screen(desk, (int)(drawn(seed) % 70) + 1, (int)(drawn(seed) % 220) + 1);
    hold_cells(&desk->cells);
    desk->cells.ascii = false;
    desk->cells.braille = true;
    view_key(desk->view, K_RESIZE);
    assert_string_equal(desk_screen(desk, 24, 80), before);
    hold_cells(&desk->cells);
    return before;
}

static void no_edit_is_lost_in_a_thousand_sizes(void **state)
{
    (void)state;
    Desk desk;
    unsigned seed = 20260301;
    desk_open(&desk);
    desk_keys(&desk, "Down Enter + q");
    const char *screen = "";
    for (int i = 0; i < resizes(); i++) {
        int key = going(&seed);
        view_key(desk.view, asks(screen) && key == K_ENTER ? K_ESCAPE : key);
        view_wish(desk.view);
        screen = resize(&desk, &seed, i);
        assert_false(view_left(desk.view));
        assert_non_null(strstr(screen, "| 1 unsaved"));
    }
    view_abandon(desk.view, &desk.messages);
    assert_non_null(strstr(desk_read(&desk, "tender.changed.yaml"), "pitch: 1.5 mm"));
    desk_close(&desk);
}

/* All keys but those that leave, with the whole of what they change. */
static void any_key_in_any_size(void **state)
{
    (void)state;
    static const int more[] = {'+', '-', 'u', 'r', 'd', 'x',     'v',
                               'm', 's', 'e', '1', 'k', K_DELETE};
    Desk desk;
    unsigned seed = 7;
    desk_open(&desk);
    for (int i = 0; i < resizes(); i++) {
        unsigned one = drawn(&seed) % 3;
        int key = one == 0 ? more[drawn(&seed) % (sizeof more / sizeof *more)] : going(&seed);
        view_key(desk.view, key);
        if (view_wish(desk.view).kind == WISH_EDIT)
            view_edited(desk.view, NULL);
        if (view_left(desk.view)) {
            view_close(desk.view);
            desk_view(&desk, i % 2 == 0);
        }
        resize(&desk, &seed, i);
    }
    desk_close(&desk);
}

/* ---- Names of many scripts ---- */

/* Where the line between the two columns stands in each row that has it. */
static void hold_columns(const Cells *cells)
{
    int at = -1, rows = 0;
    for (int y = 4; y < cells->rows - 4; y++)
        for (int x = cells->columns / 4; x < cells->columns; x++)
            if (strcmp(cells->cells[y * cells->columns + x].text, cells->ascii ? "|" : "│") == 0) {
                at = at < 0 ? x : at;
                assert_int_equal(x, at);
                rows++;
                break;
            }
    assert_true(rows > 5);
}

static void names_do_not_move_columns(void **state)
{
    (void)state;
    static const char *const names[] = {"Giày lười Nguyễn Thị Ánh",
                                        "靴子 帆布鞋 王小明",
                                        "حذاء قماش ضيّق",
                                        "e\u0301a\u0308o\u0323\u0302 zo\u0308e",
                                        "ดอกไม้ ผ้าใบ",
                                        "👟 shoe"};
    static const int sizes[][2] = {{24, 80}, {40, 120}, {60, 149}, {16, 60}};
    Desk desk;
    desk_open(&desk);
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        desk_keys(&desk, "d Enter");
        if (i == 0) {
            desk_type(&desk, "王小明, Nguyễn");
            desk_keys(&desk, "Enter");
        }
        desk_type(&desk, names[i]);
        for (size_t k = 0; k < sizeof sizes / sizeof *sizes; k++) {
            desk_screen(&desk, sizes[k][0], sizes[k][1]);
            hold_cells(&desk.cells);
        }
        desk_keys(&desk, "Enter");
        for (int ascii = 0; ascii < 2; ascii++)
            for (size_t k = 0; k < sizeof sizes / sizeof *sizes; k++) {
                desk.cells.ascii = ascii != 0;
                desk.cells.braille = false;
                const char *screen = desk_screen(&desk, sizes[k][0], sizes[k][1]);
                hold_cells(&desk.cells);
                if (sizes[k][0] == 16)
                    continue;
                hold_columns(&desk.cells);
                if (strstr(screen, "Decided: to be changed") == NULL)
                    fail_msg("%s was not kept:\n%s", names[i], screen);
            }
        desk.cells.ascii = false;
    }
    desk_close(&desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_edit_is_lost_in_a_thousand_sizes),
        cmocka_unit_test(any_key_in_any_size),
        cmocka_unit_test(names_do_not_move_columns),
    };
    if (setlocale(LC_ALL, "C.UTF-8") == NULL)
        return 1;
    return cmocka_run_group_tests(tests, NULL, NULL);
}

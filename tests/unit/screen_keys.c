/* The table of keys, and that no order of keys and sizes brings the view down. */
#include "screen_kit.h"

#include "screen/keys.h"

enum { HELP_MOST = 64 };

static void every_row_can_be_shown(void **state)
{
    (void)state;
    for (size_t i = 0; i < key_count; i++) {
        const KeyRow *row = &key_table[i];
        assert_non_null(row->does);
        assert_true(row->keys[0] != 0 && row->where != 0);
        assert_true(strlen(row->shown) > 0 && strlen(row->shown) <= 10);
        if (strlen(row->help) > HELP_MOST)
            fail_msg("too long for 80 columns: %s", row->help);
    }
}

/* Which of two rows a key means in one place may hang on what can be done there alone. */
static void no_key_means_two_things(void **state)
{
    (void)state;
    for (size_t i = 0; i < key_count; i++)
        for (size_t k = 0; k < i; k++)
            for (int a = 0; a < KEYS_A_ROW; a++)
                for (int b = 0; b < KEYS_A_ROW; b++) {
                    int key = key_table[i].keys[a];
                    if (key != 0 && key == key_table[k].keys[b] &&
                        (key_table[i].where & key_table[k].where) != 0)
                        fail_msg("%s and %s", key_table[i].help, key_table[k].help);
                }
}

/* Keys that save or leave are left out, so that it goes on. */
static int any_key(unsigned *seed)
{
    static const int often[] = {' ',    K_UP,  K_DOWN, K_LEFT, K_RIGHT, K_ENTER, K_ENTER, K_TAB,
                                '+',    '-',   'u',    'r',    'd',     'f',     '/',     '?',
                                'o',    'p',   'P',    'w',    'a',     'x',     'c',     'n',
                                K_HOME, K_END, K_PAGE_UP, K_PAGE_DOWN, K_ESCAPE, K_BACKSPACE, K_DELETE,
                                'q',    '1',   'm',    0xe9,   0x9774,  0x301,   't',     'v',
                                'i',    'i',   'C',    'M',    'g',     'z'};
    *seed = *seed * 1103515245u + 12345u;
    unsigned drawn = *seed >> 16;
    if (drawn % 16 == 0)
        return (int)(drawn / 16 % 0x180);
    return often[drawn % (sizeof often / sizeof *often)];
}

static void any_keys_in_any_size(void **state)
{
    (void)state;
    Desk desk;
    unsigned seed = 7;
    desk_open(&desk);
    for (int i = 0; i < 3000; i++) {
        int key = any_key(&seed);
        view_key(desk.view, key);
        view_wish(desk.view);
        if (view_left(desk.view)) {
            view_close(desk.view);
            desk_view(&desk, i % 2 == 0);
        }
        if (i % 5 != 0)
            continue;
        cells_start(&desk.cells, (int)(seed >> 8) % 70 + 1, (int)(seed >> 16) % 220 + 1);
        desk.cells.ascii = i % 3 == 0;
        desk.cells.braille = !desk.cells.ascii;
        view_draw(desk.view, &desk.cells);
        if (i % 2 == 0)
            view_work(desk.view);
        assert_in_range(desk.cells.cursor_y, 0, 70);
    }
    desk_close(&desk);
}

/* A list that was drawn where only a part of it had room is drawn whole where all has. */
static void a_list_keeps_within_its_items(void **state)
{
    (void)state;
    Desk desk;
    desk_open(&desk);
    desk_keys(&desk, "Right Enter Down Down Down Enter End");
    assert_shows(&desk, "suede");
    const char *whole = desk_screen(&desk, 40, 120);
    assert_non_null(strstr(desk_screen(&desk, 16, 60), " of "));
    assert_string_equal(desk_screen(&desk, 40, 120), whole);
    desk_close(&desk);
}

static void too_small_does_nothing_but_leave(void **state)
{
    (void)state;
    Desk desk;
    desk_open(&desk);
    desk_keys(&desk, "Down Enter +");
    assert_non_null(strstr(desk_screen(&desk, 10, 50), "changes are not saved"));
    desk_keys(&desk, "u q");
    assert_false(view_left(desk.view));
    assert_shows(&desk, "1 unsaved");
    desk_keys(&desk, "u q");
    assert_non_null(strstr(desk_screen(&desk, 10, 50), "q leaves"));
    desk_keys(&desk, "q");
    assert_true(view_left(desk.view));
    desk_close(&desk);
}

static void what_is_not_saved_is_kept_when_the_terminal_goes(void **state)
{
    (void)state;
    Desk desk;
    desk_open(&desk);
    view_abandon(desk.view, &desk.messages);
    assert_int_equal(desk.messages.count, 0);
    desk_keys(&desk, "Down Enter +");
    view_abandon(desk.view, &desk.messages);
    assert_int_equal(desk.messages.count, 1);
    assert_non_null(strstr(desk.messages.items[0].text, "tender.changed.yaml"));
    assert_non_null(strstr(desk_read(&desk, "tender.changed.yaml"), "pitch: 1.5 mm"));
    assert_non_null(strstr(desk_read(&desk, "tender.yaml"), "pitch: 1.4 mm"));
    desk_close(&desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_row_can_be_shown),
        cmocka_unit_test(no_key_means_two_things),
        cmocka_unit_test(any_keys_in_any_size),
        cmocka_unit_test(a_list_keeps_within_its_items),
        cmocka_unit_test(too_small_does_nothing_but_leave),
        cmocka_unit_test(what_is_not_saved_is_kept_when_the_terminal_goes),
    };
    if (setlocale(LC_ALL, "C.UTF-8") == NULL)
        return 1;
    return cmocka_run_group_tests(tests, NULL, NULL);
}

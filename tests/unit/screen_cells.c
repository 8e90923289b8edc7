/* The grid of cells: cutting, wide and combining characters, ASCII. */
#include "screen_kit.h"

static const char *line_of(Cells *cells, Text *text)
{
    text_clear(text);
    cells_text(text, cells);
    text->length = strcspn(text->bytes, "\n");
    text->bytes[text->length] = '\0';
    return text->bytes;
}

static void text_is_cut_with_a_sign(void **state)
{
    (void)state;
    Cells cells = {0};
    Text text = {0};
    cells_start(&cells, 1, 10);
    assert_int_equal(cells_put(&cells, 0, 0, 6, LOOK_PLAIN, "topline"), 6);
    assert_string_equal(line_of(&cells, &text), "topli…");
    cells_start(&cells, 1, 10);
    assert_int_equal(cells_put(&cells, 0, 0, 7, LOOK_PLAIN, "topline"), 7);
    assert_string_equal(line_of(&cells, &text), "topline");
    cells_start(&cells, 1, 10);
    assert_int_equal(cells_put(&cells, 0, 8, 6, LOOK_PLAIN, "vamp"), 2);
    assert_string_equal(line_of(&cells, &text), "        v…");
    assert_int_equal(cells_put(&cells, 5, 0, 6, LOOK_PLAIN, "vamp"), 0);
    assert_int_equal(cells_put(&cells, -1, 0, 6, LOOK_PLAIN, "vamp"), 0);
    text_free(&text);
    cells_free(&cells);
}

static void wide_and_combining_characters_keep_their_cells(void **state)
{
    (void)state;
    Cells cells = {0};
    Text text = {0};
    cells_start(&cells, 1, 8);
    assert_int_equal(cells_put(&cells, 0, 0, 8, LOOK_PLAIN, "靴x"), 3);
    assert_string_equal(cells.cells[1].text, "");
    assert_string_equal(cells.cells[2].text, "x");
    assert_int_equal(cells_put(&cells, 0, 1, 1, LOOK_PLAIN, "-"), 1);
    assert_string_equal(line_of(&cells, &text), " -x");
    cells_start(&cells, 1, 8);
    assert_int_equal(cells_put(&cells, 0, 0, 4, LOOK_PLAIN, "靴靴靴"), 3);
    assert_string_equal(line_of(&cells, &text), "靴…");
    cells_start(&cells, 1, 8);
    assert_int_equal(cells_put(&cells, 0, 0, 8, LOOK_PLAIN, "e\xcc\x81x"), 2);
    assert_string_equal(cells.cells[0].text, "e\xcc\x81");
    assert_int_equal(cells_put(&cells, 0, 2, 6, LOOK_PLAIN, "\xcc\x81x"), 1);
    assert_string_equal(cells.cells[2].text, "x");
    assert_int_equal(cells_put(&cells, 0, 3, 1, LOOK_PLAIN, "\xcc\x81"), 0);
    assert_string_equal(cells.cells[3].text, " ");
    text_free(&text);
    cells_free(&cells);
}

static void ascii_spells_what_it_lacks(void **state)
{
    (void)state;
    Cells cells = {.ascii = true};
    Text text = {0};
    cells_start(&cells, 1, 30);
    assert_int_equal(cells_width(&cells, "4 ± 0.2 mm"), 12);
    cells_put(&cells, 0, 0, 30, LOOK_PLAIN, "4 ± 0.2 mm, 95 °C, 靴");
    assert_string_equal(line_of(&cells, &text), "4 +/- 0.2 mm, 95 degC, ?");
    cells_start(&cells, 1, 30);
    cells_put(&cells, 0, 0, 6, LOOK_PLAIN, "topline");
    assert_string_equal(line_of(&cells, &text), "top...");
    for (size_t i = 0; i < text.length; i++)
        assert_true((unsigned char)text.bytes[i] < 0x80);
    text_free(&text);
    cells_free(&cells);
}

static void control_characters_end_the_text(void **state)
{
    (void)state;
    Cells cells = {0};
    Text text = {0};
    cells_start(&cells, 1, 10);
    cells_put(&cells, 0, 0, 10, LOOK_PLAIN, "ab\033[1mc");
    assert_string_equal(line_of(&cells, &text), "ab");
    text_free(&text);
    cells_free(&cells);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(text_is_cut_with_a_sign),
        cmocka_unit_test(wide_and_combining_characters_keep_their_cells),
        cmocka_unit_test(ascii_spells_what_it_lacks),
        cmocka_unit_test(control_characters_end_the_text),
    };
    if (setlocale(LC_ALL, "C.UTF-8") == NULL)
        return 1;
    return cmocka_run_group_tests(tests, NULL, NULL);
}

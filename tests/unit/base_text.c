/* Texts, safe output, numbers whatever the locale, wrapping. */
#include <locale.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "base/text.h"
#include "base/utf8.h"

static void grows_and_clears(void **state)
{
    (void)state;
    Text text = {0};
    assert_string_equal(text_string(&text), "");
    for (int i = 0; i < 1000; i++)
        text_addf(&text, "%d,", i % 10);
    assert_int_equal(text.length, 2000);
    assert_int_equal(strlen(text_string(&text)), 2000);
    text_clear(&text);
    assert_string_equal(text_string(&text), "");
    text_add_bytes(&text, "ab\0c", 4);
    assert_int_equal(text.length, 4);
    text_free(&text);
    text_clear(&text);
    assert_string_equal(text_string(&text), "");
}

static void assert_visible(const char *bytes, size_t length, const char *expected)
{
    Text text = {0};
    text_add_visible(&text, bytes, length);
    assert_string_equal(text_string(&text), expected);
    text_free(&text);
}

static void foreign_bytes_are_made_visible(void **state)
{
    (void)state;
    assert_visible("", 0, "");
    assert_visible("4 \xC2\xB1 0.2 mm", 11, "4 \xC2\xB1 0.2 mm");
    assert_visible("\x1B[31m", 5, "\\u{1b}[31m");
    assert_visible("a\nb\tc", 5, "a\\u{a}b\\u{9}c");
    assert_visible("\0", 1, "\\u{0}");
    assert_visible("\xC2\x9B", 2, "\\u{9b}");
    assert_visible("\x9B", 1, "\\u{9b}");
    assert_visible("\xE2\x80\xAE"
                   "x",
                   4, "\\u{202e}x");
    assert_visible("\xE2\x82", 2, "\\u{e2}\\u{82}");
}

static void every_hidden_character_is_made_visible(void **state)
{
    (void)state;
    for (unsigned first = 0xC2; first < 0xE0; first++)
        for (unsigned second = 0x80; second < 0xC0; second++) {
            char bytes[3] = {(char)first, (char)second, 0};
            uint32_t codepoint;
            assert_int_equal(utf8_decode(bytes, 2, &codepoint), 2);
            Text text = {0};
            text_add_visible(&text, bytes, 2);
            assert_int_equal(text_string(&text)[0] == '\\', codepoint_is_hidden(codepoint));
            text_free(&text);
        }
}

static void assert_number(double value, int digits, const char *expected)
{
    Text text = {0};
    text_add_number(&text, value, digits);
    assert_string_equal(text_string(&text), expected);
    text_free(&text);
}

static void numbers_are_short_and_exact(void **state)
{
    (void)state;
    assert_number(0, 6, "0");
    assert_number(-0.0, 6, "0");
    assert_number(NAN, 6, "unknown");
    assert_number(4, 6, "4");
    assert_number(-4.25, 6, "-4.25");
    assert_number(0.1 + 0.2, 6, "0.3");
    assert_number(1.0 / 3, 3, "0.333");
    assert_number(20.0 / 3, 4, "6.667");
    assert_number(1234567, 3, "1230000");
    assert_number(999.96, 4, "1000");
    assert_number(1e-6, 3, "0.000001");
    assert_number(999999999.0, 9, "999999999");
    assert_number(999999999.5, 3, "1000000000");
    assert_number(1e12, 3, "1e12");
    assert_number(1.5e-9, 3, "1.5e-9");
    assert_number(HUGE_VAL, 3, "infinite");
    assert_number(-HUGE_VAL, 3, "-infinite");
    assert_number(2.5, 0, "2");
    assert_number(0.1, 40, "0.10000000000000001");
}

static void no_exponent_in_the_usual_range(void **state)
{
    (void)state;
    for (double value = 1e-6; value < 1e9; value *= 1.7)
        for (int digits = 1; digits < 18; digits++) {
            Text text = {0};
            text_add_number(&text, value, digits);
            assert_null(strchr(text_string(&text), 'e'));
            double back = 0;
            assert_int_equal(sscanf(text_string(&text), "%lf", &back), 1);
            assert_true(fabs(back - value) <= value * 0.51 * pow(10, 1 - digits));
            text_free(&text);
        }
}

static void numbers_do_not_follow_the_locale(void **state)
{
    (void)state;
    static const char *const comma[] = {"de_DE.UTF-8", "fr_FR.UTF-8", "tr_TR.UTF-8"};
    for (size_t i = 0; i < sizeof comma / sizeof comma[0]; i++)
        if (setlocale(LC_ALL, comma[i]))
            assert_number(1.5, 6, "1.5");
    assert_non_null(setlocale(LC_ALL, "C"));
    assert_number(1.5, 6, "1.5");
}

static void assert_wrapped(const char *before, const char *string, int columns, int indent,
                           const char *expected)
{
    Text text = {0};
    text_add(&text, before);
    text_add_wrapped(&text, string, columns, indent);
    assert_string_equal(text_string(&text), expected);
    text_free(&text);
}

static void wraps_at_blanks(void **state)
{
    (void)state;
    assert_wrapped("", "", 10, 2, "");
    assert_wrapped("", "one two three", 20, 2, "one two three");
    assert_wrapped("", "one two three", 7, 2, "one two\n  three");
    assert_wrapped("", "one  two", 20, 2, "one two");
    assert_wrapped("", "one\ntwo", 20, 2, "one\n  two");
    assert_wrapped("head: ", "one two", 10, 6, "head: one\n      two");
    assert_wrapped("line\nx ", "one two", 5, 2, "line\nx one\n  two");
    assert_wrapped("", "abcdefghij", 4, 1, "abcd\n efg\n hij");
}

static void no_line_is_too_long(void **state)
{
    (void)state;
    assert_non_null(setlocale(LC_CTYPE, "C.UTF-8"));
    const char *string = "the vamp \xC2\xB1 throat is turned, 4.5 mm; \xE9\x9D\xB4\xE9\x9D\xB4 "
                         "clipped-every-three-millimetres at the bend";
    for (int columns = 6; columns < 90; columns++) {
        Text text = {0};
        text_add_wrapped(&text, string, columns, 3);
        char *save = NULL;
        for (char *line = strtok_r(text.bytes, "\n", &save); line;
             line = strtok_r(NULL, "\n", &save))
            assert_in_range(utf8_cells(line), 1, columns);
        text_free(&text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(grows_and_clears),
        cmocka_unit_test(foreign_bytes_are_made_visible),
        cmocka_unit_test(every_hidden_character_is_made_visible),
        cmocka_unit_test(numbers_are_short_and_exact),
        cmocka_unit_test(no_exponent_in_the_usual_range),
        cmocka_unit_test(numbers_do_not_follow_the_locale),
        cmocka_unit_test(wraps_at_blanks),
        cmocka_unit_test(no_line_is_too_long),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

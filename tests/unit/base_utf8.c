/* UTF-8 by the Unicode standard's table of well-formed byte sequences. */
#include <locale.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "base/utf8.h"

static size_t encode(uint32_t c, char out[4])
{
    if (c < 0x80) {
        out[0] = (char)c;
        return 1;
    }
    size_t length = c < 0x800 ? 2 : c < 0x10000 ? 3 : 4;
    for (size_t i = length; i-- > 1; c >>= 6)
        out[i] = (char)(0x80 | (c & 0x3F));
    static const unsigned char lead[] = {0, 0, 0xC0, 0xE0, 0xF0};
    out[0] = (char)(lead[length] | c);
    return length;
}

static void every_scalar_value_decodes(void **state)
{
    (void)state;
    for (uint32_t c = 0; c <= 0x10FFFF; c++) {
        char bytes[4];
        uint32_t found = 0;
        size_t length = encode(c, bytes);
        size_t expected = c >= 0xD800 && c <= 0xDFFF ? 0 : length;
        if (utf8_decode(bytes, length, &found) != expected || (expected && found != c))
            fail_msg("U+%04X", (unsigned)c);
        if (length > 1 && utf8_decode(bytes, length - 1, &found) != 0)
            fail_msg("U+%04X cut short is taken", (unsigned)c);
    }
}

static void broken_sequences_are_refused(void **state)
{
    (void)state;
    static const char *broken[] = {"\x80",
                                   "\xBF",
                                   "\xC0\x80",
                                   "\xC1\xBF",
                                   "\xE0\x80\x80",
                                   "\xE0\x9F\xBF",
                                   "\xED\xA0\x80",
                                   "\xED\xBF\xBF",
                                   "\xF0\x80\x80\x80",
                                   "\xF0\x8F\xBF\xBF",
                                   "\xF4\x90\x80\x80",
                                   "\xF5\x80\x80\x80",
                                   "\xFF",
                                   "\xFE",
                                   "\xC3\x28",
                                   "\xE2\x28\xA1",
                                   "\xE2\x82\x28",
                                   "\xF0\x28\x8C\xBC"};
    uint32_t found;
    for (size_t i = 0; i < sizeof broken / sizeof broken[0]; i++)
        if (utf8_decode(broken[i], strlen(broken[i]), &found) != 0)
            fail_msg("broken sequence %zu is taken", i);
    assert_int_equal(utf8_decode("", 0, &found), 0);
}

static void valid_prefix_ends_at_the_first_fault(void **state)
{
    (void)state;
    assert_int_equal(utf8_valid_prefix("abc", 3), 3);
    assert_int_equal(utf8_valid_prefix("\xC3\xA4\xFF", 3), 2);
    assert_int_equal(utf8_valid_prefix("a\xE2\x82", 3), 1);
    assert_int_equal(utf8_valid_prefix("", 0), 0);
}

static void hidden_and_alike_are_told(void **state)
{
    (void)state;
    static const uint32_t hidden[] = {0,      0x1B,   0x7F,   0x85,   0x9B,    0xAD,    0x61C,
                                      0x200B, 0x200E, 0x2028, 0x2029, 0x202E,  0x2060,  0x2066,
                                      0xFEFF, 0xFFF9, 0xFFFE, 0xFDD0, 0xE0041, 0x10FFFF};
    static const uint32_t alike[] = {0xA0, 0x2003, 0x202F, 0x3000, 0xFF1A, 0xFE55, 0xFF0C, 0xFF3B};
    static const uint32_t honest[] = {' ',    'a',    ':',    0xB0,  0xB1,   0xE4,   0x2013,
                                      0x2032, 0x2212, 0x4E00, 0x41F, 0xFFFD, 0x1F45F};
    for (size_t i = 0; i < sizeof hidden / sizeof hidden[0]; i++)
        if (!codepoint_is_hidden(hidden[i]))
            fail_msg("U+%04X is not hidden", (unsigned)hidden[i]);
    for (size_t i = 0; i < sizeof alike / sizeof alike[0]; i++)
        if (!codepoint_is_lookalike(alike[i]) || codepoint_is_hidden(alike[i]))
            fail_msg("U+%04X is no look-alike", (unsigned)alike[i]);
    for (size_t i = 0; i < sizeof honest / sizeof honest[0]; i++)
        if (codepoint_is_hidden(honest[i]) || codepoint_is_lookalike(honest[i]))
            fail_msg("U+%04X is suspected", (unsigned)honest[i]);
}

static void cells_follow_the_locale(void **state)
{
    (void)state;
    assert_non_null(setlocale(LC_CTYPE, "C"));
    assert_int_equal(utf8_cells(""), 0);
    assert_int_equal(utf8_cells("4 mm"), 4);
    assert_int_equal(utf8_cells("\xFF\xFE"), 2);
    assert_non_null(setlocale(LC_CTYPE, "C.UTF-8"));
    assert_int_equal(utf8_cells("\xC2\xB1"
                                "4"),
                     2);
    assert_int_equal(utf8_cells("\xE9\x9D\xB4"), 2); /* a wide character */
    assert_int_equal(utf8_cells("a\xCC\x88"), 1);    /* a combining one */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_scalar_value_decodes),
        cmocka_unit_test(broken_sequences_are_refused),
        cmocka_unit_test(valid_prefix_ends_at_the_first_fault),
        cmocka_unit_test(hidden_and_alike_are_told),
        cmocka_unit_test(cells_follow_the_locale),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

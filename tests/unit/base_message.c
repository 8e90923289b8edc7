/* Messages: order, limits, safe output; nearest words. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/message.h"
#include "base/text.h"

static void assert_written(Messages *messages, const char *expected)
{
    char *bytes = NULL;
    size_t length = 0;
    FILE *out = open_memstream(&bytes, &length);
    assert_non_null(out);
    messages_write(messages, out);
    assert_int_equal(fclose(out), 0);
    assert_string_equal(bytes, expected);
    free(bytes);
    messages_free(messages);
    assert_int_equal(messages->count, 0);
}

static void none_writes_nothing(void **state)
{
    (void)state;
    Messages messages = {0};
    assert_written(&messages, "");
}

static void order_is_file_then_line(void **state)
{
    (void)state;
    Messages messages = {0};
    message_error(&messages, (Where){"b.yaml", 9, 2}, "ninth");
    message_notice(&messages, (Where){"a.yaml", 1, 1}, "other file");
    message_error(&messages, (Where){"b.yaml", 3, 7}, "later in line %d", 3);
    message_error(&messages, (Where){"b.yaml", 3, 1}, "third");
    message_error_two(&messages, (Where){"b.yaml", 0, 0}, (Where){"a.yaml", 4, 5}, "whole");
    message_error(&messages, (Where){0}, "nowhere");
    assert_int_equal(messages.errors, 5);
    assert_written(&messages, "b.yaml: error: whole (see a.yaml:4:5)\n"
                              "b.yaml:3:1: error: third\n"
                              "b.yaml:3:7: error: later in line 3\n"
                              "b.yaml:9:2: error: ninth\n"
                              "a.yaml:1:1: notice: other file\n"
                              "error: nowhere\n");
}

static void texts_and_names_are_made_safe(void **state)
{
    (void)state;
    Messages messages = {0};
    message_error(&messages, (Where){"a\x1B[2J.yaml", 1, 1}, "key '%s'", "x\ny\xE2\x80\xAE");
    assert_written(&messages, "a\\u{1b}[2J.yaml:1:1: error: key 'x\\u{a}y\\u{202e}'\n");
}

static void a_message_outlives_the_name_of_its_file(void **state)
{
    (void)state;
    Messages messages = {0};
    char name[] = "a.yaml";
    message_error(&messages, (Where){name, 1, 1}, "one");
    memset(name, 'x', sizeof name - 1);
    assert_written(&messages, "a.yaml:1:1: error: one\n");
}

static void twenty_errors_a_file_are_kept(void **state)
{
    (void)state;
    Messages messages = {0};
    for (int i = 0; i < 30; i++) {
        assert_int_equal(messages_full(&messages, "a.yaml"), i >= MESSAGES_ERRORS_A_FILE);
        message_error(&messages, (Where){"a.yaml", i + 1, 1}, "wrong");
        message_notice(&messages, (Where){"a.yaml", i + 1, 1}, "by the way");
    }
    assert_false(messages_full(&messages, "b.yaml"));
    message_error(&messages, (Where){"b.yaml", 1, 1}, "kept");
    assert_int_equal(messages.errors, 31);
    assert_int_equal(messages.count, 20 + 30 + 1);
    char *bytes = NULL;
    size_t length = 0;
    FILE *out = open_memstream(&bytes, &length);
    assert_non_null(out);
    messages_write(&messages, out);
    assert_int_equal(fclose(out), 0);
    assert_non_null(strstr(bytes, "b.yaml:1:1: error: kept\nand 10 more errors\n"));
    free(bytes);
    messages_free(&messages);
}

static void places_are_told(void **state)
{
    (void)state;
    Arena arena = {0};
    assert_string_equal(where_text(&arena, (Where){"s/a.yaml", 12, 5}), "s/a.yaml:12:5");
    assert_string_equal(where_text(&arena, (Where){"a.yaml", 0, 0}), "a.yaml");
    assert_string_equal(where_text(&arena, (Where){0}), "-");
    arena_free(&arena);
}

static void assert_nearest(const char *word, const char *expected)
{
    static const char *const words[] = {"allowance", "finish", "relief",      "left",
                                        "skive",     "at",     "par\xC3\xA9", "thickness"};
    const char *nearest = nearest_word(word, words, sizeof words / sizeof words[0]);
    if (expected)
        assert_string_equal(nearest, expected);
    else
        assert_null(nearest);
}

static void nearest_words_are_found(void **state)
{
    (void)state;
    assert_nearest("finsih", "finish"); /* a swap counts once */
    assert_nearest("allowence", "allowance");
    assert_nearest("alowanse", "allowance");
    assert_nearest("Finish", "finish");
    assert_nearest("lef", "left");
    assert_nearest("ta", "at");
    assert_nearest("par\xC3\xA8", "par\xC3\xA9"); /* one character, two bytes */
    assert_nearest("skiv\xFF", "skive");
    assert_nearest("thckns", NULL); /* three apart */
    assert_nearest("zz", NULL);
    assert_nearest("", NULL);
    assert_null(nearest_word("a", NULL, 0));
    char longer[200];
    memset(longer, 'a', sizeof longer - 1);
    longer[sizeof longer - 1] = '\0';
    assert_nearest(longer, NULL);
}

static void assert_names(const char *word, size_t count, const char *expected)
{
    static const char *const names[] = {"ab", "cd", "ef", "gh", "ij", "kl", "mn",
                                        "op", "qr", "st", "uv", "wx", "yz"};
    Text text = {0};
    add_known_names(&text, word, names, count);
    assert_string_equal(text_string(&text), expected);
    text_free(&text);
}

static void known_names_are_told(void **state)
{
    (void)state;
    assert_names("ac", 13, "; did you mean ab?");
    assert_names("throat", 0, "; none is given");
    assert_names("throat", 2, "; known: ab, cd");
    assert_names("throat", 12, "; known: ab, cd, ef, gh, ij, kl, mn, op, qr, st, uv, wx");
    assert_names("throat", 13, "; 13 are known: ab, cd, ef, gh, ij, kl, …");
}

/* Cut after 60 characters, never inside one; broken bytes count one each. */
static void values_are_quoted_short(void **state)
{
    (void)state;
    char text[60 * 4 + 2] = "";
    assert_string_equal(quoted("").text, "");
    for (int i = 0; i < 60; i++)
        memcpy(text + strlen(text), "\U0001F45E", 5);
    assert_string_equal(quoted(text).text, text);
    text[240] = 'x';
    Quoted cut = quoted_bytes(text, 241);
    assert_int_equal(strlen(cut.text), 240 + strlen("…"));
    assert_memory_equal(cut.text, text, 240);
    assert_string_equal(cut.text + 240, "…");
    assert_string_equal(quoted_bytes("\xff\xff", 2).text, "\xff\xff");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(none_writes_nothing),
        cmocka_unit_test(order_is_file_then_line),
        cmocka_unit_test(texts_and_names_are_made_safe),
        cmocka_unit_test(a_message_outlives_the_name_of_its_file),
        cmocka_unit_test(twenty_errors_a_file_are_kept),
        cmocka_unit_test(places_are_told),
        cmocka_unit_test(nearest_words_are_found),
        cmocka_unit_test(known_names_are_told),
        cmocka_unit_test(values_are_quoted_short),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* What all JSON forms are written with: no character of a file reaches the output raw, numbers
 * have the digits that were asked for. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "report/json_parts.h"

static void assert_written(json_t *value, size_t flags, const char *expected)
{
    Text text = {0};
    json_write(&text, value, flags);
    assert_string_equal(text_string(&text), expected);
    text_free(&text);
}

static json_t *alone(json_t *value)
{
    json_t *array = json_array();
    json_add(array, value);
    return array;
}

static void control_and_bidi_characters_are_escaped(void **state)
{
    (void)state;
    assert_written(alone(json_string("a\033[31m\177\302\233\342\200\256b")), JSON_COMPACT,
                   "[\"a\\u001B[31m\\u007f\\u009B\\u202Eb\"]\n");
}

static void numbers_have_seventeen_digits_or_those_asked_for(void **state)
{
    (void)state;
    assert_written(alone(json_number(0.1)), JSON_COMPACT, "[0.10000000000000001]\n");
    assert_written(alone(json_number(0.1)), JSON_COMPACT | JSON_REAL_PRECISION(6), "[0.1]\n");
    assert_written(alone(json_number(2.0 / 3)), JSON_COMPACT | JSON_REAL_PRECISION(6),
                   "[0.666667]\n");
}

static void what_is_no_number_is_null(void **state)
{
    (void)state;
    assert_written(alone(json_number((double)NAN)), JSON_COMPACT, "[null]\n");
    assert_written(alone(json_number((double)-INFINITY)), JSON_COMPACT, "[null]\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(control_and_bidi_characters_are_escaped),
        cmocka_unit_test(numbers_have_seventeen_digits_or_those_asked_for),
        cmocka_unit_test(what_is_no_number_is_null),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

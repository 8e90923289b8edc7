/* Days and moments: the calendar, days inclusive, clocks in many zones. */
#include "log_kit.h"

static void test_days_that_are_and_are_not(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        bool right;
    } cases[] = {
        {"2026-01-01", true},
        {"2026-12-31", true},
        {"2024-02-29", true},
        {"2000-02-29", true},
        {"2400-02-29", true},
        {"0001-01-01", true},
        {"9999-12-31", true},
        {"2026-04-30", true},
        {"2026-06-30", true},
        {"2026-02-29", false},
        {"1900-02-29", false},
        {"2100-02-29", false},
        {"2024-02-30", false},
        {"2026-04-31", false},
        {"2026-06-31", false},
        {"2026-09-31", false},
        {"2026-11-31", false},
        {"2026-01-32", false},
        {"2026-01-00", false},
        {"2026-00-10", false},
        {"2026-13-01", false},
        {"0000-01-01", false},
        {"2026-1-1", false},
        {"26-01-01", false},
        {"2026/01/01", false},
        {"2026-01-01 ", false},
        {" 2026-01-01", false},
        {"2026-01-011", false},
        {"20260101", false},
        {"01.01.2026", false},
        {"", false},
        {"today", false},
        {"2026-01-01T00:00:00Z", false},
        {"-026-01-01", false},
        {"+026-01-01", false},
        {"2026-0x-01", false},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Date date;
        if (date_read(cases[i].text, &date) != cases[i].right)
            fail_msg("%s", cases[i].text);
    }
}

static void test_order_and_text(void **state)
{
    (void)state;
    static const char *const days[] = {"0001-01-01", "1999-12-31", "2000-01-01",
                                       "2024-02-28", "2024-02-29", "2024-03-01",
                                       "2024-12-31", "2025-01-01", "9999-12-31"};
    enum { COUNT = sizeof days / sizeof *days };
    for (int i = 0; i < COUNT; i++)
        for (int k = 0; k < COUNT; k++) {
            Date a, b;
            assert_true(date_read(days[i], &a) && date_read(days[k], &b));
            int order = date_compare(a, b);
            assert_int_equal((order > 0) - (order < 0), (i > k) - (i < k));
        }
    Date date;
    Text text = {0};
    assert_true(date_read("0031-02-03", &date));
    date_write(&text, date);
    assert_string_equal(text.bytes, "0031-02-03");
    text_free(&text);
}

static void test_seconds_since_1970(void **state)
{
    (void)state;
    static const struct {
        const char *seconds;
        int year, month, day; /* year 0: refused */
    } cases[] = {
        {"0", 1970, 1, 1},
        {"86399", 1970, 1, 1},
        {"86400", 1970, 1, 2},
        {"951782399", 2000, 2, 28},
        {"951782400", 2000, 2, 29},
        {"951868800", 2000, 3, 1},
        {"1767225599", 2025, 12, 31},
        {"1767225600", 2026, 1, 1},
        {"253402300799", 9999, 12, 31},
        {"253402300800", 0, 0, 0},
        {"9999999999999", 0, 0, 0},
        {"99999999999999999999999", 0, 0, 0},
        {"", 0, 0, 0},
        {"-1", 0, 0, 0},
        {"12 ", 0, 0, 0},
        {"1e9", 0, 0, 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Date date;
        bool right = date_of_epoch(cases[i].seconds, &date);
        assert_int_equal(right, cases[i].year != 0);
        if (right)
            assert_true(date_compare(date, (Date){cases[i].year, cases[i].month, cases[i].day}) ==
                        0);
    }
}

/* 2026-01-01 at 01:30 in UTC: already or still the year before, by where the clock stands. */
static void test_the_day_by_zone(void **state)
{
    (void)state;
    static const struct {
        const char *zone;
        int year, month, day;
    } cases[] = {
        {"UTC0", 2026, 1, 1},     {"CET-1", 2026, 1, 1},   {"EET-2", 2026, 1, 1},
        {"IST-5:30", 2026, 1, 1}, {"CST-8", 2026, 1, 1},   {"NZD-13", 2026, 1, 1},
        {"LIN-14", 2026, 1, 1},   {"AZO1", 2026, 1, 1},    {"AZO1:30", 2026, 1, 1},
        {"GRL2", 2025, 12, 31},   {"EST5", 2025, 12, 31},  {"PST8", 2025, 12, 31},
        {"HST10", 2025, 12, 31},  {"AOE12", 2025, 12, 31},
    };
    const time_t moment = 1767231000;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Date date;
        setenv("TZ", cases[i].zone, 1);
        tzset();
        assert_true(date_of(moment, false, &date));
        if (date_compare(date, (Date){cases[i].year, cases[i].month, cases[i].day}) != 0)
            fail_msg("%s: %04d-%02d-%02d", cases[i].zone, date.year, date.month, date.day);
        assert_true(date_of(moment, true, &date));
        assert_int_equal(date_compare(date, (Date){2026, 1, 1}), 0);
    }
    unsetenv("TZ");
    tzset();
}

static void test_moments(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        bool right;
    } cases[] = {
        {"2026-02-28T17:05:00Z", true},  {"2024-02-29T00:00:00Z", true},
        {"2026-12-31T23:59:59Z", true},  {"2026-02-29T17:05:00Z", false},
        {"2026-02-28T24:00:00Z", false}, {"2026-02-28T17:60:00Z", false},
        {"2026-02-28T17:05:60Z", false}, {"2026-02-28 17:05:00Z", false},
        {"2026-02-28T17:05:00", false},  {"2026-02-28T17:05:00Z ", false},
        {"2026-02-28", false},           {"", false},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        if (moment_read(cases[i].text) != cases[i].right)
            fail_msg("%s", cases[i].text);
    char text[MOMENT_SIZE];
    assert_true(moment_write(text, 1767231000));
    assert_string_equal(text, "2026-01-01T01:30:00Z");
    assert_true(moment_read(text));
    assert_false(moment_write(text, 253402300800));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_days_that_are_and_are_not),
        cmocka_unit_test(test_order_and_text),
        cmocka_unit_test(test_seconds_since_1970),
        cmocka_unit_test(test_the_day_by_zone),
        cmocka_unit_test(test_moments),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

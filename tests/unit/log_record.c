/* One record: written and read the same, refused when wrong, complete or not. */
#include <locale.h>
#include <math.h>

#include "log_kit.h"

static const char hostile[] =
    "\"\\ #:{}[],&*!|>'%@` - \t\n\r\033[31m\007\177 \xc2\x85\xc2\x9b \xe2\x80\xae\xe2\x80\x8b"
    "\xe2\x80\xa8\xef\xbb\xbf \xf3\xa0\x81\x81 \xc3\xa9\xe6\xbc\xa2\xf0\x9f\x91\x9e";

/* What is read from the line of a record. */
static bool read_line(Arena *arena, const char *line, LogRecord *record, Messages *messages)
{
    YamlFile *file = yaml_read_bytes(arena, "x.log.yaml", line, strlen(line), false, messages);
    const YamlNode *sum;
    return file && file->root->kind == YAML_SEQUENCE &&
           logged_read(arena, file->root->items[0], record, &sum, messages);
}

static const char *line_of(Arena *arena, const LogRecord *record)
{
    Text text = {0};
    logged_write(&text, record);
    const char *line = arena_printf(arena, "%s, sum: 00}\n", text.bytes);
    text_free(&text);
    return line;
}

static void test_one_fixed_line(void **state)
{
    (void)state;
    Arena arena = {0};
    LogRecord record = record_sample(&arena);
    record.relative = -0.25;
    assert_string_equal(
        line_of(&arena, &record),
        "- {style: \"FS-1\", alternative: \"\", factory: \"\", rule: \"turn-radius\", "
        "place: \"bend front.top.1\", verdict: \"flag\", class: \"major\", spare: \"-1 mm\", "
        "relative: -0.25, lanes: [\"flag 41\", \"flag 42\"], formula: \"00\", "
        "values: [\"radius: 5 mm\"], bends: [\"inward\", \"outward\"], decision: \"permit\", "
        "who: [\"Ada\", \"Bo\"], when: \"2026-02-28T17:05:00Z\", "
        "why: \"one pair for the photograph\", until: \"2026-03-31\", ask: \"\", sum: 00}\n");
    arena_free(&arena);
}

static void test_round_trip(void **state)
{
    (void)state;
    static const double numbers[] = {0, -1.0 / 3, 1e-300,   -2.5e17,  0.1,
                                     1, NAN,      INFINITY, -INFINITY};
    static const char *const locales[] = {"C", "de_DE.UTF-8", "tr_TR.UTF-8"};
    for (size_t l = 0; l < sizeof locales / sizeof *locales; l++) {
        setlocale(LC_ALL, locales[l]); /* where it is not there: C, once more */
        for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++) {
            Arena arena = {0};
            Messages messages = {0};
            LogRecord record = record_sample(&arena), read;
            record.relative = numbers[i];
            record.decision = (Decision)(i % DECISION_COUNT);
            record.verdict = (Verdict)(i % VERDICT_COUNT);
            record.class = (RuleClass)(i % 3);
            record.why = record.ask = record.place = hostile;
            record.who = list_of(&arena, hostile, "");
            const char *line = line_of(&arena, &record);
            if (!read_line(&arena, line, &read, &messages))
                messages_write(&messages, stderr);
            assert_string_equal(line_of(&arena, &read), line);
            assert_true(read.relative == numbers[i] || (isnan(numbers[i]) && isnan(read.relative)));
            assert_int_equal(read.decision, record.decision);
            assert_int_equal(read.verdict, record.verdict);
            assert_int_equal(read.class, record.class);
            assert_string_equal(read.why, hostile);
            assert_string_equal(read.who.items[0], hostile);
            assert_int_equal(read.who.count, 2);
            messages_free(&messages);
            arena_free(&arena);
        }
    }
    setlocale(LC_ALL, "C");
}

static void test_a_line_is_printable(void **state)
{
    (void)state;
    Arena arena = {0};
    LogRecord record = record_sample(&arena);
    record.why = hostile;
    const char *line = line_of(&arena, &record);
    Text visible = {0};
    text_add_visible(&visible, line, strlen(line) - 1);
    assert_int_equal(visible.length, strlen(line) - 1);
    text_free(&visible);
    arena_free(&arena);
}

static void test_what_is_refused_on_reading(void **state)
{
    (void)state;
    static const char *const cases[][3] = {
        {"style: ", "styl: ", "did you mean style"},
        {", ask: \"\"", "", "needs `ask`"},
        {"style: \"FS-1\"", "style: [a]", "style must be a text"},
        {"who: [\"Ada\", \"Bo\"]", "who: \"Ada\"", "who must be a list"},
        {"\"Ada\"", "{a: b}", "who must be a text"},
        {"relative: -0.5", "relative: \"-0.5\"", "relative must be a number"},
        {"relative: -0.5", "relative: 0x1p3", "relative must be a number"},
        {"relative: -0.5", "relative: nan", "relative must be a number"},
        {"relative: -0.5", "relative: 1e999", "relative must be a number"},
        {"relative: -0.5", "relative: 1_0", "relative must be a number"},
        {"\"flag\"", "\"flog\"", "flog is no verdict; did you mean flag"},
        {"\"major\"", "\"grave\"", "grave is no class"},
        {"\"permit\"", "\"permitted\"", "permitted is no decision"},
        {"2026-02-28T17:05:00Z", "2026-02-30T17:05:00Z", "is no moment"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Arena arena = {0};
        Messages messages = {0};
        LogRecord record = record_sample(&arena), read;
        record.relative = -0.5;
        const Change changes[] = {{cases[i][0], cases[i][1]}, {NULL, NULL}};
        const char *line = changed_text(&arena, line_of(&arena, &record), changes);
        assert_false(read_line(&arena, line, &read, &messages));
        assert_said(&messages, cases[i][2]);
        assert_int_equal(messages.items[0].at.line, 1);
        assert_true(messages.items[0].at.column > 1);
        messages_free(&messages);
        arena_free(&arena);
    }
}

/* The record with one thing wrong must be refused with these words. */
static void assert_incomplete(const LogRecord *record, const char *words)
{
    Text problem = {0};
    bool complete = logged_complete(record, &problem);
    if (complete || strstr(text_string(&problem), words) == NULL)
        fail_msg("\"%s\" instead of \"%s\"", text_string(&problem), words);
    text_free(&problem);
}

static void test_what_a_decision_needs(void **state)
{
    (void)state;
    Arena arena = {0};
    Text none = {0};
    LogRecord sample = record_sample(&arena), record = sample;
    assert_true(logged_complete(&record, &none));
    record.until = "confirmation-sample";
    assert_true(logged_complete(&record, &none));
    record.who = list_of(&arena, "Ada", NULL);
    assert_true(logged_complete(&record, &none));
    record.class = CLASS_CRITICAL;
    assert_incomplete(&record, "two names");
    record.decision = DECISION_HOLD;
    record.until = "";
    assert_true(logged_complete(&record, &none));
    record.decision = DECISION_ASK;
    assert_incomplete(&record, "whom to ask");
    record.ask = "Cy at the lasting room";
    assert_true(logged_complete(&record, &none));
    record = sample;
    record.until = "";
    assert_incomplete(&record, "needs an end");
    record.until = "2026-02-29";
    assert_incomplete(&record, "the end is a day");
    record = sample;
    record.why = " \t\xe2\x80\x8b ";
    assert_incomplete(&record, "a reason");
    record = sample;
    record.who.count = 0;
    assert_incomplete(&record, "one or two names");
    record.who = list_of(&arena, "Ada", "ada ");
    assert_incomplete(&record, "the first once more");
    record.who = list_of(&arena, " ", "Bo");
    assert_incomplete(&record, "one or two names");
    record = sample;
    record.when = "yesterday";
    assert_incomplete(&record, "when it was decided");
    record = sample;
    record.why = "not \xff UTF-8";
    assert_incomplete(&record, "UTF-8");
    record = sample;
    record.who = list_of(&arena, "Ada", "\xc3");
    assert_incomplete(&record, "UTF-8");
    assert_int_equal(none.length, 0);
    text_free(&none);
    arena_free(&arena);
}

static void test_one_name_twice_is_one(void **state)
{
    (void)state;
    static const struct {
        const char *one, *other;
        bool two;
    } cases[] = {
        {"Ada", "Bo", true},
        {"Ada", "Ada B", true},
        {"Ada", "Ada", false},
        {"Ada", "ada", false},
        {"Ada", " Ada  ", false},
        {"Ada B", "AdaB", false},
        {"Ada",
         "A\xe2\x80\x8b"
         "da",
         false},
        {"Ada", "", false},
        {"", "Ada", false},
        {"Ada\xc2\xa0", "Ada", false},
        {"Ad\xc3\xa9", "Ad\xc3\xa8", true},
    };
    Arena arena = {0};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        TextList who = list_of(&arena, cases[i].one, cases[i].other);
        if (logged_two_names(&who) != cases[i].two)
            fail_msg("%s and %s", cases[i].one, cases[i].other);
    }
    TextList alone = list_of(&arena, "Ada", NULL);
    assert_false(logged_two_names(&alone));
    arena_free(&arena);
}

static void test_taken_from_a_finding(void **state)
{
    (void)state;
    Judged *judged = judged_as("wide", NULL, NULL, NULL);
    Arena arena = {0};
    LogRecord record = decided_now(
        &arena, judged, finding_of(judged, "turn-radius", "bend front.top.1"), DECISION_PERMIT);
    assert_string_equal(record.style, "FS-1");
    assert_string_equal(record.alternative, "wide");
    assert_string_equal(record.factory, "");
    assert_string_equal(record.rule, "turn-radius");
    assert_string_equal(record.place, "bend front.top.1");
    assert_int_equal(record.verdict, VERDICT_FLAG);
    assert_int_equal(record.class, CLASS_MAJOR);
    assert_string_equal(record.spare, "-1 mm");
    assert_float_equal(record.relative, -1.0 / 6, 1e-12);
    assert_int_equal(record.lanes.count, 3);
    assert_string_equal(record.lanes.items[2], "flag 43");
    assert_int_equal(strlen(record.formula), 64);
    assert_int_equal(record.bends.count, 2);
    assert_string_equal(record.bends.items[0], "inward");
    assert_string_equal(record.bends.items[1], "outward");
    assert_int_equal(record.values.count, 3);
    assert_string_equal(record.values.items[0], "curve: inward");
    assert_string_equal(record.values.items[1], "radius: 5 mm");
    assert_string_equal(record.values.items[2], "radius_least: 6 mm");
    record = decided_now(&arena, judged, finding_of(judged, "edge-long", "edge strap.end"),
                         DECISION_PERMIT);
    assert_int_equal(record.bends.count, 0);
    arena_free(&arena);
    judged_end(judged);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_one_fixed_line),
        cmocka_unit_test(test_round_trip),
        cmocka_unit_test(test_a_line_is_printable),
        cmocka_unit_test(test_what_is_refused_on_reading),
        cmocka_unit_test(test_what_a_decision_needs),
        cmocka_unit_test(test_one_name_twice_is_one),
        cmocka_unit_test(test_taken_from_a_finding),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

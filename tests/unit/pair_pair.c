/* Numbers of a pair against sums done by hand on a small drawn style, in
 * tests/fixtures/pair.yaml. Thread: 301 takes 2N + 2T a stitch (formula of textile
 * course notes; printed examples are in tests/reference/thread.c). */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "pair/pair.h"

typedef struct Counted {
    Arena arena;
    Messages messages;
    Factory *factory;
    RuleSet *rules;
    Style *style;
    Judgement *judgement;
    PairNumbers numbers;
} Counted;

static Counted count(const char *alternative, const char *shop, uint32_t colourway)
{
    static const char *const rules[] = {"rules/base/pair.yaml"};
    Counted c = {0};
    if (shop)
        c.factory = factory_read(shop, &c.messages);
    c.rules = rules_read(rules, 1, c.factory, &c.messages);
    c.style = style_read("tests/fixtures/pair.yaml", alternative, NULL, 0, &c.messages);
    if (!c.rules || !c.style)
        messages_write(&c.messages, stderr);
    assert_true(c.rules && c.style && (c.factory || !shop));
    c.judgement = judge(c.style, c.rules, c.factory);
    c.numbers = pair_numbers(&c.arena, c.judgement, colourway);
    return c;
}

static void counted_free(Counted *c)
{
    judgement_free(c->judgement);
    style_free(c->style);
    rules_free(c->rules);
    if (c->factory)
        factory_free(c->factory);
    messages_free(&c->messages);
    arena_free(&c->arena);
}

static const PairNumber *number(const Counted *c, const char *key)
{
    for (size_t i = 0; i < c->numbers.count; i++)
        if (strcmp(c->numbers.items[i].key, key) == 0)
            return &c->numbers.items[i];
    fail_msg("no number %s", key);
    return NULL;
}

/* To nine digits. */
static void assert_number(const Counted *c, const char *key, double expected)
{
    double value = number(c, key)->value;
    if (!(fabs(value - expected) <= 1e-9 * fabs(expected)))
        fail_msg("%s is %.12g, not %.12g", key, value, expected);
}

static const char *const shop = "tests/fixtures/pair-shop.yaml";

static void pieces_and_rows_are_of_two_shoes(void **state)
{
    (void)state;
    Counted c = count(NULL, NULL, 0);
    assert_number(&c, "parts", 5.0);
    assert_number(&c, "pieces", 2.0 * (1 + 1 + 2 + 1 + 1));
    assert_number(&c, "seams", 2.0);
    assert_number(&c, "rows", 2.0);
    assert_number(&c, "row-length", 2 * 0.040);
    assert_number(&c, "stitches", 2.0 * 16); /* 40 mm at 2.5 mm */
    assert_number(&c, "shown-rows", 2.0);
    assert_number(&c, "raw-edges", 2.0); /* over.front; the underlay does not show */
    assert_number(&c, "raw-edge-length", 2 * 0.040);
    counted_free(&c);
}

/* Along the row, 2 mm inside over.front: both plies, 2 mm. The stay, 0.5 mm, stops 5 mm
 * inside under.lap, which lies 9 mm beyond over.front, so it lies under the row. The tape,
 * 0.25 mm, lies over the first 4 of its 40 mm. */
static void thread_follows_the_stack_along_the_row(void **state)
{
    (void)state;
    Counted c = count(NULL, NULL, 0);
    double stack = 2 + 0.5 + 0.25 * 4 / 40;
    assert_number(&c, "stack-most", 2.75);
    assert_number(&c, "thread.tex-40", 2 * 16 * (2 * 2.5 + 2 * stack) / 1000);
    assert_number(&c, "thread", 1.2 * 2 * 16 * (2 * 2.5 + 2 * stack) / 1000);
    counted_free(&c);
}

static void areas_take_what_is_cut_beyond_the_line(void **state)
{
    (void)state;
    Counted c = count(NULL, NULL, 0);
    double over = 60 * 40 + 40 * 5 + 60 * 6, under = 69 * 40;
    double pull = 2 * 2 * 20 * 10, stay = 69 * 40 - 5 * 40, tape = 4 * 60;
    assert_number(&c, "area.calf", 2 * (over + under) / 1e4);
    assert_number(&c, "cut.calf", 1.35 * 2 * (over + under) / 1e4);
    assert_number(&c, "area.cloth", 2 * (pull + stay) / 1e4);
    assert_number(&c, "area.tape", 2 * tape / 1e4);
    assert_number(&c, "weight",
                  2 * (800 * (over + under) + 100 * (pull + stay) + 80 * tape) / 1e6);
    counted_free(&c);
}

static void a_colourway_swaps_materials(void **state)
{
    (void)state;
    Counted c = count(NULL, NULL, 1);
    double over = 60 * 40 + 40 * 5 + 60 * 6, under = 69 * 40;
    double pull = 2 * 2 * 20 * 10, stay = 69 * 40 - 5 * 40, tape = 4 * 60;
    assert_number(&c, "area.kid", 2 * (over + under) / 1e4);
    /* 1 mm of 0.5 g/cm3 is 500 g/m2 */
    assert_number(&c, "weight",
                  2 * (500 * (over + under) + 100 * (pull + stay) + 80 * tape) / 1e6);
    counted_free(&c);
}

static void minutes_go_at_the_shops_pace(void **state)
{
    (void)state;
    Counted c = count(NULL, shop, 0);
    assert_number(&c, "minutes.cutting", 12 * 4.0 / 60);
    assert_number(&c, "minutes.skiving", 2 * (40 / 120.0 + 6) / 60);
    assert_number(&c, "minutes.folding", 2 * (40 / 60.0 + 6) / 60);
    assert_number(&c, "minutes.punching", 2 * 6 * 1.0 / 60);
    /* the slowest that makes 301: 1000 a minute, half of it reached */
    assert_number(&c, "minutes.sewing", 2 * (16 / 500.0 + 6 / 60.0));
    double all = 0;
    const char *parts[] = {"minutes.cutting", "minutes.skiving", "minutes.folding",
                           "minutes.punching", "minutes.sewing"};
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
        all += number(&c, parts[i])->value;
    assert_number(&c, "minutes", all);
    counted_free(&c);
}

static void without_a_factory_sewing_takes_nobody_knows_how_long(void **state)
{
    (void)state;
    Counted c = count(NULL, NULL, 0);
    assert_true(isnan(number(&c, "minutes.sewing")->value));
    assert_string_equal(number(&c, "minutes.sewing")->missing, "factory");
    assert_true(isnan(number(&c, "minutes")->value));
    counted_free(&c);
}

static void what_is_missing_is_named_and_the_rest_told(void **state)
{
    (void)state;
    Counted c = count("no-weight", NULL, 0);
    const PairNumber *weight = number(&c, "weight");
    double over = 60 * 40 + 40 * 5 + 60 * 6, under = 69 * 40, tape = 4 * 60;
    assert_true(isnan(weight->value));
    assert_true(fabs(weight->least - 2 * (800 * (over + under) + 80 * tape) / 1e6) < 1e-9);
    Text text = {0};
    pair_number_say(&text, weight);
    assert_string_equal(text_string(&text), "at least 9.19 g (weight of material cloth missing)");
    text_free(&text);
    counted_free(&c);
    c = count("pitch-unknown", shop, 0);
    assert_true(isnan(number(&c, "stitches")->value));
    assert_string_equal(number(&c, "stitches")->missing, "pitch of row lap.1");
    assert_true(isnan(number(&c, "thread")->value));
    assert_true(isnan(number(&c, "minutes")->value));
    counted_free(&c);
}

static void a_closed_seam_does_not_show(void **state)
{
    (void)state;
    Counted c = count("closed", NULL, 0);
    assert_number(&c, "shown-rows", 0.0);
    assert_number(&c, "raw-edges", 0.0);
    counted_free(&c);
}

/* Stitch-and-turn removes raw edges, visible stitching and thickness: common practice,
 * no published source. */
static void turning_the_demo_takes_away_what_shows(void **state)
{
    (void)state;
    static const char *const fewer[] = {"shown-rows", "shown-length", "raw-edges",
                                        "raw-edge-length", "stack-most", "stitches"};
    double numbers[2][6];
    Messages messages = {0};
    Arena arena = {0};
    const char *const *paths;
    size_t count_of;
    assert_true(rules_in_folder(&arena, "rules/base", &paths, &count_of, &messages));
    Factory *factory = factory_read("rules/factories/harbour.yaml", &messages);
    RuleSet *rules = rules_read(paths, count_of, factory, &messages);
    for (int i = 0; i < 2; i++) {
        Style *style =
            style_read("styles/skerry.yaml", i ? "turned-rounded" : NULL, NULL, 0, &messages);
        Judgement *judgement = judge(style, rules, factory);
        Counted c = {.numbers = pair_numbers(&arena, judgement, 0)};
        for (int k = 0; k < 6; k++)
            numbers[i][k] = number(&c, fewer[k])->value;
        judgement_free(judgement);
        style_free(style);
    }
    for (int k = 0; k < 6; k++)
        assert_true(numbers[1][k] < numbers[0][k]);
    rules_free(rules);
    factory_free(factory);
    messages_free(&messages);
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pieces_and_rows_are_of_two_shoes),
        cmocka_unit_test(thread_follows_the_stack_along_the_row),
        cmocka_unit_test(areas_take_what_is_cut_beyond_the_line),
        cmocka_unit_test(a_colourway_swaps_materials),
        cmocka_unit_test(minutes_go_at_the_shops_pace),
        cmocka_unit_test(without_a_factory_sewing_takes_nobody_knows_how_long),
        cmocka_unit_test(what_is_missing_is_named_and_the_rest_told),
        cmocka_unit_test(a_closed_seam_does_not_show),
        cmocka_unit_test(turning_the_demo_takes_away_what_shows),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

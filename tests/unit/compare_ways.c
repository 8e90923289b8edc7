/* Ways side by side: which factory can build which, and numbers under one key. The
 * deck shoe's way from overlays to stitch-and-turn: as overlays it passes, turned as
 * drawn it is flagged, rounded enough it passes; turning takes away raw edges, visible
 * rows and thickness. Common practice, no published source. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "compare/ways.h"

enum { WAYS = 3, SHOPS = 2 };
static const char *const names[WAYS] = {"as-written", "turned", "turned-rounded"};
static const char *const shops[SHOPS] = {"rules/factories/harbour.yaml",
                                         "rules/factories/loft.yaml"};

typedef struct Shoe {
    Arena arena;
    Messages messages;
    Factory *factories[SHOPS];
    RuleSet *rules[SHOPS];
    Style *styles[WAYS];
    Judgement *cells[WAYS * SHOPS];
    Ways *ways;
} Shoe;

static int set_up(void **state)
{
    Shoe *shoe = memory_new(1, sizeof *shoe);
    const char *const *paths;
    size_t count;
    assert_true(rules_in_folder(&shoe->arena, "rules/base", &paths, &count, &shoe->messages));
    for (int f = 0; f < SHOPS; f++) {
        shoe->factories[f] = factory_read(shops[f], &shoe->messages);
        shoe->rules[f] = rules_read(paths, count, shoe->factories[f], &shoe->messages);
        assert_non_null(shoe->rules[f]);
    }
    for (int w = 0; w < WAYS; w++) {
        shoe->styles[w] = style_read("styles/skerry.yaml", names[w], NULL, 0, &shoe->messages);
        for (int f = 0; f < SHOPS; f++)
            shoe->cells[w * SHOPS + f] =
                judge(shoe->styles[w], shoe->rules[f], shoe->factories[f]);
    }
    shoe->ways = ways_new(names, (const Judgement *const *)shoe->cells, WAYS, SHOPS);
    *state = shoe;
    return 0;
}

static int tear_down(void **state)
{
    Shoe *shoe = *state;
    ways_free(shoe->ways);
    for (int i = 0; i < WAYS * SHOPS; i++)
        judgement_free(shoe->cells[i]);
    for (int w = 0; w < WAYS; w++)
        style_free(shoe->styles[w]);
    for (int f = 0; f < SHOPS; f++) {
        rules_free(shoe->rules[f]);
        factory_free(shoe->factories[f]);
    }
    messages_free(&shoe->messages);
    arena_free(&shoe->arena);
    free(shoe);
    return 0;
}

static void overlays_pass_turned_fails_rounded_passes(void **state)
{
    const Shoe *shoe = *state;
    assert_string_equal(way_cell(shoe->ways, 0, 0)->word, "tight");
    assert_string_equal(way_cell(shoe->ways, 1, 0)->word, "cannot be built");
    assert_string_equal(way_cell(shoe->ways, 2, 0)->word, "tight");
    assert_int_equal(way_cell(shoe->ways, 0, 1)->worst, VERDICT_FLAG); /* no gauge for twin rows */
    for (int w = 0; w < WAYS; w++)
        for (int f = 0; f < SHOPS; f++)
            assert_ptr_equal(way_cell(shoe->ways, (size_t)w, (size_t)f)->judgement,
                             shoe->cells[w * SHOPS + f]);
}

static void rounding_clears_what_turning_flagged(void **state)
{
    const Shoe *shoe = *state;
    Comparison *turned = compare_judgements(shoe->cells[0], shoe->cells[SHOPS]);
    Comparison *rounded = compare_judgements(shoe->cells[SHOPS], shoe->cells[2 * SHOPS]);
    assert_int_equal(turned->counts[DIFFERENCE_FLAGGED],
                     shoe->cells[SHOPS]->tally[VERDICT_FLAG]);
    size_t better = rounded->counts[DIFFERENCE_CLEARED] + rounded->counts[DIFFERENCE_BETTER];
    assert_true(better >= shoe->cells[SHOPS]->tally[VERDICT_FLAG]);
    assert_int_equal(rounded->counts[DIFFERENCE_FLAGGED], 0);
    assert_int_equal(rounded->counts[DIFFERENCE_UNKNOWN], 0);
    comparison_free(turned);
    comparison_free(rounded);
}

static const WayNumber *number(const WayNumber *numbers, size_t count, const char *key)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(numbers[i].any->key, key) == 0)
            return &numbers[i];
    fail_msg("no number %s", key);
    return NULL;
}

static void numbers_stand_under_one_key_each(void **state)
{
    const Shoe *shoe = *state;
    static const char *const less[] = {"raw-edges", "shown-rows", "stack-most"};
    Arena arena = {0};
    WayNumber *numbers;
    size_t count = way_numbers(shoe->ways, &arena, &numbers);
    for (size_t i = 0; i < sizeof less / sizeof less[0]; i++) {
        const WayNumber *row = number(numbers, count, less[i]);
        for (int w = 0; w < WAYS; w++)
            assert_string_equal(row->of[w]->key, less[i]);
        assert_true(row->of[1]->value < row->of[0]->value);
    }
    for (size_t i = 0; i < count; i++)
        for (size_t k = i + 1; k < count; k++)
            assert_string_not_equal(numbers[i].any->key, numbers[k].any->key);
    for (size_t i = 1; i < count; i++) /* groups stay together */
        for (size_t k = 0; k + 1 < i; k++)
            if (strcmp(numbers[k].any->group, numbers[i].any->group) == 0)
                assert_string_equal(numbers[i - 1].any->group, numbers[i].any->group);
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(overlays_pass_turned_fails_rounded_passes),
        cmocka_unit_test(rounding_clears_what_turning_flagged),
        cmocka_unit_test(numbers_stand_under_one_key_each),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}

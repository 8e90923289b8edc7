/* Rules over many places: those that apply nowhere, never pass, or say the same. */
#include "judge/trial.h"
#include "judge_reading.h"

typedef struct Shown {
    Messages messages;
    RuleSet *rules;
    Trials *trials;
} Shown;

static Shown show(void)
{
    const char *path = "tests/fixtures/trial-rules.yaml";
    Shown shown = {0};
    shown.rules = rules_read(&path, 1, NULL, &shown.messages);
    assert_non_null(shown.rules);
    shown.trials = trials_new(shown.rules);
    assert_int_equal(shown.trials->count, 4);
    return shown;
}

static void shown_free(Shown *shown)
{
    trials_free(shown->trials);
    rules_free(shown->rules);
    messages_free(&shown->messages);
}

static const RuleTrial *trial(const Shown *shown, const char *id)
{
    for (size_t i = 0; i < shown->trials->count; i++)
        if (strcmp(shown->trials->items[i].rule->id, id) == 0)
            return &shown->trials->items[i];
    fail_msg("no rule %s", id);
    return NULL;
}

static void test_at_random(void **state)
{
    (void)state;
    Shown shown = show();
    trials_at_random(shown.trials, 4);
    const RuleTrial *narrow = trial(&shown, "trial-narrow");
    assert_int_equal(narrow->places, 256);
    assert_in_range(narrow->applies, 10, 100); /* one role of eight */
    assert_true(narrow->flags > 0 && narrow->passes > 0);
    assert_int_equal(narrow->flags + narrow->passes, narrow->applies);
    assert_null(narrow->first_flag);
    assert_int_equal(trial(&shown, "trial-nowhere")->applies, 0);
    const RuleTrial *always = trial(&shown, "trial-always");
    assert_int_equal(always->flags, always->applies);
    assert_int_equal(always->applies, narrow->applies);
    shown_free(&shown);
}

static void test_the_same_every_time(void **state)
{
    (void)state;
    Shown one = show(), other = show();
    trials_at_random(one.trials, 2);
    trials_at_random(other.trials, 2);
    for (size_t i = 0; i < one.trials->count; i++)
        assert_true(one.trials->items[i].answers == other.trials->items[i].answers);
    shown_free(&one);
    shown_free(&other);
}

static void test_who_agrees(void **state)
{
    (void)state;
    Shown shown = show();
    trials_at_random(shown.trials, 4);
    const RuleTrial *narrow = trial(&shown, "trial-narrow");
    assert_true(trials_agree(narrow, trial(&shown, "trial-narrow-too")));
    assert_false(trials_agree(narrow, trial(&shown, "trial-always")));
    assert_false(trials_agree(narrow, trial(&shown, "trial-nowhere")));
    shown_free(&shown);
}

static void test_over_a_style(void **state)
{
    (void)state;
    Shown shown = show();
    Style *style = style_read("styles/pebble.yaml", NULL, NULL, 0, &shown.messages);
    assert_non_null(style);
    Judgement *judgement = judge(style, shown.rules, NULL);
    trials_over(shown.trials, judgement);
    const RuleTrial *narrow = trial(&shown, "trial-narrow");
    assert_int_equal(narrow->places, style->lists[SUBJECT_PART].count);
    assert_int_equal(narrow->applies, 3); /* vamp, quarter and strap */
    assert_int_equal(narrow->flags, 1);
    assert_string_equal(narrow->first_flag, "part strap of styles/pebble.yaml");
    assert_true(trials_agree(narrow, trial(&shown, "trial-narrow-too")));
    judgement_free(judgement);
    style_free(style);
    shown_free(&shown);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_at_random),
        cmocka_unit_test(test_the_same_every_time),
        cmocka_unit_test(test_who_agrees),
        cmocka_unit_test(test_over_a_style),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

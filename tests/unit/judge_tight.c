/* What can fail within the tolerances, and how often. */
#include "judge_reading.h"

static Risk risk_of(const Judged *judged, const char *rule, const char *place)
{
    const Finding *finding = finding_of(judged, rule, place);
    assert_int_equal(finding->verdict, VERDICT_TIGHT);
    return finding_risk(judged->judgement, finding);
}

static void assert_risk(Risk risk, double expected)
{
    assert_false(risk.assumed);
    assert_in_range(risk.samples, TIGHT_FAILS_ENOUGH, TIGHT_SAMPLES);
    /* Four standard deviations of that many samples. */
    double deviation = sqrt(expected * (1 - expected) / risk.samples);
    if (fabs(risk.share - expected) > 4 * deviation)
        fail_msg("risk %g, expected %g", risk.share, expected);
}

/* Two plies of 1.4 ± 0.1 mm against 2.95 mm. Of one hide 2t is over where t is
 * in the last 0.025 of 0.2 mm: 1/8. Of two hides the corner beyond the line
 * t + u = 2.95 is a triangle with legs of 0.05 in a square of 0.2: 1/32. */
static void test_risk_of_one_hide_and_of_two(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    assert_risk(risk_of(&judged, "stack-sum", "row one-hide.1"), 0.125);
    assert_risk(risk_of(&judged, "stack-sum", "row two-hides.1"), 0.03125);
    judged_free(&judged);
}

static void test_risk_is_the_same_every_time(void **state)
{
    (void)state;
    Judged judged = judged_fixture(), again = judged_fixture();
    assert_true(risk_of(&judged, "stack-sum", "row two-hides.1").share ==
                risk_of(&again, "stack-sum", "row two-hides.1").share);
    judged_free(&judged);
    judged_free(&again);
}

static void test_boxes_prove_and_leave_open(void **state)
{
    (void)state;
    const char *path = "tests/fixtures/judge-tight.yaml";
    Messages messages = {0};
    RuleSet *rules = rules_read(&path, 1, NULL, &messages);
    size_t run = 0;
    if (!rules || !judge_examples(rules, &messages, &run)) {
        messages_write(&messages, stderr);
        fail_msg("an example is wrong");
    }
    assert_int_equal(run, 11);
    rules_free(rules);
    messages_free(&messages);
}

#define CURVE(radius)                                                                            \
    "cordwain: style/1\nname: Curve (invented)\ncode: C-1\nstage: pull-over\n"                   \
    "materials: {hide: {kind: suede, thickness: exactly 1 mm}}\n"                                \
    "parts: {vamp: {role: upper, material: hide, layer: 2, edges: {throat: {finish: turned, "    \
    "allowance: exactly 4 mm, bends: [{curve: inward, radius: " radius ", turn: 90 deg}]}}}}\n"

/* 3 mm clips are smooth from a radius of 3²/(8·0.2) + 0.1 = 5.725 mm. */
static void test_assumed_tolerances_carry_no_risk(void **state)
{
    (void)state;
    Judged judged = judged_of(CURVE("6 mm"), "tests/fixtures/judge-rules.yaml", NULL);
    Risk risk = risk_of(&judged, "turn-pitch", "bend vamp.throat.1");
    assert_true(risk.assumed);
    assert_true(isnan(risk.share));
    assert_int_equal(risk.samples, 0);
    judged_free(&judged);
    judged = judged_of(CURVE("6 ± 0.5 mm"), "tests/fixtures/judge-rules.yaml", NULL);
    assert_risk(risk_of(&judged, "turn-pitch", "bend vamp.throat.1"), 0.225);
    judged_free(&judged);
    judged = judged_of(CURVE("exactly 6 mm"), "tests/fixtures/judge-rules.yaml", NULL);
    assert_int_equal(finding_of(&judged, "turn-pitch", "bend vamp.throat.1")->verdict,
                     VERDICT_PASS);
    judged_free(&judged);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_risk_of_one_hide_and_of_two),
        cmocka_unit_test(test_risk_is_the_same_every_time),
        cmocka_unit_test(test_boxes_prove_and_leave_open),
        cmocka_unit_test(test_assumed_tolerances_carry_no_risk),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

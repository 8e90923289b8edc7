/* What can fail within the tolerances, and how often. */
#include "judge/parts.h"
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
    assert_int_equal(risk.samples, TIGHT_SAMPLES);
    double deviation = sqrt(expected * (1 - expected) / risk.samples);
    if (fabs(risk.share - expected) > 4 * deviation)
        fail_msg("risk %g, expected %g", risk.share, expected);
    /* What it says of its own error is the deviation, as far as the share tells it. */
    assert_true(fabs(risk.error - deviation) < 0.2 * deviation);
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

/* Which side of a bound the share is on is known with fewer samples the farther it is. */
static void test_risk_against_a_bound(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    const Finding *finding = finding_of(&judged, "stack-sum", "row two-hides.1");
    const Columns *columns = judged.judgement->columns;
    Sampled whole = tight_risk(finding->rule, columns, finding->record, 0, (double)NAN);
    Sampled far = tight_risk(finding->rule, columns, finding->record, 0, 0.3);
    Sampled near = tight_risk(finding->rule, columns, finding->record, 0, whole.share);
    assert_int_equal(whole.samples, TIGHT_SAMPLES);
    assert_int_equal(near.samples, TIGHT_SAMPLES);
    assert_true(far.samples >= TIGHT_SAMPLES_LEAST && far.samples < TIGHT_SAMPLES / 10);
    assert_true(far.share < 0.3);
    judged_free(&judged);
}

/* Parts of the box by compiled code, one by one by the plain evaluator. */
static void test_parts_are_as_one_by_one(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    Arena arena = {0};
    size_t seen = 0;
    for (size_t i = 0; i < judged.judgement->count; i++) {
        const Finding *finding = &judged.judgement->findings[i];
        const Columns *columns = judged.judgement->columns;
        Plain plain;
        const void **sources;
        if (finding->verdict == VERDICT_OFF)
            continue;
        plain_start(&plain, finding->rule, columns, 0, (int32_t)finding->record);
        size_t count = plain_sources(&plain, &arena, &sources);
        Parts *parts = parts_new(finding->rule, columns, finding->record, 0, sources, count, false);
        if (!parts)
            continue;
        BoxSide *sides = ARENA_NEW(&arena, BoxSide, PARTS *count);
        for (uint32_t k = 0; k < PARTS; k++) {
            for (size_t s = 0; s < count; s++) {
                double a = tight_uniform(k, s), b = k % 2 ? a : tight_uniform(k + PARTS, s);
                sides[k * count + s] = (BoxSide){sources[s], fmin(a, b), fmax(a, b)};
            }
            parts_set(parts, k, &sides[k * count]);
        }
        PartsFailing failing = parts_run(parts, PARTS);
        for (uint32_t k = 0; k < PARTS; k++, seen++) {
            ToleranceBox box = {&sides[k * count], count, false};
            plain_start(&plain, finding->rule, columns, 0, (int32_t)finding->record);
            plain.box = &box;
            plain.at_point = true;
            PlainTruth when = look_when(&plain);
            PlainTruth require = plain_truth(&plain, finding->rule->require);
            assert_int_equal(failing.somewhere >> k & 1, when.can_true && require.can_false);
            assert_int_equal(failing.in_middle >> k & 1, when.nominal == KLEENE_TRUE &&
                                                             require.nominal == KLEENE_FALSE);
        }
        parts_free(parts);
    }
    assert_true(seen > 0);
    arena_free(&arena);
    judged_free(&judged);
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
        cmocka_unit_test(test_risk_against_a_bound),
        cmocka_unit_test(test_parts_are_as_one_by_one),
        cmocka_unit_test(test_boxes_prove_and_leave_open),
        cmocka_unit_test(test_assumed_tolerances_carry_no_risk),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

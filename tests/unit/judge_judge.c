/* A small style judged: counts, lanes, order, causes, parts, exit. */
#include "judge_reading.h"

static void test_counts_add_up(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    const Judgement *j = judged.judgement;
    size_t places = 0, counted = 0, causes = 0;
    for (size_t i = 0; i < judged.rules->rule_count; i++)
        places += j->columns->count[judged.rules->rules[i]->about];
    for (int verdict = 0; verdict < VERDICT_COUNT; verdict++)
        counted += j->tally[verdict];
    assert_int_equal(j->count, places);
    assert_int_equal(counted, places);
    for (size_t i = 0; i < j->count; i++)
        causes += finding_cause(j, &j->findings[i])->name[0] != '\0';
    assert_int_equal(causes, places);
    assert_int_equal(j->tally[VERDICT_OFF], j->columns->count[SUBJECT_EDGE]);
    assert_int_equal(j->no_place_count, 1);
    assert_string_equal(j->no_place[0]->id, "hole-bore");
    assert_int_equal(judgement_exit(j), 1);
    judged_free(&judged);
}

static void test_order(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    const Judgement *j = judged.judgement;
    static const int rank[VERDICT_COUNT] = {[VERDICT_FLAG] = 0,  [VERDICT_UNKNOWN] = 1,
                                            [VERDICT_TIGHT] = 2, [VERDICT_PASS] = 3,
                                            [VERDICT_OUT] = 4,   [VERDICT_OFF] = 5};
    for (size_t i = 1; i < j->count; i++) {
        const Finding *a = &j->findings[i - 1], *b = &j->findings[i];
        assert_true(rank[a->verdict] <= rank[b->verdict]);
        if (a->verdict != b->verdict)
            continue;
        assert_true(a->rule->class <= b->rule->class);
        if (a->rule->class == b->rule->class)
            assert_true(a->at.line <= b->at.line);
    }
    assert_string_equal(j->findings[0].place, "bend left.tip.1");
    judged_free(&judged);
}

static void test_lanes_of_sizes_and_colourways(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    const Judgement *j = judged.judgement;
    assert_int_equal(j->lane_count, 6);
    assert_int_equal(j->columns->lane_count, 12); /* twin.tip does not say how it is graded */
    const Finding *finding = finding_of(&judged, "turn-pitch", "bend left.tip.1");
    for (uint32_t lane = 0; lane < 6; lane++) {
        bool chalk = strcmp(j->columns->lanes[lane].colourway, "Chalk") == 0;
        /* Suede needs 3 mm and calf 2.6 mm; the curve is smooth up to 2.65 ± 0.15 mm. */
        assert_int_equal(finding->lanes[lane], chalk ? VERDICT_FLAG : VERDICT_TIGHT);
    }
    assert_true(finding_spare(j, finding)->amount < 0);
    assert_true(isnan(finding_risk(j, finding).share));
    judged_free(&judged);
}

static void test_ungraded_edges_are_judged_both_ways(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    const Judgement *j = judged.judgement;
    const Finding *finding = finding_of(&judged, "turn-pitch", "bend twin.tip.1");
    for (uint32_t lane = 0; lane < 6; lane++) {
        bool small = strcmp(j->columns->lanes[lane].size, "41") == 0;
        assert_int_equal(finding->ways[lane], VERDICT_PASS);
        assert_int_equal(finding->ways[lane + 6], small ? VERDICT_FLAG : VERDICT_PASS);
        assert_int_equal(finding->lanes[lane], small ? VERDICT_UNKNOWN : VERDICT_PASS);
    }
    assert_string_equal(cause_at(&judged, "turn-pitch", "bend twin.tip.1")->name,
                        "grade of bend twin.tip.1 is not known");
    judged_free(&judged);
}

static void test_causes(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    const Cause *left = cause_at(&judged, "turn-pitch", "bend left.tip.1");
    assert_ptr_equal(left, cause_at(&judged, "turn-pitch", "bend right.tip.1"));
    assert_string_equal(left->name, "bend left.tip.1");
    assert_int_equal(left->giver, GIVER_LINE);
    const Cause *unknown = cause_at(&judged, "stack-sum", "row riddled.1");
    assert_string_equal(unknown->name, "thickness of material riddle is not known");
    assert_int_equal(unknown->giver, GIVER_MATERIAL);
    assert_string_equal(cause_at(&judged, "machine-feed", "row riddled.1")->name, "row riddled.1");
    assert_int_equal(cause_at(&judged, "stack-sum", "row one-hide.1")->giver, GIVER_MAKING);
    judged_free(&judged);
}

static void test_parts(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    assert_string_equal(finding_of(&judged, "turn-pitch", "bend right.tip.1")->part, "right");
    assert_string_equal(finding_of(&judged, "turn-off", "edge odd.top")->part, "odd");
    assert_string_equal(finding_of(&judged, "stack-sum", "row riddled.1")->part, "right");
    assert_string_equal(finding_of(&judged, "strip-narrow", "part strip")->part, "strip");
    judged_free(&judged);
}

static void test_basis(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    const Finding *turn = finding_of(&judged, "turn-pitch", "bend left.tip.1");
    const Finding *stack = finding_of(&judged, "stack-sum", "row one-hide.1");
    const Finding *feed = finding_of(&judged, "machine-feed", "row one-hide.1");
    Basis basis;
    /* Published facet and a clip pitch of common practice. */
    assert_true(finding_basis(judged.judgement, turn, &basis));
    assert_int_equal(basis, BASIS_PRACTICE);
    assert_true(finding_basis(judged.judgement, stack, &basis));
    assert_int_equal(basis, BASIS_MEMORY);
    assert_false(finding_basis(judged.judgement, feed, &basis));
    judged_free(&judged);
}

static void test_no_factory(void **state)
{
    (void)state;
    Judged judged = judged_of("tests/fixtures/judge-style.yaml", "tests/fixtures/judge-rules.yaml",
                              NULL);
    assert_int_equal(finding_of(&judged, "machine-feed", "row one-hide.1")->verdict,
                     VERDICT_UNKNOWN);
    assert_string_equal(cause_at(&judged, "machine-feed", "row one-hide.1")->name,
                        "no factory named");
    assert_ptr_equal(cause_at(&judged, "machine-feed", "row one-hide.1"),
                     cause_at(&judged, "machine-feed", "row two-hides.1"));
    judged_free(&judged);
}

#define KEPT_STYLE(keeps)                                                                        \
    "cordwain: style/1\nname: Keeps (invented)\ncode: K-1\nstage: pull-over\n"                   \
    "materials: {hide: {kind: suede, thickness: exactly 1 mm}}\n"                                \
    "parts: {vamp: {role: upper, material: hide, layer: 2, edges: {throat: {finish: turned, "    \
    "allowance: exactly 4 mm, bends: [{curve: inward, radius: exactly 3 mm, turn: 90 deg}]}}}}\n" \
    keeps

static void test_kept_values_are_no_cause(void **state)
{
    (void)state;
    static const struct {
        const char *style, *name;
    } cases[] = {
        {KEPT_STYLE(""), "bend vamp.throat.1"},
        {KEPT_STYLE("keeps: [parts.vamp.edges.throat.bends.1.radius]\n"), "edge vamp.throat"},
        {KEPT_STYLE("keeps: [parts.vamp.edges.throat.bends]\n"), "edge vamp.throat"},
        {KEPT_STYLE("keeps: [parts.vamp.edges.throat]\n"), "bend vamp.throat.1"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Judged judged = judged_of(cases[i].style, "tests/fixtures/judge-rules.yaml", NULL);
        const Cause *cause = cause_at(&judged, "turn-pitch", "bend vamp.throat.1");
        assert_string_equal(cause->name, cases[i].name);
        assert_int_equal(cause->giver, i == 3 ? GIVER_NOBODY : GIVER_LINE);
        /* It gives the radius, then the edge's finish. */
        const Finding *finding = finding_of(&judged, "turn-pitch", "bend vamp.throat.1");
        const Give *gives = finding->rule->gives;
        assert_int_equal(finding_may_give(judged.judgement, finding, &gives[0]), i == 0);
        assert_int_equal(finding_may_give(judged.judgement, finding, &gives[1]), i != 3);
        judged_free(&judged);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_counts_add_up),
        cmocka_unit_test(test_order),
        cmocka_unit_test(test_lanes_of_sizes_and_colourways),
        cmocka_unit_test(test_ungraded_edges_are_judged_both_ways),
        cmocka_unit_test(test_causes),
        cmocka_unit_test(test_parts),
        cmocka_unit_test(test_basis),
        cmocka_unit_test(test_no_factory),
        cmocka_unit_test(test_kept_values_are_no_cause),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Findings in words. */
#include "judge_reading.h"

static void test_sentences(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    assert_sentence(&judged, "turn-pitch", "bend left.tip.1",
                    "clips would have to be 2.65 mm apart; hide tears below 3 mm");
    assert_sentence(&judged, "turn-pitch", "bend left.tip.2",
                    "does not apply here because curve is outward, not inward");
    assert_sentence(&judged, "strip-narrow", "part twin",
                    "does not apply here because layer = 3 is false: 2 = 3");
    assert_sentence(&judged, "stack-sum", "row riddled.1",
                    "cannot be judged: thickness of material riddle is not known");
    assert_sentence(&judged, "turn-pitch", "bend twin.tip.1",
                    "cannot be judged: grade of bend twin.tip.1 is not known; "
                    "if held: pass, if scaled: flag");
    assert_sentence(&judged, "stack-sum", "row one-hide.1",
                    "the stack is 2.8 mm; at most 2.95 mm is sewn; holds as written, but can fail "
                    "within the tolerances (about 1 in 8)");
    assert_sentence(&judged, "turn-off", "edge odd.top",
                    "not judged: the shop measures edges itself");
    judged_free(&judged);
}

/* 9.99999 mm must not read as the 10 mm it fails. */
static void test_a_failing_value_never_reads_as_its_limit(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    assert_sentence(&judged, "strip-narrow", "part strip", "9.99999 mm is under 10 mm");
    judged_free(&judged);
}

static void test_sentence_of_another_lane(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    const Finding *finding = finding_of(&judged, "turn-pitch", "bend left.tip.1");
    uint32_t bark = 0;
    while (strcmp(judged.judgement->columns->lanes[bark].colourway, "Bark") != 0)
        bark++;
    Text text = {0};
    finding_sentence(&text, judged.judgement, finding, bark);
    assert_string_equal(text_string(&text),
                        "clips would have to be 2.65 mm apart; calf tears below 2.6 mm; holds as "
                        "written, but can fail within the tolerances");
    text_free(&text);
    judged_free(&judged);
}

static void assert_spare(const Judged *judged, const char *rule, const char *place,
                         const char *spare, const char *lanes)
{
    const Finding *finding = finding_of(judged, rule, place);
    Text text = {0};
    finding_say_spare(&text, judged->judgement, finding);
    assert_string_equal(text_string(&text), spare);
    text_clear(&text);
    finding_lanes(&text, judged->judgement, finding);
    assert_string_equal(text_string(&text), lanes);
    text_free(&text);
}

static void test_spare_and_lanes(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    assert_spare(&judged, "turn-pitch", "bend left.tip.1", "pitch smooth: 0.35 mm too little",
                 "in every size of Chalk");
    assert_spare(&judged, "stack-sum", "row one-hide.1", "0.15 mm to spare",
                 "in every size of Chalk");
    assert_spare(&judged, "turn-pitch", "bend twin.tip.1", "", "in 41 of every colourway");
    assert_spare(&judged, "machine-feed", "row one-hide.1", "", "in every size and colourway");
    judged_free(&judged);
}

#define MISSING_STYLE(material, kind, bends)                                                     \
    "cordwain: style/1\nname: Gaps (invented)\ncode: G-1\nstage: pull-over\n"                   \
    "materials: {hide: {kind: " kind ", thickness: exactly 1 mm}}\n"                             \
    "parts: {vamp: {role: upper, material: " material ", layer: 2, edges: {throat: {finish: "    \
    "turned, allowance: exactly 4 mm, bends: " bends "}}}}\n"
#define BEND(radius) "[{curve: inward, radius: " radius ", turn: 90 deg}]"

/* The cause of an unknown is the value that somebody must find out. */
static void test_what_is_missing(void **state)
{
    (void)state;
    static const struct {
        const char *style, *sentence;
    } cases[] = {
        {MISSING_STYLE("hide", "suede", BEND("unknown")),
         "cannot be judged: radius of bend vamp.throat.1 is not known"},
        {MISSING_STYLE("hide", "unknown", BEND("exactly 6 mm")),
         "cannot be judged: kind of material hide is not known"},
        {MISSING_STYLE("hide", "woven", BEND("exactly 6 mm")),
         "cannot be judged: limit clip_pitch_least has no value for woven"},
        {MISSING_STYLE("unknown", "suede", BEND("exactly 6 mm")),
         "cannot be judged: material of part vamp is not known"},
        {MISSING_STYLE("hide", "suede", BEND("exactly 0.05 mm")),
         "cannot be judged: sqrt(2 * radius * facet_most - facet_most^2) is the root of a negative "
         "number here: sqrt(2 * 0.05 mm * 0.2 mm - (0.2 mm)^2)"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Judged judged = judged_of(cases[i].style, "tests/fixtures/judge-rules.yaml", NULL);
        assert_sentence(&judged, "turn-pitch", "bend vamp.throat.1", cases[i].sentence);
        judged_free(&judged);
    }
}

/* Sizes and colourways as a grid, by hand. */
static void assert_lanes(const char *grid, size_t colourways, const char *expected)
{
    static const char *const sizes[] = {"36", "37", "38", "39", "40", "41"};
    static const char *const names[] = {"Chalk", "Bark", "Tar"};
    Lane lanes[18];
    Verdict verdicts[18];
    uint32_t count = (uint32_t)strlen(grid);
    for (uint32_t i = 0; i < count; i++) {
        lanes[i] = (Lane){.size = sizes[i / colourways],
                          .colourway = colourways > 1 ? names[i % colourways] : "",
                          .size_index = i / (uint32_t)colourways,
                          .colourway_index = i % (uint32_t)colourways};
        verdicts[i] = grid[i] == '!' ? VERDICT_FLAG : VERDICT_PASS;
    }
    Columns columns = {.lanes = lanes, .lane_count = count};
    Judgement judgement = {.columns = &columns, .lane_count = count};
    Finding finding = {.verdict = VERDICT_FLAG, .lanes = verdicts};
    Text text = {0};
    finding_lanes(&text, &judgement, &finding);
    assert_string_equal(text_string(&text), expected);
    text_free(&text);
}

static void test_lanes_are_compact(void **state)
{
    (void)state;
    assert_lanes("!!!!!!", 1, "in every size");
    assert_lanes("!!!!..", 1, "in 36 to 39");
    assert_lanes("!!..!.", 1, "in 36, 37 and 40");
    assert_lanes("!!!.!!", 1, "in 36 to 38, 40 and 41");
    assert_lanes(".....!", 1, "in 41");
    assert_lanes("!.!.!.!.....", 2, "in 36 to 39 of Chalk");
    assert_lanes("!.!.!.!.!.!.", 2, "in every size of Chalk");
    assert_lanes("!!!!!!!!....", 2, "in 36 to 39 of every colourway");
    assert_lanes("!!!!!!!!!.!.", 2, "in every size of Chalk; in 36 to 39 of Bark");
    assert_lanes("!!.!!.!!.!!.!!.!!.", 3, "in every size of Chalk and Bark");
    assert_lanes("!!!!!!!!!!!!", 2, "in every size and colourway");
}

/* The one machine that fails least is shown, though another has less to want. */
static void test_nearest_machine(void **state)
{
    (void)state;
    static const char style[] =
        "cordwain: style/1\nname: Rows (invented)\ncode: R-1\nstage: pull-over\n"
        "materials: {hide: {kind: leather, thickness: exactly 1 mm}}\n"
        "parts: {a: {role: upper, material: hide, layer: 2, edges: {t: {finish: raw}}}, "
        "b: {role: upper, material: hide, layer: 3, edges: {t: {finish: raw}}}}\n"
        "seams:\n  near: {join: lapped, edges: [a.t, b.t], "
        "rows: [{does: seam, from_edge: exactly 2 mm, stitch: 301, pitch: exactly 3 mm}]}\n"
        "  lost: {join: lapped, edges: [a.t, b.t], machine: post-9, "
        "rows: [{does: seam, from_edge: exactly 2 mm, stitch: 301, pitch: exactly 3 mm}]}\n";
    Judged judged = judged_of(style, "tests/fixtures/judge-nearest-rules.yaml",
                              "tests/fixtures/judge-nearest-shop.yaml");
    const Finding *finding = finding_of(&judged, "row-any", "row near.1");
    assert_int_equal(finding->verdict, VERDICT_FLAG);
    Text text = {0};
    explain_finding(&text, judged.judgement, finding, 0, 80);
    assert_non_null(strstr(text_string(&text), "machine second, which comes nearest"));
    assert_null(strstr(text_string(&text), "which decides"));
    text_free(&text);
    assert_sentence(&judged, "row-any", "row lost.1",
                    "cannot be judged: machine post-9, which seam lost names, is not in Loft "
                    "(invented)");
    const Cause *cause = cause_at(&judged, "row-any", "row lost.1");
    assert_int_equal(cause->at.line, 9);
    judged_free(&judged);
}

static void test_readings(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    const Finding *finding = finding_of(&judged, "stack-sum", "row one-hide.1");
    Arena arena = {0};
    Reading *readings;
    size_t count = finding_readings(&arena, judged.judgement, finding,
                                    finding_worst_lane(judged.judgement, finding), &readings);
    assert_int_equal(count, 3);
    assert_string_equal(readings[0].name, "ply.thickness of ply one-hide.1 ply 1 (left)");
    assert_string_equal(readings[1].name, "ply.thickness of ply one-hide.1 ply 2 (same)");
    assert_true(fabs(readings[0].nominal - 1.4) < 1e-12 && fabs(readings[0].hi - 1.5) < 1e-12);
    assert_string_equal(readings[2].name, "stack_most");
    assert_string_equal(readings[2].unit->name, "mm");
    assert_null(readings[2].word);
    finding = finding_of(&judged, "turn-pitch", "bend left.tip.1");
    count = finding_readings(&arena, judged.judgement, finding,
                             finding_worst_lane(judged.judgement, finding), &readings);
    assert_int_equal(count, 5);
    assert_string_equal(readings[0].name, "edge.finish");
    assert_string_equal(readings[0].word, "turned");
    arena_free(&arena);
    judged_free(&judged);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_sentences),
        cmocka_unit_test(test_a_failing_value_never_reads_as_its_limit),
        cmocka_unit_test(test_sentence_of_another_lane),
        cmocka_unit_test(test_spare_and_lanes),
        cmocka_unit_test(test_what_is_missing),
        cmocka_unit_test(test_lanes_are_compact),
        cmocka_unit_test(test_nearest_machine),
        cmocka_unit_test(test_readings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Which tolerance brings about how much of the scatter, against variances worked out by hand. */
#include "judge/shares.h"
#include "judge_reading.h"
#include "scratch.h"

/* Of a sum of uniforms each brings the square of its width: 0.2 mm and 0.4 mm make 1 : 4. */
#define STYLE(thick, thin, third)                                                                  \
    "cordwain: style/1\nname: Strap (invented)\ncode: S-1\nstage: pull-over\n"                     \
    "materials: {thick: {kind: suede, thickness: " thick "}, thin: {kind: suede, thickness: " thin \
    "}, third: {kind: suede, thickness: " third "}}\n"                                             \
    "parts:\n"                                                                                     \
    "  one: {role: upper, material: thick, layer: 2, edges: {side: {finish: raw, allowance: "      \
    "exactly 4 mm}}}\n"                                                                            \
    "  two: {role: upper, material: thin, layer: 2, edges: {side: {finish: raw, allowance: "       \
    "exactly 4 mm}}}\n"                                                                            \
    "  back: {role: lining, material: third, layer: 1, edges: {side: {finish: raw, allowance: "    \
    "exactly 4 mm}}}\n"                                                                            \
    "seams: {sides: {join: closed, edges: [one.side, two.side], rows: [{does: seam, from_edge: "   \
    "exactly 2 mm}], spots: [{at: 4 mm, plies: [one, two, back]}]}}\n"

static const char rules_text[] =
    "cordwain: rules/1\n"
    "title: Rules for shares (invented)\n"
    "limits:\n"
    "  stack_most: {means: thickest stack, value: 3.85 mm, basis: from memory, source: \"recalled "
    "from memory, no published source\"}\n"
    "rules:\n"
    "  stack-sum:\n"
    "    title: Stack too thick\n"
    "    about: spot\n"
    "    require: sum ply (ply.thickness) <= stack_most\n"
    "    class: minor\n"
    "    say: too thick\n"
    "    because: it breaks needles\n"
    "    source: \"invented for a test\"\n"
    "    examples: [{given: {ply: [{thickness: exactly 1 mm}]}, expect: pass}, {given: {ply: "
    "[{thickness: exactly 5 mm}]}, expect: flag}]\n";

static void check(const char *style, size_t expected, const double *shares)
{
    char path[SCRATCH_LENGTH];
    scratch_write(path, rules_text, strlen(rules_text));
    Judged judged = judged_of(style, path, NULL);
    Arena arena = {0};
    RiskShare *found;
    const Finding *finding = &judged.judgement->findings[0];
    assert_int_equal(finding->verdict, VERDICT_TIGHT);
    size_t count = risk_shares(&arena, judged.judgement, finding, &found);
    assert_int_equal(count, expected);
    for (size_t i = 0; i < count; i++)
        if (fabs(found[i].share - shares[i]) > 0.08)
            fail_msg("%s: %g, expected %g", found[i].name, found[i].share, shares[i]);
    arena_free(&arena);
    judged_free(&judged);
    unlink(path);
}

static void test_shares_of_a_sum(void **state)
{
    (void)state;
    check(STYLE("1.2 ± 0.1 mm", "1.4 ± 0.2 mm", "exactly 1 mm"), 2, (const double[]){0.8, 0.2});
    check(STYLE("1.2 ± 0.1 mm", "1.4 ± 0.1 mm", "1.2 ± 0.1 mm"), 3,
          (const double[]){1.0 / 3, 1.0 / 3, 1.0 / 3});
    check(STYLE("exactly 1.2 mm", "1.6 ± 0.2 mm", "exactly 1 mm"), 1, (const double[]){1});
}

static void test_the_same_every_time(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    Arena arena = {0};
    RiskShare *one, *other;
    for (size_t i = 0; i < judged.judgement->count; i++) {
        const Finding *finding = &judged.judgement->findings[i];
        if (finding->verdict != VERDICT_TIGHT)
            continue;
        size_t count = risk_shares(&arena, judged.judgement, finding, &one);
        assert_int_equal(risk_shares(&arena, judged.judgement, finding, &other), count);
        for (size_t k = 0; k < count; k++)
            assert_true(one[k].share == other[k].share && one[k].share <= 1);
    }
    arena_free(&arena);
    judged_free(&judged);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_shares_of_a_sum),
        cmocka_unit_test(test_the_same_every_time),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

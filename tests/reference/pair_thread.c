/* Thread of a pair, from a style's text to the printed number, against worked examples of
 * textile course notes and a thread maker's chart: the whole way through the program. */
#define _GNU_SOURCE
#include "reference/check.h"

#include <string.h>
#include <unistd.h>

#include "pair/pair.h"
#include "scratch.h"

static const char das[] = "A. K. Das, Calculate Amount of Sewing Thread Consumption, 2015";
static const char double_chain[] =
    "textile course notes, Consumption Formula for Double Thread Chain Stitch, 2015";
static const char chart[] = "thread maker's technical bulletin, Estimating Thread Consumption, "
                            "with a machine maker's chart for 401";

/* Inches: thickness of both plies, stitches to the inch, thread to an inch of seam. */
static const struct {
    int stitch;
    double thickness, stitches, thread;
    const char *source;
} examples[] = {
    {101, 0.005, 9, 3.09, das},   {301, 0.01, 10, 2.2, das},    {401, 0.025, 10, 4.5, double_chain},
    {401, 0.055, 8, 4.88, chart}, {401, 0.060, 8, 4.96, chart}, {401, 0.065, 8, 5.04, chart},
    {401, 0.070, 8, 5.12, chart}, {401, 0.075, 8, 5.20, chart},
};

/* Two straight edges that lie on each other; so long that a last stitch begun does not count. */
static const double row = 2000;

static Style *style_of(size_t example, Messages *messages)
{
    static const char form[] =
        "cordwain: style/1\nname: Two strips (invented)\ncode: R-2\n"
        "materials: {cloth: {kind: woven, thickness: exactly %.6f mm, compresses: exactly 0 %%}}\n"
        "parts:\n"
        "  over: {role: upper, material: cloth, layer: 2, edges: {all: {length: exactly %g mm, "
        "finish: raw, allowance: 0 mm}}}\n"
        "  under: {role: upper, material: cloth, layer: 1, edges: {all: {length: exactly %g mm, "
        "finish: raw, allowance: 8 mm}}}\n"
        "seams: {row: {join: lapped, edges: [over.all, under.all], rows: [{does: seam, from_edge: "
        "2 mm, stitch: %d, pitch: exactly %g /in, thread: 40 tex}]}}\n";
    char path[SCRATCH_LENGTH];
    FILE *out = scratch_file(path);
    assert_true(fprintf(out, form, 25.4 * examples[example].thickness / 2, row, row,
                        examples[example].stitch, examples[example].stitches) > 0);
    assert_int_equal(fclose(out), 0);
    Style *style = style_read(path, NULL, NULL, 0, messages);
    unlink(path);
    if (!style) {
        messages_write(messages, stderr);
        fail_msg("the style is refused");
    }
    return style;
}

static double metres(const PairNumbers *numbers, const char *key)
{
    for (size_t i = 0; i < numbers->count; i++)
        if (strcmp(numbers->items[i].key, key) == 0)
            return numbers->items[i].value;
    fail_msg("there is no number %s", key);
    return NAN;
}

static void thread_of_a_pair(void **state)
{
    static const char *const files[] = {"rules/base/pair.yaml"};
    (void)state;
    for (size_t i = 0; i < ROWS(examples); i++) {
        Messages messages = {0};
        Arena arena = {0};
        RuleSet *rules = rules_read(files, 1, NULL, &messages);
        assert_non_null(rules);
        Style *style = style_of(i, &messages);
        Judgement *judgement = judge(style, rules, NULL);
        PairNumbers numbers = pair_numbers(&arena, judgement, 0);
        double sewn = metres(&numbers, "thread.tex-40"), seams = 2 * row / 1000;
        check("thread to a length of seam", sewn / seams, examples[i].thread, 5e-3,
              examples[i].source);
        check_worked("thread with its waste", metres(&numbers, "thread"), 1.2 * sewn, 1e-9 * sewn,
                     "thread maker's bulletin on estimating thread: 15 to 20 % on top");
        judgement_free(judgement);
        style_free(style);
        rules_free(rules);
        arena_free(&arena);
        messages_free(&messages);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(thread_of_a_pair),
    };
    return checks_told(cmocka_run_group_tests(tests, NULL, NULL));
}

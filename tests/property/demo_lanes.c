/* Each lane of each finding over the demo against the plain evaluator in that
 * very lane: lanes that are judged once because they are alike are alike. */
#include "demo_support.h"

#include <math.h>

typedef struct Lane3 {
    bool flag, unknown, out;
} Lane3;

/* What nominal values alone decide. */
static Lane3 plainly(const Judgement *judgement, const Finding *finding, uint32_t way)
{
    Plain plain;
    plain_start(&plain, finding->rule, judgement->columns, way, (int32_t)finding->record);
    Kleene when = KLEENE_TRUE;
    if (finding->rule->when)
        when = plain_truth(&plain, finding->rule->when).nominal;
    Kleene require = plain_truth(&plain, finding->rule->require).nominal;
    if (finding->rule->has_sets && !plain.met)
        return (Lane3){.out = true};
    return (Lane3){when == KLEENE_TRUE && require == KLEENE_FALSE,
                   when == KLEENE_UNKNOWN || (when == KLEENE_TRUE && require == KLEENE_UNKNOWN),
                   false};
}

static void compare(const Judgement *judgement, const Finding *finding, uint32_t way)
{
    Lane3 plain = plainly(judgement, finding, way);
    Verdict verdict = finding->ways[way];
    bool same = plain.out       ? verdict == VERDICT_OUT
                : plain.flag    ? verdict == VERDICT_FLAG
                : plain.unknown ? verdict == VERDICT_UNKNOWN
                                : verdict != VERDICT_FLAG;
    if (!same)
        fail_msg("%s at %s in lane %u is %s", finding->rule->id, finding->place, way,
                 verdict_name(verdict));
}

/* The spare shown is the least of the lanes that have the finding's verdict. */
static void compare_spare(const Judgement *judgement, const Finding *finding)
{
    bool shown = finding->verdict == VERDICT_FLAG || finding->verdict == VERDICT_PASS;
    for (uint32_t way = 0; shown && way < judgement->columns->lane_count; way++) {
        if (finding->ways[way] != finding->verdict)
            continue;
        Plain plain;
        plain_start(&plain, finding->rule, judgement->columns, way, (int32_t)finding->record);
        double relative = plain_truth(&plain, finding->rule->require).spare.relative;
        if (relative < finding_spare(judgement, finding)->relative)
            fail_msg("%s at %s: lane %u has less to spare than the lane shown", finding->rule->id,
                     finding->place, way);
    }
}

static void hold(const char *path, const char *alternative)
{
    Ground ground = ground_open(DEMO_HARBOUR);
    Messages messages = {0};
    Style *style = style_read(path, alternative, NULL, 0, &messages);
    if (!style)
        demo_stop(&messages, path);
    Judgement *judgement = judge(style, ground.rules, ground.factory);
    size_t stride = demo_stride(1, 7), compared = 0;
    for (size_t i = 0; i < judgement->count; i += stride) {
        const Finding *finding = &judgement->findings[i];
        if (finding->verdict == VERDICT_OFF)
            continue;
        for (uint32_t way = 0; way < judgement->columns->lane_count; way++, compared++)
            compare(judgement, finding, way);
        compare_spare(judgement, finding);
    }
    assert_true(compared > 1000 / stride);
    judgement_free(judgement);
    style_free(style);
    messages_free(&messages);
    ground_close(&ground);
}

static void skerry_turned(void **state)
{
    (void)state;
    hold("styles/skerry.yaml", "turned");
}

static void skerry_as_written(void **state)
{
    (void)state;
    hold("styles/skerry.yaml", NULL);
}

static void fairlead(void **state)
{
    (void)state;
    hold("styles/fairlead.yaml", NULL);
}

static void pebble(void **state)
{
    (void)state;
    hold("styles/pebble.yaml", NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(skerry_turned),
        cmocka_unit_test(skerry_as_written),
        cmocka_unit_test(fairlead),
        cmocka_unit_test(pebble),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

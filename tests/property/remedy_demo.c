/* Remedies of the shipped styles, held against judging the changed style afresh: the aim is
 * reached, the value before does not reach it, and what is said of other findings is so. */
#include <math.h>

#include "property/demo_support.h"
#include "remedy/inside.h"
#include "style/place.h"

static const double risk_most = 0.05;

typedef struct Trial {
    const Ground *ground;
    YamlFile *file;
    const char *alternative;
    const Judgement *judgement;
    Remedies *remedies;
    size_t checked, steps;
} Trial;

/* The style with the typed changes, read and judged without anything kept. */
static Judged judged_with(const Trial *trial, Arena *arena, const char *const *paths,
                          const char *const *texts, size_t count)
{
    Judged judged = {0};
    Patch patches[2];
    for (size_t i = 0; i < count; i++) {
        YamlFile *value =
            yaml_read_bytes(arena, "value", texts[i], strlen(texts[i]), false, &judged.messages);
        assert_non_null(value);
        patches[i] = (Patch){paths[i], value->root, value->root};
    }
    judged.style =
        style_from_tree(trial->file, trial->alternative, patches, count, &judged.messages);
    if (!judged.style)
        demo_stop(&judged.messages, texts[0]);
    judged.judgement = judge(judged.style, trial->ground->rules, trial->ground->factory);
    return judged;
}

static bool reaches(const Judgement *judgement, const Finding *finding, RemedyAim aim)
{
    const Finding *after = demo_finding(judgement, finding->rule->id, finding->place);
    if (!after || after->verdict == VERDICT_PASS || after->verdict == VERDICT_OUT)
        return true;
    Risk risk = finding_risk(judgement, after);
    return aim == REMEDY_TIGHT && after->verdict == VERDICT_TIGHT && !(risk.share > risk_most);
}

/* In every lane, by the plain evaluator. */
static void assert_plain_agrees(const Judgement *judgement, const Finding *finding)
{
    const Finding *after = demo_finding(judgement, finding->rule->id, finding->place);
    if (!after)
        return;
    Arena arena = {0};
    Finding again = again_finding(&arena, judgement, after, judgement->columns, NULL);
    assert_int_equal(again.verdict, after->verdict);
    for (uint32_t lane = 0; lane < judgement->lane_count; lane++)
        assert_int_equal(again.lanes[lane], after->lanes[lane]);
    arena_free(&arena);
}

static bool is_open(Verdict verdict)
{
    return verdict == VERDICT_FLAG || verdict == VERDICT_UNKNOWN || verdict == VERDICT_TIGHT;
}

static Verdict verdict_at(const Judgement *judgement, const Finding *like)
{
    const Finding *there = demo_finding(judgement, like->rule->id, like->place);
    return there ? there->verdict : VERDICT_OUT;
}

static void assert_effects(const Trial *trial, const Judgement *after, const Finding *finding,
                           const Remedy *remedy)
{
    size_t clears = 0, raises = 0;
    const Finding **sorted = demo_sorted(trial->judgement);
    for (size_t i = 0; i < trial->judgement->count; i++)
        if (sorted[i] != finding && is_open(sorted[i]->verdict))
            clears += !is_open(verdict_at(after, sorted[i]));
    for (size_t i = 0; i < after->count; i++) {
        const Finding *now = &after->findings[i];
        bool own = now->rule == finding->rule && strcmp(now->place, finding->place) == 0;
        if (!own && is_open(now->verdict))
            raises += now->verdict > verdict_at(trial->judgement, now);
    }
    free(sorted);
    assert_int_equal(remedy->clear_count, clears);
    assert_int_equal(remedy->raise_count, raises);
}

static const Axis *axis_by_path(const Axis *axes, size_t count, const RemedyChange *change)
{
    for (size_t i = 0; i < count; i++)
        if (axes[i].path && strcmp(axes[i].path, change->path) == 0 &&
            (axes[i].kind == AXIS_TOLERANCE) == change->tolerance && !axes[i].refused)
            return &axes[i];
    fail_msg("%s is no value of the finding", change->path);
    return NULL;
}

/* One step nearer to the present value. */
static void assert_not_before(Trial *trial, const Finding *finding, const Remedy *remedy)
{
    const RemedyChange *change = &remedy->changes[0];
    Axis *axes;
    size_t count = axes_of(trial->remedies, finding, &axes);
    const Axis *axis = axis_by_path(axes, count, change);
    if (axis->kind != AXIS_NUMBER)
        return;
    bool up = change->to_value > axis->now;
    long index = axis_start(axis, up), before = index;
    for (; fabs(axis_value(axis, index) - change->to_value) > 1e-9; index += up ? 1 : -1)
        before = index;
    if (before == index)
        return;
    Arena arena = {0};
    const char *text = axis_text(&arena, axis, axis_value(axis, before));
    Judged judged = judged_with(trial, &arena, &change->path, &text, 1);
    if (reaches(judged.judgement, finding, remedy->aim))
        fail_msg("%s at %s: %s is enough, not only %s", finding->rule->id, finding->place, text,
                 change->to);
    trial->steps++;
    judged_free(&judged);
    arena_free(&arena);
}

static void check_remedy(Trial *trial, const Finding *finding, const Remedy *remedy)
{
    const char *paths[2], *texts[2];
    Arena arena = {0};
    for (size_t i = 0; i < remedy->change_count; i++) {
        if (remedy->changes[i].redraw)
            return;
        paths[i] = remedy->changes[i].path;
        texts[i] = remedy->changes[i].to;
    }
    Judged judged = judged_with(trial, &arena, paths, texts, remedy->change_count);
    if (!reaches(judged.judgement, finding, remedy->aim))
        fail_msg("%s at %s: %s is not enough", finding->rule->id, finding->place, texts[0]);
    assert_plain_agrees(judged.judgement, finding);
    assert_effects(trial, judged.judgement, finding, remedy);
    judged_free(&judged);
    arena_free(&arena);
    trial->checked++;
    if (remedy->change_count == 1)
        assert_not_before(trial, finding, remedy);
}

static size_t check_style(const Ground *ground, const char *path, const char *alternative)
{
    Arena arena = {0};
    YamlFile *file = demo_file(&arena, path);
    Judged judged = demo_judge(file, alternative, ground);
    RemedyGround read = {.file = file, .alternative = alternative, .judgement = judged.judgement};
    Trial trial = {ground, file, alternative, judged.judgement, remedies_new(&read), 0, 0};
    size_t stride = demo_stride(2, 7), seen = 0;
    for (size_t i = 0; i < judged.judgement->count; i++) {
        const Finding *finding = &judged.judgement->findings[i];
        if (finding->verdict != VERDICT_FLAG && finding->verdict != VERDICT_TIGHT)
            continue;
        const RemedyList *list = remedies_of(trial.remedies, finding);
        assert_true(list->count + list->none_count > 0 || finding->rule->give_count == 0);
        for (size_t k = 0; k < list->count; k++)
            if (seen++ % stride == 0)
                check_remedy(&trial, finding, &list->items[k]);
    }
    remedies_free(trial.remedies);
    judged_free(&judged);
    arena_free(&arena);
    return trial.checked;
}

static void test_turned(void **state)
{
    (void)state;
    Ground ground = ground_open(DEMO_HARBOUR);
    assert_true(check_style(&ground, "styles/skerry.yaml", "turned") > 0);
    ground_close(&ground);
}

static void test_others(void **state)
{
    (void)state;
    Ground ground = ground_open(DEMO_LOFT);
    bool quick = demo_stride(1, 0) > 0; /* rules of many machines take too long otherwise */
    if (quick)
        check_style(&ground, "styles/skerry.yaml", NULL);
    check_style(&ground, "styles/pebble.yaml", NULL);
    check_style(&ground, "styles/fairlead.yaml", "heavier-calf");
    ground_close(&ground);
}

/* What the style keeps is never proposed, whatever is kept. */
static void test_kept_is_never_proposed(void **state)
{
    (void)state;
    Arena arena = {0};
    Ground ground = ground_open(DEMO_HARBOUR);
    Messages messages = {0};
    static const char text[] = "[bottom, last, parts.vamp, parts.quarter-lat.edges, "
                               "parts.toe-cap.edges.back.left, materials.hull-suede, drawing]";
    YamlFile *file = demo_file(&arena, "styles/skerry.yaml");
    YamlFile *kept = yaml_read_bytes(&arena, "kept", text, strlen(text), false, &messages);
    Patch patch = {"keeps", kept->root, kept->root};
    Style *style = style_from_tree(file, "turned", &patch, 1, &messages);
    assert_non_null(style);
    Judgement *judgement = judge(style, ground.rules, ground.factory);
    RemedyGround read = {file, "turned", &patch, 1, judgement};
    Remedies *remedies = remedies_new(&read);
    for (size_t i = 0; i < judgement->count; i++) {
        const RemedyList *list = remedies_of(remedies, &judgement->findings[i]);
        for (size_t k = 0; k < list->count; k++)
            for (size_t n = 0; n < list->items[k].change_count; n++) {
                const RemedyChange *change = &list->items[k].changes[n];
                assert_false(change->redraw);
                for (size_t q = 0; q < style->keep_count; q++)
                    assert_false(place_within(change->path, style->keeps[q]->text));
            }
    }
    remedies_free(remedies);
    judgement_free(judgement);
    style_free(style);
    messages_free(&messages);
    ground_close(&ground);
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_turned),
        cmocka_unit_test(test_others),
        cmocka_unit_test(test_kept_is_never_proposed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Unknown is never pass: every value of the shipped styles is replaced by
 * `unknown`, one at a time, and what was a flag, unknown or tight may not
 * become better than that. */
#include "property/demo_support.h"

enum { REPORTS_MOST = 60 };

/* Where a value hangs in the file's tree. */
typedef struct SlotList {
    YamlNode ***items;
    size_t count, capacity;
    Arena arena;
} SlotList;

/* One style, alternative and factory, as it is and under change. */
typedef struct Trial {
    YamlFile *file;
    const char *alternative;
    const Ground *ground;
    const Judgement *before;
    const Finding **sorted; /* of before */
    const YamlNode *changed;
    size_t judged, refused, wrong;
} Trial;

/* ---- Which values ---- */

/* Texts, and the file's own kind: nothing is judged by them. */
static bool is_text(const char *key)
{
    return strcmp(key, "cordwain") == 0 || strcmp(key, "name") == 0 || strcmp(key, "code") == 0;
}

static void collect(SlotList *list, YamlNode *node, bool alternatives)
{
    for (size_t i = 0; node->kind != YAML_SCALAR && i < node->count; i++) {
        const char *key = node->keys ? node->keys[i]->text : "";
        if (is_text(key) || (!alternatives && strcmp(key, "alternatives") == 0))
            continue;
        YamlNode *value = node->items[i];
        if (!yaml_is_word(value, "unknown"))
            *ARENA_PUSH(&list->arena, list->items, list->count, list->capacity) = &node->items[i];
        collect(list, value, alternatives);
    }
}

/* ---- Comparing ---- */

/* What one verdict may become when a value is lost. */
static bool allowed(Verdict before, Verdict after)
{
    switch (before) {
    case VERDICT_FLAG:
    case VERDICT_UNKNOWN:
        return after == VERDICT_FLAG || after == VERDICT_UNKNOWN;
    case VERDICT_TIGHT:
        return after == VERDICT_FLAG || after == VERDICT_UNKNOWN || after == VERDICT_TIGHT;
    case VERDICT_OFF:
        return after == VERDICT_OFF;
    case VERDICT_OUT:
    case VERDICT_PASS:
    case VERDICT_COUNT:
        break;
    }
    return true;
}

static void report(Trial *trial, const Finding *before, const char *after)
{
    if (trial->wrong++ >= REPORTS_MOST)
        return;
    Where at = yaml_where(trial->changed);
    print_error("%s:%d:%d: unknown for %.40s%s: %s at %s: %s becomes %s (%s, %s)\n", at.file, at.line,
                at.column, trial->changed->kind == YAML_SCALAR ? trial->changed->text : "a list or mapping",
                trial->changed->kind == YAML_SCALAR ? "" : " as a whole", before->rule->id,
                before->place, verdict_name(before->verdict), after,
                trial->alternative ? trial->alternative : "as written",
                trial->ground->factory ? trial->ground->factory->name : "no factory");
}

/* "bend vamp.unknown" stands for "bend vamp.throat.1": a last step that is
 * unknown below something the lost place lies in. */
static bool stands_for(const char *place, const char *lost)
{
    size_t length = strlen(place), word = strlen("unknown");
    return length > word && strcmp(place + length - word, "unknown") == 0 &&
           strncmp(place, lost, length - word) == 0;
}

/* The best (least) verdict of the places that stand for a lost one. */
static void check_lost(Trial *trial, const Finding *lost, const Finding *const *after, size_t count)
{
    Verdict best = VERDICT_COUNT;
    for (size_t i = 0; i < count; i++)
        if (after[i]->rule == lost->rule && stands_for(after[i]->place, lost->place) &&
            after[i]->verdict < best)
            best = after[i]->verdict;
    if (best == VERDICT_COUNT)
        report(trial, lost, "nothing: the place is gone");
    else if (!allowed(lost->verdict, best))
        report(trial, lost, verdict_name(best));
}

/* The same in every lane, where the lanes are still the same. */
static void check_there(Trial *trial, const Finding *was, const Finding *is, const Judgement *now)
{
    if (!allowed(was->verdict, is->verdict)) {
        report(trial, was, verdict_name(is->verdict));
        return;
    }
    bool same_lanes = trial->before->lane_count == now->lane_count;
    for (uint32_t lane = 0; same_lanes && lane < now->lane_count; lane++) {
        if (!allowed(was->lanes[lane], is->lanes[lane])) {
            report(trial, was, "something better in one lane");
            return;
        }
    }
}

static void compare(Trial *trial, const Judgement *now)
{
    const Finding **after = demo_sorted(now);
    size_t k = 0;
    for (size_t i = 0; i < trial->before->count; i++) {
        const Finding *was = trial->sorted[i];
        while (k < now->count && demo_order(&after[k], &was) < 0)
            k++;
        bool there = k < now->count && demo_order(&after[k], &was) == 0;
        if (there)
            check_there(trial, was, after[k], now);
        else if (was->verdict != VERDICT_OFF && !allowed(was->verdict, VERDICT_OUT))
            check_lost(trial, was, after, now->count);
    }
    free(after);
}

/* ---- Replacing ---- */

static void judge_changed(Trial *trial)
{
    Messages messages = {0};
    /* A patch that changes nothing spares the check of the other alternatives. */
    const YamlNode *stage = yaml_get(trial->file->root, "stage");
    Patch same = {"stage", stage, stage};
    Style *style = style_from_tree(trial->file, trial->alternative, &same, 1, &messages);
    if (style) {
        Judgement *now = judge(style, trial->ground->rules, trial->ground->factory);
        compare(trial, now);
        judgement_free(now);
        style_free(style);
        trial->judged++;
    } else {
        assert_true(messages.errors > 0);
        trial->refused++;
    }
    messages_free(&messages);
}

static void lose(Trial *trial, YamlNode **slot)
{
    YamlNode *value = *slot;
    YamlNode unknown = {.kind = YAML_SCALAR, .plain = true, .file = value->file, .start = value->start,
                        .end = value->end, .text = "unknown", .length = strlen("unknown")};
    trial->changed = value;
    *slot = &unknown;
    judge_changed(trial);
    *slot = value;
}

/* The base size alone judges much faster than a whole run. */
static void narrow(Arena *arena, const YamlFile *file)
{
    YamlNode *sizes = yaml_get(file->root, "sizes");
    YamlNode *base = yaml_get(sizes, "base"), *from = yaml_get(sizes, "from");
    YamlNode *to = yaml_get(sizes, "to");
    from->text = arena_printf(arena, "%d", atoi(base->text));
    from->length = strlen(from->text);
    to->text = base->text;
    to->length = base->length;
}

static void try_all(const char *path, const char *alternative, const Ground *ground, size_t stride,
                    bool all_sizes)
{
    Arena arena = {0};
    Trial trial = {.file = demo_file(&arena, path), .alternative = alternative, .ground = ground};
    if (!all_sizes)
        narrow(&arena, trial.file);
    Judged judged = demo_judge(trial.file, alternative, ground);
    trial.before = judged.judgement;
    trial.sorted = demo_sorted(trial.before);
    SlotList slots = {0};
    collect(&slots, trial.file->root, alternative != NULL);
    assert_true(slots.count > 100);
    for (size_t i = stride / 2; i < slots.count; i += stride)
        lose(&trial, slots.items[i]);
    if (trial.wrong > 0)
        fail_msg("%s: %zu findings got better by losing a value (%zu judged, %zu refused)", path,
                 trial.wrong, trial.judged, trial.refused);
    assert_true(trial.judged > trial.refused / 4);
    free(trial.sorted);
    judged_free(&judged);
    arena_free(&slots.arena);
    arena_free(&arena);
}

static void try_with(const char *path, const char *alternative, const char *factory, size_t usual,
                     size_t slow)
{
    Ground ground = ground_open(factory);
    try_all(path, alternative, &ground, demo_stride(usual, slow), false);
    ground_close(&ground);
}

static void try_all_sizes(const char *path, const char *alternative, size_t usual, size_t slow)
{
    Ground ground = ground_open(DEMO_HARBOUR);
    try_all(path, alternative, &ground, demo_stride(usual, slow), true);
    ground_close(&ground);
}

/* ---- Tests ----
 * Every value at least once at Harbour; the strides of the others are odd and
 * differ, so that they meet other values. DEMO_STRIDE=1 tries all everywhere. */

static void skerry_as_written_at_harbour(void **state)
{
    (void)state;
    try_with("styles/skerry.yaml", NULL, DEMO_HARBOUR, 3, 401);
}

static void skerry_turned_at_harbour(void **state)
{
    (void)state;
    try_with("styles/skerry.yaml", "turned", DEMO_HARBOUR, 1, 397);
}

static void skerry_overlay_at_harbour(void **state)
{
    (void)state;
    try_with("styles/skerry.yaml", "overlay", DEMO_HARBOUR, 53, 1009);
}

static void skerry_rounded_at_harbour(void **state)
{
    (void)state;
    try_with("styles/skerry.yaml", "turned-rounded", DEMO_HARBOUR, 11, 997);
}

static void skerry_turned_at_loft(void **state)
{
    (void)state;
    try_with("styles/skerry.yaml", "turned", DEMO_LOFT, 13, 991);
}

static void skerry_turned_nowhere(void **state)
{
    (void)state;
    try_with("styles/skerry.yaml", "turned", NULL, 17, 983);
}

static void fairlead_at_harbour(void **state)
{
    (void)state;
    try_with("styles/fairlead.yaml", NULL, DEMO_HARBOUR, 1, 101);
}

static void fairlead_heavier_at_loft(void **state)
{
    (void)state;
    try_with("styles/fairlead.yaml", "heavier-calf", DEMO_LOFT, 3, 103);
}

static void fairlead_nowhere(void **state)
{
    (void)state;
    try_with("styles/fairlead.yaml", NULL, NULL, 5, 107);
}

static void pebble_at_harbour(void **state)
{
    (void)state;
    try_with("styles/pebble.yaml", NULL, DEMO_HARBOUR, 1, 97);
}

static void pebble_at_loft(void **state)
{
    (void)state;
    try_with("styles/pebble.yaml", NULL, DEMO_LOFT, 3, 89);
}

static void pebble_nowhere(void **state)
{
    (void)state;
    try_with("styles/pebble.yaml", NULL, NULL, 5, 83);
}

static void whole_run_as_written(void **state)
{
    (void)state;
    try_all_sizes("styles/skerry.yaml", NULL, 61, 787);
}

static void whole_run_turned(void **state)
{
    (void)state;
    try_all_sizes("styles/skerry.yaml", "turned", 67, 797);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(skerry_as_written_at_harbour), cmocka_unit_test(skerry_turned_at_harbour),
        cmocka_unit_test(skerry_overlay_at_harbour),    cmocka_unit_test(skerry_rounded_at_harbour),
        cmocka_unit_test(skerry_turned_at_loft),        cmocka_unit_test(skerry_turned_nowhere),
        cmocka_unit_test(fairlead_at_harbour),          cmocka_unit_test(fairlead_heavier_at_loft),
        cmocka_unit_test(fairlead_nowhere),             cmocka_unit_test(pebble_at_harbour),
        cmocka_unit_test(pebble_at_loft),               cmocka_unit_test(pebble_nowhere),
        cmocka_unit_test(whole_run_as_written),         cmocka_unit_test(whole_run_turned),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

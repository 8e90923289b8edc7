/* Unknown is never pass: every value of the shipped styles is replaced by
 * `unknown`, one at a time, and what was a flag, unknown or tight may not
 * become better than that. */
#include <stdio.h>
#include <unistd.h>

#include "property/demo_support.h"
#include "scratch.h"

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
    StyleShelf *shelf; /* lines that stay as they are need not be measured again */
    const char *alternative;
    const Ground *ground;
    const Judgement *before;
    const Finding **sorted; /* of before */
    const YamlNode *changed;
    size_t judged, refused, wrong;
} Trial;

/* A patch that changes nothing spares the check of the other alternatives. */
static Style *read_quickly(const Trial *trial, Messages *messages)
{
    const YamlNode *stage = yaml_get(trial->file->root, "stage");
    Patch same = {"stage", stage, stage};
    return style_from_shelf(trial->shelf, trial->file, trial->alternative, &same, 1, messages);
}

/* ---- Spoiling a style, so that much more of it is flagged ---- */

static uint32_t random_next(uint32_t *seed)
{
    *seed = *seed * 1664525u + 1013904223u;
    return *seed >> 16;
}

/* A number with a unit gets 0.4 or 2.5 times as large, a truth turns round, a
 * bend curves the other way. */
static void spoil_value(Arena *arena, YamlNode *node, uint32_t *seed)
{
    const char *text = node->text;
    char *end;
    double number = strtod(text, &end);
    if (yaml_is_word(node, "true") || yaml_is_word(node, "false"))
        node->text = yaml_is_word(node, "true") ? "false" : "true";
    else if (yaml_is_word(node, "inward") || yaml_is_word(node, "outward"))
        node->text = yaml_is_word(node, "inward") ? "outward" : "inward";
    else if (end > text && *end == ' ')
        node->text =
            arena_printf(arena, "%.3f%s", number * (random_next(seed) % 2 ? 0.4 : 2.5), end);
    node->length = strlen(node->text);
}

/* One value in five; the rest stays. Where the style is refused, all stays. */
static void spoil(Arena *arena, Trial *trial, YamlNode *node, uint32_t *seed)
{
    for (size_t i = 0; node->kind != YAML_SCALAR && i < node->count; i++)
        spoil(arena, trial, node->items[i], seed);
    if (node->kind != YAML_SCALAR || !node->plain || random_next(seed) % 5 != 0)
        return;
    YamlNode kept = *node;
    spoil_value(arena, node, seed);
    if (node->text == kept.text)
        return;
    Messages messages = {0};
    Style *style = read_quickly(trial, &messages);
    if (style)
        style_free(style);
    else
        *node = kept;
    messages_free(&messages);
}

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
    print_error("%s:%d:%d: unknown for %.40s%s: %s at %s: %s becomes %s (%s, %s)\n", at.file,
                at.line, at.column,
                trial->changed->kind == YAML_SCALAR ? trial->changed->text : "a list or mapping",
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
        if (strcmp(after[i]->rule->id, lost->rule->id) == 0 &&
            stands_for(after[i]->place, lost->place) && after[i]->verdict < best)
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
    Style *style = read_quickly(trial, &messages);
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
    YamlNode unknown = {.kind = YAML_SCALAR,
                        .plain = true,
                        .file = value->file,
                        .start = value->start,
                        .end = value->end,
                        .text = "unknown",
                        .length = strlen("unknown")};
    trial->changed = value;
    *slot = &unknown;
    judge_changed(trial);
    *slot = value;
}

/* The base size alone judges much faster than a whole run. */
static void narrow(Arena *arena, const YamlFile *file)
{
    YamlNode *sizes = yaml_get(file->root, "sizes");
    if (!sizes)
        return;
    YamlNode *base = yaml_get(sizes, "base"), *from = yaml_get(sizes, "from");
    YamlNode *to = yaml_get(sizes, "to");
    from->text = arena_printf(arena, "%d", atoi(base->text));
    from->length = strlen(from->text);
    to->text = base->text;
    to->length = base->length;
}

/* The style as it is, at the trial's ground. */
static Judged begin(Trial *trial)
{
    Judged judged = {0};
    judged.style = read_quickly(trial, &judged.messages);
    assert_non_null(judged.style);
    judged.judgement = judge(judged.style, trial->ground->rules, trial->ground->factory);
    trial->before = judged.judgement;
    trial->sorted = demo_sorted(trial->before);
    return judged;
}

static void try_all(const char *path, const char *alternative, const Ground *ground, size_t stride,
                    bool all_sizes, uint32_t seed)
{
    Arena arena = {0};
    Trial trial = {.file = demo_file(&arena, path),
                   .shelf = style_shelf_new(),
                   .alternative = alternative,
                   .ground = ground};
    if (!all_sizes)
        narrow(&arena, trial.file);
    if (seed > 0)
        spoil(&arena, &trial, trial.file->root, &seed);
    Judged judged = begin(&trial);
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
    style_shelf_free(trial.shelf);
    arena_free(&slots.arena);
    arena_free(&arena);
}

static void try_with(const char *path, const char *alternative, const char *factory, size_t usual,
                     size_t slow)
{
    Ground ground = ground_open(factory);
    try_all(path, alternative, &ground, demo_stride(usual, slow), false, 0);
    ground_close(&ground);
}

static void try_all_sizes(const char *path, const char *alternative, size_t usual, size_t slow)
{
    Ground ground = ground_open(DEMO_HARBOUR);
    try_all(path, alternative, &ground, demo_stride(usual, slow), true, 0);
    ground_close(&ground);
}

static void try_spoilt(const char *path, const char *alternative, uint32_t seed, size_t usual,
                       size_t slow)
{
    Ground ground = ground_open(seed % 2 ? DEMO_HARBOUR : DEMO_LOFT);
    try_all(path, alternative, &ground, demo_stride(usual, slow), false, seed);
    ground_close(&ground);
}

/* ---- Drawn lines: a path that is unknown ---- */

/* The value of the edge in the file's tree; NULL where it is not written out. */
static YamlNode **edge_slot(const YamlFile *file, const Record *edge)
{
    YamlNode *part = yaml_get(yaml_get(file->root, "parts"), edge->owner->id);
    YamlNode *edges = yaml_get(part, "edges");
    for (size_t i = 0; edges && i < edges->count; i++)
        if (strcmp(edges->keys[i]->text, edge->id) == 0)
            return &edges->items[i];
    return NULL;
}

static void lose_line(Trial *trial, Arena *arena, YamlNode **slot)
{
    YamlNode *edge = *slot, *key = yaml_copy_shallow(arena, edge);
    *key = (YamlNode){.kind = YAML_SCALAR, .plain = true, .file = edge->file};
    key->text = "path";
    key->length = strlen(key->text);
    YamlNode *unknown = yaml_copy_shallow(arena, key);
    unknown->text = "unknown";
    unknown->length = strlen(unknown->text);
    *slot = yaml_copy_shallow(arena, edge);
    yaml_set(arena, *slot, key, unknown);
    trial->changed = edge;
    judge_changed(trial);
    *slot = edge;
}

static void try_lines(const char *path, const char *alternative, const char *factory,
                      size_t stride)
{
    Arena arena = {0};
    Ground ground = ground_open(factory);
    Trial trial = {.file = demo_file(&arena, path),
                   .shelf = style_shelf_new(),
                   .alternative = alternative,
                   .ground = &ground};
    narrow(&arena, trial.file);
    Judged judged = begin(&trial);
    const Style *style = judged.style;
    const RecordList *edges = &style->lists[SUBJECT_EDGE];
    for (size_t i = stride / 2; i < edges->count; i += stride) {
        YamlNode **slot = edge_slot(trial.file, edges->items[i]);
        if (slot && style->lines[i].part)
            lose_line(&trial, &arena, slot);
    }
    if (trial.wrong > 0)
        fail_msg("%s: %zu findings got better by losing a line", path, trial.wrong);
    assert_true(style->drawn_count == 0 || trial.judged > 0);
    free(trial.sorted);
    judged_free(&judged);
    style_shelf_free(trial.shelf);
    ground_close(&ground);
    arena_free(&arena);
}

/* ---- Machines: the same for every value of a factory's machines ---- */

static void write_without(const char *path, const YamlFile *file, const YamlNode *value)
{
    FILE *out = fopen(path, "wb");
    assert_non_null(out);
    fwrite(file->bytes, 1, value->start, out);
    fputs("unknown", out);
    fwrite(file->bytes + value->end, 1, file->length - value->end, out);
    assert_int_equal(fclose(out), 0);
}

static void lose_of_shop(Trial *trial, const Style *style, const char *copy)
{
    Ground ground = {0};
    const char *const *paths;
    size_t count;
    assert_true(rules_in_folder(&ground.arena, "rules/base", &paths, &count, &ground.messages));
    ground.factory = factory_read(copy, &ground.messages);
    if (ground.factory)
        ground.rules = rules_read(paths, count, ground.factory, &ground.messages);
    if (ground.rules) {
        Judgement *now = judge(style, ground.rules, ground.factory);
        compare(trial, now);
        judgement_free(now);
        trial->judged++;
    } else {
        assert_true(ground.messages.errors > 0);
        trial->refused++;
    }
    ground_close(&ground);
}

static void try_shop(const char *path, const char *alternative, const char *factory, uint32_t seed,
                     size_t stride)
{
    Arena arena = {0};
    Ground ground = ground_open(factory);
    Trial trial = {.file = demo_file(&arena, path),
                   .shelf = style_shelf_new(),
                   .alternative = alternative,
                   .ground = &ground};
    narrow(&arena, trial.file);
    if (seed > 0)
        spoil(&arena, &trial, trial.file->root, &seed);
    Judged judged = begin(&trial);
    const YamlFile *shop = demo_file(&arena, factory);
    SlotList slots = {0};
    collect(&slots, yaml_get(shop->root, "machines"), false);
    char copy[SCRATCH_LENGTH];
    scratch_write(copy, "", 0);
    for (size_t i = stride / 2; i < slots.count; i += stride) {
        trial.changed = *slots.items[i];
        write_without(copy, shop, trial.changed);
        lose_of_shop(&trial, judged.style, copy);
    }
    assert_int_equal(unlink(copy), 0);
    if (trial.wrong > 0)
        fail_msg("%s: %zu findings got better by losing a machine's value", path, trial.wrong);
    free(trial.sorted);
    judged_free(&judged);
    style_shelf_free(trial.shelf);
    ground_close(&ground);
    arena_free(&slots.arena);
    arena_free(&arena);
}

/* ---- Tests ----
 * Every value at Harbour with the big style's sharpest alternative; the strides of
 * the others are odd and differ. DEMO_STRIDE=1 tries every value everywhere. */

static void skerry_as_written_at_harbour(void **state)
{
    (void)state;
    try_with("styles/skerry.yaml", NULL, DEMO_HARBOUR, 7, 401);
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
    try_with("styles/skerry.yaml", "turned-rounded", DEMO_HARBOUR, 17, 997);
}

static void skerry_turned_at_loft(void **state)
{
    (void)state;
    try_with("styles/skerry.yaml", "turned", DEMO_LOFT, 23, 991);
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
    try_with("styles/fairlead.yaml", "heavier-calf", DEMO_LOFT, 5, 103);
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

static void drawn_lines(void **state)
{
    (void)state;
    try_lines("tests/fixtures/drawn.yaml", "untyped", DEMO_HARBOUR, 1);
    try_lines("styles/skerry.yaml", NULL, DEMO_HARBOUR, demo_stride(3, 41));
    try_lines("styles/skerry.yaml", "turned", DEMO_LOFT, demo_stride(5, 43));
}

static void whole_run_as_written(void **state)
{
    (void)state;
    try_all_sizes("styles/skerry.yaml", NULL, 97, 787);
}

static void whole_run_turned(void **state)
{
    (void)state;
    try_all_sizes("styles/skerry.yaml", "turned", 101, 797);
}

static void spoilt_styles(void **state)
{
    (void)state;
    try_spoilt("styles/fairlead.yaml", NULL, 11, 5, 211);
    try_spoilt("styles/pebble.yaml", NULL, 12, 7, 223);
    try_spoilt("styles/skerry.yaml", NULL, 13, 29, 919);
    try_spoilt("styles/skerry.yaml", "turned", 14, 31, 929);
}

static void machines(void **state)
{
    (void)state;
    size_t stride = demo_stride(3, 37);
    try_shop("styles/skerry.yaml", "turned", DEMO_LOFT, 0, stride);
    try_shop("styles/skerry.yaml", NULL, DEMO_HARBOUR, 15, stride);
    try_shop("styles/fairlead.yaml", "heavier-calf", DEMO_LOFT, 16, stride);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(skerry_as_written_at_harbour),
        cmocka_unit_test(skerry_turned_at_harbour),
        cmocka_unit_test(skerry_overlay_at_harbour),
        cmocka_unit_test(skerry_rounded_at_harbour),
        cmocka_unit_test(skerry_turned_at_loft),
        cmocka_unit_test(skerry_turned_nowhere),
        cmocka_unit_test(fairlead_at_harbour),
        cmocka_unit_test(fairlead_heavier_at_loft),
        cmocka_unit_test(fairlead_nowhere),
        cmocka_unit_test(pebble_at_harbour),
        cmocka_unit_test(pebble_at_loft),
        cmocka_unit_test(pebble_nowhere),
        cmocka_unit_test(drawn_lines),
        cmocka_unit_test(whole_run_as_written),
        cmocka_unit_test(whole_run_turned),
        cmocka_unit_test(spoilt_styles),
        cmocka_unit_test(machines),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

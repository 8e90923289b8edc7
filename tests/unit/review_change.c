/* Changing typed values: steps in their own unit, what is refused and leaves all as it
 * was, groups, lists, saving, and five hundred steps there and back. */
#include <stdio.h>
#include <unistd.h>

#include "base/file.h"
#include "review_kit.h"
#include "scratch.h"

#if defined(__has_include)
#if __has_include(<valgrind/valgrind.h>)
#include <valgrind/valgrind.h>
#endif
#endif
#ifndef RUNNING_ON_VALGRIND
#define RUNNING_ON_VALGRIND 0
#endif

#define CALF "materials.tarn-calf.thickness"

static Choice choice_of(const char *path, FieldId field, const char *text)
{
    return (Choice){.path = path, .field = field_at(field), .text = text, .name = path};
}

/* The text after a step from `text`, which is set first. */
static const char *stepped(Review *review, Arena *arena, const char *path, FieldId field,
                           const char *text, int steps)
{
    kit_set(review, path, text);
    Choice choice = choice_of(path, field, text);
    Text problem = {0};
    if (!review_step(review, &choice, steps, &problem))
        fail_msg("%s is not stepped: %s", text, text_string(&problem));
    const Changed *changed;
    size_t count = review_changed(review, &changed);
    const char *after = "as in the file";
    for (size_t i = 0; i < count; i++)
        if (strcmp(changed[i].path, path) == 0)
            after = arena_copy(arena, changed[i].after, strlen(changed[i].after));
    return after;
}

static void test_steps_keep_unit_and_tolerance(void **state)
{
    (void)state;
    static const struct {
        const char *path;
        FieldId field;
        const char *from;
        int steps;
        const char *to;
    } cases[] = {
        {"parts.leg-lat.edges.topline.left", EDGE_LEFT, "4 ± 0.2 mm", 1, "4.5 ± 0.2 mm"},
        {"parts.leg-lat.edges.topline.left", EDGE_LEFT, "4 ± 0.2 mm", -3, "2.5 ± 0.2 mm"},
        {"parts.leg-lat.edges.topline.left", EDGE_LEFT, "4 +0.3 -0.1 mm", 2, "5 +0.3 -0.1 mm"},
        {"parts.leg-lat.edges.topline.left", EDGE_LEFT, "exactly 4.5 mm", 1, "exactly 5 mm"},
        {"parts.leg-lat.edges.topline.left", EDGE_LEFT, "0.4 cm", 1, "0.45 cm"},
        {"parts.leg-lat.edges.topline.left", EDGE_LEFT, "3/16 in", 1, "4/16 in"},
        {"parts.leg-lat.edges.topline.left", EDGE_LEFT, "0.2 in", 1, "0.22 in"},
        {"parts.leg-lat.edges.topline.length", EDGE_LENGTH, "4 1/2 in", 1, "4 9/16 in"},
        {CALF, MATERIAL_THICKNESS, "1.3..1.5 mm", 1, "1.4..1.6 mm"},
        {CALF, MATERIAL_THICKNESS, "3 oz", 1, "3.2 oz"},
        {"materials.tarn-calf.heat_limit", MATERIAL_HEAT_LIMIT, "95 °C ± 5 K", 1, "96 °C ± 5 K"},
        {"materials.tarn-calf.breaks_at", MATERIAL_BREAKS_AT, "50 %", 1, "51 %"},
        {"seams.wing.rows.1.thread", ROW_THREAD, "tex 60", 1, "tex 65"},
        {"seams.wing.rows.1.needle", ROW_NEEDLE, "100 Nm", -2, "80 Nm"},
        {"seams.wing.rows.1.pitch", ROW_PITCH, "10 /in", 1, "10.5 /in"},
        {"seams.wing.rows.1.pitch", ROW_PITCH, "4 /cm", 1, "4.2 /cm"},
        {"seams.wing.rows.1.pitch", ROW_PITCH, "2.5 mm", 1, "2.6 mm"},
        {"holes.eyelets.number.6..8", HOLE_NUMBER, "5", 1, "6"},
        {"parts.leg-lat.edges.topline.bends.1.turn", BEND_TURN, "40 deg", 1, "41 deg"},
        {"seams.back-seam.spots.1.at", SPOT_AT, "4 mm", 1, "as in the file"},
        {CALF, MATERIAL_THICKNESS, "3.3 oz", 1, "as in the file"},
    };
    Arena arena = {0};
    Review *review = kit_open(FAIRLEAD, NULL, HARBOUR);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        assert_string_equal(
            stepped(review, &arena, cases[i].path, cases[i].field, cases[i].from, cases[i].steps),
            cases[i].to);
    review_close(review);
    arena_free(&arena);
}

static void assert_no_step(Review *review, const Choice *choice, int steps, const char *reason)
{
    uint64_t before = kit_digest(review);
    Text problem = {0};
    assert_false(review_step(review, choice, steps, &problem));
    if (!strstr(text_string(&problem), reason))
        fail_msg("refused with: %s", text_string(&problem));
    assert_int_equal(kit_digest(review), before);
    assert_int_equal(kit_changed(review), 0);
    text_free(&problem);
}

static void test_steps_refused_and_words(void **state)
{
    (void)state;
    Review *review = kit_open(FAIRLEAD, NULL, HARBOUR);
    Choice calf = choice_of(CALF, MATERIAL_THICKNESS, "3.5 oz");
    assert_no_step(review, &calf, -100, "must be at least 0.05 mm");
    Choice unknown = choice_of("materials.puff-board.breaks_at", MATERIAL_BREAKS_AT, "unknown");
    assert_no_step(review, &unknown, 1, "type a value first");
    Choice absent = choice_of("parts.vamp.edges.wing.left", EDGE_LEFT, "");
    assert_no_step(review, &absent, 1, "not written");
    Choice zone = choice_of("seams.wing.zone", SEAM_ZONE, "instep");
    zone.options = field_at(SEAM_ZONE)->words->words;
    zone.option_count = field_at(SEAM_ZONE)->words->count;
    Text problem = {0};
    const Changed *changed;
    int around = (int)zone.option_count;
    assert_true(review_step(review, &zone, around, &problem)); /* once round: no step */
    assert_int_equal(kit_changed(review), 0);
    assert_true(review_step(review, &zone, around - 1, &problem));
    assert_int_equal(review_changed(review, &changed), 1);
    assert_string_equal(changed[0].after, "ball");
    text_free(&problem);
    review_close(review);
}

static void test_what_is_refused_changes_nothing(void **state)
{
    (void)state;
    static const struct {
        const char *path, *value, *reason;
    } cases[] = {
        {CALF, "4 mm}, evil: {", ""},
        {CALF, "4 mm, evil: 3", "expected"},
        {CALF, "evil: 3", ""},
        {CALF, "4 mm\nevil: 3", "control"},
        {CALF, "4 mm\tevil", "control"},
        {CALF, "4\x1b[31m mm", "control"},
        {CALF, "4 mm\xe2\x80\xae", "hidden"},
        {CALF, "4 mm\xff", "UTF-8"},
        {CALF, "&a 4 mm", "anchors"},
        {CALF, "*a", "aliases"},
        {CALF, "!!str 4 mm", "tags"},
        {CALF, "<<: *a", ""},
        {CALF, "--- 4 mm", ""},
        {CALF, "%YAML 1.1", ""},
        {CALF, "- 4 mm", ""},
        {CALF, "4 mm # thick", ""},
        {CALF, "4,5 mm", "4.5"},
        {CALF, "", "missing"},
        {CALF, "   ", "missing"},
        {CALF, "?", "write unknown"},
        {CALF, "~", "write a length"},
        {CALF, "4", "4 mm"},
        {CALF, "4 kg", "thickness"},
        {CALF, "99 mm", "at most 30 mm"},
        {CALF, "[4 mm]", "list"},
        {CALF, "{a: 4 mm}", "mapping"},
        {CALF, "[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[", "deep"},
        {"parts.leg-lat.edges.topline.finish", "fold", "did you mean folded?"},
        {"parts.vamp.material", "tarn-calff", "did you mean tarn-calf?"},
        {"parts.vamp.matrial", "tarn-calf", "did you mean material?"},
        {"parts.vmp.material", "tarn-calf", "did you mean vamp?"},
        {"parts.leg-lat.edges.topline.bends.7.radius", "4 mm", "list of 1"},
        {"parts.leg-lat.edges.topline.bends.1.at", "500 mm", "past the end"},
        {"parts.leg-med.edges.topline.left", "4 mm", "it mirrors leg-lat"},
        {"parts.vamp.edges.wing", NULL, "wing"},
        {"parts", NULL, "part"},
        {"cordwain", "style/2", "cannot be changed this way"},
        {"alternatives.heavier-calf", NULL, "cannot be changed this way"},
        {"", "4 mm", ""},
        {"nowhere.at.all", NULL, "nowhere"},
        {"parts.vamp.edges.a b", "{finish: raw}", "blank"},
        {"order", "[wing, wing]", "twice"},
    };
    Review *review = kit_open(FAIRLEAD, NULL, HARBOUR);
    kit_set(review, "parts.leg-lat.edges.topline.left", "4 mm");
    uint64_t before = kit_digest(review);
    const Judgement *judgement = review_judgement(review);
    const Comparison *comparison = review_comparison(review);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        kit_refused(review, cases[i].path, cases[i].value, cases[i].reason);
        assert_ptr_equal(review_judgement(review), judgement);
        assert_ptr_equal(review_comparison(review), comparison);
        assert_int_equal(kit_changed(review), 1);
    }
    assert_int_equal(kit_digest(review), before);
    review_close(review);
}

/* The place is told only where it is not in what was typed. */
static void test_reasons_without_noise(void **state)
{
    (void)state;
    Review *review = kit_open(FAIRLEAD, NULL, HARBOUR);
    Text problem = {0};
    assert_false(review_set(review, "parts.leg-lat.edges.topline.finish", "fold", &problem));
    static const char fold[] = "finish is fold; did you mean folded?"; /* and what it may be */
    assert_int_equal(strncmp(text_string(&problem), fold, sizeof fold - 1), 0);
    assert_null(strstr(text_string(&problem), FAIRLEAD));
    text_clear(&problem);
    assert_false(review_set(review, "parts.leg-lat.edges.topline.length", "20 mm", &problem));
    assert_non_null(strstr(text_string(&problem), "past the end of the edge"));
    assert_non_null(strstr(text_string(&problem), "styles/fairlead.yaml:"));
    assert_null(strstr(text_string(&problem), "changed here"));
    text_free(&problem);
    review_close(review);
}

static void test_back_to_the_file_is_no_change(void **state)
{
    (void)state;
    Review *review = kit_open(FAIRLEAD, NULL, HARBOUR);
    uint64_t start = kit_digest(review);
    kit_set(review, CALF, "3.5 oz");
    kit_set(review, CALF, "3.50 oz");
    kit_set(review, "parts.vamp.edges.wing.left", NULL); /* absent already */
    assert_false(review_undo(review));
    kit_set(review, CALF, "4 oz");
    kit_set(review, CALF, "5 oz");
    assert_int_equal(kit_changed(review), 1);
    kit_set(review, CALF, "3.5 oz");
    assert_int_equal(kit_changed(review), 0);
    assert_int_equal(kit_digest(review), start);
    assert_true(review_undo(review)); /* a step all the same */
    assert_int_equal(kit_changed(review), 1);
    kit_set(review, CALF, "4.5 oz");
    assert_false(review_redo(review)); /* a new change ends what could be done again */
    review_close(review);
}

static void assert_changed(Review *review, const char *path, const char *before, const char *after)
{
    const Changed *changed;
    assert_int_equal(review_changed(review, &changed), 1);
    assert_string_equal(changed[0].path, path);
    assert_string_equal(changed[0].before ? changed[0].before : "none", before);
    assert_string_equal(changed[0].after ? changed[0].after : "none", after);
}

static void test_groups(void **state)
{
    (void)state;
    Review *review = kit_open(FAIRLEAD, NULL, HARBOUR);
    uint64_t start = kit_digest(review);
    kit_set(review, "parts.backstrap.edges.side.skive.width", "5 mm");
    assert_changed(review, "parts.backstrap.edges.side.skive", "none", "{width: 5 mm}");
    kit_set(review, "parts.backstrap.edges.side.skive.left", "0.6 mm");
    assert_changed(review, "parts.backstrap.edges.side.skive", "none",
                   "{width: 5 mm, left: 0.6 mm}");
    kit_set(review, "parts.backstrap.edges.side.skive.width", NULL);
    assert_changed(review, "parts.backstrap.edges.side.skive", "none", "{left: 0.6 mm}");
    kit_set(review, "parts.backstrap.edges.side.skive.left", NULL);
    assert_int_equal(kit_changed(review), 0);
    assert_int_equal(kit_digest(review), start);
    kit_set(review, "materials.puff-board.stretch.along", "3 %");
    assert_changed(review, "materials.puff-board.stretch", "unknown",
                   "{along: 3 %, across: unknown}");
    kit_set(review, "materials.puff-board.stretch", "unknown");
    assert_int_equal(kit_changed(review), 0);
    review_close(review);
}

static void test_lists(void **state)
{
    (void)state;
    Review *review = kit_open(FAIRLEAD, NULL, HARBOUR);
    uint64_t start = kit_digest(review);
    kit_set(review, "seams.wing.rows.2.pitch", "3 mm");
    kit_set(review, "seams.wing.rows.1", NULL);
    kit_set(review, "seams.wing.rows.1.pitch", "4 mm"); /* what was the second */
    const Changed *changed;
    review_changed(review, &changed);
    assert_true(review_undo(review) && review_undo(review) && review_undo(review));
    assert_int_equal(kit_digest(review), start);
    kit_set(review, "parts.vamp-lining.edges.wing.bends.1",
            "{curve: inward, radius: 30 mm, turn: 90 deg, at: 60 mm}");
    assert_int_equal(kit_changed(review), 1);
    kit_set(review, "parts.vamp-lining.edges.wing.bends.1", NULL);
    assert_int_equal(kit_changed(review), 0);
    review_close(review);
}

/* Choices of a typed line and of a typed spot. */
static void test_typed_choices(void **state)
{
    (void)state;
    Arena arena = {0};
    Review *review = kit_open(FAIRLEAD, NULL, HARBOUR);
    const Finding *finding = kit_finding(review, "stack-foot", "row wing.1");
    const Choice *times = kit_choice(review, finding, &arena, "seams.wing.spots.2.plies.1.times");
    assert_non_null(times);
    assert_string_equal(times->text, "2");
    const Choice *calf = kit_choice(review, finding, &arena, CALF);
    assert_non_null(calf);
    assert_string_equal(calf->text, "3.5 oz");
    assert_non_null(kit_choice(review, finding, &arena, "seams.wing.machine"));
    Text problem = {0};
    assert_true(review_step(review, times, 18, &problem));
    assert_string_equal(kit_difference(review, "stack-foot", "row wing.1"), "newly flagged");
    text_free(&problem);
    review_close(review);
    arena_free(&arena);
}

/* ---- There and back ---- */

static uint32_t next_random(uint32_t *seed)
{
    *seed = *seed * 1664525u + 1013904223u;
    return *seed >> 8;
}

static size_t random_size(uint32_t *seed, size_t below)
{
    return next_random(seed) % below;
}

/* One thing that people do; true if it was a step. */
static bool do_something(Review *review, uint32_t *seed)
{
    static const char *const alternatives[] = {NULL, "heavier-calf"};
    static const char *const factories[] = {HARBOUR, LOFT, NULL};
    static const char *const values[] = {"unknown", "3 mm", "2 ± 0.1 mm", "raw", "true", NULL, "5"};
    Arena arena = {0};
    Text problem = {0};
    const Judgement *before = review_judgement(review), *j = before;
    const Finding *finding = &j->findings[random_size(seed, j->count)];
    Choice *choices;
    size_t count = review_choices(review, finding, &arena, &choices);
    size_t what = random_size(seed, 40);
    if (what == 0)
        review_take_alternative(review, alternatives[random_size(seed, 2)], &problem);
    else if (what == 1)
        review_take_factory(review, factories[random_size(seed, 3)], &problem);
    else if (what == 2)
        review_drop(review);
    else if (count > 0 && what < 24)
        review_step(review, &choices[random_size(seed, count)], what % 2 ? 1 : -1, &problem);
    else if (count > 0)
        review_set(review, choices[random_size(seed, count)].path, values[random_size(seed, 7)],
                   &problem);
    text_free(&problem);
    arena_free(&arena);
    return review_judgement(review) != before;
}

static void test_there_and_back(void **state)
{
    (void)state;
    bool slow = RUNNING_ON_VALGRIND;
#ifdef __SANITIZE_ADDRESS__
    slow = true;
#endif
    size_t most = slow ? 60 : 500, depth = 0;
    uint64_t *digests = memory_new(most + 1, sizeof *digests);
    size_t *changed = memory_new(most + 1, sizeof *changed);
    uint32_t seed = 20;
    Review *review = kit_open(FAIRLEAD, NULL, HARBOUR);
    digests[0] = kit_digest(review);
    for (size_t tries = 0; depth < most && tries < 20 * most; tries++)
        if (do_something(review, &seed)) {
            digests[++depth] = kit_digest(review);
            changed[depth] = kit_changed(review);
        } else {
            assert_int_equal(kit_digest(review), digests[depth]);
        }
    assert_int_equal(depth, most);
    for (; depth > 0; depth--) {
        assert_int_equal(kit_digest(review), digests[depth]);
        assert_int_equal(kit_changed(review), changed[depth]);
        assert_true(review_undo(review));
    }
    assert_int_equal(kit_digest(review), digests[0]);
    assert_int_equal(kit_changed(review), 0);
    assert_false(review_undo(review));
    while (review_redo(review))
        assert_int_equal(kit_digest(review), digests[++depth]);
    assert_int_equal(depth, most);
    free(changed);
    free(digests);
    review_close(review);
}

/* ---- Saving ---- */

static void write_style(const char *path, const char *thickness)
{
    Arena arena = {0};
    Messages messages = {0};
    char *bytes;
    size_t length;
    assert_true(file_read(&arena, FAIRLEAD, 1 << 20, &messages, &bytes, &length));
    const char *old = strstr(bytes, "3.5 oz");
    assert_non_null(old);
    const char *text = arena_printf(&arena, "%.*s%s%s", (int)(old - bytes), bytes, thickness,
                                    old + strlen("3.5 oz"));
    assert_true(file_replace(path, text, strlen(text), &messages));
    messages_free(&messages);
    arena_free(&arena);
}

static void test_saved(void **state)
{
    (void)state;
    char path[SCRATCH_LENGTH];
    scratch_write(path, "", 0);
    write_style(path, "3.5 oz");
    Messages messages = {0};
    Review *review = kit_open(path, NULL, HARBOUR);
    uint64_t start = kit_digest(review);
    kit_set(review, CALF, "4 oz");
    uint64_t thicker = kit_digest(review);
    write_style(path, "nonsense");
    assert_false(review_saved(review, &messages));
    assert_int_equal(kit_changed(review), 1);
    messages_free(&messages);
    write_style(path, "4 oz");
    assert_true(review_saved(review, &messages));
    assert_int_equal(kit_changed(review), 0);
    assert_int_equal(kit_digest(review), thicker);
    kit_set(review, CALF, "4.5 oz");
    assert_changed(review, CALF, "4 oz", "4.5 oz");
    assert_true(review_undo(review));
    assert_int_equal(kit_changed(review), 0);
    assert_true(review_undo(review)); /* past the saving */
    assert_int_equal(kit_digest(review), start);
    assert_changed(review, CALF, "4 oz", "3.5 oz");
    assert_true(review_drop(review)); /* back to what is on the disk */
    assert_int_equal(kit_digest(review), thicker);
    assert_int_equal(kit_changed(review), 0);
    messages_free(&messages);
    review_close(review);
    assert_int_equal(unlink(path), 0);
}

/* Two values written into the style's own text, and on from there. */
static void test_save(void **state)
{
    (void)state;
    char path[SCRATCH_LENGTH];
    scratch_write(path, "", 0);
    write_style(path, "3.5 oz");
    Arena arena = {0};
    Messages messages = {0};
    Review *review = kit_open(path, "heavier-calf", HARBOUR);
    uint64_t start = kit_digest(review);
    assert_int_equal(review_save(review, &messages), FILE_SAVED); /* nothing to save */
    kit_set(review, CALF, "4 oz");
    kit_set(review, "parts.leg-lat.edges.topline.left", "4 ± 0.2 mm");
    kit_set(review, "parts.backstrap.edges.side.skive.width", "5 mm");
    uint64_t changed = kit_digest(review);
    assert_int_equal(review_save(review, &messages), FILE_SAVED);
    assert_int_equal(kit_changed(review), 0);
    assert_int_equal(kit_digest(review), changed);
    char *bytes;
    size_t length;
    assert_true(file_read(&arena, path, 1 << 20, &messages, &bytes, &length));
    assert_non_null(strstr(bytes, "thickness: 3.5 oz"));
    assert_non_null(strstr(bytes, "materials.tarn-calf.thickness: 4 oz"));
    assert_non_null(strstr(bytes, "left: 4 ± 0.2 mm"));
    assert_non_null(strstr(bytes, "skive: {width: 5 mm}"));
    for (int i = 0; i < 3; i++)
        assert_true(review_undo(review));
    assert_int_equal(kit_digest(review), start);
    assert_int_equal(kit_changed(review), 3);
    messages_free(&messages);
    review_close(review);
    arena_free(&arena);
    assert_int_equal(unlink(path), 0);
}

static void test_opening_what_is_wrong(void **state)
{
    (void)state;
    const char *rules[] = {"rules/base/none.yaml"};
    ReviewFiles files = {.style = FAIRLEAD, .rules = rules, .rule_count = 1};
    Messages messages = {0};
    assert_null(review_open(&files, &messages));
    assert_true(messages.errors > 0);
    messages_free(&messages);
    files = (ReviewFiles){.style = "styles/none.yaml"};
    assert_null(review_open(&files, &messages));
    assert_true(messages.errors > 0);
    messages_free(&messages);
    files = (ReviewFiles){.style = FAIRLEAD, .alternative = "none"};
    assert_null(review_open(&files, &messages));
    assert_true(messages.errors > 0);
    messages_free(&messages);
}

/* A stage that was asked for holds, and is nothing to save. */
static void test_stage(void **state)
{
    (void)state;
    Arena arena = {0};
    Messages messages = {0};
    ReviewFiles files = {.style = FAIRLEAD, .stage = "production", .alternative = "as-written"};
    assert_true(rules_in_folder(&arena, "rules/base", &files.rules, &files.rule_count, &messages));
    Review *review = review_open(&files, &messages);
    assert_non_null(review);
    assert_null(review_files(review)->alternative);
    const Record *style = review_judgement(review)->style->lists[SUBJECT_STYLE].items[0];
    const char *stage =
        field_at(STYLE_STAGE)->words->words[(int)record_value(style, STYLE_STAGE)->code];
    assert_string_equal(stage, "production");
    assert_int_equal(kit_changed(review), 0);
    kit_set(review, CALF, "4 oz");
    assert_int_equal(kit_changed(review), 1);
    review_close(review);
    messages_free(&messages);
    arena_free(&arena);
}

/* What was made better and worse by somebody else is told as after a change made here. */
static void test_read_again(void **state)
{
    (void)state;
    char path[SCRATCH_LENGTH];
    scratch_write(path, "", 0);
    write_style(path, "3.5 oz");
    Messages messages = {0};
    Review *review = kit_open(path, NULL, HARBOUR);
    kit_set(review, "parts.leg-lat.edges.topline.left", "3 mm");
    write_style(path, "nonsense");
    uint64_t before = kit_digest(review);
    assert_false(review_reread(review, &messages));
    assert_int_equal(kit_digest(review), before);
    assert_int_equal(kit_changed(review), 1);
    messages_free(&messages);
    write_style(path, "9 oz");
    assert_true(review_reread(review, &messages));
    assert_int_equal(kit_changed(review), 0);
    assert_true(review_comparison(review)->counts[DIFFERENCE_FLAGGED] > 0);
    assert_ptr_equal(review_comparison(review)->after, review_judgement(review));
    assert_true(review_reread(review, &messages));
    assert_int_equal(review_comparison(review)->count, 0);
    assert_true(review_undo(review)); /* before the change, over the file as it was */
    review_close(review);
    unlink(path);
}

static const char *from_of(const Review *review, Arena *arena, const Finding *finding,
                           const char *name)
{
    Reading *readings;
    const Judgement *judgement = review_judgement(review);
    size_t count = finding_readings(arena, judgement, finding,
                                    finding_worst_lane(judgement, finding), &readings);
    for (size_t i = 0; i < count; i++)
        if (strcmp(readings[i].name, name) == 0)
            return readings[i].from;
    return "";
}

/* A changed value says what it was and where that stands; it still stands there in the file. */
static void test_where_a_change_comes_from(void **state)
{
    (void)state;
    static const char *const path = "parts.vamp.edges.throat.left";
    Arena arena = {0};
    Review *review = kit_open(SKERRY, "turned", HARBOUR);
    const Finding *finding = kit_finding(review, "turn-left", "edge vamp.throat");
    Where was = kit_choice(review, finding, &arena, path)->at;
    assert_string_equal(was.file, SKERRY);
    assert_true(was.line > 1);
    kit_set(review, path, "3 mm");
    kit_set(review, path, "2.5 mm");
    finding = kit_finding(review, "turn-left", "edge vamp.throat");
    const char *from = from_of(review, &arena, finding, "left");
    const char *wanted = arena_printf(&arena, " at %s:%d:%d", SKERRY, was.line, was.column);
    assert_ptr_equal(strstr(from, "changed here, was "), from);
    assert_non_null(strstr(from, wanted));
    Where is = kit_choice(review, finding, &arena, path)->at;
    assert_string_equal(is.file, SKERRY);
    assert_int_equal(is.line, was.line);
    assert_int_equal(is.column, was.column);
    review_close(review);
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_steps_keep_unit_and_tolerance),
        cmocka_unit_test(test_steps_refused_and_words),
        cmocka_unit_test(test_what_is_refused_changes_nothing),
        cmocka_unit_test(test_reasons_without_noise),
        cmocka_unit_test(test_back_to_the_file_is_no_change),
        cmocka_unit_test(test_groups),
        cmocka_unit_test(test_lists),
        cmocka_unit_test(test_typed_choices),
        cmocka_unit_test(test_there_and_back),
        cmocka_unit_test(test_saved),
        cmocka_unit_test(test_read_again),
        cmocka_unit_test(test_where_a_change_comes_from),
        cmocka_unit_test(test_save),
        cmocka_unit_test(test_opening_what_is_wrong),
        cmocka_unit_test(test_stage),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

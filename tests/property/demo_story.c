/* What the big demo is there to show: lines that are harmless as raw overlays
 * cannot be built as turned edges, and can again once drawn rounder. */
#include <math.h>
#include <stdio.h>
#include <unistd.h>

#include "base/file.h"
#include "property/demo_support.h"
#include "scratch.h"

#define SKERRY "styles/skerry.yaml"

static const char *const alternatives[] = {"as-written", "overlay", "turned", "turned-rounded"};
enum { ALTERNATIVES = sizeof alternatives / sizeof *alternatives };

/* The style with one alternative at one factory. */
typedef struct Shown {
    Arena arena;
    Ground ground;
    Judged judged;
} Shown;

static Shown show(const char *alternative, const char *factory)
{
    Shown shown = {.ground = ground_open(factory)};
    YamlFile *file = demo_file(&shown.arena, SKERRY);
    shown.judged = demo_judge(file, alternative, &shown.ground);
    return shown;
}

static void shown_free(Shown *shown)
{
    judged_free(&shown->judged);
    ground_close(&shown->ground);
    arena_free(&shown->arena);
}

static bool is_turning(const Finding *finding)
{
    return strncmp(finding->rule->id, "turn-", strlen("turn-")) == 0;
}

static bool is_open(const Finding *finding)
{
    return finding->verdict == VERDICT_FLAG || finding->verdict == VERDICT_UNKNOWN ||
           finding->verdict == VERDICT_TIGHT;
}

static void name(const Finding *finding, const char *where)
{
    print_error("%s: %s at %s is %s\n", where, finding->rule->id, finding->place,
                verdict_name(finding->verdict));
}

static size_t count_rule(const Judgement *judgement, const char *rule, Verdict verdict)
{
    size_t count = 0;
    for (size_t i = 0; i < judgement->count; i++)
        count += strcmp(judgement->findings[i].rule->id, rule) == 0 &&
                 judgement->findings[i].verdict == verdict;
    return count;
}

/* ---- Counting from the columns ---- */

static bool is_word(const Columns *columns, FieldId id, int32_t record, const char *word)
{
    const Column *column = &columns->fields[id];
    int index = word_index(field_at(id)->words, word, strlen(word));
    assert_true(index >= 0);
    return record >= 0 && column->nominal[column_cell(column, (uint32_t)record, 0)] == index;
}

/* Raw edges that are looked at. */
static size_t raw_in_sight(const Columns *columns)
{
    size_t count = 0;
    for (int32_t i = 0; i < (int32_t)columns->count[SUBJECT_EDGE]; i++)
        count +=
            is_word(columns, EDGE_FINISH, i, "raw") && !is_word(columns, EDGE_SIGHT, i, "other");
    return count;
}

static int32_t seam_of_row(const Columns *columns, int32_t row)
{
    const Relation *seam = relation_find(SUBJECT_ROW, "seam", strlen("seam"));
    return column_one(&columns->ones[relation_index(seam)], row, 0);
}

/* A row shows where it is stitched on top, or joins plies that lie flat. */
static bool row_shows(const Columns *columns, int32_t row)
{
    int32_t seam = seam_of_row(columns, row);
    return is_word(columns, ROW_DOES, row, "topstitch") ||
           !(is_word(columns, SEAM_JOIN, seam, "turned") ||
             is_word(columns, SEAM_JOIN, seam, "closed"));
}

static size_t rows_in_sight(const Columns *columns)
{
    size_t count = 0;
    for (int32_t i = 0; i < (int32_t)columns->count[SUBJECT_ROW]; i++)
        count += row_shows(columns, i);
    return count;
}

static double heaviest_stack(const Columns *columns)
{
    const Column *stack = &columns->fields[ROW_STACK];
    double most = 0;
    for (uint32_t row = 0; row < columns->count[SUBJECT_ROW]; row++)
        for (uint32_t lane = 0; lane < columns->lane_count; lane++)
            most = fmax(most, stack->nominal[column_cell(stack, row, lane)]);
    return most;
}

/* ---- Tests ---- */

static void size_of_the_style(void **state)
{
    (void)state;
    for (size_t a = 0; a < ALTERNATIVES; a++) {
        Shown shown = show(alternatives[a], NULL);
        const Style *style = shown.judged.style;
        const char *const *sizes;
        const double *numbers;
        Arena arena = {0};
        assert_in_range(style->lists[SUBJECT_PART].count, 32, 35);
        assert_in_range(style->seam_count, 20, 30);
        assert_int_equal(style->colourway_count, 2);
        assert_int_equal(style_sizes(style, &arena, &numbers, &sizes), 11);
        assert_string_equal(sizes[0], "36");
        assert_string_equal(sizes[10], "46");
        assert_int_equal(shown.judged.judgement->lane_count, 22);
        arena_free(&arena);
        shown_free(&shown);
    }
}

static void overlay_has_nothing_to_turn(void **state)
{
    (void)state;
    Shown shown = show("overlay", DEMO_HARBOUR);
    const Judgement *judgement = shown.judged.judgement;
    size_t seen = 0, wrong = 0;
    for (size_t i = 0; i < judgement->count; i++) {
        if (!is_turning(&judgement->findings[i]))
            continue;
        seen++;
        if (judgement->findings[i].verdict != VERDICT_OUT) {
            name(&judgement->findings[i], "overlay");
            wrong++;
        }
    }
    assert_true(seen > 100);
    assert_int_equal(wrong, 0);
    shown_free(&shown);
}

static void overlay_raw_edges_pass(void **state)
{
    (void)state;
    static const char *const rules[] = {"row-edge", "row-edge-fraying", "row-gap", "lap-allowance"};
    Shown shown = show("overlay", DEMO_HARBOUR);
    const Judgement *judgement = shown.judged.judgement;
    size_t flags = 0;
    for (size_t r = 0; r < sizeof rules / sizeof *rules; r++) {
        for (size_t i = 0; i < judgement->count; i++) {
            const Finding *finding = &judgement->findings[i];
            if (strcmp(finding->rule->id, rules[r]) == 0 &&
                (finding->verdict == VERDICT_FLAG || finding->verdict == VERDICT_UNKNOWN)) {
                name(finding, "overlay");
                flags++;
            }
        }
    }
    assert_true(count_rule(judgement, "row-edge", VERDICT_PASS) > 10);
    assert_true(count_rule(judgement, "row-edge-fraying", VERDICT_PASS) > 0);
    assert_int_equal(flags, 0);
    shown_free(&shown);
}

static void turned_flags_few_causes(void **state)
{
    (void)state;
    Shown shown = show("turned", DEMO_HARBOUR);
    const Judgement *judgement = shown.judged.judgement;
    const Cause **met = memory_new(judgement->count, sizeof *met);
    size_t flags = 0, causes = 0;
    for (size_t i = 0; i < judgement->count; i++) {
        const Finding *finding = &judgement->findings[i];
        if (!is_turning(finding) || !is_open(finding))
            continue;
        flags += finding->verdict == VERDICT_FLAG;
        const Cause *cause = finding_cause(judgement, finding);
        size_t before = 0;
        while (before < causes && met[before] != cause)
            before++;
        met[before] = cause;
        causes += before == causes;
    }
    assert_in_range(causes, 1, 12);
    assert_true(flags >= causes / 2);
    free(met);
    shown_free(&shown);
}

static void rounded_turns(void **state)
{
    (void)state;
    Shown shown = show("turned-rounded", DEMO_HARBOUR);
    const Judgement *judgement = shown.judged.judgement;
    size_t open = 0, passes = 0;
    for (size_t i = 0; i < judgement->count; i++) {
        const Finding *finding = &judgement->findings[i];
        if (is_turning(finding) && is_open(finding)) {
            name(finding, "turned-rounded");
            open++;
        }
        passes += is_turning(finding) && finding->verdict == VERDICT_PASS;
    }
    assert_true(passes > 20);
    assert_int_equal(open, 0);
    shown_free(&shown);
}

static void factories_differ(void **state)
{
    (void)state;
    for (size_t a = 1; a < ALTERNATIVES; a++) {
        Shown harbour = show(alternatives[a], DEMO_HARBOUR),
              loft = show(alternatives[a], DEMO_LOFT);
        const size_t *one = harbour.judged.judgement->tally, *other = loft.judged.judgement->tally;
        bool differ = false;
        for (Verdict v = VERDICT_PASS; v <= VERDICT_FLAG; v++)
            differ |= one[v] != other[v];
        assert_true(differ);
        shown_free(&harbour);
        shown_free(&loft);
    }
}

static void turned_is_cleaner_and_thinner(void **state)
{
    (void)state;
    Shown overlay = show("overlay", DEMO_HARBOUR), turned = show("turned", DEMO_HARBOUR);
    const Columns *o = overlay.judged.judgement->columns, *t = turned.judged.judgement->columns;
    if (raw_in_sight(t) >= raw_in_sight(o))
        fail_msg("raw edges in sight: %zu turned, %zu overlay", raw_in_sight(t), raw_in_sight(o));
    if (rows_in_sight(t) >= rows_in_sight(o))
        fail_msg("rows in sight: %zu turned, %zu overlay", rows_in_sight(t), rows_in_sight(o));
    if (!(heaviest_stack(t) < heaviest_stack(o)))
        fail_msg("heaviest stack: %.3f mm turned, %.3f mm overlay", heaviest_stack(t),
                 heaviest_stack(o));
    shown_free(&overlay);
    shown_free(&turned);
}

static void counts_add_up(void **state)
{
    (void)state;
    static const char *const factories[] = {NULL, DEMO_HARBOUR, DEMO_LOFT};
    for (size_t a = 0; a < ALTERNATIVES; a++) {
        Shown shown = show(alternatives[a], factories[a % 3]);
        const Judgement *judgement = shown.judged.judgement;
        size_t places = 0, tally = 0, open = 0;
        for (size_t i = 0; i < judgement->rules->rule_count; i++)
            places += judgement->columns->count[judgement->rules->rules[i]->about];
        for (size_t v = 0; v < VERDICT_COUNT; v++)
            tally += judgement->tally[v];
        for (size_t i = 0; i < judgement->count; i++)
            open += is_open(&judgement->findings[i]);
        assert_int_equal(judgement->count, places);
        assert_int_equal(tally, places);
        assert_int_equal(open, judgement->tally[VERDICT_FLAG] + judgement->tally[VERDICT_UNKNOWN] +
                                   judgement->tally[VERDICT_TIGHT]);
        shown_free(&shown);
    }
}

/* ---- A factory that is not Harbour any more ---- */

typedef struct Altered {
    char path[SCRATCH_LENGTH];
    Shown shown;
} Altered;

/* Harbour's file with every `from` written as `to`; one line more at the end if
 * `extra` is given below `limits:`. */
static Altered alter(const char *from, const char *to, const char *alternative)
{
    Altered altered = {0};
    Arena arena = {0};
    Messages messages = {0};
    char *bytes;
    size_t length;
    assert_true(file_read(&arena, DEMO_HARBOUR, 1 << 20, &messages, &bytes, &length));
    FILE *out = scratch_file(altered.path);
    size_t replaced = 0;
    for (const char *at = bytes; *at;) {
        bool hit = strncmp(at, from, strlen(from)) == 0;
        assert_true(hit ? fputs(to, out) >= 0 : fputc(*at, out) != EOF);
        at += hit ? strlen(from) : 1;
        replaced += hit;
    }
    assert_int_equal(fclose(out), 0);
    assert_true(replaced > 0);
    messages_free(&messages);
    arena_free(&arena);
    altered.shown = show(alternative, altered.path);
    return altered;
}

static void altered_free(Altered *altered)
{
    assert_int_equal(unlink(altered->path), 0);
    shown_free(&altered->shown);
}

static int line_of(const char *path, const char *words)
{
    Arena arena = {0};
    Messages messages = {0};
    char *bytes;
    size_t length;
    assert_true(file_read(&arena, path, 1 << 20, &messages, &bytes, &length));
    const char *at = strstr(bytes, words);
    assert_non_null(at);
    int line = 1;
    for (const char *c = bytes; c < at; c++)
        line += *c == '\n';
    messages_free(&messages);
    arena_free(&arena);
    return line;
}

static void expect_change(const Altered *altered, const char *rule, const char *place,
                          const char *words)
{
    Shown before = show("turned", DEMO_HARBOUR);
    const Judgement *judgement = altered->shown.judged.judgement;
    const Finding *was = demo_finding(before.judged.judgement, rule, place);
    const Finding *is = demo_finding(judgement, rule, place);
    assert_non_null(was);
    assert_non_null(is);
    if (was->verdict != VERDICT_PASS || is->verdict != VERDICT_FLAG)
        fail_msg("%s at %s: %s, then %s", rule, place, verdict_name(was->verdict),
                 verdict_name(is->verdict));
    Text text = {0}, place_text = {0};
    explain_finding(&text, judgement, is, finding_worst_lane(judgement, is), 1000);
    text_addf(&place_text, "%s:%d", altered->path, line_of(altered->path, words));
    if (!strstr(text_string(&text), place_text.bytes))
        fail_msg("the explanation of %s at %s does not name %s:\n%s", rule, place, place_text.bytes,
                 text_string(&text));
    text_free(&text);
    text_free(&place_text);
    shown_free(&before);
}

static void lowered_machine_flags(void **state)
{
    (void)state;
    Altered altered = alter("stack_most: ", "stack_most: 0.", "turned");
    expect_change(&altered, "stack-foot", "row throat.1", "stack_most: 0.9");
    altered_free(&altered);
}

static void replaced_limit_flags(void **state)
{
    (void)state;
    Altered altered = alter("limits:\n",
                            "limits:\n  row_edge_least: {value: 3.9 mm, reason: stitches tore out, "
                            "basis: measured}\n",
                            "turned");
    expect_change(&altered, "row-edge", "row back-seam.1", "row_edge_least");
    altered_free(&altered);
}

/* ---- The bottom stays ---- */

static int32_t edge_called(const Columns *columns, const char *name)
{
    for (uint32_t edge = 0; edge < columns->count[SUBJECT_EDGE]; edge++)
        if (strcmp(columns->names[SUBJECT_EDGE][edge], name) == 0)
            return (int32_t)edge;
    return -1;
}

/* However the upper is built, the bottom it was made for stays: the same feather, the
 * same margins on it, and what the drawn lasted edges bring fits in length and in
 * thickness (common practice, no published source). */
static void bottom_stays(void **state)
{
    (void)state;
    Shown first = show("as-written", NULL);
    const Columns *one = first.judged.judgement->columns;
    for (size_t a = 1; a < ALTERNATIVES; a++) {
        Shown other = show(alternatives[a], NULL);
        const Judgement *judgement = other.judged.judgement;
        const Columns *two = judgement->columns;
        const Column *margin = &one->fields[EDGE_ALLOWANCE], *again = &two->fields[EDGE_ALLOWANCE];
        assert_true(two->fields[BOTTOM_KEPT].nominal[0] == 1);
        assert_true(two->fields[BOTTOM_FEATHER].nominal[0] ==
                    one->fields[BOTTOM_FEATHER].nominal[0]);
        size_t lasted = 0;
        for (uint32_t edge = 0; edge < one->count[SUBJECT_EDGE]; edge++) {
            if (!is_word(one, EDGE_FINISH, (int32_t)edge, "lasted"))
                continue;
            int32_t same = edge_called(two, one->names[SUBJECT_EDGE][edge]);
            lasted++;
            assert_true(same >= 0 && is_word(two, EDGE_FINISH, same, "lasted"));
            assert_true(margin->nominal[column_cell(margin, edge, 0)] ==
                        again->nominal[column_cell(again, (uint32_t)same, 0)]);
        }
        assert_true(lasted >= 8);
        const Finding *fits = demo_finding(judgement, "last-feather", "bottom SK-104");
        assert_true(fits && fits->verdict == VERDICT_PASS);
        for (size_t i = 0; i < judgement->count; i++)
            if (strcmp(judgement->findings[i].rule->id, "last-kept") == 0)
                assert_true(judgement->findings[i].verdict != VERDICT_FLAG &&
                            judgement->findings[i].verdict != VERDICT_UNKNOWN);
        shown_free(&other);
    }
    shown_free(&first);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(size_of_the_style),
        cmocka_unit_test(overlay_has_nothing_to_turn),
        cmocka_unit_test(overlay_raw_edges_pass),
        cmocka_unit_test(turned_flags_few_causes),
        cmocka_unit_test(rounded_turns),
        cmocka_unit_test(factories_differ),
        cmocka_unit_test(turned_is_cleaner_and_thinner),
        cmocka_unit_test(counts_add_up),
        cmocka_unit_test(lowered_machine_flags),
        cmocka_unit_test(replaced_limit_flags),
        cmocka_unit_test(bottom_stays),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

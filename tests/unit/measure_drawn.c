/* Rows, laps, folds, holes and feathers of small drawn styles against sums done by
 * hand. Every part lies on a sheet with x to the right and y down the page; an edge
 * runs with its part on the left, so that the top of a part runs from right to left. */
#include "unit/measure_reading.h"

static const char *const path = "tests/fixtures/measure-drawn.yaml";

enum { SMALLER, BASE, LARGER };

/* ---- Profiles ---- */

typedef struct Drawn {
    Reading reading;
    Measured *measured;
    Arena arena;
} Drawn;

static Drawn drawn_of(const char *alternative)
{
    Drawn drawn = {.reading = reading_of(path, alternative, NULL)};
    drawn.measured = measured_new(drawn.reading.style, NULL, &house_values);
    return drawn;
}

static void drawn_free(Drawn *drawn)
{
    arena_free(&drawn->arena);
    measured_free(drawn->measured);
    reading_free(&drawn->reading);
}

typedef struct Part3 {
    double from, to, first, last; /* mm along the row; stack at both ends */
} Part3;

static const RowProfile *profile_of(Drawn *drawn, const char *row)
{
    RowProfile *profile = ARENA_NEW(&drawn->arena, RowProfile, 1);
    const Record *record = record_find(&drawn->reading.style->lists[SUBJECT_ROW], row);
    assert_non_null(record);
    if (!measured_profile(drawn->measured, &drawn->arena, record, BASE, 0, profile))
        fail_msg("%s cannot be followed", row);
    return profile;
}

/* Stretches that meet the same stack are told together. */
static void assert_profile(Drawn *drawn, const char *row, const Part3 *parts, size_t count)
{
    const RowProfile *profile = profile_of(drawn, row);
    size_t i = 0;
    for (size_t k = 0; k < count; k++) {
        assert_true(i < profile->count);
        assert_near(profile->stretches[i].from, parts[k].from);
        assert_near(profile->stretches[i].stack_from, parts[k].first);
        while (i + 1 < profile->count && profile->stretches[i].to < parts[k].to - 1e-9)
            i++;
        assert_near(profile->stretches[i].stack_to, parts[k].last);
        assert_near(profile->stretches[i].to, parts[k].to);
        i++;
    }
    assert_int_equal(i, profile->count);
}

#define ASSERT_PROFILE(drawn, row, ...)                                                            \
    do {                                                                                           \
        const Part3 parts[] = {__VA_ARGS__};                                                       \
        assert_profile(drawn, row, parts, sizeof parts / sizeof parts[0]);                         \
    } while (0)

/* Nominal, in the base size. */
static double base_cell(const Reading *r, FieldId id, const char *name)
{
    return cell_side(r, id, name, BASE, NOMINAL);
}

static void assert_step(const Reading *r, const char *step, double rise, double apart)
{
    assert_near(base_cell(r, STEP_RISE, step), rise);
    assert_near(base_cell(r, STEP_APART, step), apart);
}

/* ---- Rows ---- */

/* 1 + 1, and the strap's 1 where it crosses, 10 to 20 mm down; 6 mm inside the over
 * edge is 3 mm from the underlay's cut edge, tapered over 4 mm from 0.2: 0.8. The
 * right-hand side of a part runs up the page, from 40 to 0. */
static void three_parts_cross(void **state)
{
    (void)state;
    Drawn d = drawn_of(NULL);
    ASSERT_PROFILE(&d, "lap.1", {0, 20, 2, 2}, {20, 30, 3, 3}, {30, 40, 2, 2});
    ASSERT_PROFILE(&d, "lap.2", {0, 20, 1.8, 1.8}, {20, 30, 2.8, 2.8}, {30, 40, 1.8, 1.8});
    assert_near(base_cell(&d.reading, ROW_STACK, "lap.1"), 3);
    assert_near(base_cell(&d.reading, ROW_STACK, "lap.2"), 2.8);
    assert_step(&d.reading, "lap.1 step 1", 1, 0);
    drawn_free(&d);
}

/* 54 mm is 2 mm short of the underlay, which begins at 56 and has 4 of its 9 mm. */
static void underlay_that_does_not_reach(void **state)
{
    (void)state;
    Drawn d = drawn_of(NULL);
    ASSERT_PROFILE(&d, "short.1", {0, 40, 2, 2});
    ASSERT_PROFILE(&d, "short.2", {0, 40, 1, 1});
    assert_near(base_cell(&d.reading, SEAM_LAID, "short"), 1);
    assert_near(base_cell(&d.reading, SEAM_OVERLAP, "short"), 4);
    assert_near(base_cell(&d.reading, SEAM_COMPARED, "short"), 0);
    drawn_free(&d);
}

/* The seam row meets both once, the topstitch both twice: 2 x (1 + 0.5). */
static void turned_pair_on_two_sheets(void **state)
{
    (void)state;
    Drawn d = drawn_of(NULL);
    const double quarter = 1.57079632679489662;
    ASSERT_PROFILE(&d, "turned.1", {0, profile_of(&d, "turned.1")->length, 1.5, 1.5});
    ASSERT_PROFILE(&d, "turned.2", {0, profile_of(&d, "turned.2")->length, 3, 3});
    /* 60 + 10 and 56 + 12 quarter turns */
    double misfit = 60 + 10 * quarter - (56 + 12 * quarter);
    assert_true(fabs(base_cell(&d.reading, SEAM_MISFIT, "turned") - misfit) < 0.02);
    assert_near(base_cell(&d.reading, SEAM_COMPARED, "turned"), 1);
    assert_near(base_cell(&d.reading, BEND_PAIRED, "shell.turn.1"), 1);
    assert_near(base_cell(&d.reading, BEND_PAIR_OFF, "shell.turn.1"), 2);
    assert_near(base_cell(&d.reading, BEND_PAIR_OFF, "lining.turn.1"), 2);
    /* held: the same in every size */
    for (uint32_t lane = SMALLER; lane <= LARGER; lane++)
        assert_near(cell_side(&d.reading, BEND_PAIR_OFF, "shell.turn.1", lane, NOMINAL), 2);
    drawn_free(&d);
}

/* Both allowances lie back 3 mm on either side of x = 50; the row along the patch's
 * top runs from x = 80 to 20. */
static void closed_seam_rubbed_open(void **state)
{
    (void)state;
    Drawn d = drawn_of(NULL);
    ASSERT_PROFILE(&d, "closed.1", {0, 40, 2, 2});
    ASSERT_PROFILE(&d, "patch.1", {0, 27, 2, 2}, {27, 33, 3, 3}, {33, 60, 2, 2});
    assert_step(&d.reading, "patch.1 step 1", 1, 0);
    drawn_free(&d);
    /* sewn first, the patch meets nothing folded; what is not joined yet is not there, but
     * the allowance of the left part goes on 3 mm beyond the line */
    d = drawn_of("patch-first");
    ASSERT_PROFILE(&d, "patch.1", {0, 27, 1, 1}, {27, 60, 2, 2});
    drawn_free(&d);
}

/* The strap's 1; d mm inside the fold the layer itself is 0.4 + 0.6 (5 + d) / 8 until
 * d = 3, the folded one 0.4 + 0.6 (5 - d) / 8 until d = 5: together 1.55 to 3 mm in,
 * then down to 1.4. A row along a bottom edge runs from left to right. */
static void folded_edge_with_a_taper(void **state)
{
    (void)state;
    Drawn d = drawn_of(NULL);
    ASSERT_PROFILE(&d, "to-taper.1", {0, 35, 2, 2}, {35, 37, 2.4, 2.55}, {37, 40, 2.55, 2.55});
    assert_near(base_cell(&d.reading, ROW_STACK, "to-taper.1"), 2.55);
    /* the raw edge of the fold, and that with the taper behind it */
    assert_step(&d.reading, "to-taper.1 step 1", 0.4, 0);
    assert_step(&d.reading, "to-taper.1 step 2", 0.55, 2);
    drawn_free(&d);
}

/* Thinned to 0.4 up to 8 mm from the raw edge, which lies 5 mm inside: 0.4 + 0.4 up
 * to 3 mm, 1 + 0.4 up to 5. */
static void folded_edge_with_a_step(void **state)
{
    (void)state;
    Drawn d = drawn_of(NULL);
    ASSERT_PROFILE(&d, "to-step.1", {0, 35, 2, 2}, {35, 37, 2.4, 2.4}, {37, 40, 1.8, 1.8});
    assert_step(&d.reading, "to-step.1 step 1", 0.6, 0);
    drawn_free(&d);
}

/* The backing stops 20 mm from the side; its row runs from x = 80 to 0. */
static void backing_with_insets(void **state)
{
    (void)state;
    Drawn d = drawn_of(NULL);
    ASSERT_PROFILE(&d, "band.1", {0, 60, 2.3, 2.3}, {60, 80, 2, 2});
    ASSERT_PROFILE(&d, "strip.1", {0, 60, 2, 2});
    /* the row at x = 13 and the end at x = 20; the end along the top begins there too */
    assert_near(base_cell(&d.reading, PART_ROW_CLEAR, "stay"), 7);
    assert_near(base_cell(&d.reading, PART_TOPLINE_CLEAR, "stay"), 10);
    assert_near(base_cell(&d.reading, PART_ROW_CLEAR, "plate-stay"), 0);
    drawn_free(&d);
}

/* 1 + tape 0.25 + binding 2 x 0.6 along the edge; a strip across it meets the binding
 * for 3 mm and the tape for 4. A left-hand side runs down the page. */
static void bound_edge_with_a_tape(void **state)
{
    (void)state;
    Drawn d = drawn_of(NULL);
    ASSERT_PROFILE(&d, "bound.1", {0, 60, 2.45, 2.45});
    ASSERT_PROFILE(&d, "stripe.1", {0, 3, 3.45, 3.45}, {3, 4, 2.25, 2.25}, {4, 40, 2, 2});
    assert_step(&d.reading, "stripe.1 step 1", 1.2, 0);
    assert_step(&d.reading, "stripe.1 step 2", 1.45, 1);
    drawn_free(&d);
}

/* From x = 60 to 40 the part is 4 mm deep, the row 6 mm inside. */
static void row_that_leaves_its_part(void **state)
{
    (void)state;
    Drawn d = drawn_of(NULL);
    ASSERT_PROFILE(&d, "narrow.1", {20, 60, 2, 2});
    drawn_free(&d);
}

/* The tab lies at the top of the mirrored half, and so at the beginning of the other
 * half's back, which runs down the page. */
static void mirrored_half(void **state)
{
    (void)state;
    Drawn d = drawn_of(NULL);
    ASSERT_PROFILE(&d, "halves.1", {0, 10, 3, 3}, {10, 40, 2, 2});
    assert_near(base_cell(&d.reading, SEAM_MISFIT, "halves"), 0);
    drawn_free(&d);
}

/* Straps lie 15 to 20 and 45 to 57 mm up the other edge. Up to the mark at 30 mm both go
 * alike, behind it 10 mm of the one with 30 of the other. */
static void matched_by_marks(void **state)
{
    (void)state;
    Drawn d = drawn_of(NULL);
    ASSERT_PROFILE(&d, "marked.1", {0, 15, 2, 2}, {15, 20, 3, 3}, {20, 35, 2, 2}, {35, 39, 3, 3},
                   {39, 40, 2, 2});
    /* mirrored, all runs the other way, and the marks count from the end */
    ASSERT_PROFILE(&d, "marked-med.1", {0, 1, 2, 2}, {1, 5, 3, 3}, {5, 20, 2, 2}, {20, 25, 3, 3},
                   {25, 40, 2, 2});
    assert_near(base_cell(&d.reading, ROW_STACK, "marked.1"), 3);
    drawn_free(&d);
    d = drawn_of("no-marks");
    ASSERT_PROFILE(&d, "marked.1", {0, 10, 2, 2}, {10, 40.0 / 3, 3, 3}, {40.0 / 3, 30, 2, 2},
                   {30, 38, 3, 3}, {38, 40, 2, 2});
    drawn_free(&d);
}

static void marks_that_are_not_known(void **state)
{
    (void)state;
    Drawn d = drawn_of("unknown-marks");
    assert_true(isnan(base_cell(&d.reading, ROW_STACK, "marked.1")));
    assert_true(isnan(base_cell(&d.reading, ROW_STACK, "marked-med.1")));
    drawn_free(&d);
    /* the other edge ends before the second */
    d = drawn_of("marks-too-far");
    assert_true(isnan(base_cell(&d.reading, ROW_STACK, "marked.1")));
    drawn_free(&d);
}

/* ---- Laps, holes, feathers ---- */

/* The lap line is stretched, the strip beyond it keeps its 9 mm. */
static void lap_keeps_its_width(void **state)
{
    (void)state;
    Drawn d = drawn_of(NULL);
    const double along = (280 + 20.0 / 3) / 280;
    for (uint32_t lane = SMALLER; lane <= LARGER; lane++)
        assert_near(cell_side(&d.reading, SEAM_OVERLAP, "lap", lane, NOMINAL), 9);
    const Lay *lay = measured_lay(d.measured, LARGER);
    const RecordList *edges = &d.reading.style->lists[SUBJECT_EDGE];
    const Record *cut = record_find(edges, "under.lap"), *over = record_find(edges, "over.front");
    assert_near(lay->of_edge[over->index]->line.points[0].x, 60 * along);
    assert_near(lay->of_edge[cut->index]->line.points[0].x, 60 * along - 9);
    /* and the edges beside it end where it does */
    const Record *beside = record_find(edges, "under.feather");
    assert_near(line_box(&lay->of_edge[beside->index]->line).least.x, 60 * along - 9);
    /* but what it is as long as grows like what is sewn to it: 69 mm stretched */
    assert_near(cell_side(&d.reading, EDGE_LENGTH, "under.feather", LARGER, NOMINAL),
                rint(69 * along * 1000) / 1000);
    drawn_free(&d);
}

static void lap_of_an_unknown_join(void **state)
{
    (void)state;
    Drawn d = drawn_of("unknown-join");
    /* an underlay or not: nobody knows how it grows */
    const Record *under = record_find(&d.reading.style->lists[SUBJECT_PART], "under");
    assert_null(measured_lay(d.measured, LARGER)->of_part[under->index]);
    assert_non_null(measured_lay(d.measured, BASE)->of_part[under->index]);
    assert_true(isnan(base_cell(&d.reading, ROW_STACK, "lap.1")));
    assert_true(isnan(base_cell(&d.reading, SEAM_OVERLAP, "lap")));
    assert_true(isnan(cell_side(&d.reading, SEAM_MISFIT, "lap", BASE, LO)));
    assert_true(isnan(cell_side(&d.reading, BOTTOM_LASTED, "", LARGER, NOMINAL)));
    drawn_free(&d);
}

/* Centres 8 mm in, 10, 26, 42 and 58 mm down a side of 60: the last is 2 mm from the
 * bottom, its rim on it. A fifth hole lies 14 mm below. The row runs 5 mm beside. */
static void holes_that_run_off(void **state)
{
    (void)state;
    Drawn d = drawn_of(NULL);
    assert_near(base_cell(&d.reading, HOLE_CUT_CLEAR, "kept"), 0);
    assert_near(base_cell(&d.reading, HOLE_CUT_CLEAR, "lost"), -16);
    assert_near(base_cell(&d.reading, HOLE_ROW_CLEAR, "kept"), 3);
    assert_span(&d.reading, HOLE_ROW_CLEAR, "kept", BASE, 2.7, 3, 3.3);
    drawn_free(&d);
}

/* 4 mm from the top of the half that is drawn, and so from the axis on the other one: on
 * the row of the tab there, which lies 8 mm in as the hole does. */
static void holes_of_a_mirrored_part(void **state)
{
    (void)state;
    Drawn d = drawn_of(NULL);
    assert_near(base_cell(&d.reading, HOLE_CUT_CLEAR, "back-med"), 2);
    assert_near(base_cell(&d.reading, HOLE_ROW_CLEAR, "back-med"), -2);
    drawn_free(&d);
}

/* 60 and 69 mm with 9 of them on one another, and two of 50 end to end. */
static void lasted_edges(void **state)
{
    (void)state;
    Drawn d = drawn_of(NULL);
    assert_near(base_cell(&d.reading, BOTTOM_LASTED, ""), 60 + 69 - 9 + 50 + 50);
    /* both parts of the lap; the allowances of the closed seam */
    assert_near(base_cell(&d.reading, EDGE_STACK, "over.feather"), 2);
    assert_near(base_cell(&d.reading, EDGE_STACK, "under.feather"), 2);
    assert_near(base_cell(&d.reading, EDGE_STACK, "left.feather"), 2);
    assert_true(isnan(base_cell(&d.reading, EDGE_STACK, "over.front")));
    drawn_free(&d);
}

/* ---- Chords ---- */

/* Of a bend that is sharp at one end only, on a page stretched by x and y. */
static double chord_share(double x, double y, uint32_t lane)
{
    Messages messages = {0};
    Arena arena = {0};
    const char *text = arena_printf(
        &arena,
        "cordwain: style/1\nname: One bend (invented)\ncode: B-1\n"
        "last: {code: L-1, length: 280 mm, girth: 250 mm}\n"
        "sizes: {system: paris-point, base: 42, from: 41, to: 43}\n"
        "sheets: {flat: {along: x}}\n"
        "materials: {calf: {kind: leather, thickness: 1 mm}}\n"
        "parts: {one: {role: upper, material: calf, sheet: flat, edges: {\n"
        "  turn: {path: 'M 0 0 C %.9f 0 %.9f %.9f %.9f %.9f', finish: turned, allowance: 4 mm, "
        "left: 3 mm, grade: scale},\n"
        "  rest: {path: 'M %.9f %.9f H 0 V 0', finish: raw, allowance: 0 mm}}}}\n",
        14 * x, 20 * x, 3 * y, 20 * x, 30 * y, 20 * x, 30 * y);
    YamlFile *file = yaml_read_bytes(&arena, "bend", text, strlen(text), false, &messages);
    Style *style = style_from_tree(file, NULL, NULL, 0, &messages);
    if (!style)
        messages_write(&messages, stderr);
    assert_non_null(style);
    const Record *bend = record_find(&style->lists[SUBJECT_BEND], "one.turn.1");
    assert_non_null(bend);
    Columns *columns = measure_style(style, NULL, &house_values);
    const Column *share = &columns->fields[BEND_CHORD_SHARE];
    double found = share->nominal[column_cell(share, bend->index, lane)];
    columns_free(columns);
    style_free(style);
    arena_free(&arena);
    messages_free(&messages);
    return found;
}

/* A size is a line drawn that much longer and wider. */
static void chords_in_every_size(void **state)
{
    (void)state;
    const double along = (280 + 20.0 / 3) / 280, across = 255.0 / 250;
    double base = chord_share(1, 1, BASE), larger = chord_share(1, 1, LARGER);
    assert_true(base > 1.03);
    assert_true(fabs(larger - base) > 1e-4);
    assert_true(fabs(larger - chord_share(along, across, BASE)) < 1e-4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(three_parts_cross),         cmocka_unit_test(underlay_that_does_not_reach),
        cmocka_unit_test(turned_pair_on_two_sheets), cmocka_unit_test(closed_seam_rubbed_open),
        cmocka_unit_test(folded_edge_with_a_taper),  cmocka_unit_test(folded_edge_with_a_step),
        cmocka_unit_test(backing_with_insets),       cmocka_unit_test(bound_edge_with_a_tape),
        cmocka_unit_test(row_that_leaves_its_part),  cmocka_unit_test(mirrored_half),
        cmocka_unit_test(matched_by_marks),          cmocka_unit_test(marks_that_are_not_known),
        cmocka_unit_test(lap_keeps_its_width),       cmocka_unit_test(lap_of_an_unknown_join),
        cmocka_unit_test(holes_that_run_off),        cmocka_unit_test(lasted_edges),
        cmocka_unit_test(holes_of_a_mirrored_part),  cmocka_unit_test(chords_in_every_size),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

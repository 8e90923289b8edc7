/* Proposed lines on the demo and on a pair of parts on two sheets. */
#include "property/demo_support.h"
#include "scratch.h"

#include <math.h>

#include "base/file.h"
#include "figure/picture_line.h"
#include "remedy/line.h"

/* ---- A style to propose for ---- */

typedef struct Case {
    Ground ground;
    Arena arena;
    YamlFile *file;
    Judged judged;
    RemedyGround remedy;
    Text why;
} Case;

static void open_case(Case *c, const char *path, const char *alternative)
{
    *c = (Case){.ground = ground_open(DEMO_HARBOUR)};
    c->file = demo_file(&c->arena, path);
    c->judged = demo_judge(c->file, alternative, &c->ground);
    c->remedy = (RemedyGround){
        .file = c->file, .alternative = alternative, .judgement = c->judged.judgement};
}

static void close_case(Case *c)
{
    text_free(&c->why);
    judged_free(&c->judged);
    arena_free(&c->arena);
    ground_close(&c->ground);
}

static const Record *named(const Case *c, Subject subject, const char *path)
{
    const Record *record = record_find(&c->judged.style->lists[subject], path);
    assert_non_null(record);
    return record;
}

static ProposedLine *propose(Case *c, const char *edge, double radius, double within)
{
    LineWish wish = {.place = named(c, SUBJECT_EDGE, edge),
                     .hollow = radius,
                     .rounded = radius,
                     .within = within};
    text_clear(&c->why);
    return proposed_line(&c->remedy, &wish, &c->why);
}

static ProposedLine *must_propose(Case *c, const char *edge, double radius)
{
    ProposedLine *proposed = propose(c, edge, radius, INFINITY);
    if (!proposed)
        fail_msg("%s: %s", edge, text_string(&c->why));
    return proposed;
}

static void refused(Case *c, const char *edge, double radius, double within, const char *words)
{
    assert_null(propose(c, edge, radius, within));
    if (!strstr(text_string(&c->why), words))
        fail_msg("%s: %s", edge, text_string(&c->why));
}

static bool says(const ProposedLine *proposed, const char *words)
{
    Text text = {0};
    proposed_say(&text, proposed);
    bool found = strstr(text_string(&text), words) != NULL;
    text_free(&text);
    return found;
}

/* ---- The demo ---- */

/* Every bend flagged as drawn, at edges whose ends let them be rounder. */
static void flagged_bends_clear(void **state)
{
    (void)state;
    static const char *const edges[] = {"vamp.cap-line", "quarter-lat.eyestay-line",
                                        "quarter-lat.saddle-line"};
    static const char *const partners[] = {"toe-cap.back", "eyestay-lat.outer", "saddle-lat.front"};
    Case c;
    open_case(&c, "styles/skerry.yaml", "turned");
    for (size_t i = 0; i < sizeof edges / sizeof *edges; i++) {
        ProposedLine *proposed = must_propose(&c, edges[i], 9);
        assert_true(proposed->was[VERDICT_FLAG] > 0);
        assert_int_equal(proposed->is[VERDICT_FLAG], 0);
        assert_int_equal(proposed->is[VERDICT_TIGHT], 0);
        assert_int_equal(proposed->is[VERDICT_UNKNOWN], 0);
        assert_int_equal(proposed->count, 2);
        assert_int_equal(proposed->stays_count, 0);
        assert_string_equal(proposed->changes[0].edge->path, edges[i]);
        assert_string_equal(proposed->changes[1].edge->path, partners[i]);
        assert_int_equal(proposed->changes[1].reason, LINE_IN_PLACE);
        assert_int_equal(proposed->comparison->counts[DIFFERENCE_FLAGGED], 0);
        assert_int_equal(proposed->comparison->counts[DIFFERENCE_UNKNOWN], 0);
        assert_true(proposed->judgement->tally[VERDICT_FLAG] <
                    c.judged.judgement->tally[VERDICT_FLAG]);
        assert_true(says(proposed, "cleared: "));
        proposed_free(proposed);
    }
    close_case(&c);
}

/* What one part gains the other, on the same line, loses. */
static void what_is_sewn_to_it_gets_the_same_line(void **state)
{
    (void)state;
    Case c;
    open_case(&c, "styles/skerry.yaml", "turned");
    ProposedLine *proposed = must_propose(&c, "toe-cap.back", 9);
    const LineChange *cap = &proposed->changes[0], *vamp = &proposed->changes[1];
    assert_string_equal(vamp->path, "parts.vamp.edges.cap-line.path");
    assert_true(fabs(cap->rounded.larger + vamp->rounded.larger) < 1e-9);
    assert_true(cap->rounded.larger < -1);
    assert_true(cap->rounded.rounded >= 9 && isinf(cap->rounded.hollow));
    assert_true(vamp->rounded.hollow >= 9 && isinf(vamp->rounded.rounded));
    assert_true(cap->rounded.deviation == vamp->rounded.deviation);
    proposed_free(proposed);
    close_case(&c);
}

/* A mirrored edge is changed where its line is drawn, and follows. */
static void mirrored_edges_follow(void **state)
{
    (void)state;
    Case c;
    open_case(&c, "styles/skerry.yaml", "turned");
    ProposedLine *proposed = must_propose(&c, "quarter-med.eyestay-line", 9);
    assert_string_equal(proposed->changes[0].edge->path, "quarter-lat.eyestay-line");
    assert_int_equal(proposed->count, 2);
    const RecordList *bends = &proposed->style->lists[SUBJECT_BEND];
    const Record *bend = record_find(bends, "quarter-med.eyestay-line.1");
    assert_non_null(bend);
    assert_true(record_value(bend, BEND_RADIUS)->quantity.nominal >= 9);
    proposed_free(proposed);
    close_case(&c);
}

static void the_least_radius_is_the_least(void **state)
{
    (void)state;
    Case c;
    open_case(&c, "styles/skerry.yaml", "turned");
    LineWish wish = {.place = named(&c, SUBJECT_EDGE, "vamp.cap-line"), .within = INFINITY};
    double radius = 0;
    ProposedLine *least = proposed_least(&c.remedy, &wish, &radius, &c.why);
    assert_non_null(least);
    assert_int_equal(least->is[VERDICT_FLAG] + least->is[VERDICT_TIGHT], 0);
    assert_true(radius > 5 && radius < 9);
    proposed_free(least);
    ProposedLine *less = must_propose(&c, "vamp.cap-line", radius - 0.1);
    assert_true(less->is[VERDICT_FLAG] + less->is[VERDICT_TIGHT] > 0);
    proposed_free(less);
    close_case(&c);
}

static void a_bend_alone_is_rounded(void **state)
{
    (void)state;
    Case c;
    open_case(&c, "styles/skerry.yaml", "turned");
    LineWish wish = {.place = named(&c, SUBJECT_BEND, "quarter-lat.saddle-line.2"),
                     .hollow = 100,
                     .within = 0.5};
    assert_null(proposed_line(&c.remedy, &wish, &c.why));
    wish.hollow = 7;
    text_clear(&c.why);
    ProposedLine *proposed = proposed_line(&c.remedy, &wish, &c.why);
    assert_non_null(proposed);
    assert_int_equal(proposed->changes[0].rounded.arc_count, 1);
    proposed_free(proposed);
    close_case(&c);
}

static void reasons_are_given(void **state)
{
    (void)state;
    Case c;
    open_case(&c, "styles/skerry.yaml", "turned");
    refused(&c, "vamp.throat", 9, INFINITY, "its two sides stand 9 mm apart");
    refused(&c, "vamp.cap-line", 9, 0.5, "0.5 mm are allowed; about 7");
    refused(&c, "vamp.cap-line", 4, INFINITY, "nothing need change");
    refused(&c, "vamp.cap-line", 900, INFINITY, "beyond the line's end");
    LineWish wish = {.place = named(&c, SUBJECT_PART, "vamp"), .hollow = 9, .within = INFINITY};
    text_clear(&c.why);
    assert_null(proposed_line(&c.remedy, &wish, &c.why));
    assert_string_equal(text_string(&c.why), "vamp is no edge whose line is drawn");
    close_case(&c);
}

/* ---- The drawing ---- */

static void copy_file(const char *folder, const char *name)
{
    Arena arena = {0};
    Messages messages = {0};
    char *bytes, path[SCRATCH_INSIDE];
    size_t length;
    snprintf(path, sizeof path, "styles/%s", name);
    assert_true(file_read(&arena, path, 1 << 20, &messages, &bytes, &length));
    snprintf(path, sizeof path, "%s/%s", folder, name);
    assert_true(file_create(path, bytes, length, &messages));
    messages_free(&messages);
    arena_free(&arena);
}

/* Written to a file that the style names last, the lines are the proposed ones and are
 * judged alike. */
static void the_drawing_reads_back(void **state)
{
    (void)state;
    char folder[SCRATCH_LENGTH], path[SCRATCH_INSIDE];
    Case c;
    Messages messages = {0};
    Text svg = {0};
    scratch_folder(folder);
    copy_file(folder, "skerry.yaml");
    copy_file(folder, "skerry.svg");
    copy_file(folder, "skerry-turned.svg");
    copy_file(folder, "skerry-rounded.svg");
    snprintf(path, sizeof path, "%s/skerry.yaml", folder);
    open_case(&c, path, "turned");
    ProposedLine *proposed = must_propose(&c, "vamp.cap-line", 9);
    proposed_drawing(&svg, proposed);
    snprintf(path, sizeof path, "%s/proposed.svg", folder);
    assert_true(file_create(path, svg.bytes, svg.length, &messages));
    static const char list[] = "[skerry.svg, skerry-turned.svg, proposed.svg]";
    YamlFile *value = yaml_read_bytes(&c.arena, "list", list, strlen(list), false, &messages);
    Patch patch = {"drawing", value->root, value->root};
    Style *style = style_from_tree(c.file, "turned", &patch, 1, &messages);
    if (!style)
        demo_stop(&messages, "the proposed drawing");
    Judgement *again = judge(style, c.ground.rules, c.ground.factory);
    assert_int_equal(again->count, proposed->judgement->count);
    for (size_t i = 0; i < again->count; i++) {
        const Finding *one = &again->findings[i];
        const Finding *other = demo_finding(proposed->judgement, one->rule->id, one->place);
        assert_non_null(other);
        assert_int_equal(one->verdict, other->verdict);
    }
    for (size_t i = 0; i < proposed->count; i++) {
        const Record *edge =
            record_find(&style->lists[SUBJECT_EDGE], proposed->changes[i].edge->path);
        const DrawnLine *line = &style->lines[edge->index];
        Point on, other;
        Path read = line->part->outline.edges[line->place].path;
        assert_true(rounded_apart(&read, &proposed->changes[i].rounded.path, &on, &other) < 1e-3);
    }
    judgement_free(again);
    style_free(style);
    proposed_free(proposed);
    text_free(&svg);
    messages_free(&messages);
    close_case(&c);
    scratch_clear(folder);
}

/* ---- What the style keeps, and parts that lie apart ---- */

static const char two_sheets[] =
    "cordwain: style/1\n"
    "name: Two sheets, invented for a test\n"
    "code: TS-1\n"
    "stage: pull-over\n"
    "sheets: {one: {along: x}, other: {along: x}}\n"
    "materials:\n"
    "  hide: {kind: leather, thickness: 1.2 mm}\n"
    "parts:\n"
    "  front:\n"
    "    role: upper\n"
    "    material: hide\n"
    "    sheet: one\n"
    "    edges:\n"
    "      apron: {finish: turned, allowance: 4 mm, path: \"M 0 0 L 30 0 A 4 4 0 0 1 34 4 L 34 "
    "40\"}\n"
    "      foot: {finish: raw, allowance: 0 mm, path: \"M 34 40 L 60 40 L 60 -30 L 0 -30 L 0 0\"}\n"
    "  apron:\n"
    "    role: upper\n"
    "    material: hide\n"
    "    sheet: other\n"
    "    edges:\n"
    "      round: {finish: turned, allowance: 4 mm, path: \"M 0 0 L 31 0 A 4.2 4.2 0 0 1 35.2 4.2 "
    "L 35.2 41\"}\n"
    "      rest: {finish: raw, allowance: 0 mm, path: \"M 35.2 41 L 0 41 L 0 0\"}\n"
    "seams:\n"
    "  apron:\n"
    "    join: turned\n"
    "    edges: [front.apron, apron.round]\n"
    "    rows: [{does: seam, from_edge: 4 mm, stitch: 301, pitch: 2 mm, needle: 90 Nm, thread: 40 "
    "tex}]\n"
    "keeps: [";

static void open_two_sheets(Case *c, char path[SCRATCH_LENGTH], const char *keeps)
{
    Text text = {0};
    text_addf(&text, "%s%s]\n", two_sheets, keeps);
    scratch_write(path, text.bytes, text.length);
    text_free(&text);
    open_case(c, path, NULL);
}

static void what_lies_elsewhere_is_rounded_likewise(void **state)
{
    (void)state;
    char path[SCRATCH_LENGTH];
    Case c;
    open_two_sheets(&c, path, "");
    ProposedLine *proposed = must_propose(&c, "front.apron", 9);
    assert_int_equal(proposed->count, 2);
    const LineChange *other = &proposed->changes[1];
    assert_string_equal(other->edge->path, "apron.round");
    assert_int_equal(other->reason, LINE_ALIKE);
    assert_true(proposed->changes[0].rounded.hollow >= 9);
    assert_true(other->rounded.rounded >= 9);
    assert_true(fabs(other->rounded.deviation - (9 * ROUNDED_OVER - 4.2) * (sqrt(2) - 1)) < 1e-3);
    proposed_free(proposed);
    LineWish wish = {
        .place = named(&c, SUBJECT_BEND, "front.apron.1"), .hollow = 7, .within = INFINITY};
    proposed = proposed_line(&c.remedy, &wish, &c.why);
    assert_non_null(proposed);
    assert_int_equal(proposed->count, 2);
    assert_true(proposed->changes[1].rounded.rounded >= 7);
    proposed_free(proposed);
    close_case(&c);
    unlink(path);
}

static void what_is_kept_is_not_proposed(void **state)
{
    (void)state;
    static const char *const keeps[] = {"parts.front", "parts.front.edges.apron",
                                        "parts.front.edges.apron.path"};
    char path[SCRATCH_LENGTH];
    Case c;
    for (size_t i = 0; i < sizeof keeps / sizeof *keeps; i++) {
        open_two_sheets(&c, path, keeps[i]);
        refused(&c, "front.apron", 9, INFINITY, "the style keeps front.apron");
        ProposedLine *proposed = must_propose(&c, "apron.round", 9);
        assert_int_equal(proposed->count, 1);
        assert_int_equal(proposed->stays_count, 1);
        assert_string_equal(proposed->stays[0].edge->path, "front.apron");
        assert_true(says(proposed, "edge front.apron stays as drawn, though it is sewn to it: the "
                                   "style keeps it"));
        proposed_free(proposed);
        close_case(&c);
        unlink(path);
    }
}

/* ---- The picture ---- */

static void the_picture_shows_both_lines(void **state)
{
    (void)state;
    Case c;
    Figure figure;
    Text text = {0};
    open_case(&c, "styles/skerry.yaml", "turned");
    ProposedLine *proposed = must_propose(&c, "vamp.cap-line", 9);
    const LineChange *change = &proposed->changes[0];
    PictureBase base = {.style = c.judged.style,
                        .factory = c.ground.factory,
                        .measured = c.judged.judgement->measured};
    assert_true(picture_line(&c.arena, &base, change->edge, &change->rounded, &figure, &c.why));
    size_t dashed = 0, solid = 0, marks = 0;
    for (size_t i = 0; i < figure.count; i++) {
        dashed += figure.shapes[i].kind == SHAPE_LINE && figure.shapes[i].pen == PEN_STITCH;
        solid += figure.shapes[i].kind == SHAPE_LINE && figure.shapes[i].pen == PEN_LINE;
        marks += figure.shapes[i].kind == SHAPE_MARK && figure.shapes[i].pen == PEN_TROUBLE;
    }
    assert_true(dashed == 1 && solid == 1 && marks == 1);
    for (int ascii = 0; ascii < 2; ascii++) {
        text_clear(&text);
        figure_text(&text, &figure, (CellStyle){ascii, 80, 30});
        assert_non_null(strstr(text_string(&text), "0.89 mm off"));
        assert_non_null(strstr(text_string(&text), "edge vamp.cap-line, proposed, size 42"));
    }
    text_clear(&text);
    figure_svg(&text, &figure, 160, true);
    assert_non_null(strstr(text_string(&text), "stroke-dasharray"));
    figure_free(&figure);
    Rounded none = change->rounded;
    none.arc_count = 0;
    assert_false(picture_line(&c.arena, &base, change->edge, &none, &figure, &c.why));
    text_free(&text);
    proposed_free(proposed);
    close_case(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(flagged_bends_clear),
        cmocka_unit_test(what_is_sewn_to_it_gets_the_same_line),
        cmocka_unit_test(mirrored_edges_follow),
        cmocka_unit_test(the_least_radius_is_the_least),
        cmocka_unit_test(a_bend_alone_is_rounded),
        cmocka_unit_test(reasons_are_given),
        cmocka_unit_test(the_drawing_reads_back),
        cmocka_unit_test(what_lies_elsewhere_is_rounded_likewise),
        cmocka_unit_test(what_is_kept_is_not_proposed),
        cmocka_unit_test(the_picture_shows_both_lines),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Drawn lines of a style: drawings and paths, mirrors, alternatives, what is
 * typed beside them, and what is refused. */
#define _GNU_SOURCE
#include "style_support.h"
#include "scratch.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#define HEAD "cordwain: style/1\nname: N\ncode: C\n"
#define PAGE                                                                                       \
    "<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='50mm' viewBox='0 0 100 50'>\n"
#define FIXTURE "tests/fixtures/drawn.yaml"

static const double pi = 3.14159265358979323846;

/* ---- A folder of our own ---- */

typedef struct Room {
    char folder[SCRATCH_LENGTH];
} Room;

static int room_open(void **state)
{
    Room *room = calloc(1, sizeof *room);
    scratch_folder(room->folder);
    *state = room;
    return 0;
}

static const char *room_path(const Room *room, const char *name, char path[SCRATCH_INSIDE])
{
    snprintf(path, SCRATCH_INSIDE, "%s/%s", room->folder, name);
    return path;
}

static int room_close(void **state)
{
    static const char *const names[] = {"t.yaml",  "a.svg",    "b.svg",    "c.svg",    "in.svg",
                                        "out.svg", "loop.svg", "pipe.svg", "sub/a.svg"};
    Room *room = *state;
    char path[SCRATCH_INSIDE];
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        unlink(room_path(room, names[i], path));
    rmdir(room_path(room, "sub", path));
    rmdir(room->folder);
    free(room);
    return 0;
}

static void room_write(const Room *room, const char *name, const char *text)
{
    char path[SCRATCH_INSIDE];
    FILE *file = fopen(room_path(room, name, path), "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(text, 1, strlen(text), file), strlen(text));
    assert_int_equal(fclose(file), 0);
}

static Tried room_try(const Room *room, const char *yaml, const char *alternative)
{
    char path[SCRATCH_INSIDE];
    Tried tried = {0};
    room_write(room, "t.yaml", yaml);
    tried.style =
        style_read(room_path(room, "t.yaml", path), alternative, NULL, 0, &tried.messages);
    return tried;
}

static Tried try_file(const char *path, const char *alternative)
{
    Tried tried = {0};
    tried.style = style_read(path, alternative, NULL, 0, &tried.messages);
    if (!tried.style)
        fail_msg("%s: %s", path, tried.messages.count ? tried.messages.items[0].text : "refused");
    return tried;
}

/* ---- Asking ---- */

static const Record *find(const Style *style, Subject subject, const char *path)
{
    const Record *record = record_find(&style->lists[subject], path);
    if (!record)
        fail_msg("there is no %s", path);
    return record;
}

static const Value *value(const Style *style, FieldId id, const char *path)
{
    return record_value(find(style, field_at(id)->subject, path), id);
}

static void check_number(const Style *style, FieldId id, const char *path, double expected,
                         double within)
{
    const Value *found = value(style, id, path);
    assert_int_equal(found->presence, VALUE_KNOWN);
    assert_false(found->quantity.unknown);
    const double rounded = 0.0005001; /* what is measured is given to 0.001 mm */
    if (!(fabs(found->quantity.nominal - expected) <= within + rounded))
        fail_msg("%s of %s: %.9g, not %.9g", field_at(id)->name, path, found->quantity.nominal,
                 expected);
}

static void check_word(const Style *style, FieldId id, const char *path, const char *word)
{
    const Value *found = value(style, id, path);
    assert_int_equal(found->presence, VALUE_KNOWN);
    assert_int_equal(found->code, word_index(field_at(id)->words, word, strlen(word)));
}

static const DrawnLine *line_of(const Style *style, const char *edge)
{
    return &style->lines[find(style, SUBJECT_EDGE, edge)->index];
}

static const DrawnPart *part_of(const Style *style, const char *part)
{
    for (size_t i = 0; i < style->drawn_count; i++)
        if (strcmp(style->drawn[i].part->path, part) == 0)
            return &style->drawn[i];
    return NULL;
}

static const Path *path_of(const Style *style, const char *edge)
{
    const DrawnLine *line = line_of(style, edge);
    assert_non_null(line->part);
    return &line->part->outline.edges[line->place].path;
}

static void check_ends(const Style *style, const char *edge, Point start, Point end)
{
    Point a = path_start(path_of(style, edge)), b = path_end(path_of(style, edge));
    if (hypot(a.x - start.x, a.y - start.y) > 1e-9 || hypot(b.x - end.x, b.y - end.y) > 1e-9)
        fail_msg("%s runs from %.9g, %.9g to %.9g, %.9g", edge, a.x, a.y, b.x, b.y);
}

static size_t notices(const Messages *messages, const char *words)
{
    size_t count = 0;
    for (size_t i = 0; i < messages->count; i++)
        count += messages->items[i].level == MESSAGE_NOTICE &&
                 strstr(messages->items[i].text, words) != NULL;
    return count;
}

/* ---- What is drawn is measured ---- */

static void a_drawing_is_measured(void **state)
{
    (void)state;
    Tried tried = try_file(FIXTURE, NULL);
    const Style *style = tried.style;
    assert_int_equal(tried.messages.count, 0);
    assert_int_equal(style->drawn_count, 3);
    check_number(style, EDGE_LENGTH, "quarter-lat.topline", 60 + 10 * pi, 1e-4);
    check_number(style, EDGE_LENGTH, "quarter-lat.front", 40, 1e-9);
    check_number(style, BEND_RADIUS, "quarter-lat.topline.2", 10, 0.001);
    check_number(style, BEND_TURN, "quarter-lat.topline.2", pi, 1e-6);
    check_word(style, BEND_CURVE, "quarter-lat.topline.2", "inward");
    check_number(style, BEND_RADIUS, "quarter-lat.topline.1", 0, 0);
    check_number(style, BEND_TURN, "quarter-lat.topline.1", pi / 2, 1e-6);
    check_number(style, BEND_AT, "quarter-lat.topline.1", 20, 1e-9);
    check_word(style, BEND_CURVE, "quarter-lat.topline.1", "outward");
    check_word(style, BEND_CURVE, "vamp.throat.1", "outward");
    check_number(style, PART_NARROWEST, "quarter-lat", 30, 0.03);
    const Value *radius = value(style, BEND_RADIUS, "quarter-lat.topline.2");
    assert_null(radius->node);
    assert_string_equal(radius->drawn->file, "tests/fixtures/drawn.svg");
    assert_int_equal(radius->drawn->line, 4);
    assert_int_equal(radius->drawn->column, 5);
    assert_string_equal(radius->note, "over 0.1 mm of line");
    assert_int_equal(radius->quantity.tolerance, TOLERANCE_UNSAID);
    tried_free(&tried);
}

/* Every edge runs with the part on its left, in an outline that closes. */
static void outlines_stand_by_their_parts(void **state)
{
    (void)state;
    Tried tried = try_file(FIXTURE, NULL);
    const Style *style = tried.style;
    for (size_t i = 0; i < style->drawn_count; i++) {
        const DrawnPart *part = &style->drawn[i];
        assert_int_equal(part->outline.count, 4);
        for (size_t k = 0; k < part->outline.count; k++) {
            const DrawnLine *line = &style->lines[part->edges[k]->index];
            assert_ptr_equal(line->part, part);
            assert_int_equal(line->place, k);
            assert_ptr_equal(part->edges[k]->owner, part->part);
            Point end = path_end(&part->outline.edges[k].path);
            Point next = path_start(&part->outline.edges[(k + 1) % part->outline.count].path);
            assert_true(end.x == next.x && end.y == next.y);
        }
        assert_true(part->outline.area > 0);
    }
    assert_string_equal(part_of(style, "quarter-lat")->sheet->name, "lateral");
    assert_string_equal(part_of(style, "quarter-med")->sheet->name, "medial");
    assert_false(part_of(style, "quarter-lat")->mirrored);
    assert_true(part_of(style, "quarter-med")->mirrored);
    assert_null(line_of(style, "tape.long")->part);
    for (size_t i = 0; i < style->lists[SUBJECT_BEND].count; i++) {
        assert_int_equal(style->lists[SUBJECT_BEND].items[i]->index, i);
        assert_true(style->bends[i] != NULL);
    }
    tried_free(&tried);
}

/* Sheet lateral: page y down, so y is negative. The medial sheet's axis is y. */
static void mirrors_are_turned_over(void **state)
{
    (void)state;
    Tried tried = try_file(FIXTURE, NULL);
    const Style *style = tried.style;
    check_ends(style, "quarter-lat.topline", (Point){100, -20}, (Point){20, -20});
    check_ends(style, "quarter-med.topline", (Point){-20, -20}, (Point){-100, -20});
    check_number(style, EDGE_LENGTH, "quarter-med.topline",
                 value(style, EDGE_LENGTH, "quarter-lat.topline")->quantity.nominal, 1e-9);
    /* What is the second of three bends from one end is so from the other. */
    check_number(style, BEND_LEFT, "quarter-lat.topline.2", 2, 0);
    check_number(style, BEND_LEFT, "quarter-med.topline.2", 2, 0);
    check_number(style, BEND_AT, "quarter-lat.topline.3", 40 + 10 * pi - 20, 1e-4);
    check_number(style, BEND_AT, "quarter-med.topline.3", 40 + 10 * pi, 1e-4);
    /* One pattern piece, turned over: measured once. */
    assert_ptr_equal(value(style, EDGE_LENGTH, "quarter-lat.topline")->drawn,
                     value(style, EDGE_LENGTH, "quarter-med.topline")->drawn);
    assert_ptr_equal(value(style, BEND_RADIUS, "quarter-lat.topline.1")->drawn,
                     value(style, BEND_RADIUS, "quarter-med.topline.3")->drawn);
    assert_ptr_not_equal(value(style, BEND_RADIUS, "quarter-lat.topline.1")->drawn,
                         value(style, BEND_RADIUS, "quarter-lat.topline.3")->drawn);
    tried_free(&tried);
}

static void what_is_typed_beside_is_kept(void **state)
{
    (void)state;
    Tried tried = try_file(FIXTURE, NULL);
    const Style *style = tried.style;
    const DrawnLine *topline = line_of(style, "quarter-lat.topline");
    assert_true(topline->typed_length->quantity.nominal == 88);
    assert_true(topline->bends_typed);
    assert_int_equal(topline->typed_bends.count, 2);
    const Record *typed = topline->typed_bends.items[1];
    assert_true(record_value(typed, BEND_RADIUS)->quantity.nominal == 9);
    assert_int_equal(typed->index, 1);
    /* It may say what no line shows. */
    check_word(style, BEND_RELIEF, "quarter-lat.topline.2", "notched");
    check_word(style, BEND_GRADE, "quarter-lat.topline.2", "hold");
    assert_int_equal(value(style, BEND_LEFT, "quarter-lat.topline.1")->presence, VALUE_ABSENT);
    /* Typed once, beside the line that is mirrored. */
    const DrawnLine *mirrored = line_of(style, "quarter-med.topline");
    assert_null(mirrored->typed_length);
    assert_false(mirrored->bends_typed);
    assert_int_equal(mirrored->typed_bends.count, 0);
    assert_null(line_of(style, "quarter-lat.front")->typed_length);
    assert_false(line_of(style, "quarter-lat.front")->bends_typed);
    const Record *vamp = find(style, SUBJECT_PART, "vamp");
    assert_true(style->typed_narrowest[vamp->index]->quantity.nominal == 35);
    tried_free(&tried);
}

/* Half a vamp is 20 mm wide at most, the vamp twice that. */
static void a_fold_line_is_unfolded(void **state)
{
    (void)state;
    Tried tried = try_file(FIXTURE, NULL);
    check_number(tried.style, PART_NARROWEST, "vamp", 40, 0.05);
    assert_null(record_find(&tried.style->lists[SUBJECT_BEND], "vamp.centre.1"));
    assert_null(record_find(&tried.style->lists[SUBJECT_BEND], "vamp.centre.unknown"));
    tried_free(&tried);
}

static void angles_of_sheets_are_those_of_the_page(void **state)
{
    (void)state;
    Tried tried = try_style(HEAD "sheets: {a: {along: x}, b: {along: y}, c: {along: 17 deg}, d: {},"
                                 " e: unknown, f: {along: unknown}}\nparts: {p: {sheet: c}}\n",
                            NULL);
    const Sheet *sheets = tried.style->sheets;
    assert_int_equal(tried.style->sheet_count, 6);
    assert_true(sheets[0].along_known && sheets[0].along == 0);
    assert_true(sheets[1].along_known && fabs(sheets[1].along - pi / 2) < 1e-12);
    /* From x towards y, which points down the page and up in our frame. */
    assert_true(sheets[2].along_known && fabs(sheets[2].along + 17 * pi / 180) < 1e-12);
    for (size_t i = 3; i < 6; i++)
        assert_false(sheets[i].along_known);
    assert_string_equal(sheets[2].name, "c");
    tried_free(&tried);
}

/* ---- Paths in the style ---- */

#define SQUARE "{top: {path: \"M 0 0 H 40\"}, rest: {path: \"M 40 0 V 30 H 0 V 0\"}}"

static void a_path_beside_the_edge_is_a_line(void **state)
{
    (void)state;
    Tried tried = try_style(HEAD "parts: {a: {edges: " SQUARE "}}\n", NULL);
    assert_non_null(tried.style);
    assert_int_equal(tried.messages.count, 0);
    check_number(tried.style, EDGE_LENGTH, "a.top", 40, 1e-9);
    check_number(tried.style, EDGE_LENGTH, "a.rest", 100, 1e-9);
    check_number(tried.style, BEND_RADIUS, "a.rest.2", 0, 0);
    assert_string_equal(value(tried.style, BEND_RADIUS, "a.rest.2")->note, "a corner of the line");
    assert_null(part_of(tried.style, "a")->sheet);
    const DrawnLine *line = line_of(tried.style, "a.top");
    assert_string_equal(line->at.file, "t.yaml");
    assert_int_equal(line->at.line, 4);
    tried_free(&tried);
}

/* One closed line is an outline too, and a circle has one bend all round. */
static void a_circle_is_an_outline(void **state)
{
    (void)state;
    Tried tried = try_style(
        HEAD "parts: {a: {edges: {rim: {path: \"M 0 9 A 9 9 0 0 1 0 -9 A 9 9 0 0 1 0 9\"}}}}\n",
        NULL);
    assert_non_null(tried.style);
    check_number(tried.style, EDGE_LENGTH, "a.rim", 18 * pi, 1e-4);
    check_number(tried.style, BEND_TURN, "a.rim.1", 2 * pi, 1e-4);
    check_number(tried.style, PART_NARROWEST, "a", 18, 0.03);
    tried_free(&tried);
}

static void traced_lines_say_so(void **state)
{
    (void)state;
    Text yaml = {0};
    text_add(&yaml, HEAD "parts: {a: {edges: {rim: {path: \"M");
    for (int i = 0; i <= 400; i++) {
        double radius = 30 + (i % 400 * 7919 % 13 - 6) / 150., turn = pi * (i % 400) / 200;
        text_add(&yaml, " ");
        text_add_number(&yaml, radius * cos(turn), 6);
        text_add(&yaml, " ");
        text_add_number(&yaml, radius * sin(turn), 6);
    }
    text_add(&yaml, "\"}}}}\n");
    Tried tried = try_style(text_string(&yaml), NULL);
    assert_non_null(tried.style);
    check_number(tried.style, BEND_RADIUS, "a.rim.1", 30, 3);
    if (!strstr(value(tried.style, BEND_RADIUS, "a.rim.1")->note, "a traced line"))
        fail_msg("%s", value(tried.style, BEND_RADIUS, "a.rim.1")->note);
    tried_free(&tried);
    text_free(&yaml);
}

/* An item that is unknown says of its bend what is not known, not what the line shows. */
static void an_unknown_bend_in_a_list_keeps_its_number(void **state)
{
    (void)state;
    Tried tried = try_style(HEAD "parts: {a: {edges: {top: {path: \"M 0 0 H 40\"}, rest: {path: "
                                 "\"M 40 0 V 30 H 0 V 0\", bends: [unknown, {left: 3 mm}]}}}}\n",
                            NULL);
    assert_non_null(tried.style);
    check_number(tried.style, BEND_LEFT, "a.rest.2", 3, 0);
    assert_int_equal(value(tried.style, BEND_LEFT, "a.rest.1")->presence, VALUE_UNKNOWN);
    check_number(tried.style, BEND_TURN, "a.rest.1", pi / 2, 1e-9);
    assert_int_equal(line_of(tried.style, "a.rest")->typed_bends.count, 2);
    tried_free(&tried);
}

/* ---- Unknowns ---- */

static void an_unknown_path_leaves_the_part_unmeasured(void **state)
{
    (void)state;
    Patch patch = {.path = "parts.quarter-lat.edges.front.path"};
    Arena arena = {0};
    Messages messages = {0};
    YamlFile *file = yaml_read(&arena, FIXTURE, false, &messages);
    YamlNode unknown = *yaml_get(file->root, "stage");
    unknown.text = "unknown";
    unknown.length = strlen("unknown");
    patch.value = patch.at = &unknown;
    Style *style = style_from_tree(file, NULL, &patch, 1, &messages);
    assert_non_null(style);
    assert_int_equal(style->drawn_count, 1); /* the vamp */
    assert_int_equal(value(style, EDGE_LENGTH, "quarter-lat.front")->presence, VALUE_ABSENT);
    assert_int_equal(value(style, EDGE_LENGTH, "quarter-med.back")->presence, VALUE_ABSENT);
    assert_true(find(style, SUBJECT_BEND, "quarter-lat.front.unknown")->placeholder);
    assert_null(style->bends[find(style, SUBJECT_BEND, "quarter-lat.front.unknown")->index]);
    assert_true(line_of(style, "quarter-lat.back")->unknown);
    assert_true(line_of(style, "quarter-med.front")->unknown);
    assert_false(line_of(style, "vamp.side")->unknown);
    assert_false(line_of(style, "tape.long")->unknown);
    check_number(style, EDGE_LENGTH, "quarter-lat.topline", 88, 0); /* as typed */
    assert_int_equal(value(style, PART_NARROWEST, "quarter-lat")->presence, VALUE_ABSENT);
    assert_int_equal(notices(&messages, "has no outline while the line of quarter-lat.front"), 1);
    style_free(style);
    messages_free(&messages);
    arena_free(&arena);
}

static void an_unknown_drawing_draws_nothing(void **state)
{
    Room *room = *state;
    Tried tried = room_try(
        room, HEAD "drawing: unknown\nparts: {a: {edges: {top: {bends: unknown}}}}\n", NULL);
    assert_non_null(tried.style);
    assert_int_equal(tried.messages.count, 0);
    assert_int_equal(tried.style->drawn_count, 0);
    assert_true(line_of(tried.style, "a.top")->unknown);
    assert_true(find(tried.style, SUBJECT_BEND, "a.top.unknown")->placeholder);
    tried_free(&tried);
}

static void an_edge_unknown_as_a_whole_has_no_line(void **state)
{
    Room *room = *state;
    room_write(room, "a.svg", PAGE "<g id='a'><path id='top' d='M0 0H9'/></g></svg>");
    Tried tried =
        room_try(room, HEAD "drawing: a.svg\nparts: {a: {edges: {top: unknown}}}\n", NULL);
    assert_non_null(tried.style);
    assert_int_equal(tried.style->drawn_count, 0);
    tried_free(&tried);
}

/* ---- Several drawings, alternatives ---- */

#define TWO_EDGES "{edges: {top: {}, rest: {}}}"
#define TRIANGLE(part, width)                                                                      \
    "<g id='" part "'><path id='top' d='M0 0H" #width "'/>\n<path id='rest' d='M" #width           \
    " 0L0 20 0 0'/></g>\n"

/* A part that a later drawing draws is taken from there whole. */
static void later_drawings_win_part_by_part(void **state)
{
    Room *room = *state;
    room_write(room, "a.svg", PAGE TRIANGLE("a", 10) TRIANGLE("b", 10) "</svg>");
    room_write(room, "b.svg", PAGE TRIANGLE("b", 30) "</svg>");
    Tried tried = room_try(room,
                           HEAD "drawing: [a.svg, b.svg]\nparts: {a: " TWO_EDGES ", b: " TWO_EDGES
                                "}\nalternatives: {one: {drawing: a.svg}, other: {drawing: b.svg},"
                                " neither: {drawing: unknown}}\n",
                           NULL);
    if (!tried.style)
        fail_msg("%s", tried.messages.items[0].text);
    assert_int_equal(tried.messages.count, 0);
    check_number(tried.style, EDGE_LENGTH, "a.top", 10, 1e-9);
    check_number(tried.style, EDGE_LENGTH, "b.top", 30, 1e-9);
    tried_free(&tried);
    char path[SCRATCH_INSIDE];
    static const size_t drawn[] = {2, 1, 0};
    static const char *const names[] = {"one", "other", "neither"};
    for (size_t i = 0; i < 3; i++) {
        tried = try_file(room_path(room, "t.yaml", path), names[i]);
        assert_int_equal(tried.style->drawn_count, drawn[i]);
        if (i < 2)
            check_number(tried.style, EDGE_LENGTH, "b.top", i == 0 ? 10 : 30, 1e-9);
        tried_free(&tried);
    }
}

static void an_alternative_may_move_lines(void **state)
{
    (void)state;
    Tried tried = try_file(FIXTURE, "narrower");
    check_number(tried.style, EDGE_LENGTH, "quarter-lat.topline", 70, 1e-9);
    check_number(tried.style, EDGE_LENGTH, "quarter-med.feather", 70, 1e-9);
    check_number(tried.style, EDGE_LENGTH, "quarter-med.back", 40, 1e-9);
    assert_string_equal(line_of(tried.style, "quarter-lat.back")->at.file,
                        "tests/fixtures/drawn.svg");
    assert_string_equal(line_of(tried.style, "quarter-lat.front")->at.file, FIXTURE);
    tried_free(&tried);
}

/* A path under `but` is drawn in the mirrored frame: here about x. */
static void a_mirror_may_have_lines_of_its_own(void **state)
{
    (void)state;
    Tried tried = try_style(
        HEAD "parts:\n  a: {edges: {top: {path: \"M 0 0 H 40\"}, rest: {path: \"M 40 0 V 30 H 0 V "
             "0\"}}}\n  b: {mirror: a, but: {edges.top.path: \"M 0 0 Q 20 9 40 0\"}}\n",
        NULL);
    assert_non_null(tried.style);
    check_ends(tried.style, "b.rest", (Point){40, 0}, (Point){0, 0});
    /* The page's (20, 9) is our (20, -9): the curve leaves the part, which lies at y > 0. */
    assert_true(path_point(path_of(tried.style, "b.top"), (PathAt){0, 0.5}).y < -4);
    assert_true(part_of(tried.style, "b")->outline.most.y == 30);
    check_word(tried.style, BEND_CURVE, "b.top.1", "outward");
    tried_free(&tried);
}

/* A mirrored part that the drawing draws itself is not mirrored. */
static void a_mirror_may_be_drawn_itself(void **state)
{
    Room *room = *state;
    room_write(room, "a.svg", PAGE TRIANGLE("a", 10) TRIANGLE("b", 30) "</svg>");
    Tried tried =
        room_try(room, HEAD "drawing: a.svg\nparts: {a: " TWO_EDGES ", b: {mirror: a}}\n", NULL);
    assert_non_null(tried.style);
    check_number(tried.style, EDGE_LENGTH, "b.top", 30, 1e-9);
    assert_false(part_of(tried.style, "b")->mirrored);
    tried_free(&tried);
}

/* Where a mirrored part lies on a sheet of unknown axis, nobody knows. */
static void a_mirror_needs_an_axis_to_lie(void **state)
{
    (void)state;
    Tried tried = try_style(HEAD "sheets: {lateral: {along: x}, medial: {}}\nparts:\n"
                                 "  a: {side: lateral, sheet: lateral, edges: " SQUARE "}\n"
                                 "  b: {mirror: a}\n",
                            NULL);
    assert_non_null(tried.style);
    assert_string_equal(part_of(tried.style, "a")->sheet->name, "lateral");
    assert_null(part_of(tried.style, "b")->sheet);
    assert_int_equal(notices(&tried.messages, "along of sheet medial is not known"), 1);
    check_number(tried.style, EDGE_LENGTH, "b.rest", 100, 1e-9);
    tried_free(&tried);
}

/* The drawing is read once, whatever alternatives there are, and complained of once. */
static void mistakes_of_a_drawing_are_told_once(void **state)
{
    Room *room = *state;
    room_write(room, "a.svg", PAGE "<g id='a'><path id='top' d='M0 0X'/></g></svg>");
    Tried tried = room_try(room,
                           HEAD "drawing: a.svg\nparts: {a: {edges: {top: {}}}}\n"
                                "alternatives: {x: {stage: pull-over}, y: {stage: production}}\n",
                           NULL);
    assert_null(tried.style);
    size_t of_drawing = 0;
    for (size_t i = 0; i < tried.messages.count; i++)
        of_drawing += strstr(tried.messages.items[i].at.file, "a.svg") != NULL;
    assert_int_equal(of_drawing, 1);
    tried_free(&tried);
}

static void strangers_are_noticed_once(void **state)
{
    Room *room = *state;
    room_write(room, "a.svg",
               PAGE TRIANGLE("a", 10) TRIANGLE("b", 10) TRIANGLE("stranger", 10) "</svg>");
    Tried tried =
        room_try(room,
                 HEAD "drawing: a.svg\nparts: {a: " TWO_EDGES "}\n"
                      "alternatives: {x: {parts.b: " TWO_EDGES "}, y: {stage: production}}\n",
                 NULL);
    if (!tried.style)
        fail_msg("%s", tried.messages.items[0].text);
    assert_int_equal(tried.messages.count, 1);
    assert_int_equal(notices(&tried.messages, "the style has no part stranger;"), 1);
    assert_int_equal(tried.messages.items[0].at.line, 6);
    tried_free(&tried);
}

/* ---- Refused ---- */

typedef struct Refused {
    const char *svg, *yaml; /* after HEAD: line 4 on */
    bool in_drawing;
    int line, column;
    const char *words;
} Refused;

static void check_refused(const Room *room, const Refused *refused)
{
    if (refused->svg)
        room_write(room, "a.svg", refused->svg);
    Text yaml = {0};
    text_addf(&yaml, HEAD "%s", refused->yaml);
    Tried tried = room_try(room, text_string(&yaml), NULL);
    if (tried.style)
        fail_msg("taken: %s", refused->yaml);
    bool found = false;
    for (size_t i = 0; i < tried.messages.count; i++) {
        const Message *m = &tried.messages.items[i];
        found = found || (m->level == MESSAGE_ERROR && strstr(m->text, refused->words) &&
                          m->at.line == refused->line && m->at.column == refused->column &&
                          (strstr(m->at.file, ".svg") != NULL) == refused->in_drawing);
    }
    const Message *first = &tried.messages.items[0];
    if (!found)
        fail_msg("%s: not '%s' at %d:%d, but %s:%d:%d: %s", refused->yaml, refused->words,
                 refused->line, refused->column, first->at.file, first->at.line, first->at.column,
                 first->text);
    tried_free(&tried);
    text_free(&yaml);
}

#define ABC "parts: {a: {edges: {top: {}, side: {}, back: {}}}}\n"
#define DRAWN_ABC "drawing: a.svg\n" ABC
#define GROUP(paths) PAGE "<g id='a'>\n" paths "</g></svg>"

static void outlines_that_do_not_close_are_refused(void **state)
{
    static const Refused cases[] = {
        {GROUP("<path id='top' d='M0 0H40'/>\n<path id='side' d='M40.5 0L20 30'/>\n"
               "<path id='back' d='M0 0L20 30'/>\n"),
         DRAWN_ABC, true, 3, 1,
         "a.top and a.side: a gap of 0.5 mm; ends within 0.1 mm are joined "
         "(at x 40.25, y 0 mm of the page)"},
        {GROUP("<path id='top' d='M0 5H40'/>\n<path id='side' d='M40 5L20 30 20 1'/>\n"
               "<path id='back' d='M0 5L20 1'/>\n"),
         DRAWN_ABC, true, 3, 1, "the outline crosses or touches itself (at x 20, y 5 mm"},
        {GROUP("<path id='top' d='M0 0H40'/>\n<path id='side' d='M40 0L20 30'/>\n"), DRAWN_ABC,
         true, 3, 1, "a is drawn in part, without back;"},
        {GROUP("<path id='top' d='M0 0H40'/>\n<path id='sied' d='M40 0L20 30'/>\n"
               "<path id='back' d='M0 0L20 30'/>\n"),
         DRAWN_ABC, true, 4, 1, "a has no edge sied; did you mean side?"},
        {GROUP("<path id='top' d='M0 0H4000'/>\n<path id='side' d='M4000 0L20 30'/>\n"
               "<path id='back' d='M0 0L20 30'/>\n"),
         DRAWN_ABC, true, 3, 1, "a.top is drawn 4000 mm long; it must be at most 2000 mm"},
        {NULL, "parts: {a: {edges: {top: {path: \"M0 0H40V5\"}}}}\n", false, 4, 33,
         "a.top: a gap of 40.3 mm"},
        {NULL, "parts:\n  a: {edges: {top: {path: \"M0 0H40\"}, side: {}}}\n", false, 5, 27,
         "a is drawn in part, without side;"},
        {NULL, "parts:\n  a: {edges: {top: {path: \"M0 0H40V40L0 0\", finish: fold-line}}}\n",
         false, 5, 27, "a.top is a fold line, where the part goes on in mirror image"},
        {NULL,
         "parts:\n  a: {edges: {top: {path: \"M0 0H40V40L0 0\", bends: [{}, {}, {left: 2 mm}]}}}\n",
         false, 5, 61, "this bend gives left, but the drawn line of a.top has 2 bends"},
        {NULL, "parts:\n  a: {edges: {top: {path: \"M0 0H.4\"}, side: {path: \"M.4 0V9L0 0\"}}}\n",
         false, 5, 27, "a.top is drawn 0.4 mm long; it must be at least 0.5 mm"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        check_refused(*state, &cases[i]);
}

static void path_data_is_refused_where_it_is_wrong(void **state)
{
    static const Refused cases[] = {
        {NULL, "parts: {a: {edges: {top: {path: \"M 0 0 L 5 0 Z\"}}}}\n", false, 4, 46, "path: "},
        {NULL, "parts: {a: {edges: {top: {path: M 0 0 L 5 0 Z}}}}\n", false, 4, 45, "path: "},
        {NULL, "parts: {a: {edges: {top: {path: \"M 0 \\x30 L 5 0 Z\"}}}}\n", false, 4, 33,
         "path: "},
        {NULL,
         "parts:\n  a:\n    edges:\n      top:\n        path: >-\n          M 0 0\n"
         "          L 5 0 Z\n",
         false, 8, 15, "path: "},
        /* Also where nothing of the part is measured. */
        {NULL, "parts: {a: {edges: {top: {path: \"M 0 0 L 5 0 Z\"}, b: {path: unknown}}}}\n", false,
         4, 46, "path: "},
        {NULL, "parts: {a: {edges: {top: {path: []}}}}\n", false, 4, 33, "path is a list"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        check_refused(*state, &cases[i]);
}

static void names_of_drawings_stay_in_the_folder(void **state)
{
    Room *room = *state;
    char path[SCRATCH_INSIDE];
    assert_int_equal(mkfifo(room_path(room, "pipe.svg", path), 0600), 0);
    assert_int_equal(mkdir(room_path(room, "sub", path), 0700), 0);
    assert_int_equal(symlink("/etc/passwd", room_path(room, "out.svg", path)), 0);
    assert_int_equal(symlink("loop.svg", room_path(room, "loop.svg", path)), 0);
    room_write(room, "a.svg", GROUP(""));
    static const Refused cases[] = {
        {NULL, "drawing: ../../../etc/passwd\n" ABC, false, 4, 10, "climbs out of the style's"},
        {NULL, "drawing: sub/../a.svg\n" ABC, false, 4, 10, "climbs out of the style's"},
        {NULL, "drawing: sub/..\n" ABC, false, 4, 10, "climbs out of the style's"},
        {NULL, "drawing: /etc/passwd\n" ABC, false, 4, 10, "begins at the root of the disk"},
        {NULL, "drawing: '-'\n" ABC, false, 4, 10, "would be standard input"},
        {NULL, "drawing: out.svg\n" ABC, false, 4, 10, "leads out of the style's folder"},
        {NULL, "drawing: loop.svg\n" ABC, false, 4, 10, "symbolic links go round"},
        {NULL, "drawing: nothing.svg\n" ABC, false, 4, 10, "there is no such file"},
        {NULL, "drawing: a.svg/b\n" ABC, false, 4, 10, "there is no such file"},
        {NULL, "drawing: \"a\\e[31m\\u202E.svg\"\n" ABC, false, 4, 10, "there is no such file"},
        {NULL, "drawing: pipe.svg\n" ABC, true, 0, 0, "is a pipe"},
        {NULL, "drawing: sub\n" ABC, false, 0, 0, "is a folder"},
        {NULL, "drawing: t.yaml\n" ABC, false, 1, 1, "XML"},
        {NULL, "drawing: [a.svg, sub/../a.svg]\n" ABC, false, 4, 18, "climbs out"},
        {NULL, "drawing: [a.svg, ./a.svg]\n" ABC, false, 4, 18, "is named twice"},
        {NULL, "drawing: [a.svg, unknown]\n" ABC, false, 4, 18, "cannot be unknown; leave it"},
        {NULL, "drawing: [[a.svg]]\n" ABC, false, 4, 11, "drawing is a list"},
        {NULL, "drawing: []\n" ABC, false, 4, 10, "names 0 files"},
        {NULL, "drawing: {a: 1}\n" ABC, false, 4, 10, "drawing is a mapping"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        check_refused(room, &cases[i]);
}

/* Links that stay in the folder are no offence. */
static void links_within_the_folder_are_followed(void **state)
{
    Room *room = *state;
    char path[SCRATCH_INSIDE];
    room_write(room, "a.svg", PAGE TRIANGLE("a", 10) "</svg>");
    assert_int_equal(symlink("a.svg", room_path(room, "in.svg", path)), 0);
    Tried tried = room_try(room, HEAD "drawing: in.svg\nparts: {a: " TWO_EDGES "}\n", NULL);
    assert_non_null(tried.style);
    assert_non_null(strstr(line_of(tried.style, "a.top")->at.file, "/in.svg"));
    tried_free(&tried);
}

/* ---- Much ---- */

/* Mirrors cost a few bytes each; their lines are measured once. */
static void many_mirrors_are_measured_once(void **state)
{
    (void)state;
    Text yaml = {0};
    text_add(&yaml, HEAD "parts:\n  a: {edges: {rim: {path: \"M");
    for (int i = 0; i <= 1900; i++) {
        text_add(&yaml, " ");
        text_add_number(&yaml, 200 * cos(pi * (i % 1900) / 950), 6);
        text_add(&yaml, " ");
        text_add_number(&yaml, 200 * sin(pi * (i % 1900) / 950), 6);
    }
    text_add(&yaml, "\"}}}\n");
    for (int i = 0; i < 3000; i++)
        text_addf(&yaml, "  m%d: {mirror: a}\n", i);
    Tried tried = try_style(text_string(&yaml), NULL);
    assert_non_null(tried.style);
    assert_int_equal(tried.style->drawn_count, 3001);
    tried_free(&tried);
    text_free(&yaml);
}

static void too_much_is_refused(void **state)
{
    (void)state;
    Text yaml = {0};
    text_add(&yaml, HEAD "parts:\n");
    for (int i = 0; i < 9000; i++)
        text_addf(&yaml, "  p%d: {edges: {rim: {path: \"M0 0H%d.%dV9L0 0\"}}}\n", i, 10 + i % 90,
                  i / 90);
    Tried tried = try_style(text_string(&yaml), NULL);
    assert_null(tried.style);
    if (tried.messages.count != 1)
        fail_msg("%s", tried.messages.items[0].text);
    assert_non_null(strstr(tried.messages.items[0].text, "too much is drawn"));
    tried_free(&tried);
    text_free(&yaml);
}

/* All drawings of a style share what one may be. */
static void drawings_share_their_limits(void **state)
{
    Room *room = *state;
    enum { MUCH = 5 << 20 };
    Text big = {0}, yaml = {0};
    text_add(&big, PAGE TRIANGLE("a", 10) "<!--");
    while (big.length < MUCH)
        text_add(&big, "                                                                ");
    text_add(&big, "--></svg>");
    room_write(room, "a.svg", text_string(&big));
    room_write(room, "b.svg", text_string(&big));
    text_free(&big);
    Refused refused = {NULL,  "drawing: [a.svg, b.svg]\nparts: {a: " TWO_EDGES "}\n",
                       false, 4,
                       18,    "at most 64 drawings of 8 MiB together"};
    check_refused(room, &refused);
    Tried tried = room_try(room,
                           HEAD "drawing: a.svg\nparts: {a: " TWO_EDGES "}\n"
                                "alternatives: {x: {drawing: ./a.svg}, y: {drawing: [a.svg]}}\n",
                           NULL);
    assert_non_null(tried.style); /* one file, by whatever name */
    tried_free(&tried);
    text_add(&yaml, "drawing: [a.svg");
    for (int i = 0; i < 64; i++)
        text_addf(&yaml, ", a%d.svg", i);
    text_add(&yaml, "]\n" ABC);
    refused = (Refused){NULL, text_string(&yaml), false, 4, 10, "drawing names 65 files; from 1"};
    check_refused(room, &refused);
    text_free(&yaml);
}

int main(void)
{
#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_open, room_close)
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_drawing_is_measured),
        cmocka_unit_test(outlines_stand_by_their_parts),
        cmocka_unit_test(mirrors_are_turned_over),
        cmocka_unit_test(what_is_typed_beside_is_kept),
        cmocka_unit_test(a_fold_line_is_unfolded),
        cmocka_unit_test(angles_of_sheets_are_those_of_the_page),
        cmocka_unit_test(a_path_beside_the_edge_is_a_line),
        cmocka_unit_test(a_circle_is_an_outline),
        cmocka_unit_test(traced_lines_say_so),
        cmocka_unit_test(an_unknown_bend_in_a_list_keeps_its_number),
        cmocka_unit_test(an_unknown_path_leaves_the_part_unmeasured),
        IN_ROOM(an_unknown_drawing_draws_nothing),
        IN_ROOM(an_edge_unknown_as_a_whole_has_no_line),
        IN_ROOM(later_drawings_win_part_by_part),
        cmocka_unit_test(an_alternative_may_move_lines),
        cmocka_unit_test(a_mirror_may_have_lines_of_its_own),
        IN_ROOM(a_mirror_may_be_drawn_itself),
        cmocka_unit_test(a_mirror_needs_an_axis_to_lie),
        IN_ROOM(mistakes_of_a_drawing_are_told_once),
        IN_ROOM(strangers_are_noticed_once),
        IN_ROOM(outlines_that_do_not_close_are_refused),
        IN_ROOM(path_data_is_refused_where_it_is_wrong),
        IN_ROOM(names_of_drawings_stay_in_the_folder),
        IN_ROOM(links_within_the_folder_are_followed),
        IN_ROOM(drawings_share_their_limits),
        cmocka_unit_test(many_mirrors_are_measured_once),
        cmocka_unit_test(too_much_is_refused),
    };
    return cmocka_run_group_tests_name("style drawn", tests, NULL, NULL);
}

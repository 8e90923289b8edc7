/* A style read into records: what is there, what stands for what nobody knows,
 * and what is refused, where and in which words. */
#include "style_support.h"

#include <math.h>

/* The least a style needs, with something to join. */
#define HEAD "cordwain: style/1\nname: N\ncode: C\n"
#define PARTS                                                                                      \
    "materials: {hide: {kind: leather}}\n"                                                         \
    "parts: {a: {material: hide, edges: {top: {bends: []}, end: {bends: []}}}, "                   \
    "b: {edges: {top: {bends: []}}}}\n"

static Style *read_fixture(const char *alternative, Messages *messages)
{
    Style *style = style_read("tests/fixtures/deck.yaml", alternative, NULL, 0, messages);
    if (!style)
        messages_write(messages, stderr);
    assert_non_null(style);
    return style;
}

static Record *find(const Style *style, Subject subject, const char *path)
{
    Record *record = record_find(&style->lists[subject], path);
    if (!record)
        fail_msg("no %s %s", subject_name(subject), path);
    return record;
}

static bool has(const Style *style, Subject subject, const char *path)
{
    return record_find(&style->lists[subject], path) != NULL;
}

static bool word_is(const Record *record, FieldId id, const char *word)
{
    const Value *value = record_value(record, id);
    return value->presence == VALUE_KNOWN &&
           value->code == word_index(field_at(id)->words, word, strlen(word));
}

static void test_values(void **state)
{
    (void)state;
    Messages messages = {0};
    Style *style = read_fixture(NULL, &messages);
    assert_int_equal(messages.count, 0);
    assert_string_equal(style->code, "DK-1");
    assert_null(style->alternative);
    assert_true(word_is(style->lists[SUBJECT_STYLE].items[0], STYLE_WEAR, "barefoot"));
    assert_true(word_is(style->lists[SUBJECT_BOTTOM].items[0], BOTTOM_WIPES, "heat"));
    Record *part = find(style, SUBJECT_PART, "quarter-lat");
    assert_ptr_equal(record_value(part, PART_MATERIAL)->record,
                     find(style, SUBJECT_MATERIAL, "hull-suede"));
    assert_int_equal(record_value(part, PART_ALONG)->presence, VALUE_ABSENT);
    Record *tape = find(style, SUBJECT_PART, "topline-tape");
    assert_ptr_equal(record_value(tape, PART_ALONG)->record,
                     find(style, SUBJECT_EDGE, "quarter-lat.topline"));
    Record *bend = find(style, SUBJECT_BEND, "vamp.throat.1");
    assert_ptr_equal(bend->owner, find(style, SUBJECT_EDGE, "vamp.throat"));
    assert_ptr_equal(bend->owner->owner, find(style, SUBJECT_PART, "vamp"));
    assert_float_equal(record_value(bend, BEND_RADIUS)->quantity.nominal, 4.5, 0);
    assert_int_equal(record_value(find(style, SUBJECT_BEND, "vamp.throat.2"), BEND_LEFT)->presence,
                     VALUE_ABSENT);
    Record *hole = find(style, SUBJECT_HOLE, "eyelets");
    assert_int_equal(record_value(hole, HOLE_NUMBER)->by_size_count, 2);
    assert_ptr_equal(record_value(hole, HOLE_ALONG)->record,
                     find(style, SUBJECT_EDGE, "eyestay.facing"));
    style_free(style);
    messages_free(&messages);
}

static void test_sizes_and_colourways(void **state)
{
    (void)state;
    Messages messages = {0};
    Style *style = read_fixture(NULL, &messages);
    const double *numbers;
    const char *const *names;
    Arena arena = {0};
    assert_int_equal(style_sizes(style, &arena, &numbers, &names), 21);
    assert_string_equal(names[0], "36");
    assert_string_equal(names[1], "36.5");
    assert_float_equal(numbers[20], 46, 0);
    assert_int_equal(style->colourway_count, 2);
    assert_string_equal(style->colourways[0].name, "Bark");
    assert_int_equal(style->colourways[0].swap_count, 0);
    assert_string_equal(style->colourways[1].swaps[0].to->id, "chalk-nubuck");
    style_free(style);
    messages_free(&messages);
    Tried tried = try_style(HEAD "parts: {a: {}}\n", NULL);
    assert_non_null(tried.style);
    assert_int_equal(style_sizes(tried.style, &arena, &numbers, &names), 1);
    assert_string_equal(names[0], "");
    assert_true(isnan(numbers[0]));
    assert_string_equal(tried.style->colourways[0].name, "");
    assert_int_equal(tried.style->lists[SUBJECT_LAST].count, 1);
    tried_free(&tried);
    arena_free(&arena);
}

static void test_mirrored_part_shares_values(void **state)
{
    (void)state;
    Messages messages = {0};
    Style *style = read_fixture(NULL, &messages);
    Record *lateral = find(style, SUBJECT_PART, "quarter-lat"),
           *medial = find(style, SUBJECT_PART, "quarter-med");
    assert_true(word_is(medial, PART_SIDE, "medial"));
    assert_string_equal(record_value(medial, PART_SHEET)->text, "medial");
    assert_true(word_is(lateral, PART_SIDE, "lateral"));
    assert_ptr_equal(record_value(medial, PART_LAYER)->node,
                     record_value(lateral, PART_LAYER)->node);
    assert_ptr_equal(
        record_value(find(style, SUBJECT_BEND, "quarter-med.topline.1"), BEND_RADIUS)->node,
        record_value(find(style, SUBJECT_BEND, "quarter-lat.topline.1"), BEND_RADIUS)->node);
    assert_true(word_is(find(style, SUBJECT_EDGE, "quarter-med.vent"), EDGE_FINISH, "raw"));
    assert_true(word_is(find(style, SUBJECT_EDGE, "quarter-lat.vent"), EDGE_FINISH, "bound"));
    assert_string_equal(style->seams[4].sides[0].edges[0]->path, "quarter-lat.vent");
    assert_true(word_is(style->seams[4].record, SEAM_ZONE, "heel"));
    style_free(style);
    messages_free(&messages);
}

static void test_seams(void **state)
{
    (void)state;
    Messages messages = {0};
    Style *style = read_fixture(NULL, &messages);
    const Seam *collar = &style->seams[0];
    assert_int_equal(collar->side_count, 2);
    assert_int_equal(collar->sides[0].count, 2);
    assert_string_equal(collar->sides[0].edges[1]->path, "quarter-med.topline");
    assert_int_equal(collar->rows.count, 2);
    assert_string_equal(collar->rows.items[1]->path, "collar.2");
    assert_float_equal(record_value(collar->rows.items[1], ROW_PITCH)->quantity.nominal, 2.54,
                       1e-12);
    assert_int_equal(collar->mark_count, 2);
    assert_float_equal(collar->marks[1], 62, 1e-9);
    assert_true(collar->spots_given);
    assert_int_equal(collar->spots[0].ply_count, 3);
    assert_float_equal(collar->spots[0].plies[1].times.quantity.nominal, 2, 0);
    assert_null(collar->spots[0].plies[2].part);
    assert_string_equal(style->seams[1].sides[1].bare->path, "vamp");
    assert_int_equal(style->order_count, 3);
    assert_int_equal(style->order[0], 1);
    assert_int_equal(style->order[2], 0);
    assert_int_equal(style->keep_count, 3);
    style_free(style);
    messages_free(&messages);
}

static void test_backing(void **state)
{
    (void)state;
    Messages messages = {0};
    Style *style = read_fixture(NULL, &messages);
    assert_int_equal(style->backing_count, 1);
    const Backing *foam = &style->backings[0];
    assert_string_equal(foam->part->path, "collar-foam");
    assert_int_equal(foam->backed_count, 2);
    assert_string_equal(foam->insets[0].edge, "topline");
    assert_float_equal(foam->insets[0].amount.quantity.nominal, 3, 0);
    style_free(style);
    messages_free(&messages);
}

static void test_placeholders(void **state)
{
    (void)state;
    Messages messages = {0};
    Style *style = read_fixture(NULL, &messages);
    Record *bend = find(style, SUBJECT_BEND, "eyestay.facing.unknown");
    assert_true(bend->placeholder);
    assert_int_equal(record_value(bend, BEND_RADIUS)->presence, VALUE_UNKNOWN);
    assert_int_equal(record_value(bend, BEND_RELIEF)->presence, VALUE_UNKNOWN);
    assert_false(has(style, SUBJECT_BEND, "quarter-lat.fold.unknown"));
    assert_false(has(style, SUBJECT_BEND, "collar-lining.topline.unknown"));
    assert_true(find(style, SUBJECT_ROW, "stay.unknown")->placeholder);
    assert_true(find(style, SUBJECT_ROW, "vent-med.unknown")->placeholder);
    assert_int_equal(style->seams[2].rows.count, 0); /* cemented */
    assert_true(style->seams[1].spots_given);
    assert_true(style->seams[1].spots[0].plies_unknown);
    assert_int_equal(record_value(style->seams[1].spots[0].spot, SPOT_AT)->presence, VALUE_UNKNOWN);
    assert_false(style->seams[2].spots_given);
    style_free(style);
    messages_free(&messages);
}

static void test_unknown_wholes(void **state)
{
    (void)state;
    Tried tried =
        try_style(HEAD "last: unknown\nmaterials: {hide: unknown}\n"
                       "parts: {a: unknown, b: {edges: {top: unknown}}, "
                       "c: {backs: unknown, inset: unknown}}\n"
                       "seams: {s: {edges: [b.top], rows: [unknown], spots: [{at: unknown}]}}\n",
                  NULL);
    if (!tried.style)
        messages_write(&tried.messages, stderr);
    assert_non_null(tried.style);
    const Style *style = tried.style;
    assert_int_equal(record_value(style->lists[SUBJECT_LAST].items[0], LAST_GIRTH)->presence,
                     VALUE_UNKNOWN);
    assert_true(find(style, SUBJECT_MATERIAL, "hide")->placeholder);
    assert_true(find(style, SUBJECT_PART, "a")->placeholder);
    assert_true(find(style, SUBJECT_BEND, "b.top.unknown")->placeholder);
    assert_true(find(style, SUBJECT_ROW, "s.1")->placeholder);
    assert_true(style->backings[0].backed_unknown);
    assert_int_equal(style->backings[0].insets[0].amount.presence, VALUE_UNKNOWN);
    assert_null(style->backings[0].insets[0].edge);
    assert_true(style->seams[0].spots[0].plies_unknown);
    tried_free(&tried);
}

/* clang-format off */
static const struct {
    const char *yaml;
    int line;
    const char *words;
} refused[] = {
    {"name: N\ncordwain: style/1\n", 2, "first line"},
    {"- 1\n", 1, "first line"},
    {"cordwain: factory/1\nname: N\n", 1, "expected style/1"},
    {"cordwain: style/2\nname: N\ncode: C\n", 1, "expected style/1"},
    {"cordwain: style/1\nname: N\n", 1, "style code is missing"},
    {"cordwain: style/1\nname: unknown\ncode: C\n", 2, "cannot be unknown"},
    {HEAD "lengths: km\n", 4, "mm, cm or in"},
    {HEAD "stage: pullover\n", 4, "did you mean pull-over?"},
    {HEAD "sizes: unknown\n", 4, "cannot be unknown"},
    {HEAD "sizes: {system: paris-point, base: 42, from: 36, to: 46, setp: 1}\n",
     4, "did you mean step?"},
    {HEAD "sizes: {system: paris, base: 42, from: 36, to: 46}\n", 4, "paris-point"},
    {HEAD "sizes: {system: paris-point, base: 52, from: 36, to: 46}\n", 4, "between"},
    {HEAD "sizes: {system: paris-point, base: 42, from: 36, to: 45.5}\n", 4, "whole steps"},
    {HEAD "sizes: {system: paris-point, base: 42, from: 36, to: 46, step: 0}\n",
     4, "at least 0.25"},
    {HEAD "sizes: {system: paris-point, base: 42, from: 36, to: 46, step: 0.125}\n",
     4, "at least 0.25"},
    {HEAD "sizes: {system: mondopoint, base: 270, from: 0, to: 5000}\n", 4, "from 0 to 1000"},
    {HEAD "sizes: {system: paris-point, base: 999999999, from: 999999998, to: 999999999}\n",
     4, "from 0 to 1000"},
    {HEAD "sizes: {system: paris-point, base: 42, from: -1, to: 46}\n", 4, ""},
    {HEAD "sizes: {system: mondopoint, base: 270, from: 0, to: 400, step: 1}\n",
     4, "more than 200"},
    {HEAD, 1, "at least one part"},
    {HEAD "parts: {}\n", 4, "at least one part"},
    {HEAD PARTS "alternatives: {x: {parts: removed}}\n", 1, "at least one part"},
    {HEAD PARTS "seams: {s: {join: lapped, edges: [a.top, b.top], spots: [{plies: []}]}}\n",
     6, "plies is empty"},
    {HEAD PARTS "seams: {s: {join: lapped, edges: [a.top, b.top], rows: []}}\n",
     6, "rows is empty"},
    {HEAD PARTS "seams: {s: {join: bound, edges: [a.top], rows: []}}\n", 6, "rows is empty"},
    {HEAD PARTS "seams: {s: {edges: [a.top, b.top], spots: [{plies: [a]}]}}\n",
     6, "s.spot-1 has no ply of b"},
    {HEAD PARTS "seams: {s: {edges: [[a.top, a.end], b], spots: [{plies: [b]}]}}\n",
     6, "s.spot-1 has no ply of a"},
    {HEAD PARTS "seams: {s: {edges: [a.top, a.top]}}\n", 6, "a.top stands twice"},
    {HEAD PARTS "seams: {s: {edges: [[a.top, b.top], a.top]}}\n", 6, "a.top stands twice"},
    {HEAD PARTS "seams: {s: {edges: [b, b]}}\n", 6, "b stands twice"},
    {HEAD PARTS "holes: {h: {part: a, along: b.top}}\n", 6, "b.top is no edge of a"},
    {HEAD "parts: {a: {edges: {top: {length: 30 mm}, end: {length: 10 mm}}}, b: {}}\n"
          "seams: {s: {edges: [[a.top, a.end], b], spots: [{at: 41 mm, plies: [a, b]}]}}\n",
     5, "at is 41 mm, past the end of the seam's first side, which is 40 mm long"},
    {HEAD "parts: {a: {edges: {top: {length: 30 mm, bends: [{radius: 20 mm, turn: 100 deg}]}}}}\n",
     4, "longer than its edge a.top"},
    {HEAD "parts: {a: {along: a.top, edges: {top: {}}}}\n", 4, "an edge of itself"},
    {HEAD "parts: {a: {backs: b}, b: {backs: c}, c: {backs: [d, a]}, d: {}}\n",
     4, "c backs a, which backs it in turn"},
    {HEAD PARTS "stage: xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxyyyy\n",
     6, "xxx…; "},
    {HEAD "sizes: {system: paris-point, base: unknown, from: 36, to: 46}\n",
     4, "cannot be unknown"},
    {HEAD "materials: {hide-1: {kind: leather}}\nparts: {a: {material: hide-2}}\n",
     5, "did you mean hide-1?"},
    {HEAD "materials: {hide_1: {kind: leather}}\n", 4, "U+005F"},
    {HEAD "materials: [hide]\n", 4, "a list"},
    {HEAD PARTS "colourways: {Bark: {hide: unknown}}\n", 6, "cannot be unknown"},
    {HEAD PARTS "colourways: {Bark: {hyde: hide}}\n", 6, "did you mean hide?"},
    {HEAD "sheets: {lateral: {along: z}}\n", 4, "x, y or an angle"},
    {HEAD "sheets: {lateral: {along: x}}\nparts: {a: {sheet: latral}}\n",
     5, "did you mean lateral?"},
    {HEAD "parts: {a: {edges: unknown}}\n", 4, "cannot be unknown"},
    {HEAD "parts: {a: {edges: {top: {bends: {}}}}}\n", 4, "bends is a list"},
    {HEAD "parts: {a: {edges: {top: {bends: [{radius: 4 mm, curv: inward}]}}}}\n",
     4, "did you mean curve?"},
    {HEAD "parts: {a: {inset: 3 mm}}\n", 4, "backs is missing"},
    {HEAD "parts: {a: {backs: [a]}}\n", 4, "cannot back itself"},
    {HEAD "parts: {a: {edges: {top: {}}}, f: {backs: a, inset: {tob: 3 mm}}}\n",
     4, "did you mean top?"},
    {HEAD "parts: {a: {along: top}}\n", 4, "is no edge"},
    {HEAD "parts: {a: {mirror: b}, b: {mirror: a}}\n", 4, "mirrors another part itself"},
    {HEAD "parts: {a: {mirror: bb, but: {}}, bbc: {}}\n", 4, "did you mean bbc?"},
    {HEAD "parts: {a: {mirror: b, layer: 1}, b: {}}\n", 4, "{but: {layer: …}}"},
    {HEAD "parts: {a: {mirror: b, but: {edges.top.finish: raw}}, b: {edges: {tip: {}}}}\n",
     4, "has no top"},
    {HEAD PARTS "holes: {h: {part: a}}\n", 6, "hole along is missing"},
    {HEAD PARTS "holes: {h: unknown}\n", 6, "cannot be unknown"},
    {HEAD PARTS "seams: {s: {join: lapped}}\n", 6, "needs edges"},
    {HEAD PARTS "seams: {s: {join: lapped, edges: unknown}}\n", 6, "needs edges"},
    {HEAD PARTS "seams: {s: {join: lapped, edges: [a.top, unknown]}}\n", 6, "cannot be unknown"},
    {HEAD PARTS "seams: {s: {join: lapped, edges: [a.top]}}\n", 6, "at least 2"},
    {HEAD PARTS "seams: {s: {join: bound, edges: []}}\n", 6, "at least 1"},
    {HEAD PARTS "seams: {s: {join: lapped, edges: [a.top, b.topp]}}\n", 6, "did you mean b.top?"},
    {HEAD PARTS "seams: {s: {join: lapped, edges: [a.top, c]}}\n", 6, "no part c"},
    {HEAD PARTS "seams: {s: {edges: [a.top, [b]]}}\n", 6, "is no edge"},
    {HEAD PARTS "seams: {s: {edges: [a.top, []]}}\n", 6, "no edge"},
    {HEAD PARTS "seams: {s: {edges: [a.top, b.top], ease: {a.end: 1 mm}}}\n",
     6, "does not join a.end"},
    {HEAD PARTS "seams: {s: {edges: [a.top, b.top], ease: {a.top: 1 K}}}\n", 6, "ease"},
    {HEAD PARTS "seams: {s: {edges: [a.top, b.top], marks: [3]}}\n", 6, "unit"},
    {HEAD PARTS "seams: {s: {edges: [a.top, b.top], marks: 3 mm}}\n", 6, "a list of lengths"},
    {HEAD PARTS "seams: {s: {edges: [a.top, b.top], marks: [3 mm, 3 mm]}}\n", 6, "in order"},
    {HEAD PARTS "seams: {s: {edges: [a.top, b.top], marks: [0 mm]}}\n", 6, "in order"},
    {HEAD "materials: {hide: {kind: leather}}\n"
          "parts: {a: {edges: {top: {length: 20 mm}}}, b: {edges: {top: {length: 40 mm}}}}\n"
          "seams: {s: {edges: [a.top, b.top], marks: [10 mm, 20.5 mm]}}\n",
     6, "past the end of the seam's first side, which is 20 mm long"},
    {HEAD PARTS "seams: {s: {edges: [a.top, b.top], rows: 2}}\n", 6, "rows is a list"},
    {HEAD PARTS "seams: {s: {edges: [a.top, b.top], spots: [{plies: [{tims: 2}]}]}}\n",
     6, "did you mean times?"},
    {HEAD PARTS "seams: {s: {edges: [a.top, b.top], spots: [{plies: [{times: 2}]}]}}\n",
     6, "names no part"},
    {HEAD PARTS "seams: {s: {edges: [a.top, b.top], machine: post.1}}\n", 6, "U+002E"},
    {HEAD PARTS "seams: {s: {edges: [a.top, b.top]}, t: {mirror: s}}\n", 6, "its own edges"},
    {HEAD PARTS "seams: {s: {edges: [a.top, b.top]}}\norder: [s, s]\n", 7, "made twice"},
    {HEAD PARTS "seams: {s: {edges: [a.top, b.top]}}\norder: [{x: [t]}]\n", 7, "no seam t"},
    {HEAD PARTS "order: {x: []}\n", 6, "order is a list"},
    {HEAD PARTS "keeps: [parts.a.edge]\n", 6, "did you mean edges?"},
    {HEAD PARTS "keeps: parts.a\n", 6, "keeps is a list"},
    {HEAD PARTS "alternatives: {as-written: {}}\n", 6, "choose another name"},
    {HEAD PARTS "alternatives: {x: {from: x}}\n", 6, "built from itself"},
    {HEAD PARTS "alternatives: {x: {from: y}, y: {from: x}}\n", 6, "built from itself"},
    {HEAD PARTS "alternatives: {wide: {}, y: {from: wid}}\n", 6, "did you mean wide?"},
    {HEAD PARTS "alternatives: {x: unknown}\n", 6, "has no changes"},
    {HEAD PARTS "alternatives: {x: {parts.a.edges.topp.finish: raw}}\n", 6, "did you mean top?"},
    {HEAD PARTS "alternatives: {x: {parts.a.edges.top.finish: rawr}}\n", 6, "did you mean raw?"},
    {HEAD PARTS "alternatives: {x: {parts.a.edges.top.finsh: raw}}\n", 6, "did you mean finish?"},
    {HEAD PARTS "seams: {s: {edges: [a.top, b.top]}}\nalternatives: {x: {parts.b: removed}}\n",
     6, "no edge b.top"},
    {HEAD "parts: {a: {edges: {top: {}}}, b: {mirror: a}}\n"
          "alternatives: {x: {parts.b.edges.top.finish: raw}}\n", 5, "it mirrors a"},
    {HEAD "parts: {a: {layer: 1}, b: {mirror: a}}\nalternatives: {x: {parts.b.layer: 2}}\n",
     5, "write parts.b.but.…"},
    {HEAD PARTS "alternatives: {x: {cordwain: style/2}}\n", 6, "cannot be changed"},
    {"cordwain: factory/1\nname: N\n", 1, "a factory goes with --factory FILE"},
    {"cordwain: rules/1\nname: N\n", 1, "cordwain rules FILE"},
    {HEAD "sizes: {system: EU, base: 42, from: 36, to: 46}\n", 4, "write paris-point"},
    {HEAD "sizes: {system: uk, base: 8, from: 6, to: 11}\n", 4, "write english"},
    {HEAD PARTS "seams: {s: {join: lapped, edges: [a top, b.top]}}\n",
     6, "edges are written part.edge, and names hold no blanks; did you mean a.top?"},
    {HEAD PARTS "seams: {s: {join: lapped, edges: [[a.top, no such], b.top]}}\n",
     6, "names hold no blanks, such as vamp.throat"},
    {HEAD PARTS "seams: {s: {join: lapped, edges: [end, b.top]}}\n", 6, "did you mean a.end?"},
    {HEAD PARTS "seams: {s: {join: lapped, edges: [quarter, b.top]}}\n",
     6, "no part quarter; known: a, b"},
    {HEAD PARTS "seams: {s: {join: lapped, edges: [a.facing, b.top]}}\n",
     6, "no edge a.facing; known: a.top, a.end"},
    {HEAD "materials: {hide: {}, mesh: {}}\nparts: {a: {material: canvas}}\n",
     5, "no material canvas; known: hide, mesh"},
    {HEAD "parts: {a: {material: canvas}}\n", 4, "no material canvas; none is given"},
    {HEAD "materials: {m1: {}, m2: {}, m3: {}, m4: {}, m5: {}, m6: {}, m7: {}, m8: {}, m9: {}, "
          "m10: {}, m11: {}, m12: {}, m13: {}}\nparts: {a: {material: canvas}}\n",
     5, "13 are known: m1, m2, m3, m4, m5, m6, …"},
    {HEAD "parts: {a: {edges: {top: {length: 40 mm, bends: [{at: 41 mm}]}}}}\n",
     4, "at is 41 mm, past the end of the edge, which is 40 mm long"},
    {HEAD "lengths: mm\nparts: {a: {edges: {top: {length: 40}}}}\n"
          "holes: {h: {part: a, along: a.top, first: 50}}\n", 6, "first is 50 mm, past the end"},
    {HEAD "parts: {a: {edges: {top: {length: 40 mm, bends: [{at: 30 mm}]}}}}\n"
          "alternatives: {x: {parts.a.edges.top.length: 20 mm}}\n", 4, "which is 20 mm long"},
};
/* clang-format on */

static void test_refused(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        Tried tried = try_style(refused[i].yaml, NULL);
        if (tried.style || !has_error(&tried.messages, refused[i].line, refused[i].words)) {
            messages_write(&tried.messages, stderr);
            fail_msg("%s: expected \"%s\" at line %d", refused[i].yaml, refused[i].words,
                     refused[i].line);
        }
        tried_free(&tried);
    }
}

/* What may lie at the very end, or where the length is not known. */
static void test_places_on_the_edge(void **state)
{
    (void)state;
    Tried tried = try_style(HEAD "parts: {a: {edges: {top: {length: 40 mm, bends: [{at: 40 mm}]}, "
                                 "end: {length: 40 ± 2 mm, bends: [{at: 42 mm}]}, "
                                 "side: {bends: [{at: 900 mm}]}}}}\n",
                            NULL);
    assert_non_null(tried.style);
    assert_int_equal(tried.messages.errors, 0);
    tried_free(&tried);
}

static const Message *error_at(const Messages *messages, int line)
{
    for (size_t i = 0; i < messages->count; i++)
        if (messages->items[i].level == MESSAGE_ERROR && messages->items[i].at.line == line)
            return &messages->items[i];
    fail_msg("no error at line %d", line);
    return NULL;
}

/* A message about one line names the other that it does not agree with. */
static void test_both_places(void **state)
{
    (void)state;
    Tried tried = try_style(HEAD "parts:\n"
                                 "  a: {layer: 1}\n"
                                 "  b: {layer: 1}\n"
                                 "  c: {mirror: a, layer: 1}\n"
                                 "  d:\n"
                                 "    edges:\n"
                                 "      top:\n"
                                 "        length: 40 mm\n"
                                 "        bends: [{at: 41 mm}]\n"
                                 "alternatives:\n"
                                 "  x:\n"
                                 "    parts.b.mirror: a\n",
                            NULL);
    assert_null(tried.style);
    assert_int_equal(error_at(&tried.messages, 6)->other.line, 15);
    assert_null(error_at(&tried.messages, 7)->other.file);
    assert_int_equal(error_at(&tried.messages, 12)->other.line, 11);
    tried_free(&tried);
}

/* Shared by a mirror and met again in every alternative: told once. */
static void test_told_once(void **state)
{
    (void)state;
    Tried tried = try_style(HEAD "parts: {a: {layer: 0}, b: {mirror: a}, c: {mirror: a}}\n"
                                 "alternatives: {x: {}, y: {parts.c: removed}}\n",
                            NULL);
    assert_null(tried.style);
    assert_int_equal(tried.messages.errors, 1);
    tried_free(&tried);
}

/* ---- Limits: each is refused at once and says what is taken ---- */

static void assert_too_many(Text *yaml, int line, const char *words)
{
    Tried tried = try_style(text_string(yaml), NULL);
    if (!has_error(&tried.messages, line, words))
        messages_write(&tried.messages, stderr);
    assert_null(tried.style);
    assert_true(has_error(&tried.messages, line, words));
    tried_free(&tried);
    text_free(yaml);
}

static void test_alternatives_limit(void **state)
{
    (void)state;
    Text yaml = {0};
    text_add(&yaml, HEAD PARTS "alternatives:\n");
    for (int i = 0; i < 64; i++)
        text_addf(&yaml, "  x%d: {parts.a.layer: 2}\n", i);
    Tried tried = try_style(text_string(&yaml), NULL);
    assert_non_null(tried.style);
    tried_free(&tried);
    text_add(&yaml, "  more: {}\n");
    assert_too_many(&yaml, 71, "at most 64");
}

static void test_lanes_limit(void **state)
{
    (void)state;
    Text yaml = {0};
    text_add(&yaml, HEAD "sizes: {system: paris-point, base: 40, from: 31, to: 50}\n" PARTS
                         "colourways:\n");
    for (int i = 0; i < 100; i++)
        text_addf(&yaml, "  c%d: {}\n", i);
    Tried tried = try_style(text_string(&yaml), NULL);
    assert_non_null(tried.style);
    tried_free(&tried);
    text_add(&yaml, "  more: {}\n");
    assert_too_many(&yaml, 8, "20 sizes in 101 colourways are 2020 to judge; at most 2000");
}

static void test_sides_and_backed_limits(void **state)
{
    (void)state;
    Text sides = {0}, backs = {0};
    text_add(&sides, HEAD PARTS "seams: {s: {join: closed, edges: [a.top");
    text_add(&backs, HEAD "parts: {a: {}, b: {backs: [a");
    for (int i = 0; i < 100; i++) {
        text_add(&sides, ", b.top");
        text_add(&backs, ", a");
    }
    text_add(&sides, "]}}\n");
    text_add(&backs, "]}}\n");
    assert_too_many(&sides, 6, "at most 32 sides");
    assert_too_many(&backs, 4, "at most 100");
}

/* 200 mirrors of a part of 1000 edges. */
static void test_mirrors_limit(void **state)
{
    (void)state;
    Text yaml = {0};
    text_add(&yaml, HEAD "parts:\n  a:\n    edges:\n");
    for (int i = 0; i < 1000; i++)
        text_addf(&yaml, "      e%d: {finish: raw}\n", i);
    for (int i = 0; i < 200; i++)
        text_addf(&yaml, "  m%d: {mirror: a}\n", i);
    assert_too_many(&yaml, 1006 + 49, "more than 200000");
}

/* Past the twentieth error nothing is explained any more, but all are counted. */
static void test_many_errors_are_counted(void **state)
{
    (void)state;
    Text yaml = {0};
    text_add(&yaml, HEAD "parts:\n");
    for (int i = 0; i < 500; i++)
        text_addf(&yaml, "  p%d: {material: m%d}\n", i, i);
    Tried tried = try_style(text_string(&yaml), NULL);
    assert_int_equal(tried.messages.errors, 500);
    assert_int_equal(tried.messages.count, MESSAGES_ERRORS_A_FILE);
    tried_free(&tried);
    text_free(&yaml);
}

/* What is not known, and what lies within a tolerance, is let be. */
static void test_what_is_let_be(void **state)
{
    (void)state;
    static const char *const taken[] = {
        "rows: [], join: welded",
        "rows: [], join: cemented",
        "join: lapped, spots: [{plies: [a, unknown]}]",
        "join: lapped, spots: [{plies: unknown}]",
        "join: lapped, spots: [{at: 30.5 ± 1 mm, plies: [b, a]}]",
        "join: lapped, spots: [{at: 30 mm, plies: [b, a]}]",
    };
    for (size_t i = 0; i < sizeof taken / sizeof taken[0]; i++) {
        Text yaml = {0};
        text_addf(&yaml,
                  HEAD "parts: {a: {edges: {top: {length: 30 mm, bends: [{radius: 18 mm, "
                       "turn: 100 deg}]}}}, b: {}, f: {backs: [a, b]}, g: {backs: [a, f]}}\n"
                       "seams: {s: {edges: [a.top, b], %s}}\n",
                  taken[i]);
        Tried tried = try_style(text_string(&yaml), NULL);
        if (!tried.style)
            messages_write(&tried.messages, stderr);
        assert_non_null(tried.style);
        tried_free(&tried);
        text_free(&yaml);
    }
}

static void test_missing_file(void **state)
{
    (void)state;
    Messages messages = {0};
    assert_null(style_read("tests/fixtures/none.yaml", NULL, NULL, 0, &messages));
    assert_int_equal(messages.errors, 1);
    messages_free(&messages);
    style_free(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_values),
        cmocka_unit_test(test_sizes_and_colourways),
        cmocka_unit_test(test_mirrored_part_shares_values),
        cmocka_unit_test(test_seams),
        cmocka_unit_test(test_backing),
        cmocka_unit_test(test_placeholders),
        cmocka_unit_test(test_unknown_wholes),
        cmocka_unit_test(test_refused),
        cmocka_unit_test(test_places_on_the_edge),
        cmocka_unit_test(test_both_places),
        cmocka_unit_test(test_told_once),
        cmocka_unit_test(test_alternatives_limit),
        cmocka_unit_test(test_lanes_limit),
        cmocka_unit_test(test_sides_and_backed_limits),
        cmocka_unit_test(test_mirrors_limit),
        cmocka_unit_test(test_many_errors_are_counted),
        cmocka_unit_test(test_what_is_let_be),
        cmocka_unit_test(test_missing_file),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Making orders of the demos: which seam closes the ring, what is left flat, and that
 * a proposal is an order at all. That the upper starts flat and the seam that closes
 * it into a ring ends that: common practice, no published source. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "making/making.h"

#include "scratch.h"

typedef struct Order {
    Arena arena;
    Messages messages;
    RuleSet *rules;
    Style *style;
    Judgement *judgement;
    MakingOrder given, proposed;
} Order;

static Order order_of(const char *path, const char *alternative, const Patch *patches, size_t count)
{
    static const char *const rules[] = {"rules/base/pair.yaml"};
    Order o = {0};
    o.rules = rules_read(rules, 1, NULL, &o.messages);
    YamlFile *file = yaml_read(&o.arena, path, false, &o.messages);
    o.style = file ? style_from_tree(file, alternative, patches, count, &o.messages) : NULL;
    if (!o.rules || !o.style)
        messages_write(&o.messages, stderr);
    assert_true(o.rules && o.style);
    o.judgement = judge(o.style, o.rules, NULL);
    o.given = making_given(&o.arena, o.judgement);
    o.proposed = making_proposed(&o.arena, o.judgement);
    return o;
}

static void order_free(Order *o)
{
    judgement_free(o->judgement);
    style_free(o->style);
    rules_free(o->rules);
    messages_free(&o->messages);
    arena_free(&o->arena);
}

static size_t position(const MakingOrder *order, const char *seam)
{
    for (size_t i = 0; i < order->count; i++)
        if (strcmp(order->steps[i].seam->record->path, seam) == 0)
            return i;
    fail_msg("%s is not in the order", seam);
    return 0;
}

static const MakingStep *step(const MakingOrder *order, const char *seam)
{
    return &order->steps[position(order, seam)];
}

static bool says(const char **items, size_t count, const char *text)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(items[i], text) == 0)
            return true;
    return false;
}

static const char *const skerry = "styles/skerry.yaml";

static void the_last_of_three_seams_closes_the_ring(void **state)
{
    (void)state;
    Order o = order_of(skerry, NULL, NULL, 0);
    assert_int_equal(step(&o.given, "back-seam")->sewing.ring, TRI_NO);
    assert_int_equal(step(&o.given, "vamp-quarter-lat")->sewing.flat, TRI_YES);
    assert_int_equal(step(&o.given, "vamp-quarter-med")->sewing.ring, TRI_YES);
    assert_int_equal(step(&o.given, "vamp-quarter-med")->sewing.flat, TRI_NO);
    assert_string_equal(step(&o.given, "tongue-set")->round,
                        "vamp-quarter-med has closed a ring by then");
    assert_int_equal(o.given.flat, 15);
    assert_int_equal(o.given.round, 6);
    order_free(&o);
}

/* Lapped it lies open over the ring; face to face both plies lie on the bed. */
static void a_ring_closed_face_to_face_is_closed_flat(void **state)
{
    (void)state;
    Order o = order_of(skerry, "turned", NULL, 0);
    assert_int_equal(step(&o.given, "vamp-quarter-med")->sewing.ring, TRI_YES);
    assert_int_equal(step(&o.given, "vamp-quarter-med")->sewing.flat, TRI_YES);
    order_free(&o);
}

static void a_proposal_leaves_the_face_to_face_seam_for_last(void **state)
{
    (void)state;
    Order o = order_of(skerry, NULL, NULL, 0);
    assert_true(o.proposed.flat > o.given.flat);
    assert_int_equal(step(&o.proposed, "vamp-quarter-med")->sewing.flat, TRI_YES);
    assert_int_equal(step(&o.proposed, "back-seam")->sewing.ring, TRI_YES);
    assert_int_equal(step(&o.proposed, "back-seam")->sewing.flat, TRI_YES);
    order_free(&o);
}

static void a_proposal_is_an_order_of_all_seams(void **state)
{
    (void)state;
    static const struct {
        const char *path, *alternative;
    } styles[] = {{"styles/skerry.yaml", NULL},
                  {"styles/skerry.yaml", "turned"},
                  {"styles/skerry.yaml", "turned-rounded"},
                  {"styles/fairlead.yaml", NULL},
                  {"styles/pebble.yaml", NULL}};
    for (size_t i = 0; i < sizeof styles / sizeof styles[0]; i++) {
        Order o = order_of(styles[i].path, styles[i].alternative, NULL, 0);
        assert_int_equal(o.proposed.count, o.style->seam_count);
        for (size_t s = 0; s < o.style->seam_count; s++)
            position(&o.proposed, o.style->seams[s].record->path);
        assert_true(o.proposed.flat >= o.given.flat);
        order_free(&o);
    }
}

static void what_makes_one_side_hangs_together_first(void **state)
{
    (void)state;
    Order o = order_of(skerry, NULL, NULL, 0);
    const char *const before_collar[] = {"back-seam", "eyestay-lat", "eyestay-med",
                                         "lining-back-lat", "lining-back-med"};
    for (size_t i = 0; i < sizeof before_collar / sizeof before_collar[0]; i++)
        assert_true(position(&o.proposed, before_collar[i]) < position(&o.proposed, "collar"));
    assert_true(position(&o.proposed, "back-seam") < position(&o.proposed, "heel-patch"));
    order_free(&o);
}

static void operations_come_before_the_first_seam_of_their_part(void **state)
{
    (void)state;
    Order o = order_of(skerry, "turned", NULL, 0);
    const MakingStep *eyestay = step(&o.given, "eyestay-lat");
    assert_true(says(eyestay->before, eyestay->before_count, "fold eyestay-lat.facing"));
    assert_true(says(eyestay->before, eyestay->before_count, "mark and punch eyelets-lat"));
    assert_true(says(eyestay->after, eyestay->after_count, "trim eyestay-lat.outer to 3 mm"));
    assert_true(says(eyestay->after, eyestay->after_count, "turn, and press the edge"));
    const MakingStep *facing = step(&o.given, "facing-lat");
    assert_false(says(facing->before, facing->before_count, "fold eyestay-lat.facing"));
    assert_true(says(step(&o.given, "back-seam")->after, 1, "rub the seam open"));
    order_free(&o);
}

static const YamlNode *word_node(Arena *arena, const char *word)
{
    Messages messages = {0};
    const char *text = arena_printf(arena, "value: %s\n", word);
    YamlFile *file = yaml_read_bytes(arena, "typed", text, strlen(text), false, &messages);
    assert_non_null(file);
    messages_free(&messages);
    return yaml_get(file->root, "value");
}

static void what_the_style_says_wins(void **state)
{
    (void)state;
    Arena arena = {0};
    const YamlNode *word = word_node(&arena, "flat");
    Patch patch = {"seams.vamp-quarter-med.but.sewn", word, word};
    Order o = order_of(skerry, NULL, &patch, 1);
    assert_int_equal(step(&o.given, "vamp-quarter-med")->sewing.flat, TRI_YES);
    order_free(&o);
    word = word_node(&arena, "unknown");
    patch = (Patch){"seams.cap.sewn", word, word};
    o = order_of(skerry, NULL, &patch, 1);
    assert_int_equal(step(&o.given, "cap")->sewing.flat, TRI_UNKNOWN);
    order_free(&o);
    arena_free(&arena);
}

/* ---- Large ones ---- */

static const char head[] = "cordwain: style/1\nname: Row\ncode: R-1\nstage: pull-over\n"
                           "last: {length: 280 mm, girth: 250 mm}\n"
                           "sizes: {system: paris-point, base: 42, from: 42, to: 42}\n"
                           "materials:\n  felt: {kind: woven, thickness: exactly 3 mm}\n";

/* Parts in a row, each sewn to the next. */
static Order row_of(int seams)
{
    char path[SCRATCH_LENGTH];
    FILE *file = scratch_file(path);
    fprintf(file, "%sparts:\n", head);
    for (int i = 0; i <= seams; i++)
        fprintf(file,
                "  p%d: {role: upper, material: felt, layer: 1, pieces: 1, edges: {a: {finish: "
                "raw, length: 20 mm, bends: []}, b: {finish: raw, length: 20 mm, bends: []}}}\n",
                i);
    fprintf(file, "seams:\n");
    for (int i = 0; i < seams; i++)
        fprintf(file, "  s%d: {join: closed, zone: instep, edges: [p%d.a, p%d.b], rows: unknown}\n",
                i, i, i + 1);
    assert_int_equal(fclose(file), 0);
    Order o = order_of(path, NULL, NULL, 0);
    unlink(path);
    return o;
}

static void what_is_too_large_to_try_keeps_its_order_and_says_so(void **state)
{
    (void)state;
    Order o = row_of(200);
    assert_false(o.proposed.unsought);
    assert_int_equal(o.proposed.count, 200);
    order_free(&o);
    o = row_of(400);
    assert_true(o.proposed.unsought);
    assert_int_equal(o.proposed.count, 400);
    for (size_t i = 0; i < o.given.count; i++)
        assert_ptr_equal(o.proposed.steps[i].seam, o.given.steps[i].seam);
    order_free(&o);
}

/* One edge of 60 mm on three of 20: rims of 60 x 10 and thrice 20 x 10, less what is sewn
 * twice. */
static void one_edge_lies_on_several_by_their_lengths(void **state)
{
    (void)state;
    char path[SCRATCH_LENGTH], drawing[SCRATCH_LENGTH];
    FILE *file = scratch_file(drawing);
    fprintf(file, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"200mm\" height=\"200mm\" "
                  "viewBox=\"0 0 200 200\"><g id=\"p\"><path id=\"a\" d=\"M 0 0 h 60\"/>"
                  "<path id=\"b\" d=\"M 60 0 v 10 h -60 v -10\"/></g>");
    for (int i = 0; i < 3; i++)
        fprintf(file, "<g id=\"q%d\"><path id=\"a\" d=\"M %d 50 h 20\"/><path id=\"b\" "
                      "d=\"M %d 50 v 10 h -20 v -10\"/></g>", i, 30 * i, 30 * i + 20);
    fprintf(file, "</svg>\n");
    assert_int_equal(fclose(file), 0);
    file = scratch_file(path);
    fprintf(file, "%sdrawing: %s\nsheets: {s: {along: x}}\nparts:\n", head,
            strrchr(drawing, '/') + 1);
    static const char *const parts[] = {"p", "q0", "q1", "q2"};
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
        fprintf(file, "  %s: {role: upper, material: felt, sheet: s, layer: 1, pieces: 1, edges: "
                      "{a: {finish: raw}, b: {finish: raw}}}\n", parts[i]);
    fprintf(file, "seams:\n  s: {join: closed, zone: instep, edges: [p.a, [q0.a, q1.a, q2.a]], "
                  "rows: unknown}\norder: [s]\n");
    assert_int_equal(fclose(file), 0);
    Order o = order_of(path, NULL, NULL, 0);
    assert_int_equal(step(&o.given, "s")->sewing.flat, TRI_YES);
    assert_int_equal(step(&o.given, "s")->sewing.ring, TRI_NO);
    assert_true(step(&o.given, "s")->sewing.opening > 199.999);
    assert_true(step(&o.given, "s")->sewing.opening < 200.001);
    order_free(&o);
    unlink(path);
    unlink(drawing);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_last_of_three_seams_closes_the_ring),
        cmocka_unit_test(a_ring_closed_face_to_face_is_closed_flat),
        cmocka_unit_test(a_proposal_leaves_the_face_to_face_seam_for_last),
        cmocka_unit_test(a_proposal_is_an_order_of_all_seams),
        cmocka_unit_test(what_makes_one_side_hangs_together_first),
        cmocka_unit_test(operations_come_before_the_first_seam_of_their_part),
        cmocka_unit_test(what_the_style_says_wins),
        cmocka_unit_test(what_is_too_large_to_try_keeps_its_order_and_says_so),
        cmocka_unit_test(one_edge_lies_on_several_by_their_lengths),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

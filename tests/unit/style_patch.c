/* Patches: alternatives, edits, mirrors; and that the file's own tree stays as
 * it was read. */
#include "style_support.h"

#include "style/patch.h"

#define YAML                                                                                       \
    "a: {b: {c: 1, d: 2}, list: [x, {k: 1}, z]}\n"                                                 \
    "ease: {p.q: 1, p: 2}\n"                                                                       \
    "alternatives:\n"                                                                              \
    "  one: {a.b.c: 10, a.b.e: 5}\n"                                                               \
    "  two: {from: one, a.b.d: removed, a.list.2.k: 7}\n"                                          \
    "  three: {from: as-written, a.list.2: removed, ease.new.edge: 3, ease.p.q: 4}\n"

/* The tree as one line, for comparing. */
static void add_tree(Text *text, const YamlNode *node)
{
    if (node->kind == YAML_SCALAR)
        text_add(text, node->text);
    else
        text_add(text, node->kind == YAML_MAPPING ? "{" : "[");
    for (size_t i = 0; i < node->count; i++) {
        text_add(text, i ? " " : "");
        if (node->kind == YAML_MAPPING)
            text_addf(text, "%s=", node->keys[i]->text);
        add_tree(text, node->items[i]);
    }
    if (node->kind != YAML_SCALAR)
        text_add(text, node->kind == YAML_MAPPING ? "}" : "]");
}

static void assert_tree(const YamlNode *node, const char *expected)
{
    Text text = {0};
    add_tree(&text, node);
    assert_string_equal(text_string(&text), expected);
    text_free(&text);
}

typedef struct Fixture {
    Arena arena;
    Messages messages;
    YamlFile *file;
} Fixture;

static Fixture read_yaml(const char *yaml)
{
    Fixture f = {0};
    f.file = yaml_read_bytes(&f.arena, "p.yaml", yaml, strlen(yaml), false, &f.messages);
    assert_non_null(f.file);
    return f;
}

static void done(Fixture *f)
{
    messages_free(&f->messages);
    arena_free(&f->arena);
}

static void assert_alternative(const char *name, const char *a, const char *ease)
{
    Fixture f = read_yaml(YAML);
    Patch *patches;
    size_t count;
    assert_true(patch_alternative(&f.arena, f.file->root, name, &patches, &count, &f.messages));
    YamlNode *tree = patch_tree(&f.arena, f.file->root, patches, count, &f.messages);
    assert_non_null(tree);
    assert_tree(yaml_get(tree, "a"), a);
    assert_tree(yaml_get(tree, "ease"), ease);
    assert_tree(yaml_get(f.file->root, "a"), "{b={c=1 d=2} list=[x {k=1} z]}");
    assert_true(yaml_check(f.file));
    done(&f);
}

static void test_alternatives(void **state)
{
    (void)state;
    assert_alternative(NULL, "{b={c=1 d=2} list=[x {k=1} z]}", "{p.q=1 p=2}");
    assert_alternative("as-written", "{b={c=1 d=2} list=[x {k=1} z]}", "{p.q=1 p=2}");
    assert_alternative("one", "{b={c=10 d=2 e=5} list=[x {k=1} z]}", "{p.q=1 p=2}");
    assert_alternative("two", "{b={c=10 e=5} list=[x {k=7} z]}", "{p.q=1 p=2}");
    assert_alternative("three", "{b={c=1 d=2} list=[x z]}", "{p.q=4 p=2 new.edge=3}");
}

static void assert_no_path(const char *path, bool remove, const char *words)
{
    Fixture f = read_yaml(YAML);
    YamlNode value = {.kind = YAML_SCALAR, .plain = true, .text = "9", .length = 1};
    Patch patch = {path, remove ? NULL : &value, f.file->root->keys[1]};
    assert_null(patch_tree(&f.arena, f.file->root, &patch, 1, &f.messages));
    if (!has_error(&f.messages, 2, words))
        fail_msg("%s: \"%s\" lacks \"%s\"", path, f.messages.items[0].text, words);
    done(&f);
}

static void test_paths_that_lead_nowhere(void **state)
{
    (void)state;
    assert_no_path("a.bb.c", false, "did you mean b?");
    assert_no_path("aa.b.c", false, "the top level has no aa");
    assert_no_path("a.b.c.d", false, "a.b.c is a single value");
    assert_no_path("a.b.cc", true, "did you mean c?");
    assert_no_path("a.list.0", false, "a list of 3");
    assert_no_path("a.list.5", false, "a list of 3");
    assert_no_path("a.list.02", false, "a list of 3");
    assert_no_path("a.list.x", true, "not the number of an item");
    assert_no_path("", false, "the top level has no");
    assert_no_path("alternatives.one", true, "cannot be changed");
    assert_no_path("cordwain", false, "cannot be changed");
}

static void test_next_item_is_added(void **state)
{
    (void)state;
    Fixture f = read_yaml(YAML);
    YamlNode value = {.kind = YAML_SCALAR, .plain = true, .text = "9", .length = 1};
    Patch patch = {"a.list.4", &value, NULL};
    YamlNode *tree = patch_tree(&f.arena, f.file->root, &patch, 1, &f.messages);
    assert_tree(yaml_get(yaml_get(tree, "a"), "list"), "[x {k=1} z 9]");
    done(&f);
}

static void test_path_checks(void **state)
{
    (void)state;
    Fixture f = read_yaml(YAML);
    assert_true(patch_path_leads(f.file->root, "a.list.2.k"));
    assert_true(patch_path_leads(f.file->root, "ease.p.q"));
    assert_false(patch_path_leads(f.file->root, "a.list.4"));
    assert_true(patch_path_check(&f.arena, f.file->root, "a.b", (Where){0}, &f.messages));
    assert_false(patch_path_check(&f.arena, f.file->root, "", (Where){0}, &f.messages));
    assert_false(patch_path_check(&f.arena, f.file->root, "a.c", (Where){0}, &f.messages));
    assert_int_equal(f.messages.errors, 2);
    done(&f);
}

static void test_unknown_alternative(void **state)
{
    (void)state;
    Fixture f = read_yaml(YAML);
    Patch *patches;
    size_t count;
    assert_false(patch_alternative(&f.arena, f.file->root, "onne", &patches, &count, &f.messages));
    assert_true(has_error(&f.messages, 0, "did you mean one?"));
    done(&f);
}

static void test_mirrors(void **state)
{
    (void)state;
    Fixture f = read_yaml("sheets: {lateral: {}}\nparts:\n"
                          "  a: {side: lateral, sheet: lateral, edges: {top: {finish: raw}}}\n"
                          "  b: {mirror: a, but: {edges.top.length: 3, layer: 1}}\n"
                          "  c: {mirror: a, but: {side: both, edges.top: removed}}\n");
    YamlNode *tree = patch_mirrors(&f.arena, f.file->root, &f.messages);
    assert_int_equal(f.messages.errors, 0);
    assert_tree(yaml_get(tree, "parts"),
                "{a={side=lateral sheet=lateral edges={top={finish=raw}}} "
                "b={side=medial edges={top={finish=raw length=3}} layer=1} "
                "c={side=both edges={}}}");
    YamlNode *parts = yaml_get(tree, "parts");
    assert_int_equal(yaml_where(yaml_get(parts, "b")).line, 4);
    assert_int_equal(yaml_where(yaml_get(yaml_get(yaml_get(parts, "b"), "edges"), "top")).line, 3);
    assert_tree(yaml_get(yaml_get(f.file->root, "parts"), "b"),
                "{mirror=a but={edges.top.length=3 layer=1}}");
    assert_true(yaml_check(f.file));
    done(&f);
}

static double radius(const Style *style)
{
    return record_value(record_find(&style->lists[SUBJECT_BEND], "vamp.throat.1"), BEND_RADIUS)
        ->quantity.nominal;
}

/* Edits of the review come after the alternative's patches. */
static void test_edits_and_the_file(void **state)
{
    (void)state;
    Arena arena = {0};
    Messages messages = {0};
    YamlFile *file = yaml_read(&arena, "tests/fixtures/deck.yaml", false, &messages);
    Text before = {0}, after = {0};
    add_tree(&before, file->root);
    YamlNode value = {.kind = YAML_SCALAR, .plain = true, .text = "12 mm", .length = 5};
    Patch edit = {"parts.vamp.edges.throat.bends.1.radius", &value, NULL};
    Style *plain = style_from_tree(file, NULL, NULL, 0, &messages);
    Style *turned = style_from_tree(file, "turned", NULL, 0, &messages);
    Style *overlay = style_from_tree(file, "overlay", NULL, 0, &messages);
    Style *edited = style_from_tree(file, "overlay", &edit, 1, &messages);
    assert_int_equal(messages.count, 0);
    assert_float_equal(radius(plain), 4.5, 0);
    assert_float_equal(radius(turned), 9, 0);
    assert_float_equal(radius(overlay), 9, 0);
    assert_float_equal(radius(edited), 12, 0);
    assert_string_equal(edited->alternative, "overlay");
    assert_null(record_find(&edited->lists[SUBJECT_BEND], "vamp.throat.2"));
    assert_int_equal(edited->seams[0].rows.items[0]->placeholder, true);
    const Value *length =
        record_value(record_find(&edited->lists[SUBJECT_EDGE], "quarter-med.vent"), EDGE_LENGTH);
    assert_float_equal(length->quantity.nominal, 30, 0);
    add_tree(&after, file->root);
    assert_string_equal(text_string(&before), text_string(&after));
    assert_true(yaml_check(file));
    text_free(&before);
    text_free(&after);
    Style *styles[] = {plain, turned, overlay, edited};
    for (size_t i = 0; i < 4; i++)
        style_free(styles[i]);
    messages_free(&messages);
    arena_free(&arena);
}

static void test_wrong_edit(void **state)
{
    (void)state;
    Arena arena = {0};
    Messages messages = {0};
    YamlFile *file = yaml_read(&arena, "tests/fixtures/deck.yaml", false, &messages);
    YamlNode value = {.kind = YAML_SCALAR, .plain = true, .text = "12", .length = 2};
    Patch edit = {"parts.vamp.edges.throat.bends.1.radius", &value, NULL};
    assert_null(style_from_tree(file, NULL, &edit, 1, &messages));
    assert_int_equal(messages.errors, 1);
    messages_free(&messages);
    assert_null(style_from_tree(file, "none", NULL, 0, &messages));
    assert_int_equal(messages.errors, 1);
    messages_free(&messages);
    arena_free(&arena);
}

/* One mapping is copied once for all patches, and the file stays as it was. */
static void test_many_patches(void **state)
{
    (void)state;
    enum { MANY = 3000 };
    Fixture f = read_yaml("a: {b: {k0: 1}}\n");
    Patch *patches = ARENA_NEW(&f.arena, Patch, MANY);
    const YamlNode *value = yaml_get(f.file->root, "a");
    for (int i = 0; i < MANY; i++)
        patches[i] = (Patch){arena_printf(&f.arena, "a.b.k%d", i), value, NULL};
    YamlNode *first = patch_tree(&f.arena, f.file->root, patches, 1, &f.messages);
    YamlNode *all = patch_tree(&f.arena, first, patches, MANY, &f.messages);
    assert_int_equal(yaml_get(yaml_get(all, "a"), "b")->count, MANY);
    assert_int_equal(yaml_get(yaml_get(first, "a"), "b")->count, 1);
    assert_true(yaml_get(yaml_get(all, "a"), "b")->room < 3 * MANY);
    assert_ptr_equal(yaml_get(all, "a")->copied_by, all->copied_by);
    assert_ptr_not_equal(first->copied_by, all->copied_by);
    assert_tree(f.file->root, "{a={b={k0=1}}}");
    done(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_many_patches),
        cmocka_unit_test(test_alternatives),
        cmocka_unit_test(test_paths_that_lead_nowhere),
        cmocka_unit_test(test_next_item_is_added),
        cmocka_unit_test(test_path_checks),
        cmocka_unit_test(test_unknown_alternative),
        cmocka_unit_test(test_mirrors),
        cmocka_unit_test(test_edits_and_the_file),
        cmocka_unit_test(test_wrong_edit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

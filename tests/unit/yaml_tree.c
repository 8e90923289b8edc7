/* The YAML tree: shape, positions, byte ranges, copies. What is refused is
 * tested in tests/hostile/yaml_hostile.c. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "base/text.h"
#include "yaml/yaml_tree.h"

static Arena arena;
static Messages messages;

static int clean(void **state)
{
    (void)state;
    arena_free(&arena);
    messages_free(&messages);
    return 0;
}

static YamlNode *root_of(const char *text)
{
    YamlFile *file = yaml_read_bytes(&arena, "a.yaml", text, strlen(text), true, &messages);
    if (!file)
        fail_msg("refused: %s", messages.count ? messages.items[0].text : "in silence");
    assert_true(yaml_check(file));
    assert_string_equal(file->bytes, text);
    return file->root;
}

static void assert_range(const YamlNode *node, const char *expected)
{
    char *found = arena_copy(&arena, node->file->bytes + node->start, node->end - node->start);
    assert_string_equal(found, expected);
}

static void assert_at(const YamlNode *node, int line, int column)
{
    Where at = yaml_where(node);
    assert_string_equal(at.file, "a.yaml");
    assert_int_equal(at.line, line);
    assert_int_equal(at.column, column);
}

static void a_style_keeps_its_shape(void **state)
{
    (void)state;
    YamlNode *root = root_of("cordwain: style/1\n"
                             "parts:\n"
                             "  vamp:\n"
                             "    edges: {throat: {bends: [{radius: 4.5 mm}, unknown]}}\n");
    assert_int_equal(root->kind, YAML_MAPPING);
    assert_int_equal(root->count, 2);
    assert_string_equal(yaml_get(root, "cordwain")->text, "style/1");
    YamlNode *edges = yaml_get(yaml_get(yaml_get(root, "parts"), "vamp"), "edges");
    YamlNode *bends = yaml_get(yaml_get(edges, "throat"), "bends");
    assert_int_equal(bends->kind, YAML_SEQUENCE);
    assert_null(bends->keys);
    assert_int_equal(bends->count, 2);
    assert_string_equal(yaml_get(bends->items[0], "radius")->text, "4.5 mm");
    assert_true(yaml_is_word(bends->items[1], "unknown"));
    assert_at(yaml_key(edges, "throat"), 4, 13);
    assert_at(bends->items[1], 4, 48);
    assert_range(bends, "[{radius: 4.5 mm}, unknown]");
    assert_null(yaml_get(root, "none"));
    assert_null(yaml_key(root, "none"));
    assert_null(yaml_get(bends, "radius"));
    assert_null(yaml_get(NULL, "radius"));
    assert_null(yaml_key(NULL, "radius"));
    assert_false(yaml_is_word(NULL, "unknown"));
    assert_null(yaml_where(NULL).file);
}

static void scalars_are_decoded_and_plain_ones_told(void **state)
{
    (void)state;
    YamlNode *root = root_of("a: no\nb: 'no'\nc: \"\\u00b1 \\e x\"\nd: 'it''s'\ne:\nf: ''\n"
                             "g: 12:30\nh: 1_000\ni: ~\nj: two\n  lines\n");
    assert_true(yaml_is_word(yaml_get(root, "a"), "no"));
    assert_false(yaml_is_word(yaml_get(root, "b"), "no"));
    assert_string_equal(yaml_get(root, "c")->text, "\xC2\xB1 \x1B x");
    assert_string_equal(yaml_get(root, "d")->text, "it's");
    assert_true(yaml_is_word(yaml_get(root, "e"), ""));
    assert_false(yaml_get(root, "f")->plain);
    assert_true(yaml_is_word(yaml_get(root, "g"), "12:30"));
    assert_true(yaml_is_word(yaml_get(root, "h"), "1_000"));
    assert_true(yaml_is_word(yaml_get(root, "i"), "~"));
    assert_string_equal(yaml_get(root, "j")->text, "two lines");
}

static void ranges_hold_the_value_and_nothing_more(void **state)
{
    (void)state;
    YamlNode *root = root_of("a: 4 mm   # said so\n"
                             "b: \"quoted\" # too\n"
                             "c: |\n  one\n  two  \n\n\n# after\n"
                             "d: >-\n  folded\n\n"
                             "e:\n  - x\n  - y\n\n# below\n"
                             "f:\n  g: 1\n\n\n"
                             "h: [1, 2] # list\n"
                             "i: |+\n\n"
                             "j:\n\n"
                             "k: end");
    assert_range(yaml_get(root, "a"), "4 mm");
    assert_range(yaml_get(root, "b"), "\"quoted\"");
    assert_range(yaml_get(root, "c"), "|\n  one\n  two  ");
    assert_string_equal(yaml_get(root, "c")->text, "one\ntwo  \n");
    assert_range(yaml_get(root, "d"), ">-\n  folded");
    assert_range(yaml_get(root, "e"), "- x\n  - y");
    assert_range(yaml_get(root, "f"), "g: 1");
    assert_range(yaml_get(root, "h"), "[1, 2]");
    assert_range(yaml_get(root, "i"), "|+");
    assert_range(yaml_get(root, "j"), "");
    assert_at(yaml_get(root, "j"), 24, 3);
    assert_range(yaml_get(root, "k"), "end");
    assert_int_equal(root->end, root->file->length);
}

static void short_mappings_in_lists_end_with_their_value(void **state)
{
    (void)state;
    YamlNode *root = root_of("[a: [b] , c, {d: e} ]\n");
    assert_int_equal(root->count, 3);
    assert_range(root->items[0], "a: [b]");
    assert_range(root->items[2], "{d: e}");
}

static void columns_count_characters(void **state)
{
    (void)state;
    YamlNode *root = root_of("\xC3\xA4\xE9\x9D\xB4\xF0\x9F\x91\x9F: \xC2\xB1 # \xC3\xA9\nb: c\n");
    assert_at(root->items[0], 1, 6);
    assert_range(root->items[0], "\xC2\xB1");
    assert_at(root->items[1], 2, 4);
    assert_range(root->items[1], "c");
}

static void a_byte_order_mark_takes_no_column(void **state)
{
    (void)state;
    YamlNode *root = root_of("\xEF\xBB\xBF"
                             "a: b\nc: \xC3\xA4\n");
    assert_at(root->keys[0], 1, 1);
    assert_at(root->items[0], 1, 4);
    assert_range(root->items[0], "b");
    assert_range(root->items[1], "\xC3\xA4");
    assert_at(root->items[1], 2, 4);
}

/* Wide and narrow characters mixed over many strides of the position table. */
static void positions_hold_over_long_texts(void **state)
{
    (void)state;
    Text text = {0};
    for (int i = 0; i < 400; i++)
        text_addf(&text, "%s%d: [\"%s\", x%d]\n", i % 3 ? "k" : "\xC3\xA9", i,
                  i % 5 ? "\xE9\x9D\xB4 \xC2\xB1 ascii" : "only ascii here", i);
    YamlNode *root = root_of(text_string(&text));
    text_free(&text);
    assert_int_equal(root->count, 400);
    for (int i = 0; i < 400; i++) {
        const YamlNode *list = root->items[i];
        char expected[16];
        snprintf(expected, sizeof expected, "x%d", i);
        assert_range(list->items[1], expected);
        int digits = i < 10 ? 1 : i < 100 ? 2 : 3;
        assert_at(root->keys[i], i + 1, 1);
        assert_at(list->items[1], i + 1, 1 + digits + 4 + (i % 5 ? 11 : 17) + 2);
    }
}

static void all_line_breaks_count(void **state)
{
    (void)state;
    YamlNode *root = root_of("a: 1\r\nb: 2\rc: 3\n\r\nd: \xC2\xB1");
    assert_int_equal(root->file->line_count, 5);
    assert_at(root->keys[1], 2, 1);
    assert_at(root->items[2], 3, 4);
    assert_at(root->items[3], 5, 4);
    assert_range(root->items[3], "\xC2\xB1");
}

static void aliases_share_the_anchor_s_node(void **state)
{
    (void)state;
    YamlNode *root = root_of("a: &x {p: 1}\nb: *x\nc: [*x, 2, *x]\n");
    assert_ptr_equal(root->items[0], root->items[1]);
    assert_ptr_equal(root->items[2]->items[2], root->items[0]);
    assert_range(root->items[2], "[*x, 2, *x]");
    assert_at(root->items[1], 1, 4);
}

static void reading_from_disk_gives_the_name_as_given(void **state)
{
    (void)state;
    assert_null(yaml_read(&arena, "/nowhere/a.yaml", false, &messages));
    assert_int_equal(messages.errors, 1);
    assert_string_equal(messages.items[0].at.file, "/nowhere/a.yaml");
}

static void copies_change_without_the_original(void **state)
{
    (void)state;
    YamlNode *root = root_of("a: 1\nb: 2\nc: 3\n");
    YamlNode *copy = yaml_copy_shallow(&arena, root);
    assert_ptr_equal(copy->items[1], root->items[1]);
    yaml_set(&arena, copy, root->keys[1], root->items[2]);
    assert_string_equal(yaml_get(copy, "b")->text, "3");
    assert_string_equal(yaml_get(root, "b")->text, "2");
    YamlNode *key = yaml_copy_shallow(&arena, root->keys[0]);
    key->text = "d";
    yaml_set(&arena, copy, key, root->items[0]);
    assert_int_equal(copy->count, 4);
    assert_string_equal(yaml_get(copy, "d")->text, "1");
    assert_at(yaml_key(copy, "d"), 1, 1);
    assert_true(yaml_remove(copy, "a"));
    assert_false(yaml_remove(copy, "a"));
    assert_int_equal(copy->count, 3);
    assert_string_equal(copy->keys[0]->text, "b");
    assert_int_equal(root->count, 3);
    assert_true(yaml_check(root->file));
}

static void an_empty_mapping_can_be_filled(void **state)
{
    (void)state;
    YamlNode *root = root_of("a: {}\n");
    YamlNode *empty = yaml_copy_shallow(&arena, root->items[0]);
    assert_false(yaml_remove(empty, "a"));
    yaml_set(&arena, empty, root->keys[0], root->items[0]);
    assert_int_equal(empty->count, 1);
    assert_true(yaml_remove(empty, "a"));
    assert_int_equal(empty->count, 0);
}

static void check_finds_broken_trees(void **state)
{
    (void)state;
    YamlNode *root = root_of("a: [1, 2]\nb: 2\n");
    size_t end = root->items[0]->end;
    root->items[0]->end = root->end + 1;
    assert_false(yaml_check(root->file));
    root->items[0]->end = end;
    const char *text = root->keys[1]->text;
    root->keys[1]->text = "a";
    assert_false(yaml_check(root->file));
    root->keys[1]->text = text;
    assert_true(yaml_check(root->file));
}

#define CLEAN(test) cmocka_unit_test_teardown(test, clean)

int main(void)
{
    const struct CMUnitTest tests[] = {
        CLEAN(a_style_keeps_its_shape),
        CLEAN(scalars_are_decoded_and_plain_ones_told),
        CLEAN(ranges_hold_the_value_and_nothing_more),
        CLEAN(short_mappings_in_lists_end_with_their_value),
        CLEAN(columns_count_characters),
        CLEAN(a_byte_order_mark_takes_no_column),
        CLEAN(positions_hold_over_long_texts),
        CLEAN(all_line_breaks_count),
        CLEAN(aliases_share_the_anchor_s_node),
        CLEAN(reading_from_disk_gives_the_name_as_given),
        CLEAN(copies_change_without_the_original),
        CLEAN(an_empty_mapping_can_be_filled),
        CLEAN(check_finds_broken_trees),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

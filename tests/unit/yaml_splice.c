/* Splicing values into a file's own text: what is replaced, what is added, what
 * stays byte for byte, and which values get quotes. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/utf8.h"
#include "yaml/yaml_splice.h"

static const char *const words[] = {"unknown", "true", NULL};

static YamlNode scalar(const char *text, bool plain)
{
    return (YamlNode){.kind = YAML_SCALAR, .plain = plain, .text = text, .length = strlen(text)};
}

static YamlFile *parse(Arena *arena, const char *yaml, size_t length)
{
    Messages messages = {0};
    YamlFile *file = yaml_read_bytes(arena, "s.yaml", yaml, length, false, &messages);
    if (!file)
        messages_write(&messages, stderr);
    messages_free(&messages);
    return file;
}

/* "a.b" down the keys; a list's item by number from 0. */
static const YamlNode *at(const YamlFile *file, const char *path)
{
    const YamlNode *node = file->root;
    char step[64];
    while (node && *path) {
        size_t length = strcspn(path, ".");
        memcpy(step, path, length);
        step[length] = '\0';
        node = node->kind == YAML_SEQUENCE ? node->items[atoi(step)] : yaml_get(node, step);
        path += length + (path[length] == '.');
    }
    assert_non_null(node);
    return node;
}

/* The text is `expected`, reads, and has the value. */
static void assert_text(const Text *text, const char *expected, const char *path, const char *value)
{
    Arena arena = {0};
    assert_string_equal(text_string(text), expected);
    YamlFile *again = parse(&arena, text->bytes, text->length);
    assert_non_null(again);
    assert_string_equal(at(again, path)->text, value);
    arena_free(&arena);
}

static void assert_set(const char *yaml, const char *path, const char *value, bool plain,
                       const char *expected)
{
    Arena arena = {0};
    Text text = {0};
    YamlFile *file = parse(&arena, yaml, strlen(yaml));
    YamlNode node = scalar(value, plain);
    YamlSplice splice;
    assert_true(yaml_splice_value(&arena, at(file, path), &node, words, &splice));
    yaml_splice(file, &splice, 1, &text);
    assert_text(&text, expected, path, value);
    text_free(&text);
    arena_free(&arena);
}

static void assert_add(const char *yaml, const char *path, const char *expected)
{
    Arena arena = {0};
    Text text = {0};
    YamlFile *file = parse(&arena, yaml, strlen(yaml));
    YamlNode node = scalar("9 mm", true);
    YamlSplice splice;
    assert_true(yaml_splice_pair(&arena, at(file, path), 0, "new", &node, words, &splice));
    yaml_splice(file, &splice, 1, &text);
    const char *full = arena_printf(&arena, "%s%snew", path, *path ? "." : "");
    assert_text(&text, expected, full, "9 mm");
    text_free(&text);
    arena_free(&arena);
}

static void replaces_what_stands_there_alone(void **state)
{
    (void)state;
    assert_set("a: 1 mm\n", "a", "2 mm", true, "a: 2 mm\n");
    assert_set("# c\na:   1 mm   # why\tnot\nb: 3", "a", "20 mm", true,
               "# c\na:   20 mm   # why\tnot\nb: 3");
    assert_set("a: {b: 1 mm, c: [x, y ]}\r\nd: e\r\n", "a.c.1", "z", true,
               "a: {b: 1 mm, c: [x, z ]}\r\nd: e\r\n");
    assert_set("a:\n  - b: 1\n    c: 2\n", "a.0.c", "-3", true, "a:\n  - b: 1\n    c: -3\n");
    assert_set("\xEF\xBB\xBF"
               "a: 1.4 ± 0.1 mm",
               "a", "1.3 ± 0.1 mm", true,
               "\xEF\xBB\xBF"
               "a: 1.3 ± 0.1 mm");
    assert_set("a: one\n  two\nb: 1\n", "a", "three", true, "a: three\nb: 1\n");
}

static void keeps_quotes(void **state)
{
    (void)state;
    assert_set("a: \"x\" # c\n", "a", "y", true, "a: \"y\" # c\n");
    assert_set("a: 'x'\n", "a", "it's", true, "a: 'it''s'\n");
    assert_set("a: 'x'\n", "a", "two\nlines", true, "a: \"two\\nlines\"\n");
    assert_set("a: \"x\"\n", "a", "say \"y\" \\ z", true, "a: \"say \\\"y\\\" \\\\ z\"\n");
    /* these words mean something only without quotes */
    assert_set("a: \"x\"\n", "a", "unknown", true, "a: unknown\n");
    assert_set("a: 'x'\n", "a", "unknown", false, "a: 'unknown'\n");
    assert_set("a: x\n", "a", "true", false, "a: \"true\"\n");
    assert_set("a: x\n", "a", "y", false, "a: y\n");
}

static void quotes_what_would_read_otherwise(void **state)
{
    (void)state;
    static const char *const quoted_ones[] = {"a, b",
                                              "a: b",
                                              "12:30",
                                              "a #b",
                                              "#a",
                                              "",
                                              " a",
                                              "a ",
                                              "[a]",
                                              "{a}",
                                              "- a",
                                              "-",
                                              "? a",
                                              "?",
                                              "&a",
                                              "*a",
                                              "!a",
                                              "|",
                                              ">",
                                              "%a",
                                              "@a",
                                              "`a",
                                              "--- a",
                                              "...",
                                              "a\tb",
                                              "a]",
                                              "'a'",
                                              "a\xC2\xA0"
                                              "b",
                                              "\xE2\x80\x8B",
                                              "a\xE2\x80\xAE"
                                              "b",
                                              "\x1B[31m",
                                              "\xEF\xBF\xBE",
                                              "\xF3\xA0\x80\x81",
                                              "a\rb",
                                              "\"",
                                              "\\,",
                                              "\xE2\x80\xA8"};
    static const char *const bare_ones[] = {
        "a#b",     "-2 mm", "4 +0.3 -0.1 mm",        "1.3..1.5 mm", "90 °C", "it's",
        "a \"b\"", "naïve", "\xF0\x9F\x91\x9E shoe", "~",           "=",     "3/16 in"};
    for (size_t flow = 0; flow < 2; flow++) {
        const char *before = flow ? "k: [{a: " : "a: ", *after = flow ? "}, z]\n" : "\nb: 1\n";
        const char *path = flow ? "k.0.a" : "a";
        Arena arena = {0};
        const char *yaml = arena_printf(&arena, "%sx%s", before, after);
        for (size_t i = 0; i < sizeof quoted_ones / sizeof *quoted_ones; i++) {
            YamlNode node = scalar(quoted_ones[i], true);
            Text text = {0};
            yaml_write(&text, &node, NULL, words);
            assert_int_equal(text.bytes[0], '"');
            assert_set(yaml, path, quoted_ones[i], true,
                       arena_printf(&arena, "%s%s%s", before, text.bytes, after));
            text_free(&text);
        }
        for (size_t i = 0; i < sizeof bare_ones / sizeof *bare_ones; i++)
            assert_set(yaml, path, bare_ones[i], true,
                       arena_printf(&arena, "%s%s%s", before, bare_ones[i], after));
        arena_free(&arena);
    }
}

static void hidden_characters_are_written_as_escapes(void **state)
{
    (void)state;
    assert_set("a: x\n", "a",
               "b\xE2\x80\xAE"
               "c\n\t\x1B\xC2\x85",
               true, "a: \"b\\u202Ec\\n\\t\\x1B\\x85\"\n");
    assert_set("a: x\n", "a", "\xF3\xA0\x80\x81", true, "a: \"\\U000E0001\"\n");
}

static void adds_to_braces(void **state)
{
    (void)state;
    assert_add("a: {b: 1, c: 2} # d\n", "a", "a: {b: 1, c: 2, new: 9 mm} # d\n");
    assert_add("a: {b: 1}", "a", "a: {b: 1, new: 9 mm}");
    assert_add("a: {}\n", "a", "a: {new: 9 mm}\n");
    assert_add("a: { }\n", "a", "a: {new: 9 mm }\n");
    assert_add("a: {b: 1,c: 2}\n", "a", "a: {b: 1,c: 2,new: 9 mm}\n");
    assert_add("a: { b: 1, c: 2 }\n", "a", "a: { b: 1, c: 2, new: 9 mm }\n");
    assert_add("a: {b: 1,\r\n    c: 2}\r\n", "a", "a: {b: 1,\r\n    c: 2,\r\n    new: 9 mm}\r\n");
    assert_add("a: {b: 1, # d\n    c: 2 # e\n  }\n", "a",
               "a: {b: 1, # d\n    c: 2, new: 9 mm # e\n  }\n");
    assert_add("a: {b: 1, c: 2,\n  }\n", "a", "a: {b: 1, c: 2, new: 9 mm,\n  }\n");
    assert_add("a: {b: {c: 1}, d: [1]}\n", "a.b", "a: {b: {c: 1, new: 9 mm}, d: [1]}\n");
    assert_add("{a: 1}", "", "{a: 1, new: 9 mm}");
    assert_add("[{a: 'x'}]", "0", "[{a: 'x', new: 9 mm}]");
}

static void adds_a_line_to_a_block(void **state)
{
    (void)state;
    assert_add("a:\n  b: 1\n  c: 2\nd: 3\n", "a", "a:\n  b: 1\n  c: 2\n  new: 9 mm\nd: 3\n");
    assert_add("a: 1", "", "a: 1\nnew: 9 mm");
    assert_add("a: 1\r\nb: 2", "", "a: 1\r\nb: 2\r\nnew: 9 mm");
    assert_add("a: 1\rb: 2\r", "", "a: 1\rb: 2\rnew: 9 mm\r");
    assert_add("a:\n  b: 1   # tab\there\n  # below\n# at the margin\nd: 3\n", "a",
               "a:\n  b: 1   # tab\there\n  new: 9 mm\n  # below\n# at the margin\nd: 3\n");
    assert_add("a: 1 # last", "", "a: 1 # last\nnew: 9 mm");
    assert_add("a: 1\n\n\n# end\n", "", "a: 1\nnew: 9 mm\n\n\n# end\n");
    assert_add("a:\n  b:\n    c: [1,\n      2]  # d\ne: 1\n", "a",
               "a:\n  b:\n    c: [1,\n      2]  # d\n  new: 9 mm\ne: 1\n");
    assert_add("a:\n  - b: 1\n  - c: 2\n", "a.0", "a:\n  - b: 1\n    new: 9 mm\n  - c: 2\n");
    assert_add("a:\n- - b: 1\n", "a.0.0", "a:\n- - b: 1\n    new: 9 mm\n");
    assert_add("a: |\n  text\n  more\n", "", "a: |\n  text\n  more\nnew: 9 mm\n");
    assert_add("a: one\n  two\n", "", "a: one\n  two\nnew: 9 mm\n");
    assert_add("\xEF\xBB\xBF"
               "a: 1\n",
               "",
               "\xEF\xBB\xBF"
               "a: 1\nnew: 9 mm\n");
    assert_add("a: 1\n...\n", "", "a: 1\nnew: 9 mm\n...\n");
    assert_add("größe:\n  é: 1 # ü\n", "größe", "größe:\n  é: 1 # ü\n  new: 9 mm\n");
}

static void several_edits_at_once(void **state)
{
    (void)state;
    Arena arena = {0};
    Text text = {0};
    const char *yaml = "a:\n  b: {c: 1}\n  d: {}\n";
    YamlFile *file = parse(&arena, yaml, strlen(yaml));
    YamlNode one = scalar("1", true), two = scalar("2", true);
    YamlSplice s[6];
    /* inner before outer where they meet; otherwise in any order */
    assert_true(yaml_splice_pair(&arena, at(file, "a"), 0, "x", &one, words, &s[0]));
    assert_true(yaml_splice_pair(&arena, at(file, "a"), 1, "y", &two, words, &s[1]));
    assert_true(yaml_splice_pair(&arena, file->root, 0, "z", &two, words, &s[2]));
    assert_true(yaml_splice_pair(&arena, at(file, "a.d"), 0, "e", &one, words, &s[3]));
    assert_true(yaml_splice_pair(&arena, at(file, "a.d"), 1, "f", &two, words, &s[4]));
    assert_true(yaml_splice_value(&arena, at(file, "a.b.c"), &two, words, &s[5]));
    yaml_splice(file, s, 6, &text);
    assert_text(&text, "a:\n  b: {c: 2}\n  d: {e: 1, f: 2}\n  x: 1\n  y: 2\nz: 2\n", "z", "2");
    text_free(&text);
    yaml_splice(file, NULL, 0, &text);
    assert_string_equal(text.bytes, yaml);
    text_free(&text);
    arena_free(&arena);
}

static void values_of_many_parts_go_on_one_line(void **state)
{
    (void)state;
    Arena arena = {0};
    Text text = {0};
    const char *value = "width: 8 mm\nleft: \"0,7\"\nlist:\n- a\n- b: unknown\n- []\n- {}\n"
                        "ease.x: \"unknown\"\n\"k: y\": 'z'\n";
    const YamlFile *file = parse(&arena, value, strlen(value));
    yaml_write(&text, file->root, NULL, words);
    assert_string_equal(text.bytes, "{width: 8 mm, left: \"0,7\", list: [a, {b: unknown}, [], {}], "
                                    "ease.x: \"unknown\", \"k: y\": z}");
    text_free(&text);
    arena_free(&arena);
}

static void what_is_no_scalar_is_refused(void **state)
{
    (void)state;
    Arena arena = {0};
    const char *yaml = "a: {b: 1}\nc: [1]\nd: |  # c\n  text\ne: >\n  text\nf:\ng: 1\n";
    const YamlFile *file = parse(&arena, yaml, strlen(yaml));
    YamlNode node = scalar("1", true);
    YamlSplice splice;
    for (size_t i = 0; i < file->root->count; i++)
        assert_int_equal(yaml_splice_value(&arena, file->root->items[i], &node, words, &splice),
                         i == 5);
    assert_false(yaml_splice_pair(&arena, at(file, "c"), 0, "k", &node, words, &splice));
    assert_false(yaml_splice_pair(&arena, at(file, "g"), 0, "k", &node, words, &splice));
    arena_free(&arena);
}

/* Any text at all comes back as it was put in, or the file is refused. */
static void whatever_is_written_reads_as_it_was(void **state)
{
    (void)state;
    static const char *const pieces[] = {"#",
                                         ": ",
                                         ",",
                                         "'",
                                         "\"",
                                         "\\",
                                         "\n",
                                         "\t",
                                         " ",
                                         "{",
                                         "}",
                                         "[",
                                         "]",
                                         "-",
                                         "?",
                                         "|",
                                         "é",
                                         "±",
                                         "\xF0\x9F\x91\x9E",
                                         "\xE2\x80\xAE",
                                         "\xC2\xA0",
                                         "\xFF",
                                         "mm",
                                         "12",
                                         "%",
                                         "&",
                                         "*",
                                         "!",
                                         "~",
                                         "\r",
                                         "\x07",
                                         "true",
                                         "unknown"};
    static const char *const files[] = {"k: {a: x, b: 1}\n", "a: x # c\nb: 2\n", "k: [{a: 'x'}]",
                                        "k:\n  a: \"x\"\n  b: c\n"};
    static const char *const paths[] = {"k.a", "a", "k.0.a", "k.a"};
    unsigned seed = 7;
    size_t read_again = 0;
    for (size_t i = 0; i < 4000; i++) {
        Arena arena = {0};
        Text value = {0}, text = {0};
        Messages messages = {0};
        for (size_t k = 0; k <= i % 5; k++) {
            seed = seed * 1103515245u + 12345u;
            text_add(&value, pieces[(seed >> 16) % (sizeof pieces / sizeof *pieces)]);
        }
        YamlFile *file = parse(&arena, files[i % 4], strlen(files[i % 4]));
        YamlNode node = scalar(text_string(&value), i % 3 > 0);
        YamlSplice splice;
        assert_true(yaml_splice_value(&arena, at(file, paths[i % 4]), &node, words, &splice));
        yaml_splice(file, &splice, 1, &text);
        YamlFile *again =
            yaml_read_bytes(&arena, "s.yaml", text.bytes, text.length, false, &messages);
        bool utf8 = utf8_valid_prefix(value.bytes, value.length) == value.length;
        assert_int_equal(again != NULL, utf8);
        if (again)
            assert_string_equal(at(again, paths[i % 4])->text, value.bytes);
        read_again += again != NULL;
        messages_free(&messages);
        text_free(&value);
        text_free(&text);
        arena_free(&arena);
    }
    assert_true(read_again > 3000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(replaces_what_stands_there_alone),
        cmocka_unit_test(keeps_quotes),
        cmocka_unit_test(quotes_what_would_read_otherwise),
        cmocka_unit_test(hidden_characters_are_written_as_escapes),
        cmocka_unit_test(adds_to_braces),
        cmocka_unit_test(adds_a_line_to_a_block),
        cmocka_unit_test(several_edits_at_once),
        cmocka_unit_test(values_of_many_parts_go_on_one_line),
        cmocka_unit_test(what_is_no_scalar_is_refused),
        cmocka_unit_test(whatever_is_written_reads_as_it_was),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

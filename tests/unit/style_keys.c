/* Nothing in a style passes unread: every key of the fixture, misspelt by one
 * letter, is refused at its line; every value may be made unknown, or is
 * refused, without harm. */
#include "style_support.h"

typedef struct Walk {
    const char *bytes;
    size_t length;
    size_t refused, chosen, unknowns;
} Walk;

/* Keys below these are ids that the author chooses: misspelling one breaks what
 * refers to it, or makes another valid style. */
static bool holds_ids(const char *key)
{
    static const char *const holders[] = {"sheets", "materials", "colourways",   "parts", "edges",
                                          "holes",  "seams",     "alternatives", "order"};
    for (size_t i = 0; i < sizeof holders / sizeof holders[0]; i++)
        if (strcmp(key, holders[i]) == 0)
            return true;
    return false;
}

static Tried try_changed(const Walk *walk, size_t start, size_t end, const char *with)
{
    Text text = {0};
    text_add_bytes(&text, walk->bytes, start);
    text_add(&text, with);
    text_add_bytes(&text, walk->bytes + end, walk->length - end);
    Tried tried = try_style(text_string(&text), NULL);
    text_free(&text);
    return tried;
}

/* Its first, its middle and its last letter. */
static void misspell(Walk *walk, const YamlNode *key, bool id)
{
    for (size_t i = 0; i < 3; i++) {
        size_t at = key->start + i * (key->end - key->start - 1) / 2;
        Tried tried = try_changed(walk, at, at + 1, walk->bytes[at] == 'q' ? "z" : "q");
        if (id) {
            walk->chosen++;
        } else {
            walk->refused++;
            if (tried.style || !has_error(&tried.messages, yaml_where(key).line, ""))
                fail_msg("%s, letter %zu, line %d is not refused there", key->text,
                         at - key->start + 1, yaml_where(key).line);
        }
        tried_free(&tried);
    }
}

static void walk_keys(Walk *walk, const YamlNode *node, bool ids)
{
    for (size_t i = 0; i < node->count; i++) {
        bool below = node->kind == YAML_SEQUENCE && ids;
        if (node->kind == YAML_MAPPING) {
            const char *key = node->keys[i]->text;
            misspell(walk, node->keys[i], ids);
            below = !ids && holds_ids(key);
        }
        walk_keys(walk, node->items[i], below);
    }
}

static void walk_values(Walk *walk, const YamlNode *node)
{
    if (node->kind == YAML_SCALAR) {
        Tried tried = try_changed(walk, node->start, node->end, "unknown");
        assert_true(tried.style != NULL || tried.messages.errors > 0);
        walk->unknowns += tried.style != NULL;
        tried_free(&tried);
    }
    for (size_t i = 0; i < node->count; i++)
        walk_values(walk, node->items[i]);
}

static void with_fixture(void (*walker)(Walk *, const YamlNode *), Walk *walk)
{
    Arena arena = {0};
    Messages messages = {0};
    char *bytes;
    assert_true(
        file_read(&arena, "tests/fixtures/deck.yaml", 1 << 20, &messages, &bytes, &walk->length));
    walk->bytes = bytes;
    YamlFile *file = yaml_read_bytes(&arena, "deck", bytes, walk->length, false, &messages);
    assert_non_null(file);
    walker(walk, file->root);
    messages_free(&messages);
    arena_free(&arena);
}

static void from_root(Walk *walk, const YamlNode *root)
{
    walk_keys(walk, root, false);
}

static void test_every_key_misspelt(void **state)
{
    (void)state;
    Walk walk = {0};
    with_fixture(from_root, &walk);
    assert_true(walk.refused > 450);
    assert_true(walk.chosen > 80);
}

static void test_every_value_unknown(void **state)
{
    (void)state;
    Walk walk = {0};
    with_fixture(walk_values, &walk);
    assert_true(walk.unknowns > 80);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_key_misspelt),
        cmocka_unit_test(test_every_value_unknown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

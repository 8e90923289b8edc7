/* Every keyword of every shipped file, misspelt by one letter in three ways (in
 * examples of rules in one of them), is refused with an error on its line. What
 * an author names himself (parts, edges, limits, lets, …) is no keyword. */
#include "property/demo_support.h"
#include "scratch.h"

#include <stdio.h>
#include <unistd.h>

enum { REPORTS_MOST = 40, NAMES_MOST = 64 };

typedef enum Slip { SLIP_DROPPED, SLIP_DOUBLED, SLIP_SWAPPED, SLIP_COUNT } Slip;

typedef struct Key {
    YamlNode *node;
    bool once; /* one slip is enough: its like stands there hundreds of times */
} Key;

typedef struct KeyList {
    Key *items;
    size_t count, capacity;
    Arena arena;
} KeyList;

typedef struct Tally {
    size_t tried, passed;
} Tally;

/* ---- Keywords and names ---- */

/* Mappings whose keys an author chooses, as paths from the root; * is any key
 * or item. Keys that are paths (in alternatives and but) begin and end with
 * keywords and count. */
static const char *const style_names[] = {"sheets",
                                          "materials",
                                          "colourways",
                                          "colourways.*",
                                          "parts",
                                          "parts.*.edges",
                                          "holes",
                                          "holes.*.number",
                                          "seams",
                                          "seams.*.ease",
                                          "order.*",
                                          "parts.*.inset",
                                          "alternatives",
                                          "alternatives.*.*.inset",
                                          "alternatives.*.*.number",
                                          "alternatives.*.order.*"};
static const char *const factory_names[] = {"machines", "own_limits", "rules", "rules.*.let"};
static const char *const rules_names[] = {"limits", "constants", "tables", "rules", "rules.*.let"};

/* Does the path of `depth` steps match the pattern? */
static bool matches(const char *pattern, const char *const *path, size_t depth)
{
    for (size_t i = 0; i < depth; i++) {
        size_t length = strcspn(pattern, ".");
        if (length == 0 || !((length == 1 && *pattern == '*') ||
                             (strlen(path[i]) == length && strncmp(path[i], pattern, length) == 0)))
            return false;
        pattern += length + (pattern[length] == '.');
    }
    return *pattern == '\0';
}

typedef struct Walk {
    KeyList *keys;
    const char *const *names;
    size_t name_count;
    const char *path[YAML_DEPTH_MOST + 2];
} Walk;

static bool holds_names(const Walk *walk, size_t depth)
{
    for (size_t i = 0; i < walk->name_count; i++)
        if (depth > 0 && matches(walk->names[i], walk->path, depth))
            return true;
    return false;
}

static void collect(Walk *walk, const YamlNode *node, size_t depth, bool once)
{
    bool names = node->kind == YAML_MAPPING && holds_names(walk, depth);
    for (size_t i = 0; node->kind != YAML_SCALAR && i < node->count; i++) {
        if (node->keys && !names)
            *ARENA_PUSH(&walk->keys->arena, walk->keys->items, walk->keys->count,
                        walk->keys->capacity) = (Key){node->keys[i], once};
        walk->path[depth] = node->keys ? node->keys[i]->text : "*";
        collect(walk, node->items[i], depth + 1,
                once || strcmp(walk->path[depth], "examples") == 0);
    }
}

/* "seams.throat" and "parts.vamp": paths of an alternative that end in a name. */
static bool ends_in_name(const char *key)
{
    static const char *const holders[] = {"seams.", "parts.", "holes.", "materials."};
    for (size_t i = 0; i < sizeof holders / sizeof *holders; i++) {
        size_t length = strlen(holders[i]);
        if (strncmp(key, holders[i], length) == 0 && !strchr(key + length, '.'))
            return true;
    }
    return false;
}

/* ---- Misspelling ---- */

/* The word with one slip; false where it gives the same word. */
static bool misspell(const char *word, size_t length, Slip slip, Text *text)
{
    text_clear(text);
    if (slip == SLIP_DROPPED) {
        text_add_bytes(text, word, length - 1);
        return length > 1;
    }
    if (slip == SLIP_DOUBLED) {
        text_add_bytes(text, word, 1);
        text_add_bytes(text, word, length);
        return true;
    }
    size_t i = 0;
    while (i + 1 < length && word[i] == word[i + 1])
        i++;
    if (i + 1 >= length)
        return false;
    text_add_bytes(text, word, i);
    text_add_bytes(text, word + i + 1, 1);
    text_add_bytes(text, word + i, 1);
    text_add_bytes(text, word + i + 2, length - i - 2);
    return true;
}

static bool error_on_line(const Messages *messages, const char *file, int line)
{
    for (size_t i = 0; i < messages->count; i++) {
        const Message *message = &messages->items[i];
        if (message->level == MESSAGE_ERROR && message->at.line == line && message->at.file &&
            strcmp(message->at.file, file) == 0)
            return true;
    }
    return false;
}

static void judge_slip(Tally *tally, const YamlNode *key, const Text *slip, const char *file,
                       const Messages *messages)
{
    Where at = yaml_where(key);
    bool refused = messages->errors > 0;
    tally->tried++;
    if (error_on_line(messages, file, at.line))
        return;
    if (tally->passed++ >= REPORTS_MOST)
        return;
    print_error("%s:%d:%d: %s written as %s: %s\n", at.file, at.line, at.column, key->text,
                slip->bytes, refused ? "refused, but not on this line:" : "accepted");
    if (refused)
        messages_write(messages, stderr);
}

static void expect_all_refused(const Tally *tally)
{
    if (tally->passed > 0)
        fail_msg("%zu of %zu misspelt keywords are not refused where they stand", tally->passed,
                 tally->tried);
    assert_true(tally->tried > 0);
}

/* ---- Styles: misspelt in the tree ---- */

static void try_style(const char *path)
{
    Arena arena = {0};
    KeyList keys = {0};
    YamlFile *file = demo_file(&arena, path);
    Walk walk = {.keys = &keys,
                 .names = style_names,
                 .name_count = sizeof style_names / sizeof *style_names};
    collect(&walk, file->root, 0, false);
    Tally tally = {0};
    Text text = {0};
    StyleShelf *shelf = style_shelf_new(); /* the lines stay as they are */
    for (size_t i = 0; i < keys.count * SLIP_COUNT; i += demo_stride(1, 61)) {
        YamlNode *key = keys.items[i / SLIP_COUNT].node, kept = *key;
        Slip slip = (Slip)(i % SLIP_COUNT);
        if ((slip == SLIP_DROPPED && ends_in_name(kept.text)) ||
            !misspell(kept.text, kept.length, slip, &text))
            continue;
        key->text = text.bytes;
        key->length = text.length;
        Messages messages = {0};
        Style *style = style_from_shelf(shelf, file, NULL, NULL, 0, &messages);
        assert_true((style == NULL) == (messages.errors > 0));
        judge_slip(&tally, &kept, &text, path, &messages);
        if (style)
            style_free(style);
        messages_free(&messages);
        *key = kept;
    }
    style_shelf_free(shelf);
    text_free(&text);
    expect_all_refused(&tally);
    arena_free(&keys.arena);
    arena_free(&arena);
}

/* ---- Rule and factory files: misspelt in a copy ---- */

typedef struct Copy {
    char path[SCRATCH_LENGTH];
    const char *original;
    YamlFile *file;
    const char *paths[NAMES_MOST]; /* rule files that must be read with it, the copy first */
    size_t count;
    bool factory;
} Copy;

static void copy_write(const Copy *copy, const YamlNode *key, const Text *slip)
{
    FILE *out = fopen(copy->path, "wb");
    assert_non_null(out);
    const YamlFile *file = copy->file;
    size_t cut = key ? key->start : file->length, resume = key ? key->end : file->length;
    assert_int_equal(fwrite(file->bytes, 1, cut, out), cut);
    if (slip)
        assert_int_equal(fwrite(slip->bytes, 1, slip->length, out), slip->length);
    assert_int_equal(fwrite(file->bytes + resume, 1, file->length - resume, out),
                     file->length - resume);
    assert_int_equal(fclose(out), 0);
}

/* Reads the copy with what it needs and runs its examples. */
static bool copy_read(const Copy *copy, Messages *messages)
{
    Factory *factory = copy->factory ? factory_read(copy->path, messages) : NULL;
    if (copy->factory && !factory)
        return false;
    RuleSet *rules = rules_read(copy->paths, copy->count, factory, messages);
    size_t run = 0;
    bool good = rules && judge_examples(rules, messages, &run);
    if (rules)
        rules_free(rules);
    if (factory)
        factory_free(factory);
    return good;
}

static bool copy_good(Copy *copy)
{
    Messages messages = {0};
    bool good = copy_read(copy, &messages);
    messages_free(&messages);
    return good;
}

/* The fewest other base files with which the copy is read without an error:
 * none, one, else all. */
static void copy_find_company(Copy *copy, const char *const *base, size_t count)
{
    copy->paths[0] = copy->path;
    copy->count = 1;
    for (size_t i = 0; i < count && !copy_good(copy); i++) {
        copy->count = strcmp(base[i], copy->original) != 0 ? 2 : 1;
        copy->paths[1] = base[i];
    }
    if (copy_good(copy))
        return;
    copy->count = 1;
    for (size_t i = 0; i < count; i++)
        if (strcmp(base[i], copy->original) != 0)
            copy->paths[copy->count++] = base[i];
    Messages messages = {0};
    if (!copy_read(copy, &messages))
        demo_stop(&messages, copy->original);
    messages_free(&messages);
}

/* A factory is read over all base rules. Their examples hold without it, not
 * with the limits it replaces, so only its own lines are looked at. */
static void copy_take_all(Copy *copy, const char *const *base, size_t count)
{
    for (copy->count = 0; copy->count < count; copy->count++)
        copy->paths[copy->count] = base[copy->count];
}

static void try_copy(Tally *tally, const char *original, bool factory, const char *const *base,
                     size_t count)
{
    Arena arena = {0};
    Messages messages = {0};
    Copy copy = {.original = original, .factory = factory};
    scratch_write(copy.path, "", 0);
    copy.file = yaml_read(&arena, original, true, &messages);
    assert_non_null(copy.file);
    copy_write(&copy, NULL, NULL);
    assert_true(count < NAMES_MOST);
    if (factory)
        copy_take_all(&copy, base, count);
    else
        copy_find_company(&copy, base, count);
    KeyList keys = {0};
    Walk walk = {.keys = &keys,
                 .names = factory ? factory_names : rules_names,
                 .name_count = factory ? sizeof factory_names / sizeof *factory_names
                                       : sizeof rules_names / sizeof *rules_names};
    collect(&walk, copy.file->root, 0, false);
    Text text = {0};
    for (size_t i = 0; i < keys.count * SLIP_COUNT; i += demo_stride(1, 61)) {
        const YamlNode *key = keys.items[i / SLIP_COUNT].node;
        Slip slip = (Slip)(i % SLIP_COUNT);
        if ((keys.items[i / SLIP_COUNT].once && slip != (Slip)(i / SLIP_COUNT % SLIP_COUNT)) ||
            !misspell(key->text, key->length, slip, &text))
            continue;
        Messages found = {0};
        copy_write(&copy, key, &text);
        copy_read(&copy, &found);
        judge_slip(tally, key, &text, copy.path, &found);
        messages_free(&found);
    }
    text_free(&text);
    assert_int_equal(unlink(copy.path), 0);
    arena_free(&keys.arena);
    messages_free(&messages);
    arena_free(&arena);
}

static void try_files(bool factories)
{
    Arena arena = {0};
    Messages messages = {0};
    const char *const *base, *const *shops;
    size_t count, shop_count;
    assert_true(rules_in_folder(&arena, "rules/base", &base, &count, &messages));
    assert_true(rules_in_folder(&arena, "rules/factories", &shops, &shop_count, &messages));
    Tally tally = {0};
    for (size_t i = 0; i < (factories ? shop_count : count); i++)
        try_copy(&tally, factories ? shops[i] : base[i], factories, base, count);
    expect_all_refused(&tally);
    messages_free(&messages);
    arena_free(&arena);
}

/* ---- Tests ---- */

static void skerry(void **state)
{
    (void)state;
    try_style("styles/skerry.yaml");
}

static void fairlead(void **state)
{
    (void)state;
    try_style("styles/fairlead.yaml");
}

static void pebble(void **state)
{
    (void)state;
    try_style("styles/pebble.yaml");
}

static void factories(void **state)
{
    (void)state;
    try_files(true);
}

static void base_rules(void **state)
{
    (void)state;
    try_files(false);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(skerry),    cmocka_unit_test(fairlead),   cmocka_unit_test(pebble),
        cmocka_unit_test(factories), cmocka_unit_test(base_rules),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

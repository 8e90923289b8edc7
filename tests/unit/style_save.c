/* Changed values written into a style's own text: the demo styles value by value and back,
 * alternatives, mirrors, what is refused, and a long walk of random patches. */
#include "style_support.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "field/field.h"
#include "style/patch.h"
#include "style/save.h"
#include "scratch.h"

#if defined(__has_include)
#if __has_include(<valgrind/valgrind.h>)
#include <valgrind/valgrind.h>
#endif
#endif
#ifndef RUNNING_ON_VALGRIND
#define RUNNING_ON_VALGRIND 0
#endif

/* Every n-th case only, where each takes long. */
static size_t slower(size_t usual, size_t slow)
{
#ifdef __SANITIZE_ADDRESS__
    bool sanitized = true;
#else
    bool sanitized = false;
#endif
    return sanitized || RUNNING_ON_VALGRIND ? slow : usual;
}

static const char *const all_names[] = {"", "turned", "flat", "plainer"};

/* Blocks, braces, quotes, tabs in comments, names outside ASCII, no line break at the end. */
#define STYLE                                                                                      \
    "cordwain: style/1\n"                                                                          \
    "# An invented style.\n"                                                                       \
    "name: \"Fjærland 👞 shoe\"\n"                                                              \
    "code: 'F-1'   # why\tnot\n"                                                                   \
    "stage: pull-over\n"                                                                           \
    "wear: socked\n"                                                                               \
    "wearer: adult\n"                                                                              \
    "sheets:\n"                                                                                    \
    "  lateral: {along: x}\n"                                                                      \
    "  medial: {along: x}\n"                                                                       \
    "materials:\n"                                                                                 \
    "  hide: {kind: leather, thickness: 1.4 ± 0.1 mm,\n"                                          \
    "         folds: true, # it does\n"                                                            \
    "         heat_limit: 90 °C}\n"                                                               \
    "parts:\n"                                                                                     \
    "  vamp:\n"                                                                                    \
    "    role: upper\n"                                                                            \
    "    material: hide\n"                                                                         \
    "    layer: 2\n"                                                                               \
    "    edges:\n"                                                                                 \
    "      throat:\n"                                                                              \
    "        finish: folded   # as drawn\n"                                                        \
    "        length: 92 mm\n"                                                                      \
    "        bends:\n"                                                                             \
    "          - {curve: inward, radius: 4.5 mm}\n"                                                \
    "          - curve: outward\n"                                                                 \
    "            radius: 20 mm\n"                                                                  \
    "        # nothing is skived yet\n"                                                            \
    "      side: {finish: raw, length: 40 mm}\n"                                                   \
    "\n"                                                                                           \
    "  # halves\n"                                                                                 \
    "  quarter-lat: {role: upper, material: hide, sheet: lateral, side: lateral,\n"                \
    "                edges: {vent: {finish: folded, allowance: 5 mm}, top: {finish: raw}}}\n"      \
    "  quarter-med: {mirror: quarter-lat, but: {edges.vent.finish: raw}}\n"                        \
    "  tail-med: {mirror: quarter-lat}\n"                                                          \
    "  facing: {role: upper, material: hide, edges: {}}\n"                                         \
    "alternatives:\n"                                                                              \
    "  turned:\n"                                                                                  \
    "    parts.vamp.edges.throat.finish: turned\n"                                                 \
    "    parts.vamp.edges.throat.left: 2.5 mm\n"                                                   \
    "    parts.vamp.edges.side.skive:\n"                                                           \
    "      width: 8 mm\n"                                                                          \
    "    parts.quarter-lat.edges.vent.allowance: removed\n"                                        \
    "  flat: {from: turned, parts.vamp.edges.throat.left: 2 mm}\n"                                 \
    "  plainer: {parts.vamp.layer: 3}"

static YamlFile *parse(Arena *arena, const char *path, const char *bytes, size_t length)
{
    Messages messages = {0};
    YamlFile *file = yaml_read_bytes(arena, path, bytes, length, false, &messages);
    if (!file) {
        messages_write(&messages, stderr);
        fail_msg("%s does not read", path);
    }
    messages_free(&messages);
    return file;
}

static YamlNode word(const char *text)
{
    return (YamlNode){.kind = YAML_SCALAR, .plain = true, .text = text, .length = strlen(text)};
}

/* The node that YAML text stands for, as a value is typed. */
static const YamlNode *typed(Arena *arena, const char *yaml)
{
    return parse(arena, "typed", yaml, strlen(yaml))->root;
}

/* ---- Trees as lines "path=value", and what differs ---- */

static void add_lines(Text *lines, const YamlNode *node, Text *path)
{
    size_t length = path->length;
    if (node->kind == YAML_SCALAR || node->count == 0)
        text_addf(lines, "%s=%s%s\n", text_string(path),
                  node->kind == YAML_SCALAR    ? ""
                  : node->kind == YAML_MAPPING ? "{}"
                                               : "[]",
                  node->kind == YAML_SCALAR ? node->text : "");
    for (size_t i = 0; node->kind != YAML_SCALAR && i < node->count; i++) {
        if (node->keys && length == 0 && strcmp(node->keys[i]->text, "alternatives") == 0)
            continue;
        if (node->keys)
            text_addf(path, "%s%s", length ? "." : "", node->keys[i]->text);
        else
            text_addf(path, ".%zu", i + 1);
        add_lines(lines, node->items[i], path);
        path->length = length;
        if (path->bytes)
            path->bytes[length] = '\0';
    }
}

static const YamlNode *tree_of(Arena *arena, const YamlFile *file, const char *alternative)
{
    Messages messages = {0};
    Patch *own;
    size_t count;
    assert_true(patch_alternative(arena, file->root, alternative, &own, &count, &messages));
    const YamlNode *tree = patch_tree(arena, file->root, own, count, &messages);
    assert_non_null(tree);
    messages_free(&messages);
    return tree;
}

static Text lines_of(const YamlNode *tree)
{
    Text lines = {0}, path = {0};
    add_lines(&lines, tree, &path);
    text_free(&path);
    return lines;
}

/* How many lines of two texts differ, line by line; all of them must be of this path. */
static size_t differing(const Text *before, const Text *after, const char *path)
{
    const char *a = text_string(before), *b = text_string(after);
    size_t count = 0, length = strlen(path);
    while (*a && *b) {
        size_t x = strcspn(a, "\n"), y = strcspn(b, "\n");
        if (x != y || memcmp(a, b, x) != 0) {
            count++;
            if (strncmp(a, path, length) != 0 || strncmp(b, path, length) != 0 ||
                a[length] != '=' || b[length] != '=')
                fail_msg("%s was changed; %.*s became %.*s", path, (int)x, a, (int)y, b);
        }
        a += x + 1;
        b += y + 1;
    }
    assert_true(*a == *b);
    return count;
}

/* ---- Every value of the demo styles, there and back ---- */

typedef struct Slot {
    const char *alternative, *path;
    const YamlNode *node, *key;
} Slot;

typedef struct Slots {
    Arena arena;
    Slot *items;
    size_t count, capacity;
} Slots;

static void add_slots(Slots *slots, const char *alternative, const char *path, const YamlNode *node,
                      const YamlNode *key)
{
    if (node->kind == YAML_SCALAR && !yaml_is_word(node, "removed"))
        *ARENA_PUSH(&slots->arena, slots->items, slots->count, slots->capacity) =
            (Slot){alternative, path, node, key};
    for (size_t i = 0; node->kind != YAML_SCALAR && i < node->count; i++) {
        const char *step =
            node->keys ? node->keys[i]->text : arena_printf(&slots->arena, "%zu", i + 1);
        if (!alternative && !*path &&
            (strcmp(step, "alternatives") == 0 || strcmp(step, "cordwain") == 0 ||
             strcmp(step, "lengths") == 0))
            continue;
        add_slots(slots, alternative,
                  arena_printf(&slots->arena, "%s%s%s", path, *path ? "." : "", step),
                  node->items[i], node->keys ? node->keys[i] : key);
    }
}

static void find_slots(Slots *slots, const YamlFile *file)
{
    const YamlNode *all = yaml_get(file->root, "alternatives");
    add_slots(slots, NULL, "", file->root, NULL);
    for (size_t i = 0; all && i < all->count; i++)
        for (size_t k = 0; k < all->items[i]->count; k++)
            if (strcmp(all->items[i]->keys[k]->text, "from") != 0)
                add_slots(slots, all->keys[i]->text, all->items[i]->keys[k]->text,
                          all->items[i]->items[k], all->items[i]->keys[k]);
}

static const char *next_word(Arena *arena, const Slot *slot)
{
    const char *point = slot->key ? strrchr(slot->key->text, '.') : NULL;
    const char *name = point ? point + 1 : slot->key ? slot->key->text : "";
    const WordList *list = word_list(name);
    int index = list ? word_index(list, slot->node->text, slot->node->length) : -1;
    if (index >= 0)
        return list->words[((size_t)index + 1) % list->count];
    return strcmp(name, "name") == 0 || strcmp(name, "code") == 0
               ? arena_printf(arena, "%s 2", slot->node->text)
               : NULL;
}

/* Another value that could stand there; NULL once there is none left to try. */
static const char *other_value(Arena *arena, const Slot *slot, int attempt)
{
    const char *old = slot->node->text;
    if (attempt == 0 && strcmp(old, "true") == 0)
        return "false";
    if (attempt == 0 && strcmp(old, "false") == 0)
        return "true";
    if (attempt == 0)
        return next_word(arena, slot);
    char *copy = arena_copy(arena, old, slot->node->length);
    char *digit = copy + strcspn(copy, "0123456789");
    if (attempt <= 2 && *digit && (old[0] < 'a' || old[0] > 'z')) {
        digit += strspn(digit, "0123456789.") - 1;
        *digit = (char)(*digit == '9' || (attempt == 2 && *digit > '0') ? *digit - 1 : *digit + 1);
        return copy;
    }
    static const char *const others[] = {"unknown", "hull-suede", "both", "50 %", "80 °C"};
    size_t other = attempt > 2 ? (size_t)attempt - 3 : 0;
    return attempt > 2 && other < sizeof others / sizeof *others ? others[other] : NULL;
}

/* Does the style with this value read, edits being checked over one alternative alone? */
static bool allowed(YamlFile *file, const char *alternative, const Patch *patch)
{
    Messages messages = {0};
    Style *style = style_from_tree(file, alternative, patch, 1, &messages);
    messages_free(&messages);
    style_free(style);
    return style != NULL;
}

static void assert_only_this_differs(const YamlFile *before, const YamlFile *after,
                                     const Slot *slot)
{
    Arena arena = {0};
    const YamlNode *all = yaml_get(before->root, "alternatives");
    size_t count = all ? all->count : 0;
    for (size_t i = 0; i <= count; i++) {
        const char *name = i < count ? all->keys[i]->text : NULL;
        Text a = lines_of(tree_of(&arena, before, name)),
             b = lines_of(tree_of(&arena, after, name));
        size_t differ = differing(&a, &b, slot->path);
        bool in_force = name == slot->alternative || /* both as written */
                        (name && slot->alternative && strcmp(name, slot->alternative) == 0);
        assert_true(in_force ? differ == 1 : differ <= 1);
        text_free(&a);
        text_free(&b);
    }
    arena_free(&arena);
}

/* Sets the value and sets it back. False where the file refuses it: another alternative
 * may need the old one. */
static bool there_and_back(YamlFile *file, const Slot *slot, const char *value)
{
    Arena arena = {0};
    Messages messages = {0};
    Text there = {0}, back = {0};
    YamlNode new = word(value), old = word(slot->node->text);
    old.plain = slot->node->plain;
    Patch patch = {slot->path, &new, NULL};
    bool good = style_text(file, slot->alternative, &patch, 1, &there, &messages);
    assert_true(good == (messages.errors == 0));
    if (good) {
        YamlFile *changed = parse(&arena, file->path, there.bytes, there.length);
        assert_only_this_differs(file, changed, slot);
        patch.value = &old;
        if (!style_text(changed, slot->alternative, &patch, 1, &back, &messages))
            messages_write(&messages, stderr);
        assert_int_equal(back.length, file->length);
        assert_memory_equal(back.bytes, file->bytes, file->length);
    }
    text_free(&there);
    text_free(&back);
    messages_free(&messages);
    arena_free(&arena);
    return good;
}

static bool try_slot(YamlFile *file, const Slot *slot)
{
    Arena arena = {0};
    bool done = false;
    for (int attempt = 0; attempt < 8 && !done; attempt++) {
        const char *value = other_value(&arena, slot, attempt);
        YamlNode node = value ? word(value) : (YamlNode){0};
        Patch patch = {slot->path, &node, NULL};
        if (value && strcmp(value, slot->node->text) != 0 &&
            allowed(file, slot->alternative, &patch))
            done = there_and_back(file, slot, value);
    }
    arena_free(&arena);
    return done;
}

static void change_every_value(const char *path, size_t stride)
{
    Arena arena = {0};
    Messages messages = {0};
    Slots slots = {0};
    YamlFile *file = yaml_read(&arena, path, false, &messages);
    assert_non_null(file);
    find_slots(&slots, file);
    size_t tried = 0, changed = 0;
    for (size_t i = 0; i < slots.count; i += stride) {
        bool done = try_slot(file, &slots.items[i]);
        tried++;
        changed += done;
    }
    /* what is left are names that nothing else can stand for */
    if (changed * 10 < tried * 7)
        fail_msg("only %zu of %zu values of %s could be changed", changed, tried, path);
    messages_free(&messages);
    arena_free(&slots.arena);
    arena_free(&arena);
}

static void every_value_of_a_demo_style_changes_and_comes_back(void **state)
{
    (void)state;
    change_every_value("styles/pebble.yaml", slower(1, 17));
    change_every_value("styles/fairlead.yaml", slower(1, 29));
    change_every_value("styles/skerry.yaml", slower(7, 211));
}

/* ---- One patch over the style above ---- */

static const char *place(const char *text, const char *part)
{
    const char *found = strstr(text, part);
    if (!found)
        fail_msg("there is no %s", part);
    return found;
}

/* The style with one piece replaced by another. */
static const char *with(Arena *arena, const char *text, const char *old, const char *new)
{
    const char *at = place(text, old);
    return arena_printf(arena, "%.*s%s%s", (int)(at - text), text, new, at + strlen(old));
}

static void assert_saves(const char *style, const char *alternative, const char *path,
                         const char *value, const char *old, const char *new)
{
    Arena arena = {0};
    Messages messages = {0};
    Text text = {0};
    YamlFile *file = parse(&arena, "t.yaml", style, strlen(style));
    Patch patch = {path, typed(&arena, value), NULL};
    if (!style_text(file, alternative, &patch, 1, &text, &messages))
        messages_write(&messages, stderr);
    assert_string_equal(text_string(&text), with(&arena, style, old, new));
    text_free(&text);
    messages_free(&messages);
    arena_free(&arena);
}

static void assert_refuses(const char *style, const char *alternative, const char *path,
                           const char *value, int line, const char *advice)
{
    Arena arena = {0};
    Messages messages = {0};
    Text text = {0};
    YamlFile *file = parse(&arena, "t.yaml", style, strlen(style));
    YamlNode *at = file->root;
    Patch patch = {path, value ? typed(&arena, value) : NULL, at};
    assert_false(style_text(file, alternative, &patch, 1, &text, &messages));
    assert_int_equal(text.length, 0);
    assert_true(messages.errors > 0);
    if (!has_error(&messages, line, advice)) {
        messages_write(&messages, stderr);
        fail_msg("line %d does not say %s", line, advice);
    }
    messages_free(&messages);
    arena_free(&arena);
}

static void values_are_replaced_where_they_stand(void **state)
{
    (void)state;
    assert_saves(STYLE, NULL, "parts.vamp.edges.throat.length", "93 mm", "92 mm", "93 mm");
    assert_saves(STYLE, NULL, "parts.vamp.edges.throat.bends.2.radius", "21 mm", "20 mm", "21 mm");
    const char *unknown = "cordwain: style/1\nname: A\ncode: B\nmaterials:\n"
                          "  hide: {kind: leather, stretch: unknown}\n"
                          "parts: {vamp: {material: hide}}\nalternatives:\n"
                          "  old: {name: C}\n";
    assert_saves(unknown, "old", "materials.hide.stretch", "{along: 15 %, across: 25 %}", "unknown",
                 "{along: 15 %, across: 25 %}");
    assert_saves(STYLE, NULL, "parts.vamp.edges.throat.bends.1.radius", "unknown", "4.5 mm",
                 "unknown");
    assert_saves(STYLE, NULL, "name", "Sognefjord", "\"Fjærland 👞 shoe\"", "\"Sognefjord\"");
    Arena arena = {0};
    const char *quoted = with(&arena, STYLE, "90 °C", "'90 °C'");
    assert_saves(quoted, NULL, "materials.hide.heat_limit", "95 °C", "90 °C", "95 °C");
    assert_saves(quoted, NULL, "materials.hide.heat_limit", "unknown", "'90 °C'", "unknown");
    quoted = with(&arena, STYLE, "side: lateral", "side: \"lateral\"");
    assert_saves(quoted, NULL, "parts.quarter-lat.side", "medial", "\"lateral\"", "medial");
    arena_free(&arena);
    assert_saves(STYLE, NULL, "code", "it's", "'F-1'", "'it''s'");
    assert_saves(STYLE, NULL, "code", "\"it's # F: 1, 2\"", "'F-1'", "'it''s # F: 1, 2'");
    assert_saves(STYLE, NULL, "code", "\"two\\nlines \\u202e\"", "'F-1'",
                 "\"two\\nlines \\u202E\"");
    assert_saves(STYLE, NULL, "materials.hide.folds", "false", "folds: true", "folds: false");
}

static void keys_are_added_after_the_last(void **state)
{
    (void)state;
    assert_saves(STYLE, NULL, "parts.vamp.edges.throat.skive",
                 "{width: 8 mm, left: 0.7 mm, form: step}", "            radius: 20 mm\n",
                 "            radius: 20 mm\n        skive: {width: 8 mm, left: 0.7 mm, "
                 "form: step}\n");
    assert_saves(STYLE, NULL, "parts.vamp.edges.side.skive", "{width: 8 mm}", "length: 40 mm}",
                 "length: 40 mm, skive: {width: 8 mm}}");
    assert_saves(STYLE, NULL, "parts.vamp.edges.throat.bends.2.turn", "40 deg", "radius: 20 mm\n",
                 "radius: 20 mm\n            turn: 40 deg\n");
    assert_saves(STYLE, NULL, "materials.hide.frays", "false", "heat_limit: 90 °C}",
                 "heat_limit: 90 °C, frays: false}");
    assert_saves(STYLE, NULL, "parts.facing.edges.foot", "{finish: raw}", "edges: {}",
                 "edges: {foot: {finish: raw}}");
    assert_saves(STYLE, NULL, "keeps", "[parts.vamp]", "{parts.vamp.layer: 3}",
                 "{parts.vamp.layer: 3}\nkeeps: [parts.vamp]");
}

static void line_ends_stay_what_they_are(void **state)
{
    (void)state;
    Arena arena = {0};
    Text crlf = {0};
    for (const char *c = STYLE; *c; c++)
        text_add_bytes(&crlf, *c == '\n' ? "\r\n" : c, *c == '\n' ? 2 : 1);
    assert_saves(crlf.bytes, NULL, "parts.vamp.edges.throat.allowance", "4 mm",
                 "            radius: 20 mm\r\n",
                 "            radius: 20 mm\r\n        allowance: 4 mm\r\n");
    assert_saves(crlf.bytes, NULL, "keeps", "[parts.vamp]", "{parts.vamp.layer: 3}",
                 "{parts.vamp.layer: 3}\r\nkeeps: [parts.vamp]");
    assert_saves(crlf.bytes, NULL, "wear", "barefoot", "socked", "barefoot");
    text_free(&crlf);
    arena_free(&arena);
}

static void an_alternatives_value_is_changed_where_it_comes_from(void **state)
{
    (void)state;
    /* its own pair */
    assert_saves(STYLE, "turned", "parts.vamp.edges.throat.finish", "raw", "finish: turned",
                 "finish: raw");
    assert_saves(STYLE, "flat", "parts.vamp.edges.throat.left", "1 mm", "left: 2 mm", "left: 1 mm");
    /* the one it is built from */
    assert_saves(STYLE, "flat", "parts.vamp.edges.throat.finish", "raw", "finish: turned",
                 "finish: raw");
    assert_saves(STYLE, "flat", "parts.vamp.edges.side.skive.width", "9 mm", "width: 8 mm",
                 "width: 9 mm");
    assert_saves(STYLE, "flat", "parts.vamp.edges.side.skive.left", "1 mm", "      width: 8 mm\n",
                 "      width: 8 mm\n      left: 1 mm\n");
    /* the style as written */
    assert_saves(STYLE, "flat", "parts.vamp.edges.throat.length", "93 mm", "92 mm", "93 mm");
    assert_saves(STYLE, "turned", "parts.vamp.edges.throat.relief", "clipped",
                 "            radius: 20 mm\n",
                 "            radius: 20 mm\n        relief: clipped\n");
    assert_saves(STYLE, "as-written", "parts.vamp.edges.throat.finish", "raw", "finish: folded",
                 "finish: raw");
    assert_saves(STYLE, "plainer", "parts.vamp.layer", "1", "layer: 3", "layer: 1");
}

static void mirrors_are_changed_through_but(void **state)
{
    (void)state;
    assert_saves(STYLE, NULL, "parts.quarter-med.but.edges.vent.finish", "folded",
                 "edges.vent.finish: raw", "edges.vent.finish: folded");
    assert_saves(STYLE, NULL, "parts.quarter-med.but.edges.vent.allowance", "6 mm",
                 "edges.vent.finish: raw}", "edges.vent.finish: raw, edges.vent.allowance: 6 mm}");
    assert_saves(STYLE, NULL, "parts.tail-med.but", "{edges.vent.finish: raw}",
                 "tail-med: {mirror: quarter-lat}",
                 "tail-med: {mirror: quarter-lat, but: {edges.vent.finish: raw}}");
    assert_saves(STYLE, NULL, "parts.quarter-lat.side", "medial", "side: lateral", "side: medial");
    assert_refuses(STYLE, NULL, "parts.quarter-med.edges.vent.finish", "folded", 1,
                   "it mirrors quarter-lat; change that, or write parts.quarter-med.but");
    assert_refuses(STYLE, NULL, "parts.tail-med.layer", "3", 1, "it mirrors quarter-lat");
}

static void all_else_is_left_to_the_user(void **state)
{
    (void)state;
    assert_refuses(STYLE, NULL, "parts.vamp.edges.throat.length", NULL, 23,
                   "edit line 23 yourself: take length out");
    assert_refuses(STYLE, NULL, "parts.vamp.edges.throat.bends", "[]", 25,
                   "edit line 25 yourself: in place of what stands there, write []");
    assert_refuses(STYLE, NULL, "parts.vamp.edges.throat.bends.3", "{curve: inward}", 25,
                   "write [{curve: inward, radius: 4.5 mm}, {curve: outward, radius: 20 mm}, "
                   "{curve: inward}]");
    assert_refuses(STYLE, NULL, "parts.vamp.edges.throat.bends", "unknown", 25,
                   "yourself: in place of what stands there, write unknown");
    assert_refuses(STYLE, "turned", "parts.quarter-lat.edges.vent.allowance", "3 mm", 43,
                   "edit line 43 yourself: in place of removed, write 3 mm");
    assert_refuses(STYLE, NULL, "lengths", "mm", 1, "cannot be changed this way");
    assert_refuses(STYLE, NULL, "parts.vmp.layer", "3", 1, "did you mean vamp");
    assert_refuses(STYLE, "none", "parts.vamp.layer", "3", 0, "no alternative none");
    /* one word too few for the alternative that needs it */
    assert_refuses(STYLE, NULL, "parts.vamp.layer", "many", 19, "the changed file would not do");
    assert_refuses(STYLE, NULL, "parts.vamp.edges.throat.lenght", "9 mm", 28,
                   "did you mean length");
    const char *block = "cordwain: style/1\nname: |  # long\n  A shoe\ncode: B\n";
    assert_refuses(block, NULL, "name", "Other", 2, "edit line 2 yourself");
    /* the blank line belongs to the name: a pair before it would change that */
    block = "cordwain: style/1\ncode: B\nparts: {vamp: {layer: 1}}\nname: |+\n  A shoe\n\n";
    assert_refuses(block, NULL, "wear", "socked", 0, "it would read differently");
}

static void several_patches_make_one_text_or_none(void **state)
{
    (void)state;
    Arena arena = {0};
    Messages messages = {0};
    Text text = {0};
    YamlFile *file = parse(&arena, "t.yaml", STYLE, strlen(STYLE));
    Patch patches[] = {
        {"parts.vamp.edges.throat.skive", typed(&arena, "{width: 8 mm}"), NULL},
        {"parts.vamp.edges.throat.skive.left", typed(&arena, "1 mm"), NULL},
        {"parts.vamp.edges.throat.length", typed(&arena, "1 mm"), NULL},
        {"parts.vamp.edges.throat.length", typed(&arena, "95 mm"), NULL},
        {"parts.vamp.edges.throat.sight", typed(&arena, "vamp"), NULL},
        {"parts.vamp.edges.throat.sight", NULL, file->root},
        {"parts.vamp.narrowest", typed(&arena, "30 mm"), NULL},
        {"wear", typed(&arena, "barefoot"), NULL},
        {"wear", typed(&arena, "socked"), NULL},
        {"parts.vamp.edges.throat.bends", NULL, file->root},
    };
    assert_true(style_text(file, "plainer", patches, 9, &text, &messages));
    const char *expected = with(&arena, STYLE, "92 mm", "95 mm");
    expected = with(&arena, expected, "            radius: 20 mm\n",
                    "            radius: 20 mm\n        skive: {width: 8 mm, left: 1 mm}\n");
    expected = with(&arena, expected, "length: 40 mm}\n", "length: 40 mm}\n    narrowest: 30 mm\n");
    assert_string_equal(text.bytes, expected);
    text_clear(&text);
    assert_false(style_text(file, "plainer", patches, 10, &text, &messages));
    assert_int_equal(text.length, 0);
    assert_true(has_error(&messages, 25, "take bends out"));
    /* what comes to nothing changes nothing */
    assert_true(style_text(file, NULL, patches + 4, 2, &text, &messages));
    assert_string_equal(text.bytes, STYLE);
    text_clear(&text);
    assert_true(style_text(file, NULL, NULL, 0, &text, &messages));
    assert_string_equal(text.bytes, STYLE);
    text_free(&text);
    messages_free(&messages);
    arena_free(&arena);
}

/* ---- A long walk of random patches ---- */

static unsigned next_random(unsigned *seed, size_t below)
{
    *seed = *seed * 1103515245u + 12345u;
    return (unsigned)((*seed >> 15) % below);
}

static const char *random_value(unsigned *seed)
{
    static const char *const values[] = {"1 mm",
                                         "2.5 mm",
                                         "unknown",
                                         "true",
                                         "false",
                                         "raw",
                                         "turned",
                                         "folded",
                                         "removed",
                                         "{width: 8 mm}",
                                         "[]",
                                         "{}",
                                         "[{curve: inward}]",
                                         "{finish: raw}",
                                         "hide",
                                         "lateral",
                                         "\"a # b\"",
                                         "'a: b'",
                                         "\"a, b\"",
                                         "\"it's\"",
                                         "\"\\\"\"",
                                         "\"\\\\\"",
                                         "\"👞\"",
                                         "\"\\n\"",
                                         "\"\\u202e\"",
                                         "\"é, ü\"",
                                         "'{'",
                                         "'- a'",
                                         "\"unknown\"",
                                         "~",
                                         "3",
                                         "-1 mm"};
    return values[next_random(seed, sizeof values / sizeof *values)];
}

/* A path that is there, one step more, or none. */
static const char *random_path(Arena *arena, const YamlNode *tree, unsigned *seed)
{
    static const char *const keys[] = {
        "skive", "left",  "allowance", "but",      "narrowest",        "relief",
        "keeps", "sight", "3",         "nonsense", "edges.vent.finish"};
    const YamlNode *node = tree;
    Text path = {0};
    while (node->kind != YAML_SCALAR && node->count && next_random(seed, 8) > 0) {
        size_t i = next_random(seed, node->count);
        text_add(&path, path.length ? "." : "");
        if (node->keys)
            text_add(&path, node->keys[i]->text);
        else
            text_addf(&path, "%zu", i + 1);
        node = node->items[i];
    }
    if (node->kind != YAML_SCALAR || next_random(seed, 20) == 0)
        text_addf(&path, "%s%s", path.length ? "." : "",
                  keys[next_random(seed, sizeof keys / sizeof *keys)]);
    const char *copy = arena_copy(arena, text_string(&path), path.length);
    text_free(&path);
    return copy;
}

static int by_line(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* The lines of a tree in order of the alphabet, for trees whose keys stand in another order. */
static const char *sorted_lines(Arena *arena, const YamlNode *tree)
{
    Text lines = lines_of(tree);
    const char **sorted = NULL;
    size_t count = 0, capacity = 0;
    for (char *line = strtok(lines.bytes, "\n"); line; line = strtok(NULL, "\n"))
        *ARENA_PUSH(arena, sorted, count, capacity) = line;
    qsort(sorted, count, sizeof *sorted, by_line);
    Text all = {0};
    for (size_t i = 0; i < count; i++)
        text_addf(&all, "%s\n", sorted[i]);
    const char *copy = arena_copy(arena, text_string(&all), all.length);
    text_free(&all);
    text_free(&lines);
    return copy;
}

/* One step of the walk: true if the text was changed, to `text`. */
static bool random_step(const Text *now, Text *text, unsigned *seed)
{
    Arena arena = {0};
    Messages messages = {0};
    YamlFile *file = parse(&arena, "t.yaml", now->bytes, now->length);
    const char *name = all_names[next_random(seed, 4)];
    const char *alternative = *name ? name : NULL;
    const YamlNode *tree = tree_of(&arena, file, alternative);
    Patch patches[2];
    size_t count = 1 + next_random(seed, 2);
    for (size_t i = 0; i < count; i++)
        patches[i] =
            (Patch){random_path(&arena, tree, seed), typed(&arena, random_value(seed)), file->root};
    bool good = style_text(file, alternative, patches, count, text, &messages);
    assert_true(good == (messages.errors == 0));
    if (good) {
        YamlFile *again = parse(&arena, "t.yaml", text->bytes, text->length);
        Style *style = style_from_tree(again, alternative, NULL, 0, &messages);
        assert_non_null(style);
        style_free(style);
        assert_string_equal(
            sorted_lines(&arena, tree_of(&arena, again, alternative)),
            sorted_lines(&arena, patch_tree(&arena, tree, patches, count, &messages)));
    } else
        assert_int_equal(text->length, 0);
    messages_free(&messages);
    arena_free(&arena);
    return good;
}

static void random_patches_never_break_a_file(void **state)
{
    (void)state;
    Text now = {0}, text = {0};
    unsigned seed = 20;
    size_t taken = 0, count = 10000 / slower(1, 20);
    text_add(&now, STYLE);
    for (size_t i = 0; i < count; i++) {
        if (i % 50 == 0) {
            text_clear(&now);
            text_add(&now, STYLE);
        }
        text_clear(&text);
        if (!random_step(&now, &text, &seed))
            continue;
        taken++;
        text_clear(&now);
        text_add_bytes(&now, text.bytes, text.length);
    }
    assert_true(taken > count / 20);
    text_free(&now);
    text_free(&text);
}

/* ---- On the disk ---- */

static void put(const char *path, const char *text)
{
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

static void assert_holds(const char *path, const char *expected)
{
    Arena arena = {0};
    Messages messages = {0};
    char *bytes = NULL;
    size_t length = 0;
    assert_true(file_read(&arena, path, 1 << 20, &messages, &bytes, &length));
    assert_string_equal(bytes, expected);
    arena_free(&arena);
}

static void a_style_is_saved_unless_somebody_else_was_there(void **state)
{
    (void)state;
    Arena arena = {0};
    Messages messages = {0};
    char folder[SCRATCH_LENGTH];
    scratch_folder(folder);
    const char *path = arena_printf(&arena, "%s/fjærland.yaml", folder);
    put(path, STYLE);
    YamlFile *file = yaml_read(&arena, path, false, &messages);
    assert_non_null(file);
    Patch patch = {"wear", typed(&arena, "barefoot"), NULL};
    assert_int_equal(style_save(file, NULL, &patch, 1, &messages), FILE_SAVED);
    const char *barefoot = with(&arena, STYLE, "socked", "barefoot");
    assert_holds(path, barefoot);
    assert_int_equal(messages.count, 0);
    /* the file that was read is out of date now */
    assert_int_equal(style_save(file, NULL, &patch, 1, &messages), FILE_CHANGED);
    assert_true(has_error(&messages, 0, "changed since it was read"));
    assert_holds(path, barefoot);
    assert_int_equal(unlink(path), 0);
    assert_int_equal(style_save(file, NULL, &patch, 1, &messages), FILE_CHANGED);
    assert_int_equal(access(path, F_OK), -1);
    /* nothing to write, nothing to refuse */
    assert_int_equal(style_save(file, NULL, NULL, 0, &messages), FILE_SAVED);
    assert_int_equal(access(path, F_OK), -1);
    patch.value = typed(&arena, "sandals");
    assert_int_equal(style_save(file, NULL, &patch, 1, &messages), FILE_UNSAVED);
    file->path = "-";
    assert_int_equal(style_save(file, NULL, NULL, 0, &messages), FILE_UNSAVED);
    assert_true(has_error(&messages, 0, "standard input"));
    assert_int_equal(rmdir(folder), 0);
    messages_free(&messages);
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(values_are_replaced_where_they_stand),
        cmocka_unit_test(keys_are_added_after_the_last),
        cmocka_unit_test(line_ends_stay_what_they_are),
        cmocka_unit_test(an_alternatives_value_is_changed_where_it_comes_from),
        cmocka_unit_test(mirrors_are_changed_through_but),
        cmocka_unit_test(all_else_is_left_to_the_user),
        cmocka_unit_test(several_patches_make_one_text_or_none),
        cmocka_unit_test(a_style_is_saved_unless_somebody_else_was_there),
        cmocka_unit_test(every_value_of_a_demo_style_changes_and_comes_back),
        cmocka_unit_test(random_patches_never_break_a_file),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

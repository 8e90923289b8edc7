/* Parts and seams that mirror others, written out. For style only. */
#include <string.h>

#include "style/patch.h"

typedef struct Mirrors {
    Arena *arena;
    const YamlNode *root, *section;
    const char *what; /* "part", "seam" */
    Messages *messages;
    size_t nodes; /* of the tree, with what mirrors stand for so far */
} Mirrors;

static YamlNode *scalar_like(Arena *arena, const YamlNode *like, const char *text)
{
    YamlNode *copy = yaml_copy_shallow(arena, like);
    copy->text = text;
    copy->length = strlen(text);
    return copy;
}

static const char *other_side(const YamlNode *node)
{
    if (yaml_is_word(node, "lateral"))
        return "medial";
    return yaml_is_word(node, "medial") ? "lateral" : NULL;
}

/* A mirrored part is on the other side, and lies on that side's sheet; where
 * there is no such sheet it lies on none. */
static void change_side(Mirrors *m, YamlNode *part)
{
    const YamlNode *side = yaml_get(part, "side"), *sheet = yaml_get(part, "sheet");
    if (other_side(side))
        yaml_set(m->arena, part, yaml_key(part, "side"),
                 scalar_like(m->arena, side, other_side(side)));
    if (!other_side(sheet))
        return;
    if (yaml_get(yaml_get(m->root, "sheets"), other_side(sheet)))
        yaml_set(m->arena, part, yaml_key(part, "sheet"),
                 scalar_like(m->arena, sheet, other_side(sheet)));
    else
        yaml_remove(part, "sheet");
}

static YamlNode *take_but(Mirrors *m, YamlNode *node, const YamlNode *but)
{
    if (but->kind != YAML_MAPPING) {
        message_error(m->messages, yaml_where(but),
                      "but is a mapping of what differs, such as {edges.vent.finish: raw}");
        return node;
    }
    Patch *patches = ARENA_NEW(m->arena, Patch, but->count);
    for (size_t i = 0; i < but->count; i++)
        patches[i] =
            (Patch){but->keys[i]->text,
                    yaml_is_word(but->items[i], "removed") ? NULL : but->items[i], but->keys[i]};
    YamlNode *changed = patch_tree(m->arena, node, patches, but->count, m->messages);
    return changed ? changed : node;
}

/* What `mirror` names, if it may be mirrored; NULL after a message. */
static const YamlNode *find_origin(Mirrors *m, const YamlNode *mirror)
{
    const YamlNode *section = m->section;
    const YamlNode *origin = mirror->kind == YAML_SCALAR ? yaml_get(section, mirror->text) : NULL;
    if (origin && origin->kind == YAML_MAPPING && !yaml_get(origin, "mirror"))
        return origin;
    if (origin && origin->kind == YAML_MAPPING) {
        message_error_two(m->messages, yaml_where(mirror), yaml_where(origin),
                          "%s mirrors another %s itself; name the one that is written out",
                          quoted(mirror->text).text, m->what);
        return NULL;
    }
    if (messages_full(m->messages, yaml_where(mirror).file)) {
        message_error(m->messages, yaml_where(mirror), "mirror names no %s", m->what);
        return NULL;
    }
    const char **names = ARENA_NEW(m->arena, const char *, section->count);
    for (size_t i = 0; i < section->count; i++)
        names[i] = section->keys[i]->text;
    const char *near =
        mirror->kind == YAML_SCALAR ? nearest_word(mirror->text, names, section->count) : NULL;
    message_error(m->messages, yaml_where(mirror),
                  "mirror needs the name of a %s that is written out%s%s%s", m->what,
                  near ? "; did you mean " : "", near ? near : "", near ? "?" : "");
    return NULL;
}

/* Where `mirror` is set, if that is elsewhere: by an alternative or an edit. */
static Where mirror_set_at(const YamlNode *node)
{
    const YamlNode *key = yaml_key(node, "mirror");
    bool inside = key->file == node->file && key->start >= node->start && key->end <= node->end;
    return inside ? (Where){0} : yaml_where(key);
}

static void check_keys(Mirrors *m, const YamlNode *node)
{
    static const char *const known[] = {"mirror", "but"};
    for (size_t i = 0; i < node->count; i++) {
        const char *key = node->keys[i]->text;
        if (strcmp(key, known[0]) == 0 || strcmp(key, known[1]) == 0)
            continue;
        const char *near = nearest_word(key, known, 2);
        if (near)
            message_error(m->messages, yaml_where(node->keys[i]),
                          "unknown key %s; did you mean %s?", quoted(key).text, near);
        else
            message_error_two(
                m->messages, yaml_where(node->keys[i]), mirror_set_at(node),
                "a %s that mirrors another takes mirror and but alone; write {but: {%s: …}}",
                m->what, quoted(key).text);
    }
}

/* Counts what the mirror stands for before it is built; false after a message. */
static bool count_origin(Mirrors *m, const YamlNode *mirror, const YamlNode *origin)
{
    if (m->nodes > YAML_EXPANDED_MOST)
        return false;
    m->nodes += yaml_count(origin, YAML_EXPANDED_MOST - m->nodes);
    if (m->nodes <= YAML_EXPANDED_MOST)
        return true;
    message_error(m->messages, yaml_where(mirror),
                  "more than %d keys and values (mirrors written out), the most accepted",
                  YAML_EXPANDED_MOST);
    return false;
}

static YamlNode *written_out(Mirrors *m, YamlNode *node)
{
    const YamlNode *origin = find_origin(m, yaml_get(node, "mirror"));
    const YamlNode *but = yaml_get(node, "but");
    bool is_part = strcmp(m->what, "part") == 0;
    if (origin && !count_origin(m, yaml_get(node, "mirror"), origin))
        origin = NULL;
    check_keys(m, node);
    YamlNode *copy = yaml_copy_shallow(m->arena, origin ? origin : node);
    if (!origin) {
        copy->count = 0;
        return copy;
    }
    copy->file = node->file;
    copy->start = node->start;
    copy->end = node->end;
    if (is_part)
        change_side(m, copy);
    else if (!yaml_get(but, "edges"))
        message_error(m->messages, yaml_where(node),
                      "a seam that mirrors another names its own edges: {but: {edges: [...]}}");
    return but ? take_but(m, copy, but) : copy;
}

static YamlNode *section_written_out(Mirrors *m, const char *name)
{
    const YamlNode *section = yaml_get(m->root, name);
    YamlNode *copy = NULL;
    m->section = section;
    if (!section || section->kind != YAML_MAPPING)
        return NULL;
    for (size_t i = 0; i < section->count; i++) {
        if (!yaml_get(section->items[i], "mirror"))
            continue;
        if (!copy)
            copy = yaml_copy_shallow(m->arena, section);
        copy->items[i] = written_out(m, section->items[i]);
    }
    return copy;
}

YamlNode *patch_mirrors(Arena *arena, const YamlNode *root, Messages *messages)
{
    Mirrors m = {.arena = arena, .root = root, .messages = messages};
    YamlNode *tree = yaml_copy_shallow(arena, root);
    for (size_t i = 0; i < root->count && m.nodes <= YAML_EXPANDED_MOST; i++)
        if (strcmp(root->keys[i]->text, "alternatives") != 0)
            m.nodes += yaml_count(root->items[i], YAML_EXPANDED_MOST);
    static const char *const sections[][2] = {{"parts", "part"}, {"seams", "seam"}};
    for (size_t i = 0; i < 2; i++) {
        m.what = sections[i][1];
        YamlNode *section = section_written_out(&m, sections[i][0]);
        if (section)
            yaml_set(arena, tree, yaml_key(root, sections[i][0]), section);
    }
    return tree;
}

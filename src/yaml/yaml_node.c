/* Looking into a YAML tree and changing copies of it. For the readers. */
#include <string.h>

#include "yaml/yaml_inside.h"

Where yaml_where(const YamlNode *node)
{
    if (!node || !node->file)
        return (Where){0};
    return yaml_file_where(node->file, node->start);
}

/* The index of a key; count if there is none. */
static size_t find(const YamlNode *mapping, const char *key)
{
    size_t i = 0;
    while (i < mapping->count && strcmp(mapping->keys[i]->text, key) != 0)
        i++;
    return i;
}

YamlNode *yaml_get(const YamlNode *mapping, const char *key)
{
    if (!mapping || mapping->kind != YAML_MAPPING)
        return NULL;
    size_t i = find(mapping, key);
    return i < mapping->count ? mapping->items[i] : NULL;
}

YamlNode *yaml_key(const YamlNode *mapping, const char *key)
{
    if (!mapping || mapping->kind != YAML_MAPPING)
        return NULL;
    size_t i = find(mapping, key);
    return i < mapping->count ? mapping->keys[i] : NULL;
}

bool yaml_is_word(const YamlNode *node, const char *word)
{
    return node && node->kind == YAML_SCALAR && node->plain && strcmp(node->text, word) == 0;
}

static YamlNode **copy_nodes(Arena *arena, YamlNode *const *nodes, size_t count, size_t room)
{
    YamlNode **copy = ARENA_NEW(arena, YamlNode *, room);
    if (count)
        memcpy(copy, nodes, count * sizeof *copy);
    return copy;
}

YamlNode *yaml_copy_shallow(Arena *arena, const YamlNode *like)
{
    YamlNode *copy = ARENA_NEW(arena, YamlNode, 1);
    *copy = *like;
    if (like->keys)
        copy->keys = copy_nodes(arena, like->keys, like->count, like->count);
    if (like->items)
        copy->items = copy_nodes(arena, like->items, like->count, like->count);
    return copy;
}

void yaml_set(Arena *arena, YamlNode *mapping, const YamlNode *key, YamlNode *value)
{
    size_t i = find(mapping, key->text);
    if (i == mapping->count) {
        mapping->keys = copy_nodes(arena, mapping->keys, i, i + 1);
        mapping->items = copy_nodes(arena, mapping->items, i, i + 1);
        mapping->keys[i] = yaml_copy_shallow(arena, key);
        mapping->count++;
    }
    mapping->items[i] = value;
}

bool yaml_remove(YamlNode *mapping, const char *key)
{
    size_t i = find(mapping, key);
    if (i == mapping->count)
        return false;
    size_t after = mapping->count - i - 1;
    memmove(mapping->keys + i, mapping->keys + i + 1, after * sizeof *mapping->keys);
    memmove(mapping->items + i, mapping->items + i + 1, after * sizeof *mapping->items);
    mapping->count--;
    return true;
}

/* A child either lies in its parent's range after `from`, or is the target of
 * an alias and lies wholly before; then it is checked where it stands. */
static bool check_child(const YamlNode *parent, const YamlNode *child, size_t *from, bool *own)
{
    *own = child->start >= *from && child->end <= parent->end;
    if (!*own)
        return child->end <= *from;
    *from = child->end;
    return true;
}

static bool check_node(const YamlNode *node, int depth)
{
    if (depth > YAML_DEPTH_MOST || node->start > node->end || node->end > node->file->length)
        return false;
    if (node->kind == YAML_SCALAR)
        return node->text && !memchr(node->text, '\0', node->length) && !node->text[node->length];
    size_t from = node->start;
    bool own;
    for (size_t i = 0; i < node->count; i++) {
        if (node->kind == YAML_MAPPING) {
            const YamlNode *key = node->keys[i];
            if (key->kind != YAML_SCALAR || !check_node(key, depth + 1) ||
                !check_child(node, key, &from, &own) || find(node, key->text) != i)
                return false;
        }
        if (!check_child(node, node->items[i], &from, &own) ||
            (own && !check_node(node->items[i], depth + 1)))
            return false;
    }
    return true;
}

bool yaml_check(const YamlFile *file)
{
    return file->root && file->bytes[file->length] == '\0' && check_node(file->root, 0);
}

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
    copy->room = like->count;
    copy->copied_by = NULL;
    return copy;
}

/* Room for one more; doubled, so that many additions stay cheap. */
static void make_room(Arena *arena, YamlNode *copy)
{
    if (copy->count < copy->room)
        return;
    copy->room = copy->count * 2 + 1;
    if (copy->kind == YAML_MAPPING)
        copy->keys = copy_nodes(arena, copy->keys, copy->count, copy->room);
    copy->items = copy_nodes(arena, copy->items, copy->count, copy->room);
}

void yaml_push(Arena *arena, YamlNode *sequence, YamlNode *value)
{
    make_room(arena, sequence);
    sequence->items[sequence->count++] = value;
}

void yaml_set(Arena *arena, YamlNode *mapping, const YamlNode *key, YamlNode *value)
{
    size_t i = find(mapping, key->text);
    if (i == mapping->count) {
        make_room(arena, mapping);
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
    yaml_remove_at(mapping, i);
    return true;
}

void yaml_remove_at(YamlNode *copy, size_t index)
{
    size_t after = copy->count - index - 1;
    memmove(copy->items + index, copy->items + index + 1, after * sizeof *copy->items);
    if (copy->keys)
        memmove(copy->keys + index, copy->keys + index + 1, after * sizeof *copy->keys);
    copy->count--;
}

/* A tree as read is at most 64 deep; patched ones are a few times that. */
size_t yaml_count(const YamlNode *node, size_t most)
{
    size_t count = 1;
    for (size_t i = 0; i < node->count && count <= most; i++) {
        count += node->kind == YAML_MAPPING;
        count += yaml_count(node->items[i], count <= most ? most - count : 0);
    }
    return count <= most ? count : most + 1;
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

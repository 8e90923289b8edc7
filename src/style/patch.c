/* Patches: one value of a style's tree set, added or removed, all else shared.
 * For style, for review, and for tests. */
#include "style/patch.h"

#include <string.h>

enum { CHAIN_MOST = 64 }; /* alternatives that build on one another */

typedef struct Patcher {
    Arena *arena;
    Messages *messages;
    const Patch *patch;
    const char *path; /* the whole path */
    Where at;
    const void *self; /* marks the copies made for this list of patches */
} Patcher;

/* ---- Following a path ---- */

/* "12." or "12": the number of an item, from 1; 0 if the path does not begin so. */
static size_t item_number(const char *path, size_t *used)
{
    size_t number = 0, i = 0;
    for (; path[i] >= '0' && path[i] <= '9' && i < 6; i++)
        number = number * 10 + (size_t)(path[i] - '0');
    *used = i;
    return path[0] != '0' && (path[i] == '.' || path[i] == '\0') ? number : 0;
}

/* One step: the longest key of a mapping that the path begins with (keys may
 * hold dots, as in `ease: {lining.topline: -2 mm}`), or an item's number. */
static bool step(const YamlNode *node, const char *path, size_t *index, size_t *used)
{
    if (node->kind == YAML_SEQUENCE) {
        size_t number = item_number(path, used);
        *index = number - 1;
        return number >= 1 && number <= node->count;
    }
    *used = 0;
    for (size_t i = 0; node->kind == YAML_MAPPING && i < node->count; i++) {
        size_t length = node->keys[i]->length;
        if (length > *used && strncmp(path, node->keys[i]->text, length) == 0 &&
            (path[length] == '.' || path[length] == '\0')) {
            *index = i;
            *used = length;
        }
    }
    return *used > 0;
}

/* Names what stands before `rest` in the path: "parts.vamp", or the top level. */
static const char *before(const Patcher *p, const char *rest)
{
    size_t length = (size_t)(rest - p->path);
    return length ? arena_copy(p->arena, p->path, length - 1) : "the top level";
}

static void report_missing(const Patcher *p, const YamlNode *node, const char *rest)
{
    if (messages_full(p->messages, p->at.file)) {
        message_error(p->messages, p->at, "the path leads nowhere");
        return;
    }
    const char *holder = before(p, rest);
    const char *step_name = arena_copy(p->arena, rest, strcspn(rest, "."));
    if (node->kind == YAML_SCALAR) {
        message_error(p->messages, p->at, "%s is a single value; it has no %s", quoted(holder).text,
                      quoted(step_name).text);
        return;
    }
    if (node->kind == YAML_SEQUENCE) {
        message_error(p->messages, p->at, "%s is a list of %zu; %s is not the number of an item",
                      quoted(holder).text, node->count, quoted(step_name).text);
        return;
    }
    const char **keys = ARENA_NEW(p->arena, const char *, node->count);
    for (size_t i = 0; i < node->count; i++)
        keys[i] = node->keys[i]->text;
    const char *near = nearest_word(step_name, keys, node->count);
    const char *mirror = yaml_get(node, "mirror") ? yaml_get(node, "mirror")->text : NULL;
    if (near)
        message_error(p->messages, p->at, "%s has no %s; did you mean %s?", quoted(holder).text,
                      quoted(step_name).text, near);
    else if (mirror)
        message_error(p->messages, p->at,
                      "%s has no %s of its own, it mirrors %s; change that, or write %s.but.…",
                      quoted(holder).text, quoted(step_name).text, quoted(mirror).text,
                      quoted(holder).text);
    else
        message_error(p->messages, p->at, "%s has no %s", quoted(holder).text,
                      quoted(step_name).text);
}

bool patch_path_check(Arena *arena, const YamlNode *root, const char *path, Where at,
                      Messages *messages)
{
    Patcher p = {arena, messages, NULL, path, at, NULL};
    const YamlNode *node = root;
    const char *rest = path;
    for (size_t index, used; *rest; rest += rest[used] ? used + 1 : used) {
        if (!step(node, rest, &index, &used)) {
            report_missing(&p, node, rest);
            return false;
        }
        node = node->items[index];
    }
    if (*path)
        return true;
    message_error(messages, at, "a path is missing here");
    return false;
}

const YamlNode *patch_path_node(const YamlNode *root, const char *path)
{
    const YamlNode *node = root;
    for (size_t index, used; *path; path += path[used] ? used + 1 : used) {
        if (!step(node, path, &index, &used))
            return NULL;
        node = node->items[index];
    }
    return node;
}

bool patch_path_leads(const YamlNode *root, const char *path)
{
    return patch_path_node(root, path) != NULL;
}

/* ---- Changing what it leads to ---- */

/* A node that may be changed in place: each is copied once for all patches. */
static YamlNode *own(const Patcher *p, const YamlNode *node)
{
    if (node->copied_by == p->self)
        return (YamlNode *)node;
    YamlNode *copy = yaml_copy_shallow(p->arena, node);
    copy->copied_by = p->self;
    return copy;
}

static YamlNode *without(const Patcher *p, const YamlNode *node, size_t index)
{
    YamlNode *copy = own(p, node);
    yaml_remove_at(copy, index);
    return copy;
}

/* A key that stands where the patch is written. */
static const YamlNode *key_like(const Patcher *p, const YamlNode *holder, const char *name)
{
    const YamlNode *like = p->patch->at ? p->patch->at : holder;
    YamlNode *key = ARENA_NEW(p->arena, YamlNode, 1);
    *key = (YamlNode){.kind = YAML_SCALAR,
                      .plain = true,
                      .file = like->file,
                      .start = like->start,
                      .end = like->end,
                      .length = strlen(name)};
    key->text = arena_copy(p->arena, name, key->length);
    return key;
}

/* In these mappings the keys are paths themselves. */
static bool keys_are_paths(const char *name, size_t length)
{
    return (length == 3 && memcmp(name, "but", 3) == 0) ||
           (length == 4 && memcmp(name, "ease", 4) == 0);
}

/* The last key of a path may be new, and so may the next item of a list. */
static YamlNode *added(const Patcher *p, const YamlNode *node, const char *rest, bool path_keys)
{
    size_t used;
    bool last = *rest && (path_keys || !strchr(rest, '.'));
    bool mirrored =
        node->kind == YAML_MAPPING && yaml_get(node, "mirror") && strcmp(rest, "but") != 0;
    YamlNode *value = (YamlNode *)p->patch->value;
    if (last && value && node->kind == YAML_MAPPING && !mirrored) {
        YamlNode *copy = own(p, node);
        yaml_set(p->arena, copy, key_like(p, node, rest), value);
        return copy;
    }
    if (last && value && node->kind == YAML_SEQUENCE &&
        item_number(rest, &used) == node->count + 1) {
        YamlNode *copy = own(p, node);
        yaml_push(p->arena, copy, value);
        return copy;
    }
    report_missing(p, node, rest);
    return NULL;
}

static YamlNode *patched(const Patcher *p, const YamlNode *node, const char *rest, bool path_keys,
                         int depth)
{
    size_t index, used;
    if (depth > YAML_DEPTH_MOST) {
        message_error(p->messages, p->at, "the path %s has more than %d steps",
                      quoted(p->path).text, (int)YAML_DEPTH_MOST);
        return NULL;
    }
    if (!step(node, rest, &index, &used))
        return added(p, node, rest, path_keys);
    bool last = rest[used] == '\0';
    if (last && !p->patch->value)
        return without(p, node, index);
    YamlNode *child = (YamlNode *)p->patch->value;
    if (!last)
        child =
            patched(p, node->items[index], rest + used + 1, keys_are_paths(rest, used), depth + 1);
    if (!child)
        return NULL;
    YamlNode *copy = own(p, node);
    copy->items[index] = child;
    return copy;
}

/* What a file is, and what it can be built as, is no value of the style. */
static bool is_closed(const Patcher *p)
{
    static const char *const closed[] = {"cordwain", "lengths", "alternatives"};
    for (size_t i = 0; i < sizeof closed / sizeof closed[0]; i++) {
        size_t length = strlen(closed[i]);
        if (strncmp(p->path, closed[i], length) == 0 &&
            (p->path[length] == '.' || p->path[length] == '\0')) {
            message_error(p->messages, p->at, "%s cannot be changed this way", closed[i]);
            return true;
        }
    }
    return false;
}

YamlNode *patch_tree(Arena *arena, const YamlNode *root, const Patch *patches, size_t count,
                     Messages *messages)
{
    YamlNode *tree = (YamlNode *)root;
    const char *self = ARENA_NEW(arena, char, 1); /* its address is nobody else's */
    bool good = true;
    for (size_t i = 0; i < count; i++) {
        const Patch *patch = &patches[i];
        Patcher p = {
            arena, messages, patch, patch->path, yaml_where(patch->at ? patch->at : patch->value),
            self};
        YamlNode *next = is_closed(&p) ? NULL : patched(&p, tree, patch->path, false, 0);
        good = good && next;
        tree = next ? next : tree;
    }
    return good ? tree : NULL;
}

/* ---- Alternatives ---- */

/* The alternative called `name` with its key; NULL after a message. */
static const YamlNode *find_alternative(Arena *arena, const YamlNode *all, const char *name,
                                        Where at, Messages *messages)
{
    const YamlNode *found = yaml_get(all, name);
    if (found && found->kind == YAML_MAPPING)
        return found;
    if (found) {
        message_error(messages, yaml_where(found),
                      "alternative %s has no changes; expected a mapping of paths to values",
                      quoted(name).text);
        return NULL;
    }
    size_t count = all && all->kind == YAML_MAPPING ? all->count : 0;
    const char **names = ARENA_NEW(arena, const char *, count + 1);
    for (size_t i = 0; i < count; i++)
        names[i] = all->keys[i]->text;
    names[count] = "as-written";
    const char *near = nearest_word(name, names, count + 1);
    if (near)
        message_error(messages, at, "there is no alternative %s; did you mean %s?",
                      quoted(name).text, near);
    else
        message_error(messages, at, "there is no alternative %s", quoted(name).text);
    return NULL;
}

/* The chain of alternatives from `name` down to as written; false after a message. */
static bool find_chain(Arena *arena, const YamlNode *root, const char *name,
                       const YamlNode *chain[CHAIN_MOST], size_t *length, Messages *messages)
{
    const YamlNode *all = yaml_get(root, "alternatives");
    Where at = {.file = yaml_where(root).file};
    *length = 0;
    while (name && strcmp(name, "as-written") != 0) {
        const YamlNode *node = find_alternative(arena, all, name, at, messages);
        if (!node)
            return false;
        for (size_t i = 0; i < *length; i++)
            if (chain[i] == node) {
                message_error(messages, at, "alternative %s is built from itself",
                              quoted(name).text);
                return false;
            }
        if (*length == CHAIN_MOST) {
            message_error(messages, at, "more than %d alternatives build on one another",
                          (int)CHAIN_MOST);
            return false;
        }
        chain[(*length)++] = node;
        const YamlNode *from = yaml_get(node, "from");
        if (from && from->kind != YAML_SCALAR) {
            message_error(messages, yaml_where(from), "from names one alternative, or as-written");
            return false;
        }
        name = from ? from->text : NULL;
        at = yaml_where(from);
    }
    return true;
}

bool patch_alternative(Arena *arena, const YamlNode *root, const char *name, Patch **patches,
                       size_t *count, Messages *messages)
{
    const YamlNode *chain[CHAIN_MOST];
    size_t length, capacity = 0;
    *patches = NULL;
    *count = 0;
    if (!find_chain(arena, root, name, chain, &length, messages))
        return false;
    for (size_t i = length; i > 0; i--)
        for (size_t k = 0; k < chain[i - 1]->count; k++) {
            const YamlNode *key = chain[i - 1]->keys[k], *value = chain[i - 1]->items[k];
            if (strcmp(key->text, "from") == 0)
                continue;
            *ARENA_PUSH(arena, *patches, *count, capacity) =
                (Patch){key->text, yaml_is_word(value, "removed") ? NULL : value, key};
        }
    return true;
}

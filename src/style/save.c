/* Changed values written into a style's own file. For the review. */
#include "style/save.h"

#include <string.h>

#include "style/patch.h"
#include "yaml/yaml_splice.h"

/* What the readers of styles take for more than text only where it stands without quotes. */
static const char *const bare_words[] = {"unknown", "removed", "true",    "false",  "?",
                                         "~",       "null",    "lateral", "medial", NULL};

/* A text being made: the difference of two trees as splices. */
typedef struct Saver {
    Arena arena;
    YamlFile *file;
    Messages *messages;
    Patch *own; /* what the alternative changes whose tree was made last */
    size_t own_count;
    Text path; /* of what is compared */
    YamlSplice *splices;
    size_t count, capacity;
} Saver;

/* ---- What cannot be done by the two edits ---- */

static const char *as_text(Saver *s, const YamlNode *value)
{
    Text text = {0};
    yaml_write(&text, value, NULL, bare_words);
    const char *copy = arena_copy(&s->arena, text_string(&text), text.length);
    text_free(&text);
    return copy;
}

__attribute__((format(printf, 3, 4))) static void advise(Saver *s, Where at, const char *format,
                                                         ...)
{
    va_list arguments;
    Text text = {0};
    va_start(arguments, format);
    text_addv(&text, format, arguments);
    va_end(arguments);
    message_error(s->messages, at, "%s is not saved; edit line %d yourself: %s",
                  quoted(text_string(&s->path)).text, at.line, text_string(&text));
    text_free(&text);
}

/* The pair of the alternative that removes this path; NULL if there is none. */
static const Patch *removed_by(const Saver *s)
{
    for (size_t i = s->own_count; i > 0; i--)
        if (!s->own[i - 1].value && strcmp(s->own[i - 1].path, text_string(&s->path)) == 0)
            return &s->own[i - 1];
    return NULL;
}

/* ---- The difference of two trees ---- */

/* Makes the path one step longer; its length before, to cut it back to. */
static size_t lengthen(Text *path, const char *step)
{
    size_t length = path->length;
    text_addf(path, "%s%s", length ? "." : "", step);
    return length;
}

static void shorten(Text *path, size_t length)
{
    path->length = length;
    if (path->bytes)
        path->bytes[length] = '\0';
}

static YamlSplice *next_splice(Saver *s)
{
    return ARENA_PUSH(&s->arena, s->splices, s->count, s->capacity);
}

static void save_scalar(Saver *s, const YamlNode *old, const YamlNode *value)
{
    YamlSplice splice;
    if (yaml_splice_value(&s->arena, old, value, bare_words, &splice))
        *next_splice(s) = splice;
    else
        advise(s, yaml_where(old), "in place of what stands there, write %s", as_text(s, value));
}

/* The mapping as it stands in the file: those of patched trees keep its range. */
static const YamlNode *as_read(const YamlNode *node, const YamlNode *mapping)
{
    while (node->start != mapping->start || node->end != mapping->end ||
           node->kind != mapping->kind) {
        const YamlNode *holder = NULL;
        for (size_t i = 0; i < node->count && !holder; i++)
            if (node->items[i]->start <= mapping->start && mapping->end <= node->items[i]->end)
                holder = node->items[i];
        if (!holder)
            return NULL;
        node = holder;
    }
    return node;
}

static void add_pair(Saver *s, const YamlNode *mapping, size_t added, const char *key,
                     const YamlNode *value)
{
    YamlSplice splice;
    const Patch *removed = removed_by(s);
    const YamlNode *read = as_read(s->file->root, mapping);
    if (removed)
        advise(s, yaml_where(removed->at), "in place of removed, write %s", as_text(s, value));
    else if (read && !yaml_get(read, key) &&
             yaml_splice_pair(&s->arena, read, added, key, value, bare_words, &splice))
        *next_splice(s) = splice;
    else
        advise(s, yaml_where(mapping), "add %s: %s", key, as_text(s, value));
}

/* The value of a key that stands at about the same place in another mapping; NULL if none. */
static const YamlNode *like_pair(const YamlNode *mapping, size_t index, const YamlNode *key)
{
    bool there = index < mapping->count && strcmp(mapping->keys[index]->text, key->text) == 0;
    return there ? mapping->items[index] : yaml_get(mapping, key->text);
}

static void save_difference(Saver *s, const YamlNode *old, const YamlNode *new);

/* Inner pairs come before outer ones: they may be added at the same place. */
static void save_mapping(Saver *s, const YamlNode *old, const YamlNode *new)
{
    for (size_t i = 0; i < old->count; i++) {
        const YamlNode *value = like_pair(new, i, old->keys[i]);
        size_t length = lengthen(&s->path, old->keys[i]->text);
        if (value)
            save_difference(s, old->items[i], value);
        else
            advise(s, yaml_where(old->items[i]), "take %s out", old->keys[i]->text);
        shorten(&s->path, length);
    }
    size_t added = 0;
    for (size_t i = 0; i < new->count; i++) {
        if (like_pair(old, i, new->keys[i]))
            continue;
        size_t length = lengthen(&s->path, new->keys[i]->text);
        add_pair(s, old, added++, new->keys[i]->text, new->items[i]);
        shorten(&s->path, length);
    }
}

static void save_list(Saver *s, const YamlNode *old, const YamlNode *new)
{
    for (size_t i = 0; i < old->count; i++) {
        size_t length = lengthen(&s->path, arena_printf(&s->arena, "%zu", i + 1));
        save_difference(s, old->items[i], new->items[i]);
        shorten(&s->path, length);
    }
}

static bool same_scalar(const YamlNode *a, const YamlNode *b)
{
    return a->length == b->length && memcmp(a->text, b->text, a->length) == 0 &&
           (a->plain == b->plain || !yaml_word_stands(bare_words, a->text));
}

/* As deep as a tree as read. */
static void save_difference(Saver *s, const YamlNode *old, const YamlNode *new)
{
    if (old == new)
        return;
    if (old->kind == YAML_SCALAR) {
        if (new->kind != YAML_SCALAR || !same_scalar(old, new))
            save_scalar(s, old, new);
    } else if (old->kind == YAML_MAPPING && new->kind == YAML_MAPPING)
        save_mapping(s, old, new);
    else if (old->kind == YAML_SEQUENCE && new->kind == YAML_SEQUENCE && old->count == new->count)
        save_list(s, old, new);
    else
        advise(s, yaml_where(old), "in place of what stands there, write %s", as_text(s, new));
}

/* The file's tree with an alternative taken; NULL with messages. */
static const YamlNode *tree_of(Saver *s, const YamlFile *file, const char *alternative,
                               Messages *messages)
{
    if (!patch_alternative(&s->arena, file->root, alternative, &s->own, &s->own_count, messages))
        return NULL;
    return patch_tree(&s->arena, file->root, s->own, s->own_count, messages);
}

/* ---- The same, seen from the text that came of it ---- */

/* Trees that are to be the same, but for these paths and what lies below. */
typedef struct Sameness {
    const Patch *but;
    size_t count;
    Text path;
} Sameness;

static bool is_excepted(const Sameness *s)
{
    for (size_t i = 0; i < s->count; i++)
        if (strcmp(s->but[i].path, text_string(&s->path)) == 0)
            return true;
    return false;
}

static bool same_tree(Sameness *s, const YamlNode *a, const YamlNode *b);

/* Every pair of `a` is in `b` too, and the same if `deep`. Alternatives are compared as the trees
 * they give. */
static bool has_pairs(Sameness *s, const YamlNode *a, const YamlNode *b, bool deep)
{
    bool root = s->path.length == 0, same = true;
    for (size_t i = 0; i < a->count && same; i++) {
        const YamlNode *key = a->keys[i], *other = like_pair(b, i, key);
        if (root && strcmp(key->text, "alternatives") == 0)
            continue;
        size_t length = lengthen(&s->path, key->text);
        same = (other && (!deep || same_tree(s, a->items[i], other))) || is_excepted(s);
        shorten(&s->path, length);
    }
    return same;
}

static bool same_list(Sameness *s, const YamlNode *a, const YamlNode *b)
{
    bool same = a->count == b->count;
    for (size_t i = 0; i < a->count && same; i++) {
        char number[24];
        snprintf(number, sizeof number, "%zu", i + 1);
        size_t length = lengthen(&s->path, number);
        same = same_tree(s, a->items[i], b->items[i]) || is_excepted(s);
        shorten(&s->path, length);
    }
    return same;
}

static bool same_tree(Sameness *s, const YamlNode *a, const YamlNode *b)
{
    if (a->kind != b->kind)
        return false;
    if (a->kind == YAML_SCALAR)
        return same_scalar(a, b);
    if (a->kind == YAML_SEQUENCE)
        return same_list(s, a, b);
    return has_pairs(s, a, b, true) && has_pairs(s, b, a, false);
}

static bool same_but(const YamlNode *a, const YamlNode *b, const Patch *patches, size_t count)
{
    Sameness s = {.but = patches, .count = count};
    bool same = same_tree(&s, a, b);
    text_free(&s.path);
    return same;
}

/* Does an alternative differ at the patched paths alone? */
static bool alternative_holds(Saver *s, const YamlFile *again, const char *name,
                              const Patch *patches, size_t count)
{
    Messages unsaid = {0};
    const YamlNode *before = tree_of(s, s->file, name, &unsaid);
    const YamlNode *after = tree_of(s, again, name, &unsaid);
    messages_free(&unsaid);
    return before && after && same_but(before, after, patches, count);
}

static bool all_hold(Saver *s, const YamlFile *again, const Patch *patches, size_t count)
{
    const YamlNode *all = yaml_get(s->file->root, "alternatives");
    bool good = alternative_holds(s, again, NULL, patches, count);
    for (size_t i = 0; good && all && all->kind == YAML_MAPPING && i < all->count; i++)
        good = alternative_holds(s, again, all->keys[i]->text, patches, count);
    return good;
}

/* ---- From patches to a text ---- */

/* Hands on the errors; notices were given when the file was read. */
static void hand_on_errors(Messages *messages, const Messages *found)
{
    for (size_t i = 0; i < found->count; i++)
        if (found->items[i].level == MESSAGE_ERROR)
            message_error_two(messages, found->items[i].at, found->items[i].other,
                              "the changed file would not do: %s", found->items[i].text);
}

/* Reads the text as the style it will be, with all its alternatives. */
static YamlFile *read_again(Saver *s, const char *alternative, const Text *text)
{
    Messages found = {0};
    YamlFile *again =
        yaml_read_bytes(&s->arena, s->file->path, text_string(text), text->length, false, &found);
    Style *style = again ? style_from_tree(again, alternative, NULL, 0, &found) : NULL;
    if (!style)
        hand_on_errors(s->messages, &found);
    messages_free(&found);
    bool good = style != NULL;
    style_free(style);
    return good ? again : NULL;
}

static bool check_text(Saver *s, const char *alternative, const YamlNode *wanted,
                       const Patch *patches, size_t count, const Text *text)
{
    YamlFile *again = read_again(s, alternative, text);
    if (!again)
        return false;
    const YamlNode *got = tree_of(s, again, alternative, s->messages);
    if (got && same_but(wanted, got, NULL, 0) && all_hold(s, again, patches, count))
        return true;
    message_error(s->messages, (Where){.file = s->file->path},
                  "is not saved: with the changed values written into it, it would read "
                  "differently; edit it yourself");
    return false;
}

static bool make_text(Saver *s, const char *alternative, const Patch *patches, size_t count,
                      Text *text)
{
    size_t errors = s->messages->errors;
    const YamlNode *before = tree_of(s, s->file, alternative, s->messages);
    const YamlNode *wanted =
        before ? patch_tree(&s->arena, before, patches, count, s->messages) : NULL;
    if (!wanted)
        return false;
    save_difference(s, before, wanted);
    if (s->messages->errors > errors)
        return false;
    yaml_splice(s->file, s->splices, s->count, text);
    return s->count == 0 || check_text(s, alternative, wanted, patches, count, text);
}

bool style_text(YamlFile *file, const char *alternative, const Patch *patches, size_t count,
                Text *text, Messages *messages)
{
    Saver s = {.file = file, .messages = messages};
    Text made = {0};
    bool good = make_text(&s, alternative, patches, count, &made);
    if (good)
        text_add_bytes(text, text_string(&made), made.length);
    text_free(&made);
    text_free(&s.path);
    arena_free(&s.arena);
    return good;
}

FileSaved style_save(YamlFile *file, const char *alternative, const Patch *patches, size_t count,
                     Messages *messages)
{
    Text text = {0};
    FileSaved state = FILE_UNSAVED;
    if (strcmp(file->path, "-") == 0)
        message_error(messages, (Where){.file = file->path},
                      "was read from standard input and has no file to save to");
    else if (style_text(file, alternative, patches, count, &text, messages)) {
        bool same = text.length == file->length &&
                    memcmp(text_string(&text), file->bytes, text.length) == 0;
        state = same ? FILE_SAVED
                     : file_save(file->path, file->bytes, file->length, text_string(&text),
                                 text.length, messages);
    }
    text_free(&text);
    return state;
}

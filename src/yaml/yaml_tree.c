/* From libyaml's events to a tree, and the limits libyaml does not keep. The
 * public readers of src/yaml; for whoever reads a YAML file. */
#include "yaml/yaml_tree.h"

#include <stdarg.h>
#include <string.h>
#include <yaml.h>

#include "base/file.h"
#include "base/text.h"
#include "yaml/yaml_inside.h"

typedef struct Anchor {
    const char *name;
    YamlNode *node;
    size_t nodes; /* of its subtree, aliases expanded */
    int height;   /* levels of mappings and lists in it */
    bool open;    /* its end is not yet reached */
} Anchor;

/* A mapping or list whose end is not yet reached. */
typedef struct Frame {
    YamlNode *node;
    YamlNode *key; /* waits for its value */
    size_t key_capacity, capacity;
    size_t end;    /* of what was read last in it, in the file */
    size_t before; /* nodes counted before it */
    size_t anchor; /* index of its anchor plus 1; 0: none */
    int height;    /* levels of mappings and lists in it, itself counted */
} Frame;

typedef struct Builder {
    YamlSource source;
    bool aliases;
    Frame frames[YAML_DEPTH_MOST];
    int depth;
    size_t nodes; /* aliases expanded */
    Anchor *anchors;
    size_t anchor_count, anchor_capacity;
    size_t alias_count;
    int documents;
} Builder;

/* Says what ends the reading; false, so that callers can return it. */
__attribute__((format(printf, 3, 4))) static bool stop(Builder *b, yaml_mark_t mark,
                                                       const char *format, ...)
{
    Text text = {0};
    va_list arguments;
    va_start(arguments, format);
    text_addv(&text, format, arguments);
    va_end(arguments);
    size_t byte = yaml_source_byte(&b->source, mark.index);
    message_error(b->source.messages, yaml_file_where(b->source.file, byte), "%s",
                  text_string(&text));
    text_free(&text);
    return false;
}

static Arena *arena_of(const Builder *b)
{
    return b->source.file->arena;
}

static YamlNode *node_new(Builder *b, YamlKind kind, const yaml_event_t *event)
{
    YamlNode *node = ARENA_NEW(arena_of(b), YamlNode, 1);
    node->kind = kind;
    node->file = b->source.file;
    node->start = yaml_source_byte(&b->source, event->start_mark.index);
    node->end = yaml_source_byte(&b->source, event->end_mark.index);
    return node;
}

static Anchor *find_anchor(const Builder *b, const char *name)
{
    for (size_t i = 0; i < b->anchor_count; i++)
        if (strcmp(b->anchors[i].name, name) == 0)
            return &b->anchors[i];
    return NULL;
}

/* Keeps the node's anchor, if it has one; `number` is its index plus 1. */
static bool keep_anchor(Builder *b, YamlNode *node, const yaml_event_t *event,
                        const yaml_char_t *anchor, size_t *number)
{
    *number = 0;
    if (!anchor)
        return true;
    const char *name = (const char *)anchor;
    if (!b->aliases)
        return stop(b, event->start_mark,
                    "anchors (&%s) are not used in this kind of file; write the value out",
                    quoted(name).text);
    const Anchor *twin = find_anchor(b, name);
    if (twin) {
        message_error_two(b->source.messages, yaml_where(node), yaml_where(twin->node),
                          "anchor &%s stands here twice", quoted(name).text);
        return false;
    }
    if (b->anchor_count == YAML_ALIASES_MOST)
        return stop(b, event->start_mark, "more than %d anchors, the most accepted",
                    YAML_ALIASES_MOST);
    *ARENA_PUSH(arena_of(b), b->anchors, b->anchor_count, b->anchor_capacity) =
        (Anchor){.name = arena_copy(arena_of(b), name, strlen(name)), .node = node, .nodes = 1};
    *number = b->anchor_count;
    return true;
}

static bool count_nodes(Builder *b, const yaml_event_t *event, size_t nodes)
{
    b->nodes += nodes;
    if (b->nodes > YAML_EXPANDED_MOST)
        return stop(b, event->start_mark,
                    "more than %d keys and values (aliases written out), the most accepted",
                    YAML_EXPANDED_MOST);
    return true;
}

static bool wants_key(const Builder *b)
{
    if (b->depth == 0)
        return false;
    const Frame *frame = &b->frames[b->depth - 1];
    return frame->node->kind == YAML_MAPPING && !frame->key;
}

static bool refuse_tag(Builder *b, const yaml_event_t *event, const yaml_char_t *tag)
{
    if (!tag)
        return true;
    return stop(b, event->start_mark, "tags are not used here; remove '!' and its word");
}

/* Puts a complete value where it belongs. */
static void place(Builder *b, YamlNode *node, size_t end, int height)
{
    if (b->depth == 0) {
        b->source.file->root = node;
        return;
    }
    Frame *frame = &b->frames[b->depth - 1];
    YamlNode *parent = frame->node;
    if (parent->kind == YAML_MAPPING) {
        parent->keys = arena_room(arena_of(b), parent->keys, parent->count, &frame->key_capacity,
                                  sizeof *parent->keys);
        parent->keys[parent->count] = frame->key;
        frame->key = NULL;
    }
    *ARENA_PUSH(arena_of(b), parent->items, parent->count, frame->capacity) = node;
    frame->end = end;
    if (frame->height < height + 1)
        frame->height = height + 1;
}

static bool place_key(Builder *b, YamlNode *key, const yaml_event_t *event)
{
    Frame *frame = &b->frames[b->depth - 1];
    if (frame->node->count == YAML_KEYS_MOST)
        return stop(b, event->start_mark, "more than %d keys in one mapping, the most accepted",
                    YAML_KEYS_MOST);
    yaml_check_key(&b->source, key);
    frame->key = key;
    frame->end = key->end;
    return key->length > 0; /* what follows no key makes no sense */
}

/* libyaml lets a text block end after the blank lines and comments below it. */
static size_t block_end(const YamlNode *node)
{
    const char *bytes = node->file->bytes;
    size_t end = node->end;
    while (end > node->start && strchr(" \t\r\n", bytes[end - 1]))
        end--;
    while (end < node->end && (bytes[end] == ' ' || bytes[end] == '\t'))
        end++;
    return end;
}

static bool take_scalar(Builder *b, const yaml_event_t *event)
{
    YamlNode *node = node_new(b, YAML_SCALAR, event);
    node->length = event->data.scalar.length;
    node->text = arena_copy(arena_of(b), (const char *)event->data.scalar.value, node->length);
    yaml_scalar_style_t style = event->data.scalar.style;
    node->plain = style == YAML_PLAIN_SCALAR_STYLE;
    if (style == YAML_LITERAL_SCALAR_STYLE || style == YAML_FOLDED_SCALAR_STYLE)
        node->end = block_end(node);
    size_t anchor;
    if (!refuse_tag(b, event, event->data.scalar.tag) || !count_nodes(b, event, 1) ||
        !keep_anchor(b, node, event, event->data.scalar.anchor, &anchor))
        return false;
    if (wants_key(b))
        return place_key(b, node, event);
    yaml_check_value(&b->source, node);
    place(b, node, node->end, 0);
    return true;
}

static bool take_alias(Builder *b, const yaml_event_t *event)
{
    const char *name = (const char *)event->data.alias.anchor;
    if (!b->aliases)
        return stop(b, event->start_mark,
                    "aliases (*%s) are not used in this kind of file; write the value out",
                    quoted(name).text);
    if (wants_key(b))
        return stop(b, event->start_mark, "an alias cannot be a key; write the key out");
    const Anchor *anchor = find_anchor(b, name);
    if (!anchor)
        return stop(b, event->start_mark, "alias *%s: no &%s stands before it", quoted(name).text,
                    quoted(name).text);
    if (anchor->open)
        return stop(b, event->start_mark, "alias *%s stands within &%s itself", quoted(name).text,
                    quoted(name).text);
    if (++b->alias_count > YAML_ALIASES_MOST)
        return stop(b, event->start_mark, "more than %d aliases, the most accepted",
                    YAML_ALIASES_MOST);
    if (b->depth + anchor->height > YAML_DEPTH_MOST)
        return stop(b, event->start_mark, "alias *%s: nested more than %d deep, the most accepted",
                    quoted(name).text, YAML_DEPTH_MOST);
    if (!count_nodes(b, event, anchor->nodes))
        return false;
    place(b, anchor->node, yaml_source_byte(&b->source, event->end_mark.index), anchor->height);
    return true;
}

static bool take_start(Builder *b, const yaml_event_t *event, YamlKind kind,
                       const yaml_char_t *anchor, const yaml_char_t *tag)
{
    if (b->depth == YAML_DEPTH_MOST)
        return stop(b, event->start_mark, "nested more than %d deep, the most accepted",
                    YAML_DEPTH_MOST);
    if (wants_key(b))
        return stop(b, event->start_mark,
                    "a key must be text, not a %s; text that begins with "
                    "'{' or '[' is put in quotes",
                    kind == YAML_MAPPING ? "mapping" : "list");
    Frame frame = {.before = b->nodes, .height = 1};
    if (!refuse_tag(b, event, tag) || !count_nodes(b, event, 1))
        return false;
    frame.node = node_new(b, kind, event);
    if (!keep_anchor(b, frame.node, event, anchor, &frame.anchor))
        return false;
    if (frame.anchor)
        b->anchors[frame.anchor - 1].open = true;
    frame.end = frame.node->end;
    b->frames[b->depth++] = frame;
    return true;
}

static bool take_end(Builder *b, const yaml_event_t *event)
{
    Frame *frame = &b->frames[--b->depth];
    YamlNode *node = frame->node;
    /* A block has no closing mark: libyaml would let it end where the next
     * thing begins. */
    bool closed = event->end_mark.index > event->start_mark.index;
    node->end = closed ? yaml_source_byte(&b->source, event->end_mark.index) : frame->end;
    if (frame->anchor) {
        Anchor *anchor = &b->anchors[frame->anchor - 1];
        anchor->open = false;
        anchor->nodes = b->nodes - frame->before;
        anchor->height = frame->height;
    }
    if (node->kind == YAML_MAPPING)
        yaml_check_twins(&b->source, node);
    place(b, node, node->end, frame->height);
    return true;
}

static bool take_event(Builder *b, const yaml_event_t *event)
{
    switch (event->type) {
    case YAML_DOCUMENT_START_EVENT:
        if (b->documents++ > 0)
            return stop(b, event->start_mark, "a second document begins here; a file holds one");
        return true;
    case YAML_ALIAS_EVENT:
        return take_alias(b, event);
    case YAML_SCALAR_EVENT:
        return take_scalar(b, event);
    case YAML_SEQUENCE_START_EVENT:
        return take_start(b, event, YAML_SEQUENCE, event->data.sequence_start.anchor,
                          event->data.sequence_start.tag);
    case YAML_MAPPING_START_EVENT:
        return take_start(b, event, YAML_MAPPING, event->data.mapping_start.anchor,
                          event->data.mapping_start.tag);
    case YAML_SEQUENCE_END_EVENT:
    case YAML_MAPPING_END_EVENT:
        return take_end(b, event);
    default:
        return true;
    }
}

static void take_events(Builder *b, yaml_parser_t *parser)
{
    for (bool going = true; going;) {
        yaml_event_t event;
        if (!yaml_parser_parse(parser, &event)) {
            if (parser->error == YAML_MEMORY_ERROR)
                out_of_memory();
            yaml_syntax_error(&b->source, parser);
            return;
        }
        going = event.type != YAML_STREAM_END_EVENT && take_event(b, &event) &&
                !messages_full(b->source.messages, b->source.file->path);
        yaml_event_delete(&event);
    }
}

static bool is_empty(const YamlNode *root)
{
    return !root || (root->kind == YAML_SCALAR && root->plain && root->length == 0);
}

/* `bytes` lives in the arena and is NUL-terminated. */
static YamlFile *build(Arena *arena, const char *path, const char *bytes, size_t length,
                       bool aliases, Messages *messages)
{
    YamlFile *file = ARENA_NEW(arena, YamlFile, 1);
    *file = (YamlFile){.arena = arena,
                       .path = arena_copy(arena, path, strlen(path)),
                       .bytes = bytes,
                       .length = length};
    Builder *b = ARENA_NEW(arena, Builder, 1);
    b->aliases = aliases;
    size_t errors = messages->errors;
    if (!yaml_source_open(&b->source, file, messages))
        return NULL;
    yaml_parser_t parser;
    if (!yaml_parser_initialize(&parser))
        out_of_memory();
    yaml_parser_set_encoding(&parser, YAML_UTF8_ENCODING);
    size_t first = b->source.first;
    yaml_parser_set_input_string(&parser, (const unsigned char *)bytes + first, length - first);
    take_events(b, &parser);
    yaml_parser_delete(&parser);
    if (messages->errors == errors && is_empty(file->root))
        message_error(messages, (Where){.file = file->path}, "file is empty");
    return messages->errors == errors ? file : NULL;
}

YamlFile *yaml_read(Arena *arena, const char *path, bool aliases, Messages *messages)
{
    char *bytes;
    size_t length;
    if (!file_read(arena, path, YAML_FILE_MOST, messages, &bytes, &length))
        return NULL;
    return build(arena, path, bytes, length, aliases, messages);
}

YamlFile *yaml_read_bytes(Arena *arena, const char *path, const char *bytes, size_t length,
                          bool aliases, Messages *messages)
{
    if (length > YAML_FILE_MOST) {
        message_error(messages, (Where){.file = path},
                      "file is larger than %d MiB, the most accepted", YAML_FILE_MOST >> 20);
        return NULL;
    }
    return build(arena, path, arena_copy(arena, bytes, length), length, aliases, messages);
}

/* A YAML file as a tree of nodes with positions. The only module that knows
 * libyaml; it checks what libyaml 0.2.5 does not: depth (64, counted on
 * events), duplicate keys, alias cycles and counts, a second document, control
 * and look-alike characters, unknown tags, UTF-8 only. Knows base only. */
#ifndef CORDWAIN_YAML_TREE_H
#define CORDWAIN_YAML_TREE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/memory.h"
#include "base/message.h"

typedef enum YamlKind { YAML_SCALAR, YAML_MAPPING, YAML_SEQUENCE } YamlKind;

typedef struct YamlNode YamlNode;
typedef struct YamlFile YamlFile;

/* Invariants (yaml_check() walks them): start <= end <= file length; the
 * ranges of children lie inside their parent's, in order, except below an
 * alias, whose subtree is the anchor's own; keys of a mapping are scalars and
 * differ. `text` is NUL-terminated and holds no NUL before `length`. */
struct YamlNode {
    YamlKind kind;
    bool plain;            /* scalar without quotes: may be a number, true, unknown */
    const YamlFile *file;
    size_t start, end;     /* bytes of the node in the file as read, quotes included */
    const char *text;      /* scalar: decoded */
    size_t length;
    YamlNode **keys;       /* mapping: scalar nodes; sequence: NULL */
    YamlNode **items;      /* mapping and sequence: values */
    size_t count;
    size_t room;           /* of a copy: for how many keys and items there is; else 0 */
    const void *copied_by; /* of a copy: whose it is, to change in place; else NULL */
};

struct YamlFile {
    Arena *arena;
    const char *path;      /* as given on the command line */
    const char *bytes;     /* as read; NUL-terminated */
    size_t length;
    const size_t *lines;   /* byte offset of each line's start (LF, CRLF, CR) */
    size_t line_count;
    const uint32_t *strides; /* characters before every 64th byte; NULL: ASCII only */
    YamlNode *root;
};

/* Limits on what is accepted. */
enum {
    YAML_FILE_MOST = 8 << 20,   /* bytes */
    YAML_LINE_MOST = 64 << 10,  /* bytes */
    YAML_KEYS_MOST = 10000,     /* of one mapping */
    YAML_DEPTH_MOST = 64,
    YAML_ALIASES_MOST = 1000,
    YAML_EXPANDED_MOST = 200000 /* nodes, after expansion */
};

/* Reads and checks `path` ("-": standard input). NULL with messages if
 * anything was wrong. The tree lives in `arena`. Aliases only if allowed. */
YamlFile *yaml_read(Arena *arena, const char *path, bool aliases, Messages *messages);
/* The same from memory; `path` is for messages. */
YamlFile *yaml_read_bytes(Arena *arena, const char *path, const char *bytes, size_t length,
                          bool aliases, Messages *messages);

Where yaml_where(const YamlNode *node);
/* The position of a key's value node and, in `key`, of the key itself. NULL if
 * the mapping has no such key. `mapping` may be NULL or no mapping. */
YamlNode *yaml_get(const YamlNode *mapping, const char *key);
YamlNode *yaml_key(const YamlNode *mapping, const char *key);
/* A plain scalar that reads `word`. */
bool yaml_is_word(const YamlNode *node, const char *word);
/* True if the tree keeps the invariants above. For tests. */
bool yaml_check(const YamlFile *file);

/* New nodes for patched trees (style/patch): they share children and keep the
 * position of `like`. */
YamlNode *yaml_copy_shallow(Arena *arena, const YamlNode *like);
void yaml_set(Arena *arena, YamlNode *mapping, const YamlNode *key, YamlNode *value);
/* One more item of a list that is a copy. */
void yaml_push(Arena *arena, YamlNode *sequence, YamlNode *value);
bool yaml_remove(YamlNode *mapping, const char *key);
/* Takes out the key or item at `index` of a copy. */
void yaml_remove_at(YamlNode *copy, size_t index);
/* Keys and values below and with the node; `most` + 1 where they are more. */
size_t yaml_count(const YamlNode *node, size_t most);

#endif

/* Values put back into a YAML file's own text, by two edits only: a scalar replaced where it
 * stands, or a pair added after a mapping's last key. Everything else stays byte for byte. For
 * style/save. Knows base only.
 *
 * A scalar that is replaced keeps its quotes. A new value has none where it can do without:
 * text with a comma, a colon, a bracket or whatever else YAML would read otherwise gets quotes,
 * double ones if the old had none. Mappings and lists are written on one line, in braces and
 * brackets. */
#ifndef CORDWAIN_YAML_YAML_SPLICE_H
#define CORDWAIN_YAML_YAML_SPLICE_H

#include "base/text.h"
#include "yaml/yaml_tree.h"

/* One edit: bytes `start` to `end` of the file become `text`, owned by the arena. */
typedef struct YamlSplice {
    size_t start, end;
    const char *text;
    size_t length;
} YamlSplice;

/* Words that mean something only without quotes, such as true: written so if the node is plain,
 * in quotes if it is not, whatever stood there. NULL-terminated. */
typedef const char *const *YamlWords;

bool yaml_word_stands(YamlWords words, const char *text);
/* Adds the value as it would stand in a file. `like`: a scalar whose quotes are kept, or NULL. */
void yaml_write(Text *text, const YamlNode *value, const YamlNode *like, YamlWords words);
/* Puts `value` in place of `old`, which must be a scalar on which no comment can hang: false for
 * text blocks (| and >), for what is empty, and for mappings and lists. */
bool yaml_splice_value(Arena *arena, const YamlNode *old, const YamlNode *value, YamlWords words,
                       YamlSplice *splice);
/* Adds a pair to a mapping as it was read; `added` pairs were added to it already, by splices that
 * stand before this one. False where no line can be added in the form of the others. */
bool yaml_splice_pair(Arena *arena, const YamlNode *mapping, size_t added, const char *key,
                      const YamlNode *value, YamlWords words, YamlSplice *splice);
/* Adds the file's text with the splices taken, those at one place in the order given. They may not
 * overlap. */
void yaml_splice(const YamlFile *file, const YamlSplice *splices, size_t count, Text *text);

#endif

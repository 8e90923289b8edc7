/* What the files of src/yaml share; nobody else includes this. */
#ifndef CORDWAIN_YAML_INSIDE_H
#define CORDWAIN_YAML_INSIDE_H

#include <stdbool.h>
#include <stddef.h>

#include "yaml/yaml_tree.h"

struct yaml_parser_s; /* libyaml's parser */

/* A file being read, and where its complaints go. */
typedef struct YamlSource {
    YamlFile *file;
    Messages *messages;
    size_t first; /* bytes of the byte order mark: 0 or 3 */
    size_t byte, character; /* where the last mark was: libyaml reads on from there */
} YamlSource;

/* Fills lines and strides of the file and checks what can be seen in the bytes alone: UTF-8,
 * control characters, length of lines, directives. False with messages. */
bool yaml_source_open(YamlSource *source, YamlFile *file, Messages *messages);
/* The byte that libyaml's mark index stands for, which counts characters after
 * the byte order mark; the length at most. */
size_t yaml_source_byte(YamlSource *source, size_t index);
/* Line and column of a byte. */
Where yaml_file_where(const YamlFile *file, size_t byte);

/* libyaml's complaint in words for people, at the place to look at. */
void yaml_syntax_error(YamlSource *source, const struct yaml_parser_s *parser);

/* One message at most for a key; one for a scalar that is no key. */
void yaml_check_key(const YamlSource *source, const YamlNode *key);
void yaml_check_value(const YamlSource *source, const YamlNode *value);
/* A message for every key that stands twice. */
void yaml_check_twins(const YamlSource *source, const YamlNode *mapping);

#endif

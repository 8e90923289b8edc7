/* What libyaml lets pass in keys and scalars: hidden and look-alike
 * characters, NUL, merge keys, twins. For src/yaml only. */
#include "yaml/yaml_inside.h"

#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"

typedef bool Judge(uint32_t codepoint);

/* First character of the text that the judge names; 0 if none. */
static uint32_t first_of(const char *text, size_t length, Judge *judge, size_t *at)
{
    for (*at = 0; *at < length;) {
        uint32_t codepoint = 0;
        size_t step = utf8_decode(text + *at, length - *at, &codepoint);
        if (step && judge(codepoint))
            return codepoint;
        *at += step ? step : 1;
    }
    return 0;
}

/* The place of a character in the scalar as written; its start if it is
 * written as an escape. */
static Where place_of(const YamlNode *node, uint32_t codepoint)
{
    const char *bytes = node->file->bytes + node->start;
    size_t length = node->end - node->start;
    for (size_t at = 0; at < length;) {
        uint32_t found = 0;
        size_t step = utf8_decode(bytes + at, length - at, &found);
        if (step && found == codepoint)
            return yaml_file_where(node->file, node->start + at);
        at += step ? step : 1;
    }
    return yaml_where(node);
}

/* The ASCII character a look-alike pretends to be; ' ' for the blanks. */
static char looks_like(uint32_t codepoint)
{
    if (codepoint >= 0xFF01 && codepoint <= 0xFF5E)
        return (char)(codepoint - 0xFEE0);
    switch (codepoint) {
    case 0x0589:
    case 0x05C3:
    case 0x2236:
    case 0xA789:
    case 0xFE13:
    case 0xFE55:
        return ':';
    case 0xFE50:
        return ',';
    case 0x2010:
    case 0x2011:
    case 0x2212:
    case 0xFE63:
        return '-';
    default:
        return ' ';
    }
}

static bool is_alike_in_key(uint32_t codepoint)
{
    return codepoint_is_lookalike(codepoint) || codepoint == 0x2010 || codepoint == 0x2011 ||
           codepoint == 0x2212;
}

/* Letters of other scripts that are drawn like Latin ones. */
static bool is_foreign_letter(uint32_t codepoint)
{
    static const uint16_t greek[] = {0x391, 0x392, 0x395, 0x396, 0x397, 0x399, 0x39A, 0x39C,
                                     0x39D, 0x39F, 0x3A1, 0x3A4, 0x3A5, 0x3A7, 0x3BF, 0x3BD};
    for (size_t i = 0; i < sizeof greek / sizeof greek[0]; i++)
        if (codepoint == greek[i])
            return true;
    return codepoint >= 0x400 && codepoint <= 0x52F;
}

/* A letter of another script within a word of Latin letters; 0 if none. */
static uint32_t mixed_letter(const char *text, size_t length)
{
    bool latin = false;
    uint32_t foreign = 0;
    for (size_t at = 0; at < length;) {
        uint32_t codepoint = 0;
        size_t step = utf8_decode(text + at, length - at, &codepoint);
        bool letter = (codepoint | 0x20) >= 'a' && (codepoint | 0x20) <= 'z';
        if (codepoint < 0x80 && !letter) {
            latin = false;
            foreign = 0;
        }
        latin = latin || letter;
        if (is_foreign_letter(codepoint))
            foreign = codepoint;
        if (latin && foreign)
            return foreign;
        at += step ? step : 1;
    }
    return 0;
}

static bool has_nul(const YamlSource *source, const YamlNode *node)
{
    if (!memchr(node->text, '\0', node->length))
        return false;
    message_error(source->messages, yaml_where(node), "text holds U+0000, which is never allowed");
    return true;
}

static void refuse_alike(const YamlSource *source, const YamlNode *node, uint32_t codepoint,
                         const char *advice)
{
    char like = looks_like(codepoint);
    if (like == ' ')
        message_error(source->messages, place_of(node, codepoint),
                      "U+%04X looks like a blank but is none; write an ordinary blank%s",
                      (unsigned)codepoint, advice);
    else
        message_error(source->messages, place_of(node, codepoint),
                      "U+%04X looks like '%c' but is not; write '%c'%s", (unsigned)codepoint, like,
                      like, advice);
}

/* A key is written "key:" on one line, without '?'. */
static bool has_colon(const YamlNode *key)
{
    const char *after = key->file->bytes + key->end;
    after += strspn(after, " \t");
    return *after == ':';
}

/* A bare '?' where a value was meant: to libyaml it begins a key, which it
 * then finds empty, in a flow list even behind the next mark. */
static size_t bare_question(const YamlNode *key)
{
    const char *bytes = key->file->bytes;
    size_t at = key->start;
    while (at > 0 && strchr(" \t,]}", bytes[at - 1]))
        at--;
    bool bare = at > 1 && bytes[at - 1] == '?' && strchr(" \t\r\n,[{", bytes[at - 2]);
    return key->plain && bare ? at - 1 : key->file->length;
}

static void refuse_empty(const YamlSource *source, const YamlNode *key)
{
    size_t question = bare_question(key);
    if (question < key->file->length)
        message_error(source->messages, yaml_file_where(key->file, question),
                      "a bare '?' is no value; write unknown");
    else
        message_error(source->messages, yaml_where(key), "a key is missing here");
}

static size_t digits_back(const char *bytes, size_t end)
{
    size_t start = end;
    while (start > 0 && bytes[start - 1] >= '0' && bytes[start - 1] <= '9')
        start--;
    return start;
}

/* "thickness: 1,3 mm" between braces: to libyaml the comma ends the value 1,
 * and "3 mm" is the next key. False if the key does not look like that. */
static bool refuse_comma(const YamlSource *source, const YamlNode *key)
{
    const char *bytes = key->file->bytes, *part = bytes + key->start;
    int digits = (int)strspn(part, "0123456789");
    if (!key->plain || digits == 0 || key->start < 2 || part[-1] != ',')
        return false;
    size_t comma = key->start - 1, start = digits_back(bytes, comma);
    int whole = (int)(comma - start);
    if (whole == 0)
        return false;
    const char *number = bytes + start;
    Where at = yaml_file_where(key->file, start);
    if (digits == 3)
        message_error(source->messages, at,
                      "a comma ends a value inside { }: write %.*s.%.*s with a point, or %.*s%.*s",
                      whole, number, digits, part, whole, number, digits, part);
    else
        message_error(source->messages, at,
                      "a comma ends a value inside { }: write %.*s.%.*s with a point", whole,
                      number, digits, part);
    return true;
}

static void check_key_form(const YamlSource *source, const YamlNode *key)
{
    if (key->length == 0)
        refuse_empty(source, key);
    else if (strcmp(key->text, "<<") == 0)
        message_error(source->messages, yaml_where(key),
                      "the merge key << is not used here; write the keys out");
    else if (!has_colon(key) && !refuse_comma(source, key))
        message_error(source->messages, yaml_where(key),
                      "expected 'key: value' with the ':' on the line of the key");
}

/* Most keys and values: nothing that could hide or mislead. */
static bool is_printable_ascii(const YamlNode *node)
{
    for (size_t i = 0; i < node->length; i++)
        if (node->text[i] < ' ' || node->text[i] > '~')
            return false;
    return true;
}

void yaml_check_key(const YamlSource *source, const YamlNode *key)
{
    size_t at;
    uint32_t found;
    if (is_printable_ascii(key)) {
        check_key_form(source, key);
        return;
    }
    if (has_nul(source, key))
        return;
    if ((found = first_of(key->text, key->length, codepoint_is_hidden, &at)) != 0)
        message_error(source->messages, place_of(key, found),
                      "key holds the hidden character U+%04X; remove it", (unsigned)found);
    else if ((found = first_of(key->text, key->length, is_alike_in_key, &at)) != 0)
        refuse_alike(source, key, found, "");
    else if ((found = mixed_letter(key->text, key->length)) != 0)
        message_error(source->messages, place_of(key, found),
                      "key mixes Latin letters with U+%04X, which looks like one of them",
                      (unsigned)found);
    else
        check_key_form(source, key);
}

void yaml_check_value(const YamlSource *source, const YamlNode *value)
{
    size_t at;
    if (is_printable_ascii(value) || has_nul(source, value) || !value->plain)
        return;
    uint32_t found = first_of(value->text, value->length, codepoint_is_lookalike, &at);
    if (found)
        refuse_alike(source, value, found, ", or put the text in quotes");
}

static int compare_keys(const void *a, const void *b)
{
    const YamlNode *x = *(const YamlNode *const *)a, *y = *(const YamlNode *const *)b;
    int order = strcmp(x->text, y->text);
    return order ? order : (x->start > y->start) - (x->start < y->start);
}

static bool has_twins(const YamlNode *mapping)
{
    for (size_t i = 1; i < mapping->count; i++)
        for (size_t k = 0; k < i; k++)
            if (mapping->keys[i]->length == mapping->keys[k]->length &&
                strcmp(mapping->keys[i]->text, mapping->keys[k]->text) == 0)
                return true;
    return false;
}

void yaml_check_twins(const YamlSource *source, const YamlNode *mapping)
{
    enum { FEW = 16 }; /* keys that are sooner compared than sorted */
    if (mapping->count <= FEW && !has_twins(mapping))
        return;
    YamlNode **keys = memory_new(mapping->count, sizeof *keys);
    memcpy(keys, mapping->keys, mapping->count * sizeof *keys);
    qsort(keys, mapping->count, sizeof *keys, compare_keys);
    const YamlNode *first = keys[0];
    for (size_t i = 1; i < mapping->count; i++) {
        bool twin = strcmp(keys[i]->text, first->text) == 0;
        if (twin && !has_colon(keys[i]))
            continue; /* no key at all, and refused as such */
        if (twin)
            message_error_two(source->messages, yaml_where(keys[i]), yaml_where(first),
                              "key '%s' stands twice in one mapping", quoted(keys[i]->text).text);
        else
            first = keys[i];
    }
    free(keys);
}

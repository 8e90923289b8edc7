/* Values put back into a YAML file's own text. For style/save. */
#include "yaml/yaml_splice.h"

#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"

/* ---- Writing a value ---- */

bool yaml_word_stands(YamlWords words, const char *text)
{
    for (; *words; words++)
        if (strcmp(*words, text) == 0)
            return true;
    return false;
}

/* Has it nothing but visible characters? Blanks other than ' ' and look-alikes are not. */
static bool is_visible(const YamlNode *value)
{
    for (size_t at = 0; at < value->length;) {
        uint32_t codepoint;
        size_t step = utf8_decode(value->text + at, value->length - at, &codepoint);
        if (!step || codepoint_is_hidden(codepoint) || codepoint_is_lookalike(codepoint))
            return false;
        at += step;
    }
    return true;
}

/* Can it stand without quotes between braces as well as alone, and still be the same text? */
static bool is_bare(const YamlNode *value)
{
    const char *text = value->text;
    size_t length = value->length;
    if (length == 0 || text[0] == ' ' || text[length - 1] == ' ' || !is_visible(value))
        return false;
    if (strchr("#&*!|>'\"%@`?", text[0]) || strpbrk(text, ",:[]{}") || strstr(text, " #"))
        return false;
    if (text[0] == '-' && (text[1] == ' ' || text[1] == '\0'))
        return false;
    return strncmp(text, "---", 3) != 0 && strncmp(text, "...", 3) != 0;
}

static void add_single(Text *text, const YamlNode *value)
{
    text_add(text, "'");
    for (size_t i = 0; i < value->length; i++)
        text_add_bytes(text, value->text[i] == '\'' ? "''" : value->text + i,
                       value->text[i] == '\'' ? 2 : 1);
    text_add(text, "'");
}

static void add_escaped(Text *text, uint32_t codepoint)
{
    if (codepoint == '\n')
        text_add(text, "\\n");
    else if (codepoint == '\t')
        text_add(text, "\\t");
    else if (codepoint < 0x100)
        text_addf(text, "\\x%02X", (unsigned)codepoint);
    else if (codepoint < 0x10000)
        text_addf(text, "\\u%04X", (unsigned)codepoint);
    else
        text_addf(text, "\\U%08X", (unsigned)codepoint);
}

/* Bytes that are no UTF-8 stay: whoever reads the text again refuses them. */
static void add_double(Text *text, const YamlNode *value)
{
    text_add(text, "\"");
    for (size_t at = 0; at < value->length;) {
        uint32_t codepoint = 0;
        size_t step = utf8_decode(value->text + at, value->length - at, &codepoint);
        if (step && codepoint_is_hidden(codepoint))
            add_escaped(text, codepoint);
        else {
            if (codepoint == '"' || codepoint == '\\')
                text_add(text, "\\");
            text_add_bytes(text, value->text + at, step ? step : 1);
        }
        at += step ? step : 1;
    }
    text_add(text, "\"");
}

static char quote_of(const YamlNode *like)
{
    return like && like->kind == YAML_SCALAR && !like->plain ? like->file->bytes[like->start] : 0;
}

static void write_scalar(Text *text, const YamlNode *value, const YamlNode *like, YamlWords words)
{
    char quote = quote_of(like);
    if (yaml_word_stands(words, value->text))
        quote = value->plain ? 0 : quote ? quote : '"';
    if (!quote && !is_bare(value))
        quote = '"';
    if (!quote)
        text_add_bytes(text, value->text, value->length);
    else if (quote == '\'' && is_visible(value))
        add_single(text, value);
    else
        add_double(text, value);
}

/* As deep as a value that was read: at most 64. */
void yaml_write(Text *text, const YamlNode *value, const YamlNode *like, YamlWords words)
{
    if (value->kind == YAML_SCALAR) {
        write_scalar(text, value, like, words);
        return;
    }
    text_add(text, value->kind == YAML_MAPPING ? "{" : "[");
    for (size_t i = 0; i < value->count; i++) {
        text_add(text, i ? ", " : "");
        if (value->kind == YAML_MAPPING) {
            write_scalar(text, value->keys[i], NULL, words);
            text_add(text, ": ");
        }
        yaml_write(text, value->items[i], NULL, words);
    }
    text_add(text, value->kind == YAML_MAPPING ? "}" : "]");
}

/* Takes the text over. */
static void finish(Arena *arena, YamlSplice *splice, size_t start, size_t end, Text *text)
{
    *splice =
        (YamlSplice){start, end, arena_copy(arena, text_string(text), text->length), text->length};
    text_free(text);
}

/* ---- Replacing ---- */

bool yaml_splice_value(Arena *arena, const YamlNode *old, const YamlNode *value, YamlWords words,
                       YamlSplice *splice)
{
    char quote = quote_of(old);
    if (old->kind != YAML_SCALAR || old->start == old->end || quote == '|' || quote == '>')
        return false;
    Text text = {0};
    yaml_write(&text, value, old, words);
    finish(arena, splice, old->start, old->end, &text);
    return true;
}

/* ---- Adding ---- */

static void write_pair(Text *text, const char *key, const YamlNode *value, YamlWords words)
{
    YamlNode node = {.kind = YAML_SCALAR, .plain = true, .text = key, .length = strlen(key)};
    write_scalar(text, &node, NULL, words);
    text_add(text, ": ");
    yaml_write(text, value, NULL, words);
}

/* What parts the last two pairs, if it is a comma and blanks or line breaks alone. */
static void write_comma(Text *text, const YamlNode *mapping)
{
    size_t count = mapping->count;
    size_t start = count > 1 ? mapping->items[count - 2]->end : 0;
    size_t length = count > 1 ? mapping->keys[count - 1]->start - start : 0;
    const char *between = mapping->file->bytes + start;
    if (length > 0 && between[0] == ',' && strspn(between + 1, " \t\r\n") >= length - 1)
        text_add_bytes(text, between, length);
    else
        text_add(text, ", ");
}

/* Between braces: after the last value, or the opening brace. */
static void add_to_flow(Arena *arena, const YamlNode *mapping, size_t added, const char *key,
                        const YamlNode *value, YamlWords words, YamlSplice *splice)
{
    Text text = {0};
    size_t count = mapping->count;
    size_t at = count ? mapping->items[count - 1]->end : mapping->start + 1;
    if (count + added > 0)
        write_comma(&text, mapping);
    write_pair(&text, key, value, words);
    finish(arena, splice, at, at, &text);
}

/* The start of the line that holds the byte. */
static size_t line_start(const YamlFile *file, size_t byte)
{
    while (byte > 0 && file->bytes[byte - 1] != '\n' && file->bytes[byte - 1] != '\r')
        byte--;
    return byte;
}

/* The line break at `end`; at the end of the file, the one used first in it. */
static void add_break(Text *text, const YamlFile *file, size_t end)
{
    size_t at = end < file->length ? end : strcspn(file->bytes, "\r\n");
    const char *mark = file->bytes + at;
    if (*mark == '\0')
        text_add(text, "\n");
    else
        text_add_bytes(text, mark, mark[0] == '\r' && mark[1] == '\n' ? 2 : 1);
}

/* On a line of its own below the line where the last value ends, comment and all. */
static bool add_to_block(Arena *arena, const YamlNode *mapping, const char *key,
                         const YamlNode *value, YamlWords words, YamlSplice *splice)
{
    const YamlFile *file = mapping->file;
    size_t last = mapping->keys[mapping->count - 1]->start;
    size_t start = line_start(file, last);
    if (start == 0 && (unsigned char)file->bytes[0] == 0xEF) /* a byte order mark */
        start += 3;
    /* The first pair of a list's item stands behind its dash. */
    if (strspn(file->bytes + start, " -") < last - start)
        return false;
    size_t end = mapping->items[mapping->count - 1]->end;
    end += strcspn(file->bytes + end, "\r\n");
    Text text = {0};
    add_break(&text, file, end);
    text_addf(&text, "%*s", (int)(last - start), "");
    write_pair(&text, key, value, words);
    finish(arena, splice, end, end, &text);
    return true;
}

bool yaml_splice_pair(Arena *arena, const YamlNode *mapping, size_t added, const char *key,
                      const YamlNode *value, YamlWords words, YamlSplice *splice)
{
    if (mapping->kind != YAML_MAPPING)
        return false;
    if (mapping->file->bytes[mapping->start] != '{')
        return mapping->count > 0 && add_to_block(arena, mapping, key, value, words, splice);
    add_to_flow(arena, mapping, added, key, value, words, splice);
    return true;
}

/* ---- The whole text ---- */

static int by_place(const void *a, const void *b)
{
    const YamlSplice *x = *(const YamlSplice *const *)a, *y = *(const YamlSplice *const *)b;
    if (x->start != y->start)
        return x->start < y->start ? -1 : 1;
    return (x > y) - (x < y); /* they stand in one array */
}

void yaml_splice(const YamlFile *file, const YamlSplice *splices, size_t count, Text *text)
{
    const YamlSplice **sorted = memory_new(count, sizeof *sorted);
    size_t from = 0;
    for (size_t i = 0; i < count; i++)
        sorted[i] = &splices[i];
    qsort(sorted, count, sizeof *sorted, by_place);
    for (size_t i = 0; i < count; i++) {
        text_add_bytes(text, file->bytes + from, sorted[i]->start - from);
        text_add_bytes(text, sorted[i]->text, sorted[i]->length);
        from = sorted[i]->end;
    }
    text_add_bytes(text, file->bytes + from, file->length - from);
    free(sorted);
}

/* The text of a formula under a cursor: blanks, names, words, signs, messages.
 * For the other formula files of src/rule only. */
#include "rule/formula_inner.h"

#include <string.h>

static const char *const keywords[] = {"if",  "then", "else",  "or",    "and",
                                       "not", "is",   "in",    "every", "some",
                                       "sum", "most", "least", "count", "where"};

void reader_start(FormulaReader *reader, RuleSet *set, Rule *rule, const YamlNode *node,
                  Messages *messages)
{
    *reader = (FormulaReader){.set = set,
                              .rule = rule,
                              .messages = messages,
                              .node = node,
                              .text = node->text,
                              .length = node->length,
                              .scope_count = 1};
    if (rule->binding_count == 0) {
        rule->binding_count = 1;
        rule->bound[0] = rule->about;
        rule->bound_name[0] = subject_name(rule->about);
    }
}

/* Where byte `at` of the text stands in the file. A scalar that is written as it
 * reads, plain or between quotes, maps byte for byte; any other gives its own
 * place, and `exact` is false. */
static Where reader_where(const FormulaReader *reader, size_t at, bool *exact)
{
    const YamlNode *node = reader->node;
    Where where = yaml_where(node);
    size_t quote = node->plain ? 0 : 1;
    *exact = node->file && node->end - node->start == reader->length + 2 * quote &&
             memcmp(node->file->bytes + node->start + quote, reader->text, reader->length) == 0 &&
             !memchr(reader->text, '\n', reader->length);
    if (*exact) {
        where.column += (int)quote;
        for (size_t i = 0; i < at && i < reader->length; i++) {
            where.column += (reader->text[i] & 0xC0) != 0x80;
        }
    }
    return where;
}

bool reader_wrong(FormulaReader *reader, size_t at, const char *format, ...)
{
    if (reader->failed) {
        return false;
    }
    reader->failed = true;
    Text text = {0};
    va_list arguments;
    va_start(arguments, format);
    text_addv(&text, format, arguments);
    va_end(arguments);
    bool exact;
    Where where = reader_where(reader, at, &exact);
    if (exact) {
        message_error(reader->messages, where, "%s", text_string(&text));
    } else {
        message_error(reader->messages, where, "%s (character %zu of the formula)",
                      text_string(&text), at + 1);
    }
    text_free(&text);
    return false;
}

bool letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

bool digit(char c)
{
    return c >= '0' && c <= '9';
}

static size_t name_length(const char *text, size_t length)
{
    size_t n = 0;
    if (length > 0 && letter(text[0])) {
        while (n < length && (letter(text[n]) || digit(text[n]) || text[n] == '_')) {
            n++;
        }
    }
    return n;
}

bool name_is_well_formed(const char *text, size_t length)
{
    return length > 0 && length < 64 && name_length(text, length) == length;
}

bool name_is_reserved(const char *text, size_t length)
{
    for (size_t i = 0; i < sizeof keywords / sizeof *keywords; i++) {
        if (strlen(keywords[i]) == length && memcmp(keywords[i], text, length) == 0) {
            return true;
        }
    }
    return false;
}

void scan_blanks(FormulaReader *reader)
{
    while (reader->at < reader->length && memchr(" \t\n\r", reader->text[reader->at], 4)) {
        reader->at++;
    }
}

bool scan_at_end(FormulaReader *reader)
{
    scan_blanks(reader);
    return reader->at >= reader->length;
}

size_t scan_name(FormulaReader *reader)
{
    scan_blanks(reader);
    return name_length(reader->text + reader->at, reader->length - reader->at);
}

bool scan_at_keyword(FormulaReader *reader, const char *keyword)
{
    size_t length = scan_name(reader);
    return length == strlen(keyword) && memcmp(reader->text + reader->at, keyword, length) == 0;
}

bool scan_keyword(FormulaReader *reader, const char *keyword)
{
    bool here = scan_at_keyword(reader, keyword);
    reader->at += here ? strlen(keyword) : 0;
    return here;
}

bool scan_sign(FormulaReader *reader, const char *sign)
{
    scan_blanks(reader);
    size_t length = strlen(sign);
    bool here = reader->length - reader->at >= length &&
                memcmp(reader->text + reader->at, sign, length) == 0;
    reader->at += here ? length : 0;
    return here;
}

size_t scan_word(FormulaReader *reader)
{
    scan_blanks(reader);
    const char *text = reader->text + reader->at;
    size_t length = reader->length - reader->at, n = 0;
    if (length > 0 && (letter(text[0]) || digit(text[0]))) {
        while (n < length && (letter(text[n]) || digit(text[n]) || text[n] == '-')) {
            n++;
        }
    }
    return n;
}

bool scan_path(FormulaReader *reader, NamePath *path)
{
    size_t length = scan_name(reader);
    *path = (NamePath){.start = reader->at};
    if (length == 0) {
        return reader_wrong(reader, reader->at, "a name is expected here, found %s",
                            scan_found(reader));
    }
    for (;;) {
        if (path->count == PATH_NAMES_MOST) {
            return reader_wrong(reader, path->start, "a path has at most %d names",
                                PATH_NAMES_MOST);
        }
        path->name_start[path->count] = reader->at;
        reader->at += length;
        path->name_end[path->count++] = reader->at;
        path->end = reader->at;
        if (reader->at >= reader->length || reader->text[reader->at] != '.') {
            return true;
        }
        reader->at++;
        length = name_length(reader->text + reader->at, reader->length - reader->at);
        if (length == 0) {
            return reader_wrong(reader, reader->at, "a name is expected after the point");
        }
    }
}

const char *scan_found(FormulaReader *reader)
{
    if (scan_at_end(reader)) {
        return "the end";
    }
    const char *text = reader->text + reader->at;
    size_t length = scan_name(reader);
    if (length == 0) {
        length = 1;
        while (reader->at + length < reader->length && (text[length] & 0xC0) == 0x80) {
            length++;
        }
    }
    return arena_printf(&reader->set->arena, "`%.*s`", (int)(length < 40 ? length : 40), text);
}

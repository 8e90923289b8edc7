/* Values of a style as one line of text, and typed text as values. For src/review. */
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "review/review_inside.h"

/* ---- From values to text ---- */

static void write_scalar(Text *text, const YamlNode *node)
{
    if (node->plain) {
        text_add_bytes(text, node->text, node->length);
        return;
    }
    text_add(text, "\"");
    for (size_t i = 0; i < node->length; i++) {
        char c = node->text[i];
        if (c == '"' || c == '\\')
            text_addf(text, "\\%c", c);
        else if (c == '\n')
            text_add(text, "\\n");
        else if (c == '\t')
            text_add(text, "\\t");
        else
            text_add_bytes(text, &c, 1);
    }
    text_add(text, "\"");
}

/* A tree as read is at most 64 deep; patched ones are a few times that. */
static void write_node(Text *text, const YamlNode *node)
{
    if (node->kind == YAML_SCALAR) {
        write_scalar(text, node);
        return;
    }
    bool mapping = node->kind == YAML_MAPPING;
    text_add(text, mapping ? "{" : "[");
    for (size_t i = 0; i < node->count; i++) {
        text_add(text, i ? ", " : "");
        if (mapping) {
            write_scalar(text, node->keys[i]);
            text_add(text, ": ");
        }
        write_node(text, node->items[i]);
    }
    text_add(text, mapping ? "}" : "]");
}

const char *node_text(Arena *arena, const YamlNode *node)
{
    Text text = {0};
    write_node(&text, node);
    const char *written = arena_copy(arena, text_string(&text), text.length);
    text_free(&text);
    return written;
}

bool node_equal(const YamlNode *a, const YamlNode *b)
{
    if (!a || !b || a->kind != b->kind || a->count != b->count)
        return a == b;
    if (a->kind == YAML_SCALAR)
        return a->plain == b->plain && a->length == b->length &&
               memcmp(a->text, b->text, a->length) == 0;
    for (size_t i = 0; i < a->count; i++)
        if ((a->keys && !node_equal(a->keys[i], b->keys[i])) ||
            !node_equal(a->items[i], b->items[i]))
            return false;
    return true;
}

/* ---- What is wrong with what was typed ---- */

/* Places in what was typed begin so; no file is called this. */
static const char typed_file[] = "changed here";

static bool is_typed(const char *file)
{
    return file && strncmp(file, typed_file, sizeof typed_file - 1) == 0;
}

static void add_place(Text *problem, const char *before, Where at)
{
    if (!at.file || is_typed(at.file))
        return;
    Arena arena = {0};
    const char *place = where_text(&arena, at);
    text_add(problem, before);
    text_add_visible(problem, place, strlen(place));
    text_add(problem, ")");
    arena_free(&arena);
}

void problem_say(Text *problem, const Messages *messages)
{
    size_t i = 0;
    while (i < messages->count && messages->items[i].level != MESSAGE_ERROR)
        i++;
    if (i == messages->count) {
        text_add(problem, "this cannot be");
        return;
    }
    const Message *first = &messages->items[i];
    text_add_visible(problem, first->text, strlen(first->text));
    add_place(problem, " (", first->at);
    add_place(problem, " (see ", first->other);
    if (messages->errors > 1)
        text_addf(problem, "; and %zu more", messages->errors - 1);
}

/* ---- From text to values ---- */

static bool one_line(const char *text, Text *problem)
{
    size_t length = strlen(text), blank = strspn(text, " ");
    if (blank == length) {
        text_add(problem, "a value is missing; write unknown where it is not known");
        return false;
    }
    for (size_t i = 0, used; i < length; i += used) {
        uint32_t codepoint;
        used = utf8_decode(text + i, length - i, &codepoint);
        if (used > 0 && !codepoint_is_hidden(codepoint))
            continue;
        text_add(problem, used ? "the value holds a control or hidden character; "
                                 "a value is one line of plain text"
                               : "the value is no valid text (UTF-8)");
        return false;
    }
    return true;
}

static const YamlNode *parse(Arena *arena, Where at, const char *text, Messages *messages)
{
    const char *file = arena_printf(arena, "%s%s", typed_file, at.file);
    const YamlFile *read = yaml_read_bytes(arena, file, text, strlen(text), false, messages);
    return read ? read->root : NULL;
}

/* So much before it that its line and column are those of the place it is written for. */
static const char *at_place(Arena *arena, Where at, const char *text)
{
    enum { BLANKS_MOST = 1000 }; /* a line of a file is not endless */
    size_t lines = at.line > 0 ? (size_t)at.line - 1 : 0;
    size_t blanks = at.column > 0 && at.column <= BLANKS_MOST ? (size_t)at.column - 1 : 0;
    size_t length = strlen(text);
    char *placed = memory_new(lines + blanks + length + 1, 1);
    memset(placed, '\n', lines);
    memset(placed + lines, ' ', blanks);
    memcpy(placed + lines + blanks, text, length);
    const char *kept = arena_copy(arena, placed, lines + blanks + length);
    free(placed);
    return kept;
}

/* Text that would end the value before its end, or add to what it stands in, is not
 * one value between the brackets of a list. */
static bool is_one_value(Arena *arena, const char *text, const YamlNode *value)
{
    Messages ignored = {0};
    const YamlNode *list =
        parse(arena, (Where){"", 0, 0}, arena_printf(arena, "[%s]", text), &ignored);
    messages_free(&ignored);
    char first = text[strspn(text, " ")];
    return list && list->kind == YAML_SEQUENCE && list->count == 1 &&
           node_equal(value, list->items[0]) && (value->kind != YAML_MAPPING || first == '{') &&
           (value->kind != YAML_SEQUENCE || first == '[');
}

/* What is wrong with it as a number says more: 4,5 mm is 4.5 mm. */
static void say_not_one(Text *problem, const char *text, const Field *field)
{
    Quantity quantity;
    Text reason = {0};
    bool number = field && (field->type == FIELD_NUMBER || field->type == FIELD_RANGE);
    QuantityForm form = number ? field_form(field) : (QuantityForm){0};
    if (number && !quantity_read(text, strlen(text), &form, &quantity, &reason))
        text_addf(problem, "%s: %s", field->name, text_string(&reason));
    else
        text_add(problem, "this is more than one value, or needs quotes: text that holds "
                          ", : # [ ] { } is written \"in quotes\"");
    text_free(&reason);
}

/* "---", "%YAML": what begins or ends a whole file. */
static bool is_of_file(const char *text)
{
    return strncmp(text, "---", 3) == 0 || strncmp(text, "...", 3) == 0 || text[0] == '%';
}

const YamlNode *node_typed(Arena *arena, Where at, const char *text, const Field *field,
                           Text *problem)
{
    if (!one_line(text, problem))
        return NULL;
    if (strcmp(text, "?") == 0) {
        text_add(problem, "the value is ?; write unknown where it is not known");
        return NULL;
    }
    Messages messages = {0};
    const YamlNode *value =
        is_of_file(text) ? NULL : parse(arena, at, at_place(arena, at, text), &messages);
    if (value ? !is_one_value(arena, text, value) : messages.errors == 0) {
        say_not_one(problem, text, field);
        value = NULL;
    } else if (!value) {
        problem_say(problem, &messages);
    }
    messages_free(&messages);
    return value;
}

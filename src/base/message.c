/* Messages with positions, collected and written in order; the nearest known
 * word for a misspelt one. For everyone; only the command line writes them. */
#include "base/message.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/utf8.h"

static bool same_file(const char *a, const char *b)
{
    return a == b || (a && b && strcmp(a, b) == 0);
}

/* Own copy of a file name, one for each name: a message may outlive its tree. */
static const char *own_file(Messages *messages, const char *file)
{
    if (!file)
        return NULL;
    for (size_t i = messages->count; i > 0; i--) {
        const Message *message = &messages->items[i - 1];
        if (same_file(message->at.file, file))
            return message->at.file;
        if (same_file(message->other.file, file))
            return message->other.file;
    }
    return arena_copy(&messages->arena, file, strlen(file));
}

static void keep(Messages *messages, MessageLevel level, Where at, Where other, const char *format,
                 va_list arguments)
{
    if (level == MESSAGE_ERROR) {
        messages->errors++;
        if (messages_full(messages, at.file))
            return;
    }
    at.file = own_file(messages, at.file);
    other.file = same_file(other.file, at.file) ? at.file : own_file(messages, other.file);
    Text text = {0};
    text_addv(&text, format, arguments);
    const char *kept = arena_copy(&messages->arena, text_string(&text), text.length);
    text_free(&text);
    Message *message =
        ARENA_PUSH(&messages->arena, messages->items, messages->count, messages->capacity);
    *message = (Message){level, at, other, kept};
}

void message_error(Messages *messages, Where at, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    keep(messages, MESSAGE_ERROR, at, (Where){0}, format, arguments);
    va_end(arguments);
}

void message_error_two(Messages *messages, Where at, Where other, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    keep(messages, MESSAGE_ERROR, at, other, format, arguments);
    va_end(arguments);
}

void message_notice(Messages *messages, Where at, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    keep(messages, MESSAGE_NOTICE, at, (Where){0}, format, arguments);
    va_end(arguments);
}

bool messages_full(const Messages *messages, const char *file)
{
    if (messages->errors < MESSAGES_ERRORS_A_FILE)
        return false;
    int kept = 0;
    for (size_t i = 0; i < messages->count && kept < MESSAGES_ERRORS_A_FILE; i++)
        kept += messages->items[i].level == MESSAGE_ERROR &&
                same_file(messages->items[i].at.file, file);
    return kept >= MESSAGES_ERRORS_A_FILE;
}

typedef struct Place {
    size_t file; /* first message of the same file */
    size_t index;
    const Message *message;
} Place;

static int compare_numbers(size_t a, size_t b)
{
    return (a > b) - (a < b);
}

static int compare_places(const void *a, const void *b)
{
    const Place *x = a, *y = b;
    int order = compare_numbers(x->file, y->file);
    if (order == 0)
        order = x->message->at.line - y->message->at.line;
    if (order == 0)
        order = x->message->at.column - y->message->at.column;
    return order ? order : compare_numbers(x->index, y->index);
}

static void add_where(Text *text, Where at)
{
    if (!at.file) {
        text_add(text, "-");
        return;
    }
    text_add_visible(text, at.file, strlen(at.file));
    if (at.line > 0)
        text_addf(text, ":%d", at.line);
    if (at.line > 0 && at.column > 0)
        text_addf(text, ":%d", at.column);
}

static void add_message(Text *text, const Message *message)
{
    if (message->at.file) {
        add_where(text, message->at);
        text_add(text, ": ");
    }
    text_add(text, message->level == MESSAGE_ERROR ? "error: " : "notice: ");
    text_add_visible(text, message->text, strlen(message->text));
    if (message->other.file) {
        text_add(text, " (see ");
        add_where(text, message->other);
        text_add(text, ")");
    }
    text_add(text, "\n");
}

void messages_write(const Messages *messages, FILE *out)
{
    Place *places = memory_new(messages->count, sizeof *places);
    size_t errors = 0;
    for (size_t i = 0; i < messages->count; i++) {
        const Message *message = &messages->items[i];
        size_t first = 0;
        while (messages->items[first].at.file != message->at.file)
            first++;
        places[i] = (Place){first, i, message};
        errors += message->level == MESSAGE_ERROR;
    }
    qsort(places, messages->count, sizeof *places, compare_places);
    Text text = {0};
    for (size_t i = 0; i < messages->count; i++)
        add_message(&text, places[i].message);
    if (messages->errors > errors)
        text_addf(&text, "and %zu more %s\n", messages->errors - errors,
                  messages->errors - errors == 1 ? "error" : "errors");
    fwrite(text_string(&text), 1, text.length, out);
    text_free(&text);
    free(places);
}

void messages_free(Messages *messages)
{
    arena_free(&messages->arena);
    *messages = (Messages){0};
}

const char *where_text(Arena *arena, Where at)
{
    if (!at.file)
        return "-";
    if (at.line <= 0)
        return arena_copy(arena, at.file, strlen(at.file));
    if (at.column <= 0)
        return arena_printf(arena, "%s:%d", at.file, at.line);
    return arena_printf(arena, "%s:%d:%d", at.file, at.line, at.column);
}

Quoted quoted_bytes(const char *text, size_t length)
{
    Quoted cut = {{0}};
    size_t at = 0;
    for (int i = 0; i < QUOTED_MOST && at < length; i++) {
        uint32_t codepoint;
        size_t step = utf8_decode(text + at, length - at, &codepoint);
        at += step ? step : 1;
    }
    memcpy(cut.text, text, at);
    if (at < length)
        memcpy(cut.text + at, "…", sizeof "…");
    return cut;
}

Quoted quoted(const char *text)
{
    return quoted_bytes(text, strlen(text));
}

/* Characters of a word; a longer one is like no known word. */
enum { WORD_MOST = 64 };

/* -1 if the word is longer. */
static int word_characters(const char *word, uint32_t characters[WORD_MOST])
{
    size_t length = strlen(word);
    int count = 0;
    for (size_t at = 0; at < length;) {
        uint32_t codepoint = (unsigned char)word[at];
        size_t step = utf8_decode(word + at, length - at, &codepoint);
        if (count == WORD_MOST)
            return -1;
        characters[count++] = codepoint;
        at += step ? step : 1;
    }
    return count;
}

static int least(int a, int b)
{
    return a < b ? a : b;
}

/* Damerau-Levenshtein distance, adjacent swaps only (optimal alignment). */
static int distance(const uint32_t *a, int a_count, const uint32_t *b, int b_count)
{
    int rows[3][WORD_MOST + 1];
    for (int j = 0; j <= b_count; j++)
        rows[0][j] = j;
    for (int i = 1; i <= a_count; i++) {
        int *now = rows[i % 3], *last = rows[(i + 2) % 3];
        const int *before = rows[(i + 1) % 3];
        now[0] = i;
        for (int j = 1; j <= b_count; j++) {
            int same = a[i - 1] == b[j - 1] ? 0 : 1;
            now[j] = least(least(last[j], now[j - 1]) + 1, last[j - 1] + same);
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                now[j] = least(now[j], before[j - 2] + 1);
        }
    }
    return rows[a_count % 3][b_count];
}

const char *nearest_word(const char *word, const char *const *words, size_t count)
{
    uint32_t given[WORD_MOST], known[WORD_MOST];
    int length = word_characters(word, given);
    const char *nearest = NULL;
    int best = least(2, (length + 2) / 3) + 1;
    for (size_t i = 0; length > 0 && i < count; i++) {
        int other = word_characters(words[i], known);
        if (other < 0 || abs(other - length) >= best)
            continue;
        int apart = distance(given, length, known, other);
        if (apart < best) {
            best = apart;
            nearest = words[i];
        }
    }
    return nearest;
}

void add_known_names(Text *text, const char *word, const char *const *known, size_t count)
{
    enum { LISTED_WHOLE = 12, LISTED_FIRST = 6 };
    const char *near = nearest_word(word, known, count);
    size_t listed = count > LISTED_WHOLE ? LISTED_FIRST : count;
    if (near) {
        text_addf(text, "; did you mean %s?", near);
        return;
    }
    if (count == 0)
        text_add(text, "; none is given");
    else if (listed < count)
        text_addf(text, "; %zu are known: ", count);
    else
        text_add(text, "; known: ");
    for (size_t i = 0; i < listed; i++)
        text_addf(text, "%s%s", i ? ", " : "", quoted(known[i]).text);
    if (listed < count)
        text_add(text, ", …");
}

/* A growing text, safe output of foreign bytes, numbers and wrapping that do
 * not depend on the locale. For everyone. */
#include "base/text.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/utf8.h"

enum { DIGITS_MOST = 17, SHORT = 63 }; /* SHORT: most texts are not longer */

/* Room for `more` bytes and the final NUL. */
static char *room(Text *text, size_t more)
{
    size_t need;
    if (__builtin_add_overflow(text->length, more, &need) || need > SIZE_MAX / 2 - 1)
        out_of_memory();
    if (need + 1 > text->capacity) {
        size_t capacity = text->capacity ? text->capacity * 2 : 64;
        while (capacity < need + 1)
            capacity *= 2;
        text->bytes = memory_grow(text->bytes, capacity, 1);
        text->capacity = capacity;
    }
    return text->bytes + text->length;
}

void text_add_bytes(Text *text, const char *bytes, size_t length)
{
    char *end = room(text, length);
    if (length)
        memcpy(end, bytes, length);
    end[length] = '\0';
    text->length += length;
}

void text_add(Text *text, const char *string)
{
    text_add_bytes(text, string, strlen(string));
}

void text_addv(Text *text, const char *format, va_list arguments)
{
    va_list again;
    va_copy(again, arguments);
    char *end = room(text, SHORT);
    size_t left = text->capacity - text->length;
    int length = vsnprintf(end, left, format, again);
    va_end(again);
    if (length < 0)
        out_of_memory();
    if ((size_t)length >= left)
        vsnprintf(room(text, (size_t)length), (size_t)length + 1, format, arguments);
    text->length += (size_t)length;
}

void text_addf(Text *text, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    text_addv(text, format, arguments);
    va_end(arguments);
}

const char *text_string(const Text *text)
{
    return text->bytes ? text->bytes : "";
}

void text_clear(Text *text)
{
    text->length = 0;
    if (text->bytes)
        text->bytes[0] = '\0';
}

void text_free(Text *text)
{
    free(text->bytes);
    *text = (Text){0};
}

void text_add_visible(Text *text, const char *bytes, size_t length)
{
    size_t shown = 0, at = 0;
    while (at < length) {
        uint32_t codepoint = (unsigned char)bytes[at];
        size_t step = utf8_decode(bytes + at, length - at, &codepoint);
        if (step == 0 || codepoint_is_hidden(codepoint)) {
            text_add_bytes(text, bytes + shown, at - shown);
            text_addf(text, "\\u{%x}", (unsigned)codepoint);
            shown = at + (step ? step : 1);
        }
        at += step ? step : 1;
    }
    text_add_bytes(text, bytes + shown, length - shown);
}

/* Decimal digits of |value| without trailing zeros, and the exponent of the
 * first one. printf rounds rightly; its decimal point, which depends on the
 * locale, is passed over. */
static int decimal_digits(double value, int most, char digits[DIGITS_MOST + 1])
{
    char shown[64];
    snprintf(shown, sizeof shown, "%.*e", most - 1, fabs(value));
    const char *at = shown;
    int count = 0;
    for (; *at && *at != 'e'; at++)
        if (*at >= '0' && *at <= '9' && count < DIGITS_MOST)
            digits[count++] = *at;
    while (count > 1 && digits[count - 1] == '0')
        count--;
    digits[count] = '\0';
    return *at == 'e' ? (int)strtol(at + 1, NULL, 10) : 0;
}

/* Digits with the point after the first `whole` of them. */
static void add_plain(Text *text, const char *digits, int whole)
{
    int count = (int)strlen(digits);
    if (whole <= 0)
        text_add(text, "0.");
    for (int zeros = whole; zeros < 0; zeros++)
        text_add(text, "0");
    for (int i = 0; i < count; i++) {
        if (i == whole && i > 0)
            text_add(text, ".");
        text_add_bytes(text, digits + i, 1);
    }
    for (int i = count; i < whole; i++)
        text_add(text, "0");
}

void text_add_number(Text *text, double value, int digits)
{
    if (isnan(value)) {
        text_add(text, "unknown");
        return;
    }
    if (value < 0)
        text_add(text, "-");
    if (isinf(value)) {
        text_add(text, "infinite");
        return;
    }
    char shown[DIGITS_MOST + 1];
    int most = digits < 1 ? 1 : digits > DIGITS_MOST ? DIGITS_MOST : digits;
    int exponent = decimal_digits(value, most, shown);
    if (exponent >= -7 && exponent <= 9) { /* 1e-6 itself is a little less in binary */
        add_plain(text, shown, exponent + 1);
    } else {
        add_plain(text, shown, 1);
        text_addf(text, "e%d", exponent);
    }
}

static void break_line(Text *text, int indent, int *cells)
{
    text_add(text, "\n");
    for (int i = 0; i < indent; i++)
        text_add(text, " ");
    *cells = indent;
}

static int cells_of(const char *bytes, size_t length)
{
    char character[8] = "";
    memcpy(character, bytes, length < sizeof character ? length : sizeof character - 1);
    return utf8_cells(character);
}

/* One word; a word longer than a whole line is broken where it must be. */
static void add_word(Text *text, const char *word, size_t length, int columns, int indent,
                     int *cells)
{
    for (size_t at = 0; at < length;) {
        uint32_t codepoint;
        size_t step = utf8_decode(word + at, length - at, &codepoint);
        step = step ? step : 1;
        int width = cells_of(word + at, step);
        if (*cells + width > columns && *cells > indent)
            break_line(text, indent, cells);
        text_add_bytes(text, word + at, step);
        *cells += width;
        at += step;
    }
}

static int word_cells(const char *word, size_t length)
{
    int cells = 0;
    for (size_t at = 0; at < length;) {
        uint32_t codepoint;
        size_t step = utf8_decode(word + at, length - at, &codepoint);
        step = step ? step : 1;
        cells += cells_of(word + at, step);
        at += step;
    }
    return cells;
}

/* A blank at which a line is not broken: between a number and its unit, and
 * about its tolerance. */
static bool blank_binds(const char *string, const char *blank)
{
    bool digit = blank > string && blank[-1] >= '0' && blank[-1] <= '9';
    bool sign = blank >= string + 2 && strncmp(blank - 2, "\302\261", 2) == 0; /* ± */
    bool number_next = blank[1] >= '0' && blank[1] <= '9';
    return sign ? number_next : digit && blank[1] > ' ' && !number_next;
}

/* A word with what may not be parted from it. */
static size_t word_length(const char *string, const char *at)
{
    size_t length = strcspn(at, " \n");
    while (length > 0 && at[length] == ' ' && blank_binds(string, at + length))
        length += 1 + strcspn(at + length + 1, " \n");
    return length;
}

void text_add_wrapped(Text *text, const char *string, int columns, int indent)
{
    size_t line = text->length;
    while (line > 0 && text->bytes[line - 1] != '\n')
        line--;
    int cells = text->bytes ? utf8_cells(text->bytes + line) : 0;
    bool fresh = true; /* no word of ours on this line yet */
    for (const char *at = string; *at;) {
        size_t length = word_length(string, at);
        if (length > 0) {
            int width = word_cells(at, length);
            if (!fresh && cells + 1 + width > columns) {
                break_line(text, indent, &cells);
            } else if (!fresh) {
                text_add(text, " ");
                cells++;
            }
            add_word(text, at, length, columns, indent, &cells);
            fresh = false;
        }
        at += length;
        if (*at == '\n') {
            break_line(text, indent, &cells);
            fresh = true;
        }
        at += *at != '\0';
    }
}

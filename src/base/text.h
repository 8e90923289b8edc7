/* A growing text, and the one function through which bytes from files reach
 * a terminal. For everyone. */
#ifndef CORDWAIN_BASE_TEXT_H
#define CORDWAIN_BASE_TEXT_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>

/* A zeroed Text is empty; `bytes` is NUL-terminated once anything was added
 * (text_string() also covers the empty case). Freed by text_free(). */
typedef struct Text {
    char *bytes;
    size_t length, capacity;
} Text;

void text_add(Text *text, const char *string);
void text_add_bytes(Text *text, const char *bytes, size_t length);
void text_addf(Text *text, const char *format, ...) __attribute__((format(printf, 2, 3)));
void text_addv(Text *text, const char *format, va_list arguments);
const char *text_string(const Text *text);
void text_clear(Text *text); /* length 0, memory kept */
void text_free(Text *text);

/* Adds bytes from outside so that no terminal acts on them: C0, C1, DEL,
 * bidirectional and other format characters, line and paragraph separators
 * and broken UTF-8 appear as \u{..}; everything else as it is. Newlines count
 * as control characters. */
void text_add_visible(Text *text, const char *bytes, size_t length);

/* Adds a number in the "C" form whatever the locale: at most `digits`
 * significant digits, trailing zeros dropped, never an exponent for
 * 1e-6 <= |value| < 1e9; "unknown" for NaN; -0 is 0. */
void text_add_number(Text *text, double value, int digits);

/* Adds `string` broken at blanks so that no line is longer than `columns`
 * cells; lines after the first are indented by `indent`. A number is not parted
 * from its unit or its tolerance. */
void text_add_wrapped(Text *text, const char *string, int columns, int indent);

#endif

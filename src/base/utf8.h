/* UTF-8 as the Unicode standard defines it (no overlong forms, no
 * surrogates), and which characters can mislead a reader. For everyone. */
#ifndef CORDWAIN_BASE_UTF8_H
#define CORDWAIN_BASE_UTF8_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Decodes the character at `bytes` (length >= 1). Returns its length in
 * bytes, 0 if the bytes are not valid UTF-8 there. */
size_t utf8_decode(const char *bytes, size_t length, uint32_t *codepoint);
/* Offset of the first byte that is not valid UTF-8, or `length`. */
size_t utf8_valid_prefix(const char *bytes, size_t length);
/* C0, C1, DEL, U+2028, U+2029, bidirectional controls, zero-width and other
 * format characters, U+FEFF, interlinear and tag characters, noncharacters. */
bool codepoint_is_hidden(uint32_t codepoint);
/* Characters that look like YAML's own punctuation or blank but are not:
 * no-break and other wide blanks, full-width colon and the like. */
bool codepoint_is_lookalike(uint32_t codepoint);
/* Terminal cells of a string, by wcwidth where the locale knows, 1 else. */
int utf8_cells(const char *string);

#endif

/* A YAML file's bytes before libyaml sees them: encoding, control characters,
 * lines, and positions. For src/yaml only. */
#include "yaml/yaml_inside.h"

#include <string.h>

#include "base/utf8.h"

enum { STRIDE = 64 }; /* bytes; see YamlFile.strides */

/* A one in each of eight bytes, for what is done to eight at once. */
static const uint64_t ones = 0x0101010101010101;

static uint64_t eight_at(const char *bytes)
{
    uint64_t eight;
    memcpy(&eight, bytes, sizeof eight);
    return eight;
}

/* Blanks, letters, digits, signs: in each other byte one of the three has the
 * top bit. */
static bool eight_plain(uint64_t eight)
{
    return ((eight | (eight - ones * ' ') | (eight + ones)) & ones * 0x80) == 0;
}

/* The first byte from `at` on that is not from ' ' to '~'; the length if there
 * is none. */
static size_t plain_end(const YamlFile *file, size_t at)
{
    while (file->length - at >= 8 && eight_plain(eight_at(file->bytes + at)))
        at += 8;
    while (at < file->length && file->bytes[at] >= ' ' && file->bytes[at] <= '~')
        at++;
    return at;
}

static bool continues(char byte)
{
    return ((unsigned char)byte & 0xC0) == 0x80;
}

/* Bytes that begin a character: not those with the top bit without the next. */
static size_t characters(const char *bytes, size_t length)
{
    size_t count = length, at = 0;
    for (; length - at >= 8; at += 8) {
        uint64_t eight = eight_at(bytes + at);
        uint64_t continued = (eight & ~(eight << 1)) >> 7 & ones;
        count -= continued * ones >> 56; /* the top byte is the sum of all */
    }
    for (; at < length; at++)
        count -= continues(bytes[at]);
    return count;
}

/* Bytes of the line break at `at`, 0 if there is none. */
static size_t line_break(const YamlFile *file, size_t at)
{
    if (file->bytes[at] == '\r')
        return file->bytes[at + 1] == '\n' ? 2 : 1; /* a NUL follows the last byte */
    return file->bytes[at] == '\n';
}

/* The first line break from `at` on; the length if there is none. */
static size_t line_end(const YamlFile *file, size_t at)
{
    for (at = plain_end(file, at); at < file->length && line_break(file, at) == 0;)
        at = plain_end(file, at + 1);
    return at;
}

/* Counted first: a file of line breaks alone would else take much memory. */
static void find_lines(YamlFile *file)
{
    size_t count = 1;
    for (size_t at = line_end(file, 0); at < file->length; count++)
        at = line_end(file, at + line_break(file, at));
    size_t *lines = ARENA_NEW(file->arena, size_t, count);
    for (size_t i = 1, at = 0; i < count; i++) {
        at = line_end(file, at);
        at += line_break(file, at);
        lines[i] = at;
    }
    file->lines = lines;
    file->line_count = count;
}

/* Index of the line that holds the byte. */
static size_t line_of(const YamlFile *file, size_t byte)
{
    size_t low = 0, high = file->line_count;
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        if (file->lines[middle] <= byte)
            low = middle;
        else
            high = middle;
    }
    return low;
}

static size_t mark_bytes(const YamlFile *file)
{
    return file->length >= 3 && memcmp(file->bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
}

static void count_characters(YamlFile *file)
{
    if (characters(file->bytes, file->length) == file->length)
        return;
    size_t whole = file->length / STRIDE;
    uint32_t *strides = ARENA_NEW(file->arena, uint32_t, whole + 1);
    for (size_t i = 0; i < whole; i++)
        strides[i + 1] = strides[i] + (uint32_t)characters(file->bytes + i * STRIDE, STRIDE);
    file->strides = strides;
}

static size_t characters_before(const YamlFile *file, size_t byte)
{
    if (!file->strides)
        return byte;
    size_t stride = byte / STRIDE;
    return file->strides[stride] + characters(file->bytes + stride * STRIDE, byte % STRIDE);
}

Where yaml_file_where(const YamlFile *file, size_t byte)
{
    size_t line = line_of(file, byte);
    size_t start = file->lines[line];
    if (line == 0)
        start = byte < mark_bytes(file) ? byte : mark_bytes(file);
    size_t column = characters_before(file, byte) - characters_before(file, start) + 1;
    return (Where){file->path, (int)line + 1, (int)column};
}

static const char *control_name(uint32_t codepoint)
{
    switch (codepoint) {
    case 0x85:
        return "a 'next line' character; write an ordinary line break";
    case 0x2028:
        return "a line separator; write an ordinary line break";
    case 0x2029:
        return "a paragraph separator; write an ordinary line break";
    case 0xFEFF:
        return "a byte order mark, which may stand only at the start of a file";
    case 0:
        return "a zero byte; is the file saved as UTF-8 text?";
    default:
        return codepoint < 0xA0 ? "a control character and may not stand in the file; remove it"
                                : "no character at all (a noncharacter); remove it";
    }
}

static bool is_refused(uint32_t codepoint)
{
    if (codepoint < 0x20)
        return codepoint != '\t' && codepoint != '\n' && codepoint != '\r';
    return (codepoint >= 0x7F && codepoint < 0xA0) || codepoint == 0x2028 || codepoint == 0x2029 ||
           codepoint == 0xFEFF || (codepoint & 0xFFFE) == 0xFFFE ||
           (codepoint >= 0xFDD0 && codepoint <= 0xFDEF);
}

static void check_characters(const YamlSource *source)
{
    const YamlFile *file = source->file;
    for (size_t at = plain_end(file, source->first); at < file->length; at = plain_end(file, at)) {
        uint32_t codepoint = (unsigned char)file->bytes[at];
        size_t step = 1;
        if (codepoint >= 0x80)
            step = utf8_decode(file->bytes + at, file->length - at, &codepoint);
        if (step == 0) {
            message_error(source->messages, yaml_file_where(file, at),
                          "byte 0x%02X is not valid UTF-8; save the file as UTF-8",
                          (unsigned)codepoint);
            return;
        }
        if (is_refused(codepoint)) {
            message_error(source->messages, yaml_file_where(file, at), "U+%04X is %s",
                          (unsigned)codepoint, control_name(codepoint));
            if (codepoint == 0 || messages_full(source->messages, file->path))
                return;
        }
        at += step;
    }
}

static void check_lines(const YamlSource *source)
{
    const YamlFile *file = source->file;
    for (size_t i = 0; i < file->line_count; i++) {
        size_t end = i + 1 < file->line_count ? file->lines[i + 1] : file->length;
        Where at = {file->path, (int)i + 1, 1};
        if (end - file->lines[i] > YAML_LINE_MOST)
            message_error(source->messages, at, "line is longer than %d KiB, the most accepted",
                          YAML_LINE_MOST >> 10);
        /* Before libyaml: it compares each tag directive with all before it. */
        if (strncmp(file->bytes + file->lines[i], "%TAG", 4) == 0)
            message_error(source->messages, at, "tags are not used here; remove the %%TAG line");
        if (messages_full(source->messages, file->path))
            return;
    }
}

static bool is_utf16(const YamlFile *file)
{
    const char *bytes = file->bytes;
    return file->length >= 2 && (memcmp(bytes, "\xFF\xFE", 2) == 0 ||
                                 memcmp(bytes, "\xFE\xFF", 2) == 0 || !bytes[0] || !bytes[1]);
}

bool yaml_source_open(YamlSource *source, YamlFile *file, Messages *messages)
{
    *source = (YamlSource){.file = file, .messages = messages, .first = mark_bytes(file)};
    size_t errors = messages->errors;
    find_lines(file);
    count_characters(file);
    if (is_utf16(file)) {
        message_error(messages, (Where){.file = file->path},
                      "file is UTF-16 or not text at all; save it as UTF-8");
        return false;
    }
    check_lines(source);
    check_characters(source);
    return messages->errors == errors;
}

size_t yaml_source_byte(YamlSource *source, size_t index)
{
    const YamlFile *file = source->file;
    if (!file->strides)
        return index < file->length ? index : file->length;
    size_t wanted = index + (source->first > 0);
    if (wanted < source->character)
        source->byte = source->character = 0;
    while (source->character < wanted && source->byte < file->length) {
        /* As many characters are at least as many bytes. */
        size_t left = file->length - source->byte, step = wanted - source->character;
        step = step < left ? step : left;
        source->character += characters(file->bytes + source->byte + 1, step);
        source->byte += step;
    }
    return source->byte;
}

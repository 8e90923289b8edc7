/* UTF-8 decoding and the characters that can mislead a reader. For everyone. */
#define _GNU_SOURCE
#include "base/utf8.h"

#include <string.h>
#include <wchar.h>

typedef struct Range {
    uint32_t first, last;
} Range;

size_t utf8_decode(const char *bytes, size_t length, uint32_t *codepoint)
{
    const unsigned char *b = (const unsigned char *)bytes;
    if (length == 0)
        return 0;
    if (b[0] < 0x80) {
        *codepoint = b[0];
        return 1;
    }
    size_t need = b[0] >= 0xF0 ? 4 : b[0] >= 0xE0 ? 3 : 2;
    if (b[0] < 0xC2 || b[0] > 0xF4 || length < need)
        return 0;
    uint32_t value = b[0] & (0x7Fu >> need);
    for (size_t i = 1; i < need; i++) {
        if ((b[i] & 0xC0) != 0x80)
            return 0;
        value = value << 6 | (b[i] & 0x3Fu);
    }
    static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
    if (value < least[need] || value > 0x10FFFF || (value >= 0xD800 && value <= 0xDFFF))
        return 0;
    *codepoint = value;
    return need;
}

size_t utf8_valid_prefix(const char *bytes, size_t length)
{
    size_t at = 0;
    while (at < length) {
        uint32_t codepoint;
        size_t step = utf8_decode(bytes + at, length - at, &codepoint);
        if (step == 0)
            break;
        at += step;
    }
    return at;
}

static bool in_ranges(uint32_t codepoint, const Range *ranges, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (codepoint >= ranges[i].first && codepoint <= ranges[i].last)
            return true;
    return false;
}

bool codepoint_is_hidden(uint32_t codepoint)
{
    /* Unicode's general category Cf, and what is drawn as nothing at all:
     * fillers, joiners, variation selectors. */
    static const Range hidden[] = {
        {0x0000,  0x001F },
        {0x007F,  0x009F },
        {0x00AD,  0x00AD },
        {0x034F,  0x034F },
        {0x0600,  0x0605 },
        {0x061C,  0x061C },
        {0x06DD,  0x06DD },
        {0x070F,  0x070F },
        {0x0890,  0x0891 },
        {0x08E2,  0x08E2 },
        {0x115F,  0x1160 },
        {0x17B4,  0x17B5 },
        {0x180B,  0x180F },
        {0x200B,  0x200F },
        {0x2028,  0x202E },
        {0x2060,  0x206F },
        {0x3164,  0x3164 },
        {0xFDD0,  0xFDEF },
        {0xFE00,  0xFE0F },
        {0xFEFF,  0xFEFF },
        {0xFFA0,  0xFFA0 },
        {0xFFF0,  0xFFFB },
        {0x110BD, 0x110BD},
        {0x110CD, 0x110CD},
        {0x13430, 0x1343F},
        {0x1BCA0, 0x1BCA3},
        {0x1D173, 0x1D17A},
        {0xE0000, 0xE0FFF},
    };
    if (codepoint >= 0x20 && codepoint < 0x7F)
        return false;
    if ((codepoint & 0xFFFE) == 0xFFFE)
        return true;
    return in_ranges(codepoint, hidden, sizeof hidden / sizeof hidden[0]);
}

bool codepoint_is_lookalike(uint32_t codepoint)
{
    static const Range alike[] = {
        {0x00A0, 0x00A0},
        {0x1680, 0x1680},
        {0x2000, 0x200A},
        {0x202F, 0x202F}, /* blanks */
        {0x205F, 0x205F},
        {0x2800, 0x2800},
        {0x3000, 0x3000},
        {0x0589, 0x0589},
        {0x05C3, 0x05C3},
        {0x2236, 0x2236},
        {0xA789, 0xA789}, /* colons */
        {0xFE13, 0xFE13},
        {0xFE55, 0xFE55},
        {0xFE50, 0xFE50},
        {0xFE63, 0xFE63},
        {0xFF01, 0xFF0F},
        {0xFF1A, 0xFF20},
        {0xFF3B, 0xFF40},
        {0xFF5B, 0xFF5E}, /* full width */
    };
    return codepoint > 0x7F && in_ranges(codepoint, alike, sizeof alike / sizeof alike[0]);
}

int utf8_cells(const char *string)
{
    size_t length = strlen(string);
    int cells = 0;
    for (size_t at = 0; at < length;) {
        uint32_t codepoint = 0;
        size_t step = utf8_decode(string + at, length - at, &codepoint);
        int width = step ? wcwidth((wchar_t)codepoint) : 1;
        cells += width < 0 ? 1 : width;
        at += step ? step : 1;
    }
    return cells;
}

/* Reads transforms, lengths and viewBox of a drawing. For drawing.c alone. */
#define _GNU_SOURCE /* strtod_l */
#include "shape/drawing_values.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/message.h"

enum { NUMBER_MOST = 40, NUMBERS_MOST = 6, WORD_MOST = 24 };

static const double pi = 3.14159265358979323846;

typedef struct Cursor {
    Plain plain;
    const char *text, *at;
    Text *problem;
} Cursor;

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

static void skip_blanks(Cursor *cursor)
{
    while (is_blank(*cursor->at))
        cursor->at++;
}

/* Adds the reason and where in the value it stands, counted from 1. */
static bool refuse(const Cursor *cursor, const char *reason)
{
    text_addf(cursor->problem, "%s (at character %zu)", reason,
              (size_t)(cursor->at - cursor->text) + 1);
    return false;
}

/* strtod takes words and hexadecimal numbers as well: it sees only characters of
 * decimals. */
static bool read_number(Cursor *cursor, double *value)
{
    char digits[NUMBER_MOST + 1];
    size_t length = strspn(cursor->at, "0123456789+-.eE");
    if (length > NUMBER_MOST)
        length = NUMBER_MOST;
    memcpy(digits, cursor->at, length);
    digits[length] = '\0';
    char *end;
    *value = strtod_l(digits, &end, cursor->plain);
    if (end == digits)
        return refuse(cursor, "a number is due");
    if (end == digits + NUMBER_MOST)
        return refuse(cursor, "a number of 40 characters or more is not read");
    if (!isfinite(*value))
        return refuse(cursor, "the number is too large");
    cursor->at += end - digits;
    return true;
}

/* Blanks with at most one comma; true if there was a comma. */
static bool skip_separator(Cursor *cursor)
{
    skip_blanks(cursor);
    if (*cursor->at != ',')
        return false;
    cursor->at++;
    skip_blanks(cursor);
    return true;
}

/* ---- transforms ---- */

static const char *const transforms[] = {"matrix", "translate", "scale",
                                         "rotate", "skewX",     "skewY"};

/* Name and opening bracket. */
static bool read_name(Cursor *cursor, char name[WORD_MOST])
{
    size_t length = 0;
    while ((cursor->at[length] >= 'a' && cursor->at[length] <= 'z') ||
           (cursor->at[length] >= 'A' && cursor->at[length] <= 'Z') ||
           (cursor->at[length] >= '0' && cursor->at[length] <= '9'))
        length++;
    if (length == 0 || length >= WORD_MOST)
        return refuse(cursor, "the name of a transform is due: translate, scale, rotate, skewX, "
                              "skewY or matrix");
    memcpy(name, cursor->at, length);
    name[length] = '\0';
    cursor->at += length;
    skip_blanks(cursor);
    if (*cursor->at != '(')
        return refuse(cursor, "'(' is due after the name of a transform");
    cursor->at++;
    return true;
}

/* Up to and with the closing bracket. */
static bool read_numbers(Cursor *cursor, double numbers[NUMBERS_MOST], int *count)
{
    *count = 0;
    skip_blanks(cursor);
    for (;;) {
        if (*count == NUMBERS_MOST)
            return refuse(cursor, "too many numbers; ')' is due");
        if (!read_number(cursor, &numbers[(*count)++]))
            return false;
        bool comma = skip_separator(cursor);
        if (*cursor->at == ')' && !comma) {
            cursor->at++;
            return true;
        }
    }
}

static Matrix rotation(const double *n, int count)
{
    double c = cos(n[0] * pi / 180), s = sin(n[0] * pi / 180);
    Matrix turned = {c, s, -s, c, 0, 0};
    if (count == 1)
        return turned;
    Matrix there = {1, 0, 0, 1, n[1], n[2]}, back = {1, 0, 0, 1, -n[1], -n[2]};
    return matrix_times(there, matrix_times(turned, back));
}

/* False if the transform of that name does not take so many numbers. */
static bool matrix_of(const char *name, const double *n, int count, Matrix *matrix)
{
    *matrix = MATRIX_NONE;
    switch (name[0] == 's' ? name[4] : name[0]) {
    case 'm':
        *matrix = (Matrix){n[0], n[1], n[2], n[3], n[4], n[5]};
        return count == 6;
    case 't':
        *matrix = (Matrix){1, 0, 0, 1, n[0], count > 1 ? n[1] : 0};
        return count <= 2;
    case 'e': /* scale */
        *matrix = (Matrix){n[0], 0, 0, count > 1 ? n[1] : n[0], 0, 0};
        return count <= 2;
    case 'r':
        *matrix = rotation(n, count);
        return count == 1 || count == 3;
    case 'X':
        matrix->c = tan(n[0] * pi / 180);
        return count == 1;
    default:
        matrix->b = tan(n[0] * pi / 180);
        return count == 1;
    }
}

static bool known_transform(const char *name)
{
    for (size_t i = 0; i < sizeof transforms / sizeof *transforms; i++)
        if (strcmp(name, transforms[i]) == 0)
            return true;
    return false;
}

static bool read_transform(Cursor *cursor, Matrix *matrix)
{
    char name[WORD_MOST];
    double numbers[NUMBERS_MOST] = {0};
    int count;
    const char *begin = cursor->at;
    if (!read_name(cursor, name))
        return false;
    if (!known_transform(name)) {
        const char *near = nearest_word(name, transforms, sizeof transforms / sizeof *transforms);
        text_addf(cursor->problem, "unknown transform '%s'%s%s%s ", name, near ? "; is '" : "",
                  near ? near : "", near ? "' meant?" : "");
        cursor->at = begin;
        return refuse(cursor, "known are translate, scale, rotate, skewX, skewY, matrix");
    }
    if (!read_numbers(cursor, numbers, &count))
        return false;
    if (!matrix_of(name, numbers, count, matrix)) {
        cursor->at = begin;
        return refuse(cursor, "wrong count of numbers: translate and scale take 1 or 2, rotate "
                              "1 or 3, skewX and skewY 1, matrix 6");
    }
    return true;
}

bool matrix_is_sound(Matrix m)
{
    double area = m.a * m.d - m.b * m.c;
    double square = m.a * m.a + m.b * m.b + m.c * m.c + m.d * m.d;
    return isfinite(square) && isfinite(m.e) && isfinite(m.f) && fabs(area) > 1e-9 * square;
}

bool drawing_transform(Plain plain, const char *value, Matrix *matrix, Text *problem)
{
    Cursor cursor = {plain, value, value, problem};
    *matrix = MATRIX_NONE;
    skip_blanks(&cursor);
    while (*cursor.at) {
        Matrix next;
        if (!read_transform(&cursor, &next))
            return false;
        *matrix = matrix_times(*matrix, next);
        if (skip_separator(&cursor) && !*cursor.at)
            return refuse(&cursor, "a transform is due after the comma");
    }
    if (!matrix_is_sound(*matrix)) {
        text_add(problem, "it flattens the drawing to a line or a point, or is not finite");
        return false;
    }
    return true;
}

/* ---- the page ---- */

typedef struct LengthUnit {
    const char *name;
    double mm;
} LengthUnit;

static const LengthUnit length_units[] = {
    {"mm", 1}, {"cm", 10}, {"in", 25.4}, {"pt", 25.4 / 72}, {"px", 25.4 / 96}};

bool drawing_length(Plain plain, const char *value, double *mm, Text *problem)
{
    Cursor cursor = {plain, value, value, problem};
    double number;
    skip_blanks(&cursor);
    if (!read_number(&cursor, &number))
        return false;
    size_t length = strlen(cursor.at);
    while (length > 0 && is_blank(cursor.at[length - 1]))
        length--;
    if (length == 0)
        return refuse(&cursor, "a unit is due: mm, cm, in, pt or px");
    if (*cursor.at == '%')
        return refuse(&cursor, "a percentage gives no scale; write a length in mm, cm, in, pt "
                               "or px");
    for (size_t i = 0; i < sizeof length_units / sizeof *length_units; i++)
        if (length == 2 && strncasecmp(cursor.at, length_units[i].name, 2) == 0) {
            *mm = number * length_units[i].mm;
            return (*mm > 0 && isfinite(*mm)) || refuse(&cursor, "it must be greater than 0");
        }
    return refuse(&cursor, "unknown unit; known are mm, cm, in, pt, px");
}

bool drawing_view_box(Plain plain, const char *value, double box[4], Text *problem)
{
    Cursor cursor = {plain, value, value, problem};
    skip_blanks(&cursor);
    for (int i = 0; i < 4; i++) {
        if (!read_number(&cursor, &box[i]))
            return false;
        if (i < 3)
            skip_separator(&cursor);
    }
    skip_blanks(&cursor);
    if (*cursor.at)
        return refuse(&cursor, "four numbers are due: left, top, width, height");
    if (!(box[2] > 0 && box[3] > 0)) {
        text_add(problem, "its width and height must be greater than 0");
        return false;
    }
    return true;
}

/* Reads SVG path data into cubic pieces.
 * For the readers of styles and drawings. */
#include "shape/path.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

enum {
    NUMBER_MOST = 40,   /* characters */
    EXPONENT_MOST = 400 /* beyond any double */
};

static const double coordinate_most = 1e6;
static const double stand_still = 1e-7;
static const double pi = 3.14159265358979323846;

/* Coordinates are those of the page, y downwards, until a piece is added. */
typedef struct Reader {
    Arena *arena;
    const char *text;
    size_t length, at;
    size_t token; /* where the token being read began */
    Text *problem;
    Cubic *pieces;
    size_t count, capacity;
    Point pen, handle; /* handle: inner point that S or T mirrors */
    char command, before;
} Reader;

/* ---- tokens ---- */

static bool refuse(Reader *reader, const char *reason)
{
    text_add(reader->problem, reason);
    return false;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f';
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static char peek(const Reader *reader)
{
    return reader->at < reader->length ? reader->text[reader->at] : '\0';
}

static void skip_blanks(Reader *reader)
{
    while (reader->at < reader->length && is_blank(reader->text[reader->at]))
        reader->at++;
}

/* Blanks with at most one comma. Returns whether there was a comma. */
static bool skip_separator(Reader *reader)
{
    skip_blanks(reader);
    if (peek(reader) != ',')
        return false;
    reader->token = reader->at++;
    skip_blanks(reader);
    return true;
}

/* A decimal as digits times a power of ten; digits beyond what 64 bits hold
 * count as zeros. */
typedef struct Decimal {
    uint64_t digits;
    int power, seen;
} Decimal;

static void take_digits(Reader *reader, Decimal *decimal, bool after_point)
{
    for (; is_digit(peek(reader)); reader->at++, decimal->seen++) {
        bool kept = decimal->digits < UINT64_MAX / 10 - 1;
        if (kept)
            decimal->digits = decimal->digits * 10 + (uint64_t)(peek(reader) - '0');
        if (kept && after_point)
            decimal->power--;
        if (!kept && !after_point)
            decimal->power++;
    }
}

/* Only where digits follow: the e of "1e" is no exponent. */
static void take_exponent(Reader *reader, Decimal *decimal)
{
    size_t at = reader->at + 1;
    bool down = false;

    if (peek(reader) != 'e' && peek(reader) != 'E')
        return;
    if (at < reader->length && (reader->text[at] == '+' || reader->text[at] == '-'))
        down = reader->text[at++] == '-';
    if (at >= reader->length || !is_digit(reader->text[at]))
        return;
    int exponent = 0;
    for (; at < reader->length && is_digit(reader->text[at]); at++)
        if (exponent < EXPONENT_MOST)
            exponent = exponent * 10 + (reader->text[at] - '0');
    decimal->power += down ? -exponent : exponent;
    reader->at = at;
}

/* Powers up to 10^22 are exact in a double, so that what a drawing program
 * writes is rounded once. */
static double decimal_value(const Decimal *decimal)
{
    double value = (double)decimal->digits, ten = 1;
    int power = decimal->power < 0 ? -decimal->power : decimal->power;

    for (; power > 22 && value != 0 && isfinite(value); power--)
        value = decimal->power < 0 ? value / 10 : value * 10;
    for (int i = 0; i < power && i < 22; i++)
        ten *= 10;
    return decimal->power < 0 ? value / ten : value * ten;
}

static bool read_number(Reader *reader, double *value)
{
    Decimal decimal = {0};

    reader->token = reader->at;
    bool negative = peek(reader) == '-';
    if (negative || peek(reader) == '+')
        reader->at++;
    take_digits(reader, &decimal, false);
    if (peek(reader) == '.') {
        reader->at++;
        take_digits(reader, &decimal, true);
    }
    if (decimal.seen == 0)
        return refuse(reader, reader->token >= reader->length
                                  ? "the path data end where a number is due"
                                  : "a number is due here, such as 12, -3.5 or 1e-2");
    take_exponent(reader, &decimal);
    if (reader->at - reader->token > NUMBER_MOST)
        return refuse(reader, "a number of more than 40 characters");
    *value = decimal_value(&decimal);
    if (!(*value <= coordinate_most))
        return refuse(reader, "a number beyond 1,000,000: no line of a shoe is that long");
    if (negative)
        *value = -*value;
    return true;
}

static bool read_numbers(Reader *reader, double *values, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (i > 0)
            skip_separator(reader);
        if (!read_number(reader, &values[i]))
            return false;
    }
    return true;
}

static bool read_flag(Reader *reader, bool *flag)
{
    skip_separator(reader);
    reader->token = reader->at;
    char c = peek(reader);
    if (c != '0' && c != '1')
        return refuse(reader, "a flag of an arc is due here: 0 or 1");
    *flag = c == '1';
    reader->at++;
    return true;
}

/* ---- pieces ---- */

static bool is_relative(const Reader *reader)
{
    return reader->command >= 'a';
}

static Point placed(const Reader *reader, double x, double y)
{
    if (is_relative(reader))
        return (Point){reader->pen.x + x, reader->pen.y + y};
    return (Point){x, y};
}

static Point between(Point a, Point b, double t)
{
    return (Point){a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t};
}

static Point mirrored(Point point, Point about)
{
    return (Point){2 * about.x - point.x, 2 * about.y - point.y};
}

static bool is_near(Point a, Point b)
{
    return fabs(a.x - b.x) <= stand_still && fabs(a.y - b.y) <= stand_still;
}

static Point upwards(Point point)
{
    return (Point){point.x, 0.0 - point.y};
}

static bool add_piece(Reader *reader, Point inner, Point outer, Point end)
{
    Point start = reader->pen;

    if (!(fabs(end.x) <= coordinate_most && fabs(end.y) <= coordinate_most))
        return refuse(reader, "the line leaves the range of 1,000,000");
    if (is_near(start, inner) && is_near(start, outer) && is_near(start, end))
        return true;
    if (reader->count == PATH_PIECES_MOST)
        return refuse(reader, "more than 2,000 pieces in one line: draw it with fewer points");
    *ARENA_PUSH(reader->arena, reader->pieces, reader->count, reader->capacity) =
        (Cubic){{upwards(start), upwards(inner), upwards(outer), upwards(end)}};
    reader->pen = end;
    return true;
}

static bool add_straight(Reader *reader, Point end)
{
    return add_piece(reader, between(reader->pen, end, 1.0 / 3), between(reader->pen, end, 2.0 / 3),
                     end);
}

static bool add_quadratic(Reader *reader, Point control, Point end)
{
    return add_piece(reader, between(reader->pen, control, 2.0 / 3), between(end, control, 2.0 / 3),
                     end);
}

/* ---- arcs: appendix F.6 of the standard ---- */

typedef struct Ellipse {
    Point centre;
    double rx, ry, cosine, sine; /* of the x axis's turn */
    double from, sweep;          /* angles in the ellipse's own frame */
} Ellipse;

static Point ellipse_point(const Ellipse *ellipse, double x, double y)
{
    double u = ellipse->rx * x, v = ellipse->ry * y;
    return (Point){ellipse->centre.x + ellipse->cosine * u - ellipse->sine * v,
                   ellipse->centre.y + ellipse->sine * u + ellipse->cosine * v};
}

/* F.6.5 and, for radii that are too small, F.6.6. */
static void ellipse_through(Ellipse *ellipse, Point from, Point to, bool large, bool clockwise)
{
    double dx = (from.x - to.x) / 2, dy = (from.y - to.y) / 2;
    double x = (ellipse->cosine * dx + ellipse->sine * dy) / ellipse->rx;
    double y = (ellipse->cosine * dy - ellipse->sine * dx) / ellipse->ry;
    double reach = x * x + y * y, out = 0;

    if (reach > 1) {
        double scale = sqrt(reach);
        ellipse->rx *= scale, ellipse->ry *= scale;
        x /= scale, y /= scale;
    } else {
        out = sqrt((1 - reach) / reach) * (large == clockwise ? -1 : 1);
    }
    double cx = out * y, cy = -out * x;
    ellipse->centre = between(from, to, 0.5);
    ellipse->centre = ellipse_point(ellipse, cx, cy);
    ellipse->from = atan2(y - cy, x - cx);
    ellipse->sweep = atan2(-y - cy, -x - cx) - ellipse->from;
    if (clockwise && ellipse->sweep < 0)
        ellipse->sweep += 2 * pi;
    if (!clockwise && ellipse->sweep > 0)
        ellipse->sweep -= 2 * pi;
}

static bool add_arc_pieces(Reader *reader, const Ellipse *ellipse, Point end)
{
    int count = (int)ceil(fabs(ellipse->sweep) / (pi / 8) - 1e-9);
    count = count < 1 ? 1 : count;
    double step = ellipse->sweep / count, reach = 4.0 / 3 * tan(step / 4);

    for (int i = 0; i < count; i++) {
        double a = ellipse->from + step * i, b = a + step;
        Point inner = ellipse_point(ellipse, cos(a) - reach * sin(a), sin(a) + reach * cos(a));
        Point outer = ellipse_point(ellipse, cos(b) + reach * sin(b), sin(b) - reach * cos(b));
        Point last = i + 1 == count ? end : ellipse_point(ellipse, cos(b), sin(b));
        if (!add_piece(reader, inner, outer, last))
            return false;
    }
    return true;
}

static bool read_arc(Reader *reader)
{
    double radii[2], rotation, to[2];
    bool large, clockwise;
    size_t start = reader->at;

    if (!read_numbers(reader, radii, 2))
        return false;
    if (radii[0] == 0 || radii[1] == 0) {
        reader->token = start;
        return refuse(reader, "an arc of radius zero: draw a straight line with L");
    }
    skip_separator(reader);
    if (!read_number(reader, &rotation) || !read_flag(reader, &large) ||
        !read_flag(reader, &clockwise))
        return false;
    skip_separator(reader);
    if (!read_numbers(reader, to, 2))
        return false;
    Point end = placed(reader, to[0], to[1]);
    if (is_near(reader->pen, end))
        return true;
    Ellipse ellipse = {.rx = fabs(radii[0]),
                       .ry = fabs(radii[1]),
                       .cosine = cos(rotation * pi / 180),
                       .sine = sin(rotation * pi / 180)};
    ellipse_through(&ellipse, reader->pen, end, large, clockwise);
    return add_arc_pieces(reader, &ellipse, end);
}

/* ---- commands ---- */

static bool follows(const Reader *reader, const char *commands)
{
    return strchr(commands, reader->before | 0x20) != NULL;
}

static bool read_line(Reader *reader, char upper)
{
    double v[2];

    if (!read_numbers(reader, v, upper == 'L' ? 2 : 1))
        return false;
    Point end = upper == 'V' ? placed(reader, 0, v[0]) : placed(reader, v[0], v[1]);
    if (upper == 'H')
        end.y = reader->pen.y;
    if (upper == 'V')
        end.x = reader->pen.x;
    return add_straight(reader, end);
}

static bool read_cubic(Reader *reader, bool smooth)
{
    double v[6];
    size_t count = smooth ? 4 : 6;

    if (!read_numbers(reader, v, count))
        return false;
    Point outer = placed(reader, v[count - 4], v[count - 3]);
    Point end = placed(reader, v[count - 2], v[count - 1]);
    Point inner = reader->pen;
    if (!smooth)
        inner = placed(reader, v[0], v[1]);
    else if (follows(reader, "cs"))
        inner = mirrored(reader->handle, reader->pen);
    reader->handle = outer;
    return add_piece(reader, inner, outer, end);
}

static bool read_quadratic(Reader *reader, bool smooth)
{
    double v[4];
    size_t count = smooth ? 2 : 4;

    if (!read_numbers(reader, v, count))
        return false;
    Point end = placed(reader, v[count - 2], v[count - 1]);
    Point control = reader->pen;
    if (!smooth)
        control = placed(reader, v[0], v[1]);
    else if (follows(reader, "qt"))
        control = mirrored(reader->handle, reader->pen);
    reader->handle = control;
    return add_quadratic(reader, control, end);
}

static bool read_piece(Reader *reader)
{
    char upper = (char)(reader->command & ~0x20);
    bool read = false;

    switch (upper) {
    case 'L':
    case 'H':
    case 'V':
        read = read_line(reader, upper);
        break;
    case 'C':
    case 'S':
        read = read_cubic(reader, upper == 'S');
        break;
    case 'Q':
    case 'T':
        read = read_quadratic(reader, upper == 'T');
        break;
    default:
        read = read_arc(reader);
        break;
    }
    reader->before = reader->command;
    return read;
}

static bool read_command(Reader *reader)
{
    reader->token = reader->at;
    char c = peek(reader);
    if (c == 'M' || c == 'm')
        return refuse(reader, "a second M: one line is drawn in one go; give each its own path");
    if (c == 'Z' || c == 'z')
        return refuse(reader, "Z closes the line, but an edge is open: draw its last stretch "
                              "and leave Z out");
    if (c == '\0' || !strchr("LlHhVvCcSsQqTtAa", c))
        return refuse(reader, "a command is due here: L, H, V, C, S, Q, T or A");
    reader->command = c;
    reader->at++;
    skip_blanks(reader);
    return true;
}

static bool starts_number(char c)
{
    return is_digit(c) || c == '-' || c == '+' || c == '.';
}

static bool read_start(Reader *reader)
{
    double v[2];

    skip_blanks(reader);
    reader->token = reader->at;
    if (peek(reader) != 'M' && peek(reader) != 'm')
        return refuse(reader, "path data begin with M and the point to start from");
    reader->command = peek(reader) == 'M' ? 'L' : 'l';
    reader->before = 'M';
    reader->at++;
    skip_blanks(reader);
    if (!read_numbers(reader, v, 2))
        return false;
    reader->pen = (Point){v[0], v[1]};
    return true;
}

static bool read_all(Reader *reader)
{
    if (!read_start(reader))
        return false;
    for (;;) {
        bool comma = skip_separator(reader);
        bool more = comma || starts_number(peek(reader));
        if (reader->at >= reader->length && !comma)
            break;
        if ((!more && !read_command(reader)) || !read_piece(reader))
            return false;
    }
    reader->token = 0;
    return reader->count > 0 || refuse(reader, "nothing is drawn: the line has no length");
}

bool path_read(Arena *arena, const char *text, size_t length, Path *path, size_t *offset,
               Text *problem)
{
    Reader reader = {.arena = arena, .text = text, .length = length, .problem = problem};

    bool read = read_all(&reader);
    *offset = reader.token;
    *path = (Path){reader.pieces, reader.count};
    return read;
}

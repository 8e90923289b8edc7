/* Reads and writes values with unit and tolerance as files write them.
 * For the YAML readers, the rule compiler and everything that shows values. */
#include "quantity/quantity.h"

#include <math.h>
#include <string.h>

#include "base/message.h"

enum {
    DIGITS_BEFORE = 9,
    DIGITS_AFTER = 6,
    DIGITS_FRACTION = 4, /* of a numerator or denominator: 13 digits over 4 stay exact */
    DIGITS_SHOWN = 6
};

static const char plus_minus_sign[] = "\xC2\xB1"; /* ± */
static const char true_minus[] = "\xE2\x88\x92";  /* U+2212 */

/* A number as a quotient of whole numbers, so that 0.1, 3/16 in and 10 /in are
 * rounded once, by the one division that ends reading. A quotient of two
 * doubles that are exact is the double nearest the true value; up to 15 digits
 * are. That, and no strtod, is what makes reading the same in every locale. */
typedef struct Number {
    double above, below;
} Number;

/* ---- numbers ---- */

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static size_t skip_blanks(const char *text, size_t length, size_t at)
{
    while (at < length && is_blank(text[at]))
        at++;
    return at;
}

static size_t skip_digits(const char *text, size_t length, size_t at)
{
    while (at < length && is_digit(text[at]))
        at++;
    return at;
}

/* Adds the text in double quotes, shortened and made safe for a terminal. */
static void echo(Text *problem, const char *text, size_t length)
{
    Quoted cut = quoted_bytes(text, length);

    text_add(problem, "\"");
    text_add_visible(problem, cut.text, strlen(cut.text));
    text_add(problem, "\"");
}

/* The word that begins at `at`: up to a blank. */
static void echo_word(Text *problem, const char *text, size_t length, size_t at)
{
    size_t end = at;
    while (end < length && !is_blank(text[end]))
        end++;
    echo(problem, text + at, end - at);
}

static double digits_value(const char *text, size_t from, size_t to)
{
    double value = 0;
    for (size_t i = from; i < to; i++)
        value = value * 10 + (text[i] - '0');
    return value;
}

/* No digit at the start. */
static size_t refuse_start(const char *text, size_t length, Text *problem)
{
    if (length > 1 && text[0] == '.' && is_digit(text[1])) {
        echo_word(problem, text, length, 0);
        text_add(problem, " has no digit before the point: write 0");
        text_add_bytes(problem, text, skip_digits(text, length, 1));
    } else if (length > 0) {
        echo_word(problem, text, length, 0);
        text_add(problem, " is no number: write a decimal such as 4 or 0.5, "
                          "or unknown where the value is not known");
    } else {
        text_add(problem, "a number is missing");
    }
    return 0;
}

/* 010: leading zeros. 0x1f, 0b1, 0o7: another base. */
static size_t refuse_zero(const char *text, size_t length, Text *problem)
{
    size_t digits = skip_digits(text, length, 0), end = digits, start = 0;

    echo_word(problem, text, length, 0);
    if (digits == 1) {
        text_add(problem, " is no decimal number: write it with the digits 0 to 9 only");
        return 0;
    }
    while (start + 1 < digits && text[start] == '0')
        start++;
    if (end + 1 < length && text[end] == '.' && is_digit(text[end + 1]))
        end = skip_digits(text, length, end + 1);
    text_add(problem, " begins with a needless zero: write ");
    text_add_bytes(problem, text + start, end - start);
    return 0;
}

/* 1_000: the same without what separates the digits. */
static size_t refuse_separated(const char *text, size_t length, Text *problem)
{
    echo_word(problem, text, length, 0);
    text_add(problem, " has a separator between its digits: write ");
    for (size_t i = 0; i < length && (is_digit(text[i]) || text[i] == '_'); i++)
        if (text[i] != '_')
            text_add_bytes(problem, text + i, 1);
    return 0;
}

static size_t refuse_word(const char *text, size_t length, const char *because, Text *problem)
{
    echo_word(problem, text, length, 0);
    text_add(problem, because);
    return 0;
}

static bool is_exponent(const char *text, size_t length, size_t at)
{
    if (at + 1 >= length || (text[at] != 'e' && text[at] != 'E'))
        return false;
    if (is_digit(text[at + 1]))
        return true;
    return at + 2 < length && (text[at + 1] == '+' || text[at + 1] == '-') &&
           is_digit(text[at + 2]);
}

/* A point that is not the first of "..". */
static bool is_point(const char *text, size_t length, size_t at)
{
    return at < length && text[at] == '.' && !(at + 1 < length && text[at + 1] == '.');
}

/* 010, or 0x1f, 0b1, 0o7: a digit or letter goes on after a first zero. */
static bool starts_with_needless_zero(const char *text, size_t length)
{
    if (length < 2 || text[0] != '0')
        return false;
    if (is_digit(text[1]))
        return true;
    return length > 2 && text[1] != '\0' && strchr("xXbBoO", text[1]) &&
           (is_digit(text[2]) || is_letter(text[2]));
}

/* The digits after the point at `point`; returns where they end. */
static size_t decimals(const char *text, size_t length, size_t point, Number *number, Text *problem)
{
    size_t end = skip_digits(text, length, point + 1);

    if (end == point + 1)
        return refuse_word(text, length, " has no digit after the point", problem);
    if (end - point - 1 > DIGITS_AFTER)
        return refuse_word(text, length, " has more than 6 digits after the point", problem);
    if (is_point(text, length, end))
        return refuse_word(text, length, " has two points", problem);
    for (size_t i = point + 1; i < end; i++) {
        number->above = number->above * 10 + (text[i] - '0');
        number->below *= 10;
    }
    return end;
}

/* digits [ "." digits ]; returns the bytes used. */
static size_t plain_decimal(const char *text, size_t length, Number *number, Text *problem)
{
    size_t end = skip_digits(text, length, 0);

    if (end == 0)
        return refuse_start(text, length, problem);
    if (starts_with_needless_zero(text, length))
        return refuse_zero(text, length, problem);
    if (end > DIGITS_BEFORE)
        return refuse_word(text, length, " has more than 9 digits before the point", problem);
    *number = (Number){digits_value(text, 0, end), 1};
    if (is_point(text, length, end))
        end = decimals(text, length, end, number, problem);
    if (end == 0)
        return 0;
    if (end < length && text[end] == '_')
        return refuse_separated(text, length, problem);
    if (is_exponent(text, length, end))
        return refuse_word(text, length, " has an exponent: write the number out in digits",
                           problem);
    return end;
}

/* The numerator begins at `from` and its "/" stands at `slash`. */
static size_t fraction(const char *text, size_t length, size_t from, size_t slash, double whole,
                       Number *number, Text *problem)
{
    size_t end = skip_digits(text, length, slash + 1);
    double above = digits_value(text, from, slash), below = digits_value(text, slash + 1, end);

    if (slash - from > DIGITS_FRACTION || end - slash - 1 > DIGITS_FRACTION)
        return refuse_word(text + from, length - from,
                           " has more than 4 digits above or below the line", problem);
    if (text[slash + 1] == '0' || (text[from] == '0' && slash - from > 1))
        return refuse_word(text + from, length - from,
                           below > 0 ? " begins with a needless zero" : " divides by zero",
                           problem);
    if (from > 0 && above >= below)
        return refuse_word(text + from, length - from,
                           " after a whole number has to be less than 1", problem);
    number->above = whole * below + above;
    number->below = below;
    return end;
}

/* decimal | integer "/" integer | integer integer "/" integer */
static size_t number_read(const char *text, size_t length, bool fractions, Number *number,
                          Text *problem)
{
    size_t end = plain_decimal(text, length, number, problem);

    if (end == 0 || !fractions)
        return end;
    if (end + 1 < length && text[end] == '/' && is_digit(text[end + 1])) {
        if (number->below > 1)
            return refuse_word(text, length, " is a fraction of decimals: write whole numbers",
                               problem);
        return fraction(text, length, 0, end, 0, number, problem);
    }
    size_t from = skip_blanks(text, length, end), slash = skip_digits(text, length, from);
    if (from > end && slash > from && slash + 1 < length && text[slash] == '/' &&
        is_digit(text[slash + 1]) && number->below == 1)
        return fraction(text, length, from, slash, number->above, number, problem);
    return end;
}

size_t decimal_read(const char *text, size_t length, bool fractions, double *value, Text *problem)
{
    Number number;
    size_t used = number_read(text, length, fractions, &number, problem);

    if (used > 0)
        *value = number.above / number.below;
    return used;
}

/* ---- what a field accepts, in words ---- */

static bool is_angle(const Unit *unit)
{
    return unit && (strcmp(unit->name, "deg") == 0 || strcmp(unit->name, "rad") == 0);
}

static bool is_number_per_length(const Unit *unit)
{
    return dimension_equal(unit->dimension, dimension_over(DIMENSION_NONE, DIMENSION_LENGTH));
}

/* "4 mm" or "4..5 mm": a value that the field would take. */
static void add_sample(Text *problem, const QuantityForm *form)
{
    static const struct {
        const char *unit, *number, *more;
    } samples[] = {
        {"°C",   "95",  "120"},
        {"K",     "5",   "10" },
        {"%",     "22",  "30" },
        {"deg",   "90",  "180"},
        {"rad",   "1.5", "3"  },
        {"tex",   "70",  "90" },
        {"Nm",    "90",  "120"},
        {"N",     "180", "200"},
        {"N/mm",  "3",   "5"  },
        {"s",     "20",  "30" },
        {"g/m2",  "300", "400"},
        {"g/cm3", "0.6", "0.8"},
    };
    const char *number = "4", *more = "5";

    for (size_t i = 0; form->shown && i < sizeof samples / sizeof *samples; i++)
        if (strcmp(form->shown->name, samples[i].unit) == 0) {
            number = samples[i].number;
            more = samples[i].more;
        }
    text_add(problem, number);
    if (form->range)
        text_addf(problem, "..%s", more);
    if (form->shown)
        text_addf(problem, " %s", form->shown->name);
}

/* "a length such as 4 mm" */
static void add_expected(Text *problem, const QuantityForm *form)
{
    if (form->needle)
        text_add(problem, "a needle size");
    else if (form->whole)
        text_add(problem, "a whole number");
    else if (form->bare)
        text_add(problem, "a plain number");
    else if (is_angle(form->shown))
        text_add(problem, "an angle");
    else
        text_addf(problem, "a %s", dimension_name(form->dimension, form->point));
    text_add(problem, form->range ? " or range such as " : " such as ");
    add_sample(problem, form);
    if (form->reciprocal && !form->range)
        text_add(problem, ", or stitches per length such as 10 /in");
}

/* ---- units ---- */

/* What people write and what this program takes instead. */
static const struct {
    const char *wrote, *take;
} spellings[] = {
    {"inch",         "in"   },
    {"inches",       "in"   },
    {"\"",           "in"   },
    {"\xE2\x80\xB3", "in"   },
    {"MM",           "mm"   },
    {"CM",           "cm"   },
    {"IN",           "in"   },
    {"millimetre",   "mm"   },
    {"millimeter",   "mm"   },
    {"percent",      "%"    },
    {"C",            "°C"  },
    {"c",            "°C"  },
    {"\xE2\x84\x83", "°C"  },
    {"degree",       "deg"  },
    {"degrees",      "deg"  },
    {"nm",           "Nm"   },
    {"NM",           "Nm"   },
    {"n",            "N"    },
    {"sec",          "s"    },
    {"mins",         "min"  },
    {"minutes",      "min"  },
    {"spi",          "/in"  },
    {"SPI",          "/in"  },
    {"spcm",         "/cm"  },
    {"per in",       "/in"  },
    {"per inch",     "/in"  },
    {"/inch",        "/in"  },
    {"per cm",       "/cm"  },
    {"g/cm\xC2\xB3", "g/cm3"},
    {"g/m\xC2\xB2",  "g/m2" },
    {"gsm",          "g/m2" },
    {"kg/m\xC2\xB3", "kg/m3"},
    {"k",            "K"    },
};

/* The unit that was meant, or NULL. */
static const char *unit_meant(const char *name, size_t length)
{
    const char *names[64];
    char word[16];
    size_t count;
    const Unit *units = unit_table(&count);

    for (size_t i = 0; i < sizeof spellings / sizeof *spellings; i++)
        if (strlen(spellings[i].wrote) == length && memcmp(spellings[i].wrote, name, length) == 0)
            return spellings[i].take;
    if (length >= sizeof word || count > sizeof names / sizeof *names)
        return NULL;
    memcpy(word, name, length);
    word[length] = '\0';
    for (size_t i = 0; i < count; i++)
        names[i] = units[i].name;
    return nearest_word(word, names, count);
}

static void refuse_unit_name(const char *name, size_t length, const QuantityForm *form,
                             Text *problem)
{
    const char *meant = unit_meant(name, length);

    text_add(problem, "unknown unit ");
    echo(problem, name, length);
    if (meant)
        text_addf(problem, ", did you mean \"%s\"? Expected ", meant);
    else
        text_add(problem, ": expected ");
    add_expected(problem, form);
}

/* Whether a value (not a tolerance) may be written in this unit. */
static bool unit_fits(const Unit *unit, const QuantityForm *form)
{
    if (unit->needle)
        return form->needle;
    if (form->reciprocal && is_number_per_length(unit))
        return true;
    if (!dimension_equal(unit->dimension, form->dimension))
        return false;
    if (dimension_equal(unit->dimension, DIMENSION_TEMPERATURE))
        return unit->point == form->point;
    if (dimension_equal(unit->dimension, DIMENSION_NONE))
        return is_angle(unit) == is_angle(form->shown);
    return true;
}

static void refuse_unit(const Unit *unit, const QuantityForm *form, Text *problem)
{
    text_addf(problem, "\"%s\" does not fit: ", unit->name);
    if (unit->needle && dimension_equal(form->dimension, DIMENSION_TEX))
        text_add(problem, "Nm is a needle size here, and 1000 divided by a metric count is "
                          "the thread's tex; ");
    else if (unit->needle)
        text_add(problem, "Nm is a needle size; ");
    else if (form->point && strcmp(unit->name, "K") == 0)
        text_add(problem, "K is a difference of temperatures; ");
    else if (unit->point && dimension_equal(form->dimension, DIMENSION_TEMPERATURE))
        text_add(problem, "°C is a point on the scale, a difference is given in K; ");
    text_add(problem, "expected ");
    add_expected(problem, form);
}

/* ---- reading ---- */

typedef enum Form { FORM_ONE, FORM_PLUS_MINUS, FORM_PLUS_AND_MINUS, FORM_FROM_TO } Form;

/* A number as written and its unit; `unit` NULL where none was written. */
typedef struct Piece {
    Number number;
    const Unit *unit;
} Piece;

/* What has been read of one quantity. */
typedef struct Reading {
    const char *text;
    size_t length, at;
    const QuantityForm *form;
    Text *problem;
    Form shape;
    Piece pieces[3];
    int count;
    bool exactly;
} Reading;

static bool starts(const Reading *r, const char *word)
{
    size_t n = strlen(word);
    return r->length - r->at >= n && memcmp(r->text + r->at, word, n) == 0;
}

static void next_blanks(Reading *r)
{
    r->at = skip_blanks(r->text, r->length, r->at);
}

static bool take(Reading *r, const char *word)
{
    if (!starts(r, word))
        return false;
    r->at += strlen(word);
    next_blanks(r);
    return true;
}

static bool starts_tolerance(const Reading *r)
{
    return starts(r, plus_minus_sign) || starts(r, "+") || starts(r, "..");
}

/* 1,5 and 12:30 and their like: what directly follows a number and shows that
 * it was meant otherwise. */
static bool refuse_continuation(Reading *r, size_t start)
{
    const char *text = r->text;
    size_t at = r->at, end;

    if (at + 1 >= r->length || (text[at] != ',' && text[at] != ':') || !is_digit(text[at + 1]))
        return false;
    end = skip_digits(text, r->length, at + 1);
    echo_word(r->problem, text, r->length, start);
    if (text[at] == ':') {
        text_add(r->problem, " is no number: write one decimal with its unit, expected ");
        add_expected(r->problem, r->form);
        return true;
    }
    text_add(r->problem, " has a comma: write ");
    text_add_bytes(r->problem, text + start, at - start);
    text_add(r->problem, ".");
    text_add_bytes(r->problem, text + at + 1, end - at - 1);
    if (end - at - 1 == 3) {
        text_add(r->problem, " or ");
        text_add_bytes(r->problem, text + start, at - start);
        text_add_bytes(r->problem, text + at + 1, 3);
    }
    return true;
}

/* 90/14: a needle's metric size and, behind the line, an older one. Two whole
 * numbers, the second of two digits, for which a fraction is never meant. */
static bool refuse_needle_pair(Reading *r)
{
    enum { METRIC_LEAST = 30, METRIC_MOST = 400, OLDER_DIGITS = 2 };
    size_t slash = skip_digits(r->text, r->length, r->at), end;
    double metric;

    if (!r->form->needle || slash == r->at || slash == r->length || r->text[slash] != '/')
        return false;
    end = skip_digits(r->text, r->length, slash + 1);
    metric = digits_value(r->text, r->at, slash);
    if (metric < METRIC_LEAST || metric > METRIC_MOST || end == slash + 1 ||
        end - slash - 1 > OLDER_DIGITS)
        return false;
    echo(r->problem, r->text + r->at, end - r->at);
    text_add(r->problem, " gives one needle in two numberings: write ");
    text_add_bytes(r->problem, r->text + r->at, slash - r->at);
    text_add(r->problem, " Nm");
    return true;
}

/* "tkt", "Ticket", with a point or not. */
static bool is_ticket(const char *text, size_t length)
{
    static const char *const words[] = {"tkt", "ticket"};

    while (length > 0 && (is_blank(text[length - 1]) || text[length - 1] == '.'))
        length--;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        size_t n = 0;
        while (n < length && words[i][n] && (text[n] | 0x20) == words[i][n])
            n++;
        if (n == length && !words[i][n])
            return true;
    }
    return false;
}

/* Tkt 60: thread by its metric ticket, which is 3000 divided by tex (that is,
 * three times the metric count). */
static bool refuse_ticket(const Reading *r)
{
    size_t start = 0, end, after;
    double ticket;

    if (!dimension_equal(r->form->dimension, DIMENSION_TEX))
        return false;
    while (start < r->length && !is_digit(r->text[start]))
        start++;
    end = skip_digits(r->text, r->length, start);
    after = skip_blanks(r->text, r->length, end);
    ticket = digits_value(r->text, start, end);
    if (!(is_ticket(r->text, start) && after == r->length) &&
        !(start == 0 && is_ticket(r->text + after, r->length - after)))
        return false;
    echo(r->problem, r->text, r->length);
    text_add(r->problem, " is a ticket number, and tex is due: 3000 divided by a metric ticket");
    if (ticket > 0) {
        text_add(r->problem, ", here ");
        text_add_number(r->problem, 3000 / ticket, 3);
        text_add(r->problem, " tex");
    }
    return true;
}

/* A unit up to a blank or a tolerance; none is no error here. */
static bool read_unit(Reading *r, const Unit **unit)
{
    size_t start = r->at, end;

    *unit = NULL;
    while (r->at < r->length && !is_blank(r->text[r->at]) && !starts_tolerance(r))
        r->at++;
    end = r->at;
    next_blanks(r);
    if (end == start)
        return true;
    *unit = unit_find(r->text + start, end - start);
    if (*unit)
        return true;
    if (r->at < r->length && !starts_tolerance(r))
        end = r->length; /* "per inch": the whole rest was meant */
    refuse_unit_name(r->text + start, end - start, r->form, r->problem);
    return false;
}

static bool read_piece(Reading *r, bool may_be_negative)
{
    Piece *piece = &r->pieces[r->count];
    size_t start = r->at, used;
    bool negative = false;

    if (starts(r, true_minus)) {
        text_add(r->problem, "the minus sign is U+2212: write it as \"-\"");
        return false;
    }
    if (refuse_needle_pair(r))
        return false;
    if (may_be_negative && starts(r, "-")) {
        negative = true;
        r->at++;
    } else if (starts(r, "-") || starts(r, "+")) {
        echo_word(r->problem, r->text, r->length, r->at);
        text_add(r->problem, " has a sign that has no place here: write the number alone");
        return false;
    }
    used = number_read(r->text + r->at, r->length - r->at, true, &piece->number, r->problem);
    if (used == 0)
        return false;
    r->at += used;
    if (refuse_continuation(r, start))
        return false;
    if (negative && piece->number.above > 0)
        piece->number.above = -piece->number.above;
    next_blanks(r);
    r->count++;
    /* "4 -0.1 …" is a lower tolerance, not a unit. */
    return starts(r, "-") || read_unit(r, &piece->unit);
}

/* After the first number: a tolerance, the other end, or nothing. */
static bool read_tolerance(Reading *r)
{
    if (take(r, plus_minus_sign) || take(r, "+/-") || take(r, "+-")) {
        r->shape = FORM_PLUS_MINUS;
        return read_piece(r, false);
    }
    if (take(r, "..")) {
        r->shape = FORM_FROM_TO;
        return read_piece(r, true);
    }
    if (take(r, "+")) {
        r->shape = FORM_PLUS_AND_MINUS;
        if (!read_piece(r, false))
            return false;
        if (take(r, "-"))
            return read_piece(r, false);
    }
    if (r->shape == FORM_ONE && !starts(r, "-"))
        return true;
    text_add(r->problem, "a tolerance with two sides is written +0.3 -0.1, upper side first, "
                         "and a range 1.3..1.5");
    return false;
}

/* "tex 70", "Nm 90": the unit in front. */
static const Unit *take_unit_before(Reading *r)
{
    static const char *const before[] = {"tex", "Nm"};
    for (size_t i = 0; i < sizeof before / sizeof *before; i++) {
        size_t n = strlen(before[i]);
        if (starts(r, before[i]) && r->at + n < r->length &&
            (is_blank(r->text[r->at + n]) || is_digit(r->text[r->at + n]))) {
            take(r, before[i]);
            return unit_find(before[i], n);
        }
    }
    return NULL;
}

static bool read_words(Reading *r)
{
    const Unit *before;

    r->exactly = starts(r, "exactly ") && take(r, "exactly");
    before = take_unit_before(r);
    if (!read_piece(r, true) || !read_tolerance(r))
        return false;
    if (r->at < r->length) {
        text_add(r->problem, "unexpected ");
        echo(r->problem, r->text + r->at, r->length - r->at);
        text_add(r->problem, " after the value: expected ");
        add_expected(r->problem, r->form);
        return false;
    }
    if (!before)
        return true;
    for (int i = 0; i < r->count; i++) {
        if (r->pieces[i].unit) {
            text_addf(r->problem, "two units, \"%s\" and \"%s\": write one", before->name,
                      r->pieces[i].unit->name);
            return false;
        }
        r->pieces[i].unit = before;
    }
    return true;
}

/* ---- units and tolerances that belong together ---- */

static void add_number(Text *text, Number number)
{
    text_add_number(text, number.above / number.below, DIGITS_SHOWN);
}

static bool is_percent(const Unit *unit)
{
    return unit && strcmp(unit->name, "%") == 0;
}

/* Per cent of the value, as in 4 mm ± 5 %. Of a value in per cent, ± 5 % means
 * five of the hundred, which is fine. */
static bool tolerance_is_percent(const Reading *r)
{
    return r->count > 1 && r->shape != FORM_FROM_TO && !is_percent(r->pieces[0].unit) &&
           !is_percent(r->form->shown) &&
           (is_percent(r->pieces[1].unit) || is_percent(r->pieces[r->count - 1].unit));
}

/* Says what the per cent are in the value's own unit. */
static void refuse_percent(const Reading *r)
{
    Text *problem = r->problem;
    const Piece *value = &r->pieces[0], *tolerance = &r->pieces[1];
    const Unit *unit = value->unit            ? value->unit
                       : r->form->bare_length ? r->form->bare_length
                                              : r->form->shown;
    Number part = {fabs(value->number.above) * tolerance->number.above,
                   value->number.below * tolerance->number.below * 100};

    text_add(problem, "a tolerance is given in the value's own unit, not in per cent");
    if (r->shape != FORM_PLUS_MINUS)
        return;
    text_add(problem, ": write ");
    add_number(problem, value->number);
    text_add(problem, " ± ");
    add_number(problem, part);
    if (unit)
        text_addf(problem, " %s", unit->name);
}

static bool may_stand_bare(const QuantityForm *form)
{
    return form->bare || form->whole;
}

static void refuse_missing_unit(const Reading *r)
{
    const QuantityForm *form = r->form;

    text_add(r->problem, "the unit is missing: write ");
    text_add_visible(r->problem, r->text, r->length);
    if (form->shown)
        text_addf(r->problem, " %s", form->shown->name);
    if (form->reciprocal)
        text_add(r->problem, " or stitches per length such as 4 /cm");
}

/* Does the settled unit of piece i suit the field and the first piece? */
static bool check_unit(const Reading *r, int i)
{
    const QuantityForm *form = r->form;
    const Unit *first = r->pieces[0].unit, *unit = r->pieces[i].unit;

    if (!unit) {
        if (!may_stand_bare(form))
            refuse_missing_unit(r);
        return may_stand_bare(form);
    }
    /* A tolerance of °C is a difference whether it says °C or K. */
    if (i > 0 && r->shape != FORM_FROM_TO &&
        dimension_equal(form->dimension, DIMENSION_TEMPERATURE) &&
        dimension_equal(unit->dimension, DIMENSION_TEMPERATURE))
        return true;
    if (!unit_fits(unit, form)) {
        refuse_unit(unit, form, r->problem);
        return false;
    }
    if (!dimension_equal(unit->dimension, first->dimension)) {
        text_addf(r->problem, "\"%s\" and \"%s\" do not go together: write one unit", first->name,
                  unit->name);
        return false;
    }
    return true;
}

/* Gives every piece its unit: the last one's where it has none of its own. */
static bool settle_units(Reading *r)
{
    const QuantityForm *form = r->form;
    const Unit *last = r->pieces[r->count - 1].unit;

    if (!last && form->bare_length && !form->needle &&
        dimension_equal(form->dimension, DIMENSION_LENGTH))
        last = form->bare_length;
    if (tolerance_is_percent(r)) {
        refuse_percent(r);
        return false;
    }
    for (int i = 0; i < r->count; i++)
        if (!r->pieces[i].unit)
            r->pieces[i].unit = last;
    for (int i = 0; i < r->count; i++)
        if (!check_unit(r, i))
            return false;
    return true;
}

/* Is the shape one that the field takes? */
static bool check_shape(const Reading *r)
{
    const QuantityForm *form = r->form;

    if (r->exactly && r->shape != FORM_ONE)
        text_add(r->problem, "\"exactly\" and a tolerance exclude each other: write one of them");
    else if (form->range && (r->exactly || (r->shape != FORM_ONE && r->shape != FORM_FROM_TO)))
        text_add(r->problem, "a range of settings takes no tolerance");
    else if (form->whole && !form->range && r->shape != FORM_ONE)
        text_add(r->problem, "a whole number takes no tolerance");
    else
        return true;
    text_add(r->problem, "; expected ");
    add_expected(r->problem, form);
    return false;
}

static Number in_base(const Piece *piece)
{
    const Unit *unit = piece->unit;
    if (!unit)
        return piece->number;
    return (Number){piece->number.above * unit->numerator, piece->number.below * unit->denominator};
}

/* a + sign·b */
static Number number_sum(Number a, Number b, double sign)
{
    if (a.below == b.below)
        return (Number){a.above + sign * b.above, a.below};
    return (Number){a.above * b.below + sign * b.above * a.below, a.below * b.below};
}

static double quotient(Number number)
{
    double value = number.above / number.below;
    return value == 0 ? 0 : value; /* no negative zero */
}

/* Stitches per length into stitch length: the most stitches are the shortest. */
static bool turn_over(Number *lo, Number *nominal, Number *hi, Text *problem)
{
    Number least = *lo;

    if (lo->above <= 0) {
        text_add(problem, "stitches per length have to be more than 0 throughout");
        return false;
    }
    *lo = (Number){hi->below, hi->above};
    *hi = (Number){least.below, least.above};
    *nominal = (Number){nominal->below, nominal->above};
    return true;
}

static bool is_whole(const Quantity *quantity)
{
    return floor(quantity->lo) == quantity->lo && floor(quantity->hi) == quantity->hi;
}

/* The three numbers in base units. */
static bool convert(const Reading *r, Quantity *quantity)
{
    Number nominal = in_base(&r->pieces[0]), lo = nominal, hi = nominal;

    if (r->shape == FORM_PLUS_MINUS || r->shape == FORM_PLUS_AND_MINUS) {
        hi = number_sum(nominal, in_base(&r->pieces[1]), 1);
        lo = number_sum(nominal, in_base(&r->pieces[r->count - 1]), -1);
    } else if (r->shape == FORM_FROM_TO) {
        hi = in_base(&r->pieces[1]);
        if (quotient(lo) > quotient(hi)) {
            text_add(r->problem, "the lesser value comes first: write ");
            add_number(r->problem, r->pieces[1].number);
            text_add(r->problem, "..");
            add_number(r->problem, r->pieces[0].number);
            return false;
        }
    }
    if (r->pieces[0].unit && is_number_per_length(r->pieces[0].unit) && r->form->reciprocal &&
        !turn_over(&lo, &nominal, &hi, r->problem))
        return false;
    if (r->shape == FORM_FROM_TO) {
        nominal = number_sum(lo, hi, 1);
        nominal.below *= 2;
    }
    quantity->lo = quotient(lo);
    quantity->hi = quotient(hi);
    quantity->nominal = r->form->range ? (double)NAN : quotient(nominal);
    quantity->tolerance = r->form->range || r->exactly ? TOLERANCE_EXACT
                          : r->shape == FORM_ONE       ? TOLERANCE_UNSAID
                                                       : TOLERANCE_GIVEN;
    if (!r->form->whole || is_whole(quantity))
        return true;
    echo(r->problem, r->text, r->length);
    text_add(r->problem, " is no whole number");
    return false;
}

static bool refuse_question(const Reading *r)
{
    static const char *const meant[] = {"?",   "??",  "???", "Unknown", "UNKNOWN", "unkown",
                                        "tbd", "TBD", "n/a", "~",       "null",    "none"};
    for (size_t i = 0; i < sizeof meant / sizeof *meant; i++)
        if (strlen(meant[i]) == r->length && starts(r, meant[i])) {
            echo(r->problem, r->text, r->length);
            text_add(r->problem, " is no value: write unknown where it is not known yet");
            return true;
        }
    return false;
}

bool quantity_read(const char *text, size_t length, const QuantityForm *form, Quantity *quantity,
                   Text *problem)
{
    size_t start = skip_blanks(text, length, 0);

    while (length > start && is_blank(text[length - 1]))
        length--;
    Reading r = {.text = text + start, .length = length - start, .form = form, .problem = problem};
    *quantity = (Quantity){(double)NAN, (double)NAN, (double)NAN, TOLERANCE_UNSAID, true};
    if (r.length == strlen("unknown") && starts(&r, "unknown"))
        return true;
    if (r.length == 0) {
        text_add(problem, "the value is missing: expected ");
        add_expected(problem, form);
        text_add(problem, ", or unknown");
        return false;
    }
    quantity->unknown = false;
    return !refuse_question(&r) && !refuse_ticket(&r) && read_words(&r) && check_shape(&r) && settle_units(&r) &&
           convert(&r, quantity);
}

/* ---- writing ---- */

void quantity_write(Text *text, const Quantity *quantity, const QuantityForm *form)
{
    const Unit *unit = form->shown;
    double scale = unit ? unit_from_base(unit, 1) : 1;
    double nominal = quantity->nominal * scale;
    double lo = quantity->lo * scale, hi = quantity->hi * scale;

    if (quantity->unknown) {
        text_add(text, "unknown");
        return;
    }
    text_add_number(text, form->range ? lo : nominal, DIGITS_SHOWN);
    if (form->range && lo < hi) {
        text_add(text, "..");
        text_add_number(text, hi, DIGITS_SHOWN);
    } else if (!form->range && quantity->tolerance == TOLERANCE_GIVEN) {
        double above = hi - nominal, below = nominal - lo;
        if (fabs(above - below) <= 1e-9 * fmax(fabs(lo), fabs(hi))) {
            text_add(text, " ± ");
            text_add_number(text, (above + below) / 2, DIGITS_SHOWN);
        } else {
            text_add(text, " +");
            text_add_number(text, above, DIGITS_SHOWN);
            text_add(text, " -");
            text_add_number(text, below, DIGITS_SHOWN);
        }
    }
    if (unit) {
        text_add(text, " ");
        text_add(text, unit->name);
    }
}

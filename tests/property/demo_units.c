/* The shipped styles written in other units (centimetres, exact fractions of an
 * inch, stitches per length, tex in front, degC) are the same styles: same
 * verdicts in every lane, same spares. */
#include <math.h>
#include <stdio.h>

#include "property/demo_support.h"

/* A number of a quantity as written: digits without the point, and how many
 * stood after it. */
typedef struct Written {
    long long digits;
    int decimals;
    size_t length; /* bytes */
} Written;

/* How a text is written anew; false leaves it as it is. */
typedef bool Rewrite(const char *text, const char *key, Text *to);

static bool read_decimal(const char *text, Written *number)
{
    *number = (Written){0};
    bool point = false;
    for (; (text[number->length] >= '0' && text[number->length] <= '9') ||
           (text[number->length] == '.' && !point && text[number->length + 1] >= '0' &&
            text[number->length + 1] <= '9');
         number->length++) {
        char c = text[number->length];
        if (c == '.') {
            point = true;
            continue;
        }
        number->digits = number->digits * 10 + (c - '0');
        number->decimals += point;
    }
    return number->length > 0;
}

static long long power_of_ten(int exponent)
{
    long long power = 1;
    while (exponent-- > 0)
        power *= 10;
    return power;
}

static void write_decimal(Text *to, long long digits, int decimals)
{
    long long scale = power_of_ten(decimals);
    text_addf(to, "%lld", digits / scale);
    if (decimals > 0)
        text_addf(to, ".%0*lld", decimals, digits % scale);
}

/* A fraction of at most four digits above and below, whole ones in front. */
static bool write_fraction(Text *to, long long above, long long below)
{
    long long a = above, b = below;
    while (b) {
        long long rest = a % b;
        a = b;
        b = rest;
    }
    above /= a ? a : 1;
    below /= a ? a : 1;
    if (below == 1) {
        text_addf(to, "%lld", above);
        return true;
    }
    if (above > below)
        text_addf(to, "%lld ", above / below);
    text_addf(to, "%lld/%lld", above % below, below);
    return below <= 9999;
}

static const char *unit_at_end(const char *text, const char *unit)
{
    size_t length = strlen(text), size = strlen(unit);
    if (length <= size + 1 || strcmp(text + length - size, unit) != 0 ||
        text[length - size - 1] != ' ')
        return NULL;
    return text + length - size - 1;
}

/* Every number of the text by `number`, all else but the unit as it stands. */
static bool rewrite_numbers(const char *text, const char *from, const char *unit, Text *to,
                            bool (*number)(Text *, const Written *))
{
    const char *end = unit_at_end(text, from);
    if (!end || strchr(text, '/'))
        return false;
    for (const char *at = text; at < end;) {
        Written written;
        if (!read_decimal(at, &written)) {
            text_add_bytes(to, at++, 1);
            continue;
        }
        if (!number(to, &written))
            return false;
        at += written.length;
    }
    text_addf(to, " %s", unit);
    return true;
}

static bool tenth(Text *to, const Written *number)
{
    write_decimal(to, number->digits, number->decimals + 1);
    return true;
}

/* 1 in is 254/10 mm. */
static bool inches(Text *to, const Written *number)
{
    return write_fraction(to, number->digits * 10, 254 * power_of_ten(number->decimals));
}

static bool in_centimetres(const char *text, const char *key, Text *to)
{
    (void)key;
    return rewrite_numbers(text, "mm", "cm", to, tenth);
}

static bool in_inches(const char *text, const char *key, Text *to)
{
    (void)key;
    return rewrite_numbers(text, "mm", "in", to, inches);
}

/* A pitch of 2.2 mm is 50/11 stitches a centimetre, 12 /in are 600/127. */
static bool in_stitches(const char *text, const char *key, Text *to)
{
    Written number;
    if (strcmp(key, "pitch") != 0 || !read_decimal(text, &number) || number.digits == 0)
        return false;
    const char *rest = text + number.length;
    bool good = strcmp(rest, " mm") == 0
                    ? write_fraction(to, 10 * power_of_ten(number.decimals), number.digits)
                : strcmp(rest, " /in") == 0
                    ? write_fraction(to, number.digits * 100, 254 * power_of_ten(number.decimals))
                    : false;
    text_add(to, " /cm");
    return good;
}

static bool unit_in_front(const char *text, const char *key, Text *to)
{
    static const char *const units[] = {"tex", "Nm"};
    (void)key;
    for (size_t i = 0; i < 2; i++) {
        const char *end = unit_at_end(text, units[i]);
        if (end) {
            text_addf(to, "%s %.*s", units[i], (int)(end - text), text);
            return true;
        }
    }
    return false;
}

static bool in_letters(const char *text, const char *key, Text *to)
{
    (void)key;
    const char *end = unit_at_end(text, "°C");
    const char *sign = strstr(text, " ± ");
    if (end)
        text_addf(to, "%.*s degC", (int)(end - text), text);
    else if (sign)
        text_addf(to, "%.*s +/- %s", (int)(sign - text), text, sign + strlen(" ± "));
    return end || sign;
}

/* Bare lengths of a file whose head says `lengths: mm`. */
static bool in_words(const char *text, const char *key, Text *to)
{
    static const char *const counts[] = {"layer", "pieces", "number", "times", "stitch",
                                         "base",  "from",   "to",     "step"};
    const char *exactly = "exactly ";
    bool exact = strncmp(text, exactly, strlen(exactly)) == 0;
    Written number;
    for (size_t i = 0; i < sizeof counts / sizeof *counts; i++)
        if (strcmp(key, counts[i]) == 0)
            return false;
    const char *start = exact ? text + strlen(exactly) : text;
    if (!read_decimal(start, &number) || start[number.length] != '\0')
        return false;
    text_addf(to, "%s mm", text);
    return true;
}

/* ---- A file written anew ---- */

static size_t rewrite_tree(Arena *arena, YamlNode *node, const char *key, Rewrite *rewrite)
{
    size_t changed = 0;
    for (size_t i = 0; node->kind != YAML_SCALAR && i < node->count; i++)
        changed +=
            rewrite_tree(arena, node->items[i], node->keys ? node->keys[i]->text : key, rewrite);
    if (node->kind != YAML_SCALAR || !node->plain)
        return changed;
    Text text = {0};
    if (rewrite(node->text, key, &text)) {
        node->text = arena_copy(arena, text.bytes, text.length);
        node->length = text.length;
        changed++;
    }
    text_free(&text);
    return changed;
}

static bool close_enough(double a, double b)
{
    return (isnan(a) && isnan(b)) || a == b || fabs(a - b) <= 1e-9 * fmax(fabs(a), fabs(b)) ||
           fabs(a - b) < 1e-12;
}

static void compare_finding(const Finding *one, const Finding *other, uint32_t lanes)
{
    if (one->verdict != other->verdict)
        fail_msg("%s at %s: %s in one unit, %s in another", one->rule->id, one->place,
                 verdict_name(one->verdict), verdict_name(other->verdict));
    if (memcmp(one->lanes, other->lanes, lanes * sizeof *one->lanes) != 0)
        fail_msg("%s at %s: other verdicts in some lane", one->rule->id, one->place);
}

/* Lanes that tie may swap, the spare stays. */
static void compare_spare(const Finding *finding, const Spare *one, const Spare *other)
{
    if (!close_enough(one->amount, other->amount) || !close_enough(one->relative, other->relative))
        fail_msg("%s at %s: spare %.17g in one unit, %.17g in another", finding->rule->id,
                 finding->place, one->amount, other->amount);
}

static void compare(const Judgement *one, const Judgement *other)
{
    assert_int_equal(one->count, other->count);
    assert_int_equal(one->lane_count, other->lane_count);
    const Finding **a = demo_sorted(one), **b = demo_sorted(other);
    for (size_t i = 0; i < one->count; i++) {
        assert_int_equal(demo_order(&a[i], &b[i]), 0);
        compare_finding(a[i], b[i], one->lane_count);
        compare_spare(a[i], finding_spare(one, a[i]), finding_spare(other, b[i]));
    }
    free(a);
    free(b);
}

static size_t try_style(const char *path, const char *alternative, const Ground *ground,
                        Rewrite *rewrite)
{
    Arena arena = {0};
    YamlFile *file = demo_file(&arena, path);
    Judged before = demo_judge(file, alternative, ground);
    size_t changed = rewrite_tree(&arena, file->root, "", rewrite);
    Judged after = demo_judge(file, alternative, ground);
    compare(before.judgement, after.judgement);
    judged_free(&before);
    judged_free(&after);
    arena_free(&arena);
    return changed;
}

/* Each alternative of the big style, and the others as written; at least
 * `least` values were written anew. */
static void try_all(Rewrite *rewrite, size_t least)
{
    static const char *const styles[][2] = {{"styles/skerry.yaml", NULL},
                                            {"styles/skerry.yaml", "turned"},
                                            {"styles/skerry.yaml", "turned-rounded"},
                                            {"styles/fairlead.yaml", NULL},
                                            {"styles/pebble.yaml", NULL}};
    Ground ground = ground_open(DEMO_HARBOUR);
    size_t changed = 0;
    for (size_t i = 0; i < sizeof styles / sizeof *styles; i += demo_stride(1, 3))
        changed += try_style(styles[i][0], styles[i][1], &ground, rewrite);
    assert_true(changed >= least);
    ground_close(&ground);
}

static void centimetres(void **state)
{
    (void)state;
    try_all(in_centimetres, 400);
}

static void fractions_of_an_inch(void **state)
{
    (void)state;
    try_all(in_inches, 400);
}

static void stitches_a_centimetre(void **state)
{
    (void)state;
    try_all(in_stitches, 20);
}

static void tex_and_needle_in_front(void **state)
{
    (void)state;
    try_all(unit_in_front, 40);
}

static void degrees_and_signs_in_letters(void **state)
{
    (void)state;
    try_all(in_letters, 20);
}

static void bare_lengths(void **state)
{
    (void)state;
    Ground ground = ground_open(DEMO_HARBOUR);
    assert_true(try_style("styles/pebble.yaml", NULL, &ground, in_words) > 50);
    ground_close(&ground);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(centimetres),
        cmocka_unit_test(fractions_of_an_inch),
        cmocka_unit_test(stitches_a_centimetre),
        cmocka_unit_test(tex_and_needle_in_front),
        cmocka_unit_test(degrees_and_signs_in_letters),
        cmocka_unit_test(bare_lengths),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

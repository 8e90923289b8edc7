/* Path data that nobody meant: 10,000 malformed strings, always the same ones,
 * and shapes that are hard to measure. Nothing crashes, nothing hangs, and what
 * is taken keeps the promises of path.h and bends.h. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "shape/bends.h"

static uint32_t next(uint32_t *state)
{
    *state = *state * 1664525u + 1013904223u;
    return *state >> 8;
}

static void check_path(const Path *path, const char *data)
{
    for (size_t i = 0; i < path->count; i++) {
        const Point *p = path->pieces[i].p;
        double reach = 0;
        for (int k = 0; k < 4; k++) {
            if (!isfinite(p[k].x) || !isfinite(p[k].y))
                fail_msg("no finite point: %s", data);
            reach = fmax(reach, hypot(p[k].x - p[0].x, p[k].y - p[0].y));
        }
        if (!(reach > 0))
            fail_msg("a piece without extent: %s", data);
        if (i > 0 && memcmp(&path->pieces[i - 1].p[3], &p[0], sizeof *p) != 0)
            fail_msg("a gap: %s", data);
    }
}

static void check_bends(Arena *arena, const Path *path, const char *data)
{
    Bend *bends;
    size_t count = bends_find(arena, path, &bends);
    double length = path_length(path), at = 0;
    if (!isfinite(length))
        fail_msg("length %g: %s", length, data);
    for (size_t i = 0; i < count; i++) {
        const Bend *bend = &bends[i];
        bool sound = bend->turn > 0 && isfinite(bend->turn) &&
                     bend->at >= at - 1e-6 - 1e-9 * length && bend->at <= length * (1 + 1e-9) &&
                     (bend->corner ? bend->radius == 0 && bend->arc == 0
                                   : bend->radius > 0 && bend->radius < 2100 && bend->arc > 0);
        if (!sound)
            fail_msg("bend %zu: R %g turn %g at %g arc %g: %s", i, bend->radius, bend->turn,
                     bend->at, bend->arc, data);
        double radius = bends_stretched(path, bend, (Matrix){1.1, 0, 0, 0.9, 0, 0}).radius;
        double facet = bends_facet(path, bend, 3);
        if (!(radius >= 0) || !isfinite(facet) || facet < 0)
            fail_msg("stretched %g, facet %g: %s", radius, facet, data);
        at = bend->at;
    }
}

static bool try_data(const char *data, size_t length, bool measure)
{
    Arena arena = {0};
    Text problem = {0};
    Path path;
    size_t offset = length + 1;
    bool read = path_read(&arena, data, length, &path, &offset, &problem);
    if (read) {
        check_path(&path, data);
        if (measure)
            check_bends(&arena, &path, data);
    } else if (offset > length || problem.length == 0) {
        fail_msg("refused at %zu of %zu without a reason: %s", offset, length, data);
    }
    text_free(&problem);
    arena_free(&arena);
    return read;
}

/* Pieces of path data in any order, then some bytes changed. */
static void ten_thousand_malformed_strings(void **state)
{
    (void)state;
    static const char *const parts[] = {"M 0 0",
                                        "L 10 5",
                                        "l-3-4",
                                        "C 1 2 3 4 5 6",
                                        "c 9 0 9 9 0 9",
                                        "S 8 1 7 3",
                                        "Q 1 9 4 4",
                                        "t 5 5",
                                        "A 3 4 5 0 1 9 9",
                                        "a1,1 0 01 2,2",
                                        "H 7",
                                        "v-8",
                                        "z",
                                        "M",
                                        "1e",
                                        "1e999",
                                        "-.e3",
                                        "..5",
                                        ",",
                                        ",,",
                                        "0 0",
                                        "nan",
                                        "NaN 0x1p3",
                                        "\xff\xfe",
                                        "A 0 1 0 0 0 1 1",
                                        "a 1e-9 1e6 45 1 1 1e5 1e-5",
                                        "999999 999999",
                                        "\t\n\r",
                                        "C 0 0 0 0 0 0",
                                        "1.2.3.4.5.6"};
    uint32_t seed = 2024;
    size_t taken = 0;
    for (int i = 0; i < 10000; i++) {
        char data[400] = "M 1 1 ";
        size_t length = next(&seed) % 4 ? 6 : 0;
        for (uint32_t k = next(&seed) % 7; k-- > 0;) {
            const char *part = parts[next(&seed) % (sizeof parts / sizeof *parts)];
            memcpy(data + length, part, strlen(part));
            length += strlen(part);
            data[length++] = ' ';
        }
        for (uint32_t k = next(&seed) % 2; k-- > 0 && length > 0;)
            data[next(&seed) % length] = (char)next(&seed);
        data[length] = '\0';
        taken += try_data(data, length, true);
    }
    assert_true(taken > 300 && taken < 9000);
}

/* Every start of a good line. */
static void cut_short_anywhere(void **state)
{
    (void)state;
    static const char data[] = "M 1.5,-2e1 l3 4 h 5 V 6 c 1 2 3 4 5 6 s 7 8 9 10 q 1 2 3 4 t 5 6 "
                               "a 10 20 30 0 1 40 50 A 5 5 0 11 3 4";
    for (size_t length = 0; length < sizeof data; length++)
        try_data(data, length, true);
    assert_false(try_data(data, sizeof data, true)); /* its NUL is no part of a line */
}

static void random_curves_are_measured(void **state)
{
    (void)state;
    uint32_t seed = 7;
    for (int i = 0; i < 400; i++) {
        char data[800];
        int length = snprintf(data, sizeof data, "M 0 0");
        int grid = i % 3 ? 40 : 4; /* coarse ones meet cusps, loops and straights */
        for (int k = 0; k < 5; k++) {
            int v[6];
            for (int j = 0; j < 6; j++)
                v[j] = (int)(next(&seed) % (uint32_t)grid);
            length += snprintf(data + length, sizeof data - (size_t)length, " C%d %d %d %d %d %d",
                               v[0], v[1], v[2], v[3], v[4], v[5]);
        }
        try_data(data, (size_t)length, true);
    }
}

/* Wobbles from end to end of the longest line that is taken. */
static void the_longest_line_is_quick(void **state)
{
    (void)state;
    static const double sizes[] = {1e-3, 0.4, 400};
    for (size_t k = 0; k < 3; k++) {
        Text data = {0};
        uint32_t seed = 5;
        text_add(&data, "M 0 0");
        for (int i = 0; i < PATH_PIECES_MOST; i++)
            text_addf(&data, "c %g %g %g %g %g %g", sizes[k], sizes[k] * (next(&seed) % 9),
                      -sizes[k], sizes[k] * (next(&seed) % 9), sizes[k], sizes[k] / 3);
        clock_t before = clock();
        Arena arena = {0};
        Text problem = {0};
        Path path;
        Bend *bends;
        size_t offset;
        assert_true(path_read(&arena, data.bytes, data.length, &path, &offset, &problem));
        size_t count = bends_find(&arena, &path, &bends);
        double seconds = (double)(clock() - before) / CLOCKS_PER_SEC;
        print_message("2,000 pieces of %g mm: %zu bends, %.3f s\n", sizes[k], count, seconds);
        assert_true(seconds < 10); /* room for sanitizers and valgrind */
        text_free(&data);
        text_free(&problem);
        arena_free(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ten_thousand_malformed_strings),
        cmocka_unit_test(cut_short_anywhere),
        cmocka_unit_test(random_curves_are_measured),
        cmocka_unit_test(the_longest_line_is_quick),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

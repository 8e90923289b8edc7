/* Units and dimensions: every factor, names, lookup, writing. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <string.h>

#include "quantity/unit.h"

static const Unit *unit(const char *name)
{
    const Unit *found = unit_find(name, strlen(name));
    if (!found)
        fail_msg("no unit %s", name);
    return found;
}

static void factors(void **state)
{
    static const struct {
        const char *name;
        double number, base;
    } rows[] = {
        {"mm",    1,    1                     },
        {"cm",    1,    10                    },
        {"m",     1,    1000                  },
        {"in",    1,    25.4                  },
        {"oz",    64,   25.4                  },
        {"%",     22,   0.22                  },
        {"°C",   95,   95                    },
        {"degC",  95,   95                    },
        {"K",     5,    5                     },
        {"rad",   1,    1                     },
        {"deg",   180,  3.14159265358979323846},
        {"°",    180,  3.14159265358979323846},
        {"/in",   25.4, 1                     },
        {"/cm",   4,    0.4                   },
        {"/mm",   1,    1                     },
        {"tex",   70,   70                    },
        {"Nm",    90,   0.9                   },
        {"N",     1,    1                     },
        {"N/mm",  1,    1                     },
        {"N/cm",  160,  16                    },
        {"min",   2.5,  150                   },
        {"s",     20,   20                    },
        {"bar",   4,    0.4                   },
        {"g/cm3", 0.6,  600                   },
        {"kg/m3", 1,    1                     },
        {"g/m2",  300,  300                   },
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_true(unit_to_base(unit(rows[i].name), rows[i].number) == rows[i].base);
        assert_true(fabs(unit_from_base(unit(rows[i].name), rows[i].base) - rows[i].number) <=
                    1e-14 * rows[i].number);
    }
}

static void every_unit_is_found_by_its_name_and_alone(void **state)
{
    size_t count;
    const Unit *table = unit_table(&count);
    (void)state;
    assert_true(count > 20);
    for (size_t i = 0; i < count; i++) {
        assert_ptr_equal(unit_find(table[i].name, strlen(table[i].name)), &table[i]);
        assert_true(table[i].denominator > 0 && table[i].numerator > 0);
        assert_true(strlen(table[i].means) > 0);
    }
    assert_null(unit_find("mm2", 3));
    assert_null(unit_find("MM", 2));
    assert_null(unit_find("", 0));
}

static void the_longest_unit_wins_unless_a_word_goes_on(void **state)
{
    static const struct {
        const char *text, *unit;
        size_t used;
    } rows[] = {
        {"N/mm + 3", "N/mm",  4},
        {"N + 3",    "N",     1},
        {"N/m",      "N",     1},
        {"mm",       "mm",    2},
        {"m",        "m",     1},
        {"min",      "min",   3},
        {"min(3)",   NULL,    0},
        {"m (3)",    "m",     1},
        {"mmx",      NULL,    0},
        {"in_use",   NULL,    0},
        {"/in)",     "/in",   3},
        {"/inset",   NULL,    0},
        {"degC)",    "°C",   4},
        {"°C",      "°C",   3},
        {"deg)",     "deg",   3},
        {"g/cm3",    "g/cm3", 5},
        {"g/cm33",   "g",     1},
        {"%)",       "%",     1},
        {"kg/m3 ",   "kg/m3", 5},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        size_t used = 0;
        const Unit *found = unit_longest(rows[i].text, strlen(rows[i].text), &used);
        if (!rows[i].unit) {
            assert_null(found);
            continue;
        }
        assert_non_null(found);
        assert_string_equal(found->name, rows[i].unit);
        assert_int_equal(used, rows[i].used);
    }
}

static void dimension_arithmetic(void **state)
{
    Dimension area = dimension_power(DIMENSION_LENGTH, 2), root;
    Dimension tex = dimension_over((Dimension){.mass = 1}, DIMENSION_LENGTH);
    (void)state;
    assert_true(dimension_equal(tex, DIMENSION_TEX));
    assert_true(dimension_equal(dimension_times(tex, DIMENSION_LENGTH), (Dimension){.mass = 1}));
    assert_true(dimension_root(area, &root));
    assert_true(dimension_equal(root, DIMENSION_LENGTH));
    assert_false(dimension_root(DIMENSION_LENGTH, &root));
    assert_true(dimension_equal(dimension_power(area, 0), DIMENSION_NONE));
    /* Exponents stay at the end of their type instead of wrapping round. */
    for (int i = 0; i < 8; i++)
        area = dimension_power(area, 9);
    assert_int_equal(area.length, INT8_MAX);
}

static void names(void **state)
{
    Text text = {0};
    (void)state;
    assert_string_equal(dimension_name(DIMENSION_LENGTH, false), "length");
    assert_string_equal(dimension_name(DIMENSION_NONE, false), "ratio");
    assert_string_equal(dimension_name(DIMENSION_TEMPERATURE, true), "temperature");
    assert_string_equal(dimension_name(DIMENSION_TEMPERATURE, false), "temperature difference");
    assert_string_equal(dimension_name((Dimension){.length = -1, .force = 1}, false),
                        "force per length");
    assert_string_equal(dimension_name((Dimension){.length = 7}, false), "mixed dimension");
    dimension_write(&text, (Dimension){.length = -3, .mass = 1, .force = 2});
    assert_string_equal(text_string(&text), "ug N2/mm3");
    text_clear(&text);
    dimension_write(&text, (Dimension){.length = 2});
    assert_string_equal(text_string(&text), "mm2");
    text_free(&text);
}

static void defaults(void **state)
{
    (void)state;
    assert_string_equal(unit_default(DIMENSION_LENGTH, false)->name, "mm");
    assert_string_equal(unit_default(DIMENSION_TEMPERATURE, true)->name, "°C");
    assert_string_equal(unit_default(DIMENSION_TEMPERATURE, false)->name, "K");
    assert_string_equal(unit_default(DIMENSION_TEX, false)->name, "tex");
    assert_null(unit_default(DIMENSION_NONE, false));
    assert_null(unit_default((Dimension){.length = 2}, false));
}

static void writing(void **state)
{
    static const struct {
        double value;
        Dimension dimension;
        bool point;
        const char *unit;
        bool full;
        const char *written;
    } rows[] = {
        {4.5,    {1, 0, 0, 0, 0}, false, NULL, false, "4.5 mm"   },
        {4.7625, {1, 0, 0, 0, 0}, false, NULL, false, "4.763 mm" },
        {4.7625, {1, 0, 0, 0, 0}, false, NULL, true,  "4.7625 mm"},
        {0.22,   {0, 0, 0, 0, 0}, false, "%",  false, "22 %"     },
        {0.22,   {0, 0, 0, 0, 0}, false, NULL, false, "0.22"     },
        {0.9,    {1, 0, 0, 0, 0}, false, "Nm", false, "90 Nm"    },
        {95,     {0, 0, 0, 1, 0}, true,  NULL, false, "95 °C"   },
        {5,      {0, 0, 0, 1, 0}, false, NULL, false, "5 K"      },
        {12,     {2, 0, 0, 0, 0}, false, NULL, false, "12 mm2"   },
        {NAN,    {1, 0, 0, 0, 0}, false, NULL, false, "unknown"  },
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        Text text = {0};
        unit_write(&text, rows[i].value, rows[i].dimension, rows[i].point,
                   rows[i].unit ? unit(rows[i].unit) : NULL, rows[i].full);
        assert_string_equal(text_string(&text), rows[i].written);
        text_free(&text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(factors),
        cmocka_unit_test(every_unit_is_found_by_its_name_and_alone),
        cmocka_unit_test(the_longest_unit_wins_unless_a_word_goes_on),
        cmocka_unit_test(dimension_arithmetic),
        cmocka_unit_test(names),
        cmocka_unit_test(defaults),
        cmocka_unit_test(writing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

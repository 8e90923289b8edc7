/* Reading and writing quantities: every form, every refusal and its advice. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "quantity/quantity.h"

/* One field of each sort. */
typedef enum Sort {
    LENGTH,
    LENGTH_BARE_MM,
    PITCH,
    PITCH_RANGE,
    POINT,
    DIFFERENCE,
    NEEDLE,
    THREAD,
    RATIO,
    ANGLE,
    PLAIN,
    WHOLE,
    WEIGHT,
    TIME
} Sort;

static const Unit *unit(const char *name)
{
    return unit_find(name, strlen(name));
}

static QuantityForm form_of(Sort sort)
{
    const QuantityForm length = {.dimension = DIMENSION_LENGTH, .shown = unit("mm")};
    QuantityForm form = length;

    switch (sort) {
    case LENGTH:
        break;
    case LENGTH_BARE_MM:
        form.bare_length = unit("mm");
        break;
    case PITCH_RANGE:
        form.range = true;
        form.reciprocal = true;
        break;
    case PITCH:
        form.reciprocal = true;
        break;
    case POINT:
        form =
            (QuantityForm){.dimension = DIMENSION_TEMPERATURE, .point = true, .shown = unit("°C")};
        break;
    case DIFFERENCE:
        form = (QuantityForm){.dimension = DIMENSION_TEMPERATURE, .shown = unit("K")};
        break;
    case NEEDLE:
        form.needle = true;
        form.shown = unit("Nm");
        form.bare_length = unit("mm");
        break;
    case THREAD:
        form = (QuantityForm){.dimension = DIMENSION_TEX, .shown = unit("tex")};
        break;
    case RATIO:
        form = (QuantityForm){.shown = unit("%")};
        break;
    case ANGLE:
        form = (QuantityForm){.shown = unit("deg")};
        break;
    case PLAIN:
        form = (QuantityForm){.bare = true};
        break;
    case WHOLE:
        form = (QuantityForm){.bare = true, .whole = true};
        break;
    case WEIGHT:
        form = (QuantityForm){
            .dimension = {-2, 1, 0, 0, 0},
              .shown = unit("g/m2")
        };
        break;
    case TIME:
        form = (QuantityForm){
            .dimension = {0, 0, 1, 0, 0},
              .shown = unit("s")
        };
        break;
    }
    return form;
}

static bool same(double a, double b)
{
    return isnan(a) ? isnan(b) : a == b;
}

typedef struct Accepted {
    Sort sort;
    const char *text;
    double nominal, lo, hi; /* compared to the last bit */
    Tolerance tolerance;
    const char *written;
} Accepted;

static const Accepted accepted[] = {
    {LENGTH,         "4 mm",                4,                      4,                      4,                      TOLERANCE_UNSAID, "4 mm"                    },
    {LENGTH,         "  4mm ",              4,                      4,                      4,                      TOLERANCE_UNSAID, "4 mm"                    },
    {LENGTH,         "0.1 mm",              0.1,                    0.1,                    0.1,                    TOLERANCE_UNSAID, "0.1 mm"                  },
    {LENGTH,         "123456789.123456 mm", 123456789.123456,       123456789.123456,       123456789.123456,
     TOLERANCE_UNSAID,                                                                                                                "123457000 mm"            },
    {LENGTH,         "exactly 4 mm",        4,                      4,                      4,                      TOLERANCE_EXACT,  "4 mm"                    },
    {LENGTH,         "4 ± 0.2 mm",         4,                      3.8,                    4.2,                    TOLERANCE_GIVEN,  "4 ± 0.2 mm"             },
    {LENGTH,         "4 ±0.2 mm",          4,                      3.8,                    4.2,                    TOLERANCE_GIVEN,  "4 ± 0.2 mm"             },
    {LENGTH,         "4 +/- 0.2 mm",        4,                      3.8,                    4.2,                    TOLERANCE_GIVEN,  "4 ± 0.2 mm"             },
    {LENGTH,         "4 mm ± 0.2 mm",      4,                      3.8,                    4.2,                    TOLERANCE_GIVEN,  "4 ± 0.2 mm"             },
    {LENGTH,         "1.4 ± 0.1 mm",       1.4,                    1.3,                    1.5,                    TOLERANCE_GIVEN,  "1.4 ± 0.1 mm"           },
    {LENGTH,         "1.3..1.5 mm",         1.4,                    1.3,                    1.5,                    TOLERANCE_GIVEN,  "1.4 ± 0.1 mm"           },
    {LENGTH,         "1.3 .. 1.5 mm",       1.4,                    1.3,                    1.5,                    TOLERANCE_GIVEN,  "1.4 ± 0.1 mm"           },
    {LENGTH,         "4 +0.3 -0.1 mm",      4,                      3.9,                    4.3,                    TOLERANCE_GIVEN,  "4 +0.3 -0.1 mm"          },
    {LENGTH,         "4 +0.3 -0 mm",        4,                      4,                      4.3,                    TOLERANCE_GIVEN,  "4 +0.3 -0 mm"            },
    {LENGTH,         "-2 mm",               -2,                     -2,                     -2,                     TOLERANCE_UNSAID, "-2 mm"                   },
    {LENGTH,         "-3..-1 mm",           -2,                     -3,                     -1,                     TOLERANCE_GIVEN,  "-2 ± 1 mm"              },
    {LENGTH,         "3/16 in",             4.7625,                 4.7625,                 4.7625,                 TOLERANCE_UNSAID, "4.7625 mm"               },
    {LENGTH,         "1 3/16 in",           30.1625,                30.1625,                30.1625,                TOLERANCE_UNSAID, "30.1625 mm"              },
    {LENGTH,         "1/8..3/16 in",        3.96875,                3.175,                  4.7625,                 TOLERANCE_GIVEN,  "3.96875 ± 0.79375 mm"   },
    {LENGTH,         "3.5 oz",              1.3890625,              1.3890625,              1.3890625,              TOLERANCE_UNSAID, "1.38906 mm"              },
    {LENGTH,         "2.54 cm",             25.4,                   25.4,                   25.4,                   TOLERANCE_UNSAID, "25.4 mm"                 },
    {LENGTH,         "0.28 m",              280,                    280,                    280,                    TOLERANCE_UNSAID, "280 mm"                  },
    {LENGTH_BARE_MM, "4",                   4,                      4,                      4,                      TOLERANCE_UNSAID, "4 mm"                    },
    {LENGTH_BARE_MM, "4 ± 0.2",            4,                      3.8,                    4.2,                    TOLERANCE_GIVEN,  "4 ± 0.2 mm"             },
    {LENGTH_BARE_MM, "1 in",                25.4,                   25.4,                   25.4,                   TOLERANCE_UNSAID, "25.4 mm"                 },
    {PITCH,          "2.5 mm",              2.5,                    2.5,                    2.5,                    TOLERANCE_UNSAID, "2.5 mm"                  },
    {PITCH,          "10 /in",              2.54,                   2.54,                   2.54,                   TOLERANCE_UNSAID, "2.54 mm"                 },
    {PITCH,          "10/in",               2.54,                   2.54,                   2.54,                   TOLERANCE_UNSAID, "2.54 mm"                 },
    {PITCH,          "4 /cm",               2.5,                    2.5,                    2.5,                    TOLERANCE_UNSAID, "2.5 mm"                  },
    {PITCH,          "10 ± 2 /in",         2.54,                   25.4 / 12,              3.175,                  TOLERANCE_GIVEN,  "2.54 +0.635 -0.423333 mm"},
    {PITCH,          "4 +1 -2 /cm",         2.5,                    2,                      5,                      TOLERANCE_GIVEN,  "2.5 +2.5 -0.5 mm"        },
    {PITCH,          "4..5 /cm",            2.25,                   2,                      2.5,                    TOLERANCE_GIVEN,  "2.25 ± 0.25 mm"         },
    {PITCH_RANGE,    "1.5..5 mm",           NAN,                    1.5,                    5,                      TOLERANCE_EXACT,  "1.5..5 mm"               },
    {PITCH_RANGE,    "2..4 /cm",            NAN,                    2.5,                    5,                      TOLERANCE_EXACT,  "2.5..5 mm"               },
    {PITCH_RANGE,    "3 mm",                NAN,                    3,                      3,                      TOLERANCE_EXACT,  "3 mm"                    },
    {POINT,          "95 °C",              95,                     95,                     95,                     TOLERANCE_UNSAID, "95 °C"                  },
    {POINT,          "95 degC",             95,                     95,                     95,                     TOLERANCE_UNSAID, "95 °C"                  },
    {POINT,          "95 ± 5 °C",         95,                     90,                     100,                    TOLERANCE_GIVEN,  "95 ± 5 °C"             },
    {POINT,          "95 °C ± 5 K",       95,                     90,                     100,                    TOLERANCE_GIVEN,  "95 ± 5 °C"             },
    {POINT,          "-5 °C",              -5,                     -5,                     -5,                     TOLERANCE_UNSAID, "-5 °C"                  },
    {DIFFERENCE,     "5 K",                 5,                      5,                      5,                      TOLERANCE_UNSAID, "5 K"                     },
    {NEEDLE,         "90 Nm",               0.9,                    0.9,                    0.9,                    TOLERANCE_UNSAID, "90 Nm"                   },
    {NEEDLE,         "Nm 90",               0.9,                    0.9,                    0.9,                    TOLERANCE_UNSAID, "90 Nm"                   },
    {NEEDLE,         "0.9 mm",              0.9,                    0.9,                    0.9,                    TOLERANCE_UNSAID, "90 Nm"                   },
    {THREAD,         "70 tex",              70,                     70,                     70,                     TOLERANCE_UNSAID, "70 tex"                  },
    {THREAD,         "tex 70",              70,                     70,                     70,                     TOLERANCE_UNSAID, "70 tex"                  },
    {THREAD,         "tex70",               70,                     70,                     70,                     TOLERANCE_UNSAID, "70 tex"                  },
    {RATIO,          "22 %",                0.22,                   0.22,                   0.22,                   TOLERANCE_UNSAID, "22 %"                    },
    {RATIO,          "22 ± 5 %",           0.22,                   0.17,                   0.27,                   TOLERANCE_GIVEN,  "22 ± 5 %"               },
    {RATIO,          "20..40 %",            0.3,                    0.2,                    0.4,                    TOLERANCE_GIVEN,  "30 ± 10 %"              },
    {ANGLE,          "180°",               3.14159265358979323846, 3.14159265358979323846, 3.14159265358979323846,
     TOLERANCE_UNSAID,                                                                                                                 "180 deg"               },
    {ANGLE,          "180 deg",             3.14159265358979323846, 3.14159265358979323846, 3.14159265358979323846,
     TOLERANCE_UNSAID,                                                                                                                "180 deg"                 },
    {PLAIN,          "0.6",                 0.6,                    0.6,                    0.6,                    TOLERANCE_UNSAID, "0.6"                     },
    {PLAIN,          "60 %",                0.6,                    0.6,                    0.6,                    TOLERANCE_UNSAID, "0.6"                     },
    {WHOLE,          "6",                   6,                      6,                      6,                      TOLERANCE_UNSAID, "6"                       },
    {WEIGHT,         "300 g/m2",            300,                    300,                    300,                    TOLERANCE_UNSAID, "300 g/m2"                },
    {TIME,           "2.5 min",             150,                    150,                    150,                    TOLERANCE_UNSAID, "150 s"                   },
};

static void expect(const Accepted *row)
{
    QuantityForm form = form_of(row->sort);
    Quantity quantity;
    Text problem = {0}, written = {0};

    if (!quantity_read(row->text, strlen(row->text), &form, &quantity, &problem))
        fail_msg("%s refused: %s", row->text, text_string(&problem));
    assert_string_equal(text_string(&problem), "");
    if (!same(quantity.nominal, row->nominal) || quantity.lo != row->lo || quantity.hi != row->hi)
        fail_msg("%s read as %.17g (%.17g to %.17g)", row->text, quantity.nominal, quantity.lo,
                 quantity.hi);
    assert_int_equal(quantity.tolerance, row->tolerance);
    assert_false(quantity.unknown);
    quantity_write(&written, &quantity, &form);
    assert_string_equal(text_string(&written), row->written);
    text_free(&problem);
    text_free(&written);
}

static void accepts_every_form(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof accepted / sizeof *accepted; i++)
        expect(&accepted[i]);
}

static void no_negative_zero(void **state)
{
    QuantityForm form = form_of(LENGTH);
    Quantity quantity;
    Text problem = {0};
    (void)state;
    assert_true(quantity_read("-0 mm", 5, &form, &quantity, &problem));
    assert_int_equal(signbit(quantity.nominal), 0);
    text_free(&problem);
}

static void unknown_is_unknown_everywhere(void **state)
{
    (void)state;
    for (int sort = LENGTH; sort <= TIME; sort++) {
        QuantityForm form = form_of((Sort)sort);
        Quantity quantity = {0};
        Text text = {0};
        assert_true(quantity_read(" unknown ", 9, &form, &quantity, &text));
        assert_true(quantity.unknown);
        assert_true(isnan(quantity.nominal) && isnan(quantity.lo) && isnan(quantity.hi));
        quantity_write(&text, &quantity, &form);
        assert_string_equal(text_string(&text), "unknown");
        text_free(&text);
    }
}

static const struct {
    Sort sort;
    const char *text, *says; /* part of the message */
} refused[] = {
    {LENGTH,      "1,5 mm",            "write 1.5"                                                       },
    {LENGTH,      "1,500 mm",          "write 1.500 or 1500"                                             },
    {LENGTH,      "1_000 mm",          "write 1000"                                                      },
    {LENGTH,      "010 mm",            "write 10"                                                        },
    {LENGTH,      "00.5 mm",           "write 0.5"                                                       },
    {LENGTH,      "0x1f mm",           "\"0x1f\" is no decimal number"                                   },
    {LENGTH,      "1e3 mm",            "write the number out in digits"                                  },
    {LENGTH,      "1.5e-3 mm",         "write the number out in digits"                                  },
    {LENGTH,      ".inf",              "or unknown where the value is not known"                         },
    {LENGTH,      ".nan",              "or unknown where the value is not known"                         },
    {LENGTH,      "12:30",             "write one decimal with its unit"                                 },
    {LENGTH,      ".5 mm",             "write 0.5"                                                       },
    {LENGTH,      "5. mm",             "no digit after the point"                                        },
    {LENGTH,      "1.2.3 mm",          "two points"                                                      },
    {LENGTH,      "1234567890 mm",     "more than 9 digits"                                              },
    {LENGTH,      "1.1234567 mm",      "more than 6 digits"                                              },
    {LENGTH,      "3/0 in",            "divides by zero"                                                 },
    {LENGTH,      "3/016 in",          "needless zero"                                                   },
    {LENGTH,      "1 5/4 in",          "less than 1"                                                     },
    {LENGTH,      "1.5/2 in",          "write whole numbers"                                             },
    {LENGTH,      "12345/2 in",        "more than 4 digits"                                              },
    {LENGTH,      "4",                 "the unit is missing: write 4 mm"                                 },
    {LENGTH,      "4 ± 0.2",          "the unit is missing: write 4 ± 0.2 mm"                          },
    {PITCH,       "10",                "write 10 mm or stitches per length such as 4 /cm"                },
    {LENGTH,      "4 mn",              "did you mean \"mm\""                                             },
    {LENGTH,      "4 MM",              "did you mean \"mm\""                                             },
    {LENGTH,      "4 inches",          "did you mean \"in\""                                             },
    {PITCH,       "10 per inch",       "did you mean \"/in\""                                            },
    {LENGTH,      "4 furlong",         "unknown unit \"furlong\": expected a length such as 4 mm"        },
    {LENGTH,      "4 N",               "\"N\" does not fit: expected a length such as 4 mm"              },
    {LENGTH,      "10 /in",            "\"/in\" does not fit"                                            },
    {LENGTH,      "90 Nm",             "Nm is a needle size; expected a length"                          },
    {THREAD,      "90 Nm",             "1000 divided by a metric count is the thread's tex"              },
    {NEEDLE,      "90",                "the unit is missing: write 90 Nm"                                },
    {NEEDLE,      "Nm 90 mm",          "two units"                                                       },
    {POINT,       "95 K",              "K is a difference of temperatures"                               },
    {POINT,       "95 ± 5 K",         "K is a difference of temperatures"                               },
    {DIFFERENCE,  "5 °C",             "a difference is given in K"                                      },
    {LENGTH,      "95 °C",            "\"°C\" does not fit: expected a length such as 4 mm"           },
    {PITCH,       "11 spi",            "did you mean \"/in\""                                            },
    {PITCH,       "11 SPI",            "or stitches per length such as 10 /in"                           },
    {POINT,       "95°",              "expected a temperature"                                          },
    {NEEDLE,      "90/14",             "\"90/14\" gives one needle in two numberings: write 90 Nm"       },
    {NEEDLE,      "Nm 110/18",         "write 110 Nm"                                                    },
    {NEEDLE,      "80/12..100/16",     "write 80 Nm"                                                     },
    {THREAD,      "Tkt 60",            "tex is due: 3000 divided by a metric ticket, here 50 tex"        },
    {THREAD,      "ticket 40",         "here 75 tex"                                                     },
    {THREAD,      "Tkt. 20",           "here 150 tex"                                                    },
    {THREAD,      "60 tkt",            "here 50 tex"                                                     },
    {THREAD,      "tkt 0",             "3000 divided by a metric ticket"                                 },
    {THREAD,      "tkt",               "3000 divided by a metric ticket"                                 },
    {LENGTH,      "Tkt 60",            "is no number"                                                    },
    {POINT,       "95 C",              "did you mean \"°C\""                                            },
    {LENGTH,      "4 ± 5 %",          "write 4 ± 0.2 mm"                                               },
    {LENGTH,      "4 mm ± 5 %",       "write 4 ± 0.2 mm"                                               },
    {LENGTH,      "1 in ± 50 %",      "write 1 ± 0.5 in"                                               },
    {LENGTH,      "4 +5 -5 %",         "not in per cent"                                                 },
    {PLAIN,       "4 ± 5 %",          "write 4 ± 0.2"                                                  },
    {LENGTH,      "4 -0.1 +0.3 mm",    "+0.3 -0.1, upper side first"                                     },
    {LENGTH,      "4 +0.3 mm",         "+0.3 -0.1"                                                       },
    {LENGTH,      "4-5 mm",            "a range 1.3..1.5"                                                },
    {LENGTH,      "4 ± -1 mm",        "write the number alone"                                          },
    {LENGTH,      "+4 mm",             "write the number alone"                                          },
    {LENGTH,
     "\xE2\x88\x92"
     "4 mm",                           "U+2212"                                                          },
    {LENGTH,      "1.5..1.3 mm",       "write 1.3..1.5"                                                  },
    {LENGTH,      "1.3..",             "a number is missing"                                             },
    {LENGTH,      "exactly 4 ± 1 mm", "exclude each other"                                              },
    {LENGTH,      "exactly",           "is no number"                                                    },
    {LENGTH,      "4 mm 5",            "unexpected \"5\""                                                },
    {LENGTH,      "?",                 "write unknown"                                                   },
    {LENGTH,      "TBD",               "write unknown"                                                   },
    {LENGTH,      "~",                 "write unknown"                                                   },
    {LENGTH,      "",                  "the value is missing: expected a length such as 4 mm, or unknown"},
    {LENGTH,      " \t ",              "the value is missing"                                            },
    {LENGTH,      "\x1b[31m",          "\\u{1b}"                                                         },
    {PITCH,       "0 /in",             "more than 0"                                                     },
    {PITCH,       "5 ± 5 /in",        "more than 0"                                                     },
    {PITCH,       "2.5 mm ± 1 /in",   "do not go together"                                              },
    {PITCH_RANGE, "3 ± 1 mm",         "a range of settings takes no tolerance"                          },
    {PITCH_RANGE, "exactly 3 mm",      "expected a length or range such as 4..5 mm"                      },
    {RATIO,       "22",                "write 22 %"                                                      },
    {RATIO,       "1 rad",             "\"rad\" does not fit"                                            },
    {ANGLE,       "22 %",              "expected an angle such as 90 deg"                                },
    {WHOLE,       "6.5",               "no whole number"                                                 },
    {WHOLE,       "6 ± 1",            "takes no tolerance"                                              },
    {WHOLE,       "6 mm",              "expected a whole number such as 4"                               },
};

static void refuses_with_advice(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        QuantityForm form = form_of(refused[i].sort);
        Quantity quantity;
        Text problem = {0};
        if (quantity_read(refused[i].text, strlen(refused[i].text), &form, &quantity, &problem))
            fail_msg("accepted: %s", refused[i].text);
        if (!strstr(text_string(&problem), refused[i].says))
            fail_msg("%s: \"%s\" does not say \"%s\"", refused[i].text, text_string(&problem),
                     refused[i].says);
        text_free(&problem);
    }
}

/* Every prefix of every accepted text, and every text with one byte replaced,
 * is either read or refused with a reason, and read inside its length. */
static void hurt_text_is_read_or_refused_with_a_reason(void **state)
{
    static const char bytes[] = {'\0', ' ', '.', '/', '-', '+', '9', '%', '\x1b', '\xff', '\xc2'};
    (void)state;
    for (size_t i = 0; i < sizeof accepted / sizeof *accepted; i++) {
        QuantityForm form = form_of(accepted[i].sort);
        size_t length = strlen(accepted[i].text);
        for (size_t n = 0; n <= length; n++) {
            for (size_t b = 0; b < sizeof bytes; b++) {
                /* exactly as long as said, so that a checker sees one byte too many */
                char *copy = malloc(n ? n : 1);
                Quantity quantity;
                Text problem = {0};
                assert_non_null(copy);
                memcpy(copy, accepted[i].text, n);
                if (n > 0)
                    copy[(n * 7 + b) % n] = bytes[b];
                bool read = quantity_read(copy, n, &form, &quantity, &problem);
                assert_int_equal(problem.length == 0, read);
                if (read && !quantity.unknown)
                    assert_true(quantity.lo <= quantity.hi);
                text_free(&problem);
                free(copy);
            }
        }
    }
}

static void decimals_for_formulas(void **state)
{
    static const struct {
        const char *text;
        bool fractions;
        size_t used;
        double value;
    } rows[] = {
        {"3)",        false, 1, 3     },
        {"1,5",       false, 1, 1     },
        {"2.50 mm",   false, 4, 2.5   },
        {"1..2",      false, 1, 1     },
        {"3/16",      false, 1, 3     },
        {"3/16",      true,  4, 0.1875},
        {"1 3/16 in", true,  6, 1.1875},
        {"1 3/16",    false, 1, 1     },
        {"0",         false, 1, 0     },
        {"0.3",       false, 3, 0.3   },
    };
    static const char *const bad[] = {"", "x", "-1", "01", "1_0", "1e5", ".5", "1.", "0x1"};
    Text problem = {0};
    double value;
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_int_equal(
            decimal_read(rows[i].text, strlen(rows[i].text), rows[i].fractions, &value, &problem),
            rows[i].used);
        assert_true(value == rows[i].value);
    }
    assert_string_equal(text_string(&problem), "");
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        text_clear(&problem);
        assert_int_equal(decimal_read(bad[i], strlen(bad[i]), false, &value, &problem), 0);
        assert_true(problem.length > 0);
    }
    text_free(&problem);
}

/* Against the C library's correctly rounded strtod: all decimals of up to 15
 * digits have to agree to the last bit. */
static void decimals_are_exact_to_the_last_bit(void **state)
{
    uint64_t seed = 20;
    Text problem = {0};
    (void)state;
    for (int i = 0; i < 20000; i++) {
        char text[32];
        double value;
        seed = seed * 6364136223846793005u + 1442695040888963407u;
        unsigned whole = (unsigned)(seed >> 33) % 1000000000u;
        seed = seed * 6364136223846793005u + 1442695040888963407u;
        unsigned part = (unsigned)(seed >> 33) % 1000000u;
        int length = snprintf(text, sizeof text, "%u.%06u", i % 2 ? whole : whole % 100, part);
        assert_int_equal(decimal_read(text, (size_t)length, false, &value, &problem), length);
        assert_true(value == strtod(text, NULL));
    }
    text_free(&problem);
}

static void the_locale_changes_nothing(void **state)
{
    static const char *const comma[] = {"de_DE.UTF-8", "fr_FR.UTF-8", "nl_NL.UTF-8", "da_DK.UTF-8"};
    size_t i = 0;
    while (i < sizeof comma / sizeof *comma && !setlocale(LC_ALL, comma[i]))
        i++;
    if (i == sizeof comma / sizeof *comma)
        skip(); /* no locale with a decimal comma on this machine */
    accepts_every_form(state);
    refuses_with_advice(state);
    setlocale(LC_ALL, "C");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(accepts_every_form),
        cmocka_unit_test(no_negative_zero),
        cmocka_unit_test(unknown_is_unknown_everywhere),
        cmocka_unit_test(refuses_with_advice),
        cmocka_unit_test(hurt_text_is_read_or_refused_with_a_reason),
        cmocka_unit_test(decimals_for_formulas),
        cmocka_unit_test(decimals_are_exact_to_the_last_bit),
        cmocka_unit_test(the_locale_changes_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Size systems and graded bends against published tables. */
#define _GNU_SOURCE
#include "reference/check.h"

#include <gsl/gsl_deriv.h>
#include <gsl/gsl_math.h>

#include <unistd.h>

#include "judge/judge.h"
#include "measure/sizing.h"
#include "scratch.h"

static const char golding[] = "F. Y. Golding, The Manufacture of Boots and Shoes, 1902, "
                              "graded dimensions, male, three-fitting";

/* Inches as printed: whole and thirds. */
static const struct {
    double size;
    bool child;
    double whole, thirds;
} golding_lengths[] = {
    {1,  true,  4,  1},
    {2,  true,  4,  2},
    {3,  true,  5,  0},
    {4,  true,  5,  1},
    {5,  true,  5,  2},
    {6,  true,  6,  0},
    {7,  true,  6,  1},
    {8,  true,  6,  2},
    {9,  true,  7,  0},
    {10, true,  7,  1},
    {11, true,  7,  2},
    {12, true,  8,  0},
    {13, true,  8,  1},
    {1,  false, 8,  2},
    {2,  false, 9,  0},
    {3,  false, 9,  1},
    {4,  false, 9,  2},
    {5,  false, 10, 0},
    {6,  false, 10, 1},
};

static void english_lengths_of_the_handbook(void **state)
{
    (void)state;
    for (size_t i = 0; i < ROWS(golding_lengths); i++) {
        char what[32];
        snprintf(what, sizeof what, "%s %g", golding_lengths[i].child ? "child" : "adult",
                 golding_lengths[i].size);
        check(what, sizing_length(SIZE_ENGLISH, golding_lengths[i].size, golding_lengths[i].child),
              25.4 * (golding_lengths[i].whole + golding_lengths[i].thirds / 3), 1e-9, golding);
    }
}

static const struct {
    SizeSystem system;
    double size;
    bool child;
    double mm, tolerance;
    const char *source;
} lengths[] = {
    {SIZE_ENGLISH,     0,   true,  4 * 25.4,      1e-9,
     "T. Senthil Kumar, Shoe sizing systems: child 0 is 4 in"                                                       },
    {SIZE_ENGLISH,     2,   true,  14 * 25.4 / 3, 1e-9,
     "course page, Shoe sizes, 2012: child 2 = 14/3 in"                                                             },
    {SIZE_ENGLISH,     13,  false, 38 * 25.4 / 3, 1e-9,
     "course page, Shoe sizes, 2012: adult 13 = 38/3 in"                                                            },
    {SIZE_ENGLISH,     13,  false, 320,           5,        "course page, Shoe sizes, 2012: adult 13 is about 32 cm"},
    {SIZE_PARIS_POINT, 42,  false, 280,           1e-9,
     "encyclopaedia article on shoe sizes: 28 cm = 42 points"                                                       },
    {SIZE_PARIS_POINT, 48,  false, 38 * 25.4 / 3, 10.0 / 3,
     "course page, Shoe sizes, 2012: adult 13 is about 48 points"                                                   },
    {SIZE_MONDOPOINT,  240, false, 240,           0,        "ISO 9407, Mondopoint: millimetres, from zero"          },
};

static void lengths_of_single_sizes(void **state)
{
    (void)state;
    for (size_t i = 0; i < ROWS(lengths); i++)
        check("length", sizing_length(lengths[i].system, lengths[i].size, lengths[i].child),
              lengths[i].mm, lengths[i].tolerance, lengths[i].source);
}

/* P = 3L/20, L in mm; U = 3L - 25 and 3L - 12, L in inches. */
static const struct {
    double size;
    bool child;
    double points;
} in_points[] = {
    {0, true, 15.24},  {2, true, 17.78},  {5, true, 21.59},   {8, true, 25.40},   {10, true, 27.94},
    {13, true, 31.75}, {1, false, 33.02}, {3, false, 35.56},  {5, false, 38.10},  {6, false, 39.37},
    {8, false, 41.91}, {9, false, 43.18}, {10, false, 44.45}, {13, false, 48.26},
};

static const struct {
    double points;
    bool child;
    double english;
} in_english[] = {
    {18, true, 2.1732},   {30, true, 11.6220}, {35, false, 2.5591}, {36, false, 3.3465},
    {37, false, 4.1339},  {38, false, 4.9213}, {39, false, 5.7087}, {40, false, 6.4961},
    {41, false, 7.2835},  {42, false, 8.0709}, {43, false, 8.8583}, {44, false, 9.6457},
    {46, false, 11.2205},
};

static void sizes_of_one_system_in_the_other(void **state)
{
    static const char source[] = "ISO/TS 19407:2015 and T. Senthil Kumar, Shoe sizing systems: "
                                 "P = 3L/20, U = 3L - 25, child U = 3L - 12";
    (void)state;
    for (size_t i = 0; i < ROWS(in_points); i++)
        check_worked("Paris points",
                     sizing_length(SIZE_ENGLISH, in_points[i].size, in_points[i].child) /
                         sizing_step(SIZE_PARIS_POINT),
                     in_points[i].points, 1e-9, source);
    for (size_t i = 0; i < ROWS(in_english); i++) {
        double zero = sizing_length(SIZE_ENGLISH, 0, in_english[i].child);
        check_worked("English size",
                     (sizing_length(SIZE_PARIS_POINT, in_english[i].points, false) - zero) /
                         sizing_step(SIZE_ENGLISH),
                     in_english[i].english, 5e-5, source);
    }
    check_worked("a size in points", sizing_step(SIZE_ENGLISH) / sizing_step(SIZE_PARIS_POINT),
                 1.27, 1e-12, source);
}

static void steps(void **state)
{
    (void)state;
    check("Paris point", sizing_step(SIZE_PARIS_POINT), 20.0 / 3, 1e-12,
          "ISO/TS 19407:2015, Footwear, sizing: two thirds of a centimetre");
    check("English size", sizing_step(SIZE_ENGLISH), 25.4 / 3, 1e-12,
          "T. Senthil Kumar, Shoe sizing systems: one third of an inch");
    check_worked("adult 1 after child 13",
                 sizing_length(SIZE_ENGLISH, 1, false) - sizing_length(SIZE_ENGLISH, 13, true),
                 25.4 / 3, 1e-9, golding);
}

/* ---- a judged style, with the shipped steps of girth ---- */

/* From one size to another: how much longer and rounder, mm. */
static const struct {
    const char *sizes, *last, *source;
    uint32_t apart;
    double longer, rounder;
} graded[] = {
    {"{system: english, base: 5, from: 5, to: 8}", "{length: 254 mm, girth: 220 mm}",
     "US patent 1948547 of 1934: 1/3 in of length and 1/4 in of ball girth a full size", 3, 25.4,
     19.05},
    {"{system: paris-point, base: 37, from: 37, to: 42}", "{length: 246.666667 mm, girth: 225 mm}",
     "grading of shoe sizes (trade article): 6.667 mm of length, 5 mm of ball girth a point", 5,
     100.0 / 3, 25},
    {"{system: mondopoint, base: 240, from: 240, to: 260, step: 5}",
     "{length: 250 mm, girth: 230 mm}",
     "the same, 0.75 mm of girth for each mm of length, carried over to sizes of 5 mm", 4, 20, 15},
};

static double last_cell(const Columns *columns, FieldId id, uint32_t lane)
{
    return columns->fields[id].nominal[column_cell(&columns->fields[id], 0, lane)];
}

static Style *style_of(const char *sizes, const char *last, Messages *messages)
{
    char path[SCRATCH_LENGTH];
    FILE *out = scratch_file(path);
    assert_true(fprintf(out,
                        "cordwain: style/1\nname: A last (invented)\ncode: R-3\nsizes: %s\n"
                        "last: %s\nparts:\n  part: {role: upper}\n",
                        sizes, last) > 0);
    assert_int_equal(fclose(out), 0);
    Style *style = style_read(path, NULL, NULL, 0, messages);
    unlink(path);
    if (!style) {
        messages_write(messages, stderr);
        fail_msg("the style is refused");
    }
    return style;
}

static void lasts_by_the_shipped_steps(void **state)
{
    static const char *const files[] = {"rules/base/house.yaml"};
    (void)state;
    for (size_t i = 0; i < ROWS(graded); i++) {
        Messages messages = {0};
        RuleSet *rules = rules_read(files, 1, NULL, &messages);
        assert_non_null(rules);
        Style *style = style_of(graded[i].sizes, graded[i].last, &messages);
        Judgement *judgement = judge(style, rules, NULL);
        const Columns *columns = judgement->columns;
        assert_int_equal(columns->lane_count, graded[i].apart + 1);
        check_worked("longer",
                     last_cell(columns, LAST_LENGTH, graded[i].apart) -
                         last_cell(columns, LAST_LENGTH, 0),
                     graded[i].longer, 1e-5, graded[i].source);
        check_worked("rounder",
                     last_cell(columns, LAST_GIRTH, graded[i].apart) -
                         last_cell(columns, LAST_GIRTH, 0),
                     graded[i].rounder, 1e-5, graded[i].source);
        judgement_free(judgement);
        style_free(style);
        rules_free(rules);
        messages_free(&messages);
    }
}

/* ---- the least radius of a stretched circle ---- */

static void the_printed_ellipse(void **state)
{
    static const char source[] = "collection of mathematics questions with answers, 2011: "
                                 "x = 2 cos t, y = 3 sin t has curvature 2/9 and 3/4";
    (void)state;
    check("least radius", sizing_radius_factor(2, 3), 1 / fmax(2.0 / 9, 3.0 / 4), 1e-12, source);
    check_worked("the same lying down", sizing_radius_factor(3, 2), 4.0 / 3, 1e-12, source);
}

typedef struct Ellipse {
    double along, across;
} Ellipse;

/* Direction of the normal of (along cos t, across sin t). */
static double normal(double t, void *data)
{
    const Ellipse *ellipse = data;
    return atan2(ellipse->along * sin(t), ellipse->across * cos(t));
}

/* Speed over turning, by numerical differentiation, least of a quarter turn. */
static double least_radius(Ellipse ellipse)
{
    enum { STEPS = 256 };
    const gsl_function function = {normal, &ellipse};
    double least = INFINITY;

    for (int i = 0; i <= STEPS; i++) {
        double t = M_PI_2 * i / STEPS, turning, error;
        assert_int_equal(gsl_deriv_central(&function, t, 1e-4, &turning, &error), 0);
        least = fmin(least, hypot(ellipse.along * sin(t), ellipse.across * cos(t)) / turning);
    }
    return least;
}

static const Ellipse ellipses[] = {
    {1,         1          },
    {2,         3          },
    {3,         2          },
    {0.9,       1.2        },
    {36.0 / 42, 220.0 / 250},
    {46.0 / 42, 270.0 / 250}
};

static void least_radius_as_by_numerical_differentiation(void **state)
{
    (void)state;
    for (size_t i = 0; i < ROWS(ellipses); i++) {
        double expected = least_radius(ellipses[i]);
        check_worked("least radius", sizing_radius_factor(ellipses[i].along, ellipses[i].across),
                     expected, 1e-7 * expected, "GNU Scientific Library, gsl_deriv_central");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(english_lengths_of_the_handbook),
        cmocka_unit_test(lengths_of_single_sizes),
        cmocka_unit_test(sizes_of_one_system_in_the_other),
        cmocka_unit_test(steps),
        cmocka_unit_test(lasts_by_the_shipped_steps),
        cmocka_unit_test(the_printed_ellipse),
        cmocka_unit_test(least_radius_as_by_numerical_differentiation),
    };
    return checks_told(cmocka_run_group_tests(tests, NULL, NULL));
}

/* Size systems and graded bends against published tables. */
#include "reference/check.h"

#include <gsl/gsl_deriv.h>
#include <gsl/gsl_math.h>

#include "measure/sizing.h"

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

static void steps(void **state)
{
    (void)state;
    check("Paris point", sizing_step(SIZE_PARIS_POINT), 20.0 / 3, 1e-12,
          "ISO/TS 19407:2015, Footwear, sizing: two thirds of a centimetre");
    check("English size", sizing_step(SIZE_ENGLISH), 25.4 / 3, 1e-12,
          "T. Senthil Kumar, Shoe sizing systems: one third of an inch");
    check("adult 1 after child 13",
          sizing_length(SIZE_ENGLISH, 1, false) - sizing_length(SIZE_ENGLISH, 13, true), 25.4 / 3,
          1e-9, golding);
}

/* ---- the least radius of a stretched circle ---- */

static void the_printed_ellipse(void **state)
{
    static const char source[] = "collection of mathematics questions with answers, 2011: "
                                 "x = 2 cos t, y = 3 sin t has curvature 2/9 and 3/4";
    (void)state;
    check("least radius", sizing_radius_factor(2, 3), 1 / fmax(2.0 / 9, 3.0 / 4), 1e-12, source);
    check("the same lying down", sizing_radius_factor(3, 2), 4.0 / 3, 1e-12, source);
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
        check("least radius", sizing_radius_factor(ellipses[i].along, ellipses[i].across), expected,
              1e-7 * expected, "GNU Scientific Library, gsl_deriv_central");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(english_lengths_of_the_handbook),
        cmocka_unit_test(lengths_of_single_sizes),
        cmocka_unit_test(steps),
        cmocka_unit_test(the_printed_ellipse),
        cmocka_unit_test(least_radius_as_by_numerical_differentiation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

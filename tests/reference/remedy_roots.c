/* Roots against those of the GNU Scientific Library, and against closed forms. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>

#include <cmocka.h>
#include <gsl/gsl_roots.h>

#include "remedy/seek.h"

static const double tolerance = 1e-12;

typedef struct Case {
    const char *what;
    double (*function)(double x, void *data);
    double from, to;
} Case;

/* What two chords of 3 mm on a bend of radius x leave it by, less 0.2 mm. */
static double facet(double x, void *data)
{
    (void)data;
    return x - sqrt(x * x - 1.5 * 1.5) - 0.2;
}

/* The chord that leaves it by 0.2 mm, less 3 mm. */
static double chord(double x, void *data)
{
    (void)data;
    return 2 * sqrt(2 * x * 0.2 - 0.2 * 0.2) - 3;
}

static double kepler(double x, void *data)
{
    (void)data;
    return x - 0.9 * sin(x) - 0.3;
}

static double flat(double x, void *data)
{
    (void)data;
    return pow(x - 1, 9);
}

static double pole(double x, void *data)
{
    (void)data;
    return 1 / (x - 0.3) - 6;
}

static double exponential(double x, void *data)
{
    (void)data;
    return exp(-x) - x;
}

static const Case cases[] = {
    {"facet", facet, 1.5, 80}, {"chord", chord, 0.1, 2000}, {"kepler", kepler, 0, 3},
    {"flat", flat, -3, 4.5},   {"pole", pole, 0.31, 20},    {"exponential", exponential, -5, 5},
};

static double other_way(void *data, double x)
{
    return ((const Case *)data)->function(x, NULL);
}

static double gsl_root(const Case *c)
{
    gsl_function function = {c->function, NULL};
    gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
    assert_int_equal(gsl_root_fsolver_set(solver, &function, c->from, c->to), 0);
    for (int i = 0; i < 300; i++) {
        gsl_root_fsolver_iterate(solver);
        if (gsl_root_test_interval(gsl_root_fsolver_x_lower(solver),
                                   gsl_root_fsolver_x_upper(solver), tolerance, 0) == 0)
            break;
    }
    double root = gsl_root_fsolver_root(solver);
    gsl_root_fsolver_free(solver);
    return root;
}

static void test_same_roots(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Case c = cases[i];
        double root = 0, theirs = gsl_root(&c);
        assert_true(seek_root(other_way, &c, c.from, c.to, tolerance, &root));
        /* a ninth power leaves a wide stretch in which the function is nought */
        double near = c.function == flat ? 1e-2 : 1e-9;
        if (fabs(root - theirs) > near)
            fail_msg("%s: %.15g, GSL %.15g", c.what, root, theirs);
    }
}

/* p^2/(8s) + s/2 for p = 3 mm, s = 0.2 mm: 5.725 mm, either way round. */
static void test_least_radius(void **state)
{
    (void)state;
    Case c = {"chord", chord, 0.1, 2000};
    double root = 0;
    assert_true(seek_root(other_way, &c, c.from, c.to, tolerance, &root));
    assert_true(fabs(root - (3.0 * 3 / (8 * 0.2) + 0.2 / 2)) < 1e-9);
    c = (Case){"facet", facet, 1.5, 80};
    assert_true(seek_root(other_way, &c, c.from, c.to, tolerance, &root));
    assert_true(fabs(root - 5.725) < 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_same_roots),
        cmocka_unit_test(test_least_radius),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

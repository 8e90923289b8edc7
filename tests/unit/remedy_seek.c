/* Searching on functions whose answers are known. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>

#include <cmocka.h>

#include "remedy/seek.h"

/* ---- Whole numbers ---- */

typedef struct Scale {
    int (*rank)(long index);
    double (*margin)(long index);
    int looked;
} Scale;

static SeekPoint at(void *data, long index)
{
    Scale *scale = data;
    scale->looked++;
    return (SeekPoint){scale->rank(index), scale->margin ? scale->margin(index) : (double)NAN};
}

static int from_137(long index)
{
    return index >= 137;
}

static int to_minus_40(long index)
{
    return index <= -40;
}

static int never(long index)
{
    (void)index;
    return 0;
}

/* 70 to 72, and again from 300 on. */
static int narrow_then_wide(long index)
{
    return (index >= 70 && index <= 72) || index >= 300;
}

static double towards_both(long index)
{
    double near = 1 - fabs((double)index - 71) / 2, far = (double)index - 299.5;
    return fmax(near, far);
}

static int two_steps(long index)
{
    return (index >= 12) + (index >= 57);
}

static void test_first_of_a_step(void **state)
{
    (void)state;
    Scale scale = {from_137, NULL, 0};
    long found = 0;
    assert_true(seek_index(at, &scale, 0, 20000, 1, &found));
    assert_int_equal(found, 137);
    assert_true(scale.looked < 30);
    scale = (Scale){to_minus_40, NULL, 0};
    assert_true(seek_index(at, &scale, 3, -500, 1, &found));
    assert_int_equal(found, -40);
}

static void test_bound_is_not_passed(void **state)
{
    (void)state;
    Scale scale = {from_137, NULL, 0};
    long found = 0;
    assert_true(seek_index(at, &scale, 0, 137, 1, &found));
    assert_int_equal(found, 137);
    assert_false(seek_index(at, &scale, 0, 136, 1, &found));
    assert_false(seek_index(at, &scale, 5, 5, 1, &found));
}

static void test_none(void **state)
{
    (void)state;
    Scale scale = {never, NULL, 0};
    long found;
    assert_false(seek_index(at, &scale, 0, 1000000, 1, &found));
    assert_true(scale.looked < 60);
}

/* Steps that grow by half pass over three numbers near 70; the margin leads there. */
static void test_narrow_interval(void **state)
{
    (void)state;
    Scale scale = {narrow_then_wide, towards_both, 0};
    long found = 0;
    assert_true(seek_index(at, &scale, 0, 2000, 1, &found));
    assert_int_equal(found, 70);
    assert_true(seek_index(at, &scale, 100, -50, 1, &found));
    assert_int_equal(found, 72);
}

static void test_higher_rank(void **state)
{
    (void)state;
    Scale scale = {two_steps, NULL, 0};
    long found = 0;
    assert_true(seek_index(at, &scale, 0, 100, 1, &found));
    assert_int_equal(found, 12);
    assert_true(seek_index(at, &scale, 0, 100, 2, &found));
    assert_int_equal(found, 57);
}

/* Every first number from every start. */
static long wanted;

static int from_wanted(long index)
{
    return index >= wanted;
}

static void test_every_first(void **state)
{
    (void)state;
    for (wanted = 1; wanted <= 200; wanted++)
        for (long start = 0; start < wanted; start += 7) {
            Scale scale = {from_wanted, NULL, 0};
            long found = 0;
            assert_true(seek_index(at, &scale, start, 200, 1, &found));
            assert_int_equal(found, wanted);
        }
}

/* ---- Roots ---- */

static double parabola(void *data, double x)
{
    (void)data;
    return x * x - 2;
}

static double less_three(void *data, double x)
{
    (void)data;
    return x - 3;
}

static double steep(void *data, double x)
{
    (void)data;
    return x < 1.25 ? -1e-9 : 1e9;
}

static double holed(void *data, double x)
{
    (void)data;
    return x > 0.4 && x < 0.6 ? (double)NAN : x - 0.5;
}

static void test_roots(void **state)
{
    (void)state;
    double root = 0;
    assert_true(seek_root(parabola, NULL, 0, 2, 1e-13, &root));
    assert_true(fabs(root - sqrt(2)) < 1e-12);
    assert_true(seek_root(parabola, NULL, 2, 0, 1e-13, &root));
    assert_true(fabs(root - sqrt(2)) < 1e-12);
    assert_true(seek_root(less_three, NULL, 3, 9, 1e-13, &root));
    assert_true(root == 3);
    assert_true(seek_root(less_three, NULL, -9, 3, 1e-13, &root));
    assert_true(root == 3);
    assert_true(seek_root(steep, NULL, 0, 7, 1e-9, &root));
    assert_true(fabs(root - 1.25) < 1e-8);
    assert_false(seek_root(parabola, NULL, 2, 3, 1e-13, &root));
    assert_false(seek_root(holed, NULL, 0, 1, 1e-13, &root));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_first_of_a_step),
        cmocka_unit_test(test_bound_is_not_passed),
        cmocka_unit_test(test_none),
        cmocka_unit_test(test_narrow_interval),
        cmocka_unit_test(test_higher_rank),
        cmocka_unit_test(test_every_first),
        cmocka_unit_test(test_roots),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

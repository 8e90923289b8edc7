/* Every kernel gives lane by lane, to the last bit, what the arithmetic of the
 * plain evaluator gives: random lanes of every sort, huge, tiny and next to
 * each other. */
#include "random_rules.h"

#include "rule/interval.h"
#include "rule/kernel.h"
#include "rule/kleene.h"

enum { ROUNDS = 3000 };

static double draw_odd(Random *random)
{
    static const double odd[] = {0,      -0.0,   1,       -1,     1e308, -1e308, 1.7e308,
                                 5e-324, 1e-310, -5e-324, 1e-160, 3,     1e160};
    return chance(random, 30) ? odd[draw(random, sizeof odd / sizeof *odd)] : draw_value(random);
}

static PlainNumber draw_number(Random *random, bool exact)
{
    double value = draw_odd(random);
    if (chance(random, 8)) {
        return number_unknown();
    }
    if (exact || chance(random, 25)) {
        return number_exact(value);
    }
    if (chance(random, 10)) {
        return number_doubtful(chance(random, 30) ? NAN : value);
    }
    double below = chance(random, 30) ? 0 : fabs(draw_value(random));
    return (PlainNumber){value, value - below, value + fabs(draw_value(random))};
}

static void set_number(Numbers *numbers, int lane, PlainNumber number)
{
    numbers->nominal[lane] = number.nominal;
    numbers->lo[lane] = number.lo;
    numbers->hi[lane] = number.hi;
    numbers->wide = numbers->wide || number.lo < number.hi;
}

static void draw_numbers(Random *random, Numbers *numbers)
{
    bool exact = chance(random, 30);
    numbers->wide = false;
    for (int i = 0; i < KERNEL_LANES; i++) {
        set_number(numbers, i, draw_number(random, exact));
    }
}

/* Some of the lanes of `numbers` next to those of `other`, near enough to be
 * forgiven or just not. */
static void bring_near(Random *random, Numbers *numbers, const Numbers *other)
{
    static const double shares[] = {0, 1e-12, 9e-10, 1.1e-9, 1e-8};
    for (int i = 0; i < KERNEL_LANES; i++) {
        double share = shares[draw(random, 5)] * (chance(random, 50) ? 1 : -1);
        if (chance(random, 40) && !isnan(other->nominal[i])) {
            set_number(numbers, i, number_exact(other->nominal[i] * (1 + share)));
        }
    }
}

static PlainNumber number_at(const Numbers *numbers, int lane)
{
    if (!numbers->wide) {
        return number_exact(numbers->nominal[lane]);
    }
    return (PlainNumber){numbers->nominal[lane], numbers->lo[lane], numbers->hi[lane]};
}

static bool same_double(double a, double b)
{
    return (isnan(a) && isnan(b)) || (a == b && signbit(a) == signbit(b));
}

/* The sign of a zero bound of an interval is nobody's business. */
static bool same_number(PlainNumber a, PlainNumber b)
{
    bool ends = (isnan(a.lo) && isnan(b.lo) && isnan(a.hi) && isnan(b.hi)) ||
                (a.lo == b.lo && a.hi == b.hi);
    return ends && same_double(a.nominal, b.nominal);
}

typedef PlainNumber (*Expect)(PlainNumber a, PlainNumber b);

static void expect_lanes(const char *what, const Numbers *got, const Numbers *a, const Numbers *b,
                         Expect expect)
{
    for (int i = 0; i < KERNEL_LANES; i++) {
        PlainNumber x = number_at(a, i), y = number_at(b, i), due = expect(x, y);
        PlainNumber is = number_at(got, i);
        if (!same_number(is, due)) {
            print_message("%s of [%a %a %a] and [%a %a %a]: [%a %a %a], not [%a %a %a]\n", what,
                          x.lo, x.nominal, x.hi, y.lo, y.nominal, y.hi, is.lo, is.nominal, is.hi,
                          due.lo, due.nominal, due.hi);
            fail();
        }
    }
}

static PlainNumber expect_negate(PlainNumber a, PlainNumber b)
{
    (void)b;
    return number_negate(a);
}

static PlainNumber expect_cube(PlainNumber a, PlainNumber b)
{
    (void)b;
    return number_power(a, 3);
}

#define EXPECT_FUNCTION(name, function)                                                            \
    static PlainNumber name(PlainNumber a, PlainNumber b)                                          \
    {                                                                                              \
        return number_function(function, a, b);                                                    \
    }
EXPECT_FUNCTION(expect_min, FUNCTION_MIN)
EXPECT_FUNCTION(expect_max, FUNCTION_MAX)
EXPECT_FUNCTION(expect_abs, FUNCTION_ABS)
EXPECT_FUNCTION(expect_root, FUNCTION_SQRT)
EXPECT_FUNCTION(expect_floor, FUNCTION_FLOOR)
EXPECT_FUNCTION(expect_sine, FUNCTION_SIN)

static void test_arithmetic(void **state)
{
    (void)state;
    Random random = {.state = 11};
    Numbers n[3];
    Numbers *a = &n[0], *b = &n[1], *to = &n[2];
    for (int round = 0; round < ROUNDS; round++) {
        draw_numbers(&random, a);
        draw_numbers(&random, b);
        kernel_add(to, a, b);
        expect_lanes("sum", to, a, b, number_add);
        kernel_subtract(to, a, b);
        expect_lanes("difference", to, a, b, number_subtract);
        kernel_multiply(to, a, b);
        expect_lanes("product", to, a, b, number_multiply);
        kernel_divide(to, a, b);
        expect_lanes("quotient", to, a, b, number_divide);
        kernel_call(to, FUNCTION_MIN, a, b);
        expect_lanes("min", to, a, b, expect_min);
        kernel_call(to, FUNCTION_MAX, a, b);
        expect_lanes("max", to, a, b, expect_max);
        kernel_call(to, FUNCTION_ABS, a, NULL);
        expect_lanes("abs", to, a, b, expect_abs);
        kernel_call(to, FUNCTION_SQRT, a, NULL);
        expect_lanes("sqrt", to, a, b, expect_root);
        kernel_call(to, FUNCTION_FLOOR, a, NULL);
        expect_lanes("floor", to, a, b, expect_floor);
        kernel_call(to, FUNCTION_SIN, a, NULL);
        expect_lanes("sin", to, a, b, expect_sine);
        kernel_negate(to, a);
        expect_lanes("negation", to, a, b, expect_negate);
        kernel_power(to, a, 3);
        expect_lanes("cube", to, a, b, expect_cube);
    }
}

static void set_truth(Truths *truths, int lane, PlainTruth truth)
{
    truths->is_true |= (uint64_t)(truth.nominal == KLEENE_TRUE) << lane;
    truths->is_false |= (uint64_t)(truth.nominal == KLEENE_FALSE) << lane;
    truths->can_true |= (uint64_t)truth.can_true << lane;
    truths->can_false |= (uint64_t)truth.can_false << lane;
    truths->can_unknown |= (uint64_t)truth.can_unknown << lane;
}

static PlainTruth draw_truth(Random *random)
{
    PlainTruth truth = {.nominal = (Kleene)draw(random, 3)};
    bool sure = chance(random, 50);
    truth.can_true = truth.nominal == KLEENE_TRUE || (!sure && chance(random, 40));
    truth.can_false = truth.nominal == KLEENE_FALSE || (!sure && chance(random, 40));
    truth.can_unknown = truth.nominal == KLEENE_UNKNOWN || (!sure && chance(random, 40));
    return truth;
}

static void test_choose(void **state)
{
    (void)state;
    Random random = {.state = 12};
    Numbers n[3];
    for (int round = 0; round < ROUNDS; round++) {
        PlainTruth conditions[KERNEL_LANES];
        Truths condition = {0};
        for (int i = 0; i < KERNEL_LANES; i++) {
            conditions[i] = draw_truth(&random);
            set_truth(&condition, i, conditions[i]);
        }
        draw_numbers(&random, &n[0]);
        draw_numbers(&random, &n[1]);
        kernel_choose(&n[2], &condition, &n[0], &n[1], false);
        for (int i = 0; i < KERNEL_LANES; i++) {
            PlainNumber due =
                number_select(&conditions[i], number_at(&n[0], i), number_at(&n[1], i));
            assert_true(same_number(number_at(&n[2], i), due));
        }
    }
}

static bool same_truths(Truths a, Truths b)
{
    return a.is_true == b.is_true && a.is_false == b.is_false && a.can_true == b.can_true &&
           a.can_false == b.can_false && a.can_unknown == b.can_unknown;
}

static void test_logic(void **state)
{
    (void)state;
    Random random = {.state = 13};
    for (int round = 0; round < ROUNDS; round++) {
        Truths a = {0}, b = {0}, c = {0}, both = {0}, either = {0}, not = {0}, chosen = {0};
        for (int i = 0; i < KERNEL_LANES; i++) {
            PlainTruth x = draw_truth(&random), y = draw_truth(&random), z = draw_truth(&random);
            set_truth(&a, i, x);
            set_truth(&b, i, y);
            set_truth(&c, i, z);
            set_truth(&both, i, truth_and(x, y));
            set_truth(&either, i, truth_or(x, y));
            set_truth(&not, i, truth_not(x));
            set_truth(&chosen, i, truth_if(x, y, z));
        }
        assert_true(same_truths(truths_and(a, b), both));
        assert_true(same_truths(truths_or(a, b), either));
        assert_true(same_truths(truths_not(a), not ));
        assert_true(same_truths(truths_choose(a, b, c), chosen));
    }
}

/* What >= is by definition, written out once more. */
static PlainTruth at_least(PlainNumber a, PlainNumber b)
{
    bool unknown = isnan(a.nominal) || isnan(b.nominal);
    PlainTruth truth = {.nominal = unknown                              ? KLEENE_UNKNOWN
                                   : number_holds(a.nominal, b.nominal) ? KLEENE_TRUE
                                                                        : KLEENE_FALSE};
    if (number_is_unknown(a) || number_is_unknown(b)) {
        truth.can_unknown = true;
    } else if (number_is_doubtful(a) || number_is_doubtful(b)) {
        truth.can_true = truth.can_false = truth.can_unknown = true;
    } else {
        truth.can_true = number_holds(a.hi, b.lo);
        truth.can_false = !number_holds(a.lo, b.hi);
    }
    return truth;
}

static void test_at_least(void **state)
{
    (void)state;
    Random random = {.state = 14};
    Numbers n[2];
    for (int round = 0; round < ROUNDS; round++) {
        draw_numbers(&random, &n[0]);
        draw_numbers(&random, &n[1]);
        bring_near(&random, &n[1], &n[0]);
        Truths got, due = {0};
        kernel_at_least(&got, &n[0], &n[1]);
        for (int i = 0; i < KERNEL_LANES; i++) {
            set_truth(&due, i, at_least(number_at(&n[0], i), number_at(&n[1], i)));
        }
        assert_true(same_truths(got, due));
    }
}

/* A doubtful word may be any, whatever the set. */
static void test_doubtful_word(void **state)
{
    (void)state;
    Numbers n[2] = {0};
    Truths got;
    for (int i = 0; i < KERNEL_LANES; i++) {
        set_number(&n[0], i, i % 2 ? number_doubtful(1) : number_exact(1));
        n[1].nominal[i] = 0;
    }
    kernel_in_sets(&got, &n[0], &n[1], false);
    assert_true(got.can_true == 0xaaaaaaaaaaaaaaaau && got.can_unknown == got.can_true);
    assert_true(got.is_false == ~0ull && got.can_false == ~0ull && got.is_true == 0);
    kernel_in_words(&got, &n[0], 2);
    assert_true(got.can_false == 0xaaaaaaaaaaaaaaaau && got.can_unknown == got.can_false);
    assert_true(got.is_true == ~0ull && got.can_true == ~0ull && got.is_false == 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_arithmetic),    cmocka_unit_test(test_choose),
        cmocka_unit_test(test_logic),         cmocka_unit_test(test_at_least),
        cmocka_unit_test(test_doubtful_word),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

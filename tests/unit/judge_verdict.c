/* The table from truth to verdict, entry by entry. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include "judge/inside.h"

#define OUT VERDICT_OUT
#define PASS VERDICT_PASS
#define TIGHT VERDICT_TIGHT
#define UNKNOWN VERDICT_UNKNOWN
#define FLAG VERDICT_FLAG

/* Columns: fails nowhere in the box, unknown somewhere, fails somewhere, both. */
static const struct {
    Kleene when, require;
    Verdict verdicts[4];
} table[] = {
    {KLEENE_FALSE, KLEENE_FALSE, {OUT, UNKNOWN, TIGHT, TIGHT}},
    {KLEENE_FALSE, KLEENE_UNKNOWN, {OUT, UNKNOWN, TIGHT, TIGHT}},
    {KLEENE_FALSE, KLEENE_TRUE, {OUT, UNKNOWN, TIGHT, TIGHT}},
    {KLEENE_UNKNOWN, KLEENE_FALSE, {UNKNOWN, UNKNOWN, UNKNOWN, UNKNOWN}},
    {KLEENE_UNKNOWN, KLEENE_UNKNOWN, {UNKNOWN, UNKNOWN, UNKNOWN, UNKNOWN}},
    {KLEENE_UNKNOWN, KLEENE_TRUE, {UNKNOWN, UNKNOWN, UNKNOWN, UNKNOWN}},
    {KLEENE_TRUE, KLEENE_FALSE, {FLAG, FLAG, FLAG, FLAG}},
    {KLEENE_TRUE, KLEENE_UNKNOWN, {UNKNOWN, UNKNOWN, UNKNOWN, UNKNOWN}},
    {KLEENE_TRUE, KLEENE_TRUE, {PASS, UNKNOWN, TIGHT, TIGHT}},
};

static void test_table(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof table / sizeof *table; i++)
        for (unsigned box = 0; box < 4; box++) {
            LaneFacts facts = {.met = true, .when = table[i].when, .require = table[i].require,
                               .fail_unknown = box & 1, .fail_possible = box >> 1 & 1};
            assert_int_equal(verdict_of(facts), table[i].verdicts[box]);
            facts.met = false;
            assert_int_equal(verdict_of(facts), VERDICT_OUT);
        }
}

static void test_merge(void **state)
{
    (void)state;
    static const Verdict merged[5][5] = {
        [OUT] = {OUT, PASS, TIGHT, UNKNOWN, UNKNOWN},
        [PASS] = {PASS, PASS, TIGHT, UNKNOWN, UNKNOWN},
        [TIGHT] = {TIGHT, TIGHT, TIGHT, UNKNOWN, UNKNOWN},
        [UNKNOWN] = {UNKNOWN, UNKNOWN, UNKNOWN, UNKNOWN, UNKNOWN},
        [FLAG] = {UNKNOWN, UNKNOWN, UNKNOWN, UNKNOWN, FLAG},
    };
    for (Verdict a = VERDICT_OUT; a <= VERDICT_FLAG; a++)
        for (Verdict b = VERDICT_OUT; b <= VERDICT_FLAG; b++)
            assert_int_equal(verdict_merge(a, b), merged[a][b]);
}

static void test_names(void **state)
{
    (void)state;
    static const char *const names[VERDICT_COUNT] = {"out", "pass", "tight", "unknown", "flag",
                                                     "off"};
    static const char signs[] = "-+~?!x";
    for (Verdict verdict = VERDICT_OUT; verdict < VERDICT_COUNT; verdict++) {
        assert_string_equal(verdict_name(verdict), names[verdict]);
        assert_int_equal(verdict_sign(verdict), signs[verdict]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_table),
        cmocka_unit_test(test_merge),
        cmocka_unit_test(test_names),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

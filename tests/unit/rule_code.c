/* What the compiler makes of rules: shared parts, shared loops, what is taken
 * out of loops. That the code is right is tests/property/code_against_plain.c's. */
#include "rule_kit.h"

#include "rule/code.h"

enum { RULES_MOST = 4 };

/* Compiles formulas about bends, each the requirement of a rule "rule-N". */
static Code *compiled(Kit *kit, const char *const *texts, size_t count)
{
    Rule *rules[RULES_MOST];
    for (size_t i = 0; i < count; i++) {
        rules[i] = kit_rule(kit, SUBJECT_BEND);
        rules[i]->id = arena_printf(&kit->arena, "rule-%zu", i + 1);
        rules[i]->require = kit_formula(kit, rules[i], texts[i]);
        if (!rules[i]->require) {
            kit_fail(kit);
        }
        assert_non_null(rules[i]->require);
    }
    return code_compile(&kit->arena, SUBJECT_BEND, rules, count);
}

static void assert_code(const char *const *texts, size_t count, const char *due)
{
    Kit kit = {0};
    Text text = {0};
    assert_non_null(kit_read(&kit, NULL, NULL));
    code_write(&text, compiled(&kit, texts, count));
    assert_string_equal(text_string(&text), due);
    text_free(&text);
    kit_end(&kit);
}

static void test_overs_of_one_set_share_a_loop(void **state)
{
    (void)state;
    const char *const texts[] = {"every edge.ply (ply.thickness <= radius * 2)",
                                 "sum edge.ply where (ply.under) (ply.thickness) > 2 * radius"};
    assert_code(texts, 2,
                "once\n"
                "    t0 = always\n"
                "    n0 = number 2\n"
                "each block of places and lanes\n"
                "    r0 = place\n"
                "    r1 = follow edge r0\n"
                "    n1 = read radius r0\n"
                "    n2 = multiply n1, n0\n"
                "    each ply r1\n"
                "        t1 = meets from nothing\n"
                "        n1 = sum from nothing\n"
                "        t2 = meets from nothing\n"
                "        t3 = every from nothing\n"
                "        r1 = next\n"
                "        n3 = read thickness r1\n"
                "        t4 = at least n2, n3\n"
                "        n4 = read under r1\n"
                "        t5 = truth n4\n"
                "        t1 = meets with t5\n"
                "        n1 = sum with n3, t5\n"
                "        t2 = meets with\n"
                "        t3 = every with t4\n"
                "        again\n"
                "    rule rule-1 t0, t3, t2\n"
                "    t3 = at least n2, n1\n"
                "    t2 = not t3\n"
                "    rule rule-2 t0, t2, t1\n"
                "registers: 2 records, 5 numbers, 6 truths\n");
}

/* `most` does not read the ply around it: it is found once, before the loop. */
static void test_over_leaves_the_loop_it_does_not_need(void **state)
{
    (void)state;
    const char *const texts[] = {"some edge.ply (ply.thickness >= most edge.ply (ply.thickness))"};
    assert_code(texts, 1,
                "once\n"
                "    t0 = always\n"
                "each block of places and lanes\n"
                "    r0 = place\n"
                "    r1 = follow edge r0\n"
                "    each ply r1\n"
                "        n0 = most from nothing\n"
                "        r0 = next\n"
                "        n1 = read thickness r0\n"
                "        n0 = most with n1\n"
                "        again\n"
                "    n0 = most is whole\n"
                "    each ply r1\n"
                "        t1 = some from nothing\n"
                "        r1 = next\n"
                "        n1 = read thickness r1\n"
                "        t2 = at least n1, n0\n"
                "        t1 = some with t2\n"
                "        again\n"
                "    rule rule-1 t0, t1, t0\n"
                "registers: 2 records, 2 numbers, 3 truths\n");
}

static void sizes(const char *const *texts, size_t count, size_t *instructions, size_t *unshared)
{
    Kit kit = {0};
    assert_non_null(kit_read(&kit, NULL, NULL));
    code_size(compiled(&kit, texts, count), instructions, unshared);
    kit_end(&kit);
}

static void test_sizes(void **state)
{
    (void)state;
    const char *const texts[] = {"radius >= left", "radius < left",
                                 "left > radius or radius >= left"};
    size_t instructions, unshared;
    sizes(texts, 1, &instructions, &unshared);
    assert_int_equal(instructions, 6); /* always, place, two reads, at least, rule */
    assert_int_equal(unshared, 6);
    sizes(texts, 2, &instructions, &unshared);
    assert_int_equal(instructions, 8); /* and a negation and a rule */
    assert_int_equal(unshared, 12);
    sizes(texts, 3, &instructions, &unshared);
    assert_int_equal(instructions, 10); /* left > radius is radius < left: an `or` and a rule */
    assert_int_equal(unshared, 22);
}

static void test_nothing_to_do(void **state)
{
    (void)state;
    Kit kit = {0};
    const char *const texts[] = {"radius >= left"};
    assert_non_null(kit_read(&kit, NULL, NULL));
    Columns *columns = kit_columns(0, 1, 1, 1);
    assert_non_null(code_run(&kit.arena, compiled(&kit, texts, 1), columns));
    assert_non_null(code_run(&kit.arena, code_compile(&kit.arena, SUBJECT_EDGE, NULL, 0), columns));
    columns_free(columns);
    kit_end(&kit);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_overs_of_one_set_share_a_loop),
        cmocka_unit_test(test_over_leaves_the_loop_it_does_not_need),
        cmocka_unit_test(test_sizes),
        cmocka_unit_test(test_nothing_to_do),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

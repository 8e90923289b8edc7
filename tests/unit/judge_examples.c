/* Examples of rules: right ones pass, wrong ones are named with their reason. */
#include "judge_reading.h"

static void test_right_examples(void **state)
{
    (void)state;
    const char *path = "tests/fixtures/judge-rules.yaml";
    Messages messages = {0};
    Factory *factory = factory_read("tests/fixtures/judge-shop.yaml", &messages);
    /* Also where a factory replaced limits: examples are about the rule as written. */
    for (int named = 0; named < 2; named++) {
        RuleSet *rules = rules_read(&path, 1, named ? factory : NULL, &messages);
        assert_non_null(rules);
        size_t run = 0, count = 0;
        for (size_t i = 0; i < rules->rule_count; i++)
            count += rules->rules[i]->example_count;
        bool good = judge_examples(rules, &messages, &run);
        messages_write(&messages, stderr);
        assert_true(good);
        assert_int_equal(run, count);
        assert_true(count >= 20);
        rules_free(rules);
    }
    factory_free(factory);
    messages_free(&messages);
}

static void test_wrong_examples(void **state)
{
    (void)state;
    static const struct {
        int line;
        const char *text;
    } expected[] = {
        {14, "wrong-verdict: this example expects flag, but the verdict is pass: holds"},
        {15, "wrong-verdict: this example expects pass, but the verdict is flag: 9 mm is short"},
        {16, "wrong-verdict: this example expects pass, but the verdict is unknown: "
             "cannot be judged: length of the edge is not known"},
        {17, "wrong-verdict: this example expects flag, but the verdict is out: "
             "does not apply here because finish is raw, not turned"},
        {18, "edge has no lenght; did you mean length?"},
        {19, "length"},
        {20, "ply is a set: give it a list of mappings"},
        {21, "ply: write a list of mappings, [] or unknown"},
        {22, "path is no value a formula can read"},
        {23, "write a mapping of values of the material"},
    };
    const char *path = "tests/fixtures/judge-wrong.yaml";
    Messages messages = {0};
    RuleSet *rules = rules_read(&path, 1, NULL, &messages);
    if (!rules)
        messages_write(&messages, stderr);
    assert_non_null(rules);
    size_t run = 0;
    assert_false(judge_examples(rules, &messages, &run));
    assert_int_equal(run, 11);
    assert_int_equal(messages.count, sizeof expected / sizeof *expected);
    for (size_t i = 0; i < messages.count; i++) {
        assert_int_equal(messages.items[i].at.line, expected[i].line);
        if (!strstr(messages.items[i].text, expected[i].text))
            fail_msg("%s", messages.items[i].text);
    }
    rules_free(rules);
    messages_free(&messages);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_right_examples),
        cmocka_unit_test(test_wrong_examples),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Explanations compared with texts kept beside the fixtures. */
#include "judge_reading.h"

#include "base/file.h"

/* The texts of one file, each after a line "== NAME". */
static void assert_golden(const char *name, const char *got)
{
    Arena arena = {0};
    Messages messages = {0};
    char *bytes;
    size_t length;
    assert_true(file_read(&arena, "tests/fixtures/judge-explain.txt", 1 << 20, &messages, &bytes,
                          &length));
    char *head = arena_printf(&arena, "== %s\n", name);
    char *start = strstr(bytes, head);
    if (!start)
        fail_msg("no text called %s; got:\n%s%s", name, head, got);
    start += strlen(head);
    char *end = strstr(start, "\n== ");
    const char *expected = arena_copy(&arena, start, end ? (size_t)(end - start)
                                                         : strlen(start));
    if (strcmp(got, expected) != 0)
        printf("%s%s", head, got); /* whole: messages are cut */
    assert_string_equal(got, expected);
    arena_free(&arena);
    messages_free(&messages);
}

static void assert_explained(const Judged *judged, const char *rule, const char *place)
{
    const Finding *finding = finding_of(judged, rule, place);
    Arena arena = {0};
    Text text = {0};
    explain_finding(&text, judged->judgement, finding,
                    finding_worst_lane(judged->judgement, finding), 80);
    assert_golden(arena_printf(&arena, "%s at %s", rule, place), text_string(&text));
    text_free(&text);
    arena_free(&arena);
}

static void test_findings(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    assert_explained(&judged, "turn-pitch", "bend left.tip.1");
    assert_explained(&judged, "turn-pitch", "bend left.tip.2");
    assert_explained(&judged, "turn-pitch", "bend twin.tip.1");
    assert_explained(&judged, "stack-sum", "row riddled.1");
    assert_explained(&judged, "stack-sum", "row one-hide.1");
    assert_explained(&judged, "machine-feed", "row one-hide.1");
    assert_explained(&judged, "strip-narrow", "part strip");
    assert_explained(&judged, "turn-off", "edge left.top");
    judged_free(&judged);
}

static void test_rule(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    Text text = {0};
    explain_rule(&text, judged.rules, rules_find(judged.rules, "turn-pitch"), 80);
    assert_golden("rule turn-pitch", text_string(&text));
    text_free(&text);
    judged_free(&judged);
}

/* Lines keep to the width asked for wherever they can be broken. */
static void test_width(void **state)
{
    (void)state;
    Judged judged = judged_fixture();
    for (size_t i = 0; i < judged.judgement->count; i++) {
        Text text = {0};
        explain_finding(&text, judged.judgement, &judged.judgement->findings[i], 0, 72);
        for (const char *line = text_string(&text); *line;) {
            size_t length = strcspn(line, "\n");
            assert_true(length <= 72 + 4); /* bytes: ± takes two */
            line += length + (line[length] == '\n');
        }
        text_free(&text);
    }
    judged_free(&judged);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_findings),
        cmocka_unit_test(test_rule),
        cmocka_unit_test(test_width),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

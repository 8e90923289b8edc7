/* SARIF, read again by another program and held against what the standard requires. */
#include "report_kit.h"

#include "log/sum.h"
#include "report/sarif.h"

static const char turn[] = "turn-radius", bend[] = "bend front.top.1";

static void written(Text *out, const Shown *shown, bool all)
{
    sarif_write(out, &shown->told, 1, &(Telling){.all = all});
}

static void it_keeps_the_standard(void **state)
{
    (void)state;
    const Change change[] = {{"narrowest: exactly 12 mm", "narrowest: unknown"}, {NULL, NULL}};
    for (int all = 0; all < 2; all++) {
        Shown shown = {0};
        shown_start(&shown, judged_as(NULL, NULL, change, NULL), NULL, 0);
        Text out = {0};
        written(&out, &shown, all);
        assert_string_equal(reread(&shown.arena, "sarif", &out, ""), "");
        text_free(&out);
        shown_end(&shown);
    }
}

static void a_flag_fails_at_its_line(void **state)
{
    (void)state;
    Shown shown = {0};
    Judged *judged = judged_as(NULL, NULL, NULL, NULL);
    shown_start(&shown, judged, NULL, 0);
    Text out = {0};
    written(&out, &shown, false);
    const char *said =
        reread(&shown.arena, "json", &out,
               "version runs.0.tool.driver.name runs.0.columnKind runs.0.results.1.ruleId "
               "runs.0.results.1.kind runs.0.results.1.level runs.0.results.1.suppressions "
               "runs.0.results.1.locations.0.physicalLocation.artifactLocation.uri "
               "runs.0.results.1.locations.0.physicalLocation.region.startLine "
               "runs.0.results.1.locations.0.logicalLocations.0.fullyQualifiedName "
               "runs.0.artifacts.0.hashes.sha-256 runs.0.artifacts.0.roles.0 "
               "runs.0.results.1.message.text");
    const YamlFile *file = judged->style->file;
    Sum sum = sum_of(file->bytes, file->length, "", 0);
    const Where at = finding_of(judged, turn, bend)->at;
    assert_string_equal(
        said,
        arena_printf(&shown.arena,
                     "\"2.1.0\"\n\"cordwain\"\n\"unicodeCodePoints\"\n\"turn-radius\"\n\"fail\"\n"
                     "\"warning\"\n[]\n\"ferry.yaml\"\n%d\n\"bend front.top.1\"\n\"%s\"\n"
                     "\"analysisTarget\"\n\"bend front.top.1: the curve of 5 mm is 1 mm too sharp; "
                     "6 mm is turned (radius: 1 mm too little, in every size)\"\n",
                     at.line, sum.hex));
    text_free(&out);
    shown_end(&shown);
}

/* Whether the only result of the rule at the place is suppressed, and how it is told. */
static const char *suppressed(const LogRecord *changed, const char *until)
{
    static char said[512];
    Shown shown = {0};
    Judged *judged = judged_as("mild", NULL, NULL, NULL);
    LogRecord record =
        decided_now(&judged->arena, judged, finding_of(judged, turn, bend), changed->decision);
    record.until = until;
    record.why = changed->why;
    shown_start(&shown, judged, &record, 1);
    Text out = {0};
    written(&out, &shown, false);
    assert_string_equal(reread(&shown.arena, "sarif", &out, ""), "");
    snprintf(said, sizeof said, "%s",
             reread(&shown.arena, "json", &out, "runs.0.results.0.suppressions"));
    text_free(&out);
    shown_end(&shown);
    return said;
}

static void only_a_permit_that_holds_suppresses(void **state)
{
    (void)state;
    LogRecord record = {.decision = DECISION_PERMIT, .why = "one pair"};
    assert_string_equal(suppressed(&record, "2026-03-31"),
                        "[{\"kind\": \"external\", \"status\": \"accepted\", \"justification\": "
                        "\"permit by Ada and Bo until 2026-03-31: one pair\"}]\n");
    assert_string_equal(suppressed(&record, "2026-03-14"), "[]\n");
    record.decision = DECISION_HOLD;
    assert_string_equal(suppressed(&record, "2026-03-31"), "[]\n");
}

static void every_rule_is_listed_and_off_ones_are_disabled(void **state)
{
    (void)state;
    Shown shown = {0};
    Judged *judged = judged_as(NULL, NULL, NULL, NULL);
    for (size_t i = 0; i < judged->rules->rule_count; i++)
        if (strcmp(judged->rules->rules[i]->id, "edge-long") == 0)
            judged->rules->rules[i]->off_reason = "not here";
    shown_start(&shown, judged, NULL, 0);
    Text out = {0};
    written(&out, &shown, true);
    assert_string_equal(reread(&shown.arena, "json", &out,
                               "runs.0.tool.driver.rules.0.id runs.0.tool.driver.rules.0.name "
                               "runs.0.tool.driver.rules.0.defaultConfiguration.enabled "
                               "runs.0.tool.driver.rules.0.defaultConfiguration.level "
                               "runs.0.tool.driver.rules.3.id "
                               "runs.0.tool.driver.rules.3.defaultConfiguration.enabled"),
                        "\"edge-long\"\n\"EdgeLong\"\nfalse\n\"error\"\n\"wear-narrow\"\ntrue\n");
    text_free(&out);
    shown_end(&shown);
}

/* A fingerprint stays when lines are added before the place. */
static void fingerprints_outlive_edits(void **state)
{
    (void)state;
    char first[256] = "";
    const Change comments[] = {{"stage:", "# one\n# two\nstage:"}, {NULL, NULL}};
    for (int edited = 0; edited < 2; edited++) {
        Shown shown = {0};
        shown_start(&shown, judged_as(NULL, NULL, edited ? comments : NULL, NULL), NULL, 0);
        Text out = {0};
        written(&out, &shown, false);
        const char *prints =
            reread(&shown.arena, "json", &out, "runs.0.results.0.partialFingerprints");
        if (edited)
            assert_string_equal(prints, first);
        snprintf(first, sizeof first, "%s", prints);
        text_free(&out);
        shown_end(&shown);
    }
}

static void paths_are_references(void **state)
{
    (void)state;
    static const struct {
        const char *path, *reference;
    } cases[] = {
        {"./styles//a.yaml", "\"styles//a.yaml\"\n"},
        {"/tmp/a b.yaml", "\"file:///tmp/a%20b.yaml\"\n"},
        {"c:a?b#c.yaml", "\"c%3Aa%3Fb%23c.yaml\"\n"},
        {"50%.yaml", "\"50%25.yaml\"\n"},
        {"<script>\"\xff.yaml", "\"%3Cscript%3E%22%FF.yaml\"\n"},
        {"gr\xc3\xb6\xc3\x9f"
         "e.yaml",
         "\"gr%C3%B6%C3%9Fe.yaml\"\n"},
        {"\x1b[31m\n.yaml", "\"%1B%5B31m%0A.yaml\"\n"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Shown shown = {0};
        Judged *judged = judged_as(NULL, NULL, NULL, NULL);
        ((YamlFile *)judged->style->file)->path = cases[i].path;
        shown_start(&shown, judged, NULL, 0);
        Text out = {0};
        written(&out, &shown, false);
        assert_string_equal(reread(&shown.arena, "json", &out, "runs.0.artifacts.0.location.uri"),
                            cases[i].reference);
        text_free(&out);
        shown_end(&shown);
    }
}

static void names_from_strangers_do_no_harm(void **state)
{
    (void)state;
    static const char *const names[] = {"<script>alert(1)</script>", "[x](http://x)", "{0} {",
                                        "\\u202Egnp.exe"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        Shown shown = {0};
        Arena arena = {0};
        const char *name = arena_printf(&arena, "\"%s\"", names[i]);
        const Change style[] = {{"Ferry slipper (invented)", name}, {NULL, NULL}};
        const Change rules[] = {
            {"Curve too sharp", name}, {"the cuts show as corners", name}, {NULL, NULL}};
        Judged *judged = judged_as(NULL, NULL, style, rules);
        LogRecord record =
            decided_now(&judged->arena, judged, finding_of(judged, turn, bend), DECISION_PERMIT);
        record.why = "<b>[y](http://y)\x1b[31m\xe2\x80\xae";
        shown_start(&shown, judged, &record, 1);
        Text out = {0};
        written(&out, &shown, true);
        assert_string_equal(reread(&arena, "sarif", &out, ""), "");
        assert_null(strstr(out.bytes, "\\u202e"));
        assert_null(strstr(out.bytes, "\\u202E"));
        text_free(&out);
        shown_end(&shown);
        arena_free(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_keeps_the_standard),
        cmocka_unit_test(a_flag_fails_at_its_line),
        cmocka_unit_test(only_a_permit_that_holds_suppresses),
        cmocka_unit_test(every_rule_is_listed_and_off_ones_are_disabled),
        cmocka_unit_test(fingerprints_outlive_edits),
        cmocka_unit_test(paths_are_references),
        cmocka_unit_test(names_from_strangers_do_no_harm),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* The report on a style: it and the log agree in every state, what strangers wrote is harmless,
 * inputs are known under any name, what changed is told with the worst first. */
#include "log_kit.h"

#include <locale.h>
#include <sys/stat.h>

#include "base/utf8.h"
#include "report/content.h"
#include "report/runs.h"

static const Date today = {2026, 3, 15};

static Log log_of(const LogRecord *records, size_t count)
{
    return (Log){.exists = true,
                 .code = "FS-1",
                 .records = records,
                 .count = count,
                 .path = LOGGED "ferry.log.yaml"};
}

typedef void (*Writer)(Text *, const Report *);

static Text report_by(Writer writer, const Judged *judged, const Log *log, Date day,
                      const ReportSince *since)
{
    Decisions *decisions = decisions_find(judged->judgement, log, day);
    Told told = {decisions, NULL};
    ReportStyle content = {&told, log, since, NULL};
    Report *report = report_new("report");
    Text text = {0};
    report_style(report, &content);
    writer(&text, report);
    report_free(report);
    decisions_free(decisions);
    return text;
}

/* As one line, so that it does not matter where lines are broken. */
static void join_lines(Text *text)
{
    Text joined = {0};
    for (const char *at = text->bytes; *at != '\0';) {
        size_t length = strcspn(at, " \n");
        text_add_bytes(&joined, at, length);
        at += length;
        size_t blank = strspn(at, " \n");
        text_add(&joined, blank > 0 ? " " : "");
        at += blank;
    }
    text_free(text);
    *text = joined;
}

static void assert_says(const Text *text, const char *words)
{
    if (strstr(text->bytes, words) == NULL)
        fail_msg("\"%s\" is not said in: %s", words, text->bytes);
}

static void assert_silent(const Text *text, const char *words)
{
    if (strstr(text->bytes, words) != NULL)
        fail_msg("\"%s\" is said", words);
}

/* --- released or held --- */

/* What the first lines say of every log that a style can have, and what log_release() has. */
typedef struct State {
    const char *name;
    Decision decision; /* of every finding that is to be settled */
    const char *until;
    Date day;
    bool logged;
    int release;
    const char *says;
} State;

static const State states[] = {
    {"no log", 0, "", {2026, 3, 15}, false, 1, "Held: "},
    {"permits",
     DECISION_PERMIT,
     "2026-03-31",
     {2026, 3, 15},
     true,
     0,
     "Released with deviation permits: "},
    {"permits on their last day",
     DECISION_PERMIT,
     "2026-03-31",
     {2026, 3, 31},
     true,
     0,
     "Released with deviation permits: "},
    {"permits that are over", DECISION_PERMIT, "2026-03-31", {2026, 4, 1}, true, 1, "Held: "},
    {"permits until a stage",
     DECISION_PERMIT,
     "confirmation-sample",
     {2026, 3, 15},
     true,
     0,
     "Released with deviation permits: "},
    {"permits of a stage that is here",
     DECISION_PERMIT,
     "pull-over",
     {2026, 3, 15},
     true,
     1,
     "Held: "},
    {"asked", DECISION_ASK, "2026-03-31", {2026, 3, 15}, true, 1, "Held: "},
    {"to be changed", DECISION_CHANGE, "2026-03-31", {2026, 3, 15}, true, 1, "Held: "},
    {"an attempt", DECISION_ATTEMPT, "2026-03-31", {2026, 3, 15}, true, 1, "Held: "},
    {"held", DECISION_HOLD, "2026-03-31", {2026, 3, 15}, true, 1, "Held: "},
};

static size_t decide_all(Arena *arena, const Judged *judged, const State *state, LogRecord *records)
{
    size_t count = 0;
    for (size_t i = 0; state->logged && i < judged->judgement->count; i++) {
        const Finding *finding = &judged->judgement->findings[i];
        if (!told_to_settle(finding))
            continue;
        records[count] = decided_now(arena, judged, finding, state->decision);
        records[count].ask = state->decision == DECISION_ASK ? "Cy" : "";
        records[count++].until = state->until;
    }
    return count;
}

static void report_and_log_agree(void **state)
{
    (void)state;
    Judged *judged = judged_as(NULL, NULL, NULL, NULL);
    for (size_t i = 0; i < sizeof states / sizeof *states; i++) {
        Arena arena = {0};
        LogRecord *records = ARENA_NEW(&arena, LogRecord, judged->judgement->count);
        Log log = log_of(records, decide_all(&arena, judged, &states[i], records));
        const Log *of = states[i].logged ? &log : NULL;
        Decisions *decisions = decisions_find(judged->judgement, of, states[i].day);
        assert_int_equal(log_release(decisions), states[i].release);
        Text text = report_by(report_text, judged, of, states[i].day, NULL);
        join_lines(&text);
        assert_says(&text, states[i].says);
        size_t lapsed = decisions->lapsed;
        if (lapsed > 0)
            assert_says(&text, arena_printf(&arena, "%zu decision%s lapsed", lapsed,
                                            lapsed == 1 ? " has" : "s have"));
        else
            assert_silent(&text, " lapsed. ");
        text_free(&text);
        decisions_free(decisions);
        arena_free(&arena);
    }
    judged_end(judged);
}

static void a_style_without_trouble_is_released(void **state)
{
    (void)state;
    static const Change clean[] = {{"radius: exactly 5 mm", "radius: exactly 8 mm"},
                                   {"outward, radius: exactly 9 mm, turn: exactly 90 deg",
                                    "outward, radius: exactly 30 mm, turn: exactly 70 deg"},
                                   {"length: exactly 30 mm", "length: exactly 80 mm"},
                                   {NULL, NULL}};
    Judged *judged = judged_as(NULL, NULL, clean, NULL);
    Decisions *decisions = decisions_find(judged->judgement, NULL, today);
    Text text = report_by(report_text, judged, NULL, today, NULL);
    join_lines(&text);
    assert_int_equal(log_release(decisions), 0);
    assert_string_equal(told_release(decisions), "released");
    assert_says(&text, "Released: No flag, no unknown");
    assert_says(&text, "Nothing is to be settled.");
    text_free(&text);
    decisions_free(decisions);
    judged_end(judged);
}

/* --- what the log says is on the paper --- */

static void decisions_stand_in_the_report(void **state)
{
    (void)state;
    Judged *judged = judged_as(NULL, NULL, NULL, NULL);
    Messages messages = {0};
    Log *log = log_read(LOGGED "ferry.log.yaml", &messages);
    assert_non_null(log);
    Text text = report_by(report_text, judged, log, today, NULL);
    join_lines(&text);
    static const char *const said[] = {
        "Held: 1 critical flag, 1 minor flag are open",
        "1 finding stands under a deviation permit. 1 decision has lapsed.",
        "Reviewed by: Ada (5 decisions, the last on 2026-02-28); Bo (4 decisions",
        "Decision: lapsed (its last day, 2026-03-01, is over): permit by Ada and Bo",
        "Decision: permit by Ada and Bo until 2026-03-31",
        "Decision: asked Cy at the closing room on 2026-02-28",
        "Permits that are no longer needed: - not there any more, bend tongue.top.1",
        "Met no place: no rule",
        "tests/fixtures/logged/ferry.log.yaml (decision log)",
        "A pass is not a release for wear",
        "Designer name ____",
    };
    for (size_t i = 0; i < sizeof said / sizeof *said; i++)
        assert_says(&text, said[i]);
    text_free(&text);
    log_free(log);
    messages_free(&messages);
    judged_end(judged);
}

/* --- what changed --- */

static void changes_are_told_worst_first(void **state)
{
    (void)state;
    static const Change before[] = {{"radius: exactly 5 mm", "radius: exactly 6.5 mm"},
                                    {NULL, NULL}};
    static const Change after[] = {
        {"turn: exactly 90 deg, at: 60 mm", "turn: exactly 40 deg, at: 60 mm"}, {NULL, NULL}};
    Judged *old = judged_as(NULL, NULL, before, NULL), *new = judged_as(NULL, NULL, after, NULL);
    ReportSince since = {.name = "older.yaml", .judgement = old->judgement};
    Text text = report_by(report_text, new, NULL, today, &since);
    join_lines(&text);
    assert_says(&text, "What changed since older.yaml");
    const char *flagged = strstr(text.bytes, "- newly flagged: bend front.top.1");
    assert_non_null(flagged);
    const char *rest = strstr(text.bytes, "- better: ");
    rest = rest != NULL ? rest : strstr(text.bytes, "- cleared: ");
    assert_true(rest == NULL || flagged < rest);
    assert_says(&text, "No decision was added since.");
    assert_says(&text, "- parts.front.edges.top.bends.1.radius: exactly 5 mm, was exactly 6.5 mm "
                       "(ferry.yaml:10:");
    assert_says(&text, "- parts.front.edges.top.bends.2.turn: exactly 40 deg, was exactly 90 deg");
    assert_silent(&text, "- parts.strap");
    text_free(&text);
    judged_end(old);
    judged_end(new);
}

static void decisions_since_a_day_or_a_log(void **state)
{
    (void)state;
    Arena arena = {0};
    Judged *judged = judged_as(NULL, NULL, NULL, NULL);
    LogRecord records[] = {record_sample(&arena), record_sample(&arena), record_sample(&arena)};
    const char *const when[] = {"2026-02-27T23:59:59Z", "2026-02-28T00:00:00Z",
                                "2026-03-01T12:00:00Z"};
    const char *const why[] = {"the first", "the second", "the third"};
    for (size_t i = 0; i < 3; i++) {
        records[i].when = when[i];
        records[i].why = why[i];
    }
    Log log = log_of(records, 3), older = log_of(records, 1);
    Date day = {2026, 2, 28};
    ReportSince of_day = {.name = "2026-02-28", .day = &day};
    ReportSince of_log = {.name = "older.log.yaml", .log = &older};
    const ReportSince *const ways[] = {&of_day, &of_log};
    for (size_t i = 0; i < 2; i++) {
        Text text = report_by(report_markdown, judged, &log, today, ways[i]);
        char *section = strstr(text.bytes, "## What changed");
        assert_non_null(section);
        *strstr(section, "## At a glance") = '\0';
        assert_null(strstr(section, "the first"));
        assert_non_null(strstr(section, "the second"));
        assert_non_null(strstr(section, "the third"));
        text_free(&text);
    }
    judged_end(judged);
    arena_free(&arena);
}

static void changed_rules_are_told_apart(void **state)
{
    (void)state;
    Arena arena = {0};
    static const Change rules[] = {{"value: 6 mm", "value: 5.5 mm"}, {NULL, NULL}};
    Judged *judged = judged_as(NULL, NULL, NULL, NULL), *later = judged_as(NULL, NULL, NULL, rules);
    LogRecord record = decided_now(
        &arena, judged, finding_of(judged, "turn-radius", "bend front.top.1"), DECISION_PERMIT);
    Log log = log_of(&record, 1);
    ReportSince since = {.name = "2026-02-28", .day = &today};
    Text text = report_by(report_text, later, &log, today, &since);
    assert_silent(&text, "Rules that have changed"); /* a limit is no formula */
    text_free(&text);
    record.formula = "another";
    text = report_by(report_text, later, &log, today, &since);
    join_lines(&text);
    assert_says(&text, "Rules that have changed since something was decided by them: - Curve too "
                       "sharp (turn-radius)");
    text_free(&text);
    judged_end(judged);
    judged_end(later);
    arena_free(&arena);
}

/* --- strangers --- */

static void hostile_styles_are_harmless(void **state)
{
    (void)state;
    static const Writer writers[] = {report_html, report_markdown, report_text};
    static const Change hostile[] = {
        {"name: Ferry slipper (invented)",
         "name: \"<script>alert(1)</script> \\e[31m \\u202E =cmd() `x` | y\""},
        {NULL, NULL}};
    Judged *judged = judged_as(NULL, NULL, hostile, NULL);
    for (size_t w = 0; w < 3; w++) {
        Text text = report_by(writers[w], judged, NULL, today, NULL);
        if (writers[w] != report_text)
            assert_null(strstr(text.bytes, "<script"));
        assert_null(strchr(text.bytes, '\033'));
        assert_null(strstr(text.bytes, "\xE2\x80\xAE"));
        assert_non_null(strstr(text.bytes, "u{202e}"));
        text_free(&text);
    }
    judged_end(judged);
}

/* --- the same bytes --- */

static void the_same_style_gives_the_same_bytes(void **state)
{
    (void)state;
    Judged *one = judged_as(NULL, NULL, NULL, NULL), *other = judged_as(NULL, NULL, NULL, NULL);
    Text first = report_by(report_html, one, NULL, today, NULL);
    setenv("TZ", "Pacific/Kiritimati", 1);
    assert_non_null(setlocale(LC_ALL, "C.UTF-8"));
    Text second = report_by(report_html, other, NULL, today, NULL);
    setlocale(LC_ALL, "C");
    assert_string_equal(first.bytes, second.bytes);
    text_free(&first);
    text_free(&second);
    judged_end(one);
    judged_end(other);
}

/* --- runs --- */

static void runs_hold_every_finding_once(void **state)
{
    (void)state;
    Messages messages = {0};
    const char *const *paths;
    size_t count, told = 0, to_settle = 0;
    Arena arena = {0};
    assert_true(rules_in_folder(&arena, "rules/base", &paths, &count, &messages));
    RuleSet *rules = rules_read(paths, count, NULL, &messages);
    Style *style = style_read("styles/skerry.yaml", "turned", NULL, 0, &messages);
    assert_true(rules && style);
    Judgement *judgement = judge(style, rules, NULL);
    Decisions *decisions = decisions_find(judgement, NULL, today);
    Runs *runs = runs_new(decisions);
    bool *seen = ARENA_NEW(&arena, bool, judgement->count);
    for (size_t i = 0; i < runs->count; i++) {
        const Run *run = &runs->items[i];
        for (size_t k = 0; k < run->count; k++, told++) {
            size_t index = (size_t)(run->findings[k] - judgement->findings);
            assert_false(seen[index]);
            seen[index] = true;
            assert_ptr_equal(finding_cause(judgement, run->findings[k]), run->cause);
            assert_ptr_equal(run->findings[k]->rule, run->findings[0]->rule);
            assert_memory_equal(run->findings[k]->lanes, run->findings[0]->lanes,
                                judgement->lane_count * sizeof(Verdict));
        }
    }
    for (size_t i = 0; i < judgement->count; i++)
        to_settle += told_to_settle(&judgement->findings[i]);
    assert_int_equal(told, to_settle);
    assert_int_equal(runs->findings, to_settle);
    assert_true(runs->count < told); /* mirrored parts read alike */
    runs_free(runs);
    decisions_free(decisions);
    judgement_free(judgement);
    style_free(style);
    rules_free(rules);
    arena_free(&arena);
    messages_free(&messages);
}

/* --- inputs --- */

static void inputs_are_known_under_any_name(void **state)
{
    Room *room = *state;
    char *bytes = NULL;
    size_t length;
    const char *path = room_path(room, "ferry.yaml"), *link_path = room_path(room, "link"),
               *hard = room_path(room, "hard"), *other = room_path(room, "other");
    assert_true(file_read(&room->arena, LOGGED "ferry.yaml", YAML_FILE_MOST, &room->messages,
                          &bytes, &length));
    put_bytes(path, bytes, length);
    put_bytes(other, bytes, length);
    assert_int_equal(symlink(path, link_path), 0);
    assert_int_equal(link(path, hard), 0);
    const char *rules_path = LOGGED "rules/base/rules.yaml";
    RuleSet *rules = rules_read(&rules_path, 1, NULL, &room->messages);
    Style *style = style_read(path, NULL, NULL, 0, &room->messages);
    assert_true(rules && style);
    Judgement *judgement = judge(style, rules, NULL);
    Inputs inputs = inputs_of(&room->arena, judgement, NULL);
    assert_int_equal(inputs.count, 2);
    const char *const same[] = {path, link_path, hard};
    for (size_t i = 0; i < 3; i++) {
        const Input *input = inputs_same_file(&inputs, same[i]);
        assert_non_null(input);
        assert_int_equal(input->role, INPUT_STYLE);
    }
    assert_int_equal(inputs_same_file(&inputs, rules_path)->role, INPUT_RULES);
    assert_null(inputs_same_file(&inputs, other));
    assert_null(inputs_same_file(&inputs, room_path(room, "not there")));
    assert_int_equal(strlen(inputs.items[0].sum), 64);
    assert_string_not_equal(inputs.items[0].sum, inputs.items[1].sum);
    judgement_free(judgement);
    style_free(style);
    rules_free(rules);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(report_and_log_agree),
        cmocka_unit_test(a_style_without_trouble_is_released),
        cmocka_unit_test(decisions_stand_in_the_report),
        cmocka_unit_test(changes_are_told_worst_first),
        cmocka_unit_test(decisions_since_a_day_or_a_log),
        cmocka_unit_test(changed_rules_are_told_apart),
        cmocka_unit_test(hostile_styles_are_harmless),
        cmocka_unit_test(the_same_style_gives_the_same_bytes),
        cmocka_unit_test(runs_hold_every_finding_once),
        cmocka_unit_test_setup_teardown(inputs_are_known_under_any_name, room_open, room_close),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

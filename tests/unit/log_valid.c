/* Which decisions hold: every way to lapse, days and stages, what is released. The log that the
 * golden tests read is made here: LOG_REFRESH=1 writes it anew. */
#include "log_kit.h"

static const Date today = {2026, 3, 15};

static const char rule[] = "turn-radius", place[] = "bend front.top.1";

/* A log of these records, not on any disk. */
static Log log_of(const LogRecord *records, size_t count)
{
    return (Log){.exists = true, .code = "FS-1", .records = records, .count = count};
}

/* What becomes of a record that was taken of `before`, in `after`. NULL: it holds. */
static const char *lapses(Arena *arena, const Judged *after, const LogRecord *record, Date day)
{
    Log log = log_of(record, 1);
    Decisions *decisions = decisions_find(after->judgement, &log, day);
    const Decided *decided = decision_of(decisions, finding_of(after, record->rule, record->place));
    assert_non_null(decided);
    assert_ptr_equal(decided->record, record);
    const char *why = decided->state == STATE_HOLDS ? NULL
                      : decided->state == STATE_NOT_NEEDED
                          ? "not needed"
                          : arena_copy(arena, decided->lapsed, strlen(decided->lapsed));
    assert_int_equal(decisions->lapsed, decided->state == STATE_LAPSED);
    decisions_free(decisions);
    return why;
}

/* --- what changes about the place --------------------------------------------------------- */

#define RADIUS "radius: exactly 5 mm"
#define TURN_2 "turn: exactly 90 deg, at: 60 mm"

#define FRONT_BENDS                                                                                \
    "bends: [{curve: inward, radius: exactly 5 mm, turn: exactly 90 deg, at: 20 mm}, {curve: "     \
    "outward, radius: exactly 9 mm, turn: exactly 90 deg, at: 60 mm}]"

typedef struct Case {
    const char *rule, *place;
    Change before[3], style[3], rules[2]; /* before: of the style when it was decided */
    const char *words;                    /* why it lapses; NULL: it holds */
} Case;

static const Case cases[] = {
    {rule, place, {{0}}, {{0}}, {{0}}, NULL},
    /* worse and better */
    {rule,
     place,
     {{0}},
     {{RADIUS, "radius: exactly 4.9 mm"}},
     {{0}},
     "it has got worse: to spare were -1 mm, and are -1.1 mm"},
    {rule, place, {{0}}, {{RADIUS, "radius: exactly 4.99999 mm"}}, {{0}}, "it has got worse"},
    {rule, place, {{0}}, {{RADIUS, "radius: exactly 4.999999 mm"}}, {{0}}, NULL},
    {rule, place, {{0}}, {{RADIUS, "radius: exactly 5.1 mm"}}, {{0}}, NULL},
    {rule, place, {{0}}, {{0}}, {{"value: 6 mm", "value: 6.5 mm"}}, "it has got worse"},
    {rule, place, {{0}}, {{0}}, {{"value: 6 mm", "value: 5.5 mm"}}, NULL},
    {rule, place, {{0}}, {{RADIUS, "radius: exactly 8 mm"}}, {{0}}, "not needed"},
    {rule, place, {{0}}, {{RADIUS, "radius: 6.1 ± 0.5 mm"}}, {{0}}, NULL}, /* tight now */
    /* one more lane */
    {rule,
     place,
     {{0}},
     {{"to: 43", "to: 44"}},
     {{0}},
     "it is flag now in 44, where nothing was open"},
    {rule, place, {{0}}, {{"to: 43", "to: 42"}}, {{0}}, NULL},
    {rule,
     place,
     {{RADIUS, "radius: exactly 5.95 mm"}, {"grade: hold", "grade: scale"}},
     {{RADIUS, "radius: exactly 5.95 mm"}},
     {{0}},
     "it is flag now in 43, where nothing was open"},
    {rule,
     place,
     {{RADIUS, "radius: unknown"}},
     {{0}},
     {{0}},
     "it is flag now in 41, and was unknown"},
    {rule,
     place,
     {{RADIUS, "radius: 6.1 ± 0.5 mm"}},
     {{0}},
     {{0}},
     "it is flag now in 41, where nothing was open"},
    {"edge-long",
     "edge strap.end",
     {{"exactly 30 mm", "50.4 ± 0.6 mm"}, {"from: 41, to: 43", "from: 42, to: 42"}},
     {{"exactly 30 mm", "50.4 ± 0.7 mm"}, {"from: 41, to: 43", "from: 42, to: 42"}},
     {{0}},
     NULL}, /* tight then and now */
    /* the rule */
    {rule,
     place,
     {{0}},
     {{0}},
     {{"require: radius >= radius_least", "require: radius > radius_least"}},
     "another formula or class"},
    {rule, place, {{0}}, {{0}}, {{"class: major", "class: minor"}}, "another formula or class"},
    {rule,
     place,
     {{0}},
     {{0}},
     {{"when: curve is inward", "when: curve is inward and turn > 1 deg"}},
     "another formula or class"},
    {rule,
     place,
     {{0}},
     {{0}},
     {{"short: radius_least - radius", "short: 0 mm + radius_least - radius"}},
     "another formula or class"},
    {rule,
     place,
     {{0}},
     {{0}},
     {{"require: radius >= radius_least", "require:   (radius >=  radius_least)"}},
     NULL},
    {rule,
     place,
     {{0}},
     {{0}},
     {{"because: the cuts show as corners", "because: corners show"}},
     NULL},
    {rule,
     place,
     {{0}},
     {{0}},
     {{"class: major", "class: major\n    danger: true"}},
     "it can hurt the wearer"},
    /* the bends of the edge */
    {rule,
     place,
     {{0}},
     {{TURN_2 "}",
       TURN_2 "}, {curve: inward, radius: exactly 9 mm, turn: exactly 9 deg, at: 80 mm}"}},
     {{0}},
     "the bends of its edge are other ones: inward, outward then, inward, outward, inward now"},
    {rule,
     place,
     {{0}},
     {{", {curve: outward, radius: exactly 9 mm, turn: exactly 90 deg, at: 60 mm}", ""}},
     {{0}},
     "inward, outward then, inward now"},
    {rule, place, {{0}}, {{"curve: outward", "curve: inward"}}, {{0}}, "inward, inward now"},
    {rule, place, {{0}}, {{"curve: outward", "curve: unknown"}}, {{0}}, "inward, unknown now"},
    {rule, place, {{0}}, {{"radius: exactly 9 mm", "radius: exactly 8 mm"}}, {{0}}, NULL},
    /* what is unknown */
    {rule, place, {{0}}, {{RADIUS, "radius: unknown"}}, {{0}}, "radius is unknown now"},
    {rule, place, {{RADIUS, "radius: unknown"}}, {{RADIUS, "radius: unknown"}}, {{0}}, NULL},
    {rule,
     place,
     {{"grade: hold", "grade: scale"}},
     {{"grade: hold", "grade: scale"}, {"length: 280 mm", "length: unknown"}},
     {{0}},
     "radius is unknown now"}, /* in all sizes but its base */
    {"turn-both",
     "bend front.top.2",
     {{0}},
     {{TURN_2, "turn: unknown, at: 60 mm"}},
     {{0}},
     "turn is unknown now"}, /* a flag all the same */
    {"turn-both",
     "bend front.top.2",
     {{TURN_2, "turn: unknown, at: 60 mm"}},
     {{TURN_2, "turn: unknown, at: 60 mm"}},
     {{0}},
     NULL},
    {"turn-both", "bend front.top.2", {{TURN_2, "turn: unknown, at: 60 mm"}}, {{0}}, {{0}}, NULL},
    /* How the curve is graded is no longer said: pass in one way, flag in the other. */
    {rule,
     place,
     {{RADIUS, "radius: exactly 5.95 mm"}},
     {{RADIUS, "radius: exactly 5.95 mm"}, {"grade: hold, ", ""}},
     {{0}},
     "it is unknown now in 43, and was flag"},
    /* Nothing is known of the bends, then and now. */
    {rule,
     "bend front.top.unknown",
     {{FRONT_BENDS, "bends: unknown"}},
     {{FRONT_BENDS, "bends: unknown"}},
     {{0}},
     NULL},
};

static void test_what_changes_about_a_place(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const Case *c = &cases[i];
        Arena arena = {0};
        Judged *before = judged_as(NULL, NULL, c->before, NULL);
        Judged *after = judged_as(NULL, NULL, c->style, c->rules);
        for (Decision decision = 0; decision < DECISION_COUNT; decision++) {
            LogRecord record =
                decided_now(&arena, before, finding_of(before, c->rule, c->place), decision);
            const char *why = lapses(&arena, after, &record, today);
            /* A danger forbids permits; other decisions stand. */
            const char *words = c->words;
            if (words && strstr(words, "hurt") && decision != DECISION_PERMIT)
                words = NULL;
            if ((why == NULL) != (words == NULL) || (words && strstr(why, words) == NULL))
                fail_msg("case %zu: %s instead of %s", i, why ? why : "it holds",
                         words ? words : "it holds");
        }
        judged_end(before);
        judged_end(after);
        arena_free(&arena);
    }
}

/* --- days and stages ----------------------------------------------------------------------- */

static void test_days(void **state)
{
    (void)state;
    static const struct {
        const char *until;
        Date day;
        bool holds;
    } days[] = {
        {"2026-03-31", {2026, 3, 30}, true},
        {"2026-03-31", {2026, 3, 31}, true},
        {"2026-03-31", {2026, 4, 1}, false},
        {"2026-03-31", {2025, 12, 31}, true},
        {"2026-03-31", {2027, 1, 1}, false},
        {"2026-12-31", {2026, 12, 31}, true},
        {"2026-12-31", {2027, 1, 1}, false},
        {"2027-01-01", {2026, 12, 31}, true},
        {"2027-01-01", {2027, 1, 1}, true},
        {"2027-01-01", {2027, 1, 2}, false},
        {"2024-02-29", {2024, 2, 28}, true},
        {"2024-02-29", {2024, 2, 29}, true},
        {"2024-02-29", {2024, 3, 1}, false},
        {"2024-02-28", {2024, 2, 29}, false},
        {"2024-03-01", {2024, 2, 29}, true},
        {"2023-02-28", {2023, 3, 1}, false},
        {"2025-02-28", {2025, 2, 28}, true},
        {"2000-02-29", {2000, 2, 29}, true},
        {"2000-02-29", {2000, 3, 1}, false},
        {"2400-02-29", {2400, 2, 29}, true},
        {"2026-04-30", {2026, 4, 30}, true},
        {"2026-04-30", {2026, 5, 1}, false},
        {"2026-01-31", {2026, 2, 1}, false},
        {"2026-02-01", {2026, 1, 31}, true},
        {"9999-12-31", {9999, 12, 31}, true},
        {"0001-01-01", {1, 1, 1}, true},
        {"0001-01-01", {1, 1, 2}, false},
        {"2026-10-01", {2026, 9, 30}, true},
        {"2026-09-30", {2026, 10, 1}, false},
        {"2026-11-09", {2026, 9, 11}, true},
        /* Malformed counts as over, on every day. */
        {"2026-02-29", {2026, 1, 1}, false},
        {"1900-02-29", {1900, 1, 1}, false},
        {"2100-02-29", {2100, 1, 1}, false},
        {"2026-04-31", {2026, 1, 1}, false},
        {"2026-13-01", {2026, 1, 1}, false},
        {"2026-00-10", {2025, 1, 1}, false},
        {"31.12.2026", {2026, 1, 1}, false},
        {"2026-3-31", {2026, 1, 1}, false},
        {"2026-03-31T23:59:59Z", {2026, 1, 1}, false},
        {"tomorrow", {2026, 1, 1}, false},
        {" 2026-03-31", {2026, 1, 1}, false},
        {"2026-03-31 ", {2026, 1, 1}, false},
        {"", {2026, 1, 1}, false},
        {"unknown", {2026, 1, 1}, false},
        {"\033[2J", {2026, 1, 1}, false},
        {"99999-01-01", {2026, 1, 1}, false},
    };
    Judged *judged = judged_as(NULL, NULL, NULL, NULL);
    Arena arena = {0};
    LogRecord record =
        decided_now(&arena, judged, finding_of(judged, rule, place), DECISION_PERMIT);
    for (size_t i = 0; i < sizeof days / sizeof *days; i++) {
        record.until = days[i].until;
        const char *why = lapses(&arena, judged, &record, days[i].day);
        if ((why == NULL) != days[i].holds)
            fail_msg("day case %zu, until %s: %s", i, days[i].until, why ? why : "holds");
        assert_true(why == NULL || strchr(why, '\033') == NULL);
    }
    record.decision = DECISION_ASK; /* a question may stay open without an end */
    record.until = "";
    assert_null(lapses(&arena, judged, &record, today));
    record.until = "2026-03-14";
    assert_string_equal(lapses(&arena, judged, &record, today),
                        "its last day, 2026-03-14, is over");
    arena_free(&arena);
    judged_end(judged);
}

static void test_stages(void **state)
{
    (void)state;
    static const char *const stages[] = {"pull-over", "fit-sample", "confirmation-sample",
                                         "production", "unknown"};
    Arena arena = {0};
    for (int now = 0; now < 5; now++) {
        const Change change[] = {
            {"stage: pull-over", arena_printf(&arena, "stage: %s", stages[now])}, {NULL, NULL}};
        Judged *judged = judged_as(NULL, NULL, change, NULL);
        LogRecord record =
            decided_now(&arena, judged, finding_of(judged, rule, place), DECISION_PERMIT);
        for (int until = 0; until < 4; until++) {
            record.until = stages[until];
            const char *why = lapses(&arena, judged, &record, (Date){9999, 12, 31});
            assert_int_equal(why == NULL, now < until);
            if (now == 4)
                assert_non_null(strstr(why, "the style does not say its stage"));
            else if (now >= until)
                assert_string_equal(
                    why, arena_printf(&arena, "the style has reached %s", stages[until]));
        }
        judged_end(judged);
    }
    const Change none[] = {{"stage: pull-over\n", ""}, {NULL, NULL}};
    Judged *judged = judged_as(NULL, NULL, none, NULL);
    LogRecord record =
        decided_now(&arena, judged, finding_of(judged, rule, place), DECISION_PERMIT);
    record.until = "production";
    assert_non_null(strstr(lapses(&arena, judged, &record, today), "does not say its stage"));
    judged_end(judged);
    arena_free(&arena);
}

/* --- names, dangers, what is decided last ---------------------------------------------------- */

static void test_critical_needs_two_names(void **state)
{
    (void)state;
    Judged *judged = judged_as(NULL, NULL, NULL, NULL);
    Arena arena = {0};
    const Finding *finding = finding_of(judged, "edge-long", "edge strap.end");
    LogRecord record = decided_now(&arena, judged, finding, DECISION_PERMIT);
    assert_int_equal(record.class, CLASS_CRITICAL);
    assert_null(lapses(&arena, judged, &record, today));
    static const char *const second[] = {NULL, "Ada", " ADA ", ""};
    for (size_t i = 0; i < 4; i++) {
        record.who = list_of(&arena, "Ada", second[i]);
        assert_string_equal(lapses(&arena, judged, &record, today),
                            "a permit on a critical finding needs two different names");
    }
    record.decision = DECISION_HOLD;
    assert_null(lapses(&arena, judged, &record, today));
    arena_free(&arena);
    judged_end(judged);
}

static void test_danger_is_never_permitted(void **state)
{
    (void)state;
    const Change narrow[] = {{"narrowest: exactly 12 mm", "narrowest: exactly 8 mm"}, {NULL, NULL}};
    Judged *judged = judged_as(NULL, NULL, narrow, NULL);
    Arena arena = {0};
    Text problem = {0};
    const Finding *finding = finding_of(judged, "wear-narrow", "part strap");
    LogRecord record = decided_now(&arena, judged, finding, DECISION_PERMIT);
    assert_non_null(strstr(lapses(&arena, judged, &record, today), "hurt the wearer"));
    assert_false(decision_allowed(judged->judgement, finding, &record, today, &problem));
    assert_non_null(strstr(problem.bytes, "hurt the wearer"));
    record.decision = DECISION_CHANGE;
    assert_null(lapses(&arena, judged, &record, today));
    assert_true(decision_allowed(judged->judgement, finding, &record, today, &problem));
    text_free(&problem);
    arena_free(&arena);
    judged_end(judged);
}

static void test_what_may_be_decided(void **state)
{
    (void)state;
    Judged *judged = judged_as(NULL, NULL, NULL, NULL);
    const Judgement *j = judged->judgement;
    Arena arena = {0};
    Text problem = {0};
    const Finding *finding = finding_of(judged, rule, place);
    LogRecord record = decided_now(&arena, judged, finding, DECISION_PERMIT);
    assert_true(decision_allowed(j, finding, &record, today, &problem));
    record.until = "2026-03-14";
    assert_false(decision_allowed(j, finding, &record, today, &problem));
    assert_string_equal(problem.bytes, "its last day, 2026-03-14, is over");
    text_clear(&problem);
    record.until = "pull-over";
    assert_false(decision_allowed(j, finding, &record, today, &problem));
    assert_string_equal(problem.bytes, "the style has reached pull-over");
    text_clear(&problem);
    record.until = "soon";
    assert_false(decision_allowed(j, finding, &record, today, &problem));
    assert_non_null(strstr(problem.bytes, "the end is a day"));
    text_clear(&problem);
    finding = finding_of(judged, rule, "bend strap.end.1");
    record = decided_now(&arena, judged, finding, DECISION_PERMIT);
    assert_false(decision_allowed(j, finding, &record, today, &problem));
    assert_string_equal(problem.bytes, "there is nothing to decide: it is pass");
    text_free(&problem);
    arena_free(&arena);
    judged_end(judged);
}

static void test_the_last_word_counts(void **state)
{
    (void)state;
    Judged *judged = judged_as(NULL, NULL, NULL, NULL);
    Arena arena = {0};
    const Finding *finding = finding_of(judged, rule, place);
    LogRecord records[5];
    for (int i = 0; i < 5; i++)
        records[i] = decided_now(&arena, judged, finding, DECISION_PERMIT);
    records[1].decision = DECISION_HOLD;
    records[2].alternative = "wide"; /* of others: another way, shop, style */
    records[3].factory = "Harbour closing room (invented)";
    records[4].style = "FS-2";
    for (size_t count = 0; count <= 5; count++) {
        Log log = log_of(records, count);
        Decisions *decisions = decisions_find(judged->judgement, &log, today);
        const Decided *decided = decision_of(decisions, finding);
        assert_ptr_equal(decided ? decided->record : NULL, count == 0   ? NULL
                                                           : count == 1 ? &records[0]
                                                                        : &records[1]);
        assert_int_equal(decisions->permitted, count == 1);
        assert_int_equal(decisions->open, count == 1 ? 2 : 3);
        assert_null(decision_of(decisions, finding_of(judged, rule, "bend strap.end.1")));
        decisions_free(decisions);
    }
    Judged *wide = judged_as("wide", NULL, NULL, NULL);
    Log log = log_of(records, 5);
    Decisions *decisions = decisions_find(wide->judgement, &log, today);
    assert_ptr_equal(decision_of(decisions, finding_of(wide, rule, place))->record, &records[2]);
    decisions_free(decisions);
    judged_end(wide);
    judged_end(judged);
    arena_free(&arena);
}

static void test_no_longer_needed(void **state)
{
    (void)state;
    Judged *before = judged_as(NULL, NULL, NULL, NULL);
    const Change milder[] = {{RADIUS, "radius: exactly 8 mm"}, {NULL, NULL}};
    Judged *after = judged_as(NULL, NULL, milder, NULL);
    Arena arena = {0};
    LogRecord records[6];
    for (int i = 0; i < 6; i++)
        records[i] = decided_now(&arena, before, finding_of(before, rule, place), DECISION_PERMIT);
    records[0].place = "bend gone.top.1";
    records[1].rule = "turn-gone";
    records[2].place = "bend gone.top.2"; /* over: nobody waits for it */
    records[2].until = "2026-03-14";
    records[3].place = "bend gone.top.3";
    records[3].until = "pull-over";
    records[4].place = "bend gone.top.4";
    records[4].decision = DECISION_HOLD;
    Log log = log_of(records, 6);
    Decisions *decisions = decisions_find(after->judgement, &log, today);
    assert_int_equal(decisions->unneeded_count, 3);
    assert_ptr_equal(decisions->unneeded[0].record, &records[0]);
    assert_null(decisions->unneeded[0].finding);
    assert_ptr_equal(decisions->unneeded[1].record, &records[1]);
    assert_ptr_equal(decisions->unneeded[2].record, &records[5]);
    assert_ptr_equal(decisions->unneeded[2].finding, finding_of(after, rule, place));
    assert_int_equal(decision_of(decisions, finding_of(after, rule, place))->state,
                     STATE_NOT_NEEDED);
    assert_int_equal(decisions->lapsed, 0);
    decisions_free(decisions);
    arena_free(&arena);
    judged_end(before);
    judged_end(after);
}

/* --- release ------------------------------------------------------------------------------------
 */

static int release_with(const Judged *judged, const LogRecord *records, size_t count, Date day)
{
    Log log = log_of(records, count);
    Decisions *decisions = decisions_find(judged->judgement, &log, day);
    int status = log_release(decisions);
    assert_int_equal(decisions->open + decisions->permitted, 3);
    decisions_free(decisions);
    return status;
}

static void test_only_permits_release(void **state)
{
    (void)state;
    Judged *judged = judged_as(NULL, NULL, NULL, NULL);
    Arena arena = {0};
    LogRecord records[3];
    const char *const open[][2] = {
        {rule, place}, {"turn-both", "bend front.top.2"}, {"edge-long", "edge strap.end"}};
    for (int i = 0; i < 3; i++)
        records[i] = decided_now(&arena, judged, finding_of(judged, open[i][0], open[i][1]),
                                 DECISION_PERMIT);
    assert_int_equal(release_with(judged, records, 3, today), 0);
    assert_int_equal(release_with(judged, records, 2, today), 1);
    assert_int_equal(release_with(judged, records, 0, today), 1);
    assert_int_equal(release_with(judged, records, 3, (Date){2026, 4, 1}), 1);
    for (int i = 0; i < 3; i++)
        for (Decision decision = 0; decision < DECISION_COUNT; decision++) {
            records[i].decision = decision;
            assert_int_equal(release_with(judged, records, 3, today), decision != DECISION_PERMIT);
            records[i].decision = DECISION_PERMIT;
        }
    records[2].who = list_of(&arena, "Ada", "ada");
    assert_int_equal(release_with(judged, records, 3, today), 1);
    Decisions *none = decisions_find(judged->judgement, NULL, today);
    assert_int_equal(log_release(none), judgement_exit(judged->judgement));
    assert_false(none->logged);
    decisions_free(none);
    arena_free(&arena);
    judged_end(judged);
}

/* What is tight and critical keeps a style back; what is tight else does not. */
static void test_tight(void **state)
{
    (void)state;
    const Change changes[] = {{RADIUS, "radius: 6.1 ± 0.5 mm"},
                              {"exactly 30 mm", "50.4 ± 0.6 mm"},
                              {"radius: exactly 9 mm, turn: exactly 90 deg",
                               "radius: exactly 30 mm, turn: exactly 9 deg"},
                              {"from: 41, to: 43", "from: 42, to: 42"},
                              {NULL, NULL}};
    Judged *judged = judged_as(NULL, NULL, changes, NULL);
    Arena arena = {0};
    const Finding *finding = finding_of(judged, "edge-long", "edge strap.end");
    LogRecord records[] = {decided_now(&arena, judged, finding, DECISION_PERMIT)};
    if (finding->verdict != VERDICT_TIGHT ||
        finding_of(judged, rule, place)->verdict != VERDICT_TIGHT)
        fail_msg("%s", verdict_name(finding->verdict));
    Log log = log_of(records, 0);
    Decisions *decisions = decisions_find(judged->judgement, &log, today);
    assert_int_equal(decisions->open, 1);
    assert_int_equal(log_release(decisions), 1);
    decisions_free(decisions);
    log.count = 1;
    decisions = decisions_find(judged->judgement, &log, today);
    assert_int_equal(log_release(decisions), 0);
    decisions_free(decisions);
    arena_free(&arena);
    judged_end(judged);
}

static void test_no_place_judged(void **state)
{
    (void)state;
    Judged *judged = judged_as(NULL, NULL, NULL, NULL);
    memset(judged->judgement->tally, 0, sizeof judged->judgement->tally);
    judged->judgement->count = 0;
    Decisions *decisions = decisions_find(judged->judgement, NULL, today);
    assert_int_equal(log_release(decisions), 2);
    decisions_free(decisions);
    judged_end(judged);
}

/* --- whole styles
 * ---------------------------------------------------------------------------------- */

typedef struct Demo {
    Style *style;
    Factory *factory;
    RuleSet *rules;
    Judgement *judgement;
} Demo;

static Demo demo_of(Room *room, const char *alternative, const char *factory)
{
    Demo demo = {0};
    const char *const *paths;
    size_t count;
    assert_true(rules_in_folder(&room->arena, "rules/base", &paths, &count, &room->messages));
    demo.factory = factory ? factory_read(factory, &room->messages) : NULL;
    demo.rules = rules_read(paths, count, demo.factory, &room->messages);
    demo.style = style_read("styles/skerry.yaml", alternative, NULL, 0, &room->messages);
    if (!demo.rules || !demo.style)
        fail_msg("%s", last_message(&room->messages));
    demo.judgement = judge(demo.style, demo.rules, demo.factory);
    return demo;
}

static void demo_free(Demo *demo)
{
    judgement_free(demo->judgement);
    style_free(demo->style);
    rules_free(demo->rules);
    if (demo->factory)
        factory_free(demo->factory);
}

static bool to_settle(const Finding *finding)
{
    return finding->verdict >= VERDICT_TIGHT && finding->verdict != VERDICT_OFF;
}

/* Permits for all there is to settle, through a file and judged anew: each holds, but for
 * dangers, and what is decided about one place says nothing about another. */
static void test_permits_for_a_whole_style(void **state)
{
    Room *room = *state;
    static const char *const ways[][2] = {{"turned", "rules/factories/harbour.yaml"},
                                          {NULL, "rules/factories/loft.yaml"},
                                          {"turned", NULL}};
    for (size_t w = 0; w < sizeof ways / sizeof *ways; w++) {
        const char *path = room_path(room, arena_printf(&room->arena, "%zu.log.yaml", w));
        Demo first = demo_of(room, ways[w][0], ways[w][1]);
        Log *log = log_read(path, &room->messages);
        size_t dangers = 0, kept = 0;
        for (size_t i = 0; i < first.judgement->count; i++) {
            const Finding *finding = &first.judgement->findings[i];
            if (!to_settle(finding))
                continue;
            LogRecord record = record_sample(&room->arena);
            record.until = "9999-12-31";
            logged_take(&room->arena, &record, first.judgement, finding);
            if (!log_append(log, &record, &room->messages))
                fail_msg("%s", last_message(&room->messages));
            dangers += finding->rule->danger;
            kept++;
        }
        log_free(log);
        demo_free(&first);
        assert_true(kept > 10);
        Demo again = demo_of(room, ways[w][0], ways[w][1]);
        log = log_read(path, &room->messages);
        Decisions *decisions = decisions_find(again.judgement, log, today);
        assert_int_equal(decisions->count, kept);
        for (size_t i = 0; i < decisions->count; i++) {
            const Decided *decided = &decisions->items[i];
            bool danger = decided->finding->rule->danger;
            if (decided->state != (danger ? STATE_LAPSED : STATE_HOLDS))
                fail_msg("%s %s: %s", decided->record->rule, decided->record->place,
                         decided->lapsed ? decided->lapsed : "holds");
        }
        assert_int_equal(decisions->lapsed, dangers);
        assert_int_equal(log_release(decisions), dangers > 0);
        decisions_free(decisions);
        log_free(log);
        demo_free(&again);
    }
}

/* A rule that reads more values than a line holds: the first are kept, and the rest counted. */
static void test_more_values_than_a_line_holds(void **state)
{
    Room *room = *state;
    enum { BENDS = 2000 };
    static const char *const radii[] = {"exactly 2 mm", "unknown"};
    for (int unknown = 0; unknown < 2; unknown++) {
        Text bends = {0};
        for (int i = 0; i < BENDS; i++)
            text_addf(&bends,
                      ",\n  {curve: outward, radius: %s, turn: exactly 9 deg, at: %d.%02d mm}",
                      radii[unknown], 61 + i / 100, i % 100);
        const Change style[] = {{TURN_2 "}", arena_printf(&room->arena, TURN_2 "}%s", bends.bytes)},
                                {NULL, NULL}};
        const Change rules[] = {{"require: length >= 50 mm",
                                 "require: length >= 50 mm and every bend (bend.radius > 4 mm)"},
                                {NULL, NULL}};
        Judged *judged = judged_as(NULL, NULL, style, rules);
        const Finding *finding = finding_of(judged, "edge-long", "edge front.top");
        LogRecord record = decided_now(&room->arena, judged, finding, DECISION_PERMIT);
        const char *last = record.values.items[record.values.count - 1];
        assert_int_equal(strncmp(last, "and ", 4), 0);
        assert_non_null(strstr(last, " more"));
        const char *path = room_path(room, unknown ? "u.log.yaml" : "k.log.yaml");
        Log *log = log_read(path, &room->messages);
        assert_true(log_append(log, &record, &room->messages));
        log_free(log);
        Text problem = {0}; /* what is not in the record cannot be held against it */
        assert_int_equal(decision_allowed(judged->judgement, finding, &record, today, &problem),
                         !unknown);
        text_free(&problem);
        judged_end(judged);
        text_free(&bends);
    }
}

/* --- in words ------------------------------------------------------------------------------------
 */

static void test_said(void **state)
{
    (void)state;
    Arena arena = {0};
    static const char *const said[DECISION_COUNT] = {
        "to be changed in the style on 2026-02-28, by Ada and Bo until 2026-03-31: one pair for "
        "the photograph",
        "asked Cy on 2026-02-28, by Ada and Bo until 2026-03-31: one pair for the photograph",
        "an attempt is to be made by Cy, decided on 2026-02-28, by Ada and Bo until 2026-03-31: one "
        "pair for the photograph",
        "permit by Ada and Bo until 2026-03-31: one pair for the photograph",
        "held on 2026-02-28, by Ada and Bo until 2026-03-31: one pair for the photograph",
    };
    for (Decision decision = 0; decision < DECISION_COUNT; decision++) {
        LogRecord record = record_sample(&arena);
        record.decision = decision;
        record.ask = "Cy";
        Text text = {0};
        decision_say(&text, &(Decided){NULL, &record, STATE_HOLDS, NULL});
        assert_string_equal(text.bytes, said[decision]);
        text_clear(&text);
        decision_say(&text, &(Decided){NULL, &record, STATE_LAPSED, "its last day is over"});
        assert_string_equal(
            text.bytes, arena_printf(&arena, "lapsed (its last day is over): %s", said[decision]));
        text_free(&text);
    }
    arena_free(&arena);
}

/* No text of a record reaches a terminal raw, not in why it lapsed either. */
static void test_hostile_texts(void **state)
{
    (void)state;
    static const char bad[] = "\033]0;x\007\n\r\xc2\x9b\xe2\x80\xae";
    Arena arena = {0};
    LogRecord record = record_sample(&arena);
    record.who = list_of(&arena, bad, bad);
    record.why = record.until = record.ask = record.when = record.spare = record.formula = bad;
    record.values = record.lanes = record.bends = record.who;
    for (Decision decision = 0; decision < DECISION_COUNT; decision++) {
        record.decision = decision;
        Text text = {0}, visible = {0};
        decision_say(&text, &(Decided){NULL, &record, STATE_HOLDS, NULL});
        text_add_visible(&visible, text.bytes, text.length);
        assert_string_equal(text.bytes, visible.bytes);
        text_free(&text);
        text_free(&visible);
    }
    Judged *judged = judged_as(NULL, NULL, NULL, NULL);
    LogRecord taken = decided_now(&arena, judged, finding_of(judged, rule, place), DECISION_HOLD);
    for (int i = 0; i < 3; i++) {
        record = taken;
        record.until = i == 0 ? bad : "";
        if (i == 1)
            record.bends = list_of(&arena, bad, bad);
        record.spare = bad;
        record.relative = i == 2 ? 0.5 : taken.relative;
        const char *why = lapses(&arena, judged, &record, today);
        Text visible = {0};
        text_add_visible(&visible, why, strlen(why));
        assert_string_equal(why, visible.bytes);
        text_free(&visible);
    }
    arena_free(&arena);
    judged_end(judged);
}

/* --- the log of the golden tests
 * ------------------------------------------------------------------ */

/* Decisions about the fixture as written: a permit, one that is over by the golden tests' day,
 * a question, and a permit for what is no longer there; and all that its milder way needs. */
static size_t golden_records(Arena *arena, const Judged *judged, const Judged *mild,
                             LogRecord *records)
{
    records[0] = decided_now(arena, judged, finding_of(judged, rule, place), DECISION_PERMIT);
    records[0].why = "the room turned 5 mm on two pairs, \033[1mno corners\033[0m";
    records[1] = decided_now(arena, judged, finding_of(judged, "edge-long", "edge strap.end"),
                             DECISION_PERMIT);
    records[1].until = "2026-03-01";
    records[2] = decided_now(arena, judged, finding_of(judged, "turn-both", "bend front.top.2"),
                             DECISION_ASK);
    records[2].who = list_of(arena, "Ada", NULL);
    records[2].ask = "Cy at the closing room";
    records[2].why = "does felt lie flat here?";
    records[2].until = "fit-sample";
    records[3] = records[0];
    records[3].place = "bend tongue.top.1";
    records[3].why = "shown at the fair only";
    records[4] = decided_now(arena, mild, finding_of(mild, rule, place), DECISION_PERMIT);
    records[4].until = "confirmation-sample";
    return 5;
}

static void test_the_log_of_the_golden_tests(void **state)
{
    Room *room = *state;
    Judged *judged = judged_as(NULL, NULL, NULL, NULL);
    Judged *mild = judged_as("mild", NULL, NULL, NULL);
    LogRecord records[5];
    size_t count = golden_records(&room->arena, judged, mild, records), length, kept_length;
    const char *path = room_path(room, "ferry.log.yaml"), *kept = LOGGED "ferry.log.yaml";
    Log *log = log_read(path, &room->messages);
    for (size_t i = 0; i < count; i++)
        assert_true(log_append(log, &records[i], &room->messages));
    log_free(log);
    const char *bytes = get_bytes(room, path, &length);
    if (getenv("LOG_REFRESH"))
        assert_true(file_replace(kept, bytes, length, &room->messages));
    const char *kept_bytes = get_bytes(room, kept, &kept_length);
    assert_string_equal(bytes, kept_bytes);
    judged_end(mild);
    judged_end(judged);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_what_changes_about_a_place),
        cmocka_unit_test(test_days),
        cmocka_unit_test(test_stages),
        cmocka_unit_test(test_critical_needs_two_names),
        cmocka_unit_test(test_danger_is_never_permitted),
        cmocka_unit_test(test_what_may_be_decided),
        cmocka_unit_test(test_the_last_word_counts),
        cmocka_unit_test(test_no_longer_needed),
        cmocka_unit_test(test_only_permits_release),
        cmocka_unit_test(test_tight),
        cmocka_unit_test(test_no_place_judged),
        cmocka_unit_test_setup_teardown(test_permits_for_a_whole_style, room_open, room_close),
        cmocka_unit_test_setup_teardown(test_more_values_than_a_line_holds, room_open, room_close),
        cmocka_unit_test(test_said),
        cmocka_unit_test(test_hostile_texts),
        cmocka_unit_test_setup_teardown(test_the_log_of_the_golden_tests, room_open, room_close),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

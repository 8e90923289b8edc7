/* JSON, JSON Lines and CSV of findings, with names from strangers, read again by other programs. */
#include "report_kit.h"

#include "base/utf8.h"
#include "report/findings_csv.h"
#include "report/findings_json.h"
#include "report/findings_lines.h"
#include "report/season.h"

static const char turn[] = "turn-radius", bend[] = "bend front.top.1";

/* Cell `column` of line `row` of what reread.py says of a CSV; ended by 1F. */
static const char *cell(Arena *arena, const char *table, size_t row, size_t column)
{
    while (row-- > 0) {
        table = strchr(table, '\x1e');
        assert_non_null(table++);
    }
    while (column-- > 0) {
        table = strchr(table, '\x1f');
        assert_non_null(table++);
    }
    return arena_copy(arena, table, strcspn(table, "\x1f\x1e"));
}

static size_t rows(const char *table)
{
    size_t count = 0;
    for (; *table; table++)
        count += *table == '\x1e';
    return count;
}

enum {
    COLUMN_STYLE = 0,
    COLUMN_VERDICT = 4,
    COLUMN_CLASS,
    COLUMN_RULE,
    COLUMN_TITLE,
    COLUMN_PLACE = 9,
    COLUMN_LINE = 12,
    COLUMN_SPARE,
    COLUMN_UNIT,
    COLUMN_RELATIVE,
    COLUMN_RISK,
    COLUMN_BASIS,
    COLUMN_SIZES,
    COLUMN_COLOURWAYS,
    COLUMN_SENTENCE,
    COLUMN_GIVER,
    COLUMN_DECISION,
    COLUMN_BY,
    COLUMN_UNTIL
};

static void every_cell_is_where_its_head_says(void **state)
{
    (void)state;
    Shown shown = {0};
    Judged *judged = judged_as(NULL, NULL, NULL, NULL);
    LogRecord record =
        decided_now(&judged->arena, judged, finding_of(judged, turn, bend), DECISION_PERMIT);
    shown_start(&shown, judged, &record, 1);
    Text out = {0};
    findings_csv(&out, &shown.told, 1, &(Telling){0});
    const char *table = reread(&shown.arena, "csv", &out, "");
    size_t row = 1;
    while (row < rows(table) && strcmp(cell(&shown.arena, table, row, COLUMN_PLACE), bend) != 0)
        row++;
    static const struct {
        int column;
        const char *head, *text;
    } cells[] = {{COLUMN_STYLE, "style", "Ferry slipper (invented)"},
                 {1, "code", "FS-1"},
                 {2, "alternative", ""},
                 {3, "factory", ""},
                 {COLUMN_VERDICT, "verdict", "flag"},
                 {COLUMN_CLASS, "class", "major"},
                 {COLUMN_RULE, "rule", "turn-radius"},
                 {COLUMN_TITLE, "title", "Curve too sharp"},
                 {8, "about", "bend"},
                 {COLUMN_PLACE, "place", "bend front.top.1"},
                 {10, "part", "front"},
                 {11, "file", "ferry.yaml"},
                 {COLUMN_LINE, "line", "10"},
                 {COLUMN_SPARE, "spare", "-1"},
                 {COLUMN_UNIT, "unit", "mm"},
                 {COLUMN_RELATIVE, "relative spare", "-0.1666666667"},
                 {COLUMN_RISK, "risk", ""},
                 {COLUMN_BASIS, "basis", "common practice"},
                 {COLUMN_SIZES, "sizes", "41, 42, 43"},
                 {COLUMN_COLOURWAYS, "colourways", ""},
                 {COLUMN_GIVER, "giver", "line"},
                 {COLUMN_DECISION, "decision", "permit"},
                 {COLUMN_BY, "by", "Ada, Bo"},
                 {COLUMN_UNTIL, "until", "2026-03-31"}};
    for (size_t i = 0; i < sizeof cells / sizeof *cells; i++) {
        size_t column = (size_t)cells[i].column;
        assert_string_equal(cell(&shown.arena, table, 0, column), cells[i].head);
        assert_string_equal(cell(&shown.arena, table, row, column), cells[i].text);
    }
    text_free(&out);
    shown_end(&shown);
}

static void a_lapsed_permit_does_not_read_as_one(void **state)
{
    (void)state;
    Shown shown = {0};
    Judged *judged = judged_as(NULL, NULL, NULL, NULL);
    LogRecord record =
        decided_now(&judged->arena, judged, finding_of(judged, turn, bend), DECISION_PERMIT);
    record.until = "2026-03-14";
    shown_start(&shown, judged, &record, 1);
    Text out = {0};
    findings_csv(&out, &shown.told, 1, &(Telling){0});
    assert_non_null(strstr(out.bytes, ",\"permit, lapsed\","));
    assert_null(strstr(out.bytes, ",permit,"));
    text_free(&out);
    shown_end(&shown);
}

static void no_cell_is_a_formula(void **state)
{
    (void)state;
    static const struct {
        const char *text, *cell;
    } cells[] = {
        {"plain", "plain"},
        {"=cmd()", "'=cmd()"},
        {"  =1+1", "\"  '=1+1\""},
        {"+1", "'+1"},
        {"-1", "'-1"},
        {"@SUM(1)", "'@SUM(1)"},
        {"\t=1", "\\u{9}=1"},
        {"\r=1", "\\u{d}=1"},
        {"\n=1", "\\u{a}=1"},
        {"\xc2\xa0=1", "\xc2\xa0'=1"}, /* a blank that cannot be told from one */
        {"\xef\xbc\x9d"
         "1",
         "'\xef\xbc\x9d"
         "1"},
        {"\xe2\x80\xae"
         "=1",
         "\\u{202e}=1"},
        {"a;=1", "\"a;'=1\""},
        {"a; -1", "\"a; '-1\""},
        {"a,b", "\"a,b\""},
        {"\"=1\"", "\"\"\"=1\"\"\""},
        {"5-3=2", "5-3=2"},
        {"\x1b[31m", "\\u{1b}[31m"},
        {"\xff", "\\u{ff}"},
        {"", ""},
    };
    for (size_t i = 0; i < sizeof cells / sizeof *cells; i++) {
        Text out = {0};
        csv_add_text(&out, cells[i].text);
        assert_string_equal(text_string(&out), cells[i].cell);
        text_free(&out);
    }
}

/* Names that do harm where they are believed. */
#define LONG_NAME 10000
static const char *const strangers[] = {"<script>alert(1)</script>",
                                        "=cmd|' /C calc'!A0",
                                        "@SUM(A1:A9)",
                                        "-2+3",
                                        "a\\\",\\\"b",
                                        "a;=1+1",
                                        "\\u202Egnp.exe",
                                        "]](http://x)",
                                        "{0} %n %s",
                                        "\\\\",
                                        NULL};

static const char *stranger(Arena *arena, size_t index)
{
    if (strangers[index])
        return strangers[index];
    char *name = arena_alloc(arena, LONG_NAME + 1, 1);
    memset(name, 'x', LONG_NAME);
    return name;
}

/* The fixture with a stranger's name wherever a text is taken. */
static Judged *judged_with(Arena *arena, const char *name)
{
    const char *quoted_name = arena_printf(arena, "\"%s\"", name);
    const Change style[] = {{"Ferry slipper (invented)", quoted_name},
                            {"code: FS-1", arena_printf(arena, "code: %s", quoted_name)},
                            {"materials:", arena_printf(arena, "colourways: {Chalk: {}, Bark: {}}\n"
                                                               "materials:")},
                            {NULL, NULL}};
    const Change rules[] = {
        {"title: Curve too sharp", arena_printf(arena, "title: %s", quoted_name)},
        {"because: the cuts show as corners", arena_printf(arena, "because: %s", quoted_name)},
        {"source: \"invented for a test\"", arena_printf(arena, "source: %s", quoted_name)},
        {NULL, NULL}};
    return judged_as(NULL, NULL, style, rules);
}

static void names_from_strangers_do_no_harm(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof strangers / sizeof *strangers; i++) {
        Shown shown = {0};
        Arena arena = {0};
        const char *name = stranger(&arena, i);
        Judged *judged = judged_with(&arena, name);
        LogRecord record =
            decided_now(&judged->arena, judged, finding_of(judged, turn, bend), DECISION_PERMIT);
        record.who = list_of(&judged->arena, "=Ada", "\x1b[31mBo\xe2\x80\xae");
        record.why = "<b>\n=1";
        shown_start(&shown, judged, &record, 1);
        Text csv = {0}, json = {0}, lines = {0};
        Telling all = {.all = true};
        findings_csv(&csv, &shown.told, 1, &all);
        findings_json(&json, &shown.told, 1, &all);
        findings_lines(&lines, &shown.told, 1, &all);
        const char *table = reread(&arena, "csv", &csv, "");
        assert_int_equal(rows(table), judged->judgement->count + 1);
        const char *values = reread(&arena, "json", &json, "style code findings.0.rule");
        const char *quoted_name = arena_printf(&arena, "\"%s\"", name);
        if (i != 6) /* which Python writes in small letters */
            assert_int_equal(strncmp(values, quoted_name, strlen(quoted_name)), 0);
        const char *kinds = reread(&arena, "lines", &lines, "");
        assert_int_equal(strncmp(kinds, "head\nfinding\n", 13), 0);
        assert_string_equal(kinds + strlen(kinds) - 6, "tally\n");
        text_free(&csv);
        text_free(&json);
        text_free(&lines);
        arena_free(&arena);
        shown_end(&shown);
    }
}

static void json_says_what_is_known(void **state)
{
    (void)state;
    Shown shown = {0};
    const Change change[] = {{"narrowest: exactly 12 mm", "narrowest: unknown"}, {NULL, NULL}};
    shown_start(&shown, judged_as(NULL, NULL, change, NULL), NULL, 0);
    Text out = {0};
    findings_json(&out, &shown.told, 1, &(Telling){0});
    assert_string_equal(
        reread(&shown.arena, "json", &out,
               "cordwain code stage factory date release giver hidden open tally.unknown"),
        "\"findings/1\"\n\"FS-1\"\n\"pull-over\"\nnull\nnull\n\"held\"\nnull\n0\n4\n1\n");
    assert_string_equal(
        reread(&shown.arena, "json", &out,
               "findings.1.rule findings.1.at.line findings.1.spare.value findings.1.spare.unit "
               "findings.1.lanes.2.spare.value findings.1.lanes.2.size findings.1.remedies "
               "findings.1.cause_giver findings.1.values.radius.nominal findings.1.part"),
        "\"turn-radius\"\n10\n-1.0\n\"mm\"\n-1.0\n\"43\"\n[]\n\"line\"\n5.0\n\"front\"\n");
    assert_string_equal(reread(&shown.arena, "json", &out,
                               "findings.3.verdict findings.3.spare findings.3.risk "
                               "findings.3.relative_spare findings.3.lanes.0.spare"),
                        "\"unknown\"\nnull\nnull\nnull\nnull\n");
    text_free(&out);
    shown_end(&shown);
}

static void several_are_a_list(void **state)
{
    (void)state;
    Shown one = {0}, other = {0};
    shown_start(&one, judged_as(NULL, NULL, NULL, NULL), NULL, 0);
    shown_start(&other, judged_as("mild", NULL, NULL, NULL), NULL, 0);
    Told both[] = {one.told, other.told};
    Text out = {0}, lines = {0};
    findings_json(&out, both, 2, &(Telling){0});
    assert_string_equal(reread(&one.arena, "json", &out, "0.alternative 1.alternative"),
                        "null\n\"mild\"\n");
    findings_lines(&lines, both, 2, &(Telling){0});
    const char *kinds = reread(&one.arena, "lines", &lines, "");
    assert_non_null(strstr(kinds, "tally\nhead\n"));
    text_free(&out);
    text_free(&lines);
    shown_end(&one);
    shown_end(&other);
}

/* --- who can solve it alone --------------------------------------------------------------- */

static void alone_is_with_nobody_to_ask(void **state)
{
    (void)state;
    Remedy remedy = {.change_count = 1, .changes = {{.giver = GIVER_MAKING}}};
    assert_true(told_alone(&remedy, GIVER_MAKING));
    assert_false(told_alone(&remedy, GIVER_LINE));
    remedy.changes[0].asks_line = true; /* it shows */
    assert_false(told_alone(&remedy, GIVER_MAKING));
    remedy.changes[0].asks_line = false;
    remedy.change_count = 2;
    remedy.changes[1].giver = GIVER_PATTERN;
    assert_false(told_alone(&remedy, GIVER_MAKING));
    assert_false(told_alone(&remedy, GIVER_PATTERN));
    remedy.changes[1].giver = GIVER_MAKING;
    assert_true(told_alone(&remedy, GIVER_MAKING));
    remedy.change_count = 0;
    assert_false(told_alone(&remedy, GIVER_MAKING));
}

static void an_unknown_is_told_to_whose_value_is_missing(void **state)
{
    (void)state;
    Shown shown = {0};
    const Change change[] = {{"narrowest: exactly 12 mm", "narrowest: unknown"}, {NULL, NULL}};
    Judged *judged = judged_as(NULL, NULL, change, NULL);
    shown_start(&shown, judged, NULL, 0);
    const Finding *finding = finding_of(judged, "wear-narrow", "part strap");
    assert_int_equal(finding->verdict, VERDICT_UNKNOWN);
    Giver whose = finding_cause(judged->judgement, finding)->giver;
    for (Giver giver = 0; giver < GIVER_COUNT; giver++) {
        Telling telling = {.by_giver = true, .giver = giver, .all = true};
        assert_int_equal(told_is(&shown.told, finding, &telling), giver == whose);
        size_t told = 0, settle = 0;
        for (size_t i = 0; i < judged->judgement->count; i++) {
            told += told_is(&shown.told, &judged->judgement->findings[i], &telling);
            settle += told_to_settle(&judged->judgement->findings[i]);
        }
        assert_int_equal(told + told_hidden(&shown.told, &telling), settle);
    }
    shown_end(&shown);
}

/* The curve of 5 mm that must be 6 mm is the line's to change, and nobody else's. */
static void a_remedy_is_told_with_who_gives(void **state)
{
    (void)state;
    Shown shown = {0};
    Judged *judged = judged_as("mild", NULL, NULL, NULL);
    shown_start(&shown, judged, NULL, 0);
    RemedyGround ground = {
        .file = judged->style->file, .alternative = "mild", .judgement = judged->judgement};
    shown.told.remedies = remedies_new(&ground);
    Text out = {0};
    findings_json(&out, &shown.told, 1, &(Telling){.by_giver = true, .giver = GIVER_LINE});
    assert_string_equal(reread(&shown.arena, "json", &out,
                               "giver hidden findings.0.rule findings.0.remedies.0.giver "
                               "findings.0.remedies.0.from_value findings.0.remedies.0.to_value "
                               "findings.0.remedies.0.unit findings.0.remedies.0.aim "
                               "findings.0.remedies.0.and findings.0.remedies.0.raises"),
                        "\"line\"\n0\n\"turn-radius\"\n\"line\"\n5.0\n6.0\n\"mm\"\n\"pass\"\n"
                        "null\n[]\n");
    text_clear(&out);
    findings_json(&out, &shown.told, 1, &(Telling){.by_giver = true, .giver = GIVER_MAKING});
    assert_string_equal(reread(&shown.arena, "json", &out, "giver hidden findings"),
                        "\"making\"\n1\n[]\n");
    text_free(&out);
    remedies_free(shown.told.remedies);
    shown_end(&shown);
}

/* --- a season ------------------------------------------------------------------------------ */

static void a_season_counts_what_its_cells_say(void **state)
{
    (void)state;
    Shown held = {0}, permitted = {0}, none = {0};
    shown_start(&held, judged_as(NULL, NULL, NULL, NULL), NULL, 0);
    Judged *mild = judged_as("mild", NULL, NULL, NULL);
    LogRecord record =
        decided_now(&mild->arena, mild, finding_of(mild, turn, bend), DECISION_PERMIT);
    shown_start(&permitted, mild, &record, 1);
    const Change good[] = {{"radius: exactly 5 mm", "radius: exactly 8 mm"}, {NULL, NULL}};
    shown_start(&none, judged_as(NULL, NULL, good, NULL), NULL, 0);
    Told items[] = {held.told, permitted.told, none.told};
    Season *season = season_new(items, 3, 1);
    assert_int_equal(season->released + season->permitted + season->held, 3);
    assert_int_equal(season->permitted, 1);
    assert_string_equal(season->styles[1], "FS-1 Ferry slipper (invented), mild");
    assert_string_equal(season->factories[0], "no factory");
    for (size_t i = 0; i < 3; i++) {
        const SeasonCell *at = season_cell(season, i, 0);
        assert_int_equal(at->release, log_release(items[i].decisions));
        assert_int_equal(at->flags, items[i].decisions->judgement->tally[VERDICT_FLAG]);
        if (at->worst)
            assert_int_equal(at->verdict, at->worst->verdict);
    }
    assert_string_equal(season_cell(season, 1, 0)->word, "released with deviation permits");
    season_free(season);
    shown_end(&held);
    shown_end(&permitted);
    shown_end(&none);
}

static void no_line_of_the_table_is_wider_than_80_or_harmful(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof strangers / sizeof *strangers; i++) {
        Arena arena = {0};
        Shown shown = {0};
        shown_start(&shown, judged_with(&arena, stranger(&arena, i)), NULL, 0);
        Season *season = season_new(&shown.told, 1, 1);
        Text out = {0};
        season_text(&out, season);
        assert_int_equal(utf8_valid_prefix(out.bytes, out.length), out.length);
        assert_null(strstr(out.bytes, "\xe2\x80\xae"));
        for (const char *line = out.bytes; *line;) {
            size_t length = strcspn(line, "\n"), cells = 0;
            for (size_t k = 0; k < length; k++) {
                assert_true((unsigned char)line[k] >= ' ');
                cells += (line[k] & 0xC0) != 0x80;
            }
            if (strangers[i]) /* one word of 10,000 letters is not broken */
                assert_in_range(cells, 0, 80);
            line += length + (line[length] == '\n');
        }
        text_free(&out);
        season_free(season);
        shown_end(&shown);
        arena_free(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_cell_is_where_its_head_says),
        cmocka_unit_test(a_lapsed_permit_does_not_read_as_one),
        cmocka_unit_test(no_cell_is_a_formula),
        cmocka_unit_test(names_from_strangers_do_no_harm),
        cmocka_unit_test(json_says_what_is_known),
        cmocka_unit_test(several_are_a_list),
        cmocka_unit_test(alone_is_with_nobody_to_ask),
        cmocka_unit_test(an_unknown_is_told_to_whose_value_is_missing),
        cmocka_unit_test(a_remedy_is_told_with_who_gives),
        cmocka_unit_test(a_season_counts_what_its_cells_say),
        cmocka_unit_test(no_line_of_the_table_is_wider_than_80_or_harmful),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

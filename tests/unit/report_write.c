/* The tree of a report and its three writers: what strangers wrote comes out harmless, the HTML
 * holds together, text keeps to its width, the same tree gives the same bytes. */
#include <locale.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/utf8.h"
#include "report/report.h"

enum { LONG = 10000 };

/* --- a report with the same hostile text everywhere --- */

static void add_all(Report *report, const char *hostile)
{
    static const Verdict verdicts[] = {VERDICT_FLAG,    VERDICT_PASS, VERDICT_TIGHT,
                                       VERDICT_UNKNOWN, VERDICT_OUT,  VERDICT_OFF};
    const char *const cells[] = {hostile, hostile, NULL};
    const char *const sizes[] = {hostile, "42", "42.5"};
    const char *const colourways[] = {hostile, "Chalk"};
    const ReportColumn columns[] = {{hostile, false}, {"number", true}, {"empty", false}};
    Figure figure = figure_new(report_arena(report), hostile);
    figure_line(&figure, PEN_LINE, (Point[]){{0, 0}, {40, 0}, {40, 20}}, 3);
    figure_label(&figure, PEN_TROUBLE, (Point){20, 10}, SIDE_RIGHT, hostile);
    text_addf(&figure.notes, "%s\n", hostile);
    report_status(report, REPORT_BAD, hostile, hostile);
    report_pair(report, hostile, hostile);
    report_open(report, "first", hostile, 3);
    report_paragraph(report, hostile, hostile);
    report_paragraph(report, NULL, hostile);
    report_item(report, hostile);
    report_itemf(report, "%s", hostile);
    report_table(report, hostile, columns, 3);
    report_row(report, cells, "finding-1");
    report_row(report, cells, NULL);
    report_open(report, "part-1", hostile, REPORT_UNCOUNTED);
    report_open_finding(report, "finding-1", hostile, VERDICT_FLAG, hostile, 1);
    report_strip(report, sizes, 3, colourways, 2, verdicts);
    report_share(report, 0.125, hostile);
    report_figure(report, figure);
    report_close(report);
    report_close(report);
    report_close(report);
    report_signature(report, hostile);
}

static Report *report_of(const char *hostile)
{
    Report *report = report_new(hostile);
    add_all(report, hostile);
    return report;
}

typedef void (*Writer)(Text *, const Report *);
static const Writer writers[] = {report_html, report_markdown, report_text};
enum { HTML, MARKDOWN, TEXT, WRITERS };

static Text written(Writer writer, const char *hostile)
{
    Report *report = report_of(hostile);
    Text text = {0};
    writer(&text, report);
    report_free(report);
    return text;
}

/* --- nothing that steers --- */

static void assert_seen(const Text *text)
{
    assert_int_equal(utf8_valid_prefix(text->bytes, text->length), text->length);
    assert_int_equal(strlen(text->bytes), text->length);
    for (size_t at = 0; at < text->length;) {
        uint32_t codepoint;
        size_t step = utf8_decode(text->bytes + at, text->length - at, &codepoint);
        if (codepoint != '\n' && codepoint_is_hidden(codepoint))
            fail_msg("U+%04x at byte %zu", (unsigned)codepoint, at);
        at += step;
    }
}

static const char *const hostile_texts[] = {
    "<script>alert(1)</script>",
    "</style></title></svg>--><img src=x onerror=alert(1)>",
    "\"' onload=\"alert(1)\" x='",
    "=cmd|' /C calc'!A0",
    "a\033[31mred\033[0m\033]0;title\007",
    "left \xE2\x80\xAEright\xE2\x80\xAC \xE2\x80\x8F\xE2\x81\xA6x",
    "line\nbreak\r\ttab \xE2\x80\xA8",
    "broken \xff\xc0\x80 \xed\xa0\x80",
    "# heading\n- item | pipe `code` **bold** [link](http://example.invalid)",
    "```\nfence\n````",
    "&lt;&amp;&#x3c;",
    "1. \\",
};

static void hostile_text_is_harmless(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof hostile_texts / sizeof *hostile_texts; i++)
        for (size_t w = 0; w < WRITERS; w++) {
            Text text = written(writers[w], hostile_texts[i]);
            assert_seen(&text);
            text_free(&text);
        }
}

/* --- HTML --- */

/* Goes through the tags: each is closed by its own name, ids differ, links lead to one, headings
 * go down one level at a time. */
typedef struct Page {
    char open[64][16];
    size_t depth;
    int heading;
    size_t tags;
} Page;

static bool is_void(const char *name)
{
    return strcmp(name, "meta") == 0;
}

static void assert_heading(Page *page, const char *name)
{
    if (name[0] != 'h' || name[1] < '1' || name[1] > '6' || name[2] != '\0')
        return;
    int level = name[1] - '0';
    assert_true(level <= page->heading + 1);
    page->heading = level;
}

static void take_tag(Page *page, const char *tag, size_t length)
{
    char name[16] = "";
    bool closes = tag[0] == '/';
    const char *start = tag + closes;
    size_t letters = strcspn(start, " >/\n");
    assert_in_range(letters, 1, sizeof name - 1);
    memcpy(name, start, letters);
    page->tags++;
    if (closes) {
        assert_true(page->depth > 0);
        assert_string_equal(page->open[--page->depth], name);
    } else if (tag[length - 1] != '/' && !is_void(name)) {
        assert_true(page->depth < 64);
        strcpy(page->open[page->depth++], name);
        assert_heading(page, name);
    }
}

/* Quotes inside a tag hold no "<" or ">", since both are escaped there. */
static void assert_page(const Text *text)
{
    static const char start[] = "<!DOCTYPE html>\n";
    Page page = {0};
    assert_memory_equal(text->bytes, start, strlen(start));
    for (const char *at = text->bytes + strlen(start); *at != '\0';) {
        const char *tag = strchr(at, '<');
        if (tag == NULL)
            break;
        const char *end = strchr(tag, '>');
        assert_non_null(end);
        assert_null(memchr(tag + 1, '<', (size_t)(end - tag) - 1));
        take_tag(&page, tag + 1, (size_t)(end - tag) - 1);
        at = end + 1;
    }
    assert_int_equal(page.depth, 0);
    assert_true(page.tags > 50);
}

static size_t count_of(const char *text, const char *part)
{
    size_t count = 0;
    for (const char *at = strstr(text, part); at != NULL; at = strstr(at + 1, part))
        count++;
    return count;
}

static void html_holds_together(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof hostile_texts / sizeof *hostile_texts; i++) {
        Text text = written(report_html, hostile_texts[i]), plain = written(report_html, "plain");
        assert_page(&text);
        assert_int_equal(count_of(text.bytes, "<script"), 0);
        assert_int_equal(count_of(text.bytes, "<img"), 0);
        assert_int_equal(count_of(text.bytes, "<a "), count_of(plain.bytes, "<a "));
        text_free(&text);
        text_free(&plain);
    }
}

static void html_asks_for_nothing_from_elsewhere(void **state)
{
    (void)state;
    Text text = written(report_html, "plain");
    static const char *const never[] = {"<script", "<link", "<img",    "<iframe",
                                        "@import", "url(",  "http://", "https://"};
    for (size_t i = 0; i < sizeof never / sizeof *never; i++)
        assert_int_equal(count_of(text.bytes, never[i]), 0);
    assert_int_equal(count_of(text.bytes, "lang=\"en\""), 1);
    assert_int_equal(count_of(text.bytes, "charset=\"utf-8\""), 1);
    assert_int_equal(count_of(text.bytes, "default-src 'none'"), 1);
    assert_int_equal(count_of(text.bytes, "@page"), 1);
    assert_int_equal(count_of(text.bytes, "prefers-color-scheme"), 1);
    assert_int_equal(count_of(text.bytes, "<svg "), count_of(text.bytes, "<svg role=\"img\""));
    assert_int_equal(count_of(text.bytes, "<svg "), count_of(text.bytes, "<desc>"));
    assert_int_equal(count_of(text.bytes, "<table"), count_of(text.bytes, "<caption"));
    text_free(&text);
}

static void links_lead_somewhere(void **state)
{
    (void)state;
    Text text = written(report_html, "plain");
    size_t links = 0;
    for (const char *at = strstr(text.bytes, "href=\"#"); at; at = strstr(at + 1, "href=\"#")) {
        char id[64];
        size_t length = strcspn(at + 7, "\"");
        assert_in_range(length, 1, 40);
        snprintf(id, sizeof id, " id=\"%.*s\"", (int)length, at + 7);
        assert_int_equal(count_of(text.bytes, id), 1);
        links++;
    }
    assert_int_equal(links, 3); /* two sections, one row */
    text_free(&text);
}

static void prefixes_keep_anchors_apart(void **state)
{
    (void)state;
    Report *report = report_new("two");
    Text text = {0};
    report_open(report, "s1", "one", REPORT_UNCOUNTED);
    report_prefix(report, "s1-");
    add_all(report, "x");
    report_close(report);
    report_prefix(report, "");
    report_open(report, "s2", "two", REPORT_UNCOUNTED);
    report_prefix(report, "s2-");
    add_all(report, "x");
    report_close(report);
    report_html(&text, report);
    assert_page(&text);
    assert_int_equal(count_of(text.bytes, " id=\"s1-finding-1\""), 1);
    assert_int_equal(count_of(text.bytes, " id=\"s2-finding-1\""), 1);
    assert_int_equal(count_of(text.bytes, "href=\"#s2-finding-1\""), 1);
    assert_int_equal(count_of(text.bytes, "Picture 2: x"), 2); /* in its title and below it */
    text_free(&text);
    report_free(report);
}

/* --- text and Markdown --- */

static void assert_narrow(const Text *text)
{
    for (const char *at = text->bytes; *at != '\0';) {
        Text line = {0};
        size_t length = strcspn(at, "\n");
        text_add_bytes(&line, at, length);
        if (utf8_cells(line.bytes) > 80)
            fail_msg("%d cells: %s", utf8_cells(line.bytes), line.bytes);
        if (length > 0)
            assert_true(at[length - 1] != ' ' || strspn(at, " |.") == length);
        text_free(&line);
        at += length + (at[length] == '\n');
    }
}

static char *long_name(const char *letter)
{
    Text text = {0};
    for (int i = 0; i < LONG; i++)
        text_add(&text, letter);
    return text.bytes;
}

static void long_names_keep_to_the_page(void **state)
{
    (void)state;
    static const char *const letters[] = {"n", "n ", "\xC3\xA9", "\xE9\x9D\xB4"};
    for (size_t i = 0; i < sizeof letters / sizeof *letters; i++) {
        char *name = long_name(letters[i]);
        Report *report = report_new("long");
        Text text = {0}, html = {0};
        report_paragraph(report, "Place", name);
        report_item(report, name);
        report_pair(report, "Style", name);
        report_open(report, "a", name, 1);
        const ReportColumn columns[] = {{"one", false}, {"two", false}};
        report_table(report, name, columns, 2);
        report_row(report, (const char *const[]){name, "2"}, NULL);
        report_text(&text, report);
        report_html(&html, report);
        assert_narrow(&text);
        assert_page(&html);
        assert_seen(&text);
        text_free(&text);
        text_free(&html);
        report_free(report);
        free(name);
    }
}

static void many_columns_become_records(void **state)
{
    (void)state;
    enum { COLUMNS = 16 };
    ReportColumn columns[COLUMNS];
    const char *cells[COLUMNS];
    Report *report = report_new("wide");
    Text text = {0};
    for (size_t c = 0; c < COLUMNS; c++) {
        columns[c] = (ReportColumn){"a factory with a name", false};
        cells[c] = "held: 3 flag, 1 unknown";
    }
    report_table(report, "", columns, COLUMNS);
    report_row(report, cells, NULL);
    report_text(&text, report);
    assert_narrow(&text);
    assert_int_equal(count_of(text.bytes, "a factory with a name: held: 3 flag, 1 unknown\n"),
                     COLUMNS);
    text_free(&text);
    report_free(report);
}

static void markdown_says_what_was_written(void **state)
{
    (void)state;
    static const char *const cases[][2] = {
        {"a|b", "a\\|b"},
        {"- item", "\\- item"},
        {"12. item", "12\\. item"},
        {"in 12. item", "in 12. item"},
        {"<b>&amp;", "&lt;b>&amp;amp;"},
        {"> quote", "\\> quote"},
        {"http://x", "http\\://x"},
        {"www.x", "www\\.x"},
        {"a_b*c`d", "a\\_b\\*c\\`d"},
        {"4 \xC2\xB1 0.2 mm", "4 \xC2\xB1 0.2 mm"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Report *report = report_new("t");
        Text text = {0}, expected = {0};
        report_paragraph(report, NULL, cases[i][0]);
        report_markdown(&text, report);
        text_addf(&expected, "# t\n\n%s\n", cases[i][1]);
        assert_string_equal(text.bytes, expected.bytes);
        text_free(&text);
        text_free(&expected);
        report_free(report);
    }
}

static void a_fence_is_longer_than_what_it_holds(void **state)
{
    (void)state;
    Text text = written(report_markdown, "a ````` b");
    assert_int_equal(count_of(text.bytes, "\n``````text\n"), 1);
    assert_int_equal(count_of(text.bytes, "\n``````\n"), 1);
    text_free(&text);
}

/* --- the same in all three --- */

static void every_writer_tells_all(void **state)
{
    (void)state;
    for (size_t w = 0; w < WRITERS; w++) {
        Report *report = report_new("Title");
        Text text = {0};
        static const char *const words[] = {"Title",
                                            "Held",
                                            "because",
                                            "Named",
                                            "value",
                                            "Section",
                                            "Lead",
                                            "sentence",
                                            "first item",
                                            "Cap",
                                            "head",
                                            "cell",
                                            "Trouble",
                                            "major",
                                            "Chalk",
                                            "about 1 in 8",
                                            "Picture 1: drawn",
                                            "noted",
                                            "Designer"};
        report_status(report, REPORT_GOOD, "Held", "because");
        report_pair(report, "Named", "value");
        report_open(report, "a", "Section", 1);
        report_paragraph(report, "Lead", "sentence");
        report_item(report, "first item");
        report_table(report, "Cap", &(ReportColumn){"head", false}, 1);
        report_row(report, (const char *const[]){"cell"}, NULL);
        report_open_finding(report, "f", "Trouble", VERDICT_TIGHT, "major", 7);
        report_strip(report, (const char *const[]){"41"}, 1, (const char *const[]){"Chalk"}, 1,
                     (const Verdict[]){VERDICT_TIGHT});
        report_share(report, 0.125, "about 1 in 8");
        Figure figure = figure_new(report_arena(report), "drawn");
        figure_line(&figure, PEN_LINE, (Point[]){{0, 0}, {40, 20}}, 2);
        text_add(&figure.notes, "noted\n");
        assert_int_equal(report_figure(report, figure), 1);
        report_close(report);
        report_close(report);
        report_close(report); /* one too many is none */
        report_signature(report, "Designer");
        writers[w](&text, report);
        for (size_t i = 0; i < sizeof words / sizeof *words; i++)
            if (strstr(text.bytes, words[i]) == NULL)
                fail_msg("writer %zu does not say %s", w, words[i]);
        assert_non_null(strstr(text.bytes, w == MARKDOWN ? "7. \\~ tight" : "7. "));
        text_free(&text);
        report_free(report);
    }
}

static void the_same_tree_gives_the_same_bytes(void **state)
{
    (void)state;
    for (size_t w = 0; w < WRITERS; w++) {
        Text one = written(writers[w], "\xC2\xB1 4 mm"), other;
        setenv("TZ", "Pacific/Kiritimati", 1);
        assert_non_null(setlocale(LC_ALL, "C.UTF-8"));
        other = written(writers[w], "\xC2\xB1 4 mm");
        setlocale(LC_ALL, "C");
        assert_string_equal(one.bytes, other.bytes);
        text_free(&one);
        text_free(&other);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hostile_text_is_harmless),
        cmocka_unit_test(html_holds_together),
        cmocka_unit_test(html_asks_for_nothing_from_elsewhere),
        cmocka_unit_test(links_lead_somewhere),
        cmocka_unit_test(prefixes_keep_anchors_apart),
        cmocka_unit_test(long_names_keep_to_the_page),
        cmocka_unit_test(many_columns_become_records),
        cmocka_unit_test(markdown_says_what_was_written),
        cmocka_unit_test(a_fence_is_longer_than_what_it_holds),
        cmocka_unit_test(every_writer_tells_all),
        cmocka_unit_test(the_same_tree_gives_the_same_bytes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

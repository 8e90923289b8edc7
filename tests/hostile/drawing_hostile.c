/* Hostile and broken drawings: each is refused at the right place with words that
 * help, in little time and memory; and ten thousand mutations of a sound one. */
#include "unit/shape_kit.h"

#include <stdlib.h>
#include <time.h>

#include "shape/drawing.h"

#define PAGE "<svg width='100mm' height='50mm' viewBox='0 0 100 50'>"
#define PATH "<path id='p.e' d='M0 0L5 5'/>"

static double seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

/* Line 0: taken. */
static void check_bytes(const char *bytes, size_t length, int line, int column, const char *says)
{
    Arena arena = {0};
    Messages messages = {0};
    double before = seconds();
    Drawing *drawing = drawing_read_bytes(&arena, "h.svg", bytes, length, &messages);
    if (seconds() - before > 5) /* a second, and room for sanitizers and slow machines */
        fail_msg("%.1f s for %.60s", seconds() - before, bytes);
    if ((drawing != NULL) != (line == 0) || (drawing == NULL) != (messages.errors > 0))
        fail_msg("%s: %.200s: %s", drawing ? "taken" : "refused", bytes,
                 messages.count ? messages.items[0].text : "in silence");
    if (!drawing) {
        const Message *first = &messages.items[0];
        if (!strstr(first->text, says))
            fail_msg("'%s' does not say '%s': %.200s", first->text, says, bytes);
        if (first->at.line != line || first->at.column != column)
            fail_msg("%d:%d, not %d:%d: %.200s: %s", first->at.line, first->at.column, line, column,
                     bytes, first->text);
        assert_true(messages.count <= MESSAGES_ERRORS_A_FILE + 1);
    }
    messages_free(&messages);
    arena_free(&arena);
}

static void what_could_reach_out_or_grow_is_refused(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int line, column;
        const char *says;
    } cases[] = {
        {"<!DOCTYPE svg>\n" PAGE "</svg>", 1, 1, "document type"},
        {"<!DOCTYPE svg PUBLIC '-//W3C//DTD SVG 1.1//EN' 'http://x/svg11.dtd'>" PAGE "</svg>", 1, 1,
         "delete <!DOCTYPE"},
        {"<!DOCTYPE svg [<!ENTITY a 'aaaa'><!ENTITY b '&a;&a;&a;&a;&a;&a;&a;&a;'>"
         "<!ENTITY c '&b;&b;&b;&b;&b;&b;&b;&b;'>]>" PAGE "<text>&c;</text></svg>",
         1, 1, "document type"},
        {"<!DOCTYPE svg [<!ENTITY x SYSTEM 'file:///etc/passwd'>]>" PAGE "<text>&x;</text></svg>",
         1, 1, "document type"},
        {"<!DOCTYPE svg [<!ENTITY % x SYSTEM 'http://x/'> %x;]>" PAGE "</svg>", 1, 1,
         "document type"},
        {PAGE "\n<text>&boom;</text></svg>", 2, 7, "undefined entity"},
        {PAGE "\n<use href='#a'/></svg>", 2, 1, "<use>: copies are not read"},
        {PAGE "\n<g><svg/></g></svg>", 2, 4, "<svg>: an svg within"},
        {PAGE "\n<defs><style>*{}</style></defs></svg>", 2, 7, "<style>: style sheets"},
        {PAGE "\n<script>alert(1)</script></svg>", 2, 1, "<script>: scripts"},
        {"<?xml-stylesheet href='x.css'?>\n" PAGE "</svg>", 1, 1, "style sheets"},
        {PAGE "\n<image href='http://x/y.png'/></svg>", 2, 1, "outside this file"},
        {"<svg xmlns:l='http://www.w3.org/1999/xlink' width='1mm' height='1mm' viewBox='0 0 1 1'>\n"
         "<a l:href='other.svg'/></svg>",
         2, 1, "'other.svg'"},
        {PAGE "\n<path fill='url( \"http://x/\")' d='Z'/></svg>", 2, 1, "outside this file"},
        {PAGE "\n<g style='fill:url(#a);mask:url(b.svg#m)'/></svg>", 2, 1, "outside this file"},
        {PAGE "\n<g style='transform:scale(2)'>" PATH "</g></svg>", 2, 4, "not read; write it as"},
        {PAGE "\n<g transform-origin='1 1'/></svg>", 2, 4, "transform-origin"},
    };
    for (size_t i = 0; i < ROWS_OF(cases); i++)
        check_bytes(cases[i].text, strlen(cases[i].text), cases[i].line, cases[i].column,
                    cases[i].says);
}

static void what_is_no_drawing_is_refused(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int line, column;
        const char *says;
    } cases[] = {
        {"", 1, 1, "not well-formed"},
        {"   \n\n ", 3, 2, "not well-formed"},
        {"cordwain: style/1\n", 1, 1, "not well-formed"},
        {"<html/>", 1, 1, "this is no SVG drawing: its first element is 'html'"},
        {"<svg xmlns='urn:other'/>", 1, 1, "no SVG drawing"},
        {PAGE, 1, (int)sizeof PAGE, "not well-formed"},
        {PAGE "\n<g></svg>", 2, 6, "mismatched tag"},
        {PAGE "\n<g a='1' a='2'/></svg>", 2, 10, "duplicate attribute"},
        {PAGE "</svg>\n" PAGE "</svg>", 2, 1, "junk after document element"},
        {PAGE "\n<x:g/></svg>", 2, 1, "unbound prefix"},
        {PAGE "\n<g>&#0;</g></svg>", 2, 4, "not well-formed"},
        {"<?xml version='1.0' encoding='ISO-8859-1'?>" PAGE "</svg>", 1, 1,
         "'ISO-8859-1'; only UTF-8"},
        {"<?xml version='1.0' encoding='UTF-16'?>" PAGE "</svg>", 1, 1, "'UTF-16'; only UTF-8"},
        {PAGE "\n<!-- \xC3\xA9 \xE9 -->" PATH "</svg>", 2, 8, "0xE9"},
        {PAGE "\n<g id='\xC0\xAF'/></svg>", 2, 8, "0xC0"},
        {PAGE "\n<g id='\x1B[31m'/></svg>", 2, 8, "not well-formed"},
        {"\xFF\xFE<\0s\0v\0g\0", 1, 1, "UTF-16"},
        {"\xEF\xBB\xBF" PAGE PATH "</svg>", 0, 0, ""},
        {PAGE PATH "</svg>\r\n<!-- end -->\r\n", 0, 0, ""},
    };
    for (size_t i = 0; i < ROWS_OF(cases); i++)
        check_bytes(cases[i].text, strlen(cases[i].text), cases[i].line, cases[i].column,
                    cases[i].says);
    static const char nul[] = PAGE "\n\0</svg>";
    check_bytes(nul, sizeof nul - 1, 2, 1, "not well-formed");
}

/* `count` times the same between head and tail. */
static char *repeated(const char *head, const char *part, size_t count, const char *tail,
                      size_t *length)
{
    size_t first = strlen(head), each = strlen(part), last = strlen(tail);
    *length = first + each * count + last;
    char *text = malloc(*length + 1);
    assert_non_null(text);
    memcpy(text, head, first);
    for (size_t i = 0; i < count; i++)
        memcpy(text + first + i * each, part, each);
    memcpy(text + first + each * count, tail, last + 1);
    return text;
}

static void check_repeated(const char *head, const char *part, size_t count, const char *tail,
                           int line, int column, const char *says)
{
    size_t length;
    char *text = repeated(head, part, count, tail, &length);
    check_bytes(text, length, line, column, says);
    free(text);
}

static void size_is_bounded(void **state)
{
    (void)state;
    enum { PAGE_END = sizeof PAGE };
    check_repeated(PAGE, "<g>", 63, PATH, 1, PAGE_END + 3 * 63, "more than 64 deep");
    check_repeated(PAGE, "<g>", 1000000, "", 1, PAGE_END + 3 * 63, "more than 64 deep");
    check_repeated(PAGE "\n<g id='", "a", 1000000, "'>" PATH "</g></svg>", 0, 0, "");
    check_repeated(PAGE "\n<g id='", "_", 1000000, "'><path id='e' d='Z'/></g></svg>", 2, 4,
                   "____…");
    check_repeated(PAGE "\n<g id='p'><path id='_", "\xE2\x82\xAC", 1000, "' d=''/></g></svg>", 2,
                   17, "\xE2\x82\xAC…'");
    check_repeated(PAGE "\n<g transform='", "rotate(1)", 500000, "'>" PATH "</g></svg>", 0, 0, "");
    check_repeated(PAGE "\n<g transform='", "scale(2)", 500000, "'>" PATH "</g></svg>", 2, 4,
                   "not finite");
    check_repeated(PAGE "\n<g transform='", "(", 500000, "'>" PATH "</g></svg>", 2, 4, "name of a");
    check_repeated(PAGE "\n<path id='p.e' d='M0 0L", "1 1 0 0 ", 500000, "'/></svg>", 2, 1,
                   "2,000");
    check_repeated(PAGE "\n<path id='p.e' d='M0 0L", "1", 5000000, "'/></svg>", 2, 1,
                   "character 6");
    check_repeated(PAGE "\n", "<path id='p.e' d='M0 0L5 5'/>", 100000, "</svg>", 2, 30,
                   "a second path");
    check_repeated(PAGE "\n", "<use/>", 1000000, "</svg>", 2, 1, "<use>");
    check_repeated(PAGE "\n<text>", "x &amp; ", 1000000, "</text></svg>", 0, 0, "");
    check_repeated(PAGE, "\n\n\n\n\n\n\n\n", 1000000, "<use/></svg>", 8000001, 1, "<use>");
}

static void a_file_beyond_the_most_is_refused(void **state)
{
    (void)state;
    size_t length;
    char *text = repeated(PAGE "<!--", "x", DRAWING_FILE_MOST, "--></svg>", &length);
    Arena arena = {0};
    Messages messages = {0};
    assert_null(drawing_read_bytes(&arena, "h.svg", text, length, &messages));
    assert_int_equal(messages.count, 1);
    assert_int_equal(messages.items[0].at.line, 0);
    assert_non_null(strstr(messages.items[0].text, "larger than 8 MiB"));
    messages_free(&messages);
    arena_free(&arena);
    free(text);
}

static void paths_are_counted(void **state)
{
    (void)state;
    for (int count = DRAWING_PATHS_MOST; count <= DRAWING_PATHS_MOST + 1; count++) {
        Text text = {0};
        text_add(&text, PAGE);
        for (int i = 0; i < count; i++)
            text_addf(&text, "\n<path id='p.e%d' d='M0 0L5 5'/>", i);
        text_add(&text, "</svg>");
        bool taken = count == DRAWING_PATHS_MOST;
        check_bytes(text.bytes, text.length, taken ? 0 : count + 1, 1, "more than 5000 paths");
        text_free(&text);
    }
}

/* ---- mutations ---- */

static const char sound[] =
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
    "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"100mm\" height=\"50mm\" viewBox=\"0 0 100 "
    "50\">\n"
    "<g transform=\"translate(3 4) rotate(30, 1, 2)\"><g id=\"vamp\" transform=\"scale(2)\">\n"
    "<path id=\"throat\" d=\"M0 0C1 2 3 4 5.5 6S7 8 9 1e1Q1 2 3 4T5 6\"/>\n"
    "<path id=\"vamp.toe\" d=\"m1-2h3v.5a2 2 0 01 4 4l1 1\" style=\"fill:none\"/></g></g>\n"
    "<path id=\"quarter.top\" transform=\"skewX(10)matrix(1 0 0 1 2 3)\" d=\"M1,1 L 9,9\"/>\n"
    "<text id=\"note\">\xC3\xA9 &lt; &#xE9;</text><defs><path id=\"x\" d=\"Z\"/></defs></svg>\n";

static uint32_t draw(uint32_t *random, uint32_t below)
{
    *random = *random * 1664525u + 1013904223u;
    return (uint32_t)(((uint64_t)*random * below) >> 32);
}

/* One change: a byte replaced, a bit flipped, a run removed, doubled or moved, or a
 * word from the language put in. */
static size_t mutate(char *text, size_t length, uint32_t *random)
{
    static const char *const words[] = {"<",
                                        ">",
                                        "\"",
                                        "'",
                                        "/",
                                        "&",
                                        "<g>",
                                        "</g>",
                                        "<use/>",
                                        "<!DOCTYPE x>",
                                        "&#x41;",
                                        "e999",
                                        "-",
                                        ".",
                                        ",",
                                        "(",
                                        ")",
                                        "Z",
                                        "A0 0 0 0 0 1 1",
                                        "matrix(",
                                        "scale(0)",
                                        "1e308",
                                        "%",
                                        "id=\"a\"",
                                        "\xF0\x9F\x91\x9E",
                                        "\xE2\x80\xAE",
                                        "\n",
                                        "<![CDATA[",
                                        "]]>",
                                        "<!--",
                                        "-->",
                                        "<?x?>",
                                        "xmlns=\"\""};
    size_t at = draw(random, (uint32_t)length), run = 1 + draw(random, 20);
    if (run > length - at)
        run = length - at;
    switch (draw(random, 5)) {
    case 0:
        text[at] = (char)draw(random, 256);
        return length;
    case 1:
        text[at] = (char)(text[at] ^ 1 << draw(random, 8));
        return length;
    case 2:
        memmove(text + at, text + at + run, length - at - run);
        return length - run;
    case 3:
        memmove(text + at + run, text + at, length - at);
        return length + run;
    default: {
        const char *word = words[draw(random, ROWS_OF(words))];
        size_t more = strlen(word);
        memmove(text + at + more, text + at, length - at);
        memcpy(text + at, word, more);
        return length + more;
    }
    }
}

/* Either a drawing that keeps its promises or a message; what is kept is sound. */
static bool check_mutant(const char *text, size_t length)
{
    Arena arena = {0};
    Messages messages = {0};
    Drawing *drawing = drawing_read_bytes(&arena, "m.svg", text, length, &messages);
    assert_true((drawing == NULL) == (messages.errors > 0));
    for (size_t i = 0; i < messages.count; i++)
        assert_true(messages.items[i].at.line >= 1 && messages.items[i].at.column >= 1);
    for (size_t i = 0; drawing && i < drawing->count; i++) {
        const DrawnEdge *edge = &drawing->edges[i];
        assert_ptr_equal(drawing_find(drawing, edge->part, edge->edge), edge);
        assert_true(*edge->part && *edge->edge && edge->path.count > 0);
        assert_true(path_length(&edge->path) > 0);
        for (size_t k = 0; k < edge->path.count; k++)
            for (int j = 0; j < 4; j++) {
                assert_true(fabs(edge->path.pieces[k].p[j].x) <= DRAWING_REACH_MM);
                assert_true(fabs(edge->path.pieces[k].p[j].y) <= DRAWING_REACH_MM);
            }
    }
    bool taken = drawing != NULL;
    messages_free(&messages);
    arena_free(&arena);
    return taken;
}

static void mutations_are_read_or_refused(void **state)
{
    (void)state;
    enum { MUTATIONS = 10000, CHANGES_MOST = 4, ROOM = sizeof sound + 100 };
    uint32_t random = 20;
    int taken = 0;
    assert_true(check_mutant(sound, sizeof sound - 1));
    for (int i = 0; i < MUTATIONS; i++) {
        char text[ROOM];
        size_t length = sizeof sound - 1;
        memcpy(text, sound, length);
        for (uint32_t k = 1 + draw(&random, CHANGES_MOST); k > 0; k--)
            length = mutate(text, length, &random);
        /* A block of its own size, so that reading past its end is seen. */
        char *exact = malloc(length);
        assert_non_null(exact);
        memcpy(exact, text, length);
        taken += check_mutant(exact, length);
        free(exact);
    }
    if (taken < MUTATIONS / 50 || taken > MUTATIONS / 2)
        fail_msg("%d of %d mutants taken: no test", taken, MUTATIONS);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_could_reach_out_or_grow_is_refused),
        cmocka_unit_test(what_is_no_drawing_is_refused),
        cmocka_unit_test(size_is_bounded),
        cmocka_unit_test(a_file_beyond_the_most_is_refused),
        cmocka_unit_test(paths_are_counted),
        cmocka_unit_test(mutations_are_read_or_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Pictures as SVG: kept ones, well-formed whatever the labels, and quiet. */
#include <expat.h>

#include "figure_kit.h"

static Text svg_of(const Figure *figure, double width, bool alone)
{
    Text text = {0};
    figure_svg(&text, figure, width, alone);
    return text;
}

static bool name_is_one_of(const char *name, const char *const *names, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(name, names[i]) == 0)
            return true;
    return false;
}

/* What the reader of the file has met. */
typedef struct Met {
    int elements;
    int titles;
    Text words;
} Met;

static void element_starts(void *data, const char *name, const char **attributes)
{
    static const char *const known[] = {"svg", "title", "g", "path", "circle", "text", "rect"};
    static const char *const unwanted[] = {"style", "id", "class", "href", "onload"};
    Met *met = data;
    met->elements++;
    met->titles += strcmp(name, "title") == 0;
    if (!name_is_one_of(name, known, COUNT_OF(known)))
        fail_msg("element %s", name);
    for (; *attributes; attributes += 2) {
        if (name_is_one_of(attributes[0], unwanted, COUNT_OF(unwanted)))
            fail_msg("attribute %s", attributes[0]);
        assert_null(strstr(attributes[1], "nan"));
        assert_null(strstr(attributes[1], "inf"));
    }
}

static void words_come(void *data, const char *words, int length)
{
    text_add_bytes(&((Met *)data)->words, words, (size_t)length);
}

static Met read_xml(const Text *text)
{
    Met met = {0};
    XML_Parser parser = XML_ParserCreate("UTF-8");
    XML_SetUserData(parser, &met);
    XML_SetElementHandler(parser, element_starts, NULL);
    XML_SetCharacterDataHandler(parser, words_come);
    if (XML_Parse(parser, text->bytes, (int)text->length, 1) != XML_STATUS_OK)
        fail_msg("line %lu: %s", XML_GetCurrentLineNumber(parser),
                 XML_ErrorString(XML_GetErrorCode(parser)));
    XML_ParserFree(parser);
    return met;
}

static void pictures_are_as_kept(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(KIT_PICTURES); i++) {
        Arena arena = {0};
        Figure figure = KIT_PICTURES[i].draw(&arena);
        Text text = svg_of(&figure, 160, true);
        Met met = read_xml(&text);
        assert_int_equal(met.titles, 1);
        text_free(&met.words);
        kit_same_as_file(arena_printf(&arena, "tests/fixtures/figure-%s.svg", KIT_PICTURES[i].name),
                         text_string(&text));
        text_free(&text);
        figure_free(&figure);
        arena_free(&arena);
    }
}

static void every_width_gives_a_picture(void **state)
{
    (void)state;
    static const double widths[] = {-1, NAN, 20, 60, 90, 180, 1000, INFINITY};
    for (size_t i = 0; i < COUNT_OF(KIT_PICTURES); i++)
        for (size_t k = 0; k < COUNT_OF(widths); k++) {
            Arena arena = {0};
            Figure figure = KIT_PICTURES[i].draw(&arena);
            Text text = svg_of(&figure, widths[k], false);
            Met met = read_xml(&text);
            assert_true(met.elements > 10);
            text_free(&met.words);
            text_free(&text);
            figure_free(&figure);
            arena_free(&arena);
        }
}

static void an_inner_picture_has_no_file_head(void **state)
{
    (void)state;
    Arena arena = {0};
    Figure figure = kit_graph(&arena);
    Text text = svg_of(&figure, 90, false);
    assert_int_equal(strncmp(text.bytes,
                             "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" "
                             "width=\"90mm\" height=\"",
                             strlen("<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" "
                                    "width=\"90mm\" height=\"")),
                     0);
    assert_null(strstr(text.bytes, "<rect"));
    assert_non_null(strstr(text.bytes, "viewBox=\"0 0 90 "));
    assert_non_null(strstr(text.bytes, "currentColor"));
    text_free(&text);
    figure_free(&figure);
    arena_free(&arena);
}

static void foreign_words_stay_words(void **state)
{
    (void)state;
    static const char *const hostile = "</text><script>&\"x\"\x1b[2J\xff\xef\xbf\xbf]]>";
    static const char *const shown = "</text><script>&\"x\"\\u{1b}[2J\\u{ff}\\u{ffff}]]>";
    Arena arena = {0};
    Figure figure = figure_new(&arena, hostile);
    figure_label(&figure, PEN_LINE, (Point){0, 0}, SIDE_RIGHT, hostile);
    text_addf(&figure.notes, "%s\n", hostile);
    Text text = svg_of(&figure, 180, true);
    Met met = read_xml(&text);
    int times = 0;
    for (const char *at = met.words.bytes; (at = strstr(at, shown)) != NULL; at++)
        times++;
    assert_int_equal(times, 4); /* <title>, the line above, the label, the note */
    text_free(&met.words);
    text_free(&text);
    figure_free(&figure);
    arena_free(&arena);
}

static void the_locale_has_no_say(void **state)
{
    (void)state;
    Arena arena = {0};
    Figure figure =
        figure_new(&arena, "甲乙丙丁戊己庚辛壬癸 甲乙丙丁戊己庚辛壬癸 甲乙丙丁戊己庚辛壬癸");
    figure_label(&figure, PEN_TROUBLE, (Point){0.5, 0.25}, SIDE_RIGHT, "Gelenk ± 0.5 mm, 甲");
    text_add(&figure.notes, "Überstand 甲乙丙丁戊己庚辛壬癸 größer als der Fuß der Maschine.\n");
    setlocale(LC_CTYPE, "C");
    Text one = svg_of(&figure, 60, false);
    setlocale(LC_CTYPE, "C.UTF-8");
    Text other = svg_of(&figure, 60, false);
    assert_string_equal(one.bytes, other.bytes);
    text_free(&one);
    text_free(&other);
    figure_free(&figure);
    arena_free(&arena);
}

static void what_is_left_out_is_said(void **state)
{
    (void)state;
    Arena arena = {0};
    Figure figure = figure_new(&arena, NULL);
    Text empty = svg_of(&figure, 60, false);
    assert_non_null(strstr(empty.bytes, ">nothing to draw</text>"));
    figure_mark(&figure, PEN_LINE, (Point){NAN, 0});
    figure_mark(&figure, PEN_LINE, (Point){0, 0});
    figure_label(&figure, PEN_LINE, (Point){0, 0}, SIDE_RIGHT,
                 "far too long for a picture that is no more than 20 millimetres wide");
    Text text = svg_of(&figure, 20, false);
    Met met = read_xml(&text);
    assert_null(strstr(met.words.bytes, "far too long"));
    assert_non_null(strstr(met.words.bytes, "1 label does"));
    text_free(&met.words);
    text_free(&empty);
    text_free(&text);
    figure_free(&figure);
    arena_free(&arena);
}

static void fills_and_trouble_differ_by_shape(void **state)
{
    (void)state;
    const Point square[] = {{0, 0}, {10, 0}, {10, 10}, {0, 10}};
    Text texts[2];
    for (int other = 0; other <= 1; other++) {
        Arena arena = {0};
        Figure figure = figure_new(&arena, NULL);
        figure_area(&figure, other ? PEN_FILL_OTHER : PEN_FILL, square, 4);
        figure_mark(&figure, other ? PEN_TROUBLE : PEN_LINE, (Point){5, 5});
        texts[other] = svg_of(&figure, 40, false);
        Met met = read_xml(&texts[other]);
        /* one path for the area; with the other pen its hatch and the mark's cross too */
        assert_int_equal(met.elements, (other ? 3 : 1) + 1 + 4);
        text_free(&met.words);
        figure_free(&figure);
        arena_free(&arena);
    }
    text_free(&texts[0]);
    text_free(&texts[1]);
}

int main(void)
{
    setlocale(LC_CTYPE, "C.UTF-8");
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pictures_are_as_kept),
        cmocka_unit_test(every_width_gives_a_picture),
        cmocka_unit_test(an_inner_picture_has_no_file_head),
        cmocka_unit_test(foreign_words_stay_words),
        cmocka_unit_test(the_locale_has_no_say),
        cmocka_unit_test(what_is_left_out_is_said),
        cmocka_unit_test(fills_and_trouble_differ_by_shape),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

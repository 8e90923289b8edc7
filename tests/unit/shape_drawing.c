/* Drawings: units, scales, transforms, names; what is ignored and what is said. */
#include "shape_kit.h"

#include <locale.h>
#include <stdlib.h>
#include <unistd.h>

#include "shape/drawing.h"
#include "scratch.h"

#define PAGE                                                                                       \
    "<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='50mm' viewBox='0 0 100 50'>"

typedef struct Read {
    Arena arena;
    Messages messages;
    Drawing *drawing;
} Read;

static Read read_text(const char *text)
{
    Read read = {0};
    read.drawing = drawing_read_bytes(&read.arena, "d.svg", text, strlen(text), &read.messages);
    if ((read.drawing == NULL) != (read.messages.errors > 0))
        fail_msg("drawing and errors disagree: %s", text);
    return read;
}

static void read_free(Read *read)
{
    messages_free(&read->messages);
    arena_free(&read->arena);
}

static const char *said(const Read *read)
{
    return read->messages.count ? read->messages.items[0].text : "nothing";
}

/* The edge's ends, in mm, y upwards. */
static void check_ends(const char *text, const char *part, const char *edge, double x0, double y0,
                       double x1, double y1)
{
    Read read = read_text(text);
    if (!read.drawing)
        fail_msg("refused: %s: %s", text, said(&read));
    const DrawnEdge *found = drawing_find(read.drawing, part, edge);
    if (!found)
        fail_msg("no %s.%s in %s: %s", part, edge, text, said(&read));
    near(text, path_start(&found->path).x, x0, 1e-9);
    near(text, path_start(&found->path).y, y0, 1e-9);
    near(text, path_end(&found->path).x, x1, 1e-9);
    near(text, path_end(&found->path).y, y1, 1e-9);
    assert_false(found->used);
    read_free(&read);
}

/* The first message: an error (or notice) at that place with those words. */
static void check_said(const char *text, MessageLevel level, int line, int column, const char *says)
{
    Read read = read_text(text);
    if (!read.messages.count)
        fail_msg("nothing said, but expected '%s': %s", says, text);
    const Message *first = &read.messages.items[0];
    if (first->level != level || !strstr(first->text, says))
        fail_msg("'%s' does not say '%s': %s", first->text, says, text);
    if (first->at.line != line || first->at.column != column)
        fail_msg("%d:%d, not %d:%d: %s: %s", first->at.line, first->at.column, line, column, text,
                 first->text);
    assert_string_equal(first->at.file, "d.svg");
    read_free(&read);
}

static void units_give_one_scale(void **state)
{
    (void)state;
    static const struct {
        const char *page;
        double scale, left, top;
    } cases[] = {
        {"width='100mm' height='50mm' viewBox='0 0 100 50'", 1, 0, 0},
        {"width='10cm' height='5cm' viewBox='0,0,100,50'", 1, 0, 0},
        {"width=' 2in ' height='1in' viewBox='0 0 200 100'", 0.254, 0, 0},
        {"width='72pt' height='144pt' viewBox='0 0 25.4 50.8'", 1, 0, 0},
        {"width='96px' height='96PX' viewBox='-10 5 25.4 25.4'", 1, -10, 5},
        {"width='1e2mm' height='+50.mm' viewBox='0 0 1000 500'", 0.1, 0, 0},
        {"width='96px' height='48px'", 25.4 / 96, 0, 0},
        {"width='210mm' height='297mm' viewBox='0 0 793.7008 1122.5197'", 210 / 793.7008, 0, 0},
    };
    for (size_t i = 0; i < ROWS_OF(cases); i++) {
        char text[300];
        snprintf(text, sizeof text, "<svg %s><path id='p.e' d='M10 20L30 5'/></svg>",
                 cases[i].page);
        double s = cases[i].scale, x = cases[i].left, y = cases[i].top;
        check_ends(text, "p", "e", s * (10 - x), -s * (20 - y), s * (30 - x), -s * (5 - y));
    }
}

static void pages_without_scale_are_refused(void **state)
{
    (void)state;
    static const struct {
        const char *page;
        int column;
        const char *says;
    } cases[] = {
        {"height='50mm' viewBox='0 0 1 1'", 1, "has no width"},
        {"width='50mm' viewBox='0 0 1 1'", 1, "has no height"},
        {"width='100' height='50mm' viewBox='0 0 100 50'", 6, "a unit is due"},
        {"width='100%' height='50mm' viewBox='0 0 100 50'", 6, "percentage"},
        {"width='100mm' height='50em' viewBox='0 0 100 50'", 20, "unknown unit"},
        {"width='100mmm' height='50mm' viewBox='0 0 100 50'", 6, "unknown unit"},
        {"width='0mm' height='50mm' viewBox='0 0 100 50'", 6, "greater than 0"},
        {"width='-5mm' height='50mm' viewBox='0 0 100 50'", 6, "greater than 0"},
        {"width='nanmm' height='50mm' viewBox='0 0 100 50'", 6, "a number is due"},
        {"width='0x10mm' height='50mm' viewBox='0 0 100 50'", 6, "unknown unit"},
        {"width='1e999mm' height='50mm' viewBox='0 0 100 50'", 6, "too large"},
        {"width='10,5mm' height='50mm' viewBox='0 0 100 50'", 6, "unknown unit"},
        {"width='100mm' height='50mm' viewBox='0 0 100 60'", 34, "two scales"},
        {"width='100mm' height='50mm' viewBox='0 0 100.001 50'", 34, "two scales"},
        {"width='100mm' height='50mm' viewBox='0 0 100'", 34, "a number is due"},
        {"width='100mm' height='50mm' viewBox='0 0 100 50 7'", 34, "four numbers"},
        {"width='100mm' height='50mm' viewBox='0 0 0 50'", 34, "greater than 0"},
        {"width='100mm' height='50mm' viewBox='0 0 1e-320 5e-321'", 34, "cannot be used"},
        {"width='100mm' height='50mm' viewBox='0 0 100 50' transform='scale(2)'", 55,
         "put it on a group"},
    };
    for (size_t i = 0; i < ROWS_OF(cases); i++) {
        char text[300];
        snprintf(text, sizeof text, "\n<svg %s><path id='p.e' d='M1 1L2 2'/></svg>", cases[i].page);
        check_said(text, MESSAGE_ERROR, 2, cases[i].column, cases[i].says);
    }
    check_said("<svg width='96px' height='48px'/>", MESSAGE_NOTICE, 1, 1, "no viewBox");
}

static void transforms_nest(void **state)
{
    (void)state;
    static const struct {
        const char *outer, *inner, *own;
        double x0, y0, x1, y1; /* of (1, 2) and (4, 6), y downwards */
    } cases[] = {
        {"", "", "", 1, 2, 4, 6},
        {"translate(10)", "", "", 11, 2, 14, 6},
        {"translate(10 -20)", "", "", 11, -18, 14, -14},
        {"translate(10-20)", "", "", 11, -18, 14, -14},
        {"scale(2)", "", "", 2, 4, 8, 12},
        {"scale(2,-3)", "", "", 2, -6, 8, -18},
        {"rotate(90)", "", "", -2, 1, -6, 4},
        {"rotate(90, 1, 2)", "", "", 1, 2, -3, 5},
        {"rotate(-180 2.5 4)", "", "", 4, 6, 1, 2},
        {"skewX(45)", "", "", 3, 2, 10, 6},
        {"skewY(45)", "", "", 1, 3, 4, 10},
        {"matrix(1 2 3 4 5 6)", "", "", 12, 16, 27, 38},
        {"translate(10,0) scale(2)", "", "", 12, 4, 18, 12},
        {"translate(10,0),scale(2)", "", "", 12, 4, 18, 12},
        {"translate(10,0)", "scale(2)", "", 12, 4, 18, 12},
        {"scale(2)", "translate(10,0)", "", 22, 4, 28, 12},
        {"scale(2)", "translate(10,0)", "rotate(90)", 16, 2, 8, 8},
        {" \n scale ( 2 , 3 ) \t", "", "", 2, 6, 8, 18},
        {"scale(.5e1)", "", "", 5, 10, 20, 30},
    };
    for (size_t i = 0; i < ROWS_OF(cases); i++) {
        char text[600];
        snprintf(text, sizeof text,
                 PAGE "<g id='layer1' transform='%s'><g id='vamp' transform='%s'>"
                      "<path id='throat' transform='%s' d='M1 2 C2 2 4 5 4 6'/></g></g></svg>",
                 cases[i].outer, cases[i].inner, cases[i].own);
        check_ends(text, "vamp", "throat", cases[i].x0, -cases[i].y0, cases[i].x1, -cases[i].y1);
    }
}

static void curves_bend_the_same_way_as_on_the_page(void **state)
{
    (void)state;
    Read read = read_text(PAGE "<g transform='translate(3 4) rotate(30)'>"
                               "<path id='p.e' d='M0 0A10 10 0 0 1 10 10'/></g></svg>");
    assert_non_null(read.drawing);
    /* Clockwise on the page: to the right. */
    near("curvature", path_curvature(&read.drawing->edges[0].path, (PathAt){0, 0.5}), -0.1, 1e-4);
    near("length", path_length(&read.drawing->edges[0].path), 5 * 3.14159265358979, 1e-5);
    read_free(&read);
}

static void bad_transforms_are_refused(void **state)
{
    (void)state;
    static const struct {
        const char *value, *says;
    } cases[] = {
        {"rotat(3)", "is 'rotate' meant"},
        {"rotate3d(3)", "unknown transform"},
        {"perspective(3)", "known are translate"},
        {"rotate", "'(' is due"},
        {"rotate(", "a number is due"},
        {"rotate()", "a number is due"},
        {"rotate(3", "a number is due"},
        {"rotate(3,)", "a number is due"},
        {"rotate(3,,4)", "a number is due"},
        {"rotate(3,4)", "wrong count"},
        {"translate(1 2 3)", "wrong count"},
        {"matrix(1 2 3 4 5)", "wrong count"},
        {"matrix(1 2 3 4 5 6 7)", "too many numbers"},
        {"skewX(1 2)", "wrong count"},
        {"scale(2),", "after the comma"},
        {"scale(2);", "name of a transform"},
        {"translate(10mm)", "a number is due"},
        {"scale(nan)", "a number is due"},
        {"scale(inf)", "a number is due"},
        {"scale(1e999)", "too large"},
        {"scale(1e200) scale(1e200)", "not finite"},
        {"scale(0)", "flattens"},
        {"scale(1 0)", "flattens"},
        {"matrix(1 2 2 4 0 0)", "flattens"},
        {"skewX(90)", "flattens"},
        {"scale(1e-200)", "flattens"},
        {"translate(1e300)", "further than 10 m"},
        {"scale(10000)", "further than 10 m"},
        {"scale(1.00000000000000000000000000000000000000)", "40 characters"},
    };
    for (size_t i = 0; i < ROWS_OF(cases); i++) {
        char text[400];
        snprintf(text, sizeof text,
                 PAGE "\n<g transform='%s'>\n<path id='p.e' d='M1 2L4 6'/></g></svg>",
                 cases[i].value);
        bool far = strstr(cases[i].says, "10 m") != NULL;
        check_said(text, MESSAGE_ERROR, far ? 3 : 2, far ? 1 : 4, cases[i].says);
    }
    check_said(PAGE "<g transform='scale(1e-100)'><g transform='scale(1e-100)'/></g></svg>",
               MESSAGE_ERROR, 1, (int)strlen(PAGE) + 33, "with those around it");
    check_said(PAGE
               "<g transform='translate(9000) scale(1e-6)'><path id='p.e' d='M1 2L4 6'/></g></svg>",
               MESSAGE_ERROR, 1, (int)strlen(PAGE) + 44, "nothing is left");
}

static void names_come_from_groups_and_paths(void **state)
{
    (void)state;
    const char *text =
        PAGE "<g id='layer1'><g><g id='vamp'><g><path id='throat' d='M1 1H9'/></g>"
             "<path id='vamp.toe' d='M2 1H9'/></g></g>"
             "<path id='tongue.top-1' d='M3 1H9'/>"
             "<g id='quarter'><path id='throat' d='M4 1H9'/><path d='M5 1H9'/></g></g></svg>";
    Read read = read_text(text);
    assert_non_null(read.drawing);
    assert_int_equal(read.messages.count, 0);
    assert_int_equal(read.drawing->count, 4);
    static const char *const names[][2] = {
        {"vamp", "throat"}, {"vamp", "toe"}, {"tongue", "top-1"}, {"quarter", "throat"}};
    for (size_t i = 0; i < 4; i++) {
        const DrawnEdge *edge = drawing_find(read.drawing, names[i][0], names[i][1]);
        assert_ptr_equal(edge, &read.drawing->edges[i]);
        near("x", path_start(&edge->path).x, (double)i + 1, 0);
        assert_int_equal(edge->at.line, 1);
    }
    assert_null(drawing_find(read.drawing, "vamp", "top-1"));
    assert_string_equal(read.drawing->file, "d.svg");
    read_free(&read);
}

static void what_is_no_edge_is_ignored(void **state)
{
    (void)state;
    const char *text =
        "<?xml version='1.0' encoding='utf-8'?>\n<!-- a comment -->\n"
        "<s:svg xmlns:s='http://www.w3.org/2000/svg' xmlns:o='urn:other' "
        "xmlns:xlink='http://www.w3.org/1999/xlink' width='10mm' height='10mm' "
        "viewBox='0 0 10 10' o:use='x'><s:defs><s:path id='x' d='Z'/><s:clipPath id='c'>"
        "<s:path id='cut' d='nonsense'/></s:clipPath></s:defs><o:use><s:path id='a' d='Z'/></o:use>"
        "<s:metadata><o:style/></s:metadata><s:title>vamp &amp; more</s:title>"
        "<s:g id='vamp'><s:text id='t1'>Throat <s:tspan>5 mm</s:tspan></s:text>"
        "<s:circle id='hole' r='2'/><s:rect id='r'/><s:path d='Z'/><o:path id='no' d='Z'/>"
        "<s:path id='throat' d='M1 1H5' style='fill:url(#grad)' xlink:href='#x'><s:title/></s:path>"
        "<s:image href='data:image/png;base64,AAAA'/></s:g></s:svg>";
    Read read = read_text(text);
    if (!read.drawing)
        fail_msg("%s", said(&read));
    assert_int_equal(read.drawing->count, 1);
    assert_int_equal(read.messages.count, 0);
    read_free(&read);
}

static void paths_are_found_fault_with_where_they_stand(void **state)
{
    (void)state;
    static const struct {
        const char *inside;
        MessageLevel level;
        int line, column;
        const char *says;
    } cases[] = {
        {"<g id='v'>\n <path\n id='e' d='M0 0L5 5Z'/></g>", MESSAGE_ERROR, 2, 2,
         "path data of 'e', character 9 ('Z')"},
        {"<g id='v'>\n<path id='e' d='M0 0L5'/></g>", MESSAGE_ERROR, 2, 1, "at the end"},
        {"<g id='v'>\n<path id='e' d='M0 0L5 é'/></g>", MESSAGE_ERROR, 2, 1, "character 8 ('é')"},
        {"<g id='v'>\n<path id='e' d=''/></g>", MESSAGE_ERROR, 2, 1, "at the end"},
        {"<g id='v'>\n<path id='e'/></g>", MESSAGE_ERROR, 2, 1, "no path data"},
        {"<g id='v'>\n<path id='e.f.g' d='M0 0L5 5'/></g>", MESSAGE_ERROR, 2, 7,
         "EDGE or PART.EDGE"},
        {"<g id='v'>\n<path id='e_1' d='M0 0L5 5'/></g>", MESSAGE_ERROR, 2, 7, "'e_1'"},
        {"<g id='v'>\n<path d='M0 0L5 5' id='éé' /></g>", MESSAGE_ERROR, 2, 20, "cannot be the id"},
        {"<g id='v'>\n<path id='' d='M0 0L5 5'/></g>", MESSAGE_ERROR, 2, 7, "cannot be the id"},
        {"<g id='v'>\n<path id='.e' d='M0 0L5 5'/></g>", MESSAGE_ERROR, 2, 7, "cannot be the id"},
        {"\n<g class='x' id='v 1'>\n<path id='e' d='M0 0L5 5'/></g>", MESSAGE_ERROR, 2, 14,
         "'v 1' cannot be the id of a part"},
        {"\n<path id='e' d='M0 0L5 5'/>", MESSAGE_NOTICE, 2, 7, "write PART.e"},
        {"\n<path id='e_2' d='M0 0L5 5'/>", MESSAGE_NOTICE, 2, 7, "belongs to no part"},
        {"<g id='v'>\n<polyline id='e' points='0 0'/></g>", MESSAGE_NOTICE, 2, 1,
         "turn it into a path"},
    };
    for (size_t i = 0; i < ROWS_OF(cases); i++) {
        char text[400];
        snprintf(text, sizeof text, PAGE "%s</svg>", cases[i].inside);
        check_said(text, cases[i].level, cases[i].line, cases[i].column, cases[i].says);
    }
    /* A group's odd name is no fault where it names no part. */
    check_ends(PAGE "<g id='Layer_1'><path id='p.e' d='M1 2L3 4'/></g></svg>", "p", "e", 1, -2, 3,
               -4);
}

static void twins_name_both_places(void **state)
{
    (void)state;
    Read read =
        read_text(PAGE "<g id='v'>\n<path id='e' d='M0 0L5 5'/></g>\n"
                       "<path id='w.e' d='M0 0L5 5'/>\n  <path id='v.e' d='M0 0L5 5'/></svg>");
    assert_null(read.drawing);
    assert_int_equal(read.messages.errors, 1);
    const Message *message = &read.messages.items[0];
    assert_int_equal(message->at.line, 4);
    assert_int_equal(message->at.column, 3);
    assert_int_equal(message->other.line, 2);
    assert_int_equal(message->other.column, 1);
    assert_non_null(strstr(message->text, "'v.e'"));
    read_free(&read);
}

static void several_faults_are_said_at_once(void **state)
{
    (void)state;
    Read read = read_text("<svg width='1mm' height='1em' viewBox='0 0 1 1'><use/>"
                          "<path id='p.e' d='Z'/><g transform='x'/></svg>");
    assert_null(read.drawing);
    assert_int_equal(read.messages.errors, 4);
    read_free(&read);
}

static void files_are_read_whatever_the_locale(void **state)
{
    (void)state;
    static const char *const locales[] = {"de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8", "C"};
    const char *text =
        "<svg width='100.5mm' height='50.25mm' viewBox='0 0 201 100.5'>"
        "<g id='p' transform='translate(0.5 1.5)'><path id='e' d='M.5.5L1.5 2'/></g></svg>";
    const char *got = NULL;
    for (size_t i = 0; i < ROWS_OF(locales) && !got; i++)
        got = setlocale(LC_ALL, locales[i]); /* with a comma where there is one */
    assert_non_null(got);
    check_ends(text, "p", "e", 0.5, -1, 1, -1.75);
    setlocale(LC_ALL, "C");

    char name[SCRATCH_LENGTH];
    scratch_write(name, text, strlen(text));
    Read read = {0};
    read.drawing = drawing_read(&read.arena, name, &read.messages);
    assert_non_null(read.drawing);
    assert_int_equal(read.drawing->count, 1);
    assert_string_equal(read.drawing->file, name);
    assert_string_equal(read.drawing->edges[0].at.file, name);
    unlink(name);
    assert_null(drawing_read(&read.arena, name, &read.messages));
    assert_non_null(strstr(said(&read), "cannot open"));
    assert_null(drawing_read(&read.arena, "tests", &read.messages));
    read_free(&read);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(units_give_one_scale),
        cmocka_unit_test(pages_without_scale_are_refused),
        cmocka_unit_test(transforms_nest),
        cmocka_unit_test(curves_bend_the_same_way_as_on_the_page),
        cmocka_unit_test(bad_transforms_are_refused),
        cmocka_unit_test(names_come_from_groups_and_paths),
        cmocka_unit_test(what_is_no_edge_is_ignored),
        cmocka_unit_test(paths_are_found_fault_with_where_they_stand),
        cmocka_unit_test(twins_name_both_places),
        cmocka_unit_test(several_faults_are_said_at_once),
        cmocka_unit_test(files_are_read_whatever_the_locale),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

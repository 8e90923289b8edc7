/* Pictures in character cells: kept ones, and what holds for all. */
#include "figure_kit.h"

static const CellStyle SIZES[] = {
    {false, 1, 1},    {true, 1, 1},    {false, 2, 3},   {true, 9, 2},
    {false, 36, 12},  {true, 36, 12},  {false, 80, 24}, {true, 80, 24},
    {false, 100, 40}, {true, 100, 40}, {false, 0, -3},
};

static int cells_wide(const char *line, size_t length)
{
    char copy[1000];
    assert_true(length < sizeof copy);
    memcpy(copy, line, length);
    copy[length] = '\0';
    return utf8_cells(copy);
}

/* No line wider than the style, no trailing blank, in ASCII nothing but ASCII. */
static int check_lines(const char *text, CellStyle style)
{
    int lines = 0, width = style.width > 1 ? style.width : 1;
    for (; *text; lines++) {
        size_t length = strcspn(text, "\n");
        assert_int_equal(text[length], '\n');
        assert_in_range(cells_wide(text, length), 0, width);
        assert_true(length == 0 || text[length - 1] != ' ');
        for (size_t i = 0; style.ascii && i < length; i++)
            assert_in_range(text[i], ' ', '~');
        text += length + 1;
    }
    return lines;
}

static void pictures_are_as_kept(void **state)
{
    (void)state;
    static const CellStyle kept[] = {
        {false, 36, 12}, {true, 36, 12}, {false, 100, 40}, {true, 80, 22}};
    for (size_t i = 0; i < COUNT_OF(KIT_PICTURES); i++)
        for (size_t k = 0; k < COUNT_OF(kept); k++) {
            Arena arena = {0};
            Text text = {0};
            Figure figure = KIT_PICTURES[i].draw(&arena);
            figure_text(&text, &figure, kept[k]);
            char *path =
                arena_printf(&arena, "tests/fixtures/figure-%s-%dx%d%s.txt", KIT_PICTURES[i].name,
                             kept[k].width, kept[k].height, kept[k].ascii ? "-ascii" : "");
            kit_same_as_file(path, text_string(&text));
            text_free(&text);
            figure_free(&figure);
            arena_free(&arena);
        }
}

static void every_size_holds_its_picture(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(KIT_PICTURES); i++)
        for (size_t k = 0; k < COUNT_OF(SIZES); k++) {
            Arena arena = {0};
            Figure figure = KIT_PICTURES[i].draw(&arena);
            figure.title = NULL;
            text_free(&figure.notes);
            int rows = -1;
            figure_cells(&arena, &figure, SIZES[k], &rows);
            assert_in_range(rows, 1, SIZES[k].height > 1 ? SIZES[k].height : 1);
            Text text = {0};
            figure_text(&text, &figure, SIZES[k]);
            assert_int_equal(check_lines(text_string(&text), SIZES[k]), rows);
            text_free(&text);
            figure_free(&figure);
            arena_free(&arena);
        }
}

static void an_empty_picture_says_so(void **state)
{
    (void)state;
    Arena arena = {0};
    Figure figure = figure_new(&arena, "vamp");
    text_add(&figure.notes, "No drawing.\n");
    Text text = {0};
    figure_text(&text, &figure, (CellStyle){false, 36, 12});
    assert_string_equal(text_string(&text), "vamp\nnothing to draw\nNo drawing.\n");
    text_free(&text);
    figure_free(&figure);
    arena_free(&arena);
}

typedef struct Drawn {
    Arena arena;
    Figure figure;
    Text text;
} Drawn;

static void drawn_start(Drawn *drawn)
{
    *drawn = (Drawn){0};
    drawn->figure = figure_new(&drawn->arena, NULL);
}

static const char *drawn_text(Drawn *drawn, CellStyle style)
{
    text_clear(&drawn->text);
    figure_text(&drawn->text, &drawn->figure, style);
    check_lines(text_string(&drawn->text), style);
    return text_string(&drawn->text);
}

static void drawn_free(Drawn *drawn)
{
    text_free(&drawn->text);
    figure_free(&drawn->figure);
    arena_free(&drawn->arena);
}

static void straight_lines_have_no_gaps(void **state)
{
    (void)state;
    const CellStyle braille = {false, 6, 3}, letters = {true, 6, 3};
    Point level[] = {{0, 5}, {10, 5}}, upright[] = {{5, 0}, {5, 10}},
          slanted[] = {{0, 0}, {10, 10}};
    Drawn one;
    drawn_start(&one);
    figure_line(&one.figure, PEN_LINE, level, 2);
    assert_string_equal(drawn_text(&one, braille), "⠉⠉⠉⠉⠉⠉\n");
    assert_string_equal(drawn_text(&one, letters), "------\n");
    drawn_free(&one);
    Drawn two;
    drawn_start(&two);
    figure_line(&two.figure, PEN_LINE, upright, 2);
    assert_string_equal(drawn_text(&two, braille), "⡇\n⡇\n⡇\n");
    assert_string_equal(drawn_text(&two, letters), "|\n|\n|\n");
    drawn_free(&two);
    Drawn three;
    drawn_start(&three);
    figure_line(&three.figure, PEN_LINE, slanted, 2);
    assert_string_equal(drawn_text(&three, braille), "    ⡠⠊\n  ⡠⠊\n⡠⠊\n");
    assert_string_equal(drawn_text(&three, letters), "    //\n  //\n//\n");
    drawn_free(&three);
}

static void a_single_point_is_seen(void **state)
{
    (void)state;
    Point at = {1e8, -1e8};
    Drawn drawn;
    drawn_start(&drawn);
    figure_line(&drawn.figure, PEN_LINE, &at, 1);
    assert_string_equal(drawn_text(&drawn, (CellStyle){false, 36, 12}), "⠁\n");
    assert_string_equal(drawn_text(&drawn, (CellStyle){true, 36, 12}), "-\n");
    figure_mark(&drawn.figure, PEN_TROUBLE, at);
    assert_string_equal(drawn_text(&drawn, (CellStyle){false, 36, 12}), "●\n");
    assert_string_equal(drawn_text(&drawn, (CellStyle){true, 1, 1}), "*\n");
    drawn_free(&drawn);
}

static void fills_differ_without_colour(void **state)
{
    (void)state;
    const Point square[] = {{0, 0}, {30, 0}, {30, 30}, {0, 30}};
    for (int ascii = 0; ascii <= 1; ascii++) {
        char middle[2][8];
        for (int other = 0; other <= 1; other++) {
            Arena arena = {0};
            Figure figure = figure_new(&arena, NULL);
            figure_area(&figure, other ? PEN_FILL_OTHER : PEN_FILL, square, 4);
            int rows;
            Cell *cells = figure_cells(&arena, &figure, (CellStyle){ascii, 40, 20}, &rows);
            Cell inside = cells[10 * 40 + 20];
            assert_string_not_equal(inside.text, " ");
            assert_int_equal(inside.pen, other ? PEN_FILL_OTHER : PEN_FILL);
            strcpy(middle[other], inside.text);
            figure_free(&figure);
            arena_free(&arena);
        }
        assert_string_not_equal(middle[0], middle[1]);
    }
}

static void marks_stand_free_and_weigh_most(void **state)
{
    (void)state;
    Arena arena = {0};
    Figure figure = figure_new(&arena, NULL);
    Point line[] = {{0, 0}, {40, 0}};
    figure_line(&figure, PEN_LINE, line, 2);
    figure_mark(&figure, PEN_TROUBLE, (Point){20, 0});
    int rows;
    Cell *cells = figure_cells(&arena, &figure, (CellStyle){false, 21, 5}, &rows);
    assert_int_equal(rows, 1);
    assert_string_equal(cells[10].text, "●");
    assert_int_equal(cells[10].pen, PEN_TROUBLE);
    assert_string_equal(cells[8].text, "⠉");
    assert_string_equal(cells[9].text, "⠁");  /* free to its right */
    assert_string_equal(cells[11].text, "⠈"); /* and to its left */
    assert_int_equal(cells[11].pen, PEN_LINE);
    figure_free(&figure);
    arena_free(&arena);
}

static bool row_holds(const Cell *cells, CellStyle style, int row, const char *text)
{
    Text line = {0};
    for (int i = 0; i < style.width; i++)
        text_add(&line, cells[row * style.width + i].text);
    bool found = strstr(text_string(&line), text) != NULL;
    text_free(&line);
    return found;
}

static int times_shown(const Cell *cells, CellStyle style, const char *text)
{
    int times = 0;
    for (int row = 0; row < style.height; row++)
        times += row_holds(cells, style, row, text);
    return times;
}

static void labels_are_whole_or_counted(void **state)
{
    (void)state;
    const CellStyle style = {false, 30, 6};
    Arena arena = {0};
    Figure figure = figure_new(&arena, NULL);
    for (int i = 0; i < 40; i++) {
        char name[24];
        snprintf(name, sizeof name, "label-%02d", i);
        figure_label(&figure, PEN_LINE, (Point){i % 3, i % 5}, (Side)(i % 6), name);
    }
    int rows, whole = 0, left_out = 0;
    Cell *cells = figure_cells(&arena, &figure, style, &rows);
    for (int i = 0; i < 40; i++) {
        char name[24];
        snprintf(name, sizeof name, "label-%02d", i);
        whole += times_shown(cells, style, name);
    }
    for (int count = 1; count <= 40; count++) {
        char said[40];
        snprintf(said, sizeof said, "%d labels do not fit ", count);
        if (row_holds(cells, style, rows - 1, said))
            left_out = count;
    }
    assert_true(whole > 3);
    assert_true(left_out > 0);
    assert_int_equal(whole + left_out, 40);
    figure_free(&figure);
    arena_free(&arena);
}

static void a_long_label_is_not_cut(void **state)
{
    (void)state;
    Point line[] = {{0, 0}, {10, 2}};
    Drawn drawn;
    drawn_start(&drawn);
    figure_line(&drawn.figure, PEN_LINE, line, 2);
    figure_label(&drawn.figure, PEN_LINE, line[1], SIDE_RIGHT, "much too long for this picture");
    const char *text = drawn_text(&drawn, (CellStyle){true, 24, 8});
    assert_null(strstr(text, "much"));
    assert_non_null(strstr(text, "\n1 label does not fit\n"));
    text = drawn_text(&drawn, (CellStyle){true, 12, 8});
    assert_non_null(strstr(text, "\n1 left out\n"));
    drawn_free(&drawn);
}

static void points_without_a_place_are_said(void **state)
{
    (void)state;
    Point line[] = {{0, 0}, {10, 2}, {12, NAN}, {14, NAN}};
    Drawn drawn;
    drawn_start(&drawn);
    figure_line(&drawn.figure, PEN_LINE, line, 4);
    assert_non_null(
        strstr(drawn_text(&drawn, (CellStyle){true, 30, 8}), "2 points have no place\n"));
    drawn_free(&drawn);
}

static void wide_and_combining_characters_keep_their_cells(void **state)
{
    (void)state;
    const CellStyle style = {false, 20, 1};
    Arena arena = {0};
    Figure figure = figure_new(&arena, NULL);
    figure_label(&figure, PEN_LINE, (Point){0, 0}, SIDE_MIDDLE, "甲e\xcc\x81z");
    int rows, at = 0;
    Cell *cells = figure_cells(&arena, &figure, style, &rows);
    while (at < 16 && strcmp(cells[at].text, "甲") != 0)
        at++;
    assert_string_equal(cells[at].text, "甲");
    assert_string_equal(cells[at + 1].text, "");
    assert_string_equal(cells[at + 2].text, "e\xcc\x81");
    assert_string_equal(cells[at + 3].text, "z");
    figure_free(&figure);
    arena_free(&arena);
}

static void callouts_keep_their_order(void **state)
{
    (void)state;
    Drawn drawn;
    drawn_start(&drawn);
    Point line[] = {{0, 0}, {8, 3}};
    figure_line(&drawn.figure, PEN_LINE, line, 2);
    figure_callout(&drawn.figure, PEN_LINE, (Point){8, 1.0}, (Point){9, 1}, SIDE_RIGHT, "low");
    figure_callout(&drawn.figure, PEN_LINE, (Point){8, 1.2}, (Point){9, 1}, SIDE_RIGHT, "high");
    figure_callout(&drawn.figure, PEN_LINE, (Point){8, 1.1}, (Point){9, 1}, SIDE_RIGHT, "middle");
    const char *text = drawn_text(&drawn, (CellStyle){false, 30, 8});
    const char *high = strstr(text, " high\n"), *middle = strstr(text, " middle\n"),
               *low = strstr(text, " low\n");
    assert_true(high && middle && low);
    assert_true(high < middle && middle < low);
    drawn_free(&drawn);
}

static void the_scale_bar_is_true(void **state)
{
    (void)state;
    Point line[] = {{0, 0}, {100, 30}};
    Drawn drawn;
    drawn_start(&drawn);
    figure_line(&drawn.figure, PEN_LINE, line, 2);
    drawn.figure.scale = true;
    /* 102 dots for 100 mm: 10 mm are 10 dots, from the first to the eleventh */
    const char *text = drawn_text(&drawn, (CellStyle){false, 51, 30});
    assert_non_null(strstr(text, "\n⡦⠤⠤⠤⠤⡆ 10 mm\n"));
    text = drawn_text(&drawn, (CellStyle){true, 51, 30});
    assert_non_null(strstr(text, "| 10 mm\n"));
    drawn.figure.stretch = FIGURE_FREE;
    assert_null(strstr(drawn_text(&drawn, (CellStyle){false, 51, 30}), "mm"));
    drawn_free(&drawn);
}

static void many_points_are_drawn(void **state)
{
    (void)state;
    enum { MANY = 20000 };
    Point *points = test_malloc(MANY * sizeof *points);
    for (int i = 0; i < MANY; i++) {
        double angle = 2 * 3.14159265358979323846 * i / MANY;
        points[i] = (Point){(50 + sin(40 * angle)) * cos(angle), 50 * sin(angle)};
    }
    Drawn drawn;
    drawn_start(&drawn);
    figure_area(&drawn.figure, PEN_FILL_OTHER, points, MANY);
    figure_line(&drawn.figure, PEN_LINE, points, MANY);
    assert_non_null(strstr(drawn_text(&drawn, (CellStyle){false, 100, 40}), "⠔⢁⠔⢁"));
    assert_non_null(strstr(drawn_text(&drawn, (CellStyle){true, 36, 12}), "####"));
    drawn_free(&drawn);
    test_free(points);
}

int main(void)
{
    setlocale(LC_CTYPE, "C.UTF-8");
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pictures_are_as_kept),
        cmocka_unit_test(every_size_holds_its_picture),
        cmocka_unit_test(an_empty_picture_says_so),
        cmocka_unit_test(straight_lines_have_no_gaps),
        cmocka_unit_test(a_single_point_is_seen),
        cmocka_unit_test(fills_differ_without_colour),
        cmocka_unit_test(marks_stand_free_and_weigh_most),
        cmocka_unit_test(labels_are_whole_or_counted),
        cmocka_unit_test(a_long_label_is_not_cut),
        cmocka_unit_test(points_without_a_place_are_said),
        cmocka_unit_test(wide_and_combining_characters_keep_their_cells),
        cmocka_unit_test(callouts_keep_their_order),
        cmocka_unit_test(the_scale_bar_is_true),
        cmocka_unit_test(many_points_are_drawn),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

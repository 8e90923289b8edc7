/* What gets into a picture: points without a place are counted, not drawn. */
#include "figure_kit.h"

static void lines_break_at_points_without_a_place(void **state)
{
    (void)state;
    Arena arena = {0};
    Figure figure = figure_new(&arena, NULL);
    Point line[] = {
        {0, 0}, {1, 1}, {2, NAN}, {3, 1}, {4, INFINITY}, {1e9, 0}, {2e9, 0},
    };
    figure_line(&figure, PEN_LINE, line, COUNT_OF(line));
    assert_int_equal(figure.count, 3);
    assert_int_equal(figure.refused, 3);
    assert_int_equal(figure.shapes[0].count, 2);
    assert_int_equal(figure.shapes[1].count, 1);
    assert_true(figure.shapes[1].points[0].x == 3);
    assert_true(figure.shapes[2].points[0].x == 1e9);
    figure_free(&figure);
    arena_free(&arena);
}

static void other_shapes_are_whole_or_not_there(void **state)
{
    (void)state;
    Arena arena = {0};
    Figure figure = figure_new(&arena, NULL);
    Point area[] = {{0, 0}, {1, 0}, {1, NAN}};
    figure_area(&figure, PEN_FILL, area, COUNT_OF(area));
    figure_area(&figure, PEN_FILL, area, 0);
    figure_line(&figure, PEN_LINE, area, 0);
    figure_mark(&figure, PEN_TROUBLE, (Point){NAN, 0});
    figure_label(&figure, PEN_LINE, (Point){0, -INFINITY}, SIDE_LEFT, "lost");
    figure_callout(&figure, PEN_LINE, (Point){0, 0}, (Point){0, NAN}, SIDE_LEFT, "lost");
    Box box;
    assert_int_equal(figure.count, 0);
    assert_int_equal(figure.refused, 4);
    assert_false(figure_box(&figure, &box));
    figure_free(&figure);
    arena_free(&arena);
}

static void the_box_holds_everything(void **state)
{
    (void)state;
    Arena arena = {0};
    Figure figure = figure_new(&arena, NULL);
    Point line[] = {{-3, 5}, {2, 7}};
    figure_line(&figure, PEN_LINE, line, 2);
    line[0].x = -100; /* the figure has its own copy */
    figure_mark(&figure, PEN_TROUBLE, (Point){0, -1});
    figure_label(&figure, PEN_LINE, (Point){9, 6}, SIDE_RIGHT, "far");
    Box box;
    assert_true(figure_box(&figure, &box));
    assert_true(box.least.x == -3 && box.least.y == -1);
    assert_true(box.most.x == 9 && box.most.y == 7);
    figure_free(&figure);
    arena_free(&arena);
}

static void labels_are_made_visible(void **state)
{
    (void)state;
    Arena arena = {0};
    Figure figure = figure_new(&arena, NULL);
    figure_label(&figure, PEN_LINE, (Point){0, 0}, SIDE_RIGHT, "a\033[2Jb\xff");
    assert_string_equal(figure.shapes[0].text, "a\\u{1b}[2Jb\\u{ff}");
    figure_free(&figure);
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lines_break_at_points_without_a_place),
        cmocka_unit_test(other_shapes_are_whole_or_not_there),
        cmocka_unit_test(the_box_holds_everything),
        cmocka_unit_test(labels_are_made_visible),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

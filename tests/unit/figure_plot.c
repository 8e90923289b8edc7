/* Axes, limits and cross-sections: where their lines lie. */
#include "figure/figure_inside.h"
#include "figure_kit.h"

static void near(double got, double expected)
{
    if (!(fabs(got - expected) <= 1e-9 * fmax(1, fabs(expected))))
        fail_msg("%.12g, not %.12g", got, expected);
}

static void round_numbers(void **state)
{
    (void)state;
    static const double pairs[][2] = {{1, 1},       {1.01, 2}, {2, 2},
                                      {2.1, 5},     {5.5, 10}, {0.03, 0.05},
                                      {0.05, 0.05}, {70, 100}, {1e-12, 1e-12}};
    for (size_t i = 0; i < COUNT_OF(pairs); i++)
        near(next_round(pairs[i][0]), pairs[i][1]);
}

static size_t labels_with_only_digits(const Figure *figure, Side side)
{
    size_t count = 0;
    for (size_t i = 0; i < figure->count; i++) {
        const Shape *shape = &figure->shapes[i];
        if (shape->kind == SHAPE_LABEL && shape->side == side &&
            strspn(shape->text, "-.0123456789") == strlen(shape->text))
            count++;
    }
    return count;
}

static void axes_end_on_round_numbers(void **state)
{
    (void)state;
    static const struct {
        Box range;
        double least, most;
    } cases[] = {
        {{{0, 2.6}, {212, 7.8}}, 0, 8},
        {{{0, 7}, {50, 7}}, 0, 15},
        {{{0, 0}, {50, 0}}, -1, 1},
        {{{5, -3}, {6, 0.4}}, -3, 1},
        {{{0, 100.2}, {1, 100.3}}, 100.2, 100.3},
    };
    for (size_t i = 0; i < COUNT_OF(cases); i++) {
        Arena arena = {0};
        Figure figure = figure_new(&arena, NULL);
        Box axes = plot_axes(&figure, cases[i].range, "mm along", "mm of stack");
        near(axes.least.y, cases[i].least);
        near(axes.most.y, cases[i].most);
        assert_true(figure.stretch == FIGURE_FREE);
        assert_in_range(labels_with_only_digits(&figure, SIDE_LEFT), 2, 7);
        assert_in_range(labels_with_only_digits(&figure, SIDE_BELOW), 2, 6);
        figure_free(&figure);
        arena_free(&arena);
    }
}

static const Shape *nth(const Figure *figure, ShapeKind kind, Pen pen, size_t n)
{
    for (size_t i = 0; i < figure->count; i++)
        if (figure->shapes[i].kind == kind && figure->shapes[i].pen == pen && n-- == 0)
            return &figure->shapes[i];
    return NULL;
}

static void what_is_over_the_limit_is_trouble(void **state)
{
    (void)state;
    Arena arena = {0};
    Figure figure = figure_new(&arena, NULL);
    const Point curve[] = {{0, 6}, {2, 8}, {3, 8}, {3, 7}, {5, 5}, {5, 9}};
    plot_curve(&figure, curve, COUNT_OF(curve), 7);
    assert_int_equal(nth(&figure, SHAPE_LINE, PEN_LINE, 0)->count, COUNT_OF(curve));
    const Shape *first = nth(&figure, SHAPE_LINE, PEN_TROUBLE, 0);
    assert_int_equal(first->count, 4);
    near(first->points[0].x, 1);
    near(first->points[0].y, 7);
    near(first->points[3].x, 3);
    near(first->points[3].y, 7);
    const Shape *second = nth(&figure, SHAPE_LINE, PEN_TROUBLE, 1);
    assert_int_equal(second->count, 2);
    near(second->points[1].y, 9);
    assert_null(nth(&figure, SHAPE_LINE, PEN_TROUBLE, 2));
    figure_free(&figure);
    arena_free(&arena);
}

static void without_a_limit_nothing_is_trouble(void **state)
{
    (void)state;
    Arena arena = {0};
    Figure figure = figure_new(&arena, NULL);
    const Point curve[] = {{0, 6}, {2, NAN}, {3, 8}};
    plot_curve(&figure, curve, COUNT_OF(curve), NAN);
    plot_curve(&figure, curve, COUNT_OF(curve), 7);
    plot_curve(&figure, curve, 0, 7);
    assert_int_equal(figure.refused, 2);
    assert_int_equal(nth(&figure, SHAPE_LINE, PEN_TROUBLE, 0)->count, 1);
    assert_null(nth(&figure, SHAPE_LINE, PEN_TROUBLE, 1));
    figure_free(&figure);
    arena_free(&arena);
}

/* Height of an area's upper or lower side at x; NaN where it is not. */
static double side_at(const Shape *area, double x, bool upper)
{
    double found = NAN;
    for (size_t i = 0; i < area->count; i++) {
        Point a = area->points[i], b = area->points[(i + 1) % area->count];
        if ((a.x <= x) == (b.x <= x))
            continue;
        double y = a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x);
        found = isnan(found) ? y : upper ? fmax(found, y) : fmin(found, y);
    }
    return found;
}

static void plies_lie_on_each_other_to_scale(void **state)
{
    (void)state;
    Arena arena = {0};
    Figure figure = figure_new(&arena, NULL);
    const SectionPly plies[] = {
        {.name = "lining", .thickness = 1, .from = 0, .to = 20},
        {.name = "foam", .thickness = 3, .from = 10, .to = 20},
        {.name = "upper", .thickness = 1.5, .from = 0, .to = 20},
    };
    Box box = plot_section(&figure, plies, 3);
    near(box.least.x, 0);
    near(box.most.x, 20);
    near(box.least.y, 0);
    near(box.most.y, 5.5);
    const Shape *lining = nth(&figure, SHAPE_AREA, PEN_FILL, 0);
    const Shape *foam = nth(&figure, SHAPE_AREA, PEN_FILL_OTHER, 0);
    const Shape *upper = nth(&figure, SHAPE_AREA, PEN_FILL, 1);
    near(side_at(lining, 5, true), 1);
    near(side_at(foam, 15, false), 1);
    near(side_at(foam, 15, true), 4);
    assert_true(isnan(side_at(foam, 9, true)));
    near(side_at(upper, 15, false), 4);
    near(side_at(upper, 15, true), 5.5);
    near(side_at(upper, 9, false), 3); /* comes down where the foam ends */
    near(side_at(upper, 5, false), 1);
    near(side_at(upper, 5, true), 2.5);
    assert_string_equal(nth(&figure, SHAPE_LABEL, PEN_LINE, 1)->text, "foam 3 mm");
    assert_int_equal(nth(&figure, SHAPE_LABEL, PEN_LINE, 1)->side, SIDE_RIGHT);
    figure_free(&figure);
    arena_free(&arena);
}

static void a_fold_is_one_area_round_its_edge(void **state)
{
    (void)state;
    for (int left = 0; left <= 1; left++) {
        Arena arena = {0};
        Figure figure = figure_new(&arena, NULL);
        SectionPly plies[] = {
            {"allowance", 1, left ? 0 : 4, left ? 6 : 10, &plies[2], left ? SIDE_LEFT : SIDE_RIGHT},
            {.name = "tape", .thickness = 0.5, .from = 0, .to = 10},
            {.name = "leather", .thickness = 1, .from = 0, .to = 10},
        };
        Box box = plot_section(&figure, plies, 3);
        near(box.most.y, 2.5);
        near(left ? -box.least.x : box.most.x - 10, 1.25); /* half as far out as it is high */
        const Shape *leather = nth(&figure, SHAPE_AREA, PEN_FILL, 0);
        near(side_at(leather, 5, false), 0);
        near(side_at(leather, 5, true), 2.5);
        near(side_at(leather, left ? 8 : 2, false), 0.5); /* on the tape alone */
        assert_int_equal(nth(&figure, SHAPE_AREA, PEN_FILL_OTHER, 0) != NULL, true);
        assert_null(nth(&figure, SHAPE_AREA, PEN_FILL, 1));
        figure_free(&figure);
        arena_free(&arena);
    }
}

static void the_unknown_is_said(void **state)
{
    (void)state;
    Arena arena = {0};
    Figure figure = figure_new(&arena, NULL);
    const SectionPly plies[] = {
        {.name = "lining", .thickness = NAN, .from = 0, .to = 20},
        {.name = "foam", .thickness = 3, .from = 10, .to = NAN},
        {.name = "upper", .thickness = 1.5, .from = 0, .to = 20},
    };
    Box box = plot_section(&figure, plies, 3);
    near(box.most.y, 1.5 + (3 + 1.5) / 2);
    assert_string_equal(nth(&figure, SHAPE_LABEL, PEN_TROUBLE, 0)->text,
                        "lining, thickness unknown");
    assert_string_equal(text_string(&figure.notes), "1 ply of unknown width not drawn.\n");
    figure_free(&figure);
    arena_free(&arena);
}

static void a_section_of_nothing_is_empty(void **state)
{
    (void)state;
    Arena arena = {0};
    Figure figure = figure_new(&arena, NULL);
    Box box = plot_section(&figure, NULL, 0);
    assert_int_equal(figure.count, 0);
    assert_true(box.least.x == 0 && box.most.x == 0);
    figure_free(&figure);
    arena_free(&arena);
}

int main(void)
{
    setlocale(LC_CTYPE, "C.UTF-8");
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(round_numbers),
        cmocka_unit_test(axes_end_on_round_numbers),
        cmocka_unit_test(what_is_over_the_limit_is_trouble),
        cmocka_unit_test(without_a_limit_nothing_is_trouble),
        cmocka_unit_test(plies_lie_on_each_other_to_scale),
        cmocka_unit_test(a_fold_is_one_area_round_its_edge),
        cmocka_unit_test(the_unknown_is_said),
        cmocka_unit_test(a_section_of_nothing_is_empty),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

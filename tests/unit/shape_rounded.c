/* Lines rounded: which bends are taken, what hinders them, how they are written. */
#include "shape_kit.h"

#include "shape/rounded.h"

static void must(const Path *path, const RoundedWish *wish, Arena *arena, Rounded *rounded)
{
    Text why = {0};
    if (!rounded_line(arena, path, wish, rounded, &why))
        fail_msg("%s", text_string(&why));
    text_free(&why);
}

static void must_not(const Path *path, const RoundedWish *wish, const char *words)
{
    Arena arena = {0};
    Text why = {0};
    Rounded rounded;
    assert_false(rounded_line(&arena, path, wish, &rounded, &why));
    if (!strstr(text_string(&why), words))
        fail_msg("not said: %s; but: %s", words, text_string(&why));
    text_free(&why);
    arena_free(&arena);
}

static void written(const Rounded *rounded, const char *expected)
{
    Text text = {0};
    rounded_data(&text, rounded);
    assert_string_equal(text_string(&text), expected);
    text_free(&text);
}

/* y runs downwards in the data: to the right on the page is hollow. */
static void each_side_has_its_radius(void **state)
{
    (void)state;
    Arena arena = {0};
    Rounded rounded;
    Path path = path_from(&arena, "M 0 0 H 40 A 3 3 0 0 1 43 3 V 30 A 3 3 0 0 0 46 33 H 90");
    RoundedWish wish = {.hollow = 8, .rounded = 5, .within = INFINITY};
    must(&path, &wish, &arena, &rounded);
    assert_int_equal(rounded.arc_count, 2);
    assert_true(rounded.hollow >= 8 && rounded.hollow < 8.02);
    assert_true(rounded.rounded >= 5 && rounded.rounded < 5.02);
    written(&rounded,
            "M 0 0 L 34.992 0 A 8.008 8.008 0 0 1 43 8.008 L 43 27.995 A 5.005 5.005 0 0 0 "
            "48.005 33 L 90 33");
    wish.hollow = 0;
    must(&path, &wish, &arena, &rounded);
    assert_int_equal(rounded.arc_count, 1);
    assert_true(rounded.hollow < 3.01);
    arena_free(&arena);
}

static void what_is_easy_enough_stays(void **state)
{
    (void)state;
    Arena arena = {0};
    Rounded rounded;
    Path path = path_from(&arena, "M 0 0 H 40 A 9 9 0 0 1 49 9 V 30 L 60 30");
    RoundedWish wish = {.hollow = 8.99, .rounded = 9, .within = 0};
    must(&path, &wish, &arena, &rounded);
    assert_int_equal(rounded.arc_count, 0);
    assert_int_equal(rounded.corners, 1);
    assert_int_equal(rounded.path.count, path.count);
    assert_true(rounded.deviation == 0 && rounded.longer == 0 && rounded.larger == 0);
    arena_free(&arena);
}

static void corners_stay_unless_asked_for(void **state)
{
    (void)state;
    Arena arena = {0};
    Rounded rounded;
    Path path = path_from(&arena, "M 0 0 H 40 V 40");
    RoundedWish wish = {.hollow = 5, .rounded = 5, .within = INFINITY};
    must(&path, &wish, &arena, &rounded);
    assert_int_equal(rounded.arc_count, 0);
    wish.corners = true;
    must(&path, &wish, &arena, &rounded);
    assert_int_equal(rounded.arc_count, 1);
    assert_int_equal(rounded.corners, 0);
    arena_free(&arena);
}

/* Out and back, 5 mm apart, with a tight bend on the way back. */
static void a_strip_narrower_than_the_disc(void **state)
{
    (void)state;
    Arena arena = {0};
    Rounded rounded;
    Pen pen = {.arena = &arena};
    pen_straight(&pen, 60);
    pen_arc(&pen, 2.5, 180);
    pen_straight(&pen, 25);
    pen_arc(&pen, 3, -30);
    pen_straight(&pen, 30);
    Path path = pen_path(&pen);
    const double each[] = {0, 20};
    RoundedWish wish = {.each = each, .each_count = 2, .within = INFINITY};
    must(&path, &wish, &arena, &rounded);
    assert_int_equal(rounded.arc_count, 1);
    assert_false(rounded.arcs[0].left);
    assert_true(rounded.hollow >= 20);
    near("the other bend", rounded.rounded, 2.5, 0.01);
    arena_free(&arena);
}

/* A U between parallel sides fills up; two bends close to each other become one. */
static void bends_that_share_an_arc(void **state)
{
    (void)state;
    Arena arena = {0};
    Rounded rounded;
    Path slot = path_from(&arena, "M 0 0 V 40 A 4 4 0 0 0 8 40 V 0");
    RoundedWish wish = {.hollow = 6, .rounded = 6, .within = INFINITY};
    must_not(&slot, &wish, "its two sides stand 8 mm apart, and it needs twice its radius");
    Path square = path_from(&arena, "M 0 0 L 4 40 A 2 2 0 0 0 6 42 H 9 A 2 2 0 0 0 11 40 L 15 0");
    must(&square, &wish, &arena, &rounded);
    assert_int_equal(rounded.arc_count, 1);
    assert_true(rounded.rounded >= 6);
    arena_free(&arena);
}

static void reasons_say_what_hinders(void **state)
{
    (void)state;
    Arena arena = {0};
    Path path = path_from(&arena, "M 0 0 H 20 A 3 3 0 0 1 23 3 V 10");
    RoundedWish wish = {.hollow = 15, .within = INFINITY};
    must_not(&path, &wish,
             "the bend of 3 mm 22.4 mm along cannot have 15 mm: its arc would begin or "
             "end beyond the line's end, which stays");
    wish.hollow = 9;
    wish.within = 1;
    must_not(&path, &wish, "it would lie 2.49 mm off the drawn line; 1 mm are allowed");
    double can = 9 * rounded_share(&path, &wish);
    near("what can be had", can, 3 + 1 / (sqrt(2) - 1), 0.1);
    arena_free(&arena);
}

/* A corner as a scanner has it: chords of 0.5 mm, off by up to 0.02 mm. */
static void a_traced_line_is_rounded(void **state)
{
    (void)state;
    uint32_t random = 3;
    for (int trial = 0; trial < 20; trial++) {
        enum { POINTS = 200 };
        Arena arena = {0};
        Rounded rounded;
        Pen pen = {.arena = &arena};
        pen_straight(&pen, 45);
        pen_arc(&pen, 4, trial % 2 ? 80 : -80);
        pen_straight(&pen, 45);
        Path smooth = pen_path(&pen);
        PathRuler ruler = path_ruler(&arena, &smooth);
        Point points[POINTS];
        for (int i = 0; i < POINTS; i++) {
            points[i] =
                path_point(&smooth, ruler_at(&ruler, i * ruler_length(&ruler) / (POINTS - 1)));
            points[i].x += 0.02 * noise(&random);
            points[i].y += 0.02 * noise(&random);
        }
        Path path = polyline(&arena, points, POINTS);
        RoundedWish wish = {.hollow = 9, .rounded = 9, .within = 3};
        must(&path, &wish, &arena, &rounded);
        assert_true(rounded.arc_count >= 1);
        assert_true(fmin(rounded.hollow, rounded.rounded) >= 9);
        arena_free(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_side_has_its_radius),
        cmocka_unit_test(what_is_easy_enough_stays),
        cmocka_unit_test(corners_stay_unless_asked_for),
        cmocka_unit_test(a_strip_narrower_than_the_disc),
        cmocka_unit_test(bends_that_share_an_arc),
        cmocka_unit_test(reasons_say_what_hinders),
        cmocka_unit_test(a_traced_line_is_rounded),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

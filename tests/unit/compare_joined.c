/* Which places a change touches: what changed, what is joined to it, and that no finding
 * differs at a place that is not told. */
#include <stdio.h>

#include "review_kit.h"

#include "compare/joined.h"

static const TouchedPlace *place(const TouchedPlaces *places, Subject subject, const char *name)
{
    for (size_t i = 0; i < places->count; i++)
        if (places->items[i].subject == subject && strcmp(places->items[i].name, name) == 0)
            return &places->items[i];
    return NULL;
}

static TouchedPlaces touched(Arena *arena, const Review *review)
{
    const Comparison *c = review_comparison(review);
    return touched_places(arena, c->before, c->after);
}

static void test_nothing_is_touched(void **state)
{
    (void)state;
    Arena arena = {0};
    Text text = {0};
    Review *one = kit_open(FAIRLEAD, NULL, HARBOUR), *two = kit_open(FAIRLEAD, NULL, HARBOUR);
    TouchedPlaces places = touched_places(&arena, review_judgement(one), review_judgement(two));
    assert_int_equal(places.count, 0);
    touched_say(&text, &places, 3);
    assert_int_equal(text.length, 0);
    review_close(one);
    review_close(two);
    arena_free(&arena);
}

static void test_an_edge_touches_what_is_sewn_to_it(void **state)
{
    (void)state;
    Arena arena = {0};
    Text text = {0};
    Review *review = kit_open(SKERRY, "turned", HARBOUR);
    kit_set(review, "parts.vamp.edges.throat.left", "2.5 mm");
    TouchedPlaces places = touched(&arena, review);
    const TouchedPlace *edge = place(&places, SUBJECT_EDGE, "vamp.throat");
    const TouchedPlace *other = place(&places, SUBJECT_EDGE, "vamp-lining.throat");
    assert_non_null(edge);
    assert_true(edge->changed);
    assert_string_equal(edge->why, "left");
    assert_int_equal(places.changed, 1);
    assert_non_null(other);
    assert_false(other->changed);
    assert_string_equal(other->why, "joined to edge vamp.throat");
    assert_non_null(place(&places, SUBJECT_SEAM, "throat"));
    assert_non_null(place(&places, SUBJECT_ROW, "throat.1"));
    assert_null(place(&places, SUBJECT_SEAM, "collar"));
    touched_say(&text, &places, 2);
    assert_string_equal(text_string(&text),
                        "touches seam throat, edge vamp-lining.throat and 1 more");
    text_free(&text);
    review_close(review);
    arena_free(&arena);
}

static void test_a_material_touches_its_parts_and_their_rows(void **state)
{
    (void)state;
    Arena arena = {0};
    Review *review = kit_open(FAIRLEAD, NULL, HARBOUR);
    kit_set(review, "materials.tarn-calf.thickness", "4 oz");
    TouchedPlaces places = touched(&arena, review);
    const TouchedPlace *part = place(&places, SUBJECT_PART, "leg-lat");
    assert_non_null(part);
    assert_non_null(strstr(part->why, "thickness"));
    bool row = false;
    for (size_t i = 0; i < places.count; i++)
        row = row || places.items[i].subject == SUBJECT_ROW;
    assert_true(row);
    review_close(review);
    arena_free(&arena);
}

static void test_a_mirrored_edge_changes_with_its_like(void **state)
{
    (void)state;
    Arena arena = {0};
    Review *review = kit_open(SKERRY, "turned", HARBOUR);
    kit_set(review, "parts.quarter-lat.edges.saddle-line.allowance", "9 mm");
    TouchedPlaces places = touched(&arena, review);
    const TouchedPlace *like = place(&places, SUBJECT_EDGE, "quarter-med.saddle-line");
    assert_non_null(place(&places, SUBJECT_EDGE, "quarter-lat.saddle-line"));
    assert_non_null(like);
    assert_true(like->changed);
    review_close(review);
    arena_free(&arena);
}

/* The edge of a bend; the row of a spot. */
static bool is_told(const TouchedPlaces *places, const Finding *finding)
{
    Subject about = finding->rule->about;
    const char *name = strchr(finding->place, ' ');
    if (!name || (about != SUBJECT_BEND && about != SUBJECT_EDGE && about != SUBJECT_ROW &&
                  about != SUBJECT_SEAM))
        return true;
    char cut[200];
    snprintf(cut, sizeof cut, "%s", name + 1);
    if (about == SUBJECT_BEND)
        *strrchr(cut, '.') = '\0';
    return place(places, about == SUBJECT_BEND ? SUBJECT_EDGE : about, cut) != NULL;
}

static void test_no_difference_is_at_a_place_that_is_not_told(void **state)
{
    (void)state;
    static const char *const changes[][2] = {
        {"parts.leg-lat.edges.topline.left", "3 mm"},
        {"parts.leg-lat.edges.topline.bends.1.radius", "9 mm"},
        {"parts.leg-lat.edges.topline.skive.left", "1 mm"},
        {"parts.vamp.edges.wing.finish", "folded"},
        {"seams.wing.rows.1.pitch", "1.4 mm"},
        {"seams.wing.rows.2.from_edge", "5 mm"},
        {"seams.topline.spots.1.plies.1.times", "5"},
    };
    Review *review = kit_open(FAIRLEAD, NULL, HARBOUR);
    for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
        Arena arena = {0};
        kit_set(review, changes[i][0], changes[i][1]);
        TouchedPlaces places = touched(&arena, review);
        const Comparison *c = review_comparison(review);
        assert_true(places.count > 0);
        for (size_t k = 0; k < c->count; k++)
            if (c->items[k].after && c->items[k].before && !is_told(&places, c->items[k].after))
                fail_msg("%s: %s is not told", changes[i][0], c->items[k].after->place);
        arena_free(&arena);
    }
    review_close(review);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_nothing_is_touched),
        cmocka_unit_test(test_an_edge_touches_what_is_sewn_to_it),
        cmocka_unit_test(test_a_material_touches_its_parts_and_their_rows),
        cmocka_unit_test(test_a_mirrored_edge_changes_with_its_like),
        cmocka_unit_test(test_no_difference_is_at_a_place_that_is_not_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

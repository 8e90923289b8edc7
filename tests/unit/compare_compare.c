/* Two judgements held against each other: kinds, order, sentences; and that the same
 * judged twice has no difference. */
#include <math.h>
#include <stdio.h>

#include "review_kit.h"

#include "compare/compare.h"

static size_t index_in(const Judgement *judgement, const Finding *finding)
{
    return (size_t)(finding - judgement->findings);
}

static const Finding *same_in(const Judgement *judgement, const Finding *finding)
{
    for (size_t i = 0; i < judgement->count; i++)
        if (strcmp(judgement->findings[i].rule->id, finding->rule->id) == 0 &&
            strcmp(judgement->findings[i].place, finding->place) == 0)
            return &judgement->findings[i];
    return NULL;
}

static bool is_open(const Finding *finding)
{
    return finding && (finding->verdict == VERDICT_FLAG || finding->verdict == VERDICT_UNKNOWN ||
                       finding->verdict == VERDICT_TIGHT);
}

static bool spares_differ(const Comparison *c, const Finding *before, const Finding *after)
{
    double was = finding_spare(c->before, before)->relative;
    double is = finding_spare(c->after, after)->relative;
    return was != is && fabs(was - is) > 1e-6; /* false for unknown ones */
}

/* What the header says of kinds and order, by a slower way. */
static void check(const Comparison *c)
{
    size_t counted = 0, missing = 0;
    for (size_t kind = 0; kind < DIFFERENCE_KIND_COUNT; kind++)
        counted += c->counts[kind];
    assert_int_equal(counted, c->count);
    for (size_t i = 0; i < c->count; i++) {
        const Difference *d = &c->items[i], *last = i ? d - 1 : NULL;
        assert_true(d->before || d->after);
        if (d->after)
            assert_ptr_equal(same_in(c->before, d->after), d->before);
        else
            assert_null(same_in(c->after, d->before));
        if (last && last->kind == d->kind && last->after && d->after)
            assert_true(index_in(c->after, last->after) < index_in(c->after, d->after));
        if (last)
            assert_true(last->kind <= d->kind);
        if (d->kind == DIFFERENCE_CLEARED)
            assert_true(is_open(d->before) && !is_open(d->after));
        if (d->kind == DIFFERENCE_FLAGGED)
            assert_int_equal(d->after->verdict, VERDICT_FLAG);
        if (d->kind == DIFFERENCE_UNKNOWN)
            assert_int_equal(d->after->verdict, VERDICT_UNKNOWN);
    }
    /* No finding that was opened or closed is left out, nor one with more or less to spare. */
    for (size_t i = 0; i < c->after->count; i++) {
        const Finding *after = &c->after->findings[i], *before = same_in(c->before, after);
        bool told = false;
        for (size_t k = 0; k < c->count && !told; k++)
            told = c->items[k].after == after;
        missing += is_open(after) != is_open(before) && !told;
        missing +=
            before && before->verdict == after->verdict && !told && spares_differ(c, before, after);
    }
    assert_int_equal(missing, 0);
}

static Review *with(Review *review, const char *path, const char *value)
{
    kit_set(review, path, value);
    return review;
}

static void test_nothing_differs(void **state)
{
    (void)state;
    Review *one = kit_open(FAIRLEAD, NULL, HARBOUR), *two = kit_open(FAIRLEAD, NULL, HARBOUR);
    Comparison *c = compare_judgements(review_judgement(one), review_judgement(two));
    assert_int_equal(c->count, 0);
    comparison_free(c);
    review_close(one);
    review_close(two);
}

static void test_kinds(void **state)
{
    (void)state;
    Review *one = kit_open(FAIRLEAD, NULL, HARBOUR);
    Review *two = with(kit_open(FAIRLEAD, NULL, HARBOUR), "materials.tarn-calf.thickness", "9 oz");
    Comparison *c = compare_judgements(review_judgement(one), review_judgement(two));
    check(c);
    assert_true(c->counts[DIFFERENCE_FLAGGED] > 0);
    assert_true(c->counts[DIFFERENCE_WORSE] > 0);
    assert_int_equal(c->counts[DIFFERENCE_UNKNOWN], 0);
    Comparison *back = compare_judgements(review_judgement(two), review_judgement(one));
    check(back);
    assert_int_equal(back->count, c->count);
    assert_int_equal(back->counts[DIFFERENCE_FLAGGED], c->counts[DIFFERENCE_CLEARED] +
                                                           c->counts[DIFFERENCE_BETTER] -
                                                           back->counts[DIFFERENCE_WORSE]);
    comparison_free(back);
    comparison_free(c);
    review_close(two);

    two = with(kit_open(FAIRLEAD, NULL, HARBOUR), "materials.tarn-calf.thickness", "unknown");
    c = compare_judgements(review_judgement(one), review_judgement(two));
    check(c);
    assert_true(c->counts[DIFFERENCE_UNKNOWN] > 0);
    /* what is not known is never better than what was */
    assert_int_equal(c->counts[DIFFERENCE_CLEARED] + c->counts[DIFFERENCE_BETTER], 0);
    comparison_free(c);
    review_close(two);
    review_close(one);
}

static void test_places_that_come_and_go(void **state)
{
    (void)state;
    Review *one = kit_open(SKERRY, NULL, HARBOUR), *two = kit_open(SKERRY, "turned", LOFT);
    Comparison *c = compare_judgements(review_judgement(one), review_judgement(two));
    check(c);
    comparison_free(c);
    review_close(two);
    review_close(one);

    one = with(kit_open(FAIRLEAD, NULL, HARBOUR), "parts.leg-lat.edges.topline.bends.2",
               "{curve: inward, radius: 3 mm, turn: 50 deg, at: 90 mm}");
    check(review_comparison(one));
    bool came = false;
    for (size_t i = 0; i < review_comparison(one)->count; i++) {
        const Difference *d = &review_comparison(one)->items[i];
        came = came || (d->kind == DIFFERENCE_FLAGGED && !d->before &&
                        strcmp(d->after->place, "bend leg-lat.topline.2") == 0);
    }
    assert_true(came);
    review_close(one);
}

static const char *said(Text *text, const Comparison *c, DifferenceKind kind)
{
    text_clear(text);
    for (size_t i = 0; i < c->count; i++)
        if (c->items[i].kind == kind) {
            difference_say(text, c, &c->items[i]);
            break;
        }
    return text_string(text);
}

/* Single changes of each kind of value, which touch few findings. */
static void test_nothing_is_left_out(void **state)
{
    (void)state;
    static const char *const changes[][2] = {
        {"parts.leg-lat.edges.topline.left", "3 mm"},
        {"parts.leg-lat.edges.topline.bends.1.radius", "9 mm"},
        {"parts.leg-lat.edges.topline.skive.left", "1 mm"},
        {"parts.vamp.edges.wing.sight", "topline"},
        {"materials.reed-lining.compresses", "20..40 %"},
        {"materials.tarn-calf.kind", "suede"},
        {"parts.vamp.material", "reed-lining"},
        {"seams.wing.rows.1.pitch", "1.4 mm"},
        {"seams.wing.rows.2.from_edge", "5 mm"},
        {"seams.wing.join", "welded"},
        {"seams.wing.machine", "post-1"},
        {"seams.topline.spots.1.plies.1.times", "5"},
        {"holes.eyelets.spacing", "6 mm"},
        {"last.toe_radius", "20 mm"},
        {"wearer", "child"},
        {"wear", "barefoot"},
        {"order", "unknown"},
        {"colourways", "{Bark: {}, Reed: {tarn-calf: reed-lining}}"},
        {"sizes.to", "7"},
    };
    Review *review = kit_open(FAIRLEAD, NULL, HARBOUR);
    for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
        kit_set(review, changes[i][0], changes[i][1]);
        check(review_comparison(review));
    }
    review_close(review);
}

static void test_sentences(void **state)
{
    (void)state;
    Text text = {0};
    Review *review = kit_open(FAIRLEAD, NULL, HARBOUR);
    kit_set(review, "parts.leg-lat.edges.topline.bends.1.radius", "4 mm");
    const Comparison *c = review_comparison(review);
    check(c);
    const char *sentence = said(&text, c, DIFFERENCE_FLAGGED);
    assert_non_null(strstr(sentence, "newly flagged: bend leg-lat.topline.1: "));
    assert_non_null(strstr(sentence, "(was pass)"));
    kit_set(review, "parts.leg-lat.edges.topline.bends.1.radius", "4.5 mm");
    assert_non_null(strstr(said(&text, review_comparison(review), DIFFERENCE_BETTER), ", was "));
    kit_set(review, "parts.leg-lat.edges.topline.bends", "[]");
    check(review_comparison(review));
    assert_non_null(strstr(said(&text, review_comparison(review), DIFFERENCE_CLEARED),
                           "(was flag, is there no more)"));
    text_free(&text);
    review_close(review);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_nothing_differs),
        cmocka_unit_test(test_kinds),
        cmocka_unit_test(test_places_that_come_and_go),
        cmocka_unit_test(test_nothing_is_left_out),
        cmocka_unit_test(test_sentences),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

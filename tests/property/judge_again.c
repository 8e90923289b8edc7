/* What is judged from a shelf is what is judged afresh: random edits of the demos,
 * one after the other, numbers stepped, words changed, values made unknown or taken
 * away, steps undone and done again. */
#include "demo_support.h"

#include "judge/inside.h"
#include "review/review.h"

typedef struct Draws {
    uint64_t state;
} Draws;

/* xorshift64* (Vigna 2016) */
static size_t draw(Draws *draws, size_t below)
{
    draws->state ^= draws->state >> 12;
    draws->state ^= draws->state << 25;
    draws->state ^= draws->state >> 27;
    return (size_t)((draws->state * 0x2545f4914f6cdd1du) >> 33) % below;
}

/* ---- Two judgements of one style ---- */

static void assert_same_number(double a, double b)
{
    if (!(a == b || (a != a && b != b)))
        fail_msg("%.17g is not %.17g", a, b);
}

static void assert_same_text(const char *a, const char *b)
{
    if (a != b && (!a || !b || strcmp(a, b) != 0))
        fail_msg("\"%s\" is not \"%s\"", a ? a : "(none)", b ? b : "(none)");
}

static void assert_same_where(Where a, Where b)
{
    assert_same_text(a.file, b.file);
    assert_int_equal(a.line, b.line);
    assert_int_equal(a.column, b.column);
}

static void assert_same_verdicts(const Judgement *a, const Judgement *b, const Finding *x,
                                 const Finding *y)
{
    uint32_t ways = b->columns->lane_count;
    assert_ptr_equal(x->rule, y->rule);
    assert_int_equal(x->record, y->record);
    assert_int_equal(x->number, y->number);
    assert_ptr_equal(a->numbered[x->number], x);
    assert_int_equal(x->verdict, y->verdict);
    assert_int_equal(x->worst_way, y->worst_way);
    assert_same_number(x->relative, y->relative);
    assert_memory_equal(x->lanes, y->lanes, b->lane_count * sizeof *x->lanes);
    assert_memory_equal(x->ways, y->ways, ways * sizeof *x->ways);
    assert_int_equal(x->alike == NULL, y->alike == NULL);
    if (x->alike)
        assert_memory_equal(x->alike, y->alike, ways * sizeof *x->alike);
    assert_same_text(x->place, y->place);
    assert_same_text(x->part, y->part);
    assert_same_where(x->at, y->at);
}

/* What is worked out when it is asked for. */
static void assert_same_closely(const Judgement *a, const Judgement *b, const Finding *x,
                                const Finding *y)
{
    const Spare *s = finding_spare(a, x), *t = finding_spare(b, y);
    Risk r = finding_risk(a, x), q = finding_risk(b, y);
    const Cause *c = finding_cause(a, x), *d = finding_cause(b, y);
    Text said = {0}, says = {0};
    assert_int_equal(finding_worst_lane(a, x), finding_worst_lane(b, y));
    assert_same_number(s->amount, t->amount);
    assert_same_number(s->relative, t->relative);
    assert_ptr_equal(s->comparison, t->comparison);
    assert_memory_equal(s->bindings, t->bindings, sizeof s->bindings);
    assert_int_equal(r.assumed, q.assumed);
    assert_same_number(r.share, q.share);
    assert_same_text(c->name, d->name);
    assert_int_equal(c->giver, d->giver);
    assert_same_where(c->at, d->at);
    finding_sentence(&said, a, x, finding_worst_lane(a, x));
    finding_sentence(&says, b, y, finding_worst_lane(b, y));
    assert_same_text(text_string(&said), text_string(&says));
    text_free(&said);
    text_free(&says);
}

static void assert_same(const Judgement *a, const Judgement *b, Draws *draws)
{
    enum { CLOSELY = 12 };
    assert_int_equal(a->lane_count, b->lane_count);
    assert_int_equal(a->columns->lane_count, b->columns->lane_count);
    assert_int_equal(a->count, b->count);
    assert_memory_equal(a->tally, b->tally, sizeof a->tally);
    assert_int_equal(a->no_place_count, b->no_place_count);
    for (size_t i = 0; i < a->no_place_count; i++)
        assert_ptr_equal(a->no_place[i], b->no_place[i]);
    for (size_t i = 0; i < a->count; i++) {
        const Finding *x = &a->findings[i], *y = &b->findings[i];
        bool open = x->verdict > VERDICT_PASS && x->verdict < VERDICT_OFF;
        assert_same_verdicts(a, b, x, y);
        if (open || draw(draws, CLOSELY) == 0)
            assert_same_closely(a, b, x, y);
    }
}

/* ---- Edits ---- */

/* A thickness that stays, and is less or more surely known. */
static void widen(Review *review, Draws *draws, Text *problem)
{
    const RecordList *materials = &review_judgement(review)->style->lists[SUBJECT_MATERIAL];
    const Record *material = materials->items[draw(draws, materials->count)];
    const Value *thickness = record_value(material, MATERIAL_THICKNESS);
    if (thickness->presence != VALUE_KNOWN)
        return;
    Text path = {0}, text = {0};
    text_addf(&path, "materials.%s.thickness", material->path);
    text_add_number(&text, thickness->quantity.nominal, 6);
    text_addf(&text, " ± 0.%zu mm", 1 + draw(draws, 5));
    review_set(review, text_string(&path), text_string(&text), problem);
    text_free(&path);
    text_free(&text);
}

static void edit(Review *review, Draws *draws, Text *problem)
{
    const Judgement *judgement = review_judgement(review);
    Arena arena = {0};
    Choice *choices;
    const Finding *finding = &judgement->findings[draw(draws, judgement->count)];
    size_t count = review_choices(review, finding, &arena, &choices), way = draw(draws, 10);
    const Choice *choice = count > 0 ? &choices[draw(draws, count)] : NULL;
    if (way == 0)
        review_undo(review);
    else if (way == 1)
        review_redo(review);
    else if (choice && way == 2)
        review_set(review, choice->path, "unknown", problem);
    else if (choice && way == 3)
        review_set(review, choice->path, NULL, problem);
    else if (way == 4)
        widen(review, draws, problem);
    else if (choice && choice->option_count > 0)
        review_set(review, choice->path, choice->options[draw(draws, choice->option_count)],
                   problem);
    else if (choice)
        review_step(review, choice, (int)draw(draws, 7) - 3, problem);
    arena_free(&arena);
}

static void assert_as_afresh(const Review *review, Draws *draws)
{
    const Judgement *now = review_judgement(review);
    Judgement *fresh = judge(now->style, now->rules, now->factory);
    assert_same(now, fresh, draws);
    judgement_free(fresh);
}

static void walk(const char *style, const char *alternative, const char *factory, size_t steps)
{
    Arena arena = {0};
    Messages messages = {0};
    Draws draws = {0x9e3779b97f4a7c15u};
    ReviewFiles files = {.style = style, .alternative = alternative, .factory = factory};
    if (!rules_in_folder(&arena, "rules/base", &files.rules, &files.rule_count, &messages))
        demo_stop(&messages, "rules/base");
    Review *review = review_open(&files, &messages);
    if (!review)
        demo_stop(&messages, style);
    size_t changed = 0;
    for (size_t i = 0; i < steps; i++) {
        Text problem = {0};
        const Judgement *before = review_judgement(review);
        edit(review, &draws, &problem);
        text_free(&problem);
        if (review_judgement(review) == before)
            continue;
        changed++;
        assert_as_afresh(review, &draws);
    }
    assert_true(changed > steps / 4);
    review_close(review);
    messages_free(&messages);
    arena_free(&arena);
}

static size_t steps_of(size_t usual)
{
    return usual / demo_stride(1, 8);
}

static void test_skerry(void **state)
{
    (void)state;
    walk("styles/skerry.yaml", NULL, DEMO_HARBOUR, steps_of(64));
}

static void test_skerry_turned(void **state)
{
    (void)state;
    walk("styles/skerry.yaml", "turned", DEMO_HARBOUR, steps_of(64));
}

static void test_skerry_at_loft(void **state)
{
    (void)state;
    walk("styles/skerry.yaml", "turned", DEMO_LOFT, steps_of(64));
}

static void test_fairlead(void **state)
{
    (void)state;
    walk("styles/fairlead.yaml", NULL, DEMO_HARBOUR, steps_of(200));
}

static void test_pebble(void **state)
{
    (void)state;
    walk("styles/pebble.yaml", NULL, DEMO_LOFT, steps_of(200));
}

/* Trials are judged and let go, and what they are held against stays. */
static void test_the_newest_that_lives(void **state)
{
    (void)state;
    Ground ground = ground_open(DEMO_HARBOUR);
    Arena arena = {0};
    Draws draws = {1};
    Messages messages = {0};
    YamlFile *file = yaml_read(&arena, "styles/pebble.yaml", false, &messages);
    assert_non_null(file);
    StyleShelf *styles = style_shelf_new();
    JudgeShelf *shelf = judge_shelf_new();
    Style *style = style_from_shelf(styles, file, NULL, NULL, 0, &messages);
    assert_non_null(style);
    Judgement *fresh = judge(style, ground.rules, ground.factory);
    Judgement *first = judge_from_shelf(shelf, style, ground.rules, ground.factory);
    Judgement *trial = judge_from_shelf(shelf, style, ground.rules, ground.factory);
    Judgement *other = judge_from_shelf(shelf, style, ground.rules, ground.factory);
    assert_same(trial, fresh, &draws);
    judgement_free(trial);
    judgement_free(other);
    trial = judge_from_shelf(shelf, style, ground.rules, ground.factory);
    assert_same(trial, fresh, &draws);
    judgement_free(first);
    judgement_free(trial);
    trial = judge_from_shelf(shelf, style, ground.rules, NULL);
    judgement_free(trial);
    judgement_free(fresh);
    judge_shelf_free(shelf);
    style_free(style);
    style_shelf_free(styles);
    messages_free(&messages);
    arena_free(&arena);
    ground_close(&ground);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_skerry),         cmocka_unit_test(test_skerry_turned),
        cmocka_unit_test(test_skerry_at_loft), cmocka_unit_test(test_fairlead),
        cmocka_unit_test(test_pebble),         cmocka_unit_test(test_the_newest_that_lives),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

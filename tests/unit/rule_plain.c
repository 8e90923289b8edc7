/* The plain evaluator: logic, tolerances, spares, sets, limits. */
#include "rule_kit.h"

#include <math.h>

#include "rule/interval.h"
#include "rule/kleene.h"

/* One bend of one edge with two plies of two materials. */
typedef struct Place {
    Kit kit;
    Columns *columns;
    Rule *rule;
} Place;

static Place place_new(void)
{
    static const int32_t plies[] = {0, 1};
    Place place = {0};
    assert_non_null(kit_read(&place.kit, NULL, NULL));
    place.columns = kit_columns(1, 1, 2, 2);
    kit_one(place.columns, SUBJECT_BEND, "edge", 0, 0);
    kit_many(place.columns, SUBJECT_EDGE, "ply", plies, 2);
    kit_one(place.columns, SUBJECT_PLY, "material", 0, 0);
    kit_one(place.columns, SUBJECT_PLY, "material", 1, 1);
    return place;
}

static void place_end(Place *place)
{
    columns_free(place->columns);
    kit_end(&place->kit);
}

/* A formula of a fresh rule about the subject; the rule stays in the place. */
static Formula *place_formula(Place *place, Subject about, const char *text)
{
    place->rule = kit_rule(&place->kit, about);
    Formula *formula = kit_formula(&place->kit, place->rule, text);
    if (!formula) {
        print_error("%s\n", text);
        kit_fail(&place->kit);
    }
    assert_non_null(formula);
    return formula;
}

static Plain place_plain(const Place *place)
{
    Plain plain;
    plain_start(&plain, place->rule, place->columns, 0, 0);
    return plain;
}

static PlainTruth ask(Place *place, const char *text)
{
    Formula *formula = place_formula(place, SUBJECT_BEND, text);
    Plain plain = place_plain(place);
    return plain_truth(&plain, formula);
}

static PlainNumber reckon(Place *place, const char *text)
{
    Formula *formula = place_formula(place, SUBJECT_BEND, text);
    Plain plain = place_plain(place);
    return plain_number(&plain, formula);
}

static double truth_code(int kleene)
{
    return kleene == KLEENE_UNKNOWN ? NAN : kleene == KLEENE_TRUE;
}

static void test_truth_tables(void **state)
{
    (void)state;
    static const Kleene and_table[3][3] = {
        {0, 0, 0},
        {0, 1, 1},
        {0, 1, 2}
    };
    static const Kleene or_table[3][3] = {
        {0, 1, 2},
        {1, 1, 2},
        {2, 2, 2}
    };
    Place place = place_new();
    Formula *both = place_formula(&place, SUBJECT_EDGE, "over and under");
    Formula *either = place_formula(&place, SUBJECT_EDGE, "over or under");
    Formula *none = place_formula(&place, SUBJECT_EDGE, "not over");
    Formula *branch = place_formula(&place, SUBJECT_EDGE, "if over then under else bare");
    Plain plain = place_plain(&place);
    for (int i = 0; i < 27; i++) {
        int a = i / 9, b = i / 3 % 3, c = i % 3;
        kit_exact(place.columns, EDGE_OVER, 0, truth_code(a));
        kit_exact(place.columns, EDGE_UNDER, 0, truth_code(b));
        kit_exact(place.columns, EDGE_BARE, 0, truth_code(c));
        assert_int_equal(plain_truth(&plain, both).nominal, and_table[a][b]);
        assert_int_equal(plain_truth(&plain, either).nominal, or_table[a][b]);
        assert_int_equal(plain_truth(&plain, none).nominal, 2 - a);
        int chosen = a == KLEENE_TRUE ? b : a == KLEENE_FALSE ? c : KLEENE_UNKNOWN;
        PlainTruth truth = plain_truth(&plain, branch);
        assert_int_equal(truth.nominal, chosen);
        assert_int_equal(truth.can_true, chosen == KLEENE_TRUE);
        assert_int_equal(truth.can_false, chosen == KLEENE_FALSE);
        assert_int_equal(truth.can_unknown, chosen == KLEENE_UNKNOWN);
    }
    place_end(&place);
}

static bool has(const PlainTruth *truth, int kleene)
{
    return kleene == KLEENE_FALSE  ? truth->can_false
           : kleene == KLEENE_TRUE ? truth->can_true
                                   : truth->can_unknown;
}

static PlainTruth truth_of_set(int set)
{
    int nominal = set & 1 ? 0 : set & 2 ? 1 : 2;
    return (PlainTruth){.nominal = (Kleene)nominal,
                        .can_false = set & 1,
                        .can_unknown = set & 2,
                        .can_true = set & 4};
}

static void expect_set(const PlainTruth *truth, const bool possible[3])
{
    for (int k = 0; k < 3; k++) {
        assert_int_equal(has(truth, k), possible[k]);
    }
    assert_true(has(truth, (int)truth->nominal));
}

/* The set of a result is exactly what its operands' sets allow, for all sets. */
static void test_possible_sets(void **state)
{
    (void)state;
    for (int i = 0; i < 343; i++) {
        PlainTruth a = truth_of_set(1 + i / 49), b = truth_of_set(1 + i / 7 % 7),
                   c = truth_of_set(1 + i % 7);
        bool both[3] = {false}, either[3] = {false}, branch[3] = {false}, none[3] = {false};
        for (int j = 0; j < 27; j++) {
            int x = j / 9, y = j / 3 % 3, z = j % 3;
            if (has(&a, x) && has(&b, y) && has(&c, z)) {
                both[x < y ? x : y] = either[x > y ? x : y] = none[2 - x] = true;
                branch[x == 2 ? y : x == 0 ? z : 1] = true;
            }
        }
        PlainTruth results[] = {truth_and(a, b), truth_or(a, b), truth_if(a, b, c), truth_not(a)};
        expect_set(&results[0], both);
        expect_set(&results[1], either);
        expect_set(&results[2], branch);
        expect_set(&results[3], none);
    }
}

static const char *const smooth[] = {
    "radius + left - arc / 2",
    "radius * left - left^2",
    "(radius - left)^3 + (left - arc)^2 * (-radius)",
    "radius / left - left / radius",
    "sqrt(radius^2 + left^2)",
    "2 * sqrt(2 * radius * 0.2 mm - (0.2 mm)^2)",
    "abs(radius - left) + min(radius, left, arc) - max(arc, left)",
    "floor(radius / 1 mm) + ceil(left / 1 mm) - round(arc / 1 mm)",
    "sin(turn) + cos(turn * 3) - sin(turn * turn)",
    "tan(turn / 8)",
    "atan2(radius - 4 mm, left - 3 mm)",
    "if radius > left then radius - left else arc",
    "sum edge.ply (ply.thickness) + most edge.ply (ply.thickness)",
    "least edge.ply (ply.thickness * (radius / 1 mm)) - radius",
    "sum edge.ply where (ply.thickness > 1 mm) (ply.thickness) + radius",
    "count edge.ply where (ply.thickness * 3 > radius) + turn",
    "needle_for_thread(radius * 12 tex / 1 mm) + left",
    "clip_least + radius",
    "(radius - 2 mm)^2 + (turn - 1)^4 * 1 mm * 1 mm + (left - radius)^0 * 1 mm * 1 mm",
};

static double draw(uint64_t *seed)
{
    *seed = *seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (double)(*seed >> 11) / 9007199254740992.0;
}

static void set_spread(Place *place, FieldId field, uint32_t record, double least, double most,
                       uint64_t *seed)
{
    double a = least + (most - least) * draw(seed), b = least + (most - least) * draw(seed);
    double lo = fmin(a, b), hi = fmax(a, b);
    kit_set(place->columns, field, record, lo, lo + (hi - lo) * draw(seed), hi);
}

static void spread_all(Place *place, uint64_t *seed)
{
    set_spread(place, BEND_RADIUS, 0, 1, 9, seed);
    set_spread(place, BEND_LEFT, 0, 1, 6, seed);
    set_spread(place, BEND_ARC, 0, 0.5, 20, seed);
    set_spread(place, BEND_TURN, 0, 0, 6, seed);
    set_spread(place, PLY_THICKNESS, 0, 0.4, 2, seed);
    set_spread(place, PLY_THICKNESS, 1, 0.4, 2, seed);
    kit_word(place->columns, MATERIAL_KIND, 0, draw(seed) < 0.5 ? "suede" : "leather");
    kit_word(place->columns, MATERIAL_KIND, 1, "leather");
}

static void draw_point(ToleranceBox *box, const void **sources, size_t count, uint64_t *seed)
{
    box->count = count;
    for (size_t i = 0; i < count; i++) {
        double at = draw(seed);
        at = at < 0.1 ? 0 : at > 0.9 ? 1 : at;
        box->sides[i] = (BoxSide){.source = sources[i], .from = at, .to = at};
    }
}

/* Whatever values are drawn within their tolerances, the number lies between lo
 * and hi, and is unknown only where the interval owns up to it. */
static void test_intervals_enclose(void **state)
{
    (void)state;
    uint64_t seed = 7;
    BoxSide sides[16];
    ToleranceBox box = {.sides = sides};
    int known = 0, unknown = 0;
    for (size_t f = 0; f < sizeof smooth / sizeof *smooth; f++) {
        Place place = place_new();
        char *text =
            arena_printf(&place.kit.arena, "every edge.ply (%s > half * %s)", smooth[f], smooth[f]);
        bool alone = strstr(smooth[f], "edge.ply") || !strstr(smooth[f], "clip_least");
        Formula *formula = place_formula(&place, SUBJECT_BEND, alone ? smooth[f] : text);
        formula = alone ? formula : formula->operand[0]->operand[0];
        place.rule->require = formula;
        for (int i = 0; i < 60; i++) {
            spread_all(&place, &seed);
            Plain plain = place_plain(&place);
            plain.bindings[1] = alone ? -1 : 0;
            PlainNumber whole = plain_number(&plain, formula);
            assert_true(isnan(whole.nominal) ||
                        (whole.lo <= whole.nominal && whole.nominal <= whole.hi));
            const void *sources[] = {place.columns->fields[BEND_RADIUS].nominal,
                                     place.columns->fields[BEND_LEFT].nominal,
                                     place.columns->fields[BEND_ARC].nominal,
                                     place.columns->fields[BEND_TURN].nominal,
                                     &place.columns->fields[PLY_THICKNESS].nominal[0],
                                     &place.columns->fields[PLY_THICKNESS].nominal[1],
                                     limit_value(rules_limit(place.kit.set, "clip_least"), 0)};
            for (int k = 0; k < 60; k++) {
                draw_point(&box, sources, 7, &seed);
                plain.box = &box;
                plain.at_point = true;
                PlainNumber point = plain_number(&plain, formula);
                if (isnan(point.nominal)) {
                    unknown++;
                    assert_true(isnan(whole.lo) || isinf(whole.lo));
                } else {
                    known++;
                    assert_true(whole.lo <= point.nominal && point.nominal <= whole.hi);
                }
            }
        }
        place_end(&place);
    }
    assert_true(known > 50000 && unknown > 300);
}

static const char *const truths[] = {
    "radius > left and arc < 10 mm or turn > 2",
    "not (radius <= left) and radius != arc",
    "every edge.ply (ply.thickness < left / 3)",
    "some edge.ply where (ply.thickness > 1 mm) (ply.thickness * 4 > radius)",
    "every edge.ply where (ply.thickness * 3 > left) (ply.thickness * 4 > radius)",
    "if radius > left then arc > 5 mm else turn < 3",
    "sqrt(radius - left) > 1 mm / sqrt(1 mm)",
    "needle_for_thread(arc * 8 tex / 1 mm) > 0.9 mm",
    "(if radius > left then edge.finish else edge.finish) is raw",
    "count edge.ply where (ply.thickness > 1 mm) = 1",
    "radius / (left - 3 mm) > 1",
};

static void test_truth_sets_enclose(void **state)
{
    (void)state;
    uint64_t seed = 11;
    BoxSide sides[16];
    ToleranceBox box = {.sides = sides};
    int met[3] = {0};
    for (size_t f = 0; f < sizeof truths / sizeof *truths; f++) {
        Place place = place_new();
        const char *text = f == 6 ? "sqrt((radius - left) * 1 mm) > 1 mm" : truths[f];
        Formula *formula = place_formula(&place, SUBJECT_BEND, text);
        kit_word(place.columns, EDGE_FINISH, 0, "raw");
        for (int i = 0; i < 100; i++) {
            spread_all(&place, &seed);
            Plain plain = place_plain(&place);
            PlainTruth whole = plain_truth(&plain, formula);
            assert_true(has(&whole, (int)whole.nominal));
            const void *sources[] = {place.columns->fields[BEND_RADIUS].nominal,
                                     place.columns->fields[BEND_LEFT].nominal,
                                     place.columns->fields[BEND_ARC].nominal,
                                     place.columns->fields[BEND_TURN].nominal,
                                     &place.columns->fields[PLY_THICKNESS].nominal[0],
                                     &place.columns->fields[PLY_THICKNESS].nominal[1]};
            for (int k = 0; k < 40; k++) {
                draw_point(&box, sources, 6, &seed);
                plain.box = &box;
                plain.at_point = true;
                PlainTruth point = plain_truth(&plain, formula);
                assert_true(has(&whole, (int)point.nominal));
                met[point.nominal]++;
            }
        }
        place_end(&place);
    }
    assert_true(met[0] > 3000 && met[1] > 500 && met[2] > 3000);
}

static void expect_number(PlainNumber number, double lo, double nominal, double hi)
{
    const double near = 1e-12;
    assert_true(fabs(number.lo - lo) <= near && fabs(number.nominal - nominal) <= near &&
                fabs(number.hi - hi) <= near);
}

static void test_numbers_by_hand(void **state)
{
    (void)state;
    Place place = place_new();
    kit_set(place.columns, BEND_RADIUS, 0, 3, 4, 5);
    kit_set(place.columns, BEND_LEFT, 0, 1, 2, 2.5);
    expect_number(reckon(&place, "radius + left"), 4, 6, 7.5);
    expect_number(reckon(&place, "radius - left"), 0.5, 2, 4);
    expect_number(reckon(&place, "radius * -left"), -12.5, -8, -3);
    expect_number(reckon(&place, "radius / left"), 1.2, 2, 5);
    expect_number(reckon(&place, "(left - 2 mm)^2"), 0, 0, 1);
    expect_number(reckon(&place, "needle_for_thread(left * 20 tex / 1 mm)"), 0.7, 0.9, 0.95);
    expect_number(reckon(&place, "sin(radius / 1 mm)"), -1, sin(4), sin(3));
    assert_true(number_is_unknown(reckon(&place, "facet_most + 0 mm")));
    PlainNumber exact = reckon(&place, "0.1 mm + 0.2 mm");
    assert_true(exact.lo == exact.hi && exact.nominal == 0.1 + 0.2);
    place_end(&place);
}

static void expect_doubtful(PlainNumber number, double nominal)
{
    assert_true(number_is_doubtful(number));
    assert_true(isnan(nominal) ? isnan(number.nominal) : number.nominal == nominal);
}

static void test_unknown_and_doubtful_numbers(void **state)
{
    (void)state;
    Place place = place_new();
    kit_set(place.columns, BEND_RADIUS, 0, 3, 4, 5);
    expect_doubtful(reckon(&place, "sqrt((radius - 3.5 mm) * 2 mm)"), 1);
    expect_doubtful(reckon(&place, "sqrt((radius - 4.5 mm) * 1 mm)"), NAN);
    expect_doubtful(reckon(&place, "1 mm / (radius - 4 mm)"), NAN);
    expect_doubtful(reckon(&place, "1 mm / (radius - 3.5 mm)"), 2);
    expect_doubtful(reckon(&place, "needle_for_thread(radius * 20 tex / 1 mm) "), 1.1);
    assert_true(number_is_unknown(reckon(&place, "sqrt((radius - 9 mm) * 1 mm)")));
    assert_true(number_is_unknown(reckon(&place, "1 / 0")));
    assert_true(number_is_unknown(reckon(&place, "sqrt(-1)")));
    assert_true(number_is_unknown(reckon(&place, "left + radius")));
    assert_true(number_is_unknown(reckon(&place, "left * 0")));
    assert_true(number_is_unknown(reckon(&place, "min(left, radius)")));
    assert_true(number_is_unknown(reckon(&place, "max(radius, left)")));
    assert_true(number_is_unknown(reckon(&place, "left^0")));
    assert_true(number_is_unknown(reckon(&place, "needle_for_thread(10 tex)")));
    assert_true(number_is_unknown(reckon(&place, "((999999999^9)^9)^9")));
    assert_true(number_is_unknown(reckon(&place, "if edge.over then radius else radius")));
    PlainTruth truth = ask(&place, "1 / 0 > 2 or left > 1 mm");
    assert_int_equal(truth.nominal, KLEENE_UNKNOWN);
    assert_true(!truth.can_true && !truth.can_false && truth.can_unknown);
    truth = ask(&place, "sqrt((radius - 3.5 mm) * 2 mm) <= 9 mm");
    assert_int_equal(truth.nominal, KLEENE_TRUE);
    assert_true(truth.can_true && truth.can_false && truth.can_unknown);
    place_end(&place);
}

static void expect_spare(const PlainTruth *truth, double amount, double relative)
{
    assert_true(fabs(truth->spare.amount - amount) < 1e-12);
    assert_true(fabs(truth->spare.relative - relative) < 1e-12);
    assert_true(truth->nominal == KLEENE_TRUE ? relative >= 0 : relative <= 0);
}

static void test_spares(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        double amount, relative;
    } spares[] = {
        {"radius >= 3 mm",                                     1,    0.25    },
        {"radius <= 5 mm",                                     1,    0.2     },
        {"radius > 5 mm",                                      -1,   -0.2    },
        {"radius < 2 mm",                                      -2,   -0.5    },
        {"radius = 5 mm",                                      -1,   -0.2    },
        {"radius = 4 mm",                                      0,    0       },
        {"radius != 5 mm",                                     1,    0.2     },
        {"not radius >= 3 mm",                                 -1,   -0.25   },
        {"radius >= 3 mm and left >= 1 mm",                    1,    0.25    }, /* least: 0.25 before 0.5 */
        {"left >= 1 mm and radius >= 3 mm",                    1,    0.25    },
        {"radius >= 3 mm or left >= 1 mm",                     1,    0.5     }, /* greatest */
        {"radius >= 5 mm or left >= 3 mm",                     -1,   -0.2    },
        {"radius >= 5 mm and left >= 3 mm",                    -1,   -1.0 / 3}, /* least of those that fail */
        {"radius >= 5 mm and left >= 1 mm",                    -1,   -0.2    },
        {"radius >= 5 mm or left >= 1 mm",                     1,    0.5     },
        {"if radius > 3 mm then left > 1 mm else left > 9 mm", 1,    0.5     },
        {"every edge.ply (ply.thickness <= 1.5 mm)",           0.3,  0.2     },
        {"some edge.ply (ply.thickness >= 2 mm)",              -0.8, -0.4    },
    };
    Place place = place_new();
    kit_exact(place.columns, BEND_RADIUS, 0, 4);
    kit_exact(place.columns, BEND_LEFT, 0, 2);
    kit_exact(place.columns, PLY_THICKNESS, 0, 1);
    kit_exact(place.columns, PLY_THICKNESS, 1, 1.2);
    for (size_t i = 0; i < sizeof spares / sizeof *spares; i++) {
        PlainTruth truth = ask(&place, spares[i].text);
        expect_spare(&truth, spares[i].amount, spares[i].relative);
        assert_non_null(truth.spare.comparison);
    }
    PlainTruth truth = ask(&place, "radius >= 3 mm and edge.over");
    assert_true(isnan(truth.spare.relative) && !truth.spare.comparison);
    truth = ask(&place, "radius >= arc and radius >= 3 mm");
    assert_true(isnan(truth.spare.relative));
    assert_int_equal(truth.spare.comparison->operand[1]->field, BEND_ARC);
    truth = ask(&place, "radius >= arc or radius >= 3 mm");
    expect_spare(&truth, 1, 0.25);
    kit_exact(place.columns, EDGE_OVER, 0, 0);
    truth = ask(&place, "edge.over and radius >= 3 mm");
    assert_true(truth.spare.relative == -INFINITY && !truth.spare.comparison);
    place_end(&place);
}

static void test_rounding_is_forgiven(void **state)
{
    (void)state;
    Place place = place_new();
    kit_exact(place.columns, BEND_RADIUS, 0, 0.1 + 0.2);
    kit_exact(place.columns, BEND_LEFT, 0, 0.3);
    assert_int_equal(ask(&place, "radius <= left").nominal, KLEENE_TRUE);
    assert_int_equal(ask(&place, "radius > left").nominal, KLEENE_FALSE);
    assert_int_equal(ask(&place, "radius = left").nominal, KLEENE_TRUE);
    kit_exact(place.columns, BEND_LEFT, 0, 0.3 * (1 - 2e-9));
    assert_int_equal(ask(&place, "radius > left").nominal, KLEENE_TRUE);
    assert_int_equal(ask(&place, "radius != left").nominal, KLEENE_TRUE);
    place_end(&place);
}

/* The record that decided is told: of every, of some, and of most. */
static void test_who_decided(void **state)
{
    (void)state;
    Place place = place_new();
    kit_exact(place.columns, PLY_THICKNESS, 0, 1);
    kit_exact(place.columns, PLY_THICKNESS, 1, 1.2);
    assert_int_equal(ask(&place, "every edge.ply (ply.thickness < 3 mm)").spare.bindings[1], 1);
    assert_int_equal(ask(&place, "some edge.ply (ply.thickness < 3 mm)").spare.bindings[1], 0);
    assert_int_equal(ask(&place, "most edge.ply (ply.thickness) < 3 mm").spare.bindings[1], 1);
    assert_int_equal(ask(&place, "least edge.ply (ply.thickness) < 3 mm").spare.bindings[1], 0);
    assert_int_equal(ask(&place, "sum edge.ply (ply.thickness) < 3 mm").spare.bindings[1], -1);
    kit_exact(place.columns, PLY_UNDER, 0, 1);
    kit_exact(place.columns, PLY_UNDER, 1, 0);
    assert_int_equal(ask(&place, "every edge.ply (ply.under)").spare.bindings[1], 1);
    place_end(&place);
}

typedef struct SetCase {
    const char *text;
    Kleene value;
    bool met;
} SetCase;

static void expect_sets(Place *place, const SetCase *cases, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        Formula *formula = place_formula(place, SUBJECT_BEND, cases[i].text);
        Plain plain = place_plain(place);
        PlainTruth truth = plain_truth(&plain, formula);
        if (truth.nominal != cases[i].value || plain.met != cases[i].met) {
            print_error("%s\n", cases[i].text);
        }
        assert_int_equal(truth.nominal, cases[i].value);
        assert_int_equal(plain.met, cases[i].met);
    }
}

/* Ply 0: 1 mm, under. Ply 1: 2 mm, whether it is under is not known. */
static void test_sets(void **state)
{
    (void)state;
    static const SetCase filtered[] = {
        {"every edge.ply where (ply.under) (ply.thickness < 3 mm)",            KLEENE_TRUE,    true },
        {"every edge.ply where (ply.under) (ply.thickness < 1.5 mm)",          KLEENE_UNKNOWN, true },
        {"every edge.ply where (ply.under) (ply.thickness < 0.5 mm)",          KLEENE_FALSE,   true },
        {"some edge.ply where (ply.under) (ply.thickness > 3 mm)",             KLEENE_FALSE,   false},
        {"some edge.ply where (ply.under) (ply.thickness > 1.5 mm)",           KLEENE_UNKNOWN, false},
        {"some edge.ply where (ply.under) (ply.thickness < 1.5 mm)",           KLEENE_TRUE,    false},
        {"sum edge.ply where (ply.under) (ply.thickness) > 0 mm",              KLEENE_UNKNOWN, true },
        {"count edge.ply where (ply.under) > 0",                               KLEENE_UNKNOWN, true },
        {"most edge.ply where (ply.under) (ply.thickness) > 0 mm",             KLEENE_UNKNOWN, true },
        {"every edge.ply where (ply.thickness > 3 mm) (ply.under)",            KLEENE_TRUE,    false},
        {"some edge.ply where (ply.thickness > 3 mm) (ply.under)",             KLEENE_FALSE,   false},
        {"sum edge.ply where (ply.thickness > 3 mm) (ply.thickness) = 0 mm",   KLEENE_TRUE,    false},
        {"count edge.ply where (ply.thickness > 3 mm) = 0",                    KLEENE_TRUE,    false},
        {"least edge.ply where (ply.thickness > 3 mm) (ply.thickness) > 0 mm", KLEENE_UNKNOWN,
         false                                                                                      },
        {"sum edge.ply where (ply.thickness > 1.5 mm) (ply.thickness) = 2 mm", KLEENE_TRUE,    true },
        {"count edge.ply = 2 and most edge.ply (ply.thickness) = 2 mm",        KLEENE_TRUE,    true },
    };
    static const SetCase empty[] = {
        {"every edge.seam (seam.inside)",        KLEENE_TRUE,    false},
        {"some edge.seam (seam.inside)",         KLEENE_FALSE,   false},
        {"count edge.seam = 0",                  KLEENE_TRUE,    false},
        {"most edge.seam (seam.ridge) > 0 mm",   KLEENE_UNKNOWN, false},
        {"every edge.ply (count edge.seam = 0)", KLEENE_TRUE,    true },
    };
    static const SetCase unknown[] = {
        {"every edge.seam (seam.inside)",      KLEENE_UNKNOWN, true },
        {"some edge.seam (seam.inside)",       KLEENE_UNKNOWN, false},
        {"count edge.seam >= 0",               KLEENE_UNKNOWN, true },
        {"sum edge.seam (seam.ridge) >= 0 mm", KLEENE_UNKNOWN, true },
    };
    Place place = place_new();
    kit_exact(place.columns, PLY_THICKNESS, 0, 1);
    kit_exact(place.columns, PLY_THICKNESS, 1, 2);
    kit_exact(place.columns, PLY_UNDER, 0, 1);
    expect_sets(&place, filtered, sizeof filtered / sizeof *filtered);
    expect_sets(&place, empty, sizeof empty / sizeof *empty);
    place.columns->manys[kit_relation(SUBJECT_EDGE, "seam")].unknown[0] = true;
    expect_sets(&place, unknown, sizeof unknown / sizeof *unknown);
    kit_one(place.columns, SUBJECT_BEND, "edge", 0, -1);
    static const SetCase nowhere = {"every edge.ply (ply.under)", KLEENE_UNKNOWN, true};
    expect_sets(&place, &nowhere, 1);
    place_end(&place);
}

static void test_limits_by_words_and_truths(void **state)
{
    (void)state;
    Place place = place_new();
    const char *text = "every edge.ply (clip_least >= 3 mm)";
    kit_word(place.columns, MATERIAL_KIND, 0, "suede");
    kit_word(place.columns, MATERIAL_KIND, 1, "suede");
    assert_int_equal(ask(&place, text).nominal, KLEENE_TRUE);
    kit_word(place.columns, MATERIAL_KIND, 1, "leather");
    PlainTruth truth = ask(&place, text);
    assert_int_equal(truth.nominal, KLEENE_FALSE);
    assert_true(truth.can_true);                       /* 2.5 ± 0.5 mm */
    kit_word(place.columns, MATERIAL_KIND, 1, "foam"); /* has no row, nor an else */
    assert_int_equal(ask(&place, text).nominal, KLEENE_UNKNOWN);
    kit_exact(place.columns, MATERIAL_FRAYS, 0, 1);
    kit_exact(place.columns, MATERIAL_FRAYS, 1, 0);
    assert_int_equal(ask(&place, "most edge.ply (fray_least) = 4 mm").nominal, KLEENE_TRUE);
    assert_int_equal(ask(&place, "least edge.ply (fray_least) = 1 mm").nominal, KLEENE_TRUE);
    kit_exact(place.columns, MATERIAL_FRAYS, 1, NAN);
    assert_int_equal(ask(&place, "least edge.ply (fray_least) = 1 mm").nominal, KLEENE_UNKNOWN);
    place_end(&place);
}

static void test_own_limit_of_a_machine(void **state)
{
    (void)state;
    static const int32_t machines[] = {0};
    static const Origin unknown = {.kind = ORIGIN_UNKNOWN};
    Place place = place_new();
    kit_many(place.columns, SUBJECT_ROW, "machine", machines, 1);
    Formula *formula = place_formula(&place, SUBJECT_ROW, "every machine (climb_most = 1.5 mm)");
    Plain plain = place_plain(&place);
    assert_int_equal(plain_truth(&plain, formula).nominal, KLEENE_TRUE);
    kit_exact(place.columns, MACHINE_CLIMB_MOST, 0, 2);
    assert_int_equal(plain_truth(&plain, formula).nominal, KLEENE_FALSE);
    kit_exact(place.columns, MACHINE_CLIMB_MOST, 0, NAN);
    place.columns->fields[MACHINE_CLIMB_MOST].origins[0] = &unknown;
    assert_int_equal(plain_truth(&plain, formula).nominal, KLEENE_UNKNOWN);
    place_end(&place);
}

static void test_ranges_and_sets_of_a_machine(void **state)
{
    (void)state;
    static const int32_t machines[] = {0};
    Place place = place_new();
    Columns *columns = place.columns;
    kit_many(columns, SUBJECT_ROW, "machine", machines, 1);
    Formula *pitch = place_formula(&place, SUBJECT_ROW, "some machine (pitch in machine.pitch)");
    Formula *rows = place_formula(&place, SUBJECT_ROW, "some machine (number not in machine.rows)");
    Formula *stitch =
        place_formula(&place, SUBJECT_ROW, "some machine (stitch in machine.stitches)");
    Plain plain = place_plain(&place);
    assert_int_equal(plain_truth(&plain, pitch).nominal, KLEENE_UNKNOWN);
    kit_set(columns, MACHINE_PITCH, 0, 1.5, NAN, 5);
    kit_set(columns, ROW_PITCH, 0, 4, 4.5, 5.5);
    PlainTruth truth = plain_truth(&plain, pitch);
    assert_true(truth.nominal == KLEENE_TRUE && truth.can_false);
    expect_spare(&truth, 0.5, 0.1);
    kit_exact(columns, ROW_PITCH, 0, 1.2);
    truth = plain_truth(&plain, pitch);
    expect_spare(&truth, -0.3, -0.2);
    assert_false(truth.can_true);
    kit_exact(columns, ROW_COUNT, 0, 2);
    assert_int_equal(plain_truth(&plain, rows).nominal, KLEENE_UNKNOWN);
    kit_exact(columns, MACHINE_ROWS, 0, 1 << 1 | 1 << 2);
    assert_int_equal(plain_truth(&plain, rows).nominal, KLEENE_FALSE);
    kit_exact(columns, ROW_COUNT, 0, 3);
    assert_int_equal(plain_truth(&plain, rows).nominal, KLEENE_TRUE);
    kit_exact(columns, ROW_COUNT, 0, 1.5);
    assert_int_equal(plain_truth(&plain, rows).nominal, KLEENE_TRUE);
    kit_word(columns, ROW_STITCH, 0, "301");
    assert_int_equal(plain_truth(&plain, stitch).nominal, KLEENE_UNKNOWN);
    kit_exact(columns, MACHINE_STITCHES, 0, ldexp(1, (int)columns->fields[ROW_STITCH].nominal[0]));
    assert_int_equal(plain_truth(&plain, stitch).nominal, KLEENE_TRUE);
    kit_word(columns, ROW_STITCH, 0, "401");
    assert_int_equal(plain_truth(&plain, stitch).nominal, KLEENE_FALSE);
    place_end(&place);
}

static void test_boxes(void **state)
{
    (void)state;
    static const Origin assumed = {.kind = ORIGIN_WRITTEN, .assumed = true};
    Place place = place_new();
    kit_set(place.columns, BEND_RADIUS, 0, 3, 4, 7);
    Formula *formula = place_formula(&place, SUBJECT_BEND, "radius * 1");
    BoxSide side = {.source = place.columns->fields[BEND_RADIUS].nominal, .from = 0.5, .to = 1};
    ToleranceBox box = {.sides = &side, .count = 1};
    Plain plain = place_plain(&place);
    expect_number(plain_number(&plain, formula), 3, 4, 7);
    plain.box = &box;
    expect_number(plain_number(&plain, formula), 5, 5, 7);
    plain.at_point = true;
    expect_number(plain_number(&plain, formula), 5, 6, 7);
    place.columns->fields[BEND_RADIUS].origins[0] = &assumed;
    box.declared_only = true;
    expect_number(plain_number(&plain, formula), 4, 4, 4);
    place_end(&place);
}

static void count_reads(void *data, const Plain *plain, const Formula *formula, int32_t record)
{
    int *counts = data;
    (void)plain;
    counts[formula->kind == FORMULA_LIMIT]++;
    counts[2] += record;
}

/* One hide met in two plies is one source. */
static void test_sources_and_visits(void **state)
{
    (void)state;
    static const int hide = 0;
    static const Origin cut = {.kind = ORIGIN_WRITTEN, .source = &hide};
    Place place = place_new();
    kit_set(place.columns, BEND_RADIUS, 0, 3, 4, 5);
    kit_exact(place.columns, BEND_LEFT, 0, 4);
    for (uint32_t i = 0; i < 2; i++) {
        kit_set(place.columns, PLY_THICKNESS, i, 1, 1.5, 2);
        place.columns->fields[PLY_THICKNESS].origins[i] = &cut;
        kit_word(place.columns, MATERIAL_KIND, i, i ? "leather" : "suede");
    }
    place.rule = NULL;
    Formula *formula = place_formula(
        &place, SUBJECT_BEND, "every edge.ply (ply.thickness * 3 < radius and left > clip_least)");
    place.rule->require = formula;
    Plain plain = place_plain(&place);
    const void **sources;
    Arena arena = {0};
    assert_int_equal(plain_sources(&plain, &arena, &sources), 3);
    assert_ptr_equal(sources[0], &hide);
    assert_ptr_equal(sources[1], place.columns->fields[BEND_RADIUS].nominal);
    arena_free(&arena);
    int counts[3] = {0};
    plain.visit = count_reads;
    plain.visit_data = counts;
    plain_truth(&plain, formula);
    assert_int_equal(counts[0], 6);
    assert_int_equal(counts[1], 2);
    assert_int_equal(counts[2], 2); /* the second ply and its material */
    place_end(&place);
}

/* The longest chain that is read is also walked. */
static void test_long_chains(void **state)
{
    (void)state;
    Place place = place_new();
    Text text = {0};
    text_add(&text, "radius > left");
    for (int i = 0; i < 490; i++) {
        text_add(&text, i % 2 ? " or radius > left" : " and radius > left");
    }
    kit_exact(place.columns, BEND_RADIUS, 0, 2);
    kit_exact(place.columns, BEND_LEFT, 0, 1);
    assert_int_equal(ask(&place, text_string(&text)).nominal, KLEENE_TRUE);
    text_free(&text);
    place_end(&place);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_truth_tables),
        cmocka_unit_test(test_possible_sets),
        cmocka_unit_test(test_intervals_enclose),
        cmocka_unit_test(test_truth_sets_enclose),
        cmocka_unit_test(test_numbers_by_hand),
        cmocka_unit_test(test_unknown_and_doubtful_numbers),
        cmocka_unit_test(test_spares),
        cmocka_unit_test(test_rounding_is_forgiven),
        cmocka_unit_test(test_who_decided),
        cmocka_unit_test(test_sets),
        cmocka_unit_test(test_limits_by_words_and_truths),
        cmocka_unit_test(test_own_limit_of_a_machine),
        cmocka_unit_test(test_ranges_and_sets_of_a_machine),
        cmocka_unit_test(test_boxes),
        cmocka_unit_test(test_sources_and_visits),
        cmocka_unit_test(test_long_chains),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

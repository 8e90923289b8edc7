/* The formulas of the shipped rules on turned, folded and bound curves against
 * mathematics handbooks, with the roots found by the GNU Scientific Library. */
#include "reference/rules_place.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_roots.h>

static const char arc_and_chord[] =
    "mathematics handbook, circular segment: s = R - sqrt(R^2 - c^2/4)";
static const char arcs_printed[] =
    "printed examples of arc heights: R 6 over a chord of 10; R 10 over 12; R 15 over 20";
static const char parallel[] =
    "mathematics handbook, parallel curve: L' = L +- d times the turning";

/* A long bend of a turned edge that is looked at, of one ply. */
static void put_bend(Place *place, const char *material, const char *curve, const char *relief)
{
    put(place, BEND_CHORD_SHARE, 1);
    put_word(place, EDGE_FINISH, "turned");
    put_word(place, EDGE_SIGHT, "topline");
    put_word(place, BEND_CURVE, curve);
    put_word(place, BEND_RELIEF, relief);
    put_word(place, MATERIAL_KIND, material);
    put_word(place, STYLE_WEARER, "adult");
    put(place, BEND_TURN, M_PI);
    put(place, BEND_ARC, 1000);
    put(place, PLY_STOPS_SHORT, 0);
    put(place, PLY_TIMES, 1);
}

/* ---- chords ---- */

/* Radius, chord, height. The rule takes the chord a tooth needs: of leather, at
 * least 1 mm at the raw edge, it is R / (R - left). */
static const struct {
    double radius, chord, height, tolerance;
    bool printed;
} heights[] = {
    {6, 10, 2.68338, 5e-6, true},   {10, 12, 2, 1e-9, true},       {15, 20, 3.82, 5e-3, true},
    {15, 20, 3.8197, 5e-5, false},  {5, 2, 0.101021, 5e-7, false}, {3, 2, 0.171573, 5e-7, false},
    {10, 2, 0.050126, 5e-7, false}, {3, 3, 0.401924, 5e-7, false}, {8, 3, 0.141883, 5e-7, false},
    {20, 3, 0.056329, 5e-7, false},
};

static void height_of_an_arc_over_its_chord(void **state)
{
    (void)state;
    Place place = place_new();
    put_bend(&place, "leather", "inward", "clipped");
    for (size_t i = 0; i < ROWS(heights); i++) {
        put(&place, BEND_RADIUS, heights[i].radius);
        put(&place, BEND_LEFT, heights[i].radius * (1 - 1 / heights[i].chord));
        near_enough("pitch", value_of(&place, "fold-cut-facet", "pitch_needed"), heights[i].chord,
                    1e-9, "the tooth of 1 mm that the test asks for");
        (heights[i].printed ? check : check_worked)(
            "facet", value_of(&place, "fold-cut-facet", "facet"), heights[i].height,
            heights[i].tolerance, heights[i].printed ? arcs_printed : arc_and_chord);
    }
    place_free(&place);
}

/* Radius, height, chord. */
static const struct {
    double radius, chord;
} chords[] = {{8, 3.555278}, {4.5, 2.653300}, {3, 2.154066}};

static void widest_chord_for_a_height(void **state)
{
    static const char *const rules[] = {"turn-clip-pitch", "turn-notch-pitch"};
    (void)state;
    Place place = place_new();
    put_bend(&place, "suede", "inward", "clipped");
    for (size_t i = 0; i < ROWS(chords) * ROWS(rules); i++) {
        put(&place, BEND_RADIUS, chords[i / 2].radius);
        check_worked("smooth pitch at a facet of 0.2 mm",
                     value_of(&place, rules[i % 2], "pitch_smooth"), chords[i / 2].chord, 5e-7,
                     arc_and_chord);
    }
    place_free(&place);
}

/* ---- least radii ---- */

/* What the smooth pitch exceeds the needed one by. */
static double room(double radius, void *place)
{
    put(place, BEND_RADIUS, radius);
    return value_of(place, "turn-clip-pitch", "pitch_smooth") -
           value_of(place, "turn-clip-pitch", "pitch_needed");
}

static double root(Place *place, double from, double to)
{
    gsl_function function = {.function = room, .params = place};
    gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
    assert_int_equal(gsl_root_fsolver_set(solver, &function, from, to), GSL_SUCCESS);
    int status = GSL_CONTINUE;
    for (int i = 0; i < 200 && status == GSL_CONTINUE; i++) {
        gsl_root_fsolver_iterate(solver);
        status = gsl_root_test_interval(gsl_root_fsolver_x_lower(solver),
                                        gsl_root_fsolver_x_upper(solver), 1e-12, 0);
    }
    double found = gsl_root_fsolver_root(solver);
    gsl_root_fsolver_free(solver);
    return found;
}

/* Least pitch of the material, least radius p^2/(8s) + s/2 at s = 0.2 mm; the
 * teeth are kept wide by a small allowance. */
static const struct {
    const char *material;
    double pitch, radius;
} by_pitch[] = {{"suede", 3, 5.725}, {"woven", 4, 10.1}, {"leather", 2.5, 4.00625}};

static void least_radius_for_a_pitch(void **state)
{
    (void)state;
    Place place = place_new();
    for (size_t i = 0; i < ROWS(by_pitch); i++) {
        double p = by_pitch[i].pitch, s = 0.2;
        put_bend(&place, by_pitch[i].material, "inward", "clipped");
        put(&place, BEND_LEFT, 1.5);
        double least = root(&place, 2, 50);
        check_worked("least radius", least, p * p / (8 * s) + s / 2, 1e-9, arc_and_chord);
        check_worked("least radius", least, by_pitch[i].radius, 1e-9,
                     "the same, worked out by hand");
    }
    place_free(&place);
}

/* Requirements of a clipped hollow bend, as one yes or no. */
static bool can_be_cut(Place *place, double radius)
{
    put(place, BEND_RADIUS, radius);
    return holds(place, "turn-clip-pitch") == KLEENE_TRUE &&
           holds(place, "turn-clip-root") == KLEENE_TRUE;
}

static double least_cut(Place *place)
{
    double no = 4.01, yes = 100;
    assert_false(can_be_cut(place, no));
    assert_true(can_be_cut(place, yes));
    while (yes - no > 1e-9) {
        double middle = (no + yes) / 2;
        *(can_be_cut(place, middle) ? &yes : &no) = middle;
    }
    return yes;
}

/* Worked out by hand from the limits: the clip's root opens 2cp/R and its tooth
 * is p(R - a)/R wide, so R >= a + 2c times tooth over root, R >= 2cp over root. */
static const struct {
    const char *material;
    double left, radius;
} by_root[] = {{"suede", 4, 7.75}, {"suede", 3, 7.5}, {"leather", 4, 6}, {"leather", 3, 5}};

static void least_radius_that_can_be_cut(void **state)
{
    (void)state;
    Place place = place_new();
    for (size_t i = 0; i < ROWS(by_root); i++) {
        put_bend(&place, by_root[i].material, "inward", "clipped");
        put(&place, BEND_LEFT, by_root[i].left);
        check_worked("least radius of a clipped bend", least_cut(&place), by_root[i].radius, 1e-7,
                     "plain geometry of the clip, worked out by hand");
    }
    place_free(&place);
}

/* ---- uncut edges, bindings ---- */

static const struct {
    double radius, left, stretch, surplus, bulk; /* stretch and surplus in % */
} uncut[] = {
    {20, 4, 50.00, 33.33, 1.5000}, {10, 4, 133.33, 57.14, 2.3333},  {8, 5, 333.33, 76.92, 4.3333},
    {6, 4, 400.00, 80.00, 5.0000}, {36, 15, 142.86, 58.82, 2.4286},
};

static void uncut_edge_stretches_or_crowds(void **state)
{
    (void)state;
    Place place = place_new();
    put_bend(&place, "leather", "inward", "none");
    for (size_t i = 0; i < ROWS(uncut); i++) {
        put(&place, BEND_RADIUS, uncut[i].radius);
        put(&place, BEND_LEFT, uncut[i].left);
        check_worked("stretch in %", 100 * value_of(&place, "turn-uncut-hollow", "stretch"),
                     uncut[i].stretch, 5e-3, parallel);
        check_worked("surplus in %", 100 * value_of(&place, "turn-uncut-rounded", "crowding"),
                     uncut[i].surplus, 5e-3, parallel);
        check_worked("layers", value_of(&place, "turn-bulk", "layers"), uncut[i].bulk, 5e-5,
                     parallel);
    }
    place_free(&place);
}

/* "Against an elongation at break of at most 50 % or 75 %": every row needs cuts. */
static void uncut_hollow_edges_flag(void **state)
{
    (void)state;
    Place place = place_new();
    put_bend(&place, "leather", "inward", "none");
    put(&place, MATERIAL_BREAKS_AT, 0.75);
    for (size_t i = 0; i < ROWS(uncut); i++) {
        put(&place, BEND_RADIUS, uncut[i].radius);
        put(&place, BEND_LEFT, uncut[i].left);
        assert_int_equal(applies(&place, "turn-uncut-hollow"), KLEENE_TRUE);
        assert_int_equal(holds(&place, "turn-uncut-hollow"), KLEENE_FALSE);
    }
    put(&place, BEND_RADIUS, 4);
    put(&place, BEND_LEFT, 4);
    assert_int_equal(holds(&place, "turn-no-room"), KLEENE_FALSE); /* R = a: impossible */
    place_free(&place);
}

/* A strip of width w round a curve is strained w/(2R); half of it shows. */
static const struct {
    double width, radius, strain;
} strips[] = {{12, 30, 0.20}, {12, 60, 0.10}, {16, 40, 0.20}};

static void bound_strip_is_strained(void **state)
{
    (void)state;
    Place place = place_new();
    for (size_t i = 0; i < ROWS(strips); i++) {
        put(&place, BEND_RADIUS, strips[i].radius);
        put(&place, EDGE_BINDING_SHOWS, strips[i].width / 2);
        check_worked("stretch", value_of(&place, "bind-hollow", "binding_stretch"),
                     strips[i].strain, 1e-12, parallel);
        check_worked("crowding", value_of(&place, "bind-rounded", "binding_crowding"),
                     strips[i].strain, 1e-12, parallel);
    }
    place_free(&place);
}

/* ---- lengths of offset curves, by quadrature ---- */

/* A circle of `radius` about the origin, half of it. */
static double speed(double angle, void *radius)
{
    double dx = -*(double *)radius * sin(angle), dy = *(double *)radius * cos(angle);
    return sqrt(dx * dx + dy * dy);
}

static double half_circle(double radius)
{
    double length = 0, error;
    size_t used;
    gsl_function function = {.function = speed, .params = &radius};
    assert_int_equal(gsl_integration_qng(&function, 0, M_PI, 0, 1e-12, &length, &error, &used), 0);
    return length;
}

/* The raw edge of a hollow allowance lies at R - a and is turned to R + a; that of
 * a rounded one the other way. */
static void raw_edges_measured_by_quadrature(void **state)
{
    static const struct {
        double radius, left;
    } rows[] = {{20, 4}, {10, 4}, {8, 5}, {6, 4}, {36, 15}};
    (void)state;
    Place place = place_new();
    put_bend(&place, "leather", "inward", "none");
    for (size_t i = 0; i < ROWS(rows); i++) {
        double inner = half_circle(rows[i].radius - rows[i].left);
        double outer = half_circle(rows[i].radius + rows[i].left);
        put(&place, BEND_RADIUS, rows[i].radius);
        put(&place, BEND_LEFT, rows[i].left);
        check_worked("stretch", value_of(&place, "turn-uncut-hollow", "stretch"), outer / inner - 1,
                     1e-9, parallel);
        check_worked("crowding", value_of(&place, "turn-uncut-rounded", "crowding"),
                     1 - inner / outer, 1e-9, parallel);
    }
    place_free(&place);
}

/* ---- bending round a core ---- */

static const char bending[] = "Kalpakjian and Schmid, Manufacturing Engineering and Technology, 6th "
                              "edition, p. 418: e = 1/((2R/T) + 1) and R = T (50/r - 1)";

/* At the least bend radius of a reduction of area r (in per cent) the strain is
 * r / (100 - r): the two printed formulas agree with one another. */
static void strain_round_a_core(void **state)
{
    static const double reductions[] = {10, 20, 30, 40};
    static const double sheets[] = {0.5, 1.2, 2};
    (void)state;
    Place place = place_new();
    put_word(&place, EDGE_FINISH, "folded");
    put_word(&place, MATERIAL_KIND, "foam");
    put(&place, PLY_STOPS_SHORT, 1);
    for (size_t i = 0; i < ROWS(reductions) * ROWS(sheets); i++) {
        double r = reductions[i / ROWS(sheets)], sheet = sheets[i % ROWS(sheets)];
        put(&place, EDGE_THICKNESS, sheet);
        put(&place, PLY_THICKNESS, 2 * sheet * (50 / r - 1));
        assert_int_equal(applies(&place, "fold-core"), KLEENE_TRUE);
        check_worked("strain", value_of(&place, "fold-core", "strain"), r / (100 - r), 1e-12,
                     bending);
    }
    place_free(&place);
}

/* T/(2R + T) in per cent, thickness and inside radius in mm. */
static const struct {
    double sheet, radius, strain;
} bent[] = {
    {0.5, 0.5, 33.333}, {0.5, 1.0, 20.000}, {0.8, 0.4, 50.000}, {1.0, 1.0, 33.333},
    {1.2, 0.5, 54.545}, {1.5, 3.0, 20.000}, {2.0, 1.0, 50.000}, {2.0, 10.0, 9.091},
};

static void strain_of_bent_sheets(void **state)
{
    (void)state;
    Place place = place_new();
    put_word(&place, EDGE_FINISH, "folded");
    put_word(&place, MATERIAL_KIND, "foam");
    put(&place, PLY_STOPS_SHORT, 1);
    for (size_t i = 0; i < ROWS(bent); i++) {
        put(&place, EDGE_THICKNESS, bent[i].sheet);
        put(&place, PLY_THICKNESS, 2 * bent[i].radius);
        check_worked("strain in %", 100 * value_of(&place, "fold-core", "strain"), bent[i].strain,
                     5e-4, bending);
    }
    place_free(&place);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(height_of_an_arc_over_its_chord),
        cmocka_unit_test(widest_chord_for_a_height),
        cmocka_unit_test(least_radius_for_a_pitch),
        cmocka_unit_test(least_radius_that_can_be_cut),
        cmocka_unit_test(uncut_edge_stretches_or_crowds),
        cmocka_unit_test(uncut_hollow_edges_flag),
        cmocka_unit_test(bound_strip_is_strained),
        cmocka_unit_test(raw_edges_measured_by_quadrature),
        cmocka_unit_test(strain_round_a_core),
        cmocka_unit_test(strain_of_bent_sheets),
    };
    return checks_told(cmocka_run_group_tests(tests, NULL, NULL));
}

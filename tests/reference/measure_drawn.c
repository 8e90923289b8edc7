/* What is measured on drawn lines in every size against closed forms of mathematics
 * handbooks, the GNU Scientific Library and a published table of graded lasts. */
#define _GNU_SOURCE
#include "reference/check.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_sf_ellint.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "measure/measure.h"
#include "scratch.h"

static const char vertices[] =
    "mathematics handbook, ellipse: radii b^2/a and a^2/b at the vertices";
static const char legendre[] = "complete elliptic integral, gsl_sf_ellint_Ecomp";
static const char ramanujan[] = "Ramanujan, Modular equations and approximations to pi, 1914: "
                                "pi (a + b) (1 + 3 h / (10 + sqrt(4 - 3 h)))";
static const char parallel[] = "mathematics handbook, parallel curve of an arc: (R - x) angle";
static const char golding[] = "F. Y. Golding, The Manufacture of Boots and Shoes, 1902, "
                              "graded dimensions, male, three-fitting";
static const double inch = 25.4;

/* ---- Styles of one part ---- */

typedef struct Drawn {
    Messages messages;
    HouseValues *house;
    Style *style;
    Measured *measured;
    const Columns *columns;
} Drawn;

/* `line` is the edge that is asked about, `rest` closes the part. */
static Drawn drawn_beside(const char *sizes, const char *last, const char *line, const char *rest,
                          const char *grade, double girth_step, double from_edge)
{
    static const char form[] =
        "cordwain: style/1\nname: One part (invented)\ncode: R-1\nsizes: %s\nlast: %s\n"
        "sheets: {flat: {along: x}}\nparts:\n"
        "  ground: {role: upper, sheet: flat, edges: {all: {path: 'M -150 -150 H 150 V 150 H -150 "
        "V -150', finish: raw, allowance: 0 mm, grade: hold}}}\n"
        "  part: {role: upper, sheet: flat, edges: {line: {path: '%s', finish: raw, allowance: 0 "
        "mm, grade: %s}, rest: {path: '%s', finish: raw, allowance: 0 mm, grade: hold}}}\n"
        "seams: {row: {join: lapped, edges: [part.line, ground], rows: [{does: seam, from_edge: %g "
        "mm}]}}\norder: [row]\n";
    char path[SCRATCH_LENGTH];
    Drawn drawn = {.house = memory_new(1, sizeof(HouseValues))};
    FILE *out = scratch_file(path);
    assert_true(fprintf(out, form, sizes, last, line, grade, rest, from_edge) > 0);
    assert_int_equal(fclose(out), 0);
    drawn.style = style_read(path, NULL, NULL, 0, &drawn.messages);
    unlink(path);
    if (!drawn.style) {
        messages_write(&drawn.messages, stderr);
        fail_msg("the style is refused");
    }
    drawn.house->girth_step = girth_step;
    drawn.measured = measured_new(drawn.style, NULL, drawn.house);
    drawn.columns = measured_columns(drawn.measured);
    return drawn;
}

static Drawn drawn_of(const char *sizes, const char *last, const char *line, const char *rest,
                      const char *grade, double girth_step)
{
    return drawn_beside(sizes, last, line, rest, grade, girth_step, 2);
}

static void drawn_free(Drawn *drawn)
{
    measured_free(drawn->measured);
    style_free(drawn->style);
    free(drawn->house);
    messages_free(&drawn->messages);
}

static double cell(const Drawn *drawn, FieldId id, const char *name, uint32_t lane)
{
    const Column *column = &drawn->columns->fields[id];
    Subject subject = field_at(id)->subject;
    for (uint32_t i = 0; i < drawn->columns->count[subject]; i++)
        if (subject == SUBJECT_LAST || strcmp(drawn->columns->names[subject][i], name) == 0)
            return column->nominal[column_cell(column, i, lane)];
    fail_msg("no %s", name);
    return (double)NAN;
}

/* ---- A circle in every size ---- */

#define CIRCLE "M 40 0 A 40 40 0 0 1 -40 0", "M -40 0 A 40 40 0 0 1 40 0"
static const double circle = 40;

static const char paris[] = "{system: paris-point, base: 42, from: 36, to: 46}";
static const char last_280[] = "{code: L, length: 280 mm, girth: 250 mm}";

/* Half axes of what the circle becomes: 20/3 mm longer and 5 mm rounder a size. */
static void axes_in(uint32_t lane, double *along, double *across)
{
    double sizes = (double)lane - 6;
    *along = circle * (280 + sizes * 20 / 3) / 280;
    *across = circle * (250 + sizes * 5) / 250;
}

static void radii_of_a_stretched_circle(void **state)
{
    (void)state;
    Drawn scaled = drawn_of(paris, last_280, CIRCLE, "scale", 5);
    Drawn held = drawn_of(paris, last_280, CIRCLE, "hold", 5);
    assert_int_equal(scaled.columns->lane_count, 11);
    for (uint32_t lane = 0; lane < scaled.columns->lane_count; lane++) {
        double along, across;
        axes_in(lane, &along, &across);
        /* an arc's pieces are 1e-4 off its curvature, and the window is 0.1 mm wide */
        check_worked("least radius", cell(&scaled, BEND_RADIUS, "part.line.1", lane),
                     fmin(across * across / along, along * along / across), 8e-3, vertices);
        check_worked("a radius held", cell(&held, BEND_RADIUS, "part.line.1", lane), circle, 8e-3,
                     vertices);
    }
    drawn_free(&scaled);
    drawn_free(&held);
}

static void lengths_of_a_stretched_circle(void **state)
{
    (void)state;
    Drawn drawn = drawn_of(paris, last_280, CIRCLE, "scale", 5);
    for (uint32_t lane = 0; lane < drawn.columns->lane_count; lane++) {
        double x, y;
        axes_in(lane, &x, &y);
        double a = fmax(x, y), b = fmin(x, y), h = pow((a - b) / (a + b), 2);
        double length = cell(&drawn, EDGE_LENGTH, "part.line", lane);
        check_worked("half an ellipse", length,
                     2 * a * gsl_sf_ellint_Ecomp(sqrt(1 - b * b / (a * a)), GSL_PREC_DOUBLE), 2e-3,
                     legendre);
        check_worked("half an ellipse", length,
                     M_PI / 2 * (a + b) * (1 + 3 * h / (10 + sqrt(4 - 3 * h))), 2e-3, ramanujan);
    }
    drawn_free(&drawn);
}

/* Laid out far flatter than any size makes it. */
static void lengths_of_flat_ellipses(void **state)
{
    (void)state;
    static const Stretch2 stretches[] = {{1, 1}, {2, 1}, {1, 3}, {0.5, 2.5}, {1.7, 0.2}};
    Drawn drawn = drawn_of(paris, last_280, CIRCLE, "scale", 5);
    const RecordList *edges = &drawn.style->lists[SUBJECT_EDGE];
    const Record *edge = record_find(edges, "part.line");
    for (size_t i = 0; i < ROWS(stretches); i++) {
        Arena arena = {0};
        double *strips = ARENA_NEW(&arena, double, edges->count);
        const Lay *lay = lay_out(&arena, drawn.style, stretches[i], strips);
        double x = circle * stretches[i].along, y = circle * stretches[i].across;
        double a = fmax(x, y), b = fmin(x, y);
        double expected = 2 * a * gsl_sf_ellint_Ecomp(sqrt(1 - b * b / (a * a)), GSL_PREC_DOUBLE);
        /* chords within 0.01 mm of the circle are shorter than it by 8/3 0.01^2/R a chord */
        check_worked("half an ellipse", line_length(&lay->of_edge[edge->index]->line), expected,
                     1e-3 * expected, legendre);
        arena_free(&arena);
    }
    drawn_free(&drawn);
}

/* ---- Rows beside arcs ---- */

static void rows_beside_arcs(void **state)
{
    (void)state;
    /* rounded and hollow, quarter and half turns */
    static const struct {
        const char *line, *rest;
        double radius, angle;
    } arcs[] = {
        {"M 40 0 A 40 40 0 0 1 -40 0", "M -40 0 H 40", 38, M_PI},
        {"M 10 0 A 10 10 0 0 1 0 10", "M 0 10 H -10 V -10 H 10 V 0", 8, M_PI_2},
        {"M -30 0 A 30 30 0 0 1 30 0", "M 30 0 H 60 V -60 H -60 V 0 H -30", 32, M_PI},
        {"M 0 25 A 25 25 0 0 1 -25 0", "M -25 0 H -60 V 60 H 0 V 25", 27, M_PI_2},
    };
    for (size_t i = 0; i < ROWS(arcs); i++) {
        Drawn drawn = drawn_of(paris, last_280, arcs[i].line, arcs[i].rest, "scale", 5);
        const RowLine *rows;
        assert_int_equal(measured_rows(drawn.measured, measured_base_size(drawn.measured), &rows),
                         1);
        /* chords are within 0.01 mm of their arc: the ones at its ends lean by up to 2.6 degrees,
         * which 2 mm beside is 0.09 mm at each end */
        check_worked("length of a row", line_length(&rows[0].line), arcs[i].radius * arcs[i].angle,
                     0.18, parallel);
        drawn_free(&drawn);
    }
}

/* Quarter and half circles, and rows beside them on either side: L - d angle, L + d angle. */
static const struct {
    double radius, beside, inner, outer;
    bool half;
} beside_circles[] = {
    {20, 4, 25.13274, 37.69911, false},
    {20, 5, 23.562, 39.270, false},
    {10, 4, 18.850, 43.982, true},
    {30, 6.35, 37.149, 57.098, false},
};

static double row_length(const char *line, const char *rest, double beside)
{
    const RowLine *rows;
    Drawn drawn = drawn_beside(paris, last_280, line, rest, "scale", 5, beside);
    assert_int_equal(measured_rows(drawn.measured, measured_base_size(drawn.measured), &rows), 1);
    double length = line_length(&rows[0].line);
    drawn_free(&drawn);
    return length;
}

/* The part within the circle has the row inside, the part around it outside. */
static void rows_beside_circles(void **state)
{
    static const char *const forms[2][2][2] = {
        {{"M %1$g 0 A %1$g %1$g 0 0 1 0 %1$g", "M 0 %1$g H -60 V -60 H %1$g V 0"},
         {"M 0 %1$g A %1$g %1$g 0 0 1 -%1$g 0", "M -%1$g 0 H -90 V 90 H 0 V %1$g"}},
        {{"M %1$g 0 A %1$g %1$g 0 0 1 -%1$g 0", "M -%1$g 0 V -60 H %1$g V 0"},
         {"M -%1$g 0 A %1$g %1$g 0 0 1 %1$g 0", "M %1$g 0 H 60 V -60 H -60 V 0 H -%1$g"}},
    };
    (void)state;
    for (size_t i = 0; i < ROWS(beside_circles); i++)
        for (int around = 0; around < 2; around++) {
            char line[200], rest[200];
            double radius = beside_circles[i].radius, beside = beside_circles[i].beside;
            const char *const *form = forms[beside_circles[i].half][around];
            snprintf(line, sizeof line, form[0], radius);
            snprintf(rest, sizeof rest, form[1], radius);
            check_worked("length of a row", row_length(line, rest, beside),
                         around ? beside_circles[i].outer : beside_circles[i].inner, 0.09 * beside,
                         parallel);
        }
}

/* ---- A clothoid ---- */

/* Place of the clothoid at `s`; returns x. */
static double clothoid(double s, double a, double *y)
{
    enum { STEPS = 2000 };
    double x = 0;
    *y = 0;
    for (int i = 0; i <= STEPS; i++) {
        double t = s * i / STEPS, weight = i == 0 || i == STEPS ? 1 : i % 2 ? 4 : 2;
        x += weight * cos(t * t / (2 * a * a));
        *y += weight * sin(t * t / (2 * a * a));
    }
    *y *= s / STEPS / 3;
    return x * s / STEPS / 3;
}

/* R s = A^2: drawn with curves of the same tangents, 40 mm of it end at R = 10 mm. */
static void end_of_a_clothoid(void **state)
{
    static const char source[] = "surveying handbook, clothoid: R s = A^2; co-ordinates by "
                                 "Simpson's rule";
    enum { PIECES = 20 };
    const double length = 40, a = sqrt(10 * length), step = length / PIECES;
    char line[4096] = "M 0 0", rest[128];
    double x = 0, y = 0, angle = 0;
    (void)state;
    for (int i = 1; i <= PIECES; i++) {
        double there, next = pow(i * step, 2) / (2 * a * a);
        double here = clothoid(i * step, a, &there);
        double arm = step / 3 * (1 + pow(next - angle, 2) / 48);
        snprintf(line + strlen(line), sizeof line - strlen(line),
                 " C %.9f %.9f %.9f %.9f %.9f %.9f", x + arm * cos(angle), y + arm * sin(angle),
                 here - arm * cos(next), there - arm * sin(next), here, there);
        x = here;
        y = there;
        angle = next;
    }
    snprintf(rest, sizeof rest, "M %.9f %.9f V 100 H -50 V 0 H 0", x, y);
    Drawn drawn = drawn_of(paris, last_280, line, rest, "hold", 5);
    check_worked("length", cell(&drawn, EDGE_LENGTH, "part.line", 6), length, 2e-3, source);
    check_worked("turn", cell(&drawn, BEND_TURN, "part.line.1", 6), length * length / (2 * a * a),
                 0.02, source);
    check_worked("sharpest radius", cell(&drawn, BEND_RADIUS, "part.line.1", 6), 10, 0.1, source);
    drawn_free(&drawn);
}

/* ---- Published sizes ---- */

#define STRAIGHT "M 0 0 H 100", "M 100 0 V 50 H 0 V 0"

/* Length and joint girth as printed, in; of adults from 1, of children from 1 and 10. */
static const struct {
    const char *sizes, *last;
    double girth_step, lengths[10], girths[10];
    uint32_t count, base;
} printed[] = {
    {"{system: english, base: 4, from: 1, to: 6}",
     "{code: L, length: 245.533333 mm, girth: 203.2 mm}",
     25.4 / 4,
     {26 / 3.0, 9, 28 / 3.0, 29 / 3.0, 10, 31 / 3.0},
     {7.25, 7.5, 7.75, 8, 8.25, 8.5},
     6,
     3},
    {"{system: english, base: 5, from: 1, to: 10}",
     "{code: L, length: 143.933333 mm, girth: 134.9375 mm}",
     25.4 * 3 / 16,
     {13 / 3.0, 14 / 3.0, 5, 16 / 3.0, 17 / 3.0, 6, 19 / 3.0, 20 / 3.0, 7, 22 / 3.0},
     {4.5625, 4.75, 4.9375, 5.125, 5.3125, 5.5, 5.6875, 5.875, 6.0625, 6.25},
     10,
     4},
    {"{system: english, base: 12, from: 10, to: 13}",
     "{code: L, length: 203.2 mm, girth: 171.45 mm}",
     25.4 / 4,
     {22 / 3.0, 23 / 3.0, 8, 25 / 3.0},
     {6.25, 6.5, 6.75, 7},
     4,
     2},
};

static void lasts_of_the_handbook(void **state)
{
    (void)state;
    for (size_t i = 0; i < ROWS(printed); i++) {
        Drawn drawn =
            drawn_of(printed[i].sizes, printed[i].last, STRAIGHT, "scale", printed[i].girth_step);
        assert_int_equal(drawn.columns->lane_count, printed[i].count);
        for (uint32_t lane = 0; lane < printed[i].count; lane++) {
            double along = printed[i].lengths[lane] / printed[i].lengths[printed[i].base];
            double across = printed[i].girths[lane] / printed[i].girths[printed[i].base];
            check("length of a last", cell(&drawn, LAST_LENGTH, "", lane),
                  inch * printed[i].lengths[lane], 1e-6, golding);
            check("girth of a last", cell(&drawn, LAST_GIRTH, "", lane),
                  inch * printed[i].girths[lane], 1e-9, golding);
            check_worked("a line along", cell(&drawn, EDGE_LENGTH, "part.line", lane), 100 * along,
                         1e-3, golding);
            check_worked("two across, one along", cell(&drawn, EDGE_LENGTH, "part.rest", lane),
                         100 * along + 100 * across, 1e-3, golding);
        }
        drawn_free(&drawn);
    }
}

static const struct {
    const char *sizes;
    double step;    /* mm from one lane to the next */
    double rounder; /* girth steps from one lane to the next */
    const char *source;
} systems[] = {
    {"{system: paris-point, base: 42, from: 40, to: 44}", 20.0 / 3, 1,
     "ISO/TS 19407:2015, Footwear, sizing: two thirds of a centimetre"},
    {"{system: paris-point, base: 42, from: 40, to: 44, step: 0.5}", 10.0 / 3, 0.5,
     "ISO/TS 19407:2015, Footwear, sizing: two thirds of a centimetre, halved"},
    {"{system: english, base: 8, from: 7, to: 9, step: 0.5}", 25.4 / 6, 0.5,
     "T. Senthil Kumar, Shoe sizing systems: half sizes, one sixth of an inch"},
    {"{system: mondopoint, base: 270, from: 260, to: 280, step: 5}", 5, 1,
     "ISO 9407, Mondopoint: millimetres, in steps of 5"},
};

static void steps_of_the_systems(void **state)
{
    (void)state;
    for (size_t i = 0; i < ROWS(systems); i++) {
        Drawn drawn = drawn_of(systems[i].sizes, last_280, STRAIGHT, "scale", 5);
        for (uint32_t lane = 1; lane < drawn.columns->lane_count; lane++) {
            check_worked("step",
                         cell(&drawn, LAST_LENGTH, "", lane) -
                             cell(&drawn, LAST_LENGTH, "", lane - 1),
                         systems[i].step, 1e-9, systems[i].source);
            check_worked("girth",
                         cell(&drawn, LAST_GIRTH, "", lane) -
                             cell(&drawn, LAST_GIRTH, "", lane - 1),
                         5 * systems[i].rounder, 1e-9, systems[i].source);
            check_worked("drawn",
                         cell(&drawn, EDGE_LENGTH, "part.line", lane) -
                             cell(&drawn, EDGE_LENGTH, "part.line", lane - 1),
                         100 * systems[i].step / 280, 1.1e-3, systems[i].source);
        }
        drawn_free(&drawn);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(radii_of_a_stretched_circle),
        cmocka_unit_test(lengths_of_a_stretched_circle),
        cmocka_unit_test(lengths_of_flat_ellipses),
        cmocka_unit_test(rows_beside_arcs),
        cmocka_unit_test(rows_beside_circles),
        cmocka_unit_test(end_of_a_clothoid),
        cmocka_unit_test(lasts_of_the_handbook),
        cmocka_unit_test(steps_of_the_systems),
    };
    return checks_told(cmocka_run_group_tests(tests, NULL, NULL));
}

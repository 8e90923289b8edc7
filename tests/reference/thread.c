/* Thread sizes, thread consumption and seam strength against published values. */
#include "reference/check.h"

#include <gsl/gsl_const_mksa.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_math.h>

#include "measure/thread.h"

/* ---- consumption ---- */

static const char das[] = "A. K. Das, Calculate Amount of Sewing Thread Consumption, 2015";
static const char chart[] = "thread maker's technical bulletin, Estimating Thread Consumption, "
                            "with a machine maker's chart for 401";

/* Inches: thickness, stitches to the inch, thread to an inch of seam. */
static const struct {
    int stitch;
    double thickness, stitches, thread, tolerance;
    const char *source;
} consumption[] = {
    {101, 0.005, 9,  3.09, 5e-3, das                                                 },
    {301, 0.01,  10, 2.2,  5e-3, das                                                 },
    {401, 0.025, 10, 4.5,  5e-3,
     "textile course notes, Consumption Formula for Double Thread Chain Stitch, 2015"},
    {401, 0.055, 8,  4.88, 5e-3, chart                                               },
    {401, 0.060, 8,  4.96, 5e-3, chart                                               },
    {401, 0.065, 8,  5.04, 5e-3, chart                                               },
    {401, 0.070, 8,  5.12, 5e-3, chart                                               },
    {401, 0.075, 8,  5.20, 5e-3, chart                                               },
};

/* Shoe seams are thicker than cloth: mm, stitches to the inch, thread to a mm of seam. */
static const struct {
    double thickness, stitches, thread;
} shoe_seams[] = {{3, 8, 3.890}, {2, 10, 3.575}};

static void thread_to_a_length_of_seam(void **state)
{
    (void)state;
    for (size_t i = 0; i < ROWS(shoe_seams); i++) {
        double pitch = 25.4 / shoe_seams[i].stitches;
        check_worked("thread to a mm of seam",
                     thread_per_stitch(301, pitch, shoe_seams[i].thickness) / pitch,
                     shoe_seams[i].thread, 5e-4, "textile course notes: 301 takes 2 + 2TS");
    }
    for (size_t i = 0; i < ROWS(consumption); i++) {
        double pitch = 25.4 / consumption[i].stitches;
        double stitch =
            thread_per_stitch(consumption[i].stitch, pitch, 25.4 * consumption[i].thickness);
        check("thread to an inch of seam", stitch / pitch, consumption[i].thread,
              consumption[i].tolerance, consumption[i].source);
    }
}

/* Each formula is for the stitch type of its ISO 4915 number and no other. */
static void no_formula_for_other_types(void **state)
{
    static const int others[] = {0, 100, 103, 209, 300, 302, 304, 400, 402, 504, 602};
    (void)state;
    for (size_t i = 0; i < ROWS(others); i++) {
        assert_true(isnan(thread_per_stitch(others[i], 2.5, 3)));
        assert_true(isnan(thread_seam_strength(others[i], 50, 2.5)));
    }
    assert_true(isnan(thread_seam_strength(101, 50, 2.5)));
}

/* ---- numbering ---- */

static const char tickets_2[] = "course notes, Ticket Number of Sewing Thread";
static const char tickets_a[] = "course notes, Thread Ticket Number, 2017";
static const char tickets_b[] = "course notes, Thread Count and Ticket Number";

/* Single yarn's metric count, number of plies. */
static const struct {
    double count, plies, ticket, tolerance;
    const char *source;
} metric[] = {
    {80, 2, 120, 1e-9, tickets_b},
    {80, 4, 60,  1e-9, tickets_b},
    {60, 1, 180, 1e-9, tickets_b},
    {60, 2, 90,  1e-9, tickets_b},
    {60, 4, 45,  1e-9, tickets_b},
    {20, 3, 20,  1e-9, tickets_a},
    {30, 3, 30,  1e-9, tickets_a},
    {40, 2, 60,  1e-9, tickets_a},
    {60, 3, 60,  1e-9, tickets_a},
};

static void metric_tickets(void **state)
{
    (void)state;
    for (size_t i = 0; i < ROWS(metric); i++)
        check("metric ticket",
              thread_ticket_metric(metric[i].plies * thread_tex_of_metric(metric[i].count)),
              metric[i].ticket, metric[i].tolerance, metric[i].source);
}

static const struct {
    double count, plies, ticket;
} cotton[] = {
    {40, 2, 60},
    {40, 3, 40},
    {40, 4, 30},
    {60, 2, 90},
    {60, 3, 60},
    {60, 4, 45}
};

/* Grams of a kilometre, from hanks of 840 yards to the pound. */
static double tex_of_cotton(double count)
{
    double pounds = 1 / (count * 840 * 3 * GSL_CONST_MKSA_FOOT);
    return pounds * GSL_CONST_MKSA_POUND_MASS * 1e6;
}

static void cotton_tickets(void **state)
{
    (void)state;
    for (size_t i = 0; i < ROWS(cotton); i++)
        check("cotton ticket",
              thread_ticket_cotton(cotton[i].plies * tex_of_cotton(cotton[i].count)),
              cotton[i].ticket, 1e-3, tickets_2);
    check("cotton ticket of metric ticket 100", thread_ticket_cotton(3000.0 / 100), 59, 0.5,
          tickets_b);
}

/* Label tex of spun polyester is the yarn's, rounded: within 2 %. */
static const struct {
    double count, plies, label;
} spun[] = {{50, 2, 24}, {40, 3, 45}, {30, 2, 40}, {20, 3, 90}};

static void labels_of_spun_threads(void **state)
{
    (void)state;
    for (size_t i = 0; i < ROWS(spun); i++) {
        double ticket = 3 * spun[i].count / spun[i].plies;
        check("cotton ticket of the label", thread_ticket_cotton(spun[i].label), ticket,
              0.02 * ticket, "thread maker's table of spun polyester threads");
    }
}

/* Bonded filament and para-aramid: label tex is the raw size, at most a tenth less. */
static const struct {
    double denier, label;
    const char *source;
} filament[] = {
    {1260, 135, "thread maker's page on bonded nylon size 138: 420D/3 is sold as tex 135"},
    {400, 40, "A-A-55220, Thread, Para-aramid, Intermediate Modulus, 1995"},
    {800, 80, "A-A-55220, Thread, Para-aramid, Intermediate Modulus, 1995"},
    {1200, 120, "A-A-55220, Thread, Para-aramid, Intermediate Modulus, 1995"},
    {2000, 210, "A-A-55220, Thread, Para-aramid, Intermediate Modulus, 1995"},
};

static void labels_of_filament_threads(void **state)
{
    (void)state;
    for (size_t i = 0; i < ROWS(filament); i++)
        check("tex of the raw size, over its label",
              thread_tex_of_denier(filament[i].denier) / filament[i].label, 1.06, 0.06,
              filament[i].source);
}

static void factors_of_the_numbering(void **state)
{
    static const char bulletin[] = "thread maker's bulletin, Thread Numbering";
    (void)state;
    check("tex times cotton count", thread_ticket_cotton(3), 590.54, 5e-3, bulletin);
    check("tex times cotton count", thread_ticket_cotton(3), 590.5, 0.05,
          "course notes, Count Conversion of Yarn, 2012");
    check("tex times metric count", thread_tex_of_metric(1), 1000, 1e-9, bulletin);
    check("denier of one tex", thread_tex_of_denier(9), 1, 1e-12, bulletin);
    check("metric ticket of Nm 1", thread_ticket_metric(1000), 3, 1e-12, tickets_a);
}

static void tex_of_plied_yarn(void **state)
{
    (void)state;
    check("ticket of Nm 120/3", thread_ticket_metric(3 * thread_tex_of_metric(120)), 120, 1e-9,
          "encyclopaedia article on sewing thread: No. 120 is Nm 120/3 or 80/2");
    check("tex of Nm 80", thread_tex_of_metric(80), 12.5, 1e-12,
          "yarn maker's conversion table: Nm 80/2 = 12.5 tex x 2");
    check("ticket of 25 tex", thread_ticket_metric(25), 120, 1e-9,
          "encyclopaedia article on sewing thread: No. 120 is Nm 80/2");
}

/* The table cuts tex after the last digit, so one of it is the tolerance; the metric
 * count of 700 denier is itself rounded to 12.9. */
static const struct {
    double denier, tex, tolerance, metric;
} deniers[] = {{50, 5.6, 0.1, 180},    {75, 8.3, 0.1, 120},  {100, 11.1, 0.1, 90},
               {150, 16.6, 0.1, 60},   {200, 22.2, 0.1, 45}, {300, 33.4, 0.1, 30},
               {400, 44.4, 0.1, 22.5}, {500, 55.5, 0.1, 18}, {700, 77.7, 0.3, 12.9},
               {1000, 111, 1, 9},      {1500, 166, 1, 6},    {2000, 222, 1, 4.5}};

static void denier_tex_and_metric_count(void **state)
{
    static const char source[] = "thread trade chart, denier, tex and metric count";
    (void)state;
    for (size_t i = 0; i < ROWS(deniers); i++) {
        check("tex of denier", thread_tex_of_denier(deniers[i].denier), deniers[i].tex,
              deniers[i].tolerance, source);
        check("tex of metric count", thread_tex_of_metric(deniers[i].metric), deniers[i].tex,
              deniers[i].tolerance, source);
    }
}

/* ---- thickness ---- */

static double chord(double x, void *data)
{
    double radius = *(double *)data;
    return 2 * sqrt(fmax(0, radius * radius - x * x));
}

/* The round section holds the thread's mass at the packing said: tex is a mass
 * per length, so area x density x packing has to be it again. */
static void round_section_holds_the_mass(void **state)
{
    static const struct {
        double tex, density, packing;
    } threads[] = {
        {40,  1.38, 0.6 },
        {70,  1.14, 0.6 },
        {135, 1.38, 0.75}
    };
    gsl_integration_workspace *space = gsl_integration_workspace_alloc(200);
    (void)state;
    assert_non_null(space);
    for (size_t i = 0; i < ROWS(threads); i++) {
        double radius = thread_diameter(threads[i].tex, threads[i].density, threads[i].packing) / 2;
        gsl_function function = {chord, &radius};
        double mm2, error;
        assert_int_equal(
            gsl_integration_qags(&function, -radius, radius, 0, 1e-9, 200, space, &mm2, &error), 0);
        double grams_a_kilometre = mm2 * 1000 * threads[i].density * threads[i].packing;
        check_worked("tex of the section", grams_a_kilometre, threads[i].tex, 1e-7 * threads[i].tex,
                     "GNU Scientific Library, gsl_integration_qags");
    }
    gsl_integration_workspace_free(space);
}

/* ---- strength ---- */

static const char spi[] = "thread maker's bulletin on stitches per inch";
static const char heavy[] = "thread maker's bulletin on the strength of industrial sewing thread";

/* Pounds: thread strength, strength of an inch of seam. */
static const struct {
    int stitch;
    double stitches, thread, seam, tolerance;
    const char *source;
} strengths[] = {
    {301, 10, 4.0, 60,   1e-6,       spi  },
    {401, 10, 4.0, 68,   1e-6,       spi  },
    {301, 6,  2.6, 23.4, 0.05,       spi  },
    {301, 8,  2.6, 31.2, 0.05,       spi  },
    {301, 10, 2.6, 39,   0.5,        spi  },
    {301, 12, 2.6, 46.8, 0.05,       spi  },
    {301, 6,  2.2, 20,   0.5,        spi  },
    {301, 8,  2.2, 26,   0.5,        spi  },
    {301, 10, 2.2, 33,   0.5,        spi  },
    {301, 12, 2.2, 40,   0.5,        spi  },
    {401, 5,  35,  297,  0.5 + 1e-9, heavy},
};

static void seam_strength_from_the_thread(void **state)
{
    (void)state;
    for (size_t i = 0; i < ROWS(strengths); i++) {
        double newtons = strengths[i].thread * GSL_CONST_MKSA_POUND_FORCE;
        double seam =
            thread_seam_strength(strengths[i].stitch, newtons, 25.4 / strengths[i].stitches);
        check("strength of an inch of seam", seam * 25.4 / GSL_CONST_MKSA_POUND_FORCE,
              strengths[i].seam, strengths[i].tolerance, strengths[i].source);
    }
}

/* The same in N to the mm, with thread strengths in pounds. */
static const struct {
    int stitch;
    double thread, pitch, seam, tolerance;
} metric_strengths[] = {
    {301, 4.0, 2.54, 10.51, 5e-3},
    {401, 4.0, 2.54, 11.91, 5e-3},
    {401, 35, 5.08, 52.1, 0.05},
    {301, 11, 2.5, 29.4, 0.05},
};

static void seam_strength_in_newtons_to_the_mm(void **state)
{
    (void)state;
    for (size_t i = 0; i < ROWS(metric_strengths); i++)
        check_worked("strength of a mm of seam",
                     thread_seam_strength(metric_strengths[i].stitch,
                                          metric_strengths[i].thread * GSL_CONST_MKSA_POUND_FORCE,
                                          metric_strengths[i].pitch),
                     metric_strengths[i].seam, metric_strengths[i].tolerance, spi);
}

static void half_as_many_stitches_again(void **state)
{
    (void)state;
    check("strength at 4.5 against 3 stitches a cm",
          thread_seam_strength(301, 50, 10 / 4.5) / thread_seam_strength(301, 50, 10 / 3.0), 1.5,
          1e-9, "thread maker's bulletin, Seam Strength, 2017: about 50 % more");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(thread_to_a_length_of_seam),
        cmocka_unit_test(no_formula_for_other_types),
        cmocka_unit_test(metric_tickets),
        cmocka_unit_test(cotton_tickets),
        cmocka_unit_test(labels_of_spun_threads),
        cmocka_unit_test(labels_of_filament_threads),
        cmocka_unit_test(factors_of_the_numbering),
        cmocka_unit_test(tex_of_plied_yarn),
        cmocka_unit_test(denier_tex_and_metric_count),
        cmocka_unit_test(round_section_holds_the_mass),
        cmocka_unit_test(seam_strength_from_the_thread),
        cmocka_unit_test(seam_strength_in_newtons_to_the_mm),
        cmocka_unit_test(half_as_many_stitches_again),
    };
    return checks_told(cmocka_run_group_tests(tests, NULL, NULL));
}

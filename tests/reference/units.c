/* Units and pitch conversions against published values. */
#include "reference/check.h"

#include <gsl/gsl_const_mksa.h>
#include <gsl/gsl_math.h>
#include <string.h>

#include "quantity/quantity.h"

static const Unit *unit(const char *name)
{
    const Unit *found = unit_find(name, strlen(name));
    assert_non_null(found);
    return found;
}

/* What a style's text means, in base units (mm). */
static double read_length(const char *text)
{
    const QuantityForm form = {
        .dimension = DIMENSION_LENGTH, .reciprocal = true, .needle = true, .shown = unit("mm")};
    Quantity quantity;
    Text problem = {0};

    if (!quantity_read(text, strlen(text), &form, &quantity, &problem))
        fail_msg("%s: %s", text, text_string(&problem));
    text_free(&problem);
    return quantity.nominal;
}

static const struct {
    const char *text;
    double mm, tolerance;
    const char *source;
} lengths[] = {
    {"1 oz", 0.396875, 5e-7, "leather trade conversion tables, three agreeing: 1 oz is 1/64 in"},
    {"16 oz", 25.4 / 4, 5e-7, "leather trade conversion table: 16 oz = 12 iron = 1/4 in"},
    {"6 oz", 4.5 * 25.4 / 48, 5e-7,
     "leather trade conversion table: 6 oz = 4.5 iron, 1/48 in each"},
    {"3 oz", 1.2, 0.05, "leather trade table of upper substances: 3 to 5 oz, 1.2 to 2.0 mm"},
    {"5 oz", 2.0, 0.05, "leather trade table of upper substances: 3 to 5 oz, 1.2 to 2.0 mm"},
    {"10.16 /in", 2.5, 5e-4, "course notes on stitch length: 2.5 mm is 10.16 to the inch"},
    {"110 Nm", 1.10, 1e-12, "course notes, Needle Number System: Nm 110 = 1.10 mm"},
    {"50 Nm", 0.50, 1e-12, "course notes, Needle Number System: Nm 50 = 0.50 mm"},
    {"Nm 90", 0.9, 1e-12, "test house bulletin, Successful Needle Selection: 0.9 mm = size 90"},
    {"3/16 in", 5, 0.5, "paper on shoes for feet at risk, 2018: added depth of 5 mm, 3/16 in"},
};

/* Among them inches to trimmed edges of a machine maker's brochure, and stitches of a
 * specification of army and navy shoes. */
static const struct {
    const char *text;
    double mm, tolerance;
} worked_lengths[] = {
    {"1 in", 1000 * GSL_CONST_MKSA_INCH, 1e-12},
    {"1 /in", 1000 * GSL_CONST_MKSA_INCH, 1e-12},
    {"8 oz", 1000 * GSL_CONST_MKSA_INCH / 8, 1e-12},
    {"0.015 in", 0.38, 5e-3},
    {"0.025 in", 0.64, 6e-3},
    {"0.035 in", 0.89, 5e-3},
    {"0.050 in", 1.27, 5e-3},
    {"0.060 in", 1.52, 5e-3},
    {"0.075 in", 1.91, 6e-3},
    {"14 /in", 1.814, 5e-4},
};

static void lengths_as_published(void **state)
{
    (void)state;
    for (size_t i = 0; i < ROWS(lengths); i++)
        check(lengths[i].text, read_length(lengths[i].text), lengths[i].mm, lengths[i].tolerance,
              lengths[i].source);
    for (size_t i = 0; i < ROWS(worked_lengths); i++)
        check_worked(worked_lengths[i].text, read_length(worked_lengths[i].text),
                     worked_lengths[i].mm, worked_lengths[i].tolerance,
                     "GNU Scientific Library, inch");
}

static const struct {
    const char *unit;
    double base, number, tolerance;
    const char *source;
} shown[] = {
    {"/in", 1 / 2.5, 10.16, 5e-3, "course notes on stitch length: 2.5 mm is 10.16 to the inch"},
    {"Nm", 0.9, 90, 1e-9, "test house bulletin, Successful Needle Selection: 0.9 mm = size 90"},
    {"oz", 25.4 / 4, 16, 1e-9, "leather trade conversion table: 16 oz = 12 iron = 1/4 in"},
    {"bar", 0.393 * GSL_CONST_MKSA_GRAV_ACCEL / (M_PI * 5 * 5), 0.49, 5e-3,
     "ISO 2589:2016, leather thickness: 393 g on 10 mm; 49 kPa in a test house bulletin"},
};

static const struct {
    const char *unit;
    double base, number;
} worked_units[] = {
    {"min", GSL_CONST_MKSA_MINUTE, 1},
    {"bar", GSL_CONST_MKSA_BAR / 1e6, 1}, /* Pa to N/mm2 */
    {"deg", M_PI, 180},
};

static void values_as_published_in_other_units(void **state)
{
    (void)state;
    for (size_t i = 0; i < ROWS(shown); i++)
        check(shown[i].unit, unit_from_base(unit(shown[i].unit), shown[i].base), shown[i].number,
              shown[i].tolerance, shown[i].source);
    for (size_t i = 0; i < ROWS(worked_units); i++)
        check_worked(worked_units[i].unit,
                     unit_from_base(unit(worked_units[i].unit), worked_units[i].base),
                     worked_units[i].number, 1e-12, "GNU Scientific Library");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lengths_as_published),
        cmocka_unit_test(values_as_published_in_other_units),
    };
    return checks_told(cmocka_run_group_tests(tests, NULL, NULL));
}

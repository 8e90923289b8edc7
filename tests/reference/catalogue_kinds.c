/* Ranges of the catalogue of materials against the published figures they cite. */
#include "reference/check.h"

#include <string.h>

#include "catalogue/catalogue.h"

/* Ends of a range that are printed; NaN: that end is not. `cited` is what the catalogue
 * must go on saying of it. */
static const struct {
    const char *kind;
    FieldId field;
    double from, to;
    const char *unit, *cited;
} ranges[] = {
    {"calf-upper", MATERIAL_HEAT_LIMIT, 100, 120, "°C",
     "May and Jones (eds), Conservation Science"},
    {"kid-upper", MATERIAL_HEAT_LIMIT, 100, 120, "°C", "May and Jones (eds), Conservation Science"},
    {"side-upper", MATERIAL_HEAT_LIMIT, 100, 120, "°C",
     "May and Jones (eds), Conservation Science"},
    {"suede-split", MATERIAL_HEAT_LIMIT, 100, 120, "°C",
     "May and Jones (eds), Conservation Science"},
    {"nubuck", MATERIAL_HEAT_LIMIT, 100, 120, "°C", "May and Jones (eds), Conservation Science"},
    {"calf-lining", MATERIAL_HEAT_LIMIT, 100, 120, "°C",
     "May and Jones (eds), Conservation Science"},
    {"veg-upper", MATERIAL_HEAT_LIMIT, 67, 81, "°C", "Heritage Science 2019"},
    {"insole-leather", MATERIAL_HEAT_LIMIT, 67, 81, "°C", "Heritage Science 2019"},
    {"polyamide-cloth", MATERIAL_HEAT_LIMIT, NAN, 120, "°C", "polyamide works up to about 120 °C"},
    {"webbing", MATERIAL_HEAT_LIMIT, NAN, 120, "°C", "polyamide works up to about 120 °C"},
    {"polyamide-thread", MATERIAL_HEAT_LIMIT, NAN, 120, "°C", "polyamide works up to about 120 °C"},
    {"eva-foam", MATERIAL_HEAT_LIMIT, 61, 76, "°C", "trade article on EVA foam"},
    {"eva-foam", MATERIAL_DENSITY, 0.10, 0.35, "g/cm3", "trade article on EVA foam"},
    {"pu-foam", MATERIAL_DENSITY, 25, NAN, "kg/m3", "collar foam of 25 kg/m3"},
    {"calf-upper", MATERIAL_THICKNESS, 1.0, NAN, "mm", "dress uppers are split to 1.0 to 1.2 mm"},
    {"side-upper", MATERIAL_THICKNESS, 1.2, 2.0, "mm", "uppers usually 1.2 to 2.0 mm"},
    {"nubuck", MATERIAL_THICKNESS, 1.2, 2.0, "mm", "uppers usually 1.2 to 2.0 mm"},
    {"veg-upper", MATERIAL_THICKNESS, 1.2, 2.0, "mm", "uppers usually 1.2 to 2.0 mm"},
    {"side-upper-heavy", MATERIAL_THICKNESS, 1.6, 2.2, "mm", "protective footwear 1.6 to 2.2 mm"},
    {"skiver", MATERIAL_THICKNESS, 0.25, 1.0, "mm", "Etherington and Roberts"},
    {"insole-leather", MATERIAL_THICKNESS, 3, 5, "mm",
     "insoles 3.5 to 5 mm; a maker of welted shoes takes 3 mm"},
    {"coated-cloth", MATERIAL_THICKNESS, 0.7, 1.4, "mm", "three grades, 0.7, 1.2 and 1.4 mm"},
    {"insole-board", MATERIAL_THICKNESS, 1.9, 2.2, "mm", "Russian patent 2412630"},
    {"fibre-board", MATERIAL_THICKNESS, NAN, 3.5, "mm", "welted insole board 2 to 3.5 mm"},
    {"coated-cloth", MATERIAL_BREAKS_AT, 7, NAN, "%", "at least 7 % along the warp"},
    {"calf-upper", MATERIAL_BREAKS_AT, NAN, 75, "%", "at most 75 % by a buyer's test requirement"},
    {"side-upper", MATERIAL_BREAKS_AT, NAN, 75, "%", "at most 75 % by a buyer's test requirement"},
    {"veg-upper", MATERIAL_BREAKS_AT, NAN, 50, "%", "at most 50 % for vegetable tanned leather"},
    {"elastic-goring", MATERIAL_BREAKS_AT, 100, 200, "%", "100 to 200 %"},
    {"overlay-film", MATERIAL_BREAKS_AT, NAN, 600, "%", "stretches up to 600 %"},
    {"polyester-thread", MATERIAL_BREAKS_AT, NAN, 35, "%", "A-A-52095B (2008)"},
};

static Catalogue *shipped(void)
{
    Messages messages = {0};
    Catalogue *catalogue = catalogue_read("rules/catalogue/materials.yaml", &messages);
    if (!catalogue)
        messages_write(&messages, stderr);
    messages_free(&messages);
    assert_non_null(catalogue);
    return catalogue;
}

static const CatalogueKind *kind_named(const Catalogue *catalogue, const char *id)
{
    for (size_t i = 0; i < catalogue->count; i++)
        if (strcmp(catalogue->kinds[i].record->id, id) == 0)
            return &catalogue->kinds[i];
    fail_msg("the catalogue has no %s", id);
    return NULL;
}

/* Several kinds cite one figure: it is one check. */
static bool cited_before(size_t row)
{
    for (size_t i = 0; i < row; i++)
        if (ranges[i].field == ranges[row].field && strcmp(ranges[i].cited, ranges[row].cited) == 0)
            return true;
    return false;
}

static void end_of_a_range(size_t row, double got, double printed)
{
    const Unit *unit = unit_find(ranges[row].unit, strlen(ranges[row].unit));
    assert_non_null(unit);
    if (isnan(printed))
        return;
    (cited_before(row) ? near_enough : check)(ranges[row].kind, unit_from_base(unit, got), printed,
                                              1e-9, ranges[row].cited);
}

static void ranges_are_what_they_cite(void **state)
{
    (void)state;
    Catalogue *catalogue = shipped();
    for (size_t i = 0; i < ROWS(ranges); i++) {
        const CatalogueKind *kind = kind_named(catalogue, ranges[i].kind);
        const Value *value = record_value(kind->record, ranges[i].field);
        const char *source = kind->sources[ranges[i].field - kind->record->first];
        if (!source || !strstr(source, ranges[i].cited))
            fail_msg("%s: the source no longer says \"%s\"", ranges[i].kind, ranges[i].cited);
        assert_int_equal(value->presence, VALUE_KNOWN);
        end_of_a_range(i, value->quantity.lo, ranges[i].from);
        end_of_a_range(i, value->quantity.hi, ranges[i].to);
    }
    catalogue_free(catalogue);
}

/* Of two published shrinkage temperatures of vegetable tanned leather, the lower. */
static void vegetable_tanned_leather_by_the_cautious_source(void **state)
{
    (void)state;
    Catalogue *catalogue = shipped();
    const CatalogueKind *kind = kind_named(catalogue, "veg-upper");
    const char *source = kind->sources[MATERIAL_HEAT_LIMIT - kind->record->first];
    assert_non_null(strstr(source, "67 to 81 °C"));
    assert_non_null(strstr(source, "the 75 to 85 °C of May and Jones is less cautious"));
    check("°C", record_value(kind->record, MATERIAL_HEAT_LIMIT)->quantity.lo, fmin(67, 75), 1e-9,
          "Heritage Science 2019 and May and Jones");
    catalogue_free(catalogue);
}

/* Leather of a collar's lining is 0.8 mm thick by a trade article. */
static void linings_hold_the_printed_thickness(void **state)
{
    static const char *const linings[] = {"calf-lining", "pigskin-lining", "pigskin-suede-lining"};
    (void)state;
    Catalogue *catalogue = shipped();
    for (size_t i = 0; i < ROWS(linings); i++) {
        const CatalogueKind *kind = kind_named(catalogue, linings[i]);
        const Value *value = record_value(kind->record, MATERIAL_THICKNESS);
        assert_non_null(strstr(kind->sources[MATERIAL_THICKNESS - kind->record->first], "0.8 mm"));
        assert_true(value->quantity.lo <= 0.8 && 0.8 <= value->quantity.hi);
    }
    checks_printed++;
    catalogue_free(catalogue);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ranges_are_what_they_cite),
        cmocka_unit_test(vegetable_tanned_leather_by_the_cautious_source),
        cmocka_unit_test(linings_hold_the_printed_thickness),
    };
    return checks_told(cmocka_run_group_tests(tests, NULL, NULL));
}

/* Every shipped limit and table that is marked published against what its source prints;
 * where two sources disagree, that the cautious one was taken and the file says so; and
 * that nothing recalled or unpublished is marked published. */
#include "reference/rules_place.h"

static double base_units(double number, const char *unit)
{
    const Unit *found = unit ? unit_find(unit, strlen(unit)) : NULL;
    assert_true(!unit || found);
    return found ? unit_to_base(found, number) : number;
}

static const Limit *limit_named(const Place *place, const char *name)
{
    const Limit *limit = rules_limit(place->rules, name);
    if (!limit)
        fail_msg("there is no limit %s", name);
    return limit;
}

/* Of one word; "else", and NULL where a limit goes by none, are what holds otherwise. */
static const LimitValue *value_for(const Limit *limit, const char *word)
{
    if (!word || strcmp(word, "else") == 0)
        return &limit->otherwise;
    const WordList *list = field_at(limit->by)->words;
    int index = list ? word_index(list, word, strlen(word)) : -1;
    if (index < 0)
        fail_msg("%s goes by no word %s", limit->name, word);
    return &limit->values[index];
}

static void cites(const char *what, const char *source, const char *words)
{
    if (!source || !strstr(source, words))
        fail_msg("%s: its source no longer says \"%s\" but: %s", what, words,
                 source ? source : "nothing");
}

/* ---- Limits that are marked published ---- */

/* `from` and `to`: what is printed; the same where it is one number. `cited`: what the
 * limit's own source must go on naming. `worked`: the source prints what the number was
 * worked out from. */
static const struct {
    const char *limit, *word;
    double from, to;
    const char *unit, *cited;
    bool worked;
} published[] = {
    {"closed_allowance_least", "leather", 1.5, 1.5, "mm",
     "course notes on seams, 2018: 1.5 mm closed", false},
    {"closed_allowance_least", "suede", 1.5, 1.5, "mm",
     "course notes on seams, 2018: 1.5 mm closed", false},
    {"closed_allowance_least", "nubuck", 1.5, 1.5, "mm",
     "course notes on seams, 2018: 1.5 mm closed", false},
    {"end_overlap_least", NULL, 2, 2, NULL,
     "closing handout of a training institute: 2 to 3 stitches", false},
    {"end_overlap_most", NULL, 3, 3, NULL,
     "closing handout of a training institute: 2 to 3 stitches", false},
    {"eye_over_thread_least", NULL, 1.4, 1.4, NULL, "about 40 % wider than the thread", false},
    {"film_heat_least", "polyurethane", 120, 120, "°C", "flow from 120 °C only", false},
    {"film_heat_least", "copolyester", 130, 130, "°C", "copolyester 130 to 180 °C", false},
    {"film_heat_most", "polyurethane", 135, 135, "°C", "polyurethane flows up to 135 °C", false},
    {"film_heat_most", "copolyester", 180, 180, "°C", "copolyester 130 to 180 °C", false},
    {"fold_allowance_textile_least", NULL, 6, 6, "mm", "6.0 to 6.5 mm for heavy leather or fabric",
     false},
    {"fold_skive_width_least", NULL, 2, 2, NULL,
     "London 1902: skive width twice the folded-in width", false},
    {"girth_step_english", NULL, 6.35, 6.35, "mm", "US patent 1948547 of 1934", false},
    {"girth_step_paris", NULL, 5, 5, "mm", "5 mm of ball girth a Paris point", false},
    {"hole_bridge_torn_least", NULL, 1.1 - 0.9, 1.1 - 0.9, "mm", "pitch 1.1 mm with a needle of 90",
     true},
    {"making_thread_waste", NULL, 15, 20, "%", "15 to 20 %", false},
    {"needle_off_table_most", NULL, 10, 20, "Nm", "10 to 20 hundredths", false},
    {"skive_left_least", NULL, 0.5, 0.5, "mm", "0.5 mm left for a fold", false},
    {"thread_heat_most", "polyamide", 120, 120, "°C", "polyamide about 120 °C in work", false},
    {"thread_heat_most", "polyester", 149, 149, "°C", "one page prints 149 °C for polyester",
     false},
    {"tolerance_leather", NULL, 0.2, 0.2, "mm", "course notes on leather grading: 0.2 mm", false},
    {"work_backstrap_least", NULL, 120, 120, "N/cm", "GOST R 12.4.187-97, 4.3.3", false},
    {"work_more_rows_least", NULL, 160, 160, "N/cm", "GOST R 12.4.187-97, 4.3.3", false},
    {"work_two_rows_least", NULL, 150, 150, "N/cm", "GOST R 12.4.187-97, 4.3.3", false},
};

/* Values under a published limit that its source itself says are not published. */
static const struct {
    const char *limit, *word, *admits;
} admitted[] = {
    {"closed_allowance_least", "coated", "common practice"},
    {"closed_allowance_least", "synthetic", "common practice"},
    {"closed_allowance_least", "woven", "textiles by common practice"},
    {"closed_allowance_least", "knit", "textiles by common practice"},
    {"closed_allowance_least", "mesh", "textiles by common practice"},
    {"closed_allowance_least", "spacer", "textiles by common practice"},
    {"closed_allowance_least", "else", "common practice"},
};

static void published_limits_are_what_is_printed(void **state)
{
    (void)state;
    Place place = place_new();
    for (size_t i = 0; i < ROWS(published); i++) {
        const char *name = published[i].limit, *word = published[i].word;
        const LimitValue *value = value_for(limit_named(&place, name), word);
        double from = base_units(published[i].from, published[i].unit);
        double to = base_units(published[i].to, published[i].unit);
        if (!value->given || value->basis != BASIS_PUBLISHED)
            fail_msg("%s (%s) is no longer marked published", name, word ? word : "all");
        cites(name, value->source, published[i].cited);
        (published[i].worked ? check_worked : check)(name, value->quantity.nominal, (from + to) / 2,
                                                     (to - from) / 2 + 1e-9, published[i].cited);
    }
    place_free(&place);
}

static bool same_word(const char *a, const char *b)
{
    return a && b ? strcmp(a, b) == 0 : a == b;
}

static void is_listed(const Limit *limit, const LimitValue *value, const char *word)
{
    if (!value->given || value->basis != BASIS_PUBLISHED)
        return;
    for (size_t i = 0; i < ROWS(published); i++)
        if (strcmp(published[i].limit, limit->name) == 0 && same_word(published[i].word, word))
            return;
    for (size_t i = 0; i < ROWS(admitted); i++)
        if (strcmp(admitted[i].limit, limit->name) == 0 && same_word(admitted[i].word, word)) {
            cites(limit->name, value->source, admitted[i].admits);
            return;
        }
    fail_msg("%s (%s) is marked published but stands in no list here: add what its source prints",
             limit->name, word ? word : "all");
}

/* A new published limit needs a line above; so does one that goes by a new word. */
static void every_published_limit_is_listed(void **state)
{
    (void)state;
    Place place = place_new();
    for (size_t i = 0; i < place.rules->limit_count; i++) {
        const Limit *limit = place.rules->limits[i];
        const WordList *list = limit->by == FIELD_ID_COUNT ? NULL : field_at(limit->by)->words;
        is_listed(limit, &limit->otherwise, limit->by == FIELD_ID_COUNT ? NULL : "else");
        for (size_t k = 0; list && k < list->count; k++)
            is_listed(limit, &limit->values[k], list->words[k]);
    }
    place_free(&place);
}

/* ---- Tables ---- */

static const RuleTable *table_named(const Place *place, const char *name)
{
    for (size_t i = 0; i < place->rules->table_count; i++)
        if (strcmp(place->rules->tables[i]->name, name) == 0)
            return place->rules->tables[i];
    fail_msg("there is no table %s", name);
    return NULL;
}

/* Least height of a low shoe, mm, by metric size, of nine groups of wearers. */
static const double orthopaedic[][2] = {{130, 41}, {155, 45}, {185, 49}, {225, 59}, {230, 60},
                                        {235, 61}, {240, 61}, {265, 65}, {270, 65}};

static void heights_of_low_shoes(void **state)
{
    static const char source[] = "Russian national standard, orthopaedic ready-made footwear, "
                                 "appendix B, table B.1";
    (void)state;
    Place place = place_new();
    const RuleTable *table = table_named(&place, "low_shoe_height");
    cites("low_shoe_height", table->source, "table B.1");
    assert_int_equal(table->count, ROWS(orthopaedic));
    for (size_t i = 0; i < ROWS(orthopaedic); i++)
        check("least height", table_value(table, orthopaedic[i][0]), orthopaedic[i][1], 1e-9,
              source);
    place_free(&place);
}

/* Allowances to fold: their widths are printed, the substances beside them are not. */
static const struct {
    double thickness, fold;
    const char *cited;
} folds[] = {
    {0.8, 3.5, "3.5 to 4 mm in light calf or kid"},
    {1.2, 4.0, "3.5 to 4 mm in light calf or kid"},
    {1.4, 4.0, "course notes on folding: 4 to 5 mm in general"},
    {2.0, 6.0, "6 to 6.5 in heavy leather"},
    {3.0, 6.0, "6 to 6.5 in heavy leather"},
};

static void allowances_to_fold(void **state)
{
    (void)state;
    Place place = place_new();
    const RuleTable *table = table_named(&place, "fold_allowance_for_thickness");
    assert_int_equal(table->basis, BASIS_PRACTICE);
    for (size_t i = 0; i < ROWS(folds); i++) {
        cites(table->name, table->source, folds[i].cited);
        check(table->name, table_value(table, folds[i].thickness), folds[i].fold, 1e-9,
              folds[i].cited);
    }
    place_free(&place);
}

/* Their rows are held to the print here or in rules_thread.c. */
static void every_published_table_is_listed(void **state)
{
    static const char *const listed[] = {"low_shoe_height", "needle_for_thread"};
    (void)state;
    Place place = place_new();
    for (size_t i = 0; i < place.rules->table_count; i++) {
        const RuleTable *table = place.rules->tables[i];
        bool found = table->basis != BASIS_PUBLISHED;
        for (size_t k = 0; k < ROWS(listed); k++)
            found |= strcmp(table->name, listed[k]) == 0;
        if (!found)
            fail_msg("the table %s is marked published but stands in no list here", table->name);
    }
    place_free(&place);
}

/* ---- Limits of practice that name a printed figure ---- */

static const struct {
    const char *limit, *word;
    double from, to;
    const char *unit, *cited;
} beside_print[] = {
    {"fold_clip_pitch_least", NULL, 2, 2, "mm", "cuts about 2 mm apart"},
    {"fold_unskived_most", NULL, 0.4, 0.8, "mm", "0.4 to 0.8 mm at a skived edge"},
    {"tolerance_skive", NULL, 0.1, 0.3, "mm", "0.1 to 0.3 mm for skiving by hand"},
    {"row_edge_least", NULL, 0.38, 1.91, "mm", "0.4 to 1.9 mm for trimmed edges"},
    {"lasting_margin_least", "strobel", 4, 4, "mm", "for strobel a trade page gives 4 to 6 mm"},
    {"lasting_margin_most", "strobel", 6, 6, "mm", "for strobel a trade page gives 4 to 6 mm"},
};

static void limits_that_name_a_figure_keep_to_it(void **state)
{
    (void)state;
    Place place = place_new();
    for (size_t i = 0; i < ROWS(beside_print); i++) {
        const char *name = beside_print[i].limit;
        const LimitValue *value = value_for(limit_named(&place, name), beside_print[i].word);
        double from = base_units(beside_print[i].from, beside_print[i].unit);
        double to = base_units(beside_print[i].to, beside_print[i].unit);
        cites(name, value->source, beside_print[i].cited);
        check(name, value->quantity.nominal, (from + to) / 2, (to - from) / 2 + 1e-9,
              beside_print[i].cited);
    }
    place_free(&place);
}

/* ---- Where sources disagree ---- */

/* The limit is the stricter of two, and its source names both. */
static const struct {
    const char *limit, *word;
    double one, other;
    const char *unit, *one_cited, *other_cited;
    bool higher; /* is stricter */
} disagreements[] = {
    {"fold_skive_width_least", NULL, 2, 1.5, NULL, "twice the folded-in width",
     "a leathergoods article uses 1.5 times, the wider is taken", true},
    {"making_thread_waste", NULL, 20, 15, "%",
     "thread maker's bulletin on estimating thread: 15 to 20 %", "10 to 15 %; the higher is taken",
     true},
    {"skive_left_least", NULL, 0.5, 0.4, "mm", "0.5 mm left for a fold",
     "0.4 to 0.8 at a seam edge", true},
    {"row_gap_least", NULL, 1.6, 0.8, "mm", "common gauges 1.6, 2.0 and 2.4 mm",
     "one trade page gives about 0.8 mm on boot tops, the cautious one is taken", true},
    {"girth_step_english", NULL, 25.4 / 4, 25.4 * 3 / 16, "mm", "1/4 in of ball girth a full size",
     "a handbook of 1902 has 3/16 in for small children", true},
    {"film_heat_least", "polyurethane", 120, 110, "°C",
     "flow from 120 °C only: the higher is taken", "polyurethane 110 to 150 °C", true},
    {"thread_heat_most", "polyester", 149, 250, "°C", "one page prints 149 °C for polyester",
     "melts at 250 to 260 °C; the lower is taken", false},
};

static void the_cautious_of_two_sources(void **state)
{
    (void)state;
    Place place = place_new();
    for (size_t i = 0; i < ROWS(disagreements); i++) {
        const char *name = disagreements[i].limit;
        const LimitValue *value = value_for(limit_named(&place, name), disagreements[i].word);
        double one = base_units(disagreements[i].one, disagreements[i].unit);
        double other = base_units(disagreements[i].other, disagreements[i].unit);
        cites(name, value->source, disagreements[i].one_cited);
        cites(name, value->source, disagreements[i].other_cited);
        check(name, value->quantity.nominal,
              disagreements[i].higher ? fmax(one, other) : fmin(one, other), 1e-9,
              disagreements[i].one_cited);
    }
    place_free(&place);
}

/* ---- Marks ---- */

static void marks_agree(const char *name, Basis basis, const char *source)
{
    static const char *const none[] = {"recalled from memory", "no published", "house value"};
    for (size_t i = 0; i < ROWS(none); i++)
        if (basis == BASIS_PUBLISHED && source && strstr(source, none[i]))
            fail_msg("%s is marked published, but its source says: %s", name, source);
}

static void what_is_unpublished_is_marked_so(void **state)
{
    (void)state;
    Place place = place_new();
    for (size_t i = 0; i < place.rules->limit_count; i++) {
        const Limit *limit = place.rules->limits[i];
        size_t words = limit->by == FIELD_ID_COUNT || !field_at(limit->by)->words
                           ? 0
                           : field_at(limit->by)->words->count;
        marks_agree(limit->name, limit->otherwise.basis, limit->otherwise.source);
        for (size_t k = 0; k < words; k++)
            marks_agree(limit->name, limit->values[k].basis, limit->values[k].source);
    }
    for (size_t i = 0; i < place.rules->table_count; i++)
        marks_agree(place.rules->tables[i]->name, place.rules->tables[i]->basis,
                    place.rules->tables[i]->source);
    place_free(&place);
}

/* Recalled and found in no publication: these must not be marked better. */
static void recalled_values_stay_marked(void **state)
{
    static const char *const recalled[] = {
        "lasting_margin_least",   "lasting_margin_most", "row_gap_least",
        "skive_left_share_least", "thread_density",      "trim_left_least",
        "trim_left_most",         "turned_sewn_least",   "turned_sewn_most"};
    (void)state;
    Place place = place_new();
    for (size_t i = 0; i < ROWS(recalled); i++) {
        const Limit *limit = limit_named(&place, recalled[i]);
        size_t words = limit->by == FIELD_ID_COUNT ? 0 : field_at(limit->by)->words->count;
        if (limit->otherwise.given)
            assert_int_equal(limit->otherwise.basis, BASIS_MEMORY);
        for (size_t k = 0; k < words; k++)
            if (limit->values[k].given)
                assert_int_equal(limit->values[k].basis, BASIS_MEMORY);
    }
    place_free(&place);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_limits_are_what_is_printed),
        cmocka_unit_test(every_published_limit_is_listed),
        cmocka_unit_test(heights_of_low_shoes),
        cmocka_unit_test(allowances_to_fold),
        cmocka_unit_test(every_published_table_is_listed),
        cmocka_unit_test(limits_that_name_a_figure_keep_to_it),
        cmocka_unit_test(the_cautious_of_two_sources),
        cmocka_unit_test(what_is_unpublished_is_marked_so),
        cmocka_unit_test(recalled_values_stay_marked),
    };
    return checks_told(cmocka_run_group_tests(tests, NULL, NULL));
}

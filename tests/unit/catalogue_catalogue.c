/* The catalogue as shipped: every kind reads as a style's material and says where it comes from.
 * Catalogues that are wrong: refused at their place. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "catalogue/catalogue.h"
#include "style/style.h"

static const char shipped[] = "rules/catalogue/materials.yaml";

static Catalogue *read_shipped(void)
{
    Messages messages = {0};
    Catalogue *catalogue = catalogue_read(shipped, &messages);
    for (size_t i = 0; i < messages.count; i++)
        print_error("%d: %s\n", messages.items[i].at.line, messages.items[i].text);
    assert_int_equal(messages.count, 0);
    assert_non_null(catalogue);
    messages_free(&messages);
    return catalogue;
}

/* ---- What is shipped ---- */

static bool says_where(const char *source)
{
    static const char *const unpublished[] = {"common practice, no published source",
                                              "recalled from memory, no published source"};
    for (size_t i = 0; i < 2; i++)
        if (strstr(source, unpublished[i]) != NULL)
            return true;
    return strstr(source, "no published") == NULL && strlen(source) > 20;
}

static void every_kind_says_where_it_comes_from(void **state)
{
    (void)state;
    Catalogue *catalogue = read_shipped();
    assert_true(catalogue->count >= 30);
    for (size_t i = 0; i < catalogue->count; i++) {
        const CatalogueKind *kind = &catalogue->kinds[i];
        assert_true(says_where(kind->source));
        assert_true(strlen(kind->means) > 8);
        for (FieldId id = kind->record->first; id < field_end(SUBJECT_MATERIAL); id++) {
            const char *source = kind->sources[id - kind->record->first];
            assert_true(source == NULL || says_where(source));
        }
    }
    catalogue_free(catalogue);
}

/* Whether it was tried here, and what its colour does, nobody knows of a kind. */
static void nothing_is_claimed_that_only_a_trial_tells(void **state)
{
    (void)state;
    static const char *const of_trials[] = {"tried", "bleeds", "strikes", "light", "holds"};
    Catalogue *catalogue = read_shipped();
    for (size_t i = 0; i < catalogue->count; i++)
        for (size_t k = 0; k < sizeof of_trials / sizeof *of_trials; k++) {
            FieldId id = field_find(SUBJECT_MATERIAL, of_trials[k], strlen(of_trials[k]));
            if (id != FIELD_ID_COUNT)
                assert_int_not_equal(record_value(catalogue->kinds[i].record, id)->presence,
                                     VALUE_KNOWN);
        }
    catalogue_free(catalogue);
}

static void every_kind_of_material_is_there(void **state)
{
    (void)state;
    const WordList *kinds = field_at(MATERIAL_KIND)->words;
    Catalogue *catalogue = read_shipped();
    for (size_t word = 0; word < kinds->count; word++) {
        size_t found = 0;
        for (size_t i = 0; i < catalogue->count; i++) {
            const Value *kind = record_value(catalogue->kinds[i].record, MATERIAL_KIND);
            assert_int_equal(kind->presence, VALUE_KNOWN);
            found += kind->code == (double)word;
        }
        if (found == 0)
            fail_msg("no %s in the catalogue", kinds->words[word]);
    }
    catalogue_free(catalogue);
}

#define BARE_STYLE                                                                                 \
    "cordwain: style/1\n"                                                                          \
    "name: Invented\n"                                                                             \
    "code: I-1\n"                                                                                  \
    "parts:\n"                                                                                     \
    "  vamp: {role: upper, material: unknown}\n"

/* What the style holds is what the catalogue says; where that is silent, it is unknown. */
static void compare_values(const CatalogueKind *kind, const Record *material)
{
    for (FieldId id = kind->record->first; id < field_end(SUBJECT_MATERIAL); id++) {
        const Value *said = record_value(kind->record, id), *got = record_value(material, id);
        if (!catalogue_tells(id))
            continue;
        if (said->presence != VALUE_KNOWN) {
            assert_int_equal(got->presence, VALUE_UNKNOWN);
            continue;
        }
        assert_int_equal(got->presence, VALUE_KNOWN);
        if (field_at(id)->type == FIELD_NUMBER) {
            assert_true(got->quantity.lo == said->quantity.lo);
            assert_true(got->quantity.hi == said->quantity.hi);
            assert_int_equal(got->quantity.tolerance, TOLERANCE_GIVEN);
        } else
            assert_true(got->code == said->code);
    }
}

static void every_kind_reads_as_a_material_of_a_style(void **state)
{
    (void)state;
    Catalogue *catalogue = read_shipped();
    for (size_t i = 0; i < catalogue->count; i++) {
        Arena arena = {0};
        Messages messages = {0};
        Text text = {0};
        const CatalogueChoice choice = {&catalogue->kinds[i], "mine"};
        const YamlFile *bare =
            yaml_read_bytes(&arena, "t.yaml", BARE_STYLE, strlen(BARE_STYLE), false, &messages);
        assert_non_null(bare);
        assert_true(catalogue_text(bare, &choice, 1, &text, &messages));
        YamlFile *file =
            yaml_read_bytes(&arena, "t.yaml", text_string(&text), text.length, false, &messages);
        Style *style = style_from_tree(file, NULL, NULL, 0, &messages);
        assert_non_null(style);
        assert_int_equal(messages.count, 0);
        assert_int_equal(style->lists[SUBJECT_MATERIAL].count, 1);
        compare_values(choice.kind, style->lists[SUBJECT_MATERIAL].items[0]);
        style_free(style);
        text_free(&text);
        messages_free(&messages);
        arena_free(&arena);
    }
    catalogue_free(catalogue);
}

/* ---- What is wrong ---- */

#define HEAD "cordwain: materials/1\ntitle: T\nmaterials:\n"
#define DUE "means: m, source: s"

static const struct {
    const char *yaml;
    int line;
    const char *says;
} wrong[] = {
    {"cordwain: style/1\n", 1, "expected materials/1"},
    {"title: T\n", 1, "the first line of a materials is"},
    {"- a\n", 1, "the first line of a materials is"},
    {"cordwain: materials/1\ntitle: T\n", 1, "a catalogue has materials"},
    {"cordwain: materials/1\nmaterials: {}\n", 1, "a catalogue has no title"},
    {"cordwain: materials/1\ntitle: T\nmaterials: [a]\n", 3, "materials"},
    {"cordwain: materials/1\ntitle: T\nmaterials: unknown\n", 3, "materials"},
    {"cordwain: materials/1\ntitle: T\nmaterails: {}\n", 3, "did you mean materials"},
    {"cordwain: materials/1\nlengths: mm\ntitle: T\nmaterials: {}\n", 2, "lengths"},
    {HEAD "  a: {" DUE ", thickness: 1.2}\n", 4, "unit"},
    {HEAD "  a: {" DUE ", thickness: 1.2 mm}\n", 4, "write the range"},
    {HEAD "  a: {" DUE ", thickness: exactly 1.2 mm}\n", 4, "write the range"},
    {HEAD "  a: {" DUE ", thickness: 1.2..44 mm}\n", 4, "thickness"},
    {HEAD "  a: {" DUE ", thickness: 1.2..1.6 °C}\n", 4, "thickness"},
    {HEAD "  a: {" DUE ", thickness: 1.6..1.2 mm}\n", 4, "lesser value comes first"},
    {HEAD "  a: {" DUE ", thikness: 1.2..1.6 mm}\n", 4, "did you mean thickness"},
    {HEAD "  a: {" DUE ", kind: lether}\n", 4, "did you mean leather"},
    {HEAD "  a: {" DUE ", folds: yes}\n", 4, "folds"},
    {HEAD "  a: {" DUE ", stretch: {along: 5..8 %, akross: 5..8 %}}\n", 4, "across"},
    {HEAD "  a: {means: m, thickness: 1.2..1.6 mm}\n", 4, "has no source"},
    {HEAD "  a: {source: s, thickness: 1.2..1.6 mm}\n", 4, "has no means"},
    {HEAD "  a: {means: [m], source: s}\n", 4, "means"},
    {HEAD "  a: {means: m, source: ''}\n", 4, "source"},
    {HEAD "  a: {" DUE ", sources: {thickness: t}}\n", 4, "no value of thickness"},
    {HEAD "  a: {" DUE ", thickness: unknown, sources: {thickness: t}}\n", 4,
     "no value of thickness"},
    {HEAD "  a: {" DUE ", thickness: 1..2 mm, sources: {thicknes: t}}\n", 4,
     "did you mean thickness"},
    {HEAD "  a: {" DUE ", stretch: {along: 5..8 %}, sources: {stret: t}}\n", 4, "stret"},
    {HEAD "  a: {" DUE ", thickness: 1..2 mm, sources: {'': t}}\n", 4, "a key is missing"},
    {HEAD "  a: {" DUE ", thickness: 1..2 mm, sources: [t]}\n", 4, "sources"},
    {HEAD "  a: {" DUE ", thickness: 1..2 mm, sources: {thickness: [t]}}\n", 4, "thickness"},
    {HEAD "  a: [" DUE "]\n", 4, "material a"},
    {HEAD "  a: unknown\n", 4, "material a"},
    {HEAD "  a b: {" DUE "}\n", 4, "a b"},
    {HEAD "  unknown: {" DUE "}\n", 4, "cannot be a name"},
    {HEAD "  a: {" DUE "}\n  a: {" DUE "}\n", 5, "twice"},
    {HEAD "  a: &x {" DUE "}\n  b: *x\n", 4, "anchors"},
};

static void wrong_catalogues_are_refused_at_their_place(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        Messages messages = {0};
        Catalogue *catalogue =
            catalogue_read_bytes("c.yaml", wrong[i].yaml, strlen(wrong[i].yaml), &messages);
        bool said = false;
        for (size_t k = 0; k < messages.count; k++)
            said |= messages.items[k].at.line == wrong[i].line &&
                    strstr(messages.items[k].text, wrong[i].says) != NULL;
        if (catalogue != NULL || messages.errors == 0 || !said)
            fail_msg("%s\nsays %s", wrong[i].yaml,
                     messages.count > 0 ? messages.items[0].text : "nothing");
        messages_free(&messages);
    }
}

/* One letter less, anywhere in the shipped file: read or refused, and nothing else. */
static void cut_catalogues_end_well(void **state)
{
    (void)state;
    Arena arena = {0};
    Messages messages = {0};
    char *bytes;
    size_t length;
    assert_true(file_read(&arena, shipped, YAML_FILE_MOST, &messages, &bytes, &length));
    assert_true(length > 3000);
    for (size_t end = 0; end < 3000; end += 7) {
        Messages found = {0};
        Catalogue *catalogue = catalogue_read_bytes("c.yaml", bytes, end, &found);
        assert_true((catalogue == NULL) == (found.errors > 0));
        catalogue_free(catalogue);
        messages_free(&found);
    }
    messages_free(&messages);
    arena_free(&arena);
}

static void a_missing_file_is_said(void **state)
{
    (void)state;
    Messages messages = {0};
    assert_null(catalogue_read("rules/catalogue/none.yaml", &messages));
    assert_int_equal(messages.errors, 1);
    messages_free(&messages);
}

/* ---- Asking ---- */

static void kinds_are_found_by_id(void **state)
{
    (void)state;
    Messages messages = {0};
    Arena arena = {0};
    CatalogueChoice choice;
    Catalogue *catalogue = read_shipped();
    assert_string_equal(catalogue_find(catalogue, "canvas", &messages)->record->id, "canvas");
    assert_null(catalogue_find(catalogue, "canvass", &messages));
    assert_non_null(strstr(messages.items[0].text, "did you mean canvas?"));
    assert_true(catalogue_choose(catalogue, &arena, "canvas", &choice, &messages));
    assert_string_equal(choice.name, "canvas");
    assert_true(catalogue_choose(catalogue, &arena, "canvas=deck-2", &choice, &messages));
    assert_string_equal(choice.kind->record->id, "canvas");
    assert_string_equal(choice.name, "deck-2");
    assert_int_equal(messages.errors, 1);
    static const char *const refused[] = {
        "",           "=x",        "canvas=",        "canvas=a b", "canvas=a: {",
        "canvas=a=b", "canvas=\n", "canvas=unknown", "canvas=\xff"};
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        assert_false(catalogue_choose(catalogue, &arena, refused[i], &choice, &messages));
        assert_int_equal(messages.errors, i + 2);
    }
    catalogue_free(catalogue);
    messages_free(&messages);
    arena_free(&arena);
}

static void values_are_shown_as_written(void **state)
{
    (void)state;
    static const char yaml[] = HEAD "  a: {" DUE ", thickness: \"1..2 mm\", heat_limit: unknown}\n";
    Messages messages = {0};
    Text text = {0};
    Catalogue *catalogue = catalogue_read_bytes("c.yaml", yaml, strlen(yaml), &messages);
    assert_non_null(catalogue);
    catalogue_value(&text, &catalogue->kinds[0], MATERIAL_THICKNESS);
    text_add(&text, "|");
    catalogue_value(&text, &catalogue->kinds[0], MATERIAL_HEAT_LIMIT);
    text_add(&text, "|");
    catalogue_value(&text, &catalogue->kinds[0], MATERIAL_FOLDS);
    assert_string_equal(text_string(&text), "1..2 mm|unknown|unknown");
    text_free(&text);
    catalogue_free(catalogue);
    messages_free(&messages);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_kind_says_where_it_comes_from),
        cmocka_unit_test(nothing_is_claimed_that_only_a_trial_tells),
        cmocka_unit_test(every_kind_of_material_is_there),
        cmocka_unit_test(every_kind_reads_as_a_material_of_a_style),
        cmocka_unit_test(wrong_catalogues_are_refused_at_their_place),
        cmocka_unit_test(cut_catalogues_end_well),
        cmocka_unit_test(a_missing_file_is_said),
        cmocka_unit_test(kinds_are_found_by_id),
        cmocka_unit_test(values_are_shown_as_written),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

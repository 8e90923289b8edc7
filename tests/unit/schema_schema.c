/* The schemas by name: each is JSON that names the draft, every $ref in it leads to
 * something, and every field that a file may give is in it. What they take and refuse is
 * tried by an independent validator in tests/schema/run. */
#include <jansson.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "schema/schema.h"

static json_t *schema_named(const char *kind)
{
    Text text = {0};
    json_error_t error;
    assert_true(schema_write(&text, kind));
    json_t *schema = json_loads(text_string(&text), JSON_REJECT_DUPLICATES, &error);
    if (schema == NULL)
        fail_msg("%s: line %d: %s", kind, error.line, error.text);
    text_free(&text);
    return schema;
}

static void names_the_draft(void **state)
{
    (void)state;
    size_t count;
    const char *const *kinds = schema_kinds(&count);
    assert_true(count >= 5);
    for (size_t i = 0; i < count; i++) {
        json_t *schema = schema_named(kinds[i]);
        assert_string_equal(json_string_value(json_object_get(schema, "$schema")),
                            "https://json-schema.org/draft/2020-12/schema");
        assert_non_null(json_object_get(schema, "title"));
        json_decref(schema);
    }
}

static void other_kinds_are_none(void **state)
{
    (void)state;
    static const char *const others[] = {"", "styles", "Style", "style/1", "style.schema"};
    for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
        Text text = {0};
        assert_false(schema_write(&text, others[i]));
        assert_int_equal(text.length, 0);
    }
}

static void same_twice(void **state)
{
    (void)state;
    Text one = {0}, other = {0};
    assert_true(schema_write(&one, "factory"));
    assert_true(schema_write(&other, "factory"));
    assert_string_equal(text_string(&one), text_string(&other));
    text_free(&one);
    text_free(&other);
}

/* Counts the $refs below a value; each must name a definition. */
static size_t refs_below(const json_t *definitions, const json_t *value)
{
    size_t refs = 0;
    const char *key;
    json_t *child;
    json_object_foreach((json_t *)value, key, child)
    {
        if (strcmp(key, "$ref") == 0) {
            const char *path = json_string_value(child);
            assert_int_equal(strncmp(path, "#/$defs/", 8), 0);
            if (json_object_get(definitions, path + 8) == NULL)
                fail_msg("%s leads nowhere", path);
            refs++;
        }
        refs += refs_below(definitions, child);
    }
    for (size_t i = 0; i < json_array_size(value); i++)
        refs += refs_below(definitions, json_array_get(value, i));
    return refs;
}

static void refs_lead_somewhere(void **state)
{
    (void)state;
    size_t count, refs = 0;
    const char *const *kinds = schema_kinds(&count);
    for (size_t i = 0; i < count; i++) {
        json_t *schema = schema_named(kinds[i]);
        refs += refs_below(json_object_get(schema, "$defs"), schema);
        json_decref(schema);
    }
    assert_true(refs > 300);
}

/* Of the style's subjects in the style, of the factory's in the factory; never of those that
 * are worked out. */
static void every_field_is_there(void **state)
{
    (void)state;
    json_t *style = schema_named("style"), *factory = schema_named("factory");
    for (int id = 0; id < FIELD_ID_COUNT; id++) {
        const Field *field = field_at((FieldId)id);
        bool of_shop = field->subject == SUBJECT_FACTORY || field->subject == SUBJECT_MACHINE;
        Text name = {0};
        text_addf(&name, "%s.%s", subject_name(field->subject), field->name);
        const json_t *definition = json_object_get(
            json_object_get(of_shop ? factory : style, "$defs"), text_string(&name));
        if (field->absence != ABSENT_DERIVED && definition == NULL)
            fail_msg("%s is missing", text_string(&name));
        if (field->absence == ABSENT_DERIVED && !of_shop && definition != NULL)
            fail_msg("%s is worked out and cannot be written", text_string(&name));
        if (definition != NULL) {
            const char *means = json_string_value(json_object_get(definition, "description"));
            assert_non_null(means);
            assert_non_null(strstr(means, field->means));
        }
        text_free(&name);
    }
    json_decref(style);
    json_decref(factory);
}

static void absence_is_said(void **state)
{
    (void)state;
    assert_string_equal(schema_absence(ABSENT_UNKNOWN), "");
    assert_non_null(strstr(schema_absence(ABSENT_REFUSED), "must be written"));
    assert_non_null(strstr(schema_absence(ABSENT_INHERITS), "edge"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_the_draft),      cmocka_unit_test(other_kinds_are_none),
        cmocka_unit_test(same_twice),           cmocka_unit_test(refs_lead_somewhere),
        cmocka_unit_test(every_field_is_there), cmocka_unit_test(absence_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

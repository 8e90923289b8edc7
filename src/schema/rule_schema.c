/* The schema of rule files, and what factories share with them. For src/schema alone. */
#include <string.h>

#include "judge/verdict.h"
#include "rule/rule.h"
#include "schema/schema_inside.h"

/* Letters, digits and "-", a letter first, with its family before the first "-". */
#define RULE_ID "(?=.{1,63}$)[A-Za-z][A-Za-z0-9-]*-[A-Za-z0-9-]*[A-Za-z0-9]"

/* ---- Words ---- */

json_t *schema_basis(void)
{
    json_t *words = schema_words(NULL, 0);
    for (int i = 0; i <= BASIS_MEMORY; i++)
        schema_add_word(words, basis_name((Basis)i));
    return schema_means(words, "what it rests on");
}

json_t *schema_reason(void)
{
    return schema_text_like("^(?![ \\t\\r\\n]*unknown[ \\t\\r\\n]*$)[ \\t\\r\\n]*[^ \\t\\r\\n]");
}

static bool goes_by(const Field *field)
{
    return field->type == FIELD_WORD || field->type == FIELD_TRUTH;
}

/* A mapping of the field's words, and of `else` and `more`, to `value`. */
static void put_words(json_t *properties, const Field *field, const json_t *value)
{
    static const char *const truths[] = {"false", "true"};
    size_t count = field->type == FIELD_TRUTH ? 2 : field->words->count;
    for (size_t i = 0; i < count; i++)
        schema_put(properties, field->type == FIELD_TRUTH ? truths[i] : field->words->words[i],
                   json_deep_copy(value));
}

json_t *schema_limit_words(json_t *value)
{
    json_t *properties = schema_object();
    for (int id = 0; id < FIELD_ID_COUNT; id++)
        if (goes_by(field_at((FieldId)id)))
            put_words(properties, field_at((FieldId)id), value);
    schema_put(properties, "else", value);
    return properties;
}

/* ---- Quantities of any kind ---- */

/* Some number with some unit, or without: which one is due only the limit itself says. */
static json_t *any_quantity(void)
{
    size_t count;
    const Unit *units = unit_table(&count);
    json_t *either = schema_any(schema_of_type("number"), NULL);
    json_t *list = json_object_get(either, "anyOf");
    for (size_t i = 0; i <= count; i++) {
        const Unit *unit = i < count ? &units[i] : NULL;
        QuantityForm form = {.shown = unit, .bare = unit == NULL};
        if (unit) {
            form.dimension = unit->dimension;
            form.point = unit->point;
            form.needle = unit->needle;
        }
        Text pattern = {0};
        json_t *text = schema_of_type("string");
        schema_quantity_pattern(&pattern, &form, true);
        schema_put(text, "pattern", json_string(text_string(&pattern)));
        bool twin = false;
        for (size_t k = 0; k < json_array_size(list); k++)
            twin = twin || json_equal(json_array_get(list, k), text);
        if (twin)
            json_decref(text);
        else
            schema_append(list, text);
        text_free(&pattern);
    }
    return schema_means(either, "a number with its unit, such as 3 mm, or unknown");
}

json_t *schema_any_quantity(const Schema *schema)
{
    if (!schema_defined(schema, "any-quantity"))
        schema_define(schema, "any-quantity", any_quantity());
    return schema_ref(schema, "any-quantity");
}

/* ---- Limits ---- */

static void add_field_name(json_t *words, const Field *field)
{
    Text name = {0};
    text_addf(&name, "%s.%s", subject_name(field->subject), field->name);
    schema_add_word(words, text_string(&name));
    text_free(&name);
}

/* If the limit goes by this field, its values are by the field's words. */
static json_t *values_by(const Field *field)
{
    json_t *by = schema_words(NULL, 0), *words = schema_object(), *keys = schema_array();
    json_t *names = schema_object(), *values = schema_object(), *properties = schema_object();
    add_field_name(by, field);
    json_t *where =
        schema_where("by", json_string_value(json_array_get(json_object_get(by, "enum"), 0)));
    json_decref(by);
    put_words(words, field, json_null());
    const char *word;
    json_t *ignored;
    json_object_foreach(words, word, ignored) schema_append(keys, json_string(word));
    json_decref(words);
    schema_append(keys, json_string("else"));
    schema_put(names, "enum", keys);
    schema_put(values, "propertyNames", names);
    schema_put(properties, "values", values);
    json_t *then = schema_object();
    schema_put(then, "properties", properties);
    return schema_if(where, then);
}

/* `value`, or `by` and `values`. */
static void require_value(json_t *limit)
{
    json_t *either = schema_array(), *one = schema_object(), *table = schema_object();
    json_t *one_closed = schema_object(), *table_closed = schema_object();
    schema_require(one, "value", NULL);
    schema_put(one_closed, "by", json_false());
    schema_put(one_closed, "values", json_false());
    schema_put(one, "properties", one_closed);
    schema_require(table, "by", "values", NULL);
    schema_put(table_closed, "value", json_false());
    schema_put(table, "properties", table_closed);
    schema_append(either, one);
    schema_append(either, table);
    schema_put(limit, "oneOf", either);
}

static json_t *limit_properties(const Schema *schema)
{
    json_t *properties = schema_object(), *by = schema_words(NULL, 0), *own = schema_words(NULL, 0);
    for (int id = 0; id < FIELD_ID_COUNT; id++) {
        const Field *field = field_at((FieldId)id);
        if (goes_by(field))
            add_field_name(by, field);
        if (field->type == FIELD_NUMBER)
            add_field_name(own, field);
    }
    json_t *values = schema_closed(schema_limit_words(schema_any_quantity(schema)));
    schema_put(values, "minProperties", json_integer(1));
    schema_put(properties, "means", schema_means(schema_text(), "what the number is"));
    schema_put(properties, "value", schema_any_quantity(schema));
    schema_put(properties, "by", schema_means(by, "the word it goes by"));
    schema_put(properties, "values", schema_means(values, "one for each word, and else"));
    schema_put(properties, "own",
               schema_means(own, "a field that, where it is known, holds instead"));
    schema_put(properties, "fixed",
               schema_means(schema_of_type("boolean"), "no factory may loosen it"));
    schema_put(properties, "basis", schema_basis());
    schema_put(properties, "source", schema_means(schema_text(), "who says so"));
    return properties;
}

json_t *schema_limits_section(const Schema *schema)
{
    json_t *limit = schema_closed(limit_properties(schema)), *all = schema_array();
    schema_require(limit, "means", "basis", "source", NULL);
    require_value(limit);
    for (int id = 0; id < FIELD_ID_COUNT; id++)
        if (goes_by(field_at((FieldId)id)))
            schema_append(all, values_by(field_at((FieldId)id)));
    schema_put(limit, "allOf", all);
    schema_define(schema, "limit", limit);
    return schema_means(schema_keyed(SCHEMA_NAME, schema_ref(schema, "limit")),
                        "named numbers that rules read and factories may replace");
}

/* ---- Constants and tables ---- */

static json_t *constants_section(const Schema *schema)
{
    json_t *properties = schema_object();
    schema_put(properties, "value", schema_any_quantity(schema));
    schema_put(properties, "means", schema_text());
    schema_put(properties, "basis", schema_basis());
    schema_put(properties, "source", schema_text());
    json_t *told = schema_closed(properties);
    schema_require(told, "value", "basis", "source", NULL);
    json_t *constant = schema_any(schema_any_quantity(schema), told, NULL);
    return schema_means(schema_keyed(SCHEMA_NAME, constant),
                        "named numbers that are closed to factories");
}

static json_t *column_unit(void)
{
    size_t count;
    const Unit *units = unit_table(&count);
    json_t *words = schema_words(NULL, 0);
    schema_add_word(words, "number");
    for (size_t i = 0; i < count; i++)
        schema_add_word(words, units[i].name);
    schema_add_word(words, "degC");
    schema_add_word(words, "°");
    return words;
}

json_t *schema_tables_section(const Schema *schema)
{
    static const char *const betweens[] = {"linear", "below", "above"};
    json_t *properties = schema_object();
    json_t *row = schema_list(schema_any_quantity(schema));
    schema_put(row, "minItems", json_integer(2));
    schema_put(row, "maxItems", json_integer(2));
    json_t *rows = schema_list(row);
    schema_put(rows, "minItems", json_integer(2));
    schema_put(properties, "in", schema_means(column_unit(), "unit of the first value of a row"));
    schema_put(properties, "out", schema_means(column_unit(), "unit of the second"));
    schema_put(properties, "between",
               schema_means(schema_words(betweens, 3), "what holds between two rows"));
    schema_put(properties, "rows", schema_means(rows, "such as [[25 tex, 80 Nm], ...], rising"));
    schema_put(properties, "means", schema_text());
    schema_put(properties, "basis", schema_basis());
    schema_put(properties, "source", schema_text());
    json_t *table = schema_closed(properties);
    schema_require(table, "in", "out", "between", "rows", "basis", "source", NULL);
    schema_define(schema, "table", table);
    return schema_keyed(SCHEMA_NAME, schema_ref(schema, "table"));
}

/* ---- Examples: small worlds ---- */

static bool is_value(const Field *field)
{
    return field->type != FIELD_TEXT && field->type != FIELD_NAME;
}

/* Fields of the subject, under `before` and a point. */
static void put_given_fields(const Schema *schema, json_t *properties, const char *before,
                             Subject subject)
{
    for (FieldId id = field_first(subject); id < field_end(subject); id++) {
        Text key = {0};
        text_addf(&key, "%s%s", before, field_at(id)->name);
        if (is_value(field_at(id)))
            schema_put(properties, text_string(&key), schema_field(schema, id));
        text_free(&key);
    }
}

static void given_name(Text *name, Subject subject)
{
    text_addf(name, "given-%s", subject_name(subject));
}

static json_t *given_ref(const Schema *schema, Subject subject)
{
    Text name = {0};
    given_name(&name, subject);
    json_t *reference = schema_ref(schema, text_string(&name));
    text_free(&name);
    return reference;
}

/* Paths that go on after this relation, such as edge.part.material.kind: they are left to
 * the reader past their second step. */
static void put_given_paths(json_t *patterns, const Relation *relation)
{
    size_t count;
    const Relation *relations = relation_table(&count);
    for (size_t i = 0; i < count; i++) {
        Text pattern = {0};
        text_addf(&pattern, "^%s\\.%s(?:\\.|$)", relation->name, relations[i].name);
        if (relations[i].from == relation->to)
            schema_put(patterns, text_string(&pattern), json_true());
        text_free(&pattern);
    }
}

static void put_relation(const Schema *schema, json_t *properties, json_t *patterns,
                         const Relation *relation)
{
    json_t *other = given_ref(schema, relation->to);
    schema_put(properties, relation->name,
               schema_or_unknown(relation->many ? schema_list(other) : other));
    if (relation->many)
        return;
    Text before = {0};
    text_addf(&before, "%s.", relation->name);
    put_given_fields(schema, properties, text_string(&before), relation->to);
    put_given_paths(patterns, relation);
    text_free(&before);
}

static void define_given(const Schema *schema, Subject subject)
{
    size_t count;
    const Relation *relations = relation_table(&count);
    json_t *properties = schema_object(), *patterns = schema_object();
    put_given_fields(schema, properties, "", subject);
    for (size_t i = 0; i < count; i++)
        if (relations[i].from == subject)
            put_relation(schema, properties, patterns, &relations[i]);
    json_t *given = schema_closed(properties);
    schema_put(given, "patternProperties", patterns);
    Text name = {0};
    given_name(&name, subject);
    schema_define(schema, text_string(&name), given);
    text_free(&name);
}

/* An example of the verdict must be among them. */
static json_t *has_example(Verdict verdict)
{
    json_t *contains = schema_object();
    schema_put(contains, "contains", schema_where("expect", verdict_name(verdict)));
    return contains;
}

static json_t *examples(void)
{
    json_t *expect = schema_words(NULL, 0), *properties = schema_object(), *both = schema_array();
    for (int verdict = 0; verdict < VERDICT_OFF; verdict++)
        schema_add_word(expect, verdict_name((Verdict)verdict));
    schema_put(properties, "given",
               schema_means(schema_of_type("object"), "values by their paths"));
    schema_put(properties, "expect", expect);
    json_t *example = schema_closed(properties);
    schema_require(example, "given", "expect", NULL);
    json_t *list = schema_list(example);
    schema_append(both, has_example(VERDICT_FLAG));
    schema_append(both, has_example(VERDICT_PASS));
    schema_put(list, "allOf", both);
    return schema_means(list, "small worlds and their verdicts; one that flags and one that passes "
                              "at least");
}

/* If the rule is about this subject, what its examples give are values of it. */
static json_t *given_about(const Schema *schema, Subject subject)
{
    json_t *properties = schema_object(), *item = schema_object(), *list = schema_object();
    json_t *rule = schema_object(), *then = schema_object();
    schema_put(properties, "given", given_ref(schema, subject));
    schema_put(item, "properties", properties);
    schema_put(list, "items", item);
    schema_put(rule, "examples", list);
    schema_put(then, "properties", rule);
    return schema_if(schema_where("about", subject_name(subject)), then);
}

/* ---- Rules ---- */

static json_t *rule_properties(void)
{
    json_t *properties = schema_object(), *about = schema_words(NULL, 0);
    json_t *class = schema_words(NULL, 0);
    for (int i = 0; i < SUBJECT_COUNT; i++)
        schema_add_word(about, subject_name((Subject)i));
    for (int i = 0; i <= CLASS_MINOR; i++)
        schema_add_word(class, class_name((RuleClass)i));
    schema_put(properties, "title", schema_means(schema_text(), "what is wrong, in few words"));
    schema_put(properties, "about", schema_means(about, "what it is applied to"));
    schema_put(properties, "when", schema_means(schema_text(), "formula: where it applies"));
    schema_put(properties, "let",
               schema_means(schema_keyed(SCHEMA_NAME, schema_text()),
                            "formulas with a name, each for those below it"));
    schema_put(properties, "require", schema_means(schema_text(), "formula: what must hold"));
    schema_put(properties, "class", schema_means(class, "how bad it is where it does not"));
    schema_put(properties, "say",
               schema_means(schema_text(), "the sentence of a finding, with {names} of values"));
    schema_put(properties, "because", schema_means(schema_text(), "why it is asked"));
    schema_put(properties, "gives",
               schema_means(schema_list(schema_text()), "values that may change to clear it"));
    schema_put(properties, "source", schema_means(schema_text(), "who says so"));
    schema_put(properties, "danger",
               schema_means(schema_of_type("boolean"), "it can hurt the wearer"));
    schema_put(properties, "examples", examples());
    return properties;
}

json_t *schema_rules_section(const Schema *schema)
{
    /* In an example lengths always have their unit. */
    const Schema with_units = {.defs = schema->defs};
    json_t *rule = schema_closed(rule_properties()), *all = schema_array();
    schema_require(rule, "title", "about", "require", "class", "say", "because", "source",
                   "examples", NULL);
    for (int i = 0; i < SUBJECT_COUNT; i++) {
        define_given(&with_units, (Subject)i);
        schema_append(all, given_about(&with_units, (Subject)i));
    }
    schema_put(rule, "allOf", all);
    schema_define(schema, "rule", rule);
    return schema_means(schema_keyed(RULE_ID, schema_ref(schema, "rule")),
                        "rules, by their ids: family-name");
}

json_t *schema_of_rules(Schema *schema)
{
    json_t *root = schema_object();
    schema_put(root, "cordwain", schema_head("rules"));
    schema_put(root, "title", schema_means(schema_text(), "what the file is about"));
    schema_put(root, "constants", constants_section(schema));
    schema_put(root, "limits", schema_limits_section(schema));
    schema_put(root, "tables", schema_tables_section(schema));
    schema_put(root, "rules", schema_rules_section(schema));
    json_t *whole = schema_closed(root);
    schema_require(whole, "cordwain", "title", NULL);
    return whole;
}

/* One field of the table as a schema. For src/schema alone. */
#include <math.h>
#include <string.h>

#include "schema/schema_inside.h"

const char *schema_absence(Absence absence)
{
    static const char *const absences[] = {[ABSENT_UNKNOWN] = "",
                                           [ABSENT_NONE] = "; absent: none",
                                           [ABSENT_REFUSED] = "; must be written",
                                           [ABSENT_INHERITS] = "; absent: as its edge",
                                           [ABSENT_LIMIT] = "; absent: the limit of that name",
                                           [ABSENT_DERIVED] = "; worked out, never written"};
    return absences[absence];
}

/* ---- Quantities ---- */

/* "number-mm", "range-g-per-cm3": letters, digits and "-" alone, as a pointer has them
 * without escapes. */
static void quantity_name(Text *name, const QuantityForm *form, bool below_zero)
{
    const char *unit = form->shown ? form->shown->name : "none";
    text_addf(name, "%s%s", form->range ? "range-" : "number-", form->reciprocal ? "pitch-" : "");
    for (; *unit; unit++) {
        if (*unit == '/')
            text_add(name, "-per-");
        else if (*unit == '%')
            text_add(name, "percent");
        else if (*unit > ' ' && *unit < 127)
            text_add_bytes(name, unit, 1);
    }
    text_add(name, below_zero ? "-any-sign" : "");
}

static json_t *quantity_definition(const QuantityForm *form, bool below_zero)
{
    Text pattern = {0};
    schema_quantity_pattern(&pattern, form, below_zero);
    json_t *text = schema_of_type("string");
    schema_put(text, "pattern", json_string(text_string(&pattern)));
    text_free(&pattern);
    if (!schema_quantity_bare(form))
        return text;
    json_t *number = schema_of_type(form->whole ? "integer" : "number");
    if (!below_zero)
        schema_put(number, "minimum", json_integer(0));
    return schema_any(number, text, NULL);
}

/* The lengths of a file that says their unit in its head. */
static QuantityForm form_here(const Schema *schema, const QuantityForm *form)
{
    QuantityForm here = *form;
    if (dimension_equal(form->dimension, DIMENSION_LENGTH) && !form->needle)
        here.bare_length = schema->bare;
    return here;
}

json_t *schema_quantity(const Schema *schema, const QuantityForm *form, bool below_zero)
{
    Text name = {0};
    QuantityForm here = form_here(schema, form);
    quantity_name(&name, form, below_zero);
    if (!schema_defined(schema, text_string(&name)))
        schema_define(schema, text_string(&name), quantity_definition(&here, below_zero));
    json_t *reference = schema_ref(schema, text_string(&name));
    text_free(&name);
    return reference;
}

json_t *schema_length(const Schema *schema)
{
    QuantityForm form = {.dimension = DIMENSION_LENGTH, .shown = unit_find("mm", 2)};
    return schema_quantity(schema, &form, true);
}

/* ---- Names ---- */

json_t *schema_edge_name(void)
{
    return schema_text_like("^" SCHEMA_ID "\\." SCHEMA_ID "$");
}

json_t *schema_id_name(void)
{
    return schema_text_like("^" SCHEMA_ID "$");
}

/* ---- Fields ---- */

/* "; at least 0.5 mm, at most 2000 mm". */
static void add_bounds(Text *means, const Field *field)
{
    const Unit *unit = field_unit(field);
    Dimension dimension = unit ? unit->dimension : DIMENSION_NONE;
    const double bounds[] = {field->least, field->most};
    const char *before = "; at";
    for (int i = 0; i < 2; i++) {
        if (!isfinite(bounds[i]))
            continue;
        text_addf(means, "%s %s ", before, i == 0 ? "least" : "most");
        unit_write(means, bounds[i], dimension, unit && unit->point, unit, false);
        before = ", at";
    }
}

static void add_means(Text *means, const Field *field)
{
    bool number = field->type == FIELD_NUMBER || field->type == FIELD_RANGE;
    text_addf(means, "%s; ", field->means);
    field_accepts(means, field);
    if (number)
        add_bounds(means, field);
    text_add(means, schema_absence(field->absence));
}

/* Counts have bounds of their own; what has a unit is not looked into. */
static json_t *count_schema(const Schema *schema, const Field *field, const QuantityForm *form)
{
    json_t *reference = schema_quantity(schema, form, field->least < 0);
    json_t *both = schema_object(), *list = schema_array(), *bounds = schema_object();
    if (isfinite(field->least))
        schema_put(bounds, "minimum", json_integer((json_int_t)field->least));
    if (isfinite(field->most))
        schema_put(bounds, "maximum", json_integer((json_int_t)field->most));
    schema_append(list, reference);
    schema_append(list, bounds);
    schema_put(both, "allOf", list);
    return both;
}

static json_t *spans_of_sizes(json_t *value)
{
    json_t *spans = schema_keyed(SCHEMA_DECIMAL "(?:\\.\\." SCHEMA_DECIMAL ")?", value);
    schema_put(spans, "minProperties", json_integer(1));
    return spans;
}

static json_t *number_schema(const Schema *schema, const Field *field)
{
    QuantityForm form = field_form(field);
    json_t *number = form.whole ? count_schema(schema, field, &form)
                                : schema_quantity(schema, &form, field->least < 0);
    if (field->subject != SUBJECT_HOLE || field->type != FIELD_NUMBER)
        return form.whole ? number : schema_any(number, NULL);
    json_t *spans = spans_of_sizes(json_deep_copy(number));
    return schema_any(number, spans, NULL);
}

static json_t *set_of(json_t *items)
{
    json_t *list = schema_list(items);
    schema_put(list, "uniqueItems", json_true());
    return schema_or_unknown(list);
}

static json_t *counts_schema(const Field *field)
{
    json_t *number = schema_of_type("integer"), *text = schema_of_type("string");
    schema_put(number, "minimum", json_integer((json_int_t)field->least));
    schema_put(number, "maximum", json_integer((json_int_t)field->most));
    schema_put(text, "pattern", json_string("^(?:0|[1-9][0-9]?)(?:\\.0{1,6})?$"));
    return set_of(schema_any(number, text, NULL));
}

static json_t *truth_schema(void)
{
    json_t *truth = schema_words(NULL, 0), *list = json_object_get(truth, "enum");
    schema_append(list, json_true());
    schema_append(list, json_false());
    schema_add_word(truth, "unknown");
    return truth;
}

static json_t *word_schema(const Field *field)
{
    json_t *words = schema_words(field->words->words, field->words->count);
    schema_add_word(words, "unknown");
    return words;
}

static json_t *name_schema(const Field *field)
{
    json_t *name = field->refers == SUBJECT_EDGE ? schema_edge_name() : schema_id_name();
    return field->absence == ABSENT_REFUSED ? name : schema_or_unknown(name);
}

static json_t *field_definition(const Schema *schema, const Field *field)
{
    switch (field->type) {
    case FIELD_NUMBER:
    case FIELD_RANGE:
        return number_schema(schema, field);
    case FIELD_WORD:
        return word_schema(field);
    case FIELD_WORDS:
        return set_of(schema_words(field->words->words, field->words->count));
    case FIELD_COUNTS:
        return counts_schema(field);
    case FIELD_TRUTH:
        return truth_schema();
    case FIELD_TEXT:
        return schema_text();
    case FIELD_NAME:
        return name_schema(field);
    }
    return schema_object();
}

json_t *schema_field(const Schema *schema, FieldId id)
{
    const Field *field = field_at(id);
    Text name = {0};
    text_addf(&name, "%s.%s", subject_name(field->subject), field->name);
    if (!schema_defined(schema, text_string(&name))) {
        Text means = {0};
        add_means(&means, field);
        schema_define(schema, text_string(&name),
                      schema_means(field_definition(schema, field), text_string(&means)));
        text_free(&means);
    }
    json_t *reference = schema_ref(schema, text_string(&name));
    text_free(&name);
    return reference;
}

/* ---- Mappings of fields ---- */

/* `skive: {width: …, left: …}`: the mapping under the first half of the name. */
static json_t *group_of(json_t *properties, const char *name, size_t length)
{
    Text group = {0};
    text_add_bytes(&group, name, length);
    if (json_object_get(properties, text_string(&group)) == NULL)
        schema_put(properties, text_string(&group),
                   schema_or_unknown(schema_closed(schema_object())));
    json_t *either = json_object_get(json_object_get(properties, text_string(&group)), "anyOf");
    text_free(&group);
    return json_object_get(json_array_get(either, 0), "properties");
}

json_t *schema_fields(const Schema *schema, Subject subject)
{
    json_t *properties = schema_object();
    for (FieldId id = field_first(subject); id < field_end(subject); id++) {
        const Field *field = field_at(id);
        const char *point = strchr(field->name, '.');
        if (field->absence == ABSENT_DERIVED)
            continue;
        if (point)
            schema_put(group_of(properties, field->name, (size_t)(point - field->name)), point + 1,
                       schema_field(schema, id));
        else
            schema_put(properties, field->name, schema_field(schema, id));
    }
    return properties;
}

void schema_require_fields(json_t *mapping, Subject subject)
{
    for (FieldId id = field_first(subject); id < field_end(subject); id++)
        if (field_at(id)->absence == ABSENT_REFUSED)
            schema_require(mapping, field_at(id)->name, NULL);
}

/* ---- Heads of files ---- */

json_t *schema_head(const char *kind)
{
    Text head = {0};
    text_addf(&head, "%s/1", kind);
    json_t *schema =
        schema_means(schema_const(text_string(&head)), "what kind of file this is; its first key");
    text_free(&head);
    return schema;
}

json_t *schema_lengths(void)
{
    static const char *const units[] = {"mm", "cm", "in"};
    return schema_means(schema_words(units, 3), "unit of lengths that are written without one");
}

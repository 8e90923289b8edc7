/* The schema of a factory. For src/schema alone. */
#include "base/memory.h"
#include "schema/schema_inside.h"

enum { MACHINES_MOST = 500 };

static json_t *machines(const Schema *schema)
{
    json_t *machine = schema_closed(schema_fields(schema, SUBJECT_MACHINE));
    schema_require_fields(machine, SUBJECT_MACHINE);
    schema_define(schema, "machine", machine);
    json_t *all = schema_keyed(SCHEMA_ID, schema_or_unknown(schema_ref(schema, "machine")));
    schema_put(all, "maxProperties", json_integer(MACHINES_MOST));
    return schema_means(all, "machines, or groups of machines of a kind, by their ids");
}

/* reason, basis and source alone replace nothing. */
static json_t *no_value(void)
{
    static const char *const keys[] = {"reason", "basis", "source"};
    json_t *names = schema_object();
    schema_put(names, "propertyNames", schema_words(keys, 3));
    return names;
}

static json_t *limits(const Schema *schema)
{
    json_t *properties = schema_limit_words(schema_any_quantity(schema));
    schema_put(properties, "value", schema_any_quantity(schema));
    schema_put(properties, "reason", schema_means(schema_reason(), "why it is another here"));
    schema_put(properties, "basis", schema_basis());
    schema_put(properties, "source", schema_means(schema_text(), "who says so"));
    json_t *told = schema_closed(properties);
    schema_put(told, "not", no_value());
    schema_define(schema, "replaced-limit", schema_any(schema_any_quantity(schema), told, NULL));
    return schema_means(schema_keyed(SCHEMA_NAME, schema_ref(schema, "replaced-limit")),
                        "limits of the rules that are others here: value, or values by words");
}

static void define_factory(const Schema *schema)
{
    json_t *root = schema_object(), *fields = schema_fields(schema, SUBJECT_FACTORY);
    schema_put(root, "cordwain", schema_head("factory"));
    if (json_object_update(root, fields) != 0)
        out_of_memory();
    json_decref(fields);
    schema_put(root, "lengths", schema_lengths());
    schema_put(root, "machines", machines(schema));
    schema_put(root, "limits", limits(schema));
    schema_put(root, "not_judged",
               schema_means(schema_keyed(SCHEMA_ID, schema_reason()),
                            "rules that are not judged here, each with the reason"));
    schema_put(root, "own_limits", schema_limits_section(schema));
    schema_put(root, "tables", schema_tables_section(schema));
    schema_put(root, "constants", json_false()); /* known, and closed to factories */
    schema_put(root, "rules", schema_rules_section(schema));
    json_t *whole = schema_closed(root);
    schema_require_fields(whole, SUBJECT_FACTORY);
    schema_require(whole, "cordwain", "machines", NULL);
    schema_define(schema, "factory", whole);
}

json_t *schema_of_factory(Schema *schema)
{
    json_t *says_lengths = schema_of_type("object");
    schema_require(says_lengths, "lengths", NULL);
    define_factory(schema);
    json_t *with_unit = schema_ref(schema, "factory");
    schema->bare = unit_find("mm", 2);
    define_factory(schema);
    json_t *choice = schema_if(says_lengths, schema_ref(schema, "factory"));
    schema_put(choice, "else", with_unit);
    return choice;
}

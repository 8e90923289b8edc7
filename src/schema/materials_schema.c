/* The schema of a catalogue of materials. For src/schema alone. */
#include "schema/schema_inside.h"

/* As in a style, with what it is and where the values come from. */
static json_t *material(const Schema *schema)
{
    json_t *properties = schema_fields(schema, SUBJECT_MATERIAL);
    json_t *sources = schema_keyed("[a-z_]+(?:\\.[a-z_]+)*", schema_text());
    schema_put(properties, "means", schema_means(schema_text(), "what people call it"));
    schema_put(properties, "source",
               schema_means(schema_text(), "a publication, or: common practice, no published "
                                           "source"));
    schema_put(properties, "sources",
               schema_means(sources, "where single values come from instead, by their keys"));
    json_t *whole = schema_closed(properties);
    schema_require_fields(whole, SUBJECT_MATERIAL);
    schema_require(whole, "means", "source", NULL);
    return whole;
}

json_t *schema_of_materials(Schema *schema)
{
    json_t *root = schema_object();
    schema_put(root, "cordwain", schema_head("materials"));
    schema_put(root, "title", schema_means(schema_text(), "what the catalogue holds"));
    schema_put(root, "materials",
               schema_means(schema_keyed(SCHEMA_ID, material(schema)),
                            "common kinds, by their ids; numbers are ranges"));
    json_t *whole = schema_closed(root);
    schema_require(whole, "cordwain", "title", "materials", NULL);
    return whole;
}

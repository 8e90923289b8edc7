/* What the files that make schemas share. For src/schema alone. */
#ifndef CORDWAIN_SCHEMA_SCHEMA_INSIDE_H
#define CORDWAIN_SCHEMA_SCHEMA_INSIDE_H

#include <jansson.h>

#include "quantity/quantity.h"
#include "schema/schema.h"

/* Ids as in field/record.h, so that they also stand within the pattern of a path. */
#define SCHEMA_ID "(?!(?:unknown|removed)(?:\\.|$))[A-Za-z0-9-]{1,63}"
#define SCHEMA_ITEM "[1-9][0-9]{0,5}"
#define SCHEMA_DECIMAL "(?:0|[1-9][0-9]{0,8})(?:\\.[0-9]{1,6})?"

/* One schema while it is made. With `bare` set, lengths may be written without a
 * unit, and what is defined bears another name. */
typedef struct Schema {
    json_t *defs;
    const Unit *bare;
} Schema;

/* --- make.c: pieces of schemas. Values given are taken over ------------------------- */

void schema_put(json_t *object, const char *key, json_t *value);
void schema_append(json_t *array, json_t *value);
json_t *schema_object(void);
json_t *schema_array(void);
/* {"type": …}. */
json_t *schema_of_type(const char *type);
/* {"const": word}, {"enum": words}; to the latter more may be appended. */
json_t *schema_const(const char *word);
json_t *schema_words(const char *const *words, size_t count);
void schema_add_word(json_t *words, const char *word);
/* {"anyOf": […]} of schemas, up to a NULL. */
json_t *schema_any(json_t *first, ...) __attribute__((sentinel));
json_t *schema_or_unknown(json_t *schema);
/* The same schema with a description. */
json_t *schema_means(json_t *schema, const char *means);
/* A mapping of these keys and no others. */
json_t *schema_closed(json_t *properties);
/* A mapping whose keys are of this pattern, without ^ and $. */
json_t *schema_keyed(const char *pattern, json_t *value);
json_t *schema_list(json_t *items);
/* Keys that a mapping needs, up to a NULL. */
void schema_require(json_t *mapping, ...) __attribute__((sentinel));
/* {"if": condition, "then": …}. "else" may be put in. */
json_t *schema_if(json_t *condition, json_t *then);
/* A mapping in which the key is this word: a condition. */
json_t *schema_where(const char *key, const char *word);
/* Any scalar that holds something, read as text. */
json_t *schema_text(void);
/* Such a text of this pattern; what is no string to an editor is not looked into. */
json_t *schema_text_like(const char *pattern);
/* {"$ref": …} to what schema_define() keeps under the name. */
json_t *schema_ref(const Schema *schema, const char *name);
void schema_define(const Schema *schema, const char *name, json_t *definition);
bool schema_defined(const Schema *schema, const char *name);
/* What a $ref leads to; the schema itself where it is none. */
const json_t *schema_resolved(const Schema *schema, const json_t *given);

/* --- pattern.c --------------------------------------------------------------------------- */

/* Adds a regular expression of all texts that quantity_read() takes for the form;
 * numbers under zero only where `below_zero`. */
void schema_quantity_pattern(Text *pattern, const QuantityForm *form, bool below_zero);
/* Whether a plain number without unit is taken. */
bool schema_quantity_bare(const QuantityForm *form);

/* --- field_schema.c ------------------------------------------------------------------------ */

/* A quantity of the form, defined once under a name of its own. */
json_t *schema_quantity(const Schema *schema, const QuantityForm *form, bool below_zero);
/* A length, which may be negative. */
json_t *schema_length(const Schema *schema);
/* The field's own schema, defined once: "edge.finish". */
json_t *schema_field(const Schema *schema, FieldId id);
/* The keys under which a mapping of the subject gives fields. */
json_t *schema_fields(const Schema *schema, Subject subject);
/* Requires those without which a mapping of the subject is refused. */
void schema_require_fields(json_t *mapping, Subject subject);
/* The name of an edge; of anything else, by its id. */
json_t *schema_edge_name(void);
json_t *schema_id_name(void);
/* `cordwain: KIND/1` and, where a file may say it, `lengths:`. */
json_t *schema_head(const char *kind);
json_t *schema_lengths(void);

/* --- paths.c --------------------------------------------------------------------------------- */

/* A mapping of paths into what `whole` describes: to values that may stand there, or
 * `removed`. Not those that begin with one of `closed`, up to a NULL. */
json_t *schema_patches(const Schema *schema, const json_t *whole, const char *const *closed);

/* --- one file each: the schema of a whole file -------------------------------------------- */

json_t *schema_of_style(Schema *schema);
json_t *schema_of_rules(Schema *schema);
json_t *schema_of_factory(Schema *schema);
json_t *schema_of_log(Schema *schema);
json_t *schema_of_findings(Schema *schema);
json_t *schema_of_lines(Schema *schema);
json_t *schema_of_materials(Schema *schema);

/* rule_schema.c: sections that rule files and factories share. */
json_t *schema_rules_section(const Schema *schema);
json_t *schema_limits_section(const Schema *schema);
json_t *schema_tables_section(const Schema *schema);
json_t *schema_basis(void);
/* A reason: something is said, and not `unknown`. */
json_t *schema_reason(void);
/* What a limit may be: a quantity of any kind. */
json_t *schema_any_quantity(const Schema *schema);
/* All words that a limit may go by: of any field's list, true and false. */
json_t *schema_limit_words(json_t *value);
/* The name of a limit, a constant, a table or a let. */
#define SCHEMA_NAME "[A-Za-z][A-Za-z0-9_]{0,62}"

#endif

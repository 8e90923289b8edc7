/* The schemas by name. For src/cli. */
#include "schema/schema.h"

#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "schema/schema_inside.h"

static const char *const kinds[] = {"style", "rules", "factory", "log", "findings", "lines",
                                    "materials"};
enum { KIND_COUNT = sizeof kinds / sizeof *kinds };

static const struct {
    const char *title;
    json_t *(*make)(Schema *schema);
} makers[KIND_COUNT] = {
    {"A style: cordwain style/1", schema_of_style},
    {"Rules: cordwain rules/1", schema_of_rules},
    {"A factory: cordwain factory/1", schema_of_factory},
    {"A decision log: cordwain log/1", schema_of_log},
    {"Findings: cordwain findings/1", schema_of_findings},
    {"A line of findings: cordwain lines/1", schema_of_lines},
    {"A catalogue of materials: cordwain materials/1", schema_of_materials},
};

const char *const *schema_kinds(size_t *count)
{
    *count = KIND_COUNT;
    return kinds;
}

/* Everything that was defined on the way stands behind what was asked for. */
static json_t *schema_of(size_t kind)
{
    Schema schema = {.defs = schema_object()};
    json_t *root = schema_object(), *body = makers[kind].make(&schema);
    schema_put(root, "$schema", json_string("https://json-schema.org/draft/2020-12/schema"));
    schema_put(root, "title", json_string(makers[kind].title));
    if (json_object_update(root, body) != 0)
        out_of_memory();
    json_decref(body);
    if (json_object_size(schema.defs) > 0)
        schema_put(root, "$defs", schema.defs);
    else
        json_decref(schema.defs);
    return root;
}

bool schema_write(Text *text, const char *kind)
{
    size_t at = 0;
    while (at < KIND_COUNT && strcmp(kinds[at], kind) != 0)
        at++;
    if (at == KIND_COUNT)
        return false;
    json_t *schema = schema_of(at);
    char *dump = json_dumps(schema, JSON_INDENT(1));
    json_decref(schema);
    if (dump == NULL)
        out_of_memory();
    text_add(text, dump);
    text_add(text, "\n");
    free(dump);
    return true;
}

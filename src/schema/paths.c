/* Paths into a style: what an alternative, or `but` of a mirror, may change is what the
 * schema of the whole says of it. For src/schema alone. */
#include <string.h>

#include "base/memory.h"
#include "schema/schema_inside.h"

typedef struct Paths {
    const Schema *schema;
    json_t *patches; /* by pattern */
    const char *const *closed;
} Paths;

static void walk(const Paths *paths, const json_t *given, const char *before);

static json_t *shared(const json_t *value)
{
    json_t *copy = json_deep_copy(value);
    if (copy == NULL)
        out_of_memory();
    return copy;
}

static bool has(const json_t *list, const json_t *value)
{
    for (size_t i = 0; i < json_array_size(list); i++)
        if (json_equal(json_array_get(list, i), value))
            return true;
    return false;
}

/* One path, and what may stand there; with what other ways to write the whole allow. */
static void add_path(const Paths *paths, const char *path, const json_t *value)
{
    Text whole = {0};
    text_addf(&whole, "^%s$", path);
    json_t *known = json_object_get(paths->patches, text_string(&whole));
    if (known == NULL)
        schema_put(paths->patches, text_string(&whole),
                   schema_any(shared(value), schema_const("removed"), NULL));
    else if (!has(json_object_get(known, "anyOf"), value))
        schema_append(json_object_get(known, "anyOf"), shared(value));
    text_free(&whole);
    walk(paths, value, path);
}

static bool is_closed(const Paths *paths, const char *key)
{
    for (size_t i = 0; paths->closed[i]; i++)
        if (strcmp(paths->closed[i], key) == 0)
            return true;
    return false;
}

/* A key, as it stands in a pattern. */
static void add_key(Text *path, const char *before, const char *key)
{
    text_addf(path, "%s%s", before, *before ? "\\." : "");
    for (; *key; key++)
        text_addf(path, "%s%c", *key == '.' ? "\\" : "", *key);
}

static void walk_properties(const Paths *paths, const json_t *given, const char *before)
{
    const char *key;
    json_t *value;
    json_object_foreach((json_t *)json_object_get(given, "properties"), key, value)
    {
        Text path = {0};
        add_key(&path, before, key);
        if (*before || !is_closed(paths, key))
            add_path(paths, text_string(&path), value);
        text_free(&path);
    }
}

static void walk_patterns(const Paths *paths, const json_t *given, const char *before)
{
    const char *key;
    json_t *value;
    json_object_foreach((json_t *)json_object_get(given, "patternProperties"), key, value)
    {
        Text path = {0};
        text_addf(&path, "%s%s%.*s", before, *before ? "\\." : "", (int)strlen(key) - 2, key + 1);
        add_path(paths, text_string(&path), value);
        text_free(&path);
    }
}

/* All ways to write the same thing. */
static void walk_choices(const Paths *paths, const json_t *given, const char *before)
{
    static const char *const choices[] = {"anyOf", "allOf"};
    for (size_t c = 0; c < sizeof choices / sizeof *choices; c++) {
        const json_t *list = json_object_get(given, choices[c]);
        for (size_t i = 0; i < json_array_size(list); i++)
            walk(paths, json_array_get(list, i), before);
    }
    walk(paths, json_object_get(given, "then"), before);
    walk(paths, json_object_get(given, "else"), before);
}

static void walk(const Paths *paths, const json_t *given, const char *before)
{
    if (given == NULL)
        return;
    given = schema_resolved(paths->schema, given);
    walk_properties(paths, given, before);
    walk_patterns(paths, given, before);
    walk_choices(paths, given, before);
    const json_t *items = json_object_get(given, "items");
    if (items != NULL) {
        Text path = {0};
        text_addf(&path, "%s\\." SCHEMA_ITEM, before);
        add_path(paths, text_string(&path), items);
        text_free(&path);
    }
}

json_t *schema_patches(const Schema *schema, const json_t *whole, const char *const *closed)
{
    Paths paths = {schema, schema_object(), closed};
    walk(&paths, whole, "");
    json_t *object = schema_of_type("object");
    schema_put(object, "patternProperties", paths.patches);
    schema_put(object, "additionalProperties", json_false());
    return object;
}

/* Pieces of which schemas are made. For src/schema alone. */
#include <stdarg.h>
#include <string.h>

#include "base/memory.h"
#include "schema/schema_inside.h"

/* jansson answers NULL and -1 only when memory is short or text is not UTF-8; all
 * text here is our own. */
static json_t *made(json_t *value)
{
    if (value == NULL)
        out_of_memory();
    return value;
}

void schema_put(json_t *object, const char *key, json_t *value)
{
    if (json_object_set_new(object, key, made(value)) != 0)
        out_of_memory();
}

void schema_append(json_t *array, json_t *value)
{
    if (json_array_append_new(array, made(value)) != 0)
        out_of_memory();
}

json_t *schema_object(void)
{
    return made(json_object());
}

json_t *schema_array(void)
{
    return made(json_array());
}

static json_t *object_of(const char *key, json_t *value)
{
    json_t *object = schema_object();
    schema_put(object, key, value);
    return object;
}

json_t *schema_of_type(const char *type)
{
    return object_of("type", json_string(type));
}

json_t *schema_const(const char *word)
{
    return object_of("const", json_string(word));
}

/* A word that is all digits is a number to an editor. */
void schema_add_word(json_t *words, const char *word)
{
    json_t *list = json_object_get(words, "enum");
    json_int_t number = 0;
    size_t digits = strspn(word, "0123456789");
    for (size_t i = 0; i < digits; i++)
        number = number * 10 + (word[i] - '0');
    schema_append(list, json_string(word));
    if (digits > 0 && word[digits] == '\0')
        schema_append(list, json_integer(number));
}

json_t *schema_words(const char *const *words, size_t count)
{
    json_t *object = object_of("enum", schema_array());
    for (size_t i = 0; i < count; i++)
        schema_add_word(object, words[i]);
    return object;
}

json_t *schema_any(json_t *first, ...)
{
    json_t *list = schema_array();
    va_list more;
    va_start(more, first);
    for (json_t *next = first; next != NULL; next = va_arg(more, json_t *))
        schema_append(list, next);
    va_end(more);
    return object_of("anyOf", list);
}

json_t *schema_or_unknown(json_t *schema)
{
    return schema_any(schema, schema_const("unknown"), NULL);
}

json_t *schema_means(json_t *schema, const char *means)
{
    schema_put(schema, "description", json_string(means));
    return schema;
}

json_t *schema_closed(json_t *properties)
{
    json_t *object = schema_of_type("object");
    schema_put(object, "properties", properties);
    schema_put(object, "additionalProperties", json_false());
    return object;
}

json_t *schema_keyed(const char *pattern, json_t *value)
{
    Text whole = {0};
    text_addf(&whole, "^%s$", pattern);
    json_t *object = schema_of_type("object");
    schema_put(object, "patternProperties", object_of(text_string(&whole), value));
    schema_put(object, "additionalProperties", json_false());
    text_free(&whole);
    return object;
}

json_t *schema_list(json_t *items)
{
    json_t *list = schema_of_type("array");
    schema_put(list, "items", items);
    return list;
}

void schema_require(json_t *mapping, ...)
{
    json_t *required = json_object_get(mapping, "required");
    va_list keys;
    if (required == NULL) {
        schema_put(mapping, "required", schema_array());
        required = json_object_get(mapping, "required");
    }
    va_start(keys, mapping);
    for (const char *key; (key = va_arg(keys, const char *)) != NULL;)
        schema_append(required, json_string(key));
    va_end(keys);
}

json_t *schema_if(json_t *condition, json_t *then)
{
    json_t *object = object_of("if", condition);
    schema_put(object, "then", then);
    return object;
}

json_t *schema_where(const char *key, const char *word)
{
    json_t *where = schema_of_type("object");
    schema_put(where, "properties", object_of(key, schema_const(word)));
    schema_require(where, key, NULL);
    return where;
}

json_t *schema_text(void)
{
    json_t *types = schema_array();
    schema_append(types, json_string("string"));
    schema_append(types, json_string("number"));
    schema_append(types, json_string("boolean"));
    json_t *text = object_of("type", types);
    schema_put(text, "minLength", json_integer(1));
    return text;
}

json_t *schema_text_like(const char *pattern)
{
    json_t *text = schema_text();
    schema_put(text, "pattern", json_string(pattern));
    return text;
}

/* "edge.finish", or "edge.finish-bare" where lengths may be bare. */
static void name_here(Text *text, const Schema *schema, const char *name)
{
    text_addf(text, "%s%s", name, schema->bare ? "-bare" : "");
}

json_t *schema_ref(const Schema *schema, const char *name)
{
    Text path = {0};
    text_add(&path, "#/$defs/");
    name_here(&path, schema, name);
    json_t *reference = object_of("$ref", json_string(text_string(&path)));
    text_free(&path);
    return reference;
}

void schema_define(const Schema *schema, const char *name, json_t *definition)
{
    Text here = {0};
    name_here(&here, schema, name);
    schema_put(schema->defs, text_string(&here), definition);
    text_free(&here);
}

bool schema_defined(const Schema *schema, const char *name)
{
    Text here = {0};
    name_here(&here, schema, name);
    bool defined = json_object_get(schema->defs, text_string(&here)) != NULL;
    text_free(&here);
    return defined;
}

const json_t *schema_resolved(const Schema *schema, const json_t *given)
{
    const char *path = json_string_value(json_object_get(given, "$ref"));
    return path ? json_object_get(schema->defs, path + strlen("#/$defs/")) : given;
}

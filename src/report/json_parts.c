/* JSON over jansson, safe in every text. For src/report only. */
#include "report/json_parts.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void json_put(json_t *object, const char *key, json_t *value)
{
    if (value == NULL || json_object_set_new(object, key, value) != 0)
        out_of_memory();
}

void json_add(json_t *array, json_t *value)
{
    if (value == NULL || json_array_append_new(array, value) != 0)
        out_of_memory();
}

json_t *json_number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

json_t *json_count(size_t count)
{
    return json_integer((json_int_t)count);
}

json_t *json_text_or_null(const char *text)
{
    return text != NULL ? json_string(text) : json_null();
}

json_t *json_visible(const char *text)
{
    Text visible = {0};
    text_add_visible(&visible, text, strlen(text));
    json_t *string = json_string(text_string(&visible));
    text_free(&visible);
    return string;
}

/* jansson escapes all control characters but DEL, which stands in strings alone. */
static void add_without_delete(Text *text, const char *dump)
{
    for (const char *at = dump; *at != '\0';) {
        size_t length = strcspn(at, "\177");
        text_add_bytes(text, at, length);
        at += length;
        if (*at != '\0') {
            text_add(text, "\\u007f");
            at++;
        }
    }
}

void json_write(Text *text, json_t *value, size_t flags)
{
    bool rounded = (flags & JSON_REAL_PRECISION(31)) != 0;
    size_t digits = rounded ? 0 : JSON_REAL_PRECISION(17);
    char *dump = json_dumps(value, flags | digits | JSON_ENSURE_ASCII);
    if (dump == NULL)
        out_of_memory();
    add_without_delete(text, dump);
    text_add(text, "\n");
    free(dump);
    json_decref(value);
}

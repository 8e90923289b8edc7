/* What the JSON forms are built with: over jansson, which answers NULL and -1 only when memory is
 * short or text is not UTF-8. For src/report, and for commands that write JSON. */
#ifndef CORDWAIN_REPORT_JSON_PARTS_H
#define CORDWAIN_REPORT_JSON_PARTS_H

#include <jansson.h>

#include "report/told.h"

/* Takes `value`. */
void json_put(json_t *object, const char *key, json_t *value);
void json_add(json_t *array, json_t *value);
/* JSON knows no NaN and no infinity: null. */
json_t *json_number(double value);
json_t *json_count(size_t count);
json_t *json_text_or_null(const char *text);
/* Of a name that nobody has checked, such as a path: as text_add_visible() has it. */
json_t *json_visible(const char *text);
/* Adds the value and a newline, in ASCII; frees it. `flags` are jansson's; where they name no
 * precision, numbers have all 17 digits. */
void json_write(Text *text, json_t *value, size_t flags);

/* The pieces of form "findings/1", see findings_json.h. */
json_t *json_head(const Told *told, const Telling *telling, const char *form);
json_t *json_finding(const Told *told, const Finding *finding);
json_t *json_tally(const Judgement *judgement);

#endif

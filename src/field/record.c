/* Records and values read from YAML by the table of fields. For the models of
 * the style and the factory. */
#include "field/record.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/utf8.h"
#include "field/recall.h"

enum { ID_LENGTH_MOST = 63, ACCEPTED_MOST = 256 };

/* ---- Finding records by path ---- */

static size_t path_hash(const char *path)
{
    uint64_t hash = 14695981039346656037u; /* FNV-1a */
    for (; *path; path++)
        hash = (hash ^ (unsigned char)*path) * 1099511628211u;
    return (size_t)(hash ^ (hash >> 32));
}

/* The slot of `path`, or the empty one where it belongs. */
static Record **path_slot(Record **slots, size_t slot_count, const char *path)
{
    size_t at = path_hash(path) & (slot_count - 1);
    while (slots[at] && strcmp(slots[at]->path, path) != 0)
        at = (at + 1) & (slot_count - 1);
    return &slots[at];
}

static void list_index(Arena *arena, RecordList *list, Record *record)
{
    if (list->count * 2 > list->slot_count) {
        size_t room = list->slot_count ? list->slot_count * 2 : 16;
        Record **slots = ARENA_NEW(arena, Record *, room);
        for (size_t i = 0; i + 1 < list->count; i++)
            *path_slot(slots, room, list->items[i]->path) = list->items[i];
        list->slots = slots;
        list->slot_count = room;
    }
    *path_slot(list->slots, list->slot_count, record->path) = record;
}

Record *record_find(const RecordList *list, const char *path)
{
    return list->slot_count ? *path_slot(list->slots, list->slot_count, path) : NULL;
}

void record_add(Arena *arena, RecordList *list, Record *record)
{
    record->index = (uint32_t)list->count;
    *ARENA_PUSH(arena, list->items, list->count, list->capacity) = record;
    list_index(arena, list, record);
}

Record *record_new(Arena *arena, RecordList *list, Subject subject, const char *id,
                   const char *path, const YamlNode *node, const YamlNode *key, Record *owner)
{
    Record *record = ARENA_NEW(arena, Record, 1);
    *record = (Record){.subject = subject,
                       .first = field_first(subject),
                       .id = id,
                       .path = path,
                       .node = node,
                       .key = key,
                       .owner = owner};
    record->values = ARENA_NEW(arena, Value, (size_t)(field_end(subject) - record->first));
    record_add(arena, list, record);
    return record;
}

void record_unknown(Record *record, const YamlNode *node)
{
    size_t count = (size_t)(field_end(record->subject) - field_first(record->subject));
    for (size_t i = 0; i < count; i++)
        record->values[i] = (Value){.presence = VALUE_UNKNOWN, .node = node};
}

/* ---- Checks that every reader shares ---- */

static const char *node_kind(const YamlNode *node)
{
    return node->kind == YAML_MAPPING    ? "a mapping"
           : node->kind == YAML_SEQUENCE ? "a list"
                                         : "text";
}

bool mapping_check(const ReadContext *context, const YamlNode *node, const char *label)
{
    if (node->kind == YAML_MAPPING)
        return true;
    if (yaml_is_word(node, "unknown"))
        message_error(context->messages, yaml_where(node),
                      "%s cannot be unknown as a whole; name what there is, or leave it out",
                      label);
    else
        message_error(context->messages, yaml_where(node),
                      "%s is %s; expected names with their values, such as {name: value}", label,
                      node->kind == YAML_SCALAR && node->length == 0 ? "empty" : node_kind(node));
    return false;
}

bool scalar_holds(const YamlNode *node)
{
    return node->kind == YAML_SCALAR && node->length > 0 && !yaml_is_word(node, "?") &&
           !yaml_is_word(node, "~") && !yaml_is_word(node, "null");
}

bool scalar_check(const ReadContext *context, const YamlNode *node, const char *label,
                  const char *accepts)
{
    if (scalar_holds(node))
        return true;
    Where at = yaml_where(node);
    if (node->kind != YAML_SCALAR)
        message_error(context->messages, at, "%s is %s; expected %s", label, node_kind(node),
                      accepts);
    else if (yaml_is_word(node, "?"))
        message_error(context->messages, at, "%s is ?; write unknown, or %s", label, accepts);
    else
        message_error(context->messages, at, "%s has no value; write %s, or unknown", label,
                      accepts);
    return false;
}

void key_unknown(const ReadContext *context, const YamlNode *key, const char *const *known,
                 size_t count)
{
    if (messages_full(context->messages, yaml_where(key).file)) {
        message_error(context->messages, yaml_where(key), "unknown key");
        return;
    }
    const char *near = nearest_word(key->text, known, count);
    Text all = {0};
    if (near)
        text_addf(&all, "did you mean %s?", near);
    for (size_t i = 0; !near && i < count; i++)
        text_addf(&all, "%s%s", i ? ", " : count ? "known here: " : "", known[i]);
    message_error(context->messages, yaml_where(key), "unknown key %s; %s", quoted(key->text).text,
                  text_string(&all));
    text_free(&all);
}

static bool id_letter(uint32_t codepoint)
{
    return (codepoint >= 'a' && codepoint <= 'z') || (codepoint >= 'A' && codepoint <= 'Z') ||
           (codepoint >= '0' && codepoint <= '9') || codepoint == '-';
}

bool id_check(const ReadContext *context, const YamlNode *node)
{
    if (node->kind != YAML_SCALAR || node->length == 0) {
        message_error(context->messages, yaml_where(node),
                      "a name is missing here; names are letters, digits and -");
        return false;
    }
    for (size_t i = 0; i < node->length;) {
        uint32_t codepoint = (unsigned char)node->text[i];
        size_t used = utf8_decode(node->text + i, node->length - i, &codepoint);
        if (codepoint == ' ') {
            message_error(context->messages, yaml_where(node),
                          "the name %s holds a blank; names are letters a to z, digits and -",
                          quoted(node->text).text);
            return false;
        }
        if (!id_letter(codepoint)) {
            message_error(context->messages, yaml_where(node),
                          "the name %s holds U+%04X; names are letters a to z, digits and -",
                          quoted(node->text).text, (unsigned)codepoint);
            return false;
        }
        i += used ? used : 1;
    }
    if (node->length > ID_LENGTH_MOST) {
        message_error(context->messages, yaml_where(node),
                      "the name is %zu characters long; at most %d are taken", node->length,
                      (int)ID_LENGTH_MOST);
        return false;
    }
    if (strcmp(node->text, "unknown") == 0 || strcmp(node->text, "removed") == 0) {
        message_error(context->messages, yaml_where(node),
                      "%s has a meaning of its own and cannot be a name", quoted(node->text).text);
        return false;
    }
    return true;
}

/* ---- One value ---- */

/* What a field takes, in words: asked for only where it is said. */
typedef struct Accepted {
    char text[ACCEPTED_MOST];
} Accepted;

static Accepted accepted(const Field *field)
{
    Accepted accepted = {""};
    Text words = {0};
    field_accepts(&words, field);
    size_t length = words.length < ACCEPTED_MOST ? words.length : ACCEPTED_MOST - 1;
    memcpy(accepted.text, text_string(&words), length);
    text_free(&words);
    return accepted;
}

/* A scalar that holds something, or an error with what the field accepts. */
static bool field_scalar(const ReadContext *context, const Field *field, const YamlNode *node)
{
    return scalar_holds(node) || scalar_check(context, node, field->name, accepted(field).text);
}

/* To a quantity without unit "200 %" is a plain 2; for a count that is no way to write it. */
static bool is_percent_of_count(const YamlNode *node, const QuantityForm *form)
{
    return form->whole && strchr(node->text, '%') != NULL;
}

bool value_read_quantity(const ReadContext *context, const char *label, const char *accepts,
                         const QuantityForm *given, const YamlNode *node, Value *value)
{
    if (!scalar_check(context, node, label, accepts))
        return false;
    QuantityForm form = *given;
    if (dimension_equal(form.dimension, DIMENSION_LENGTH) && !form.needle)
        form.bare_length = context->bare_length;
    Text problem = {0};
    bool good = quantity_read(node->text, node->length, &form, &value->quantity, &problem);
    if (!good)
        message_error(context->messages, yaml_where(node), "%s: %s", label, text_string(&problem));
    else if (is_percent_of_count(node, &form)) {
        message_error(context->messages, yaml_where(node), "%s is %s; expected %s", label,
                      quoted(node->text).text, accepts);
        good = false;
    }
    text_free(&problem);
    value->presence = good && !value->quantity.unknown ? VALUE_KNOWN : VALUE_UNKNOWN;
    value->node = node;
    return good;
}

static bool bounds_check(const ReadContext *context, const Field *field, const YamlNode *node,
                         const Quantity *quantity)
{
    if (quantity->unknown || (quantity->lo >= field->least && quantity->hi <= field->most))
        return true;
    const Unit *unit = field_unit(field);
    Dimension dimension = unit ? unit->dimension : DIMENSION_NONE;
    bool point = unit && unit->point;
    Text least = {0}, most = {0};
    unit_write(&least, field->least, dimension, point, unit, false);
    unit_write(&most, field->most, dimension, point, unit, false);
    bool below = quantity->lo < field->least;
    message_error(context->messages, yaml_where(node), "%s is %s%s; it must be at %s %s",
                  field->name, quoted(node->text).text,
                  quantity->lo < quantity->hi && field->type == FIELD_NUMBER ? " with its tolerance"
                                                                             : "",
                  below ? "least" : "most", text_string(below ? &least : &most));
    text_free(&least);
    text_free(&most);
    return false;
}

static bool read_quantity(const ReadContext *context, const Field *field, const YamlNode *node,
                          Value *value)
{
    QuantityForm form = field_form(field);
    Accepted words = {""};
    if (!scalar_holds(node) || is_percent_of_count(node, &form))
        words = accepted(field);
    return value_read_quantity(context, field->name, words.text, &form, node, value) &&
           bounds_check(context, field, node, &value->quantity);
}

/* "36", "36..40": sizes, both included. */
static bool read_size_span(const ReadContext *context, const YamlNode *key, SizeValue *span)
{
    Text problem = {0};
    size_t used = decimal_read(key->text, key->length, false, &span->from, &problem);
    span->to = span->from;
    if (used && key->length > used + 2 && memcmp(key->text + used, "..", 2) == 0) {
        size_t more =
            decimal_read(key->text + used + 2, key->length - used - 2, false, &span->to, &problem);
        used = more ? used + 2 + more : 0;
    }
    text_free(&problem);
    if (used == key->length && used && span->from <= span->to)
        return true;
    message_error(context->messages, yaml_where(key),
                  "%s is no size; expected a size such as 42 or sizes such as 36..40",
                  quoted(key->text).text);
    return false;
}

static bool read_by_size(const ReadContext *context, const Field *field, const YamlNode *node,
                         Value *value)
{
    bool good = true;
    value->by_size = ARENA_NEW(context->arena, SizeValue, node->count);
    for (size_t i = 0; i < node->count; i++) {
        SizeValue *span = &value->by_size[value->by_size_count];
        Value one = {0};
        if (!read_size_span(context, node->keys[i], span) ||
            !read_quantity(context, field, node->items[i], &one)) {
            good = false;
            continue;
        }
        for (size_t k = 0; k < value->by_size_count; k++)
            if (span->from <= value->by_size[k].to && value->by_size[k].from <= span->to) {
                message_error_two(context->messages, yaml_where(node->keys[i]),
                                  yaml_where(value->by_size[k].node),
                                  "%s is given twice for the same size", field->name);
                good = false;
            }
        span->quantity = one.quantity;
        span->node = node->items[i];
        value->by_size_count++;
    }
    if (node->count == 0) {
        message_error(context->messages, yaml_where(node), "%s is empty; expected %s, or unknown",
                      field->name, accepted(field).text);
        good = false;
    }
    value->quantity = (Quantity){NAN, NAN, NAN, TOLERANCE_UNSAID, true};
    value->presence = VALUE_KNOWN;
    return good;
}

static bool read_word(const ReadContext *context, const Field *field, const YamlNode *node,
                      double *index)
{
    if (!field_scalar(context, field, node))
        return false;
    int found = word_index(field->words, node->text, node->length);
    *index = found;
    if (found >= 0)
        return true;
    const char *advice = word_advice(field->words, node->text, node->length);
    const char *near = nearest_word(node->text, field->words->words, field->words->count);
    if (advice)
        message_error(context->messages, yaml_where(node), "%s is %s; write %s", field->name,
                      quoted(node->text).text, advice);
    else if (near)
        message_error(context->messages, yaml_where(node), "%s is %s; did you mean %s? It is %s",
                      field->name, quoted(node->text).text, near, accepted(field).text);
    else
        message_error(context->messages, yaml_where(node), "%s is %s; expected %s", field->name,
                      quoted(node->text).text, accepted(field).text);
    return false;
}

static bool read_count(const ReadContext *context, const Field *field, const YamlNode *node,
                       double *count)
{
    if (!field_scalar(context, field, node))
        return false;
    Text problem = {0};
    size_t used = decimal_read(node->text, node->length, false, count, &problem);
    text_free(&problem);
    if (used == node->length && *count >= field->least && *count <= field->most &&
        floor(*count) == *count)
        return true;
    message_error(context->messages, yaml_where(node),
                  "%s holds %s; expected whole numbers from %g to %g such as [1, 2]", field->name,
                  quoted(node->text).text, field->least, field->most);
    return false;
}

static bool read_set(const ReadContext *context, const Field *field, const YamlNode *node,
                     Value *value)
{
    if (node->kind != YAML_SEQUENCE) {
        message_error(context->messages, yaml_where(node), "%s is %s; expected %s, or unknown",
                      field->name, node_kind(node), accepted(field).text);
        return false;
    }
    uint64_t seen = 0;
    bool good = true;
    for (size_t i = 0; i < node->count; i++) {
        double member = 0;
        if (!(field->type == FIELD_WORDS ? read_word(context, field, node->items[i], &member)
                                         : read_count(context, field, node->items[i], &member))) {
            good = false;
            continue;
        }
        uint64_t bit = (uint64_t)1 << (unsigned)member;
        if (seen & bit) {
            message_error(context->messages, yaml_where(node->items[i]), "%s names %s twice",
                          field->name, quoted(node->items[i]->text).text);
            good = false;
        }
        seen |= bit;
    }
    value->code = (double)seen;
    value->presence = VALUE_KNOWN;
    return good;
}

static bool read_truth(const ReadContext *context, const Field *field, const YamlNode *node,
                       Value *value)
{
    if (!field_scalar(context, field, node))
        return false;
    bool yes = yaml_is_word(node, "true");
    if (!yes && !yaml_is_word(node, "false")) {
        message_error(context->messages, yaml_where(node),
                      "%s is %s; write true or false without quotes (yes, no, on and off are not "
                      "taken)",
                      field->name, quoted(node->text).text);
        return false;
    }
    value->code = yes;
    value->presence = VALUE_KNOWN;
    return true;
}

/* Names are checked for form here: ids, two of them with a dot for an edge. */
static bool read_name(const ReadContext *context, const Field *field, const YamlNode *node,
                      Value *value)
{
    if (!field_scalar(context, field, node))
        return false;
    for (size_t i = 0; i < node->length; i++)
        if (!id_letter((unsigned char)node->text[i]) && node->text[i] != '.') {
            message_error(context->messages, yaml_where(node), "%s is %s; expected %s%s",
                          field->name, quoted(node->text).text, accepted(field).text,
                          node->text[i] == ' ' ? "; names hold no blanks" : "");
            return false;
        }
    value->text = node->text;
    value->presence = VALUE_KNOWN;
    return true;
}

static bool read_text(const ReadContext *context, const Field *field, const YamlNode *node,
                      Value *value)
{
    if (!field_scalar(context, field, node))
        return false;
    value->text = node->text;
    value->presence = VALUE_KNOWN;
    return true;
}

/* What a file must say it must also know, but for words: a machine whose kind
 * nobody knows yet is still a machine. */
static bool unknown_refused(const Field *field)
{
    return field->absence == ABSENT_REFUSED && field->type != FIELD_WORD;
}

bool value_read(const ReadContext *context, const Field *field, const YamlNode *node, Value *value)
{
    *value = (Value){.node = node, .presence = VALUE_UNKNOWN};
    if (yaml_is_word(node, "unknown")) {
        value->quantity = (Quantity){NAN, NAN, NAN, TOLERANCE_UNSAID, true};
        if (!unknown_refused(field))
            return true;
        message_error(context->messages, yaml_where(node), "%s cannot be unknown", field->name);
        return false;
    }
    switch (field->type) {
    case FIELD_NUMBER:
        if (field->subject == SUBJECT_HOLE && node->kind == YAML_MAPPING)
            return read_by_size(context, field, node, value);
        return read_quantity(context, field, node, value);
    case FIELD_RANGE:
        return read_quantity(context, field, node, value);
    case FIELD_WORD:
        value->presence = VALUE_KNOWN;
        return read_word(context, field, node, &value->code);
    case FIELD_WORDS:
    case FIELD_COUNTS:
        return read_set(context, field, node, value);
    case FIELD_TRUTH:
        return read_truth(context, field, node, value);
    case FIELD_TEXT:
        return read_text(context, field, node, value);
    case FIELD_NAME:
        return read_name(context, field, node, value);
    }
    return false;
}

/* ---- A mapping of fields ---- */

/* The keys known below `prefix` ("" or "skive."): of the table and of `extra`,
 * each once, without the prefix and without what follows a further dot. */
typedef struct Keys {
    const char **names;
    size_t count, capacity;
} Keys;

static void keys_add(Arena *arena, Keys *keys, const char *name, const char *prefix)
{
    size_t skip = strlen(prefix);
    if (strncmp(name, prefix, skip) != 0)
        return;
    const char *rest = name + skip;
    size_t length = strcspn(rest, ".");
    for (size_t i = 0; i < keys->count; i++)
        if (strlen(keys->names[i]) == length && memcmp(keys->names[i], rest, length) == 0)
            return;
    *ARENA_PUSH(arena, keys->names, keys->count, keys->capacity) = arena_copy(arena, rest, length);
}

/* What record_read() works with. */
typedef struct Mapping {
    const ReadContext *context;
    Record *record;
    const char *const *extra;
    size_t extra_count;
} Mapping;

static void unknown_field(const Mapping *mapping, const YamlNode *key, const char *prefix)
{
    Keys keys = {0};
    Arena *arena = mapping->context->arena;
    Subject subject = mapping->record->subject;
    for (FieldId id = field_first(subject); id < field_end(subject); id++)
        if (field_at(id)->absence != ABSENT_DERIVED)
            keys_add(arena, &keys, field_at(id)->name, prefix);
    for (size_t i = 0; i < mapping->extra_count; i++)
        keys_add(arena, &keys, mapping->extra[i], prefix);
    key_unknown(mapping->context, key, keys.names, keys.count);
}

static bool is_extra(const Mapping *mapping, const char *name)
{
    for (size_t i = 0; i < mapping->extra_count; i++)
        if (strcmp(mapping->extra[i], name) == 0)
            return true;
    return false;
}

static void read_field(const Mapping *mapping, FieldId id, const YamlNode *key,
                       const YamlNode *node)
{
    const Field *field = field_at(id);
    if (field->absence == ABSENT_DERIVED)
        message_error(mapping->context->messages, yaml_where(key),
                      "%s is worked out from the other values and is not written", field->name);
    else
        value_read(mapping->context, field, node, record_value(mapping->record, id));
}

/* What the field is called below the key, "width" for skive.width below skive;
 * NULL if it is not below it. */
static const char *name_below(FieldId id, const YamlNode *key)
{
    const char *name = field_at(id)->name;
    bool below = strncmp(name, key->text, key->length) == 0 && name[key->length] == '.';
    return below ? name + key->length + 1 : NULL;
}

static FieldId field_below(Subject subject, const YamlNode *key, const char *name)
{
    FieldId id = field_first(subject), end = field_end(subject);
    for (; id < end; id++) {
        const char *below = name_below(id, key);
        if (below && strcmp(below, name) == 0)
            return id;
    }
    return FIELD_ID_COUNT;
}

static void read_below(const Mapping *mapping, const YamlNode *group, const YamlNode *key,
                       const YamlNode *node)
{
    FieldId id = field_below(mapping->record->subject, group, key->text);
    if (id != FIELD_ID_COUNT) {
        read_field(mapping, id, key, node);
        return;
    }
    Arena *arena = mapping->context->arena;
    const char *prefix = arena_printf(arena, "%s.", group->text);
    if (!is_extra(mapping, arena_printf(arena, "%s%s", prefix, key->text)))
        unknown_field(mapping, key, prefix);
}

static void group_unnamed(const Mapping *mapping, const YamlNode *key, const YamlNode *node)
{
    Subject subject = mapping->record->subject;
    FieldId end = field_end(subject);
    Text form = {0};
    for (FieldId id = field_first(subject); id < end; id++)
        if (name_below(id, key))
            text_addf(&form, "%s%s: …", form.length ? ", " : "", name_below(id, key));
    message_error(mapping->context->messages, yaml_where(node),
                  "%s needs its parts named: write {%s}, or unknown", quoted(key->text).text,
                  text_string(&form));
    text_free(&form);
}

/* A key with fields below it, as `skive: {width: 8 mm}`. False if there are none. */
static bool read_group(const Mapping *mapping, const YamlNode *key, const YamlNode *node)
{
    Subject subject = mapping->record->subject;
    FieldId end = field_end(subject);
    bool group = false, unknown = yaml_is_word(node, "unknown");
    for (FieldId id = field_first(subject); id < end; id++) {
        if (!name_below(id, key))
            continue;
        group = true;
        if (unknown)
            value_read(mapping->context, field_at(id), node, record_value(mapping->record, id));
    }
    if (group && node->kind == YAML_MAPPING)
        for (size_t i = 0; i < node->count; i++)
            read_below(mapping, key, node->keys[i], node->items[i]);
    else if (group && !unknown)
        group_unnamed(mapping, key, node);
    return group;
}

static void refuse_absent(const Mapping *mapping, const YamlNode *node)
{
    Subject subject = mapping->record->subject;
    FieldId end = field_end(subject);
    for (FieldId id = field_first(subject); id < end; id++)
        if (field_at(id)->absence == ABSENT_REFUSED &&
            record_value(mapping->record, id)->presence == VALUE_ABSENT)
            message_error(mapping->context->messages, yaml_where(node), "%s %s is missing: %s",
                          subject_name(subject), field_at(id)->name, field_at(id)->means);
}

static void read_mapping(const ReadContext *context, Record *record, const YamlNode *node,
                         const char *const *extra, size_t extra_count)
{
    Mapping mapping = {context, record, extra, extra_count};
    for (size_t i = 0; i < node->count; i++) {
        const YamlNode *key = node->keys[i];
        FieldId id = field_find(record->subject, key->text, key->length);
        if (strchr(key->text, '.'))
            id = FIELD_ID_COUNT; /* skive.width is written {skive: {width: …}} */
        if (is_extra(&mapping, key->text))
            continue;
        if (id != FIELD_ID_COUNT)
            read_field(&mapping, id, key, node->items[i]);
        else if (!read_group(&mapping, key, node->items[i]))
            unknown_field(&mapping, key, "");
    }
    refuse_absent(&mapping, node);
}

/* What there is a message about is read again each time, so that it is told. */
void record_read(const ReadContext *context, Record *record, const YamlNode *node,
                 const char *const *extra, size_t extra_count)
{
    const Messages *messages = context->messages;
    size_t count = messages->count, errors = messages->errors;
    if (context->recall && recall_values(context->recall, record, node))
        return;
    read_mapping(context, record, node, extra, extra_count);
    if (context->recall && messages->count == count && messages->errors == errors)
        recall_keep(context->recall, context->arena, record, node);
}

/* ---- The head of a file ---- */

static void read_lengths(ReadContext *context, const YamlNode *node)
{
    static const char *const units[] = {"mm", "cm", "in"};
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++)
        if (yaml_is_word(node, units[i]))
            context->bare_length = unit_find(units[i], 2);
    if (!context->bare_length)
        message_error(context->messages, yaml_where(node),
                      "lengths is the unit of lengths written without one; expected mm, cm or in");
}

/* How a file of another kind than the one that is due is given. */
static const char *use_of_kind(const char *head)
{
    static const struct {
        const char *head, *use;
    } uses[] = {
        {"style/1", "; a style is judged by: cordwain check FILE"},
        {"factory/1", "; a factory goes with --factory FILE"},
        {"rules/1", "; rules are tried by: cordwain rules FILE, and go with --rules FOLDER"},
        {"log/1", "; a decision log is read with its style"},
    };
    for (size_t i = 0; i < sizeof uses / sizeof uses[0]; i++)
        if (strcmp(uses[i].head, head) == 0)
            return uses[i].use;
    return "";
}

bool file_head(ReadContext *context, const YamlFile *file, const char *kind)
{
    const YamlNode *root = file->root;
    Where at = yaml_where(root);
    if (root->kind != YAML_MAPPING || root->count == 0 ||
        strcmp(root->keys[0]->text, "cordwain") != 0) {
        const YamlNode *late = yaml_key(root, "cordwain");
        message_error(context->messages, late ? yaml_where(late) : at,
                      "the first line of a %s is \"cordwain: %s/1\"", kind, kind);
        return false;
    }
    const YamlNode *head = root->items[0];
    const char *expected = arena_printf(context->arena, "%s/1", kind);
    if (head->kind != YAML_SCALAR || strcmp(head->text, expected) != 0) {
        bool scalar = head->kind == YAML_SCALAR;
        message_error(context->messages, yaml_where(head), "this is %s; expected %s%s",
                      scalar ? quoted(head->text).text : "no kind of file", expected,
                      scalar ? use_of_kind(head->text) : "");
        return false;
    }
    const YamlNode *lengths = yaml_get(root, "lengths");
    if (lengths)
        read_lengths(context, lengths);
    return true;
}

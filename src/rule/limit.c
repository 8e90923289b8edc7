/* Limits: named numbers that rules read, by a word or not. limits_read() is for
 * src/rule; limit_value() for everyone. */
#include <math.h>
#include <string.h>

#include "rule/rule_inner.h"

const LimitValue *limit_value(const Limit *limit, double word)
{
    const LimitValue *otherwise = limit->otherwise.given ? &limit->otherwise : NULL;
    if (limit->by == FIELD_ID_COUNT) {
        return otherwise;
    }
    if (isnan(word)) {
        return NULL;
    }
    const LimitValue *row = &limit->values[(size_t)word];
    return row->given ? row : otherwise;
}

Limit *rules_limit(const RuleSet *set, const char *name)
{
    for (size_t i = 0; i < set->limit_count; i++) {
        if (strcmp(set->limits[i]->name, name) == 0) {
            return set->limits[i];
        }
    }
    return NULL;
}

bool rules_name_taken(const RuleSet *set, const char *name, Where *at)
{
    const Limit *limit = rules_limit(set, name);
    const RuleConstant *constant = rules_constant(set, name, strlen(name));
    const RuleTable *table = rules_table(set, name, strlen(name));
    if (limit || constant || table) {
        *at = limit ? limit->at : constant ? constant->at : table->at;
    }
    return limit || constant || table;
}

static bool ends_in(const char *name, const char *end)
{
    size_t length = strlen(name), tail = strlen(end);
    return length > tail && strcmp(name + length - tail, end) == 0;
}

static Stricter stricter_of(const char *name)
{
    return ends_in(name, "_least")  ? STRICTER_HIGHER
           : ends_in(name, "_most") ? STRICTER_LOWER
                                    : STRICTER_NEITHER;
}

size_t limit_word_count(const Limit *limit)
{
    if (limit->by == FIELD_ID_COUNT) {
        return 0;
    }
    const Field *field = field_at(limit->by);
    return field->type == FIELD_TRUTH ? 2 : field->words->count;
}

int limit_word(const Limit *limit, const YamlNode *key, Messages *messages)
{
    static const char *const truths[] = {"false", "true"};
    const Field *field = field_at(limit->by);
    bool is_truth = field->type == FIELD_TRUTH;
    return key_word(key, is_truth ? "truth" : field->words->name,
                    is_truth ? truths : field->words->words, limit_word_count(limit), messages);
}

/* What all rows of one limit share while it is read. */
typedef struct LimitReader {
    RuleSet *set;
    Limit *limit;
    LimitValue common;
    QuantityType type;
} LimitReader;

static void read_row(LimitReader *reader, LimitValue *row, const YamlNode *node)
{
    *row = reader->common;
    row->at = yaml_where(node);
    row->given = quantity_of_node(node, &reader->type, &row->quantity, reader->set->messages);
}

static void read_rows(LimitReader *reader, const YamlNode *values)
{
    Messages *messages = reader->set->messages;
    Limit *limit = reader->limit;
    limit->values = ARENA_NEW(&reader->set->arena, LimitValue, limit_word_count(limit));
    ReadContext context = {.messages = messages};
    bool right = mapping_check(&context, values, "values");
    for (size_t i = 0; right && i < values->count; i++) {
        const YamlNode *key = values->keys[i];
        if (strcmp(key->text, "else") == 0) {
            read_row(reader, &limit->otherwise, values->items[i]);
            continue;
        }
        int word = limit_word(limit, key, messages);
        if (word >= 0) {
            read_row(reader, &limit->values[word], values->items[i]);
        }
    }
}

static bool read_by(LimitReader *reader, const YamlNode *by)
{
    Limit *limit = reader->limit;
    Messages *messages = reader->set->messages;
    if (!field_of_node(&reader->set->arena, by, &limit->by, messages)) {
        return false;
    }
    FieldType type = field_at(limit->by)->type;
    if (type != FIELD_WORD && type != FIELD_TRUTH) {
        message_error(messages, yaml_where(by), "a limit goes by a word or a truth; %s is neither",
                      by->text);
        return false;
    }
    return true;
}

static void read_values(LimitReader *reader, const YamlNode *node)
{
    const YamlNode *by = yaml_get(node, "by"), *value = yaml_get(node, "value");
    const YamlNode *values = yaml_get(node, "values");
    if (by && !read_by(reader, by)) {
        return;
    }
    if (by && values && !value) {
        read_rows(reader, values);
    } else if (!by && value && !values) {
        read_row(reader, &reader->limit->otherwise, value);
    } else {
        const YamlNode *odd = by ? yaml_key(node, "value") : yaml_key(node, "values");
        message_error(reader->set->messages, yaml_where(odd ? odd : node),
                      "a limit has `value`, or `by` and `values`");
    }
}

static void read_own(LimitReader *reader, const YamlNode *own)
{
    Limit *limit = reader->limit;
    Messages *messages = reader->set->messages;
    if (!own || !field_of_node(&reader->set->arena, own, &limit->own, messages)) {
        return;
    }
    const Field *field = field_at(limit->own);
    const Unit *unit = field_unit(field);
    Type type = {.dimension = unit ? unit->dimension : DIMENSION_NONE,
                 .point = unit && unit->point};
    if (field->type != FIELD_NUMBER || !type_equal(type, limit->type)) {
        message_error(messages, yaml_where(own), "%s is not of the kind of this limit", own->text);
        limit->own = FIELD_ID_COUNT;
    }
}

static void limit_read(RuleSet *set, const YamlNode *key, const YamlNode *node, const char *set_by)
{
    static const char *const keys[] = {"means", "by",    "values", "value",
                                       "own",   "fixed", "basis",  "source"};
    Messages *messages = set->messages;
    Limit *limit = ARENA_NEW(&set->arena, Limit, 1);
    LimitReader reader = {.set = set, .limit = limit, .common = {.set_by = set_by}};
    size_t before = messages->errors;
    limit->name = key->text;
    limit->by = limit->own = FIELD_ID_COUNT;
    limit->stricter = stricter_of(key->text);
    limit->at = yaml_where(key);
    *ARENA_PUSH(&set->arena, set->limits, set->limit_count, set->limit_capacity) = limit;
    if (!name_check(key, "limit", messages) || !keys_check(node, "a limit", keys, 8, messages)) {
        return;
    }
    limit->means = key_text_due(node, "means", "a limit", messages);
    limit->fixed = key_truth(node, "fixed", messages);
    key_basis(node, true, "a limit", &reader.common.basis, &reader.common.source, messages);
    read_values(&reader, node);
    limit->type = reader.type.type;
    limit->unit = reader.type.unit;
    if (!reader.type.known && messages->errors == before) {
        message_error(messages, limit->at, "no value of %s says what it is", limit->name);
    }
    read_own(&reader, yaml_get(node, "own"));
}

void limits_read(RuleSet *set, const YamlNode *mapping, const char *set_by)
{
    names_read(set, mapping, "limits", set_by, limit_read);
}

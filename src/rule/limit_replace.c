/* What a factory puts in place of limits: which value wins, what it beat, and
 * when a reason is due. For src/rule only. */
#include <string.h>

#include "rule/rule_inner.h"

/* One limit as a factory replaces it. */
typedef struct Replacing {
    RuleSet *set;
    Limit *limit;
    LimitValue common; /* basis, source, reason, set_by of all rows */
} Replacing;

/* Whether `value` asks less than `held`: by its middle or by its lenient end. */
static bool looser(const Limit *limit, const Quantity *value, const Quantity *held)
{
    if (limit->stricter == STRICTER_HIGHER) {
        return value->nominal < held->nominal || value->lo < held->lo;
    }
    return limit->stricter == STRICTER_LOWER &&
           (value->nominal > held->nominal || value->hi > held->hi);
}

static const char *critical_reader(const RuleSet *set, const Limit *limit)
{
    for (size_t i = 0; i < set->rule_count; i++) {
        const Rule *rule = set->rules[i];
        for (size_t k = 0; rule->class == CLASS_CRITICAL && k < rule->limit_count; k++) {
            if (rule->limits[k] == limit) {
                return rule->id;
            }
        }
    }
    return NULL;
}

static void value_text(Text *text, const Limit *limit, const Quantity *quantity)
{
    unit_write(text, quantity->nominal, limit->type.dimension, limit->type.point, limit->unit,
               true);
}

/* No limit is below zero that the rules' own value is not below. */
static bool is_sensible(const Replacing *replacing, const LimitValue *held, const LimitValue *value)
{
    const Limit *limit = replacing->limit;
    bool below = value->quantity.nominal < 0 || value->quantity.lo < 0;
    if (!below || (held && held->quantity.lo < 0)) {
        return true;
    }
    Text text = {0};
    value_text(&text, limit, &value->quantity);
    message_error_two(replacing->set->messages, value->at, held ? held->at : limit->at,
                      value->quantity.nominal < 0 ? "%s cannot be negative, as %s is"
                                                  : "%s cannot be negative: %s less its tolerance is",
                      limit->name, text_string(&text));
    text_free(&text);
    return false;
}

/* Whether the new value may stand; false after a message. */
static bool allowed(const Replacing *replacing, const LimitValue *held, const LimitValue *value)
{
    const Limit *limit = replacing->limit;
    Messages *messages = replacing->set->messages;
    bool sided = limit->stricter != STRICTER_NEITHER;
    bool loosens =
        held && !held->quantity.unknown && looser(limit, &value->quantity, &held->quantity);
    Text change = {0};
    if (held) {
        value_text(&change, limit, &held->quantity);
        text_add(&change, " to ");
        value_text(&change, limit, &value->quantity);
    }
    size_t before = messages->errors;
    if (limit->fixed && (loosens || !sided)) {
        message_error_two(messages, value->at, held ? held->at : limit->at,
                          "%s is fixed: no factory may loosen it", limit->name);
    } else if (!sided && !value->reason) {
        message_error_two(messages, value->at, held ? held->at : limit->at,
                          "%s has no stricter side: replacing it needs a reason", limit->name);
    } else if (loosens && limit->read_by_critical && !value->reason) {
        message_error_two(
            messages, value->at, held->at,
            "%s is loosened from %s, and the critical rule %s reads it: give a reason", limit->name,
            text_string(&change), critical_reader(replacing->set, limit));
    }
    text_free(&change);
    return messages->errors == before;
}

/* A value for a row that this factory has set already: the stricter stands. */
static bool gives_way(const Replacing *replacing, const LimitValue *row, const LimitValue *value)
{
    const Limit *limit = replacing->limit;
    if (limit->stricter == STRICTER_NEITHER) {
        message_error_two(replacing->set->messages, value->at, row->at,
                          "%s is given twice, and it has no stricter side", limit->name);
        return true;
    }
    return looser(limit, &value->quantity, &row->quantity);
}

/* False after a message. */
static bool replace_row(const Replacing *replacing, LimitValue *row, const YamlNode *node)
{
    RuleSet *set = replacing->set;
    Limit *limit = replacing->limit;
    LimitValue value = replacing->common;
    QuantityType type = {limit->type, limit->unit, true};
    if (!quantity_of_node(node, &type, &value.quantity, set->messages)) {
        return false;
    }
    value.given = true;
    value.at = yaml_where(node);
    const LimitValue *held = row->given ? row : limit->otherwise.given ? &limit->otherwise : NULL;
    bool again = held && held->set_by == value.set_by;
    if (!is_sensible(replacing, held, &value)) {
        return false;
    }
    if (again && gives_way(replacing, held, &value)) {
        return true;
    }
    held = again ? held->beaten : held;
    if (!allowed(replacing, held, &value)) {
        return false;
    }
    if (held) {
        value.beaten = ARENA_NEW(&set->arena, LimitValue, 1);
        *value.beaten = *held;
    }
    *row = value;
    return true;
}

/* Rows first: a word without a row shows what `else` was, not what it became. */
static void replace_all(const Replacing *replacing, const YamlNode *node)
{
    Limit *limit = replacing->limit;
    for (size_t i = 0; i < limit_word_count(limit); i++) {
        if (limit->values[i].given && !replace_row(replacing, &limit->values[i], node)) {
            return; /* the other rows would only say it again */
        }
    }
    replace_row(replacing, &limit->otherwise, node);
}

static bool is_own_key(const char *key)
{
    return strcmp(key, "reason") == 0 || strcmp(key, "basis") == 0 || strcmp(key, "source") == 0 ||
           strcmp(key, "value") == 0 || strcmp(key, "else") == 0;
}

static void replace_by_words(const Replacing *replacing, const YamlNode *node)
{
    Limit *limit = replacing->limit;
    Messages *messages = replacing->set->messages;
    const YamlNode *value = yaml_get(node, "value"), *otherwise = yaml_get(node, "else");
    if (value) {
        replace_all(replacing, value);
    }
    for (size_t i = 0; i < node->count; i++) {
        const YamlNode *key = node->keys[i];
        if (is_own_key(key->text)) {
            continue;
        }
        if (limit->by == FIELD_ID_COUNT) {
            static const char *const keys[] = {"value", "reason", "basis", "source"};
            key_word(key, "key here: this limit goes by no word", keys, 4, messages);
            continue;
        }
        int word = limit_word(limit, key, messages);
        if (word >= 0) {
            replace_row(replacing, &limit->values[word], node->items[i]);
        }
    }
    if (otherwise && limit->by != FIELD_ID_COUNT) {
        replace_row(replacing, &limit->otherwise, otherwise);
    } else if (otherwise) {
        message_error(messages, yaml_where(otherwise), "%s goes by no word: write value",
                      limit->name);
    }
}

/* False after a message where the mapping gives nothing but reason, basis, source. */
static bool gives_value(const Replacing *replacing, const YamlNode *node)
{
    for (size_t i = 0; i < node->count; i++) {
        const char *key = node->keys[i]->text;
        if (strcmp(key, "reason") != 0 && strcmp(key, "basis") != 0 && strcmp(key, "source") != 0) {
            return true;
        }
    }
    message_error(replacing->set->messages, yaml_where(node), "%s has no value here: give a value",
                  replacing->limit->name);
    return false;
}

static void limit_unknown(RuleSet *set, const YamlNode *key)
{
    const char **names = ARENA_NEW(&set->arena, const char *, set->limit_count);
    for (size_t i = 0; i < set->limit_count; i++) {
        names[i] = set->limits[i]->name;
    }
    message_error(set->messages, yaml_where(key), "no rule file has a limit %s%s", key->text,
                  nearest_hint(&set->arena, key->text, names, set->limit_count));
}

static void replace_limit(RuleSet *set, const char *set_by, const YamlNode *key,
                          const YamlNode *node)
{
    Where at;
    Replacing replacing = {
        .set = set,
        .limit = rules_limit(set, key->text),
        .common = {
                   .set_by = set_by, .basis = BASIS_MEMORY, .source = "the factory gives no source"}
    };
    if (!replacing.limit && rules_name_taken(set, key->text, &at)) {
        message_error_two(set->messages, yaml_where(key), at,
                          "%s is closed to factories: it is no limit", key->text);
    } else if (!replacing.limit) {
        limit_unknown(set, key);
    } else if (node->kind == YAML_MAPPING) {
        const YamlNode *reason = yaml_get(node, "reason");
        replacing.common.reason = key_text(node, "reason", set->messages);
        bool said = !replacing.common.reason || reason_check(reason, set->messages);
        key_basis(node, false, "a limit", &replacing.common.basis, &replacing.common.source,
                  set->messages);
        if (gives_value(&replacing, node) && said) {
            replace_by_words(&replacing, node);
        }
    } else {
        replace_all(&replacing, node);
    }
}

void limits_replace(RuleSet *set, const Factory *factory)
{
    const YamlNode *limits = factory->limits;
    ReadContext context = {.messages = set->messages};
    bool right = limits && mapping_check(&context, limits, "limits");
    for (size_t i = 0; right && i < limits->count; i++) {
        if (!reading_goes_on(set->messages, limits->keys[i])) {
            return;
        }
        replace_limit(set, factory->name, limits->keys[i], limits->items[i]);
    }
}

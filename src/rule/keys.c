/* Keys, texts and quantities of rule files, with their messages. For the
 * readers of src/rule only. */
#include <string.h>

#include "rule/rule_inner.h"

const char *nearest_hint(Arena *arena, const char *word, const char *const *words, size_t count)
{
    const char *nearest = nearest_word(word, words, count);
    return nearest ? arena_printf(arena, "; did you mean %s?", nearest) : "";
}

bool reading_goes_on(const Messages *messages, const YamlNode *node)
{
    return !messages_full(messages, node->file->path);
}

bool keys_check(const YamlNode *node, const char *what, const char *const *keys, size_t count,
                Messages *messages)
{
    ReadContext context = {.messages = messages};
    bool right = mapping_check(&context, node, what);
    for (size_t i = 0; right && i < node->count; i++) {
        bool known = false;
        for (size_t k = 0; k < count; k++) {
            known = known || strcmp(node->keys[i]->text, keys[k]) == 0;
        }
        if (!known) {
            key_unknown(&context, node->keys[i], keys, count);
        }
    }
    return right;
}

const char *key_text(const YamlNode *mapping, const char *key, Messages *messages)
{
    const YamlNode *node = yaml_get(mapping, key);
    if (!node) {
        return NULL;
    }
    ReadContext context = {.messages = messages};
    return scalar_check(&context, node, key, "text") ? node->text : NULL;
}

bool reason_check(const YamlNode *node, Messages *messages)
{
    const char *text = node->text + strspn(node->text, " \t\r\n");
    size_t length = strlen(text);
    while (length > 0 && strchr(" \t\r\n", text[length - 1])) {
        length--;
    }
    bool said = length > 0 && !(length == 7 && strncmp(text, "unknown", 7) == 0);
    if (!said) {
        message_error(messages, yaml_where(node), "this is no reason; say why");
    }
    return said;
}

const char *key_text_due(const YamlNode *mapping, const char *key, const char *what,
                         Messages *messages)
{
    if (!yaml_get(mapping, key)) {
        message_error(messages, yaml_where(mapping), "%s needs `%s`", what, key);
        return NULL;
    }
    return key_text(mapping, key, messages);
}

bool key_truth(const YamlNode *mapping, const char *key, Messages *messages)
{
    const YamlNode *node = yaml_get(mapping, key);
    if (!node || yaml_is_word(node, "false")) {
        return false;
    }
    if (!yaml_is_word(node, "true")) {
        message_error(messages, yaml_where(node), "%s must be true or false", key);
    }
    return true;
}

/* The word is not among `words`: says so, with the nearest or all of them. */
static void unknown_word(const YamlNode *node, const char *what, const char *const *words,
                         size_t count, Messages *messages)
{
    const char *near = nearest_word(node->text, words, count);
    Text known = {0};
    if (near) {
        text_addf(&known, "; did you mean %s?", near);
    }
    for (size_t i = 0; !near && i < count; i++) {
        text_addf(&known, "%s%s", i == 0 ? "; known are " : ", ", words[i]);
    }
    message_error(messages, yaml_where(node), "%s is no %s%s", node->text, what,
                  text_string(&known));
    text_free(&known);
}

int key_word(const YamlNode *node, const char *what, const char *const *words, size_t count,
             Messages *messages)
{
    ReadContext context = {.messages = messages};
    if (!scalar_check(&context, node, what, "a word")) {
        return -1;
    }
    for (size_t i = 0; i < count; i++) {
        if (strcmp(node->text, words[i]) == 0) {
            return (int)i;
        }
    }
    unknown_word(node, what, words, count, messages);
    return -1;
}

static const char *const basis_words[] = {"published", "measured", "common practice",
                                          "from memory"};

const char *basis_name(Basis basis)
{
    return basis_words[basis];
}

bool key_basis(const YamlNode *mapping, bool due, const char *what, Basis *basis,
               const char **source, Messages *messages)
{
    const YamlNode *node = yaml_get(mapping, "basis");
    const char *told = due ? key_text_due(mapping, "source", what, messages)
                           : key_text(mapping, "source", messages);
    *basis = BASIS_MEMORY;
    *source = told ? told : *source;
    if (!node) {
        if (due) {
            message_error(messages, yaml_where(mapping),
                          "%s needs `basis`: published, measured, common practice or from memory",
                          what);
        }
        return !due;
    }
    int word = key_word(node, "basis", basis_words, 4, messages);
    *basis = word < 0 ? BASIS_MEMORY : (Basis)word;
    return word >= 0 && (told || !due);
}

/* The unit a quantity is written with, after or before its number; NULL if none. */
static const Unit *unit_in(const char *text, size_t length)
{
    for (size_t i = 1; i < length; i++) {
        const Unit *unit =
            digit(text[i - 1]) || text[i - 1] == ' ' ? unit_find(text + i, length - i) : NULL;
        if (unit) {
            return unit;
        }
    }
    const char *blank = memchr(text, ' ', length);
    return blank ? unit_find(text, (size_t)(blank - text)) : NULL;
}

/* `lengths: mm` of the file in which a known kind of value is given. */
static const Unit *bare_length_of(const YamlNode *node)
{
    const YamlNode *lengths = yaml_get(node->file->root, "lengths");
    return lengths && lengths->kind == YAML_SCALAR ? unit_find(lengths->text, lengths->length)
                                                   : NULL;
}

bool quantity_of_node(const YamlNode *node, QuantityType *type, Quantity *quantity,
                      Messages *messages)
{
    ReadContext context = {.messages = messages};
    bool length = type->known && dimension_equal(type->type.dimension, DIMENSION_LENGTH);
    if (!scalar_check(&context, node, "this value", "a number with its unit, such as 3 mm")) {
        return false;
    }
    if (!type->known && !yaml_is_word(node, "unknown")) {
        type->unit = unit_in(node->text, node->length);
        type->type = (Type){.kind = TYPE_NUMBER};
        if (type->unit) {
            type->type.dimension = type->unit->dimension;
            type->type.point = type->unit->point;
        }
        type->known = true;
    }
    Dimension dimension = type->type.dimension;
    QuantityForm form = {.dimension = dimension,
                         .point = type->type.point,
                         .needle = type->unit && type->unit->needle,
                         .bare = dimension_equal(dimension, DIMENSION_NONE),
                         .bare_length = length ? bare_length_of(node) : NULL,
                         .shown = type->unit};
    Text problem = {0};
    bool read = quantity_read(node->text, node->length, &form, quantity, &problem);
    if (!read) {
        message_error(messages, yaml_where(node), "%s", text_string(&problem));
    }
    text_free(&problem);
    return read;
}

bool name_check(const YamlNode *key, const char *what, Messages *messages)
{
    Function function;
    if (!name_is_well_formed(key->text, key->length)) {
        message_error(messages, yaml_where(key),
                      "the name of a %s is a letter, then letters, digits and _, 63 at most", what);
    } else if (name_is_reserved(key->text, key->length)) {
        message_error(messages, yaml_where(key), "%s is a word of the rule language", key->text);
    } else if (function_find(key->text, key->length, &function)) {
        message_error(messages, yaml_where(key), "%s is a function", key->text);
    } else {
        return true;
    }
    return false;
}

void names_read(RuleSet *set, const YamlNode *mapping, const char *label, const char *set_by,
                NameReader *read)
{
    ReadContext context = {.messages = set->messages};
    bool right = mapping && mapping_check(&context, mapping, label);
    for (size_t i = 0; right && i < mapping->count; i++) {
        const YamlNode *key = mapping->keys[i];
        Where taken;
        if (!reading_goes_on(set->messages, key)) {
            return;
        }
        if (rules_name_taken(set, key->text, &taken)) {
            message_error_two(set->messages, yaml_where(key), taken, "%s is there already",
                              key->text);
        } else {
            read(set, key, mapping->items[i], set_by);
        }
    }
}

static bool field_unknown(Arena *arena, const YamlNode *node, Subject subject, const char *name,
                          Messages *messages)
{
    FieldId first = field_first(subject), end = field_end(subject);
    const char **names = ARENA_NEW(arena, const char *, (size_t)(end - first));
    for (FieldId id = first; id < end; id++) {
        names[id - first] = field_at(id)->name;
    }
    message_error(messages, yaml_where(node), "%s is no field of %s%s", name, subject_name(subject),
                  nearest_hint(arena, name, names, (size_t)(end - first)));
    return false;
}

bool field_of_node(Arena *arena, const YamlNode *node, FieldId *field, Messages *messages)
{
    const char *text = node->kind == YAML_SCALAR ? node->text : "";
    const char *point = strchr(text, '.');
    Subject subject;
    if (!point || !subject_find(text, (size_t)(point - text), &subject)) {
        message_error(messages, yaml_where(node),
                      "a subject and its field are expected, such as material.kind");
        return false;
    }
    *field = field_find(subject, point + 1, strlen(point + 1));
    return *field != FIELD_ID_COUNT || field_unknown(arena, node, subject, point + 1, messages);
}

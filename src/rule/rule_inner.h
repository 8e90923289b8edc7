/* What the files that read rule files share. For src/rule only. */
#ifndef CORDWAIN_RULE_RULE_INNER_H
#define CORDWAIN_RULE_RULE_INNER_H

#include "rule/formula_inner.h"

/* A number with a name, closed to factories. */
typedef struct RuleConstant {
    const char *name;
    Type type;
    const Unit *unit;
    double value;
    Basis basis;
    const char *source; /* NULL: mathematics */
    Where at;
} RuleConstant;

/* keys.c: mappings, texts and quantities of rule files. */
/* False after a message for a node that is no mapping; a key not in the list is
 * an error too, but reading goes on with the others. */
bool keys_check(const YamlNode *node, const char *what, const char *const *keys, size_t count,
                Messages *messages);
/* Whether a text says a reason: neither blank nor `unknown`. A message if not. */
bool reason_check(const YamlNode *node, Messages *messages);
/* The text under `key`; NULL if absent, or after a message if it is no text. */
const char *key_text(const YamlNode *mapping, const char *key, Messages *messages);
/* The same; absence is an error at `mapping`. */
const char *key_text_due(const YamlNode *mapping, const char *key, const char *what,
                         Messages *messages);
/* `true` or `false` under `key`; false if absent. */
bool key_truth(const YamlNode *mapping, const char *key, Messages *messages);
/* Basis and source of a limit, constant or table; absent is an error if `due`,
 * else "from memory" and `source` stays. */
bool key_basis(const YamlNode *mapping, bool due, const char *what, Basis *basis,
               const char **source, Messages *messages);
/* A word of the list, as an index; -1 after a message. */
int key_word(const YamlNode *node, const char *what, const char *const *words, size_t count,
             Messages *messages);
/* Whether readers go on with this node: a file full of errors is left. */
bool reading_goes_on(const Messages *messages, const YamlNode *node);
/* `nearest` as ", did you mean X?" or "". In the arena. */
const char *nearest_hint(Arena *arena, const char *word, const char *const *words, size_t count);
/* Reads a quantity. While not `known`, the type is what its unit says, and is
 * known from then on; later ones must agree. False after a message. */
typedef struct QuantityType {
    Type type;
    const Unit *unit;
    bool known;
} QuantityType;
bool quantity_of_node(const YamlNode *node, QuantityType *type, Quantity *quantity,
                      Messages *messages);
/* A name that limits, constants, tables and lets may have. False after a message. */
bool name_check(const YamlNode *key, const char *what, Messages *messages);
/* Reads each name of a section (limits, constants, tables; NULL: none) that no
 * other of them has taken. */
typedef void NameReader(RuleSet *set, const YamlNode *key, const YamlNode *node,
                        const char *set_by);
void names_read(RuleSet *set, const YamlNode *mapping, const char *label, const char *set_by,
                NameReader *read);
/* "material.kind": subject and field. False after a message. */
bool field_of_node(Arena *arena, const YamlNode *node, FieldId *field, Messages *messages);

/* limit.c, limit_replace.c, table.c */
void limits_read(RuleSet *set, const YamlNode *mapping, const char *set_by);
/* How many words a limit goes by, and which one a key is (-1 after a message). */
size_t limit_word_count(const Limit *limit);
int limit_word(const Limit *limit, const YamlNode *key, Messages *messages);
void limits_replace(RuleSet *set, const Factory *factory);
void constants_read(RuleSet *set, const YamlNode *mapping);
void tables_read(RuleSet *set, const YamlNode *mapping);
RuleConstant *rules_constant(const RuleSet *set, const char *name, size_t length);
RuleTable *rules_table(const RuleSet *set, const char *name, size_t length);
/* Where a limit, constant or table of that name is written; false if none is. */
bool rules_name_taken(const RuleSet *set, const char *name, Where *at);

/* rule_read.c, say.c */
void rules_of_mapping(RuleSet *set, const YamlNode *mapping);
bool say_read(RuleSet *set, Rule *rule, const YamlNode *node);
bool gives_read(RuleSet *set, Rule *rule, const YamlNode *node);

#endif

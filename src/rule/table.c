/* Tables and constants of rule files. The readers are for src/rule only;
 * table_value() is for everyone. */
#include <math.h>
#include <string.h>

#include "rule/rule_inner.h"

/* A row met within the rounding that comparisons forgive is that row. */
static bool on_row(double input, double row)
{
    return fabs(input - row) <= 1e-9 * fmax(fabs(input), fabs(row));
}

double table_value(const RuleTable *table, double input)
{
    for (size_t i = 0; i < table->count; i++) {
        double row = table->inputs[i];
        if (on_row(input, row)) {
            return table->outputs[i];
        }
        if (input < row && i > 0) {
            double before = table->outputs[i - 1], after = table->outputs[i];
            double share = (input - table->inputs[i - 1]) / (row - table->inputs[i - 1]);
            return table->between == BETWEEN_BELOW   ? before
                   : table->between == BETWEEN_ABOVE ? after
                                                     : before + share * (after - before);
        }
        if (!(input > row)) {
            return NAN;
        }
    }
    return NAN;
}

RuleTable *rules_table(const RuleSet *set, const char *name, size_t length)
{
    for (size_t i = 0; i < set->table_count; i++) {
        const char *other = set->tables[i]->name;
        if (strlen(other) == length && memcmp(other, name, length) == 0) {
            return set->tables[i];
        }
    }
    return NULL;
}

RuleConstant *rules_constant(const RuleSet *set, const char *name, size_t length)
{
    for (size_t i = 0; i < set->constant_count; i++) {
        const char *other = set->constants[i].name;
        if (strlen(other) == length && memcmp(other, name, length) == 0) {
            return &set->constants[i];
        }
    }
    return NULL;
}

static void constant_read(RuleSet *set, const YamlNode *key, const YamlNode *node,
                          const char *set_by)
{
    (void)set_by;
    static const char *const keys[] = {"value", "means", "basis", "source"};
    Messages *messages = set->messages;
    Quantity quantity;
    QuantityType type = {0};
    const YamlNode *value = node;
    RuleConstant *constant =
        ARENA_PUSH(&set->arena, set->constants, set->constant_count, set->constant_capacity);
    *constant = (RuleConstant){0};
    constant->name = key->text;
    constant->at = yaml_where(key);
    constant->basis = BASIS_PUBLISHED;
    if (node->kind == YAML_MAPPING) {
        value = yaml_get(node, "value");
        keys_check(node, "a constant", keys, 4, messages);
        key_text(node, "means", messages);
        key_basis(node, true, "a constant", &constant->basis, &constant->source, messages);
    }
    if (!name_check(key, "constant", messages)) {
        return;
    }
    if (!value) {
        message_error(messages, yaml_where(node), "a constant needs `value`");
    } else if (quantity_of_node(value, &type, &quantity, messages)) {
        constant->type = type.type;
        constant->unit = type.unit;
        constant->value = quantity.nominal;
        if (quantity.unknown || quantity.lo < quantity.hi) {
            message_error(messages, yaml_where(value),
                          "a constant is one known number without tolerance");
        }
    }
}

void constants_read(RuleSet *set, const YamlNode *mapping)
{
    names_read(set, mapping, "constants", NULL, constant_read);
}

/* `tex`, or `number` for a plain one. */
static bool read_column(const YamlNode *node, const char *key, QuantityType *type,
                        Messages *messages)
{
    const char *text = key_text_due(node, key, "a table", messages);
    if (!text) {
        return false;
    }
    *type = (QuantityType){.known = true, .type = {.kind = TYPE_NUMBER}};
    if (strcmp(text, "number") == 0) {
        return true;
    }
    type->unit = unit_find(text, strlen(text));
    if (!type->unit) {
        message_error(messages, yaml_where(yaml_get(node, key)),
                      "%s is no unit; write one such as mm, or number", text);
        return false;
    }
    type->type.dimension = type->unit->dimension;
    type->type.point = type->unit->point;
    return true;
}

static bool read_cell(const YamlNode *node, QuantityType *type, double *value, Messages *messages)
{
    Quantity quantity;
    if (!quantity_of_node(node, type, &quantity, messages)) {
        return false;
    }
    *value = quantity.nominal;
    if (quantity.unknown || quantity.lo < quantity.hi) {
        message_error(messages, yaml_where(node), "a table holds known numbers without tolerance");
        return false;
    }
    return true;
}

static void read_table_row(RuleTable *table, const YamlNode *row, QuantityType *in,
                           QuantityType *out, Messages *messages)
{
    size_t i = table->count;
    if (row->kind != YAML_SEQUENCE || row->count != 2) {
        message_error(messages, yaml_where(row), "a row is two values: [25 tex, 80 Nm]");
        return;
    }
    if (!read_cell(row->items[0], in, &table->inputs[i], messages) ||
        !read_cell(row->items[1], out, &table->outputs[i], messages)) {
        return;
    }
    if (i > 0 && table->inputs[i] <= table->inputs[i - 1]) {
        message_error(messages, yaml_where(row->items[0]), "rows must rise in their first value");
        return;
    }
    table->count++;
}

static void read_table_rows(RuleSet *set, RuleTable *table, const YamlNode *node, QuantityType in,
                            QuantityType out)
{
    const YamlNode *rows = yaml_get(node, "rows");
    if (!rows || rows->kind != YAML_SEQUENCE || rows->count < 2) {
        message_error(set->messages, yaml_where(rows ? rows : node),
                      "a table needs `rows`, two at least: [[25 tex, 80 Nm], …]");
        return;
    }
    table->inputs = ARENA_NEW(&set->arena, double, rows->count);
    table->outputs = ARENA_NEW(&set->arena, double, rows->count);
    for (size_t i = 0; i < rows->count; i++) {
        read_table_row(table, rows->items[i], &in, &out, set->messages);
    }
}

static void table_read(RuleSet *set, const YamlNode *key, const YamlNode *node, const char *set_by)
{
    (void)set_by;
    static const char *const keys[] = {"in", "out", "between", "rows", "means", "basis", "source"};
    static const char *const betweens[] = {"linear", "below", "above"};
    Messages *messages = set->messages;
    RuleTable *table = ARENA_NEW(&set->arena, RuleTable, 1);
    QuantityType in, out;
    table->name = key->text;
    table->at = yaml_where(key);
    *ARENA_PUSH(&set->arena, set->tables, set->table_count, set->table_capacity) = table;
    if (!name_check(key, "table", messages) || !keys_check(node, "a table", keys, 7, messages)) {
        return;
    }
    key_text(node, "means", messages);
    key_basis(node, true, "a table", &table->basis, &table->source, messages);
    const YamlNode *between = yaml_get(node, "between");
    int word = between ? key_word(between, "between", betweens, 3, messages) : -1;
    table->between = word < 0 ? BETWEEN_LINEAR : (Between)word;
    if (!between) {
        message_error(messages, yaml_where(node),
                      "a table needs `between`: linear, below or above");
    }
    if (read_column(node, "in", &in, messages) && read_column(node, "out", &out, messages)) {
        table->in = in.type;
        table->in_unit = in.unit;
        table->out = out.type;
        table->out_unit = out.unit;
        read_table_rows(set, table, node, in, out);
    }
}

void tables_read(RuleSet *set, const YamlNode *mapping)
{
    names_read(set, mapping, "tables", NULL, table_read);
}

/* Questions about whole formula trees: size, height, what they read.
 * For src/rule only. */
#include "rule/formula_inner.h"

void formula_walk(Formula *formula, void (*visit)(void *data, Formula *formula), void *data)
{
    if (!formula) {
        return;
    }
    visit(data, formula);
    formula_walk(formula->filter, visit, data);
    for (int i = 0; i < 3; i++) {
        formula_walk(formula->operand[i], visit, data);
    }
}

size_t formula_size(const Formula *formula)
{
    if (!formula) {
        return 0;
    }
    size_t size = 1 + formula_size(formula->filter);
    for (int i = 0; i < 3; i++) {
        size += formula_size(formula->operand[i]);
    }
    return size;
}

int formula_over_height(const Formula *formula)
{
    if (!formula) {
        return 0;
    }
    int most = formula_over_height(formula->filter);
    for (int i = 0; i < 3; i++) {
        int height = formula_over_height(formula->operand[i]);
        most = height > most ? height : most;
    }
    return most + (formula->kind == FORMULA_OVER);
}

typedef struct Entering {
    RuleSet *set;
    Rule *rule;
} Entering;

static void enter_limit(RuleSet *set, Rule *rule, const Limit *limit)
{
    for (size_t i = 0; i < rule->limit_count; i++) {
        if (rule->limits[i] == limit) {
            return;
        }
    }
    const Limit **grown = ARENA_NEW(&set->arena, const Limit *, rule->limit_count + 1);
    for (size_t i = 0; i < rule->limit_count; i++) {
        grown[i] = rule->limits[i];
    }
    grown[rule->limit_count++] = limit;
    rule->limits = grown;
}

static void enter_table(RuleSet *set, Rule *rule, const RuleTable *table)
{
    for (size_t i = 0; i < rule->table_count; i++) {
        if (rule->tables[i] == table) {
            return;
        }
    }
    const RuleTable **grown = ARENA_NEW(&set->arena, const RuleTable *, rule->table_count + 1);
    for (size_t i = 0; i < rule->table_count; i++) {
        grown[i] = rule->tables[i];
    }
    grown[rule->table_count++] = table;
    rule->tables = grown;
}

static void enter(void *data, Formula *formula)
{
    const Entering *entering = data;
    if (formula->kind == FORMULA_LIMIT) {
        enter_limit(entering->set, entering->rule, formula->limit);
    } else if (formula->kind == FORMULA_TABLE) {
        enter_table(entering->set, entering->rule, formula->table);
    }
}

/* A set counts as under `some` unless one use of it does not: a let may be used
 * in both ways. */
static void mark_sets(Rule *rule, Formula *formula, bool under)
{
    if (!formula) {
        return;
    }
    if (formula->kind == FORMULA_OVER) {
        under = under || formula->over == OVER_SOME;
        if (!under) {
            formula->under_some = false;
            rule->has_sets = true;
        }
    }
    mark_sets(rule, formula->filter, under);
    for (int i = 0; i < 3; i++) {
        mark_sets(rule, formula->operand[i], under);
    }
}

void formula_enter(RuleSet *set, Rule *rule, Formula *formula)
{
    Entering entering = {set, rule};
    formula_walk(formula, enter, &entering);
    mark_sets(rule, formula, false);
}

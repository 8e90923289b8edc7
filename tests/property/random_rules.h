/* Random columns and random well-typed rules over them, from a seed. */
#ifndef CORDWAIN_TESTS_RANDOM_RULES_H
#define CORDWAIN_TESTS_RANDOM_RULES_H

#include <math.h>

#include "rule/formula_inner.h"
#include "rule/rule_inner.h"
#include "unit/rule_kit.h"

/* xorshift64*: the same numbers everywhere. */
typedef struct Random {
    uint64_t state;
} Random;

static inline uint32_t draw(Random *random, uint32_t below)
{
    random->state ^= random->state >> 12;
    random->state ^= random->state << 25;
    random->state ^= random->state >> 27;
    return (uint32_t)((random->state * 0x2545f4914f6cdd1du) >> 33) % below;
}

static inline bool chance(Random *random, uint32_t percent)
{
    return draw(random, 100) < percent;
}

/* Mostly round values, so that ties, zeros and domain ends come up. */
static inline double draw_value(Random *random)
{
    static const double round_values[] = {0, 0.5, 1, 1.5, 2, 3, 4, 10, 20, 40, 0.2, 1e-3};
    if (chance(random, 70)) {
        return round_values[draw(random, sizeof round_values / sizeof *round_values)];
    }
    return (double)draw(random, 100000) / 8191 - (chance(random, 20) ? 6 : 0);
}

static const char random_names[] =
    "cordwain: rules/1\n"
    "title: Names for random rules\n"
    "tables:\n"
    "  sloping: {in: mm, out: mm, between: linear, rows: [[0 mm, 1 mm], [1 mm, 3 mm], [4 mm, 2 mm], "
    "[20 mm, 9 mm]], basis: from memory, source: tests}\n"
    "  stepping: {in: mm, out: mm, between: below, rows: [[0.5 mm, 0 mm], [2 mm, 3 mm], [10 mm, "
    "1 mm]], basis: from memory, source: tests}\n"
    "  rising: {in: mm, out: mm, between: above, rows: [[0 mm, 1 mm], [3 mm, 2 mm]], basis: from "
    "memory, source: tests}\n"
    "limits:\n"
    "  kind_least: {means: m, by: material.kind, values: {suede: 3 mm, leather: 2.5 ± 0.5 mm, mesh: "
    "unknown}, basis: measured, source: s}\n"
    "  sight_most: {means: m, by: edge.sight, values: {topline: 0.2 mm, else: 1..1.5 mm}, basis: "
    "published, source: s}\n"
    "  fray_least: {means: m, by: material.frays, values: {true: 4 mm, false: 1 mm}, basis: "
    "published, source: s}\n"
    "  climb_most: {means: m, value: 1.5 ± 0.5 mm, own: machine.climb_most, basis: measured, source: "
    "s}\n"
    "  rise_most: {means: m, value: 1.5 mm, basis: measured, source: s}\n"
    "rules: {}\n";

/* Columns */

static const Origin random_written = {.kind = ORIGIN_WRITTEN};
static const Origin random_unknown = {.kind = ORIGIN_UNKNOWN};

static inline void fill_number(Random *random, Column *column, size_t cell, bool exact)
{
    double nominal = draw_value(random);
    double below = exact || chance(random, 40) ? 0 : (double)draw(random, 4) / 4;
    double above = exact || chance(random, 40) ? 0 : (double)draw(random, 4) / 4;
    column->nominal[cell] = nominal;
    column->lo[cell] = nominal - below;
    column->hi[cell] = nominal + above;
}

static inline double draw_code(Random *random, const Field *field)
{
    switch (field->type) {
    case FIELD_TRUTH:
        return draw(random, 2);
    case FIELD_WORD:
        return draw(random, (uint32_t)field->words->count);
    case FIELD_WORDS:
        return draw(random, 1u << (field->words->count < 20 ? field->words->count : 20));
    default:
        return draw(random, 64);
    }
}

static inline void fill_cell(Random *random, const Field *field, Column *column, size_t cell,
                             bool exact)
{
    if (field->type == FIELD_NUMBER) {
        fill_number(random, column, cell, exact);
    } else if (field->type == FIELD_RANGE) {
        column->lo[cell] = draw_value(random);
        column->hi[cell] = column->lo[cell] + draw(random, 4);
    } else {
        double code = draw_code(random, field);
        column->nominal[cell] = column->lo[cell] = column->hi[cell] = code;
    }
}

static inline void fill_fields(Random *random, Columns *columns, uint32_t missing)
{
    for (int id = 0; id < FIELD_ID_COUNT; id++) {
        const Field *field = field_at((FieldId)id);
        Column *column = &columns->fields[id];
        bool exact = chance(random, 40);
        for (uint32_t r = 0; field->type != FIELD_TEXT && field->type != FIELD_NAME &&
                             r < columns->count[field->subject]; r++) {
            for (uint32_t lane = 0; lane < column->stride; lane++) {
                if (!chance(random, missing)) {
                    fill_cell(random, field, column, column_cell(column, r, lane), exact);
                    column->origins[r] = &random_written;
                } else if (chance(random, 30)) {
                    column->origins[r] = &random_unknown;
                }
            }
        }
    }
}

static inline void fill_many(Random *random, Columns *columns, const Relation *relation,
                             ManyColumn *many)
{
    uint32_t from = columns->count[relation->from], to = columns->count[relation->to], used = 0;
    many->items = ARENA_NEW(&columns->arena, int32_t, (size_t)from * 4);
    for (uint32_t r = 0; r < from; r++) {
        many->unknown[r] = chance(random, 8);
        for (uint32_t k = draw(random, 5); to > 0 && k > 0 && !many->unknown[r]; k--) {
            many->items[used++] = (int32_t)draw(random, to);
        }
        many->start[r + 1] = used;
    }
}

static inline void fill_relations(Random *random, Columns *columns)
{
    size_t count;
    const Relation *table = relation_table(&count);
    for (size_t i = 0; i < count; i++) {
        uint32_t to = columns->count[table[i].to];
        if (table[i].many) {
            fill_many(random, columns, &table[i], &columns->manys[i]);
            continue;
        }
        OneColumn *one = &columns->ones[i];
        size_t cells = (size_t)columns->count[table[i].from] * one->stride;
        for (size_t cell = 0; cell < cells; cell++) {
            one->index[cell] = to == 0 || chance(random, 8) ? -1 : (int32_t)draw(random, to);
        }
    }
}

static inline Columns *random_columns(Random *random, Subject about)
{
    uint32_t count[SUBJECT_COUNT], lanes = 1 + draw(random, 3);
    bool varies[FIELD_ID_COUNT], one_varies[64] = {false};
    for (int i = 0; i < SUBJECT_COUNT; i++) {
        count[i] = chance(random, 10) ? 0 : 1 + draw(random, 6);
    }
    count[about] = draw(random, 2) ? draw(random, 8) : draw(random, 80);
    for (int i = 0; i < FIELD_ID_COUNT; i++) {
        varies[i] = chance(random, 30);
    }
    for (int i = 0; i < 64; i++) {
        one_varies[i] = chance(random, 20);
    }
    Columns *columns = columns_new(lanes, count, varies, one_varies);
    fill_fields(random, columns, draw(random, 4) ? 5 : 30);
    fill_relations(random, columns);
    return columns;
}

/* Formulas */

typedef struct Maker {
    Random *random;
    Kit *kit;
    Rule *rule;
    int scope[BINDINGS_MOST], scope_count;
    Formula *lets[4];
    int let_count;
} Maker;

static const Dimension random_plain = {0, 0, 0, 0, 0};
static const Dimension random_length = {1, 0, 0, 0, 0};

static inline Formula *random_number(Maker *maker, Dimension dimension, int depth);
static inline Formula *random_truth(Maker *maker, int depth);

static inline Formula *made(Maker *maker, FormulaKind kind, Type type)
{
    Formula *formula = ARENA_NEW(&maker->kit->arena, Formula, 1);
    formula->kind = kind;
    formula->type = type;
    formula->field = FIELD_ID_COUNT;
    formula->record.subject = formula->own_record.subject = SUBJECT_COUNT;
    formula->under_some = true;
    return formula;
}

static inline Formula *made_of(Maker *maker, FormulaKind kind, Type type, Formula *a, Formula *b,
                               Formula *c)
{
    Formula *formula = made(maker, kind, type);
    formula->operand[0] = a;
    formula->operand[1] = b;
    formula->operand[2] = c;
    return formula;
}

static inline Type number_type(Dimension dimension)
{
    return (Type){.kind = TYPE_NUMBER, .dimension = dimension};
}

static const Type truth_type = {.kind = TYPE_TRUTH};

/* A relation of the subject; NULL if it has none of the kind. */
static inline const Relation *random_relation(Random *random, Subject from, bool many)
{
    size_t count, fits = 0;
    const Relation *table = relation_table(&count), *found = NULL;
    for (size_t i = 0; i < count; i++) {
        if (table[i].from == from && table[i].many == many && draw(random, (uint32_t)++fits) == 0) {
            found = &table[i];
        }
    }
    return found;
}

static inline RecordPath random_path(Maker *maker)
{
    int binding = maker->scope[draw(maker->random, (uint32_t)maker->scope_count)];
    RecordPath path = {.binding = binding, .subject = maker->rule->bound[binding]};
    for (uint32_t steps = draw(maker->random, 3); steps > 0; steps--) {
        const Relation *relation = random_relation(maker->random, path.subject, false);
        if (!relation) {
            break;
        }
        path.steps[path.length++] = relation;
        path.subject = relation->to;
    }
    return path;
}

/* The nearest record of a subject: a bound one, else one reached by relations. */
static inline bool path_to(Maker *maker, Subject subject, RecordPath *path)
{
    for (int attempt = 0; attempt < 20; attempt++) {
        *path = random_path(maker);
        if (path->subject == subject) {
            return true;
        }
    }
    return false;
}

static inline bool field_is(const Field *field, FieldType type, Dimension dimension)
{
    const Unit *unit = field->type == type ? field_unit(field) : NULL;
    return field->type == type &&
           ((type != FIELD_NUMBER && type != FIELD_RANGE) ||
            (dimension_equal(unit ? unit->dimension : DIMENSION_NONE, dimension) &&
             !(unit && unit->point)));
}

static inline bool random_field(Maker *maker, FieldType type, Dimension dimension, RecordPath *path,
                                FieldId *field)
{
    for (int attempt = 0; attempt < 30; attempt++) {
        *path = random_path(maker);
        FieldId first = field_first(path->subject), end = field_end(path->subject);
        if (first < end) {
            *field = (FieldId)((uint32_t)first + draw(maker->random, (uint32_t)(end - first)));
            if (field_is(field_at(*field), type, dimension)) {
                return true;
            }
        }
    }
    return false;
}

static inline Formula *field_of(Maker *maker, Type type, const RecordPath *path, FieldId field)
{
    Formula *formula = made(maker, FORMULA_FIELD, type);
    formula->record = *path;
    formula->field = field;
    return formula;
}

static inline Formula *random_literal(Maker *maker, Dimension dimension)
{
    Formula *formula = made(maker, FORMULA_NUMBER, number_type(dimension));
    formula->number = fabs(draw_value(maker->random));
    if (!dimension_equal(dimension, DIMENSION_NONE)) {
        formula->unit = unit_find("mm", 2);
    }
    return formula;
}

static inline Formula *random_limit(Maker *maker)
{
    const RuleSet *set = maker->kit->set;
    const Limit *limit = set->limits[draw(maker->random, (uint32_t)set->limit_count)];
    Formula *formula = made(maker, FORMULA_LIMIT, limit->type);
    formula->limit = limit;
    if (limit->by != FIELD_ID_COUNT &&
        !path_to(maker, field_at(limit->by)->subject, &formula->record)) {
        return NULL;
    }
    if (limit->own != FIELD_ID_COUNT) {
        RecordPath path;
        bool there = path_to(maker, field_at(limit->own)->subject, &path);
        formula->own_record = there ? path : formula->own_record;
    }
    return formula;
}

static inline Formula *random_leaf(Maker *maker, Dimension dimension)
{
    RecordPath path;
    FieldId field;
    bool length = dimension_equal(dimension, random_length);
    for (int i = 0; i < maker->let_count && chance(maker->random, 15); i++) {
        Formula *let = maker->lets[i];
        if (let->type.kind == TYPE_NUMBER && dimension_equal(let->type.dimension, dimension)) {
            return let;
        }
    }
    Formula *limit = length && chance(maker->random, 20) ? random_limit(maker) : NULL;
    if (limit) {
        return limit;
    }
    if (chance(maker->random, 75) && random_field(maker, FIELD_NUMBER, dimension, &path, &field)) {
        return field_of(maker, number_type(dimension), &path, field);
    }
    return random_literal(maker, dimension);
}

static inline Formula *random_over(Maker *maker, Over over, Type type, int depth)
{
    if (maker->scope_count > OVER_NESTING_MOST || maker->rule->binding_count >= BINDINGS_MOST) {
        return NULL;
    }
    RecordPath path = random_path(maker);
    const Relation *relation = random_relation(maker->random, path.subject, true);
    if (!relation) {
        return NULL;
    }
    Formula *formula = made(maker, FORMULA_OVER, type);
    formula->over = over;
    formula->record = path;
    formula->relation = relation;
    formula->binding = maker->rule->binding_count++;
    maker->rule->bound[formula->binding] = relation->to;
    maker->rule->bound_name[formula->binding] = relation->name;
    maker->scope[maker->scope_count++] = formula->binding;
    formula->filter = chance(maker->random, 40) ? random_truth(maker, depth - 2) : NULL;
    if (type.kind == TYPE_TRUTH) {
        formula->operand[0] = random_truth(maker, depth - 1);
    } else if (over != OVER_COUNT) {
        formula->operand[0] = random_number(maker, type.dimension, depth - 1);
    }
    maker->scope_count--;
    return formula;
}

static inline Formula *random_call(Maker *maker, Dimension dimension, int depth)
{
    bool plain = dimension_equal(dimension, random_plain);
    Function function = (Function)draw(maker->random, plain ? FUNCTION_COUNT : FUNCTION_ABS + 1);
    bool two = function == FUNCTION_MIN || function == FUNCTION_MAX || function == FUNCTION_ATAN2;
    Formula *a = random_number(maker, dimension, depth - 1);
    Formula *b = two ? random_number(maker, dimension, depth - 1) : NULL;
    Formula *formula = made_of(maker, FORMULA_CALL, number_type(dimension), a, b, NULL);
    formula->function = function;
    return formula;
}

/* Those that only some dimensions have. */
static inline Formula *random_special(Maker *maker, Dimension dimension, int depth)
{
    bool plain = dimension_equal(dimension, random_plain);
    const Type type = number_type(dimension);
    if (!plain) {
        Formula *a = random_number(maker, random_length, depth - 1);
        Formula *formula = made_of(maker, FORMULA_TABLE, type, a, NULL, NULL);
        const RuleSet *set = maker->kit->set;
        formula->table = set->tables[draw(maker->random, (uint32_t)set->table_count)];
        return formula;
    }
    if (chance(maker->random, 50)) {
        Formula *a = random_number(maker, random_plain, depth - 1);
        Formula *formula = made_of(maker, FORMULA_POWER, type, a, NULL, NULL);
        formula->power = (int)draw(maker->random, 5);
        return formula;
    }
    Formula *a = random_number(maker, random_length, depth - 1);
    Formula *b = random_number(maker, random_length, depth - 1);
    return made_of(maker, FORMULA_DIVIDE, type, a, b, NULL);
}

static inline Formula *random_arithmetic(Maker *maker, Dimension dimension, int depth)
{
    static const FormulaKind kinds[] = {FORMULA_ADD, FORMULA_SUBTRACT, FORMULA_MULTIPLY,
                                        FORMULA_DIVIDE};
    FormulaKind kind = kinds[draw(maker->random, 4)];
    bool product = kind == FORMULA_MULTIPLY || kind == FORMULA_DIVIDE;
    Formula *a = random_number(maker, dimension, depth - 1);
    Formula *b = random_number(maker, product ? random_plain : dimension, depth - 1);
    return made_of(maker, kind, number_type(dimension), a, b, NULL);
}

static inline Formula *random_number(Maker *maker, Dimension dimension, int depth)
{
    static const Over totals[] = {OVER_SUM, OVER_MOST, OVER_LEAST};
    const Type type = number_type(dimension);
    Formula *over = NULL;
    if (depth <= 0) {
        return random_leaf(maker, dimension);
    }
    switch (draw(maker->random, 10)) {
    case 0:
    case 1:
    case 2:
        return random_arithmetic(maker, dimension, depth);
    case 3:
        return random_call(maker, dimension, depth);
    case 4:
        return random_special(maker, dimension, depth);
    case 5:
        return made_of(maker, FORMULA_NEGATE, type, random_number(maker, dimension, depth - 1), NULL,
                       NULL);
    case 6: {
        Formula *condition = random_truth(maker, depth - 1);
        Formula *yes = random_number(maker, dimension, depth - 1);
        return made_of(maker, FORMULA_IF, type, condition, yes,
                       random_number(maker, dimension, depth - 1));
    }
    case 7:
        over = random_over(maker, totals[draw(maker->random, 3)], type, depth);
        break;
    case 8:
        if (dimension_equal(dimension, random_plain)) {
            over = random_over(maker, OVER_COUNT, type, depth);
        }
        break;
    default:
        break;
    }
    return over ? over : random_leaf(maker, dimension);
}

static inline Formula *random_comparison(Maker *maker, int depth)
{
    static const FormulaKind kinds[] = {FORMULA_LESS,          FORMULA_LESS_EQUAL, FORMULA_GREATER,
                                        FORMULA_GREATER_EQUAL, FORMULA_EQUAL,      FORMULA_NOT_EQUAL};
    Dimension dimension = chance(maker->random, 60) ? random_length : random_plain;
    Formula *a = random_number(maker, dimension, depth - 1);
    Formula *b = random_number(maker, dimension, depth - 1);
    return made_of(maker, kinds[draw(maker->random, 6)], truth_type, a, b, NULL);
}

/* A word field, or one of two with the same words; NULL if none is in reach. */
static inline Formula *random_word(Maker *maker, int depth)
{
    RecordPath path, other_path;
    FieldId field, other;
    if (!random_field(maker, FIELD_WORD, DIMENSION_NONE, &path, &field)) {
        return NULL;
    }
    const Type type = {.kind = TYPE_WORD, .words = field_at(field)->words};
    Formula *word = field_of(maker, type, &path, field);
    for (int attempt = 0; depth > 0 && attempt < 3; attempt++) {
        if (random_field(maker, FIELD_WORD, DIMENSION_NONE, &other_path, &other) &&
            field_at(other)->words == type.words) {
            Formula *condition = random_truth(maker, depth - 1);
            return made_of(maker, FORMULA_IF, type, condition, word,
                           field_of(maker, type, &other_path, other));
        }
    }
    return word;
}

static inline Formula *random_in_words(Maker *maker, int depth)
{
    Formula *word = random_word(maker, depth);
    if (!word) {
        return random_comparison(maker, depth);
    }
    Formula *formula = made_of(maker, FORMULA_IN_WORDS, truth_type, word, NULL, NULL);
    for (uint32_t n = 1 + draw(maker->random, 3); n > 0; n--) {
        formula->words |= 1ull << draw(maker->random, (uint32_t)word->type.words->count);
    }
    formula->negated = chance(maker->random, 40);
    return formula;
}

/* A set of words and a word field with the same words. */
static inline Formula *word_for_set(Maker *maker, RecordPath *set_path, FieldId *set)
{
    RecordPath path;
    FieldId field;
    for (int attempt = 0; attempt < 10; attempt++) {
        if (random_field(maker, FIELD_WORDS, DIMENSION_NONE, set_path, set) &&
            random_field(maker, FIELD_WORD, DIMENSION_NONE, &path, &field) &&
            field_at(*set)->words == field_at(field)->words) {
            const Type type = {.kind = TYPE_WORD, .words = field_at(field)->words};
            return field_of(maker, type, &path, field);
        }
    }
    return NULL;
}

static inline Formula *random_in_field(Maker *maker, int depth)
{
    RecordPath path;
    FieldId field;
    Formula *operand = NULL;
    switch (draw(maker->random, 3)) {
    case 0:
        if (random_field(maker, FIELD_RANGE, random_length, &path, &field)) {
            operand = random_number(maker, random_length, depth - 1);
        }
        break;
    case 1:
        if (random_field(maker, FIELD_COUNTS, DIMENSION_NONE, &path, &field)) {
            operand = random_number(maker, random_plain, depth - 1);
        }
        break;
    default:
        operand = word_for_set(maker, &path, &field);
    }
    if (!operand) {
        return random_comparison(maker, depth);
    }
    Formula *formula = made_of(maker, FORMULA_IN_FIELD, truth_type, operand, NULL, NULL);
    formula->record = path;
    formula->field = field;
    formula->negated = chance(maker->random, 40);
    return formula;
}

static inline Formula *random_truth_leaf(Maker *maker)
{
    RecordPath path;
    FieldId field;
    for (int i = 0; i < maker->let_count; i++) {
        if (maker->lets[i]->type.kind == TYPE_TRUTH && chance(maker->random, 20)) {
            return maker->lets[i];
        }
    }
    if (chance(maker->random, 30) &&
        random_field(maker, FIELD_TRUTH, DIMENSION_NONE, &path, &field)) {
        return field_of(maker, truth_type, &path, field);
    }
    return chance(maker->random, 40) ? random_in_words(maker, 0) : random_comparison(maker, 0);
}

static inline Formula *random_truth(Maker *maker, int depth)
{
    if (depth <= 0) {
        return random_truth_leaf(maker);
    }
    Formula *over = NULL, *a, *b;
    switch (draw(maker->random, 12)) {
    case 0:
    case 1:
    case 2:
        return random_comparison(maker, depth);
    case 3:
    case 4:
        a = random_truth(maker, depth - 1);
        b = random_truth(maker, depth - 1);
        return made_of(maker, chance(maker->random, 50) ? FORMULA_AND : FORMULA_OR, truth_type, a, b,
                       NULL);
    case 5:
        return made_of(maker, FORMULA_NOT, truth_type, random_truth(maker, depth - 1), NULL, NULL);
    case 6:
        a = random_truth(maker, depth - 1);
        b = random_truth(maker, depth - 1);
        return made_of(maker, FORMULA_IF, truth_type, a, b, random_truth(maker, depth - 1));
    case 7:
    case 8:
    case 9:
        over = random_over(maker, chance(maker->random, 50) ? OVER_EVERY : OVER_SOME, truth_type,
                           depth);
        break;
    case 10:
        return random_in_words(maker, depth);
    default:
        return random_in_field(maker, depth);
    }
    return over ? over : random_truth_leaf(maker);
}

static inline void random_let(Maker *maker)
{
    static const char *const let_names[] = {"part_a", "part_b", "part_c", "part_d"};
    int index = maker->let_count;
    Formula *of = chance(maker->random, 30) ? random_truth(maker, 2)
                                            : random_number(maker, random_length, 2);
    Formula *let = made_of(maker, FORMULA_LET, of->type, of, NULL, NULL);
    let->name = let_names[index];
    Let *grown = ARENA_NEW(&maker->kit->arena, Let, (size_t)index + 1);
    for (int i = 0; i < index; i++) {
        grown[i] = maker->rule->lets[i];
    }
    grown[index] = (Let){.name = let->name, .formula = let};
    maker->rule->lets = grown;
    maker->rule->let_count = (size_t)index + 1;
    maker->lets[maker->let_count++] = let;
}

static inline Rule *random_rule(Random *random, Kit *kit, Subject about, size_t index)
{
    Rule *rule = kit_rule(kit, about);
    rule->id = arena_printf(&kit->arena, "random-%zu", index);
    rule->binding_count = 1;
    rule->bound[0] = about;
    rule->bound_name[0] = subject_name(about);
    Maker maker = {.random = random, .kit = kit, .rule = rule, .scope_count = 1};
    for (uint32_t lets = draw(random, 3); lets > 0; lets--) {
        random_let(&maker);
    }
    rule->when = chance(random, 60) ? random_truth(&maker, 3) : NULL;
    rule->require = random_truth(&maker, 5);
    if (rule->when) {
        formula_enter(kit->set, rule, rule->when);
    }
    formula_enter(kit->set, rule, rule->require);
    return rule;
}

#endif

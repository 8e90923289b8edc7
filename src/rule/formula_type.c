/* Nodes of formulas and the check of what may be joined with what: dimensions,
 * points on the temperature scale, truths, words. For src/rule only. */
#include "rule/formula_inner.h"

#include <string.h>

static const Type plain_number = {.kind = TYPE_NUMBER};
static const Type truth = {.kind = TYPE_TRUTH};

const char *type_text(Arena *arena, Type type)
{
    if (type.kind == TYPE_TRUTH) {
        return "a truth";
    }
    if (type.kind == TYPE_WORD) {
        return arena_printf(arena, "a word of %s", type.words->name);
    }
    if (dimension_equal(type.dimension, DIMENSION_NONE)) {
        return "a plain number";
    }
    const char *name = dimension_name(type.dimension, type.point);
    return arena_printf(arena, "%s %s", strchr("aeiou", name[0]) ? "an" : "a", name);
}

bool type_equal(Type a, Type b)
{
    if (a.kind != b.kind) {
        return false;
    }
    if (a.kind == TYPE_WORD) {
        return a.words == b.words;
    }
    return a.kind == TYPE_TRUTH ||
           (dimension_equal(a.dimension, b.dimension) && a.point == b.point);
}

Formula *formula_new(FormulaReader *reader, FormulaKind kind, size_t start, size_t end)
{
    if (++reader->rule->formula_nodes > FORMULA_NODES_MOST) {
        reader_wrong(reader, start, "the formulas of one rule are limited to %d parts",
                     FORMULA_NODES_MOST);
        return NULL;
    }
    Formula *formula = ARENA_NEW(&reader->set->arena, Formula, 1);
    formula->kind = kind;
    formula->start = start;
    formula->end = end;
    formula->type = plain_number;
    formula->field = FIELD_ID_COUNT;
    formula->record.subject = formula->own_record.subject = SUBJECT_COUNT;
    formula->under_some = true;
    return formula;
}

static Formula *formula_of_two(FormulaReader *reader, FormulaKind kind, Formula *left,
                               Formula *right, Type type)
{
    Formula *formula = formula_new(reader, kind, left->start, right->end);
    if (formula) {
        formula->operand[0] = left;
        formula->operand[1] = right;
        formula->type = type;
    }
    return formula;
}

bool formula_is_truth(FormulaReader *reader, const Formula *formula, const char *what)
{
    return formula->type.kind == TYPE_TRUTH ||
           reader_wrong(reader, formula->start, "%s must be a truth; this is %s", what,
                        type_text(&reader->set->arena, formula->type));
}

bool formula_is_number(FormulaReader *reader, const Formula *formula, const char *what)
{
    return formula->type.kind == TYPE_NUMBER ||
           reader_wrong(reader, formula->start, "%s must be a number; this is %s", what,
                        type_text(&reader->set->arena, formula->type));
}

/* A number that may be multiplied: no point on a scale, whose zero means nothing. */
static bool formula_is_amount(FormulaReader *reader, const Formula *formula, const char *what)
{
    if (!formula_is_number(reader, formula, what)) {
        return false;
    }
    return !formula->type.point ||
           reader_wrong(reader, formula->start,
                        "%s must not be a temperature: only differences of temperatures (K) have "
                        "a zero that means something",
                        what);
}

static bool formula_is_plain(FormulaReader *reader, const Formula *formula, const char *what)
{
    return (formula->type.kind == TYPE_NUMBER &&
            dimension_equal(formula->type.dimension, DIMENSION_NONE)) ||
           reader_wrong(reader, formula->start, "%s must be a plain number; this is %s", what,
                        type_text(&reader->set->arena, formula->type));
}

static bool operands_alike(FormulaReader *reader, const Formula *left, const Formula *right,
                           const char *what)
{
    Type a = left->type, b = right->type;
    if (dimension_equal(a.dimension, b.dimension) && a.point == b.point) {
        return true;
    }
    Arena *arena = &reader->set->arena;
    bool bare = right->kind == FORMULA_NUMBER && !right->unit && !right->name;
    bool unitless = bare && dimension_equal(b.dimension, DIMENSION_NONE);
    const Unit *unit = unitless ? unit_default(a.dimension, a.point) : NULL;
    if (unit) {
        return reader_wrong(
            reader, right->start, "%s: %s and %s; the unit is missing, such as %.*s %s", what,
            type_text(arena, a), type_text(arena, b), (int)(right->end - right->start),
            reader->text + right->start, unit->name);
    }
    return reader_wrong(reader, right->start, "%s: %s and %s", what, type_text(arena, a),
                        type_text(arena, b));
}

/* °C ± K is °C, °C - °C is K, °C + °C and K - °C mean nothing. */
Formula *formula_sum(FormulaReader *reader, FormulaKind kind, Formula *left, Formula *right)
{
    bool adds = kind == FORMULA_ADD;
    const char *what = adds ? "cannot add" : "cannot subtract";
    const char *side = adds ? "what is added" : "what is subtracted";
    if (!formula_is_number(reader, left, side) || !formula_is_number(reader, right, side)) {
        return NULL;
    }
    Type a = left->type, b = right->type, type = a;
    if (!dimension_equal(a.dimension, b.dimension) || (!a.point && !b.point)) {
        return operands_alike(reader, left, right, what)
                   ? formula_of_two(reader, kind, left, right, type)
                   : NULL;
    }
    if (adds && a.point && b.point) {
        reader_wrong(reader, right->start,
                     "cannot add two temperatures; add a difference, such as 5 K");
        return NULL;
    }
    if (!adds && !a.point) {
        reader_wrong(reader, right->start, "cannot subtract a temperature from a difference");
        return NULL;
    }
    type.point = adds || !b.point;
    return formula_of_two(reader, kind, left, right, type);
}

static bool dimension_fits(Dimension d)
{
    const int most = 60;
    return d.length >= -most && d.length <= most && d.mass >= -most && d.mass <= most &&
           d.time >= -most && d.time <= most && d.temperature >= -most && d.temperature <= most &&
           d.force >= -most && d.force <= most;
}

static Formula *dimension_checked(FormulaReader *reader, Formula *formula)
{
    if (formula && !dimension_fits(formula->type.dimension)) {
        reader_wrong(reader, formula->start, "the unit of this has too high a power");
        return NULL;
    }
    return formula;
}

Formula *formula_product(FormulaReader *reader, FormulaKind kind, Formula *left, Formula *right)
{
    bool times = kind == FORMULA_MULTIPLY;
    const char *side = times ? "what is multiplied" : "what is divided";
    if (!formula_is_amount(reader, left, side) || !formula_is_amount(reader, right, side)) {
        return NULL;
    }
    Type type = plain_number;
    type.dimension = times ? dimension_times(left->type.dimension, right->type.dimension)
                           : dimension_over(left->type.dimension, right->type.dimension);
    return dimension_checked(reader, formula_of_two(reader, kind, left, right, type));
}

Formula *formula_negate(FormulaReader *reader, size_t start, Formula *operand)
{
    if (!formula_is_amount(reader, operand, "what follows the minus")) {
        return NULL;
    }
    Formula *formula = formula_new(reader, FORMULA_NEGATE, start, operand->end);
    if (formula) {
        formula->operand[0] = operand;
        formula->type = operand->type;
    }
    return formula;
}

Formula *formula_power(FormulaReader *reader, Formula *base, int power)
{
    if (!formula_is_amount(reader, base, "what is raised to a power")) {
        return NULL;
    }
    Dimension d = base->type.dimension;
    bool small = d.length > -13 && d.length < 13 && d.mass > -13 && d.mass < 13 && d.time > -13 &&
                 d.time < 13 && d.temperature > -13 && d.temperature < 13 && d.force > -13 &&
                 d.force < 13;
    if (!small) {
        reader_wrong(reader, base->start, "the unit of this has too high a power");
        return NULL;
    }
    Formula *formula = formula_new(reader, FORMULA_POWER, base->start, reader->at);
    if (formula) {
        formula->operand[0] = base;
        formula->power = power;
        formula->type.dimension = dimension_power(d, power);
    }
    return dimension_checked(reader, formula);
}

static bool side_compares(FormulaReader *reader, const Formula *side)
{
    if (side->type.kind == TYPE_WORD) {
        return reader_wrong(reader, side->start,
                            "words are tested by `is` and `in`, not by a comparison");
    }
    if (side->type.kind == TYPE_TRUTH) {
        return reader_wrong(
            reader, side->start,
            "a truth stands by itself and is not compared; brackets may be missing");
    }
    return true;
}

Formula *formula_compare(FormulaReader *reader, FormulaKind kind, Formula *left, Formula *right)
{
    if (!side_compares(reader, left) || !side_compares(reader, right) ||
        !operands_alike(reader, left, right, "cannot compare")) {
        return NULL;
    }
    return formula_of_two(reader, kind, left, right, truth);
}

Formula *formula_logic(FormulaReader *reader, FormulaKind kind, Formula *left, Formula *right)
{
    const char *side = kind == FORMULA_AND ? "what `and` joins" : "what `or` joins";
    if (!formula_is_truth(reader, left, side) || !formula_is_truth(reader, right, side)) {
        return NULL;
    }
    return formula_of_two(reader, kind, left, right, truth);
}

Formula *formula_not(FormulaReader *reader, size_t start, Formula *operand)
{
    if (!formula_is_truth(reader, operand, "what follows `not`")) {
        return NULL;
    }
    Formula *formula = formula_new(reader, FORMULA_NOT, start, operand->end);
    if (formula) {
        formula->operand[0] = operand;
        formula->type = truth;
    }
    return formula;
}

Formula *formula_if(FormulaReader *reader, size_t start, Formula *condition, Formula *yes,
                    Formula *no)
{
    if (!formula_is_truth(reader, condition, "what follows `if`")) {
        return NULL;
    }
    if (!type_equal(yes->type, no->type)) {
        Arena *arena = &reader->set->arena;
        reader_wrong(reader, no->start, "both branches must be alike: %s and %s",
                     type_text(arena, yes->type), type_text(arena, no->type));
        return NULL;
    }
    Formula *formula = formula_new(reader, FORMULA_IF, start, no->end);
    if (formula) {
        formula->operand[0] = condition;
        formula->operand[1] = yes;
        formula->operand[2] = no;
        formula->type = yes->type;
    }
    return formula;
}

/* Whether a value of type `operand` can be a member of the field. */
static bool in_field_fits(FormulaReader *reader, const Formula *operand, const Field *field,
                          const NamePath *path)
{
    Arena *arena = &reader->set->arena;
    const Unit *unit = field_unit(field);
    Type member = plain_number;
    if (field->type == FIELD_WORDS) {
        member = (Type){.kind = TYPE_WORD, .words = field->words};
    } else if (field->type == FIELD_RANGE && unit) {
        member.dimension = unit->dimension;
        member.point = unit->point;
    }
    return type_equal(operand->type, member) ||
           reader_wrong(reader, path->start, "%.*s holds %s; what is looked for is %s",
                        (int)(path->end - path->start), reader->text + path->start,
                        type_text(arena, member), type_text(arena, operand->type));
}

Formula *formula_in_field(FormulaReader *reader, Formula *operand, const NamePath *path,
                          const Meaning *meaning)
{
    const Field *field = meaning->kind == MEANS_FIELD ? field_at(meaning->field) : NULL;
    if (!field ||
        (field->type != FIELD_RANGE && field->type != FIELD_WORDS && field->type != FIELD_COUNTS)) {
        reader_wrong(reader, path->start,
                     "after `in` stands a range, a set or words in {}; %.*s is none",
                     (int)(path->end - path->start), reader->text + path->start);
        return NULL;
    }
    if (!in_field_fits(reader, operand, field, path)) {
        return NULL;
    }
    Formula *formula = formula_new(reader, FORMULA_IN_FIELD, operand->start, path->end);
    if (formula) {
        formula->operand[0] = operand;
        formula->record = meaning->record;
        formula->field = meaning->field;
        formula->type = truth;
    }
    return formula;
}

/* clang-format off */
static const struct {
    const char *name;
    int least, most; /* arguments */
} functions[FUNCTION_COUNT] = {
    [FUNCTION_MIN] = {"min", 2, ARGUMENTS_MOST},
    [FUNCTION_MAX] = {"max", 2, ARGUMENTS_MOST},
    [FUNCTION_ABS] = {"abs", 1, 1},
    [FUNCTION_SQRT] = {"sqrt", 1, 1},
    [FUNCTION_FLOOR] = {"floor", 1, 1},
    [FUNCTION_CEIL] = {"ceil", 1, 1},
    [FUNCTION_ROUND] = {"round", 1, 1},
    [FUNCTION_SIN] = {"sin", 1, 1},
    [FUNCTION_COS] = {"cos", 1, 1},
    [FUNCTION_TAN] = {"tan", 1, 1},
    [FUNCTION_ATAN2] = {"atan2", 2, 2},
};
/* clang-format on */

const char *function_name(Function function)
{
    return functions[function].name;
}

bool function_find(const char *name, size_t length, Function *function)
{
    for (int i = 0; i < FUNCTION_COUNT; i++) {
        if (strlen(functions[i].name) == length && memcmp(functions[i].name, name, length) == 0) {
            *function = (Function)i;
            return true;
        }
    }
    return false;
}

/* The type of a call whose arguments are right; false after a message. */
static bool call_type(FormulaReader *reader, Function function, Formula *const *a, Type *type)
{
    *type = a[0]->type;
    switch (function) {
    case FUNCTION_MIN:
    case FUNCTION_MAX:
        return formula_is_number(reader, a[0], "what is compared") &&
               formula_is_number(reader, a[1], "what is compared") &&
               operands_alike(reader, a[0], a[1], "cannot compare");
    case FUNCTION_ABS:
        return formula_is_amount(reader, a[0], "what abs takes");
    case FUNCTION_SQRT:
        return formula_is_amount(reader, a[0], "what sqrt takes") &&
               (dimension_root(a[0]->type.dimension, &type->dimension) ||
                reader_wrong(reader, a[0]->start, "%s has no square root; mm^2 has",
                             type_text(&reader->set->arena, a[0]->type)));
    case FUNCTION_ATAN2:
        *type = plain_number;
        return formula_is_amount(reader, a[0], "what atan2 takes") &&
               formula_is_amount(reader, a[1], "what atan2 takes") &&
               operands_alike(reader, a[0], a[1], "atan2 takes two of a kind");
    case FUNCTION_FLOOR:
    case FUNCTION_CEIL:
    case FUNCTION_ROUND:
        return formula_is_plain(reader, a[0], "what is rounded");
    case FUNCTION_SIN:
    case FUNCTION_COS:
    case FUNCTION_TAN:
        return formula_is_plain(reader, a[0], "an angle");
    }
    return false;
}

Formula *formula_call(FormulaReader *reader, size_t start, Function function,
                      Formula *const *arguments, int count)
{
    int least = functions[function].least, most = functions[function].most;
    if (count < least || count > most) {
        const char *many = least == most ? (least == 1 ? "one argument" : "two arguments")
                                         : "two to sixteen arguments";
        reader_wrong(reader, start, "%s takes %s", functions[function].name, many);
        return NULL;
    }
    Formula *left = arguments[0];
    for (int i = 1; i < count || i == 1; i++) {
        Formula *pair[2] = {left, i < count ? arguments[i] : NULL};
        Type type;
        if (!call_type(reader, function, pair, &type)) {
            return NULL;
        }
        Formula *formula = formula_new(reader, FORMULA_CALL, start, reader->at);
        if (!formula) {
            return NULL;
        }
        formula->function = function;
        formula->operand[0] = pair[0];
        formula->operand[1] = pair[1];
        formula->type = type;
        left = formula;
    }
    return left;
}

Formula *formula_table(FormulaReader *reader, size_t start, const RuleTable *table,
                       Formula *argument)
{
    if (!type_equal(argument->type, table->in)) {
        Arena *arena = &reader->set->arena;
        reader_wrong(reader, argument->start, "table %s goes by %s; this is %s", table->name,
                     type_text(arena, table->in), type_text(arena, argument->type));
        return NULL;
    }
    Formula *formula = formula_new(reader, FORMULA_TABLE, start, reader->at);
    if (formula) {
        formula->table = table;
        formula->operand[0] = argument;
        formula->type = table->out;
    }
    return formula;
}

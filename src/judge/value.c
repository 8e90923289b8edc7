/* Values, and formulas with their values in place of names, as people read
 * them. For src/judge only. */
#include <math.h>
#include <string.h>

#include "judge/inside.h"

enum { DIGITS_WORKED_OUT = 3, DIGITS_WRITTEN = 4, DIGITS_MOST = 9 };

const char *kleene_name(Kleene value)
{
    return value == KLEENE_TRUE ? "true" : value == KLEENE_FALSE ? "false" : "unknown";
}

/* --- values ------------------------------------------------------------------------ */

const Unit *sentence_unit(const Formula *formula)
{
    const Formula *at = formula;
    const Unit *unit = NULL;
    while (at && !unit) {
        switch (at->kind) {
        case FORMULA_FIELD:
            unit = field_unit(field_at(at->field));
            break;
        case FORMULA_LIMIT:
            unit = at->limit->unit;
            break;
        case FORMULA_TABLE:
            unit = at->table->out_unit;
            break;
        case FORMULA_NUMBER:
            unit = at->unit;
            break;
        default:
            break;
        }
        at = at->operand[at->kind == FORMULA_IF ? 1 : 0];
    }
    if (unit && dimension_equal(unit->dimension, formula->type.dimension) &&
        unit->point == formula->type.point)
        return unit;
    bool plain = dimension_equal(formula->type.dimension, DIMENSION_NONE);
    return plain ? NULL : unit_default(formula->type.dimension, formula->type.point);
}

static bool is_comparison(const Formula *formula)
{
    return formula->kind >= FORMULA_LESS && formula->kind <= FORMULA_NOT_EQUAL;
}

/* The unit of what a let is compared with, somewhere in a formula. */
static const Unit *unit_beside(const Formula *formula, const Formula *let)
{
    const Unit *unit = NULL;
    if (!formula)
        return NULL;
    for (int i = 0; i < 2 && is_comparison(formula) && !unit; i++)
        if (formula->operand[i]->kind == FORMULA_LET &&
            strcmp(formula->operand[i]->name, let->name) == 0)
            unit = sentence_unit(formula->operand[1 - i]);
    for (int i = 0; i < 3 && !unit; i++)
        unit = unit_beside(formula->operand[i], let);
    return unit ? unit : unit_beside(formula->filter, let);
}

const Unit *sentence_unit_in_rule(const Rule *rule, const Formula *formula)
{
    const Unit *unit = sentence_unit(formula);
    if (!unit && formula->kind == FORMULA_LET &&
        dimension_equal(formula->type.dimension, DIMENSION_NONE))
        unit = unit_beside(rule->require, formula);
    return unit;
}

void sentence_number(Text *text, double value, const Unit *unit, Dimension dimension, bool point,
                     int digits)
{
    if (isnan(value)) {
        text_add(text, "unknown");
        return;
    }
    text_add_number(text, unit ? unit_from_base(unit, value) : value, digits);
    if (unit)
        text_addf(text, " %s", unit->name);
    else if (!dimension_equal(dimension, DIMENSION_NONE))
        text_addf(text, " %s", dimension_name(dimension, point));
}

static bool equal_numbers(double a, double b)
{
    return fabs(a - b) <= 1e-9 * fmax(fabs(a), fabs(b));
}

static bool reads_equal(double a, double b, const Unit *unit, int digits)
{
    Text one = {0}, two = {0};
    text_add_number(&one, unit ? unit_from_base(unit, a) : a, digits);
    text_add_number(&two, unit ? unit_from_base(unit, b) : b, digits);
    bool equal = strcmp(text_string(&one), text_string(&two)) == 0;
    text_free(&one);
    text_free(&two);
    return equal;
}

int sentence_digits(double a, double b, const Unit *unit, int least)
{
    int digits = least;
    while (!isnan(a) && !isnan(b) && !equal_numbers(a, b) && digits < DIGITS_MOST &&
           reads_equal(a, b, unit, digits))
        digits++;
    return digits;
}

static void add_word(Text *text, const WordList *words, double code)
{
    bool known = words && code >= 0 && code < (double)words->count;
    text_add(text, known ? words->words[(size_t)code] : "unknown");
}

static void add_members(Text *text, const WordList *words, double code)
{
    uint64_t members = (uint64_t)code;
    const char *comma = "";
    text_add(text, "{");
    for (unsigned i = 0; i < 64; i++) {
        if (!(members >> i & 1))
            continue;
        text_add(text, comma);
        if (words)
            add_word(text, words, i);
        else
            text_addf(text, "%u", i);
        comma = ", ";
    }
    text_add(text, "}");
}

void sentence_word(Text *text, const Field *field, double code)
{
    if (isnan(code))
        text_add(text, "unknown");
    else if (field->type == FIELD_TRUTH)
        text_add(text, code > 0 ? "true" : "false");
    else if (field->type == FIELD_WORD)
        add_word(text, field->words, code);
    else
        add_members(text, field->words, code);
}

int sentence_digits_of(const Formula *formula)
{
    bool written =
        formula->kind == FORMULA_LIMIT || formula->kind == FORMULA_NUMBER ||
        (formula->kind == FORMULA_FIELD && field_at(formula->field)->absence != ABSENT_DERIVED);
    return written ? DIGITS_WRITTEN : DIGITS_WORKED_OUT;
}

void sentence_value(Text *text, const Plain *plain, const Formula *formula, int digits)
{
    switch (formula->type.kind) {
    case TYPE_TRUTH:
        text_add(text, kleene_name(look_truth(plain, formula).nominal));
        break;
    case TYPE_WORD:
        add_word(text, formula->type.words, look_number(plain, formula).nominal);
        break;
    case TYPE_NUMBER:
        sentence_number(text, look_number(plain, formula).nominal,
                        sentence_unit_in_rule(plain->rule, formula), formula->type.dimension,
                        formula->type.point, digits);
        break;
    }
}

/* --- formulas with values in place of names ------------------------------------------ */

/* How tightly a kind holds together, as in the grammar of rule/formula.h. */
static int hold_of(const Formula *formula)
{
    switch (formula->kind) {
    case FORMULA_IF:
        return 0;
    case FORMULA_OR:
        return 1;
    case FORMULA_AND:
        return 2;
    case FORMULA_NOT:
        return 3;
    case FORMULA_LESS:
    case FORMULA_LESS_EQUAL:
    case FORMULA_GREATER:
    case FORMULA_GREATER_EQUAL:
    case FORMULA_EQUAL:
    case FORMULA_NOT_EQUAL:
    case FORMULA_IN_WORDS:
    case FORMULA_IN_FIELD:
        return 4;
    case FORMULA_ADD:
    case FORMULA_SUBTRACT:
        return 5;
    case FORMULA_MULTIPLY:
    case FORMULA_DIVIDE:
        return 6;
    case FORMULA_NEGATE:
        return 7;
    case FORMULA_POWER:
        return 8;
    default:
        return 9;
    }
}

static const char *sign_of(FormulaKind kind)
{
    static const char *const signs[FORMULA_OVER + 1] = {
        [FORMULA_ADD] = "+",        [FORMULA_SUBTRACT] = "-",       [FORMULA_MULTIPLY] = "*",
        [FORMULA_DIVIDE] = "/",     [FORMULA_LESS] = "<",           [FORMULA_LESS_EQUAL] = "<=",
        [FORMULA_GREATER] = ">",    [FORMULA_GREATER_EQUAL] = ">=", [FORMULA_EQUAL] = "=",
        [FORMULA_NOT_EQUAL] = "!=", [FORMULA_AND] = "and",          [FORMULA_OR] = "or",
    };
    return signs[kind];
}

static void add_formula(Text *text, const Plain *plain, const Formula *formula, int digits);

static void add_operand(Text *text, const Plain *plain, const Formula *operand, int due, int digits)
{
    bool brackets = hold_of(operand) < due;
    text_add(text, brackets ? "(" : "");
    add_formula(text, plain, operand, digits);
    text_add(text, brackets ? ")" : "");
}

static void add_arguments(Text *text, const Plain *plain, const Formula *formula, int digits)
{
    static const char *const names[] = {"min",   "max", "abs", "sqrt", "floor", "ceil",
                                        "round", "sin", "cos", "tan",  "atan2"};
    text_add(text,
             formula->kind == FORMULA_TABLE ? formula->table->name : names[formula->function]);
    for (int i = 0; i < 3 && formula->operand[i]; i++) {
        text_add(text, i ? ", " : "(");
        add_formula(text, plain, formula->operand[i], digits);
    }
    text_add(text, ")");
}

/* Both sides of a comparison with digits enough to tell them apart. */
static void add_comparison(Text *text, const Plain *plain, const Formula *formula, int digits)
{
    const Formula *left = formula->operand[0], *right = formula->operand[1];
    if (left->type.kind == TYPE_NUMBER)
        digits =
            sentence_digits(look_number(plain, left).nominal, look_number(plain, right).nominal,
                            sentence_unit_in_rule(plain->rule, left), digits);
    add_operand(text, plain, left, 5, digits);
    text_addf(text, " %s ", sign_of(formula->kind));
    add_operand(text, plain, right, 5, digits);
}

void sentence_words(Text *text, const WordList *list, uint64_t words, const char *between)
{
    const char *comma = "";
    for (size_t i = 0; i < list->count; i++) {
        if (!(words >> i & 1))
            continue;
        text_addf(text, "%s%s", comma, list->words[i]);
        comma = between;
    }
}

/* "edge.finish (raw) is turned". */
static void add_in_words(Text *text, const Plain *plain, const Formula *formula, int digits)
{
    bool single = (formula->words & (formula->words - 1)) == 0;
    const Formula *word = formula->operand[0];
    if (word->kind == FORMULA_FIELD) {
        formula_write(text, plain->rule, word);
        text_add(text, " (");
        sentence_value(text, plain, word, digits);
        text_add(text, ")");
    } else {
        add_operand(text, plain, word, 5, digits);
    }
    text_add(text, single ? (formula->negated ? " is not " : " is ")
                          : (formula->negated ? " not in {" : " in {"));
    sentence_words(text, word->type.words, formula->words, ", ");
    text_add(text, single ? "" : "}");
}

static void add_cell(Text *text, const Plain *plain, const Formula *formula, int digits)
{
    const Field *field = field_at(formula->field);
    int32_t record = plain_record(plain, &formula->record);
    const Column *column = &plain->columns->fields[formula->field];
    size_t cell = record < 0 ? 0 : column_cell(column, (uint32_t)record, plain->lane);
    if (record < 0) {
        text_add(text, "unknown");
    } else if (field->type != FIELD_RANGE) {
        sentence_word(text, field, column->nominal[cell]);
    } else if (isnan(column->lo[cell])) {
        text_add(text, "unknown");
    } else {
        const Unit *unit = field_unit(field);
        text_add_number(text, unit ? unit_from_base(unit, column->lo[cell]) : column->lo[cell],
                        digits);
        text_add(text, "..");
        sentence_number(text, column->hi[cell], unit, DIMENSION_NONE, false, digits);
    }
}

/* With more digits than usual only where two values must be told apart. */
static void add_leaf(Text *text, const Plain *plain, const Formula *formula, int digits)
{
    int usual = sentence_digits_of(formula);
    sentence_value(text, plain, formula, digits > DIGITS_WRITTEN ? digits : usual);
}

static void add_formula(Text *text, const Plain *plain, const Formula *formula, int digits)
{
    int hold = hold_of(formula);
    switch (formula->kind) {
    case FORMULA_NEGATE:
        text_add(text, "-");
        add_operand(text, plain, formula->operand[0], hold, digits);
        break;
    case FORMULA_NOT:
        text_add(text, "not ");
        add_operand(text, plain, formula->operand[0], hold, digits);
        break;
    case FORMULA_POWER: /* in brackets: 0.2 mm^2 would be read as square millimetres */
        add_operand(text, plain, formula->operand[0], 10, digits);
        text_addf(text, "^%d", formula->power);
        break;
    case FORMULA_FIELD:
        if (formula->type.kind != TYPE_TRUTH) {
            add_leaf(text, plain, formula, digits);
            break;
        }
        formula_write(text, plain->rule, formula);
        text_addf(text, " (%s)", kleene_name(look_truth(plain, formula).nominal));
        break;
    case FORMULA_ADD:
    case FORMULA_SUBTRACT:
    case FORMULA_MULTIPLY:
    case FORMULA_DIVIDE:
    case FORMULA_AND:
    case FORMULA_OR:
        add_operand(text, plain, formula->operand[0], hold, digits);
        text_addf(text, " %s ", sign_of(formula->kind));
        add_operand(text, plain, formula->operand[1], hold + 1, digits);
        break;
    case FORMULA_LESS:
    case FORMULA_LESS_EQUAL:
    case FORMULA_GREATER:
    case FORMULA_GREATER_EQUAL:
    case FORMULA_EQUAL:
    case FORMULA_NOT_EQUAL:
        add_comparison(text, plain, formula, digits);
        break;
    case FORMULA_IN_WORDS:
        add_in_words(text, plain, formula, digits);
        break;
    case FORMULA_IN_FIELD:
        add_operand(text, plain, formula->operand[0], 5, digits);
        text_add(text, formula->negated ? " not in " : " in ");
        add_cell(text, plain, formula, digits);
        break;
    case FORMULA_CALL:
    case FORMULA_TABLE:
        add_arguments(text, plain, formula, digits);
        break;
    case FORMULA_IF:
        text_add(text, "if ");
        add_formula(text, plain, formula->operand[0], digits);
        text_add(text, " then ");
        add_formula(text, plain, formula->operand[1], digits);
        text_add(text, " else ");
        add_formula(text, plain, formula->operand[2], digits);
        break;
    default:
        add_leaf(text, plain, formula, digits);
    }
}

void sentence_formula(Text *text, const Plain *plain, const Formula *formula)
{
    add_formula(text, plain, formula, DIGITS_WORKED_OUT);
}

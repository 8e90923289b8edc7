/* What formulas have to spare into values, as kleene.h has it: of `and` and `every` the least,
 * of `or` and `some` the greatest among those that decide. For src/rule/code.c. */
#include "rule/code_parts.h"

static uint32_t spare_one(Compiler *compiler, Operation operation, uint32_t a)
{
    return code_value(compiler, operation, (Detail){.words = 0}, a, VALUE_NONE, VALUE_NONE);
}

static uint32_t spare_two(Compiler *compiler, Operation operation, uint32_t a, uint32_t b)
{
    return code_value(compiler, operation, (Detail){.words = 0}, a, b, VALUE_NONE);
}

static uint32_t negated(Compiler *compiler, uint32_t spare, bool negate)
{
    return negate ? spare_one(compiler, OPERATION_SPARE_NOT, spare) : spare;
}

static uint32_t at_least(Compiler *compiler, uint32_t a, uint32_t b)
{
    uint32_t truth = spare_two(compiler, OPERATION_AT_LEAST, a, b);
    return code_value(compiler, OPERATION_SPARE_ORDERED, (Detail){.words = 0}, truth, a, b);
}

/* Truths compare nothing: they hold or fail by any measure. */
static uint32_t spare_of_test(Compiler *compiler, const Formula *formula)
{
    return spare_one(compiler, OPERATION_SPARE_TEST, code_value_of(compiler, formula));
}

static uint32_t spare_in_field(Compiler *compiler, const Formula *formula)
{
    FieldId field = formula->field;
    if (field_at(field)->type != FIELD_RANGE)
        return spare_of_test(compiler, formula);
    uint32_t operand = code_value_of(compiler, formula->operand[0]);
    uint32_t record = code_record(compiler, &formula->record);
    const Detail detail = {.index = field};
    uint32_t least =
        code_value(compiler, OPERATION_RANGE_LEAST, detail, record, VALUE_NONE, VALUE_NONE);
    uint32_t most =
        code_value(compiler, OPERATION_RANGE_MOST, detail, record, VALUE_NONE, VALUE_NONE);
    uint32_t low = at_least(compiler, operand, least), high = at_least(compiler, most, operand);
    return negated(compiler, spare_two(compiler, OPERATION_SPARE_AND, low, high), formula->negated);
}

static uint32_t spare_of_equal(Compiler *compiler, uint32_t a, uint32_t b)
{
    uint32_t first = spare_two(compiler, OPERATION_AT_LEAST, a, b);
    uint32_t second = spare_two(compiler, OPERATION_AT_LEAST, b, a);
    uint32_t both = spare_two(compiler, OPERATION_AND, first, second);
    return code_value(compiler, OPERATION_SPARE_EQUAL, (Detail){.words = 0}, both, a, b);
}

static uint32_t spare_of_comparison(Compiler *compiler, const Formula *formula)
{
    uint32_t a = code_value_of(compiler, formula->operand[0]);
    uint32_t b = code_value_of(compiler, formula->operand[1]);
    switch (formula->kind) {
    case FORMULA_GREATER_EQUAL:
    case FORMULA_LESS:
        return negated(compiler, at_least(compiler, a, b), formula->kind == FORMULA_LESS);
    case FORMULA_LESS_EQUAL:
    case FORMULA_GREATER:
        return negated(compiler, at_least(compiler, b, a), formula->kind == FORMULA_GREATER);
    default:
        return negated(compiler, spare_of_equal(compiler, a, b),
                       formula->kind == FORMULA_NOT_EQUAL);
    }
}

static uint32_t spare_of_if(Compiler *compiler, const Formula *formula)
{
    uint32_t condition = code_value_of(compiler, formula->operand[0]);
    uint32_t yes = code_spare_of(compiler, formula->operand[1]);
    uint32_t no = code_spare_of(compiler, formula->operand[2]);
    return code_value(compiler, OPERATION_SPARE_CHOOSE, (Detail){.words = 0}, condition, yes, no);
}

static uint32_t spare_of_over(Compiler *compiler, const Formula *over)
{
    uint32_t loop = code_bind(compiler, over);
    uint32_t filter = over->filter ? code_value_of(compiler, over->filter) : VALUE_NONE;
    uint32_t body = code_spare_of(compiler, over->operand[0]);
    return code_gather(compiler,
                       over->over == OVER_EVERY ? OPERATION_SPARE_EVERY : OPERATION_SPARE_SOME,
                       loop, body, filter);
}

/* Recursion as deep as the formula, which has at most FORMULA_NODES_MOST nodes. */
uint32_t code_spare_of(Compiler *compiler, const Formula *formula)
{
    switch (formula->kind) {
    case FORMULA_LET:
        return code_spare_of(compiler, formula->operand[0]);
    case FORMULA_LESS:
    case FORMULA_LESS_EQUAL:
    case FORMULA_GREATER:
    case FORMULA_GREATER_EQUAL:
    case FORMULA_EQUAL:
    case FORMULA_NOT_EQUAL:
        return spare_of_comparison(compiler, formula);
    case FORMULA_IN_FIELD:
        return spare_in_field(compiler, formula);
    case FORMULA_NOT:
        return negated(compiler, code_spare_of(compiler, formula->operand[0]), true);
    case FORMULA_AND:
    case FORMULA_OR: {
        uint32_t a = code_spare_of(compiler, formula->operand[0]);
        uint32_t b = code_spare_of(compiler, formula->operand[1]);
        return spare_two(compiler,
                         formula->kind == FORMULA_AND ? OPERATION_SPARE_AND : OPERATION_SPARE_OR, a,
                         b);
    }
    case FORMULA_IF:
        return spare_of_if(compiler, formula);
    case FORMULA_OVER:
        return spare_of_over(compiler, formula);
    default:
        return spare_of_test(compiler, formula);
    }
}

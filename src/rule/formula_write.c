/* Writes formulas so that they read back as the same tree. For everyone who
 * shows one. */
#include "rule/formula_inner.h"

/* How tightly a kind of formula holds together, loosest first. */
typedef enum Hold {
    HOLD_EXPR, HOLD_OR, HOLD_AND, HOLD_NOT, HOLD_TEST, HOLD_SUM, HOLD_TERM, HOLD_SIGN, HOLD_POWER,
    HOLD_ATOM
} Hold;

typedef struct Writer {
    Text *text;
    const Rule *rule;
} Writer;

static void write_formula(Writer writer, const Formula *formula);

/* How each kind is written; a sign stands between two operands. */
static const struct {
    Hold hold;
    const char *sign;
    Hold left, right; /* what the operands must hold like */
} forms[] = {
    [FORMULA_NUMBER] = {HOLD_ATOM, NULL, 0, 0},
    [FORMULA_FIELD] = {HOLD_ATOM, NULL, 0, 0},
    [FORMULA_LIMIT] = {HOLD_ATOM, NULL, 0, 0},
    [FORMULA_LET] = {HOLD_ATOM, NULL, 0, 0},
    [FORMULA_CALL] = {HOLD_ATOM, NULL, 0, 0},
    [FORMULA_TABLE] = {HOLD_ATOM, NULL, 0, 0},
    [FORMULA_OVER] = {HOLD_ATOM, NULL, 0, 0},
    [FORMULA_POWER] = {HOLD_POWER, NULL, 0, 0},
    [FORMULA_NEGATE] = {HOLD_SIGN, NULL, 0, 0},
    [FORMULA_MULTIPLY] = {HOLD_TERM, "*", HOLD_TERM, HOLD_SIGN},
    [FORMULA_DIVIDE] = {HOLD_TERM, "/", HOLD_TERM, HOLD_SIGN},
    [FORMULA_ADD] = {HOLD_SUM, "+", HOLD_SUM, HOLD_TERM},
    [FORMULA_SUBTRACT] = {HOLD_SUM, "-", HOLD_SUM, HOLD_TERM},
    [FORMULA_LESS] = {HOLD_TEST, "<", HOLD_SUM, HOLD_SUM},
    [FORMULA_LESS_EQUAL] = {HOLD_TEST, "<=", HOLD_SUM, HOLD_SUM},
    [FORMULA_GREATER] = {HOLD_TEST, ">", HOLD_SUM, HOLD_SUM},
    [FORMULA_GREATER_EQUAL] = {HOLD_TEST, ">=", HOLD_SUM, HOLD_SUM},
    [FORMULA_EQUAL] = {HOLD_TEST, "=", HOLD_SUM, HOLD_SUM},
    [FORMULA_NOT_EQUAL] = {HOLD_TEST, "!=", HOLD_SUM, HOLD_SUM},
    [FORMULA_IN_WORDS] = {HOLD_TEST, NULL, 0, 0},
    [FORMULA_IN_FIELD] = {HOLD_TEST, NULL, 0, 0},
    [FORMULA_NOT] = {HOLD_NOT, NULL, 0, 0},
    [FORMULA_AND] = {HOLD_AND, "and", HOLD_AND, HOLD_NOT},
    [FORMULA_OR] = {HOLD_OR, "or", HOLD_OR, HOLD_AND},
    [FORMULA_IF] = {HOLD_EXPR, NULL, 0, 0},
};

/* The operand, in brackets if it holds together less than its place needs. */
static void write_operand(Writer writer, const Formula *operand, Hold due)
{
    bool brackets = forms[operand->kind].hold < due;
    text_add(writer.text, brackets ? "(" : "");
    write_formula(writer, operand);
    text_add(writer.text, brackets ? ")" : "");
}

static void write_two(Writer writer, const Formula *formula)
{
    write_operand(writer, formula->operand[0], forms[formula->kind].left);
    text_addf(writer.text, " %s ", forms[formula->kind].sign);
    write_operand(writer, formula->operand[1], forms[formula->kind].right);
}

static void write_number(Writer writer, const Formula *formula)
{
    if (formula->name) {
        text_add(writer.text, formula->name);
        return;
    }
    const Unit *unit = formula->unit;
    double shown = unit ? unit_from_base(unit, formula->number) : formula->number;
    text_add_number(writer.text, shown, 15);
    if (unit) {
        text_addf(writer.text, " %s", unit->name);
    }
}

static void write_record(Writer writer, const RecordPath *record, const char *last)
{
    const char *point = "";
    if (record->binding > 0) {
        text_add(writer.text, writer.rule->bound_name[record->binding]);
        point = ".";
    }
    for (int i = 0; i < record->length; i++) {
        text_addf(writer.text, "%s%s", point, record->steps[i]->name);
        point = ".";
    }
    if (last) {
        text_addf(writer.text, "%s%s", point, last);
    }
}

static void write_words(Writer writer, const Formula *formula)
{
    const WordList *list = formula->operand[0]->type.words;
    uint64_t words = formula->words;
    bool single = (words & (words - 1)) == 0;
    write_operand(writer, formula->operand[0], HOLD_SUM);
    text_add(writer.text, single ? (formula->negated ? " is not " : " is ")
                                 : (formula->negated ? " not in {" : " in {"));
    const char *comma = "";
    for (size_t i = 0; i < list->count; i++) {
        if (words >> i & 1) {
            text_addf(writer.text, "%s%s", comma, list->words[i]);
            comma = ", ";
        }
    }
    text_add(writer.text, single ? "" : "}");
}

static void write_in_field(Writer writer, const Formula *formula)
{
    write_operand(writer, formula->operand[0], HOLD_SUM);
    text_add(writer.text, formula->negated ? " not in " : " in ");
    write_record(writer, &formula->record, field_at(formula->field)->name);
}

static void write_if(Writer writer, const Formula *formula)
{
    text_add(writer.text, "if ");
    write_formula(writer, formula->operand[0]);
    text_add(writer.text, " then ");
    write_formula(writer, formula->operand[1]);
    text_add(writer.text, " else ");
    write_formula(writer, formula->operand[2]);
}

static void write_over(Writer writer, const Formula *formula)
{
    static const char *const words[] = {"every", "some", "sum", "most", "least", "count"};
    text_addf(writer.text, "%s ", words[formula->over]);
    write_record(writer, &formula->record, formula->relation->name);
    if (formula->filter) {
        text_add(writer.text, " where (");
        write_formula(writer, formula->filter);
        text_add(writer.text, ")");
    }
    if (formula->operand[0]) {
        text_add(writer.text, " (");
        write_formula(writer, formula->operand[0]);
        text_add(writer.text, ")");
    }
}

static void write_call(Writer writer, const Formula *formula, const char *name)
{
    text_addf(writer.text, "%s(", name);
    write_formula(writer, formula->operand[0]);
    if (formula->operand[1]) {
        text_add(writer.text, ", ");
        write_formula(writer, formula->operand[1]);
    }
    text_add(writer.text, ")");
}

static void write_formula(Writer writer, const Formula *formula)
{
    switch (formula->kind) {
    case FORMULA_NUMBER:
        write_number(writer, formula);
        break;
    case FORMULA_FIELD:
        write_record(writer, &formula->record, field_at(formula->field)->name);
        break;
    case FORMULA_LIMIT:
        text_add(writer.text, formula->limit->name);
        break;
    case FORMULA_LET:
        text_add(writer.text, formula->name);
        break;
    case FORMULA_NEGATE:
        text_add(writer.text, "-");
        write_operand(writer, formula->operand[0], HOLD_SIGN);
        break;
    case FORMULA_POWER:
        write_operand(writer, formula->operand[0], HOLD_ATOM);
        text_addf(writer.text, "^%d", formula->power);
        break;
    case FORMULA_CALL:
        write_call(writer, formula, function_name(formula->function));
        break;
    case FORMULA_TABLE:
        write_call(writer, formula, formula->table->name);
        break;
    case FORMULA_IN_WORDS:
        write_words(writer, formula);
        break;
    case FORMULA_IN_FIELD:
        write_in_field(writer, formula);
        break;
    case FORMULA_NOT:
        text_add(writer.text, "not ");
        write_operand(writer, formula->operand[0], HOLD_NOT);
        break;
    case FORMULA_IF:
        write_if(writer, formula);
        break;
    case FORMULA_OVER:
        write_over(writer, formula);
        break;
    default:
        write_two(writer, formula);
    }
}

void formula_write(Text *text, const Rule *rule, const Formula *formula)
{
    write_formula((Writer){text, rule}, formula);
}

void record_path_write(Text *text, const Rule *rule, const RecordPath *path)
{
    Writer writer = {text, rule};
    if (path->binding == 0 && path->length == 0) {
        text_add(text, subject_name(rule->about));
        return;
    }
    write_record(writer, path, NULL);
}

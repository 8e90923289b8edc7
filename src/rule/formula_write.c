/* Writes formulas so that they read back as the same tree. For everyone who
 * shows one. */
#include "rule/formula_inner.h"

/* How loosely a kind of formula holds together. */
typedef enum Loose {
    LOOSE_ATOM,
    LOOSE_POWER,
    LOOSE_SIGN,
    LOOSE_TERM,
    LOOSE_SUM,
    LOOSE_TEST,
    LOOSE_NOT,
    LOOSE_AND,
    LOOSE_OR,
    LOOSE_EXPR
} Loose;

typedef struct Writer {
    Text *text;
    const Rule *rule;
} Writer;

static void write_formula(Writer writer, const Formula *formula);

/* How each kind is written; those left out are atoms. A sign stands between two
 * operands, which may hold together as loosely as is said. */
/* clang-format off */
static const struct {
    Loose loose;
    const char *sign;
    Loose left, right;
} forms[] = {
    [FORMULA_POWER] = {.loose = LOOSE_POWER},
    [FORMULA_NEGATE] = {.loose = LOOSE_SIGN},
    [FORMULA_MULTIPLY] = {LOOSE_TERM, "*", LOOSE_TERM, LOOSE_SIGN},
    [FORMULA_DIVIDE] = {LOOSE_TERM, "/", LOOSE_TERM, LOOSE_SIGN},
    [FORMULA_ADD] = {LOOSE_SUM, "+", LOOSE_SUM, LOOSE_TERM},
    [FORMULA_SUBTRACT] = {LOOSE_SUM, "-", LOOSE_SUM, LOOSE_TERM},
    [FORMULA_LESS] = {LOOSE_TEST, "<", LOOSE_SUM, LOOSE_SUM},
    [FORMULA_LESS_EQUAL] = {LOOSE_TEST, "<=", LOOSE_SUM, LOOSE_SUM},
    [FORMULA_GREATER] = {LOOSE_TEST, ">", LOOSE_SUM, LOOSE_SUM},
    [FORMULA_GREATER_EQUAL] = {LOOSE_TEST, ">=", LOOSE_SUM, LOOSE_SUM},
    [FORMULA_EQUAL] = {LOOSE_TEST, "=", LOOSE_SUM, LOOSE_SUM},
    [FORMULA_NOT_EQUAL] = {LOOSE_TEST, "!=", LOOSE_SUM, LOOSE_SUM},
    [FORMULA_IN_WORDS] = {.loose = LOOSE_TEST},
    [FORMULA_IN_FIELD] = {.loose = LOOSE_TEST},
    [FORMULA_NOT] = {.loose = LOOSE_NOT},
    [FORMULA_AND] = {LOOSE_AND, "and", LOOSE_AND, LOOSE_NOT},
    [FORMULA_OR] = {LOOSE_OR, "or", LOOSE_OR, LOOSE_AND},
    [FORMULA_IF] = {.loose = LOOSE_EXPR},
    [FORMULA_OVER] = {.loose = LOOSE_ATOM}, /* the last kind: the table holds all */
};
/* clang-format on */

/* The operand, in brackets if it holds together more loosely than its place allows. */
static void write_operand(Writer writer, const Formula *operand, Loose most)
{
    bool brackets = forms[operand->kind].loose > most;
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
    write_operand(writer, formula->operand[0], LOOSE_SUM);
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
    write_operand(writer, formula->operand[0], LOOSE_SUM);
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
        write_operand(writer, formula->operand[0], LOOSE_SIGN);
        break;
    case FORMULA_POWER:
        write_operand(writer, formula->operand[0], LOOSE_ATOM);
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
        write_operand(writer, formula->operand[0], LOOSE_NOT);
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

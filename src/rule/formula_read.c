/* Reads a formula: recursive descent over the grammar of formula.h, checking as
 * it goes. For src/rule, and for tests through formula_read(). */
#include "rule/rule_inner.h"

#include <string.h>

static Formula *read_expr(FormulaReader *reader);
static Formula *read_not(FormulaReader *reader);
static Formula *read_sum(FormulaReader *reader);
static Formula *read_sign(FormulaReader *reader);

static bool deeper(FormulaReader *reader)
{
    return ++reader->depth <= FORMULA_NESTING_MOST ||
           reader_wrong(reader, reader->at, "this is nested more than %d deep",
                        FORMULA_NESTING_MOST);
}

/* Advice on a sign of other languages under the cursor; "" if there is none. */
static const char *sign_advice(FormulaReader *reader)
{
    static const struct {
        const char *sign, *advice;
    } signs[] = {
        {"&",  "; write and"                                           },
        {"|",  "; write or"                                            },
        {"!=", ""                                                      },
        {"!",  "; write not"                                           },
        {",",  "; a decimal is written 1.5"                            },
        {"=<", "; write <="                                            },
        {"=>", "; write >="                                            },
        {"<>", "; write !="                                            },
        {"==", "; equal is written with one ="                         },
        {"≤", "; write <="                                            },
        {"≥", "; write >="                                            },
        {"≠", "; write !="                                            },
    };
    size_t here = (scan_blanks(reader), reader->at);
    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++) {
        if (scan_sign(reader, signs[i].sign)) {
            reader->at = here;
            return signs[i].advice;
        }
    }
    return "";
}

static Formula *missing(FormulaReader *reader, const char *what)
{
    const char *found = scan_found(reader);
    reader_wrong(reader, reader->at, "%s is expected here, found %s%s", what, found,
                 sign_advice(reader));
    return NULL;
}

/* Whether `in` after a number is the test and not the inch: a path or words follow. */
static bool in_is_test(FormulaReader *reader, const Unit *unit)
{
    size_t length = scan_name(reader);
    const char *next = reader->text + reader->at;
    bool words = reader->at < reader->length && *next == '{';
    return strcmp(unit->name, "in") == 0 &&
           (words || (length > 0 && !name_is_reserved(next, length)));
}

/* The unit after a number, blanks before it, or NULL. No name can follow a
 * number, so one that does is a unit misspelt. */
static bool read_unit(FormulaReader *reader, const Unit **unit)
{
    size_t end = reader->at, used = 0;
    scan_blanks(reader);
    size_t start = reader->at, length = scan_name(reader);
    *unit = unit_longest(reader->text + start, reader->length - start, &used);
    reader->at = start + used;
    if (*unit && !in_is_test(reader, *unit)) {
        reader->at = start + used;
        return true;
    }
    *unit = NULL;
    reader->at = end;
    return length == 0 || (start > end && name_is_reserved(reader->text + start, length)) ||
           reader_wrong(reader, start, "%.*s is no unit", (int)length, reader->text + start);
}

/* number [unit] */
static Formula *read_literal(FormulaReader *reader)
{
    size_t start = reader->at;
    double number;
    Text problem = {0};
    size_t used =
        decimal_read(reader->text + start, reader->length - start, false, &number, &problem);
    if (used == 0) {
        reader_wrong(reader, start, "%s", text_string(&problem));
    }
    text_free(&problem);
    if (used == 0) {
        return NULL;
    }
    reader->at = start + used;
    const Unit *unit;
    if (!read_unit(reader, &unit)) {
        return NULL;
    }
    Formula *formula = formula_new(reader, FORMULA_NUMBER, start, reader->at);
    if (formula) {
        formula->number = unit ? unit_to_base(unit, number) : number;
        formula->unit = unit;
        formula->type.dimension = unit ? unit->dimension : DIMENSION_NONE;
        formula->type.point = unit && unit->point;
    }
    return formula;
}

static Formula *read_in_brackets(FormulaReader *reader)
{
    size_t start = reader->at;
    if (!scan_sign(reader, "(")) {
        return missing(reader, "`(`");
    }
    Formula *formula = read_expr(reader);
    if (formula && !scan_sign(reader, ")")) {
        return missing(reader, "`)`");
    }
    if (formula) {
        formula->start = start;
        formula->end = reader->at;
    }
    return formula;
}

static const char *const over_words[] = {"every", "some", "sum", "most", "least", "count"};

static bool scan_over(FormulaReader *reader, Over *over)
{
    for (int i = 0; i <= OVER_COUNT; i++) {
        if (scan_keyword(reader, over_words[i])) {
            *over = (Over)i;
            return true;
        }
    }
    return false;
}

/* Binds the path's last name to a member of the set it names. */
static bool bind(FormulaReader *reader, const NamePath *path, Formula *over)
{
    Rule *rule = reader->rule;
    Meaning meaning;
    if (!name_meaning(reader, path, &meaning)) {
        return false;
    }
    if (meaning.kind != MEANS_SET) {
        return reader_wrong(reader, path->start, "%.*s is not a set of records",
                            (int)(path->end - path->start), reader->text + path->start);
    }
    if (reader->scope_count > OVER_NESTING_MOST) {
        return reader_wrong(reader, over->start, "sets may stand within each other %d deep at most",
                            OVER_NESTING_MOST);
    }
    if (rule->binding_count == BINDINGS_MOST) {
        return reader_wrong(reader, over->start, "a rule may go over at most %d sets",
                            BINDINGS_MOST - 1);
    }
    over->record = meaning.record;
    over->relation = meaning.relation;
    over->binding = rule->binding_count++;
    rule->bound[over->binding] = meaning.relation->to;
    rule->bound_name[over->binding] = meaning.relation->name;
    reader->scope[reader->scope_count++] = over->binding;
    return true;
}

static bool over_body(FormulaReader *reader, Formula *over)
{
    if (scan_keyword(reader, "where")) {
        scan_blanks(reader);
        over->filter = read_in_brackets(reader);
        if (!over->filter || !formula_is_truth(reader, over->filter, "a filter")) {
            return false;
        }
    }
    if (over->over == OVER_COUNT) {
        return true;
    }
    scan_blanks(reader);
    Formula *body = over->operand[0] = read_in_brackets(reader);
    if (!body) {
        return false;
    }
    if (over->over == OVER_EVERY || over->over == OVER_SOME) {
        over->type.kind = TYPE_TRUTH;
        return formula_is_truth(reader, body, "what is asked of each");
    }
    over->type = body->type;
    return formula_is_number(reader, body, "what is taken of each") &&
           (over->over != OVER_SUM || !body->type.point ||
            reader_wrong(reader, body->start, "temperatures cannot be summed"));
}

static Formula *read_over(FormulaReader *reader, size_t start, Over kind)
{
    NamePath path;
    Formula *over = deeper(reader) ? formula_new(reader, FORMULA_OVER, start, start) : NULL;
    if (!over || !scan_path(reader, &path) || !bind(reader, &path, over)) {
        return NULL;
    }
    over->over = kind;
    bool read = over_body(reader, over);
    over->end = over->over == OVER_COUNT && !over->filter ? path.end : reader->at;
    reader->scope_count--;
    reader->depth--;
    return read ? over : NULL;
}

static Formula *unknown_call(FormulaReader *reader, size_t start, size_t length)
{
    const RuleSet *set = reader->set;
    Arena *arena = &reader->set->arena;
    const char **names = ARENA_NEW(arena, const char *, FUNCTION_COUNT + set->table_count);
    size_t count = 0;
    for (int i = 0; i < FUNCTION_COUNT; i++) {
        names[count++] = function_name((Function)i);
    }
    for (size_t i = 0; i < set->table_count; i++) {
        names[count++] = set->tables[i]->name;
    }
    const char *name = arena_copy(arena, reader->text + start, length);
    reader_wrong(reader, start, "%s is no function or table%s", name,
                 nearest_hint(arena, name, names, count));
    return NULL;
}

/* (function|table) "(" expr {"," expr} ")", the cursor on the bracket. */
static Formula *read_call(FormulaReader *reader, size_t start, size_t length)
{
    Formula *arguments[ARGUMENTS_MOST + 2]; /* one too many is counted, more are not */
    int count = 0;
    Function function;
    const RuleTable *table = rules_table(reader->set, reader->text + start, length);
    bool known = function_find(reader->text + start, length, &function);
    if (!known && !table) {
        return unknown_call(reader, start, length);
    }
    scan_sign(reader, "(");
    do {
        arguments[count] = read_expr(reader);
        if (!arguments[count]) {
            return NULL;
        }
        count += count <= ARGUMENTS_MOST;
    } while (scan_sign(reader, ","));
    if (!scan_sign(reader, ")")) {
        return missing(reader, "`,` or `)`");
    }
    if (known) {
        return formula_call(reader, start, function, arguments, count);
    }
    if (count != 1) {
        reader_wrong(reader, start, "a table takes one argument");
        return NULL;
    }
    return formula_table(reader, start, table, arguments[0]);
}

static Formula *read_path(FormulaReader *reader)
{
    NamePath path;
    Meaning meaning;
    if (!scan_path(reader, &path) || !name_meaning(reader, &path, &meaning)) {
        return NULL;
    }
    return formula_of_meaning(reader, &path, &meaning);
}

static Formula *read_named(FormulaReader *reader, size_t length)
{
    size_t start = reader->at;
    Over over;
    if (scan_over(reader, &over)) {
        return read_over(reader, start, over);
    }
    if (name_is_reserved(reader->text + start, length)) {
        return missing(reader,
                       scan_at_keyword(reader, "if") ? "a value, or `if` in brackets," : "a value");
    }
    reader->at += length;
    scan_blanks(reader);
    if (reader->at < reader->length && reader->text[reader->at] == '(') {
        return read_call(reader, start, length);
    }
    reader->at = start;
    return read_path(reader);
}

static Formula *read_atom(FormulaReader *reader)
{
    if (scan_at_end(reader)) {
        return missing(reader, "a value");
    }
    char c = reader->text[reader->at];
    if (digit(c)) {
        return read_literal(reader);
    }
    if (c == '(') {
        return read_in_brackets(reader);
    }
    size_t length = scan_name(reader);
    return length > 0 ? read_named(reader, length) : missing(reader, "a value");
}

static Formula *read_power(FormulaReader *reader)
{
    Formula *base = read_atom(reader);
    if (!base || !scan_sign(reader, "^")) {
        return base;
    }
    scan_blanks(reader);
    const char *text = reader->text + reader->at;
    size_t left = reader->length - reader->at;
    if (left == 0 || !digit(text[0]) || (left > 1 && (digit(text[1]) || text[1] == '.'))) {
        return missing(reader, "one digit");
    }
    reader->at++;
    return formula_power(reader, base, text[0] - '0');
}

static Formula *read_sign(FormulaReader *reader)
{
    size_t start = (scan_blanks(reader), reader->at);
    if (!scan_sign(reader, "-")) {
        return read_power(reader);
    }
    Formula *operand = deeper(reader) ? read_sign(reader) : NULL;
    reader->depth--;
    return operand ? formula_negate(reader, start, operand) : NULL;
}

static Formula *read_term(FormulaReader *reader)
{
    Formula *left = read_sign(reader);
    while (left) {
        FormulaKind kind = scan_sign(reader, "*")   ? FORMULA_MULTIPLY
                           : scan_sign(reader, "/") ? FORMULA_DIVIDE
                                                    : FORMULA_NUMBER;
        if (kind == FORMULA_NUMBER) {
            break;
        }
        Formula *right = read_sign(reader);
        left = right ? formula_product(reader, kind, left, right) : NULL;
    }
    return left;
}

static Formula *read_sum(FormulaReader *reader)
{
    Formula *left = read_term(reader);
    while (left) {
        FormulaKind kind = scan_sign(reader, "+")   ? FORMULA_ADD
                           : scan_sign(reader, "-") ? FORMULA_SUBTRACT
                                                    : FORMULA_NUMBER;
        if (kind == FORMULA_NUMBER) {
            break;
        }
        Formula *right = read_term(reader);
        left = right ? formula_sum(reader, kind, left, right) : NULL;
    }
    return left;
}

/* A word of the operand's list as a bit; 0 after a message. */
static uint64_t read_word(FormulaReader *reader, const Formula *operand)
{
    const WordList *list = operand->type.words;
    size_t length = scan_word(reader);
    if (length == 0) {
        missing(reader, "a word");
        return 0;
    }
    const char *text = reader->text + reader->at;
    int index = word_index(list, text, length);
    if (index < 0) {
        Arena *arena = &reader->set->arena;
        const char *word = arena_copy(arena, text, length);
        const char *advice = word_advice(list, text, length);
        reader_wrong(reader, reader->at, "%s is no word of %s%s", word, list->name,
                     advice ? arena_printf(arena, "; write %s", advice)
                            : nearest_hint(arena, word, list->words, list->count));
        return 0;
    }
    reader->at += length;
    return UINT64_C(1) << index;
}

static Formula *words_tested(FormulaReader *reader, Formula *operand, uint64_t words, bool negated)
{
    Formula *formula = formula_new(reader, FORMULA_IN_WORDS, operand->start, reader->at);
    if (formula) {
        formula->operand[0] = operand;
        formula->words = words;
        formula->negated = negated;
        formula->type.kind = TYPE_TRUTH;
    }
    return formula;
}

static bool has_words(FormulaReader *reader, const Formula *operand)
{
    Arena *arena = &reader->set->arena;
    const char *advice = operand->type.kind == TYPE_TRUTH ? "; a truth stands by itself"
                                                          : "; numbers are compared with =";
    return operand->type.kind == TYPE_WORD ||
           reader_wrong(reader, operand->start, "only words are tested like this; this is %s%s",
                        type_text(arena, operand->type), advice);
}

static Formula *read_is(FormulaReader *reader, Formula *operand)
{
    bool negated = scan_keyword(reader, "not");
    uint64_t word = has_words(reader, operand) ? read_word(reader, operand) : 0;
    return word ? words_tested(reader, operand, word, negated) : NULL;
}

static Formula *read_in(FormulaReader *reader, Formula *operand, bool negated)
{
    if (!scan_sign(reader, "{")) {
        NamePath path;
        Meaning meaning;
        Formula *formula = NULL;
        if (scan_path(reader, &path) && name_meaning(reader, &path, &meaning)) {
            formula = formula_in_field(reader, operand, &path, &meaning);
        }
        if (formula) {
            formula->negated = negated;
        }
        return formula;
    }
    uint64_t words = 0;
    if (!has_words(reader, operand)) {
        return NULL;
    }
    do {
        uint64_t word = read_word(reader, operand);
        if (!word) {
            return NULL;
        }
        words |= word;
    } while (scan_sign(reader, ","));
    if (!scan_sign(reader, "}")) {
        return missing(reader, "`,` or `}`");
    }
    return words_tested(reader, operand, words, negated);
}

static bool scan_comparison(FormulaReader *reader, FormulaKind *kind)
{
    static const struct {
        const char *sign;
        FormulaKind kind;
    } signs[] = {
        {"<=", FORMULA_LESS_EQUAL   },
        {">=", FORMULA_GREATER_EQUAL},
        {"!=", FORMULA_NOT_EQUAL    },
        {"<",  FORMULA_LESS         },
        {">",  FORMULA_GREATER      },
        {"=",  FORMULA_EQUAL        }
    };
    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++) {
        if (scan_sign(reader, signs[i].sign)) {
            *kind = signs[i].kind;
            return true;
        }
    }
    return false;
}

/* =<, =>, ==, <>: what begins like a comparison and is none. */
static bool at_foreign_comparison(FormulaReader *reader)
{
    size_t here = (scan_blanks(reader), reader->at);
    bool foreign = scan_sign(reader, "=<") || scan_sign(reader, "=>") ||
                   scan_sign(reader, "==") || scan_sign(reader, "<>");
    reader->at = here;
    return foreign;
}

/* `does = topstitch`, the cursor behind the sign: true after a message. A path
 * with points is no word. */
static bool compares_word(FormulaReader *reader, const Formula *left, FormulaKind kind)
{
    size_t length = scan_word(reader), end = reader->at + length;
    if (left->type.kind != TYPE_WORD || length == 0 ||
        (kind != FORMULA_EQUAL && kind != FORMULA_NOT_EQUAL) ||
        (end < reader->length && reader->text[end] == '.')) {
        return false;
    }
    reader_wrong(reader, reader->at, "words are compared with `is`: %.*s %s %.*s",
                 (int)(left->end - left->start), reader->text + left->start,
                 kind == FORMULA_EQUAL ? "is" : "is not", (int)length, reader->text + reader->at);
    return true;
}

static Formula *read_test(FormulaReader *reader)
{
    Formula *left = read_sum(reader);
    FormulaKind kind;
    if (!left) {
        return NULL;
    }
    if (at_foreign_comparison(reader)) {
        return missing(reader, "a comparison");
    }
    if (scan_comparison(reader, &kind)) {
        if (compares_word(reader, left, kind)) {
            return NULL;
        }
        Formula *right = read_sum(reader);
        return right ? formula_compare(reader, kind, left, right) : NULL;
    }
    if (scan_keyword(reader, "is")) {
        return read_is(reader, left);
    }
    size_t here = reader->at;
    bool negated = scan_keyword(reader, "not");
    if (scan_keyword(reader, "in")) {
        return read_in(reader, left, negated);
    }
    reader->at = here;
    return left;
}

static Formula *read_not(FormulaReader *reader)
{
    size_t start = (scan_blanks(reader), reader->at);
    if (!scan_keyword(reader, "not")) {
        return read_test(reader);
    }
    Formula *operand = deeper(reader) ? read_not(reader) : NULL;
    reader->depth--;
    return operand ? formula_not(reader, start, operand) : NULL;
}

static Formula *read_and(FormulaReader *reader)
{
    Formula *left = read_not(reader);
    while (left && scan_keyword(reader, "and")) {
        Formula *right = read_not(reader);
        left = right ? formula_logic(reader, FORMULA_AND, left, right) : NULL;
    }
    return left;
}

static Formula *read_or(FormulaReader *reader)
{
    Formula *left = read_and(reader);
    while (left && scan_keyword(reader, "or")) {
        Formula *right = read_and(reader);
        left = right ? formula_logic(reader, FORMULA_OR, left, right) : NULL;
    }
    return left;
}

static Formula *read_if(FormulaReader *reader, size_t start)
{
    Formula *condition = read_expr(reader);
    if (condition && !scan_keyword(reader, "then")) {
        return missing(reader, "`then`");
    }
    Formula *yes = condition ? read_expr(reader) : NULL;
    if (yes && !scan_keyword(reader, "else")) {
        return missing(reader, "`else`");
    }
    Formula *no = yes ? read_expr(reader) : NULL;
    return no ? formula_if(reader, start, condition, yes, no) : NULL;
}

static Formula *read_expr(FormulaReader *reader)
{
    if (!deeper(reader)) {
        return NULL;
    }
    size_t start = (scan_blanks(reader), reader->at);
    Formula *formula = scan_keyword(reader, "if") ? read_if(reader, start) : read_or(reader);
    reader->depth--;
    return formula;
}

static Formula *read_whole(FormulaReader *reader)
{
    Formula *formula = read_expr(reader);
    if (!formula || scan_at_end(reader)) {
        return formula;
    }
    return missing(reader, "an operator or the end");
}

Formula *formula_read_part(RuleSet *set, Rule *rule, const YamlNode *node, Messages *messages)
{
    if (node->kind != YAML_SCALAR) {
        message_error(messages, yaml_where(node), "a formula is text, such as radius >= 3 mm");
        return NULL;
    }
    FormulaReader reader;
    reader_start(&reader, set, rule, node, messages);
    return read_whole(&reader);
}

Formula *formula_read(RuleSet *set, Rule *rule, const YamlNode *node, Messages *messages)
{
    Formula *formula = formula_read_part(set, rule, node, messages);
    if (formula) {
        formula_enter(set, rule, formula);
    }
    return formula;
}

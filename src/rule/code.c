/* Rules into values: every part that two formulas have in common becomes one
 * value (value numbering). For src/judge and tests, by code.h. */
#include <math.h>
#include <string.h>

#include "rule/code_parts.h"

static uint64_t mix(uint64_t hash, uint64_t part)
{
    hash = (hash ^ part) * 0x9e3779b97f4a7c15u;
    return hash ^ (hash >> 32);
}

static uint64_t value_hash(const CodeValue *value)
{
    uint64_t hash = mix(0, value->operation);
    for (int i = 0; i < OPERANDS; i++) {
        hash = mix(hash, value->operand[i]);
    }
    return mix(hash, value->detail.words);
}

static bool value_equal(const CodeValue *a, const CodeValue *b)
{
    return a->operation == b->operation && a->detail.words == b->detail.words &&
           memcmp(a->operand, b->operand, sizeof a->operand) == 0;
}

/* Where the value is, or the free slot it belongs in. */
static uint32_t *numbering_slot(const Numbering *numbering, const Code *code,
                                const CodeValue *value)
{
    size_t at = (size_t)value_hash(value) & (numbering->size - 1);
    while (numbering->slots[at] && !value_equal(&code->values[numbering->slots[at] - 1], value)) {
        at = (at + 1) & (numbering->size - 1);
    }
    return &numbering->slots[at];
}

static void numbering_grow(Compiler *compiler)
{
    Numbering *numbering = &compiler->numbering;
    numbering->size = numbering->size ? numbering->size * 2 : 1024;
    numbering->slots = ARENA_NEW(compiler->arena, uint32_t, numbering->size);
    for (size_t i = 0; i < compiler->code->value_count; i++) {
        *numbering_slot(numbering, compiler->code, &compiler->code->values[i]) = (uint32_t)i + 1;
    }
}

/* A value changes in the innermost loop that one of its operands changes in. */
static void value_place(const Code *code, CodeValue *value)
{
    for (int i = 0; i < OPERANDS; i++) {
        if (value->operand[i] == VALUE_NONE) {
            continue;
        }
        const CodeValue *operand = &code->values[value->operand[i]];
        if (code->loops[operand->loop].level > code->loops[value->loop].level) {
            value->loop = operand->loop;
            value->phase = operand->phase;
        } else if (operand->loop == value->loop && operand->phase > value->phase) {
            value->phase = operand->phase;
        }
    }
}

/* The number of a value that has its loop and phase. */
static uint32_t number_placed(Compiler *compiler, CodeValue value)
{
    Code *code = compiler->code;
    if (2 * code->value_count >= compiler->numbering.size) {
        numbering_grow(compiler);
    }
    code->unshared++;
    uint32_t *slot = numbering_slot(&compiler->numbering, code, &value);
    if (!*slot) {
        *ARENA_PUSH(compiler->arena, code->values, code->value_count, code->value_capacity) = value;
        *slot = (uint32_t)code->value_count;
    }
    return *slot - 1;
}

uint32_t code_value(Compiler *compiler, Operation operation, Detail detail, uint32_t a, uint32_t b,
                    uint32_t c)
{
    CodeValue value = {.operation = operation, .operand = {a, b, c}, .detail = detail};
    value_place(compiler->code, &value);
    return number_placed(compiler, value);
}

static uint32_t number_one(Compiler *compiler, Operation operation, uint32_t a)
{
    return code_value(compiler, operation, (Detail){.words = 0}, a, VALUE_NONE, VALUE_NONE);
}

static uint32_t number_two(Compiler *compiler, Operation operation, uint32_t a, uint32_t b)
{
    return code_value(compiler, operation, (Detail){.words = 0}, a, b, VALUE_NONE);
}

/* Operations that give the same whichever operand is first. */
static uint32_t number_pair(Compiler *compiler, Operation operation, uint32_t a, uint32_t b)
{
    return a < b ? number_two(compiler, operation, a, b) : number_two(compiler, operation, b, a);
}

static uint32_t read_of(Compiler *compiler, Operation operation, FieldId field, uint32_t record,
                        uint32_t other)
{
    return code_value(compiler, operation, (Detail){.index = field}, record, other, VALUE_NONE);
}

uint32_t code_gather(Compiler *compiler, Operation operation, uint32_t loop, uint32_t body,
                     uint32_t filter)
{
    const Loop *over = &compiler->code->loops[loop];
    bool extreme = operation == OPERATION_MOST || operation == OPERATION_LEAST;
    compiler->code->unshared += extreme ? 2 : 1; /* to start, to add, to finish */
    CodeValue value = {.operation = operation,
                       .operand = {body, filter, VALUE_NONE},
                       .detail = {.index = loop},
                       .loop = over->parent,
                       .phase = over->phase + 1};
    return number_placed(compiler, value);
}

uint32_t code_record(Compiler *compiler, const RecordPath *path)
{
    uint32_t record = compiler->member[path->binding];
    for (int i = 0; i < path->length; i++) {
        record = code_value(compiler, OPERATION_FOLLOW, (Detail){.relation = path->steps[i]},
                            record, VALUE_NONE, VALUE_NONE);
    }
    return record;
}

/* The bindings a formula reads and does not bind itself. */
static uint32_t bindings_of(const Formula *formula)
{
    if (!formula) {
        return 0;
    }
    uint32_t bindings = bindings_of(formula->filter);
    for (int i = 0; i < OPERANDS; i++) {
        bindings |= bindings_of(formula->operand[i]);
    }
    bool reads = formula->kind == FORMULA_FIELD || formula->kind == FORMULA_IN_FIELD ||
                 (formula->kind == FORMULA_LIMIT && formula->limit->by != FIELD_ID_COUNT);
    if (formula->kind == FORMULA_OVER) {
        bindings &= ~(1u << formula->binding);
        reads = true;
    }
    if (reads) {
        bindings |= 1u << formula->record.binding;
    }
    if (formula->kind == FORMULA_LIMIT && formula->own_record.subject != SUBJECT_COUNT) {
        bindings |= 1u << formula->own_record.binding;
    }
    return bindings;
}

/* An over need only run within the loops whose members it reads. */
static uint32_t over_level(Compiler *compiler, const Formula *over)
{
    uint32_t bindings = bindings_of(over), level = LOOP_BLOCKS;
    for (int i = 0; i < BINDINGS_MOST; i++) {
        if ((bindings >> i & 1) && compiler->level[i] > level) {
            level = compiler->level[i];
        }
    }
    compiler->level[over->binding] = level + 1;
    return level + 1;
}

/* How many overs at this level have to be done one after the other for the
 * formula; those of one set that need not wait for each other share a loop. */
static uint32_t over_layers(Compiler *compiler, const Formula *formula, uint32_t level)
{
    if (!formula) {
        return 0;
    }
    bool here = formula->kind == FORMULA_OVER && over_level(compiler, formula) == level;
    uint32_t most = over_layers(compiler, formula->filter, level);
    for (int i = 0; i < OPERANDS; i++) {
        uint32_t layers = over_layers(compiler, formula->operand[i], level);
        most = layers > most ? layers : most;
    }
    return most + here;
}

/* The innermost loop among those that bind what the over reads. */
static uint32_t over_parent(const Compiler *compiler, const Formula *over)
{
    uint32_t bindings = bindings_of(over), parent = LOOP_BLOCKS;
    for (int i = 1; i < BINDINGS_MOST; i++) {
        if (bindings >> i & 1) {
            uint32_t loop = compiler->code->values[compiler->member[i]].loop;
            if (compiler->code->loops[loop].level > compiler->code->loops[parent].level) {
                parent = loop;
            }
        }
    }
    return parent;
}

static uint32_t loop_new(Compiler *compiler, Loop loop)
{
    Code *code = compiler->code;
    uint32_t index = (uint32_t)code->loop_count;
    *ARENA_PUSH(compiler->arena, code->loops, code->loop_count, code->loop_capacity) = loop;
    return index;
}

static uint32_t loop_of_set(Compiler *compiler, uint32_t owner, const Formula *over)
{
    Code *code = compiler->code;
    uint32_t level = over_level(compiler, over);
    Loop wanted = {.parent = over_parent(compiler, over),
                   .level = level,
                   .owner = owner,
                   .relation = over->relation,
                   .phase = over_layers(compiler, over, level) - 1};
    for (uint32_t i = LOOP_FIRST_SET; i < code->loop_count; i++) {
        const Loop *loop = &code->loops[i];
        if (loop->parent == wanted.parent && loop->owner == owner &&
            loop->relation == wanted.relation && loop->phase == wanted.phase) {
            return i;
        }
    }
    uint32_t index = loop_new(compiler, wanted);
    CodeValue member = {.operation = OPERATION_MEMBER,
                        .operand = {VALUE_NONE, VALUE_NONE, VALUE_NONE},
                        .detail = {.index = index},
                        .loop = index};
    code->loops[index].member = number_placed(compiler, member);
    code->unshared--; /* counted with its loop */
    return index;
}

/* Binds the over's name to the member of its loop. */
uint32_t code_bind(Compiler *compiler, const Formula *over)
{
    uint32_t owner = code_record(compiler, &over->record);
    uint32_t loop = loop_of_set(compiler, owner, over);
    compiler->code->unshared += 3; /* into the loop, to the next member, back */
    compiler->member[over->binding] = compiler->code->loops[loop].member;
    return loop;
}

static uint32_t value_of_over(Compiler *compiler, const Formula *over)
{
    static const Operation gathering[] = {
        [OVER_EVERY] = OPERATION_EVERY, [OVER_SOME] = OPERATION_SOME,
        [OVER_SUM] = OPERATION_SUM,     [OVER_MOST] = OPERATION_MOST,
        [OVER_LEAST] = OPERATION_LEAST, [OVER_COUNT] = OPERATION_COUNT_OVER,
    };
    uint32_t loop = code_bind(compiler, over);
    uint32_t filter = over->filter ? code_value_of(compiler, over->filter) : VALUE_NONE;
    uint32_t body = over->operand[0] ? code_value_of(compiler, over->operand[0]) : VALUE_NONE;
    return code_gather(compiler, gathering[over->over], loop, body, filter);
}

static void limit_row(LimitRows *rows, size_t row, const LimitValue *value)
{
    static const Quantity unknown = {NAN, NAN, NAN, TOLERANCE_EXACT, true};
    const Quantity *quantity = value ? &value->quantity : &unknown;
    rows->values.nominal[row] = quantity->nominal;
    rows->values.lo[row] = quantity->lo;
    rows->values.hi[row] = quantity->hi;
    rows->exact = rows->exact && !(quantity->lo < quantity->hi);
}

static const LimitRows *rows_of_limit(Compiler *compiler, const Limit *limit)
{
    Code *code = compiler->code;
    for (const LimitRows *rows = code->limits; rows; rows = rows->next) {
        if (rows->limit == limit) {
            return rows;
        }
    }
    const WordList *words = limit->by == FIELD_ID_COUNT ? NULL : field_at(limit->by)->words;
    const size_t count = limit->by == FIELD_ID_COUNT ? 1 : words ? words->count : 2;
    LimitRows *rows = ARENA_NEW(compiler->arena, LimitRows, 1);
    *rows = (LimitRows){.limit = limit, .exact = true, .next = code->limits};
    rows->values = (Column){.stride = 1,
                            .nominal = ARENA_NEW(compiler->arena, double, count),
                            .lo = ARENA_NEW(compiler->arena, double, count),
                            .hi = ARENA_NEW(compiler->arena, double, count)};
    for (size_t i = 0; i < count; i++) {
        limit_row(rows, i, limit_value(limit, (double)i));
    }
    code->limits = rows;
    return rows;
}

static uint32_t value_of_limit(Compiler *compiler, const Formula *formula)
{
    const Limit *limit = formula->limit;
    Detail detail = {.rows = rows_of_limit(compiler, limit)};
    uint32_t word = VALUE_NONE;
    if (limit->by != FIELD_ID_COUNT) {
        word = read_of(compiler, OPERATION_NUMBER, limit->by,
                       code_record(compiler, &formula->record), VALUE_NONE);
    }
    Operation operation = word == VALUE_NONE ? OPERATION_QUANTITY : OPERATION_LIMIT;
    uint32_t value = code_value(compiler, operation, detail, word, VALUE_NONE, VALUE_NONE);
    if (formula->own_record.subject == SUBJECT_COUNT) {
        return value;
    }
    uint32_t record = code_record(compiler, &formula->own_record);
    return read_of(compiler, OPERATION_OWN, limit->own, record, value);
}

/* A truth is read as a number, 0 or 1; so is a set of words or counts. */
static uint32_t value_of_field(Compiler *compiler, const Formula *formula)
{
    uint32_t value = read_of(compiler, OPERATION_NUMBER, formula->field,
                             code_record(compiler, &formula->record), VALUE_NONE);
    return formula->type.kind == TYPE_TRUTH ? number_one(compiler, OPERATION_TRUTH, value) : value;
}

static uint32_t negated(Compiler *compiler, uint32_t truth, bool negate)
{
    return negate ? number_one(compiler, OPERATION_NOT, truth) : truth;
}

static uint32_t both_at_least(Compiler *compiler, uint32_t a, uint32_t b, uint32_t c, uint32_t d)
{
    uint32_t first = number_two(compiler, OPERATION_AT_LEAST, a, b);
    uint32_t second = number_two(compiler, OPERATION_AT_LEAST, c, d);
    return number_pair(compiler, OPERATION_AND, first, second);
}

static uint32_t value_in_field(Compiler *compiler, const Formula *formula, uint32_t operand)
{
    FieldId field = formula->field;
    uint32_t record = code_record(compiler, &formula->record);
    if (field_at(field)->type == FIELD_RANGE) {
        uint32_t least = read_of(compiler, OPERATION_RANGE_LEAST, field, record, VALUE_NONE);
        uint32_t most = read_of(compiler, OPERATION_RANGE_MOST, field, record, VALUE_NONE);
        return both_at_least(compiler, operand, least, most, operand);
    }
    bool counts = field_at(field)->type == FIELD_COUNTS;
    uint32_t set = read_of(compiler, OPERATION_NUMBER, field, record, VALUE_NONE);
    return number_two(compiler, counts ? OPERATION_IN_COUNTS : OPERATION_IN_SET, operand, set);
}

static uint32_t value_of_in(Compiler *compiler, const Formula *formula)
{
    uint32_t operand = code_value_of(compiler, formula->operand[0]), truth;
    if (formula->kind == FORMULA_IN_FIELD) {
        truth = value_in_field(compiler, formula, operand);
    } else {
        truth = code_value(compiler, OPERATION_IN_WORDS, (Detail){.words = formula->words}, operand,
                           VALUE_NONE, VALUE_NONE);
    }
    return negated(compiler, truth, formula->negated);
}

/* a < b is the negation of a >= b, equal is both ways: one operation tests all. */
static uint32_t value_of_comparison(Compiler *compiler, const Formula *formula)
{
    uint32_t a = code_value_of(compiler, formula->operand[0]);
    uint32_t b = code_value_of(compiler, formula->operand[1]);
    switch (formula->kind) {
    case FORMULA_GREATER_EQUAL:
    case FORMULA_LESS:
        return negated(compiler, number_two(compiler, OPERATION_AT_LEAST, a, b),
                       formula->kind == FORMULA_LESS);
    case FORMULA_LESS_EQUAL:
    case FORMULA_GREATER:
        return negated(compiler, number_two(compiler, OPERATION_AT_LEAST, b, a),
                       formula->kind == FORMULA_GREATER);
    default:
        return negated(compiler, both_at_least(compiler, a, b, b, a),
                       formula->kind == FORMULA_NOT_EQUAL);
    }
}

static uint32_t value_of_call(Compiler *compiler, const Formula *formula)
{
    uint32_t a = code_value_of(compiler, formula->operand[0]);
    uint32_t b = formula->operand[1] ? code_value_of(compiler, formula->operand[1]) : VALUE_NONE;
    return code_value(compiler, OPERATION_CALL, (Detail){.index = formula->function}, a, b,
                      VALUE_NONE);
}

static uint32_t value_of_if(Compiler *compiler, const Formula *formula)
{
    static const Operation choosing[] = {
        [TYPE_NUMBER] = OPERATION_CHOOSE_NUMBER,
        [TYPE_WORD] = OPERATION_CHOOSE_WORD,
        [TYPE_TRUTH] = OPERATION_CHOOSE_TRUTH,
    };
    uint32_t condition = code_value_of(compiler, formula->operand[0]);
    uint32_t yes = code_value_of(compiler, formula->operand[1]);
    uint32_t no = code_value_of(compiler, formula->operand[2]);
    return code_value(compiler, choosing[formula->type.kind], (Detail){.words = 0}, condition, yes,
                      no);
}

static uint32_t value_of_two(Compiler *compiler, const Formula *formula, Operation operation)
{
    uint32_t a = code_value_of(compiler, formula->operand[0]);
    uint32_t b = code_value_of(compiler, formula->operand[1]);
    bool ordered = operation == OPERATION_SUBTRACT || operation == OPERATION_DIVIDE;
    return ordered ? number_two(compiler, operation, a, b) : number_pair(compiler, operation, a, b);
}

static uint32_t value_of_power(Compiler *compiler, const Formula *formula)
{
    return code_value(compiler, OPERATION_POWER, (Detail){.index = (uint64_t)formula->power},
                      code_value_of(compiler, formula->operand[0]), VALUE_NONE, VALUE_NONE);
}

/* Recursion as deep as the formula, which has at most FORMULA_NODES_MOST nodes. */
uint32_t code_value_of(Compiler *compiler, const Formula *formula)
{
    switch (formula->kind) {
    case FORMULA_NUMBER:
        return code_value(compiler, OPERATION_LITERAL, (Detail){.number = formula->number},
                          VALUE_NONE, VALUE_NONE, VALUE_NONE);
    case FORMULA_FIELD:
        return value_of_field(compiler, formula);
    case FORMULA_LIMIT:
        return value_of_limit(compiler, formula);
    case FORMULA_LET:
        return code_value_of(compiler, formula->operand[0]);
    case FORMULA_NEGATE:
        return number_one(compiler, OPERATION_NEGATE, code_value_of(compiler, formula->operand[0]));
    case FORMULA_ADD:
        return value_of_two(compiler, formula, OPERATION_ADD);
    case FORMULA_SUBTRACT:
        return value_of_two(compiler, formula, OPERATION_SUBTRACT);
    case FORMULA_MULTIPLY:
        return value_of_two(compiler, formula, OPERATION_MULTIPLY);
    case FORMULA_DIVIDE:
        return value_of_two(compiler, formula, OPERATION_DIVIDE);
    case FORMULA_POWER:
        return value_of_power(compiler, formula);
    case FORMULA_CALL:
        return value_of_call(compiler, formula);
    case FORMULA_TABLE:
        return code_value(compiler, OPERATION_TABLE, (Detail){.table = formula->table},
                          code_value_of(compiler, formula->operand[0]), VALUE_NONE, VALUE_NONE);
    case FORMULA_LESS:
    case FORMULA_LESS_EQUAL:
    case FORMULA_GREATER:
    case FORMULA_GREATER_EQUAL:
    case FORMULA_EQUAL:
    case FORMULA_NOT_EQUAL:
        return value_of_comparison(compiler, formula);
    case FORMULA_IN_WORDS:
    case FORMULA_IN_FIELD:
        return value_of_in(compiler, formula);
    case FORMULA_NOT:
        return number_one(compiler, OPERATION_NOT, code_value_of(compiler, formula->operand[0]));
    case FORMULA_AND:
        return value_of_two(compiler, formula, OPERATION_AND);
    case FORMULA_OR:
        return value_of_two(compiler, formula, OPERATION_OR);
    case FORMULA_IF:
        return value_of_if(compiler, formula);
    case FORMULA_OVER:
        return value_of_over(compiler, formula);
    }
    return VALUE_NONE;
}

static uint32_t either(Compiler *compiler, uint32_t a, uint32_t b)
{
    if (a == VALUE_NONE || b == VALUE_NONE) {
        return a == VALUE_NONE ? b : a;
    }
    return number_pair(compiler, OPERATION_OR, a, b);
}

static uint32_t met_of(Compiler *compiler, const Formula *formula);

/* The set itself, and those that are asked for of any of its members. */
static uint32_t met_of_over(Compiler *compiler, const Formula *over)
{
    uint32_t loop = code_bind(compiler, over);
    uint32_t filter = over->filter ? code_value_of(compiler, over->filter) : VALUE_NONE;
    uint32_t met = over->under_some
                       ? VALUE_NONE
                       : code_gather(compiler, OPERATION_MEETS, loop, filter, VALUE_NONE);
    uint32_t inner =
        either(compiler, met_of(compiler, over->filter), met_of(compiler, over->operand[0]));
    if (inner == VALUE_NONE) {
        return met;
    }
    return either(compiler, met, code_gather(compiler, OPERATION_SOME, loop, inner, VALUE_NONE));
}

/* Where some set of the formula, other than those under `some`, has a member;
 * VALUE_NONE without such sets. Only the nominal value means anything. */
static uint32_t met_of(Compiler *compiler, const Formula *formula)
{
    if (!formula) {
        return VALUE_NONE;
    }
    if (formula->kind == FORMULA_OVER) {
        return met_of_over(compiler, formula);
    }
    uint32_t met = VALUE_NONE;
    for (int i = 0; i < OPERANDS; i++) {
        met = either(compiler, met, met_of(compiler, formula->operand[i]));
    }
    return met;
}

static void compile_rule(Compiler *compiler, const Rule *rule, size_t index)
{
    const uint32_t always = code_value(compiler, OPERATION_ALWAYS, (Detail){.words = 0}, VALUE_NONE,
                                       VALUE_NONE, VALUE_NONE);
    uint32_t when = rule->when ? code_value_of(compiler, rule->when) : always;
    uint32_t require = code_value_of(compiler, rule->require);
    const size_t unshared = compiler->code->unshared;
    uint32_t met = either(compiler, met_of(compiler, rule->when), met_of(compiler, rule->require));
    compiler->code->unshared = unshared; /* its filters and loops are those of the formulas */
    CodeValue end = {.operation = OPERATION_RULE,
                     .operand = {when, require, met == VALUE_NONE ? always : met},
                     .detail = {.index = index},
                     .loop = LOOP_BLOCKS};
    value_place(compiler->code, &end);
    number_placed(compiler, end);
}

static void compile_start(Compiler *compiler)
{
    CodeValue place = {.operation = OPERATION_PLACE,
                       .operand = {VALUE_NONE, VALUE_NONE, VALUE_NONE},
                       .loop = LOOP_BLOCKS};
    loop_new(compiler, (Loop){.parent = LOOP_ONCE, .level = LOOP_ONCE});
    loop_new(compiler, (Loop){.parent = LOOP_ONCE, .level = LOOP_BLOCKS});
    compiler->level[0] = LOOP_BLOCKS;
    compiler->member[0] = number_placed(compiler, place);
    compiler->code->loops[LOOP_BLOCKS].member = compiler->member[0];
}

static void compile_spare(Compiler *compiler, const Rule *rule, size_t index)
{
    CodeValue end = {.operation = OPERATION_RULE_SPARE,
                     .operand = {code_spare_of(compiler, rule->require), VALUE_NONE, VALUE_NONE},
                     .detail = {.index = index},
                     .loop = LOOP_BLOCKS};
    value_place(compiler->code, &end);
    number_placed(compiler, end);
}

static Code *compile(Arena *arena, Subject about, Rule *const *rules, size_t count, bool spares)
{
    Code *code = ARENA_NEW(arena, Code, 1);
    code->about = about;
    code->rules = ARENA_NEW(arena, const Rule *, count);
    code->rule_count = count;
    code->spares = spares;
    Compiler compiler = {.arena = arena, .code = code};
    compile_start(&compiler);
    for (size_t i = 0; i < count; i++) {
        code->rules[i] = rules[i];
        compile_rule(&compiler, rules[i], i);
        if (spares) {
            compile_spare(&compiler, rules[i], i);
        }
    }
    code_order(arena, code);
    return code;
}

Code *code_compile(Arena *arena, Subject about, Rule *const *rules, size_t count)
{
    return compile(arena, about, rules, count, false);
}

Code *code_compile_spares(Arena *arena, Subject about, Rule *const *rules, size_t count)
{
    return compile(arena, about, rules, count, true);
}

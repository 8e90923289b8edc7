/* Values into instructions, in an order that never needs a value before it is
 * there, and into as few registers as that order allows. For src/rule/code.c. */
#include <stdlib.h>

#include "rule/code_parts.h"

/* A value or a loop, where it stands among the others. */
typedef struct Item {
    uint32_t loop, phase, index;
    bool is_loop;
} Item;

typedef struct Ordering {
    Arena *arena;
    Code *code;
    Item *items;
    size_t item_count;
    size_t *first;         /* one a loop: its first item */
    size_t *last_read;     /* one a value: the last instruction that needs it */
    uint32_t *gathered;    /* one a loop: its gathering values, as a list */
    uint32_t *next;        /* one a value: the rest of a list */
    uint32_t *register_of; /* one a value */
    uint32_t *in_loop;     /* one an instruction: the loop it stands in */
    size_t in_loop_count, in_loop_capacity;
} Ordering;

Kind operation_kind(Operation operation)
{
    switch (operation) {
    case OPERATION_PLACE:
    case OPERATION_FOLLOW:
    case OPERATION_MEMBER:
    case OPERATION_NEXT:
        return KIND_RECORD;
    case OPERATION_RULE:
    case OPERATION_RULE_SPARE:
    case OPERATION_LOOP:
    case OPERATION_AGAIN:
    case OPERATIONS:
        return KIND_NOTHING;
    case OPERATION_SUM:
    case OPERATION_MOST:
    case OPERATION_LEAST:
    case OPERATION_COUNT_OVER:
        return KIND_NUMBER;
    case OPERATION_SPARE_TEST:
    case OPERATION_SPARE_ORDERED:
    case OPERATION_SPARE_EQUAL:
    case OPERATION_SPARE_NOT:
    case OPERATION_SPARE_AND:
    case OPERATION_SPARE_OR:
    case OPERATION_SPARE_CHOOSE:
    case OPERATION_SPARE_EVERY:
    case OPERATION_SPARE_SOME:
        return KIND_SPARE;
    default:
        return operation < OPERATION_ALWAYS ? KIND_NUMBER : KIND_TRUTH;
    }
}

/* Operands come before what is made of them, so one pass backwards will do;
 * only the owner of a loop's set is read by no value. */
static void mark_used(Code *code)
{
    for (size_t i = code->value_count; i-- > 0;) {
        CodeValue *value = &code->values[i];
        value->used = value->used || value->operation == OPERATION_RULE ||
                      value->operation == OPERATION_RULE_SPARE;
        if (!value->used) {
            continue;
        }
        for (int k = 0; k < OPERANDS; k++) {
            if (value->operand[k] != VALUE_NONE) {
                code->values[value->operand[k]].used = true;
            }
        }
        bool loops = operation_gathers(value->operation);
        if (loops || value->operation == OPERATION_MEMBER) {
            Loop *loop = &code->loops[value->detail.index];
            loop->used = true;
            code->values[loop->owner].used = true;
            code->values[loop->member].used = true;
        }
    }
}

static int item_compare(const void *left, const void *right)
{
    const Item *a = left, *b = right;
    const uint32_t x[] = {a->loop, a->phase, a->is_loop, a->index};
    const uint32_t y[] = {b->loop, b->phase, b->is_loop, b->index};
    for (int i = 0; i < 4; i++) {
        if (x[i] != y[i]) {
            return x[i] < y[i] ? -1 : 1;
        }
    }
    return 0;
}

static void sort_items(Ordering *ordering)
{
    Code *code = ordering->code;
    Item *items = ARENA_NEW(ordering->arena, Item, code->value_count + code->loop_count);
    size_t count = 0;
    for (uint32_t i = 0; i < code->value_count; i++) {
        const CodeValue *value = &code->values[i];
        if (!value->used) {
            continue;
        }
        if (operation_gathers(value->operation)) {
            ordering->next[i] = ordering->gathered[value->detail.index];
            ordering->gathered[value->detail.index] = i;
        } else if (value->operation != OPERATION_MEMBER) {
            items[count++] = (Item){value->loop, value->phase, i, false};
        }
    }
    for (uint32_t i = LOOP_BLOCKS; i < code->loop_count; i++) {
        if (code->loops[i].used || i == LOOP_BLOCKS) {
            items[count++] = (Item){code->loops[i].parent, code->loops[i].phase, i, true};
        }
    }
    qsort(items, count, sizeof *items, item_compare);
    for (size_t i = 0; i < code->loop_count; i++) {
        ordering->first[i] = count;
    }
    for (size_t i = count; i-- > 0;) {
        ordering->first[items[i].loop] = i;
    }
    ordering->items = items;
    ordering->item_count = count;
}

/* Instructions name values at first; registers replace them afterwards. */
static void emit(Ordering *ordering, uint32_t loop, Operation operation, Step step, uint32_t to,
                 const uint32_t from[OPERANDS], Detail detail)
{
    Code *code = ordering->code;
    Instruction instruction = {.operation = operation,
                               .kind = operation_kind(operation),
                               .step = step,
                               .to = to,
                               .detail = detail};
    for (int i = 0; i < OPERANDS; i++) {
        instruction.from[i] = from[i];
    }
    *ARENA_PUSH(ordering->arena, ordering->in_loop, ordering->in_loop_count,
                ordering->in_loop_capacity) = loop;
    *ARENA_PUSH(ordering->arena, code->instructions, code->count, code->capacity) = instruction;
}

static void emit_gathering(Ordering *ordering, uint32_t gathered_by, uint32_t loop, Step step)
{
    static const uint32_t none[OPERANDS] = {VALUE_NONE, VALUE_NONE, VALUE_NONE};
    uint32_t value = ordering->gathered[gathered_by];
    for (; value != VALUE_NONE; value = ordering->next[value]) {
        const CodeValue *of = &ordering->code->values[value];
        bool extreme = of->operation == OPERATION_MOST || of->operation == OPERATION_LEAST;
        if (step == STEP_FINISH && !extreme) {
            continue;
        }
        emit(ordering, loop, of->operation, step, value, step == STEP_ADD ? of->operand : none,
             of->detail);
    }
}

static void emit_items(Ordering *ordering, uint32_t loop);

/* Loops stand in each other as overs do: at most OVER_NESTING_MOST deep. */
static void emit_loop(Ordering *ordering, uint32_t index)
{
    Loop *loop = &ordering->code->loops[index];
    if (index == LOOP_BLOCKS) {
        loop->start = ordering->code->count;
        emit_items(ordering, index);
        loop->past = ordering->code->count;
        return;
    }
    const uint32_t owner[OPERANDS] = {loop->owner, VALUE_NONE, VALUE_NONE};
    const uint32_t none[OPERANDS] = {VALUE_NONE, VALUE_NONE, VALUE_NONE};
    const Detail detail = {.index = index};
    emit(ordering, loop->parent, OPERATION_LOOP, STEP_ONLY, VALUE_NONE, owner, detail);
    emit_gathering(ordering, index, loop->parent, STEP_START);
    loop->start = ordering->code->count;
    emit(ordering, index, OPERATION_NEXT, STEP_ONLY, loop->member, none, detail);
    emit_items(ordering, index);
    emit_gathering(ordering, index, index, STEP_ADD);
    emit(ordering, index, OPERATION_AGAIN, STEP_ONLY, VALUE_NONE, none, detail);
    loop->past = ordering->code->count;
    emit_gathering(ordering, index, loop->parent, STEP_FINISH);
}

static void emit_items(Ordering *ordering, uint32_t loop)
{
    for (size_t i = ordering->first[loop]; i < ordering->item_count; i++) {
        const Item item = ordering->items[i];
        if (item.loop != loop) {
            return;
        }
        if (item.is_loop) {
            emit_loop(ordering, item.index);
        } else {
            const CodeValue *value = &ordering->code->values[item.index];
            emit(ordering, loop, value->operation, STEP_ONLY, item.index, value->operand,
                 value->detail);
        }
    }
}

/* A value made outside of a loop that reads it has to last until the loop ends. */
static void note_read(Ordering *ordering, uint32_t value, size_t at)
{
    const Code *code = ordering->code;
    uint32_t made_in = code->values[value].loop, loop = ordering->in_loop[at];
    if (loop != made_in) {
        while (code->loops[loop].parent != made_in) {
            loop = code->loops[loop].parent;
        }
        at = code->loops[loop].past - 1;
    }
    if (at > ordering->last_read[value]) {
        ordering->last_read[value] = at;
    }
}

static void note_reads(Ordering *ordering)
{
    const Code *code = ordering->code;
    for (size_t at = 0; at < code->count; at++) {
        const Instruction *instruction = &code->instructions[at];
        if (instruction->to != VALUE_NONE) {
            note_read(ordering, instruction->to, at);
        }
        for (int i = 0; i < OPERANDS; i++) {
            if (instruction->from[i] != VALUE_NONE) {
                note_read(ordering, instruction->from[i], at);
            }
        }
    }
}

/* Registers of one kind: those that are free, as a list. */
typedef struct Pool {
    uint32_t *next;
    uint32_t free, count;
    size_t next_count, next_capacity;
} Pool;

static uint32_t pool_take(Arena *arena, Pool *pool)
{
    uint32_t taken = pool->free;
    if (taken != VALUE_NONE) {
        pool->free = pool->next[taken];
        return taken;
    }
    *ARENA_PUSH(arena, pool->next, pool->next_count, pool->next_capacity) = VALUE_NONE;
    return pool->count++;
}

static void pool_give(Pool *pool, uint32_t index)
{
    pool->next[index] = pool->free;
    pool->free = index;
}

/* For each instruction the values that nobody reads after it, as lists. */
static uint32_t *list_last_reads(Ordering *ordering)
{
    const Code *code = ordering->code;
    uint32_t *ending = ARENA_NEW(ordering->arena, uint32_t, code->count);
    for (size_t at = 0; at < code->count; at++) {
        ending[at] = VALUE_NONE;
    }
    for (uint32_t value = 0; value < code->value_count; value++) {
        if (code->values[value].used) {
            ordering->next[value] = ending[ordering->last_read[value]];
            ending[ordering->last_read[value]] = value;
        }
    }
    return ending;
}

static void set_registers(Ordering *ordering, Instruction *instruction, Pool *pools)
{
    const CodeValue *values = ordering->code->values;
    uint32_t *register_of = ordering->register_of;
    uint32_t to = instruction->to;
    if (to != VALUE_NONE) {
        if (register_of[to] == VALUE_NONE) {
            register_of[to] =
                pool_take(ordering->arena, &pools[operation_kind(values[to].operation)]);
        }
        instruction->to = register_of[to];
    }
    for (int i = 0; i < OPERANDS; i++) {
        if (instruction->from[i] != VALUE_NONE) {
            instruction->from[i] = register_of[instruction->from[i]];
        }
    }
}

/* No instruction writes the register it reads: operands are given back after
 * the result has got its own. */
static void allocate_registers(Ordering *ordering)
{
    Code *code = ordering->code;
    Pool pools[KIND_COUNT] = {0};
    for (int kind = 0; kind < KIND_COUNT; kind++) {
        pools[kind].free = VALUE_NONE;
    }
    const uint32_t *ending = list_last_reads(ordering);
    for (size_t at = 0; at < code->count; at++) {
        set_registers(ordering, &code->instructions[at], pools);
        for (uint32_t i = ending[at]; i != VALUE_NONE; i = ordering->next[i]) {
            pool_give(&pools[operation_kind(code->values[i].operation)], ordering->register_of[i]);
        }
    }
    for (int kind = 0; kind < KIND_COUNT; kind++) {
        code->registers[kind] = pools[kind].count;
    }
}

static uint32_t *nothing_yet(Arena *arena, size_t count)
{
    uint32_t *items = ARENA_NEW(arena, uint32_t, count);
    for (size_t i = 0; i < count; i++) {
        items[i] = VALUE_NONE;
    }
    return items;
}

void code_order(Arena *arena, Code *code)
{
    Ordering ordering = {
        .arena = arena,
        .code = code,
        .first = ARENA_NEW(arena, size_t, code->loop_count),
        .last_read = ARENA_NEW(arena, size_t, code->value_count),
        .gathered = nothing_yet(arena, code->loop_count),
        .next = nothing_yet(arena, code->value_count),
        .register_of = nothing_yet(arena, code->value_count),
    };
    mark_used(code);
    sort_items(&ordering);
    emit_items(&ordering, LOOP_ONCE);
    note_reads(&ordering);
    allocate_registers(&ordering);
}

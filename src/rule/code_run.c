/* Runs register code over the records of a subject, a block of lanes at a time.
 * For src/judge and tests, by code.h. */
#include <math.h>
#include <string.h>

#include "rule/code_parts.h"

/* Where a loop stands in the sets of a block. */
typedef struct LoopState {
    uint32_t start[KERNEL_LANES], length[KERNEL_LANES];
    uint32_t turn, longest;
    uint64_t unknown; /* lanes whose set is not known */
    uint64_t active;  /* lanes that have a member in this turn */
} LoopState;

typedef struct Run {
    const Code *code;
    const Columns *columns;
    const bool *exact; /* one a field: no cell has a tolerance */
    Records *records;
    Numbers *numbers;
    Truths *truths;
    Spares *spares;
    LoopState *loops;
    const CodePairs *pairs;
    Records places;      /* of this block */
    Cells cells;         /* how its lanes lie in columns */
    size_t block, total; /* total: places times lanes */
    CodeResult *results;
} Run;

static const Column *column_of(const Run *run, FieldId field)
{
    return &run->columns->fields[field];
}

static void run_loop(Run *run, const Instruction *instruction)
{
    const Loop *loop = &run->code->loops[instruction->detail.index];
    const ManyColumn *many = &run->columns->manys[relation_index(loop->relation)];
    const Records *owners = &run->records[instruction->from[0]];
    LoopState *state = &run->loops[instruction->detail.index];
    state->turn = state->longest = 0;
    state->unknown = 0;
    for (int i = 0; i < KERNEL_LANES; i++) {
        int32_t owner = owners->index[i];
        bool unknown = owner < 0 || many->unknown[owner];
        state->unknown |= (uint64_t)unknown << i;
        state->start[i] = unknown ? 0 : many->start[owner];
        state->length[i] = unknown ? 0 : many->start[owner + 1] - many->start[owner];
        if (state->length[i] > state->longest) {
            state->longest = state->length[i];
        }
    }
}

static void run_next(Run *run, const Instruction *instruction)
{
    const Loop *loop = &run->code->loops[instruction->detail.index];
    const ManyColumn *many = &run->columns->manys[relation_index(loop->relation)];
    LoopState *state = &run->loops[instruction->detail.index];
    Records *members = &run->records[instruction->to];
    members->in_order = false;
    state->active = 0;
    for (int i = 0; i < KERNEL_LANES; i++) {
        bool active = state->turn < state->length[i];
        state->active |= (uint64_t)active << i;
        members->index[i] = active ? many->items[state->start[i] + state->turn] : -1;
    }
    kernel_records_set(members);
    state->turn++;
}

static void run_record(Run *run, const Instruction *instruction)
{
    Records *to = &run->records[instruction->to];
    if (instruction->operation == OPERATION_PLACE) {
        *to = run->places;
        return;
    }
    const Records *from = &run->records[instruction->from[0]];
    const Relation *relation = instruction->detail.relation;
    kernel_follow(to, from, &run->columns->ones[relation_index(relation)], &run->cells);
}

static void run_number(Run *run, const Instruction *instruction)
{
    Numbers *const n = run->numbers, *const to = &n[instruction->to];
    const uint32_t *from = instruction->from;
    const Detail detail = instruction->detail;
    const FieldId field = (FieldId)detail.index;
    switch (instruction->operation) {
    case OPERATION_LITERAL:
        kernel_literal(to, detail.number);
        return;
    case OPERATION_QUANTITY:
        kernel_quantity(to, &detail.rows->values);
        return;
    case OPERATION_NUMBER:
        kernel_read(to, column_of(run, field), &run->records[from[0]], &run->cells,
                    run->exact[field]);
        return;
    case OPERATION_RANGE_LEAST:
    case OPERATION_RANGE_MOST:
        kernel_read_end(to, column_of(run, field), &run->records[from[0]], &run->cells,
                        instruction->operation == OPERATION_RANGE_MOST);
        return;
    case OPERATION_LIMIT:
        kernel_limit(to, &detail.rows->values, &n[from[0]], detail.rows->exact);
        return;
    case OPERATION_OWN:
        kernel_own(to, column_of(run, field), &run->records[from[0]], &run->cells,
                   run->exact[field], &n[from[1]]);
        return;
    case OPERATION_NEGATE:
        kernel_negate(to, &n[from[0]]);
        return;
    case OPERATION_ADD:
        kernel_add(to, &n[from[0]], &n[from[1]]);
        return;
    case OPERATION_SUBTRACT:
        kernel_subtract(to, &n[from[0]], &n[from[1]]);
        return;
    case OPERATION_MULTIPLY:
        kernel_multiply(to, &n[from[0]], &n[from[1]]);
        return;
    case OPERATION_DIVIDE:
        kernel_divide(to, &n[from[0]], &n[from[1]]);
        return;
    case OPERATION_POWER:
        kernel_power(to, &n[from[0]], (int)detail.index);
        return;
    case OPERATION_CALL:
        kernel_call(to, (Function)detail.index, &n[from[0]],
                    from[1] == VALUE_NONE ? NULL : &n[from[1]]);
        return;
    case OPERATION_TABLE:
        kernel_table(to, detail.table, &n[from[0]]);
        return;
    default:
        kernel_choose(to, &run->truths[from[0]], &n[from[1]], &n[from[2]],
                      instruction->operation == OPERATION_CHOOSE_WORD);
        return;
    }
}

static void run_spare(Run *run, const Instruction *instruction)
{
    const Spares *s = run->spares;
    const uint32_t *from = instruction->from;
    Spares *to = &run->spares[instruction->to];
    switch (instruction->operation) {
    case OPERATION_SPARE_TEST:
        kernel_spare_test(to, &run->truths[from[0]]);
        return;
    case OPERATION_SPARE_ORDERED:
    case OPERATION_SPARE_EQUAL:
        kernel_spare_compare(to, &run->truths[from[0]], &run->numbers[from[1]],
                             &run->numbers[from[2]],
                             instruction->operation == OPERATION_SPARE_EQUAL);
        return;
    case OPERATION_SPARE_NOT:
        kernel_spare_not(to, &s[from[0]]);
        return;
    case OPERATION_SPARE_AND:
    case OPERATION_SPARE_OR:
        kernel_spare_join(to, &s[from[0]], &s[from[1]],
                          instruction->operation == OPERATION_SPARE_AND);
        return;
    default:
        kernel_spare_choose(to, &run->truths[from[0]], &s[from[1]], &s[from[2]]);
        return;
    }
}

static void run_truth(Run *run, const Instruction *instruction)
{
    const Numbers *n = run->numbers;
    const Truths *t = run->truths;
    const uint32_t *from = instruction->from;
    Truths *to = &run->truths[instruction->to];
    switch (instruction->operation) {
    case OPERATION_ALWAYS:
        *to = truths_exact(~0ull, 0);
        return;
    case OPERATION_TRUTH:
        kernel_truth(to, &n[from[0]]);
        return;
    case OPERATION_AT_LEAST:
        kernel_at_least(to, &n[from[0]], &n[from[1]]);
        return;
    case OPERATION_IN_WORDS:
        kernel_in_words(to, &n[from[0]], instruction->detail.words);
        return;
    case OPERATION_IN_COUNTS:
    case OPERATION_IN_SET:
        kernel_in_sets(to, &n[from[0]], &n[from[1]], instruction->operation == OPERATION_IN_COUNTS);
        return;
    case OPERATION_NOT:
        *to = truths_not(t[from[0]]);
        return;
    case OPERATION_AND:
        *to = truths_and(t[from[0]], t[from[1]]);
        return;
    case OPERATION_OR:
        *to = truths_or(t[from[0]], t[from[1]]);
        return;
    default:
        *to = truths_choose(t[from[0]], t[from[1]], t[from[2]]);
        return;
    }
}

/* Over no members. A set that is not known leaves its lanes unknown; it counts
 * as met. */
static void gather_start(Run *run, const Instruction *instruction)
{
    const uint64_t unknown = run->loops[instruction->detail.index].unknown;
    Numbers *number = &run->numbers[instruction->to];
    Truths *truth = &run->truths[instruction->to], start;
    switch (instruction->operation) {
    case OPERATION_SPARE_EVERY:
    case OPERATION_SPARE_SOME:
        start = instruction->operation == OPERATION_SPARE_EVERY ? truths_exact(~unknown, 0)
                                                                : truths_exact(0, ~unknown);
        kernel_spare_test(&run->spares[instruction->to], &start);
        return;
    case OPERATION_EVERY:
        *truth = truths_exact(~unknown, 0);
        return;
    case OPERATION_SOME:
        *truth = truths_exact(0, ~unknown);
        return;
    case OPERATION_MEETS:
        *truth = truths_exact(unknown, ~unknown);
        return;
    case OPERATION_SUM:
    case OPERATION_COUNT_OVER:
        kernel_literal(number, 0);
        kernel_unknown_in(number, unknown);
        return;
    default:
        kernel_most_start(number);
        return;
    }
}

/* The truth of a member joins those before it. */
static Truths gather_truth(Operation operation, Truths before, const Truths *body,
                           const Truths *filter)
{
    const Truths in = filter ? *filter : truths_exact(~0ull, 0);
    switch (operation) {
    case OPERATION_EVERY:
        return truths_and(before, truths_or(truths_not(in), *body));
    case OPERATION_SOME:
        return truths_or(before, truths_and(in, *body));
    default: /* MEETS: its body is the set's filter */
        return body ? truths_exact(before.is_true | ~body->is_false, 0) : truths_exact(~0ull, 0);
    }
}

static void gather_add(Run *run, const Instruction *instruction)
{
    const Operation operation = instruction->operation;
    const uint64_t active = run->loops[instruction->detail.index].active;
    const uint32_t body = instruction->from[0], by = instruction->from[1];
    const Truths *filter = by == VALUE_NONE ? NULL : &run->truths[by];
    if (instruction->kind == KIND_TRUTH) {
        Truths *to = &run->truths[instruction->to];
        const Truths *member = body == VALUE_NONE ? NULL : &run->truths[body];
        *to = truths_blend(active, gather_truth(operation, *to, member, filter), *to);
        return;
    }
    if (instruction->kind == KIND_SPARE) {
        kernel_spare_add(&run->spares[instruction->to], filter, &run->spares[body], active,
                         operation == OPERATION_SPARE_EVERY);
        return;
    }
    Numbers *to = &run->numbers[instruction->to];
    const Numbers *member = body == VALUE_NONE ? NULL : &run->numbers[body];
    if (operation == OPERATION_SUM || operation == OPERATION_COUNT_OVER) {
        kernel_sum_add(to, filter, member, active);
    } else {
        kernel_most_add(to, filter, member, active, operation == OPERATION_LEAST);
    }
}

static void run_gathering(Run *run, const Instruction *instruction)
{
    if (instruction->step == STEP_START) {
        gather_start(run, instruction);
    } else if (instruction->step == STEP_ADD) {
        gather_add(run, instruction);
    } else {
        kernel_most_finish(&run->numbers[instruction->to],
                           instruction->operation == OPERATION_LEAST);
    }
}

static void run_rule(Run *run, const Instruction *instruction)
{
    const Truths when = run->truths[instruction->from[0]];
    const Truths require = run->truths[instruction->from[1]];
    const Truths fails = truths_and(when, truths_not(require));
    const size_t left = run->total - run->block * KERNEL_LANES;
    const uint64_t lanes = left < KERNEL_LANES ? (1ull << left) - 1 : ~0ull;
    const CodeResult *result = &run->results[instruction->detail.index];
    result->when_true[run->block] = when.is_true & lanes;
    result->when_false[run->block] = when.is_false & lanes;
    result->require_true[run->block] = require.is_true & lanes;
    result->require_false[run->block] = require.is_false & lanes;
    result->fail_possible[run->block] = fails.can_true & lanes;
    result->fail_unknown[run->block] = fails.can_unknown & lanes;
    result->met[run->block] = run->truths[instruction->from[2]].is_true & lanes;
}

static void run_rule_spare(Run *run, const Instruction *instruction)
{
    memcpy(&run->results[instruction->detail.index].relative[run->block * KERNEL_LANES],
           run->spares[instruction->from[0]].relative, KERNEL_LANES * sizeof(double));
}

/* Runs one instruction; returns the next. */
static size_t run_one(Run *run, size_t at)
{
    const Instruction *instruction = &run->code->instructions[at];
    const Operation operation = instruction->operation;
    const LoopState *state;
    switch (operation) {
    case OPERATION_LOOP:
        run_loop(run, instruction);
        return at + 1;
    case OPERATION_NEXT:
        state = &run->loops[instruction->detail.index];
        if (state->turn == state->longest) {
            return run->code->loops[instruction->detail.index].past;
        }
        run_next(run, instruction);
        return at + 1;
    case OPERATION_AGAIN:
        return run->code->loops[instruction->detail.index].start;
    case OPERATION_RULE:
        run_rule(run, instruction);
        return at + 1;
    case OPERATION_RULE_SPARE:
        run_rule_spare(run, instruction);
        return at + 1;
    default:
        break;
    }
    if (operation_gathers(operation)) {
        run_gathering(run, instruction);
    } else if (instruction->kind == KIND_RECORD) {
        run_record(run, instruction);
    } else if (instruction->kind == KIND_NUMBER) {
        run_number(run, instruction);
    } else if (instruction->kind == KIND_SPARE) {
        run_spare(run, instruction);
    } else {
        run_truth(run, instruction);
    }
    return at + 1;
}

/* Lanes run through the places, and within a place through the lanes that are run. Past the
 * last of them the last place goes on. */
static void start_block(Run *run)
{
    const size_t first = run->block * KERNEL_LANES;
    const uint32_t lane_count = run->cells.lane_count, *const records = run->pairs->records;
    size_t place = first / lane_count;
    uint32_t which = (uint32_t)(first % lane_count);
    run->cells.first = first;
    for (size_t i = 0; i < KERNEL_LANES; i++) {
        run->places.index[i] = (int32_t)(records ? records[place] : place);
        run->cells.lane[i] = run->pairs->lanes[which];
        if (++which == lane_count) {
            which = 0;
            place += first + i + 1 < run->total;
        }
    }
    kernel_records_set(&run->places);
    run->places.in_order = !records && first + KERNEL_LANES <= run->total;
}

static void run_block(Run *run)
{
    const Loop *blocks = &run->code->loops[LOOP_BLOCKS];
    start_block(run);
    for (size_t at = blocks->start; at < blocks->past;) {
        at = run_one(run, at);
    }
}

/* A column without tolerances is read without its bounds, and what is made of
 * such columns alone is worked out without bounds. */
static bool column_is_exact(const Columns *columns, FieldId field)
{
    const Column *column = &columns->fields[field];
    if (field_at(field)->type != FIELD_NUMBER) {
        return true;
    }
    size_t cells = (size_t)columns->count[field_at(field)->subject] * column->stride;
    for (size_t i = 0; i < cells; i++) {
        if (!isnan(column->nominal[i]) && column->hi[i] - column->lo[i] != 0) {
            return false;
        }
    }
    return true;
}

/* To look at whole columns pays from so many blocks on. */
enum { EXACT_BLOCKS_LEAST = 5 };

static const bool *exact_columns(Arena *arena, const Code *code, const Columns *columns,
                                 size_t blocks)
{
    bool *exact = ARENA_NEW(arena, bool, FIELD_ID_COUNT);
    bool *known = ARENA_NEW(arena, bool, FIELD_ID_COUNT);
    for (size_t i = 0; i < code->count && blocks >= EXACT_BLOCKS_LEAST; i++) {
        const Operation operation = code->instructions[i].operation;
        const FieldId field = (FieldId)code->instructions[i].detail.index;
        bool reads = operation == OPERATION_NUMBER || operation == OPERATION_OWN;
        if (reads && !known[field]) {
            known[field] = true;
            exact[field] = column_is_exact(columns, field);
        }
    }
    return exact;
}

static CodeResult *results_new(Arena *arena, const Code *code, size_t words)
{
    CodeResult *results = ARENA_NEW(arena, CodeResult, code->rule_count);
    for (size_t i = 0; i < code->rule_count; i++) {
        uint64_t *bits = ARENA_NEW(arena, uint64_t, 7 * words);
        results[i] = (CodeResult){bits,
                                  bits + words,
                                  bits + 2 * words,
                                  bits + 3 * words,
                                  bits + 4 * words,
                                  bits + 5 * words,
                                  bits + 6 * words,
                                  NULL};
        if (code->spares) {
            results[i].relative = ARENA_NEW(arena, double, words *KERNEL_LANES);
        }
    }
    return results;
}

/* Arenas align for any ordinary type; the columns of a register want more. */
static void *registers_new(Arena *arena, size_t count, size_t size)
{
    const size_t alignment = _Alignof(Numbers);
    char *bytes = arena_alloc(arena, count + 1, size);
    size_t past = (uintptr_t)bytes % alignment;
    return past ? bytes + (alignment - past) : bytes;
}

static size_t blocks_of(const CodePairs *pairs)
{
    return ((size_t)pairs->record_count * pairs->lane_count + KERNEL_LANES - 1) / KERNEL_LANES;
}

static void run_all(Run *run)
{
    const Code *code = run->code;
    const size_t blocks = blocks_of(run->pairs);
    Arena own = {0};
    run->total = (size_t)run->pairs->record_count * run->pairs->lane_count;
    run->cells.lane_count = run->pairs->lane_count;
    run->exact = exact_columns(&own, code, run->columns, blocks);
    run->records = ARENA_NEW(&own, Records, code->registers[KIND_RECORD]);
    run->truths = ARENA_NEW(&own, Truths, code->registers[KIND_TRUTH]);
    run->loops = ARENA_NEW(&own, LoopState, code->loop_count);
    run->numbers = registers_new(&own, code->registers[KIND_NUMBER], sizeof(Numbers));
    run->spares = registers_new(&own, code->registers[KIND_SPARE], sizeof(Spares));
    for (size_t at = 0; at < code->loops[LOOP_BLOCKS].start; at++) {
        run_one(run, at);
    }
    for (run->block = 0; run->block < blocks; run->block++) {
        run_block(run);
    }
    arena_free(&own);
}

CodeResult *code_run_pairs(Arena *arena, const Code *code, const Columns *columns,
                           const CodePairs *pairs)
{
    Run run = {.code = code, .columns = columns, .pairs = pairs};
    run.results = results_new(arena, code, blocks_of(pairs));
    run_all(&run);
    return run.results;
}

CodeResult *code_run(Arena *arena, const Code *code, const Columns *columns)
{
    uint32_t *all = ARENA_NEW(arena, uint32_t, columns->lane_count);
    for (uint32_t lane = 0; lane < columns->lane_count; lane++) {
        all[lane] = lane;
    }
    const CodePairs pairs = {.lanes = all,
                             .record_count = columns->count[code->about],
                             .lane_count = columns->lane_count};
    return code_run_pairs(arena, code, columns, &pairs);
}

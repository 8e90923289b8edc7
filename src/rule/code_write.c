/* Register code as text, for people: r are records, n numbers, t truths, s spares. For
 * src/judge and tests, by code.h. */
#include "rule/code_parts.h"
#include "rule/formula_inner.h"

static const char *const names[OPERATIONS] = {
    [OPERATION_PLACE] = "place",
    [OPERATION_FOLLOW] = "follow",
    [OPERATION_MEMBER] = "member",
    [OPERATION_LITERAL] = "number",
    [OPERATION_QUANTITY] = "limit",
    [OPERATION_NUMBER] = "read",
    [OPERATION_RANGE_LEAST] = "least of",
    [OPERATION_RANGE_MOST] = "most of",
    [OPERATION_LIMIT] = "limit",
    [OPERATION_OWN] = "own",
    [OPERATION_NEGATE] = "negate",
    [OPERATION_ADD] = "add",
    [OPERATION_SUBTRACT] = "subtract",
    [OPERATION_MULTIPLY] = "multiply",
    [OPERATION_DIVIDE] = "divide",
    [OPERATION_POWER] = "power",
    [OPERATION_CALL] = "call",
    [OPERATION_TABLE] = "table",
    [OPERATION_CHOOSE_NUMBER] = "choose",
    [OPERATION_CHOOSE_WORD] = "choose word",
    [OPERATION_ALWAYS] = "always",
    [OPERATION_TRUTH] = "truth",
    [OPERATION_AT_LEAST] = "at least",
    [OPERATION_IN_WORDS] = "in words",
    [OPERATION_IN_COUNTS] = "in counts",
    [OPERATION_IN_SET] = "in set",
    [OPERATION_NOT] = "not",
    [OPERATION_AND] = "and",
    [OPERATION_OR] = "or",
    [OPERATION_CHOOSE_TRUTH] = "choose",
    [OPERATION_SPARE_TEST] = "spare of test",
    [OPERATION_SPARE_ORDERED] = "spare at least",
    [OPERATION_SPARE_EQUAL] = "spare equal",
    [OPERATION_SPARE_NOT] = "spare not",
    [OPERATION_SPARE_AND] = "spare and",
    [OPERATION_SPARE_OR] = "spare or",
    [OPERATION_SPARE_CHOOSE] = "spare choose",
    [OPERATION_EVERY] = "every",
    [OPERATION_SOME] = "some",
    [OPERATION_SUM] = "sum",
    [OPERATION_MOST] = "most",
    [OPERATION_LEAST] = "least",
    [OPERATION_COUNT_OVER] = "count",
    [OPERATION_SPARE_EVERY] = "spare every",
    [OPERATION_SPARE_SOME] = "spare some",
    [OPERATION_MEETS] = "meets",
    [OPERATION_RULE] = "rule",
    [OPERATION_RULE_SPARE] = "rule's spare",
    [OPERATION_LOOP] = "each",
    [OPERATION_NEXT] = "next",
    [OPERATION_AGAIN] = "again",
};

/* What kind of register an operand is. */
static Kind operand_kind(Operation operation, int operand)
{
    switch (operation) {
    case OPERATION_FOLLOW:
    case OPERATION_NUMBER:
    case OPERATION_RANGE_LEAST:
    case OPERATION_RANGE_MOST:
    case OPERATION_LOOP:
        return KIND_RECORD;
    case OPERATION_OWN:
        return operand == 0 ? KIND_RECORD : KIND_NUMBER;
    case OPERATION_CHOOSE_NUMBER:
    case OPERATION_CHOOSE_WORD:
        return operand == 0 ? KIND_TRUTH : KIND_NUMBER;
    case OPERATION_SUM:
    case OPERATION_MOST:
    case OPERATION_LEAST:
        return operand == 0 ? KIND_NUMBER : KIND_TRUTH;
    case OPERATION_SPARE_ORDERED:
    case OPERATION_SPARE_EQUAL:
        return operand == 0 ? KIND_TRUTH : KIND_NUMBER;
    case OPERATION_SPARE_NOT:
    case OPERATION_SPARE_AND:
    case OPERATION_SPARE_OR:
    case OPERATION_RULE_SPARE:
        return KIND_SPARE;
    case OPERATION_SPARE_CHOOSE:
        return operand == 0 ? KIND_TRUTH : KIND_SPARE;
    case OPERATION_SPARE_EVERY:
    case OPERATION_SPARE_SOME:
        return operand == 0 ? KIND_SPARE : KIND_TRUTH;
    case OPERATION_TRUTH:
    case OPERATION_AT_LEAST:
    case OPERATION_IN_WORDS:
    case OPERATION_IN_COUNTS:
    case OPERATION_IN_SET:
        return KIND_NUMBER;
    default:
        return operation_kind(operation) == KIND_NUMBER && !operation_gathers(operation)
                   ? KIND_NUMBER
                   : KIND_TRUTH;
    }
}

static void write_register(Text *text, Kind kind, uint32_t index)
{
    static const char letters[KIND_COUNT] = {' ', 'r', 'n', 't', 's'};
    if (index == VALUE_NONE) {
        text_add(text, "-");
    } else {
        text_addf(text, "%c%u", letters[kind], index);
    }
}

static void write_detail(Text *text, const Code *code, const Instruction *instruction)
{
    const Detail detail = instruction->detail;
    switch (instruction->operation) {
    case OPERATION_LITERAL:
        text_add(text, " ");
        text_add_number(text, detail.number, 15);
        return;
    case OPERATION_QUANTITY:
    case OPERATION_LIMIT:
        text_addf(text, " %s", detail.rows->limit->name);
        return;
    case OPERATION_NUMBER:
    case OPERATION_RANGE_LEAST:
    case OPERATION_RANGE_MOST:
    case OPERATION_OWN:
        text_addf(text, " %s", field_at((FieldId)detail.index)->name);
        return;
    case OPERATION_FOLLOW:
        text_addf(text, " %s", detail.relation->name);
        return;
    case OPERATION_LOOP:
        text_addf(text, " %s", code->loops[detail.index].relation->name);
        return;
    case OPERATION_TABLE:
        text_addf(text, " %s", detail.table->name);
        return;
    case OPERATION_CALL:
        text_addf(text, " %s", function_name((Function)detail.index));
        return;
    case OPERATION_POWER:
        text_addf(text, " %d", (int)detail.index);
        return;
    case OPERATION_IN_WORDS:
        text_addf(text, " 0x%llx", (unsigned long long)detail.words);
        return;
    case OPERATION_RULE:
    case OPERATION_RULE_SPARE:
        text_addf(text, " %s", code->rules[detail.index]->id);
        return;
    default:
        return;
    }
}

static void write_instruction(Text *text, const Code *code, const Instruction *instruction,
                              uint32_t level)
{
    static const char *const steps[] = {"", " from nothing", " with", " is whole"};
    const Operation operation = instruction->operation;
    text_addf(text, "%*s", 4 * (int)level, "");
    if (instruction->to != VALUE_NONE && operation_kind(operation) != KIND_NOTHING) {
        write_register(text, operation_kind(operation), instruction->to);
        text_add(text, " = ");
    }
    text_add(text, names[operation]);
    write_detail(text, code, instruction);
    text_add(text, steps[instruction->step]);
    int last = OPERANDS;
    while (last > 0 && instruction->from[last - 1] == VALUE_NONE) {
        last--;
    }
    for (int i = 0; i < last; i++) {
        text_add(text, i == 0 ? " " : ", ");
        write_register(text, operand_kind(operation, i), instruction->from[i]);
    }
    text_add(text, "\n");
}

void code_write(Text *text, const Code *code)
{
    uint32_t level = 1;
    text_add(text, "once\n");
    for (size_t at = 0; at < code->count; at++) {
        const Instruction *instruction = &code->instructions[at];
        if (at == code->loops[LOOP_BLOCKS].start) {
            text_add(text, "each block of places and lanes\n");
        }
        write_instruction(text, code, instruction, level);
        level += instruction->operation == OPERATION_LOOP;
        level -= instruction->operation == OPERATION_AGAIN;
    }
    text_addf(text, "registers: %u records, %u numbers, %u truths\n", code->registers[KIND_RECORD],
              code->registers[KIND_NUMBER], code->registers[KIND_TRUTH]);
}

void code_size(const Code *code, size_t *instructions, size_t *unshared)
{
    *instructions = code->count;
    *unshared = code->unshared;
}

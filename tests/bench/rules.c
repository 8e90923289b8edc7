/* How long rules take: the base rules over the Skerry deck shoe, turned, at the Harbour
 * closing room, and over many random records, by register code and by the
 * plain evaluator in the same run. */
#include "bench/bench.h"
#include "property/random_rules.h"

#include "measure/measure.h"
#include "rule/code.h"

enum { ROUNDS = 9, BULK = 3000 };

typedef struct Bench {
    Arena arena;
    RuleSet *rules;
    Rule **by_subject[SUBJECT_COUNT];
    size_t count[SUBJECT_COUNT];
    Code *code[SUBJECT_COUNT];
} Bench;

static bool bench_rules(Bench *bench, const Factory *factory, Messages *messages)
{
    const char *const *paths;
    size_t count;
    if (!rules_in_folder(&bench->arena, "rules/base", &paths, &count, messages)) {
        return false;
    }
    bench->rules = rules_read(paths, count, factory, messages);
    for (size_t i = 0; bench->rules && i < bench->rules->rule_count; i++) {
        Rule *rule = bench->rules->rules[i];
        Rule ***list = &bench->by_subject[rule->about];
        if (!*list) {
            *list = ARENA_NEW(&bench->arena, Rule *, bench->rules->rule_count);
        }
        (*list)[bench->count[rule->about]++] = rule;
    }
    return bench->rules != NULL;
}

/* Compiles all; prints what sharing saves. */
static void bench_compile(Bench *bench)
{
    size_t instructions = 0, unshared = 0;
    double start = bench_now();
    for (int s = 0; s < SUBJECT_COUNT; s++) {
        if (bench->count[s]) {
            bench->code[s] =
                code_compile(&bench->arena, (Subject)s, bench->by_subject[s], bench->count[s]);
        }
    }
    double taken = bench_now() - start;
    for (int s = 0; s < SUBJECT_COUNT; s++) {
        size_t one = 0, one_unshared = 0;
        if (bench->code[s]) {
            code_size(bench->code[s], &one, &one_unshared);
        }
        instructions += one;
        unshared += one_unshared;
    }
    printf("rules: %zu rules are %zu instructions, %zu without sharing; compiled in %.0f us\n",
           bench->rules->rule_count, instructions, unshared, taken * 1e3);
}

static size_t evaluations(const Bench *bench, const Columns *columns)
{
    size_t sum = 0;
    for (int s = 0; s < SUBJECT_COUNT; s++) {
        sum += bench->count[s] * columns->count[s] * columns->lane_count;
    }
    return sum;
}

static size_t bits_in(const uint64_t *words, size_t count)
{
    size_t sum = 0;
    for (size_t i = 0; i < count; i++) {
        sum += (size_t)__builtin_popcountll(words[i]);
    }
    return sum;
}

/* Flags: when true and require false. */
static size_t run_code(const Bench *bench, const Columns *columns)
{
    size_t flags = 0;
    for (int s = 0; s < SUBJECT_COUNT; s++) {
        size_t words = ((size_t)columns->count[s] * columns->lane_count + 63) / 64;
        if (!bench->code[s]) {
            continue;
        }
        Arena arena = {0};
        const CodeResult *results = code_run(&arena, bench->code[s], columns);
        for (size_t i = 0; i < bench->count[s]; i++) {
            for (size_t w = 0; w < words; w++) {
                results[i].when_true[w] &= results[i].require_false[w];
            }
            flags += bits_in(results[i].when_true, words);
        }
        arena_free(&arena);
    }
    return flags;
}

static size_t run_plain(const Bench *bench, const Columns *columns)
{
    size_t flags = 0;
    for (int s = 0; s < SUBJECT_COUNT; s++) {
        for (size_t i = 0; i < bench->count[s]; i++) {
            const Rule *rule = bench->by_subject[s][i];
            for (uint32_t place = 0; place < columns->count[s]; place++) {
                for (uint32_t lane = 0; lane < columns->lane_count; lane++) {
                    Plain plain;
                    plain_start(&plain, rule, columns, lane, (int32_t)place);
                    bool applies =
                        !rule->when || plain_truth(&plain, rule->when).nominal == KLEENE_TRUE;
                    bool fails = plain_truth(&plain, rule->require).nominal == KLEENE_FALSE;
                    flags += applies && fails;
                }
            }
        }
    }
    return flags;
}

/* Both by turns; false if they do not find the same. */
static bool bench_columns(const Bench *bench, const char *what, const Columns *columns)
{
    double code[ROUNDS], plain[ROUNDS], ratio[ROUNDS];
    const double each = 1e6 / (double)evaluations(bench, columns);
    size_t flags = 0, plain_flags = 0;
    for (int round = -1; round < ROUNDS; round++) {
        double start = bench_now();
        flags = run_code(bench, columns);
        double middle = bench_now();
        plain_flags = run_plain(bench, columns);
        double end = bench_now();
        if (round >= 0) {
            code[round] = (middle - start) * each;
            plain[round] = (end - middle) * each;
            ratio[round] = (end - middle) / (middle - start);
        }
    }
    printf("rules: %s: %zu of rule x place x lane, %zu flags; code %.2f ns each, plain %.0f ns, "
           "ratio %.0f\n",
           what, evaluations(bench, columns), flags, bench_median(code, ROUNDS),
           bench_median(plain, ROUNDS), bench_median(ratio, ROUNDS));
    return flags == plain_flags;
}

static Columns *bulk_columns(bool exact)
{
    Random random = {.state = 5};
    uint32_t count[SUBJECT_COUNT];
    for (int i = 0; i < SUBJECT_COUNT; i++) {
        count[i] = i == SUBJECT_STYLE || i == SUBJECT_MACHINE ? 8 : BULK;
    }
    Columns *columns = columns_new(1, count, NULL, NULL);
    fill_fields(&random, columns, 5);
    fill_relations(&random, columns);
    for (int id = 0; exact && id < FIELD_ID_COUNT; id++) {
        const Field *field = field_at((FieldId)id);
        if (field->type == FIELD_NUMBER) {
            columns->fields[id].lo = columns->fields[id].hi = columns->fields[id].nominal;
        }
    }
    return columns;
}

static bool bench_bulk(const Bench *bench, const char *what, bool exact)
{
    Columns *columns = bulk_columns(exact);
    bool same = bench_columns(bench, what, columns);
    columns_free(columns);
    return same;
}

int main(void)
{
    static const HouseValues house = {0.1, 0.05, 0.1, 0.3, 0.3, 0.1, 0.3, 5};
    Messages messages = {0};
    Bench bench = {0};
    bool same = false;
    Factory *factory = factory_read("rules/factories/harbour.yaml", &messages);
    Style *style = style_read("styles/skerry.yaml", "turned", NULL, 0, &messages);
    if (factory && style && bench_rules(&bench, factory, &messages)) {
        Columns *columns = measure_style(style, factory, &house);
        bench_compile(&bench);
        same = bench_columns(&bench, "the deck shoe", columns);
        columns_free(columns);
        same = bench_bulk(&bench, "many records, tolerances", false) && same;
        same = bench_bulk(&bench, "many records, exact", true) && same;
    }
    messages_write(&messages, stderr);
    rules_free(bench.rules);
    style_free(style);
    factory_free(factory);
    messages_free(&messages);
    arena_free(&bench.arena);
    return same ? 0 : 1;
}

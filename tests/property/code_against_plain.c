/* Register code gives bit for bit what the plain evaluator gives: random rules
 * over random columns. */
#include "random_rules.h"

#include "rule/code.h"

#if defined(__has_include)
#if __has_include(<valgrind/valgrind.h>)
#include <valgrind/valgrind.h>
#endif
#endif
#ifndef RUNNING_ON_VALGRIND
#define RUNNING_ON_VALGRIND 0
#endif

enum { RULES_MOST = 6 };

static const Subject abouts[] = {SUBJECT_STYLE, SUBJECT_PART, SUBJECT_EDGE,    SUBJECT_BEND,
                                 SUBJECT_HOLE,  SUBJECT_SEAM, SUBJECT_ROW,     SUBJECT_SPOT,
                                 SUBJECT_STEP,  SUBJECT_PLY,  SUBJECT_MATERIAL};

/* How many sets of rules: $CORDWAIN_CASES, else fewer under valgrind. */
static int cases(int many)
{
    const char *said = getenv("CORDWAIN_CASES");
    int wanted = said ? atoi(said) : 0;
    return wanted > 0 ? wanted : RUNNING_ON_VALGRIND ? many / 10 : many;
}

static const uint64_t *bits_of(const CodeResult *result, int which)
{
    const uint64_t *const all[] = {
        result->when_true,     result->when_false,   result->require_true, result->require_false,
        result->fail_possible, result->fail_unknown, result->met};
    return all[which];
}

static unsigned code_at(const CodeResult *result, size_t bit)
{
    unsigned found = 0;
    for (int i = 0; i < 7; i++) {
        found |= (unsigned)(bits_of(result, i)[bit / 64] >> bit % 64 & 1) << i;
    }
    return found;
}

static unsigned plain_at(const Rule *rule, const Columns *columns, uint32_t lane, int32_t record)
{
    Plain plain;
    plain_start(&plain, rule, columns, lane, record);
    PlainTruth when = {.nominal = KLEENE_TRUE, .can_true = true};
    if (rule->when) {
        when = plain_truth(&plain, rule->when);
    }
    PlainTruth require = plain_truth(&plain, rule->require);
    bool possible = when.can_true && require.can_false;
    bool unknown = (when.can_unknown && (require.can_unknown || require.can_false)) ||
                   (when.can_true && require.can_unknown);
    bool met = plain.met || !rule->has_sets;
    return (unsigned)(when.nominal == KLEENE_TRUE) | (unsigned)(when.nominal == KLEENE_FALSE) << 1 |
           (unsigned)(require.nominal == KLEENE_TRUE) << 2 |
           (unsigned)(require.nominal == KLEENE_FALSE) << 3 | (unsigned)possible << 4 |
           (unsigned)unknown << 5 | (unsigned)met << 6;
}

static void tell(const Rule *rule, uint64_t seed, uint32_t lane, uint32_t record, unsigned code,
                 unsigned plain)
{
    Text text = {0};
    for (size_t i = 0; i < rule->let_count; i++) {
        text_addf(&text, "let %s: ", rule->lets[i].name);
        formula_write(&text, rule, rule->lets[i].formula->operand[0]);
        text_add(&text, "\n");
    }
    if (rule->when) {
        text_add(&text, "when: ");
        formula_write(&text, rule, rule->when);
    }
    text_add(&text, "\nrequire: ");
    formula_write(&text, rule, rule->require);
    print_message(
        "seed %llu, about %s, record %u, lane %u: code %02x, plain %02x (met, fail unknown, "
        "fail possible, require false, true, when false, true)\n%s\n",
        (unsigned long long)seed, subject_name(rule->about), record, lane, code, plain,
        text_string(&text));
    text_free(&text);
}

static bool rule_agrees(const Rule *rule, const CodeResult *result, const Columns *columns,
                        uint64_t seed)
{
    for (uint32_t record = 0; record < columns->count[rule->about]; record++) {
        for (uint32_t lane = 0; lane < columns->lane_count; lane++) {
            unsigned plain = plain_at(rule, columns, lane, (int32_t)record);
            unsigned code = code_at(result, (size_t)record * columns->lane_count + lane);
            if (code != plain) {
                tell(rule, seed, lane, record, code, plain);
                return false;
            }
        }
    }
    return true;
}

/* Nothing is set past the last lane. */
static bool tail_is_clear(const CodeResult *result, size_t total)
{
    for (int i = 0; i < 7 && total % 64; i++) {
        if (bits_of(result, i)[total / 64] >> total % 64) {
            return false;
        }
    }
    return true;
}

static bool same_number(double a, double b)
{
    return a == b || (a != a && b != b);
}

/* What is to spare, and where it counts. */
static bool spares_agree(Arena *arena, Rule *const *rules, size_t count, const Columns *columns,
                         uint64_t seed)
{
    const Subject about = rules[0]->about;
    uint32_t *lanes = ARENA_NEW(arena, uint32_t, columns->lane_count);
    for (uint32_t lane = 0; lane < columns->lane_count; lane++) {
        lanes[lane] = lane;
    }
    const CodePairs pairs = {.lanes = lanes,
                             .record_count = columns->count[about],
                             .lane_count = columns->lane_count};
    const CodeResult *spares =
        code_run_pairs(arena, code_compile_spares(arena, about, rules, count), columns, &pairs);
    for (size_t i = 0; i < count; i++) {
        for (size_t bit = 0; bit < (size_t)pairs.record_count * pairs.lane_count; bit++) {
            uint32_t lane = (uint32_t)(bit % pairs.lane_count);
            uint32_t record = (uint32_t)(bit / pairs.lane_count);
            Plain plain;
            plain_start(&plain, rules[i], columns, lane, (int32_t)record);
            double relative = plain_truth(&plain, rules[i]->require).spare.relative;
            bool when = plain_at(rules[i], columns, lane, (int32_t)record) & 1;
            if (!same_number(relative, spares[i].relative[bit]) ||
                when != (spares[i].when_true[bit / 64] >> bit % 64 & 1)) {
                print_message("to spare: code %.17g, plain %.17g\n", spares[i].relative[bit],
                              relative);
                tell(rules[i], seed, lane, record, 0, 0);
                return false;
            }
        }
    }
    return true;
}

static bool all_agree(Arena *arena, Rule *const *rules, size_t count, const Columns *columns,
                      uint64_t seed)
{
    const Subject about = rules[0]->about;
    const Code *code = code_compile(arena, about, rules, count);
    const CodeResult *results = code_run(arena, code, columns);
    for (size_t i = 0; i < count; i++) {
        if (!rule_agrees(rules[i], &results[i], columns, seed) ||
            !tail_is_clear(&results[i], (size_t)columns->count[about] * columns->lane_count)) {
            return false;
        }
    }
    return spares_agree(arena, rules, count, columns, seed);
}

/* The rules the other way round, and each alone, give the same. */
static bool order_is_nothing(Arena *arena, Rule *const *rules, size_t count, const Columns *columns)
{
    const Subject about = rules[0]->about;
    const size_t words = ((size_t)columns->count[about] * columns->lane_count + 63) / 64;
    Rule *turned[RULES_MOST];
    for (size_t i = 0; i < count; i++) {
        turned[i] = rules[count - 1 - i];
    }
    const CodeResult *first = code_run(arena, code_compile(arena, about, rules, count), columns);
    const CodeResult *second = code_run(arena, code_compile(arena, about, turned, count), columns);
    for (size_t i = 0; i < count; i++) {
        const CodeResult *alone =
            code_run(arena, code_compile(arena, about, &rules[i], 1), columns);
        for (int which = 0; which < 7; which++) {
            const uint64_t *bits = bits_of(&first[i], which);
            if (memcmp(bits, bits_of(&second[count - 1 - i], which), words * sizeof *bits) != 0 ||
                memcmp(bits, bits_of(alone, which), words * sizeof *bits) != 0) {
                return false;
            }
        }
    }
    return true;
}

typedef struct Trial {
    Kit kit;
    Columns *columns;
    Rule *rules[RULES_MOST];
    size_t count;
} Trial;

static void trial_start(Trial *trial, uint64_t seed)
{
    Random random = {.state = seed * 0x9e3779b97f4a7c15u + 1};
    const Subject about = abouts[draw(&random, sizeof abouts / sizeof *abouts)];
    *trial = (Trial){0};
    assert_non_null(kit_read(&trial->kit, random_names, NULL));
    trial->columns = random_columns(&random, about);
    trial->count = 1 + draw(&random, RULES_MOST);
    for (size_t i = 0; i < trial->count; i++) {
        trial->rules[i] = random_rule(&random, &trial->kit, about, i);
    }
}

static void trial_end(Trial *trial)
{
    columns_free(trial->columns);
    kit_end(&trial->kit);
}

static void test_random_trees(void **state)
{
    (void)state;
    for (uint64_t seed = 1, many = (uint64_t)cases(2500); seed <= many; seed++) {
        Trial trial;
        trial_start(&trial, seed);
        bool agree = all_agree(&trial.kit.arena, trial.rules, trial.count, trial.columns, seed);
        bool still = order_is_nothing(&trial.kit.arena, trial.rules, trial.count, trial.columns);
        trial_end(&trial);
        assert_true(agree);
        assert_true(still);
    }
}

/* The same formula written, read back by the parser and compiled: lets are
 * part of a rule file, so rules with lets are left out. False if the written
 * form means another thing (a bound name hides another) and is refused. */
static bool read_back(Kit *kit, Rule *rule)
{
    Text text = {0};
    formula_write(&text, rule, rule->require);
    Rule *again = kit_rule(kit, rule->about);
    again->id = "read-back";
    again->binding_count = 1;
    again->bound[0] = rule->about;
    again->bound_name[0] = subject_name(rule->about);
    again->require = kit_formula(kit, again, arena_copy(&kit->arena, text.bytes, text.length));
    text_free(&text);
    kit_forget(kit);
    if (again->require) {
        *rule = *again;
        formula_enter(kit->set, rule, rule->require);
    }
    return again->require != NULL;
}

static void test_random_texts(void **state)
{
    (void)state;
    size_t written = 0, read = 0;
    for (uint64_t seed = 100001, end = seed + (uint64_t)cases(700); seed < end; seed++) {
        Trial trial;
        trial_start(&trial, seed);
        size_t kept = 0;
        for (size_t i = 0; i < trial.count; i++) {
            if (trial.rules[i]->let_count == 0) {
                written++;
                if (read_back(&trial.kit, trial.rules[i])) {
                    trial.rules[kept++] = trial.rules[i];
                }
            }
        }
        read += kept;
        bool agree =
            kept == 0 || all_agree(&trial.kit.arena, trial.rules, kept, trial.columns, seed);
        trial_end(&trial);
        assert_true(agree);
    }
    print_message("%zu texts written, %zu of them read back\n", written, read);
    assert_true(4 * read >= written);
}

typedef struct Chosen {
    Subject about;
    const char *text;
} Chosen;

/* What random rules come by too seldom. */
static const Chosen chosen[] = {
    {SUBJECT_BEND, "most edge.ply where (ply.thickness >= 1 mm) (ply.gap) >= 2 mm"},
    {SUBJECT_BEND, "least edge.ply where (ply.thickness < 2 mm) (ply.gap) >= 1 mm"},
    {SUBJECT_BEND,
     "most edge.ply where (ply.gap > 1 mm or ply.under) (ply.thickness + ply.gap) < 4 mm"},
    {SUBJECT_BEND, "sum edge.ply where (ply.thickness >= 1 mm) (ply.gap) <= 3 mm"},
    {SUBJECT_BEND, "count edge.ply where (ply.thickness >= 1 mm) = 1"},
    {SUBJECT_BEND, "every edge.ply where (ply.thickness > 1 mm) (ply.thickness <= radius)"},
    {SUBJECT_BEND,
     "some edge.ply where (ply.thickness > 1 mm) (every edge.seam (ply.gap < edge.allowance))"},
    {SUBJECT_BEND, "every edge.ply where (ply.thickness >= most edge.ply (ply.thickness)) (ply.gap "
                   "< kind_least)"},
    {SUBJECT_SEAM,
     "every row (every row.ply (ply.thickness < row.pitch and row.number = count edge))"},
    {SUBJECT_SEAM, "every edge (some edge.bend (bend.radius > edge.left) or count edge.ply > 1)"},
    {SUBJECT_ROW, "some machine (climb_most >= 1.5 mm)"},
    {SUBJECT_ROW, "every machine (some edge (edge.length >= climb_most))"},
    {SUBJECT_ROW, "every machine (climb_most >= stack or pitch in machine.pitch)"},
    {SUBJECT_ROW, "some machine (number in machine.rows and stitch in machine.stitches)"},
    {SUBJECT_ROW, "some machine ((if gap > 1 mm then number else number + 1) in machine.rows)"},
    {SUBJECT_ROW, "(if gap > 1 mm then seam.zone else seam.zone) is not toe"},
    {SUBJECT_PART, "(if width > 1 mm then material.kind else material.kind) in {suede, mesh}"},
};

static void test_chosen_texts(void **state)
{
    (void)state;
    for (uint64_t seed = 1, many = (uint64_t)cases(500); seed <= many; seed++) {
        for (size_t i = 0; i < sizeof chosen / sizeof *chosen; i++) {
            Kit kit = {0};
            Random random = {.state = seed * 1000003 + i};
            assert_non_null(kit_read(&kit, random_names, NULL));
            Rule *rule = kit_rule(&kit, chosen[i].about);
            rule->id = "chosen";
            rule->require = kit_formula(&kit, rule, chosen[i].text);
            if (!rule->require) {
                kit_fail(&kit);
            }
            assert_non_null(rule->require);
            formula_enter(kit.set, rule, rule->require);
            Columns *columns = random_columns(&random, chosen[i].about);
            bool agree = all_agree(&kit.arena, &rule, 1, columns, seed);
            columns_free(columns);
            kit_end(&kit);
            assert_true(agree);
        }
    }
}

/* Equal parts of different rules are computed once. */
static void test_shares(void **state)
{
    (void)state;
    Trial trial;
    trial_start(&trial, 7);
    Rule *twice[] = {trial.rules[0], trial.rules[0]};
    size_t once, both, unshared_once, unshared_both;
    code_size(code_compile(&trial.kit.arena, twice[0]->about, twice, 1), &once, &unshared_once);
    code_size(code_compile(&trial.kit.arena, twice[0]->about, twice, 2), &both, &unshared_both);
    assert_int_equal(both, once + 1); /* the second rule's end */
    assert_true(unshared_both > once + 1);
    trial_end(&trial);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_random_trees),
        cmocka_unit_test(test_random_texts),
        cmocka_unit_test(test_chosen_texts),
        cmocka_unit_test(test_shares),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

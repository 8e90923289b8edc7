/* Rules over many places, counted. For `cordwain rules`. */
#include "judge/trial.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "judge/inside.h"

enum { RECORDS = 64, MEMBERS_MOST = 3 };

Trials *trials_new(const RuleSet *rules)
{
    Trials *trials = memory_new(1, sizeof *trials);
    trials->items = ARENA_NEW(&trials->arena, RuleTrial, rules->rule_count);
    for (size_t i = 0; i < rules->rule_count; i++)
        if (rules->rules[i]->off_reason == NULL)
            trials->items[trials->count++] = (RuleTrial){.rule = rules->rules[i]};
    return trials;
}

void trials_free(Trials *trials)
{
    if (trials == NULL)
        return;
    arena_free(&trials->arena);
    free(trials);
}

static void count_answer(RuleTrial *trial, Verdict verdict)
{
    trial->places++;
    trial->applies += verdict != VERDICT_OUT;
    trial->flags += verdict == VERDICT_FLAG;
    trial->passes += verdict == VERDICT_PASS || verdict == VERDICT_TIGHT;
    trial->answers = (trial->answers ^ (uint64_t)(verdict + 1)) * 1099511628211u; /* FNV-1a */
}

bool trials_agree(const RuleTrial *one, const RuleTrial *other)
{
    return one->rule->about == other->rule->about && one->answers == other->answers &&
           one->places == other->places && one->flags > 0 && one->passes > 0;
}

/* ---- Over a style ---- */

static RuleTrial *trial_of(const Trials *trials, const Rule *rule)
{
    for (size_t i = 0; i < trials->count; i++)
        if (trials->items[i].rule == rule)
            return &trials->items[i];
    return NULL;
}

void trials_over(Trials *trials, const Judgement *judgement)
{
    RuleTrial *trial = NULL;
    for (size_t i = 0; i < judgement->count; i++) {
        const Finding *finding = judgement->numbered[i];
        if (trial == NULL || trial->rule != finding->rule)
            trial = trial_of(trials, finding->rule);
        if (trial == NULL)
            continue;
        count_answer(trial, finding->verdict);
        if (finding->verdict == VERDICT_FLAG && trial->first_flag == NULL)
            trial->first_flag = arena_printf(&trials->arena, "%s of %s", finding->place,
                                             judgement->style->file->path);
    }
}

/* ---- At random ---- */

/* xorshift64*: the same numbers everywhere. */
static double random_share(uint64_t *state)
{
    *state ^= *state >> 12;
    *state ^= *state << 25;
    *state ^= *state >> 27;
    return (double)((*state * 0x2545f4914f6cdd1du) >> 11) / 9007199254740992.0;
}

static uint32_t random_below(uint64_t *state, uint32_t below)
{
    return (uint32_t)(random_share(state) * below);
}

/* What a number without bounds of its own lies within: what is worked out is of the order of
 * what it is worked out from. */
static void bounds_of(const Field *field, double *least, double *most)
{
    *least = isfinite(field->least) ? field->least : 0;
    *most = isfinite(field->most) ? field->most : strcmp(field->unit, "mm") == 0 ? 500 : 10;
}

/* Small values as often as large ones, where there is a zero to be near. */
static double random_number(uint64_t *state, const Field *field)
{
    double least, most, share = random_share(state);
    bounds_of(field, &least, &most);
    if (field->unit[0] == '\0')
        return least + floor(share * fmin(most - least + 1, 12));
    if (field_unit(field)->point)
        return least + share * (most - least);
    double from = fmax(least, most * 1e-4);
    return from * pow(most / from, share);
}

static double random_code(uint64_t *state, const Field *field)
{
    switch (field->type) {
    case FIELD_TRUTH:
        return random_below(state, 2);
    case FIELD_WORD:
        return random_below(state, (uint32_t)field->words->count);
    case FIELD_WORDS:
        return random_below(state, 1u << field->words->count);
    case FIELD_COUNTS:
        return random_below(state, 8);
    default:
        return NAN;
    }
}

static void fill_cell(uint64_t *state, const Field *field, Column *column, size_t cell)
{
    double one = field->type == FIELD_NUMBER || field->type == FIELD_RANGE
                     ? random_number(state, field)
                     : random_code(state, field);
    double other = field->type == FIELD_RANGE ? random_number(state, field) : one;
    column->nominal[cell] = field->type == FIELD_RANGE ? (double)NAN : one;
    column->lo[cell] = fmin(one, other);
    column->hi[cell] = fmax(one, other);
}

static void fill_relation(uint64_t *state, Columns *columns, const Relation *relation)
{
    size_t index = relation_index(relation);
    ManyColumn *many = &columns->manys[index];
    if (!relation->many) {
        for (uint32_t r = 0; r < RECORDS; r++)
            columns->ones[index].index[r] = (int32_t)random_below(state, RECORDS);
        return;
    }
    many->items = ARENA_NEW(&columns->arena, int32_t, RECORDS * MEMBERS_MOST);
    for (uint32_t r = 0, used = 0; r < RECORDS; r++) {
        for (uint32_t k = random_below(state, MEMBERS_MOST + 1); k > 0; k--)
            many->items[used++] = (int32_t)random_below(state, RECORDS);
        many->start[r + 1] = used;
    }
}

static Columns *random_world(uint64_t *state)
{
    static const bool varies[FIELD_ID_COUNT] = {false};
    uint32_t count[SUBJECT_COUNT];
    size_t relations;
    const Relation *table = relation_table(&relations);
    bool *one_varies = memory_new(relations, sizeof *one_varies);
    for (int i = 0; i < SUBJECT_COUNT; i++)
        count[i] = RECORDS;
    Columns *columns = columns_new(1, count, varies, one_varies);
    for (int id = 0; id < FIELD_ID_COUNT; id++) {
        const Field *field = field_at((FieldId)id);
        bool empty = field->type == FIELD_TEXT || field->type == FIELD_NAME;
        for (uint32_t r = 0; r < RECORDS && !empty; r++)
            fill_cell(state, field, &columns->fields[id], r);
    }
    for (size_t i = 0; i < relations; i++)
        fill_relation(state, columns, &table[i]);
    free(one_varies);
    return columns;
}

/* All values are exact: nothing is tight. */
static Verdict answer(const Rule *rule, const Columns *columns, uint32_t record)
{
    Plain plain;
    plain_start(&plain, rule, columns, 0, (int32_t)record);
    PlainTruth when = look_when(&plain);
    if (when.nominal == KLEENE_FALSE)
        return VERDICT_OUT;
    PlainTruth require = plain_truth(&plain, rule->require);
    return verdict_of((LaneFacts){
        .met = plain.met || !rule->has_sets, .when = when.nominal, .require = require.nominal});
}

void trials_at_random(Trials *trials, size_t worlds)
{
    uint64_t state = 0x9e3779b97f4a7c15u;
    for (size_t w = 0; w < worlds; w++) {
        Columns *columns = random_world(&state);
        for (size_t i = 0; i < trials->count; i++)
            for (uint32_t r = 0; r < RECORDS; r++)
                count_answer(&trials->items[i], answer(trials->items[i].rule, columns, r));
        columns_free(columns);
    }
}

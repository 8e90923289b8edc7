/* First-order shares of the variance of a finding's spare. For explanations.
 *
 * Two sets of samples A and B, and for each tolerance the set A with that one taken from B:
 * the share is mean(f(B) (f(A with B's) - f(A))) over the variance of f (A. Saltelli and
 * others, Variance based sensitivity analysis of model output, Computer Physics
 * Communications 181, 2010, table 2, after I. M. Sobol). Less the mean of f, which changes
 * nothing in the limit and makes the error smaller. */
#include "judge/shares.h"

#include <math.h>
#include <stdlib.h>

#include "judge/inside.h"

enum { SHARE_SAMPLES = 1024, SHARES_MOST = 64 };

static const double share_least = 0.01;

typedef struct Sampling {
    const Judgement *judgement;
    const Finding *finding;
    uint32_t lane;
    const void **sources;
    ToleranceBox box;
} Sampling;

/* A's numbers are even samples, B's odd ones. */
static void set_side(Sampling *s, size_t source, uint64_t sample)
{
    s->box.sides[source].from = s->box.sides[source].to = tight_uniform(sample, source);
}

static void set_all(Sampling *s, uint64_t sample)
{
    for (size_t i = 0; i < s->box.count; i++)
        set_side(s, i, sample);
}

static double spare_there(const Sampling *s)
{
    Plain plain;
    plain_start(&plain, s->finding->rule, s->judgement->columns, s->lane,
                (int32_t)s->finding->record);
    plain.box = &s->box;
    plain.at_point = true;
    return plain_truth(&plain, s->finding->rule->require).spare.amount;
}

/* f(A) and f(B); false where one is no number. */
static bool sample_both(Sampling *s, double *a, double *b)
{
    for (uint64_t i = 0; i < SHARE_SAMPLES; i++) {
        set_all(s, 2 * i);
        a[i] = spare_there(s);
        set_all(s, 2 * i + 1);
        b[i] = spare_there(s);
        if (!isfinite(a[i]) || !isfinite(b[i]))
            return false;
    }
    return true;
}

static void mean_and_variance(const double *a, const double *b, double *mean, double *variance)
{
    *mean = *variance = 0;
    for (int i = 0; i < SHARE_SAMPLES; i++)
        *mean += (a[i] + b[i]) / (2 * SHARE_SAMPLES);
    for (int i = 0; i < SHARE_SAMPLES; i++)
        *variance += ((a[i] - *mean) * (a[i] - *mean) + (b[i] - *mean) * (b[i] - *mean)) /
                     (2 * SHARE_SAMPLES);
}

static double share_of(Sampling *s, size_t source, const double *a, const double *b, double mean,
                       double variance)
{
    double sum = 0;
    for (uint64_t i = 0; i < SHARE_SAMPLES; i++) {
        set_all(s, 2 * i);
        set_side(s, source, 2 * i + 1);
        double mixed = spare_there(s);
        sum += (b[i] - mean) * (mixed - a[i]);
    }
    return fmin(fmax(sum / SHARE_SAMPLES / variance, 0), 1);
}

/* ---- Their names ---- */

static const char *name_of(Arena *arena, const Sampling *s, const void *source)
{
    const Columns *columns = s->judgement->columns;
    Plain plain;
    Read *reads;
    plain_start(&plain, s->finding->rule, columns, s->lane, (int32_t)s->finding->record);
    size_t count = readings_collect(arena, &plain, &reads);
    for (size_t i = 0; i < count; i++) {
        const Formula *formula = reads[i].formula;
        if (formula->kind == FORMULA_LIMIT && reads[i].value == source)
            return arena_printf(arena, "limit %s", formula->limit->name);
        if (formula->kind == FORMULA_LIMIT || reads[i].record < 0)
            continue;
        const Column *column = &columns->fields[formula->field];
        const void *own = column->origins[reads[i].record]->source;
        size_t cell = column_cell(column, (uint32_t)reads[i].record, s->lane);
        if (own ? own == source : (const void *)&column->nominal[cell] == source)
            return arena_printf(
                arena, "%s of %s", field_at(formula->field)->name,
                look_name(arena, columns, field_at(formula->field)->subject, reads[i].record));
    }
    return "a value met twice";
}

static int by_share(const void *one, const void *other)
{
    const RiskShare *a = one, *b = other;
    return (a->share < b->share) - (a->share > b->share);
}

size_t risk_shares(Arena *arena, const Judgement *judgement, const Finding *finding,
                   RiskShare **shares)
{
    Sampling s = {judgement, finding, finding_worst_lane(judgement, finding), NULL, {0}};
    Plain plain;
    double mean, variance;
    plain_start(&plain, finding->rule, judgement->columns, s.lane, (int32_t)finding->record);
    s.box.count = plain_sources(&plain, arena, &s.sources);
    s.box.sides = ARENA_NEW(arena, BoxSide, s.box.count);
    for (size_t i = 0; i < s.box.count; i++)
        s.box.sides[i].source = s.sources[i];
    double *a = ARENA_NEW(arena, double, SHARE_SAMPLES);
    double *b = ARENA_NEW(arena, double, SHARE_SAMPLES);
    size_t count = 0;
    if (s.box.count == 0 || s.box.count > SHARES_MOST || !sample_both(&s, a, b))
        return 0;
    mean_and_variance(a, b, &mean, &variance);
    if (!(variance > 0))
        return 0;
    *shares = ARENA_NEW(arena, RiskShare, s.box.count);
    for (size_t i = 0; i < s.box.count; i++) {
        double share = share_of(&s, i, a, b, mean, variance);
        if (share >= share_least)
            (*shares)[count++] = (RiskShare){name_of(arena, &s, s.sources[i]), share};
    }
    qsort(*shares, count, sizeof **shares, by_share);
    return count;
}

/* Two values changed together, and what one must be as the other goes. For src/remedy
 * and whoever shows findings. */
#include <math.h>
#include <stdlib.h>

#include "remedy/inside.h"

/* ---- Which values ---- */

size_t axes_numbers(const Axis *axes, size_t count, bool elsewhere, const Axis *numbers[2])
{
    size_t found = 0;
    for (size_t i = 0; i < count && found < 2; i++)
        if (axes[i].kind == AXIS_NUMBER && !axes[i].refused && (elsewhere || !axes[i].elsewhere))
            numbers[found++] = &axes[i];
    return found;
}

static bool is_bend_shape(const Axis *axis)
{
    return axis->field == BEND_RADIUS || axis->field == BEND_TURN;
}

/* Whole strides, a stride being the field's own step or what can be made. */
size_t beside_values(Remedies *remedies, const Finding *finding, const Axis *axis, double *values)
{
    double step = field_at(axis->field)->step;
    long stride = axis->stock || !(step > axis->step) ? 1 : lround(step / axis->step);
    size_t count = 0,
           most = axis_is_direct(remedies, finding, axis) ? BESIDE_MOST : BESIDE_MEASURED;
    long middle = axis_start(axis, true) / stride;
    for (long i = 0; count < most && i <= BESIDE_MOST; i++) {
        long index = (middle + (i % 2 ? (i + 1) / 2 : -i / 2)) * stride;
        if (index < axis_end(axis, false) || index > axis_end(axis, true))
            continue;
        double value = axis_value(axis, index);
        if (fabs(value - axis->now) > axis->step / 1000)
            values[count++] = value;
    }
    return count;
}

/* ---- Two numbers ---- */

static double share_changed(const Axis *axis, double value)
{
    return fabs(value - axis->now) / fmax(fabs(axis->now), axis->step);
}

/* What the one must be with the other so. */
static bool beside(Remedies *remedies, const Finding *finding, const Axis *axis, RemedyAim aim,
                   Setting settings[2])
{
    Search search;
    double value;
    search_start(&search, remedies, finding, axis, &settings[1]);
    bool good = search_nearest(&search, aim == REMEDY_PASS ? RANK_PASS : RANK_TIGHT, &value);
    search_end(&search);
    if (good)
        settings[0] = setting_of(remedies, axis, value);
    return good;
}

typedef struct Candidate {
    Setting settings[2];
    double cost;
} Candidate;

static int by_cost(const void *one, const void *other)
{
    const Candidate *a = one, *b = other;
    return (a->cost > b->cost) - (a->cost < b->cost);
}

/* The cheapest first; only what may be proposed is judged on the whole style. */
static bool pair_of_numbers(Remedies *remedies, const Finding *finding, const Axis *const axes[2],
                            RemedyAim aim, Setting best[2])
{
    double values[BESIDE_MOST];
    Candidate candidates[BESIDE_MOST];
    size_t count = beside_values(remedies, finding, axes[1], values), found = 0;
    double least = INFINITY;
    for (size_t i = 0; i < count; i++) {
        Candidate *candidate = &candidates[found];
        candidate->settings[1] = setting_of(remedies, axes[1], values[i]);
        candidate->cost = share_changed(axes[1], values[i]);
        if (candidate->cost >= least ||
            !beside(remedies, finding, axes[0], aim, candidate->settings))
            continue;
        candidate->cost += share_changed(axes[0], candidate->settings[0].value);
        least = fmin(least, candidate->cost);
        found++;
    }
    if (found > 0)
        qsort(candidates, found, sizeof *candidates, by_cost);
    for (size_t i = 0; i < found; i++)
        if (settings_reach(remedies, finding, candidates[i].settings, 2, aim)) {
            best[0] = candidates[i].settings[0];
            best[1] = candidates[i].settings[1];
            return true;
        }
    return false;
}

/* ---- Two words ---- */

static size_t raised(Remedies *remedies, const Finding *finding, const Setting *settings)
{
    Remedy remedy = remedy_of(remedies, finding, REMEDY_PASS, settings, 2);
    return remedy.raise_count;
}

static bool pair_of_words(Remedies *remedies, const Finding *finding, const Axis *one,
                          const Axis *other, RemedyAim aim, Setting best[2])
{
    size_t least = SIZE_MAX;
    for (size_t i = 0; i < one->option_count; i++)
        for (size_t k = 0; k < other->option_count; k++) {
            Setting settings[2] = {{one, (double)i, one->options[i]},
                                   {other, (double)k, other->options[k]}};
            if (!settings_reach(remedies, finding, settings, 2, aim) ||
                raised(remedies, finding, settings) >= least)
                continue;
            least = raised(remedies, finding, settings);
            best[0] = settings[0];
            best[1] = settings[1];
        }
    return least < SIZE_MAX;
}

bool pair_of(Remedies *remedies, const Finding *finding, const Axis *axes, size_t count,
             RemedyAim aim, Setting settings[2])
{
    const Axis *numbers[2], *words[2] = {NULL, NULL};
    size_t word_count = 0;
    for (size_t i = 0; i < count && word_count < 2; i++)
        if (axes[i].kind == AXIS_CHOICE && !axes[i].refused)
            words[word_count++] = &axes[i];
    if (axes_numbers(axes, count, true, numbers) == 2 &&
        !(is_bend_shape(numbers[0]) && is_bend_shape(numbers[1])) &&
        pair_of_numbers(remedies, finding, numbers, aim, settings))
        return true;
    return word_count == 2 && pair_of_words(remedies, finding, words[0], words[1], aim, settings);
}

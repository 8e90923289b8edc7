/* What would clear findings, worked out when it is first looked at, a finding at a time, and
 * kept until the next step. For the pages. */
#include <math.h>
#include <string.h>

#include "report/told.h"
#include "screen/view_inside.h"

/* ---- Working out ---- */

static void start(View *view)
{
    Clearing *clearing = &view->clearing;
    const Judgement *judgement = review_judgement(view->review);
    if (clearing->remedies != NULL)
        return;
    clearing->judgement = judgement;
    clearing->ground = review_ground(view->review, &clearing->arena);
    clearing->remedies = remedies_new(&clearing->ground);
    clearing->lists = ARENA_NEW(&clearing->arena, const RemedyList *, judgement->count);
}

void clearing_forget(View *view)
{
    Clearing *clearing = &view->clearing;
    proposed_free(clearing->line);
    remedies_free(clearing->remedies);
    arena_free(&clearing->arena);
    text_clear(&clearing->why);
    *clearing = (Clearing){.why = clearing->why};
    view->filter.sifted = NULL;
}

static void work_list(View *view)
{
    Clearing *clearing = &view->clearing;
    start(view);
    clearing->lists[clearing->wanted - clearing->judgement->findings] =
        remedies_of(clearing->remedies, clearing->wanted);
}

const RemedyList *clearing_of(View *view, const Finding *finding)
{
    Clearing *clearing = &view->clearing;
    if (clearing->remedies != NULL) {
        const RemedyList *list = clearing->lists[finding - clearing->judgement->findings];
        if (list != NULL)
            return list;
    }
    clearing->wanted = finding;
    view->works = work_list;
    return NULL;
}

bool clearing_all(View *view)
{
    const Judgement *judgement = review_judgement(view->review);
    for (size_t i = 0; i < judgement->count; i++)
        if (finding_is_open(&judgement->findings[i]) &&
            clearing_of(view, &judgement->findings[i]) == NULL)
            return false;
    return true;
}

static void work_frontier(View *view)
{
    Clearing *clearing = &view->clearing;
    start(view);
    clearing->frontier = remedies_frontier(clearing->remedies, clearing->wanted);
    clearing->bounded = clearing->wanted;
}

const RemedyFrontier *clearing_frontier(View *view, const Finding *finding, bool *known)
{
    Clearing *clearing = &view->clearing;
    *known = clearing->bounded == finding;
    if (!*known) {
        clearing->wanted = finding;
        view->works = work_frontier;
    }
    return *known ? clearing->frontier : NULL;
}

Remedies *clearing_known(const View *view)
{
    return view->clearing.remedies;
}

/* ---- Which is best ---- */

static bool asks_designer(const Remedy *remedy)
{
    for (size_t i = 0; i < remedy->change_count; i++)
        if (!told_alone(remedy, remedy->changes[i].giver) ||
            remedy->changes[i].giver == GIVER_LINE || remedy->changes[i].giver == GIVER_MATERIAL)
            return true;
    return false;
}

/* Below 0: the first costs less. */
static int compare(const Remedy *a, const Remedy *b)
{
    long costs[][2] = {{(long)a->raise_count, (long)b->raise_count},
                       {b->aim, a->aim},
                       {asks_designer(a), asks_designer(b)},
                       {(long)a->change_count, (long)b->change_count},
                       {(long)b->clear_count, (long)a->clear_count}};
    for (size_t i = 0; i < sizeof costs / sizeof *costs; i++)
        if (costs[i][0] != costs[i][1])
            return costs[i][0] < costs[i][1] ? -1 : 1;
    return 0;
}

const Remedy *clearing_best(const RemedyList *list)
{
    const Remedy *best = NULL;
    for (size_t i = 0; i < list->count; i++)
        if (best == NULL || compare(&list->items[i], best) < 0)
            best = &list->items[i];
    return best;
}

/* Best of those that the developer can do alone and that raise nothing. NULL: none. */
static const Remedy *best_alone(const RemedyList *list)
{
    const Remedy *best = NULL;
    for (size_t i = 0; i < list->count; i++) {
        const Remedy *remedy = &list->items[i];
        if (remedy->raise_count == 0 && !asks_designer(remedy) &&
            (best == NULL || compare(remedy, best) < 0))
            best = remedy;
    }
    return best;
}

/* The same values, changed for the other aim; NULL: there is none. */
static const Remedy *for_other_aim(const RemedyList *list, const Remedy *remedy)
{
    for (size_t i = 0; i < list->count; i++) {
        const Remedy *other = &list->items[i];
        bool same = other->aim != remedy->aim && other->change_count == remedy->change_count;
        for (size_t k = 0; same && k < remedy->change_count; k++)
            same = strcmp(other->changes[k].name, remedy->changes[k].name) == 0 &&
                   other->changes[k].tolerance == remedy->changes[k].tolerance;
        if (same && !isnan(remedy->changes[0].to_value))
            return other;
    }
    return NULL;
}

/* ---- In words ---- */

static void say_changes(Text *text, const Remedy *remedy, const Finding *finding)
{
    for (size_t i = 0; i < remedy->change_count; i++) {
        const RemedyChange *change = &remedy->changes[i];
        text_add(text, i > 0 ? " and " : "");
        short_name(text, change->name, finding);
        text_add(text, " ");
        add_visible(text, change->from[0] != '\0' ? change->from : "not written");
        text_add(text, " → ");
        add_visible(text, change->to);
        text_add(text, change->redraw ? ", redrawn" : "");
    }
}

/* ": pass; with 1.9 mm tight" */
static void say_aims(Text *text, const Remedy *remedy, const Remedy *other)
{
    text_addf(text, ": %s", remedy->aim == REMEDY_PASS ? "pass" : "tight");
    if (other == NULL)
        return;
    text_add(text, "; with ");
    for (size_t i = 0; i < other->change_count; i++) {
        text_add(text, i > 0 ? " and " : "");
        add_visible(text, other->changes[i].to);
    }
    text_addf(text, " %s", other->aim == REMEDY_PASS ? "pass" : "tight");
}

static void say_effects(Text *text, const Remedy *remedy)
{
    if (remedy->clear_count > 0)
        text_addf(text, "; clears %zu more", remedy->clear_count);
    if (remedy->raise_count > 0)
        text_addf(text, "; raises %zu", remedy->raise_count);
}

static void say_givers(Text *text, const Remedy *remedy)
{
    for (size_t i = 0; i < remedy->change_count; i++) {
        const RemedyChange *change = &remedy->changes[i];
        if (i == 0 || change->giver != remedy->changes[0].giver ||
            change->asks_line != remedy->changes[0].asks_line)
            text_addf(text, "; %s", giver_say(change->giver, change->asks_line));
    }
}

/* Where that asks the designer, also what the developer can do without. */
static void say_best(Text *text, const RemedyList *list, const Finding *finding)
{
    const Remedy *best = clearing_best(list), *alone = best_alone(list);
    if (best == NULL) {
        text_add(text, "no change of one value or of two does");
        return;
    }
    bool both = alone != NULL && asks_designer(best);
    say_changes(text, best, finding);
    say_aims(text, best, both ? NULL : for_other_aim(list, best));
    say_effects(text, best);
    say_givers(text, best);
    if (!both)
        return;
    text_add(text, "; or the developer alone: ");
    say_changes(text, alone, finding);
    say_aims(text, alone, NULL);
}

void clearing_say(Text *text, View *view, const Finding *finding, size_t *head)
{
    *head = 0;
    if (finding->verdict != VERDICT_FLAG && finding->verdict != VERDICT_TIGHT)
        return;
    const RemedyList *list = clearing_of(view, finding);
    text_add(text, "To clear (i):");
    *head = text->length;
    text_add(text, " ");
    if (list == NULL)
        text_add(text, "working out …");
    else
        say_best(text, list, finding);
}

/* Which findings are told at once. For the report. */
#include "report/runs.h"

#include <stdlib.h>
#include <string.h>

#include "report/told.h"

enum { PLACES_SHOWN = 8 };

/* A finding to be settled; its address in the judgement's array is its order. */
typedef struct Item {
    const Finding *finding, *cause_first;
    const Cause *cause;
    const char *sentence, *decision;
    uint32_t lanes;
} Item;

static int by_address(const void *a, const void *b)
{
    return (a > b) - (a < b);
}

static int compare_alike(const Item *a, const Item *b)
{
    const Finding *one = a->finding, *other = b->finding;
    if (a->cause != b->cause)
        return by_address(a->cause, b->cause);
    if (one->rule != other->rule)
        return by_address(one->rule, other->rule);
    int order = memcmp(one->lanes, other->lanes, a->lanes * sizeof *one->lanes);
    if (order == 0)
        order = strcmp(a->sentence, b->sentence);
    return order != 0 ? order : strcmp(a->decision, b->decision);
}

static int compare_items(const void *a, const void *b)
{
    const Item *one = a, *other = b;
    int order = compare_alike(one, other);
    return order != 0 ? order : by_address(one->finding, other->finding);
}

static int compare_runs(const void *a, const void *b)
{
    const Run *one = a, *other = b;
    int order = by_address(one->cause_first, other->cause_first);
    return order != 0 ? order : by_address(one->findings[0], other->findings[0]);
}

static const char *take_text(Arena *arena, Text *text)
{
    const char *copy = arena_copy(arena, text_string(text), text->length);
    text_free(text);
    return copy;
}

static size_t collect(Arena *arena, const Decisions *decisions, Item *items)
{
    const Judgement *judgement = decisions->judgement;
    size_t count = 0;
    for (size_t i = 0; i < judgement->count; i++) {
        const Finding *finding = &judgement->findings[i];
        if (!told_to_settle(finding))
            continue;
        const Decided *decided = decision_of(decisions, finding);
        Text sentence = {0}, decision = {0};
        finding_sentence(&sentence, judgement, finding, finding_worst_lane(judgement, finding));
        if (decided != NULL)
            decision_say(&decision, decided);
        items[count++] = (Item){.finding = finding,
                                .cause = finding_cause(judgement, finding),
                                .sentence = take_text(arena, &sentence),
                                .decision = take_text(arena, &decision),
                                .lanes = judgement->lane_count};
    }
    return count;
}

/* Items of one cause stand together: each learns the first finding of it. */
static size_t find_firsts(Item *items, size_t count)
{
    size_t causes = 0;
    for (size_t from = 0, to; from < count; from = to) {
        const Finding *first = items[from].finding;
        for (to = from; to < count && items[to].cause == items[from].cause; to++)
            if (by_address(items[to].finding, first) < 0)
                first = items[to].finding;
        for (size_t i = from; i < to; i++)
            items[i].cause_first = first;
        causes++;
    }
    return causes;
}

static void add_to_run(Runs *runs, const Item *item, bool fresh, const Finding **room)
{
    if (fresh)
        runs->items[runs->count++] = (Run){.findings = room,
                                           .cause = item->cause,
                                           .cause_first = item->cause_first,
                                           .sentence = item->sentence,
                                           .decision = item->decision};
    Run *run = &runs->items[runs->count - 1];
    run->findings[run->count++] = item->finding;
}

Runs *runs_new(const Decisions *decisions)
{
    Runs *runs = memory_new(1, sizeof *runs);
    size_t most = decisions->judgement->count;
    Item *items = memory_new(most, sizeof *items);
    size_t count = collect(&runs->arena, decisions, items);
    const Finding **found = ARENA_NEW(&runs->arena, const Finding *, count);
    qsort(items, count, sizeof *items, compare_items);
    runs->findings = count;
    runs->causes = find_firsts(items, count);
    runs->items = ARENA_NEW(&runs->arena, Run, count);
    for (size_t i = 0; i < count; i++)
        add_to_run(runs, &items[i], i == 0 || compare_alike(&items[i - 1], &items[i]) != 0,
                   &found[i]);
    qsort(runs->items, runs->count, sizeof *runs->items, compare_runs);
    free(items);
    return runs;
}

void runs_free(Runs *runs)
{
    if (runs == NULL)
        return;
    arena_free(&runs->arena);
    free(runs);
}

void run_places(Text *text, const Run *run)
{
    size_t shown = run->count <= PLACES_SHOWN ? run->count : PLACES_SHOWN - 1;
    for (size_t i = 0; i < shown; i++) {
        const char *place = run->findings[i]->place;
        text_add(text, i == 0 ? "" : i + 1 == run->count ? " and " : ", ");
        text_add_visible(text, place, strlen(place));
    }
    if (shown < run->count)
        text_addf(text, " and %zu more", run->count - shown);
}

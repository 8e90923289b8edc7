/* Ways to build a shoe as a table. For the commands and the screen. */
#include <stdlib.h>
#include <string.h>

#include "compare/ways.h"

/* Critical tight ones are open too, but a way that is only tight can be built. */
static const char *word_of(const Judgement *judgement)
{
    const size_t *tally = judgement->tally;
    if (tally[VERDICT_FLAG] > 0)
        return "cannot be built";
    if (tally[VERDICT_UNKNOWN] > 0)
        return "not known";
    if (tally[VERDICT_TIGHT] > 0)
        return "tight";
    return tally[VERDICT_PASS] > 0 ? "can be built" : "nothing judged";
}

static Verdict worst_of(const Judgement *judgement)
{
    static const Verdict heaviest_first[] = {VERDICT_FLAG, VERDICT_UNKNOWN, VERDICT_TIGHT};
    for (size_t i = 0; i < sizeof heaviest_first / sizeof heaviest_first[0]; i++)
        if (judgement->tally[heaviest_first[i]] > 0)
            return heaviest_first[i];
    return judgement->tally[VERDICT_PASS] > 0 ? VERDICT_PASS : VERDICT_OUT;
}

Ways *ways_new(const char *const *names, const Judgement *const *judgements, size_t way_count,
               size_t factory_count)
{
    Ways *ways = memory_new(1, sizeof *ways);
    ways->way_count = way_count;
    ways->factory_count = factory_count;
    ways->names = ARENA_NEW(&ways->arena, const char *, way_count);
    ways->factories = ARENA_NEW(&ways->arena, const char *, factory_count);
    ways->cells = ARENA_NEW(&ways->arena, WayCell, way_count * factory_count);
    for (size_t w = 0; w < way_count; w++)
        ways->names[w] = names[w];
    for (size_t f = 0; f < factory_count; f++)
        ways->factories[f] = judgements[f]->factory ? judgements[f]->factory->name : "no factory";
    for (size_t i = 0; i < way_count * factory_count; i++)
        ways->cells[i] = (WayCell){judgements[i], worst_of(judgements[i]), word_of(judgements[i])};
    return ways;
}

void ways_free(Ways *ways)
{
    if (!ways)
        return;
    arena_free(&ways->arena);
    free(ways);
}

const WayCell *way_cell(const Ways *ways, size_t way, size_t factory)
{
    return &ways->cells[way * ways->factory_count + factory];
}

static WayNumber *number_called(WayNumber *numbers, size_t count, const char *key)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(numbers[i].any->key, key) == 0)
            return &numbers[i];
    return NULL;
}

/* Behind the last number of its group, so that groups stay together. */
static WayNumber *number_new(Arena *arena, WayNumber *numbers, size_t *count, size_t way_count,
                             const PairNumber *number)
{
    size_t at = *count;
    while (at > 0 && strcmp(numbers[at - 1].any->group, number->group) != 0)
        at--;
    at = at > 0 ? at : *count;
    memmove(&numbers[at + 1], &numbers[at], (*count - at) * sizeof *numbers);
    numbers[at] = (WayNumber){ARENA_NEW(arena, const PairNumber *, way_count), number};
    ++*count;
    return &numbers[at];
}

size_t way_numbers(const Ways *ways, Arena *arena, WayNumber **numbers)
{
    PairNumbers *all = ARENA_NEW(arena, PairNumbers, ways->way_count);
    size_t most = 0, count = 0;
    for (size_t w = 0; w < ways->way_count; w++) {
        all[w] = pair_numbers(arena, way_cell(ways, w, 0)->judgement, 0);
        most += all[w].count;
    }
    *numbers = ARENA_NEW(arena, WayNumber, most);
    for (size_t w = 0; w < ways->way_count; w++)
        for (size_t i = 0; i < all[w].count; i++) {
            const PairNumber *number = &all[w].items[i];
            WayNumber *row = number_called(*numbers, count, number->key);
            if (!row)
                row = number_new(arena, *numbers, &count, ways->way_count, number);
            row->of[w] = number;
        }
    return count;
}

/* Findings in the order they are shown in: by verdict, and within one by class, place
 * and rule. For src/judge only. */
#include <stdlib.h>
#include <string.h>

#include "judge/inside.h"

static int compare_where(Where a, Where b)
{
    if (!a.file || !b.file)
        return (a.file == NULL) - (b.file == NULL);
    int files = a.file == b.file ? 0 : strcmp(a.file, b.file);
    return files ? files : a.line != b.line ? a.line - b.line : a.column - b.column;
}

/* Of the same verdict. */
static int compare_findings(const void *one, const void *two)
{
    const Finding *a = *(const Finding *const *)one, *b = *(const Finding *const *)two;
    int order = (int)a->rule->class - (int)b->rule->class;
    if (order == 0)
        order = compare_where(a->at, b->at);
    if (order == 0)
        order = (int)a->rule->about - (int)b->rule->about;
    if (order == 0)
        order = (a->record > b->record) - (a->record < b->record);
    return order ? order : strcmp(a->rule->id, b->rule->id);
}

static bool same_places(const Judgement *a, const Judgement *b)
{
    for (Subject subject = 0; subject < SUBJECT_COUNT; subject++)
        for (uint32_t i = 0; i < a->columns->count[subject]; i++)
            if (compare_where(a->columns->places[subject][i], b->columns->places[subject][i]) != 0)
                return false;
    return true;
}

/* Numbers of findings as they follow one another where verdicts are equal: that hangs on
 * places alone, which few edits move. */
static const uint32_t *order_of(Judgement *judgement, const Judgement *last)
{
    size_t count = judgement->count;
    uint32_t *order = ARENA_NEW(&judgement->arena, uint32_t, count);
    if (last && same_places(judgement, last)) {
        memcpy(order, last->order, count * sizeof *order);
        return order;
    }
    const Finding **sorted = memory_new(count + 1, sizeof(const Finding *));
    for (size_t i = 0; i < count; i++)
        sorted[i] = &judgement->findings[i];
    qsort(sorted, count, sizeof *sorted, compare_findings);
    for (size_t i = 0; i < count; i++)
        order[i] = sorted[i]->number;
    free(sorted);
    return order;
}

void findings_order(Judgement *judgement, const Judgement *last)
{
    static const Verdict order[] = {VERDICT_FLAG, VERDICT_UNKNOWN, VERDICT_TIGHT,
                                    VERDICT_PASS, VERDICT_OUT,     VERDICT_OFF};
    _Static_assert(sizeof order / sizeof *order == VERDICT_COUNT, "every verdict has its place");
    const Finding *unsorted = judgement->findings;
    size_t count = judgement->count, next[VERDICT_COUNT], from = 0;
    for (size_t i = 0; i < count; i++)
        judgement->tally[unsorted[i].verdict]++;
    for (size_t i = 0; i < VERDICT_COUNT; i++) {
        next[order[i]] = from;
        from += judgement->tally[order[i]];
    }
    judgement->order = order_of(judgement, last);
    judgement->findings = ARENA_NEW(&judgement->arena, Finding, count);
    judgement->numbered = ARENA_NEW(&judgement->arena, Finding *, count);
    for (size_t i = 0; i < count; i++) {
        const Finding *finding = &unsorted[judgement->order[i]];
        Finding *sorted = &judgement->findings[next[finding->verdict]++];
        *sorted = *finding;
        judgement->numbered[finding->number] = sorted;
    }
}

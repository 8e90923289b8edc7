/* Two judgements held against each other, finding by finding. For the screen,
 * reports and the command line. */
#include "compare/compare.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "judge/touched.h"

static const double spare_differs = 1e-6;

/* ---- Finding the same finding ---- */

typedef struct Index {
    const Finding **slots; /* by rule and place: open addressing, at most half full */
    size_t mask;
} Index;

static uint64_t hash_more(uint64_t hash, const char *text)
{
    for (; *text; text++)
        hash = (hash ^ (unsigned char)*text) * 1099511628211u; /* FNV-1a */
    return hash;
}

static const Finding **slot_of(const Index *index, const Finding *finding)
{
    uint64_t hash = hash_more(hash_more(14695981039346656037u, finding->rule->id), finding->place);
    size_t slot = (size_t)(hash ^ hash >> 32) & index->mask;
    for (const Finding *met; (met = index->slots[slot]); slot = (slot + 1) & index->mask)
        if (strcmp(met->place, finding->place) == 0 &&
            strcmp(met->rule->id, finding->rule->id) == 0)
            break;
    return &index->slots[slot];
}

static Index index_of(Arena *arena, const Judgement *judgement)
{
    Index index = {.mask = 15};
    while (index.mask < 2 * judgement->count)
        index.mask = 2 * index.mask + 1;
    index.slots = ARENA_NEW(arena, const Finding *, index.mask + 1);
    for (size_t i = 0; i < judgement->count; i++)
        *slot_of(&index, &judgement->findings[i]) = &judgement->findings[i];
    return index;
}

/* ---- What became of it ---- */

static Verdict verdict_in(const Finding *finding)
{
    return finding ? finding->verdict : VERDICT_OUT;
}

static bool is_open(Verdict verdict)
{
    return verdict == VERDICT_FLAG || verdict == VERDICT_UNKNOWN || verdict == VERDICT_TIGHT;
}

static size_t lanes_with(const Judgement *judgement, const Finding *finding, Verdict verdict)
{
    size_t count = 0;
    for (uint32_t lane = 0; lane < judgement->lane_count; lane++)
        count += finding->lanes[lane] == verdict;
    return count;
}

/* Above 0: after is worse. */
static int compare_lanes(const Comparison *c, const Finding *before, const Finding *after)
{
    static const Verdict heaviest_first[] = {VERDICT_FLAG, VERDICT_UNKNOWN, VERDICT_TIGHT};
    for (size_t i = 0; i < 3; i++) {
        size_t was = lanes_with(c->before, before, heaviest_first[i]);
        size_t is = lanes_with(c->after, after, heaviest_first[i]);
        if (was != is)
            return is > was ? 1 : -1;
    }
    return 0;
}

static int compare_spares(const Finding *before, const Finding *after)
{
    double was = before->relative, is = after->relative;
    if (isnan(was) || isnan(is) || was == is || !(fabs(was - is) > spare_differs))
        return 0;
    return is < was ? 1 : -1;
}

static bool may_differ(const Comparison *c, const Touched *touched, const Finding *after)
{
    return c->after->last == c->before ? !after->taken : finding_touched(touched, after);
}

/* The same verdict, open or a pass. */
static int compare_closely(const Comparison *c, const Touched *touched, const Finding *before,
                           const Finding *after)
{
    if (!may_differ(c, touched, after))
        return 0;
    int lanes = compare_lanes(c, before, after);
    return lanes ? lanes : compare_spares(before, after);
}

static bool is_compared_closely(Verdict was, Verdict is)
{
    return was == is && (is_open(is) || is == VERDICT_PASS);
}

/* False: no difference. An unknown is never better than what was known. */
static bool difference_of(const Comparison *c, const Touched *touched, const Finding *before,
                          const Finding *after, DifferenceKind *kind)
{
    Verdict was = verdict_in(before), is = verdict_in(after);
    int worse = 0;
    if (is == VERDICT_FLAG && was != VERDICT_FLAG) {
        *kind = DIFFERENCE_FLAGGED;
        return true;
    }
    if (is == VERDICT_UNKNOWN && was != VERDICT_UNKNOWN) {
        *kind = DIFFERENCE_UNKNOWN;
        return true;
    }
    if (is_open(was) && !is_open(is)) {
        *kind = DIFFERENCE_CLEARED;
        return true;
    }
    if (is_compared_closely(was, is))
        worse = compare_closely(c, touched, before, after);
    else if (is_open(is))
        worse = is_open(was) && was > is ? -1 : 1;
    *kind = worse > 0 ? DIFFERENCE_WORSE : DIFFERENCE_BETTER;
    return worse != 0;
}

/* ---- All of them ---- */

static void take(Comparison *c, const Touched *touched, const Finding *before, const Finding *after)
{
    DifferenceKind kind;
    if (!difference_of(c, touched, before, after, &kind))
        return;
    c->items[c->count++] = (Difference){kind, before, after};
    c->counts[kind]++;
}

/* Kinds together, the worst first; within one as they were met. */
static void sort_by_kind(Comparison *c)
{
    Difference *sorted = ARENA_NEW(&c->arena, Difference, c->count);
    size_t count = 0;
    for (DifferenceKind kind = 0; kind < DIFFERENCE_KIND_COUNT; kind++)
        for (size_t i = 0; i < c->count; i++)
            if (c->items[i].kind == kind)
                sorted[count++] = c->items[i];
    c->items = sorted;
}

static void take_all(Comparison *c, Arena *arena, const Touched *touched)
{
    const Judgement *before = c->before, *after = c->after;
    Index was = index_of(arena, before), is = index_of(arena, after);
    for (size_t i = 0; i < after->count; i++)
        take(c, touched, *slot_of(&was, &after->findings[i]), &after->findings[i]);
    for (size_t i = 0; i < before->count; i++)
        if (!*slot_of(&is, &before->findings[i]))
            take(c, touched, &before->findings[i], NULL);
}

Comparison *compare_judgements(const Judgement *before, const Judgement *after)
{
    Comparison *c = memory_new(1, sizeof *c);
    Arena scratch = {0};
    c->before = before;
    c->after = after;
    c->items = ARENA_NEW(&c->arena, Difference, before->count + after->count);
    Touched touched = {0};
    if (after->last != before) /* else what differs is known of every finding */
        touched = touched_find(&scratch, before, after);
    if (touched.all)
        take_all(c, &scratch, &touched);
    else /* the same rules and places: the same numbers */
        for (size_t i = 0; i < after->count; i++)
            take(c, &touched, before->numbered[after->findings[i].number], &after->findings[i]);
    arena_free(&scratch);
    sort_by_kind(c);
    return c;
}

void comparison_free(Comparison *comparison)
{
    if (!comparison)
        return;
    arena_free(&comparison->arena);
    free(comparison);
}

/* ---- Saying it ---- */

const char *difference_word(DifferenceKind kind)
{
    static const char *const words[DIFFERENCE_KIND_COUNT] = {
        [DIFFERENCE_FLAGGED] = "newly flagged", [DIFFERENCE_UNKNOWN] = "newly unknown",
        [DIFFERENCE_WORSE] = "worse",           [DIFFERENCE_BETTER] = "better",
        [DIFFERENCE_CLEARED] = "cleared",
    };
    return words[kind];
}

/* "pitch needed: 0.7 mm too much, was 1.8 mm too much": which number it is stands in both. */
static size_t shared_label(const char *is, const char *was)
{
    const char *colon = strstr(is, ": ");
    size_t length = colon ? (size_t)(colon + 2 - is) : 0;
    return strncmp(is, was, length) == 0 ? length : 0;
}

static void say_lanes(Text *text, const Judgement *judgement, const Finding *finding)
{
    text_addf(text, "%s ", verdict_name(finding->verdict));
    finding_lanes(text, judgement, finding);
}

/* What differs where the verdict does not. */
static void say_closely(Text *text, const Comparison *c, const Difference *d)
{
    bool lanes = compare_lanes(c, d->before, d->after) != 0;
    void (*say)(Text *, const Judgement *, const Finding *) = lanes ? say_lanes : finding_say_spare;
    Text was = {0}, is = {0};
    say(&was, c->before, d->before);
    say(&is, c->after, d->after);
    const char *before = text_string(&was), *after = text_string(&is);
    if (strcmp(before, after) == 0)
        text_addf(text, "still %s", verdict_name(d->after->verdict));
    else
        text_addf(text, "%s, was %s", after,
                  before + (lanes ? strlen(verdict_name(d->before->verdict)) + 1
                                  : shared_label(after, before)));
    text_free(&was);
    text_free(&is);
}

void difference_say(Text *text, const Comparison *comparison, const Difference *difference)
{
    const Finding *before = difference->before, *after = difference->after;
    const Finding *one = after ? after : before;
    text_addf(text, "%s: %s: %s (", difference_word(difference->kind), one->place,
              one->rule->title);
    if (!after)
        text_addf(text, "was %s, is there no more", verdict_name(before->verdict));
    else if (!before)
        text_addf(text, "%s, was not there", verdict_name(after->verdict));
    else if (before->verdict == after->verdict)
        say_closely(text, comparison, difference);
    else if (difference->kind == DIFFERENCE_FLAGGED || difference->kind == DIFFERENCE_UNKNOWN)
        text_addf(text, "was %s", verdict_name(before->verdict));
    else
        text_addf(text, "%s, was %s", verdict_name(after->verdict), verdict_name(before->verdict));
    text_add(text, ")");
}

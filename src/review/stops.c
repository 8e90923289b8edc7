/* The stops of a review in making order, and verdicts by size and by colourway.
 * For the screen. */
#include <string.h>

#include "review/review_inside.h"

typedef struct Stops {
    Built *built;
    Stop *items; /* one a seam in making order, then one a name as it is met */
    size_t count, capacity, seams;
    size_t *of_seam;                       /* by seam: its stop */
    const size_t **edge_stop, **part_stop; /* by record: NULL: in no seam */
} Stops;

/* ---- Seams ---- */

/* "lining" of order: [{lining: [lining-back]}]; NULL where the seam stands alone. */
static const char *group_of(const Style *style, const char *seam)
{
    const YamlNode *order = yaml_get(style->tree, "order");
    for (size_t i = 0; order && order->kind == YAML_SEQUENCE && i < order->count; i++) {
        const YamlNode *groups = order->items[i];
        for (size_t k = 0; groups->kind == YAML_MAPPING && k < groups->count; k++)
            for (size_t n = 0; n < groups->items[k]->count; n++)
                if (strcmp(groups->items[k]->items[n]->text, seam) == 0)
                    return groups->keys[k]->text;
    }
    return NULL;
}

static void claim(Stops *s, const size_t **slot, size_t seam)
{
    if (!*slot)
        *slot = &s->of_seam[seam];
}

static void add_seam(Stops *s, size_t index)
{
    const Style *style = s->built->style;
    const Seam *seam = &style->seams[index];
    const char *group = group_of(style, seam->record->path), *name = seam->record->path;
    if (group)
        name = arena_printf(&s->built->arena, "%s: %s", group, name);
    s->of_seam[index] = s->count;
    *ARENA_PUSH(&s->built->arena, s->items, s->count, s->capacity) = (Stop){.name = name};
    for (size_t i = 0; i < seam->side_count; i++) {
        const SeamSide *side = &seam->sides[i];
        if (side->bare)
            claim(s, &s->part_stop[side->bare->index], index);
        for (size_t k = 0; k < side->count; k++) {
            claim(s, &s->edge_stop[side->edges[k]->index], index);
            claim(s, &s->part_stop[side->edges[k]->owner->index], index);
        }
    }
}

/* In making order; seams that it does not name after those, as in the file. */
static void add_seams(Stops *s)
{
    const Style *style = s->built->style;
    Arena scratch = {0};
    bool *named = ARENA_NEW(&scratch, bool, style->seam_count);
    for (size_t i = 0; i < style->order_count; i++) {
        named[style->order[i]] = true;
        add_seam(s, style->order[i]);
    }
    for (size_t i = 0; i < style->seam_count; i++)
        if (!named[i])
            add_seam(s, i);
    arena_free(&scratch);
    s->seams = s->count;
}

/* ---- Where a finding belongs ---- */

static size_t stop_called(Stops *s, const char *name)
{
    size_t i = s->seams;
    while (i < s->count && strcmp(s->items[i].name, name) != 0)
        i++;
    if (i == s->count)
        *ARENA_PUSH(&s->built->arena, s->items, s->count, s->capacity) = (Stop){.name = name};
    return i;
}

/* The record of the style that a place is, or is of; NULL: it is none of the style's. */
static const Record *record_of(const Stops *s, const Finding *finding)
{
    const Columns *columns = s->built->judgement->columns;
    Subject about = finding->rule->about;
    const char *name = columns->names[about][finding->record];
    return about <= SUBJECT_SPOT && name ? record_find(&s->built->style->lists[about], name) : NULL;
}

/* Steps, which no file holds, are called after their row. */
static const Record *seam_called(const Stops *s, const char *name)
{
    Arena scratch = {0};
    const char *seam = arena_copy(&scratch, name, strcspn(name, "."));
    const Record *record = record_find(&s->built->style->lists[SUBJECT_SEAM], seam);
    arena_free(&scratch);
    return record;
}

static const size_t *stop_of_edge(const Stops *s, const Record *edge)
{
    const size_t *stop = s->edge_stop[edge->index];
    return stop ? stop : s->part_stop[edge->owner->index];
}

/* NULL: in no seam. */
static const size_t *stop_in_seams(const Stops *s, const Finding *finding)
{
    const Record *record = record_of(s, finding);
    switch (finding->rule->about) {
    case SUBJECT_SEAM:
    case SUBJECT_ROW:
    case SUBJECT_SPOT:
    case SUBJECT_STEP:
        record = seam_called(s, finding->place + strlen(subject_name(finding->rule->about)) + 1);
        return record ? &s->of_seam[record->index] : NULL;
    case SUBJECT_EDGE:
        return record ? stop_of_edge(s, record) : NULL;
    case SUBJECT_BEND:
        return record ? stop_of_edge(s, record->owner) : NULL;
    default:
        record = record_find(&s->built->style->lists[SUBJECT_PART], finding->part);
        return record ? s->part_stop[record->index] : NULL;
    }
}

static void fill(Stops *s)
{
    const Judgement *judgement = s->built->judgement;
    Arena scratch = {0};
    size_t *of = ARENA_NEW(&scratch, size_t, judgement->count);
    for (size_t i = 0; i < judgement->count; i++) {
        const size_t *stop = stop_in_seams(s, &judgement->findings[i]);
        of[i] = stop ? *stop : stop_called(s, judgement->findings[i].part);
        s->items[of[i]].count++;
    }
    for (size_t i = 0; i < s->count; i++) {
        s->items[i].findings = ARENA_NEW(&s->built->arena, const Finding *, s->items[i].count);
        s->items[i].count = 0;
    }
    for (size_t i = 0; i < judgement->count; i++) {
        Stop *stop = &s->items[of[i]];
        stop->findings[stop->count++] = &judgement->findings[i];
        stop->open += finding_is_open(&judgement->findings[i]);
    }
    arena_free(&scratch);
}

/* What is in no seam in the order of the file; what is of no part last. */
static void sort_names(Stops *s)
{
    const RecordList *parts = &s->built->style->lists[SUBJECT_PART];
    size_t next = s->seams;
    for (size_t p = 0; p < parts->count; p++)
        for (size_t i = next; i < s->count; i++)
            if (strcmp(s->items[i].name, parts->items[p]->path) == 0) {
                Stop stop = s->items[i];
                memmove(&s->items[next + 1], &s->items[next], (i - next) * sizeof stop);
                s->items[next++] = stop;
            }
}

void stops_build(Built *built)
{
    const Style *style = built->style;
    Arena scratch = {0};
    Stops s = {.built = built,
               .of_seam = ARENA_NEW(&scratch, size_t, style->seam_count),
               .edge_stop = ARENA_NEW(&scratch, const size_t *, style->lists[SUBJECT_EDGE].count),
               .part_stop = ARENA_NEW(&scratch, const size_t *, style->lists[SUBJECT_PART].count)};
    add_seams(&s);
    fill(&s);
    sort_names(&s);
    built->stops = s.items;
    for (size_t i = 0; i < s.count; i++)
        if (s.items[i].count > 0)
            built->stops[built->stop_count++] = s.items[i];
    arena_free(&scratch);
}

/* ---- By size, by colourway ---- */

typedef struct Strip {
    const char **names;
    Verdict *verdicts;
    size_t count;
} Strip;

static void add_lane(Strip *strip, size_t index, const char *name, Verdict verdict)
{
    strip->names[index] = name;
    strip->verdicts[index] = verdict > strip->verdicts[index] ? verdict : strip->verdicts[index];
    strip->count = index + 1 > strip->count ? index + 1 : strip->count;
}

static Strip strip_of(const Judgement *judgement, const Finding *finding, bool by_size,
                      Arena *arena)
{
    Strip strip = {ARENA_NEW(arena, const char *, judgement->lane_count),
                   ARENA_NEW(arena, Verdict, judgement->lane_count), 0};
    for (uint32_t i = 0; i < judgement->lane_count; i++) {
        const Lane *lane = &judgement->columns->lanes[i];
        if (by_size)
            add_lane(&strip, lane->size_index, lane->size, finding->lanes[i]);
        else
            add_lane(&strip, lane->colourway_index, lane->colourway, finding->lanes[i]);
    }
    return strip;
}

size_t review_by_size(const Review *review, const Finding *finding, Arena *arena,
                      const char ***names, Verdict **verdicts)
{
    Strip strip = strip_of(review->now->judgement, finding, true, arena);
    *names = strip.names;
    *verdicts = strip.verdicts;
    return strip.count;
}

size_t review_by_colourway(const Review *review, const Finding *finding, Arena *arena,
                           const char ***names, Verdict **verdicts)
{
    Strip strip = strip_of(review->now->judgement, finding, false, arena);
    *names = strip.names;
    *verdicts = strip.verdicts;
    return strip.count;
}

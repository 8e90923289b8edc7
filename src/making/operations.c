/* What is done to parts and edges before a seam, and to the seam afterwards: common
 * practice of the closing room, no published source. For src/making. */
#include <math.h>
#include <string.h>

#include "making/making_inside.h"

typedef struct Operations {
    Making *making;
    const char **items;
    size_t count, capacity;
} Operations;

static void add(Operations *list, const char *text)
{
    *ARENA_PUSH(list->making->arena, list->items, list->count, list->capacity) = text;
}

static const char *length_text(const Making *making, double value)
{
    Text text = {0};
    unit_write(&text, value, DIMENSION_LENGTH, false, NULL, false);
    const char *copy = arena_copy(making->arena, text_string(&text), text.length);
    text_free(&text);
    return copy;
}

/* ---- Before ---- */

static void add_skive(Operations *list, const Record *edge)
{
    Making *making = list->making;
    if (making_number(making, EDGE_SKIVED, edge) == 1)
        add(list, arena_printf(making->arena, "skive %s %s wide to %s", edge->path,
                               length_text(making, making_number(making, EDGE_SKIVE_WIDTH, edge)),
                               length_text(making, making_number(making, EDGE_SKIVE_LEFT, edge))));
}

static void add_backings(Operations *list, const Record *part)
{
    const Style *style = list->making->style;
    for (size_t i = 0; i < style->backing_count; i++)
        for (size_t k = 0; k < style->backings[i].backed_count; k++)
            if (style->backings[i].backed[k] == part)
                add(list, arena_printf(list->making->arena, "back %s with %s", part->path,
                                       style->backings[i].part->path));
}

static void add_tapes(Operations *list, const Record *edge)
{
    const RecordList *parts = &list->making->style->lists[SUBJECT_PART];
    for (size_t i = 0; i < parts->count; i++)
        if (record_value(parts->items[i], PART_ALONG)->record == edge)
            add(list, arena_printf(list->making->arena, "lay %s along %s", parts->items[i]->path,
                                   edge->path));
}

static void add_fold(Operations *list, const Record *edge)
{
    if (making_is(list->making, EDGE_FINISH, edge, "folded"))
        add(list, arena_printf(list->making->arena, "fold %s", edge->path));
}

static void add_holes(Operations *list, const Record *part)
{
    const RecordList *holes = &list->making->style->lists[SUBJECT_HOLE];
    for (size_t i = 0; i < holes->count; i++)
        if (record_value(holes->items[i], HOLE_PART)->record == part)
            add(list,
                arena_printf(list->making->arena, "mark and punch %s", holes->items[i]->path));
}

/* All that is done to a part before it is first sewn, skives before what lies on them. */
static void prepare(Operations *list, const Record *part)
{
    const RecordList *edges = &list->making->style->lists[SUBJECT_EDGE];
    if (list->making->done[part->index])
        return;
    list->making->done[part->index] = true;
    for (size_t i = 0; i < edges->count; i++)
        if (edges->items[i]->owner == part)
            add_skive(list, edges->items[i]);
    add_backings(list, part);
    for (size_t i = 0; i < edges->count; i++)
        if (edges->items[i]->owner == part) {
            add_tapes(list, edges->items[i]);
            add_fold(list, edges->items[i]);
        }
    add_holes(list, part);
}

void operations_before(Making *making, MakingStep *step)
{
    Operations list = {.making = making};
    for (size_t side = 0; side < step->seam->side_count; side++) {
        const SeamSide *edges = &step->seam->sides[side];
        if (edges->bare)
            prepare(&list, edges->bare);
        for (size_t i = 0; i < edges->count; i++)
            prepare(&list, edges->edges[i]->owner);
    }
    if (record_value(step->seam->record, SEAM_MACHINE)->presence == VALUE_KNOWN)
        add(&list, arena_printf(making->arena, "machine: %s",
                                record_value(step->seam->record, SEAM_MACHINE)->text));
    step->before = list.items;
    step->before_count = list.count;
}

/* ---- After ---- */

/* Trims to what is left, and clips or notches: nothing where nothing is trimmed. */
static void add_trim(Operations *list, const Record *edge)
{
    Making *making = list->making;
    double left = making_number(making, EDGE_LEFT, edge);
    double relief = making_number(making, EDGE_RELIEF, edge);
    if (left < making_number(making, EDGE_ALLOWANCE, edge))
        add(list,
            arena_printf(making->arena, "trim %s to %s", edge->path, length_text(making, left)));
    if (!isnan(relief) && !making_is(making, EDGE_RELIEF, edge, "none"))
        add(list, arena_printf(making->arena, "%s: %s", edge->path,
                               field_at(EDGE_RELIEF)->words->words[(int)relief]));
}

static void add_tied_off(Operations *list, const Seam *seam)
{
    Making *making = list->making;
    if (making_is(making, SEAM_JOIN, seam->record, "closed"))
        add(list, "rub the seam open");
    if (making_is(making, SEAM_JOIN, seam->record, "turned"))
        add(list, "turn, and press the edge");
    if (making_is(making, SEAM_JOIN, seam->record, "trimmed"))
        add(list, "trim the lining flush under the edge");
}

void operations_after(Making *making, MakingStep *step)
{
    Operations list = {.making = making};
    bool turned = making_is(making, SEAM_JOIN, step->seam->record, "turned");
    for (size_t side = 0; turned && side < step->seam->side_count; side++)
        for (size_t i = 0; i < step->seam->sides[side].count; i++)
            add_trim(&list, step->seam->sides[side].edges[i]);
    add_tied_off(&list, step->seam);
    step->after = list.items;
    step->after_count = list.count;
}

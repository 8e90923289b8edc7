/* Orders gone through seam by seam, the style's own and one proposed. For the
 * commands, the report and the screen. */
#include <math.h>
#include <string.h>

#include "making/making_inside.h"

double making_number(const Making *making, FieldId id, const Record *record)
{
    return columns_nominal(making->columns, id, record->index, making->lane);
}

bool making_is(const Making *making, FieldId id, const Record *record, const char *word)
{
    return making_number(making, id, record) == word_index(field_at(id)->words, word, strlen(word));
}

Making making_new(Arena *arena, const Judgement *judgement)
{
    const Style *style = judgement->style;
    return (Making){.arena = arena,
                    .judgement = judgement,
                    .style = style,
                    .columns = judgement->columns,
                    .lane = columns_base_lane(judgement->columns, 0),
                    .assembly = assembly_new(arena, style, judgement->columns),
                    .done = ARENA_NEW(arena, bool, style->lists[SUBJECT_PART].count)};
}

/* ---- Why it is sewn in the round ---- */

static const Record *first_part(const Seam *seam)
{
    for (size_t side = 0; side < seam->side_count; side++)
        if (seam->sides[side].bare || seam->sides[side].count > 0)
            return seam->sides[side].bare ? seam->sides[side].bare
                                          : seam->sides[side].edges[0]->owner;
    return NULL;
}

static bool shares_body(const Making *making, const Seam *seam, const Seam *earlier)
{
    const Record *closed = first_part(earlier);
    for (size_t side = 0; side < seam->side_count; side++) {
        const SeamSide *edges = &seam->sides[side];
        if (edges->bare && assembly_joined(making->assembly, edges->bare, closed))
            return true;
        for (size_t i = 0; i < edges->count; i++)
            if (assembly_joined(making->assembly, edges->edges[i]->owner, closed))
                return true;
    }
    return false;
}

static const char *why_round(Making *making, const MakingStep *step)
{
    for (size_t i = 0; i < making->order.count; i++) {
        const MakingStep *earlier = &making->order.steps[i];
        if (earlier->sewing.ring == TRI_YES && shares_body(making, step->seam, earlier->seam))
            return arena_printf(making->arena, "%s has closed a ring by then",
                                earlier->seam->record->path);
    }
    return "it closes a ring itself, and is not sewn face to face";
}

void making_step(Making *making, const Seam *seam)
{
    MakingStep step = {.seam = seam};
    operations_before(making, &step);
    step.sewing = assembly_sew(making->assembly, seam);
    const Value *said = record_value(seam->record, SEAM_SEWN);
    if (said->presence == VALUE_KNOWN)
        step.sewing.flat = making_is(making, SEAM_SEWN, seam->record, "flat") ? TRI_YES : TRI_NO;
    else if (said->presence == VALUE_UNKNOWN)
        step.sewing.flat = TRI_UNKNOWN;
    if (step.sewing.flat == TRI_NO)
        step.round = said->presence == VALUE_KNOWN ? "the style says so" : why_round(making, &step);
    operations_after(making, &step);
    making->order.flat += step.sewing.flat == TRI_YES;
    making->order.round += step.sewing.flat == TRI_NO;
    making->order.unknown += step.sewing.flat == TRI_UNKNOWN;
    *ARENA_PUSH(making->arena, making->order.steps, making->order.count, making->capacity) = step;
}

MakingOrder making_given(Arena *arena, const Judgement *judgement)
{
    Making making = making_new(arena, judgement);
    const Style *style = making.style;
    bool *named = ARENA_NEW(arena, bool, style->seam_count);
    for (size_t i = 0; i < style->order_count; i++) {
        making_step(&making, &style->seams[style->order[i]]);
        named[style->order[i]] = true;
    }
    for (size_t i = 0; i < style->seam_count && style->order_count == 0; i++) {
        making_step(&making, &style->seams[i]);
        named[i] = true;
    }
    making.order.left_out = ARENA_NEW(arena, const Seam *, style->seam_count);
    for (size_t i = 0; i < style->seam_count; i++)
        if (!named[i])
            making.order.left_out[making.order.left_out_count++] = &style->seams[i];
    return making.order;
}

/* How near an edge something lies that keeps it from stretching. For the files of
 * src/measure only. */
#include "measure/measuring.h"

/* Where nothing does. */
static const double NO_STAY_MM = 1000;

/* Tape and backings stay an edge; foam only pads it. */
static Tri part_stays(const Measuring *m, const Record *part)
{
    int32_t index = (int32_t)part->index;
    return tri_or(cell_is(m, PART_ROLE, index, "tape"),
                  cell_is(m, PART_ROLE, index, "reinforcement"));
}

/* Where the backing begins, inside the line; unknown if it may not be a stay. */
static Span backing_begins(const Measuring *m, const Backing *backing, const Record *edge)
{
    const Value *inset = inset_at(backing, edge);
    Tri stays = part_stays(m, backing->part);
    if (stays == TRI_NO)
        return span_exact(NO_STAY_MM);
    if (stays == TRI_UNKNOWN || (inset && inset->presence == VALUE_UNKNOWN))
        return span_exact(NAN);
    if (!inset || inset->presence == VALUE_ABSENT)
        return span_exact(0);
    return (Span){inset->quantity.nominal, inset->quantity.lo, inset->quantity.hi};
}

static Span tape_begins(const Measuring *m, const Record *part)
{
    Tri stays = part_stays(m, part);
    if (stays == TRI_UNKNOWN)
        return span_exact(NAN);
    return span_exact(stays == TRI_YES ? 0 : NO_STAY_MM);
}

static Span edge_stay(const Measuring *m, const Record *edge)
{
    const TapeList *tapes = &m->tapes[edge->index];
    const BackerList *backers = &m->backers[edge->owner->index];
    Span nearest = span_exact(m->backing_open || edge->placeholder ? NAN : NO_STAY_MM);
    for (size_t i = 0; i < tapes->count; i++)
        nearest = span_least(nearest, tape_begins(m, tapes->items[i]));
    for (size_t i = 0; i < backers->count; i++)
        nearest = span_least(nearest, backing_begins(m, backers->items[i], edge));
    return nearest;
}

void stays_fill(Measuring *m)
{
    const RecordList *edges = values_list(m, SUBJECT_EDGE);
    for (size_t i = 0; i < edges->count; i++) {
        const Record *edge = edges->items[i];
        cell_put(m, EDGE_STAY, edge->index, 0, edge_stay(m, edge));
        m->columns->fields[EDGE_STAY].origins[edge->index] =
            origin_derived(m, "tapes along it, and backings of its part", false);
    }
}

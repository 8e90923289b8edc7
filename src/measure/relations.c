/* The relations of the table: which record belongs to which. For the files of
 * src/measure only. */
#include <string.h>

#include "measure/measuring.h"

/* Pairs of a relation to many, in order, before they become a column. */
typedef struct Pairs {
    Measuring *m;
    uint32_t (*items)[2];
    size_t count, capacity;
    bool *unknown; /* one a record on the left */
} Pairs;

static void pair_add(Pairs *pairs, uint32_t from, uint32_t to)
{
    uint32_t(*pair)[2] =
        ARENA_PUSH(&pairs->m->scratch, pairs->items, pairs->count, pairs->capacity);
    (*pair)[0] = from;
    (*pair)[1] = to;
}

static void pairs_all(Pairs *pairs, uint32_t from, uint32_t count)
{
    for (uint32_t i = 0; i < count; i++)
        pair_add(pairs, from, i);
}

/* Children below their owner. A placeholder bend or row says that the set is not
 * known; an edge of which nothing is known is still an edge. */
static void pairs_owned(Pairs *pairs, Subject of)
{
    const RecordList *list = values_list(pairs->m, of);
    for (size_t i = 0; i < list->count; i++) {
        const Record *record = list->items[i];
        if (record->placeholder && of != SUBJECT_EDGE)
            pairs->unknown[record->owner->index] = true;
        else
            pair_add(pairs, record->owner->index, record->index);
    }
}

static void pairs_holes(Pairs *pairs)
{
    const RecordList *holes = values_list(pairs->m, SUBJECT_HOLE);
    for (size_t i = 0; i < holes->count; i++) {
        const Record *part = record_value(holes->items[i], HOLE_PART)->record;
        if (part)
            pair_add(pairs, part->index, (uint32_t)i);
    }
}

static void pairs_set(Pairs *pairs, uint32_t from, const PlySet *set)
{
    pairs->unknown[from] |= set->unknown;
    for (size_t i = 0; i < set->count; i++)
        pair_add(pairs, from, set->first + (uint32_t)i);
}

static void pairs_sets(Pairs *pairs, Subject from, const PlySet *sets)
{
    for (size_t i = 0; i < values_list(pairs->m, from)->count; i++)
        pairs_set(pairs, (uint32_t)i, &sets[i]);
}

static void pairs_seam_plies(Pairs *pairs)
{
    const Measuring *m = pairs->m;
    for (size_t i = 0; i < m->style->seam_count; i++) {
        const Seam *seam = &m->style->seams[i];
        uint32_t index = seam->record->index;
        pairs_set(pairs, index, &m->seam_plies[index]);
        for (size_t k = 0; k < seam->rows.count; k++)
            pairs_set(pairs, index, &m->row_plies[seam->rows.items[k]->index]);
    }
}

static void pairs_steps(Pairs *pairs)
{
    for (size_t i = 0; i < values_list(pairs->m, SUBJECT_ROW)->count; i++) {
        const StepSet *set = &pairs->m->row_steps[i];
        pairs->unknown[i] = set->unknown;
        for (size_t k = 0; k < set->count; k++)
            pair_add(pairs, (uint32_t)i, set->first + (uint32_t)k);
    }
}

static void edges_of_seam(Pairs *pairs, uint32_t from, const Seam *seam)
{
    pairs->unknown[from] |= seam->side_count == 0;
    for (size_t side = 0; side < seam->side_count; side++) {
        const SeamSide *edges = &seam->sides[side];
        pairs->unknown[from] |= edges->count == 0 && !edges->bare;
        for (size_t i = 0; i < edges->count; i++)
            pair_add(pairs, from, edges->edges[i]->index);
    }
}

/* The machine a seam names, if the factory has it; else every machine. */
static void machines_of_seam(Pairs *pairs, uint32_t from, const Seam *seam)
{
    const Factory *factory = pairs->m->factory;
    const Value *named = record_value(seam->record, SEAM_MACHINE);
    if (!factory || named->presence == VALUE_UNKNOWN) {
        pairs->unknown[from] = true;
    } else if (named->presence == VALUE_KNOWN) {
        const Record *machine = record_find(&factory->machines, named->text);
        if (machine)
            pair_add(pairs, from, machine->index);
        else
            pairs->unknown[from] = true;
    } else {
        pairs_all(pairs, from, (uint32_t)factory->machines.count);
    }
}

typedef void OfSeam(Pairs *pairs, uint32_t from, const Seam *seam);

/* What a seam has, for the seams themselves or for their rows or spots. */
static void pairs_of_seams(Pairs *pairs, Subject from, OfSeam *add)
{
    const Measuring *m = pairs->m;
    const RecordList *list = values_list(m, from);
    for (size_t i = 0; i < list->count; i++)
        add(pairs, (uint32_t)i,
            from == SUBJECT_SEAM ? &m->style->seams[i] : seam_of(m, list->items[i]));
}

/* Seams of edges or of parts; each once, as seams are walked in order. */
static void pairs_seams(Pairs *pairs, bool parts)
{
    const Measuring *m = pairs->m;
    size_t count = values_list(m, parts ? SUBJECT_PART : SUBJECT_EDGE)->count;
    int64_t *last = ARENA_NEW(&pairs->m->scratch, int64_t, count);
    for (size_t i = 0; i < count; i++) {
        last[i] = -1;
        pairs->unknown[i] = m->seams_open;
    }
    for (size_t s = 0; s < m->style->seam_count; s++)
        for (size_t side = 0; side < m->style->seams[s].side_count; side++) {
            const SeamSide *edges = &m->style->seams[s].sides[side];
            size_t members = edges->bare ? (parts ? 1 : 0) : edges->count;
            for (size_t i = 0; i < members; i++) {
                const Record *edge = edges->bare ? NULL : edges->edges[i];
                uint32_t from = !edge   ? edges->bare->index
                                : parts ? edge->owner->index
                                        : edge->index;
                if (last[from] != (int64_t)s)
                    pair_add(pairs, from, (uint32_t)s);
                last[from] = (int64_t)s;
            }
        }
}

static void pairs_plies(Pairs *pairs, Subject from)
{
    Measuring *m = pairs->m;
    if (from == SUBJECT_EDGE)
        pairs_sets(pairs, from, m->edge_plies);
    else if (from == SUBJECT_ROW)
        pairs_sets(pairs, from, m->row_plies);
    else if (from == SUBJECT_SPOT)
        pairs_sets(pairs, from, m->spot_plies);
    else
        pairs_seam_plies(pairs);
}

static void pairs_collect(Pairs *pairs, const Relation *relation)
{
    Subject from = relation->from, to = relation->to;
    if (from == SUBJECT_STYLE) {
        for (uint32_t i = 0; i < pairs->m->columns->count[SUBJECT_STYLE]; i++)
            pairs_all(pairs, i, pairs->m->columns->count[to]);
        return;
    }
    switch (to) {
    case SUBJECT_HOLE:
        pairs_holes(pairs);
        break;
    case SUBJECT_SEAM:
        pairs_seams(pairs, from == SUBJECT_PART);
        break;
    case SUBJECT_PLY:
        pairs_plies(pairs, from);
        break;
    case SUBJECT_STEP:
        pairs_steps(pairs);
        break;
    case SUBJECT_MACHINE:
        pairs_of_seams(pairs, from, machines_of_seam);
        break;
    case SUBJECT_EDGE:
        if (from != SUBJECT_PART) {
            pairs_of_seams(pairs, from, edges_of_seam);
            break;
        }
        pairs_owned(pairs, to);
        break;
    default: /* bends of edges, rows of seams */
        pairs_owned(pairs, to);
        break;
    }
}

/* Orders pairs by what they start from; sets that are not known stay empty. */
static void fill_many(Measuring *m, const Relation *relation)
{
    Columns *columns = m->columns;
    ManyColumn *many = &columns->manys[relation_index(relation)];
    uint32_t count = columns->count[relation->from];
    Pairs pairs = {.m = m, .unknown = many->unknown};
    pairs_collect(&pairs, relation);
    for (size_t i = 0; i < pairs.count; i++)
        if (!many->unknown[pairs.items[i][0]])
            many->start[pairs.items[i][0] + 1]++;
    for (uint32_t i = 0; i < count; i++)
        many->start[i + 1] += many->start[i];
    many->items = ARENA_NEW(&columns->arena, int32_t, many->start[count]);
    uint32_t *next = ARENA_NEW(&m->scratch, uint32_t, count);
    memcpy(next, many->start, count * sizeof *next);
    for (size_t i = 0; i < pairs.count; i++)
        if (!many->unknown[pairs.items[i][0]])
            many->items[next[pairs.items[i][0]]++] = (int32_t)pairs.items[i][1];
}

static int32_t index_of(const Record *record)
{
    return record ? (int32_t)record->index : -1;
}

/* The only one of its kind, or the owner (at any height) of that kind. */
static int32_t owner_of(const Measuring *m, const Record *record, Subject to)
{
    if (to == SUBJECT_STYLE || to == SUBJECT_LAST || to == SUBJECT_BOTTOM || to == SUBJECT_FACTORY)
        return m->columns->count[to] ? 0 : -1;
    while (record && record->subject != to)
        record = record->owner;
    return index_of(record);
}

/* Sizes do not change what a part is cut from: the lanes to work out. */
static uint32_t lanes_of(const Measuring *m, const OneColumn *one)
{
    uint32_t colourways = (uint32_t)m->style->colourway_count;
    return one->stride < colourways ? one->stride : colourways;
}

static void repeat_lanes(int32_t *index, uint32_t distinct, uint32_t stride)
{
    for (uint32_t lane = distinct; lane < stride; lane++)
        index[lane] = index[lane - distinct];
}

static int32_t one_of(const Measuring *m, const Record *record, Subject to, uint32_t lane)
{
    if (record->subject == SUBJECT_HOLE && to == SUBJECT_PART)
        return index_of(record_value(record, HOLE_PART)->record);
    if (record->subject == SUBJECT_HOLE && to == SUBJECT_EDGE)
        return index_of(record_value(record, HOLE_ALONG)->record);
    if (to == SUBJECT_MATERIAL)
        return part_material(m, record->subject == SUBJECT_PART ? record : record->owner, lane);
    return owner_of(m, record, to);
}

static void fill_one(Measuring *m, const Relation *relation)
{
    OneColumn *one = &m->columns->ones[relation_index(relation)];
    const RecordList *list = values_list(m, relation->from);
    uint32_t distinct = lanes_of(m, one);
    for (size_t i = 0; i < list->count; i++) {
        int32_t *index = &one->index[i * one->stride];
        for (uint32_t lane = 0; lane < distinct; lane++)
            index[lane] = one_of(m, list->items[i], relation->to, lane);
        repeat_lanes(index, distinct, one->stride);
    }
}

static void fill_plies_of(Measuring *m, OneColumn *one, Subject to, const PlySet *set)
{
    uint32_t distinct = lanes_of(m, one);
    for (size_t i = 0; i < set->count; i++) {
        const Record *part = set->items[i].part;
        int32_t *index = &one->index[(set->first + i) * one->stride];
        for (uint32_t lane = 0; lane < distinct; lane++)
            index[lane] = to == SUBJECT_MATERIAL ? part_material(m, part, lane) : index_of(part);
        repeat_lanes(index, distinct, one->stride);
    }
}

static void fill_from_plies(Measuring *m, const Relation *relation)
{
    OneColumn *one = &m->columns->ones[relation_index(relation)];
    const PlySet *const sets[] = {m->edge_plies, m->seam_plies, m->row_plies, m->spot_plies};
    const Subject owners[] = {SUBJECT_EDGE, SUBJECT_SEAM, SUBJECT_ROW, SUBJECT_SPOT};
    for (size_t k = 0; k < sizeof owners / sizeof owners[0]; k++)
        for (size_t i = 0; i < values_list(m, owners[k])->count; i++)
            fill_plies_of(m, one, relation->to, &sets[k][i]);
}

static void fill_from_steps(Measuring *m, const Relation *relation)
{
    OneColumn *one = &m->columns->ones[relation_index(relation)];
    for (size_t row = 0; row < values_list(m, SUBJECT_ROW)->count; row++)
        for (size_t i = 0; i < m->row_steps[row].count; i++)
            one->index[m->row_steps[row].first + i] = (int32_t)row;
}

void relations_fill(Measuring *m)
{
    size_t count;
    const Relation *table = relation_table(&count);
    for (size_t i = 0; i < count; i++) {
        if (table[i].many)
            fill_many(m, &table[i]);
        else if (table[i].from == SUBJECT_PLY)
            fill_from_plies(m, &table[i]);
        else if (table[i].from == SUBJECT_STEP)
            fill_from_steps(m, &table[i]);
        else
            fill_one(m, &table[i]);
    }
}

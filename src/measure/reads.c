/* What a walk reads of a part, as numbers: walks that read the same meet the same.
 * For the files of src/measure only.
 *
 * Whatever meet.c, walk.c and layer.c ask about a part must stand here. */
#include "measure/measuring.h"

static uint64_t index_of(const Record *record)
{
    return record ? record->index : UINT64_MAX;
}

static uint64_t number_of(Measuring *m, Key *key)
{
    return held_number_of(m->held, key->words, key->count);
}

/* ---- Where layers lie ---- */

static void add_insets(Key *key, const EdgeMet *met, size_t backers)
{
    for (size_t i = 0; i < backers; i++) {
        const Value *inset = met->insets[i];
        key_whole(key, inset ? 1 + (uint64_t)inset->presence : 0);
        key_number(key, inset ? inset->quantity.nominal : 0);
    }
}

uint64_t reads_edge(Measuring *m, const EdgeMet *met, const Record *edge)
{
    Arena arena = {0};
    Key key = key_new(&arena, KEY_MET);
    const TapeList *tapes = &m->tapes[edge->index];
    key_whole(&key, edge->index);
    key_number(&key, cell_nominal(m, EDGE_FINISH, edge));
    key_whole(&key, met->binds);
    key_whole(&key, met->steps);
    key_whole(&key, index_of(met->binding));
    key_number(&key, met->shows);
    key_whole(&key, met->cut);
    key_whole(&key, met->bound);
    key_number(&key, met->reach);
    key_number(&key, met->fold);
    key_number(&key, met->margin);
    key_whole(&key, met->level_count);
    for (size_t i = 0; i < met->level_count; i++)
        key_number(&key, met->levels[i]);
    key_whole(&key, tapes->count);
    for (size_t i = 0; i < tapes->count; i++) {
        key_whole(&key, tapes->items[i]->index);
        key_number(&key, cell_nominal(m, PART_WIDTH, tapes->items[i]));
    }
    add_insets(&key, met, m->backers[edge->owner->index].count);
    uint64_t number = number_of(m, &key);
    arena_free(&arena);
    return number;
}

uint64_t reads_part(Measuring *m, const Record *part)
{
    Arena arena = {0};
    Key key = key_new(&arena, KEY_PART);
    const BackerList *backers = &m->backers[part->index];
    key_whole(&key, part->index);
    for (size_t i = 0; i < backers->count; i++)
        key_whole(&key, backers->items[i]->part->index);
    uint64_t number = number_of(m, &key);
    arena_free(&arena);
    return number;
}

/* ---- How thick they are ---- */

/* In the lanes of the base's colourways, which are all that a walk asks about. */
static void add_cell(const Measuring *m, Key *key, FieldId id, int32_t record)
{
    uint32_t lanes = lanes_distinct(m, id);
    for (uint32_t lane = 0; lane < lanes; lane++) {
        Span span = cell_get(m, id, record, lane);
        key_number(key, span.nominal);
        key_number(key, span.lo);
        key_number(key, span.hi);
    }
    key_whole(key, cell_assumed(m, id, record));
}

/* What is drawn once has one source, wherever it is met: which is first to have it. */
static uint64_t first_with(const Measuring *m, const void *source)
{
    const Column *thicknesses = &m->columns->fields[MATERIAL_THICKNESS];
    const Column *left = &m->columns->fields[EDGE_SKIVE_LEFT];
    size_t materials = values_list(m, SUBJECT_MATERIAL)->count;
    size_t edges = values_list(m, SUBJECT_EDGE)->count;
    for (size_t i = 0; source && i < materials; i++)
        if (thicknesses->origins[i]->source == source)
            return i;
    for (size_t i = 0; source && i < edges; i++)
        if (left->origins[i]->source == source)
            return materials + i;
    return UINT64_MAX;
}

static void add_material(const Measuring *m, Key *key, const Record *part)
{
    key_whole(key, index_of(part));
    for (uint32_t c = 0; part && c < m->style->colourway_count; c++) {
        int32_t material = part_material(m, part, c);
        key_whole(key, (uint64_t)(int64_t)material);
        if (material < 0)
            continue;
        add_cell(m, key, MATERIAL_THICKNESS, material);
        add_cell(m, key, MATERIAL_COMPRESSES, material);
        key_whole(key, first_with(m, cell_origin(m, MATERIAL_THICKNESS, material)->source));
    }
}

uint64_t reads_edge_thickness(Measuring *m, const Record *edge)
{
    Arena arena = {0};
    Key key = key_new(&arena, KEY_THICK_EDGE);
    int32_t index = (int32_t)edge->index;
    const TapeList *tapes = &m->tapes[edge->index];
    key_whole(&key, edge->index);
    add_cell(m, &key, EDGE_ALLOWANCE, index);
    add_cell(m, &key, EDGE_LEFT, index);
    add_cell(m, &key, EDGE_SKIVED, index);
    add_cell(m, &key, EDGE_SKIVE_FORM, index);
    add_cell(m, &key, EDGE_SKIVE_WIDTH, index);
    add_cell(m, &key, EDGE_SKIVE_LEFT, index);
    key_whole(&key, first_with(m, cell_origin(m, EDGE_SKIVE_LEFT, index)->source));
    add_material(m, &key, record_value(edge, EDGE_BINDING_PART)->record);
    for (size_t i = 0; i < tapes->count; i++)
        add_material(m, &key, tapes->items[i]);
    uint64_t number = number_of(m, &key);
    arena_free(&arena);
    return number;
}

uint64_t reads_part_thickness(Measuring *m, const Record *part)
{
    Arena arena = {0};
    Key key = key_new(&arena, KEY_THICK);
    const BackerList *backers = &m->backers[part->index];
    add_material(m, &key, part);
    for (size_t i = 0; i < backers->count; i++)
        add_material(m, &key, backers->items[i]->part);
    uint64_t number = number_of(m, &key);
    arena_free(&arena);
    return number;
}

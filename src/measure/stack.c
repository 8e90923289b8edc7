/* Totals of the layers under the foot, and the climbs between typed spots. For
 * the files of src/measure only. */
#include "measure/measuring.h"

/* Every pair of spots is compared, layer by layer, and every such step with every
 * other; beyond this many on one seam the steps are unknown rather than left out. */
enum { STEP_SPOTS_MOST = 32, STEP_PLIES_MOST = 32 };

/* Every layer rises with its thickness and falls with what it gives, so the sum
 * of the least is the least of the sum even where layers share a hide. */
Span stack_of(const Measuring *m, const PlySet *set, uint32_t lane, bool *assumed)
{
    Span sum = span_exact(set->unknown ? NAN : 0);
    *assumed = false;
    for (size_t i = 0; i < set->count; i++) {
        Layer layer = layer_at(m, &set->items[i], lane);
        sum = span_add(sum, layer.pressed);
        *assumed |= layer.assumed;
    }
    return isnan(sum.nominal) ? span_exact(NAN) : sum;
}

/* One draw in the difference of two stacks: how often it is met more, and what
 * it comes to once. */
typedef struct Term {
    const void *key;
    Span times, once;
} Term;

typedef struct TermList {
    Term *items;
    size_t count;
} TermList;

static bool same_once(Span a, Span b)
{
    return (isnan(a.nominal) && isnan(b.nominal)) ||
           (a.nominal == b.nominal && a.lo == b.lo && a.hi == b.hi);
}

static void term_add(TermList *terms, const void *key, Span times, Span once)
{
    for (size_t i = 0; key && i < terms->count; i++)
        if (terms->items[i].key == key && same_once(terms->items[i].once, once)) {
            terms->items[i].times = span_add(terms->items[i].times, times);
            return;
        }
    terms->items[terms->count++] = (Term){key, times, once};
}

static void terms_of(const Measuring *m, const PlySet *set, uint32_t lane, double sign,
                     TermList *terms, bool *assumed)
{
    for (size_t i = 0; i < set->count; i++) {
        Layer layer = layer_at(m, &set->items[i], lane);
        Span times = span_multiply(layer.times, span_exact(sign));
        term_add(terms, layer.key, times, span_multiply(layer.thickness, layer.keep));
        if (layer.folded.nominal != 0)
            term_add(terms, layer.folded_key, times, span_multiply(layer.folded, layer.keep));
        *assumed |= layer.assumed;
    }
}

Span rise_between(const Measuring *m, const PlySet *a, const PlySet *b, uint32_t lane,
                  bool *assumed)
{
    Arena arena = {0};
    TermList terms = {ARENA_NEW(&arena, Term, 2 * (a->count + b->count)), 0};
    Span sum = span_exact(a->unknown || b->unknown ? NAN : 0);
    terms_of(m, a, lane, 1, &terms, assumed);
    terms_of(m, b, lane, -1, &terms, assumed);
    for (size_t i = 0; i < terms.count; i++) {
        Span times = terms.items[i].times;
        if (times.lo != 0 || times.hi != 0)
            sum = span_add(sum, span_multiply(times, terms.items[i].once));
    }
    arena_free(&arena);
    return isnan(sum.nominal) ? span_exact(NAN) : span_absolute(sum);
}

static bool all_at_least(Span a, Span b)
{
    return a.nominal >= b.nominal && a.lo >= b.lo && a.hi >= b.hi;
}

/* Does `big` rise at least as high over at most the same distance, in all lanes? */
static bool step_covers(const StepDraft *big, const StepDraft *small, uint32_t lanes)
{
    bool covers = all_at_least(small->apart, big->apart);
    for (uint32_t lane = 0; covers && lane < lanes; lane++)
        covers = all_at_least(big->rise[lane], small->rise[lane]);
    return covers;
}

/* Keeps the steps that matter; of two that cover each other the first. */
static void step_keep(Measuring *m, StepSet *set, StepDraft step)
{
    uint32_t lanes = m->columns->fields[STEP_RISE].stride;
    size_t kept = 0;
    for (size_t i = 0; i < set->count; i++)
        if (step_covers(&set->items[i], &step, lanes))
            return;
    for (size_t i = 0; i < set->count; i++)
        if (!step_covers(&step, &set->items[i], lanes))
            set->items[kept++] = set->items[i];
    set->count = kept;
    *ARENA_PUSH(&m->scratch, set->items, set->count, set->capacity) = step;
}

static StepDraft step_between(Measuring *m, const Seam *seam, const PlySet *spots, size_t a,
                              size_t b)
{
    uint32_t lanes = m->columns->fields[STEP_RISE].stride;
    Span at = cell_get(m, SPOT_AT, (int32_t)seam->spots[a].spot->index, 0);
    Span to = cell_get(m, SPOT_AT, (int32_t)seam->spots[b].spot->index, 0);
    StepDraft step = {.apart = span_absolute(span_subtract(at, to)),
                      .rise = ARENA_NEW(&m->scratch, Span, lanes),
                      .node = seam->spots[b].spot->node};
    uint32_t distinct = lanes_distinct(m, STEP_RISE);
    for (uint32_t lane = 0; lane < lanes; lane++)
        step.rise[lane] = lane < distinct
                              ? rise_between(m, &spots[a], &spots[b], lane, &step.assumed)
                              : step.rise[lane - distinct];
    return step;
}

StepSet stack_steps(Measuring *m, const Seam *seam, const PlySet *spots)
{
    StepSet set = {.unknown = seam->spot_count == 0 || seam->spot_count > STEP_SPOTS_MOST};
    for (size_t i = 0; i < seam->spot_count; i++)
        set.unknown |= spots[i].unknown || seam->spots[i].spot->placeholder ||
                       spots[i].count > STEP_PLIES_MOST;
    for (size_t b = 1; !set.unknown && b < seam->spot_count; b++)
        for (size_t a = 0; a < b; a++)
            step_keep(m, &set, step_between(m, seam, spots, a, b));
    return set;
}

uint32_t stack_number_steps(Measuring *m)
{
    uint32_t count = 0;
    for (size_t i = 0; i < values_list(m, SUBJECT_ROW)->count; i++) {
        m->row_steps[i].first = count;
        count += (uint32_t)m->row_steps[i].count;
    }
    return count;
}

static void fill_steps(Measuring *m, const Record *row)
{
    const StepSet *set = &m->row_steps[row->index];
    Columns *columns = m->columns;
    for (size_t i = 0; i < set->count; i++) {
        const StepDraft *step = &set->items[i];
        uint32_t index = set->first + (uint32_t)i;
        columns->names[SUBJECT_STEP][index] =
            arena_printf(&columns->arena, "%s step %zu", row->path, i + 1);
        if (step->node)
            columns->places[SUBJECT_STEP][index] = yaml_where(step->node);
        for (uint32_t lane = 0; lane < columns->fields[STEP_RISE].stride; lane++)
            cell_put(m, STEP_RISE, index, lane, step->rise[lane]);
        cell_put(m, STEP_APART, index, 0, step->apart);
        columns->fields[STEP_RISE].origins[index] =
            origin_derived(m, "difference of two typed spots", step->assumed);
        columns->fields[STEP_APART].origins[index] =
            origin_derived(m, "distance of two typed spots", false);
    }
}

static void fill_stack(Measuring *m, FieldId id, uint32_t index, const PlySet *sets, size_t count,
                       const char *note)
{
    Column *column = &m->columns->fields[id];
    bool any = false;
    for (uint32_t lane = 0; lane < lanes_distinct(m, id); lane++) {
        bool assumed;
        Span most = stack_of(m, &sets[0], lane, &assumed);
        any |= assumed;
        for (size_t i = 1; i < count; i++) {
            most = span_most(most, stack_of(m, &sets[i], lane, &assumed));
            any |= assumed;
        }
        cell_put(m, id, index, lane, most);
    }
    lanes_repeat(m, id, index);
    column->origins[index] = origin_derived(m, note, any);
}

/* In a size that could not be walked nothing is known; in one with fewer steps the
 * last stands again, which adds nothing. */
static void fill_walked_steps(Measuring *m, const Record *row, const RowWalk *walks)
{
    const StepSet *set = &m->row_steps[row->index];
    Columns *columns = m->columns;
    for (size_t i = 0; i < set->count; i++) {
        uint32_t index = set->first + (uint32_t)i;
        bool assumed = false;
        columns->names[SUBJECT_STEP][index] =
            arena_printf(&columns->arena, "%s step %zu", row->path, i + 1);
        columns->places[SUBJECT_STEP][index] = yaml_where(row->node);
        for (uint32_t lane = 0; lane < columns->fields[STEP_RISE].stride; lane++) {
            const RowWalk *walk = &walks[lane_size(m, lane)];
            size_t count = walk->steps.count;
            const StepDraft *step = count ? &walk->steps.items[i < count ? i : count - 1] : NULL;
            cell_put(m, STEP_RISE, index, lane,
                     step ? step->rise[m->lanes[lane].colourway] : span_exact(NAN));
            cell_put(m, STEP_APART, index, lane, step ? step->apart : span_exact(NAN));
            assumed |= step && step->assumed;
        }
        columns->fields[STEP_RISE].origins[index] =
            origin_derived(m, "difference of two stretches of the drawn row", assumed);
        columns->fields[STEP_APART].origins[index] =
            origin_derived(m, "distance of two stretches of the drawn row", true);
    }
}

static void fill_walked_row(Measuring *m, const Record *row, const RowWalk *walks)
{
    Column *column = &m->columns->fields[ROW_STACK];
    bool assumed = false;
    for (uint32_t lane = 0; lane < column->stride; lane++) {
        const RowWalk *walk = &walks[lane_size(m, lane)];
        assumed |= walk->assumed;
        cell_put(m, ROW_STACK, row->index, lane,
                 walk->stack ? walk->stack[m->lanes[lane].colourway] : span_exact(NAN));
    }
    const char *note = arena_printf(&m->columns->arena,
                                    "measured along the drawn row; highest %.1f mm from its start",
                                    walks[m->base_size].highest);
    column->origins[row->index] = origin_derived(m, note, assumed);
    fill_walked_steps(m, row, walks);
}

static void fill_row(Measuring *m, const Record *row)
{
    if (m->row_walks[row->index]) {
        fill_walked_row(m, row, m->row_walks[row->index]);
        return;
    }
    const PlySet *own = &m->row_plies[row->index], *spots = m->row_spots[row->index];
    size_t count = seam_of(m, row)->spot_count;
    if (spots && count && !own->unknown)
        fill_stack(m, ROW_STACK, row->index, spots, count, own->note);
    else
        fill_stack(m, ROW_STACK, row->index, own, 1, own->note);
    fill_steps(m, row);
}

void stacks_fill(Measuring *m)
{
    const RecordList *rows = values_list(m, SUBJECT_ROW), *spots = values_list(m, SUBJECT_SPOT);
    for (size_t i = 0; i < rows->count; i++)
        fill_row(m, rows->items[i]);
    for (size_t i = 0; i < spots->count; i++)
        fill_stack(m, SPOT_STACK, (uint32_t)i, &m->spot_plies[i], 1, m->spot_plies[i].note);
}

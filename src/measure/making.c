/* What rows meet in making order: stacks and steps along their drawn lines, in
 * every size. For the files of src/measure only. */
#include <string.h>

#include "measure/walk.h"

/* Parts beside the row are told about up to here; feet are narrower. */
static const double BESIDE_MOST_MM = 12;

/* ---- What comes of it ---- */

/* Every stretch is compared with every other, and every such step with those kept;
 * beyond this many the steps are unknown rather than left out. */
enum { STEP_STRETCHES_MOST = 1000, STEP_PAIRS_MOST = 500 };

static double span_rise_most(Span a, Span b)
{
    return fmax(fmax(a.hi - b.lo, b.hi - a.lo), 0);
}

typedef struct Pair {
    const PlySet *one, *other;
    const Span *stack, *other_stack; /* one a colourway */
    double apart;
} Pair;

/* Rises at least as high over at most the same distance, nominally and at the most: upper
 * bounds are taken as if layers that both share were not the same. */
static bool pair_covers(const Pair *big, const Pair *small, size_t colourways)
{
    const double hair = 1e-9; /* what rounding leaves is no step */
    bool covers = big->apart <= small->apart + hair;
    for (size_t c = 0; covers && c < colourways; c++)
        covers = fabs(big->stack[c].nominal - big->other_stack[c].nominal) >=
                     fabs(small->stack[c].nominal - small->other_stack[c].nominal) - hair &&
                 span_rise_most(big->stack[c], big->other_stack[c]) >=
                     span_rise_most(small->stack[c], small->other_stack[c]) - hair;
    return covers;
}

typedef struct PairList {
    Pair *items;
    size_t count, capacity;
} PairList;

static void keep_pair(const Walker *w, PairList *list, Pair pair)
{
    size_t colourways = w->walk.m->style->colourway_count, kept = 0;
    for (size_t i = 0; i < list->count; i++)
        if (pair_covers(&list->items[i], &pair, colourways))
            return;
    for (size_t i = 0; i < list->count; i++)
        if (!pair_covers(&pair, &list->items[i], colourways))
            list->items[kept++] = list->items[i];
    list->count = kept;
    *ARENA_PUSH(w->walk.arena, list->items, list->count, list->capacity) = pair;
}

/* The nearest ends of two stretches, and where a taper leads up to them or on from
 * them the further ones too. */
static void keep_pairs(const Walker *w, PairList *list, const Stretch *one, const Stretch *other,
                       const Span *const stacks[4])
{
    keep_pair(w, list,
              (Pair){&one->end, &other->begin, stacks[1], stacks[2], other->from - one->to});
    if (one->tapers)
        keep_pair(
            w, list,
            (Pair){&one->begin, &other->begin, stacks[0], stacks[2], other->from - one->from});
    if (other->tapers)
        keep_pair(w, list,
                  (Pair){&one->end, &other->end, stacks[1], stacks[3], other->to - one->to});
    if (one->tapers && other->tapers)
        keep_pair(w, list,
                  (Pair){&one->begin, &other->end, stacks[0], stacks[3], other->to - one->from});
}

static StepDraft step_of(const Walker *w, const Pair *pair)
{
    Measuring *m = w->walk.m;
    double off = m->house->line > 0 ? m->house->line : 0;
    StepDraft step = {.apart = {pair->apart, fmax(0, pair->apart - off), pair->apart + off},
                      .rise = ARENA_NEW(w->walk.arena, Span, m->style->colourway_count)};
    for (uint32_t c = 0; c < m->style->colourway_count; c++)
        step.rise[c] = rise_between(m, pair->one, pair->other, c, &step.assumed);
    return step;
}

/* The steps that matter between any two stretches, and within a taper. */
static StepSet steps_of(const Walker *w, Span **begins, Span **ends)
{
    StepSet set = {0};
    PairList pairs = {0};
    for (size_t j = 0;
         j < w->count && w->count <= STEP_STRETCHES_MOST && pairs.count <= STEP_PAIRS_MOST; j++) {
        const Stretch *to = &w->stretches[j];
        set.unknown |= to->begin.unknown || to->end.unknown;
        keep_pair(w, &pairs, (Pair){&to->begin, &to->end, begins[j], ends[j], to->to - to->from});
        for (size_t i = 0; i < j; i++)
            keep_pairs(w, &pairs, &w->stretches[i], to,
                       (const Span *[]){begins[i], ends[i], begins[j], ends[j]});
    }
    if (w->count > STEP_STRETCHES_MOST || pairs.count > STEP_PAIRS_MOST)
        return (StepSet){.unknown = true};
    for (size_t i = 0; i < pairs.count; i++)
        *ARENA_PUSH(w->walk.arena, set.items, set.count, set.capacity) =
            step_of(w, &pairs.items[i]);
    return set;
}

static Span *stacks_of(const Walker *w, const PlySet *set, bool *assumed)
{
    const Measuring *m = w->walk.m;
    Span *stacks = ARENA_NEW(w->walk.arena, Span, m->style->colourway_count);
    for (uint32_t c = 0; c < m->style->colourway_count; c++) {
        bool one;
        stacks[c] = stack_of(m, set, c, &one);
        *assumed |= one;
    }
    return stacks;
}

static void raise(Span *most, const Span *here, size_t colourways)
{
    for (size_t c = 0; c < colourways; c++)
        most[c] = span_most(most[c], here[c]);
}

static RowWalk result_of(const Walker *w)
{
    size_t colourways = w->walk.m->style->colourway_count;
    RowWalk result = {.stack = ARENA_NEW(w->walk.arena, Span, colourways)};
    Span **begins = ARENA_NEW(w->walk.arena, Span *, w->count);
    Span **ends = ARENA_NEW(w->walk.arena, Span *, w->count);
    double highest = -1;
    for (size_t i = 0; i < w->count; i++) {
        begins[i] = stacks_of(w, &w->stretches[i].begin, &result.assumed);
        ends[i] = stacks_of(w, &w->stretches[i].end, &result.assumed);
        raise(result.stack, begins[i], colourways);
        raise(result.stack, ends[i], colourways);
        double here = fmax(begins[i][0].nominal, ends[i][0].nominal);
        if (here > highest)
            result.highest = (w->stretches[i].from + w->stretches[i].to) / 2;
        highest = fmax(highest, here);
    }
    result.steps = steps_of(w, begins, ends);
    return result;
}

/* ---- The row's layers as records: those at its highest place first ---- */

static bool lists(const PlySet *set, const Draft *draft)
{
    for (size_t i = 0; i < set->count; i++)
        if (set->items[i].part == draft->part && set->items[i].fold_alone == draft->fold_alone)
            return true;
    return false;
}

static void list_layers(const Walker *w, PlySet *list, const PlySet *set)
{
    list->unknown |= set->unknown;
    for (size_t i = 0; i < set->count; i++)
        if (!lists(list, &set->items[i]))
            set_add(w->walk.m, list, set->items[i]);
}

static void list_beside(const Walker *w, PlySet *list)
{
    const Track *lead = &w->sides[w->lead];
    for (size_t i = 0; i < w->walk.lay->count; i++) {
        const LaidPart *part = &w->walk.lay->parts[i];
        Draft draft = {.part = part->part,
                       .row = w->walk.row,
                       .cut = CUT_NONE,
                       .layers = 1,
                       .gap = 2 * BESIDE_MOST_MM};
        if (!w->walk.joined[part->part->index] || lists(list, &draft))
            continue;
        for (size_t k = 0; k < lead->count; k++)
            if (part->sheet && part->sheet == lead->legs[k].part->sheet)
                draft.gap = once_gap(once_in(w->walk.m, w->walk.arena), &lead->legs[k].line,
                                     &part->outline, draft.gap);
        if (draft.gap > 0 && draft.gap <= BESIDE_MOST_MM)
            set_add(w->walk.m, list, draft);
    }
}

/* ---- A row as it is kept ---- */

typedef struct KeptRow {
    RowWalk walk;
    bool met, unknown; /* anything at all; somewhere nobody knows what */
    size_t high_count, count;
    const KeptDraft *high;   /* the layers at its highest place */
    const KeptDraft *drafts; /* each layer that it meets, in the order that it does */
} KeptRow;

static const KeptDraft *put_drafts(KeptDraft **at, const PlySet *set)
{
    KeptDraft *first = *at;
    for (size_t i = 0; i < set->count; i++)
        *(*at)++ = kept_draft(&set->items[i]);
    return first;
}

static const KeptRow *keep_row(const Walker *w, const KeyWord *key, size_t words,
                               const RowWalk *walk, const PlySet *high, const PlySet *all)
{
    size_t colourways = w->walk.m->style->colourway_count, steps = walk->steps.count;
    KeptRow *row =
        held_keep(w->walk.m->held, key, words,
                  sizeof *row + (high->count + all->count) * sizeof(KeptDraft) +
                      steps * sizeof(StepDraft) + (steps + 1) * colourways * sizeof(Span));
    KeptDraft *drafts = (KeptDraft *)(row + 1);
    row->walk = *walk;
    row->met = w->count > 0;
    row->unknown = all->unknown;
    row->high_count = high->count;
    row->count = all->count;
    row->high = put_drafts(&drafts, high);
    row->drafts = put_drafts(&drafts, all);
    StepDraft *own = row->walk.steps.items = (StepDraft *)drafts;
    Span *spans = row->walk.stack = (Span *)(own + steps);
    for (size_t c = 0; row->met && c < colourways; c++)
        *spans++ = walk->stack[c];
    for (size_t i = 0; i < steps; i++) {
        own[i] = walk->steps.items[i];
        own[i].rise = spans;
        for (size_t c = 0; c < colourways; c++)
            *spans++ = walk->steps.items[i].rise[c];
    }
    return row;
}

static void add_thickness(const Walker *w, Key *key, const Near *near)
{
    key_whole(key, w->walk.m->part_thickness[near->part->part->index]);
    for (size_t i = 0; i < near->edge_count; i++)
        key_whole(key, w->walk.met[near->edges[i]->edge->index].thickness);
}

static void add_row(const Walker *w, Key *key)
{
    const Measuring *m = w->walk.m;
    key_number(key, m->house->row);
    key_number(key, m->house->line);
    if (!w->walk.row)
        return;
    int32_t row = (int32_t)w->walk.row->index;
    key_whole(key, cell_assumed(m, ROW_FROM_EDGE, row));
    for (uint32_t lane = 0; lane < lanes_distinct(m, ROW_FROM_EDGE); lane++) {
        Span from_edge = cell_get(m, ROW_FROM_EDGE, row, lane);
        key_number(key, from_edge.nominal);
        key_number(key, from_edge.lo);
        key_number(key, from_edge.hi);
    }
}

/* All that thicknesses are worked out from, beside where the layers lie. */
static Key thickness_key(const Walker *w, KeyOf of)
{
    Key key = key_new(w->walk.arena, of);
    key_whole(&key, w->number);
    add_row(w, &key);
    for (size_t side = 0; side < w->walk.seam->side_count; side++)
        for (size_t i = 0; i < w->sides[side].count; i++)
            for (size_t k = 0; k < w->sides[side].legs[i].near_count; k++)
                add_thickness(w, &key, &w->sides[side].legs[i].near[k]);
    return key;
}

static uint64_t row_number(const Walker *w)
{
    Key key = thickness_key(w, KEY_ROW_MET);
    return held_number_of(w->walk.m->held, key.words, key.count);
}

/* The number of the row, by all parts and edges there are: then nobody needs to look which
 * of them it can meet. `world` and `stage` are numbers of those. */
static uint64_t row_number_once(Walker *w, uint64_t world, uint64_t stage, bool *looked)
{
    Held *held = w->walk.m->held;
    Key key = key_new(w->walk.arena, KEY_ROW_ASKED);
    key_whole(&key, world);
    key_whole(&key, stage);
    add_row(w, &key);
    walk_key(w, &key);
    const uint64_t *found = held_find(held, key.words, key.count);
    if (found)
        return *found;
    walk_look(w);
    *looked = true;
    uint64_t number = row_number(w);
    *(uint64_t *)held_keep(held, key.words, key.count, sizeof number) = number;
    return number;
}

static const KeptRow *walk_row(Walker *w, uint64_t world, uint64_t stage)
{
    bool looked = false;
    const KeyWord key[] = {{KEY_ROW}, {row_number_once(w, world, stage, &looked)}};
    const size_t words = sizeof key / sizeof key[0];
    const KeptRow *kept = held_find(w->walk.m->held, key, words);
    if (kept)
        return kept;
    PlySet high = {0}, all = {0};
    if (!looked)
        walk_look(w);
    RowWalk walk = {0};
    walk_go(w);
    if (w->count > 0)
        walk = result_of(w);
    for (size_t i = 0; i < w->count; i++) {
        if (w->stretches[i].from <= walk.highest && walk.highest <= w->stretches[i].to)
            list_layers(w, &high, &w->stretches[i].begin);
        list_layers(w, &all, &w->stretches[i].begin);
    }
    return keep_row(w, key, words, &walk, &high, &all);
}

static void list_kept(const Walker *w, PlySet *list, const KeptDraft *kept, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        Draft draft = kept_taken(w, &kept[i], 0);
        if (!lists(list, &draft))
            set_add(w->walk.m, list, draft);
    }
}

static void list_row(const Walker *w, const KeptRow *kept)
{
    PlySet *list = &w->walk.m->row_plies[w->walk.row->index];
    list->unknown |= kept->unknown;
    if (list->count == 0)
        list_kept(w, list, kept->high, kept->high_count);
    list_kept(w, list, kept->drafts, kept->count);
}

/* ---- All rows, in making order ---- */

struct Making {
    Measuring *m;
    uint32_t *leader; /* by part: of the group of parts that are joined */
    bool *joined, *made;
    EdgeMet *met;          /* by edge, as the rows of the seam in work meet it */
    uint64_t stage;        /* a number: the same while all parts and edges are met alike, and
                              are as thick */
    uint64_t *worlds;      /* by size: the same while all parts lie alike */
    bool *drawn_elsewhere; /* by part: lies where another part does */
    Tri *astray;           /* by sheet: may a joined part lie there without being drawn? */
    bool *astray_asked;    /* of those that are joined now */
};

static uint32_t group_of(const Making *making, uint32_t part)
{
    while (making->leader[part] != part)
        part = making->leader[part];
    return part;
}

static void join_parts(Making *making, const Record *one, const Record *other)
{
    making->leader[group_of(making, one->index)] = group_of(making, other->index);
}

static const Record *side_part(const SeamSide *side, size_t i)
{
    return side->bare ? side->bare : side->edges[i]->owner;
}

static void join_seam(Making *making, const Seam *seam)
{
    const Record *first = NULL;
    for (size_t side = 0; side < seam->side_count; side++)
        for (size_t i = 0; i < (seam->sides[side].bare ? 1 : seam->sides[side].count); i++) {
            const Record *part = side_part(&seam->sides[side], i);
            if (first)
                join_parts(making, part, first);
            first = part;
        }
    uint32_t group = first ? group_of(making, first->index) : 0;
    for (uint32_t i = 0; i < values_list(making->m, SUBJECT_PART)->count; i++)
        making->joined[i] = first && group_of(making, i) == group;
    memset(making->astray_asked, 0, making->m->style->sheet_count * sizeof(bool));
}

/* A part on another sheet; but the other half of one that is folded may lie here. */
static bool lies_elsewhere(const Measuring *m, const Record *part, const Sheet *sheet)
{
    const RecordList *edges = values_list(m, SUBJECT_EDGE);
    const Value *at = record_value(part, PART_SHEET);
    bool elsewhere = at->presence == VALUE_KNOWN && strcmp(at->text, sheet->name) != 0;
    for (size_t i = 0; elsewhere && i < edges->count; i++)
        if (edges->items[i]->owner == part)
            elsewhere = cell_is(m, EDGE_FINISH, (int32_t)i, "fold-line") == TRI_NO;
    return elsewhere;
}

static const Sheet *sheet_of(const Measuring *m, const Record *part)
{
    const LaidPart *laid = m->lays[m->base_size]->of_part[part->index];
    return laid ? laid->sheet : NULL;
}

/* May one of its edges be a fold line, beyond which it goes on elsewhere? */
static bool fold_open(const Measuring *m, const Record *part)
{
    const RecordList *edges = values_list(m, SUBJECT_EDGE);
    for (size_t i = 0; i < edges->count; i++)
        if (edges->items[i]->owner == part &&
            record_value(edges->items[i], EDGE_FINISH)->presence == VALUE_UNKNOWN)
            return true;
    return false;
}

/* May a joined part lie on the sheet of the row without being drawn there? */
static Tri part_astray(const Making *making, const Sheet *sheet)
{
    const Measuring *m = making->m;
    const RecordList *parts = values_list(m, SUBJECT_PART);
    Tri astray = TRI_NO;
    for (size_t i = 0; i < parts->count; i++) {
        if (!making->joined[i] || making->drawn_elsewhere[i] ||
            lies_elsewhere(m, parts->items[i], sheet))
            continue;
        Tri drawn = drawn_part(m, parts->items[i]);
        bool elsewhere = sheet_of(m, parts->items[i]) != sheet;
        if (elsewhere && (!sheet->along_known || fold_open(m, parts->items[i])))
            drawn = TRI_UNKNOWN;
        astray = tri_or(astray, drawn == TRI_UNKNOWN ? TRI_UNKNOWN : tri_not(drawn));
    }
    return astray;
}

static Tri sheet_astray(const Making *making, const Sheet *sheet)
{
    size_t index = (size_t)(sheet - making->m->style->sheets);
    if (!making->astray_asked[index])
        making->astray[index] = part_astray(making, sheet);
    making->astray_asked[index] = true;
    return making->astray[index];
}

/* Is all that can lie at the row drawn? What lies at a part on no sheet nobody
 * knows. */
static Tri walks_here(const Making *making, const Walker *w)
{
    Tri walks = TRI_YES;
    for (size_t side = 0; side < w->walk.seam->side_count; side++)
        for (size_t i = 0; i < w->sides[side].count; i++) {
            const Sheet *sheet = w->sides[side].legs[i].part->sheet;
            walks = tri_and(walks, sheet ? tri_not(sheet_astray(making, sheet)) : TRI_NO);
        }
    return walks;
}

static void keep_lines(const Walker *w, uint32_t size)
{
    Measuring *m = w->walk.m;
    RowLineList *list = &m->row_lines[size];
    for (size_t side = 0; side < w->walk.seam->side_count; side++)
        for (size_t i = 0; i < w->sides[side].count; i++) {
            const Leg *leg = &w->sides[side].legs[i];
            *ARENA_PUSH(&m->scratch, list->items, list->count, list->capacity) =
                (RowLine){w->walk.seam, w->walk.row, leg->part->sheet, leg->line};
        }
}

/* ---- Which rows can be walked ---- */

/* By what is drawn at all: NO where the row must be typed or assumed. */
static Tri seam_drawn(const Measuring *m, const Seam *seam)
{
    Tri drawn = seam->side_count ? TRI_YES : TRI_UNKNOWN;
    const Sheet *lead = NULL;
    for (size_t side = 0; side < seam->side_count; side++) {
        const SeamSide *edges = &seam->sides[side];
        if (edges->count == 0)
            drawn = tri_and(drawn, edges->bare ? drawn_part(m, edges->bare) : TRI_UNKNOWN);
        for (size_t i = 0; i < edges->count; i++) {
            drawn = tri_and(drawn, drawn_part(m, edges->edges[i]->owner));
            lead = lead ? lead : sheet_of(m, edges->edges[i]->owner);
        }
    }
    for (size_t side = 0; side < seam->side_count; side++) {
        const Record *bare = seam->sides[side].bare;
        const Sheet *sheet = bare ? sheet_of(m, bare) : NULL;
        if (drawn == TRI_YES && bare && sheet != lead)
            drawn = TRI_NO;
    }
    bool open = m->backing_open || m->seams_open || m->style->order_unknown;
    return drawn == TRI_YES && open ? TRI_UNKNOWN : drawn;
}

static Walk walk_of(const Making *making, uint32_t size, const Seam *seam, const Record *row,
                    Arena *arena)
{
    return (Walk){.m = making->m,
                  .lay = making->m->lays[size],
                  .seam = seam,
                  .row = row,
                  .arena = arena,
                  .joined = making->joined,
                  .met = making->met};
}

static Tri walk_size(const Making *making, const Seam *seam, const Record *row, uint32_t size,
                     RowWalk *result)
{
    Measuring *m = making->m;
    Arena arena = {0};
    Walker w = {.walk = walk_of(making, size, seam, row, &arena)};
    Tri walks = m->lays[size] && walk_find(&w) ? TRI_YES : TRI_UNKNOWN;
    if (walks == TRI_YES) {
        keep_lines(&w, size);
        walks = walks_here(making, &w);
    }
    if (walks == TRI_YES) {
        const KeptRow *kept = walk_row(&w, making->worlds[size], making->stage);
        walks = kept->met ? TRI_YES : TRI_UNKNOWN;
        if (kept->met) {
            *result = kept->walk;
            list_row(&w, kept);
        }
        if (kept->met && size == m->base_size)
            list_beside(&w, &m->row_plies[row->index]);
    }
    arena_free(&arena);
    return walks;
}

/* A row that lies on no drawing keeps what is typed or assumed; one that would if
 * all were known meets nobody knows what. */
static void walk_seam_row(const Making *making, const Seam *seam, const Record *row)
{
    Measuring *m = making->m;
    PlySet *plies = &m->row_plies[row->index], before = *plies;
    StepSet *steps = &m->row_steps[row->index];
    RowWalk *walks = ARENA_NEW(&m->scratch, RowWalk, m->size_count);
    Tri drawn = seam_drawn(m, seam);
    *plies = (PlySet){.note = "met along the drawn row"};
    bool found = drawn == TRI_YES;
    if (found)
        drawn = walk_size(making, seam, row, m->base_size, &walks[m->base_size]);
    for (uint32_t size = 0; found && size < m->size_count; size++)
        if (size != m->base_size)
            walk_size(making, seam, row, size, &walks[size]);
    if (drawn == TRI_NO) {
        *plies = before;
        return;
    }
    plies->unknown |= drawn == TRI_UNKNOWN;
    *steps = (StepSet){.unknown = plies->unknown};
    for (uint32_t size = 0; size < m->size_count; size++) {
        steps->unknown |= walks[size].steps.unknown;
        if (walks[size].steps.count > steps->count)
            steps->count = walks[size].steps.count;
    }
    m->row_walks[row->index] = walks;
}

/* Where no lay is, nobody asks. */
static uint64_t world_of(const Measuring *m, const Lay *lay)
{
    Arena arena = {0};
    Key key = key_new(&arena, KEY_WORLD);
    for (size_t i = 0; lay && i < lay->count; i++) {
        const LaidPart *part = &lay->parts[i];
        key_whole(&key, part->part->index);
        key_whole(&key, part->shape);
        key_whole(&key, part->other_half);
        key_whole(&key, part->sheet ? (uint64_t)(part->sheet - m->style->sheets) : KEPT_NONE);
    }
    uint64_t number = held_number_of(m->held, key.words, key.count);
    arena_free(&arena);
    return number;
}

static uint64_t stage_of(const Making *making)
{
    const Measuring *m = making->m;
    Arena arena = {0};
    Key key = key_new(&arena, KEY_STAGE);
    for (size_t i = 0; i < values_list(m, SUBJECT_PART)->count; i++) {
        key_whole(&key, making->joined[i]);
        key_whole(&key, m->part_reads[i]);
        key_whole(&key, m->part_thickness[i]);
    }
    for (size_t i = 0; i < values_list(m, SUBJECT_EDGE)->count; i++) {
        key_whole(&key, making->met[i].layers);
        key_whole(&key, making->met[i].thickness);
        key_number(&key, making->met[i].most);
    }
    uint64_t number = held_number_of(m->held, key.words, key.count);
    arena_free(&arena);
    return number;
}

static void make_seam(Making *making, const Seam *seam)
{
    join_seam(making, seam);
    making->stage = stage_of(making);
    for (size_t i = 0; i < seam->rows.count; i++)
        if (!seam->rows.items[i]->placeholder)
            walk_seam_row(making, seam, seam->rows.items[i]);
    making->made[seam->record->index] = true;
    meet_seam(making->m, making->made, seam, making->met);
}

/* What backs a part or lies along an edge goes with it from the start. */
static void join_backers(Making *making)
{
    const Style *style = making->m->style;
    const RecordList *parts = values_list(making->m, SUBJECT_PART);
    for (size_t i = 0; i < style->backing_count; i++) {
        making->drawn_elsewhere[style->backings[i].part->index] = true;
        for (size_t k = 0; k < style->backings[i].backed_count; k++)
            if (style->backings[i].backed_count == 1)
                join_parts(making, style->backings[i].part, style->backings[i].backed[k]);
    }
    for (size_t i = 0; i < parts->count; i++) {
        const Record *along = record_value(parts->items[i], PART_ALONG)->record;
        if (along)
            making->drawn_elsewhere[i] = true;
        if (cell_is(making->m, PART_ROLE, (int32_t)i, "binding") == TRI_YES)
            making->drawn_elsewhere[i] = true;
    }
}

static Making making_new(Measuring *m)
{
    size_t parts = values_list(m, SUBJECT_PART)->count;
    Making making = {.m = m,
                     .leader = ARENA_NEW(&m->scratch, uint32_t, parts),
                     .joined = ARENA_NEW(&m->scratch, bool, parts),
                     .made = ARENA_NEW(&m->scratch, bool, m->style->seam_count),
                     .drawn_elsewhere = ARENA_NEW(&m->scratch, bool, parts),
                     .astray = ARENA_NEW(&m->scratch, Tri, m->style->sheet_count),
                     .astray_asked = ARENA_NEW(&m->scratch, bool, m->style->sheet_count)};
    for (uint32_t i = 0; i < parts; i++)
        making.leader[i] = i;
    join_backers(&making);
    return making;
}

static void read_parts(Measuring *m)
{
    const RecordList *parts = values_list(m, SUBJECT_PART);
    m->part_reads = ARENA_NEW(&m->scratch, uint64_t, parts->count);
    m->part_thickness = ARENA_NEW(&m->scratch, uint64_t, parts->count);
    for (size_t i = 0; i < parts->count; i++) {
        m->part_reads[i] = reads_part(m, parts->items[i]);
        m->part_thickness[i] = reads_part_thickness(m, parts->items[i]);
    }
}

void making_measure(Measuring *m)
{
    const Style *style = m->style;
    m->row_walks = ARENA_NEW(&m->scratch, RowWalk *, values_list(m, SUBJECT_ROW)->count);
    if (!drawn_any(m) || !m->lays[m->base_size])
        return;
    Making making = making_new(m);
    making.met = meet_edges(m, making.made);
    read_parts(m);
    making.worlds = ARENA_NEW(&m->scratch, uint64_t, m->size_count);
    for (uint32_t size = 0; size < m->size_count; size++)
        making.worlds[size] = world_of(m, m->lays[size]);
    for (size_t i = 0; i < style->order_count; i++)
        make_seam(&making, &style->seams[style->order[i]]);
    for (size_t i = 0; i < style->seam_count; i++)
        if (!making.made[style->seams[i].record->index])
            make_seam(&making, &style->seams[i]);
}

/* ---- One row again, for its picture ---- */

static double layer_place(const Measuring *m, const Record *part)
{
    double layer = part ? cell_get(m, PART_LAYER, (int32_t)part->index, 0).nominal : NAN;
    return isnan(layer) ? INFINITY : layer;
}

/* Next to the foot first; in the same layer as they were met. */
static void add_layer(const Measuring *m, MetLayer *layers, size_t *count, MetLayer layer)
{
    size_t i = (*count)++;
    while (i > 0 && layer_place(m, layers[i - 1].part) > layer_place(m, layer.part)) {
        layers[i] = layers[i - 1];
        i--;
    }
    layers[i] = layer;
}

static MetStretch met_stretch(const Measuring *m, Arena *arena, const Stretch *stretch,
                              uint32_t lane)
{
    const PlySet *set = &stretch->begin;
    MetLayer *layers = ARENA_NEW(arena, MetLayer, set->count);
    MetStretch met = {.from = stretch->from, .to = stretch->to, .layers = layers};
    bool assumed;
    for (size_t i = 0; i < set->count; i++) {
        Layer layer = layer_at(m, &set->items[i], lane);
        add_layer(m, layers, &met.count,
                  (MetLayer){set->items[i].part, layer.times.nominal, layer.thickness.nominal,
                             layer.folded.nominal, layer.pressed.nominal});
    }
    met.stack_from = stack_of(m, &stretch->begin, lane, &assumed).nominal;
    met.stack_to = stack_of(m, &stretch->end, lane, &assumed).nominal;
    return met;
}

/* All that is made before the seam, without walking its rows. */
static Making making_until(Measuring *m, const Seam *seam)
{
    const Style *style = m->style;
    Making making = making_new(m);
    bool *named = ARENA_NEW(&m->scratch, bool, style->seam_count);
    for (size_t i = 0; i < style->order_count; i++)
        named[style->order[i]] = true;
    for (size_t i = 0; i < style->order_count + style->seam_count; i++) {
        size_t next = i < style->order_count ? style->order[i] : i - style->order_count;
        if (i >= style->order_count && named[next])
            continue;
        join_seam(&making, &style->seams[next]);
        if (&style->seams[next] == seam)
            break;
        making.made[next] = true;
    }
    return making;
}

bool measured_profile(Measured *m, Arena *arena, const Record *row, uint32_t size,
                      uint32_t colourway, RowProfile *profile)
{
    const Seam *seam = seam_of(m, row);
    if (!m->row_walks[row->index] || m->row_plies[row->index].unknown || !m->lays[size])
        return false;
    Making making = making_until(m, seam);
    making.met = meet_edges(m, making.made);
    Walker w = {.walk = walk_of(&making, size, seam, row, arena)};
    if (!walk_find(&w) || walks_here(&making, &w) != TRI_YES)
        return false;
    walk_look(&w);
    walk_go(&w);
    *profile = (RowProfile){ARENA_NEW(arena, MetStretch, w.count), w.count, w.sides[w.lead].length};
    for (size_t i = 0; i < w.count; i++)
        profile->stretches[i] = met_stretch(m, arena, &w.stretches[i], colourway);
    return w.count > 0;
}

/* ---- Along an edge once all is sewn ---- */

/* The line itself belongs to nobody: what lies just inside it is met. */
static const double JUST_INSIDE_MM = 0.2;

static Span layer_thickness(const Measuring *m, const Draft *draft, uint32_t lane, bool *assumed)
{
    Layer layer = layer_at(m, draft, lane);
    *assumed |= layer.assumed;
    return span_multiply(span_add(layer.thickness, layer.folded), layer.times);
}

static void raise_by_set(const Measuring *m, Span *most, const PlySet *set, bool *assumed)
{
    for (uint32_t c = 0; c < m->style->colourway_count; c++) {
        Span sum = span_exact(set->unknown ? NAN : 0);
        for (size_t i = 0; i < set->count; i++)
            sum = span_add(sum, layer_thickness(m, &set->items[i], c, assumed));
        most[c] = span_most(most[c], sum);
    }
}

/* All is joined and made. */
static const Making *making_done(Measuring *m)
{
    if (!m->done) {
        Making making = making_new(m);
        memset(making.joined, true, values_list(m, SUBJECT_PART)->count);
        memset(making.made, true, m->style->seam_count);
        making.met = meet_edges(m, making.made);
        m->done = ARENA_NEW(&m->scratch, Making, 1);
        *m->done = making;
    }
    return m->done;
}

typedef struct KeptEdge {
    bool known, assumed;
    Span most[]; /* one a colourway */
} KeptEdge;

static const KeptEdge *walk_edge(Walker *w)
{
    Measuring *m = w->walk.m;
    size_t colourways = m->style->colourway_count;
    Key key = thickness_key(w, KEY_EDGE);
    const KeptEdge *found = held_find(m->held, key.words, key.count);
    if (found)
        return found;
    walk_go(w);
    KeptEdge *kept =
        held_keep(m->held, key.words, key.count, sizeof *kept + colourways * sizeof(Span));
    kept->known = w->count > 0;
    for (size_t i = 0; i < w->count; i++) {
        raise_by_set(m, kept->most, &w->stretches[i].begin, &kept->assumed);
        raise_by_set(m, kept->most, &w->stretches[i].end, &kept->assumed);
    }
    return kept;
}

const Span *making_edge(Measuring *m, const Record *edge, bool *assumed)
{
    Record *only[1] = {(Record *)edge};
    SeamSide side = {.edges = only, .count = 1};
    Seam seam = {.sides = &side, .side_count = 1};
    const Making *making = making_done(m);
    const KeptEdge *kept = NULL;
    Arena arena = {0};
    Walker w = {.walk = walk_of(making, m->base_size, &seam, NULL, &arena)};
    if (walk_find_edge(&w, edge, JUST_INSIDE_MM) && walks_here(making, &w) == TRI_YES) {
        walk_look(&w);
        kept = walk_edge(&w);
        *assumed |= kept->assumed;
    }
    arena_free(&arena);
    return kept && kept->known ? kept->most : NULL;
}

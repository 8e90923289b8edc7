/* Which layers lie at a row, at a spot and along an edge. Without typed spots
 * they are assumed from the seam's edges: the parts, what backs them, tape along
 * them, bindings. For the files of src/measure only. */
#include <string.h>

#include "measure/measuring.h"

void set_add(Measuring *m, PlySet *set, Draft draft)
{
    *ARENA_PUSH(&m->scratch, set->items, set->count, set->capacity) = draft;
}

bool has_binding(const PlySet *set, const Draft *draft)
{
    for (size_t i = 0; i < set->count; i++)
        if (draft->binding && set->items[i].binding && set->items[i].part == draft->part)
            return true;
    return false;
}

static void set_join(Measuring *m, PlySet *set, const PlySet *more)
{
    set->unknown |= more->unknown;
    for (size_t i = 0; i < more->count; i++)
        if (!has_binding(set, &more->items[i]))
            set_add(m, set, more->items[i]);
}

static Tri edge_underlay(const Measuring *m, const Record *edge)
{
    const JointList *joints = &m->joints[edge->index];
    Tri under = m->seams_open ? TRI_UNKNOWN : TRI_NO;
    for (size_t i = 0; i < joints->count; i++)
        under = tri_or(under, seam_underlay(m, joints->items[i].seam, joints->items[i].side));
    return under;
}

/* The cut by the edge's own finish. */
static Cut cut_by_finish(const Measuring *m, const Record *edge, Tri underlay)
{
    int32_t index = (int32_t)edge->index;
    if (isnan(cell_get(m, EDGE_FINISH, index, 0).nominal))
        return CUT_UNKNOWN;
    if (cell_is(m, EDGE_FINISH, index, "folded") == TRI_YES ||
        cell_is(m, EDGE_FINISH, index, "turned") == TRI_YES)
        return CUT_FOLDED;
    if (cell_is(m, EDGE_FINISH, index, "lasted") == TRI_YES)
        return CUT_OUTSIDE;
    if (cell_is(m, EDGE_FINISH, index, "fold-line") == TRI_YES)
        return CUT_NONE;
    if (underlay == TRI_UNKNOWN)
        return CUT_UNKNOWN;
    return underlay == TRI_YES ? CUT_BEYOND : CUT_AT_LINE;
}

Cut cut_of(const Measuring *m, const Seam *seam, size_t side, const Record *row, const Record *edge)
{
    if (!seam)
        return cut_by_finish(m, edge, edge_underlay(m, edge));
    Tri closed = seam_is(m, seam, "closed"), turned = seam_is(m, seam, "turned");
    if (closed == TRI_UNKNOWN)
        return CUT_UNKNOWN;
    if (closed == TRI_YES)
        return CUT_AT_LINE;
    if (turned == TRI_YES && row) {
        Tri joins = cell_is(m, ROW_DOES, (int32_t)row->index, "seam");
        return joins == TRI_YES ? CUT_AT_LINE : joins == TRI_NO ? CUT_FOLDED : CUT_UNKNOWN;
    }
    if (turned == TRI_YES)
        return CUT_FOLDED;
    return cut_by_finish(m, edge, seam_underlay(m, seam, side));
}

/* How far inside the finished line the row runs; a closed or turning row runs on
 * the line, one through an underlay outside of it. */
static double row_inside(const Measuring *m, const Seam *seam, const Draft *own)
{
    if (!own->row)
        return 0;
    if (own->cut == CUT_UNKNOWN)
        return NAN;
    if (own->cut == CUT_BEYOND)
        return -INFINITY;
    bool on_line = own->cut == CUT_AT_LINE &&
                   (seam_is(m, seam, "closed") == TRI_YES || seam_is(m, seam, "turned") == TRI_YES);
    return on_line ? 0 : cell_get(m, ROW_FROM_EDGE, (int32_t)own->row->index, 0).nominal;
}

const Value *inset_at(const Backing *backing, const Record *edge)
{
    const Value *general = NULL;
    for (size_t i = 0; i < backing->inset_count; i++) {
        const Inset *inset = &backing->insets[i];
        if (!inset->edge)
            general = &inset->amount;
        else if (strcmp(inset->edge, edge->id) == 0)
            return &inset->amount;
    }
    return general;
}

/* Does the backing reach a place so far inside the line of the edge? */
static Tri backing_reaches(const Backing *backing, const Record *edge, double inside)
{
    const Value *inset = inset_at(backing, edge);
    if (!inset || inset->presence == VALUE_ABSENT)
        return TRI_YES;
    if (inset->presence == VALUE_UNKNOWN || isnan(inside))
        return TRI_UNKNOWN;
    return inset->quantity.nominal < inside ? TRI_YES : TRI_NO;
}

static void add_backers(Measuring *m, PlySet *set, const Draft *own, double inside)
{
    const BackerList *backers = &m->backers[own->part->index];
    for (size_t i = 0; i < backers->count; i++) {
        const Backing *backing = backers->items[i];
        Tri reaches = own->edge ? backing_reaches(backing, own->edge, inside) : TRI_YES;
        set->unknown |= reaches == TRI_UNKNOWN;
        if (reaches == TRI_YES)
            set_add(m, set,
                    (Draft){.part = backing->part,
                            .row = own->row,
                            .cut = CUT_NONE,
                            .layers = 1,
                            .stops_short = !own->row});
    }
}

static void add_tapes(Measuring *m, PlySet *set, const Draft *own, double inside)
{
    const TapeList *tapes = &m->tapes[own->edge->index];
    for (size_t i = 0; i < tapes->count; i++) {
        const Record *tape = tapes->items[i];
        double width = cell_get(m, PART_WIDTH, (int32_t)tape->index, 0).nominal;
        bool reaches = inside <= 0 || width > inside;
        set->unknown |= !reaches && (isnan(width) || isnan(inside));
        if (reaches)
            set_add(m, set,
                    (Draft){.part = tape,
                            .row = own->row,
                            .cut = CUT_NONE,
                            .layers = 1,
                            .stops_short = !own->row});
    }
}

/* A binding or piping is met on both sides of the edge. */
static void add_binding(Measuring *m, PlySet *set, const Draft *own)
{
    int32_t index = (int32_t)own->edge->index;
    const Record *binding = record_value(own->edge, EDGE_BINDING_PART)->record;
    Tri bound =
        tri_or(cell_is(m, EDGE_FINISH, index, "bound"), cell_is(m, EDGE_FINISH, index, "piped"));
    set->unknown |= bound == TRI_UNKNOWN || (bound == TRI_YES && !binding);
    if (bound == TRI_YES && binding)
        set_add(
            m, set,
            (Draft){
                .part = binding, .row = own->row, .cut = CUT_NONE, .layers = 2, .binding = true});
}

Draft own_ply(const Measuring *m, const Seam *seam, size_t side, const Record *row,
              const Record *edge)
{
    return (Draft){.part = edge->owner,
                   .edge = edge,
                   .row = row,
                   .layers = 1,
                   .cut = cut_of(m, seam, side, row, edge)};
}

/* All that lies at a row along one edge of one side. */
static PlySet member_set(Measuring *m, const Seam *seam, size_t side, const Record *row,
                         const Record *edge)
{
    PlySet set = {0};
    Draft own = own_ply(m, seam, side, row, edge);
    double inside = row_inside(m, seam, &own);
    set_add(m, &set, own);
    add_binding(m, &set, &own);
    add_backers(m, &set, &own, inside);
    /* tape lies inward of the line; what lies outside it is counted as if inside */
    add_tapes(m, &set, &own, isinf(inside) ? 0 : inside);
    return set;
}

/* Thickness of a set, nominal, in the first lane. */
static double set_weight(const Measuring *m, const PlySet *set)
{
    double weight = set->unknown ? NAN : 0;
    for (size_t i = 0; i < set->count; i++) {
        Layer layer = layer_at(m, &set->items[i], 0);
        weight += (layer.thickness.nominal + layer.folded.nominal) * layer.times.nominal;
    }
    return weight;
}

/* The heaviest of several sets, the first of equals. Where one of them has no
 * known weight nobody can say which it is: then the set is unknown, and not some
 * other one that might pass. */
static PlySet set_heaviest(const PlySet *sets, const double *weights, size_t count)
{
    PlySet heaviest = {.unknown = true};
    double most = -1;
    bool open = false;
    for (size_t i = 0; i < count; i++) {
        open |= isnan(weights[i]);
        if (i == 0 || weights[i] > most)
            heaviest = sets[i];
        most = fmax(most, weights[i]);
    }
    return open && count > 1 ? (PlySet){.unknown = true} : heaviest;
}

/* Of a chain of edges the row meets one at a time: the thickest stands for all. */
static void add_side(Measuring *m, PlySet *set, const Seam *seam, size_t side, const Record *row)
{
    const SeamSide *edges = &seam->sides[side];
    if (edges->bare) {
        Draft own = {.part = edges->bare, .row = row, .cut = CUT_NONE, .layers = 1};
        set_add(m, set, own);
        add_backers(m, set, &own, 0);
        return;
    }
    PlySet *members = ARENA_NEW(&m->scratch, PlySet, edges->count);
    double *weights = ARENA_NEW(&m->scratch, double, edges->count);
    for (size_t i = 0; i < edges->count; i++) {
        members[i] = member_set(m, seam, side, row, edges->edges[i]);
        weights[i] = set_weight(m, &members[i]);
    }
    PlySet heaviest = set_heaviest(members, weights, edges->count);
    set_join(m, set, &heaviest);
}

static PlySet assumed_set(Measuring *m, const Seam *seam, const Record *row)
{
    PlySet set = {.note = "plies assumed from the seam's edges"};
    set.unknown = seam->side_count == 0 || m->backing_open || (row && row->placeholder);
    for (size_t side = 0; side < seam->side_count; side++)
        add_side(m, &set, seam, side, row);
    return set;
}

/* The edge of a part in this seam, whose skive and cut count for a typed ply. */
static const Record *edge_in_seam(const Seam *seam, const Record *part, size_t *side)
{
    for (*side = 0; *side < seam->side_count; (*side)++)
        for (size_t i = 0; i < seam->sides[*side].count; i++)
            if (seam->sides[*side].edges[i]->owner == part)
                return seam->sides[*side].edges[i];
    return NULL;
}

static PlySet typed_set(Measuring *m, const Seam *seam, const TypedSpot *spot, const Record *row)
{
    PlySet set = {.unknown = spot->plies_unknown, .note = "typed plies of the spot"};
    for (size_t i = 0; i < spot->ply_count; i++) {
        const TypedPly *ply = &spot->plies[i];
        size_t side = 0;
        Draft draft = {.part = ply->part,
                       .row = row,
                       .times = &ply->times,
                       .layers = 1,
                       .typed = true,
                       .node = ply->node,
                       .cut = CUT_NONE};
        draft.edge = ply->part ? edge_in_seam(seam, ply->part, &side) : NULL;
        if (draft.edge)
            draft.cut = row ? cut_of(m, seam, side, row, draft.edge) : CUT_UNKNOWN;
        set_add(m, &set, draft);
    }
    return set;
}

/* A spot's own plies are as the seam's first row meets them. */
static void keep_spot(Measuring *m, const TypedSpot *spot, const PlySet *set)
{
    PlySet *kept = &m->spot_plies[spot->spot->index];
    if (!kept->note)
        *kept = *set;
}

static void draft_typed_row(Measuring *m, const Seam *seam, const Record *row)
{
    PlySet *own = &m->row_plies[row->index];
    PlySet *spots = ARENA_NEW(&m->scratch, PlySet, seam->spot_count);
    double *weights = ARENA_NEW(&m->scratch, double, seam->spot_count);
    bool unknown = row->placeholder, assumed;
    for (size_t i = 0; i < seam->spot_count; i++) {
        spots[i] = typed_set(m, seam, &seam->spots[i], row);
        unknown |= spots[i].unknown || seam->spots[i].spot->placeholder;
        keep_spot(m, &seam->spots[i], &spots[i]);
        weights[i] = stack_of(m, &spots[i], 0, &assumed).nominal;
    }
    *own = set_heaviest(spots, weights, seam->spot_count);
    own->unknown |= unknown;
    own->note = "heaviest of the typed spots";
    m->row_spots[row->index] = spots;
    m->row_steps[row->index] = stack_steps(m, seam, spots);
}

static void draft_seam(Measuring *m, const Seam *seam)
{
    for (size_t i = 0; i < seam->rows.count; i++) {
        const Record *row = seam->rows.items[i];
        if (seam->spots_given) {
            draft_typed_row(m, seam, row);
            continue;
        }
        m->row_plies[row->index] = assumed_set(m, seam, row);
        m->row_steps[row->index].unknown = true;
    }
    if (seam->rows.count)
        return;
    PlySet *set = &m->seam_plies[seam->record->index];
    if (!seam->spots_given)
        *set = assumed_set(m, seam, NULL);
    for (size_t i = 0; i < seam->spot_count; i++) {
        PlySet spot = typed_set(m, seam, &seam->spots[i], NULL);
        keep_spot(m, &seam->spots[i], &spot);
        set_join(m, set, &spot);
    }
    set->unknown |= seam->spots_given && seam->spot_count == 0;
}

/* What is turned together with an edge: the other sides of its turned seams. */
static void add_turned_with(Measuring *m, PlySet *set, const Joint *joint)
{
    for (size_t side = 0; side < joint->seam->side_count; side++) {
        const SeamSide *edges = &joint->seam->sides[side];
        if (side == joint->side)
            continue;
        if (edges->bare)
            set_add(m, set, (Draft){.part = edges->bare, .cut = CUT_NONE, .layers = 1});
        PlySet *alone = ARENA_NEW(&m->scratch, PlySet, edges->count);
        double *weights = ARENA_NEW(&m->scratch, double, edges->count);
        for (size_t i = 0; i < edges->count; i++) {
            set_add(m, &alone[i], own_ply(m, joint->seam, side, NULL, edges->edges[i]));
            weights[i] = set_weight(m, &alone[i]);
        }
        PlySet heaviest = set_heaviest(alone, weights, edges->bare ? 0 : edges->count);
        if (!edges->bare)
            set_join(m, set, &heaviest);
    }
}

static void draft_edge(Measuring *m, const Record *edge)
{
    PlySet *set = &m->edge_plies[edge->index];
    const JointList *joints = &m->joints[edge->index];
    Draft own = own_ply(m, NULL, 0, NULL, edge);
    set->note = "its own part, what is turned with it, what backs it";
    set->unknown = m->backing_open || m->seams_open;
    set_add(m, set, own);
    for (size_t i = 0; i < joints->count; i++) {
        Tri turned = seam_is(m, joints->items[i].seam, "turned");
        set->unknown |= turned == TRI_UNKNOWN;
        if (turned == TRI_YES)
            add_turned_with(m, set, &joints->items[i]);
    }
    add_backers(m, set, &own, 0);
    add_tapes(m, set, &own, 0);
}

void plies_draft(Measuring *m)
{
    const RecordList *edges = values_list(m, SUBJECT_EDGE);
    m->edge_plies = ARENA_NEW(&m->scratch, PlySet, edges->count);
    m->row_plies = ARENA_NEW(&m->scratch, PlySet, values_list(m, SUBJECT_ROW)->count);
    m->row_spots = ARENA_NEW(&m->scratch, PlySet *, values_list(m, SUBJECT_ROW)->count);
    m->row_steps = ARENA_NEW(&m->scratch, StepSet, values_list(m, SUBJECT_ROW)->count);
    m->spot_plies = ARENA_NEW(&m->scratch, PlySet, values_list(m, SUBJECT_SPOT)->count);
    m->seam_plies = ARENA_NEW(&m->scratch, PlySet, m->style->seam_count);
    for (size_t i = 0; i < edges->count; i++)
        draft_edge(m, edges->items[i]);
    for (size_t i = 0; i < m->style->seam_count; i++)
        draft_seam(m, &m->style->seams[i]);
}

/* A layer that is a whole hide or all that a skive leaves is drawn with it; one
 * in between is its own. */
static const Origin *thickness_origin(Measuring *m, const Draft *draft, const Layer *layer,
                                      bool assumed)
{
    Origin origin = {
        .kind = ORIGIN_DERIVED, .assumed = assumed, .note = "of the layer at this place"};
    int32_t material = part_material(m, draft->part, 0);
    const Origin *from[2] = {0};
    if (material >= 0)
        from[0] = cell_origin(m, MATERIAL_THICKNESS, material);
    if (draft->edge)
        from[1] = cell_origin(m, EDGE_SKIVE_LEFT, (int32_t)draft->edge->index);
    for (size_t i = 0; i < 2; i++)
        if (from[i] && from[i]->source && from[i]->source == layer->key) {
            origin.source = from[i]->source;
            origin.at = from[i]->at;
        }
    return origin_new(m, origin);
}

/* What holds in every lane. */
static void fill_ply_facts(Measuring *m, const Draft *draft, uint32_t index, const char *note,
                           Span times_span)
{
    Columns *columns = m->columns;
    cell_put(m, PLY_TIMES, index, 0, times_span);
    Origin times = {.kind = ORIGIN_NONE, .note = note};
    if (draft->times && draft->times->node)
        times = (Origin){draft->times->presence == VALUE_KNOWN ? ORIGIN_WRITTEN : ORIGIN_UNKNOWN,
                         .at = yaml_where(draft->times->node), .source = draft->times->node};
    columns->fields[PLY_TIMES].origins[index] = origin_new(m, times);
    cell_put_tri(m, PLY_UNDER, index, draft->gap > 0 ? TRI_NO : TRI_YES, note);
    cell_put_tri(m, PLY_STOPS_SHORT, index, draft->stops_short ? TRI_YES : TRI_NO, note);
    cell_put(m, PLY_GAP, index, 0, span_exact(draft->gap));
    columns->fields[PLY_GAP].origins[index] = origin_derived(m, note, false);
}

static void fill_ply(Measuring *m, const Draft *draft, uint32_t index, const char *note)
{
    Columns *columns = m->columns;
    bool assumed = false;
    Layer layer = {0};
    for (uint32_t lane = lanes_distinct(m, PLY_PRESSED); lane-- > 0;) {
        layer = layer_at(m, draft, lane);
        assumed |= layer.assumed;
        cell_put(m, PLY_THICKNESS, index, lane, layer.thickness);
        cell_put(m, PLY_FOLDED, index, lane, layer.folded);
        cell_put(m, PLY_PRESSED, index, lane, layer.pressed);
    }
    lanes_repeat(m, PLY_THICKNESS, index);
    lanes_repeat(m, PLY_FOLDED, index);
    lanes_repeat(m, PLY_PRESSED, index);
    columns->fields[PLY_THICKNESS].origins[index] = thickness_origin(m, draft, &layer, assumed);
    columns->fields[PLY_FOLDED].origins[index] = origin_derived(
        m, "its allowance turned back over this place", assumed && layer.folded.nominal > 0);
    columns->fields[PLY_PRESSED].origins[index] =
        origin_derived(m, "all its layers under the foot", assumed);
    fill_ply_facts(m, draft, index, note, layer.times);
}

static void fill_set(Measuring *m, const PlySet *set, const Record *owner)
{
    Columns *columns = m->columns;
    for (size_t i = 0; i < set->count; i++) {
        const Draft *draft = &set->items[i];
        uint32_t index = set->first + (uint32_t)i;
        const YamlNode *node = draft->node ? draft->node : owner->node;
        columns->names[SUBJECT_PLY][index] =
            arena_printf(&columns->arena, "%s ply %zu (%s)", owner->path, i + 1,
                         draft->part ? draft->part->id : "unknown");
        if (node)
            columns->places[SUBJECT_PLY][index] = yaml_where(node);
        fill_ply(m, draft, index, set->note);
    }
}

static void fill_sets(Measuring *m, Subject subject, const PlySet *sets)
{
    const RecordList *list = values_list(m, subject);
    for (size_t i = 0; i < list->count; i++)
        fill_set(m, &sets[i], list->items[i]);
}

void plies_fill(Measuring *m)
{
    fill_sets(m, SUBJECT_EDGE, m->edge_plies);
    fill_sets(m, SUBJECT_SEAM, m->seam_plies);
    fill_sets(m, SUBJECT_ROW, m->row_plies);
    fill_sets(m, SUBJECT_SPOT, m->spot_plies);
}

static uint32_t number_sets(PlySet *sets, size_t count, uint32_t first)
{
    for (size_t i = 0; i < count; i++) {
        sets[i].first = first;
        first += (uint32_t)sets[i].count;
    }
    return first;
}

uint32_t plies_number(Measuring *m)
{
    uint32_t count = number_sets(m->edge_plies, values_list(m, SUBJECT_EDGE)->count, 0);
    count = number_sets(m->seam_plies, m->style->seam_count, count);
    count = number_sets(m->row_plies, values_list(m, SUBJECT_ROW)->count, count);
    return number_sets(m->spot_plies, values_list(m, SUBJECT_SPOT)->count, count);
}

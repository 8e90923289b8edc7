/* What follows from how edges are joined: over and under, zones, raw edges and
 * ridges that the foot meets. For the files of src/measure only. */
#include <string.h>

#include "measure/measuring.h"

static void index_seam(Measuring *m, const Seam *seam)
{
    m->seams_open |= seam->side_count == 0;
    for (size_t side = 0; side < seam->side_count; side++) {
        const SeamSide *edges = &seam->sides[side];
        m->seams_open |= edges->count == 0 && !edges->bare;
        for (size_t i = 0; i < edges->count; i++) {
            JointList *list = &m->joints[edges->edges[i]->index];
            *ARENA_PUSH(&m->scratch, list->items, list->count, list->capacity) =
                (Joint){seam, side};
        }
    }
}

static void index_backing(Measuring *m, const Backing *backing)
{
    m->backing_open |= backing->backed_unknown;
    for (size_t i = 0; i < backing->backed_count; i++) {
        BackerList *list = &m->backers[backing->backed[i]->index];
        *ARENA_PUSH(&m->scratch, list->items, list->count, list->capacity) = backing;
    }
}

/* `along` may also be the way a material lies, so that unknown alone does not
 * say which of the two nobody knows: for a tape it is the edge. */
static bool tape_astray(const Record *part)
{
    const Value *role = record_value(part, PART_ROLE);
    const WordList *roles = field_at(PART_ROLE)->words;
    return record_value(part, PART_ALONG)->presence == VALUE_UNKNOWN &&
           (role->presence != VALUE_KNOWN ||
            (int)role->code == word_index(roles, "tape", strlen("tape")));
}

static void index_tape(Measuring *m, const Record *part)
{
    const Value *along = record_value(part, PART_ALONG);
    m->backing_open |= tape_astray(part);
    if (along->presence != VALUE_KNOWN || !along->record)
        return;
    TapeList *list = &m->tapes[along->record->index];
    *ARENA_PUSH(&m->scratch, list->items, list->count, list->capacity) = part;
}

void joins_index(Measuring *m)
{
    const RecordList *parts = values_list(m, SUBJECT_PART);
    m->joints = ARENA_NEW(&m->scratch, JointList, values_list(m, SUBJECT_EDGE)->count);
    m->tapes = ARENA_NEW(&m->scratch, TapeList, values_list(m, SUBJECT_EDGE)->count);
    m->backers = ARENA_NEW(&m->scratch, BackerList, parts->count);
    for (size_t i = 0; i < m->style->seam_count; i++)
        index_seam(m, &m->style->seams[i]);
    for (size_t i = 0; i < m->style->backing_count; i++)
        index_backing(m, &m->style->backings[i]);
    for (size_t i = 0; i < parts->count; i++)
        index_tape(m, parts->items[i]);
}

const Seam *seam_of(const Measuring *m, const Record *record)
{
    return &m->style->seams[record->owner->index];
}

Tri seam_is(const Measuring *m, const Seam *seam, const char *join)
{
    return cell_is(m, SEAM_JOIN, (int32_t)seam->record->index, join);
}

/* Joins that lay one edge over another; a trimmed lining lies flush instead. */
static Tri seam_laps(const Measuring *m, const Seam *seam)
{
    return tri_or(seam_is(m, seam, "lapped"),
                  tri_or(seam_is(m, seam, "welded"), seam_is(m, seam, "cemented")));
}

static bool side_is_last(const Seam *seam, size_t side)
{
    return side > 0 && side + 1 == seam->side_count;
}

Tri seam_underlay(const Measuring *m, const Seam *seam, size_t side)
{
    return side_is_last(seam, side) ? seam_laps(m, seam) : TRI_NO;
}

static Tri part_inner(const Measuring *m, const Record *part)
{
    int32_t index = (int32_t)part->index;
    return tri_or(cell_is(m, PART_ROLE, index, "lining"), cell_is(m, PART_ROLE, index, "sock"));
}

/* Seen from outside, the edges of two neighbours run against each other; those of
 * an upper and its lining, which lie on one another, run the same way. */
Tri sides_run_against(const Measuring *m, const Seam *seam, size_t one, size_t other)
{
    Tri inner[2];
    const size_t sides[2] = {one, other};
    for (int i = 0; i < 2; i++) {
        const SeamSide *side = &seam->sides[sides[i]];
        inner[i] = side->bare    ? part_inner(m, side->bare)
                   : side->count ? part_inner(m, side->edges[0]->owner)
                                 : TRI_UNKNOWN;
    }
    double flip = cell_get(m, SEAM_FLIP, (int32_t)seam->record->index, 0).nominal;
    if (inner[0] == TRI_UNKNOWN || inner[1] == TRI_UNKNOWN || isnan(flip))
        return TRI_UNKNOWN;
    return (inner[0] == inner[1]) != (flip == 1) ? TRI_YES : TRI_NO;
}

static void fill_over_under(Measuring *m, const Record *edge)
{
    const JointList *joints = &m->joints[edge->index];
    Tri over = m->seams_open ? TRI_UNKNOWN : TRI_NO, under = over;
    for (size_t i = 0; i < joints->count; i++) {
        const Seam *seam = joints->items[i].seam;
        Tri laid = tri_or(seam_laps(m, seam), seam_is(m, seam, "trimmed"));
        if (joints->items[i].side == 0)
            over = tri_or(over, laid);
        if (side_is_last(seam, joints->items[i].side))
            under = tri_or(under, laid);
    }
    cell_put_tri(m, EDGE_OVER, edge->index, over, "first edge of its seam");
    cell_put_tri(m, EDGE_UNDER, edge->index, under, "last edge of its seam");
}

/* The most sensitive zone of its seams. */
static void fill_zone(Measuring *m, const Record *edge)
{
    static const char *const sensitive[] = {"toe",   "ball", "tendon", "instep",
                                            "ankle", "heel", "none"};
    enum { ZONES = sizeof sensitive / sizeof sensitive[0], DEEPLY = 3 };
    const JointList *joints = &m->joints[edge->index];
    bool unknown = m->seams_open;
    size_t zone = ZONES - 1;
    for (size_t i = 0; i < joints->count; i++) {
        int32_t seam = (int32_t)joints->items[i].seam->record->index;
        unknown |= isnan(cell_get(m, SEAM_ZONE, seam, 0).nominal);
        for (size_t z = 0; z < zone; z++)
            if (cell_is(m, SEAM_ZONE, seam, sensitive[z]) == TRI_YES)
                zone = z;
    }
    const char *word = sensitive[zone];
    int code = word_index(field_at(EDGE_ZONE)->words, word, strlen(word));
    bool known = code >= 0 && (!unknown || zone < DEEPLY);
    cell_put(m, EDGE_ZONE, edge->index, 0, span_exact(known ? (double)code : NAN));
    m->columns->fields[EDGE_ZONE].origins[edge->index] = origin_derived(
        m, joints->count ? "the most sensitive zone of its seams" : "in no seam", false);
}

static Tri part_next_to_foot(const Measuring *m, const Record *part)
{
    double layer = cell_get(m, PART_LAYER, (int32_t)part->index, 0).nominal;
    return isnan(layer) ? TRI_UNKNOWN : layer == 1 ? TRI_YES : TRI_NO;
}

typedef Tri PartAsk(const Measuring *m, const Record *part);

/* `ask` of every part of the seam, and of some. */
static void ask_parts(const Measuring *m, const Seam *seam, PartAsk *ask, Tri *every, Tri *some)
{
    *every = seam->side_count ? TRI_YES : TRI_UNKNOWN;
    *some = seam->side_count ? TRI_NO : TRI_UNKNOWN;
    for (size_t side = 0; side < seam->side_count; side++) {
        const SeamSide *edges = &seam->sides[side];
        size_t count = edges->bare ? 1 : edges->count;
        for (size_t i = 0; i < count; i++) {
            Tri answer = ask(m, edges->bare ? edges->bare : edges->edges[i]->owner);
            *every = tri_and(*every, answer);
            *some = tri_or(*some, answer);
        }
        if (count == 0) {
            *every = tri_and(*every, TRI_UNKNOWN);
            *some = tri_or(*some, TRI_UNKNOWN);
        }
    }
}

/* A seam within the lining: its first edge lies towards the foot. Elsewhere the
 * last one does. */
static Tri seam_of_lining(const Measuring *m, const Seam *seam)
{
    Tri every, some;
    ask_parts(m, seam, part_inner, &every, &some);
    return every;
}

/* Does the seam keep this side's cut edge from the foot? */
static Tri joint_covers(const Measuring *m, const Joint *joint)
{
    const Seam *seam = joint->seam;
    Tri laid = tri_or(seam_laps(m, seam), seam_is(m, seam, "trimmed"));
    Tri lining = seam_of_lining(m, seam);
    bool first = joint->side == 0, last = side_is_last(seam, joint->side);
    Tri hidden = TRI_YES;
    if (first)
        hidden = tri_not(lining);
    else if (last)
        hidden = lining;
    /* closed, turned, bound and butted seams leave no cut edge open */
    return tri_or(tri_not(laid), tri_and(laid, hidden));
}

static void fill_bare(Measuring *m, const Record *edge)
{
    const JointList *joints = &m->joints[edge->index];
    Tri covered = m->seams_open ? TRI_UNKNOWN : TRI_NO;
    for (size_t i = 0; i < joints->count; i++)
        covered = tri_or(covered, joint_covers(m, &joints->items[i]));
    Tri raw = cell_is(m, EDGE_FINISH, (int32_t)edge->index, "raw");
    Tri bare = tri_and(tri_and(raw, part_next_to_foot(m, edge->owner)), tri_not(covered));
    cell_put_tri(m, EDGE_BARE, edge->index, bare, "from finish, layer and seams");
}

/* What an edge stands off the ply beside it: doubled where it is folded back. */
static Span edge_step(const Measuring *m, const Record *edge, uint32_t lane)
{
    int32_t index = (int32_t)edge->index;
    Tri doubled =
        tri_or(cell_is(m, EDGE_FINISH, index, "folded"), cell_is(m, EDGE_FINISH, index, "turned"));
    Span once = cell_get(m, EDGE_THICKNESS, index, lane);
    if (doubled == TRI_UNKNOWN)
        return span_exact(NAN);
    return doubled == TRI_YES ? span_add(once, once) : once;
}

/* The highest step of a side; a bare part goes on: no step. */
static Span side_step(const Measuring *m, const SeamSide *side, uint32_t lane)
{
    Span most = span_exact(side->bare || side->count ? 0 : NAN);
    for (size_t i = 0; i < side->count; i++)
        most = span_most(most, edge_step(m, side->edges[i], lane));
    return most;
}

typedef Span EdgeAsk(const Measuring *m, const Record *edge, uint32_t lane);

static Span most_of_edges(const Measuring *m, const Seam *seam, EdgeAsk *ask, uint32_t lane)
{
    Span most = span_exact(seam->side_count ? 0 : NAN);
    for (size_t side = 0; side < seam->side_count; side++)
        for (size_t i = 0; i < seam->sides[side].count; i++)
            most = span_most(most, ask(m, seam->sides[side].edges[i], lane));
    return most;
}

static Span edge_thickness(const Measuring *m, const Record *edge, uint32_t lane)
{
    return cell_get(m, EDGE_THICKNESS, (int32_t)edge->index, lane);
}

/* Edges without a binding do not count: one binding may close over both. */
static Span binding_thickness(const Measuring *m, const Record *edge, uint32_t lane)
{
    const Value *binding = record_value(edge, EDGE_BINDING_PART);
    if (binding->presence == VALUE_ABSENT)
        return span_exact(0);
    return cell_get(m, MATERIAL_THICKNESS, part_material(m, binding->record, lane), lane);
}

static Span laid_ridge(const Measuring *m, const Seam *seam, uint32_t lane)
{
    Tri lining = seam_is(m, seam, "trimmed") == TRI_YES ? TRI_NO : seam_of_lining(m, seam);
    if (seam->side_count < 2 || lining == TRI_UNKNOWN)
        return span_exact(NAN);
    return side_step(m, &seam->sides[lining == TRI_YES ? 0 : seam->side_count - 1], lane);
}

/* The step the foot meets at the seam. Butted edges lie level; the edges of a
 * turned seam lie inside it. */
static Span seam_ridge(const Measuring *m, const Seam *seam, uint32_t lane)
{
    if (isnan(cell_get(m, SEAM_JOIN, (int32_t)seam->record->index, 0).nominal))
        return span_exact(NAN);
    if (seam_is(m, seam, "butted") == TRI_YES || seam_is(m, seam, "turned") == TRI_YES)
        return span_exact(0);
    if (seam_is(m, seam, "closed") == TRI_YES)
        return most_of_edges(m, seam, edge_thickness, lane);
    if (seam_is(m, seam, "bound") == TRI_YES) {
        Span binding = most_of_edges(m, seam, binding_thickness, lane);
        return binding.nominal > 0 ? binding : span_exact(NAN);
    }
    return laid_ridge(m, seam, lane);
}

/* Does a tolerance the house assumed reach the ridge? Any edge's will do. */
static bool ridge_assumed(const Measuring *m, const Seam *seam)
{
    bool assumed = false;
    for (size_t side = 0; side < seam->side_count; side++)
        for (size_t i = 0; i < seam->sides[side].count; i++)
            assumed |= cell_assumed(m, EDGE_THICKNESS, (int32_t)seam->sides[side].edges[i]->index);
    return assumed;
}

static void fill_seam(Measuring *m, const Seam *seam)
{
    uint32_t index = seam->record->index;
    Tri every, some;
    ask_parts(m, seam, part_next_to_foot, &every, &some);
    cell_put_tri(m, SEAM_INSIDE, index, some, "a part of it lies next to the foot");
    Column *ridge = &m->columns->fields[SEAM_RIDGE];
    for (uint32_t lane = 0; lane < lanes_distinct(m, SEAM_RIDGE); lane++)
        cell_put(m, SEAM_RIDGE, index, lane, seam_ridge(m, seam, lane));
    lanes_repeat(m, SEAM_RIDGE, index);
    ridge->origins[index] =
        origin_derived(m, "the edge on the foot's side", ridge_assumed(m, seam));
}

void joins_fill(Measuring *m)
{
    const RecordList *edges = values_list(m, SUBJECT_EDGE);
    for (size_t i = 0; i < edges->count; i++) {
        fill_over_under(m, edges->items[i]);
        fill_zone(m, edges->items[i]);
        fill_bare(m, edges->items[i]);
    }
    for (size_t i = 0; i < m->style->seam_count; i++)
        fill_seam(m, &m->style->seams[i]);
}

/* What lies at a place of a sheet: the parts that cover it, thinned, folded or
 * backed as they are there. For the files of src/measure only. */
#include <string.h>

#include "measure/measuring.h"

/* A place on a line is not inside it, whatever rounding says. */
static const double HAIR_MM = 1e-6;

/* What is not known may reach as far as a style may say. */
static const double REACH_MOST_MM = 60;

static double or_most(double reach)
{
    return isnan(reach) ? REACH_MOST_MM : reach;
}

/* ---- How edges are met from inside ---- */

/* `made` NULL: ever. */
static Tri joined_so(const Measuring *m, const bool *made, const Record *edge, const char *join)
{
    const JointList *joints = &m->joints[edge->index];
    Tri so = TRI_NO;
    for (size_t i = 0; i < joints->count; i++)
        if (!made || made[joints->items[i].seam->record->index])
            so = tri_or(so, seam_is(m, joints->items[i].seam, join));
    return so;
}

/* A closed seam is rubbed open, a turned edge folded once it is sewn: the allowance
 * lies back over its own part. Until then it goes on beyond the line. An underlay
 * is drawn at its cut line. */
static Cut cut_there(const Measuring *m, const bool *made, const Record *edge)
{
    int32_t index = (int32_t)edge->index;
    Tri closed = joined_so(m, NULL, edge, "closed"), sewn = joined_so(m, made, edge, "closed");
    if (cell_is(m, EDGE_FINISH, index, "turned") == TRI_YES) {
        closed = TRI_YES;
        sewn = joined_so(m, made, edge, "turned");
    }
    if (isnan(cell_get(m, EDGE_FINISH, index, 0).nominal) || closed == TRI_UNKNOWN)
        return CUT_UNKNOWN;
    if (closed == TRI_YES)
        return sewn == TRI_YES ? CUT_FOLDED : sewn == TRI_NO ? CUT_OUTSIDE : CUT_UNKNOWN;
    if (cell_is(m, EDGE_FINISH, index, "folded") == TRI_YES)
        return CUT_FOLDED;
    if (cell_is(m, EDGE_FINISH, index, "lasted") == TRI_YES)
        return CUT_OUTSIDE;
    return cell_is(m, EDGE_FINISH, index, "fold-line") == TRI_YES ? CUT_NONE : CUT_AT_LINE;
}

static void add_level(Measuring *m, EdgeMet *met, double level)
{
    if (!(level > 0 && isfinite(level)))
        return;
    *ARENA_PUSH(&m->scratch, met->levels, met->level_count, met->level_capacity) = level;
    met->level_most = fmax(met->level_most, level);
}

/* How far from its line, on either side, a skive or a fold changes the layer. The
 * skive of an edge that is neither folded nor goes on begins at the line. */
static double reach_of(const EdgeMet *met, double skive, double beyond)
{
    if (met->cut == CUT_UNKNOWN || isnan(skive))
        return NAN;
    if (met->cut != CUT_FOLDED && (met->cut != CUT_OUTSIDE || skive == 0))
        return skive;
    return isnan(beyond) ? NAN : fmax(beyond, skive - beyond);
}

/* Where its skive and fold begin and end. */
static void set_cut(Measuring *m, const Record *edge, EdgeMet *met)
{
    double skive =
        cell_nominal(m, EDGE_SKIVED, edge) != 0 ? cell_nominal(m, EDGE_SKIVE_WIDTH, edge) : 0;
    bool folded = met->cut == CUT_FOLDED, outside = met->cut == CUT_OUTSIDE;
    double beyond = cell_nominal(m, folded ? EDGE_LEFT : EDGE_ALLOWANCE, edge);
    met->fold = met->cut == CUT_UNKNOWN ? NAN : folded ? beyond : 0;
    met->margin = outside ? beyond : met->cut == CUT_UNKNOWN ? NAN : 0;
    met->reach = reach_of(met, skive, beyond);
    if (folded || outside) {
        add_level(m, met, beyond);
        add_level(m, met, skive - beyond);
        add_level(m, met, beyond - skive);
    } else {
        add_level(m, met, skive);
    }
}

/* More than any rounding makes of a distance. */
static const double SURELY_MM = 1;

/* What begins or ends nobody knows where is met from anywhere. */
static double most_of(const Measuring *m, const Record *edge, const EdgeMet *met)
{
    const TapeList *tapes = &m->tapes[edge->index];
    bool anywhere = met->binds != TRI_NO && isnan(met->shows);
    for (size_t i = 0; i < tapes->count; i++)
        anywhere |= isnan(cell_nominal(m, PART_WIDTH, tapes->items[i]));
    for (size_t i = 0; i < m->backers[edge->owner->index].count; i++)
        anywhere |= met->insets[i] && met->insets[i]->presence != VALUE_KNOWN;
    double own = fmax(or_most(met->reach), or_most(met->fold));
    double shows = met->binds != TRI_NO ? met->shows : 0;
    double most = fmax(fmax(met->level_most, or_most(met->margin)), fmax(own, shows));
    return anywhere ? INFINITY : fmax(most, LAID_SAME_MM) + SURELY_MM;
}

static void meet_stage(Measuring *m, const bool *made, const Record *edge, EdgeMet *met)
{
    const TapeList *tapes = &m->tapes[edge->index];
    met->cut = cut_there(m, made, edge);
    met->bound = joined_so(m, made, edge, "bound");
    met->level_count = 0;
    met->level_most = 0;
    set_cut(m, edge, met);
    if (met->binding)
        add_level(m, met, met->shows);
    for (size_t i = 0; i < tapes->count; i++)
        add_level(m, met, cell_nominal(m, PART_WIDTH, tapes->items[i]));
    for (size_t i = 0; i < m->backers[edge->owner->index].count; i++)
        if (met->insets[i] && met->insets[i]->presence == VALUE_KNOWN)
            add_level(m, met, met->insets[i]->quantity.nominal);
    met->most = most_of(m, edge, met);
    met->layers = reads_edge(m, met, edge);
}

static EdgeMet meet_edge(Measuring *m, const Record *edge)
{
    int32_t index = (int32_t)edge->index;
    const BackerList *backers = &m->backers[edge->owner->index];
    EdgeMet met = {.binds = tri_or(cell_is(m, EDGE_FINISH, index, "bound"),
                                   cell_is(m, EDGE_FINISH, index, "piped")),
                   .steps = cell_is(m, EDGE_SKIVE_FORM, index, "step"),
                   .binding = record_value(edge, EDGE_BINDING_PART)->record,
                   .shows = cell_nominal(m, EDGE_BINDING_SHOWS, edge),
                   .insets = ARENA_NEW(&m->scratch, const Value *, backers->count),
                   .thickness = reads_edge_thickness(m, edge)};
    for (size_t i = 0; i < backers->count; i++) {
        const Value *inset = inset_at(backers->items[i], edge);
        met.insets[i] = inset && inset->presence != VALUE_ABSENT ? inset : NULL;
    }
    return met;
}

EdgeMet *meet_edges(Measuring *m, const bool *made)
{
    const RecordList *edges = values_list(m, SUBJECT_EDGE);
    EdgeMet *met = ARENA_NEW(&m->scratch, EdgeMet, edges->count);
    for (size_t i = 0; i < edges->count; i++)
        if (m->style->lines[i].part) {
            met[i] = meet_edge(m, edges->items[i]);
            meet_stage(m, made, edges->items[i], &met[i]);
        }
    return met;
}

void meet_seam(Measuring *m, const bool *made, const Seam *seam, EdgeMet *met)
{
    for (size_t side = 0; side < seam->side_count; side++)
        for (size_t i = 0; i < seam->sides[side].count; i++) {
            const Record *edge = seam->sides[side].edges[i];
            if (m->style->lines[edge->index].part)
                meet_stage(m, made, edge, &met[edge->index]);
        }
}

/* ---- The layers ---- */

static void push(const Walk *walk, PlySet *set, Draft draft)
{
    *ARENA_PUSH(walk->arena, set->items, set->count, set->capacity) = draft;
}

static bool has_part(const PlySet *set, const Record *part)
{
    for (size_t i = 0; i < set->count; i++)
        if (set->items[i].part == part && !set->items[i].fold_alone)
            return true;
    return false;
}

static void add_once(const Walk *walk, PlySet *set, Draft draft)
{
    if (!has_part(set, draft.part))
        push(walk, set, draft);
}

/* How far a place lies inside the line of an edge; outside is below zero. False
 * where it lies further away than `within`. */
static bool inside_of(const LaidEdge *edge, Point place, double within, double *inside)
{
    Nearest nearest;
    if (!line_nearest(&edge->line, place, within, &nearest))
        return false;
    *inside = nearest.left ? nearest.distance : -nearest.distance;
    return true;
}

/* Does what stops `inset` inside an edge stop short of the place? It does not go on
 * over the margin. */
static bool stops_short(const Walk *walk, const LaidEdge *edge, Point place, bool beyond,
                        double inset)
{
    double margin = walk->met[edge->edge->index].margin, inside;
    double within = beyond ? fmax(inset, or_most(margin)) : inset;
    return inside_of(edge, place, within + HAIR_MM, &inside);
}

/* `beyond`: the place lies on a margin of the part. */
static void add_backers(const Walk *walk, PlySet *set, const Near *near, Point place, bool beyond)
{
    const BackerList *backers = &walk->m->backers[near->part->part->index];
    for (size_t i = 0; i < backers->count; i++) {
        Tri reaches = TRI_YES;
        for (size_t k = 0; k < near->edge_count; k++) {
            const Value *inset = walk->met[near->edges[k]->edge->index].insets[i];
            if (!inset)
                continue;
            if (inset->presence == VALUE_UNKNOWN)
                reaches = tri_and(reaches, TRI_UNKNOWN);
            else if (stops_short(walk, near->edges[k], place, beyond, inset->quantity.nominal))
                reaches = TRI_NO;
        }
        set->unknown |= reaches == TRI_UNKNOWN;
        if (reaches == TRI_YES)
            add_once(walk, set,
                     (Draft){.part = backers->items[i]->part,
                             .row = walk->row,
                             .cut = CUT_NONE,
                             .layers = 1});
    }
}

static void add_tapes(const Walk *walk, PlySet *set, const LaidEdge *edge, Point place)
{
    const TapeList *tapes = &walk->m->tapes[edge->edge->index];
    for (size_t i = 0; i < tapes->count; i++) {
        double width = cell_nominal(walk->m, PART_WIDTH, tapes->items[i]), inside;
        set->unknown |= isnan(width);
        if (width > 0 && inside_of(edge, place, width, &inside))
            add_once(
                walk, set,
                (Draft){.part = tapes->items[i], .row = walk->row, .cut = CUT_NONE, .layers = 1});
    }
}

/* A binding is there once its seam is sewn, and while that seam is. */
static void add_binding(const Walk *walk, PlySet *set, const LaidEdge *edge, Point place,
                        bool walked)
{
    const EdgeMet *met = &walk->met[edge->edge->index];
    double shows = met->shows, inside;
    if (met->binds == TRI_NO || (!walked && met->bound == TRI_NO))
        return;
    bool near = walked || isnan(shows) || inside_of(edge, place, shows, &inside);
    Tri sewn = walked ? TRI_YES : met->bound;
    set->unknown |= near && (tri_and(met->binds, sewn) == TRI_UNKNOWN || !met->binding ||
                             (!walked && isnan(shows)));
    Draft draft = {
        .part = met->binding, .row = walk->row, .cut = CUT_NONE, .layers = 2, .binding = true};
    if (near && met->binding && !has_binding(set, &draft))
        push(walk, set, draft);
}

/* The edge of the part that the row runs along; NULL if none. */
static const Record *walked_of(const LaidPart *part, const Meeting *meeting)
{
    for (size_t i = 0; i < meeting->walked_count; i++)
        if (meeting->walked[i]->owner == part->part)
            return meeting->walked[i];
    return NULL;
}

static size_t side_of(const Seam *seam, const Record *edge)
{
    for (size_t side = 0; side < seam->side_count; side++)
        for (size_t i = 0; i < seam->sides[side].count; i++)
            if (seam->sides[side].edges[i] == edge)
                return side;
    return 0;
}

/* The part's own layer as it is at an edge that it is not sewn at there. */
static Draft met_at(const Walk *walk, const LaidPart *part, const LaidEdge *edge, double inside)
{
    Cut cut = walk->met[edge->edge->index].cut;
    return (Draft){.part = part->part,
                   .edge = edge->edge,
                   .row = walk->row,
                   .cut = cut,
                   .layers = 1,
                   .placed = true,
                   .laid = edge,
                   .inside = cut == CUT_OUTSIDE ? inside : fmax(inside, 0)};
}

/* The edge whose cut, skive or fold is nearest; NULL where none reaches. */
static const LaidEdge *nearest_cut(const Walk *walk, const Near *near, Point place, double *inside)
{
    const LaidEdge *nearest = NULL;
    for (size_t i = 0; i < near->edge_count; i++) {
        double reach = walk->met[near->edges[i]->edge->index].reach, here;
        if (reach == 0 || !inside_of(near->edges[i], place, or_most(reach), &here) ||
            (nearest && fabs(here) >= fabs(*inside)))
            continue;
        nearest = near->edges[i];
        *inside = here;
    }
    return nearest;
}

/* The part's own layer: at the edge the row runs along as the row says; else by
 * the edge whose cut, skive or fold is nearest. What further edges fold back over
 * the place comes on top. */
static void add_own(const Walk *walk, PlySet *set, const Near *near, const Meeting *meeting)
{
    const LaidPart *part = near->part;
    Draft own = {.part = part->part, .row = walk->row, .cut = CUT_NONE, .layers = 1};
    const Record *at = walked_of(part, meeting);
    double inside;
    if (at) {
        own = own_ply(walk->m, walk->seam, side_of(walk->seam, at), walk->row, at);
    } else {
        const LaidEdge *nearest = nearest_cut(walk, near, meeting->place, &inside);
        own = nearest ? met_at(walk, part, nearest, inside) : own;
        at = nearest ? nearest->edge : NULL;
    }
    push(walk, set, own);
    for (size_t i = 0; i < near->edge_count; i++) {
        double fold = walk->met[near->edges[i]->edge->index].fold;
        if (near->edges[i]->edge == at || fold <= 0 ||
            !inside_of(near->edges[i], meeting->place, or_most(fold), &inside))
            continue;
        Draft folded = met_at(walk, part, near->edges[i], inside);
        folded.fold_alone = true;
        push(walk, set, folded);
    }
}

/* A margin goes on straight out from its line, not round its ends. */
static bool lies_outside(const Line *line, Point place, double within)
{
    Nearest nearest;
    return line_nearest(line, place, within, &nearest) && !nearest.left && nearest.at > 0 &&
           nearest.at < line_length(line);
}

/* Does the row run along the part's outline there? What meets it in a corner leaves
 * it again within half a mm on the one side and runs into the part on the other. */
static bool runs_along(const LaidPart *part, const Meeting *meeting)
{
    const Point ends[2] = {meeting->from, meeting->to};
    bool along = false;
    Nearest nearest;
    if (!laid_covers(part, meeting->place, LAID_SAME_MM))
        return false;
    for (int i = 0; i < 2; i++) {
        double away = hypot(ends[i].x - meeting->place.x, ends[i].y - meeting->place.y);
        if (away < MEET_ALONG_MM / 2) /* the row ends */
            continue;
        if (!laid_covers(part, ends[i], LAID_SAME_MM))
            return false;
        along |= line_nearest(&part->outline, ends[i], LAID_SAME_MM, &nearest);
    }
    return along;
}

/* Does the part reach the place: within its outline, along it, or on a lasting
 * margin? */
static Tri reaches(const Walk *walk, const Near *near, const Meeting *meeting, bool *beyond)
{
    Tri margin = TRI_NO;
    *beyond = false;
    if (laid_covers(near->part, meeting->place, 0) || runs_along(near->part, meeting))
        return TRI_YES;
    for (size_t i = 0; i < near->edge_count; i++) {
        double reach = walk->met[near->edges[i]->edge->index].margin;
        if (reach != 0 && lies_outside(&near->edges[i]->line, meeting->place, or_most(reach)))
            margin = tri_or(margin, isnan(reach) ? TRI_UNKNOWN : TRI_YES);
    }
    *beyond = true;
    return margin;
}

static void meet_part(const Walk *walk, PlySet *set, const Near *near, const Meeting *meeting)
{
    const LaidPart *part = near->part;
    const Record *walked = walked_of(part, meeting);
    bool beyond = false;
    Tri here = walked ? TRI_YES : reaches(walk, near, meeting, &beyond);
    set->unknown |= here == TRI_UNKNOWN;
    if (has_part(set, part->part) || here != TRI_YES)
        return;
    add_own(walk, set, near, meeting);
    for (size_t i = 0; i < near->edge_count; i++) {
        if (!beyond)
            add_tapes(walk, set, near->edges[i], meeting->place);
        add_binding(walk, set, near->edges[i], meeting->place, near->edges[i]->edge == walked);
    }
    add_backers(walk, set, near, meeting->place, beyond);
}

void meet_layers(const Walk *walk, PlySet *set, const Meeting *meeting)
{
    for (size_t i = 0; i < meeting->near_count; i++) {
        const Near *near = &meeting->near[i];
        bool here = meeting->sheet ? near->part->sheet == meeting->sheet
                                   : walked_of(near->part, meeting) != NULL;
        if (here)
            meet_part(walk, set, near, meeting);
    }
}

bool meet_again(const Walk *walk, const PlySet *set, Point place, PlySet *there)
{
    bool tapers = false;
    *there = *set;
    there->items = ARENA_NEW(walk->arena, Draft, set->count);
    there->capacity = set->count;
    for (size_t i = 0; i < set->count; i++) {
        Draft *draft = &there->items[i];
        *draft = set->items[i];
        if (!draft->placed || walk->met[draft->edge->index].steps == TRI_YES)
            continue;
        tapers = true;
        if (inside_of(draft->laid, place, INFINITY, &draft->inside) && draft->cut != CUT_OUTSIDE)
            draft->inside = fabs(draft->inside);
    }
    return tapers;
}

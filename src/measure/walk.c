/* Walking along a row as drawn, from crossing to crossing. For the files of
 * src/measure only. */
#include "measure/walk.h"

#include <string.h>

#include "base/sort.h"

/* Edges that are sewn on one another are in place if they lie no further apart. */
static const double IN_PLACE_MM = 1;
/* A shorter stretch between two crossings is no stretch. */
static const double STRETCH_LEAST_MM = LAID_SAME_MM;

/* Between its ends a stack may be off the straight by this much; a curve halves its
 * distance from the chord by four each time. */
static const double STRAIGHT_MM = 0.005;
enum { HALVINGS_MOST = 8 };

/* ---- Lines of the sides ---- */

/* How far inside its drawn line a side is sewn, mm: closed and turning rows on the
 * line, rows of a lap beyond the over part's edge, which an underlay's cut line
 * lies `allowance` beyond. NaN: not known. */
static double sewn_inside(const Measuring *m, const Seam *seam, size_t side, const Record *row,
                          const Record *edge)
{
    Cut cut = cut_of(m, seam, side, row, edge);
    double from_edge = cell_get(m, ROW_FROM_EDGE, (int32_t)row->index, 0).nominal;
    bool on_line = seam_is(m, seam, "closed") == TRI_YES ||
                   (seam_is(m, seam, "turned") == TRI_YES && cut == CUT_AT_LINE);
    if (cut == CUT_UNKNOWN)
        return (double)NAN;
    if (on_line)
        return 0;
    if (cut == CUT_BEYOND)
        return cell_get(m, EDGE_ALLOWANCE, (int32_t)edge->index, 0).nominal - from_edge;
    return from_edge;
}

/* Where a tight bend cuts the line beside it, the row goes on straight. */
static Line join_pieces(Arena *arena, const Line *pieces, size_t count)
{
    size_t points = 0;
    for (size_t i = 0; i < count; i++)
        points += pieces[i].count;
    Point *all = ARENA_NEW(arena, Point, points);
    points = 0;
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < pieces[i].count; k++)
            all[points++] = pieces[i].points[k];
    return line_new(arena, all, points);
}

/* No line where the bend leaves nothing of it. */
static const Lines *line_beside(Held *held, const Line *line, double inside)
{
    const KeyWord key[] = {{KEY_LEG}, {line->number}, {.number = inside}};
    const size_t words = sizeof key / sizeof key[0];
    const Lines *kept = held_find(held, key, words);
    if (kept)
        return kept;
    Arena arena = {0};
    const Once once = {held, &arena};
    const Lines *pieces = once_beside(once, line, inside);
    if (pieces->count <= 1)
        return pieces;
    Line joined = join_pieces(&arena, pieces->items, pieces->count);
    kept = once_keep(once, key, words, &joined, NULL, 1);
    arena_free(&arena);
    return kept;
}

static bool add_leg(Walker *w, Track *track, const Record *edge, double inside)
{
    const LaidEdge *laid = w->walk.lay->of_edge[edge->index];
    Leg leg = {.part = w->walk.lay->of_part[edge->owner->index],
               .edge = laid,
               .start = track->length,
               .partners = ARENA_NEW(w->walk.arena, const LaidEdge *, w->walk.seam->side_count)};
    leg.line = laid->line;
    if (inside != 0) {
        const Lines *beside = line_beside(w->walk.m->held, &laid->line, inside);
        if (beside->count == 0)
            return false;
        leg.line = beside->items[0];
    }
    leg.length = line_length(&leg.line);
    track->length += leg.length;
    track->legs[track->count++] = leg;
    return true;
}

static bool track_side(Walker *w, size_t side)
{
    const SeamSide *edges = &w->walk.seam->sides[side];
    Track *track = &w->sides[side];
    *track = (Track){.legs = ARENA_NEW(w->walk.arena, Leg, edges->count), .needed = true};
    for (size_t i = 0; i < edges->count; i++) {
        double inside = sewn_inside(w->walk.m, w->walk.seam, side, w->walk.row, edges->edges[i]);
        if (!w->walk.lay->of_edge[edges->edges[i]->index] || isnan(inside) ||
            !add_leg(w, track, edges->edges[i], inside))
            return false;
    }
    return edges->count > 0;
}

/* ---- Is another side in place? ---- */

/* The edge of the side that lies in place at the leg's own: its part under a lap, else
 * its line along the leg's. NULL where none does. */
static const LaidEdge *partner_of(const Walker *w, const Leg *leg, size_t side)
{
    const Lay *lay = w->walk.lay;
    const SeamSide *other = &w->walk.seam->sides[side];
    bool lap = seam_underlay(w->walk.m, w->walk.seam, side) == TRI_YES;
    for (size_t i = 0; i < other->count; i++) {
        const LaidPart *part = lay->of_part[other->edges[i]->owner->index];
        const LaidEdge *edge = lay->of_edge[other->edges[i]->index];
        if (!part || !edge || !leg->part->sheet || part->sheet != leg->part->sheet)
            continue;
        if (lap ? laid_on_once(w->walk.m->held, &leg->edge->line, part)
                : laid_along_once(w->walk.m->held, &leg->edge->line, &edge->line, IN_PLACE_MM))
            return edge;
    }
    return NULL;
}

/* False where a bare part does not lie under the row. */
static bool find_partners(Walker *w, size_t side)
{
    const Track *lead = &w->sides[w->lead];
    const Record *bare = w->walk.seam->sides[side].bare;
    const LaidPart *under = bare ? w->walk.lay->of_part[bare->index] : NULL;
    for (size_t i = 0; i < lead->count; i++) {
        const Leg *leg = &lead->legs[i];
        if (bare && !(under && leg->part->sheet && under->sheet == leg->part->sheet))
            return false;
        leg->partners[side] = partner_of(w, leg, side);
        w->sides[side].needed |= !bare && !leg->partners[side];
    }
    return true;
}

/* ---- Where sides that lie elsewhere are matched ---- */

static double along_track(const Track *track, const Leg *leg, double at)
{
    return leg->start + (track->against ? leg->length - at : at);
}

/* What is sewn at a place of the edge's line, mm along the leg. */
static double across_from(const Leg *leg, double at)
{
    Nearest nearest;
    line_nearest(&leg->line, line_point(&leg->edge->line, at), INFINITY, &nearest);
    return nearest.at;
}

static double base_length(const Walker *w, const Leg *leg)
{
    const Lay *base = w->walk.m->lays[w->walk.m->base_size];
    return line_length(&base->of_edge[leg->edge->edge->index]->line);
}

/* A first side that mirrors another begins where that does, at its end. */
static bool marks_back(const Walker *w)
{
    const Track *lead = &w->sides[w->lead];
    bool mirrored = true;
    for (size_t i = 0; i < lead->count; i++)
        mirrored = mirrored && w->walk.m->style->lines[lead->legs[i].edge->edge->index].mirrored;
    return mirrored;
}

/* Where a match mark lies on a side: that far from where the seam begins in the base
 * size, by the lengths of its edges, and grown as they do; from edge to edge where both
 * sides have as many. NaN beyond the end. */
static double mark_on(const Walker *w, const Track *track, double mark)
{
    const Track *lead = &w->sides[w->lead];
    bool back = marks_back(w);
    for (size_t i = 0; i < track->count; i++) {
        size_t place = back ? track->count - 1 - i : i;
        const Leg *leg = &track->legs[place];
        double whole = base_length(w, leg), own = line_length(&leg->edge->line);
        double until = track->count == lead->count ? base_length(w, &lead->legs[place]) : whole;
        double at = mark / whole * own;
        if (mark <= until && at > own)
            return NAN;
        if (mark <= until)
            return along_track(track, leg,
                               across_from(leg, back != track->against ? own - at : at));
        mark -= until;
    }
    return NAN;
}

static void add_knot(Track *track, double own, double lead)
{
    size_t i = track->knot_count++;
    for (; i > 0 && track->knots[i - 1].lead > lead; i--)
        track->knots[i] = track->knots[i - 1];
    track->knots[i] = (Knot){own, lead};
}

/* False where a match mark is not known, or where it is on one of the two. */
static bool match_side(const Walker *w, Track *track)
{
    const Seam *seam = w->walk.seam;
    const Track *lead = &w->sides[w->lead];
    bool known = !seam->marks_unknown;
    track->knots = ARENA_NEW(w->walk.arena, Knot, seam->mark_count + lead->count + 1);
    add_knot(track, 0, 0);
    for (size_t i = 1; track->count == lead->count && i < lead->count; i++)
        add_knot(track, track->legs[i].start, lead->legs[i].start);
    add_knot(track, track->length, lead->length);
    for (size_t i = 0; i < seam->mark_count; i++)
        add_knot(track, mark_on(w, track, seam->marks[i]), mark_on(w, lead, seam->marks[i]));
    for (size_t i = 1; i < track->knot_count; i++)
        known = known && track->knots[i].own >= track->knots[i - 1].own &&
                track->knots[i].lead >= track->knots[i - 1].lead;
    return known;
}

bool walk_find(Walker *w)
{
    const Seam *seam = w->walk.seam;
    w->sides = ARENA_NEW(w->walk.arena, Track, seam->side_count);
    for (w->lead = 0; w->lead < seam->side_count && !seam->sides[w->lead].count; w->lead++)
        ;
    if (w->lead == seam->side_count || !track_side(w, w->lead))
        return false;
    for (size_t side = 0; side < seam->side_count; side++) {
        if (side == w->lead)
            continue;
        if (!find_partners(w, side) || (w->sides[side].needed && !track_side(w, side)))
            return false;
        Tri against = sides_run_against(w->walk.m, seam, w->lead, side);
        if (w->sides[side].needed && against == TRI_UNKNOWN)
            return false;
        w->sides[side].against = against == TRI_YES;
        if (w->sides[side].needed && !match_side(w, &w->sides[side]))
            return false;
    }
    return true;
}

bool walk_find_edge(Walker *w, const Record *edge, double inside)
{
    w->sides = ARENA_NEW(w->walk.arena, Track, 1);
    w->sides[0] = (Track){.legs = ARENA_NEW(w->walk.arena, Leg, 1), .needed = true};
    return add_leg(w, &w->sides[0], edge, inside);
}

/* ---- What the row can meet ---- */

static bool same_sheet(const LaidPart *part, const Leg *leg)
{
    return part == leg->part || (part->sheet && part->sheet == leg->part->sheet);
}

/* Does the row run along the edge there? It is met then however far off its line. */
static bool leg_walks(const Walker *w, const Leg *leg, const Record *edge)
{
    bool walks = leg->edge->edge == edge;
    for (size_t side = 0; side < w->walk.seam->side_count; side++)
        walks |= leg->partners[side] && leg->partners[side]->edge == edge;
    return walks;
}

static bool leg_walks_part(const Walker *w, const Leg *leg, const Record *part)
{
    bool walks = leg->part->part == part;
    for (size_t side = 0; side < w->walk.seam->side_count; side++)
        walks |= leg->partners[side] && leg->partners[side]->edge->owner == part;
    return walks;
}

static Near near_of(const Walker *w, const Leg *leg, const LaidPart *part)
{
    Near near = {.part = part,
                 .edges = ARENA_NEW(w->walk.arena, const LaidEdge *, part->edge_count)};
    for (size_t i = 0; i < part->edge_count; i++) {
        const LaidEdge *edge = &part->edges[i];
        double most = w->walk.met[edge->edge->index].most;
        if (leg_walks(w, leg, edge->edge) ||
            once_may_near(once_in(w->walk.m, w->walk.arena), &leg->line, &edge->line, most))
            near.edges[near.edge_count++] = edge;
    }
    return near;
}

static double most_of(const Walker *w, const LaidPart *part)
{
    double most = LAID_SAME_MM;
    for (size_t i = 0; i < part->edge_count; i++)
        most = fmax(most, w->walk.met[part->edges[i].edge->index].most);
    return most;
}

static void find_near(const Walker *w, Leg *leg)
{
    const Lay *lay = w->walk.lay;
    Box own = line_box(&leg->line);
    leg->near = ARENA_NEW(w->walk.arena, Near, lay->count);
    for (size_t p = 0; p < lay->count; p++) {
        const LaidPart *part = &lay->parts[p];
        bool along = leg_walks_part(w, leg, part->part);
        if (!w->walk.joined[part->part->index] || !(along || same_sheet(part, leg)))
            continue;
        double apart = box_gap2(&own, &part->box), most = most_of(w, part);
        if (!along && apart > most * most)
            continue;
        Near near = near_of(w, leg, part);
        if (along || near.edge_count > 0 || apart <= LAID_SAME_MM * LAID_SAME_MM)
            leg->near[leg->near_count++] = near;
    }
}

/* ---- The numbers of legs and walks ---- */

static uint64_t number_of(const Walker *w, const Key *key)
{
    return held_number_of(w->walk.m->held, key->words, key->count);
}

static void add_near_key(const Walker *w, Key *key, const Near *near)
{
    const LaidPart *part = near->part;
    key_whole(key, part->shape);
    key_whole(key, part->other_half);
    key_whole(key, part->sheet ? (uint64_t)(part->sheet - w->walk.m->style->sheets) : KEPT_NONE);
    key_whole(key, w->walk.m->part_reads[part->part->index]);
    key_whole(key, near->edge_count);
    for (size_t i = 0; i < near->edge_count; i++)
        key_whole(key, w->walk.met[near->edges[i]->edge->index].layers);
}

static void add_partners_key(const Walker *w, Key *key, const Leg *leg)
{
    for (size_t side = 0; side < w->walk.seam->side_count; side++)
        key_whole(key, leg->partners[side] ? leg->partners[side]->edge->index : KEPT_NONE);
}

static void add_track_key(Key *key, const Track *track)
{
    key_whole(key, track->needed);
    key_whole(key, track->against);
    key_whole(key, track->knot_count);
    for (size_t i = 0; i < track->knot_count; i++) {
        key_number(key, track->knots[i].own);
        key_number(key, track->knots[i].lead);
    }
    key_whole(key, track->count);
}

static void look_from(const Walker *w, Leg *leg)
{
    Key key = key_new(w->walk.arena, KEY_LEG_NEAR);
    find_near(w, leg);
    key_whole(&key, leg->line.number);
    key_whole(&key, leg->edge->edge->index);
    key_whole(&key, leg->part->shape);
    key_whole(&key, leg->part->other_half);
    add_partners_key(w, &key, leg);
    for (size_t i = 0; i < leg->near_count; i++)
        add_near_key(w, &key, &leg->near[i]);
    leg->number = number_of(w, &key);
}

/* What the row itself has to say, and which edges are on which side. */
static uint64_t seam_number(const Walker *w)
{
    const Walk *walk = &w->walk;
    Key key = key_new(walk->arena, KEY_SEAM);
    key_whole(&key, walk->row != NULL);
    if (walk->row) {
        int32_t seam = (int32_t)walk->seam->record->index;
        key_number(&key, cell_get(walk->m, SEAM_JOIN, seam, 0).nominal);
        key_number(&key, cell_nominal(walk->m, ROW_DOES, walk->row));
    }
    key_whole(&key, walk->seam->side_count);
    for (size_t side = 0; side < walk->seam->side_count; side++) {
        const SeamSide *edges = &walk->seam->sides[side];
        key_whole(&key, edges->bare ? edges->bare->index : KEPT_NONE);
        key_whole(&key, edges->count);
        for (size_t i = 0; i < edges->count; i++)
            key_whole(&key, edges->edges[i]->index);
    }
    return number_of(w, &key);
}

void walk_key(const Walker *w, Key *key)
{
    key_whole(key, seam_number(w));
    key_whole(key, w->lead);
    for (size_t side = 0; side < w->walk.seam->side_count; side++) {
        const Track *track = &w->sides[side];
        add_track_key(key, track);
        for (size_t i = 0; i < track->count; i++) {
            const Leg *leg = &track->legs[i];
            key_whole(key, leg->line.number);
            key_whole(key, leg->edge->edge->index);
            add_partners_key(w, key, leg);
        }
    }
}

void walk_look(Walker *w)
{
    Key key = key_new(w->walk.arena, KEY_WALK);
    w->seam = seam_number(w);
    key_whole(&key, w->seam);
    key_whole(&key, w->lead);
    for (size_t side = 0; side < w->walk.seam->side_count; side++) {
        const Track *track = &w->sides[side];
        add_track_key(&key, track);
        for (size_t i = 0; i < track->count; i++) {
            look_from(w, &track->legs[i]);
            key_whole(&key, track->legs[i].number);
        }
    }
    w->number = number_of(w, &key);
}

/* ---- Marks along the row ---- */

/* From a place on a leg of a side to the row. */
static double to_row(const Track *track, const Leg *leg, double at)
{
    double along = along_track(track, leg, at);
    if (!track->knots)
        return along;
    size_t i = track->knot_count - 2;
    while (i > 0 && track->knots[i].own > along)
        i--;
    const Knot *from = &track->knots[i], *to = from + 1;
    double share = to->own > from->own ? (along - from->own) / (to->own - from->own) : 0;
    return from->lead + share * (to->lead - from->lead);
}

/* A place of the row on a side, and how far one mm of the row goes there. */
typedef struct OnLeg {
    const Leg *leg;
    double at, rate;
} OnLeg;

static const Leg *leg_at(const Track *track, double at)
{
    size_t i = track->count - 1;
    while (i > 0 && track->legs[i].start > at)
        i--;
    return &track->legs[i];
}

static OnLeg from_row(const Track *track, double at)
{
    double along = at, rate = 1;
    if (track->knots) {
        size_t i = track->knot_count - 2;
        while (i > 0 && track->knots[i].lead > at)
            i--;
        const Knot *from = &track->knots[i], *to = from + 1;
        rate = to->lead > from->lead ? (to->own - from->own) / (to->lead - from->lead) : 0;
        along = from->own + (at - from->lead) * rate;
    }
    OnLeg on = {leg_at(track, along), 0, rate};
    on.at = along - on.leg->start;
    if (track->against)
        on.at = on.leg->length - on.at;
    return on;
}

static void add_mark(Walker *w, double at)
{
    *ARENA_PUSH(w->walk.arena, w->marks, w->mark_count, w->mark_capacity) = at;
}

static void mark_line(Walker *w, const Track *track, const Leg *leg, const Line *line, double level)
{
    const double *at;
    size_t found = once_levels(once_in(w->walk.m, w->walk.arena), &leg->line, line, level, &at);
    for (size_t k = 0; k < found; k++)
        add_mark(w, to_row(track, leg, at[k]));
}

/* Where a margin ends, straight out from the end of its line. */
static void mark_margin_end(Walker *w, const Track *track, const Leg *leg, const Line *line,
                            double at, double margin)
{
    Point way = line_direction(line, at), end = line_point(line, at);
    const Point out[2] = {end, {end.x + way.y * margin, end.y - way.x * margin}};
    const Box reach = line_box(&leg->line), box = box_around(out[0], out[1]);
    if (box_gap2(&reach, &box) > 0)
        return;
    Line side = line_new(w->walk.arena, out, 2);
    mark_line(w, track, leg, &side, 0);
}

static void mark_edge(Walker *w, const Track *track, const Leg *leg, const LaidEdge *edge,
                      Box reach)
{
    const EdgeMet *met = &w->walk.met[edge->edge->index];
    Box box = line_box(&edge->line);
    double gap2 = box_gap2(&reach, &box);
    if (gap2 > met->level_most * met->level_most)
        return;
    for (size_t i = 0; i < met->level_count; i++)
        if (gap2 <= met->levels[i] * met->levels[i])
            mark_line(w, track, leg, &edge->line, met->levels[i]);
    if (met->margin > 0) {
        mark_margin_end(w, track, leg, &edge->line, 0, met->margin);
        mark_margin_end(w, track, leg, &edge->line, line_length(&edge->line), met->margin);
    }
}

static void mark_track(Walker *w, const Track *track)
{
    for (size_t i = 0; i < track->knot_count; i++)
        add_mark(w, track->knots[i].lead);
    for (size_t i = 0; i < track->count; i++) {
        const Leg *leg = &track->legs[i];
        Box reach = line_box(&leg->line);
        add_mark(w, to_row(track, leg, 0));
        add_mark(w, to_row(track, leg, leg->length));
        for (size_t p = 0; p < leg->near_count; p++) {
            const Near *near = &leg->near[p];
            if (!same_sheet(near->part, leg))
                continue;
            if (box_gap2(&reach, &near->part->box) == 0)
                mark_line(w, track, leg, &near->part->outline, 0);
            for (size_t k = 0; k < near->edge_count; k++)
                mark_edge(w, track, leg, near->edges[k], reach);
        }
    }
}

/* ---- Layers along the row ---- */

/* A stretch of the row on a leg; how far to both sides of its middle. */
static OnLeg stretch_on(const Track *track, double from, double to, double *half)
{
    OnLeg on = from_row(track, (from + to) / 2);
    *half = fmax((to - from) / 2 * on.rate, MEET_ALONG_MM);
    return on;
}

static Meeting meeting_on(const Walker *w, const Track *track, double from, double to)
{
    double half;
    OnLeg on = stretch_on(track, from, to, &half);
    Meeting meeting = {on.leg->part->sheet,
                       line_point(&on.leg->line, on.at),
                       line_point(&on.leg->line, on.at - half),
                       line_point(&on.leg->line, on.at + half),
                       ARENA_NEW(w->walk.arena, const Record *, w->walk.seam->side_count),
                       1,
                       on.leg->near,
                       on.leg->near_count};
    meeting.walked[0] = on.leg->edge->edge;
    meeting.walked_count = w->walk.row != NULL; /* along a bare edge nothing is sewn */
    return meeting;
}

/* Closed, turned, bound and trimmed seams run along the edges of both sides, also
 * where the other lies in place. */
static void add_partners(const Walker *w, Meeting *meeting, const Leg *leg)
{
    for (size_t side = 0; side < w->walk.seam->side_count; side++)
        if (leg->partners[side] && seam_underlay(w->walk.m, w->walk.seam, side) != TRI_YES)
            meeting->walked[meeting->walked_count++] = leg->partners[side]->edge;
}

static Point place_at(const Walker *w, double at)
{
    OnLeg on = from_row(&w->sides[w->lead], at);
    return line_point(&on.leg->line, on.at);
}

/* Is the side walked along elsewhere while the lead is on the leg? */
static bool walks_apart(const Walker *w, const Leg *leg, size_t side)
{
    return side != w->lead && w->sides[side].needed && !leg->partners[side];
}

static PlySet layers_on(const Walker *w, double from, double to)
{
    PlySet set = {0};
    const Track *lead = &w->sides[w->lead];
    const Leg *leg = leg_at(lead, (from + to) / 2);
    Meeting meeting = meeting_on(w, lead, from, to);
    add_partners(w, &meeting, leg);
    meet_layers(&w->walk, &set, &meeting);
    for (size_t side = 0; side < w->walk.seam->side_count; side++)
        if (walks_apart(w, leg, side)) {
            meeting = meeting_on(w, &w->sides[side], from, to);
            meet_layers(&w->walk, &set, &meeting);
        }
    return set;
}

/* How many of the distances at which something changes the place lies beyond. */
static size_t band_of(const Walker *w, const Draft *draft)
{
    size_t band = 0;
    if (!draft->placed)
        return 0;
    const EdgeMet *met = &w->walk.met[draft->edge->index];
    for (size_t i = 0; i < met->level_count; i++)
        band += fabs(draft->inside) > met->levels[i];
    return band;
}

static bool same_layers(const Walker *w, const PlySet *a, const PlySet *b)
{
    if (a->count != b->count || a->unknown != b->unknown)
        return false;
    for (size_t i = 0; i < a->count; i++) {
        const Draft *x = &a->items[i], *y = &b->items[i];
        if (x->part != y->part || x->edge != y->edge || x->cut != y->cut ||
            x->placed != y->placed || x->fold_alone != y->fold_alone ||
            band_of(w, x) != band_of(w, y))
            return false;
    }
    return true;
}

static bool on_its_part(const Walker *w, double at)
{
    return laid_covers(leg_at(&w->sides[w->lead], at)->part, place_at(w, at), LAID_SAME_MM);
}

/* What the middle has more or less than the mean of both ends, not compressed. */
static double bulge_of(const Walker *w, const Stretch *stretch, const PlySet *middle)
{
    const Measuring *m = w->walk.m;
    double bulge = 0;
    for (size_t i = 0; i < middle->count; i++) {
        const Layer layers[3] = {layer_at(m, &stretch->begin.items[i], 0),
                                 layer_at(m, &stretch->end.items[i], 0),
                                 layer_at(m, &middle->items[i], 0)};
        double sums[3];
        for (int k = 0; k < 3; k++)
            sums[k] = layers[k].thickness.nominal + layers[k].folded.nominal;
        bulge += fabs(sums[2] - (sums[0] + sums[1]) / 2);
    }
    return bulge;
}

/* ---- Layers as they are kept ---- */

KeptDraft kept_draft(const Draft *draft)
{
    return (KeptDraft){.part = draft->part ? draft->part->index : KEPT_NONE,
                       .edge = draft->edge ? draft->edge->index : KEPT_NONE,
                       .layers = draft->layers,
                       .inside = {draft->inside, draft->inside, draft->inside},
                       .cut = draft->cut,
                       .binding = draft->binding,
                       .placed = draft->placed,
                       .fold_alone = draft->fold_alone};
}

static const Record *record_at(const Walker *w, Subject subject, uint64_t index)
{
    return index == KEPT_NONE ? NULL : values_list(w->walk.m, subject)->items[index];
}

Draft kept_taken(const Walker *w, const KeptDraft *kept, int place)
{
    return (Draft){.part = record_at(w, SUBJECT_PART, kept->part),
                   .edge = record_at(w, SUBJECT_EDGE, kept->edge),
                   .row = w->walk.row,
                   .cut = kept->cut,
                   .layers = kept->layers,
                   .binding = kept->binding,
                   .placed = kept->placed,
                   .fold_alone = kept->fold_alone,
                   .inside = kept->inside[place]};
}

/* What lies between two marks, or halfway. */
typedef struct Piece {
    bool unknown, tapers;
    size_t count;
    KeptDraft drafts[];
} Piece;

static const Piece *meet_piece(const Walker *w, double from, double to, const KeyWord *key,
                               size_t words)
{
    PlySet middle = layers_on(w, from, to), begin, end;
    bool tapers = meet_again(&w->walk, &middle, place_at(w, from), &begin);
    if (tapers)
        meet_again(&w->walk, &middle, place_at(w, to), &end);
    Piece *piece = held_keep(w->walk.m->held, key, words,
                             sizeof *piece + middle.count * sizeof piece->drafts[0]);
    *piece = (Piece){middle.unknown, tapers, middle.count};
    for (size_t i = 0; i < middle.count; i++) {
        piece->drafts[i] = kept_draft(&middle.items[i]);
        piece->drafts[i].inside[1] = begin.items[i].inside;
        piece->drafts[i].inside[2] = tapers ? end.items[i].inside : middle.items[i].inside;
    }
    return piece;
}

static void add_on_key(Key *key, const Track *track, double from, double to)
{
    double half;
    OnLeg on = stretch_on(track, from, to, &half);
    key_whole(key, on.leg->number);
    key_number(key, on.at);
    key_number(key, half);
}

static void add_point_key(Key *key, Point point)
{
    key_number(key, point.x);
    key_number(key, point.y);
}

/* By what lies near there only: what changes elsewhere along the row is nothing to it. */
static const Piece *piece_of(const Walker *w, double from, double to)
{
    const Track *lead = &w->sides[w->lead];
    const Leg *leg = leg_at(lead, (from + to) / 2);
    Key key = key_new(w->walk.arena, KEY_PIECE);
    key_whole(&key, w->seam);
    key_whole(&key, w->lead);
    add_point_key(&key, place_at(w, from));
    add_point_key(&key, place_at(w, to));
    add_on_key(&key, lead, from, to);
    for (size_t side = 0; side < w->walk.seam->side_count; side++)
        if (walks_apart(w, leg, side))
            add_on_key(&key, &w->sides[side], from, to);
        else
            key_whole(&key, KEPT_NONE);
    const Piece *piece = held_find(w->walk.m->held, key.words, key.count);
    return piece ? piece : meet_piece(w, from, to, key.words, key.count);
}

static PlySet set_at(const Walker *w, const Piece *piece, int place)
{
    PlySet set = {.items = ARENA_NEW(w->walk.arena, Draft, piece->count),
                  .count = piece->count,
                  .capacity = piece->count,
                  .unknown = piece->unknown};
    for (size_t i = 0; i < piece->count; i++)
        set.items[i] = kept_taken(w, &piece->drafts[i], place);
    return set;
}

/* Where a taper does not run straight the stretch is halved until it nearly does. */
static void add_stretch(Walker *w, double from, double to, int halvings)
{
    const Piece *piece = piece_of(w, from, to);
    bool tapers = piece->tapers;
    PlySet middle = set_at(w, piece, 0);
    Stretch stretch = {.from = from, .to = to, .begin = middle, .end = middle, .tapers = tapers};
    if (tapers) {
        stretch.begin = set_at(w, piece, 1);
        stretch.end = set_at(w, piece, 2);
    }
    if (tapers && halvings > 0 && bulge_of(w, &stretch, &middle) > STRAIGHT_MM) {
        add_stretch(w, from, (from + to) / 2, halvings - 1);
        add_stretch(w, (from + to) / 2, to, halvings - 1);
        return;
    }
    Stretch *last = w->count ? &w->stretches[w->count - 1] : NULL;
    if (last && !tapers && !last->tapers && last->to == from &&
        same_layers(w, &last->end, &stretch.begin)) {
        last->to = to;
        return;
    }
    *ARENA_PUSH(w->walk.arena, w->stretches, w->count, w->capacity) = stretch;
}

/* ---- From mark to mark ---- */

typedef struct Reach {
    double from, to;
} Reach;

typedef struct Reaches {
    size_t count;
    Reach items[];
} Reaches;

static size_t between_marks(Walker *w, Reach *reaches)
{
    double from = 0, length = w->sides[w->lead].length;
    size_t count = 0;
    for (size_t i = 0; i < w->mark_count; i++) {
        double to = w->marks[i];
        if (to - from < STRETCH_LEAST_MM && !(to >= length && to > from))
            continue;
        if (on_its_part(w, (from + to) / 2))
            reaches[count++] = (Reach){from, to};
        from = to;
    }
    return count;
}

static const Reaches *mark_all(Walker *w, const KeyWord *key, size_t words)
{
    for (size_t side = 0; side < w->walk.seam->side_count; side++)
        mark_track(w, &w->sides[side]);
    add_mark(w, w->sides[w->lead].length);
    sort_numbers(w->marks, w->mark_count);
    Reach *own = ARENA_NEW(w->walk.arena, Reach, w->mark_count);
    size_t count = between_marks(w, own);
    Reaches *reaches =
        held_keep(w->walk.m->held, key, words, sizeof *reaches + count * sizeof *own);
    reaches->count = count;
    memcpy(reaches->items, own, count * sizeof *own);
    return reaches;
}

/* The row ends where it leaves its own part. */
void walk_go(Walker *w)
{
    const KeyWord key[] = {{KEY_MARKS}, {w->number}};
    const size_t words = sizeof key / sizeof key[0];
    const Reaches *reaches = held_find(w->walk.m->held, key, words);
    if (!reaches)
        reaches = mark_all(w, key, words);
    for (size_t i = 0; i < reaches->count; i++)
        add_stretch(w, reaches->items[i].from, reaches->items[i].to, HALVINGS_MOST);
}

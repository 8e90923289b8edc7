/* Whether what is sewn together fits as drawn: lengths along a seam, bends that are
 * turned together, laps that reach. For the files of src/measure only. */
#include "measure/measuring.h"
#include "shape/area.h"

/* Bends turned together may be drawn this far from each other along the line. */
static const double SAME_PLACE_MM = 5;
/* A place of the over edge that lies further off the underlay is not lapped. */
static const double OFF_UNDERLAY_MM = 1;

/* ---- Lengths ---- */

/* Of all that is left of the lap line; NaN where nothing is. */
static double lap_length(Held *held, const Line *line, double lap)
{
    const KeyWord key[] = {{KEY_LAP}, {line->number}, {.number = lap}};
    const size_t words = sizeof key / sizeof key[0];
    const double *found = held_find(held, key, words);
    if (found)
        return *found;
    Arena arena = {0};
    Line *pieces;
    double length = 0;
    size_t count = area_beside(&arena, line, lap, &pieces);
    for (size_t i = 0; i < count; i++)
        length += line_length(&pieces[i]);
    arena_free(&arena);
    return *(double *)held_keep(held, key, words, sizeof length) = count ? length : NAN;
}

/* Of an underlay that lies elsewhere the lap line is as long as what is sewn to it. */
static double sewn_length(Measuring *m, const Seam *seam, size_t side, const Record *edge,
                          const Lay *lay)
{
    if (!lay->of_edge[edge->index])
        return NAN;
    const LaidEdge *laid = lay->of_edge[edge->index];
    double lap = cell_get(m, EDGE_ALLOWANCE, (int32_t)edge->index, 0).nominal;
    if (seam_underlay(m, seam, side) != TRI_YES || lap == 0)
        return laid->length;
    if (isnan(lap))
        return NAN;
    return laid->length - line_length(&laid->line) + lap_length(m->held, &laid->line, lap);
}

static double ease_of(const Seam *seam, const Record *edge)
{
    for (size_t i = 0; i < seam->ease_count; i++)
        if (seam->eases[i].edge == edge)
            return seam->eases[i].amount.presence == VALUE_KNOWN
                       ? seam->eases[i].amount.quantity.nominal
                       : NAN;
    return 0;
}

static double side_length(Measuring *m, const Seam *seam, size_t side, const Lay *lay)
{
    double sum = 0;
    for (size_t i = 0; i < seam->sides[side].count; i++) {
        const Record *edge = seam->sides[side].edges[i];
        sum += sewn_length(m, seam, side, edge, lay) - ease_of(seam, edge);
    }
    return sum;
}

/* The most that any two sides differ. */
static double misfit_of(Measuring *m, const Seam *seam, const Lay *lay)
{
    double least = INFINITY, most = -INFINITY;
    for (size_t side = 0; side < seam->side_count; side++) {
        double length = side_length(m, seam, side, lay);
        if (isnan(length))
            return NAN;
        least = fmin(least, length);
        most = fmax(most, length);
    }
    return most - least;
}

/* Are all edges of the seam drawn, on sheets that are known? */
static Tri all_drawn(const Measuring *m, const Seam *seam)
{
    Tri drawn = seam->side_count > 1 ? TRI_YES : seam->side_count ? TRI_NO : TRI_UNKNOWN;
    for (size_t side = 0; side < seam->side_count; side++) {
        if (seam->sides[side].count == 0)
            drawn = tri_and(drawn, seam->sides[side].bare ? TRI_NO : TRI_UNKNOWN);
        for (size_t i = 0; i < seam->sides[side].count; i++)
            drawn = tri_and(drawn, drawn_part(m, seam->sides[side].edges[i]->owner));
    }
    return drawn;
}

/* ---- Laps ---- */

/* The part under the over edge where both lie on one sheet; NULL elsewhere. Of
 * several the one that it lies on. */
static const LaidPart *underlay_of(Held *held, const Lay *lay, const SeamSide *under,
                                   const LaidPart *over, const Line *line)
{
    const LaidPart *first = NULL;
    for (size_t i = 0; i < under->count; i++) {
        const LaidPart *part = lay->of_part[under->edges[i]->owner->index];
        if (!part || !over->sheet || part->sheet != over->sheet)
            continue;
        if (laid_on_once(held, line, part))
            return part;
        first = first ? first : part;
    }
    return first;
}

/* Is every over edge laid on the underlay? */
static bool is_laid(Held *held, const Lay *lay, const Seam *seam)
{
    const SeamSide *over = &seam->sides[0], *under = &seam->sides[seam->side_count - 1];
    for (size_t i = 0; i < over->count; i++) {
        const LaidPart *part = lay->of_part[over->edges[i]->owner->index];
        const Line *line = &lay->of_edge[over->edges[i]->index]->line;
        const LaidPart *below = underlay_of(held, lay, under, part, line);
        if (!below || !laid_on_once(held, line, below))
            return false;
    }
    return over->count > 0;
}

/* Does some of the line lie off the part? */
static bool runs_off(Held *held, const Line *line, const LaidPart *below)
{
    Arena arena = {0};
    const double *at;
    double from = 0;
    bool off = false;
    size_t count = once_levels((Once){held, &arena}, line, &below->outline, OFF_UNDERLAY_MM, &at);
    for (size_t i = 0; i <= count && !off; i++) {
        double to = i < count ? at[i] : line_length(line);
        off = to > from && !laid_covers(below, line_point(line, (from + to) / 2), OFF_UNDERLAY_MM);
        from = to;
    }
    arena_free(&arena);
    return off;
}

static double overlap_on(Measuring *m, const Lay *lay, const SeamSide *under, const LaidPart *below,
                         const Line *line)
{
    double least = INFINITY;
    if (runs_off(m->held, line, below))
        return 0;
    for (size_t i = 0; i < under->count; i++)
        if (under->edges[i]->owner == below->part)
            least = once_gap(once_in(m, &m->scratch), line,
                             &lay->of_edge[under->edges[i]->index]->line, least);
    return least;
}

static double overlap_of(Measuring *m, const Lay *lay, const Seam *seam)
{
    const SeamSide *over = &seam->sides[0], *under = &seam->sides[seam->side_count - 1];
    double least = INFINITY;
    for (size_t i = 0; i < over->count; i++) {
        const LaidPart *part = lay->of_part[over->edges[i]->owner->index];
        const Line *line = part ? &lay->of_edge[over->edges[i]->index]->line : NULL;
        const LaidPart *below = part ? underlay_of(m->held, lay, under, part, line) : NULL;
        if (!below)
            return NAN;
        least = fmin(least, overlap_on(m, lay, under, below, line));
    }
    return least;
}

/* ---- Seams ---- */

static void fill_misfit(Measuring *m, const Seam *seam, Tri compared)
{
    Span *misfits = ARENA_NEW(&m->scratch, Span, m->size_count);
    for (uint32_t size = 0; size < m->size_count; size++) {
        bool known = compared == TRI_YES && m->lays[size] && !seam->ease_unknown;
        misfits[size] = drawn_span(m, known ? misfit_of(m, seam, m->lays[size]) : NAN);
        if (misfits[size].lo < 0)
            misfits[size].lo = 0;
    }
    drawn_put(m, SEAM_MISFIT, seam->record->index, misfits, "lengths of the drawn lines",
              compared == TRI_YES);
}

static void fill_overlap(Measuring *m, const Seam *seam, bool laid)
{
    Span *overlaps = ARENA_NEW(&m->scratch, Span, m->size_count);
    for (uint32_t size = 0; size < m->size_count; size++)
        overlaps[size] =
            drawn_span(m, laid && m->lays[size] ? overlap_of(m, m->lays[size], seam) : NAN);
    drawn_put(m, SEAM_OVERLAP, seam->record->index, overlaps,
              "from the over edge to the underlay's cut line as drawn", laid);
}

static void fill_seam(Measuring *m, const Seam *seam)
{
    uint32_t index = seam->record->index;
    const Lay *base = m->lays[m->base_size];
    Tri drawn = drawn_any(m) ? all_drawn(m, seam) : TRI_NO;
    Tri lap = seam->side_count ? seam_underlay(m, seam, seam->side_count - 1) : TRI_UNKNOWN;
    Tri in_place = drawn == TRI_YES ? (is_laid(m->held, base, seam) ? TRI_YES : TRI_NO) : drawn;
    Tri laid = tri_and(tri_and(lap, in_place), drawn);
    Tri compared = tri_and(drawn, tri_not(tri_and(lap, in_place)));
    cell_put_tri(m, SEAM_COMPARED, index, compared, "both sides drawn, and no lap in place");
    cell_put_tri(m, SEAM_LAID, index, laid, "from the drawing");
    fill_misfit(m, seam, compared);
    fill_overlap(m, seam, laid == TRI_YES);
}

/* ---- Bends turned together ---- */

/* The edge of another side that runs along this one, and whether against it. */
static const Record *turned_with(const Measuring *m, const Record *edge, Tri *against)
{
    const JointList *joints = &m->joints[edge->index];
    for (size_t i = 0; i < joints->count; i++) {
        const Seam *seam = joints->items[i].seam;
        size_t side = joints->items[i].side, other = side ? 0 : seam->side_count - 1;
        if (seam_is(m, seam, "turned") != TRI_YES || other == side ||
            seam->sides[other].count != seam->sides[side].count)
            continue;
        *against = sides_run_against(m, seam, side, other);
        for (size_t k = 0; k < seam->sides[side].count; k++)
            if (seam->sides[side].edges[k] == edge)
                return seam->sides[other].edges[k];
    }
    return NULL;
}

/* How far the two places are apart along the line. Where one of them is typed it
 * does not say from which end. */
static double apart(const Measuring *m, const Record *bend, const Record *other, Tri against)
{
    double length = cell_nominal(m, EDGE_LENGTH, bend->owner);
    double its = cell_nominal(m, EDGE_LENGTH, other->owner);
    double at = cell_nominal(m, BEND_AT, bend),
           there = cell_nominal(m, BEND_AT, other) * length / its;
    bool drawn = m->style->bends[bend->index] && m->style->bends[other->index];
    double same = fabs(at - there), turned = fabs(at - (length - there));
    return drawn ? (against == TRI_YES ? turned : same) : fmin(same, turned);
}

static const Record *bend_beside(const Measuring *m, const Record *bend, const Record *partner,
                                 Tri against, bool *unknown)
{
    const RecordList *bends = values_list(m, SUBJECT_BEND);
    const Record *best = NULL;
    double least = SAME_PLACE_MM;
    for (size_t i = 0; i < bends->count; i++) {
        const Record *other = bends->items[i];
        if (other->owner != partner)
            continue;
        double away = apart(m, bend, other, against);
        double curve = cell_nominal(m, BEND_CURVE, bend), its = cell_nominal(m, BEND_CURVE, other);
        *unknown |= other->placeholder || isnan(away) || isnan(curve) || isnan(its);
        if ((curve == its) == (against == TRI_YES) || !(away <= least))
            continue;
        best = other;
        least = away;
    }
    return best;
}

static void fill_pair(Measuring *m, const Record *bend)
{
    uint32_t index = bend->index;
    Tri against = TRI_UNKNOWN;
    bool unknown = bend->placeholder;
    const Record *partner = bend->owner ? turned_with(m, bend->owner, &against) : NULL;
    const Record *other =
        partner && against != TRI_UNKNOWN ? bend_beside(m, bend, partner, against, &unknown) : NULL;
    unknown |= against == TRI_UNKNOWN;
    Tri paired = other ? TRI_YES : !partner || unknown ? TRI_UNKNOWN : TRI_NO;
    cell_put_tri(m, BEND_PAIRED, index, paired,
                 partner ? "against the edge turned with it" : "turned with no single edge");
    for (uint32_t lane = 0; lane < m->columns->fields[BEND_PAIR_OFF].stride; lane++)
        cell_put(m, BEND_PAIR_OFF, index, lane,
                 other ? span_absolute(
                             span_subtract(cell_get(m, BEND_RADIUS, (int32_t)index, lane),
                                           cell_get(m, BEND_RADIUS, (int32_t)other->index, lane)))
                       : span_exact(NAN));
    m->columns->fields[BEND_PAIR_OFF].origins[index] =
        origin_derived(m, "radius against the other bend's",
                       other && cell_assumed(m, BEND_RADIUS, (int32_t)index));
}

void fits_fill(Measuring *m)
{
    const RecordList *bends = values_list(m, SUBJECT_BEND);
    for (size_t i = 0; i < m->style->seam_count; i++)
        fill_seam(m, &m->style->seams[i]);
    for (size_t i = 0; i < bends->count; i++)
        fill_pair(m, bends->items[i]);
}

/* An order in which as many seams as can be lie flat. For the commands, the report
 * and the screen.
 *
 * Among the seams that nothing has to come before, the one is taken that keeps most
 * open: first what lies flat and closes no ring, before that what is sewn face to
 * face (which lies flat even where it closes the ring, so it can wait); then face to
 * face; then what closes a ring flat; then the rest. Ties go by the given order. */
#include <limits.h>
#include <string.h>

#include "making/making_inside.h"

typedef struct Proposal {
    Making making;
    bool *sewn;
    bool *after;     /* [s * count + t]: seam s comes after seam t */
    size_t *waits;   /* by seam: for how many that are not sewn */
    size_t *rank;    /* in the given order */
    size_t *by_rank; /* seams in that order */
    size_t count;
} Proposal;

static bool on_side(const SeamSide *side, const Record *part)
{
    if (side->bare == part)
        return true;
    for (size_t i = 0; i < side->count; i++)
        if (side->edges[i]->owner == part)
            return true;
    return false;
}

/* Does it join the one part to the other? */
static bool joins(const Seam *seam, const Record *one, const Record *other)
{
    for (size_t a = 0; a < seam->side_count; a++)
        for (size_t b = 0; b < seam->side_count; b++)
            if (a != b && on_side(&seam->sides[a], one) && on_side(&seam->sides[b], other))
                return true;
    return false;
}

/* Whatever joins the two parts comes before the seam. */
static void after_joining(Proposal *p, size_t seam, const Record *one, const Record *other)
{
    for (size_t t = 0; t < p->count; t++)
        if (t != seam && joins(&p->making.style->seams[t], one, other))
            p->after[seam * p->count + t] = true;
}

/* What the other half of a folded part lies over, on the sheet of the other side. */
static void after_crossed(Proposal *p, size_t seam, const Record *over, const Record *bare)
{
    const Judgement *judgement = p->making.judgement;
    const Lay *lay = measured_lay(judgement->measured, measured_base_size(judgement->measured));
    for (size_t i = 0; lay && i < lay->count; i++) {
        const LaidPart *half = &lay->parts[i];
        if (half->part != over || !half->other_half || half->ring_count == 0)
            continue;
        for (size_t k = 0; k < lay->count; k++)
            if (lay->parts[k].sheet == half->sheet && lay->parts[k].part != over &&
                laid_covers(&lay->parts[k], half->ring[0], LAID_SAME_MM))
                after_joining(p, seam, bare, lay->parts[k].part);
    }
}

static bool is_inner(const Proposal *p, const Record *part)
{
    return making_is(&p->making, PART_ROLE, part, "lining") ||
           making_is(&p->making, PART_ROLE, part, "sock");
}

/* Does it join an upper to its lining? */
static bool lines(const Proposal *p, const Seam *seam)
{
    bool inner = false, outer = false;
    for (size_t side = 0; side < seam->side_count; side++) {
        const SeamSide *edges = &seam->sides[side];
        for (size_t i = 0; i < edges->count; i++) {
            inner |= is_inner(p, edges->edges[i]->owner);
            outer |= !is_inner(p, edges->edges[i]->owner);
        }
    }
    return inner && outer;
}

static bool shares_part(const Seam *seam, const Seam *other)
{
    for (size_t side = 0; side < seam->side_count; side++)
        for (size_t i = 0; i < seam->sides[side].count; i++)
            for (size_t k = 0; k < other->side_count; k++)
                if (on_side(&other->sides[k], seam->sides[side].edges[i]->owner))
                    return true;
    return false;
}

/* Rows sewn later would go through the lining; where the given order has it so, it may be. */
static void after_both_are_made(Proposal *p, size_t seam)
{
    const Style *style = p->making.style;
    for (size_t t = 0; t < p->count; t++)
        if (p->rank[t] < p->rank[seam] && !lines(p, &style->seams[t]) &&
            shares_part(&style->seams[seam], &style->seams[t]))
            p->after[seam * p->count + t] = true;
}

static void find_constraints(Proposal *p, size_t s)
{
    const Seam *seam = &p->making.style->seams[s];
    const Record *bare = NULL;
    for (size_t side = 0; side < seam->side_count; side++) {
        const SeamSide *edges = &seam->sides[side];
        bare = edges->bare ? edges->bare : bare;
        for (size_t i = 1; i < edges->count; i++)
            if (edges->edges[i]->owner != edges->edges[i - 1]->owner)
                after_joining(p, s, edges->edges[i - 1]->owner, edges->edges[i]->owner);
    }
    if (lines(p, seam))
        after_both_are_made(p, s);
    for (size_t side = 0; bare && side < seam->side_count; side++)
        for (size_t i = 0; i < seam->sides[side].count; i++)
            after_crossed(p, s, seam->sides[side].edges[i]->owner, bare);
}

/* The smaller the sooner. */
static int reluctance(const Proposal *p, const Seam *seam)
{
    Sewing sewing = assembly_try(p->making.assembly, seam);
    bool face = making_is(&p->making, SEAM_JOIN, seam->record, "closed") ||
                making_is(&p->making, SEAM_JOIN, seam->record, "turned");
    if (sewing.flat == TRI_YES && sewing.ring == TRI_NO)
        return face ? 1 : 0;
    return sewing.flat == TRI_YES ? 2 : 3;
}

/* Where seams wait for each other, the given order decides. */
static size_t next_seam(const Proposal *p)
{
    size_t best = SIZE_MAX, waiting = SIZE_MAX;
    int least = INT_MAX;
    for (size_t i = 0; i < p->count && least > 0; i++) {
        size_t s = p->by_rank[i];
        if (p->sewn[s])
            continue;
        waiting = waiting == SIZE_MAX ? s : waiting;
        int here = p->waits[s] == 0 ? reluctance(p, &p->making.style->seams[s]) : INT_MAX;
        if (here < least) {
            best = s;
            least = here;
        }
    }
    return best == SIZE_MAX ? waiting : best;
}

static void sew(Proposal *p, size_t seam)
{
    p->sewn[seam] = true;
    for (size_t s = 0; s < p->count; s++)
        p->waits[s] -= p->after[s * p->count + seam];
    making_step(&p->making, &p->making.style->seams[seam]);
}

/* Seams that the order does not name come last. */
static void find_ranks(Proposal *p)
{
    const Style *style = p->making.style;
    size_t ranks = 0;
    for (size_t s = 0; s < p->count; s++)
        p->rank[s] = SIZE_MAX;
    for (size_t i = 0; i < style->order_count; i++)
        p->rank[style->order[i]] = ranks++;
    for (size_t s = 0; s < p->count; s++) {
        p->rank[s] = p->rank[s] == SIZE_MAX ? ranks++ : p->rank[s];
        p->by_rank[p->rank[s]] = s;
    }
}

/* ---- How much there is to try ---- */

static double tries_of(const Style *style)
{
    double count = (double)style->seam_count, named = 0, crossed = 0;
    double parts = (double)style->lists[SUBJECT_PART].count;
    double edges = (double)style->lists[SUBJECT_EDGE].count;
    for (size_t s = 0; s < style->seam_count; s++) {
        const Seam *seam = &style->seams[s];
        double here = 0;
        bool bare = false;
        for (size_t side = 0; side < seam->side_count; side++) {
            here += (double)seam->sides[side].count;
            bare |= seam->sides[side].bare != NULL;
        }
        named += here;
        crossed += bare ? here : 0;
    }
    return count * count * (parts + edges) + named * named + crossed * parts * (parts + named);
}

MakingOrder making_proposed(Arena *arena, const Judgement *judgement)
{
    size_t count = judgement->style->seam_count;
    if (tries_of(judgement->style) > MAKING_TRIES) {
        MakingOrder given = making_given(arena, judgement);
        given.unsought = true;
        return given;
    }
    Proposal p = {.making = making_new(arena, judgement),
                  .sewn = ARENA_NEW(arena, bool, count),
                  .after = ARENA_NEW(arena, bool, count *count),
                  .waits = ARENA_NEW(arena, size_t, count),
                  .rank = ARENA_NEW(arena, size_t, count),
                  .by_rank = ARENA_NEW(arena, size_t, count),
                  .count = count};
    find_ranks(&p);
    for (size_t s = 0; s < count; s++)
        find_constraints(&p, s);
    for (size_t i = 0; i < count * count; i++)
        p.waits[i / count] += p.after[i];
    for (size_t i = 0; i < count; i++)
        sew(&p, next_seam(&p));
    return p.making.order;
}

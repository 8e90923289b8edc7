/* Parts, edge by edge, sewn seam by seam into one surface. For src/measure and for
 * the making order. */
#include <math.h>
#include <string.h>

#include "measure/assembly.h"

#include "base/sort.h"
#include "shape/surface.h"

/* Where the edge of a part lies on its rim: stretches first .. first + count - 1, in
 * the direction of the edge. A part drawn to a fold line has each edge twice, the
 * second the other way round. */
typedef struct RimEdge {
    size_t first, count;
    double *cuts; /* shares of its length where one stretch ends and the next begins */
    bool back;    /* runs against the edge: in the other half */
    bool taken;   /* by a seam */
    bool on_rim;
} RimEdge;

/* Two edges, or pieces of them, that a seam lays on each other; shares of their lengths. */
typedef struct Lap {
    uint32_t edge[2];
    double from[2], to[2];
    bool against;
} Lap;

/* What a part hangs together with, by whatever means. But for the first, told where the
 * part is the one that stands for all. */
typedef struct Hanging {
    uint32_t leader; /* a part nearer to the one that stands for all; itself: it is the one */
    uint32_t count;
    size_t free;  /* edges that no seam has taken */
    bool blurred; /* a second join within it that nobody can follow */
    bool rimless; /* a part has no rim: nobody knows how long an opening is */
} Hanging;

struct Assembly {
    Arena *arena;
    const Style *style;
    const Columns *columns;
    uint32_t lane;      /* of the base size */
    Surface *surface;   /* of the drawn parts; piece_of says which */
    size_t *piece_of;   /* by part; SIZE_MAX: it has no rim */
    RimEdge (*rims)[2]; /* by edge: its own half, and the other */
    Lap *laps;          /* in order of their seams */
    size_t lap_count, lap_capacity;
    size_t *seam_laps; /* by seam: its first lap; one more at the end */
    Hanging *hanging;  /* by part */
    size_t *bodies;    /* by part: room for hang_together, NO_BODY between */
    bool *met;         /* by piece: room for bodies_of, false between */
    bool open;         /* a seam that nobody knows the edges of was sewn */
};

#define NO_BODY SIZE_MAX
#define BODIES (SIZE_MAX - 1) /* more than one, or of a part without a rim */

/* ---- Words ---- */

static double number_of(const Assembly *a, FieldId id, const Record *record)
{
    return columns_nominal(a->columns, id, record->index, a->lane);
}

static Tri word_is(const Assembly *a, FieldId id, const Record *record, const char *word)
{
    double code = number_of(a, id, record);
    if (isnan(code))
        return TRI_UNKNOWN;
    return code == word_index(field_at(id)->words, word, strlen(word)) ? TRI_YES : TRI_NO;
}

/* ---- Which edges lie on each other ---- */

static const SeamSide *lead_of(const Seam *seam, size_t *side)
{
    for (*side = 0; *side < seam->side_count; ++*side)
        if (seam->sides[*side].count > 0)
            return &seam->sides[*side];
    return NULL;
}

static Tri is_inner(const Assembly *a, const Record *part)
{
    return tri_or(word_is(a, PART_ROLE, part, "lining"), word_is(a, PART_ROLE, part, "sock"));
}

/* Edges of neighbours run against each other, those of an upper and its lining the same
 * way; `flip` turns it. */
static Tri run_against(const Assembly *a, const Seam *seam, const Record *one, const Record *other)
{
    Tri first = is_inner(a, one->owner), second = is_inner(a, other->owner);
    double flip = number_of(a, SEAM_FLIP, seam->record);
    if (first == TRI_UNKNOWN || second == TRI_UNKNOWN || isnan(flip))
        return TRI_UNKNOWN;
    return (first == second) != (flip == 1) ? TRI_YES : TRI_NO;
}

static double side_length(const Assembly *a, const SeamSide *side)
{
    double length = 0;
    for (size_t i = 0; i < side->count; i++)
        length += number_of(a, EDGE_LENGTH, side->edges[i]);
    return length;
}

/* Where an edge begins and ends on its side, as shares of the whole side. */
typedef struct Share {
    double from, to;
} Share;

/* By number where both sides have as many edges. NULL: the side has no length. */
static Share *shares_on(const Assembly *a, Arena *arena, const SeamSide *side, bool by_number)
{
    double whole = by_number ? (double)side->count : side_length(a, side), at = 0;
    if (!(whole > 0))
        return NULL;
    Share *shares = ARENA_NEW(arena, Share, side->count);
    for (size_t i = 0; i < side->count; i++) {
        double own = by_number ? 1 : number_of(a, EDGE_LENGTH, side->edges[i]);
        shares[i] = (Share){at / whole, (at + own) / whole};
        at += own;
    }
    return shares;
}

/* The part of an edge that lies between two places of its side. */
static void share_of(Lap *lap, int which, Share share, Share both, bool turned)
{
    double first = (both.from - share.from) / (share.to - share.from);
    double last = (both.to - share.from) / (share.to - share.from);
    lap->from[which] = turned ? 1 - last : first;
    lap->to[which] = turned ? 1 - first : last;
}

/* Along both sides at once, on from whatever ends first. */
static void lay_sides(Assembly *a, const SeamSide *one, const SeamSide *other, bool against)
{
    Arena scratch = {0};
    bool by_number = one->count == other->count;
    const double hair = 1e-9;
    const Share *ones = shares_on(a, &scratch, one, by_number);
    const Share *others = shares_on(a, &scratch, other, by_number);
    for (size_t i = 0, k = 0; ones && others && i < one->count && k < other->count;) {
        Share both = {fmax(ones[i].from, others[k].from), fmin(ones[i].to, others[k].to)};
        if (both.to - both.from > hair) {
            Lap *lap = ARENA_PUSH(a->arena, a->laps, a->lap_count, a->lap_capacity);
            *lap =
                (Lap){.edge = {one->edges[i]->index, other->edges[k]->index}, .against = against};
            share_of(lap, 0, ones[i], both, false);
            share_of(lap, 1, others[k], both, against);
        }
        bool on = ones[i].to <= others[k].to;
        k += ones[i].to >= others[k].to;
        i += on;
    }
    arena_free(&scratch);
}

/* The first two sides that have edges lie on each other; more hang on. */
static void lay_seam(Assembly *a, const Seam *seam)
{
    size_t lead;
    const SeamSide *one = lead_of(seam, &lead);
    for (size_t side = one ? lead + 1 : seam->side_count; side < seam->side_count; side++) {
        const SeamSide *other = &seam->sides[side];
        if (other->count == 0)
            continue;
        Tri against = run_against(a, seam, one->edges[0], other->edges[0]);
        bool lengths =
            one->count == other->count || !isnan(side_length(a, one) + side_length(a, other));
        if (against != TRI_UNKNOWN && lengths)
            lay_sides(a, one, other, against == TRI_YES);
        return;
    }
}

/* ---- Rims ---- */

static bool is_cut(double share)
{
    const double hair = 1e-9;
    return share >= hair && share <= 1 - hair;
}

/* Counts the cuts of all edges where there is no room for them yet, else puts them there. */
static void cut_laps(Assembly *a)
{
    for (size_t i = 0; i < 2 * a->lap_count; i++) {
        const Lap *lap = &a->laps[i / 2];
        RimEdge *rim = &a->rims[lap->edge[i % 2]][0];
        double places[2] = {lap->from[i % 2], lap->to[i % 2]};
        for (int k = 0; k < 2; k++) {
            if (is_cut(places[k]) && rim->cuts)
                rim->cuts[rim->count - 1] = places[k];
            rim->count += is_cut(places[k]);
        }
    }
}

/* Where laps begin or end on an edge, each place once. */
static void cut_edges(Assembly *a)
{
    const double hair = 1e-9;
    size_t edges = a->style->lists[SUBJECT_EDGE].count;
    cut_laps(a);
    for (size_t i = 0; i < edges; i++) {
        RimEdge *rim = &a->rims[i][0];
        rim->cuts = rim->count > 1 ? ARENA_NEW(a->arena, double, rim->count - 1) : NULL;
        rim->count = 1;
    }
    cut_laps(a);
    for (size_t i = 0; i < edges; i++) {
        RimEdge *rim = &a->rims[i][0];
        size_t all = rim->count - 1, kept = 0;
        if (all > 0)
            sort_numbers(rim->cuts, all);
        for (size_t k = 0; k < all; k++)
            if (kept == 0 || rim->cuts[k] - rim->cuts[kept - 1] >= hair)
                rim->cuts[kept++] = rim->cuts[k];
        rim->count = kept + 1;
    }
}

static double stretch_begin(const RimEdge *rim, size_t i)
{
    return i > 0 ? rim->cuts[i - 1] : 0;
}

static double stretch_end(const RimEdge *rim, size_t i)
{
    return i + 1 < rim->count ? rim->cuts[i] : 1;
}

static double stretch_length(const Assembly *a, uint32_t edge, size_t i)
{
    const RimEdge *rim = &a->rims[edge][0];
    const Record *record = a->style->lists[SUBJECT_EDGE].items[edge];
    return (stretch_end(rim, i) - stretch_begin(rim, i)) * number_of(a, EDGE_LENGTH, record);
}

/* Is it drawn to a fold line? Its edges then lie round the piece twice. */
static Tri is_halved(const Assembly *a, const DrawnPart *drawn, size_t *fold, size_t *folds)
{
    Tri halved = TRI_NO;
    *folds = 0;
    for (size_t i = 0; i < drawn->outline.count; i++) {
        Tri line = word_is(a, EDGE_FINISH, drawn->edges[i], "fold-line");
        halved = tri_or(halved, line);
        if (line == TRI_YES) {
            *fold = i;
            ++*folds;
        }
    }
    return halved;
}

/* The stretches round one piece, beginning after its fold line; NULL lengths: count only. */
static size_t go_round(Assembly *a, const DrawnPart *drawn, bool halved, size_t fold, size_t first,
                       double *lengths)
{
    size_t count = 0, edges = drawn->outline.count;
    for (size_t k = 0; k < (halved ? 2 * (edges - 1) : edges); k++) {
        bool other = halved && k >= edges - 1;
        size_t step = !halved ? k : other ? 2 * (edges - 1) - 1 - k : k;
        size_t i = halved ? (fold + 1 + step) % edges : step;
        uint32_t edge = drawn->edges[i]->index;
        RimEdge *rim = &a->rims[edge][other];
        size_t stretches = a->rims[edge][0].count;
        *rim = (RimEdge){.first = first + count,
                         .count = stretches,
                         .cuts = a->rims[edge][0].cuts,
                         .back = other,
                         .on_rim = true};
        for (size_t s = 0; lengths && s < stretches; s++)
            lengths[count + s] = stretch_length(a, edge, other ? stretches - 1 - s : s);
        count += stretches;
    }
    return count;
}

static void make_rims(Assembly *a)
{
    const Style *style = a->style;
    size_t *counts = ARENA_NEW(a->arena, size_t, style->drawn_count), pieces = 0, all = 0;
    double *lengths = NULL;
    for (int pass = 0; pass < 2; pass++) {
        lengths = pass ? ARENA_NEW(a->arena, double, all) : NULL;
        pieces = all = 0;
        for (size_t i = 0; i < style->drawn_count; i++) {
            size_t fold = 0, folds;
            Tri halved = is_halved(a, &style->drawn[i], &fold, &folds);
            bool simple = halved == TRI_NO || (halved == TRI_YES && folds == 1);
            if (!simple || style->drawn[i].outline.count <= folds)
                continue;
            a->piece_of[style->drawn[i].part->index] = pieces;
            counts[pieces] = go_round(a, &style->drawn[i], folds == 1, fold, all,
                                      lengths ? lengths + all : NULL);
            all += counts[pieces++];
        }
    }
    a->surface = surface_new(a->arena, lengths, counts, pieces);
}

/* Every part by itself. */
static void hang_apart(Assembly *a)
{
    const RecordList *parts = &a->style->lists[SUBJECT_PART];
    const RecordList *edges = &a->style->lists[SUBJECT_EDGE];
    for (uint32_t i = 0; i < parts->count; i++) {
        bool rimless = a->piece_of[i] == SURFACE_FREE;
        a->hanging[i] = (Hanging){.leader = i, .count = 1, .rimless = rimless};
        a->bodies[i] = NO_BODY;
    }
    for (size_t i = 0; i < edges->count; i++)
        a->hanging[edges->items[i]->owner->index].free++;
}

Assembly *assembly_new(Arena *arena, const Style *style, const Columns *columns)
{
    Assembly *a = ARENA_NEW(arena, Assembly, 1);
    size_t parts = style->lists[SUBJECT_PART].count, edges = style->lists[SUBJECT_EDGE].count;
    *a = (Assembly){.arena = arena, .style = style, .columns = columns};
    a->lane = columns_base_lane(columns, 0);
    a->piece_of = ARENA_NEW(arena, size_t, parts);
    a->hanging = ARENA_NEW(arena, Hanging, parts);
    a->bodies = ARENA_NEW(arena, size_t, parts);
    for (size_t i = 0; i < parts; i++)
        a->piece_of[i] = SURFACE_FREE;
    a->rims = arena_alloc(arena, edges, sizeof *a->rims);
    for (size_t i = 0; i < edges; i++)
        a->rims[i][0] = a->rims[i][1] = (RimEdge){.count = 1};
    a->seam_laps = ARENA_NEW(arena, size_t, style->seam_count + 1);
    for (size_t i = 0; i < style->seam_count; i++) {
        lay_seam(a, &style->seams[i]);
        a->seam_laps[i + 1] = a->lap_count;
    }
    cut_edges(a);
    make_rims(a);
    a->met = ARENA_NEW(arena, bool, a->surface->piece_count);
    hang_apart(a);
    return a;
}

/* ---- Sewing ---- */

static uint32_t leader_of(const Assembly *a, uint32_t part)
{
    while (a->hanging[part].leader != part)
        part = a->hanging[part].leader;
    return part;
}

/* The fewer go under the more, so that leaders stay near. */
static void hang(Assembly *a, uint32_t part, uint32_t other)
{
    uint32_t one = leader_of(a, part), two = leader_of(a, other);
    if (one == two)
        return;
    uint32_t under = a->hanging[one].count < a->hanging[two].count ? one : two;
    uint32_t over = under == one ? two : one;
    a->hanging[under].leader = over;
    a->hanging[over].count += a->hanging[under].count;
    a->hanging[over].free += a->hanging[under].free;
    a->hanging[over].blurred |= a->hanging[under].blurred;
    a->hanging[over].rimless |= a->hanging[under].rimless;
}

static bool has_rim(const Assembly *a, uint32_t part)
{
    return a->piece_of[part] != SURFACE_FREE;
}

static const Record *part_on(const SeamSide *side, size_t i)
{
    return side->bare ? side->bare : side->edges[i]->owner;
}

static size_t parts_on(const SeamSide *side)
{
    return side->bare ? 1 : side->count;
}

/* Which half of an edge a seam takes: its own, unless another seam has it. */
static RimEdge *half_of(Assembly *a, uint32_t edge)
{
    RimEdge *rim = a->rims[edge];
    return rim[0].taken && rim[1].on_rim ? &rim[1] : &rim[0];
}

/* The stretch of a rim that holds the i-th piece of an edge, counted from its beginning. */
static size_t stretch_at(const RimEdge *rim, size_t i)
{
    return rim->first + (rim->back ? rim->count - 1 - i : i);
}

/* The stretches of an edge between two shares of its length: how many, from which on. */
static size_t stretches_between(const RimEdge *rim, double from, double to, size_t *first)
{
    const double hair = 1e-9;
    size_t count = 0, low = 0, high = rim->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (stretch_begin(rim, middle) >= from - hair)
            high = middle;
        else
            low = middle + 1;
    }
    *first = low;
    while (low + count < rim->count && stretch_end(rim, low + count) <= to + hair)
        count++;
    return count;
}

/* False where nobody can follow what is joined to what. */
static bool join_lap(Assembly *a, const Lap *lap)
{
    RimEdge *rims[2] = {half_of(a, lap->edge[0]), half_of(a, lap->edge[1])};
    size_t first[2], count[2];
    for (int k = 0; k < 2; k++)
        count[k] = stretches_between(rims[k], lap->from[k], lap->to[k], &first[k]);
    if (!rims[0]->on_rim || !rims[1]->on_rim || count[0] != count[1])
        return false;
    bool against = lap->against != (rims[0]->back != rims[1]->back);
    for (size_t i = 0; i < count[0]; i++) {
        size_t other = lap->against ? first[1] + count[1] - 1 - i : first[1] + i;
        surface_join(a->surface, stretch_at(rims[0], first[0] + i), stretch_at(rims[1], other),
                     against);
    }
    return true;
}

static void take_edges(Assembly *a, const SeamSide *side)
{
    for (size_t i = 0; i < side->count; i++) {
        RimEdge *half = half_of(a, side->edges[i]->index);
        if (half == a->rims[side->edges[i]->index] && !half->taken)
            a->hanging[leader_of(a, side->edges[i]->owner->index)].free--;
        half->taken = true;
    }
}

static bool follow_laps(Assembly *a, const Seam *seam)
{
    size_t number = (size_t)(seam - a->style->seams), followed = 0;
    size_t first = a->seam_laps[number], past = a->seam_laps[number + 1];
    for (size_t i = first; i < past; i++)
        followed += join_lap(a, &a->laps[i]);
    return past > first && followed == past - first;
}

/* The body of its rim. */
static size_t body_of(const Assembly *a, uint32_t part)
{
    return has_rim(a, part) ? surface_leader(a->surface, a->piece_of[part]) : BODIES;
}

/* Do the parts of both sides hang together by edges, and if so by rims alone? */
static Tri hang_together(const Assembly *a, const SeamSide *one, const SeamSide *other)
{
    Tri together = TRI_NO;
    for (size_t i = 0; i < one->count; i++) {
        uint32_t part = part_on(one, i)->index;
        size_t *of_one = &a->bodies[leader_of(a, part)], body = body_of(a, part);
        *of_one = *of_one == NO_BODY || *of_one == body ? body : BODIES;
    }
    for (size_t i = 0; i < other->count; i++) {
        uint32_t part = part_on(other, i)->index;
        size_t of_one = a->bodies[leader_of(a, part)];
        bool rims = of_one != BODIES && of_one == body_of(a, part);
        if (of_one != NO_BODY)
            together = rims && together != TRI_UNKNOWN ? TRI_YES : TRI_UNKNOWN;
    }
    for (size_t i = 0; i < one->count; i++)
        a->bodies[leader_of(a, part_on(one, i)->index)] = NO_BODY;
    return together;
}

/* Nobody knows what comes of a join that cannot be followed, where both sides hang
 * together already or both have rims; nor of one between parts that hang together by
 * others that have none. */
static void join_sides(Assembly *a, const Seam *seam, const SeamSide *one, const SeamSide *other)
{
    Tri together = hang_together(a, one, other);
    bool followed = follow_laps(a, seam), rims = true;
    uint32_t into = part_on(one, 0)->index;
    take_edges(a, one);
    take_edges(a, other);
    for (size_t i = 0; i < one->count; i++)
        rims &= has_rim(a, part_on(one, i)->index);
    for (size_t i = 0; i < other->count; i++)
        rims &= has_rim(a, part_on(other, i)->index);
    for (size_t i = 0; i < other->count; i++)
        hang(a, part_on(other, i)->index, into);
    for (size_t i = 0; i < one->count; i++)
        hang(a, part_on(one, i)->index, into);
    a->hanging[leader_of(a, into)].blurred |=
        together == TRI_UNKNOWN || (!followed && (rims || together == TRI_YES));
}

/* ---- What it is ---- */

typedef struct Bodies {
    Tri flat;   /* all of them are discs */
    int shapes; /* Euler's numbers, each body once, less the bodies but one */
    bool blurred, any, rimless;
    bool shut, perhaps_shut; /* one of them has no opening */
    double opening;          /* the longest of the tightest body that is no disc; else of any */
} Bodies;

static void add_body(Bodies *bodies, const Body *body)
{
    bool disc = body->shape == 1, tighter = !(body->opening >= bodies->opening);
    bool first = !bodies->any || (!disc && bodies->flat == TRI_YES);
    if (first || (!disc && tighter) || (disc && bodies->flat == TRI_YES && !tighter))
        bodies->opening = body->opening;
    bodies->shapes += body->shape - 1;
    bodies->flat = tri_and(bodies->flat, disc ? TRI_YES : TRI_NO);
    bodies->shut |= body->openings == 0;
    bodies->any = true;
}

/* Is it the first part met that has a rim in its body? */
static bool meets(const Assembly *a, uint32_t part)
{
    if (!has_rim(a, part))
        return false;
    bool *met = &a->met[body_of(a, part)], first = !*met;
    *met = true;
    return first;
}

static void add_part(const Assembly *a, Bodies *bodies, uint32_t part)
{
    const Hanging *hanging = &a->hanging[leader_of(a, part)];
    bodies->blurred |= hanging->blurred;
    bodies->rimless |= hanging->rimless;
    bodies->perhaps_shut |= !has_rim(a, part) && hanging->free == 0;
    if (meets(a, part)) {
        Body body = surface_body(a->surface, a->piece_of[part]);
        add_body(bodies, &body);
    }
}

static Bodies bodies_of(const Assembly *a, const Seam *seam)
{
    Bodies bodies = {.flat = TRI_YES, .shapes = 1, .blurred = a->open};
    for (size_t side = 0; side < seam->side_count; side++)
        for (size_t i = 0; i < parts_on(&seam->sides[side]); i++)
            add_part(a, &bodies, part_on(&seam->sides[side], i)->index);
    for (size_t side = 0; side < seam->side_count; side++)
        for (size_t i = 0; i < parts_on(&seam->sides[side]); i++) {
            uint32_t part = part_on(&seam->sides[side], i)->index;
            if (has_rim(a, part))
                a->met[body_of(a, part)] = false;
        }
    return bodies;
}

static bool is_open(const Seam *seam)
{
    bool open = seam->side_count == 0;
    for (size_t side = 0; side < seam->side_count; side++)
        open |= seam->sides[side].count == 0 && !seam->sides[side].bare;
    return open;
}

static void sew(Assembly *a, const Seam *seam)
{
    size_t lead;
    const SeamSide *one = lead_of(seam, &lead);
    bool joined = false;
    a->open |= is_open(seam);
    for (size_t side = 0; one && side < seam->side_count; side++) {
        const SeamSide *other = &seam->sides[side];
        if (side == lead || parts_on(other) == 0)
            continue;
        if (other->count > 0 && !joined && side > lead)
            join_sides(a, seam, one, other);
        joined |= other->count > 0 && side > lead;
    }
}

Sewing assembly_sew(Assembly *a, const Seam *seam)
{
    Bodies before = bodies_of(a, seam);
    sew(a, seam);
    Bodies after = bodies_of(a, seam);
    Tri face = tri_or(word_is(a, SEAM_JOIN, seam->record, "closed"),
                      word_is(a, SEAM_JOIN, seam->record, "turned"));
    if (before.blurred || after.blurred)
        return (Sewing){TRI_UNKNOWN, TRI_UNKNOWN, TRI_UNKNOWN, NAN};
    return (Sewing){
        .flat = tri_and(before.flat, tri_or(after.flat, face)),
        .ring = after.shapes < before.shapes ? TRI_YES : TRI_NO,
        .shut = after.shut           ? TRI_YES
                : after.perhaps_shut ? TRI_UNKNOWN
                                     : TRI_NO,
        .opening = after.any && !after.rimless ? after.opening : NAN,
    };
}

bool assembly_joined(const Assembly *assembly, const Record *part, const Record *other)
{
    return leader_of(assembly, part->index) == leader_of(assembly, other->index);
}

Sewing assembly_try(const Assembly *assembly, const Seam *seam)
{
    Arena scratch = {0};
    Assembly a = *assembly;
    size_t parts = a.style->lists[SUBJECT_PART].count, edges = a.style->lists[SUBJECT_EDGE].count;
    a.arena = &scratch;
    a.surface = surface_copy(&scratch, assembly->surface);
    a.hanging = ARENA_NEW(&scratch, Hanging, parts + 1);
    a.rims = arena_alloc(&scratch, edges + 1, sizeof *a.rims);
    memcpy(a.hanging, assembly->hanging, parts * sizeof *a.hanging);
    memcpy(a.rims, assembly->rims, edges * sizeof *a.rims);
    Sewing sewing = assembly_sew(&a, seam);
    arena_free(&scratch);
    return sewing;
}

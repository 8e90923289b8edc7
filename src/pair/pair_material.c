/* Parts, pieces, areas and weight of a pair, by material. For src/pair. */
#include <string.h>

#include "pair/pair_inside.h"
#include "shape/area.h"

/* ---- Pieces ---- */

void pair_pieces(Pair *pair)
{
    const RecordList *parts = &pair->style->lists[SUBJECT_PART];
    Sum different = {.known = (double)parts->count}, pieces = {0};
    for (size_t i = 0; i < parts->count; i++)
        sum_add(pair, &pieces, SHOES * pair_cell(pair, PART_PIECES, parts->items[i]), "pieces",
                parts->items[i]);
    pair_list(pair, (PairName){"pieces", "parts", "different parts of a shoe", NULL, NULL},
              &different);
    pair_list(pair,
              (PairName){"pieces", "pieces", "pieces cut", NULL, "the other foot is the mirror"},
              &pieces);
}

/* ---- Net area of one piece, mm2 ---- */

static bool is_closed(const Pair *pair, const Record *edge)
{
    for (size_t s = 0; s < pair->style->seam_count; s++) {
        const Seam *seam = &pair->style->seams[s];
        for (size_t side = 0; side < seam->side_count; side++)
            for (size_t i = 0; i < seam->sides[side].count; i++)
                if (seam->sides[side].edges[i] == edge &&
                    pair_is(pair, SEAM_JOIN, seam->record, "closed"))
                    return true;
    }
    return false;
}

/* The strip that is cut beyond the drawn line; underlays and raw edges are drawn at
 * their cut line. */
static double strip_of(const Pair *pair, const Record *edge)
{
    static const char *const beyond[] = {"folded", "turned", "lasted"};
    bool goes_on = is_closed(pair, edge);
    for (size_t i = 0; i < sizeof beyond / sizeof beyond[0]; i++)
        goes_on |= pair_is(pair, EDGE_FINISH, edge, beyond[i]);
    if (!goes_on && !isnan(pair_cell(pair, EDGE_FINISH, edge)))
        return 0;
    return pair_cell(pair, EDGE_ALLOWANCE, edge) * pair_cell(pair, EDGE_LENGTH, edge);
}

static const DrawnPart *drawn_of(const Pair *pair, const Record *part)
{
    for (size_t i = 0; i < pair->style->drawn_count; i++)
        if (pair->style->drawn[i].part == part)
            return &pair->style->drawn[i];
    return NULL;
}

/* With its allowances; both halves where it goes on beyond a fold line. */
static double area_of_drawn(const Pair *pair, const DrawnPart *drawn)
{
    double area = drawn->outline.area;
    bool halved = false;
    for (size_t i = 0; i < drawn->outline.count; i++) {
        area += strip_of(pair, drawn->edges[i]);
        halved |= pair_is(pair, EDGE_FINISH, drawn->edges[i], "fold-line");
    }
    return halved ? 2 * area : area;
}

/* How far a backing stops short of an edge; NaN: unknown. */
static double inset_of(const Backing *backing, const Record *edge)
{
    double most = 0;
    for (size_t i = 0; i < backing->inset_count; i++) {
        const Inset *inset = &backing->insets[i];
        bool known = inset->amount.presence == VALUE_KNOWN && !inset->amount.quantity.unknown;
        if (inset->edge && strcmp(inset->edge, edge->id) != 0)
            continue;
        if (!known)
            return NAN;
        most = fmax(most, inset->amount.quantity.nominal);
    }
    return most;
}

/* What is left of one outline within the insets. */
static double area_backed(const Pair *pair, const Backing *backing, const Record *part)
{
    const Measured *measured = pair->judgement->measured;
    const Lay *lay = measured_lay(measured, measured_base_size(measured));
    const LaidPart *laid = lay ? lay->of_part[part->index] : NULL;
    if (!laid)
        return NAN;
    Line *lines = ARENA_NEW(pair->arena, Line, laid->edge_count);
    double *insets = ARENA_NEW(pair->arena, double, laid->edge_count);
    for (size_t i = 0; i < laid->edge_count; i++) {
        lines[i] = laid->edges[i].line;
        insets[i] = inset_of(backing, laid->edges[i].edge);
    }
    return area_left(laid->ring, laid->ring_count, lines, insets, laid->edge_count);
}

/* One piece for each part that it backs, without that part's allowances. */
static double area_of_backing(const Pair *pair, const Backing *backing)
{
    double area = backing->backed_unknown ? NAN : 0;
    for (size_t i = 0; i < backing->backed_count; i++)
        area += area_backed(pair, backing, backing->backed[i]);
    return area;
}

static const Backing *backing_of(const Pair *pair, const Record *part)
{
    for (size_t i = 0; i < pair->style->backing_count; i++)
        if (pair->style->backings[i].part == part)
            return &pair->style->backings[i];
    return NULL;
}

/* Of all pieces of a part in one shoe; NaN: unknown. */
static double area_of_part(const Pair *pair, const Record *part)
{
    const DrawnPart *drawn = drawn_of(pair, part);
    const Backing *backing = backing_of(pair, part);
    const Record *along = record_value(part, PART_ALONG)->record;
    if (backing && !drawn)
        return area_of_backing(pair, backing);
    double pieces = pair_cell(pair, PART_PIECES, part);
    if (along && !drawn)
        return pieces * pair_cell(pair, PART_WIDTH, part) * pair_cell(pair, EDGE_LENGTH, along);
    return drawn ? pieces * area_of_drawn(pair, drawn) : NAN;
}

/* ---- By material ---- */

/* Mass to the area, in base units. */
static double weight_of_area(const Pair *pair, const Record *material)
{
    double weight = pair_cell(pair, MATERIAL_WEIGHT, material);
    return isnan(weight) ? pair_cell(pair, MATERIAL_DENSITY, material) *
                               pair_cell(pair, MATERIAL_THICKNESS, material)
                         : weight;
}

static Sum area_of_material(Pair *pair, const Record *material)
{
    const RecordList *parts = &pair->style->lists[SUBJECT_PART];
    Sum sum = {0};
    for (size_t i = 0; i < parts->count; i++)
        if (pair_material(pair, parts->items[i]) == material)
            sum_add(pair, &sum, SHOES * area_of_part(pair, parts->items[i]), "area",
                    parts->items[i]);
    return sum;
}

static void list_area(Pair *pair, const Record *material, const Sum *net)
{
    double waste =
        pair_limit(pair, "making_cutting_waste", pair_cell(pair, MATERIAL_KIND, material));
    Sum gross = *net;
    gross.known *= 1 + waste;
    const Unit *unit = unit_find("dm2", 3);
    pair_list(pair,
              (PairName){"material", arena_printf(pair->arena, "area.%s", material->id),
                         arena_printf(pair->arena, "%s, net", material->id), unit,
                         "allowances as length times width, corners not cut off"},
              net);
    if (isnan(waste))
        return;
    pair_list(
        pair,
        (PairName){"material", arena_printf(pair->arena, "cut.%s", material->id),
                   arena_printf(pair->arena, "%s, to be cut from", material->id), unit,
                   arena_printf(pair->arena, "%g %% of the net area is waste on top", 100 * waste)},
        &gross);
}

void pair_materials(Pair *pair)
{
    const RecordList *materials = &pair->style->lists[SUBJECT_MATERIAL];
    const RecordList *parts = &pair->style->lists[SUBJECT_PART];
    Sum weight = {0};
    for (size_t i = 0; i < materials->count; i++) {
        const Record *material = materials->items[i];
        Sum net = area_of_material(pair, material);
        double of_area = weight_of_area(pair, material);
        if (net.known == 0 && net.missing == 0)
            continue;
        list_area(pair, material, &net);
        if (isnan(of_area))
            sum_add(pair, &weight, NAN, "weight", material);
        else
            sum_add_all(&weight, &net, of_area);
    }
    for (size_t i = 0; i < parts->count; i++)
        if (!pair_material(pair, parts->items[i]))
            sum_add(pair, &weight, NAN, "material", parts->items[i]);
    pair_list(pair,
              (PairName){"material", "weight", "weight of the upper's materials", unit_find("g", 1),
                         "skives, thread and cement left out"},
              &weight);
}

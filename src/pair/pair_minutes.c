/* Making minutes of a pair by operation: what is worked at a machine's or a hand's
 * pace, and what each piece costs in handling. For src/pair.
 *
 * Paces and handling times are limits of the rules (making_…), so that a factory can
 * give its own and everybody sees whose they are. A time study of the shop is
 * better than any of them. */
#include <string.h>

#include "pair/pair_inside.h"

static void list_minutes(Pair *pair, const char *key, const char *name, const char *assumes,
                         const Sum *sum)
{
    pair_list(pair, (PairName){"minutes", key, name, unit_find("min", 3), assumes}, sum);
}

static double limit_of(Pair *pair, Sum *sum, const char *name)
{
    double value = pair_limit(pair, name, NAN);
    if (isnan(value))
        sum_missing(pair, sum, arena_printf(pair->arena, "limit %s", name));
    return value;
}

/* ---- Cutting, skiving, folding, punching ---- */

static Sum cutting(Pair *pair)
{
    const RecordList *parts = &pair->style->lists[SUBJECT_PART];
    Sum sum = {0};
    double each = limit_of(pair, &sum, "making_cut_piece");
    for (size_t i = 0; !isnan(each) && i < parts->count; i++)
        sum_add(pair, &sum, SHOES * each * pair_cell(pair, PART_PIECES, parts->items[i]), "pieces",
                parts->items[i]);
    return sum;
}

/* Edges worked along their length: `done` says which, at `pace` mm/s and a handling each. */
static Sum along_edges(Pair *pair, const char *pace_name,
                       bool (*done)(const Pair *, const Record *))
{
    const RecordList *edges = &pair->style->lists[SUBJECT_EDGE];
    Sum sum = {0};
    double pace = limit_of(pair, &sum, pace_name), each = limit_of(pair, &sum, "making_handling");
    bool given = sum.missing == 0;
    for (size_t i = 0; given && i < edges->count; i++) {
        const Record *edge = edges->items[i];
        double pieces = pair_cell(pair, PART_PIECES, edge->owner);
        if (done(pair, edge))
            sum_add(pair, &sum, SHOES * pieces * (pair_cell(pair, EDGE_LENGTH, edge) / pace + each),
                    "length", edge);
    }
    return sum;
}

static bool is_skived(const Pair *pair, const Record *edge)
{
    return pair_cell(pair, EDGE_SKIVED, edge) == 1;
}

static bool is_folded(const Pair *pair, const Record *edge)
{
    return pair_is(pair, EDGE_FINISH, edge, "folded");
}

static Sum punching(Pair *pair)
{
    const RecordList *holes = &pair->style->lists[SUBJECT_HOLE];
    Sum sum = {0};
    double each = limit_of(pair, &sum, "making_punch_hole");
    for (size_t i = 0; !isnan(each) && i < holes->count; i++)
        sum_add(pair, &sum, SHOES * each * pair_cell(pair, HOLE_NUMBER, holes->items[i]), "number",
                holes->items[i]);
    return sum;
}

/* ---- Sewing ---- */

static bool makes_stitch(const Pair *pair, const Record *machine, double stitch)
{
    double stitches = pair_cell(pair, MACHINE_STITCHES, machine);
    return !isnan(stitches) && !isnan(stitch) && ((uint64_t)stitches >> (unsigned)stitch & 1) != 0;
}

/* Stitches a second at full speed: of the seam's machine, else of the slowest that makes
 * the stitch. */
static double speed_of(const Pair *pair, const Seam *seam, const Record *row)
{
    if (!pair->judgement->factory)
        return NAN;
    const RecordList *machines = &pair->judgement->factory->machines;
    const Value *named = record_value(seam->record, SEAM_MACHINE);
    double stitch = pair_cell(pair, ROW_STITCH, row), slowest = INFINITY;
    for (size_t i = 0; i < machines->count; i++) {
        const Record *machine = machines->items[i];
        bool meant = named->presence == VALUE_KNOWN
                         ? strcmp(named->text, machine->id) == 0
                         : named->presence == VALUE_ABSENT && makes_stitch(pair, machine, stitch);
        double speed = pair_cell(pair, MACHINE_SPEED, machine);
        if (meant && (isnan(speed) || speed < slowest))
            slowest = speed;
        if (meant && isnan(speed))
            return NAN;
    }
    return isfinite(slowest) ? slowest : NAN;
}

/* A row sewn together with the one before it takes no time of its own. */
static void add_row(Pair *pair, Sum *sum, const Seam *seam, const Record *row, double share,
                    double each)
{
    if (row->placeholder)
        sum_add(pair, sum, NAN, "rows", seam->record);
    if (row->placeholder || pair_cell(pair, ROW_TOGETHER, row) == 1)
        return;
    double speed = speed_of(pair, seam, row), stitches = pair_row(pair, seam, row).stitches;
    sum_add(pair, sum, SHOES * (stitches / (speed * share) + each),
            isnan(speed) ? "machine speed" : "length or pitch", row);
}

static Sum sewing(Pair *pair)
{
    Sum sum = {0};
    double share = limit_of(pair, &sum, "making_sewing_share");
    double each = limit_of(pair, &sum, "making_handling");
    if (!pair->judgement->factory)
        sum_missing(pair, &sum, "factory");
    bool given = sum.missing == 0;
    for (size_t s = 0; given && s < pair->style->seam_count; s++)
        for (size_t i = 0; i < pair->style->seams[s].rows.count; i++)
            add_row(pair, &sum, &pair->style->seams[s], pair->style->seams[s].rows.items[i], share,
                    each);
    return sum;
}

void pair_minutes(Pair *pair)
{
    struct {
        const char *key, *name, *assumes;
        Sum sum;
    } operations[] = {
        {"minutes.cutting", "cutting", "a time a piece", cutting(pair)},
        {"minutes.skiving", "skiving", "length at the skiver's pace, and a handling an edge",
         along_edges(pair, "making_skiving_pace", is_skived)},
        {"minutes.folding", "folding", "length at the folder's pace, and a handling an edge",
         along_edges(pair, "making_folding_pace", is_folded)},
        {"minutes.punching", "punching holes", "a time a hole", punching(pair)},
        {"minutes.sewing", "sewing",
         "stitches at a share of the machine's speed, and a handling a pass; where no machine is "
         "named, the slowest that makes the stitch",
         sewing(pair)},
    };
    Sum all = {0};
    for (size_t i = 0; i < sizeof operations / sizeof operations[0]; i++) {
        list_minutes(pair, operations[i].key, operations[i].name, operations[i].assumes,
                     &operations[i].sum);
        sum_add_all(&all, &operations[i].sum, 1);
    }
    list_minutes(pair, "minutes", "making minutes, all of these",
                 "cementing, turning, lasting and waiting left out", &all);
}

/* Seams, rows, stitches and thread of a pair; what of it shows. For src/pair. */
#include <stdlib.h>
#include <string.h>

#include "measure/thread.h"
#include "pair/pair_inside.h"

/* ---- One row ---- */

/* Of the first side whose edges are all known. */
static double length_of_edges(const Pair *pair, const Seam *seam)
{
    for (size_t side = 0; side < seam->side_count; side++) {
        double length = 0;
        for (size_t i = 0; i < seam->sides[side].count; i++)
            length += pair_cell(pair, EDGE_LENGTH, seam->sides[side].edges[i]);
        if (length > 0)
            return length;
    }
    return NAN;
}

/* The stack as it is along the row, on average; NaN where a stretch is unknown. */
static double mean_stack(const RowProfile *profile)
{
    double sum = 0;
    for (size_t i = 0; i < profile->count; i++) {
        const MetStretch *stretch = &profile->stretches[i];
        sum += (stretch->to - stretch->from) * (stretch->stack_from + stretch->stack_to) / 2;
    }
    return profile->length > 0 ? sum / profile->length : NAN;
}

static int iso4915(const Pair *pair, const Record *row)
{
    double word = pair_cell(pair, ROW_STITCH, row);
    return isnan(word) ? 0 : atoi(field_at(ROW_STITCH)->words->words[(int)word]);
}

RowSewn pair_row(const Pair *pair, const Seam *seam, const Record *row)
{
    Measured *measured = pair->judgement->measured;
    uint32_t size = pair->columns->lanes[pair->lane].size_index;
    RowProfile profile = {0};
    bool drawn = measured_profile(measured, pair->arena, row, size, pair->colourway, &profile);
    double stack = drawn ? mean_stack(&profile) : pair_cell(pair, ROW_STACK, row);
    double pitch = pair_cell(pair, ROW_PITCH, row);
    RowSewn sewn = {.length = drawn ? profile.length : length_of_edges(pair, seam)};
    sewn.stitches = ceil(sewn.length / pitch);
    sewn.thread = sewn.stitches * thread_per_stitch(iso4915(pair, row), pitch, stack);
    return sewn;
}

/* ---- What shows ---- */

static bool is_outside(const Pair *pair, const Record *part)
{
    return pair_is(pair, PART_ROLE, part, "upper") || pair_is(pair, PART_ROLE, part, "tongue") ||
           pair_is(pair, PART_ROLE, part, "binding");
}

/* Rows inside a closed seam, and those that a turned one hides, do not show. */
static bool row_shows(const Pair *pair, const Seam *seam, const Record *row)
{
    bool hides = pair_is(pair, SEAM_JOIN, seam->record, "closed") ||
                 pair_is(pair, SEAM_JOIN, seam->record, "turned");
    if (hides && !pair_is(pair, ROW_DOES, row, "topstitch"))
        return false;
    for (size_t side = 0; side < seam->side_count; side++) {
        const SeamSide *edges = &seam->sides[side];
        if (edges->bare && is_outside(pair, edges->bare))
            return true;
        for (size_t i = 0; i < edges->count; i++)
            if (is_outside(pair, edges->edges[i]->owner))
                return true;
    }
    return false;
}

/* Of an outside part, on top of its seam. */
static bool raw_edge_shows(const Pair *pair, const Record *edge)
{
    return pair_is(pair, EDGE_FINISH, edge, "raw") && is_outside(pair, edge->owner) &&
           pair_cell(pair, EDGE_OVER, edge) == 1;
}

/* ---- The list ---- */

typedef struct Sewing {
    Sum rows, length, stitches, shown_rows, shown_length;
} Sewing;

static void add_row(Pair *pair, Sewing *sewing, const Seam *seam, const Record *row)
{
    if (row->placeholder) {
        sum_add(pair, &sewing->rows, NAN, "rows", seam->record);
        sum_add(pair, &sewing->shown_rows, NAN, "rows", seam->record);
        return;
    }
    RowSewn sewn = pair_row(pair, seam, row);
    sum_add(pair, &sewing->rows, SHOES, "", row);
    sum_add(pair, &sewing->length, SHOES * sewn.length, "length", row);
    sum_add(pair, &sewing->stitches, SHOES * sewn.stitches, isnan(sewn.length) ? "length" : "pitch",
            row);
    if (row_shows(pair, seam, row)) {
        sum_add(pair, &sewing->shown_rows, SHOES, "", row);
        sum_add(pair, &sewing->shown_length, SHOES * sewn.length, "length", row);
    }
}

static void list_raw_edges(Pair *pair)
{
    const RecordList *edges = &pair->style->lists[SUBJECT_EDGE];
    Sum count = {0}, length = {0};
    for (size_t i = 0; i < edges->count; i++)
        if (raw_edge_shows(pair, edges->items[i])) {
            sum_add(pair, &count, SHOES, "", edges->items[i]);
            sum_add(pair, &length, SHOES * pair_cell(pair, EDGE_LENGTH, edges->items[i]), "length",
                    edges->items[i]);
        }
    const char *assumes = "raw edges of upper, tongue and binding that lie on top of a seam";
    pair_list(pair, (PairName){"sewing", "raw-edges", "raw edges that show", NULL, assumes},
              &count);
    pair_list(pair,
              (PairName){"sewing", "raw-edge-length", "length of raw edges that show",
                         unit_find("m", 1), NULL},
              &length);
}

static void list_heaviest(Pair *pair)
{
    const RecordList *rows = &pair->style->lists[SUBJECT_ROW];
    Sum heaviest = {0};
    const Record *where = NULL;
    for (size_t i = 0; i < rows->count; i++) {
        double stack = pair_cell(pair, ROW_STACK, rows->items[i]);
        if (isnan(stack))
            sum_add(pair, &heaviest, NAN, "stack", rows->items[i]);
        else if (stack > heaviest.known) {
            heaviest.known = stack;
            where = rows->items[i];
        }
    }
    const char *at =
        where ? arena_printf(pair->arena, "at row %s, under the foot", where->path) : NULL;
    pair_list(pair, (PairName){"sewing", "stack-most", "heaviest stack", unit_find("mm", 2), at},
              &heaviest);
}

void pair_sewing(Pair *pair)
{
    Sewing sewing = {0};
    Sum seams = {.known = SHOES * (double)pair->style->seam_count};
    for (size_t s = 0; s < pair->style->seam_count; s++)
        for (size_t i = 0; i < pair->style->seams[s].rows.count; i++)
            add_row(pair, &sewing, &pair->style->seams[s], pair->style->seams[s].rows.items[i]);
    const Unit *metre = unit_find("m", 1);
    pair_list(pair, (PairName){"sewing", "seams", "seams", NULL, NULL}, &seams);
    pair_list(pair, (PairName){"sewing", "rows", "rows of stitches", NULL, NULL}, &sewing.rows);
    pair_list(pair,
              (PairName){"sewing", "row-length", "length of all rows", metre,
                         "where nothing is drawn: as long as the edge"},
              &sewing.length);
    pair_list(pair,
              (PairName){"sewing", "stitches", "stitches", NULL,
                         "length over pitch, up to whole stitches; locked ends not counted"},
              &sewing.stitches);
    pair_list(pair,
              (PairName){"sewing", "shown-rows", "rows that show", NULL,
                         "seam rows of closed and turned seams do not"},
              &sewing.shown_rows);
    pair_list(pair, (PairName){"sewing", "shown-length", "length of rows that show", metre, NULL},
              &sewing.shown_length);
    list_raw_edges(pair);
    list_heaviest(pair);
}

/* ---- Thread, by size ---- */

/* Rows of one thread size; those of unknown size under NaN. */
static Sum thread_of(Pair *pair, double tex)
{
    Sum sum = {0};
    for (size_t s = 0; s < pair->style->seam_count; s++)
        for (size_t i = 0; i < pair->style->seams[s].rows.count; i++) {
            const Seam *seam = &pair->style->seams[s];
            const Record *row = seam->rows.items[i];
            double here = row->placeholder ? NAN : pair_cell(pair, ROW_THREAD, row);
            if (here == tex)
                sum_add(pair, &sum, SHOES * pair_row(pair, seam, row).thread,
                        "length, pitch, stitch type or stack", row);
            else if (isnan(here) && isnan(tex))
                sum_add(pair, &sum, NAN, "thread", row);
        }
    return sum;
}

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Every size once, ascending. */
static size_t thread_sizes(Pair *pair, double **sizes)
{
    const RecordList *rows = &pair->style->lists[SUBJECT_ROW];
    size_t count = 0, kept = 0;
    *sizes = ARENA_NEW(pair->arena, double, rows->count);
    for (size_t i = 0; i < rows->count; i++) {
        double tex = pair_cell(pair, ROW_THREAD, rows->items[i]);
        if (!isnan(tex))
            (*sizes)[count++] = tex;
    }
    qsort(*sizes, count, sizeof **sizes, ascending);
    for (size_t i = 0; i < count; i++)
        if (i == 0 || (*sizes)[i] != (*sizes)[i - 1])
            (*sizes)[kept++] = (*sizes)[i];
    return kept;
}

void pair_thread(Pair *pair)
{
    double *sizes, waste = pair_limit(pair, "making_thread_waste", NAN);
    size_t count = thread_sizes(pair, &sizes);
    Sum all = {0}, unsized = thread_of(pair, NAN);
    const char *formula = "stitch formulas by ISO 4915 number, needle and under thread together";
    for (size_t i = 0; i < count; i++) {
        Sum sum = thread_of(pair, sizes[i]);
        sum_add_all(&all, &sum, 1);
        pair_list(pair,
                  (PairName){"thread", arena_printf(pair->arena, "thread.tex-%g", sizes[i]),
                             arena_printf(pair->arena, "thread tex %g", sizes[i]),
                             unit_find("m", 1), formula},
                  &sum);
    }
    sum_add_all(&all, &unsized, 1);
    all.known *= isnan(waste) ? 1 : 1 + waste;
    const char *assumes = isnan(waste)
                              ? "no waste: making_thread_waste is not given"
                              : arena_printf(pair->arena, "waste of %g %% on top", 100 * waste);
    pair_list(pair, (PairName){"thread", "thread", "thread, all of it", unit_find("m", 1), assumes},
              &all);
}

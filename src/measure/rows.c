/* Rows among themselves and against cut edges. For the files of src/measure only. */
#include "measure/measuring.h"

/* What stands for the distance to a cut edge where there is none to tear out to. */
static const double NO_CUT_EDGE_MM = 1000;

static Tolerance row_tolerance(const Record *row)
{
    return record_value(row, ROW_FROM_EDGE)->quantity.tolerance;
}

static Span row_from_edge(const Measuring *m, const Record *row)
{
    return cell_get(m, ROW_FROM_EDGE, (int32_t)row->index, 0);
}

/* A turned seam's seam row is measured from the cut edge and runs on the finished
 * line; its topstitch rows are measured from that line. */
static Span rows_distance(const Measuring *m, const Seam *seam, const Record *a, const Record *b)
{
    Tri turned = seam_is(m, seam, "turned");
    Tri first = cell_is(m, ROW_DOES, (int32_t)a->index, "topstitch");
    Tri second = cell_is(m, ROW_DOES, (int32_t)b->index, "topstitch");
    bool known = first != TRI_UNKNOWN && second != TRI_UNKNOWN;
    if (turned == TRI_NO || (known && first == second))
        return span_absolute(span_subtract(row_from_edge(m, a), row_from_edge(m, b)));
    if (!known || turned == TRI_UNKNOWN)
        return span_exact(NAN);
    return row_from_edge(m, first == TRI_YES ? a : b);
}

/* Rows written without tolerance keep their distance as the house keeps it. */
static Span rows_gap(const Measuring *m, const Seam *seam, const Record *before, const Record *row,
                     bool *assumed)
{
    Span gap = rows_distance(m, seam, before, row);
    if (row_tolerance(before) != TOLERANCE_UNSAID && row_tolerance(row) != TOLERANCE_UNSAID)
        return gap;
    double together = cell_get(m, ROW_TOGETHER, (int32_t)row->index, 0).nominal;
    double half = together == 1 ? m->house->gap_together : m->house->gap_apart;
    if (isnan(together))
        half = fmax(m->house->gap_together, m->house->gap_apart);
    if (!(half > 0) || isnan(gap.nominal))
        return span_exact(gap.nominal);
    *assumed = true;
    return (Span){gap.nominal, fmax(0, gap.nominal - half), gap.nominal + half};
}

static void fill_gap(Measuring *m, const Seam *seam, size_t number)
{
    const Record *row = seam->rows.items[number];
    bool assumed = false, unknown = row->placeholder || number == 0;
    Span least = span_exact(INFINITY);
    for (size_t i = 0; i < number; i++)
        least = span_least(least, rows_gap(m, seam, seam->rows.items[i], row, &assumed));
    cell_put(m, ROW_GAP, row->index, 0, unknown ? span_exact(NAN) : least);
    m->columns->fields[ROW_GAP].origins[row->index] = origin_derived(
        m, number ? "to the nearest row before it" : "the first row: none before it", assumed);
}

/* From a row to one cut edge; a folded edge has none, a row that turns a seam
 * or closes it is measured from it. */
static Span inset_of(const Measuring *m, const Seam *seam, size_t side, const Record *row,
                     const Record *edge, bool *cut_edge)
{
    Cut cut = cut_of(m, seam, side, row, edge);
    if (cut == CUT_FOLDED || cut == CUT_NONE)
        return span_exact(INFINITY);
    *cut_edge = true;
    return cut_distance(m, cut, edge, row, 0);
}

static void fill_inset(Measuring *m, const Seam *seam, const Record *row)
{
    bool cut_edge = false, unknown = seam->side_count == 0 || row->placeholder;
    bool assumed = cell_assumed(m, ROW_FROM_EDGE, (int32_t)row->index);
    Span least = span_exact(INFINITY);
    for (size_t side = 0; side < seam->side_count; side++) {
        const SeamSide *edges = &seam->sides[side];
        unknown |= edges->count == 0 && !edges->bare;
        for (size_t i = 0; i < edges->count; i++) {
            const Record *edge = edges->edges[i];
            least = span_least(least, inset_of(m, seam, side, row, edge, &cut_edge));
            if (seam_underlay(m, seam, side) == TRI_YES)
                assumed |= cell_assumed(m, EDGE_ALLOWANCE, (int32_t)edge->index);
        }
    }
    if (unknown)
        least = span_exact(NAN);
    else if (!cut_edge)
        least = span_exact(NO_CUT_EDGE_MM);
    cell_put(m, ROW_INSET, row->index, 0, least);
    m->columns->fields[ROW_INSET].origins[row->index] = origin_derived(
        m, cut_edge ? "to the nearest cut edge" : "no cut edge", assumed && cut_edge);
}

static void fill_rows(Measuring *m, const Seam *seam)
{
    for (size_t i = 0; i < seam->rows.count; i++) {
        const Record *row = seam->rows.items[i];
        cell_put(m, ROW_COUNT, row->index, 0, span_exact(row->placeholder ? NAN : (double)(i + 1)));
        m->columns->fields[ROW_COUNT].origins[row->index] =
            origin_derived(m, "its place in the seam", false);
        fill_gap(m, seam, i);
        fill_inset(m, seam, row);
    }
}

static double seam_row_count(const Seam *seam)
{
    for (size_t i = 0; i < seam->rows.count; i++)
        if (seam->rows.items[i]->placeholder)
            return NAN;
    return (double)seam->rows.count;
}

/* Raises the rows of each part that the seam runs along; unknown stays. */
static void count_rows(Measuring *m, const Seam *seam)
{
    double count = seam_row_count(seam);
    for (size_t side = 0; side < seam->side_count; side++)
        for (size_t i = 0; i < seam->sides[side].count; i++) {
            uint32_t part = seam->sides[side].edges[i]->owner->index;
            Span most = span_most(cell_get(m, PART_ROWS, (int32_t)part, 0), span_exact(count));
            cell_put(m, PART_ROWS, part, 0, most);
        }
}

void rows_fill(Measuring *m)
{
    const RecordList *parts = values_list(m, SUBJECT_PART);
    for (size_t i = 0; i < parts->count; i++) {
        cell_put(m, PART_ROWS, (uint32_t)i, 0, span_exact(m->seams_open ? NAN : 0));
        m->columns->fields[PART_ROWS].origins[i] =
            origin_derived(m, "most rows of one seam along an edge of it", false);
    }
    for (size_t i = 0; i < m->style->seam_count; i++) {
        fill_rows(m, &m->style->seams[i]);
        count_rows(m, &m->style->seams[i]);
    }
}

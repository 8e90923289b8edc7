/* How far holes and the ends of reinforcements keep from rows and lines, as drawn.
 * For the files of src/measure only. */
#include "measure/measuring.h"
#include "shape/area.h"

/* Where no row comes near there is nothing to keep clear of. */
static const double NOTHING_NEAR_MM = 1000;

static bool seam_has_part(const Seam *seam, const Record *part)
{
    for (size_t side = 0; side < seam->side_count; side++) {
        const SeamSide *edges = &seam->sides[side];
        if (edges->bare == part)
            return true;
        for (size_t i = 0; i < edges->count; i++)
            if (edges->edges[i]->owner == part)
                return true;
    }
    return false;
}

/* ---- Holes ---- */

typedef struct HoleLine {
    const LaidPart *part;
    const LaidEdge *edge;
    double first, spacing, from_edge, rim;
    size_t number;
} HoleLine;

enum { HOLES_MOST = 200 };

static bool hole_line(const Measuring *m, const Record *hole, const Lay *lay, uint32_t lane,
                      HoleLine *line)
{
    const Record *along = record_value(hole, HOLE_ALONG)->record;
    const Record *part = record_value(hole, HOLE_PART)->record;
    int32_t index = (int32_t)hole->index;
    if (!lay || !along || !part || !lay->of_edge[along->index] || !lay->of_part[part->index])
        return false;
    double number = cell_get(m, HOLE_NUMBER, index, lane).nominal;
    *line = (HoleLine){.part = lay->of_part[part->index],
                       .edge = lay->of_edge[along->index],
                       .first = cell_get(m, HOLE_FIRST, index, lane).nominal,
                       .spacing = cell_get(m, HOLE_SPACING, index, lane).nominal,
                       .from_edge = cell_get(m, HOLE_FROM_EDGE, index, lane).nominal,
                       .rim = cell_get(m, HOLE_BORE, index, lane).nominal / 2};
    line->number = number >= 1 && number <= HOLES_MOST ? (size_t)number : 0;
    bool spaced = line->number == 1 || !isnan(line->spacing);
    return line->number > 0 && spaced && !isnan(line->first + line->from_edge + line->rim);
}

/* Holes beyond the end of their edge go on straight. */
static Point hole_at(const HoleLine *line, size_t i)
{
    const Line *edge = &line->edge->line;
    double at = line->first + (i ? (double)i * line->spacing : 0);
    double beyond = fmax(0, at - line_length(edge));
    Point on = line_point(edge, at), way = line_direction(edge, at);
    return (Point){on.x + way.x * beyond - way.y * line->from_edge,
                   on.y + way.y * beyond + way.x * line->from_edge};
}

/* The row as it runs on the part's sheet; NULL where nobody knows. */
static const RowLine *row_on(const RowLineList *rows, const Record *row, const LaidPart *part,
                             size_t *from)
{
    for (size_t i = *from; i < rows->count; i++)
        if (rows->items[i].row == row && rows->items[i].sheet == part->sheet) {
            *from = i + 1;
            return &rows->items[i];
        }
    return NULL;
}

typedef double RowGap(const void *what, const Line *row);

/* The least of `gap` over all rows of the part's seams; NaN where one of them is
 * not known to run anywhere. */
static double least_of_rows(const Measuring *m, const LaidPart *part, uint32_t size, RowGap *gap,
                            const void *what)
{
    double least = NOTHING_NEAR_MM;
    for (size_t s = 0; s < m->style->seam_count; s++) {
        const Seam *seam = &m->style->seams[s];
        if (!seam_has_part(seam, part->part))
            continue;
        for (size_t r = 0; r < seam->rows.count; r++) {
            size_t from = 0;
            const RowLine *row = row_on(&m->row_lines[size], seam->rows.items[r], part, &from);
            if (!row)
                return NAN;
            for (; row; row = row_on(&m->row_lines[size], seam->rows.items[r], part, &from))
                least = fmin(least, gap(what, &row->line));
        }
    }
    return m->seams_open ? NAN : least;
}

static double gap_of_holes(const void *what, const Line *row)
{
    const HoleLine *line = what;
    double least = INFINITY;
    Nearest nearest;
    for (size_t i = 0; i < line->number; i++)
        if (line_nearest(row, hole_at(line, i), INFINITY, &nearest))
            least = fmin(least, nearest.distance - line->rim);
    return least;
}

static double gap_of_end(const void *what, const Line *row)
{
    return line_gap(what, row, NULL);
}

static double cut_clear(const HoleLine *line)
{
    double least = INFINITY;
    Nearest nearest;
    for (size_t i = 0; i < line->number; i++)
        if (line_nearest(&line->part->outline, hole_at(line, i), INFINITY, &nearest))
            least = fmin(least, (nearest.left ? nearest.distance : -nearest.distance) - line->rim);
    return least;
}

/* A lane of each size, of the first colourway. */
static uint32_t lane_of(const Measuring *m, uint32_t size)
{
    return size * (uint32_t)m->style->colourway_count;
}

static void fill_hole(Measuring *m, const Record *hole)
{
    Span *rows = ARENA_NEW(&m->scratch, Span, m->size_count);
    Span *cuts = ARENA_NEW(&m->scratch, Span, m->size_count);
    for (uint32_t size = 0; size < m->size_count; size++) {
        HoleLine line;
        bool known = hole_line(m, hole, m->lays[size], lane_of(m, size), &line);
        double row = known ? least_of_rows(m, line.part, size, gap_of_holes, &line) : NAN;
        rows[size] = drawn_span(m, row);
        cuts[size] = drawn_span(m, known ? cut_clear(&line) : NAN);
    }
    drawn_put(m, HOLE_ROW_CLEAR, hole->index, rows, "to the nearest row as drawn", true);
    drawn_put(m, HOLE_CUT_CLEAR, hole->index, cuts, "to the line of the part as drawn", true);
}

/* ---- Ends of reinforcements ---- */

/* The line where a backing ends inside an edge; none where it is sewn in. */
static size_t end_lines(Measuring *m, const Backing *backing, const LaidEdge *edge, Line **lines)
{
    const Value *inset = inset_at(backing, edge->edge);
    if (!inset || inset->presence != VALUE_KNOWN || !(inset->quantity.nominal > 0))
        return 0;
    return area_beside(&m->scratch, &edge->line, inset->quantity.nominal, lines);
}

typedef struct Clear {
    double row, topline;
} Clear;

/* fmin that hands an unknown on. */
static double lesser(double a, double b)
{
    return isnan(a) || isnan(b) ? NAN : fmin(a, b);
}

static void clear_of_toplines(const Measuring *m, const Line *end, const LaidPart *part,
                              const Lay *lay, Clear *clear)
{
    for (size_t p = 0; p < lay->count; p++)
        for (size_t i = 0; lay->parts[p].sheet == part->sheet && i < lay->parts[p].edge_count;
             i++) {
            const LaidEdge *edge = &lay->parts[p].edges[i];
            int32_t index = (int32_t)edge->edge->index;
            Tri topline = tri_and(cell_is(m, EDGE_SIGHT, index, "topline"),
                                  tri_not(cell_is(m, EDGE_FINISH, index, "fold-line")));
            if (topline != TRI_NO)
                clear->topline =
                    lesser(clear->topline,
                           topline == TRI_UNKNOWN ? NAN : line_gap(end, &edge->line, NULL));
        }
}

/* False where some part it backs is not drawn, or does not say where it ends. */
static bool clear_of(Measuring *m, const Backing *backing, uint32_t size, Clear *clear)
{
    const Lay *lay = m->lays[size];
    *clear = (Clear){NOTHING_NEAR_MM, NOTHING_NEAR_MM};
    for (size_t k = 0; lay && k < backing->backed_count; k++) {
        const LaidPart *part = lay->of_part[backing->backed[k]->index];
        if (!part || !part->sheet)
            return false;
        for (size_t i = 0; i < part->edge_count; i++) {
            const Value *inset = inset_at(backing, part->edges[i].edge);
            if (inset && inset->presence == VALUE_UNKNOWN)
                return false;
            Line *ends;
            size_t count = end_lines(m, backing, &part->edges[i], &ends);
            for (size_t e = 0; e < count; e++) {
                clear->row = lesser(clear->row, least_of_rows(m, part, size, gap_of_end, &ends[e]));
                clear_of_toplines(m, &ends[e], part, lay, clear);
            }
        }
    }
    return lay && !backing->backed_unknown;
}

static void fill_ends(Measuring *m, const Backing *backing)
{
    uint32_t index = backing->part->index;
    Span *rows = ARENA_NEW(&m->scratch, Span, m->size_count);
    Span *toplines = ARENA_NEW(&m->scratch, Span, m->size_count);
    for (uint32_t size = 0; size < m->size_count; size++) {
        Clear clear;
        bool known = clear_of(m, backing, size, &clear);
        rows[size] = drawn_span(m, known ? clear.row : NAN);
        toplines[size] = drawn_span(m, known ? clear.topline : NAN);
    }
    drawn_put(m, PART_ROW_CLEAR, index, rows, "from its end to the nearest row as drawn", true);
    drawn_put(m, PART_TOPLINE_CLEAR, index, toplines,
              "from its end to the nearest topline as drawn", true);
}

/* Does the part, or one it backs, have a drawn outline? */
static void fill_drawn(Measuring *m, const Record *part)
{
    Tri drawn = drawn_part(m, part);
    for (size_t i = 0; i < m->style->backing_count; i++)
        for (size_t k = 0; k < m->style->backings[i].backed_count; k++)
            if (m->style->backings[i].part == part)
                drawn = tri_or(drawn, drawn_part(m, m->style->backings[i].backed[k]));
    bool open = record_value(part, PART_ROLE)->presence == VALUE_UNKNOWN || m->backing_open;
    cell_put_tri(m, PART_DRAWN, part->index,
                 drawn == TRI_NO && open && drawn_any(m) ? TRI_UNKNOWN : drawn, "from the drawing");
    m->columns->fields[PART_ROW_CLEAR].origins[part->index] =
        m->columns->fields[PART_TOPLINE_CLEAR].origins[part->index] =
            origin_derived(m, "backs no drawn part", false);
}

void clear_fill(Measuring *m)
{
    const RecordList *holes = values_list(m, SUBJECT_HOLE), *parts = values_list(m, SUBJECT_PART);
    for (size_t i = 0; i < holes->count; i++)
        fill_hole(m, holes->items[i]);
    for (size_t i = 0; i < parts->count; i++)
        fill_drawn(m, parts->items[i]);
    for (size_t i = 0; m->style->drawn_count && i < m->style->backing_count; i++)
        fill_ends(m, &m->style->backings[i]);
}

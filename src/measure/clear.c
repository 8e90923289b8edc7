/* How far holes and the ends of reinforcements keep from rows and lines, as drawn.
 * For the files of src/measure only. */

#include "base/sort.h"
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

/* Way of the curve at a point of its polyline; where that is a corner, or the end,
 * of the given segment. */
static Point way_at(const Line *line, size_t point, size_t segment)
{
    const double corner = 0.93969262078590838; /* cosine of 20 degrees */
    Point own = line_way(line, segment);
    if (point == 0 || point + 1 == line->count)
        return own;
    Point in = line_way(line, point - 1), out = line_way(line, point);
    Point from = line->points[point - 1], to = line->points[point + 1];
    double x = to.x - from.x, y = to.y - from.y, length = hypot(x, y);
    return in.x * out.x + in.y * out.y < corner ? own : (Point){x / length, y / length};
}

/* Way of the curve that the polyline stands for: chords lean by some degrees, which
 * counts far inside. */
static Point curve_way(const Line *line, double at)
{
    size_t segment = 0;
    while (segment + 2 < line->count && line->at[segment + 1] <= at)
        segment++;
    double length = line->at[segment + 1] - line->at[segment];
    double share = fmin(fmax((at - line->at[segment]) / length, 0), 1);
    Point from = way_at(line, segment, segment), to = way_at(line, segment + 1, segment);
    double x = from.x + (to.x - from.x) * share, y = from.y + (to.y - from.y) * share;
    double size = hypot(x, y);
    return (Point){x / size, y / size};
}

/* Holes beyond the end of their edge go on straight. */
static Point hole_at(const HoleLine *line, size_t i)
{
    const Line *edge = &line->edge->line;
    double at = line->first + (i ? (double)i * line->spacing : 0);
    double beyond = fmax(0, at - line_length(edge));
    Point on = line_point(edge, at), way = curve_way(edge, at);
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

/* How far the row is, if it is nearer than `least`; else anything that is not. */
typedef double RowGap(const void *what, const Line *row, double least);

/* The least of `gap` over all rows of the part's seams; NaN where one of them is
 * not known to run anywhere. */
static double least_of_rows(const Measuring *m, const LaidPart *part, uint32_t size, RowGap *gap,
                            const void *what, double least)
{
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
                least = fmin(least, gap(what, &row->line, least));
        }
    }
    return m->seams_open ? NAN : least;
}

static double gap_of_holes(const void *what, const Line *row, double least)
{
    const HoleLine *line = what;
    Nearest nearest;
    for (size_t i = 0; i < line->number; i++)
        if (line_nearest(row, hole_at(line, i), fmax(least + line->rim, 0), &nearest))
            least = fmin(least, nearest.distance - line->rim);
    return least;
}

/* The gap of two lines, if it is less than `least`. */
static double gap_within(const Line *one, const Line *other, double least)
{
    Box a = line_box(one), b = line_box(other);
    return box_gap2(&a, &b) >= least * least ? least : line_gap(one, other, NULL);
}

static double gap_of_end(const void *what, const Line *row, double least)
{
    return gap_within(what, row, least);
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
        double row =
            known ? least_of_rows(m, line.part, size, gap_of_holes, &line, NOTHING_NEAR_MM) : NAN;
        rows[size] = drawn_span(m, row);
        cuts[size] = drawn_span(m, known ? cut_clear(&line) : NAN);
    }
    drawn_put(m, HOLE_ROW_CLEAR, hole->index, rows, "to the nearest row as drawn", true);
    drawn_put(m, HOLE_CUT_CLEAR, hole->index, cuts, "to the line of the part as drawn", true);
}

/* ---- Ends of reinforcements ---- */

static double inset_of(const Backing *backing, const LaidEdge *edge)
{
    const Value *inset = inset_at(backing, edge->edge);
    return inset && inset->presence == VALUE_KNOWN ? inset->quantity.nominal : 0;
}

/* Does the backing end at a place that lies its inset inside of `edge`, and not
 * sooner for another edge? */
static bool ends_there(const Backing *backing, const LaidPart *part, const LaidEdge *edge,
                       Point place)
{
    Nearest nearest;
    for (size_t i = 0; i < part->edge_count; i++)
        if (&part->edges[i] != edge &&
            line_nearest(&part->edges[i].line, place, inset_of(backing, &part->edges[i]), &nearest))
            return false;
    return laid_covers(part, place, 0);
}

/* The stretch of a line between two places. */
static Line line_part(Arena *arena, const Line *line, double from, double to)
{
    Point *points = ARENA_NEW(arena, Point, line->count + 2);
    size_t count = 0;
    points[count++] = line_point(line, from);
    for (size_t i = 0; i < line->count; i++)
        if (line->at[i] > from && line->at[i] < to)
            points[count++] = line->points[i];
    points[count++] = line_point(line, to);
    return line_new(arena, points, count);
}

typedef struct Ends {
    Line *items;
    size_t count, capacity;
} Ends;

/* What is left of a line beside `edge` where the backing does not end sooner. */
static void add_ends(Arena *arena, Ends *ends, const Backing *backing, const LaidPart *part,
                     const LaidEdge *edge, const Line *line)
{
    double *marks = NULL, *at, from = 0;
    size_t count = 0, capacity = 0;
    Box own = line_box(line);
    for (size_t i = 0; i < part->edge_count; i++) {
        const Line *other = &part->edges[i].line;
        double inset = inset_of(backing, &part->edges[i]);
        Box box = line_box(other);
        if (&part->edges[i] == edge || box_gap2(&own, &box) > inset * inset)
            continue;
        size_t found = line_levels(arena, line, other, inset, &at);
        for (size_t k = 0; k < found; k++)
            *ARENA_PUSH(arena, marks, count, capacity) = at[k];
    }
    *ARENA_PUSH(arena, marks, count, capacity) = line_length(line);
    sort_numbers(marks, count);
    for (size_t i = 0; i < count; i++) {
        if (marks[i] > from &&
            ends_there(backing, part, edge, line_point(line, (from + marks[i]) / 2)))
            *ARENA_PUSH(arena, ends->items, ends->count, ends->capacity) =
                line_part(arena, line, from, marks[i]);
        from = marks[i];
    }
}

/* The lines where a backing ends inside an edge; none where it is sewn in. */
static Ends end_lines(Arena *arena, const Backing *backing, const LaidPart *part,
                      const LaidEdge *edge)
{
    Ends ends = {0};
    Line *beside;
    double inset = inset_of(backing, edge);
    size_t count = inset > 0 ? area_beside(arena, &edge->line, inset, &beside) : 0;
    for (size_t i = 0; i < count; i++)
        add_ends(arena, &ends, backing, part, edge, &beside[i]);
    return ends;
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
                clear->topline = lesser(
                    clear->topline,
                    topline == TRI_UNKNOWN ? NAN : gap_within(end, &edge->line, clear->topline));
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
            Ends ends = end_lines(&m->scratch, backing, part, &part->edges[i]);
            for (size_t e = 0; e < ends.count; e++) {
                const Line *end = &ends.items[e];
                if (!isnan(clear->row))
                    clear->row = least_of_rows(m, part, size, gap_of_end, end, clear->row);
                clear_of_toplines(m, end, part, lay, clear);
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

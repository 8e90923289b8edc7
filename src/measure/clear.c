/* How far holes and the ends of reinforcements keep from rows and lines, as drawn.
 * For the files of src/measure only. */

#include "base/sort.h"
#include "measure/measuring.h"

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
static Point hole_at(const Measuring *m, const HoleLine *line, size_t i)
{
    const Line *edge = &line->edge->line;
    double written = line->first + (i ? (double)i * line->spacing : 0);
    double at = laid_along_edge(m->style, line->edge, written);
    double beyond = at - fmin(fmax(at, 0), line_length(edge));
    Point on = line_point(edge, at), way = curve_way(edge, at);
    return (Point){on.x + way.x * beyond - way.y * line->from_edge,
                   on.y + way.y * beyond + way.x * line->from_edge};
}

/* The rows of all seams of a part, as they run on its sheet in one size. */
typedef struct PartRows {
    bool asked, unknown; /* unknown: one of them is not known to run anywhere */
    const Line **lines;
    size_t count, capacity;
    uint64_t number; /* the same while their lines are */
} PartRows;

typedef struct Clearing {
    Measuring *m;
    const Tri *tops;    /* one an edge: is it a line that lies at the topline, and no fold? */
    PartRows *rows;     /* one a size and part */
    uint64_t *toplines; /* one a size and sheet: a number, the same while they are; 0: not asked */
} Clearing;

static bool add_row(Measuring *m, PartRows *rows, const RowLineList *all, const Record *row,
                    const LaidPart *part)
{
    bool known = false;
    for (size_t i = 0; i < all->count; i++)
        if (all->items[i].row == row && all->items[i].sheet == part->sheet) {
            *ARENA_PUSH(&m->scratch, rows->lines, rows->count, rows->capacity) =
                &all->items[i].line;
            known = true;
        }
    return known;
}

static uint64_t number_of_rows(const Measuring *m, const PartRows *rows)
{
    Arena arena = {0};
    Key key = key_new(&arena, KEY_ROWS);
    key_whole(&key, rows->unknown || m->seams_open);
    for (size_t i = 0; i < rows->count; i++)
        key_whole(&key, rows->lines[i]->number);
    uint64_t number = held_number_of(m->held, key.words, key.count);
    arena_free(&arena);
    return number;
}

static const PartRows *rows_of(const Clearing *clearing, const LaidPart *part, uint32_t size)
{
    Measuring *m = clearing->m;
    size_t parts = values_list(m, SUBJECT_PART)->count;
    PartRows *rows = &clearing->rows[size * parts + part->part->index];
    for (size_t s = 0; !rows->asked && s < m->style->seam_count; s++) {
        const Seam *seam = &m->style->seams[s];
        for (size_t r = 0; seam_has_part(seam, part->part) && r < seam->rows.count; r++)
            rows->unknown |= !add_row(m, rows, &m->row_lines[size], seam->rows.items[r], part);
    }
    if (!rows->asked)
        rows->number = number_of_rows(m, rows);
    rows->asked = true;
    return rows;
}

/* How far the row is, if it is nearer than `least`; else anything that is not. */
typedef double RowGap(const Measuring *m, const void *what, const Line *row, double least);

/* The least of `gap` over all rows of the part's seams; NaN where one of them is
 * not known to run anywhere. */
static double least_of_rows(const Clearing *clearing, const LaidPart *part, uint32_t size,
                            RowGap *gap, const void *what, double least)
{
    const PartRows *rows = rows_of(clearing, part, size);
    if (rows->unknown || clearing->m->seams_open)
        return NAN;
    for (size_t i = 0; i < rows->count; i++)
        least = fmin(least, gap(clearing->m, what, rows->lines[i], least));
    return least;
}

static double gap_of_holes(const Measuring *m, const void *what, const Line *row, double least)
{
    const HoleLine *line = what;
    Nearest nearest;
    for (size_t i = 0; i < line->number; i++)
        if (line_nearest(row, hole_at(m, line, i), fmax(least + line->rim, 0), &nearest))
            least = fmin(least, nearest.distance - line->rim);
    return least;
}

static double gap_of_end(const Measuring *m, const void *what, const Line *row, double least)
{
    return once_gap((Once){m->held, NULL}, what, row, least);
}

static double cut_clear(const Measuring *m, const HoleLine *line)
{
    double least = INFINITY;
    Nearest nearest;
    for (size_t i = 0; i < line->number; i++)
        if (line_nearest(&line->part->outline, hole_at(m, line, i), INFINITY, &nearest))
            least = fmin(least, (nearest.left ? nearest.distance : -nearest.distance) - line->rim);
    return least;
}

/* A lane of each size, of the first colourway. */
static uint32_t lane_of(const Measuring *m, uint32_t size)
{
    return size * (uint32_t)m->style->colourway_count;
}

static void fill_hole(const Clearing *clearing, const Record *hole)
{
    Measuring *m = clearing->m;
    Span *rows = ARENA_NEW(&m->scratch, Span, m->size_count);
    Span *cuts = ARENA_NEW(&m->scratch, Span, m->size_count);
    for (uint32_t size = 0; size < m->size_count; size++) {
        HoleLine line;
        bool known = hole_line(m, hole, m->lays[size], lane_of(m, size), &line);
        double row =
            known ? least_of_rows(clearing, line.part, size, gap_of_holes, &line, NOTHING_NEAR_MM)
                  : NAN;
        rows[size] = drawn_span(m, row);
        cuts[size] = drawn_span(m, known ? cut_clear(m, &line) : NAN);
    }
    drawn_put(m, HOLE_ROW_CLEAR, hole->index, rows, "to the nearest row as drawn", true);
    drawn_put(m, HOLE_CUT_CLEAR, hole->index, cuts, "to the line of the part as drawn", true);
}

/* ---- Ends of reinforcements ---- */

/* Where a backing ends inside each edge of a part; 0: not inside it. */
static double *insets_of(Arena *arena, const Backing *backing, const LaidPart *part)
{
    double *insets = ARENA_NEW(arena, double, part->edge_count);
    for (size_t i = 0; i < part->edge_count; i++) {
        const Value *inset = inset_at(backing, part->edges[i].edge);
        insets[i] = inset && inset->presence == VALUE_KNOWN ? inset->quantity.nominal : 0;
    }
    return insets;
}

/* One of the edges that a backing ends inside. */
typedef struct EndsInside {
    const LaidPart *part;
    const double *insets;
    size_t edge;
} EndsInside;

/* Does the backing end at a place that lies its inset inside of the edge, and not
 * sooner for another one? */
static bool ends_there(const EndsInside *inside, Point place)
{
    const LaidPart *part = inside->part;
    Nearest nearest;
    for (size_t i = 0; i < part->edge_count; i++)
        if (i != inside->edge &&
            line_nearest(&part->edges[i].line, place, inside->insets[i], &nearest))
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

/* What is left of a line beside the edge where the backing does not end sooner. */
static void add_ends(Once once, Ends *ends, const EndsInside *inside, const Line *line)
{
    const LaidPart *part = inside->part;
    Arena *arena = once.arena;
    const double *at;
    double *marks = NULL, from = 0;
    size_t count = 0, capacity = 0;
    Box own = line_box(line);
    for (size_t i = 0; i < part->edge_count; i++) {
        const Line *other = &part->edges[i].line;
        double inset = inside->insets[i];
        Box box = line_box(other);
        if (i == inside->edge || box_gap2(&own, &box) > inset * inset)
            continue;
        size_t found = once_levels(once, line, other, inset, &at);
        for (size_t k = 0; k < found; k++)
            *ARENA_PUSH(arena, marks, count, capacity) = at[k];
    }
    *ARENA_PUSH(arena, marks, count, capacity) = line_length(line);
    sort_numbers(marks, count);
    for (size_t i = 0; i < count; i++) {
        if (marks[i] > from && ends_there(inside, line_point(line, (from + marks[i]) / 2)))
            *ARENA_PUSH(arena, ends->items, ends->count, ends->capacity) =
                line_part(arena, line, from, marks[i]);
        from = marks[i];
    }
}

/* The lines where a backing ends inside the edge; none where it is sewn in. */
static const Lines *end_lines(Held *held, const EndsInside *inside)
{
    Arena arena = {0};
    const LaidPart *part = inside->part;
    size_t words = 3 + part->edge_count;
    KeyWord *key = ARENA_NEW(&arena, KeyWord, words);
    key[0].whole = KEY_ENDS;
    key[1].whole = part->shape;
    key[2].whole = inside->edge;
    for (size_t i = 0; i < part->edge_count; i++)
        key[3 + i].number = inside->insets[i];
    const Lines *kept = held_find(held, key, words);
    if (!kept) {
        const Once once = {held, &arena};
        Ends ends = {0};
        const Lines *beside =
            once_beside(once, &part->edges[inside->edge].line, inside->insets[inside->edge]);
        for (size_t i = 0; i < beside->count; i++)
            add_ends(once, &ends, inside, &beside->items[i]);
        for (size_t i = 0; i < ends.count; i++)
            ends.items[i].number = once_points(once, &ends.items[i]);
        kept = once_keep(once, key, words, ends.items, NULL, ends.count);
    }
    arena_free(&arena);
    return kept;
}

typedef struct Clear {
    double row, topline;
} Clear;

/* fmin that hands an unknown on. */
static double lesser(double a, double b)
{
    return isnan(a) || isnan(b) ? NAN : fmin(a, b);
}

static const Tri *tops_of(Measuring *m)
{
    size_t edges = values_list(m, SUBJECT_EDGE)->count;
    Tri *tops = ARENA_NEW(&m->scratch, Tri, edges);
    for (size_t i = 0; i < edges; i++)
        tops[i] = tri_and(cell_is(m, EDGE_SIGHT, (int32_t)i, "topline"),
                          tri_not(cell_is(m, EDGE_FINISH, (int32_t)i, "fold-line")));
    return tops;
}

static void clear_of_toplines(const Clearing *clearing, const Line *end, const LaidPart *part,
                              const Lay *lay, Clear *clear)
{
    for (size_t p = 0; p < lay->count; p++)
        for (size_t i = 0; lay->parts[p].sheet == part->sheet && i < lay->parts[p].edge_count;
             i++) {
            const LaidEdge *edge = &lay->parts[p].edges[i];
            Tri topline = clearing->tops[edge->edge->index];
            if (topline != TRI_NO)
                clear->topline =
                    lesser(clear->topline, topline == TRI_UNKNOWN
                                               ? NAN
                                               : once_gap((Once){clearing->m->held, NULL}, end,
                                                          &edge->line, clear->topline));
        }
}

static bool insets_known(const Backing *backing, const LaidPart *part)
{
    for (size_t i = 0; i < part->edge_count; i++) {
        const Value *inset = inset_at(backing, part->edges[i].edge);
        if (inset && inset->presence == VALUE_UNKNOWN)
            return false;
    }
    return true;
}

static void clear_of_part(const Clearing *clearing, const LaidPart *part, const double *insets,
                          uint32_t size, Clear *clear)
{
    Measuring *m = clearing->m;
    for (size_t i = 0; i < part->edge_count; i++) {
        if (!(insets[i] > 0))
            continue;
        const Lines *ends = end_lines(m->held, &(EndsInside){part, insets, i});
        for (size_t e = 0; e < ends->count; e++) {
            const Line *end = &ends->items[e];
            if (!isnan(clear->row))
                clear->row = least_of_rows(clearing, part, size, gap_of_end, end, clear->row);
            clear_of_toplines(clearing, end, part, m->lays[size], clear);
        }
    }
}

/* ---- The same again ---- */

static uint64_t number_of_toplines(const Clearing *clearing, const Lay *lay, const Sheet *sheet)
{
    Arena arena = {0};
    Key key = key_new(&arena, KEY_TOPS);
    for (size_t p = 0; p < lay->count; p++)
        for (size_t i = 0; lay->parts[p].sheet == sheet && i < lay->parts[p].edge_count; i++) {
            const LaidEdge *edge = &lay->parts[p].edges[i];
            if (clearing->tops[edge->edge->index] == TRI_NO)
                continue;
            key_whole(&key, clearing->tops[edge->edge->index]);
            key_whole(&key, edge->line.number);
        }
    uint64_t number = held_number_of(clearing->m->held, key.words, key.count);
    arena_free(&arena);
    return number;
}

static uint64_t toplines_of(const Clearing *clearing, const Sheet *sheet, uint32_t size)
{
    const Measuring *m = clearing->m;
    size_t index = (size_t)(sheet - m->style->sheets);
    uint64_t *number = &clearing->toplines[size * m->style->sheet_count + index];
    if (!*number)
        *number = number_of_toplines(clearing, m->lays[size], sheet);
    return *number;
}

/* Starts with what the parts before it have left. */
static void clear_of_part_once(const Clearing *clearing, const Backing *backing,
                               const LaidPart *part, uint32_t size, Clear *clear)
{
    Measuring *m = clearing->m;
    Arena arena = {0};
    Key key = key_new(&arena, KEY_CLEAR);
    const double *insets = insets_of(&arena, backing, part);
    key_whole(&key, part->shape);
    key_whole(&key, rows_of(clearing, part, size)->number);
    key_whole(&key, toplines_of(clearing, part->sheet, size));
    key_number(&key, clear->row);
    key_number(&key, clear->topline);
    for (size_t i = 0; i < part->edge_count; i++)
        key_number(&key, insets[i]);
    const Clear *found = held_find(m->held, key.words, key.count);
    if (!found) {
        clear_of_part(clearing, part, insets, size, clear);
        Clear *kept = held_keep(m->held, key.words, key.count, sizeof *kept);
        *kept = *clear;
        found = kept;
    }
    *clear = *found;
    arena_free(&arena);
}

/* False where some part it backs is not drawn, or does not say where it ends. */
static bool clear_of(const Clearing *clearing, const Backing *backing, uint32_t size, Clear *clear)
{
    const Lay *lay = clearing->m->lays[size];
    *clear = (Clear){NOTHING_NEAR_MM, NOTHING_NEAR_MM};
    for (size_t k = 0; lay && k < backing->backed_count; k++) {
        const LaidPart *part = lay->of_part[backing->backed[k]->index];
        if (!part || !part->sheet || !insets_known(backing, part))
            return false;
        clear_of_part_once(clearing, backing, part, size, clear);
    }
    return lay && !backing->backed_unknown;
}

static void fill_ends(const Clearing *clearing, const Backing *backing)
{
    Measuring *m = clearing->m;
    uint32_t index = backing->part->index;
    Span *rows = ARENA_NEW(&m->scratch, Span, m->size_count);
    Span *toplines = ARENA_NEW(&m->scratch, Span, m->size_count);
    for (uint32_t size = 0; size < m->size_count; size++) {
        Clear clear;
        bool known = clear_of(clearing, backing, size, &clear);
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
    const Clearing clearing = {
        m, tops_of(m), ARENA_NEW(&m->scratch, PartRows, m->size_count * parts->count),
        ARENA_NEW(&m->scratch, uint64_t, m->size_count * m->style->sheet_count)};
    for (size_t i = 0; i < holes->count; i++)
        fill_hole(&clearing, holes->items[i]);
    for (size_t i = 0; i < parts->count; i++)
        fill_drawn(m, parts->items[i]);
    for (size_t i = 0; m->style->drawn_count && i < m->style->backing_count; i++)
        fill_ends(&clearing, &m->style->backings[i]);
}

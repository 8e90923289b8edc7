/* What the upper brings to the bottom: length and thickness at the feather line.
 * For the files of src/measure only. */
#include <stdlib.h>

#include "base/sort.h"
#include "measure/measuring.h"

/* Lasted edges that lie on one another are lasted once. */
static const double SAME_FEATHER_MM = 1;

static bool lasted_upper(const Measuring *m, const Record *edge)
{
    return cell_is(m, EDGE_FINISH, (int32_t)edge->index, "lasted") == TRI_YES &&
           cell_is(m, PART_ROLE, (int32_t)edge->owner->index, "upper") == TRI_YES;
}

/* Lasted edges of the upper on the same sheet, of the parts laid out before. */
static size_t feathers_before(const Measuring *m, const Lay *lay, size_t own, Arena *arena,
                              const Line ***lines)
{
    size_t count = 0, capacity = 0;
    *lines = NULL;
    for (size_t p = 0; p < own; p++)
        for (size_t i = 0; i < lay->parts[p].edge_count; i++)
            if (lay->parts[p].sheet == lay->parts[own].sheet &&
                lasted_upper(m, lay->parts[p].edges[i].edge))
                *ARENA_PUSH(arena, *lines, count, capacity) = &lay->parts[p].edges[i].line;
    return count;
}

typedef struct Marks {
    double *items; /* mm along a line */
    size_t count, capacity;
} Marks;

static void add_mark(Arena *arena, Marks *marks, double at)
{
    *ARENA_PUSH(arena, marks->items, marks->count, marks->capacity) = at;
}

/* Where the line comes to the other one or parts from it, and where that ends. */
static void mark_other(Once once, Marks *marks, const Line *line, const Line *other)
{
    const double *at;
    size_t found = once_levels(once, line, other, SAME_FEATHER_MM, &at);
    const Point ends[2] = {other->points[0], other->points[other->count - 1]};
    Nearest nearest;
    for (size_t i = 0; i < found; i++)
        add_mark(once.arena, marks, at[i]);
    for (int i = 0; i < 2; i++)
        if (line_nearest(line, ends[i], SAME_FEATHER_MM, &nearest))
            add_mark(once.arena, marks, nearest.at);
}

/* Does the place lie beside the line, not only near one of its ends? */
static bool lies_beside(const Line *line, Point place)
{
    Nearest nearest;
    return line_nearest(line, place, SAME_FEATHER_MM, &nearest) && nearest.at > 0 &&
           nearest.at < line_length(line);
}

/* Length of a line that lies on none of the others. */
static double length_alone(Once once, const Line *line, const Line *const *others, size_t count)
{
    Marks marks = {0};
    double sum = 0;
    add_mark(once.arena, &marks, 0);
    add_mark(once.arena, &marks, line_length(line));
    for (size_t i = 0; i < count; i++)
        mark_other(once, &marks, line, others[i]);
    sort_numbers(marks.items, marks.count);
    for (size_t i = 0; i + 1 < marks.count; i++) {
        double length = marks.items[i + 1] - marks.items[i];
        Point middle = line_point(line, marks.items[i] + length / 2);
        bool alone = length > 0;
        for (size_t k = 0; alone && k < count; k++)
            alone = !lies_beside(others[k], middle);
        sum += alone ? length : 0;
    }
    return sum;
}

static double lasted_length(const Measuring *m, const Lay *lay)
{
    Arena arena = {0};
    double sum = 0;
    for (size_t p = 0; p < lay->count; p++) {
        const Line **before;
        size_t count = feathers_before(m, lay, p, &arena, &before);
        for (size_t i = 0; i < lay->parts[p].edge_count; i++)
            if (lasted_upper(m, lay->parts[p].edges[i].edge))
                sum +=
                    length_alone(once_in(m, &arena), &lay->parts[p].edges[i].line, before, count);
    }
    arena_free(&arena);
    return sum;
}

/* Every lasted edge of the upper must be drawn, or nobody knows the whole. */
static bool all_drawn(const Measuring *m)
{
    const RecordList *edges = values_list(m, SUBJECT_EDGE);
    for (size_t i = 0; i < edges->count; i++) {
        Tri lasted = cell_is(m, EDGE_FINISH, (int32_t)i, "lasted");
        Tri upper = cell_is(m, PART_ROLE, (int32_t)edges->items[i]->owner->index, "upper");
        if (tri_and(lasted, upper) != TRI_NO && !m->style->lines[i].part)
            return false;
    }
    return m->style->drawn_count > 0;
}

static Tri any_drawn(const Measuring *m)
{
    const RecordList *edges = values_list(m, SUBJECT_EDGE);
    Tri any = TRI_NO;
    for (size_t i = 0; i < edges->count; i++)
        if (m->style->lines[i].part || m->style->lines[i].unknown)
            any = tri_or(any, cell_is(m, EDGE_FINISH, (int32_t)i, "lasted"));
    return any;
}

static void fill_length(Measuring *m, bool drawn)
{
    Span *lengths = ARENA_NEW(&m->scratch, Span, m->size_count);
    for (uint32_t size = 0; size < m->size_count; size++) {
        const Lay *lay = m->lays[size];
        bool whole = drawn && lay && lay->whole;
        lengths[size] = drawn_span(m, whole ? lasted_length(m, lay) : NAN);
    }
    drawn_put(m, BOTTOM_LASTED, 0, lengths,
              drawn ? "the drawn lasted edges of the upper" : "not all of them are drawn", drawn);
}

static void fill_stack(Measuring *m, const Record *edge)
{
    Column *column = &m->columns->fields[EDGE_STACK];
    bool lasted = cell_is(m, EDGE_FINISH, (int32_t)edge->index, "lasted") == TRI_YES;
    bool assumed = false;
    const Span *stacks = lasted && m->style->lines[edge->index].part && !m->backing_open
                             ? making_edge(m, edge, &assumed)
                             : NULL;
    for (uint32_t lane = 0; lane < column->stride; lane++)
        cell_put(m, EDGE_STACK, edge->index, lane,
                 stacks ? stacks[m->lanes[lane].colourway] : span_exact(NAN));
    column->origins[edge->index] = origin_derived(
        m, stacks ? "all layers along the drawn line" : "not a drawn lasted edge", assumed);
}

void feather_fill(Measuring *m)
{
    const RecordList *edges = values_list(m, SUBJECT_EDGE);
    if (m->columns->count[SUBJECT_BOTTOM]) {
        fill_length(m, all_drawn(m));
        cell_put_tri(m, BOTTOM_DRAWN, 0, any_drawn(m), "from the drawing");
    }
    for (size_t i = 0; i < edges->count; i++)
        fill_stack(m, edges->items[i]);
}

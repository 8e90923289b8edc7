/* Polylines in a tree of boxes: nearest places, levels and gaps.
 * For src/measure, and for lines beside lines. */
#include "shape/line.h"

#include <math.h>
#include <string.h>

#include "shape/vector.h"

/* Places nearer than this to each other are one. */
#define SAME_MM 1e-9

static BoxRun whole(const Line *line)
{
    return boxrun_whole(line->count - 1);
}

/* ---- Making and walking ---- */

static bool same_place(Point a, Point b)
{
    return fabs(a.x - b.x) <= SAME_MM && fabs(a.y - b.y) <= SAME_MM;
}

/* The last point stays where it is, so that a closed line stays closed. */
static size_t keep_apart(const Point *points, size_t count, Point *kept)
{
    size_t have = 1;
    kept[0] = points[0];
    for (size_t i = 1; i < count; i++)
        if (!same_place(kept[have - 1], points[i]))
            kept[have++] = points[i];
    have += have == 1;
    kept[have - 1] = points[count - 1];
    return have;
}

static bool all_apart(const Point *points, size_t count)
{
    for (size_t i = 1; i < count; i++)
        if (same_place(points[i - 1], points[i]))
            return false;
    return count > 1;
}

Line line_new(Arena *arena, const Point *points, size_t count)
{
    Line line = {.points = points, .count = count};
    if (!all_apart(points, count)) {
        Point *kept = ARENA_NEW(arena, Point, count + 1);
        line.count = keep_apart(points, count, kept);
        line.points = kept;
    }
    line.at = ARENA_NEW(arena, double, line.count);
    for (size_t i = 1; i < line.count; i++)
        line.at[i] = line.at[i - 1] + size(minus(line.points[i], line.points[i - 1]));
    line.boxes = box_tree(arena, line.points, line.count, false);
    return line;
}

static size_t boxes_bytes(const Line *line)
{
    return box_count(line->count - 1) * sizeof *line->boxes;
}

size_t line_bytes(const Line *line)
{
    return line->count * (sizeof *line->points + sizeof *line->at) + boxes_bytes(line);
}

Line line_put(void *memory, const Line *line)
{
    Line copy = *line;
    Point *points = memory;
    copy.points = points;
    copy.at = (double *)(points + line->count);
    copy.boxes = (Box *)(copy.at + line->count);
    memcpy(points, line->points, line->count * sizeof *points);
    memcpy(copy.at, line->at, line->count * sizeof *copy.at);
    memcpy(copy.boxes, line->boxes, boxes_bytes(line));
    return copy;
}

Line line_of_path(Arena *arena, const Path *path)
{
    Point *points;
    size_t count = path_flatten(arena, path, OUTLINE_FLATNESS_MM, &points);
    return line_new(arena, points, count);
}

double line_length(const Line *line)
{
    return line->at[line->count - 1];
}

bool line_is_closed(const Line *line)
{
    Point first = line->points[0], last = line->points[line->count - 1];
    return line->count > 2 && first.x == last.x && first.y == last.y;
}

Box line_box(const Line *line)
{
    return line->boxes[1];
}

/* The last segment that starts at or before `at`; the first for what is before. */
static size_t segment_at(const Line *line, double at)
{
    size_t from = 0, to = line->count - 1;
    while (to - from > 1) {
        size_t middle = from + (to - from) / 2;
        if (line->at[middle] <= at)
            from = middle;
        else
            to = middle;
    }
    return from;
}

Point line_point(const Line *line, double at)
{
    size_t i = segment_at(line, at);
    double length = line->at[i + 1] - line->at[i], ahead = at - line->at[i];
    if (!(ahead > 0))
        return line->points[i];
    if (ahead >= length)
        return line->points[i + 1];
    return moved(line->points[i], minus(line->points[i + 1], line->points[i]), ahead / length);
}

Point line_way(const Line *line, size_t i)
{
    Point step = minus(line->points[i + 1], line->points[i]);
    double length = size(step);
    return length > 0 ? (Point){step.x / length, step.y / length} : (Point){1, 0};
}

Point line_direction(const Line *line, double at)
{
    return line_way(line, segment_at(line, at));
}

/* ---- Nearest ---- */

typedef struct Search {
    const Line *line;
    Point place;
    double square; /* of the least distance so far */
    size_t segment;
    double share; /* 0..1 of the segment */
    bool found;
} Search;

/* The share of the segment at which it is nearest to a place. */
static double nearest_share(Point a, Point b, Point place)
{
    Point step = minus(b, a);
    double share = dot(minus(place, a), step) / dot(step, step);
    return share > 0 ? (share < 1 ? share : 1) : 0;
}

static Point at_share(Point a, Point b, double share)
{
    return share >= 1 ? b : moved(a, minus(b, a), share);
}

static void look_at(Search *search, size_t i)
{
    Point a = search->line->points[i], b = search->line->points[i + 1];
    double share = nearest_share(a, b, search->place);
    Point off = minus(search->place, at_share(a, b, share));
    double square = dot(off, off);
    if (square < search->square || (!search->found && square <= search->square)) {
        search->square = square;
        search->segment = i;
        search->share = share;
        search->found = true;
    }
}

static void search_run(Search *search, BoxRun run, double apart)
{
    if (!(apart < search->square || (!search->found && apart <= search->square)))
        return;
    if (boxrun_is_leaf(run)) {
        for (size_t i = run.from; i < run.to; i++)
            look_at(search, i);
        return;
    }
    BoxRun a = boxrun_half(run, 0), b = boxrun_half(run, 1);
    double to_a = box_distance2(&search->line->boxes[a.box], search->place);
    double to_b = box_distance2(&search->line->boxes[b.box], search->place);
    if (to_a <= to_b) {
        search_run(search, a, to_a);
        search_run(search, b, to_b);
    } else {
        search_run(search, b, to_b);
        search_run(search, a, to_a);
    }
}

/* A corner turned sharply is seen from outside wherever it is nearest; at a blunt
 * one rounding could put the place beside the corner's own sector. */
static bool left_of_corner(Point in, Point out, Point off)
{
    double turns = cross(in, out);
    if (dot(in, out) < 0 && turns != 0)
        return turns < 0;
    return dot(off, left_of((Point){in.x + out.x, in.y + out.y})) > 0;
}

static bool lies_left(const Search *search, Point on)
{
    const Line *line = search->line;
    size_t i = search->segment, last = line->count - 2;
    Point off = minus(search->place, on), way = line_way(line, i);
    if (search->share <= 0 && (i > 0 || line_is_closed(line)))
        return left_of_corner(line_way(line, i > 0 ? i - 1 : last), way, off);
    if (search->share >= 1 && (i < last || line_is_closed(line)))
        return left_of_corner(way, line_way(line, i < last ? i + 1 : 0), off);
    return cross(way, off) > 0;
}

bool line_nearest(const Line *line, Point place, double within, Nearest *nearest)
{
    if (!(within >= 0))
        return false;
    /* A little more than `within`, whose square is rounded. */
    Search search = {.line = line, .place = place, .square = within * within * (1 + 1e-15)};
    search_run(&search, whole(line), box_distance2(&line->boxes[1], place));
    if (!search.found || sqrt(search.square) > within)
        return false;
    size_t i = search.segment;
    nearest->on = at_share(line->points[i], line->points[i + 1], search.share);
    nearest->at = search.share >= 1 ? line->at[i + 1]
                                    : line->at[i] + search.share * (line->at[i + 1] - line->at[i]);
    nearest->distance = sqrt(search.square);
    nearest->left = lies_left(&search, nearest->on);
    return true;
}

/* ---- Gaps ---- */

typedef struct Gap {
    const Line *one, *other;
    double square; /* of the least distance so far */
    double at;     /* on the first */
} Gap;

static void narrow(Gap *gap, size_t i, double share, Point on_one, Point on_other)
{
    Point off = minus(on_one, on_other);
    double square = dot(off, off);
    if (square < gap->square) {
        gap->square = square;
        gap->at = gap->one->at[i] + share * (gap->one->at[i + 1] - gap->one->at[i]);
    }
}

static bool opposite(double a, double b)
{
    return (a > 0 && b < 0) || (a < 0 && b > 0);
}

static void gap_of_pair(Gap *gap, size_t i, size_t k)
{
    Point a = gap->one->points[i], b = gap->one->points[i + 1];
    Point c = gap->other->points[k], d = gap->other->points[k + 1];
    Point way = minus(b, a), other = minus(d, c);
    double from = cross(other, minus(a, c)), to = cross(other, minus(b, c));
    if (opposite(from, to) && opposite(cross(way, minus(c, a)), cross(way, minus(d, a)))) {
        narrow(gap, i, from / (from - to), a, a);
        return;
    }
    narrow(gap, i, 0, a, at_share(c, d, nearest_share(c, d, a)));
    narrow(gap, i, 1, b, at_share(c, d, nearest_share(c, d, b)));
    double at_c = nearest_share(a, b, c), at_d = nearest_share(a, b, d);
    narrow(gap, i, at_c, at_share(a, b, at_c), c);
    narrow(gap, i, at_d, at_share(a, b, at_d), d);
}

/* Most pairs are too far apart for their boxes already. */
static void gap_of_leaves(Gap *gap, BoxRun a, BoxRun b)
{
    for (size_t i = a.from; i < a.to; i++) {
        Box one = box_around(gap->one->points[i], gap->one->points[i + 1]);
        if (!(box_gap2(&one, &gap->other->boxes[b.box]) < gap->square))
            continue;
        for (size_t k = b.from; k < b.to; k++) {
            Box other = box_around(gap->other->points[k], gap->other->points[k + 1]);
            if (box_gap2(&one, &other) < gap->square)
                gap_of_pair(gap, i, k);
        }
    }
}

/* Depth: twice the trees'. The nearer half first. */
static void gap_of_runs(Gap *gap, BoxRun a, BoxRun b, double apart)
{
    if (!(apart < gap->square))
        return;
    if (boxrun_is_leaf(a) && boxrun_is_leaf(b)) {
        gap_of_leaves(gap, a, b);
        return;
    }
    bool first = boxrun_is_leaf(b) || (!boxrun_is_leaf(a) && a.to - a.from >= b.to - b.from);
    BoxRun one[2] = {a, a}, other[2] = {b, b};
    double apart_by[2];
    for (int h = 0; h < 2; h++) {
        if (first)
            one[h] = boxrun_half(a, h);
        else
            other[h] = boxrun_half(b, h);
        apart_by[h] = box_gap2(&gap->one->boxes[one[h].box], &gap->other->boxes[other[h].box]);
    }
    int nearer = apart_by[1] < apart_by[0];
    gap_of_runs(gap, one[nearer], other[nearer], apart_by[nearer]);
    gap_of_runs(gap, one[!nearer], other[!nearer], apart_by[!nearer]);
}

static bool runs_near(const Line *one, const Line *other, BoxRun a, BoxRun b, double square)
{
    if (box_gap2(&one->boxes[a.box], &other->boxes[b.box]) > square)
        return false;
    if (boxrun_is_leaf(a) && boxrun_is_leaf(b))
        return true;
    if (boxrun_is_leaf(b) || (!boxrun_is_leaf(a) && a.to - a.from >= b.to - b.from))
        return runs_near(one, other, boxrun_half(a, 0), b, square) ||
               runs_near(one, other, boxrun_half(a, 1), b, square);
    return runs_near(one, other, a, boxrun_half(b, 0), square) ||
           runs_near(one, other, a, boxrun_half(b, 1), square);
}

bool line_may_near(const Line *one, const Line *other, double within)
{
    return runs_near(one, other, whole(one), whole(other), within * within);
}

double line_gap_within(const Line *one, const Line *other, double within)
{
    const double square = within * within;
    Gap gap = {.one = one, .other = other, .square = square};
    gap_of_runs(&gap, whole(one), whole(other), box_gap2(&one->boxes[1], &other->boxes[1]));
    return gap.square < square ? sqrt(gap.square) : within;
}

double line_gap(const Line *one, const Line *other, double *at)
{
    Gap gap = {.one = one, .other = other, .square = INFINITY};
    gap_of_runs(&gap, whole(one), whole(other), box_gap2(&one->boxes[1], &other->boxes[1]));
    if (at)
        *at = gap.at;
    return sqrt(gap.square);
}

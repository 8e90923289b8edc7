/* Lines beside lines: each segment is moved aside, corners are bridged, and of the
 * raw line so made what comes nearer to the line than the distance is cut away.
 * For whoever lays rows and strips along edges. */
#include <math.h>
#include <string.h>

#include "shape/area.h"
#include "shape/vector.h"

/* mm, of outer corners; always outwards. Where nothing is cut away pieces need not meet. */
static const double round_cut = 1e-4, round_plain = 1e-3;
enum { ROUND_STEPS_MOST = 1000 }; /* of one corner */

/* Ends of pieces that miss each other by no more than `join_near` are joined; such
 * as overshoot, because corners are rounded outwards, where they cross; mm. */
static const double join_near = 1e-3, join_far = 0.2;

typedef struct Beside {
    Arena scratch;
    const Line *line;
    double distance; /* positive: to the left */
    double slack;    /* mm that a place may be nearer than the distance */
    Point *points;   /* the raw line */
    size_t count, capacity;
    Line raw;
    bool plain; /* nothing of it is nearer than the distance */
    double round_error;
} Beside;

static void add_point(Beside *beside, Point point)
{
    *ARENA_PUSH(&beside->scratch, beside->points, beside->count, beside->capacity) = point;
}

/* ---- The raw line ---- */

static double segment_length(const Line *line, size_t i)
{
    return line->at[i + 1] - line->at[i];
}

/* An outer corner: tangents of the circle round it, which they touch from outside,
 * so that no place is nearer than the distance. */
typedef struct Round {
    Point corner, first; /* the unit vector across where it begins */
    double step, reach;  /* rad, mm; both with the sign of their side */
} Round;

static Point round_point(const Round *round, double k)
{
    double c = cos((k + 0.5) * round->step), s = sin((k + 0.5) * round->step);
    Point across = {round->first.x * c - round->first.y * s,
                    round->first.x * s + round->first.y * c};
    return moved(round->corner, across, round->reach);
}

/* Tangents from..to-1. Where all of them will be cut away, only the outermost. */
static void add_tangents(Beside *beside, const Round *round, int from, int to)
{
    double half = (to - from) * fabs(round->step * round->reach) + 2 * beside->round_error;
    Point middle = round_point(round, (from + to - 1) / 2.0);
    Nearest nearest;
    if (to - from <= 2) {
        for (int k = from; k < to; k++)
            add_point(beside, round_point(round, k));
    } else if (line_nearest(beside->line, middle, fabs(beside->distance) - half, &nearest)) {
        add_point(beside, round_point(round, from));
        add_point(beside, round_point(round, to - 1));
    } else {
        add_tangents(beside, round, from, from + (to - from) / 2);
        add_tangents(beside, round, from + (to - from) / 2, to);
    }
}

static void add_round(Beside *beside, Point corner, Point in, double turn)
{
    double radius = fabs(beside->distance);
    double step_most = 2 * acos(radius / (radius + beside->round_error));
    double steps = fmin(fmax(ceil(turn / step_most), 1), ROUND_STEPS_MOST);
    Round round = {corner, left_of(in), copysign(turn / steps, -beside->distance),
                   beside->distance / cos(turn / (2 * steps))};
    add_tangents(beside, &round, 0, (int)steps);
}

/* Does a hollow corner leave half of both its segments? */
static bool corner_fits(const Beside *beside, size_t i, size_t k, double turn)
{
    double back = fabs(beside->distance) * tan(turn / 2);
    return back <= fmin(segment_length(beside->line, i), segment_length(beside->line, k)) / 2;
}

/* Is nothing of the raw line nearer to the line than the distance? Ways that differ by
 * less than half a turn all lead on along their middle: over that axis the line is a graph.
 * Along the axis the sine of its slope rises by no more than 1/distance each mm, as that of
 * the circle does which touches it: the graph stays below the circle on both sides. Hollow
 * corners that leave half of each segment are bends of that radius, or easier. */
static bool is_plain(const Beside *beside)
{
    const double half_turn = 3.14;
    const Line *line = beside->line;
    double heading = 0, least = 0, most = 0;
    for (size_t k = 1; k + 1 < line->count; k++) {
        Point in = line_way(line, k - 1), out = line_way(line, k);
        double side = cross(in, out), turn = atan2(fabs(side), dot(in, out));
        if (side * beside->distance > 0 && !corner_fits(beside, k - 1, k, turn))
            return false;
        heading += copysign(turn, side);
        least = fmin(least, heading);
        most = fmax(most, heading);
    }
    return most - least < half_turn && !line_is_closed(line);
}

/* Between segments i and k. */
static void add_corner(Beside *beside, size_t i, size_t k)
{
    const Line *line = beside->line;
    Point corner = line->points[k], in = line_way(line, i), out = line_way(line, k);
    double turn = atan2(fabs(cross(in, out)), dot(in, out));
    if (cross(in, out) * beside->distance <= 0) {
        add_round(beside, corner, in, turn);
        return;
    }
    if (corner_fits(beside, i, k, turn)) {
        Point sum = {in.x + out.x, in.y + out.y};
        add_point(beside, moved(corner, left_of(sum), beside->distance / (1 + dot(in, out))));
        return;
    }
    add_point(beside, moved(corner, left_of(in), beside->distance));
    add_point(beside, moved(corner, left_of(out), beside->distance));
}

static void draw_raw(Beside *beside)
{
    const Line *line = beside->line;
    size_t last = line->count - 2;
    bool closed = line_is_closed(line);
    add_point(beside, moved(line->points[0], left_of(line_way(line, 0)), beside->distance));
    for (size_t i = 0; i < last; i++)
        add_corner(beside, i, i + 1);
    if (closed) {
        add_corner(beside, last, 0);
        beside->points[0] = beside->points[beside->count - 1];
    } else {
        add_point(beside,
                  moved(line->points[last + 1], left_of(line_way(line, last)), beside->distance));
    }
    beside->raw = line_new(&beside->scratch, beside->points, beside->count);
}

/* ---- What is left of it ---- */

/* From..to, mm along the raw line, of a closed one perhaps past its end; `next` is
 * the piece that goes on where this one ends. */
typedef struct Piece {
    double from, to;
    Point start, end;
    struct Piece *next;
    bool follows; /* is the next of one */
} Piece;

typedef struct Pieces {
    Piece *items;
    size_t count, capacity;
} Pieces;

static bool is_clear(const Beside *beside, double at)
{
    Nearest nearest;
    double least = fabs(beside->distance) - beside->slack;
    return !line_nearest(beside->line, line_point(&beside->raw, at), least, &nearest) ||
           nearest.distance >= least;
}

static void keep(Beside *beside, Pieces *pieces, double from, double to)
{
    if (pieces->count > 0 && pieces->items[pieces->count - 1].to == from)
        pieces->items[pieces->count - 1].to = to;
    else
        *ARENA_PUSH(&beside->scratch, pieces->items, pieces->count, pieces->capacity) =
            (Piece){.from = from, .to = to};
}

static Pieces clear_pieces(Beside *beside)
{
    Pieces pieces = {0};
    if (beside->plain) {
        keep(beside, &pieces, 0, line_length(&beside->raw));
        return pieces;
    }
    double *at, from = 0, least = fmax(fabs(beside->distance) - beside->slack, 0);
    size_t count = line_levels(&beside->scratch, &beside->raw, beside->line, least, &at);
    for (size_t i = 0; i <= count; i++) {
        double to = i < count ? at[i] : line_length(&beside->raw);
        if (to > from && is_clear(beside, from + (to - from) / 2))
            keep(beside, &pieces, from, to);
        from = to;
    }
    return pieces;
}

/* A closed raw line goes on where it began. */
static void join_seam(const Beside *beside, Pieces *pieces)
{
    double length = line_length(&beside->raw);
    if (pieces->count < 2 || !line_is_closed(&beside->raw))
        return;
    Piece *first = &pieces->items[0], *last = &pieces->items[pieces->count - 1];
    if (first->from > 0 || last->to < length)
        return;
    last->to = length + first->to;
    pieces->items++;
    pieces->count--;
}

static Point raw_point(const Beside *beside, double at)
{
    double length = line_length(&beside->raw);
    return line_point(&beside->raw, at > length ? at - length : at);
}

static void find_ends(const Beside *beside, Pieces *pieces)
{
    for (size_t i = 0; i < pieces->count; i++) {
        Piece *piece = &pieces->items[i];
        piece->start = raw_point(beside, piece->from);
        piece->end = raw_point(beside, piece->to);
    }
}

/* ---- Points of the pieces ---- */

typedef struct Points {
    Arena *arena;
    Point *items;
    size_t count, capacity;
} Points;

static void add_to(Points *points, Point point)
{
    *ARENA_PUSH(points->arena, points->items, points->count, points->capacity) = point;
}

/* The raw line's own points between two places. */
static void add_between(Points *points, const Line *raw, double from, double to)
{
    size_t first = 0, past = raw->count;
    while (first < past) {
        size_t middle = first + (past - first) / 2;
        if (raw->at[middle] <= from)
            first = middle + 1;
        else
            past = middle;
    }
    for (size_t i = first; i < raw->count && raw->at[i] < to; i++)
        add_to(points, raw->points[i]);
}

static void add_piece(Points *points, const Beside *beside, const Piece *piece)
{
    double length = line_length(&beside->raw);
    add_to(points, piece->start);
    add_between(points, &beside->raw, piece->from, piece->to);
    if (piece->to > length)
        add_between(points, &beside->raw, piece->from - length, piece->to - length);
    add_to(points, piece->end);
}

static Line part_of(Beside *beside, double from, double to)
{
    Points points = {.arena = &beside->scratch};
    Piece part = {.from = from, .to = to};
    part.start = raw_point(beside, from);
    part.end = raw_point(beside, to);
    add_piece(&points, beside, &part);
    return line_new(&beside->scratch, points.items, points.count);
}

/* ---- Joining ---- */

static double gap(const Piece *piece, const Piece *next)
{
    Point off = minus(piece->end, next->start);
    return size(off);
}

static double near_enough(const Beside *beside)
{
    return fmax(join_near, sqrt(beside->slack * fabs(beside->distance)));
}

/* Cuts both where the end of one crosses the start of the other. */
static bool cross_ends(Beside *beside, Piece *piece, Piece *next)
{
    double reach = 4 * gap(piece, next) + 10 * join_near;
    double from = fmax(piece->from, piece->to - reach), *at;
    Line end = part_of(beside, from, piece->to);
    Line start = part_of(beside, next->from, fmin(next->to, next->from + reach));
    if (line_levels(&beside->scratch, &end, &start, 0, &at) == 0)
        return false;
    Nearest nearest;
    line_nearest(&start, line_point(&end, at[0]), INFINITY, &nearest);
    piece->end = next->start = nearest.on;
    piece->to = from + at[0];
    next->from += nearest.at;
    return true;
}

static bool meets(Beside *beside, Piece *piece, Piece *next)
{
    double apart = gap(piece, next);
    if (apart == 0 || apart > join_far)
        return apart == 0;
    if (cross_ends(beside, piece, next))
        return true;
    if (apart > near_enough(beside))
        return false;
    piece->end.x = next->start.x = (piece->end.x + next->start.x) / 2;
    piece->end.y = next->start.y = (piece->end.y + next->start.y) / 2;
    return true;
}

/* The piece further on that starts nearest to where this one ends. */
static Piece *follower(const Beside *beside, Pieces *pieces, size_t of)
{
    Piece *nearest = NULL, *piece = &pieces->items[of];
    double least = INFINITY, enough = near_enough(beside);
    for (size_t k = of + 1; least > enough && k < pieces->count; k++) {
        double apart = pieces->items[k].follows ? INFINITY : gap(piece, &pieces->items[k]);
        if (apart < least) {
            least = apart;
            nearest = &pieces->items[k];
        }
    }
    return nearest;
}

/* What is cut away between two that meet is a loop; other pieces may lie in it. */
static void join_pieces(Beside *beside, Pieces *pieces)
{
    for (size_t i = 0; i < pieces->count; i++) {
        Piece *next = follower(beside, pieces, i);
        if (next && meets(beside, &pieces->items[i], next)) {
            pieces->items[i].next = next;
            next->follows = true;
        }
    }
}

/* Closes the line of the piece and those that follow it, if it ends where it starts. */
static bool line_of_pieces(Arena *arena, Beside *beside, Piece *first, Line *line)
{
    Points points = {.arena = &beside->scratch};
    Piece *last = first;
    double length = 0;
    for (Piece *piece = first; piece; piece = piece->next) {
        length += fmax(piece->to - piece->from, 0);
        last = piece;
    }
    if (length <= near_enough(beside))
        return false;
    if (length > 4 * join_far)
        meets(beside, last, first);
    for (const Piece *piece = first; piece; piece = piece->next)
        add_piece(&points, beside, piece);
    Point *kept = ARENA_NEW(arena, Point, points.count);
    memcpy(kept, points.items, points.count * sizeof *kept);
    *line = line_new(arena, kept, points.count);
    return true;
}

static double slack_of(const Line *line, double distance)
{
    return fmax(1e-9, 1e-12 * (box_reach(&line->boxes[1]) + fabs(distance)));
}

size_t area_beside(Arena *arena, const Line *line, double distance, Line **pieces)
{
    *pieces = NULL;
    if (!isfinite(distance))
        return 0;
    if (distance == 0) {
        *pieces = ARENA_NEW(arena, Line, 1);
        **pieces = *line;
        return 1;
    }
    Beside beside = {.line = line, .distance = distance, .slack = slack_of(line, distance)};
    beside.plain = is_plain(&beside);
    beside.round_error = beside.plain ? round_plain : round_cut;
    draw_raw(&beside);
    Pieces kept = clear_pieces(&beside);
    join_seam(&beside, &kept);
    find_ends(&beside, &kept);
    join_pieces(&beside, &kept);
    size_t count = 0;
    *pieces = ARENA_NEW(arena, Line, kept.count);
    for (size_t i = 0; i < kept.count; i++)
        if (!kept.items[i].follows)
            count += line_of_pieces(arena, &beside, &kept.items[i], &(*pieces)[count]);
    arena_free(&beside.scratch);
    return count;
}

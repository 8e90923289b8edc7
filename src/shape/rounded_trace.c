/* A line as places along it, and which of them is nearest. For rounding alone. */
#include "shape/rounded_inside.h"

#include <math.h>

#include "shape/vector.h"

/* Straight on beyond both ends, mm: a disc that would touch there has no room. */
static const double beyond = 0.5;
static const double trace_error = 5e-4; /* mm, of chords */
static const double trace_step = 0.5;   /* mm, between samples, at most about */

enum { SAMPLES_OF_PIECE = 400 };

/* ---- Pieces ---- */

static Point speed_at(const Cubic *c, double t)
{
    Point a = minus(c->p[1], c->p[0]), b = minus(c->p[2], c->p[1]), d = minus(c->p[3], c->p[2]);
    double u = 1 - t, i = 3 * u * u, j = 6 * u * t, k = 3 * t * t;
    return (Point){i * a.x + j * b.x + k * d.x, i * a.y + j * b.y + k * d.y};
}

static Point push_at(const Cubic *c, double t)
{
    Point a = minus(c->p[1], c->p[0]), b = minus(c->p[2], c->p[1]), d = minus(c->p[3], c->p[2]);
    Point first = minus(b, a), last = minus(d, b);
    return (Point){6 * ((1 - t) * first.x + t * last.x), 6 * ((1 - t) * first.y + t * last.y)};
}

static Cubic straight(Point a, Point b)
{
    return (Cubic){{a, moved(a, minus(b, a), 1. / 3), moved(a, minus(b, a), 2. / 3), b}};
}

/* ---- Places along the line ---- */

static size_t sample_steps(const Cubic *cubic)
{
    double push = fmax(size(push_at(cubic, 0)), size(push_at(cubic, 1)));
    double reach = size(minus(cubic->p[1], cubic->p[0])) + size(minus(cubic->p[2], cubic->p[1])) +
                   size(minus(cubic->p[3], cubic->p[2]));
    double steps = ceil(fmax(sqrt(push / (8 * trace_error)), reach / trace_step));
    return steps > 1 ? (size_t)fmin(steps, SAMPLES_OF_PIECE) : 1;
}

Trace rounded_trace(Arena *arena, const Path *line)
{
    Path path = {ARENA_NEW(arena, Cubic, line->count + 2), line->count + 2};
    Point start = path_start(line), end = path_end(line);
    Point in = path_direction(line, (PathAt){0, 0});
    Point out = path_direction(line, (PathAt){line->count - 1, 1});
    path.pieces[0] = straight(moved(start, in, -beyond), start);
    for (size_t i = 0; i < line->count; i++)
        path.pieces[i + 1] = line->pieces[i];
    path.pieces[line->count + 1] = straight(end, moved(end, out, beyond));
    size_t most = 1;
    for (size_t i = 0; i < path.count; i++)
        most += sample_steps(&path.pieces[i]);
    Trace trace = {path, ARENA_NEW(arena, Sample, most), 0};
    trace.samples[trace.count++] = (Sample){path_start(&path), {0, 0}};
    for (size_t i = 0; i < path.count; i++) {
        size_t steps = sample_steps(&path.pieces[i]);
        for (size_t k = 1; k <= steps; k++) {
            PathAt at = {i, (double)k / (double)steps};
            trace.samples[trace.count++] = (Sample){path_point(&path, at), at};
        }
    }
    return trace;
}

size_t rounded_sample(const Trace *trace, PathAt at)
{
    size_t low = 0, high = trace->count;
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        if (comes_before(at, trace->samples[middle].at))
            high = middle;
        else
            low = middle;
    }
    return low;
}

/* ---- Feet: the nearest place of a stretch ---- */

static double segment_share(Point a, Point b, Point place)
{
    Point way = minus(b, a);
    double length = dot(way, way);
    return length > 0 ? fmin(fmax(dot(minus(place, a), way) / length, 0), 1) : 0;
}

/* From a guess to where the way to the place stands square on the piece. */
static double square_on(const Cubic *cubic, Point place, double t)
{
    Path one = {(Cubic *)cubic, 1};
    for (int i = 0; i < 20; i++) {
        Point off = minus(path_point(&one, (PathAt){0, t}), place), v = speed_at(cubic, t);
        double slope = dot(v, v) + dot(off, push_at(cubic, t));
        if (!(slope > 0))
            break;
        double next = fmin(fmax(t - dot(off, v) / slope, 0), 1);
        if (fabs(next - t) < 1e-15)
            break;
        t = next;
    }
    return t;
}

static void try_foot(const Trace *trace, Point place, PathAt guess, Foot *foot)
{
    PathAt at = {guess.piece, square_on(&trace->path.pieces[guess.piece], place, guess.t)};
    Point on = path_point(&trace->path, at);
    double distance = size(minus(place, on));
    if (distance < foot->distance)
        *foot = (Foot){at, on, distance};
}

Foot rounded_foot(const Trace *trace, Point place, size_t from, size_t to, int side)
{
    size_t best = from;
    double least = INFINITY;
    for (size_t i = from; i < to; i++) {
        Point a = trace->samples[i].point, b = trace->samples[i + 1].point;
        Point off = minus(place, moved(a, minus(b, a), segment_share(a, b, place)));
        if (dot(off, off) < least)
            least = dot(off, off), best = i;
    }
    const Sample *a = &trace->samples[best], *b = &trace->samples[best + 1];
    PathAt start = a->at.piece == b->at.piece ? a->at : (PathAt){b->at.piece, 0};
    double share = segment_share(a->point, b->point, place);
    Foot foot = {.distance = INFINITY};
    try_foot(trace, place, (PathAt){start.piece, start.t + share * (b->at.t - start.t)}, &foot);
    if (foot.at.t >= 1 && foot.at.piece < trace->samples[to].at.piece)
        try_foot(trace, place, (PathAt){foot.at.piece + 1, 0}, &foot);
    else if (foot.at.t <= 0 && foot.at.piece > trace->samples[from + 1].at.piece)
        try_foot(trace, place, (PathAt){foot.at.piece - 1, 1}, &foot);
    if (side * cross(path_direction(&trace->path, foot.at), minus(place, foot.on)) < 0)
        foot.distance = -foot.distance;
    return foot;
}

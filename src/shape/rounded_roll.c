/* Places a disc where it touches a line before and behind a tight bend. For rounding
 * alone. */
#include "shape/rounded_inside.h"

#include <math.h>

#include "shape/vector.h"

static const double settled = 1e-8;       /* mm */
static const double clear_of_disc = 1e-3; /* mm that the line may dip into the disc */
static const double whole_turn = 2 * 3.14159265358979323846;

enum { NEWTON_MOST = 60 };

/* ---- Placing the disc ---- */

static Point beside(const Trace *trace, PathAt at, double distance)
{
    return moved(path_point(&trace->path, at), left_of(path_direction(&trace->path, at)), distance);
}

static Point away(const Trace *trace, const Foot *foot, Point centre, int side)
{
    Point off = minus(centre, foot->on);
    double length = size(off);
    Point normal = left_of(path_direction(&trace->path, foot->at));
    if (!(length > 1e-9))
        return (Point){side * normal.x, side * normal.y};
    double sign = foot->distance < 0 ? -1 : 1;
    return (Point){sign * off.x / length, sign * off.y / length};
}

/* Samples from about two radii before the guess to the first sharp place. */
static void flanks(const Trace *trace, const Tight *tight, size_t range[4])
{
    double room = 2 * tight->radius + 2, length = 0;
    range[0] = rounded_sample(trace, tight->before);
    range[1] = rounded_sample(trace, tight->first);
    for (length = 0; range[0] > 0 && length < room; range[0]--)
        length += size(minus(trace->samples[range[0]].point, trace->samples[range[0] - 1].point));
    range[2] = rounded_sample(trace, tight->last);
    range[3] = rounded_sample(trace, tight->behind) + 1;
    for (length = 0; range[3] + 1 < trace->count && length < room; range[3]++)
        length += size(minus(trace->samples[range[3]].point, trace->samples[range[3] + 1].point));
    if (range[3] >= trace->count)
        range[3] = trace->count - 1;
    if (range[1] <= range[0])
        range[1] = range[0] + 1;
    if (range[2] >= range[3])
        range[2] = range[3] - 1;
}

/* Newton's method on the distances from both flanks. */
static bool settle(const Trace *trace, const Tight *tight, Rolled *rolled)
{
    size_t range[4];
    Point one = beside(trace, tight->before, tight->side * tight->radius);
    Point other = beside(trace, tight->behind, tight->side * tight->radius);
    rolled->centre = moved(one, minus(other, one), 0.5);
    flanks(trace, tight, range);
    for (int i = 0; i < NEWTON_MOST; i++) {
        rolled->before = rounded_foot(trace, rolled->centre, range[0], range[1], tight->side);
        rolled->behind = rounded_foot(trace, rolled->centre, range[2], range[3], tight->side);
        double f = rolled->before.distance - tight->radius;
        double g = rolled->behind.distance - tight->radius;
        if (fabs(f) < settled && fabs(g) < settled)
            return true;
        Point u = away(trace, &rolled->before, rolled->centre, tight->side);
        Point v = away(trace, &rolled->behind, rolled->centre, tight->side);
        double area = cross(u, v);
        if (fabs(area) < 1e-6)
            return false;
        Point step = {(g * u.y - f * v.y) / area, (f * v.x - g * u.x) / area};
        double most = tight->radius / 2, length = size(step);
        rolled->centre = moved(rolled->centre, step, length > most ? most / length : 1);
    }
    return false;
}

static bool is_replaced(const Rolled *rolled, PathAt at)
{
    return comes_before(rolled->before.at, at) && comes_before(at, rolled->behind.at);
}

/* Going on from where the disc touches, the line stays out of it for as far as its
 * radius: what comes back to it later lies beside the arc, or across it. */
static bool leaves_disc(const Trace *trace, const Tight *tight, const Rolled *rolled, bool back)
{
    double least = tight->radius - clear_of_disc, length = 0;
    const Foot *foot = back ? &rolled->before : &rolled->behind;
    Point last = foot->on;
    size_t i = rounded_sample(trace, foot->at) + !back;
    while (i < trace->count && length < tight->radius) {
        Point point = trace->samples[i].point, off = minus(point, rolled->centre);
        if (dot(off, off) < least * least)
            return false;
        length += size(minus(point, last));
        last = point;
        if (back && i == 0)
            break;
        i = back ? i - 1 : i + 1;
    }
    return true;
}

static bool cross_each_other(Point a, Point b, Point c, Point d)
{
    Point one = minus(b, a), other = minus(d, c);
    return cross(one, minus(c, a)) * cross(one, minus(d, a)) < 0 &&
           cross(other, minus(a, c)) * cross(other, minus(b, c)) < 0;
}

/* But for its very ends, where it touches it. */
static bool arc_crosses_line(const Trace *trace, const Tight *tight, const Rolled *rolled)
{
    enum { STEPS = 48 };
    Point from = minus(rolled->before.on, rolled->centre), arc[STEPS - 1];
    Point to = minus(rolled->behind.on, rolled->centre);
    double turn = tight->side * atan2(cross(from, to), dot(from, to));
    turn = tight->side * (turn < 0 ? turn + whole_turn : turn);
    for (int i = 1; i < STEPS; i++) {
        double c = cos(turn * i / STEPS), s = sin(turn * i / STEPS);
        arc[i - 1] = (Point){rolled->centre.x + from.x * c - from.y * s,
                             rolled->centre.y + from.x * s + from.y * c};
    }
    for (size_t i = 0; i + 1 < trace->count; i++) {
        const Sample *a = &trace->samples[i], *b = &trace->samples[i + 1];
        if (is_replaced(rolled, a->at) || is_replaced(rolled, b->at))
            continue;
        for (int k = 0; k + 2 < STEPS; k++)
            if (cross_each_other(a->point, b->point, arc[k], arc[k + 1]))
                return true;
    }
    return false;
}

static bool is_clear(const Trace *trace, const Tight *tight, const Rolled *rolled)
{
    return comes_before(rolled->before.at, tight->first) &&
           comes_before(tight->last, rolled->behind.at) &&
           leaves_disc(trace, tight, rolled, true) && leaves_disc(trace, tight, rolled, false) &&
           !arc_crosses_line(trace, tight, rolled);
}

static bool on_line(const Trace *trace, PathAt at)
{
    return (at.piece > 0 || at.t >= 1 - 1e-9) && (at.piece + 1 < trace->path.count || at.t <= 1e-9);
}

bool rounded_roll(const Trace *trace, const Tight *tight, Rolled *rolled, bool *at_end)
{
    if (!settle(trace, tight, rolled))
        return false;
    bool clear = is_clear(trace, tight, rolled);
    bool stays = on_line(trace, rolled->before.at) && on_line(trace, rolled->behind.at);
    *at_end = *at_end || (clear && !stays);
    return clear && stays;
}

/* Where the patch is too thin to be seen, the disc touches somewhere between the sharp
 * place and the ends of the bend. */
bool rounded_roll_alone(const Trace *trace, const Tight *alone, Rolled *rolled, bool *at_end)
{
    static const double shares[] = {1, 0.3, 0.1, 0.03};
    size_t sharp = rounded_sample(trace, alone->first);
    size_t from = rounded_sample(trace, alone->before), to = rounded_sample(trace, alone->behind);
    for (size_t i = 0; i < sizeof shares / sizeof *shares; i++) {
        Tight tight = *alone;
        if (i > 0) {
            size_t before = (size_t)(shares[i] * (double)(sharp - from));
            size_t behind = (size_t)(shares[i] * (double)(to - sharp));
            tight.before = trace->samples[sharp - before].at;
            tight.behind = trace->samples[sharp + behind < to ? sharp + behind + 1 : to].at;
        }
        if (rounded_roll(trace, &tight, rolled, at_end))
            return true;
    }
    return false;
}

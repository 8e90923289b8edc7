/* Lines written as SVG path data. For whoever gives proposed lines away. */
#include <math.h>

#include "shape/rounded.h"
#include "shape/vector.h"

static const double coarse = 1e5, finely = 1e8; /* steps a mm */

static void add_number(Text *text, double value, double steps)
{
    text_add(text, " ");
    text_add_number(text, rint(value * steps) / steps, 15);
}

static void add_point(Text *text, Point point, double steps)
{
    add_number(text, point.x, steps);
    add_number(text, -point.y, steps);
}

/* Short pieces show the way only if their points are told finely. */
static bool is_short(const Path *path, size_t piece)
{
    static const double least = 1; /* mm */
    return piece < path->count &&
           size(minus(path->pieces[piece].p[3], path->pieces[piece].p[0])) < least;
}

static double steps_of(const Path *path, size_t piece)
{
    return is_short(path, piece) || is_short(path, piece + 1) ? finely : coarse;
}

static bool is_straight(const Cubic *piece)
{
    const Point *p = piece->p;
    Point way = minus(p[3], p[0]);
    double most = 1e-9 * dot(way, way);
    return fabs(cross(way, minus(p[1], p[0]))) <= most &&
           fabs(cross(way, minus(p[2], p[0]))) <= most && dot(way, minus(p[1], p[0])) >= 0 &&
           dot(way, minus(p[2], p[0])) <= dot(way, way) && dot(way, way) > 0;
}

static void add_cubic(Text *text, const Path *path, size_t piece)
{
    const Cubic *cubic = &path->pieces[piece];
    double steps = steps_of(path, piece);
    bool straight = is_straight(cubic);
    text_add(text, straight ? " L" : " C");
    for (int i = straight ? 3 : 1; i < 4; i++)
        add_point(text, cubic->p[i], steps);
}

/* What is left of an arc's circle from piece `from` to before `to`. */
static void add_arc(Text *text, const Rounded *rounded, const RoundedArc *arc, size_t from,
                    size_t to)
{
    double turn = 0;
    for (size_t i = from; i < to; i++) {
        Point a = minus(rounded->path.pieces[i].p[0], arc->centre);
        Point b = minus(rounded->path.pieces[i].p[3], arc->centre);
        turn += fabs(atan2(cross(a, b), dot(a, b)));
    }
    text_add(text, " A");
    add_number(text, arc->radius, coarse);
    add_number(text, arc->radius, coarse);
    text_addf(text, " 0 %d %d", turn > 3.14159265358979323846, !arc->left);
    add_point(text, rounded->path.pieces[to - 1].p[3], steps_of(&rounded->path, to - 1));
}

void rounded_data(Text *text, const Rounded *rounded)
{
    const Path *path = &rounded->path;
    text_add(text, "M");
    add_point(text, path_start(path), is_short(path, 0) ? finely : coarse);
    for (size_t i = 0, next; i < path->count; i = next) {
        size_t arc = rounded->arc_of[i];
        next = i + 1;
        while (arc && next < path->count && rounded->arc_of[next] == arc)
            next++;
        if (arc)
            add_arc(text, rounded, &rounded->arcs[arc - 1], i, next);
        else
            add_cubic(text, path, i);
    }
}

void rounded_path_data(Text *text, const Path *path)
{
    text_add(text, "M");
    add_point(text, path_start(path), is_short(path, 0) ? finely : coarse);
    for (size_t i = 0; i < path->count; i++)
        add_cubic(text, path, i);
}

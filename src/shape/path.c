/* Lines as cubic pieces: points, curvature, lengths, places along them.
 * For everyone who measures or draws lines. */
#include "shape/path.h"

#include <math.h>

#include "shape/roots.h"

enum { FLATTEN_MOST = 1000, INVERT_MOST = 60 };

/* Gauss-Legendre of 16 points on -1..1, the positive half. Abramowitz and
 * Stegun, Handbook of Mathematical Functions, table 25.4. */
static const double gauss_at[8] = {
    0.0950125098376374402, 0.2816035507792589132, 0.4580167776572273863, 0.6178762444026437484,
    0.7554044083550030339, 0.8656312023878317439, 0.9445750230732325761, 0.9894009349916499326};
static const double gauss_weight[8] = {
    0.1894506104550684963, 0.1826034150449235889, 0.1691565193950025382, 0.1495959888165767321,
    0.1246289712555338720, 0.0951585116824927848, 0.0622535239386478929, 0.0271524594117540949};

/* ---- matrices ---- */

Matrix matrix_times(Matrix outer, Matrix inner)
{
    return (Matrix){
        .a = outer.a * inner.a + outer.c * inner.b,
        .b = outer.b * inner.a + outer.d * inner.b,
        .c = outer.a * inner.c + outer.c * inner.d,
        .d = outer.b * inner.c + outer.d * inner.d,
        .e = outer.a * inner.e + outer.c * inner.f + outer.e,
        .f = outer.b * inner.e + outer.d * inner.f + outer.f,
    };
}

Point matrix_point(Matrix matrix, Point point)
{
    return (Point){matrix.a * point.x + matrix.c * point.y + matrix.e,
                   matrix.b * point.x + matrix.d * point.y + matrix.f};
}

Matrix matrix_mirror(Point on, double angle)
{
    double c = cos(2 * angle), s = sin(2 * angle);
    if (fabs(s) < 1e-15) {
        c = c < 0 ? -1 : 1;
        s = 0;
    }
    return (Matrix){c, s, s, -c, on.x - c * on.x - s * on.y, on.y - s * on.x + c * on.y};
}

/* ---- vectors ---- */

static Point minus(Point a, Point b)
{
    return (Point){a.x - b.x, a.y - b.y};
}

static double cross(Point a, Point b)
{
    return a.x * b.y - a.y * b.x;
}

/* Not hypot(), which is most of the time of every length: coordinates stay far
 * from where squares overflow. */
static double size(Point a)
{
    return sqrt(a.x * a.x + a.y * a.y);
}

/* ---- one piece ---- */

static Point cubic_point(const Cubic *cubic, double t)
{
    const Point *p = cubic->p;
    if (t >= 1)
        return p[3];
    double u = 1 - t;
    double a = u * u * u, b = 3 * u * u * t, c = 3 * u * t * t, d = t * t * t;
    return (Point){a * p[0].x + b * p[1].x + c * p[2].x + d * p[3].x,
                   a * p[0].y + b * p[1].y + c * p[2].y + d * p[3].y};
}

static Point cubic_speed(const Cubic *cubic, double t)
{
    Point a = minus(cubic->p[1], cubic->p[0]);
    Point b = minus(cubic->p[2], cubic->p[1]);
    Point c = minus(cubic->p[3], cubic->p[2]);
    double u = 1 - t, i = 3 * u * u, j = 6 * u * t, k = 3 * t * t;
    return (Point){i * a.x + j * b.x + k * c.x, i * a.y + j * b.y + k * c.y};
}

static Point cubic_push(const Cubic *cubic, double t)
{
    Point a = minus(cubic->p[1], cubic->p[0]);
    Point b = minus(cubic->p[2], cubic->p[1]);
    Point c = minus(cubic->p[3], cubic->p[2]);
    Point d = minus(b, a), e = minus(c, b);
    return (Point){6 * ((1 - t) * d.x + t * e.x), 6 * ((1 - t) * d.y + t * e.y)};
}

static double cubic_reach(const Cubic *cubic)
{
    double reach = 0;
    for (int i = 1; i < 4; i++)
        reach = fmax(reach, size(minus(cubic->p[i], cubic->p[0])));
    return reach;
}

static Point unit(Point v)
{
    double length = size(v);
    return (Point){v.x / length, v.y / length};
}

/* The limits at ends whose handles lie on them are the directions to the next
 * point that does not; inside, the push points the way on. */
static Point cubic_direction(const Cubic *cubic, double t)
{
    const Point *p = cubic->p;
    double least = 1e-9 * cubic_reach(cubic);
    Point speed = cubic_speed(cubic, t);

    if (size(speed) > least)
        return unit(speed);
    if (t >= 1) {
        for (int i = 2; i > 0; i--)
            if (size(minus(p[3], p[i])) > least)
                return unit(minus(p[3], p[i]));
        return unit(minus(p[3], p[0]));
    }
    if (t <= 0) {
        for (int i = 1; i < 3; i++)
            if (size(minus(p[i], p[0])) > least)
                return unit(minus(p[i], p[0]));
        return unit(minus(p[3], p[0]));
    }
    Point push = cubic_push(cubic, t);
    return size(push) > least ? unit(push) : unit(minus(p[3], p[0]));
}

/* Equal speed throughout: the length needs no integral. */
static bool cubic_is_even(const Cubic *cubic, double reach)
{
    Point first = cubic_push(cubic, 0), last = cubic_push(cubic, 1);
    return size(first) <= 1e-12 * reach && size(last) <= 1e-12 * reach;
}

static double gauss(const Cubic *cubic, double from, double to)
{
    double middle = (from + to) / 2, half = (to - from) / 2, sum = 0;
    for (int i = 0; i < 8; i++)
        sum += gauss_weight[i] * (size(cubic_speed(cubic, middle - half * gauss_at[i])) +
                                  size(cubic_speed(cubic, middle + half * gauss_at[i])));
    return sum * half;
}

/* Steps that are halved until two halves agree with the whole. Each step's error
 * is far under the difference looked at. */
static double length_in_steps(const Cubic *cubic, double from, double to, double reach)
{
    double length = 0, step = to - from;

    while (from < to) {
        step = fmin(step, to - from);
        double end = step == to - from ? to : from + step;
        double whole = gauss(cubic, from, end);
        double halves = gauss(cubic, from, from + step / 2) + gauss(cubic, from + step / 2, end);
        if (fabs(whole - halves) > 1e-11 * halves + 1e-15 * reach && step > 1e-9) {
            step /= 2;
            continue;
        }
        length += halves;
        from = end;
        step *= 2;
    }
    return length;
}

/* Whether the piece goes one way so clearly that it is nowhere slow. */
static bool goes_on(const Cubic *cubic)
{
    Point way = minus(cubic->p[3], cubic->p[0]);
    double length = size(way);

    for (int i = 0; i < 3; i++) {
        Point leg = minus(cubic->p[i + 1], cubic->p[i]);
        if (!(leg.x * way.x + leg.y * way.y > 0.05 * length * length))
            return false;
    }
    return true;
}

/* Where |v|^2 is least or greatest: roots of v . v', where the speed may have a
 * kink that the steps would not see. */
static int slow_places(const Cubic *cubic, double *places)
{
    Point v = cubic_speed(cubic, 0), a = cubic_push(cubic, 0), last = cubic_push(cubic, 1);
    Point j = minus(last, a); /* v(t) = v + a t + j t^2 / 2 */
    double poly[4] = {v.x * a.x + v.y * a.y, a.x * a.x + a.y * a.y + v.x * j.x + v.y * j.y,
                      1.5 * (a.x * j.x + a.y * j.y), 0.5 * (j.x * j.x + j.y * j.y)};
    return roots_of(poly, 3, places);
}

static double cubic_length(const Cubic *cubic, double from, double to)
{
    double reach = cubic_reach(cubic), length = 0, places[4];

    if (!(to > from))
        return 0;
    if (cubic_is_even(cubic, reach))
        return size(cubic_speed(cubic, 0.5)) * (to - from);
    int count = goes_on(cubic) ? 0 : slow_places(cubic, places);
    for (int i = 0; i < count; i++)
        if (places[i] > from && places[i] < to) {
            length += length_in_steps(cubic, from, places[i], reach);
            from = places[i];
        }
    return length + length_in_steps(cubic, from, to, reach);
}

/* The parameter at `distance` of a piece `length` long: Newton's method kept
 * within what is known of the root. */
static double cubic_along(const Cubic *cubic, double distance, double length)
{
    double low = 0, high = 1, t = distance / length, at = 0, reached = 0;

    if (!(distance > 0))
        return 0;
    if (distance >= length)
        return 1;
    for (int i = 0; i < INVERT_MOST; i++) {
        reached += t > at ? cubic_length(cubic, at, t) : -cubic_length(cubic, t, at);
        at = t;
        double off = reached - distance;
        if (fabs(off) <= 1e-12 * length)
            break;
        if (off > 0)
            high = t;
        else
            low = t;
        t -= off / size(cubic_speed(cubic, t));
        if (!(t > low && t < high))
            t = (low + high) / 2;
    }
    return at;
}

/* ---- paths ---- */

Path path_copy(Arena *arena, const Path *path)
{
    Path copy = {ARENA_NEW(arena, Cubic, path->count), path->count};
    for (size_t i = 0; i < path->count; i++)
        copy.pieces[i] = path->pieces[i];
    return copy;
}

void path_transform(Path *path, Matrix matrix)
{
    for (size_t i = 0; i < path->count; i++)
        for (int k = 0; k < 4; k++)
            path->pieces[i].p[k] = matrix_point(matrix, path->pieces[i].p[k]);
}

static Cubic cubic_reversed(Cubic cubic)
{
    return (Cubic){{cubic.p[3], cubic.p[2], cubic.p[1], cubic.p[0]}};
}

void path_reverse(Path *path)
{
    for (size_t i = 0, j = path->count; i < j--; i++) {
        Cubic first = path->pieces[i];
        path->pieces[i] = cubic_reversed(path->pieces[j]);
        if (i < j)
            path->pieces[j] = cubic_reversed(first);
    }
}

Point path_start(const Path *path)
{
    return path->pieces[0].p[0];
}

Point path_end(const Path *path)
{
    return path->pieces[path->count - 1].p[3];
}

Point path_point(const Path *path, PathAt at)
{
    return cubic_point(&path->pieces[at.piece], at.t);
}

double path_curvature(const Path *path, PathAt at)
{
    const Cubic *cubic = &path->pieces[at.piece];
    Point speed = cubic_speed(cubic, at.t);
    double length = size(speed);

    if (!(length > 1e-9 * cubic_reach(cubic)))
        return NAN;
    return cross(speed, cubic_push(cubic, at.t)) / (length * length * length);
}

Point path_direction(const Path *path, PathAt at)
{
    return cubic_direction(&path->pieces[at.piece], at.t);
}

double path_length_between(const Path *path, PathAt from, PathAt to)
{
    double length = 0;

    if (from.piece > to.piece || (from.piece == to.piece && from.t > to.t))
        return -path_length_between(path, to, from);
    for (size_t i = from.piece; i <= to.piece; i++)
        length +=
            cubic_length(&path->pieces[i], i == from.piece ? from.t : 0, i == to.piece ? to.t : 1);
    return length;
}

double path_length(const Path *path)
{
    return path_length_between(path, (PathAt){0, 0}, (PathAt){path->count - 1, 1});
}

PathAt path_along(const Path *path, double distance)
{
    for (size_t i = 0; i < path->count; i++) {
        double length = cubic_length(&path->pieces[i], 0, 1);
        if (distance < length)
            return (PathAt){i, cubic_along(&path->pieces[i], distance, length)};
        distance -= length;
    }
    return (PathAt){path->count - 1, 1};
}

/* ---- rulers ---- */

PathRuler path_ruler(Arena *arena, const Path *path)
{
    PathRuler ruler = {path, ARENA_NEW(arena, double, path->count + 1)};
    for (size_t i = 0; i < path->count; i++)
        ruler.starts[i + 1] = ruler.starts[i] + cubic_length(&path->pieces[i], 0, 1);
    return ruler;
}

PathAt ruler_at(const PathRuler *ruler, double distance)
{
    size_t low = 0, high = ruler->path->count;

    if (distance >= ruler->starts[high])
        return (PathAt){high - 1, 1};
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        if (ruler->starts[middle] <= distance)
            low = middle;
        else
            high = middle;
    }
    return (PathAt){low, cubic_along(&ruler->path->pieces[low], distance - ruler->starts[low],
                                     ruler->starts[low + 1] - ruler->starts[low])};
}

double ruler_distance(const PathRuler *ruler, PathAt at)
{
    if (at.t >= 1)
        return ruler->starts[at.piece + 1];
    return ruler->starts[at.piece] + cubic_length(&ruler->path->pieces[at.piece], 0, at.t);
}

double ruler_length(const PathRuler *ruler)
{
    return ruler->starts[ruler->path->count];
}

/* ---- polylines ---- */

/* Equal steps of t. The distance of a chord is at most an eighth of the second
 * derivative times the step squared. */
static size_t flatten_steps(const Cubic *cubic, double error)
{
    double push = fmax(size(cubic_push(cubic, 0)), size(cubic_push(cubic, 1)));
    double steps = ceil(sqrt(push / (8 * error)));

    if (!(steps > 1))
        return 1;
    return steps < FLATTEN_MOST ? (size_t)steps : FLATTEN_MOST;
}

size_t path_flatten(Arena *arena, const Path *path, double error, Point **points)
{
    size_t count = 1;

    for (size_t i = 0; i < path->count; i++)
        count += flatten_steps(&path->pieces[i], error);
    *points = ARENA_NEW(arena, Point, count);
    (*points)[0] = path_start(path);
    count = 1;
    for (size_t i = 0; i < path->count; i++) {
        size_t steps = flatten_steps(&path->pieces[i], error);
        for (size_t k = 1; k <= steps; k++)
            (*points)[count++] = cubic_point(&path->pieces[i], (double)k / (double)steps);
    }
    return count;
}

/* Puts a disc's arc in place of a stretch of line. For rounding alone. */
#include "shape/rounded_inside.h"

#include <math.h>

#include "shape/vector.h"

static const double turn_of_piece = 3.14159265358979323846 / 8;
static const double whole_turn = 2 * 3.14159265358979323846;

/* de Casteljau's halves at t. */
static void cut(const Cubic *whole, double t, Cubic *before, Cubic *behind)
{
    Point p[4] = {whole->p[0], whole->p[1], whole->p[2], whole->p[3]};
    for (int k = 0; k < 4; k++) {
        before->p[k] = p[0];
        behind->p[3 - k] = p[3 - k];
        for (int j = 0; j + 1 < 4 - k; j++)
            p[j] = moved(p[j], minus(p[j + 1], p[j]), t);
    }
}

static Point on_circle(const RoundedArc *arc, Point from, double turn)
{
    double c = cos(turn), s = sin(turn);
    return (Point){arc->centre.x + from.x * c - from.y * s,
                   arc->centre.y + from.x * s + from.y * c};
}

/* By pieces of at most 22.5 degrees: handles of 4/3 tan(turn / 4). */
static void add_arc(Work *work, const RoundedArc *arc, Point start, Point end)
{
    Point from = minus(start, arc->centre), to = minus(end, arc->centre);
    double sign = arc->left ? 1 : -1, turn = sign * atan2(cross(from, to), dot(from, to));
    if (turn < 0)
        turn += whole_turn;
    size_t steps = (size_t)fmax(ceil(turn / turn_of_piece - 1e-9), 1);
    double step = sign * turn / (double)steps, reach = 4. / 3 * tan(step / 4);
    for (size_t i = 0; i < steps; i++) {
        Point a = i ? work->pieces[work->count - 1].p[3] : start;
        Point b = i + 1 < steps ? on_circle(arc, from, step * (double)(i + 1)) : end;
        work->arc_of[work->count] = work->arc_count;
        work->pieces[work->count++] =
            (Cubic){{a, moved(a, left_of(minus(a, arc->centre)), reach),
                     moved(b, left_of(minus(b, arc->centre)), -reach), b}};
    }
}

static void add_piece(Work *work, Cubic piece, size_t arc)
{
    if (size(minus(piece.p[3], piece.p[0])) < 1e-9 && size(minus(piece.p[1], piece.p[0])) < 1e-9)
        return;
    if (work->count > 0)
        piece.p[0] = work->pieces[work->count - 1].p[3];
    work->arc_of[work->count] = arc;
    work->pieces[work->count++] = piece;
}

/* Places of the extended path as those of the line, clamped to it. */
static PathAt shifted(const Work *work, PathAt at)
{
    if (at.piece == 0)
        return (PathAt){0, 0};
    if (at.piece > work->count)
        return (PathAt){work->count - 1, 1};
    return (PathAt){at.piece - 1, at.t};
}

/* A crumb cut off a piece would lose its direction when written: the arc takes it in. */
static bool is_crumb(const Cubic *piece)
{
    static const double least = 1e-3; /* mm */
    return size(minus(piece->p[3], piece->p[0])) < least &&
           size(minus(piece->p[1], piece->p[0])) < least;
}

void rounded_replace(Work *work, const Tight *tight, const Rolled *rolled)
{
    enum { ARC_PIECES = 18 };
    Work old = *work;
    PathAt from = shifted(&old, rolled->before.at), to = shifted(&old, rolled->behind.at);
    Cubic before, behind, unused;
    work->pieces = ARENA_NEW(work->arena, Cubic, old.count + ARC_PIECES);
    work->arc_of = ARENA_NEW(work->arena, size_t, old.count + ARC_PIECES);
    work->count = 0;
    RoundedArc arc = {rolled->centre, tight->radius, tight->side > 0};
    *ARENA_PUSH(work->arena, work->arcs, work->arc_count, work->arc_capacity) = arc;
    for (size_t i = 0; i < from.piece; i++)
        add_piece(work, old.pieces[i], old.arc_of[i]);
    cut(&old.pieces[from.piece], from.t, &before, &unused);
    cut(&old.pieces[to.piece], to.t, &unused, &behind);
    bool first = !is_crumb(&before), last = !is_crumb(&behind);
    if (first)
        add_piece(work, before, old.arc_of[from.piece]);
    add_arc(work, &arc, first ? before.p[3] : before.p[0], last ? behind.p[0] : behind.p[3]);
    if (last)
        add_piece(work, behind, old.arc_of[to.piece]);
    for (size_t i = to.piece + 1; i < old.count; i++)
        add_piece(work, old.pieces[i], old.arc_of[i]);
}

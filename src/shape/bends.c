/* Finds and measures the bends and corners of a line.
 * For everyone who judges edges. */
#include "shape/bends.h"

#include <math.h>

#include "shape/profile.h"

enum { FACET_SAMPLES = 12, FACET_STEPS = 16, CHORDS_MOST = 1000, SEARCH_MOST = 100 };

static const double golden = 0.61803398874989485;

static double within(double low, double value, double high)
{
    return fmin(fmax(value, low), high);
}

/* ---- radius ---- */

static double mean_curvature(const Profile *profile, double from, double to)
{
    return fabs(profile_turn(profile, from, to, false)) / (to - from);
}

/* Over the window about the sharpest place, or to one side of it where that is
 * sharper; all of it between `from` and `to`. */
static double radius_about(const Profile *profile, double top, double from, double to,
                           double *window)
{
    double width = fmin(BEND_WINDOW_MM, to - from), sharpest = 0;
    double starts[3] = {top - width / 2, top - width, top};

    for (int i = 0; i < 3; i++) {
        double start = within(from, starts[i], to - width);
        sharpest = fmax(sharpest, mean_curvature(profile, start, start + width));
    }
    *window = width;
    return 1 / sharpest;
}

/* ---- finding ---- */

static Bend bend_of(const Profile *profile, const Stretch *stretch)
{
    Bend bend = {
        .from = ruler_at(&profile->ruler, stretch->from),
        .to = ruler_at(&profile->ruler, stretch->to),
        .sharpest = ruler_at(&profile->ruler, stretch->top),
        .arc = stretch->to - stretch->from,
        .at = stretch->top,
        .left = stretch->side > 0,
    };
    bend.turn = stretch->side * profile_turn(profile, stretch->from, stretch->to, true);
    bend.radius = radius_about(profile, stretch->top, stretch->from, stretch->to, &bend.window);
    if (stretch->window > 0)
        bend.window = stretch->window;
    return bend;
}

static Bend corner_of(const Span *span)
{
    return (Bend){.from = span->at,
                  .to = span->at,
                  .sharpest = span->at,
                  .turn = fabs(span->jump),
                  .at = span->from,
                  .left = span->jump > 0,
                  .corner = true};
}

size_t bends_find(Arena *arena, const Path *path, Bend **bends)
{
    Arena work = {0};
    Profile raw = profile_of(&work, path);
    Profile profile = profile_steadied(&work, &raw);
    Stretch *stretches;
    size_t stretch_count = profile_stretches(&work, &profile, &stretches);
    size_t count = 0, capacity = 0, next = 0;

    *bends = NULL;
    for (size_t i = 0; i <= stretch_count; i++) {
        double start = i < stretch_count ? stretches[i].from : INFINITY;
        for (; next < profile.count && profile.spans[next].from <= start; next++)
            if (profile.spans[next].corner)
                *ARENA_PUSH(arena, *bends, count, capacity) = corner_of(&profile.spans[next]);
        if (i == stretch_count)
            break;
        Bend bend = bend_of(&profile, &stretches[i]);
        if (bend.turn >= BEND_TURN_LEAST)
            *ARENA_PUSH(arena, *bends, count, capacity) = bend;
    }
    arena_free(&work);
    return count;
}

/* ---- stretching ---- */

/* The pieces that the bend lies on and those within a window of them, so that a
 * wobble is seen as on the whole path. */
static Path neighbourhood(const Path *path, const Bend *bend, size_t *first)
{
    size_t end = bend->to.piece + 1;
    double before = 0, behind = 0;

    *first = bend->from.piece;
    for (; *first > 0 && before < BEND_STEADY_MM; --*first)
        before += path_length_between(path, (PathAt){*first - 1, 0}, (PathAt){*first - 1, 1});
    for (; end < path->count && behind < BEND_STEADY_MM; end++)
        behind += path_length_between(path, (PathAt){end, 0}, (PathAt){end, 1});
    return (Path){path->pieces + *first, end - *first};
}

Bend bends_stretched(const Path *path, const Bend *bend, Matrix matrix)
{
    Bend result = *bend;
    if (bend->corner)
        return result;
    Arena work = {0};
    size_t first;
    Path part = neighbourhood(path, bend, &first);
    Path stretched = path_copy(&work, &part);
    path_transform(&stretched, matrix);
    Profile raw = profile_of(&work, &stretched);
    Profile profile = profile_steadied(&work, &raw);
    double from = ruler_distance(&profile.ruler, (PathAt){bend->from.piece - first, bend->from.t});
    double to = ruler_distance(&profile.ruler, (PathAt){bend->to.piece - first, bend->to.t});
    Stretch *stretches;
    size_t count = profile_stretches(&work, &profile, &stretches);

    result.radius = INFINITY;
    result.arc = to - from;
    for (size_t i = 0; i < count; i++) {
        double a = fmax(from, stretches[i].from), b = fmin(to, stretches[i].to), window;
        double top = within(a, stretches[i].top, b);
        double radius = b > a ? radius_about(&profile, top, a, b, &window) : INFINITY;
        if (!(radius < result.radius))
            continue;
        result.radius = radius;
        result.window = window;
        result.sharpest = ruler_at(&profile.ruler, top);
        result.sharpest.piece += first;
    }
    arena_free(&work);
    return result;
}

/* ---- chords ---- */

static double gap(Point a, Point b)
{
    return hypot(b.x - a.x, b.y - a.y);
}

static Point point_at(const PathRuler *ruler, double distance)
{
    return path_point(ruler->path, ruler_at(ruler, distance));
}

/* Where a chord from `start` ends, going on (way 1) or back (way -1): the line
 * has to run at least as far as the chord still lacks, so no end is jumped over. */
static double chord_end(const PathRuler *ruler, double start, double pitch, int way)
{
    Point from = point_at(ruler, start);
    double end = start, length = ruler_length(ruler);

    for (int i = 0; i < SEARCH_MOST; i++) {
        double lack = pitch - gap(from, point_at(ruler, end));
        if (lack <= 1e-9 * pitch)
            break;
        end = within(0, end + way * lack, length);
        if (end <= 0 || end >= length)
            break;
    }
    return end;
}

typedef struct Chord {
    const Path *path;
    Point from, to;
} Chord;

/* Of the line at a place from the chord, its ends included. */
static double off_chord(const Chord *chord, size_t piece, double t)
{
    Point p = path_point(chord->path, (PathAt){piece, t});
    double dx = chord->to.x - chord->from.x, dy = chord->to.y - chord->from.y;
    double length = dx * dx + dy * dy;
    double x = p.x - chord->from.x, y = p.y - chord->from.y;
    double along = length > 0 ? within(0, (x * dx + y * dy) / length, 1) : 0;
    return hypot(x - along * dx, y - along * dy);
}

/* The greatest on a piece: the best of some samples, then golden section about it. */
static double most_off_piece(const Chord *chord, size_t piece, double from, double to)
{
    double step = (to - from) / FACET_SAMPLES, most = 0, best = from;

    for (int i = 0; i <= FACET_SAMPLES; i++) {
        double off = off_chord(chord, piece, from + step * i);
        if (off > most)
            most = off, best = from + step * i;
    }
    double low = fmax(from, best - step), high = fmin(to, best + step);
    for (int i = 0; i < FACET_STEPS; i++) {
        double a = high - golden * (high - low), b = low + golden * (high - low);
        if (off_chord(chord, piece, a) > off_chord(chord, piece, b))
            high = b;
        else
            low = a;
    }
    return fmax(most, off_chord(chord, piece, (low + high) / 2));
}

static double most_off(const Chord *chord, PathAt from, PathAt to)
{
    double most = 0;
    for (size_t i = from.piece; i <= to.piece; i++)
        most = fmax(
            most, most_off_piece(chord, i, i == from.piece ? from.t : 0, i == to.piece ? to.t : 1));
    return most;
}

static double facet_to(const PathRuler *ruler, double start, double stop, double pitch, int way)
{
    double most = 0;

    while ((stop - start) * way > 0) {
        double end = chord_end(ruler, start, pitch, way);
        if (!(fabs(end - start) > 0))
            break;
        Chord chord = {ruler->path, point_at(ruler, start), point_at(ruler, end)};
        double last = way > 0 ? fmin(end, stop) : fmax(end, stop);
        most = fmax(most, most_off(&chord, ruler_at(ruler, fmin(start, last)),
                                   ruler_at(ruler, fmax(start, last))));
        start = end;
    }
    return most;
}

double bends_facet(const Path *path, const Bend *bend, double pitch)
{
    if (bend->corner || !(pitch > 0))
        return 0;
    pitch = fmax(pitch, bend->arc / CHORDS_MOST);
    Arena work = {0};
    PathRuler ruler = path_ruler(&work, path);
    double top = ruler_distance(&ruler, bend->sharpest);
    double ahead = facet_to(&ruler, top, ruler_distance(&ruler, bend->to), pitch, 1);
    double back = facet_to(&ruler, top, ruler_distance(&ruler, bend->from), pitch, -1);
    arena_free(&work);
    return fmax(ahead, back);
}

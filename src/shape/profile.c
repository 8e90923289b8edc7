/* Curvature along a line, span by span.
 * For bends.c. */
#include "shape/profile.h"

#include <math.h>

#include "shape/roots.h"

enum { CUTS_MOST = 16, SEARCH_MOST = 80 };

static const double pi = 3.14159265358979323846;
static const double corner_least = 3 * 3.14159265358979323846 / 180;
static const double sampled_most = 30 * 3.14159265358979323846 / 180;
static const double sampled_chord = 1.5;  /* mm */
static const double straight_off = 1e-6;  /* mm */
static const double straight_turn = 1e-9; /* rad: a chord that goes on */
static const double rounding = 1e-9;      /* mm: no stretch of a line */
static const double least_curvature = 1.0 / BEND_RADIUS_MOST_MM;
static const double easier = 1.25;
static const double alike = 1e-3; /* of a curvature: an even stretch */

/* ---- vectors and pieces ---- */

static Point minus(Point a, Point b)
{
    return (Point){a.x - b.x, a.y - b.y};
}

static double cross(Point a, Point b)
{
    return a.x * b.y - a.y * b.x;
}

static double dot(Point a, Point b)
{
    return a.x * b.x + a.y * b.y;
}

static double angle(Point from, Point to)
{
    return atan2(cross(from, to), dot(from, to));
}

static bool piece_is_straight(const Cubic *cubic)
{
    Point chord = minus(cubic->p[3], cubic->p[0]);
    double length = hypot(chord.x, chord.y), last = 0;

    if (!(length > 0))
        return false;
    for (int i = 1; i < 3; i++) {
        Point inner = minus(cubic->p[i], cubic->p[0]);
        double along = dot(inner, chord) / length;
        if (fabs(cross(inner, chord)) > straight_off * length || along < last || along > length)
            return false;
        last = along;
    }
    return true;
}

/* The direction just behind a place, or just before it. */
static Point direction(const Path *path, PathAt at, bool before)
{
    const Cubic *cubic = &path->pieces[at.piece];
    if (piece_is_straight(cubic)) {
        Point chord = minus(cubic->p[3], cubic->p[0]);
        double length = hypot(chord.x, chord.y);
        return (Point){chord.x / length, chord.y / length};
    }
    Point way = path_direction(path, at);
    if (before && at.t > 0 && at.t < 1 && isnan(path_curvature(path, at)))
        return (Point){-way.x, -way.y};
    return way;
}

/* ---- spans ---- */

static double curvature_at(const Path *path, PathAt at, double inside)
{
    double curvature = path_curvature(path, at);
    if (isnan(curvature)) /* infinite, or 0/0: what it is close by */
        curvature = path_curvature(path, (PathAt){at.piece, at.t + 1e-3 * (inside - at.t)});
    return isnan(curvature) ? 0 : curvature;
}

static Span *add_span(Arena *arena, Profile *profile, Span span)
{
    Span *added = ARENA_PUSH(arena, profile->spans, profile->count, profile->capacity);
    *added = span;
    return added;
}

/* A span of even curvature (signed) on one piece. */
static void add_even(Arena *arena, Profile *profile, double from, double to, double curvature,
                     double window)
{
    if (!(to > from))
        return;
    PathAt at = ruler_at(&profile->ruler, from), end = ruler_at(&profile->ruler, to);
    if (end.piece != at.piece)
        end = (PathAt){at.piece, 1};
    int side = (curvature > 0) - (curvature < 0);
    add_span(arena, profile,
             (Span){.from = from,
                    .to = to,
                    .at = at,
                    .end = end,
                    .first = fabs(curvature),
                    .last = fabs(curvature),
                    .side = side,
                    .window = window});
}

/* Where the curvature of a piece is zero or extreme, and where it stands still
 * (speed 0): roots of v x a, of its quotient's derivative (v x a)' |v|^2 -
 * 3/2 (v x a) |v|^2', and of |v|^2'. */
static int cuts_of(const Cubic *cubic, double *cuts)
{
    const Point *p = cubic->p;
    Point c = {3 * (p[1].x - p[0].x), 3 * (p[1].y - p[0].y)};
    Point b = {3 * (p[2].x - 2 * p[1].x + p[0].x), 3 * (p[2].y - 2 * p[1].y + p[0].y)};
    Point a = {p[3].x - 3 * p[2].x + 3 * p[1].x - p[0].x,
               p[3].y - 3 * p[2].y + 3 * p[1].y - p[0].y};
    double bend[3] = {2 * cross(c, b), 6 * cross(c, a), 6 * cross(b, a)};
    double speed[5] = {dot(c, c), 4 * dot(b, c), 4 * dot(b, b) + 6 * dot(a, c), 12 * dot(a, b),
                       9 * dot(a, a)};
    double bend_slope[2] = {bend[1], 2 * bend[2]};
    double speed_slope[4] = {speed[1], 2 * speed[2], 3 * speed[3], 4 * speed[4]};
    double extreme[6] = {0};
    int count = 0;

    for (int i = 0; i < 2; i++)
        for (int k = 0; k < 5; k++)
            extreme[i + k] += bend_slope[i] * speed[k];
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 4; k++)
            extreme[i + k] -= 1.5 * bend[i] * speed_slope[k];
    cuts[count++] = 0;
    count += roots_of(bend, 2, cuts + count);
    count += roots_of(extreme, 5, cuts + count);
    count += roots_of(speed_slope, 3, cuts + count);
    cuts[count++] = 0.5; /* no span turns by half a circle */
    cuts[count++] = 1;
    for (int i = 1; i < count; i++)
        for (int k = i; k > 0 && cuts[k - 1] > cuts[k]; k--) {
            double swap = cuts[k];
            cuts[k] = cuts[k - 1];
            cuts[k - 1] = swap;
        }
    return count;
}

static void add_curve(Arena *arena, Profile *profile, size_t piece)
{
    const Path *path = profile->path;
    double cuts[CUTS_MOST];
    int count = cuts_of(&path->pieces[piece], cuts);
    double from = profile->ruler.starts[piece];
    PathAt at = {piece, 0};

    for (int i = 1; i < count; i++) {
        PathAt end = {piece, cuts[i]};
        if (end.t - at.t < 1e-12 && end.t < 1)
            continue;
        double to = profile->ruler.starts[piece + 1];
        if (end.t < 1)
            to = fmin(to, from + path_length_between(path, at, end));
        if (!(to > from)) {
            at = end;
            continue;
        }
        double middle = (at.t + end.t) / 2;
        double within = curvature_at(path, (PathAt){piece, middle}, middle);
        Span *span = add_span(arena, profile,
                              (Span){.from = from,
                                     .to = to,
                                     .at = at,
                                     .end = end,
                                     .first = fabs(curvature_at(path, at, middle)),
                                     .last = fabs(curvature_at(path, end, middle)),
                                     .side = (within > 0) - (within < 0)});
        if (at.t > 0) {
            span->jump = angle(direction(path, at, true), direction(path, at, false));
            span->corner = fabs(span->jump) > corner_least;
            span->jump = span->corner ? span->jump : 0;
        }
        at = end;
        from = to;
    }
}

/* ---- joints ---- */

typedef struct Joint {
    double jump;        /* rad to the left */
    double curvature;   /* of a polyline's joint, over the reaches */
    double back, ahead; /* mm: how far that reaches; 0 at any other joint */
    bool corner;
} Joint;

/* The chord that ends (or begins) at a joint, over pieces that go straight on. */
static double chord_at(const Profile *profile, const Joint *joints, const bool *straight,
                       size_t joint, bool ahead)
{
    const double *starts = profile->ruler.starts;
    size_t end = joint;

    if (ahead) {
        do
            end++;
        while (end < profile->path->count && straight[end] &&
               fabs(joints[end].jump) <= straight_turn);
        return starts[end] - starts[joint];
    }
    do
        end--;
    while (end > 0 && straight[end - 1] && fabs(joints[end].jump) <= straight_turn);
    return starts[joint] - starts[end];
}

static double reach_of(double chord, double other)
{
    return fmin(chord / 2, fmax(other, sampled_chord));
}

static void settle_joint(const Profile *profile, Joint *joints, const bool *straight, size_t i)
{
    Joint *joint = &joints[i];
    double jump = fabs(joint->jump);

    joint->corner = jump > corner_least;
    if (!straight[i - 1] || !straight[i] || jump <= straight_turn || jump > sampled_most)
        return;
    double back = chord_at(profile, joints, straight, i, false);
    double ahead = chord_at(profile, joints, straight, i, true);
    if (joint->corner && fmin(back, ahead) >= sampled_chord)
        return;
    joint->corner = false;
    joint->back = reach_of(back, ahead);
    joint->ahead = reach_of(ahead, back);
    joint->curvature = joint->jump / (joint->back + joint->ahead);
}

/* Joint i lies before piece i; the path's ends are joints without a jump. */
static Joint *joints_of(Arena *arena, const Profile *profile, bool *straight)
{
    const Path *path = profile->path;
    Joint *joints = ARENA_NEW(arena, Joint, path->count + 1);

    for (size_t i = 0; i < path->count; i++)
        straight[i] = piece_is_straight(&path->pieces[i]);
    for (size_t i = 1; i < path->count; i++)
        joints[i].jump = angle(direction(path, (PathAt){i - 1, 1}, true),
                               direction(path, (PathAt){i, 0}, false));
    for (size_t i = 1; i < path->count; i++)
        settle_joint(profile, joints, straight, i);
    return joints;
}

/* The end of the chord (joint after it) that piece `piece` lies on. */
static size_t chord_end(const Path *path, const Joint *joints, const bool *straight, size_t piece)
{
    size_t end = piece + 1;
    while (end < path->count && straight[end] && fabs(joints[end].jump) <= straight_turn)
        end++;
    return end;
}

/* One chord: the turn of the joint behind, none, the turn of the joint ahead; cut
 * at the pieces it consists of. */
static void add_chord(Arena *arena, Profile *profile, const Joint *joints, size_t first, size_t end)
{
    const double *starts = profile->ruler.starts;
    const Joint *behind = &joints[first], *ahead = &joints[end];
    double quiet = fmin(starts[first] + behind->ahead, starts[end]);
    double loud = fmax(starts[end] - ahead->back, quiet);
    if (loud - quiet < rounding)
        loud = quiet;

    for (size_t i = first; i < end; i++) {
        double from = starts[i], to = starts[i + 1];
        double a = fmin(fmax(quiet, from), to), b = fmin(fmax(loud, from), to);
        add_even(arena, profile, from, a, behind->curvature, behind->back + behind->ahead);
        add_even(arena, profile, a, b, 0, 0);
        add_even(arena, profile, b, to, ahead->curvature, ahead->back + ahead->ahead);
    }
}

Profile profile_of(Arena *arena, const Path *path)
{
    Profile profile = {.path = path, .ruler = path_ruler(arena, path)};
    bool *straight = ARENA_NEW(arena, bool, path->count);
    Joint *joints = joints_of(arena, &profile, straight);

    for (size_t i = 0; i < path->count;) {
        size_t before = profile.count, end = i + 1;
        if (straight[i]) {
            end = chord_end(path, joints, straight, i);
            add_chord(arena, &profile, joints, i, end);
        } else {
            add_curve(arena, &profile, i);
        }
        if (i > 0 && before < profile.count && joints[i].back == 0) {
            profile.spans[before].jump = joints[i].jump;
            profile.spans[before].corner = joints[i].corner;
        }
        i = end;
    }
    return profile;
}

/* ---- parts of spans ---- */

static double curvature_in(const Profile *profile, const Span *span, PathAt at)
{
    if (span->window > 0 || span->side == 0)
        return span->first;
    return fabs(curvature_at(profile->path, at, (span->at.t + span->end.t) / 2));
}

Span span_part(const Profile *profile, const Span *span, double from, double to)
{
    Span part = *span;

    if (from > span->from) {
        part.from = fmin(from, span->to);
        part.at = ruler_at(&profile->ruler, part.from);
        if (part.at.piece != span->at.piece)
            part.at = span->end;
        part.first = curvature_in(profile, span, part.at);
        part.jump = 0;
        part.corner = false;
    }
    if (to < span->to) {
        part.to = fmax(to, part.from);
        part.end = ruler_at(&profile->ruler, part.to);
        if (part.end.piece != span->at.piece)
            part.end = span->at;
        part.last = curvature_in(profile, span, part.end);
    }
    return part;
}

static double span_turn(const Path *path, const Span *span)
{
    if (span->side == 0 || !(span->to > span->from))
        return 0;
    if (span->window > 0)
        return span->side * span->first * (span->to - span->from);
    double turn =
        span->side * angle(direction(path, span->at, false), direction(path, span->end, true));
    if (turn < -1e-6) /* over half a circle */
        turn += 2 * pi;
    return span->side * turn;
}

double profile_turn(const Profile *profile, double from, double to, bool jumps)
{
    size_t low = 0, high = profile->count;
    double turn = 0;

    while (low < high) { /* the first span that ends behind `from` */
        size_t middle = low + (high - low) / 2;
        if (profile->spans[middle].to <= from)
            low = middle + 1;
        else
            high = middle;
    }
    for (size_t i = low; i < profile->count && profile->spans[i].from < to; i++) {
        const Span *span = &profile->spans[i];
        Span part = span_part(profile, span, from, to);
        turn += span_turn(profile->path, &part);
        if (jumps && !span->corner && span->from > from)
            turn += span->jump;
    }
    return turn;
}

/* The part of a span that is bent to less than 2000 mm; false if there is none. */
static bool bent_part(const Profile *profile, const Span *span, Span *part)
{
    *part = *span;
    if (span->side == 0 || fmax(span->first, span->last) < least_curvature)
        return false;
    if (fmin(span->first, span->last) >= least_curvature)
        return true;
    bool rising = span->first < span->last;
    double low = span->at.t, high = span->end.t;
    for (int i = 0; i < SEARCH_MOST && high - low > 1e-14; i++) {
        double t = (low + high) / 2;
        bool bent = curvature_in(profile, span, (PathAt){span->at.piece, t}) >= least_curvature;
        if (bent == rising)
            high = t;
        else
            low = t;
    }
    PathAt edge = {span->at.piece, rising ? high : low};
    double at = ruler_distance(&profile->ruler, edge);
    if (rising) {
        part->from = at, part->at = edge, part->first = least_curvature;
        part->jump = 0, part->corner = false;
    } else {
        part->to = at, part->end = edge, part->last = least_curvature;
    }
    return part->to > part->from;
}

/* ---- stretches ---- */

/* The middle of the even stretch about a place of span `i`. */
static double even_middle(const Profile *profile, size_t i, double at, double curvature)
{
    const Span *spans = profile->spans;
    double off = alike * curvature, from = at, to = at;

    for (size_t k = i + 1; k-- > 0 && spans[k].to >= from;) {
        if (fabs(spans[k].first - curvature) <= off && fabs(spans[k].last - curvature) <= off)
            from = spans[k].from;
        else if (k < i)
            break;
    }
    for (size_t k = i; k < profile->count && spans[k].from <= to; k++) {
        if (fabs(spans[k].first - curvature) <= off && fabs(spans[k].last - curvature) <= off)
            to = spans[k].to;
        else if (k > i)
            break;
    }
    return (from + to) / 2;
}

/* A sharpest or easiest place. */
typedef struct Spot {
    double curvature, at, window;
    size_t span;
} Spot;

/* Walks along a stretch and remembers its sharpest place, then the easiest one
 * behind it. */
typedef struct Walk {
    const Profile *profile;
    Arena *arena;
    Stretch *items;
    size_t count, capacity;
    Spot top, low;
    bool descending; /* the sharp place is settled: now the valley */
    double start;
    int side; /* 0: in no stretch */
    bool joined;
} Walk;

static void walk_start(Walk *walk, int side, double start, bool joined)
{
    walk->side = side;
    walk->start = start;
    walk->joined = joined;
    walk->descending = false;
    walk->top = (Spot){0};
}

static void walk_end(Walk *walk, double to)
{
    const Spot *top = &walk->top;
    double middle = even_middle(walk->profile, top->span, top->at, top->curvature);

    *ARENA_PUSH(walk->arena, walk->items, walk->count, walk->capacity) =
        (Stretch){.from = walk->start,
                  .to = to,
                  .top = fmin(fmax(middle, walk->start), to),
                  .window = top->window,
                  .side = walk->side,
                  .joined = walk->joined};
}

static void walk_step(Walk *walk, Spot spot)
{
    if (walk->descending && spot.curvature > walk->low.curvature * easier) {
        double valley =
            even_middle(walk->profile, walk->low.span, walk->low.at, walk->low.curvature);
        valley = fmin(fmax(valley, walk->top.at), spot.at);
        walk_end(walk, valley);
        walk_start(walk, walk->side, valley, true);
    }
    if (walk->descending) {
        if (spot.curvature < walk->low.curvature)
            walk->low = spot;
    } else if (spot.curvature > walk->top.curvature) {
        walk->top = spot;
    } else if (spot.curvature * easier < walk->top.curvature) {
        walk->descending = true;
        walk->low = spot;
    }
}

size_t profile_stretches(Arena *arena, const Profile *profile, Stretch **stretches)
{
    Walk walk = {.profile = profile, .arena = arena};
    double end = 0; /* of the stretch so far */

    for (size_t i = 0; i < profile->count; i++) {
        Span part;
        bool bent = bent_part(profile, &profile->spans[i], &part);
        bool on = bent && part.side == walk.side && !part.corner && part.from <= end;
        if (walk.side != 0 && !on) {
            walk_end(&walk, end);
            walk.side = 0;
        }
        if (!bent)
            continue;
        if (!on)
            walk_start(&walk, part.side, part.from, false);
        walk_step(&walk, (Spot){part.first, part.from, part.window, i});
        walk_step(&walk, (Spot){part.last, part.to, part.window, i});
        end = part.to;
    }
    if (walk.side != 0)
        walk_end(&walk, end);
    *stretches = walk.items;
    return walk.count;
}

/* Parts laid out on their sheets in one size. For src/measure, and whoever draws. */
#include "measure/lay.h"

#include <math.h>
#include <string.h>

#include "measure/measuring.h"

Matrix stretch_matrix(Stretch2 stretch, double along)
{
    if (isnan(along))
        return (Matrix){stretch.along, 0, 0, stretch.along, 0, 0};
    double c = cos(along), s = sin(along), x = stretch.along, y = stretch.across;
    double mixed = (x - y) * c * s;
    return (Matrix){x * c * c + y * s * s, mixed, mixed, x * s * s + y * c * c, 0, 0};
}

static double axis_of(const Sheet *sheet)
{
    return sheet && sheet->along_known ? sheet->along : (double)NAN;
}

/* The way of travel at a point of a polyline: between its two segments. */
static Point travel_at(const Point *points, size_t count, size_t i)
{
    Point before = points[i > 0 ? i - 1 : i], after = points[i + 1 < count ? i + 1 : i];
    double x = after.x - before.x, y = after.y - before.y, length = hypot(x, y);
    return length > 0 ? (Point){x / length, y / length} : (Point){1, 0};
}

/* Of a line that lies `strip` mm beyond its seam line only the seam line is
 * stretched; the strip is drawn again beside it. */
static void stretch_points(Point *points, size_t count, Matrix matrix, double strip)
{
    Point before = points[0];
    for (size_t i = 0; i < count; i++) {
        Point here = points[i], ends[3] = {before, here, i + 1 < count ? points[i + 1] : here};
        Point way = travel_at(ends, 3, 1);
        Point seam = {here.x - way.y * strip, here.y + way.x * strip};
        Point to = matrix_point(matrix, seam);
        Point turned = {matrix.a * way.x + matrix.c * way.y, matrix.b * way.x + matrix.d * way.y};
        double length = hypot(turned.x, turned.y);
        points[i] = (Point){to.x + turned.y / length * strip, to.y - turned.x / length * strip};
        before = here;
    }
}

/* ---- Corners ---- */

/* Points of an edge before it is a line. */
typedef struct Stroke {
    Point *points;
    size_t count;
} Stroke;

/* Where the straight on from `a` along `way` meets that through `b` along `other`;
 * false where they run nearly alike. */
static bool straights_meet(Point a, Point way, Point b, Point other, Point *at)
{
    double sine = way.x * other.y - way.y * other.x;
    if (fabs(sine) < 0.1)
        return false;
    double along = ((b.x - a.x) * other.y - (b.y - a.y) * other.x) / sine;
    *at = (Point){a.x + along * way.x, a.y + along * way.y};
    return true;
}

static void reverse(Stroke *stroke)
{
    for (size_t i = 0; i < stroke->count / 2; i++) {
        Point held = stroke->points[i];
        stroke->points[i] = stroke->points[stroke->count - 1 - i];
        stroke->points[stroke->count - 1 - i] = held;
    }
}

/* Goes on or stops at `at`, straight on from its end. */
static void end_at(Stroke *stroke, Point way, Point at)
{
    const Point *points = stroke->points;
    size_t last = stroke->count - 1;
    while (last > 1 &&
           (points[last - 1].x - at.x) * way.x + (points[last - 1].y - at.y) * way.y > 0)
        last--;
    stroke->points[last] = at;
    stroke->count = last + 1;
}

/* Strips of different widths part their edges at the corner, or let them cross:
 * there the lines go on straight, or stop. */
static void meet_corner(Stroke *one, Stroke *next)
{
    Point end = one->points[one->count - 1], start = next->points[0], at;
    Point way = travel_at(one->points, one->count, one->count - 1);
    Point other = travel_at(next->points, next->count, 0);
    if (hypot(end.x - start.x, end.y - start.y) < 1e-6 ||
        !straights_meet(end, way, start, other, &at))
        return;
    end_at(one, way, at);
    reverse(next);
    end_at(next, (Point){-other.x, -other.y}, at);
    reverse(next);
}

static void meet_corners(Stroke *strokes, size_t count)
{
    for (size_t i = 0; i < count && count > 1; i++)
        meet_corner(&strokes[i], &strokes[i + 1 < count ? i + 1 : 0]);
}

/* ---- Parts ---- */

static double stroke_length(const Stroke *stroke)
{
    double length = 0;
    for (size_t i = 0; i + 1 < stroke->count; i++)
        length += hypot(stroke->points[i + 1].x - stroke->points[i].x,
                        stroke->points[i + 1].y - stroke->points[i].y);
    return length;
}

static Stroke lay_stroke(Arena *arena, const Path *path, Matrix matrix, double strip)
{
    Stroke stroke;
    stroke.count = path_flatten(arena, path, OUTLINE_FLATNESS_MM, &stroke.points);
    stretch_points(stroke.points, stroke.count, matrix, strip > 0 ? strip : 0);
    return stroke;
}

/* The outline comes after the edges. */
static void close_ring(Arena *arena, Line *lines, size_t edges)
{
    size_t count = 0;
    for (size_t i = 0; i < edges; i++)
        count += lines[i].count;
    Point *points = ARENA_NEW(arena, Point, count + 1);
    count = 0;
    for (size_t i = 0; i < edges; i++)
        for (size_t k = 0; k < lines[i].count; k++)
            points[count++] = lines[i].points[k];
    points[count++] = points[0];
    lines[edges] = line_new(arena, points, count);
}

/* Edges that stay as they were keep their numbers when others of the part change. */
static const Lines *keep_shape(Once once, const KeyWord *key, size_t words, Line *lines,
                               const double *lengths, size_t count)
{
    for (size_t i = 0; i < count; i++)
        lines[i].number = once_points(once, &lines[i]);
    return once_keep(once, key, words, lines, lengths, count);
}

/* What all parts of one size are laid out by. */
typedef struct Laying {
    Once once;
    const Style *style;
    Stretch2 stretch;
    const double *strips;
    const uint64_t *paths; /* by edge index, their numbers; NULL: nothing is kept */
    Lay *lay;
} Laying;

static const Lines *draw_shape(const Laying *laying, const DrawnPart *drawn, Matrix matrix,
                               const KeyWord *key, size_t words)
{
    Arena arena = {0};
    size_t count = drawn->outline.count;
    Stroke *strokes = ARENA_NEW(&arena, Stroke, count);
    Line *lines = ARENA_NEW(&arena, Line, count + 1);
    double *lengths = ARENA_NEW(&arena, double, count + 1);
    for (size_t i = 0; i < count; i++) {
        strokes[i] = lay_stroke(&arena, &drawn->outline.edges[i].path, matrix,
                                laying->strips[drawn->edges[i]->index]);
        lengths[i] = stroke_length(&strokes[i]);
    }
    meet_corners(strokes, count);
    for (size_t i = 0; i < count; i++)
        lines[i] = line_new(&arena, strokes[i].points, strokes[i].count);
    close_ring(&arena, lines, count);
    const Lines *shape = keep_shape(laying->once, key, words, lines, lengths, count + 1);
    arena_free(&arena);
    return shape;
}

static const Lines *shape_of(const Laying *laying, const DrawnPart *drawn, Matrix matrix)
{
    Arena arena = {0};
    size_t edges = drawn->outline.count, words = 0;
    KeyWord *key = ARENA_NEW(&arena, KeyWord, 5 + 2 * edges);
    key[words++].whole = KEY_SHAPE;
    key[words++].number = matrix.a;
    key[words++].number = matrix.b;
    key[words++].number = matrix.c;
    key[words++].number = matrix.d;
    for (size_t i = 0; i < edges; i++) {
        key[words++].whole = laying->paths ? laying->paths[drawn->edges[i]->index] : 0;
        key[words++].number = laying->strips[drawn->edges[i]->index];
    }
    const Lines *shape = laying->once.held ? held_find(laying->once.held, key, words) : NULL;
    if (!shape)
        shape = draw_shape(laying, drawn, matrix, key, words);
    arena_free(&arena);
    return shape;
}

static void set_shape(Arena *arena, LaidPart *part, const Lines *shape, Record *const *edges)
{
    part->shape = shape->number;
    part->edge_count = shape->count - 1;
    part->edges = ARENA_NEW(arena, LaidEdge, part->edge_count);
    for (size_t i = 0; i < part->edge_count; i++)
        part->edges[i] = (LaidEdge){edges[i], shape->items[i], shape->lengths[i]};
    part->outline = shape->items[part->edge_count];
    part->ring = (Point *)part->outline.points;
    part->ring_count = part->outline.count - 1;
    part->box = line_box(&part->outline);
}

/* Is it known how the part grows? In the base size nothing grows. A part that is
 * mirrored onto a sheet whose axis is unknown names it and yet lies on none. */
static bool grows_known(const DrawnPart *drawn, Stretch2 stretch, const double *strips)
{
    bool known = drawn->sheet ? drawn->sheet->along_known
                              : record_value(drawn->part, PART_SHEET)->presence == VALUE_ABSENT;
    for (size_t i = 0; i < drawn->outline.count; i++)
        known = known && !isnan(strips[drawn->edges[i]->index]);
    return known || (stretch.along == 1 && stretch.across == 1);
}

static void lay_part(const Laying *laying, const DrawnPart *drawn)
{
    Lay *lay = laying->lay;
    LaidPart *part = &lay->parts[lay->count++];
    Matrix matrix = stretch_matrix(laying->stretch, axis_of(drawn->sheet));
    *part = (LaidPart){.part = drawn->part, .drawn = drawn, .sheet = drawn->sheet};
    set_shape(laying->once.arena, part, shape_of(laying, drawn, matrix), drawn->edges);
    for (size_t i = 0; i < part->edge_count; i++)
        lay->of_edge[part->edges[i].edge->index] = &part->edges[i];
    lay->of_part[drawn->part->index] = part;
}

/* ---- Other halves of parts drawn to a fold line ---- */

static const LaidEdge *fold_of(const LaidPart *part)
{
    const WordList *words = field_at(EDGE_FINISH)->words;
    int fold = word_index(words, "fold-line", strlen("fold-line"));
    for (size_t i = 0; i < part->edge_count; i++) {
        const Value *finish = record_value(part->edges[i].edge, EDGE_FINISH);
        if (finish->presence == VALUE_KNOWN && (int)finish->code == fold)
            return &part->edges[i];
    }
    return NULL;
}

static const Sheet *other_sheet(const Style *style, const Sheet *sheet)
{
    bool lateral = sheet && strcmp(sheet->name, "lateral") == 0;
    bool medial = sheet && strcmp(sheet->name, "medial") == 0;
    for (size_t i = 0; (lateral || medial) && i < style->sheet_count; i++)
        if (strcmp(style->sheets[i].name, lateral ? "medial" : "lateral") == 0)
            return &style->sheets[i];
    return NULL;
}

static Line mirror_line(Arena *arena, const Line *line, Matrix mirror)
{
    Point *points = ARENA_NEW(arena, Point, line->count);
    for (size_t i = 0; i < line->count; i++)
        points[i] = matrix_point(mirror, line->points[line->count - 1 - i]);
    return line_new(arena, points, line->count);
}

static const Lines *draw_half(Once once, const LaidPart *part, Matrix mirror, const KeyWord *key,
                              size_t words)
{
    Arena arena = {0};
    size_t count = part->edge_count;
    Line *lines = ARENA_NEW(&arena, Line, count + 1);
    double *lengths = ARENA_NEW(&arena, double, count + 1);
    for (size_t i = 0; i < count; i++) {
        lines[i] = mirror_line(&arena, &part->edges[count - 1 - i].line, mirror);
        lengths[i] = part->edges[count - 1 - i].length;
    }
    close_ring(&arena, lines, count);
    const Lines *half = keep_shape(once, key, words, lines, lengths, count + 1);
    arena_free(&arena);
    return half;
}

static const Lines *half_of(Once once, const LaidPart *part, Matrix mirror)
{
    const KeyWord key[] = {{KEY_HALF},           {part->shape},        {.number = mirror.a},
                           {.number = mirror.b}, {.number = mirror.c}, {.number = mirror.d},
                           {.number = mirror.e}, {.number = mirror.f}};
    const size_t words = sizeof key / sizeof key[0];
    const Lines *half = once.held ? held_find(once.held, key, words) : NULL;
    return half ? half : draw_half(once, part, mirror, key, words);
}

static void lay_other_half(const Laying *laying, const LaidPart *part)
{
    Lay *lay = laying->lay;
    Arena *arena = laying->once.arena;
    const LaidEdge *fold = fold_of(part);
    if (!fold)
        return;
    const Sheet *sheet = other_sheet(laying->style, part->sheet);
    if (sheet && !sheet->along_known) {
        lay->whole = false;
        return;
    }
    Point from = fold->line.points[0], to = fold->line.points[fold->line.count - 1];
    Matrix mirror = sheet ? matrix_mirror((Point){0, 0}, sheet->along)
                          : matrix_mirror(from, atan2(to.y - from.y, to.x - from.x));
    LaidPart *half = &lay->parts[lay->count++];
    *half = *part;
    half->other_half = true;
    half->sheet = sheet ? sheet : part->sheet;
    Record **edges = ARENA_NEW(arena, Record *, part->edge_count);
    for (size_t i = 0; i < part->edge_count; i++)
        edges[i] = part->drawn->edges[part->edge_count - 1 - i];
    set_shape(arena, half, half_of(laying->once, part, mirror), edges);
}

/* ---- All parts ---- */

Lay *lay_out_once(Once once, const Style *style, Stretch2 stretch, const double *strips,
                  const uint64_t *paths)
{
    if (!(stretch.along > 0 && stretch.across > 0))
        return NULL;
    Lay *lay = ARENA_NEW(once.arena, Lay, 1);
    lay->whole = true;
    lay->parts = ARENA_NEW(once.arena, LaidPart, 2 * style->drawn_count);
    lay->of_part = ARENA_NEW(once.arena, const LaidPart *, style->lists[SUBJECT_PART].count);
    lay->of_edge = ARENA_NEW(once.arena, const LaidEdge *, style->lists[SUBJECT_EDGE].count);
    const Laying laying = {once, style, stretch, strips, paths, lay};
    for (size_t i = 0; i < style->drawn_count; i++)
        if (grows_known(&style->drawn[i], stretch, strips)) {
            lay_part(&laying, &style->drawn[i]);
            lay_other_half(&laying, &lay->parts[lay->count - 1]);
        } else {
            lay->whole = false;
        }
    return lay;
}

Lay *lay_out(Arena *arena, const Style *style, Stretch2 stretch, const double *strips)
{
    return lay_out_once((Once){NULL, arena}, style, stretch, strips, NULL);
}

double laid_along_edge(const Style *style, const LaidEdge *edge, double written)
{
    return style->lines[edge->edge->index].mirrored ? line_length(&edge->line) - written : written;
}

static bool box_holds(Box box, Point place, double margin)
{
    return place.x >= box.least.x - margin && place.x <= box.most.x + margin &&
           place.y >= box.least.y - margin && place.y <= box.most.y + margin;
}

bool laid_covers(const LaidPart *part, Point place, double tolerance)
{
    Nearest nearest;
    return box_holds(part->box, place, tolerance) &&
           line_nearest(&part->outline, place, INFINITY, &nearest) &&
           (nearest.left || nearest.distance <= tolerance);
}

/* Of seven places on the line five must do. */
enum { PLACES = 7, PLACES_LEAST = 5 };

static Point place_on(const Line *line, int i)
{
    return line_point(line, line_length(line) * (i + 0.5) / PLACES);
}

bool laid_on(const Line *line, const LaidPart *part)
{
    int on = 0;
    for (int i = 0; i < PLACES; i++)
        on += laid_covers(part, place_on(line, i), LAID_SAME_MM);
    return on >= PLACES_LEAST;
}

bool laid_on_once(Held *held, const Line *line, const LaidPart *part)
{
    const KeyWord key[] = {{KEY_ON}, {line->number}, {part->shape}};
    const size_t words = sizeof key / sizeof key[0];
    const uint64_t *found = held_find(held, key, words);
    if (found)
        return *found;
    bool on = laid_on(line, part);
    *(uint64_t *)held_keep(held, key, words, sizeof(uint64_t)) = on;
    return on;
}

bool laid_along_once(Held *held, const Line *line, const Line *other, double within)
{
    const KeyWord key[] = {{KEY_ALONG}, {line->number}, {other->number}, {.number = within}};
    const size_t words = sizeof key / sizeof key[0];
    const uint64_t *found = held_find(held, key, words);
    if (found)
        return *found;
    bool along = laid_along(line, other, within);
    *(uint64_t *)held_keep(held, key, words, sizeof(uint64_t)) = along;
    return along;
}

bool laid_along(const Line *line, const Line *other, double within)
{
    int near = 0;
    Nearest nearest;
    for (int i = 0; i < PLACES; i++)
        near += line_nearest(other, place_on(line, i), within, &nearest);
    return near >= PLACES_LEAST;
}

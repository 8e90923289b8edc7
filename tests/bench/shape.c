/* Lines in trees of boxes against looking at every segment: nearest places, levels
 * and gaps over a sheet of 40 parts of 30 curved pieces with 60 rows of 200 mm.
 * Prints how many times faster, in one run, once the answers are equal. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include "bench/bench.h"
#include "shape/line.h"

enum { PARTS = 40, PIECES = 30, ROWS = 60, PLACES = 50, ROW_PIECES = 20 };

static const double level = 2; /* mm */

typedef struct Sheet {
    Arena arena;
    Line parts[PARTS], rows[ROWS];
} Sheet;

/* Even noise of -1..1 that is the same everywhere. */
static double noise(uint32_t *state)
{
    *state = *state * 1664525u + 1013904223u;
    return (double)(*state >> 8) / (1 << 23) - 1;
}

/* ---- A sheet ---- */

static Line smooth(Arena *arena, const Point *at, const Point *way, size_t count)
{
    Path path = {ARENA_NEW(arena, Cubic, count - 1), count - 1};
    for (size_t i = 0; i + 1 < count; i++) {
        Point a = at[i], b = at[i + 1];
        path.pieces[i] = (Cubic){
            {a, {a.x + way[i].x, a.y + way[i].y}, {b.x - way[i + 1].x, b.y - way[i + 1].y}, b}};
    }
    return line_of_path(arena, &path);
}

/* Ten by four parts of some 60 mm, 70 mm apart. */
static Line part(Arena *arena, int which, uint32_t *random)
{
    Point at[PIECES + 1], way[PIECES + 1], middle = {70 * (which % 10), 70 * (which / 10)};
    for (int i = 0; i < PIECES; i++) {
        double angle = 2 * 3.14159265358979323846 * i / PIECES, radius = 30 + 4 * noise(random);
        at[i] = (Point){middle.x + radius * cos(angle), middle.y + radius * sin(angle)};
        way[i] = (Point){-0.07 * radius * sin(angle), 0.07 * radius * cos(angle)};
    }
    at[PIECES] = at[0];
    way[PIECES] = way[0];
    return smooth(arena, at, way, PIECES + 1);
}

static Line row(Arena *arena, uint32_t *random)
{
    Point at[ROW_PIECES + 1], way[ROW_PIECES + 1];
    Point from = {220 + 220 * noise(random), 105 + 105 * noise(random)};
    for (int i = 0; i <= ROW_PIECES; i++) {
        at[i] = (Point){from.x + 10 * i, from.y + 3 * noise(random)};
        way[i] = (Point){4, noise(random)};
    }
    return smooth(arena, at, way, ROW_PIECES + 1);
}

static void draw(Sheet *sheet)
{
    uint32_t random = 1;
    for (int i = 0; i < PARTS; i++)
        sheet->parts[i] = part(&sheet->arena, i, &random);
    for (int i = 0; i < ROWS; i++)
        sheet->rows[i] = row(&sheet->arena, &random);
}

/* ---- Looking at every segment ---- */

static double share_of(Point a, Point b, Point place)
{
    double x = b.x - a.x, y = b.y - a.y;
    double share = ((place.x - a.x) * x + (place.y - a.y) * y) / (x * x + y * y);
    return share > 0 ? fmin(share, 1) : 0;
}

static double distance2(Point a, Point b, Point place)
{
    double share = share_of(a, b, place);
    double x = place.x - a.x - share * (b.x - a.x), y = place.y - a.y - share * (b.y - a.y);
    return x * x + y * y;
}

static double plain_distance(const Line *line, Point place)
{
    double least = INFINITY;
    for (size_t i = 0; i + 1 < line->count; i++)
        least = fmin(least, distance2(line->points[i], line->points[i + 1], place));
    return sqrt(least);
}

static double turn(Point a, Point b, Point c)
{
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

static bool cross(Point a, Point b, Point c, Point d)
{
    return turn(a, b, c) * turn(a, b, d) < 0 && turn(c, d, a) * turn(c, d, b) < 0;
}

static double plain_gap(const Line *one, const Line *other)
{
    double least = INFINITY;
    for (size_t i = 0; i + 1 < one->count; i++)
        for (size_t k = 0; k + 1 < other->count; k++) {
            Point a = one->points[i], b = one->points[i + 1];
            Point c = other->points[k], d = other->points[k + 1];
            if (cross(a, b, c, d))
                return 0;
            least = fmin(least, fmin(fmin(distance2(a, b, c), distance2(a, b, d)),
                                     fmin(distance2(c, d, a), distance2(c, d, b))));
        }
    return sqrt(least);
}

/* The end of where the walk's segment is in a circle: the share of it, or NAN. */
static double circle_end(Point a, Point b, Point middle, double side)
{
    double x = b.x - a.x, y = b.y - a.y, length = hypot(x, y);
    double ahead = ((middle.x - a.x) * x + (middle.y - a.y) * y) / length;
    double aside = ((middle.x - a.x) * y - (middle.y - a.y) * x) / length;
    double share = (ahead + side * sqrt(level * level - aside * aside)) / length;
    return share >= 0 && share <= 1 ? share : (double)NAN;
}

/* The same for one of a capsule's long sides. */
static double side_end(Point a, Point b, Point c, Point d, double side)
{
    double length = hypot(d.x - c.x, d.y - c.y);
    double from = turn(c, d, a) / length - side * level, to = turn(c, d, b) / length - side * level;
    double share = from / (from - to);
    return from * to <= 0 ? share : (double)NAN;
}

static size_t plain_levels(const Line *walk, const Line *line)
{
    size_t count = 0;
    for (size_t i = 0; i + 1 < walk->count; i++)
        for (size_t k = 0; k + 1 < line->count; k++)
            for (int end = 0; end < 4; end++) {
                Point a = walk->points[i], b = walk->points[i + 1], c = line->points[k];
                double side = end % 2 ? 1 : -1;
                double share = end < 2 ? circle_end(a, b, c, side)
                                       : side_end(a, b, c, line->points[k + 1], side);
                Point place = {a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)};
                count += !isnan(share) && fabs(plain_distance(line, place) - level) < 1e-9;
            }
    return count;
}

/* ---- Comparing ---- */

static void differ(const char *what, double one, double other)
{
    if (fabs(one - other) <= 1e-6 * fmax(1, fabs(other)))
        return;
    fprintf(stderr, "%s: %.12g in the tree, %.12g by looking at all\n", what, one, other);
    exit(EXIT_FAILURE);
}

static void told(const char *what, size_t count, double tree, double plain)
{
    printf("%-8s %6zu questions  tree %9.3f us each  all %11.3f us each  %7.0f times faster\n",
           what, count, 1e3 * tree / (double)count, 1e3 * plain / (double)count, plain / tree);
}

static double nearest_of_sheet(const Sheet *sheet, Point place)
{
    Nearest nearest = {.distance = INFINITY};
    int first = 0;
    for (int p = 1; p < PARTS; p++)
        if (box_distance2(&sheet->parts[p].boxes[1], place) <
            box_distance2(&sheet->parts[first].boxes[1], place))
            first = p;
    line_nearest(&sheet->parts[first], place, INFINITY, &nearest);
    for (int p = 0; p < PARTS; p++)
        line_nearest(&sheet->parts[p], place, nearest.distance, &nearest);
    return nearest.distance;
}

static double plain_of_sheet(const Sheet *sheet, Point place)
{
    double least = INFINITY;
    for (int p = 0; p < PARTS; p++)
        least = fmin(least, plain_distance(&sheet->parts[p], place));
    return least;
}

static double all_nearest(const Sheet *sheet, double (*ask)(const Sheet *, Point))
{
    double sum = 0;
    for (int r = 0; r < ROWS; r++)
        for (int i = 0; i < PLACES; i++)
            sum += ask(sheet, line_point(&sheet->rows[r], 4.0 * i));
    return sum;
}

static void bench_nearest(const Sheet *sheet)
{
    double start = bench_now(), tree = all_nearest(sheet, nearest_of_sheet), middle = bench_now();
    double plain = all_nearest(sheet, plain_of_sheet), end = bench_now();
    differ("nearest", tree, plain);
    told("nearest", ROWS * PLACES, middle - start, end - middle);
}

static void bench_levels(const Sheet *sheet)
{
    Arena arena = {0};
    size_t tree = 0, plain = 0;
    double *at, start = bench_now();
    for (int r = 0; r < ROWS; r++)
        for (int p = 0; p < PARTS; p++)
            tree += line_levels(&arena, &sheet->rows[r], &sheet->parts[p], level, &at);
    double middle = bench_now();
    for (int r = 0; r < ROWS; r++)
        for (int p = 0; p < PARTS; p++)
            plain += plain_levels(&sheet->rows[r], &sheet->parts[p]);
    double end = bench_now();
    differ("levels", (double)tree, (double)plain);
    told("levels", ROWS * PARTS, middle - start, end - middle);
    arena_free(&arena);
}

static void bench_gaps(const Sheet *sheet)
{
    double tree = 0, plain = 0, start = bench_now();
    for (int r = 0; r < ROWS; r++)
        for (int p = 0; p < PARTS; p++)
            tree += line_gap(&sheet->rows[r], &sheet->parts[p], NULL);
    double middle = bench_now();
    for (int r = 0; r < ROWS; r++)
        for (int p = 0; p < PARTS; p++)
            plain += plain_gap(&sheet->rows[r], &sheet->parts[p]);
    double end = bench_now();
    differ("gaps", tree, plain);
    told("gaps", ROWS * PARTS, middle - start, end - middle);
}

int main(void)
{
    Sheet sheet = {0};
    draw(&sheet);
    size_t points = 0, walked = 0;
    for (int p = 0; p < PARTS; p++)
        points += sheet.parts[p].count;
    for (int r = 0; r < ROWS; r++)
        walked += sheet.rows[r].count;
    printf("%d parts of %d points in all, %d rows of %d\n", PARTS, (int)points, ROWS, (int)walked);
    bench_nearest(&sheet);
    bench_levels(&sheet);
    bench_gaps(&sheet);
    arena_free(&sheet.arena);
    return EXIT_SUCCESS;
}

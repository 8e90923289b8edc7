/* Drawn rows against following them the plain way, and measures against what must
 * not change them: where a sheet lies, how it is turned, how its lines are written. */
#define _GNU_SOURCE
#include "property/demo_support.h"

#include <stdio.h>
#include <unistd.h>

#include "property/rows_by_hand.h"
#include "scratch.h"

static const HouseValues house = {.leather_thickness = 0.2,
                                  .sheet_thickness = 0.1,
                                  .skive = 0.1,
                                  .line = 0.3,
                                  .row = 0.3,
                                  .gap_together = 0.1,
                                  .gap_apart = 0.3,
                                  .girth_step = 5};

/* ---- Every place of every row ---- */

/* A sample this near to a crossing may see what lies beyond it. */
static const double near_crossing = 0.11;

/* mm that a tapering stack may be off the straight between two crossings. */
static const double nearly_straight = 0.006;

static double times_of(const MetLayer *layers, size_t count, const Record *part)
{
    double times = 0;
    for (size_t i = 0; i < count; i++)
        times += layers[i].part == part && layers[i].thickness > 0 ? layers[i].times : 0;
    return times;
}

static double byhand_times(const HandLayers *plain, const Record *part)
{
    double times = 0;
    for (size_t i = 0; i < plain->count; i++)
        times += plain->items[i].part == part && plain->items[i].thickness > 0
                     ? plain->items[i].times
                     : 0;
    return times;
}

static void compare(const HandRow *p, const MetStretch *stretch, double at, const char *where)
{
    HandLayers plain = byhand_layers(p, at);
    double share = (at - stretch->from) / (stretch->to - stretch->from);
    double stack = stretch->stack_from + (stretch->stack_to - stretch->stack_from) * share;
    const RecordList *parts = &p->style->lists[SUBJECT_PART];
    if (plain.open)
        return;
    for (size_t i = 0; i < parts->count; i++) {
        double met = times_of(stretch->layers, stretch->count, parts->items[i]);
        double expected = byhand_times(&plain, parts->items[i]);
        if (met != expected)
            fail_msg("%s at %.3f mm of %s: %g layers of %s, not %g", where, at, p->row->path, met,
                     parts->items[i]->path, expected);
    }
    if (!(fabs(stack - plain.stack) <= nearly_straight))
        fail_msg("%s at %.3f mm of %s: a stack of %.9g mm, not %.9g", where, at, p->row->path,
                 stack, plain.stack);
}

/* Returns how many places were compared. */
static size_t hold_row(Measured *measured, const Style *style, const Record *row, uint32_t size,
                       uint32_t colourway, double step, const char *where)
{
    Arena arena = {0};
    RowProfile profile;
    size_t compared = 0;
    HandRow plain = {.style = style,
                     .columns = measured_columns(measured),
                     .seam = &style->seams[row->owner->index],
                     .row = row,
                     .colourway = colourway};
    if (measured_profile(measured, &arena, row, size, colourway, &profile)) {
        assert_true(byhand_find(&arena, &plain, measured, size));
        for (size_t i = 0; i < profile.count; i++) {
            const MetStretch *stretch = &profile.stretches[i];
            double from = stretch->from + near_crossing, to = stretch->to - near_crossing;
            for (double at = from; at <= to; at += step, compared++)
                compare(&plain, stretch, at, where);
        }
    }
    arena_free(&arena);
    return compared;
}

static void hold_style(const char *alternative, const Patch *patches, size_t patch_count)
{
    Messages messages = {0};
    char where[64];
    Style *style = style_read("styles/skerry.yaml", alternative, patches, patch_count, &messages);
    if (!style)
        demo_stop(&messages, "styles/skerry.yaml");
    Measured *measured = measured_new(style, NULL, &house);
    uint32_t base = measured_base_size(measured);
    const RecordList *rows = &style->lists[SUBJECT_ROW];
    const Columns *columns = measured_columns(measured);
    uint32_t largest = columns->lanes[columns->lane_count - 1].size_index;
    const uint32_t sizes[3] = {base, 0, largest};
    double step = (double)demo_stride(1, 20) * 0.05;
    size_t compared = 0, walked = 0;
    for (int s = 0; s < 3; s++)
        for (size_t i = 0; i < rows->count; i++) {
            snprintf(where, sizeof where, "%s, size %u", alternative ? alternative : "as written",
                     sizes[s]);
            size_t places =
                hold_row(measured, style, rows->items[i], sizes[s], s == 1 ? 1 : 0, step, where);
            compared += places;
            walked += places > 0;
        }
    assert_true(walked > 60);
    assert_true((double)compared * step > 5000);
    measured_free(measured);
    style_free(style);
    messages_free(&messages);
}

static void overlays_place_by_place(void **state)
{
    (void)state;
    hold_style(NULL, NULL, 0);
}

static void turned_place_by_place(void **state)
{
    (void)state;
    hold_style("turned", NULL, 0);
}

static void rounded_place_by_place(void **state)
{
    (void)state;
    hold_style("turned-rounded", NULL, 0);
}

/* ---- Every place again, by match marks ---- */

/* Of the first edges of all sides. */
static double shortest_first(const Seam *seam)
{
    double least = INFINITY;
    for (size_t i = 0; i < seam->side_count; i++)
        if (seam->sides[i].count)
            least =
                fmin(least, record_value(seam->sides[i].edges[0], EDGE_LENGTH)->quantity.nominal);
    return least;
}

/* Two on each seam that is written out. */
static size_t mark_seams(Arena *arena, const Style *style, Patch *patches)
{
    static const char text[] = "v: [4.5 mm, 13.5 mm]\n";
    Messages messages = {0};
    size_t count = 0;
    for (size_t i = 0; i < style->seam_count; i++) {
        const Seam *seam = &style->seams[i];
        const YamlNode *own = yaml_get(yaml_get(style->file->root, "seams"), seam->record->path);
        double least = shortest_first(seam);
        if (!own || yaml_get(own, "mirror") || !(least > 14 && least < INFINITY))
            continue;
        YamlFile *file = yaml_read_bytes(arena, "marks", text, strlen(text), false, &messages);
        patches[count++] = (Patch){arena_printf(arena, "seams.%s.marks", seam->record->path),
                                   yaml_get(file->root, "v"), NULL};
    }
    messages_free(&messages);
    return count;
}

static void hold_marked(const char *alternative)
{
    Messages messages = {0};
    Arena arena = {0};
    Style *style = style_read("styles/skerry.yaml", alternative, NULL, 0, &messages);
    if (!style)
        demo_stop(&messages, "styles/skerry.yaml");
    Patch *patches = ARENA_NEW(&arena, Patch, style->seam_count);
    size_t count = mark_seams(&arena, style, patches);
    assert_true(count > 10);
    hold_style(alternative, patches, count);
    style_free(style);
    arena_free(&arena);
    messages_free(&messages);
}

static void marked_place_by_place(void **state)
{
    (void)state;
    hold_marked(NULL);
    hold_marked("turned");
}

/* ---- Drawings that are written otherwise ---- */

/* A sheet of parts: a lap with a wavy front, a strap folded at one end across it, a
 * stay with holes beside it. Each edge is a chain of curves, y down the page. */
enum { EDGES = 11, CURVES_MOST = 6, POINTS_MOST = 3 * CURVES_MOST + 1 };

typedef struct Edge {
    const char *part, *name, *values;
    Point points[POINTS_MOST]; /* of the curves end to end */
    size_t curves;
} Edge;

typedef struct Page {
    Edge edges[EDGES];
    double along;   /* degrees, x towards y */
    bool backwards; /* parts and edges in the other order */
} Page;

static double noise(uint32_t *random)
{
    *random = *random * 1664525u + 1013904223u;
    return (double)(*random >> 8) / (1 << 23) - 1;
}

static void curve_to(Edge *edge, Point a, Point b, Point c)
{
    Point *next = &edge->points[3 * edge->curves++];
    next[1] = a;
    next[2] = b;
    next[3] = c;
}

static void straight_to(Edge *edge, double x, double y)
{
    Point from = edge->points[3 * edge->curves], to = {x, y};
    curve_to(edge, (Point){from.x + (x - from.x) / 3, from.y + (y - from.y) / 3},
             (Point){from.x + (x - from.x) * 2 / 3, from.y + (y - from.y) * 2 / 3}, to);
}

static Edge *edge_new(Page *page, size_t i, const char *part, const char *name, const char *values,
                      double x, double y)
{
    page->edges[i] = (Edge){.part = part, .name = name, .values = values, .points = {{x, y}}};
    return &page->edges[i];
}

static const char raw[] = "finish: raw, allowance: 0 mm, grade: scale, sight: other";
static const char kept[] = "finish: raw, allowance: 0 mm, grade: hold, sight: other";
static const char top[] = "finish: raw, allowance: 0 mm, grade: scale, sight: topline";
static const char lasted[] = "finish: lasted, allowance: 6 mm, grade: scale, sight: other";
static const char lap[] = "finish: raw, allowance: 9 mm, grade: scale, sight: other, "
                          "skive: {width: 5 mm, left: 0.4 mm, form: taper}";
static const char folded[] = "finish: folded, allowance: 4 mm, grade: hold, sight: other, "
                             "skive: {width: 9 mm, left: 0.5 mm, form: step}";

static Page page_at_random(uint32_t *random)
{
    Page page = {0};
    double a = 4 * noise(random), b = 4 * noise(random), c = 2 * noise(random);
    double slant = 3 * noise(random), low = 12 + 2 * noise(random);
    Edge *e = edge_new(&page, 0, "over", "front", raw, 60, 0);
    curve_to(e, (Point){60 + a, 13}, (Point){60 + b, 27}, (Point){60, 40});
    straight_to(edge_new(&page, 1, "over", "feather", lasted, 60, 40), 0, 40);
    e = edge_new(&page, 2, "over", "rest", top, 0, 40);
    straight_to(e, 0, 0);
    straight_to(e, 60, 0);
    e = edge_new(&page, 3, "under", "lap", lap, 51, 40);
    curve_to(e, (Point){51 + b, 27 + c}, (Point){51 + a, 13}, (Point){51, 0});
    straight_to(edge_new(&page, 4, "under", "feather", lasted, 51, 40), 120, 40);
    e = edge_new(&page, 5, "under", "rest", raw, 51, 0);
    straight_to(e, 120, 0);
    straight_to(e, 120, 40);
    straight_to(edge_new(&page, 6, "strap", "fold", folded, 84, low), 84, low + 16);
    e = edge_new(&page, 7, "strap", "long", raw, 84, low + 16);
    curve_to(e, (Point){70, low + 16 + c}, (Point){50, low + 16 - c},
             (Point){36, low + 16 + slant});
    straight_to(edge_new(&page, 8, "strap", "end", raw, 36, low + 16 + slant), 36, low + slant);
    straight_to(edge_new(&page, 9, "strap", "short", raw, 36, low + slant), 84, low);
    e = edge_new(&page, 10, "patch", "round", kept, 10, 22);
    straight_to(e, 20, 22 + c);
    curve_to(e, (Point){26, 24}, (Point){26, 33}, (Point){20, 34});
    straight_to(e, 10, 34);
    straight_to(e, 10, 22);
    return page;
}

static void write_edge(FILE *file, const Edge *edge)
{
    fprintf(file, "      %s: {%s, path: 'M %.12f %.12f", edge->name, edge->values,
            edge->points[0].x, edge->points[0].y);
    for (size_t i = 1; i <= 3 * edge->curves; i++)
        fprintf(file, " %s%.12f %.12f", i % 3 == 1 ? "C " : "", edge->points[i].x,
                edge->points[i].y);
    fprintf(file, "'}\n");
}

static void write_page(FILE *file, const Page *page)
{
    static const char *const materials[] = {"over", "under", "strap", "patch"};
    fprintf(file,
            "cordwain: style/1\nname: Random (invented)\ncode: R-1\n"
            "last: {code: L, length: 280 mm, girth: 250 mm}\n"
            "sizes: {system: paris-point, base: 42, from: 40, to: 44}\n"
            "bottom: {lasting: strobel, feather: 120 mm}\nsheets: {flat: {along: %.12g deg}}\n"
            "materials:\n"
            "  calf: {kind: leather, thickness: 1.4 ± 0.1 mm, compresses: 0..10 %%}\n"
            "  film: {kind: film, thickness: 0.3 mm, compresses: exactly 0 %%, hard: true}\n"
            "parts:\n  stay: {role: reinforcement, material: film, layer: 1, backs: [over], "
            "inset: {rest: 7 mm, front: 12 mm}}\n",
            page->along);
    for (int i = 0; i < 4; i++) {
        const char *part = materials[page->backwards ? 3 - i : i];
        fprintf(file, "  %s:\n    role: upper\n    material: calf\n    sheet: flat\n    edges:\n",
                part);
        for (int k = 0; k < EDGES; k++) {
            const Edge *edge = &page->edges[page->backwards ? EDGES - 1 - k : k];
            if (strcmp(edge->part, part) == 0)
                write_edge(file, edge);
        }
    }
    fprintf(file, "holes: {holes: {part: over, along: over.front, first: 6 mm, number: 3, bore: 3 "
                  "mm, spacing: 11 mm, from_edge: 17 mm}}\n"
                  "seams:\n"
                  "  strap: {join: lapped, edges: [strap.end, over], rows: [{does: seam, "
                  "from_edge: 2 mm}]}\n"
                  "  lap: {join: lapped, edges: [over.front, under.lap], rows: [{does: seam, "
                  "from_edge: 2 mm}, {does: seam, from_edge: 5 mm}]}\n"
                  "  long: {join: lapped, edges: [strap.long, over], rows: [{does: seam, "
                  "from_edge: 2.5 mm}]}\n"
                  "  fold: {join: lapped, edges: [strap.fold, under], rows: [{does: seam, "
                  "from_edge: 2 mm}]}\n"
                  "  patch: {join: lapped, edges: [patch.round, over], rows: [{does: seam, "
                  "from_edge: 1.5 mm}]}\norder: [strap, lap, long, fold, patch]\n");
}

typedef struct Read {
    Messages messages;
    Style *style;
    Columns *columns;
} Read;

static Read page_read(const Page *page)
{
    char path[SCRATCH_LENGTH];
    Read read = {0};
    FILE *file = scratch_file(path);
    write_page(file, page);
    assert_int_equal(fclose(file), 0);
    read.style = style_read(path, NULL, NULL, 0, &read.messages);
    unlink(path);
    if (!read.style)
        demo_stop(&read.messages, "a random drawing");
    read.columns = measure_style(read.style, NULL, &house);
    return read;
}

static void read_free(Read *read)
{
    columns_free(read->columns);
    style_free(read->style);
    messages_free(&read->messages);
}

/* Lengths, radii and places on a line are rounded to 0.001 mm and may fall on either
 * side; all else is the same. Lines cut in other pieces have other chords. */
static const struct {
    FieldId id;
    bool rounded;
} measures[] = {
    {EDGE_LENGTH, true},     {BEND_RADIUS, true},     {BEND_ARC, true},
    {BEND_TURN, true},       {ROW_STACK, false},      {HOLE_ROW_CLEAR, false},
    {HOLE_CUT_CLEAR, false}, {PART_ROW_CLEAR, false}, {PART_TOPLINE_CLEAR, false},
    {BOTTOM_LASTED, false},  {EDGE_STACK, false},
};

static uint32_t named(const Columns *columns, Subject subject, const char *name)
{
    for (uint32_t i = 0; i < columns->count[subject]; i++)
        if (strcmp(columns->names[subject][i], name) == 0)
            return i;
    fail_msg("no %s", name);
    return 0;
}

static void hold_field(const Columns *one, const Columns *other, FieldId id, double within,
                       const char *what)
{
    const Column *a = &one->fields[id], *b = &other->fields[id];
    Subject subject = field_at(id)->subject;
    if (one->count[subject] != other->count[subject])
        fail_msg("%s: %u records of %s, not %u", what, other->count[subject], subject_name(subject),
                 one->count[subject]);
    for (uint32_t i = 0; i < one->count[subject]; i++) {
        uint32_t k = named(other, subject, one->names[subject][i]);
        for (uint32_t lane = 0; lane < one->lane_count; lane++) {
            size_t cell = column_cell(a, i, lane), its = column_cell(b, k, lane);
            double values[3] = {a->nominal[cell], a->lo[cell], a->hi[cell]};
            double others[3] = {b->nominal[its], b->lo[its], b->hi[its]};
            for (int v = 0; v < 3; v++)
                if (isnan(values[v]) != isnan(others[v]) || fabs(values[v] - others[v]) > within)
                    fail_msg("%s: %s of %s is %.9g, not %.9g in lane %u", what, field_at(id)->name,
                             one->names[subject][i], others[v], values[v], lane);
        }
    }
}

/* The highest the row climbs within a length. Of steps that are as good as equal one
 * or the other is kept. */
static double climb(const Columns *columns, const char *row, uint32_t lane, double length)
{
    const Column *rise = &columns->fields[STEP_RISE], *apart = &columns->fields[STEP_APART];
    double most = 0;
    for (uint32_t i = 0; i < columns->count[SUBJECT_STEP]; i++) {
        bool own = strncmp(columns->names[SUBJECT_STEP][i], row, strlen(row)) == 0 &&
                   columns->names[SUBJECT_STEP][i][strlen(row)] == ' ';
        if (own && apart->nominal[column_cell(apart, i, lane)] <= length)
            most = fmax(most, rise->nominal[column_cell(rise, i, lane)]);
    }
    return most;
}

static void hold_climbs(const Read *read, const Read *other, double within, const char *what)
{
    static const double lengths[] = {0.05, 1.03, 2.07, 4.11, 8.13, 16.17, 100};
    const RecordList *rows = &read->style->lists[SUBJECT_ROW];
    for (size_t i = 0; i < rows->count; i++)
        for (uint32_t lane = 0; lane < read->columns->lane_count; lane++)
            for (size_t k = 0; k < sizeof lengths / sizeof lengths[0]; k++) {
                double one = climb(read->columns, rows->items[i]->path, lane, lengths[k]);
                double its = climb(other->columns, rows->items[i]->path, lane, lengths[k]);
                if (!(fabs(one - its) <= within))
                    fail_msg("%s: %s climbs %.9g in %g mm, not %.9g, in lane %u", what,
                             rows->items[i]->path, its, lengths[k], one, lane);
            }
}

static void hold(const Read *read, const Page *page, double within, const char *what)
{
    Read other = page_read(page);
    assert_int_equal(read->columns->lane_count, other.columns->lane_count);
    for (size_t i = 0; i < sizeof measures / sizeof measures[0]; i++)
        hold_field(read->columns, other.columns, measures[i].id,
                   measures[i].rounded ? fmax(within, 2.1e-3) : within, what);
    hold_climbs(read, &other, within, what);
    read_free(&other);
}

/* ---- The other ways of writing it ---- */

/* The axis turns with the page: what is along stays along. */
static Page turned_by(const Page *page, double degrees)
{
    Page turned = *page;
    double c = cos(degrees * 3.14159265358979323846 / 180),
           s = sin(degrees * 3.14159265358979323846 / 180);
    turned.along += degrees;
    for (int i = 0; i < EDGES; i++)
        for (int k = 0; k < POINTS_MOST; k++) {
            Point at = page->edges[i].points[k];
            turned.edges[i].points[k] = (Point){c * at.x - s * at.y, s * at.x + c * at.y};
        }
    return turned;
}

/* Sizes stretch about the origin: a sheet that lies elsewhere moves as a whole, by the
 * same for all that lies on it, and no distance on it changes. */
static Page moved_by(const Page *page, double x, double y)
{
    Page moved = *page;
    for (int i = 0; i < EDGES; i++)
        for (int k = 0; k < POINTS_MOST; k++) {
            moved.edges[i].points[k].x += x;
            moved.edges[i].points[k].y += y;
        }
    return moved;
}

static Page reversed(const Page *page)
{
    Page other = *page;
    for (int i = 0; i < EDGES; i++)
        for (size_t k = 0, last = 3 * page->edges[i].curves; k <= last; k++)
            other.edges[i].points[k] = page->edges[i].points[last - k];
    return other;
}

static Point between(Point a, Point b, double t)
{
    return (Point){a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t};
}

/* The first curve of each edge cut in two (de Casteljau). */
static Page split_at(const Page *page, double t)
{
    Page split = *page;
    for (int i = 0; i < EDGES; i++) {
        Edge *edge = &split.edges[i];
        const Point *p = page->edges[i].points;
        Point a = between(p[0], p[1], t), b = between(p[1], p[2], t), c = between(p[2], p[3], t);
        Point ab = between(a, b, t), bc = between(b, c, t);
        memmove(&edge->points[6], &p[3], (POINTS_MOST - 6) * sizeof *p);
        const Point cut[6] = {p[0], a, ab, between(ab, bc, t), bc, c};
        memcpy(edge->points, cut, sizeof cut);
        edge->curves++;
    }
    return split;
}

static void written_otherwise(void **state)
{
    (void)state;
    uint32_t random = 7;
    size_t rounds = 30 / demo_stride(1, 10);
    for (size_t i = 0; i < rounds; i++) {
        Page page = page_at_random(&random), other;
        Read read = page_read(&page);
        other = turned_by(&page, floor(180 * noise(&random)));
        hold(&read, &other, 1e-6, "turned with its axis");
        other = moved_by(&page, 300 * noise(&random), 300 * noise(&random));
        hold(&read, &other, 1e-6, "moved");
        other = reversed(&page);
        hold(&read, &other, 1e-6, "drawn from the other end");
        other = page;
        other.backwards = true;
        hold(&read, &other, 1e-6, "in another order");
        other = split_at(&page, 0.5 + 0.3 * noise(&random));
        hold(&read, &other, 0.1, "in more pieces");
        read_free(&read);
    }
}

/* ---- Sizes ---- */

static void base_size_is_as_drawn(void **state)
{
    (void)state;
    Messages messages = {0};
    Style *style = style_read("styles/skerry.yaml", NULL, NULL, 0, &messages);
    if (!style)
        demo_stop(&messages, "styles/skerry.yaml");
    Measured *measured = measured_new(style, NULL, &house);
    const Columns *columns = measured_columns(measured);
    uint32_t base = measured_base_size(measured);
    const Lay *lay = measured_lay(measured, base);
    for (uint32_t lane = 0; lane < columns->lane_count; lane++)
        if (columns->lanes[lane].size_index == base)
            assert_string_equal(columns->lanes[lane].size, "42");
    for (size_t i = 0; i < style->drawn_count; i++) {
        const DrawnPart *drawn = &style->drawn[i];
        const LaidPart *laid = lay->of_part[drawn->part->index];
        for (size_t k = 0; k < drawn->outline.ring_count; k++) {
            Nearest nearest;
            assert_true(line_nearest(&laid->outline, drawn->outline.ring[k], 1e-9, &nearest));
        }
    }
    measured_free(measured);
    style_free(style);
    messages_free(&messages);
}

/* The value of a bend or edge from size to size of one colourway. */
static double in_size(const Columns *columns, FieldId id, uint32_t record, uint32_t size)
{
    const Column *column = &columns->fields[id];
    for (uint32_t lane = 0; lane < columns->lane_count; lane++)
        if (columns->lanes[lane].size_index == size)
            return column->nominal[column_cell(column, record, lane)];
    return (double)NAN;
}

static bool is_held(const Columns *columns, uint32_t bend)
{
    double code = columns->fields[BEND_GRADE].nominal[bend];
    return strcmp(field_at(BEND_GRADE)->words->words[(size_t)code], "hold") == 0;
}

static void sizes_hold_and_grow(void **state)
{
    (void)state;
    uint32_t random = 3;
    for (int i = 0; i < 10; i++) {
        Page page = page_at_random(&random);
        Read read = page_read(&page);
        const RecordList *edges = &read.style->lists[SUBJECT_EDGE];
        const RecordList *bends = &read.style->lists[SUBJECT_BEND];
        for (uint32_t size = 1; size < 5; size++) {
            for (uint32_t k = 0; k < edges->count; k++)
                assert_true(in_size(read.columns, EDGE_LENGTH, k, size) >
                            in_size(read.columns, EDGE_LENGTH, k, size - 1));
            for (uint32_t k = 0; k < bends->count; k++)
                if (is_held(read.columns, k))
                    assert_true(in_size(read.columns, BEND_RADIUS, k, size) ==
                                in_size(read.columns, BEND_RADIUS, k, 0));
        }
        read_free(&read);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(overlays_place_by_place), cmocka_unit_test(turned_place_by_place),
        cmocka_unit_test(rounded_place_by_place),  cmocka_unit_test(marked_place_by_place),
        cmocka_unit_test(written_otherwise),       cmocka_unit_test(base_size_is_as_drawn),
        cmocka_unit_test(sizes_hold_and_grow),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

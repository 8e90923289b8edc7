/* How long measuring drawn lines takes, style by style, at first and again after an
 * edit, and how much faster rows are walked from crossing to crossing than by looking
 * at a place every 0.05 mm. Run from the project's root; nothing is passed or failed. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bench/bench.h"
#include "property/rows_by_hand.h"

enum { RUNS = 15 };

static const double place_every = 0.05; /* mm */

static const HouseValues house = {.leather_thickness = 0.2,
                                  .sheet_thickness = 0.1,
                                  .skive = 0.1,
                                  .line = 0.3,
                                  .row = 0.3,
                                  .gap_together = 0.1,
                                  .gap_apart = 0.3,
                                  .girth_step = 5};

static Style *read_style(const char *path, const char *alternative)
{
    Messages messages = {0};
    Style *style = style_read(path, alternative, NULL, 0, &messages);
    if (!style) {
        messages_write(&messages, stderr);
        exit(EXIT_FAILURE);
    }
    messages_free(&messages);
    return style;
}

/* ---- Whole styles ---- */

static void bench_reading(const char *path, const char *alternative)
{
    double times[RUNS];
    for (int run = 0; run < RUNS; run++) {
        double start = bench_now();
        Style *style = read_style(path, alternative);
        times[run] = bench_now() - start;
        style_free(style);
    }
    printf("  style read with its drawings  %8.2f ms\n", bench_median(times, RUNS));
}

static size_t sizes_of(const Measured *measured)
{
    const Columns *columns = measured_columns(measured);
    return columns->lanes[columns->lane_count - 1].size_index + 1;
}

static void bench_measuring(const Style *style)
{
    double times[RUNS];
    size_t sizes = 1;
    for (int run = 0; run < RUNS; run++) {
        double start = bench_now();
        Measured *measured = measured_new(style, NULL, &house);
        times[run] = bench_now() - start;
        sizes = sizes_of(measured);
        measured_free(measured);
    }
    double whole = bench_median(times, RUNS);
    printf("  measured, all %2zu sizes        %8.2f ms, %.2f ms a size\n", sizes, whole,
           whole / (double)sizes);
}

static void bench_laying(const Style *style)
{
    double times[RUNS];
    for (int run = 0; run < RUNS; run++) {
        Arena arena = {0};
        double *strips = ARENA_NEW(&arena, double, style->lists[SUBJECT_EDGE].count);
        double start = bench_now();
        lay_out(&arena, style, (Stretch2){1.02, 1.03}, strips);
        times[run] = bench_now() - start;
        arena_free(&arena);
    }
    printf("  one part laid out again       %8.3f ms (of %zu)\n",
           bench_median(times, RUNS) / (double)style->drawn_count, style->drawn_count);
}

/* ---- After an edit ---- */

typedef struct Editing {
    Arena arena;
    YamlFile *file;
    const char *alternative;
    const Style *style; /* as written */
    StyleShelf *styles;
    MeasureShelf *shelf;
} Editing;

/* The nth of many edits of one kind; a path of NULL: the style has none. */
typedef Patch Edit(Editing *editing, int n);

static const YamlNode *typed(Editing *editing, const char *value)
{
    Messages messages = {0};
    char *text = arena_printf(&editing->arena, "v: %s\n", value);
    YamlFile *file = yaml_read_bytes(&editing->arena, "edit", text, strlen(text), false, &messages);
    messages_free(&messages);
    return yaml_get(file->root, "v");
}

static Patch edit_pitch(Editing *editing, int n)
{
    const Record *row = editing->style->lists[SUBJECT_ROW].items[0];
    return (Patch){arena_printf(&editing->arena, "seams.%s.rows.1.pitch", row->owner->path),
                   typed(editing, arena_printf(&editing->arena, "%.2f mm", 2.5 + n * 0.01)), NULL};
}

static Patch edit_row(Editing *editing, int n)
{
    const Record *row = editing->style->lists[SUBJECT_ROW].items[0];
    return (Patch){arena_printf(&editing->arena, "seams.%s.rows.1.from_edge", row->owner->path),
                   typed(editing, arena_printf(&editing->arena, "%.2f mm", 2.5 + n * 0.01)), NULL};
}

static Patch edit_thickness(Editing *editing, int n)
{
    const Record *material = editing->style->lists[SUBJECT_MATERIAL].items[0];
    return (Patch){arena_printf(&editing->arena, "materials.%s.thickness", material->path),
                   typed(editing, arena_printf(&editing->arena, "%.2f mm", 1.5 + n * 0.01)), NULL};
}

/* The inner points of the first part's first edge moved. */
static Patch edit_line(Editing *editing, int n)
{
    if (editing->style->drawn_count == 0)
        return (Patch){0};
    const DrawnPart *part = &editing->style->drawn[0];
    const Path *path = &part->outline.edges[0].path;
    Point start = path_start(path);
    char *text = arena_printf(&editing->arena, "M %.9f %.9f", start.x, -start.y);
    for (size_t i = 0; i < path->count; i++) {
        const Point *p = path->pieces[i].p;
        text =
            arena_printf(&editing->arena, "%s C %.9f %.9f %.9f %.9f %.9f %.9f", text,
                         p[1].x + n * 0.01, -p[1].y, p[2].x + n * 0.01, -p[2].y, p[3].x, -p[3].y);
    }
    const Record *edge = part->edges[0];
    return (Patch){
        arena_printf(&editing->arena, "parts.%s.edges.%s.path", edge->owner->path, edge->id),
        typed(editing, text), NULL};
}

static void bench_edits(Editing *editing, Edit *edit, const char *what)
{
    double times[RUNS];
    Messages messages = {0};
    for (int run = 0; run < RUNS; run++) {
        Patch patch = edit(editing, run + 1);
        Style *style = patch.path ? style_from_shelf(editing->styles, editing->file,
                                                     editing->alternative, &patch, 1, &messages)
                                  : NULL;
        if (!style) {
            messages_free(&messages);
            return;
        }
        double start = bench_now();
        Measured *measured = measured_from_shelf(editing->shelf, style, NULL, &house);
        times[run] = bench_now() - start;
        measured_free(measured);
        style_free(style);
    }
    printf("  again after one %-13s %8.2f ms\n", what, bench_median(times, RUNS));
}

static void bench_again(const char *path, const char *alternative)
{
    Messages messages = {0};
    Editing editing = {.alternative = alternative};
    editing.file = yaml_read(&editing.arena, path, true, &messages);
    editing.styles = style_shelf_new();
    editing.shelf = measure_shelf_new();
    Style *style = style_from_shelf(editing.styles, editing.file, alternative, NULL, 0, &messages);
    editing.style = style;
    measured_free(measured_from_shelf(editing.shelf, style, NULL, &house));
    bench_edits(&editing, edit_pitch, "pitch");
    bench_edits(&editing, edit_row, "row moved");
    bench_edits(&editing, edit_thickness, "thickness");
    bench_edits(&editing, edit_line, "outline");
    style_free(style);
    measure_shelf_free(editing.shelf);
    style_shelf_free(editing.styles);
    arena_free(&editing.arena);
    messages_free(&messages);
}

/* ---- Rows ---- */

typedef struct Rows {
    size_t count, places;
    double length, walked, by_hand; /* mm; ms */
} Rows;

static double walk(Measured *measured, const Record *row, uint32_t size, RowProfile *profile)
{
    double times[RUNS];
    for (int run = 0; run < RUNS; run++) {
        Arena arena = {0};
        double start = bench_now();
        bool found = measured_profile(measured, &arena, row, size, 0, profile);
        times[run] = bench_now() - start;
        arena_free(&arena);
        if (!found)
            return (double)NAN;
    }
    return bench_median(times, RUNS);
}

static void bench_row(Rows *rows, Measured *measured, const Style *style, const Record *row)
{
    RowProfile profile;
    uint32_t size = measured_base_size(measured);
    Arena arena = {0};
    HandRow hand = {.style = style,
                    .columns = measured_columns(measured),
                    .seam = &style->seams[row->owner->index],
                    .row = row};
    double walked = walk(measured, row, size, &profile), start = bench_now();
    if (!isnan(walked) && byhand_find(&arena, &hand, measured, size)) {
        for (double at = 0; at <= profile.length; at += place_every, rows->places++)
            byhand_layers(&hand, at);
        rows->by_hand += bench_now() - start;
        rows->walked += walked;
        rows->length += profile.length;
        rows->count++;
    }
    arena_free(&arena);
}

static void bench_rows(const Style *style)
{
    Rows rows = {0};
    Measured *measured = measured_new(style, NULL, &house);
    for (size_t i = 0; i < style->lists[SUBJECT_ROW].count; i++)
        bench_row(&rows, measured, style, style->lists[SUBJECT_ROW].items[i]);
    measured_free(measured);
    if (rows.count == 0)
        return;
    printf("  one row walked                %8.3f ms (of %zu, %.0f mm on average)\n",
           rows.walked / (double)rows.count, rows.count, rows.length / (double)rows.count);
    printf("  all rows of one size          %8.2f ms; place by place %.0f ms (%zu): %.0f times\n",
           rows.walked, rows.by_hand, rows.places, rows.by_hand / rows.walked);
}

int main(void)
{
    static const char *const styles[][2] = {{"styles/skerry.yaml", NULL},
                                            {"styles/skerry.yaml", "turned"},
                                            {"styles/skerry.yaml", "turned-rounded"},
                                            {"styles/fairlead.yaml", NULL},
                                            {"styles/pebble.yaml", NULL}};
    for (size_t i = 0; i < sizeof styles / sizeof styles[0]; i++) {
        Style *style = read_style(styles[i][0], styles[i][1]);
        printf("%s, %s\n", styles[i][0], styles[i][1] ? styles[i][1] : "as written");
        bench_reading(styles[i][0], styles[i][1]);
        bench_measuring(style);
        if (style->drawn_count > 0)
            bench_laying(style);
        bench_again(styles[i][0], styles[i][1]);
        bench_rows(style);
        style_free(style);
    }
    return EXIT_SUCCESS;
}

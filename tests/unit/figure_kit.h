/* Pictures for the tests of src/figure, invented, and pictures kept in files.
 * FIGURE_REFRESH=1 rewrites those files; read the diff afterwards. */
#ifndef CORDWAIN_TESTS_UNIT_FIGURE_KIT_H
#define CORDWAIN_TESTS_UNIT_FIGURE_KIT_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "figure/plot.h"

#define COUNT_OF(table) (sizeof(table) / sizeof *(table))

typedef struct KitEdge {
    const char *name, *data;
    Side side;
} KitEdge;

static inline void kit_edge(Arena *arena, Figure *figure, const KitEdge *edge)
{
    Path path;
    size_t offset;
    Text problem = {0};
    assert_true(path_read(arena, edge->data, strlen(edge->data), &path, &offset, &problem));
    text_free(&problem);
    Point *points;
    size_t count = path_flatten(arena, &path, 0.01, &points);
    figure_line(figure, PEN_LINE, points, count);
    Point middle = path_point(&path, path_along(&path, path_length(&path) / 2));
    figure_label(figure, PEN_LINE, middle, edge->side, edge->name);
}

/* A part with its edges named, a row of stitches, a bend marked, and a scale. */
static inline Figure kit_outline(Arena *arena)
{
    static const KitEdge edges[] = {
        {"throat", "M 40 -20 C 52 -38 70 -46 84 -44 C 92 -43 92 -36 88 -30 L 84 -24", SIDE_ABOVE},
        {"quarter seam", "M 40 -20 C 30 0 18 24 10 52", SIDE_LEFT},
        {"lasting edge", "M 10 52 C 50 82 130 82 172 40 C 190 18 186 -18 168 -38", SIDE_BELOW},
        {"top line", "M 168 -38 C 150 -60 110 -40 84 -24", SIDE_ABOVE},
    };
    Figure figure = figure_new(arena, "vamp, base size");
    for (size_t i = 0; i < COUNT_OF(edges); i++)
        kit_edge(arena, &figure, &edges[i]);
    Point row[40];
    for (int i = 0; i < 40; i++)
        row[i] = (Point){20 + i * 3.4, -38 - 24 * sin(i * 0.08)};
    figure_line(&figure, PEN_STITCH, row, COUNT_OF(row));
    figure_mark(&figure, PEN_TROUBLE, (Point){90, 38});
    figure_label(&figure, PEN_TROUBLE, (Point){90, 38}, SIDE_RIGHT, "radius 3.2 mm");
    figure.scale = true;
    text_add(&figure.notes, "The bend at the throat is tighter than the edge can be folded: "
                            "3.2 mm, 5 mm needed.\n");
    return figure;
}

/* Four plies, the foam set back, a tape under the edge. */
static inline Figure kit_section(Arena *arena)
{
    static const SectionPly plies[] = {
        {.name = "lining", .thickness = 0.9, .from = 0, .to = 14},
        {.name = "foam", .thickness = 3, .from = 2, .to = 14},
        {.name = "tape", .thickness = 0.3, .from = 0, .to = 6},
        {.name = "quarter suede", .thickness = 1.4, .from = 0, .to = 14},
    };
    Figure figure = figure_new(arena, "collar: the plies, to scale");
    Box box = plot_section(&figure, plies, COUNT_OF(plies));
    Point row[2] = {{8, box.least.y - 0.5}, {8, box.most.y + 0.5}};
    figure_line(&figure, PEN_STITCH, row, 2);
    figure_label(&figure, PEN_FAINT, (Point){7, box.least.y}, SIDE_BELOW, "foot side");
    return figure;
}

/* A leather turned round a tape, on its lining. */
static inline Figure kit_fold(Arena *arena)
{
    SectionPly *plies = ARENA_NEW(arena, SectionPly, 4);
    plies[0] = (SectionPly){.name = "lining", .thickness = 0.8, .from = 0, .to = 12};
    plies[1] = (SectionPly){"allowance", 1.2, 4, 12, &plies[3], SIDE_RIGHT};
    plies[2] = (SectionPly){.name = "tape", .thickness = 0.4, .from = 6, .to = 12};
    plies[3] = (SectionPly){.name = "vamp leather", .thickness = 1.2, .from = 0, .to = 12};
    Figure figure = figure_new(arena, "folded edge, to scale");
    plot_section(&figure, plies, 4);
    return figure;
}

/* A stack with three steps, one of them over the limit. */
static inline Figure kit_graph(Arena *arena)
{
    static const Point stack[] = {
        {0, 2.6},   {28, 2.6},  {28, 4.9},  {74, 4.9},  {82, 7.8},
        {104, 7.8}, {104, 4.1}, {150, 4.1}, {150, 2.6}, {212, 2.6},
    };
    Figure figure = figure_new(arena, "row collar.2: the stack along the row");
    Box axes = plot_axes(&figure, (Box){{0, 2.6}, {212, 7.8}}, "mm along the row", "mm of stack");
    plot_limit(&figure, axes, 7, "machine limit 7 mm");
    plot_curve(&figure, stack, COUNT_OF(stack), 7);
    figure_mark(&figure, PEN_TROUBLE, (Point){93, 7.8});
    figure_label(&figure, PEN_TROUBLE, (Point){93, 7.8}, SIDE_ABOVE, "7.8 mm");
    return figure;
}

typedef struct KitPicture {
    const char *name;
    Figure (*draw)(Arena *arena);
} KitPicture;

static const KitPicture KIT_PICTURES[] = {
    {"outline", kit_outline},
    {"section", kit_section},
    {"fold", kit_fold},
    {"graph", kit_graph},
};

static inline char *kit_read(const char *path)
{
    FILE *file = fopen(path, "rb");
    if (!file)
        fail_msg("%s: not there", path);
    Text text = {0};
    char bytes[4096];
    for (size_t got; (got = fread(bytes, 1, sizeof bytes, file)) > 0;)
        text_add_bytes(&text, bytes, got);
    fclose(file);
    char *copy = test_malloc(text.length + 1);
    memcpy(copy, text_string(&text), text.length + 1);
    text_free(&text);
    return copy;
}

static inline void kit_same_as_file(const char *path, const char *got)
{
    if (getenv("FIGURE_REFRESH")) {
        FILE *file = fopen(path, "wb");
        assert_non_null(file);
        assert_true(fputs(got, file) >= 0);
        assert_int_equal(fclose(file), 0);
    }
    char *want = kit_read(path);
    if (strcmp(got, want) != 0)
        fail_msg("%s differs; got:\n%s", path, got);
    test_free(want);
}

#endif

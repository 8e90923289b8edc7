/* Proposed lines: rounding alone, from a few pieces to a traced line, and the whole
 * proposal for the demo's edges, read and judged again. Prints medians of processor
 * time, which other programs do not disturb, and how many times reading and judging
 * the style once a proposal takes. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "bench/bench.h"
#include "remedy/line.h"

enum { RUNS = 9 };

static const double most_ms = 250;

/* ms of processor time. */
static double now(void)
{
    return (double)clock() * 1e3 / CLOCKS_PER_SEC;
}

static void stop(const char *what)
{
    fprintf(stderr, "%s\n", what);
    exit(1);
}

/* ---- Rounding alone ---- */

/* `teeth` hollow and rounded bends of 4 mm over 100 degrees, in chords of some `chord`
 * mm; 0: in arcs. */
static Path waves(Arena *arena, int teeth, double chord)
{
    Text text = {0};
    Path path, line;
    Text problem = {0};
    size_t offset;
    text_add(&text, "M 0 0 l 10 -12");
    for (int i = 0; i < teeth; i++)
        text_addf(&text, " a 4 4 0 0 1 6 0 l 10 12 a 4 4 0 0 0 6 0 l 10 -12");
    if (!path_read(arena, text.bytes, text.length, &path, &offset, &problem))
        stop(text_string(&problem));
    text_free(&text);
    text_free(&problem);
    if (!(chord > 0))
        return path;
    PathRuler ruler = path_ruler(arena, &path);
    size_t count = (size_t)(ruler_length(&ruler) / chord);
    line = (Path){ARENA_NEW(arena, Cubic, count), count};
    for (size_t i = 0; i < count; i++) {
        double from = (double)i * ruler_length(&ruler) / (double)count;
        double to = (double)(i + 1) * ruler_length(&ruler) / (double)count;
        Point a = path_point(&path, ruler_at(&ruler, from));
        Point b = path_point(&path, ruler_at(&ruler, to));
        line.pieces[i] = (Cubic){{a,
                                  {a.x + (b.x - a.x) / 3, a.y + (b.y - a.y) / 3},
                                  {a.x + (b.x - a.x) * 2 / 3, a.y + (b.y - a.y) * 2 / 3},
                                  b}};
        if (i > 0)
            line.pieces[i].p[0] = line.pieces[i - 1].p[3];
    }
    return line;
}

static double time_rounding(int teeth, double chord, size_t *pieces, size_t *arcs)
{
    double times[RUNS];
    for (int run = 0; run < RUNS; run++) {
        Arena arena = {0};
        Text why = {0};
        Rounded rounded;
        Path path = waves(&arena, teeth, chord);
        RoundedWish wish = {.hollow = 6, .rounded = 5, .within = INFINITY};
        double start = now();
        if (!rounded_line(&arena, &path, &wish, &rounded, &why))
            stop(text_string(&why));
        times[run] = now() - start;
        *pieces = path.count;
        *arcs = rounded.arc_count;
        text_free(&why);
        arena_free(&arena);
    }
    return bench_median(times, RUNS);
}

/* ---- The demo ---- */

typedef struct Demo {
    Arena arena;
    Messages messages;
    Factory *factory;
    RuleSet *rules;
    YamlFile *file;
    Style *style;
    Judgement *judgement;
    double once; /* ms, reading and judging it */
} Demo;

static void read_demo(Demo *demo)
{
    const char *const *paths;
    size_t count;
    if (!rules_in_folder(&demo->arena, "rules/base", &paths, &count, &demo->messages) ||
        !(demo->factory = factory_read("rules/factories/harbour.yaml", &demo->messages)) ||
        !(demo->rules = rules_read(paths, count, demo->factory, &demo->messages)) ||
        !(demo->file = yaml_read(&demo->arena, "styles/skerry.yaml", false, &demo->messages)))
        stop("run this in the project's folder");
    double times[RUNS];
    for (int run = 0; run < RUNS; run++) {
        if (demo->style) {
            judgement_free(demo->judgement);
            style_free(demo->style);
        }
        double start = now();
        demo->style = style_from_tree(demo->file, "turned", NULL, 0, &demo->messages);
        if (!demo->style)
            stop("the demo is refused");
        demo->judgement = judge(demo->style, demo->rules, demo->factory);
        times[run] = now() - start;
    }
    demo->once = bench_median(times, RUNS);
    printf("reading and judging the style once: %.1f ms\n", demo->once);
}

static bool time_proposal(const Demo *demo, const char *name)
{
    RemedyGround ground = {
        .file = demo->file, .alternative = "turned", .judgement = demo->judgement};
    LineWish wish = {.place = record_find(&demo->style->lists[SUBJECT_EDGE], name),
                     .hollow = 9,
                     .rounded = 9,
                     .within = INFINITY};
    double times[RUNS];
    size_t edges = 0;
    for (int run = 0; run < RUNS; run++) {
        Text why = {0};
        double start = now();
        ProposedLine *proposed = proposed_line(&ground, &wish, &why);
        times[run] = now() - start;
        if (!proposed)
            stop(text_string(&why));
        edges = proposed->count;
        proposed_free(proposed);
        text_free(&why);
    }
    double median = bench_median(times, RUNS);
    printf("%-26s %zu edges changed, judged: %.1f ms, %.2f times that\n", name, edges, median,
           median / demo->once);
    return median < most_ms;
}

int main(void)
{
    static const struct {
        int teeth;
        double chord;
    } lines[] = {{1, 0}, {4, 0}, {16, 0}, {1, 0.5}, {4, 0.5}, {16, 0.5}};
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        size_t pieces, arcs;
        double time = time_rounding(lines[i].teeth, lines[i].chord, &pieces, &arcs);
        printf("rounding %4zu pieces, %2zu arcs: %.2f ms, %.2f an arc\n", pieces, arcs, time,
               time / (double)arcs);
    }
    Demo demo = {0};
    read_demo(&demo);
    bool fast = time_proposal(&demo, "vamp.cap-line");
    fast = time_proposal(&demo, "quarter-lat.eyestay-line") && fast;
    fast = time_proposal(&demo, "quarter-lat.saddle-line") && fast;
    printf("a proposed line within %.0f ms: %s\n", most_ms, fast ? "yes" : "no");
    judgement_free(demo.judgement);
    style_free(demo.style);
    rules_free(demo.rules);
    factory_free(demo.factory);
    messages_free(&demo.messages);
    arena_free(&demo.arena);
    return 0;
}

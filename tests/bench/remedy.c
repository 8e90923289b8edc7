/* How long the remedies of the shipped styles take, with what else they clear and raise:
 * all of a judgement from nothing kept, one finding after the other, and the frontiers.
 * Also as a ratio to judging one edit, which is what a remedy costs at least. Then the risk
 * of every finding in its worst lane, of 10,000 samples each. Run from the project's root;
 * nothing is passed or failed. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "bench/bench.h"
#include "judge/inside.h"
#include "remedy/remedy.h"
#include "style/style.h"

enum { RUNS = 5 };

typedef struct Demo {
    Arena arena;
    Messages messages;
    Factory *factory;
    RuleSet *rules;
    YamlFile *file;
    StyleShelf *styles;
    JudgeShelf *shelf;
    const char *alternative;
    Style *style;
    Judgement *judgement;
} Demo;

static _Noreturn void stop(const Messages *messages)
{
    messages_write(messages, stderr);
    exit(EXIT_FAILURE);
}

static Demo demo_open(const char *path, const char *alternative, const char *factory)
{
    Demo demo = {.alternative = alternative};
    const char *const *paths;
    size_t count;
    if (!rules_in_folder(&demo.arena, "rules/base", &paths, &count, &demo.messages) ||
        !(demo.factory = factory_read(factory, &demo.messages)) ||
        !(demo.rules = rules_read(paths, count, demo.factory, &demo.messages)) ||
        !(demo.file = yaml_read(&demo.arena, path, false, &demo.messages)))
        stop(&demo.messages);
    demo.styles = style_shelf_new();
    demo.shelf = judge_shelf_new();
    demo.style = style_from_shelf(demo.styles, demo.file, alternative, NULL, 0, &demo.messages);
    if (!demo.style)
        stop(&demo.messages);
    demo.judgement = judge_from_shelf(demo.shelf, demo.style, demo.rules, demo.factory);
    return demo;
}

static void demo_close(Demo *demo)
{
    judgement_free(demo->judgement);
    style_free(demo->style);
    judge_shelf_free(demo->shelf);
    style_shelf_free(demo->styles);
    rules_free(demo->rules);
    factory_free(demo->factory);
    messages_free(&demo->messages);
    arena_free(&demo->arena);
}

static Remedies *remedies_for(const Demo *demo)
{
    RemedyGround ground = {
        .file = demo->file, .alternative = demo->alternative, .judgement = demo->judgement};
    return remedies_new(&ground);
}

static bool is_asked(const Finding *finding)
{
    return finding->verdict == VERDICT_FLAG || finding->verdict == VERDICT_TIGHT;
}

/* Reading, measuring and judging the style once more, where all is on the shelves. */
static double time_of_edit(Demo *demo)
{
    double times[RUNS];
    for (int run = 0; run < RUNS; run++) {
        double start = bench_now();
        Style *style =
            style_from_shelf(demo->styles, demo->file, demo->alternative, NULL, 0, &demo->messages);
        Judgement *judgement = judge_from_shelf(demo->shelf, style, demo->rules, demo->factory);
        times[run] = bench_now() - start;
        judgement_free(judgement);
        style_free(style);
    }
    return bench_median(times, RUNS);
}

static void bench_all(Demo *demo, double edit)
{
    double times[RUNS], longest = 0;
    size_t findings = 0, remedies = 0;
    for (int run = 0; run < RUNS; run++) {
        double start = bench_now();
        Remedies *all = remedies_for(demo);
        findings = remedies = 0;
        for (size_t i = 0; i < demo->judgement->count; i++) {
            const Finding *finding = &demo->judgement->findings[i];
            double before = bench_now();
            if (!is_asked(finding))
                continue;
            remedies += remedies_of(all, finding)->count;
            findings++;
            if (bench_now() - before > longest)
                longest = bench_now() - before;
        }
        times[run] = bench_now() - start;
        remedies_free(all);
    }
    double whole = bench_median(times, RUNS);
    printf("  %3zu remedies of %2zu findings   %8.1f ms, %.1f edits, %.1f ms a remedy; the longest "
           "finding %.1f ms\n",
           remedies, findings, whole, edit > 0 ? whole / edit : 0,
           remedies > 0 ? whole / (double)remedies : 0, longest);
}

static void bench_frontiers(Demo *demo)
{
    size_t count = 0;
    Remedies *all = remedies_for(demo);
    double start = bench_now();
    for (size_t i = 0; i < demo->judgement->count; i++)
        if (is_asked(&demo->judgement->findings[i]))
            count += remedies_frontier(all, &demo->judgement->findings[i]) != NULL;
    printf("  %3zu frontiers                 %8.1f ms\n", count, bench_now() - start);
    remedies_free(all);
}

/* Of those that are tight as they are shown, then of all that apply. */
static void bench_risks(const Demo *demo)
{
    size_t tight = 0, all = 0;
    double start = bench_now(), shown;
    for (size_t i = 0; i < demo->judgement->count; i++)
        if (demo->judgement->findings[i].verdict == VERDICT_TIGHT)
            tight += finding_risk(demo->judgement, &demo->judgement->findings[i]).samples > 0;
    shown = bench_now() - start;
    start = bench_now();
    for (size_t i = 0; i < demo->judgement->count; i++) {
        const Finding *finding = &demo->judgement->findings[i];
        if (finding->verdict == VERDICT_OUT || finding->verdict == VERDICT_OFF)
            continue;
        tight_risk(finding->rule, demo->judgement->columns, finding->record,
                   finding_worst_lane(demo->judgement, finding), (double)NAN);
        all++;
    }
    printf("  %3zu risks shown               %8.1f ms\n", tight, shown);
    printf("  %3zu findings, %d samples   %8.1f ms\n", all, TIGHT_SAMPLES, bench_now() - start);
}

static void bench_style(const char *path, const char *alternative, const char *factory)
{
    Demo demo = demo_open(path, alternative, factory);
    double edit = time_of_edit(&demo);
    printf("%s%s%s at %s\n", path, alternative ? ", alternative " : "",
           alternative ? alternative : "", factory);
    printf("  one edit judged              %9.1f ms\n", edit);
    bench_all(&demo, edit);
    bench_frontiers(&demo);
    bench_risks(&demo);
    demo_close(&demo);
}

int main(void)
{
    static const char harbour[] = "rules/factories/harbour.yaml";
    bench_style("styles/skerry.yaml", NULL, harbour);
    bench_style("styles/skerry.yaml", "turned", harbour);
    bench_style("styles/skerry.yaml", NULL, "rules/factories/loft.yaml");
    bench_style("styles/pebble.yaml", NULL, harbour);
    return 0;
}

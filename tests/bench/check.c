/* How long `cordwain check` takes on the big demo at Harbour: its steps in this
 * process, the whole against a bare libyaml parse of the same files, and the
 * built program against a program that only parses them. Run from the project's
 * root; nothing is passed or failed. */
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>
#include <yaml.h>

#include "bench/bench.h"
#include "cli/cli.h"
#include "rule/code.h"

#define STYLE "styles/skerry.yaml"
#define FACTORY "rules/factories/harbour.yaml"

enum { RUNS = 51, FILES_MOST = 64 };

typedef enum Step {
    STEP_READ,
    STEP_COMPILE,
    STEP_JUDGE,
    STEP_PRINT,
    STEP_WHOLE,
    STEP_PARSE,
    STEP_COUNT
} Step;

static const char *const step_names[STEP_COUNT] = {
    "read and check all files",      "compile the rules (again, in judge)",
    "judge (measure, compile, run)", "print",
    "read, judge, print, free",      "libyaml events only"};

typedef struct Bench {
    Arena arena;
    const char *const *base;
    size_t base_count;
    char *files[FILES_MOST]; /* style, factory, rule files; NULL ends them */
    double milliseconds[STEP_COUNT][RUNS];
} Bench;

static _Noreturn void stop(const char *what)
{
    fprintf(stderr, "bench: %s\n", what);
    exit(EXIT_FAILURE);
}

/* ---- In this process ---- */

static void parse(const char *path)
{
    FILE *file = fopen(path, "rb");
    yaml_parser_t parser;
    if (!file || !yaml_parser_initialize(&parser))
        stop("cannot parse a file");
    yaml_parser_set_input_file(&parser, file);
    for (bool done = false; !done;) {
        yaml_event_t event;
        if (!yaml_parser_parse(&parser, &event))
            stop("cannot parse a file");
        done = event.type == YAML_STREAM_END_EVENT;
        yaml_event_delete(&event);
    }
    yaml_parser_delete(&parser);
    fclose(file);
}

static void compile_all(const RuleSet *rules)
{
    Arena arena = {0};
    Rule **of = memory_new(rules->rule_count, sizeof(Rule *));
    for (Subject subject = 0; subject < SUBJECT_COUNT; subject++) {
        size_t count = 0;
        for (size_t i = 0; i < rules->rule_count; i++)
            if (rules->rules[i]->about == subject)
                of[count++] = rules->rules[i];
        if (count > 0)
            code_compile(&arena, subject, of, count);
    }
    free(of);
    arena_free(&arena);
}

static void run_steps(Bench *bench, int run)
{
    Options options = {0};
    Messages messages = {0};
    Text text = {0};
    double start = bench_now();
    Factory *factory = factory_read(FACTORY, &messages);
    RuleSet *rules =
        factory ? rules_read(bench->base, bench->base_count, factory, &messages) : NULL;
    Style *style = rules ? style_read(STYLE, NULL, NULL, 0, &messages) : NULL;
    if (!style) {
        messages_write(&messages, stderr);
        stop("the files are refused");
    }
    double read = bench_now();
    compile_all(rules);
    double compiled = bench_now();
    Judgement *judgement = judge(style, rules, factory);
    double judged = bench_now();
    Decisions *decisions = decisions_find(judgement, NULL, (Date){2026, 1, 1});
    findings_text(&text, &(Told){.decisions = decisions}, &options);
    double printed = bench_now();
    decisions_free(decisions);
    judgement_free(judgement);
    style_free(style);
    rules_free(rules);
    factory_free(factory);
    text_free(&text);
    messages_free(&messages);
    double end = bench_now();
    bench->milliseconds[STEP_READ][run] = read - start;
    bench->milliseconds[STEP_COMPILE][run] = compiled - read;
    bench->milliseconds[STEP_JUDGE][run] = judged - compiled;
    bench->milliseconds[STEP_PRINT][run] = printed - judged;
    bench->milliseconds[STEP_WHOLE][run] = end - start - (compiled - read);
}

static void run_parse(Bench *bench, int run)
{
    double start = bench_now();
    for (size_t i = 0; bench->files[i]; i++)
        parse(bench->files[i]);
    bench->milliseconds[STEP_PARSE][run] = bench_now() - start;
}

/* ---- As whole programs ---- */

static double run_program(char *const *arguments)
{
    double start = bench_now();
    pid_t child = fork();
    if (child < 0)
        stop("cannot fork");
    if (child == 0) {
        int nothing = open("/dev/null", O_WRONLY);
        if (nothing >= 0 && dup2(nothing, STDOUT_FILENO) >= 0)
            execv(arguments[0], arguments);
        _exit(127);
    }
    int status;
    if (waitpid(child, &status, 0) != child || !WIFEXITED(status) || WEXITSTATUS(status) > 1)
        stop("a program did not run to its end");
    return bench_now() - start;
}

static void run_programs(Bench *bench, const char *folder)
{
    double whole[RUNS], bare[RUNS];
    char *cordwain = arena_printf(&bench->arena, "%s/../../cordwain", folder);
    char *check[] = {cordwain, "check", STYLE, "--factory", FACTORY, "--rules", "rules", NULL};
    char *only[FILES_MOST + 1] = {arena_printf(&bench->arena, "%s/parse_only", folder)};
    for (size_t i = 0; bench->files[i]; i++)
        only[i + 1] = bench->files[i];
    for (int run = 0; run < RUNS; run++) {
        whole[run] = run_program(check);
        bare[run] = run_program(only);
    }
    double a = bench_median(whole, RUNS), b = bench_median(bare, RUNS);
    printf("as programs: check %.2f ms, parse only %.2f ms, ratio %.2f\n", a, b, a / b);
}

static void find_files(Bench *bench)
{
    Messages messages = {0};
    if (!rules_in_folder(&bench->arena, "rules/base", &bench->base, &bench->base_count, &messages))
        stop("run this from the project's root");
    if (bench->base_count + 3 > FILES_MOST)
        stop("too many rule files");
    bench->files[0] = STYLE;
    bench->files[1] = FACTORY;
    for (size_t i = 0; i < bench->base_count; i++)
        bench->files[i + 2] = arena_printf(&bench->arena, "%s", bench->base[i]);
    messages_free(&messages);
}

int main(int argc, char **argv)
{
    Bench *bench = memory_new(1, sizeof *bench);
    (void)argc;
    find_files(bench);
    for (int run = 0; run < RUNS; run++) {
        run_steps(bench, run);
        run_parse(bench, run);
    }
    printf(STYLE " at Harbour, medians of %d runs\n", RUNS);
    double medians[STEP_COUNT];
    for (int step = 0; step < STEP_COUNT; step++) {
        medians[step] = bench_median(bench->milliseconds[step], RUNS);
        printf("%-40s %8.3f ms\n", step_names[step], medians[step]);
    }
    printf("whole over libyaml events: ratio %.2f\n", medians[STEP_WHOLE] / medians[STEP_PARSE]);
    const char *slash = strrchr(argv[0], '/');
    int length = slash ? (int)(slash - argv[0]) : 0;
    run_programs(bench, slash ? arena_printf(&bench->arena, "%.*s", length, argv[0]) : ".");
    arena_free(&bench->arena);
    free(bench);
    return EXIT_SUCCESS;
}

/* How long an edit of the demo takes: every number that a finding rests on is stepped up
 * and back, in the review and from a key to the finished repaint of a terminal that nobody
 * sees; alone, and with two busy processes beside it. Run from the project's root; nothing
 * is passed or failed. */
#include <fcntl.h>
#include <locale.h>
#include <pthread.h>
#include <pty.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "bench/bench.h"
#include "rule/rule.h"
#include "screen/terminal.h"
#include "screen/view_inside.h"

#define STYLE "styles/skerry.yaml"
#define FACTORY "rules/factories/harbour.yaml"

enum { JUDGINGS = 21, ROWS = 40, COLUMNS = 120, BUSY = 2, KEYS_MOST = 1000 };

typedef struct Times {
    double *items;
    size_t count, capacity;
} Times;

typedef struct Bench {
    Arena arena;
    Messages messages;
    ReviewFiles files;
    pid_t busy[BUSY];
    double full; /* ms, of judging all afresh */
} Bench;

static _Noreturn void stop(const char *what)
{
    fprintf(stderr, "bench: %s\n", what);
    exit(EXIT_FAILURE);
}

static _Noreturn void refused(const Bench *bench)
{
    messages_write(&bench->messages, stderr);
    stop("the files are refused");
}

static void take_time(Bench *bench, Times *times, double taken)
{
    *ARENA_PUSH(&bench->arena, times->items, times->count, times->capacity) = taken;
}

/* Milliseconds that the program had of a processor, whoever else wanted it. */
static double processor_now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &time);
    return (double)time.tv_sec * 1e3 + (double)time.tv_nsec * 1e-6;
}

static void say_times(const Bench *bench, const char *what, Times *times)
{
    if (times->count == 0)
        stop("nothing was stepped");
    double median = bench_median(times->items, times->count);
    size_t late = times->count * 99 / 100;
    printf("  %-34s %5zu %8.3f %8.3f %8.3f ms   %.3f of a full judging\n", what, times->count,
           median, times->items[late], times->items[times->count - 1], median / bench->full);
}

/* ---- In the review ---- */

/* A number that may be stepped, as it stands in the file. */
typedef struct Number {
    const char *path, *text;
    const Field *field;
} Number;

typedef struct Numbers {
    Number *items;
    size_t count, capacity;
} Numbers;

static bool is_listed(const Numbers *numbers, const char *path)
{
    for (size_t i = 0; i < numbers->count; i++)
        if (strcmp(numbers->items[i].path, path) == 0)
            return true;
    return false;
}

static Numbers numbers_of(Bench *bench, const Review *review)
{
    Numbers numbers = {0};
    const Judgement *judgement = review_judgement(review);
    for (size_t i = 0; i < judgement->count; i++) {
        Choice *choices;
        size_t count = review_choices(review, &judgement->findings[i], &bench->arena, &choices);
        for (size_t k = 0; k < count; k++) {
            const Choice *c = &choices[k];
            bool number = !c->drawn && !c->options && c->text[0] >= '0' && c->text[0] <= '9';
            if (number && !is_listed(&numbers, c->path))
                *ARENA_PUSH(&bench->arena, numbers.items, numbers.count, numbers.capacity) =
                    (Number){c->path, arena_copy(&bench->arena, c->text, strlen(c->text)),
                             c->field};
        }
    }
    return numbers;
}

static void step_all(Bench *bench, Review *review, const Numbers *numbers, Times *times)
{
    for (size_t i = 0; i < numbers->count; i++) {
        const Number *number = &numbers->items[i];
        Choice choice = {.path = number->path, .field = number->field, .text = number->text};
        Text problem = {0};
        double from = bench_now();
        bool stepped = review_step(review, &choice, 1, &problem);
        if (stepped)
            take_time(bench, times, bench_now() - from);
        from = bench_now();
        if (stepped && review_set(review, number->path, number->text, &problem))
            take_time(bench, times, bench_now() - from);
        text_free(&problem);
    }
}

static double time_judging(const Review *review)
{
    double times[JUDGINGS];
    const Judgement *now = review_judgement(review);
    for (int i = 0; i < JUDGINGS; i++) {
        double from = bench_now();
        judgement_free(judge(now->style, now->rules, now->factory));
        times[i] = bench_now() - from;
    }
    return bench_median(times, JUDGINGS);
}

static void run_review(Bench *bench)
{
    Times times = {0};
    Review *review = review_open(&bench->files, &bench->messages);
    if (!review)
        refused(bench);
    Numbers numbers = numbers_of(bench, review);
    bench->full = time_judging(review);
    step_all(bench, review, &numbers, &times);
    printf("  %-34s %5d %8.3f\n", "judging all afresh", (int)JUDGINGS, bench->full);
    say_times(bench, "a change in the review", &times);
    review_close(review);
}

/* ---- From a key to the finished repaint ---- */

/* Reads whatever is put out on the terminal, and counts it. */
typedef struct Reader {
    pthread_t thread;
    int from;
    atomic_size_t bytes;
} Reader;

static void *read_all(void *given)
{
    Reader *reader = given;
    char buffer[4096];
    for (ssize_t got; (got = read(reader->from, buffer, sizeof buffer)) > 0;)
        atomic_fetch_add(&reader->bytes, (size_t)got);
    return NULL;
}

/* Standard input and output become a terminal of our own; returns what they were. */
static int open_terminal(Reader *reader)
{
    struct winsize size = {.ws_row = ROWS, .ws_col = COLUMNS};
    fflush(stdout);
    int inner, kept = dup(STDOUT_FILENO);
    if (kept < 0 || openpty(&reader->from, &inner, NULL, NULL, &size) != 0 ||
        dup2(inner, STDIN_FILENO) < 0 || dup2(inner, STDOUT_FILENO) < 0)
        stop("there is no terminal to be had");
    close(inner);
    setenv("TERM", "xterm-256color", 1);
    if (pthread_create(&reader->thread, NULL, read_all, reader) != 0)
        stop("no thread can be started");
    return kept;
}

static void close_terminal(Reader *reader, int kept)
{
    fflush(stdout);
    if (dup2(kept, STDOUT_FILENO) < 0 || dup2(kept, STDIN_FILENO) < 0)
        stop("the terminal does not go");
    close(kept);
    pthread_join(reader->thread, NULL);
    close(reader->from);
}

/* What has been put out is in the kernel when the repaint ends: it is counted a moment later. */
static size_t bytes_after(Reader *reader)
{
    size_t before, now = atomic_load(&reader->bytes);
    do {
        before = now;
        usleep(300);
        now = atomic_load(&reader->bytes);
    } while (now != before);
    return now;
}

static void repaint(View *view, Cells *cells)
{
    terminal_start(cells);
    view_draw(view, cells);
    terminal_show(cells);
}

typedef struct Bytes {
    double items[KEYS_MOST];
    size_t count;
} Bytes;

typedef struct Played {
    Times change, processor, move; /* processor: what the change took of one */
    Bytes changed, row;
} Played;

/* True if the style changed, which alone is timed then. */
static bool play_key(Bench *bench, View *view, Cells *cells, int key, Played *played)
{
    const Judgement *before = review_judgement(view->review);
    double from = bench_now(), used = processor_now();
    view_key(view, key);
    repaint(view, cells);
    bool changed = review_judgement(view->review) != before;
    if (!changed)
        return false;
    take_time(bench, &played->change, bench_now() - from);
    take_time(bench, &played->processor, processor_now() - used);
    return true;
}

static void take_bytes(Bytes *bytes, Reader *reader, size_t before)
{
    size_t now = bytes_after(reader);
    if (bytes->count < KEYS_MOST)
        bytes->items[bytes->count++] = (double)(now - before);
}

static void play_row(View *view, Cells *cells, Reader *reader, int key, Bytes *bytes)
{
    size_t before = bytes_after(reader);
    view_key(view, key);
    repaint(view, cells);
    take_bytes(bytes, reader, before);
}

/* A value some steps up, and each undone; what cannot go up leaves nothing to undo. */
static void play_value(Bench *bench, View *view, Cells *cells, Reader *reader, Played *played)
{
    enum { STEPS = 3 };
    for (int step = 0; step < 2 * STEPS; step++) {
        size_t before = bytes_after(reader);
        if (play_key(bench, view, cells, step < STEPS ? '+' : 'u', played))
            take_bytes(&played->changed, reader, before);
    }
}

/* The first finding of every stop, and there its values. */
static void play(Bench *bench, View *view, Cells *cells, Reader *reader, Played *played)
{
    enum { VALUES = 6, STOPS = 38 };
    for (int stop = 0; stop < STOPS; stop++) {
        view_key(view, K_TAB);
        repaint(view, cells);
        for (int value = 0; value < VALUES; value++) {
            play_value(bench, view, cells, reader, played);
            view_key(view, K_DOWN); /* and what was said of the change is gone */
            repaint(view, cells);
            play_row(view, cells, reader, K_UP, &played->row);
            play_row(view, cells, reader, K_DOWN, &played->row);
        }
        view_key(view, K_TAB);
        double from = bench_now();
        view_key(view, K_RIGHT);
        repaint(view, cells);
        take_time(bench, &played->move, bench_now() - from);
    }
}

static void say_bytes(const char *what, Bytes *bytes)
{
    double median = bench_median(bytes->items, bytes->count);
    printf("  %-34s %5zu %8.0f %8.0f %8.0f bytes\n", what, bytes->count, median,
           bytes->items[bytes->count * 99 / 100], bytes->items[bytes->count - 1]);
}

static void run_screen(Bench *bench)
{
    Reader reader = {0};
    Played *played = ARENA_NEW(&bench->arena, Played, 1);
    ViewSetup setup = {.files = bench->files, .today = {2026, 3, 1}};
    View *view = view_open(&setup, &bench->messages);
    Cells cells = {0};
    if (!view)
        refused(bench);
    int kept = open_terminal(&reader);
    if (!terminal_take())
        stop("the terminal is refused");
    repaint(view, &cells);
    play(bench, view, &cells, &reader, played);
    terminal_give_back();
    close_terminal(&reader, kept);
    say_times(bench, "a change, key to repaint", &played->change);
    say_times(bench, "the same, of a processor", &played->processor);
    say_times(bench, "to another stop, to repaint", &played->move);
    say_bytes("written for a change", &played->changed);
    say_bytes("written for one row up or down", &played->row);
    cells_free(&cells);
    view_close(view);
}

/* ---- Beside others ---- */

static void start_busy(Bench *bench)
{
    fflush(stdout);
    for (int i = 0; i < BUSY; i++) {
        bench->busy[i] = fork();
        if (bench->busy[i] < 0)
            stop("cannot fork");
        for (volatile unsigned turns = 0; bench->busy[i] == 0;)
            turns = turns + 1;
    }
}

static void end_busy(Bench *bench)
{
    for (int i = 0; i < BUSY; i++) {
        kill(bench->busy[i], SIGKILL);
        waitpid(bench->busy[i], NULL, 0);
    }
}

static void run_all(Bench *bench, const char *title)
{
    printf("%s\n  %-34s %5s %8s %8s %8s\n", title, "", "times", "median", "p99", "worst");
    run_review(bench);
    run_screen(bench);
}

int main(void)
{
    Bench bench = {.files = {.style = STYLE, .factory = FACTORY}};
    setlocale(LC_CTYPE, "C.UTF-8");
    if (!rules_in_folder(&bench.arena, "rules/base", &bench.files.rules, &bench.files.rule_count,
                         &bench.messages))
        stop("run this from the project's root");
    run_all(&bench, STYLE " at Harbour, alone");
    start_busy(&bench);
    run_all(&bench, "with two busy processes beside it");
    end_busy(&bench);
    messages_free(&bench.messages);
    arena_free(&bench.arena);
    return EXIT_SUCCESS;
}

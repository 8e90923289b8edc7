/* Findings as text: what must be settled, grouped by where it must be mended. */
#include <stdlib.h>
#include <string.h>

#include "cli/cli.h"

enum { INDENT = 13, PLACES_SHOWN = 8 };

/* Colour is a help only: word and sign always stand beside it. */
static const char *const colours[VERDICT_COUNT] = {
    [VERDICT_FLAG] = "\033[1;31m", [VERDICT_UNKNOWN] = "\033[1;35m", [VERDICT_TIGHT] = "\033[1;33m",
    [VERDICT_PASS] = "", [VERDICT_OUT] = "", [VERDICT_OFF] = ""};

static const char *const whose[GIVER_COUNT] = {
    [GIVER_NOBODY] = "designer and developer",
    [GIVER_LINE] = "the line (designer)",
    [GIVER_PATTERN] = "the pattern (developer)",
    [GIVER_MATERIAL] = "the material (designer and developer)",
    [GIVER_MAKING] = "the making (developer)",
    [GIVER_MACHINE] = "the machine (factory)",
};

static bool to_settle(const Finding *finding)
{
    return finding->verdict >= VERDICT_TIGHT && finding->verdict != VERDICT_OFF;
}

static void add_visible(Text *text, const char *string)
{
    text_add_visible(text, string, strlen(string));
}

static void add_where(Text *text, Where at)
{
    Arena arena = {0};
    add_visible(text, where_text(&arena, at));
    arena_free(&arena);
}

static void add_range_of_sizes(Text *text, const Judgement *judgement)
{
    const Columns *columns = judgement->columns;
    const Lane *first = &columns->lanes[0], *last = &columns->lanes[judgement->lane_count - 1];
    if (first->size[0] == '\0')
        return;
    text_addf(text, ", size %s", first->size);
    if (strcmp(first->size, last->size) != 0)
        text_addf(text, " to %s", last->size);
}

static void add_head(Text *text, const Judgement *judgement)
{
    const Style *style = judgement->style;
    add_visible(text, style->name);
    text_add(text, " (");
    add_visible(text, style->code);
    text_add(text, "), ");
    if (style->alternative != NULL) {
        text_add(text, "alternative ");
        add_visible(text, style->alternative);
    } else {
        text_add(text, "as written");
    }
    add_range_of_sizes(text, judgement);
    for (size_t i = 0; i < style->colourway_count; i++) {
        if (style->colourways[i].name[0] != '\0') {
            text_add(text, i == 0 ? ", in " : ", ");
            add_visible(text, style->colourways[i].name);
        }
    }
    text_add(text, "\n");
    if (judgement->factory != NULL) {
        text_add(text, "against ");
        add_visible(text, judgement->factory->name);
    } else {
        text_add(text, "no factory named: machines are unknown (--factory NAME)");
    }
    text_add(text, "\n");
}

/* --- what reads alike ------------------------------------------------------------ */

/* A finding to be settled, with its sentence. */
typedef struct Told {
    const Finding *finding; /* in the judgement's array: its address is its order */
    const Cause *cause;
    char *sentence;
    char *decision;         /* what was decided about it; "" nothing */
} Told;

/* Findings of one cause that read alike (a part and its mirror): told at once. */
typedef struct Run {
    const Told *told;
    size_t count;
    const Finding *cause_first; /* the first finding of the cause */
} Run;

static int by_address(const void *a, const void *b)
{
    return (a > b) - (a < b);
}

static int compare_alike(const Told *a, const Told *b)
{
    const Finding *one = a->finding, *other = b->finding;
    if (a->cause != b->cause)
        return by_address(a->cause, b->cause);
    if (one->rule != other->rule)
        return by_address(one->rule, other->rule);
    if (one->verdict != other->verdict)
        return one->verdict < other->verdict ? -1 : 1;
    int order = strcmp(a->sentence, b->sentence);
    return order != 0 ? order : strcmp(a->decision, b->decision);
}

static int compare_told(const void *a, const void *b)
{
    const Told *one = a, *other = b;
    int order = compare_alike(one, other);
    return order != 0 ? order : by_address(one->finding, other->finding);
}

static int compare_runs(const void *a, const void *b)
{
    const Run *one = a, *other = b;
    int order = by_address(one->cause_first, other->cause_first);
    return order != 0 ? order : by_address(one->told->finding, other->told->finding);
}

static size_t tell(const Decisions *decisions, Told *told)
{
    const Judgement *judgement = decisions->judgement;
    size_t count = 0;
    for (size_t i = 0; i < judgement->count; i++) {
        const Finding *finding = &judgement->findings[i];
        if (!to_settle(finding))
            continue;
        const Decided *decided = decision_of(decisions, finding);
        Text sentence = {0}, decision = {0};
        finding_sentence(&sentence, judgement, finding, finding_worst_lane(judgement, finding));
        if (decided != NULL)
            decision_say(&decision, decided);
        text_add(&sentence, ""); /* so that they have bytes even if empty */
        text_add(&decision, "");
        told[count++] = (Told){finding, finding_cause(judgement, finding), sentence.bytes,
                               decision.bytes};
    }
    return count;
}

/* Of the findings told from here on the first that has the cause of the one here. */
static const Finding *first_of_cause(const Told *told, const Told *end)
{
    const Finding *first = told->finding;
    for (const Told *other = told; other < end && other->cause == told->cause; other++)
        if (by_address(other->finding, first) < 0)
            first = other->finding;
    return first;
}

/* Runs in the order of their causes' worst findings, which is the findings' own. */
static size_t find_runs(Told *told, size_t count, Run *runs)
{
    qsort(told, count, sizeof *told, compare_told);
    size_t run_count = 0;
    const Finding *cause_first = NULL;
    for (size_t i = 0; i < count; i++) {
        if (i == 0 || told[i - 1].cause != told[i].cause)
            cause_first = first_of_cause(&told[i], told + count);
        if (i > 0 && compare_alike(&told[i - 1], &told[i]) == 0)
            runs[run_count - 1].count++;
        else
            runs[run_count++] = (Run){&told[i], 1, cause_first};
    }
    qsort(runs, run_count, sizeof *runs, compare_runs);
    return run_count;
}

/* --- findings ---------------------------------------------------------------------- */

/* "bend a.b.1", "bend a.b.1 and bend c.d.1", "row a.1, row b.1 and 40 more" */
static void add_places(Text *text, const Run *run)
{
    size_t shown = run->count <= PLACES_SHOWN ? run->count : PLACES_SHOWN - 1;
    for (size_t i = 0; i < shown; i++) {
        text_add(text, i == 0 ? "" : i + 1 == run->count ? " and " : ", ");
        add_visible(text, run->told[i].finding->place);
    }
    if (shown < run->count)
        text_addf(text, " and %zu more", run->count - shown);
}

/* "radius: 1.9 mm too little, in every size of Bark; limits: common practice" */
static void add_measure(Text *text, const Judgement *judgement, const Finding *finding)
{
    Text line = {0};
    finding_say_spare(&line, judgement, finding);
    if (line.length > 0)
        text_add(&line, ", ");
    finding_lanes(&line, judgement, finding);
    Basis basis;
    if (finding_basis(judgement, finding, &basis))
        text_addf(&line, "; limits: %s", basis_name(basis));
    text_addf(text, "%*s%s\n", INDENT, "", line.bytes);
    text_free(&line);
}

static void add_run(Text *text, const Judgement *judgement, const Run *run,
                    const Options *options)
{
    bool colour = options->colour;
    const Finding *finding = run->told->finding;
    Text line = {0};
    text_addf(text, "  %s%c %-7s%s %-8s ", colour ? colours[finding->verdict] : "",
              verdict_sign(finding->verdict), verdict_name(finding->verdict),
              colour && colours[finding->verdict][0] ? "\033[0m" : "",
              class_name(finding->rule->class));
    add_visible(text, finding->rule->title);
    text_addf(text, "  [%s]\n%*s", finding->rule->id, INDENT, "");
    add_places(&line, run);
    text_addf(&line, ": %s", run->told->sentence);
    text_add_wrapped(text, line.bytes, options->columns, INDENT);
    text_add(text, "\n");
    text_free(&line);
    add_measure(text, judgement, finding);
    if (run->told->decision[0] == '\0')
        return;
    text_addf(text, "%*s", INDENT, "");
    text_add_wrapped(text, run->told->decision, options->columns, INDENT);
    text_add(text, "\n");
}

/* The seams a line lies in, since both their edges are mended together. */
static void add_seams(Text *text, const Judgement *judgement, const Finding *finding)
{
    const Columns *columns = judgement->columns;
    const Relation *seams = relation_find(SUBJECT_EDGE, "seam", strlen("seam"));
    int32_t edge = (int32_t)finding->record;
    if (finding->rule->about == SUBJECT_BEND) {
        const Relation *own = relation_find(SUBJECT_BEND, "edge", strlen("edge"));
        edge = column_one(&columns->ones[relation_index(own)], edge, 0);
    } else if (finding->rule->about != SUBJECT_EDGE) {
        return;
    }
    if (edge < 0)
        return;
    const ManyColumn *many = &columns->manys[relation_index(seams)];
    for (uint32_t i = many->start[edge]; i < many->start[edge + 1]; i++) {
        text_add(text, i == many->start[edge] ? ", in seam " : ", ");
        add_visible(text, columns->names[SUBJECT_SEAM][many->items[i]]);
    }
}

/* Which values may be changed, easiest first, and whose they are; not what the
 * style keeps. */
static void add_gives(Text *text, const Judgement *judgement, const Finding *finding)
{
    const Rule *rule = finding->rule;
    size_t shown = 0;
    for (size_t i = 0; i < rule->give_count; i++) {
        const Give *give = &rule->gives[i];
        if (finding_may_give(judgement, finding, give))
            text_addf(text, "%s%s, %s", shown++ == 0 ? "   can give: " : "; ", give->text,
                      whose[field_at(give->field)->giver]);
    }
    if (shown > 0)
        text_add(text, "\n");
}

static void add_cause_head(Text *text, const Judgement *judgement, const Finding *finding,
                           size_t number)
{
    const Cause *cause = finding_cause(judgement, finding);
    text_addf(text, "\n%zu. ", number);
    add_visible(text, cause->name);
    add_seams(text, judgement, finding);
    text_add(text, "  ");
    add_where(text, cause->at);
    text_add(text, "\n");
    if (finding->verdict == VERDICT_UNKNOWN)
        text_addf(text, "   to find out: %s\n", whose[cause->giver]);
    else
        add_gives(text, judgement, finding);
}

static size_t add_causes(Text *text, const Decisions *decisions, const Options *options)
{
    const Judgement *judgement = decisions->judgement;
    Told *told = memory_new(judgement->count, sizeof *told);
    Run *runs = memory_new(judgement->count, sizeof *runs);
    size_t count = tell(decisions, told), number = 0;
    size_t run_count = find_runs(told, count, runs);
    for (size_t i = 0; i < run_count; i++) {
        if (i == 0 || runs[i].cause_first != runs[i - 1].cause_first)
            add_cause_head(text, judgement, runs[i].told->finding, ++number);
        add_run(text, judgement, &runs[i], options);
    }
    for (size_t i = 0; i < count; i++) {
        free(told[i].sentence);
        free(told[i].decision);
    }
    free(told);
    free(runs);
    return number;
}

static void add_rest(Text *text, const Judgement *judgement)
{
    text_add(text, "\nThe rest:\n");
    for (size_t i = 0; i < judgement->count; i++) {
        const Finding *finding = &judgement->findings[i];
        if (to_settle(finding))
            continue;
        text_addf(text, "  %c %-7s ", verdict_sign(finding->verdict), verdict_name(finding->verdict));
        add_visible(text, finding->place);
        text_add(text, ": ");
        add_visible(text, finding->rule->title);
        text_addf(text, "  [%s]", finding->rule->id);
        if (finding->verdict == VERDICT_PASS) {
            text_add(text, "  ");
            finding_say_spare(text, judgement, finding);
        } else if (finding->verdict == VERDICT_OFF) {
            text_add(text, "  ");
            add_visible(text, finding->rule->off_reason);
        }
        text_add(text, "\n");
    }
}

static void add_off_rules(Text *text, const Judgement *judgement, const Options *options)
{
    for (size_t i = 0; i < judgement->rules->rule_count; i++) {
        const Rule *rule = judgement->rules->rules[i];
        if (rule->off_reason == NULL)
            continue;
        text_addf(text, "off: %s: ", rule->id);
        add_visible(text, rule->off_reason);
        text_add(text, " (");
        add_where(text, rule->off_at);
        text_add(text, ")\n");
    }
    if (judgement->no_place_count > 0) {
        Text line = {0};
        text_add(&line, "met no place:");
        for (size_t i = 0; i < judgement->no_place_count; i++)
            text_addf(&line, " %s", judgement->no_place[i]->id);
        text_add_wrapped(text, line.bytes, options->columns, 2);
        text_add(text, "\n");
        text_free(&line);
    }
}

/* "no longer needed: bend a.b.1 [turn-clip-pitch], now pass: permit by …" */
static void add_unneeded(Text *text, const Decided *decided, const Options *options)
{
    Text line = {0};
    text_add(&line, "no longer needed: ");
    add_visible(&line, decided->record->place);
    text_add(&line, " [");
    add_visible(&line, decided->record->rule);
    if (decided->finding != NULL)
        text_addf(&line, "], now %s: ", verdict_name(decided->finding->verdict));
    else
        text_add(&line, "], not there any more: ");
    decision_say(&line, decided);
    text_add_wrapped(text, line.bytes, options->columns, 2);
    text_add(text, "\n");
    text_free(&line);
}

/* What the log does; nothing where there is none. */
static void add_decisions(Text *text, const Decisions *decisions, const Options *options)
{
    if (!decisions->logged)
        return;
    text_addf(text, "%zu open, %zu under a deviation permit, %zu decision%s lapsed\n",
              decisions->open, decisions->permitted, decisions->lapsed,
              decisions->lapsed == 1 ? "" : "s");
    for (size_t i = 0; i < decisions->unneeded_count; i++)
        add_unneeded(text, &decisions->unneeded[i], options);
}

void findings_text(Text *text, const Decisions *decisions, const Options *options)
{
    const Judgement *judgement = decisions->judgement;
    static const Verdict shown[] = {VERDICT_FLAG, VERDICT_UNKNOWN, VERDICT_TIGHT, VERDICT_PASS,
                                    VERDICT_OUT,  VERDICT_OFF};
    add_head(text, judgement);
    size_t causes = add_causes(text, decisions, options);
    if (options->all)
        add_rest(text, judgement);
    text_add(text, "\n");
    for (size_t i = 0; i < sizeof shown / sizeof *shown; i++)
        text_addf(text, "%s%zu %s", i > 0 ? ", " : "", judgement->tally[shown[i]],
                  verdict_name(shown[i]));
    text_addf(text, ": %zu in all\n", judgement->count);
    text_addf(text, "%zu cause%s to settle\n", causes, causes == 1 ? "" : "s");
    add_decisions(text, decisions, options);
    add_off_rules(text, judgement, options);
    text_add(text, "A pass is not a release for wear; machine makers' manuals and local law come "
                   "first.\n\n");
}

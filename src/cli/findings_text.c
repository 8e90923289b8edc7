/* Findings as text: what must be settled, grouped by where it must be mended. */
#include <stdlib.h>
#include <string.h>

#include "cli/cli.h"
#include "report/runs.h"

enum { INDENT = 13 };

/* Colour is a help only: word and sign always stand beside it. */
static const char *const colours[VERDICT_COUNT] = {
    [VERDICT_FLAG] = "\033[1;31m", [VERDICT_UNKNOWN] = "\033[1;35m", [VERDICT_TIGHT] = "\033[1;33m",
    [VERDICT_PASS] = "", [VERDICT_OUT] = "", [VERDICT_OFF] = ""};

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

/* --- findings ---------------------------------------------------------------------- */

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

/* "remedy: left of edge vamp.throat 2.5 -> 2 mm (pattern): pass; clears 2, raises 1" */
static void add_remedy(Text *text, const char *words, const Options *options)
{
    Text line = {0};
    text_add(&line, "remedy: ");
    add_visible(&line, words);
    text_addf(text, "%*s", INDENT, "");
    text_add_wrapped(text, line.bytes, options->columns, INDENT + 2);
    text_add(text, "\n");
    text_free(&line);
}

/* By giver: what that one can do alone, said once where several findings share it. */
static void add_remedies(Text *text, const Told *told, const Run *run, const Options *options)
{
    Text before = {0};
    for (size_t i = 0; options->by_giver && i < run->count; i++) {
        const RemedyList *list = told_remedies(told, run->findings[i]);
        Text words = {0};
        for (size_t k = 0; k < list->count; k++) {
            if (!told_alone(&list->items[k], options->giver))
                continue;
            text_clear(&words);
            remedy_say(&words, &list->items[k]);
            text_add(&words, "\n");
            if (strstr(text_string(&before), words.bytes) != NULL)
                continue;
            text_add(&before, words.bytes);
            words.bytes[words.length - 1] = '\0';
            add_remedy(text, words.bytes, options);
        }
        text_free(&words);
    }
    text_free(&before);
}

static void add_run(Text *text, const Told *told, const Run *run, const Options *options)
{
    const Judgement *judgement = told->decisions->judgement;
    bool colour = options->colour;
    const Finding *finding = run->findings[0];
    Text line = {0};
    text_addf(text, "  %s%c %-7s%s %-8s ", colour ? colours[finding->verdict] : "",
              verdict_sign(finding->verdict), verdict_name(finding->verdict),
              colour && colours[finding->verdict][0] ? "\033[0m" : "",
              class_name(finding->rule->class));
    add_visible(text, finding->rule->title);
    text_addf(text, "  [%s]\n%*s", finding->rule->id, INDENT, "");
    run_places(&line, run);
    text_addf(&line, ": %s", run->sentence);
    text_add_wrapped(text, line.bytes, options->columns, INDENT);
    text_add(text, "\n");
    text_free(&line);
    add_measure(text, judgement, finding);
    add_remedies(text, told, run, options);
    if (run->decision[0] == '\0')
        return;
    text_addf(text, "%*s", INDENT, "");
    text_add_wrapped(text, run->decision, options->columns, INDENT);
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
                      told_whose(field_at(give->field)->giver));
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
        text_addf(text, "   to find out: %s\n", told_whose(cause->giver));
    else
        add_gives(text, judgement, finding);
}

/* Leaves in a run what the options ask for. */
static void leave_told(const Told *told, Run *run, const Options *options)
{
    Telling telling = options_telling(options);
    size_t left = 0;
    for (size_t i = 0; i < run->count; i++)
        if (told_is(told, run->findings[i], &telling))
            run->findings[left++] = run->findings[i];
    run->count = left;
}

/* How many causes were told. */
static size_t add_causes(Text *text, const Told *told, const Options *options)
{
    Runs *runs = runs_new(told->decisions);
    const Cause *cause = NULL;
    size_t number = 0;
    for (size_t i = 0; i < runs->count; i++) {
        Run *run = &runs->items[i];
        leave_told(told, run, options);
        if (run->count == 0)
            continue;
        if (run->cause != cause)
            add_cause_head(text, told->decisions->judgement, run->findings[0], ++number);
        cause = run->cause;
        add_run(text, told, run, options);
    }
    runs_free(runs);
    return number;
}

static void add_rest(Text *text, const Judgement *judgement)
{
    text_add(text, "\nThe rest:\n");
    for (size_t i = 0; i < judgement->count; i++) {
        const Finding *finding = &judgement->findings[i];
        if (told_to_settle(finding))
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

/* "3 causes to settle"; by giver also what others must help with. */
static void add_count(Text *text, const Told *told, const Options *options, size_t causes)
{
    Telling telling = options_telling(options);
    const char *plural = causes == 1 ? "" : "s";
    if (!options->by_giver) {
        text_addf(text, "%zu cause%s to settle\n", causes, plural);
        return;
    }
    size_t hidden = told_hidden(told, &telling);
    Text line = {0};
    bool nobody = options->giver == GIVER_NOBODY;
    text_addf(&line, "%zu cause%s that %s can %s; %zu finding%s that others must help with not shown",
              causes, plural, told_whose(options->giver),
              nobody ? "find out together" : "settle alone, or find out", hidden,
              hidden == 1 ? "" : "s");
    text_add_wrapped(text, line.bytes, options->columns, 2);
    text_add(text, "\n");
    text_free(&line);
}

void findings_text(Text *text, const Told *told, const Options *options)
{
    const Decisions *decisions = told->decisions;
    const Judgement *judgement = decisions->judgement;
    static const Verdict shown[] = {VERDICT_FLAG, VERDICT_UNKNOWN, VERDICT_TIGHT, VERDICT_PASS,
                                    VERDICT_OUT,  VERDICT_OFF};
    add_head(text, judgement);
    size_t causes = add_causes(text, told, options);
    if (options->all && !options->by_giver)
        add_rest(text, judgement);
    text_add(text, "\n");
    for (size_t i = 0; i < sizeof shown / sizeof *shown; i++)
        text_addf(text, "%s%zu %s", i > 0 ? ", " : "", judgement->tally[shown[i]],
                  verdict_name(shown[i]));
    text_addf(text, ": %zu in all\n", judgement->count);
    add_count(text, told, options, causes);
    if (judgement->tally[VERDICT_UNKNOWN] > 0)
        text_add(text, "what can be written for a value: cordwain fields NAME, such as cordwain "
                       "fields sight\n");
    add_decisions(text, decisions, options);
    add_off_rules(text, judgement, options);
    text_add(text, "A pass is not a release for wear; machine makers' manuals and local law come "
                   "first.\n\n");
}

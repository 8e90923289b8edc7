/* cordwain explain: what a rule asks, and why it said what it said. */
#include <stdlib.h>
#include <string.h>

#include "cli/cli.h"
#include "judge/shares.h"
#include "remedy/frontier.h"

static const char help[] =
    "  cordwain explain turn-clip-pitch\n"
    "  cordwain explain turn-clip-pitch styles/skerry.yaml --factory harbour\n"
    "  cordwain explain turn-clip-pitch styles/skerry.yaml 'bend vamp.throat.1' --alternative "
    "turned\n"
    "\n"
    "Shows a rule with its limits and sources; with a style, the verdict at every place, condition "
    "by\n"
    "condition where something is to be settled; with a place, that one condition by condition,\n"
    "also where the rule did not fire, and what would clear it: for each value that its rule gives "
    "the\n"
    "least change that does, in every size and colourway, and what else that clears and raises.\n";

static int no_such_rule(const Options *options, const RuleSet *rules)
{
    const char *word = options->words[0];
    const char **ids = memory_new(rules->rule_count, sizeof *ids);
    for (size_t i = 0; i < rules->rule_count; i++)
        ids[i] = rules->rules[i]->id;
    const char *near = nearest_word(word, ids, rules->rule_count);
    Text text = {0};
    text_add(&text, "cordwain: there is no rule ");
    text_add_visible(&text, word, strlen(word));
    if (near != NULL)
        text_addf(&text, "; did you mean %s?", near);
    fprintf(stderr, "%s\nAll rules: cordwain rules\n", text.bytes);
    text_free(&text);
    free(ids);
    return EXIT_INPUT;
}

/* For whoever asks for a limit: the rules that show its values and who set them. */
static void add_limit(Text *out, const RuleSet *rules, const Limit *limit)
{
    text_addf(out, "%s is a limit: %s\n", limit->name, limit->means);
    for (size_t i = 0; i < rules->rule_count; i++) {
        const Rule *rule = rules->rules[i];
        for (size_t k = 0; k < rule->limit_count; k++)
            if (rule->limits[k] == limit)
                text_addf(out, "  its values and who set them: cordwain explain %s\n", rule->id);
    }
}

/* The place meant by a slip: the one that ends so, else the nearest. */
static const char *place_meant(const Judgement *judgement, const Rule *rule, const char *word)
{
    const char **places = memory_new(judgement->count, sizeof *places);
    const char *meant = NULL;
    size_t count = 0;
    for (size_t i = 0; i < judgement->count; i++) {
        const Finding *finding = &judgement->findings[i];
        if (finding->rule != rule)
            continue;
        places[count++] = finding->place;
        if (meant == NULL && strstr(finding->place, word) != NULL)
            meant = finding->place;
    }
    if (meant == NULL)
        meant = nearest_word(word, places, count);
    free(places);
    return meant;
}

static int no_such_place(const Options *options, const Judgement *judgement, const Rule *rule)
{
    const char *word = options->words[2], *meant = place_meant(judgement, rule, word);
    Text text = {0};
    text_add(&text, "cordwain: ");
    text_add_visible(&text, word, strlen(word));
    text_addf(&text, " is no place of %s in this style; ", rule->id);
    if (meant != NULL) {
        text_add(&text, "did you mean '");
        text_add_visible(&text, meant, strlen(meant));
        text_add(&text, "'?");
    } else {
        text_addf(&text, "cordwain explain %s STYLE lists its places", rule->id);
    }
    fprintf(stderr, "%s\n", text.bytes);
    text_free(&text);
    return EXIT_INPUT;
}

/* ---- What would clear it ---- */

static void add_lines(Text *out, const Options *options, const char *line, int indent)
{
    Text visible = {0};
    text_add_visible(&visible, line, strlen(line));
    text_addf(out, "%*s", indent, "");
    text_add_wrapped(out, text_string(&visible), options->columns, indent + 2);
    text_add(out, "\n");
    text_free(&visible);
}

static void add_effects(Text *out, const Options *options, const char *what,
                        const SideEffect *effects, size_t count)
{
    enum { SHOWN = 4 };
    Text line = {0};
    for (size_t i = 0; i < count && i < SHOWN; i++)
        text_addf(&line, "%s%s at %s (%s)", i ? ", " : what, effects[i].rule->id, effects[i].place,
                  verdict_name(effects[i].after));
    if (count > SHOWN)
        text_addf(&line, " and %zu more", count - SHOWN);
    if (count > 0)
        add_lines(out, options, text_string(&line), 4);
    text_free(&line);
}

static void add_remedy(Text *out, const Options *options, const Remedy *remedy)
{
    Text line = {0};
    remedy_say(&line, remedy);
    add_lines(out, options, text_string(&line), 2);
    for (size_t i = 0; i < remedy->change_count; i++) {
        const RemedyChange *change = &remedy->changes[i];
        text_clear(&line);
        if (remedy->change_count > 1)
            text_addf(&line, "%s: ", field_at(change->field)->name);
        text_add(&line, giver_say(change->giver, change->asks_line));
        add_lines(out, options, text_string(&line), 4);
    }
    text_free(&line);
    add_effects(out, options, "clears ", remedy->clears, remedy->clear_count);
    add_effects(out, options, "raises ", remedy->raises, remedy->raise_count);
}

static void add_frontier(Text *out, const Options *options, const RemedyFrontier *frontier)
{
    enum { WIDTH_MOST = 72, HEIGHT = 12 };
    if (frontier == NULL)
        return;
    Arena arena = {0};
    Text line = {0};
    Figure figure = figure_new(&arena, NULL);
    remedy_frontier_say(&line, frontier);
    text_add(out, "\nTwo values against each other, as written\n");
    add_lines(out, options, text_string(&line), 2);
    remedy_frontier_figure(&figure, frontier);
    figure_text(out, &figure,
                (CellStyle){options->plain,
                            options->columns < WIDTH_MOST ? options->columns : WIDTH_MOST, HEIGHT});
    figure_free(&figure);
    text_free(&line);
    arena_free(&arena);
}

static void add_shares(Text *out, const Options *options, const Judgement *judgement,
                       const Finding *finding)
{
    Arena arena = {0};
    Text line = {0};
    RiskShare *shares;
    size_t count =
        finding->verdict == VERDICT_TIGHT ? risk_shares(&arena, judgement, finding, &shares) : 0;
    for (size_t i = 0; i < count; i++)
        text_addf(&line, "%s%s: %.0f %%", i ? ", " : "", shares[i].name, 100 * shares[i].share);
    if (count > 1) {
        text_add(out, "\nWhat the spare scatters by\n");
        add_lines(out, options, text_string(&line), 2);
    }
    text_free(&line);
    arena_free(&arena);
}

static void add_remedies(Text *out, const Options *options, const Case *loaded,
                         const Finding *finding)
{
    if (finding->verdict != VERDICT_FLAG && finding->verdict != VERDICT_TIGHT)
        return;
    Remedies *remedies = case_remedies(loaded, loaded->judgement);
    const RemedyList *list = remedies_of(remedies, finding);
    add_shares(out, options, loaded->judgement, finding);
    text_add(out, "\nWhat would clear it\n");
    if (list->count == 0)
        text_add(out, "  no value that its rule gives\n");
    for (size_t i = 0; i < list->count; i++)
        add_remedy(out, options, &list->items[i]);
    for (size_t i = 0; i < list->none_count; i++) {
        Text line = {0};
        text_addf(&line, "not by %s: %s", list->none[i].name, list->none[i].reason);
        add_lines(out, options, text_string(&line), 2);
        text_free(&line);
    }
    add_frontier(out, options, remedies_frontier(remedies, finding));
    remedies_free(remedies);
}

/* ---- Places ---- */

/* One line for a place where nothing is to be settled. */
static void add_line(Text *out, const Judgement *judgement, const Finding *finding)
{
    text_addf(out, "%c %-7s ", verdict_sign(finding->verdict), verdict_name(finding->verdict));
    text_add_visible(out, finding->place, strlen(finding->place));
    text_add(out, ": ");
    finding_sentence(out, judgement, finding, finding_worst_lane(judgement, finding));
    text_add(out, "\n");
}

static int explain_places(const Options *options, const Case *loaded, const Rule *rule, Text *out)
{
    const Judgement *judgement = loaded->judgement;
    const char *place = options->word_count > 2 ? options->words[2] : NULL;
    size_t shown = 0;
    for (size_t i = 0; i < judgement->count; i++) {
        const Finding *finding = &judgement->findings[i];
        if (finding->rule != rule || (place != NULL && strcmp(finding->place, place) != 0))
            continue;
        bool whole = place != NULL || finding->verdict == VERDICT_FLAG ||
                     finding->verdict == VERDICT_UNKNOWN || finding->verdict == VERDICT_TIGHT;
        if (whole && shown > 0)
            text_add(out, "\n");
        shown++;
        if (whole)
            explain_finding(out, judgement, finding, finding_worst_lane(judgement, finding),
                            options->columns);
        else
            add_line(out, judgement, finding);
        if (place != NULL)
            add_remedies(out, options, loaded, finding);
    }
    if (shown == 0 && place != NULL)
        return no_such_place(options, judgement, rule);
    if (shown == 0)
        text_addf(out, "%s met no place in this style: it has no %s.\n", rule->id,
                  subject_name(rule->about));
    return 0;
}

static int run(const Options *options)
{
    if (options->word_count == 0 || options->word_count > 3) {
        fputs("cordwain: explain takes a rule, then a style, then a place in quotes\n", stderr);
        return EXIT_INPUT;
    }
    Messages messages = {0};
    Case loaded = {0};
    Text out = {0};
    int status = EXIT_INPUT;
    if (case_rules(options, &loaded, &messages)) {
        const Rule *rule = rules_find(loaded.rules, options->words[0]);
        const Limit *limit = rules_limit(loaded.rules, options->words[0]);
        if (rule == NULL && limit != NULL) {
            add_limit(&out, loaded.rules, limit);
            status = 0;
        } else if (rule == NULL) {
            status = no_such_rule(options, loaded.rules);
        } else if (options->word_count == 1) {
            explain_rule(&out, loaded.rules, rule, options->columns);
            status = 0;
        } else if (case_style(options, options->words[1], &loaded, &messages)) {
            status = explain_places(options, &loaded, rule, &out);
        }
    }
    status = print_all(&out, status);
    text_free(&out);
    case_free(&loaded);
    return finish(&messages, status);
}

const Command command_explain = {
    "explain", "RULE [STYLE [PLACE]]", "a rule, or why it fired or did not", NULL, help, run};

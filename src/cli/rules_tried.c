/* What rules do over whole styles and over random values: which never apply, which never or
 * always flag, which two always say the same. For `cordwain rules`. */
#include <string.h>

#include "cli/rules_tried.h"

enum { WORLDS = 256 };

typedef bool Picks(const RuleTrial *trial);

static bool applies_nowhere(const RuleTrial *trial)
{
    return trial->applies == 0;
}

static bool never_flags(const RuleTrial *trial)
{
    return trial->applies > 0 && trial->flags == 0;
}

static bool never_passes(const RuleTrial *trial)
{
    return trial->flags > 0 && trial->passes == 0;
}

/* " (applies at 2 places; flags at bend vamp.1 of a.yaml; passes in b.yaml:12)": where it was
 * asked, and the first of its examples with the answer that was missed. */
static void add_witness(Text *line, const RuleTrial *trial, Verdict missed)
{
    const Rule *rule = trial->rule;
    Arena arena = {0};
    text_add(line, " (");
    if (trial->applies > 0)
        text_addf(line, "applies at %zu place%s; ", trial->applies, trial->applies == 1 ? "" : "s");
    if (trial->first_flag != NULL)
        text_addf(line, "flags at %s; ", trial->first_flag);
    for (size_t i = 0; i < rule->example_count; i++) {
        if (rule->examples[i].expect != (int)missed)
            continue;
        text_addf(line, "%s in %s)", missed == VERDICT_PASS ? "passes" : "flags",
                  where_text(&arena, yaml_where(rule->examples[i].node)));
        break;
    }
    arena_free(&arena);
}

/* What the rules of a list have missed; what most rules miss is told without witnesses. */
typedef struct Picked {
    const char *what;
    Picks *picks;
    Verdict missed; /* VERDICT_COUNT: no witness */
} Picked;

static void add_picked(Text *out, const Trials *trials, const Picked *picked, int columns)
{
    Text line = {0}, seen = {0};
    size_t count = 0;
    for (size_t i = 0; i < trials->count; i++) {
        const RuleTrial *trial = &trials->items[i];
        if (!picked->picks(trial))
            continue;
        text_addf(&line, "%s%s", count++ ? ", " : "", trial->rule->id);
        if (picked->missed != VERDICT_COUNT)
            add_witness(&line, trial, picked->missed);
    }
    text_addf(out, "  %s: %zu%s", picked->what, count, count ? "\n    " : "\n");
    if (count) {
        text_add_visible(&seen, line.bytes, line.length);
        text_add_wrapped(out, seen.bytes, columns, 4);
        text_add(out, "\n");
    }
    text_free(&line);
    text_free(&seen);
}

static void add_agreeing(Text *out, const Trials *trials)
{
    Text pairs = {0};
    size_t count = 0;
    for (size_t i = 0; i < trials->count; i++)
        for (size_t k = i + 1; k < trials->count; k++) {
            const RuleTrial *one = &trials->items[i], *other = &trials->items[k];
            if (!trials_agree(one, other))
                continue;
            count++;
            text_addf(&pairs, "    %s and %s", one->rule->id, other->rule->id);
            if (one->first_flag != NULL) {
                text_add(&pairs, ", first at ");
                text_add_visible(&pairs, one->first_flag, strlen(one->first_flag));
            }
            text_add(&pairs, "\n");
        }
    text_addf(out, "  say the same at every place, flags among them: %zu%s\n", count,
              count == 1 ? " pair" : " pairs");
    text_add_bytes(out, pairs.bytes ? pairs.bytes : "", pairs.length);
    text_free(&pairs);
}

static void add_trials(Text *out, const Trials *trials, int columns)
{
    static const Picked lists[] = {
        {"apply nowhere, though they do in their examples", applies_nowhere, VERDICT_FLAG},
        {"apply and never flag, as they do in their examples", never_flags, VERDICT_COUNT},
        {"flag and never pass, as they do in their examples", never_passes, VERDICT_PASS},
    };
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++)
        add_picked(out, trials, &lists[i], columns);
    add_agreeing(out, trials);
}

/* One way of building a style; false with messages. */
static bool try_way(Trials *trials, const Case *loaded, const char *path, const char *alternative,
                    Messages *messages)
{
    Style *style = style_read(path, alternative, NULL, 0, messages);
    if (style == NULL)
        return false;
    Judgement *judgement = judge(style, loaded->rules, loaded->factory);
    trials_over(trials, judgement);
    judgement_free(judgement);
    style_free(style);
    return true;
}

/* How many ways of building it were tried; 0 with messages where it is refused. */
static size_t try_style(Trials *trials, const Case *loaded, const char *path, Messages *messages)
{
    Style *style = style_read(path, NULL, NULL, 0, messages);
    if (style == NULL)
        return 0;
    size_t ways = try_way(trials, loaded, path, NULL, messages);
    for (size_t i = 0; i < style->alternative_count; i++)
        ways += try_way(trials, loaded, path, style->alternatives[i].name, messages);
    style_free(style);
    return ways;
}

bool rules_tried_over(Text *out, const Case *loaded, const NameList *styles, int columns,
                      Messages *messages)
{
    Trials *trials = trials_new(loaded->rules);
    size_t ways = 0;
    bool good = true;
    for (size_t i = 0; i < styles->count && good; i++) {
        size_t more = try_style(trials, loaded, styles->items[i], messages);
        good = more > 0;
        ways += more;
    }
    if (good) {
        text_addf(out, "over %zu style%s, %zu way%s of building %s, %s:\n", styles->count,
                  styles->count == 1 ? "" : "s", ways, ways == 1 ? "" : "s",
                  styles->count == 1 ? "it" : "them",
                  loaded->factory != NULL ? "at this factory" : "without a factory");
        add_trials(out, trials, columns);
    }
    trials_free(trials);
    return good;
}

void rules_tried_at_random(Text *out, const RuleSet *rules, int columns)
{
    Trials *trials = trials_new(rules);
    trials_at_random(trials, WORLDS);
    text_addf(out, "over %zu places of each kind with values at random within their bounds:\n",
              trials->count > 0 ? trials->items[0].places : 0);
    add_trials(out, trials, columns);
    trials_free(trials);
}

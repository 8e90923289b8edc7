/* Which findings are shown: of one verdict, class, part, rule, cause or giver, or those that the
 * last step changed. A filter is a list of steps; of two of one kind the later one counts. For
 * the pages. */
#include <stdlib.h>
#include <string.h>

#include "report/told.h"
#include "screen/view_inside.h"

bool filter_on(const View *view)
{
    return view->filter.count > 0;
}

static void rebuild(View *view);

/* NULL: any. */
static const FilterStep *step_of(const View *view, FilterKind kind)
{
    const Filter *filter = &view->filter;
    for (size_t i = filter->count; i-- > 0;)
        if (filter->steps[i].kind == kind)
            return &filter->steps[i];
    return NULL;
}

/* Until it is worked out who can clear it alone, it counts that they may give. */
static bool may_give(const View *view, const Finding *finding, int giver)
{
    if (view->filter.sifted == review_judgement(view->review) && finding_is_open(finding)) {
        Told told = {view->decisions, clearing_known(view)};
        return told_is(&told, finding, &(Telling){.by_giver = true, .giver = (Giver)giver});
    }
    const Judgement *judgement = review_judgement(view->review);
    for (size_t i = 0; i < finding->rule->give_count; i++) {
        const Give *give = &finding->rule->gives[i];
        if ((int)field_at(give->field)->giver == giver &&
            finding_may_give(judgement, finding, give))
            return true;
    }
    return false;
}

void filter_ask(View *view)
{
    const Judgement *judgement = review_judgement(view->review);
    if (step_of(view, FILTER_GIVER) == NULL || view->filter.sifted == judgement ||
        !clearing_all(view))
        return;
    view->filter.sifted = judgement;
    rebuild(view);
}

static const char *cause_name(const View *view, const Finding *finding)
{
    return finding_cause(review_judgement(view->review), finding)->name;
}

static bool changed_last(const View *view, const Finding *finding)
{
    const Comparison *comparison = review_comparison(view->review);
    for (size_t i = 0; comparison != NULL && i < comparison->count; i++)
        if (comparison->items[i].after == finding)
            return true;
    return false;
}

static bool passes(const View *view, const Finding *finding, const FilterStep *step)
{
    switch (step->kind) {
    case FILTER_VERDICT:
        return (int)finding->verdict == step->value;
    case FILTER_CLASS:
        return (int)finding->rule->class == step->value;
    case FILTER_GIVER:
        return may_give(view, finding, step->value);
    case FILTER_PART:
        return strcmp(finding->part, step->name) == 0;
    case FILTER_RULE:
        return strcmp(finding->rule->id, step->name) == 0;
    case FILTER_CAUSE:
        return strcmp(cause_name(view, finding), step->name) == 0;
    case FILTER_STEP:
        return changed_last(view, finding);
    case FILTER_KINDS:
        break;
    }
    return true;
}

bool filter_shows(const View *view, const Finding *finding)
{
    bool also_closed = view->filter.everything || step_of(view, FILTER_VERDICT) != NULL ||
                       step_of(view, FILTER_STEP) != NULL;
    if (!also_closed && !finding_is_open(finding))
        return false;
    for (FilterKind kind = 0; kind < FILTER_KINDS; kind++) {
        const FilterStep *step = step_of(view, kind);
        if (step != NULL && !passes(view, finding, step))
            return false;
    }
    return true;
}

static void say_step(Text *text, const View *view, const FilterStep *step)
{
    switch (step->kind) {
    case FILTER_VERDICT:
        text_add(text, verdict_name((Verdict)step->value));
        return;
    case FILTER_CLASS:
        text_add(text, class_name((RuleClass)step->value));
        return;
    case FILTER_GIVER:
        text_addf(text,
                  view->filter.sifted == review_judgement(view->review)
                      ? "what %s alone can clear"
                      : "given by %s, working out …",
                  giver_name((Giver)step->value));
        return;
    case FILTER_PART:
        text_add(text, "of ");
        break;
    case FILTER_STEP:
        text_add(text, "what the last step changed");
        return;
    case FILTER_RULE:
        text_add(text, "rule ");
        break;
    case FILTER_CAUSE:
        text_add(text, "mended at ");
        break;
    case FILTER_KINDS:
        return;
    }
    text_add_visible(text, step->name, strlen(step->name));
}

void filter_say(Text *text, const View *view)
{
    const Filter *filter = &view->filter;
    text_addf(text, "filter hides %zu open: only ", view->hidden);
    for (size_t i = 0, said = 0; i < filter->count; i++) {
        if (step_of(view, filter->steps[i].kind) != &filter->steps[i])
            continue;
        text_add(text, said++ > 0 ? ", " : "");
        say_step(text, view, &filter->steps[i]);
    }
}

/* ---- Taking and taking back ---- */

static void push(View *view, FilterKind kind, int value, const char *name)
{
    Filter *filter = &view->filter;
    if (filter->count == filter->capacity) {
        filter->capacity = 2 * filter->capacity + 8;
        filter->steps = memory_grow(filter->steps, filter->capacity, sizeof *filter->steps);
    }
    char *kept = name != NULL ? memory_new(strlen(name) + 1, 1) : NULL;
    if (kept != NULL)
        strcpy(kept, name);
    filter->steps[filter->count++] = (FilterStep){kind, value, kept};
}

static void pop(View *view)
{
    free(view->filter.steps[--view->filter.count].name);
}

void filter_free(View *view)
{
    while (view->filter.count > 0)
        pop(view);
    free(view->filter.steps);
    view->filter = (Filter){.everything = view->filter.everything};
}

/* The first that is shown at this stop or after it, else the first of all. */
static void go_to_shown(View *view)
{
    size_t row = 0;
    while (row < view->row_count && view->rows[row].stop < view->stop)
        row++;
    if (view->row_count > 0)
        view_go_row(view, row < view->row_count ? row : 0);
}

static void rebuild(View *view)
{
    const Finding *finding = view_finding(view);
    bool hides = finding == NULL || !filter_shows(view, finding);
    if (hides) {
        text_clear(&view->rule);
        text_clear(&view->place);
    }
    view_rebuild(view);
    if (hides)
        go_to_shown(view);
    if (!filter_on(view))
        view_say(view, "no filter: all open findings are shown");
    else if (view->row_count == 0)
        view_say(view, "the filter hides everything; F takes it back");
    else
        view_say(view, "%zu shown, %zu open ones hidden; F takes that back", view->row_count,
                 view->hidden);
}

void filter_back(View *view)
{
    pop(view);
    rebuild(view);
}

/* ---- Choosing ---- */

static void take(View *view, FilterKind kind, int value, const char *name)
{
    push(view, kind, value, name);
    rebuild(view);
}

static void take_verdict(View *view, size_t item)
{
    static const Verdict order[] = {VERDICT_FLAG, VERDICT_UNKNOWN, VERDICT_TIGHT,
                                    VERDICT_PASS, VERDICT_OUT,     VERDICT_OFF};
    take(view, FILTER_VERDICT, (int)order[item], NULL);
}

static void take_class(View *view, size_t item)
{
    take(view, FILTER_CLASS, (int)item, NULL);
}

static void take_giver(View *view, size_t item)
{
    take(view, FILTER_GIVER, (int)item + GIVER_LINE, NULL);
}

static void take_part(View *view, size_t item)
{
    take(view, FILTER_PART, 0, view->menu.items[item].name);
}

static void take_rule(View *view, size_t item)
{
    take(view, FILTER_RULE, 0, view->menu.items[item].name);
}

static void take_cause(View *view, size_t item)
{
    take(view, FILTER_CAUSE, 0, view->menu.items[item].name);
}

static bool in_menu(const Menu *menu, const char *name)
{
    for (size_t i = 0; i < menu->count; i++)
        if (strcmp(menu->items[i].name, name) == 0)
            return true;
    return false;
}

static const char *name_of(const View *view, const Finding *finding, FilterKind kind)
{
    return kind == FILTER_RULE    ? finding->rule->id
           : kind == FILTER_CAUSE ? cause_name(view, finding)
                                  : finding->part;
}

/* Parts, rules or causes of all open findings, each once. */
static void open_names(View *view, const char *title, FilterKind kind,
                       void (*done)(View *view, size_t item))
{
    const Judgement *judgement = review_judgement(view->review);
    menu_open(view, title, done);
    for (size_t i = 0; i < judgement->count; i++) {
        const Finding *finding = &judgement->findings[i];
        if (!view->filter.everything && !finding_is_open(finding))
            continue;
        const char *name = name_of(view, finding, kind);
        if (!in_menu(&view->menu, name))
            menu_add(view, name, kind == FILTER_RULE ? finding->rule->title : NULL, false);
    }
    if (view->menu.count == 0) {
        view->menu.active = false;
        view_say(view, "nothing is open");
    }
}

static void open_words(View *view, const char *title, void (*done)(View *view, size_t item),
                       const char *(*word)(int value), int first, int last)
{
    menu_open(view, title, done);
    for (int value = first; value <= last; value++)
        menu_add(view, word(value), NULL, false);
}

static const char *class_word(int value)
{
    return class_name((RuleClass)value);
}

static const char *giver_word(int value)
{
    return giver_name((Giver)value);
}

static const char *verdict_word(int value)
{
    static const char *const words[] = {
        "! flag", "? unknown", "~ tight", "+ pass", "- out", "x off"};
    return words[value];
}

static void all_shown(View *view)
{
    filter_free(view);
    rebuild(view);
}

static void take_kind(View *view, size_t item)
{
    switch (item) {
    case 0:
        open_words(view, "Only this verdict", take_verdict, verdict_word, 0, VERDICT_COUNT - 1);
        break;
    case 1:
        open_words(view, "Only this class", take_class, class_word, CLASS_CRITICAL, CLASS_MINOR);
        break;
    case 2:
        open_names(view, "Only of this part or seam", FILTER_PART, take_part);
        break;
    case 3:
        open_names(view, "Only of this rule", FILTER_RULE, take_rule);
        break;
    case 4:
        open_names(view, "Only what is mended at", FILTER_CAUSE, take_cause);
        break;
    case 5:
        open_words(view, "Only what can be cleared by one alone", take_giver, giver_word, GIVER_LINE,
                   GIVER_COUNT - 1);
        break;
    case 6:
        take(view, FILTER_STEP, 0, NULL);
        break;
    case 7:
        filter_back(view);
        break;
    default:
        all_shown(view);
    }
}

void filter_open(View *view)
{
    menu_open(view, "Show only findings of one", take_kind);
    menu_add(view, "verdict", "flag, unknown, tight, ...", false);
    menu_add(view, "class", "critical, major, minor", false);
    menu_add(view, "part", "a part or seam", false);
    menu_add(view, "rule", NULL, false);
    menu_add(view, "cause", "one bend, material, limit ... to be mended", false);
    menu_add(view, "giver", "line, pattern, material, making, machine", false);
    menu_add(view, "last step", "what it made better or worse", false);
    if (!filter_on(view))
        return;
    menu_add(view, "one filter back", "takes the last one back", false);
    menu_add(view, "no filter", "shows all again", false);
}

/* Which findings are shown: of one verdict, class, part, rule or giver. For the pages. */
#include <stdlib.h>
#include <string.h>

#include "screen/view_inside.h"

bool filter_on(const View *view)
{
    const Filter *filter = &view->filter;
    return filter->verdict >= 0 || filter->class >= 0 || filter->giver >= 0 ||
           filter->part != NULL || filter->rule != NULL;
}

static bool same(const char *wanted, const char *text)
{
    return wanted == NULL || strcmp(wanted, text) == 0;
}

static bool may_give(const View *view, const Finding *finding, int giver)
{
    const Judgement *judgement = review_judgement(view->review);
    for (size_t i = 0; i < finding->rule->give_count; i++) {
        const Give *give = &finding->rule->gives[i];
        if ((int)field_at(give->field)->giver == giver && finding_may_give(judgement, finding, give))
            return true;
    }
    return false;
}

bool filter_shows(const View *view, const Finding *finding)
{
    const Filter *filter = &view->filter;
    if (filter->verdict >= 0 ? (int)finding->verdict != filter->verdict
                             : !filter->everything && !view_is_open(finding))
        return false;
    return (filter->class < 0 || (int)finding->rule->class == filter->class) &&
           same(filter->part, finding->part) && same(filter->rule, finding->rule->id) &&
           (filter->giver < 0 || may_give(view, finding, filter->giver));
}

static void add(Text *text, const char *kind, const char *word)
{
    text_addf(text, "%s%s%s", text->length > 0 && text->bytes[text->length - 1] != ' ' ? ", " : "",
              kind, kind[0] != '\0' ? " " : "");
    text_add_visible(text, word, strlen(word));
}

void filter_say(Text *text, const View *view)
{
    const Filter *filter = &view->filter;
    text_add(text, "only ");
    if (filter->verdict >= 0)
        add(text, "", verdict_name((Verdict)filter->verdict));
    if (filter->class >= 0)
        add(text, "", class_name((RuleClass)filter->class));
    if (filter->giver >= 0)
        add(text, "what can be given by", giver_name((Giver)filter->giver));
    if (filter->part != NULL)
        add(text, "part", filter->part);
    if (filter->rule != NULL)
        add(text, "rule", filter->rule);
    text_addf(text, "; %zu hidden (f)", view->hidden);
}

void filter_clear(View *view)
{
    free(view->filter.part);
    free(view->filter.rule);
    view->filter = (Filter){view->filter.everything, -1, -1, -1, NULL, NULL};
}

/* ---- Choosing ---- */

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
        view_say(view, "the filter hides everything; f takes another");
    else
        view_say(view, "%zu shown, %zu open ones hidden", view->row_count, view->hidden);
}

static char *copy(const char *text)
{
    char *kept = memory_new(strlen(text) + 1, 1);
    return strcpy(kept, text);
}

static void take_verdict(View *view, size_t item)
{
    static const Verdict order[] = {VERDICT_FLAG, VERDICT_UNKNOWN, VERDICT_TIGHT,
                                    VERDICT_PASS, VERDICT_OUT,     VERDICT_OFF};
    view->filter.verdict = (int)order[item];
    rebuild(view);
}

static void take_class(View *view, size_t item)
{
    view->filter.class = (int)item;
    rebuild(view);
}

static void take_giver(View *view, size_t item)
{
    view->filter.giver = (int)item + GIVER_LINE;
    rebuild(view);
}

static void take_part(View *view, size_t item)
{
    free(view->filter.part);
    view->filter.part = copy(view->menu.items[item].name);
    rebuild(view);
}

static void take_rule(View *view, size_t item)
{
    free(view->filter.rule);
    view->filter.rule = copy(view->menu.items[item].name);
    rebuild(view);
}

static bool in_menu(const Menu *menu, const char *name)
{
    for (size_t i = 0; i < menu->count; i++)
        if (strcmp(menu->items[i].name, name) == 0)
            return true;
    return false;
}

/* Parts or rules of all open findings, each once. */
static void open_names(View *view, const char *title, bool rules,
                       void (*done)(View *view, size_t item))
{
    const Judgement *judgement = review_judgement(view->review);
    menu_open(view, title, done);
    for (size_t i = 0; i < judgement->count; i++) {
        const Finding *finding = &judgement->findings[i];
        const char *name = rules ? finding->rule->id : finding->part;
        if ((view->filter.everything || view_is_open(finding)) && !in_menu(&view->menu, name))
            menu_add(view, name, rules ? finding->rule->title : NULL, false);
    }
    if (view->menu.count == 0) {
        view->menu.active = false;
        view_say(view, "nothing is open");
    }
}

static void take_kind(View *view, size_t item)
{
    static const char *const verdicts[] = {
        "! flag", "? unknown", "~ tight", "+ pass", "- out", "x off"};
    switch (item) {
    case 0:
        menu_open(view, "Only this verdict", take_verdict);
        for (size_t i = 0; i < sizeof verdicts / sizeof *verdicts; i++)
            menu_add(view, verdicts[i], NULL, false);
        break;
    case 1:
        menu_open(view, "Only this class", take_class);
        for (int i = CLASS_CRITICAL; i <= CLASS_MINOR; i++)
            menu_add(view, class_name((RuleClass)i), NULL, false);
        break;
    case 2:
        open_names(view, "Only of this part or seam", false, take_part);
        break;
    case 3:
        open_names(view, "Only of this rule", true, take_rule);
        break;
    case 4:
        menu_open(view, "Only what can be cleared by", take_giver);
        for (int i = GIVER_LINE; i < GIVER_COUNT; i++)
            menu_add(view, giver_name((Giver)i), NULL, false);
        break;
    default:
        filter_clear(view);
        rebuild(view);
    }
}

void filter_open(View *view)
{
    menu_open(view, "Show only findings of one", take_kind);
    menu_add(view, "verdict", "flag, unknown, tight, ...", false);
    menu_add(view, "class", "critical, major, minor", false);
    menu_add(view, "part", "a part or seam", false);
    menu_add(view, "rule", NULL, false);
    menu_add(view, "giver", "line, pattern, material, making, machine", false);
    if (filter_on(view))
        menu_add(view, "no filter", "shows all again", false);
}

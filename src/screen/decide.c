/* Recording a decision about the chosen finding: what, who, until when, why. It counts
 * once it is on the disk. For the table of keys. */
#include <string.h>

#include "screen/view_inside.h"

/* ---- Who is present ---- */

static const char *trimmed(Arena *arena, const char *text, size_t length)
{
    while (length > 0 && *text == ' ') {
        text++;
        length--;
    }
    while (length > 0 && text[length - 1] == ' ')
        length--;
    return arena_copy(arena, text, length);
}

bool who_take(View *view, const char *text, Text *problem)
{
    const char *names[2];
    size_t count = 0;
    for (;;) {
        size_t length = strcspn(text, ",");
        const char *name = trimmed(&view->arena, text, length);
        if (name[0] != '\0' && count == 2) {
            text_add(problem, "at most two names");
            return false;
        }
        if (name[0] != '\0')
            names[count++] = name;
        if (text[length] == '\0')
            break;
        text += length + 1;
    }
    if (count == 0) {
        text_add(problem, "a decision needs a name");
        return false;
    }
    const char **items = ARENA_NEW(&view->arena, const char *, 2);
    memcpy(items, names, count * sizeof *names);
    view->who = (TextList){items, count, 2};
    return true;
}

static bool answer_who(View *view, const char *text)
{
    if (!who_take(view, text, &view->prompt.problem))
        return false;
    view_say(view, "decisions are signed by %s%s%s", view->who.items[0],
             view->who.count > 1 ? " and " : "", view->who.count > 1 ? view->who.items[1] : "");
    return true;
}

static void ask_who(View *view, bool (*done)(View *view, const char *text))
{
    Text names = {0};
    for (size_t i = 0; i < view->who.count; i++)
        text_addf(&names, "%s%s", i > 0 ? ", " : "", view->who.items[i]);
    prompt_open(view, "Who is present:", text_string(&names), done);
    view->prompt.fresh = false;
    text_add(&view->prompt.hint, "one or two names, with a comma between them; asked once");
    text_free(&names);
}

void who_open(View *view)
{
    ask_who(view, answer_who);
}

/* ---- Keeping it ---- */

static void keep(View *view);

static void again(View *view, size_t item)
{
    if (item == 0)
        keep(view);
    else
        view_say(view, "the decision was not kept");
}

static void say_kept(View *view)
{
    const Finding *finding = view_finding(view);
    const Decided *decided = finding != NULL ? decision_of(view->decisions, finding) : NULL;
    Text text = {0};
    if (decided != NULL)
        decision_say(&text, decided);
    view_say(view, "kept: %s", text_string(&text));
    if (change_any(view))
        text_add(&view->message, "\nIt rests on changes that are not saved yet: s saves them.");
    text_free(&text);
}

static void keep(View *view)
{
    Messages messages = {0};
    Text problem = {0};
    LogRecord *record = view->record;
    char when[MOMENT_SIZE];
    if (!moment_write(when, view->setup.moment != 0 ? view->setup.moment : time(NULL)))
        text_add(&problem, "the clock shows no date");
    record->when = arena_copy(&view->recording, when, strlen(when));
    record->who = view->who;
    if (problem.length > 0 || !logged_complete(record, &problem) ||
        !decision_allowed(review_judgement(view->review), view_finding(view), record,
                          view->setup.today, &problem)) {
        view_trouble(view, "not kept: %s", text_string(&problem));
    } else if (!log_append(view->log, record, &messages)) {
        text_add(&problem, "Not kept: ");
        view_messages(&problem, &messages);
        menu_open(view, text_string(&problem), again);
        menu_add(view, "try again", NULL, true);
        menu_add(view, "give it up", "the decision is lost", false);
    } else {
        view_rebuild(view);
        say_kept(view);
    }
    text_free(&problem);
    messages_free(&messages);
}

/* ---- Questions, one after the other ---- */

static void next_question(View *view);

static const char *kept_text(View *view, const char *text)
{
    return trimmed(&view->recording, text, strlen(text));
}

static bool needs_text(View *view, const char *text, const char *what)
{
    if (text[strspn(text, " ")] != '\0')
        return true;
    text_add(&view->prompt.problem, what);
    return false;
}

static bool take_who(View *view, const char *text)
{
    if (!who_take(view, text, &view->prompt.problem))
        return false;
    bool two = view->record->decision == DECISION_PERMIT && view->record->class == CLASS_CRITICAL;
    if (two && !logged_two_names(&view->who)) {
        text_add(&view->prompt.problem, "a permit for a critical finding needs two names");
        return false;
    }
    next_question(view);
    return true;
}

static bool take_ask(View *view, const char *text)
{
    if (!needs_text(view, text, "whom is it to be asked?"))
        return false;
    view->record->ask = kept_text(view, text);
    next_question(view);
    return true;
}

static bool take_until(View *view, const char *text)
{
    const char *until = kept_text(view, text);
    Date date;
    bool day = date_read(until, &date);
    if (!day && logged_stage(until) < 0)
        text_add(&view->prompt.problem, "write a day such as 2026-03-31, or a stage: pull-over, "
                                        "fit-sample, confirmation-sample, production");
    else if (day && date_compare(date, view->setup.today) < 0)
        text_add(&view->prompt.problem, "that day is over");
    if (view->prompt.problem.length > 0)
        return false;
    view->record->until = until;
    next_question(view);
    return true;
}

static bool take_why(View *view, const char *text)
{
    if (!needs_text(view, text, "a decision needs a reason"))
        return false;
    view->record->why = kept_text(view, text);
    keep(view);
    return true;
}

static void next_question(View *view)
{
    LogRecord *record = view->record;
    bool permit = record->decision == DECISION_PERMIT;
    bool two = permit && record->class == CLASS_CRITICAL;
    if (view->who.count == 0 || (two && !logged_two_names(&view->who))) {
        ask_who(view, take_who);
        if (two)
            text_add(&view->prompt.hint, "; a permit for a critical finding needs two");
    } else if (record->decision == DECISION_ASK && record->ask[0] == '\0') {
        prompt_open(view, "Whom:", "", take_ask);
        text_add(&view->prompt.hint, "who is to be asked");
    } else if (permit && record->until[0] == '\0') {
        prompt_open(view, "Until:", "", take_until);
        text_add(&view->prompt.hint, "the last day, such as 2026-03-31, or the stage at which the "
                                     "permit ends: fit-sample, confirmation-sample, production");
    } else {
        prompt_open(view, "Why:", "", take_why);
        text_add(&view->prompt.hint, "the reason, in one line");
    }
}

/* ---- Which decision ---- */

static void take_decision(View *view, size_t item)
{
    const Finding *finding = view_finding(view);
    if (item == DECISION_PERMIT && finding->rule->danger) {
        view_trouble(view, "no permit here: this can hurt the wearer");
        return;
    }
    arena_free(&view->recording);
    view->record = ARENA_NEW(&view->recording, LogRecord, 1);
    LogRecord *record = view->record;
    record->when = record->why = record->until = record->ask = "";
    logged_take(&view->recording, record, review_judgement(view->review), finding);
    record->decision = (Decision)item;
    next_question(view);
}

bool decide_can(const View *view)
{
    return view_finding(view) != NULL;
}

void decide_open(View *view)
{
    const Finding *finding = view_finding(view);
    if (!view_is_open(finding)) {
        view_say(view, "%s: there is nothing to decide", verdict_name(finding->verdict));
        return;
    }
    if (view->log == NULL) {
        view_trouble(view, "a style from standard input has no decision log");
        return;
    }
    menu_open(view, "What is decided", take_decision);
    menu_add(view, "change the style", "somebody will draw or write it differently", false);
    menu_add(view, "ask someone", "whom, and what", false);
    menu_add(view, "make an attempt", "a swatch or a trial decides", false);
    menu_add(view, "permit it", "made so all the same, until a day or stage", false);
    menu_add(view, "hold", "not released before it is cleared", false);
}

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

/* Names apart at commas; false with a reason. */
static bool take_names(View *view, const char *text, Text *problem)
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
    if (!take_names(view, text, &view->prompt.problem))
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

static bool needs_two(const LogRecord *record)
{
    return record->decision == DECISION_PERMIT && record->class == CLASS_CRITICAL;
}

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
    if (!take_names(view, text, &view->prompt.problem))
        return false;
    if (needs_two(view->record) && !logged_two_names(&view->who)) {
        text_add(&view->prompt.problem, "a permit for a critical finding needs two names");
        return false;
    }
    next_question(view);
    return true;
}

static bool take_ask(View *view, const char *text)
{
    bool asks = view->record->decision == DECISION_ASK;
    if (!needs_text(view, text, asks ? "who is to be asked?" : "who makes it?"))
        return false;
    view->record->ask = kept_text(view, text);
    next_question(view);
    return true;
}

/* A permit must end; by when a question is answered or an attempt made may be left open. */
static bool take_until(View *view, const char *text)
{
    const char *until = kept_text(view, text);
    Date date;
    bool day = date_read(until, &date);
    bool open = until[0] == '\0' && view->record->decision != DECISION_PERMIT;
    if (!day && !open && logged_stage(until) < 0)
        text_add(&view->prompt.problem, "write a day such as 2026-03-31, or a stage: pull-over, "
                                        "fit-sample, confirmation-sample, production");
    else if (day && date_compare(date, view->setup.today) < 0)
        text_add(&view->prompt.problem, "that day is over");
    if (view->prompt.problem.length > 0)
        return false;
    view->record->until = until;
    view->until_asked = true;
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

static void ask_whom(View *view)
{
    bool asks = view->record->decision == DECISION_ASK;
    prompt_open(view, asks ? "Whom:" : "Who makes it:", "", take_ask);
    text_add(&view->prompt.hint, asks ? "who is to be asked" : "a name, or the room that tries it");
}

static void ask_until(View *view)
{
    bool permit = view->record->decision == DECISION_PERMIT;
    prompt_open(view, permit ? "Until:" : "By when:", "", take_until);
    text_add(&view->prompt.hint, "the last day, such as 2026-03-31, or the stage ");
    text_add(&view->prompt.hint,
             permit ? "at which the permit ends: fit-sample, confirmation-sample, production"
                    : "before which it is due: fit-sample, confirmation-sample, production; Enter "
                      "alone leaves it open");
}

static void next_question(View *view)
{
    const LogRecord *record = view->record;
    Decision decision = record->decision;
    bool others = decision == DECISION_ASK || decision == DECISION_ATTEMPT;
    if (view->who.count == 0 || (needs_two(record) && !logged_two_names(&view->who))) {
        ask_who(view, take_who);
        if (needs_two(record))
            text_add(&view->prompt.hint, "; a permit for a critical finding needs two");
    } else if (others && record->ask[0] == '\0') {
        ask_whom(view);
    } else if ((others || decision == DECISION_PERMIT) && !view->until_asked) {
        ask_until(view);
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
    view->until_asked = false;
    next_question(view);
}

bool decide_can(const View *view)
{
    return view_finding(view) != NULL;
}

void decide_open(View *view)
{
    const Finding *finding = view_finding(view);
    if (!finding_is_open(finding)) {
        view_say(view, "%s: there is nothing to decide", verdict_name(finding->verdict));
        return;
    }
    if (view->log == NULL) {
        view_trouble(view, "a style from standard input has no decision log");
        return;
    }
    menu_open(view, "What is decided", take_decision);
    menu_add(view, "change the style", "somebody will draw or write it differently", false);
    menu_add(view, "ask someone", "whom, by when", false);
    menu_add(view, "make an attempt", "who tries it, by when", false);
    menu_add(view, "permit it", "made so all the same, until a day or stage", false);
    menu_add(view, "hold", "not released before it is cleared", false);
}

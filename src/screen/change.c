/* Changing a value: typed, stepped or taken from a list; undone and done again. For the
 * table of keys. */
#include <string.h>

#include "screen/view_inside.h"

/* ---- A step ---- */

/* "left of edge vamp.cap-line: 3 mm → 2.5 mm" */
static const char *say_change(Arena *arena, const Choice *choice, const char *value)
{
    Text text = {0};
    text_add_visible(&text, choice->name, strlen(choice->name));
    text_add(&text, ": ");
    text_add_visible(&text, choice->text[0] != '\0' ? choice->text : "not written",
                     choice->text[0] != '\0' ? strlen(choice->text) : strlen("not written"));
    text_add(&text, " → ");
    text_add_visible(&text, value, strlen(value));
    const char *kept = arena_copy(arena, text_string(&text), text.length);
    text_free(&text);
    return kept;
}

static const char *text_now(const View *view)
{
    return view->choice_count > 0 ? view->choices[view->choice].text : "";
}

/* After review_set() or review_step() on the chosen value. */
static void stepped(View *view, const char *name, const char *before)
{
    Arena arena = {0};
    Choice was = {.name = name, .text = before};
    view_rebuild(view);
    if (view->choice_count > 0 && strcmp(before, text_now(view)) == 0)
        view_say(view, "that is its value already");
    else
        compared_say(view, say_change(&arena, &was, text_now(view)[0] != '\0' ? text_now(view)
                                                                             : "not written"));
    arena_free(&arena);
}

static bool set(View *view, const char *value, Text *problem)
{
    Arena arena = {0};
    const Choice *choice = &view->choices[view->choice];
    const char *name = arena_copy(&arena, choice->name, strlen(choice->name));
    const char *before = arena_copy(&arena, choice->text, strlen(choice->text));
    bool done = review_set(view->review, choice->path, value, problem);
    if (done)
        stepped(view, name, before);
    arena_free(&arena);
    return done;
}

/* ---- A new value ---- */

static bool take_typed(View *view, const char *text)
{
    text += strspn(text, " ");
    return set(view, *text != '\0' ? text : NULL, &view->prompt.problem);
}

static void take_option(View *view, size_t item)
{
    Text problem = {0};
    const Choice *choice = &view->choices[view->choice];
    const char *value = item < choice->option_count ? choice->options[item] : "unknown";
    if (!set(view, value, &problem))
        view_trouble(view, "%s", text_string(&problem));
    text_free(&problem);
}

static void open_options(View *view, const Choice *choice)
{
    menu_open(view, choice->name, take_option);
    for (size_t i = 0; i < choice->option_count; i++)
        menu_add(view, choice->options[i], NULL, strcmp(choice->options[i], choice->text) == 0);
    menu_add(view, "unknown", "not known yet", strcmp(choice->text, "unknown") == 0);
}

/* A number over a line cannot be tried: what to do instead. */
static void say_drawn(View *view)
{
    Arena arena = {0};
    const Choice *choice = &view->choices[view->choice];
    const char *of = strstr(choice->name, " of "), *place = of != NULL ? of + 4 : choice->name;
    const char *mirrored = strstr(place, " (");
    int length = (int)(mirrored != NULL ? (size_t)(mirrored - place) : strlen(place));
    const char *alternative = review_judgement(view->review)->style->alternative;
    view_say(
        view,
        "%s is measured on the drawn line (%s): redraw the line, and it is judged again.\n"
        "e opens the drawing there. As it is now: cordwain draw %s '%.*s'%s%s --as svg -o FILE",
        choice->name, short_where(&arena, choice->at), review_files(view->review)->style, length,
        place, alternative != NULL ? " --alternative " : "",
        alternative != NULL ? alternative : "");
    arena_free(&arena);
}

void change_open(View *view)
{
    const Choice *choice = &view->choices[view->choice];
    Arena arena = {0};
    if (choice->drawn) {
        say_drawn(view);
    } else if (choice->options != NULL && choice->option_count > 0) {
        open_options(view, choice);
    } else {
        Text accepts = {0};
        field_accepts(&accepts, choice->field);
        prompt_open(view, arena_printf(&view->choosing, "%s:", choice->name), choice->text,
                    take_typed);
        text_addf(&view->prompt.hint, "%s: %s%s", choice->field->means, text_string(&accepts),
                  choice->kept ? "; the style keeps this value" : "");
        text_free(&accepts);
    }
    arena_free(&arena);
}

bool change_can(const View *view)
{
    return view->choice_count > 0;
}

bool change_stepped(const View *view)
{
    return review_comparison(view->review) != NULL;
}

/* ---- Stepping ---- */

bool change_can_step(const View *view)
{
    if (!view->changing || view->choice_count == 0)
        return false;
    const Choice *choice = &view->choices[view->choice];
    return choice->drawn || choice->option_count > 0 || choice->field->step > 0;
}

static void step(View *view, int steps)
{
    Arena arena = {0};
    Text problem = {0};
    const Choice *choice = &view->choices[view->choice];
    if (choice->drawn) {
        say_drawn(view);
        return;
    }
    const char *name = arena_copy(&arena, choice->name, strlen(choice->name));
    const char *before = arena_copy(&arena, choice->text, strlen(choice->text));
    if (review_step(view->review, choice, steps, &problem))
        stepped(view, name, before);
    else
        view_trouble(view, "%s", text_string(&problem));
    text_free(&problem);
    arena_free(&arena);
}

void change_more(View *view)
{
    step(view, 1);
}

void change_less(View *view)
{
    step(view, -1);
}

/* ---- Back and forth ---- */

void change_undo(View *view)
{
    bool changing = view->changing;
    if (!review_undo(view->review)) {
        view_say(view, "there is nothing to undo");
        return;
    }
    view_rebuild(view);
    view->changing = changing && view->choice_count > 0;
    compared_say(view, "undone; r does it again");
}

void change_redo(View *view)
{
    if (!review_redo(view->review)) {
        view_say(view, "there is nothing to do again");
        return;
    }
    view_rebuild(view);
    compared_say(view, "done again");
}

/* ---- What is not saved ---- */

bool change_any(const View *view)
{
    const Changed *changes;
    return review_changed(view->review, &changes) > 0 || review_aside(view->review) > 0;
}

static void take_back(View *view, size_t item)
{
    const Changed *changes;
    size_t count = review_changed(view->review, &changes);
    Text problem = {0};
    bool done = item < count
                    ? review_set(view->review, changes[item].path, changes[item].before, &problem)
                    : review_drop(view->review);
    view_rebuild(view);
    if (done)
        compared_say(view,
                     item < count ? "taken back" : "all changes are dropped; u brings them back");
    else
        view_trouble(view, "%s", text_string(&problem));
    text_free(&problem);
}

void change_list(View *view)
{
    const Changed *changes;
    size_t count = review_changed(view->review, &changes);
    menu_open(view, "Not saved: Enter takes one back, Esc leaves them", take_back);
    for (size_t i = 0; i < count; i++) {
        const char *before = changes[i].before, *after = changes[i].after;
        menu_add(view, changes[i].path,
                 arena_printf(&view->menu.arena, "%s → %s", before != NULL ? before : "not written",
                              after != NULL ? after : "removed"),
                 false);
    }
    menu_add(view, "all of them", "drops every change that is not saved", false);
}

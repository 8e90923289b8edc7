/* Finding a word among the findings that are shown. For the table of keys. */
#include <string.h>

#include "screen/view_inside.h"

static char small(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c | 0x20) : c;
}

bool text_holds(const char *text, const char *word, size_t length)
{
    for (; *text != '\0'; text++) {
        size_t i = 0;
        while (i < length && text[i] != '\0' && small(text[i]) == small(word[i]))
            i++;
        if (i == length)
            return true;
    }
    return false;
}

static bool holds(const View *view, const char *text)
{
    return text_holds(text, text_string(&view->search), view->search.length);
}

static bool matches(const View *view, size_t row)
{
    const Finding *finding = view->rows[row].finding;
    size_t count;
    const Stop *at = view_stop(view, &count);
    const Stop *stop = at - view->stop + view->rows[row].stop;
    return holds(view, finding->place) || holds(view, finding->rule->title) ||
           holds(view, finding->rule->id) || holds(view, stop->name) ||
           holds(view, verdict_name(finding->verdict));
}

bool search_on(const View *view)
{
    return view->search.length > 0;
}

/* "3 of 17". */
static void say_which(View *view, bool wrapped, bool down)
{
    size_t before = 0, all = 0;
    for (size_t row = 0; row < view->row_count; row++) {
        bool found = matches(view, row);
        all += found;
        before += found && row <= view->row;
    }
    view_say(view, "\"%s\": %zu of %zu%s; n next, N before", text_string(&view->search), before,
             all,
             !wrapped ? ""
             : down   ? ", from the top again"
                      : ", from the end again");
}

static void go(View *view, bool down, bool here)
{
    size_t count = view->row_count, at = view->row == NO_ROW ? 0 : view->row;
    for (size_t i = here ? 0 : 1; i <= count && count > 0; i++) {
        size_t row = (at + (down ? i : count - i)) % count;
        if (!matches(view, row))
            continue;
        bool wrapped = i > 0 && (down ? row <= at : row >= at);
        view_go_row(view, row);
        say_which(view, wrapped, down);
        return;
    }
    view_trouble(view, "\"%s\" is not among the findings that are shown%s",
                 text_string(&view->search),
                 view->filter.everything ? "" : "; in the list, a shows everything");
}

void search_next(View *view)
{
    go(view, true, false);
}

void search_before(View *view)
{
    go(view, false, false);
}

static bool take_word(View *view, const char *text)
{
    text_clear(&view->search);
    text_add(&view->search, text);
    if (search_on(view))
        go(view, true, true);
    return true;
}

void search_open(View *view)
{
    prompt_open(view, "Find:", text_string(&view->search), take_word);
    text_add(&view->prompt.hint, "a word of a place, a title, a rule, a verdict or a stop");
}

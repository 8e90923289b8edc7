/* What a step made better and worse, by name. For the pages. */
#include <string.h>

#include "screen/view_inside.h"

bool compared_any(const View *view)
{
    const Comparison *comparison = review_comparison(view->review);
    return comparison != NULL && comparison->count > 0;
}

static void add_counts(Text *text, const Comparison *comparison)
{
    bool any = false;
    for (int kind = 0; kind < DIFFERENCE_KIND_COUNT; kind++) {
        if (comparison->counts[kind] == 0)
            continue;
        text_addf(text, "%s%zu %s", any ? ", " : "", comparison->counts[kind],
                  difference_word((DifferenceKind)kind));
        any = true;
    }
    if (!any)
        text_add(text, "nothing got better or worse");
}

static void add_difference(Text *text, const Comparison *comparison, const Difference *difference)
{
    Text line = {0};
    difference_say(&line, comparison, difference);
    text_add_visible(text, text_string(&line), line.length);
    text_free(&line);
}

void compared_say(View *view, const char *what)
{
    enum { NAMED_MOST = 8 };
    const Comparison *comparison = review_comparison(view->review);
    Text text = {0};
    text_addf(&text, "%s: ", what);
    if (comparison != NULL)
        add_counts(&text, comparison);
    if (comparison != NULL && comparison->count > 0)
        text_add(&text, " (c lists them)");
    for (size_t i = 0; comparison != NULL && i < comparison->count && i < NAMED_MOST; i++) {
        text_add(&text, "\n");
        add_difference(&text, comparison, &comparison->items[i]);
    }
    view_say(view, "%s", text_string(&text));
    text_free(&text);
}

static void fill(View *view, Text *text, int columns)
{
    (void)columns;
    const Comparison *comparison = review_comparison(view->review);
    if (comparison == NULL)
        return;
    add_counts(text, comparison);
    text_add(text, "\n\n");
    for (size_t i = 0; i < comparison->count; i++) {
        add_difference(text, comparison, &comparison->items[i]);
        text_add(text, "\n");
    }
}

void compared_open(View *view)
{
    text_page_open(view, "What the last step made of the findings", fill);
}

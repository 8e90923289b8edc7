/* What a step made better and worse, and what it touches, by name. For the pages. */
#include <string.h>

#include "compare/joined.h"
#include "screen/view_inside.h"

static TouchedPlaces touched(Arena *arena, const Comparison *comparison)
{
    return touched_places(arena, comparison->before, comparison->after);
}

bool compared_any(const View *view)
{
    return review_comparison(view->review) != NULL;
}

void compared_count(Text *text, const Comparison *comparison)
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

static void add_touched(Text *text, const Comparison *comparison)
{
    enum { TOUCHED_MOST = 3 };
    Arena arena = {0};
    Text line = {0};
    TouchedPlaces places = touched(&arena, comparison);
    touched_say(&line, &places, TOUCHED_MOST);
    if (line.length > 0) {
        text_add(text, "\n");
        text_add_visible(text, text_string(&line), line.length);
    }
    text_free(&line);
    arena_free(&arena);
}

void compared_say(View *view, const char *what)
{
    enum { NAMED_MOST = 8 };
    const Comparison *comparison = review_comparison(view->review);
    Text text = {0};
    text_addf(&text, "%s: ", what);
    if (comparison != NULL) {
        compared_count(&text, comparison);
        text_add(&text, " (c lists all)");
        add_touched(&text, comparison);
    }
    for (size_t i = 0; comparison != NULL && i < comparison->count && i < NAMED_MOST; i++) {
        text_add(&text, "\n");
        add_difference(&text, comparison, &comparison->items[i]);
    }
    view_say(view, "%s", text_string(&text));
    text_free(&text);
}

/* "  seam throat: joined to edge vamp.throat" */
static void add_places(Text *text, const TouchedPlaces *places, size_t from, size_t end,
                       const char *head)
{
    if (from == end)
        return;
    text_addf(text, "\n%s\n", head);
    for (size_t i = from; i < end; i++) {
        const TouchedPlace *place = &places->items[i];
        Text line = {0};
        text_addf(&line, "  %s %s: %s", subject_name(place->subject), place->name, place->why);
        text_add_visible(text, text_string(&line), line.length);
        text_add(text, "\n");
        text_free(&line);
    }
}

static void fill(View *view, Text *text, int columns)
{
    (void)columns;
    const Comparison *comparison = review_comparison(view->review);
    if (comparison == NULL)
        return;
    compared_count(text, comparison);
    text_add(text, "\n");
    for (size_t i = 0; i < comparison->count; i++) {
        text_add(text, i == 0 ? "\n" : "");
        add_difference(text, comparison, &comparison->items[i]);
        text_add(text, "\n");
    }
    Arena arena = {0};
    TouchedPlaces places = touched(&arena, comparison);
    add_places(text, &places, 0, places.changed, "Changed");
    add_places(text, &places, places.changed, places.count, "Touched and judged again");
    arena_free(&arena);
}

void compared_open(View *view)
{
    text_page_open(view, "What the last step changed", fill);
}

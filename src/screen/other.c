/* Another size, colourway, alternative or factory. For the table of keys. */
#include <string.h>

#include "screen/view_inside.h"

/* ---- Size and colourway: which lane is shown ---- */

static void take_size(View *view, size_t item)
{
    view->size = (int)item - 1;
}

static void take_colourway(View *view, size_t item)
{
    view->colourway = (int)item - 1;
}

/* In order, each once. */
static void add_lanes(View *view, bool sizes)
{
    const Judgement *judgement = review_judgement(view->review);
    for (uint32_t next = 0, found = 1; found; next++) {
        found = 0;
        for (uint32_t i = 0; i < judgement->lane_count && !found; i++) {
            const Lane *lane = &judgement->columns->lanes[i];
            if ((sizes ? lane->size_index : lane->colourway_index) != next)
                continue;
            const char *name = sizes ? lane->size : lane->colourway;
            menu_add(view, name[0] != '\0' ? name : "the only one", NULL,
                     (sizes ? view->size : view->colourway) == (int)next);
            found = 1;
        }
    }
}

void other_size(View *view)
{
    menu_open(view, "Size", take_size);
    menu_add(view, "all", "the worst of them is shown", view->size < 0);
    add_lanes(view, true);
}

void other_colourway(View *view)
{
    menu_open(view, "Colourway", take_colourway);
    menu_add(view, "all", "the worst of them is shown", view->colourway < 0);
    add_lanes(view, false);
}

/* ---- Alternative and factory: judged again ---- */

static void switched(View *view, bool done, const Text *problem, const char *what)
{
    if (!done) {
        view_trouble(view, "%s", text_string(problem));
        return;
    }
    view_rebuild(view);
    compared_say(view, what);
}

static void take_alternative(View *view, size_t item)
{
    Text problem = {0};
    const Style *style = review_judgement(view->review)->style;
    const char *name = item > 0 ? style->alternatives[item - 1].name : NULL;
    bool done = review_take_alternative(view->review, name, &problem);
    Arena arena = {0};
    name = review_judgement(view->review)->style->alternative;
    switched(view, done, &problem,
             name != NULL ? arena_printf(&arena, "alternative %s", name) : "as written");
    arena_free(&arena);
    text_free(&problem);
}

void other_alternative(View *view)
{
    const Style *style = review_judgement(view->review)->style;
    menu_open(view, "Alternative", take_alternative);
    menu_add(view, "as written", NULL, style->alternative == NULL);
    for (size_t i = 0; i < style->alternative_count; i++) {
        const char *name = style->alternatives[i].name;
        menu_add(view, name, NULL,
                 style->alternative != NULL && strcmp(name, style->alternative) == 0);
    }
}

static size_t factory_files(const View *view, Arena *arena, const char *const **paths)
{
    size_t count = 0;
    Messages ignored = {0};
    if (view->setup.factories == NULL ||
        !rules_in_folder(arena, view->setup.factories, paths, &count, &ignored))
        count = 0;
    messages_free(&ignored);
    return count;
}

static void take_factory(View *view, size_t item)
{
    Arena arena = {0};
    Text problem = {0};
    const char *const *paths = NULL;
    size_t count = factory_files(view, &arena, &paths);
    const char *path = item > 0 && item <= count ? paths[item - 1] : NULL;
    if (item <= count) { /* else the one that is taken, from elsewhere */
        bool done = review_take_factory(view->review, path, &problem);
        const Factory *factory = review_judgement(view->review)->factory;
        Text name = {0};
        if (factory != NULL)
            text_add_visible(&name, factory->name, strlen(factory->name));
        switched(view, done, &problem, factory != NULL ? text_string(&name) : "no factory");
        text_free(&name);
    }
    text_free(&problem);
    arena_free(&arena);
}

void other_factory(View *view)
{
    Arena arena = {0};
    const char *const *paths = NULL, *now = review_files(view->review)->factory;
    size_t count = factory_files(view, &arena, &paths);
    bool known = now == NULL;
    menu_open(view, "Factory", take_factory);
    menu_add(view, "none", "machines are unknown", now == NULL);
    for (size_t i = 0; i < count; i++) {
        const char *slash = strrchr(paths[i], '/'), *file = slash != NULL ? slash + 1 : paths[i];
        bool present = now != NULL && strcmp(paths[i], now) == 0;
        known = known || present;
        menu_add(view, arena_printf(&arena, "%.*s", (int)strcspn(file, "."), file), paths[i],
                 present);
    }
    if (!known)
        menu_add(view, now, NULL, true);
    arena_free(&arena);
}

/* ---- All of them ---- */

static void take_letters(View *view)
{
    view->no_braille = !view->no_braille;
}

static void take_other(View *view, size_t item)
{
    static void (*const open[])(View *view) = {other_size, other_colourway, other_alternative,
                                               other_factory, who_open, take_letters};
    open[item](view);
}

void other_open(View *view)
{
    menu_open(view, "Take another", take_other);
    menu_add(view, "size", "z", false);
    menu_add(view, "colourway", "y", false);
    menu_add(view, "alternative", "v", false);
    menu_add(view, "factory", "m", false);
    menu_add(view, "people", "who is present", false);
    menu_add(view, "letters for pictures", view->no_braille ? "dots again" : "instead of dots",
             false);
}

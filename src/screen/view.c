/* The review as people see it: opening, where they are, and which page a key goes to.
 * For screen.c and tests. */
#include "screen/view.h"

#include <stdlib.h>
#include <string.h>

#include "screen/view_inside.h"

/* ---- What is said at the bottom ---- */

static void say(View *view, bool trouble, const char *format, va_list arguments)
{
    text_clear(&view->message);
    text_addv(&view->message, format, arguments);
    view->trouble = trouble;
}

void view_say(View *view, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    say(view, false, format, arguments);
    va_end(arguments);
}

void view_trouble(View *view, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    say(view, true, format, arguments);
    va_end(arguments);
}

void view_messages(Text *text, const Messages *messages)
{
    Arena scratch = {0};
    for (size_t i = 0; i < messages->count; i++) {
        const Message *message = &messages->items[i];
        Text line = {0};
        if (message->at.file != NULL)
            text_addf(&line, "%s: ", where_text(&scratch, message->at));
        text_add(&line, message->text);
        if (message->other.file != NULL)
            text_addf(&line, " (see %s)", where_text(&scratch, message->other));
        text_add(text, text->length > 0 ? "\n" : "");
        text_add_visible(text, text_string(&line), line.length);
        text_free(&line);
    }
    arena_free(&scratch);
}

const char *short_where(Arena *arena, Where at)
{
    if (at.file == NULL)
        return "";
    const char *slash = strrchr(at.file, '/');
    const char *name = slash != NULL ? slash + 1 : at.file;
    return at.line > 0 ? arena_printf(arena, "%s:%d", name, at.line) : name;
}

/* ---- Findings ---- */

bool view_must_settle(const Finding *finding)
{
    return finding->verdict == VERDICT_FLAG || finding->verdict == VERDICT_UNKNOWN ||
           (finding->verdict == VERDICT_TIGHT && finding->rule->class == CLASS_CRITICAL);
}

bool view_is_settled(const View *view, const Finding *finding)
{
    const Decided *decided = decision_of(view->decisions, finding);
    return decided != NULL && decided->state == STATE_HOLDS;
}

/* The worst of the lanes that are looked at. */
uint32_t view_lane(const View *view, const Finding *finding)
{
    const Judgement *judgement = review_judgement(view->review);
    uint32_t worst = finding_worst_lane(judgement, finding), found = 0;
    bool any = false;
    for (uint32_t lane = 0; lane < judgement->lane_count; lane++) {
        const Lane *of = &judgement->columns->lanes[lane];
        if ((view->size >= 0 && (int)of->size_index != view->size) ||
            (view->colourway >= 0 && (int)of->colourway_index != view->colourway))
            continue;
        if (lane == worst)
            return lane;
        if (!any || finding->lanes[lane] > finding->lanes[found])
            found = lane;
        any = true;
    }
    return any ? found : worst;
}

const Stop *view_stop(const View *view, size_t *count)
{
    const Stop *stops;
    *count = review_stops(view->review, &stops);
    return *count > 0 ? &stops[view->stop] : NULL;
}

const Finding *view_finding(const View *view)
{
    return view->row != NO_ROW ? view->rows[view->row].finding : NULL;
}

/* ---- Where we are ---- */

static void keep(Text *text, const char *string)
{
    if (string == text->bytes)
        return;
    text_clear(text);
    text_add(text, string);
}

static void find_choices(View *view)
{
    const Finding *finding = view_finding(view);
    arena_free(&view->choosing);
    view->choices = NULL;
    view->choice_count = 0;
    if (finding != NULL)
        view->choice_count =
            review_choices(view->review, finding, &view->choosing, &view->choices);
    view->choice = 0;
    for (size_t i = 0; i < view->choice_count; i++)
        if (strcmp(view->choices[i].path, text_string(&view->choice_path)) == 0)
            view->choice = i;
    if (view->choice_count == 0)
        view->changing = false;
}

void view_go_row(View *view, size_t row)
{
    const Finding *finding = view->rows[row].finding;
    size_t count;
    view->row = row;
    view->stop = view->rows[row].stop;
    keep(&view->stop_name, view_stop(view, &count)->name);
    keep(&view->rule, finding->rule->id);
    keep(&view->place, finding->place);
    text_clear(&view->choice_path);
    view->changing = false;
    find_choices(view);
}

void view_go_stop(View *view, size_t stop)
{
    size_t count;
    for (size_t row = 0; row < view->row_count; row++)
        if (view->rows[row].stop == stop) {
            view_go_row(view, row);
            return;
        }
    view->row = NO_ROW;
    view->stop = stop;
    const Stop *at = view_stop(view, &count);
    keep(&view->stop_name, at != NULL ? at->name : "");
    text_clear(&view->rule);
    text_clear(&view->place);
    find_choices(view);
}

static bool is_chosen(const View *view, const Finding *finding)
{
    return strcmp(finding->rule->id, text_string(&view->rule)) == 0 &&
           strcmp(finding->place, text_string(&view->place)) == 0;
}

/* The chosen finding stays in sight even when a change has cleared it. */
static void build_rows(View *view)
{
    const Stop *stops;
    size_t count = review_stops(view->review, &stops);
    view->row_count = view->hidden = view->to_settle = view->settled = 0;
    view->row = NO_ROW;
    for (size_t i = 0; i < count; i++) {
        for (size_t k = 0; k < stops[i].count; k++) {
            const Finding *finding = stops[i].findings[k];
            bool chosen = is_chosen(view, finding), shown = filter_shows(view, finding);
            view->to_settle += view_must_settle(finding);
            view->settled += view_must_settle(finding) && view_is_settled(view, finding);
            view->hidden += !shown && finding_is_open(finding);
            if (!shown && !chosen)
                continue;
            if (view->row_count == view->row_capacity) {
                view->row_capacity = 2 * view->row_capacity + 64;
                view->rows = memory_grow(view->rows, view->row_capacity, sizeof *view->rows);
            }
            if (chosen)
                view->row = view->row_count;
            view->rows[view->row_count++] = (Row){i, finding};
        }
    }
}

/* The stop that was left if its finding is gone. */
static void find_stop(View *view)
{
    const Stop *stops;
    size_t count = review_stops(view->review, &stops), stop = view->stop;
    if (view->row != NO_ROW) {
        view->stop = view->rows[view->row].stop;
        keep(&view->stop_name, stops[view->stop].name);
        find_choices(view);
        return;
    }
    for (size_t i = 0; i < count; i++)
        if (strcmp(stops[i].name, text_string(&view->stop_name)) == 0)
            stop = i;
    view_go_stop(view, stop < count ? stop : count > 0 ? count - 1 : 0);
}

void view_rebuild(View *view)
{
    const Judgement *judgement = review_judgement(view->review);
    decisions_free(view->decisions);
    view->decisions = decisions_find(judgement, view->log, view->setup.today);
    if (view->clearing.judgement != judgement)
        clearing_forget(view);
    build_rows(view);
    find_stop(view);
}

/* ---- Opening and closing ---- */

static bool open_files(View *view, Messages *messages)
{
    view->review = review_open(&view->setup.files, messages);
    if (view->review == NULL)
        return false;
    const char *path = log_path(&view->arena, view->setup.files.style);
    if (path == NULL)
        return true;
    view->log = log_read(path, messages);
    return view->log != NULL;
}

/* The first finding that is to be settled. */
static void go_to_first(View *view)
{
    view_go_stop(view, 0);
    for (size_t row = 0; row < view->row_count; row++) {
        const Finding *finding = view->rows[row].finding;
        if (view_must_settle(finding) && !view_is_settled(view, finding)) {
            view_go_row(view, row);
            return;
        }
    }
    if (view->row_count > 0)
        view_go_row(view, 0);
}

View *view_open(const ViewSetup *setup, Messages *messages)
{
    View *view = memory_new(1, sizeof *view);
    view->setup = *setup;
    view->size = view->colourway = -1;
    if (!open_files(view, messages)) {
        view_close(view);
        return NULL;
    }
    view_rebuild(view);
    go_to_first(view);
    if (setup->tour)
        tour_open(view);
    return view;
}

void view_close(View *view)
{
    if (view == NULL)
        return;
    clearing_forget(view);
    ways_close(view);
    arena_free(&view->order.arena);
    decisions_free(view->decisions);
    log_free(view->log);
    review_close(view->review);
    free(view->rows);
    filter_free(view);
    Text *texts[] = {&view->stop_name, &view->rule, &view->place, &view->choice_path,
                     &view->page_text.text, &view->help.filter, &view->prompt.text,
                     &view->prompt.hint, &view->prompt.problem, &view->search, &view->message,
                     &view->clearing.why};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        text_free(texts[i]);
    arena_free(&view->choosing);
    arena_free(&view->menu.arena);
    arena_free(&view->recording);
    arena_free(&view->arena);
    free(view);
}

bool view_left(const View *view)
{
    return view->left;
}

int view_status(const View *view)
{
    return log_release(view->decisions);
}

/* ---- Keys ---- */

unsigned view_where(const View *view)
{
    switch (view->page) {
    case PAGE_LIST:
        return IN_LIST;
    case PAGE_TEXT:
        return IN_TEXT;
    case PAGE_PICTURE:
        return IN_PICTURE;
    case PAGE_HELP:
        return 0;
    case PAGE_REMEDIES:
        return IN_REMEDIES;
    case PAGE_LINE:
        return IN_LINE;
    case PAGE_WAYS:
        return IN_WAYS;
    case PAGE_ORDER:
        return IN_ORDER;
    case PAGE_WALK:
        break;
    }
    return view->changing ? IN_CHANGING : IN_WALK;
}

void view_key(View *view, int key)
{
    if (key == K_NONE || key == K_RESIZE)
        return;
    if (view->small) {
        view->left = key == 'q' && !change_any(view);
    } else if (tour_runs(view)) {
        tour_key(view, key);
    } else if (view->menu.active) {
        menu_key(view, key);
    } else if (view->prompt.active) {
        prompt_key(view, key);
    } else if (view->page == PAGE_HELP) {
        help_key(view, key);
    } else {
        text_clear(&view->message);
        const KeyRow *row = key_find(view, key);
        if (row != NULL)
            row->does(view);
        else if (key > ' ' && key < K_BACKSPACE)
            view_say(view, "the key %c does nothing here; ? shows what does", key);
    }
}

bool view_works(const View *view)
{
    return view->works != NULL;
}

void view_work(View *view)
{
    void (*works)(View *) = view->works;
    view->works = NULL;
    if (works != NULL)
        works(view);
}

Wish view_wish(View *view)
{
    Wish wish = {view->wish, view->wish_file, view->wish_line};
    view->wish = WISH_NONE;
    return wish;
}

/* ---- Drawing ---- */

void view_draw(View *view, Cells *cells)
{
    view->small = cells->rows < LEAST_ROWS || cells->columns < LEAST_COLUMNS;
    if (view->small) {
        view->works = NULL;
        cells_put(cells, 0, 0, cells->columns, LOOK_PLAIN,
                  change_any(view) ? "too small: 60x16 is needed; changes are not saved"
                                   : "too small: 60x16 is needed; q leaves");
        return;
    }
    view->works = NULL;
    filter_ask(view);
    title_draw(view, cells);
    switch (view->page) {
    case PAGE_REMEDIES:
        remedies_draw(view, cells);
        break;
    case PAGE_LINE:
        line_draw(view, cells);
        break;
    case PAGE_WAYS:
        ways_draw(view, cells);
        break;
    case PAGE_ORDER:
        order_draw(view, cells);
        break;
    case PAGE_WALK:
        walk_draw(view, cells);
        break;
    case PAGE_LIST:
        list_draw(view, cells);
        break;
    case PAGE_TEXT:
        text_page_draw(view, cells);
        break;
    case PAGE_PICTURE:
        pane_draw_page(view, cells);
        break;
    case PAGE_HELP:
        help_draw(view, cells);
        break;
    }
    keys_draw(view, cells);
    if (view->menu.active)
        menu_draw(view, cells);
    else if (view->prompt.active)
        prompt_draw(view, cells);
    if (tour_runs(view))
        tour_draw(view, cells);
}

/* The numbers a finding rests on, each with where it comes from. For the page of a stop. */
#include <math.h>
#include <string.h>

#include "screen/view_inside.h"

enum { NARROW = 56 };

static void add_value(Text *text, const Reading *reading)
{
    bool range = isnan(reading->nominal) && !isnan(reading->lo);
    if (reading->word != NULL) {
        text_add(text, reading->word);
    } else if (range) {
        unit_write(text, reading->lo, reading->dimension, reading->point, reading->unit, false);
        text_add(text, " to ");
        unit_write(text, reading->hi, reading->dimension, reading->point, reading->unit, false);
    } else {
        double up = reading->hi - reading->nominal, down = reading->nominal - reading->lo;
        unit_write(text, reading->nominal, reading->dimension, reading->point, reading->unit,
                   false);
        if (up > 0 && !reading->point && fabs(up - down) <= 1e-9 * up) {
            text_add(text, " ± ");
            unit_write(text, up, reading->dimension, false, reading->unit, false);
        } else if (reading->lo < reading->hi) {
            text_add(text, " (");
            unit_write(text, reading->lo, reading->dimension, reading->point, reading->unit, false);
            text_add(text, " to ");
            unit_write(text, reading->hi, reading->dimension, reading->point, reading->unit, false);
            text_add(text, ")");
        }
    }
}

/* A limit's name and value stand beside it already: who set it is what is new. */
static const char *without_value(const char *from)
{
    const char *set = strncmp(from, "limit ", 6) == 0 ? strstr(from, ", set by ") : NULL;
    return set != NULL ? set + 2 : from;
}

/* "skerry-turned.svg:54:5" for "measured from styles/skerry-turned.svg:54:5": folders are
 * left out where the line is short. */
static void add_from(Text *text, const char *from)
{
    while (*from != '\0') {
        size_t word = strcspn(from, " ");
        const char *slash = NULL;
        for (size_t i = 0; i < word; i++)
            if (from[i] == '/' && i + 1 < word && memchr(from, ':', word) != NULL)
                slash = from + i;
        const char *begin = slash != NULL ? slash + 1 : from;
        if (slash != NULL && from[0] == '(')
            text_add(text, "(");
        text_add_visible(text, begin, (size_t)(from + word - begin));
        from += word;
        for (; *from == ' '; from++)
            text_add(text, " ");
    }
}

/* Numbers first, then words, each in the order they are read. */
static void put_numbers_first(Arena *arena, Reading *readings, size_t count)
{
    Reading *sorted = ARENA_NEW(arena, Reading, count);
    size_t next = 0;
    for (int words = 0; words < 2; words++)
        for (size_t i = 0; i < count; i++)
            if ((readings[i].word != NULL) == (words == 1))
                sorted[next++] = readings[i];
    if (count > 0)
        memcpy(readings, sorted, count * sizeof *readings);
}

/* A number as it will stand: its origin in as many lines as there is room for. */
typedef struct Entry {
    const char *name, *value, *from;
    int lines;
} Entry;

static int width_of(const Cells *cells, const Entry *entries, size_t count, bool names, int most)
{
    int width = 0;
    for (size_t i = 0; i < count; i++) {
        int entry = cells_width(cells, names ? entries[i].name : entries[i].value);
        width = entry > width ? entry : width;
    }
    return width < most ? width : most;
}

/* "ply.thickness, quarter" for "ply.thickness of ply side.1 ply 1 (quarter)". */
static void add_short(Text *text, const char *name)
{
    const char *of = strstr(name, " of ply "), *part = strrchr(name, '(');
    if (of == NULL || part == NULL) {
        text_add(text, name);
        return;
    }
    text_add_bytes(text, name, (size_t)(of - name));
    text_add(text, ", ");
    text_add_bytes(text, part + 1, strcspn(part + 1, ")"));
}

static Entry entry_of(Arena *arena, const Reading *reading)
{
    Text name = {0}, value = {0}, from = {0};
    add_short(&name, reading->name);
    add_value(&value, reading);
    add_from(&from, without_value(reading->from));
    Entry entry = {arena_copy(arena, text_string(&name), name.length),
                   arena_copy(arena, text_string(&value), value.length),
                   arena_copy(arena, text_string(&from), from.length), 1};
    text_free(&name);
    text_free(&value);
    text_free(&from);
    return entry;
}

/* How many lines all take with their origins whole. */
static int wrap_entries(Entry *entries, size_t count, int width)
{
    int all = 0;
    for (size_t i = 0; i < count; i++) {
        Text wrapped = {0};
        text_add_wrapped(&wrapped, entries[i].from, width, 2);
        entries[i].lines = larger(text_lines(&wrapped), 1);
        all += entries[i].lines;
        text_free(&wrapped);
    }
    return all;
}

static void draw_from(Cells *cells, int y, int x, int width, const Entry *entry, bool whole)
{
    if (!whole) {
        cells_put(cells, y, x, width, LOOK_QUIET, entry->from);
        return;
    }
    Text wrapped = {0};
    text_add_wrapped(&wrapped, entry->from, width, 2);
    text_draw_lines(cells, y, x, entry->lines, width, LOOK_QUIET, text_string(&wrapped));
    text_free(&wrapped);
}

static void draw_more(Cells *cells, int y, int x, int width, size_t more, const char *how)
{
    Text text = {0};
    if (more > 0)
        text_addf(&text, "… %zu more; ", more);
    text_add(&text, how);
    cells_put(cells, y, x, width, LOOK_QUIET, text_string(&text));
    text_free(&text);
}

/* The name, and the value against the right end. */
static void draw_pair(Cells *cells, int y, int x, int width, const Entry *entry)
{
    int value = smaller(cells_width(cells, entry->value), width * 2 / 3);
    cells_put(cells, y, x, width - value - 1, LOOK_PLAIN, entry->name);
    cells_put_right(cells, y, x + width - value, value, LOOK_PLAIN, entry->value);
}

/* One below the other: origins too where there is room for all of them, else how to see them. */
static void draw_narrow(Cells *cells, int y, int x, int height, int width, Entry *entries,
                        size_t count)
{
    bool whole = wrap_entries(entries, count, width - 2) + (int)count <= height;
    size_t shown = whole || count < (size_t)height ? count : (size_t)height - 1;
    for (size_t i = 0; i < shown; i++) {
        draw_pair(cells, y++, x, width, &entries[i]);
        if (whole) {
            draw_from(cells, y, x + 2, width - 2, &entries[i], true);
            y += entries[i].lines;
        }
    }
    if (!whole)
        draw_more(cells, y, x, width, count - shown, "P: where from");
}

/* Beside each other, in columns. */
static void draw_wide(Cells *cells, int y, int x, int height, int width, Entry *entries,
                      size_t count)
{
    int name = width_of(cells, entries, count, true, width * 2 / 5);
    int value = width_of(cells, entries, count, false, width / 3), from = x + name + value + 2;
    bool whole = wrap_entries(entries, count, width - name - value - 2) <= height;
    size_t shown = whole || count <= (size_t)height ? count : (size_t)height - 1;
    for (size_t i = 0; i < shown; i++) {
        cells_put(cells, y, x, name, LOOK_PLAIN, entries[i].name);
        cells_put(cells, y, x + name + 1, value, LOOK_PLAIN, entries[i].value);
        draw_from(cells, y, from, width - name - value - 2, &entries[i], whole);
        y += whole ? entries[i].lines : 1;
    }
    if (shown < count)
        draw_more(cells, y, x, width, count - shown, "w shows all");
}

void numbers_draw(View *view, Cells *cells, int y, int x, int height, int width, int head_width)
{
    const Finding *finding = view_finding(view);
    if (finding == NULL || height < 2)
        return;
    Arena arena = {0};
    Reading *readings;
    uint32_t lane = view_lane(view, finding);
    const Judgement *judgement = review_judgement(view->review);
    size_t count = finding_readings(&arena, judgement, finding, lane, &readings);
    const char *at = logged_lane_name(&arena, judgement, lane);
    Text head = {0};
    text_addf(&head, "Numbers%s", at[0] != '\0' ? " at size " : "");
    text_add_visible(&head, at, strlen(at));
    cells_put(cells, y, x, head_width, LOOK_HEADING, text_string(&head));
    text_free(&head);
    put_numbers_first(&arena, readings, count);
    Entry *entries = ARENA_NEW(&arena, Entry, count);
    for (size_t i = 0; i < count; i++)
        entries[i] = entry_of(&arena, &readings[i]);
    (width < NARROW ? draw_narrow : draw_wide)(cells, y + 1, x, height - 1, width, entries, count);
    arena_free(&arena);
}

/* ---- Limits ---- */

/* "2.5 mm, set by …" and what it beats on lines of their own. */
static void add_limit(Text *text, const Reading *limit)
{
    static const char beats[] = "; beats ";
    const char *line = without_value(limit->from);
    Text value = {0};
    add_value(&value, limit);
    text_addf(text, "\n%s: %s\n", limit->name, text_string(&value));
    for (const char *next; line != NULL; line = next) {
        next = strstr(line, beats);
        text_add(text, "    ");
        text_add_visible(text, line, next != NULL ? (size_t)(next - line) : strlen(line));
        text_add(text, "\n");
        next = next != NULL ? next + 2 : NULL;
    }
    text_free(&value);
}

static void fill_limits(View *view, Text *text, int columns)
{
    (void)columns;
    const Finding *finding = view_finding(view);
    if (finding == NULL)
        return;
    Arena arena = {0};
    Reading *readings;
    size_t limits = 0, count = finding_readings(&arena, review_judgement(view->review), finding,
                                                view_lane(view, finding), &readings);
    text_addf(text, "%s\n", finding->rule->title);
    for (size_t i = 0; i < count; i++)
        if (strncmp(readings[i].from, "limit ", 6) == 0) {
            add_limit(text, &readings[i]);
            limits++;
        }
    text_add(text, limits > 0 ? "\nA factory sets a limit anew in its own file, with a reason.\n"
                              : "\nIt rests on no limit.\n");
    arena_free(&arena);
}

/* Of the chosen finding; from its explanation too. */
bool limits_can(const View *view)
{
    return view_finding(view) != NULL && (view->page != PAGE_TEXT || why_shown(view));
}

void limits_open(View *view)
{
    text_page_open(view, "Limits it rests on: who set them, where, what they beat", fill_limits);
}

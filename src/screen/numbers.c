/* The numbers a finding rests on, each with where it comes from. For the page of a stop. */
#include <math.h>
#include <string.h>

#include "screen/view_inside.h"

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
        unit_write(text, reading->nominal, reading->dimension, reading->point, reading->unit, false);
        if (reading->lo < reading->hi) {
            text_add(text, " (");
            unit_write(text, reading->lo, reading->dimension, reading->point, reading->unit, false);
            text_add(text, " to ");
            unit_write(text, reading->hi, reading->dimension, reading->point, reading->unit, false);
            text_add(text, ")");
        }
    }
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

static int count_lines(const Text *text)
{
    int lines = 0;
    for (size_t i = 0; i < text->length; i++)
        lines += text->bytes[i] == '\n' || i + 1 == text->length;
    return lines < 1 ? 1 : lines;
}

static Entry entry_of(Arena *arena, const Reading *reading)
{
    Text value = {0}, from = {0};
    add_value(&value, reading);
    add_from(&from, reading->from);
    Entry entry = {reading->name, arena_copy(arena, text_string(&value), value.length),
                   arena_copy(arena, text_string(&from), from.length), 1};
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
        entries[i].lines = count_lines(&wrapped);
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
    const char *line = text_string(&wrapped);
    for (int i = 0; i < entry->lines; i++) {
        cells_put(cells, y + i, x, width, LOOK_QUIET, line);
        line += strcspn(line, "\n");
        line += *line == '\n';
    }
    text_free(&wrapped);
}

static void draw_entries(Cells *cells, int y, int x, int height, int width, Entry *entries,
                         size_t count)
{
    int name = width_of(cells, entries, count, true, width / 3);
    int value = width_of(cells, entries, count, false, width / 3), from = x + name + value + 2;
    bool whole = wrap_entries(entries, count, width - name - value - 2) <= height;
    size_t shown = whole || count <= (size_t)height ? count : (size_t)height - 1;
    for (size_t i = 0; i < shown; i++) {
        cells_put(cells, y, x, name, LOOK_PLAIN, entries[i].name);
        cells_put(cells, y, x + name + 1, value, LOOK_PLAIN, entries[i].value);
        draw_from(cells, y, from, width - name - value - 2, &entries[i], whole);
        y += whole ? entries[i].lines : 1;
    }
    if (shown < count) {
        Text text = {0};
        text_addf(&text, "… %zu more; w shows all", count - shown);
        cells_put(cells, y, x, width, LOOK_QUIET, text_string(&text));
        text_free(&text);
    }
}

void numbers_draw(View *view, Cells *cells, int y, int x, int height, int width)
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
    cells_put(cells, y, x, width, LOOK_HEADING, text_string(&head));
    text_free(&head);
    put_numbers_first(&arena, readings, count);
    Entry *entries = ARENA_NEW(&arena, Entry, count);
    for (size_t i = 0; i < count; i++)
        entries[i] = entry_of(&arena, &readings[i]);
    draw_entries(cells, y + 1, x, height - 1, width, entries, count);
    arena_free(&arena);
}

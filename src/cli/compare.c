/* cordwain compare: alternatives, revisions and factories side by side. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "cli/cli.h"
#include "compare/ways.h"
#include "report/json_parts.h"

static const char help[] =
    "  cordwain compare styles/skerry.yaml --factory harbour,loft\n"
    "  cordwain compare styles/skerry.yaml --alternative as-written,turned --factory harbour\n"
    "  cordwain compare skerry-march.yaml skerry-april.yaml --factory harbour\n"
    "\n"
    "A table of which factory can build which way, then what differs from the first way (at the\n"
    "same factory: changes of the style) and from the first factory (the same way: other machines\n"
    "and limits), then the numbers of a pair side by side. Without --alternative all alternatives\n"
    "of one style are compared; two styles are compared as the first named alternative has them.\n";

/* ---- Reading ---- */

/* Ways down, factories across, all judged. */
typedef struct Compared {
    Case *shops;
    Case *styles; /* one a way */
    Judgement **cells;
    const char **names;
    size_t shop_count, way_count, way_most;
    Arena arena;
} Compared;

static void compared_free(Compared *c)
{
    for (size_t i = 0; c->cells && i < c->way_count * c->shop_count; i++)
        judgement_free(c->cells[i]);
    for (size_t i = 0; c->styles && i < c->way_most; i++)
        case_free(&c->styles[i]);
    for (size_t i = 0; c->shops && i < c->shop_count; i++)
        case_free(&c->shops[i]);
    free(c->cells);
    free(c->styles);
    free(c->shops);
    arena_free(&c->arena);
}

static bool read_shops(const Options *options, Compared *c, Messages *messages)
{
    const NameList *names = &options->factories;
    c->shop_count = names->count > 0 ? names->count : 1;
    c->shops = memory_new(c->shop_count, sizeof *c->shops);
    for (size_t f = 0; f < c->shop_count; f++)
        if (!case_shop(options, names->count > 0 ? names->items[f] : NULL, &c->shops[f], messages))
            return false;
    return true;
}

static bool read_way(const Options *options, Compared *c, const char *path, const char *alternative,
                     Messages *messages)
{
    Options as = *options;
    as.alternative = alternative;
    Case *style = &c->styles[c->way_count];
    if (!case_read(&as, path, style, messages))
        return false;
    const char *name = style->style->alternative ? style->style->alternative : "as-written";
    c->names[c->way_count++] =
        options->word_count > 1 ? arena_printf(&c->arena, "%s %s", path, name) : name;
    return true;
}

/* Alternatives named, else all of one style; of two styles the first named, or as written. */
static bool read_ways(const Options *options, Compared *c, Messages *messages)
{
    enum { ALTERNATIVES_MOST = 64 };
    const NameList *named = &options->alternatives;
    c->way_most = options->word_count * (named->count + ALTERNATIVES_MOST + 1);
    c->styles = memory_new(c->way_most, sizeof *c->styles);
    c->names = ARENA_NEW(&c->arena, const char *, c->way_most);
    for (size_t i = 0; i < options->word_count; i++) {
        const char *first = named->count > 0 ? named->items[0] : NULL;
        if (!read_way(options, c, options->words[i], first, messages))
            return false;
        const Style *style = c->styles[c->way_count - 1].style;
        for (size_t k = 1; k < named->count; k++)
            if (!read_way(options, c, options->words[i], named->items[k], messages))
                return false;
        for (size_t k = 0;
             options->word_count == 1 && named->count == 0 && k < style->alternative_count; k++)
            if (!read_way(options, c, options->words[i], style->alternatives[k].name, messages))
                return false;
    }
    return true;
}

static void judge_all(Compared *c)
{
    c->cells = memory_new(c->way_count * c->shop_count, sizeof *c->cells);
    for (size_t w = 0; w < c->way_count; w++)
        for (size_t f = 0; f < c->shop_count; f++)
            c->cells[w * c->shop_count + f] =
                judge(c->styles[w].style, c->shops[f].rules, c->shops[f].factory);
}

/* ---- Text ---- */

static void add_padded(Text *out, const char *text, int cells)
{
    size_t before = out->length;
    text_add_visible(out, text, strlen(text));
    for (int have = utf8_cells(out->bytes + before); have < cells; have++)
        text_add(out, " ");
}

static int widest(const char *const *texts, size_t count, int least)
{
    int most = least;
    for (size_t i = 0; i < count; i++)
        most = utf8_cells(texts[i]) > most ? utf8_cells(texts[i]) : most;
    return most;
}

static void add_matrix(Text *out, const Ways *ways)
{
    int left = widest(ways->names, ways->way_count, 0) + 2;
    for (size_t f = 0; f < ways->factory_count; f++) {
        text_add(out, "at ");
        text_add_visible(out, ways->factories[f], strlen(ways->factories[f]));
        text_add(out, "\n");
        for (size_t w = 0; w < ways->way_count; w++) {
            const WayCell *cell = way_cell(ways, w, f);
            const size_t *tally = cell->judgement->tally;
            text_add(out, "  ");
            add_padded(out, ways->names[w], left);
            add_padded(out, cell->word, 17);
            text_addf(out, "%zu flag, %zu unknown, %zu tight, %zu pass\n", tally[VERDICT_FLAG],
                      tally[VERDICT_UNKNOWN], tally[VERDICT_TIGHT], tally[VERDICT_PASS]);
        }
    }
}

static bool is_open(const Finding *finding)
{
    return finding && finding_is_open(finding);
}

/* Passes that only have more or less to spare are counted, and told with --all. */
static void add_differences(Text *out, const Judgement *before, const Judgement *after, int columns,
                            bool all)
{
    Comparison *comparison = compare_judgements(before, after);
    size_t passes = 0;
    for (size_t i = 0; i < comparison->count; i++) {
        if (!all && !is_open(comparison->items[i].before) && !is_open(comparison->items[i].after)) {
            passes++;
            continue;
        }
        Text line = {0}, visible = {0};
        difference_say(&line, comparison, &comparison->items[i]);
        text_add_visible(&visible, text_string(&line), line.length);
        text_add(out, "  ");
        text_add_wrapped(out, text_string(&visible), columns, 4);
        text_add(out, "\n");
        text_free(&line);
        text_free(&visible);
    }
    if (comparison->count == 0)
        text_add(out, "  no finding differs\n");
    if (passes > 0)
        text_addf(out, "  %s %zu that %s, with more or less to spare (--all tells)\n",
                  passes < comparison->count ? "and" : "only", passes,
                  passes == 1 ? "passes" : "pass");
    comparison_free(comparison);
}

static void add_title(Text *out, const char *what, const char *from, const char *to, const char *at)
{
    text_addf(out, "\n%s: ", what);
    text_add_visible(out, from, strlen(from));
    text_add(out, " -> ");
    text_add_visible(out, to, strlen(to));
    text_add(out, ", ");
    text_add_visible(out, at, strlen(at));
    text_add(out, "\n");
}

static void add_changes(Text *out, const Ways *ways, int columns, bool all)
{
    for (size_t w = 1; w < ways->way_count; w++)
        for (size_t f = 0; f < ways->factory_count; f++) {
            add_title(out, "changes of the style", ways->names[0], ways->names[w],
                      ways->factories[f]);
            add_differences(out, way_cell(ways, 0, f)->judgement, way_cell(ways, w, f)->judgement,
                            columns, all);
        }
    for (size_t w = 0; w < ways->way_count; w++)
        for (size_t f = 1; f < ways->factory_count; f++) {
            add_title(out, "other machines and limits", ways->factories[0], ways->factories[f],
                      ways->names[w]);
            add_differences(out, way_cell(ways, w, 0)->judgement, way_cell(ways, w, f)->judgement,
                            columns, all);
        }
}

static const char *number_text(Arena *arena, const PairNumber *number)
{
    Text text = {0};
    if (!number)
        text_add(&text, "-");
    else if (number->missing && number->least > 0)
        text_add(&text, ">= ");
    if (number) {
        PairNumber told = *number;
        told.value = number->least;
        told.missing = NULL;
        if (number->missing && !(number->least > 0))
            text_add(&text, "unknown");
        else
            pair_number_say(&text, &told);
    }
    const char *copy = arena_copy(arena, text_string(&text), text.length);
    text_free(&text);
    return copy;
}

/* As many ways side by side as the width takes; the others below. */
static void add_numbers(Text *out, const Ways *ways, int columns)
{
    Arena arena = {0};
    WayNumber *numbers;
    size_t count = way_numbers(ways, &arena, &numbers);
    enum { NAME_CELLS = 34, NUMBER_CELLS = 16 };
    size_t fit =
        columns > NAME_CELLS + NUMBER_CELLS ? (size_t)(columns - NAME_CELLS) / NUMBER_CELLS : 1;
    for (size_t from = 0; from < ways->way_count; from += fit) {
        size_t to = from + fit < ways->way_count ? from + fit : ways->way_count;
        text_add(out, "\n");
        add_padded(out, "a pair has", NAME_CELLS);
        for (size_t w = from; w < to; w++) {
            add_padded(out, ways->names[w], w + 1 < to ? NUMBER_CELLS : 0);
        }
        text_add(out, "\n");
        for (size_t i = 0; i < count; i++) {
            text_add(out, "  ");
            add_padded(out, numbers[i].any->name, NAME_CELLS - 2);
            for (size_t w = from; w < to; w++)
                add_padded(out, number_text(&arena, numbers[i].of[w]),
                           w + 1 < to ? NUMBER_CELLS : 0);
            text_add(out, "\n");
        }
    }
    text_add(out, "of the base size in the first colourway; what they assume is in the report\n");
    arena_free(&arena);
}

/* ---- JSON ---- */

static json_t *cell_json(const Ways *ways, size_t way, size_t factory)
{
    const WayCell *cell = way_cell(ways, way, factory);
    json_t *object = json_object(), *tally = json_object();
    json_put(object, "way", json_string(ways->names[way]));
    json_put(object, "factory",
             cell->judgement->factory ? json_string(ways->factories[factory]) : json_null());
    json_put(object, "worst", json_string(verdict_name(cell->worst)));
    for (Verdict verdict = 0; verdict < VERDICT_COUNT; verdict++)
        json_put(tally, verdict_name(verdict), json_count(cell->judgement->tally[verdict]));
    json_put(object, "tally", tally);
    return object;
}

static json_t *finding_verdict(const Finding *finding)
{
    return finding ? json_string(verdict_name(finding->verdict)) : json_null();
}

static json_t *comparison_json(const Ways *ways, size_t way, size_t factory, size_t other_way,
                               size_t other_factory)
{
    Comparison *comparison =
        compare_judgements(way_cell(ways, way, factory)->judgement,
                           way_cell(ways, other_way, other_factory)->judgement);
    json_t *object = json_object(), *list = json_array();
    json_put(object, "of", json_string(way == other_way ? "factory" : "style"));
    json_put(object, "before", cell_json(ways, way, factory));
    json_put(object, "after", cell_json(ways, other_way, other_factory));
    for (size_t i = 0; i < comparison->count; i++) {
        const Difference *difference = &comparison->items[i];
        const Finding *any = difference->after ? difference->after : difference->before;
        json_t *item = json_object();
        json_put(item, "kind", json_string(difference_word(difference->kind)));
        json_put(item, "rule", json_string(any->rule->id));
        json_put(item, "place", json_string(any->place));
        json_put(item, "before", finding_verdict(difference->before));
        json_put(item, "after", finding_verdict(difference->after));
        json_add(list, item);
    }
    json_put(object, "differences", list);
    comparison_free(comparison);
    return object;
}

static json_t *numbers_json(const Ways *ways)
{
    Arena arena = {0};
    WayNumber *numbers;
    size_t count = way_numbers(ways, &arena, &numbers);
    json_t *array = json_array();
    for (size_t i = 0; i < count; i++) {
        json_t *object = json_object(), *values = json_array();
        json_put(object, "key", json_string(numbers[i].any->key));
        json_put(object, "name", json_string(numbers[i].any->name));
        json_put(object, "unit",
                 numbers[i].any->unit ? json_string(numbers[i].any->unit->name) : json_null());
        for (size_t w = 0; w < ways->way_count; w++) {
            const PairNumber *number = numbers[i].of[w];
            json_add(values,
                     number && isfinite(number->value) ? json_real(number->value) : json_null());
        }
        json_put(object, "values", values);
        json_add(array, object);
    }
    arena_free(&arena);
    return array;
}

static void write_json(Text *out, const Ways *ways)
{
    json_t *object = json_object(), *matrix = json_array(), *list = json_array();
    json_put(object, "cordwain", json_string("compared/1"));
    for (size_t w = 0; w < ways->way_count; w++)
        for (size_t f = 0; f < ways->factory_count; f++) {
            json_add(matrix, cell_json(ways, w, f));
            if (w > 0)
                json_add(list, comparison_json(ways, 0, f, w, f));
            if (f > 0)
                json_add(list, comparison_json(ways, w, 0, w, f));
        }
    json_put(object, "matrix", matrix);
    json_put(object, "comparisons", list);
    json_put(object, "numbers", numbers_json(ways));
    json_write(out, object, JSON_INDENT(2) | JSON_REAL_PRECISION(6));
}

/* ---- The command ---- */

static void write_text(Text *out, const Ways *ways, int columns, bool all)
{
    add_matrix(out, ways);
    add_changes(out, ways, columns, all);
    add_numbers(out, ways, columns);
}

static int run(const Options *options)
{
    Messages messages = {0};
    Compared c = {0};
    if (options->word_count < 1 || options->word_count > 2) {
        fprintf(stderr, "usage: cordwain compare STYLE [STYLE2]\n");
        return EXIT_INPUT;
    }
    if (!read_shops(options, &c, &messages) || !read_ways(options, &c, &messages)) {
        compared_free(&c);
        return finish(&messages, EXIT_INPUT);
    }
    judge_all(&c);
    Ways *ways = ways_new(c.names, (const Judgement *const *)c.cells, c.way_count, c.shop_count);
    Text out = {0};
    if (options->form == OUTPUT_JSON)
        write_json(&out, ways);
    else
        write_text(&out, ways, options->columns, options->all);
    int status = print_all(&out, finish(&messages, EXIT_SUCCESS));
    text_free(&out);
    ways_free(ways);
    compared_free(&c);
    return status;
}

const Command command_compare = {"compare",
                                 "STYLE [STYLE2]",
                                 "alternatives, revisions and factories side by side",
                                 "--as=text|json --all --factory=several --alternative=several",
                                 help,
                                 run};

/* cordwain order: seam by seam, what lies flat and what is sewn in the round. */
#include <string.h>

#include "cli/cli.h"
#include "making/making.h"
#include "report/json_parts.h"

static const char help[] =
    "  cordwain order styles/skerry.yaml\n"
    "  cordwain order styles/skerry.yaml --alternative turned --as json\n"
    "\n"
    "Goes through the seams in the order the style gives: what is done to parts and edges before\n"
    "and after each, whether it lies flat on the bed, and why not. Then proposes an order in "
    "which\n"
    "more seams lie flat, if there is one. The proposal changes nothing: write it under order.\n";

/* ---- Text ---- */

static const char *sewn_word(const MakingStep *step)
{
    return step->sewing.flat == TRI_YES ? "flat" : step->sewing.flat == TRI_NO ? "round" : "?";
}

static void add_list(Text *out, const char *label, const char **items, size_t count, int columns)
{
    Text line = {0};
    for (size_t i = 0; i < count; i++)
        text_addf(&line, "%s%s", i ? "; " : label, items[i]);
    if (count > 0) {
        text_addf(out, "%12s", "");
        text_add_wrapped(out, text_string(&line), columns, 14);
        text_add(out, "\n");
    }
    text_free(&line);
}

static void add_step(Text *out, const MakingStep *step, size_t number, int columns, bool whole)
{
    Text line = {0};
    text_addf(&line, "%s%s%s", step->seam->record->path, step->round ? ": " : "",
              step->round ? step->round : "");
    text_addf(out, "%3zu  %-5s  ", number, sewn_word(step));
    text_add_wrapped(out, text_string(&line), columns, 14);
    text_add(out, "\n");
    text_free(&line);
    if (!whole)
        return;
    add_list(out, "before: ", step->before, step->before_count, columns);
    add_list(out, "after: ", step->after, step->after_count, columns);
}

static void add_order(Text *out, const MakingOrder *order, int columns, bool whole)
{
    for (size_t i = 0; i < order->count; i++)
        add_step(out, &order->steps[i], i + 1, columns, whole);
    text_addf(out, "%zu flat, %zu in the round, %zu unknown\n", order->flat, order->round,
              order->unknown);
}

static void order_text(Text *out, const Judgement *judgement, const MakingOrder *given,
                       const MakingOrder *proposed, int columns)
{
    const Style *style = judgement->style;
    text_add_visible(out, style->name, strlen(style->name));
    text_addf(out, "%s%s, making order%s\n", style->alternative ? ", " : "",
              style->alternative ? style->alternative : "",
              style->order_count ? "" : " (none is given: as the file has the seams)");
    add_order(out, given, columns, true);
    for (size_t i = 0; i < given->left_out_count; i++)
        text_addf(out, "not in the order: %s\n", given->left_out[i]->record->path);
    if (proposed->flat > given->flat) {
        text_add(out, "\nproposed: more seams lie flat so\n");
        add_order(out, proposed, columns, false);
    } else if (proposed->unsought) {
        text_addf(out, "\nno other order was sought: %zu seams of %zu parts are too many to try\n",
                  style->seam_count, style->lists[SUBJECT_PART].count);
    } else {
        text_add(out, "\nno order was found in which more seams lie flat\n");
    }
}

/* ---- JSON ---- */

static json_t *list_of(const char **items, size_t count)
{
    json_t *array = json_array();
    for (size_t i = 0; i < count; i++)
        json_add(array, json_string(items[i]));
    return array;
}

static json_t *order_json(const MakingOrder *order)
{
    json_t *array = json_array();
    for (size_t i = 0; i < order->count; i++) {
        const MakingStep *step = &order->steps[i];
        json_t *object = json_object();
        json_put(object, "seam", json_string(step->seam->record->path));
        json_put(object, "sewn",
                 step->sewing.flat == TRI_UNKNOWN ? json_null() : json_string(sewn_word(step)));
        json_put(object, "why", json_text_or_null(step->round));
        json_put(object, "opening_mm", json_number(step->sewing.opening));
        json_put(object, "before", list_of(step->before, step->before_count));
        json_put(object, "after", list_of(step->after, step->after_count));
        json_add(array, object);
    }
    return array;
}

static void write_json(Text *out, const Judgement *judgement, const MakingOrder *given,
                       const MakingOrder *proposed)
{
    json_t *object = json_object();
    json_put(object, "cordwain", json_string("order/1"));
    json_put(object, "style", json_string(judgement->style->code));
    json_put(object, "alternative",
             judgement->style->alternative ? json_string(judgement->style->alternative)
                                           : json_null());
    json_put(object, "given", order_json(given));
    json_put(object, "proposed", proposed->unsought ? json_null() : order_json(proposed));
    json_write(out, object, JSON_INDENT(2) | JSON_REAL_PRECISION(6));
}

/* ---- The command ---- */

static int run(const Options *options)
{
    Messages messages = {0};
    Case loaded = {0};
    if (options->word_count != 1) {
        fprintf(stderr, "usage: cordwain order STYLE\n");
        return EXIT_INPUT;
    }
    if (!case_rules(options, &loaded, &messages) ||
        !case_style(options, options->words[0], &loaded, &messages)) {
        case_free(&loaded);
        return finish(&messages, EXIT_INPUT);
    }
    Arena arena = {0};
    Text out = {0};
    MakingOrder given = making_given(&arena, loaded.judgement);
    MakingOrder proposed = making_proposed(&arena, loaded.judgement);
    if (options->form == OUTPUT_JSON)
        write_json(&out, loaded.judgement, &given, &proposed);
    else
        order_text(&out, loaded.judgement, &given, &proposed, options->columns);
    int status = print_all(&out, finish(&messages, EXIT_SUCCESS));
    text_free(&out);
    arena_free(&arena);
    case_free(&loaded);
    return status;
}

const Command command_order = {"order",
                               "STYLE",
                               "goes through the seams in making order: flat or in the round",
                               "--as=text|json --alternative --stage",
                               help,
                               run};

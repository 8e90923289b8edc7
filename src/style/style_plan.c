/* What surrounds the parts of a style: sizes, colourways, making order, what is
 * kept. For the style's reader. */
#include <math.h>
#include <string.h>

#include "style/patch.h"
#include "style/style_inside.h"

enum { SIZES_MOST = 200, SIZE_MOST = 1000, LANES_MOST = 2000 };

static const double step_least = 0.25;

/* ---- Sizes ---- */

static bool read_size(const StyleReader *reader, const YamlNode *node, const char *key,
                      double *size)
{
    const YamlNode *value = yaml_get(node, key);
    if (!value) {
        style_error(reader, node, "sizes need %s: a size such as 42", key);
        return false;
    }
    Text problem = {0};
    bool good = false;
    if (value->kind != YAML_SCALAR)
        text_add(&problem, "expected a size such as 42");
    else if (yaml_is_word(value, "unknown"))
        text_add(&problem, "sizes cannot be unknown; leave them out while they are");
    else
        good = decimal_read(value->text, value->length, false, size, &problem) == value->length;
    if (!good)
        style_error(reader, value, "%s: %s", key,
                    problem.length ? text_string(&problem) : "expected a size such as 42");
    text_free(&problem);
    return good;
}

static bool whole_steps(double from, double to, double step)
{
    double steps = (to - from) / step;
    return fabs(steps - round(steps)) < 1e-9;
}

static void check_sizes(const StyleReader *reader, const Sizes *sizes)
{
    const double most = SIZE_MOST;
    if (sizes->step < step_least)
        style_error(reader, sizes->node, "the step between sizes must be at least 0.25");
    else if (fmin(sizes->from, sizes->base) < 0 || fmax(sizes->to, sizes->base) > most)
        style_error(reader, sizes->node, "from, to and base must be sizes from 0 to %d",
                    (int)SIZE_MOST);
    else if (sizes->from > sizes->base || sizes->base > sizes->to)
        style_error(reader, sizes->node, "the base size must lie between from and to");
    else if (!whole_steps(sizes->from, sizes->base, sizes->step) ||
             !whole_steps(sizes->from, sizes->to, sizes->step))
        style_error(
            reader, sizes->node,
            "base and to must be whole steps from the first size; half sizes need step: 0.5");
    else if ((sizes->to - sizes->from) / sizes->step >= SIZES_MOST)
        style_error(reader, sizes->node, "the run has more than %d sizes", (int)SIZES_MOST);
}

static void read_system(const StyleReader *reader, const YamlNode *node, Sizes *sizes)
{
    const WordList *systems = word_list("system");
    const YamlNode *system = yaml_get(node, "system");
    int index = system && system->kind == YAML_SCALAR
                    ? word_index(systems, system->text, system->length)
                    : -1;
    const char *advice = system && system->kind == YAML_SCALAR
                             ? word_advice(systems, system->text, system->length)
                             : NULL;
    if (advice)
        style_error(reader, system, "system is %s; write %s", quoted(system->text).text, advice);
    else if (index < 0 && system && system->kind == YAML_SCALAR)
        style_error(reader, system, "system is %s; it is paris-point, english or mondopoint",
                    quoted(system->text).text);
    else if (index < 0)
        style_error(reader, system ? system : node,
                    "sizes need a system: paris-point, english or mondopoint");
    else
        sizes->system = (SizeSystem)index;
}

void style_read_sizes(StyleReader *reader)
{
    static const char *const known[] = {"system", "base", "from", "to", "step"};
    Sizes *sizes = &reader->style->sizes;
    const YamlNode *node = style_section(reader, "sizes");
    if (!node)
        return;
    sizes->given = true;
    sizes->node = node;
    for (size_t i = 0; i < node->count; i++) {
        bool found = false;
        for (size_t k = 0; k < sizeof known / sizeof known[0]; k++)
            found = found || strcmp(node->keys[i]->text, known[k]) == 0;
        if (!found)
            key_unknown(&reader->context, node->keys[i], known, sizeof known / sizeof known[0]);
    }
    read_system(reader, node, sizes);
    /* Without a step, one size follows the other; mondopoint goes by 5 mm. */
    sizes->step = sizes->system == SIZE_MONDOPOINT ? 5 : 1;
    bool good = !yaml_get(node, "step") || read_size(reader, node, "step", &sizes->step);
    good = read_size(reader, node, "base", &sizes->base) && good;
    good = read_size(reader, node, "from", &sizes->from) && good;
    good = read_size(reader, node, "to", &sizes->to) && good;
    if (good)
        check_sizes(reader, sizes);
}

size_t style_size_count(const Sizes *sizes)
{
    double steps = sizes->step >= step_least ? (sizes->to - sizes->from) / sizes->step : 0;
    return sizes->given && steps > 0 && steps < SIZES_MOST ? (size_t)lround(steps) + 1 : 1;
}

size_t style_sizes(const Style *style, Arena *arena, const double **numbers,
                   const char *const **names)
{
    const Sizes *sizes = &style->sizes;
    size_t count = style_size_count(sizes);
    double *number = ARENA_NEW(arena, double, count);
    const char **name = ARENA_NEW(arena, const char *, count);
    for (size_t i = 0; i < count; i++) {
        Text text = {0};
        number[i] = sizes->given ? sizes->from + (double)i * sizes->step : (double)NAN;
        if (sizes->given)
            text_add_number(&text, number[i], 6);
        name[i] = arena_copy(arena, text_string(&text), text.length);
        text_free(&text);
    }
    *numbers = number;
    *names = name;
    return count;
}

/* ---- Colourways ---- */

static void read_colourway(StyleReader *reader, const YamlNode *key, const YamlNode *node)
{
    Colourway *colourway = &reader->style->colourways[reader->style->colourway_count++];
    colourway->name = key->text;
    const char *label = arena_printf(reader->context.arena, "colourway %s", key->text);
    if (!id_check(&reader->context, key) || !mapping_check(&reader->context, node, label))
        return;
    colourway->swaps = ARENA_NEW(reader->context.arena, Swap, node->count);
    for (size_t i = 0; i < node->count; i++) {
        if (yaml_is_word(node->items[i], "unknown")) {
            style_error(reader, node->items[i],
                        "%s cannot be unknown; name a material, its values may be", label);
            continue;
        }
        Record *from = style_named(reader, SUBJECT_MATERIAL, node->keys[i]);
        Record *to = style_named(reader, SUBJECT_MATERIAL, node->items[i]);
        if (from && to)
            colourway->swaps[colourway->swap_count++] = (Swap){from, to};
    }
}

void style_read_colourways(StyleReader *reader)
{
    Style *style = reader->style;
    const YamlNode *node = style_section(reader, "colourways");
    size_t count = node ? node->count : 0, sizes = style_size_count(&style->sizes);
    if (count * sizes > LANES_MOST)
        style_error(reader, node,
                    "%zu sizes in %zu colourways are %zu to judge; at most %d are taken", sizes,
                    count, sizes * count, (int)LANES_MOST);
    style->colourways = ARENA_NEW(reader->context.arena, Colourway, count ? count : 1);
    for (size_t i = 0; i < count; i++)
        read_colourway(reader, node->keys[i], node->items[i]);
    if (count == 0) {
        style->colourways[0].name = "";
        style->colourway_count = 1;
    }
}

/* ---- Making order ---- */

typedef struct OrderReader {
    StyleReader *reader;
    const YamlNode **named; /* by seam: where the order names it */
} OrderReader;

static void order_seam(OrderReader *order, const YamlNode *node)
{
    StyleReader *reader = order->reader;
    Record *seam = style_named(reader, SUBJECT_SEAM, node);
    if (!seam)
        return;
    if (order->named[seam->index]) {
        message_error_two(reader->context.messages, yaml_where(node),
                          yaml_where(order->named[seam->index]), "%s is made twice in this order",
                          seam->path);
        return;
    }
    order->named[seam->index] = node;
    reader->style->order[reader->style->order_count++] = seam->index;
}

static void order_group(OrderReader *order, const YamlNode *group)
{
    for (size_t i = 0; i < group->count; i++) {
        const YamlNode *seams = group->items[i];
        id_check(&order->reader->context, group->keys[i]);
        if (seams->kind != YAML_SEQUENCE) {
            style_error(order->reader, seams,
                        "%s: expected a list of seams such as [back-seam, collar]",
                        quoted(group->keys[i]->text).text);
            continue;
        }
        for (size_t k = 0; k < seams->count; k++)
            order_seam(order, seams->items[k]);
    }
}

static void read_order(StyleReader *reader)
{
    const YamlNode *node = yaml_get(reader->root, "order");
    Style *style = reader->style;
    style->order_unknown = node && yaml_is_word(node, "unknown");
    if (!node || style->order_unknown)
        return;
    if (node->kind != YAML_SEQUENCE) {
        style_error(reader, node,
                    "order is a list of seams, or of groups such as {lining: [lining-back]}");
        return;
    }
    OrderReader order = {reader,
                         ARENA_NEW(reader->context.arena, const YamlNode *, style->seam_count)};
    style->order = ARENA_NEW(reader->context.arena, size_t, style->seam_count);
    for (size_t i = 0; i < node->count; i++)
        if (node->items[i]->kind == YAML_MAPPING)
            order_group(&order, node->items[i]);
        else
            order_seam(&order, node->items[i]);
}

/* ---- What is never proposed for change ---- */

/* A path must lead somewhere as written or as built: an alternative may remove
 * what the file as written keeps. */
static void read_keeps(StyleReader *reader)
{
    Style *style = reader->style;
    const YamlNode *node = yaml_get(reader->root, "keeps");
    if (!node)
        return;
    if (node->kind != YAML_SEQUENCE) {
        style_error(reader, node, "keeps is a list of paths such as [bottom, parts.vamp]");
        return;
    }
    style->keeps = ARENA_NEW(reader->context.arena, const YamlNode *, node->count);
    for (size_t i = 0; i < node->count; i++) {
        const YamlNode *path = node->items[i];
        if (!scalar_check(&reader->context, path, "keeps",
                          "a path such as parts.vamp.edges.throat"))
            continue;
        if ((path->length && patch_path_leads(style->file->root, path->text)) ||
            patch_path_check(reader->context.arena, reader->root, path->text, yaml_where(path),
                             reader->context.messages))
            style->keeps[style->keep_count++] = path;
    }
}

void style_read_plan(StyleReader *reader)
{
    read_order(reader);
    read_keeps(reader);
}

/* cordwain rules: read rule files, run their examples, list what they hold. */
#include <string.h>

#include "cli/rules_tried.h"

static const char help[] =
    "  cordwain rules\n"
    "  cordwain rules rules/base/turning.yaml\n"
    "  cordwain rules --factory my-shop.yaml\n"
    "  cordwain rules --all styles/*.yaml\n"
    "\n"
    "Reads rule files (all base rules where none is named) and, with --factory, a shop's limits\n"
    "and own rules; runs every example; lists the rules, and limits that no rule reads.\n"
    "\n"
    "Where styles are named, also tells which rules apply nowhere in them, never or always flag,\n"
    "or say the same as another, in every alternative; with --all the same over random values.\n";

static void add_rules(Text *out, const RuleSet *rules)
{
    for (size_t i = 0; i < rules->rule_count; i++) {
        const Rule *rule = rules->rules[i];
        text_addf(out, "%-28s %-8s %-8s ", rule->id, subject_name(rule->about),
                  class_name(rule->class));
        text_add_visible(out, rule->title, strlen(rule->title));
        if (rule->off_reason != NULL) {
            text_add(out, " (off: ");
            text_add_visible(out, rule->off_reason, strlen(rule->off_reason));
            text_add(out, ")");
        }
        text_add(out, "\n");
    }
}

static bool is_house(const Limit *limit)
{
    static const char *const house[] = {"tolerance_", "girth_step_", "making_"};
    for (size_t i = 0; i < sizeof house / sizeof *house; i++) {
        if (strncmp(limit->name, house[i], strlen(house[i])) == 0)
            return true;
    }
    return false;
}

static void note_unused(const RuleSet *rules, Messages *messages)
{
    for (size_t i = 0; i < rules->limit_count; i++) {
        const Limit *limit = rules->limits[i];
        if (!limit->used && !is_house(limit))
            message_notice(messages, limit->at, "no rule reads the limit %s", limit->name);
    }
}

static void add_own_limits(Text *out, const RuleSet *rules)
{
    Arena arena = {0};
    for (size_t i = 0; i < rules->limit_count; i++) {
        const Limit *limit = rules->limits[i];
        const WordList *words = limit->by != FIELD_ID_COUNT ? field_at(limit->by)->words : NULL;
        size_t count = words != NULL ? words->count : 0;
        for (size_t w = 0; w <= count; w++) {
            const LimitValue *value = w < count ? &limit->values[w] : &limit->otherwise;
            if (!value->given || value->beaten == NULL)
                continue;
            text_addf(out, "%s%s%s: ", limit->name, w < count ? " for " : "",
                      w < count ? words->words[w] : "");
            unit_write(out, value->quantity.nominal, limit->type.dimension, limit->type.point,
                       limit->unit, false);
            text_add(out, " beats ");
            unit_write(out, value->beaten->quantity.nominal, limit->type.dimension,
                       limit->type.point, limit->unit, false);
            const char *over = arena_printf(&arena, " (%s, over %s)", where_text(&arena, value->at),
                                            where_text(&arena, value->beaten->at));
            text_add_visible(out, over, strlen(over));
            text_add(out, "\n");
        }
    }
    arena_free(&arena);
}

/* What is named on the command line, by what the file says it is. */
typedef struct Named {
    Arena arena;
    NameList rules, styles;
} Named;

static bool is_style(const char *path)
{
    Arena arena = {0};
    Messages ignored = {0};
    YamlFile *file = strcmp(path, "-") != 0 ? yaml_read(&arena, path, true, &ignored) : NULL;
    const YamlNode *kind = file != NULL ? yaml_get(file->root, "cordwain") : NULL;
    bool style = kind != NULL && kind->kind == YAML_SCALAR &&
                 strncmp(kind->text, "style/", strlen("style/")) == 0;
    messages_free(&ignored);
    arena_free(&arena);
    return style;
}

static Named sort_words(const Options *options)
{
    Named named = {0};
    for (size_t i = 0; i < options->word_count; i++) {
        NameList *list = is_style(options->words[i]) ? &named.styles : &named.rules;
        *ARENA_PUSH(&named.arena, list->items, list->count, list->capacity) = options->words[i];
    }
    return named;
}

static bool read_named(const Options *options, const Named *named, Case *loaded, Messages *messages)
{
    if (named->rules.count == 0)
        return case_rules(options, loaded, messages);
    loaded->rules = rules_read(named->rules.items, named->rules.count, NULL, messages);
    return loaded->rules != NULL;
}

/* False with messages where a style is refused. */
static bool add_tried(Text *out, const Options *options, const Named *named, const Case *loaded,
                      Messages *messages)
{
    bool good = named->styles.count == 0 ||
                rules_tried_over(out, loaded, &named->styles, options->columns, messages);
    if (options->all)
        rules_tried_at_random(out, loaded->rules, options->columns);
    return good;
}

static int run(const Options *options)
{
    Messages messages = {0};
    Case loaded = {0};
    Text out = {0};
    Named named = sort_words(options);
    int status = EXIT_INPUT;
    if (read_named(options, &named, &loaded, &messages)) {
        size_t examples = 0;
        bool good = judge_examples(loaded.rules, &messages, &examples);
        add_rules(&out, loaded.rules);
        add_own_limits(&out, loaded.rules);
        note_unused(loaded.rules, &messages);
        good = add_tried(&out, options, &named, &loaded, &messages) && good;
        text_addf(&out, "%zu rules, %zu limits, %zu examples: %s\n", loaded.rules->rule_count,
                  loaded.rules->limit_count, examples,
                  good ? "all as expected" : "not all as expected");
        status = print_all(&out, good ? 0 : EXIT_INPUT);
    }
    text_free(&out);
    arena_free(&named.arena);
    case_free(&loaded);
    return finish(&messages, status);
}

const Command command_rules = {"rules", "[FILE...]", "read rule files and run their examples",
                               "--all", help,        run};

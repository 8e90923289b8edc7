/* Rule files put together with what a factory replaces, switches off and adds.
 * For everyone who judges. */
#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "rule/rule_inner.h"

static bool head_is_right(RuleSet *set, const YamlFile *file)
{
    static const char *const keys[] = {"cordwain", "title",  "constants",
                                       "limits",   "tables", "rules"};
    Messages *messages = set->messages;
    ReadContext context = {.arena = &set->arena, .messages = messages};
    return file_head(&context, file, "rules") &&
           keys_check(file->root, "a rule file", keys, 6, messages) &&
           key_text_due(file->root, "title", "a rule file", messages);
}

static void open_files(RuleSet *set, const char *const *paths, size_t count)
{
    set->files = ARENA_NEW(&set->arena, YamlFile *, count);
    for (size_t i = 0; i < count; i++) {
        YamlFile *file = yaml_read(&set->arena, paths[i], true, set->messages);
        if (file && head_is_right(set, file)) {
            set->files[set->file_count++] = file;
        }
    }
}

/* Limits, constants and tables of all files come first: a rule may read those of
 * another file. */
static void read_names(RuleSet *set, const Factory *factory)
{
    for (size_t i = 0; i < set->file_count; i++) {
        const YamlNode *root = set->files[i]->root;
        constants_read(set, yaml_get(root, "constants"));
        tables_read(set, yaml_get(root, "tables"));
        limits_read(set, yaml_get(root, "limits"), "base rules");
    }
    if (factory) {
        if (factory->constants) {
            message_error(set->messages, yaml_where(factory->constants),
                          "constants are closed to factories");
        }
        tables_read(set, factory->tables);
        limits_read(set, factory->local_limits, factory->name);
    }
}

static void read_rules(RuleSet *set, const Factory *factory)
{
    for (size_t i = 0; i < set->file_count; i++) {
        rules_of_mapping(set, yaml_get(set->files[i]->root, "rules"));
    }
    if (factory) {
        rules_of_mapping(set, factory->rules);
    }
}

/* Which limits are read, and by whom. */
static void mark_limits(RuleSet *set)
{
    for (size_t i = 0; i < set->rule_count; i++) {
        const Rule *rule = set->rules[i];
        for (size_t k = 0; k < rule->limit_count; k++) {
            Limit *limit = rules_limit(set, rule->limits[k]->name);
            limit->used = true;
            limit->read_by_critical = limit->read_by_critical || rule->class == CLASS_CRITICAL;
        }
    }
}

static int by_id(const void *a, const void *b)
{
    return strcmp((*(Rule *const *)a)->id, (*(Rule *const *)b)->id);
}

static void unknown_rule(RuleSet *set, const YamlNode *at, const char *id)
{
    const char **ids = ARENA_NEW(&set->arena, const char *, set->rule_count);
    for (size_t i = 0; i < set->rule_count; i++) {
        ids[i] = set->rules[i]->id;
    }
    message_error(set->messages, yaml_where(at), "there is no rule %s%s", id,
                  nearest_hint(&set->arena, id, ids, set->rule_count));
}

static void switch_off(RuleSet *set, const Factory *factory)
{
    for (size_t i = 0; i < factory->not_judged_count; i++) {
        const NotJudged *off = &factory->not_judged[i];
        Rule *rule = rules_find(set, off->rule);
        if (!reason_check(off->node, set->messages)) {
            continue;
        }
        if (rule) {
            rule->off_reason = off->reason;
            rule->off_at = yaml_where(off->node);
        } else {
            unknown_rule(set, off->node, off->rule);
        }
    }
}

RuleSet *rules_read(const char *const *paths, size_t count, const Factory *factory,
                    Messages *messages)
{
    size_t before = messages->errors;
    RuleSet *set = memory_new(1, sizeof *set);
    set->messages = messages;
    open_files(set, paths, count);
    read_names(set, factory);
    /* With a limit missing every rule that reads it would look wrong too. */
    if (messages->errors == before) {
        read_rules(set, factory);
        if (set->rule_count > 0) {
            qsort(set->rules, set->rule_count, sizeof *set->rules, by_id);
        }
        mark_limits(set);
        if (factory) {
            limits_replace(set, factory);
            switch_off(set, factory);
        }
    }
    if (messages->errors > before) {
        rules_free(set);
        return NULL;
    }
    return set;
}

void rules_free(RuleSet *set)
{
    if (set) {
        arena_free(&set->arena);
        free(set);
    }
}

Rule *rules_find(const RuleSet *set, const char *id)
{
    Rule key = {.id = id}, *sought = &key;
    if (set->rule_count == 0) {
        return NULL;
    }
    Rule **found = bsearch(&sought, set->rules, set->rule_count, sizeof *set->rules, by_id);
    return found ? *found : NULL;
}

static int by_name(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static bool is_rule_file(const char *name)
{
    size_t length = strlen(name);
    return name[0] != '.' && length > 5 && strcmp(name + length - 5, ".yaml") == 0;
}

bool rules_in_folder(Arena *arena, const char *folder, const char *const **paths, size_t *count,
                     Messages *messages)
{
    Where at = {.file = arena_copy(arena, folder, strlen(folder))};
    const char **found = NULL;
    size_t capacity = 0;
    *count = 0;
    DIR *open = opendir(folder);
    if (!open) {
        message_error(messages, at, "cannot read this folder of rules: %s", strerror(errno));
        return false;
    }
    errno = 0;
    for (struct dirent *entry; (entry = readdir(open)) != NULL; errno = 0) {
        if (is_rule_file(entry->d_name)) {
            *ARENA_PUSH(arena, found, *count, capacity) =
                arena_printf(arena, "%s/%s", folder, entry->d_name);
        }
    }
    int error = errno;
    if (closedir(open) != 0 || error != 0) {
        message_error(messages, at, "cannot read this folder of rules: %s", strerror(error));
        return false;
    }
    if (*count == 0) {
        message_error(messages, at, "no *.yaml file of rules is here");
        return false;
    }
    qsort(found, *count, sizeof *found, by_name);
    *paths = found;
    return true;
}

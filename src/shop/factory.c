/* Reads a factory: its machines by the table of fields; limits and rules are
 * handed on as nodes. For the rules' reader, measure and the command line. */
#include "shop/factory.h"

#include <stdlib.h>
#include <string.h>

enum { MACHINES_MOST = 500 };

static const char *const head_keys[] = {"cordwain",   "lengths",    "machines",
                                        "limits",     "not_judged", "rules",
                                        "own_limits", "tables",     "constants"};

static const YamlNode *section(const ReadContext *context, const Factory *factory, const char *name)
{
    const YamlNode *node = yaml_get(factory->file->root, name);
    return node && mapping_check(context, node, name) ? node : NULL;
}

static void read_name(const ReadContext *context, Factory *factory)
{
    const YamlNode *root = factory->file->root, *name = yaml_get(root, "name");
    const char *path = name && name->kind == YAML_SCALAR && name->length ? name->text : "factory";
    RecordList list = {0};
    factory->record =
        record_new(context->arena, &list, SUBJECT_FACTORY, path, path, root, NULL, NULL);
    record_read(context, factory->record, root, head_keys, sizeof head_keys / sizeof head_keys[0]);
    factory->name = record_value(factory->record, FACTORY_NAME)->text;
}

static void read_machine(const ReadContext *context, Factory *factory, const YamlNode *key,
                         const YamlNode *node)
{
    if (!id_check(context, key))
        return;
    Record *machine = record_new(context->arena, &factory->machines, SUBJECT_MACHINE, key->text,
                                 key->text, node, key, NULL);
    if (yaml_is_word(node, "unknown")) {
        record_unknown(machine, node);
        machine->placeholder = true;
        return;
    }
    const char *label = arena_printf(context->arena, "machine %s", key->text);
    if (mapping_check(context, node, label))
        record_read(context, machine, node, NULL, 0);
}

static void read_machines(const ReadContext *context, Factory *factory)
{
    const YamlNode *root = factory->file->root, *machines = section(context, factory, "machines");
    if (!yaml_get(root, "machines"))
        message_error(context->messages, yaml_where(root),
                      "machines is missing; write {} where the shop has none");
    if (machines && machines->count > MACHINES_MOST) {
        message_error(context->messages, yaml_where(machines->keys[MACHINES_MOST]),
                      "%zu machines are given; at most %d are taken", machines->count,
                      (int)MACHINES_MOST);
        return;
    }
    for (size_t i = 0; machines && i < machines->count; i++)
        read_machine(context, factory, machines->keys[i], machines->items[i]);
}

static void read_not_judged(const ReadContext *context, Factory *factory)
{
    const YamlNode *node = section(context, factory, "not_judged");
    size_t count = node ? node->count : 0;
    factory->not_judged = ARENA_NEW(context->arena, NotJudged, count);
    for (size_t i = 0; i < count; i++) {
        const YamlNode *rule = node->keys[i], *reason = node->items[i];
        if (!id_check(context, rule))
            continue;
        if (yaml_is_word(reason, "unknown"))
            message_error(context->messages, yaml_where(reason),
                          "a rule is only switched off for a reason; say which");
        else if (scalar_check(context, reason, rule->text, "the reason why it is not judged"))
            factory->not_judged[factory->not_judged_count++] =
                (NotJudged){rule->text, reason->text, reason};
    }
}

static bool read_factory(Factory *factory, Messages *messages)
{
    size_t before = messages->errors;
    ReadContext context = {.arena = &factory->arena, .messages = messages};
    if (!file_head(&context, factory->file, "factory"))
        return false;
    read_name(&context, factory);
    read_machines(&context, factory);
    read_not_judged(&context, factory);
    factory->limits = section(&context, factory, "limits");
    factory->rules = section(&context, factory, "rules");
    factory->local_limits = section(&context, factory, "own_limits");
    factory->tables = section(&context, factory, "tables");
    factory->constants = section(&context, factory, "constants");
    return messages->errors == before;
}

Factory *factory_read(const char *path, Messages *messages)
{
    Factory *factory = memory_new(1, sizeof *factory);
    factory->file = yaml_read(&factory->arena, path, true, messages);
    if (factory->file && read_factory(factory, messages))
        return factory;
    factory_free(factory);
    return NULL;
}

void factory_free(Factory *factory)
{
    if (!factory)
        return;
    arena_free(&factory->arena);
    free(factory);
}

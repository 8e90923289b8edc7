/* A factory read: machines by the table, limits and rules handed on, and every
 * misspelt key refused. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "base/file.h"
#include "base/text.h"
#include "shop/factory.h"
#include "scratch.h"

static const char fixture[] = "tests/fixtures/shop.yaml";

static void test_fixture(void **state)
{
    (void)state;
    Messages messages = {0};
    Factory *factory = factory_read(fixture, &messages);
    assert_non_null(factory);
    assert_int_equal(messages.count, 0);
    assert_string_equal(factory->name, "Harbour closing room (invented)");
    assert_int_equal(factory->machines.count, 3);
    const Record *post = record_find(&factory->machines, "post-1");
    assert_float_equal(record_value(post, MACHINE_FOOT_LENGTH)->quantity.nominal, 8, 0);
    assert_float_equal(record_value(post, MACHINE_ROWS)->code, 6, 0);
    assert_float_equal(record_value(post, MACHINE_NEEDLE)->quantity.hi, 1.2, 1e-12);
    assert_int_equal(record_value(post, MACHINE_ARM_LENGTH)->presence, VALUE_ABSENT);
    const Record *arm = record_find(&factory->machines, "arm-1");
    assert_int_equal(record_value(arm, MACHINE_FOOT_LIFT)->presence, VALUE_UNKNOWN);
    assert_int_equal(record_value(arm, MACHINE_CLIMB_MOST)->presence, VALUE_ABSENT);
    assert_non_null(yaml_get(factory->limits, "clip_pitch_least"));
    assert_non_null(yaml_get(factory->rules, "shop-own"));
    assert_non_null(yaml_get(factory->local_limits, "shop_gap_least"));
    assert_null(factory->tables);
    assert_int_equal(factory->not_judged_count, 1);
    assert_string_equal(factory->not_judged[0].rule, "heat-window");
    assert_string_equal(factory->not_judged[0].reason, "no heat press in this shop");
    factory_free(factory);
    messages_free(&messages);
}

/* factory_read() takes files only. */
static Factory *read_bytes(const char *bytes, size_t length, Messages *messages)
{
    char path[SCRATCH_LENGTH];
    scratch_write(path, bytes, length);
    Factory *factory = factory_read(path, messages);
    assert_int_equal(unlink(path), 0);
    return factory;
}

/* clang-format off */
static const struct {
    const char *yaml;
    int line;
    const char *words;
} refused[] = {
    {"cordwain: style/1\nname: N\nmachines: {}\n", 1, "expected factory/1"},
    {"cordwain: factory/1\nmachines: {}\n", 1, "factory name is missing"},
    {"cordwain: factory/1\nname: N\n", 1, "machines is missing"},
    {"cordwain: factory/1\nname: N\nmachines: unknown\n", 3, "cannot be unknown"},
    {"cordwain: factory/1\nname: N\nmachines: {m: {feed: drop}}\n", 3, "machine kind is missing"},
    {"cordwain: factory/1\nname: N\nmachines: {m.1: {kind: press}}\n", 3, "U+002E"},
    {"cordwain: factory/1\nname: N\nmachines: {m: {kind: post}}\n", 3, "kind is post"},
    {"cordwain: factory/1\nname: N\nmachines: {m: {kind: press, pitch: 5..1 mm}}\n", 3, "pitch"},
    {"cordwain: factory/1\nname: N\nmachines: {m: {kind: press, pitch: 3 ± 1 mm}}\n", 3, "no tolerance"},
    {"cordwain: factory/1\nname: N\nmachines: {}\nnot_judged: {heat: unknown}\n", 4, "for a reason"},
    {"cordwain: factory/1\nname: N\nmachines: {}\nnot_judged: {heat: }\n", 4, "no value"},
    {"cordwain: factory/1\nname: N\nmachines: {}\nlimits: [a]\n", 4, "a list"},
};
/* clang-format on */

static bool has_error(const Messages *messages, int line, const char *words)
{
    for (size_t i = 0; i < messages->count; i++)
        if (messages->items[i].at.line == line && strstr(messages->items[i].text, words))
            return true;
    return false;
}

static void test_refused(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        Messages messages = {0};
        assert_null(read_bytes(refused[i].yaml, strlen(refused[i].yaml), &messages));
        if (!has_error(&messages, refused[i].line, refused[i].words)) {
            messages_write(&messages, stderr);
            fail_msg("%s: expected \"%s\"", refused[i].yaml, refused[i].words);
        }
        messages_free(&messages);
    }
}

static void test_machine_unknown_as_a_whole(void **state)
{
    (void)state;
    static const char yaml[] = "cordwain: factory/1\nname: N\nmachines: {m: unknown}\n";
    Messages messages = {0};
    Factory *factory = read_bytes(yaml, strlen(yaml), &messages);
    assert_non_null(factory);
    assert_true(factory->machines.items[0]->placeholder);
    assert_int_equal(record_value(factory->machines.items[0], MACHINE_KIND)->presence,
                     VALUE_UNKNOWN);
    factory_free(factory);
    factory_free(NULL);
    messages_free(&messages);
}

typedef struct Keys {
    const char *bytes;
    size_t length, tried;
} Keys;

static void misspell(Keys *keys, const YamlNode *key)
{
    Text text = {0};
    text_add_bytes(&text, keys->bytes, key->start);
    text_add(&text, "q");
    text_add_bytes(&text, keys->bytes + key->start + 1, keys->length - key->start - 1);
    Messages messages = {0};
    Factory *factory = read_bytes(text.bytes, text.length, &messages);
    if (factory || !has_error(&messages, yaml_where(key).line, ""))
        fail_msg("%s on line %d is not refused there", key->text, yaml_where(key).line);
    keys->tried++;
    messages_free(&messages);
    text_free(&text);
}

/* Head keys and every key of every machine; the rest is for the rules' reader. */
static void test_every_key_misspelt(void **state)
{
    (void)state;
    Arena arena = {0};
    Messages messages = {0};
    char *bytes;
    Keys keys = {0};
    assert_true(file_read(&arena, fixture, 1 << 20, &messages, &bytes, &keys.length));
    keys.bytes = bytes;
    YamlFile *file = yaml_read_bytes(&arena, fixture, bytes, keys.length, true, &messages);
    for (size_t i = 0; i < file->root->count; i++)
        misspell(&keys, file->root->keys[i]);
    const YamlNode *machines = yaml_get(file->root, "machines");
    for (size_t i = 0; i < machines->count; i++)
        for (size_t k = 0; k < machines->items[i]->count; k++) {
            const YamlNode *group = machines->items[i]->items[k];
            misspell(&keys, machines->items[i]->keys[k]);
            for (size_t n = 0; group->kind == YAML_MAPPING && n < group->count; n++)
                misspell(&keys, group->keys[n]);
        }
    assert_true(keys.tried > 30);
    messages_free(&messages);
    arena_free(&arena);
}

static void test_machines_limit(void **state)
{
    (void)state;
    char path[SCRATCH_LENGTH];
    Messages messages = {0};
    FILE *out = scratch_file(path);
    fputs("cordwain: factory/1\nname: Many (invented)\nmachines:\n", out);
    for (int i = 0; i <= 500; i++)
        fprintf(out, "  m%d: unknown\n", i);
    assert_int_equal(fclose(out), 0);
    assert_null(factory_read(path, &messages));
    assert_int_equal(messages.errors, 1);
    assert_int_equal(messages.items[0].at.line, 504);
    assert_non_null(strstr(messages.items[0].text, "at most 500"));
    messages_free(&messages);
    assert_int_equal(unlink(path), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_fixture),
        cmocka_unit_test(test_refused),
        cmocka_unit_test(test_machine_unknown_as_a_whole),
        cmocka_unit_test(test_every_key_misspelt),
        cmocka_unit_test(test_machines_limit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

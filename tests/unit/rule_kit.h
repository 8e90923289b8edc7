/* What the tests of src/rule share: rule files from text, formulas from text,
 * columns filled by hand. */
#ifndef CORDWAIN_TESTS_RULE_KIT_H
#define CORDWAIN_TESTS_RULE_KIT_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "rule/plain.h"
#include "scratch.h"

/* Limits, constants and tables that most tests read. */
static const char kit_names[] =
    "cordwain: rules/1\n"
    "title: Names for tests\n"
    "constants: {half: 0.5, turn_most: 180 deg}\n"
    "tables:\n"
    "  needle_for_thread: {in: tex, out: Nm, between: linear, rows: [[20 tex, 70 Nm], [40 tex, 90 "
    "Nm], "
    "[80 tex, 110 Nm]], basis: from memory, source: tests}\n"
    "limits:\n"
    "  clip_least: {means: m, by: material.kind, values: {suede: 3 mm, leather: 2.5 ± 0.5 mm}, "
    "basis: "
    "measured, source: s}\n"
    "  facet_most: {means: m, by: edge.sight, values: {topline: 0.2 mm, else: 0.3 mm}, basis: "
    "published, source: s}\n"
    "  fray_least: {means: m, by: material.frays, values: {true: 4 mm, false: 1 mm}, basis: "
    "published, "
    "source: s}\n"
    "  climb_most: {means: m, value: 1.5 mm, own: machine.climb_most, basis: measured, source: s}\n"
    "  heat_most: {means: m, value: 90 °C, basis: measured, source: s}\n"
    "rules: {}\n";

typedef struct Kit {
    Arena arena;
    Messages messages;
    RuleSet *set;
} Kit;

/* Writes `text` to a file of its own; the name lives in the arena. */
static inline const char *kit_file(Kit *kit, const char *text)
{
    char path[SCRATCH_LENGTH];
    scratch_write(path, text, strlen(text));
    return arena_printf(&kit->arena, "%s", path);
}

static inline void kit_fail(Kit *kit)
{
    messages_write(&kit->messages, stderr);
}

/* A set read from `text` (NULL: the names above), or NULL with messages. */
static inline RuleSet *kit_read(Kit *kit, const char *text, const Factory *factory)
{
    const char *path = kit_file(kit, text ? text : kit_names);
    kit->set = rules_read(&path, 1, factory, &kit->messages);
    unlink(path);
    return kit->set;
}

static inline void kit_end(Kit *kit)
{
    rules_free(kit->set);
    messages_free(&kit->messages);
    arena_free(&kit->arena);
    *kit = (Kit){0};
}

static inline Rule *kit_rule(Kit *kit, Subject about)
{
    Rule *rule = ARENA_NEW(&kit->arena, Rule, 1);
    rule->about = about;
    return rule;
}

/* Reads `text` as one formula; NULL with messages. */
static inline Formula *kit_formula(Kit *kit, Rule *rule, const char *text)
{
    char *bytes = arena_printf(&kit->arena, "f: %s\n", text);
    YamlFile *file =
        yaml_read_bytes(&kit->arena, "formula", bytes, strlen(bytes), false, &kit->messages);
    return file ? formula_read(kit->set, rule, yaml_get(file->root, "f"), &kit->messages) : NULL;
}

/* The one message there must be, after the last call. */
static inline const Message *kit_message(Kit *kit)
{
    if (kit->messages.count != 1) {
        kit_fail(kit);
    }
    assert_int_equal(kit->messages.count, 1);
    return &kit->messages.items[0];
}

static inline void kit_forget(Kit *kit)
{
    messages_free(&kit->messages);
}

/* Columns with `count` records of the subjects a test uses. */
static inline Columns *kit_columns(uint32_t bends, uint32_t edges, uint32_t plies,
                                   uint32_t materials)
{
    uint32_t count[SUBJECT_COUNT] = {0};
    count[SUBJECT_BEND] = bends;
    count[SUBJECT_EDGE] = edges;
    count[SUBJECT_PLY] = plies;
    count[SUBJECT_MATERIAL] = materials;
    count[SUBJECT_ROW] = 1;
    count[SUBJECT_MACHINE] = 2;
    return columns_new(1, count, NULL, NULL);
}

static const Origin kit_written = {.kind = ORIGIN_WRITTEN};

static inline void kit_set(Columns *columns, FieldId field, uint32_t record, double lo,
                           double nominal, double hi)
{
    Column *column = &columns->fields[field];
    column->lo[record] = lo;
    column->nominal[record] = nominal;
    column->hi[record] = hi;
    column->origins[record] = &kit_written;
}

static inline void kit_exact(Columns *columns, FieldId field, uint32_t record, double value)
{
    kit_set(columns, field, record, value, value, value);
}

static inline void kit_word(Columns *columns, FieldId field, uint32_t record, const char *word)
{
    int index = word_index(field_at(field)->words, word, strlen(word));
    assert_true(index >= 0);
    kit_exact(columns, field, record, index);
}

static inline size_t kit_relation(Subject from, const char *name)
{
    return relation_index(relation_find(from, name, strlen(name)));
}

static inline void kit_one(Columns *columns, Subject from, const char *name, uint32_t record,
                           int32_t to)
{
    columns->ones[kit_relation(from, name)].index[record] = to;
}

/* All of `items` belong to record 0. */
static inline void kit_many(Columns *columns, Subject from, const char *name, const int32_t *items,
                            uint32_t count)
{
    ManyColumn *many = &columns->manys[kit_relation(from, name)];
    many->items = ARENA_NEW(&columns->arena, int32_t, count);
    memcpy(many->items, items, count * sizeof *items);
    for (uint32_t i = 1; i <= columns->count[from]; i++) {
        many->start[i] = count;
    }
}

#endif

/* One place made by hand, at which the shipped rules are evaluated: one record
 * of every subject, related to one another, all values unknown until put. For
 * tests/reference. */
#ifndef CORDWAIN_TESTS_REFERENCE_RULES_PLACE_H
#define CORDWAIN_TESTS_REFERENCE_RULES_PLACE_H

#include "reference/check.h"

#include <string.h>

#include "rule/plain.h"

typedef struct Place {
    Messages messages;
    Arena arena;
    RuleSet *rules;
    Columns *columns;
} Place;

static inline void place_relate(Place *place)
{
    size_t count;
    const Relation *table = relation_table(&count);
    for (size_t i = 0; i < count; i++) {
        if (!table[i].many) {
            place->columns->ones[i].index[0] = 0;
            continue;
        }
        place->columns->manys[i].items = ARENA_NEW(&place->columns->arena, int32_t, 1);
        place->columns->manys[i].start[1] = 1;
    }
}

static inline Place place_new(void)
{
    uint32_t counts[SUBJECT_COUNT];
    Place place = {0};
    for (int i = 0; i < SUBJECT_COUNT; i++)
        counts[i] = 1;
    const char *const *paths;
    size_t count;
    assert_true(rules_in_folder(&place.arena, "rules/base", &paths, &count, &place.messages));
    place.rules = rules_read(paths, count, NULL, &place.messages);
    if (!place.rules) {
        messages_write(&place.messages, stderr);
        fail_msg("the shipped rules are refused");
    }
    place.columns = columns_new(1, counts, NULL, NULL);
    place_relate(&place);
    return place;
}

static inline void place_free(Place *place)
{
    columns_free(place->columns);
    rules_free(place->rules);
    messages_free(&place->messages);
    arena_free(&place->arena);
}

/* Base units; exact. */
static inline void put(Place *place, FieldId id, double value)
{
    Column *column = &place->columns->fields[id];
    column->nominal[0] = column->lo[0] = column->hi[0] = value;
}

static inline void put_word(Place *place, FieldId id, const char *word)
{
    int index = word_index(field_at(id)->words, word, strlen(word));
    if (index < 0)
        fail_msg("%s is no word of %s", word, field_at(id)->name);
    put(place, id, index);
}

static inline const Rule *place_rule(const Place *place, const char *id)
{
    const Rule *rule = rules_find(place->rules, id);
    if (!rule)
        fail_msg("there is no rule %s", id);
    return rule;
}

/* A named part of a rule's formula. */
static inline double value_of(const Place *place, const char *id, const char *let)
{
    const Rule *rule = place_rule(place, id);
    for (size_t i = 0; i < rule->let_count; i++) {
        if (strcmp(rule->lets[i].name, let) != 0)
            continue;
        Plain plain;
        plain_start(&plain, rule, place->columns, 0, 0);
        return plain_number(&plain, rule->lets[i].formula).nominal;
    }
    fail_msg("the rule %s has no part %s", id, let);
    return NAN;
}

static inline Kleene holds(const Place *place, const char *id)
{
    const Rule *rule = place_rule(place, id);
    Plain plain;
    plain_start(&plain, rule, place->columns, 0, 0);
    return plain_truth(&plain, rule->require).nominal;
}

static inline Kleene applies(const Place *place, const char *id)
{
    const Rule *rule = place_rule(place, id);
    Plain plain;
    plain_start(&plain, rule, place->columns, 0, 0);
    return rule->when ? plain_truth(&plain, rule->when).nominal : KLEENE_TRUE;
}

#endif

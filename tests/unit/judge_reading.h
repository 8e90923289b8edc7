/* Judging the fixtures. For the tests of src/judge. */
#ifndef CORDWAIN_TESTS_JUDGE_READING_H
#define CORDWAIN_TESTS_JUDGE_READING_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "judge/inside.h"

typedef struct Judged {
    Messages messages;
    Arena arena;
    Style *style;
    Factory *factory;
    RuleSet *rules;
    Judgement *judgement;
} Judged;

/* `style` is a path, or the text of a style. */
static inline Judged judged_of(const char *style, const char *rules, const char *factory)
{
    Judged judged = {0};
    if (strchr(style, '\n')) {
        YamlFile *file = yaml_read_bytes(&judged.arena, "style.yaml", style, strlen(style), false,
                                         &judged.messages);
        judged.style = file ? style_from_tree(file, NULL, NULL, 0, &judged.messages) : NULL;
    } else {
        judged.style = style_read(style, NULL, NULL, 0, &judged.messages);
    }
    judged.factory = factory ? factory_read(factory, &judged.messages) : NULL;
    judged.rules = rules_read(&rules, 1, judged.factory, &judged.messages);
    if (!judged.style || !judged.rules || (factory && !judged.factory)) {
        messages_write(&judged.messages, stderr);
        fail_msg("the fixtures cannot be read");
    }
    judged.judgement = judge(judged.style, judged.rules, judged.factory);
    return judged;
}

static inline Judged judged_fixture(void)
{
    return judged_of("tests/fixtures/judge-style.yaml", "tests/fixtures/judge-rules.yaml",
                     "tests/fixtures/judge-shop.yaml");
}

static inline void judged_free(Judged *judged)
{
    judgement_free(judged->judgement);
    rules_free(judged->rules);
    style_free(judged->style);
    if (judged->factory)
        factory_free(judged->factory);
    arena_free(&judged->arena);
    messages_free(&judged->messages);
}

static inline const Finding *finding_of(const Judged *judged, const char *rule, const char *place)
{
    for (size_t i = 0; i < judged->judgement->count; i++) {
        const Finding *finding = &judged->judgement->findings[i];
        if (strcmp(finding->rule->id, rule) == 0 && strcmp(finding->place, place) == 0)
            return finding;
    }
    fail_msg("no finding of %s at %s", rule, place);
    return NULL;
}

static inline const Cause *cause_at(const Judged *judged, const char *rule, const char *place)
{
    return finding_cause(judged->judgement, finding_of(judged, rule, place));
}

static inline void assert_sentence(const Judged *judged, const char *rule, const char *place,
                                   const char *expected)
{
    const Finding *finding = finding_of(judged, rule, place);
    Text text = {0};
    finding_sentence(&text, judged->judgement, finding,
                     finding_worst_lane(judged->judgement, finding));
    assert_string_equal(text_string(&text), expected);
    text_free(&text);
}

#endif

/* What the tests over the shipped styles and rules share: reading and judging
 * them, finding a place again in another judgement, walking a file's tree. */
#ifndef CORDWAIN_TESTS_DEMO_SUPPORT_H
#define CORDWAIN_TESTS_DEMO_SUPPORT_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "judge/judge.h"

#if defined(__has_include)
#if __has_include(<valgrind/valgrind.h>)
#include <valgrind/valgrind.h>
#endif
#endif
#ifndef RUNNING_ON_VALGRIND
#define RUNNING_ON_VALGRIND 0
#endif

#define DEMO_HARBOUR "rules/factories/harbour.yaml"
#define DEMO_LOFT "rules/factories/loft.yaml"

/* The base rules with a factory's; `factory` NULL: none named. */
typedef struct Ground {
    Arena arena;
    Messages messages;
    Factory *factory;
    RuleSet *rules;
} Ground;

/* A style judged. The file belongs to the caller. */
typedef struct Judged {
    Messages messages;
    Style *style;
    Judgement *judgement;
} Judged;

/* Every n-th case only, where each takes long: DEMO_STRIDE in the environment,
 * else `slow` under valgrind or a sanitizer, else `usual`. */
static inline size_t demo_stride(size_t usual, size_t slow)
{
    const char *wanted = getenv("DEMO_STRIDE");
    if (wanted && atoi(wanted) > 0)
        return (size_t)atoi(wanted);
#ifdef __SANITIZE_ADDRESS__
    bool sanitized = true;
#else
    bool sanitized = false;
#endif
    return sanitized || RUNNING_ON_VALGRIND ? slow : usual;
}

static inline void demo_stop(const Messages *messages, const char *what)
{
    messages_write(messages, stderr);
    fail_msg("%s is refused", what);
}

static inline Ground ground_open(const char *factory)
{
    Ground ground = {0};
    const char *const *paths;
    size_t count;
    if (!rules_in_folder(&ground.arena, "rules/base", &paths, &count, &ground.messages))
        demo_stop(&ground.messages, "rules/base");
    if (factory && !(ground.factory = factory_read(factory, &ground.messages)))
        demo_stop(&ground.messages, factory);
    ground.rules = rules_read(paths, count, ground.factory, &ground.messages);
    if (!ground.rules)
        demo_stop(&ground.messages, "the set of rules");
    return ground;
}

static inline void ground_close(Ground *ground)
{
    rules_free(ground->rules);
    if (ground->factory)
        factory_free(ground->factory);
    messages_free(&ground->messages);
    arena_free(&ground->arena);
}

static inline YamlFile *demo_file(Arena *arena, const char *path)
{
    Messages messages = {0};
    YamlFile *file = yaml_read(arena, path, false, &messages);
    if (!file)
        demo_stop(&messages, path);
    messages_free(&messages);
    return file;
}

static inline Judged demo_judge(YamlFile *file, const char *alternative, const Ground *ground)
{
    Judged judged = {0};
    judged.style = style_from_tree(file, alternative, NULL, 0, &judged.messages);
    if (!judged.style)
        demo_stop(&judged.messages, file->path);
    judged.judgement = judge(judged.style, ground->rules, ground->factory);
    return judged;
}

static inline void judged_free(Judged *judged)
{
    if (judged->judgement)
        judgement_free(judged->judgement);
    if (judged->style)
        style_free(judged->style);
    messages_free(&judged->messages);
}

/* Findings by rule and place, so that two judgements can be laid side by side. */
static inline int demo_order(const void *a, const void *b)
{
    const Finding *one = *(const Finding *const *)a, *other = *(const Finding *const *)b;
    int rules = strcmp(one->rule->id, other->rule->id);
    return rules ? rules : strcmp(one->place, other->place);
}

/* Sorted by demo_order; the caller frees the array. */
static inline const Finding **demo_sorted(const Judgement *judgement)
{
    const Finding **sorted = memory_new(judgement->count, sizeof *sorted);
    for (size_t i = 0; i < judgement->count; i++)
        sorted[i] = &judgement->findings[i];
    qsort(sorted, judgement->count, sizeof *sorted, demo_order);
    return sorted;
}

static inline const Finding *demo_finding(const Judgement *judgement, const char *rule,
                                          const char *place)
{
    for (size_t i = 0; i < judgement->count; i++)
        if (strcmp(judgement->findings[i].rule->id, rule) == 0 &&
            strcmp(judgement->findings[i].place, place) == 0)
            return &judgement->findings[i];
    return NULL;
}

#endif

/* What the tests of a review share: opening one over the demos, looking a finding up,
 * and all that a judgement says as one number. */
#ifndef CORDWAIN_TESTS_REVIEW_KIT_H
#define CORDWAIN_TESTS_REVIEW_KIT_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "review/review.h"

#define HARBOUR "rules/factories/harbour.yaml"
#define LOFT "rules/factories/loft.yaml"
#define SKERRY "styles/skerry.yaml"
#define FAIRLEAD "styles/fairlead.yaml"

static inline Review *kit_open(const char *style, const char *alternative, const char *factory)
{
    Arena arena = {0};
    Messages messages = {0};
    const char *const *rules;
    size_t count;
    assert_true(rules_in_folder(&arena, "rules/base", &rules, &count, &messages));
    ReviewFiles files = {style, alternative, factory, rules, count, NULL};
    Review *review = review_open(&files, &messages);
    if (!review)
        messages_write(&messages, stderr);
    assert_non_null(review);
    messages_free(&messages);
    arena_free(&arena); /* the review keeps its own copies */
    return review;
}

static inline const Finding *kit_finding(const Review *review, const char *rule, const char *place)
{
    const Judgement *judgement = review_judgement(review);
    for (size_t i = 0; i < judgement->count; i++)
        if (strcmp(judgement->findings[i].rule->id, rule) == 0 &&
            strcmp(judgement->findings[i].place, place) == 0)
            return &judgement->findings[i];
    fail_msg("there is no finding %s at %s", rule, place);
    return NULL;
}

static inline const Choice *kit_choice(const Review *review, const Finding *finding, Arena *arena,
                                       const char *path)
{
    Choice *choices;
    size_t count = review_choices(review, finding, arena, &choices);
    for (size_t i = 0; i < count; i++)
        if (strcmp(choices[i].path, path) == 0)
            return &choices[i];
    return NULL;
}

static inline void kit_set(Review *review, const char *path, const char *value)
{
    Text problem = {0};
    if (!review_set(review, path, value, &problem))
        fail_msg("%s: %s is refused: %s", path, value ? value : "(none)", text_string(&problem));
    text_free(&problem);
}

static inline void kit_refused(Review *review, const char *path, const char *value,
                               const char *reason)
{
    Text problem = {0};
    if (review_set(review, path, value, &problem))
        fail_msg("%s: %s is taken", path, value ? value : "(none)");
    if (!strstr(text_string(&problem), reason))
        fail_msg("%s: %s is refused with: %s", path, value ? value : "(none)",
                 text_string(&problem));
    text_free(&problem);
}

static inline uint64_t kit_mix(uint64_t hash, const void *bytes, size_t length)
{
    for (size_t i = 0; i < length; i++)
        hash = (hash ^ ((const unsigned char *)bytes)[i]) * 1099511628211u;
    return hash;
}

/* Tally, order, verdicts by lane and spares. */
static inline uint64_t kit_digest(const Review *review)
{
    const Judgement *j = review_judgement(review);
    uint64_t hash = kit_mix(14695981039346656037u, j->tally, sizeof j->tally);
    for (size_t i = 0; i < j->count; i++) {
        const Finding *finding = &j->findings[i];
        double spare = finding_spare(j, finding)->relative;
        hash = kit_mix(hash, finding->rule->id, strlen(finding->rule->id));
        hash = kit_mix(hash, finding->place, strlen(finding->place));
        hash = kit_mix(hash, finding->lanes, j->lane_count * sizeof *finding->lanes);
        hash = kit_mix(hash, &spare, spare == spare ? sizeof spare : 0);
    }
    return hash;
}

static inline size_t kit_changed(const Review *review)
{
    const Changed *changed;
    return review_changed(review, &changed);
}

/* "better" of the difference that the last step made there; "" for none. */
static inline const char *kit_difference(const Review *review, const char *rule, const char *place)
{
    const Comparison *comparison = review_comparison(review);
    for (size_t i = 0; comparison && i < comparison->count; i++) {
        const Difference *d = &comparison->items[i];
        const Finding *finding = d->after ? d->after : d->before;
        if (strcmp(finding->rule->id, rule) == 0 && strcmp(finding->place, place) == 0)
            return difference_word(d->kind);
    }
    return "";
}

#endif

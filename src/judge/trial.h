/* How rules answer over many places, of styles or of random values: which apply nowhere, which
 * flag wherever they apply or nowhere, and which two always say the same. For `cordwain rules`. */
#ifndef CORDWAIN_JUDGE_TRIAL_H
#define CORDWAIN_JUDGE_TRIAL_H

#include "judge/judge.h"

typedef struct RuleTrial {
    const Rule *rule;
    size_t places, applies, flags, passes;
    const char *first_flag; /* where it flagged first; NULL: nowhere, or among random values */
    uint64_t answers;       /* the same for two rules that answered alike at every place */
} RuleTrial;

/* Rules that are off are left out. */
typedef struct Trials {
    Arena arena;
    RuleTrial *items;
    size_t count;
} Trials;

/* To be freed; the rules outlive it. */
Trials *trials_new(const RuleSet *rules);
void trials_free(Trials *trials);
/* Adds what the rules said of a style. The judgement is of the same rules. */
void trials_over(Trials *trials, const Judgement *judgement);
/* Adds what they say of `worlds` times 64 records of each kind: values at random within the
 * fields' bounds, none of them unknown. The same every time. */
void trials_at_random(Trials *trials, size_t worlds);
/* Whether two rules were asked of the same places, and said the same of each, flags and passes
 * among them. */
bool trials_agree(const RuleTrial *one, const RuleTrial *other);

#endif

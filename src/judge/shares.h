/* Which tolerances make a finding risky. For explanations. */
#ifndef CORDWAIN_JUDGE_SHARES_H
#define CORDWAIN_JUDGE_SHARES_H

#include "judge/judge.h"

/* How much of the scatter of the spare one tolerance brings about by itself: its first-order
 * share of the variance, sampled with a fixed seed in the lane shown. What is left to 1 comes
 * of tolerances acting together, and of the error of sampling. */
typedef struct RiskShare {
    const char *name; /* "thickness of material hull-suede", "limit clip_pitch_least" */
    double share;     /* 0..1 */
} RiskShare;

/* Of a tight finding or a flag, the greatest first, those of one percent and more; 0 where
 * its spare is no number or does not scatter. */
size_t risk_shares(Arena *arena, const Judgement *judgement, const Finding *finding,
                   RiskShare **shares);

#endif

/* The verdicts of one rule at one place. */
#ifndef CORDWAIN_JUDGE_VERDICT_H
#define CORDWAIN_JUDGE_VERDICT_H

/* In order of weight: a finding takes its worst lane, the greatest. */
typedef enum Verdict {
    VERDICT_OUT,     /* does not apply */
    VERDICT_PASS,
    VERDICT_TIGHT,   /* passes, but can fail within the tolerances */
    VERDICT_UNKNOWN, /* a value is missing */
    VERDICT_FLAG,
    VERDICT_OFF,     /* switched off by a named file, with a reason */
    VERDICT_COUNT
} Verdict;

const char *verdict_name(Verdict verdict); /* "flag" */
char verdict_sign(Verdict verdict);        /* '!' flag, '?' unknown, '~' tight, '+' pass, '-' out, 'x' off */

#endif

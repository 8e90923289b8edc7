/* The table from truth to verdict, and the verdicts' names.
 * For src/judge and everyone who shows findings. */
#include "judge/inside.h"

const char *verdict_name(Verdict verdict)
{
    static const char *const names[VERDICT_COUNT] = {
        [VERDICT_OUT] = "out",         [VERDICT_PASS] = "pass", [VERDICT_TIGHT] = "tight",
        [VERDICT_UNKNOWN] = "unknown", [VERDICT_FLAG] = "flag", [VERDICT_OFF] = "off",
    };
    return names[verdict];
}

char verdict_sign(Verdict verdict)
{
    static const char signs[VERDICT_COUNT] = {
        [VERDICT_OUT] = '-',     [VERDICT_PASS] = '+', [VERDICT_TIGHT] = '~',
        [VERDICT_UNKNOWN] = '?', [VERDICT_FLAG] = '!', [VERDICT_OFF] = 'x',
    };
    return signs[verdict];
}

Verdict verdict_of(LaneFacts facts)
{
    if (!facts.met)
        return VERDICT_OUT;
    if (facts.when == KLEENE_UNKNOWN)
        return VERDICT_UNKNOWN;
    if (facts.when == KLEENE_TRUE && facts.require == KLEENE_FALSE)
        return VERDICT_FLAG;
    if (facts.when == KLEENE_TRUE && facts.require == KLEENE_UNKNOWN)
        return VERDICT_UNKNOWN;
    if (facts.fail_possible)
        return VERDICT_TIGHT;
    if (facts.fail_unknown)
        return VERDICT_UNKNOWN;
    return facts.when == KLEENE_TRUE ? VERDICT_PASS : VERDICT_OUT;
}

Verdict verdict_merge(Verdict held, Verdict scaled)
{
    bool open = held == VERDICT_FLAG || held == VERDICT_UNKNOWN || scaled == VERDICT_FLAG ||
                scaled == VERDICT_UNKNOWN;
    if (open && held != scaled)
        return VERDICT_UNKNOWN;
    return held > scaled ? held : scaled;
}

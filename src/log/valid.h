/* Which decisions of a log hold for the findings of a judgement, and what that releases.
 * Knows judge and the log.
 *
 * The last record about a finding (style, alternative, factory, rule, place) counts. It lapses,
 * whatever was decided, when
 *   its last day is over (the day itself still counts; an end that is neither a day nor a
 *   stage counts as over), or the style's stage has reached its stage, or is not said;
 *   the rule's formula or class is not what it was;
 *   a bend's edge has bends of other number or order;
 *   a value is unknown that was not, or a lane is;
 *   a lane is open that was not, or worse than it was;
 *   there is less to spare: relative spare lower by more than 1e-6.
 * A deviation permit on a rule marked `danger`, without an end, or by one name on a critical
 * finding never holds. Only deviation permits release. */
#ifndef CORDWAIN_LOG_VALID_H
#define CORDWAIN_LOG_VALID_H

#include "log/log.h"

typedef enum DecisionState {
    STATE_HOLDS,
    STATE_LAPSED,
    STATE_NOT_NEEDED /* passes, is out or off, or is not met any more */
} DecisionState;

typedef struct Decided {
    const Finding *finding; /* NULL: the rule or the place is not there any more */
    const LogRecord *record;
    DecisionState state;
    const char *lapsed; /* STATE_LAPSED: why; else NULL. Safe for a terminal */
} Decided;

typedef struct Decisions {
    Arena arena;
    const Judgement *judgement; /* must outlive it, as the log must */
    bool logged;                /* there is a log */
    Date today;
    Decided *items; /* of findings, in the order of the judgement */
    size_t count;
    Decided *unneeded; /* permits that are no longer needed and not over, as logged */
    size_t unneeded_count;
    size_t open;      /* findings that keep the style from being released */
    size_t permitted; /* that would, but for a permit */
    size_t lapsed;    /* decisions about findings that are to be settled */
} Decisions;

/* `log` NULL: no decisions. */
Decisions *decisions_find(const Judgement *judgement, const Log *log, Date today);
void decisions_free(Decisions *decisions);
/* NULL: nothing was decided about it. */
const Decided *decision_of(const Decisions *decisions, const Finding *finding);

/* Whether a style may go on, for check, report and screen alike: 0 every flag, unknown and
 * critical tight has a deviation permit that holds; 1 some have not; 2 no place was judged. */
int log_release(const Decisions *decisions);

/* Whether a record that is about to be kept would hold for this finding. Its numbers are those
 * of logged_take(). False with the reason. */
bool decision_allowed(const Judgement *judgement, const Finding *finding, const LogRecord *record,
                      Date today, Text *problem);

/* "permit by Ada and Bo until 2026-03-31: …", "lapsed (its last day, 2026-03-31, is over): …",
 * "asked Cy on 2026-03-01, by Ada: …". Safe for a terminal. */
void decision_say(Text *text, const Decided *decided);

#endif

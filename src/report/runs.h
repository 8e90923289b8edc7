/* Findings that are to be settled, those told at once that have one cause and read alike: a part
 * and its mirror. Knows judge and the log. */
#ifndef CORDWAIN_REPORT_RUNS_H
#define CORDWAIN_REPORT_RUNS_H

#include "log/valid.h"

typedef struct Run {
    const Finding **findings; /* in the order of the judgement; at least one */
    size_t count;
    const Cause *cause;
    const Finding *cause_first; /* the first finding of the cause: the same for all its runs */
    const char *sentence;       /* as of the lane shown */
    const char *decision;       /* decision_say(); "" nothing was decided */
} Run;

typedef struct Runs {
    Arena arena;
    Run *items; /* in the order of the causes' first findings, then of their own */
    size_t count;
    size_t findings, causes;
} Runs;

Runs *runs_new(const Decisions *decisions);
void runs_free(Runs *runs);
/* "bend a.b.1", "bend a.b.1 and bend c.d.1", "row a.1, row b.1 and 40 more". */
void run_places(Text *text, const Run *run);

#endif

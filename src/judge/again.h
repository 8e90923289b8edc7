/* A place judged again on columns that differ from the judgement's in some cells, by
 * the plain evaluator: what a change would make of it. For src/remedy.
 *
 * The columns must have the records and relations of the judgement's own. */
#ifndef CORDWAIN_JUDGE_AGAIN_H
#define CORDWAIN_JUDGE_AGAIN_H

#include "judge/judge.h"

/* Lanes of the columns, one of each set in which the rule reads the same at the place.
 * `alike`: for each lane that one. */
size_t again_lanes(Arena *arena, const Judgement *judgement, const Finding *finding,
                   uint32_t **lanes, uint32_t **alike);

/* One of those lanes. */
typedef struct AgainLane {
    Verdict verdict;
    bool applies;  /* `when` holds as written */
    double margin; /* relative spare of `require`, or of `when` where that does not hold: below 0
                      it is not met; NaN: unknown */
} AgainLane;
AgainLane again_lane(const Columns *columns, const Finding *finding, uint32_t lane);
/* The same as far as intervals over the whole box tell: tight where they leave open whether it
 * can fail, which again_can_fail() then tells. */
AgainLane again_roughly(const Columns *columns, const Finding *finding, uint32_t lane);
bool again_can_fail(const Columns *columns, const Finding *finding, uint32_t lane);
/* The same without asking what can fail within the tolerances: never tight. */
AgainLane again_as_written(const Columns *columns, const Finding *finding, uint32_t lane);

/* The finding with verdict, lanes and ways as they are on these columns. `alike`: for each lane
 * the first in which the rule reads the same; NULL: every lane is looked at. */
Finding again_finding(Arena *arena, const Judgement *judgement, const Finding *finding,
                      const Columns *columns, const uint32_t *alike);
/* As finding_risk(), of a finding that again_finding() gave. */
Risk again_risk(const Columns *columns, const Finding *again);
/* Whether it fails more often than `share` in the worst of these lanes, in which it is tight:
 * sampled only until that is known. False where tolerances are assumed. */
bool again_is_riskier(const Columns *columns, const Finding *finding, const uint32_t *lanes,
                      size_t count, double share);

/* A cell that a rule reads at a place: a value of a record. */
typedef struct AgainRead {
    FieldId field;
    uint32_t record;
} AgainRead;
/* All of them, in any lane, each at least once. */
size_t again_reads(Arena *arena, const Columns *columns, const Finding *finding,
                   AgainRead **reads);
/* In one lane, each once. */
size_t again_reads_in(Arena *arena, const Columns *columns, const Rule *rule, uint32_t record,
                      uint32_t lane, AgainRead **reads);

/* A value that the rule gives, as it was decided in the worst lane. */
typedef struct AgainGive {
    FieldId field;
    int32_t record;   /* of the field's subject; -1: there is none here */
    int32_t part;     /* that is cut from it, where it is a material's; else -1 */
    const int32_t *others; /* records that take its place in other lanes: another colourway's
                              material */
    size_t other_count;
    const char *text; /* as the rule writes it */
    bool may;         /* the style does not keep it */
} AgainGive;
size_t again_gives(Arena *arena, const Judgement *judgement, const Finding *finding,
                   AgainGive **gives);

#endif

/* Judging: every rule at every place in every lane. Knows all rooms below it.
 *
 * In a lane, with W = when and R = require at nominal values:
 *   no member in any set outside `some`            out
 *   W unknown                                      unknown
 *   W false: it can hold in the box while R fails  tight
 *            the same, only with a missing value   unknown
 *            else                                  out
 *   W true:  R false                               flag
 *            R unknown                             unknown
 *            R true, can fail in the box           tight
 *            R true, can fail only together with a missing value   unknown
 *            else                                  pass
 * Replacing any value by unknown never turns flag or unknown into pass, tight
 * or out, nor tight into pass or out: tests/property holds it over the demo. */
#ifndef CORDWAIN_JUDGE_JUDGE_H
#define CORDWAIN_JUDGE_JUDGE_H

#include "judge/verdict.h"
#include "measure/measure.h"
#include "rule/code.h"
#include "rule/plain.h"

/* Where a finding must be mended: the first value its rule `gives` that is not
 * kept. Findings with the same cause are one group; mirrored parts share their
 * cause because they share the value in the file. */
typedef struct Cause {
    const void *key;          /* the value's source, or the record */
    const char *name;         /* "bend vamp.throat.1", "material hull-suede", "machine post-1" */
    Giver giver;
    Where at;                 /* where the value, or its record, is written */
} Cause;

/* How often a tight finding fails, in the lane where it fails most. */
typedef struct Risk {
    bool assumed;             /* tight only through house tolerances: no share */
    double share;             /* of the samples; NaN: not told */
    double error;             /* standard error of the share */
    int samples;              /* a share of 0 is said as "below 3/samples" */
} Risk;

typedef struct Finding {
    const Rule *rule;
    uint32_t record;          /* of rule->about */
    uint32_t number;          /* its index in Judgement.numbered */
    const char *place;        /* "bend vamp.throat.1" */
    Where at;                 /* where the place is written */
    Verdict verdict;
    Verdict *lanes;           /* one a lane (pairs of graded ways already merged) */
    Verdict *ways;            /* one a lane of the columns, before merging */
    uint32_t worst_way;       /* of its lanes of the columns: the one that is shown */
    double relative;          /* there, of `require`, as of its spare; NaN: none */
    bool taken;               /* over from Judgement.last: its rule reads the same here */
    const uint32_t *alike;    /* one a lane of the columns: the first in which the rule reads the
                                 same; NULL: off */
    const char *part;         /* id of the part it is listed under, or the seam, or "style" */
} Finding;

/* A flag, an unknown or a tight one. */
static inline bool finding_is_open(const Finding *finding)
{
    return finding->verdict == VERDICT_FLAG || finding->verdict == VERDICT_UNKNOWN ||
           finding->verdict == VERDICT_TIGHT;
}

typedef struct JudgeShelf JudgeShelf;

typedef struct Judgement {
    Arena arena;
    const Style *style;
    const RuleSet *rules;
    const Factory *factory;   /* NULL: none named */
    HouseValues house;        /* what it was measured with */
    Measured *measured;       /* for pictures */
    const Columns *columns;   /* of `measured` */
    uint32_t lane_count;      /* size x colourway, as shown to people */
    Finding *findings;        /* sorted by verdict, class, place in making order, rule */
    Finding **numbered;       /* the same by subject, rule and record, whatever their verdicts */
    const uint32_t *order;    /* numbers as findings follow one another within a verdict */
    size_t count;
    size_t tally[VERDICT_COUNT];
    const Rule **no_place;    /* rules that met no place */
    size_t no_place_count;
    struct Later *later;      /* what is worked out of a finding when it is first asked for */
    JudgeShelf *shelf;        /* NULL: judged without one */
    const struct Judgement *last; /* of the same rules, places and lanes, whose verdicts were
                                     taken over; NULL: none, or it is gone */
    struct Judgement *older, *newer; /* those that live of the same shelf */
} Judgement;

/* Nothing here can fail: what is wrong with the files was found on reading. */
Judgement *judge(const Style *style, const RuleSet *rules, const Factory *factory);
void judgement_free(Judgement *judgement);

/* What is kept from one judging for the next of nearly the same style, as edits follow one
 * another: what was measured, the compiled rules, and the verdicts of the newest judgement
 * of the same rules that still lives. Judgements die before their shelf. */
JudgeShelf *judge_shelf_new(void);
void judge_shelf_free(JudgeShelf *shelf);
/* As judge(), with what stands on the shelf: exactly the same findings. Only rules that read
 * something that differs are judged again. */
Judgement *judge_from_shelf(JudgeShelf *shelf, const Style *style, const RuleSet *rules,
                            const Factory *factory);

/* What the rules' limits tell measure. */
HouseValues judge_house(const RuleSet *rules, const Style *style);
/* 0 released, 1 open findings, 2 no place was judged. */
int judgement_exit(const Judgement *judgement);

/* Of findings in the judgement's own array. Most findings pass or are out and are
 * not looked at closely, so this is worked out when first asked for, and kept. */
/* The lane shown: the worst verdict, then the least spare. */
uint32_t finding_worst_lane(const Judgement *judgement, const Finding *finding);
/* There; of `require`. */
const Spare *finding_spare(const Judgement *judgement, const Finding *finding);
Risk finding_risk(const Judgement *judgement, const Finding *finding);
/* The same cause is the same pointer. */
const Cause *finding_cause(const Judgement *judgement, const Finding *finding);
/* Of the weakest limit or table it rests on; false if it rests on none. */
bool finding_basis(const Judgement *judgement, const Finding *finding, Basis *basis);

/* Whether the value that a rule `gives` exists at this place and the style does
 * not keep it. */
bool finding_may_give(const Judgement *judgement, const Finding *finding, const Give *give);
/* The sentence of a finding with its numbers filled in, as of lane `lane`. */
void finding_sentence(Text *text, const Judgement *judgement, const Finding *finding,
                      uint32_t lane);
/* "radius: 1.9 mm too little", "0.4 mm to spare", "". */
void finding_say_spare(Text *text, const Judgement *judgement, const Finding *finding);
/* "in 36 to 39 of Chalk", "in every size and colourway": the lanes that share
 * the finding's verdict. */
void finding_lanes(Text *text, const Judgement *judgement, const Finding *finding);

/* The full explanation in one lane: condition by condition with true, false or
 * unknown, the formula and the same with numbers, every number's origin. Also
 * for rules that did not fire or are off. */
void explain_finding(Text *text, const Judgement *judgement, const Finding *finding, uint32_t lane,
                     int columns);
/* The rule itself: title, formulas, limits with origin and what they beat. */
void explain_rule(Text *text, const RuleSet *rules, const Rule *rule, int columns);

/* Values a finding rests on, for JSON and the screen. */
typedef struct Reading {
    const char *name;      /* "radius", "edge.left", "clip_pitch_least" */
    const char *word;      /* words and truths; else NULL */
    double nominal, lo, hi;
    const Unit *unit;
    Dimension dimension;
    bool point, worked_out;
    const char *from;      /* "styles/skerry.yaml:61:37", "assumed …", "limit …, set by …" */
} Reading;
size_t finding_readings(Arena *arena, const Judgement *judgement, const Finding *finding,
                        uint32_t lane, Reading **readings);

/* A value of the style's file that a finding rests on: `record` of the field's subject. */
typedef struct FindingValue {
    FieldId field;
    uint32_t record;
    bool given;            /* its rule names it as one that may give */
} FindingValue;
/* In the worst lane: what the rule gives, easiest first, then what it read, each once. What
 * was worked out stands for what it was worked out from; what belongs to a factory is left out. */
size_t finding_values(Arena *arena, const Judgement *judgement, const Finding *finding,
                      FindingValue **values);

/* Runs the examples of all rules; false with messages for each that is wrong
 * or was not evaluated. */
bool judge_examples(const RuleSet *rules, Messages *messages, size_t *run);

#endif

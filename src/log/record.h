/* One record of the decision log: which finding, how it stood, what was decided about it.
 * Knows judge and everything below; nothing of files.
 *
 * A record is one line of YAML, written in one way only: all keys, in this order,
 *   - {style: "JS-1", alternative: "", factory: "", rule: "turn-pitch", place: "bend left.tip.1",
 *      verdict: "flag", class: "major", spare: "-0.3 mm", relative: -0.1,
 *      lanes: ["flag 41 Chalk"], formula: "HEX", values: ["radius: 4.5 mm in 4..5 mm"],
 *      bends: ["inward"], decision: "permit", who: ["Ada", "Bo"],
 *      when: "2026-02-28T17:05:00Z", why: "…", until: "2026-03-31", ask: "", sum: HEX}
 * (without the breaks), "" and [] where there is none. Characters that are not seen or that
 * steer a terminal are escaped. */
#ifndef CORDWAIN_LOG_RECORD_H
#define CORDWAIN_LOG_RECORD_H

#include "judge/judge.h"
#include "log/date.h"

typedef enum Decision {
    DECISION_CHANGE,  /* change the style */
    DECISION_ASK,     /* ask someone */
    DECISION_ATTEMPT, /* make an attempt */
    DECISION_PERMIT,  /* accept by deviation permit */
    DECISION_HOLD,
    DECISION_COUNT
} Decision;

/* "change", "ask", "attempt", "permit", "hold". */
const char *decision_name(Decision decision);

typedef struct TextList {
    const char **items;
    size_t count, capacity;
} TextList;

/* Texts are never NULL; "" where there is none. Any of them may come from a stranger: they
 * reach a terminal through text_add_visible() alone. */
typedef struct LogRecord {
    const char *style;       /* code */
    const char *alternative; /* "": as written */
    const char *factory;     /* its name; "": none named */
    const char *rule, *place;

    /* How it stood. */
    Verdict verdict;
    RuleClass class;
    const char *spare;   /* with unit; "": none */
    double relative;     /* as Spare.relative; NaN: none or unknown */
    TextList lanes;      /* that are open: "flag 41 Chalk" */
    const char *formula; /* sum over the rule's class and formulas */
    TextList values;     /* what is unknown in any lane, then of the lane shown: "radius: 4.5 mm" */
    TextList bends;      /* of a bend: the curves of all bends of its edge, in order */

    /* What was decided. */
    Decision decision;
    TextList who;     /* one or two */
    const char *when; /* "2026-02-28T17:05:00Z" */
    const char *why;
    const char *until; /* last day, "2026-03-31", or the stage at which it ends; "": no end */
    const char *ask;   /* whom */

    Where at; /* line 0: in no file yet */
} LogRecord;

/* The finding and how it stands; what was decided is left as it is. Texts live in the arena. */
void logged_take(Arena *arena, LogRecord *record, const Judgement *judgement,
                 const Finding *finding);
/* Whether anybody could take this decision: who, when and why are said, a question says whom
 * it goes to, the end is a day or a stage, a permit has an end and, for a critical finding,
 * two names. False with the reason. */
bool logged_complete(const LogRecord *record, Text *problem);

/* Adds the line up to where ", sum: " comes. */
void logged_write(Text *text, const LogRecord *record);
/* Adds a text in double quotes. */
void logged_write_text(Text *text, const char *string);
/* False with messages. Texts live with the node. `sum` may be NULL. */
bool logged_read(Arena *arena, const YamlNode *node, LogRecord *record, const YamlNode **sum,
                 Messages *messages);

/* What logged_take() takes, for holding against what was taken once. */
/* Sum over class and formulas of a rule, in 64 hexadecimal digits. */
const char *logged_formula(Arena *arena, const Rule *rule);
/* Whether a lane needs to be settled: a flag, unknown, or tight and critical. */
bool logged_lane_open(const Finding *finding, uint32_t lane);
/* "41 Chalk". */
const char *logged_lane_name(Arena *arena, const Judgement *judgement, uint32_t lane);
/* The curves of all bends of the bend's edge; none for other places; "unknown" alone where the
 * bends are not known. */
TextList logged_bends(Arena *arena, const Judgement *judgement, const Finding *finding);
/* The names of values that are unknown in a lane that is open or tight, each once. */
TextList logged_unknown(Arena *arena, const Judgement *judgement, const Finding *finding);
/* "-0.3 mm", "". */
const char *logged_spare(Arena *arena, const Judgement *judgement, const Finding *finding);

/* Two names that differ in more than blanks, capitals and what is not seen. */
bool logged_two_names(const TextList *who);
/* The stage a word names, -1 if none. */
int logged_stage(const char *word);

#endif

/* What the files of src/judge share. For them and their tests only. */
#ifndef CORDWAIN_JUDGE_INSIDE_H
#define CORDWAIN_JUDGE_INSIDE_H

#include "judge/judge.h"
#include "judge/touched.h"

/* --- verdict.c: the table of judge.h -------------------------------------- */

typedef struct LaneFacts {
    bool met;
    Kleene when, require;
    bool fail_possible, fail_unknown;
} LaneFacts;

Verdict verdict_of(LaneFacts facts);
/* The verdict of a lane judged with its ungraded edges held and scaled: unknown
 * where they differ in flag or unknown, else the worse. */
Verdict verdict_merge(Verdict held, Verdict scaled);

/* --- judge.c ---------------------------------------------------------------- */

/* The first record a single or many relation leads to, -1 if there is none. */
int32_t judge_follow(const Columns *columns, Subject from, int32_t record, const char *relation);
/* What the code answered of one rule. */
typedef struct Answer {
    const CodeResult *result;
    const uint32_t *which; /* for each lane: which of those run it was, if it was */
    uint32_t lanes;        /* that were run */
    const uint32_t *row;   /* the same for each record; NULL: all were run */
} Answer;

/* Judges place `finding->record` of `finding->rule`: fills verdict, lanes, ways, and the lane
 * that is shown with what it has to spare. */
void judge_place(Judgement *judgement, const Answer *answer, Finding *finding);

/* --- worst.c: the lane of a finding that is shown ------------------------------- */

/* Once its verdicts are there. */
void worst_find(const Judgement *judgement, const Answer *answer, Finding *finding);

/* --- shelf.c: what is kept from one judging for the next ------------------------ */

/* Rules about one subject as code, and where each stands in it. */
typedef struct ShelfCode {
    const Code *code;
    const uint32_t *place; /* by index in the rule set */
} ShelfCode;

/* All rules of the set about a subject that are not off. `shelf` NULL: compiled into the
 * arena. */
ShelfCode shelf_together(JudgeShelf *shelf, Arena *arena, const RuleSet *set, Subject about);
/* One of them, as code of its own. */
ShelfCode shelf_alone(JudgeShelf *shelf, const RuleSet *set, uint32_t rule);
MeasureShelf *shelf_measures(JudgeShelf *shelf); /* NULL of NULL */
/* The newest judgement of these rules that lives; NULL: none. */
const Judgement *shelf_newest(const JudgeShelf *shelf, const RuleSet *rules);
void shelf_enter(JudgeShelf *shelf, Judgement *judgement);
void shelf_leave(Judgement *judgement);

/* --- order.c: findings sorted ----------------------------------------------------- */

/* Puts the findings, which stand by number, into their order, and `numbered` with them.
 * `last`: a judgement of the same rules at the same places, or NULL. */
void findings_order(Judgement *judgement, const Judgement *last);

/* --- alike.c: lanes in which a rule reads the same ---------------------------- */

typedef struct Alike Alike;
/* Owned by the arena; the columns must not change while it is used. */
Alike *alike_new(Arena *arena, const Columns *columns);
/* For each lane the first lane in which all that the rule can read is the same. */
const uint32_t *alike_lanes(Alike *alike, const Rule *rule);

/* Lanes met at one place, with what the rule reads there in each. Zeroed: none. */
typedef struct MetLanes {
    Arena arena;
    struct MetLane *items;
    size_t count, capacity;
} MetLanes;

/* The lane met before in which the rule reads the same at this very place, else
 * `lane` itself, which is met from now on. Worth its price where much is to be
 * worked out for each lane. */
uint32_t alike_at_place(MetLanes *met, const Columns *columns, const Finding *finding,
                        uint32_t lane);

/* --- tight.c: can it fail within the tolerances, and how often -------------- */

enum { TIGHT_BOXES = 64, TIGHT_SAMPLES = 10000, TIGHT_SAMPLES_LEAST = 256 };

/* Whether it can fail somewhere, or 64 boxes could not tell. `declared_only`:
 * where assumed tolerances count as exact. */
bool tight_can_fail(const Rule *rule, const Columns *columns, uint32_t record, uint32_t lane,
                    bool declared_only);
typedef struct Sampled {
    double share, error; /* of those that fail, and its standard error */
    int samples;
} Sampled;
/* TIGHT_SAMPLES of them. `against`: fewer, at least TIGHT_SAMPLES_LEAST, once the share is
 * known to be above or below that; NaN: it is told as closely as may be. */
Sampled tight_risk(const Rule *rule, const Columns *columns, uint32_t record, uint32_t lane,
                   double against);
/* A number in [0, 1) that is the same in every run: of a sample and a source (below 2^20). */
double tight_uniform(uint64_t sample, uint64_t source);

/* --- look.c: one place in one lane, seen closely ----------------------------- */

/* Why something is unknown. Texts live in the arena it was found with. */
typedef struct Missing {
    const void *key;  /* NULL: nothing was found */
    const char *name; /* "thickness of material pad-foam is not known" */
    Giver giver;
    Where at; /* where it would be written; no file: nowhere in a file */
    int32_t bindings[BINDINGS_MOST];
} Missing;

typedef struct Look {
    Plain plain;     /* bound to the elements that decided */
    Verdict verdict; /* of the lane */
    PlainTruth when, require;
    bool met;
    Missing missing; /* of an unknown verdict */
} Look;

/* What src/measure works a value out from, as far as it names who must find out:
 * the thickness of one material, not of each ply cut from it. */
typedef struct WorkedOut {
    FieldId of;
    const char *relation; /* NULL: of the record itself */
    FieldId from;
} WorkedOut;
const WorkedOut *look_worked_out(size_t *count);

/* `lane` as shown; of the two ways of an ungraded edge the worse is looked at. */
void look_at(Look *look, Arena *arena, const Judgement *judgement, const Finding *finding,
             uint32_t lane);
/* Without evaluating anything: bound as the finding's spare was decided. */
void look_as_decided(Look *look, const Judgement *judgement, const Finding *finding);
PlainTruth look_when(Plain *plain); /* true where the rule has none */
/* Evaluation that leaves the deciding elements bound. */
PlainNumber look_number(const Plain *plain, const Formula *formula);
PlainTruth look_truth(const Plain *plain, const Formula *formula);
/* The first unknown value that decides: of `when`, else of `require`. */
Missing look_missing(Arena *arena, const Judgement *judgement, const Plain *plain);
/* Elements of the set an over runs through; false if the set is unknown. */
bool look_set(const Plain *plain, const Formula *over, const int32_t **items, size_t *count);
/* "bend vamp.throat.1", "last". */
const char *look_name(Arena *arena, const Columns *columns, Subject subject, int32_t record);

/* --- later.c: what is worked out of a finding when it is first asked for ------- */

typedef struct FindingLater {
    bool spare_known, risk_known;
    Spare spare;
    Risk risk;
    const Cause *cause; /* NULL: not yet asked for */
} FindingLater;

typedef struct Later {
    Arena arena;
    FindingLater **findings; /* in their order; NULL: nothing was asked */
    const Cause **causes;    /* by key: open addressing, at most half full */
    size_t cause_mask;
} Later;

/* Once the findings are in their order. */
Later *later_new(const Judgement *judgement);
void later_free(Later *later);
FindingLater *later_of(const Judgement *judgement, const Finding *finding);
bool later_has_spare(Verdict verdict);
/* What of `require` a lane has to spare where the rule applies; else nothing. */
Spare later_lane_spare(const Columns *columns, const Finding *finding, uint32_t way);
/* Of a tight finding on these columns. */
Risk later_risk_of(const Columns *columns, const Finding *finding);
/* In these of its lanes, which are tight; `against` as of tight_risk(). */
Risk later_risk(const Columns *columns, const Finding *finding, const uint32_t *lanes,
                size_t count, double against);

/* --- cause.c ------------------------------------------------------------------ */

/* The part a place is listed under. */
const char *part_listed(const Columns *columns, Subject about, uint32_t record);

/* --- value.c: values and formulas as people read them -------------------------- */

/* The unit a formula's numbers are shown in; NULL for plain numbers. */
const Unit *sentence_unit(const Formula *formula);
/* As sentence_unit; a ratio that was worked out is shown like the limit it is
 * compared with: 17 % beside 10 %. */
const Unit *sentence_unit_in_rule(const Rule *rule, const Formula *formula);
/* Significant digits due: more for what was written than for what was worked out. */
int sentence_digits_of(const Formula *formula);
/* Adds the words of a set of bits with `between` between them. */
void sentence_words(Text *text, const WordList *list, uint64_t words, const char *between);
/* Adds a number in a unit with at most `digits` significant digits. */
void sentence_number(Text *text, double value, const Unit *unit, Dimension dimension, bool point,
                     int digits);
/* Significant digits (at least `least`) with which two values that differ read
 * differently in the unit. */
int sentence_digits(double a, double b, const Unit *unit, int least);
/* Adds the value of a number, word or truth: "3 mm", "turned", "true". */
void sentence_value(Text *text, const Plain *plain, const Formula *formula, int digits);
/* Adds the value of a word, truth or set field from its code. */
void sentence_word(Text *text, const Field *field, double code);
/* Adds the formula with its values in place of its names. */
void sentence_formula(Text *text, const Plain *plain, const Formula *formula);
const char *kleene_name(Kleene value);

/* --- sentence.c ---------------------------------------------------------------- */

/* As finding_say_spare(), in any lane. */
void sentence_spare(Text *text, const Spare *spare);

/* The sentence of one lane without anything made visible. */
void sentence_say(Text *text, Arena *arena, const Judgement *judgement, const Finding *finding,
                  uint32_t lane);

/* --- readings.c ------------------------------------------------------------------ */

/* One value the rule read: a field of a record, or a limit. */
typedef struct Read {
    const Formula *formula;  /* FORMULA_FIELD, FORMULA_IN_FIELD or FORMULA_LIMIT */
    int32_t record;          /* fields */
    int32_t owner;           /* limits: the record asked for its own value, else of `by` */
    const LimitValue *value; /* limits; NULL: no row, or won by a record's own */
    int32_t own;             /* limits: the record whose own value won, or -1 */
    double word;             /* limits with `by`: the word met; NaN unknown */
    double nominal, lo, hi;
} Read;

/* Distinct reads at the place and lane of the plain evaluator, in order. */
size_t readings_collect(Arena *arena, const Plain *plain, Read **reads);
/* Whether two reads are of the same and found the same. */
bool readings_equal(const Read *a, const Read *b);
/* The weakest basis of the limits it reads; false if it reads none. */
bool readings_basis(const Plain *plain, Basis *basis);
/* "styles/skerry.yaml:61:37, graded", "limit clip_pitch_least for suede: …". */
const char *readings_from(Arena *arena, const Plain *plain, const Read *read);
/* The reads as readings. */
size_t readings_all(Arena *arena, const Plain *plain, Reading **readings);
/* "4.5 ± 0.5 mm", "1.5..5 mm", "turned", "unknown". */
void readings_value(Text *text, const Reading *reading);
/* "2.5 mm, set by Harbour closing room (…), measured; beats …". */
void readings_limit_value(Text *text, const Limit *limit, const LimitValue *value);

#endif

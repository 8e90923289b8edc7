/* What the files of src/remedy share. For them and their tests only. */
#ifndef CORDWAIN_REMEDY_INSIDE_H
#define CORDWAIN_REMEDY_INSIDE_H

#include "judge/again.h"
#include "remedy/remedy.h"
#include "remedy/seek.h"

/* ---- axis.c: one value that may be changed ---- */

typedef enum AxisKind {
    AXIS_NUMBER,    /* on a scale of what can be made */
    AXIS_TOLERANCE, /* its tolerance, on a scale of half-widths; the number stays */
    AXIS_CHOICE     /* words, truths or names of records */
} AxisKind;

/* A cell of the judgement's columns. */
typedef AgainRead AxisCell;

typedef struct Axis {
    AxisKind kind;
    FieldId field;
    const Record *record;  /* whose value it is in the file */
    uint32_t index;        /* of the record whose cell is read; of the field's subject */
    const char *path;      /* NULL: redrawn */
    const char *name;
    const char *from;      /* as written */
    const char *refused;   /* not NULL: why it is not proposed */
    Giver giver;
    bool asks_line, redraw;
    bool elsewhere;        /* in other colourways only: never alone */
    /* numbers */
    const Unit *unit;      /* written in */
    Quantity quantity;     /* as it is */
    double now;            /* where it stands on the scale: nominal, or half-width */
    double least, most, step;
    const double *stock;   /* what can be had, ascending; NULL: every step */
    size_t stock_count;
    const void *source;    /* of its cells */
    const AxisCell *cells; /* that hold it: its own first, then those that took it over */
    size_t cell_count;
    /* choices */
    const char *const *options;
    size_t option_count;
} Axis;

/* The values a finding's rule gives, each once, then those whose tolerances let it fail. */
size_t axes_of(Remedies *remedies, const Finding *finding, Axis **axes);
/* Values on the axis's scale by number; `from` itself need not be one. */
double axis_value(const Axis *axis, long index);
/* The number of the value nearest to `now`, away from it where it lies between two: with
 * `up` the greatest that is not above it. */
long axis_start(const Axis *axis, bool up);
long axis_end(const Axis *axis, bool up);
/* "2.6 mm", "4 ± 0.2 mm", "exactly 2 mm": as it would stand in the file. */
const char *axis_text(Arena *arena, const Axis *axis, double value);

/* ---- overlay.c: columns with some cells changed ---- */

typedef struct Overlay {
    Arena arena;
    const Columns *like;         /* the judgement's: where a value stands */
    Column base[FIELD_ID_COUNT]; /* before anything is changed */
    Columns columns;             /* shares with the base what is not changed; not to be freed */
    bool copied[FIELD_ID_COUNT];
} Overlay;

void overlay_start(Overlay *overlay, const Columns *like, const Columns *base);
void overlay_end(Overlay *overlay);
/* Sets the cells that hold the axis's value in each lane. A drawn bend keeps its turn. */
void overlay_set(Overlay *overlay, const Axis *axis, double value);
/* Whether that sets this cell. */
bool overlay_holds(const Axis *axis, FieldId field, uint32_t record);
/* The cells that hold what one of them does, that one first. */
size_t overlay_cells(Arena *arena, const Columns *columns, FieldId field, uint32_t record,
                     const AxisCell **cells);

/* ---- outcome.c: what changed values make of the whole style ---- */

/* One value set on an axis. */
typedef struct Setting {
    const Axis *axis;
    double value;     /* numbers, tolerances */
    const char *text; /* as it would stand in the file */
} Setting;

typedef struct ChangedFinding {
    const Finding *finding; /* of the ground; NULL: it is new */
    const Rule *rule;
    const char *place;
    Verdict after;
    double risk;            /* see outcome_risk() */
    bool risk_known;
    bool leaves;            /* its rule applied and no longer does, in some lane */
    double margin;          /* as written, the least of all lanes; NaN: not known */
} ChangedFinding;

typedef struct Outcome {
    const char *key;
    Setting settings[2];
    size_t setting_count;
    bool in_cells;          /* judged in the cells that hold the values alone */
    const char *alone;      /* path of the only value set; NULL: there are two, or it is redrawn */
    bool possible;          /* false: the style cannot be read so */
    bool other_records;     /* there are others than before: all was judged afresh */
    const uint8_t *touched; /* cells that changed: one a field and record; see outcome_touched() */
    bool any_touched;
    ChangedFinding *items;
    size_t count;
    struct Outcome *next;
} Outcome;

/* Kept: the same settings are worked out once. */
const Outcome *outcome_of(Remedies *remedies, const Setting *settings, size_t count);
bool outcome_touched(const Remedies *remedies, const Outcome *outcome, FieldId field,
                     uint32_t record);
/* What values of a field are worked into, as far as outcomes of them alone have told. */
typedef struct FieldReach {
    bool known, records; /* `records`: there were others than before */
    bool fields[FIELD_ID_COUNT];
} FieldReach;
/* NULL: no value of the axis's field was tried alone. */
const FieldReach *outcome_reach(const Remedies *remedies, const Axis *axis);
/* The finding, if it has changed or something that it reads has; else NULL. */
ChangedFinding *outcome_finding(const Outcome *outcome, const Finding *finding);
Verdict outcome_verdict(const Outcome *outcome, const Finding *finding);
/* Of a finding that is tight then, worked out when first asked for; NaN: not told. */
double outcome_risk(Remedies *remedies, const Outcome *outcome, const Finding *finding);
/* The same, as far as the cells that hold the values alone tell: quickly worked out, and not
 * kept. */
Outcome outcome_in_cells(Remedies *remedies, const Setting *settings, size_t count);

/* The style judged with some values changed. */
typedef struct World {
    const char *key;
    Style *style;
    Judgement *judgement;
} World;
enum { WORLDS = 8 };
void worlds_close(Remedies *remedies);
/* The same style judged with some values changed, redrawn ones left out; lives until some
 * more are asked for. NULL if it cannot be read so. */
const Judgement *world_of(Remedies *remedies, const Setting *settings, size_t count);
/* Whether both have the same records and relations. */
bool columns_alike(const Columns *a, const Columns *b);
/* The finding where its place stands in other columns; false if it is not there. */
bool finding_there(const Columns *before, const Columns *now, const Finding *finding,
                   Finding *there);

/* ---- What is known of a finding ---- */

enum { OUTCOME_SLOTS = 256 };

/* Of one finding, once asked for. */
typedef struct Known {
    const RemedyList *list;
    const RemedyFrontier *frontier;
    bool listed, bounded;
    const AgainRead *reads;
    size_t read_count;
    bool read;
    const uint32_t *lanes;  /* one of each set in which its rule reads the same at the place */
    const bool *applied;    /* in each of them: the rule applies */
    size_t lane_count;
    const uint32_t *alike;  /* for each lane the one of its set */
} Known;

/* ---- search.c: how far one value must be changed ---- */

enum { RANK_FAILS, RANK_RISKY, RANK_TIGHT, RANK_PASS };

typedef struct Memo {
    long index;
    int wanted;
    SeekPoint point;
} Memo;

/* One finding as one value changes, in lanes in which the rule reads the same once. */
typedef struct Search {
    Remedies *remedies;
    const Finding *finding;
    const Axis *axis;
    const Setting *beside; /* what else is changed; NULL: nothing */
    bool measured;         /* every value is measured, not put into its cells alone */
    bool leave;            /* may leave the reach of the rule */
    const Known *known;    /* its lanes */
    Overlay overlay;
    int wanted;
    uint32_t *tight;       /* lanes with the value tried last */
    size_t tight_count;
    Memo *memos;
    size_t memo_count, memo_capacity;
    Arena arena;
} Search;

/* Whether the finding's rule reads nothing that the value is worked into but what takes it
 * over as it is. */
bool outcome_is_direct(Remedies *remedies, const Outcome *outcome, const Finding *finding,
                       const Axis *axis);
/* The same, as values of the field are known to reach, or tried with some other value. What is
 * found then is still held against its own outcome. */
bool axis_is_direct(Remedies *remedies, const Finding *finding, const Axis *axis);

/* With something beside every value is measured where it must be; without, where the
 * caller says so. */
void search_start(Search *search, Remedies *remedies, const Finding *finding, const Axis *axis,
                  const Setting *beside);
void search_end(Search *search);
/* Whether it may find anything: false where neither end of the scale makes a difference, or
 * where no tolerance at all is not tight enough. */
bool search_may_find(Search *search, int rank);
/* The value of the scale with the rank that is nearest to the present one. */
bool search_nearest(Search *search, int rank, double *value);
/* What the finding is with a value. */
Verdict search_verdict(Search *search, double value, bool *leaves, double *margin);
/* Where it just holds, nearest to the present value: between the greatest that does not
 * and the least that does, or (`least` false) the other way round; to a thousandth of a
 * step. */
bool search_edge(Search *search, double *value, bool *least);

/* ---- the remedies ---- */

struct Remedies {
    Arena arena;
    RemedyGround ground;
    const YamlNode *tree;     /* with alternative and patches, mirrors as they are written */
    StyleShelf *style_shelf;
    JudgeShelf *shelf;        /* the judgement's own, if it has one */
    bool own_shelf;
    World worlds[WORLDS];     /* the latest */
    size_t next_world;        /* the one to give way */
    Known *known;             /* by finding */
    const Finding **by_place; /* of the judgement; NULL: not yet asked for */
    Outcome *outcomes[OUTCOME_SLOTS];
    FieldReach *reach;        /* by field */
    size_t field_start[FIELD_ID_COUNT + 1]; /* where a field's cells stand in `touched` */
};

/* What the rule reads at the finding's place. */
size_t remedies_reads(Remedies *remedies, const Finding *finding, const AgainRead **reads);
/* With its lanes. */
const Known *remedies_lanes(Remedies *remedies, const Finding *finding);
Setting setting_of(Remedies *remedies, const Axis *axis, double value);
/* Whether the settings bring the finding to the aim, judged on the whole style. */
bool settings_reach(Remedies *remedies, const Finding *finding, const Setting *settings,
                    size_t count, RemedyAim aim);
/* The remedy that such settings are. */
Remedy remedy_of(Remedies *remedies, const Finding *finding, RemedyAim aim,
                 const Setting *settings, size_t count);

/* ---- pairs.c ---- */

/* The axes of the numbers that may be changed, of those given; with those of other
 * colourways, or without. */
size_t axes_numbers(const Axis *axes, size_t count, bool elsewhere, const Axis *numbers[2]);
/* Values of an axis to try beside another, from the present one outwards, itself left out;
 * at most BESIDE_MOST, and few where each must be measured. */
enum { BESIDE_MOST = 16, BESIDE_MEASURED = 4 };
size_t beside_values(Remedies *remedies, const Finding *finding, const Axis *axis,
                     double *values);
/* The least change of two values that reaches the aim; false if there is none. */
bool pair_of(Remedies *remedies, const Finding *finding, const Axis *axes, size_t count,
             RemedyAim aim, Setting settings[2]);

#endif

/* What would make a finding a yes: for each value its rule `gives`, the smallest change
 * that brings it to tight at no more than 5 % risk, and the smallest that brings it to
 * pass, in all sizes and colourways. Knows judge and everything below.
 *
 * Found on the real evaluation, rounded outward to what can be made (0.1 mm, a needle
 * size that exists, …), then judged on the whole style. What the style keeps is never
 * proposed. */
#ifndef CORDWAIN_REMEDY_REMEDY_H
#define CORDWAIN_REMEDY_REMEDY_H

#include "judge/judge.h"

typedef enum RemedyAim { REMEDY_TIGHT, REMEDY_PASS } RemedyAim;

/* A finding that a remedy changes besides its own. */
typedef struct SideEffect {
    const Rule *rule;
    const char *place;       /* "row collar.2" */
    Verdict before, after;
} SideEffect;

/* One value changed. */
typedef struct RemedyChange {
    const char *path;        /* as patches take it; NULL: no one value of the file holds it (a bend
                                measured on a drawn line) */
    FieldId field;
    const Record *record;    /* of the judged style */
    const char *name;        /* for people: "left of edge vamp.throat" */
    Giver giver;
    bool asks_line;          /* making that shows: the line is asked too */
    bool redraw;             /* measured on a line: the number alone was judged until it is
                                redrawn; an edge turned with it is taken to be redrawn alike */
    bool tolerance;          /* the number stays, its tolerance is narrower */
    const char *from, *to;   /* as they would stand in the file: "3 mm", "2.6 mm", "raw" */
    double from_value, to_value; /* nominal, base units; NaN for words */
    const Unit *unit;        /* for people; NULL for words */
} RemedyChange;

typedef struct Remedy {
    RemedyAim aim;
    double risk;             /* of the finding after it: 0..1; NaN: not told (tolerances assumed) */
    RemedyChange changes[2];
    size_t change_count;     /* 1, or 2 where no single value suffices or is wanted */
    const SideEffect *clears, *raises; /* on the whole style, the finding itself left out */
    size_t clear_count, raise_count;
} Remedy;

/* A value its rule gives and why no change of it alone helps. */
typedef struct NoRemedy {
    const char *name;
    Giver giver;
    const char *reason;      /* "kept", "even at its least, 0.5 mm, it stays a flag", … */
} NoRemedy;

typedef struct RemedyList {
    const Remedy *items;     /* in the order the rule gives its values, tight before pass */
    size_t count;
    const NoRemedy *none;
    size_t none_count;
} RemedyList;

/* What was read, so that changes can be tried: all must outlive the remedies, and so must
 * the shelf that it was judged from. With a shelf the first remedies come sooner. */
typedef struct RemedyGround {
    YamlFile *file;
    const char *alternative;   /* NULL: as written */
    const Patch *patches;      /* what else is changed: unsaved edits, a stage */
    size_t patch_count;
    const Judgement *judgement;
} RemedyGround;

/* Remedies of one judgement, worked out finding by finding when asked for, and kept. */
typedef struct Remedies Remedies;
Remedies *remedies_new(const RemedyGround *ground);
void remedies_free(Remedies *remedies);
/* Of a flag or a tight; others have none. Owned by the remedies. */
const RemedyList *remedies_of(Remedies *remedies, const Finding *finding);
/* "left of edge vamp.throat 2.5 -> 2.0 mm (pattern): pass; clears 2, raises 1" */
void remedy_say(Text *text, const Remedy *remedy);

/* ---- Two values against each other ---- */

/* With x so, y must be at least (at most) so for the requirement to hold as written, in
 * all sizes and colourways. */
typedef struct FrontierPoint {
    double x, y;             /* base units; y to a thousandth of what can be made */
    const char *x_text, *y_text; /* "4 mm"; y rounded outward to what can be made */
} FrontierPoint;

typedef struct RemedyFrontier {
    const char *x_name, *y_name; /* "left of edge vamp.throat", "radius of bend vamp.throat.1" */
    const char *x_field, *y_field; /* "left", "radius" */
    Giver x_giver, y_giver;
    const Unit *x_unit, *y_unit;
    double x_now, y_now;
    bool least;              /* y is the least that holds; else the most */
    const FrontierPoint *points; /* by x, at least two */
    size_t count;
} RemedyFrontier;

/* Between the first two numbers that the rule gives; NULL where there are no two, or the
 * one does not move what the other must be. Owned by the remedies. */
const RemedyFrontier *remedies_frontier(Remedies *remedies, const Finding *finding);
/* "with 4 mm left the radius must be at least 7.8 mm; with 3 mm, 7.5 mm": up to five of the
 * points, around the present value. */
void remedy_frontier_say(Text *text, const RemedyFrontier *frontier);

/* ---- Who gives ---- */

/* "the developer can do this alone", "asks the designer: the line changes". */
const char *giver_say(Giver giver, bool asks_line);

#endif

/* A proposed line: what a drawn edge would be with every bend at least a needed radius,
 * how far it lies off what is drawn, and what the style is judged with it. Knows judge,
 * compare and everything below.
 *
 * The edge keeps its ends, so its neighbours still meet it. What is sewn to it in one
 * line (closed, turned, butted, bound) is offered the matching change: the same line
 * where it lies in place, its own rounded likewise where it only corresponds. Parts that
 * mirror another follow by themselves. Nothing of the style is overwritten, and what it
 * keeps is not proposed. */
#ifndef CORDWAIN_REMEDY_LINE_H
#define CORDWAIN_REMEDY_LINE_H

#include "compare/compare.h"
#include "remedy/remedy.h"
#include "shape/rounded.h"

typedef struct LineWish {
    const Record *place;    /* an edge, or a bend: then that bend alone is rounded */
    double hollow, rounded; /* needed radius, mm, of hollow and of rounded bends; of a bend the
                               larger of the two; 0: they may stay */
    double within;          /* farthest that the line may move, mm; INFINITY */
    bool corners;           /* corners are rounded too */
} LineWish;

typedef enum LineReason {
    LINE_ASKED,    /* the edge itself, or the one that it mirrors */
    LINE_IN_PLACE, /* sewn to it, on the same line */
    LINE_ALIKE     /* sewn to it, lying elsewhere: rounded likewise */
} LineReason;

typedef struct LineChange {
    const Record *edge;  /* of the judged style; drawn itself, not mirrored */
    LineReason reason;
    const Seam *seam;    /* that joins it to the edge asked for; NULL: that edge */
    const Path *drawn;
    Rounded rounded;     /* part on the left, frame of the sheet: mm of the page, y up */
    const char *path;    /* of a patch: "parts.vamp.edges.throat.path" */
    const char *data;    /* path data, mm of the page */
} LineChange;

/* An edge sewn to it that cannot follow. */
typedef struct LineStays {
    const Record *edge;
    const char *reason;
} LineStays;

typedef struct ProposedLine {
    Arena arena;
    const Judgement *before;
    LineChange *changes; /* the edge asked for first */
    size_t count;
    LineStays *stays;
    size_t stays_count;
    Style *style;        /* read again with the new lines */
    Judgement *judgement;
    Comparison *comparison;
    size_t was[VERDICT_COUNT], is[VERDICT_COUNT]; /* findings at the changed edges and what
                                                     mirrors them, and at their bends */
} ProposedLine;

/* NULL with a sentence in `why` (without a full stop). Everything in the ground must
 * outlive it. */
ProposedLine *proposed_line(const RemedyGround *ground, const LineWish *wish, Text *why);
/* The least radius, upwards to 0.1 mm, with which all findings at the bends of the edge
 * and of what is sewn to it in one line pass; NULL with `why` if there is none or nothing
 * to mend. `wish` says what besides radii; the radius taken stands in `radius`. */
ProposedLine *proposed_least(const RemedyGround *ground, const LineWish *wish, double *radius,
                             Text *why);
void proposed_free(ProposedLine *proposed);

/* What changes and what it is worth, several lines. */
void proposed_say(Text *text, const ProposedLine *proposed);
/* An SVG drawing of the changed parts, whole, where the style's own drawing has them:
 * laid over it, or named after it in `drawing:`, it fits. */
void proposed_drawing(Text *text, const ProposedLine *proposed);

#endif

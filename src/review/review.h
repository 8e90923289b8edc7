/* A review: one style being gone through by two people. Holds what is judged, what
 * was changed and not yet saved, where they are, and what they decided. No screen in
 * it: everything here can be driven by a test.
 *
 * A change is a patch over the style as read; the whole is judged again at once.
 * Every step can be undone and done again without end. Judgement, style and texts
 * handed out live until the next step. */
#ifndef CORDWAIN_REVIEW_REVIEW_H
#define CORDWAIN_REVIEW_REVIEW_H

#include "compare/ways.h"
#include "remedy/remedy.h"
#include "style/save.h"

typedef struct ReviewFiles {
    const char *style, *alternative; /* NULL: as written */
    const char *factory;             /* NULL: none */
    const char *const *rules;        /* base rule files */
    size_t rule_count;
    const char *stage;               /* NULL: the style's */
} ReviewFiles;

typedef struct Review Review;

/* NULL with messages. */
Review *review_open(const ReviewFiles *files, Messages *messages);
void review_close(Review *review);
const Judgement *review_judgement(const Review *review);
const ReviewFiles *review_files(const Review *review);

/* ---- Changing ---- */

/* One value that may be changed at a place. */
typedef struct Choice {
    const char *path;      /* where it stands: "parts.vamp.edges.throat.left" */
    const Field *field;
    const char *text;      /* as written now; "" where it is absent */
    const char *name;      /* for people: "left of edge vamp.throat" */
    Where at;              /* of the value, or of the record if it is absent */
    const char *const *options; /* words or ids that may stand there; NULL: a number or text */
    size_t option_count;
    bool kept;             /* the style keeps it: never proposed, may still be typed */
    bool drawn;            /* measured on a line: setting it is refused, the line must be redrawn */
} Choice;

/* The values a finding rests on that can be changed, what its rule gives first. */
size_t review_choices(const Review *review, const Finding *finding, Arena *arena, Choice **choices);
/* Sets a value (YAML as it would stand in the file; NULL removes it) and judges
 * again. False with the reason, and nothing is changed. Equal to the present value,
 * by its text or as a number: true, and no step. Equal to what the file says: the
 * change is taken back. A value of a group that is absent or unknown (skive.width)
 * is set with its group. */
bool review_set(Review *review, const char *path, const char *value, Text *problem);
/* The same with several values in one step: all of them, or none. */
typedef struct ReviewValue {
    const char *path, *value;
} ReviewValue;
bool review_set_values(Review *review, const ReviewValue *values, size_t count, Text *problem);
/* The value `steps` of its field's step further (a number keeps its unit and its
 * tolerance; words go round). False with the reason where it cannot be stepped. */
bool review_step(Review *review, const Choice *choice, int steps, Text *problem);
bool review_undo(Review *review);
bool review_redo(Review *review);
/* What the last step (change, undo, redo, switch) made of the findings; NULL before any. */
const Comparison *review_comparison(const Review *review);

/* Changes since the file was read or saved, in order: for a list and for saving. */
typedef struct Changed {
    const char *path, *before, *after; /* texts as written; NULL: absent */
} Changed;
size_t review_changed(const Review *review, const Changed **changes);
/* Takes them all back, those laid aside too, as one step that can be undone. False: none. */
bool review_drop(Review *review);
/* Writes them into the style's file (style/save.h), which then holds them: they are none any
 * more. No step, but all that was handed out ends; undo still goes further back, and what it
 * changes is to be saved again. Nothing is changed unless the file is FILE_SAVED or FILE_UNSURE. */
FileSaved review_save(Review *review, Messages *messages);
/* The file's text with them, for a file beside it. False with messages. */
bool review_text(const Review *review, Text *text, Messages *messages);
/* The same once somebody else wrote them. False with messages, and nothing is changed. */
bool review_saved(Review *review, Messages *messages);
/* The file read again after somebody else worked on it; what is not saved here is dropped, and
 * the comparison is with what was judged before. False with messages, and nothing is changed. */
bool review_reread(Review *review, Messages *messages);

/* ---- Switching (one step each; the same as now: true, and no step) ----
 *
 * Changes that do not fit an alternative, whose paths lead nowhere in it, are laid aside:
 * they do not count and are not to be saved until one is taken that they fit. */

/* How many are laid aside now. */
size_t review_aside(const Review *review);

bool review_take_alternative(Review *review, const char *alternative, Text *problem);
bool review_take_factory(Review *review, const char *path, Text *problem); /* NULL: none */

/* ---- What would clear it, and other ways to build it ---- */

/* What remedies and proposed lines are worked out from: the style as it is now. Until the next
 * step; what it points to besides the review is the arena's. */
RemedyGround review_ground(const Review *review, Arena *arena);

/* The style as written and each of its alternatives at the present factory, with what is
 * changed here as far as it fits. Until the next step. */
typedef struct ReviewWays ReviewWays;
ReviewWays *review_ways_new(Review *review);
void review_ways_free(ReviewWays *ways);
/* Works out one of them; false once all are. */
bool review_ways_more(ReviewWays *ways);
size_t review_ways_left(const ReviewWays *ways);
/* Side by side; those that cannot be read are left out. NULL before all are worked out. */
const Ways *review_ways_all(const ReviewWays *ways);
/* The alternative of a way (NULL: as written). */
const char *review_way_alternative(const ReviewWays *ways, size_t way);
/* Those left out and why, one a line; "" none. */
const char *review_ways_unread(const ReviewWays *ways);

/* ---- Going through ---- */

/* Stops in making order, one a seam: it, its rows and spots, and the edges and parts that
 * no seam before it joins. Then the parts in no seam, in order of the file, then what is of
 * no part. Every finding is in one stop; open ones first, worst first. */
typedef struct Stop {
    const char *name;   /* "lining: lining-back", "vamp", … */
    const Finding **findings;
    size_t count, open; /* open: flag, unknown, tight */
} Stop;
size_t review_stops(const Review *review, const Stop **stops);

/* The run of verdicts by size for a finding, worst over colourways, and by colourway,
 * worst over sizes. Owned by the arena. */
size_t review_by_size(const Review *review, const Finding *finding, Arena *arena,
                      const char ***names, Verdict **verdicts);
size_t review_by_colourway(const Review *review, const Finding *finding, Arena *arena,
                           const char ***names, Verdict **verdicts);

#endif

/* What the files of src/review share; nobody else includes this. */
#ifndef CORDWAIN_REVIEW_INSIDE_H
#define CORDWAIN_REVIEW_INSIDE_H

#include "review/review.h"
#include "style/place.h"

/* The style's file as read at one time, and what its drawings measure. */
typedef struct Base {
    Arena arena;
    YamlFile *file;
    StyleShelf *shelf;
    struct Base *next;
} Base;

/* A factory and the rules as they hold there, read once. */
typedef struct Ground {
    const char *path; /* NULL: no factory */
    Factory *factory;
    RuleSet *rules;
    JudgeShelf *shelf;
    struct Ground *next;
} Ground;

/* One changed value. Owned by the review, as its text is. */
typedef struct Edit {
    const char *path;
    const YamlNode *node; /* NULL: removed */
    bool adds;            /* the path led to nothing when it was typed */
    bool aside;           /* does not fit the alternative that is looked at */
} Edit;

/* All that a step can change: small, and kept for ever. */
typedef struct State {
    const Base *base;
    const Ground *ground;
    const char *alternative; /* NULL: as written */
    const Edit *edits;
    size_t count;
} State;

/* A state worked out. Trees have their mirrors as they are written. */
typedef struct Built {
    Arena arena;
    const YamlNode *written; /* with the alternative */
    const YamlNode *tree;    /* and with the edits */
    Style *style;
    Judgement *judgement;
    Changed *changed;
    size_t changed_count;
    Stop *stops;
    size_t stop_count;
} Built;

struct Review {
    Arena arena;
    ReviewFiles files;       /* as they are now */
    const YamlNode *stage;   /* of --stage; NULL: none given */
    Base *bases;             /* the newest first */
    Ground *grounds;
    State *states;
    size_t count, capacity, at;
    const char **saved;      /* paths that were ever changed and saved */
    size_t saved_count, saved_capacity;
    Built *now, *before;     /* before: NULL until the first step */
    Comparison *comparison;
};

/* ---- node_text.c: values as text, and texts as values ---- */

/* One line of YAML that reads as the node does. */
const char *node_text(Arena *arena, const YamlNode *node);
/* Both say the same, though they may be spelt differently. */
bool node_equal(const YamlNode *a, const YamlNode *b);
/* Reads a value as it would stand between the brackets of a file; `field` (or NULL) names it
 * in the reason. Its place reads "changed here" followed by `at`, whose file is such as
 * ", was 3 mm at styles/skerry.yaml". NULL with the reason. */
const YamlNode *node_typed(Arena *arena, Where at, const char *text, const Field *field,
                           Text *problem);
/* The reason for people: the first error, with its place unless that is in what was typed. */
void problem_say(Text *problem, const Messages *messages);

/* ---- change.c ---- */

/* Where a path leads in the style's file: to its value, or to what would hold it. Not to what
 * was changed here; `node` (or NULL) takes the value, NULL where it is not written. */
Where change_where(const Built *built, const char *path, const YamlNode **node);
/* ---- steps.c ---- */

/* The text of a number `steps` of the field's step further. */
bool step_number(Text *stepped, const Field *field, const char *text, const char *like,
                 const Unit *bare_length, int steps, Text *problem);

/* ---- stops.c ---- */

void stops_build(Built *built);

/* ---- grounds.c: what is read from disk ---- */

/* The style's file read once more, as the newest; NULL with messages. */
const Base *base_read(Review *review, Messages *messages);
/* The factory's file (NULL: none), read at most once; NULL with messages. */
const Ground *ground_of(Review *review, const char *path, Messages *messages);
void bases_free(Base *bases);
void grounds_free(Ground *grounds);

/* ---- build.c: a state worked out ---- */

/* NULL with messages. */
Built *built_new(const Review *review, const State *state, Messages *messages);
void built_free(Built *built);
/* What a state changes, the stage that was asked for too, over the file with its alternative. */
const Patch *state_patches(const Review *review, Arena *arena, const State *state, size_t *count);
/* Which edits fit the state's alternative: the others are laid aside. */
void state_settle(Review *review, State *state);
/* The tree of a state with its mirrors as they are written; `written` without its edits. */
const YamlNode *state_tree(const Review *review, Arena *arena, const State *state,
                           const YamlNode **written, Messages *messages);

/* ---- review.c: going from state to state ---- */

/* Works the state out and makes it the present one, after which nothing can be done again.
 * False with the reason, and nothing is changed. */
bool review_go(Review *review, State state, Text *problem);
const State *review_state(const Review *review);
/* A copy that lives as long as the review; NULL of NULL. */
const char *review_kept(Review *review, const char *text);
/* `lengths:` of the style's head, or NULL. */
const Unit *review_bare_length(const Review *review);

#endif

/* The one table of fields: every value a style or factory file may give and a
 * rule may read. The YAML readers, the rule compiler, `cordwain fields`, the
 * manual and the schemas all use it, so they cannot disagree.
 *
 * fields.def holds the rows; this header turns them into enums, field.c into
 * the table. Knows base and quantity. */
#ifndef CORDWAIN_FIELD_FIELD_H
#define CORDWAIN_FIELD_FIELD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "quantity/quantity.h"

/* What a rule can be about, and what those things belong to. The order is the
 * order of reading and of the manual. */
typedef enum Subject {
    SUBJECT_STYLE,
    SUBJECT_LAST,
    SUBJECT_BOTTOM,
    SUBJECT_MATERIAL,
    SUBJECT_PART,
    SUBJECT_EDGE,
    SUBJECT_BEND,
    SUBJECT_HOLE,
    SUBJECT_SEAM,
    SUBJECT_ROW,
    SUBJECT_SPOT,
    SUBJECT_STEP,   /* a climb along a row: rise over a distance */
    SUBJECT_PLY,    /* a layer at a row, at a spot or along a turned or folded edge */
    SUBJECT_FACTORY,
    SUBJECT_MACHINE,
    SUBJECT_COUNT
} Subject;

typedef enum FieldType {
    FIELD_NUMBER, /* a quantity with tolerance */
    FIELD_RANGE,  /* least and most setting; `x in range` */
    FIELD_WORD,   /* one of `words` */
    FIELD_WORDS,  /* a set of `words`; `word in set` */
    FIELD_COUNTS, /* a set of small whole numbers; `count in set` */
    FIELD_TRUTH,  /* true or false */
    FIELD_TEXT,   /* free text; not for formulas */
    FIELD_NAME    /* the id of another record (`refers`); a relation, not a value, in formulas */
} FieldType;

/* What it means when the file does not say. */
typedef enum Absence {
    ABSENT_UNKNOWN,
    ABSENT_NONE,     /* number: zero or nothing there, as `means` says; truth: false */
    ABSENT_REFUSED,  /* the file is refused */
    ABSENT_INHERITS, /* a bend's left, relief, grade: its edge's */
    ABSENT_LIMIT,    /* a machine's own limit: the limit of that name holds instead */
    ABSENT_DERIVED   /* never written: worked out by src/measure */
} Absence;

/* Which house tolerance a number without one takes. */
typedef enum HouseTolerance {
    HOUSE_NONE, HOUSE_THICKNESS, HOUSE_SKIVE, HOUSE_LINE, HOUSE_ROW, HOUSE_GAP, HOUSE_COUNT
} HouseTolerance;

/* How a value follows the sizes. */
typedef enum Grading {
    GRADING_NONE,   /* same in every size */
    GRADING_LENGTH, /* a last's length: by the size system */
    GRADING_GIRTH,  /* a last's girth: by the girth step */
    GRADING_ALONG,  /* a typed length along an edge: scales with the last */
    GRADING_RADIUS  /* a bend's radius: by `grade`, else both are judged */
} Grading;

/* Who can give: whose value it is to change. */
typedef enum Giver {
    GIVER_NOBODY, GIVER_LINE, GIVER_PATTERN, GIVER_MATERIAL, GIVER_MAKING, GIVER_MACHINE,
    GIVER_COUNT
} Giver;

typedef struct WordList {
    const char *name;          /* "finish", "join", …, as in the manual */
    const char *const *words;
    size_t count;
} WordList;

typedef struct Field {
    Subject subject;
    const char *name;     /* as in a formula and, below the subject's mapping, in the file:
                             "radius", "skive.width" (a mapping skive with a key width) */
    size_t length;        /* of the name */
    FieldType type;
    const char *unit;     /* unit it is shown in; "" for plain numbers and non-numbers */
    const WordList *words;
    Subject refers;       /* FIELD_NAME; SUBJECT_COUNT otherwise */
    Absence absence;
    double least, most;   /* bounds, base units; -INFINITY, INFINITY where there are none */
    double step;          /* one key press on the screen, base units */
    HouseTolerance tolerance;
    Grading grading;
    Giver giver;
    bool visible_making;  /* making that shows: the line is asked too */
    const char *means;
} Field;

/* FIELD ids: BEND_RADIUS, EDGE_SKIVE_WIDTH, … in table order. */
typedef enum FieldId {
#define FIELD(id, ...) id,
#include "field/fields.def"
#undef FIELD
    FIELD_ID_COUNT
} FieldId;

const Field *field_at(FieldId id);
/* The field of `subject` called `name` (dots included); FIELD_ID_COUNT if none. */
FieldId field_find(Subject subject, const char *name, size_t length);
/* First id of a subject and one past its last. */
FieldId field_first(Subject subject);
FieldId field_end(Subject subject);
/* The unit a field is shown in; NULL for plain numbers and non-numbers. */
const Unit *field_unit(const Field *field);
/* How a file writes it. */
QuantityForm field_form(const Field *field);
/* "a length such as 4 mm", "one of raw, folded, …": for messages. */
void field_accepts(Text *text, const Field *field);

const char *subject_name(Subject subject);             /* "bend" */
bool subject_find(const char *name, size_t length, Subject *subject);
const char *giver_name(Giver giver);

/* Index of a word in a list, -1 if it is not there. */
int word_index(const WordList *list, const char *word, size_t length);
/* The list called `name` ("finish"); NULL if none. */
const WordList *word_list(const char *name);
/* What to write for a word of the trade that the list has under another name
 * ("inward (hollow)" for concave); case, blanks and "-" do not count. NULL if
 * there is none. */
const char *word_advice(const WordList *list, const char *word, size_t length);

/* How records lead to others. One: each record has at most one. Many: a set. */
typedef struct Relation {
    Subject from;
    const char *name; /* "edge", "material", "ply" */
    Subject to;
    bool many;
} Relation;

const Relation *relation_table(size_t *count);
/* The relation of `from` called `name`; NULL if none. */
const Relation *relation_find(Subject from, const char *name, size_t length);
/* Its row in the table, for Columns. */
size_t relation_index(const Relation *relation);

#endif

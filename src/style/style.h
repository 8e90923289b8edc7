/* A style: its file read, patched by an alternative, and turned into records.
 * Knows base, quantity, yaml, field and shape.
 *
 * Order of reading: tree -> the alternative's patches -> mirrors and `but` ->
 * records by the table of fields -> names resolved -> drawn lines measured ->
 * consistency. Everything keeps its place in the file. What is measured on a line
 * stands in the records like what is typed, which it replaces; Value.drawn tells. */
#ifndef CORDWAIN_STYLE_STYLE_H
#define CORDWAIN_STYLE_STYLE_H

#include "field/record.h"
#include "shape/bends.h"
#include "shape/outline.h"

typedef enum SizeSystem { SIZE_PARIS_POINT, SIZE_ENGLISH, SIZE_MONDOPOINT } SizeSystem;

typedef struct Sizes {
    bool given;          /* a style without sizes has one lane, its base */
    SizeSystem system;
    double base, from, to, step; /* in the system's own numbers; mondopoint in mm */
    const YamlNode *node;
} Sizes;

/* One side of a seam: edges end to end. `bare` names the part on which an
 * overlay ends in the middle (then there are no edges). */
typedef struct SeamSide {
    Record **edges;
    size_t count;
    Record *bare;
    const YamlNode *node;
} SeamSide;

/* A ply of a typed spot. */
typedef struct TypedPly {
    Record *part;   /* NULL: unknown */
    Value times;
    const YamlNode *node;
} TypedPly;

typedef struct TypedSpot {
    Record *spot;
    bool plies_unknown;
    TypedPly *plies;
    size_t ply_count;
} TypedSpot;

/* How much longer (shorter, below 0) than its partner an edge is cut. */
typedef struct Ease {
    const Record *edge;
    Value amount;
} Ease;

/* What a seam joins; index of the seam's record. Top ply first. */
typedef struct Seam {
    Record *record;
    SeamSide *sides;
    size_t side_count;
    RecordList rows;
    TypedSpot *spots;    /* as written; by `at` once sorted by measure */
    size_t spot_count;
    bool spots_given;    /* false: plies are assumed from the edges */
    Ease *eases;
    size_t ease_count;
    bool ease_unknown;
    double *marks;       /* match marks, mm in the base size, in order: on every side that far from
                            where the seam begins, by the lengths of its edges. It begins with
                            the first side, and at the end of one that mirrors another's edges;
                            ease and misfit lie behind the last mark */
    size_t mark_count;
    bool marks_unknown;
} Seam;

/* What a part backs, and how far inside the finished line it stops there. */
typedef struct Inset {
    const char *edge;    /* name of an edge of a backed part; NULL: all */
    Value amount;
} Inset;

typedef struct Backing {
    Record *part;        /* the part that backs */
    Record **backed;
    size_t backed_count;
    bool backed_unknown;
    Inset *insets;
    size_t inset_count;
} Backing;

typedef struct Swap {
    Record *from, *to;   /* materials */
} Swap;

typedef struct Colourway {
    const char *name;
    Swap *swaps;
    size_t swap_count;
} Colourway;

typedef struct Alternative {
    const char *name;
    const YamlNode *node;
} Alternative;

/* A flat drawing on which parts lie in place. Sheets stand in one drawing, but
 * places on different sheets have nothing to do with each other. An angle is
 * written from x towards y as on the page, where y points down: 17 deg is -17 deg
 * here. x is 0; y is a quarter turn, of which only the axis counts. */
typedef struct Sheet {
    const char *name;
    bool along_known;
    double along;        /* rad, from x towards y, which points up: the way from heel to toe */
    const YamlNode *node;
} Sheet;

/* A part whose outline is drawn, in the frame of its sheet (mm, y up, base size).
 * A mirrored part is mirrored about the `along` axis through the origin, and its
 * edges are turned so that the part lies on their left again. */
typedef struct DrawnPart {
    Record *part;
    Outline outline;
    Record **edges;      /* one for each of outline.edges, in its order round the part */
    const Sheet *sheet;  /* NULL: it lies on none */
    bool mirrored;
} DrawnPart;

/* An edge as drawn; index of the edge's record. */
typedef struct DrawnLine {
    const DrawnPart *part;     /* NULL: the edge is not drawn */
    size_t place;              /* its index in part->outline.edges */
    bool unknown;              /* there is a line, but not known which: its path is unknown, or
                                  that of another edge of its part, or the drawing is */
    bool mirrored;             /* its line is that of the edge it mirrors, turned over and round:
                                  lengths that are written along it count from its end */
    Where at;                  /* of its path: in the style's file or in the drawing */
    const Value *typed_length; /* typed beside the line; NULL: none */
    RecordList typed_bends;    /* typed beside the line: records that are in no list of the style */
    bool bends_typed;          /* the list is given, if only as [] */
} DrawnLine;

typedef struct Style {
    Arena arena;               /* owns everything below, the file's tree too */
    YamlFile *file;
    const YamlNode *tree;      /* patched, mirrors taken */
    const char *name, *code;
    const char *alternative;   /* NULL: as written */
    RecordList lists[SUBJECT_COUNT]; /* style, last, bottom, material, part, edge, bend, hole, seam, row, spot */
    Sizes sizes;
    Colourway *colourways;     /* at least one; the only one may have the name "" */
    size_t colourway_count;
    Alternative *alternatives;
    size_t alternative_count;
    Seam *seams;               /* in order of the file; lists[SUBJECT_SEAM] the same order */
    size_t seam_count;
    size_t *order;             /* indices of seams in making order, as `order:` gives it */
    size_t order_count;        /* seams it does not name are not in it */
    bool order_unknown;
    Backing *backings;
    size_t backing_count;
    Sheet *sheets;
    size_t sheet_count;
    DrawnPart *drawn;
    size_t drawn_count;
    DrawnLine *lines;          /* one an edge */
    const Bend **bends;        /* one a bend: as measured on its edge's line; NULL: typed */
    const Value **typed_narrowest; /* one a part: typed beside a drawn outline; NULL: none */
    const YamlNode **keeps;    /* paths never proposed for change */
    size_t keep_count;
} Style;

/* One changed value: `path` from the root of the file ("seams.collar.join",
 * "parts.vamp.edges.throat.bends.1.radius"); value NULL removes. Alternatives,
 * edits and tests are lists of these. */
typedef struct Patch {
    const char *path;
    const YamlNode *value;
    const YamlNode *at;   /* where the patch is written, for messages */
} Patch;

/* Reads `path`; `alternative` NULL is as written; `patches` come after the
 * alternative's. NULL with messages if anything was wrong. */
Style *style_read(const char *path, const char *alternative, const Patch *patches,
                  size_t patch_count, Messages *messages);
/* The same from a file already read (its arena must outlive the style). */
Style *style_from_tree(YamlFile *file, const char *alternative, const Patch *patches,
                       size_t patch_count, Messages *messages);
void style_free(Style *style);

/* Drawings read and lines measured, kept for the next reading of the same file,
 * as edits and alternatives follow one another. What changes on the disk meanwhile
 * is not seen. Styles read with a shelf live no longer than it does. */
typedef struct StyleShelf StyleShelf;
StyleShelf *style_shelf_new(void);
void style_shelf_free(StyleShelf *shelf);
/* As style_from_tree(), with what stands on the shelf. */
Style *style_from_shelf(StyleShelf *shelf, YamlFile *file, const char *alternative,
                        const Patch *patches, size_t patch_count, Messages *messages);

/* Sizes of the run in order, as numbers and as text ("42", "42.5"); one empty
 * text where no sizes are given. Returns how many; arrays live in the style. */
size_t style_sizes(const Style *style, Arena *arena, const double **numbers,
                   const char *const **names);

#endif

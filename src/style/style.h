/* A style: its file read, patched by an alternative, and turned into records.
 * Knows base, quantity, yaml and field.
 *
 * Order of reading: tree -> the alternative's patches -> mirrors and `but` ->
 * records by the table of fields -> names resolved -> consistency. Everything
 * keeps its place in the file. */
#ifndef CORDWAIN_STYLE_STYLE_H
#define CORDWAIN_STYLE_STYLE_H

#include "field/record.h"

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

/* What a seam joins; index of the seam's record. Top ply first. */
typedef struct Seam {
    Record *record;
    SeamSide *sides;
    size_t side_count;
    RecordList rows;
    TypedSpot *spots;    /* as written; by `at` once sorted by measure */
    size_t spot_count;
    bool spots_given;    /* false: plies are assumed from the edges */
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
    Backing *backings;
    size_t backing_count;
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

/* Sizes of the run in order, as numbers and as text ("42", "42.5"); one empty
 * text where no sizes are given. Returns how many; arrays live in the style. */
size_t style_sizes(const Style *style, Arena *arena, const double **numbers,
                   const char *const **names);

#endif

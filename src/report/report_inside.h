/* The tree of a report as its writers see it. For src/report/report*.c alone. */
#ifndef CORDWAIN_REPORT_REPORT_INSIDE_H
#define CORDWAIN_REPORT_REPORT_INSIDE_H

#include "report/report.h"

typedef enum BlockKind {
    BLOCK_SECTION,
    BLOCK_STATUS,
    BLOCK_PARAGRAPH,
    BLOCK_ITEM,
    BLOCK_PAIR,
    BLOCK_TABLE,
    BLOCK_FIGURE,
    BLOCK_STRIP,
    BLOCK_SHARE,
    BLOCK_SIGNATURE
} BlockKind;

typedef struct Section Section;

typedef struct Table {
    const char *caption;
    ReportColumn *columns;
    size_t column_count;
    const char **cells;   /* row by row; never NULL */
    const char **anchors; /* one a row; NULL: none */
    size_t row_count, row_capacity, cell_capacity;
} Table;

typedef struct Strip {
    const char **sizes, **colourways;
    size_t size_count, colourway_count;
    Verdict *verdicts;
} Strip;

/* What a block has besides its words. */
typedef struct Block {
    BlockKind kind;
    const char *lead; /* status, share: the word; pair: the name; NULL: none */
    const char *text;
    Section *section;
    Table *table;
    Figure *figure;
    Strip *strip;
    size_t number; /* of a figure, from 1 */
    double share;
    ReportTone tone;
} Block;

struct Section {
    const char *anchor, *title;
    long count;
    int level; /* 2 for the first below the report's title */
    bool is_finding;
    Verdict verdict;
    const char *class;
    size_t number; /* of a finding */
    Block *blocks;
    size_t block_count, block_capacity;
    Section *parent; /* NULL: the report itself */
};

struct Report {
    Arena arena;
    Section root; /* level 1; its title is the report's */
    Section *open;
    const char *prefix;
    size_t figures;
};

enum { REPORT_LEVEL_MOST = 6 };

/* Whether a block continues the list that the one before it belongs to. */
bool block_continues(const Section *section, size_t block);
/* "! flag, major" of a finding. */
void section_add_verdict(Text *text, const Section *section);

#endif

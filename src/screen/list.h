/* What the list shows: headings of parts and findings under them. No curses. */
#ifndef CORDWAIN_SCREEN_LIST_H
#define CORDWAIN_SCREEN_LIST_H

#include "judge/judge.h"

typedef struct ListRow {
    const char *heading;     /* a part; else NULL */
    const Finding *finding;  /* NULL for headings */
} ListRow;

/* Zeroed is empty; freed by list_free(). */
typedef struct List {
    ListRow *rows;
    size_t count;
    size_t findings;         /* rows that are findings */
} List;

/* Parts in the order of the style's file, what belongs to no part last; under
 * each its findings, worst first. Without `all` only flag, unknown and tight. */
void list_build(List *list, const Judgement *judgement, bool all);
void list_free(List *list);
/* The row of a finding, 0-based; the first finding's if it is not shown. */
size_t list_row(const List *list, const Finding *finding);
/* The next row with a finding from `row` in direction +1 or -1; `row` if none. */
size_t list_step(const List *list, size_t row, int direction);
/* How many findings stand before `row`. */
size_t list_ordinal(const List *list, size_t row);

#endif

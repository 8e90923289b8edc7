/* Many styles and factories at once: the table that is read first. For check and report. */
#ifndef CORDWAIN_REPORT_SEASON_H
#define CORDWAIN_REPORT_SEASON_H

#include "report/told.h"

/* A style as one factory would build it. */
typedef struct SeasonCell {
    const Decisions *decisions;
    const Finding *worst; /* the first to be settled that is open, else the first to be settled;
                             NULL: nothing is to be settled */
    Verdict verdict;      /* of `worst`; VERDICT_PASS without; VERDICT_OUT: no place was judged */
    size_t flags, unknowns, tight;
    int release;      /* as log_release() */
    const char *word; /* told_release() */
} SeasonCell;

/* Styles down, factories across. */
typedef struct Season {
    Arena arena;
    const char **styles;    /* "SK-104 Skerry deck shoe, turned"; from files: escape them */
    const char **factories; /* their names; "no factory" */
    size_t style_count, factory_count;
    SeasonCell *cells;                /* of style s at factory f: cells[s * factory_count + f] */
    size_t released, permitted, held; /* how many cells; permitted ones are released with permits */
} Season;

/* `items` in the order of the cells; what they point to must outlive the season. */
Season *season_new(const Told *items, size_t style_count, size_t factory_count);
void season_free(Season *season);
const SeasonCell *season_cell(const Season *season, size_t style, size_t factory);

/* "4 styles at 2 factories: 1 released, 2 released with deviation permits, 5 held". */
void season_say(Text *text, const Season *season);
/* The table in lines of at most 80 cells, safe for a terminal. */
void season_text(Text *text, const Season *season);

#endif

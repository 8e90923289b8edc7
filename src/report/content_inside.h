/* What the files that write the report on a style share. For src/report/content*.c alone. */
#ifndef CORDWAIN_REPORT_CONTENT_INSIDE_H
#define CORDWAIN_REPORT_CONTENT_INSIDE_H

#include "figure/picture.h"
#include "report/content.h"
#include "report/runs.h"

typedef struct Shown {
    const Record *record;
    size_t number; /* of its first picture; 0: it cannot be drawn */
} Shown;

typedef struct Content {
    Report *report;
    Arena *arena; /* the report's */
    const Told *source;
    const Judgement *judgement;
    const Decisions *decisions;
    const Log *log;
    const ReportSince *since;
    Runs *runs;
    size_t *numbers;       /* of each run, from 1, in the order in which they are told */
    const Run **told_runs; /* by number - 1 */
    PictureBase base;
    const RemedyGround *ground; /* NULL: no line is proposed */
    Shown *lines;               /* bends and edges with a proposed line, each once */
    size_t lines_count, lines_capacity;
    Shown *shown; /* places that were drawn, each once */
    size_t shown_count, shown_capacity;
    const char **told; /* numbers of the place told last, so that none is told twice */
    size_t told_count, told_capacity, told_at;
    const char *told_place;
} Content;

/* "finding-12" */
const char *content_anchor(const Content *content, size_t number);
/* "styles/skerry.yaml:61:37" in the report's arena. */
const char *content_where(const Content *content, Where at);
/* The text in the report's arena; frees it. */
const char *content_take(const Content *content, Text *text);
/* Whether a finding keeps the style from being released. */
bool content_open(const Content *content, const Finding *finding);
/* "1 finding", "2 findings" */
const char *content_count(const Content *content, size_t count, const char *one, const char *many);

void content_findings(Content *content);
void content_line(Content *content, const Finding *finding);
void content_unknowns(Content *content);
void content_decisions(Content *content);
void content_since(Content *content);
/* In the section that is open: what the other revision has otherwise. */
void content_edits(const Content *content, const Judgement *before);
void content_limits(Content *content);
void content_rules(Content *content);
void content_pair(Content *content);
void content_basis(Content *content);
void content_cautions(Content *content);

#endif

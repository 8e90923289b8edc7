/* What the report on one style at one factory says, in its order: whether it is released and why,
 * what was judged, findings by part, unknowns, permits, limits and rules that were changed,
 * numbers of a pair, what the passes rest on, cautions, signatures. Knows everything below.
 *
 * Whoever reads it was not there: every statement carries its numbers and where they stand. */
#ifndef CORDWAIN_REPORT_CONTENT_H
#define CORDWAIN_REPORT_CONTENT_H

#include "report/inputs.h"
#include "report/report.h"
#include "report/told.h"

/* What the style is held against. */
typedef struct ReportSince {
    const char *name;           /* as the reader named it: a file or a day */
    const Judgement *judgement; /* of the other revision, with the same rules and factory; NULL */
    const Log *log;             /* the other log, whose decisions are known already; NULL */
    const Date *day;            /* decisions of this day and later are new; NULL */
} ReportSince;

typedef struct ReportStyle {
    const Told *told;
    const Log *log;             /* NULL: there can be none */
    const ReportSince *since;   /* NULL: nothing is compared */
    const RemedyGround *ground; /* of that judgement, for proposed lines; NULL: none is proposed */
} ReportStyle;

/* "Skerry deck shoe (SK-104), turned": of the report, or of the style's section in it. */
void report_style_title(Text *text, const Judgement *judgement);
/* Adds to the section that is open. What `style` points to must outlive the call only. */
void report_style(Report *report, const ReportStyle *style);

#endif

/* Several styles or factories in one report: the table that is read first. Each style's own
 * section is opened as "sN" (report_open), N from 1 in the order of the season's cells. */
#ifndef CORDWAIN_REPORT_CONTENT_SEASON_H
#define CORDWAIN_REPORT_CONTENT_SEASON_H

#include "report/report.h"
#include "report/season.h"

/* How all of them stand, and the table: styles down, factories across. */
void report_season(Report *report, const Season *season);

#endif

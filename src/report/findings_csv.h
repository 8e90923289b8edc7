/* Findings as a table of comma-separated values (RFC 4180: CRLF, a header line, quotes doubled;
 * UTF-8), one finding a line. For check and report.
 *
 * No cell of text is a formula to a spreadsheet: one that would begin like a formula has an
 * apostrophe in front. Numbers stay numbers. What is not seen stands as \u{..}. */
#ifndef CORDWAIN_REPORT_FINDINGS_CSV_H
#define CORDWAIN_REPORT_FINDINGS_CSV_H

#include "report/told.h"

void findings_csv(Text *text, const Told *items, size_t count, const Telling *telling);

/* One cell of text: made safe, and quoted where it must be. */
void csv_add_text(Text *text, const char *string);

#endif

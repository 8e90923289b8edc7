/* Findings in the Static Analysis Results Interchange Format (SARIF) 2.1.0, an OASIS standard,
 * so that other programs can show them at the lines of the style's file. For report.
 *
 * One run for each style and factory. A flag is kind `fail`, an unknown `open`, a tight one
 * `review`; a level stands with `fail` alone: critical error, major warning, minor note. With
 * `all` a pass is `pass`, and what is out or off `notApplicable`. All rules that ran are listed;
 * those switched off are disabled. Columns count Unicode characters. */
#ifndef CORDWAIN_REPORT_SARIF_H
#define CORDWAIN_REPORT_SARIF_H

#include "report/told.h"

void sarif_write(Text *text, const Told *items, size_t count, const Telling *telling);

#endif

/* Findings as JSON Lines: an object a line, for programs that take one after the other. For check.
 *
 * Each style and factory gives, in this order,
 *   {"line": "head", "cordwain": "lines/1", …}   as the object of findings_json.h, without its
 *                                                 tally, findings and permits_not_needed
 *   {"line": "finding", …}                        one a finding, as there
 *   {"line": "tally", "tally": {…}, "told": N, "hidden": N}
 *                                                 so that a reader knows that nothing was cut off
 * All text is ASCII with escapes. */
#ifndef CORDWAIN_REPORT_FINDINGS_LINES_H
#define CORDWAIN_REPORT_FINDINGS_LINES_H

#include "report/told.h"

void findings_lines(Text *text, const Told *items, size_t count, const Telling *telling);

#endif

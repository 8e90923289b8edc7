/* Findings as JSON, form "findings/1": one object for one style and factory, a list of such
 * objects for more. For check, report and whoever compares.
 *
 * { "cordwain": "findings/1", "style", "code", "stage", "factory", "alternative",
 *   "date": the day that decisions are held against, or null where there is no log,
 *   "release": "released" | "released with deviation permits" | "held" | "no place judged",
 *   "sizes": [], "colourways": [], "tally": {pass, tight, flag, unknown, out, off, total},
 *   "open", "permitted", "lapsed": numbers of findings as the decisions leave them,
 *   "giver", "hidden": whose findings alone are told and how many are not; null and 0 else,
 *   "findings": [{
 *     "rule", "title", "about", "place", "part", "at": {file, line, column} or null,
 *     "verdict", "class", "spare": {value, unit} or null, "relative_spare": number or null,
 *     "basis", "risk": 0..1 or null, "risk_samples": how many were drawn or null,
 *     "risk_error": standard error of the risk or null, "assumed",
 *     "lanes": [{size, colourway, verdict, spare: {value, unit} or null}],
 *     "sentence", "because", "source", "cause", "cause_giver",
 *     "values": {NAME: {nominal, lo, hi, unit, from}},   words: nominal and from alone
 *     "remedies": [{"aim": "tight" | "pass", "risk",
 *                   "change", "path", "from", "to", "from_value", "to_value", "unit", "giver",
 *                   "asks_line", "redraw", "and": the same of a second change, or null,
 *                   "clears", "raises": [{rule, place, before, after}]}],
 *     "no_remedies": [{name, giver, reason}],
 *     "decision": {decision, state, lapsed, who, when, why, until, ask} or null }],
 *   "permits_not_needed": [{rule, place, decision}]   where there is a log }
 *
 * Numbers stand in the unit beside them; what is not known is null. All text is ASCII with
 * escapes, so that nothing in it can steer a terminal. */
#ifndef CORDWAIN_REPORT_FINDINGS_JSON_H
#define CORDWAIN_REPORT_FINDINGS_JSON_H

#include "report/told.h"

void findings_json(Text *text, const Told *items, size_t count, const Telling *telling);

#endif

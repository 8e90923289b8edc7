/* JSON Schemas (draft 2020-12) of the files: what an editor completes and checks
 * while somebody types, and what other programs hold our output against. Made
 * from the table of fields, the units and the word lists that the readers use.
 * Knows judge and log and everything below them.
 *
 * A schema never refuses what the reader takes. It may take more: it sees one
 * file at a time, no names that lead to others, no order of keys and no sums.
 *
 * An editor reads plain scalars as numbers and truths where YAML 1.2's core
 * schema does: so texts and names may be of any such type, and a number stands
 * bare where the reader takes it bare. */
#ifndef CORDWAIN_SCHEMA_SCHEMA_H
#define CORDWAIN_SCHEMA_SCHEMA_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"
#include "field/field.h"

/* "style", "rules", "factory", "log", "findings", "lines", "materials": all of version 1. */
const char *const *schema_kinds(size_t *count);
/* Adds the schema of that kind; false, with nothing added, if there is none. */
bool schema_write(Text *text, const char *kind);

/* What it means that a file does not give a value, as words that go on a
 * sentence: "; absent: none"; "" for unknown. */
const char *schema_absence(Absence absence);

#endif

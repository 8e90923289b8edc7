/* The catalogue: common kinds of material with believable ranges and where these come from. What
 * is taken from it is written into a style's own file, where it is the user's to measure; nothing
 * is ever judged out of the catalogue itself. Knows base, quantity, yaml and field.
 *
 * A file `cordwain: materials/1`: `title`, and `materials` by id. Each has `means`, `source` and,
 * as a style's material, values of the table of fields: numbers as ranges (1.2..1.6 mm), `unknown`
 * where nobody can say. `sources` says of single values where these come from instead. */
#ifndef CORDWAIN_CATALOGUE_CATALOGUE_H
#define CORDWAIN_CATALOGUE_CATALOGUE_H

#include "base/file.h"
#include "field/record.h"

typedef struct CatalogueKind {
    const char *means;
    Record *record;       /* SUBJECT_MATERIAL; its id is the kind's */
    const char *source;   /* of all values but those that have one of their own */
    const char **sources; /* by field, from record->first; NULL: the kind's */
} CatalogueKind;

typedef struct Catalogue {
    Arena arena; /* owns everything, the file's tree too */
    YamlFile *file;
    const char *title;
    RecordList materials;
    CatalogueKind *kinds; /* in order of the file */
    size_t count;
} Catalogue;

/* NULL with messages if anything was wrong. */
Catalogue *catalogue_read(const char *path, Messages *messages);
/* The same from memory; `path` is for messages. */
Catalogue *catalogue_read_bytes(const char *path, const char *bytes, size_t length,
                                Messages *messages);
void catalogue_free(Catalogue *catalogue);

/* NULL with a message, and the nearest kind, if the catalogue has none of this id. */
const CatalogueKind *catalogue_find(const Catalogue *catalogue, const char *id, Messages *messages);
/* Is it written into a style, known or not? Texts, names and what is never written are not. */
bool catalogue_tells(FieldId id);
/* Adds the value as it is written: "1.2..1.6 mm"; "unknown" where the catalogue is silent. */
void catalogue_value(Text *text, const CatalogueKind *kind, FieldId id);

/* A kind, and what the style will call it. */
typedef struct CatalogueChoice {
    const CatalogueKind *kind;
    const char *name;
} CatalogueChoice;

/* Takes "ID" or "ID=NAME" apart; a name is the end of `wanted`. False after a message. */
bool catalogue_choose(const Catalogue *catalogue, Arena *arena, const char *wanted,
                      CatalogueChoice *choice, Messages *messages);

/* Adds the style's text with the chosen kinds after the last of its materials, each on lines of
 * its own below comments that name its sources; everything else stays byte for byte. The text was
 * read again: nothing but the new materials differs. The style itself need not be whole yet. False
 * with messages, and nothing added: a name that is taken, materials between braces. */
bool catalogue_text(const YamlFile *style, const CatalogueChoice *choices, size_t count, Text *text,
                    Messages *messages);
/* Writes that text in place of the file, if the file still holds what was read from it. Once
 * saved, `style` is out of date: read it again. */
FileSaved catalogue_insert(const YamlFile *style, const CatalogueChoice *choices, size_t count,
                           Messages *messages);

#endif

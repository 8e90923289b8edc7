/* Changed values written into a style's own file. For the review; knows base, yaml and style.
 *
 * Where a value is written: where the value now in force stands. An alternative that sets it has
 * it in its own pair, and the change goes there; else it goes into the alternative that this one
 * is built from, or into the style as written, and holds for all that build on that. A key that is
 * missing is added to its mapping as it stands in the file, after the last key.
 *
 * Two edits only: a scalar is replaced, a pair is added (yaml/yaml_splice.h). Whatever else the
 * patches do is refused with "edit line N yourself" and what to write: a key or an item taken away,
 * a list that grows or shrinks, a mapping or list that gives way to something else, a key that an
 * alternative removes. Then nothing is written of the others either.
 *
 * Mirrors: a part or seam that mirrors another has no values of its own. A path into it is refused
 * with the advice to change the other or to write `but`; paths through `but` are written like any
 * other ("parts.quarter-med.but.edges.vent.finish"), a missing `but` is added as a whole
 * ("parts.quarter-med.but" with a mapping for its value). */
#ifndef CORDWAIN_STYLE_SAVE_H
#define CORDWAIN_STYLE_SAVE_H

#include "base/file.h"
#include "style/style.h"

/* Adds the file's text with the patches in it, as they lie over `alternative` (NULL: as written);
 * values that are equal to what stands there change no byte. The text was read again, with every
 * alternative: nothing but the patched paths differs, and those as patched. False with messages;
 * where the changed text would be refused, they say so and give places in that text. */
bool style_text(YamlFile *file, const char *alternative, const Patch *patches, size_t count,
                Text *text, Messages *messages);

/* Writes that text in place of the file, if the file still holds what was read from it; a file
 * that nothing changes in is not touched. Once saved, `file` is out of date: read it again. */
FileSaved style_save(YamlFile *file, const char *alternative, const Patch *patches, size_t count,
                     Messages *messages);

#endif

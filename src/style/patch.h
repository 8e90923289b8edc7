/* Patches over a style's tree. For style, for review, and for tests. */
#ifndef CORDWAIN_STYLE_PATCH_H
#define CORDWAIN_STYLE_PATCH_H

#include "style/style.h"

/* A new tree with the patches taken, sharing what did not change. The path must
 * exist but for its last key; list items by number from 1. NULL with messages. */
YamlNode *patch_tree(Arena *arena, const YamlNode *root, const Patch *patches, size_t count,
                     Messages *messages);
/* True if `path` leads to something in the tree; else an error at `at` with the
 * nearest key. */
bool patch_path_check(Arena *arena, const YamlNode *root, const char *path, Where at,
                      Messages *messages);
/* What it leads to, without a message: NULL if that is nothing. */
const YamlNode *patch_path_node(const YamlNode *root, const char *path);
/* Whether it leads anywhere. */
bool patch_path_leads(const YamlNode *root, const char *path);
/* The patches of the alternative `name`, its `from` first. False with messages. */
bool patch_alternative(Arena *arena, const YamlNode *root, const char *name, Patch **patches,
                       size_t *count, Messages *messages);
/* The tree with parts and seams that mirror others written out, `but` taken.
 * Where that fails there are errors, and the tree holds what could be done, so
 * that the rest of the file is still checked. */
YamlNode *patch_mirrors(Arena *arena, const YamlNode *root, Messages *messages);

#endif

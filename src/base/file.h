/* Reading whole files safely, writing them whole or not at all. */
#ifndef CORDWAIN_BASE_FILE_H
#define CORDWAIN_BASE_FILE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/memory.h"
#include "base/message.h"

/* Reads a regular file (or standard input for "-") of at most `most` bytes
 * into the arena, NUL-terminated. Directories, devices, FIFOs, missing or
 * unreadable files, files that are too large or that change while being read
 * each give their own message; then false. */
bool file_read(Arena *arena, const char *path, size_t most, Messages *messages,
               char **bytes, size_t *length);

/* Replaces `path` by `bytes` or leaves it as it was: temporary file beside it
 * with the old file's mode, write, fsync, close, rename, fsync of the folder.
 * A symbolic link is followed once. False with a message otherwise. */
bool file_replace(const char *path, const char *bytes, size_t length, Messages *messages);

/* The same for a file that does not exist yet; one that does is left alone. */
bool file_create(const char *path, const char *bytes, size_t length, Messages *messages);

/* Why the system refused, in a person's words: of errno. */
const char *file_reason(int error);

/* How a saving ended. */
typedef enum FileSaved {
    FILE_SAVED,
    FILE_UNSURE,  /* the file holds the new text, but a loss of power could undo that */
    FILE_CHANGED, /* somebody else changed or removed it: untouched; read again or save beside */
    FILE_UNSAVED  /* untouched; where the new text could not be made safe, it is kept beside */
} FileSaved;

/* Replaces as file_replace() does, but only if the file still holds `known`, what was read from
 * it: the text is compared just before the name is given. A message for each but FILE_SAVED. */
FileSaved file_save(const char *path, const char *known, size_t known_length, const char *bytes,
                    size_t length, Messages *messages);

#endif

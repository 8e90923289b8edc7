/* The decision log of a style: a file beside it to which lines are added and nothing else.
 *
 *   cordwain: log/1
 *   code: "JS-1"
 *   decisions:
 *   - {…, sum: HEX}
 *
 * HEX is the SHA-256, in 64 small hexadecimal digits, of the HEX before (of the first line:
 * of the three lines above) followed by this line up to ", sum: ". So no byte of the file can
 * change without notice, but for lines cut off whole at its end. A last line without its
 * newline was torn while it was written: it does not count, and is cut off by the next
 * decision.
 *
 * Limits: those of every YAML file (8 MiB, 64 KiB a line, 200,000 keys and values,
 * which is some 3,000 decisions); a decision that would go beyond them is refused before anything
 * is written. */
#ifndef CORDWAIN_LOG_LOG_H
#define CORDWAIN_LOG_LOG_H

#include "log/record.h"

typedef struct Log {
    Arena arena; /* owns all, records that were read earlier too */
    const char *path;
    bool exists;              /* false: there is no such file, and no record */
    const char *code;         /* of the style, as the head has it; "" where there is no file */
    const LogRecord *records; /* in order of the file */
    size_t count;
} Log;

/* "styles/skerry.log.yaml" for "styles/skerry.yaml"; NULL for standard input. */
const char *log_path(Arena *arena, const char *style);
/* Whether this is the name of a decision log. */
bool log_is_name(const char *path);

/* A log that does not exist is empty. NULL with messages if anything was wrong; a torn last
 * line is a notice. */
Log *log_read(const char *path, Messages *messages);
void log_free(Log *log);

/* Adds a decision: true only once it is on the disk; the log then holds it, and what others
 * added meanwhile. False with messages: file and log are as they were (a torn last line may
 * be gone), and the record is the caller's to try again. Other writers are waited for a
 * second; the message then names them. The log is made with its first decision. */
bool log_append(Log *log, const LogRecord *record, Messages *messages);

#endif

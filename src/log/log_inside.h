/* What reading and appending share. For log.c and append.c only. */
#ifndef CORDWAIN_LOG_LOG_INSIDE_H
#define CORDWAIN_LOG_LOG_INSIDE_H

#include "log/log.h"
#include "log/sum.h"

/* The bytes of a log and what they say. */
typedef struct LogText {
    Arena *arena;
    const char *path;
    const char *bytes;
    size_t length, whole; /* whole: up to and with the last newline */
    const char *code, *head;
    const LogRecord *records;
    size_t count;
    Sum last; /* of the last record */
} LogText;

/* The three lines before the first record. */
const char *log_head(Arena *arena, const char *code);
/* Sets `whole`, with a notice if something is left over: "it WHAT". */
void log_cut_torn(LogText *log, const char *what, Messages *messages);
/* Reads and checks the whole lines. False with messages. */
bool log_take_text(LogText *log, Messages *messages);
/* The sum that a line gets which comes after the last record. */
Sum log_next_sum(const LogText *log, const char *line, size_t length);
bool log_exists(const char *path);
/* The log holds what was read. */
void log_keep(Log *log, const LogText *text);

#endif

/* Messages with positions: file:line:column, what is wrong, what was
 * expected. Collected, not printed; the command line prints them. */
#ifndef CORDWAIN_BASE_MESSAGE_H
#define CORDWAIN_BASE_MESSAGE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "base/memory.h"

struct Text;

/* A position as people count: lines and columns from 1; line 0 means the
 * whole file; file NULL means nowhere (a value nobody wrote). Column counts
 * characters. `file` lives as long as the tree it came from. */
typedef struct Where {
    const char *file;
    int line, column;
} Where;

typedef enum MessageLevel { MESSAGE_ERROR, MESSAGE_NOTICE } MessageLevel;

typedef struct Message {
    MessageLevel level;
    Where at, other; /* other.file NULL: one place only */
    const char *text;
} Message;

enum { MESSAGES_ERRORS_A_FILE = 20 };

/* Zeroed = none. Owns its texts. Errors of one file past the 20th are counted
 * and not kept. */
typedef struct Messages {
    Arena arena;
    Message *items;
    size_t count, capacity;
    size_t errors; /* also those not kept */
} Messages;

void message_error(Messages *messages, Where at, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* Two places are concerned, e.g. a key and its twin. */
void message_error_two(Messages *messages, Where at, Where other, const char *format, ...)
    __attribute__((format(printf, 4, 5)));
void message_notice(Messages *messages, Where at, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* True once 20 errors of this file are kept: readers stop. */
bool messages_full(const Messages *messages, const char *file);
/* Writes all, in order of file (as first met) and line, made safe for a
 * terminal, one a line: "file:line:column: error: text (see file:line:column)".
 * Says how many were not kept. */
void messages_write(const Messages *messages, FILE *out);
void messages_free(Messages *messages);

/* "styles/skerry.yaml:12:5", "skerry.yaml" for line 0, "-" for nowhere. */
const char *where_text(Arena *arena, Where at);

/* A value from a file as messages show it: cut after 60 characters, with an
 * ellipsis then. Lives as long as the expression it stands in: quoted(text).text. */
enum { QUOTED_MOST = 60 };
typedef struct Quoted {
    char text[QUOTED_MOST * 4 + sizeof "…"];
} Quoted;
Quoted quoted(const char *text);
Quoted quoted_bytes(const char *text, size_t length);

/* The known word nearest to `word` (Damerau-Levenshtein distance at most 2
 * and at most a third of its length, rounded up), or NULL. */
const char *nearest_word(const char *word, const char *const *words, size_t count);
/* Adds which name may have been meant: "; did you mean vamp?", else the known
 * ones, "; known: vamp, quarter", of which a long list shows the first. */
void add_known_names(struct Text *text, const char *word, const char *const *known, size_t count);

#endif

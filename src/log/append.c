/* A decision added to the log and made safe on the disk. For src/review and src/cli. */
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/file.h"
#include "log/lock.h"
#include "log/log_inside.h"

__attribute__((format(printf, 3, 4))) static bool refuse(const Log *log, Messages *messages,
                                                         const char *format, ...)
{
    Text text = {0};
    va_list arguments;
    va_start(arguments, format);
    text_addv(&text, format, arguments);
    va_end(arguments);
    message_error(messages, (Where){.file = log->path}, "%s; nothing was kept", text_string(&text));
    text_free(&text);
    return false;
}

/* --- the file ------------------------------------------------------------------------------ */

/* A FIFO nobody reads must not make us wait; a terminal must not become ours. */
static int open_plain(const char *path)
{
    return open(path, O_RDWR | O_CLOEXEC | O_NONBLOCK | O_NOCTTY | O_NOFOLLOW);
}

/* A symbolic link is followed once. */
static int open_file(const char *path)
{
    int fd = open_plain(path);
    if (fd >= 0 || errno != ELOOP)
        return fd;
    char name[PATH_MAX], target[PATH_MAX];
    ssize_t length = readlink(path, name, sizeof name - 1);
    if (length < 0)
        return -1;
    name[length] = '\0';
    const char *slash = name[0] == '/' ? NULL : strrchr(path, '/');
    int folder = slash != NULL ? (int)(slash - path) + 1 : 0;
    int joined = snprintf(target, sizeof target, "%.*s%s", folder, path, name);
    if (joined < 0 || joined >= (int)sizeof target) {
        errno = ENAMETOOLONG;
        return -1;
    }
    return open_plain(target);
}

static bool read_at(int fd, char *bytes, size_t length)
{
    for (size_t have = 0; have < length;) {
        ssize_t got = pread(fd, bytes + have, length - have, (off_t)have);
        if (got < 0 && errno == EINTR)
            continue;
        if (got <= 0)
            return false;
        have += (size_t)got;
    }
    return true;
}

static bool write_at(int fd, const char *bytes, size_t length, size_t at)
{
    for (size_t done = 0; done < length;) {
        ssize_t wrote = pwrite(fd, bytes + done, length - done, (off_t)(at + done));
        if (wrote < 0 && errno == EINTR)
            continue;
        if (wrote <= 0)
            return false;
        done += (size_t)wrote;
    }
    return true;
}

/* The bytes under the lock. Somebody may have put another file in its place meanwhile. */
static bool read_locked(int fd, const Log *log, LogText *text, Messages *messages)
{
    struct stat mine, named;
    if (fstat(fd, &mine) != 0)
        return refuse(log, messages, "cannot be read: %s", file_reason(errno));
    if (stat(log->path, &named) != 0 || named.st_dev != mine.st_dev || named.st_ino != mine.st_ino)
        return refuse(log, messages, "was replaced at this very moment; try again");
    if ((uintmax_t)mine.st_size > YAML_FILE_MOST)
        return refuse(log, messages, "is larger than %d MiB, the most accepted",
                      YAML_FILE_MOST >> 20);
    text->length = (size_t)mine.st_size;
    char *bytes = arena_alloc(text->arena, text->length + 1, 1);
    if (!read_at(fd, bytes, text->length))
        return refuse(log, messages, "cannot be read: %s", file_reason(errno));
    text->bytes = bytes;
    return true;
}

/* The newline comes last, once the rest is on the disk: where it stands, the line is whole. */
static bool write_line(int fd, const char *line, size_t length, size_t at)
{
    return write_at(fd, line, length - 1, at) && ftruncate(fd, (off_t)(at + length - 1)) == 0 &&
           fsync(fd) == 0 && write_at(fd, line + length - 1, 1, at + length - 1) && fsync(fd) == 0;
}

static bool put_line(int fd, const Log *log, const char *line, size_t length, size_t at,
                     Messages *messages)
{
    if (write_line(fd, line, length, at))
        return true;
    int error = errno;
    bool back = ftruncate(fd, (off_t)at) == 0;
    const char *full = file_reason(error);
    if (back && error != EIO)
        return refuse(log, messages, "cannot be written: %s; the file is as it was", full);
    return refuse(log, messages,
                  "cannot be written, and what is on the disk is not sure: %s; look at the end of "
                  "the file",
                  full);
}

/* --- the line ------------------------------------------------------------------------------ */

static size_t add_line(Text *text, const LogText *log, const LogRecord *record)
{
    size_t before = text->length;
    logged_write(text, record);
    Sum sum = log_next_sum(log, text->bytes + before, text->length - before);
    text_addf(text, ", sum: %s}\n", sum.hex);
    return text->length - before;
}

/* What the file will hold, read as a reader would: what goes beyond his limits is never
 * written. `now` is what it holds. */
static bool try_line(const LogText *now, const LogRecord *record, LogText *next, size_t *length,
                     Messages *messages)
{
    Text text = {0};
    text_add_bytes(&text, now->bytes, now->whole);
    *length = add_line(&text, now, record);
    *next = (LogText){.arena = now->arena, .path = now->path};
    next->bytes = arena_copy(now->arena, text.bytes, text.length);
    next->length = next->whole = text.length;
    text_free(&text);
    return log_take_text(next, messages);
}

static bool append_locked(int fd, Log *log, const LogRecord *record, Messages *messages)
{
    LogText now = {.arena = &log->arena, .path = log->path}, next;
    size_t length;
    if (!read_locked(fd, log, &now, messages))
        return false;
    log_cut_torn(&now, "is cut off", messages);
    if (!log_take_text(&now, messages))
        return false;
    if (strcmp(now.code, record->style) != 0)
        return refuse(log, messages, "is the log of the style %s, not of %s", quoted(now.code).text,
                      quoted(record->style).text);
    if (!try_line(&now, record, &next, &length, messages) ||
        !put_line(fd, log, next.bytes + now.whole, length, now.whole, messages))
        return false;
    log_keep(log, &next);
    return true;
}

static bool append_file(Log *log, const LogRecord *record, Messages *messages)
{
    int fd = open_file(log->path);
    if (fd < 0)
        return refuse(log, messages, "cannot be opened for writing: %s",
                      errno == ELOOP ? "a symbolic link to a symbolic link is not followed"
                                     : file_reason(errno));
    struct stat info;
    bool ordinary = fstat(fd, &info) == 0 && S_ISREG(info.st_mode);
    bool done = ordinary
                    ? lock_take(fd, log->path, messages) && append_locked(fd, log, record, messages)
                    : refuse(log, messages, "is no ordinary file");
    if (close(fd) != 0 && done) /* after fsync nothing is left to lose, but the system complains */
        message_notice(messages, (Where){.file = log->path}, "closing it: %s", file_reason(errno));
    return done;
}

/* The first decision makes the file, whole or not at all. */
static bool create_file(Log *log, const LogRecord *record, Messages *messages)
{
    const char *head = log_head(&log->arena, record->style);
    LogText none = {.arena = &log->arena, .path = log->path, .head = head}, next;
    size_t length;
    none.bytes = head;
    none.length = none.whole = strlen(head);
    if (!try_line(&none, record, &next, &length, messages) ||
        !file_create(log->path, next.bytes, next.length, messages))
        return false;
    log_keep(log, &next);
    return true;
}

bool log_append(Log *log, const LogRecord *record, Messages *messages)
{
    Text problem = {0};
    bool complete = logged_complete(record, &problem);
    if (!complete)
        refuse(log, messages, "%s", text_string(&problem));
    text_free(&problem);
    if (!complete)
        return false;
    if (!log_exists(log->path)) {
        Messages own = {0};
        bool made = create_file(log, record, &own);
        bool other = !made && log_exists(log->path); /* somebody was faster */
        if (!made && !other)
            for (size_t i = 0; i < own.count; i++)
                message_error(messages, own.items[i].at, "%s", own.items[i].text);
        messages_free(&own);
        if (!other)
            return made;
    }
    return append_file(log, record, messages);
}

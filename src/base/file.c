/* Reading whole files safely; replacing one whole or not at all. For
 * everyone; nobody else opens files of the user for writing. */
#define _GNU_SOURCE
#include "base/file.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/text.h"

static Where whole_file(const char *path)
{
    return (Where){.file = path};
}

/* The same words whatever the language of the system. */
const char *file_reason(int error)
{
    switch (error) {
    case ENOENT:
        return "there is no such file";
    case EACCES:
    case EPERM:
        return "permission denied";
    case ENOTDIR:
        return "part of its path is not a folder";
    case EISDIR:
        return "it is a folder";
    case ELOOP:
        return "its symbolic links go round in a circle";
    case ENAMETOOLONG:
        return "its name is too long";
    case ENOSPC:
        return "the disk is full";
    case EDQUOT:
        return "your share of the disk is used up";
    case EROFS:
        return "the disk is read-only";
    case EMFILE:
    case ENFILE:
        return "too many files are open";
    case EIO:
        return "the disk reported a fault";
    case ENXIO:
        return "it is a socket or a device without a driver";
    default:
        return strerror(error);
    }
}

static const char *kind_of(mode_t mode)
{
    if (S_ISDIR(mode))
        return "a folder";
    if (S_ISFIFO(mode))
        return "a pipe";
    if (S_ISCHR(mode) || S_ISBLK(mode))
        return "a device";
    if (S_ISSOCK(mode))
        return "a socket";
    return "no ordinary file";
}

static void too_large(Messages *messages, const char *path, size_t most)
{
    if (most % (1 << 20) == 0)
        message_error(messages, whole_file(path), "file is larger than %zu MiB, the most accepted",
                      most >> 20);
    else
        message_error(messages, whole_file(path),
                      "file is larger than %zu bytes, the most accepted", most);
}

/* Reads until `room` bytes or the end. False on a fault, with errno. */
static bool read_up_to(int fd, char *bytes, size_t room, size_t *length)
{
    *length = 0;
    while (*length < room) {
        ssize_t got = read(fd, bytes + *length, room - *length);
        if (got == 0)
            return true;
        if (got < 0 && errno != EINTR)
            return false;
        if (got > 0)
            *length += (size_t)got;
    }
    return true;
}

static bool read_stdin(Arena *arena, size_t most, Messages *messages, char **bytes, size_t *length)
{
    size_t room = 64 << 10, have = 0;
    char *buffer = memory_new(room, 1);
    for (;;) {
        size_t got;
        size_t ask = room - have <= most - have ? room - have : most + 1 - have;
        bool sound = read_up_to(STDIN_FILENO, buffer + have, ask, &got);
        int error = errno;
        have += got;
        if (!sound || have > most) {
            free(buffer);
            if (sound)
                too_large(messages, "-", most);
            else
                message_error(messages, whole_file("-"), "cannot read standard input: %s",
                              file_reason(error));
            return false;
        }
        if (got < ask)
            break;
        room *= 2;
        buffer = memory_grow(buffer, room, 1);
    }
    *bytes = arena_copy(arena, buffer, have);
    *length = have;
    free(buffer);
    return true;
}

static bool same_state(const struct stat *a, const struct stat *b)
{
    return a->st_size == b->st_size && a->st_mtim.tv_sec == b->st_mtim.tv_sec &&
           a->st_mtim.tv_nsec == b->st_mtim.tv_nsec && a->st_ctim.tv_sec == b->st_ctim.tv_sec &&
           a->st_ctim.tv_nsec == b->st_ctim.tv_nsec;
}

typedef enum Reading { READING_DONE, READING_CHANGED, READING_FAILED } Reading;

/* One attempt; says what failed, but not that the file changed meanwhile. */
static Reading read_once(Arena *arena, int fd, const char *path, size_t most, Messages *messages,
                         char **bytes, size_t *length)
{
    struct stat before, after;
    if (fstat(fd, &before) != 0) {
        message_error(messages, whole_file(path), "cannot read the file: %s", file_reason(errno));
        return READING_FAILED;
    }
    if (!S_ISREG(before.st_mode)) {
        message_error(messages, whole_file(path), "is %s; an ordinary file was expected",
                      kind_of(before.st_mode));
        return READING_FAILED;
    }
    if ((uintmax_t)before.st_size > most) {
        too_large(messages, path, most);
        return READING_FAILED;
    }
    size_t size = (size_t)before.st_size;
    char *buffer = arena_alloc(arena, size + 1, 1);
    /* One byte more than the size, to see that it did not grow. */
    if (!read_up_to(fd, buffer, size + 1, length) || fstat(fd, &after) != 0) {
        message_error(messages, whole_file(path), "cannot read the file: %s", file_reason(errno));
        return READING_FAILED;
    }
    if (*length != size || !same_state(&before, &after))
        return READING_CHANGED;
    buffer[size] = '\0';
    *bytes = buffer;
    return READING_DONE;
}

bool file_read(Arena *arena, const char *path, size_t most, Messages *messages, char **bytes,
               size_t *length)
{
    if (strcmp(path, "-") == 0)
        return read_stdin(arena, most, messages, bytes, length);
    /* O_NONBLOCK: opening a pipe nobody writes to must not wait. */
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
    if (fd < 0) {
        message_error(messages, whole_file(path), "cannot open the file: %s", file_reason(errno));
        return false;
    }
    Reading reading = read_once(arena, fd, path, most, messages, bytes, length);
    if (reading == READING_CHANGED && lseek(fd, 0, SEEK_SET) == 0)
        reading = read_once(arena, fd, path, most, messages, bytes, length);
    close(fd); /* nothing was written: a failure loses nothing */
    if (reading == READING_CHANGED)
        message_error(messages, whole_file(path),
                      "the file keeps changing while it is read; try again when it rests");
    return reading == READING_DONE;
}

/* A replacement under way. `path` is what the user named, for messages. */
typedef struct Replacement {
    const char *path;
    Messages *messages;
    bool fresh;        /* there must be no such file yet */
    const char *known; /* what the file must still hold; NULL: anything */
    size_t known_length;
    char target[PATH_MAX]; /* the file itself, a link followed */
    char folder[PATH_MAX];
    char temporary[PATH_MAX];
    struct stat old;
    bool exists;
} Replacement;

__attribute__((format(printf, 2, 3))) static bool refuse(Replacement *r, const char *format, ...)
{
    Text text = {0};
    va_list arguments;
    va_start(arguments, format);
    text_addv(&text, format, arguments);
    va_end(arguments);
    message_error(r->messages, whole_file(r->path), "%s", text_string(&text));
    text_free(&text);
    return false;
}

/* dir/name; false if that is too long. */
static bool join(char out[PATH_MAX], const char *folder, const char *name)
{
    const char *slash = folder[strlen(folder) - 1] == '/' ? "" : "/";
    int length = snprintf(out, PATH_MAX, "%s%s%s", folder, slash, name);
    return length > 0 && length < PATH_MAX;
}

static void set_folder(Replacement *r, const char *path)
{
    const char *slash = strrchr(path, '/');
    size_t length = slash ? (size_t)(slash - path) + (slash == path) : 0;
    snprintf(r->folder, sizeof r->folder, "%.*s", length ? (int)length : 1, length ? path : ".");
}

static bool follow_link(Replacement *r)
{
    char name[PATH_MAX];
    ssize_t length = readlink(r->target, name, sizeof name - 1);
    if (length < 0)
        return refuse(r, "cannot follow the symbolic link: %s", file_reason(errno));
    name[length] = '\0';
    bool fits = name[0] == '/' ? join(r->target, "/", name + 1) : join(r->target, r->folder, name);
    if (!fits)
        return refuse(r, "cannot follow the symbolic link: %s", file_reason(ENAMETOOLONG));
    set_folder(r, r->target);
    r->exists = lstat(r->target, &r->old) == 0;
    if (!r->exists && errno != ENOENT)
        return refuse(r, "cannot follow the symbolic link: %s", file_reason(errno));
    if (r->exists && S_ISLNK(r->old.st_mode))
        return refuse(r, "a symbolic link to a symbolic link is not followed; name the file %s",
                      r->target);
    return true;
}

/* Finds the file that is to be replaced and whether that may be done. */
static bool find_target(Replacement *r)
{
    if (snprintf(r->target, sizeof r->target, "%s", r->path) >= PATH_MAX)
        return refuse(r, "cannot write the file: %s", file_reason(ENAMETOOLONG));
    set_folder(r, r->target);
    r->exists = lstat(r->target, &r->old) == 0;
    if (!r->exists && errno != ENOENT)
        return refuse(r, "cannot write the file: %s", file_reason(errno));
    if (r->exists && S_ISLNK(r->old.st_mode) && !follow_link(r))
        return false;
    if (!r->exists)
        return true;
    if (!S_ISREG(r->old.st_mode))
        return refuse(r, "is %s and is not replaced; give another name", kind_of(r->old.st_mode));
    if (r->old.st_nlink > 1)
        return refuse(r, "has other names (hard links) that would keep the old text; "
                         "give another name");
    if (faccessat(AT_FDCWD, r->target, W_OK, AT_EACCESS) != 0)
        return refuse(r, "may not be written: %s", file_reason(errno));
    return true;
}

/* The temporary file beside the target, or -1 with a message. */
static int open_temporary(Replacement *r)
{
    enum { TRIES = 100 };
    for (int i = 0; i < TRIES; i++) {
        char name[64];
        snprintf(name, sizeof name, ".cordwain-%ld-%d", (long)getpid(), i);
        if (!join(r->temporary, r->folder, name)) {
            errno = ENAMETOOLONG;
            break;
        }
        int fd = open(r->temporary, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW,
                      r->exists ? 0600 : 0666);
        if (fd < 0 && errno == ENOENT) {
            refuse(r, "cannot be written: there is no such folder %s", r->folder);
            return -1;
        }
        if (fd >= 0 || errno != EEXIST)
            return fd >= 0 ? fd : (refuse(r, "cannot write beside it: %s", file_reason(errno)), -1);
    }
    refuse(r, "cannot write beside it: %s", file_reason(errno));
    return -1;
}

static bool write_all(int fd, const char *bytes, size_t length)
{
    while (length > 0) {
        ssize_t wrote = write(fd, bytes, length);
        if (wrote < 0 && errno == EINTR)
            continue;
        if (wrote <= 0)
            return false;
        bytes += wrote;
        length -= (size_t)wrote;
    }
    return true;
}

/* Owner and mode of the old file. */
static bool keep_owner(int fd, const Replacement *r)
{
    struct stat new;
    if (!r->exists)
        return true;
    if (fstat(fd, &new) != 0)
        return false;
    if ((new.st_uid != r->old.st_uid || new.st_gid != r->old.st_gid) &&
        fchown(fd, r->old.st_uid, r->old.st_gid) != 0)
        return false;
    return fchmod(fd, r->old.st_mode & 07777) == 0;
}

/* Fills the temporary file. After a failed fsync nothing is known about what
 * is on the disk and a second call proves nothing: the file is kept. */
static bool fill(Replacement *r, int fd, const char *bytes, size_t length)
{
    if (!keep_owner(fd, r)) {
        int error = errno;
        close(fd);
        unlink(r->temporary);
        return refuse(r, "owner and mode cannot be kept (%s); give another name", file_reason(error));
    }
    if (!write_all(fd, bytes, length)) {
        int error = errno;
        close(fd);
        unlink(r->temporary);
        return refuse(r, "cannot write: %s; the file is as it was", file_reason(error));
    }
    int synced = fsync(fd), error = errno;
    int closed = close(fd);
    if (synced == 0 && closed != 0)
        error = errno;
    if (synced != 0 || closed != 0)
        return refuse(r,
                      "cannot be sure that it is on the disk: %s; the file is as it was, "
                      "the new text is in %s",
                      file_reason(error), r->temporary);
    return true;
}

/* So that the new name survives a loss of power. */
static bool sync_folder(Replacement *r)
{
    int fd = open(r->folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0)
        return errno == EACCES ||
               refuse(r, "is replaced, but its folder cannot be opened: %s", file_reason(errno));
    int synced = fsync(fd), error = errno;
    close(fd);
    if (synced == 0 || error == EINVAL)
        return true;
    return refuse(r, "is replaced, but a loss of power could undo that: %s", file_reason(error));
}

/* Gives the temporary file its name. A fresh one is linked, since a rename would
 * replace what somebody else put there meanwhile. */
static bool give_name(Replacement *r)
{
    int named = r->fresh ? link(r->temporary, r->target) : rename(r->temporary, r->target);
    int error = errno;
    if (r->fresh || named != 0)
        unlink(r->temporary);
    if (named == 0)
        return true;
    if (r->fresh)
        return error == EEXIST ? refuse(r, "exists already; nothing was written")
                               : refuse(r, "cannot be written: %s", file_reason(error));
    return refuse(r, "cannot be replaced: %s; the file is as it was", file_reason(error));
}

/* Does the open file hold these bytes and no more? False also on a fault, with errno. */
static bool holds(int fd, const char *known, size_t length)
{
    char piece[16 << 10];
    size_t got = 0;
    for (size_t at = 0; at < length; at += got) {
        size_t ask = length - at < sizeof piece ? length - at : sizeof piece;
        if (!read_up_to(fd, piece, ask, &got) || got < ask || memcmp(piece, known + at, ask) != 0)
            return false;
    }
    return read_up_to(fd, piece, 1, &got) && got == 0;
}

/* Is it still a file with this one name, and does it hold what is known? */
static bool is_known(const Replacement *r, int fd)
{
    struct stat now;
    errno = 0;
    return fstat(fd, &now) == 0 && S_ISREG(now.st_mode) && now.st_nlink == 1 &&
           holds(fd, r->known, r->known_length);
}

/* What counts is the text: times can stand still while it changes, and move while it does not. */
static FileSaved compare(Replacement *r)
{
    int fd = open(r->target, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOFOLLOW | O_NOCTTY);
    bool known = fd >= 0 && is_known(r, fd);
    int error = errno;
    if (fd >= 0)
        close(fd);
    if (known)
        return FILE_SAVED;
    if (error != 0 && error != ENOENT && error != ELOOP) {
        refuse(r, "cannot see whether the file is as it was read: %s; it was not touched",
               file_reason(error));
        return FILE_UNSAVED;
    }
    refuse(r,
           "was %s since it was read, and was not touched; read it again, or save under another "
           "name",
           error == ENOENT ? "removed" : "changed");
    return FILE_CHANGED;
}

/* As late as can be: what others write after this and before the name is given is lost. */
static FileSaved still_known(Replacement *r)
{
    FileSaved state = r->known ? compare(r) : FILE_SAVED;
    if (state != FILE_SAVED)
        unlink(r->temporary);
    return state;
}

static FileSaved put_file(Replacement *r, const char *bytes, size_t length)
{
    if (!find_target(r))
        return FILE_UNSAVED;
    if (r->fresh && r->exists) {
        refuse(r, "exists already; nothing was written");
        return FILE_UNSAVED;
    }
    int fd = open_temporary(r);
    if (fd < 0 || !fill(r, fd, bytes, length))
        return FILE_UNSAVED;
    FileSaved state = still_known(r);
    if (state != FILE_SAVED)
        return state;
    if (!give_name(r))
        return FILE_UNSAVED;
    return sync_folder(r) ? FILE_SAVED : FILE_UNSURE;
}

static FileSaved put_and_free(Replacement *r, const char *bytes, size_t length)
{
    FileSaved state = put_file(r, bytes, length);
    free(r);
    return state;
}

static Replacement *replacement(const char *path, Messages *messages)
{
    Replacement *r = memory_new(1, sizeof *r);
    r->path = path;
    r->messages = messages;
    return r;
}

bool file_replace(const char *path, const char *bytes, size_t length, Messages *messages)
{
    return put_and_free(replacement(path, messages), bytes, length) == FILE_SAVED;
}

bool file_create(const char *path, const char *bytes, size_t length, Messages *messages)
{
    Replacement *r = replacement(path, messages);
    r->fresh = true;
    return put_and_free(r, bytes, length) == FILE_SAVED;
}

FileSaved file_save(const char *path, const char *known, size_t known_length, const char *bytes,
                    size_t length, Messages *messages)
{
    Replacement *r = replacement(path, messages);
    r->known = known;
    r->known_length = known_length;
    return put_and_free(r, bytes, length);
}

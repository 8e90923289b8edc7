/* A lock that belongs to an open file, and who holds it. For src/log only. */
#define _GNU_SOURCE /* F_OFD_SETLK: unlike record locks it does not vanish with another descriptor \
                     */
#include "log/lock.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <pwd.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "base/file.h"
#include "base/text.h"

enum { WAIT_STEP_MS = 20, PIECE = 4096 };

/* The start of a small file of /proc, without its last newline; "" if it cannot be read. */
static void read_piece(int folder, const char *name, char piece[PIECE])
{
    int fd = openat(folder, name, O_RDONLY | O_CLOEXEC);
    ssize_t length = fd >= 0 ? read(fd, piece, PIECE - 1) : 0;
    length = length > 0 ? length : 0;
    while (length > 0 && piece[length - 1] == '\n')
        length--;
    piece[length] = '\0';
    if (fd >= 0)
        close(fd);
}

static int open_folder(int at, const char *name)
{
    return openat(at, name, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
}

/* Whether a descriptor of the process (its folder in /proc is open) has the file locked. */
static bool process_locks(int process, const struct stat *file)
{
    int fds = open_folder(process, "fd"), infos = open_folder(process, "fdinfo");
    DIR *list = fds >= 0 ? fdopendir(dup(fds)) : NULL;
    bool locks = false;
    for (struct dirent *entry; list != NULL && !locks && (entry = readdir(list)) != NULL;) {
        struct stat info;
        char piece[PIECE];
        if (fstatat(fds, entry->d_name, &info, 0) != 0 || info.st_dev != file->st_dev ||
            info.st_ino != file->st_ino)
            continue;
        read_piece(infos, entry->d_name, piece);
        locks = strstr(piece, "\nlock:") != NULL;
    }
    if (list != NULL)
        closedir(list);
    if (fds >= 0)
        close(fds);
    if (infos >= 0)
        close(infos);
    return locks;
}

/* "process 4711 (cordwain) of anna" */
static void add_process(Text *text, int process, const char *number)
{
    char name[PIECE];
    struct stat info;
    read_piece(process, "comm", name);
    text_addf(text, "process %s (%s)", number, name);
    struct passwd *user = fstat(process, &info) == 0 ? getpwuid(info.st_uid) : NULL;
    if (user != NULL)
        text_addf(text, " of %s", user->pw_name);
}

static void add_holder(Text *text, int fd)
{
    struct stat file;
    DIR *list = fstat(fd, &file) == 0 ? opendir("/proc") : NULL;
    size_t before = text->length;
    for (struct dirent *entry; list != NULL && (entry = readdir(list)) != NULL;) {
        bool number = entry->d_name[strspn(entry->d_name, "0123456789")] == '\0';
        int process = number ? open_folder(dirfd(list), entry->d_name) : -1;
        if (process < 0)
            continue;
        if (strtol(entry->d_name, NULL, 10) != getpid() && process_locks(process, &file))
            add_process(text, process, entry->d_name);
        close(process);
        if (text->length > before)
            break;
    }
    if (list != NULL)
        closedir(list);
    if (text->length == before)
        text_add(text, "another program, of another user or on another machine");
}

static bool try_lock(int fd)
{
    struct flock whole = {.l_type = F_WRLCK, .l_whence = SEEK_SET};
    int locked;
    do
        locked = fcntl(fd, F_OFD_SETLK, &whole);
    while (locked != 0 && errno == EINTR);
    return locked == 0;
}

bool lock_take(int fd, const char *path, Messages *messages)
{
    const struct timespec step = {.tv_nsec = WAIT_STEP_MS * 1000000L};
    for (int waited = 0; !try_lock(fd); waited += WAIT_STEP_MS) {
        bool taken = errno == EAGAIN || errno == EACCES;
        if (!taken) {
            message_error(messages, (Where){.file = path}, "cannot be locked: %s",
                          file_reason(errno));
            return false;
        }
        if (waited >= LOCK_WAIT_MS) {
            Text holder = {0};
            add_holder(&holder, fd);
            message_error(messages, (Where){.file = path}, "is being written by %s; try again",
                          text_string(&holder));
            text_free(&holder);
            return false;
        }
        nanosleep(&step, NULL);
    }
    return true;
}

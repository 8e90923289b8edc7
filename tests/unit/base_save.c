/* Saving over what was read: every call that can fail fails once and from then on, the program is
 * killed before and after each, and others change the file meanwhile. Always the old or the new. */
#define _GNU_SOURCE
#undef _FORTIFY_SOURCE /* its inline open() would stand in the way of ours */
#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#include "base/file.h"
#include "scratch.h"

/* ---- Faults on demand: these stand before the C library's own ---- */

typedef enum Fault { FAULT_NONE, FAULT_ONCE, FAULT_ON, FAULT_KILL_BEFORE, FAULT_KILL_AFTER } Fault;

static Fault fault;
static int fault_at, fault_error; /* the call that is hit, and what it says */
static int calls;                 /* since the fault was set */
static size_t write_most;         /* bytes that one write takes; 0: all */
static void (*meanwhile)(void);   /* done by somebody else while the new text is synced */

static void set_fault(Fault kind, int at, int error)
{
    fault = kind;
    fault_at = at;
    fault_error = error;
    calls = 0;
}

static bool fails(void)
{
    calls++;
    if (fault == FAULT_KILL_BEFORE && calls == fault_at)
        raise(SIGKILL);
    bool hit =
        (fault == FAULT_ONCE && calls == fault_at) || (fault == FAULT_ON && calls >= fault_at);
    if (hit)
        errno = fault_error;
    return hit;
}

/* Hands a result on, or does not live to see it. */
static long done(long result)
{
    if (fault == FAULT_KILL_AFTER && calls == fault_at)
        raise(SIGKILL);
    return result;
}

int open(const char *path, int flags, ...)
{
    va_list arguments;
    va_start(arguments, flags);
    mode_t mode = (flags & O_CREAT) ? va_arg(arguments, mode_t) : 0;
    va_end(arguments);
    return fails() ? -1 : (int)done(openat(AT_FDCWD, path, flags, mode));
}

ssize_t read(int fd, void *bytes, size_t length)
{
    return fails() ? -1 : done(syscall(SYS_read, fd, bytes, length));
}

ssize_t write(int fd, const void *bytes, size_t length)
{
    size_t part = write_most && length > write_most ? write_most : length;
    return fails() ? -1 : done(syscall(SYS_write, fd, bytes, part));
}

int fsync(int fd)
{
    (void)fd;
    if (fails())
        return -1;
    if (meanwhile) {
        void (*them)(void) = meanwhile;
        meanwhile = NULL;
        them();
    }
    return (int)done(0);
}

int close(int fd)
{
    bool failed = fails();
    int error = errno;
    long closed = done(syscall(SYS_close, fd)); /* it is closed whatever close says */
    errno = failed ? error : errno;
    return failed ? -1 : (int)closed;
}

int fstat(int fd, struct stat *state)
{
    return fails() ? -1 : (int)done(fstatat(fd, "", state, AT_EMPTY_PATH));
}

int lstat(const char *path, struct stat *state)
{
    return fails() ? -1 : (int)done(fstatat(AT_FDCWD, path, state, AT_SYMLINK_NOFOLLOW));
}

ssize_t readlink(const char *path, char *name, size_t room)
{
    return fails() ? -1 : done(readlinkat(AT_FDCWD, path, name, room));
}

int fchmod(int fd, mode_t mode)
{
    return fails() ? -1 : (int)done(syscall(SYS_fchmod, fd, mode));
}

int fchown(int fd, uid_t owner, gid_t group)
{
    return fails() ? -1 : (int)done(syscall(SYS_fchown, fd, owner, group));
}

int rename(const char *from, const char *to)
{
    return fails() ? -1 : (int)done(renameat(AT_FDCWD, from, AT_FDCWD, to));
}

int link(const char *from, const char *to)
{
    return fails() ? -1 : (int)done(linkat(AT_FDCWD, from, AT_FDCWD, to, 0));
}

int unlink(const char *path)
{
    return fails() ? -1 : (int)done(unlinkat(AT_FDCWD, path, 0));
}

/* ---- A folder with one file ---- */

#define OLD "what was there, long enough to be told from what comes"
#define NEW "what comes"

typedef struct Room {
    char folder[SCRATCH_LENGTH], path[SCRATCH_INSIDE], link[SCRATCH_INSIDE];
    Messages messages;
} Room;

static Room *meant; /* by what is done meanwhile */

static void put(const char *path, const char *text)
{
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    assert_int_equal(fwrite(text, 1, strlen(text), file), strlen(text));
    assert_int_equal(fclose(file), 0);
}

static int open_room(void **state)
{
    Room *room = memory_new(1, sizeof *room);
    *state = meant = room;
    set_fault(FAULT_NONE, 0, 0);
    scratch_folder(room->folder);
    snprintf(room->path, sizeof room->path, "%s/style.yaml", room->folder);
    snprintf(room->link, sizeof room->link, "%s/link", room->folder);
    put(room->path, OLD);
    return 0;
}

/* Names in the folder but for the style and the link; the last of them in `name`. */
static size_t others_in(const Room *room, char name[SCRATCH_INSIDE], bool remove)
{
    size_t count = 0;
    DIR *folder = opendir(room->folder);
    assert_non_null(folder);
    for (struct dirent *entry; (entry = readdir(folder)) != NULL;) {
        if (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0 ||
            strcmp(entry->d_name, "style.yaml") == 0 || strcmp(entry->d_name, "link") == 0)
            continue;
        count++;
        snprintf(name, SCRATCH_INSIDE, "%s/%.60s", room->folder, entry->d_name);
        if (remove)
            unlinkat(dirfd(folder), entry->d_name, 0);
    }
    closedir(folder);
    return count;
}

static int close_room(void **state)
{
    Room *room = *state;
    char name[SCRATCH_INSIDE];
    set_fault(FAULT_NONE, 0, 0);
    others_in(room, name, true);
    unlink(room->path);
    unlink(room->link);
    int removed = rmdir(room->folder);
    messages_free(&room->messages);
    free(room);
    return removed;
}

static bool holds(const char *path, const char *text)
{
    char bytes[256] = "";
    FILE *file = fopen(path, "r");
    size_t length = file ? fread(bytes, 1, sizeof bytes - 1, file) : 0;
    bool same = file && length == strlen(text) && memcmp(bytes, text, length) == 0;
    if (file)
        fclose(file);
    return same;
}

static FileSaved save_to(Room *room, const char *path)
{
    return file_save(path, OLD, strlen(OLD), NEW, strlen(NEW), &room->messages);
}

static void assert_said(Room *room, const char *part)
{
    assert_int_equal(room->messages.count, 1);
    if (!strstr(room->messages.items[0].text, part))
        fail_msg("'%s' does not say '%s'", room->messages.items[0].text, part);
    messages_free(&room->messages);
}

/* ---- Calls that fail ---- */

/* What a saving said it did, it did; nothing is left beside that was not told of. */
static void assert_old_or_new(Room *room, FileSaved state, bool once)
{
    char name[SCRATCH_INSIDE];
    bool new = state == FILE_SAVED || state == FILE_UNSURE;
    assert_true(holds(room->path, new ? NEW : OLD));
    assert_int_equal(room->messages.count, state != FILE_SAVED);
    size_t others = others_in(room, name, false);
    if (others > 0 && once) {
        assert_int_equal(others, 1);
        assert_non_null(strstr(room->messages.items[0].text, name));
        assert_true(holds(name, NEW));
    }
    others_in(room, name, true);
    messages_free(&room->messages);
}

/* Fails the first call, the second, … until none is hit. Returns how many there are. */
static int fail_each(Room *room, const char *path, Fault kind, int error)
{
    for (int at = 1;; at++) {
        put(room->path, OLD);
        set_fault(kind, at, error);
        FileSaved state = save_to(room, path);
        bool hit = calls >= at;
        set_fault(FAULT_NONE, 0, 0);
        assert_old_or_new(room, state, kind == FAULT_ONCE);
        if (!hit) {
            assert_int_equal(state, FILE_SAVED);
            return at - 1;
        }
        assert_true(at < 100);
    }
}

static void a_call_that_fails_leaves_old_or_new(void **state)
{
    Room *room = *state;
    static const int errors[] = {EIO, ENOSPC, EACCES, EINTR, EDQUOT, EROFS, EMFILE};
    assert_int_equal(symlink("style.yaml", room->link), 0);
    for (size_t i = 0; i < sizeof errors / sizeof *errors; i++) {
        assert_true(fail_each(room, room->path, FAULT_ONCE, errors[i]) >= 15);
        assert_true(fail_each(room, room->link, FAULT_ONCE, errors[i]) >= 17);
        /* interrupted for ever, a writer may wait for ever */
        if (errors[i] != EINTR)
            fail_each(room, room->path, FAULT_ON, errors[i]);
    }
}

static void a_new_file_is_whole_or_not_there(void **state)
{
    Room *room = *state;
    char name[SCRATCH_INSIDE];
    bool hit = true;
    for (int at = 1; hit; at++) {
        unlink(room->path);
        set_fault(FAULT_ONCE, at, EIO);
        bool made = file_create(room->path, NEW, strlen(NEW), &room->messages);
        hit = calls >= at;
        set_fault(FAULT_NONE, 0, 0);
        assert_true(holds(room->path, NEW) || (!made && access(room->path, F_OK) != 0));
        assert_int_equal(room->messages.count, !made);
        messages_free(&room->messages);
        others_in(room, name, true);
    }
}

static void short_writes_are_gone_on_with(void **state)
{
    Room *room = *state;
    write_most = 3;
    FileSaved saved = save_to(room, room->path);
    write_most = 0;
    assert_int_equal(saved, FILE_SAVED);
    assert_true(holds(room->path, NEW));
}

static void an_interrupted_write_is_gone_on_with(void **state)
{
    Room *room = *state;
    char name[SCRATCH_INSIDE];
    size_t interrupted = 0;
    set_fault(FAULT_NONE, 0, 0);
    assert_int_equal(save_to(room, room->path), FILE_SAVED);
    int all = calls;
    for (int at = 1; at <= all; at++) {
        put(room->path, OLD);
        set_fault(FAULT_ONCE, at, EINTR);
        interrupted += save_to(room, room->path) == FILE_SAVED;
        others_in(room, name, true); /* each would cost a call more */
        messages_free(&room->messages);
    }
    assert_true(interrupted >= 3); /* a write and two reads; some closes too */
}

static void a_full_disk_leaves_the_old_file(void **state)
{
    Room *room = *state;
    char name[SCRATCH_INSIDE];
    struct rlimit before, small;
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    small = before;
    small.rlim_cur = 4;
    void (*handler)(int) = signal(SIGXFSZ, SIG_IGN);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
    FileSaved saved = save_to(room, room->path);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    signal(SIGXFSZ, handler);
    assert_int_equal(saved, FILE_UNSAVED);
    assert_said(room, "is as it was");
    assert_true(holds(room->path, OLD));
    assert_int_equal(others_in(room, name, false), 0);
    /* and once there is room again */
    assert_int_equal(save_to(room, room->path), FILE_SAVED);
}

static void an_owner_that_cannot_be_kept_is_refused(void **state)
{
    Room *room = *state;
    struct stat now;
    if (geteuid() != 0)
        skip(); /* nobody else can give a file away */
    assert_int_equal(chown(room->path, 12345, 12345), 0);
    assert_true(fail_each(room, room->path, FAULT_ONCE, EPERM) >= 16);
    assert_int_equal(stat(room->path, &now), 0);
    assert_int_equal(now.st_uid, 12345);
    assert_int_equal(now.st_gid, 12345);
}

/* ---- Killed ---- */

/* True if the child was killed before its saving was done. */
static bool killed_while_saving(Room *room, const char *path, Fault kind, int at)
{
    int status;
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        set_fault(kind, at, 0);
        _exit(save_to(room, path) == FILE_SAVED ? 0 : 1);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    if (WIFEXITED(status))
        assert_int_equal(WEXITSTATUS(status), 0);
    return WIFSIGNALED(status);
}

static void killed_at_any_moment_it_is_old_or_new(void **state)
{
    Room *room = *state;
    char name[SCRATCH_INSIDE];
    assert_int_equal(symlink("style.yaml", room->link), 0);
    for (int kind = FAULT_KILL_BEFORE; kind <= FAULT_KILL_AFTER; kind++) {
        bool killed = true;
        int at = 1;
        size_t old = 0, new = 0;
        for (; killed; at++) {
            put(room->path, OLD);
            killed = killed_while_saving(room, at % 2 ? room->path : room->link, (Fault)kind, at);
            old += holds(room->path, OLD);
            new += holds(room->path, NEW);
            assert_int_equal(old + new, at);
            /* what the dead one left beside is in nobody's way */
            put(room->path, OLD);
            assert_int_equal(save_to(room, room->path), FILE_SAVED);
            assert_true(holds(room->path, NEW));
            others_in(room, name, true);
        }
        assert_true(at > 15 && old > 10 && new > 2);
    }
}

/* ---- Somebody else ---- */

static void assert_changed(Room *room, const char *path, const char *text)
{
    char name[SCRATCH_INSIDE];
    assert_int_equal(save_to(room, path), FILE_CHANGED);
    assert_said(room, "since it was read");
    assert_int_equal(others_in(room, name, false), 0);
    if (text)
        assert_true(holds(room->path, text));
}

static void what_others_wrote_is_not_lost(void **state)
{
    Room *room = *state;
    static const char *const texts[] = {"", "other", OLD OLD, NEW};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        put(room->path, texts[i]);
        assert_changed(room, room->path, texts[i]);
    }
    char text[] = OLD; /* of the same length, and one letter is another */
    text[sizeof text / 2] ^= 1;
    put(room->path, text);
    assert_changed(room, room->path, text);
    assert_int_equal(unlink(room->path), 0);
    assert_changed(room, room->path, NULL);
    assert_int_equal(access(room->path, F_OK), -1);
    assert_int_equal(symlink("style.yaml", room->link), 0);
    assert_changed(room, room->link, NULL);
}

static void a_file_that_reads_the_same_is_the_same(void **state)
{
    Room *room = *state;
    struct stat before, after;
    const struct timespec times[2] = {{1, 0}, {1, 0}};
    assert_int_equal(utimensat(AT_FDCWD, room->path, times, 0), 0);
    assert_int_equal(chmod(room->path, 0600), 0);
    assert_int_equal(save_to(room, room->path), FILE_SAVED);
    assert_int_equal(stat(room->path, &before), 0);
    assert_int_equal(before.st_mode & 07777, 0600);
    /* written anew by another program, but with the same text; through a link */
    assert_int_equal(unlink(room->path), 0);
    put(room->path, OLD);
    assert_int_equal(symlink(room->path, room->link), 0);
    assert_int_equal(save_to(room, room->link), FILE_SAVED);
    assert_true(holds(room->path, NEW));
    assert_int_equal(fstatat(AT_FDCWD, room->link, &after, AT_SYMLINK_NOFOLLOW), 0);
    assert_true(S_ISLNK(after.st_mode));
    /* nothing at all was read from an empty file */
    put(room->path, "");
    assert_int_equal(file_save(room->path, "", 0, NEW, strlen(NEW), &room->messages), FILE_SAVED);
    assert_int_equal(room->messages.count, 0);
}

static void they_write(void)
{
    put(meant->path, "other");
}

static void they_remove(void)
{
    unlinkat(AT_FDCWD, meant->path, 0);
}

static void they_write_the_same(void)
{
    they_remove();
    put(meant->path, OLD);
}

static void they_link(void)
{
    they_remove();
    assert_int_equal(symlink("/dev/null", meant->path), 0);
}

static void they_give_a_second_name(void)
{
    assert_int_equal(linkat(AT_FDCWD, meant->path, AT_FDCWD, meant->link, 0), 0);
}

static void what_others_do_meanwhile_is_seen(void **state)
{
    Room *room = *state;
    meanwhile = they_write;
    assert_changed(room, room->path, "other");
    put(room->path, OLD);
    meanwhile = they_write_the_same;
    assert_int_equal(save_to(room, room->path), FILE_SAVED);
    put(room->path, OLD);
    meanwhile = they_give_a_second_name;
    assert_changed(room, room->path, OLD);
    assert_int_equal(unlink(room->link), 0);
    meanwhile = they_link;
    assert_changed(room, room->path, NULL);
    assert_int_equal(unlink(room->path), 0);
    put(room->path, OLD);
    meanwhile = they_remove;
    assert_changed(room, room->path, NULL);
}

static void what_would_lose_something_is_refused(void **state)
{
    Room *room = *state;
    assert_int_equal(link(room->path, room->link), 0);
    assert_int_equal(save_to(room, room->path), FILE_UNSAVED);
    assert_said(room, "hard links");
    assert_true(holds(room->path, OLD));
    assert_int_equal(save_to(room, room->folder), FILE_UNSAVED);
    assert_said(room, "is a folder");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, open_room, close_room)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_call_that_fails_leaves_old_or_new),
        IN_ROOM(a_new_file_is_whole_or_not_there),
        IN_ROOM(short_writes_are_gone_on_with),
        IN_ROOM(an_interrupted_write_is_gone_on_with),
        IN_ROOM(a_full_disk_leaves_the_old_file),
        IN_ROOM(an_owner_that_cannot_be_kept_is_refused),
        IN_ROOM(killed_at_any_moment_it_is_old_or_new),
        IN_ROOM(what_others_wrote_is_not_lost),
        IN_ROOM(a_file_that_reads_the_same_is_the_same),
        IN_ROOM(what_others_do_meanwhile_is_seen),
        IN_ROOM(what_would_lose_something_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

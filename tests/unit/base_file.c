/* Reading and replacing files: every refusal, and old or new on disk. */
#define _GNU_SOURCE
#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/un.h>
#include <unistd.h>

#include <cmocka.h>

#include "base/file.h"
#include "scratch.h"

/* Faults on demand: these stand before the C library's own. */
static int failing_sync; /* counts down to the fsync that fails; 0: none */
static int changes;      /* so many reads find the file grown under them */
static const char *changing;

int fsync(int fd)
{
    (void)fd;
    if (failing_sync == 0 || --failing_sync > 0)
        return 0;
    errno = EIO;
    return -1;
}

ssize_t read(int fd, void *bytes, size_t length)
{
    struct stat now;
    if (changes > 0 && stat(changing, &now) == 0) {
        changes--;
        if (truncate(changing, now.st_size + 1) != 0)
            return -1;
    }
    return syscall(SYS_read, fd, bytes, length);
}

typedef struct Room {
    char folder[SCRATCH_LENGTH];
    Arena arena;
    Messages messages;
} Room;

static int open_room(void **state)
{
    Room *room = memory_new(1, sizeof *room);
    scratch_folder(room->folder);
    *state = room;
    return 0;
}

static int close_room(void **state)
{
    Room *room = *state;
    scratch_clear(room->folder);
    arena_free(&room->arena);
    messages_free(&room->messages);
    free(room);
    return 0;
}

static const char *in_room(Room *room, const char *name)
{
    return arena_printf(&room->arena, "%s/%s", room->folder, name);
}

static const char *make(Room *room, const char *name, const char *text)
{
    const char *path = in_room(room, name);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    assert_int_equal(fwrite(text, 1, strlen(text), file), strlen(text));
    assert_int_equal(fclose(file), 0);
    return path;
}

static size_t names_in(const Room *room)
{
    size_t count = 0;
    DIR *folder = opendir(room->folder);
    assert_non_null(folder);
    for (struct dirent *entry; (entry = readdir(folder)) != NULL;)
        count += strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0;
    closedir(folder);
    return count;
}

static void assert_said(Room *room, const char *part)
{
    assert_int_equal(room->messages.count, 1);
    if (!strstr(room->messages.items[0].text, part))
        fail_msg("'%s' does not say '%s'", room->messages.items[0].text, part);
    assert_int_equal(room->messages.items[0].at.line, 0);
    messages_free(&room->messages);
}

static void assert_reads(Room *room, const char *path, const char *expected)
{
    char *bytes = NULL;
    size_t length = 0;
    assert_true(file_read(&room->arena, path, 1 << 20, &room->messages, &bytes, &length));
    assert_int_equal(room->messages.count, 0);
    assert_string_equal(bytes, expected);
    assert_int_equal(length, strlen(expected));
}

static void assert_unread(Room *room, const char *path, size_t most, const char *part)
{
    char *bytes = NULL;
    size_t length = 0;
    assert_false(file_read(&room->arena, path, most, &room->messages, &bytes, &length));
    assert_said(room, part);
}

static void reads_files_up_to_the_limit(void **state)
{
    Room *room = *state;
    char *bytes;
    size_t length;
    assert_reads(room, make(room, "empty", ""), "");
    const char *path = make(room, "a", "12345678");
    assert_true(file_read(&room->arena, path, 8, &room->messages, &bytes, &length));
    assert_int_equal(length, 8);
    assert_unread(room, path, 7, "larger than 7 bytes");
    assert_int_equal(truncate(path, 100 << 20), 0);
    assert_unread(room, path, 8 << 20, "larger than 8 MiB");
}

static void each_thing_that_is_no_file_has_its_message(void **state)
{
    Room *room = *state;
    assert_unread(room, room->folder, 100, "is a folder");
    assert_unread(room, "/dev/null", 100, "is a device");
    assert_unread(room, in_room(room, "missing"), 100, "no such file");
    assert_unread(room, "", 100, "no such file");
    const char *fifo = in_room(room, "fifo");
    assert_int_equal(mkfifo(fifo, 0600), 0);
    assert_unread(room, fifo, 100, "is a pipe"); /* and does not wait for a writer */
    const char *file = make(room, "a", "x");
    assert_unread(room, arena_printf(&room->arena, "%s/b", file), 100, "not a folder");
    const char *link = in_room(room, "round");
    assert_int_equal(symlink("round", link), 0);
    assert_unread(room, link, 100, "circle");
    char name[300];
    memset(name, 'n', sizeof name - 1);
    name[sizeof name - 1] = '\0';
    assert_unread(room, in_room(room, name), 100, "too long");
}

static void a_socket_is_no_file(void **state)
{
    Room *room = *state;
    struct sockaddr_un address = {.sun_family = AF_UNIX};
    snprintf(address.sun_path, sizeof address.sun_path, "%s", in_room(room, "socket"));
    int fd = socket(AF_UNIX, SOCK_STREAM, 0);
    assert_true(fd >= 0);
    assert_int_equal(bind(fd, (struct sockaddr *)&address, sizeof address), 0);
    assert_unread(room, address.sun_path, 100, "socket");
    close(fd);
}

static void what_may_not_be_read_is_refused(void **state)
{
    Room *room = *state;
    if (geteuid() == 0)
        skip(); /* nothing is closed to root */
    const char *path = make(room, "a", "x");
    assert_int_equal(chmod(path, 0), 0);
    assert_unread(room, path, 100, "permission denied");
}

/* Runs with standard input from `path`. */
static bool read_stdin_from(Room *room, const char *path, size_t most, char **bytes, size_t *length)
{
    int kept = dup(STDIN_FILENO);
    int fd = open(path, O_RDONLY);
    assert_true(fd >= 0);
    assert_true(dup2(fd, STDIN_FILENO) == STDIN_FILENO);
    close(fd);
    bool done = file_read(&room->arena, "-", most, &room->messages, bytes, length);
    if (kept >= 0) {
        assert_true(dup2(kept, STDIN_FILENO) == STDIN_FILENO);
        close(kept);
    }
    return done;
}

static void standard_input_has_the_same_limit(void **state)
{
    Room *room = *state;
    char *bytes;
    size_t length;
    const char *path = make(room, "a", "12345678");
    assert_true(read_stdin_from(room, path, 8, &bytes, &length));
    assert_string_equal(bytes, "12345678");
    assert_false(read_stdin_from(room, path, 7, &bytes, &length));
    assert_said(room, "larger than 7 bytes");
    assert_int_equal(truncate(path, 300000), 0);
    assert_true(read_stdin_from(room, path, 300000, &bytes, &length));
    assert_int_equal(length, 300000);
    assert_false(read_stdin_from(room, path, 299999, &bytes, &length));
    assert_said(room, "larger than 299999 bytes");
    assert_false(read_stdin_from(room, room->folder, 100, &bytes, &length));
    assert_said(room, "folder");
    assert_false(read_stdin_from(room, "/dev/zero", 8 << 20, &bytes, &length));
    assert_said(room, "larger than 8 MiB");
}

static void a_file_that_changes_is_read_again_once(void **state)
{
    Room *room = *state;
    changing = make(room, "a", "12345678");
    char *bytes;
    size_t length;
    changes = 1;
    assert_true(file_read(&room->arena, changing, 100, &room->messages, &bytes, &length));
    assert_int_equal(length, 9);
    /* An attempt reads twice: the text, and that nothing follows it. */
    changes = 4;
    assert_unread(room, changing, 100, "keeps changing");
    changes = 0;
}

static bool replace(Room *room, const char *path, const char *text)
{
    return file_replace(path, text, strlen(text), &room->messages);
}

static void assert_unreplaced(Room *room, const char *path, const char *part)
{
    size_t names = names_in(room);
    assert_false(replace(room, path, "new"));
    assert_said(room, part);
    assert_int_equal(names_in(room), names);
}

static void replaces_and_keeps_the_mode(void **state)
{
    Room *room = *state;
    struct stat now;
    const char *path = make(room, "a", "a much longer old text");
    assert_int_equal(chmod(path, 0640), 0);
    assert_true(replace(room, path, "new"));
    assert_reads(room, path, "new");
    assert_int_equal(stat(path, &now), 0);
    assert_int_equal(now.st_mode & 07777, 0640);
    assert_int_equal(names_in(room), 1);
}

static void makes_a_new_file(void **state)
{
    Room *room = *state;
    const char *path = in_room(room, "new");
    assert_true(replace(room, path, ""));
    assert_reads(room, path, "");
    assert_true(replace(room, path, "text"));
    assert_reads(room, path, "text");
    assert_int_equal(names_in(room), 1);
}

static void a_relative_name_works(void **state)
{
    Room *room = *state;
    char *before = getcwd(NULL, 0);
    assert_non_null(before);
    assert_int_equal(chdir(room->folder), 0);
    assert_true(replace(room, "plain", "text"));
    assert_reads(room, "plain", "text");
    assert_int_equal(chdir(before), 0);
    free(before);
}

static void a_link_is_followed_once(void **state)
{
    Room *room = *state;
    struct stat now;
    const char *file = make(room, "file", "old");
    const char *link = in_room(room, "link");
    assert_int_equal(symlink("file", link), 0);
    assert_true(replace(room, link, "new"));
    assert_reads(room, file, "new");
    assert_int_equal(lstat(link, &now), 0);
    assert_true(S_ISLNK(now.st_mode));
    const char *full = in_room(room, "full");
    assert_int_equal(symlink(file, full), 0);
    assert_true(replace(room, full, "newer"));
    assert_reads(room, file, "newer");
    const char *twice = in_room(room, "twice");
    assert_int_equal(symlink("link", twice), 0);
    assert_unreplaced(room, twice, "symbolic link to a symbolic link");
    assert_reads(room, file, "newer");
}

static void what_would_lose_something_is_refused(void **state)
{
    Room *room = *state;
    const char *file = make(room, "file", "old");
    assert_int_equal(link(file, in_room(room, "twin")), 0);
    assert_unreplaced(room, file, "hard links");
    assert_reads(room, file, "old");
    const char *fifo = in_room(room, "fifo");
    assert_int_equal(mkfifo(fifo, 0600), 0);
    assert_unreplaced(room, fifo, "is a pipe");
    assert_unreplaced(room, room->folder, "is a folder");
    assert_unreplaced(room, in_room(room, "none/file"), "there is no such folder");
    char name[PATH_MAX + 10];
    memset(name, 'n', sizeof name - 1);
    name[sizeof name - 1] = '\0';
    assert_unreplaced(room, name, "too long");
}

static void a_failed_write_leaves_the_old_file(void **state)
{
    Room *room = *state;
    const char *file = make(room, "file", "old");
    struct rlimit before, small;
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    small = before;
    small.rlim_cur = 2;
    void (*handler)(int) = signal(SIGXFSZ, SIG_IGN);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
    bool done = replace(room, file, "new");
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    signal(SIGXFSZ, handler);
    assert_false(done);
    assert_said(room, "is as it was");
    assert_reads(room, file, "old");
    assert_int_equal(names_in(room), 1);
}

static void a_failed_sync_keeps_both(void **state)
{
    Room *room = *state;
    const char *file = make(room, "file", "old");
    failing_sync = 1;
    assert_false(replace(room, file, "new"));
    assert_string_equal(room->messages.items[0].at.file, file);
    const char *said = strstr(room->messages.items[0].text, room->folder);
    assert_non_null(said);
    const char *beside = arena_copy(&room->arena, said, strlen(said));
    messages_free(&room->messages);
    assert_reads(room, file, "old");
    assert_reads(room, beside, "new");
    assert_int_equal(names_in(room), 2);
}

static void a_failed_sync_of_the_folder_is_told(void **state)
{
    Room *room = *state;
    const char *file = make(room, "file", "old");
    failing_sync = 2;
    assert_false(replace(room, file, "new"));
    assert_said(room, "loss of power");
    assert_reads(room, file, "new");
    assert_int_equal(names_in(room), 1);
}

static void what_may_not_be_written_is_refused(void **state)
{
    Room *room = *state;
    if (geteuid() == 0)
        skip();
    const char *file = make(room, "file", "old");
    assert_int_equal(chmod(file, 0444), 0);
    assert_unreplaced(room, file, "may not be written");
    assert_int_equal(chmod(file, 0644), 0);
    assert_int_equal(chmod(room->folder, 0555), 0);
    assert_unreplaced(room, file, "permission denied");
    assert_int_equal(chmod(room->folder, 0755), 0);
    assert_reads(room, file, "old");
}

static void creating_leaves_what_exists_alone(void **state)
{
    Room *room = *state;
    const char *path = in_room(room, "fresh");
    assert_true(file_create(path, "one", 3, &room->messages));
    assert_reads(room, path, "one");
    assert_int_equal(names_in(room), 1);
    assert_false(file_create(path, "two", 3, &room->messages));
    assert_said(room, "exists already");
    assert_reads(room, path, "one");
    assert_int_equal(names_in(room), 1);
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, open_room, close_room)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(reads_files_up_to_the_limit),
        IN_ROOM(each_thing_that_is_no_file_has_its_message),
        IN_ROOM(a_socket_is_no_file),
        IN_ROOM(what_may_not_be_read_is_refused),
        IN_ROOM(standard_input_has_the_same_limit),
        IN_ROOM(a_file_that_changes_is_read_again_once),
        IN_ROOM(replaces_and_keeps_the_mode),
        IN_ROOM(makes_a_new_file),
        IN_ROOM(creating_leaves_what_exists_alone),
        IN_ROOM(a_relative_name_works),
        IN_ROOM(a_link_is_followed_once),
        IN_ROOM(what_would_lose_something_is_refused),
        IN_ROOM(a_failed_write_leaves_the_old_file),
        IN_ROOM(a_failed_sync_keeps_both),
        IN_ROOM(a_failed_sync_of_the_folder_is_told),
        IN_ROOM(what_may_not_be_written_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Decisions kept: on the disk before it is said, old or new whatever fails, many writers. */
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/wait.h>

#include "log_kit.h"

/* Faults on demand: these stand before the C library's own. They count down to the call that
 * fails; 0: none does. */
static int failing_sync, failing_write, failing_truncate, short_writes, interrupted;
static int fault;

int fsync(int fd)
{
    (void)fd;
    if (failing_sync == 0 || --failing_sync > 0)
        return 0;
    errno = fault;
    return -1;
}

ssize_t pwrite(int fd, const void *bytes, size_t length, off_t at)
{
    if (failing_write > 0 && --failing_write == 0) {
        errno = fault;
        return -1;
    }
    if (interrupted > 0) {
        interrupted--;
        errno = EINTR;
        return -1;
    }
    if (short_writes > 0 && length > 1) {
        short_writes--;
        length /= 2;
    }
    return syscall(SYS_pwrite64, fd, bytes, length, at);
}

int ftruncate(int fd, off_t length)
{
    if (failing_truncate == 0 || --failing_truncate > 0)
        return (int)syscall(SYS_ftruncate, fd, length);
    errno = EIO;
    return -1;
}

/* A log of one decision, and its bytes. */
typedef struct Kept {
    const char *path, *bytes;
    size_t length;
    Log *log;
} Kept;

static Kept kept_one(Room *room)
{
    Kept kept = {.path = room_path(room, "ferry.log.yaml")};
    LogRecord record = record_sample(&room->arena);
    kept.log = log_read(kept.path, &room->messages);
    assert_non_null(kept.log);
    assert_true(log_append(kept.log, &record, &room->messages));
    kept.bytes = get_bytes(room, kept.path, &kept.length);
    return kept;
}

static void assert_as_it_was(Room *room, const Kept *kept)
{
    size_t length;
    const char *bytes = get_bytes(room, kept->path, &length);
    assert_int_equal(length, kept->length);
    assert_memory_equal(bytes, kept->bytes, length);
    assert_int_equal(kept->log->count, 1);
}

static size_t count_in(Room *room, const char *path)
{
    Log *log = log_read(path, &room->messages);
    assert_non_null(log);
    size_t count = log->count;
    log_free(log);
    return count;
}

static void test_kept_and_read_again(void **state)
{
    Room *room = *state;
    Kept kept = kept_one(room);
    LogRecord record = record_sample(&room->arena);
    record.why = "\033[31m, \"quotes\", - {lines}\n: and \\";
    short_writes = 3;
    interrupted = 2;
    assert_true(log_append(kept.log, &record, &room->messages));
    assert_int_equal(kept.log->count, 2);
    assert_string_equal(kept.log->records[1].why, record.why);
    Log *again = log_read(kept.path, &room->messages);
    assert_non_null(again);
    assert_int_equal(again->count, 2);
    assert_string_equal(again->records[1].why, record.why);
    assert_int_equal(room->messages.count, 0);
    log_free(again);
    log_free(kept.log);
}

static void test_incomplete_is_not_kept(void **state)
{
    Room *room = *state;
    Kept kept = kept_one(room);
    LogRecord record = record_sample(&room->arena);
    record.why = "";
    assert_false(log_append(kept.log, &record, &room->messages));
    assert_said(&room->messages, "a reason is needed; nothing was kept");
    assert_as_it_was(room, &kept);
    record = record_sample(&room->arena);
    record.style = "FS-2";
    assert_false(log_append(kept.log, &record, &room->messages));
    assert_said(&room->messages, "is the log of the style FS-1, not of FS-2");
    assert_as_it_was(room, &kept);
    log_free(kept.log);
}

/* The record is the caller's to try again, and then it is kept. */
static void test_failing_disk(void **state)
{
    Room *room = *state;
    Kept kept = kept_one(room);
    LogRecord record = record_sample(&room->arena);
    static const int errors[] = {ENOSPC, EDQUOT, EIO, EFBIG};
    for (size_t e = 0; e < sizeof errors / sizeof *errors; e++)
        for (int call = 1; call <= 2; call++)
            for (int kind = 0; kind < 2; kind++) {
                fault = errors[e];
                *(kind ? &failing_sync : &failing_write) = call;
                assert_false(log_append(kept.log, &record, &room->messages));
                assert_int_equal(failing_sync + failing_write, 0);
                assert_said(&room->messages, fault == EIO ? "is not sure" : "as it was");
                assert_as_it_was(room, &kept);
                messages_free(&room->messages);
            }
    failing_truncate = 1; /* cutting off what was torn */
    assert_false(log_append(kept.log, &record, &room->messages));
    assert_as_it_was(room, &kept);
    fault = ENOSPC;
    failing_sync = 1;
    failing_truncate = 2; /* and not even back: what is left is a torn line */
    assert_false(log_append(kept.log, &record, &room->messages));
    assert_said(&room->messages, "is not sure");
    assert_int_equal(count_in(room, kept.path), 1);
    assert_true(log_append(kept.log, &record, &room->messages));
    assert_said(&room->messages, "is cut off");
    assert_int_equal(count_in(room, kept.path), 2);
    log_free(kept.log);
}

static void test_first_decision_on_a_failing_disk(void **state)
{
    Room *room = *state;
    const char *path = room_path(room, "ferry.log.yaml");
    LogRecord record = record_sample(&room->arena);
    Log *log = log_read(path, &room->messages);
    fault = EIO;
    failing_sync = 1;
    assert_false(log_append(log, &record, &room->messages));
    assert_int_equal(access(path, F_OK), -1);
    assert_false(log->exists);
    assert_true(log_append(log, &record, &room->messages));
    assert_true(log->exists);
    assert_int_equal(count_in(room, path), 1);
    log_free(log);
}

/* A limit on the size of files, as a disk that fills up while the line is written. */
static void test_no_room_for_the_line(void **state)
{
    Room *room = *state;
    Kept kept = kept_one(room);
    LogRecord record = record_sample(&room->arena);
    struct rlimit old, tight;
    void (*handler)(int) = signal(SIGXFSZ, SIG_IGN);
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &old), 0);
    for (rlim_t more = 0; more < 700; more += 50) {
        tight = old;
        tight.rlim_cur = kept.length + more;
        assert_int_equal(setrlimit(RLIMIT_FSIZE, &tight), 0);
        bool done = log_append(kept.log, &record, &room->messages);
        assert_int_equal(setrlimit(RLIMIT_FSIZE, &old), 0);
        if (done)
            break;
        assert_said(&room->messages, "the file is as it was");
        assert_as_it_was(room, &kept);
    }
    signal(SIGXFSZ, handler);
    assert_int_equal(count_in(room, kept.path), 2);
    log_free(kept.log);
}

static void test_torn_line_is_cut_off(void **state)
{
    Room *room = *state;
    Kept kept = kept_one(room);
    LogRecord record = record_sample(&room->arena);
    static const char *const torn[] = {"-", "- {style: \"FS-1\", alternat", "\377\376 \001", "x"};
    for (size_t i = 0; i < sizeof torn / sizeof *torn; i++) {
        Text text = {0};
        text_add_bytes(&text, kept.bytes, kept.length);
        for (int k = 0; k < 60; k++) /* also longer than the line that comes instead */
            text_add(&text, torn[i]);
        put_bytes(kept.path, text.bytes, text.length);
        text_free(&text);
        assert_int_equal(count_in(room, kept.path), 1);
        assert_said(&room->messages, "it does not count");
        assert_true(log_append(kept.log, &record, &room->messages));
        assert_said(&room->messages, "it is cut off");
        messages_free(&room->messages);
        assert_int_equal(count_in(room, kept.path), 2);
        assert_int_equal(room->messages.count, 0);
    }
    log_free(kept.log);
}

static void test_a_log_that_is_wrong_gets_nothing(void **state)
{
    Room *room = *state;
    Kept kept = kept_one(room);
    LogRecord record = record_sample(&room->arena);
    char *other = arena_copy(&room->arena, kept.bytes, kept.length);
    strstr(other, "photograph")[0] = 'P';
    put_bytes(kept.path, other, kept.length);
    assert_false(log_append(kept.log, &record, &room->messages));
    assert_said(&room->messages, "the sum does not go with this line");
    size_t length;
    const char *now = get_bytes(room, kept.path, &length);
    assert_int_equal(length, kept.length);
    assert_memory_equal(now, other, length);
    log_free(kept.log);
}

static void test_beyond_the_limits(void **state)
{
    Room *room = *state;
    Kept kept = kept_one(room);
    LogRecord record = record_sample(&room->arena);
    char *why = arena_alloc(&room->arena, YAML_LINE_MOST + 2, 1);
    memset(why, 'x', YAML_LINE_MOST + 1);
    record.why = why;
    assert_false(log_append(kept.log, &record, &room->messages));
    assert_said(&room->messages, "line is longer than 64 KiB");
    assert_as_it_was(room, &kept);
    log_free(kept.log);
}

/* --- other files in its place ------------------------------------------------------------- */

static void test_links(void **state)
{
    Room *room = *state;
    Kept kept = kept_one(room);
    LogRecord record = record_sample(&room->arena);
    const char *once = room_path(room, "once"), *twice = room_path(room, "twice");
    assert_int_equal(symlink("ferry.log.yaml", once), 0);
    assert_int_equal(symlink("once", twice), 0);
    Log *log = log_read(once, &room->messages);
    assert_non_null(log);
    assert_true(log_append(log, &record, &room->messages));
    assert_int_equal(log->count, 2);
    struct stat info;
    assert_int_equal(lstat(once, &info), 0);
    assert_true(S_ISLNK(info.st_mode));
    log_free(log);
    log = log_read(twice, &room->messages);
    assert_non_null(log);
    assert_false(log_append(log, &record, &room->messages));
    assert_said(&room->messages, "a symbolic link to a symbolic link is not followed");
    log_free(log);
    assert_int_equal(unlink(once), 0);
    assert_int_equal(symlink(kept.path, once), 0); /* by its whole path */
    log = log_read(once, &room->messages);
    assert_true(log_append(log, &record, &room->messages));
    assert_int_equal(count_in(room, kept.path), 3);
    log_free(log);
    log_free(kept.log);
}

/* The log's file is exchanged between reading and appending. */
static void test_another_thing_under_its_name(void **state)
{
    Room *room = *state;
    Kept kept = kept_one(room);
    LogRecord record = record_sample(&room->arena);
    assert_int_equal(unlink(kept.path), 0);
    assert_int_equal(mkfifo(kept.path, 0600), 0);
    assert_false(log_append(kept.log, &record, &room->messages));
    assert_said(&room->messages, "is no ordinary file");
    assert_int_equal(unlink(kept.path), 0);
    assert_int_equal(mkdir(kept.path, 0700), 0);
    assert_false(log_append(kept.log, &record, &room->messages));
    assert_said(&room->messages, "cannot be opened for writing");
    assert_int_equal(rmdir(kept.path), 0);
    put_bytes(kept.path, kept.bytes, kept.length);
    assert_int_equal(truncate(kept.path, YAML_FILE_MOST + 1), 0);
    assert_false(log_append(kept.log, &record, &room->messages));
    assert_said(&room->messages, "is larger than 8 MiB");
    assert_int_equal(unlink(kept.path), 0);
    assert_int_equal(symlink("/dev/null", kept.path), 0);
    assert_false(log_append(kept.log, &record, &room->messages));
    assert_said(&room->messages, "is no ordinary file");
    assert_int_equal(kept.log->count, 1);
    assert_int_equal(unlink(kept.path), 0);
    assert_true(log_append(kept.log, &record, &room->messages)); /* removed: begun anew */
    assert_int_equal(count_in(room, kept.path), 1);
    log_free(kept.log);
}

/* As nobody, where the test runs as root. */
static int in_child(int (*run)(Room *), Room *room)
{
    pid_t child = fork();
    if (child == 0) {
        if (geteuid() == 0 && setuid(65534) != 0)
            _exit(99);
        _exit(run(room));
    }
    int status = 0;
    assert_int_equal(waitpid(child, &status, 0), child);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 98;
}

static int append_where_forbidden(Room *room)
{
    LogRecord record = record_sample(&room->arena);
    Messages messages = {0};
    Log *log = log_read(room_path(room, "ferry.log.yaml"), &messages);
    int wrong = log == NULL || log_append(log, &record, &messages);
    wrong = wrong || messages.errors != 1;
    log_free(log);
    messages_free(&messages);
    arena_free(&room->arena);
    return wrong;
}

static void test_read_only(void **state)
{
    Room *room = *state;
    assert_int_equal(chmod(room->folder, 0555), 0);
    assert_int_equal(in_child(append_where_forbidden, room), 0);
    assert_int_equal(chmod(room->folder, 0755), 0);
    Kept kept = kept_one(room);
    assert_int_equal(chmod(kept.path, 0444), 0);
    assert_int_equal(in_child(append_where_forbidden, room), 0);
    assert_as_it_was(room, &kept);
    log_free(kept.log);
}

/* --- several writers ------------------------------------------------------------------------ */

enum { WRITERS = 3, EACH = 12 };

static int append_many(const char *path, int writer)
{
    Arena arena = {0};
    Messages messages = {0};
    Log *log = log_read(path, &messages);
    int wrong = log == NULL;
    for (int i = 0; i < EACH && !wrong; i++) {
        LogRecord record = record_sample(&arena);
        record.why = arena_printf(&arena, "writer %d, number %d", writer, i);
        wrong = !log_append(log, &record, &messages);
    }
    if (wrong)
        messages_write(&messages, stderr);
    log_free(log);
    messages_free(&messages);
    arena_free(&arena);
    return wrong;
}

static void test_writers_at_once(void **state)
{
    Room *room = *state;
    const char *path = room_path(room, "ferry.log.yaml");
    pid_t children[WRITERS];
    for (int i = 0; i < WRITERS; i++) {
        children[i] = fork();
        if (children[i] == 0)
            _exit(append_many(path, i));
    }
    for (int i = 0; i < WRITERS; i++) {
        int status;
        assert_int_equal(waitpid(children[i], &status, 0), children[i]);
        assert_int_equal(status, 0);
    }
    Log *log = log_read(path, &room->messages);
    assert_non_null(log);
    assert_int_equal(log->count, WRITERS * EACH);
    int next[WRITERS] = {0};
    for (size_t i = 0; i < log->count; i++) {
        int writer, number;
        assert_int_equal(sscanf(log->records[i].why, "writer %d, number %d", &writer, &number), 2);
        assert_int_equal(number, next[writer]++);
    }
    log_free(log);
}

static void test_what_others_added_is_seen(void **state)
{
    Room *room = *state;
    Kept kept = kept_one(room);
    LogRecord record = record_sample(&room->arena);
    Log *other = log_read(kept.path, &room->messages);
    record.why = "by another";
    assert_true(log_append(other, &record, &room->messages));
    record.why = "by me";
    assert_true(log_append(kept.log, &record, &room->messages));
    assert_int_equal(kept.log->count, 3);
    assert_string_equal(kept.log->records[1].why, "by another");
    assert_string_equal(kept.log->records[2].why, "by me");
    log_free(other);
    log_free(kept.log);
}

/* Another process writes and does not end: who it is, is said. */
static void test_who_holds_it(void **state)
{
    Room *room = *state;
    Kept kept = kept_one(room);
    LogRecord record = record_sample(&room->arena);
    int ready[2];
    assert_int_equal(pipe(ready), 0);
    pid_t child = fork();
    if (child == 0) {
        struct flock whole = {.l_type = F_WRLCK, .l_whence = SEEK_SET};
        int fd = open(kept.path, O_RDWR);
        char sign = fd >= 0 && fcntl(fd, F_OFD_SETLK, &whole) == 0 ? 'y' : 'n';
        if (write(ready[1], &sign, 1) == 1)
            pause();
        _exit(0);
    }
    char sign;
    assert_int_equal(read(ready[0], &sign, 1), 1);
    assert_int_equal(sign, 'y');
    assert_int_equal(count_in(room, kept.path), 1); /* reading always works */
    bool done = log_append(kept.log, &record, &room->messages);
    kill(child, SIGKILL);
    waitpid(child, NULL, 0);
    close(ready[0]);
    close(ready[1]);
    assert_false(done);
    assert_said(&room->messages,
                arena_printf(&room->arena, "is being written by process %d (", (int)child));
    assert_as_it_was(room, &kept);
    assert_true(log_append(kept.log, &record, &room->messages));
    log_free(kept.log);
}

int main(void)
{
#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_open, room_close)
    const struct CMUnitTest tests[] = {
        IN_ROOM(test_kept_and_read_again),
        IN_ROOM(test_incomplete_is_not_kept),
        IN_ROOM(test_failing_disk),
        IN_ROOM(test_first_decision_on_a_failing_disk),
        IN_ROOM(test_no_room_for_the_line),
        IN_ROOM(test_torn_line_is_cut_off),
        IN_ROOM(test_a_log_that_is_wrong_gets_nothing),
        IN_ROOM(test_beyond_the_limits),
        IN_ROOM(test_links),
        IN_ROOM(test_another_thing_under_its_name),
        IN_ROOM(test_read_only),
        IN_ROOM(test_writers_at_once),
        IN_ROOM(test_what_others_added_is_seen),
        IN_ROOM(test_who_holds_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* A log read: sums made by another program, every byte changed, cut or put in, torn lines. */
#include <fcntl.h>
#include <sys/stat.h>

#include "log_kit.h"

/* Its sums were made with sha256sum (GNU coreutils). */
static const char three[] = LOGGED "three.log.yaml";

static void test_sums_of_another_program(void **state)
{
    Room *room = *state;
    Log *log = log_read(three, &room->messages);
    assert_non_null(log);
    assert_int_equal(room->messages.count, 0);
    assert_true(log->exists);
    assert_string_equal(log->code, "FS-1");
    assert_int_equal(log->count, 3);
    assert_int_equal(log->records[0].decision, DECISION_ASK);
    assert_string_equal(log->records[0].ask, "Cy");
    assert_string_equal(log->records[1].why, "Cy held 5 mm on two pairs: \"good enough\"");
    assert_int_equal(log->records[1].who.count, 2);
    assert_string_equal(log->records[2].who.items[0], "D\xc3\xa9");
    assert_int_equal(log->records[2].at.line, 6);
    log_free(log);
}

/* Writing the same decisions gives the same bytes. */
static void test_the_same_bytes(void **state)
{
    Room *room = *state;
    size_t length, copied;
    const char *bytes = get_bytes(room, three, &length), *path = room_path(room, "a.log.yaml");
    Log *log = log_read(three, &room->messages), *copy = log_read(path, &room->messages);
    assert_non_null(log);
    assert_non_null(copy);
    assert_false(copy->exists);
    for (size_t i = 0; i < log->count; i++)
        assert_true(log_append(copy, &log->records[i], &room->messages));
    const char *again = get_bytes(room, path, &copied);
    assert_int_equal(copied, length);
    assert_memory_equal(again, bytes, length);
    assert_int_equal(room->messages.count, 0);
    log_free(log);
    log_free(copy);
}

/* The bytes as a log: how many decisions it has, -1 if it is refused. */
static int decisions_in(Room *room, const char *bytes, size_t length, size_t *notices)
{
    const char *path = room_path(room, "x.log.yaml");
    Messages messages = {0};
    put_bytes(path, bytes, length);
    Log *log = log_read(path, &messages);
    int count = log ? (int)log->count : -1;
    assert_int_equal(log == NULL, messages.errors > 0);
    *notices = messages.count - (messages.errors > 0);
    for (size_t i = 0; i < messages.count; i++)
        assert_string_equal(messages.items[i].at.file, path);
    log_free(log);
    messages_free(&messages);
    return count;
}

/* As a log of three: refused, or less of it counts and somebody is told. */
static void assert_noticed(Room *room, const char *bytes, size_t length, const char *what,
                           size_t at)
{
    size_t notices;
    int count = decisions_in(room, bytes, length, &notices);
    if (count >= 0 && (notices == 0 || count == 3))
        fail_msg("%s at byte %zu goes unnoticed", what, at);
}

static void test_every_byte_changed(void **state)
{
    Room *room = *state;
    size_t length;
    char *bytes = get_bytes(room, three, &length);
    static const unsigned char masks[] = {0x01, 0x20, 0x80};
    static const char instead[] = {'\n', '\r', '0', '"', '#', ' '};
    for (size_t i = 0; i < length; i++) {
        char was = bytes[i];
        for (size_t k = 0; k < sizeof masks + sizeof instead; k++) {
            bytes[i] = k < sizeof masks ? (char)(was ^ masks[k]) : instead[k - sizeof masks];
            if (bytes[i] != was)
                assert_noticed(room, bytes, length, "a change", i);
        }
        bytes[i] = was;
    }
}

static void test_every_byte_cut_or_doubled(void **state)
{
    Room *room = *state;
    size_t length;
    const char *bytes = get_bytes(room, three, &length);
    char *other = arena_alloc(&room->arena, length + 2, 1);
    for (size_t i = 0; i < length; i++) {
        memcpy(other, bytes, i);
        memcpy(other + i, bytes + i + 1, length - i - 1);
        assert_noticed(room, other, length - 1, "a cut", i);
        memcpy(other, bytes, i + 1);
        memcpy(other + i + 1, bytes + i, length - i);
        assert_noticed(room, other, length + 1, "a doubled byte", i);
    }
}

/* A file that ends early: whole lines count, what is torn is told. */
static void test_every_length(void **state)
{
    Room *room = *state;
    size_t length, notices;
    const char *bytes = get_bytes(room, three, &length);
    int lines = 0;
    for (size_t i = 0; i <= length; i++) {
        bool whole = i > 0 && bytes[i - 1] == '\n';
        lines += whole;
        int count = decisions_in(room, bytes, i, &notices);
        if (lines < 3) { /* the head itself is cut */
            assert_int_equal(count, -1);
            continue;
        }
        assert_int_equal(count, lines - 3);
        assert_int_equal(notices, whole ? 0 : 1);
    }
    assert_int_equal(lines, 6);
}

static void test_lines_changed_about(void **state)
{
    Room *room = *state;
    size_t length, notices;
    const char *bytes = get_bytes(room, three, &length), *at = bytes;
    const char *lines[6];
    for (int i = 0; i < 6; i++) {
        const char *end = strchr(at, '\n') + 1;
        lines[i] = arena_copy(&room->arena, at, (size_t)(end - at));
        at = end;
    }
    static const int orders[][8] = {
        {0, 1, 2, 4, 5, -1},       {0, 1, 2, 3, 5, -1},
        {0, 1, 2, 4, 3, 5, -1},    {0, 1, 2, 3, 3, 4, 5, -1},
        {0, 1, 2, 5, -1},          {1, 0, 2, 3, 4, 5, -1},
        {0, 1, 3, 4, 5, -1},       {0, 2, 3, 4, 5, -1},
        {1, 2, 3, 4, 5, -1},       {3, 4, 5, -1},
        {0, 1, 2, 3, 4, 5, 0, -1},
    };
    for (size_t i = 0; i < sizeof orders / sizeof *orders; i++) {
        Text text = {0};
        for (int k = 0; orders[i][k] >= 0; k++)
            text_add(&text, lines[orders[i][k]]);
        assert_int_equal(decisions_in(room, text.bytes, text.length, &notices), -1);
        text_free(&text);
    }
    static const char *const between[] = {"# a remark\n", "\n", "- {}\n", "extra: 1\n", "  \n"};
    for (size_t i = 0; i < sizeof between / sizeof *between; i++)
        for (int before = 0; before <= 6; before++) {
            Text text = {0};
            for (int k = 0; k < 6; k++) {
                text_add(&text, k == before ? between[i] : "");
                text_add(&text, lines[k]);
            }
            text_add(&text, before == 6 ? between[i] : "");
            assert_int_equal(decisions_in(room, text.bytes, text.length, &notices), -1);
            text_free(&text);
        }
}

/* Each error names the line and column at which to look. */
static void test_where_it_is_wrong(void **state)
{
    Room *room = *state;
    static const struct {
        const char *old, *new, *words;
        int line, column;
    } cases[] = {
        {"cordwain: log/1", "cordwain: log/2", "expected log/1", 1, 11},
        {"cordwain: log/1", "cordwain: style/1", "a style is judged by", 1, 11},
        {"code: \"FS-1\"", "code: FS-1", "changed from outside", 2, 7},
        {"code: \"FS-1\"", "code: \"FS-2\"", "the log is of FS-2", 4, 3},
        {"code: \"FS-1\"", "cod: \"FS-1\"", "did you mean code", 2, 1},
        {"decisions:", "decisions: 1", "", 4, 1},
        {"2026-02-27T09", "2026-02-27T10", "the sum does not go with this line", 4, 0},
        {"does the lasting", "Does the lasting", "the sum does not go with this line", 4, 0},
        {"ask: \"Cy\", sum: ", "ask: \"Cy\", sum:  ", "changed from outside", 4, 0},
        {", rule: \"turn-radius\"", ", rule: turn-radius", "changed from outside", 4, 0},
        {"- {style", "-  {style", "changed from outside", 4, 3},
        {"decisions:\n", "decisions: {}\n", "", 4, 1},
        {", sum: ", ", sun: ", "did you mean sum", 4, 0},
        {", sum: ", ", sum: {a: ", "", 5, 1},
        {"- {style", "- {stile", "did you mean style", 4, 4},
    };
    size_t length;
    const char *text = get_bytes(room, three, &length), *path = room_path(room, "x.log.yaml");
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const Change changes[] = {{cases[i].old, cases[i].new}, {NULL, NULL}};
        const char *changed = changed_text(&room->arena, text, changes);
        Messages messages = {0};
        put_bytes(path, changed, strlen(changed));
        assert_null(log_read(path, &messages));
        assert_said(&messages, cases[i].words);
        if (messages.items[0].at.line != cases[i].line ||
            (cases[i].column > 0 && messages.items[0].at.column != cases[i].column))
            fail_msg("%s: line %d, column %d", cases[i].new, messages.items[0].at.line,
                     messages.items[0].at.column);
        messages_free(&messages);
    }
}

/* Small files that are wrong as a whole. */
static void test_no_log(void **state)
{
    Room *room = *state;
    static const char *const cases[][2] = {
        {"", "file is empty"},
        {"\n", "file is empty"},
        {"cordwain: log/1\n", "a log needs `code`"},
        {"cordwain: log/1\ncode: \"a\"\n", "a log needs `decisions`"},
        {"cordwain: log/1\ncode: \"a\"\ndecisions: {}\n", "changed from outside"},
        {"cordwain: log/1\ncode: \"a\"\ndecisions: none\n", "changed from outside"},
        {"cordwain: log/1\ncode: [a]\ndecisions:\n", "code"},
        {"cordwain: log/1\ncode: \"a\"\ndecisions:\n  a: 1\n", "decisions must be a list"},
        {"cordwain: log/1\ncode: \"a\"\ndecisions:\n- a\n", "a decision"},
        {"cordwain: log/1\ncode: \"a\"\ndecisions:\n\n", "this line is no decision"},
        {"- a\n", "the first line of a log"},
    };
    const char *path = room_path(room, "x.log.yaml");
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Messages messages = {0};
        put_bytes(path, cases[i][0], strlen(cases[i][0]));
        assert_null(log_read(path, &messages));
        assert_said(&messages, cases[i][1]);
        messages_free(&messages);
    }
    LogRecord record = record_sample(&room->arena);
    Text text = {0};
    text_add(&text, "cordwain: log/1\ncode: \"FS-1\"\ndecisions:\n");
    logged_write(&text, &record);
    text_add(&text, "}\n");
    put_bytes(path, text.bytes, text.length);
    text_free(&text);
    assert_null(log_read(path, &room->messages));
    assert_said(&room->messages, "a decision needs `sum`");
    static const char none[] = "cordwain: log/1\ncode: \"a\"\ndecisions:\n";
    put_bytes(path, none, strlen(none));
    Log *log = log_read(path, &room->messages);
    assert_non_null(log);
    assert_int_equal(log->count, 0);
    log_free(log);
}

static void test_names_beside_the_style(void **state)
{
    Room *room = *state;
    Arena *arena = &room->arena;
    assert_string_equal(log_path(arena, "styles/skerry.yaml"), "styles/skerry.log.yaml");
    assert_string_equal(log_path(arena, "skerry"), "skerry.log.yaml");
    assert_string_equal(log_path(arena, "a.yaml/b.yml"), "a.yaml/b.yml.log.yaml");
    assert_string_equal(log_path(arena, ".yaml"), ".yaml.log.yaml");
    assert_null(log_path(arena, "-"));
    assert_true(log_is_name("styles/skerry.log.yaml"));
    assert_false(log_is_name("styles/skerry.yaml"));
    assert_false(log_is_name(".log.yaml"));
}

static void test_no_file_is_an_empty_log(void **state)
{
    Room *room = *state;
    Log *log = log_read(room_path(room, "none.log.yaml"), &room->messages);
    assert_non_null(log);
    assert_false(log->exists);
    assert_int_equal(log->count, 0);
    assert_int_equal(room->messages.count, 0);
    log_free(log);
}

static void test_what_is_no_ordinary_file(void **state)
{
    Room *room = *state;
    const char *pipe_path = room_path(room, "pipe.log.yaml");
    assert_int_equal(mkfifo(pipe_path, 0600), 0);
    assert_null(log_read(pipe_path, &room->messages));
    assert_said(&room->messages, "a pipe");
    assert_null(log_read(room->folder, &room->messages));
    assert_said(&room->messages, "a folder");
    assert_null(log_read("/dev/null", &room->messages));
    assert_said(&room->messages, "a device");
}

int main(void)
{
#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_open, room_close)
    const struct CMUnitTest tests[] = {
        IN_ROOM(test_sums_of_another_program),
        IN_ROOM(test_the_same_bytes),
        IN_ROOM(test_every_byte_changed),
        IN_ROOM(test_every_byte_cut_or_doubled),
        IN_ROOM(test_every_length),
        IN_ROOM(test_lines_changed_about),
        IN_ROOM(test_no_log),
        IN_ROOM(test_where_it_is_wrong),
        IN_ROOM(test_names_beside_the_style),
        IN_ROOM(test_no_file_is_an_empty_log),
        IN_ROOM(test_what_is_no_ordinary_file),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Broken and hostile styles: each is refused on the right line, without a
 * crash, quickly, and nothing a terminal would act on comes out; by the library
 * and by the built program (CORDWAIN in the environment, else beside this test). */
#define _GNU_SOURCE
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#include "base/file.h"
#include "cli/cli.h"
#include "scratch.h"

/* Line 1 is the head. Every case changes one piece of it. */
static const char good[] =
    "cordwain: style/1\n"                                                  /* 1 */
    "name: Test shoe\n"                                                    /* 2 */
    "code: T-1\n"                                                          /* 3 */
    "materials:\n"                                                         /* 4 */
    "  hide: {kind: leather, thickness: 1.2 mm}\n"                         /* 5 */
    "parts:\n"                                                             /* 6 */
    "  flap: {role: upper, material: hide, edges: {top: {finish: raw}}}\n" /* 7 */
    "  wing: {role: upper, material: hide, edges: {top: {finish: raw}}}\n" /* 8 */
    "seams:\n"                                                             /* 9 */
    "  join-up: {join: lapped, edges: [flap.top, wing.top]}\n";            /* 10 */

typedef struct Piece {
    const char *from, *to; /* `to` stands in place of `from` */
    int line;              /* 0: the whole file */
    const char *says;      /* part of the message */
} Piece;

/* ---- A folder of our own, and the program ---- */

typedef struct Room {
    char folder[SCRATCH_LENGTH];
    char path[SCRATCH_INSIDE];
    char program[4096];
} Room;

static Room *room_of(void **state)
{
    return *state;
}

static void room_write(Room *room, const char *bytes, size_t length)
{
    FILE *file = fopen(room->path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, length, file), length);
    assert_int_equal(fclose(file), 0);
}

static void expect_harmless(const char *bytes, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        unsigned char c = (unsigned char)bytes[i];
        if ((c < 0x20 && c != '\n') || c == 0x7f)
            fail_msg("a control character U+%04X comes out: %.200s", c, bytes);
        if (c == 0xc2 && i + 1 < length && (unsigned char)bytes[i + 1] < 0xa0)
            fail_msg("a C1 control character comes out: %.200s", bytes);
    }
}

/* What messages_write() puts out. */
static char *written(const Messages *messages, size_t *length)
{
    char *bytes = NULL;
    FILE *out = open_memstream(&bytes, length);
    assert_non_null(out);
    messages_write(messages, out);
    assert_int_equal(fclose(out), 0);
    return bytes;
}

/* Runs `cordwain check room->path` with one more option; its exit status. Both
 * outputs go into `out`. */
static int run_program(const Room *room, const char *option, const char *value, Text *out)
{
    int ends[2];
    assert_int_equal(pipe(ends), 0);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        alarm(60);
        if (dup2(ends[1], STDOUT_FILENO) < 0 || dup2(ends[1], STDERR_FILENO) < 0)
            _exit(126);
        close(ends[0]);
        close(ends[1]);
        execl(room->program, "cordwain", "check", room->path, "--rules", "rules", option, value,
              (char *)NULL);
        _exit(127);
    }
    close(ends[1]);
    char bytes[4096];
    for (ssize_t got; (got = read(ends[0], bytes, sizeof bytes)) > 0;)
        text_add_bytes(out, bytes, (size_t)got);
    close(ends[0]);
    int status;
    assert_int_equal(waitpid(child, &status, 0), child);
    if (!WIFEXITED(status))
        fail_msg("the program was ended by signal %d", WTERMSIG(status));
    return WEXITSTATUS(status);
}

static void expect_program_refuses(const Room *room)
{
    Text out = {0};
    int status = run_program(room, "--as", "text", &out);
    if (status != EXIT_INPUT || out.length == 0)
        fail_msg("the program ends with %d: %s", status, text_string(&out));
    expect_harmless(text_string(&out), out.length);
    if (!strstr(text_string(&out), room->path))
        fail_msg("the program does not name the file: %s", text_string(&out));
    text_free(&out);
}

/* ---- Refusals ---- */

static bool says(const Messages *messages, int line, const char *words)
{
    for (size_t i = 0; i < messages->count; i++)
        if (messages->items[i].level == MESSAGE_ERROR && messages->items[i].at.line == line &&
            strstr(messages->items[i].text, words))
            return true;
    return false;
}

static void expect_refused(Room *room, int line, const char *words)
{
    Messages messages = {0};
    Style *style = style_read(room->path, NULL, NULL, 0, &messages);
    size_t length;
    char *out = written(&messages, &length);
    if (style)
        fail_msg("taken, but should say '%s'", words);
    if (!says(&messages, line, words))
        fail_msg("does not say '%s' on line %d, but:\n%.600s", words, line, out);
    expect_harmless(out, length);
    free(out);
    messages_free(&messages);
    expect_program_refuses(room);
}

static void expect_piece_refused(Room *room, const Piece *one)
{
    Text text = {0};
    const char *at = strstr(good, one->from);
    assert_non_null(at);
    text_add_bytes(&text, good, (size_t)(at - good));
    text_add(&text, one->to);
    text_add(&text, at + strlen(one->from));
    room_write(room, text.bytes, text.length);
    expect_refused(room, one->line, one->says);
    text_free(&text);
}

static void expect_cases_refused(Room *room, const Piece *cases, size_t count)
{
    for (size_t i = 0; i < count; i++)
        expect_piece_refused(room, &cases[i]);
}

#define EXPECT_CASES(room, cases)                                                                  \
    expect_cases_refused((room), (cases), sizeof(cases) / sizeof *(cases))

static void the_good_one_is_taken(void **state)
{
    Room *room = room_of(state);
    Messages messages = {0};
    room_write(room, good, strlen(good));
    Style *style = style_read(room->path, NULL, NULL, 0, &messages);
    if (!style)
        messages_write(&messages, stderr);
    assert_non_null(style);
    style_free(style);
    messages_free(&messages);
    Text out = {0};
    assert_int_equal(run_program(room, "--as", "text", &out), EXIT_OPEN);
    text_free(&out);
}

static void wrong_values(void **state)
{
    static const Piece cases[] = {
        {"1.2 mm", "1.2 kg", 5, "\"kg\""},
        {"1.2 mm", "1.2", 5, "1.2"},
        {"1.2 mm", "1,2 mm", 5, "a comma ends a value inside { }: write 1.2"},
        {"1.2 mm", "95 °C", 5, "expected a length"},
        {"1.2 mm", "1e9 mm", 5, "1e9"},
        {"1.2 mm", "-1.2 mm", 5, "1.2"},
        {"1.2 mm", "9999 m", 5, "9999"},
        {"1.2 mm", "?", 5, "unknown"},
        {"1.2 mm", "[1.2 mm]", 5, "thickness"},
        {"kind: leather", "kind: lether", 5, "leather"},
        {"material: hide", "material: hyde", 7, "hide"},
        {"role: upper", "roll: upper", 7, "role"},
    };
    EXPECT_CASES(room_of(state), cases);
}

static void wrong_names_and_joins(void **state)
{
    static const Piece cases[] = {
        {"wing.top]", "wing.tap]", 10, "top"},
        {"wing.top]", "wink.top]", 10, "wing"},
        {"wing.top]", "wing.top.top]", 10, "wing.top"},
        {"  wing: {", "  flap: {", 8, "flap"},
        {"join: lapped", "join: glued", 10, "lapped"},
        {"  hide: {", "  \"hi\\u202Ede\": {", 5, "202E"},
        {"  hide: {", "  hіde: {", 5, ""},
        {"name: Test shoe", "name: Test shoe\nname: Twin", 3, "name"},
        {"name: Test shoe", "name: &a Test shoe", 2, ""},
        {"code: T-1", "code: *a", 3, ""},
        {"code: T-1", "code: !!python/object:os.system T-1", 3, ""},
        {"  hide: {", "  <<: {kind: leather}\n  hide: {", 5, "<<"},
    };
    EXPECT_CASES(room_of(state), cases);
}

static void going_round_in_circles(void **state)
{
    static const Piece cases[] = {
        {"  flap: {role: upper, material: hide, edges: {top: {finish: raw}}}\n"
         "  wing: {role: upper, material: hide, edges: {top: {finish: raw}}}\n",
         "  flap: {mirror: wing}\n  wing: {mirror: flap}\n", 7, "mirror"},
        {"  wing: {role: upper, material: hide, edges: {top: {finish: raw}}}\n",
         "  wing: {mirror: wing}\n", 8, "mirror"},
        {"  join-up: {join: lapped, edges: [flap.top, wing.top]}\n",
         "  one: {mirror: two}\n  two: {mirror: three}\n  three: {mirror: one}\n", 10, "mirror"},
        {"seams:\n", "alternatives:\n  a: {from: b}\n  b: {from: a}\nseams:\n", 10, "a"},
        {"seams:\n", "alternatives:\n  a: {from: a}\nseams:\n", 10, "a"},
        {"seams:\n", "alternatives:\n  a: {parts.flap.mirror: wing}\nseams:\n", 7,
         "mirrors another"},
    };
    EXPECT_CASES(room_of(state), cases);
}

/* ---- Files that are none, or too much ---- */

static void no_file(void **state)
{
    Room *room = room_of(state);
    unlink(room->path);
    expect_refused(room, 0, "");
}

static void empty_and_blank_files(void **state)
{
    Room *room = room_of(state);
    room_write(room, "", 0);
    expect_refused(room, 0, "empty");
    room_write(room, "\n\n  \n", 5);
    Messages messages = {0};
    assert_null(style_read(room->path, NULL, NULL, 0, &messages));
    assert_true(messages.errors > 0);
    messages_free(&messages);
    expect_program_refuses(room);
}

static void folder_for_a_file(void **state)
{
    Room *room = room_of(state);
    unlink(room->path);
    assert_int_equal(mkdir(room->path, 0700), 0);
    expect_refused(room, 0, "");
    assert_int_equal(rmdir(room->path), 0);
}

static void hundred_megabytes_of_nothing(void **state)
{
    Room *room = room_of(state);
    room_write(room, "x", 1);
    assert_int_equal(truncate(room->path, 100L << 20), 0);
    expect_refused(room, 0, "large");
    unlink(room->path);
}

static void binary_bytes(void **state)
{
    Room *room = room_of(state);
    char bytes[4096];
    uint32_t seed = 2463534242u;
    for (int round = 0; round < 20; round++) {
        for (size_t i = 0; i < sizeof bytes; i++) {
            seed ^= seed << 13;
            seed ^= seed >> 17;
            seed ^= seed << 5;
            bytes[i] = (char)(seed & 0xff);
        }
        room_write(room, bytes, sizeof bytes);
        Messages messages = {0};
        size_t length;
        assert_null(style_read(room->path, NULL, NULL, 0, &messages));
        char *out = written(&messages, &length);
        assert_true(messages.errors > 0);
        expect_harmless(out, length);
        free(out);
        messages_free(&messages);
    }
    expect_program_refuses(room);
}

static void nothing_but_a_good_beginning(void **state)
{
    Room *room = room_of(state);
    for (size_t length = 0; length < strlen(good); length++) {
        Messages messages = {0};
        room_write(room, good, length);
        Style *style = style_read(room->path, NULL, NULL, 0, &messages);
        assert_true((style == NULL) == (messages.errors > 0));
        if (style)
            style_free(style);
        messages_free(&messages);
    }
}

static void deep_nesting(void **state)
{
    Room *room = room_of(state);
    Text text = {0};
    text_add(&text, good);
    text_add(&text, "order: ");
    for (int i = 0; i < 60000; i++)
        text_add(&text, "[");
    room_write(room, text.bytes, text.length);
    expect_refused(room, 11, "64 deep");
    text_clear(&text);
    text_add(&text, good);
    text_add(&text, "alternatives: {a: ");
    for (int i = 0; i < 70; i++)
        text_add(&text, "{b: ");
    for (int i = 0; i <= 70; i++)
        text_add(&text, "}");
    room_write(room, text.bytes, text.length);
    expect_refused(room, 11, "64 deep");
    text_free(&text);
}

static void ten_thousand_keys(void **state)
{
    Room *room = room_of(state);
    Text text = {0};
    text_add(&text, good);
    for (int i = 0; i < 10000; i++)
        text_addf(&text, "k%d: 1\n", i);
    room_write(room, text.bytes, text.length);
    expect_refused(room, 10005, "10000");
    text_free(&text);
}

/* Ten thousand materials and parts are a large style, not an error: they are
 * read in good time. */
static void ten_thousand_materials(void **state)
{
    Room *room = room_of(state);
    Text text = {0};
    const char *parts = strstr(good, "parts:");
    text_add_bytes(&text, good, (size_t)(parts - good));
    for (int i = 0; i < 9000; i++)
        text_addf(&text, "  m%d: {kind: leather}\n", i);
    text_add(&text, parts);
    room_write(room, text.bytes, text.length);
    Messages messages = {0};
    Style *style = style_read(room->path, NULL, NULL, 0, &messages);
    assert_non_null(style);
    assert_int_equal(style->lists[SUBJECT_MATERIAL].count, 9001);
    style_free(style);
    messages_free(&messages);
    text_free(&text);
}

/* ---- The wrong kind of file ---- */

static void style_and_factory_mixed_up(void **state)
{
    Room *room = room_of(state);
    Messages messages = {0};
    room_write(room, good, strlen(good));
    assert_null(factory_read(room->path, &messages));
    assert_true(says(&messages, 1, "factory"));
    messages_free(&messages);
    const char *paths[] = {room->path};
    messages = (Messages){0};
    assert_null(rules_read(paths, 1, NULL, &messages));
    assert_true(says(&messages, 1, "rules"));
    messages_free(&messages);
    messages = (Messages){0};
    assert_null(style_read("rules/factories/harbour.yaml", NULL, NULL, 0, &messages));
    assert_true(says(&messages, 2, "style"));
    messages_free(&messages);
    Text out = {0};
    assert_int_equal(run_program(room, "--factory", room->path, &out), EXIT_INPUT);
    assert_non_null(strstr(text_string(&out), room->path));
    text_free(&out);
}

/* ---- Names that a terminal would act on ---- */

static void escapes_in_the_file_name(void **state)
{
    Room *room = room_of(state);
    Room odd = *room;
    snprintf(odd.path, sizeof odd.path, "%s/a\033[2J\033]0;x\007.yaml", room->folder);
    room_write(&odd, "cordwain: style/2\n", 18);
    Text out = {0};
    assert_int_equal(run_program(&odd, "--as", "text", &out), EXIT_INPUT);
    expect_harmless(text_string(&out), out.length);
    text_clear(&out);
    assert_int_equal(run_program(&odd, "--alternative", "\033[31mred", &out), EXIT_INPUT);
    expect_harmless(text_string(&out), out.length);
    text_free(&out);
    assert_int_equal(unlink(odd.path), 0);
}

/* A name may hold what YAML lets it; what comes out is made visible. */
static void escapes_in_the_names(void **state)
{
    static const Piece cases[] = {
        {"Test shoe", "\"\\e[2J\\e]0;gone\\a shoe\"", 0, ""},
        {"Test shoe", "\"\\u202Eeohs\"", 0, ""},
        {"Test shoe", "\"\\u009B31m\"", 0, ""},
        {"T-1", "\"T\\u2028-1\"", 0, ""},
        {"T-1", "\"T\\x7f\\b-1\"", 0, ""},
    };
    static const char *const forms[] = {"text", "json"};
    Room *room = room_of(state);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Text text = {0};
        const char *at = strstr(good, cases[i].from);
        text_add_bytes(&text, good, (size_t)(at - good));
        text_add(&text, cases[i].to);
        text_add(&text, at + strlen(cases[i].from));
        room_write(room, text.bytes, text.length);
        for (size_t f = 0; f < 2; f++) {
            text_clear(&text);
            int status = run_program(room, "--as", forms[f], &text);
            assert_true(status == EXIT_OPEN || status == EXIT_INPUT);
            expect_harmless(text_string(&text), text.length);
        }
        text_free(&text);
    }
}

/* ---- Main ---- */

static void find_program(Room *room, const char *self)
{
    const char *named = getenv("CORDWAIN");
    const char *slash = strrchr(self, '/');
    if (named && *named)
        snprintf(room->program, sizeof room->program, "%s", named);
    else
        snprintf(room->program, sizeof room->program, "%.*s/../../cordwain",
                 slash ? (int)(slash - self) : 1, slash ? self : ".");
}

int main(int argc, char **argv)
{
    Room room = {0};
    (void)argc;
    find_program(&room, argv[0]);
    scratch_folder(room.folder);
    if (access(room.program, X_OK) != 0) {
        fprintf(stderr, "%s cannot be run\n", room.program);
        return EXIT_FAILURE;
    }
    snprintf(room.path, sizeof room.path, "%s/style.yaml", room.folder);
    struct CMUnitTest tests[] = {
        cmocka_unit_test_prestate(the_good_one_is_taken, &room),
        cmocka_unit_test_prestate(wrong_values, &room),
        cmocka_unit_test_prestate(wrong_names_and_joins, &room),
        cmocka_unit_test_prestate(going_round_in_circles, &room),
        cmocka_unit_test_prestate(no_file, &room),
        cmocka_unit_test_prestate(empty_and_blank_files, &room),
        cmocka_unit_test_prestate(folder_for_a_file, &room),
        cmocka_unit_test_prestate(hundred_megabytes_of_nothing, &room),
        cmocka_unit_test_prestate(binary_bytes, &room),
        cmocka_unit_test_prestate(nothing_but_a_good_beginning, &room),
        cmocka_unit_test_prestate(deep_nesting, &room),
        cmocka_unit_test_prestate(ten_thousand_keys, &room),
        cmocka_unit_test_prestate(ten_thousand_materials, &room),
        cmocka_unit_test_prestate(style_and_factory_mixed_up, &room),
        cmocka_unit_test_prestate(escapes_in_the_file_name, &room),
        cmocka_unit_test_prestate(escapes_in_the_names, &room),
    };
    int failed = cmocka_run_group_tests(tests, NULL, NULL);
    unlink(room.path);
    rmdir(room.folder);
    return failed;
}

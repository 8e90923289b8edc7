/* Scripts of keys played to the view, and the screens they end in held against those
 * that are kept: tests/screen/scripts/NAME.keys, tests/screen/kept/NAME-SIZE.txt.
 *
 *   keys NAMES     keys by name, blanks between them
 *   type TEXT      letters
 *   show           the screen becomes part of what is kept
 *   file NAME      so does a file
 *   append NAME TEXT   somebody else adds a line to a file
 *
 * With CORDWAIN_REFRESH in the environment what is kept is written anew: read the diff. */
#include "screen_kit.h"

#include <dirent.h>

typedef struct Size {
    const char *name;
    int rows, columns;
    bool ascii;
} Size;

static const Size sizes[] = {{"80x24", 24, 80, false},       {"120x40", 40, 120, false},
                             {"200x60", 60, 200, false},     {"80x24-ascii", 24, 80, true},
                             {"120x40-ascii", 40, 120, true}, {"200x60-ascii", 60, 200, true}};

static void play_line(Desk *desk, const Size *size, const char *line, Text *out)
{
    if (strncmp(line, "keys ", 5) == 0) {
        desk_keys(desk, line + 5);
    } else if (strncmp(line, "type ", 5) == 0) {
        desk_type(desk, line + 5);
    } else if (strcmp(line, "show") == 0) {
        text_add(out, desk_screen(desk, size->rows, size->columns));
        text_addf(out, "==== cursor %d,%d%s\n", desk->cells.cursor_y, desk->cells.cursor_x,
                  view_left(desk->view) ? ", left" : "");
    } else if (strncmp(line, "file ", 5) == 0) {
        text_addf(out, "==== %s\n%s", line + 5, desk_read(desk, line + 5));
    } else if (strncmp(line, "append ", 7) == 0) {
        size_t length = strcspn(line + 7, " ");
        desk_write(arena_printf(&desk->arena, "%.*s", (int)length, line + 7),
                   arena_printf(&desk->arena, "%s\n", line + 7 + length + 1), "a");
    } else if (line[0] != '#' && line[0] != '\0') {
        fail_msg("the script says: %s", line);
    }
}

static void play(const char *script, const Size *size, Text *out)
{
    Desk desk;
    desk_open(&desk);
    desk.cells.ascii = size->ascii;
    desk.cells.braille = !size->ascii;
    while (*script != '\0') {
        size_t length = strcspn(script, "\n");
        play_line(&desk, size, arena_copy(&desk.arena, script, length), out);
        script += length + (script[length] == '\n');
    }
    desk_close(&desk);
}

static bool hold(Arena *arena, const char *name, const char *script, const Size *size)
{
    Messages messages = {0};
    const char *path = arena_printf(arena, "tests/screen/kept/%s-%s.txt", name, size->name);
    Text out = {0};
    char *kept = NULL;
    size_t length;
    play(script, size, &out);
    if (getenv("CORDWAIN_REFRESH") != NULL)
        desk_write(path, text_string(&out), "w");
    bool same = file_read(arena, path, 1 << 22, &messages, &kept, &length) &&
                strcmp(kept, text_string(&out)) == 0;
    if (!same) {
        char now[SCRATCH_LENGTH];
        scratch_write(now, text_string(&out), out.length);
        fprintf(stderr, "%s: other than kept; now in %s\n", path, now);
    }
    text_free(&out);
    messages_free(&messages);
    return same;
}

static void screens_are_as_kept(void **state)
{
    (void)state;
    Arena arena = {0};
    Messages messages = {0};
    DIR *folder = opendir("tests/screen/scripts");
    assert_non_null(folder);
    size_t played = 0, other = 0;
    for (struct dirent *entry; (entry = readdir(folder)) != NULL;) {
        const char *end = strstr(entry->d_name, ".keys");
        if (end == NULL)
            continue;
        char *script, *name = arena_copy(&arena, entry->d_name, (size_t)(end - entry->d_name));
        size_t length;
        assert_true(file_read(&arena, arena_printf(&arena, "tests/screen/scripts/%s", entry->d_name),
                              1 << 16, &messages, &script, &length));
        for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
            other += !hold(&arena, name, script, &sizes[i]);
            played++;
        }
    }
    closedir(folder);
    assert_true(played >= 60);
    assert_int_equal(other, 0);
    messages_free(&messages);
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(screens_are_as_kept)};
    if (setlocale(LC_ALL, "C.UTF-8") == NULL)
        return 1;
    return cmocka_run_group_tests(tests, NULL, NULL);
}

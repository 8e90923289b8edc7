/* A view of a small style in a folder of its own, and keys by name. For the tests of
 * src/screen. */
#ifndef CORDWAIN_TESTS_SCREEN_KIT_H
#define CORDWAIN_TESTS_SCREEN_KIT_H

#include <locale.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "base/file.h"
#include "base/utf8.h"
#include "screen/view.h"
#include "scratch.h"

/* 2026-03-01T09:00:00Z */
enum { SCREEN_MOMENT = 1772355600 };

typedef struct Desk {
    char folder[SCRATCH_LENGTH], home[4096];
    Arena arena;
    Messages messages;
    View *view;
    Cells cells;
} Desk;

static const char *const desk_files[] = {"tender.yaml", "tender.svg", "rules/screen.yaml",
                                         "factories/alpha.yaml", "factories/bravo.yaml"};
enum { DESK_FILES = 5 };

static inline char *desk_read(Desk *desk, const char *path)
{
    char *bytes = NULL;
    size_t length;
    assert_true(file_read(&desk->arena, path, 1 << 20, &desk->messages, &bytes, &length));
    return bytes;
}

static inline void desk_write(const char *path, const char *text, const char *mode)
{
    FILE *file = fopen(path, mode);
    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

static inline void desk_view(Desk *desk, bool tour)
{
    static const char *const rules[] = {"rules/screen.yaml"};
    ViewSetup setup = {.files = {"tender.yaml", NULL, "factories/alpha.yaml", rules, 1, NULL},
                       .factories = "factories",
                       .today = {2026, 3, 1},
                       .moment = SCREEN_MOMENT,
                       .tour = tour};
    desk->view = view_open(&setup, &desk->messages);
    if (desk->view == NULL)
        messages_write(&desk->messages, stderr);
    assert_non_null(desk->view);
}

/* The style's files in a new folder, which becomes the working folder. */
static inline void desk_open(Desk *desk)
{
    *desk = (Desk){.cells = {.braille = true}};
    assert_non_null(getcwd(desk->home, sizeof desk->home));
    scratch_folder(desk->folder);
    for (int i = 0; i < DESK_FILES; i++) {
        char *text =
            desk_read(desk, arena_printf(&desk->arena, "tests/fixtures/screen/%s", desk_files[i]));
        const char *slash = strchr(desk_files[i], '/');
        if (slash != NULL)
            mkdir(arena_printf(&desk->arena, "%s/%.*s", desk->folder, (int)(slash - desk_files[i]),
                               desk_files[i]),
                  0700);
        desk_write(arena_printf(&desk->arena, "%s/%s", desk->folder, desk_files[i]), text, "w");
    }
    assert_int_equal(chdir(desk->folder), 0);
    desk_view(desk, false);
}

static inline void desk_close(Desk *desk)
{
    view_close(desk->view);
    cells_free(&desk->cells);
    for (int i = 0; i < DESK_FILES; i++)
        unlink(desk_files[i]);
    unlink("tender.log.yaml");
    unlink("tender.changed.yaml");
    rmdir("rules");
    rmdir("factories");
    assert_int_equal(chdir(desk->home), 0);
    rmdir(desk->folder);
    messages_free(&desk->messages);
    arena_free(&desk->arena);
}

/* ---- Keys and screens ---- */

static inline int key_named(const char *name, size_t length)
{
    static const struct {
        const char *name;
        int key;
    } names[] = {{"Up", K_UP}, {"Down", K_DOWN}, {"Left", K_LEFT}, {"Right", K_RIGHT},
                 {"Home", K_HOME}, {"End", K_END}, {"PgUp", K_PAGE_UP}, {"PgDn", K_PAGE_DOWN},
                 {"Space", ' '}, {"Tab", K_TAB}, {"Enter", K_ENTER}, {"Esc", K_ESCAPE},
                 {"Backspace", K_BACKSPACE}, {"Delete", K_DELETE}, {"F1", K_F1},
                 {"Ctrl-U", K_CTRL('U')}, {"Ctrl-S", K_CTRL('S')}, {"Ctrl-R", K_CTRL('R')}};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (strlen(names[i].name) == length && strncmp(names[i].name, name, length) == 0)
            return names[i].key;
    if (length != 1)
        fail_msg("no key is called %.*s", (int)length, name);
    return (unsigned char)name[0];
}

/* Keys by name, with blanks between them. */
static inline void desk_keys(Desk *desk, const char *names)
{
    for (names += strspn(names, " "); *names != '\0'; names += strspn(names, " ")) {
        size_t length = strcspn(names, " ");
        view_key(desk->view, key_named(names, length));
        names += length;
    }
}

static inline void desk_type(Desk *desk, const char *text)
{
    for (size_t used; *text != '\0'; text += used) {
        uint32_t codepoint;
        used = utf8_decode(text, strlen(text), &codepoint);
        assert_true(used > 0);
        view_key(desk->view, (int)codepoint);
    }
}

/* Somebody writes NEW for the first OLD in a file. */
static inline void desk_swap(Desk *desk, const char *path, const char *old, const char *new)
{
    Text text = {0};
    text_add(&text, desk_read(desk, path));
    const char *found = strstr(text_string(&text), old);
    if (found == NULL)
        fail_msg("%s does not hold %s", path, old);
    size_t before = (size_t)(found - text_string(&text));
    desk_write(path, arena_printf(&desk->arena, "%.*s%s%s", (int)before, text_string(&text), new,
                                  text_string(&text) + before + strlen(old)),
               "w");
    text_free(&text);
}

static inline void desk_draw(Desk *desk, int rows, int columns)
{
    cells_start(&desk->cells, rows, columns);
    view_draw(desk->view, &desk->cells);
}

/* Until everything that is shown is worked out; at most so many pieces. */
static inline void desk_work(Desk *desk, int rows, int columns, int pieces)
{
    desk_draw(desk, rows, columns);
    for (int i = 0; i < pieces && view_works(desk->view); i++) {
        view_work(desk->view);
        desk_draw(desk, rows, columns);
    }
}

enum { ALL_PIECES = 1000 };

/* What is on a screen of this size; lives until the desk is closed. */
static inline const char *desk_screen(Desk *desk, int rows, int columns)
{
    Text text = {0};
    desk_work(desk, rows, columns, ALL_PIECES);
    assert_false(view_works(desk->view));
    cells_text(&text, &desk->cells);
    const char *kept = arena_copy(&desk->arena, text_string(&text), text.length);
    text_free(&text);
    return kept;
}

static inline void assert_shows(Desk *desk, const char *part)
{
    const char *screen = desk_screen(desk, 40, 120);
    if (strstr(screen, part) == NULL)
        fail_msg("\"%s\" is not on the screen:\n%s", part, screen);
}

static inline void assert_hides(Desk *desk, const char *part)
{
    const char *screen = desk_screen(desk, 40, 120);
    if (strstr(screen, part) != NULL)
        fail_msg("\"%s\" is on the screen:\n%s", part, screen);
}

#endif

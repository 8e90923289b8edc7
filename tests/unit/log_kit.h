/* A folder for logs, records made by hand, and a small style judged in variants. For the tests
 * of src/log. */
#ifndef CORDWAIN_TESTS_LOG_KIT_H
#define CORDWAIN_TESTS_LOG_KIT_H

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "base/file.h"
#include "judge_reading.h"
#include "log/valid.h"
#include "scratch.h"

#define LOGGED "tests/fixtures/logged/"

/* --- a folder ------------------------------------------------------------------------------- */

typedef struct Room {
    char folder[SCRATCH_LENGTH];
    Arena arena;
    Messages messages;
} Room;

static inline int room_open(void **state)
{
    Room *room = memory_new(1, sizeof *room);
    scratch_folder(room->folder);
    *state = room;
    return 0;
}

static inline int room_close(void **state)
{
    Room *room = *state;
    scratch_clear(room->folder);
    arena_free(&room->arena);
    messages_free(&room->messages);
    free(room);
    return 0;
}

static inline const char *room_path(Room *room, const char *name)
{
    return arena_printf(&room->arena, "%s/%s", room->folder, name);
}

static inline void put_bytes(const char *path, const char *bytes, size_t length)
{
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, length, file), length);
    assert_int_equal(fclose(file), 0);
}

static inline char *get_bytes(Room *room, const char *path, size_t *length)
{
    char *bytes = NULL;
    assert_true(file_read(&room->arena, path, YAML_FILE_MOST, &room->messages, &bytes, length));
    return bytes;
}

/* The last message; "" if there is none. */
static inline const char *last_message(const Messages *messages)
{
    return messages->count > 0 ? messages->items[messages->count - 1].text : "";
}

static inline void assert_said(const Messages *messages, const char *part)
{
    for (size_t i = 0; i < messages->count; i++)
        if (strstr(messages->items[i].text, part))
            return;
    fail_msg("\"%s\" is not said; last: %s", part, last_message(messages));
}

/* --- records -------------------------------------------------------------------------------- */

static inline TextList list_of(Arena *arena, const char *one, const char *other)
{
    TextList list = {.items = ARENA_NEW(arena, const char *, 2)};
    if (one)
        list.items[list.count++] = one;
    if (other)
        list.items[list.count++] = other;
    return list;
}

static inline LogRecord record_sample(Arena *arena)
{
    return (LogRecord){
        .style = "FS-1",
        .alternative = "",
        .factory = "",
        .rule = "turn-radius",
        .place = "bend front.top.1",
        .verdict = VERDICT_FLAG,
        .class = CLASS_MAJOR,
        .spare = "-1 mm",
        .relative = -1.0 / 6,
        .lanes = list_of(arena, "flag 41", "flag 42"),
        .formula = "00",
        .values = list_of(arena, "radius: 5 mm", NULL),
        .bends = list_of(arena, "inward", "outward"),
        .decision = DECISION_PERMIT,
        .who = list_of(arena, "Ada", "Bo"),
        .when = "2026-02-28T17:05:00Z",
        .why = "one pair for the photograph",
        .until = "2026-03-31",
        .ask = "",
    };
}

/* --- a style judged -------------------------------------------------------------------------- */

/* Up to four changes of text, each {old, new}; NULL ends them. */
typedef const char *Change[2];

static inline const char *changed_text(Arena *arena, const char *text, const Change *changes)
{
    for (; changes && (*changes)[0]; changes++) {
        const char *at = strstr(text, (*changes)[0]);
        if (!at)
            fail_msg("the fixture has no %s", (*changes)[0]);
        text = arena_printf(arena, "%.*s%s%s", (int)(at - text), text, (*changes)[1],
                            at + strlen((*changes)[0]));
    }
    return text;
}

static inline const char *changed_file(Arena *arena, const char *path, const Change *changes)
{
    Messages messages = {0};
    char *bytes = NULL;
    size_t length;
    assert_true(file_read(arena, path, YAML_FILE_MOST, &messages, &bytes, &length));
    return changed_text(arena, bytes, changes);
}

/* The fixture with changes in the style and in the rules (NULL: none). */
static inline Judged *judged_as(const char *alternative, const char *factory, const Change *style,
                                const Change *rules)
{
    Judged *judged = memory_new(1, sizeof *judged);
    Arena *arena = &judged->arena;
    const char *text = changed_file(arena, LOGGED "ferry.yaml", style);
    const char *path = LOGGED "rules/base/rules.yaml";
    char temporary[SCRATCH_LENGTH];
    if (rules) {
        const char *changed = changed_file(arena, path, rules);
        scratch_write(temporary, changed, strlen(changed));
        path = temporary;
    }
    YamlFile *file =
        yaml_read_bytes(arena, "ferry.yaml", text, strlen(text), false, &judged->messages);
    judged->style = file ? style_from_tree(file, alternative, NULL, 0, &judged->messages) : NULL;
    judged->factory = factory ? factory_read(factory, &judged->messages) : NULL;
    judged->rules = rules_read(&path, 1, judged->factory, &judged->messages);
    if (rules)
        unlink(temporary);
    if (!judged->style || !judged->rules) {
        messages_write(&judged->messages, stderr);
        fail_msg("the fixtures cannot be read");
    }
    judged->judgement = judge(judged->style, judged->rules, judged->factory);
    return judged;
}

static inline void judged_end(Judged *judged)
{
    judged_free(judged);
    free(judged);
}

/* A decision by two about a finding as it stands. */
static inline LogRecord decided_now(Arena *arena, const Judged *judged, const Finding *finding,
                                    Decision decision)
{
    LogRecord record = record_sample(arena);
    record.decision = decision;
    logged_take(arena, &record, judged->judgement, finding);
    return record;
}

#endif

/* What is written, read again by another program. For the tests of src/report. */
#ifndef CORDWAIN_TESTS_REPORT_KIT_H
#define CORDWAIN_TESTS_REPORT_KIT_H

#include "log_kit.h"
#include "report/told.h"

/* What tests/reread.py says of `text`; `more` are further arguments. It must succeed. */
static inline const char *reread(Arena *arena, const char *form, const Text *text, const char *more)
{
    char path[SCRATCH_LENGTH], command[1024];
    scratch_write(path, text_string(text), text->length);
    int length =
        snprintf(command, sizeof command, "python3 tests/reread.py %s %s %s", form, path, more);
    assert_in_range(length, 1, sizeof command - 1);
    FILE *pipe = popen(command, "r");
    assert_non_null(pipe);
    Text said = {0};
    char buffer[4096];
    for (size_t got; (got = fread(buffer, 1, sizeof buffer, pipe)) > 0;)
        text_add_bytes(&said, buffer, got);
    assert_int_equal(pclose(pipe), 0);
    unlink(path);
    const char *kept = arena_copy(arena, text_string(&said), said.length);
    text_free(&said);
    return kept;
}

/* A judged style with decisions, as the forms take it. */
typedef struct Shown {
    Arena arena;
    Judged *judged;
    Log log;
    Decisions *decisions;
    Told told;
} Shown;

/* The fixture with changes; `records` (their texts live long enough) are its log. */
static inline void shown_start(Shown *shown, Judged *judged, const LogRecord *records, size_t count)
{
    shown->judged = judged;
    shown->log = (Log){.exists = true, .code = "FS-1", .records = records, .count = count};
    shown->decisions =
        decisions_find(judged->judgement, count > 0 ? &shown->log : NULL, (Date){2026, 3, 15});
    shown->told = (Told){.decisions = shown->decisions};
}

static inline void shown_end(Shown *shown)
{
    decisions_free(shown->decisions);
    judged_end(shown->judged);
    arena_free(&shown->arena);
}

#endif

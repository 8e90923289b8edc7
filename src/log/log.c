/* The decision log read and its sums checked. For src/review, src/report and src/cli. */
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/file.h"
#include "log/log_inside.h"

/* --- names ------------------------------------------------------------------------------ */

static const char ending[] = ".log.yaml";

static bool ends_with(const char *path, const char *end)
{
    size_t length = strlen(path), part = strlen(end);
    return length > part && strcmp(path + length - part, end) == 0;
}

bool log_is_name(const char *path)
{
    return ends_with(path, ending);
}

const char *log_path(Arena *arena, const char *style)
{
    if (strcmp(style, "-") == 0)
        return NULL;
    size_t length = strlen(style);
    if (ends_with(style, ".yaml"))
        length -= strlen(".yaml");
    return arena_printf(arena, "%.*s%s", (int)length, style, ending);
}

/* --- the head ----------------------------------------------------------------------------- */

const char *log_head(Arena *arena, const char *code)
{
    Text text = {0};
    text_add(&text, "cordwain: log/1\ncode: ");
    logged_write_text(&text, code);
    text_add(&text, "\ndecisions:\n");
    const char *head = arena_copy(arena, text.bytes, text.length);
    text_free(&text);
    return head;
}

static Where where_of(const LogText *log, size_t byte)
{
    Where at = {log->path, 1, 1};
    for (size_t i = 0; i < byte; i++) {
        bool newline = log->bytes[i] == '\n';
        at.line += newline;
        at.column = newline ? 1 : at.column + ((log->bytes[i] & 0xC0) != 0x80);
    }
    return at;
}

/* Says that what stands from `at` on is not `expected`, and where it begins to differ. */
static bool as_written(const LogText *log, size_t at, const char *expected, size_t length,
                       Messages *messages)
{
    size_t same = 0;
    while (same < length && at + same < log->whole && log->bytes[at + same] == expected[same])
        same++;
    if (same == length)
        return true;
    message_error(messages, where_of(log, at + same),
                  "this is not as a decision log is written: it was changed from outside");
    return false;
}

/* --- records ------------------------------------------------------------------------------ */

static bool check_keys(const YamlNode *root, ReadContext *context)
{
    static const char *const known[] = {"cordwain", "code", "decisions"};
    bool right = true;
    for (size_t i = 0; i < root->count; i++) {
        size_t k = 0;
        while (k < 3 && strcmp(known[k], root->keys[i]->text) != 0)
            k++;
        if (k == 3)
            key_unknown(context, root->keys[i], known, 3);
        right = right && k < 3;
    }
    for (size_t k = 1; k < 3; k++)
        if (yaml_get(root, known[k]) == NULL) {
            message_error(context->messages, yaml_where(root), "a log needs `%s`", known[k]);
            right = false;
        }
    return right;
}

static bool read_record(LogText *log, const YamlNode *node, LogRecord *record, const YamlNode **sum,
                        Messages *messages)
{
    if (!logged_read(log->arena, node, record, sum, messages))
        return false;
    if (*sum == NULL || (*sum)->kind != YAML_SCALAR) {
        message_error(messages, yaml_where(node), "a decision needs `sum`: 64 hexadecimal digits");
        return false;
    }
    if (strcmp(record->style, log->code) == 0)
        return true;
    message_error(messages, yaml_where(node),
                  "this decision is about the style %s; the log is of %s",
                  quoted(record->style).text, quoted(log->code).text);
    return false;
}

/* The line at `*at` must be the record, and its sum that over the one before and itself. */
static bool check_line(LogText *log, const LogRecord *record, const YamlNode *sum, size_t *at,
                       Messages *messages)
{
    Text line = {0};
    logged_write(&line, record);
    Sum due = log_next_sum(log, line.bytes, line.length);
    bool right = strcmp(sum->text, due.hex) == 0;
    if (!right)
        message_error(messages, yaml_where(sum),
                      "the sum does not go with this line and those before it: one of them was "
                      "changed after it was written");
    text_addf(&line, ", sum: %s}\n", sum->text);
    right = right && as_written(log, *at, line.bytes, line.length, messages);
    *at += line.length;
    log->last = due;
    log->count++;
    text_free(&line);
    return right;
}

static bool read_records(LogText *log, const YamlNode *list, Messages *messages)
{
    size_t count = list->kind == YAML_SEQUENCE ? list->count : 0, read = 0;
    LogRecord *records = ARENA_NEW(log->arena, LogRecord, count);
    const YamlNode **sums = ARENA_NEW(log->arena, const YamlNode *, count);
    if (list->kind != YAML_SEQUENCE && !(list->kind == YAML_SCALAR && list->length == 0)) {
        message_error(messages, yaml_where(list), "decisions must be a list, one a line");
        return false;
    }
    for (size_t i = 0; i < count && !messages_full(messages, log->path); i++)
        read += read_record(log, list->items[i], &records[i], &sums[i], messages);
    if (read < count)
        return false;
    size_t at = strlen(log->head);
    log->records = records;
    for (size_t i = 0; i < count; i++)
        if (!check_line(log, &records[i], sums[i], &at, messages))
            return false;
    if (at == log->whole)
        return true;
    message_error(messages, where_of(log, at), "this line is no decision");
    return false;
}

Sum log_next_sum(const LogText *log, const char *line, size_t length)
{
    const char *before = log->count > 0 ? log->last.hex : log->head;
    return sum_of(before, strlen(before), line, length);
}

bool log_take_text(LogText *log, Messages *messages)
{
    YamlFile *file =
        yaml_read_bytes(log->arena, log->path, log->bytes, log->whole, false, messages);
    ReadContext context = {.arena = log->arena, .messages = messages};
    if (file == NULL || !file_head(&context, file, "log") || !check_keys(file->root, &context))
        return false;
    const YamlNode *code = yaml_get(file->root, "code");
    if (!scalar_check(&context, code, "code", "the style's code"))
        return false;
    log->code = code->text;
    log->head = log_head(log->arena, code->text);
    return as_written(log, 0, log->head, strlen(log->head), messages) &&
           read_records(log, yaml_get(file->root, "decisions"), messages);
}

/* --- files -------------------------------------------------------------------------------- */

void log_cut_torn(LogText *log, const char *what, Messages *messages)
{
    log->whole = log->length;
    while (log->whole > 0 && log->bytes[log->whole - 1] != '\n')
        log->whole--;
    if (log->whole < log->length)
        message_notice(messages, where_of(log, log->whole),
                       "the last line was torn while it was written; it %s", what);
}

bool log_exists(const char *path)
{
    struct stat info;
    return stat(path, &info) == 0 || errno != ENOENT;
}

void log_keep(Log *log, const LogText *text)
{
    log->exists = true;
    log->code = text->code;
    log->records = text->records;
    log->count = text->count;
}

Log *log_read(const char *path, Messages *messages)
{
    Log *log = memory_new(1, sizeof *log);
    log->path = arena_copy(&log->arena, path, strlen(path));
    log->code = "";
    if (!log_exists(path))
        return log;
    LogText text = {.arena = &log->arena, .path = log->path};
    char *bytes;
    if (file_read(&log->arena, log->path, YAML_FILE_MOST, messages, &bytes, &text.length)) {
        text.bytes = bytes;
        log_cut_torn(&text, "does not count", messages);
        if (log_take_text(&text, messages)) {
            log_keep(log, &text);
            return log;
        }
    }
    log_free(log);
    return NULL;
}

void log_free(Log *log)
{
    if (log == NULL)
        return;
    arena_free(&log->arena);
    free(log);
}

/* Which files a judgement rests on. For the report and for src/cli. */
#include "report/inputs.h"

#include <string.h>
#include <sys/stat.h>

#include "base/file.h"
#include "log/sum.h"

typedef struct InputList {
    Arena *arena;
    Input *items;
    size_t count, capacity;
} InputList;

const char *input_role_name(InputRole role)
{
    static const char *const names[INPUT_ROLE_COUNT] = {[INPUT_STYLE] = "style",
                                                        [INPUT_DRAWING] = "drawing",
                                                        [INPUT_FACTORY] = "factory",
                                                        [INPUT_LOG] = "decision log",
                                                        [INPUT_RULES] = "rule file"};
    return names[role];
}

static void add(InputList *list, InputRole role, const char *path, const char *bytes, size_t length)
{
    Input *input = ARENA_PUSH(list->arena, list->items, list->count, list->capacity);
    *input = (Input){.role = role, .path = arena_copy(list->arena, path, strlen(path))};
    if (bytes == NULL)
        return;
    Sum sum = sum_of("", 0, bytes, length);
    input->sum = arena_copy(list->arena, sum.hex, SUM_DIGITS);
}

static void add_file(InputList *list, InputRole role, const YamlFile *file)
{
    add(list, role, file->path, file->bytes, file->length);
}

/* What is not kept in memory is read again. */
static void add_again(InputList *list, InputRole role, const char *path)
{
    Arena arena = {0};
    Messages ignored = {0};
    char *bytes = NULL;
    size_t length = 0;
    bool read = file_read(&arena, path, YAML_FILE_MOST, &ignored, &bytes, &length);
    add(list, role, path, read ? bytes : NULL, length);
    messages_free(&ignored);
    arena_free(&arena);
}

static void add_drawing(InputList *list, const Style *style, const YamlNode *name)
{
    if (name->kind != YAML_SCALAR || yaml_is_word(name, "unknown"))
        return;
    const char *slash = strrchr(style->file->path, '/');
    int folder = slash != NULL ? (int)(slash - style->file->path) + 1 : 0;
    add_again(list, INPUT_DRAWING,
              arena_printf(list->arena, "%.*s%s", folder, style->file->path, name->text));
}

static void add_drawings(InputList *list, const Style *style)
{
    const YamlNode *node = yaml_get(style->tree, "drawing");
    if (node == NULL)
        return;
    if (node->kind != YAML_SEQUENCE) {
        add_drawing(list, style, node);
        return;
    }
    for (size_t i = 0; i < node->count; i++)
        add_drawing(list, style, node->items[i]);
}

Inputs inputs_of(Arena *arena, const Judgement *judgement, const Log *log)
{
    InputList list = {.arena = arena};
    add_file(&list, INPUT_STYLE, judgement->style->file);
    add_drawings(&list, judgement->style);
    if (judgement->factory != NULL)
        add_file(&list, INPUT_FACTORY, judgement->factory->file);
    if (log != NULL && log->exists)
        add_again(&list, INPUT_LOG, log->path);
    for (size_t i = 0; i < judgement->rules->file_count; i++)
        add_file(&list, INPUT_RULES, judgement->rules->files[i]);
    return (Inputs){list.items, list.count};
}

const char *inputs_rules_sum(Arena *arena, const Inputs *inputs)
{
    Text lines = {0};
    for (size_t i = 0; i < inputs->count; i++)
        if (inputs->items[i].role == INPUT_RULES)
            text_addf(&lines, "%s  %s\n", inputs->items[i].sum, inputs->items[i].path);
    Sum sum = sum_of("", 0, text_string(&lines), lines.length);
    const char *copy = lines.length > 0 ? arena_copy(arena, sum.hex, SUM_DIGITS) : NULL;
    text_free(&lines);
    return copy;
}

const Input *inputs_same_file(const Inputs *inputs, const char *path)
{
    struct stat wanted, other;
    if (stat(path, &wanted) != 0)
        return NULL;
    for (size_t i = 0; i < inputs->count; i++) {
        const Input *input = &inputs->items[i];
        if (strcmp(input->path, "-") != 0 && stat(input->path, &other) == 0 &&
            wanted.st_dev == other.st_dev && wanted.st_ino == other.st_ino)
            return input;
    }
    return NULL;
}

/* What the tests of src/style share: a fixture's bytes and styles from bytes. */
#ifndef CORDWAIN_TESTS_STYLE_SUPPORT_H
#define CORDWAIN_TESTS_STYLE_SUPPORT_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "base/file.h"
#include "style/style.h"

/* A style under test with what it came from. */
typedef struct Tried {
    Arena arena;
    Messages messages;
    YamlFile *file;
    Style *style;
} Tried;

static inline Tried try_style(const char *yaml, const char *alternative)
{
    Tried tried = {0};
    tried.file =
        yaml_read_bytes(&tried.arena, "t.yaml", yaml, strlen(yaml), false, &tried.messages);
    if (tried.file)
        tried.style = style_from_tree(tried.file, alternative, NULL, 0, &tried.messages);
    return tried;
}

static inline void tried_free(Tried *tried)
{
    style_free(tried->style);
    messages_free(&tried->messages);
    arena_free(&tried->arena);
}

static inline bool has_error(const Messages *messages, int line, const char *words)
{
    for (size_t i = 0; i < messages->count; i++)
        if (messages->items[i].level == MESSAGE_ERROR && messages->items[i].at.line == line &&
            strstr(messages->items[i].text, words))
            return true;
    return false;
}

#endif

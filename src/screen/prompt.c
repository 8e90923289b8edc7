/* A question answered in the line at the bottom: typing, and the reason when the answer
 * will not do. For the pages. */
#include <string.h>

#include "base/utf8.h"
#include "screen/view_inside.h"

/* ---- Characters of a text ---- */

static size_t before(const Text *text, size_t at)
{
    if (at == 0)
        return 0;
    at--;
    while (at > 0 && ((unsigned char)text->bytes[at] & 0xc0) == 0x80)
        at--;
    return at;
}

static size_t after(const Text *text, size_t at)
{
    if (at >= text->length)
        return text->length;
    at++;
    while (at < text->length && ((unsigned char)text->bytes[at] & 0xc0) == 0x80)
        at++;
    return at;
}

static void cut(Text *text, size_t from, size_t to)
{
    if (from >= to)
        return;
    memmove(text->bytes + from, text->bytes + to, text->length - to + 1);
    text->length -= to - from;
}

static size_t encode(char bytes[4], uint32_t code)
{
    if (code < 0x80) {
        bytes[0] = (char)code;
        return 1;
    }
    size_t length = code < 0x800 ? 2 : code < 0x10000 ? 3 : 4;
    static const unsigned lead[] = {0, 0, 0xc0, 0xe0, 0xf0};
    for (size_t i = length; i-- > 1; code >>= 6)
        bytes[i] = (char)(0x80 | (code & 0x3f));
    bytes[0] = (char)(lead[length] | code);
    return length;
}

static void insert(Prompt *prompt, int key)
{
    enum { TYPED_MOST = 4000 };
    uint32_t code = (uint32_t)key;
    if (code < 0x20 || code >= 0x110000 || codepoint_is_hidden(code) ||
        prompt->text.length > TYPED_MOST)
        return;
    if (prompt->fresh) {
        text_clear(&prompt->text);
        prompt->at = 0;
    }
    char bytes[4];
    size_t length = encode(bytes, code), tail = prompt->text.length - prompt->at;
    text_add_bytes(&prompt->text, bytes, length);
    char *at = prompt->text.bytes + prompt->at;
    memmove(at + length, at, tail);
    memcpy(at, bytes, length);
    prompt->at += length;
}

static size_t word_before(const Text *text, size_t at)
{
    while (at > 0 && text->bytes[at - 1] == ' ')
        at--;
    while (at > 0 && text->bytes[at - 1] != ' ')
        at--;
    return at;
}

/* ---- The question ---- */

void prompt_open(View *view, const char *label, const char *text,
                 bool (*done)(View *view, const char *text))
{
    Prompt *prompt = &view->prompt;
    prompt->active = true;
    prompt->fresh = text[0] != '\0';
    prompt->label = label;
    prompt->done = done;
    text_clear(&prompt->text);
    text_clear(&prompt->hint);
    text_clear(&prompt->problem);
    text_add(&prompt->text, text);
    prompt->at = prompt->text.length;
}

/* What the answer leads to may ask the next question at once. */
static void answer(View *view)
{
    Prompt *prompt = &view->prompt;
    const char *typed = text_string(&prompt->text);
    Text kept = {0};
    text_add(&kept, typed);
    text_clear(&prompt->problem);
    prompt->active = false;
    if (!prompt->done(view, text_string(&kept))) {
        prompt->active = true;
        prompt->fresh = false;
    }
    text_free(&kept);
}

static void edit(Prompt *prompt, int key)
{
    Text *text = &prompt->text;
    size_t from = prompt->at;
    switch (key) {
    case K_LEFT:
    case K_CTRL('B'):
        prompt->at = before(text, from);
        return;
    case K_RIGHT:
    case K_CTRL('F'):
        prompt->at = after(text, from);
        return;
    case K_HOME:
    case K_CTRL('A'):
        prompt->at = 0;
        return;
    case K_END:
    case K_CTRL('E'):
        prompt->at = text->length;
        return;
    case K_BACKSPACE:
    case 8:
        prompt->at = before(text, from);
        cut(text, prompt->at, from);
        return;
    case K_DELETE:
    case K_CTRL('D'):
        cut(text, from, after(text, from));
        return;
    case K_CTRL('W'):
        prompt->at = word_before(text, from);
        cut(text, prompt->at, from);
        return;
    case K_CTRL('U'):
        cut(text, 0, from);
        prompt->at = 0;
        return;
    case K_CTRL('K'):
        cut(text, from, text->length);
        return;
    default:
        insert(prompt, key);
    }
}

void prompt_key(View *view, int key)
{
    Prompt *prompt = &view->prompt;
    if (key == K_ENTER || key == '\n') {
        answer(view);
    } else if (key == K_ESCAPE || key == K_CTRL('C')) {
        prompt->active = false;
        view_say(view, "nothing was changed");
    } else {
        text_clear(&prompt->problem);
        edit(prompt, key);
        prompt->fresh = false;
    }
}

void prompt_draw(View *view, Cells *cells)
{
    const Prompt *prompt = &view->prompt;
    int y = cells->rows - 2, width = cells->columns;
    bool wrong = prompt->problem.length > 0;
    const char *above = text_string(wrong ? &prompt->problem : &prompt->hint);
    Text lines = {0};
    text_add_wrapped(&lines, above, width - 4, 0);
    int count = 1;
    for (size_t i = 0; i < lines.length; i++)
        count += lines.bytes[i] == '\n' && i + 1 < lines.length;
    count = count > 3 ? 3 : count;
    const char *line = text_string(&lines);
    for (int i = 0; i < count; i++) {
        cells_fill(cells, y - count + i, 0, width, LOOK_PLAIN, "");
        cells_put(cells, y - count + i, 1, 2, LOOK_TROUBLE, wrong && i == 0 ? "!" : " ");
        cells_put(cells, y - count + i, 3, width - 3, wrong ? LOOK_TROUBLE : LOOK_QUIET, line);
        const char *end = strchr(line, '\n');
        line = end != NULL ? end + 1 : "";
    }
    text_free(&lines);
    cells_fill(cells, y, 0, width, LOOK_PLAIN, "");
    int x = 1 + cells_put(cells, y, 1, width / 2, LOOK_HEADING, prompt->label) + 1;
    /* What stands before the cursor, so much of it as leaves the cursor in sight. */
    Text head = {0};
    text_add_bytes(&head, text_string(&prompt->text), prompt->at);
    const char *from = text_string(&head);
    while (cells_width(cells, from) > width - x - 2) {
        const char *next = from + 1;
        while (((unsigned char)*next & 0xc0) == 0x80)
            next++;
        from = next;
    }
    size_t skipped = (size_t)(from - text_string(&head));
    cells_put(cells, y, x, width - x, prompt->fresh ? LOOK_CHOSEN : LOOK_PLAIN,
              text_string(&prompt->text) + skipped);
    cells->cursor_y = y;
    cells->cursor_x = x + cells_width(cells, from);
    text_free(&head);
    cells_fill(cells, cells->rows - 1, 0, width - 1, LOOK_TITLE,
               prompt->fresh ? " Type to replace it  Left or Right to edit it  Enter takes it  Esc leaves it"
                             : " Enter takes it  Esc leaves it as it was  Ctrl-U empties the line");
}

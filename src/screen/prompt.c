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

/* Above the answer: what is accepted, or what is wrong with it. */
static void draw_above(const Prompt *prompt, Cells *cells, int y)
{
    bool wrong = prompt->problem.length > 0;
    Look look = wrong ? LOOK_TROUBLE : LOOK_QUIET;
    Text lines = {0};
    text_add_wrapped(&lines, text_string(wrong ? &prompt->problem : &prompt->hint),
                     cells->columns - 4, 0);
    int count = larger(1, smaller(text_lines(&lines), 3));
    for (int i = 0; i < count; i++)
        cells_fill(cells, y - count + i, 0, cells->columns, LOOK_PLAIN, "");
    cells_put(cells, y - count, 1, 2, look, wrong ? "!" : " ");
    text_draw_lines(cells, y - count, 3, count, cells->columns - 3, look, text_string(&lines));
    text_free(&lines);
}

/* So much of what stands before the cursor as leaves the cursor in sight. */
static const char *in_sight(const Cells *cells, const char *before, int room)
{
    while (cells_width(cells, before) > room) {
        before++;
        while (((unsigned char)*before & 0xc0) == 0x80)
            before++;
    }
    return before;
}

static void draw_answer(const Prompt *prompt, Cells *cells, int y)
{
    int width = cells->columns, mark = cells_width(cells, "…");
    Text before = {0};
    cells_fill(cells, y, 0, width, LOOK_PLAIN, "");
    int x = 1 + cells_put(cells, y, 1, width / 2, LOOK_HEADING, prompt->label) + 1;
    text_add_bytes(&before, text_string(&prompt->text), prompt->at);
    const char *from = in_sight(cells, text_string(&before), width - x - mark - 1);
    size_t skipped = (size_t)(from - text_string(&before));
    if (skipped > 0)
        x += cells_put(cells, y, x, mark, LOOK_QUIET, "…");
    cells_put(cells, y, x, width - x, prompt->fresh ? LOOK_CHOSEN : LOOK_PLAIN,
              text_string(&prompt->text) + skipped);
    cells->cursor_y = y;
    cells->cursor_x = x + cells_width(cells, from);
    text_free(&before);
}

void prompt_draw(View *view, Cells *cells)
{
    const Prompt *prompt = &view->prompt;
    int y = cells->rows - 2;
    draw_above(prompt, cells, y);
    draw_answer(prompt, cells, y);
    cells_fill(cells, cells->rows - 1, 0, cells->columns - 1, LOOK_TITLE,
               prompt->fresh
                   ? " Type to replace it  Left or Right to edit it  Enter takes it  Esc leaves it"
                   : " Enter takes it  Esc leaves it as it was  Ctrl-U empties the line");
}

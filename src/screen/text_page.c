/* A page of text that can be scrolled: explanations, lists of changes, longer messages.
 * For the pages. */
#include <string.h>

#include "base/utf8.h"
#include "screen/view_inside.h"

void text_page_open(View *view, const char *title,
                    void (*fill)(View *view, Text *text, int columns))
{
    if (view->page != PAGE_TEXT)
        view->page_text.before = view->page;
    view->page = PAGE_TEXT;
    view->page_text.title = title;
    view->page_text.fill = fill;
    view->page_text.top = 0;
}

void text_page_scroll(View *view, long lines)
{
    TextPage *page = &view->page_text;
    if (lines < 0 && page->top < (size_t)-lines)
        page->top = 0;
    else
        page->top += (size_t)lines; /* drawing keeps it within the text */
}

static size_t count_lines(const Text *text)
{
    size_t count = text->length > 0 && text->bytes[text->length - 1] != '\n';
    for (size_t i = 0; i < text->length; i++)
        count += text->bytes[i] == '\n';
    return count;
}

/* Lines that fit stay as they are; what follows a longer one is two further in. */
void text_wrap_lines(Text *out, const char *line, int width)
{
    while (*line != '\0') {
        size_t length = strcspn(line, "\n"), blanks = strspn(line, " ");
        Text one = {0};
        text_add_bytes(&one, line, length);
        if (utf8_cells(text_string(&one)) <= width)
            text_add(out, text_string(&one));
        else
            text_add_wrapped(out, text_string(&one), width, (int)blanks + 2);
        if (length == 0 || out->bytes[out->length - 1] != '\n')
            text_add(out, "\n");
        line += length + (line[length] == '\n');
        text_free(&one);
    }
}

void text_page_draw(View *view, Cells *cells)
{
    TextPage *page = &view->page_text;
    int width = cells->columns - 2, columns = width < 110 ? width : 110;
    size_t height = (size_t)(cells->rows - 4);
    Text text = {0}, more = {0};
    if (page->fill != NULL) {
        text_clear(&page->text);
        page->fill(view, &page->text, columns);
    }
    text_wrap_lines(&text, text_string(&page->text), columns);
    size_t lines = count_lines(&text), last = lines > height ? lines - height : 0;
    page->top = page->top < last ? page->top : last;
    cells_put(cells, 2, 1, width, LOOK_HEADING, page->title);
    if (lines > height)
        text_addf(&more, "lines %zu to %zu of %zu", page->top + 1, page->top + height, lines);
    cells_put_right(cells, 2, 1, width, LOOK_QUIET, text_string(&more));
    const char *line = text_string(&text);
    for (size_t i = 0; i < page->top; i++)
        line = strchr(line, '\n') + 1;
    for (size_t i = 0; i < height && *line != '\0'; i++) {
        cells_put(cells, 3 + (int)i, 1, width, LOOK_PLAIN, line);
        line += strcspn(line, "\n");
        line += *line == '\n';
    }
    view->page_rows = height;
    cells->cursor_y = 3;
    cells->cursor_x = 1;
    text_free(&text);
    text_free(&more);
}

static void fill_why(View *view, Text *text, int columns)
{
    const Finding *finding = view_finding(view);
    if (finding != NULL)
        explain_finding(text, review_judgement(view->review), finding, view_lane(view, finding),
                        columns);
}

void why_open(View *view)
{
    text_page_open(view, "Why", fill_why);
}

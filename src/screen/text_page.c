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
    view->page_text.top = view->page_text.shown = 0;
}

void text_page_scroll(View *view, long lines)
{
    TextPage *page = &view->page_text;
    if (lines < 0 && page->shown < (size_t)-lines)
        page->top = 0;
    else
        page->top = page->shown + (size_t)lines; /* drawing keeps it within the text */
    page->shown = page->top;
}

int text_lines(const Text *text)
{
    int count = text->length > 0 && text->bytes[text->length - 1] != '\n';
    for (size_t i = 0; i < text->length; i++)
        count += text->bytes[i] == '\n';
    return count;
}

int text_draw_lines(Cells *cells, int y, int x, int height, int width, Look look, const char *text)
{
    int drawn = 0;
    for (; drawn < height && *text != '\0'; drawn++) {
        cells_put(cells, y + drawn, x, width, look, text);
        text += strcspn(text, "\n");
        text += *text == '\n';
    }
    return drawn;
}

void message_draw(const View *view, Cells *cells)
{
    cells_put(cells, cells->rows - 2, 1, cells->columns - 2,
              view->trouble ? LOOK_TROUBLE : LOOK_PLAIN, text_string(&view->message));
}

/* Lines that fit stay as they are; what follows a longer one is two further in. */
void text_wrap_lines(Text *out, const char *line, int width)
{
    while (*line != '\0') {
        size_t length = strcspn(line, "\n"), blanks = strspn(line, " ");
        Text one = {0};
        text_add_bytes(&one, line, length);
        if (utf8_cells(text_string(&one)) <= width) {
            text_add(out, text_string(&one));
        } else {
            text_add_bytes(out, line, blanks);
            text_add_wrapped(out, text_string(&one) + blanks, width, (int)blanks + 2);
        }
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
    size_t lines = (size_t)text_lines(&text), last = lines > height ? lines - height : 0;
    page->shown = page->top < last ? page->top : last;
    cells_put(cells, 2, 1, width, LOOK_HEADING, page->title);
    if (lines > height)
        text_addf(&more, "lines %zu to %zu of %zu", page->shown + 1, page->shown + height, lines);
    cells_put_right(cells, 2, 1, width, LOOK_QUIET, text_string(&more));
    const char *line = text_string(&text);
    for (size_t i = 0; i < page->shown; i++)
        line = strchr(line, '\n') + 1;
    text_draw_lines(cells, 3, 1, (int)height, width, LOOK_PLAIN, line);
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

bool why_shown(const View *view)
{
    return view->page == PAGE_TEXT && view->page_text.fill == fill_why;
}

void why_open(View *view)
{
    text_page_open(view, "Why", fill_why);
}

/* The review of findings: a list by part, and the explanation of the chosen one.
 * State and keys first, drawing after; curses itself stays in terminal.c but for
 * reading keys and sizes. */
#include "screen/screen.h"

#include <curses.h>
#include <stdlib.h>
#include <string.h>

#include "screen/list.h"
#include "screen/terminal.h"

enum { LEAST_ROWS = 16, LEAST_COLUMNS = 60, WIDE_COLUMNS = 110, LIST_COLUMNS = 52 };

typedef struct View {
    const Judgement *judgement;
    List list;
    bool all, help, reading; /* reading: keys move the explanation, not the list */
    size_t row, top;         /* chosen row of the list; first row shown */
    Text explanation;        /* of the chosen finding, for the present width */
    size_t line_top;         /* first line of the explanation shown */
    const Finding *explained;
    int explained_columns;
} View;

/* Where the panes stand for a terminal of this size: side by side when wide,
 * else one above the other. */
typedef struct Panes {
    int list_y, list_x, list_rows, list_columns;
    int text_y, text_x, text_rows, text_columns;
    bool wide;
} Panes;

static Panes panes_of(int rows, int columns)
{
    Panes p = {.list_y = 2, .wide = columns >= WIDE_COLUMNS};
    int inner = rows - 3;
    if (p.wide) {
        p.list_rows = p.text_rows = inner;
        p.list_columns = columns * 2 / 5 > LIST_COLUMNS ? columns * 2 / 5 : LIST_COLUMNS;
        p.text_y = 2;
        p.text_x = p.list_columns + 3;
        p.text_columns = columns - p.text_x - 1;
    } else {
        p.list_rows = inner * 2 / 5;
        p.list_columns = columns;
        p.text_y = p.list_y + p.list_rows + 1;
        p.text_x = 1;
        p.text_rows = inner - p.list_rows - 1;
        p.text_columns = columns - 2;
    }
    return p;
}

static const Finding *chosen(const View *view)
{
    return view->row < view->list.count ? view->list.rows[view->row].finding : NULL;
}

static void set_all(View *view, bool all)
{
    const Finding *kept = chosen(view);
    view->all = all;
    list_build(&view->list, view->judgement, all);
    view->row = list_row(&view->list, kept);
    view->top = 0;
}

static void explain(View *view, int columns)
{
    const Finding *finding = chosen(view);
    if (finding == view->explained && columns == view->explained_columns)
        return;
    text_clear(&view->explanation);
    if (finding != NULL)
        explain_finding(&view->explanation, view->judgement, finding,
                        finding_worst_lane(view->judgement, finding), columns);
    else
        text_add(&view->explanation, "Nothing is open here. Press a to see what passes and what is "
                                     "out, q to leave.");
    if (finding != view->explained)
        view->line_top = 0;
    view->explained = finding;
    view->explained_columns = columns;
}

static Look look_of(Verdict verdict)
{
    switch (verdict) {
    case VERDICT_FLAG:
        return LOOK_FLAG;
    case VERDICT_UNKNOWN:
        return LOOK_UNKNOWN;
    case VERDICT_TIGHT:
        return LOOK_TIGHT;
    default:
        return LOOK_QUIET;
    }
}

static void draw_title(const View *view, int columns)
{
    const Judgement *judgement = view->judgement;
    Text line = {0};
    text_add(&line, " ");
    text_add_visible(&line, judgement->style->name, strlen(judgement->style->name));
    const char *alternative = judgement->style->alternative;
    text_add(&line, alternative != NULL ? " | " : " | as written");
    if (alternative != NULL)
        text_add_visible(&line, alternative, strlen(alternative));
    const char *factory = judgement->factory != NULL ? judgement->factory->name : "no factory named";
    text_add(&line, " | ");
    text_add_visible(&line, factory, strlen(factory));
    terminal_write(0, 0, columns, LOOK_TITLE, text_string(&line));
    text_free(&line);
}

static void draw_tally(const View *view, int columns)
{
    static const Verdict order[] = {VERDICT_FLAG, VERDICT_UNKNOWN, VERDICT_TIGHT,
                                    VERDICT_PASS, VERDICT_OUT,     VERDICT_OFF};
    Text line = {0};
    for (size_t i = 0; i < sizeof order / sizeof *order; i++)
        text_addf(&line, " %zu %s%s", view->judgement->tally[order[i]], verdict_name(order[i]),
                  i + 1 < sizeof order / sizeof *order ? "," : "");
    if (view->list.findings > 0)
        text_addf(&line, "  (%zu of %zu)", list_ordinal(&view->list, view->row) + 1,
                  view->list.findings);
    terminal_write(1, 0, columns, LOOK_PLAIN, text_string(&line));
    text_free(&line);
}

/* The place without its subject, which the heading and the title make plain. */
static void add_place_and_title(Text *line, const Finding *finding)
{
    const char *blank = strchr(finding->place, ' ');
    const char *place = blank != NULL ? blank + 1 : finding->place, *title = finding->rule->title;
    text_add_visible(line, place, strlen(place));
    text_add(line, "  ");
    text_add_visible(line, title, strlen(title));
}

static void draw_row(const View *view, const Panes *p, size_t index, int y)
{
    const ListRow *row = &view->list.rows[index];
    Text line = {0};
    Look look = LOOK_HEADING;
    if (row->finding == NULL) {
        text_add(&line, " ");
        text_add_visible(&line, row->heading, strlen(row->heading));
    } else {
        look = index == view->row ? LOOK_CHOSEN : look_of(row->finding->verdict);
        text_addf(&line, "  %c %-7s ", verdict_sign(row->finding->verdict),
                  verdict_name(row->finding->verdict));
        add_place_and_title(&line, row->finding);
    }
    terminal_write(y, p->list_x, p->list_columns, look, text_string(&line));
    text_free(&line);
}

static void draw_list(View *view, const Panes *p)
{
    size_t height = (size_t)p->list_rows;
    if (view->row < view->top)
        view->top = view->row;
    if (view->row >= view->top + height)
        view->top = view->row - height + 1;
    if (view->top > 0 && view->top == view->row && view->list.rows[view->row - 1].finding == NULL)
        view->top--; /* the heading stays with its first finding */
    for (size_t i = 0; i < height; i++) {
        size_t index = view->top + i;
        if (index < view->list.count)
            draw_row(view, p, index, p->list_y + (int)i);
    }
}

/* The n-th line of a text, up to its end; NULL past the last. */
static const char *line_at(const char *text, size_t n)
{
    for (; n > 0; n--) {
        text = strchr(text, '\n');
        if (text == NULL)
            return NULL;
        text++;
    }
    return *text != '\0' ? text : NULL;
}

static size_t line_count(const Text *text)
{
    size_t count = text->length > 0 && text->bytes[text->length - 1] != '\n';
    for (size_t i = 0; i < text->length; i++)
        count += text->bytes[i] == '\n';
    return count;
}

static void draw_explanation(View *view, const Panes *p)
{
    explain(view, p->text_columns);
    size_t lines = line_count(&view->explanation), height = (size_t)p->text_rows;
    size_t last_top = lines > height ? lines - height : 0;
    if (view->line_top > last_top)
        view->line_top = last_top;
    const char *line = line_at(text_string(&view->explanation), view->line_top);
    for (int i = 0; i < p->text_rows && line != NULL; i++) {
        terminal_write(p->text_y + i, p->text_x, p->text_columns, LOOK_PLAIN, line);
        const char *end = strchr(line, '\n');
        line = end != NULL && end[1] != '\0' ? end + 1 : NULL;
    }
    if (lines > height) {
        Text more = {0};
        text_addf(&more, " lines %zu to %zu of %zu ", view->line_top + 1,
                  view->line_top + height < lines ? view->line_top + height : lines, lines);
        int y = p->wide ? 1 : p->text_y - 1, width = (int)more.length;
        terminal_write(y, p->text_x + p->text_columns - width, width, LOOK_QUIET, more.bytes);
        text_free(&more);
    }
}

static void draw_help(int rows, int columns)
{
    static const char *const lines[] = {
        "Keys",
        "",
        "up, down, k, j        previous and next finding",
        "PgUp, PgDn            a page of findings",
        "Home, End, g, G       first and last finding",
        "Space, -              a page of the explanation down, up",
        "Tab, Enter            up and down move the explanation, or the list again",
        "a                     all findings, or only those to settle",
        "?                     this page",
        "q, Esc                one step back; from the list: leave",
        "",
        "!  flag     cannot be built as drawn, or fails",
        "?  unknown  a value is missing; never passes",
        "~  tight    passes, but may fail in tolerance",
        "+  pass     holds everywhere",
        "-  out      the rule does not apply",
        "x  off      switched off, with a reason"};
    for (size_t i = 0; i < sizeof lines / sizeof *lines && (int)i + 2 < rows - 1; i++)
        terminal_write((int)i + 2, 2, columns - 3, i == 0 ? LOOK_HEADING : LOOK_PLAIN, lines[i]);
}

static void draw_keys(const View *view, int rows, int columns)
{
    const char *keys = view->help ? " q back"
                       : view->reading
                           ? " up/down scroll  Tab to the list  q back  ? help"
                       : view->all
                           ? " up/down move  Space page  Tab read  a only open  ? help  q leave"
                           : " up/down move  Space page  Tab read  a all  ? help  q leave";
    terminal_write(rows - 1, 0, columns - 1, LOOK_TITLE, keys);
}

static void draw(View *view)
{
    int rows, columns;
    getmaxyx(stdscr, rows, columns);
    erase();
    if (rows < LEAST_ROWS || columns < LEAST_COLUMNS) {
        terminal_write(0, 0, columns, LOOK_PLAIN, "too small: 60x16 is needed; q leaves");
        refresh();
        return;
    }
    Panes p = panes_of(rows, columns);
    draw_title(view, columns);
    draw_tally(view, columns);
    if (view->help) {
        draw_help(rows, columns);
    } else {
        draw_list(view, &p);
        if (p.wide)
            terminal_column(2, p.list_columns + 1, p.list_rows);
        else
            terminal_line(p.text_y - 1, 0, columns);
        draw_explanation(view, &p);
    }
    draw_keys(view, rows, columns);
    /* The cursor is the focus: screen readers follow it. */
    if (view->reading || view->help)
        move(p.text_y, p.text_x);
    else
        move(p.list_y + (int)(view->row - view->top), p.list_x);
    refresh();
}

static void move_list(View *view, int direction, int times)
{
    for (int i = 0; i < times; i++)
        view->row = list_step(&view->list, view->row, direction);
}

static void scroll_text(View *view, int lines)
{
    if (lines < 0 && view->line_top < (size_t)-lines)
        view->line_top = 0;
    else
        view->line_top += (size_t)lines; /* drawing keeps it within the text */
}

static void go(View *view, int direction, int times)
{
    if (view->reading)
        scroll_text(view, direction * times);
    else
        move_list(view, direction, times);
}

/* One step back. False when there is nowhere left to go back to. */
static bool go_back(View *view)
{
    if (!view->help && !view->reading)
        return false;
    view->help ? (view->help = false) : (view->reading = false);
    return true;
}

/* False when the key leaves the screen. */
static bool take_key(View *view, int key)
{
    Panes p = panes_of(LINES, COLS);
    int whole = (int)view->list.count, page = p.text_rows - 1;
    switch (key) {
    case KEY_UP:
    case 'k':
        go(view, -1, 1);
        break;
    case KEY_DOWN:
    case 'j':
        go(view, 1, 1);
        break;
    case KEY_PPAGE:
        go(view, -1, view->reading ? page : p.list_rows);
        break;
    case KEY_NPAGE:
        go(view, 1, view->reading ? page : p.list_rows);
        break;
    case KEY_HOME:
    case 'g':
        go(view, -1, view->reading ? (int)view->explanation.length : whole);
        break;
    case KEY_END:
    case 'G':
        go(view, 1, view->reading ? (int)view->explanation.length : whole);
        break;
    case ' ':
        scroll_text(view, page);
        break;
    case '-':
        scroll_text(view, -page);
        break;
    case '\t':
    case '\n':
    case KEY_ENTER:
        view->reading = !view->reading;
        break;
    case 'a':
        set_all(view, !view->all);
        break;
    case '?':
        view->help = !view->help;
        break;
    case 'L' & 0x1f:
        clearok(stdscr, TRUE);
        break;
    case 'q':
    case 27:
        return go_back(view);
    default:
        break;
    }
    return true;
}

bool screen_run(const Judgement *judgement)
{
    if (!terminal_take())
        return false;
    bool large_enough = LINES >= LEAST_ROWS && COLS >= LEAST_COLUMNS;
    View view = {.judgement = judgement};
    list_build(&view.list, judgement, false);
    view.row = list_row(&view.list, NULL);
    timeout(500); /* so that a signal which asks to leave is seen soon */
    for (bool going = large_enough; going && !terminal_must_leave();) {
        draw(&view);
        int key;
        do
            key = getch();
        while (key == ERR && !terminal_must_leave());
        going = take_key(&view, key);
    }
    terminal_give_back();
    list_free(&view.list);
    text_free(&view.explanation);
    return large_enough;
}

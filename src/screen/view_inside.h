/* What the files of src/screen share; nobody else includes this. */
#ifndef CORDWAIN_SCREEN_VIEW_INSIDE_H
#define CORDWAIN_SCREEN_VIEW_INSIDE_H

#include <string.h>

#include "figure/figure.h"
#include "log/valid.h"
#include "making/making.h"
#include "remedy/line.h"
#include "screen/keys.h"
#include "screen/view.h"

typedef enum Page {
    PAGE_WALK,
    PAGE_LIST,
    PAGE_TEXT,
    PAGE_PICTURE,
    PAGE_HELP,
    PAGE_REMEDIES, /* what would clear the chosen finding */
    PAGE_LINE,     /* a proposed line over the drawn one */
    PAGE_WAYS,     /* the alternatives side by side */
    PAGE_ORDER     /* the making order */
} Page;

/* A finding in the order it is shown in: stops in making order. */
typedef struct Row {
    size_t stop;
    const Finding *finding;
} Row;

typedef enum FilterKind {
    FILTER_VERDICT,
    FILTER_CLASS,
    FILTER_PART,
    FILTER_RULE,
    FILTER_CAUSE,
    FILTER_GIVER,
    FILTER_STEP, /* what the last step made better or worse */
    FILTER_KINDS
} FilterKind;

typedef struct FilterStep {
    FilterKind kind;
    int value;  /* of a verdict, class or giver */
    char *name; /* of a part, rule or cause; owned */
} FilterStep;

/* What is shown: each step can be taken back. */
typedef struct Filter {
    bool everything; /* also what passes, is out or off */
    const Judgement *sifted; /* of which all remedies are worked out, for who gives */
    FilterStep *steps;
    size_t count, capacity;
} Filter;

/* A question at the bottom line. */
typedef struct Prompt {
    bool active;
    bool fresh;     /* the first letter replaces the text */
    const char *label;
    Text text;
    size_t at;      /* byte in the text before which the cursor stands */
    Text hint;      /* above it: what is accepted */
    Text problem;   /* instead of the hint */
    bool (*done)(View *view, const char *text); /* true: answered */
} Prompt;

typedef struct MenuItem {
    const char *name, *note; /* note may be NULL */
    bool present;            /* what holds now */
} MenuItem;

/* A list to choose from. */
typedef struct Menu {
    bool active;
    Arena arena;
    const char *title;
    MenuItem *items;
    size_t count, capacity, chosen, top;
    void (*done)(View *view, size_t item);
} Menu;

/* A page of text. */
typedef struct TextPage {
    const char *title;
    void (*fill)(View *view, Text *text, int columns); /* NULL: the text is kept */
    Text text;    /* lines; longer ones are wrapped when drawn */
    size_t top;   /* the first line, as far as the text allows */
    size_t shown; /* as last drawn */
    Page before;
} TextPage;

typedef struct Help {
    Text filter;
    size_t chosen;
    unsigned where; /* the keys that are shown */
    Page before;
} Help;

/* A list of which one line is chosen. */
typedef struct Scroll {
    size_t chosen;
    size_t top; /* the first line in sight, as last drawn */
} Scroll;

/* What would clear findings: of the judgement that is looked at. */
typedef struct Clearing {
    Arena arena;
    const Judgement *judgement;  /* that the remedies are of */
    Remedies *remedies;          /* NULL: none were asked for */
    RemedyGround ground;
    const RemedyList **lists;    /* by finding; NULL: not worked out yet */
    const Finding *wanted;       /* to be worked out next */
    const Finding *bounded;      /* whose frontier is worked out */
    const RemedyFrontier *frontier;
    Scroll rows;
    bool fresh;                  /* the page was opened anew: the best is to be chosen */
    bool plot;                   /* the frontier on the whole page */
    Page before;
    ProposedLine *line;          /* NULL: none, or `why` says why not */
    const RemedyChange *redraw;  /* that it is for */
    double radius;               /* that it has at least, mm */
    Text why;
    size_t line_top, line_at;    /* the first line of what is said of it; as last drawn */
} Clearing;

/* Alternatives side by side. */
typedef struct WaysPage {
    ReviewWays *ways;
    Arena arena;
    WayNumber *table;     /* the numbers of a pair, once all ways are worked out */
    const char **against; /* by way: how it differs from the present one */
    Scroll rows;
    size_t numbers_top;                    /* the first number, as far as there are so many */
    size_t numbers, numbers_at, numbers_in; /* all; the first and how many are in sight */
    Page before;
} WaysPage;

/* The making order, given or proposed. */
typedef struct OrderPage {
    Arena arena;
    MakingOrder given, proposal;
    bool proposed; /* that one is shown */
    Scroll rows;
    Page before;
} OrderPage;

struct View {
    ViewSetup setup;
    Arena arena;        /* what lives as long as the view */
    Review *review;
    Log *log;           /* NULL: standard input */
    Decisions *decisions;

    Row *rows;
    size_t row_count, row_capacity;
    size_t hidden;      /* open findings that the filter hides */
    size_t to_settle, settled;

    size_t stop;
    size_t row;         /* NO_ROW: nothing is shown at this stop */
    Text stop_name, rule, place; /* where we are, by name: kept through steps */
    Arena choosing;     /* of the choices */
    Choice *choices;
    size_t choice_count, choice;
    bool changing;      /* keys move among the choices */
    Text choice_path;
    int size, colourway; /* as Lane counts them; -1: the worst */
    size_t pane;        /* which of the pictures, then the numbers */
    bool no_braille;

    Page page;
    void (*works)(View *view); /* a piece of what is being worked out, as last drawn; NULL: none */
    Clearing clearing;
    WaysPage ways;
    OrderPage order;
    TextPage page_text;
    Help help;
    Prompt prompt;
    Menu menu;
    Filter filter;
    Text search;
    Text message;       /* lines, said until the next key */
    bool trouble;       /* the message says what went wrong */
    int tour;           /* which card, 0: none */
    bool small;         /* as last drawn: too small for anything but leaving */
    size_t page_rows;   /* of the list that moves, as last drawn */

    TextList who;       /* who is present; empty: not asked yet */
    LogRecord *record;  /* being taken; NULL: none */
    bool until_asked;   /* its end was asked for, and may be none */
    Arena recording;

    bool leaves, left, saving_to_edit; /* what comes after saving */
    WishKind wish;
    const char *wish_file;
    int wish_line;
};

#define NO_ROW ((size_t)-1)

static inline int smaller(int a, int b)
{
    return a < b ? a : b;
}

static inline int larger(int a, int b)
{
    return a > b ? a : b;
}

/* Text of files, safe for a terminal. */
static inline void add_visible(Text *text, const char *string)
{
    text_add_visible(text, string, strlen(string));
}

/* ---- view.c ---- */

const Finding *view_finding(const View *view);   /* NULL: none */
const Stop *view_stop(const View *view, size_t *count);
unsigned view_where(const View *view);
/* After each step of the review. */
void view_rebuild(View *view);
/* Goes to a row, or to a stop and its first row. */
void view_go_row(View *view, size_t row);
void view_go_stop(View *view, size_t stop);
bool view_must_settle(const Finding *finding);
bool view_is_settled(const View *view, const Finding *finding);
uint32_t view_lane(const View *view, const Finding *finding);
void view_say(View *view, const char *format, ...) __attribute__((format(printf, 2, 3)));
void view_trouble(View *view, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* Errors and notices, one a line, safe for a terminal. */
void view_messages(Text *text, const Messages *messages);
/* "skerry.yaml:61" of "styles/skerry.yaml:61:37". */
const char *short_where(Arena *arena, Where at);

/* ---- move.c ---- */

void move_up(View *view);
void move_down(View *view);
void move_page_up(View *view);
void move_page_down(View *view);
void move_first(View *view);
void move_last(View *view);
void move_stop_before(View *view);
void move_stop_after(View *view);
void move_next_unsettled(View *view);
void move_unsettled_before(View *view);
void move_other_pane(View *view);
void move_open(View *view);
void move_back(View *view);
void move_leave(View *view);
void move_to_list(View *view);
void move_everything(View *view);
void move_repaint(View *view);
void move_suspend(View *view);

/* ---- prompt.c, menu.c ---- */

void prompt_open(View *view, const char *label, const char *text,
                 bool (*done)(View *view, const char *text));
void prompt_key(View *view, int key);
void prompt_draw(View *view, Cells *cells);
/* Empties the menu; items are added, then it is shown. */
void menu_open(View *view, const char *title, void (*done)(View *view, size_t item));
void menu_add(View *view, const char *name, const char *note, bool present);
void menu_key(View *view, int key);
void menu_draw(View *view, Cells *cells);

/* ---- pages ---- */

void title_draw(const View *view, Cells *cells);
void walk_draw(View *view, Cells *cells);
void stops_draw_line(const View *view, Cells *cells, int y);
/* All stops, as many as there is room for. */
void stops_draw(const View *view, Cells *cells, int y, int x, int height, int width);
/* Rows of findings from `first` on: one a line. */
void finding_draw_row(const View *view, Cells *cells, int y, int x, int width, size_t row);
void findings_draw(View *view, Cells *cells, int y, int x, int height, int width);
/* What is known about the chosen finding; what may be changed. They return the rows used. */
int detail_draw(View *view, Cells *cells, int y, int x, int height, int width);
int choices_draw(View *view, Cells *cells, int y, int x, int height, int width);
/* How many rows the choices need at least. */
int choices_least(const View *view);
/* Pictures, and the numbers where they stand nowhere else. */
void pane_draw(View *view, Cells *cells, int y, int x, int height, int width, bool numbers);
void pane_next(View *view);
void pane_whole(View *view);
void pane_draw_page(View *view, Cells *cells);
/* With its title and notes; returns the rows used. */
int picture_draw(View *view, Cells *cells, int y, int x, int height, int width, int title_width,
                 const Figure *figure);
/* The heading gets `head_width` of the width. */
void numbers_draw(View *view, Cells *cells, int y, int x, int height, int width, int head_width);
void limits_open(View *view);
bool limits_can(const View *view);
void list_draw(View *view, Cells *cells);
/* Filled anew for every width by `fill`; NULL: with what is in view->page_text.text. */
void text_page_open(View *view, const char *title,
                    void (*fill)(View *view, Text *text, int columns));
/* The message, on the last line above the keys. */
void message_draw(const View *view, Cells *cells);
/* Each line wrapped. */
void text_wrap_lines(Text *out, const char *text, int width);
int text_lines(const Text *text);
/* At most `height` of its lines, one below the other; returns how many. */
int text_draw_lines(Cells *cells, int y, int x, int height, int width, Look look, const char *text);
void text_page_draw(View *view, Cells *cells);
void text_page_scroll(View *view, long lines);
void why_open(View *view);
bool why_shown(const View *view);
void help_open(View *view);
void help_key(View *view, int key);
void help_draw(View *view, Cells *cells);
void keys_draw(const View *view, Cells *cells);
void tour_open(View *view);
void tour_key(View *view, int key);
void tour_draw(const View *view, Cells *cells);
bool tour_runs(const View *view);

/* ---- clearing.c: what would clear a finding ---- */

/* Of a flag or a tight one; NULL: not worked out yet, and this is asked for. */
const RemedyList *clearing_of(View *view, const Finding *finding);
/* Asks for the remedies of all open findings; true once they are there. */
bool clearing_all(View *view);
/* NULL: none; `known` false: not worked out yet, and this is asked for. */
const RemedyFrontier *clearing_frontier(View *view, const Finding *finding, bool *known);
/* The remedies that are worked out; NULL: none are. */
Remedies *clearing_known(const View *view);
/* That which costs least: what it raises, whom it asks, how much it changes. NULL: none. */
const Remedy *clearing_best(const RemedyList *list);
/* "To clear (i): left of the edge 3 mm → 1.4 mm: pass; with 1.9 mm tight; …"; "" where there is
 * nothing to clear. `head` bytes of it name what it is. */
void clearing_say(Text *text, View *view, const Finding *finding, size_t *head);
/* "left of the edge", of a change as said beside the finding. */
void short_name(Text *text, const char *name, const Finding *finding);
void clearing_forget(View *view);

/* ---- remedies.c, line.c, ways.c, order.c: their pages ---- */

bool remedies_can(const View *view);
void remedies_open(View *view);
void remedies_try(View *view);
void remedies_draw(View *view, Cells *cells);
void remedies_plot(View *view);
bool remedies_can_plot(const View *view);
void remedies_move(View *view, bool down, size_t times);
void line_open(View *view, const RemedyChange *change);
void line_draw(View *view, Cells *cells);
void line_scroll(View *view, bool down, size_t times);
void line_rounder(View *view);
void line_sharper(View *view);
bool ways_can(const View *view);
void ways_open(View *view);
void ways_close(View *view);
void ways_draw(View *view, Cells *cells);
void ways_take(View *view);
void ways_move(View *view, bool down, size_t times);
void ways_numbers(View *view);
bool order_can(const View *view);
void order_open(View *view);
void order_draw(View *view, Cells *cells);
void order_take(View *view);
void order_other(View *view);
void order_move(View *view, bool down, size_t times);
/* `chosen` of `count` lines stays in sight of `height`. */
void scroll_move(Scroll *scroll, size_t count, bool down, size_t times);
void scroll_show(Scroll *scroll, size_t count, size_t height);
/* "1 to 12 of 30", against the right end; nothing where all are in sight. */
void scroll_draw(Cells *cells, int y, int x, int width, const Scroll *scroll, size_t count,
                 size_t height);
/* The page that another was opened from, which is not one that leads on to others itself. */
Page page_before(const View *view);

/* ---- search.c, filter.c ---- */

/* Whether the first `length` bytes of a word are in a text, whatever their capitals. */
bool text_holds(const char *text, const char *word, size_t length);
void search_open(View *view);
void search_next(View *view);
void search_before(View *view);
bool search_on(const View *view);
void filter_open(View *view);
void filter_back(View *view);
void filter_free(View *view);
bool filter_on(const View *view);
bool filter_shows(const View *view, const Finding *finding);
void filter_say(Text *text, const View *view);
/* Asks for the remedies that the filter goes by. */
void filter_ask(View *view);

/* ---- change.c, compared.c ---- */

void change_open(View *view);
void change_more(View *view);
void change_less(View *view);
void change_undo(View *view);
void change_redo(View *view);
void change_list(View *view);
bool change_any(const View *view);
/* Something may be changed here; a step was made. */
bool change_can(const View *view);
bool change_stepped(const View *view);
bool change_can_step(const View *view);
/* Says what the last step made of the findings. */
void compared_say(View *view, const char *what);
/* "3 newly flagged, 2 cleared" */
void compared_count(Text *text, const Comparison *comparison);
void compared_open(View *view);
bool compared_any(const View *view);

/* ---- other.c: size, colourway, alternative, factory ---- */

void other_open(View *view);
void other_size(View *view);
void other_colourway(View *view);
void other_alternative(View *view);
void other_factory(View *view);

/* ---- decide.c ---- */

void decide_open(View *view);
bool decide_can(const View *view);
void who_open(View *view);

/* ---- save.c ---- */

void save_open(View *view);
void save_then_leave(View *view);
void edit_open(View *view);

#endif

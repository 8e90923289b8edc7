/* What the files of src/screen share; nobody else includes this. */
#ifndef CORDWAIN_SCREEN_VIEW_INSIDE_H
#define CORDWAIN_SCREEN_VIEW_INSIDE_H

#include "log/valid.h"
#include "screen/keys.h"
#include "screen/view.h"

typedef enum Page { PAGE_WALK, PAGE_LIST, PAGE_TEXT, PAGE_PICTURE, PAGE_HELP } Page;

/* A finding in the order it is shown in: stops in making order. */
typedef struct Row {
    size_t stop;
    const Finding *finding;
} Row;

/* What is shown; texts are owned, NULL: any. */
typedef struct Filter {
    bool everything; /* also what passes, is out or off */
    int verdict, class, giver; /* -1: any */
    char *part, *rule;
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
    size_t top;
    Page before;
} TextPage;

typedef struct Help {
    Text filter;
    size_t chosen;
    unsigned where; /* the keys that are shown */
    Page before;
} Help;

struct View {
    ViewSetup setup;
    Arena arena;        /* what lives as long as the view */
    Review *review;
    Log *log;           /* NULL: standard input */
    Decisions *decisions;
    Measured *measured; /* for pictures; NULL: not asked for since the last step */
    HouseValues house;  /* what it was measured with */

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
    Arena recording;

    bool leaves, left, saving_to_edit; /* what comes after saving */
    WishKind wish;
    const char *wish_file;
    int wish_line;
};

#define NO_ROW ((size_t)-1)

/* ---- view.c ---- */

const Finding *view_finding(const View *view);   /* NULL: none */
const Stop *view_stop(const View *view, size_t *count);
unsigned view_where(const View *view);
/* Before and after each step of the review. */
void view_forget(View *view);
void view_rebuild(View *view);
/* Goes to a row, or to a stop and its first row. */
void view_go_row(View *view, size_t row);
void view_go_stop(View *view, size_t stop);
bool view_is_open(const Finding *finding);
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
/* What is known about the chosen finding, and what may be changed. Returns the rows used. */
int detail_draw(View *view, Cells *cells, int y, int x, int height, int width);
/* Pictures, and the numbers where they stand nowhere else. */
void pane_draw(View *view, Cells *cells, int y, int x, int height, int width, bool numbers);
void pane_next(View *view);
void pane_whole(View *view);
void pane_draw_page(View *view, Cells *cells);
void numbers_draw(View *view, Cells *cells, int y, int x, int height, int width);
void list_draw(View *view, Cells *cells);
/* Filled anew for every width by `fill`; NULL: with what is in view->page_text.text. */
void text_page_open(View *view, const char *title,
                    void (*fill)(View *view, Text *text, int columns));
/* Each line wrapped. */
void text_wrap_lines(Text *out, const char *text, int width);
void text_page_draw(View *view, Cells *cells);
void text_page_scroll(View *view, long lines);
void why_open(View *view);
void help_open(View *view);
void help_key(View *view, int key);
void help_draw(View *view, Cells *cells);
void keys_draw(const View *view, Cells *cells);
void tour_open(View *view);
void tour_key(View *view, int key);
void tour_draw(const View *view, Cells *cells);
bool tour_runs(const View *view);

/* ---- search.c, filter.c ---- */

void search_open(View *view);
void search_next(View *view);
void search_before(View *view);
bool search_on(const View *view);
void filter_open(View *view);
void filter_clear(View *view);
bool filter_on(const View *view);
bool filter_shows(const View *view, const Finding *finding);
void filter_say(Text *text, const View *view);

/* ---- change.c, compared.c ---- */

void change_open(View *view);
void change_more(View *view);
void change_less(View *view);
void change_undo(View *view);
void change_redo(View *view);
void change_list(View *view);
void change_drop(View *view);
bool change_any(const View *view);
/* Something may be changed here; a step was made. */
bool change_can(const View *view);
bool change_stepped(const View *view);
bool change_can_step(const View *view);
/* Says what the last step made of the findings. */
void compared_say(View *view, const char *what);
void compared_open(View *view);
bool compared_any(const View *view);

/* ---- other.c: size, colourway, alternative, factory ---- */

void other_open(View *view);
void other_size(View *view);
void other_colourway(View *view);
void other_alternative(View *view);
void other_factory(View *view);

/* ---- decide.c, who.c ---- */

void decide_open(View *view);
bool decide_can(const View *view);
void who_open(View *view);
/* Takes names apart at commas; false with a reason. */
bool who_take(View *view, const char *text, Text *problem);

/* ---- save.c ---- */

void save_open(View *view);
void save_then_leave(View *view);
void edit_open(View *view);

#endif

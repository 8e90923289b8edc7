/* The terminal: curses, colours, signals. For the screen alone.
 *
 * ncurses 6.4 does not look at NO_COLOR, waits a second on Esc, and leaves HUP,
 * QUIT, SEGV and ABRT uncaught with the terminal raw: all handled here. */
#define _GNU_SOURCE
#include "screen/terminal.h"

#include <curses.h>
#include <errno.h>
#include <langinfo.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

#include "base/memory.h"
#include "screen/view.h"

#include <term.h> /* last: it turns common words into macros */
#undef columns

static volatile sig_atomic_t must_leave; /* set by signal handlers */
static volatile sig_atomic_t taken;      /* the terminal is ours */
static Cells last;                       /* as put out */

static void on_leave(int signal_number)
{
    (void)signal_number;
    must_leave = 1;
}

/* A fault: give the terminal back, then die as the system meant it. */
static void on_fault(int signal_number)
{
    terminal_give_back();
    signal(signal_number, SIG_DFL);
    raise(signal_number);
}

static void catch_signals(void)
{
    static const int leave[] = {SIGHUP,  SIGTERM, SIGQUIT, SIGINT,
                                SIGUSR1, SIGUSR2, SIGALRM, SIGXCPU};
    static const int fault[] = {SIGSEGV, SIGABRT, SIGBUS, SIGFPE, SIGILL, SIGSYS, SIGTRAP, SIGPIPE};
    struct sigaction action = {.sa_handler = on_leave};
    sigemptyset(&action.sa_mask);
    for (size_t i = 0; i < sizeof leave / sizeof *leave; i++)
        sigaction(leave[i], &action, NULL);
    action.sa_handler = on_fault;
    for (size_t i = 0; i < sizeof fault / sizeof *fault; i++)
        sigaction(fault[i], &action, NULL);
}

static void take_colours(void)
{
    const char *no_color = getenv("NO_COLOR");
    if ((no_color != NULL && *no_color != '\0') || !has_colors() || start_color() == ERR)
        return;
    use_default_colors();
    init_pair(LOOK_FLAG, COLOR_RED, -1);
    init_pair(LOOK_UNKNOWN, COLOR_MAGENTA, -1);
    init_pair(LOOK_TIGHT, COLOR_BLUE, -1);
    init_pair(LOOK_TROUBLE, COLOR_RED, -1);
}

/* Ctrl-S and Ctrl-C are keys like others: the one saves, the other asks before it leaves. */
static void take_control_keys(void)
{
    struct termios mode;
    if (tcgetattr(STDIN_FILENO, &mode) != 0)
        return;
    mode.c_iflag &= ~(tcflag_t)(IXON | IXOFF);
    mode.c_cc[VINTR] = _POSIX_VDISABLE;
    tcsetattr(STDIN_FILENO, TCSADRAIN, &mode);
    def_prog_mode();
}

bool terminal_take(void)
{
    SCREEN *screen = newterm(NULL, stdout, stdin);
    if (screen == NULL)
        return false;
    set_term(screen);
    char *moves = tigetstr("cup");
    if (moves == NULL || moves == (char *)-1) { /* it cannot place the cursor */
        endwin();
        delscreen(screen);
        return false;
    }
    set_escdelay(25);
    catch_signals();
    if (!taken)
        atexit(terminal_give_back);
    taken = 1;
    cbreak();
    noecho();
    nonl();
    keypad(stdscr, TRUE);
    take_control_keys();
    take_colours();
    return true;
}

void terminal_give_back(void)
{
    if (taken && !isendwin())
        endwin();
}

/* A terminal that went away without a signal answers every read at once. */
static bool terminal_is_gone(void)
{
    struct pollfd input = {.fd = STDIN_FILENO, .events = POLLIN};
    return poll(&input, 1, 0) > 0 && (input.revents & (POLLHUP | POLLERR | POLLNVAL)) != 0;
}

bool terminal_must_leave(void)
{
    return must_leave != 0 || terminal_is_gone();
}

/* ---- Cells out ---- */

static attr_t attributes(Look look, short *pair)
{
    *pair = 0;
    switch (look) {
    case LOOK_TITLE:
    case LOOK_CHOSEN:
        return A_REVERSE;
    case LOOK_HEADING:
        return A_BOLD;
    case LOOK_FLAG:
    case LOOK_UNKNOWN:
    case LOOK_TIGHT:
    case LOOK_TROUBLE:
        *pair = (short)look;
        return A_BOLD;
    case LOOK_QUIET:
    case LOOK_PLAIN:
    case LOOK_COUNT:
        break;
    }
    return A_NORMAL;
}

/* The console of Linux has no braille in its fonts, and a vt100 nothing of the kind. */
static bool kind_has_braille(void)
{
    const char *kind = getenv("TERM");
    return kind != NULL && strcmp(kind, "linux") != 0 && strncmp(kind, "vt", 2) != 0;
}

void terminal_start(Cells *cells)
{
    int rows, columns;
    getmaxyx(stdscr, rows, columns);
    cells->ascii = strcmp(nl_langinfo(CODESET), "UTF-8") != 0;
    cells->braille = !cells->ascii && kind_has_braille();
    cells_start(cells, rows, columns);
}

static bool same_row(const Cells *cells, int y)
{
    size_t row = (size_t)y * (size_t)cells->columns;
    return memcmp(cells->cells + row, last.cells + row,
                  (size_t)cells->columns * sizeof *cells->cells) == 0;
}

static void show_row(const Cells *cells, int y)
{
    const ScreenCell *row = &cells->cells[(size_t)y * (size_t)cells->columns];
    move(y, 0);
    clrtoeol();
    for (int x = 0; x < cells->columns;) {
        Text run = {0};
        int from = x;
        for (; x < cells->columns && row[x].look == row[from].look; x++)
            text_add(&run, row[x].text);
        short pair;
        attr_t attribute = attributes((Look)row[from].look, &pair);
        attr_set(attribute, has_colors() ? pair : 0, NULL);
        mvaddstr(y, from, text_string(&run));
        text_free(&run);
    }
    attr_set(A_NORMAL, 0, NULL);
}

void terminal_show(const Cells *cells)
{
    bool all = last.cells == NULL || last.rows != cells->rows || last.columns != cells->columns;
    if (all) {
        erase();
        cells_start(&last, cells->rows, cells->columns);
    }
    for (int y = 0; y < cells->rows; y++)
        if (all || !same_row(cells, y))
            show_row(cells, y);
    memcpy(last.cells, cells->cells,
           (size_t)cells->rows * (size_t)cells->columns * sizeof *cells->cells);
    move(cells->cursor_y, cells->cursor_x);
    refresh();
}

void terminal_repaint(void)
{
    cells_free(&last);
    clearok(stdscr, TRUE);
}

/* ---- Keys in ---- */

int terminal_key(int patience)
{
    static const struct {
        int curses, key;
    } keys[] = {{KEY_UP, K_UP},         {KEY_DOWN, K_DOWN},       {KEY_LEFT, K_LEFT},
                {KEY_RIGHT, K_RIGHT},   {KEY_HOME, K_HOME},       {KEY_END, K_END},
                {KEY_PPAGE, K_PAGE_UP}, {KEY_NPAGE, K_PAGE_DOWN}, {KEY_DC, K_DELETE},
                {KEY_F(1), K_F1},       {KEY_RESIZE, K_RESIZE},   {KEY_ENTER, K_ENTER},
                {KEY_BACKSPACE, K_BACKSPACE}};
    wint_t code;
    timeout(patience);
    int kind = get_wch(&code);
    if (kind == ERR)
        return K_NONE;
    if (kind != KEY_CODE_YES)
        return (int)code;
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        if (keys[i].curses == (int)code)
            return keys[i].key;
    return K_NONE;
}

void terminal_suspend(void)
{
    raise(SIGTSTP);
}

/* ---- The editor ---- */

/* The words of $VISUAL or $EDITOR, then the place; NULL ends it. */
static char **editor_words(Arena *arena, const char *file, int line)
{
    const char *editor = getenv("VISUAL");
    if (editor == NULL || *editor == '\0')
        editor = getenv("EDITOR");
    if (editor == NULL || *editor == '\0')
        editor = "vi";
    char **words = ARENA_NEW(arena, char *, strlen(editor) / 2 + 5);
    size_t count = 0;
    for (editor += strspn(editor, " "); *editor != '\0'; editor += strspn(editor, " ")) {
        size_t length = strcspn(editor, " ");
        words[count++] = arena_copy(arena, editor, length);
        editor += length;
    }
    words[count++] = arena_printf(arena, "+%d", line > 0 ? line : 1);
    words[count++] = arena_printf(arena, "%s%s", file[0] == '-' ? "./" : "", file);
    return words;
}

enum { NOT_RUN = 127 };

static void run_child(char **words)
{
    static const int signals[] = {SIGINT, SIGQUIT, SIGTSTP};
    for (size_t i = 0; i < sizeof signals / sizeof *signals; i++)
        signal(signals[i], SIG_DFL);
    execvp(words[0], words);
    _exit(NOT_RUN);
}

static bool wait_for(pid_t child, int *status)
{
    pid_t ended;
    do
        ended = waitpid(child, status, 0);
    while (ended < 0 && errno == EINTR);
    return ended == child;
}

bool terminal_edit(const char *file, int line, Text *problem)
{
    Arena arena = {0};
    char **words = editor_words(&arena, file, line);
    struct sigaction ignore = {.sa_handler = SIG_IGN}, interrupt, quit;
    sigemptyset(&ignore.sa_mask);
    def_prog_mode();
    endwin();
    sigaction(SIGINT, &ignore, &interrupt); /* they are for the editor */
    sigaction(SIGQUIT, &ignore, &quit);
    int status = 0;
    pid_t child = fork();
    if (child == 0)
        run_child(words);
    bool ran = child > 0 && wait_for(child, &status);
    sigaction(SIGINT, &interrupt, NULL);
    sigaction(SIGQUIT, &quit, NULL);
    reset_prog_mode();
    terminal_repaint();
    bool good = ran && WIFEXITED(status) && WEXITSTATUS(status) != NOT_RUN;
    if (!good)
        text_addf(problem, "the editor %s could not be run; set VISUAL or EDITOR to one", words[0]);
    arena_free(&arena);
    return good;
}

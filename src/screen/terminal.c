/* The terminal: curses, colours, signals. For the screen alone.
 *
 * ncurses 6.4 does not look at NO_COLOR, waits a second on Esc, and leaves HUP,
 * QUIT, SEGV and ABRT uncaught with the terminal raw: all handled here. */
#define _GNU_SOURCE /* wcwidth */
#include "screen/terminal.h"

#include <curses.h>
#include <langinfo.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include <wchar.h>

#include "base/text.h"
#include "base/utf8.h"

#include <term.h> /* last: it turns common words such as columns into macros */

static volatile sig_atomic_t must_leave; /* set by signal handlers */
static volatile sig_atomic_t taken;      /* the terminal is ours */

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
    static const int leave[] = {SIGHUP, SIGTERM, SIGQUIT, SIGINT, SIGUSR1, SIGUSR2, SIGALRM, SIGXCPU};
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
    keypad(stdscr, TRUE);
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
        *pair = (short)look;
        return A_BOLD;
    case LOOK_QUIET:
    case LOOK_PLAIN:
        return A_NORMAL;
    }
    return A_NORMAL;
}

static bool locale_is_utf8(void)
{
    return strcmp(nl_langinfo(CODESET), "UTF-8") == 0;
}

static const char *spelt(uint32_t codepoint)
{
    switch (codepoint) {
    case 0xb1:
        return "+/-";
    case 0xb0:
        return "deg";
    case 0x2026:
        return "...";
    case 0xd7:
        return "x";
    default:
        return "?";
    }
}

/* Adds one character as the terminal can show it; returns its cells. */
static int add_character(Text *line, const char *bytes, size_t length, uint32_t codepoint, int room)
{
    if (codepoint < 0x80 || locale_is_utf8()) {
        int cells = codepoint < 0x80 ? 1 : wcwidth((wchar_t)codepoint);
        if (cells < 0)
            return add_character(line, "?", 1, '?', room);
        if (cells <= room)
            text_add_bytes(line, bytes, length);
        return cells;
    }
    const char *word = spelt(codepoint);
    if ((int)strlen(word) <= room)
        text_add(line, word);
    return (int)strlen(word);
}

void terminal_write(int y, int x, int width, Look look, const char *text)
{
    Text line = {0};
    int used = 0;
    size_t left = strlen(text);
    while (left > 0) {
        uint32_t codepoint;
        size_t length = utf8_decode(text, left, &codepoint);
        if (length == 0 || codepoint < 0x20)
            break;
        int cells = add_character(&line, text, length, codepoint, width - used);
        if (used + cells > width)
            break;
        used += cells;
        text += length;
        left -= length;
    }
    for (; used < width; used++)
        text_add(&line, " ");
    short pair;
    attr_t attribute = attributes(look, &pair);
    attr_set(attribute, has_colors() ? pair : 0, NULL);
    mvaddstr(y, x, text_string(&line));
    attr_set(A_NORMAL, 0, NULL);
    text_free(&line);
}

void terminal_line(int y, int x, int width)
{
    mvhline(y, x, 0, width);
}

void terminal_column(int y, int x, int height)
{
    mvvline(y, x, 0, height);
}

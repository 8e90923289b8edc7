/* The table of keys, and the line that names those valid here. For the screen. */
#include "screen/keys.h"

#include <string.h>

#include "screen/view_inside.h"

/* In the order of the key line; what stands in it first is last to be left out. */
const KeyRow key_table[] = {
    {IN_WALK, {' '}, "Space", "next to settle", move_next_unsettled, NULL,
     "goes to the next finding that is still to be settled"},
    {IN_WALK, {K_ENTER}, "Enter", "change", move_open, change_can,
     "goes to the values that may be changed to clear this finding"},
    {IN_CHANGING, {K_ENTER}, "Enter", "new value", change_open, NULL,
     "sets the chosen value: typed, or taken from a list"},
    {IN_CHANGING, {'+', '='}, "+", NULL, change_more, change_can_step,
     "makes the chosen value one step more, or takes the next word"},
    {IN_CHANGING, {'-', '_'}, "+ -", "step", change_less, change_can_step,
     "makes the chosen value one step less, or takes the word before"},
    {IN_LIST, {K_ENTER}, "Enter", "go there", move_open, NULL,
     "goes to the chosen finding in its place"},
    {IN_FINDINGS, {'i'}, "i", "clear it", remedies_open, remedies_can,
     "shows what would clear this finding, and tries it"},
    {IN_REMEDIES, {K_ENTER}, "Enter", "try it", remedies_try, NULL,
     "tries what is chosen; u takes it back"},
    {IN_REMEDIES, {'p'}, "p", "plot", remedies_plot, remedies_can_plot,
     "shows the two values against each other, or the list again"},
    {IN_LINE, {'+', '='}, "+", NULL, line_rounder, NULL, "proposes a line that is 0.5 mm rounder"},
    {IN_LINE, {'-', '_'}, "+ -", "rounder, sharper", line_sharper, NULL,
     "proposes a line that is 0.5 mm sharper"},
    {IN_WAYS, {K_ENTER}, "Enter", "take it", ways_take, NULL,
     "takes the chosen alternative and goes through it"},
    {IN_WAYS, {' '}, "Space", "more numbers", ways_numbers, NULL,
     "shows the next numbers of a pair"},
    {IN_ORDER, {K_ENTER}, "Enter", "go there", order_take, NULL,
     "goes to the findings of the chosen seam"},
    {IN_ORDER, {'p', ' '}, "p", "given or proposed", order_other, NULL,
     "shows the proposed order, or the given one again"},
    {IN_WALK | IN_CHANGING, {'d'}, "d", "decide", decide_open, decide_can,
     "decides: change it, ask, make an attempt, permit it, hold"},
    {IN_WALK, {K_RIGHT, 'l'}, "Left Right", "stop", move_stop_after, NULL,
     "goes to the next stop in making order"},
    {IN_ALL, {'C'}, "C", "compare", ways_open, ways_can,
     "compares the alternatives side by side, with numbers per pair"},
    {IN_ALL, {'M'}, "M", "making order", order_open, order_can,
     "shows the making order: flat or in the round, and why"},
    {IN_FINDINGS, {'u'}, "u", "undo", change_undo, change_stepped,
     "takes the last step back"},
    {IN_FINDINGS, {'r', K_CTRL('R')}, "r", NULL, change_redo, change_stepped,
     "does again what was taken back"},
    {IN_ROWS, {K_UP, 'k'}, "Up", NULL, move_up, NULL, "goes to the line above"},
    {IN_ROWS, {K_DOWN, 'j', K_TAB}, "Up Down", "choose", move_down, NULL,
     "goes to the line below"},
    {IN_TEXT | IN_LINE, {K_UP, 'k'}, "Up", NULL, move_up, NULL, "moves up one line"},
    {IN_TEXT | IN_LINE, {K_DOWN, 'j', K_ENTER}, "Up Down", "scroll", move_down, NULL, "moves down one line"},
    {IN_TEXT | IN_LINE, {' ', K_PAGE_DOWN}, "Space", "page", move_page_down, NULL, "moves down a page"},
    {IN_TEXT, {'-', 'b', K_PAGE_UP}, "-", NULL, move_page_up, NULL, "moves up a page"},
    {IN_LINE, {'b', K_PAGE_UP}, "b", NULL, move_page_up, NULL, "moves up a page"},
    {IN_FINDINGS, {K_UP, 'k'}, "Up", NULL, move_up, NULL, "goes to the line above"},
    {IN_FINDINGS, {K_DOWN, 'j'}, "Down", NULL, move_down, NULL, "goes to the line below"},
    {IN_LIST, {'a'}, "a", "everything", move_everything, NULL,
     "shows also what passes, is out or off; or only what is open"},
    {IN_WALK, {'a'}, "a", "all", move_to_list, NULL,
     "shows one list of the findings of all stops"},
    {IN_FINDINGS, {'/'}, "/", "find", search_open, NULL,
     "finds a word in places, titles, rules and stops"},
    {IN_FINDINGS, {'n'}, "n", NULL, search_next, search_on, "goes to the next place found"},
    {IN_FINDINGS, {'N'}, "N", NULL, search_before, search_on, "goes to the place found before"},
    {IN_FINDINGS, {'f'}, "f", "filter", filter_open, NULL,
     "shows findings of one verdict, part, rule, ... or step only"},
    {IN_FINDINGS, {'F'}, "F", "unfilter", filter_back, filter_on, "takes the last filter back"},
    {IN_FINDINGS, {'w'}, "w", "why", why_open, decide_can,
     "explains it: conditions, formulas, numbers and their origins"},
    {IN_FINDINGS | IN_TEXT, {'L'}, "L", "limits", limits_open, limits_can,
     "shows the limits it rests on: who set them, what they beat"},
    {IN_WALK, {K_LEFT, 'h'}, "Left", NULL, move_stop_before, NULL, "goes to the stop before"},
    {IN_WALK, {'b'}, "b", NULL, move_unsettled_before, NULL,
     "goes to the finding to be settled before this one"},
    {IN_WALK | IN_CHANGING, {K_TAB}, "Tab", NULL, move_other_pane, change_can,
     "moves between the findings and what may be changed"},
    {IN_WALK | IN_CHANGING, {'p'}, "p", "next picture", pane_next, decide_can,
     "shows the next picture of the place, then the numbers"},
    {IN_WALK | IN_CHANGING, {'P'}, "P", NULL, pane_whole, decide_can,
     "shows pictures and numbers on the whole screen"},
    {IN_PICTURE, {'p', ' ', K_ENTER}, "p", "next picture", pane_next, NULL,
     "shows the next picture of the place, then the numbers"},
    {IN_FINDINGS, {'o'}, "o", "other size...", other_open, NULL,
     "another size, colourway, alternative, factory; people present"},
    {IN_FINDINGS, {'z'}, "z", NULL, other_size, NULL, "shows another size, or the worst"},
    {IN_FINDINGS, {'y'}, "y", NULL, other_colourway, NULL, "shows another colourway, or the worst"},
    {IN_FINDINGS, {'v'}, "v", NULL, other_alternative, NULL,
     "takes another alternative of the style"},
    {IN_FINDINGS, {'m'}, "m", NULL, other_factory, NULL, "takes another factory and its machines"},
    {IN_FINDINGS, {'c'}, "c", NULL, compared_open, compared_any,
     "lists what the last step made better and worse"},
    {IN_FINDINGS, {'x'}, "x", NULL, change_list, change_any,
     "lists the changes that are not saved, to take them back"},
    {IN_FINDINGS, {'s', K_CTRL('S')}, "s", "save", save_open, change_any,
     "writes the changed values into the style's file"},
    {IN_FINDINGS, {'e'}, "e", NULL, edit_open, NULL,
     "opens the file at this place in $VISUAL or $EDITOR"},
    {IN_FINDINGS | IN_ROWS, {K_PAGE_UP}, "PgUp", NULL, move_page_up, NULL, "goes up a page"},
    {IN_FINDINGS | IN_ROWS, {K_PAGE_DOWN}, "PgDn", NULL, move_page_down, NULL, "goes down a page"},
    {IN_FINDINGS | IN_TEXT | IN_ROWS | IN_LINE, {K_HOME, 'g'}, "Home", NULL, move_first, NULL,
     "goes to the first line"},
    {IN_FINDINGS | IN_TEXT | IN_ROWS | IN_LINE, {K_END, 'G'}, "End", NULL, move_last, NULL, "goes to the last line"},
    {IN_FINDINGS, {'t'}, "t", NULL, tour_open, NULL, "shows the tour of this screen"},
    {IN_ALL, {K_CTRL('L')}, "Ctrl-L", NULL, move_repaint, NULL, "paints the screen again"},
    {IN_ALL, {K_CTRL('Z')}, "Ctrl-Z", NULL, move_suspend, NULL,
     "lays the program aside; fg brings it back"},
    {IN_ALL, {'?', K_F1}, "?", NULL, help_open, NULL, "shows the keys that are valid here"},
    {IN_ALL, {'q', K_ESCAPE, K_BACKSPACE}, "q", NULL, move_back, NULL,
     "goes one step back; from the first page it leaves"},
    {IN_ALL, {'Q', K_CTRL('C')}, "Q", NULL, move_leave, NULL,
     "leaves at once; asks if changes are not saved"},
};
const size_t key_count = sizeof key_table / sizeof *key_table;

bool key_valid(const View *view, const KeyRow *row)
{
    return (row->where & view_where(view)) != 0 && (row->valid == NULL || row->valid(view));
}

const KeyRow *key_find(const View *view, int key)
{
    if (key == '\n')
        key = K_ENTER;
    if (key == 8)
        key = K_BACKSPACE;
    for (size_t i = 0; i < key_count; i++)
        for (size_t k = 0; k < KEYS_A_ROW; k++)
            if (key_table[i].keys[k] == key && key_valid(view, &key_table[i]))
                return &key_table[i];
    return NULL;
}

static void add_key(Text *line, const char *shown, const char *word)
{
    text_addf(line, "%s%s %s", line->length > 0 ? "  " : " ", shown, word);
}

static const char *leaving(const View *view)
{
    return view->page == PAGE_WALK && !view->changing ? "leave" : "back";
}

void keys_draw(const View *view, Cells *cells)
{
    int y = cells->rows - 1, width = cells->columns - 1; /* the last cell can scroll a terminal */
    Text line = {0}, end = {0};
    if (view->page == PAGE_HELP) {
        text_add(&line, " type to search  Up Down choose  Enter do it  Esc back");
    } else {
        text_addf(&end, "  ? help  q %s", leaving(view));
        int room = width - cells_width(cells, text_string(&end));
        for (size_t i = 0; i < key_count; i++) {
            const KeyRow *row = &key_table[i];
            if (row->word == NULL || !key_valid(view, row))
                continue;
            size_t before = line.length;
            add_key(&line, row->shown, row->word);
            if (cells_width(cells, line.bytes) > room) {
                line.length = before;
                line.bytes[before] = '\0';
            }
        }
        text_add(&line, text_string(&end));
    }
    cells_fill(cells, y, 0, width, LOOK_TITLE, text_string(&line));
    text_free(&line);
    text_free(&end);
}

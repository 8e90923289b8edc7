/* What is known about the chosen finding, and what may be changed to clear it. For the
 * page of a stop. */
#include <string.h>

#include "screen/view_inside.h"

/* Lines to be drawn one below the other. */
typedef struct DetailLine {
    Look look;
    const char *text;
    int head; /* cells of it that name what it is */
} DetailLine;

typedef struct Detail {
    Arena arena;
    const Cells *cells;
    int width;
    DetailLine *lines;
    size_t count, capacity;
    size_t remedy; /* its first line, which is among the last */
} Detail;

static void add_line(Detail *detail, Look look, const char *text, size_t length)
{
    *ARENA_PUSH(&detail->arena, detail->lines, detail->count, detail->capacity) =
        (DetailLine){look, arena_copy(&detail->arena, text, length), 0};
}

/* Wrapped; after `most` lines cut with an ellipsis. */
static void add_wrapped(Detail *detail, Look look, const char *text, int indent, int most)
{
    Text wrapped = {0};
    text_add_wrapped(&wrapped, text, detail->width, indent);
    const char *line = text_string(&wrapped);
    for (int i = 0; *line != '\0'; i++) {
        size_t length = strcspn(line, "\n");
        if (i + 1 == most && line[length] != '\0' && line[length + 1] != '\0') {
            const char *cut = arena_printf(&detail->arena, "%.*s …", (int)length, line);
            add_line(detail, look, cut, strlen(cut));
            break;
        }
        add_line(detail, look, line, length);
        line += length + (line[length] == '\n');
    }
    text_free(&wrapped);
}

/* ---- Verdicts by size and by colourway ---- */

/* "36! 37! 38~"; where that is too long, equal neighbours together: "36 to 38 ! flag". */
static void add_strip(Detail *detail, const char *label, const char *const *names,
                      const Verdict *verdicts, size_t count)
{
    Text line = {0};
    if (count == 0 || (count == 1 && names[0][0] == '\0'))
        return;
    text_add(&line, label);
    for (size_t i = 0; i < count; i++) {
        text_add(&line, " ");
        text_add_visible(&line, names[i], strlen(names[i]));
        text_addf(&line, "%c", verdict_sign(verdicts[i]));
    }
    bool same = true;
    for (size_t i = 1; i < count; i++)
        same = same && verdicts[i] == verdicts[0];
    if (same && count > 1)
        text_addf(&line, "  all %s", verdict_name(verdicts[0]));
    if (cells_width(detail->cells, text_string(&line)) > detail->width) {
        text_clear(&line);
        text_add(&line, label);
        for (size_t i = 0, end; i < count; i = end) {
            for (end = i + 1; end < count && verdicts[end] == verdicts[i];)
                end++;
            text_add(&line, i > 0 ? ", " : " ");
            text_add_visible(&line, names[i], strlen(names[i]));
            if (end > i + 1)
                text_addf(&line, " to %s", names[end - 1]);
            text_addf(&line, " %c %s", verdict_sign(verdicts[i]), verdict_name(verdicts[i]));
        }
    }
    add_wrapped(detail, LOOK_PLAIN, text_string(&line), 2, 2);
    text_free(&line);
}

static void add_strips(Detail *detail, const View *view, const Finding *finding)
{
    const char **names;
    Verdict *verdicts;
    size_t count = review_by_size(view->review, finding, &detail->arena, &names, &verdicts);
    add_strip(detail, "Sizes", names, verdicts, count);
    count = review_by_colourway(view->review, finding, &detail->arena, &names, &verdicts);
    add_strip(detail, "Colourways", names, verdicts, count);
}

/* ---- The text ---- */

static void add_spare(Detail *detail, const View *view, const Finding *finding)
{
    const Judgement *judgement = review_judgement(view->review);
    Text line = {0}, lanes = {0};
    finding_say_spare(&line, judgement, finding);
    finding_lanes(&lanes, judgement, finding);
    if (line.length > 0 && lanes.length > 0)
        text_add(&line, ", ");
    text_add(&line, text_string(&lanes));
    text_addf(&line, "%s%s", line.length > 0 ? "; " : "", class_name(finding->rule->class));
    if (finding->rule->danger)
        text_add(&line, ", can hurt the wearer");
    add_wrapped(detail, LOOK_PLAIN, text_string(&line), 0, 2);
    text_free(&line);
    text_free(&lanes);
}

static void add_decision(Detail *detail, const View *view, const Finding *finding)
{
    const Decided *decided = decision_of(view->decisions, finding);
    if (decided == NULL)
        return;
    Text line = {0};
    text_add(&line, decided->state == STATE_HOLDS ? "Decided: " : "Decided, holds no more: ");
    decision_say(&line, decided);
    add_wrapped(detail, LOOK_HEADING, text_string(&line), 2, 2);
    text_free(&line);
}

static void add_remedy(Detail *detail, View *view, const Finding *finding)
{
    enum { REMEDY_LINES = 5 };
    Text line = {0};
    size_t head, first = detail->count;
    clearing_say(&line, view, finding, &head);
    if (line.length > 0) {
        add_wrapped(detail, LOOK_PLAIN, text_string(&line), 2, REMEDY_LINES);
        detail->lines[first].head = (int)head;
    }
    text_free(&line);
}

/* The sentence gets `most` lines: by how much and in which sizes is to be seen first. */
static void add_text(Detail *detail, View *view, const Finding *finding, int most)
{
    const Judgement *judgement = review_judgement(view->review);
    Text line = {0};
    add_wrapped(detail, LOOK_HEADING, finding->rule->title, 0, 2);
    uint32_t lane = view_lane(view, finding);
    if (finding->lanes[lane] != finding->verdict)
        text_addf(&line, "%s: ", logged_lane_name(&detail->arena, judgement, lane));
    finding_sentence(&line, judgement, finding, lane);
    add_wrapped(detail, LOOK_PLAIN, text_string(&line), 0, most);
    add_spare(detail, view, finding);
    add_decision(detail, view, finding);
    add_strips(detail, view, finding);
    detail->remedy = detail->count;
    add_remedy(detail, view, finding);
    text_free(&line);
}

/* ---- Choices ---- */

static bool is_changed(const View *view, const char *path)
{
    const Changed *changes;
    size_t count = review_changed(view->review, &changes);
    for (size_t i = 0; i < count; i++)
        if (strcmp(changes[i].path, path) == 0)
            return true;
    return false;
}

static const char *whose(const Choice *choice)
{
    return choice->drawn ? "drawn" : choice->kept ? "kept" : giver_name(choice->field->giver);
}

/* Of "left of edge vamp.throat" where the finding is at bend vamp.throat.1 "left of the edge",
 * at the edge itself "left", elsewhere "left, vamp.throat". */
void short_name(Text *text, const char *name, const Finding *finding)
{
    static const char tolerance[] = "tolerance of ";
    if (strncmp(name, tolerance, sizeof tolerance - 1) == 0) {
        text_add(text, tolerance);
        name += sizeof tolerance - 1;
    }
    const char *of = strstr(name, " of "), *blank = of != NULL ? strchr(of + 4, ' ') : NULL;
    if (blank == NULL) {
        text_add_visible(text, name, strlen(name));
        return;
    }
    const char *path = blank + 1, *here = strchr(finding->place, ' ');
    size_t length = strlen(path);
    bool within = here != NULL && strncmp(here + 1, path, length) == 0;
    text_add_visible(text, name, (size_t)(of - name));
    if (within && here[1 + length] == '.') {
        text_addf(text, " of the %.*s", (int)(blank - of - 4), of + 4);
    } else if (!within || here[1 + length] != '\0') {
        text_add(text, ", ");
        text_add_visible(text, path, length);
    }
}

/* Where the columns of the choices stand: name, value, whose it is, place in the file. */
typedef struct ChoiceColumns {
    int value, whose, place;
} ChoiceColumns;

static const char *value_text(const Choice *choice)
{
    return choice->text[0] != '\0' ? choice->text : "not written";
}

/* Names get what the others leave. */
static ChoiceColumns columns_of(const View *view, const Cells *cells, int width)
{
    int value = 0, whose_width = 0;
    for (size_t i = 0; i < view->choice_count; i++) {
        value = larger(value, cells_width(cells, value_text(&view->choices[i])));
        whose_width = larger(whose_width, cells_width(cells, whose(&view->choices[i])));
    }
    value = smaller(value, width / 3);
    ChoiceColumns columns = {.place = width, .whose = width - whose_width};
    if (width >= 84) {
        columns.place = width - 24;
        columns.whose = columns.place - whose_width - 2;
    }
    columns.value = columns.whose - value - 2;
    return columns;
}

/* "> left of edge vamp.cap-line      3 mm  pattern  skerry.yaml:398" */
static void draw_choice(View *view, Cells *cells, int y, int x, int width, size_t index,
                        ChoiceColumns columns)
{
    const Choice *choice = &view->choices[index];
    bool chosen = index == view->choice && view->changing;
    Look look = chosen ? LOOK_CHOSEN : LOOK_PLAIN, quiet = chosen ? look : LOOK_QUIET;
    Arena scratch = {0};
    Text text = {0};
    cells_fill(cells, y, x, width, look, "");
    text_addf(&text, "%c%c", chosen ? '>' : ' ', is_changed(view, choice->path) ? '*' : ' ');
    if (columns.value < 36)
        short_name(&text, choice->name, view_finding(view));
    else
        text_add_visible(&text, choice->name, strlen(choice->name));
    cells_put(cells, y, x, columns.value - 1, look, text_string(&text));
    text_clear(&text);
    text_add_visible(&text, value_text(choice), strlen(value_text(choice)));
    cells_put(cells, y, x + columns.value, columns.whose - columns.value - 1, look,
              text_string(&text));
    cells_put(cells, y, x + columns.whose, columns.place - columns.whose, quiet, whose(choice));
    cells_put(cells, y, x + columns.place, width - columns.place, quiet,
              short_where(&scratch, choice->at));
    if (chosen) {
        cells->cursor_y = y;
        cells->cursor_x = x;
    }
    text_free(&text);
    arena_free(&scratch);
}

int choices_least(const View *view)
{
    int wanted = (int)view->choice_count + 1;
    return smaller(wanted, view->changing ? 6 : 3);
}

int choices_draw(View *view, Cells *cells, int y, int x, int height, int width)
{
    Text head = {0};
    if (height < 2 || view_finding(view) == NULL)
        return 0;
    size_t rows = (size_t)height - 1, count = view->choice_count, top = 0;
    if (view->choice >= rows)
        top = view->choice - rows + 1;
    if (count == 0)
        text_add(&head, "Nothing can be changed here");
    else
        text_add(&head, view->changing ? "Change a value" : "May be changed (Enter)");
    if (count > rows)
        text_addf(&head, ": %zu to %zu of %zu", top + 1, top + rows, count);
    cells_put(cells, y, x, width, LOOK_HEADING, text_string(&head));
    ChoiceColumns columns = columns_of(view, cells, width);
    for (size_t i = 0; i < rows && top + i < count; i++)
        draw_choice(view, cells, y + 1 + (int)i, x, width, top + i, columns);
    if (view->changing)
        view->page_rows = rows;
    text_free(&head);
    return smaller((int)count + 1, height);
}

int detail_draw(View *view, Cells *cells, int y, int x, int height, int width)
{
    const Finding *finding = view_finding(view);
    if (finding == NULL)
        return 0;
    Detail detail = {.cells = cells, .width = width};
    add_text(&detail, view, finding, 1);
    int sentence = larger(height - (int)detail.count + 1, 1);
    detail.count = 0;
    add_text(&detail, view, finding, sentence);
    int count = (int)detail.count, shown = smaller(count, height);
    for (int i = 0; i < shown; i++) {
        bool rest = i + 1 == shown && shown < count;
        cells_put(cells, y + i, x, width, detail.lines[i].look,
                  !rest                    ? detail.lines[i].text
                  : i > (int)detail.remedy ? "… i shows all"
                                           : "… w shows all");
        if (!rest)
            cells_look(cells, y + i, x, detail.lines[i].head, LOOK_HEADING);
    }
    arena_free(&detail.arena);
    return shown;
}

/* A rounder line for a drawn bend that keeps a style from being released. For the report on a
 * style. */
#include <math.h>
#include <string.h>

#include "figure/picture_line.h"
#include "remedy/line.h"
#include "report/content_inside.h"

/* Each is sought with all bends of its line: a drawing of a thousand bends would take an hour. */
enum { LINES_MOST = 40 };

/* Only what is measured on a line can be redrawn; what is permitted may stay. */
static const Record *bend_to_round(const Content *content, const Finding *finding)
{
    const Style *style = content->judgement->style;
    if (content->ground == NULL || finding->rule->about != SUBJECT_BEND ||
        !content_open(content, finding) || style->bends[finding->record] == NULL)
        return NULL;
    return style->lists[SUBJECT_BEND].items[finding->record];
}

/* The bend, or its edge where the line of an edge sewn to it was rounded. */
static const Shown *find_shown(const Content *content, const Record *bend)
{
    for (size_t i = 0; i < content->lines_count; i++)
        if (content->lines[i].record == bend || content->lines[i].record == bend->owner)
            return &content->lines[i];
    return NULL;
}

static void remember(Content *content, const Record *record, size_t number)
{
    *ARENA_PUSH(content->arena, content->lines, content->lines_count, content->lines_capacity) =
        (Shown){record, number};
}

static size_t add_pictures(Content *content, const ProposedLine *proposed)
{
    size_t first = 0;
    Text why = {0};
    Figure figure;
    for (size_t i = 0; i < proposed->count; i++) {
        const LineChange *change = &proposed->changes[i];
        if (change->reason == LINE_IN_PLACE ||
            !picture_line(content->arena, &content->base, change->edge, &change->rounded, &figure,
                          &why))
            continue;
        size_t number = report_figure(content->report, figure);
        first = first == 0 ? number : first;
    }
    text_free(&why);
    return first;
}

/* Lines that are set in belong to the one before: a list. */
static void add_words(const Content *content, const ProposedLine *proposed)
{
    Text words = {0};
    proposed_say(&words, proposed);
    char *line = words.bytes;
    for (char *end; line != NULL && (end = strchr(line, '\n')) != NULL; line = end + 1) {
        *end = '\0';
        size_t indent = strspn(line, " ");
        if (indent > 0)
            report_item(content->report, line + indent);
        else
            report_paragraph(content->report, NULL, line);
    }
    text_free(&words);
}

static void add_proposed(Content *content, const Record *bend, const ProposedLine *proposed,
                         double radius)
{
    Text least = {0};
    text_add(&least, "the bend at least ");
    text_add_number(&least, radius, 4);
    text_add(&least, " mm, with the ends of the edge where they are");
    report_paragraph(content->report, "Proposed line", content_take(content, &least));
    size_t number = add_pictures(content, proposed);
    add_words(content, proposed);
    remember(content, bend, number);
    for (size_t i = 1; i < proposed->count; i++)
        remember(content, proposed->changes[i].edge, number);
}

/* Once for each line: a later finding of the same one names the picture. */
void content_line(Content *content, const Finding *finding)
{
    const Record *bend = bend_to_round(content, finding);
    if (bend == NULL)
        return;
    const Shown *shown = find_shown(content, bend);
    if (shown != NULL) {
        if (shown->number > 0)
            report_paragraphf(content->report, "Proposed line", "see picture %zu", shown->number);
        return;
    }
    if (content->lines_count >= LINES_MOST) {
        report_paragraphf(content->report, "Proposed line",
                          "not sought: the report seeks %d; draw 'bend %s' --propose least does",
                          (int)LINES_MOST, bend->path);
        return;
    }
    LineWish wish = {.place = bend, .within = INFINITY};
    double radius = 0;
    Text why = {0};
    ProposedLine *proposed = proposed_least(content->ground, &wish, &radius, &why);
    if (proposed != NULL) {
        add_proposed(content, bend, proposed, radius);
        proposed_free(proposed);
    } else {
        report_paragraphf(content->report, "Proposed line", "none: %s", text_string(&why));
        remember(content, bend, 0);
    }
    text_free(&why);
}

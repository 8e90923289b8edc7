/* The rows of the findings list. For the screen and its tests. */
#include "screen/list.h"

#include <stdlib.h>
#include <string.h>

static bool shown(const Finding *finding, bool all)
{
    return all || finding->verdict == VERDICT_FLAG || finding->verdict == VERDICT_UNKNOWN ||
           finding->verdict == VERDICT_TIGHT;
}

static void add_part(List *list, const Judgement *judgement, const char *part, bool all)
{
    bool headed = false;
    for (size_t i = 0; i < judgement->count; i++) {
        const Finding *finding = &judgement->findings[i];
        if (!shown(finding, all) || strcmp(finding->part, part) != 0)
            continue;
        if (!headed)
            list->rows[list->count++] = (ListRow){.heading = part};
        headed = true;
        list->rows[list->count++] = (ListRow){.finding = finding};
        list->findings++;
    }
}

static bool headed_before(const List *list, const char *part)
{
    for (size_t i = 0; i < list->count; i++) {
        if (list->rows[i].heading != NULL && strcmp(list->rows[i].heading, part) == 0)
            return true;
    }
    return false;
}

void list_build(List *list, const Judgement *judgement, bool all)
{
    list_free(list);
    list->rows = memory_new(2 * judgement->count + 1, sizeof *list->rows);
    const RecordList *parts = &judgement->style->lists[SUBJECT_PART];
    for (size_t i = 0; i < parts->count; i++)
        add_part(list, judgement, parts->items[i]->path, all);
    for (size_t i = 0; i < judgement->count; i++) {
        const Finding *finding = &judgement->findings[i];
        if (shown(finding, all) && !headed_before(list, finding->part))
            add_part(list, judgement, finding->part, all);
    }
}

void list_free(List *list)
{
    free(list->rows);
    *list = (List){0};
}

size_t list_row(const List *list, const Finding *finding)
{
    for (size_t i = 0; i < list->count; i++) {
        if (finding != NULL && list->rows[i].finding == finding)
            return i;
    }
    return list->count > 1 ? 1 : 0;
}

size_t list_step(const List *list, size_t row, int direction)
{
    for (size_t i = row + (size_t)direction; i < list->count; i += (size_t)direction) {
        if (list->rows[i].finding != NULL)
            return i;
    }
    return row;
}

size_t list_ordinal(const List *list, size_t row)
{
    size_t before = 0;
    for (size_t i = 0; i < row && i < list->count; i++)
        before += list->rows[i].finding != NULL;
    return before;
}

/* Findings as JSON Lines. For src/cli. */
#include "report/findings_lines.h"

#include "report/json_parts.h"

/* Takes `rest`. `line` comes first: a reader knows what it has before it reads on. */
static void add_line(Text *text, const char *line, json_t *rest)
{
    json_t *object = json_object();
    json_put(object, "line", json_string(line));
    if (json_object_update(object, rest) != 0)
        out_of_memory();
    json_decref(rest);
    json_write(text, object, JSON_COMPACT);
}

static void add_told(Text *text, const Told *told, const Telling *telling)
{
    const Judgement *judgement = told->decisions->judgement;
    size_t count = 0;
    add_line(text, "head", json_head(told, telling, "lines/1"));
    for (size_t i = 0; i < judgement->count; i++) {
        if (!told_is(told, &judgement->findings[i], telling))
            continue;
        add_line(text, "finding", json_finding(told, &judgement->findings[i]));
        count++;
    }
    json_t *tally = json_object();
    json_put(tally, "tally", json_tally(judgement));
    json_put(tally, "told", json_count(count));
    json_put(tally, "hidden", json_count(told_hidden(told, telling)));
    add_line(text, "tally", tally);
}

void findings_lines(Text *text, const Told *items, size_t count, const Telling *telling)
{
    for (size_t i = 0; i < count; i++)
        add_told(text, &items[i], telling);
}

/* Several styles or factories in one report: the table that is read first. For src/cli. */
#include "report/content_season.h"

#include <string.h>

static const char *cell_text(Arena *arena, const SeasonCell *cell)
{
    const Finding *worst = cell->worst;
    Text text = {0};
    text_add(&text, cell->word);
    text_addf(&text, ": %zu flag, %zu unknown, %zu tight", cell->flags, cell->unknowns,
              cell->tight);
    if (worst != NULL)
        text_addf(&text, "; first %c %s, %s: %s", verdict_sign(worst->verdict),
                  verdict_name(worst->verdict), class_name(worst->rule->class), worst->place);
    const char *copy = arena_copy(arena, text.bytes, text.length);
    text_free(&text);
    return copy;
}

void report_season(Report *report, const Season *season)
{
    Arena *arena = report_arena(report);
    size_t count = season->factory_count + 1;
    ReportColumn *columns = ARENA_NEW(arena, ReportColumn, count);
    const char **cells = ARENA_NEW(arena, const char *, count);
    Text said = {0};
    season_say(&said, season);
    report_status(report,
                  season->held > 0        ? REPORT_BAD
                  : season->permitted > 0 ? REPORT_CAREFUL
                                          : REPORT_GOOD,
                  season->held > 0 ? "Held" : "Released", text_string(&said));
    text_free(&said);
    columns[0] = (ReportColumn){"style", false};
    for (size_t f = 0; f < season->factory_count; f++)
        columns[f + 1] = (ReportColumn){season->factories[f], false};
    report_table(report, "Styles by factory", columns, count);
    for (size_t s = 0; s < season->style_count; s++) {
        cells[0] = season->styles[s];
        for (size_t f = 0; f < season->factory_count; f++)
            cells[f + 1] = cell_text(arena, season_cell(season, s, f));
        report_row(report, cells, arena_printf(arena, "s%zu", s * season->factory_count + 1));
    }
}

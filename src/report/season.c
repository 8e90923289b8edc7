/* The table over many styles and factories. For check and report. */
#include "report/season.h"

#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"

/* --- the model --------------------------------------------------------------------- */

static const char *style_name(Arena *arena, const Style *style)
{
    const char *alternative = style->alternative;
    return arena_printf(arena, "%s %s%s%s", style->code, style->name,
                        alternative != NULL ? ", " : "", alternative != NULL ? alternative : "");
}

/* Flags, unknowns and critical tight ones without a permit that holds. */
static bool is_open(const Decisions *decisions, const Finding *finding)
{
    const Decided *decided = decision_of(decisions, finding);
    bool critical = finding->rule->class == CLASS_CRITICAL;
    bool permitted = decided != NULL && decided->state == STATE_HOLDS &&
                     decided->record->decision == DECISION_PERMIT;
    return !permitted && (finding->verdict != VERDICT_TIGHT || critical);
}

/* Findings stand in order of weight. */
static const Finding *find_worst(const Decisions *decisions)
{
    const Judgement *judgement = decisions->judgement;
    const Finding *first = NULL;
    for (size_t i = 0; i < judgement->count; i++) {
        const Finding *finding = &judgement->findings[i];
        if (!told_to_settle(finding))
            continue;
        if (is_open(decisions, finding))
            return finding;
        if (first == NULL)
            first = finding;
    }
    return first;
}

static SeasonCell cell_of(const Decisions *decisions)
{
    const size_t *tally = decisions->judgement->tally;
    const Finding *worst = find_worst(decisions);
    int release = log_release(decisions);
    Verdict verdict = worst != NULL ? worst->verdict : release == 2 ? VERDICT_OUT : VERDICT_PASS;
    return (SeasonCell){.decisions = decisions,
                        .worst = worst,
                        .verdict = verdict,
                        .flags = tally[VERDICT_FLAG],
                        .unknowns = tally[VERDICT_UNKNOWN],
                        .tight = tally[VERDICT_TIGHT],
                        .release = release,
                        .word = told_release(decisions)};
}

static void count_cell(Season *season, const SeasonCell *cell)
{
    if (cell->release != 0)
        season->held++;
    else if (cell->decisions->permitted > 0)
        season->permitted++;
    else
        season->released++;
}

Season *season_new(const Told *items, size_t style_count, size_t factory_count)
{
    Season *season = memory_new(1, sizeof *season);
    Arena *arena = &season->arena;
    season->style_count = style_count;
    season->factory_count = factory_count;
    season->styles = ARENA_NEW(arena, const char *, style_count);
    season->factories = ARENA_NEW(arena, const char *, factory_count);
    season->cells = ARENA_NEW(arena, SeasonCell, style_count * factory_count);
    for (size_t i = 0; i < style_count * factory_count; i++) {
        const Judgement *judgement = items[i].decisions->judgement;
        season->cells[i] = cell_of(items[i].decisions);
        season->styles[i / factory_count] = style_name(arena, judgement->style);
        season->factories[i % factory_count] =
            judgement->factory != NULL ? judgement->factory->name : "no factory";
        count_cell(season, &season->cells[i]);
    }
    return season;
}

void season_free(Season *season)
{
    arena_free(&season->arena);
    free(season);
}

const SeasonCell *season_cell(const Season *season, size_t style, size_t factory)
{
    return &season->cells[style * season->factory_count + factory];
}

void season_say(Text *text, const Season *season)
{
    text_addf(text,
              "%zu style%s at %zu factor%s: %zu released, %zu released with deviation permits, "
              "%zu held",
              season->style_count, season->style_count == 1 ? "" : "s", season->factory_count,
              season->factory_count == 1 ? "y" : "ies", season->released, season->permitted,
              season->held);
}

/* --- as text ------------------------------------------------------------------------ */

enum { COLUMNS = 80, FIRST = 34, INDENT = 4 };

/* Adds the name cut to `cells`, with an ellipsis where it is longer, and filled with blanks. */
static void add_fitted(Text *text, const char *name, int cells)
{
    Text visible = {0};
    text_add_visible(&visible, name, strlen(name));
    text_add(&visible, "");
    int width = utf8_cells(visible.bytes);
    bool cut = width > cells;
    while (width > cells - cut) {
        while (visible.length > 0 && (visible.bytes[visible.length - 1] & 0xC0) == 0x80)
            visible.length--;
        visible.length--;
        visible.bytes[visible.length] = '\0';
        width = utf8_cells(visible.bytes);
    }
    text_addf(text, "%s%s%*s", visible.bytes, cut ? "…" : "", cells - width - cut, "");
    text_free(&visible);
}

static const char *release_word(const SeasonCell *cell)
{
    return cell->release == 0   ? cell->decisions->permitted > 0 ? "permits" : "released"
           : cell->release == 1 ? "held"
                                : "not judged";
}

/* "critical, bend vamp.throat.1: Clips in a turned edge  [turn-clip-pitch]" */
static void add_worst(Text *text, const Finding *worst)
{
    Text line = {0}, title = {0};
    text_addf(text, "%*s", INDENT, "");
    text_addf(&line, "%s, %s: ", class_name(worst->rule->class), worst->place);
    text_add_visible(&title, worst->rule->title, strlen(worst->rule->title));
    text_addf(&line, "%s [%s]", text_string(&title), worst->rule->id);
    text_add_wrapped(text, line.bytes, COLUMNS, INDENT);
    text_add(text, "\n");
    text_free(&line);
    text_free(&title);
}

static void add_cell(Text *text, const SeasonCell *cell, const char *factory)
{
    text_add(text, "  ");
    add_fitted(text, factory, FIRST - 2);
    text_addf(text, "  %c %-7s %5zu %8zu %6zu  %s\n", verdict_sign(cell->verdict),
              cell->verdict == VERDICT_OUT ? "none" : verdict_name(cell->verdict), cell->flags,
              cell->unknowns, cell->tight, release_word(cell));
    if (cell->worst != NULL)
        add_worst(text, cell->worst);
}

void season_text(Text *text, const Season *season)
{
    Text say = {0};
    season_say(&say, season);
    text_add_wrapped(text, say.bytes, COLUMNS, 0);
    text_free(&say);
    text_addf(text, "\n\n%-*s  %-9s %5s %8s %6s  %s\n", FIRST, "style, factory: the worst below",
              "verdict", "flags", "unknowns", "tight", "release");
    for (size_t s = 0; s < season->style_count; s++) {
        add_fitted(text, season->styles[s], COLUMNS - 1);
        while (text->length > 0 && text->bytes[text->length - 1] == ' ')
            text->bytes[--text->length] = '\0';
        text_add(text, "\n");
        for (size_t f = 0; f < season->factory_count; f++)
            add_cell(text, season_cell(season, s, f), season->factories[f]);
    }
}

/* The tree of a report: what is added to it. For whoever reports. */
#include "report/report_inside.h"

#include <stdlib.h>
#include <string.h>

Report *report_new(const char *title)
{
    Report *report = memory_new(1, sizeof *report);
    report->prefix = "";
    report->root = (Section){.anchor = "top", .count = REPORT_UNCOUNTED, .level = 1};
    report->open = &report->root;
    Text text = {0};
    text_add_visible(&text, title, strlen(title));
    report->root.title = arena_copy(&report->arena, text_string(&text), text.length);
    text_free(&text);
    return report;
}

static void free_figures(const Section *section)
{
    for (size_t i = 0; i < section->block_count; i++) {
        const Block *block = &section->blocks[i];
        if (block->kind == BLOCK_SECTION)
            free_figures(block->section);
        else if (block->kind == BLOCK_FIGURE)
            figure_free(block->figure);
    }
}

void report_free(Report *report)
{
    if (report == NULL)
        return;
    free_figures(&report->root);
    arena_free(&report->arena);
    free(report);
}

Arena *report_arena(Report *report)
{
    return &report->arena;
}

void report_prefix(Report *report, const char *prefix)
{
    report->prefix = arena_copy(&report->arena, prefix, strlen(prefix));
}

/* ---- Words ---- */

static const char *visible(Report *report, const char *string)
{
    if (string == NULL)
        return "";
    Text text = {0};
    text_add_visible(&text, string, strlen(string));
    const char *copy = arena_copy(&report->arena, text_string(&text), text.length);
    text_free(&text);
    return copy;
}

static Block *add_block(Report *report, BlockKind kind, const char *lead, const char *text)
{
    Section *section = report->open;
    Block *block =
        ARENA_PUSH(&report->arena, section->blocks, section->block_count, section->block_capacity);
    *block = (Block){.kind = kind,
                     .lead = lead != NULL ? visible(report, lead) : NULL,
                     .text = visible(report, text)};
    return block;
}

static void add_words(Report *report, BlockKind kind, const char *lead, const char *format,
                      va_list arguments)
{
    Text text = {0};
    text_addv(&text, format, arguments);
    add_block(report, kind, lead, text_string(&text));
    text_free(&text);
}

void report_status(Report *report, ReportTone tone, const char *word, const char *why)
{
    add_block(report, BLOCK_STATUS, word, why)->tone = tone;
}

void report_paragraph(Report *report, const char *lead, const char *text)
{
    add_block(report, BLOCK_PARAGRAPH, lead, text);
}

void report_paragraphf(Report *report, const char *lead, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    add_words(report, BLOCK_PARAGRAPH, lead, format, arguments);
    va_end(arguments);
}

void report_item(Report *report, const char *text)
{
    add_block(report, BLOCK_ITEM, NULL, text);
}

void report_itemf(Report *report, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    add_words(report, BLOCK_ITEM, NULL, format, arguments);
    va_end(arguments);
}

void report_pair(Report *report, const char *name, const char *text)
{
    add_block(report, BLOCK_PAIR, name, text);
}

void report_pairf(Report *report, const char *name, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    add_words(report, BLOCK_PAIR, name, format, arguments);
    va_end(arguments);
}

void report_share(Report *report, double share, const char *words)
{
    add_block(report, BLOCK_SHARE, NULL, words)->share = share < 0 ? 0 : share > 1 ? 1 : share;
}

void report_signature(Report *report, const char *role)
{
    add_block(report, BLOCK_SIGNATURE, role, NULL);
}

/* ---- Sections ---- */

static Section *open_section(Report *report, const char *anchor, const char *title)
{
    Section *parent = report->open;
    Section *section = ARENA_NEW(&report->arena, Section, 1);
    *section = (Section){
        .anchor = arena_printf(&report->arena, "%s%s", report->prefix, anchor),
        .title = visible(report, title),
        .count = REPORT_UNCOUNTED,
        .level = parent->level < REPORT_LEVEL_MOST ? parent->level + 1 : REPORT_LEVEL_MOST,
        .parent = parent,
    };
    add_block(report, BLOCK_SECTION, NULL, NULL)->section = section;
    report->open = section;
    return section;
}

void report_open(Report *report, const char *anchor, const char *title, long count)
{
    open_section(report, anchor, title)->count = count;
}

void report_open_finding(Report *report, const char *anchor, const char *title, Verdict verdict,
                         const char *class, size_t number)
{
    Section *section = open_section(report, anchor, title);
    section->is_finding = true;
    section->verdict = verdict;
    section->class = visible(report, class);
    section->number = number;
}

void report_close(Report *report)
{
    if (report->open->parent != NULL)
        report->open = report->open->parent;
}

/* ---- Tables and pictures ---- */

void report_table(Report *report, const char *caption, const ReportColumn *columns, size_t count)
{
    Table *table = ARENA_NEW(&report->arena, Table, 1);
    table->caption = visible(report, caption);
    table->columns = ARENA_NEW(&report->arena, ReportColumn, count);
    table->column_count = count;
    for (size_t i = 0; i < count; i++)
        table->columns[i] = (ReportColumn){visible(report, columns[i].title), columns[i].number};
    add_block(report, BLOCK_TABLE, NULL, NULL)->table = table;
}

/* Of the last table, which the last block of the open section is. */
void report_row(Report *report, const char *const *cells, const char *anchor)
{
    Section *section = report->open;
    Table *table =
        section->block_count > 0 ? section->blocks[section->block_count - 1].table : NULL;
    if (table == NULL)
        return;
    size_t cell_count = table->row_count * table->column_count;
    for (size_t i = 0; i < table->column_count; i++)
        *ARENA_PUSH(&report->arena, table->cells, cell_count, table->cell_capacity) =
            visible(report, cells[i]);
    size_t rows = table->row_count;
    *ARENA_PUSH(&report->arena, table->anchors, rows, table->row_capacity) =
        anchor != NULL ? arena_printf(&report->arena, "%s%s", report->prefix, anchor) : NULL;
    table->row_count = rows;
}

size_t report_figure(Report *report, Figure figure)
{
    Block *block = add_block(report, BLOCK_FIGURE, NULL, NULL);
    block->figure = ARENA_NEW(&report->arena, Figure, 1);
    *block->figure = figure;
    block->figure->title =
        arena_printf(&report->arena, "Picture %zu: %s", ++report->figures,
                     figure.title != NULL ? visible(report, figure.title) : "a place");
    block->number = report->figures;
    return report->figures;
}

static const char **copy_names(Report *report, const char *const *names, size_t count)
{
    const char **copies = ARENA_NEW(&report->arena, const char *, count);
    for (size_t i = 0; i < count; i++)
        copies[i] = visible(report, names[i]);
    return copies;
}

void report_strip(Report *report, const char *const *sizes, size_t size_count,
                  const char *const *colourways, size_t colourway_count, const Verdict *verdicts)
{
    Strip *strip = ARENA_NEW(&report->arena, Strip, 1);
    size_t count = size_count * colourway_count;
    *strip = (Strip){copy_names(report, sizes, size_count),
                     copy_names(report, colourways, colourway_count), size_count, colourway_count,
                     ARENA_NEW(&report->arena, Verdict, count)};
    memcpy(strip->verdicts, verdicts, count * sizeof *verdicts);
    add_block(report, BLOCK_STRIP, NULL, NULL)->strip = strip;
}

/* ---- What the writers share ---- */

bool block_continues(const Section *section, size_t block)
{
    return block > 0 && section->blocks[block].kind == section->blocks[block - 1].kind;
}

void section_add_verdict(Text *text, const Section *section)
{
    text_addf(text, "%c %s, %s", verdict_sign(section->verdict), verdict_name(section->verdict),
              section->class);
}

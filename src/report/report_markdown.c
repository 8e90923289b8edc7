/* A report as Markdown (CommonMark, with the tables that most readers of it know). For whoever
 * shows one. */
#include "report/report_inside.h"

#include <string.h>

enum { PICTURE_WIDE = 80, PICTURE_HIGH = 22 };

/* What would mean something to a reader of Markdown means itself; addresses do not become
 * links. */
static void add_escaped(Text *out, const char *string)
{
    for (const char *at = string; *at != '\0'; at++) {
        bool begins = at == string && strchr("+-=>", *at) != NULL;
        bool listed = at > string && at[-1] >= '0' && at[-1] <= '9' && (*at == '.' || *at == ')') &&
                      strspn(string, "0123456789") == (size_t)(at - string);
        bool link = (*at == ':' && at[1] == '/') ||
                    (*at == '.' && at >= string + 3 && strncmp(at - 3, "www", 3) == 0);
        if (*at == '&' || *at == '<')
            text_add(out, *at == '&' ? "&amp;" : "&lt;");
        else if (begins || listed || link || strchr("\\`*_[]|~@$#", *at) != NULL)
            text_addf(out, "\\%c", *at);
        else
            text_add_bytes(out, at, 1);
    }
}

/* ---- Tables and pictures ---- */

static void add_rule(Text *out, const Table *table)
{
    for (size_t c = 0; c < table->column_count; c++)
        text_add(out, table->columns[c].number ? "| ---: " : "| --- ");
    text_add(out, "|\n");
}

static void add_table(Text *out, const Table *table)
{
    if (table->caption[0] != '\0') {
        text_add(out, "**");
        add_escaped(out, table->caption);
        text_add(out, "**\n\n");
    }
    for (size_t c = 0; c < table->column_count; c++) {
        text_add(out, "| ");
        add_escaped(out, table->columns[c].title);
        text_add(out, " ");
    }
    text_add(out, "|\n");
    add_rule(out, table);
    for (size_t i = 0; i < table->row_count * table->column_count; i++) {
        text_add(out, "| ");
        add_escaped(out, table->cells[i]);
        text_add(out, (i + 1) % table->column_count == 0 ? " |\n" : " ");
    }
}

static void add_strip(Text *out, const Strip *strip)
{
    text_add(out, "| colourway ");
    for (size_t s = 0; s < strip->size_count; s++) {
        text_add(out, "| ");
        add_escaped(out, strip->sizes[s]);
        text_add(out, " ");
    }
    text_add(out, "|\n");
    for (size_t s = 0; s <= strip->size_count; s++)
        text_add(out, "| --- ");
    text_add(out, "|\n");
    for (size_t c = 0; c < strip->colourway_count; c++) {
        text_add(out, "| ");
        add_escaped(out, strip->colourways[c]);
        for (size_t s = 0; s < strip->size_count; s++)
            text_addf(out, " | `%c`", verdict_sign(strip->verdicts[c * strip->size_count + s]));
        text_add(out, " |\n");
    }
}

static void add_share(Text *out, const Block *block)
{
    enum { BAR = 20 };
    int filled = (int)(block->share * BAR + 0.5);
    if (filled == 0 && block->share > 0)
        filled = 1;
    text_add(out, "**Risk:** `");
    for (int i = 0; i < BAR; i++)
        text_add(out, i < filled ? "#" : ".");
    text_add(out, "` ");
    add_escaped(out, block->text);
    text_add(out, "\n");
}

/* A fence longer than any run of the sign inside. */
static void add_fence(Text *out, const char *inside)
{
    size_t longest = 2;
    for (const char *at = inside; *at != '\0';) {
        size_t run = strspn(at, "`");
        longest = run > longest ? run : longest;
        at += run > 0 ? run : 1;
    }
    for (size_t i = 0; i <= longest; i++)
        text_add(out, "`");
}

static void add_figure(Text *out, const Block *block)
{
    Text picture = {0};
    figure_text(&picture, block->figure, (CellStyle){true, PICTURE_WIDE, PICTURE_HIGH});
    add_fence(out, text_string(&picture));
    text_addf(out, "text\n%s", text_string(&picture));
    add_fence(out, text_string(&picture));
    text_add(out, "\n");
    text_free(&picture);
}

/* ---- Blocks and sections ---- */

static void add_led(Text *out, const char *before, const char *lead, const char *text)
{
    text_add(out, before);
    if (lead != NULL) {
        text_add(out, "**");
        add_escaped(out, lead);
        text_add(out, ":** ");
    }
    add_escaped(out, text);
    text_add(out, "\n");
}

static void add_block(Text *out, const Block *block)
{
    switch (block->kind) {
    case BLOCK_SECTION:
        break;
    case BLOCK_STATUS:
        add_led(out, "> ", block->lead, block->text);
        break;
    case BLOCK_PARAGRAPH:
        add_led(out, "", block->lead, block->text);
        break;
    case BLOCK_ITEM:
    case BLOCK_PAIR:
        add_led(out, "- ", block->lead, block->text);
        break;
    case BLOCK_TABLE:
        add_table(out, block->table);
        break;
    case BLOCK_FIGURE:
        add_figure(out, block);
        break;
    case BLOCK_STRIP:
        add_strip(out, block->strip);
        break;
    case BLOCK_SHARE:
        add_share(out, block);
        break;
    case BLOCK_SIGNATURE:
        add_led(out, "", block->lead, "name ………………………………  date ………………  signature ………………………………");
        break;
    }
}

static void add_heading(Text *out, const Section *section)
{
    for (int i = 0; i < section->level; i++)
        text_add(out, "#");
    text_add(out, " ");
    if (section->is_finding) {
        Text verdict = {0};
        section_add_verdict(&verdict, section);
        text_addf(out, "%zu. ", section->number);
        add_escaped(out, verdict.bytes);
        text_add(out, ": ");
        text_free(&verdict);
    }
    add_escaped(out, section->title);
    text_add(out, "\n");
}

static void add_section(Text *out, const Section *section)
{
    add_heading(out, section);
    for (size_t i = 0; i < section->block_count; i++) {
        const Block *block = &section->blocks[i];
        bool list = block->kind == BLOCK_ITEM || block->kind == BLOCK_PAIR;
        if (!list || !block_continues(section, i))
            text_add(out, "\n");
        if (block->kind == BLOCK_SECTION)
            add_section(out, block->section);
        else
            add_block(out, block);
    }
}

void report_markdown(Text *out, const Report *report)
{
    add_section(out, &report->root);
}

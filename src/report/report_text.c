/* A report as text of 80 columns, in letters that every printer has. For whoever shows one. */
#include "report/report_inside.h"

#include <string.h>

#include "base/utf8.h"

enum { COLUMNS = 80, GAP = 2, NARROWEST = 9, PICTURE_HIGH = 22, LIST_NAME = 14 };

static void add_repeated(Text *out, char sign, int count)
{
    for (int i = 0; i < count; i++)
        text_add_bytes(out, &sign, 1);
}

static void add_wrapped(Text *out, const char *lead, const char *text, int indent)
{
    text_add(out, lead);
    text_add_wrapped(out, text, COLUMNS, indent);
    text_add(out, "\n");
}

/* ---- Tables ---- */

static int greater(int a, int b)
{
    return a > b ? a : b;
}

/* Widths as the cells want them, the widest narrowed until all fit; false if they cannot. */
static bool fit_widths(const Table *table, int *widths)
{
    int sum = GAP * ((int)table->column_count - 1);
    for (size_t c = 0; c < table->column_count; c++) {
        widths[c] = greater(utf8_cells(table->columns[c].title), 1);
        for (size_t r = 0; r < table->row_count; r++) {
            int cells = utf8_cells(table->cells[r * table->column_count + c]);
            widths[c] = greater(widths[c], cells < COLUMNS ? cells : COLUMNS);
        }
        sum += widths[c];
    }
    while (sum > COLUMNS) {
        size_t widest = 0;
        for (size_t c = 1; c < table->column_count; c++)
            if (widths[c] > widths[widest])
                widest = c;
        if (widths[widest] <= NARROWEST)
            return false;
        widths[widest]--;
        sum--;
    }
    return true;
}

/* The next line of a wrapped cell, padded; what is left of it stays in `at`. */
static void add_cell_line(Text *out, const char **at, int width, bool flush_right, bool last)
{
    size_t length = strcspn(*at, "\n");
    Text line = {0};
    text_add_bytes(&line, *at, length);
    int pad = greater(width - utf8_cells(line.bytes), 0);
    add_repeated(out, ' ', flush_right ? pad : 0);
    text_add(out, line.bytes);
    add_repeated(out, ' ', last || flush_right ? 0 : pad);
    text_free(&line);
    *at += length + ((*at)[length] == '\n');
}

static void trim_blanks(Text *out)
{
    while (out->length > 0 && out->bytes[out->length - 1] == ' ')
        out->bytes[--out->length] = '\0';
}

/* Where a word longer than its column is parted: after a stop, slash, dash or the like; 0:
 * nowhere. */
static size_t joint_of(const char *word, size_t length, int width)
{
    size_t joint = 0;
    for (size_t at = 0; at < length && at < (size_t)width; at++)
        if (strchr("./_-:", word[at]) != NULL)
            joint = at + 1;
    return joint;
}

/* Names and paths, broken at their joints where the column does not take them whole. */
static void add_parted(Text *out, const char *cell, int width)
{
    while (*cell != '\0') {
        size_t length = strcspn(cell, " \n"), joint;
        while (length > (size_t)width && (joint = joint_of(cell, length, width)) > 0) {
            text_add_bytes(out, cell, joint);
            text_add(out, "\n");
            cell += joint;
            length -= joint;
        }
        text_add_bytes(out, cell, length);
        cell += length;
        if (*cell != '\0')
            text_add_bytes(out, cell++, 1);
    }
}

static void add_table_row(Text *out, const Table *table, const int *widths,
                          const char *const *cells)
{
    Arena arena = {0};
    Text *wrapped = ARENA_NEW(&arena, Text, table->column_count);
    const char **at = ARENA_NEW(&arena, const char *, table->column_count);
    for (size_t c = 0; c < table->column_count; c++) {
        Text parted = {0};
        add_parted(&parted, cells[c], widths[c]);
        text_add_wrapped(&wrapped[c], text_string(&parted), widths[c], 0);
        text_free(&parted);
        at[c] = text_string(&wrapped[c]);
    }
    for (bool more = true; more;) {
        more = false;
        for (size_t c = 0; c < table->column_count; c++) {
            bool last = c + 1 == table->column_count;
            add_cell_line(out, &at[c], widths[c], table->columns[c].number, last);
            add_repeated(out, ' ', last ? 0 : GAP);
            more = more || *at[c] != '\0';
        }
        trim_blanks(out);
        text_add(out, "\n");
    }
    for (size_t c = 0; c < table->column_count; c++)
        text_free(&wrapped[c]);
    arena_free(&arena);
}

/* Where columns do not fit side by side: one cell below the other. */
static void add_records(Text *out, const Table *table)
{
    for (size_t r = 0; r < table->row_count; r++)
        for (size_t c = 0; c < table->column_count; c++) {
            Text lead = {0};
            text_addf(&lead, "%s%s: ", c == 0 ? "- " : "  ", table->columns[c].title);
            add_wrapped(out, lead.bytes, table->cells[r * table->column_count + c], 4);
            text_free(&lead);
        }
}

static void add_table(Text *out, const Table *table)
{
    Arena arena = {0};
    int *widths = ARENA_NEW(&arena, int, table->column_count);
    const char **titles = ARENA_NEW(&arena, const char *, table->column_count);
    if (table->caption[0] != '\0') {
        add_wrapped(out, "", table->caption, 0);
        text_add(out, "\n");
    }
    if (!fit_widths(table, widths)) {
        add_records(out, table);
        arena_free(&arena);
        return;
    }
    for (size_t c = 0; c < table->column_count; c++)
        titles[c] = table->columns[c].title;
    add_table_row(out, table, widths, titles);
    for (size_t c = 0; c < table->column_count; c++) {
        add_repeated(out, '-', widths[c]);
        add_repeated(out, ' ', c + 1 < table->column_count ? GAP : 0);
    }
    text_add(out, "\n");
    for (size_t r = 0; r < table->row_count; r++)
        add_table_row(out, table, widths, &table->cells[r * table->column_count]);
    arena_free(&arena);
}

/* ---- Strips, shares, pictures ---- */

static void add_padded(Text *out, const char *string, int width, bool right)
{
    int pad = greater(width - utf8_cells(string), 0);
    add_repeated(out, ' ', right ? pad : 0);
    text_add(out, string);
    add_repeated(out, ' ', right ? 0 : pad);
}

/* As many sizes side by side as fit, then the next ones below. */
static void add_strip(Text *out, const Strip *strip)
{
    enum { NAME_MOST = 24 };
    int name = 0, cell = 1;
    for (size_t i = 0; i < strip->colourway_count; i++)
        name = greater(name, utf8_cells(strip->colourways[i]));
    for (size_t i = 0; i < strip->size_count; i++)
        cell = greater(cell, utf8_cells(strip->sizes[i]));
    name = name < NAME_MOST ? name : NAME_MOST;
    cell = cell < NAME_MOST ? cell : NAME_MOST;
    size_t band = (size_t)greater((COLUMNS - 2 - name) / (cell + 1), 1);
    for (size_t from = 0; from < strip->size_count; from += band) {
        size_t to = from + band < strip->size_count ? from + band : strip->size_count;
        add_repeated(out, ' ', 2 + name);
        for (size_t s = from; s < to; s++) {
            text_add(out, " ");
            add_padded(out, strip->sizes[s], cell, true);
        }
        trim_blanks(out);
        text_add(out, "\n");
        for (size_t c = 0; c < strip->colourway_count; c++) {
            text_add(out, "  ");
            add_padded(out, strip->colourways[c], name, false);
            for (size_t s = from; s < to; s++) {
                char sign[] = {verdict_sign(strip->verdicts[c * strip->size_count + s]), '\0'};
                text_add(out, " ");
                add_padded(out, sign, cell, true);
            }
            text_add(out, "\n");
        }
    }
}

static void add_share(Text *out, const Block *block)
{
    enum { BAR = 40 };
    int filled = (int)(block->share * BAR + 0.5);
    if (filled == 0 && block->share > 0)
        filled = 1;
    text_add(out, "Risk: [");
    add_repeated(out, '#', filled);
    add_repeated(out, '.', BAR - filled);
    text_add(out, "] ");
    text_add_wrapped(out, block->text, COLUMNS, 2);
    text_add(out, "\n");
}

/* ---- Blocks ---- */

static void add_status(Text *out, const Block *block)
{
    add_repeated(out, '*', COLUMNS);
    text_add(out, "\n");
    Text lead = {0};
    text_addf(&lead, "%s: ", block->lead);
    add_wrapped(out, lead.bytes, block->text, 2);
    text_free(&lead);
    add_repeated(out, '*', COLUMNS);
    text_add(out, "\n");
}

static void add_pair(Text *out, const Block *block)
{
    Text lead = {0};
    text_addf(&lead, "%s:", block->lead);
    add_padded(out, lead.bytes, LIST_NAME, false);
    if (utf8_cells(lead.bytes) >= LIST_NAME)
        text_add(out, " ");
    add_wrapped(out, "", block->text, LIST_NAME);
    text_free(&lead);
}

static void add_signature(Text *out, const Block *block)
{
    add_wrapped(out, "", block->lead, 2);
    text_add(out, "\n  name ______________________  date ____________  "
                  "signature ____________________\n");
}

static void add_block(Text *out, const Block *block)
{
    switch (block->kind) {
    case BLOCK_SECTION:
        break;
    case BLOCK_STATUS:
        add_status(out, block);
        break;
    case BLOCK_PARAGRAPH: {
        Text lead = {0};
        if (block->lead != NULL)
            text_addf(&lead, "%s: ", block->lead);
        add_wrapped(out, text_string(&lead), block->text, block->lead != NULL ? 2 : 0);
        text_free(&lead);
        break;
    }
    case BLOCK_ITEM:
        add_wrapped(out, "- ", block->text, 2);
        break;
    case BLOCK_PAIR:
        add_pair(out, block);
        break;
    case BLOCK_TABLE:
        add_table(out, block->table);
        break;
    case BLOCK_FIGURE:
        figure_text(out, block->figure, (CellStyle){true, COLUMNS, PICTURE_HIGH});
        break;
    case BLOCK_STRIP:
        add_strip(out, block->strip);
        break;
    case BLOCK_SHARE:
        add_share(out, block);
        break;
    case BLOCK_SIGNATURE:
        add_signature(out, block);
        break;
    }
}

/* ---- Sections ---- */

static void add_heading(Text *out, const Section *section)
{
    static const char lines[] = "==-";
    size_t from = out->length;
    Text lead = {0};
    if (section->is_finding) {
        text_addf(&lead, "%zu. ", section->number);
        section_add_verdict(&lead, section);
        text_add(&lead, ": ");
    }
    add_wrapped(out, text_string(&lead), section->title, 2);
    text_free(&lead);
    if ((size_t)section->level >= sizeof lines)
        return;
    const char *last = strchr(out->bytes + from, '\n');
    int width = COLUMNS;
    if (last != NULL && last[1] == '\0')
        width = utf8_cells(out->bytes + from) - 1;
    add_repeated(out, lines[section->level - 1], width);
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

void report_text(Text *out, const Report *report)
{
    add_section(out, &report->root);
}

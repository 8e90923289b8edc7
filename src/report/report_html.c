/* A report as one HTML file: no script, nothing from elsewhere. For whoever shows one. */
#include "report/report_inside.h"

#include <math.h>
#include <string.h>

enum { STRIP_BAND = 14 };
static const double picture_wide = 88, graph_wide = 120; /* mm */

static const char *const verdict_marks[VERDICT_COUNT] = {
    [VERDICT_OUT] = "out",         [VERDICT_PASS] = "pass", [VERDICT_TIGHT] = "tight",
    [VERDICT_UNKNOWN] = "unknown", [VERDICT_FLAG] = "flag", [VERDICT_OFF] = "off"};

/* Verdicts differ by word, sign and kind of line, so that a print without colour and without
 * grounds still tells them apart. */
static const char style_base[] =
    ":root{color-scheme:light dark;--ink:#1a1a1a;--soft:#555;--page:#fff;--line:#b5b5b5;"
    "--ground:#f4f4f2;--bad:#a33b00;--warn:#7a5200;--good:#0b5d3b;--link:#0b4f8a}\n"
    "@media (prefers-color-scheme:dark){:root{--ink:#e8e8e6;--soft:#b0b0ac;--page:#161616;"
    "--line:#5a5a58;--ground:#222220;--bad:#ff9a66;--warn:#f0c060;--good:#6fd3a4;--link:#8cc4ff}}\n"
    "*{box-sizing:border-box}\n"
    "html{-webkit-text-size-adjust:100%}\n"
    "body{margin:0 auto;padding:1.5rem 1.25rem 4rem;max-width:62rem;color:var(--ink);"
    "background:var(--page);font:1rem/1.5 system-ui,"
    "sans-serif;overflow-wrap:anywhere}\n"
    "h1{font-size:1.7rem;line-height:1.2;margin:0 0 1rem}\n"
    "h2{font-size:1.35rem;line-height:1.25;margin:2.5rem 0 .8rem;padding-bottom:.25rem;"
    "border-bottom:2px solid var(--ink)}\n"
    "h3{font-size:1.15rem;margin:2rem 0 .6rem}\n"
    "h4,h5,h6{font-size:1rem;margin:0 0 .5rem}\n"
    "p{margin:.5rem 0;max-width:46rem}\n"
    "a{color:var(--link)}\n"
    "ul,ol{margin:.5rem 0;padding-left:1.4rem}\n"
    ".status{border:3px solid;border-left-width:14px;padding:.8rem 1rem;margin:0 0 1.25rem;"
    "max-width:none}\n"
    ".status strong{display:block;font-size:1.4rem;line-height:1.2;margin-bottom:.2rem}\n"
    ".status span{color:var(--ink)}\n"
    ".bad{color:var(--bad)}.careful{color:var(--warn);border-style:double}"
    ".good{color:var(--good)}\n"
    "dl{display:grid;grid-template-columns:minmax(7rem,max-content) 1fr;gap:.25rem 1.25rem;"
    "margin:.8rem 0;font-size:.93rem}\n"
    "dt{font-weight:600;color:var(--soft)}dd{margin:0}\n"
    "nav{margin:1.5rem 0;padding:.7rem 1rem;background:var(--ground);"
    "border:1px solid var(--line)}\n"
    "nav h2{font-size:1rem;border:0;margin:0;padding:0}\n"
    "nav ol{list-style:none;margin:.3rem 0 0;padding:0;columns:17rem;column-gap:2rem}\n"
    "nav ol ol{columns:auto;padding-left:1.1rem;margin:0}\n"
    "nav li{break-inside:avoid}\n"
    ".count{color:var(--soft);font-variant-numeric:tabular-nums}\n"
    ".wide{position:relative;overflow-x:auto;margin:.8rem 0}\n";
static const char style_parts[] =
    "table{border-collapse:collapse;min-width:50%;font-size:.9rem;line-height:1.4}\n"
    "caption{text-align:left;font-weight:600;padding:.2rem 0}\n"
    "th,td{text-align:left;vertical-align:top;padding:.3rem .6rem .3rem 0;"
    "border-bottom:1px solid var(--line);font-weight:400}\n"
    "thead th{font-weight:600;border-bottom:1.5px solid var(--ink)}\n"
    ".list tbody th{overflow-wrap:break-word}\n"
    ".short{white-space:nowrap}\n"
    "td.number,th.number{text-align:right;font-variant-numeric:tabular-nums}\n"
    "table.strip{min-width:0;font-size:.85rem}\n"
    ".strip th,.strip td{padding:.1rem .35rem;text-align:center;white-space:nowrap;"
    "border:1px solid var(--line)}\n"
    ".strip tbody th{text-align:left;white-space:nowrap}\n"
    ".strip td{font-weight:700;min-width:1.7rem}\n"
    ".strip td.flag{border:2.5px solid var(--bad)}.strip td.unknown{border:2px dashed var(--ink)}"
    ".strip td.tight{border:3px double var(--warn)}.strip td.out,.strip td.pass{font-weight:400}\n"
    "article{border:1px solid var(--line);border-left:8px solid var(--line);margin:1rem 0;"
    "padding:.8rem 1rem}\n"
    "article.flag{border-left-color:var(--bad)}\n"
    "article.unknown{border-left-style:dashed;border-left-color:var(--ink)}\n"
    "article.tight{border-left-style:double;border-left-color:var(--warn)}\n"
    ".mark{display:inline-block;border:2px solid;padding:0 .4rem;margin-right:.5rem;"
    "font-size:.85rem;white-space:nowrap}\n"
    ".mark.flag{border-width:3px;color:var(--bad)}.mark.unknown{border-style:dashed}"
    ".mark.tight{border-style:double;border-width:3px;color:var(--warn)}\n"
    ".pictures{display:flex;flex-wrap:wrap;gap:1rem 1.5rem;margin:.8rem 0;align-items:flex-start}\n"
    "figure{margin:0;flex:1 1 20rem;max-width:34rem;min-width:0}\n"
    "figure svg{display:block;width:100%;height:auto;fill:currentColor;font-family:sans-serif}\n"
    "figcaption{font-size:.85rem;color:var(--soft);margin-top:.3rem}\n"
    "figcaption b{color:var(--ink)}figcaption span{display:block}\n"
    ".share{display:flex;flex-wrap:wrap;align-items:center;gap:.3rem .8rem;margin:.5rem 0}\n"
    ".share svg{width:60mm;max-width:100%;height:5mm;fill:none;stroke:currentColor}\n"
    ".sign{display:grid;grid-template-columns:2fr 1fr 2fr;gap:0 1.5rem;margin:0 0 1.2rem}\n"
    ".sign b{grid-column:1/-1}\n"
    ".sign span{border-top:1px solid var(--ink);margin-top:2.6rem;font-size:.8rem;"
    "color:var(--soft)}\n"
    ".unseen{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%);"
    "white-space:nowrap}\n";
static const char style_page[] =
    "@media (max-width:40rem){body{padding:1rem .8rem 3rem}dl{grid-template-columns:1fr;gap:0}"
    "dd{margin-bottom:.5rem}article{padding:.6rem .7rem}.sign{grid-template-columns:1fr}"
    "table.list thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}"
    "table.list,.list caption,.list tbody,.list tr,.list td,.list tbody th{display:block;"
    "width:auto}"
    ".strip th,.strip td{padding:.1rem .2rem;min-width:1.4rem}"
    ".list tr{border-bottom:1px solid var(--line);padding:.4rem 0}"
    ".list td,.list tbody th{border:0;padding:.05rem 0;text-align:left}"
    ".list tbody th{font-weight:600}"
    ".list td.short,.list td.number{display:inline-block;margin-right:1rem}"
    ".list td:not(:empty)::before{content:attr(data-head) \": \";color:var(--soft)}}\n"
    "@page{margin:16mm 14mm}\n"
    "@media print{:root{--ink:#000;--soft:#333;--page:#fff;--line:#888;--ground:#fff;--bad:#000;"
    "--warn:#000;--good:#000;--link:#000}body{max-width:none;padding:0;font-size:9.5pt;"
    "line-height:1.4}a{text-decoration:none}h1,h2,h3,h4,h5,h6{break-after:avoid}"
    "thead,caption,tbody tr:first-child{break-after:avoid}thead{display:table-header-group}"
    "nav,tr,figure,.signed,.status,.sign,.share,table.strip{break-inside:avoid}"
    ".wide{overflow:visible}p,li{orphans:3;widows:3}article{padding:.5rem .7rem}"
    "figure{flex:1 1 80mm;max-width:88mm}figure svg{max-height:62mm}"
    "dl{font-size:8.5pt}table{font-size:8.5pt;line-height:1.3}th,td{padding:.1rem .5rem .1rem 0}"
    "h2{margin-top:1.6rem}.sign span{margin-top:12mm}}\n";

static void add_escaped(Text *out, const char *string)
{
    for (const char *at = string; *at != '\0';) {
        size_t plain = strcspn(at, "&<>\"'");
        text_add_bytes(out, at, plain);
        at += plain;
        if (*at == '\0')
            break;
        text_add(out, *at == '&'   ? "&amp;"
                      : *at == '<' ? "&lt;"
                      : *at == '>' ? "&gt;"
                      : *at == '"' ? "&quot;"
                                   : "&#39;");
        at++;
    }
}

/* <tag>escaped</tag> */
static void add_element(Text *out, const char *tag, const char *string)
{
    text_addf(out, "<%s>", tag);
    add_escaped(out, string);
    text_addf(out, "</%.*s>", (int)strcspn(tag, " "), tag);
}

/* ---- Tables ---- */

/* Cells of a few letters are not broken. */
static bool is_short(const Table *table, size_t column)
{
    enum { SHORT = 20 };
    for (size_t r = 0; r < table->row_count; r++)
        if (strlen(table->cells[r * table->column_count + column]) > SHORT)
            return false;
    return strlen(table->columns[column].title) <= SHORT;
}

static const char *class_of(const Table *table, size_t column)
{
    if (table->columns[column].number)
        return " class=\"number\"";
    return is_short(table, column) ? " class=\"short\"" : "";
}

static void add_head_row(Text *out, const Table *table, const char *const *classes)
{
    text_add(out, "<thead><tr>");
    for (size_t c = 0; c < table->column_count; c++) {
        text_addf(out, "<th scope=\"col\"%s>", classes[c]);
        add_escaped(out, table->columns[c].title);
        text_add(out, "</th>");
    }
    text_add(out, "</tr></thead>\n");
}

static void add_first_cell(Text *out, const char *cell, const char *anchor)
{
    text_add(out, "<th scope=\"row\">");
    if (anchor != NULL)
        text_addf(out, "<a href=\"#%s\">", anchor);
    add_escaped(out, cell);
    text_add(out, anchor != NULL ? "</a></th>" : "</th>");
}

static void add_table(Text *out, const Table *table)
{
    Arena arena = {0};
    const char **classes = ARENA_NEW(&arena, const char *, table->column_count);
    for (size_t c = 0; c < table->column_count; c++)
        classes[c] = class_of(table, c);
    text_add(out, "<div class=\"wide\"><table class=\"list\">\n");
    if (table->caption[0] != '\0')
        add_element(out, "caption", table->caption);
    add_head_row(out, table, classes);
    text_add(out, "<tbody>\n");
    for (size_t r = 0; r < table->row_count; r++) {
        const char *const *cells = &table->cells[r * table->column_count];
        text_add(out, "<tr>");
        add_first_cell(out, cells[0], table->anchors[r]);
        for (size_t c = 1; c < table->column_count; c++) {
            text_addf(out, "<td%s data-head=\"", classes[c]);
            add_escaped(out, table->columns[c].title);
            text_add(out, "\">");
            add_escaped(out, cells[c]);
            text_add(out, "</td>");
        }
        text_add(out, "</tr>\n");
    }
    text_add(out, "</tbody></table></div>\n");
    arena_free(&arena);
}

/* ---- Strips and shares ---- */

static void add_band(Text *out, const Strip *strip, size_t from, size_t to)
{
    text_add(out, "<table class=\"strip\"><caption class=\"unseen\">Verdict by size and colourway"
                  "</caption>\n<thead><tr><td></td>");
    for (size_t s = from; s < to; s++)
        add_element(out, "th scope=\"col\"", strip->sizes[s]);
    text_add(out, "</tr></thead>\n<tbody>\n");
    for (size_t c = 0; c < strip->colourway_count; c++) {
        text_add(out, "<tr>");
        add_element(out, "th scope=\"row\"", strip->colourways[c]);
        for (size_t s = from; s < to; s++) {
            Verdict verdict = strip->verdicts[c * strip->size_count + s];
            text_addf(out, "<td class=\"%s\">%c<span class=\"unseen\"> %s</span></td>",
                      verdict_marks[verdict], verdict_sign(verdict), verdict_name(verdict));
        }
        text_add(out, "</tr>\n");
    }
    text_add(out, "</tbody></table>\n");
}

static void add_strip(Text *out, const Strip *strip)
{
    text_add(out, "<div class=\"wide\">\n");
    for (size_t from = 0; from < strip->size_count; from += STRIP_BAND) {
        size_t to = from + STRIP_BAND < strip->size_count ? from + STRIP_BAND : strip->size_count;
        add_band(out, strip, from, to);
    }
    text_add(out, "</div>\n");
}

/* Filled by slanted lines, which are seen in print too. */
static void add_share(Text *out, const Block *block)
{
    enum { WIDE = 120, HIGH = 10, STEP = 4 };
    int filled = (int)lround(block->share * WIDE);
    filled = filled < 2 && block->share > 0 ? 2 : filled;
    text_addf(
        out,
        "<div class=\"share\"><svg role=\"img\" viewBox=\"0 0 %d %d\"><title>Risk</title><desc>",
        WIDE, HIGH);
    add_escaped(out, block->text);
    text_addf(out, "</desc><rect x=\"0.5\" y=\"0.5\" width=\"%d\" height=\"%d\"/>", WIDE - 1,
              HIGH - 1);
    text_addf(out, "<path stroke-width=\"1.5\" d=\"M%d 0V%d", filled, HIGH);
    for (int x = STEP / 2; x < filled; x += STEP)
        text_addf(out, "M%d %dL%d 0", x > HIGH / 2 ? x - HIGH / 2 : 0, x > HIGH / 2 ? HIGH : x * 2,
                  x);
    text_add(out, "\"/></svg><span><b>Risk:</b> ");
    add_escaped(out, block->text);
    text_add(out, "</span></div>\n");
}

/* ---- Pictures ---- */

/* The lines of the notes, each in an element, or without one in a row. */
static void add_notes(Text *out, const char *notes, const char *tag)
{
    for (const char *at = notes; *at != '\0';) {
        size_t length = strcspn(at, "\n");
        Text line = {0};
        text_add_visible(&line, at, length);
        if (tag != NULL)
            add_element(out, tag, text_string(&line));
        else
            add_escaped(out, text_string(&line));
        text_add(out, tag == NULL ? " " : "");
        text_free(&line);
        at += length + (at[length] == '\n');
    }
}

/* The <svg> of the figure alone, named and described; title and notes stand below it, where
 * they are as large as other words. */
static void add_svg(Text *out, const Block *block)
{
    Figure bare = *block->figure;
    Text svg = {0};
    bare.title = NULL;
    bare.notes = (Text){0};
    figure_svg(&svg, &bare, bare.stretch > 0 ? picture_wide : graph_wide, false);
    const char *box = strstr(svg.bytes, "viewBox=\""), *title = strstr(svg.bytes, "</title>");
    text_add(out, "<svg role=\"img\" ");
    text_add_bytes(out, box, strcspn(box, "\"") + 1 + strcspn(strchr(box, '"') + 1, "\"") + 1);
    text_add(out, ">\n<title>");
    add_escaped(out, block->figure->title);
    text_add(out, "</title>\n<desc>");
    add_notes(out, text_string(&block->figure->notes), NULL);
    text_add(out, "</desc>\n");
    text_add(out, title + strlen("</title>\n"));
    text_free(&svg);
}

static void add_figure(Text *out, const Block *block)
{
    text_add(out, "<figure>\n");
    add_svg(out, block);
    text_add(out, "<figcaption>");
    add_element(out, "b", block->figure->title);
    add_notes(out, text_string(&block->figure->notes), "span");
    text_add(out, "</figcaption></figure>\n");
}

/* ---- Blocks ---- */

static void add_status(Text *out, const Block *block)
{
    static const char *const tones[] = {
        [REPORT_GOOD] = "good", [REPORT_CAREFUL] = "careful", [REPORT_BAD] = "bad"};
    text_addf(out, "<p class=\"status %s\">", tones[block->tone]);
    add_element(out, "strong", block->lead);
    text_add(out, " ");
    add_element(out, "span", block->text);
    text_add(out, "</p>\n");
}

static void add_paragraph(Text *out, const Block *block)
{
    text_add(out, "<p>");
    if (block->lead != NULL) {
        add_element(out, "b", block->lead);
        text_add(out, ": ");
    }
    add_escaped(out, block->text);
    text_add(out, "</p>\n");
}

static void add_pair(Text *out, const Block *block)
{
    add_element(out, "dt", block->lead);
    add_element(out, "dd", block->text);
    text_add(out, "\n");
}

static void add_signature(Text *out, const Block *block)
{
    text_add(out, "<div class=\"sign\">");
    add_element(out, "b", block->lead);
    text_add(out, "<span>name</span><span>date</span><span>signature</span></div>\n");
}

static void add_section(Text *out, const Section *section);

static void add_block(Text *out, const Block *block)
{
    switch (block->kind) {
    case BLOCK_SECTION:
        add_section(out, block->section);
        break;
    case BLOCK_STATUS:
        add_status(out, block);
        break;
    case BLOCK_PARAGRAPH:
        add_paragraph(out, block);
        break;
    case BLOCK_ITEM:
        add_element(out, "li", block->text);
        text_add(out, "\n");
        break;
    case BLOCK_PAIR:
        add_pair(out, block);
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
        add_signature(out, block);
        break;
    }
}

/* What lies round blocks of one kind that follow each other. */
static const char *around(BlockKind kind, bool begins)
{
    switch (kind) {
    case BLOCK_ITEM:
        return begins ? "<ul>\n" : "</ul>\n";
    case BLOCK_PAIR:
        return begins ? "<dl>\n" : "</dl>\n";
    case BLOCK_FIGURE:
        return begins ? "<div class=\"pictures\">\n" : "</div>\n";
    default:
        return "";
    }
}

static void add_blocks(Text *out, const Section *section, size_t from, size_t to)
{
    for (size_t i = from; i < to; i++) {
        BlockKind kind = section->blocks[i].kind;
        if (i == from || section->blocks[i - 1].kind != kind)
            text_add(out, around(kind, true));
        add_block(out, &section->blocks[i]);
        if (i + 1 == to || section->blocks[i + 1].kind != kind)
            text_add(out, around(kind, false));
    }
}

/* ---- Sections ---- */

static void add_heading(Text *out, const Section *section)
{
    text_addf(out, "<h%d>", section->level);
    if (section->is_finding) {
        Text verdict = {0};
        section_add_verdict(&verdict, section);
        text_addf(out, "%zu. <span class=\"mark %s\">", section->number,
                  verdict_marks[section->verdict]);
        add_escaped(out, verdict.bytes);
        text_add(out, "</span> ");
        text_free(&verdict);
    }
    add_escaped(out, section->title);
    text_addf(out, "</h%d>\n", section->level);
}

/* What is signed stands on the page of its lines. */
static bool is_signed(const Section *section)
{
    for (size_t i = 0; i < section->block_count; i++)
        if (section->blocks[i].kind == BLOCK_SIGNATURE)
            return true;
    return false;
}

static void add_section(Text *out, const Section *section)
{
    const char *element = section->is_finding ? "article" : "section";
    text_addf(out, "<%s id=\"%s\"", element, section->anchor);
    if (section->is_finding)
        text_addf(out, " class=\"%s\"", verdict_marks[section->verdict]);
    else if (is_signed(section))
        text_add(out, " class=\"signed\"");
    text_add(out, ">\n");
    add_heading(out, section);
    add_blocks(out, section, 0, section->block_count);
    text_addf(out, "</%s>\n", element);
}

static bool is_listed(const Block *block, int deepest)
{
    return block->kind == BLOCK_SECTION && !block->section->is_finding &&
           block->section->level <= deepest;
}

static size_t count_listed(const Section *section, int deepest)
{
    size_t count = 0;
    for (size_t i = 0; i < section->block_count; i++)
        if (is_listed(&section->blocks[i], deepest))
            count += 1 + count_listed(section->blocks[i].section, deepest);
    return count;
}

static void add_contents(Text *out, const Section *section, int deepest)
{
    size_t listed = 0;
    for (size_t i = 0; i < section->block_count; i++) {
        if (!is_listed(&section->blocks[i], deepest))
            continue;
        const Section *inner = section->blocks[i].section;
        text_addf(out, "%s<li><a href=\"#%s\">", listed++ == 0 ? "<ol>\n" : "", inner->anchor);
        add_escaped(out, inner->title);
        text_add(out, "</a>");
        if (inner->count != REPORT_UNCOUNTED)
            text_addf(out, " <span class=\"count\">%ld</span>", inner->count);
        add_contents(out, inner, deepest);
        text_add(out, "</li>\n");
    }
    text_add(out, listed > 0 ? "</ol>\n" : "");
}

/* Of two levels, or of the first alone where they would be more than a page. */
static void add_nav(Text *out, const Section *root)
{
    enum { PAGE = 70 };
    text_add(out, "<nav aria-labelledby=\"contents\">\n<h2 id=\"contents\">Contents</h2>\n");
    add_contents(out, root, count_listed(root, 3) > PAGE ? 2 : 3);
    text_add(out, "</nav>\n");
}

/* What the report says before its first section comes before the contents. */
void report_html(Text *out, const Report *report)
{
    const Section *root = &report->root;
    size_t first = 0;
    while (first < root->block_count && root->blocks[first].kind != BLOCK_SECTION)
        first++;
    text_add(out, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                  "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                  "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
                  "style-src 'unsafe-inline'\">\n"
                  "<meta name=\"color-scheme\" content=\"light dark\">\n"
                  "<meta name=\"generator\" content=\"cordwain " CORDWAIN_VERSION "\">\n");
    add_element(out, "title", root->title);
    text_addf(out, "\n<style>\n%s%s%s</style>\n</head>\n<body>\n<header id=\"%s\">\n", style_base,
              style_parts, style_page, root->anchor);
    add_element(out, "h1", root->title);
    text_add(out, "\n");
    add_blocks(out, root, 0, first);
    text_add(out, "</header>\n");
    if (first < root->block_count)
        add_nav(out, root);
    text_add(out, "<main>\n");
    add_blocks(out, root, first, root->block_count);
    text_add(out, "</main>\n</body>\n</html>\n");
}

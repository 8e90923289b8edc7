/* A report as one tree: sections, paragraphs, lists, tables, pictures. Whoever has something
 * to report adds to the tree; three writers show it, so that HTML, Markdown and text cannot
 * disagree. Knows figure and verdicts; what is reported is told by src/report/content.h.
 *
 * Any text may come from a stranger: on entering the tree it is copied through
 * text_add_visible(), and each writer escapes it for its form. The same tree gives the same
 * bytes; text is as wide as wcwidth() says in the locale's character set. */
#ifndef CORDWAIN_REPORT_REPORT_H
#define CORDWAIN_REPORT_REPORT_H

#include "figure/figure.h"
#include "judge/verdict.h"

typedef struct Report Report;

/* ---- Adding ---- */

Report *report_new(const char *title);
void report_free(Report *report);
/* Owned by the report: for figures that are added to it, and for texts on their way. */
Arena *report_arena(Report *report);

/* Several styles in one report: anchors of what follows begin with this ("s2-"). */
void report_prefix(Report *report, const char *prefix);

/* Opens a section within the one that is open: headings follow the nesting, the title of the
 * report is the first level. `anchor` (small letters, digits, "-") is its own within one
 * prefix. Sections of the first two levels (of the first alone, where there are many) are listed
 * in the contents of HTML, with `count` unless that is REPORT_UNCOUNTED. */
enum { REPORT_UNCOUNTED = -1 };
void report_open(Report *report, const char *anchor, const char *title, long count);
/* Of a finding: its verdict, class and number stand before the title; not in the contents. */
void report_open_finding(Report *report, const char *anchor, const char *title, Verdict verdict,
                         const char *class, size_t number);
void report_close(Report *report);

typedef enum ReportTone { REPORT_GOOD, REPORT_CAREFUL, REPORT_BAD } ReportTone;
/* The first thing read: a word ("Held"), and why. */
void report_status(Report *report, ReportTone tone, const char *word, const char *why);
/* `lead` (may be NULL) is set off from the text: "Remedy", "Decision". */
void report_paragraph(Report *report, const char *lead, const char *text);
void report_paragraphf(Report *report, const char *lead, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* Items that follow each other are one list. */
void report_item(Report *report, const char *text);
void report_itemf(Report *report, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* A name and what it has; pairs that follow each other are one list. */
void report_pair(Report *report, const char *name, const char *text);
void report_pairf(Report *report, const char *name, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* A table; its rows follow. The first column heads its row. */
typedef struct ReportColumn {
    const char *title;
    bool number; /* set flush right */
} ReportColumn;
void report_table(Report *report, const char *caption, const ReportColumn *columns, size_t count);
/* As many cells as there are columns; NULL: an empty one. `anchor` (may be NULL): of the
 * section that the first cell leads to, as it was or will be opened. */
void report_row(Report *report, const char *const *cells, const char *anchor);

/* Takes the figure, whose shapes live in the report's arena, and numbers it ("Picture 3: …").
 * Its notes tell those who do not see it what is to be seen. Returns the number. */
size_t report_figure(Report *report, Figure figure);
/* A verdict for each size (across) and colourway (down), row by row; names are copied. */
void report_strip(Report *report, const char *const *sizes, size_t size_count,
                  const char *const *colourways, size_t colourway_count, const Verdict *verdicts);
/* A share of 0..1 as a bar beside its words, "about 1 in 8". */
void report_share(Report *report, double share, const char *words);
/* A line to sign on. */
void report_signature(Report *report, const char *role);

/* ---- Showing ---- */

/* One file: no script, nothing from elsewhere; for screens of any width, A4 and Letter. */
void report_html(Text *out, const Report *report);
void report_markdown(Text *out, const Report *report);
/* 80 columns. */
void report_text(Text *out, const Report *report);

#endif

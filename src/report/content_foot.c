/* Numbers of a pair, and the cautions. For the report on a style. */
#include "report/content_inside.h"

#include <math.h>
#include <string.h>

#include "pair/pair.h"

/* ---- Numbers per pair ---- */

/* The number of that key; NULL: this colourway has none. */
static const PairNumber *pair_find(const PairNumbers *pair, const char *key)
{
    for (size_t i = 0; i < pair->count; i++)
        if (strcmp(pair->items[i].key, key) == 0)
            return &pair->items[i];
    return NULL;
}

/* One text where all colourways agree, else one for each that has the number. */
static const char *pair_text(const Content *content, const PairNumbers *pairs, const char *key)
{
    const Style *style = content->judgement->style;
    Text all = {0}, first = {0};
    bool same = true;
    for (size_t c = 0; c < style->colourway_count; c++) {
        const PairNumber *number = pair_find(&pairs[c], key);
        Text one = {0};
        if (number != NULL)
            pair_number_say(&one, number);
        if (c == 0)
            text_add(&first, text_string(&one));
        same = same && number != NULL && strcmp(text_string(&one), text_string(&first)) == 0;
        if (number != NULL)
            text_addf(&all, "%s%s: %s", all.length > 0 ? "; " : "", style->colourways[c].name,
                      text_string(&one));
        text_free(&one);
    }
    const char *text = content_take(content, same ? &first : &all);
    text_free(&first);
    text_free(&all);
    return text;
}

/* Whether an earlier colourway has it, so that it stands in the table. */
static bool stands(const PairNumbers *pairs, size_t colourway, const char *key)
{
    for (size_t c = 0; c < colourway; c++)
        if (pair_find(&pairs[c], key) != NULL)
            return true;
    return false;
}

static void add_group(const Content *content, const PairNumbers *pairs, const char *group)
{
    static const ReportColumn columns[] = {
        {"number", false}, {"a pair", false}, {"assumes", false}};
    char *caption = arena_printf(content->arena, "%s", group);
    if (caption[0] >= 'a' && caption[0] <= 'z')
        caption[0] = (char)(caption[0] - 'a' + 'A');
    report_table(content->report, caption, columns, 3);
    for (size_t c = 0; c < content->judgement->style->colourway_count; c++)
        for (size_t i = 0; i < pairs[c].count; i++) {
            const PairNumber *number = &pairs[c].items[i];
            if (strcmp(number->group, group) != 0 || stands(pairs, c, number->key))
                continue;
            const char *const cells[] = {number->name, pair_text(content, pairs, number->key),
                                         number->assumes};
            report_row(content->report, cells, NULL);
        }
}

/* A table for each group, in the order of the first colourway. */
void content_pair(Content *content)
{
    size_t colourways = content->judgement->style->colourway_count;
    PairNumbers *pairs = ARENA_NEW(content->arena, PairNumbers, colourways);
    for (size_t c = 0; c < colourways; c++)
        pairs[c] = pair_numbers(content->arena, content->judgement, (uint32_t)c);
    report_open(content->report, "pair", "Numbers of one pair", REPORT_UNCOUNTED);
    report_paragraph(content->report, NULL,
                     "In the base size. A sum in which something is missing says at least how much "
                     "it is.");
    for (size_t i = 0; i < pairs[0].count; i++) {
        const char *group = pairs[0].items[i].group;
        if (i == 0 || strcmp(group, pairs[0].items[i - 1].group) != 0)
            add_group(content, pairs, group);
    }
    report_close(content->report);
}

/* ---- Cautions ---- */

void content_cautions(Content *content)
{
    static const char *const unseen[] = {
        "Outlines are flat patterns before lasting: spring, the pull of lasting and how a "
        "material takes a shape over the last are not in them.",
        "Stacks are added up from thicknesses; adhesive, moisture and how a hide varies within "
        "itself are there only as far as the style gives a tolerance.",
        "A radius is that of the drawn line; what knife, hand or needle make of it is not seen.",
        "Fit, feel and looks are judged by limits that stand for them, not by a foot or an eye.",
    };
    static const char *const cautions[] = {
        "Machine makers' manuals, guards and local safety law come first. A limit in a rule file "
        "or a factory file never overrides them.",
        "Needles, knives and presses injure: guards stay on, needles and knives are changed with "
        "the drive locked, nobody reaches into a press.",
        "Cements, solvents and primers are used under extraction, away from flames, as their "
        "makers' safety data sheets say; hot-melt and heated tools burn.",
        "Footwear for children and protective footwear are subject to their own law and to "
        "licensed testing, which this report does not replace.",
        "A pass is not a release for wear: it says that the rules that were run found nothing "
        "against making a sample.",
    };
    report_open(content->report, "unseen", "What flat geometry cannot see", REPORT_UNCOUNTED);
    for (size_t i = 0; i < sizeof unseen / sizeof *unseen; i++)
        report_item(content->report, unseen[i]);
    report_close(content->report);
    report_open(content->report, "cautions", "Cautions", REPORT_UNCOUNTED);
    for (size_t i = 0; i < sizeof cautions / sizeof *cautions; i++)
        report_item(content->report, cautions[i]);
    report_close(content->report);
}

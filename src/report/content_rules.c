/* Limits that the factory replaced, rules that are off or met no place, what the passes rest on.
 * For the report on a style. */
#include "report/content_inside.h"

#include <math.h>
#include <string.h>

/* ---- Limits ---- */

static const char *limit_text(const Content *content, const Limit *limit, const LimitValue *value)
{
    Text text = {0};
    QuantityForm form = {
        .dimension = limit->type.dimension, .point = limit->type.point, .shown = limit->unit};
    if (limit->unit != NULL || value->quantity.unknown)
        quantity_write(&text, &value->quantity, &form);
    else
        text_add_number(&text, value->quantity.nominal, 6);
    return content_take(content, &text);
}

static void add_limit_row(const Content *content, const Limit *limit, const LimitValue *value,
                          const char *word, size_t *shown)
{
    static const ReportColumn columns[] = {{"limit", false},  {"value here", false},
                                           {"was", false},    {"reason", false},
                                           {"set at", false}, {"was set at", false}};
    if (!value->given || value->beaten == NULL)
        return;
    if ((*shown)++ == 0)
        report_table(content->report, "Replaced limits", columns, 6);
    const LimitValue *was = value->beaten;
    const char *const cells[] = {
        arena_printf(content->arena, "%s%s%s: %s", limit->name, word[0] != '\0' ? " of " : "", word,
                     limit->means),
        arena_printf(content->arena, "%s (%s)", limit_text(content, limit, value),
                     basis_name(value->basis)),
        arena_printf(content->arena, "%s (%s)", limit_text(content, limit, was),
                     basis_name(was->basis)),
        value->reason != NULL ? value->reason : value->source,
        content_where(content, value->at),
        content_where(content, was->at),
    };
    report_row(content->report, cells, NULL);
}

static size_t words_of(const Limit *limit)
{
    if (limit->by == FIELD_ID_COUNT || limit->values == NULL)
        return 0;
    const Field *field = field_at(limit->by);
    return field->type == FIELD_TRUTH ? 2 : field->words != NULL ? field->words->count : 0;
}

static const char *word_of(const Limit *limit, size_t word)
{
    const Field *field = field_at(limit->by);
    if (field->type == FIELD_TRUTH)
        return word == 0 ? "false" : "true";
    return field->words->words[word];
}

static size_t count_replaced(const RuleSet *rules)
{
    size_t count = 0;
    for (size_t i = 0; i < rules->limit_count; i++) {
        const Limit *limit = rules->limits[i];
        count += limit->otherwise.given && limit->otherwise.beaten != NULL;
        for (size_t w = 0; w < words_of(limit); w++)
            count += limit->values[w].given && limit->values[w].beaten != NULL;
    }
    return count;
}

void content_limits(Content *content)
{
    const RuleSet *rules = content->judgement->rules;
    size_t shown = 0;
    report_open(content->report, "limits", "Limits the factory replaced",
                (long)count_replaced(rules));
    for (size_t i = 0; i < rules->limit_count; i++) {
        const Limit *limit = rules->limits[i];
        add_limit_row(content, limit, &limit->otherwise, "", &shown);
        for (size_t w = 0; w < words_of(limit); w++)
            add_limit_row(content, limit, &limit->values[w], word_of(limit, w), &shown);
    }
    if (shown == 0)
        report_paragraph(content->report, NULL,
                         content->judgement->factory != NULL
                             ? "None: the limits of the base rules hold."
                             : "No factory was named: the limits of the base rules hold.");
    report_close(content->report);
}

/* ---- Rules ---- */

static size_t add_off(const Content *content)
{
    const RuleSet *rules = content->judgement->rules;
    size_t count = 0;
    for (size_t i = 0; i < rules->rule_count; i++)
        count += rules->rules[i]->off_reason != NULL;
    report_open(content->report, "rules", "Rules that are off or met no place",
                (long)(count + content->judgement->no_place_count));
    for (size_t i = 0; i < rules->rule_count; i++)
        if (rules->rules[i]->off_reason != NULL)
            report_itemf(content->report, "off: %s (%s): %s; %s", rules->rules[i]->title,
                         rules->rules[i]->id, rules->rules[i]->off_reason,
                         content_where(content, rules->rules[i]->off_at));
    return count;
}

void content_rules(Content *content)
{
    const Judgement *judgement = content->judgement;
    size_t off = add_off(content);
    if (off == 0)
        report_paragraph(content->report, NULL, "No rule is off.");
    Text text = {0};
    for (size_t i = 0; i < judgement->no_place_count; i++)
        text_addf(&text, "%s%s", i > 0 ? ", " : "", judgement->no_place[i]->id);
    report_paragraph(content->report, "Met no place",
                     judgement->no_place_count > 0 ? content_take(content, &text)
                                                   : "no rule; each met at least one");
    report_close(content->report);
}

/* ---- What the passes rest on ---- */

void content_basis(Content *content)
{
    static const ReportColumn columns[] = {
        {"weakest limit", false}, {"passes", true}, {"tight", true}};
    enum { BASES = BASIS_MEMORY + 1 };
    size_t counts[BASES + 1][2] = {0};
    const Judgement *judgement = content->judgement;
    for (size_t i = 0; i < judgement->count; i++) {
        const Finding *finding = &judgement->findings[i];
        bool tight = finding->verdict == VERDICT_TIGHT;
        if (!tight && finding->verdict != VERDICT_PASS)
            continue;
        Basis basis = (Basis)BASES;
        if (!finding_basis(judgement, finding, &basis))
            basis = (Basis)BASES;
        counts[basis][tight]++;
    }
    size_t weak = counts[BASIS_PRACTICE][0] + counts[BASIS_MEMORY][0];
    report_open(content->report, "basis", "What the passes rest on", REPORT_UNCOUNTED);
    report_paragraphf(content->report, NULL,
                      "%zu of %zu passes rest on common practice or on memory, for which there is "
                      "no published source and no measurement in this factory.",
                      weak, judgement->tally[VERDICT_PASS]);
    report_table(content->report, "Passes by the weakest limit that each rests on", columns, 3);
    for (size_t b = 0; b <= BASES; b++) {
        const char *const cells[] = {b < BASES ? basis_name((Basis)b)
                                               : "no limit: the style's own values alone",
                                     arena_printf(content->arena, "%zu", counts[b][0]),
                                     arena_printf(content->arena, "%zu", counts[b][1])};
        report_row(content->report, cells, NULL);
    }
    report_close(content->report);
}

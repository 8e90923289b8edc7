/* Explanations: why a rule said what it said, condition by condition, and what
 * a rule asks. For the command line and the screen. */
#include <math.h>
#include <string.h>

#include "judge/inside.h"

enum { ELEMENTS_SHOWN = 8, TRUTH_CELLS = 9 };

/* A text that is written line by line. */
typedef struct Page {
    Text *text;
    int columns;
    Arena arena;
} Page;

/* Adds `string` after what the line holds already, wrapped, and ends the line. */
static void page_end(Page *page, const char *string, int hang)
{
    Text visible = {0};
    text_add_visible(&visible, string, strlen(string));
    text_add_wrapped(page->text, text_string(&visible), page->columns, hang);
    text_add(page->text, "\n");
    text_free(&visible);
}

static void page_line(Page *page, int indent, const char *string)
{
    text_addf(page->text, "%*s", indent, "");
    page_end(page, string, indent + 2);
}

static void page_text(Page *page, int indent, Text *text)
{
    page_line(page, indent, text_string(text));
    text_free(text);
}

static void page_marked(Page *page, int indent, const char *mark, Text *text)
{
    text_addf(page->text, "%*s%-*s", indent, "", TRUTH_CELLS, mark);
    page_end(page, text_string(text), indent + TRUTH_CELLS + 2);
    text_free(text);
}

static void page_truth(Page *page, int indent, Kleene value, Text *text)
{
    page_marked(page, indent, kleene_name(value), text);
}

/* --- conditions --------------------------------------------------------------------- */

/* One after the other the conditions of a body joined by `and`, with numbers; or
 * only those that came out as `only`. */
static void explain_conjuncts(Page *page, const Plain *plain, const Formula *body, int indent,
                              const Kleene *only)
{
    if (body->kind == FORMULA_AND) {
        explain_conjuncts(page, plain, body->operand[0], indent, only);
        explain_conjuncts(page, plain, body->operand[1], indent, only);
        return;
    }
    Kleene value = look_truth(plain, body).nominal;
    if (only && value != *only)
        return;
    Text text = {0};
    formula_write(&text, plain->rule, body);
    if (body->kind != FORMULA_OVER) {
        text_add(&text, ": ");
        sentence_formula(&text, plain, body);
    }
    page_truth(page, indent, value, &text);
}

/* A member of a set; the deciding one with all conditions, others with what
 * makes them false or unknown. */
static void explain_member(Page *page, const Plain *plain, const Formula *over, bool decides)
{
    Text text = {0};
    const Formula *body = over->operand[0];
    int32_t member = plain->bindings[over->binding];
    Kleene kept = over->filter ? look_truth(plain, over->filter).nominal : KLEENE_TRUE;
    Kleene value = look_truth(plain, body).nominal;
    text_add(&text, look_name(&page->arena, plain->columns, over->relation->to, member));
    bool failing = over->over == OVER_SOME && value == KLEENE_FALSE;
    text_add(&text, !decides ? "" : failing ? ", which comes nearest" : ", which decides");
    if (kept != KLEENE_TRUE) {
        text_add(&text, kept == KLEENE_FALSE ? ", since it is not so that "
                                             : ", perhaps, since it is not known whether ");
        sentence_formula(&text, plain, over->filter);
        page_marked(page, 2 + TRUTH_CELLS, "left out", &text);
        return;
    }
    if (body->kind != FORMULA_AND) {
        text_add(&text, ": ");
        sentence_formula(&text, plain, body);
    }
    page_truth(page, 2 + TRUTH_CELLS, value, &text);
    if (body->kind == FORMULA_AND && (decides || value != KLEENE_TRUE))
        explain_conjuncts(page, plain, body, 2 + 2 * TRUTH_CELLS, decides ? NULL : &value);
}

/* Every member up to a bound, the deciding one first. */
static void explain_members(Page *page, const Plain *plain, const Formula *over)
{
    const int32_t *items;
    size_t count;
    Plain walk = *plain;
    int32_t deciding = plain->bindings[over->binding];
    if (!look_set(plain, over, &items, &count)) {
        page_line(page, 2 + TRUTH_CELLS, "what belongs to it is not known");
        return;
    }
    if (count == 0)
        page_line(page, 2 + TRUTH_CELLS, "there is none");
    if (deciding >= 0)
        explain_member(page, plain, over, count > 1);
    size_t shown = deciding >= 0;
    for (size_t i = 0; i < count && shown < ELEMENTS_SHOWN; i++) {
        if (items[i] == deciding)
            continue;
        walk.bindings[over->binding] = items[i];
        explain_member(page, &walk, over, false);
        shown++;
    }
    if (shown < count) {
        Text text = {0};
        text_addf(&text, "and %zu more", count - shown);
        page_text(page, 2 + TRUTH_CELLS, &text);
    }
}

/* "edge.finish is turned", and it is. */
static bool says_its_word(const Formula *formula, Kleene value)
{
    return formula->kind == FORMULA_IN_WORDS && value == KLEENE_TRUE && !formula->negated &&
           (formula->words & (formula->words - 1)) == 0;
}

static void explain_condition(Page *page, const Plain *plain, const Formula *formula)
{
    if (formula->kind == FORMULA_AND) {
        explain_condition(page, plain, formula->operand[0]);
        explain_condition(page, plain, formula->operand[1]);
        return;
    }
    Text written = {0}, numbers = {0};
    formula_write(&written, plain->rule, formula);
    sentence_formula(&numbers, plain, formula);
    Kleene value = look_truth(plain, formula).nominal;
    bool told = strcmp(text_string(&written), text_string(&numbers)) == 0 ||
                formula->kind == FORMULA_FIELD || says_its_word(formula, value);
    page_truth(page, 2, value, &written);
    bool members = formula->kind == FORMULA_OVER && formula->operand[0];
    if (members)
        explain_members(page, plain, formula);
    else if (!told)
        page_line(page, 2 + TRUTH_CELLS, text_string(&numbers));
    text_free(&numbers);
}

/* The member that gave a `most` or `least`, with numbers. */
static void explain_chosen(Page *page, const Plain *plain, const Formula *over)
{
    if (over->kind != FORMULA_OVER || !over->operand[0] || plain->bindings[over->binding] < 0)
        return;
    Text text = {0};
    text_addf(&text, "= for %s: ",
              look_name(&page->arena, plain->columns, over->relation->to,
                        plain->bindings[over->binding]));
    sentence_formula(&text, plain, over->operand[0]);
    page_text(page, 4, &text);
}

static void explain_let(Page *page, const Plain *plain, const Let *let)
{
    Text text = {0};
    text_addf(&text, "%s = ", let->name);
    formula_write(&text, plain->rule, let->formula->operand[0]);
    page_text(page, 2, &text);
    if (!plain->columns)
        return;
    Text numbers = {0}, value = {0};
    sentence_formula(&numbers, plain, let->formula->operand[0]);
    sentence_value(&value, plain, let->formula, 3);
    if (strcmp(text_string(&numbers), text_string(&value)) != 0)
        text_addf(&text, "= %s", text_string(&numbers));
    if (text.length > 0)
        page_text(page, 4, &text);
    explain_chosen(page, plain, let->formula->operand[0]);
    text_addf(&text, "= %s", text_string(&value));
    page_text(page, 4, &text);
    text_free(&numbers);
    text_free(&value);
}

static void explain_lets(Page *page, const Plain *plain)
{
    if (plain->rule->let_count > 0)
        text_add(page->text, "Where\n");
    for (size_t i = 0; i < plain->rule->let_count; i++)
        explain_let(page, plain, &plain->rule->lets[i]);
}

/* --- numbers ------------------------------------------------------------------------------ */

/* Whether the read belongs to the members that decided, where some did. */
static bool of_deciding(const Plain *plain, const Read *read)
{
    const Formula *formula = read->formula;
    const RecordPath *path = &formula->record;
    if (formula->kind == FORMULA_LIMIT) {
        bool own = formula->own_record.subject != SUBJECT_COUNT;
        path = own ? &formula->own_record : path;
        if (!own && formula->limit->by == FIELD_ID_COUNT)
            return true;
    }
    if (path->binding == 0 || plain->bindings[path->binding] < 0)
        return true;
    int32_t record = plain_record(plain, path);
    return record == (formula->kind == FORMULA_LIMIT ? read->owner : read->record);
}

static void explain_readings(Page *page, const Plain *plain)
{
    Read *reads;
    Reading *readings;
    size_t count = readings_collect(&page->arena, plain, &reads), others = 0;
    readings_all(&page->arena, plain, &readings);
    if (count > 0)
        text_add(page->text, "Numbers\n");
    for (size_t i = 0; i < count; i++) {
        Text text = {0};
        if (!of_deciding(plain, &reads[i])) {
            others++;
            continue;
        }
        text_addf(&text, "%s: ", readings[i].name);
        readings_value(&text, &readings[i]);
        page_text(page, 2, &text);
        page_line(page, 6, readings[i].from);
    }
    if (others > 0) {
        Text text = {0};
        text_addf(&text, "and %zu more, of members that do not decide", others);
        page_text(page, 2, &text);
    }
}

/* --- a finding ---------------------------------------------------------------------------- */

static void explain_head(Page *page, const Rule *rule)
{
    Text text = {0};
    text_addf(&text, "%s [%s, %s]", rule->title, rule->id, class_name(rule->class));
    page_text(page, 0, &text);
}

static void explain_place(Page *page, const Judgement *judgement, const Finding *finding,
                          uint32_t lane)
{
    Text text = {0};
    const Lane *shown = &judgement->columns->lanes[lane];
    text_add(&text, finding->place);
    if (finding->at.file)
        text_addf(&text, ", %s", where_text(&page->arena, finding->at));
    if (shown->size[0])
        text_addf(&text, ", size %s", shown->size);
    if (shown->colourway[0])
        text_addf(&text, "%s%s", shown->size[0] ? " of " : ", ", shown->colourway);
    page_text(page, 0, &text);
}

static void explain_verdict(Page *page, const Judgement *judgement, const Finding *finding,
                            const Look *look, uint32_t lane)
{
    Text text = {0}, more = {0};
    text_addf(&text, "%s: ", verdict_name(look->verdict));
    sentence_say(&text, &page->arena, judgement, finding, lane);
    if (look->when.nominal == KLEENE_TRUE && look->verdict != VERDICT_UNKNOWN &&
        look->verdict != VERDICT_OUT)
        sentence_spare(&more, &look->require.spare);
    if (more.length > 0)
        text_addf(&text, "; %s", text_string(&more));
    text_clear(&more);
    if (look->verdict == finding->verdict)
        finding_lanes(&more, judgement, finding);
    if (more.length > 0)
        text_addf(&text, "; %s", text_string(&more));
    page_text(page, 0, &text);
    text_free(&more);
}

static void explain_off(Page *page, const Rule *rule)
{
    Text text = {0};
    text_addf(&text, "off: %s (%s)", rule->off_reason, where_text(&page->arena, rule->off_at));
    page_text(page, 0, &text);
}

static void explain_because(Page *page, const Rule *rule)
{
    Text text = {0};
    text_addf(&text, "because: %s", rule->because);
    page_text(page, 0, &text);
}

void explain_finding(Text *text, const Judgement *judgement, const Finding *finding, uint32_t lane,
                     int columns)
{
    Page page = {.text = text, .columns = columns};
    const Rule *rule = finding->rule;
    explain_head(&page, rule);
    explain_place(&page, judgement, finding, lane);
    text_add(text, "\n");
    if (finding->verdict == VERDICT_OFF) {
        explain_off(&page, rule);
        explain_because(&page, rule);
        arena_free(&page.arena);
        return;
    }
    Look look;
    look_at(&look, &page.arena, judgement, finding, lane);
    explain_verdict(&page, judgement, finding, &look, lane);
    explain_because(&page, rule);
    text_add(text, "\n");
    if (rule->when) {
        text_add(text, "When\n");
        explain_condition(&page, &look.plain, rule->when);
    }
    text_add(text, "Require\n");
    explain_condition(&page, &look.plain, rule->require);
    explain_lets(&page, &look.plain);
    explain_readings(&page, &look.plain);
    arena_free(&page.arena);
}

/* --- a rule --------------------------------------------------------------------------------- */

static void rule_formula(Page *page, const Rule *rule, const char *title, const Formula *formula)
{
    if (!formula)
        return;
    Text text = {0};
    text_addf(page->text, "%s\n", title);
    formula_write(&text, rule, formula);
    page_text(page, 2, &text);
}

static void limit_row(Page *page, const Limit *limit, const char *word, const LimitValue *value)
{
    if (!value->given)
        return;
    Text text = {0};
    readings_limit_value(&text, limit, value);
    if (value->source)
        text_addf(&text, "; source: %s", value->source);
    if (word[0])
        text_addf(page->text, "    %-12s", word);
    else
        text_add(page->text, "    ");
    page_end(page, text_string(&text), word[0] ? 18 : 6);
    text_free(&text);
}

static void rule_limit(Page *page, const Limit *limit)
{
    Text text = {0};
    text_addf(&text, "%s: %s", limit->name, limit->means);
    if (limit->by < FIELD_ID_COUNT)
        text_addf(&text, ", by %s.%s", subject_name(field_at(limit->by)->subject),
                  field_at(limit->by)->name);
    if (limit->own < FIELD_ID_COUNT)
        text_addf(&text, "; a %s's own %s wins", subject_name(field_at(limit->own)->subject),
                  field_at(limit->own)->name);
    text_add(&text, limit->stricter == STRICTER_HIGHER  ? "; higher is stricter"
                    : limit->stricter == STRICTER_LOWER ? "; lower is stricter"
                                                        : "");
    text_add(&text, limit->fixed ? "; cannot be loosened" : "");
    page_text(page, 2, &text);
    if (limit->by < FIELD_ID_COUNT) {
        const Field *by = field_at(limit->by);
        static const char *const truths[] = {"false", "true"};
        bool truth = by->type == FIELD_TRUTH;
        size_t count = truth ? 2 : by->words->count;
        for (size_t i = 0; i < count; i++)
            limit_row(page, limit, truth ? truths[i] : by->words->words[i], &limit->values[i]);
    }
    limit_row(page, limit, limit->by < FIELD_ID_COUNT ? "else" : "", &limit->otherwise);
}

static void rule_table(Page *page, const RuleTable *table)
{
    static const char *const between[] = {"linear between rows", "the row below holds between",
                                          "the row above holds between"};
    Text text = {0};
    text_addf(&text, "%s (%s), %s, %s; source: %s", table->name,
              where_text(&page->arena, table->at), between[table->between],
              basis_name(table->basis), table->source);
    page_text(page, 2, &text);
    for (size_t i = 0; i < table->count; i++) {
        sentence_number(&text, table->inputs[i], table->in_unit, table->in.dimension,
                        table->in.point, 4);
        text_add(&text, ": ");
        sentence_number(&text, table->outputs[i], table->out_unit, table->out.dimension,
                        table->out.point, 4);
        page_text(page, 4, &text);
    }
}

static void rule_gives(Page *page, const Rule *rule)
{
    Text text = {0};
    for (size_t i = 0; i < rule->give_count; i++) {
        const Field *field = field_at(rule->gives[i].field);
        text_addf(&text, "%s%s (%s%s)", i ? ", " : "gives: ", rule->gives[i].text,
                  giver_name(field->giver),
                  field->visible_making ? "; it shows, so the line is asked too" : "");
    }
    if (text.length > 0)
        page_text(page, 0, &text);
}

void explain_rule(Text *text, const RuleSet *rules, const Rule *rule, int columns)
{
    (void)rules; /* a rule knows its limits and tables */
    Page page = {.text = text, .columns = columns};
    Plain nowhere = {.rule = rule};
    Text line = {0};
    explain_head(&page, rule);
    text_addf(&line, "about every %s, %s", subject_name(rule->about),
              where_text(&page.arena, rule->at));
    page_text(&page, 0, &line);
    if (rule->danger)
        page_line(&page, 0, "it can hurt the wearer: no deviation permit is taken");
    if (rule->off_reason)
        explain_off(&page, rule);
    explain_because(&page, rule);
    text_addf(&line, "source: %s", rule->source);
    page_text(&page, 0, &line);
    rule_gives(&page, rule);
    text_add(text, "\n");
    rule_formula(&page, rule, "When", rule->when);
    rule_formula(&page, rule, "Require", rule->require);
    explain_lets(&page, &nowhere);
    if (rule->limit_count > 0)
        text_add(text, "Limits\n");
    for (size_t i = 0; i < rule->limit_count; i++)
        rule_limit(&page, rule->limits[i]);
    if (rule->table_count > 0)
        text_add(text, "Tables\n");
    for (size_t i = 0; i < rule->table_count; i++)
        rule_table(&page, rule->tables[i]);
    arena_free(&page.arena);
}

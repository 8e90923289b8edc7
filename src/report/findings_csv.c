/* Findings as comma-separated values that no spreadsheet acts on. For src/cli. */
#include "report/findings_csv.h"

#include <math.h>
#include <string.h>

#include "base/utf8.h"

static const char head[] =
    "style,code,alternative,factory,verdict,class,rule,title,about,place,part,file,line,spare,unit,"
    "relative spare,risk,basis,sizes,colourways,sentence,giver,decision,by,until\r\n";

/* --- cells ------------------------------------------------------------------------ */

/* What begins a formula in some program, in its wide form too. */
static bool begins_formula(uint32_t character)
{
    return character == '=' || character == '+' || character == '-' || character == '@' ||
           character == 0xFF1D || character == 0xFF0B || character == 0xFF0D || character == 0xFF20;
}

static bool is_blank(uint32_t character)
{
    return character == ' ' || codepoint_is_lookalike(character);
}

/* Adds text with an apostrophe before what would begin a formula: at its beginning, and behind a
 * semicolon, where programs of other countries part cells. `string` is visible already. */
static void add_defused(Text *text, const char *string)
{
    size_t length = strlen(string), from = 0;
    bool start = true;
    while (from < length) {
        uint32_t character;
        size_t bytes = utf8_decode(string + from, length - from, &character);
        if (start && begins_formula(character))
            text_add(text, "'");
        start = character == ';' || (start && is_blank(character));
        text_add_bytes(text, string + from, bytes);
        from += bytes;
    }
}

void csv_add_text(Text *text, const char *string)
{
    Text visible = {0}, cell = {0};
    text_add_visible(&visible, string, strlen(string));
    add_defused(&cell, text_string(&visible));
    const char *at = text_string(&cell);
    if (at[strcspn(at, ",\"; ")] == '\0') {
        text_add(text, at);
    } else {
        text_add(text, "\"");
        for (; *at != '\0'; at++)
            text_add_bytes(text, *at == '"' ? "\"\"" : at, *at == '"' ? 2 : 1);
        text_add(text, "\"");
    }
    text_free(&visible);
    text_free(&cell);
}

/* A text cell, NULL an empty one, and what parts it from the next. */
static void add_cell(Text *text, const char *string)
{
    if (string != NULL)
        csv_add_text(text, string);
    text_add(text, ",");
}

/* Not a number, or beyond all: an empty cell. */
static void add_number_cell(Text *text, double value)
{
    if (isfinite(value))
        text_add_number(text, value, 10);
    text_add(text, ",");
}

/* --- columns ---------------------------------------------------------------------- */

static void add_style(Text *text, const Judgement *judgement)
{
    const Style *style = judgement->style;
    add_cell(text, style->name);
    add_cell(text, style->code);
    add_cell(text, style->alternative);
    add_cell(text, judgement->factory != NULL ? judgement->factory->name : NULL);
}

static void add_place(Text *text, const Finding *finding)
{
    const Rule *rule = finding->rule;
    add_cell(text, verdict_name(finding->verdict));
    add_cell(text, class_name(rule->class));
    add_cell(text, rule->id);
    add_cell(text, rule->title);
    add_cell(text, subject_name(rule->about));
    add_cell(text, finding->place);
    add_cell(text, finding->part);
    add_cell(text, finding->at.file);
    add_number_cell(text, finding->at.line > 0 ? (double)finding->at.line : (double)NAN);
}

/* Of samples of which none failed the share is only known to be small. */
static void add_risk(Text *text, Risk risk)
{
    if (risk.share == 0 && risk.samples > 0) {
        text_add(text, "below ");
        add_number_cell(text, 3.0 / risk.samples);
    } else {
        add_number_cell(text, risk.share);
    }
}

static void add_measure(Text *text, const Judgement *judgement, const Finding *finding)
{
    const Spare *spare = finding_spare(judgement, finding);
    const Unit *unit = spare->comparison != NULL
                           ? unit_default(spare->comparison->operand[0]->type.dimension, false)
                           : NULL;
    Basis basis;
    bool told = spare->comparison != NULL && isfinite(spare->amount);
    add_number_cell(text, !told          ? NAN
                          : unit != NULL ? unit_from_base(unit, spare->amount)
                                         : spare->amount);
    add_cell(text, told && unit != NULL ? unit->name : NULL);
    add_number_cell(text, spare->relative);
    add_risk(text, finding_risk(judgement, finding));
    add_cell(text, finding_basis(judgement, finding, &basis) ? basis_name(basis) : NULL);
}

/* The sizes, or the colourways, in which the finding has its verdict. Lanes are size major. */
static void add_lanes(Text *text, const Judgement *judgement, const Finding *finding, bool sizes)
{
    Text names = {0};
    const Lane *lanes = judgement->columns->lanes;
    uint32_t count = judgement->lane_count, last = lanes[count - 1].colourway_index + 1;
    uint32_t groups = sizes ? count / last : last, step = sizes ? 1 : last;
    for (uint32_t group = 0; group < groups; group++) {
        uint32_t first = sizes ? group * last : group, end = sizes ? first + last : count;
        bool met = false;
        for (uint32_t lane = first; lane < end; lane += step)
            met = met || finding->lanes[lane] == finding->verdict;
        const char *name = sizes ? lanes[first].size : lanes[first].colourway;
        if (met)
            text_addf(&names, "%s%s", names.length > 0 ? ", " : "", name);
    }
    add_cell(text, text_string(&names));
    text_free(&names);
}

static void add_sentence(Text *text, const Judgement *judgement, const Finding *finding)
{
    Text sentence = {0};
    finding_sentence(&sentence, judgement, finding, finding_worst_lane(judgement, finding));
    add_cell(text, text_string(&sentence));
    text_free(&sentence);
}

/* Decision, by whom, until when: the last three cells. */
static void add_decision(Text *text, const Decided *decided)
{
    static const char *const states[] = {
        [STATE_HOLDS] = "", [STATE_LAPSED] = ", lapsed", [STATE_NOT_NEEDED] = ", not needed"};
    if (decided == NULL) {
        text_add(text, ",,\r\n");
        return;
    }
    const LogRecord *record = decided->record;
    Text decision = {0}, by = {0};
    text_addf(&decision, "%s%s", decision_name(record->decision), states[decided->state]);
    for (size_t i = 0; i < record->who.count; i++)
        text_addf(&by, "%s%s", i > 0 ? ", " : "", record->who.items[i]);
    add_cell(text, decision.bytes);
    add_cell(text, text_string(&by));
    csv_add_text(text, record->until);
    text_add(text, "\r\n");
    text_free(&decision);
    text_free(&by);
}

static void add_finding(Text *text, const Told *told, const Finding *finding)
{
    const Judgement *judgement = told->decisions->judgement;
    bool settle = told_to_settle(finding);
    add_style(text, judgement);
    add_place(text, finding);
    add_measure(text, judgement, finding);
    add_lanes(text, judgement, finding, true);
    add_lanes(text, judgement, finding, false);
    add_sentence(text, judgement, finding);
    add_cell(text, settle ? giver_name(finding_cause(judgement, finding)->giver) : NULL);
    add_decision(text, decision_of(told->decisions, finding));
}

void findings_csv(Text *text, const Told *items, size_t count, const Telling *telling)
{
    text_add(text, head);
    for (size_t i = 0; i < count; i++) {
        const Judgement *judgement = items[i].decisions->judgement;
        for (size_t k = 0; k < judgement->count; k++)
            if (told_is(&items[i], &judgement->findings[k], telling))
                add_finding(text, &items[i], &judgement->findings[k]);
    }
}

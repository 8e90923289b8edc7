/* Findings in words: sentences and spare. For everyone who shows findings. */
#include <math.h>
#include <string.h>

#include "judge/inside.h"

enum { DIGITS_SPARE = 2, SAY_MOST = 32 };

/* --- what a rule says --------------------------------------------------------------------- */

typedef struct Said {
    const SayPiece *piece;
    double value; /* NaN: no number */
    int digits;
} Said;

static bool is_number(const Said *said)
{
    return said->piece->formula && said->piece->formula->type.kind == TYPE_NUMBER &&
           !isnan(said->value);
}

/* Two numbers of one sentence that differ must not read the same: a failing
 * value beside its limit. */
static void tell_apart(const Rule *rule, Said *said, size_t count)
{
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < i; k++) {
            if (!is_number(&said[i]) || !is_number(&said[k]))
                continue;
            const Unit *unit = sentence_unit_in_rule(rule, said[i].piece->formula);
            if (unit != sentence_unit_in_rule(rule, said[k].piece->formula))
                continue;
            int least = said[i].digits < said[k].digits ? said[i].digits : said[k].digits;
            int digits = sentence_digits(said[i].value, said[k].value, unit, least);
            said[i].digits = said[i].digits < digits ? digits : said[i].digits;
            said[k].digits = said[k].digits < digits ? digits : said[k].digits;
        }
}

static void say_piece(Text *text, const Plain *plain, const Said *said)
{
    const SayPiece *piece = said->piece;
    if (piece->text) {
        text_add(text, piece->text);
    } else if (piece->formula) {
        sentence_value(text, plain, piece->formula, said->digits);
    } else {
        int32_t record = plain_record(plain, &piece->record);
        const char *name = record < 0 ? NULL : plain->columns->names[piece->record.subject][record];
        if (name && name[0])
            text_add(text, name);
        else
            text_addf(text, record < 0 ? "an unknown %s" : "the %s",
                      subject_name(piece->record.subject));
    }
}

static void say(Text *text, const Look *look)
{
    Said said[SAY_MOST];
    const Rule *rule = look->plain.rule;
    if (rule->say_count == 0)
        text_add(text, rule->title);
    for (size_t from = 0; from < rule->say_count; from += SAY_MOST) {
        size_t count = rule->say_count - from < SAY_MOST ? rule->say_count - from : SAY_MOST;
        for (size_t i = 0; i < count; i++) {
            const SayPiece *piece = &rule->say[from + i];
            bool number = piece->formula && piece->formula->type.kind == TYPE_NUMBER;
            said[i] =
                (Said){piece, number ? look_number(&look->plain, piece->formula).nominal : NAN,
                       piece->formula ? sentence_digits_of(piece->formula) : 0};
        }
        tell_apart(rule, said, count);
        for (size_t i = 0; i < count; i++)
            say_piece(text, &look->plain, &said[i]);
    }
}

/* "about 1 in 8"; many samples that all held say only what the true share is
 * likely below: 3 in n (the rule of three). */
static void add_risk(Text *text, double risk, int samples)
{
    if (risk <= 0) {
        text_addf(text, "below 3/%d", samples);
    } else if (risk > 0.4) {
        text_add(text, "about ");
        text_add_number(text, 100 * risk, 2);
        text_add(text, " %");
    } else {
        text_add(text, "about 1 in ");
        text_add_number(text, risk > 0.01 ? round(1 / risk) : 1 / risk, 2);
    }
}

static void add_tight(Text *text, const Judgement *judgement, const Finding *finding,
                      const Look *look)
{
    Risk risk = finding_risk(judgement, finding);
    text_add(text, look->when.nominal == KLEENE_TRUE ? "; holds as written, but "
                                                     : "; does not apply as written, but ");
    if (isnan(risk.share)) {
        text_add(text, risk.assumed || finding->verdict != VERDICT_TIGHT
                           ? "can fail within the tolerances"
                           : "may fail within the tolerances");
        text_add(text, risk.assumed ? " the house assumes" : "");
        return;
    }
    text_add(text, "can fail within the tolerances (");
    add_risk(text, risk.share, risk.samples);
    text_add(text, ")");
}

static const Formula *first_false(const Plain *plain, const Formula *formula)
{
    while (formula->kind == FORMULA_LET || formula->kind == FORMULA_AND) {
        bool first = formula->kind == FORMULA_LET ||
                     look_truth(plain, formula->operand[0]).nominal == KLEENE_FALSE;
        formula = formula->operand[first ? 0 : 1];
    }
    return formula;
}

static void add_false(Text *text, const Plain *plain, const Formula *formula)
{
    const Formula *inner = formula->operand[0];
    bool flipped = formula->kind == FORMULA_NOT && inner->kind == FORMULA_FIELD;
    if (formula->kind == FORMULA_FIELD || flipped) {
        formula_write(text, plain->rule, flipped ? inner : formula);
        text_add(text, flipped ? " is true" : " is false");
    } else if (formula->kind == FORMULA_IN_WORDS) {
        formula_write(text, plain->rule, inner);
        text_add(text, " is ");
        sentence_value(text, plain, inner, 0);
        if (!formula->negated) {
            text_add(text, ", not ");
            sentence_words(text, inner->type.words, formula->words, " or ");
        }
    } else {
        formula_write(text, plain->rule, formula);
        text_add(text, " is false: ");
        sentence_formula(text, plain, formula);
    }
}

/* The first over, not under a `some`, in a formula. */
static const Formula *first_over(const Formula *formula)
{
    if (!formula ||
        (formula->kind == FORMULA_OVER && !formula->under_some && formula->over != OVER_SOME))
        return formula;
    if (formula->kind == FORMULA_OVER)
        return NULL;
    const Formula *over = NULL;
    for (int i = 0; i < 3 && !over; i++)
        over = first_over(formula->operand[i]);
    return over;
}

static void add_out(Text *text, const Look *look)
{
    text_add(text, "does not apply here because ");
    if (look->when.nominal == KLEENE_FALSE) {
        add_false(text, &look->plain, first_false(&look->plain, look->plain.rule->when));
        return;
    }
    const Formula *over = first_over(look->plain.rule->when);
    over = over ? over : first_over(look->plain.rule->require);
    if (!over) {
        text_add(text, "there is nothing to judge");
        return;
    }
    Arena arena = {0};
    text_addf(text, "%s has no %s",
              look_name(&arena, look->plain.columns, over->record.subject,
                        plain_record(&look->plain, &over->record)),
              over->relation->name);
    arena_free(&arena);
}

/* What an edge that does not say how it is graded leaves open. */
static void add_ways(Text *text, const Judgement *judgement, const Finding *finding, uint32_t lane)
{
    uint32_t scaled = lane + judgement->lane_count;
    if (scaled < judgement->columns->lane_count && finding->ways[lane] != finding->ways[scaled])
        text_addf(text, "; if held: %s, if scaled: %s", verdict_name(finding->ways[lane]),
                  verdict_name(finding->ways[scaled]));
}

void sentence_say(Text *text, Arena *arena, const Judgement *judgement, const Finding *finding,
                  uint32_t lane)
{
    if (finding->verdict == VERDICT_OFF) {
        text_addf(text, "not judged: %s", finding->rule->off_reason);
        return;
    }
    Look look;
    look_at(&look, arena, judgement, finding, lane);
    switch (look.verdict) {
    case VERDICT_OUT:
        add_out(text, &look);
        break;
    case VERDICT_UNKNOWN:
        text_addf(text, "cannot be judged: %s",
                  look.missing.key ? look.missing.name : "a value is missing");
        add_ways(text, judgement, finding, lane);
        break;
    case VERDICT_PASS:
        text_add(text, "holds");
        break;
    case VERDICT_TIGHT:
        say(text, &look);
        add_tight(text, judgement, finding, &look);
        break;
    default:
        say(text, &look);
    }
}

void finding_sentence(Text *text, const Judgement *judgement, const Finding *finding, uint32_t lane)
{
    Arena arena = {0};
    Text raw = {0};
    sentence_say(&raw, &arena, judgement, finding, lane);
    text_add_visible(text, text_string(&raw), raw.length);
    text_free(&raw);
    arena_free(&arena);
}

/* What a side of a comparison is called: a name of the rule, in words. */
static const char *side_name(const Formula *side)
{
    switch (side->kind) {
    case FORMULA_LET:
        return side->name;
    case FORMULA_LIMIT:
        return side->limit->name;
    case FORMULA_FIELD:
        return field_at(side->field)->name;
    default:
        return NULL;
    }
}

/* "pitch needed: 1.8 mm too much": of the side that the rule measures. */
static void add_short(Text *text, const Formula *comparison, const char *amount)
{
    const Formula *side = comparison->operand[0];
    const char *name = side_name(side);
    bool wants_less =
        comparison->kind == FORMULA_LESS || comparison->kind == FORMULA_LESS_EQUAL;
    bool wants_more =
        comparison->kind == FORMULA_GREATER || comparison->kind == FORMULA_GREATER_EQUAL;
    if (!name || !(wants_less || wants_more)) {
        text_addf(text, "short by %s", amount);
        return;
    }
    for (const char *at = name; *at; at++)
        text_add_bytes(text, *at == '_' || *at == '.' ? " " : at, 1);
    text_addf(text, ": %s too %s", amount, wants_less ? "much" : "little");
}

void sentence_spare(Text *text, const Spare *spare)
{
    if (!spare->comparison || isnan(spare->amount))
        return;
    const Formula *side = spare->comparison->operand[0];
    const Unit *unit = sentence_unit(side);
    if (!unit && spare->comparison->operand[1])
        unit = sentence_unit(spare->comparison->operand[1]);
    if (unit && unit->point)
        unit = unit_default(side->type.dimension, false);
    if (spare->amount == 0) {
        text_add(text, "nothing to spare");
        return;
    }
    Text amount = {0};
    sentence_number(&amount, fabs(spare->amount), unit, side->type.dimension, false, DIGITS_SPARE);
    if (spare->amount < 0)
        add_short(text, spare->comparison, amount.bytes);
    else
        text_addf(text, "%s to spare", amount.bytes);
    text_free(&amount);
}

void finding_say_spare(Text *text, const Judgement *judgement, const Finding *finding)
{
    sentence_spare(text, finding_spare(judgement, finding));
}

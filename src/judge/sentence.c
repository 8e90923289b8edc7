/* Findings in words: values, formulas with their values, sentences, spare and
 * lanes. For everyone who shows findings. */
#include <math.h>
#include <string.h>

#include "judge/inside.h"

enum { DIGITS_WORKED_OUT = 3, DIGITS_WRITTEN = 4, DIGITS_SPARE = 2, DIGITS_MOST = 9, SAY_MOST = 32 };

const char *kleene_name(Kleene value)
{
    return value == KLEENE_TRUE ? "true" : value == KLEENE_FALSE ? "false" : "unknown";
}

/* --- values ------------------------------------------------------------------------ */

const Unit *sentence_unit(const Formula *formula)
{
    const Formula *at = formula;
    const Unit *unit = NULL;
    while (at && !unit) {
        switch (at->kind) {
        case FORMULA_FIELD:
            unit = field_unit(field_at(at->field));
            break;
        case FORMULA_LIMIT:
            unit = at->limit->unit;
            break;
        case FORMULA_TABLE:
            unit = at->table->out_unit;
            break;
        case FORMULA_NUMBER:
            unit = at->unit;
            break;
        default:
            break;
        }
        at = at->operand[at->kind == FORMULA_IF ? 1 : 0];
    }
    if (unit && dimension_equal(unit->dimension, formula->type.dimension) &&
        unit->point == formula->type.point)
        return unit;
    bool plain = dimension_equal(formula->type.dimension, DIMENSION_NONE);
    return plain ? NULL : unit_default(formula->type.dimension, formula->type.point);
}

static bool is_comparison(const Formula *formula)
{
    return formula->kind >= FORMULA_LESS && formula->kind <= FORMULA_NOT_EQUAL;
}

/* The unit of what a let is compared with, somewhere in a formula. */
static const Unit *unit_beside(const Formula *formula, const Formula *let)
{
    const Unit *unit = NULL;
    if (!formula)
        return NULL;
    for (int i = 0; i < 2 && is_comparison(formula) && !unit; i++)
        if (formula->operand[i]->kind == FORMULA_LET &&
            strcmp(formula->operand[i]->name, let->name) == 0)
            unit = sentence_unit(formula->operand[1 - i]);
    for (int i = 0; i < 3 && !unit; i++)
        unit = unit_beside(formula->operand[i], let);
    return unit ? unit : unit_beside(formula->filter, let);
}

/* As sentence_unit; a ratio that was worked out is shown like the limit it is
 * compared with: 17 % beside 10 %. */
static const Unit *unit_in_rule(const Rule *rule, const Formula *formula)
{
    const Unit *unit = sentence_unit(formula);
    if (!unit && formula->kind == FORMULA_LET &&
        dimension_equal(formula->type.dimension, DIMENSION_NONE))
        unit = unit_beside(rule->require, formula);
    return unit;
}

void sentence_number(Text *text, double value, const Unit *unit, Dimension dimension, bool point,
                     int digits)
{
    if (isnan(value)) {
        text_add(text, "unknown");
        return;
    }
    text_add_number(text, unit ? unit_from_base(unit, value) : value, digits);
    if (unit)
        text_addf(text, " %s", unit->name);
    else if (!dimension_equal(dimension, DIMENSION_NONE))
        text_addf(text, " %s", dimension_name(dimension, point));
}

static bool equal_numbers(double a, double b)
{
    return fabs(a - b) <= 1e-9 * fmax(fabs(a), fabs(b));
}

static bool reads_equal(double a, double b, const Unit *unit, int digits)
{
    Text one = {0}, two = {0};
    text_add_number(&one, unit ? unit_from_base(unit, a) : a, digits);
    text_add_number(&two, unit ? unit_from_base(unit, b) : b, digits);
    bool equal = strcmp(text_string(&one), text_string(&two)) == 0;
    text_free(&one);
    text_free(&two);
    return equal;
}

int sentence_digits(double a, double b, const Unit *unit, int least)
{
    int digits = least;
    while (!isnan(a) && !isnan(b) && !equal_numbers(a, b) && digits < DIGITS_MOST &&
           reads_equal(a, b, unit, digits))
        digits++;
    return digits;
}

static void add_word(Text *text, const WordList *words, double code)
{
    bool known = words && code >= 0 && code < (double)words->count;
    text_add(text, known ? words->words[(size_t)code] : "unknown");
}

static void add_members(Text *text, const WordList *words, double code)
{
    uint64_t members = (uint64_t)code;
    const char *comma = "";
    text_add(text, "{");
    for (unsigned i = 0; i < 64; i++) {
        if (!(members >> i & 1))
            continue;
        text_add(text, comma);
        if (words)
            add_word(text, words, i);
        else
            text_addf(text, "%u", i);
        comma = ", ";
    }
    text_add(text, "}");
}

void sentence_word(Text *text, const Field *field, double code)
{
    if (isnan(code))
        text_add(text, "unknown");
    else if (field->type == FIELD_TRUTH)
        text_add(text, code > 0 ? "true" : "false");
    else if (field->type == FIELD_WORD)
        add_word(text, field->words, code);
    else
        add_members(text, field->words, code);
}

static int digits_of(const Formula *formula)
{
    bool written = formula->kind == FORMULA_LIMIT || formula->kind == FORMULA_NUMBER ||
                   (formula->kind == FORMULA_FIELD &&
                    field_at(formula->field)->absence != ABSENT_DERIVED);
    return written ? DIGITS_WRITTEN : DIGITS_WORKED_OUT;
}

void sentence_value(Text *text, const Plain *plain, const Formula *formula, int digits)
{
    switch (formula->type.kind) {
    case TYPE_TRUTH:
        text_add(text, kleene_name(look_truth(plain, formula).nominal));
        break;
    case TYPE_WORD:
        add_word(text, formula->type.words, look_number(plain, formula).nominal);
        break;
    case TYPE_NUMBER:
        sentence_number(text, look_number(plain, formula).nominal,
                        unit_in_rule(plain->rule, formula),
                        formula->type.dimension, formula->type.point, digits);
        break;
    }
}

/* --- formulas with values in place of names ------------------------------------------ */

/* How tightly a kind holds together, as in the grammar of rule/formula.h. */
static int hold_of(const Formula *formula)
{
    switch (formula->kind) {
    case FORMULA_IF:
        return 0;
    case FORMULA_OR:
        return 1;
    case FORMULA_AND:
        return 2;
    case FORMULA_NOT:
        return 3;
    case FORMULA_LESS:
    case FORMULA_LESS_EQUAL:
    case FORMULA_GREATER:
    case FORMULA_GREATER_EQUAL:
    case FORMULA_EQUAL:
    case FORMULA_NOT_EQUAL:
    case FORMULA_IN_WORDS:
    case FORMULA_IN_FIELD:
        return 4;
    case FORMULA_ADD:
    case FORMULA_SUBTRACT:
        return 5;
    case FORMULA_MULTIPLY:
    case FORMULA_DIVIDE:
        return 6;
    case FORMULA_NEGATE:
        return 7;
    case FORMULA_POWER:
        return 8;
    default:
        return 9;
    }
}

static const char *sign_of(FormulaKind kind)
{
    static const char *const signs[FORMULA_OVER + 1] = {
        [FORMULA_ADD] = "+",      [FORMULA_SUBTRACT] = "-",       [FORMULA_MULTIPLY] = "*",
        [FORMULA_DIVIDE] = "/",   [FORMULA_LESS] = "<",           [FORMULA_LESS_EQUAL] = "<=",
        [FORMULA_GREATER] = ">",  [FORMULA_GREATER_EQUAL] = ">=", [FORMULA_EQUAL] = "=",
        [FORMULA_NOT_EQUAL] = "!=", [FORMULA_AND] = "and",        [FORMULA_OR] = "or",
    };
    return signs[kind];
}

static void add_formula(Text *text, const Plain *plain, const Formula *formula, int digits);

static void add_operand(Text *text, const Plain *plain, const Formula *operand, int due, int digits)
{
    bool brackets = hold_of(operand) < due;
    text_add(text, brackets ? "(" : "");
    add_formula(text, plain, operand, digits);
    text_add(text, brackets ? ")" : "");
}

static void add_arguments(Text *text, const Plain *plain, const Formula *formula, int digits)
{
    static const char *const names[] = {"min",  "max",   "abs", "sqrt", "floor", "ceil",
                                        "round", "sin", "cos", "tan",  "atan2"};
    text_add(text, formula->kind == FORMULA_TABLE ? formula->table->name
                                                  : names[formula->function]);
    for (int i = 0; i < 3 && formula->operand[i]; i++) {
        text_add(text, i ? ", " : "(");
        add_formula(text, plain, formula->operand[i], digits);
    }
    text_add(text, ")");
}

/* Both sides of a comparison with digits enough to tell them apart. */
static void add_comparison(Text *text, const Plain *plain, const Formula *formula, int digits)
{
    const Formula *left = formula->operand[0], *right = formula->operand[1];
    if (left->type.kind == TYPE_NUMBER)
        digits = sentence_digits(look_number(plain, left).nominal,
                                 look_number(plain, right).nominal,
                                 unit_in_rule(plain->rule, left), digits);
    add_operand(text, plain, left, 5, digits);
    text_addf(text, " %s ", sign_of(formula->kind));
    add_operand(text, plain, right, 5, digits);
}

static void add_words(Text *text, const WordList *list, uint64_t words, const char *between)
{
    const char *comma = "";
    for (size_t i = 0; i < list->count; i++) {
        if (!(words >> i & 1))
            continue;
        text_addf(text, "%s%s", comma, list->words[i]);
        comma = between;
    }
}

/* "edge.finish (raw) is turned". */
static void add_in_words(Text *text, const Plain *plain, const Formula *formula, int digits)
{
    bool single = (formula->words & (formula->words - 1)) == 0;
    const Formula *word = formula->operand[0];
    if (word->kind == FORMULA_FIELD) {
        formula_write(text, plain->rule, word);
        text_add(text, " (");
        sentence_value(text, plain, word, digits);
        text_add(text, ")");
    } else {
        add_operand(text, plain, word, 5, digits);
    }
    text_add(text, single ? (formula->negated ? " is not " : " is ")
                          : (formula->negated ? " not in {" : " in {"));
    add_words(text, word->type.words, formula->words, ", ");
    text_add(text, single ? "" : "}");
}

static void add_cell(Text *text, const Plain *plain, const Formula *formula, int digits)
{
    const Field *field = field_at(formula->field);
    int32_t record = plain_record(plain, &formula->record);
    const Column *column = &plain->columns->fields[formula->field];
    size_t cell = record < 0 ? 0 : column_cell(column, (uint32_t)record, plain->lane);
    if (record < 0) {
        text_add(text, "unknown");
    } else if (field->type != FIELD_RANGE) {
        sentence_word(text, field, column->nominal[cell]);
    } else if (isnan(column->lo[cell])) {
        text_add(text, "unknown");
    } else {
        const Unit *unit = field_unit(field);
        text_add_number(text, unit ? unit_from_base(unit, column->lo[cell]) : column->lo[cell],
                        digits);
        text_add(text, "..");
        sentence_number(text, column->hi[cell], unit, DIMENSION_NONE, false, digits);
    }
}

static void add_formula(Text *text, const Plain *plain, const Formula *formula, int digits)
{
    int hold = hold_of(formula);
    switch (formula->kind) {
    case FORMULA_NEGATE:
        text_add(text, "-");
        add_operand(text, plain, formula->operand[0], hold, digits);
        break;
    case FORMULA_NOT:
        text_add(text, "not ");
        add_operand(text, plain, formula->operand[0], hold, digits);
        break;
    case FORMULA_POWER: /* in brackets: 0.2 mm^2 would be read as square millimetres */
        add_operand(text, plain, formula->operand[0], 10, digits);
        text_addf(text, "^%d", formula->power);
        break;
    case FORMULA_FIELD:
        if (formula->type.kind == TYPE_TRUTH) {
            formula_write(text, plain->rule, formula);
            text_addf(text, " (%s)", kleene_name(look_truth(plain, formula).nominal));
            break;
        }
        sentence_value(text, plain, formula, digits > DIGITS_WRITTEN ? digits : digits_of(formula));
        break;
    case FORMULA_ADD:
    case FORMULA_SUBTRACT:
    case FORMULA_MULTIPLY:
    case FORMULA_DIVIDE:
    case FORMULA_AND:
    case FORMULA_OR:
        add_operand(text, plain, formula->operand[0], hold, digits);
        text_addf(text, " %s ", sign_of(formula->kind));
        add_operand(text, plain, formula->operand[1], hold + 1, digits);
        break;
    case FORMULA_LESS:
    case FORMULA_LESS_EQUAL:
    case FORMULA_GREATER:
    case FORMULA_GREATER_EQUAL:
    case FORMULA_EQUAL:
    case FORMULA_NOT_EQUAL:
        add_comparison(text, plain, formula, digits);
        break;
    case FORMULA_IN_WORDS:
        add_in_words(text, plain, formula, digits);
        break;
    case FORMULA_IN_FIELD:
        add_operand(text, plain, formula->operand[0], 5, digits);
        text_add(text, formula->negated ? " not in " : " in ");
        add_cell(text, plain, formula, digits);
        break;
    case FORMULA_CALL:
    case FORMULA_TABLE:
        add_arguments(text, plain, formula, digits);
        break;
    case FORMULA_IF:
        text_add(text, "if ");
        add_formula(text, plain, formula->operand[0], digits);
        text_add(text, " then ");
        add_formula(text, plain, formula->operand[1], digits);
        text_add(text, " else ");
        add_formula(text, plain, formula->operand[2], digits);
        break;
    default:
        sentence_value(text, plain, formula, digits > DIGITS_WRITTEN ? digits : digits_of(formula));
    }
}

void sentence_formula(Text *text, const Plain *plain, const Formula *formula)
{
    add_formula(text, plain, formula, DIGITS_WORKED_OUT);
}

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
            const Unit *unit = is_number(&said[i]) ? unit_in_rule(rule, said[i].piece->formula) : NULL;
            if (!is_number(&said[i]) || !is_number(&said[k]) ||
                unit != unit_in_rule(rule, said[k].piece->formula))
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
            said[i] = (Said){piece, number ? look_number(&look->plain, piece->formula).nominal : NAN,
                             piece->formula ? digits_of(piece->formula) : 0};
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

static void add_tight(Text *text, const Finding *finding, const Look *look)
{
    text_add(text, look->when.nominal == KLEENE_TRUE ? "; holds as written, but "
                                                     : "; does not apply as written, but ");
    if (isnan(finding->risk)) {
        text_add(text, finding->assumed || finding->verdict != VERDICT_TIGHT
                           ? "can fail within the tolerances"
                           : "may fail within the tolerances");
        text_add(text, finding->assumed ? " the house assumes" : "");
        return;
    }
    text_add(text, "can fail within the tolerances (");
    add_risk(text, finding->risk, finding->risk_samples);
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
            add_words(text, inner->type.words, formula->words, " or ");
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
    if (!formula || (formula->kind == FORMULA_OVER && !formula->under_some &&
                     formula->over != OVER_SOME))
        return formula;
    if (formula->kind == FORMULA_OVER)
        return NULL;
    const Formula *over = NULL;
    for (int i = 0; i < 3 && !over; i++)
        over = first_over(formula->operand[i]);
    return over;
}

void sentence_out(Text *text, const Look *look)
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
        sentence_out(text, &look);
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
        add_tight(text, finding, &look);
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

void finding_spare(Text *text, const Finding *finding)
{
    const Spare *spare = &finding->spare;
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
    text_add(text, spare->amount < 0 ? "short by " : "");
    sentence_number(text, fabs(spare->amount), unit, side->type.dimension, false, DIGITS_SPARE);
    text_add(text, spare->amount < 0 ? "" : " to spare");
}

/* --- lanes ------------------------------------------------------------------------------------ */

/* The lanes as a grid: sizes and colourways, each once, in order. */
typedef struct Grid {
    const char **sizes, **colourways;
    size_t size_count, colourway_count;
    bool *in; /* colourway * size_count + size: shares the verdict */
} Grid;

static size_t enter_name(const char **names, size_t *count, const char *name)
{
    for (size_t i = 0; i < *count; i++)
        if (strcmp(names[i], name) == 0)
            return i;
    names[*count] = name;
    return (*count)++;
}

static Grid grid_of(Arena *arena, const Judgement *judgement, const Finding *finding)
{
    uint32_t count = judgement->lane_count;
    const Lane *lanes = judgement->columns->lanes;
    Grid grid = {.sizes = ARENA_NEW(arena, const char *, count),
                 .colourways = ARENA_NEW(arena, const char *, count)};
    for (uint32_t lane = 0; lane < count; lane++) {
        enter_name(grid.sizes, &grid.size_count, lanes[lane].size);
        enter_name(grid.colourways, &grid.colourway_count, lanes[lane].colourway);
    }
    grid.in = ARENA_NEW(arena, bool, grid.size_count * grid.colourway_count);
    for (uint32_t lane = 0; lane < count; lane++) {
        size_t colourway = enter_name(grid.colourways, &grid.colourway_count,
                                      lanes[lane].colourway);
        size_t size = enter_name(grid.sizes, &grid.size_count, lanes[lane].size);
        grid.in[colourway * grid.size_count + size] = finding->lanes[lane] == finding->verdict;
    }
    return grid;
}

static const bool *grid_row(const Grid *grid, size_t colourway)
{
    return grid->in + colourway * grid->size_count;
}

static bool row_full(const Grid *grid, size_t colourway)
{
    size_t size = 0;
    while (size < grid->size_count && grid_row(grid, colourway)[size])
        size++;
    return size == grid->size_count;
}

static bool row_empty(const Grid *grid, size_t colourway)
{
    size_t size = 0;
    while (size < grid->size_count && !grid_row(grid, colourway)[size])
        size++;
    return size == grid->size_count;
}

static bool rows_equal(const Grid *grid, size_t a, size_t b)
{
    return memcmp(grid_row(grid, a), grid_row(grid, b), grid->size_count * sizeof(bool)) == 0;
}

/* The end of a run of three or more sizes that starts here, else the start. */
static size_t run_end(const Grid *grid, const bool *in, size_t size)
{
    size_t last = size;
    while (last + 1 < grid->size_count && in[last + 1])
        last++;
    return last > size + 1 ? last : size;
}

static size_t next_size(const Grid *grid, const bool *in, size_t size)
{
    while (size < grid->size_count && !in[size])
        size++;
    return size;
}

/* "36 to 39, 41 and 46". */
static void add_sizes(Text *text, const Grid *grid, const bool *in)
{
    size_t size = next_size(grid, in, 0), first = size;
    while (size < grid->size_count) {
        size_t last = run_end(grid, in, size), next = next_size(grid, in, last + 1);
        bool final = next == grid->size_count;
        text_add(text, size == first ? "" : final ? " and " : ", ");
        text_add(text, grid->sizes[size]);
        if (last > size)
            text_addf(text, " to %s", grid->sizes[last]);
        size = next;
    }
}

/* "36 to 39 of Chalk and Bark" for all colourways whose row is like `first`'s. */
static void add_row(Text *text, const Grid *grid, size_t first)
{
    bool sized = grid->sizes[0][0] != '\0';
    if (sized && row_full(grid, first))
        text_add(text, "every size");
    else if (sized)
        add_sizes(text, grid, grid_row(grid, first));
    const char *between = sized ? " of " : "";
    for (size_t c = first; c < grid->colourway_count; c++) {
        if (!rows_equal(grid, first, c))
            continue;
        text_addf(text, "%s%s", between, grid->colourways[c]);
        between = " and ";
    }
}

static void add_grid(Text *text, const Grid *grid)
{
    bool sized = grid->sizes[0][0] != '\0', many = grid->colourway_count > 1;
    bool same = true, full = true;
    for (size_t c = 0; c < grid->colourway_count; c++) {
        same = same && rows_equal(grid, 0, c);
        full = full && row_full(grid, c);
    }
    if (full) {
        text_add(text, sized && many ? "in every size and colourway"
                       : sized       ? "in every size"
                       : many        ? "in every colourway"
                                     : "");
        return;
    }
    const char *comma = "in ";
    for (size_t c = 0; c < grid->colourway_count; c++) {
        bool told = row_empty(grid, c);
        for (size_t before = 0; before < c && !told; before++)
            told = rows_equal(grid, before, c);
        if (told)
            continue;
        text_add(text, comma);
        if (same) {
            add_sizes(text, grid, grid_row(grid, 0));
            text_add(text, many ? " of every colourway" : "");
        } else {
            add_row(text, grid, c);
        }
        comma = "; in ";
    }
}

void finding_lanes(Text *text, const Judgement *judgement, const Finding *finding)
{
    Arena arena = {0};
    Text raw = {0};
    Grid grid = grid_of(&arena, judgement, finding);
    if (grid.size_count > 0)
        add_grid(&raw, &grid);
    text_add_visible(text, text_string(&raw), raw.length);
    text_free(&raw);
    arena_free(&arena);
}

/* The plain evaluator: walks formulas for one place in one lane. It says what
 * the fast one must find. For src/rule, src/judge and tests. */
#include "rule/plain.h"

#include <math.h>
#include <string.h>

#include "rule/interval.h"
#include "rule/kleene.h"

void plain_start(Plain *plain, const Rule *rule, const Columns *columns, uint32_t lane,
                 int32_t record)
{
    *plain = (Plain){.rule = rule, .columns = columns, .lane = lane};
    for (int i = 0; i < BINDINGS_MOST; i++) {
        plain->bindings[i] = -1;
    }
    plain->bindings[0] = record;
}

/* Two sets may bind the same name; the sentence of a finding means the one that decided. */
static int32_t bound_record(const Plain *plain, int binding)
{
    const Rule *rule = plain->rule;
    if (binding == 0 || plain->bindings[binding] >= 0) {
        return plain->bindings[binding];
    }
    for (int i = 1; i < rule->binding_count; i++) {
        if (plain->bindings[i] >= 0 && rule->bound[i] == rule->bound[binding] &&
            strcmp(rule->bound_name[i], rule->bound_name[binding]) == 0) {
            return plain->bindings[i];
        }
    }
    return -1;
}

int32_t plain_record(const Plain *plain, const RecordPath *path)
{
    int32_t record = bound_record(plain, path->binding);
    for (int i = 0; i < path->length; i++) {
        const OneColumn *one = &plain->columns->ones[relation_index(path->steps[i])];
        record = column_one(one, record, plain->lane);
    }
    return record;
}

static void visit(const Plain *plain, const Formula *formula, int32_t record)
{
    if (plain->visit) {
        plain->visit(plain->visit_data, plain, formula, record);
    }
}

PlainNumber plain_part(PlainNumber whole, double from, double to, bool at_point)
{
    double width = whole.hi - whole.lo;
    PlainNumber left = {whole.nominal,
                        from > 0 ? fmin(whole.lo + width * from, whole.hi) : whole.lo,
                        to < 1 ? fmin(whole.lo + width * to, whole.hi) : whole.hi};
    if (at_point) {
        left.nominal = whole.lo + width * ((from + to) / 2);
    }
    left.nominal = fmin(fmax(left.nominal, left.lo), left.hi);
    return left;
}

/* What of [lo, hi] the box leaves of this source. */
static PlainNumber in_box(const Plain *plain, const void *source, PlainNumber whole, bool assumed)
{
    const ToleranceBox *box = plain->box;
    double from = 0, to = 1;
    if (isnan(whole.nominal)) {
        return number_unknown();
    }
    if (!(whole.hi - whole.lo > 0) || (box && box->declared_only && assumed)) {
        return number_exact(whole.nominal);
    }
    for (size_t i = 0; box && i < box->count; i++) {
        if (box->sides[i].source == source) {
            from = box->sides[i].from;
            to = box->sides[i].to;
        }
    }
    return plain_part(whole, from, to, plain->at_point);
}

static const void *cell_source(const Column *column, uint32_t record, size_t cell)
{
    const void *source = column->origins[record]->source;
    return source ? source : &column->nominal[cell];
}

static PlainNumber field_number(const Plain *plain, FieldId field, int32_t record)
{
    if (record < 0) {
        return number_unknown();
    }
    const Column *column = &plain->columns->fields[field];
    size_t cell = column_cell(column, (uint32_t)record, plain->lane);
    if (field_at(field)->type != FIELD_NUMBER) {
        return number_exact(column->nominal[cell]);
    }
    PlainNumber whole = {column->nominal[cell], column->lo[cell], column->hi[cell]};
    return in_box(plain, cell_source(column, (uint32_t)record, cell), whole,
                  column->origins[record]->assumed);
}

/* The row of a limit that holds where it is read; NULL if that is not known. */
static const LimitValue *limit_row(const Plain *plain, const Limit *limit, int32_t record)
{
    if (limit->by == FIELD_ID_COUNT) {
        return limit_value(limit, NAN);
    }
    return limit_value(limit, field_number(plain, limit->by, record).nominal);
}

/* Whether the record's own value stands for the limit: it is written, be it as unknown. */
static bool limit_is_own(const Plain *plain, const Formula *formula, int32_t *record)
{
    if (formula->own_record.subject == SUBJECT_COUNT) {
        return false;
    }
    *record = plain_record(plain, &formula->own_record);
    const Column *column = &plain->columns->fields[formula->limit->own];
    return *record < 0 || column->origins[*record]->kind != ORIGIN_MISSING;
}

static PlainNumber limit_number(const Plain *plain, const Formula *formula)
{
    const Limit *limit = formula->limit;
    int32_t record = limit->by == FIELD_ID_COUNT ? -1 : plain_record(plain, &formula->record), own;
    visit(plain, formula, record);
    if (limit_is_own(plain, formula, &own)) {
        return field_number(plain, limit->own, own);
    }
    const LimitValue *row = limit_row(plain, limit, record);
    if (!row) {
        return number_unknown();
    }
    const Quantity *quantity = &row->quantity;
    return in_box(plain, row, (PlainNumber){quantity->nominal, quantity->lo, quantity->hi}, false);
}

/* The members of the set that an `over` goes over. */
typedef struct Members {
    const int32_t *items;
    uint32_t count;
    bool unknown;
} Members;

static Members members_of(Plain *plain, const Formula *over)
{
    int32_t record = plain_record(plain, &over->record);
    const ManyColumn *many = &plain->columns->manys[relation_index(over->relation)];
    if (record < 0 || many->unknown[record]) {
        plain->met = plain->met || !over->under_some;
        return (Members){.unknown = true};
    }
    uint32_t start = many->start[record];
    return (Members){.items = many->items + start, .count = many->start[record + 1] - start};
}

/* Binds a member and tells whether it is one: its filter. */
static PlainTruth member_filter(Plain *plain, const Formula *over, int32_t member)
{
    plain->bindings[over->binding] = member;
    PlainTruth filter =
        over->filter ? plain_truth(plain, over->filter) : truth_certain(plain, KLEENE_TRUE);
    plain->met = plain->met || (!over->under_some && filter.nominal != KLEENE_FALSE);
    return filter;
}

/* Of `some` a member that is surely none is nothing, whatever else holds of it. */
static bool is_surely_out(const Plain *plain, const Formula *over, const PlainTruth *filter)
{
    return over->over == OVER_SOME && !plain->visit && !filter->can_true && !filter->can_unknown;
}

/* every, some */
static PlainTruth over_truth(Plain *plain, const Formula *over)
{
    bool every = over->over == OVER_EVERY;
    Members members = members_of(plain, over);
    if (members.unknown) {
        return truth_certain(plain, KLEENE_UNKNOWN);
    }
    PlainTruth all = truth_certain(plain, every ? KLEENE_TRUE : KLEENE_FALSE);
    for (uint32_t i = 0; i < members.count; i++) {
        PlainTruth filter = member_filter(plain, over, members.items[i]);
        PlainTruth body = is_surely_out(plain, over, &filter)
                              ? filter
                              : plain_truth(plain, over->operand[0]);
        PlainTruth member = truth_of_member(plain, every, filter, body);
        all = i == 0 ? member : every ? truth_and(all, member) : truth_or(all, member);
    }
    plain->bindings[over->binding] = -1;
    return all;
}

/* sum, count */
static PlainNumber over_total(Plain *plain, const Formula *over, Members members)
{
    PlainNumber total = number_exact(0);
    for (uint32_t i = 0; i < members.count; i++) {
        PlainTruth filter = member_filter(plain, over, members.items[i]);
        PlainNumber body =
            over->over == OVER_COUNT ? number_exact(1) : plain_number(plain, over->operand[0]);
        total = number_add(total, number_select(&filter, body, number_exact(0)));
    }
    plain->bindings[over->binding] = -1;
    return total;
}

/* The greatest so far: of members that are surely there, and of all that may be. */
typedef struct Greatest {
    double nominal, least, most;
    bool nominal_unknown, sure, possible, doubtful, unknown;
    int32_t member;
} Greatest;

static void greatest_add(Greatest *greatest, PlainTruth filter, PlainNumber body, int32_t member)
{
    greatest->nominal_unknown |=
        filter.nominal == KLEENE_UNKNOWN || (filter.nominal == KLEENE_TRUE && isnan(body.nominal));
    if (filter.nominal == KLEENE_TRUE &&
        (isnan(greatest->nominal) || body.nominal > greatest->nominal)) {
        greatest->nominal = body.nominal;
        greatest->member = member;
    }
    if (filter.can_unknown) {
        greatest->unknown |= !filter.can_true && !filter.can_false;
        greatest->doubtful = true;
    } else if (filter.can_true) {
        bool sure = !filter.can_false;
        greatest->unknown |= sure && number_is_unknown(body);
        greatest->doubtful |= number_is_unknown(body) || number_is_doubtful(body);
        greatest->least = sure ? fmax(greatest->least, body.lo) : greatest->least;
        greatest->most = fmax(greatest->most, body.hi);
        greatest->sure |= sure;
        greatest->possible = true;
    }
}

static PlainNumber greatest_number(const Greatest *greatest)
{
    double nominal = greatest->nominal_unknown ? NAN : greatest->nominal;
    if (greatest->unknown || (!greatest->possible && !greatest->doubtful)) {
        return number_unknown();
    }
    if (greatest->doubtful || !greatest->sure) {
        return number_doubtful(nominal);
    }
    return (PlainNumber){nominal, greatest->least, greatest->most};
}

/* most; least as the most of the negatives */
static PlainNumber over_extreme(Plain *plain, const Formula *over, Members members)
{
    bool least = over->over == OVER_LEAST;
    Greatest greatest = {.nominal = NAN, .least = -INFINITY, .most = -INFINITY, .member = -1};
    for (uint32_t i = 0; i < members.count; i++) {
        PlainTruth filter = member_filter(plain, over, members.items[i]);
        PlainNumber body = plain_number(plain, over->operand[0]);
        greatest_add(&greatest, filter, least ? number_negate(body) : body, members.items[i]);
    }
    PlainNumber number = greatest_number(&greatest);
    plain->bindings[over->binding] = isnan(number.nominal) ? -1 : greatest.member;
    return least ? number_negate(number) : number;
}

static PlainNumber over_number(Plain *plain, const Formula *over)
{
    Members members = members_of(plain, over);
    if (members.unknown) {
        return number_unknown();
    }
    return over->over == OVER_SUM || over->over == OVER_COUNT ? over_total(plain, over, members)
                                                              : over_extreme(plain, over, members);
}

static PlainNumber call_number(Plain *plain, const Formula *formula)
{
    PlainNumber a = plain_number(plain, formula->operand[0]);
    PlainNumber b =
        formula->operand[1] ? plain_number(plain, formula->operand[1]) : number_unknown();
    return number_function(formula->function, a, b);
}

static PlainNumber if_number(Plain *plain, const Formula *formula)
{
    PlainTruth condition = plain_truth(plain, formula->operand[0]);
    PlainNumber yes = plain_number(plain, formula->operand[1]);
    PlainNumber no = plain_number(plain, formula->operand[2]);
    PlainNumber number = number_select(&condition, yes, no);
    /* Between two words lies nothing that could be meant. */
    bool apart = formula->type.kind == TYPE_WORD && number.lo < number.hi;
    return apart ? number_doubtful(number.nominal) : number;
}

static PlainNumber two_numbers(Plain *plain, const Formula *formula)
{
    PlainNumber a = plain_number(plain, formula->operand[0]);
    PlainNumber b = plain_number(plain, formula->operand[1]);
    switch (formula->kind) {
    case FORMULA_ADD:
        return number_add(a, b);
    case FORMULA_SUBTRACT:
        return number_subtract(a, b);
    case FORMULA_MULTIPLY:
        return number_multiply(a, b);
    default:
        return number_divide(a, b);
    }
}

static PlainNumber let_number(Plain *plain, const Formula *body)
{
    for (int i = 0; i < PLAIN_LETS && !plain->visit; i++) {
        if (plain->lets[i].body == body) {
            return plain->lets[i].value;
        }
    }
    PlainNumber value = plain_number(plain, body);
    plain->lets[plain->let_next] = (PlainLet){body, value};
    plain->let_next = (plain->let_next + 1) % PLAIN_LETS;
    return value;
}

PlainNumber plain_number(Plain *plain, const Formula *formula)
{
    int32_t record;
    switch (formula->kind) {
    case FORMULA_NUMBER:
        return number_exact(formula->number);
    case FORMULA_FIELD:
        record = plain_record(plain, &formula->record);
        visit(plain, formula, record);
        return field_number(plain, formula->field, record);
    case FORMULA_LIMIT:
        return limit_number(plain, formula);
    case FORMULA_LET:
        return let_number(plain, formula->operand[0]);
    case FORMULA_NEGATE:
        return number_negate(plain_number(plain, formula->operand[0]));
    case FORMULA_ADD:
    case FORMULA_SUBTRACT:
    case FORMULA_MULTIPLY:
    case FORMULA_DIVIDE:
        return two_numbers(plain, formula);
    case FORMULA_POWER:
        return number_power(plain_number(plain, formula->operand[0]), formula->power);
    case FORMULA_CALL:
        return call_number(plain, formula);
    case FORMULA_TABLE:
        return number_table(formula->table, plain_number(plain, formula->operand[0]));
    case FORMULA_IF:
        return if_number(plain, formula);
    case FORMULA_OVER:
        return over_number(plain, formula);
    default:
        return number_unknown(); /* a truth: the type check lets none come here */
    }
}

/* A test with the spare of its comparison: `amount` is what its sides have to
 * spare, `size` the greater of them. */
static PlainTruth compared(const Plain *plain, const Formula *formula, PlainTruth truth,
                           double amount, double size)
{
    truth.spare = spare_without(plain, truth.nominal);
    truth.spare.comparison = formula;
    truth.spare.amount = amount;
    truth.spare.relative = isnan(amount) ? NAN : size > 0 ? amount / size : 0;
    return truth;
}

/* x >= y, or not (x >= y): the spare is x - y either way. */
static PlainTruth ordered(const Plain *plain, const Formula *formula, PlainNumber x, PlainNumber y)
{
    PlainTruth truth = {0};
    double amount = x.nominal - y.nominal;
    if (isnan(amount)) {
        truth.nominal = KLEENE_UNKNOWN;
    } else {
        truth.nominal = number_holds(x.nominal, y.nominal) ? KLEENE_TRUE : KLEENE_FALSE;
    }
    bool doubtful = number_is_doubtful(x) || number_is_doubtful(y);
    if (number_is_unknown(x) || number_is_unknown(y)) {
        truth.can_unknown = true;
    } else {
        truth.can_true = doubtful || number_holds(x.hi, y.lo);
        truth.can_false = doubtful || !number_holds(x.lo, y.hi);
        truth.can_unknown = doubtful;
    }
    return compared(plain, formula, truth, amount, fmax(fabs(x.nominal), fabs(y.nominal)));
}

static PlainTruth equal(const Plain *plain, const Formula *formula, PlainNumber x, PlainNumber y)
{
    PlainTruth truth = truth_and(ordered(plain, formula, x, y), ordered(plain, formula, y, x));
    return compared(plain, formula, truth, 0 - fabs(x.nominal - y.nominal),
                    fmax(fabs(x.nominal), fabs(y.nominal)));
}

static PlainTruth comparison(Plain *plain, const Formula *formula)
{
    PlainNumber a = plain_number(plain, formula->operand[0]);
    PlainNumber b = plain_number(plain, formula->operand[1]);
    switch (formula->kind) {
    case FORMULA_GREATER_EQUAL:
        return ordered(plain, formula, a, b);
    case FORMULA_LESS_EQUAL:
        return ordered(plain, formula, b, a);
    case FORMULA_LESS:
        return truth_not(ordered(plain, formula, a, b));
    case FORMULA_GREATER:
        return truth_not(ordered(plain, formula, b, a));
    case FORMULA_EQUAL:
        return equal(plain, formula, a, b);
    default:
        return truth_not(equal(plain, formula, a, b));
    }
}

/* A word tested against a set of words, given as bits. */
static PlainTruth word_test(const Plain *plain, PlainNumber word, uint64_t words, bool negated)
{
    Kleene value = KLEENE_UNKNOWN;
    if (!isnan(word.nominal)) {
        value = words >> (int)word.nominal & 1 ? KLEENE_TRUE : KLEENE_FALSE;
    }
    PlainTruth truth = truth_certain(plain, value);
    if (number_is_doubtful(word)) {
        truth.can_true = truth.can_false = truth.can_unknown = true;
    }
    return negated ? truth_not(truth) : truth;
}

static bool count_is_in(double count, uint64_t counts)
{
    double whole = round(count);
    bool near = fabs(count - whole) <= 1e-9 * fmax(1, fabs(count));
    return near && whole >= 0 && whole < 64 && (counts >> (int)whole & 1);
}

static PlainTruth count_test(const Plain *plain, PlainNumber count, uint64_t counts)
{
    if (number_is_unknown(count)) {
        return truth_certain(plain, KLEENE_UNKNOWN);
    }
    Kleene value = isnan(count.nominal)                 ? KLEENE_UNKNOWN
                   : count_is_in(count.nominal, counts) ? KLEENE_TRUE
                                                        : KLEENE_FALSE;
    PlainTruth truth = truth_certain(plain, value);
    truth.can_unknown = truth.can_unknown || number_is_doubtful(count);
    for (int i = 0; i < 64 && count.lo < count.hi; i++) {
        bool reached = i >= count.lo - 1e-9 * i && i <= count.hi + 1e-9 * i;
        truth.can_true = truth.can_true || (reached && (counts >> i & 1));
    }
    truth.can_false = truth.can_false || count.lo < count.hi;
    return truth;
}

/* least <= x <= most */
static PlainTruth range_test(const Plain *plain, const Formula *formula, PlainNumber x,
                             double least, double most)
{
    PlainTruth low = ordered(plain, formula, x, number_exact(least));
    PlainTruth high = ordered(plain, formula, number_exact(most), x);
    return truth_and(low, high);
}

static PlainTruth in_field(Plain *plain, const Formula *formula)
{
    PlainNumber x = plain_number(plain, formula->operand[0]);
    int32_t record = plain_record(plain, &formula->record);
    visit(plain, formula, record);
    if (record < 0) {
        return truth_certain(plain, KLEENE_UNKNOWN);
    }
    const Column *column = &plain->columns->fields[formula->field];
    size_t cell = column_cell(column, (uint32_t)record, plain->lane);
    PlainTruth truth;
    if (field_at(formula->field)->type == FIELD_RANGE) {
        truth = range_test(plain, formula, x, column->lo[cell], column->hi[cell]);
    } else if (isnan(column->nominal[cell])) {
        truth = truth_certain(plain, KLEENE_UNKNOWN);
    } else if (field_at(formula->field)->type == FIELD_COUNTS) {
        truth = count_test(plain, x, (uint64_t)column->nominal[cell]);
    } else {
        truth = word_test(plain, x, (uint64_t)column->nominal[cell], false);
    }
    return formula->negated ? truth_not(truth) : truth;
}

static PlainTruth field_truth(Plain *plain, const Formula *formula)
{
    int32_t record = plain_record(plain, &formula->record);
    visit(plain, formula, record);
    double value = field_number(plain, formula->field, record).nominal;
    return truth_certain(plain, isnan(value) ? KLEENE_UNKNOWN
                                : value != 0 ? KLEENE_TRUE
                                             : KLEENE_FALSE);
}

static PlainTruth logic(Plain *plain, const Formula *formula)
{
    PlainTruth a = plain_truth(plain, formula->operand[0]);
    PlainTruth b = plain_truth(plain, formula->operand[1]);
    return formula->kind == FORMULA_AND ? truth_and(a, b) : truth_or(a, b);
}

static PlainTruth if_truth(Plain *plain, const Formula *formula)
{
    PlainTruth condition = plain_truth(plain, formula->operand[0]);
    PlainTruth yes = plain_truth(plain, formula->operand[1]);
    PlainTruth no = plain_truth(plain, formula->operand[2]);
    return truth_if(condition, yes, no);
}

PlainTruth plain_truth(Plain *plain, const Formula *formula)
{
    switch (formula->kind) {
    case FORMULA_FIELD:
        return field_truth(plain, formula);
    case FORMULA_LET:
        return plain_truth(plain, formula->operand[0]);
    case FORMULA_LESS:
    case FORMULA_LESS_EQUAL:
    case FORMULA_GREATER:
    case FORMULA_GREATER_EQUAL:
    case FORMULA_EQUAL:
    case FORMULA_NOT_EQUAL:
        return comparison(plain, formula);
    case FORMULA_IN_WORDS:
        return word_test(plain, plain_number(plain, formula->operand[0]), formula->words,
                         formula->negated);
    case FORMULA_IN_FIELD:
        return in_field(plain, formula);
    case FORMULA_NOT:
        return truth_not(plain_truth(plain, formula->operand[0]));
    case FORMULA_AND:
    case FORMULA_OR:
        return logic(plain, formula);
    case FORMULA_IF:
        return if_truth(plain, formula);
    case FORMULA_OVER:
        return over_truth(plain, formula);
    default:
        return truth_certain(plain,
                             KLEENE_UNKNOWN); /* a number: the type check lets none come here */
    }
}

/* Sources of tolerances as they are met. */
typedef struct Sources {
    Arena *arena;
    const void **items;
    size_t count, capacity;
} Sources;

static void sources_add(Sources *sources, const void *source)
{
    for (size_t i = 0; i < sources->count; i++) {
        if (sources->items[i] == source) {
            return;
        }
    }
    *ARENA_PUSH(sources->arena, sources->items, sources->count, sources->capacity) = source;
}

static void sources_of_field(Sources *sources, const Plain *plain, FieldId field, int32_t record)
{
    if (record < 0 || field_at(field)->type != FIELD_NUMBER) {
        return;
    }
    const Column *column = &plain->columns->fields[field];
    size_t cell = column_cell(column, (uint32_t)record, plain->lane);
    bool assumed = plain->box && plain->box->declared_only && column->origins[record]->assumed;
    if (column->lo[cell] < column->hi[cell] && !assumed) {
        sources_add(sources, cell_source(column, (uint32_t)record, cell));
    }
}

static void sources_visit(void *data, const Plain *plain, const Formula *formula, int32_t record)
{
    Sources *sources = data;
    int32_t own;
    if (formula->kind != FORMULA_LIMIT) {
        sources_of_field(sources, plain, formula->field, record);
    } else if (limit_is_own(plain, formula, &own)) {
        sources_of_field(sources, plain, formula->limit->own, own);
    } else {
        const LimitValue *row = limit_row(plain, formula->limit, record);
        if (row && row->quantity.lo < row->quantity.hi) {
            sources_add(sources, row);
        }
    }
}

size_t plain_sources(Plain *plain, Arena *arena, const void ***sources)
{
    Sources found = {.arena = arena};
    Plain walk = *plain;
    walk.visit = sources_visit;
    walk.visit_data = &found;
    if (plain->rule->when) {
        plain_truth(&walk, plain->rule->when);
    }
    if (plain->rule->require) {
        plain_truth(&walk, plain->rule->require);
    }
    *sources = found.items;
    return found.count;
}

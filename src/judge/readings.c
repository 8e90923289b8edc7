/* What a finding read: values of records and limits, each with where it comes
 * from. For explanations, JSON and the screen. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "judge/inside.h"

enum { DIGITS_WRITTEN = 4, DIGITS_WORKED_OUT = 3, DIGITS_TOLERANCE = 2 };

/* --- collecting -------------------------------------------------------------------- */

typedef struct Collecting {
    Arena *arena;
    Read *items;
    size_t count, capacity;
    uint32_t *slots; /* index + 1, by what is read: open addressing, at most half full */
    size_t slot_count; /* a power of two */
} Collecting;

static bool same_value(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

static bool same_read(const Read *a, const Read *b)
{
    if ((a->formula->kind == FORMULA_LIMIT) != (b->formula->kind == FORMULA_LIMIT))
        return false;
    if (a->formula->kind != FORMULA_LIMIT)
        return a->formula->field == b->formula->field && a->record == b->record;
    return a->formula->limit == b->formula->limit && a->value == b->value && a->own == b->own &&
           same_value(a->word, b->word);
}

bool readings_equal(const Read *a, const Read *b)
{
    return same_read(a, b) && same_value(a->nominal, b->nominal) && same_value(a->lo, b->lo) &&
           same_value(a->hi, b->hi);
}

static size_t hash_of(const Read *read)
{
    bool limit = read->formula->kind == FORMULA_LIMIT;
    uint64_t what = limit ? (uintptr_t)read->value : (uint64_t)read->formula->field;
    uint64_t whose = (uint32_t)(limit ? read->own : read->record);
    return (size_t)((what + (whose << 20)) * 0x9e3779b97f4a7c15u >> 32);
}

/* Where the same read stands, or the free slot for it. */
static uint32_t *slot_of(const Collecting *collecting, const Read *read)
{
    size_t mask = collecting->slot_count - 1, slot = hash_of(read) & mask;
    while (collecting->slots[slot] &&
           !same_read(&collecting->items[collecting->slots[slot] - 1], read))
        slot = (slot + 1) & mask;
    return &collecting->slots[slot];
}

static void slots_grow(Collecting *collecting)
{
    collecting->slot_count = collecting->slot_count ? 4 * collecting->slot_count : 32;
    collecting->slots = ARENA_NEW(collecting->arena, uint32_t, collecting->slot_count);
    for (size_t i = 0; i < collecting->count; i++)
        *slot_of(collecting, &collecting->items[i]) = (uint32_t)i + 1;
}

static void read_field(Read *read, const Plain *plain, FieldId field, int32_t record)
{
    read->nominal = read->lo = read->hi = NAN;
    if (record < 0)
        return;
    const Column *column = &plain->columns->fields[field];
    size_t cell = column_cell(column, (uint32_t)record, plain->lane);
    read->nominal = column->nominal[cell];
    read->lo = column->lo[cell];
    read->hi = column->hi[cell];
}

static void read_limit(Read *read, const Plain *plain)
{
    const Formula *formula = read->formula;
    const Limit *limit = formula->limit;
    if (formula->own_record.subject != SUBJECT_COUNT) {
        int32_t own = plain_record(plain, &formula->own_record);
        read->owner = own;
        const Column *column = &plain->columns->fields[limit->own];
        if (own < 0 || column->origins[own]->kind != ORIGIN_MISSING) {
            read->own = own;
            read_field(read, plain, limit->own, own);
            return;
        }
    }
    if (limit->by != FIELD_ID_COUNT) {
        int32_t record = plain_record(plain, &formula->record);
        if (read->owner < 0)
            read->owner = record;
        read_field(read, plain, limit->by, record);
        read->word = read->nominal;
    }
    read->value = limit_value(limit, read->word);
    read->nominal = read->value ? read->value->quantity.nominal : NAN;
    read->lo = read->value ? read->value->quantity.lo : NAN;
    read->hi = read->value ? read->value->quantity.hi : NAN;
}

static void collect(void *data, const Plain *plain, const Formula *formula, int32_t record)
{
    Collecting *collecting = data;
    Read read = {.formula = formula, .record = record, .owner = -1, .own = -1, .word = NAN};
    if (formula->kind == FORMULA_LIMIT)
        read_limit(&read, plain);
    else
        read_field(&read, plain, formula->field, record);
    if (2 * collecting->count >= collecting->slot_count)
        slots_grow(collecting);
    uint32_t *slot = slot_of(collecting, &read);
    if (*slot)
        return;
    *ARENA_PUSH(collecting->arena, collecting->items, collecting->count, collecting->capacity) =
        read;
    *slot = (uint32_t)collecting->count;
}

static void visit_all(const Plain *plain,
                      void (*visit)(void *, const Plain *, const Formula *, int32_t), void *data)
{
    Plain walk;
    plain_start(&walk, plain->rule, plain->columns, plain->lane, plain->bindings[0]);
    walk.visit = visit;
    walk.visit_data = data;
    look_when(&walk);
    plain_truth(&walk, plain->rule->require);
}

size_t readings_collect(Arena *arena, const Plain *plain, Read **reads)
{
    Collecting collecting = {.arena = arena};
    visit_all(plain, collect, &collecting);
    *reads = collecting.items;
    return collecting.count;
}

typedef struct Weakest {
    bool found;
    Basis basis;
} Weakest;

static void weaken(void *data, const Plain *plain, const Formula *formula, int32_t record)
{
    (void)record;
    if (formula->kind != FORMULA_LIMIT)
        return;
    Weakest *weakest = data;
    Read read = {.formula = formula, .owner = -1, .own = -1, .word = NAN};
    read_limit(&read, plain);
    if (read.value && (!weakest->found || read.value->basis > weakest->basis))
        *weakest = (Weakest){true, read.value->basis};
}

bool readings_basis(const Plain *plain, Basis *basis)
{
    Weakest weakest = {0};
    visit_all(plain, weaken, &weakest);
    *basis = weakest.basis;
    return weakest.found;
}

/* --- where a value comes from -------------------------------------------------------- */

static bool is_leather(const Plain *plain, int32_t material)
{
    double kind = plain->columns->fields[MATERIAL_KIND].nominal[column_cell(
        &plain->columns->fields[MATERIAL_KIND], (uint32_t)material, plain->lane)];
    static const char *const leathers[] = {"leather", "suede", "nubuck"};
    const WordList *words = field_at(MATERIAL_KIND)->words;
    for (size_t i = 0; i < 3; i++)
        if (kind == (double)word_index(words, leathers[i], strlen(leathers[i])))
            return true;
    return false;
}

/* The limit an assumed tolerance was taken from; NULL: from several. */
static const char *house_limit(const Plain *plain, const Field *field, int32_t record)
{
    switch (field->tolerance) {
    case HOUSE_THICKNESS:
        return is_leather(plain, record) ? "tolerance_leather" : "tolerance_sheet";
    case HOUSE_SKIVE:
        return "tolerance_skive";
    case HOUSE_LINE:
        return "tolerance_line";
    case HOUSE_ROW:
        return "tolerance_row";
    default:
        return NULL;
    }
}

static void add_origin(Text *text, Arena *arena, const Origin *origin)
{
    switch (origin->kind) {
    case ORIGIN_MISSING:
        text_add(text, "not written: unknown");
        break;
    case ORIGIN_WRITTEN:
        text_add(text, where_text(arena, origin->at));
        break;
    case ORIGIN_UNKNOWN:
        text_addf(text, "written as unknown, %s", where_text(arena, origin->at));
        break;
    case ORIGIN_NONE:
        text_add(text, origin->note ? "not written" : "not written: none");
        break;
    case ORIGIN_MEASURED:
        text_addf(text, "measured from %s", where_text(arena, origin->at));
        break;
    case ORIGIN_DERIVED:
        text_add(text, "worked out");
        break;
    case ORIGIN_GIVEN:
        text_addf(text, "given by the example, %s", where_text(arena, origin->at));
        break;
    }
    if (origin->note && origin->kind == ORIGIN_MEASURED)
        text_addf(text, " (%s)", origin->note);
    else if (origin->note)
        text_addf(text, "%s%s", origin->kind == ORIGIN_MISSING ? ", " : ": ", origin->note);
    if (origin->graded)
        text_add(text, ", graded to this size");
}

/* Where the values stand that a value was worked out from. */
static void add_sources(Text *text, Arena *arena, const Plain *plain, FieldId id, int32_t record)
{
    size_t count;
    const WorkedOut *worked_out = look_worked_out(&count);
    for (size_t i = 0; i < count; i++) {
        const char *name = worked_out[i].relation;
        FieldId from = worked_out[i].from;
        const Relation *relation =
            name ? relation_find(field_at(id)->subject, name, strlen(name)) : NULL;
        if (worked_out[i].of != id || (relation && relation->many))
            continue;
        int32_t source = relation ? column_one(&plain->columns->ones[relation_index(relation)],
                                               record, plain->lane)
                                  : record;
        if (source < 0)
            continue;
        const Origin *origin = plain->columns->fields[from].origins[source];
        if (origin->kind == ORIGIN_DERIVED)
            add_sources(text, arena, plain, from, source);
        else if (origin->at.file)
            text_addf(text, "; %s of %s, %s", field_at(from)->name,
                      look_name(arena, plain->columns, field_at(from)->subject, source),
                      where_text(arena, origin->at));
    }
}

static void add_field_from(Text *text, Arena *arena, const Plain *plain, FieldId id, int32_t record)
{
    if (record < 0) {
        text_add(text, "whose it is, is not known");
        return;
    }
    const Origin *origin = plain->columns->fields[id].origins[record];
    add_origin(text, arena, origin);
    const char *limit = origin->assumed ? house_limit(plain, field_at(id), record) : NULL;
    if (origin->assumed)
        text_add(text, ", tolerance assumed by the house");
    if (limit)
        text_addf(text, " (limit %s)", limit);
    if (origin->kind == ORIGIN_DERIVED)
        add_sources(text, arena, plain, id, record);
}

/* Digits that show a number whole where few do, as people write numbers; four
 * where it has no short form. */
static int digits_whole(double value, const Unit *unit)
{
    double shown = unit ? unit_from_base(unit, value) : value;
    for (int digits = 4; digits <= 7; digits++) {
        Text text = {0};
        text_add_number(&text, shown, digits);
        double read;
        Text problem = {0};
        const char *bytes = text_string(&text) + (shown < 0);
        bool whole = decimal_read(bytes, strlen(bytes), false, &read, &problem) > 0 &&
                     fabs(read - fabs(shown)) <= 1e-9 * fabs(shown);
        text_free(&text);
        text_free(&problem);
        if (whole)
            return digits;
    }
    return 4;
}

static void add_quantity(Text *text, double nominal, double lo, double hi, const Unit *unit,
                         const Type *type, bool written)
{
    int digits = written ? digits_whole(nominal, unit) : DIGITS_WORKED_OUT;
    if (lo == hi || isnan(nominal)) {
        sentence_number(text, nominal, unit, type->dimension, type->point, digits);
        return;
    }
    double up = hi - nominal, down = nominal - lo;
    if (fabs(up - down) <= 1e-9 * fmax(up, down)) {
        const Unit *steps = unit && unit->point ? unit_default(type->dimension, false) : unit;
        text_add_number(text, unit ? unit_from_base(unit, nominal) : nominal, digits);
        text_add(text, " ± ");
        sentence_number(text, up, steps, type->dimension, false,
                        written ? DIGITS_WRITTEN : DIGITS_TOLERANCE);
        return;
    }
    sentence_number(text, nominal, unit, type->dimension, type->point, digits);
    text_add(text, " (");
    text_add_number(text, unit ? unit_from_base(unit, lo) : lo, digits);
    text_add(text, "..");
    sentence_number(text, hi, unit, type->dimension, type->point, digits);
    text_add(text, ")");
}

static void add_limit_quantity(Text *text, const Limit *limit, const LimitValue *value)
{
    const Quantity *quantity = &value->quantity;
    if (quantity->unknown)
        text_add(text, "unknown");
    else
        add_quantity(text, quantity->nominal, quantity->lo, quantity->hi, limit->unit,
                     &limit->type, true);
}

void readings_limit_value(Text *text, const Limit *limit, const LimitValue *value)
{
    Arena arena = {0};
    add_limit_quantity(text, limit, value);
    text_addf(text, ", set by %s (%s), %s", value->set_by, where_text(&arena, value->at),
              basis_name(value->basis));
    if (value->reason)
        text_addf(text, ", reason: %s", value->reason);
    for (const LimitValue *beaten = value->beaten; beaten; beaten = beaten->beaten) {
        text_add(text, "; beats ");
        add_limit_quantity(text, limit, beaten);
        text_addf(text, " of %s (%s), %s", beaten->set_by, where_text(&arena, beaten->at),
                  basis_name(beaten->basis));
    }
    arena_free(&arena);
}

static void add_limit_from(Text *text, Arena *arena, const Plain *plain, const Read *read)
{
    const Limit *limit = read->formula->limit;
    text_addf(text, "limit %s", limit->name);
    if (read->own >= 0) {
        text_addf(text, ": %s's own, ",
                  look_name(arena, plain->columns, field_at(limit->own)->subject, read->own));
        add_field_from(text, arena, plain, limit->own, read->own);
        return;
    }
    if (limit->by != FIELD_ID_COUNT) {
        const Field *by = field_at(limit->by);
        text_add(text, isnan(read->word) ? ": " : " for ");
        if (isnan(read->word)) {
            text_addf(text, "%s %s is not known", subject_name(by->subject), by->name);
            return;
        }
        if (by->type == FIELD_TRUTH)
            text_addf(text, "%s ", by->name);
        sentence_word(text, by, read->word);
    }
    text_add(text, ": ");
    if (read->value)
        readings_limit_value(text, limit, read->value);
    else
        text_add(text, "no value is set: unknown");
}

const char *readings_from(Arena *arena, const Plain *plain, const Read *read)
{
    Text text = {0}, visible = {0};
    if (read->formula->kind == FORMULA_LIMIT)
        add_limit_from(&text, arena, plain, read);
    else
        add_field_from(&text, arena, plain, read->formula->field, read->record);
    text_add_visible(&visible, text_string(&text), text.length);
    const char *from = arena_copy(arena, text_string(&visible), visible.length);
    text_free(&text);
    text_free(&visible);
    return from;
}

/* --- readings ------------------------------------------------------------------------- */

/* "edge.left". */
static const char *reading_name(Arena *arena, const Plain *plain, const Read *read)
{
    Text text = {0};
    if (read->formula->kind == FORMULA_IN_FIELD) {
        record_path_write(&text, plain->rule, &read->formula->record);
        text_addf(&text, "%s%s", text.length ? "." : "", field_at(read->formula->field)->name);
    } else {
        formula_write(&text, plain->rule, read->formula);
    }
    const char *name = arena_copy(arena, text_string(&text), text.length);
    text_free(&text);
    return name;
}

/* What tells apart reads of one name: "of ply collar.1 ply 2", "for suede". */
static const char *reading_owner(Arena *arena, const Plain *plain, const Read *read)
{
    const Columns *columns = plain->columns;
    if (read->formula->kind != FORMULA_LIMIT)
        return arena_printf(
            arena, " of %s",
            look_name(arena, columns, field_at(read->formula->field)->subject, read->record));
    const Limit *limit = read->formula->limit;
    if (read->own >= 0)
        return arena_printf(arena, " of %s",
                            look_name(arena, columns, field_at(limit->own)->subject, read->own));
    if (limit->by == FIELD_ID_COUNT)
        return "";
    Text word = {0};
    sentence_word(&word, field_at(limit->by), read->word);
    const char *owner = arena_printf(arena, " for %s", text_string(&word));
    text_free(&word);
    return owner;
}

static int by_name(const void *one, const void *two)
{
    return strcmp(*(const char *const *)one, *(const char *const *)two);
}

static bool is_shared(const char *const *sorted, size_t count, const char *name)
{
    const char *const *found = bsearch(&name, sorted, count, sizeof *sorted, by_name);
    size_t at = (size_t)(found - sorted);
    return (at > 0 && strcmp(sorted[at - 1], name) == 0) ||
           (at + 1 < count && strcmp(sorted[at + 1], name) == 0);
}

/* Names of all reads; those that share a name say whose they are. */
static const char **reading_names(Arena *arena, const Plain *plain, const Read *reads, size_t count)
{
    const char **plainly = ARENA_NEW(arena, const char *, count);
    const char **names = ARENA_NEW(arena, const char *, count);
    const char **sorted = ARENA_NEW(arena, const char *, count);
    for (size_t i = 0; i < count; i++)
        plainly[i] = sorted[i] = reading_name(arena, plain, &reads[i]);
    if (count > 0)
        qsort(sorted, count, sizeof *sorted, by_name);
    for (size_t i = 0; i < count; i++)
        names[i] = is_shared(sorted, count, plainly[i])
                       ? arena_printf(arena, "%s%s", plainly[i],
                                      reading_owner(arena, plain, &reads[i]))
                       : plainly[i];
    return names;
}

static const char *reading_word(Arena *arena, const Read *read)
{
    if (read->formula->kind == FORMULA_LIMIT)
        return NULL;
    const Field *field = field_at(read->formula->field);
    if (field->type == FIELD_NUMBER || field->type == FIELD_RANGE)
        return NULL;
    Text text = {0};
    sentence_word(&text, field, read->nominal);
    const char *word = arena_copy(arena, text_string(&text), text.length);
    text_free(&text);
    return word;
}

static const Unit *reading_unit(const Read *read)
{
    return read->formula->kind == FORMULA_LIMIT ? read->formula->limit->unit
                                                : field_unit(field_at(read->formula->field));
}

/* Worked out, or moved from the base size to this one. */
static bool is_worked_out(const Plain *plain, const Read *read)
{
    bool limit = read->formula->kind == FORMULA_LIMIT;
    int32_t record = limit ? read->own : read->record;
    if (record < 0)
        return false;
    FieldId field = limit ? read->formula->limit->own : read->formula->field;
    const Origin *origin = plain->columns->fields[field].origins[record];
    return origin->kind == ORIGIN_DERIVED || origin->graded;
}

size_t readings_all(Arena *arena, const Plain *plain, Reading **readings)
{
    Read *reads;
    size_t count = readings_collect(arena, plain, &reads);
    const char **names = reading_names(arena, plain, reads, count);
    *readings = ARENA_NEW(arena, Reading, count);
    for (size_t i = 0; i < count; i++) {
        const Read *read = &reads[i];
        const Unit *unit = reading_unit(read);
        (*readings)[i] = (Reading){
            .name = names[i],
            .word = reading_word(arena, read),
            .nominal = read->nominal,
            .lo = read->lo,
            .hi = read->hi,
            .unit = unit,
            .dimension = unit ? unit->dimension : DIMENSION_NONE,
            .point = unit && unit->point,
            .worked_out = is_worked_out(plain, read),
            .from = readings_from(arena, plain, read),
        };
    }
    return count;
}

void readings_value(Text *text, const Reading *reading)
{
    Type type = {.kind = TYPE_NUMBER, .dimension = reading->dimension, .point = reading->point};
    if (reading->word) {
        text_add(text, reading->word);
    } else if (isnan(reading->nominal) && !isnan(reading->lo)) {
        text_add_number(
            text, reading->unit ? unit_from_base(reading->unit, reading->lo) : reading->lo, 4);
        text_add(text, "..");
        sentence_number(text, reading->hi, reading->unit, type.dimension, type.point, 4);
    } else {
        add_quantity(text, reading->nominal, reading->lo, reading->hi, reading->unit, &type,
                     !reading->worked_out);
    }
}

size_t finding_readings(Arena *arena, const Judgement *judgement, const Finding *finding,
                        uint32_t lane, Reading **readings)
{
    Look look;
    look_at(&look, arena, judgement, finding, lane);
    return readings_all(arena, &look.plain, readings);
}

/* The values that may be changed for a finding, and the scales on which they can be
 * made. For src/remedy. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/sort.h"
#include "remedy/inside.h"
#include "style/patch.h"
#include "style/place.h"

typedef struct Choosing {
    Remedies *remedies;
    Arena *arena;
    const Finding *finding;
    Axis *items;
    size_t count, capacity;
} Choosing;

/* ---- What can be made ---- */

/* Needles are sold in these sizes; common practice, no published source. */
static const double needles[] = {0.6, 0.65, 0.7, 0.75, 0.8, 0.9, 1.0, 1.1,
                                 1.2, 1.3,  1.4, 1.6,  1.8, 2.0, 2.3, 2.5};

/* A line is cut and a row is laid to this, a skive is set to that; common practice, no
 * published source. */
static const double length_step = 0.1, skive_step = 0.05;

/* Threads are those that the rules' tables know. */
static void take_threads(Choosing *c, Axis *axis)
{
    const RuleSet *rules = c->remedies->ground.judgement->rules;
    double *sizes = NULL;
    size_t count = 0, capacity = 0;
    for (size_t i = 0; i < rules->table_count; i++) {
        const RuleTable *table = rules->tables[i];
        for (size_t k = 0; k < table->count; k++)
            if (dimension_equal(table->in.dimension, DIMENSION_TEX))
                *ARENA_PUSH(c->arena, sizes, count, capacity) = table->inputs[k];
    }
    if (count > 0)
        sort_numbers(sizes, count);
    for (size_t i = 0; i < count; i++)
        if (i == 0 || sizes[i] > sizes[axis->stock_count - 1])
            sizes[axis->stock_count++] = sizes[i];
    axis->stock = sizes;
}

static bool is_length(const Field *field)
{
    const Unit *unit = field_unit(field);
    return unit && dimension_equal(unit->dimension, DIMENSION_LENGTH);
}

static void take_scale(Choosing *c, Axis *axis)
{
    const Field *field = field_at(axis->field);
    axis->now = axis->quantity.nominal;
    bool given = axis->quantity.tolerance == TOLERANCE_GIVEN;
    axis->least = field->least + (given ? axis->now - axis->quantity.lo : 0);
    axis->most = field->most - (given ? axis->quantity.hi - axis->now : 0);
    axis->step = !is_length(field)                ? field->step
                 : axis->field == EDGE_SKIVE_LEFT ? skive_step
                                                  : length_step;
    if (axis->field == ROW_THREAD)
        take_threads(c, axis);
    if (axis->field == ROW_NEEDLE) {
        axis->stock = needles;
        axis->stock_count = sizeof needles / sizeof *needles;
    }
    if (!axis->stock && !(axis->step > 0 && isfinite(axis->least) && isfinite(axis->most)))
        axis->refused = "it goes by no steps";
}

double axis_value(const Axis *axis, long index)
{
    static const double decimals = 1e6;
    if (axis->stock)
        return axis->stock[index];
    return round((double)index * axis->step * decimals) / decimals;
}

long axis_start(const Axis *axis, bool up)
{
    static const double slack = 1e-6;
    if (!axis->stock)
        return up ? lround(floor(axis->now / axis->step + slack))
                  : lround(ceil(axis->now / axis->step - slack));
    long index = 0, last = (long)axis->stock_count - 1;
    while (index < last && axis->stock[index + 1] <= axis->now * (1 + slack))
        index++;
    bool between = axis->stock[index] < axis->now * (1 - slack);
    return !up && between && index < last ? index + 1 : index;
}

long axis_end(const Axis *axis, bool up)
{
    static const double slack = 1e-6;
    if (axis->stock)
        return up ? (long)axis->stock_count - 1 : 0;
    return up ? lround(floor(axis->most / axis->step + slack))
              : lround(ceil(axis->least / axis->step - slack));
}

/* ---- As it would stand in the file ---- */

/* The unit that ends or begins the text, if the field can be shown in it. */
static const Unit *unit_in(const char *text, const Field *field)
{
    const Unit *shown = field_unit(field);
    const char *last = text + strlen(text);
    while (last > text && !strchr("0123456789 ", last[-1]))
        last--;
    const Unit *unit = unit_find(last, strlen(last));
    if (!unit)
        unit = unit_find(text, strcspn(text, " "));
    return unit && shown && dimension_equal(unit->dimension, shown->dimension) ? unit : shown;
}

static Quantity quantity_at(const Axis *axis, double value)
{
    Quantity q = axis->quantity;
    if (axis->kind == AXIS_TOLERANCE) {
        double share = value / axis->now;
        q.lo = q.nominal - (q.nominal - q.lo) * share;
        q.hi = q.nominal + (q.hi - q.nominal) * share;
        q.tolerance = value > 0 ? TOLERANCE_GIVEN : TOLERANCE_EXACT;
        return q;
    }
    q.lo += value - q.nominal;
    q.hi += value - q.nominal;
    q.nominal = value;
    return q;
}

const char *axis_text(Arena *arena, const Axis *axis, double value)
{
    QuantityForm form = field_form(field_at(axis->field));
    Quantity quantity = quantity_at(axis, value);
    Text text = {0};
    if (axis->unit)
        form.shown = axis->unit;
    if (quantity.tolerance == TOLERANCE_EXACT && !form.whole)
        text_add(&text, "exactly ");
    quantity_write(&text, &quantity, &form);
    const char *written = arena_copy(arena, text_string(&text), text.length);
    text_free(&text);
    return written;
}

/* ---- What may stand there ---- */

/* Materials that can take each other's place. */
static int family(double kind)
{
    static const char *const families[][6] = {
        {"leather", "suede", "nubuck", "coated", "synthetic"},
        {"woven", "knit", "mesh", "spacer"},
        {"foam"},
        {"film", "board"},
        {"tape", "elastic"},
    };
    const WordList *kinds = field_at(MATERIAL_KIND)->words;
    for (int i = 0; !isnan(kind) && i < (int)(sizeof families / sizeof *families); i++)
        for (int k = 0; k < 6 && families[i][k]; k++)
            if (strcmp(families[i][k], kinds->words[(size_t)kind]) == 0)
                return i;
    return -1;
}

static double kind_of(const Record *material)
{
    const Value *kind = record_value(material, MATERIAL_KIND);
    return kind->presence == VALUE_KNOWN ? kind->code : (double)NAN;
}

static void take_materials(Choosing *c, Axis *axis, const Record *present)
{
    const RecordList *list = &c->remedies->ground.judgement->style->lists[SUBJECT_MATERIAL];
    const char **ids = ARENA_NEW(c->arena, const char *, list->count);
    int wanted = present ? family(kind_of(present)) : -1;
    for (size_t i = 0; i < list->count; i++)
        if (list->items[i] != present && wanted >= 0 && family(kind_of(list->items[i])) == wanted)
            ids[axis->option_count++] = list->items[i]->id;
    axis->options = ids;
}

static void take_machines(Choosing *c, Axis *axis, const char *present)
{
    const Factory *factory = c->remedies->ground.judgement->factory;
    size_t count = factory ? factory->machines.count : 0;
    const char **ids = ARENA_NEW(c->arena, const char *, count);
    for (size_t i = 0; i < count; i++)
        if (!present || strcmp(factory->machines.items[i]->id, present) != 0)
            ids[axis->option_count++] = factory->machines.items[i]->id;
    axis->options = ids;
}

/* What these say is not how an edge is finished but where it lies. */
static bool is_place_of_edge(FieldId field, const char *word)
{
    return field == EDGE_FINISH && (strcmp(word, "lasted") == 0 || strcmp(word, "fold-line") == 0);
}

static void take_words(Choosing *c, Axis *axis, const Value *value)
{
    static const char *const truths[] = {"false", "true"};
    const WordList *list = field_at(axis->field)->words;
    size_t count = list ? list->count : 2;
    const char *const *words = list ? list->words : truths;
    const char **others = ARENA_NEW(c->arena, const char *, count);
    for (size_t i = 0; i < count; i++)
        if (!(value->presence == VALUE_KNOWN && value->code == (double)i) &&
            !is_place_of_edge(axis->field, words[i]))
            others[axis->option_count++] = words[i];
    axis->options = others;
}

static void take_choices(Choosing *c, Axis *axis, const Value *value)
{
    const Field *field = field_at(axis->field);
    axis->kind = AXIS_CHOICE;
    axis->from = value->node && value->node->kind == YAML_SCALAR ? value->node->text : "";
    if (field->type == FIELD_NAME && field->refers == SUBJECT_MATERIAL)
        take_materials(c, axis, value->record);
    else if (field->type == FIELD_NAME && field->refers == SUBJECT_MACHINE)
        take_machines(c, axis, value->presence == VALUE_KNOWN ? value->text : NULL);
    else if (field->type == FIELD_WORD || field->type == FIELD_TRUTH)
        take_words(c, axis, value);
    else
        axis->refused = "it is no number and no word of a list";
    if (!axis->refused && axis->option_count == 0)
        axis->refused = "there is no other";
}

/* ---- Numbers ---- */

/* What is left where nothing is trimmed is the allowance; the key may be added. */
static void take_allowance(Choosing *c, Axis *axis, const Record *edge)
{
    const Value *allowance = record_value(edge, EDGE_ALLOWANCE);
    axis->quantity = allowance->quantity;
    if (allowance->presence != VALUE_KNOWN || allowance->by_size)
        axis->refused = "it is not known";
    else
        axis->from = axis_text(c->arena, axis, axis->quantity.nominal);
}

static void drop_allowances(Axis *axis, AxisCell *cells)
{
    size_t kept = 0;
    for (size_t i = 0; i < axis->cell_count; i++)
        if (cells[i].field != EDGE_ALLOWANCE)
            cells[kept++] = cells[i];
    axis->cell_count = kept;
}

static void take_number(Choosing *c, Axis *axis, const Value *value, const Record *record)
{
    const Columns *columns = c->remedies->ground.judgement->columns;
    const Origin *origin = columns->fields[axis->field].origins[axis->index];
    axis->source = origin->source;
    axis->cell_count = overlay_cells(c->arena, columns, axis->field, axis->index, &axis->cells);
    axis->unit = field_unit(field_at(axis->field));
    axis->redraw = value->drawn != NULL;
    axis->quantity = value->quantity;
    if (value->by_size)
        axis->refused = "it goes by size: no one number of it";
    else if (value->presence == VALUE_UNKNOWN)
        axis->refused = "it is not known";
    else if (value->presence == VALUE_ABSENT && axis->field != EDGE_LEFT)
        axis->refused = axis->field == EDGE_SKIVE_WIDTH || axis->field == EDGE_SKIVE_LEFT
                            ? "the edge is not skived"
                            : "it is not written";
    if (axis->refused)
        return;
    if (value->presence == VALUE_ABSENT) {
        drop_allowances(axis, (AxisCell *)axis->cells);
        take_allowance(c, axis, record);
    } else if (value->drawn) {
        axis->from = axis_text(c->arena, axis, axis->quantity.nominal);
    } else if (value->node->kind == YAML_SCALAR) {
        axis->from = value->node->text;
        axis->unit = unit_in(axis->from, field_at(axis->field));
    }
    if (!axis->refused)
        take_scale(c, axis);
}

/* ---- Whose it is ---- */

static const char *name_of(Choosing *c, const Field *field, const Record *record)
{
    bool single = field->subject <= SUBJECT_BOTTOM;
    return arena_printf(c->arena, "%s of %s%s%s%s", field->name, single ? "the " : "",
                        subject_name(field->subject), single ? "" : " ",
                        single ? "" : record->path);
}

static bool keeps(const Style *style, const char *path, bool line)
{
    for (size_t i = 0; path && i < style->keep_count; i++) {
        const char *kept = style->keeps[i]->text;
        if (place_within(path, kept) || (line && strcmp(kept, "drawing") == 0))
            return true;
    }
    return false;
}

/* Of a drawn line the path is what is kept, or the edge with all it has. */
static bool keeps_line(Choosing *c, const Record *record)
{
    const Style *style = c->remedies->ground.judgement->style;
    const Record *edge = record->subject == SUBJECT_BEND ? record->owner : record, *changes;
    if (edge->subject != SUBJECT_EDGE)
        return keeps(style, NULL, true);
    return keeps(style, place_path(c->arena, style, c->remedies->tree, edge, EDGE_PATH, &changes),
                 true);
}

static const char *refusal(Choosing *c, const Axis *axis, const Record *own, bool may)
{
    const Style *style = c->remedies->ground.judgement->style;
    const Record *changes;
    const char *path =
        place_path(c->arena, style, c->remedies->tree, axis->record, axis->field, &changes);
    Subject subject = axis->record->subject;
    if (!may || keeps(style, axis->path, false) || keeps(style, path, false) ||
        (axis->redraw && (keeps_line(c, axis->record) || keeps_line(c, own))))
        return "kept";
    if (subject == SUBJECT_LAST || subject == SUBJECT_BOTTOM)
        return "the last and the bottom are nobody's to change";
    if (field_at(axis->field)->giver == GIVER_NOBODY)
        return "nobody's to change";
    return NULL;
}

/* The mapping it stands in, or would be added to, is there. */
static bool has_place(const Choosing *c, const char *path)
{
    const char *last = strrchr(path, '.');
    if (!last)
        return true;
    Arena scratch = {0};
    bool there =
        patch_path_leads(c->remedies->tree, arena_copy(&scratch, path, (size_t)(last - path)));
    arena_free(&scratch);
    return there;
}

static bool is_listed(const Choosing *c, const Axis *axis)
{
    for (size_t i = 0; i < c->count; i++) {
        const Axis *other = &c->items[i];
        if (other->field == axis->field && other->record == axis->record &&
            (other->kind == AXIS_TOLERANCE) == (axis->kind == AXIS_TOLERANCE))
            return true;
    }
    return false;
}

static void push(Choosing *c, const Axis *axis)
{
    if (!is_listed(c, axis))
        *ARENA_PUSH(c->arena, c->items, c->count, c->capacity) = *axis;
}

/* ---- One value ---- */

/* What a bend does not say itself its edge says. */
static const Record *holder(const Record *record, FieldId *field)
{
    static const struct {
        FieldId of, from;
    } inherits[] = {{BEND_LEFT, EDGE_LEFT}, {BEND_RELIEF, EDGE_RELIEF}, {BEND_GRADE, EDGE_GRADE}};
    for (size_t i = 0; i < 3; i++)
        if (inherits[i].of == *field && record_value(record, *field)->presence == VALUE_ABSENT) {
            *field = inherits[i].from;
            return record->owner;
        }
    return record;
}

static Axis axis_of(Choosing *c, const Record *record, FieldId field, bool may)
{
    const Style *style = c->remedies->ground.judgement->style;
    Axis axis = {.field = field,
                 .giver = field_at(field)->giver,
                 .asks_line = field_at(field)->visible_making,
                 .index = record->index};
    const Value *value = record_value(record, field);
    axis.path = place_path(c->arena, style, c->remedies->tree, record, field, &axis.record);
    axis.name = name_of(c, field_at(field), axis.record);
    if (field_at(field)->type == FIELD_NUMBER)
        take_number(c, &axis, value, record);
    else
        take_choices(c, &axis, value);
    if (axis.redraw)
        axis.path = NULL;
    const char *refused = refusal(c, &axis, record, may);
    if (refused)
        axis.refused = refused;
    else if (!axis.redraw && (!axis.path || !has_place(c, axis.path)))
        axis.refused = "it stands nowhere in the file";
    return axis;
}

static const Record *record_of(const Choosing *c, FieldId field, uint32_t index)
{
    const Judgement *judgement = c->remedies->ground.judgement;
    Subject subject = field_at(field)->subject;
    if (subject > SUBJECT_SPOT)
        return NULL;
    const RecordList *list = &judgement->style->lists[subject];
    return index < list->count && !list->items[index]->placeholder ? list->items[index] : NULL;
}

static void add_give(Choosing *c, const AgainGive *give)
{
    FieldId field = give->field;
    const Record *record = give->record < 0 ? NULL : record_of(c, field, (uint32_t)give->record);
    if (!record) {
        Axis none = {.field = field,
                     .name = give->text,
                     .giver = field_at(field)->giver,
                     .refused = field_at(field)->giver == GIVER_MACHINE ? "it is the factory's"
                                                                        : "there is none here"};
        *ARENA_PUSH(c->arena, c->items, c->count, c->capacity) = none;
        return;
    }
    record = holder(record, &field);
    bool property = record->subject == SUBJECT_MATERIAL && field != MATERIAL_THICKNESS;
    if (!property) {
        Axis axis = axis_of(c, record, field, give->may);
        push(c, &axis);
    }
    const Record *part = give->part < 0 ? NULL : record_of(c, PART_MATERIAL, (uint32_t)give->part);
    if (part) {
        Axis axis = axis_of(c, part, PART_MATERIAL, true);
        push(c, &axis);
    }
}

/* In another colourway another material lies there, which may have to change as well. */
static void add_elsewhere(Choosing *c, const AgainGive *give)
{
    for (size_t i = 0; i < give->other_count; i++) {
        const Record *record = record_of(c, give->field, (uint32_t)give->others[i]);
        if (!record || field_at(give->field)->type != FIELD_NUMBER)
            continue;
        Axis axis = axis_of(c, record, give->field, true);
        axis.elsewhere = true;
        if (!axis.refused)
            push(c, &axis);
    }
}

/* ---- Tolerances ---- */

static void add_tolerance(Choosing *c, const FindingValue *value)
{
    const Columns *columns = c->remedies->ground.judgement->columns;
    const Record *record = record_of(c, value->field, value->record);
    if (!record || field_at(value->field)->type != FIELD_NUMBER ||
        record_value(record, value->field)->presence != VALUE_KNOWN)
        return;
    Axis axis = axis_of(c, record, value->field, true);
    const Column *column = &columns->fields[axis.field];
    size_t cell = column_cell(column, axis.index, 0);
    double below = column->nominal[cell] - column->lo[cell];
    double above = column->hi[cell] - column->nominal[cell];
    if (axis.refused || axis.redraw || !(above + below > 0))
        return;
    if (axis.quantity.tolerance == TOLERANCE_UNSAID) {
        axis.quantity.lo = axis.quantity.nominal - below;
        axis.quantity.hi = axis.quantity.nominal + above;
    }
    axis.kind = AXIS_TOLERANCE;
    axis.name = arena_printf(c->arena, "tolerance of %s", axis.name);
    axis.now = (axis.quantity.hi - axis.quantity.lo) / 2;
    axis.stock = NULL;
    axis.step = !is_length(field_at(axis.field)) ? axis.now / 10 : axis.now > 0.1 ? 0.05 : 0.01;
    axis.least = 0;
    axis.most = axis.now;
    push(c, &axis);
}

size_t axes_of(Remedies *remedies, const Finding *finding, Axis **axes)
{
    Choosing c = {.remedies = remedies, .arena = &remedies->arena, .finding = finding};
    const Judgement *judgement = remedies->ground.judgement;
    AgainGive *gives;
    FindingValue *values;
    size_t given = again_gives(c.arena, judgement, finding, &gives);
    for (size_t i = 0; i < given; i++)
        add_give(&c, &gives[i]);
    for (size_t i = 0; i < given; i++)
        add_elsewhere(&c, &gives[i]);
    size_t rests = finding->verdict == VERDICT_TIGHT
                       ? finding_values(c.arena, judgement, finding, &values)
                       : 0;
    for (size_t i = 0; i < rests; i++)
        add_tolerance(&c, &values[i]);
    *axes = c.items;
    return c.count;
}

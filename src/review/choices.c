/* The values a finding rests on, as they may be changed. For the screen. */
#include <string.h>

#include "review/review_inside.h"
#include "style/patch.h"

typedef struct Choosing {
    const Review *review;
    const Built *built;
    Arena *arena;
    const char *size; /* of the lane shown */
    Choice *items;
    size_t count, capacity;
} Choosing;

/* ---- What may stand there ---- */

static void take_ids(Choosing *c, Choice *choice, const RecordList *list)
{
    const char **ids = ARENA_NEW(c->arena, const char *, list->count);
    for (size_t i = 0; i < list->count; i++)
        ids[i] = list->items[i]->path;
    choice->options = ids;
    choice->option_count = list->count;
}

static void take_options(Choosing *c, Choice *choice)
{
    static const char *const truths[] = {"false", "true"};
    const Field *field = choice->field;
    const Factory *factory = c->built->judgement->factory;
    if (field->type == FIELD_WORD) {
        choice->options = field->words->words;
        choice->option_count = field->words->count;
    } else if (field->type == FIELD_TRUTH) {
        choice->options = truths;
        choice->option_count = 2;
    } else if (field->type == FIELD_NAME && field->refers != SUBJECT_MACHINE) {
        take_ids(c, choice, &c->built->style->lists[field->refers]);
    } else if (field->type == FIELD_NAME && factory) {
        take_ids(c, choice, &factory->machines);
    }
}

/* ---- One choice ---- */

static bool is_kept(const Style *style, const char *path)
{
    for (size_t i = 0; i < style->keep_count; i++)
        if (place_within(path, style->keeps[i]->text))
            return true;
    return false;
}

/* "left of edge quarter-lat.saddle-line (quarter-med mirrors it)" */
static const char *name_of(Choosing *c, const Field *field, const Record *changes,
                           const Record *record)
{
    bool single = field->subject <= SUBJECT_BOTTOM;
    const char *name = arena_printf(c->arena, "%s of %s%s%s", field->name, single ? "the " : "",
                                    subject_name(field->subject), single ? "" : " ");
    if (!single)
        name = arena_printf(c->arena, "%s%s", name, changes->path);
    if (changes != record)
        name = arena_printf(c->arena, "%s (%s mirrors it)", name, place_top(record)->path);
    return name;
}

static const char *measured_text(Choosing *c, const Field *field, const Value *value)
{
    Text text = {0};
    QuantityForm form = field_form(field);
    if (field->type == FIELD_NUMBER)
        quantity_write(&text, &value->quantity, &form);
    else
        text_add(&text, value->text ? value->text : "");
    const char *written = arena_copy(c->arena, text_string(&text), text.length);
    text_free(&text);
    return written;
}

static bool is_there(const Choosing *c, const char *path)
{
    for (size_t i = 0; i < c->count; i++)
        if (strcmp(c->items[i].path, path) == 0)
            return true;
    return false;
}

static void push(Choosing *c, Choice choice)
{
    if (is_there(c, choice.path))
        return;
    take_options(c, &choice);
    if (!choice.drawn)
        choice.at = change_where(c->built, choice.path, NULL);
    choice.kept = choice.kept || is_kept(c->built->style, choice.path);
    *ARENA_PUSH(c->arena, c->items, c->count, c->capacity) = choice;
}

/* ---- A number for each of some sizes ---- */

static bool holds_size(const SizeValue *span, const char *size)
{
    Text ignored = {0};
    double number;
    bool read = decimal_read(size, strlen(size), false, &number, &ignored) > 0;
    text_free(&ignored);
    return read && span->from <= number && number <= span->to;
}

/* The key whose value is the span's. */
static const char *span_key(const Value *value, const SizeValue *span)
{
    const YamlNode *spans = value->node;
    for (size_t i = 0; spans && spans->kind == YAML_MAPPING && i < spans->count; i++)
        if (spans->items[i] == span->node)
            return spans->keys[i]->text;
    return NULL;
}

/* That of the size shown first. */
static void push_by_size(Choosing *c, const Choice *whole, const Value *value)
{
    for (int shown = 1; shown >= 0; shown--)
        for (size_t i = 0; i < value->by_size_count; i++) {
            const SizeValue *span = &value->by_size[i];
            const char *key = span_key(value, span);
            if (!key || holds_size(span, c->size) != (shown == 1))
                continue;
            Choice choice = *whole;
            choice.path = arena_printf(c->arena, "%s.%s", whole->path, key);
            choice.name = arena_printf(c->arena, "%s, size%s %s", whole->name,
                                       span->from < span->to ? "s" : "", key);
            choice.text = node_text(c->arena, span->node);
            push(c, choice);
        }
}

/* ---- Values of records ---- */

static void add_value(Choosing *c, const Record *record, FieldId id)
{
    const Record *changes;
    const char *path =
        place_path(c->arena, c->built->style, c->built->tree, record, id, &changes);
    const Value *value = record_value(record, id);
    if (!path)
        return;
    const Field *field = field_at(id);
    Choice choice = {.path = path, .field = field, .text = ""};
    choice.name = name_of(c, field, changes, record);
    choice.drawn = value->drawn != NULL;
    if (value->drawn)
        choice.at = *value->drawn;
    if (changes != record)
        choice.kept = is_kept(c->built->style, place_path(c->arena, c->built->style, c->built->tree,
                                                          changes, id, &changes));
    if (value->by_size) {
        push_by_size(c, &choice, value);
        return;
    }
    if (value->drawn)
        choice.text = measured_text(c, field, value);
    else if (value->node)
        choice.text = node_text(c->arena, value->node);
    push(c, choice);
}

/* What a bend does not say itself its edge says, and an edge that is not trimmed has its
 * whole allowance left. */
static void add_inherited(Choosing *c, const Record *record, FieldId id)
{
    static const struct {
        FieldId of, from;
    } inherits[] = {{BEND_LEFT, EDGE_LEFT}, {BEND_RELIEF, EDGE_RELIEF}, {BEND_GRADE, EDGE_GRADE}};
    for (size_t i = 0; i < 3; i++)
        if (inherits[i].of == id && record_value(record, id)->presence == VALUE_ABSENT) {
            record = record->owner;
            id = inherits[i].from;
            break;
        }
    add_value(c, record, id);
    if (id == EDGE_LEFT && record_value(record, id)->presence == VALUE_ABSENT)
        add_value(c, record, EDGE_ALLOWANCE);
}

/* ---- How many times a layer of a typed spot lies there ---- */

static bool same_where(Where a, Where b)
{
    return a.file && b.file && strcmp(a.file, b.file) == 0 && a.line == b.line &&
           a.column == b.column;
}

static size_t index_in(const YamlNode *list, const YamlNode *node)
{
    size_t i = 0;
    while (list && i < list->count && list->items[i] != node)
        i++;
    return i;
}

static void push_times(Choosing *c, const Seam *seam, const TypedSpot *spot, const TypedPly *ply)
{
    const YamlNode *spots = yaml_get(seam->record->node, "spots");
    const YamlNode *plies = yaml_get(spot->spot->node, "plies");
    Choice choice = {.field = field_at(PLY_TIMES), .text = node_text(c->arena, ply->times.node)};
    choice.path =
        arena_printf(c->arena, "seams.%s.spots.%zu.plies.%zu.times", seam->record->path,
                     index_in(spots, spot->spot->node) + 1, index_in(plies, ply->node) + 1);
    choice.name =
        arena_printf(c->arena, "times of %s in spot %s", ply->part->path, spot->spot->path);
    if (patch_path_node(c->built->tree, choice.path))
        push(c, choice);
}

static void add_times(Choosing *c, uint32_t record)
{
    const Style *style = c->built->style;
    Where at = c->built->judgement->columns->fields[PLY_TIMES].origins[record]->at;
    for (size_t i = 0; i < style->seam_count; i++)
        for (size_t k = 0; k < style->seams[i].spot_count; k++) {
            const TypedSpot *spot = &style->seams[i].spots[k];
            for (size_t n = 0; n < spot->ply_count; n++)
                if (spot->plies[n].times.node && spot->plies[n].part &&
                    same_where(at, yaml_where(spot->plies[n].times.node)))
                    push_times(c, &style->seams[i], spot, &spot->plies[n]);
        }
}

/* ---- All of a finding ---- */

/* Columns name their records by path; style, last and bottom there is one of. */
static const Record *record_of(const Choosing *c, Subject subject, uint32_t index)
{
    const RecordList *list = &c->built->style->lists[subject];
    const char *name = c->built->judgement->columns->names[subject][index];
    if (subject <= SUBJECT_BOTTOM)
        return list->count ? list->items[0] : NULL;
    return name ? record_find(list, name) : NULL;
}

static bool rests_on(const FindingValue *values, size_t count, Subject subject)
{
    for (size_t i = 0; i < count; i++)
        if (field_at(values[i].field)->subject == subject)
            return true;
    return false;
}

static bool asks_machines(const Rule *rule)
{
    for (int i = 0; i < rule->binding_count; i++)
        if (rule->bound[i] == SUBJECT_MACHINE)
            return true;
    return false;
}

/* Another material, another machine: names that lead to what was read. */
static void add_names(Choosing *c, const Finding *finding, const FindingValue *values, size_t count)
{
    Subject about = finding->rule->about;
    const Record *place = about <= SUBJECT_SPOT ? record_of(c, about, finding->record) : NULL;
    if (!place)
        return;
    const Record *top = place_top(place);
    if (about == SUBJECT_HOLE)
        top = record_value(place, HOLE_PART)->record;
    if (top && top->subject == SUBJECT_PART && rests_on(values, count, SUBJECT_MATERIAL))
        add_value(c, top, PART_MATERIAL);
    if (top && top->subject == SUBJECT_SEAM && c->built->judgement->factory &&
        asks_machines(finding->rule))
        add_value(c, top, SEAM_MACHINE);
}

size_t review_choices(const Review *review, const Finding *finding, Arena *arena, Choice **choices)
{
    const Judgement *judgement = review->now->judgement;
    uint32_t lane = finding_worst_lane(judgement, finding);
    Choosing c = {.review = review,
                  .built = review->now,
                  .arena = arena,
                  .size = judgement->columns->lanes[lane].size};
    FindingValue *values;
    size_t count = finding_values(arena, judgement, finding, &values);
    for (size_t i = 0; i < count; i++) {
        Subject subject = field_at(values[i].field)->subject;
        const Record *record =
            subject <= SUBJECT_SPOT ? record_of(&c, subject, values[i].record) : NULL;
        if (values[i].field == PLY_TIMES)
            add_times(&c, values[i].record);
        else if (record)
            add_inherited(&c, record, values[i].field);
    }
    add_names(&c, finding, values, count);
    *choices = c.items;
    return c.count;
}

/* Changing a value: what was typed becomes an edit, if the style can be read with it.
 * For the screen and its tests. */
#include <string.h>

#include "review/review_inside.h"
#include "style/patch.h"

/* A change that is asked for. */
typedef struct Change {
    Review *review;
    State state;          /* that it comes on top of */
    const YamlNode *tree; /* of that state */
    const char *path;
    const YamlNode *node; /* NULL: removes */
    ValuePlace place;
    Text *problem;
} Change;

/* ---- Is it a change? ---- */

static bool read_number(const Change *change, Arena *arena, const YamlNode *node, Value *value)
{
    Messages ignored = {0};
    ReadContext context = {
        .arena = arena, .messages = &ignored, .bare_length = review_bare_length(change->review)};
    *value = (Value){0};
    bool read = value_read(&context, field_at(change->place.field), node, value);
    messages_free(&ignored);
    return read;
}

static bool same_quantity(const Value *a, const Value *b)
{
    const Quantity *x = &a->quantity, *y = &b->quantity;
    if (x->unknown || y->unknown)
        return x->unknown == y->unknown;
    return x->lo == y->lo && x->hi == y->hi && x->tolerance == y->tolerance &&
           (x->nominal == y->nominal || (x->nominal != x->nominal && y->nominal != y->nominal));
}

/* The same text, or the same number written in another way: 4.0 mm for 4 mm. */
static bool same_value(const Change *change, const YamlNode *there)
{
    const YamlNode *node = change->node;
    if (node_equal(there, node))
        return true;
    FieldType type = change->place.record ? field_at(change->place.field)->type : FIELD_TEXT;
    if (!there || !node || there->kind != YAML_SCALAR || node->kind != YAML_SCALAR ||
        (type != FIELD_NUMBER && type != FIELD_RANGE))
        return false;
    Arena scratch = {0};
    Value a, b;
    bool same = read_number(change, &scratch, there, &a) &&
                read_number(change, &scratch, node, &b) && same_quantity(&a, &b);
    arena_free(&scratch);
    return same;
}

/* ---- Where it stands in the file ---- */

Where change_where(const Built *built, const char *path, const YamlNode **node)
{
    Arena scratch = {0};
    const YamlNode *holder = patch_path_node(built->written, path);
    if (node)
        *node = holder;
    for (size_t length = strlen(path); !holder && length > 0;) {
        do
            length--;
        while (length > 0 && path[length] != '.');
        holder = patch_path_node(built->written, arena_copy(&scratch, path, length));
    }
    Where at = yaml_where(holder ? holder : built->written);
    arena_free(&scratch);
    return at;
}

/* ", was 3 mm at styles/skerry.yaml": what a typed value says of where it comes from. */
static Where typed_at(const Change *change, const char *path)
{
    enum { SHOWN_MOST = 40 };
    Arena *arena = &change->review->arena;
    const YamlNode *there;
    Where at = change_where(change->review->now, path, &there);
    const char *was = there && there->kind == YAML_SCALAR ? node_text(arena, there) : NULL;
    if (was && strlen(was) <= SHOWN_MOST)
        at.file = arena_printf(arena, ", was %s at %s", was, at.file);
    else
        at.file =
            arena_printf(arena, ", %s %s", there ? "was other at" : "not written in", at.file);
    return at;
}

/* ---- Values below a mapping that is not there yet ---- */

/* "skive" of skive.width; 0: the field stands alone. */
static size_t group_length(const Field *field)
{
    const char *point = strrchr(field->name, '.');
    return point ? (size_t)(point - field->name) : 0;
}

/* {width: 8 mm}; of what was unknown as a whole the rest stays so. */
static const char *group_text(Arena *arena, const Change *change, bool unknown)
{
    const Field *field = field_at(change->place.field);
    size_t length = group_length(field);
    Subject subject = field->subject;
    Text text = {0};
    text_addf(&text, "{%s: %s", field->name + length + 1, node_text(arena, change->node));
    for (FieldId id = field_first(subject); unknown && id < field_end(subject); id++) {
        const char *name = field_at(id)->name;
        if (id != change->place.field && strncmp(name, field->name, length + 1) == 0)
            text_addf(&text, ", %s: unknown", name + length + 1);
    }
    text_add(&text, "}");
    const char *written = arena_copy(arena, text_string(&text), text.length);
    text_free(&text);
    return written;
}

/* A value of a group that is absent or unknown is set with its group; the last one that
 * is removed takes it along. False with the reason. */
static bool take_group(Change *change)
{
    const Field *field = change->place.record ? field_at(change->place.field) : NULL;
    size_t path_length = strlen(change->path);
    size_t below = field && group_length(field) ? strlen(field->name) - group_length(field) : 0;
    if (below == 0 || path_length <= below ||
        strcmp(change->path + path_length - below, field->name + group_length(field)) != 0)
        return true;
    Arena *arena = &change->review->arena;
    const YamlNode *tree = change->tree;
    const char *path = arena_copy(arena, change->path, path_length - below);
    const YamlNode *group = patch_path_node(tree, path);
    bool unknown = yaml_is_word(group, "unknown"), removes = !change->node;
    if (removes && group && group->kind == YAML_MAPPING && group->count == 1 &&
        patch_path_leads(tree, change->path)) {
        change->path = path;
    } else if (!removes && (!group || unknown)) {
        change->node =
            node_typed(arena, typed_at(change, path), group_text(arena, change, unknown), NULL,
                       change->problem);
        change->path = path;
    }
    if (change->path != path)
        return true;
    change->place = (ValuePlace){NULL, FIELD_ID_COUNT};
    return removes || change->node;
}

/* ---- The list of edits ---- */

/* Adds or removes an item of a list: the numbers of those after it change. */
static bool moves_items(const Edit *edit)
{
    const char *last = strrchr(edit->path, '.');
    bool number = last && last[1] && last[1 + strspn(last + 1, "0123456789")] == '\0';
    return number && (!edit->node || edit->adds);
}

static bool any_moves(const State *state, const Edit *edit)
{
    bool moves = moves_items(edit);
    for (size_t i = 0; i < state->count; i++)
        moves = moves || moves_items(&state->edits[i]);
    return moves;
}

/* Without earlier edits of the same value or within it, and without this one where it
 * leads back to what the file says. */
static State state_with(const Change *change, Arena *scratch)
{
    Review *review = change->review;
    State state = change->state;
    Edit edit = {change->path, change->node, !patch_path_leads(change->tree, change->path), false};
    Edit *edits = ARENA_NEW(&review->arena, Edit, state.count + 1);
    bool moves = any_moves(&state, &edit);
    size_t count = 0;
    for (size_t i = 0; i < state.count; i++)
        if (moves || state.edits[i].aside || !place_within(state.edits[i].path, change->path))
            edits[count++] = state.edits[i];
    state.edits = edits;
    state.count = count;
    const YamlNode *written;
    Messages ignored = {0};
    const YamlNode *without = state_tree(review, scratch, &state, &written, &ignored);
    messages_free(&ignored);
    if (without && !moves) {
        const YamlNode *there = patch_path_node(without, change->path);
        edit.adds = !there;
        if (same_value(change, there))
            return state;
    }
    edits[state.count++] = edit;
    return state;
}

/* ---- Setting ---- */

/* What is measured on a line cannot be typed over. */
static bool is_drawn(const Change *change)
{
    const Record *record = change->place.record;
    const Value *value = record ? record_value(record, change->place.field) : NULL;
    if (!value || !value->drawn || patch_path_leads(change->tree, change->path))
        return false;
    Arena arena = {0};
    Text now = {0};
    QuantityForm form = field_form(field_at(change->place.field));
    if (field_at(change->place.field)->type == FIELD_NUMBER)
        quantity_write(&now, &value->quantity, &form);
    text_addf(change->problem,
              "%s of %s %s is measured on the drawn line (%s%s%s): redraw the line",
              field_at(change->place.field)->name, subject_name(record->subject), record->path,
              text_string(&now), now.length ? ", " : "", where_text(&arena, *value->drawn));
    if (change->node)
        text_addf(change->problem, " for %s", node_text(&arena, change->node));
    text_free(&now);
    arena_free(&arena);
    return true;
}

/* What is not there need not be removed, where it might be. */
static bool removes_nothing(const Change *change)
{
    const YamlNode *tree = change->tree;
    if (change->node || patch_path_leads(tree, change->path))
        return false;
    const char *last = strrchr(change->path, '.');
    if (change->place.record || !last)
        return change->place.record;
    Arena scratch = {0};
    bool above =
        patch_path_leads(tree, arena_copy(&scratch, change->path, (size_t)(last - change->path)));
    arena_free(&scratch);
    return above;
}

/* The patch says what the path lacks. */
static bool refuse_missing(const Change *change)
{
    Arena scratch = {0};
    Messages messages = {0};
    Patch patch = {.path = change->path};
    patch_tree(&scratch, change->tree, &patch, 1, &messages);
    problem_say(change->problem, &messages);
    messages_free(&messages);
    arena_free(&scratch);
    return false;
}

/* Adds the value to the change's state, unless it is the present one. */
static bool take_value(Change *change, Arena *scratch, const ReviewValue *value, bool *changes)
{
    Review *review = change->review;
    change->path = arena_copy(&review->arena, value->path, strlen(value->path));
    change->place = place_of_path(review->now->style, value->path);
    change->node = NULL;
    if (value->value) {
        const Field *field = change->place.record ? field_at(change->place.field) : NULL;
        change->node = node_typed(&review->arena, typed_at(change, change->path), value->value,
                                  field, change->problem);
        if (!change->node)
            return false;
    }
    if (is_drawn(change) || !take_group(change))
        return false;
    const YamlNode *there = patch_path_node(change->tree, change->path);
    if (removes_nothing(change) || (there && same_value(change, there)))
        return true;
    if (!there && !change->node)
        return refuse_missing(change);
    change->state = state_with(change, scratch);
    *changes = true;
    return true;
}

/* The tree with what was taken so far, for the next value. */
static bool take_tree(Change *change, Arena *scratch)
{
    Messages messages = {0};
    const YamlNode *written;
    change->tree = state_tree(change->review, scratch, &change->state, &written, &messages);
    if (!change->tree)
        problem_say(change->problem, &messages);
    messages_free(&messages);
    return change->tree != NULL;
}

bool review_set_values(Review *review, const ReviewValue *values, size_t count, Text *problem)
{
    Change change = {.review = review,
                     .state = *review_state(review),
                     .tree = review->now->tree,
                     .problem = problem};
    Arena scratch = {0};
    bool good = true, changes = false;
    for (size_t i = 0; i < count && good; i++)
        good = (i == 0 || take_tree(&change, &scratch)) &&
               take_value(&change, &scratch, &values[i], &changes);
    arena_free(&scratch);
    return good && (!changes || review_go(review, change.state, problem));
}

bool review_set(Review *review, const char *path, const char *value, Text *problem)
{
    return review_set_values(review, &(ReviewValue){path, value}, 1, problem);
}

/* ---- Stepping ---- */

static bool step_option(const Choice *choice, int steps, const char **option, Text *problem)
{
    size_t i = 0, count = choice->option_count;
    while (i < count && strcmp(choice->options[i], choice->text) != 0)
        i++;
    if (i == count) {
        text_addf(problem, "%s is %s; choose one first", choice->name,
                  choice->text[0] ? choice->text : "not written");
        return false;
    }
    long long next = ((long long)i + steps) % (long long)count;
    *option = choice->options[next < 0 ? next + (long long)count : next];
    return true;
}

/* As the file has it; NULL: it has none. */
static const char *text_in_file(const Review *review, Arena *arena, const char *path)
{
    const YamlNode *node = patch_path_node(review->now->written, path);
    return node && node->kind == YAML_SCALAR ? node_text(arena, node) : NULL;
}

bool review_step(Review *review, const Choice *choice, int steps, Text *problem)
{
    if (choice->options) {
        const char *option;
        return step_option(choice, steps, &option, problem) &&
               review_set(review, choice->path, option, problem);
    }
    if (choice->text[0] == '\0' || strcmp(choice->text, "unknown") == 0) {
        text_addf(problem, "%s is %s; type a value first", choice->name,
                  choice->text[0] ? choice->text : "not written");
        return false;
    }
    Arena arena = {0};
    Text stepped = {0};
    char *path = arena_copy(&arena, choice->path, strlen(choice->path));
    bool good =
        step_number(&stepped, choice->field, choice->text, text_in_file(review, &arena, path),
                    review_bare_length(review), steps, problem) &&
        review_set(review, path, text_string(&stepped), problem);
    text_free(&stepped);
    arena_free(&arena);
    return good;
}

/* One place in one lane, seen closely: its truth, the elements that decided,
 * and, where a value is missing, which. For src/judge only. */
#include <math.h>
#include <string.h>

#include "judge/inside.h"

const char *look_name(Arena *arena, const Columns *columns, Subject subject, int32_t record)
{
    const char *name = record < 0 ? "" : columns->names[subject][record];
    return name && name[0] ? arena_printf(arena, "%s %s", subject_name(subject), name)
                           : subject_name(subject);
}

/* As look_name, for the middle of a sentence: "the last". */
static const char *name_inside(Arena *arena, const Columns *columns, Subject subject,
                               int32_t record)
{
    const char *name = columns->names[subject][record];
    bool only_one = subject == SUBJECT_LAST || subject == SUBJECT_BOTTOM;
    return name && name[0] && !only_one ? arena_printf(arena, "%s %s", subject_name(subject), name)
                                        : arena_printf(arena, "the %s", subject_name(subject));
}

/* "edges", "plies". */
static const char *look_plural(Arena *arena, const char *word)
{
    size_t length = strlen(word);
    if (length > 0 && word[length - 1] == 'y')
        return arena_printf(arena, "%.*sies", (int)length - 1, word);
    return arena_printf(arena, "%ss", word);
}

PlainTruth look_when(Plain *plain)
{
    if (plain->rule->when)
        return plain_truth(plain, plain->rule->when);
    return (PlainTruth){.nominal = KLEENE_TRUE, .can_true = true, .spare.relative = INFINITY};
}

PlainNumber look_number(const Plain *plain, const Formula *formula)
{
    Plain walk = *plain;
    return plain_number(&walk, formula);
}

PlainTruth look_truth(const Plain *plain, const Formula *formula)
{
    Plain walk = *plain;
    return plain_truth(&walk, formula);
}

bool look_set(const Plain *plain, const Formula *over, const int32_t **items, size_t *count)
{
    int32_t record = plain_record(plain, &over->record);
    if (record < 0)
        return false;
    const ManyColumn *many = &plain->columns->manys[relation_index(over->relation)];
    *items = many->items + many->start[record];
    *count = many->start[record + 1] - many->start[record];
    return !many->unknown[record];
}

const WorkedOut *look_worked_out(size_t *count)
{
    static const WorkedOut table[] = {
        {PLY_PRESSED, NULL, PLY_THICKNESS},
        {PLY_PRESSED, "material", MATERIAL_COMPRESSES},
        {PLY_PRESSED, NULL, PLY_FOLDED},
        {PLY_PRESSED, NULL, PLY_TIMES},
        {PLY_THICKNESS, "material", MATERIAL_THICKNESS},
        {PLY_FOLDED, "material", MATERIAL_THICKNESS},
        {EDGE_THICKNESS, "material", MATERIAL_THICKNESS},
        {ROW_STACK, "ply", PLY_PRESSED},
        {SPOT_STACK, "ply", PLY_PRESSED},
        {ROW_INSET, NULL, ROW_FROM_EDGE},
        {ROW_INSET, "edge", EDGE_ALLOWANCE},
        {EDGE_BARE, "part", PART_LAYER},
        {EDGE_BARE, NULL, EDGE_FINISH},
        {SEAM_INSIDE, "edge", EDGE_BARE},
        {SEAM_RIDGE, NULL, SEAM_JOIN},
        {SEAM_RIDGE, "edge", EDGE_THICKNESS},
        {BEND_ARC, NULL, BEND_RADIUS},
        {BEND_ARC, NULL, BEND_TURN},
    };
    *count = sizeof table / sizeof *table;
    return table;
}

/* --- what is missing ------------------------------------------------------------ */

/* `wide`: nominal values are known and the gap lies elsewhere in the box. */
typedef struct Hunt {
    Arena *arena;
    const Judgement *judgement;
    Plain plain;
    bool wide;
    Missing missing;
} Hunt;

static void hunt_number(Hunt *hunt, const Formula *formula);
static void hunt_truth(Hunt *hunt, const Formula *formula);

static bool number_gone(const Hunt *hunt, PlainNumber number)
{
    return isnan(number.nominal) || (hunt->wide && !isfinite(number.lo));
}

static bool truth_gone(const Hunt *hunt, PlainTruth truth)
{
    return hunt->wide ? truth.can_unknown : truth.nominal == KLEENE_UNKNOWN;
}

static void found(Hunt *hunt, const void *key, Giver giver, Where at, const char *name)
{
    if (hunt->missing.key)
        return;
    hunt->missing = (Missing){.key = key, .name = name, .giver = giver, .at = at};
    for (int i = 0; i < BINDINGS_MOST; i++)
        hunt->missing.bindings[i] = hunt->plain.bindings[i];
}

static bool from_factory(const Hunt *hunt, Subject subject)
{
    return hunt->judgement->style && !hunt->judgement->factory &&
           (subject == SUBJECT_FACTORY || subject == SUBJECT_MACHINE);
}

static void found_no_factory(Hunt *hunt)
{
    found(hunt, &hunt->judgement->factory, GIVER_NOBODY, (Where){0}, "no factory named");
}

/* Steps along a row are known from spots; those are written on its seam. */
static void found_no_spots(Hunt *hunt, int32_t row)
{
    const Columns *columns = hunt->plain.columns;
    int32_t seam = judge_follow(columns, SUBJECT_ROW, row, "seam");
    if (seam < 0) {
        found(hunt, &columns->names[SUBJECT_ROW][row], GIVER_NOBODY,
              columns->places[SUBJECT_ROW][row], "the steps along the row are not known");
        return;
    }
    found(hunt, &columns->names[SUBJECT_SEAM][seam], GIVER_PATTERN,
          columns->places[SUBJECT_SEAM][seam],
          arena_printf(hunt->arena, "spots of seam %s (which plies lie where) are not known",
                       columns->names[SUBJECT_SEAM][seam]));
}

/* The seam a machine set belongs to; NULL: none. */
static const Seam *seam_of_set(const Hunt *hunt, Subject from, int32_t record)
{
    const Style *style = hunt->judgement->style;
    int32_t index = from == SUBJECT_SEAM
                        ? record
                        : judge_follow(hunt->plain.columns, from, record, "seam");
    for (size_t i = 0; style && index >= 0 && i < style->seam_count; i++)
        if (style->seams[i].record->index == (uint32_t)index)
            return &style->seams[i];
    return NULL;
}

/* A seam names a machine that the factory does not have. */
static bool found_no_machine(Hunt *hunt, const Relation *relation, int32_t record)
{
    if (relation->to != SUBJECT_MACHINE || !hunt->judgement->factory)
        return false;
    const Seam *seam = seam_of_set(hunt, relation->from, record);
    const Value *named = seam ? record_value(seam->record, SEAM_MACHINE) : NULL;
    if (!named || named->presence != VALUE_KNOWN)
        return false;
    found(hunt, named, field_at(SEAM_MACHINE)->giver, yaml_where(named->node),
          arena_printf(hunt->arena, "machine %s, which seam %s names, is not in %s", named->text,
                       seam->record->path, hunt->judgement->factory->name));
    return true;
}

static void found_relation(Hunt *hunt, const Relation *relation, int32_t record)
{
    if (relation->to == SUBJECT_STEP && relation->from == SUBJECT_ROW) {
        found_no_spots(hunt, record);
        return;
    }
    if (from_factory(hunt, relation->to)) {
        found_no_factory(hunt);
        return;
    }
    if (found_no_machine(hunt, relation, record))
        return;
    const Columns *columns = hunt->plain.columns;
    /* The material of a ply or an edge is its part's. */
    int32_t part = relation->to == SUBJECT_MATERIAL && relation->from != SUBJECT_PART
                       ? judge_follow(columns, relation->from, record, "part")
                       : -1;
    if (part >= 0) {
        relation = relation_find(SUBJECT_PART, relation->name, strlen(relation->name));
        record = part;
    }
    FieldId field = field_find(relation->from, relation->name, strlen(relation->name));
    found(hunt, &columns->names[relation->from][record],
          field < FIELD_ID_COUNT ? field_at(field)->giver : GIVER_NOBODY,
          columns->places[relation->from][record],
          arena_printf(hunt->arena, "%s of %s %s not known",
                       relation->many ? look_plural(hunt->arena, relation->name) : relation->name,
                       name_inside(hunt->arena, columns, relation->from, record),
                       relation->many ? "are" : "is"));
}

/* The step of a path that leads nowhere. */
static void hunt_path(Hunt *hunt, const RecordPath *path)
{
    const Plain *plain = &hunt->plain;
    int32_t record = plain->bindings[path->binding];
    for (int i = 0; i < path->length && record >= 0; i++) {
        int32_t next =
            column_one(&plain->columns->ones[relation_index(path->steps[i])], record, plain->lane);
        if (next < 0)
            found_relation(hunt, path->steps[i], record);
        record = next;
    }
}

static bool cell_gone(const Hunt *hunt, FieldId id, int32_t record)
{
    const Column *column = &hunt->plain.columns->fields[id];
    bool range = field_at(id)->type == FIELD_RANGE;
    const double *cells = range ? column->lo : column->nominal;
    return isnan(cells[column_cell(column, (uint32_t)record, hunt->plain.lane)]);
}

static void hunt_cell(Hunt *hunt, FieldId id, int32_t record);

static void hunt_source(Hunt *hunt, FieldId id, int32_t record, const Relation *relation)
{
    if (!relation) {
        if (cell_gone(hunt, id, record))
            hunt_cell(hunt, id, record);
        return;
    }
    size_t index = relation_index(relation);
    if (!relation->many) {
        int32_t one = column_one(&hunt->plain.columns->ones[index], record, hunt->plain.lane);
        if (one >= 0 && cell_gone(hunt, id, one))
            hunt_cell(hunt, id, one);
        return;
    }
    const ManyColumn *many = &hunt->plain.columns->manys[index];
    if (many->unknown[record]) {
        found_relation(hunt, relation, record);
        return;
    }
    for (uint32_t i = many->start[record]; i < many->start[record + 1]; i++)
        if (cell_gone(hunt, id, many->items[i]))
            hunt_cell(hunt, id, many->items[i]);
}

/* A bend or row that stands for those nobody has given. NULL: a real one. */
static const Record *stand_in(const Hunt *hunt, Subject subject, int32_t record)
{
    const Style *style = hunt->judgement->style;
    if ((subject != SUBJECT_BEND && subject != SUBJECT_ROW) || !style)
        return NULL;
    const RecordList *list = &style->lists[subject];
    bool real = (size_t)record >= list->count || !list->items[record]->placeholder;
    return real ? NULL : list->items[record];
}

/* All its values are missing for one reason. */
static void hunt_stand_in(Hunt *hunt, const Record *record, Giver giver)
{
    bool bend = record->subject == SUBJECT_BEND;
    const char *none = bend ? "; write [] where it has none" : "";
    found(hunt, record, giver, hunt->plain.columns->places[record->subject][record->index],
          arena_printf(hunt->arena, "%ss of %s %s are not known%s", subject_name(record->subject),
                       subject_name(record->owner->subject), record->owner->path, none));
}

static void hunt_cell(Hunt *hunt, FieldId id, int32_t record)
{
    const Field *field = field_at(id);
    const Record *stands = stand_in(hunt, field->subject, record);
    if (stands) {
        hunt_stand_in(hunt, stands, field->giver);
        return;
    }
    if (from_factory(hunt, field->subject)) {
        found_no_factory(hunt);
        return;
    }
    size_t count;
    const WorkedOut *worked_out = look_worked_out(&count);
    for (size_t i = 0; i < count; i++) {
        const char *name = worked_out[i].relation;
        if (worked_out[i].of == id)
            hunt_source(hunt, worked_out[i].from, record,
                        name ? relation_find(field->subject, name, strlen(name)) : NULL);
    }
    const Columns *columns = hunt->plain.columns;
    const Origin *const *origin = &columns->fields[id].origins[record];
    /* A note on what was worked out says how, not why it is missing. */
    const char *note = (*origin)->kind == ORIGIN_DERIVED ? NULL : (*origin)->note;
    Where at = (*origin)->at.file ? (*origin)->at : columns->places[field->subject][record];
    found(hunt, (*origin)->source ? (*origin)->source : (const void *)origin, field->giver, at,
          arena_printf(hunt->arena, "%s of %s is not known%s%s", field->name,
                       name_inside(hunt->arena, columns, field->subject, record), note ? ": " : "",
                       note ? note : ""));
}

static void hunt_field(Hunt *hunt, const RecordPath *path, FieldId id)
{
    int32_t record = plain_record(&hunt->plain, path);
    if (record < 0)
        hunt_path(hunt, path);
    else
        hunt_cell(hunt, id, record);
}

static void hunt_limit(Hunt *hunt, const Formula *formula)
{
    const Limit *limit = formula->limit;
    if (limit->by == FIELD_ID_COUNT) {
        found(hunt, limit, GIVER_NOBODY, limit->at,
              arena_printf(hunt->arena, "limit %s is not known", limit->name));
        return;
    }
    int32_t record = plain_record(&hunt->plain, &formula->record);
    const Column *column = &hunt->plain.columns->fields[limit->by];
    double word =
        record < 0 ? NAN : column->nominal[column_cell(column, (uint32_t)record, hunt->plain.lane)];
    if (isnan(word)) {
        hunt_field(hunt, &formula->record, limit->by);
        return;
    }
    Text text = {0};
    sentence_word(&text, field_at(limit->by), word);
    found(
        hunt, limit, GIVER_NOBODY, limit->at,
        arena_printf(hunt->arena, "limit %s has no value for %s", limit->name, text_string(&text)));
    text_free(&text);
}

/* Whether `every` or `some` is settled by this member's filter or body alone. */
static bool member_settled(const Hunt *hunt, const Formula *over, PlainTruth kept, PlainTruth body)
{
    if (hunt->wide)
        return !kept.can_unknown && !body.can_unknown;
    Kleene settles = over->over == OVER_EVERY ? KLEENE_TRUE : KLEENE_FALSE;
    return kept.nominal == KLEENE_FALSE || body.nominal == settles;
}

/* The member of an over that is bound. */
static void hunt_member(Hunt *hunt, const Formula *over)
{
    const Formula *body = over->operand[0];
    bool truth = body && body->type.kind == TYPE_TRUTH;
    PlainTruth kept = {.nominal = KLEENE_TRUE, .can_true = true};
    if (over->filter)
        kept = plain_truth(&hunt->plain, over->filter);
    if (truth && member_settled(hunt, over, kept, plain_truth(&hunt->plain, body)))
        return;
    if (truth_gone(hunt, kept))
        hunt_truth(hunt, over->filter);
    else if (!(hunt->wide ? kept.can_true : kept.nominal == KLEENE_TRUE))
        return;
    else if (truth && truth_gone(hunt, plain_truth(&hunt->plain, body)))
        hunt_truth(hunt, body);
    else if (body && !truth && number_gone(hunt, plain_number(&hunt->plain, body)))
        hunt_number(hunt, body);
}

/* A set that is unknown, or the first element that leaves the whole unknown. */
static void hunt_over(Hunt *hunt, const Formula *over)
{
    const int32_t *items;
    size_t count;
    if (!look_set(&hunt->plain, over, &items, &count)) {
        int32_t record = plain_record(&hunt->plain, &over->record);
        if (record < 0)
            hunt_path(hunt, &over->record);
        else
            found_relation(hunt, over->relation, record);
        return;
    }
    int32_t outer = hunt->plain.bindings[over->binding];
    for (size_t i = 0; i < count && !hunt->missing.key; i++) {
        hunt->plain.bindings[over->binding] = items[i];
        hunt_member(hunt, over);
    }
    hunt->plain.bindings[over->binding] = outer;
    if (!hunt->missing.key && count == 0)
        found(hunt, over, GIVER_NOBODY, (Where){0},
              arena_printf(hunt->arena, "%s has no %s",
                           name_inside(hunt->arena, hunt->plain.columns, over->record.subject,
                                       plain_record(&hunt->plain, &over->record)),
                           over->relation->name));
}

static void hunt_if(Hunt *hunt, const Formula *formula)
{
    PlainTruth condition = plain_truth(&hunt->plain, formula->operand[0]);
    if (truth_gone(hunt, condition)) {
        hunt_truth(hunt, formula->operand[0]);
        return;
    }
    const Formula *branch = formula->operand[condition.nominal == KLEENE_TRUE ? 1 : 2];
    if (formula->type.kind == TYPE_TRUTH)
        hunt_truth(hunt, branch);
    else
        hunt_number(hunt, branch);
}

/* All operands are known and the result is not: the operation has none. */
static void hunt_operation(Hunt *hunt, const Formula *formula)
{
    Text text = {0};
    if (formula->kind == FORMULA_TABLE) {
        text_addf(&text, "table %s has no row for ", formula->table->name);
        sentence_value(&text, &hunt->plain, formula->operand[0], 4);
    } else {
        formula_write(&text, hunt->plain.rule, formula);
        bool root = formula->kind == FORMULA_CALL && formula->function == FUNCTION_SQRT;
        text_add(&text, root ? " is the root of a negative number here: "
                        : formula->kind == FORMULA_DIVIDE ? " divides by zero here: "
                                                          : " has no value here: ");
        sentence_formula(&text, &hunt->plain, formula);
    }
    const void *key = formula->kind == FORMULA_TABLE ? (const void *)formula->table : formula;
    found(hunt, key, GIVER_NOBODY, (Where){0}, arena_copy(hunt->arena, text_string(&text), text.length));
    text_free(&text);
}

static void hunt_number(Hunt *hunt, const Formula *formula)
{
    switch (formula->kind) {
    case FORMULA_FIELD:
        hunt_field(hunt, &formula->record, formula->field);
        return;
    case FORMULA_LIMIT:
        hunt_limit(hunt, formula);
        return;
    case FORMULA_OVER:
        hunt_over(hunt, formula);
        return;
    case FORMULA_IF:
        hunt_if(hunt, formula);
        return;
    default:
        break;
    }
    for (int i = 0; i < 3 && formula->operand[i]; i++)
        if (number_gone(hunt, plain_number(&hunt->plain, formula->operand[i]))) {
            hunt_number(hunt, formula->operand[i]);
            return;
        }
    hunt_operation(hunt, formula);
}

static void hunt_test(Hunt *hunt, const Formula *formula)
{
    for (int i = 0; i < 2 && formula->operand[i]; i++)
        if (number_gone(hunt, plain_number(&hunt->plain, formula->operand[i]))) {
            hunt_number(hunt, formula->operand[i]);
            return;
        }
    if (formula->kind == FORMULA_IN_FIELD)
        hunt_field(hunt, &formula->record, formula->field);
}

static void hunt_truth(Hunt *hunt, const Formula *formula)
{
    switch (formula->kind) {
    case FORMULA_FIELD:
    case FORMULA_LIMIT:
        hunt_number(hunt, formula);
        return;
    case FORMULA_OVER:
        hunt_over(hunt, formula);
        return;
    case FORMULA_IF:
        hunt_if(hunt, formula);
        return;
    case FORMULA_AND:
    case FORMULA_OR:
    case FORMULA_NOT:
    case FORMULA_LET:
        for (int i = 0; i < 2 && formula->operand[i]; i++)
            if (truth_gone(hunt, plain_truth(&hunt->plain, formula->operand[i]))) {
                hunt_truth(hunt, formula->operand[i]);
                return;
            }
        return;
    default:
        hunt_test(hunt, formula);
    }
}

Missing look_missing(Arena *arena, const Judgement *judgement, const Plain *plain)
{
    Hunt hunt = {.arena = arena, .judgement = judgement, .plain = *plain};
    for (int wide = 0; wide < 2 && !hunt.missing.key; wide++) {
        hunt.wide = wide;
        if (hunt.plain.rule->when && truth_gone(&hunt, look_when(&hunt.plain)))
            hunt_truth(&hunt, hunt.plain.rule->when);
        else if (truth_gone(&hunt, plain_truth(&hunt.plain, hunt.plain.rule->require)))
            hunt_truth(&hunt, hunt.plain.rule->require);
    }
    return hunt.missing;
}

/* --- ungraded edges ----------------------------------------------------------------- */

/* The verdict differs with the way an edge is graded, and that is not said. */
static Missing missing_grade(Arena *arena, const Judgement *judgement, const Plain *plain)
{
    static const struct {
        Subject subject;
        FieldId grade;
    } graded[] = {{SUBJECT_BEND, BEND_GRADE}, {SUBJECT_EDGE, EDGE_GRADE}};
    Hunt hunt = {.arena = arena, .judgement = judgement, .plain = *plain};
    Read *reads;
    size_t count = readings_collect(arena, plain, &reads);
    for (size_t g = 0; g < 2; g++)
        for (size_t i = 0; i < count && !hunt.missing.key; i++) {
            const Formula *formula = reads[i].formula;
            const Column *column = &plain->columns->fields[graded[g].grade];
            bool due =
                formula->kind == FORMULA_FIELD && reads[i].record >= 0 &&
                formula->record.subject == graded[g].subject &&
                isnan(column->nominal[column_cell(column, (uint32_t)reads[i].record, plain->lane)]);
            if (due) {
                hunt.plain.bindings[0] = reads[i].record;
                hunt_field(&hunt, &(RecordPath){.subject = graded[g].subject}, graded[g].grade);
            }
        }
    return hunt.missing;
}

/* --- a look -------------------------------------------------------------------------- */

static PlainTruth evaluate(Look *look, const Judgement *judgement, const Finding *finding,
                           uint32_t way)
{
    plain_start(&look->plain, finding->rule, judgement->columns, way, (int32_t)finding->record);
    look->when = look_when(&look->plain);
    look->require = plain_truth(&look->plain, finding->rule->require);
    look->met = look->plain.met;
    return look->require;
}

/* The way of an ungraded edge that is shown: the worse, then the one with less
 * to spare. */
static uint32_t way_shown(const Judgement *judgement, const Finding *finding, uint32_t lane)
{
    uint32_t scaled = lane + judgement->lane_count;
    if (scaled >= judgement->columns->lane_count)
        return lane;
    if (finding->ways[lane] != finding->ways[scaled])
        return finding->ways[lane] > finding->ways[scaled] ? lane : scaled;
    Look look = {0};
    double held = evaluate(&look, judgement, finding, lane).spare.relative;
    return evaluate(&look, judgement, finding, scaled).spare.relative < held ? scaled : lane;
}

static void bind(Plain *plain, const int32_t bindings[BINDINGS_MOST])
{
    for (int i = 1; i < BINDINGS_MOST; i++)
        plain->bindings[i] = bindings[i];
}

static size_t count_false(const Plain *plain, const Formula *body)
{
    if (body->kind == FORMULA_AND)
        return count_false(plain, body->operand[0]) + count_false(plain, body->operand[1]);
    return look_truth(plain, body).nominal == KLEENE_FALSE;
}

/* The member of a failing `some` that fails the fewest conditions, of several the
 * one that decided, else the first; -1: none is left. */
static int32_t nearest_member(const Plain *plain, const Formula *some)
{
    const int32_t *items;
    size_t count, least = SIZE_MAX;
    int32_t nearest = -1;
    Plain walk = *plain;
    if (!look_set(plain, some, &items, &count))
        return -1;
    for (size_t i = 0; i < count; i++) {
        walk.bindings[some->binding] = items[i];
        if (some->filter && look_truth(&walk, some->filter).nominal != KLEENE_TRUE)
            continue;
        size_t failed = count_false(&walk, some->operand[0]);
        bool decided = items[i] == plain->bindings[some->binding];
        if (failed < least || (failed == least && decided)) {
            least = failed;
            nearest = items[i];
        }
    }
    return nearest;
}

/* Of all members that fail, the nearest tells most: it is shown in place of the
 * one that decided. */
static void bind_nearest(Plain *plain, const Formula *formula)
{
    if (formula->kind == FORMULA_AND || formula->kind == FORMULA_LET) {
        bind_nearest(plain, formula->operand[0]);
        if (formula->operand[1])
            bind_nearest(plain, formula->operand[1]);
        return;
    }
    bool failing = formula->kind == FORMULA_OVER && formula->over == OVER_SOME &&
                   plain->bindings[formula->binding] >= 0 &&
                   look_truth(plain, formula).nominal == KLEENE_FALSE;
    int32_t nearest = failing ? nearest_member(plain, formula) : -1;
    if (nearest < 0 || nearest == plain->bindings[formula->binding])
        return;
    plain->bindings[formula->binding] = nearest;
    bind(plain, look_truth(plain, formula->operand[0]).spare.bindings);
}

void look_as_decided(Look *look, const Judgement *judgement, const Finding *finding)
{
    *look = (Look){.verdict = finding->verdict};
    plain_start(&look->plain, finding->rule, judgement->columns,
                finding_worst_lane(judgement, finding), (int32_t)finding->record);
    bind(&look->plain, finding_spare(judgement, finding)->bindings);
}

void look_at(Look *look, Arena *arena, const Judgement *judgement, const Finding *finding,
             uint32_t lane)
{
    *look = (Look){0};
    uint32_t way = way_shown(judgement, finding, lane);
    evaluate(look, judgement, finding, way);
    look->verdict = finding->lanes[lane];
    if (finding->ways[way] == VERDICT_UNKNOWN) {
        look->missing = look_missing(arena, judgement, &look->plain);
        if (look->missing.key)
            bind(&look->plain, look->missing.bindings);
        return;
    }
    if (look->verdict == VERDICT_UNKNOWN)
        look->missing = missing_grade(arena, judgement, &look->plain);
    bind(&look->plain, look->require.spare.bindings);
    if (look->when.nominal == KLEENE_TRUE && look->require.nominal == KLEENE_FALSE)
        bind_nearest(&look->plain, look->plain.rule->require);
}

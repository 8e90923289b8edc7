/* What the names in a formula mean: bound records, lets, limits, constants,
 * fields, relations. For src/rule only. */
#include "rule/rule_inner.h"

#include <string.h>

/* A piece of the formula's text as a string of its own. */
static const char *name_text(FormulaReader *reader, size_t start, size_t end)
{
    return arena_copy(&reader->set->arena, reader->text + start, end - start);
}

static bool same(const char *name, const char *text, size_t length)
{
    return strlen(name) == length && memcmp(name, text, length) == 0;
}

static bool field_is_value(const Field *field)
{
    return field->type != FIELD_NAME && field->type != FIELD_TEXT;
}

/* The innermost binding called like that, or -1. What the rule is about has no
 * name of its own: its fields stand bare. */
static int bound_as(const FormulaReader *reader, const char *text, size_t length)
{
    for (int i = reader->scope_count - 1; i > 0; i--) {
        if (same(reader->rule->bound_name[reader->scope[i]], text, length)) {
            return reader->scope[i];
        }
    }
    return -1;
}

static const Let *let_called(const Rule *rule, const char *text, size_t length)
{
    for (size_t i = 0; i < rule->let_count; i++) {
        if (same(rule->lets[i].name, text, length)) {
            return &rule->lets[i];
        }
    }
    return NULL;
}

static const Limit *limit_called(const RuleSet *set, const char *text, size_t length)
{
    for (size_t i = 0; i < set->limit_count; i++) {
        if (same(set->limits[i]->name, text, length)) {
            return set->limits[i];
        }
    }
    return NULL;
}

/* A field of the subject whose name is `text` or begins with `text.`. A field
 * that names another record is the relation, where there is one of its name. */
static bool field_begins(Subject subject, const char *text, size_t length)
{
    bool relation = relation_find(subject, text, length) != NULL;
    FieldId end = field_end(subject);
    for (FieldId id = field_first(subject); id < end; id++) {
        const char *name = field_at(id)->name;
        if (strncmp(name, text, length) == 0 && (name[length] == '\0' || name[length] == '.') &&
            (field_is_value(field_at(id)) || !relation)) {
            return true;
        }
    }
    return false;
}

/* Adds what people could have meant: names that can begin a path here. */
static size_t known_names(FormulaReader *reader, Subject subject, bool first, const char ***names)
{
    const RuleSet *set = reader->set;
    const Rule *rule = reader->rule;
    size_t relation_count, count = 0;
    const Relation *relations = relation_table(&relation_count);
    size_t fields = (size_t)(field_end(subject) - field_first(subject));
    *names = ARENA_NEW(&reader->set->arena, const char *,
                       fields + relation_count + set->limit_count + set->constant_count +
                           rule->let_count + BINDINGS_MOST);
    for (FieldId id = field_first(subject); id < field_end(subject); id++) {
        (*names)[count++] = field_at(id)->name;
    }
    for (size_t i = 0; i < relation_count; i++) {
        if (relations[i].from == subject) {
            (*names)[count++] = relations[i].name;
        }
    }
    for (size_t i = 0; first && i < set->limit_count; i++) {
        (*names)[count++] = set->limits[i]->name;
    }
    for (size_t i = 0; first && i < set->constant_count; i++) {
        (*names)[count++] = set->constants[i].name;
    }
    for (size_t i = 0; first && i < rule->let_count; i++) {
        (*names)[count++] = rule->lets[i].name;
    }
    for (int i = 1; first && i < reader->scope_count; i++) {
        (*names)[count++] = rule->bound_name[reader->scope[i]];
    }
    return count;
}

static bool unknown_name(FormulaReader *reader, const NamePath *path, int from, Subject subject)
{
    size_t start = path->name_start[from];
    const char *name = name_text(reader, start, path->end);
    const char *one = name_text(reader, start, path->name_end[from]);
    if (from == 0 && strcmp(one, subject_name(subject)) == 0 && path->count > 1) {
        return reader_wrong(reader, start, "the %s is what the rule is about: write %s", one,
                            name_text(reader, path->name_start[1], path->end));
    }
    if (from == 0 && yaml_get(yaml_get(reader->rule->node, "let"), one)) {
        return reader_wrong(reader, start, "%s is written below: a let may use those above it",
                            one);
    }
    const char **names;
    size_t count = known_names(reader, subject, from == 0, &names);
    const char *hint = nearest_hint(&reader->set->arena, name, names, count);
    if (!*hint && path->count - from > 1) {
        hint = nearest_hint(&reader->set->arena, one, names, count);
    }
    return reader_wrong(reader, start,
                        from == 0 ? "%s is unknown here; a rule about %s reads its "
                                    "fields, relations, lets and limits%s"
                                  : "%s is no field or relation of %s%s",
                        name, subject_name(subject), hint);
}

static bool step_along(FormulaReader *reader, const NamePath *path, int name, RecordPath *record,
                       const Relation *relation)
{
    if (record->length == RECORD_PATH_MOST) {
        return reader_wrong(reader, path->name_start[name], "a path takes at most %d steps",
                            RECORD_PATH_MOST);
    }
    record->steps[record->length++] = relation;
    record->subject = relation->to;
    return true;
}

/* The names from `from` on, read from `record`: single relations, then a set or
 * the rest as a field. */
static bool follow(FormulaReader *reader, const NamePath *path, int from, RecordPath record,
                   Meaning *meaning)
{
    int i = from;
    const Relation *relation = NULL;
    for (; i < path->count; i++) {
        relation = relation_find(record.subject, reader->text + path->name_start[i],
                                 path->name_end[i] - path->name_start[i]);
        if (!relation || relation->many) {
            break;
        }
        if (!step_along(reader, path, i, &record, relation)) {
            return false;
        }
    }
    *meaning = (Meaning){.kind = MEANS_RECORD, .record = record, .field = FIELD_ID_COUNT};
    if (i == path->count) {
        return true;
    }
    size_t start = path->name_start[i];
    meaning->field = field_find(record.subject, reader->text + start, path->end - start);
    if (meaning->field != FIELD_ID_COUNT &&
        (field_is_value(field_at(meaning->field)) || !relation)) {
        meaning->kind = MEANS_FIELD;
        return true;
    }
    if (relation && i + 1 == path->count) {
        meaning->kind = MEANS_SET;
        meaning->relation = relation;
        return true;
    }
    if (relation) {
        return reader_wrong(reader, start,
                            "%s has many %s: say every, some, sum, most, least or "
                            "count %s (…)",
                            subject_name(record.subject), relation->name,
                            name_text(reader, path->start, path->name_end[i]));
    }
    return unknown_name(reader, path, i, record.subject);
}

/* Names that mean something without a record: nothing may follow them. */
static bool alone(FormulaReader *reader, const NamePath *path, const char *what)
{
    return path->count == 1 ||
           reader_wrong(reader, path->name_start[1], "%s is %s and has no parts",
                        name_text(reader, path->start, path->name_end[0]), what);
}

/* What a first name that is not bound means: one thing and no other. `what`
 * receives how that is called. */
static bool first_meaning(FormulaReader *reader, const NamePath *path, Meaning *meaning,
                          const char **what)
{
    const Rule *rule = reader->rule;
    const char *text = reader->text + path->start;
    size_t length = path->name_end[0] - path->start;
    *meaning = (Meaning){.field = FIELD_ID_COUNT,
                         .let = let_called(rule, text, length),
                         .limit = limit_called(reader->set, text, length),
                         .constant = rules_constant(reader->set, text, length)};
    const bool hits[] = {meaning->let, meaning->limit, meaning->constant,
                         field_begins(rule->about, text, length),
                         relation_find(rule->about, text, length)};
    static const char *const kinds[] = {"a let", "a limit", "a constant", "a field", "a relation"};
    *what = NULL;
    for (int i = 0; i < 5; i++) {
        if (hits[i] && *what) {
            return reader_wrong(reader, path->start, "%.*s means two things here: %s and %s",
                                (int)length, text, *what, kinds[i]);
        }
        if (hits[i]) {
            *what = kinds[i];
            meaning->kind = (MeaningKind)i;
        }
    }
    return *what || unknown_name(reader, path, 0, rule->about);
}

bool name_meaning(FormulaReader *reader, const NamePath *path, Meaning *meaning)
{
    const Rule *rule = reader->rule;
    const char *what;
    int binding = bound_as(reader, reader->text + path->start, path->name_end[0] - path->start);
    if (binding >= 0) {
        RecordPath record = {.binding = binding, .subject = rule->bound[binding]};
        return follow(reader, path, 1, record, meaning);
    }
    if (!first_meaning(reader, path, meaning, &what)) {
        return false;
    }
    if (meaning->kind < MEANS_FIELD) {
        return alone(reader, path, what);
    }
    return follow(reader, path, 0, (RecordPath){.subject = rule->about}, meaning);
}

/* The shortest chain of single relations from `from` to `subject`, breadth first. */
static bool chain_to(RecordPath from, Subject subject, RecordPath *found)
{
    RecordPath queue[SUBJECT_COUNT];
    bool seen[SUBJECT_COUNT] = {false};
    size_t head = 0, tail = 0, count;
    const Relation *relations = relation_table(&count);
    queue[tail++] = from;
    seen[from.subject] = true;
    while (head < tail) {
        RecordPath here = queue[head++];
        if (here.subject == subject) {
            *found = here;
            return true;
        }
        for (size_t i = 0; i < count && here.length < RECORD_PATH_MOST; i++) {
            const Relation *next = &relations[i];
            if (next->from == here.subject && !next->many && !seen[next->to]) {
                seen[next->to] = true;
                RecordPath there = here;
                there.steps[there.length++] = next;
                there.subject = next->to;
                queue[tail++] = there;
            }
        }
    }
    return false;
}

bool name_nearest_record(const FormulaReader *reader, Subject subject, RecordPath *record)
{
    for (int i = reader->scope_count - 1; i >= 0; i--) {
        int binding = reader->scope[i];
        if (reader->rule->bound[binding] == subject) {
            *record = (RecordPath){.binding = binding, .subject = subject};
            return true;
        }
    }
    for (int i = reader->scope_count - 1; i >= 0; i--) {
        int binding = reader->scope[i];
        RecordPath from = {.binding = binding, .subject = reader->rule->bound[binding]};
        if (chain_to(from, subject, record)) {
            return true;
        }
    }
    return false;
}

static Formula *formula_of_let(FormulaReader *reader, const NamePath *path, const Let *let)
{
    Formula *body = let->formula->operand[0];
    int height = formula_over_height(body);
    if (height > 0 && reader->scope_count - 1 + height > OVER_NESTING_MOST) {
        reader_wrong(reader, path->start,
                     "sets may stand within each other %d deep at most; %s "
                     "brings %d more",
                     OVER_NESTING_MOST, let->name, height);
        return NULL;
    }
    Formula *formula = formula_new(reader, FORMULA_LET, path->start, path->end);
    if (!formula) {
        return NULL;
    }
    reader->rule->formula_nodes += formula_size(body);
    if (reader->rule->formula_nodes > FORMULA_NODES_MOST) {
        reader_wrong(reader, path->start,
                     "the formulas of one rule are limited to %d parts, lets "
                     "counted at every use",
                     FORMULA_NODES_MOST);
        return NULL;
    }
    formula->operand[0] = body;
    formula->name = let->name;
    formula->type = body->type;
    return formula;
}

/* The record that a limit's `by` or `own` is read from, at this place. */
static bool limit_record(FormulaReader *reader, const NamePath *path, const Limit *limit,
                         FieldId field, RecordPath *record)
{
    if (field == FIELD_ID_COUNT) {
        record->subject = SUBJECT_COUNT;
        return true;
    }
    Subject subject = field_at(field)->subject;
    return name_nearest_record(reader, subject, record) ||
           reader_wrong(reader, path->start, "%s goes by %s.%s, and no %s can be told here",
                        limit->name, subject_name(subject), field_at(field)->name,
                        subject_name(subject));
}

static Formula *formula_of_limit(FormulaReader *reader, const NamePath *path, const Limit *limit)
{
    Formula *formula = formula_new(reader, FORMULA_LIMIT, path->start, path->end);
    if (!formula || !limit_record(reader, path, limit, limit->by, &formula->record) ||
        !limit_record(reader, path, limit, limit->own, &formula->own_record)) {
        return NULL;
    }
    formula->limit = limit;
    formula->type = limit->type;
    return formula;
}

static Formula *formula_of_constant(FormulaReader *reader, const NamePath *path,
                                    const RuleConstant *constant)
{
    Formula *formula = formula_new(reader, FORMULA_NUMBER, path->start, path->end);
    if (formula) {
        formula->number = constant->value;
        formula->unit = constant->unit;
        formula->name = constant->name;
        formula->type = constant->type;
    }
    return formula;
}

static Formula *formula_of_field(FormulaReader *reader, const NamePath *path,
                                 const Meaning *meaning)
{
    const Field *field = field_at(meaning->field);
    Type type = {.kind = TYPE_NUMBER};
    const Unit *unit = field_unit(field);
    if (field->type == FIELD_TRUTH) {
        type.kind = TYPE_TRUTH;
    } else if (field->type == FIELD_WORD) {
        type = (Type){.kind = TYPE_WORD, .words = field->words};
    } else if (field->type != FIELD_NUMBER) {
        bool set = field->type != FIELD_TEXT && field->type != FIELD_NAME;
        reader_wrong(reader, path->start,
                     set ? "%.*s is a range or set: it stands after `in`"
                         : "%.*s is text or a name, not a value to reckon with",
                     (int)(path->end - path->start), reader->text + path->start);
        return NULL;
    } else if (unit) {
        type.dimension = unit->dimension;
        type.point = unit->point;
    }
    Formula *formula = formula_new(reader, FORMULA_FIELD, path->start, path->end);
    if (formula) {
        formula->record = meaning->record;
        formula->field = meaning->field;
        formula->type = type;
    }
    return formula;
}

Formula *formula_of_meaning(FormulaReader *reader, const NamePath *path, const Meaning *meaning)
{
    const char *text = reader->text + path->start;
    int length = (int)(path->end - path->start);
    switch (meaning->kind) {
    case MEANS_LET:
        return formula_of_let(reader, path, meaning->let);
    case MEANS_LIMIT:
        return formula_of_limit(reader, path, meaning->limit);
    case MEANS_CONSTANT:
        return formula_of_constant(reader, path, meaning->constant);
    case MEANS_FIELD:
        return formula_of_field(reader, path, meaning);
    case MEANS_RECORD:
        reader_wrong(reader, path->start, "%.*s is a record, not a value: name one of its fields",
                     length, text);
        return NULL;
    case MEANS_SET:
        reader_wrong(reader, path->start,
                     "%.*s are many: say every, some, sum, most, least or "
                     "count %.*s (…)",
                     length, text, length, text);
        return NULL;
    }
    return NULL;
}

/* The sentence of a rule (`say`) and what may change to clear it (`gives`).
 * For src/rule only. */
#include <string.h>

#include "rule/rule_inner.h"

/* Names in `say` and `gives` see every set that the rule goes over. */
static void start_outside(FormulaReader *reader, RuleSet *set, Rule *rule, const YamlNode *node)
{
    reader_start(reader, set, rule, node, set->messages);
    reader->scope_count = rule->binding_count;
    for (int i = 0; i < rule->binding_count; i++) {
        reader->scope[i] = i;
    }
}

typedef struct LimitSearch {
    const Limit *limit;
    Formula *found;
} LimitSearch;

static void find_limit(void *data, Formula *formula)
{
    LimitSearch *search = data;
    if (!search->found && formula->kind == FORMULA_LIMIT && formula->limit == search->limit) {
        search->found = formula;
    }
}

/* The limit as the rule reads it, so that the sentence names the same row. */
static Formula *limit_as_read(const Rule *rule, const Limit *limit)
{
    LimitSearch search = {.limit = limit};
    formula_walk(rule->require, find_limit, &search);
    formula_walk(rule->when, find_limit, &search);
    for (size_t i = 0; i < rule->let_count; i++) {
        formula_walk(rule->lets[i].formula, find_limit, &search);
    }
    return search.found;
}

static bool say_name(FormulaReader *reader, SayPiece *piece)
{
    NamePath path;
    Meaning meaning;
    if (!scan_path(reader, &path) || !name_meaning(reader, &path, &meaning)) {
        return false;
    }
    piece->name = arena_copy(&reader->set->arena, reader->text + path.start, path.end - path.start);
    if (meaning.kind == MEANS_RECORD) {
        piece->record = meaning.record;
        return true;
    }
    if (meaning.kind == MEANS_LET) {
        piece->formula = meaning.let->formula;
    } else if (meaning.kind == MEANS_LIMIT) {
        piece->formula = limit_as_read(reader->rule, meaning.limit);
    }
    if (!piece->formula) {
        piece->formula = formula_of_meaning(reader, &path, &meaning);
    }
    return piece->formula != NULL;
}

static SayPiece *new_piece(RuleSet *set, Rule *rule, size_t *capacity)
{
    SayPiece *piece = ARENA_PUSH(&set->arena, rule->say, rule->say_count, *capacity);
    *piece = (SayPiece){0};
    return piece;
}

bool say_read(RuleSet *set, Rule *rule, const YamlNode *node)
{
    FormulaReader reader;
    size_t capacity = 0;
    start_outside(&reader, set, rule, node);
    while (reader.at < reader.length) {
        const char *text = reader.text + reader.at;
        size_t left = reader.length - reader.at;
        const char *brace = memchr(text, '{', left), *end = memchr(text, '}', left);
        if (end && (!brace || end < brace)) {
            return reader_wrong(&reader, (size_t)(end - reader.text), "a } without its {");
        }
        size_t plain = brace ? (size_t)(brace - text) : left;
        if (plain > 0) {
            new_piece(set, rule, &capacity)->text = arena_copy(&set->arena, text, plain);
        }
        reader.at += plain;
        if (!brace) {
            break;
        }
        reader.at++;
        if (!say_name(&reader, new_piece(set, rule, &capacity))) {
            return false;
        }
        if (!scan_sign(&reader, "}")) {
            return reader_wrong(&reader, reader.at, "`}` is expected after a name, found %s",
                                scan_found(&reader));
        }
    }
    return true;
}

/* What the formulas of a rule read, as far as `gives` asks. */
typedef struct Reads {
    bool fields[FIELD_ID_COUNT];
    bool derived; /* reads a value that is worked out: what from, only measuring knows */
} Reads;

static void reads_add(Reads *reads, FieldId field)
{
    if (field != FIELD_ID_COUNT) {
        reads->fields[field] = true;
        reads->derived = reads->derived || field_at(field)->absence == ABSENT_DERIVED;
    }
}

static void find_reads(void *data, Formula *formula)
{
    Reads *reads = data;
    reads_add(reads, formula->field);
    if (formula->kind == FORMULA_LIMIT) {
        reads_add(reads, formula->limit->by);
        reads_add(reads, formula->limit->own);
    }
}

/* A bend inherits from its edge, a name is read through what it names. */
static bool reaches(const Reads *reads, FieldId given)
{
    const Field *field = field_at(given);
    if (reads->derived || reads->fields[given]) {
        return true;
    }
    for (int i = 0; i < FIELD_ID_COUNT; i++) {
        const Field *other = field_at((FieldId)i);
        bool inherits = other->absence == ABSENT_INHERITS && field->subject == SUBJECT_EDGE &&
                        strcmp(other->name, field->name) == 0;
        bool named = field->type == FIELD_NAME && other->subject == field->refers;
        if (reads->fields[i] && (inherits || named)) {
            return true;
        }
    }
    return false;
}

/* The last step may be a name that the file gives: "part.material". */
static void name_as_field(Meaning *meaning)
{
    RecordPath *record = &meaning->record;
    if (meaning->kind != MEANS_RECORD || record->length == 0) {
        return;
    }
    const Relation *last = record->steps[record->length - 1];
    FieldId field = field_find(last->from, last->name, strlen(last->name));
    if (field != FIELD_ID_COUNT) {
        meaning->kind = MEANS_FIELD;
        meaning->field = field;
        record->length--;
        record->subject = last->from;
    }
}

static bool give_fits(FormulaReader *reader, const NamePath *path, const Meaning *meaning,
                      const Reads *reads)
{
    const Field *field = meaning->kind == MEANS_FIELD ? field_at(meaning->field) : NULL;
    if (!field || (field->type != FIELD_NUMBER && field->type != FIELD_WORD &&
                   field->type != FIELD_NAME && field->type != FIELD_TRUTH)) {
        return reader_wrong(reader, path->start, "%.*s is no value that can be changed",
                            (int)(path->end - path->start), reader->text + path->start);
    }
    if (field->absence == ABSENT_DERIVED) {
        return reader_wrong(reader, path->start,
                            "%.*s is worked out, never written: give what it "
                            "comes from",
                            (int)(path->end - path->start), reader->text + path->start);
    }
    return reaches(reads, meaning->field) ||
           reader_wrong(reader, path->start,
                        "the rule does not read %.*s, so changing it clears "
                        "nothing",
                        (int)(path->end - path->start), reader->text + path->start);
}

static bool give_read(RuleSet *set, Rule *rule, const YamlNode *node, const Reads *reads,
                      Give *give)
{
    FormulaReader reader;
    NamePath path;
    Meaning meaning;
    if (node->kind != YAML_SCALAR) {
        message_error(set->messages, yaml_where(node), "gives is a list of names of values");
        return false;
    }
    start_outside(&reader, set, rule, node);
    if (!scan_path(&reader, &path) || !name_meaning(&reader, &path, &meaning)) {
        return false;
    }
    if (!scan_at_end(&reader)) {
        return reader_wrong(&reader, reader.at, "a name alone is expected, found %s",
                            scan_found(&reader));
    }
    name_as_field(&meaning);
    if (!give_fits(&reader, &path, &meaning, reads)) {
        return false;
    }
    *give = (Give){.text = node->text, .record = meaning.record, .field = meaning.field};
    return true;
}

bool gives_read(RuleSet *set, Rule *rule, const YamlNode *node)
{
    Reads reads = {0};
    if (node->kind != YAML_SEQUENCE) {
        message_error(set->messages, yaml_where(node), "gives is a list of names of values");
        return false;
    }
    formula_walk(rule->when, find_reads, &reads);
    formula_walk(rule->require, find_reads, &reads);
    rule->gives = ARENA_NEW(&set->arena, Give, node->count);
    bool right = true;
    for (size_t i = 0; i < node->count; i++) {
        Give *give = &rule->gives[rule->give_count];
        bool read = give_read(set, rule, node->items[i], &reads, give);
        rule->give_count += read;
        right = right && read;
    }
    return right;
}

/* The examples of rules: small worlds written in the rule files, judged as
 * styles are. For `cordwain rules` and the tests. */
#include <math.h>
#include <string.h>

#include "judge/inside.h"

/* --- a world: the records an example names ------------------------------------------- */

typedef struct Thing Thing;

typedef struct ThingValue {
    FieldId field;
    Value value;
} ThingValue;

typedef struct ThingOne {
    const Relation *relation;
    Thing *to; /* NULL: written as unknown */
} ThingOne;

typedef struct ThingMany {
    const Relation *relation;
    Thing **members;
    size_t count;
} ThingMany;

struct Thing {
    Subject subject;
    uint32_t index;
    const YamlNode *node;
    const char *name;
    ThingValue *values;
    size_t value_count, value_room;
    ThingOne *ones;
    size_t one_count, one_room;
    ThingMany *manys;
    size_t many_count, many_room;
};

typedef struct World {
    Arena arena;
    Messages *messages;
    ReadContext context;
    Thing **things;
    size_t count, room;
    uint32_t counts[SUBJECT_COUNT];
} World;

static Thing *thing_new(World *world, Subject subject, const YamlNode *node, const char *name)
{
    Thing *thing = ARENA_NEW(&world->arena, Thing, 1);
    *thing =
        (Thing){.subject = subject, .index = world->counts[subject]++, .node = node, .name = name};
    *ARENA_PUSH(&world->arena, world->things, world->count, world->room) = thing;
    return thing;
}

/* --- reading `given` ---------------------------------------------------------------------- */

static bool read_things(World *world, Thing *thing, const YamlNode *mapping, int depth);

static ThingOne *one_of(World *world, Thing *thing, const Relation *relation, const YamlNode *node)
{
    for (size_t i = 0; i < thing->one_count; i++)
        if (thing->ones[i].relation == relation)
            return &thing->ones[i];
    ThingOne *one = ARENA_PUSH(&world->arena, thing->ones, thing->one_count, thing->one_room);
    *one = (ThingOne){relation, thing_new(world, relation->to, node, "")};
    return one;
}

static bool read_members(World *world, Thing *thing, const Relation *relation, const YamlNode *node,
                         int depth)
{
    if (node->kind == YAML_SCALAR && yaml_is_word(node, "unknown"))
        return true;
    if (node->kind != YAML_SEQUENCE || depth > OVER_NESTING_MOST) {
        message_error(world->messages, yaml_where(node),
                      depth > OVER_NESTING_MOST
                          ? "%s: sets in an example nest at most 3 deep, as in formulas"
                          : "%s: write a list of mappings, [] or unknown",
                      relation->name);
        return false;
    }
    bool good = true;
    ThingMany many = {relation, ARENA_NEW(&world->arena, Thing *, node->count), node->count};
    for (size_t i = 0; i < node->count; i++) {
        const YamlNode *item = node->items[i];
        many.members[i] =
            thing_new(world, relation->to, item, arena_printf(&world->arena, "%zu", i + 1));
        good = read_things(world, many.members[i], item, depth) && good;
    }
    *ARENA_PUSH(&world->arena, thing->manys, thing->many_count, thing->many_room) = many;
    return good;
}

static bool read_value(World *world, Thing *thing, FieldId id, const YamlNode *node)
{
    const Field *field = field_at(id);
    if (field->type == FIELD_TEXT || field->type == FIELD_NAME) {
        message_error(world->messages, yaml_where(node), "%s is no value a formula can read",
                      field->name);
        return false;
    }
    ThingValue *value =
        ARENA_PUSH(&world->arena, thing->values, thing->value_count, thing->value_room);
    *value = (ThingValue){.field = id};
    return value_read(&world->context, field, node, &value->value);
}

static bool unknown_name(World *world, const YamlNode *key, const Thing *thing, const char *rest)
{
    size_t count, room = 0, known = 0;
    const char **names = NULL;
    const Relation *relations = relation_table(&count);
    for (FieldId id = field_first(thing->subject); id < field_end(thing->subject); id++)
        *ARENA_PUSH(&world->arena, names, known, room) = field_at(id)->name;
    for (size_t i = 0; i < count; i++)
        if (relations[i].from == thing->subject)
            *ARENA_PUSH(&world->arena, names, known, room) = relations[i].name;
    const char *nearest = nearest_word(rest, names, known);
    message_error(world->messages, yaml_where(key), "%s has no %s%s%s%s",
                  subject_name(thing->subject), rest, nearest ? "; did you mean " : "",
                  nearest ? nearest : "", nearest ? "?" : "");
    return false;
}

/* One pair of `given`: follows single relations to the field or set it names. */
static bool read_pair(World *world, Thing *thing, const YamlNode *key, const YamlNode *node,
                      int depth)
{
    const char *rest = key->text;
    for (int step = 0; step <= RECORD_PATH_MOST; step++) {
        FieldId field = field_find(thing->subject, rest, strlen(rest));
        size_t length = strcspn(rest, ".");
        const Relation *relation = relation_find(thing->subject, rest, length);
        bool last = rest[length] == '\0';
        /* part.material is both the id in a file and, here, the relation. */
        if (field < FIELD_ID_COUNT && !(relation && last))
            return read_value(world, thing, field, node);
        if (!relation)
            return unknown_name(world, key, thing, rest);
        if (relation->many && last)
            return read_members(world, thing, relation, node, depth + 1);
        if (relation->many) {
            message_error(world->messages, yaml_where(key),
                          "%s is a set: give it a list of mappings", relation->name);
            return false;
        }
        ThingOne *one = one_of(world, thing, relation, node);
        if (last && yaml_is_word(node, "unknown")) {
            one->to = NULL;
            return true;
        }
        if (last)
            return read_things(world, one->to, node, depth);
        if (!one->to)
            return true; /* of a record that is unknown all is */
        thing = one->to;
        rest += length + 1;
    }
    return unknown_name(world, key, thing, rest);
}

static bool read_things(World *world, Thing *thing, const YamlNode *mapping, int depth)
{
    if (mapping->kind != YAML_MAPPING) {
        message_error(world->messages, yaml_where(mapping), "write a mapping of values of the %s",
                      subject_name(thing->subject));
        return false;
    }
    bool good = true;
    for (size_t i = 0; i < mapping->count; i++)
        good = read_pair(world, thing, mapping->keys[i], mapping->items[i], depth) && good;
    return good;
}

/* --- columns -------------------------------------------------------------------------------- */

static void put_value(World *world, Columns *columns, const Thing *thing, const ThingValue *given)
{
    Column *column = &columns->fields[given->field];
    const Field *field = field_at(given->field);
    size_t cell = column_cell(column, thing->index, 0);
    bool known = given->value.presence == VALUE_KNOWN;
    const Quantity *quantity = &given->value.quantity;
    bool number = field->type == FIELD_NUMBER, range = field->type == FIELD_RANGE;
    column->nominal[cell] = !known || range ? NAN : number ? quantity->nominal : given->value.code;
    column->lo[cell] = !known ? NAN : number || range ? quantity->lo : given->value.code;
    column->hi[cell] = !known ? NAN : number || range ? quantity->hi : given->value.code;
    Origin *origin = ARENA_NEW(&world->arena, Origin, 1);
    *origin = (Origin){.kind = known ? ORIGIN_GIVEN : ORIGIN_UNKNOWN,
                       .at = yaml_where(given->value.node),
                       .source = given->value.node};
    column->origins[thing->index] = origin;
}

static void put_thing(World *world, Columns *columns, const Thing *thing)
{
    columns->names[thing->subject][thing->index] = thing->name;
    columns->places[thing->subject][thing->index] = yaml_where(thing->node);
    for (size_t i = 0; i < thing->value_count; i++)
        put_value(world, columns, thing, &thing->values[i]);
    for (size_t i = 0; i < thing->one_count; i++)
        if (thing->ones[i].to)
            columns->ones[relation_index(thing->ones[i].relation)].index[thing->index] =
                (int32_t)thing->ones[i].to->index;
}

static const ThingMany *many_of(const Thing *thing, const Relation *relation)
{
    for (size_t i = 0; i < thing->many_count; i++)
        if (thing->manys[i].relation == relation)
            return &thing->manys[i];
    return NULL;
}

/* Sets of one relation for all its records, in order of index; those not given
 * are unknown. */
static void put_sets(World *world, Columns *columns, const Relation *relation)
{
    ManyColumn *many = &columns->manys[relation_index(relation)];
    many->items = ARENA_NEW(&world->arena, int32_t, world->counts[relation->to]);
    uint32_t end = 0, record = 0;
    for (size_t i = 0; i < world->count; i++) {
        if (world->things[i]->subject != relation->from)
            continue;
        const ThingMany *set = many_of(world->things[i], relation);
        many->start[record] = end;
        many->unknown[record] = set == NULL;
        for (size_t k = 0; set && k < set->count; k++)
            many->items[end++] = (int32_t)set->members[k]->index;
        many->start[++record] = end;
    }
}

static Columns *world_columns(World *world)
{
    static const bool no_field[FIELD_ID_COUNT];
    size_t relation_count;
    const Relation *relations = relation_table(&relation_count);
    bool *no_relation = ARENA_NEW(&world->arena, bool, relation_count);
    Columns *columns = columns_new(1, world->counts, no_field, no_relation);
    columns->lanes[0] = (Lane){.size = "", .colourway = ""};
    for (size_t i = 0; i < world->count; i++)
        put_thing(world, columns, world->things[i]);
    for (size_t i = 0; i < relation_count; i++)
        if (relations[i].many)
            put_sets(world, columns, &relations[i]);
    return columns;
}

/* --- running -----------------------------------------------------------------------------------
 */

static bool example_check(World *world, Columns *columns, const RuleSet *rules, const Rule *rule,
                          const Code *code, const Example *example)
{
    const CodeResult *result = code_run(&world->arena, code, columns);
    const uint32_t only_lane = 0;
    Finding finding = {.rule = rule,
                       .place = subject_name(rule->about),
                       .at = yaml_where(example->node),
                       .alike = &only_lane};
    Judgement judgement = {
        .rules = rules, .columns = columns, .lane_count = 1, .findings = &finding, .count = 1};
    judge_place(&judgement, &(Answer){result, &only_lane, 1, NULL}, &finding);
    bool good = finding.verdict == (Verdict)example->expect;
    if (!good) {
        Text text = {0};
        judgement.later = later_new(&judgement);
        finding_sentence(&text, &judgement, &finding, 0);
        message_error(world->messages, finding.at,
                      "%s: this example expects %s, but the verdict is %s: %s", rule->id,
                      verdict_name((Verdict)example->expect), verdict_name(finding.verdict),
                      text_string(&text));
        text_free(&text);
        later_free(judgement.later);
    }
    arena_free(&judgement.arena);
    return good;
}

static bool example_run(const RuleSet *rules, const Rule *rule, const Code *code,
                        const Example *example, Messages *messages)
{
    World world = {.messages = messages};
    world.context = (ReadContext){.arena = &world.arena, .messages = messages};
    Thing *place = thing_new(&world, rule->about, example->given, "");
    bool good = read_things(&world, place, example->given, 0);
    if (good) {
        Columns *columns = world_columns(&world);
        good = example_check(&world, columns, rules, rule, code, example);
        columns_free(columns);
    }
    arena_free(&world.arena);
    return good;
}

/* Examples are written for the limits of their own file, so those that a factory
 * replaced stand aside while the examples run. */
typedef struct Aside {
    LimitValue *place, value;
} Aside;

typedef struct Asides {
    Aside *items;
    size_t count, room;
} Asides;

static bool same_file(Where a, Where b)
{
    return a.file && b.file && strcmp(a.file, b.file) == 0;
}

static void put_aside(Arena *arena, Asides *asides, const Rule *rule, const Limit *limit,
                      LimitValue *value)
{
    const LimitValue *own = value;
    while (own->beaten && !same_file(own->at, rule->at))
        own = own->beaten;
    bool added = value->given && !same_file(own->at, rule->at) && !same_file(own->at, limit->at);
    if (own == value && !added)
        return;
    *ARENA_PUSH(arena, asides->items, asides->count, asides->room) = (Aside){value, *value};
    *value = *own;
    value->given = value->given && !added;
}

static Asides limits_aside(Arena *arena, const RuleSet *rules, const Rule *rule)
{
    Asides asides = {0};
    for (size_t i = 0; i < rules->limit_count; i++) {
        Limit *limit = rules->limits[i];
        const WordList *words = limit->by < FIELD_ID_COUNT ? field_at(limit->by)->words : NULL;
        size_t count = limit->by == FIELD_ID_COUNT ? 0 : words ? words->count : 2;
        for (size_t w = 0; w < count; w++)
            put_aside(arena, &asides, rule, limit, &limit->values[w]);
        put_aside(arena, &asides, rule, limit, &limit->otherwise);
    }
    return asides;
}

static void limits_back(const Asides *asides)
{
    for (size_t i = 0; i < asides->count; i++)
        *asides->items[i].place = asides->items[i].value;
}

bool judge_examples(const RuleSet *rules, Messages *messages, size_t *run)
{
    bool good = true;
    *run = 0;
    for (size_t i = 0; i < rules->rule_count; i++) {
        Rule *rule = rules->rules[i];
        Arena arena = {0};
        Asides asides = limits_aside(&arena, rules, rule);
        const Code *code = code_compile(&arena, rule->about, &rule, 1);
        for (size_t k = 0; k < rule->example_count; k++, (*run)++)
            good = example_run(rules, rule, code, &rule->examples[k], messages) && good;
        limits_back(&asides);
        arena_free(&arena);
    }
    return good;
}

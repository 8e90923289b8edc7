/* Reads one rule of a rule file or a factory: its keys, formulas, sentence and
 * examples. For src/rule only. */
#include <string.h>

#include "rule/rule_inner.h"

static const char *const class_words[] = {"critical", "major", "minor"};

const char *class_name(RuleClass class)
{
    return class_words[class];
}

/* Letters, digits and "-", a letter first; what stands before the first "-" is
 * the family. */
static bool id_is_right(const YamlNode *key, Messages *messages)
{
    bool right = key->length > 0 && key->length < 64 && letter(key->text[0]) &&
                 key->text[key->length - 1] != '-' && memchr(key->text, '-', key->length);
    for (size_t i = 0; i < key->length; i++) {
        right = right && (letter(key->text[i]) || digit(key->text[i]) || key->text[i] == '-');
    }
    if (!right) {
        message_error(messages, yaml_where(key),
                      "the id of a rule is letters, digits and -, 63 at most, and begins with its "
                      "family: turn-clip-pitch");
    }
    return right;
}

static bool read_about(RuleSet *set, Rule *rule, const YamlNode *node)
{
    const char *text = key_text_due(node, "about", "a rule", set->messages);
    if (!text) {
        return false;
    }
    if (subject_find(text, strlen(text), &rule->about)) {
        return true;
    }
    const char *names[SUBJECT_COUNT];
    for (int i = 0; i < SUBJECT_COUNT; i++) {
        names[i] = subject_name((Subject)i);
    }
    return key_word(yaml_get(node, "about"), "subject", names, SUBJECT_COUNT, set->messages) >= 0;
}

static bool read_heading(RuleSet *set, Rule *rule, const YamlNode *node)
{
    Messages *messages = set->messages;
    const YamlNode *class = yaml_get(node, "class");
    rule->title = key_text_due(node, "title", "a rule", messages);
    rule->because = key_text_due(node, "because", "a rule", messages);
    rule->source = key_text_due(node, "source", "a rule", messages);
    rule->danger = key_truth(node, "danger", messages);
    int word = class ? key_word(class, "class", class_words, 3, messages) : -1;
    if (!class) {
        message_error(messages, yaml_where(node), "a rule needs `class`: critical, major or minor");
    }
    rule->class = word < 0 ? CLASS_MINOR : (RuleClass)word;
    return rule->title && rule->because && rule->source && word >= 0;
}

static bool read_let(RuleSet *set, Rule *rule, const YamlNode *key, const YamlNode *node)
{
    if (!name_check(key, "let", set->messages)) {
        return false;
    }
    Formula *body = formula_read_part(set, rule, node, set->messages);
    if (!body) {
        return false;
    }
    Formula *formula = ARENA_NEW(&set->arena, Formula, 1);
    *formula = (Formula){.kind = FORMULA_LET,
                         .type = body->type,
                         .end = node->length,
                         .operand = {body},
                         .name = key->text,
                         .field = FIELD_ID_COUNT,
                         .record = {.subject = SUBJECT_COUNT},
                         .own_record = {.subject = SUBJECT_COUNT}};
    rule->lets[rule->let_count++] =
        (Let){.name = key->text, .formula = formula, .text = node->text};
    return true;
}

/* In written order: a let may use those above it. */
static bool read_lets(RuleSet *set, Rule *rule, const YamlNode *lets)
{
    ReadContext context = {.messages = set->messages};
    if (lets && !mapping_check(&context, lets, "let")) {
        return false;
    }
    size_t count = lets ? lets->count : 0;
    rule->lets = ARENA_NEW(&set->arena, Let, count);
    for (size_t i = 0; i < count; i++) {
        if (!read_let(set, rule, lets->keys[i], lets->items[i])) {
            return false;
        }
    }
    return true;
}

static Formula *read_truth(RuleSet *set, Rule *rule, const YamlNode *node, const char *what)
{
    Formula *formula = formula_read(set, rule, node, set->messages);
    if (formula && formula->type.kind != TYPE_TRUTH) {
        message_error(set->messages, yaml_where(node), "`%s` must be a truth; this is %s", what,
                      type_text(&set->arena, formula->type));
        return NULL;
    }
    return formula;
}

static bool read_formulas(RuleSet *set, Rule *rule, const YamlNode *node)
{
    const YamlNode *when = yaml_get(node, "when"), *require = yaml_get(node, "require");
    if (!read_lets(set, rule, yaml_get(node, "let"))) {
        return false;
    }
    if (when) {
        rule->when = read_truth(set, rule, when, "when");
        rule->when_text = when->text;
    }
    if (!require) {
        message_error(set->messages, yaml_where(node), "a rule needs `require`");
        return false;
    }
    rule->require = read_truth(set, rule, require, "require");
    rule->require_text = require->text;
    return rule->require && (rule->when || !when);
}

/* In the order of Verdict. */
static const char *const verdicts[] = {"out", "pass", "tight", "unknown", "flag"};
enum { EXPECT_PASS = 1, EXPECT_FLAG = 4, EXPECT_COUNT = 5 };

static bool read_example(RuleSet *set, const YamlNode *node, Example *example)
{
    static const char *const keys[] = {"given", "expect"};
    if (!keys_check(node, "an example", keys, 2, set->messages)) {
        return false;
    }
    const YamlNode *given = yaml_get(node, "given"), *expect = yaml_get(node, "expect");
    if (!given || given->kind != YAML_MAPPING || !expect) {
        message_error(set->messages, yaml_where(node), "an example is {given: {…}, expect: flag}");
        return false;
    }
    int word = key_word(expect, "verdict", verdicts, EXPECT_COUNT, set->messages);
    *example = (Example){.node = node, .given = given, .expect = word};
    return word >= 0;
}

static void read_examples(RuleSet *set, Rule *rule, const YamlNode *node)
{
    const YamlNode *examples = yaml_get(node, "examples");
    bool met[EXPECT_COUNT] = {false}, right = true;
    if (!examples || examples->kind != YAML_SEQUENCE) {
        message_error(set->messages, yaml_where(examples ? examples : node),
                      "a rule needs a list of `examples`");
        return;
    }
    rule->examples = ARENA_NEW(&set->arena, Example, examples->count);
    for (size_t i = 0; i < examples->count; i++) {
        Example *example = &rule->examples[rule->example_count];
        bool read = read_example(set, examples->items[i], example);
        right = right && read;
        if (read) {
            met[example->expect] = true;
            rule->example_count++;
        }
    }
    if (right && !(met[EXPECT_FLAG] && met[EXPECT_PASS])) {
        message_error(set->messages, yaml_where(examples),
                      "a rule needs an example that flags and one that passes");
    }
}

static void read_say(RuleSet *set, Rule *rule, const YamlNode *node)
{
    if (key_text_due(node, "say", "a rule", set->messages)) {
        say_read(set, rule, yaml_get(node, "say"));
    }
}

static void rule_of(RuleSet *set, Rule *rule, const YamlNode *node)
{
    static const char *const keys[] = {"title",   "about",  "when",   "let",
                                       "require", "class",  "say",    "because",
                                       "gives",   "source", "danger", "examples"};
    if (!keys_check(node, "a rule", keys, sizeof keys / sizeof *keys, set->messages)) {
        return;
    }
    read_heading(set, rule, node);
    read_examples(set, rule, node);
    if (read_about(set, rule, node) && read_formulas(set, rule, node)) {
        read_say(set, rule, node);
        if (yaml_get(node, "gives")) {
            gives_read(set, rule, yaml_get(node, "gives"));
        }
    }
}

/* While reading, rules are not yet sorted. */
static const Rule *rule_called(const RuleSet *set, const char *id)
{
    for (size_t i = 0; i < set->rule_count; i++) {
        if (strcmp(set->rules[i]->id, id) == 0) {
            return set->rules[i];
        }
    }
    return NULL;
}

void rules_of_mapping(RuleSet *set, const YamlNode *mapping)
{
    ReadContext context = {.messages = set->messages};
    bool right = mapping && mapping_check(&context, mapping, "rules");
    for (size_t i = 0; right && i < mapping->count; i++) {
        const YamlNode *key = mapping->keys[i];
        if (!reading_goes_on(set->messages, key)) {
            return;
        }
        const Rule *twin = rule_called(set, key->text);
        if (twin) {
            message_error_two(set->messages, yaml_where(key), twin->at,
                              "rule %s is there already and is never redefined", key->text);
        } else if (id_is_right(key, set->messages)) {
            Rule *rule = ARENA_NEW(&set->arena, Rule, 1);
            rule->id = key->text;
            rule->at = yaml_where(key);
            rule->node = mapping->items[i];
            rule_of(set, rule, rule->node);
            *ARENA_PUSH(&set->arena, set->rules, set->rule_count, set->rule_capacity) = rule;
        }
    }
}

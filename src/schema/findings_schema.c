/* The schemas of our own output: findings as JSON and as JSON Lines. Whether the output
 * is so, the tests ask an independent validator. For src/schema alone. */
#include <string.h>

#include "log/record.h"
#include "schema/schema_inside.h"

/* ---- Pieces ---- */

static json_t *string(void)
{
    return schema_of_type("string");
}

static json_t *or_null(json_t *schema)
{
    return schema_any(schema, schema_of_type("null"), NULL);
}

static json_t *number(void)
{
    return schema_of_type("number");
}

static json_t *number_or_null(void)
{
    return or_null(number());
}

static json_t *count(void)
{
    json_t *whole = schema_of_type("integer");
    schema_put(whole, "minimum", json_integer(0));
    return whole;
}

static json_t *share(void)
{
    json_t *part = number();
    schema_put(part, "minimum", json_integer(0));
    schema_put(part, "maximum", json_integer(1));
    return or_null(part);
}

/* A mapping in which all of these keys stand, always. */
static json_t *all_of(json_t *properties)
{
    json_t *object = schema_closed(properties);
    const char *key;
    json_t *ignored;
    json_object_foreach(properties, key, ignored) schema_require(object, key, NULL);
    return object;
}

static json_t *verdict(void)
{
    json_t *words = schema_words(NULL, 0);
    for (int i = 0; i < VERDICT_COUNT; i++)
        schema_add_word(words, verdict_name((Verdict)i));
    return words;
}

static json_t *class(void)
{
    json_t *words = schema_words(NULL, 0);
    for (int i = 0; i <= CLASS_MINOR; i++)
        schema_add_word(words, class_name((RuleClass)i));
    return words;
}

static json_t *giver(void)
{
    json_t *words = schema_words(NULL, 0);
    for (int i = 0; i < GIVER_COUNT; i++)
        schema_add_word(words, giver_name((Giver)i));
    return words;
}

static json_t *subject(void)
{
    json_t *words = schema_words(NULL, 0);
    for (int i = 0; i < SUBJECT_COUNT; i++)
        schema_add_word(words, subject_name((Subject)i));
    return words;
}

static json_t *spare(void)
{
    json_t *properties = schema_object();
    schema_put(properties, "value", number());
    schema_put(properties, "unit", string());
    return or_null(all_of(properties));
}

/* ---- A finding ---- */

static json_t *lane(void)
{
    json_t *properties = schema_object();
    schema_put(properties, "size", string());
    schema_put(properties, "colourway", string());
    schema_put(properties, "verdict", verdict());
    schema_put(properties, "spare", spare());
    return all_of(properties);
}

static json_t *where(void)
{
    json_t *properties = schema_object();
    schema_put(properties, "file", string());
    schema_put(properties, "line", or_null(count()));
    schema_put(properties, "column", or_null(count()));
    return or_null(all_of(properties));
}

/* By name: a number in its unit, or a word. */
static json_t *values(void)
{
    json_t *figure = schema_object(), *word = schema_object(), *all = schema_of_type("object");
    schema_put(figure, "nominal", number_or_null());
    schema_put(figure, "lo", number_or_null());
    schema_put(figure, "hi", number_or_null());
    schema_put(figure, "unit", string());
    schema_put(figure, "from", string());
    schema_put(word, "nominal", string());
    schema_put(word, "from", string());
    schema_put(all, "additionalProperties", schema_any(all_of(figure), all_of(word), NULL));
    return all;
}

static json_t *effects(void)
{
    json_t *properties = schema_object();
    schema_put(properties, "rule", string());
    schema_put(properties, "place", string());
    schema_put(properties, "before", verdict());
    schema_put(properties, "after", verdict());
    return schema_list(all_of(properties));
}

static void put_change(json_t *properties)
{
    schema_put(properties, "change", string());
    schema_put(properties, "path", or_null(string()));
    schema_put(properties, "from", string());
    schema_put(properties, "to", string());
    schema_put(properties, "from_value", number_or_null());
    schema_put(properties, "to_value", number_or_null());
    schema_put(properties, "unit", or_null(string()));
    schema_put(properties, "giver", giver());
    schema_put(properties, "asks_line", schema_of_type("boolean"));
    schema_put(properties, "redraw", schema_of_type("boolean"));
}

static json_t *remedies(void)
{
    static const char *const aims[] = {"tight", "pass"};
    json_t *properties = schema_object(), *second = schema_object();
    put_change(second);
    schema_put(properties, "aim", schema_words(aims, 2));
    schema_put(properties, "risk", share());
    put_change(properties);
    schema_put(properties, "and", or_null(all_of(second)));
    schema_put(properties, "clears", effects());
    schema_put(properties, "raises", effects());
    return schema_list(all_of(properties));
}

static json_t *no_remedies(void)
{
    json_t *properties = schema_object();
    schema_put(properties, "name", string());
    schema_put(properties, "giver", giver());
    schema_put(properties, "reason", string());
    return schema_list(all_of(properties));
}

static void define_decision(const Schema *schema)
{
    static const char *const states[] = {"holds", "lapsed", "not needed"};
    json_t *properties = schema_object(), *words = schema_words(NULL, 0);
    for (int i = 0; i < DECISION_COUNT; i++)
        schema_add_word(words, decision_name((Decision)i));
    schema_put(properties, "decision", words);
    schema_put(properties, "state", schema_words(states, 3));
    schema_put(properties, "lapsed", or_null(string()));
    schema_put(properties, "who", schema_list(string()));
    schema_put(properties, "when", string());
    schema_put(properties, "why", string());
    schema_put(properties, "until", or_null(string()));
    schema_put(properties, "ask", or_null(string()));
    schema_define(schema, "decision", all_of(properties));
}

static void put_place(json_t *finding)
{
    schema_put(finding, "rule", string());
    schema_put(finding, "title", string());
    schema_put(finding, "about", subject());
    schema_put(finding, "place", string());
    schema_put(finding, "part", string());
    schema_put(finding, "at", where());
    schema_put(finding, "verdict", verdict());
    schema_put(finding, "class", class());
}

static void put_measure(json_t *finding)
{
    json_t *basis = schema_words(NULL, 0);
    for (int i = 0; i <= BASIS_MEMORY; i++)
        schema_add_word(basis, basis_name((Basis)i));
    schema_put(finding, "spare", spare());
    schema_put(finding, "relative_spare", number_or_null());
    schema_put(finding, "basis", or_null(basis));
    schema_put(finding, "risk", share());
    schema_put(finding, "risk_samples", or_null(count()));
    schema_put(finding, "risk_error", share());
    schema_put(finding, "assumed", schema_of_type("boolean"));
    schema_put(finding, "lanes", schema_list(lane()));
}

static json_t *finding_properties(const Schema *schema)
{
    json_t *finding = schema_object();
    put_place(finding);
    put_measure(finding);
    schema_put(finding, "sentence", string());
    schema_put(finding, "because", string());
    schema_put(finding, "source", string());
    schema_put(finding, "cause", string());
    schema_put(finding, "cause_giver", giver());
    schema_put(finding, "values", values());
    schema_put(finding, "remedies", remedies());
    schema_put(finding, "no_remedies", no_remedies());
    schema_put(finding, "decision", or_null(schema_ref(schema, "decision")));
    return finding;
}

/* ---- A style at a factory ---- */

static json_t *release(void)
{
    static const char *const words[] = {"released", "released with deviation permits", "held",
                                        "no place judged"};
    return schema_words(words, sizeof words / sizeof *words);
}

static json_t *tally(void)
{
    json_t *properties = schema_object();
    for (int i = 0; i < VERDICT_COUNT; i++)
        schema_put(properties, verdict_name((Verdict)i), count());
    schema_put(properties, "total", count());
    return all_of(properties);
}

static json_t *head_properties(const char *form)
{
    const WordList *stages = field_at(STYLE_STAGE)->words;
    json_t *head = schema_object();
    schema_put(head, "cordwain", schema_const(form));
    schema_put(head, "style", string());
    schema_put(head, "code", string());
    schema_put(head, "stage", or_null(schema_words(stages->words, stages->count)));
    schema_put(head, "factory", or_null(string()));
    schema_put(head, "alternative", or_null(string()));
    schema_put(head, "date", or_null(string()));
    schema_put(head, "release", release());
    schema_put(head, "sizes", schema_list(string()));
    schema_put(head, "colourways", schema_list(string()));
    schema_put(head, "open", count());
    schema_put(head, "permitted", count());
    schema_put(head, "lapsed", count());
    schema_put(head, "giver", or_null(giver()));
    schema_put(head, "hidden", count());
    return head;
}

static json_t *unneeded(const Schema *schema)
{
    json_t *properties = schema_object();
    schema_put(properties, "rule", string());
    schema_put(properties, "place", string());
    schema_put(properties, "decision", schema_ref(schema, "decision"));
    return schema_list(all_of(properties));
}

/* One style at one factory, or a list of such. */
json_t *schema_of_findings(Schema *schema)
{
    json_t *properties = head_properties("findings/1");
    define_decision(schema);
    schema_put(properties, "tally", tally());
    schema_put(properties, "findings", schema_list(all_of(finding_properties(schema))));
    json_t *whole = all_of(properties);
    schema_put(properties, "permits_not_needed", unneeded(schema));
    schema_define(schema, "judged", whole);
    return schema_any(schema_ref(schema, "judged"), schema_list(schema_ref(schema, "judged")),
                      NULL);
}

static json_t *line(const char *word, json_t *properties)
{
    schema_put(properties, "line", schema_const(word));
    return all_of(properties);
}

/* Any one line. */
json_t *schema_of_lines(Schema *schema)
{
    json_t *last = schema_object();
    define_decision(schema);
    schema_put(last, "tally", tally());
    schema_put(last, "told", count());
    schema_put(last, "hidden", count());
    return schema_any(line("head", head_properties("lines/1")),
                      line("finding", finding_properties(schema)), line("tally", last), NULL);
}

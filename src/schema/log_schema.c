/* The schema of decision logs. For src/schema alone. */
#include "log/record.h"
#include "schema/schema_inside.h"

#define MOMENT                                                                                     \
    "[0-9]{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12][0-9]|3[01])"                                        \
    "T(?:[01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9]Z"

/* Always between double quotes, so that it is a string to everybody. */
static json_t *string(const char *means)
{
    return schema_means(schema_of_type("string"), means);
}

static json_t *string_like(const char *pattern, const char *means)
{
    json_t *text = string(means);
    schema_put(text, "pattern", json_string(pattern));
    return text;
}

static json_t *strings(const char *means)
{
    return schema_means(schema_list(schema_of_type("string")), means);
}

static json_t *verdicts(void)
{
    json_t *words = schema_words(NULL, 0);
    for (int i = 0; i < VERDICT_COUNT; i++)
        schema_add_word(words, verdict_name((Verdict)i));
    return words;
}

static json_t *classes(void)
{
    json_t *words = schema_words(NULL, 0);
    for (int i = 0; i <= CLASS_MINOR; i++)
        schema_add_word(words, class_name((RuleClass)i));
    return words;
}

static json_t *decisions(void)
{
    json_t *words = schema_words(NULL, 0);
    for (int i = 0; i < DECISION_COUNT; i++)
        schema_add_word(words, decision_name((Decision)i));
    return words;
}

static json_t *relative(void)
{
    static const char *const words[] = {"unknown", "infinite", "-infinite"};
    return schema_any(schema_of_type("number"), schema_words(words, 3), NULL);
}

/* 64 hexadecimal digits, of which an editor may make a number. */
static json_t *sum(void)
{
    return schema_means(schema_text_like("^[0-9a-f]{64}$"), "over this line and all before it");
}

static void put_finding(json_t *properties)
{
    schema_put(properties, "style", string("the style's code"));
    schema_put(properties, "alternative", string("\"\": as written"));
    schema_put(properties, "factory", string("its name"));
    schema_put(properties, "rule", string("the rule's id"));
    schema_put(properties, "place", string("such as bend vamp.throat.1"));
    schema_put(properties, "verdict", verdicts());
    schema_put(properties, "class", classes());
    schema_put(properties, "spare", string("with its unit"));
    schema_put(properties, "relative", relative());
    schema_put(properties, "lanes", strings("sizes and colourways that are open"));
    schema_put(properties, "formula", string("sum over the rule's class and formulas"));
    schema_put(properties, "values", strings("what the verdict rests on"));
    schema_put(properties, "bends", strings("of a bend: the curves of its edge's bends"));
}

static void put_decision(json_t *properties)
{
    schema_put(properties, "decision", decisions());
    schema_put(properties, "who", strings("one or two who decided"));
    schema_put(properties, "when",
               string_like("^" MOMENT "$", "moment, such as "
                                           "2026-02-28T17:05:00Z"));
    schema_put(properties, "why", string("the reason"));
    schema_put(properties, "until",
               string("last day, such as 2026-03-31, or the stage at which it ends; \"\": no end"));
    schema_put(properties, "ask", string("whom the question goes to"));
    schema_put(properties, "sum", sum());
}

json_t *schema_of_log(Schema *schema)
{
    json_t *root = schema_object(), *properties = schema_object();
    put_finding(properties);
    put_decision(properties);
    json_t *record = schema_closed(properties);
    const char *key;
    json_t *ignored;
    json_object_foreach(properties, key, ignored) schema_require(record, key, NULL);
    schema_define(schema, "decision", record);
    json_t *list = schema_list(schema_ref(schema, "decision"));
    schema_put(root, "cordwain", schema_head("log"));
    schema_put(root, "code", schema_means(schema_text(), "the style's code"));
    schema_put(root, "decisions", schema_any(list, schema_of_type("null"), NULL));
    json_t *whole = schema_closed(root);
    schema_require(whole, "cordwain", "code", "decisions", NULL);
    return whole;
}

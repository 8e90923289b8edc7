/* One record as a line of YAML, written and read. For src/log and whoever shows or makes
 * decisions. */
#define _GNU_SOURCE /* strtod_l */
#include "log/record.h"

#include <locale.h>
#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"

static const char *const decision_names[DECISION_COUNT] = {"change", "ask", "attempt", "permit",
                                                           "hold"};

const char *decision_name(Decision decision)
{
    return decision_names[decision];
}

/* --- the keys, in the order of the line --------------------------------------------- */

typedef enum KeyType {
    KEY_TEXT,
    KEY_LIST,
    KEY_VERDICT,
    KEY_CLASS,
    KEY_DECISION,
    KEY_NUMBER
} KeyType;

static const struct {
    const char *name;
    KeyType type;
    size_t offset;
} keys[] = {
    {"style", KEY_TEXT, offsetof(LogRecord, style)},
    {"alternative", KEY_TEXT, offsetof(LogRecord, alternative)},
    {"factory", KEY_TEXT, offsetof(LogRecord, factory)},
    {"rule", KEY_TEXT, offsetof(LogRecord, rule)},
    {"place", KEY_TEXT, offsetof(LogRecord, place)},
    {"verdict", KEY_VERDICT, offsetof(LogRecord, verdict)},
    {"class", KEY_CLASS, offsetof(LogRecord, class)},
    {"spare", KEY_TEXT, offsetof(LogRecord, spare)},
    {"relative", KEY_NUMBER, offsetof(LogRecord, relative)},
    {"lanes", KEY_LIST, offsetof(LogRecord, lanes)},
    {"formula", KEY_TEXT, offsetof(LogRecord, formula)},
    {"values", KEY_LIST, offsetof(LogRecord, values)},
    {"bends", KEY_LIST, offsetof(LogRecord, bends)},
    {"decision", KEY_DECISION, offsetof(LogRecord, decision)},
    {"who", KEY_LIST, offsetof(LogRecord, who)},
    {"when", KEY_TEXT, offsetof(LogRecord, when)},
    {"why", KEY_TEXT, offsetof(LogRecord, why)},
    {"until", KEY_TEXT, offsetof(LogRecord, until)},
    {"ask", KEY_TEXT, offsetof(LogRecord, ask)},
};
enum { KEY_COUNT = sizeof keys / sizeof *keys, WORDS_MOST = 8 };

/* The words that may stand under such a key; how many. */
static size_t words_of(KeyType type, const char *words[WORDS_MOST])
{
    static const size_t counts[] = {[KEY_VERDICT] = VERDICT_COUNT,
                                    [KEY_CLASS] = CLASS_MINOR + 1,
                                    [KEY_DECISION] = DECISION_COUNT};
    for (size_t i = 0; i < counts[type]; i++)
        words[i] = type == KEY_VERDICT ? verdict_name((Verdict)i)
                   : type == KEY_CLASS ? class_name((RuleClass)i)
                                       : decision_names[i];
    return counts[type];
}

/* --- writing ---------------------------------------------------------------------------- */

void logged_write_text(Text *text, const char *string)
{
    size_t length = strlen(string);
    text_add(text, "\"");
    for (size_t at = 0; at < length;) {
        uint32_t codepoint = 0;
        size_t step = utf8_decode(string + at, length - at, &codepoint);
        if (codepoint == '"' || codepoint == '\\')
            text_addf(text, "\\%c", (int)codepoint);
        else if (codepoint_is_hidden(codepoint))
            text_addf(text,
                      codepoint < 0x100     ? "\\x%02X"
                      : codepoint < 0x10000 ? "\\u%04X"
                                            : "\\U%08X",
                      (unsigned)codepoint);
        else
            text_add_bytes(text, string + at, step);
        at += step > 0 ? step : 1; /* no UTF-8: logged_complete() refuses it before */
    }
    text_add(text, "\"");
}

static void write_list(Text *text, const TextList *list)
{
    text_add(text, "[");
    for (size_t i = 0; i < list->count; i++) {
        text_add(text, i > 0 ? ", " : "");
        logged_write_text(text, list->items[i]);
    }
    text_add(text, "]");
}

static void write_value(Text *text, KeyType type, const void *value)
{
    enum { DIGITS_ALL = 17 };
    if (type == KEY_TEXT)
        logged_write_text(text, *(const char *const *)value);
    else if (type == KEY_LIST)
        write_list(text, value);
    else if (type == KEY_NUMBER)
        text_add_number(text, *(const double *)value, DIGITS_ALL);
    else if (type == KEY_VERDICT)
        logged_write_text(text, verdict_name(*(const Verdict *)value));
    else if (type == KEY_CLASS)
        logged_write_text(text, class_name(*(const RuleClass *)value));
    else
        logged_write_text(text, decision_name(*(const Decision *)value));
}

void logged_write(Text *text, const LogRecord *record)
{
    text_add(text, "- {");
    for (size_t i = 0; i < KEY_COUNT; i++) {
        text_addf(text, "%s%s: ", i > 0 ? ", " : "", keys[i].name);
        write_value(text, keys[i].type, (const char *)record + keys[i].offset);
    }
}

/* --- reading ---------------------------------------------------------------------------- */

static bool read_text(const YamlNode *node, const char *key, const char **value, Messages *messages)
{
    if (node->kind != YAML_SCALAR) {
        message_error(messages, yaml_where(node), "%s must be a text in double quotes", key);
        return false;
    }
    *value = node->text;
    return true;
}

static bool read_list(Arena *arena, const YamlNode *node, const char *key, TextList *list,
                      Messages *messages)
{
    if (node->kind != YAML_SEQUENCE) {
        message_error(messages, yaml_where(node), "%s must be a list of texts in []", key);
        return false;
    }
    *list = (TextList){.items = ARENA_NEW(arena, const char *, node->count)};
    for (size_t i = 0; i < node->count; i++)
        if (!read_text(node->items[i], key, &list->items[list->count++], messages))
            return false;
    return true;
}

static bool read_number(const YamlNode *node, const char *key, double *value, Messages *messages)
{
    const char *text = node->kind == YAML_SCALAR && node->plain ? node->text : "";
    if (strcmp(text, "unknown") == 0 || strcmp(text, "infinite") == 0 ||
        strcmp(text, "-infinite") == 0) {
        *value = *text == 'u' ? NAN : *text == 'i' ? INFINITY : -INFINITY;
        return true;
    }
    locale_t plain = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    if (plain == (locale_t)0)
        out_of_memory();
    char *end = NULL;
    *value = strtod_l(text, &end, plain);
    freelocale(plain);
    bool right = *text != '\0' && text[strspn(text, "0123456789+-.e")] == '\0' && *end == '\0' &&
                 isfinite(*value);
    if (!right)
        message_error(messages, yaml_where(node), "%s must be a number, infinite or unknown", key);
    return right;
}

static bool read_word(const YamlNode *node, KeyType type, const char *key, void *value,
                      Messages *messages)
{
    const char *words[WORDS_MOST], *word;
    size_t count = words_of(type, words), found = 0;
    if (!read_text(node, key, &word, messages))
        return false;
    while (found < count && strcmp(words[found], word) != 0)
        found++;
    if (found == count) {
        Text known = {0};
        add_known_names(&known, word, words, count);
        message_error(messages, yaml_where(node), "%s is no %s%s", quoted(word).text, key,
                      text_string(&known));
        text_free(&known);
        return false;
    }
    if (type == KEY_VERDICT)
        *(Verdict *)value = (Verdict)found;
    else if (type == KEY_CLASS)
        *(RuleClass *)value = (RuleClass)found;
    else
        *(Decision *)value = (Decision)found;
    return true;
}

static bool read_value(Arena *arena, const YamlNode *node, size_t key, LogRecord *record,
                       Messages *messages)
{
    void *value = (char *)record + keys[key].offset;
    const char *name = keys[key].name;
    if (keys[key].type == KEY_TEXT)
        return read_text(node, name, value, messages);
    if (keys[key].type == KEY_LIST)
        return read_list(arena, node, name, value, messages);
    if (keys[key].type == KEY_NUMBER)
        return read_number(node, name, value, messages);
    return read_word(node, keys[key].type, name, value, messages);
}

/* Says which keys nobody knows. */
static bool keys_known(Arena *arena, const YamlNode *node, Messages *messages)
{
    const char *known[KEY_COUNT + 1];
    ReadContext context = {.arena = arena, .messages = messages};
    bool right = true;
    for (size_t i = 0; i < KEY_COUNT; i++)
        known[i] = keys[i].name;
    known[KEY_COUNT] = "sum";
    for (size_t i = 0; i < node->count; i++) {
        size_t k = 0;
        while (k <= KEY_COUNT && strcmp(known[k], node->keys[i]->text) != 0)
            k++;
        if (k > KEY_COUNT) {
            key_unknown(&context, node->keys[i], known, KEY_COUNT + 1);
            right = false;
        }
    }
    return right;
}

bool logged_read(Arena *arena, const YamlNode *node, LogRecord *record, const YamlNode **sum,
                 Messages *messages)
{
    ReadContext context = {.arena = arena, .messages = messages};
    if (!mapping_check(&context, node, "a decision") || !keys_known(arena, node, messages))
        return false;
    *record = (LogRecord){.at = yaml_where(node)};
    for (size_t i = 0; i < KEY_COUNT; i++) {
        const YamlNode *value = yaml_get(node, keys[i].name);
        if (value == NULL)
            message_error(messages, yaml_where(node), "a decision needs `%s`", keys[i].name);
        if (value == NULL || !read_value(arena, value, i, record, messages))
            return false;
    }
    if (!moment_read(record->when)) {
        message_error(messages, yaml_where(yaml_get(node, "when")),
                      "%s is no moment; it is written as 2026-02-28T17:05:00Z",
                      quoted(record->when).text);
        return false;
    }
    *sum = yaml_get(node, "sum");
    return true;
}

/* --- what a decision needs --------------------------------------------------------------- */

int logged_stage(const char *word)
{
    return word_index(field_at(STYLE_STAGE)->words, word, strlen(word));
}

/* The next character that tells names apart, a capital as its small letter; 0 at the end. */
static uint32_t name_step(const char **at)
{
    while (**at != '\0') {
        uint32_t codepoint = (unsigned char)**at;
        size_t step = utf8_decode(*at, strlen(*at), &codepoint);
        *at += step > 0 ? step : 1;
        bool capital = codepoint >= 'A' && codepoint <= 'Z';
        if (codepoint != ' ' && !codepoint_is_hidden(codepoint) &&
            !codepoint_is_lookalike(codepoint))
            return capital ? codepoint - 'A' + 'a' : codepoint;
    }
    return 0;
}

static bool says_something(const char *text)
{
    return name_step(&text) != 0;
}

bool logged_two_names(const TextList *who)
{
    if (who->count < 2)
        return false;
    const char *one = who->items[0], *other = who->items[1];
    uint32_t a = name_step(&one), b = name_step(&other);
    if (a == 0 || b == 0)
        return false;
    while (a == b && a != 0) {
        a = name_step(&one);
        b = name_step(&other);
    }
    return a != b;
}

static bool all_utf8(const LogRecord *record)
{
    for (size_t i = 0; i < KEY_COUNT; i++) {
        const void *value = (const char *)record + keys[i].offset;
        const TextList *list = keys[i].type == KEY_LIST ? value : NULL;
        const char *const *texts = list ? list->items : value;
        size_t count = list ? list->count : keys[i].type == KEY_TEXT;
        for (size_t k = 0; k < count; k++)
            if (utf8_valid_prefix(texts[k], strlen(texts[k])) != strlen(texts[k]))
                return false;
    }
    return true;
}

static const char *what_is_missing(const LogRecord *record)
{
    const TextList *who = &record->who;
    Date day;
    bool end = date_read(record->until, &day) || logged_stage(record->until) >= 0;
    if (who->count < 1 || who->count > 2 || !says_something(who->items[0]))
        return "one or two names are needed";
    if (who->count == 2 && !logged_two_names(who))
        return "the second name is missing, or is the first once more";
    if (!moment_read(record->when))
        return "when it was decided is written as 2026-02-28T17:05:00Z";
    if (!says_something(record->why))
        return "a reason is needed";
    if (record->until[0] != '\0' && !end)
        return "the end is a day such as 2026-03-31 or a stage: pull-over, fit-sample, "
               "confirmation-sample, production";
    if (record->decision == DECISION_ASK && !says_something(record->ask))
        return "whom to ask is needed";
    if (record->decision == DECISION_PERMIT && !end)
        return "a deviation permit needs an end: a day or a stage";
    if (record->decision == DECISION_PERMIT && record->class == CLASS_CRITICAL && who->count < 2)
        return "a deviation permit on a critical finding needs two names";
    return all_utf8(record) ? NULL : "a text is no valid UTF-8";
}

bool logged_complete(const LogRecord *record, Text *problem)
{
    const char *missing = what_is_missing(record);
    if (missing != NULL)
        text_add(problem, missing);
    return missing == NULL;
}

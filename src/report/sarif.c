/* Findings as SARIF 2.1.0. The sections named are those of the OASIS standard, "Static Analysis
 * Results Interchange Format (SARIF) Version 2.1.0", of 27 March 2020. For src/cli. */
#include "report/sarif.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "log/sum.h"
#include "report/inputs.h"
#include "report/json_parts.h"

#define SCHEMA "https://docs.oasis-open.org/sarif/sarif/v2.1.0/os/schemas/sarif-schema-2.1.0.json"

/* One run, and its files in the order of `artifacts`. */
typedef struct Sarif {
    Arena arena;
    const Told *told;
    const Judgement *judgement;
    const Telling *telling;
    json_t *artifacts;
    const char **files; /* their paths */
    size_t file_count, file_capacity;
} Sarif;

/* --- messages --------------------------------------------------------------------- */

/* Braces are doubled (3.11.5), and no text from a file makes a link (3.11.6). */
static void add_escaped(Text *text, const char *string)
{
    Text visible = {0};
    text_add_visible(&visible, string, strlen(string));
    for (const char *at = text_string(&visible); *at != '\0'; at++) {
        text_add_bytes(text, at, 1);
        if (*at == '{' || *at == '}')
            text_add_bytes(text, at, 1);
        else if (*at == ']' && at[1] == '(')
            text_add(text, " ");
    }
    text_free(&visible);
}

/* A multiformatMessageString or a message: both have `text` (3.11, 3.12). */
static json_t *message(const char *string)
{
    json_t *object = json_object();
    Text text = {0};
    add_escaped(&text, string);
    json_put(object, "text", json_string(text_string(&text)));
    text_free(&text);
    return object;
}

/* --- files ------------------------------------------------------------------------ */

/* A reference as RFC 3986 has it: what is not unreserved there (2.3) is percent-encoded, so that
 * the first segment holds no colon (4.2). */
static json_t *uri(const char *path)
{
    static const char digits[] = "0123456789ABCDEF";
    Text text = {0};
    while (strncmp(path, "./", 2) == 0)
        path += 2 + strspn(path + 2, "/");
    if (path[0] == '/')
        text_add(&text, "file://");
    for (; *path != '\0'; path++) {
        unsigned char byte = (unsigned char)*path;
        bool plain = byte < 0x80 && (isalnum(byte) || strchr("/-._~", byte) != NULL);
        char encoded[] = {'%', digits[byte >> 4], digits[byte & 15]};
        text_add_bytes(&text, plain ? path : encoded, plain ? 1 : sizeof encoded);
    }
    json_t *string = json_string(text_string(&text));
    text_free(&text);
    return string;
}

static bool is_stream(const char *path)
{
    return strcmp(path, "-") == 0;
}

/* Where among the artifacts a file stands; it joins them when it is first met. `sum` NULL: only its
 * name is known. */
static size_t file_index(Sarif *sarif, const char *path, const char *role, const char *sum)
{
    for (size_t i = 0; i < sarif->file_count; i++)
        if (strcmp(sarif->files[i], path) == 0)
            return i;
    json_t *artifact = json_object(), *location = json_object(), *roles = json_array();
    if (is_stream(path))
        json_put(location, "description", message("standard input"));
    else
        json_put(location, "uri", uri(path));
    json_add(roles, json_string(role));
    if (is_stream(path))
        json_add(roles, json_string("standardStream"));
    json_put(artifact, "location", location);
    json_put(artifact, "roles", roles);
    if (sum != NULL) {
        json_t *hashes = json_object();
        json_put(hashes, "sha-256", json_string(sum));
        json_put(artifact, "hashes", hashes);
    }
    json_add(sarif->artifacts, artifact);
    *ARENA_PUSH(&sarif->arena, sarif->files, sarif->file_count, sarif->file_capacity) = path;
    return sarif->file_count - 1;
}

/* All that it rests on, in 3.24.6's words. */
static void add_files(Sarif *sarif)
{
    static const char *const roles[INPUT_ROLE_COUNT] = {
        [INPUT_STYLE] = "analysisTarget",
        [INPUT_DRAWING] = "analysisTarget",
        [INPUT_FACTORY] = "userSpecifiedConfiguration",
        [INPUT_LOG] = "userSpecifiedConfiguration",
        [INPUT_RULES] = "toolSpecifiedConfiguration",
    };
    Inputs inputs = inputs_of(&sarif->arena, sarif->judgement, NULL);
    for (size_t i = 0; i < inputs.count; i++)
        file_index(sarif, inputs.items[i].path, roles[inputs.items[i].role], inputs.items[i].sum);
}

/* --- rules (3.49) ------------------------------------------------------------------ */

static const char *level_of(RuleClass class)
{
    return class == CLASS_CRITICAL ? "error" : class == CLASS_MAJOR ? "warning" : "note";
}

/* "TurnClipPitch" for "turn-clip-pitch". */
static json_t *rule_name(const char *id)
{
    Text text = {0};
    bool start = true;
    for (; *id != '\0'; id++) {
        char letter = start && *id >= 'a' && *id <= 'z' ? (char)(*id - 'a' + 'A') : *id;
        start = *id == '-';
        if (!start)
            text_add_bytes(&text, &letter, 1);
    }
    json_t *name = json_string(text_string(&text));
    text_free(&text);
    return name;
}

static json_t *rule_help(const Rule *rule)
{
    Text text = {0};
    if (rule->when_text != NULL)
        text_addf(&text, "Applies when: %s. ", rule->when_text);
    text_addf(&text, "Requires: %s. Source: %s", rule->require_text, rule->source);
    json_t *help = message(text.bytes);
    text_free(&text);
    return help;
}

static json_t *rule_properties(const Rule *rule)
{
    json_t *properties = json_object(), *gives = json_array();
    json_put(properties, "class", json_string(class_name(rule->class)));
    json_put(properties, "about", json_string(subject_name(rule->about)));
    json_put(properties, "danger", json_boolean(rule->danger));
    for (size_t i = 0; i < rule->give_count; i++)
        json_add(gives, json_visible(rule->gives[i].text));
    json_put(properties, "gives", gives);
    if (rule->off_reason != NULL)
        json_put(properties, "off", json_visible(rule->off_reason));
    return properties;
}

static json_t *rule_object(const Rule *rule)
{
    json_t *object = json_object(), *configuration = json_object();
    json_put(configuration, "level", json_string(level_of(rule->class)));
    json_put(configuration, "enabled", json_boolean(rule->off_reason == NULL));
    json_put(object, "id", json_string(rule->id));
    json_put(object, "name", rule_name(rule->id));
    json_put(object, "shortDescription", message(rule->title));
    json_put(object, "fullDescription", message(rule->because));
    json_put(object, "help", rule_help(rule));
    json_put(object, "defaultConfiguration", configuration);
    json_put(object, "properties", rule_properties(rule));
    return object;
}

static json_t *driver(const RuleSet *set)
{
    json_t *tool = json_object(), *driver = json_object(), *rules = json_array();
    for (size_t i = 0; i < set->rule_count; i++)
        json_add(rules, rule_object(set->rules[i]));
    json_put(driver, "name", json_string("cordwain"));
    json_put(driver, "version", json_string(CORDWAIN_VERSION));
    json_put(driver, "rules", rules);
    json_put(tool, "driver", driver);
    return tool;
}

static size_t rule_index(const RuleSet *set, const Rule *rule)
{
    size_t index = 0;
    while (index < set->rule_count && set->rules[index] != rule)
        index++;
    return index;
}

/* --- results (3.27) ----------------------------------------------------------------- */

static const char *kind_of(Verdict verdict)
{
    static const char *const kinds[VERDICT_COUNT] = {
        [VERDICT_FLAG] = "fail", [VERDICT_UNKNOWN] = "open",      [VERDICT_TIGHT] = "review",
        [VERDICT_PASS] = "pass", [VERDICT_OUT] = "notApplicable", [VERDICT_OFF] = "notApplicable"};
    return kinds[verdict];
}

/* "bend vamp.throat.1: the curve of 4.5 mm … (radius: 3.3 mm too little, in every size)". */
static json_t *result_message(const Judgement *judgement, const Finding *finding)
{
    Text text = {0}, spare = {0};
    text_addf(&text, "%s: ", finding->place);
    if (finding->verdict == VERDICT_OFF)
        text_addf(&text, "not judged: %s", finding->rule->off_reason);
    else
        finding_sentence(&text, judgement, finding, finding_worst_lane(judgement, finding));
    finding_say_spare(&spare, judgement, finding);
    if (told_to_settle(finding)) {
        text_add(&spare, spare.length > 0 ? ", " : "");
        finding_lanes(&spare, judgement, finding);
    }
    if (spare.length > 0)
        text_addf(&text, " (%s)", spare.bytes);
    json_t *object = message(text.bytes);
    text_free(&text);
    text_free(&spare);
    return object;
}

static json_t *physical_location(Sarif *sarif, Where at)
{
    json_t *physical = json_object(), *artifact = json_object();
    if (!is_stream(at.file))
        json_put(artifact, "uri", uri(at.file));
    json_put(artifact, "index", json_count(file_index(sarif, at.file, "analysisTarget", NULL)));
    json_put(physical, "artifactLocation", artifact);
    if (at.line > 0) {
        json_t *region = json_object();
        json_put(region, "startLine", json_integer(at.line));
        json_put(region, "startColumn", json_integer(at.column));
        json_put(physical, "region", region);
    }
    return physical;
}

/* Where it is written, and the place in the shoe as the logical one (3.28, 3.33). */
static json_t *locations(Sarif *sarif, const Finding *finding)
{
    json_t *array = json_array(), *location = json_object();
    json_t *logical = json_object(), *logicals = json_array();
    if (finding->at.file != NULL)
        json_put(location, "physicalLocation", physical_location(sarif, finding->at));
    json_put(logical, "fullyQualifiedName", json_visible(finding->place));
    json_put(logical, "kind", json_string(subject_name(finding->rule->about)));
    json_add(logicals, logical);
    json_put(location, "logicalLocations", logicals);
    json_add(array, location);
    return array;
}

/* The same as long as rule and place have their names, whatever moves in the file (3.27.17). */
static json_t *fingerprints(const Finding *finding)
{
    const char *rule = finding->rule->id, *place = finding->place;
    json_t *object = json_object();
    json_put(object, "ruleAndPlace/v1",
             json_string(sum_of(rule, strlen(rule) + 1, place, strlen(place)).hex));
    return object;
}

/* All results have the property if one has (3.27.23): an empty list where none is suppressed. */
static json_t *suppressions(const Decided *decided)
{
    json_t *array = json_array();
    if (decided == NULL || decided->state != STATE_HOLDS ||
        decided->record->decision != DECISION_PERMIT)
        return array;
    json_t *object = json_object();
    Text say = {0};
    decision_say(&say, decided);
    json_put(object, "kind", json_string("external"));
    json_put(object, "status", json_string("accepted"));
    json_put(object, "justification", json_visible(say.bytes));
    text_free(&say);
    json_add(array, object);
    return array;
}

static json_t *remedy_sentences(const Told *told, const Finding *finding)
{
    json_t *array = json_array();
    const RemedyList *list = told_remedies(told, finding);
    for (size_t i = 0; i < list->count; i++) {
        Text say = {0};
        remedy_say(&say, &list->items[i]);
        json_add(array, json_visible(text_string(&say)));
        text_free(&say);
    }
    return array;
}

static json_t *result_properties(const Told *told, const Finding *finding)
{
    const Judgement *judgement = told->decisions->judgement;
    const Decided *decided = decision_of(told->decisions, finding);
    json_t *properties = json_object();
    Basis basis;
    bool based = finding_basis(judgement, finding, &basis);
    json_put(properties, "verdict", json_string(verdict_name(finding->verdict)));
    json_put(properties, "class", json_string(class_name(finding->rule->class)));
    json_put(properties, "part", json_visible(finding->part));
    json_put(properties, "relativeSpare", json_number(finding_spare(judgement, finding)->relative));
    json_put(properties, "risk", json_number(finding_risk(judgement, finding).share));
    json_put(properties, "basis", json_text_or_null(based ? basis_name(basis) : NULL));
    json_put(properties, "remedies", remedy_sentences(told, finding));
    if (told_to_settle(finding))
        json_put(properties, "giver",
                 json_string(giver_name(finding_cause(judgement, finding)->giver)));
    if (decided != NULL) {
        Text say = {0};
        decision_say(&say, decided);
        json_put(properties, "decision", json_visible(say.bytes));
        text_free(&say);
    }
    return properties;
}

static json_t *result(Sarif *sarif, const Finding *finding)
{
    const Rule *rule = finding->rule;
    bool fails = finding->verdict == VERDICT_FLAG;
    json_t *object = json_object();
    json_put(object, "ruleId", json_string(rule->id));
    json_put(object, "ruleIndex", json_count(rule_index(sarif->judgement->rules, rule)));
    json_put(object, "kind", json_string(kind_of(finding->verdict)));
    json_put(object, "level", json_string(fails ? level_of(rule->class) : "none"));
    json_put(object, "message", result_message(sarif->judgement, finding));
    json_put(object, "locations", locations(sarif, finding));
    json_put(object, "partialFingerprints", fingerprints(finding));
    json_put(object, "suppressions", suppressions(decision_of(sarif->told->decisions, finding)));
    json_put(object, "properties", result_properties(sarif->told, finding));
    return object;
}

/* --- runs (3.14) ---------------------------------------------------------------------- */

/* Which runs are of one kind, so that they can be held against each other (3.17). */
static json_t *automation(const Judgement *judgement)
{
    json_t *details = json_object();
    const Style *style = judgement->style;
    Text id = {0};
    text_addf(&id, "%s/%s/%s/", style->code,
              style->alternative != NULL ? style->alternative : "as written",
              judgement->factory != NULL ? judgement->factory->name : "no factory");
    json_put(details, "id", json_visible(id.bytes));
    text_free(&id);
    return details;
}

static json_t *run_properties(const Sarif *sarif)
{
    const Judgement *judgement = sarif->judgement;
    json_t *properties = json_object();
    json_put(properties, "style", json_visible(judgement->style->name));
    json_put(properties, "release", json_string(told_release(sarif->told->decisions)));
    json_put(properties, "tally", json_tally(judgement));
    json_put(properties, "hidden", json_count(told_hidden(sarif->told, sarif->telling)));
    return properties;
}

static json_t *run_object(const Told *told, const Telling *telling)
{
    Sarif sarif = {.told = told,
                   .judgement = told->decisions->judgement,
                   .telling = telling,
                   .artifacts = json_array()};
    json_t *run = json_object(), *invocations = json_array(), *invocation = json_object();
    json_t *results = json_array();
    add_files(&sarif);
    for (size_t i = 0; i < sarif.judgement->count; i++)
        if (told_is(told, &sarif.judgement->findings[i], telling))
            json_add(results, result(&sarif, &sarif.judgement->findings[i]));
    json_put(invocation, "executionSuccessful", json_true());
    json_add(invocations, invocation);
    json_put(run, "tool", driver(sarif.judgement->rules));
    json_put(run, "automationDetails", automation(sarif.judgement));
    json_put(run, "invocations", invocations);
    json_put(run, "artifacts", sarif.artifacts);
    json_put(run, "columnKind", json_string("unicodeCodePoints"));
    json_put(run, "results", results);
    json_put(run, "properties", run_properties(&sarif));
    arena_free(&sarif.arena);
    return run;
}

void sarif_write(Text *text, const Told *items, size_t count, const Telling *telling)
{
    json_t *root = json_object(), *runs = json_array();
    for (size_t i = 0; i < count; i++)
        json_add(runs, run_object(&items[i], telling));
    json_put(root, "$schema", json_string(SCHEMA));
    json_put(root, "version", json_string("2.1.0"));
    json_put(root, "runs", runs);
    json_write(text, root, JSON_INDENT(1));
}

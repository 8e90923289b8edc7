/* Decisions held against findings. For src/review, src/report and src/cli. */
#include "log/valid.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double worse_by = 1e-6; /* relative spare: below it is rounding */

/* --- why a decision does not hold ------------------------------------------------------------ */

/* A record held against its finding. Each reason adds a sentence, or nothing. */
typedef struct Held {
    Arena *arena;
    const Judgement *judgement;
    const Finding *finding;
    const LogRecord *record;
    Date today;
    Text *text;
} Held;

static void add_visible(Text *text, const char *string)
{
    text_add_visible(text, string, strlen(string));
}

static void may_not(Held *held)
{
    const LogRecord *record = held->record;
    if (record->decision != DECISION_PERMIT)
        return;
    if (held->finding->rule->danger)
        text_add(held->text, "it can hurt the wearer, and that is not permitted by anyone");
    else if (held->finding->rule->class == CLASS_CRITICAL && !logged_two_names(&record->who))
        text_add(held->text, "a permit on a critical finding needs two different names");
}

/* The word of the style's stage as an index, -1 unknown. */
static int stage_now(const Judgement *judgement)
{
    const Column *column = &judgement->columns->fields[STYLE_STAGE];
    double stage = judgement->columns->count[SUBJECT_STYLE] > 0 ? column->nominal[0] : NAN;
    return isnan(stage) ? -1 : (int)stage;
}

static void stage_over(Held *held, int stage)
{
    int now = stage_now(held->judgement);
    if (now < 0)
        text_addf(held->text, "it holds until %s, and the style does not say its stage",
                  held->record->until);
    else if (now >= stage)
        text_addf(held->text, "the style has reached %s", held->record->until);
}

static void over(Held *held)
{
    const char *until = held->record->until;
    int stage = logged_stage(until);
    Date last;
    if (until[0] == '\0') {
        if (held->record->decision == DECISION_PERMIT)
            text_add(held->text, "it has no end");
    } else if (stage >= 0) {
        stage_over(held, stage);
    } else if (!date_read(until, &last)) {
        text_add(held->text, "its end, ");
        add_visible(held->text, until);
        text_add(held->text, ", is neither a day nor a stage and counts as over");
    } else if (date_compare(held->today, last) > 0) {
        text_addf(held->text, "its last day, %s, is over", until);
    }
}

static void rule_changed(Held *held)
{
    if (strcmp(held->record->formula, logged_formula(held->arena, held->finding->rule)) != 0)
        text_add(held->text, "the rule has another formula or class than when it was decided");
}

static bool same_list(const TextList *a, const TextList *b)
{
    bool same = a->count == b->count;
    for (size_t i = 0; same && i < a->count; i++)
        same = strcmp(a->items[i], b->items[i]) == 0;
    return same;
}

static void add_list(Text *text, const TextList *list)
{
    for (size_t i = 0; i < list->count; i++) {
        text_add(text, i > 0 ? ", " : "");
        add_visible(text, list->items[i]);
    }
    if (list->count == 0)
        text_add(text, "none");
}

static void bends_changed(Held *held)
{
    TextList now = logged_bends(held->arena, held->judgement, held->finding);
    if (same_list(&now, &held->record->bends))
        return;
    text_add(held->text, "the bends of its edge are other ones: ");
    add_list(held->text, &held->record->bends);
    text_add(held->text, " then, ");
    add_list(held->text, &now);
    text_add(held->text, " now");
}

/* Whether the value was unknown when the record was taken. */
static bool was_unknown(const LogRecord *record, const char *name)
{
    size_t length = strlen(name);
    for (size_t i = 0; i < record->values.count; i++) {
        const char *value = record->values.items[i];
        if (strncmp(value, name, length) == 0 && strcmp(value + length, ": unknown") == 0)
            return true;
    }
    return false;
}

static void value_unknown(Held *held)
{
    TextList now = logged_unknown(held->arena, held->judgement, held->finding);
    for (size_t i = 0; i < now.count; i++)
        if (!was_unknown(held->record, now.items[i])) {
            add_visible(held->text, now.items[i]);
            text_add(held->text, " is unknown now");
            return;
        }
}

/* The verdict the lane had among those that were open; pass for one that was not. */
static Verdict lane_then(const LogRecord *record, const char *name)
{
    for (size_t i = 0; i < record->lanes.count; i++) {
        const char *lane = record->lanes.items[i], *blank = strchr(lane, ' ');
        for (Verdict verdict = 0; blank != NULL && verdict < VERDICT_COUNT; verdict++) {
            const char *word = verdict_name(verdict);
            if (strlen(word) == (size_t)(blank - lane) && strncmp(lane, word, strlen(word)) == 0 &&
                strcmp(blank + 1, name) == 0)
                return verdict;
        }
    }
    return VERDICT_PASS;
}

static void lane_worse(Held *held)
{
    for (uint32_t lane = 0; lane < held->judgement->lane_count; lane++) {
        if (!logged_lane_open(held->finding, lane))
            continue;
        const char *name = logged_lane_name(held->arena, held->judgement, lane);
        Verdict now = held->finding->lanes[lane], then = lane_then(held->record, name);
        bool arrived = now == VERDICT_UNKNOWN && then != VERDICT_UNKNOWN;
        if (now <= then && !arrived)
            continue;
        text_addf(held->text, "it is %s now", verdict_name(now));
        if (name[0] != '\0') {
            text_add(held->text, " in ");
            add_visible(held->text, name);
        }
        text_add(held->text, then == VERDICT_PASS ? ", where nothing was open" : ", and was ");
        if (then != VERDICT_PASS)
            text_add(held->text, verdict_name(then));
        return;
    }
}

static void spare_less(Held *held)
{
    double then = held->record->relative;
    double now = finding_spare(held->judgement, held->finding)->relative;
    if (isnan(then) || isnan(now) || then == now || now >= then - worse_by)
        return;
    const char *spare = logged_spare(held->arena, held->judgement, held->finding);
    text_add(held->text, "it has got worse");
    if (held->record->spare[0] != '\0' && spare[0] != '\0') {
        text_add(held->text, ": to spare were ");
        add_visible(held->text, held->record->spare);
        text_addf(held->text, ", and are %s", spare);
    }
}

/* Adds the first reason why the record does not hold; nothing if it does. */
static void add_reason(Held *held)
{
    static void (*const reasons[])(Held *) = {
        may_not, over, rule_changed, bends_changed, value_unknown, lane_worse, spare_less};
    for (size_t i = 0; i < sizeof reasons / sizeof *reasons && held->text->length == 0; i++)
        reasons[i](held);
}

/* --- findings and their last record ------------------------------------------------------------
 */

static bool to_settle(const Finding *finding)
{
    return finding->verdict >= VERDICT_TIGHT && finding->verdict != VERDICT_OFF;
}

/* What keeps a style from being released. */
static bool is_open(const Finding *finding)
{
    return finding->verdict == VERDICT_FLAG || finding->verdict == VERDICT_UNKNOWN ||
           (finding->verdict == VERDICT_TIGHT && finding->rule->class == CLASS_CRITICAL);
}

static bool is_about(const LogRecord *record, const Judgement *judgement)
{
    const Style *style = judgement->style;
    const char *alternative = style->alternative != NULL ? style->alternative : "";
    const char *factory = judgement->factory != NULL ? judgement->factory->name : "";
    return strcmp(record->style, style->code) == 0 &&
           strcmp(record->alternative, alternative) == 0 && strcmp(record->factory, factory) == 0;
}

static int compare_identity(const LogRecord *a, const LogRecord *b)
{
    int order = strcmp(a->rule, b->rule);
    return order != 0 ? order : strcmp(a->place, b->place);
}

/* Records of one log: their addresses are their order. The later comes first. */
static int compare_records(const void *a, const void *b)
{
    const LogRecord *one = *(const LogRecord *const *)a, *other = *(const LogRecord *const *)b;
    int order = compare_identity(one, other);
    return order != 0 ? order : (one < other) - (one > other);
}

/* The last record of every finding, by rule and place. */
static size_t last_records(Arena *arena, const Judgement *judgement, const Log *log,
                           const LogRecord ***last)
{
    size_t count = 0, kept = 0;
    const LogRecord **records = ARENA_NEW(arena, const LogRecord *, log->count);
    for (size_t i = 0; i < log->count; i++)
        if (is_about(&log->records[i], judgement))
            records[count++] = &log->records[i];
    if (count > 0)
        qsort(records, count, sizeof *records, compare_records);
    for (size_t i = 0; i < count; i++)
        if (kept == 0 || compare_identity(records[kept - 1], records[i]) != 0)
            records[kept++] = records[i];
    *last = records;
    return kept;
}

static int compare_key(const void *key, const void *item)
{
    const LogRecord *record = *(const LogRecord *const *)item;
    const Finding *finding = key;
    int order = strcmp(finding->rule->id, record->rule);
    return order != 0 ? order : strcmp(finding->place, record->place);
}

static Decided decide(Decisions *decisions, const Finding *finding, const LogRecord *record)
{
    if (!to_settle(finding))
        return (Decided){finding, record, STATE_NOT_NEEDED, NULL};
    Arena arena = {0};
    Text text = {0};
    Held held = {&arena, decisions->judgement, finding, record, decisions->today, &text};
    add_reason(&held);
    const char *why =
        text.length > 0 ? arena_copy(&decisions->arena, text.bytes, text.length) : NULL;
    text_free(&text);
    arena_free(&arena);
    return (Decided){finding, record, why != NULL ? STATE_LAPSED : STATE_HOLDS, why};
}

static void count_finding(Decisions *decisions, const Finding *finding, const Decided *decided)
{
    bool permitted = decided != NULL && decided->state == STATE_HOLDS &&
                     decided->record->decision == DECISION_PERMIT;
    decisions->lapsed += decided != NULL && decided->state == STATE_LAPSED;
    if (is_open(finding))
        *(permitted ? &decisions->permitted : &decisions->open) += 1;
}

/* A permit that nobody needs and that is not over by its own end. */
static bool is_spare_permit(const Decisions *decisions, const LogRecord *record)
{
    Date last;
    int stage = logged_stage(record->until);
    if (record->decision != DECISION_PERMIT)
        return false;
    if (stage >= 0)
        return stage_now(decisions->judgement) < stage;
    return date_read(record->until, &last) && date_compare(decisions->today, last) <= 0;
}

static int compare_decided(const void *a, const void *b)
{
    const Decided *one = a, *other = b;
    return (one->record > other->record) - (one->record < other->record);
}

static void find_unneeded(Decisions *decisions, const LogRecord *const *last, size_t count,
                          const Finding *const *found)
{
    decisions->unneeded = ARENA_NEW(&decisions->arena, Decided, count);
    for (size_t i = 0; i < count; i++)
        if ((found[i] == NULL || !to_settle(found[i])) && is_spare_permit(decisions, last[i]))
            decisions->unneeded[decisions->unneeded_count++] =
                (Decided){found[i], last[i], STATE_NOT_NEEDED, NULL};
    if (decisions->unneeded_count > 0)
        qsort(decisions->unneeded, decisions->unneeded_count, sizeof(Decided), compare_decided);
}

Decisions *decisions_find(const Judgement *judgement, const Log *log, Date today)
{
    Decisions *decisions = memory_new(1, sizeof *decisions);
    *decisions =
        (Decisions){.judgement = judgement, .logged = log != NULL && log->exists, .today = today};
    const LogRecord **last = NULL;
    size_t count = log != NULL ? last_records(&decisions->arena, judgement, log, &last) : 0;
    const Finding **found = ARENA_NEW(&decisions->arena, const Finding *, count);
    decisions->items = ARENA_NEW(&decisions->arena, Decided, count);
    for (size_t i = 0; i < judgement->count; i++) {
        const Finding *finding = &judgement->findings[i];
        const LogRecord **record =
            count > 0 ? bsearch(finding, last, count, sizeof *last, compare_key) : NULL;
        Decided *decided = NULL;
        if (record != NULL) {
            found[record - last] = finding;
            decided = &decisions->items[decisions->count++];
            *decided = decide(decisions, finding, *record);
        }
        count_finding(decisions, finding, decided);
    }
    find_unneeded(decisions, last, count, found);
    return decisions;
}

void decisions_free(Decisions *decisions)
{
    if (decisions == NULL)
        return;
    arena_free(&decisions->arena);
    free(decisions);
}

static int compare_finding(const void *key, const void *item)
{
    const Finding *finding = key, *other = ((const Decided *)item)->finding;
    return (finding > other) - (finding < other);
}

const Decided *decision_of(const Decisions *decisions, const Finding *finding)
{
    if (decisions->count == 0)
        return NULL;
    return bsearch(finding, decisions->items, decisions->count, sizeof(Decided), compare_finding);
}

int log_release(const Decisions *decisions)
{
    int plain = judgement_exit(decisions->judgement);
    return plain == 2 ? 2 : decisions->open > 0;
}

bool decision_allowed(const Judgement *judgement, const Finding *finding, const LogRecord *record,
                      Date today, Text *problem)
{
    if (!logged_complete(record, problem))
        return false;
    if (!to_settle(finding)) {
        text_addf(problem, "there is nothing to decide: it is %s", verdict_name(finding->verdict));
        return false;
    }
    Arena arena = {0};
    Text reason = {0};
    Held held = {&arena, judgement, finding, record, today, &reason};
    add_reason(&held);
    bool allowed = reason.length == 0;
    text_add(problem, text_string(&reason));
    text_free(&reason);
    arena_free(&arena);
    return allowed;
}

/* --- in words ----------------------------------------------------------------------------------
 */

static void add_day(Text *text, const char *when)
{
    text_add_visible(text, when, strcspn(when, "T"));
}

static void add_names(Text *text, const TextList *who)
{
    for (size_t i = 0; i < who->count; i++) {
        text_add(text, i > 0 ? " and " : "");
        add_visible(text, who->items[i]);
    }
}

void decision_say(Text *text, const Decided *decided)
{
    static const char *const said[DECISION_COUNT] = {
        [DECISION_CHANGE] = "to be changed in the style",
        [DECISION_ASK] = "asked ",
        [DECISION_ATTEMPT] = "an attempt is to be made",
        [DECISION_PERMIT] = "permit",
        [DECISION_HOLD] = "held",
    };
    const LogRecord *record = decided->record;
    if (decided->state == STATE_LAPSED)
        text_addf(text, "lapsed (%s): ", decided->lapsed);
    text_add(text, said[record->decision]);
    if (record->decision == DECISION_ASK)
        add_visible(text, record->ask);
    if (record->decision == DECISION_ATTEMPT && record->ask[0] != '\0') {
        text_add(text, " by ");
        add_visible(text, record->ask);
        text_add(text, ", decided");
    }
    if (record->decision != DECISION_PERMIT) {
        text_add(text, " on ");
        add_day(text, record->when);
        text_add(text, ",");
    }
    text_add(text, " by ");
    add_names(text, &record->who);
    if (record->until[0] != '\0') {
        text_add(text, " until ");
        add_visible(text, record->until);
    }
    text_add(text, ": ");
    add_visible(text, record->why);
}

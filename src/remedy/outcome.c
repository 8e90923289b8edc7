/* What changed values make of the whole style: it is read and measured with them, and
 * every finding that reads a cell that has changed is judged again. For src/remedy. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "remedy/inside.h"

/* ---- The style with some values changed ---- */

static const YamlNode *node_of(Arena *arena, const char *text)
{
    Messages ignored = {0};
    YamlFile *file = yaml_read_bytes(arena, "proposed", text, strlen(text), false, &ignored);
    messages_free(&ignored);
    return file ? file->root : NULL;
}

static Patch *patches_of(Remedies *remedies, const Setting *settings, size_t count, size_t *used)
{
    const RemedyGround *ground = &remedies->ground;
    Patch *patches = ARENA_NEW(&remedies->arena, Patch, ground->patch_count + count);
    for (*used = 0; *used < ground->patch_count; (*used)++)
        patches[*used] = ground->patches[*used];
    for (size_t i = 0; i < count; i++) {
        const Setting *setting = &settings[i];
        const YamlNode *node =
            setting->axis->redraw ? NULL : node_of(&remedies->arena, setting->text);
        if (node)
            patches[(*used)++] = (Patch){setting->axis->path, node, node};
    }
    return patches;
}

static const char *key_of(Remedies *remedies, const Setting *settings, size_t count, bool redrawn)
{
    Text key = {0};
    for (size_t i = 0; i < count; i++)
        if (!settings[i].axis->redraw)
            text_addf(&key, "%s: %s\n", settings[i].axis->path, settings[i].text);
        else if (redrawn)
            text_addf(&key, "redraw %p %.17g\n", settings[i].axis->source, settings[i].value);
    const char *kept = arena_copy(&remedies->arena, text_string(&key), key.length);
    text_free(&key);
    return kept;
}

static void world_close(World *world)
{
    judgement_free(world->judgement);
    style_free(world->style);
    *world = (World){0};
}

void worlds_close(Remedies *remedies)
{
    for (size_t i = 0; i < WORLDS; i++)
        world_close(&remedies->worlds[i]);
}

static const Judgement *world_known(const Remedies *remedies, const char *key)
{
    for (size_t i = 0; i < WORLDS; i++)
        if (remedies->worlds[i].key && strcmp(remedies->worlds[i].key, key) == 0)
            return remedies->worlds[i].judgement;
    return NULL;
}

const Judgement *world_of(Remedies *remedies, const Setting *settings, size_t count)
{
    const RemedyGround *ground = &remedies->ground;
    const char *key = key_of(remedies, settings, count, false);
    const Judgement *known = world_known(remedies, key);
    World *world = &remedies->worlds[remedies->next_world];
    if (known)
        return known;
    world_close(world);
    Messages ignored = {0};
    size_t used;
    Patch *patches = patches_of(remedies, settings, count, &used);
    world->style = style_from_shelf(remedies->style_shelf, ground->file, ground->alternative,
                                    patches, used, &ignored);
    messages_free(&ignored);
    if (!world->style)
        return NULL;
    world->key = key;
    world->judgement = judge_from_shelf(remedies->shelf, world->style, ground->judgement->rules,
                                        ground->judgement->factory);
    remedies->next_world = (remedies->next_world + 1) % WORLDS;
    return world->judgement;
}

/* ---- The same records ---- */

static bool same_names(const Columns *a, const Columns *b)
{
    for (int subject = 0; subject < SUBJECT_COUNT; subject++) {
        if (a->count[subject] != b->count[subject])
            return false;
        for (uint32_t i = 0; i < a->count[subject]; i++) {
            const char *one = a->names[subject][i], *other = b->names[subject][i];
            if (strcmp(one ? one : "", other ? other : "") != 0)
                return false;
        }
    }
    return a->lane_count == b->lane_count;
}

static bool same_one(const Columns *a, const Columns *b, size_t index, uint32_t records)
{
    const OneColumn *one = &a->ones[index], *other = &b->ones[index];
    return records == 0 || (one->stride == other->stride &&
                            memcmp(one->index, other->index,
                                   (size_t)records * one->stride * sizeof *one->index) == 0);
}

static bool same_many(const Columns *a, const Columns *b, size_t index, uint32_t records)
{
    const ManyColumn *one = &a->manys[index], *other = &b->manys[index];
    if (records == 0)
        return true;
    size_t items = one->start[records];
    return memcmp(one->start, other->start, (records + 1) * sizeof *one->start) == 0 &&
           memcmp(one->unknown, other->unknown, records * sizeof *one->unknown) == 0 &&
           (items == 0 || memcmp(one->items, other->items, items * sizeof *one->items) == 0);
}

bool columns_alike(const Columns *a, const Columns *b)
{
    size_t relations;
    const Relation *table = relation_table(&relations);
    bool alike = same_names(a, b);
    for (size_t i = 0; alike && i < relations; i++)
        alike = table[i].many ? same_many(a, b, i, a->count[table[i].from])
                              : same_one(a, b, i, a->count[table[i].from]);
    return alike;
}

/* ---- Cells that changed ---- */

static bool same_number(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

static bool same_cells(const Column *a, const Column *b, uint32_t record, uint32_t lanes)
{
    bool same = a->origins[record]->assumed == b->origins[record]->assumed &&
                a->origins[record]->kind == b->origins[record]->kind;
    uint32_t stride = a->stride > b->stride ? a->stride : b->stride;
    for (uint32_t lane = 0; same && lane < stride && lane < lanes; lane++) {
        size_t i = column_cell(a, record, lane), k = column_cell(b, record, lane);
        same = same_number(a->nominal[i], b->nominal[k]) && same_number(a->lo[i], b->lo[k]) &&
               same_number(a->hi[i], b->hi[k]);
    }
    return same;
}

static const uint8_t *touched_cells(Remedies *remedies, const Columns *now, bool *any)
{
    const Columns *before = remedies->ground.judgement->columns;
    uint8_t *touched = ARENA_NEW(&remedies->arena, uint8_t, remedies->field_start[FIELD_ID_COUNT]);
    for (int id = 0; id < FIELD_ID_COUNT; id++) {
        const Column *a = &before->fields[id], *b = &now->fields[id];
        FieldType type = field_at((FieldId)id)->type;
        uint32_t count = before->count[field_at((FieldId)id)->subject];
        for (uint32_t r = 0; r < count && type != FIELD_TEXT && type != FIELD_NAME; r++) {
            bool other = (a->nominal != b->nominal || a->lo != b->lo || a->origins != b->origins) &&
                         !same_cells(a, b, r, before->lane_count);
            touched[remedies->field_start[id] + r] = other;
            *any = *any || other;
        }
    }
    return touched;
}

bool outcome_touched(const Remedies *remedies, const Outcome *outcome, FieldId field,
                     uint32_t record)
{
    return outcome->touched && outcome->touched[remedies->field_start[field] + record];
}

/* ---- The same place ---- */

bool finding_there(const Columns *before, const Columns *now, const Finding *finding,
                   Finding *there)
{
    Subject about = finding->rule->about;
    const char *name = before->names[about][finding->record];
    *there = *finding;
    if (before->lane_count != now->lane_count)
        return false;
    for (uint32_t i = 0; i < now->count[about]; i++) {
        uint32_t record = (finding->record + i) % now->count[about];
        const char *other = now->names[about][record];
        there->record = record;
        if (strcmp(name ? name : "", other ? other : "") == 0)
            return true;
    }
    return false;
}

/* ---- Findings that changed ---- */

typedef struct Noting {
    Remedies *remedies;
    Outcome *outcome;
    const Columns *columns;
    size_t capacity;
} Noting;

static void note_margin(ChangedFinding *changed, const Known *known, const Columns *columns,
                        const Finding *there)
{
    changed->margin = INFINITY;
    for (size_t i = 0; i < known->lane_count; i++) {
        AgainLane now = again_as_written(columns, there, known->lanes[i]);
        changed->leaves = changed->leaves || (known->applied[i] && !now.applies);
        if (known->applied[i] || now.applies)
            changed->margin = isnan(now.margin) || isnan(changed->margin)
                                  ? (double)NAN
                                  : fmin(changed->margin, now.margin);
    }
}

/* The plain evaluator has the last word on a finding that is to be remedied: where it does
 * not agree, nothing is promised. */
static void note_closely(Noting *n, ChangedFinding *changed, const uint32_t *alike)
{
    const Judgement *judgement = n->remedies->ground.judgement;
    Finding there;
    if (!finding_there(judgement->columns, n->columns, changed->finding, &there))
        return;
    const Known *known = remedies_lanes(n->remedies, changed->finding);
    note_margin(changed, known, n->columns, &there);
    if (changed->after == VERDICT_FLAG || changed->after == VERDICT_UNKNOWN)
        return;
    Arena scratch = {0};
    Finding again = again_finding(&scratch, judgement, &there, n->columns,
                                  n->outcome->in_cells ? known->alike : alike);
    if (again.verdict != changed->after)
        changed->after = VERDICT_FLAG;
    arena_free(&scratch);
}

static bool reads_touched(Remedies *remedies, const Outcome *outcome, const Finding *finding)
{
    const AgainRead *reads;
    size_t count = remedies_reads(remedies, finding, &reads);
    for (size_t i = 0; i < count; i++)
        if (outcome_touched(remedies, outcome, reads[i].field, reads[i].record))
            return true;
    return false;
}

static void note(Noting *n, const Finding *before, const Finding *after, Verdict now)
{
    bool asked = before && (before->verdict == VERDICT_FLAG || before->verdict == VERDICT_TIGHT);
    if (now == (before ? before->verdict : VERDICT_OUT) &&
        (!asked || !(n->outcome->other_records || reads_touched(n->remedies, n->outcome, before))))
        return;
    ChangedFinding changed = {.finding = before, .after = now, .margin = NAN};
    changed.rule = before ? before->rule : after->rule;
    changed.place = before ? before->place
                           : arena_copy(&n->remedies->arena, after->place, strlen(after->place));
    if (asked)
        note_closely(n, &changed, after && after != before ? after->alike : NULL);
    *ARENA_PUSH(&n->remedies->arena, n->outcome->items, n->outcome->count, n->capacity) = changed;
}

/* What is redrawn stands in no file: the plain evaluator judges it. In the cells alone lanes that
 * read the same are changed alike. */
static void judge_touched(Noting *n)
{
    const Judgement *judgement = n->remedies->ground.judgement;
    for (size_t i = 0; i < judgement->count; i++) {
        const Finding *finding = &judgement->findings[i];
        if (finding->verdict == VERDICT_OFF || !reads_touched(n->remedies, n->outcome, finding))
            continue;
        Arena scratch = {0};
        const uint32_t *alike =
            n->outcome->in_cells ? remedies_lanes(n->remedies, finding)->alike : NULL;
        Finding again = again_finding(&scratch, judgement, finding, n->columns, alike);
        note(n, finding, finding, again.verdict);
        arena_free(&scratch);
    }
}

static int compare_places(const void *one, const void *other)
{
    const Finding *a = *(const Finding *const *)one, *b = *(const Finding *const *)other;
    int order = strcmp(a->rule->id, b->rule->id);
    return order ? order : strcmp(a->place, b->place);
}

static const Finding **by_place(Arena *arena, const Judgement *judgement)
{
    const Finding **sorted = ARENA_NEW(arena, const Finding *, judgement->count);
    for (size_t i = 0; i < judgement->count; i++)
        sorted[i] = &judgement->findings[i];
    qsort(sorted, judgement->count, sizeof *sorted, compare_places);
    return sorted;
}

/* A finding that is gone is out; one that is new was out. */
static void compare_by_place(Noting *n, const Judgement *before, const Judgement *after)
{
    Arena scratch = {0};
    Remedies *remedies = n->remedies;
    if (!remedies->by_place)
        remedies->by_place = by_place(&remedies->arena, before);
    const Finding **old = remedies->by_place, **new = by_place(&scratch, after);
    size_t i = 0, k = 0;
    while (i < before->count || k < after->count) {
        int order = i == before->count  ? 1
                    : k == after->count ? -1
                                        : compare_places(&old[i], &new[k]);
        const Finding *was = order <= 0 ? old[i++] : NULL, *is = order >= 0 ? new[k++] : NULL;
        note(n, was, is, is ? is->verdict : VERDICT_OUT);
    }
    arena_free(&scratch);
}

static void compare_judged(Noting *n, const Judgement *before, const Judgement *after)
{
    bool numbered = !n->outcome->other_records && before->count == after->count;
    for (size_t i = 0; numbered && i < before->count; i++)
        note(n, before->numbered[i], after->numbered[i], after->numbered[i]->verdict);
    if (!numbered)
        compare_by_place(n, before, after);
}

/* ---- Outcomes kept ---- */

static size_t slot_of(const char *key)
{
    size_t hash = 5381;
    for (; *key; key++)
        hash = hash * 33 + (unsigned char)*key;
    return hash % OUTCOME_SLOTS;
}

/* The columns with the outcome's settings, to be ended, and the judgement they are of; NULL
 * where there can be none. */
static const Judgement *settings_laid(Remedies *remedies, const Outcome *outcome, Overlay *overlay)
{
    const Judgement *before = remedies->ground.judgement;
    const Judgement *after =
        outcome->in_cells ? before : world_of(remedies, outcome->settings, outcome->setting_count);
    if (!after)
        return NULL;
    overlay_start(overlay, before->columns, after->columns);
    for (size_t i = 0; i < outcome->setting_count; i++)
        if ((outcome->in_cells || outcome->settings[i].axis->redraw) &&
            columns_alike(before->columns, after->columns))
            overlay_set(overlay, outcome->settings[i].axis, outcome->settings[i].value);
    return after;
}

static bool any_redrawn(const Outcome *outcome)
{
    bool redrawn = outcome->in_cells;
    for (size_t i = 0; i < outcome->setting_count; i++)
        redrawn = redrawn || outcome->settings[i].axis->redraw;
    return redrawn;
}

static void work_out(Remedies *remedies, Outcome *outcome)
{
    const Judgement *before = remedies->ground.judgement;
    Overlay overlay;
    const Judgement *after = settings_laid(remedies, outcome, &overlay);
    outcome->possible = after != NULL;
    if (!after)
        return;
    outcome->other_records = !columns_alike(before->columns, &overlay.columns);
    if (!outcome->other_records)
        outcome->touched = touched_cells(remedies, &overlay.columns, &outcome->any_touched);
    Noting noting = {remedies, outcome, &overlay.columns, 0};
    if (any_redrawn(outcome) && !outcome->other_records)
        judge_touched(&noting);
    else
        compare_judged(&noting, before, after);
    overlay_end(&overlay);
}

static Outcome outcome_new(const Setting *settings, size_t count, bool in_cells)
{
    Outcome outcome = {.setting_count = count, .in_cells = in_cells};
    for (size_t i = 0; i < count; i++)
        outcome.settings[i] = settings[i];
    return outcome;
}

/* Fields of which some value changed. */
static void learn(Remedies *remedies, const Outcome *outcome)
{
    FieldId field = outcome->settings[0].axis->field;
    if (!outcome->alone || !outcome->possible || !(outcome->any_touched || outcome->other_records))
        return;
    FieldReach *reach = &remedies->reach[field];
    reach->known = true;
    reach->records = reach->records || outcome->other_records;
    for (int id = 0; id < FIELD_ID_COUNT && outcome->touched; id++)
        for (size_t i = remedies->field_start[id]; i < remedies->field_start[id + 1]; i++)
            reach->fields[id] = reach->fields[id] || outcome->touched[i];
}

const Outcome *outcome_of(Remedies *remedies, const Setting *settings, size_t count)
{
    const char *key = key_of(remedies, settings, count, true);
    Outcome **slot = &remedies->outcomes[slot_of(key)];
    for (const Outcome *known = *slot; known; known = known->next)
        if (strcmp(known->key, key) == 0)
            return known;
    Outcome *outcome = ARENA_NEW(&remedies->arena, Outcome, 1);
    bool redrawn = true;
    for (size_t i = 0; i < count; i++)
        redrawn = redrawn && settings[i].axis->redraw;
    *outcome = outcome_new(settings, count, redrawn);
    outcome->key = key;
    outcome->alone = count == 1 ? settings[0].axis->path : NULL;
    outcome->next = *slot;
    *slot = outcome;
    work_out(remedies, outcome);
    learn(remedies, outcome);
    return outcome;
}

Outcome outcome_in_cells(Remedies *remedies, const Setting *settings, size_t count)
{
    Outcome outcome = outcome_new(settings, count, true);
    work_out(remedies, &outcome);
    return outcome;
}

const FieldReach *outcome_reach(const Remedies *remedies, const Axis *axis)
{
    const FieldReach *reach = &remedies->reach[axis->field];
    return reach->known ? reach : NULL;
}

ChangedFinding *outcome_finding(const Outcome *outcome, const Finding *finding)
{
    for (size_t i = 0; i < outcome->count; i++)
        if (outcome->items[i].finding == finding)
            return &outcome->items[i];
    return NULL;
}

Verdict outcome_verdict(const Outcome *outcome, const Finding *finding)
{
    const ChangedFinding *changed = outcome_finding(outcome, finding);
    return changed ? changed->after : finding->verdict;
}

/* On columns of which no judgement is: by the plain evaluator. */
static Risk risk_in_cells(const Remedies *remedies, const Overlay *overlay, const Finding *there)
{
    Arena scratch = {0};
    const Columns *columns = &overlay->columns;
    Finding again = again_finding(&scratch, remedies->ground.judgement, there, columns, NULL);
    Risk risk = again_risk(columns, &again);
    arena_free(&scratch);
    return risk;
}

static Risk risk_after(Remedies *remedies, const Outcome *outcome, const Finding *finding)
{
    const Columns *before = remedies->ground.judgement->columns;
    Risk risk = {.assumed = true};
    Overlay overlay;
    Finding there;
    const Judgement *after = settings_laid(remedies, outcome, &overlay);
    if (!after)
        return risk;
    if (!outcome->other_records && !any_redrawn(outcome))
        risk = finding_risk(after, after->numbered[finding->number]);
    else if (finding_there(before, &overlay.columns, finding, &there))
        risk = risk_in_cells(remedies, &overlay, &there);
    overlay_end(&overlay);
    return risk;
}

double outcome_risk(Remedies *remedies, const Outcome *outcome, const Finding *finding)
{
    ChangedFinding *changed = outcome_finding(outcome, finding);
    if (!changed)
        return finding_risk(remedies->ground.judgement, finding).share;
    if (changed->after != VERDICT_TIGHT)
        return (double)NAN;
    if (!changed->risk_known) {
        Risk risk = risk_after(remedies, outcome, finding);
        changed->risk = risk.assumed ? (double)NAN : risk.share;
        changed->risk_known = true;
    }
    return changed->risk;
}

/* The remedies of a finding: every value its rule gives, one after the other, then two
 * together. For whoever shows findings. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "remedy/inside.h"
#include "style/patch.h"

static const double risk_most = 0.05;

/* ---- New and free ---- */

/* With alternative and patches; its mirrors as they are written. */
static const YamlNode *tree_of(Remedies *remedies)
{
    const RemedyGround *ground = &remedies->ground;
    Arena *arena = &remedies->arena;
    Messages ignored = {0};
    Patch *patches;
    size_t count;
    const YamlNode *root = ground->file->root;
    if (patch_alternative(arena, root, ground->alternative, &patches, &count, &ignored)) {
        const YamlNode *tree = patch_tree(arena, root, patches, count, &ignored);
        root = tree ? tree : root;
        tree = patch_tree(arena, root, ground->patches, ground->patch_count, &ignored);
        root = tree ? tree : root;
    }
    messages_free(&ignored);
    return root;
}

Remedies *remedies_new(const RemedyGround *ground)
{
    Remedies *remedies = memory_new(1, sizeof *remedies);
    const Judgement *judgement = ground->judgement;
    remedies->ground = *ground;
    remedies->tree = tree_of(remedies);
    remedies->style_shelf = style_shelf_new();
    remedies->own_shelf = !judgement->shelf;
    remedies->shelf = remedies->own_shelf ? judge_shelf_new() : judgement->shelf;
    remedies->known = ARENA_NEW(&remedies->arena, Known, judgement->count);
    remedies->reach = ARENA_NEW(&remedies->arena, FieldReach, FIELD_ID_COUNT);
    for (int id = 0; id < FIELD_ID_COUNT; id++)
        remedies->field_start[id + 1] =
            remedies->field_start[id] + judgement->columns->count[field_at((FieldId)id)->subject];
    return remedies;
}

void remedies_free(Remedies *remedies)
{
    if (!remedies)
        return;
    worlds_close(remedies);
    if (remedies->own_shelf)
        judge_shelf_free(remedies->shelf);
    style_shelf_free(remedies->style_shelf);
    arena_free(&remedies->arena);
    free(remedies);
}

static Known *known_of(Remedies *remedies, const Finding *finding)
{
    return &remedies->known[finding - remedies->ground.judgement->findings];
}

size_t remedies_reads(Remedies *remedies, const Finding *finding, const AgainRead **reads)
{
    Known *known = known_of(remedies, finding);
    if (!known->read) {
        AgainRead *items;
        known->read_count =
            again_reads(&remedies->arena, remedies->ground.judgement->columns, finding, &items);
        known->reads = items;
        known->read = true;
    }
    *reads = known->reads;
    return known->read_count;
}

const Known *remedies_lanes(Remedies *remedies, const Finding *finding)
{
    const Judgement *judgement = remedies->ground.judgement;
    Known *known = known_of(remedies, finding);
    if (known->lanes)
        return known;
    uint32_t *lanes, *alike;
    known->lane_count = again_lanes(&remedies->arena, judgement, finding, &lanes, &alike);
    known->alike = alike;
    bool *applied = ARENA_NEW(&remedies->arena, bool, known->lane_count);
    for (size_t i = 0; i < known->lane_count; i++)
        applied[i] = again_as_written(judgement->columns, finding, lanes[i]).applies;
    known->lanes = lanes;
    known->applied = applied;
    return known;
}

/* ---- Settings and what they reach ---- */

Setting setting_of(Remedies *remedies, const Axis *axis, double value)
{
    return (Setting){axis, value, axis_text(&remedies->arena, axis, value)};
}

bool settings_reach(Remedies *remedies, const Finding *finding, const Setting *settings,
                    size_t count, RemedyAim aim)
{
    const Outcome *outcome = outcome_of(remedies, settings, count);
    Verdict verdict = outcome_verdict(outcome, finding);
    if (verdict == VERDICT_PASS || verdict == VERDICT_OUT)
        return outcome->possible;
    return outcome->possible && aim == REMEDY_TIGHT && verdict == VERDICT_TIGHT &&
           !(outcome_risk(remedies, outcome, finding) > risk_most);
}

static bool is_open(Verdict verdict)
{
    return verdict == VERDICT_FLAG || verdict == VERDICT_UNKNOWN || verdict == VERDICT_TIGHT;
}

static size_t side_effects(Remedies *remedies, const Outcome *outcome, const Finding *finding,
                           bool raised, const SideEffect **effects)
{
    SideEffect *items = NULL;
    size_t count = 0, capacity = 0;
    for (size_t i = 0; i < outcome->count; i++) {
        const ChangedFinding *changed = &outcome->items[i];
        Verdict before = changed->finding ? changed->finding->verdict : VERDICT_OUT;
        bool worse = is_open(changed->after) && changed->after > before;
        bool better = is_open(before) && !is_open(changed->after);
        if (changed->finding != finding && (raised ? worse : better))
            *ARENA_PUSH(&remedies->arena, items, count, capacity) =
                (SideEffect){changed->rule, changed->place, before, changed->after};
    }
    *effects = items;
    return count;
}

static RemedyChange change_of(const Setting *setting)
{
    const Axis *axis = setting->axis;
    bool choice = axis->kind == AXIS_CHOICE;
    double now = axis->quantity.nominal;
    return (RemedyChange){
        .path = axis->path,
        .field = axis->field,
        .record = axis->record,
        .name = axis->name,
        .giver = axis->giver,
        .asks_line = axis->asks_line,
        .redraw = axis->redraw,
        .tolerance = axis->kind == AXIS_TOLERANCE,
        .from = axis->from,
        .to = setting->text,
        .from_value = choice ? (double)NAN : now,
        .to_value = choice                         ? (double)NAN
                    : axis->kind == AXIS_TOLERANCE ? now
                                                   : setting->value,
        .unit = choice ? NULL : axis->unit,
    };
}

Remedy remedy_of(Remedies *remedies, const Finding *finding, RemedyAim aim, const Setting *settings,
                 size_t count)
{
    const Outcome *outcome = outcome_of(remedies, settings, count);
    Remedy remedy = {.aim = aim, .change_count = count};
    if (outcome_verdict(outcome, finding) == VERDICT_TIGHT)
        remedy.risk = outcome_risk(remedies, outcome, finding);
    for (size_t i = 0; i < count; i++)
        remedy.changes[i] = change_of(&settings[i]);
    remedy.clear_count = side_effects(remedies, outcome, finding, false, &remedy.clears);
    remedy.raise_count = side_effects(remedies, outcome, finding, true, &remedy.raises);
    return remedy;
}

/* ---- One number ---- */

typedef struct Building {
    Remedies *remedies;
    const Finding *finding;
    bool aims[2]; /* by RemedyAim: is it still to be reached? */
    Axis *axes;
    size_t axis_count;
    Remedy *items;
    size_t count, capacity;
    NoRemedy *none;
    size_t none_count, none_capacity;
} Building;

static bool raises_nothing(Building *b, const Outcome *outcome)
{
    const SideEffect *effects;
    return side_effects(b->remedies, outcome, b->finding, true, &effects) == 0;
}

/* Whether the value next to it on the scale, nearer to the present one, does not do. */
static bool is_first(Building *b, const Setting *setting, RemedyAim aim)
{
    const Axis *axis = setting->axis;
    bool up = setting->value > axis->now;
    long index = axis_start(axis, up);
    while (up ? axis_value(axis, index) < setting->value : axis_value(axis, index) > setting->value)
        index += up ? 1 : -1;
    Setting nearer = setting_of(b->remedies, axis, axis_value(axis, index + (up ? -1 : 1)));
    return !settings_reach(b->remedies, b->finding, &nearer, 1, aim);
}

/* The nearest on the scale, judged on the whole style. What is found in the cells alone
 * stands if the rule reads nothing else that the value is worked into, or else if the
 * whole style says so of the value before it. */
typedef enum Tried { TRIED_NONE, TRIED_WRONG, TRIED_GOOD } Tried;

static Tried try_number(Building *b, const Axis *axis, RemedyAim aim, bool leave, bool measured,
                        Setting *setting)
{
    Search search;
    double value;
    search_start(&search, b->remedies, b->finding, axis, NULL);
    search.leave = leave;
    search.measured = measured;
    int rank = aim == REMEDY_PASS ? RANK_PASS : RANK_TIGHT;
    bool found =
        (!measured || search_may_find(&search, rank)) && search_nearest(&search, rank, &value);
    search_end(&search);
    if (!found)
        return TRIED_NONE;
    *setting = setting_of(b->remedies, axis, value);
    if (leave && !measured) {
        Outcome cells = outcome_in_cells(b->remedies, setting, 1);
        if (!raises_nothing(b, &cells))
            return TRIED_NONE;
    }
    const Outcome *outcome = outcome_of(b->remedies, setting, 1);
    bool good =
        settings_reach(b->remedies, b->finding, setting, 1, aim) &&
        (!leave || raises_nothing(b, outcome)) &&
        (measured || axis->redraw || outcome_is_direct(b->remedies, outcome, b->finding, axis) ||
         is_first(b, setting, aim));
    return good ? TRIED_GOOD : TRIED_WRONG;
}

/* Leaving the reach of the rule is a remedy only where nothing else is raised by it: a
 * smaller radius is none because the rule for its kind of bend no longer asks. */
static bool number_for(Building *b, const Axis *axis, RemedyAim aim, Setting *setting)
{
    for (int leave = 0; leave < 2; leave++) {
        Tried tried = try_number(b, axis, aim, leave, false, setting);
        bool doubtful = tried == TRIED_WRONG || (tried == TRIED_NONE && !leave &&
                                                 !axis_is_direct(b->remedies, b->finding, axis));
        if (doubtful && !axis->redraw)
            tried = try_number(b, axis, aim, leave, true, setting);
        if (tried == TRIED_GOOD)
            return true;
    }
    return false;
}

/* "even at its least, 0.5 mm, it stays a flag" */
static const char *why_none(Building *b, const Axis *axis)
{
    Arena *arena = &b->remedies->arena;
    Search search;
    const char *reason = "no value of it clears this without raising something else";
    Verdict best = VERDICT_COUNT;
    double nearest = -INFINITY;
    search_start(&search, b->remedies, b->finding, axis, NULL);
    search.measured = !axis_is_direct(b->remedies, b->finding, axis);
    for (int up = 0; up < 2; up++) {
        bool leaves;
        double value = axis_value(axis, axis_end(axis, up)), margin;
        Verdict after = search_verdict(&search, value, &leaves, &margin);
        if (leaves || !is_open(after) || after > best || (after == best && !(margin > nearest)))
            continue;
        best = after;
        nearest = margin;
        reason = arena_printf(arena, "even at its %s, %s, it %s %s", up ? "most" : "least",
                              axis_text(arena, axis, value),
                              after == b->finding->verdict ? "stays" : "is",
                              after == VERDICT_FLAG ? "a flag" : verdict_name(after));
    }
    search_end(&search);
    return reason;
}

static void add_none(Building *b, const Axis *axis, const char *reason)
{
    *ARENA_PUSH(&b->remedies->arena, b->none, b->none_count, b->none_capacity) =
        (NoRemedy){axis->name, axis->giver, reason};
}

static void add_remedy(Building *b, RemedyAim aim, const Setting *settings, size_t count)
{
    *ARENA_PUSH(&b->remedies->arena, b->items, b->count, b->capacity) =
        remedy_of(b->remedies, b->finding, aim, settings, count);
}

static void take_number(Building *b, const Axis *axis)
{
    Setting tight, pass;
    /* what is judged for the first, with its risk, is known to the second */
    bool reaches_tight = b->aims[REMEDY_TIGHT] && number_for(b, axis, REMEDY_TIGHT, &tight);
    bool reaches_pass = b->aims[REMEDY_PASS] && number_for(b, axis, REMEDY_PASS, &pass);
    if (reaches_tight && !(reaches_pass && tight.value == pass.value))
        add_remedy(b, REMEDY_TIGHT, &tight, 1);
    if (reaches_pass)
        add_remedy(b, REMEDY_PASS, &pass, 1);
    if (!reaches_tight && !reaches_pass && axis->kind == AXIS_NUMBER)
        add_none(b, axis, why_none(b, axis));
}

/* ---- Words and names ---- */

static void take_choice(Building *b, const Axis *axis)
{
    size_t before = b->count;
    for (size_t i = 0; i < axis->option_count; i++) {
        Setting setting = {axis, (double)i, axis->options[i]};
        if (settings_reach(b->remedies, b->finding, &setting, 1, REMEDY_PASS))
            add_remedy(b, REMEDY_PASS, &setting, 1);
        else if (b->aims[REMEDY_TIGHT] &&
                 settings_reach(b->remedies, b->finding, &setting, 1, REMEDY_TIGHT))
            add_remedy(b, REMEDY_TIGHT, &setting, 1);
    }
    if (b->count == before)
        add_none(b, axis,
                 axis->option_count == 1 ? "the other does not help" : "none of the others helps");
}

/* ---- Two values ---- */

static bool is_alone(const Building *b, RemedyAim aim)
{
    for (size_t i = 0; i < b->count; i++)
        if (b->items[i].aim >= aim && b->items[i].changes[0].giver != GIVER_LINE &&
            !b->items[i].changes[0].asks_line)
            return true;
    return false;
}

static bool same_pair(const Setting one[2], const Setting other[2])
{
    return one[0].axis == other[0].axis && one[0].value == other[0].value &&
           one[1].axis == other[1].axis && one[1].value == other[1].value;
}

static bool pair_for(Building *b, RemedyAim aim, Setting settings[2])
{
    return b->aims[aim] && !is_alone(b, aim) &&
           pair_of(b->remedies, b->finding, b->axes, b->axis_count, aim, settings);
}

static void take_pairs(Building *b)
{
    Setting tight[2], pass[2];
    /* to make a risk smaller is not worth changing two values */
    bool reaches_tight = b->finding->verdict == VERDICT_FLAG && pair_for(b, REMEDY_TIGHT, tight);
    bool reaches_pass = pair_for(b, REMEDY_PASS, pass);
    if (reaches_tight && !(reaches_pass && same_pair(tight, pass)))
        add_remedy(b, REMEDY_TIGHT, tight, 2);
    if (reaches_pass)
        add_remedy(b, REMEDY_PASS, pass, 2);
}

/* ---- All of one finding ---- */

static void take_aims(Building *b)
{
    const Judgement *judgement = b->remedies->ground.judgement;
    b->aims[REMEDY_PASS] = true;
    b->aims[REMEDY_TIGHT] = b->finding->verdict == VERDICT_FLAG ||
                            finding_risk(judgement, b->finding).share > risk_most;
}

static const RemedyList *build(Remedies *remedies, const Finding *finding)
{
    Building b = {.remedies = remedies, .finding = finding};
    RemedyList *list = ARENA_NEW(&remedies->arena, RemedyList, 1);
    if (finding->verdict != VERDICT_FLAG && finding->verdict != VERDICT_TIGHT)
        return list;
    take_aims(&b);
    b.axis_count = axes_of(remedies, finding, &b.axes);
    for (size_t i = 0; i < b.axis_count; i++) {
        const Axis *axis = &b.axes[i];
        if (axis->elsewhere)
            continue;
        if (axis->refused)
            add_none(&b, axis, axis->refused);
        else if (axis->kind == AXIS_CHOICE)
            take_choice(&b, axis);
        else
            take_number(&b, axis);
    }
    take_pairs(&b);
    *list = (RemedyList){b.items, b.count, b.none, b.none_count};
    return list;
}

const RemedyList *remedies_of(Remedies *remedies, const Finding *finding)
{
    Known *known = known_of(remedies, finding);
    if (!known->listed)
        known->list = build(remedies, finding);
    known->listed = true;
    return known->list;
}

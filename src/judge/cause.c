/* Where each finding must be mended, and the part it is listed under.
 * For src/judge only. */
#include <string.h>

#include "judge/inside.h"

/* --- paths that are kept -------------------------------------------------------- */

/* The path in the style's file of a record: "parts.vamp.edges.throat.bends.1".
 * Records that no style file holds (machines, plies) give "". */
static const char *file_path(Arena *arena, Subject subject, const char *name)
{
    static const char *const between[SUBJECT_COUNT][3] = {
        [SUBJECT_LAST] = {"last"},           [SUBJECT_BOTTOM] = {"bottom"},
        [SUBJECT_MATERIAL] = {"materials"},  [SUBJECT_PART] = {"parts"},
        [SUBJECT_EDGE] = {"parts", "edges"}, [SUBJECT_BEND] = {"parts", "edges", "bends"},
        [SUBJECT_HOLE] = {"holes"},          [SUBJECT_SEAM] = {"seams"},
        [SUBJECT_ROW] = {"seams", "rows"},   [SUBJECT_SPOT] = {"seams", "spots"},
    };
    Text text = {0};
    const char *at = name;
    for (size_t i = 0; i < 3 && between[subject][i]; i++) {
        size_t length = strcspn(at, ".");
        text_addf(&text, "%s%s%s", i ? "." : "", between[subject][i], length ? "." : "");
        text_add_bytes(&text, at, length);
        at += length + (at[length] == '.');
    }
    const char *path = arena_copy(arena, text_string(&text), text.length);
    text_free(&text);
    return path;
}

static bool lies_within(const char *path, const char *kept)
{
    size_t length = strlen(kept);
    return strncmp(path, kept, length) == 0 && (path[length] == '\0' || path[length] == '.');
}

static bool is_kept(Arena *arena, const Judgement *judgement, const Field *field, int32_t record)
{
    const char *path =
        file_path(arena, field->subject, judgement->columns->names[field->subject][record]);
    path = path[0] ? arena_printf(arena, "%s.%s", path, field->name) : field->name;
    bool in_style = field->subject != SUBJECT_MACHINE && field->subject != SUBJECT_FACTORY &&
                    field->subject != SUBJECT_PLY && field->subject != SUBJECT_STEP;
    for (size_t i = 0; in_style && i < judgement->style->keep_count; i++)
        if (lies_within(path, judgement->style->keeps[i]->text))
            return true;
    return false;
}

/* --- causes --------------------------------------------------------------------- */

static Cause place_cause(const Judgement *judgement, const Finding *finding)
{
    Subject about = finding->rule->about;
    return (Cause){&judgement->columns->names[about][finding->record], finding->place,
                   GIVER_NOBODY, finding->at};
}

bool finding_may_give(const Judgement *judgement, const Finding *finding, const Give *give)
{
    Arena arena = {0};
    Look look;
    look_as_decided(&look, judgement, finding);
    int32_t record = plain_record(&look.plain, &give->record);
    bool may = record >= 0 && !is_kept(&arena, judgement, field_at(give->field), record);
    arena_free(&arena);
    return may;
}

static Cause value_cause(Arena *arena, const Judgement *judgement, FieldId id, int32_t record)
{
    const Columns *columns = judgement->columns;
    const Field *field = field_at(id);
    const Origin *const *origins = columns->fields[id].origins;
    const Origin *origin = origins ? origins[record] : NULL;
    const void *key = origin && origin->source ? origin->source
                                               : &columns->names[field->subject][record];
    return (Cause){key, look_name(arena, columns, field->subject, record),
                   field->giver,
                   origin && origin->at.file ? origin->at
                                             : columns->places[field->subject][record]};
}

static bool is_written(const Columns *columns, FieldId id, int32_t record)
{
    const Origin *const *origins = columns->fields[id].origins;
    return origins && origins[record]->at.file;
}

/* The first value the rule gives that is written here and not kept, else the
 * first that could be written. */
static Cause give_cause(Arena *arena, const Judgement *judgement, const Finding *finding,
                        const Look *look)
{
    const Rule *rule = finding->rule;
    for (int written = 1; written >= 0; written--)
        for (size_t i = 0; i < rule->give_count; i++) {
            const Give *give = &rule->gives[i];
            int32_t record = plain_record(&look->plain, &give->record);
            if (record < 0 || (written && !is_written(judgement->columns, give->field, record)) ||
                is_kept(arena, judgement, field_at(give->field), record))
                continue;
            return value_cause(arena, judgement, give->field, record);
        }
    return place_cause(judgement, finding);
}

static Cause cause_of(Arena *arena, const Judgement *judgement, const Finding *finding)
{
    if (finding->verdict == VERDICT_OUT || finding->verdict == VERDICT_OFF)
        return place_cause(judgement, finding);
    Look look;
    if (finding->verdict == VERDICT_UNKNOWN)
        look_at(&look, arena, judgement, finding, finding_worst_lane(judgement, finding));
    else
        look_as_decided(&look, judgement, finding);
    if (finding->verdict == VERDICT_UNKNOWN && look.missing.key)
        return (Cause){look.missing.key, look.missing.name, look.missing.giver,
                       look.missing.at.file ? look.missing.at : finding->at};
    return give_cause(arena, judgement, finding, &look);
}

/* Where a cause stands in the table of those met so far, or the place for it. */
static const Cause **cause_slot(const Later *later, const void *key)
{
    size_t slot = ((uintptr_t)key * 0x9e3779b97f4a7c15u >> 17) & later->cause_mask;
    while (later->causes[slot] && later->causes[slot]->key != key)
        slot = (slot + 1) & later->cause_mask;
    return &later->causes[slot];
}

const Cause *finding_cause(const Judgement *judgement, const Finding *finding)
{
    FindingLater *later = later_of(judgement, finding);
    if (later->cause)
        return later->cause;
    Arena *arena = &judgement->later->arena;
    Cause cause = cause_of(arena, judgement, finding);
    const Cause **slot = cause_slot(judgement->later, cause.key);
    if (!*slot) {
        Cause *kept = ARENA_NEW(arena, Cause, 1);
        *kept = cause;
        *slot = kept;
    }
    return later->cause = *slot;
}

/* --- parts ------------------------------------------------------------------------- */

static int32_t first_part_of_material(const Columns *columns, int32_t material)
{
    for (uint32_t part = 0; part < columns->count[SUBJECT_PART]; part++)
        if (judge_follow(columns, SUBJECT_PART, (int32_t)part, "material") == material)
            return (int32_t)part;
    return -1;
}

static int32_t part_of_seam(const Columns *columns, int32_t seam)
{
    int32_t edge = judge_follow(columns, SUBJECT_SEAM, seam, "edge");
    return judge_follow(columns, SUBJECT_EDGE, edge, "part");
}

static int32_t part_index(const Columns *columns, Subject about, int32_t record)
{
    switch (about) {
    case SUBJECT_PART:
        return record;
    case SUBJECT_BEND:
        record = judge_follow(columns, SUBJECT_BEND, record, "edge");
        return judge_follow(columns, SUBJECT_EDGE, record, "part");
    case SUBJECT_EDGE:
    case SUBJECT_HOLE:
    case SUBJECT_PLY:
        return judge_follow(columns, about, record, "part");
    case SUBJECT_SEAM:
        return part_of_seam(columns, record);
    case SUBJECT_STEP:
        return part_index(columns, SUBJECT_ROW, judge_follow(columns, SUBJECT_STEP, record, "row"));
    case SUBJECT_ROW:
    case SUBJECT_SPOT:
        return part_of_seam(columns, judge_follow(columns, about, record, "seam"));
    case SUBJECT_MATERIAL:
        return first_part_of_material(columns, record);
    default:
        return -1;
    }
}

const char *part_listed(const Columns *columns, Subject about, uint32_t record)
{
    if (about == SUBJECT_MACHINE || about == SUBJECT_FACTORY)
        return "factory";
    int32_t part = part_index(columns, about, (int32_t)record);
    return part < 0 ? "style" : columns->names[SUBJECT_PART][part];
}

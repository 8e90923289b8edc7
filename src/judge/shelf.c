/* What one judging keeps for the next: what was measured, compiled rules, the judgements
 * that live. For src/judge; the review owns shelves. */
#include <stdlib.h>

#include "judge/inside.h"

struct JudgeShelf {
    MeasureShelf *measures;
    Judgement *newest;
    Arena arena;          /* of the code */
    const RuleSet *rules; /* that are compiled; NULL: none yet */
    ShelfCode *together;  /* by subject; no code: not asked for */
    ShelfCode *alone;     /* by rule */
};

JudgeShelf *judge_shelf_new(void)
{
    JudgeShelf *shelf = memory_new(1, sizeof *shelf);
    shelf->measures = measure_shelf_new();
    return shelf;
}

void judge_shelf_free(JudgeShelf *shelf)
{
    if (!shelf)
        return;
    measure_shelf_free(shelf->measures);
    arena_free(&shelf->arena);
    free(shelf);
}

MeasureShelf *shelf_measures(JudgeShelf *shelf)
{
    return shelf ? shelf->measures : NULL;
}

/* ---- Judgements that live ---- */

const Judgement *shelf_newest(const JudgeShelf *shelf, const RuleSet *rules)
{
    const Judgement *newest = shelf ? shelf->newest : NULL;
    while (newest && newest->rules != rules)
        newest = newest->older;
    return newest;
}

void shelf_enter(JudgeShelf *shelf, Judgement *judgement)
{
    if (!shelf)
        return;
    judgement->older = shelf->newest;
    if (judgement->older)
        judgement->older->newer = judgement;
    shelf->newest = judgement;
}

void shelf_leave(Judgement *judgement)
{
    if (!judgement->shelf)
        return;
    for (Judgement *newer = judgement->newer; newer; newer = newer->newer)
        if (newer->last == judgement)
            newer->last = NULL;
    if (judgement->newer)
        judgement->newer->older = judgement->older;
    else
        judgement->shelf->newest = judgement->older;
    if (judgement->older)
        judgement->older->newer = judgement->newer;
}

/* ---- Compiled rules ---- */

static ShelfCode compile(Arena *arena, const RuleSet *set, Subject about, const uint32_t *rules,
                         size_t count)
{
    Arena scratch = {0};
    Rule **of = ARENA_NEW(&scratch, Rule *, count);
    uint32_t *place = ARENA_NEW(arena, uint32_t, set->rule_count);
    for (size_t i = 0; i < count; i++) {
        of[i] = set->rules[rules[i]];
        place[rules[i]] = (uint32_t)i;
    }
    ShelfCode code = {code_compile_spares(arena, about, of, count), place};
    arena_free(&scratch);
    return code;
}

static ShelfCode compile_together(Arena *arena, const RuleSet *set, Subject about)
{
    Arena scratch = {0};
    uint32_t *rules = ARENA_NEW(&scratch, uint32_t, set->rule_count);
    size_t count = 0;
    for (uint32_t i = 0; i < set->rule_count; i++)
        if (set->rules[i]->about == about && !set->rules[i]->off_reason)
            rules[count++] = i;
    ShelfCode code = compile(arena, set, about, rules, count);
    arena_free(&scratch);
    return code;
}

/* What is compiled of other rules is let go. */
static void take_rules(JudgeShelf *shelf, const RuleSet *set)
{
    if (shelf->rules == set)
        return;
    arena_free(&shelf->arena);
    shelf->arena = (Arena){0};
    shelf->rules = set;
    shelf->alone = ARENA_NEW(&shelf->arena, ShelfCode, set->rule_count);
    shelf->together = ARENA_NEW(&shelf->arena, ShelfCode, SUBJECT_COUNT);
}

ShelfCode shelf_alone(JudgeShelf *shelf, const RuleSet *set, uint32_t rule)
{
    take_rules(shelf, set);
    ShelfCode *kept = &shelf->alone[rule];
    if (!kept->code)
        *kept = compile(&shelf->arena, set, set->rules[rule]->about, &rule, 1);
    return *kept;
}

ShelfCode shelf_together(JudgeShelf *shelf, Arena *arena, const RuleSet *set, Subject about)
{
    if (!shelf)
        return compile_together(arena, set, about);
    take_rules(shelf, set);
    ShelfCode *kept = &shelf->together[about];
    if (!kept->code)
        *kept = compile_together(&shelf->arena, set, about);
    return *kept;
}

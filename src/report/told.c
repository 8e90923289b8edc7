/* Which findings are told, and whose they are. For the forms of src/report and for src/cli. */
#include "report/told.h"

bool told_to_settle(const Finding *finding)
{
    return finding_is_open(finding);
}

const RemedyList *told_remedies(const Told *told, const Finding *finding)
{
    static const RemedyList none;
    if (told->remedies == NULL)
        return &none;
    return remedies_of(told->remedies, finding);
}

bool told_alone(const Remedy *remedy, Giver giver)
{
    for (size_t i = 0; i < remedy->change_count; i++)
        if (remedy->changes[i].giver != giver ||
            (remedy->changes[i].asks_line && giver != GIVER_LINE))
            return false;
    return remedy->change_count > 0;
}

/* An unknown is found out by whose value is missing. */
static bool can_solve(const Told *told, const Finding *finding, Giver giver)
{
    if (finding->verdict == VERDICT_UNKNOWN)
        return finding_cause(told->decisions->judgement, finding)->giver == giver;
    const RemedyList *remedies = told_remedies(told, finding);
    for (size_t i = 0; i < remedies->count; i++)
        if (told_alone(&remedies->items[i], giver))
            return true;
    return false;
}

bool told_is(const Told *told, const Finding *finding, const Telling *telling)
{
    if (!told_to_settle(finding))
        return telling->all && !telling->by_giver;
    return !telling->by_giver || can_solve(told, finding, telling->giver);
}

size_t told_hidden(const Told *told, const Telling *telling)
{
    const Judgement *judgement = told->decisions->judgement;
    size_t hidden = 0;
    for (size_t i = 0; i < judgement->count; i++)
        hidden += told_to_settle(&judgement->findings[i]) &&
                  !told_is(told, &judgement->findings[i], telling);
    return hidden;
}

const char *told_release(const Decisions *decisions)
{
    switch (log_release(decisions)) {
    case 0:
        return decisions->permitted > 0 ? "released with deviation permits" : "released";
    case 1:
        return "held";
    default:
        return "no place judged";
    }
}

const char *told_whose(Giver giver)
{
    static const char *const whose[GIVER_COUNT] = {
        [GIVER_NOBODY] = "designer and developer",
        [GIVER_LINE] = "the line (designer)",
        [GIVER_PATTERN] = "the pattern (developer)",
        [GIVER_MATERIAL] = "the material (designer and developer)",
        [GIVER_MAKING] = "the making (developer)",
        [GIVER_MACHINE] = "the machine (factory)",
    };
    return whose[giver];
}

/* What every form of the findings is made from: a style judged against a factory, with its
 * decisions and remedies, and which of the findings are told. Knows judge, log and remedy. */
#ifndef CORDWAIN_REPORT_TOLD_H
#define CORDWAIN_REPORT_TOLD_H

#include "log/valid.h"
#include "remedy/remedy.h"

/* One style judged against one factory (or none). Owns nothing. */
typedef struct Told {
    const Decisions *decisions; /* with its judgement */
    Remedies *remedies;         /* of that judgement; NULL: none are told */
} Told;

/* Which findings are told. Zeroed: flags, unknowns and tight ones. */
typedef struct Telling {
    bool all;      /* also pass, out and off */
    bool by_giver; /* only what `giver` can solve alone; then `all` does not count */
    Giver giver;
} Telling;

/* A flag, an unknown or a tight one. */
bool told_to_settle(const Finding *finding);
/* Whether a finding is told. */
bool told_is(const Told *told, const Finding *finding, const Telling *telling);
/* How many to be settled are not told because others must give; 0 unless by giver. */
size_t told_hidden(const Told *told, const Telling *telling);

/* Whether `giver` can bring about the remedy alone: every change is its own, and no other has to
 * be asked. */
bool told_alone(const Remedy *remedy, Giver giver);
/* The remedies of a finding; none where `remedies` is NULL. */
const RemedyList *told_remedies(const Told *told, const Finding *finding);

/* "released", "released with deviation permits", "held", "no place judged"; as log_release() has
 * it. */
const char *told_release(const Decisions *decisions);
/* Whom a giver is: "the line (designer)", "the making (developer)". */
const char *told_whose(Giver giver);

#endif

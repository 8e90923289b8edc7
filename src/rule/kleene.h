/* Truths with what they can be and what they have to spare: the logic of the
 * plain evaluator. For src/rule only. */
#ifndef CORDWAIN_RULE_KLEENE_H
#define CORDWAIN_RULE_KLEENE_H

#include "rule/plain.h"

/* A truth that is the same everywhere in the box, without a comparison. */
PlainTruth truth_certain(const Plain *plain, Kleene value);
/* The spare of a test that compares nothing, deciding in these bindings. */
Spare spare_without(const Plain *plain, Kleene value);

PlainTruth truth_not(PlainTruth a);
PlainTruth truth_and(PlainTruth a, PlainTruth b);
PlainTruth truth_or(PlainTruth a, PlainTruth b);
PlainTruth truth_if(PlainTruth condition, PlainTruth yes, PlainTruth no);
/* What a member with this filter and body brings to `every` or `some`. */
PlainTruth truth_of_member(const Plain *plain, bool every, PlainTruth filter, PlainTruth body);

#endif

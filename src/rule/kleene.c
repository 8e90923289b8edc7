/* Kleene's three-valued logic over sets of possible values, with the spare of
 * the test that decides. For the plain evaluator only. */
#include "rule/kleene.h"

#include <math.h>
#include <string.h>

Spare spare_without(const Plain *plain, Kleene value)
{
    Spare spare = {.relative = value == KLEENE_UNKNOWN ? NAN
                               : value == KLEENE_TRUE  ? INFINITY
                                                       : -INFINITY};
    spare.amount = spare.relative;
    memcpy(spare.bindings, plain->bindings, sizeof spare.bindings);
    return spare;
}

PlainTruth truth_certain(const Plain *plain, Kleene value)
{
    return (PlainTruth){.nominal = value,
                        .can_true = value == KLEENE_TRUE,
                        .can_false = value == KLEENE_FALSE,
                        .can_unknown = value == KLEENE_UNKNOWN,
                        .spare = spare_without(plain, value)};
}

PlainTruth truth_not(PlainTruth a)
{
    bool could = a.can_true;
    a.can_true = a.can_false;
    a.can_false = could;
    a.nominal = (Kleene)(KLEENE_TRUE - a.nominal);
    a.spare.amount = 0 - a.spare.amount;
    a.spare.relative = 0 - a.spare.relative;
    return a;
}

/* Of the operands whose value is the result's, the one with the least to spare
 * (or, where one is enough, the greatest); ties in written order. */
static Spare decider(Kleene result, bool least, const PlainTruth *a, const PlainTruth *b)
{
    if (a->nominal != result || b->nominal != result) {
        return a->nominal == result ? a->spare : b->spare;
    }
    bool second =
        least ? b->spare.relative < a->spare.relative : b->spare.relative > a->spare.relative;
    return second ? b->spare : a->spare;
}

PlainTruth truth_and(PlainTruth a, PlainTruth b)
{
    PlainTruth both = {
        .nominal = a.nominal < b.nominal ? a.nominal : b.nominal,
        .can_true = a.can_true && b.can_true,
        .can_false = a.can_false || b.can_false,
        .can_unknown = (a.can_unknown && (b.can_unknown || b.can_true)) ||
                       (b.can_unknown && (a.can_unknown || a.can_true)),
    };
    both.spare = decider(both.nominal, true, &a, &b);
    return both;
}

PlainTruth truth_or(PlainTruth a, PlainTruth b)
{
    PlainTruth either = {
        .nominal = a.nominal > b.nominal ? a.nominal : b.nominal,
        .can_true = a.can_true || b.can_true,
        .can_false = a.can_false && b.can_false,
        .can_unknown = (a.can_unknown && (b.can_unknown || b.can_false)) ||
                       (b.can_unknown && (a.can_unknown || a.can_false)),
    };
    either.spare = decider(either.nominal, false, &a, &b);
    return either;
}

PlainTruth truth_if(PlainTruth condition, PlainTruth yes, PlainTruth no)
{
    bool first = condition.can_true, second = condition.can_false;
    PlainTruth branch = condition.nominal == KLEENE_TRUE    ? yes
                        : condition.nominal == KLEENE_FALSE ? no
                                                            : condition;
    return (PlainTruth){
        .nominal = branch.nominal,
        .can_true = (first && yes.can_true) || (second && no.can_true),
        .can_false = (first && yes.can_false) || (second && no.can_false),
        .can_unknown =
            condition.can_unknown || (first && yes.can_unknown) || (second && no.can_unknown),
        .spare = branch.spare,
    };
}

PlainTruth truth_of_member(const Plain *plain, bool every, PlainTruth filter, PlainTruth body)
{
    PlainTruth member = every ? truth_or(truth_not(filter), body) : truth_and(filter, body);
    if (filter.nominal == KLEENE_FALSE) {
        member.spare = spare_without(plain, every ? KLEENE_TRUE : KLEENE_FALSE);
    } else if (member.nominal == KLEENE_UNKNOWN && filter.nominal == KLEENE_UNKNOWN) {
        member.spare = filter.spare;
    } else {
        member.spare = body.spare;
    }
    return member;
}

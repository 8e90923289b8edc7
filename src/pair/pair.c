/* The list of a pair's numbers: sums, names, sentences. For the report, comparing and
 * the commands. */
#include <string.h>

#include "pair/pair_inside.h"

/* ---- Sums ---- */

void sum_missing(Pair *pair, Sum *sum, const char *what)
{
    if (sum->missing++ == 0)
        sum->first = arena_copy(pair->arena, what, strlen(what));
}

void sum_add(Pair *pair, Sum *sum, double amount, const char *what, const Record *record)
{
    if (!isnan(amount)) {
        sum->known += amount;
        return;
    }
    if (sum->missing++ == 0)
        sum->first = arena_printf(pair->arena, "%s of %s %s", what, subject_name(record->subject),
                                  record->path ? record->path : "");
}

void sum_add_all(Sum *sum, const Sum *other, double times)
{
    sum->known += times * other->known;
    if (sum->missing == 0)
        sum->first = other->first;
    sum->missing += other->missing;
}

static const char *missing_text(Pair *pair, const Sum *sum)
{
    if (sum->missing == 0)
        return NULL;
    if (sum->missing == 1)
        return sum->first;
    return arena_printf(pair->arena, "%s and %zu more", sum->first, sum->missing - 1);
}

void pair_list(Pair *pair, PairName name, const Sum *sum)
{
    double known = name.unit ? unit_from_base(name.unit, sum->known) : sum->known;
    *ARENA_PUSH(pair->arena, pair->items, pair->count, pair->capacity) =
        (PairNumber){.group = name.group,
                     .key = name.key,
                     .name = name.name,
                     .value = sum->missing ? NAN : known,
                     .least = known,
                     .unit = name.unit,
                     .missing = missing_text(pair, sum),
                     .assumes = name.assumes};
}

/* ---- Values ---- */

double pair_cell(const Pair *pair, FieldId id, const Record *record)
{
    return columns_nominal(pair->columns, id, record->index, pair->lane);
}

bool pair_is(const Pair *pair, FieldId id, const Record *record, const char *word)
{
    return pair_cell(pair, id, record) == word_index(field_at(id)->words, word, strlen(word));
}

const Record *pair_material(const Pair *pair, const Record *part)
{
    const Relation *relation = relation_find(SUBJECT_PART, "material", strlen("material"));
    int32_t material = column_one(&pair->columns->ones[relation_index(relation)],
                                  (int32_t)part->index, pair->lane);
    return material < 0 ? NULL : pair->style->lists[SUBJECT_MATERIAL].items[material];
}

double pair_limit(const Pair *pair, const char *name, double word)
{
    const Limit *limit = rules_limit(pair->judgement->rules, name);
    const LimitValue *value = limit ? limit_value(limit, word) : NULL;
    return value && value->given && !value->quantity.unknown ? value->quantity.nominal : NAN;
}

/* ---- All of them ---- */

PairNumbers pair_numbers(Arena *arena, const Judgement *judgement, uint32_t colourway)
{
    Pair pair = {.arena = arena,
                 .judgement = judgement,
                 .style = judgement->style,
                 .columns = judgement->columns,
                 .colourway = colourway};
    pair.lane = columns_base_lane(pair.columns, colourway);
    pair_pieces(&pair);
    pair_sewing(&pair);
    pair_thread(&pair);
    pair_materials(&pair);
    pair_minutes(&pair);
    return (PairNumbers){pair.items, pair.count};
}

/* ---- Said ---- */

/* "12,480": people read counts in thousands. */
static void say_count(Text *text, double value)
{
    char digits[32];
    int length = snprintf(digits, sizeof digits, "%.0f", value);
    for (int i = 0; i < length; i++) {
        text_addf(text, "%c", digits[i]);
        if ((length - i) % 3 == 1 && i < length - 1)
            text_add(text, ",");
    }
}

static void say_value(Text *text, const PairNumber *number, double value)
{
    if (!number->unit)
        say_count(text, value);
    else
        unit_write(text, unit_to_base(number->unit, value), number->unit->dimension,
                   number->unit->point, number->unit, false);
}

void pair_number_say(Text *text, const PairNumber *number)
{
    if (!number->missing) {
        say_value(text, number, number->value);
        return;
    }
    if (number->least > 0) {
        text_add(text, "at least ");
        say_value(text, number, number->least);
    } else {
        text_add(text, "unknown");
    }
    text_addf(text, " (%s missing)", number->missing);
}

/* What the files of src/making share. For src/making only. */
#ifndef CORDWAIN_MAKING_INSIDE_H
#define CORDWAIN_MAKING_INSIDE_H

#include "making/making.h"

/* An order being gone through. */
typedef struct Making {
    Arena *arena;
    const Judgement *judgement;
    const Style *style;
    const Columns *columns;
    uint32_t lane;        /* of the base size */
    Assembly *assembly;
    bool *done;           /* by part: what is done to it before its first seam */
    MakingOrder order;
    size_t capacity;
} Making;

Making making_new(Arena *arena, const Judgement *judgement);
void making_step(Making *making, const Seam *seam);

/* Nominal value in the base size; NaN: unknown. */
double making_number(const Making *making, FieldId id, const Record *record);
bool making_is(const Making *making, FieldId id, const Record *record, const char *word);

/* ---- operations.c ---- */
void operations_before(Making *making, MakingStep *step);
void operations_after(Making *making, MakingStep *step);

#endif

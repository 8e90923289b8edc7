/* Numbers with bounds, and reading and writing cells of columns by record.
 * For the files of src/measure only. */
#include <string.h>

#include "measure/measuring.h"

/* fmin() and fmax() without the call: what is not a number gives way. */
static double lesser(double a, double b)
{
    return a <= b || isnan(b) ? a : b;
}

static double greater(double a, double b)
{
    return a >= b || isnan(b) ? a : b;
}

Span span_multiply(Span a, Span b)
{
    if (isnan(a.nominal) || isnan(b.nominal))
        return span_exact(NAN);
    double p = a.lo * b.lo, q = a.lo * b.hi, r = a.hi * b.lo, s = a.hi * b.hi;
    return (Span){a.nominal * b.nominal, lesser(lesser(p, q), lesser(r, s)),
                  greater(greater(p, q), greater(r, s))};
}

Span span_absolute(Span a)
{
    if (a.lo >= 0)
        return a;
    if (a.hi <= 0)
        return (Span){-a.nominal, -a.hi, -a.lo};
    return (Span){fabs(a.nominal), isnan(a.nominal) ? NAN : 0, fmax(-a.lo, a.hi)};
}

Span span_most(Span a, Span b)
{
    if (isnan(a.nominal) || isnan(b.nominal))
        return span_exact(NAN);
    return (Span){fmax(a.nominal, b.nominal), fmax(a.lo, b.lo), fmax(a.hi, b.hi)};
}

Span span_least(Span a, Span b)
{
    if (isnan(a.nominal) || isnan(b.nominal))
        return span_exact(NAN);
    return (Span){fmin(a.nominal, b.nominal), fmin(a.lo, b.lo), fmin(a.hi, b.hi)};
}

Tri cell_is(const Measuring *m, FieldId id, int32_t record, const char *word)
{
    double code = cell_get(m, id, record, 0).nominal;
    if (isnan(code))
        return TRI_UNKNOWN;
    const char *own = field_at(id)->words->words[(size_t)code];
    return *own == *word && strcmp(own, word) == 0 ? TRI_YES : TRI_NO;
}

void cell_put_tri(Measuring *m, FieldId id, uint32_t record, Tri tri, const char *note)
{
    double code = tri == TRI_UNKNOWN ? NAN : tri == TRI_YES ? 1 : 0;
    cell_put(m, id, record, 0, span_exact(code));
    m->columns->fields[id].origins[record] = origin_derived(m, note, false);
}

const Origin *cell_origin(const Measuring *m, FieldId id, int32_t record)
{
    return m->columns->fields[id].origins[record];
}

bool cell_assumed(const Measuring *m, FieldId id, int32_t record)
{
    return record >= 0 && cell_origin(m, id, record)->assumed;
}

void cell_copy(Measuring *m, FieldId to, uint32_t to_record, FieldId from, uint32_t from_record)
{
    Column *column = &m->columns->fields[to];
    for (uint32_t lane = 0; lane < column->stride; lane++)
        cell_put(m, to, to_record, lane, cell_get(m, from, (int32_t)from_record, lane));
    column->origins[to_record] = cell_origin(m, from, (int32_t)from_record);
}

const Origin *origin_new(Measuring *m, Origin origin)
{
    Origin *made = ARENA_NEW(&m->columns->arena, Origin, 1);
    *made = origin;
    return made;
}

const Origin *origin_derived(Measuring *m, const char *note, bool assumed)
{
    return origin_new(m, (Origin){.kind = ORIGIN_DERIVED, .assumed = assumed, .note = note});
}

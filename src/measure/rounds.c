/* Which seams are sewn flat and which in the round, and what opening is left, in the
 * order that the style gives. For the files of src/measure only. */
#include <string.h>

#include "measure/assembly.h"
#include "measure/measuring.h"

/* What the style says wins, be it that nobody knows. */
static void put_unless_said(Measuring *m, FieldId id, uint32_t seam, double value, const char *note)
{
    if (isnan(value) || record_value(m->style->seams[seam].record, id)->presence != VALUE_ABSENT)
        return;
    cell_put(m, id, seam, 0, span_exact(value));
    m->columns->fields[id].origins[seam] = origin_derived(m, note, false);
}

static double sewn_word(Tri flat)
{
    const char *word = flat == TRI_YES ? "flat" : "round";
    return flat == TRI_UNKNOWN ? (double)NAN
                               : word_index(field_at(SEAM_SEWN)->words, word, strlen(word));
}

static void put_sewing(Measuring *m, uint32_t seam, const Sewing *sewing)
{
    const char *note = "as the parts hang together by then, in the order given";
    put_unless_said(m, SEAM_SEWN, seam, sewn_word(sewing->flat), note);
    put_unless_said(m, SEAM_OPENING, seam, sewing->opening,
                    "free edges added up along the longest opening, base size");
    cell_put_tri(m, SEAM_RING, seam, sewing->ring, note);
    cell_put_tri(m, SEAM_SHUT, seam, sewing->shut, note);
}

/* Seams that the order does not name, or all where it is not known: nobody knows. */
void rounds_fill(Measuring *m)
{
    const Sewing unknown = {TRI_UNKNOWN, TRI_UNKNOWN, TRI_UNKNOWN, NAN};
    const Style *style = m->style;
    Assembly *assembly = assembly_new(&m->scratch, style, m->columns);
    for (size_t i = 0; i < style->seam_count; i++)
        put_sewing(m, (uint32_t)i, &unknown);
    for (size_t i = 0; i < style->order_count && !style->order_unknown; i++) {
        Sewing sewing = assembly_sew(assembly, &style->seams[style->order[i]]);
        put_sewing(m, (uint32_t)style->order[i], &sewing);
    }
}

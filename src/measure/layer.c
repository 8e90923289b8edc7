/* How thick a layer is at a place: skives from the cut edge, folds, pressing.
 * For the files of src/measure only. */
#include "measure/measuring.h"

/* The skive of an edge, or that there is none. */
typedef struct Skive {
    Tri given;
    Span width, left;
    Tri step;
} Skive;

static Span cut_distance_at(const Measuring *m, Cut cut, const Record *edge, Span x, uint32_t lane)
{
    int32_t index = edge ? (int32_t)edge->index : -1;
    switch (cut) {
    case CUT_AT_LINE:
        return x;
    case CUT_OUTSIDE:
        return span_add(cell_get(m, EDGE_ALLOWANCE, index, lane), x);
    case CUT_BEYOND:
        return span_subtract(cell_get(m, EDGE_ALLOWANCE, index, lane), x);
    case CUT_FOLDED:
        return span_subtract(cell_get(m, EDGE_LEFT, index, lane), x);
    default:
        return span_exact(NAN);
    }
}

static Span row_inside(const Measuring *m, const Record *row, uint32_t lane)
{
    return row ? cell_get(m, ROW_FROM_EDGE, (int32_t)row->index, lane) : span_exact(0);
}

Span cut_distance(const Measuring *m, Cut cut, const Record *edge, const Record *row, uint32_t lane)
{
    return cut_distance_at(m, cut, edge, row_inside(m, row, lane), lane);
}

/* How far inside the line of its edge the layer is met: measured in the drawing,
 * as well as the row is kept; else what the row says. */
static Span draft_inside(const Measuring *m, const Draft *draft, uint32_t lane)
{
    if (!draft->placed)
        return row_inside(m, draft->row, lane);
    double off = m->house->row > 0 ? m->house->row : 0;
    return (Span){draft->inside, draft->inside - off, draft->inside + off};
}

static Skive skive_of(const Measuring *m, const Record *edge, uint32_t lane)
{
    if (!edge)
        return (Skive){.given = TRI_NO};
    int32_t index = (int32_t)edge->index;
    double skived = cell_get(m, EDGE_SKIVED, index, 0).nominal;
    return (Skive){.given = isnan(skived) ? TRI_UNKNOWN
                            : skived > 0  ? TRI_YES
                                          : TRI_NO,
                   .width = cell_get(m, EDGE_SKIVE_WIDTH, index, lane),
                   .left = cell_get(m, EDGE_SKIVE_LEFT, index, lane),
                   .step = cell_is(m, EDGE_SKIVE_FORM, index, "step")};
}

static double blend(double left, double full, double share)
{
    return left + (full - left) * share;
}

/* Straight line from `left` at the cut edge to the full thickness at `width`. */
static Span taper_at(const Skive *skive, Span full, Span distance)
{
    double at = fmin(1, distance.nominal / skive->width.nominal);
    double near = fmin(1, distance.lo / skive->width.hi);
    double far = skive->width.lo > 0 ? fmin(1, distance.hi / skive->width.lo) : 1;
    return (Span){blend(skive->left.nominal, full.nominal, at),
                  fmin(blend(skive->left.lo, full.lo, near), blend(skive->left.lo, full.lo, far)),
                  fmax(blend(skive->left.hi, full.hi, near), blend(skive->left.hi, full.hi, far))};
}

/* What is left up to `width`, the full thickness beyond; within the tolerances
 * of width and place it may be either. */
static Span step_at(const Skive *skive, Span full, Span distance)
{
    bool thin = distance.nominal < skive->width.nominal;
    Span at = thin ? skive->left : full, other = thin ? full : skive->left;
    bool either = thin ? distance.hi >= skive->width.lo : distance.lo < skive->width.hi;
    if (either)
        at = (Span){at.nominal, fmin(at.lo, other.lo), fmax(at.hi, other.hi)};
    return at;
}

/* Thickness of one layer at `distance` from its cut edge. */
static Span thickness_at(const Skive *skive, Span full, Span distance)
{
    if (skive->given == TRI_NO)
        return full;
    if (skive->given == TRI_UNKNOWN || isnan(distance.nominal) || isnan(skive->width.nominal))
        return span_exact(NAN);
    distance.lo = fmax(0, distance.lo);
    distance.nominal = fmax(0, distance.nominal);
    distance.hi = fmax(0, distance.hi);
    if (distance.lo >= skive->width.hi)
        return full;
    if (skive->step == TRI_UNKNOWN || isnan(skive->left.nominal) || isnan(full.nominal))
        return span_exact(NAN);
    return skive->step == TRI_YES ? step_at(skive, full, distance)
                                  : taper_at(skive, full, distance);
}

/* The allowance turned back over the place; nothing where it does not reach. */
static Span folded_at(const Skive *skive, Span full, Span distance)
{
    if (isnan(distance.nominal))
        return span_exact(NAN);
    if (distance.hi < 0)
        return span_exact(0);
    Span folded = thickness_at(skive, full, distance);
    if (isnan(folded.nominal))
        return folded;
    if (distance.nominal < 0)
        folded.nominal = 0;
    if (distance.lo < 0)
        folded.lo = 0;
    return folded;
}

static Span below_fold(const Measuring *m, const Draft *draft, uint32_t lane)
{
    return span_add(cell_get(m, EDGE_LEFT, (int32_t)draft->edge->index, lane),
                    draft_inside(m, draft, lane));
}

static bool is_same(Span a, Span b)
{
    return a.nominal == b.nominal && a.lo == b.lo && a.hi == b.hi;
}

/* What identifies the draw of this thickness: the hide, its skive, or (for a
 * line between the two, or nothing known) this very edge or layer. */
static const void *layer_key(const Measuring *m, const Draft *draft, int32_t material, Span span,
                             Span full, const Skive *skive)
{
    if (isnan(span.nominal))
        return !draft->part  ? (const void *)draft->node
               : draft->edge ? (const void *)draft->edge
                             : (const void *)draft->part;
    if (is_same(span, full))
        return cell_origin(m, MATERIAL_THICKNESS, material)->source;
    if (!draft->edge)
        return draft->part;
    if (is_same(span, skive->left))
        return cell_origin(m, EDGE_SKIVE_LEFT, (int32_t)draft->edge->index)->source;
    return draft->edge;
}

static bool layer_assumed(const Measuring *m, const Draft *draft, int32_t material,
                          const Skive *skive)
{
    bool assumed = cell_assumed(m, MATERIAL_THICKNESS, material);
    if (!draft->edge || (skive->given == TRI_NO && draft->cut != CUT_FOLDED))
        return assumed;
    int32_t edge = (int32_t)draft->edge->index;
    assumed |= skive->given == TRI_YES &&
               (cell_assumed(m, EDGE_SKIVE_LEFT, edge) || cell_assumed(m, EDGE_SKIVE_WIDTH, edge));
    return assumed || draft->placed ||
           (draft->row && cell_assumed(m, ROW_FROM_EDGE, (int32_t)draft->row->index)) ||
           cell_assumed(m, EDGE_LEFT, edge);
}

static Span draft_times(const Draft *draft)
{
    if (!draft->times || draft->times->presence == VALUE_ABSENT)
        return span_exact(draft->layers);
    const Quantity *quantity = &draft->times->quantity;
    if (draft->times->presence == VALUE_UNKNOWN)
        return span_exact(NAN);
    return (Span){quantity->nominal, quantity->lo, quantity->hi};
}

/* The layer itself and what is folded back over it. Where the cut is not known
 * the skive and the fold are not; a typed ply says itself how often it lies there. */
static void fill_thickness(const Measuring *m, const Draft *draft, Span full, const Skive *skive,
                           uint32_t lane, Layer *layer)
{
    Span inside = draft_inside(m, draft, lane);
    Span distance = cut_distance_at(m, draft->cut, draft->edge, inside, lane);
    layer->folded = span_exact(draft->cut == CUT_UNKNOWN && !draft->typed ? NAN : 0);
    layer->thickness = full;
    if (!draft->edge || draft->cut == CUT_NONE)
        return;
    if (draft->cut == CUT_FOLDED && !draft->typed)
        layer->folded = folded_at(skive, full, distance);
    if (draft->cut == CUT_FOLDED)
        distance = below_fold(m, draft, lane);
    layer->thickness = draft->fold_alone ? span_exact(0) : thickness_at(skive, full, distance);
}

Layer layer_at(const Measuring *m, const Draft *draft, uint32_t lane)
{
    Layer layer = {0};
    int32_t material = part_material(m, draft->part, lane);
    Span full = cell_get(m, MATERIAL_THICKNESS, material, lane);
    Skive skive = skive_of(m, draft->edge, lane);
    fill_thickness(m, draft, full, &skive, lane, &layer);
    layer.times = draft_times(draft);
    layer.keep = span_subtract(span_exact(1), cell_get(m, MATERIAL_COMPRESSES, material, lane));
    layer.pressed = span_multiply(
        span_multiply(span_add(layer.thickness, layer.folded), layer.times), layer.keep);
    layer.key = layer_key(m, draft, material, layer.thickness, full, &skive);
    layer.folded_key = layer_key(m, draft, material, layer.folded, full, &skive);
    layer.assumed = layer_assumed(m, draft, material, &skive);
    return layer;
}

/* The stack along a row as a curve, with what a machine takes. For whoever draws. */
#include <string.h>

#include "figure/picture_inside.h"
#include "figure/plot.h"

/* ---- Profiles ---- */

/* The part that this one is stuck to: it backs it, or lies along its edge. */
static const Record *carrier_of(const PictureBase *base, const Seam *seam, const Record *part)
{
    const Style *style = base->style;
    const Record *along = record_value(part, PART_ALONG)->record;
    const Record *carrier = along ? along->owner : NULL;
    for (size_t i = 0; !carrier && i < style->backing_count; i++) {
        const Backing *backing = &style->backings[i];
        for (size_t k = 0; backing->part == part && k < backing->backed_count; k++)
            if (!carrier || picture_side(seam, backing->backed[k], NULL) < seam->side_count)
                carrier = backing->backed[k];
    }
    return carrier;
}

/* Within a layer of the style, from the foot outward: under parts before over parts
 * (in a seam the top ply stands first), and what a part carries on the side away from
 * its face. Face to face the top ply's face is down. */
static int rank_of(const PictureBase *base, const Seam *seam, const MetLayer *layer)
{
    enum { APART = 3 };
    const Record *carrier = layer->part ? carrier_of(base, seam, layer->part) : NULL;
    size_t side = layer->part ? picture_side(seam, carrier ? carrier : layer->part, NULL)
                              : seam->side_count;
    bool turned_back = layer->thickness == 0 && layer->folded > 0;
    bool face_down = side == 0 && picture_is(base, SEAM_JOIN, seam->record, "closed");
    int behind = carrier || turned_back ? 1 : 0;
    return (int)(seam->side_count - side) * APART + (face_down ? behind : -behind);
}

/* In the same layer of the style measure keeps the order in which parts were met. */
static void order_layers(Arena *arena, const PictureBase *base, const Seam *seam,
                         MetStretch *stretch)
{
    MetLayer *layers = ARENA_NEW(arena, MetLayer, stretch->count);
    for (size_t i = 0; i < stretch->count; i++) {
        const MetLayer *layer = &stretch->layers[i];
        double own = picture_value(base, PART_LAYER, layer->part);
        int rank = rank_of(base, seam, layer);
        size_t k = i;
        for (; k > 0 && picture_value(base, PART_LAYER, layers[k - 1].part) == own &&
               rank_of(base, seam, &layers[k - 1]) > rank;
             k--)
            layers[k] = layers[k - 1];
        layers[k] = *layer;
    }
    stretch->layers = layers;
}

bool picture_profile(Arena *arena, const PictureBase *base, const Record *row, RowProfile *profile,
                     Text *why)
{
    if (measured_profile(base->measured, arena, row, base->size, base->colourway, profile) &&
        profile->count > 0) {
        for (size_t i = 0; i < profile->count; i++)
            order_layers(arena, base, picture_seam(base, row), &profile->stretches[i]);
        return true;
    }
    const Lay *lay = measured_lay(base->measured, measured_base_size(base->measured));
    if (lay && lay->count > 0)
        text_addf(why, "row %s cannot be followed on the drawing: something that it meets is "
                       "not drawn, or not known",
                  row->path);
    else
        text_addf(why, "nothing is drawn that row %s could be followed on", row->path);
    return false;
}

size_t picture_highest(const RowProfile *profile, double *at)
{
    size_t found = profile->count;
    double most = -1;
    for (size_t i = 0; i < profile->count; i++) {
        const MetStretch *stretch = &profile->stretches[i];
        double from = stretch->stack_from, to = stretch->stack_to, here = fmax(from, to);
        if (isnan(from + to) || here <= most + 1e-9)
            continue;
        most = here;
        found = i;
        *at = from > to ? stretch->from : to > from ? stretch->to : (stretch->from + stretch->to) / 2;
    }
    return found;
}

size_t picture_stretch(const RowProfile *profile, double at)
{
    size_t i = 0;
    while (i + 1 < profile->count && profile->stretches[i].to < at)
        i++;
    return i;
}

/* ---- Machines ---- */

/* What can be said of a machine at a row, and how thick it sews. */
typedef struct Taker {
    const char *name; /* NULL: there is none */
    double most;      /* mm */
} Taker;

typedef struct Takers {
    bool unknown;
    Taker stitch, all; /* the most of those that make the stitch; that take pitch, needle and thread too */
} Takers;

static double machine_number(const PictureBase *base, FieldId id, uint32_t machine, double *most)
{
    const Column *column = &measured_columns(base->measured)->fields[id];
    size_t cell = column_cell(column, machine, picture_lane(base));
    if (most)
        *most = column->hi[cell];
    return most ? column->lo[cell] : column->nominal[cell];
}

static bool sews(const PictureBase *base, uint32_t machine)
{
    static const char *const kinds[] = {"flat-bed", "post-bed", "cylinder-arm",
                                        "zigzag",   "binder",   "strobel"};
    double kind = machine_number(base, MACHINE_KIND, machine, NULL);
    const WordList *words = field_at(MACHINE_KIND)->words;
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (kind == word_index(words, kinds[i], strlen(kinds[i])))
            return true;
    return false;
}

static bool makes_stitch(const PictureBase *base, uint32_t machine, const Record *row)
{
    double stitch = picture_value(base, ROW_STITCH, row);
    double set = machine_number(base, MACHINE_STITCHES, machine, NULL);
    return !isnan(stitch) && !isnan(set) && ((uint64_t)set >> (int)stitch & 1) != 0;
}

static bool takes_all(const PictureBase *base, uint32_t machine, const Record *row)
{
    static const FieldId pairs[][2] = {{ROW_PITCH, MACHINE_PITCH},
                                       {ROW_NEEDLE, MACHINE_NEEDLE},
                                       {ROW_THREAD, MACHINE_THREAD}};
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        double most, least = machine_number(base, pairs[i][1], machine, &most);
        double wanted = picture_value(base, pairs[i][0], row);
        if (!(wanted >= least && wanted <= most))
            return false;
    }
    return true;
}

static Takers takers_of(const PictureBase *base, const Record *row)
{
    const Columns *columns = measured_columns(base->measured);
    const Relation *relation = relation_find(SUBJECT_ROW, "machine", strlen("machine"));
    const ManyColumn *many = &columns->manys[relation_index(relation)];
    Takers takers = {.unknown = many->unknown[row->index]};
    for (uint32_t i = many->start[row->index]; i < many->start[row->index + 1]; i++) {
        uint32_t machine = (uint32_t)many->items[i];
        Taker taker = {columns->names[SUBJECT_MACHINE][machine],
                       machine_number(base, MACHINE_STACK_MOST, machine, NULL)};
        if (!sews(base, machine) || !makes_stitch(base, machine, row) || isnan(taker.most))
            continue;
        if (!takers.stitch.name || taker.most > takers.stitch.most)
            takers.stitch = taker;
        if (takes_all(base, machine, row) && (!takers.all.name || taker.most > takers.all.most))
            takers.all = taker;
    }
    return takers;
}

static void add_limit(Figure *figure, Box axes, const Taker *taker)
{
    Text name = {0};
    text_addf(&name, "%s sews ", taker->name);
    picture_add_mm(&name, taker->most);
    plot_limit(figure, axes, taker->most, text_string(&name));
    text_free(&name);
}

static void note_machines(Figure *figure, const PictureBase *base, const Takers *takers)
{
    Text *text = &figure->notes;
    if (!base->factory)
        text_add(text, "No factory is named, so no machine's limit is shown.\n");
    else if (takers->unknown)
        text_add(text, "Which machines may sew this row is not known.\n");
    else if (!takers->stitch.name)
        text_add(text, "No machine whose thickest stack is known makes this stitch.\n");
    else if (!takers->all.name) {
        text_addf(text, "Of the machines that make this stitch %s sews most, ", takers->stitch.name);
        picture_add_mm(text, takers->stitch.most);
        text_add(text, "; none takes this pitch, needle and thread.\n");
    } else {
        text_addf(text, "Of the machines that take this stitch, pitch, needle and thread %s sews most, ",
                  takers->all.name);
        picture_add_mm(text, takers->all.most);
        if (takers->stitch.most > takers->all.most) {
            text_addf(text, "; %s makes the stitch up to ", takers->stitch.name);
            picture_add_mm(text, takers->stitch.most);
            text_add(text, ", but takes not all of these");
        }
        text_add(text, ".\n");
    }
}

/* ---- Layers ---- */

static void note_layer(Text *text, const MetLayer *layer)
{
    const char *name = layer->part ? layer->part->path : "a part that is not known";
    text_addf(text, "- %s ", name);
    if (layer->times != 1) {
        text_add_number(text, layer->times, 3);
        text_add(text, " times ");
    }
    if (layer->thickness != 0 || layer->folded == 0)
        picture_add_mm(text, layer->thickness);
    if (layer->folded != 0) {
        text_add(text, layer->thickness != 0 ? " and its allowance turned back " : "allowance turned back ");
        picture_add_mm(text, layer->folded);
    }
    text_add(text, "\n");
}

static void note_highest(Figure *figure, const RowProfile *profile, size_t highest, double at)
{
    Text *text = &figure->notes;
    const MetStretch *stretch = &profile->stretches[highest];
    text_add(text, "Highest: ");
    picture_add_mm(text, fmax(stretch->stack_from, stretch->stack_to));
    text_add(text, " under the foot, ");
    picture_add_mm(text, round(at * 10) / 10);
    text_add(text, " along the row. Layers there, foot side first:\n");
    for (size_t i = 0; i < stretch->count; i++)
        note_layer(text, &stretch->layers[i]);
}

/* ---- The curve ---- */

/* Stretches one after the other; the curve is broken where nothing is known and
 * where the row is off its part. */
static void add_curve(Figure *figure, const RowProfile *profile, double limit)
{
    Point *points = ARENA_NEW(figure->arena, Point, 2 * profile->count);
    size_t count = 0;
    for (size_t i = 0; i < profile->count; i++) {
        const MetStretch *stretch = &profile->stretches[i];
        bool known = !isnan(stretch->stack_from + stretch->stack_to);
        if (count > 0 && (!known || stretch->from > points[count - 1].x + 1e-6)) {
            plot_curve(figure, points, count, limit);
            count = 0;
        }
        if (!known)
            continue;
        points[count++] = (Point){stretch->from, stretch->stack_from};
        points[count++] = (Point){stretch->to, stretch->stack_to};
    }
    if (count > 0)
        plot_curve(figure, points, count, limit);
}

static void note_gaps(Figure *figure, const RowProfile *profile)
{
    double unknown = 0, on = 0;
    for (size_t i = 0; i < profile->count; i++) {
        const MetStretch *stretch = &profile->stretches[i];
        double length = stretch->to - stretch->from;
        on += length;
        unknown += isnan(stretch->stack_from + stretch->stack_to) ? length : 0;
    }
    if (unknown > 0) {
        text_add(&figure->notes, "Over ");
        picture_add_mm(&figure->notes, unknown);
        text_add(&figure->notes, " of the row it is not known how thick the layers are.\n");
    }
    if (profile->length - on > 1) {
        text_add(&figure->notes, "Over ");
        picture_add_mm(&figure->notes, profile->length - on);
        text_add(&figure->notes, " the row runs beside its part.\n");
    }
}

static void mark_highest(Figure *figure, const RowProfile *profile, size_t highest, double at)
{
    const MetStretch *stretch = &profile->stretches[highest];
    Point top = {at, fmax(stretch->stack_from, stretch->stack_to)};
    Text label = {0};
    picture_add_mm(&label, top.y);
    figure_mark(figure, PEN_TROUBLE, top);
    figure_label(figure, PEN_TROUBLE, top, SIDE_ABOVE, text_string(&label));
    text_free(&label);
}

bool picture_row(Arena *arena, const PictureBase *base, const Record *row, Figure *figure,
                 Text *why)
{
    /* A limit further up would press the curve flat. */
    static const double LIMIT_MOST = 4;
    RowProfile profile;
    double at = 0;
    if (!picture_profile(arena, base, row, &profile, why))
        return false;
    size_t highest = picture_highest(&profile, &at);
    if (highest == profile.count) {
        text_addf(why, "it is not known how thick the layers under row %s are", row->path);
        return false;
    }
    const MetStretch *top = &profile.stretches[highest];
    double most = fmax(top->stack_from, top->stack_to);
    Takers takers = takers_of(base, row);
    const Taker *taker = takers.all.name ? &takers.all : &takers.stitch;
    bool shown = taker->name && taker->most <= LIMIT_MOST * most;
    *figure = figure_new(arena, picture_title(arena, base, arena_printf(arena, "row %s", row->path)));
    Box range = {{0, 0}, {profile.length, shown ? fmax(most, taker->most) : most}};
    Box axes = plot_axes(figure, range, "mm along the row", "mm under the foot");
    if (shown)
        add_limit(figure, axes, taker);
    add_curve(figure, &profile, taker->name ? taker->most : (double)NAN);
    mark_highest(figure, &profile, highest, at);
    note_highest(figure, &profile, highest, at);
    note_machines(figure, base, &takers);
    if (taker->name && !shown)
        text_add(&figure->notes, "That limit lies far above the curve and is not drawn.\n");
    note_gaps(figure, &profile);
    return true;
}

/* Plies laid on each other, to scale, as a cross-section. For whoever draws. */
#include <math.h>
#include <stdlib.h>

#include "base/sort.h"
#include "figure/plot.h"

enum { SAMPLES = 240, BEND_PIECES = 24 };

/* How steeply a ply comes down where the one below it ends: 45 degrees. A picture's
 * convention, no claim about leather. */
#define FALL 1.0

typedef struct Section {
    const SectionPly *plies;
    size_t count;
    double *xs; /* places across, ascending, every ply's ends among them */
    size_t places;
    double **bottom; /* by ply, by place; meaningful within the ply alone */
    double *thickness;
    double from, to;
} Section;

static bool has_width(const SectionPly *ply)
{
    return ply->from < ply->to && fabs(ply->from) < FIGURE_FARTHEST &&
           fabs(ply->to) < FIGURE_FARTHEST;
}

/* What the ply turns into, if that can be drawn. */
static const SectionPly *fold_of(const SectionPly *ply)
{
    return ply->turns_into && has_width(ply->turns_into) ? ply->turns_into : NULL;
}

static bool is_known(double thickness)
{
    return thickness > 0 && thickness < FIGURE_FARTHEST;
}

static double mean_thickness(const SectionPly *plies, size_t count)
{
    double sum = 0;
    size_t known = 0;
    for (size_t i = 0; i < count; i++)
        if (is_known(plies[i].thickness)) {
            sum += plies[i].thickness;
            known++;
        }
    return known ? sum / (double)known : 1;
}

static void lay_out_places(Arena *arena, Section *section)
{
    section->xs = ARENA_NEW(arena, double, SAMPLES + 1 + 2 * section->count);
    section->from = INFINITY;
    section->to = -INFINITY;
    for (size_t i = 0; i < section->count; i++) {
        const SectionPly *ply = &section->plies[i];
        if (!has_width(ply))
            continue;
        section->from = fmin(section->from, ply->from);
        section->to = fmax(section->to, ply->to);
        section->xs[section->places++] = ply->from;
        section->xs[section->places++] = ply->to;
    }
    double width = section->to - section->from;
    for (int i = 0; i <= SAMPLES && section->places > 0; i++)
        section->xs[section->places++] = section->from + width * i / SAMPLES;
    sort_numbers(section->xs, section->places);
}

static bool within(const Section *section, size_t ply, size_t place)
{
    double x = section->xs[place];
    return x >= section->plies[ply].from && x <= section->plies[ply].to;
}

/* A ply lies on what is below and comes down from it no steeper than FALL. */
static void settle(const Section *section, size_t ply, double *top)
{
    double *bottom = section->bottom[ply];
    const double *xs = section->xs;
    for (size_t i = 0; i < section->places; i++)
        bottom[i] = top[i];
    for (size_t i = 1; i < section->places; i++)
        if (within(section, ply, i) && within(section, ply, i - 1))
            bottom[i] = fmax(bottom[i], bottom[i - 1] - FALL * (xs[i] - xs[i - 1]));
    for (size_t i = section->places - 1; i > 0; i--)
        if (within(section, ply, i) && within(section, ply, i - 1))
            bottom[i - 1] = fmax(bottom[i - 1], bottom[i] - FALL * (xs[i] - xs[i - 1]));
    for (size_t i = 0; i < section->places; i++)
        if (within(section, ply, i))
            top[i] = bottom[i] + section->thickness[ply];
}

static Section settle_all(Arena *arena, const SectionPly *plies, size_t count)
{
    Section section = {.plies = plies, .count = count};
    double mean = mean_thickness(plies, count);
    lay_out_places(arena, &section);
    section.bottom = ARENA_NEW(arena, double *, count);
    section.thickness = ARENA_NEW(arena, double, count);
    double *top = ARENA_NEW(arena, double, section.places);
    for (size_t i = 0; i < count; i++) {
        section.thickness[i] = is_known(plies[i].thickness) ? plies[i].thickness : mean;
        section.bottom[i] = ARENA_NEW(arena, double, section.places);
        if (has_width(&plies[i]))
            settle(&section, i, top);
    }
    return section;
}

typedef struct Trace {
    Point *points;
    size_t count;
} Trace;

/* A ply's lower or upper side; points on one straight line are left out. */
static void add_side(Trace *trace, const Section *section, size_t ply, bool upper, bool leftward)
{
    size_t first = trace->count;
    for (size_t k = 0; k < section->places; k++) {
        size_t i = leftward ? section->places - 1 - k : k;
        if (!within(section, ply, i))
            continue;
        double y = section->bottom[ply][i] + (upper ? section->thickness[ply] : 0);
        Point point = {section->xs[i], y};
        if (trace->count >= first + 2) {
            Point a = trace->points[trace->count - 2], b = trace->points[trace->count - 1];
            double off = (b.x - a.x) * (point.y - a.y) - (b.y - a.y) * (point.x - a.x);
            if (fabs(off) < 1e-9)
                trace->count--;
        }
        trace->points[trace->count++] = point;
    }
}

/* Half an ellipse about a fold, bulging `way` (1: right), from one height to another. */
static void add_bend(Trace *trace, double x, double from, double to, double bulge, int way)
{
    double middle = (from + to) / 2, half = (to - from) / 2;
    for (int i = 1; i < BEND_PIECES; i++) {
        double angle = 3.14159265358979323846 * i / BEND_PIECES;
        trace->points[trace->count++] =
            (Point){x + way * bulge * sin(angle), middle - half * cos(angle)};
    }
}

static double height_at_end(const Section *section, size_t ply, Side end)
{
    size_t found = 0;
    for (size_t i = 0; i < section->places; i++)
        if (within(section, ply, i)) {
            found = i;
            if (end == SIDE_LEFT)
                break;
        }
    return section->bottom[ply][found];
}

static Trace trace_of(Arena *arena, const Section *section, size_t ply)
{
    const SectionPly *into = fold_of(&section->plies[ply]);
    Trace trace = {ARENA_NEW(arena, Point, 4 * section->places + 2 * BEND_PIECES), 0};
    if (!into) {
        add_side(&trace, section, ply, false, false);
        add_side(&trace, section, ply, true, true);
        return trace;
    }
    size_t other = (size_t)(into - section->plies);
    Side end = section->plies[ply].turns == SIDE_LEFT ? SIDE_LEFT : SIDE_RIGHT;
    bool left = end == SIDE_LEFT;
    double x = left ? section->plies[ply].from : section->plies[ply].to;
    double low = height_at_end(section, ply, end), high = height_at_end(section, other, end);
    double top = high + section->thickness[other], inner = low + section->thickness[ply];
    double bulge = (top - low) / 2, hollow = fmax((high - inner) / 2, 0);
    add_side(&trace, section, ply, false, left);
    add_bend(&trace, x, low, top, bulge, left ? -1 : 1);
    add_side(&trace, section, other, true, !left);
    add_side(&trace, section, other, false, left);
    add_bend(&trace, x, high, inner, hollow, left ? -1 : 1);
    add_side(&trace, section, ply, true, !left);
    return trace;
}

static bool is_turned_into(const Section *section, size_t ply)
{
    for (size_t i = 0; i < section->count; i++)
        if (section->plies[i].turns_into == &section->plies[ply] && has_width(&section->plies[i]))
            return true;
    return false;
}

static void include(Box *box, const Trace *trace)
{
    for (size_t i = 0; i < trace->count; i++) {
        Point point = trace->points[i];
        box->least = (Point){fmin(box->least.x, point.x), fmin(box->least.y, point.y)};
        box->most = (Point){fmax(box->most.x, point.x), fmax(box->most.y, point.y)};
    }
}

/* Where two plies lie on each other, counted in places. */
static size_t contact(const Section *section, size_t one, size_t other)
{
    size_t count = 0;
    for (size_t i = 0; i < section->places; i++) {
        if (!within(section, one, i) || !within(section, other, i))
            continue;
        double low = section->bottom[one][i], high = section->bottom[other][i];
        count += fabs(low + section->thickness[one] - high) < 1e-6 ||
                 fabs(high + section->thickness[other] - low) < 1e-6;
    }
    return count;
}

/* The pen that differs from most of what the ply, with what it turns into, touches
 * of those that have one. */
static Pen pen_beside(const Section *section, size_t ply, const Pen *pens)
{
    const SectionPly *into = fold_of(&section->plies[ply]);
    size_t touching[PEN_COUNT] = {0};
    for (size_t i = 0; i < section->count; i++) {
        if (pens[i] == PEN_COUNT)
            continue;
        touching[pens[i]] += contact(section, ply, i);
        if (into)
            touching[pens[i]] += contact(section, (size_t)(into - section->plies), i);
    }
    return touching[PEN_FILL] > touching[PEN_FILL_OTHER] ? PEN_FILL_OTHER : PEN_FILL;
}

/* Areas in the two pens of fills, folds in one piece. Returns how many plies were
 * left out. */
static size_t draw_plies(Arena *arena, Figure *figure, const Section *section, Box *box)
{
    Pen *pens = ARENA_NEW(arena, Pen, section->count);
    for (size_t i = 0; i < section->count; i++)
        pens[i] = PEN_COUNT; /* none yet */
    size_t without = 0;
    for (size_t i = 0; i < section->count; i++) {
        const SectionPly *ply = &section->plies[i];
        without += !has_width(ply);
        if (!has_width(ply) || is_turned_into(section, i))
            continue; /* the latter is drawn with what turns into it */
        Trace trace = trace_of(arena, section, i);
        Pen pen = pen_beside(section, i, pens);
        figure_area(figure, pen, trace.points, trace.count);
        include(box, &trace);
        pens[i] = pen;
        if (fold_of(ply))
            pens[ply->turns_into - section->plies] = pen;
    }
    return without;
}

static void label_ply(Figure *figure, const Section *section, size_t ply, Box box)
{
    const SectionPly *of = &section->plies[ply];
    bool left = of->from - section->from < section->to - of->to;
    double inside = fmin((of->to - of->from) / 2, section->thickness[ply] / 2);
    double gap = fmax(box.most.x - box.least.x, box.most.y - box.least.y) * 0.06;
    Side side = left ? SIDE_LEFT : SIDE_RIGHT;
    Point at = {left ? of->from + inside : of->to - inside,
                height_at_end(section, ply, side) + section->thickness[ply] / 2};
    Text text = {0};
    text_add(&text, of->name);
    if (is_known(of->thickness)) {
        text_add(&text, " ");
        text_add_number(&text, of->thickness, 3);
        text_add(&text, " mm");
    } else {
        text_add(&text, ", thickness unknown");
    }
    Point beside = {left ? box.least.x - gap : box.most.x + gap, at.y};
    figure_callout(figure, is_known(of->thickness) ? PEN_LINE : PEN_TROUBLE, at, beside, side,
                   text_string(&text));
    text_free(&text);
}

Box plot_section(Figure *figure, const SectionPly *plies, size_t count)
{
    Arena arena = {0};
    Section section = settle_all(&arena, plies, count);
    figure->scale = true;
    Box box = {{section.from, 0}, {section.to, 0}};
    size_t without = draw_plies(&arena, figure, &section, &box);
    for (size_t i = 0; i < count; i++)
        if (plies[i].name && has_width(&plies[i]))
            label_ply(figure, &section, i, box);
    if (without)
        text_addf(&figure->notes, "%zu %s of unknown width not drawn.\n", without,
                  without == 1 ? "ply" : "plies");
    arena_free(&arena);
    return without < count ? box : (Box){{0, 0}, {0, 0}};
}

/* Finds places for labels: beside their point, never over another label or a
 * mark, over lines only where nothing else is free. For the layout. */
#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "figure/figure_inside.h"

/* What makes a place worse, in dots of a line that the label would cover. */
enum {
    COST_FAR = 10,
    COST_SLID = 8,
    COST_OTHER_SIDE = 16,
    COST_LINE = 8,
    COST_FILL = 1,
    COST_BESIDE = 2 /* a line close by */
};

/* The greatest multiple of `step` that is not above `value`. */
static int snap(double value, int step)
{
    return (int)floor(round(value) / step) * step;
}

static Rect step_of(const Surface *surface, Point place)
{
    return (Rect){snap(place.x, surface->step_x), snap(place.y, surface->step_y), surface->step_x,
                  surface->step_y};
}

Rect label_rect(const Surface *surface, Point place, Side side, int width, bool far)
{
    Rect step = step_of(surface, place);
    int gap_x = surface->gap_x + (far ? surface->far_x : 0);
    int gap_y = surface->gap_y + (far ? surface->far_y : 0);
    int height = surface->line_height;
    Rect rect = {snap(round(place.x) - (width - 1) / 2, surface->step_x),
                 step.y - (height - step.height) / 2, width, height};
    switch (side) {
    case SIDE_RIGHT:
        rect.x = step.x + step.width + gap_x;
        break;
    case SIDE_LEFT:
        rect.x = step.x - gap_x - width;
        break;
    case SIDE_ABOVE:
        rect.y = step.y - gap_y - height;
        break;
    case SIDE_BELOW:
        rect.y = step.y + step.height + gap_y;
        break;
    case SIDE_FAR_BELOW:
        rect.y = step.y + step.height + 2 * gap_y + height;
        break;
    case SIDE_MIDDLE:
        break;
    }
    return rect;
}

static int cost_of_lines(const Dots *dots, Rect rect)
{
    Rect in = dots_clip(dots, rect);
    int cost = 0;
    for (int y = in.y; y < in.y + in.height; y++)
        for (int x = in.x; x < in.x + in.width; x++)
            if (dots->dots[(size_t)y * (size_t)dots->width + (size_t)x] & DOT_LINE)
                cost += COST_BESIDE;
    return cost;
}

/* What a label would cover; INT_MAX where it may not stand. */
static int cost_of_place(const Surface *surface, const Dots *dots, Rect rect)
{
    Rect in = dots_clip(dots, rect);
    if (in.width != rect.width || in.height != rect.height)
        return INT_MAX;
    int cost = cost_of_lines(dots, (Rect){rect.x - surface->clear_x, rect.y - surface->clear_y,
                                          rect.width + 2 * surface->clear_x,
                                          rect.height + 2 * surface->clear_y});
    for (int y = in.y; y < in.y + in.height; y++)
        for (int x = in.x; x < in.x + in.width; x++) {
            unsigned dot = dots->dots[(size_t)y * (size_t)dots->width + (size_t)x];
            if (dot & DOT_TAKEN)
                return INT_MAX;
            cost += dot & DOT_LINE ? COST_LINE : dot & DOT_FILL ? COST_FILL : 0;
        }
    return cost;
}

static void take(const Surface *surface, Layout *layout, Tag *tag, Rect rect, int anchor)
{
    *tag = (Tag){true, rect, anchor};
    Rect with_room = {rect.x - surface->step_x, rect.y, rect.width + 2 * surface->step_x,
                      rect.height};
    dots_change(&layout->dots, with_room, DOT_TAKEN, 0);
}

typedef struct Choice {
    Rect rect;
    int cost, anchor;
} Choice;

static void consider(const Surface *surface, const Dots *dots, Rect rect, int anchor, int penalty,
                     Choice *best)
{
    int cost = cost_of_place(surface, dots, rect);
    if (cost < INT_MAX && cost + penalty < best->cost)
        *best = (Choice){rect, cost + penalty, anchor};
}

/* A side, near and far, in its middle and slid along either way. */
static void consider_side(const Surface *surface, const Dots *dots, Point place, Side side,
                          int width, int penalty, Choice *best)
{
    bool flat = side == SIDE_RIGHT || side == SIDE_LEFT;
    int anchor = side == SIDE_RIGHT ? -1 : side == SIDE_LEFT ? 1 : 0;
    Rect step = step_of(surface, place);
    for (int far = 0; far <= (side == SIDE_MIDDLE ? 0 : 1); far++) {
        int cost = penalty + far * COST_FAR;
        Rect rect = label_rect(surface, place, side, width, far);
        consider(surface, dots, rect, anchor, cost, best);
        for (int way = -1; way <= 1; way += 2) {
            Rect slid = rect;
            if (flat)
                slid.y += way * rect.height;
            else if (side != SIDE_MIDDLE)
                slid.x = way < 0 ? step.x + step.width - width : step.x;
            consider(surface, dots, slid, flat ? anchor : -way, cost + COST_SLID, best);
        }
    }
}

/* The side asked for, the one across from it, the others. */
static void sides_to_try(Side first, Side sides[4])
{
    static const Side tried[][4] = {
        [SIDE_RIGHT] = {SIDE_RIGHT, SIDE_LEFT, SIDE_ABOVE, SIDE_BELOW},
        [SIDE_LEFT] = {SIDE_LEFT, SIDE_RIGHT, SIDE_ABOVE, SIDE_BELOW},
        [SIDE_ABOVE] = {SIDE_ABOVE, SIDE_BELOW, SIDE_RIGHT, SIDE_LEFT},
        [SIDE_BELOW] = {SIDE_BELOW, SIDE_ABOVE, SIDE_RIGHT, SIDE_LEFT},
        [SIDE_FAR_BELOW] = {SIDE_FAR_BELOW, SIDE_BELOW, SIDE_ABOVE, SIDE_RIGHT},
        [SIDE_MIDDLE] = {SIDE_MIDDLE, SIDE_ABOVE, SIDE_BELOW, SIDE_RIGHT},
    };
    for (int i = 0; i < 4; i++)
        sides[i] = tried[first][i];
}

static void place_label(const Surface *surface, Layout *layout, const Shape *shape, Tag *tag)
{
    Point place = view_point(&layout->view, shape->points[0]);
    int width = surface->label_width(surface, shape->pen, shape->text);
    Side sides[4];
    sides_to_try(shape->side, sides);
    Choice best = {.cost = INT_MAX};
    for (int i = 0; i < 4; i++)
        consider_side(surface, &layout->dots, place, sides[i], width, i * COST_OTHER_SIDE, &best);
    if (best.cost == INT_MAX) {
        layout->dropped++;
        return;
    }
    layout->cost += best.cost;
    take(surface, layout, tag, best.rect, best.anchor);
}

static void place_mark(const Surface *surface, Layout *layout, const Shape *shape, Tag *tag)
{
    Rect rect = step_of(surface, view_point(&layout->view, shape->points[0]));
    rect.x -= surface->mark;
    rect.y -= surface->mark;
    rect.width += 2 * surface->mark;
    rect.height += 2 * surface->mark;
    *tag = (Tag){true, rect, 0};
    Rect with_room = {rect.x - surface->clear_x, rect.y - surface->clear_y,
                      rect.width + 2 * surface->clear_x, rect.height + 2 * surface->clear_y};
    dots_change(&layout->dots, with_room, DOT_TAKEN, 0);
}

bool is_callout(const Shape *shape)
{
    return shape->kind == SHAPE_LABEL && shape->count == 2;
}

size_t callout_number(const Figure *figure, size_t shape)
{
    double y = figure->shapes[shape].points[1].y;
    size_t number = 1;
    for (size_t i = 0; i < figure->count; i++) {
        const Shape *other = &figure->shapes[i];
        if (is_callout(other) && (other->points[1].y > y || (other->points[1].y == y && i < shape)))
            number++;
    }
    return number;
}

int callout_width(const Figure *figure, const Surface *surface, size_t shape)
{
    Pen pen = figure->shapes[shape].pen;
    if (!surface->keyed)
        return surface->label_width(surface, pen, figure->shapes[shape].text);
    char number[24];
    snprintf(number, sizeof number, "%zu", callout_number(figure, shape));
    return surface->label_width(surface, pen, number);
}

typedef struct Callout {
    size_t shape;
    double wanted; /* dots, its top */
} Callout;

static int from_the_top(const void *one, const void *other)
{
    const Callout *a = one, *b = other;
    if (a->wanted != b->wanted)
        return a->wanted < b->wanted ? -1 : 1;
    return (a->shape > b->shape) - (a->shape < b->shape);
}

/* Tops at least `height` apart and as near to the wanted ones as they can be, in
 * the least-squares sense: neighbours that would overlap pool their wishes. */
static void spread(Arena *arena, Callout *callouts, size_t count, int height, double *tops)
{
    double *sum = ARENA_NEW(arena, double, count);
    size_t *size = ARENA_NEW(arena, size_t, count), pools = 0;
    for (size_t i = 0; i < count; i++) {
        sum[pools] = callouts[i].wanted - (double)i * height;
        size[pools++] = 1;
        while (pools > 1 && sum[pools - 2] / (double)size[pools - 2] >
                                sum[pools - 1] / (double)size[pools - 1]) {
            sum[pools - 2] += sum[pools - 1];
            size[pools - 2] += size[pools - 1];
            pools--;
        }
    }
    size_t i = 0;
    for (size_t pool = 0; pool < pools; pool++)
        for (size_t k = 0; k < size[pool]; k++, i++)
            tops[i] = sum[pool] / (double)size[pool] + (double)i * height;
}

static size_t callouts_of(const Figure *figure, const Surface *surface, const Layout *layout,
                          Side side, Callout *callouts)
{
    size_t count = 0;
    for (size_t i = 0; i < figure->count; i++) {
        const Shape *shape = &figure->shapes[i];
        if (!is_callout(shape) || shape->side != side)
            continue;
        double y = view_point(&layout->view, shape->points[1]).y;
        callouts[count++] = (Callout){i, y - (surface->line_height - 1) / 2.0};
    }
    qsort(callouts, count, sizeof *callouts, from_the_top);
    return count;
}

static void place_callout(const Figure *figure, const Surface *surface, Layout *layout,
                          size_t number, int top)
{
    const Shape *shape = &figure->shapes[number];
    Tag *tag = &layout->tags[number];
    Rect rect = label_rect(surface, view_point(&layout->view, shape->points[0]), shape->side,
                           callout_width(figure, surface, number), false);
    rect.y = top;
    if (cost_of_place(surface, &layout->dots, rect) == INT_MAX) {
        layout->dropped++;
        return;
    }
    take(surface, layout, tag, rect, shape->side == SIDE_RIGHT ? -1 : 1);
    Point ends[2];
    layout_leader(layout, shape, tag, ends);
    dots_line(&layout->dots, PEN_FAINT, ends, 2, false);
}

static void place_callouts(Arena *arena, const Figure *figure, const Surface *surface,
                           Layout *layout, Side side)
{
    Callout *callouts = ARENA_NEW(arena, Callout, figure->count);
    double *tops = ARENA_NEW(arena, double, figure->count);
    size_t count = callouts_of(figure, surface, layout, side, callouts);
    int height = surface->line_height;
    size_t room = (size_t)(surface->height / height);
    layout->dropped += count > room ? count - room : 0;
    count = count > room ? room : count;
    spread(arena, callouts, count, height, tops);
    for (size_t i = 0; i < count; i++) {
        double least = (double)i * height, most = surface->height - (double)(count - i) * height;
        int top = snap(fmax(fmin(tops[i], most), least) + surface->step_y / 2, surface->step_y);
        place_callout(figure, surface, layout, callouts[i].shape, top);
    }
}

void figure_place(Arena *arena, const Figure *figure, const Surface *surface, Layout *layout)
{
    for (size_t i = 0; i < figure->count; i++)
        if (figure->shapes[i].kind == SHAPE_MARK)
            place_mark(surface, layout, &figure->shapes[i], &layout->tags[i]);
    place_callouts(arena, figure, surface, layout, SIDE_RIGHT);
    place_callouts(arena, figure, surface, layout, SIDE_LEFT);
    for (int weight = pen_weight(PEN_TROUBLE); weight >= 0; weight--)
        for (size_t i = 0; i < figure->count; i++) {
            const Shape *shape = &figure->shapes[i];
            if (shape->kind == SHAPE_LABEL && shape->count == 1 && pen_weight(shape->pen) == weight)
                place_label(surface, layout, shape, &layout->tags[i]);
        }
}

/* Finds the scale at which a picture and its labels fit a surface, and puts the
 * two together into a layout. For the backends. */
#include <math.h>
#include <string.h>

#include "figure/figure_inside.h"

/* How much smaller a picture may become for its labels: a graph gives them room at
 * once, since axes want their numbers outside; a picture to scale is tried at several
 * sizes, and loses PRICE_OF_SIZE dots in comparison for becoming nothing. */
#define SHARE_OF_GRAPHS 0.45
#define SHARE_LEAST 0.3
#define PRICE_OF_SIZE 250

#define SPAN_LEAST 1e-9 /* mm; less is none */

enum {
    LEADER_GAP = 3, /* dots between a label and its line */
    SCALE_LEAST = 4 /* lines of text that a picture is high, or it has no scale */
};

/* A place on one axis with the room that its label needs before and after it. */
typedef struct Need {
    double at;            /* mm */
    double before, after; /* dots */
} Need;

typedef struct Needs {
    Need *x, *y; /* the first two of each: the bare picture */
    size_t count;
} Needs;

typedef struct Extent {
    double least, most;
} Extent;

static Extent extent(const Need *needs, size_t count, double scale)
{
    Extent all = {INFINITY, -INFINITY};
    for (size_t i = 0; i < count; i++) {
        all.least = fmin(all.least, needs[i].at * scale - needs[i].before);
        all.most = fmax(all.most, needs[i].at * scale + needs[i].after);
    }
    return all;
}

/* Dots a mm; infinite for a picture without width. */
static double fit_axis(const Need *needs, size_t count, double room, double share)
{
    double span = fabs(needs[1].at - needs[0].at);
    if (span < SPAN_LEAST)
        return INFINITY;
    double margins = fmax(needs[0].before, needs[1].before) + fmax(needs[0].after, needs[1].after);
    double most = fmax(room - margins, 1e-3) / span, least = most * share;
    Extent whole = extent(needs, count, most);
    if (whole.most - whole.least <= room)
        return most;
    for (int i = 0; i < 40; i++) {
        double scale = (least + most) / 2;
        Extent tried = extent(needs, count, scale);
        if (tried.most - tried.least <= room)
            least = scale;
        else
            most = scale;
    }
    return least;
}

/* Where zero falls, so that labels fit if they can and the picture in any case. */
static double fit_zero(const Need *needs, size_t count, double scale, double room, bool centred)
{
    Extent all = extent(needs, count, scale), bare = extent(needs, 2, scale);
    double spare = room - (all.most - all.least);
    double zero = -all.least + (centred && spare > 0 ? spare / 2 : 0);
    return fmax(fmin(zero, room - bare.most), -bare.least);
}

static void need_label(Needs *needs, const Figure *figure, const Surface *surface, size_t label)
{
    const Shape *shape = &figure->shapes[label];
    bool callout = is_callout(shape);
    int width = callout ? callout_width(figure, surface, label)
                        : surface->label_width(surface, shape->pen, shape->text);
    int at = 1 << 20; /* any place on the grid, well away from zero */
    at -= at % (surface->step_x * surface->step_y);
    bool far = shape->pen == PEN_TROUBLE && !callout;
    Rect rect = label_rect(surface, (Point){at, at}, shape->side, width, far);
    double slack_x = surface->step_x - 1, slack_y = surface->step_y - 1;
    Need x = {shape->points[0].x, fmax(at - rect.x + slack_x, 0),
              fmax(rect.x + rect.width - at + slack_x, 0)};
    Need y = {-shape->points[0].y, fmax(at - rect.y + slack_y, 0),
              fmax(rect.y + rect.height - at + slack_y, 0)};
    if (shape->side != SIDE_RIGHT && shape->side != SIDE_LEFT) { /* these can slide */
        x.before = fmin(x.before, surface->line_height);
        x.after = fmin(x.after, surface->line_height);
    }
    if (callout)
        y.before = y.after = 0; /* see need_callouts */
    needs->x[needs->count] = x;
    needs->y[needs->count++] = y;
}

/* The callouts of one side stand in a column about their middle. */
static void need_callouts(Needs *needs, const Figure *figure, const Surface *surface, Side side)
{
    size_t count = 0;
    double sum = 0;
    for (size_t i = 0; i < figure->count; i++) {
        const Shape *shape = &figure->shapes[i];
        if (is_callout(shape) && shape->side == side) {
            sum += -shape->points[1].y;
            count++;
        }
    }
    if (count == 0)
        return;
    double half = (double)count * surface->line_height / 2;
    needs->x[needs->count] = needs->x[0];
    needs->y[needs->count++] = (Need){sum / (double)count, half, half};
}

static Needs needs_of(Arena *arena, const Figure *figure, const Surface *surface, Box box)
{
    Needs needs = {ARENA_NEW(arena, Need, figure->count + 4),
                   ARENA_NEW(arena, Need, figure->count + 4), 2};
    double edge = surface->mark / 2.0; /* half the heaviest stroke */
    needs.x[0] = (Need){box.least.x, edge, edge};
    needs.x[1] = (Need){box.most.x, edge, edge};
    needs.y[0] = (Need){-box.most.y, edge, edge};
    needs.y[1] = (Need){-box.least.y, edge, edge};
    for (size_t i = 0; i < figure->count; i++) {
        const Shape *shape = &figure->shapes[i];
        if (shape->kind == SHAPE_LABEL)
            need_label(&needs, figure, surface, i);
        if (shape->kind == SHAPE_MARK) {
            needs.x[needs.count] = (Need){shape->points[0].x, surface->mark, surface->mark};
            needs.y[needs.count++] = (Need){-shape->points[0].y, surface->mark, surface->mark};
        }
    }
    need_callouts(&needs, figure, surface, SIDE_RIGHT);
    need_callouts(&needs, figure, surface, SIDE_LEFT);
    return needs;
}

View figure_fit(Arena *arena, const Figure *figure, const Surface *surface, double share)
{
    Box box;
    if (!figure_box(figure, &box))
        return (View){1, 1, {0, 0}};
    Needs needs = needs_of(arena, figure, surface, box);
    double width = surface->width - 1, height = surface->height - 1;
    bool freely = !(figure->stretch > 0);
    if (freely)
        height = fmin(height, floor(width * surface->tallest));
    double across = fit_axis(needs.x, needs.count, width, share);
    double up = fit_axis(needs.y, needs.count, height, share);
    if (!freely) {
        across = fmin(across, up / figure->stretch);
        up = across * figure->stretch;
    }
    across = isfinite(across) ? across : 1;
    up = isfinite(up) ? up : 1;
    return (View){across,
                  up,
                  {fit_zero(needs.x, needs.count, across, width, surface->centred),
                   fit_zero(needs.y, needs.count, up, height, false)}};
}

Point view_point(const View *view, Point point)
{
    return (Point){view->zero.x + view->across * point.x, view->zero.y - view->up * point.y};
}

Point *view_points(Arena *arena, const View *view, const Shape *shape, double nearest,
                   size_t *count)
{
    Point *points = ARENA_NEW(arena, Point, shape->count);
    *count = 0;
    for (size_t i = 0; i < shape->count; i++) {
        Point point = view_point(view, shape->points[i]);
        if (*count > 0) {
            Point before = points[*count - 1];
            bool near = hypot(point.x - before.x, point.y - before.y) < nearest;
            if (near && i + 1 < shape->count)
                continue;
            if (near && *count > 1)
                --*count; /* the end itself in its neighbour's stead */
        }
        points[(*count)++] = point;
    }
    return points;
}

int pen_weight(Pen pen)
{
    switch (pen) {
    case PEN_FILL:
        return 0;
    case PEN_FILL_OTHER:
        return 1;
    case PEN_FAINT:
        return 2;
    case PEN_LINE:
        return 3;
    case PEN_STITCH:
        return 4;
    case PEN_LIMIT:
        return 5;
    default:
        return 6;
    }
}

static void draw_shape(Arena *arena, Layout *layout, const Shape *shape)
{
    size_t count;
    Point *points = view_points(arena, &layout->view, shape, 1, &count);
    if (shape->kind == SHAPE_LINE)
        dots_line(&layout->dots, shape->pen, points, count, false);
    else
        dots_area(arena, &layout->dots, shape->pen, points, count);
}

static Layout layout_with(Arena *arena, const Figure *figure, const Surface *surface, double share)
{
    Layout layout = {.view = figure_fit(arena, figure, surface, share),
                     .dots = {.width = surface->width, .height = surface->height},
                     .tags = ARENA_NEW(arena, Tag, figure->count)};
    layout.dots.dots =
        ARENA_NEW(arena, unsigned char, (size_t)surface->width *(size_t)surface->height);
    for (int weight = 0; weight <= pen_weight(PEN_TROUBLE); weight++)
        for (size_t i = 0; i < figure->count; i++) {
            const Shape *shape = &figure->shapes[i];
            bool drawn = shape->kind == SHAPE_LINE || shape->kind == SHAPE_AREA;
            if (drawn && pen_weight(shape->pen) == weight)
                draw_shape(arena, &layout, shape);
        }
    figure_place(arena, figure, surface, &layout);
    return layout;
}

static Layout layout_to_scale(Arena *arena, const Figure *figure, const Surface *surface)
{
    Layout best = layout_with(arena, figure, surface, 1);
    double largest = best.view.across, least = (double)best.cost;
    for (double share = 0.9; share > SHARE_LEAST - 0.01; share -= 0.1) {
        Layout layout = layout_with(arena, figure, surface, share);
        double cost = (double)layout.cost + PRICE_OF_SIZE * (1 - layout.view.across / largest);
        if (layout.dropped < best.dropped || (layout.dropped == best.dropped && cost < least)) {
            best = layout;
            least = cost;
        }
    }
    return best;
}

Layout figure_layout(Arena *arena, const Figure *figure, const Surface *surface)
{
    if (!(figure->stretch > 0))
        return layout_with(arena, figure, surface, SHARE_OF_GRAPHS);
    int below = surface->line_height + surface->clear_y;
    if (!figure->scale || figure->count == 0 || surface->height < SCALE_LEAST * below)
        return layout_to_scale(arena, figure, surface);
    Surface above = *surface;
    above.height -= below;
    Layout layout = layout_to_scale(arena, figure, &above);
    Dots whole = {.width = surface->width, .height = surface->height};
    whole.dots = ARENA_NEW(arena, unsigned char, (size_t)whole.width *(size_t)whole.height);
    memcpy(whole.dots, layout.dots.dots, (size_t)above.width * (size_t)above.height);
    layout.dots = whole;
    layout_add_scale(figure, surface, &layout);
    return layout;
}

void layout_leader(const Layout *layout, const Shape *shape, const Tag *tag, Point ends[2])
{
    int x = shape->side == SIDE_LEFT ? tag->rect.x + tag->rect.width + LEADER_GAP - 1
                                     : tag->rect.x - LEADER_GAP;
    double quarter = (tag->rect.height - 1) / 4.0; /* level if the label's middle allows */
    ends[1] = view_point(&layout->view, shape->points[1]);
    ends[0] = (Point){x, fmax(fmin(ends[1].y, tag->rect.y + 3 * quarter), tag->rect.y + quarter)};
}

void figure_left_out(Text *text, const Layout *layout, const Figure *figure)
{
    if (layout->dropped)
        text_addf(text, "%zu label%s not fit", layout->dropped,
                  layout->dropped == 1 ? " does" : "s do");
    if (figure->refused)
        text_addf(text, "%s%zu point%s no place", text->length > 0 ? "; " : "", figure->refused,
                  figure->refused == 1 ? " has" : "s have");
    if (figure->count == 0)
        text_addf(text, "%snothing to draw", text->length > 0 ? "; " : "");
}

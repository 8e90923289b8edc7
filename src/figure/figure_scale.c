/* The bar below a picture that shows what is 10 mm, and round numbers for it and for
 * axes. For the layout and the backends. */
#include <math.h>
#include <stdio.h>

#include "figure/figure_inside.h"

double next_round(double least)
{
    double power = pow(10, floor(log10(least))), share = least / power;
    double slack = 1e-9;
    return power * (share <= 1 + slack ? 1 : share <= 2 + slack ? 2 : share <= 5 + slack ? 5 : 10);
}

void scale_lines(const Scale *scale, Point lines[3][2])
{
    Point left = scale->left, right = scale->right;
    double up = left.y - scale->tick, down = left.y + scale->tick;
    lines[0][0] = left;
    lines[0][1] = right;
    lines[1][0] = (Point){left.x, up};
    lines[1][1] = (Point){left.x, down};
    lines[2][0] = (Point){right.x, up};
    lines[2][1] = (Point){right.x, down};
}

/* The left end of what is drawn, labels apart. */
static double drawn_left(const Figure *figure, const View *view)
{
    double least = INFINITY;
    for (size_t i = 0; i < figure->count; i++)
        for (size_t k = 0; k < figure->shapes[i].count; k++)
            if (figure->shapes[i].kind != SHAPE_LABEL)
                least = fmin(least, view_point(view, figure->shapes[i].points[k]).x);
    return isfinite(least) ? least : 0;
}

/* A fourteenth to a sixth of the surface's width. Returns dots. */
static double set_words(Scale *scale, const Surface *surface, const View *view)
{
    double length = next_round((surface->width - 1) / view->across / 14);
    Text words = {0};
    text_add_number(&words, length, 3);
    text_add(&words, " mm");
    snprintf(scale->words, sizeof scale->words, "%s", text_string(&words));
    text_free(&words);
    return length * view->across;
}

void layout_add_scale(const Figure *figure, const Surface *surface, Layout *layout)
{
    Scale scale = {0};
    int step = surface->step_y;
    int top = (dots_bottom(&layout->dots) + surface->clear_y + step - 1) / step * step;
    double bar = round(set_words(&scale, surface, &layout->view));
    int width = surface->label_width(surface, PEN_FAINT, scale.words);
    double beside = surface->gap_x + width + 2 * surface->step_x;
    double left = fmin(round(drawn_left(figure, &layout->view)), surface->width - bar - beside);
    scale.left = (Point){fmax(left, 0), top + surface->line_height / 2};
    scale.right = (Point){scale.left.x + bar, scale.left.y};
    scale.tick = surface->line_height / 4;
    scale.rect = label_rect(surface, scale.right, SIDE_RIGHT, width, false);
    scale.rect.y = top;
    if (left < 0 || top + surface->line_height > surface->height) {
        layout->dropped++;
        return;
    }
    layout->scale = scale;
    Point lines[3][2];
    scale_lines(&scale, lines);
    for (int i = 0; i < 3; i++)
        dots_line(&layout->dots, PEN_LINE, lines[i], 2, false);
    dots_change(&layout->dots, scale.rect, DOT_TAKEN, 0);
}

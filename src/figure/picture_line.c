/* A proposed line over the drawn one, enlarged. For whoever draws. */
#include "figure/picture_line.h"

#include "figure/picture_inside.h"
#include "shape/vector.h"

static const double fine = OUTLINE_FLATNESS_MM / 10;

static Line fine_line(Arena *arena, const Path *path)
{
    Point *points;
    size_t count = path_flatten(arena, path, fine, &points);
    return line_new(arena, points, count);
}

static void widen(Box *box, Point point)
{
    box->least = (Point){fmin(box->least.x, point.x), fmin(box->least.y, point.y)};
    box->most = (Point){fmax(box->most.x, point.x), fmax(box->most.y, point.y)};
}

/* The arc in which they lie farthest apart; 0: none passes there. */
static size_t arc_at(const Rounded *rounded)
{
    double least = INFINITY;
    size_t found = 0;
    for (size_t i = 0; i < rounded->path.count; i++)
        for (int k = 0; k < 4 && rounded->arc_of[i]; k += 3) {
            double away = size(minus(rounded->path.pieces[i].p[k], rounded->new_at));
            if (away < least)
                least = away, found = rounded->arc_of[i];
        }
    return found;
}

/* That arc with something of the line to both sides, 4 wide to 3 high. */
static Box frame_of(const Rounded *rounded)
{
    Box box = box_around(rounded->drawn_at, rounded->new_at);
    size_t arc = arc_at(rounded);
    for (size_t i = 0; i < rounded->path.count; i++)
        for (int k = 0; k < 4 && arc && rounded->arc_of[i] == arc; k += 3)
            widen(&box, rounded->path.pieces[i].p[k]);
    Point middle = {(box.least.x + box.most.x) / 2, (box.least.y + box.most.y) / 2};
    double wide = (box.most.x - box.least.x) / 2, high = (box.most.y - box.least.y) / 2;
    double half = fmax(4, 1.4 * fmax(wide, high * 4 / 3));
    return (Box){{middle.x - half, middle.y - half * 0.75},
                 {middle.x + half, middle.y + half * 0.75}};
}

static void add_neighbours(Figure *figure, const DrawnPart *part, size_t place, const Box *frame)
{
    for (size_t i = 0; i < part->outline.count; i++) {
        if (i == place)
            continue;
        Line line = fine_line(figure->arena, &part->outline.edges[i].path);
        picture_clipped(figure, PEN_FAINT, &line, frame);
    }
}

static void add_lines(Figure *figure, const Path *drawn, const Rounded *rounded, const Box *frame)
{
    Line old = fine_line(figure->arena, drawn), new = fine_line(figure->arena, &rounded->path);
    Point a = frame->least, b = frame->most;
    figure_line(figure, PEN_FAINT, (Point[]){a, {b.x, a.y}, b, {a.x, b.y}, a}, 5);
    picture_clipped(figure, PEN_STITCH, &old, frame);
    picture_clipped(figure, PEN_LINE, &new, frame);
    figure_line(figure, PEN_TROUBLE, (Point[]){rounded->drawn_at, rounded->new_at}, 2);
    figure_mark(figure, PEN_TROUBLE, rounded->drawn_at);
    Text label = {0};
    picture_add_mm(&label, rounded->deviation);
    text_add(&label, " off");
    figure_label(figure, PEN_TROUBLE, rounded->drawn_at,
                 rounded->drawn_at.y > rounded->new_at.y ? SIDE_ABOVE : SIDE_BELOW,
                 text_string(&label));
    text_free(&label);
}

static void add_notes(Figure *figure, const Rounded *rounded)
{
    Text *text = &figure->notes;
    text_add(text, "Dashed: as drawn. Solid: proposed. Marked: where they lie farthest apart, ");
    picture_add_mm(text, rounded->deviation);
    text_addf(text, ".\n%zu bend%s rounded", rounded->arc_count,
              rounded->arc_count == 1 ? "" : "s");
    text_add(text, "; the edge is ");
    picture_add_mm(text, fabs(rounded->longer));
    text_addf(text, " %s, its part ", rounded->longer < 0 ? "shorter" : "longer");
    text_add_number(text, rint(fabs(rounded->larger) * 10) / 10, 6);
    text_addf(text, " mm2 %s. The base size is shown.\n",
              rounded->larger < 0 ? "smaller" : "larger");
}

bool picture_line(Arena *arena, const PictureBase *base, const Record *edge, const Rounded *rounded,
                  Figure *figure, Text *why)
{
    const DrawnLine *line = &base->style->lines[edge->index];
    if (!line->part || rounded->arc_count == 0) {
        text_addf(why, "no other line of edge %s is proposed", edge->path);
        return false;
    }
    PictureBase shown = *base;
    shown.size = measured_base_size(base->measured);
    *figure = figure_new(
        arena, picture_title(arena, &shown, arena_printf(arena, "edge %s, proposed", edge->path)));
    figure->scale = true;
    Box frame = frame_of(rounded);
    add_neighbours(figure, line->part, line->place, &frame);
    add_lines(figure, &line->part->outline.edges[line->place].path, rounded, &frame);
    add_notes(figure, rounded);
    return true;
}

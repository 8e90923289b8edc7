/* Bends in pictures: where they lie in a size, what they measure, and one enlarged.
 * For whoever draws. */
#include "figure/picture_inside.h"
#include "shape/vector.h"

/* ---- Where they lie ---- */

double picture_along(const PictureBase *base, const LaidEdge *edge, double at)
{
    const Lay *lay = measured_lay(base->measured, measured_base_size(base->measured));
    const LaidEdge *drawn = lay ? lay->of_edge[edge->edge->index] : NULL;
    if (!drawn || drawn == edge)
        return at;
    const Line *from = &drawn->line, *to = &edge->line;
    if (from->count != to->count) /* points fell together: by its share of the length */
        return at / line_length(from) * line_length(to);
    size_t i = 0;
    while (i + 2 < from->count && from->at[i + 1] < at)
        i++;
    double share = (at - from->at[i]) / (from->at[i + 1] - from->at[i]);
    return to->at[i] + share * (to->at[i + 1] - to->at[i]);
}

bool picture_bend_place(Arena *arena, const PictureBase *base, const Record *bend,
                        BendPlace *place)
{
    const Lay *lay = measured_lay(base->measured, base->size);
    const DrawnLine *line = &base->style->lines[bend->owner->index];
    const Bend *measured = base->style->bends[bend->index];
    place->edge = lay ? lay->of_edge[bend->owner->index] : NULL;
    if (!place->edge || !line->part || !measured)
        return false;
    PathRuler ruler = path_ruler(arena, &line->part->outline.edges[line->place].path);
    place->from = picture_along(base, place->edge, ruler_distance(&ruler, measured->from));
    place->to = picture_along(base, place->edge, ruler_distance(&ruler, measured->to));
    place->at = picture_along(base, place->edge, measured->at);
    return true;
}

/* ---- In words ---- */

static void add_degrees(Text *text, double turn)
{
    text_add_number(text, turn * 180 / 3.14159265358979323846, 3);
    text_add(text, isnan(turn) ? "" : " deg");
}

void picture_note_bend(Figure *figure, const PictureBase *base, const Record *bend)
{
    Text *text = &figure->notes;
    double radius = picture_value(base, BEND_RADIUS, bend);
    bool hollow = picture_is(base, BEND_CURVE, bend, "inward");
    text_addf(text, "bend %s: ", bend->path);
    if (radius == 0) {
        text_addf(text, "a %s corner", hollow ? "hollow" : "rounded");
    } else {
        text_addf(text, "%s, radius ", hollow ? "hollow" : "rounded");
        picture_add_mm(text, radius);
    }
    text_add(text, ", turns ");
    add_degrees(text, picture_value(base, BEND_TURN, bend));
    text_add(text, "; ");
    picture_add_mm(text, round(picture_value(base, BEND_AT, bend) * 10) / 10);
    text_addf(text, " along %s", bend->owner->id);
    const char *note = record_value(bend, BEND_RADIUS)->note;
    if (radius != 0 && note)
        text_addf(text, "; measured %s", note);
    if (base->size != measured_base_size(base->measured) &&
        picture_is(base, BEND_GRADE, bend, "hold"))
        text_add(text, "; it keeps its radius in every size, though the line here is stretched");
    text_add(text, ".\n");
}

/* ---- One enlarged ---- */

/* Half the width of what is shown about its sharpest place, mm. */
static double window_of(const BendPlace *place, double radius)
{
    double arc = (place->to - place->from) / 2;
    double wide = radius > 0 && isfinite(radius) ? 2.5 * radius : 12;
    return fmin(fmax(fmax(wide, arc * 0.8), 8), 60);
}

/* The line so finely that no corner of the polyline shows. Where the size stretches
 * it, as it was laid out. */
static Line fine_line(Arena *arena, const PictureBase *base, const LaidEdge *edge)
{
    const DrawnLine *drawn = &base->style->lines[edge->edge->index];
    Point *points;
    if (base->size != measured_base_size(base->measured) || !drawn->part)
        return edge->line;
    const Path *path = &drawn->part->outline.edges[drawn->place].path;
    size_t count = path_flatten(arena, path, OUTLINE_FLATNESS_MM / 50, &points);
    return line_new(arena, points, count);
}

/* The way at a place of a bend: of the chord about it, which no short segment of the
 * polyline turns. */
static Point way_about(const Line *line, double at, double radius)
{
    double half = radius > 0 && isfinite(radius) ? radius * 0.2 : 0.1;
    Point chord = minus(line_point(line, at + half), line_point(line, at - half));
    double length = size(chord);
    return length > 0 ? (Point){chord.x / length, chord.y / length} : line_direction(line, at);
}

static void add_circle(Figure *figure, Point centre, double radius, const Box *frame)
{
    enum { POINTS = 180 };
    Point points[POINTS + 1];
    for (int i = 0; i <= POINTS; i++) {
        double angle = 2 * 3.14159265358979323846 * i / POINTS;
        points[i] = (Point){centre.x + radius * cos(angle), centre.y + radius * sin(angle)};
    }
    Line line = line_new(figure->arena, points, POINTS + 1);
    picture_clipped(figure, PEN_FAINT, &line, frame);
    Text label = {0};
    text_add(&label, "radius ");
    picture_add_mm(&label, radius);
    figure_label(figure, PEN_TROUBLE, centre, SIDE_MIDDLE, text_string(&label));
    text_free(&label);
}

static void add_frame(Figure *figure, const Box *frame)
{
    Point a = frame->least, b = frame->most;
    figure_line(figure, PEN_FAINT, (Point[]){a, {b.x, a.y}, b, {a.x, b.y}, a}, 5);
}

static void add_lines(Figure *figure, const PictureBase *base, const LaidPart *part,
                      const Box *frame)
{
    const RowLine *rows;
    size_t count = measured_rows(base->measured, base->size, &rows);
    for (size_t i = 0; i < part->edge_count; i++) {
        Line line = fine_line(figure->arena, base, &part->edges[i]);
        picture_clipped(figure, PEN_LINE, &line, frame);
    }
    for (size_t i = 0; i < count; i++)
        if (rows[i].sheet == part->sheet && laid_on(&rows[i].line, part))
            picture_clipped(figure, PEN_STITCH, &rows[i].line, frame);
}

bool picture_bend(Arena *arena, const PictureBase *base, const Record *bend, Figure *figure,
                  Text *why)
{
    BendPlace place;
    if (!picture_bend_place(arena, base, bend, &place)) {
        text_addf(why, "the line of bend %s is not drawn in this size", bend->path);
        return false;
    }
    const Record *owner = bend->owner->owner;
    const LaidPart *part = measured_lay(base->measured, base->size)->of_part[owner->index];
    Line line = fine_line(arena, base, place.edge);
    double radius = picture_value(base, BEND_RADIUS, bend), half = window_of(&place, radius);
    Point at = line_point(&line, place.at), left = left_of(way_about(&line, place.at, radius));
    Box frame = {{at.x - half, at.y - half * 0.75}, {at.x + half, at.y + half * 0.75}};
    *figure = figure_new(arena, picture_title(arena, base,
                                              arena_printf(arena, "bend %s enlarged", bend->path)));
    figure->scale = true;
    add_frame(figure, &frame);
    add_lines(figure, base, part, &frame);
    if (radius > 0 && isfinite(radius)) {
        bool hollow = picture_is(base, BEND_CURVE, bend, "inward");
        add_circle(figure, moved(at, left, hollow ? -radius : radius), radius, &frame);
    }
    figure_mark(figure, PEN_TROUBLE, at);
    figure_label(figure, PEN_FAINT, moved(at, left, half * 0.4), SIDE_MIDDLE, owner->id);
    return true;
}

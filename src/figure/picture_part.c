/* Pictures of parts: one with its edges named, and all of a sheet. For whoever draws. */
#include "figure/picture_inside.h"
#include "shape/area.h"
#include "shape/vector.h"

/* Parts that share less do not lie on each other, mm2. */
static const double OVERLAP_LEAST_MM2 = 4;

static Box frame_of(const LaidPart *part)
{
    Box box = part->box;
    double margin = fmax(4, 0.06 * fmax(box.most.x - box.least.x, box.most.y - box.least.y));
    return (Box){{box.least.x - margin, box.least.y - margin},
                 {box.most.x + margin, box.most.y + margin}};
}

/* ---- What lies there too ---- */

static bool lies_with(const LaidPart *part, const LaidPart *other)
{
    return other != part && part->sheet && other->sheet == part->sheet &&
           box_gap2(&part->box, &other->box) == 0 &&
           area_overlap(part->ring, part->ring_count, other->ring, other->ring_count) >=
               OVERLAP_LEAST_MM2;
}

/* `with`: by laid part, whether it lies there. */
static void name_neighbours(Figure *figure, const PictureBase *base, const LaidPart *part,
                            const bool *with, int above, const char *head)
{
    const Lay *lay = measured_lay(base->measured, base->size);
    double own = picture_value(base, PART_LAYER, part->part);
    const char *before = head;
    for (size_t i = 0; i < lay->count; i++) {
        double layer = picture_value(base, PART_LAYER, lay->parts[i].part);
        int is_above = layer > own ? 1 : layer < own ? -1 : 0;
        if (is_above != above || !with[i])
            continue;
        text_addf(&figure->notes, "%s%s", before, lay->parts[i].part->path);
        before = ", ";
    }
    text_add(&figure->notes, before == head ? "" : ".\n");
}

static void add_neighbours(Figure *figure, const PictureBase *base, const LaidPart *part)
{
    const Lay *lay = measured_lay(base->measured, base->size);
    Box frame = frame_of(part);
    Arena scratch = {0};
    bool *with = ARENA_NEW(&scratch, bool, lay->count);
    for (size_t i = 0; i < lay->count; i++) {
        with[i] = lies_with(part, &lay->parts[i]);
        if (with[i])
            picture_clipped(figure, PEN_FAINT, &lay->parts[i].outline, &frame);
    }
    name_neighbours(figure, base, part, with, 1, "Over it: ");
    name_neighbours(figure, base, part, with, 0, "Beside it in its layer: ");
    name_neighbours(figure, base, part, with, -1, "Under it: ");
    arena_free(&scratch);
}

/* Each row once, though it may come in several lines. */
static void add_rows(Figure *figure, const PictureBase *base, const LaidPart *part)
{
    const RowLine *rows;
    const Record *last = NULL;
    const char *before = "Rows on it: ";
    Box frame = frame_of(part);
    size_t count = measured_rows(base->measured, base->size, &rows);
    for (size_t i = 0; i < count; i++) {
        if (rows[i].sheet != part->sheet || !laid_on(&rows[i].line, part))
            continue;
        picture_clipped(figure, PEN_STITCH, &rows[i].line, &frame);
        if (rows[i].row == last)
            continue;
        text_addf(&figure->notes, "%s%s", before, rows[i].row->path);
        before = ", ";
        last = rows[i].row;
    }
    text_add(&figure->notes, last ? ".\n" : "");
}

/* ---- Holes ---- */

enum { HOLES_MOST = 200, HOLE_POINTS = 16 };

static void add_hole(Figure *figure, Pen pen, Point centre, double radius)
{
    Point points[HOLE_POINTS + 1];
    for (int i = 0; i <= HOLE_POINTS; i++) {
        double angle = 2 * 3.14159265358979323846 * i / HOLE_POINTS;
        points[i] = (Point){centre.x + radius * cos(angle), centre.y + radius * sin(angle)};
    }
    figure_line(figure, pen, points, HOLE_POINTS + 1);
}

bool picture_holes(Figure *figure, const PictureBase *base, const Record *hole, Pen pen)
{
    const Lay *lay = measured_lay(base->measured, base->size);
    const Record *along = record_value(hole, HOLE_ALONG)->record;
    const LaidEdge *edge = lay && along ? lay->of_edge[along->index] : NULL;
    double first = picture_value(base, HOLE_FIRST, hole), inside = picture_value(base, HOLE_FROM_EDGE, hole);
    double spacing = picture_value(base, HOLE_SPACING, hole), bore = picture_value(base, HOLE_BORE, hole);
    double number = picture_value(base, HOLE_NUMBER, hole);
    if (number == 1)
        spacing = 0;
    if (!edge || isnan(first + inside + spacing + bore) || !(number >= 1 && number <= HOLES_MOST))
        return false;
    for (int i = 0; i < (int)number; i++) {
        double at = laid_along_edge(base->style, edge, first + i * spacing);
        double beyond = at - fmin(fmax(at, 0), line_length(&edge->line));
        Point way = line_direction(&edge->line, at);
        Point on = moved(line_point(&edge->line, at), way, beyond);
        add_hole(figure, pen, moved(on, left_of(way), inside), bore / 2);
    }
    return true;
}

static void note_holes(Figure *figure, const PictureBase *base, const Record *hole)
{
    Text *text = &figure->notes;
    static const struct {
        FieldId id;
        const char *before;
    } told[] = {{HOLE_BORE, " of "},
                {HOLE_SPACING, ", spacing "},
                {HOLE_FROM_EDGE, ", centres from the edge "},
                {HOLE_CUT_CLEAR, "; from rim to cut edge "},
                {HOLE_ROW_CLEAR, ", from rim to the nearest row "}};
    text_addf(text, "Marked: holes %s, ", hole->path);
    text_add_number(text, picture_value(base, HOLE_NUMBER, hole), 3);
    for (size_t i = 0; i < sizeof told / sizeof *told; i++) {
        text_add(text, told[i].before);
        picture_add_mm(text, picture_value(base, told[i].id, hole));
    }
    text_add(text, ".\n");
}

static void add_holes(Figure *figure, const PictureBase *base, const Record *part,
                      const Record *focus)
{
    const RecordList *holes = &base->style->lists[SUBJECT_HOLE];
    for (size_t i = 0; i < holes->count; i++) {
        const Record *hole = holes->items[i];
        if (record_value(hole, HOLE_PART)->record != part)
            continue;
        if (!picture_holes(figure, base, hole, hole == focus ? PEN_TROUBLE : PEN_LINE))
            text_addf(&figure->notes, "Where the holes %s lie is not known.\n", hole->path);
        if (hole == focus)
            note_holes(figure, base, hole);
    }
}

/* ---- Edges ---- */

/* Off the part, which lies on the left of the way. */
static Side side_outside(Point way)
{
    if (fabs(way.y) > fabs(way.x))
        return way.y > 0 ? SIDE_RIGHT : SIDE_LEFT;
    return way.x > 0 ? SIDE_BELOW : SIDE_ABOVE;
}

static Side side_inside(Point way)
{
    return side_outside((Point){-way.x, -way.y});
}

static void add_edge(Figure *figure, const LaidEdge *edge, bool asked)
{
    Pen pen = asked ? PEN_TROUBLE : PEN_LINE;
    double middle = line_length(&edge->line) / 2;
    Point way = line_direction(&edge->line, middle);
    figure_line(figure, pen, edge->line.points, edge->line.count);
    figure_label(figure, pen, line_point(&edge->line, middle), side_outside(way),
                 edge->edge->id);
}

static void note_edge(Figure *figure, const PictureBase *base, const Record *edge)
{
    Text *text = &figure->notes;
    text_addf(text, "Marked: edge %s, ", edge->path);
    picture_add_mm(text, picture_value(base, EDGE_LENGTH, edge));
    text_add(text, " long.\n");
}

/* The sharpest of the part, or of the one edge. NULL where none is drawn. */
static const Record *tightest(const PictureBase *base, const Record *part, const Record *edge)
{
    const RecordList *bends = &base->style->lists[SUBJECT_BEND];
    const Record *found = NULL;
    for (size_t i = 0; i < bends->count; i++) {
        const Record *bend = bends->items[i];
        double radius = picture_value(base, BEND_RADIUS, bend);
        if (bend->owner->owner != part || (edge && bend->owner != edge) || isnan(radius))
            continue;
        if (!found || radius < picture_value(base, BEND_RADIUS, found))
            found = bend;
    }
    return found;
}

static void add_bend(Figure *figure, const PictureBase *base, const Record *bend)
{
    BendPlace place;
    if (!picture_bend_place(figure->arena, base, bend, &place))
        return;
    const Line *line = &place.edge->line;
    Point *points = ARENA_NEW(figure->arena, Point, line->count + 2);
    size_t count = 0;
    points[count++] = line_point(line, place.from);
    for (size_t i = 0; i < line->count; i++)
        if (line->at[i] > place.from && line->at[i] < place.to)
            points[count++] = line->points[i];
    points[count++] = line_point(line, place.to);
    if (place.to > place.from)
        figure_line(figure, PEN_TROUBLE, points, count);
    Point at = line_point(line, place.at), way = line_direction(line, place.at);
    figure_mark(figure, PEN_TROUBLE, at);
    Text label = {0};
    double radius = picture_value(base, BEND_RADIUS, bend);
    text_add(&label, radius == 0 ? "corner" : "radius ");
    if (radius != 0)
        picture_add_mm(&label, radius);
    figure_label(figure, PEN_TROUBLE, at, side_inside(way), text_string(&label));
    text_free(&label);
}

/* ---- One part ---- */

static void say_not_drawn(const PictureBase *base, const Record *part, Text *why)
{
    const Style *style = base->style;
    text_addf(why, "no line of part %s is drawn", part->path);
    for (size_t i = 0; i < style->backing_count; i++)
        if (style->backings[i].part == part && style->backings[i].backed_count > 0)
            text_addf(why, "; it backs %s", style->backings[i].backed[0]->path);
    const Record *along = record_value(part, PART_ALONG)->record;
    if (along)
        text_addf(why, "; it lies along edge %s", along->path);
}

static const LaidPart *laid_part(const PictureBase *base, const Record *part, Text *why)
{
    const Lay *lay = measured_lay(base->measured, base->size);
    const Lay *drawn = measured_lay(base->measured, measured_base_size(base->measured));
    if (lay && lay->of_part[part->index])
        return lay->of_part[part->index];
    if (drawn && drawn->of_part[part->index])
        text_addf(why, "it is not known how part %s grows from the base size to this one", part->path);
    else
        say_not_drawn(base, part, why);
    return NULL;
}

static const char *part_title(Arena *arena, const PictureBase *base, const Record *part,
                              const Record *focus)
{
    const Record *of = focus ? focus : part;
    return picture_title(arena, base,
                         arena_printf(arena, "%s %s", subject_name(of->subject), of->path));
}

bool picture_part(Arena *arena, const PictureBase *base, const Record *part, const Record *focus,
                  Figure *figure, Text *why)
{
    const LaidPart *laid = laid_part(base, part, why);
    if (!laid)
        return false;
    *figure = figure_new(arena, part_title(arena, base, part, focus));
    figure->scale = true;
    for (size_t i = 0; i < laid->edge_count; i++)
        add_edge(figure, &laid->edges[i], laid->edges[i].edge == focus);
    const Record *edge = focus && focus->subject == SUBJECT_EDGE ? focus : NULL;
    const Record *bend = focus && focus->subject == SUBJECT_BEND ? focus : NULL;
    if (edge)
        note_edge(figure, base, edge);
    if (!focus || edge)
        bend = tightest(base, part, edge);
    if (bend) {
        add_bend(figure, base, bend);
        text_add(&figure->notes, bend == focus ? "Marked: " : "Marked, the tightest here: ");
        picture_note_bend(figure, base, bend);
    }
    add_holes(figure, base, part, focus);
    add_neighbours(figure, base, laid);
    add_rows(figure, base, laid);
    return true;
}

/* ---- A sheet ---- */

/* How good a place is for the name of a part: in it, far from every line, and rather
 * not under another part. */
static double worth(const PictureBase *base, const Lay *lay, const LaidPart *part, Point place)
{
    static const double FAR_MM = 15;
    double clear = FAR_MM, own = picture_value(base, PART_LAYER, part->part);
    Nearest nearest;
    if (!laid_covers(part, place, 0))
        return -INFINITY;
    for (size_t i = 0; i < lay->count; i++) {
        const LaidPart *other = &lay->parts[i];
        if (other->sheet != part->sheet)
            continue;
        if (line_nearest(&other->outline, place, clear, &nearest))
            clear = nearest.distance;
        if (other != part && picture_value(base, PART_LAYER, other->part) > own &&
            laid_covers(other, place, 0))
            clear -= FAR_MM;
    }
    return clear;
}

static Point name_place(const PictureBase *base, const Lay *lay, const LaidPart *part)
{
    enum { STEPS = 24 };
    double best = -INFINITY;
    Point found = line_point(&part->outline, 0);
    for (int i = 1; i < STEPS; i++)
        for (int k = 1; k < STEPS; k++) {
            Point place = {part->box.least.x + (part->box.most.x - part->box.least.x) * i / STEPS,
                           part->box.least.y + (part->box.most.y - part->box.least.y) * k / STEPS};
            double here = worth(base, lay, part, place);
            if (here > best) {
                best = here;
                found = place;
            }
        }
    return found;
}

/* Next to the foot, with others of the sheet over it. */
static bool is_lining(const PictureBase *base, const Lay *lay, const LaidPart *part)
{
    bool covered = false;
    for (size_t i = 0; i < lay->count; i++)
        covered |= lay->parts[i].sheet == part->sheet &&
                   picture_value(base, PART_LAYER, lay->parts[i].part) > 1;
    return covered && picture_value(base, PART_LAYER, part->part) == 1;
}

bool picture_sheet(Arena *arena, const PictureBase *base, const Sheet *sheet, Figure *figure,
                   Text *why)
{
    const Lay *lay = measured_lay(base->measured, base->size);
    size_t drawn = 0;
    for (size_t i = 0; lay && i < lay->count; i++)
        drawn += lay->parts[i].sheet == sheet;
    if (drawn == 0) {
        text_addf(why, "no part that lies on sheet %s is drawn in this size", sheet->name);
        return false;
    }
    *figure = figure_new(arena,
                         picture_title(arena, base, arena_printf(arena, "sheet %s", sheet->name)));
    figure->scale = true;
    const RowLine *rows;
    size_t count = measured_rows(base->measured, base->size, &rows);
    for (size_t i = 0; i < count; i++)
        if (rows[i].sheet == sheet)
            figure_line(figure, PEN_STITCH, rows[i].line.points, rows[i].line.count);
    const RecordList *holes = &base->style->lists[SUBJECT_HOLE];
    for (size_t i = 0; i < lay->count; i++) {
        const LaidPart *part = &lay->parts[i];
        if (part->sheet != sheet)
            continue;
        Pen pen = is_lining(base, lay, part) ? PEN_FAINT : PEN_LINE;
        figure_line(figure, pen, part->outline.points, part->outline.count);
        if (!part->other_half)
            figure_label(figure, pen, name_place(base, lay, part), SIDE_MIDDLE, part->part->path);
        for (size_t k = 0; k < holes->count; k++)
            if (record_value(holes->items[k], HOLE_PART)->record == part->part)
                picture_holes(figure, base, holes->items[k], PEN_LINE);
    }
    return true;
}

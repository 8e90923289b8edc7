/* What all pictures share, and which pictures a place has. For whoever draws. */
#include <string.h>

#include "figure/picture_inside.h"

uint32_t picture_lane(const PictureBase *base)
{
    const Columns *columns = measured_columns(base->measured);
    for (uint32_t lane = 0; lane < columns->lane_count; lane++)
        if (columns->lanes[lane].size_index == base->size &&
            columns->lanes[lane].colourway_index == base->colourway)
            return lane;
    return 0;
}

double picture_value(const PictureBase *base, FieldId id, const Record *record)
{
    const Column *column = &measured_columns(base->measured)->fields[id];
    return record ? column->nominal[column_cell(column, record->index, picture_lane(base))]
                  : (double)NAN;
}

bool picture_is(const PictureBase *base, FieldId id, const Record *record, const char *word)
{
    double code = picture_value(base, id, record);
    return !isnan(code) && (int)code == word_index(field_at(id)->words, word, strlen(word));
}

const char *picture_title(Arena *arena, const PictureBase *base, const char *what)
{
    const Lane *lane = &measured_columns(base->measured)->lanes[picture_lane(base)];
    const char *alternative = base->style->alternative;
    return arena_printf(arena, "%s%s%s%s%s%s%s", what, lane->size[0] ? ", size " : "", lane->size,
                        lane->colourway[0] ? ", " : "", lane->colourway,
                        alternative ? ", " : "", alternative ? alternative : "");
}

void picture_add_mm(Text *text, double mm)
{
    text_add_number(text, fabs(mm) < 1e6 ? round(mm * 100) / 100 : mm, 6);
    text_add(text, isnan(mm) ? "" : " mm");
}

const Seam *picture_seam(const PictureBase *base, const Record *of)
{
    const Record *record = of->subject == SUBJECT_SEAM ? of : of->owner;
    for (size_t i = 0; i < base->style->seam_count; i++)
        if (base->style->seams[i].record == record)
            return &base->style->seams[i];
    return NULL;
}

size_t picture_side(const Seam *seam, const Record *part, const Record **edge)
{
    const Record *first = NULL;
    size_t side = 0;
    for (; side < seam->side_count && !first && seam->sides[side].bare != part; side++)
        for (size_t i = 0; i < seam->sides[side].count && !first; i++)
            first = seam->sides[side].edges[i]->owner == part ? seam->sides[side].edges[i] : NULL;
    if (edge)
        *edge = first;
    return first ? side - 1 : side;
}

/* ---- Lines in a frame ---- */

/* Narrows the share of the segment to where from + t * way >= least. */
static void narrow(double from, double way, double least, double *enter, double *leave)
{
    if (way > 0)
        *enter = fmax(*enter, (least - from) / way);
    else if (way < 0)
        *leave = fmin(*leave, (least - from) / way);
    else if (from < least)
        *leave = -1;
}

/* Source: Y.-D. Liang, B. Barsky, "A new concept and method for line clipping", ACM
 * Transactions on Graphics 3 (1984). */
static bool clip(const Box *frame, Point *a, Point *b)
{
    double enter = 0, leave = 1;
    Point from = *a, way = {b->x - a->x, b->y - a->y};
    narrow(from.x, way.x, frame->least.x, &enter, &leave);
    narrow(-from.x, -way.x, -frame->most.x, &enter, &leave);
    narrow(from.y, way.y, frame->least.y, &enter, &leave);
    narrow(-from.y, -way.y, -frame->most.y, &enter, &leave);
    *a = (Point){from.x + way.x * enter, from.y + way.y * enter};
    *b = (Point){from.x + way.x * leave, from.y + way.y * leave};
    return enter < leave;
}

void picture_clipped(Figure *figure, Pen pen, const Line *line, const Box *frame)
{
    Point *points = ARENA_NEW(figure->arena, Point, line->count + 1);
    size_t count = 0;
    for (size_t i = 0; i + 1 < line->count; i++) {
        Point a = line->points[i], b = line->points[i + 1];
        bool shown = clip(frame, &a, &b);
        bool goes_on = shown && count > 0 && points[count - 1].x == a.x && points[count - 1].y == a.y;
        if (count > 0 && !goes_on) {
            figure_line(figure, pen, points, count);
            count = 0;
        }
        if (shown && count == 0)
            points[count++] = a;
        if (shown)
            points[count++] = b;
    }
    if (count > 0)
        figure_line(figure, pen, points, count);
}

/* ---- Which pictures a place has ---- */

static size_t part_pictures(Arena *arena, const PictureBase *base, const Record *place,
                            Figure figures[PICTURES_OF_PLACE], Text *why)
{
    const Record *part = place, *focus = NULL;
    if (place->subject != SUBJECT_PART)
        focus = place;
    if (place->subject == SUBJECT_HOLE)
        part = record_value(place, HOLE_PART)->record;
    while (part && part->subject != SUBJECT_PART)
        part = part->owner;
    if (!part) {
        text_addf(why, "it is not known which part %s lies on", place->path);
        return 0;
    }
    if (!picture_part(arena, base, part, focus, &figures[0], why))
        return 0;
    return place->subject == SUBJECT_BEND && picture_bend(arena, base, place, &figures[1], why) ? 2
                                                                                                : 1;
}

static size_t row_pictures(Arena *arena, const PictureBase *base, const Record *row,
                           Figure figures[PICTURES_OF_PLACE], Text *why)
{
    Text no_curve = {0};
    size_t count = picture_row(arena, base, row, &figures[0], &no_curve) ? 1 : 0;
    if (picture_section(arena, base, row, NAN, &figures[count], why))
        count++;
    if (count == 1 && no_curve.length > 0)
        text_addf(&figures[0].notes, "No curve: %s.\n", no_curve.bytes);
    text_free(&no_curve);
    return count;
}

size_t picture_place(Arena *arena, const PictureBase *base, const Record *place,
                     Figure figures[PICTURES_OF_PLACE], Text *why)
{
    switch (place->subject) {
    case SUBJECT_PART:
    case SUBJECT_EDGE:
    case SUBJECT_BEND:
    case SUBJECT_HOLE:
        return part_pictures(arena, base, place, figures, why);
    case SUBJECT_ROW:
        return row_pictures(arena, base, place, figures, why);
    case SUBJECT_SPOT:
        return picture_spot(arena, base, place, &figures[0], why) ? 1 : 0;
    case SUBJECT_SEAM: {
        const Seam *seam = picture_seam(base, place);
        if (seam && seam->rows.count > 0)
            return row_pictures(arena, base, seam->rows.items[0], figures, why);
        text_addf(why, "seam %s has no rows", place->path);
        return 0;
    }
    default:
        text_addf(why, "there is no picture of a %s", subject_name(place->subject));
        return 0;
    }
}
